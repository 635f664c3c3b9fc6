package blend_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"saponym/internal/blend"
)

// A list in thousandths, so that shares at the line are just at it.
const (
	thousand = 1000
	line     = 0.01
)

// legalAt reports whether the order of a list is lawful, taken from the words of the rule
// (Regulation (EC) No 1223/2009, article 19(1)(g), from memory): what is above the line
// comes in descending order, and what is below it in any order after that. Shares at the
// line are either. The parts after the ordered ones stand anywhere.
func legalAt(shares []float64, ordered int, line float64) bool {
	for i := 1; i < ordered; i++ {
		if shares[i] > line && shares[i] > shares[i-1] {
			return false
		}
	}
	return true
}

// thousandths draws a list of which many shares are near the line, and most in order.
func thousandths(r *rand.Rand, n int) []float64 {
	parts, left := make([]int, n), thousand
	for i := 1; i < n; i++ {
		if r.IntN(2) == 0 {
			parts[i] = r.IntN(15)
		} else {
			parts[i] = r.IntN(thousand / n)
		}
		left -= parts[i]
	}
	parts[0] = left
	if r.IntN(3) > 0 {
		slices.SortFunc(parts, func(a, b int) int { return b - a })
	}
	if i := r.IntN(n); i > 0 && r.IntN(2) == 0 {
		parts[i-1], parts[i] = parts[i], parts[i-1]
	}
	shares := make([]float64, n)
	for i, x := range parts {
		shares[i] = float64(x) / thousand
	}
	return shares
}

// bound sets bounds near some shares of a set; not all of them hold the shares.
func bound(r *rand.Rand, s blend.Set, shares []float64) {
	for i, x := range shares {
		whole := int(x*thousand + 0.5)
		near := func() float64 { return float64(max(0, whole+r.IntN(8)-r.IntN(8))) / thousand }
		switch r.IntN(8) {
		case 0:
			s.Low[i], s.High[i] = x, x
		case 1:
			s.Low[i] = near()
		case 2:
			s.High[i] = near()
		case 3:
			s.Low[i] = near()
			s.High[i] = max(s.Low[i], near())
		}
	}
}

// drawList draws a list, with bounds half of the time, and how many of its parts are
// ordered. The order of the set is one that is not looked at.
func drawList(r *rand.Rand) (shares []float64, s blend.Set, ordered int) {
	n := 1 + r.IntN(7)
	shares, s = thousandths(r, n), blend.Free(n)
	if r.IntN(2) == 0 {
		bound(r, s, shares)
	}
	for i := range s.Down {
		s.Down[i] = r.IntN(2) == 0
	}
	return shares, s, r.IntN(n + 1)
}

func within(s blend.Set, shares []float64) bool {
	for i, x := range shares {
		if x < s.Low[i]-1e-12 || x > s.High[i]+1e-12 {
			return false
		}
	}
	return true
}

// The union for the line holds what the rule and the bounds allow, and nothing else.
func TestLegalOrderIsTheRule(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	lawful, unlawful, out := 0, 0, 0
	for range 30_000 {
		shares, s, ordered := drawList(r)
		u := blend.LegalOrder(s, ordered, line)
		legal, in := legalAt(shares, ordered, line), within(s, shares)
		if got := u.Holds(shares); got != (legal && in) {
			t.Fatalf("%v, the first %d ordered, bounds %v to %v: held %v, lawful %v, within the bounds %v", shares, ordered, s.Low, s.High, got, legal, in)
		}
		switch {
		case !in:
			out++
		case legal:
			lawful++
		default:
			unlawful++
		}
	}
	if min(lawful, unlawful, out) < 1000 {
		t.Errorf("%d lawful, %d unlawful, %d out of bounds", lawful, unlawful, out)
	}
}

// compositions calls f with every composition of n parts in whole steps.
func compositions(n, steps int, f func(parts []int)) {
	parts := make([]int, n)
	var fill func(i, left int)
	fill = func(i, left int) {
		if i == n-1 {
			parts[i] = left
			f(parts)
			return
		}
		for parts[i] = 0; parts[i] <= left; parts[i]++ {
			fill(i+1, left-parts[i])
		}
	}
	fill(0, steps)
}

// The union is empty just where no composition in whole tenths is both lawful and within
// the bounds, which are in whole tenths too: a set of this kind that holds anything holds
// one of those.
func TestLegalOrderIsEmpty(t *testing.T) {
	const steps = 10
	r := rand.New(rand.NewPCG(11, 1))
	empty := 0
	const draws = 3000
	for range draws {
		n := 1 + r.IntN(4)
		s := blend.Free(n)
		for i := range n {
			if r.IntN(3) > 0 {
				s.Low[i] = float64(r.IntN(5)) / steps
			}
			if r.IntN(3) > 0 {
				s.High[i] = float64(r.IntN(8)) / steps
			}
		}
		ordered, line := r.IntN(n+1), float64(1+r.IntN(3))/steps
		any := false
		shares := make([]float64, n)
		compositions(n, steps, func(parts []int) {
			for i, x := range parts {
				shares[i] = float64(x) / steps
			}
			any = any || legalAt(shares, ordered, line) && within(s, shares)
		})
		u := blend.LegalOrder(s, ordered, line)
		if (len(u) > 0) != any {
			t.Fatalf("bounds %v to %v, the first %d ordered, line %v: %d sets, but a composition: %v", s.Low, s.High, ordered, line, len(u), any)
		}
		if _, err := u.Middle(); (err == nil) != any {
			t.Fatalf("bounds %v to %v, the first %d ordered, line %v: middle: %v", s.Low, s.High, ordered, line, err)
		}
		if !any {
			empty++
		}
	}
	if empty < draws/10 || empty > draws*9/10 {
		t.Errorf("%d of %d empty", empty, draws)
	}
}

func TestLegalOrder(t *testing.T) {
	set := func(low, high []float64) blend.Set {
		return blend.Set{Low: low, High: high, Down: make([]bool, len(low)-1)}
	}
	for _, tt := range []struct {
		name    string
		set     blend.Set
		ordered int
		above   int // of the first set: parts that stand above the line
		sets    int
	}{
		// The smallest of n ordered pieces is 1/n² on average: of 10 just at the line.
		{"few parts are all above the line", blend.Free(4), 4, 4, 4},
		// Of 15 the last but one is (1/15 + 1/14)/15 = 0.0092, the one before it 0.0143.
		{"of many the last are below", blend.Free(15), 15, 13, 15},
		{"none is ordered", blend.Free(3), 0, 0, 1},
		{"colourants stand anywhere", blend.Free(5), 3, 3, 4},
		// At most the line leaves no whole, so that some part is above.
		{"one part", blend.Free(1), 1, 1, 1},
		{"what is stated to be below", set([]float64{0, 0, 0}, []float64{1, 0.009, 1}), 3, 1, 1},
		{"what is stated to be above", set([]float64{0, 0, 0.2}, []float64{1, 1, 1}), 3, 3, 1},
		{"at the line itself, the last after it too", set([]float64{0, 0.01, 0}, []float64{1, 0.01, 1}), 3, 3, 3},
		// In full order the last two would have to be above; so it is the place nearest
		// to that at which the bounds are kept.
		{"a rise below the line", set([]float64{0.5, 0, 0.006}, []float64{1, 0.005, 1}), 3, 1, 1},
		{"a rise below the line, and one that may be above", set([]float64{0.5, 0, 0, 0.006}, []float64{1, 1, 0.005, 1}), 4, 2, 2},
		{"against the rule", set([]float64{0.3, 0, 0.2}, []float64{1, 0.005, 1}), 3, 0, 0},
		{"too little", set([]float64{0, 0}, []float64{0.4, 0.5}), 2, 0, 0},
		{"too much", set([]float64{0.6, 0.5}, []float64{1, 1}), 1, 0, 0},
		{"no parts", blend.Set{}, 0, 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			low, high := slices.Clone(tt.set.Low), slices.Clone(tt.set.High)
			u := blend.LegalOrder(tt.set, tt.ordered, line)
			if len(u) != tt.sets {
				t.Errorf("%d sets, want %d", len(u), tt.sets)
			}
			if !slices.Equal(tt.set.Low, low) || !slices.Equal(tt.set.High, high) {
				t.Errorf("the bounds given are now %v and %v", tt.set.Low, tt.set.High)
			}
			if len(u) == 0 {
				return
			}
			above := 0
			for above < tt.ordered && u[0].Low[above] >= line {
				above++
			}
			if above != tt.above {
				t.Errorf("%d parts above the line in the first set, want %d", above, tt.above)
			}
			middle, err := u.Middle()
			if err != nil || !u[0].Holds(middle) {
				t.Errorf("the middle is %v: %v", middle, err)
			}
		})
	}
}
