package market

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode"

	"saponym/internal/measure"
)

// A Form is how a market writes a net weight.
type Form string

// The forms.
const (
	USDual Form = "us dual" // Net Wt 4.2 oz (119 g): both units, each rounded down
	Metric Form = "metric"  // 119 g
)

var forms = []Form{USDual, Metric}

// A Writing is what a form leaves to the maker. The zero Writing is ounces with up to
// two decimals, before the grams.
type Writing struct {
	Ounces      Fineness
	MetricFirst bool // 200 g (7 oz)
}

// A Fineness is into how many parts an ounce is divided. Ounces are written as
// decimals of two places at most, or as common fractions in lowest terms, the finest of
// them thirty-seconds (16 CFR 500.17, from memory; American Samoa Administrative Code
// 27.0632).
type Fineness int64

// The finenesses.
const (
	Hundredths    Fineness = 0
	Tenths        Fineness = 10
	WholeOunces   Fineness = 1
	Halves        Fineness = 2
	Quarters      Fineness = 4
	Eighths       Fineness = 8
	Sixteenths    Fineness = 16
	ThirtySeconds Fineness = 32
)

// commonFractions are the finenesses that are written as common fractions.
var commonFractions = []Fineness{WholeOunces, Halves, Quarters, Eighths, Sixteenths, ThirtySeconds}

// parts gives how many parts an ounce has.
func (o Fineness) parts() int64 {
	if o == Hundredths {
		return 100
	}
	return int64(o)
}

// A Claim is a net weight as it is printed.
type Claim struct {
	Words  string
	Metric measure.Mass // the figure in grams or kilograms

	ounces *big.Rat // the figure in pounds and ounces, in nanograms; nil in a form that has none
}

// Least gives the least weight for which the claim is true: that of the larger of its
// figures, which is the one that is enforced (NIST sheet on metric labelling, quoted in
// 2002). It is rounded up to the nanogram.
func (c Claim) Least() measure.Mass {
	if c.ounces == nil {
		return c.Metric
	}
	return max(c.Metric, measure.Mass(-floor(new(big.Rat).Neg(c.ounces))))
}

// Ounces gives the figure in ounces, and 0 in a form that has none.
func (c Claim) Ounces() float64 {
	if c.ounces == nil {
		return 0
	}
	f, _ := new(big.Rat).Quo(c.ounces, nanograms(measure.Ounce)).Float64()
	return f
}

// AsTyped gives the claim that somebody typed, written as it was typed; see
// [Form.Typed] and [WritingOf].
func (f Form) AsTyped(claim measure.Quantity) (Claim, bool) {
	return f.Typed(claim, WritingOf(claim))
}

// WritingOf gives the writing in which a claim was typed: grams first if they were, and
// in common fractions of an ounce if one was typed that a label may show.
func WritingOf(claim measure.Quantity) Writing {
	var w Writing
	for i, part := range claim.Parts {
		metric := part.Unit == "g" || part.Unit == "kg" || part.Unit == "mg"
		w.MetricFirst = w.MetricFirst || i == 0 && metric
		if part.Unit == "oz" && strings.ContainsFunc(part.Number.Text, func(r rune) bool { return r == '/' || unicode.Is(unicode.No, r) }) {
			parts := new(big.Rat).Quo(claim.Nanograms(), nanograms(measure.Ounce)).Denom()
			if fine := Fineness(parts.Int64()); parts.IsInt64() && slices.Contains(commonFractions, fine) {
				w.Ounces = fine
			}
		}
	}
	return w
}

// Typed gives the claim that somebody typed. Each figure is rounded down from its
// digits, never from the other figure, so that neither promises more than was typed.
// It is false where a figure would be nought.
func (f Form) Typed(claim measure.Quantity, w Writing) (Claim, bool) {
	return f.write(claim.Nanograms(), claim.Nanograms(), w)
}

// Largest gives the largest claim that is true of a weight: each figure is rounded
// down from it. It is false where a figure would be nought.
func (f Form) Largest(weight measure.Mass, w Writing) (Claim, bool) {
	return f.write(nanograms(weight), nanograms(weight), w)
}

// write rounds the weight of each unit down to the figure that is printed. This is
// the one place where a claim is rounded.
//
// Sources: 16 CFR 500.9 (pounds from 1 lb on, with the remainder in ounces), 500.19
// (three metric figures, two below 100 g); Ohio Administrative Code 901:6-3-06(D)
// (either unit may come first).
func (f Form) write(inMetric, inOunces *big.Rat, w Writing) (Claim, bool) {
	c := Claim{Metric: metricFigure(inMetric)}
	metric := metricWords(c.Metric)
	if f != USDual {
		c.Words = metric
		return c, c.Metric > 0
	}
	part := new(big.Rat).Quo(nanograms(measure.Ounce), big.NewRat(w.Ounces.parts(), 1))
	count := floor(new(big.Rat).Quo(inOunces, part))
	c.ounces = new(big.Rat).Mul(part, big.NewRat(count, 1))
	first, second := ounceWords(count, w.Ounces), metric
	if w.MetricFirst {
		first, second = second, first
	}
	c.Words = fmt.Sprintf("Net Wt %s (%s)", first, second)
	return c, c.Metric > 0 && count > 0
}

// metricFigure rounds down to whole grams, and from 1 kg on to three figures.
func metricFigure(weight *big.Rat) measure.Mass {
	grams := floor(new(big.Rat).Quo(weight, nanograms(measure.Gram)))
	place := int64(1)
	for grams/place >= 1000 {
		place *= 10
	}
	return measure.Mass(grams/place*place) * measure.Gram
}

// metricWords writes a figure in grams, and from 1 kg on in kilograms.
func metricWords(m measure.Mass) string {
	grams := int64(m / measure.Gram)
	if grams < 1000 {
		return fmt.Sprintf("%d g", grams)
	}
	return decimal(grams/10) + " kg"
}

// ounceWords writes so many parts of an ounce as pounds and ounces.
func ounceWords(count int64, fine Fineness) string {
	pound := 16 * fine.parts()
	if count < pound {
		return ounces(count, fine) + " oz"
	}
	text := fmt.Sprintf("%d lb", count/pound)
	if rest := count % pound; rest > 0 {
		text += " " + ounces(rest, fine) + " oz"
	}
	return text
}

// ounces writes so many parts of an ounce as a decimal or as a common fraction.
func ounces(count int64, fine Fineness) string {
	if fine == Hundredths || fine == Tenths {
		return decimal(count * 100 / fine.parts())
	}
	whole, rest := count/fine.parts(), big.NewRat(count%fine.parts(), fine.parts())
	switch {
	case rest.Sign() == 0:
		return fmt.Sprint(whole)
	case whole == 0:
		return rest.String()
	}
	return fmt.Sprintf("%d %s", whole, rest)
}

// decimal writes a number of hundredths without zeros at its end.
func decimal(hundredths int64) string {
	text := fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

func nanograms(m measure.Mass) *big.Rat { return big.NewRat(int64(m), 1) }

// floor rounds down to a whole number.
func floor(r *big.Rat) int64 { return new(big.Int).Div(r.Num(), r.Denom()).Int64() }
