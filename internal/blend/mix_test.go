package blend_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats"

	"saponym/internal/blend"
)

// drawMix draws a mix of which some parts are mixes themselves, and one of its
// compositions.
func drawMix(r *rand.Rand, depth int) (blend.Mix, []float64) {
	n := 1 + r.IntN(3)
	u, within := drawUnion(r, n, 1+r.IntN(4)/3)
	m, shares := blend.Mix{Union: u}, within[0]
	if depth == 0 {
		return m, shares
	}
	m.Of = make([]*blend.Mix, n)
	var leaves []float64
	for i := range n {
		if r.IntN(2) == 0 {
			leaves = append(leaves, shares[i])
			continue
		}
		inner, parts := drawMix(r, depth-1)
		m.Of[i] = &inner
		for _, x := range parts {
			leaves = append(leaves, shares[i]*x)
		}
	}
	return m, leaves
}

// checkMixed checks a composition against every set of a mix and of what is in it, and
// gives what is left of it: the shares that were not looked at.
func checkMixed(m blend.Mix, whole float64, leaves []float64) (left []float64, ok bool) {
	var own []float64
	left, ok = leaves, true
	for i := range m.Union[0].Low {
		share := left[0]
		if m.Of == nil || m.Of[i] == nil {
			left = left[1:]
		} else {
			n := m.Of[i].Parts()
			share = 0
			for _, x := range left[:n] {
				share += x
			}
			var fits bool
			left, fits = checkMixed(*m.Of[i], share, left)
			ok = ok && fits
		}
		own = append(own, share)
	}
	// A share is known to the last digits of the whole mix, not of its own part.
	if whole < 1e-3 {
		return left, ok
	}
	for i := range own {
		own[i] /= whole
	}
	return left, ok && slices.ContainsFunc(m.Union, func(s blend.Set) bool { return checkHeld(s, own) == nil })
}

// The least cost of a mix of mixes is that of a linear programme in which the bounds of
// an inner mix are times its share, and it is attained.
func TestLeastOfMixIsThatOfALinearProgramme(t *testing.T) {
	t.Parallel()
	const draws = 3000
	r := rand.New(rand.NewPCG(7, 1))
	compared, deep := 0, 0
	for range draws {
		m, within := drawMix(r, 1+r.IntN(2))
		n := m.Parts()
		if n != len(within) {
			t.Fatalf("%+v: %d parts, want %d", m, n, len(within))
		}
		cost := anyCost(r, n)
		z := blend.NewMinimiser(m)
		low, at := z.Least(cost), z.At()
		most := largest(cost)
		if got := floats.Dot(cost, at); math.Abs(got-low) > 1e-13*most {
			t.Fatalf("%+v, cost %v: %v costs %v and not %v", m, cost, at, got, low)
		}
		if got := floats.Dot(cost, within); got < low-1e-12*most {
			t.Fatalf("%+v, cost %v: %v costs %v, less than %v at %v", m, cost, within, got, low, at)
		}
		if _, ok := checkMixed(m, 1, at); !ok || !m.Holds(at) || !m.Holds(within) {
			t.Fatalf("%+v, cost %v: %v is not held, or %v", m, cost, at, within)
		}
		want, err := byLinearProgramme(m, cost)
		if err != nil || want > low+1e-9*most {
			// The simplex method gave up, or stopped above a composition that was just
			// seen to be allowed. Either is counted as not compared.
			continue
		}
		compared++
		if n > len(m.Union[0].Low) {
			deep++
		}
		if !(math.Abs(low-want) <= 1e-9*most) {
			t.Fatalf("%+v, cost %v: got %v at %v, the linear programme says %v", m, cost, low, at, want)
		}
	}
	t.Logf("%d of %d mixes compared, %d of them with a mix of several parts within", compared, draws, deep)
	if compared < draws*99/100 || deep < draws/3 {
		t.Errorf("only %d of %d mixes compared, %d of them with a mix of several parts within", compared, draws, deep)
	}
}

// The middle of a mix is one of its compositions, and so is the one of a mix that holds
// no other.
func TestMiddleOfMix(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	points := 0
	for range 2000 {
		m, _ := drawMix(r, r.IntN(3))
		middle, err := m.Middle()
		if err != nil {
			t.Fatalf("%+v: %v", m, err)
		}
		if len(middle) != m.Parts() || !m.Holds(middle) {
			t.Fatalf("%+v does not hold its middle %v", m, middle)
		}
		point, one := m.Point()
		apart := 0.0
		z := blend.NewMinimiser(m)
		for i := range middle {
			cost := make([]float64, len(middle))
			cost[i] = 1
			least := z.Least(cost)
			cost[i] = -1
			apart = max(apart, -z.Least(cost)-least)
			if one && (math.Abs(point[i]-least) > 1e-11 || math.Abs(point[i]-middle[i]) > 1e-11) {
				t.Fatalf("%+v: point %v, middle %v, least of part %d %v", m, point, middle, i, least)
			}
		}
		// Of what is apart by less than the shares are read to, either answer will do.
		if one && apart > 1e-11 || !one && apart < 1e-13 {
			t.Fatalf("%+v: point %v, but shares lie %v apart", m, point, apart)
		}
		if one {
			points++
		}
	}
	if points < 100 {
		t.Errorf("only %d mixes with one composition", points)
	}
}

func TestMixHolds(t *testing.T) {
	two := blend.Mix{Union: blend.Union{ordered(2)}}
	halves := blend.Only(0.5, 0.5)
	outer := blend.Mix{Union: blend.Union{ordered(3)}, Of: []*blend.Mix{&two, nil, &halves}}
	nan := math.NaN()
	for _, tt := range []struct {
		name   string
		mix    blend.Mix
		shares []float64
		want   bool
	}{
		{"plain", two, []float64{0.6, 0.4}, true},
		{"one that rises", two, []float64{0.4, 0.6}, false},
		{"all orders kept", outer, []float64{0.4, 0.2, 0.3, 0.05, 0.05}, true},
		{"a rise within", outer, []float64{0.2, 0.4, 0.3, 0.05, 0.05}, false},
		{"a rise without", outer, []float64{0.2, 0.2, 0.5, 0.05, 0.05}, false},
		{"not the halves that are within", outer, []float64{0.4, 0.2, 0.3, 0.06, 0.04}, false},
		{"nothing of the last", outer, []float64{0.4, 0.2, 0.4, 0, 0}, true},
		{"nothing of the last, in shares that are no shares", outer, []float64{0.4, 0.2, 0.4, 3, -3}, false},
		{"a part of less than nothing", outer, []float64{0.8, -0.1, 0.3, 0, 0}, false},
		{"not the whole", outer, []float64{0.4, 0.2, 0.3, 0.04, 0.04}, false},
		{"too few", outer, []float64{0.4, 0.2, 0.4, 0}, false},
		{"too few to reach the last", outer, []float64{0.6, 0.4}, false},
		{"none", outer, nil, false},
		{"too many", outer, []float64{0.4, 0.2, 0.3, 0.05, 0.05, 0}, false},
		{"no number", outer, []float64{0.4, 0.2, nan, 0.05, 0.05}, false},
		{"no number within", outer, []float64{nan, 0.2, 0.3, 0.05, 0.05}, false},
		{"no number in what is nothing", outer, []float64{0.4, 0.2, 0.4, nan, nan}, false},
		{"endless", outer, []float64{0.4, 0.2, 0.4, math.Inf(1), math.Inf(-1)}, false},
		{"an empty mix", blend.Mix{}, nil, false},
	} {
		if got := tt.mix.Holds(tt.shares); got != tt.want {
			t.Errorf("%s: got %v for %v", tt.name, got, tt.shares)
		}
	}
}

func TestPointOfMix(t *testing.T) {
	two := blend.Mix{Union: blend.Union{ordered(2)}}
	halves := blend.Only(0.5, 0.5)
	none := blend.Mix{}
	for _, tt := range []struct {
		name string
		mix  blend.Mix
		want []float64
	}{
		{"plain", halves, []float64{0.5, 0.5}},
		{"one within", blend.Mix{Union: blend.Exactly(0.2, 0.8), Of: []*blend.Mix{&halves, nil}}, []float64{0.1, 0.1, 0.8}},
		{"many within", blend.Mix{Union: blend.Exactly(0.2, 0.8), Of: []*blend.Mix{&two, nil}}, nil},
		{"many within what is nothing", blend.Mix{Union: blend.Exactly(1, 0), Of: []*blend.Mix{nil, &two}}, []float64{1, 0, 0}},
		{"many without", blend.Mix{Union: blend.Union{ordered(2)}, Of: []*blend.Mix{&halves, nil}}, nil},
		{"an empty mix", none, nil},
		{"an empty mix within", blend.Mix{Union: blend.Exactly(0.2, 0.8), Of: []*blend.Mix{&none, nil}}, nil},
		{"an empty mix without", blend.Mix{Of: []*blend.Mix{&halves, nil}}, nil},
	} {
		got, ok := tt.mix.Point()
		if ok != (tt.want != nil) || len(got) != len(tt.want) {
			t.Errorf("%s: got %v, %v; want %v", tt.name, got, ok, tt.want)
			continue
		}
		for i := range tt.want {
			if math.Abs(got[i]-tt.want[i]) > 1e-12 {
				t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
			}
		}
	}
}

// Where a mix is empty, or one within it, there is no least.
func TestLeastOfEmptyMix(t *testing.T) {
	two := blend.Mix{Union: blend.Union{ordered(2)}}
	none := blend.Mix{Union: blend.Union{{Low: []float64{0.6, 0.6}, High: []float64{1, 1}, Down: []bool{false}}}}
	for _, tt := range []struct {
		name string
		mix  blend.Mix
		cost []float64
	}{
		{"no sets", blend.Mix{}, nil},
		{"an empty set", none, []float64{1, 2}},
		{"no sets, with a mix within", blend.Mix{Of: []*blend.Mix{nil, &two}}, []float64{1, 2, 3}},
		{"an empty set, with a mix within", blend.Mix{Union: none.Union, Of: []*blend.Mix{nil, &two}}, []float64{1, 2, 3}},
		{"an empty mix within", blend.Mix{Union: two.Union, Of: []*blend.Mix{&none, nil}}, []float64{1, 2, 3}},
		{"an empty mix within, which is dear", blend.Mix{Union: two.Union, Of: []*blend.Mix{nil, &none}}, []float64{1, 2, 3}},
	} {
		z := blend.NewMinimiser(tt.mix)
		if low, at := z.Least(tt.cost), z.At(); !math.IsInf(low, 1) || at != nil {
			t.Errorf("%s: got %v at %v", tt.name, low, at)
		}
		if middle, err := tt.mix.Middle(); err == nil {
			t.Errorf("%s: middle %v", tt.name, middle)
		}
	}
}
