package compile

import (
	"fmt"
	"math"
	"slices"

	"saponym/internal/figure"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/sheet"
)

// How wide the picture of a drying is by itself, and in a terminal.
const (
	pictureWidth  = 180 * measure.Millimetre
	pictureMargin = 6 * measure.Millimetre
	plainColumns  = 96
	plainRows     = 18
)

// Picture draws how the bars dry, with a margin around it.
func (a WeightAnswer) Picture() (scene.Scene, error) {
	picture, err := figure.Drying(a.curve(), pictureWidth)
	return picture.Framed(pictureMargin), err
}

// Plain draws it for a terminal; "" where no bar was weighed.
func (a WeightAnswer) Plain() string {
	if len(a.Weighings) == 0 {
		return ""
	}
	return a.curve().Plain(plainColumns, plainRows)
}

// Document draws it on a page.
func (a WeightAnswer) Document(author string) (scene.Document, error) {
	paper, ok := sheet.PaperNamed(a.law.Paper)
	if !ok {
		return scene.Document{}, fmt.Errorf("there is no paper %q", a.law.Paper)
	}
	page, err := figure.DryingSheet(a.curve(), paper.Size)
	return scene.Document{Title: a.title + ", batch " + a.Batch + ": weight", Author: author, Language: "en", Date: a.law.On, Sheets: []scene.Sheet{page}}, err
}

// HasPicture reports whether there is anything to draw.
func (a WeightAnswer) HasPicture() bool { return len(a.Weighings) > 0 }

func (a WeightAnswer) curve() figure.Curve {
	c := figure.Curve{Title: a.title, Line: fmt.Sprintf("batch %s, cut %s, %s", a.Batch, a.Cut, a.Market)}
	for _, w := range a.Weighings {
		one := figure.Weighed{Day: w.Date, Mean: w.Mean}
		for _, g := range w.Bars {
			one.Bars = append(one.Bars, g)
		}
		slices.Sort(one.Bars)
		c.Weighed = append(c.Weighed, one)
	}
	if r := a.Bounds; r != nil {
		c.Bounds = measure.Range{Low: r.Low, High: r.High}
	}
	last := a.LastSale
	if last.Before(a.On) {
		last = a.On
	}
	c.Days = append(c.Days, figure.MarkedDay{Day: a.LastSale, Words: "sold until"})
	if a.On != a.LastSale {
		c.Days = append(c.Days, figure.MarkedDay{Day: a.On, Words: "asked for"})
	}
	if !a.packed.IsZero() {
		c.Days = append(c.Days, figure.MarkedDay{Day: a.packed, Words: "packed"})
	}
	if a.dried.Course == nil {
		return c
	}
	c.Floor = *a.Dry
	first, end := a.dried.Day(a.Weighings[0].Date), a.dried.Day(last)
	for _, on := range courseDays(first, end) {
		p := a.dried.Course.Batch(on)
		c.Course = append(c.Course, figure.Predicted{Day: a.dried.Date(on), Mean: p.Mean, Low: p.Low, High: p.High, Bound: p.OneSided})
	}
	if s := a.stands; s != nil {
		c.Claim = figure.ClaimLine{Words: s.Claim.Words, Grams: s.Claim.Least().Grams(), Until: s.Until}
		if !s.Ever {
			c.Claim.Until = a.Weighings[0].Date.AddDays(-1)
		}
	}
	return c
}

// courseDays gives the days on which a course is drawn: closer together where bars dry
// faster.
func courseDays(from, to float64) []float64 {
	const steps = 120
	var all []float64
	for i := range steps + 1 {
		part := float64(i) / steps
		all = append(all, math.Round(from+(to-from)*part*part))
	}
	return slices.Compact(all)
}
