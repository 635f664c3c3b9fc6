package declare

import (
	"cmp"
	"fmt"
	"slices"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// An amount is how much of one allergen the whole batch holds, in grams, and
// where it comes from.
type amount struct {
	allergen market.Allergen
	grams    measure.Range // in all
	unlisted measure.Range // of it, what is in no line of the bar that is printed under its name
	from     []string
}

// nameAllergens judges each allergen of the scents against the threshold, by the
// driest bar allowed, and adds those that are printed to the groups. Only the
// allergens of the list in force are in the answer.
func (c *compiler) nameAllergens(cured *bar.Bar) []Allergen {
	rule := c.law.Allergens
	if rule == nil {
		return []Allergen{}
	}
	for _, source := range c.batter.Sources {
		for _, part := range source.Parts {
			for _, name := range []string{part.Names.EU, part.Names.US} {
				if name != "" && c.prohibited(name, source.At) {
					break
				}
			}
		}
	}
	weight := cured.Weight()
	low, high := weight.Low, weight.High
	named := []Allergen{}
	for _, a := range c.amounts(rule, cured) {
		certain := measure.Exceeds(measure.MassDown(a.grams.Low), measure.MassUp(high), rule.Threshold)
		possible := measure.Exceeds(measure.MassUp(a.grams.High), measure.MassDown(low), rule.Threshold)
		listed := slices.ContainsFunc(c.groups, func(g *group) bool { return g.name == a.allergen.Label })
		named = append(named, Allergen{Name: a.allergen.Label, Percent: 100 * a.grams.High / low, Printed: possible || listed})
		if possible && !certain && !listed {
			c.report(finding.Note, RuleNearLine, c.batter.At,
				fmt.Sprintf("%s may be above %g %% of the bar or not (%.4f %% of the driest bar); it is printed, which is lawful either way", a.allergen.Label, rule.Threshold.Percent(), 100*a.grams.High/low), "")
		}
		if possible || listed {
			c.print(a)
		}
	}
	return named
}

// print adds an allergen to the list. Where its name stands there already as that of an
// ingredient, what is in no line of that name comes on top of what is.
func (c *compiler) print(a amount) {
	i := slices.IndexFunc(c.groups, func(g *group) bool { return g.name == a.allergen.Label })
	if i < 0 {
		i, c.groups = len(c.groups), append(c.groups, &group{name: a.allergen.Label, lines: make([]bool, len(c.bar.Lines))})
	}
	g := c.groups[i]
	g.fixed = a.unlisted
	g.nominal += a.unlisted.Middle()
	g.from = appendNew(g.from, a.from...)
}

// isAllergen reports whether a line is an allergen of the list in force, and which. Of
// scents it is not asked: what is in them is told by the supplier's statement.
func (c *compiler) isAllergen(line bar.Line) (market.Allergen, bool) {
	if rule := c.law.Allergens; rule != nil && line.Role == bar.Substance {
		for _, name := range []string{line.Names.EU, line.Names.US} {
			if a, ok := rule.Find(name); ok && rule.Names(a) {
				return a, true
			}
		}
	}
	return market.Allergen{}, false
}

// appendNew appends what is not there yet.
func appendNew(list []string, more ...string) []string {
	for _, one := range more {
		if !slices.Contains(list, one) {
			list = append(list, one)
		}
	}
	return list
}

// amounts adds up the allergens of the bar, whatever they come from: the supplier's
// statement of a scent, oils that are an entry of the list themselves, and substances
// that are, such as those which a supplier lists of finished soap. The heaviest comes
// first.
func (c *compiler) amounts(rule *market.Allergens, cured *bar.Bar) []amount {
	var all []amount
	add := func(a market.Allergen, grams measure.Range, listed bool, refs ...string) {
		i := slices.IndexFunc(all, func(x amount) bool { return x.allergen.Label == a.Label })
		if i < 0 {
			i, all = len(all), append(all, amount{allergen: a})
		}
		all[i].grams.Low += grams.Low
		all[i].grams.High += grams.High
		if !listed {
			all[i].unlisted.Low += grams.Low
			all[i].unlisted.High += grams.High
		}
		all[i].from = appendNew(all[i].from, refs...)
	}
	for _, s := range c.batter.Scents {
		source := c.batter.Sources[s.Source]
		if len(s.Statement) == 0 {
			c.findings = append(c.findings, rule.Finding(source.At, fmt.Sprintf("no allergen statement is given for %q", s.Material)))
		}
		for _, line := range s.Statement {
			if c.prohibited(line.Name.V, line.Name.At) {
				continue
			}
			a, ok := rule.Find(line.Name.V)
			if !ok {
				c.unknownAllergen(line.Name.V, line.Name.At, rule)
				continue
			}
			if rule.Names(a) {
				add(a, measure.Range{Low: s.Mass.Low * line.Share.V.Low.Fraction(), High: s.Mass.High * line.Share.V.High.Fraction()}, false, source.Ref)
			}
		}
	}
	for i, line := range cured.Lines {
		grams := func() measure.Range {
			weights := make([]float64, len(cured.Lines))
			weights[i] = 1
			r := cured.Ratio(weights, nil)
			return measure.Range{Low: max(0, r.Low), High: r.High}
		}
		switch line.Role {
		case bar.EssentialOil, bar.Perfume:
			name, _ := c.name(line)
			for _, a := range rule.Named {
				if line.Names.ID != "" && slices.Contains(a.Substances, line.Names.ID) {
					add(a, grams(), name == a.Label, c.refs(line)...)
				}
			}
		case bar.Substance:
			if a, ok := c.isAllergen(line); ok {
				if mass := grams(); mass.High > cured.Tie() {
					add(a, mass, true, c.refs(line)...)
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b amount) int { return cmp.Compare(b.grams.High, a.grams.High) })
	return all
}

// prohibited reports a substance of a statement that must not be in the soap at all.
func (c *compiler) prohibited(name string, at finding.Pos) bool {
	if c.law.Prohibited == nil {
		return false
	}
	label, entry, found := c.law.Prohibited.Find(name)
	if found {
		f := c.law.Prohibited.Finding(at, fmt.Sprintf("%s is in the soap", label))
		f.Cite += ", entry " + entry
		c.findings = append(c.findings, f)
	}
	return found
}

func (c *compiler) unknownAllergen(name string, at finding.Pos, rule *market.Allergens) {
	remedy := "write its name of the list, or its CAS number; take the line out if the supplier confirms that it is no listed allergen"
	if near := rule.Nearest(name); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	}
	c.report(finding.Stop, RuleNoAllergen, at, fmt.Sprintf("%q is no name of any list of allergens that is known here, so whether it must be named is not known", name), remedy)
}
