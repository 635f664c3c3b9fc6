package recall

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/page"
)

// printable replaces the letters that no face of the sheet has. The sheet is printed all
// the same: whoever calls bars back cannot wait for a picture in a name.
func printable(s string) string {
	s = strings.ToValidUTF8(s, "?")
	if page.Sets(s, page.Sans) || page.Sets(s, page.Serif) {
		return s
	}
	return strings.Map(func(r rune) rune {
		if page.Sets(string(r), page.Sans) {
			return r
		}
		return '?'
	}, s)
}

// letters reports what cannot be printed as it is written, each text once.
func (s Sheet) letters() []finding.Finding {
	var found []finding.Finding
	seen := map[string]bool{}
	for _, t := range s.written() {
		shown := printable(t.V)
		if shown == t.V || seen[t.V] {
			continue
		}
		seen[t.V] = true
		found = append(found, finding.Finding{
			Level: finding.Warn, Rule: RuleLetter, At: t.At,
			Message: fmt.Sprintf("%+q has letters that cannot be printed; the paper says %q", t.V, shown),
			Remedy:  "read it on the screen or in the table, or write it in Latin, Greek or Cyrillic letters",
		})
	}
	return found
}

// written gives all that stands on the sheet and that somebody wrote.
func (s Sheet) written() []formula.Text {
	all := []formula.Text{{V: s.Of}, s.Maker.Name, s.Maker.Contact.Email, s.Maker.Contact.Phone, s.Maker.Contact.Web}
	all = append(all, s.Maker.Lines...)
	add := func(texts ...string) {
		for _, t := range texts {
			all = append(all, formula.Text{V: t})
		}
	}
	add(s.Authorities...)
	add(s.Reports...)
	for _, b := range s.Batches {
		r := b.Record
		all = append(all, r.Code, r.By, r.Place)
		add(b.Product, b.What)
		add(b.Via...)
		add(b.used(s.Lot)...)
		for _, stock := range b.Stock {
			add(stock.Cut)
		}
		for _, run := range r.Runs {
			all = append(all, run.Market, run.Cut, run.Claim, run.Hash)
		}
		for _, e := range b.events(slices.Concat(handed, kept, other)) {
			all = append(all, e.Who, e.Ref, e.Cut, e.Note)
		}
	}
	return all
}
