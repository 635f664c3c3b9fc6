package market

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"saponym/internal/day"
	"saponym/internal/source"
)

// A Standard is the standard of the fragrance industry as dated data. Suppliers
// certify by it how much of a scent a product may hold. It is no law: its rules
// warn at most, and hold in every market.
type Standard struct {
	Name        string
	Category    string // of bar soap, as certificates write it
	Title       string // what the category is about
	FirstUsable int    // the first amendment with today's categories
	Amendments  []Amendment
	Limits      []Limit // what was published for the category
	Rules       []Rule
}

// An Amendment is one state of the standard. Its days bind whoever supplies a
// scent; where they are zero they are not known here.
type Amendment struct {
	Number   int
	New      day.Day // for scents that are created from then on
	Existing day.Day // for all scents
	Note     string
	Known    Known
}

// The kinds of rule in the standard. There is one rule of each.
const (
	CertificateMaximum   = "certificate-maximum"   // of one scent
	SumOfScents          = "sum-of-scents"         // of several in one bar
	CertificateAmendment = "certificate-amendment" // how old a certificate may be
	PublishedLimits      = "published-limits"      // of single substances
)

// FragranceStandard gives the standard. An error is a fault in the built-in data,
// and a test finds it.
func FragranceStandard() (*Standard, error) { return fragranceStandard() }

var fragranceStandard = sync.OnceValues(func() (*Standard, error) {
	doc, err := open("data/fragrance-standard.yaml")
	if err != nil {
		return nil, err
	}
	known, err := table()
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Text("source")
	s := &Standard{
		Name: root.Text("name").V, Category: root.Text("category").V, Title: root.Text("title").V, FirstUsable: root.Count("first_usable").V,
	}
	for _, m := range root.Maps("amendments") {
		s.Amendments = append(s.Amendments, Amendment{
			Number: m.Count("number").V, New: m.Day("new").V, Existing: m.Day("existing").V, Note: m.Text("note").V, Known: readKnown(m),
		})
	}
	for _, m := range root.Maps("limits") {
		l, err := readSubstance(m, known)
		if err != nil {
			return nil, err
		}
		s.Limits = append(s.Limits, l.with(m))
	}
	for _, m := range root.Maps("rules") {
		r, err := s.readRule(m)
		if err != nil {
			return nil, err
		}
		s.Rules = append(s.Rules, r)
	}
	return s, check(doc)
})

// readRule reads one rule. There is no level that stops a label: it is no law.
func (s *Standard) readRule(m *source.Map) (Rule, error) {
	r, err := readCommon(m, "note", "warn")
	if err != nil {
		return r, err
	}
	r.Condition = m.Text("condition").V
	if s.Rule(r.Kind).ID != "" {
		return r, fmt.Errorf("rule %s is the second of the kind %s", r.ID, r.Kind)
	}
	switch r.Kind {
	case CertificateMaximum, SumOfScents:
	case CertificateAmendment:
		for _, a := range s.Amendments {
			r.Entries = append(r.Entries, a.says())
		}
	case PublishedLimits:
		r.Entries = Substances{list: s.Limits}.entries()
	default:
		return r, fmt.Errorf("rule %s is of the unknown kind %q", r.ID, r.Kind)
	}
	return r, nil
}

func (a Amendment) says() string {
	said := []string{fmt.Sprintf("amendment %d", a.Number)}
	if !a.New.IsZero() {
		said = append(said, "for new creations from "+a.New.String())
	}
	if !a.Existing.IsZero() {
		said = append(said, "for existing ones from "+a.Existing.String())
	}
	if a.Note != "" {
		said = append(said, a.Note)
	}
	return strings.Join(said, "; ") + " (" + string(a.Known) + ")"
}

// Rule gives the rule of a kind.
func (s *Standard) Rule(kind string) Rule {
	i := slices.IndexFunc(s.Rules, func(r Rule) bool { return r.Kind == kind })
	if i < 0 {
		return Rule{}
	}
	return s.Rules[i]
}

// Usable reports whether a certificate by an amendment can be used: its category of
// bar soap is the one of today.
func (s *Standard) Usable(amendment int) bool { return amendment >= s.FirstUsable }

// Newest gives the newest amendment that binds all scents on a day, of those whose
// days are known. Before the first of them its number is 0.
func (s *Standard) Newest(on day.Day) Amendment {
	var newest Amendment
	for _, a := range s.Amendments {
		if !a.Existing.IsZero() && !on.Before(a.Existing) && a.Number > newest.Number {
			newest = a
		}
	}
	return newest
}
