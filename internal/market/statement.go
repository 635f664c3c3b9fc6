package market

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/measure"
	"saponym/internal/source"
)

// A Statement is a particular that the label must carry, or what the law asks of
// one that it may carry.
type Statement struct {
	Rule
	Duty       string
	Panel      string
	Required   bool
	Imported   bool     // asked of goods only whose maker is outside the place
	Home       []string // names by which the place goes in "made in", for [Statement.AskedOf]
	Languages  []string // in which it must stand; none: it has no language, or any will do
	AlsoFrom   []string // places whose person or address serves as well, on the days asked for
	ByAddress  bool     // a full postal address that the label bears serves as well
	Form       Form
	Bold       bool // the letters are boldface
	Letters    Letters
	DatedUpTo  int         // months of durability up to which a date is printed; 0 where no limit is known
	Exemptions []Exemption // ways of the law to carry it elsewhere, or not at all
	// Of the place on the principal display panel: within the lowest part of it
	// (0: anywhere), unless its area is at most that given, with so much free
	// space around in heights of the letters and widths of the letter N, and at
	// least so much.
	LowestPart    measure.Share
	UnlessPanelTo measure.Area
	ClearHeights  float64
	ClearWidthsN  float64
	ClearAround   measure.Length

	alsoFrom []alternative
	asked    []Statement // those that it serves, where it is one for several laws
}

// An Exemption is a way that the law leaves where a statement finds no room.
type Exemption struct {
	When    string
	Instead string // "a tag that is firmly attached"
	Cite    string
	Known   Known
}

// An alternative is a place whose address serves as well, for a time.
type alternative struct {
	Force
	place string
}

// Letters is what a rule asks of the height of letters: by the area of the
// principal display panel, by the nominal quantity, or by the largest dimension
// of the pack. One step from nought is a height for all.
type Letters struct {
	Measured    string // "small letter", "capital" or "figures"
	ByArea      []AreaStep
	ByQuantity  []QuantityStep
	ByDimension []DimensionStep
}

// An AreaStep holds for panels of more than Over.
type AreaStep struct {
	Over measure.Area
	Min  measure.Length
}

// A QuantityStep holds for quantities of more than Over.
type QuantityStep struct {
	Over measure.Mass
	Min  measure.Length
}

// A DimensionStep holds for packs whose largest dimension is more than Over.
type DimensionStep struct {
	Over measure.Length
	Min  measure.Length
}

func readStatement(m *source.Map, r Rule) (Statement, error) {
	s := Statement{
		Rule: r, Duty: m.Text("duty").V, Panel: m.Enum("panel", "principal", "information", "any").V,
		Required: m.Bool("required").V, Imported: m.Enum("when", "always", "made elsewhere").V == "made elsewhere", Home: texts(m, "home"),
		ByAddress: m.Bool("address_serves").V, Languages: texts(m, "languages"), Bold: m.Bool("bold").V, DatedUpTo: m.Months("dated_up_to").V,
		LowestPart: m.Share("lowest_part").V, ClearHeights: m.Number("clear_heights").V, ClearWidthsN: m.Number("clear_widths_of_n").V,
		ClearAround: m.Length("clear_around").V, UnlessPanelTo: area(m, "unless_panel_to"),
	}
	for _, a := range m.Maps("also_from") {
		s.alsoFrom = append(s.alsoFrom, alternative{readForce(a), a.Text("place").V})
	}
	for _, e := range m.Maps("exemptions") {
		s.Exemptions = append(s.Exemptions, Exemption{e.Text("when").V, e.Text("instead").V, e.Text("cite").V, readKnown(e)})
	}
	if form := m.Text("form"); form.Given() {
		s.Form = Form(form.V)
		if !slices.Contains(forms, s.Form) {
			return Statement{}, fmt.Errorf("rule %s has the unknown form %q", r.ID, form.V)
		}
	}
	var err error
	s.Letters, err = readLetters(m.Map("letters"))
	if err != nil {
		return Statement{}, fmt.Errorf("rule %s: %w", r.ID, err)
	}
	return s, nil
}

func readLetters(m *source.Map) (Letters, error) {
	if !m.Given() {
		return Letters{}, nil
	}
	l := Letters{Measured: m.Enum("measured", "small letter", "capital", "figures").V}
	by := m.Enum("by", "area of the panel", "nominal quantity", "largest dimension").V
	for _, step := range m.Maps("steps") {
		least := step.Length("least").V
		switch by {
		case "nominal quantity":
			over, _, err := measure.ParseMass(step.Text("over").V)
			if err != nil {
				return Letters{}, err
			}
			l.ByQuantity = append(l.ByQuantity, QuantityStep{over, least})
		case "largest dimension":
			l.ByDimension = append(l.ByDimension, DimensionStep{step.Offset("over").V, least})
		default:
			l.ByArea = append(l.ByArea, AreaStep{area(step, "over"), least})
		}
	}
	return l, nil
}

// area reads an area in the units in which the laws give it.
func area(m *source.Map, key string) measure.Area {
	v := m.Figure(key, "sq in", "sq cm").V
	unit := measure.SquareInch
	if v.Unit == "sq cm" {
		unit = 100 * measure.SquareMillimetre
	}
	return measure.Area(v.Low * float64(unit))
}

func (s Statement) put(law *Law, on Days) error {
	s.AlsoFrom = nil
	for _, a := range s.alsoFrom {
		if a.holds(on) {
			s.AlsoFrom = append(s.AlsoFrom, a.place)
		}
	}
	law.Statements = append(slices.Clip(law.Statements), s)
	return nil
}

// AskedOf reports whether the statement is asked of goods that were made in a
// country, as their maker writes it; "" where that is not known. Goods of the place
// itself need not say so, and a law on claims may forbid that they do.
func (s Statement) AskedOf(country string) bool {
	if len(s.asked) > 0 {
		return slices.ContainsFunc(s.asked, func(one Statement) bool { return one.AskedOf(country) })
	}
	return !s.Imported || country != "" && !slices.ContainsFunc(s.Home, func(home string) bool { return fold(home) == fold(country) })
}

// condition tells what the rule goes by in the words of its figures.
func (s Statement) condition() string {
	var said []string
	say := func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) }
	say("%s", s.Duty)
	switch {
	case !s.Required:
		say("if it is there")
	case s.Imported:
		say("on goods made elsewhere")
	}
	if s.Panel != "" && s.Panel != "any" {
		say("on the %s panel", s.Panel)
	}
	if len(s.Languages) > 0 {
		say("in %s", strings.Join(s.Languages, " and "))
	}
	for _, a := range s.alsoFrom {
		say("or one of %s %s", a.place, a.Says())
	}
	if s.ByAddress {
		say("or a full postal address")
	}
	if s.Form != "" {
		say("in the form %q", s.Form)
	}
	if s.DatedUpTo > 0 {
		say("a date up to %d months", s.DatedUpTo)
	}
	if s.Bold {
		say("boldface")
	}
	say("%s", s.Letters.says())
	if s.LowestPart > 0 {
		say("within the lowest %g %% of the panel, unless it is of at most %.4g cm²", s.LowestPart.Percent(), s.UnlessPanelTo.SquareMillimetres()/100)
	}
	if s.ClearHeights > 0 || s.ClearWidthsN > 0 {
		say("clear by %g heights and %g widths of N", s.ClearHeights, s.ClearWidthsN)
	}
	if s.ClearAround > 0 {
		say("clear by %g mm", s.ClearAround.Millimetres())
	}
	return strings.Join(slices.DeleteFunc(said, func(s string) bool { return s == "" }), "; ")
}

// says tells the steps: "figures of 2 mm, over 50 g 3 mm".
func (l Letters) says() string {
	var steps []string
	say := func(over string, nought bool, least measure.Length) {
		if nought {
			over = ""
		}
		steps = append(steps, strings.TrimSpace(fmt.Sprintf("%s %g mm", over, least.Millimetres())))
	}
	for _, s := range l.ByArea {
		say(fmt.Sprintf("over %.4g cm²", s.Over.SquareMillimetres()/100), s.Over == 0, s.Min)
	}
	for _, s := range l.ByQuantity {
		say(fmt.Sprintf("over %g g", s.Over.Grams()), s.Over == 0, s.Min)
	}
	for _, s := range l.ByDimension {
		say(fmt.Sprintf("over %g mm", s.Over.Millimetres()), s.Over == 0, s.Min)
	}
	if len(steps) == 0 {
		return ""
	}
	return l.Measured + " of " + strings.Join(steps, ", ")
}

// entries gives the ways round the rule.
func (s Statement) entries() []string {
	var lines []string
	for _, e := range s.Exemptions {
		lines = append(lines, fmt.Sprintf("where %s: %s (%s; %s)", e.When, e.Instead, e.Cite, e.Known))
	}
	return lines
}

func (s Statement) forces() []Force {
	all := []Force{s.Force}
	for _, a := range s.alsoFrom {
		all = append(all, a.Force)
	}
	return all
}
