package bar

import (
	"math"
	"slices"

	"saponym/internal/measure"
)

// mostCorners is how many corners are tried, which is enough for the bars of ten batches
// in one soap: with more of them there is no proof, and [Bar.Exact] says so.
const mostCorners = 1024

// An open is a point at an end of all that is not known of crumbs: which end of each.
type open struct {
	Point
	ends []int
}

// settle works out the bar at the middle of its sets, once all else stands.
func (b *Bar) settle(water waterRule) error {
	p, err := middle(b.Sources)
	if err != nil {
		return err
	}
	p.Lye = b.Lye.Middle()
	points := []open{{Point: p}}
	b.exact = b.Lye.IsPoint()
	for i, s := range b.Sources {
		b.exact = b.exact && s.isExact()
		switch {
		case s.Ends == nil:
		case len(points)*len(s.Ends) > mostCorners:
			b.exact = false
		default:
			points = eachEnd(points, i, s.Ends)
		}
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

// addCorners adds the corners at one end of the water. The water is the lesser of what
// there is and of what the rule allows; where two points that differ in one of the
// crumbs differ in which it is, the bar between them at which both are the same is a
// corner too.
func (b *Bar) addCorners(points []open, rule waterRule, end int) error {
	over := make([]float64, len(points))
	add := func(p Point) (float64, error) {
		water, over, err := b.waterAt(p, rule, end)
		if err != nil {
			return 0, err
		}
		c, err := b.corner(p, water)
		b.corners = append(b.corners, c)
		b.Water = measure.Range{Low: min(b.Water.Low, water), High: max(b.Water.High, water)}
		return over, err
	}
	for n, p := range points {
		var err error
		if over[n], err = add(p.Point); err != nil {
			return err
		}
	}
	for n, from := range points {
		for m, to := range points[:n] {
			if !nextTo(from.ends, to.ends) || !(over[n]*over[m] < 0) || math.IsInf(over[n]*over[m], 0) {
				continue
			}
			if _, err := add(mix(from.Point, to.Point, over[n]/(over[n]-over[m]))); err != nil {
				return err
			}
		}
	}
	return nil
}

// nextTo reports whether two points differ in one of the crumbs only.
func nextTo(a, b []int) bool {
	differ := 0
	for i := range a {
		if a[i] != b[i] {
			differ++
		}
	}
	return differ == 1
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

// eachEnd gives each point once for each end of one source.
func eachEnd(points []open, source int, ends [][]float64) []open {
	var all []open
	for _, p := range points {
		for n, shares := range ends {
			q := open{p.Point, append(slices.Clone(p.ends), n)}
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
