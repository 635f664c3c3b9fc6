package register

import (
	"slices"

	"saponym/internal/day"
	"saponym/internal/formula"
)

// When a batch wants something next: common practice, no source. A loaf is cut the day
// after it was made, bars are weighed every week until they are packed, and are packed
// when they have cured for four weeks.
const (
	daysToCut   = 1
	daysToWeigh = 7
	daysToPack  = 28
)

// A Due is something that a batch wants done, and the day since when.
type Due struct {
	Code  string  `json:"code"`
	What  string  `json:"what"` // "record", "cut", "weigh" or "pack"
	Since day.Day `json:"since"`
}

// A Progress says how far a batch has come, as the index keeps it.
type Progress struct {
	Made, Cut, Weighed day.Day // the zero Day where it was not yet; Weighed is the last weighing of bars
	Bars               int     // there are to pack: made, and not gone
	Packed             int
	Lots               bool // everything that was weighed has a lot and a weight
	Material           bool // a material is made, and no bars
	Gone               bool // it was worked again or destroyed whole
}

// ProgressOf tells how far a batch has come.
func ProgressOf(b formula.Batch) Progress {
	p := Progress{Made: b.Made.V, Material: b.MakesMaterial(), Lots: len(b.Weighed) > 0}
	for _, w := range b.Weighed {
		p.Lots = p.Lots && (w.Batch.Given() || w.Weight.Given() && (w.Lot.Given() || w.IsWater()))
	}
	for _, c := range b.Cuts {
		if p.Cut.IsZero() || c.Date.V.Before(p.Cut) {
			p.Cut = c.Date.V
		}
	}
	for _, w := range b.Weighings {
		if p.Weighed.Before(w.Date.V) {
			p.Weighed = w.Date.V
		}
	}
	all := Bars(StockOf(b))
	p.Bars, p.Packed = all.OnHand+all.Withheld+all.Sold+all.Sampled+all.Given, all.Packed
	p.Gone = slices.ContainsFunc(b.Events, func(e formula.Event) bool {
		return (e.What.V == "reworked" || e.What.V == "destroyed") && !e.Count.Given() && !e.Cut.Given()
	})
	return p
}

// Dues gives what a batch wants done on a day, in the order in which it is done.
func (p Progress) Dues(code string, today day.Day) []Due {
	var all []Due
	if p.Made.IsZero() {
		return nil // no record
	}
	add := func(what string, since day.Day) {
		if !today.Before(since) {
			all = append(all, Due{code, what, since})
		}
	}
	if !p.Lots {
		add("record", p.Made)
	}
	switch {
	case p.Material, p.Gone:
	case p.Cut.IsZero():
		add("cut", p.Made.AddDays(daysToCut))
	case p.Packed < p.Bars:
		if p.Weighed.IsZero() {
			add("weigh", p.Cut)
		} else {
			add("weigh", p.Weighed.AddDays(daysToWeigh))
		}
		add("pack", p.Cut.AddDays(daysToPack))
	}
	return all
}
