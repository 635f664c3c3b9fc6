package market

import (
	"slices"
	"strings"
	"sync"

	"saponym/internal/day"
	"saponym/internal/source"
)

// An Allergen is one entry of the list of fragrance allergens: the word to print,
// and what is counted under it.
type Allergen struct {
	Label      string
	Entry      string   // in Annex III
	CAS        []string // of the substances whose amounts are added up
	Also       []string // other names that suppliers print for it
	Substances []string // essential oils that are the entry itself, by their id in package inci
	lists      []string
}

// An allergenTable is the whole table, of all lists.
type allergenTable struct {
	entries []Allergen
	byName  map[string]int
}

// table reads the allergens when a market first asks for them.
var table = sync.OnceValues(func() (*allergenTable, error) {
	doc, err := open("data/allergens.yaml")
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Text("source")
	root.Text("known")
	t := &allergenTable{byName: map[string]int{}}
	for i, m := range root.Maps("allergens") {
		a := Allergen{
			Label: m.Text("label").V, Entry: m.Text("entry").V, CAS: texts(m, "cas"), Also: texts(m, "also"),
			Substances: texts(m, "substances"), lists: texts(m, "lists"),
		}
		m.Enum("type", "substance", "group", "natural")
		m.Bool("prescribed_name")
		m.Text("known")
		texts(m, "ec")
		t.entries = append(t.entries, a)
		for _, name := range slices.Concat([]string{a.Label}, a.Also, a.CAS) {
			if _, taken := t.byName[fold(name)]; !taken {
				t.byName[fold(name)] = i
			}
		}
	}
	return t, check(doc)
})

func texts(m *source.Map, key string) []string {
	var list []string
	if m.Shape(key) == source.Absent {
		m.Text(key) // asked for, so that it is known
		return nil
	}
	for _, v := range m.Texts(key) {
		list = append(list, v.V)
	}
	return list
}

// fold makes names equal that differ in case, spaces and hyphens only.
func fold(name string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '\u2011' {
			return -1
		}
		return r
	}, strings.ToLower(name))
}

// A datedList names the list of allergens that holds from a day on.
type datedList struct {
	since day.Day
	list  string
}

// An allergenRule is the rule with all its lists, whatever their dates.
type allergenRule struct {
	Allergens
	lists []datedList
}

func readAllergens(m *source.Map, r Rule) (entry, error) {
	rule := allergenRule{Allergens: Allergens{Rule: r, Threshold: m.Share("threshold").V}}
	for _, l := range m.Maps("lists") {
		rule.lists = append(rule.lists, datedList{l.Day("since").V, l.Text("list").V})
	}
	slices.SortStableFunc(rule.lists, func(a, b datedList) int { return a.since.DaysUntil(b.since) }) // newest first
	var err error
	rule.known, err = table()
	return rule, err
}

func (r allergenRule) put(law *Law, on day.Day) error {
	for _, l := range r.lists {
		if on.Before(l.since) {
			continue
		}
		a := r.Allergens
		for _, entry := range a.known.entries {
			if slices.Contains(entry.lists, l.list) {
				a.Named = append(a.Named, entry)
			}
		}
		law.Allergens = &a
		return nil
	}
	return nil
}

// Find gives the allergen that a supplier's statement means by a name or a CAS
// number. It finds entries of every list; [Allergens.Names] says which are in
// force.
func (a *Allergens) Find(name string) (Allergen, bool) {
	i, ok := a.known.byName[fold(name)]
	if !ok {
		return Allergen{}, false
	}
	return a.known.entries[i], true
}

// Names reports whether the list in force names the allergen.
func (a *Allergens) Names(x Allergen) bool {
	return slices.ContainsFunc(a.Named, func(n Allergen) bool { return n.Label == x.Label })
}

// Nearest gives the known name that looks most like a word, or "".
func (a *Allergens) Nearest(word string) string {
	var names []string
	for _, e := range a.known.entries {
		names = append(append(names, e.Label), e.Also...)
	}
	return source.Nearest(word, names)
}
