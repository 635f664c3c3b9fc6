package compile

import (
	"fmt"

	"saponym/internal/declare"
	"saponym/internal/figure"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/scene"
	"saponym/internal/sheet"
	"saponym/internal/shop"
	"saponym/internal/source"
	"saponym/internal/trail"
)

// A Trail is where a word of the declaration of one market comes from, and what was found
// on the way. Where there is no list, or the list lacks the word, the inner trail is nil.
type Trail struct {
	*trail.Trail
	Market   string            `json:"market"`
	Notice   string            `json:"notice"`
	Findings []finding.Finding `json:"findings"`

	declared declare.Declaration
	title    string
	law      *market.Law
}

// RuleWord is the finding that the list of a market lacks the word that is asked for, while
// that of another market has it.
const RuleWord = "COMPILE-WORD"

// MakeTrails follows a word of the declarations of a formula, or of a batch of it with its
// lots: one trail for each market. The error is an [*UnknownError] for a word that none of
// the lists has.
func MakeTrails(folder *shop.Folder, o Order, markets []string, word string) ([]Trail, error) {
	var all []Trail
	var names []string
	known := false
	for _, o.Market = range markets {
		order := o
		s, err := find(folder, &order)
		if err != nil {
			return nil, err
		}
		t, err := s.trail(folder, order, word)
		if err != nil {
			return nil, err
		}
		all, names, known = append(all, t), append(names, t.declared.Names()...), known || t.Trail != nil
	}
	if len(names) > 0 && !known {
		return nil, &UnknownError{What: "word of the list", Name: word, Nearest: source.Nearest(word, names)}
	}
	return all, nil
}

// trail follows a word in one market.
func (s subject) trail(folder *shop.Folder, o Order, word string) (Trail, error) {
	d, _, err := s.declare(folder, o)
	if err != nil {
		return Trail{}, err
	}
	t := Trail{Market: s.law.Market, Notice: notice(s.law), Findings: d.Findings, declared: d, title: s.doc.Name.V, law: s.law}
	if d.Bar == nil {
		return t, nil
	}
	found, ok := trail.Of(d, word)
	if !ok {
		t.Findings = tidy(folder, append(t.Findings, finding.Finding{
			Level: finding.Note, Rule: RuleWord, At: s.doc.Name.At, Market: s.law.Market,
			Message: fmt.Sprintf("%q is not in the list of %s", word, s.law.Market),
		}))
		return t, nil
	}
	if s.batch != nil {
		found.Lots(s.batch.Weighed)
	}
	t.Trail = &found
	return t, nil
}

// Picture draws the whole batch as a flow, with the trail lit.
func (t Trail) Picture() (scene.Scene, error) {
	flow, paper, err := t.flow()
	if err != nil {
		return scene.Scene{}, err
	}
	return figure.Flow(flow, paper.Size)
}

// Document draws it on pages.
func (t Trail) Document(author string) (scene.Document, error) {
	flow, paper, err := t.flow()
	if err != nil {
		return scene.Document{}, err
	}
	pages, err := figure.Sheet(flow, paper.Size)
	return scene.Document{Title: t.title + ": " + t.Word, Author: author, Language: "en", Date: t.law.On, Sheets: []scene.Sheet{pages}}, err
}

func (t Trail) flow() (trail.Flow, sheet.Paper, error) {
	paper, ok := sheet.PaperNamed(t.law.Paper)
	if !ok {
		return trail.Flow{}, paper, fmt.Errorf("there is no paper %q", t.law.Paper)
	}
	return trail.Whole(t.declared, t.title, t.law.Name, t.Word), paper, nil
}
