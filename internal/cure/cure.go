// Package cure reads the weighings of a batch that dries, and says what its bars will
// weigh.
//
// In goes the record of a batch ([Read]), or a [Drying]: marked bars and what the scale
// said of them on some days, how much of the fresh bar was water, how large the bars were
// cut. Out comes a [Course], which answers for any day: the mean of the marked bars, the
// mean bar of the batch, a single bar, each with an interval; how much water is left in
// them; the dry mass, below which nothing dries. A [Promise] is a net weight held against
// it by the law; [TestLot] judges bars that were weighed as an inspector would.
//
// # The method
//
// A bar of first mass M₀ of which the share w₀ is water comes to rest at
// M₀·(1−w₀)/(1−w), where w is the share of water that stays in it. Between the two, the
// share of the loss that is still to come falls along a curve. Which one is not known, so
// many are tried, in two families of equal weight: Page's curve of thin layers, and
// diffusion out of a brick ([Estimate] says more). Each curve counts by what was believed
// of it before any weighing ([Prior]) and by how well it meets the weighings; a prediction
// is what all of them say together. There is no search for a best curve and no random
// number: the same weighings give the same answer everywhere.
//
// A plain exponential, which is what is usually fitted, is left out on purpose. Diffusion
// begins as the square root of time and ends as an exponential, so an exponential through
// the first weeks stops too early: it predicts a bar that is too heavy, which on a label
// is the unlawful side.
//
// No table of weights over time of cold-process bars has been published that we know of.
// The widths of what is believed beforehand, and the error that every curve is granted,
// are our judgement; simulations in the tests show what they are worth. Over all ways to
// dry that were tried, the one-sided bound holds for 95 % of bars and more; for bars that
// dry on for longest it is broken by 7 %, and by 10 to 12 % where damp air moves each of
// the weighings too. Bars that come to rest with less than 5 % or more than 15 % of water
// were not tried. What batches of one's own teach narrows the interval; in simulated shops
// the bound held for 95 %, and for 91 % where the new batch came to rest with two hundredths
// less of water than all of those before it.
package cure

import (
	"errors"
	"fmt"
	"math"

	"saponym/internal/measure"
)

// A Weighing is what the scale said of marked bars on one day. A bar may be missing.
type Weighing struct {
	Day     float64                 // days, counted from any day that is the same for all
	Bars    map[string]measure.Mass // by mark, 1 g to 100 kg
	Trimmed bool                    // something was cut off the bars since the weighing before
}

// A Drying is all that is known of bars that dry.
//
// Weighings may come in any order; they are sorted by day. Those of one day are averaged,
// bar by bar. Only a trimmed one is kept apart from those that stand before it: whoever
// weighs, trims and weighs again on one day says how much was cut off.
type Drying struct {
	Weighings []Weighing
	Water     measure.Range     // share of the bar that was water on the day of the first weighing
	Size      [3]measure.Length // the edges of the bar, in any order; if one is 0, all count as unknown
	Step      measure.Mass      // of the scale; 0 if it is not known
	Bars      int               // of the batch, the marked ones among them; 0 if they were not counted
	Prior     Prior             // the zero value is the usual one
}

// What a prediction takes. Fewer weighings, or fewer days, do not tell how fast the bars
// dry from how far they will. A judgement.
const (
	FewestDays = 3 // on which bars were weighed
	LeastSpan  = 7 // days from the first to the last of them
)

// TooLittle is the error of a drying on which nothing can be predicted yet. What is
// certain all the same, in grams of the mean bar, is what it says in Bounds: a bar that
// has come to rest holds 2 to 20 % of water.
type TooLittle struct {
	Days   int           // on which bars were weighed; one for each cut does not count
	Span   float64       // days from the first to the last
	More   int           // how many more days of weighing it takes
	From   float64       // the day from which on the last of these counts, as the weighings count days
	Bounds measure.Range // g, at rest; 0 if nothing was weighed
	Then   measure.Range // g, about what the interval at rest will be after these weighings
}

func (e *TooLittle) Error() string {
	if e.Days == 0 {
		return fmt.Sprintf("no bar was weighed: weigh marked bars on %d days, the last at least %d days after the first", FewestDays, LeastSpan)
	}
	times := "once more"
	if e.More > 1 {
		times = fmt.Sprintf("%d more times", e.More)
	}
	return fmt.Sprintf("bars were weighed on %d of at least %d days, and over %.3g of at least %d: weigh %s, the last time on day %.3g or later; until then all that is known is that the mean bar will come to rest between %.1f and %.1f g, and then it will be known to about %.1f g",
		e.Days, FewestDays, e.Span, LeastSpan, times, e.From, e.Bounds.Low, e.Bounds.High, e.Then.High-e.Then.Low)
}

// A Slip is the error of a weight that the bar cannot have had: one of the weighings, its
// mark, the step of the scale or the water of the bar is wrong. An error can hold several
// of them; [errors.As] finds the first.
type Slip struct {
	Mark  string
	Day   float64
	Grams float64
	Why   string // what the weight is against
}

func (e *Slip) Error() string {
	return fmt.Sprintf("bar %q on day %.4g: %.4g g is %s", e.Mark, e.Day, e.Grams, e.Why)
}

// A Gain is a bar that weighed more than the time before, by more than the scale may be
// off. Air that has become damp does that; the drying goes on.
type Gain struct {
	Mark  string
	Day   float64
	Grams float64 // that it gained
}

// What can be believed of a weight, and of a day.
const (
	lightestBar = measure.Gram
	heaviestBar = 100 * measure.Kilogram
	coarsest    = measure.Kilogram // step of a scale
	furthest    = 1e5              // days
)

// check reports what is no drying at all.
func (d Drying) check() error {
	switch w := d.Water; {
	case !(w.Low <= w.High): // not what is no number either
		return fmt.Errorf("the water of the fresh bar is given as %g to %g of it", w.Low, w.High)
	case w.Low <= driest || w.High > 0.8:
		return fmt.Errorf("the water of the fresh bar is given as %.3g to %.3g %%: there is nothing to predict of a bar of less than %.0f %%, and no bar of more than 80 %%", 100*w.Low, 100*w.High, 100*driest)
	case d.Step < 0 || d.Step > coarsest:
		return fmt.Errorf("the scale is said to have steps of %g g", d.Step.Grams())
	}
	for _, edge := range d.Size {
		if edge < 0 || edge > 10_000*measure.Millimetre {
			return fmt.Errorf("an edge of the bar is given as %g mm", edge.Millimetres())
		}
	}
	var slips []error
	for _, w := range d.Weighings {
		if !(math.Abs(w.Day) <= furthest) {
			return fmt.Errorf("a weighing is dated day %g", w.Day)
		}
		if len(w.Bars) == 0 {
			return fmt.Errorf("no bar stands in the weighing of day %.4g", w.Day)
		}
		for _, mark := range marks(w.Bars) {
			if g := w.Bars[mark]; g < lightestBar || g > heaviestBar {
				slips = append(slips, &Slip{mark, w.Day, g.Grams(), "no weight of a bar of soap"})
			}
		}
	}
	return errors.Join(slips...)
}
