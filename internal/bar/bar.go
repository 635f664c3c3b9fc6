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
	"math"
	"slices"

	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A Bar is what one formula becomes, in grams for the whole batch.
type Bar struct {
	Sources []Source
	Lye     measure.Range // mol of alkali for the fats
	Water   measure.Range // g left on the day asked for
	Nominal float64       // g of water taken where one figure must be shown
	Lines   []Line

	potassium       float64 // mole fraction of the alkali that is potassium hydroxide
	exact           bool    // see [Bar.Exact]
	shown           corner  // at the middle of all sets, with the nominal water
	driest, wettest corner  // the same with the least and the most water
}

// A corner is a point with the masses of the lines there.
type corner struct {
	Point
	masses []float64
}

// A Source is one weighed thing.
type Source struct {
	Ref    string      // where it stands in the formula, and what it is: "pot[0] olive-oil"
	At     finding.Pos // the same as a place in the file
	Role   Role        // of what lye leaves alone
	Mass   float64     // g
	Shares blend.Union // of Parts
	Parts  []Part
}

// A Part is one of the things that a source is made of.
type Part struct {
	Names Names
	Fat   *Fat // nil for what is not saponified
}

// A Fat is a part that meets the lye.
type Fat struct {
	saponify.Fat               // its SAP is the nominal one
	Stated       measure.Range // mg KOH/g: a point unless maker or supplier gives a range
	Published    measure.Range // mg KOH/g: the spread of the species in handbooks; zero where none is known, or a lot was measured
	Confirmed    bool          // the text behind Published was read; what is recalled only warns
	Loose        bool          // another of its figures is stated as a range
}

// A Line is one thing that can be declared. Its mass is the sum of its terms.
type Line struct {
	Role  Role
	Names Names
	Terms []Term
}

// A Role says what a line is to a declaration.
type Role int

// The roles of a line.
const (
	Substance    Role = iota // anything that goes by its own name
	Salt                     // the soap of a fat
	LeftOver                 // fat that has not become soap
	Water                    // left after the cure, or poured
	Glycerin                 // set free by saponification
	Perfume                  // a fragrance, of which only the allergens go by name
	EssentialOil             // a natural raw material of perfume
	Colourant
	Alkali   // as weighed
	Impurity // of the alkali: weighs, and is not declared
)

// A Term is what one product of one part of one source adds to a line.
type Term struct {
	Source, Part int
	Product      Product
}

// A Product is what a part becomes.
type Product int

// The products. AsAdded is the part itself, untouched. Moisture belongs to no
// source: it is the water of the point asked for.
const (
	AsAdded Product = iota
	SodiumSoap
	PotassiumSoap
	Glycerol
	Fatty // left-over fat with what cannot saponify in it
	Moisture
)

// A Point is one possible composition: shares of each part of each source, the
// saponification value of each, the alkali for the fats in mol and the water
// left in g.
type Point struct {
	Shares [][]float64
	SAP    [][]float64
	Lye    float64
	Water  float64
}

// ErrLyeHeavy says that a point has more alkali than its fats can bind: it is no
// bar of soap, and its lines have no masses.
var ErrLyeHeavy = errors.New("more alkali than the fats can bind")

// tolerance is how far the extent may pass 1 by rounding.
const tolerance = 1e-12

// middle gives the point at which one figure is shown where a set is known, for
// any lye and water.
func middle(sources []Source) (Point, error) {
	var p Point
	for _, s := range sources {
		shares, err := s.Shares.Middle()
		if err != nil {
			return Point{}, fmt.Errorf("composition of %s: %w", s.Ref, err)
		}
		saps := make([]float64, len(s.Parts))
		for i, part := range s.Parts {
			if part.Fat != nil {
				saps[i] = part.Fat.SAP
			}
		}
		p.Shares = append(p.Shares, shares)
		p.SAP = append(p.SAP, saps)
	}
	return p, nil
}

// equivalents gives the moles of alkali that the free acids and the esters of all
// fats bind at a point.
func equivalents(sources []Source, p Point) (acids, esters float64) {
	for i, s := range sources {
		for j, part := range s.Parts {
			if part.Fat == nil {
				continue
			}
			a, e := part.Fat.withSAP(p.SAP[i][j]).Equivalents()
			grams := s.Mass * p.Shares[i][j]
			acids += grams * a
			esters += grams * e
		}
	}
	return acids, esters
}

// heavy reports whether so much alkali is more than fats of so many equivalents
// can bind.
func heavy(alkali, fats float64) bool { return alkali > fats*(1+tolerance) }

// At gives the mass of each line in grams at a point. It is the only way in
// which saponym computes what is in a bar. The error is [ErrLyeHeavy].
func (b *Bar) At(p Point) ([]float64, error) {
	acids, esters := equivalents(b.Sources, p)
	if heavy(p.Lye, acids+esters) {
		return nil, ErrLyeHeavy
	}
	extent := saponify.Reacted(p.Lye, acids, esters)
	extent.Acids, extent.Esters = min(1, extent.Acids), min(1, extent.Esters) // of rounding
	products := make([][]saponify.Products, len(b.Sources))
	for i, s := range b.Sources {
		products[i] = make([]saponify.Products, len(s.Parts))
		for j, part := range s.Parts {
			if part.Fat != nil {
				products[i][j] = part.Fat.withSAP(p.SAP[i][j]).At(extent, b.potassium)
			}
		}
	}
	masses := make([]float64, len(b.Lines))
	for l, line := range b.Lines {
		for _, t := range line.Terms {
			if t.Product == Moisture {
				masses[l] += p.Water
				continue
			}
			grams := b.Sources[t.Source].Mass * p.Shares[t.Source][t.Part]
			masses[l] += grams * of(products[t.Source][t.Part], t.Product)
		}
	}
	return masses, nil
}

// of picks what one gram of a part gives of a product.
func of(p saponify.Products, product Product) float64 {
	switch product {
	case SodiumSoap:
		return p.SodiumSoap
	case PotassiumSoap:
		return p.PotassiumSoap
	case Glycerol:
		return p.Glycerol
	case Fatty:
		return p.LeftOver + p.Unsaponifiable
	}
	return 1
}

// withSAP gives the fat with another saponification value.
func (f Fat) withSAP(sap float64) saponify.Fat {
	g := f.Fat
	g.SAP = sap
	return g
}

// Exact reports whether all that the bar is made of is known as one figure each.
// Only the water may then differ from bar to bar.
func (b *Bar) Exact() bool { return b.exact }

// isExact reports whether a source is known as one figure in all.
func (s Source) isExact() bool {
	if _, ok := s.Shares.Point(); !ok {
		return false
	}
	for _, part := range s.Parts {
		if part.Fat != nil && (part.Fat.Loose || !part.Fat.Stated.IsPoint()) {
			return false
		}
	}
	return true
}

// A Question asks whether a weighted sum of lines can fall below nought: one
// weight a line, and a constant in grams.
type Question struct {
	Weights []float64
	Const   float64
}

// A Verdict is what could be shown of a question.
type Verdict int

const (
	// Unproved means that neither was shown within what the program can do.
	Unproved Verdict = iota
	// Proved means that the sum is not below nought for any bar allowed.
	Proved
	// Refuted means that there is an allowed bar for which it is.
	Refuted
)

// An Answer is the least of the weighted sum, the point that gives it, and what
// follows. Where the verdict is Unproved, Low is a bound that may be slack.
type Answer struct {
	Low     float64
	At      Point
	Verdict Verdict
}

// Masses gives what each line weighs where one figure is shown, and in the driest
// and the wettest bar allowed, in grams.
func (b *Bar) Masses() (shown, driest, wettest []float64) {
	return b.shown.masses, b.driest.masses, b.wettest.masses
}

// Tie is how much two masses may differ and still be equal: 1 ng, or a part in
// 10¹² of the batch if that is more.
func (b *Bar) Tie() float64 {
	batch := b.Water.High
	for _, s := range b.Sources {
		batch += s.Mass
	}
	return max(1e-9, 1e-12*batch)
}

// Least answers a question. A bar that is known exactly but for its water is
// linear in the water, so its least stands at one of the two ends. Bars of which
// less is known get no proof: their verdict is Unproved, and Low is −∞.
func (b *Bar) Least(q Question) Answer {
	if !b.exact {
		return Answer{Low: math.Inf(-1), At: b.shown.Point}
	}
	answer := Answer{Low: math.Inf(1)}
	for _, c := range []corner{b.driest, b.wettest} {
		sum := q.Const
		for i, w := range q.Weights {
			sum += w * c.masses[i]
		}
		if sum < answer.Low {
			answer.Low, answer.At = sum, c.Point
		}
	}
	answer.Verdict = Proved
	if answer.Low < -b.Tie() {
		answer.Verdict = Refuted
	}
	return answer
}

// settle works out the bar at the middle of its sets, once all else stands. The
// water is what a function makes of the dry mass and of the water that is there
// before any has left: what went in, less what is dry.
func (b *Bar) settle(water func(dry, fresh float64) (low, nominal, high float64)) error {
	p, err := middle(b.Sources)
	if err != nil {
		return err
	}
	p.Lye = b.Lye.Middle()
	masses, err := b.At(p)
	if err != nil {
		return err
	}
	in, dry := 0.0, 0.0
	for _, s := range b.Sources {
		in += s.Mass
	}
	for _, m := range masses {
		dry += m
	}
	b.exact = b.Lye.IsPoint() && !slices.ContainsFunc(b.Sources, func(s Source) bool { return !s.isExact() })
	low, nominal, high := water(dry, max(0, in-dry))
	b.Water, b.Nominal = measure.Range{Low: low, High: high}, nominal
	for _, at := range []struct {
		water float64
		into  *corner
	}{{nominal, &b.shown}, {low, &b.driest}, {high, &b.wettest}} {
		p.Water = at.water
		if masses, err = b.At(p); err != nil {
			return err
		}
		*at.into = corner{p, masses}
	}
	return nil
}
