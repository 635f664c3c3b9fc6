package formula

import (
	"fmt"
	"slices"

	"saponym/internal/finding"
	"saponym/internal/measure"
)

// Resized gives the formula at another size. What it says in shares and ratios
// follows of itself; for its typed weights the size that they were written for is
// kept in WrittenFor, so that they can be scaled from it. Where the pot is in
// weights, these are proportions, all other weights go by them, and there is nothing
// to keep. At the zero Size the formula comes back as it is.
func (f Formula) Resized(s Size) Formula {
	if s == (Size{}) {
		return f
	}
	if f.WrittenFor == (Size{}) && !f.inWeights() && len(f.typed()) > 0 {
		f.WrittenFor = f.Size
	}
	f.Size = s
	return f
}

// sized settles for which size the weights were typed in a variant v of b, of which
// whole is the completed form:
//
//   - where all of them are inherited, they were written for the size of b;
//   - where the variant writes all of them, they are for its own size, and a pot that
//     it inherits in weights is put in shares, so that it says nothing about size;
//   - where it writes some of them for another size than that of the inherited ones,
//     nothing can scale both, and that is a finding;
//   - a pot in weights that the variant writes itself says what all weights are for.
func (v Formula) sized(whole, b Formula, report reporter) Formula {
	whole.WrittenFor = Size{}
	if v.inWeights() {
		return whole
	}
	own := v.typed()
	mine := map[finding.Pos]bool{}
	for _, w := range own {
		mine[w.At] = true
	}
	var inherited []typedWeight
	for _, w := range whole.typed() {
		if !mine[w.At] {
			inherited = append(inherited, w)
		}
	}
	size, from := v.Size, b.typedFor()
	if size == (Size{}) {
		if size = b.Size; whole.inWeights() {
			size = whole.typedFor()
		}
	}
	switch {
	case len(inherited) == 0:
		if len(own) > 0 && v.Size != (Size{}) {
			whole.Pot, whole.Base = inShares(whole.Pot), inShares(whole.Base)
		}
	case len(own) == 0:
		if !whole.inWeights() && !from.equal(size) {
			whole.WrittenFor = from
		}
	case !from.equal(size):
		report.stop(RuleWrittenFor, own[0].At, fmt.Sprintf("the weight of %s is for the size of this variant, and that of %s, which it takes from %q, is for another size", own[0].what, inherited[0].what, b.ID), "write both here, or write them as shares")
	}
	return whole
}

// equal reports whether two sizes say the same, wherever they stand.
func (s Size) equal(other Size) bool {
	return s.Oils.V == other.Oils.V && s.Batter.V == other.Batter.V && ID(s.Mould.V) == ID(other.Mould.V)
}

// A typedWeight is a weight of a formula that scales with its size.
type typedWeight struct {
	Mass
	what string // whose weight it is, for a message
}

// typed gives the weights of a formula beside those of its pot or base.
func (f Formula) typed() []typedWeight {
	var all []typedWeight
	note := func(m Mass, what string) {
		if m.Given() {
			all = append(all, typedWeight{m, what})
		}
	}
	note(f.Lye.Weight, "the alkali")
	note(f.Lye.Water.Weight, "the water")
	for _, l := range f.Lye.Liquids {
		note(l.Weight, fmt.Sprintf("%q", l.Material.V))
	}
	for _, a := range f.Add {
		note(a.Weight, fmt.Sprintf("%q", a.Material.V+a.Batch.V))
		for _, with := range a.With {
			note(with.Weight, fmt.Sprintf("%q", with.Material.V))
		}
	}
	return all
}

// typedFor gives the size for which the weights of a formula were typed.
func (f Formula) typedFor() Size {
	switch {
	case f.WrittenFor != (Size{}):
		return f.WrittenFor
	case f.inWeights():
		line := f.pot()[0]
		return Size{Oils: Mass{V: potWeight(f.pot()), At: line.Weight.At}}
	}
	return f.Size
}

// pot gives what the shares of a formula are of: its pot, or its base.
func (f Formula) pot() []Ingredient {
	if len(f.Base) > 0 {
		return f.Base
	}
	return f.Pot
}

// inWeights reports whether the pot is given in weights and in nothing else.
func (f Formula) inWeights() bool {
	for _, line := range f.pot() {
		if !line.Weight.Given() {
			return false
		}
	}
	return len(f.pot()) > 0
}

// potWeight adds up the weights of a pot.
func potWeight(lines []Ingredient) measure.Mass {
	var total measure.Mass
	for _, line := range lines {
		total = plus(total, line.Weight.V)
	}
	return total
}

// inShares puts a pot in shares that are exactly the whole together. One that is not
// in weights comes back as it is.
func inShares(lines []Ingredient) []Ingredient {
	if !(Formula{Pot: lines}).inWeights() {
		return lines
	}
	weights := make([]float64, len(lines))
	for i, line := range lines {
		weights[i] = float64(line.Weight.V)
	}
	all := slices.Clone(lines)
	for i, share := range divide(measure.Whole, weights) {
		all[i].Amount = Amount{Share: Share{V: share, At: lines[i].Weight.At}}
	}
	return all
}
