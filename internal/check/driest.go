package check

import (
	"math"
	"strconv"
	"strings"

	"saponym/internal/bar"
)

// A driest is the driest bar that is allowed, in which any share is the largest.
type driest struct {
	grams float64
	loses float64 // g that it loses where one gram less of dry matter goes in: its water is a share of it
	tie   float64 // g
}

func driestOf(cured *bar.Bar) driest {
	return driest{cured.Weight().Low, 1 / (1 - cured.WaterShare().Low), cured.Tie()}
}

// within gives the part of what was added of some things, 0 to 1, with which they
// bring no more than a limit, or 0 where there is none: now they weigh so much, and bring so much of what is
// limited. Less of them makes a lighter bar, too.
func (d driest) within(limit, added, brings float64) float64 {
	added *= d.loses
	part := limit * (d.grams - added) / (brings - limit*added)
	if part < 0 || part >= 1 {
		return 0 // so much of the bar is made of them that less of them would not mend it
	}
	return part
}

// gramsDown writes grams for a scale, rounded down to three figures.
func gramsDown(grams float64) string { return threeFigures(math.Floor, grams) }

// figures writes a figure above nought, or nought, with three digits that count.
func figures(v float64) string { return threeFigures(math.Round, v) }

func threeFigures(round func(float64) float64, v float64) string {
	if v <= 0 {
		return "0"
	}
	decimals := 2 - int(math.Floor(math.Log10(v)))
	step := math.Pow10(-decimals)
	text := strconv.FormatFloat(round(v/step)*step, 'f', max(0, decimals), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}
