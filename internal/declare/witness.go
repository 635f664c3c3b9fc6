package declare

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/market"
)

// witness tells of an allowed bar in which the next group stands before a group: what is
// otherwise in it than in the bar that is shown, and what the two weigh there.
func (c *compiler) witness(q bar.Question, at bar.Point, g, next *group) string {
	at, gaps := c.bar.Simplest(q, at)
	masses, err := c.bar.At(at)
	if err != nil {
		return ""
	}
	var differs []string
	for _, gap := range gaps {
		if one := c.otherwise(gap, at, masses); !slices.Contains(differs, one) {
			differs = append(differs, one)
		}
	}
	heavier, lighter := apart(next.mass(masses), g.mass(masses))
	what := fmt.Sprintf("%s (%s g) stands before %s (%s g)", next.name, heavier, g.name, lighter)
	if len(differs) == 0 {
		return what
	}
	return "with " + and(differs) + ", " + what
}

// apart writes two different numbers with so many digits that one sees it.
func apart(a, b float64) (string, string) {
	const most = 9 // digits, of a nanogram
	for digits := 1; ; digits++ {
		x, y := strconv.FormatFloat(a, 'f', digits, 64), strconv.FormatFloat(b, 'f', digits, 64)
		if x != y || digits == most {
			return x, y
		}
	}
}

// otherwise says in words how a bar differs from the one that is shown.
func (c *compiler) otherwise(gap bar.Gap, at bar.Point, masses []float64) string {
	if gap.Matter == bar.Drying {
		return fmt.Sprintf("%.1f %% of water left", 100*at.Water/c.bar.Total(masses))
	}
	source := c.bar.Sources[gap.Source]
	if gap.Matter == bar.SAPValue {
		var values []string
		for j, part := range source.Parts {
			if part.Fat == nil || part.Fat.Spread.IsPoint() || at.Shares[gap.Source][j] < seen {
				continue
			}
			value := fmt.Sprintf("%.0f mg KOH/g", at.Fats[gap.Source][j].SAP)
			if len(source.Parts) > 1 {
				value += " in its " + c.own(part)
			}
			values = append(values, value)
		}
		return source.Work.Name + " at " + and(short(values))
	}
	var parts []string
	for j, share := range at.Shares[gap.Source] {
		if share < seen || source.Parts[j].Role == bar.Impurity {
			continue
		}
		parts = append(parts, percent(100*share)+" of "+c.own(source.Parts[j]))
	}
	return source.Work.Name + " at " + and(short(parts))
}

// seen is the share from which on a sentence names a part: less is printed as 0.0 %.
const seen = 0.0005

// longest is how many parts of a thing a sentence names.
const longest = 5

// short leaves out what a sentence cannot hold.
func short(words []string) []string {
	if len(words) <= longest {
		return words
	}
	return append(slices.Clone(words[:longest-1]), fmt.Sprintf("%d more", len(words)-longest+1))
}

// own gives the name of a part in a sentence.
func (c *compiler) own(part bar.Part) string {
	if part.Names.EU == "" && part.Role == bar.Perfume {
		return "scent"
	}
	if part.Names.EU == "" {
		return "other things"
	}
	return c.law.List.Name(spoken(part.Names))
}

// and joins words to a list.
func and(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// percent writes a share without more digits than it needs.
func percent(share float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(share, 'f', 1, 64), ".0") + " %"
}

// settledBy says which one figure would make the order of two groups certain, if it were
// what is shown, and how to ask for it; or which ones together.
func (c *compiler) settledBy(q bar.Question, g, next *group) string {
	gaps := c.bar.Gaps()
	for _, gap := range gaps {
		if gap.Matter == bar.Percentages {
			for j := range c.bar.Sources[gap.Source].Parts {
				one := bar.Gap{Matter: bar.Percentage, Source: gap.Source, Part: j}
				if c.in(one, g, next) && c.settles(q, one) {
					return c.ask(one)
				}
			}
		}
		if c.settles(q, gap) {
			return c.ask(gap)
		}
	}
	var together []bar.Gap
	for _, gap := range gaps {
		if together = append(together, gap); len(together) > 1 && c.settles(q, together...) {
			return c.askAll(c.needed(q, together))
		}
	}
	return ""
}

// needed leaves out of several figures those that are not needed to settle a question.
func (c *compiler) needed(q bar.Question, gaps []bar.Gap) []bar.Gap {
	for n := 0; n < len(gaps); {
		without := slices.Delete(slices.Clone(gaps), n, n+1)
		if c.settles(q, without...) {
			gaps = without
			continue
		}
		n++
	}
	return gaps
}

// in reports whether a part of a source is in one of two groups.
func (c *compiler) in(gap bar.Gap, pair ...*group) bool {
	for i, line := range c.bar.Lines {
		if !slices.ContainsFunc(pair, func(g *group) bool { return g.lines[i] }) {
			continue
		}
		for _, t := range line.Terms {
			if t.Source == gap.Source && t.Part == gap.Part && t.Product != bar.Moisture && t.Product != bar.BoughtMoisture {
				return true
			}
		}
	}
	return false
}

// settles reports whether a pair would be certain with these figures known.
func (c *compiler) settles(q bar.Question, gaps ...bar.Gap) bool {
	key := fmt.Sprint(gaps)
	known, ok := c.known[key]
	if !ok {
		known = c.bar.Knowing(gaps...)
		c.known[key] = known
	}
	return known != nil && known.Holds(q).Verdict == bar.Proved
}

// askAll says how to come by several figures.
func (c *compiler) askAll(gaps []bar.Gap) string {
	var all []string
	for _, gap := range gaps {
		if one := c.ask(gap); !slices.Contains(all, one) { // of one material that goes in twice
			all = append(all, one)
		}
	}
	if len(all) == 1 {
		return all[0]
	}
	return "these together: " + strings.Join(all, "; ")
}

// ask says how to come by a figure: the sentence to send to the supplier, or what to do.
func (c *compiler) ask(gap bar.Gap) string {
	if gap.Matter == bar.Drying {
		if c.style == market.AsMade {
			return "the water in the crumbs"
		}
		if c.batter.WaterLeft != bar.Unweighed {
			return "more weighings of the bars, which tell the water left better"
		}
		return "a weighing of the cured bars, which tells the water left"
	}
	source := c.bar.Sources[gap.Source]
	name := source.Work.Name
	switch gap.Matter {
	case bar.Purity:
		return fmt.Sprintf("ask for the certificate of the lot: “Please tell me the purity of the %s.”", name)
	case bar.SAPValue:
		if source.SAP != nil && source.SAP.IsPoint() { // of the whole it is known
			return c.letter(source, fmt.Sprintf("the saponification values of the oils in %s, each by itself", name))
		}
		return c.letter(source, fmt.Sprintf("the saponification value of %s", name))
	case bar.Percentage:
		return c.letter(source, fmt.Sprintf("the percentage of %s in %s", c.own(source.Parts[gap.Part]), name))
	}
	if source.Material == nil { // own bars, which are known but for what hangs on their drying and their oils
		return fmt.Sprintf("what is in %s, which a weighing of them before and after drying tells in part", name)
	}
	return c.letter(source, fmt.Sprintf("the percentages of all that is in %s", name))
}

// letter writes a question to a supplier, with what it is about.
func (c *compiler) letter(source bar.Source, what string) string {
	to := "the supplier"
	about := ""
	if m := source.Material; m != nil {
		if m.Statement.Supplier.Given() {
			to = m.Statement.Supplier.V
		}
		about = paper(source)
	}
	return fmt.Sprintf("ask %s: “Please tell me %s, for the lot that I have%s.”", to, what, about)
}

// paper says which paper of the supplier is at hand.
func paper(source bar.Source) string {
	var words []string
	if s := source.Material.Statement; s.Ref.Given() || s.Dated.Given() {
		if s.Ref.Given() {
			words = append(words, s.Ref.V)
		}
		if s.Dated.Given() {
			words = append(words, "of "+s.Dated.V.String())
		}
	}
	if len(words) == 0 {
		return ""
	}
	return " (your statement " + strings.Join(words, " ") + ")"
}
