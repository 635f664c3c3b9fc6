package market

import (
	"saponym/internal/day"
	"saponym/internal/source"
)

// Days are the days by which a rule can come into force for a bar. Placed and
// Product are On where they are not known.
type Days struct {
	On      day.Day // of the label, or of the sale
	Placed  day.Day // this bar is first placed on the market: supplied, each unit by itself
	Product day.Day // the product is first sold there
}

// A Basis says which day decides whether a rule holds.
type Basis string

// The bases.
const (
	ByPlacing      Basis = "placed"         // the bar was placed on the market from that day on
	ByAvailability Basis = "made available" // it is offered on that day or later, whenever it was placed
	ByProduct      Basis = "product first sold"
)

// of gives the day that decides.
func (d Days) of(b Basis) day.Day {
	given := d.On
	switch b {
	case ByPlacing:
		given = d.Placed
	case ByProduct:
		given = d.Product
	}
	if given.IsZero() {
		return d.On
	}
	return given
}

// A Force is when a rule, or an entry of its list, holds.
type Force struct {
	Since day.Day // zero: as long as this program looks back
	Until day.Day // the first day on which it holds no more; zero: still in force
	By    Basis
}

func (f Force) holds(on Days) bool {
	d := on.of(f.By)
	return (f.Since.IsZero() || !d.Before(f.Since)) && (f.Until.IsZero() || d.Before(f.Until))
}

// Says gives the span in words: "for what is placed on the market from 2026-08-01",
// and "" for what has always held.
func (f Force) Says() string {
	if f.Since.IsZero() && f.Until.IsZero() {
		return ""
	}
	text := map[Basis]string{
		ByPlacing: "for what is placed on the market", ByAvailability: "for all that is made available", ByProduct: "for products first sold",
	}[f.By]
	if !f.Since.IsZero() {
		text += " from " + f.Since.String()
	}
	if !f.Until.IsZero() {
		text += " before " + f.Until.String()
	}
	return text
}

// readForce reads since, until and by. Where nothing is said the day of placing
// decides.
func readForce(m *source.Map) Force {
	f := Force{Since: m.Day("since").V, Until: m.Day("until").V, By: ByPlacing}
	if by := m.Enum("by", string(ByPlacing), string(ByAvailability), string(ByProduct)); by.Given() {
		f.By = Basis(by.V)
	}
	return f
}
