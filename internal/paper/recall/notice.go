package recall

import (
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/formula"
)

// A field is a part of the notice: what is known, in portions that are short enough to
// stand on one page, and how many rules there are to write on.
type field struct {
	name   string
	texts  []string
	blanks int
}

// portion is how many characters stand in one portion, beside those of its last entry.
const portion = 500

// notice gives the parts of the notice. Buyers who are named are told themselves, so none
// of them stands in it.
func (s Sheet) notice() []field {
	var products, sizes, codes, where []string
	var first, last day.Day
	for _, b := range s.Batches {
		if b.Record.MakesMaterial() {
			continue
		}
		products = appendNew(products, b.Product)
		codes = appendNew(codes, b.Record.Code.V)
		for _, r := range b.Record.Runs {
			sizes = appendNew(sizes, r.Claim.V)
		}
		for _, e := range b.events([]string{"sold", "given"}) {
			if first.IsZero() || e.Date.V.Before(first) {
				first = e.Date.V
			}
			if last.Before(e.Date.V) {
				last = e.Date.V
			}
			if !named(e) {
				where = appendNew(where, e.Who.V)
			}
		}
	}
	sold := "none of it was sold or given away"
	switch {
	case first.IsZero():
	case first == last:
		sold = "on " + first.String()
	default:
		sold = "from " + first.String() + " to " + last.String()
	}
	fields := []field{
		known("Product", products), known("Size", sizes), known("Codes on the label", codes),
		{name: "Sold", texts: []string{sold}},
	}
	if len(where) > 0 {
		fields = append(fields, known("Sold at", where))
	}
	ask := field{name: "Ask", texts: contact(s.Maker)}
	if len(ask.texts) == 0 {
		ask.blanks = 2
	}
	return append(fields,
		field{name: "Hazard", blanks: 2},
		field{name: "What to do", texts: []string{"Do not use it any more, and keep it apart."}, blanks: 2},
		ask)
}

// known gives a part of the notice, with a rule to write on where nothing is known.
func known(name string, texts []string) field {
	f := field{name: name}
	for i, t := range texts {
		switch last := len(f.texts) - 1; {
		case i == 0 || len(f.texts[last]) > portion:
			f.texts = append(f.texts, t)
		default:
			f.texts[last] += ", " + t
		}
	}
	if len(texts) == 0 {
		f.blanks = 1
	}
	return f
}

// contact says how the maker is reached.
func contact(m formula.Maker) []string {
	all := []formula.Text{m.Name}
	all = append(all, m.Lines...)
	var address, ways []string
	for _, t := range all {
		address = appendNew(address, t.V)
	}
	for _, t := range []formula.Text{m.Contact.Phone, m.Contact.Email, m.Contact.Web} {
		ways = appendNew(ways, t.V)
	}
	var texts []string
	for _, lines := range [][]string{address, ways} {
		if len(lines) > 0 {
			texts = append(texts, strings.Join(lines, ", "))
		}
	}
	return texts
}

func appendNew(all []string, s string) []string {
	if s = strings.TrimSpace(s); s == "" || slices.Contains(all, s) {
		return all
	}
	return append(all, s)
}
