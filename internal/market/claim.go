package market

import (
	"fmt"
	"math/big"
	"strings"

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

// NetWeight gives the words for a claim, and false for one that is too small to be
// printed: less than a hundredth of an ounce, or than a gram. Each figure is rounded down from the
// claim as it was typed, never from the other figure, so that neither promises
// more than the claim does.
//
// Sources: 16 CFR 500.9 (pounds from 1 lb on, with the remainder in ounces),
// 500.17 (two decimals at most), 500.19 (three metric figures, two below 100 g).
func (f Form) NetWeight(claim measure.Quantity) (words string, ok bool) {
	grams := exactGrams(claim)
	ok = floor(grams) > 0 // a gram is more than a hundredth of an ounce
	if f == USDual {
		return "Net Wt " + ounces(grams) + " (" + metric(grams) + ")", ok
	}
	return metric(grams), ok
}

// exactGrams gives the claim in grams without any rounding.
func exactGrams(claim measure.Quantity) *big.Rat {
	return new(big.Rat).Quo(claim.Nanograms(), big.NewRat(int64(measure.Gram), 1))
}

// ounces writes a weight in pounds and ounces, with two decimals of an ounce at
// most, rounded down.
func ounces(grams *big.Rat) string {
	hundredths := floor(new(big.Rat).Quo(grams, big.NewRat(int64(measure.Ounce), 100*int64(measure.Gram))))
	const pound = 1600 // hundredths of an ounce
	if hundredths < pound {
		return decimal(hundredths) + " oz"
	}
	text := fmt.Sprintf("%d lb", hundredths/pound)
	if rest := hundredths % pound; rest > 0 {
		text += " " + decimal(rest) + " oz"
	}
	return text
}

// metric writes a weight in whole grams, and from 1 kg on in kilograms with three
// figures, rounded down.
func metric(grams *big.Rat) string {
	whole := floor(grams)
	if whole < 1000 {
		return fmt.Sprintf("%d g", whole)
	}
	switch {
	case whole < 10_000:
		return decimal(whole/10) + " kg"
	case whole < 100_000:
		return strings.TrimSuffix(fmt.Sprintf("%d.%d", whole/1000, whole%1000/100), ".0") + " kg"
	}
	return fmt.Sprintf("%d kg", whole/1000)
}

// decimal writes a number of hundredths without zeros at its end.
func decimal(hundredths int64) string {
	text := fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// floor rounds a number that is not negative down to a whole one.
func floor(r *big.Rat) int64 { return new(big.Int).Quo(r.Num(), r.Denom()).Int64() }
