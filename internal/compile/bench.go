package compile

import (
	"fmt"
	"slices"

	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/paper/bench"
	"saponym/internal/scene"
	"saponym/internal/shop"
	"saponym/internal/source"
)

// A BenchOrder says what the sheet to work from is wanted for. At most one size is
// given, as it is typed; with none the formula is made at its own.
type BenchOrder struct {
	Formula string // id
	Oils    string // "500 g": of oils
	Batter  string // "1400 g": of all that is poured
	Mould   string // id of a mould of the shop
}

// resized gives the formula at the size that is asked for. The error is an
// [*OptionError].
func (o BenchOrder) resized(f formula.Formula) (formula.Formula, error) {
	var size formula.Size
	given := 0
	for _, s := range []struct {
		typed string
		into  *formula.Mass
	}{{o.Oils, &size.Oils}, {o.Batter, &size.Batter}} {
		if s.typed == "" {
			continue
		}
		given++
		mass, _, err := measure.ParseMass(s.typed)
		if err != nil {
			return f, &OptionError{err.Error(), `write a weight such as "500 g"`}
		}
		if mass <= 0 {
			return f, &OptionError{fmt.Sprintf("%q is no size", s.typed), `write a weight such as "500 g"`}
		}
		*s.into = source.Value[measure.Mass]{V: mass, At: f.Name.At}
	}
	if o.Mould != "" {
		given++
		size.Mould = formula.Text{V: o.Mould, At: f.Name.At}
	}
	switch given {
	case 0:
		return f, nil
	case 1:
		return f.Resized(size), nil
	}
	return f, &OptionError{"there are several sizes", "give one of oils, batter and mould"}
}

// A Bench is the sheet to work from at the pot. Where a finding is a stop there are no
// weights, and no sheet.
type Bench struct {
	Formula  string
	Batter   *bar.Batter // nil where a finding is a stop
	Contents bar.Contents
	Sheet    bench.Sheet
	Findings []finding.Finding

	alkalis []string    // that the formula names
	judged  *bar.Batter // what was reckoned, if a finding is a stop too: it is not to be made
}

// MakeBench works out the weights of a formula. The error may be an [*OptionError].
func MakeBench(folder *shop.Folder, o BenchOrder) (Bench, error) {
	doc, err := folder.Formula(o.Formula)
	if err != nil {
		return Bench{}, err
	}
	b := Bench{Formula: doc.ID}
	for _, a := range doc.Lye.Alkalis {
		b.alkalis = append(b.alkalis, a.Name.V)
	}
	if doc, err = o.resized(doc); err != nil {
		return Bench{}, err
	}
	found := slices.Clone(folder.Findings(doc))
	if finding.Worst(found) == finding.Stop {
		b.Findings = tidy(folder, append(found, bar.Unknown(doc, folder.Library)...))
		return b, nil
	}
	batter, more := bar.Pour(doc, folder.Library)
	found = append(found, more...)
	b.Findings, b.judged = tidy(folder, found), batter
	if finding.Worst(found) == finding.Stop {
		return b, nil
	}
	if b.Contents, err = batter.Contents(); err != nil {
		return Bench{}, fmt.Errorf("working out %s: %w", doc.ID, err)
	}
	work := bench.Compile(doc, batter, folder.Shop.Maker.Name.V, b.Findings)
	more = work.Check()
	for i := range more {
		more[i].At = doc.Name.At
	}
	if b.Findings = tidy(folder, append(found, more...)); finding.Worst(more) < finding.Stop {
		b.Batter, b.Sheet = batter, work
	}
	return b, nil
}

// Paper lays the sheet out on paper: an id of package sheet, or "" for what printers in
// a market hold. The error may be an [*OptionError].
func (b Bench) Paper(paper, in string, on day.Day) (scene.Document, []finding.Finding, error) {
	stock, err := paperFor(paper, in, on)
	if err != nil {
		return scene.Document{}, nil, err
	}
	return b.Sheet.Document(stock.Size, on)
}

// A BenchAnswer is the answer of bench. Its JSON form is a contract. What a finding
// stops, or what a formula without lye has not, is null; where no file was written, its
// name is "".
type BenchAnswer struct {
	Formula    string            `json:"formula"`
	Oils       *float64          `json:"oils_g"`
	Alkalis    []BenchAlkali     `json:"alkali"`
	Water      *float64          `json:"water_g"`
	Superfat   *float64          `json:"superfat_percent"`
	Superfats  *BenchRange       `json:"superfat_range_percent"` // over all that maker and suppliers state
	Saponified *float64          `json:"saponified_share"`
	Strength   *float64          `json:"lye_strength_percent"`
	Weights    []BenchWeight     `json:"weights"`
	Portions   []BenchPortion    `json:"portions"`
	Bar        *BenchBar         `json:"bar"`
	File       string            `json:"pdf"`
	Findings   []finding.Finding `json:"findings"`
}

// A BenchRange is a figure of which only the bounds are known.
type BenchRange struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type BenchAlkali struct {
	Name     string   `json:"name"`
	Pure     *float64 `json:"pure_g"`
	Weigh    *float64 `json:"weigh_g"`
	Solution string   `json:"solution,omitempty"`
}

// A BenchWeight is one line of what goes on the scale.
type BenchWeight struct {
	Ref     string  `json:"ref"`
	Name    string  `json:"name"`
	Grams   float64 `json:"weigh_g"`
	When    string  `json:"when"`
	Portion string  `json:"portion,omitempty"`
}

type BenchPortion struct {
	Name  string  `json:"name"`
	Share float64 `json:"share"`
	Grams float64 `json:"batter_g"`
}

type BenchBar struct {
	Soap           float64 `json:"soap_g"`
	Glycerol       float64 `json:"glycerol_g"`
	Water          float64 `json:"water_g"`
	LeftOver       float64 `json:"leftover_oil_g"`
	Unsaponifiable float64 `json:"unsaponifiable_g"`
	Salts          float64 `json:"salts_g"`
	Other          float64 `json:"other_g"`
	Total          float64 `json:"total_g"`
}

// Answer gives the weights as they are reckoned, not rounded. Where a finding is a stop
// it tells how much of the fats the lye takes up, as far as that is known, and no
// weights. File is what was written.
func (b Bench) Answer(file string) BenchAnswer {
	a := BenchAnswer{Formula: b.Formula, Alkalis: []BenchAlkali{}, Weights: []BenchWeight{}, Portions: []BenchPortion{}, File: file, Findings: b.Findings}
	if b.judged != nil && b.judged.HasLye() {
		superfat, saponified := 100*b.judged.Superfat(), b.judged.Saponified()
		a.Superfat, a.Saponified = &superfat, &saponified
		r := b.judged.Superfats()
		a.Superfats = &BenchRange{100 * r.Low, 100 * r.High}
	}
	if b.Batter == nil {
		for _, name := range b.alkalis {
			a.Alkalis = append(a.Alkalis, BenchAlkali{Name: name})
		}
		return a
	}
	for _, s := range b.Batter.Sources {
		a.Weights = append(a.Weights, BenchWeight{s.Ref, s.Work.Name, s.Mass, s.Work.When.String(), s.Work.Portion})
	}
	for _, p := range b.Batter.Portions {
		a.Portions = append(a.Portions, BenchPortion{p.Name, p.Share, p.Mass})
	}
	c := b.Contents
	a.Bar = &BenchBar{c.Soap, c.Glycerol, c.Water, c.LeftOver, c.Unsaponifiable, c.Salts, c.Other, c.Total()}
	if !b.Batter.HasLye() {
		return a
	}
	for i := range b.Batter.Alkalis {
		alkali := &b.Batter.Alkalis[i]
		a.Alkalis = append(a.Alkalis, BenchAlkali{alkali.Name, &alkali.Pure, &alkali.Weigh, alkali.Solution})
	}
	strength := 100 * b.Batter.Strength
	a.Oils, a.Water, a.Strength = &b.Batter.Oils, &b.Batter.Water, &strength
	return a
}
