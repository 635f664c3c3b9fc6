package blend_test

import (
	"math"
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
