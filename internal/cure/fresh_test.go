package cure_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"saponym/internal/cure"
	"saponym/internal/measure"
)

// expected gives the course of bars that nobody has weighed.
func expected(t testing.TB, water measure.Range, size [3]measure.Length, prior cure.Prior) *cure.Course {
	t.Helper()
	c, err := cure.Expect(water, size, prior)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A usualBar is drawn from what is believed of bars before any weighing, apart from the
// code under test: 10 ± 3.5 % of water at rest, Page's curve of shape 0.75 ± 0.12 and a
// half-time of twelve days, or diffusion of 3e-6 m² a day, both within a factor of two.
// It gives the share of water at rest, and of the loss that is to come.
func usualBar(r *rand.Rand) (rest float64, left func(day float64) float64) {
	within := func(mean, sd, low, high float64) float64 {
		for {
			if v := mean + sd*r.NormFloat64(); low <= v && v <= high {
				return v
			}
		}
	}
	rest = within(0.10, 0.035, 0.02, 0.20)
	if r.IntN(2) == 0 {
		half, shape := 12*math.Exp2(r.NormFloat64()), within(0.75, 0.12, 0.50, 1.05)
		return rest, func(day float64) float64 { return math.Exp2(-math.Pow(day/half, shape)) }
	}
	edges, d := [3]float64{0.025, 0.055, 0.085}, 3e-6*math.Exp2(r.NormFloat64())
	return rest, func(day float64) float64 { return cure.BrickLeft(edges, d, day) }
}

// What a bar is sure to keep by 95 %, 95 % of the bars keep that dry as it is believed that
// bars do, and hardly more of them: the bound has no other reserve than the air of the day.
// On day 7 it is a tenth of a per cent fewer, and of so few draws another one is chance.
func TestUsualBarsKeepWhatIsExpected(t *testing.T) {
	const bars = 40_000
	c := expected(t, water, size, cure.Prior{})
	r := rand.New(rand.NewPCG(5, 8))
	days, all := []float64{7, 28, 42, 180, 1000}, 0
	for _, day := range days {
		mean, sure := c.Kept(0, day)
		kept, sum := 0, 0.0
		for range bars {
			rest, left := usualBar(r)
			end := (1 - 0.225) / (1 - rest)
			share := end + (1-end)*left(day)
			sum += share
			if share >= sure {
				kept++
			}
		}
		t.Logf("day %g: %.4f of the bars keep what they are sure to", day, float64(kept)/bars)
		near(t, "expected", mean, sum/bars, 0.001)
		if 1000*kept < 945*bars || 1000*kept > 970*bars {
			t.Errorf("day %g: %d of %d bars keep what they are sure to", day, kept, bars)
		}
		all += kept
	}
	if 100*all < 95*bars*len(days) {
		t.Errorf("over all days %d of %d keep what they are sure to", all, bars*len(days))
	}
}

// From a later day on, a bar keeps a larger part.
func TestKeptFromALaterDay(t *testing.T) {
	c := expected(t, water, size, cure.Prior{})
	mean, sure := c.Kept(0, 180)
	laterMean, laterSure := c.Kept(28, 180)
	now := c.At(28).Mean / 1000
	near(t, "mean", laterMean*now, mean, 1e-6)
	near(t, "sure", laterSure*now, sure, 1e-6)
	if !(sure < mean && mean < laterMean && laterMean < 1) {
		t.Errorf("kept %.4f and %.4f from the first day, %.4f and %.4f from day 28", mean, sure, laterMean, laterSure)
	}
}

// The loss of bars to a final moisture, by the water of their batter (derived: oils of a
// mean saponification value of 200, 5 % of it left out, lye of 25 to 40 % of sodium
// hydroxide; water and losses were rounded to a tenth). Bars of 6 to 15 % are to be expected,
// where they had clearly more than that, and the floor is the dry mass.
func TestExpectAgainstDerivedLosses(t *testing.T) {
	for _, tt := range []struct{ water, to6, to10, to15 float64 }{
		{26.4, 21.7, 18.2, 13.4}, {23.5, 18.6, 15.0, 10.0}, {21.8, 16.8, 13.1, 8.0},
		{19.5, 14.4, 10.6, 5.3}, {17.5, 12.2, 8.3, 2.9}, {15.2, 9.8, 5.8, 0.2},
	} {
		c := expected(t, measure.Exactly(tt.water/100), size, cure.Prior{})
		p := c.Final()
		for moisture, loss := range map[float64]float64{0.06: tt.to6, 0.10: tt.to10, 0.15: tt.to15} {
			rest := 10 * (100 - loss)
			near(t, "loss from the dry mass", 100-c.Floor()/(1-moisture)/10, loss, 0.11)
			if clearly := tt.water/100 > moisture+0.02; clearly && (rest < p.Low || rest > p.High) {
				t.Errorf("%.1f %% of water: bars of %.0f %% weigh %.0f g, and %.0f to %.0f g are expected", tt.water, 100*moisture, rest, p.Low, p.High)
			}
		}
		// Half of the bars hold more than 10 %; of those that had little there are fewer.
		near(t, "mean", p.Mean, 10*(100-tt.to10), 6)
		near(t, "water", c.Water(math.Inf(1)), 0.10, 0.006)
	}
}

// Water that is not known exactly makes the bound lower and the spread wider.
func TestExpectOfARangeOfWater(t *testing.T) {
	exact, wide := expected(t, water, size, cure.Prior{}).Final(), expected(t, measure.Range{Low: 0.20, High: 0.25}, size, cure.Prior{}).Final()
	near(t, "mean", wide.Mean, exact.Mean, 1)
	if wide.SD < 1.02*exact.SD || wide.OneSided >= exact.OneSided {
		t.Errorf("%+v, exactly %+v", wide, exact)
	}
	for name, water := range map[string]measure.Range{"none": {}, "no number": measure.Exactly(math.NaN()), "turned round": {Low: 0.3, High: 0.2}, "nearly all": measure.Exactly(0.9)} {
		if _, err := cure.Expect(water, size, cure.Prior{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// Bars that waited unweighed have as much water as usual ones would: in 95 % of bars that
// dry as it is believed that bars do, the true share lies within the range, which is that
// of the recipe on the day of the cut and becomes wider with the days.
func TestFreshWaterHoldsTheTrueOne(t *testing.T) {
	const bars = 5000
	const batter = 0.225
	width := 0.0
	for _, days := range []float64{1, 2, 5, 12, 30, 90} {
		got := cure.FreshWater(measure.Exactly(batter), days, size)
		if now := got.High - got.Low; now < width {
			t.Errorf("day %g: %v is narrower than before", days, got)
		} else {
			width = now
		}
		r := rand.New(rand.NewPCG(13, uint64(days)))
		inside := 0
		for range bars {
			rest, left := usualBar(r)
			// In the mould nothing dries; the top of the loaf lets some go.
			fresh := between(r, batter-0.01, batter+0.006)
			weight := 1 - (1-(1-fresh)/(1-rest))*(1-left(max(0, days-2)))
			if share := 1 - (1-fresh)/weight; got.Low <= share && share <= got.High {
				inside++
			}
		}
		if 100*inside < 95*bars {
			t.Errorf("day %g: %d of %d bars lie in %.3f to %.3f", days, inside, bars, got.Low, got.High)
		}
	}
	// Settings of ours: 1 % less than the recipe, and 0.6 % more.
	fresh := cure.FreshWater(measure.Exactly(batter), 1, size)
	near(t, "low", fresh.Low, batter-0.01, 1e-9)
	near(t, "high", fresh.High, batter+0.006, 1e-9)
	// A thick bar has lost less in the same time.
	thick := [3]measure.Length{50 * measure.Millimetre, 55 * measure.Millimetre, 85 * measure.Millimetre}
	if got := cure.FreshWater(measure.Exactly(batter), 12, thick); got.Low <= cure.FreshWater(measure.Exactly(batter), 12, size).Low {
		t.Errorf("a thick bar: %v", got)
	}
	// Bars that have next to no water do not gain any by waiting, nor less than none.
	for _, share := range []float64{0, 0.005, 0.03} {
		if got := cure.FreshWater(measure.Exactly(share), 30, size); got.Low < 0 || got.Low > share || got.High < share {
			t.Errorf("%g of water: %v", share, got)
		}
	}
}

// The water that is to be expected is what the weights say: a bar keeps its dry mass. It
// falls, lies within its interval, and begins with that of the recipe.
func TestWaterFollowsTheWeights(t *testing.T) {
	c := course(t, cure.Drying{Weighings: alikeButFor(130, 131, 132), Water: water, Size: size})
	fresh := c.At(1).Mean
	near(t, "fresh", c.Water(1), 0.225, 1e-9)
	before := 0.226
	for _, on := range []float64{1, 8, 15, 29, 60, 180, math.Inf(1)} {
		now, in := c.Water(on), c.WaterLeft(on)
		if !(now < before && in.Low <= now && now <= in.High) {
			t.Errorf("day %g: %.4f of water, in %v, and before %.4f", on, now, in, before)
		}
		near(t, "dry mass", c.At(on).Mean*(1-now), fresh*(1-0.225), 0.15)
		before = now
	}
}
