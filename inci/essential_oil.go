package inci

import (
	"fmt"
	"iter"
	"slices"
	"sync"
)

// An EssentialOil is what is published of the composition of an essential oil: those
// of its constituents that labels have to do with, fragrance allergens above all. It is
// no analysis of a lot, and what is not in it may be in the oil all the same: origin,
// chemotype and grade change an oil, and the statement of its supplier always says it
// better.
type EssentialOil struct {
	ID           string // of the [Substance]
	Constituents []Constituent
	Note         string // a sentence for the reader, or nothing
}

// A Constituent is one substance in an essential oil, in per cent of the oil by mass.
// Name is the one that statements of suppliers print: "Linalool". Isomers that go by
// one name are added up: citral is geranial and neral, pinene is alpha-pinene and
// beta-pinene.
type Constituent struct {
	Name      string
	Low, High float64
	Detail    string // how the range comes of the source, or nothing
	Source    string
	Known     Known
}

// EssentialOilByID finds the published composition of an essential oil by the id of the
// substance. It finds nothing for oils of which none is held.
func EssentialOilByID(id string) (EssentialOil, bool) {
	t := essentialOils()
	at, ok := t.ids[fold(id)]
	if !ok {
		return EssentialOil{}, false
	}
	return t.all[at], true
}

// EssentialOils gives all published compositions, in the order of their table.
func EssentialOils() iter.Seq[EssentialOil] { return slices.Values(essentialOils().all) }

// The records of an oil, as they stand in the file.
type (
	oilRecord struct {
		ID           string              `json:"id"`
		Constituents []constituentRecord `json:"constituents"`
		Note         string              `json:"note"`
	}
	constituentRecord struct {
		Name   string  `json:"name"`
		Low    float64 `json:"low"`
		High   float64 `json:"high"`
		Detail string  `json:"detail"`
		fact
	}
)

// oilTable holds the compositions with what finds them.
type oilTable struct {
	all []EssentialOil
	ids map[string]int
}

var essentialOils = sync.OnceValue(readEssentialOils)

func readEssentialOils() *oilTable {
	t := &oilTable{ids: map[string]int{}}
	for at, r := range read[oilRecord]("essential_oils.json") {
		if s, ok := ByID(r.ID); !ok || s.Group != GroupEssentialOil {
			panic(fmt.Sprintf("inci: there is no essential oil %q", r.ID)) // see read
		}
		oil := EssentialOil{ID: r.ID, Note: r.Note}
		for _, c := range r.Constituents {
			oil.Constituents = append(oil.Constituents, Constituent{c.Name, c.Low, c.High, c.Detail, c.Source, c.known()})
		}
		t.all = append(t.all, oil)
		t.ids[fold(r.ID)] = at
	}
	return t
}
