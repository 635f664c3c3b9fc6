package bar

import (
	"math"
	"slices"

	"saponym/internal/measure"
)

// mostCrumbs is of how many crumbs the ends of the water are tried: with more of them
// there is no proof.
const mostCrumbs = 4

// settle works out the bar at the middle of its sets, once all else stands.
func (b *Bar) settle(water waterRule) error {
	p, err := middle(b.Sources)
	if err != nil {
		return err
	}
	p.Lye = b.Lye.Middle()
	points := []Point{p}
	b.exact = b.Lye.IsPoint()
	damp := 0
	for i, s := range b.Sources {
		b.exact = b.exact && s.isExact()
		if s.Ends == nil {
			continue
		}
		if damp++; damp > mostCrumbs {
			b.exact = false
			continue
		}
		points = eachEnd(points, i, s.Ends)
	}
	if b.Nominal, _, err = b.waterAt(p, water, nominally); err != nil {
		return err
	}
	if b.shown, err = b.corner(p, b.Nominal); err != nil {
		return err
	}
	b.Water = measure.Exactly(b.Nominal)
	for _, end := range []int{atLeast, atMost} {
		if err := b.addCorners(points, water, end); err != nil {
			return err
		}
	}
	return nil
}

// The figures of water that a [waterRule] gives.
const (
	atLeast = iota
	nominally
	atMost
)

// A waterRule makes the water left of the dry mass and of the water that there is
// before any has left. It rises with both, and is never more than there is.
type waterRule func(dry, fresh float64) (low, nominal, high float64)

// waterAt gives one figure of the water at a point, and how much of the water that is
// there would be too much for the rule: below nought, it leaves room.
func (b *Bar) waterAt(p Point, rule waterRule, figure int) (water, over float64, err error) {
	dry, fresh, err := b.dryAndFresh(p)
	if err != nil {
		return 0, 0, err
	}
	pick := func(fresh float64) float64 {
		low, nominal, high := rule(dry, fresh)
		return []float64{low, nominal, high}[figure]
	}
	return pick(fresh), fresh - pick(math.Inf(1)), nil
}

// addCorners adds the corners at one end of the water. Points stand at the ends of the
// water in the crumbs, which double from source to source. The water is the lesser of
// what there is and of what the rule allows; where two points next to each other
// differ in which it is, the bar between them at which both are the same is a corner
// too.
func (b *Bar) addCorners(points []Point, rule waterRule, end int) error {
	over := make([]float64, len(points))
	add := func(p Point, water float64) error {
		c, err := b.corner(p, water)
		b.corners = append(b.corners, c)
		b.Water = measure.Range{Low: min(b.Water.Low, water), High: max(b.Water.High, water)}
		return err
	}
	for n, p := range points {
		water, o, err := b.waterAt(p, rule, end)
		if err != nil {
			return err
		}
		over[n] = o
		if err := add(p, water); err != nil {
			return err
		}
	}
	for bit := 1; bit < len(points); bit *= 2 {
		for n := range points {
			m := n | bit
			if m == n || !(over[n]*over[m] < 0) || math.IsInf(over[n], 0) || math.IsInf(over[m], 0) {
				continue
			}
			between := mix(points[n], points[m], over[n]/(over[n]-over[m]))
			water, _, err := b.waterAt(between, rule, end)
			if err != nil {
				return err
			}
			if err := add(between, water); err != nil {
				return err
			}
		}
	}
	return nil
}

// mix gives the point a part of the way from one to another, which differ in their
// shares alone.
func mix(from, to Point, part float64) Point {
	at := from
	at.Shares = make([][]float64, len(from.Shares))
	for i, shares := range from.Shares {
		at.Shares[i] = make([]float64, len(shares))
		for j, share := range shares {
			at.Shares[i][j] = share + part*(to.Shares[i][j]-share)
		}
	}
	return at
}

// eachEnd gives each point twice, with the shares of one source at either end.
func eachEnd(points []Point, source int, ends [][]float64) []Point {
	var all []Point
	for _, p := range points {
		for _, shares := range ends {
			q := p
			q.Shares = slices.Clone(p.Shares)
			q.Shares[source] = shares
			all = append(all, q)
		}
	}
	return all
}

// dryAndFresh gives what the lines weigh without water, and the water that there is
// before any has left.
func (b *Bar) dryAndFresh(p Point) (dry, fresh float64, err error) {
	products, err := b.react(p)
	if err != nil {
		return 0, 0, err
	}
	p.Water = 0
	for _, line := range b.Lines {
		if line.Counted() {
			dry += b.weigh(line.Terms, p, products)
		}
	}
	return dry, b.weigh(b.waters, p, products), nil
}

// corner gives a point with so much water, and the masses there.
func (b *Bar) corner(p Point, water float64) (corner, error) {
	p.Water = water
	masses, err := b.At(p)
	return corner{p, masses}, err
}
