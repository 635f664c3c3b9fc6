package declare

import (
	"fmt"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// Compile makes the declaration of a batter in a market, with what was found on
// the way. The error is that of [bar.Bar.At]: such a bar has none.
func Compile(batter *bar.Batter, law *market.Law, style market.Style) (Declaration, error) {
	cured, err := batter.Cured(batter.WaterLeft.AsSold()) // allergens go by the driest bar
	if err != nil {
		return Declaration{}, err
	}
	shown := cured
	switch {
	case style == market.AsMade:
		shown, err = batter.Made()
	case batter.WaterLeft.Driest < batter.WaterLeft.Low: // the order goes by the day of packing
		shown, err = batter.Cured(batter.WaterLeft)
	}
	if err != nil {
		return Declaration{}, err
	}
	c := &compiler{batter: batter, law: law, style: style, bar: shown, known: map[string]*bar.Bar{}}
	c.masses, c.weight = shown.Masses(), shown.Weight()
	c.all = &group{lines: make([]bool, len(shown.Lines))}
	for i, line := range shown.Lines {
		c.all.lines[i] = line.Counted()
	}
	c.group()
	allergens := c.nameAllergens(cured)
	c.order()
	d := Declaration{
		Formula: batter.Formula, Market: law.Market, On: law.On, Style: style,
		Ingredients: c.ingredients(), Allergens: allergens,
		Bar: shown, Batter: batter, allergens: law.Allergens,
	}
	d.Text = strings.Join(d.Names(), ", ")
	if law.SoapShare != nil {
		s := cured.SoapShare()
		d.Soap = &Soap{s.Soap, s.NonVolatile, s.Scent, 100 * s.Low(), 100 * s.High()}
	}
	c.reportOpen(d.Ingredients)
	c.reportMixed()
	if style == market.AsCured {
		c.assume()
		if err := c.compareAdded(); err != nil {
			return Declaration{}, err
		}
	}
	if !slices.Contains(law.List.Styles, style) {
		f := law.List.Rule.Finding(batter.At, fmt.Sprintf("the law of this market does not take a list in the style %s", style))
		var taken []string
		for _, style := range law.List.Styles {
			taken = append(taken, string(style))
		}
		f.Rule, f.Remedy = RuleStyle, "use --style "+strings.Join(taken, " or ")
		c.findings = append(c.findings, f)
	}
	finding.Sort(c.findings)
	d.Findings = append([]finding.Finding{}, c.findings...)
	return d, nil
}

// A compiler carries what Compile has found so far.
type compiler struct {
	batter   *bar.Batter
	law      *market.Law
	style    market.Style
	bar      *bar.Bar
	masses   []float64           // of each line, where one figure is shown
	weight   measure.Range       // g of the whole bar
	all      *group              // all that the bar weighs
	known    map[string]*bar.Bar // the bar with some figures known, by what they are
	groups   []*group
	findings []finding.Finding
}

// A group is what becomes one ingredient: some lines of the bar, or a fixed mass
// of an allergen, under one printed name.
type group struct {
	name    string
	role    bar.Role
	zone    Zone
	lines   []bool // which lines of the bar are in it
	side    Side
	share   Percent
	fixed   measure.Range // g that are in no line of their own
	nominal float64       // g in the bar that is shown
	from    []string
}

func (c *compiler) report(level finding.Level, rule string, at finding.Pos, message, remedy string) {
	c.findings = append(c.findings, finding.Finding{Level: level, Rule: rule, At: at, Message: message, Remedy: remedy, Market: c.law.Market})
}

// group puts lines with the same printed name together.
func (c *compiler) group() {
	byName := map[string]*group{}
	for i, line := range c.bar.Lines {
		if !line.Declared() || c.masses[i] <= c.bar.Tie() {
			continue
		}
		name, zone := c.name(line)
		g := byName[name]
		if g == nil {
			g = &group{name: name, role: line.Role, zone: zone, lines: make([]bool, len(c.bar.Lines))}
			byName[name] = g
			c.groups = append(c.groups, g)
		}
		g.lines[i] = true
		g.nominal += c.masses[i]
		g.from = appendNew(g.from, c.refs(line)...)
		if line.Names.Analogy {
			c.report(finding.Warn, RuleAnalogy, c.bar.Sources[line.Terms[0].Source].At,
				fmt.Sprintf("the name %q stands on no list that was read; it is formed after the pattern of listed names", name),
				"use the style as-made, or ask the authority or your safety assessor for the name")
		}
	}
}

// refs gives the places of the formula that a line comes from: for the water left,
// those that brought water which is declared as such.
func (c *compiler) refs(line bar.Line) []string {
	var refs []string
	for _, t := range line.Terms {
		if t.Product != bar.Moisture {
			refs = append(refs, c.bar.Sources[t.Source].Ref)
			continue
		}
		for _, s := range c.bar.Sources {
			wet := slices.ContainsFunc(s.Parts, func(p bar.Part) bool { return p.Role == bar.Water && p.Names.ID != "" })
			if wet && s.Bought == nil && s.Mass > 0 {
				refs = append(refs, s.Ref)
			}
		}
	}
	return refs
}

// spoken gives what a substance is called, with its French name where it has a trivial one.
func spoken(names bar.Names) market.Spoken {
	s := market.Spoken{US: names.US, EU: names.EU}
	if trivial, ok := inci.TrivialByName(names.EU); ok && names.EU != "" {
		s.French = trivial.French
	}
	return s
}

// name gives the name that the market prints for a line, and the zone of the
// list if the name alone decides it.
func (c *compiler) name(line bar.Line) (string, Zone) {
	switch line.Role {
	case bar.Substance:
		if a, ok := c.isAllergen(line); ok {
			return a.Label, ""
		}
	case bar.Water:
		return c.law.List.Water, ""
	case bar.Perfume:
		return c.law.List.Perfume, ""
	case bar.EssentialOil:
		if c.law.List.OilsAsPerfume {
			return c.law.List.Perfume, ""
		}
	case bar.Colourant:
		name, listed := c.law.Colourant(spoken(line.Names), line.Names.ID, line.Names.EU, line.Names.US)
		if listed && c.law.ColourantsLast != nil {
			return name, Colourant
		}
		return name, ""
	}
	return c.law.List.Name(spoken(line.Names)), ""
}

// reportOpen says once at which places the order is open, and what would settle it.
func (c *compiler) reportOpen(list []Ingredient) {
	for _, kind := range []struct {
		order      Order
		rule, what string
	}{
		{CouldSwap, RuleSwap, "could be the other way round"},
		{Unproved, RuleUnproved, "could be neither proved nor refuted"},
	} {
		var pairs, remedies []string
		for i, in := range list {
			if in.Next == nil || *in.Next != kind.order {
				continue
			}
			pairs = append(pairs, in.Name+" and "+list[i+1].Name)
			if in.SettledBy != "" {
				remedies = appendNew(remedies, in.SettledBy)
			}
		}
		if len(pairs) == 0 {
			continue
		}
		remedy := "look at the list of declare, which tells for each pair what would settle it"
		if len(remedies) == 1 {
			remedy = remedies[0]
		} else if len(remedies) > 1 {
			remedy += "; first: " + remedies[0]
		}
		c.report(finding.Warn, kind.rule, c.batter.At, "the order of "+strings.Join(pairs, ", of ")+" "+kind.what+"; printed is that of the bar where one figure is shown", remedy)
	}
}

// reportMixed warns of a list as made that has soaps beside the alkali: those of crumbs,
// of which the list says what they are and not what they were made of.
func (c *compiler) reportMixed() {
	has := func(role bar.Role) bool {
		return slices.ContainsFunc(c.groups, func(g *group) bool { return g.role == role })
	}
	if c.style == market.AsMade && has(bar.Alkali) && has(bar.Salt) {
		c.report(finding.Warn, RuleMixed, c.batter.At, "what went into the pot stands beside the soaps of the crumbs: two ways of declaring are mixed in one list", "use the style as-cured")
	}
}

// assume says what was taken for granted in the style as cured.
func (c *compiler) assume() {
	water := c.bar.WaterShare()
	says := fmt.Sprintf("%.3g to %.3g %% of the bar, and %.3g %% where one figure is shown", 100*water.Low, 100*water.High, 100*water.Nominal)
	if c.batter.WaterLeft == bar.Unweighed {
		c.report(finding.Note, RuleWater, c.batter.At, "no bar was weighed, or not often enough: the water left is taken as "+says, "weigh cured bars")
	} else {
		c.report(finding.Note, RuleWater, c.batter.At, "by the weighings of the bars the water left on the day they are packed is, by 95 %, "+says, "")
	}
	var bought []string
	for _, line := range c.bar.Lines {
		if line.Role == bar.Bought {
			bought = append(bought, line.Names.US)
		}
	}
	if len(bought) > 0 {
		c.report(finding.Note, RuleBought, c.batter.At, fmt.Sprintf("%s is declared as the thing bought, by what was added of it, water and all, whatever of it is left", strings.Join(bought, ", ")), "")
	}
	if c.batter.HasLye() && c.batter.Superfat() > 1e-9 {
		c.report(finding.Note, RuleLeftOver, c.batter.At, "the left-over oil is taken to be shared evenly among the oils; which oil it is nobody can know", "")
	}
}

// compareAdded warns where the law orders by the weights when added, and the
// order of the bar as poured is another one than that of the cured bar.
func (c *compiler) compareAdded() error {
	if c.law.List.OrderedBy == market.InTheBar {
		return nil
	}
	fresh, err := c.batter.Fresh()
	if err != nil {
		return err
	}
	masses := fresh.Masses()
	added := slices.DeleteFunc(slices.Clone(c.groups), func(g *group) bool { return g.zone != Ordered })
	before := slices.Clone(added)
	slices.SortStableFunc(added, func(a, b *group) int {
		return c.byWeight(a.mass(masses), b.mass(masses))
	})
	if slices.Equal(added, before) {
		return nil
	}
	var names []string // down to the first that stands elsewhere
	for i, g := range added {
		names = append(names, g.name)
		if g != before[i] {
			break
		}
	}
	f := c.law.List.Rule.Finding(c.batter.At, "")
	f.Level, f.Rule = finding.Warn, RuleAdded
	f.Remedy = "ask the authority or your safety assessor which order it wants to see"
	begins := "with all the water that was poured the list would begin " + strings.Join(names, ", ")
	switch c.law.List.OrderedBy {
	case market.WhenAdded:
		f.Message = "the law orders by the weight when added; " + begins
	case market.NotSaid:
		f.Message = "the law orders by weight and does not say when; printed is the order of the cured bar; " + begins
	case market.Both:
		f.Level, f.Rule = finding.Stop, RuleConflict
		f.Message = "one of these laws orders by the weight when added and another by that in the bar; " + begins
		f.Remedy = "make a label of its own for each of them"
	}
	c.findings = append(c.findings, f)
	return nil
}
