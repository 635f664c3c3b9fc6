// Package bar says what is in a finished bar of soap.
//
// It takes a formula and its materials and makes a [Bar]: each weighed thing is
// a source of known mass and, perhaps, unknown shares; each line is a thing that
// can be declared. A bar answers two questions: what the lines weigh at one
// possible composition ([Bar.At]), and what a weighted sum of lines weighs at
// least ([Bar.Least]). All else, the order of a declaration above all, is asked
// in these terms. The package knows no market and chooses no name.
package bar

import (
	"errors"
	"fmt"

	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A Bar is what one formula becomes, in grams for the whole batch. It remembers what it
// has worked out, so it is not for several goroutines at once.
type Bar struct {
	Sources []Source
	Lines   []Line

	lye       float64       // mol of alkali for the fats, where one figure is shown
	potassium measure.Range // mole fraction of the alkali that is potassium hydroxide
	poured    float64       // part of the water left that was poured as water; the rest came with things bought
	waters    []Term        // all the water that there is before any has left
	rule      waterRule

	shown  corner // where one figure is shown
	solver *solver
	seen   []corner // allowed bars that were come upon
}

// A corner is an allowed bar with the masses of its lines.
type corner struct {
	Point
	masses []float64
}

// A Point is one possible composition: shares of each part of each source, the figures
// of each part that is a fat, and the water left in g.
type Point struct {
	Shares [][]float64
	Fats   [][]saponify.Fat
	Water  float64
}

// Of two kinds of point nothing is said: they are no bars of soap, and their lines have
// no masses.
var (
	// ErrLyeHeavy says that there is more alkali than the fats can bind.
	ErrLyeHeavy = errors.New("more alkali than the fats can bind")
	// ErrNoLyeLeft says that acids other than those of the fats can bind more than all of
	// the alkali.
	ErrNoLyeLeft = errors.New("acids take up more than all of the alkali")
)

// tolerance is how far the extent may pass 1 by rounding.
const tolerance = 1e-12

// heavy reports whether so much alkali is more than fats of so many equivalents
// can bind.
func heavy(alkali, fats float64) bool { return alkali > fats*(1+tolerance) }

// middle gives the point at which one figure is shown where a set is known, with any
// water.
func middle(sources []Source) (Point, error) {
	var p Point
	for _, s := range sources {
		shares, err := s.middle()
		if err != nil {
			return Point{}, fmt.Errorf("composition of %s: %w", s.Ref, err)
		}
		p.Shares = append(p.Shares, shares)
		p.Fats = append(p.Fats, s.fats(shares))
	}
	return p, nil
}

// equivalents gives the moles of alkali that the free acids and the esters of the fats
// of one source bind.
func (s Source) equivalents(shares []float64, fats []saponify.Fat) (acids, esters float64) {
	for j, part := range s.Parts {
		if part.Fat == nil {
			continue
		}
		a, e := fats[j].Equivalents()
		acids += s.Mass * shares[j] * a
		esters += s.Mass * shares[j] * e
	}
	return acids, esters
}

// alkali gives the moles of alkali that a source brings, less those that its acids take
// up.
func (s Source) alkali(shares []float64) float64 {
	moles := 0.0
	for j, part := range s.Parts {
		moles += shares[j] * part.alkali()
	}
	return s.Mass * moles
}

// alkali gives the moles that one gram brings, less those that it takes up if it is an
// acid.
func (part Part) alkali() float64 {
	if part.Acid != nil {
		return -part.Acid.takes()
	}
	return part.Alkali
}

// fatsOf gives the moles of alkali that the free acids and the esters of all fats of the
// pot bind at a point. What was boiled elsewhere is not among them.
func fatsOf(sources []Source, p Point) (acids, esters float64) {
	for i, s := range sources {
		if s.Kettle != nil {
			continue
		}
		a, e := s.equivalents(p.Shares[i], p.Fats[i])
		acids, esters = acids+a, esters+e
	}
	return acids, esters
}

// alkaliAt gives the moles of alkali for the fats of the pot at a point. They differ
// from those of the bar that is shown by what its alkalis and acids differ.
func (b *Bar) alkaliAt(p Point) float64 {
	moles := b.lye
	for i, s := range b.Sources {
		if s.Kettle == nil && s.alkaline() {
			moles += s.alkali(p.Shares[i]) - s.alkali(b.shown.Shares[i])
		}
	}
	return moles
}

// alkaline reports whether a source brings alkali or takes it up other than by fats, in
// an amount that is not known as one figure.
func (s Source) alkaline() bool {
	for _, part := range s.Parts {
		if part.alkali() != 0 {
			_, point := s.Shares.Point()
			return !point
		}
	}
	return false
}

// potassiumAt gives the mole fraction of the alkali that is potassium hydroxide.
func (b *Bar) potassiumAt(p Point) float64 {
	if b.potassium.IsPoint() {
		return b.potassium.Low
	}
	all, potassium := 0.0, 0.0
	for i, s := range b.Sources {
		for j, part := range s.Parts {
			if s.Kettle != nil || part.Alkali == 0 {
				continue
			}
			moles := s.Mass * p.Shares[i][j] * part.Alkali
			all += moles
			if part.isPotash() {
				potassium += moles
			}
		}
	}
	return potassium / all
}

// At gives the mass of each line in grams at a point. It is the only way in
// which saponym computes what is in a bar. The error is [ErrLyeHeavy] or [ErrNoLyeLeft].
func (b *Bar) At(p Point) ([]float64, error) {
	products, err := b.react(p)
	if err != nil {
		return nil, err
	}
	masses := make([]float64, len(b.Lines))
	for l, line := range b.Lines {
		masses[l] = b.weigh(line.Terms, p, products)
	}
	return masses, nil
}

// react gives what one gram of each part becomes at a point.
func (b *Bar) react(p Point) ([][]saponify.Products, error) {
	moles := b.alkaliAt(p)
	acids, esters := fatsOf(b.Sources, p)
	switch {
	case heavy(moles, acids+esters):
		return nil, ErrLyeHeavy
	case moles < -tolerance*(acids+esters):
		return nil, ErrNoLyeLeft
	}
	pot, potassium := reacted(moles, acids, esters), b.potassiumAt(p)
	products := make([][]saponify.Products, len(b.Sources))
	for i, s := range b.Sources {
		extent, potassium := pot, potassium
		if s.Kettle != nil {
			acids, esters := s.equivalents(p.Shares[i], p.Fats[i])
			moles := s.alkali(p.Shares[i])
			if heavy(moles, acids+esters) {
				return nil, ErrLyeHeavy
			}
			extent, potassium = reacted(moles, acids, esters), s.potash(p.Shares[i])
		}
		products[i] = make([]saponify.Products, len(s.Parts))
		for j := range s.Parts {
			products[i][j] = s.Parts[j].becomes(p.Fats[i][j], extent, potassium)
		}
	}
	return products, nil
}

// reacted is saponify.Reacted without what rounding makes of all.
func reacted(moles, acids, esters float64) saponify.Extent {
	extent := saponify.Reacted(moles, acids, esters)
	extent.Acids, extent.Esters = min(1, extent.Acids), min(1, extent.Esters)
	return extent
}

// becomes gives what lye makes of one gram of a part.
func (part *Part) becomes(fat saponify.Fat, extent saponify.Extent, potassium float64) saponify.Products {
	switch {
	case part.Fat != nil:
		return fat.At(extent, potassium)
	case part.Acid != nil:
		return part.Acid.at(potassium)
	}
	return saponify.Products{}
}

// weigh adds up terms at a point.
func (b *Bar) weigh(terms []Term, p Point, products [][]saponify.Products) float64 {
	total := 0.0
	for _, t := range terms {
		switch t.Product {
		case Moisture:
			total += b.poured * p.Water
		case BoughtMoisture:
			total += (1 - b.poured) * p.Water
		case Whole:
			total += b.Sources[t.Source].Mass
		default:
			part := &b.Sources[t.Source].Parts[t.Part]
			total += b.Sources[t.Source].Mass * p.Shares[t.Source][t.Part] * part.gives(t.Product, products[t.Source][t.Part])
		}
	}
	return total
}

// gives is how much of a product one gram of a part gives.
func (part *Part) gives(product Product, made saponify.Products) float64 {
	switch product {
	case AsAdded:
		return 1
	case Kept:
		return 1 - part.Leaves
	case SodiumSoap:
		return made.SodiumSoap
	case PotassiumSoap:
		return made.PotassiumSoap
	case Glycerol:
		return made.Glycerol
	case Formed:
		return made.Water
	case Fatty:
		return made.LeftOver + made.Unsaponifiable + made.Alcohol
	case Unreacted:
		return made.LeftOver
	case Unsaponified:
		return made.Unsaponifiable + made.Alcohol
	}
	return 0
}

// Total adds up the lines that are parts of what the bar weighs.
func (b *Bar) Total(masses []float64) float64 {
	total := 0.0
	for l, line := range b.Lines {
		if line.Counted() {
			total += masses[l]
		}
	}
	return total
}

// Shown gives the bar where one figure is shown, and its masses in grams: one of each
// line.
func (b *Bar) Shown() (Point, []float64) { return b.shown.Point, b.shown.masses }

// Masses gives what each line weighs where one figure is shown, in grams.
func (b *Bar) Masses() []float64 { return b.shown.masses }

// Tie is how much two masses may differ and still be equal: 1 ng, or a part in
// 10¹² of the batch if that is more.
func (b *Bar) Tie() float64 {
	batch := b.shown.Water
	for _, s := range b.Sources {
		batch += s.Mass
	}
	return max(1e-9, 1e-12*batch)
}
