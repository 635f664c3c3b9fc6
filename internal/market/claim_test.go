package market_test

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/market"
	"saponym/internal/measure"
)

// What bars of a weight may claim at most. "1 lb (453 g)" and "200 g (7 oz)" are printed in
// Ohio Administrative Code 901:6-3-06(D). The others follow from 1 oz = 28.349523125 g (UK
// Weights and Measures Act 1985 Sch. 1: 1 lb = 0.45359237 kg), each unit rounded down, and
// from the forms of the US rules: decimals to two places or fractions from halves to
// thirty-seconds in lowest terms (American Samoa Administrative Code 27.0632), three
// metric figures (16 CFR 500.19(b)).
func TestLargest(t *testing.T) {
	for _, tt := range []struct {
		weight  string
		writing market.Writing
		want    string
	}{
		{"453.59237 g", market.Writing{}, "Net Wt 1 lb (453 g)"},
		{"453.592369999 g", market.Writing{}, "Net Wt 15.99 oz (453 g)"},
		{"200 g", market.Writing{Ounces: market.WholeOunces, MetricFirst: true}, "Net Wt 200 g (7 oz)"},
		{"113 g", market.Writing{}, "Net Wt 3.98 oz (113 g)"},
		{"113 g", market.Writing{Ounces: market.Tenths}, "Net Wt 3.9 oz (113 g)"},
		{"113.3980925 g", market.Writing{}, "Net Wt 4 oz (113 g)"},
		{"113.398092499 g", market.Writing{}, "Net Wt 3.99 oz (113 g)"},
		{"113.4 g", market.Writing{Ounces: market.Tenths}, "Net Wt 4 oz (113 g)"},
		{"127.6 g", market.Writing{Ounces: market.Tenths}, "Net Wt 4.5 oz (127 g)"},
		{"127.6 g", market.Writing{Ounces: market.Halves}, "Net Wt 4 1/2 oz (127 g)"},
		{"99.9 g", market.Writing{Ounces: market.Tenths}, "Net Wt 3.5 oz (99 g)"},
		{"99.9 g", market.Writing{Ounces: market.ThirtySeconds}, "Net Wt 3 1/2 oz (99 g)"},
		{"100 g", market.Writing{Ounces: market.ThirtySeconds}, "Net Wt 3 1/2 oz (100 g)"},
		{"100.2 g", market.Writing{Ounces: market.ThirtySeconds}, "Net Wt 3 17/32 oz (100 g)"},
		{"120.5 g", market.Writing{Ounces: market.Eighths}, "Net Wt 4 1/4 oz (120 g)"},
		{"90 g", market.Writing{Ounces: market.Sixteenths}, "Net Wt 3 1/8 oz (90 g)"},
		{"20 g", market.Writing{Ounces: market.Quarters}, "Net Wt 1/2 oz (20 g)"},
		{"146.0001 g", market.Writing{}, "Net Wt 5.15 oz (146 g)"},
		{"125 g", market.Writing{}, "Net Wt 4.4 oz (125 g)"},
		{"142 g", market.Writing{}, "Net Wt 5 oz (142 g)"},
		{"567 g", market.Writing{}, "Net Wt 1 lb 4 oz (567 g)"},
		{"581.2 g", market.Writing{Ounces: market.Halves}, "Net Wt 1 lb 4 1/2 oz (581 g)"},
		{"1 kg", market.Writing{Ounces: market.Tenths}, "Net Wt 2 lb 3.2 oz (1 kg)"},
		{"1020.5828325 g", market.Writing{}, "Net Wt 2 lb 4 oz (1.02 kg)"},
	} {
		c, ok := market.USDual.Largest(mass(t, tt.weight), tt.writing)
		if c.Words != tt.want || !ok {
			t.Errorf("%s: %q, %t, want %q", tt.weight, c.Words, ok, tt.want)
		}
	}
	for weight, want := range map[string]string{"99.99 g": "99 g", "113.9 g": "113 g", "999.9 g": "999 g", "1019 g": "1.01 kg", "12.37 kg": "12.3 kg", "123.9 kg": "123 kg"} {
		if c, ok := market.Metric.Largest(mass(t, weight), market.Writing{}); c.Words != want || !ok {
			t.Errorf("%s: %q, want %q", weight, c.Words, want)
		}
	}
}

// "4 oz (113 g)" needs 113.398 g, because the larger figure is enforced; "3.98 oz (113 g)"
// needs 113 g; a metric claim is in no ounces.
func TestLeast(t *testing.T) {
	for _, tt := range []struct {
		form   market.Form
		typed  string
		least  measure.Mass
		ounces float64
	}{
		{market.USDual, "4 oz", 113_398_092_500, 4},
		{market.USDual, "113 g", 113 * measure.Gram, 3.98},
		{market.USDual, "1.5 oz", 42_524_284_688, 1.5}, // 42.5242846875 g, rounded up
		{market.Metric, "4 oz", 113 * measure.Gram, 0},
		{market.Metric, "1019 g", 1010 * measure.Gram, 0},
	} {
		c, ok := tt.form.Typed(quantity(t, tt.typed), market.Writing{})
		if !ok || c.Least() != tt.least || c.Ounces() != tt.ounces {
			t.Errorf("%s %s: %q needs %d ng and is of %g oz, want %d and %g", tt.form, tt.typed, c.Words, c.Least(), c.Ounces(), tt.least, tt.ounces)
		}
	}
}

func TestLargestTooSmall(t *testing.T) {
	for _, tt := range []struct {
		weight  measure.Mass
		writing market.Writing
	}{{0, market.Writing{}}, {999 * measure.Milligram, market.Writing{}}, {28 * measure.Gram, market.Writing{Ounces: market.WholeOunces}}} {
		if c, ok := market.USDual.Largest(tt.weight, tt.writing); ok {
			t.Errorf("%d ng is printed as %q", tt.weight, c.Words)
		}
	}
}

var writings = []market.Writing{
	{}, {Ounces: market.Tenths}, {Ounces: market.WholeOunces}, {Ounces: market.Halves}, {Ounces: market.Quarters},
	{Ounces: market.Eighths}, {Ounces: market.Sixteenths}, {Ounces: market.ThirtySeconds, MetricFirst: true},
}

// A claim is never more than the weight, neither unit gives away a whole place, it does
// not fall when the weight rises, and it needs no more than it says.
func TestLargestIsTrue(t *testing.T) {
	parts := map[market.Fineness]int64{market.Hundredths: 100}
	rapid.Check(t, func(t *rapid.T) {
		weight := measure.Mass(rapid.Int64Range(int64(measure.Gram), int64(30*measure.Kilogram)).Draw(t, "weight"))
		if rapid.Bool().Draw(t, "near an ounce") {
			weight = measure.Mass(rapid.Int64Range(1, 400).Draw(t, "quarters"))*measure.Ounce/4 + measure.Mass(rapid.Int64Range(-2, 2).Draw(t, "beside"))
		}
		w := rapid.SampledFrom(writings).Draw(t, "writing")
		form := rapid.SampledFrom([]market.Form{market.USDual, market.Metric}).Draw(t, "form")
		c, _ := form.Largest(weight, w)
		if c.Least() > weight {
			t.Fatalf("%q needs %d ng of %d", c.Words, c.Least(), weight)
		}
		place := measure.Gram
		for rest := weight / (1000 * measure.Gram); rest > 0; rest /= 10 {
			place *= 10
		}
		if c.Metric+place <= weight {
			t.Fatalf("%q says less than it may of %d ng", c.Words, weight)
		}
		if form == market.USDual {
			n := parts[w.Ounces]
			if n == 0 {
				n = int64(w.Ounces)
			}
			next := new(big.Rat).SetFloat64(c.Ounces())
			next.Add(next, big.NewRat(1, n)).Mul(next, big.NewRat(int64(measure.Ounce), 1))
			if gain := next.Sub(next, big.NewRat(int64(weight), 1)); gain.Cmp(big.NewRat(-1, 1)) < 0 {
				t.Fatalf("%q says less than it may of %d ng", c.Words, weight)
			}
		}
		more, _ := form.Largest(weight+measure.Mass(rapid.Int64Range(0, int64(measure.Kilogram)).Draw(t, "more")), w)
		if more.Metric < c.Metric || more.Ounces() < c.Ounces() {
			t.Fatalf("%q of less weight than %q", c.Words, more.Words)
		}
		if again, _ := form.Largest(c.Least(), w); again.Least() != c.Least() && c.Ounces() > 0 && c.Metric > 0 {
			t.Fatalf("%q is %q by its own weight", c.Words, again.Words)
		}
	})
}

// Packs of several bars: count, each and total (American Samoa Administrative Code
// 27.0651), of kinds that differ each by itself with the total last (16 CFR 500.28(a)).
// The total is that of the printed figures: 6 × 42 g, and 6 × 1.5 oz.
func TestPack(t *testing.T) {
	type bars struct {
		count      int
		name, each string
	}
	packed := func(form market.Form, all []bars) (market.PackClaim, bool) {
		var kinds []market.Packed
		for _, b := range all {
			each, _ := form.AsTyped(quantity(t, b.each))
			kinds = append(kinds, market.Packed{Count: b.count, Name: b.name, Each: each})
		}
		return form.Pack(kinds, market.Writing{})
	}
	for _, tt := range []struct {
		name       string
		kinds      []bars
		us, metric string
	}{
		{"alike", []bars{{6, "", "1.5 oz"}}, "6 bars, Net Wt 1.5 oz (42 g) each; total Net Wt 9 oz (252 g)", "6 × 42 g (252 g)"},
		// 4.21 oz is no whole number of nanograms.
		{"a part of a nanogram", []bars{{2, "", "4.21 oz"}}, "2 bars, Net Wt 4.21 oz (119 g) each; total Net Wt 8.42 oz (238 g)", "2 × 119 g (238 g)"},
		{"one", []bars{{1, "", "4.02 oz"}}, "1 bar, Net Wt 4.02 oz (113 g); total Net Wt 4.02 oz (113 g)", "1 × 113 g (113 g)"},
		{"a variety", []bars{{2, "oat bars", "4 oz"}, {1, "plain bar", "3.55 oz"}},
			"2 oat bars, Net Wt 4 oz (113 g) each; 1 plain bar, Net Wt 3.55 oz (100 g); total Net Wt 11.55 oz (326 g)",
			"2 × 113 g oat bars + 1 × 100 g plain bar (326 g)"},
		{"over a pound and a kilogram", []bars{{10, "", "4 oz"}},
			"10 bars, Net Wt 4 oz (113 g) each; total Net Wt 2 lb 8 oz (1.13 kg)", "10 × 113 g (1.13 kg)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if p, ok := packed(market.USDual, tt.kinds); p.Words != tt.us || !ok {
				t.Errorf("US: %q, %t, want %q", p.Words, ok, tt.us)
			}
			if p, ok := packed(market.Metric, tt.kinds); p.Words != tt.metric || !ok {
				t.Errorf("metric: %q, %t, want %q", p.Words, ok, tt.metric)
			}
		})
	}
	for _, kinds := range [][]bars{nil, {{0, "", "4 oz"}}, {{2, "", "4 oz"}, {0, "", "4 oz"}}, {{2, "", "4 oz"}, {1, "", "0.1 g"}}} {
		if p, ok := packed(market.USDual, kinds); ok {
			t.Errorf("%+v is printed as %q", kinds, p.Words)
		}
	}
}

// The total of a pack is no more than its bars weigh, and no more than the figures that
// are printed for them add up to.
func TestPackIsTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var kinds []market.Packed
		var weight, metric measure.Mass
		w := rapid.SampledFrom(writings).Draw(t, "writing")
		for range rapid.IntRange(1, 4).Draw(t, "kinds") {
			count, bar := rapid.IntRange(1, 12).Draw(t, "count"), measure.Mass(rapid.Int64Range(int64(30*measure.Gram), int64(measure.Kilogram)).Draw(t, "each"))
			each, _ := market.USDual.Largest(bar, w)
			kinds = append(kinds, market.Packed{Count: count, Each: each})
			weight += measure.Mass(count) * bar
			metric += measure.Mass(count) * (bar / measure.Gram * measure.Gram)
		}
		p, ok := market.USDual.Pack(kinds, w)
		if !ok || p.Total.Least() > weight || p.Total.Metric > metric {
			t.Fatalf("%+v are printed as %q", kinds, p.Words)
		}
	})
}
