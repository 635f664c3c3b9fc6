package bar

import (
	"math"

	"saponym/internal/measure"
)

// A Share is how much of a bar something is, 0 to 1, over all that is allowed and where
// one figure is shown.
type Share struct{ Low, Nominal, High float64 }

// Ratio bounds a weighted sum of lines over another one, which is above nought for each
// bar, over all that is allowed: no allowed bar lies outside. Without a second one it
// bounds the sum itself, in grams. Weights are one a line.
func (b *Bar) Ratio(over, under []float64) measure.Range {
	return measure.Range{Low: b.least(over, under), High: 0 - b.least(negative(over), under)}
}

// least bounds a ratio from below. By how much the sum can fall below a guess at the ratio
// tells a bound; the guess is mended by bars that were come upon, and the bound by the
// chord between the two: the least is concave in the ratio, and lies above what it joins.
func (b *Bar) least(over, under []float64) float64 {
	if under == nil {
		return b.Least(Question{Weights: over}).Low
	}
	ask := func(ratio float64) Answer {
		q := Question{Weights: make([]float64, len(over))}
		for i := range over {
			q.Weights[i] = over[i] - ratio*under[i]
		}
		return b.Least(q)
	}
	guess := dot(over, b.shown.masses) / dot(under, b.shown.masses)
	answer := ask(guess)
	for n := 0; n < mostGuesses && answer.Verdict == Refuted; n++ {
		next := dot(over, answer.masses) / dot(under, answer.masses)
		if !(next < guess) {
			break
		}
		guess, answer = next, ask(next)
	}
	if answer.Low >= -b.Tie() {
		return guess
	}
	bound := guess + answer.Low/b.Least(Question{Weights: under}).Low
	for n := 0; n < mostGuesses && guess-bound > 1e-7*math.Abs(guess); n++ {
		room := ask(bound).Low
		next := bound + (guess-bound)*room/(room-answer.Low)
		if !(next > bound && next < guess) {
			break
		}
		bound = next
	}
	return bound
}

// mostGuesses is how often a ratio is guessed again. The guesses draw nearer by squares.
const mostGuesses = 4

func negative(weights []float64) []float64 {
	n := make([]float64, len(weights))
	for i, w := range weights {
		n[i] = -w
	}
	return n
}

// counted gives the weights of all that the bar weighs.
func (b *Bar) counted() []float64 {
	w := make([]float64, len(b.Lines))
	for i, line := range b.Lines {
		if line.Counted() {
			w[i] = 1
		}
	}
	return w
}

// Weight gives what the bar weighs, in grams, over all that is allowed.
func (b *Bar) Weight() measure.Range { return b.Ratio(b.counted(), nil) }

// WaterShare gives the part of the bar that is water.
func (b *Bar) WaterShare() Share {
	water := make([]float64, len(b.Lines))
	for i, line := range b.Lines {
		if line.isWater() {
			water[i] = 1
		}
	}
	r := b.Ratio(water, b.counted())
	return Share{r.Low, dot(water, b.shown.masses) / dot(b.counted(), b.shown.masses), r.High}
}
