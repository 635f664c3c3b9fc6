package bar

import (
	"saponym/inci"
	"saponym/internal/measure"
)

// A WaterLeft is how much of the cured bar is water.
type WaterLeft struct{ Low, Nominal, High measure.Share }

// Unweighed is the water left where nobody has weighed the bars: between 2 % and
// 20 % of the bar, and 10 % where one figure is shown. It is a working range, not
// a published one.
var Unweighed = WaterLeft{Low: 2 * measure.Percent, Nominal: 10 * measure.Percent, High: 20 * measure.Percent}

// Cured gives the bar after the cure. Its water is a share of the bar, but never
// more than was there when it was poured. The error is [ErrLyeHeavy].
func (b *Batter) Cured(left WaterLeft) (*Bar, error) {
	return b.bar(b.curedLines(), func(dry, fresh float64) (low, nominal, high float64) {
		grams := func(share measure.Share) float64 {
			return min(fresh, dry*share.Fraction()/(1-share.Fraction()))
		}
		return grams(left.Low), grams(left.Nominal), grams(left.High)
	})
}

// Fresh gives the bar on the day it is poured, with all its water; see [Batter.Cured].
func (b *Batter) Fresh() (*Bar, error) {
	return b.bar(b.curedLines(), func(_, fresh float64) (low, nominal, high float64) { return fresh, fresh, fresh })
}

// Made gives the same sources as they went into the pot: oils, water and alkali
// as weighed; see [Batter.Cured].
func (b *Batter) Made() (*Bar, error) {
	var lines []Line
	for i, s := range b.Sources {
		if s.Role == Alkali {
			lines = append(lines, Line{Alkali, s.Parts[0].Names, []Term{{i, 0, AsAdded}, {i, 1, AsAdded}}})
			continue
		}
		for j, part := range s.Parts {
			lines = append(lines, Line{s.Role, part.Names, []Term{{i, j, AsAdded}}})
		}
	}
	return b.bar(lines, func(_, _ float64) (low, nominal, high float64) { return 0, 0, 0 })
}

// bar makes a bar with these lines.
func (b *Batter) bar(lines []Line, water func(dry, fresh float64) (low, nominal, high float64)) (*Bar, error) {
	bar := &Bar{Sources: b.Sources, Lye: measure.Exactly(b.Alkali.moles()), Lines: lines}
	if b.Alkali.potassium() {
		bar.potassium = 1
	}
	return bar, bar.settle(water)
}

// curedLines gives what can be declared of the finished bar.
func (b *Batter) curedLines() []Line {
	salt, metal := SodiumSoap, inci.Sodium
	if b.Alkali.potassium() {
		salt, metal = PotassiumSoap, inci.Potassium
	}
	var lines []Line
	glycerin := Line{Role: Glycerin, Names: builtinNames("glycerin")}
	for i, s := range b.Sources {
		switch s.Role {
		case Water:
			lines = append(lines, Line{Water, s.Parts[0].Names, []Term{{Product: Moisture}}})
			continue
		case Alkali:
			// What is not hydroxide in potassium hydroxide is mostly water
			// (common practice, no source), and so is in the water left.
			if !b.Alkali.potassium() {
				lines = append(lines, Line{Impurity, s.Parts[1].Names, []Term{{i, 1, AsAdded}}})
			}
			continue
		}
		for j, part := range s.Parts {
			if part.Fat == nil {
				lines = append(lines, Line{s.Role, part.Names, []Term{{i, j, AsAdded}}})
				continue
			}
			lines = append(lines,
				Line{Salt, saltNames(part.Names.ID, metal), []Term{{i, j, salt}}},
				Line{LeftOver, part.Names, []Term{{i, j, Fatty}}})
			glycerin.Terms = append(glycerin.Terms, Term{i, j, Glycerol})
		}
	}
	return append(lines, glycerin)
}

// saltNames gives the name of a fat's soap, from the list only.
func saltNames(id string, metal inci.Metal) Names {
	fat, _ := inci.FatByID(id)
	s := fat.Salt(metal)
	return Names{US: s.Text, EU: s.Text, Analogy: s.Status == inci.FormedByAnalogy}
}
