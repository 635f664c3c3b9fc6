package declare

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saponym/inci"
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
			for _, a := range rule.Find(name) {
				if rule.Names(a) {
					return a, true
				}
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

// amounts adds up the allergens of the bar, whatever they come from: what suppliers state
// of scents or the literature tells of them, oils that are an entry of the list themselves,
// and substances that are, such as those which a supplier lists of finished soap. The
// heaviest comes first.
func (c *compiler) amounts(rule *market.Allergens, cured *bar.Bar) []amount {
	c.reportUnstated(rule)
	var all []amount
	add := func(a market.Allergen, h bar.Held, listed bool) {
		i := slices.IndexFunc(all, func(x amount) bool { return x.allergen.Label == a.Label })
		if i < 0 {
			i, all = len(all), append(all, amount{allergen: a})
		}
		all[i].grams.Low += h.Grams.Low
		all[i].grams.High += h.Grams.High
		if !listed {
			all[i].unlisted.Low += h.Grams.Low
			all[i].unlisted.High += h.Grams.High
		}
		all[i].from = appendNew(all[i].from, h.Ref)
	}
	for _, h := range c.batter.Inventory(cured) {
		if h.Basis == bar.Beside {
			continue
		}
		if h.Basis != bar.Listed {
			if a, ok := c.allergen(h, rule); ok && rule.Names(a) {
				add(a, h, false)
			}
			continue
		}
		switch line := cured.Lines[h.Line]; line.Role {
		case bar.EssentialOil, bar.Perfume:
			name, _ := c.name(line)
			for _, a := range rule.Named {
				if isEntry(rule, a, line.Names) {
					add(a, h, name == a.Label)
				}
			}
		case bar.Substance:
			if a, ok := c.isAllergen(line); ok && h.Grams.High > cured.Tie() {
				add(a, h, true)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b amount) int { return cmp.Compare(b.grams.High, a.grams.High) })
	return all
}

// isEntry reports whether a raw material of perfume is an allergen itself, as a whole: the
// built-in oil that the entry names, or one that its supplier calls by a name of the entry.
func isEntry(rule *market.Allergens, a market.Allergen, names bar.Names) bool {
	return names.ID != "" && slices.Contains(a.Substances, names.ID) || slices.ContainsFunc([]string{names.EU, names.US}, func(name string) bool {
		return slices.ContainsFunc(rule.Find(name), func(found market.Allergen) bool { return found.Label == a.Label })
	})
}

// reportUnstated reports scents of which the allergens are not stated. What is published
// of essential oils serves in the place of a statement, and is said to.
func (c *compiler) reportUnstated(rule *market.Allergens) {
	for _, s := range c.batter.Scents {
		at := c.batter.Sources[s.Source].At
		switch {
		case len(s.Statement) > 0:
		case !s.Published:
			c.findings = append(c.findings, rule.Finding(at, fmt.Sprintf("no allergen statement is given for %q", s.Material)))
		case !rule.Open(): // else nothing is named by it
			c.findings = append(c.findings, c.published(s, at))
		}
	}
}

// published gives the finding that a scent is told by what is published of the oils in it.
func (c *compiler) published(s bar.Scent, at finding.Pos) finding.Finding {
	var documents, recalled []string
	for _, oil := range s.Oils {
		composition, _ := inci.EssentialOilByID(oil.ID)
		for _, constituent := range composition.Constituents {
			source, _ := inci.SourceByKey(constituent.Source)
			documents = appendNew(documents, source.Document)
			if constituent.Known == inci.Memory {
				recalled = appendNew(recalled, constituent.Name)
			}
		}
	}
	message := fmt.Sprintf("no allergen statement is given for %q; what is published of its composition was taken, and the most of each constituent", s.Material)
	if len(recalled) > 0 {
		message += ", from memory that of " + strings.Join(recalled, ", ")
	}
	return finding.Finding{
		Level: finding.Warn, Rule: RulePublished, At: at, Market: c.law.Market, Message: message, Cite: strings.Join(documents, "; "),
		Remedy: fmt.Sprintf("ask the supplier, and write the statement under allergens in materials/%s.yaml; it always wins", s.Material),
	}
}

// allergen finds the entry that a constituent of a scent is, and reports a name of a
// statement that is none, or a number that may be one of several. What is published of an
// oil goes by names that are known. It is false where nothing is to be added: of a scent
// that is one essential oil, and an entry itself, the whole counts already.
func (c *compiler) allergen(h bar.Held, rule *market.Allergens) (market.Allergen, bool) {
	var whole bar.Names
	if parts := c.batter.Sources[h.Source].Parts; len(parts) == 1 {
		whole = parts[0].Names
	}
	found := rule.Find(h.Name)
	if slices.ContainsFunc(found, func(a market.Allergen) bool { return isEntry(rule, a, whole) }) {
		return market.Allergen{}, false
	}
	switch len(found) {
	case 1:
		return found[0], true
	case 0:
		if h.Basis == bar.Stated && !market.Knows(h.Name) { // what stands on another list of the law is judged elsewhere
			c.unknownAllergen(h.Name, h.At, rule)
		}
		return market.Allergen{}, false
	}
	var labels []string
	for _, a := range found {
		labels = append(labels, fmt.Sprintf("%q", a.Label))
	}
	c.report(finding.Stop, RuleAmbiguous, h.At, fmt.Sprintf("%q may be %s: the number does not tell them apart", h.Name, strings.Join(labels, " or ")),
		"ask the supplier which it is, and write the name in the place of the number")
	return market.Allergen{}, false
}

func (c *compiler) unknownAllergen(name string, at finding.Pos, rule *market.Allergens) {
	remedy := "write its name of the list, or its CAS number; take the line out if the supplier confirms that it is no listed allergen"
	if near := market.NearestSubstance(name); near != "" {
		remedy = fmt.Sprintf("did you mean %q? If it is another substance, %s", near, remedy)
	}
	c.report(finding.Stop, RuleNoAllergen, at, fmt.Sprintf("%q is no name of any list of allergens that is known here, so whether it must be named is not known", name), remedy)
}
