// Package phrase holds the fixed phrases of labels, one file a language. It knows
// no law: which phrase a market asks for is for others to say.
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

	batch, bestBefore, madeIn string
}

// Batch gives the words for a batch code.
func (s Set) Batch(code string) string { return strings.Replace(s.batch, "%s", code, 1) }

// BestBefore gives the words for the end of durability, a month such as "11/2028".
func (s Set) BestBefore(month string) string { return strings.Replace(s.bestBefore, "%s", month, 1) }

// MadeIn gives the words for a country of origin.
func (s Set) MadeIn(country string) string { return strings.Replace(s.madeIn, "%s", country, 1) }

// sets keeps each language that was read.
var sets sync.Map // language → func() (Set, error)

// In gives the phrases of a language. The error says that there are none.
func In(language string) (Set, error) {
	load, _ := sets.LoadOrStore(language, sync.OnceValues(func() (Set, error) { return read(language) }))
	return load.(func() (Set, error))()
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
