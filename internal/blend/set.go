// Package blend holds what is known of the shares in a mixture as a set of
// possible compositions. It is mathematics only: it knows nothing of oils, and
// its shares are fractions of 1.
package blend

import (
	"errors"
	"math"
	"slices"
)

// A Set holds every composition whose shares lie within their bounds, do not
// rise where Down says so, and sum to 1. No share is negative, whatever the bounds.
type Set struct {
	Low, High []float64 // one pair of bounds a part
	Down      []bool    // Down[i]: share i is at least share i+1; one fewer than the parts
}

// A Union holds every composition that one of its sets holds.
type Union []Set

// ErrEmpty says that no composition at all satisfies a statement.
var ErrEmpty = errors.New("no composition satisfies all parts of the statement")

// slack is how far shares may miss their sum, and rounding how far the bounds of
// a share that is known may lie apart.
const (
	slack    = 1e-9
	rounding = 1e-12
)

// Exactly gives the union that holds one composition. The shares must sum to 1.
func Exactly(shares ...float64) Union {
	return Union{{Low: slices.Clone(shares), High: slices.Clone(shares), Down: make([]bool, max(0, len(shares)-1))}}
}

// Free gives the set of all compositions of n parts.
func Free(n int) Set {
	s := Set{Low: make([]float64, n), High: make([]float64, n), Down: make([]bool, max(0, n-1))}
	for i := range s.High {
		s.High[i] = 1
	}
	return s
}

// LegalOrder gives the union for a list that was made under ingredient law: the
// first of its parts, as many as are ordered, do not rise as long as they are at or
// above the line, such as 0.01; below it, and for the parts after the ordered ones,
// there is no order. It holds one set for each place at which the line can fall, that
// of the middle first. What else is known is in the bounds of s, whose order is not
// looked at. It is empty where no place satisfies the bounds. At most all parts are
// ordered, whatever the number says.
func LegalOrder(s Set, ordered int, line float64) Union {
	n := len(s.Low)
	ordered = min(ordered, n)
	// All of the list in order has its own middle, and that tells where the line is.
	all := Set{Low: s.Low, High: s.High, Down: make([]bool, max(0, n-1))}
	for i := 1; i < ordered; i++ {
		all.Down[i-1] = true
	}
	usual := ordered
	if shares, err := all.Middle(); err == nil {
		for usual = 0; usual < ordered && shares[usual] >= line; {
			usual++
		}
	}
	var u Union
	first := 0
	for above := 0; above <= ordered; above++ {
		t := Set{Low: slices.Clone(s.Low), High: slices.Clone(s.High), Down: make([]bool, max(0, n-1))}
		for i := range above {
			t.Low[i] = max(t.Low[i], line)
			if i > 0 {
				t.Down[i-1] = true
			}
		}
		for i := above; i < ordered; i++ {
			t.High[i] = min(t.High[i], line)
		}
		if _, err := t.tighten(); err != nil {
			continue
		}
		if u = append(u, t); above <= usual {
			first = len(u) - 1
		}
	}
	if len(u) > 0 {
		u[0], u[first] = u[first], u[0]
	}
	return u
}

// With gives the union with one share known as well. It leaves out the sets that do not
// allow it, and is empty where none does.
func (u Union) With(part int, share float64) Union {
	var known Union
	for _, s := range u {
		if share < s.Low[part]-slack || share > s.High[part]+slack {
			continue
		}
		t := Set{Low: slices.Clone(s.Low), High: slices.Clone(s.High), Down: s.Down}
		t.Low[part], t.High[part] = share, share
		if _, err := t.tighten(); err == nil {
			known = append(known, t)
		}
	}
	return known
}

// Holds reports whether shares are a composition that the set allows, but for
// rounding.
func (s Set) Holds(shares []float64) bool {
	if len(shares) != len(s.Low) {
		return false
	}
	sum := 0.0
	for i, x := range shares {
		if !(x >= max(s.Low[i], 0)-slack && x <= s.High[i]+slack) || i > 0 && s.Down[i-1] && shares[i-1] < x-slack {
			return false
		}
		sum += x
	}
	return math.Abs(sum-1) <= slack*float64(len(shares))
}

// Holds reports whether one of the sets allows the shares.
func (u Union) Holds(shares []float64) bool {
	return slices.ContainsFunc(u, func(s Set) bool { return s.Holds(shares) })
}

// Point gives the composition of a union that holds just one, and false when it
// holds more or none.
func (u Union) Point() ([]float64, bool) {
	if len(u) == 0 {
		return nil, false
	}
	var point []float64
	for _, set := range u {
		s, err := set.tighten()
		if err != nil {
			continue
		}
		for i := range s.Low {
			if s.High[i]-s.Low[i] > rounding || point != nil && math.Abs(point[i]-s.Low[i]) > rounding {
				return nil, false
			}
		}
		if point == nil {
			point = s.Low
		}
	}
	return point, point != nil
}

// Middle is the composition shown when nothing better is known: that of the
// first set of the union. See [Set.Middle].
func (u Union) Middle() ([]float64, error) {
	if len(u) == 0 {
		return nil, ErrEmpty
	}
	return u[0].Middle()
}

// Middle is the centroid of the order, scaled and clamped to the bounds: with c
// the centroid, the shares are min(high, max(low, t·c)) for the one scale t that
// makes them sum to 1. It is feasible, and the same on every machine. The error
// is [ErrEmpty].
func (s Set) Middle() ([]float64, error) {
	s, err := s.tighten()
	if err != nil {
		return nil, err
	}
	return Scaled(s.centroid(), s.Low, s.High, 1), nil
}

// Scaled gives min(high, max(low, t·centre)) for the one scale t that makes them sum to
// a total, which must lie between the sums of the bounds. Each centre is above nought.
func Scaled(centre, low, high []float64, total float64) []float64 {
	// The sum grows with t, in straight pieces between the scales at which one of them
	// leaves its low bound or meets its high one.
	var knots []float64
	for i, c := range centre {
		knots = append(knots, low[i]/c, high[i]/c)
	}
	slices.Sort(knots)
	scaled := make([]float64, len(centre))
	fill := func(t float64) (sum float64) {
		for i, c := range centre {
			scaled[i] = min(high[i], max(low[i], t*c))
			sum += scaled[i]
		}
		return sum
	}
	at, _ := slices.BinarySearchFunc(knots, total, func(t, sum float64) int {
		if fill(t) < sum {
			return -1
		}
		return 1
	})
	t := knots[min(at, len(knots)-1)]
	if at > 0 {
		before := knots[at-1]
		if less, more := fill(before), fill(t); more > less {
			t = before + (t-before)*min(1, (total-less)/(more-less))
		}
	}
	fill(t)
	return scaled
}

// centroid gives the centre of gravity of all compositions that satisfy the
// order and no bounds. Parts outside any run are equal on average; a run of k
// parts shares out what is its own, k/n of the whole, like the ordered pieces
// of a stick broken at random.
func (s Set) centroid() []float64 {
	n := len(s.Low)
	centre := make([]float64, n)
	for start := 0; start < n; {
		end := start + 1
		for end < n && s.Down[end-1] {
			end++
		}
		k := end - start
		tail := 0.0 // 1/k + 1/(k-1) + … from the smallest piece up
		for i := k - 1; i >= 0; i-- {
			tail += 1 / float64(i+1)
			centre[start+i] = tail / float64(n)
		}
		start = end
	}
	return centre
}

// tighten draws the bounds in as far as the order alone and the sum alone allow. The two
// together may allow less: that is for [Set.Middle] and [Union.Least] to find.
func (s Set) tighten() (Set, error) {
	n := len(s.Low)
	t := Set{Low: make([]float64, n), High: make([]float64, n), Down: s.Down}
	for i := range n {
		// Bounds beyond nought and 1 say nothing, but one that rounding has brought
		// there may be all that is left of a share.
		t.Low[i], t.High[i] = max(s.Low[i], min(0, s.High[i])), min(s.High[i], max(1, s.Low[i]))
		if i > 0 && s.Down[i-1] {
			t.High[i] = min(t.High[i], t.High[i-1])
		}
	}
	for i := n - 2; i >= 0; i-- {
		if s.Down[i] {
			t.Low[i] = max(t.Low[i], t.Low[i+1])
		}
	}
	low, high := 0.0, 0.0
	for i := range n {
		if t.Low[i] > t.High[i] || t.High[i] < -slack || math.IsNaN(t.Low[i]) || math.IsNaN(t.High[i]) {
			return Set{}, ErrEmpty
		}
		low, high = low+t.Low[i], high+t.High[i]
	}
	if n == 0 || low > 1+slack || high < 1-slack {
		return Set{}, ErrEmpty
	}
	// What the others leave at least and at most bounds each part as well, but never
	// beyond its own bounds where these miss the sum by rounding. Bounds that fall along
	// a run go on falling, since all move by the same rule.
	for i := range n {
		least, most := 1-(high-t.High[i]), 1-(low-t.Low[i])
		t.Low[i], t.High[i] = min(max(t.Low[i], least), t.High[i]), min(t.High[i], most)
		if t.High[i] < t.Low[i] { // by rounding, where both are the rest
			t.High[i] = t.Low[i]
		}
	}
	return t, nil
}
