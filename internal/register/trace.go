package register

import (
	"slices"
	"strings"

	"saponym/internal/formula"
)

// A Hit is a batch that a lot went into, and the way there.
type Hit struct {
	Indexed
	What string   // what of the lot went in: the id of a material, or "own batch"
	Via  []string // codes of the batches between the lot and this one, the first one first
}

// ownBatch is what goes in of a batch of bars: some of them, or all to be worked again.
const ownBatch = "own batch"

// Forward gives each batch that a lot went into, straight or by way of other batches: of
// premixes, master lyes, infusions, own bars, and batches that were worked again. The lot
// may be the code of a batch. A batch that is reached in several ways is given once, by
// the shortest.
func (x *Index) Forward(lot string) ([]Hit, error) {
	direct, err := x.WithLot(lot)
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	var hits []Hit
	add := func(b Indexed, what string, via []string) {
		if !seen[b.File] {
			seen[b.File] = true
			hits = append(hits, Hit{b, what, via})
		}
	}
	for _, b := range direct {
		add(b, ofLot(b, lot), nil)
	}
	straight, err := x.WithBatch(strings.TrimSpace(lot))
	if err != nil {
		return nil, err
	}
	for _, b := range straight {
		add(b, ownBatch, nil)
	}
	for i := 0; i < len(hits); i++ { // grows on the way
		further, err := x.WithBatch(hits[i].Code)
		if err != nil {
			return nil, err
		}
		via := append(slices.Clone(hits[i].Via), hits[i].Code)
		for _, b := range further {
			what := ownBatch
			if hits[i].Material != "" {
				what = hits[i].Material
			}
			add(b, what, via)
		}
	}
	return hits, nil
}

// ofLot gives the material of a lot in a batch.
func ofLot(b Indexed, lot string) string {
	for _, use := range b.Lots {
		if FoldLot(use.Lot) == FoldLot(lot) {
			return use.Material
		}
	}
	return ""
}

// A Source is a line of a batch on the way back from a bar: what went in, and of which
// lot, and through which batches it came.
type Source struct {
	formula.Weighed
	Batch string   // the code of the batch in whose record the line stands
	Via   []string // codes of the batches between the bar and that one
}

// Back gives all that went into a batch, line by line, with what went into the batches
// that it was made of. Find gives a batch by its code.
func Back(b formula.Batch, find func(code string) (formula.Batch, bool)) []Source {
	var all []Source
	seen := map[string]bool{}
	var walk func(b formula.Batch, via []string)
	walk = func(b formula.Batch, via []string) {
		if seen[b.Code.V] {
			return // worked into itself, which is a finding elsewhere
		}
		seen[b.Code.V] = true
		further := append(slices.Clone(via), b.Code.V)
		for _, w := range b.Weighed {
			all = append(all, Source{w, b.Code.V, via})
			for _, code := range []string{w.Batch.V, w.Lot.V} {
				if inner, ok := find(code); ok {
					walk(inner, further)
				}
			}
		}
		for _, p := range b.Parents {
			if inner, ok := find(p.V); ok {
				walk(inner, further)
			}
		}
	}
	walk(b, nil)
	return all
}
