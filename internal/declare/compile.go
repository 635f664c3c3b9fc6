package declare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// Compile makes the declaration of a batter in a market, with what was found on
// the way. The error is [bar.ErrLyeHeavy]: such a bar has none.
func Compile(batter *bar.Batter, law *market.Law, style market.Style) (Declaration, error) {
	cured, err := batter.Cured(bar.Unweighed)
	if err != nil {
		return Declaration{}, err
	}
	shown := cured
	if style == market.AsMade {
		if shown, err = batter.Made(); err != nil {
			return Declaration{}, err
		}
	}
	c := &compiler{batter: batter, law: law, style: style, bar: shown}
	c.masses = shown.Masses()
	c.group()
	allergens := c.nameAllergens(cured)
	c.order()
	d := Declaration{
		Formula: batter.Formula, Market: law.Market, On: law.On, Style: style,
		Ingredients: c.ingredients(), Allergens: allergens,
	}
	d.Text = strings.Join(d.Names(), ", ")
	if law.SoapShare != nil {
		s := cured.SoapShare()
		d.Soap = &Soap{s.Soap, s.NonVolatile, s.Scent, 100 * s.Low(), 100 * s.High()}
	}
	c.reportSwaps(d.Ingredients)
	c.reportUnproved(d.Ingredients)
	c.reportMixed()
	if style == market.AsCured {
		c.assume()
		if err := c.compareAdded(); err != nil {
			return Declaration{}, err
		}
	}
	if !slices.Contains(law.List.Styles, style) {
		c.report(finding.Warn, RuleStyle, batter.At, fmt.Sprintf("the law of this market is not known to take a list in the style %s", style), "use another --style")
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
	masses   []float64 // of each line, where one figure is shown
	groups   []*group
	findings []finding.Finding
}

// A group is what becomes one ingredient: some lines of the bar, or a fixed mass
// of an allergen, under one printed name.
type group struct {
	name    string
	role    bar.Role
	zone    Zone
	lines   []bool        // which lines of the bar are in it
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

// name gives the name that the market prints for a line, and the zone of the
// list if the name alone decides it.
func (c *compiler) name(line bar.Line) (string, Zone) {
	own := line.Names.EU
	if c.law.List.Names == market.NamesUS {
		own = line.Names.US
	}
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
		if label, ok := c.law.Colourant(line.Names.ID, line.Names.EU, line.Names.US); ok {
			if c.law.ColourantsLast == nil {
				return label, ""
			}
			return label, Colourant
		}
		c.report(finding.Warn, RuleColourant, c.bar.Sources[line.Terms[0].Source].At,
			fmt.Sprintf("%q is no colourant in the law of this market as far as it is known here; it is listed as an ordinary ingredient", own),
			"ask the authority or your safety assessor whether it may colour soap there")
	}
	return own, ""
}

// question asks whether group a less group b can fall below nought. Either may be
// nil. What is a range counts against a.
func (c *compiler) question(a, b *group) bar.Question {
	q := bar.Question{Weights: make([]float64, len(c.bar.Lines))}
	for i := range q.Weights {
		if a != nil && a.lines[i] {
			q.Weights[i]++
		}
		if b != nil && b.lines[i] {
			q.Weights[i]--
		}
	}
	if a != nil {
		q.Const += a.fixed.Low
	}
	if b != nil {
		q.Const -= b.fixed.High
	}
	return q
}

// belowLine reports whether a group is certainly in the zone that has no order.
// Where it may be or not, the strict order is kept, which is lawful either way.
func (c *compiler) belowLine(g *group) bool {
	share := c.law.AnyOrder.Share.Fraction()
	q := c.question(nil, g)
	for i, line := range c.bar.Lines {
		if line.Counted() {
			q.Weights[i] += share
		}
	}
	answer := c.bar.Least(q)
	if c.law.AnyOrder.AtToo {
		return answer.Verdict == bar.Proved
	}
	return answer.Verdict == bar.Proved && answer.Low > c.bar.Tie()
}

// order gives each group its zone and sorts: by falling weight within each zone,
// which is lawful in those without an order too. Groups of equal weight keep the
// order of the formula.
func (c *compiler) order() {
	for _, g := range c.groups {
		switch {
		case g.zone != "":
		case c.belowLine(g):
			g.zone = AnyOrder
		default:
			g.zone = Ordered
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
	ranks := c.ranks()
	for i, g := range c.groups {
		list[i] = Ingredient{Name: g.name, Share: c.share(g), Rank: ranks[i], Zone: g.zone, From: g.from}
		if i+1 == len(c.groups) {
			break
		}
		next := c.groups[i+1]
		verdict := c.pair(g, next, &list[i])
		list[i].Next = &verdict
	}
	return list
}

// pair judges the order of a group and the next one.
func (c *compiler) pair(g, next *group, in *Ingredient) Order {
	if g.zone != Ordered || next.zone == Colourant {
		return Free
	}
	answer := c.bar.Least(c.question(g, next))
	switch answer.Verdict {
	case bar.Proved:
		in.Assumes = c.assumes(g, next)
		return Certain
	case bar.Unproved:
		return Unproved
	}
	if next.zone == AnyOrder {
		return Free
	}
	in.Assumes = c.assumes(g, next)
	masses, err := c.bar.At(answer.At)
	if err != nil {
		return Unproved
	}
	swapped := fmt.Sprintf("%s (%.1f g) stands before %s (%.1f g)", next.name, next.mass(masses), g.name, g.mass(masses))
	in.Witness = fmt.Sprintf("with %.1f %% of water left, %s", 100*answer.At.Water/c.bar.Total(masses), swapped)
	in.SettledBy = "a weighing of the cured bars, which tells the water left"
	if c.style == market.AsMade {
		in.Witness, in.SettledBy = "with other water in the crumbs, "+swapped, "the water in the crumbs"
	}
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

// reportSwaps says once at which places the order is open.
func (c *compiler) reportSwaps(list []Ingredient) {
	var open []string
	for i, in := range list {
		if in.Next != nil && *in.Next == CouldSwap {
			open = append(open, fmt.Sprintf("%s and %s (%s)", in.Name, list[i+1].Name, in.Witness))
		}
	}
	if len(open) > 0 {
		what, remedy := "the water left decides", "weigh cured bars before printing"
		if c.style == market.AsMade {
			what, remedy = "the water in the crumbs decides", "ask for it, or weigh crumbs before and after drying"
		}
		c.report(finding.Warn, RuleSwap, c.batter.At, what+" the order of "+strings.Join(open, ", and of "), remedy+"; the list shown is that of the bar where one figure is shown")
	}
}

// reportUnproved says once that nothing could be shown of the order at some places.
func (c *compiler) reportUnproved(list []Ingredient) {
	open := 0
	for _, in := range list {
		if in.Next != nil && *in.Next == Unproved {
			open++
		}
	}
	if open > 0 {
		c.report(finding.Warn, RuleUnproved, c.batter.At, fmt.Sprintf("neither order could be shown of %d of the %d pairs of the list: too little is known of what is in the bar", open, len(list)-1), "take fewer things of which only an order, a range or the making is known")
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

// ranks gives the places at which each group can stand.
func (c *compiler) ranks() []Rank {
	ranks := make([]Rank, len(c.groups))
	for i, g := range c.groups {
		first, last := i, i
		for first > 0 && c.groups[first-1].zone == g.zone {
			first--
		}
		for last+1 < len(c.groups) && c.groups[last+1].zone == g.zone {
			last++
		}
		ranks[i] = Rank{first + 1, last + 1}
		if g.zone != Ordered {
			continue
		}
		for j := first; j <= last; j++ {
			switch {
			case j < i && c.certainlyAbove(c.groups[j], g):
				ranks[i].Earliest++
			case j > i && c.certainlyAbove(g, c.groups[j]):
				ranks[i].Latest--
			}
		}
	}
	return ranks
}

// certainlyAbove reports whether a weighs more than b in every allowed bar.
func (c *compiler) certainlyAbove(a, b *group) bool {
	answer := c.bar.Least(c.question(a, b))
	return answer.Verdict == bar.Proved && answer.Low > c.bar.Tie()
}

// share gives the part of the bar that a group makes up. It is a ratio of two
// masses that are linear in the water.
func (c *compiler) share(g *group) Percent {
	at := func(masses []float64, fixed float64) float64 {
		return 100 * (g.lineMass(masses) + fixed) / c.bar.Total(masses)
	}
	if !c.bar.Exact() {
		return Percent{Low: 0, Nominal: at(c.masses, g.fixed.Middle()), High: 100} // no more is shown of a set
	}
	return Percent{
		Low:     c.bar.Span(func(masses []float64) float64 { return at(masses, g.fixed.Low) }).Low,
		Nominal: at(c.masses, g.fixed.Middle()),
		High:    c.bar.Span(func(masses []float64) float64 { return at(masses, g.fixed.High) }).High,
	}
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

// assume says what was taken for granted in the style as cured.
func (c *compiler) assume() {
	low, nominal, high := c.bar.WaterShare()
	c.report(finding.Note, RuleWater, c.batter.At, fmt.Sprintf("no bar was weighed: the water left is taken as %.3g to %.3g %% of the bar, and %.3g %% where one figure is shown",
		100*low, 100*high, 100*nominal), "weigh cured bars")
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
	if !c.law.List.OrderedByAdded {
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
	var names []string
	for _, g := range added {
		names = append(names, g.name)
	}
	f := c.law.List.Rule.Finding(c.batter.At, "")
	f.Level, f.Rule, f.Remedy = finding.Warn, RuleAdded, "ask the authority or your safety assessor which order it wants to see"
	f.Message = "the law orders by the weight when added; with all the water that was poured the list would begin " + strings.Join(names, ", ")
	c.findings = append(c.findings, f)
	return nil
}
