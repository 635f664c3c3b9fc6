package label

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/measure"
	"saponym/internal/phrase"
)

// The rule ids of this package.
const (
	RuleUnweighed = "LABEL-UNWEIGHED" // the net weight rests on no weighing
	RuleOver      = "LABEL-OVER"      // the bars weigh less than the net weight
	RuleLasting   = "LABEL-LASTING"   // they will, before the last of them is sold
	RuleLargest   = "LABEL-LARGEST"   // nothing was claimed, and what the bars keep is printed
	RuleClaim     = "LABEL-CLAIM"     // a net weight that cannot be printed
	RuleExpired   = "LABEL-EXPIRED"   // the end of durability is past
	RuleWords     = "LABEL-WORDS"     // the words were not judged
	RuleSize      = "LABEL-SIZE"      // the size of the bar is not given
	RuleMade      = "LABEL-MADE"      // durability counts from a day that was assumed
	RuleLanguage  = "LABEL-LANGUAGE"  // words that no law asks for lack a language of the label
	RulePerson    = "LABEL-PERSON"    // the responsible person of another place serves, for a time
)

// A Making is what is known of the bars that the label is for.
type Making struct {
	Made    day.Day    // the day from which durability counts
	Assumed bool       // nobody gave that day
	Batch   string     // the batch code; "" where none is given
	Dried   cure.Dried // what the weighings of the batch tell of the cut
	On      day.Day    // of the label
	Last    day.Day    // on which the bars are sold
}

// Compile puts together the label of one cut of a formula in one market. Each
// particular that the law asks for and that is missing is a finding.
func Compile(f formula.Formula, shop formula.Shop, cut formula.Cut, d declare.Declaration, law *market.Law, making Making) (Content, []finding.Finding, error) {
	phrases, err := phrase.In(law.Languages...)
	if err != nil {
		return Content{}, nil, fmt.Errorf("market %s: %w", law.Market, err)
	}
	c := compiler{
		formula: f, shop: shop, cut: cut, declaration: d, law: law, making: making, phrases: phrases,
		content: Content{Formula: f.ID, Market: law.Market, Language: law.Languages[0],
			Bar: Bar{Length: cut.Length.V, Width: cut.Width.V, Height: cut.Height.V}},
	}
	if !cut.Length.Given() || !cut.Width.Given() || !cut.Height.Given() {
		c.report(finding.Stop, RuleSize, cut.Name.At, fmt.Sprintf("the size of the cut %q is not given, and a label is made to measure", cut.Name.V), "write length, width and height of the cured bar, such as length: 80 mm")
	}
	c.front()
	if err := c.particulars(); err != nil {
		return Content{}, nil, err
	}
	c.information()
	return c.content, c.findings, nil
}

type compiler struct {
	formula     formula.Formula
	shop        formula.Shop
	cut         formula.Cut
	declaration declare.Declaration
	law         *market.Law
	making      Making
	phrases     phrase.Sets
	content     Content
	findings    []finding.Finding
}

func (c *compiler) report(level finding.Level, rule string, at finding.Pos, message, remedy string) {
	c.findings = append(c.findings, finding.Finding{Level: level, Rule: rule, At: at, Message: message, Remedy: remedy, Market: c.law.Market})
}

// say adds a statement. What the law of the market says of its duty goes with
// it; a statement that the law asks for and that has no words is a finding.
func (c *compiler) say(s Statement, at finding.Pos) {
	if rule, regulated := c.law.Statement(string(s.Duty)); regulated {
		c.sayBy(rule, s, at)
		return
	}
	c.add(s)
}

// sayBy adds a statement that a rule is about.
func (c *compiler) sayBy(rule market.Statement, s Statement, at finding.Pos) {
	if s.empty() && rule.Required {
		c.findings = append(c.findings, rule.Finding(at, ""))
	}
	s.Panel, s.Required, s.Bold, s.Cite = Panel(rule.Panel), rule.Required, rule.Bold, rule.Cite
	s.Letters = c.letters(rule.Letters)
	s.Place = Placement{rule.LowestPart, rule.UnlessPanelTo, rule.ClearHeights, rule.ClearWidthsN, rule.ClearAround}
	for _, e := range rule.Exemptions {
		s.Exempt = append(s.Exempt, Exemption{e.When, e.Instead, e.Cite, e.Known.Confirmed()})
	}
	c.add(s)
}

// add adds a statement that has words.
func (c *compiler) add(s Statement) {
	if s.empty() {
		return
	}
	if s.Panel == "" {
		s.Panel = Any
	}
	c.content.Statements = append(c.content.Statements, s)
}

func (s Statement) empty() bool { return len(s.Lines) == 0 && len(s.Names) == 0 }

// letters turns what the law asks into steps by area. What goes by the quantity and
// by the largest dimension of the pack is known here, and holds for all areas.
func (c *compiler) letters(l market.Letters) Letters {
	least := measure.Length(0)
	for _, step := range l.ByQuantity {
		if step.Over == 0 || c.cut.ClaimMass() > step.Over {
			least = max(least, step.Min)
		}
	}
	for _, step := range l.ByDimension {
		if step.Over == 0 || max(c.cut.Length.V, c.cut.Width.V, c.cut.Height.V) > step.Over {
			least = max(least, step.Min)
		}
	}
	letters := Letters{Measured: Measured(l.Measured)}
	for _, step := range l.ByArea {
		letters.Steps = append(letters.Steps, HeightStep{step.Over, max(step.Min, least)})
	}
	if len(letters.Steps) == 0 && least > 0 {
		letters.Steps = []HeightStep{{Min: least}}
	}
	return letters
}

// front says what stands on the principal display panel.
func (c *compiler) front() {
	c.report(finding.Note, RuleWords, c.formula.Name.At, "the words of the label are not judged by this version: a claim in them, such as one of an effect on the skin, can make the bar another product in law", "say in them what the bar is, not what it does")
	c.say(Statement{Duty: DutyName, Field: "name", Panel: Principal, Lines: lines(c.formula.Name.V)}, c.formula.Name.At)
	c.identity()
	c.tagline()

	c.netQuantity()
}

// own gives the words that the formula has under a key in the languages of the
// label, as one line, where the first of them comes from, and the languages in which
// it has none. What stands for the first language without being written under it
// comes from a field of its own.
func (c *compiler) own(key string, usual formula.Text) (words, field string, lacking []string) {
	var said []string
	for i, language := range c.law.Languages {
		text, own := c.formula.Words[language][key]
		from := "words." + language + "." + key
		if i == 0 && !own && usual.Given() {
			text, from = usual, key
		}
		if text.V == "" {
			lacking = append(lacking, language)
			continue
		}
		if field == "" {
			field = from
		}
		if !slices.Contains(said, text.V) {
			said = append(said, text.V)
		}
	}
	return strings.Join(said, " / "), field, lacking
}

// identity says what the product is, in each language in which the law wants it.
func (c *compiler) identity() {
	words, field, lacking := c.own("identity", c.formula.Identity)
	c.say(Statement{Duty: DutyIdentity, Field: field, Panel: Principal, Lines: lines(words)}, c.formula.Name.At)
	rule, regulated := c.law.Statement(string(DutyIdentity))
	if !regulated || !rule.Required || words == "" {
		return
	}
	for _, language := range lacking {
		if slices.Contains(rule.Languages, language) {
			f := rule.Finding(c.formula.Name.At, fmt.Sprintf("the identity is not written in %q", language))
			f.Remedy = fmt.Sprintf("write words: {%s: {identity: …}} in the formula", language)
			c.findings = append(c.findings, f)
		}
	}
}

// tagline says the maker's own words in the languages in which they are written.
func (c *compiler) tagline() {
	words, field, lacking := c.own("tagline", formula.Text{})
	if words == "" {
		return
	}
	c.say(Statement{Duty: DutyTagline, Field: field, Panel: Principal, Lines: lines(words)}, c.formula.Name.At)
	for _, language := range lacking {
		c.report(finding.Note, RuleLanguage, c.formula.Name.At,
			fmt.Sprintf("the tagline is not written in %q: the law of the market asks that only of what must be on a label, but that of a region may ask it of all words", language),
			fmt.Sprintf("write words: {%s: {tagline: …}} in the formula to have it in that language as well", language))
	}
}

// information says what stands in small type: the list and the caution.
func (c *compiler) information() {
	list := c.law.List
	c.say(Statement{
		Duty: DutyIngredients, Field: "pot", Panel: Information, Required: list.Required,
		Heading: list.Heading + ":", Names: c.declaration.Names(), Cite: list.Cite,
	}, c.formula.Name.At)
	for i, phrases := range c.phrases {
		field := "phrase.caution"
		if i > 0 {
			field += "." + phrases.Language
		}
		c.say(Statement{Duty: DutyCaution, Field: field, Heading: phrases.CautionHeading, Lines: lines(phrases.Caution)}, c.formula.Name.At)
	}
}

// lines gives the words as one paragraph, and none for no words.
func lines(words string) []string {
	if words == "" {
		return nil
	}
	return []string{words}
}
