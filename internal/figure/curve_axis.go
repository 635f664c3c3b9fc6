package figure

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"saponym/internal/day"
	"saponym/internal/measure"
)

// A calendar is the axis of time of a curve.
type calendar struct {
	first day.Day // the first that is shown
	zero  day.Day // the first weighing, from which days are counted
	span  int     // days from the first to the last that is shown
	root  bool    // time runs by its square root
}

const (
	// afterwards is how many days are shown after the last weighing, at least, where
	// nothing is expected.
	afterwards = 28
	// evenTime is how many days run evenly in any case.
	evenTime = 60
)

// calendarOf gives the days that a curve shows. By its square root runs time of which
// the weighings take up less than a third: what dries by diffusion loses about as much
// from one root to the next, and the first weighings stay apart.
func calendarOf(c Curve) calendar {
	var all []day.Day
	for _, w := range c.Weighed {
		all = append(all, w.Day)
	}
	for _, e := range c.Course {
		all = append(all, e.Day)
	}
	zero, weighed := all[0], all[max(len(c.Weighed)-1, 0)]
	for _, m := range c.Days {
		all = append(all, m.Day)
	}
	first, last := slices.MinFunc(all, day.Day.Compare), slices.MaxFunc(all, day.Day.Compare)
	t := calendar{first: first, zero: zero, span: first.DaysUntil(last)}
	if taken := first.DaysUntil(weighed); len(c.Course) == 0 || t.span == 0 {
		t.span = max(t.span, taken+max(afterwards, taken/2))
	}
	t.root = len(c.Weighed) > 0 && t.span > evenTime && 3*first.DaysUntil(weighed) < t.span
	return t
}

// lastDay is that of all calendars.
var lastDay = day.FromTime(time.Date(9999, time.December, 31, 0, 0, 0, 0, time.UTC))

// last is the last day that is shown.
func (t calendar) last() day.Day {
	if d := t.first.AddDays(t.span); !d.IsZero() {
		return d
	}
	return lastDay
}

// at gives where a day stands, from 0 for the first to 1 for the last.
func (t calendar) at(d day.Day) float64 { return t.part(t.first.DaysUntil(d)) }

func (t calendar) part(days int) float64 {
	part := min(max(float64(days)/float64(t.span), 0), 1)
	if t.root {
		return math.Sqrt(part)
	}
	return part
}

// evenSteps are the days between two ticks where time runs evenly: weeks, quarters,
// years.
var evenSteps = [...]int{1, 2, 7, 14, 28, 56, 91, 182, 364, 728, 1820, 3640, 7280, 18200, 36400, 72800, 182000, 364000, 728000, 1820000}

// rootTicks are the days of ticks where it does not, the weightiest ones first. After
// them, each year that has twice as many days as the last.
var rootTicks = [...]int{0, 28, 364, 7, 91, 182, 14, 56, 273, 2, 42, 140, 4, 126, 21, 224, 1}

// ticks gives the days, counted from the first weighing, that the axis names. Two of
// them must be apart.
func (t calendar) ticks(apart func(a, b int) bool) []int {
	from := -t.first.DaysUntil(t.zero)
	to := from + t.span
	if !t.root {
		for _, step := range evenSteps {
			if days, ok := multiples(from, to, step, apart); ok {
				return days
			}
		}
		return []int{0}
	}
	wanted := append([]int(nil), rootTicks[:]...)
	for n := 728; n <= to; n *= 2 {
		wanted = append(wanted, n)
	}
	var days []int
	for _, n := range wanted {
		if n <= to && !slices.ContainsFunc(days, func(m int) bool { return !apart(min(m, n), max(m, n)) }) {
			days = append(days, n)
		}
	}
	slices.Sort(days)
	return days
}

// multiples gives the multiples of a step in a range, if all of them are apart.
func multiples(from, to, step int, apart func(a, b int) bool) ([]int, bool) {
	var days []int
	for n := int(math.Ceil(float64(from)/float64(step))) * step; n <= to; n += step {
		if len(days) > 0 && !apart(n-step, n) {
			return nil, false
		}
		days = append(days, n)
	}
	return days, true
}

// dates names the days of ticks: "28 Nov 2026", and without the year where it is that of
// the tick before.
func (t calendar) dates(ticks []int) []string {
	names := make([]string, len(ticks))
	year := 0
	for i, n := range ticks {
		d := t.zero.AddDays(n)
		if d.IsZero() {
			continue
		}
		at := d.Time()
		if names[i] = at.Format("2 Jan"); at.Year() != year {
			names[i] = date(d)
		}
		year = at.Year()
	}
	return names
}

// date gives a day as it stands in a picture.
func date(d day.Day) string { return d.Time().Format("2 Jan 2006") }

// nights names a tick by the days since the first weighing.
func nights(n int) string {
	if n < 0 {
		return "day –" + strconv.Itoa(-n)
	}
	return "day " + strconv.Itoa(n)
}

// A balance is the axis of masses of a curve, between two round numbers.
type balance struct {
	low, high float64 // g
	step      float64 // between two lines
}

const (
	leastSpread = 0.02 // of the heaviest bar: how much an axis shows at least
	leastShown  = 0.01 // g: the same
	claimReach  = 0.8  // of what the weights take up: a claim farther off is an arrow
	air         = 0.05 // of it, left free above and below
)

// balanceOf gives the axis with about so many lines.
func balanceOf(c Curve, lines int) balance {
	low, high := math.Inf(1), 0.0
	show := func(grams ...float64) {
		for _, g := range grams {
			low, high = min(low, g), max(high, g)
		}
	}
	for _, w := range c.Weighed {
		show(w.Mean)
		show(w.Bars...)
	}
	for _, e := range c.Course {
		show(e.Mean, e.Low, e.High, e.Bound)
	}
	if c.resting() {
		show(c.Bounds.Low, c.Bounds.High)
	}
	spread := max(high-low, leastSpread*high, leastShown)
	middle := (low + high) / 2
	low, high = min(low, middle-spread/2), max(high, middle+spread/2)
	if g := c.Claim.Grams; c.claims() && low-claimReach*spread <= g && g <= high+claimReach*spread {
		show(g)
	}
	free := air * (high - low)
	low, high = max(low-free, 0), high+free
	step := roundStep((high - low) / float64(lines))
	return balance{math.Floor(low/step) * step, math.Ceil(high/step) * step, step}
}

// at gives where a mass stands, from 0 at the foot to 1 at the top.
func (b balance) at(g float64) float64 {
	return min(max((g-b.low)/(b.high-b.low), 0), 1)
}

// shows reports whether a mass lies within the axis.
func (b balance) shows(g float64) bool { return b.low <= g && g <= b.high }

// A graduation is a place on an axis of masses with what is written there.
type graduation struct {
	at    float64 // g
	words string
}

// ticks gives the round numbers of grams. The unit stands by the topmost.
func (b balance) ticks() []graduation { return ticksOf(b.low, b.high, b.step, 1, " g") }

// ounces gives about so many round numbers of ounces.
func (b balance) ounces(lines int) []graduation {
	oz := measure.Ounce.Grams()
	step := roundStep((b.high - b.low) / oz / float64(lines))
	return ticksOf(b.low/oz, b.high/oz, step, oz, " oz")
}

func ticksOf(low, high, step, worth float64, unit string) []graduation {
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var ticks []graduation
	first, last := math.Ceil(low/step-1e-6), math.Floor(high/step+1e-6)
	for n := first; n <= last; n++ {
		t := graduation{n * step * worth, fixed(n*step, decimals)}
		if n == last {
			t.words += unit
		}
		ticks = append(ticks, t)
	}
	return ticks
}

// roundStep gives the next of 1, 2 and 5 times a power of ten that is not less.
func roundStep(v float64) float64 {
	power := math.Pow10(int(math.Floor(math.Log10(v))))
	for _, n := range [...]float64{1, 2, 5} {
		if n*power >= v*(1-1e-9) {
			return n * power
		}
	}
	return 10 * power
}

// fixed gives a number with so many decimals and a space after the thousands, so that
// the numbers of an axis stand alike.
func fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-") // no mass is less than nothing
	}
	whole, part, _ := strings.Cut(text, ".")
	n, _ := strconv.ParseFloat(whole, 64) // it was formatted here
	if part != "" {
		part = "." + part
	}
	return number(n, 0) + part
}

// claims reports whether anything is claimed of the bars.
func (c Curve) claims() bool { return c.Claim != ClaimLine{} }

// resting reports whether only bounds are known of what the bars come to.
func (c Curve) resting() bool { return len(c.Course) == 0 && c.Bounds != measure.Range{} }

// A holding is for how much of a picture a claim holds.
type holding int

const (
	always holding = iota // as long as it shows
	partly                // until a day that it shows
	never
)

func (c Curve) holding(t calendar) holding {
	until := c.Claim.Until
	switch {
	case until.IsZero() || !until.Before(t.last()):
		return always
	case until.Before(t.first):
		return never
	}
	return partly
}

// claimWords gives the words of the claim, with those on its end unless they stand where
// it crosses.
func (c Curve) claimWords(t calendar, crossing bool) string {
	switch how := c.holding(t); {
	case how == never:
		return c.Claim.Words + ", never holds"
	case how == partly && crossing || c.Claim.Until.IsZero():
		return c.Claim.Words
	}
	return c.Claim.Words + ", " + c.holdsUntil()
}

func (c Curve) holdsUntil() string { return "holds until " + date(c.Claim.Until) }

// dry gives the dry mass of the mean bar in words.
func (c Curve) dry() string { return grams(c.Floor, decimals(c.Floor)) }

// comesTo says between which masses the bars come to rest.
func (c Curve) comesTo() string {
	low, high := c.Bounds.Low, c.Bounds.High
	return "comes to rest between " + strings.TrimSuffix(grams(low, decimals(low)), " g") + " and " + grams(high, decimals(high))
}
