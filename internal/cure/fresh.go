package cure

import (
	"math"

	"saponym/internal/measure"
)

// What happens to a bar before it is weighed for the first time. All of it is judgement.
const (
	inMould   = 2     // days: from the pot to the cut hardly any water leaves
	waterMore = 0.006 // of the fresh bar: how far its water may lie above that of the recipe
	waterLess = 0.01  // and below it: a gel phase, and the top of the loaf, let some go
	fastest   = 4     // by so much faster than the usual bar may have dried what nobody weighed
	fastRest  = 0.05  // and to so little water
)

// FreshWater gives the share of a bar that is water, or leaves like it, on the day of its
// first weighing. Share is that of the batter, by its recipe, days how long before it was
// made. The later bars are weighed for the first time, the less is known of it: they may
// have been wrapped, or have dried on a warm rack. Size is as in [Drying].
func FreshWater(share measure.Range, days float64, size [3]measure.Length) measure.Range {
	high := share.High + waterMore
	waited := max(0, days-inMould)
	s := Prior{}.of(size)
	fast := page{math.Exp(s.half.mean+s.slow) / fastest, s.shape.mean}
	rest := min(fastRest, share.Low)
	// A bar of dry mass 1: its water as a part of that goes along the curve.
	perDry := func(water float64) float64 { return water / (1 - water) }
	water := perDry(rest) + (perDry(share.Low)-perDry(rest))*fast.left(waited)
	return measure.Range{Low: max(0, water/(1+water)-waterLess), High: high}
}

// Expect gives the course of bars that nobody has weighed yet, by what is believed of
// them: a fresh bar of 1,000 g stands for them, and the first day is day 0. Water, size
// and prior are as in [Drying].
//
// The error says which of them is none.
func Expect(water measure.Range, size [3]measure.Length, prior Prior) (*Course, error) {
	d := Drying{Water: water, Size: size, Prior: prior}
	if err := d.check(); err != nil {
		return nil, err
	}
	const mark, fresh = "", 1000.0
	only := run{
		sittings: []sitting{{grams: map[string]float64{mark: fresh}}},
		mean:     []float64{fresh}, ratio: map[string]float64{mark: 1}, dry: 1 - water.High,
	}
	belief := prior.of(size)
	families := belief.families()
	ends, all := belief.ends(water), readings([]run{only}, 0, balance)
	for i := range families {
		families[i].compare(ends, all)
		families[i].keep(ends, 1, 1/float64(len(families)))
	}
	return &Course{families: families, now: only, water: water.High, learnt: learnt(families), own: prior.own, airSD: humidity * fresh}, nil
}

// Kept gives what the mean bar weighs on a later day as a part of what is to be expected
// of it on a day: what is to be expected, and what it is sure to be by 95 %.
func (c *Course) Kept(from, to float64) (mean, sure float64) {
	now, later := c.At(from).Mean, c.At(to)
	return later.Mean / now, later.OneSided / now
}

// LastDay gives the day of the last weighing.
func (c *Course) LastDay() float64 { return c.now.sittings[len(c.now.sittings)-1].day }
