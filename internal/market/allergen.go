package market

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

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
	byName  map[string][]int // more than one where a register number does not tell entries apart
	lists   map[string]day.Day
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
	t := &allergenTable{byName: map[string][]int{}, lists: map[string]day.Day{}}
	for _, l := range root.Maps("lists") {
		t.lists[l.Text("id").V] = l.Day("published").V
		l.Text("what")
		l.Text("source")
		l.Text("known")
	}
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
			if key := fold(name); !slices.Contains(t.byName[key], i) {
				t.byName[key] = append(t.byName[key], i)
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
		if unicode.IsSpace(r) || r == '-' || r == '\u2010' || r == '\u2011' {
			return -1
		}
		return r
	}, strings.ToLower(norm.NFC.String(name)))
}

// A datedList names the list of allergens that holds for a time.
type datedList struct {
	Force
	list string
}

// An allergenRule is the rule with all its lists, whatever their dates.
type allergenRule struct {
	Allergens
	lists []datedList // the first that holds is the one
}

func readAllergens(m *source.Map, r Rule) (entry, error) {
	rule := allergenRule{Allergens: Allergens{Rule: r, Threshold: m.Share("threshold").V}}
	var err error
	if rule.known, err = table(); err != nil {
		return nil, err
	}
	for _, l := range m.Maps("lists") {
		list := datedList{readForce(l), l.Text("list").V}
		if _, ok := rule.known.lists[list.list]; !ok {
			return nil, fmt.Errorf("rule %s: there is no list %q", r.ID, list.list)
		}
		rule.lists = append(rule.lists, list)
	}
	return rule, nil
}

func (r allergenRule) condition() string {
	if len(r.lists) == 0 {
		return "whether fragrance allergens must be named is not confirmed"
	}
	said := []string{fmt.Sprintf("more than %g %% of the bar", r.Threshold.Percent())}
	for _, l := range r.lists {
		said = append(said, strings.TrimSpace("list of "+l.list+" "+l.Says()))
	}
	return strings.Join(said, "; ")
}

func (r allergenRule) entries() []string {
	var lines []string
	for _, l := range r.lists {
		for _, e := range r.known.entries {
			if slices.Contains(e.lists, l.list) {
				lines = append(lines, fmt.Sprintf("list of %s: %s, Annex III entry %s, CAS %s", l.list, e.Label, e.Entry, strings.Join(e.CAS, ", ")))
			}
		}
	}
	return lines
}

func (r allergenRule) forces() []Force {
	all := []Force{r.Force}
	for _, l := range r.lists {
		all = append(all, l.Force)
	}
	return all
}

func (r allergenRule) put(law *Law, on Days) error {
	a := r.Allergens
	for _, l := range r.lists {
		if !l.holds(on) {
			continue
		}
		a.List, a.Published = l.list, a.known.lists[l.list]
		for _, entry := range a.known.entries {
			if slices.Contains(entry.lists, l.list) {
				a.Named = append(a.Named, entry)
			}
		}
		break
	}
	if len(r.lists) == 0 || len(a.Named) > 0 {
		law.Allergens = &a
	}
	return nil
}

// IsAllergen reports whether a name stands on any list of allergens that is held here,
// so that a supplier's statement of allergens tells of it.
func IsAllergen(name string) bool {
	t, err := table()
	return err == nil && len(t.byName[fold(name)]) > 0
}

// Open reports whether it is not confirmed that allergens must be named at all.
func (a *Allergens) Open() bool { return len(a.Named) == 0 }

// Find gives the allergens that a supplier's statement may mean by a name or a CAS
// number: none, one, or several where a number belongs to more than one entry. It
// finds entries of every list; [Allergens.Names] says which are in force.
func (a *Allergens) Find(name string) []Allergen {
	var found []Allergen
	for _, i := range a.known.byName[fold(name)] {
		found = append(found, a.known.entries[i])
	}
	return found
}

// Names reports whether the list in force names the allergen.
func (a *Allergens) Names(x Allergen) bool {
	return slices.ContainsFunc(a.Named, func(n Allergen) bool { return n.Label == x.Label })
}

// Gained gives the allergens of the list in force that no list published before it
// names: none where it is the first. A statement that is older than the list says
// nothing of them.
func (a *Allergens) Gained() []Allergen {
	older := func(list string) bool { return a.known.lists[list].Before(a.Published) }
	isFirst := true
	for list := range a.known.lists {
		isFirst = isFirst && !older(list)
	}
	if isFirst {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(a.Named), func(x Allergen) bool { return slices.ContainsFunc(x.lists, older) })
}

// Nearest gives the known name that looks most like a word, or "".
func (a *Allergens) Nearest(word string) string {
	var names []string
	for _, e := range a.known.entries {
		names = append(append(names, e.Label), e.Also...)
	}
	return source.Nearest(word, names)
}
