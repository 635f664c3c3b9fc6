package cure_test

import (
	"math"
	"testing"

	"saponym/internal/cure"
	"saponym/internal/measure"
)

// The bar of the tests: 25 × 55 × 85 mm, cut from batter of 22.5 % of water.
var (
	size  = [3]measure.Length{25 * measure.Millimetre, 55 * measure.Millimetre, 85 * measure.Millimetre}
	water = measure.Exactly(0.225)
)

func grams(g float64) measure.Mass { return measure.Mass(math.Round(g * 1e9)) }

// one gives the weighings of one bar, as pairs of a day and grams.
func one(pairs ...[2]float64) []cure.Weighing {
	var all []cure.Weighing
	for _, p := range pairs {
		all = append(all, cure.Weighing{Day: p[0], Bars: map[string]measure.Mass{"A": grams(p[1])}})
	}
	return all
}

// made is a bar of 118.4 g that dries by diffusion (3.2e-6 m² a day) to 10 % of water,
// which is 101.96 g, on a scale of 0.1 g that is off by 0.1 g.
var made = one([2]float64{0, 118.3}, [2]float64{7, 108.5}, [2]float64{14, 105.9}, [2]float64{28, 103.4})

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, within)
	}
}

func course(t *testing.T, d cure.Drying) *cure.Course {
	t.Helper()
	c, err := cure.Estimate(d)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The figures come from another program with the same settings, which took the first
// weight as exact and gathered masses on steps of 0.05 g; hence the tolerance.
func TestAnotherProgramPredictsTheSame(t *testing.T) {
	for _, tt := range []struct {
		weighings int
		day       float64
		want      cure.Prediction
	}{
		{4, 42, cure.Prediction{Mean: 102.30, Low: 100.41, High: 104.18, OneSided: 100.71}},
		{4, 90, cure.Prediction{Mean: 101.35, Low: 98.16, High: 103.97, OneSided: 98.70}},
		{4, 180, cure.Prediction{Mean: 101.14, Low: 97.20, High: 103.96, OneSided: 97.93}},
		{3, 180, cure.Prediction{Mean: 100.98, Low: 95.76, High: 105.39, OneSided: 96.56}},
	} {
		got := course(t, cure.Drying{Weighings: made[:tt.weighings], Water: water, Size: size}).At(tt.day)
		near(t, "mean", got.Mean, tt.want.Mean, 0.05)
		near(t, "low", got.Low, tt.want.Low, 0.05)
		near(t, "high", got.High, tt.want.High, 0.05)
		near(t, "one-sided", got.OneSided, tt.want.OneSided, 0.05)
	}
}

// Slab: half is lost at Dt/L² = 0.0491827 (Crank, The Mathematics of Diffusion; solved
// from the series by another program). The bar: 25 × 55 × 85 mm and 3.2e-6 m² a day, by
// another program, which took the first form of the slab up to 0.03, where it is off by
// 1e-5.
func TestDiffusion(t *testing.T) {
	near(t, "half-time of a slab", cure.Slab(0.0491826849), 0.5, 1e-9)
	near(t, "nothing lost yet", cure.Slab(0), 1, 0)
	near(t, "at rest", cure.Slab(math.Inf(1)), 0, 0)
	near(t, "no step between the two forms", cure.Slab(0.01)-cure.Slab(math.Nextafter(0.01, 0)), 0, 1e-9)
	edges := [3]float64{0.025, 0.055, 0.085}
	for _, tt := range []struct{ day, slab, brick float64 }{
		{0, 1, 1}, {3, 0.720308, 0.577012}, {7, 0.572811, 0.403571}, {14, 0.399683, 0.238395}, {21, 0.280502, 0.145636},
		{28, 0.196927, 0.090172}, {42, 0.097065, 0.035244}, {60, 0.039087, 0.010712}, {90, 0.008583, 0.001494}, {180, 0.000091, 0.000004},
	} {
		near(t, "slab", cure.Slab(3.2e-6*tt.day/edges[0]/edges[0]), tt.slab, 6e-7)
		near(t, "brick", cure.BrickLeft(edges, 3.2e-6, tt.day), tt.brick, 2e-6)
	}
}
