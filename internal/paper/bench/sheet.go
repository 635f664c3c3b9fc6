// Package bench makes the sheet to work from at the pot: what to weigh into which
// vessel, in the order of work, with a box to tick and a rule to write on for each
// line; how the batter is divided; the steps with their temperatures; and what to
// mind with lye.
//
// It takes a [Sheet], whose figures others have worked out, and gives it as pages
// of paper ([Sheet.Document]) or as text for a terminal ([Sheet.Text]). Whatever
// has a lye carries the cautions, on paper and in text.
package bench

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/measure"
)

// The rules of bench sheets. They are public ids: kept or retired, and never
// given a second meaning.
const (
	RuleFigure = "BENCH-FIGURE" // a weight or a share that cannot be one
	RuleLetter = "BENCH-LETTER" // a letter that cannot be printed
	RuleRoom   = "BENCH-ROOM"   // the paper is too small, or a text too long
	RuleSmall  = "BENCH-SMALL"  // a weight that is too small to be weighed as the sheet shows it
)

// A Sheet is what the paper shows. Masses are in grams, shares from 0 to 1.
type Sheet struct {
	Formula  string // the id of the formula
	Name     string // on the front of the product
	Identity string // what the product is: "soap with oat"
	Maker    string
	Process  string  // "cold" or "hot"; "" where nothing is saponified
	Size     string  // how the size was given: "1000 g of oils", "mould slab-a (976 ml, filled to 95 %)"
	Oils     float64 // in the pot
	Total    float64 // of all that is weighed
	Vessels  []Vessel
	Lye      *LyeJug // nil where there is none
	Portions []Portion

	// DivideAfter is after how many vessels the batter is divided into the portions.
	DivideAfter int

	Steps    []Step
	Findings []finding.Finding // to mind before anything is weighed
}

// A Vessel is what is weighed into one pot, jug or cup. Vessels stand in the
// order of work.
type Vessel struct {
	Title string // "Pot of oils", "Lye jug", "At trace"
	Tare  string // what the scale is zeroed with: "an empty pot"
	Lines []Line
	Then  string // what is done with it, as a sentence
	Lye   bool   // it holds alkali
}

// A Line is one thing to weigh.
type Line struct {
	Name  string // "Sodium hydroxide, 98 %"
	Grams float64
	Note  string // "frozen", "stirred into 10 g of sunflower oil first"
}

// A LyeJug is what is to be known of the lye.
type LyeJug struct {
	Alkali   string  // "sodium hydroxide", "sodium and potassium hydroxide"
	Strength float64 // hydroxide of hydroxide and water in the jug, by mass
	RiseLow  float64 // how much hotter the jug gets by itself, in kelvin; 0 where it is not known
	RiseHigh float64
	Ready    bool    // it is bought as a solution, which heats up only when it is thinned or meets acid
	Superfat float64 // negative where there is more lye than the oils can bind
	Least    float64 // superfat over all that maker and suppliers state
	Most     float64
}

// superfat gives the superfat in words, with its bounds where they are apart.
func (j *LyeJug) superfat() string {
	s, least, most := percent(j.Superfat), percent(j.Least), percent(j.Most)
	if least == most {
		return s
	}
	return fmt.Sprintf("%s\u00a0(%s–%s)", s, strings.TrimSuffix(least, "\u00a0%"), most)
}

// A Portion is a part of the batter.
type Portion struct {
	Name  string
	Share float64
	Grams float64 // of batter, before anything is stirred into the portion
}

// A Step is one thing to do.
type Step struct {
	Do   string
	Temp string // "32 °C (90 °F)", or ""
	Note string
}

// Headings that both forms have.
const (
	divide = "Divide the batter"
	mind   = "Mind first"
)

// hasLye reports whether anything on the sheet is caustic.
func (s Sheet) hasLye() bool {
	for _, v := range s.Vessels {
		if v.Lye {
			return true
		}
	}
	return s.Lye != nil
}

// most is the most of anything in grams: ten tonnes, more than any pot.
const most = 1e7

// Check looks at the figures. One of level stop says that the sheet must not be
// used.
func (s Sheet) Check() []finding.Finding {
	var found []finding.Finding
	figure := func(what string, v, low, high float64) {
		if !(v >= low && v <= high) { // no number is in no range
			found = append(found, finding.Finding{Level: finding.Stop, Rule: RuleFigure,
				Message: fmt.Sprintf("%s is %g, which lies outside %g to %g", what, v, low, high),
				Remedy:  "check the size of the batch and the weights of the formula"})
		}
	}
	mass := func(what string, grams float64) {
		before := len(found)
		figure("the weight of "+what+" in grams", grams, 0, most)
		if len(found) == before && grams > 0 && grams < leastGrams {
			found = append(found, finding.Finding{Level: finding.Warn, Rule: RuleSmall,
				Message: fmt.Sprintf("%.2g g of %s are less than the sheet can show and a scale can weigh", grams, what),
				Remedy:  "make a larger batch, or weigh it as part of a mixture"})
		}
	}
	mass("the oils", s.Oils)
	mass("all together", s.Total)
	for _, v := range s.Vessels {
		for _, l := range v.Lines {
			mass(strconv.Quote(l.Name), l.Grams)
		}
	}
	for _, p := range s.Portions {
		mass("the portion "+strconv.Quote(p.Name), p.Grams)
		figure("the share of the portion "+strconv.Quote(p.Name), p.Share, 0, 1)
	}
	if s.Lye != nil {
		figure("the strength of the lye", s.Lye.Strength, 0, 1)
		figure("the superfat", s.Lye.Superfat, -1, 1)
		figure("the superfat", s.Lye.Least, -1, 1)
		figure("the superfat", s.Lye.Most, s.Lye.Least, 1)
		figure("the rise of temperature in the lye jug", s.Lye.RiseLow, 0, hottest)
		figure("the rise of temperature in the lye jug", s.Lye.RiseHigh, s.Lye.RiseLow, hottest)
	}
	return found
}

// hottest is a rise, in kelvin, that no lye comes to: it would boil away before.
const hottest = 300

// Scales show grams to a tenth, and small ones to a hundredth; what weighs less
// than tenGrams is weighed on a small one.
const (
	tenGrams   = 10
	leastGrams = 0.005
)

// grams gives a mass to 0.1 g, or to 0.01 g where that shows less than 10 g.
func grams(g float64) string { return rounded(g, tenGrams, 1) }

// ounces gives a mass in avoirdupois ounces to 0.01 oz, or to 0.001 oz where that
// shows less than 1 oz. Pounds are not split off: a scale in ounces goes on
// counting them.
func ounces(g float64) string { return rounded(g/measure.Ounce.Grams(), 1, 2) }

// rounded gives a number with so many decimals, and one more where it is less
// than a limit as it is shown.
func rounded(v, limit float64, decimals int) string {
	fine := math.Pow10(decimals + 1)
	if math.Round(v*fine)/fine < limit {
		decimals++
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// percent gives a share in per cent, to a tenth.
func percent(share float64) string {
	s := strconv.FormatFloat(share*100, 'f', 1, 64)
	if s = strings.TrimSuffix(s, ".0"); s == "-0" {
		s = "0"
	}
	return s + "\u00a0%"
}

// From these temperatures on, in °C, lye is called hot enough to scald, near boiling, and
// in danger of boiling over, if it begins at that of a room. Water of 50 °C scalds within
// minutes, and strong lye boils above 110 °C (both from memory).
const (
	room        = 20
	scalds      = 50
	nearBoiling = 80
	boilsOver   = 110
)

// heat says how hot the jug gets by itself.
func (j LyeJug) heat() string {
	begin := ""
	if j.Ready {
		begin = "Ready-made lye burns like fresh lye. "
	}
	switch {
	case j.Ready && j.RiseHigh < 1:
		return begin + "It warms up when it meets water or acid."
	case j.RiseHigh == 0:
		return "The jug gets very hot by itself, near boiling."
	}
	end := ""
	switch {
	case room+j.RiseHigh >= boilsOver:
		end = ": it can boil over, so stand it in cold water and take time"
	case room+j.RiseHigh >= nearBoiling:
		end = ": near boiling"
	case room+j.RiseHigh >= scalds:
		end = ": hot enough to scald"
	}
	span := func(factor float64) string {
		low, high := math.Round(j.RiseLow*factor), math.Round(j.RiseHigh*factor)
		if low == high {
			return fmt.Sprintf("%.0f", low)
		}
		return fmt.Sprintf("%.0f\u00a0to\u00a0%.0f", low, high)
	}
	return fmt.Sprintf("%sThe jug gets %s\u00a0°C (%s\u00a0°F) hotter by itself%s.", begin, span(1), span(1.8), end)
}

// what names the alkali.
func (j LyeJug) what() string {
	if j.Alkali == "" {
		return "alkali not named"
	}
	return j.Alkali
}

// kind says what sort of batch it is: "cold process".
func (s Sheet) kind() string {
	if s.Process == "" {
		return ""
	}
	return s.Process + " process"
}

// given leaves out what is empty.
func given(texts ...string) []string {
	var all []string
	for _, t := range texts {
		if strings.TrimSpace(t) != "" {
			all = append(all, t)
		}
	}
	return all
}
