package cure

import (
	"fmt"
	"math"

	"saponym/internal/market"
	"saponym/internal/measure"
)

// How large a share of bars may lack more than a limit, where the law gives no share.
// Both are conventions.
const (
	few  = 0.02  // where the law lets a few lack more: the strictest share that any law gives
	none = 0.001 // where it lets none: what is taken for none by the normal curve
)

// heaviest is more than any bar weighs, in grams.
const heaviest = 1e6

// Claims gives the largest claim in each form that is true of bars whose average is
// sure to weigh so many grams: each figure is rounded down from them by itself. A claim
// of which a figure would be nought has no words.
func Claims(grams float64, writing market.Writing, forms ...market.Form) []market.Claim {
	claims := make([]market.Claim, len(forms))
	for i, form := range forms {
		if c, ok := form.Largest(reached(grams), writing); ok {
			claims[i] = c
		}
	}
	return claims
}

// reached gives the mass that a low bound of grams reaches, which is not negative.
func reached(grams float64) measure.Mass { return max(0, measure.MassDown(grams)) }

// Weight is what is known of the weight of bars on some day, in grams.
type Weight struct {
	Mean   float64 // what their average is sure to reach
	Spread float64 // the standard deviation between bars: what it is sure not to exceed
}

// short gives the share of bars that weigh less than a mass, by the normal curve.
func (b Weight) short(of measure.Mass) float64 {
	lacks := of.Grams() - b.Mean
	if b.Spread <= 0 {
		if lacks > 0 {
			return 1
		}
		return 0
	}
	return 0.5 * math.Erfc(-lacks/b.Spread/math.Sqrt2)
}

// A Holding says whether a claim holds for bars under a law.
type Holding struct {
	Average bool         // the average is sure to reach the claim
	Spare   measure.Mass // by so much; below nought: so much is lacking
	Limit   Allowance    // of what one bar may lack
	Second  Allowance    // of what none may; the zero Allowance where the law has no such limit
}

// An Allowance is how many bars may lack more than a limit, and how many do.
type Allowance struct {
	Least measure.Mass // the claim less the limit
	Most  float64      // share of bars that may weigh less
	Short float64      // share of bars that is to be expected to
	Known market.Known
}

func (a Allowance) holds() bool { return a.Short <= a.Most }

// Single reports whether no more single bars than may lack too much.
func (h Holding) Single() bool { return h.Limit.holds() && h.Second.holds() }

// Holds reports whether the average and the single bars both hold.
func (h Holding) Holds() bool { return h.Average && h.Single() }

// Holds judges a claim by what is known of the bars on the day by which the law goes.
// The average must reach the larger figure of the claim, with no credit; the share of
// bars that lack too much is taken from the normal curve.
func Holds(claim market.Claim, bars Weight, rule market.NetRule) Holding {
	nominal := claim.Least()
	limit, known := rule.Limit(nominal)
	h := Holding{Spare: reached(bars.Mean) - nominal}
	h.Average = h.Spare >= 0
	h.Limit = Allowance{Least: nominal - limit, Most: rule.Share.Fraction(), Known: market.Weaker(rule.Known, known)}
	second, has := rule.Second(nominal)
	switch {
	case h.Limit.Most > 0:
	case has:
		h.Limit.Most = few
	default:
		h.Limit.Most = none
	}
	h.Limit.Short = bars.short(h.Limit.Least)
	if has {
		h.Second = Allowance{Least: nominal - second.Limit, Most: none, Known: market.Weaker(rule.Known, second.Known)}
		h.Second.Short = bars.short(h.Second.Least)
	}
	return h
}

// A Cut is how heavy bars must be when they are cut.
type Cut struct {
	Average measure.Mass // what they must weigh on average
	Single  measure.Mass // what each must weigh for none to lack more than the limit
}

// CutAtLeast gives the least weights at cutting that make a claim hold later. Kept is
// a low bound of the weight on that later day as a part of the weight at cutting, above
// nought. Spread is the standard deviation between bars at cutting, in grams, not
// negative; that it shrinks with the bars is left out, which is the safe side. Both
// weights are rounded up to a whole number of steps of the scale, of up to 1 kg. The
// error says which figure is out of its range: a bar of more than 1 t is one.
func CutAtLeast(claim market.Claim, kept, spread float64, rule market.NetRule, step measure.Mass) (Cut, error) {
	switch {
	case !(kept > 0) || math.IsInf(kept, 0):
		return Cut{}, fmt.Errorf("bars keep %g of their weight, which is not above nought", kept)
	case !(spread >= 0) || math.IsInf(spread, 0):
		return Cut{}, fmt.Errorf("the spread between bars is %g g, which is none", spread)
	case step <= 0 || step > measure.Kilogram:
		return Cut{}, fmt.Errorf("the step of the scale is %g g, which is not above nought and up to 1 kg", step.Grams())
	}
	later := func(cut measure.Mass) Weight { return Weight{cut.Grams() * kept, spread} }
	h := Holds(claim, later(0), rule)
	mean := claim.Least().Grams()
	for _, a := range []Allowance{h.Limit, h.Second} {
		if a.Most > 0 {
			mean = max(mean, a.Least.Grams()+standard(1-a.Most)*spread)
		}
	}
	if mean/kept > heaviest {
		return Cut{}, fmt.Errorf("bars that keep %g of their weight and differ by %g g would have to weigh more than 1 t", kept, spread)
	}
	least := func(grams float64, holds func(cut measure.Mass) bool) measure.Mass {
		cut := measure.MassUp(grams/kept) / step * step
		for !holds(cut) { // the step that was cut off, and what floats have lost
			cut += step
		}
		return cut
	}
	return Cut{
		Average: least(mean, func(cut measure.Mass) bool { return Holds(claim, later(cut), rule).Holds() }),
		Single:  least(h.Limit.Least.Grams(), func(cut measure.Mass) bool { return reached(later(cut).Mean) >= h.Limit.Least }),
	}, nil
}

// standard gives the quantile of the standard normal curve.
func standard(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }
