package formula

import (
	"fmt"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// LegalLine is the share below which the order of a list that was made under ingredient
// law says nothing (Regulation (EC) No 1223/2009, article 19(1)(g); 21 CFR 701.3(f)).
const LegalLine = measure.Percent

// MostListed is how many constituents a list may have without a warning. No supplier's
// list is nearly as long, and beyond it package bar works nothing out.
const MostListed = 120

// checkContains reports a list that is too long to be one, and one that contradicts
// itself: shares that cannot be those of one thing in the order that is said.
func (r materialReader) checkContains(mat Material) {
	for i, c := range mat.Contains {
		if i >= MostListed && c.Name().Given() {
			r.report.warn(RuleLong, c.Name().At, fmt.Sprintf("the list goes on beyond %d constituents, to %d; no supplier's list is as long, and nothing is worked out of it", MostListed, len(mat.Contains)), "compare the list with the supplier's, and keep what belongs to this material")
			break
		}
	}
	for _, c := range mat.Contains {
		if c.Share.V.High > measure.Whole {
			return // a finding already
		}
	}
	lines, ordered := inOrder(mat)
	if conflict := conflictOf(mat.Order, lines, ordered); len(conflict) > 0 {
		r.contradiction(mat.Order, lines, conflict)
	}
}

// checkOrder says that nothing is taken from the order of a list of names alone, where
// nobody has said what it means.
func (r materialReader) checkOrder(m *source.Map, mat Material, said bool) {
	if said || mat.Order != Unknown || len(mat.Contains) < 2 {
		return
	}
	if slices.ContainsFunc(mat.Contains, func(c Constituent) bool { return c.Share.Given() || !c.Name().Given() }) {
		return
	}
	r.report.note(RuleOrder, m.KeyAt("contains"), "nothing is taken from the order of this list", `ask the supplier whether it is by falling weight, and write "order: descending"; "order: legal" if it is made under ingredient law, and "order: unknown" if it is neither`)
}

// conflictOf gives a smallest part of a list that contradicts itself, or nil.
func conflictOf(order Order, lines []Constituent, ordered int) []blend.Constraint {
	set := blend.Free(len(lines))
	for i, c := range lines {
		if c.Share.Given() {
			set.Low[i], set.High[i] = c.Share.V.Low.Fraction(), c.Share.V.High.Fraction()
		}
		if i > 0 {
			set.Down[i-1] = order == Descending
		}
	}
	switch {
	case len(lines) == 0:
		return nil
	case order == Legal:
		return blend.LegalConflict(set, ordered, LegalLine.Fraction())
	}
	return set.Conflict()
}

// farthestRounded is by how much the shares of a list may miss the whole and still be
// taken for rounded ones. Of a dozen whole percents the sum is seldom farther off; where
// it is, something is missing more likely.
const farthestRounded = measure.Percent

// asRounded gives the list of a material, and where its shares contradict each other by
// no more than rounding each of them as the range that is rounded to it: by the last
// digit that any of them has.
func (r materialReader) asRounded(mat Material) []Constituent {
	lines, ordered := inOrder(mat)
	if len(conflictOf(mat.Order, lines, ordered)) == 0 {
		return mat.Contains
	}
	unit := measure.Percent
	least, most := measure.Share(0), measure.Share(0)
	first := -1
	for i, c := range mat.Contains {
		switch {
		case !c.Share.Given():
			most += measure.Whole
			continue
		case c.Share.V.IsPoint():
			if first < 0 {
				first = i
			}
			for c.Share.V.Low%unit != 0 {
				unit /= 10
			}
		}
		least, most = least+c.Share.V.Low, most+c.Share.V.High
	}
	if first < 0 || least > measure.Whole+farthestRounded || most < measure.Whole-farthestRounded {
		return mat.Contains
	}
	var wide []Constituent
	for _, c := range mat.Contains {
		if share := &c.Share.V; c.Share.Given() && share.IsPoint() {
			share.Low, share.High = max(0, share.Low-unit/2), min(measure.Whole, share.High+unit/2)
		}
		wide = append(wide, c)
	}
	lines, ordered = inOrder(Material{Contains: wide, Order: mat.Order})
	if len(conflictOf(mat.Order, lines, ordered)) > 0 {
		return mat.Contains
	}
	c := wide[first]
	r.report.warn(RuleRounded, c.Share.At, fmt.Sprintf("as they stand the shares contradict each other, but by no more than rounding: each is read as rounded to %s, that of %q as %s", percent(unit), c.Name().V, inWords(c.Share.V)), "ask the supplier for one more digit, and see that nothing is missing in the list")
	return wide
}

// inOrder gives the constituents with those first of which the order of the list says
// something, and how many these are. In a list that was made under ingredient law
// colourants stand anywhere, and another material may be one.
func inOrder(mat Material) (lines []Constituent, ordered int) {
	var last []Constituent
	for _, c := range mat.Contains {
		hits := inci.ByINCI(c.INCI.V)
		if mat.Order == Legal && (c.Material.Given() || len(hits) > 0 && hits[0].Group == inci.GroupColourant) {
			last = append(last, c)
			continue
		}
		lines = append(lines, c)
	}
	return append(lines, last...), len(lines)
}

// contradiction reports the lines of a list that cannot be true together, with the last
// of those that say a share as the place: what follows from the ones before is not so
// there. A conflict is of one rise, of shares that are too much, or of shares that are
// too little; the others bound nothing in it.
func (r materialReader) contradiction(order Order, lines []Constituent, conflict []blend.Constraint) {
	const compare, orderless = "compare the shares with the supplier's statement: ", `; or write "order: unknown"`
	said := map[Order]string{
		Descending: "the order is said to be descending",
		Legal:      fmt.Sprintf("in the order of ingredient law no share above %s rises", percent(LegalLine)),
	}[order]
	in := map[blend.Kind]map[int]bool{blend.LowBound: {}, blend.HighBound: {}, blend.NotRising: {}, blend.Sum: {}}
	var bounded []Constituent
	var at finding.Pos
	for _, c := range conflict {
		in[c.Kind][c.Part] = true
		if c.Kind == blend.LowBound || c.Kind == blend.HighBound {
			bounded = append(bounded, lines[c.Part])
			at = later(at, lines[c.Part].Share.At)
		}
	}
	var named []string
	for _, c := range bounded {
		named = append(named, withShare(c, at))
	}
	ranked := len(in[blend.NotRising]) > 0
	switch {
	case len(in[blend.Sum]) == 0:
		r.report.stop(RuleRising, at, fmt.Sprintf("%s stands after %s, and %s", named[1], named[0], said), `compare the list with the supplier's, or write "order: unknown"`)
	case len(in[blend.LowBound]) > 0:
		message, remedy := fmt.Sprintf("%s: that is at least %s together", some(named), percent(least(lines, order, in))), compare+"together they are 100 %"
		if ranked {
			message, remedy = message+", since those before are no less and "+said, remedy+orderless
		}
		r.report.stop(RuleContains, at, message, remedy)
	default:
		message, remedy := fmt.Sprintf("%s: the constituents are at most %s together", some(named), percent(most(lines, order, in))), compare+`something is missing, or a share is not known; leave an unknown share out, or write "rest"`
		if ranked {
			message, remedy = message+", since those after are no more and "+said, remedy+orderless
		}
		r.report.stop(RuleContains, at, message, remedy)
	}
}

// least gives how much the constituents are at least together, by the constraints that
// are in it.
func least(lines []Constituent, order Order, in map[blend.Kind]map[int]bool) (sum measure.Share) {
	after := measure.Share(0)
	for i := len(lines) - 1; i >= 0; i-- {
		low := measure.Share(0)
		if in[blend.LowBound][i] {
			low = lines[i].Share.V.Low
		}
		if in[blend.NotRising][i] && (order != Legal || after > LegalLine) {
			low = max(low, after)
		}
		after = low
		sum += low
	}
	return sum
}

// most gives how much they are at most together. Each is bounded, by itself or by the
// one before it.
func most(lines []Constituent, order Order, in map[blend.Kind]map[int]bool) (sum measure.Share) {
	before := measure.Whole
	for i := range lines {
		high := measure.Whole
		if in[blend.HighBound][i] {
			high = lines[i].Share.V.High
		}
		if i > 0 && in[blend.NotRising][i-1] {
			if order == Legal {
				before = max(before, LegalLine)
			}
			high = min(high, before)
		}
		before = high
		sum += high
	}
	return sum
}

// some writes what is named, and of many the first alone with the number of the others.
func some(named []string) string {
	const mostRead = 12
	if others := len(named) - mostRead; others > 1 {
		named = append(named[:mostRead:mostRead], fmt.Sprintf("%d others", others))
	}
	return joined(named, "and")
}

// withShare writes a constituent with its share, and its line where that is not the one
// at which the message points.
func withShare(c Constituent, at finding.Pos) string {
	words := fmt.Sprintf("%q with %s", c.Name().V, inWords(c.Share.V))
	if c.Share.At.Line != at.Line {
		words += fmt.Sprintf(" (line %d)", c.Share.At.Line)
	}
	return words
}

// inWords writes a range of shares for a message.
func inWords(r measure.ShareRange) string {
	switch {
	case r.IsPoint():
		return percent(r.Low)
	case r.Low == 0:
		return "at most " + percent(r.High)
	case r.High == measure.Whole:
		return "at least " + percent(r.Low)
	}
	return strings.TrimSuffix(percent(r.Low), " %") + " to " + percent(r.High)
}
