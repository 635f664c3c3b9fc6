package figure

import (
	"math"
	"strconv"
	"strings"

	"saponym/internal/trail"
)

// mostDecimals is how finely a mass is told.
const mostDecimals = 4

// figures gives a mass in words, "128 g", and its range, "91 to 182 g", which is
// "" where it is narrower than the figures show. What is less sure is told with
// fewer decimals. The low end is rounded down and the high end up.
func figures(g trail.Grams) (nominal, between string) {
	if g.High == 0 {
		return "none", ""
	}
	fine := decimals(g.Nominal)
	if round(g.Low, fine) == round(g.High, fine) {
		return grams(g.Nominal, fine), ""
	}
	// A range of 2 g and more is told in whole grams, one of 0.2 g and more in tenths.
	coarse := mostDecimals
	for coarse > 0 && g.High-g.Low >= 20*math.Pow10(-coarse) {
		coarse--
	}
	n := fine
	if g.Nominal == 0 || coarse < fine {
		n = coarse
	}
	low, high := math.Floor(g.Low*math.Pow10(n)+1e-6), math.Ceil(g.High*math.Pow10(n)-1e-6)
	if low == 0 {
		between = "0 to "
	} else {
		between = number(low/math.Pow10(n), n) + " to "
	}
	return grams(g.Nominal, n), between + number(high/math.Pow10(n), n) + " g"
}

// decimals says with how many decimals a sure mass is told: tenths of a gram, as
// kitchen scales show it, and two figures that count below 1 g.
func decimals(g float64) int {
	n := 1
	for limit := 1.0; n < mostDecimals && g < limit; limit /= 10 {
		n++
	}
	if g >= 10_000 {
		n = 0
	}
	return n
}

func round(g float64, decimals int) float64 { return math.Round(g * math.Pow10(decimals)) }

// grams gives a mass with its unit. What would read as nought and is not, is told
// as below the least that can be read.
func grams(g float64, decimals int) string {
	if g > 0 && round(g, decimals) == 0 {
		return "under " + number(math.Pow10(-decimals), decimals) + " g"
	}
	if g == 0 {
		decimals = 0
	}
	return number(g, decimals) + " g"
}

// number gives a number with a space after the thousands. After the first decimal
// it does not end in noughts.
func number(v float64, decimals int) string {
	whole, part, _ := strings.Cut(strconv.FormatFloat(v, 'f', decimals, 64), ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "\u00a0" + whole[i:]
	}
	if part != "" {
		part = "." + part[:1] + strings.TrimRight(part[1:], "0")
	}
	return whole + part
}
