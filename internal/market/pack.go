package market

import (
	"fmt"
	"math/big"
	"strings"
)

// A Packed is bars of one kind in a pack of several.
type Packed struct {
	Count int
	Name  string // "oat bars"; "" where all are of one kind
	Each  Claim  // of one of them, in the form of the pack
}

// A PackClaim is the net weight of a pack of several bars.
type PackClaim struct {
	Words string
	Total Claim
}

// Pack gives the claim of a pack of several bars: how many there are of each kind, what
// one of them weighs, and the total, last. The total of each unit is that of the figures
// that are printed for the single bars, rounded down, so that a buyer who adds them up
// finds no less. It is false where a figure would be nought.
//
// Sources: American Samoa Administrative Code 27.0651 (count, each and total), of the
// family of 16 CFR 500.27 (from memory); 16 CFR 500.28(a) (of each kind, and the total
// last); CPLR s. 28 (number and identity of each class).
func (f Form) Pack(kinds []Packed, w Writing) (PackClaim, bool) {
	var p PackClaim
	var said []string
	metric, customary, all := new(big.Rat), new(big.Rat), true
	for _, k := range kinds {
		all = all && k.Each.Metric > 0 && k.Count > 0
		count := big.NewRat(int64(k.Count), 1)
		metric.Add(metric, new(big.Rat).Mul(count, nanograms(k.Each.Metric)))
		if k.Each.ounces != nil {
			customary.Add(customary, new(big.Rat).Mul(count, k.Each.ounces))
		}
		said = append(said, f.packed(k))
	}
	total, ok := f.write(metric, customary, w)
	p.Total = total
	if f == USDual {
		p.Words = strings.Join(said, "; ") + "; total " + total.Words
	} else {
		p.Words = strings.Join(said, " + ") + " (" + total.Words + ")"
	}
	return p, all && ok
}

// packed says the bars of one kind: "3 bars, Net Wt 4 oz (113 g) each", or in metric
// units "3 × 113 g", which needs no language.
func (f Form) packed(k Packed) string {
	if f != USDual {
		return strings.TrimSpace(fmt.Sprintf("%d × %s %s", k.Count, k.Each.Words, k.Name))
	}
	name, eachOf := k.Name, " each"
	if k.Count == 1 {
		eachOf = ""
	}
	switch {
	case name == "" && k.Count == 1:
		name = "bar"
	case name == "":
		name = "bars"
	}
	return fmt.Sprintf("%d %s, %s%s", k.Count, name, k.Each.Words, eachOf)
}
