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
	listed   float64       // of it, what stands in a supplier's list of finished soap, and so in a line of the bar
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
	low, high := cured.Total(cured.Lightest()), cured.Total(cured.Heaviest())
	named := []Allergen{}
	for _, a := range c.amounts(rule) {
		certain := measure.Exceeds(measure.MassDown(a.grams.Low), measure.MassUp(high), rule.Threshold)
		possible := measure.Exceeds(measure.MassUp(a.grams.High), measure.MassDown(low), rule.Threshold)
		named = append(named, Allergen{Name: a.allergen.Label, Percent: 100 * a.grams.High / low, Printed: possible})
		if !possible {
			continue
		}
		if !certain {
			c.report(finding.Note, RuleNearLine, c.batter.At,
				fmt.Sprintf("%s may be above %g %% of the bar or not (%.4f %% of the driest bar); it is printed, which is lawful either way", a.allergen.Label, rule.Threshold.Percent(), 100*a.grams.High/low), "")
		}
		c.print(a)
	}
	return named
}

// print adds an allergen to the list. Where its name stands there already as that of an
// ingredient, what the statements say comes to what is in the bar's own lines.
func (c *compiler) print(a amount) {
	stated := measure.Range{Low: a.grams.Low - a.listed, High: a.grams.High - a.listed}
	for _, g := range c.groups {
		if g.name != a.allergen.Label {
			continue
		}
		if a.listed > 0 {
			g.fixed, g.nominal = stated, g.nominal+stated.Middle()
			g.from = appendNew(g.from, a.from...)
		}
		return
	}
	c.groups = append(c.groups, &group{
		name: a.allergen.Label, lines: make([]bool, len(c.bar.Lines)), fixed: a.grams, nominal: a.grams.Middle(), from: a.from,
	})
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

// amounts adds up the allergens of all scents, whatever they come from: the
// supplier's statement, and oils that are an entry of the list themselves. The
// heaviest comes first.
func (c *compiler) amounts(rule *market.Allergens) []amount {
	var all []amount
	add := func(a market.Allergen, grams measure.Range, ref string) *amount {
		i := slices.IndexFunc(all, func(x amount) bool { return x.allergen.Label == a.Label })
		if i < 0 {
			i, all = len(all), append(all, amount{allergen: a})
		}
		all[i].grams.Low += grams.Low
		all[i].grams.High += grams.High
		all[i].from = appendNew(all[i].from, ref)
		return &all[i]
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
				add(a, measure.Range{Low: s.Mass * line.Share.V.Low.Fraction(), High: s.Mass * line.Share.V.High.Fraction()}, source.Ref)
			}
		}
	}
	for _, source := range c.batter.Sources {
		shares, err := source.Shares.Middle()
		if err != nil {
			continue // such a batter is not poured
		}
		for i, part := range source.Parts {
			grams := source.Mass * shares[i]
			switch part.Role {
			case bar.EssentialOil, bar.Perfume:
				for _, a := range rule.Named {
					if part.Names.ID != "" && slices.Contains(a.Substances, part.Names.ID) {
						add(a, measure.Exactly(grams), source.Ref)
					}
				}
			case bar.Substance:
				if a, ok := rule.Find(part.Names.EU); ok && rule.Names(a) && part.Names.EU != "" {
					add(a, measure.Exactly(grams), source.Ref).listed += grams
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
