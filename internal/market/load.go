package market

import (
	"embed"
	"fmt"
	"slices"
	"sync"

	"saponym/internal/day"
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

// Place gives the place of a rule set. The error is that of [For].
func Place(id string) (string, error) {
	s, err := load(id)
	if err != nil {
		return "", err
	}
	return s.law.Place, nil
}

// Places gives all places that a rule set is about, in alphabetical order.
func Places() []string {
	var places []string
	for _, s := range all() {
		places = appendNew(places, s.law.Place)
	}
	slices.Sort(places)
	return places
}

// Languages gives all languages in which a rule set wants words.
func Languages() []string {
	var languages []string
	for _, s := range all() {
		languages = appendNew(languages, s.law.Languages...)
	}
	slices.Sort(languages)
	return languages
}

// Evidence gives the keys of all evidence that a rule of a place asks for.
func Evidence(place string) []string {
	var keys []string
	for _, s := range all() {
		for _, e := range s.entries {
			if g, ok := e.(Gatekeeper); ok && s.law.Place == place {
				keys = appendNew(keys, g.Evidence...)
			}
		}
	}
	return keys
}

// all gives every rule set. A fault in their data is one of the program.
func all() []*set {
	var sets []*set
	for _, id := range IDs() {
		s, err := load(id)
		if err != nil {
			panic(err)
		}
		sets = append(sets, s)
	}
	return sets
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

// On gives what a market says of a bar that is first placed on it on a day, of a
// product that is new then. The error is that of [For].
func On(id string, on day.Day) (*Law, error) { return For(id, Days{On: on}) }

// For gives what a market says of a bar with its days. The error says that there
// is no such market; faults in the built-in data are errors too, and a test finds
// them.
func For(id string, days Days) (*Law, error) {
	s, err := load(id)
	if err != nil {
		return nil, err
	}
	return s.on(days)
}

// Changes gives the days after the first and up to the last one on which
// something of a market comes into force or goes out of it, by whichever day it
// goes, in their order.
func Changes(id string, first, last day.Day) ([]day.Day, error) {
	s, err := load(id)
	if err != nil {
		return nil, err
	}
	var days []day.Day
	var forces []Force
	for _, e := range s.entries {
		forces = append(forces, e.forces()...)
	}
	nets, err := netsOf(s.law.Place)
	if err != nil {
		return nil, err
	}
	for _, n := range nets {
		forces = append(forces, n.Force)
	}
	for _, f := range forces {
		for _, d := range []day.Day{f.Since, f.Until} {
			if first.Before(d) && !last.Before(d) {
				days = append(days, d)
			}
		}
	}
	slices.SortFunc(days, day.Day.Compare)
	return slices.Compact(days), nil
}

// Rules gives all rules of a market, in force or not, in the order of its data; those of its
// place on the weight of lots are apart, see [NetRules].
func Rules(id string) ([]Rule, error) {
	s, err := load(id)
	if err != nil {
		return nil, err
	}
	var rules []Rule
	for _, e := range s.entries {
		r := e.common()
		r.Condition, r.Entries = e.condition(), e.entries()
		rules = append(rules, r)
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
	condition() string           // when it is met, in the words of its figures
	entries() []string           // of the list that it goes by, a line each
	forces() []Force             // when it holds, and the entries of its list
	put(law *Law, on Days) error // puts the rule into the law of those days
}

func (r Rule) common() Rule { return r }

func (r Rule) forces() []Force { return []Force{r.Force} }

func (s *set) on(on Days) (*Law, error) {
	law := s.law
	law.On, law.Days = on.On, on
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
		Class: m.Text("class").V, Paper: m.Text("paper").V, Languages: texts(m, "languages"), Authority: m.Text("authority").V,
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

// readCommon reads what all rules have in common; levels are those that they may
// have.
func readCommon(m *source.Map, levels ...string) (Rule, error) {
	r := Rule{
		ID: m.Text("id").V, Kind: m.Text("kind").V, Force: readForce(m),
		Message: m.Text("message").V, Remedy: m.Text("remedy").V, Cite: m.Text("cite").V, Known: readKnown(m),
	}
	if err := r.Level.UnmarshalText([]byte(m.Enum("level", levels...).V)); err != nil {
		return r, fmt.Errorf("rule %s: %w", r.ID, err)
	}
	return r, nil
}

func readRule(m *source.Map, market string) (entry, error) {
	r, err := readCommon(m, "note", "warn", "stop")
	if err != nil {
		return nil, err
	}
	r.Market = market
	switch r.Kind {
	case "ingredient-list":
		return readList(m, r), nil
	case "any-order":
		return AnyOrder{Rule: r, Share: m.Share("share").V, AtToo: m.Enum("from", "below", "at or below").V == "at or below"}, nil
	case "colourants-last":
		return colourantsLast{r}, nil
	case "allergens":
		return readAllergens(m, r)
	case "substances":
		return readSubstances(m, r)
	case "colour-additives":
		return readColourAdditives(m, r)
	case "gatekeeper":
		return readGatekeeper(m, r)
	case "soap-share":
		return readSoapShare(m, r)
	case "statement":
		return readStatement(m, r)
	case "reminder":
		return reminder{r}, nil
	}
	return nil, fmt.Errorf("rule %s is of the unknown kind %q", r.ID, r.Kind)
}

func readKnown(m *source.Map) Known {
	return Known(m.Enum("known", string(Retrieved), string(RetrievedSecondary), string(Memory)).V)
}

func readList(m *source.Map, r Rule) List {
	l := List{
		Rule: r, Required: m.Bool("required").V,
		Names:   Names(m.Enum("names", string(NamesUS), string(NamesEU)).V),
		Heading: m.Text("heading").V, Water: m.Text("water").V, Perfume: m.Text("perfume").V,
		OilsAsPerfume: m.Enum("essential_oils", "by name", "as perfume").V == "as perfume",
		Trivial:       m.Enum("trivial_names", "as the others", "european").V == "european",
		OrderedBy:     OrderedBy(m.Enum("ordered_by", string(InTheBar), string(WhenAdded), string(NotSaid)).V),
	}
	l.ColourNames = l.Names
	if names := m.Enum("colour_names", string(NamesUS), string(NamesEU)); names.Given() {
		l.ColourNames = Names(names.V)
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

// once gives an error where a rule of a kind that there can be one of is in force
// beside another.
func once(before, now Rule) error {
	if before.ID != "" {
		return fmt.Errorf("the rules %s and %s of the kind %s are both in force", before.ID, now.ID, now.Kind)
	}
	return nil
}

func (l List) condition() string {
	asked := "may be there"
	if l.Required {
		asked = "must be there"
	}
	text := fmt.Sprintf("%s; heading %q; names of the %s nomenclature; water is %q, perfume %q", asked, l.Heading, l.Names, l.Water, l.Perfume)
	if l.OilsAsPerfume {
		text += ", essential oils too"
	}
	if l.Trivial {
		text += "; trivial names of the schedule in the European form"
	}
	return text + "; ordered by weight: " + string(l.OrderedBy)
}

func (l List) entries() []string { return nil }

func (l List) put(law *Law, _ Days) error {
	before := law.List.Rule
	law.List = l
	return once(before, l.Rule)
}

func (a AnyOrder) condition() string {
	if a.AtToo {
		return fmt.Sprintf("at or below %g %% of the bar", a.Share.Percent())
	}
	return fmt.Sprintf("below %g %% of the bar", a.Share.Percent())
}

func (a AnyOrder) entries() []string { return nil }

func (a AnyOrder) put(law *Law, _ Days) error {
	before := law.AnyOrder.Rule
	law.AnyOrder = a
	return once(before, a.Rule)
}

func (s SoapShare) condition() string {
	return fmt.Sprintf("soap is more than %g %% of what is not volatile, open up to %g %%; otherwise %s", s.Over.Percent(), s.Doubtful.Percent(), s.Otherwise)
}

func (s SoapShare) entries() []string { return nil }

func (s SoapShare) put(law *Law, _ Days) error {
	before := law.SoapShare
	law.SoapShare = &s
	if before == nil {
		return nil
	}
	return once(before.Rule, s.Rule)
}

// A colourantsLast is the rule that colourants follow the other ingredients.
type colourantsLast struct{ Rule }

func (c colourantsLast) condition() string { return "colourants may stand after the other ingredients" }

func (c colourantsLast) entries() []string { return nil }

func (c colourantsLast) put(law *Law, _ Days) error { law.ColourantsLast = &c.Rule; return nil }

// A reminder is a rule that nothing here judges: it hangs on what the program does
// not see, such as the page of a shop. It is held so that a maker can read it.
type reminder struct{ Rule }

func (r reminder) condition() string { return "not judged by this program" }

func (r reminder) entries() []string { return nil }

func (r reminder) put(*Law, Days) error { return nil }
