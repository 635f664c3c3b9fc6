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
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
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

	waters    []Term  // all the water that there is before any has left
	potassium float64 // mole fraction of the alkali that is potassium hydroxide
	poured    float64 // part of the water left that was poured as water; the rest came with things bought
	exact     bool    // see [Bar.Exact]

	shown   corner   // at the middle of all sets, with the nominal water
	corners []corner // the same at each end of the water, and of that in its crumbs
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
	Work   Work        // what is to be done with it at the pot
	Mass   float64     // g
	Shares blend.Union // of Parts
	Parts  []Part
	Ends   [][]float64 // shares at each end of what is not known of crumbs, which is their water; nil else
	Bought *Names      // what it is declared as where it is printed as the thing bought, such as milk; nil for what is declared by its parts
}

// A Work is what the sheet to work from says of a weighed thing.
type Work struct {
	Name    string // common: "Olive oil"
	When    Stage
	Portion string // "" for the whole batter
	With    int    // index of the source that it is stirred in for, one after that; 0 for none
	State   string // as the formula says it: "frozen"
}

// A Stage is when a thing goes in.
type Stage int

// The stages, in their order at the pot.
const (
	ToPot   Stage = iota // with the oils, or the base, at the start
	ToLye                // into the lye jug
	ToOils               // into the oils before the lye
	AtTrace              // into the batter
	After                // when the soap is made
	OnTop                // on what is in the mould
)

// stageWords are the words of a formula for the stages.
var stageWords = []string{ToPot: "pot", ToLye: "lye", ToOils: "oils", AtTrace: "trace", After: "after", OnTop: "top"}

// String gives the word of a formula for the stage.
func (s Stage) String() string { return stageWords[s] }

// late reports whether the soap is made by then, if it is cooked.
func (s Stage) late() bool { return s == After || s == OnTop }

// stage reads a stage; where nothing is said it is the usual one.
func stage(word formula.Text, usual Stage) Stage {
	if at := slices.Index(stageWords, word.V); at >= 0 {
		return Stage(at)
	}
	return usual
}

// A Part is one of the things that a source is made of. At most one of Fat and Acid
// is given.
type Part struct {
	Names  Names
	Role   Role    // of what lye leaves alone
	Fat    *Fat    // nil for what is not saponified
	Acid   *Acid   // nil for what does not take up lye
	Leaves float64 // part of it that has left by the end of the cure, 0 to 1
}

// A Fat is a part that meets the lye.
type Fat struct {
	saponify.Fat               // its SAP is the nominal one
	Stated       measure.Range // mg KOH/g: a point unless maker or supplier gives a range
	Published    measure.Range // mg KOH/g: the spread of the species in handbooks; zero where none is known, or a lot was measured
	Confirmed    bool          // the text behind Published was read; what is recalled only warns
	Loose        bool          // another of its figures is stated as a range
	Reach        bool          // how much of its esters the lye takes up is stated
}

// An Acid is a part that takes up alkali whole and at once: each mole of it binds so
// many moles of alkali, sets free as many of water, and becomes a salt.
type Acid struct {
	MolarMass         float64 // g/mol as weighed, crystal water included
	Equivalents       float64 // mol of alkali a mol
	Crystal           float64 // mol of crystal water a mol
	Sodium, Potassium Names   // its salts
}

// takes gives the moles of alkali that one gram takes up.
func (a Acid) takes() float64 { return a.Equivalents / a.MolarMass }

// at gives what one gram becomes; potassium is the mole fraction of the alkali that
// is potassium hydroxide.
func (a Acid) at(potassium float64) saponify.Products {
	dry := a.MolarMass - a.Crystal*inci.MolarMassWater
	salt := func(alkali float64) float64 {
		return (dry + a.Equivalents*(alkali-inci.MolarMassWater)) / a.MolarMass
	}
	return saponify.Products{
		SodiumSoap:    (1 - potassium) * salt(inci.MolarMassNaOH),
		PotassiumSoap: potassium * salt(inci.MolarMassKOH),
		Water:         (a.Equivalents + a.Crystal) * inci.MolarMassWater / a.MolarMass,
	}
}

// A Line is one thing that can be declared. Its mass is the sum of its terms.
type Line struct {
	Role  Role
	Names Names
	Terms []Term
}

// Counted reports whether the line is a part of what the bar weighs. A thing that is
// declared as it was bought is not: its remains are, in a line of their own.
func (l Line) Counted() bool { return l.Role != Bought }

// Declared reports whether the line is an ingredient.
func (l Line) Declared() bool { return l.Role != Impurity && l.Role != Remains }

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
	Bought   // declared as bought, on the basis of what was added
	Remains  // what is left of a thing that is declared as bought
)

// A Term is what one product of one part of one source adds to a line.
type Term struct {
	Source, Part int
	Product      Product
}

// A Product is what a part becomes.
type Product int

// The products. AsAdded is the part itself, untouched, and Kept what has stayed of it
// after the cure. The soaps are the salts of an acid too. Fatty is Unreacted and
// Unsaponified together. The last three belong to no part: the water left that was poured as water, the water left that came with things
// that are declared as bought, and a whole source.
const (
	AsAdded Product = iota
	Kept
	SodiumSoap
	PotassiumSoap
	Glycerol
	Formed // water that acids set free
	Fatty
	Unreacted    // left-over fat
	Unsaponified // what cannot saponify, with the alcohols of waxes
	Moisture
	BoughtMoisture
	Whole
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
			switch {
			case part.Fat != nil:
				products[i][j] = part.Fat.withSAP(p.SAP[i][j]).At(extent, b.potassium)
			case part.Acid != nil:
				products[i][j] = part.Acid.at(b.potassium)
			}
		}
	}
	return products, nil
}

// weigh adds up terms at a point.
func (b *Bar) weigh(terms []Term, p Point, products [][]saponify.Products) float64 {
	total := 0.0
	for _, t := range terms {
		switch t.Product {
		case Moisture:
			total += b.poured * p.Water
			continue
		case BoughtMoisture:
			total += (1 - b.poured) * p.Water
			continue
		case Whole:
			total += b.Sources[t.Source].Mass
			continue
		}
		grams := b.Sources[t.Source].Mass * p.Shares[t.Source][t.Part]
		switch made := products[t.Source][t.Part]; t.Product {
		case AsAdded:
			total += grams
		case Kept:
			total += grams * (1 - b.Sources[t.Source].Parts[t.Part].Leaves)
		case SodiumSoap:
			total += grams * made.SodiumSoap
		case PotassiumSoap:
			total += grams * made.PotassiumSoap
		case Glycerol:
			total += grams * made.Glycerol
		case Formed:
			total += grams * made.Water
		case Fatty:
			total += grams * (made.LeftOver + made.Unsaponifiable + made.Alcohol)
		case Unreacted:
			total += grams * made.LeftOver
		case Unsaponified:
			total += grams * (made.Unsaponifiable + made.Alcohol)
		}
	}
	return total
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

// Masses gives what each line weighs where one figure is shown, in grams.
func (b *Bar) Masses() []float64 { return b.shown.masses }

// Lightest gives what each line weighs in the bar of least weight that the water
// allows, and Heaviest in that of most.
func (b *Bar) Lightest() []float64 { return b.extreme(-1) }

// Heaviest is the other end of [Bar.Lightest].
func (b *Bar) Heaviest() []float64 { return b.extreme(1) }

func (b *Bar) extreme(sign float64) []float64 {
	return slices.MaxFunc(b.corners, func(a, c corner) int {
		return cmp.Compare(sign*b.Total(a.masses), sign*b.Total(c.masses))
	}).masses
}

// WaterShare gives the part of the bar that is water, 0 to 1: where one figure is
// shown, and at its ends.
func (b *Bar) WaterShare() (low, nominal, high float64) {
	share := func(c corner) float64 { return c.Water / b.Total(c.masses) }
	low, high = math.Inf(1), math.Inf(-1)
	for _, c := range b.corners {
		low, high = min(low, share(c)), max(high, share(c))
	}
	return low, share(b.shown), high
}

// Span gives the least and the most of a ratio of two sums of lines, for all water
// that is allowed. Such a ratio has its ends at the ends of what it hangs on.
func (b *Bar) Span(ratio func(masses []float64) float64) measure.Range {
	span := measure.Range{Low: math.Inf(1), High: math.Inf(-1)}
	for _, c := range b.corners {
		v := ratio(c.masses)
		span = measure.Range{Low: min(span.Low, v), High: max(span.High, v)}
	}
	return span
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

// Least answers a question. A bar that is known exactly but for its water, and that in
// its crumbs, is linear in each of them, so its least stands at an end of each. Bars of
// which less is known get no proof: their verdict is Unproved, and Low is −∞.
func (b *Bar) Least(q Question) Answer {
	if !b.exact {
		return Answer{Low: math.Inf(-1), At: b.shown.Point}
	}
	answer := Answer{Low: math.Inf(1)}
	for _, c := range b.corners {
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
