package market

import (
	"slices"

	"saponym/internal/day"
)

// A prohibitedSubstance is an entry of the table of what must not be in a scent.
type prohibitedSubstance struct {
	label string
	entry string // in Annex II
	names []string
	since day.Day
}

// readProhibited reads the table when a market first asks for it.
func readProhibited(r Rule) (entry, error) {
	doc, err := open("data/prohibited.yaml")
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Text("source")
	root.Text("known")
	p := Prohibited{Rule: r}
	for _, m := range root.Maps("substances") {
		s := prohibitedSubstance{label: m.Text("label").V, entry: m.Text("entry").V, since: m.Day("since").V}
		s.names = slices.Concat([]string{s.label}, texts(m, "cas"), texts(m, "also"))
		p.substances = append(p.substances, s)
	}
	return p, check(doc)
}

func (p Prohibited) put(law *Law, on day.Day) error {
	inForce := p
	inForce.substances = slices.DeleteFunc(slices.Clone(p.substances), func(s prohibitedSubstance) bool { return on.Before(s.since) })
	law.Prohibited = &inForce
	return nil
}

// Find gives the name and the entry in the law of a prohibited substance that a
// supplier's statement names.
func (p *Prohibited) Find(name string) (label, entry string, ok bool) {
	for _, s := range p.substances {
		if slices.ContainsFunc(s.names, func(known string) bool { return fold(known) == fold(name) }) {
			return s.label, s.entry, true
		}
	}
	return "", "", false
}
