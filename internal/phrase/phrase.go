// Package phrase holds the fixed phrases of labels, one file a language. It knows
// no law: which phrase a market asks for, and in which languages, is for others to
// say.
package phrase

import (
	"embed"
	"fmt"
	"strings"
	"sync"

	"saponym/internal/source"
)

//go:embed data/*.yaml
var data embed.FS

// A Set is the phrases of one language.
type Set struct {
	Language       string // BCP 47
	CautionHeading string
	Caution        string

	batch, bestBefore, madeIn string // what stands before the code, the month and the country
}

// Sets are the phrases of the languages of one label, in their order on it. What is
// no word, such as a code, is said once, after the phrases of all of them:
// "Batch / Lot 26330-01".
type Sets []Set

// Batch gives the words for a batch code.
func (s Sets) Batch(code string) string {
	return s.before(code, func(s Set) string { return s.batch })
}

// BestBefore gives the words for the end of durability, a month such as "11/2028".
func (s Sets) BestBefore(month string) string {
	return s.before(month, func(s Set) string { return s.bestBefore })
}

// MadeIn gives the words for a country of origin.
func (s Sets) MadeIn(country string) string {
	return s.before(country, func(s Set) string { return s.madeIn })
}

func (s Sets) before(what string, of func(Set) string) string {
	phrases := make([]string, len(s))
	for i, set := range s {
		phrases[i] = of(set)
	}
	return strings.Join(phrases, " / ") + " " + what
}

// sets keeps each language that was read.
var sets sync.Map // language → func() (Set, error)

// In gives the phrases of languages. The error says for which one there are none.
func In(languages ...string) (Sets, error) {
	all := make(Sets, len(languages))
	for i, language := range languages {
		load, _ := sets.LoadOrStore(language, sync.OnceValues(func() (Set, error) { return read(language) }))
		var err error
		if all[i], err = load.(func() (Set, error))(); err != nil {
			return nil, err
		}
	}
	return all, nil
}

func read(language string) (Set, error) {
	name := "data/" + language + ".yaml"
	text, err := data.ReadFile(name)
	if err != nil {
		return Set{}, fmt.Errorf("there are no phrases in the language %q", language)
	}
	doc, err := source.Read(name, text)
	if err != nil {
		return Set{}, err
	}
	m := doc.Root()
	s := Set{
		Language: m.Text("language").V, CautionHeading: m.Text("caution_heading").V, Caution: m.Text("caution").V,
		batch: m.Text("batch").V, bestBefore: m.Text("best_before").V, madeIn: m.Text("made_in").V,
	}
	m.Text("known")
	if findings := doc.Findings(); len(findings) > 0 {
		return Set{}, fmt.Errorf("reading phrases: %s", findings[0].Text())
	}
	return s, nil
}
