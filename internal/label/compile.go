package label

import (
	"fmt"
	"strings"

	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/phrase"
)

// The rule ids of this package.
const (
	RuleUnweighed = "LABEL-UNWEIGHED" // the net weight rests on no weighing
	RuleClaim     = "LABEL-CLAIM"     // a net weight that cannot be printed
	RuleExpired   = "LABEL-EXPIRED"   // the end of durability is past
	RuleWords     = "LABEL-WORDS"     // the words were not judged
	RuleSize      = "LABEL-SIZE"      // the size of the bar is not given
	RuleMade      = "LABEL-MADE"      // durability counts from a day that was assumed
)

// A Making is what is known of the bars that the label is for.
type Making struct {
	Made    day.Day // the day from which durability counts
	Assumed bool    // nobody gave that day
	Batch   string  // the batch code; "" where none is given
}

// Compile puts together the label of one cut of a formula in one market. Each
// particular that the law asks for and that is missing is a finding.
func Compile(f formula.Formula, shop formula.Shop, cut formula.Cut, d declare.Declaration, law *market.Law, making Making) (Content, []finding.Finding, error) {
	phrases, err := phrase.In(law.Language)
	if err != nil {
		return Content{}, nil, fmt.Errorf("market %s: %w", law.Market, err)
	}
	c := compiler{
		formula: f, shop: shop, cut: cut, declaration: d, law: law, making: making, phrases: phrases,
		content: Content{Formula: f.ID, Market: law.Market, Language: law.Language,
			Bar: Bar{Length: cut.Length.V, Width: cut.Width.V, Height: cut.Height.V}},
	}
	if !cut.Length.Given() || !cut.Width.Given() || !cut.Height.Given() {
		c.report(finding.Stop, RuleSize, cut.Name.At, fmt.Sprintf("the size of the cut %q is not given, and a label is made to measure", cut.Name.V), "write length, width and height of the cured bar, such as length: 80 mm")
	}
	c.front()
	c.particulars()
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
	phrases     phrase.Set
	content     Content
	findings    []finding.Finding
}

func (c *compiler) report(level finding.Level, rule string, at finding.Pos, message, remedy string) {
	c.findings = append(c.findings, finding.Finding{Level: level, Rule: rule, At: at, Message: message, Remedy: remedy, Market: c.law.Market})
}

// say adds a statement. What the law of the market says of its duty goes with
// it; a statement that the law asks for and that has no words is a finding.
func (c *compiler) say(s Statement, at finding.Pos) {
	rule, regulated := c.law.Statement(string(s.Duty))
	if regulated {
		if len(s.Lines) == 0 {
			if rule.Required {
				c.findings = append(c.findings, rule.Finding(at, ""))
			}
			return
		}
		s.Panel, s.Required, s.Bold, s.Cite = Panel(rule.Panel), rule.Required, rule.Bold, rule.Cite
		s.Letters = c.letters(rule.Letters)
		s.Place = Placement{rule.LowestPart, rule.UnlessPanelTo, rule.ClearHeights, rule.ClearWidthsN}
	}
	if len(s.Lines) == 0 {
		return
	}
	if s.Panel == "" {
		s.Panel = Any
	}
	c.content.Statements = append(c.content.Statements, s)
}

// letters turns what the law asks into steps by area. Where it goes by the
// quantity, which is known here, one step for all areas is left.
func (c *compiler) letters(l market.Letters) Letters {
	letters := Letters{Measured: Measured(l.Measured)}
	for _, step := range l.ByArea {
		letters.Steps = append(letters.Steps, HeightStep{step.Over, step.Min})
	}
	for _, step := range l.ByQuantity {
		if step.Over == 0 || c.cut.ClaimMass() > step.Over {
			letters.Steps = []HeightStep{{Min: step.Min}}
		}
	}
	return letters
}

// front says what stands on the principal display panel.
func (c *compiler) front() {
	c.report(finding.Note, RuleWords, c.formula.Name.At, "the words of the label are not judged by this version: a claim in them, such as one of an effect on the skin, can make the bar another product in law", "say in them what the bar is, not what it does")
	f, words := c.formula, c.formula.Words[c.law.Language]
	c.say(Statement{Duty: DutyName, Field: "name", Panel: Principal, Lines: lines(f.Name.V)}, f.Name.At)
	identity, field := f.Identity, "identity"
	if own, ok := words["identity"]; ok {
		identity, field = own, "words."+c.law.Language+".identity"
	}
	c.say(Statement{Duty: DutyIdentity, Field: field, Panel: Principal, Lines: lines(identity.V)}, f.Name.At)
	c.say(Statement{Duty: DutyTagline, Field: "words." + c.law.Language + ".tagline", Panel: Principal, Lines: lines(words["tagline"].V)}, f.Name.At)

	net := Statement{Duty: DutyNetQuantity, Field: "cuts." + c.cut.Name.V + ".claim", Panel: Principal}
	rule, regulated := c.law.Statement(string(DutyNetQuantity))
	if regulated && c.cut.Claim.Given() {
		words, ok := rule.Form.NetWeight(c.cut.Claim.V)
		if !ok {
			c.report(finding.Stop, RuleClaim, c.cut.Claim.At, fmt.Sprintf("the claim %q is too small to be printed as a net weight", c.cut.Claim.V), "write the net weight of one bar, such as claim: 4 oz")
			return
		}
		net.Lines = lines(words)
		c.report(finding.Warn, RuleUnweighed, c.cut.Claim.At, fmt.Sprintf("the net weight %q rests on no weighing: cured bars that weigh less would make it untrue", net.Lines[0]), "weigh cured bars of this batch, and claim no more than the lightest can be relied on to keep")
	}
	c.say(net, c.cut.Name.At)
}

// particulars says who made the bar, where, when, and who answers for it.
func (c *compiler) particulars() {
	maker, whole := c.shop.Maker, finding.Pos{File: c.shop.File}
	person, given := c.shop.Responsible[c.law.Place]
	elsewhere := given && !sameAddress(person, maker.Address) // a maker may answer for the soap in person
	_, asked := c.law.Statement(string(DutyMaker))
	switch {
	case asked:
		c.say(Statement{Duty: DutyMaker, Field: "maker", Lines: address(maker.Address)}, whole)
	case elsewhere:
		// Somebody else answers for the bar there; whose soap it is still belongs
		// on it, as long as there is room.
		c.say(Statement{Duty: DutyMaker, Field: "maker.name", Lines: lines(maker.Name.V)}, whole)
	}
	c.say(Statement{Duty: DutyResponsible, Field: "responsible_person." + c.law.Place, Lines: address(person)}, whole)
	if rule, ok := c.law.Statement(string(DutyOrigin)); ok && (!rule.Imported || elsewhere || maker.MadeIn.Given()) {
		origin := Statement{Duty: DutyOrigin, Field: "maker.made_in"}
		if maker.MadeIn.Given() {
			origin.Lines = lines(c.phrases.MadeIn(maker.MadeIn.V))
		}
		c.say(origin, whole)
	}
	c.say(Statement{Duty: DutyContact, Field: "maker.contact", Lines: lines(c.contact())}, whole)
	batch := Statement{Duty: DutyBatch, Field: "batch"}
	if c.making.Batch != "" {
		batch.Lines = lines(c.phrases.Batch(c.making.Batch))
	}
	c.say(batch, c.formula.Name.At)
	c.durability()
}

// contact gives the web address, without what every browser adds by itself, or the
// e-mail address where there is no web address.
func (c *compiler) contact() string {
	contact := c.shop.Maker.Contact
	if contact.Web.Given() {
		return strings.TrimSuffix(strings.TrimPrefix(strings.TrimPrefix(contact.Web.V, "https://"), "http://"), "/")
	}
	return contact.Email.V
}

func (c *compiler) durability() {
	rule, asked := c.law.Statement(string(DutyDurability))
	if !asked {
		return
	}
	months := c.formula.Keep.Durability
	s := Statement{Duty: DutyDurability, Field: "keep.durability"}
	at := c.formula.Name.At
	if months.Given() {
		at = months.At
	}
	switch {
	case rule.DatedUpTo > 0 && months.V > rule.DatedUpTo:
		c.findings = append(c.findings, rule.Finding(at, fmt.Sprintf("a durability of %d months is shown by the open-jar symbol, which this version does not draw", months.V)))
		return
	case months.Given():
		keeps := c.making.Made.AddMonths(months.V)
		if keeps.IsZero() {
			c.findings = append(c.findings, rule.Finding(at, "the end of durability lies past the calendar"))
			return
		}
		end := lastWholeMonth(keeps)
		s.Lines = lines(c.phrases.BestBefore(end.Time().Format("01/2006")))
		if end.Before(c.law.On) {
			c.report(finding.Stop, RuleExpired, at, fmt.Sprintf("the soap keeps until %s, which is past on %s", end, c.law.On), "do not sell these bars, or give the right day of making with --made")
		}
		if c.law.On.Before(c.making.Made) {
			c.report(finding.Warn, RuleMade, at, fmt.Sprintf("the day of making, %s, is after %s, the day of the label", c.making.Made, c.law.On), "compare --made and --on")
		}
		if c.making.Assumed {
			c.report(finding.Note, RuleMade, at, fmt.Sprintf("durability is counted from %s, since the day of making is not given", c.making.Made), "give the day with --made")
		}
	}
	c.say(s, at)
}

// lastWholeMonth gives the last day of the last month that is over when a day is:
// a label that names a month promises all of it.
func lastWholeMonth(end day.Day) day.Day {
	if next := end.AddDays(1); next.Time().Day() == 1 {
		return end
	}
	return end.AddDays(-end.Time().Day())
}

// information says what stands in small type: the list and the caution.
func (c *compiler) information() {
	list := c.law.List
	c.content.Statements = append(c.content.Statements, Statement{
		Duty: DutyIngredients, Field: "pot", Panel: Information, Required: list.Required,
		Heading: list.Heading + ":", Names: c.declaration.Names(), Cite: list.Cite,
	})
	c.say(Statement{Duty: DutyCaution, Field: "phrase.caution", Heading: c.phrases.CautionHeading, Lines: lines(c.phrases.Caution)}, c.formula.Name.At)
}

// sameAddress reports whether two addresses are one, however they are written.
func sameAddress(a, b formula.Address) bool {
	fold := func(lines []string) string {
		return strings.ToLower(strings.Join(strings.Fields(strings.Join(lines, " ")), " "))
	}
	return fold(address(a)) == fold(address(b))
}

// address gives a name and the lines below it. A name alone is no address.
func address(a formula.Address) []string {
	if !a.Name.Given() || len(a.Lines) == 0 {
		return nil
	}
	all := []string{a.Name.V}
	for _, line := range a.Lines {
		all = append(all, line.V)
	}
	return all
}

// lines gives the words as one paragraph, and none for no words.
func lines(words string) []string {
	if words == "" {
		return nil
	}
	return []string{words}
}
