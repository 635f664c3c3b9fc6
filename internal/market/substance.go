package market

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// A Substances is the rule on substances that must not be in a bar, or of which
// there is a most.
type Substances struct {
	Rule
	Limits []Limit // in force on the days asked for
	list   []Limit // all of them, whatever the dates
}

// A Limit is one entry of a list of substances. What is found under any of its
// names is added up.
type Limit struct {
	Force
	Label string
	Names []string      // label, CAS numbers and other names that suppliers print
	May   []string      // CAS numbers that it shares with what the entry is not about
	IDs   []string      // of substances of package inci that are it
	Most  measure.Share // of the bar; 0: none at all
	Note  string        // what the figure alone does not say, or nothing
	Entry string        // in the law: "Annex II, entry 1666"
	Cite  string        // where it is another one than that of the rule
	Known Known
}

// A limited is a limit with the list that it belongs to.
type limited struct {
	Limit
	table string
}

// limits reads the lists when a market first asks for one of them.
var limits = sync.OnceValues(func() ([]limited, error) {
	doc, err := open("data/substances.yaml")
	if err != nil {
		return nil, err
	}
	known, err := table()
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Text("source")
	var all []limited
	for _, m := range root.Maps("substances") {
		substance, err := readSubstance(m, known)
		if err != nil {
			return nil, err
		}
		for _, l := range m.Maps("limits") {
			all = append(all, limited{table: l.Text("list").V, Limit: substance.with(l)})
		}
	}
	return all, check(doc)
})

// readSubstance reads what a limit is about.
func readSubstance(m *source.Map, known *allergenTable) (Limit, error) {
	label := m.Text("label").V
	l := Limit{
		Label: label, Names: slices.Concat([]string{label}, texts(m, "cas"), texts(m, "also")),
		May: texts(m, "doubtful_cas"), IDs: texts(m, "substances"),
	}
	// What is on the list of allergens as well goes by all the names that stand there.
	for _, same := range texts(m, "allergens") {
		i := slices.IndexFunc(known.entries, func(a Allergen) bool { return a.Label == same })
		if i < 0 {
			return l, fmt.Errorf("%s: there is no allergen %q", label, same)
		}
		if same != label {
			l.Names = append(l.Names, same)
		}
		l.Names = slices.Concat(l.Names, known.entries[i].CAS, known.entries[i].Also)
	}
	return l, nil
}

// with reads how much there may be of it, when, and where the law says so.
func (l Limit) with(m *source.Map) Limit {
	l.Force, l.Most, l.Note = readForce(m), m.Share("most").V, m.Text("note").V
	l.Entry, l.Cite, l.Known = m.Text("entry").V, m.Text("cite").V, readKnown(m)
	return l
}

func readSubstances(m *source.Map, r Rule) (entry, error) {
	rule, list := Substances{Rule: r}, m.Text("list").V
	all, err := limits()
	if err != nil {
		return nil, err
	}
	for _, l := range all {
		if l.table == list {
			rule.list = append(rule.list, l.Limit)
		}
	}
	if len(rule.list) == 0 {
		return nil, fmt.Errorf("rule %s: there is no list of substances %q", r.ID, list)
	}
	return rule, nil
}

func (s Substances) put(law *Law, on Days) error {
	for _, l := range s.list {
		// Of the entries for one substance the first that holds is the one.
		same := func(before Limit) bool { return before.Label == l.Label }
		if l.holds(on) && !slices.ContainsFunc(s.Limits, same) {
			s.Limits = append(s.Limits, l)
		}
	}
	law.Substances = append(slices.Clip(law.Substances), s)
	return nil
}

func (s Substances) condition() string {
	return "what is found of each under any of its names is added up over all that is in the bar"
}

func (s Substances) entries() []string {
	var lines []string
	for _, l := range s.list {
		line := l.Label
		if also := l.Names[1:]; len(also) > 0 {
			line += " (" + strings.Join(also, ", ") + ")"
		}
		line += ": " + l.says()
		for _, more := range []string{l.Force.Says(), l.Note, l.Cite, l.Entry} {
			if more != "" {
				line += "; " + more
			}
		}
		lines = append(lines, line+" ("+string(l.Known)+")")
	}
	return lines
}

func (s Substances) forces() []Force {
	all := []Force{s.Force}
	for _, l := range s.list {
		all = append(all, l.Force)
	}
	return all
}

func (l Limit) says() string {
	if l.Most == 0 {
		return "none"
	}
	return fmt.Sprintf("at most %g %%", l.Most.Percent())
}

// Means reports whether a limit is about what goes by a name, or is the built-in
// substance with an id.
func (l Limit) Means(name, id string) bool {
	return id != "" && slices.Contains(l.IDs, id) || goesBy(l.Names, name)
}

// MayMean reports whether what goes by a name may be what a limit is about, or may
// be something else that has the same CAS number. Only whoever wrote the number can
// tell, and must be asked.
func (l Limit) MayMean(name string) bool { return goesBy(l.May, name) }

// goesBy reports whether a name is one of those that are known.
func goesBy(names []string, name string) bool {
	name = fold(name)
	return name != "" && slices.ContainsFunc(names, func(known string) bool { return fold(known) == name })
}

// Finding gives the finding that a limit is not kept, for the reason given. It
// carries the note of the limit.
func (s Substances) Finding(l Limit, at finding.Pos, reason string) finding.Finding {
	r := s.Rule
	if l.Note != "" {
		r.Message += " (" + l.Note + ")"
	}
	if l.Cite != "" {
		r.Cite = l.Cite
	}
	if l.Entry != "" {
		r.Cite = strings.TrimSpace(r.Cite + " " + l.Entry)
	}
	if r.Known.Confirmed() {
		r.Known = l.Known
	}
	return r.Finding(at, reason)
}

// NearestSubstance gives the name that looks most like a word, of all lists of allergens
// and of limited substances that are held here, or "".
func NearestSubstance(word string) string {
	var names []string
	if t, err := table(); err == nil {
		for _, e := range t.entries {
			names = append(append(names, e.Label), e.Also...)
		}
	}
	all, err := limits()
	if err == nil {
		for _, l := range all {
			names = append(names, l.Names...)
		}
	}
	return source.Nearest(word, names)
}

// Knows reports whether a name, or a number that may be one of theirs, stands on any
// list of substances that is held here: of whichever law, or of the fragrance
// industry.
func Knows(name string) bool {
	means := func(limit Limit) bool { return limit.Means(name, "") || limit.MayMean(name) }
	all, err := limits()
	if err == nil && slices.ContainsFunc(all, func(one limited) bool { return means(one.Limit) }) {
		return true
	}
	standard, err := FragranceStandard()
	return err == nil && slices.ContainsFunc(standard.Limits, means)
}
