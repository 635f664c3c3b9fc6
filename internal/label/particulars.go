package label

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
)

// particulars says who made the bar, where, when, and who answers for it.
func (c *compiler) particulars() error {
	maker, whole := c.shop.Maker, finding.Pos{File: c.shop.File}
	answers, err := c.answers()
	if err != nil {
		return err
	}
	// A maker may answer for the soap in person.
	isMaker := func(a answer) bool { return sameAddress(a.person, maker.Address) }
	elsewhere := slices.ContainsFunc(answers, func(a answer) bool { return a.given && !isMaker(a) })
	_, asked := c.law.Statement(string(DutyMaker))
	switch {
	case asked:
		c.say(Statement{Duty: DutyMaker, Field: "maker", Lines: address(maker.Address)}, whole)
	case !slices.ContainsFunc(answers, isMaker):
		// Whose soap it is still belongs on it, as long as there is room.
		c.say(Statement{Duty: DutyMaker, Field: "maker.name", Lines: lines(maker.Name.V)}, whole)
	}
	if err := c.responsible(answers); err != nil {
		return err
	}
	if rule, ok := c.law.Statement(string(DutyOrigin)); ok && (rule.AskedOf(maker.MadeIn.V) || !maker.MadeIn.Given() && elsewhere) {
		origin := Statement{Duty: DutyOrigin, Field: "maker.made_in"}
		if maker.MadeIn.Given() {
			origin.Lines = lines(c.phrases.MadeIn(maker.MadeIn.V))
		}
		c.say(origin, whole)
	}
	c.contact()
	batch := Statement{Duty: DutyBatch, Field: "batch"}
	if c.making.Batch != "" {
		batch.Lines = lines(c.phrases.Batch(c.making.Batch))
	}
	c.say(batch, c.formula.Name.At)
	c.durability()
	return nil
}

// An answer is who answers for the bar in one place.
type answer struct {
	rule   *market.Statement // that asks for a person; nil where no law does
	place  string
	from   string // the place for which the shop names the person
	person formula.Address
	given  bool
}

// answers gives an answer for each rule that asks for a responsible person. Where
// none does, one that the shop names for the place is one all the same.
func (c *compiler) answers() ([]answer, error) {
	var all []answer
	for _, rule := range c.law.Statements {
		if rule.Duty != string(DutyResponsible) {
			continue
		}
		place, err := market.Place(rule.Market)
		if err != nil {
			return nil, err
		}
		a := answer{rule: &rule, place: place, from: place}
		for _, from := range append([]string{place}, rule.AlsoFrom...) {
			if a.person, a.given = c.shop.Responsible[from]; a.given {
				a.from = from
				break
			}
		}
		all = append(all, a)
	}
	if len(all) == 0 {
		person, given := c.shop.Responsible[c.law.Place]
		all = append(all, answer{place: c.law.Place, from: c.law.Place, person: person, given: given})
	}
	return all, nil
}

// responsible prints who answers for the bar: each person once, and with the place
// before the name where there are several.
func (c *compiler) responsible(answers []answer) error {
	var named []string
	for _, a := range answers {
		if a.given && !slices.Contains(named, a.from) {
			named = append(named, a.from)
		}
	}
	printed := map[string]bool{}
	for _, a := range answers {
		s := Statement{Duty: DutyResponsible, Field: "responsible_person." + a.from, Lines: address(a.person)}
		if len(named) > 1 {
			s.Heading = strings.ToUpper(a.from) + ":"
		}
		switch {
		case printed[a.from]:
		case a.rule == nil:
			c.add(s)
		case a.given && len(s.Lines) == 0:
			c.findings = append(c.findings, a.rule.Finding(a.person.Name.At, fmt.Sprintf("the responsible person of %q has no address, or no name", a.from)))
		default:
			c.sayBy(*a.rule, s, finding.Pos{File: c.shop.File})
		}
		printed[a.from] = true
		if a.from != a.place {
			if err := c.serves(a); err != nil {
				return err
			}
		}
	}
	return nil
}

// serves notes that the person of another place serves, and until when by the rule.
func (c *compiler) serves(a answer) error {
	rules, err := market.Rules(a.rule.Market)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(rules, func(r market.Rule) bool { return r.ID == a.rule.ID })
	c.findings = append(c.findings, finding.Finding{
		Level: finding.Note, Rule: RulePerson, At: c.shop.Responsible[a.from].Name.At, Market: c.law.Market, Cite: a.rule.Cite, Remedy: a.rule.Remedy,
		Message: fmt.Sprintf("the responsible person of %q serves in %q as well, but only for a time (the rule: %s)", a.from, a.place, rules[i].Condition),
	})
	return nil
}

// contact says how buyers reach the maker. Where the law lets an address that the
// label bears serve, it may be left out.
func (c *compiler) contact() {
	contact := c.shop.Maker.Contact
	s := Statement{Duty: DutyContact, Field: "maker.contact"}
	rule, asked := c.law.Statement(string(DutyContact))
	switch {
	case contact.Web.Given():
		// without what every browser adds by itself
		s.Lines = lines(strings.TrimSuffix(strings.TrimPrefix(strings.TrimPrefix(contact.Web.V, "https://"), "http://"), "/"))
	case contact.Email.Given():
		s.Lines = lines(contact.Email.V)
	case asked: // nobody's telephone is printed unasked
		s.Lines = lines(contact.Phone.V)
	}
	if !asked {
		c.add(s)
		return
	}
	if maker, ok := c.content.Find(DutyMaker); rule.ByAddress && ok && len(maker.Lines) > 1 {
		rule.Required = false
	}
	c.sayBy(rule, s, finding.Pos{File: c.shop.File})
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
