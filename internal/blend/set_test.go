package blend_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/blend"
)

func TestMiddle(t *testing.T) {
	third := 1.0 / 3
	for _, tt := range []struct {
		name string
		set  blend.Set
		want []float64
	}{
		{"two in order", ordered(2), []float64{0.75, 0.25}},
		// The mean of the largest, the middle and the smallest piece of a stick
		// that is broken at random: 11/18, 5/18, 2/18.
		{"three in order", ordered(3), []float64{11.0 / 18, 5.0 / 18, 2.0 / 18}},
		{"no order", blend.Free(3), []float64{third, third, third}},
		{"a run of two and one apart", blend.Set{Low: []float64{0, 0, 0}, High: []float64{1, 1, 1}, Down: []bool{true, false}}, []float64{0.5, 1.0 / 6, third}},
		{"one is fixed", blend.Set{Low: []float64{0.4, 0, 0}, High: []float64{0.4, 1, 1}, Down: []bool{true, true}}, []float64{0.4, 0.4, 0.2}},
		{"the rest", blend.Set{Low: []float64{0.7, 0}, High: []float64{0.7, 1}, Down: []bool{true}}, []float64{0.7, 0.3}},
		{"bounds that say nothing", blend.Set{Low: []float64{math.Inf(-1), -1}, High: []float64{math.Inf(1), 2}, Down: []bool{false}}, []float64{0.5, 0.5}},
		{"a bound that rounding has brought below nought", blend.Set{Low: []float64{0, -1e-17}, High: []float64{1, -1e-17}, Down: []bool{false}}, []float64{1, 0}},
		{"and one above 1", blend.Set{Low: []float64{1 + 2e-16, 0}, High: []float64{1 + 2e-16, 1}, Down: []bool{false}}, []float64{1, 0}},
		{"ranges", blend.Set{Low: []float64{0.2, 0.2}, High: []float64{0.3, 0.9}, Down: []bool{false}}, []float64{0.3, 0.7}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.set.Middle()
			if err != nil {
				t.Fatal(err)
			}
			for i := range got {
				if math.Abs(got[i]-tt.want[i]) > 1e-12 {
					t.Fatalf("got %v, want %v", got, tt.want)
				}
			}
		})
	}
}

func ordered(n int) blend.Set {
	s := blend.Free(n)
	for i := range s.Down {
		s.Down[i] = true
	}
	return s
}

func TestEmpty(t *testing.T) {
	for name, set := range map[string]blend.Set{
		"too much":        {Low: []float64{0.6, 0.5}, High: []float64{1, 1}, Down: []bool{false}},
		"too little":      {Low: []float64{0, 0}, High: []float64{0.4, 0.5}, Down: []bool{false}},
		"against order":   {Low: []float64{0, 0.6}, High: []float64{0.4, 1}, Down: []bool{true}},
		"no parts":        {},
		"negative":        {Low: []float64{-1, 0, 0}, High: []float64{-0.5, 1, 1}, Down: []bool{false, false}},
		"no number above": {Low: []float64{0, 0}, High: []float64{math.NaN(), 1}, Down: []bool{false}},
		"no number":       {Low: []float64{math.NaN()}, High: []float64{1}},
		"bounds crossing": {Low: []float64{0.5, 0.1}, High: []float64{0.4, 1}, Down: []bool{false}},
	} {
		if shares, err := set.Middle(); err == nil {
			t.Errorf("%s: got %v, want an error", name, shares)
		}
	}
}

func TestPoint(t *testing.T) {
	for _, tt := range []struct {
		name string
		u    blend.Union
		want []float64
	}{
		{"exact", blend.Exactly(0.4, 0.6), []float64{0.4, 0.6}},
		{"one is the rest", blend.Union{{Low: []float64{0.45, 0}, High: []float64{0.45, 1}, Down: []bool{false}}}, []float64{0.45, 0.55}},
		{"an order", blend.Union{ordered(2)}, nil},
		{"two sets", blend.Union{ordered(2), ordered(2)}, nil},
		{"none", nil, nil},
		{"one part", blend.Union{blend.Free(1)}, []float64{1}},
		{"shares that miss their sum by rounding stay as they are", blend.Exactly(0.3333333333, 0.3333333333, 0.3333333333), []float64{0.3333333333, 0.3333333333, 0.3333333333}},
		{"and so they do above it", blend.Exactly(0.3333333335, 0.3333333335, 0.3333333332), []float64{0.3333333335, 0.3333333335, 0.3333333332}},
		{"high bounds that just sum to 1", blend.Union{{Low: []float64{0, 0}, High: []float64{0.4, 0.6}, Down: []bool{false}}}, []float64{0.4, 0.6}},
		{"low bounds that just sum to 1, by the order", blend.Union{{Low: []float64{0, 0, 0.25}, High: []float64{1, 0.25, 1}, Down: []bool{true, true}}}, []float64{0.5, 0.25, 0.25}},
		{"two sets with the same", append(blend.Exactly(0.4, 0.6), blend.Exactly(0.4, 0.6)...), []float64{0.4, 0.6}},
		{"two sets with one each", append(blend.Exactly(0.4, 0.6), blend.Exactly(0.6, 0.4)...), nil},
		{"an empty set before", append(blend.Exactly(0.4, 0.5), blend.Exactly(0.6, 0.4)...), []float64{0.6, 0.4}},
		{"an empty set", blend.Exactly(0.4, 0.5), nil},
		{"no parts", blend.Exactly(), nil},
		{"no number", blend.Exactly(math.NaN(), 0.5), nil},
	} {
		got, ok := tt.u.Point()
		if ok != (tt.want != nil) {
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

// The middle of any set that holds a composition is in the set.
func TestMiddleIsFeasible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "n")
		inside := make([]float64, n)
		sum := 0.0
		for i := range inside {
			inside[i] = rapid.Float64Range(0.001, 1).Draw(t, "share")
			sum += inside[i]
		}
		set := blend.Free(n)
		for i := range inside {
			inside[i] /= sum
			if rapid.Bool().Draw(t, "bounded") {
				set.Low[i] = inside[i] * rapid.Float64Range(0, 1).Draw(t, "low")
				set.High[i] = min(1, inside[i]*rapid.Float64Range(1, 3).Draw(t, "high"))
			}
		}
		for i := range set.Down {
			set.Down[i] = inside[i] >= inside[i+1] && rapid.Bool().Draw(t, "down")
		}
		got, err := set.Middle()
		if err != nil {
			t.Fatalf("%v holds %v, but: %v", set, inside, err)
		}
		total := 0.0
		for i, x := range got {
			total += x
			if x < set.Low[i]-1e-9 || x > set.High[i]+1e-9 {
				t.Fatalf("share %d of %v is outside %v to %v", i, got, set.Low[i], set.High[i])
			}
			if i > 0 && set.Down[i-1] && x > got[i-1]+1e-9 {
				t.Fatalf("share %d of %v rises", i, got)
			}
		}
		if math.Abs(total-1) > 1e-9 {
			t.Fatalf("%v sums to %v", got, total)
		}
	})
}

func TestHolds(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	s := blend.Set{Low: []float64{0.2, 0, 0}, High: []float64{0.9, 1, 0.3}, Down: []bool{true, false}}
	for _, tt := range []struct {
		name   string
		set    blend.Set
		shares []float64
		want   bool
	}{
		{"inside", s, []float64{0.5, 0.3, 0.2}, true},
		{"at its bounds", s, []float64{0.9, 0.1, 0}, true},
		{"equal shares", s, []float64{0.4, 0.4, 0.2}, true},
		{"a rise where none was stated", s, []float64{0.5, 0.2, 0.3}, true},
		{"a rise", s, []float64{0.3, 0.5, 0.2}, false},
		{"a rise by rounding", s, []float64{0.4, 0.4 + 5e-10, 0.2 - 5e-10}, true},
		{"too low", s, []float64{0.1, 0.1, 0.8}, false},
		{"too high", s, []float64{0.35, 0.33, 0.32}, false},
		{"less than the whole", s, []float64{0.5, 0.3, 0.19}, false},
		{"a little less than the whole", s, []float64{0.5, 0.3, 0.2 - 1e-8}, false},
		{"more than the whole", s, []float64{0.5, 0.3, 0.21}, false},
		{"no number", s, []float64{nan, 0.3, 0.2}, false},
		{"no numbers", s, []float64{nan, nan, nan}, false},
		{"endless", blend.Free(2), []float64{inf, -inf}, false},
		{"endless bounds", blend.Set{Low: []float64{-inf, -inf}, High: []float64{inf, inf}, Down: []bool{false}}, []float64{1.5, -0.5}, false},
		{"bounds that are no number", blend.Set{Low: []float64{nan}, High: []float64{1}}, []float64{1}, false},
		{"too few", s, []float64{0.6, 0.4}, false},
		{"too many", s, []float64{0.5, 0.3, 0.2, 0}, false},
		{"none", s, nil, false},
		{"none of no parts", blend.Set{}, nil, false},
		{"one", blend.Free(1), []float64{1}, true},
	} {
		if got := tt.set.Holds(tt.shares); got != tt.want {
			t.Errorf("%s: got %v for %v", tt.name, got, tt.shares)
		}
		if got := (blend.Union{tt.set}).Holds(tt.shares); got != tt.want {
			t.Errorf("%s, of a union: got %v for %v", tt.name, got, tt.shares)
		}
	}
	if (blend.Union{}).Holds([]float64{1}) {
		t.Error("a union of no sets holds something")
	}
}

// scaledByBisection is an oracle for [blend.Scaled].
func scaledByBisection(centre, low, high []float64, total float64) []float64 {
	shares := make([]float64, len(centre))
	from, to := 0.0, 1.0
	for i, c := range centre {
		to = max(to, high[i]/c)
	}
	for range 200 {
		t, sum := (from+to)/2, 0.0
		for i, c := range centre {
			shares[i] = min(high[i], max(low[i], t*c))
			sum += shares[i]
		}
		if sum < total {
			from = t
		} else {
			to = t
		}
	}
	return shares
}

func TestScaled(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 1))
	for range 3000 {
		n := 1 + r.IntN(12)
		centre, low, high := make([]float64, n), make([]float64, n), make([]float64, n)
		least, most := 0.0, 0.0
		for i := range n {
			centre[i] = math.Exp(6 * (r.Float64() - 1))
			low[i] = float64(r.IntN(4)) / 10 * float64(r.IntN(2))
			high[i] = low[i] + float64(r.IntN(6))/10
			least, most = least+low[i], most+high[i]
		}
		total := least + (most-least)*float64(r.IntN(11))/10
		got, want := blend.Scaled(centre, low, high, total), scaledByBisection(centre, low, high, total)
		sum := 0.0
		for i := range got {
			sum += got[i]
			if math.Abs(got[i]-want[i]) > 1e-9 || got[i] < low[i] || got[i] > high[i] {
				t.Fatalf("centre %v, bounds %v to %v, total %v:\ngot  %v\nwant %v", centre, low, high, total, got, want)
			}
		}
		if math.Abs(sum-total) > 1e-12*float64(n) {
			t.Fatalf("centre %v, bounds %v to %v: %v sums to %v, want %v", centre, low, high, got, sum, total)
		}
	}
}

// The middle is the centroid of the order, scaled to the bounds that the order leaves. It
// is the same each time, and leaves the set as it was.
func TestMiddleIsTheScaledCentroid(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 1))
	for range 3000 {
		n := 1 + r.IntN(12)
		s := around(r, inside(r, n))
		low, high := slices.Clone(s.Low), slices.Clone(s.High)
		got, err := s.Middle()
		if err != nil {
			t.Fatalf("%+v: %v", s, err)
		}
		if again, _ := s.Middle(); !slices.Equal(again, got) || !slices.Equal(low, s.Low) || !slices.Equal(high, s.High) {
			t.Fatalf("%+v: %v at first, then %v", s, got, again)
		}
		if err := checkHeld(s, got); err != nil {
			t.Fatalf("%+v: middle %v: %v", s, got, err)
		}
		// The i-th of k ordered pieces is (1/i + … + 1/k)/k on average.
		centre := make([]float64, n)
		for start, end := 0, 0; start < n; start = end {
			for end = start + 1; end < n && s.Down[end-1]; end++ {
				high[end] = min(high[end], high[end-1])
			}
			for i := end - 1; i >= start; i-- {
				if i < end-1 {
					low[i] = max(low[i], low[i+1])
				}
				for k := i - start + 1; k <= end-start; k++ {
					centre[i] += 1 / float64(k) / float64(n)
				}
			}
		}
		for i, want := range scaledByBisection(centre, low, high, 1) {
			if math.Abs(got[i]-want) > 1e-9 {
				t.Fatalf("%+v: share %d of the middle %v should be %v", s, i, got, want)
			}
		}
	}
}

// A share that is known as well leaves just the compositions that have it.
func TestWith(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 1))
	for range 3000 {
		n := 1 + r.IntN(7)
		u, within := drawUnion(r, n, 1+r.IntN(3))
		z := blend.NewMinimiser(blend.Mix{Union: u})
		z.Least(anyCost(r, n))
		within = append(within, slices.Clone(z.At()))
		middle, _ := u.Middle()
		within = append(within, middle)
		part := r.IntN(n)
		for _, shares := range within {
			known := u.With(part, shares[part])
			if !known.Holds(shares) {
				t.Fatalf("%+v holds %v, but with share %d known: %+v", u, shares, part, known)
			}
			_, at := known.Least(anyCost(r, n))
			if at == nil || !u.Holds(at) || math.Abs(at[part]-shares[part]) > 1e-12 {
				t.Fatalf("%+v, with share %d known to be %v: %v", u, part, shares[part], at)
			}
		}
		one := make([]float64, n)
		one[part] = 1
		low, _ := u.Least(one)
		one[part] = -1
		high, _ := u.Least(one)
		for _, share := range []float64{low - 1e-6, -high + 1e-6, -1, 2, math.NaN(), math.Inf(1)} {
			if known := u.With(part, share); len(known) > 0 {
				t.Fatalf("%+v, share %d of %v to %v, with %v known: %+v", u, part, low, -high, share, known)
			}
		}
	}
}
