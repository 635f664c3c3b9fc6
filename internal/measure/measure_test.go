package measure_test

import (
	"math"
	"math/big"
	"testing"

	"saponym/internal/measure"

	"pgregory.net/rapid"
)

// The factors are those of NIST Handbook 44, appendix C, "General Tables of
// Units of Measurement", where they are marked as exact.
func TestUnits(t *testing.T) {
	tests := []struct {
		name      string
		got, want int64
	}{
		{"1 oz = 28.349523125 g", int64(measure.Ounce), 28_349_523_125},
		{"1 lb = 453.59237 g", int64(measure.Pound), 453_592_370_000},
		{"1 kg = 1000 g", int64(measure.Kilogram), 1_000_000_000_000},
		{"1 in = 25.4 mm", int64(measure.Inch), 25_400_000},
		{"1 fl oz = 29.5735295625 ml, to the nanolitre", int64(measure.FluidOunce), 29_573_530},
		{"1 in² = 645.16 mm²", int64(measure.SquareInch), 645_160_000_000_000},
		{"1 pt = 1/72 in, to the nanometre", int64(measure.Point), 352_778},
		{"1% = 1/100", int64(measure.Percent), 10_000_000},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if tt.got != tt.want {
				t.Errorf("got %d, want %d", tt.got, tt.want)
			}
		})
	}
}

func TestInOtherUnits(t *testing.T) {
	tests := []struct {
		name      string
		got, want float64
	}{
		{"grams", (4 * measure.Ounce).Grams(), 113.3980925},
		{"millimetres", (2 * measure.Inch).Millimetres(), 50.8},
		{"millilitres", (950 * measure.Millilitre).Millilitres(), 950},
		{"square millimetres", measure.SquareInch.SquareMillimetres(), 645.16},
		{"fraction", (5 * measure.Percent).Fraction(), 0.05},
		{"per cent", (measure.Whole / 8).Percent(), 12.5},
		{"middle of a range", measure.Range{Low: 2, High: 20}.Middle(), 11},
		{"middle of a point", measure.Exactly(7).Middle(), 7},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if tt.got != tt.want {
				t.Errorf("got %v, want %v", tt.got, tt.want)
			}
		})
	}
}

func TestIsPoint(t *testing.T) {
	if !measure.Exactly(3).IsPoint() || (measure.Range{Low: 3, High: 4}).IsPoint() {
		t.Error("a Range is a point if its bounds are equal, and only then")
	}
	if !(measure.ShareRange{Low: 3, High: 3}).IsPoint() || (measure.ShareRange{Low: 3, High: 4}).IsPoint() {
		t.Error("a ShareRange is a point if its bounds are equal, and only then")
	}
}

func TestMassBounds(t *testing.T) {
	tests := []struct {
		name     string
		grams    float64
		down, up measure.Mass
	}{
		{"nought", 0, 0, 0},
		{"whole grams", 113, 113 * measure.Gram, 113 * measure.Gram},
		{"a decimal that no float64 holds", 125.6, 125_600_000_000, 125_600_000_000},
		{"between two nanograms", 1.0000000005, 1_000_000_000, 1_000_000_001},
		{"less than a nanogram", 1e-20, 0, 1},
		{"negative, between two nanograms", -1.0000000005, -1_000_000_001, -1_000_000_000},
		{"beyond the largest", 1e300, math.MaxInt64, math.MaxInt64},
		{"beyond the smallest", -1e300, -math.MaxInt64, -math.MaxInt64},
		{"infinite", math.Inf(1), math.MaxInt64, math.MaxInt64},
		{"no number", math.NaN(), -math.MaxInt64, math.MaxInt64},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := measure.MassDown(tt.grams); got != tt.down {
				t.Errorf("MassDown(%v) = %d, want %d", tt.grams, got, tt.down)
			}
			if got := measure.MassUp(tt.grams); got != tt.up {
				t.Errorf("MassUp(%v) = %d, want %d", tt.grams, got, tt.up)
			}
		})
	}
}

// A range keeps what it holds, and is no wider than it must be.
func TestMassBoundsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grams := rapid.Float64Range(-4e6, 4e6).Draw(t, "grams")
		down, up := measure.MassDown(grams), measure.MassUp(grams)
		if down.Grams() > grams || up.Grams() < grams {
			t.Fatalf("%v g is outside %d to %d ng", grams, down, up)
		}
		if (down+1).Grams() <= grams || (up-1).Grams() >= grams {
			t.Fatalf("%d to %d ng is wider than %v g needs", down, up, grams)
		}
	})
}

func TestMassSurvivesGrams(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := measure.Mass(rapid.Int64Range(-4e15, 4e15).Draw(t, "nanograms"))
		if got := measure.MassDown(m.Grams()); got != m {
			t.Fatalf("MassDown: got %d, want %d", got, m)
		}
		if got := measure.MassUp(m.Grams()); got != m {
			t.Fatalf("MassUp: got %d, want %d", got, m)
		}
	})
}

func TestMM(t *testing.T) {
	tests := []struct {
		name string
		mm   float64
		want measure.Length
	}{
		{"the nearest nanometre", 1.2000004, 1_200_000},
		{"negative", -0.1, -100_000},
		{"beyond the largest", 1e300, math.MaxInt64},
		{"beyond the smallest", -1e300, -math.MaxInt64},
		{"no number", math.NaN(), 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := measure.MM(tt.mm); got != tt.want {
				t.Errorf("MM(%v) = %d, want %d", tt.mm, got, tt.want)
			}
		})
	}
	rapid.Check(t, func(t *rapid.T) {
		l := measure.Length(rapid.Int64Range(-1<<50, 1<<50).Draw(t, "nanometres"))
		if got := measure.MM(l.Millimetres()); got != l {
			t.Fatalf("got %d, want %d", got, l)
		}
	})
}

func TestArea(t *testing.T) {
	if got, want := (3 * measure.Inch).Times(2*measure.Inch), 6*measure.SquareInch; got != want {
		t.Errorf("3 in × 2 in: got %d, want %d", got, want)
	}
	if got := (20_000 * measure.Millimetre).Times(20_000 * measure.Millimetre); got != math.MaxInt64 {
		t.Errorf("20 m × 20 m is beyond the largest area: got %d, want the largest", got)
	}
}

func TestShareOfWhole(t *testing.T) {
	const g = measure.Gram
	tests := []struct {
		name             string
		part, whole      measure.Mass
		limit            measure.Share
		exceeds, reaches bool
	}{
		{"just at 0.01%", 10 * measure.Milligram, 100 * g, measure.Percent / 100, false, true},
		{"a nanogram above 0.01%", 10*measure.Milligram + 1, 100 * g, measure.Percent / 100, true, true},
		{"a nanogram below 0.01%", 10*measure.Milligram - 1, 100 * g, measure.Percent / 100, false, false},
		{"the whole", 100 * g, 100 * g, measure.Whole, false, true},
		{"a third is not 33.3333333%", 1, 3, 333_333_333, true, true},
		{"nothing of nothing", 0, 0, measure.Percent, false, true},
		{"something of nothing", 1, 0, measure.Whole, true, true},
		{"a limit of nought", 1, 100 * g, 0, true, true},
		{"the largest masses", math.MaxInt64, math.MaxInt64, measure.Whole, false, true},
		{"one less than the largest", math.MaxInt64 - 1, math.MaxInt64, measure.Whole, false, false},
		{"a negative part", -1, 100 * g, 0, false, false},
		{"the most negative of all", math.MinInt64, math.MinInt64, math.MinInt64, false, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := measure.Exceeds(tt.part, tt.whole, tt.limit); got != tt.exceeds {
				t.Errorf("Exceeds(%d, %d, %d) = %v, want %v", tt.part, tt.whole, tt.limit, got, tt.exceeds)
			}
			if got := measure.Reaches(tt.part, tt.whole, tt.limit); got != tt.reaches {
				t.Errorf("Reaches(%d, %d, %d) = %v, want %v", tt.part, tt.whole, tt.limit, got, tt.reaches)
			}
		})
	}
}

// The whole numbers of math/big have no extremes to go wrong at.
func TestShareOfWholeIsExact(t *testing.T) {
	extreme := rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, -1, 0, 1, 1_000_000_000, 1 << 32, math.MaxInt64 - 1, math.MaxInt64})
	figure := rapid.OneOf(rapid.Int64(), extreme, rapid.Int64Range(0, 1_000_000_000))
	rapid.Check(t, func(t *rapid.T) {
		part, whole, limit := figure.Draw(t, "part"), figure.Draw(t, "whole"), figure.Draw(t, "limit")
		if rapid.Bool().Draw(t, "near the limit") {
			// The part that is just at the limit, or one beside it.
			at := new(big.Int).Mul(big.NewInt(whole), big.NewInt(limit))
			if at.Quo(at, big.NewInt(1_000_000_000)); at.IsInt64() {
				part = at.Int64() + rapid.Int64Range(-1, 1).Draw(t, "beside")
			}
		}
		a := new(big.Int).Mul(big.NewInt(part), big.NewInt(1_000_000_000))
		b := new(big.Int).Mul(big.NewInt(whole), big.NewInt(limit))
		if got, want := measure.Exceeds(measure.Mass(part), measure.Mass(whole), measure.Share(limit)), a.Cmp(b) > 0; got != want {
			t.Fatalf("Exceeds(%d, %d, %d) = %v, want %v", part, whole, limit, got, want)
		}
		if got, want := measure.Reaches(measure.Mass(part), measure.Mass(whole), measure.Share(limit)), a.Cmp(b) >= 0; got != want {
			t.Fatalf("Reaches(%d, %d, %d) = %v, want %v", part, whole, limit, got, want)
		}
	})
}
