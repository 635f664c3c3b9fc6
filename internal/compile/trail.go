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

// A Trail is where a word of a declaration comes from, and what was found on the way. Where
// there is no list it is nil.
type Trail struct {
	*trail.Trail
	Notice   string            `json:"notice"`
	Findings []finding.Finding `json:"findings"`

	declared declare.Declaration
	title    string
	law      *market.Law
}

// MakeTrail follows a word of the declaration of a formula. The error is an
// [*UnknownError] for a word that is not in it.
func MakeTrail(folder *shop.Folder, o Order, word string) (Trail, error) {
	s, err := find(folder, &o)
	if err != nil {
		return Trail{}, err
	}
	d, _, err := s.declare(folder, o)
	if err != nil {
		return Trail{}, err
	}
	t := Trail{Notice: notice(s.law), Findings: d.Findings, declared: d, title: s.doc.Name.V, law: s.law}
	if d.Bar == nil {
		return t, nil
	}
	found, ok := trail.Of(d, word)
	if !ok {
		return Trail{}, &UnknownError{What: "word of the list", Name: word, Nearest: source.Nearest(word, d.Names())}
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
