package declare

import (
	"cmp"
	"math"
	"slices"

	"saponym/internal/bar"
)

// weights gives one weight a line of the bar: one for those in the group. A nil group has
// none.
func (c *compiler) weights(g *group) []float64 {
	w := make([]float64, len(c.bar.Lines))
	for i := range w {
		if g != nil && g.lines[i] {
			w[i] = 1
		}
	}
	return w
}

// question asks whether group a less group b can fall below nought. Either may be
// nil. What is a range counts against a.
func (c *compiler) question(a, b *group) bar.Question {
	q := bar.Question{Weights: c.weights(a)}
	for i, w := range c.weights(b) {
		q.Weights[i] -= w
	}
	if a != nil {
		q.Const += a.fixed.Low
	}
	if b != nil {
		q.Const -= b.fixed.High
	}
	return q
}

// always reports whether the sum of a question is above nought, and no tie, for each
// bar allowed.
func (c *compiler) always(q bar.Question) bool {
	q.Const -= 2 * c.bar.Tie()
	return c.bar.Holds(q).Verdict == bar.Proved
}

// against says on which side of the line of the market a group stands, below which the
// law asks for no order.
func (c *compiler) against(g *group) Side {
	line := c.law.AnyOrder.Share.Fraction()
	const near = 1e-9
	switch {
	case g.share.Low > 100*(line+near):
		return Above
	case g.share.High < 100*(line-near):
		return Below
	case g.share.Low < 100*(line-near) && g.share.High > 100*(line+near):
		return Undecided
	}
	under := c.question(nil, g)
	for i, line := range c.bar.Lines {
		if line.Counted() {
			under.Weights[i] += c.law.AnyOrder.Share.Fraction()
		}
	}
	below := c.always(under)
	if c.law.AnyOrder.AtToo {
		below = c.bar.Holds(under).Verdict == bar.Proved
	}
	over := bar.Question{Weights: make([]float64, len(under.Weights)), Const: g.fixed.Low}
	for i, w := range under.Weights {
		over.Weights[i] = -w
	}
	switch {
	case below:
		return Below
	case c.bar.Holds(over).Verdict == bar.Proved:
		return Above
	}
	return Undecided
}

// order gives each group its zone and sorts: by falling weight within each zone,
// which is lawful in those without an order too. Groups of equal weight keep the
// order of the formula. What may be above the line or below it keeps the strict order,
// which is lawful either way.
func (c *compiler) order() {
	for _, g := range c.groups {
		g.share = c.share(g)
		if g.zone != "" {
			continue
		}
		g.zone = Ordered
		if g.side = c.against(g); g.side == Below {
			g.zone = AnyOrder
		}
	}
	zones := []Zone{Ordered, AnyOrder, Colourant}
	slices.SortStableFunc(c.groups, func(a, b *group) int {
		if byZone := cmp.Compare(slices.Index(zones, a.zone), slices.Index(zones, b.zone)); byZone != 0 {
			return byZone
		}
		return c.byWeight(a.nominal, b.nominal)
	})
}

// byWeight puts the heavier one first; masses that differ by no more than a tie
// are equal.
func (c *compiler) byWeight(a, b float64) int {
	if math.Abs(a-b) <= c.bar.Tie() {
		return 0
	}
	return cmp.Compare(b, a)
}

// ingredients gives the sorted groups as ingredients, each with what is known of
// its place.
func (c *compiler) ingredients() []Ingredient {
	list := make([]Ingredient, len(c.groups))
	for i, g := range c.groups {
		list[i] = Ingredient{Name: g.name, Share: g.share, Zone: g.zone, Side: g.side, From: g.from}
		for l, in := range g.lines {
			if in {
				list[i].Lines = append(list[i].Lines, l)
			}
		}
		if i+1 == len(c.groups) {
			break
		}
		verdict := c.pair(g, c.groups[i+1], &list[i])
		list[i].Next = &verdict
	}
	for i, rank := range c.ranks(list) {
		list[i].Rank = rank
	}
	return list
}

// pair judges the order of a group and the next one.
func (c *compiler) pair(g, next *group, in *Ingredient) Order {
	if g.zone != Ordered || next.zone == Colourant {
		return Free
	}
	q := c.question(g, next)
	answer := c.bar.Holds(q)
	switch answer.Verdict {
	case bar.Proved:
		in.Assumes = c.assumes(g, next)
		return Certain
	case bar.Unproved:
		if next.zone == AnyOrder {
			return Free
		}
		if g.share.Low > next.share.High*(1+1e-9) {
			in.Assumes = c.assumes(g, next)
			return Certain
		}
		in.Assumes = c.assumes(g, next)
		in.SettledBy = c.settledBy(q, g, next)
		return Unproved
	}
	if next.zone == AnyOrder {
		return Free
	}
	in.Assumes = c.assumes(g, next)
	in.Witness = c.witness(q, answer.At, g, next)
	in.SettledBy = c.settledBy(q, g, next)
	return CouldSwap
}

// assumes says what the order of two groups hangs on that nobody can know: how much of
// each oil is left over, where there are several.
func (c *compiler) assumes(pair ...*group) string {
	oils, inPair := 0, false
	for i, line := range c.bar.Lines {
		if line.Role != bar.LeftOver || line.Terms[0].Product != bar.Fatty {
			continue // of an oil that the lye never meets there is what was weighed
		}
		oils++
		inPair = inPair || slices.ContainsFunc(pair, func(g *group) bool { return g.lines[i] })
	}
	if oils < 2 || !inPair {
		return ""
	}
	return "the left-over oil is shared evenly"
}

// ranks gives the places at which each group can stand. What is certain of neighbours
// follows for those between which all are certain.
func (c *compiler) ranks(list []Ingredient) []Rank {
	ranks := make([]Rank, len(c.groups))
	for i := range c.groups {
		ranks[i] = Rank{1, len(c.groups)}
	}
	for i, g := range c.groups {
		first, last := i, i
		for first > 0 && c.groups[first-1].zone == g.zone {
			first--
		}
		for last+1 < len(c.groups) && c.groups[last+1].zone == g.zone {
			last++
		}
		ranks[i] = Rank{first + 1, last + 1}
	}
	for i, g := range c.groups {
		if g.zone != Ordered {
			continue
		}
		chain := true
		for j := i + 1; j < len(c.groups) && c.groups[j].zone == Ordered; j++ {
			chain = chain && *list[j-1].Next == Certain && !c.tied(c.groups[j-1], c.groups[j])
			if chain || c.certainlyAbove(g, c.groups[j]) {
				ranks[i].Latest--
				ranks[j].Earliest++
			}
		}
	}
	return ranks
}

// tied reports whether two groups may weigh the same as far as their shares tell.
func (c *compiler) tied(a, b *group) bool {
	return !(a.share.Low > b.share.High) && !c.certainlyAbove(a, b)
}

// certainlyAbove reports whether a weighs more than b in every allowed bar.
func (c *compiler) certainlyAbove(a, b *group) bool {
	return a.share.Low > b.share.High*(1+1e-9) || c.always(c.question(a, b))
}

// share gives the part of the bar that a group makes up.
func (c *compiler) share(g *group) Percent {
	low, high := g.fixed.Low/c.weight.High, g.fixed.High/c.weight.Low
	if slices.Contains(g.lines, true) {
		r := c.bar.Ratio(c.weights(g), c.weights(c.all))
		low, high = low+r.Low, high+r.High
	}
	_, masses := c.bar.Shown()
	nominal := (g.lineMass(masses) + g.fixed.Middle()) / c.bar.Total(masses)
	return Percent{Low: 100 * max(0, min(low, nominal)), Nominal: 100 * nominal, High: 100 * max(high, nominal)}
}

// mass gives what a group weighs when the lines of the bar have these masses.
func (g *group) mass(masses []float64) float64 { return g.lineMass(masses) + g.fixed.Middle() }

// lineMass is the part of it that stands in lines.
func (g *group) lineMass(masses []float64) float64 {
	total := 0.0
	for i, in := range g.lines {
		if in {
			total += masses[i]
		}
	}
	return total
}
