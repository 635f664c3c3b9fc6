package bar

import (
	"math"

	"saponym/inci"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A WaterLeft is how much of the cured bar is water: on the day it is packed, from Low to
// High, and when it is as dry as it comes to be while it is sold.
type WaterLeft struct{ Low, Nominal, High, Driest measure.Share }

// Unweighed is the water left where nobody has weighed the bars: between 2 % and
// 20 % of the bar, and 10 % where one figure is shown. It is a working range, not
// a published one.
var Unweighed = WaterLeft{Low: 2 * measure.Percent, Nominal: 10 * measure.Percent, High: 20 * measure.Percent, Driest: 2 * measure.Percent}

// AsSold gives the water that can be left on any day on which the bar is packed or sold.
func (w WaterLeft) AsSold() WaterLeft {
	w.Low = min(w.Low, w.Driest)
	return w
}

// Cured gives the bar after the cure. Its water is a share of the bar, but never
// more than was there when it was poured. Melt-and-pour is wrapped when it has set:
// one figure shows it with all its water, and the range leaves room for what a poor
// wrapping lets go. The error is [ErrLyeHeavy] or [ErrNoLyeLeft].
func (b *Batter) Cured(left WaterLeft) (*Bar, error) {
	perDry := func(share measure.Share) float64 { return share.Fraction() / (1 - share.Fraction()) }
	all := math.Inf(1)
	if b.Melted {
		return b.bar(b.curedLines(), waterRule{perDry(left.Low), all, all})
	}
	return b.bar(b.curedLines(), waterRule{perDry(left.Low), perDry(left.Nominal), perDry(left.High)})
}

// Fresh gives the bar on the day it is poured, with all its water and without what
// leaves in the cure; see [Batter.Cured].
func (b *Batter) Fresh() (*Bar, error) {
	all := math.Inf(1)
	return b.bar(b.curedLines(), waterRule{all, all, all})
}

// Made gives the same sources as they went into the pot: oils, water and alkali
// as weighed; see [Batter.Cured].
func (b *Batter) Made() (*Bar, error) {
	var lines []Line
	for i, s := range b.Sources {
		switch {
		case s.Bought != nil:
			lines = append(lines, Line{Substance, *s.Bought, []Term{{Source: i, Product: Whole}}})
			continue
		case s.Parts[0].Role == Alkali:
			// A dry alkali is declared as weighed; a solution has water in it.
			alkali := Line{Role: Alkali, Names: s.Parts[0].Names}
			for j, part := range s.Parts {
				if part.Role == Water && part.Names.ID != "" {
					lines = append(lines, Line{Water, part.Names, []Term{{i, j, AsAdded}}})
					continue
				}
				alkali.Terms = append(alkali.Terms, Term{i, j, AsAdded})
			}
			lines = append(lines, alkali)
			continue
		}
		for j, part := range s.Parts {
			lines = append(lines, Line{part.Role, part.Names, []Term{{i, j, AsAdded}}})
		}
	}
	return b.bar(lines, waterRule{})
}

// waters gives the terms of all the water in the batter: what was poured, what came
// with other things, and what acids set free.
func (b *Batter) waters() []Term {
	var terms []Term
	for i, s := range b.Sources {
		for j, part := range s.Parts {
			switch {
			case part.Role == Water:
				terms = append(terms, Term{i, j, AsAdded})
			case part.Fat != nil, part.Acid != nil:
				terms = append(terms, Term{i, j, Formed})
			}
		}
	}
	return terms
}

// poured gives which part of the water that went in was poured as water. The water
// that is left after the cure is taken to be of both sorts in that proportion: what
// came with milk is declared with the milk. The little that acids set free, or that
// damp alkali brings, is of the one sort or the other alike.
func (b *Batter) poured() float64 {
	asWater, withBought := 0.0, 0.0
	for _, s := range b.Sources {
		shares, err := s.middle()
		if err != nil {
			continue // such a batter is not poured
		}
		for j, part := range s.Parts {
			switch {
			case part.Role != Water || part.Names.ID == "":
			case s.Bought != nil:
				withBought += s.Mass * shares[j]
			default:
				asWater += s.Mass * shares[j]
			}
		}
	}
	if asWater+withBought == 0 {
		return 1
	}
	return asWater / (asWater + withBought)
}

// curedLines gives what can be declared of the finished bar, and what else it holds.
func (b *Batter) curedLines() []Line {
	var lines []Line
	water := Line{Water, builtinNames("water"), []Term{{Product: Moisture}}}
	glycerin := Line{Role: Glycerin, Names: builtinNames("glycerin")}
	moist := Line{Role: Remains, Terms: []Term{{Product: BoughtMoisture}}}
	for i, s := range b.Sources {
		remains := Line{Role: Remains}
		if s.Bought != nil {
			lines = append(lines, Line{Bought, *s.Bought, []Term{{Source: i, Product: Whole}}})
			remains.Names = *s.Bought
		}
		for j, part := range s.Parts {
			if part.Fat != nil && part.Fat.Kind == saponify.Triglyceride {
				glycerin.Terms = append(glycerin.Terms, Term{i, j, Glycerol})
			}
			made := b.made(i, j, part)
			if s.Bought == nil {
				lines = append(lines, made...)
				continue
			}
			for _, line := range made {
				remains.Terms = append(remains.Terms, line.Terms...)
			}
		}
		if s.Bought != nil {
			lines = append(lines, remains)
		}
	}
	return append(lines, water, glycerin, moist)
}

// allOfIt is the superfat below which all of the fat has become soap: only rounding
// makes a difference.
const allOfIt = 1e-9

// made gives the lines of what one part has become, without glycerin and water.
func (b *Batter) made(i, j int, part Part) []Line {
	potassium := b.potash
	if k := b.Sources[i].Kettle; k != nil {
		potassium = k.Potassium
	}
	var salts []Line
	salt := func(role Role, product Product, names Names, of float64) {
		if of > 0 {
			salts = append(salts, Line{role, names, []Term{{i, j, product}}})
		}
	}
	switch {
	case part.Fat != nil:
		salt(Salt, SodiumSoap, saltNames(part.Names.ID, inci.Sodium), 1-potassium.Low)
		salt(Salt, PotassiumSoap, saltNames(part.Names.ID, inci.Potassium), potassium.High)
		left := Line{LeftOver, part.Names, []Term{{i, j, Fatty}}}
		if b.Sources[i].Kettle == nil && b.usedUp(part.Fat) {
			left.Role = Remains // what cannot saponify is no ingredient of its own
		}
		return append(salts, left)
	case part.Acid != nil:
		salt(Substance, SodiumSoap, part.Acid.Sodium, 1-potassium.Low)
		salt(Substance, PotassiumSoap, part.Acid.Potassium, potassium.High)
		return salts
	case part.Role == Alkali, part.Role == Water:
		return nil // it is in the salts, and in the water left
	}
	return []Line{{part.Role, part.Names, []Term{{i, j, Kept}}}}
}

// usedUp reports whether nothing is left over of a fat: all of the fats has reacted, or
// it has free acids alone, and these react first. The alcohol of a wax is left always.
func (b *Batter) usedUp(f *Fat) bool {
	switch {
	case f.Kind == saponify.WaxEster:
		return false
	case f.Kind == saponify.FreeAcid:
		at, err := middle(b.Sources)
		if err != nil {
			return false // such a batter is not poured
		}
		acids, _ := fatsOf(b.Sources, at)
		return b.ForFats >= acids*(1-allOfIt)
	}
	return b.Superfat() <= allOfIt && f.Inert == 0
}

// unsaponified reports whether a line is what cannot saponify of one fat.
func (l Line) unsaponified() bool {
	return l.Role == Remains && len(l.Terms) == 1 && l.Terms[0].Product == Fatty
}

// saltNames gives the name of a fat's soap, from the list only.
func saltNames(id string, metal inci.Metal) Names {
	fat, _ := inci.FatByID(id)
	return soapNames(fat.Salt(metal))
}

func soapNames(s inci.Salt) Names {
	return Names{US: s.Text, EU: s.Text, Analogy: s.Status == inci.FormedByAnalogy}
}
