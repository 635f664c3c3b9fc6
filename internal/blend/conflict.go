package blend

import (
	"cmp"
	"math"
	"slices"
)

// A Constraint is one thing that a statement says of a mixture. Part is the part of
// which it says it; it is 0 for the [Sum].
type Constraint struct {
	Kind Kind
	Part int
}

// A Kind says what a constraint bounds. That no share is negative is no constraint: it
// is so of every composition.
type Kind int

// The kinds of constraint.
const (
	LowBound  Kind = iota // the share of the part is at least its low bound
	HighBound             // it is at most its high bound
	NotRising             // the share of the next part is not larger
	Sum                   // all shares are 1 together
)

// Conflict gives a smallest part of a statement that contradicts itself: constraints
// that no composition satisfies, while those that are left when any one of them is
// taken out can be satisfied. It is nil where the set is not empty. The constraints
// come in the order of their parts, the sum last.
//
// Bounds are taken in whole parts of 10⁹, in which suppliers' shares are read, and all
// else is exact. Of several conflicts one of the order alone is given before one of the
// sum, and of these one of few and large shares.
func (s Set) Conflict() []Constraint {
	return conflict(s, 0)
}

// LegalConflict is [Set.Conflict] for a list that was made under ingredient law; see
// [LegalOrder]. There [NotRising] says that the share of the next part is not larger
// unless it is at or below the line.
func LegalConflict(s Set, ordered int, line float64) []Constraint {
	s.Down = make([]bool, max(0, len(s.Low)-1))
	for i := 1; i < ordered; i++ {
		s.Down[i-1] = true
	}
	return conflict(s, line)
}

func conflict(s Set, line float64) []Constraint {
	stated := inParts(s, line)
	left := stated.clone()
	if left.feasible() {
		return nil
	}
	needed := left.needed(stated.constraints(), stated)
	slices.SortFunc(needed, func(a, b Constraint) int {
		if a.Kind == Sum || b.Kind == Sum {
			return cmp.Compare(a.Kind, b.Kind)
		}
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Kind, b.Kind))
	})
	return needed
}

// A statement is a set in whole parts of 10⁹, of which constraints can be left out: a
// low bound is then 0, and a high bound is open.
type statement struct {
	low, high []int64
	down      []bool
	sum       bool
	line      int64 // the share up to which one may be larger than that before it

	highs []int64 // room for feasible to work in
}

// whole is all of a mixture, open a bound above everything, and furthest what is kept
// of a bound that is far from all shares. The sum of a million of them fits 64 bits.
const (
	whole    = 1_000_000_000
	furthest = 1000 * whole
	open     = 2 * furthest
)

// inParts rounds a set to whole parts. A bound that is no number is one that nothing
// satisfies.
func inParts(s Set, line float64) statement {
	parts := func(x, none float64) int64 {
		if math.IsNaN(x) {
			x = none
		}
		return int64(math.Round(min(max(x*whole, -furthest), none)))
	}
	st := statement{down: slices.Clone(s.Down), sum: true, line: parts(line, furthest)}
	for i := range s.Low {
		low := parts(s.Low[i], furthest)
		if math.IsNaN(s.Low[i]) {
			low = open + 1
		}
		high := parts(s.High[i], furthest)
		if math.IsNaN(s.High[i]) {
			high = -1
		}
		st.low, st.high = append(st.low, max(low, 0)), append(st.high, high)
	}
	return st
}

func (st statement) clone() statement {
	st.low, st.high, st.down = slices.Clone(st.low), slices.Clone(st.high), slices.Clone(st.down)
	st.highs = make([]int64, len(st.low))
	return st
}

// constraints gives all that bounds a share, that which is to be left out first before
// the rest: the sum, then the order from its end, high bounds from the widest, and low
// bounds from the least; of equal ones the last in the list. So what remains is small and
// near the beginning of the list.
func (st statement) constraints() []Constraint {
	all := []Constraint{{Kind: Sum}}
	for i := range slices.Backward(st.down) {
		if st.down[i] {
			all = append(all, Constraint{NotRising, i})
		}
	}
	bounds := func(kind Kind, compare func(a, b Constraint) int) {
		start := len(all)
		for i := range slices.Backward(st.low) {
			all = append(all, Constraint{kind, i})
		}
		slices.SortStableFunc(all[start:], compare)
	}
	bounds(HighBound, func(a, b Constraint) int { return cmp.Compare(st.high[b.Part], st.high[a.Part]) })
	bounds(LowBound, func(a, b Constraint) int { return cmp.Compare(st.low[a.Part], st.low[b.Part]) })
	return all
}

// leaveOut takes constraints out, and put gives them what was stated again.
func (st *statement) leaveOut(all []Constraint) {
	for _, c := range all {
		switch c.Kind {
		case LowBound:
			st.low[c.Part] = 0
		case HighBound:
			st.high[c.Part] = open
		case NotRising:
			st.down[c.Part] = false
		case Sum:
			st.sum = false
		}
	}
}

func (st *statement) put(all []Constraint, stated statement) {
	for _, c := range all {
		switch c.Kind {
		case LowBound:
			st.low[c.Part] = stated.low[c.Part]
		case HighBound:
			st.high[c.Part] = stated.high[c.Part]
		case NotRising:
			st.down[c.Part] = stated.down[c.Part]
		case Sum:
			st.sum = stated.sum
		}
	}
}

// needed gives those of the constraints without which something satisfies the
// statement, and leaves out the others for good. It is a deletion filter that tries
// whole stretches before single constraints: what was needed once is needed of all that
// is left later, since that is less.
func (st *statement) needed(all []Constraint, stated statement) []Constraint {
	st.leaveOut(all)
	if !st.feasible() {
		return nil
	}
	st.put(all, stated)
	if len(all) == 1 {
		return all
	}
	half := len(all) / 2
	return append(st.needed(all[:half:half], stated), st.needed(all[half:], stated)...)
}

// feasible reports whether any composition satisfies what is left of the statement. The
// largest shares that the order allows follow from those before, and the smallest from
// those after. Both satisfy the order, and so does all that lies on the way from the
// one to the other when the shares are raised from the first to the last; so every sum
// between theirs is reached.
func (st *statement) feasible() bool {
	var least, most int64
	n := len(st.low)
	before := int64(open)
	highs := st.highs
	for i := range n {
		if highs[i] = st.high[i]; i > 0 && st.down[i-1] {
			highs[i] = min(highs[i], max(before, st.line))
		}
		before = highs[i]
		most += before
	}
	after := int64(0)
	for i := n - 1; i >= 0; i-- {
		low := st.low[i]
		if i < n-1 && st.down[i] && after > st.line {
			low = max(low, after)
		}
		if low > highs[i] {
			return false
		}
		after = low
		least += low
	}
	return !st.sum || least <= whole && whole <= most
}
