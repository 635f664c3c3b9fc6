package market

import (
	"embed"
	"fmt"
	"slices"
	"sync"

	"saponym/internal/day"
	"saponym/internal/measure"
	"saponym/internal/source"
)

//go:embed data
var data embed.FS

// IDs gives the ids of all rule sets, in alphabetical order.
func IDs() []string {
	entries, err := data.ReadDir("data")
	if err != nil {
		panic(err) // the data is part of the program
	}
	var ids []string
	for _, e := range entries {
		if e.IsDir() {
			ids = append(ids, e.Name())
		}
	}
	return ids
}

// Nearest gives the id of a rule set that looks most like a word, or "".
func Nearest(word string) string { return source.Nearest(word, IDs()) }

// sets keeps each rule set that was read: a day picks from it.
var sets sync.Map // id → func() (*set, error)

// load gives a rule set, which is read when it is first asked for.
func load(id string) (*set, error) {
	if !slices.Contains(IDs(), id) {
		return nil, fmt.Errorf("there is no market %q", id)
	}
	once, _ := sets.LoadOrStore(id, sync.OnceValues(func() (*set, error) { return read(id) }))
	s, err := once.(func() (*set, error))()
	if err != nil {
		return nil, fmt.Errorf("reading market %s: %w", id, err)
	}
	return s, nil
}

// On gives what a market says on a day. The error says that there is no such
// market; faults in the built-in data are errors too, and a test finds them.
func On(id string, on day.Day) (*Law, error) {
	s, err := load(id)
	if err != nil {
		return nil, err
	}
	return s.on(on)
}

// Rules gives all rules of a market, in force or not, in the order of its data.
func Rules(id string) ([]Rule, error) {
	s, err := load(id)
	if err != nil {
		return nil, err
	}
	var rules []Rule
	for _, e := range s.entries {
		rules = append(rules, e.common())
	}
	return rules, nil
}

// A set is one market with all its rules, whatever their dates.
type set struct {
	law     Law
	entries []entry
}

// An entry is a rule of one kind.
type entry interface {
	common() Rule
	put(law *Law, on day.Day) error // puts the rule into the law of a day
}

func (r Rule) common() Rule { return r }

func (s *set) on(on day.Day) (*Law, error) {
	law := s.law
	law.On = on
	for _, e := range s.entries {
		if !e.common().holds(on) {
			continue
		}
		if err := e.put(&law, on); err != nil {
			return nil, err
		}
	}
	return &law, nil
}

// read reads the data of a market. Any finding is an error: the data is ours.
func read(id string) (*set, error) {
	doc, err := open("data/" + id + "/rules.yaml")
	if err != nil {
		return nil, err
	}
	m := doc.Root()
	s := &set{law: Law{
		Market: m.Text("id").V, Name: m.Text("name").V, Place: m.Text("place").V,
		Class: m.Text("class").V, Paper: m.Text("paper").V, Language: m.Text("language").V, Authority: m.Text("authority").V,
	}}
	for _, r := range m.Maps("rules") {
		e, err := readRule(r, id)
		if err != nil {
			return nil, err
		}
		s.entries = append(s.entries, e)
	}
	if s.law.colourants, err = readColourants(); err != nil {
		return nil, err
	}
	return s, check(doc)
}

// open reads one file of the built-in data.
func open(name string) (*source.Document, error) {
	text, err := data.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return source.Read(name, text)
}

// check turns the findings of a document into an error.
func check(doc *source.Document) error {
	if findings := doc.Findings(); len(findings) > 0 {
		return fmt.Errorf("%s", findings[0].Text())
	}
	return nil
}

func readRule(m *source.Map, market string) (entry, error) {
	r := Rule{
		ID: m.Text("id").V, Market: market, Kind: m.Text("kind").V,
		Since: m.Day("since").V, Until: m.Day("until").V,
		Message: m.Text("message").V, Remedy: m.Text("remedy").V, Cite: m.Text("cite").V,
		Known: Known(m.Enum("known", string(Retrieved), string(RetrievedSecondary), string(Memory)).V),
	}
	if err := r.Level.UnmarshalText([]byte(m.Enum("level", "note", "warn", "stop").V)); err != nil {
		return nil, fmt.Errorf("rule %s: %w", r.ID, err)
	}
	switch r.Kind {
	case "ingredient-list":
		return readList(m, r), nil
	case "any-order":
		return AnyOrder{Rule: r, Share: m.Share("share").V, AtToo: m.Enum("from", "below", "at or below").V == "at or below"}, nil
	case "colourants-last":
		return colourantsLast{r}, nil
	case "allergens":
		return readAllergens(m, r)
	case "prohibited-fragrance":
		return readProhibited(r)
	case "soap-share":
		return readSoapShare(m, r)
	case "statement":
		return readStatement(m, r)
	}
	return nil, fmt.Errorf("rule %s is of the unknown kind %q", r.ID, r.Kind)
}

func readList(m *source.Map, r Rule) List {
	l := List{
		Rule: r, Required: m.Bool("required").V,
		Names:   Names(m.Enum("names", string(NamesUS), string(NamesEU)).V),
		Heading: m.Text("heading").V, Water: m.Text("water").V, Perfume: m.Text("perfume").V,
		OilsAsPerfume:  m.Enum("essential_oils", "by name", "as perfume").V == "as perfume",
		OrderedByAdded: m.Enum("ordered_by", "weight in the bar", "weight when added").V == "weight when added",
	}
	for _, style := range m.Texts("styles") {
		l.Styles = append(l.Styles, Style(style.V))
	}
	return l
}

func readSoapShare(m *source.Map, r Rule) (SoapShare, error) {
	s := SoapShare{Rule: r, Over: m.Share("over").V, Doubtful: m.Share("doubtful_to").V, Otherwise: m.Text("otherwise").V}
	return s, s.Check()
}

func readStatement(m *source.Map, r Rule) (Statement, error) {
	s := Statement{
		Rule: r, Duty: m.Text("duty").V, Panel: m.Enum("panel", "principal", "information", "any").V,
		Required: m.Bool("required").V, Imported: m.Enum("when", "always", "made elsewhere").V == "made elsewhere",
		LowestPart: m.Share("lowest_part").V, ClearHeights: m.Number("clear_heights").V, ClearWidthsN: m.Number("clear_widths_of_n").V,
	}
	s.UnlessPanelTo = area(m, "unless_panel_to")
	s.Bold = m.Bool("bold").V
	s.DatedUpTo = m.Months("dated_up_to").V
	if form := m.Text("form"); form.Given() {
		s.Form = Form(form.V)
		if !slices.Contains(forms, s.Form) {
			return Statement{}, fmt.Errorf("rule %s has the unknown form %q", r.ID, form.V)
		}
	}
	letters := m.Map("letters")
	if !letters.Given() {
		return s, nil
	}
	s.Letters.Measured = letters.Enum("measured", "small letter", "capital", "figures").V
	byArea := letters.Enum("by", "area of the panel", "nominal quantity").V == "area of the panel"
	for _, step := range letters.Maps("steps") {
		least := step.Length("least").V
		if byArea {
			s.Letters.ByArea = append(s.Letters.ByArea, AreaStep{area(step, "over"), least})
			continue
		}
		over, _, err := measure.ParseMass(step.Text("over").V)
		if err != nil {
			return Statement{}, fmt.Errorf("rule %s: %w", r.ID, err)
		}
		s.Letters.ByQuantity = append(s.Letters.ByQuantity, QuantityStep{over, least})
	}
	return s, nil
}

// area reads an area in square inches, the unit in which the laws give it.
func area(m *source.Map, key string) measure.Area {
	return measure.Area(m.Figure(key, "sq in").V.Low * float64(measure.SquareInch))
}

// once gives an error where a rule of a kind that there can be one of is in force
// beside another.
func once(before, now Rule) error {
	if before.ID != "" {
		return fmt.Errorf("the rules %s and %s of the kind %s are both in force", before.ID, now.ID, now.Kind)
	}
	return nil
}

func (l List) put(law *Law, _ day.Day) error {
	before := law.List.Rule
	law.List = l
	return once(before, l.Rule)
}

func (a AnyOrder) put(law *Law, _ day.Day) error {
	before := law.AnyOrder.Rule
	law.AnyOrder = a
	return once(before, a.Rule)
}

func (s SoapShare) put(law *Law, _ day.Day) error {
	before := law.SoapShare
	law.SoapShare = &s
	if before == nil {
		return nil
	}
	return once(before.Rule, s.Rule)
}

func (s Statement) put(law *Law, _ day.Day) error {
	law.Statements = append(slices.Clip(law.Statements), s)
	return nil
}

// A colourantsLast is the rule that colourants follow the other ingredients.
type colourantsLast struct{ Rule }

func (c colourantsLast) put(law *Law, _ day.Day) error { law.ColourantsLast = &c.Rule; return nil }
