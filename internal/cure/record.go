package cure

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// The rule ids of the weighings of a record.
const (
	RuleLittle = "CURE-LITTLE" // too little was weighed to predict anything
	RuleSlip   = "CURE-SLIP"   // a weight that the bar cannot have had
	RuleGain   = "CURE-GAIN"   // a bar has become heavier
	RuleOrder  = "CURE-ORDER"  // the weighings do not stand in the order of their days
	RuleTwice  = "CURE-TWICE"  // bars were weighed twice on a day
	RulePacked = "CURE-PACKED" // bars were weighed after they were wrapped
	RuleFew    = "CURE-FEW"    // one or two bars stand for the batch
	RuleScale  = "CURE-SCALE"  // the scale is too coarse for the claim
	RuleCut    = "CURE-CUT"    // it is not said of which cut the bars are
	RuleLate   = "CURE-LATE"   // the first weighing came long after the bars were cut
	RuleTie    = "CURE-TIE"    // bars that were not weighed before under these marks
	RuleLeft   = "CURE-LEFT"   // all bars that are left were weighed, and others before
	RuleAhead  = "CURE-AHEAD"  // a weighing that is still to come
	RuleEmpty  = "CURE-EMPTY"  // a weighing of no bar
	RuleHumid  = "CURE-HUMID"  // the air was much damper at one weighing than at another
	RuleWater  = "CURE-WATER"  // a bar of which the drying cannot be told
)

// A Basis is what the reading of weighings rests on besides the record.
type Basis struct {
	Water    measure.Range           // share of the batter that is water, or leaves like it
	Glycerol float64                 // and that is glycerol; 0 if that is not known
	Bars     int                     // of the cut that were made; 0 if nobody has counted
	Left     int                     // of these that are still there
	On       day.Day                 // what is weighed later is still to come; the zero Day: nothing is
	Scales   map[string]formula.Mass // the steps of the shop's scales, by id
	Prior    Prior
}

// A Dried is what the record of a batch tells of the drying of one cut.
type Dried struct {
	Cut       formula.Cut
	Made      day.Day // day 0 of the course
	Weighings []formula.Weighing
	Step      measure.Mass // of the scale, the coarsest of those used; 0 if it is not known
	Drying    Drying       // what the weighings come to; its Prior is what was believed beforehand
	Course    *Course      // nil where Little or the findings say why
	Little    *TooLittle   // nil where enough was weighed, and where a finding says what is wrong
	Findings  []finding.Finding
}

// Read follows the drying of one cut of a batch by its record. All that is odd about the
// weighings is a finding; none is left out without one.
func Read(b formula.Batch, cuts []formula.Cut, cut formula.Cut, basis Basis) Dried {
	r := &recordReader{Dried: Dried{Cut: cut, Made: b.Made.V}, batch: b, basis: basis, counted: basis.Bars}
	r.choose(cuts)
	if len(r.Weighings) == 0 {
		r.Little = &TooLittle{More: FewestDays, From: LeastSpan}
		return r.Dried
	}
	r.order()
	r.left()
	r.packed()
	r.humidity()
	r.estimate()
	return r.Dried
}

// Unread gives the weighings of one cut of a batch of which nothing else can be told.
func Unread(b formula.Batch, cuts []formula.Cut, cut formula.Cut) Dried {
	r := &recordReader{Dried: Dried{Cut: cut, Made: b.Made.V}, batch: b}
	r.choose(cuts)
	slices.SortStableFunc(r.Weighings, func(a, b formula.Weighing) int { return a.Date.V.Compare(b.Date.V) })
	return r.Dried
}

// Date gives the day of a day of the course. What is beyond a hundred years is the zero
// Day.
func (d Dried) Date(on float64) day.Day {
	if !(on < 36525) {
		return day.Day{}
	}
	return d.Made.AddDays(int(math.Floor(on)))
}

// Day gives the day of the course of a day.
func (d Dried) Day(of day.Day) float64 { return float64(d.Made.DaysUntil(of)) }

// Again gives the course as it will be known when bars are weighed once more on a day after
// the last weighing, the same ones and others up to so many, and weigh then what is to be
// expected. It is false where there is no course.
func (d Dried) Again(on float64, bars int) (*Course, bool) {
	if d.Course == nil || on <= d.Course.LastDay() {
		return nil, false
	}
	last := d.Drying.Weighings[len(d.Drying.Weighings)-1]
	kept, _ := d.Course.Kept(last.Day, on)
	next := Weighing{Day: on, Bars: map[string]measure.Mass{}}
	for mark, g := range last.Bars {
		next.Bars[mark] = measure.MassDown(g.Grams() * kept)
	}
	mean, off := d.Course.At(on).Mean, d.Course.Bars().Spread
	for i := len(next.Bars); i < bars; i++ { // others differ as bars do, to either side
		off = -off
		next.Bars[fmt.Sprint("other ", i)] = measure.MassDown(mean * (1 + off))
	}
	again := d.Drying
	again.Weighings = append(slices.Clone(again.Weighings), next)
	course, err := Estimate(again)
	return course, err == nil
}

// Last gives the last weighing, and false if there is none.
func (d Dried) Last() (formula.Weighing, bool) {
	if len(d.Weighings) == 0 {
		return formula.Weighing{}, false
	}
	return d.Weighings[len(d.Weighings)-1], true
}

type recordReader struct {
	Dried
	batch   formula.Batch
	basis   Basis
	counted int // bars that the marked ones stand for
}

func (r *recordReader) report(level finding.Level, rule string, at finding.Pos, message, remedy string) {
	r.Findings = append(r.Findings, finding.Finding{Level: level, Rule: rule, At: at, Message: message, Remedy: remedy})
}

// choose takes the weighings of the cut. One that names no cut is of the only cut.
func (r *recordReader) choose(cuts []formula.Cut) {
	var names []string
	for _, c := range cuts {
		names = append(names, c.Name.V)
	}
	for _, w := range r.batch.Weighings {
		switch {
		case !slices.ContainsFunc(w.Bars, func(b formula.MarkedBar) bool { return b.Weight.Given() }):
			r.report(finding.Note, RuleEmpty, w.Date.At, fmt.Sprintf("no bar has a weight in the weighing of %s", w.Date.V), "write bars: {a: 131.2 g} in a new entry with corrects: "+w.ID)
		case !r.basis.On.IsZero() && r.basis.On.Before(w.Date.V):
			r.report(finding.Warn, RuleAhead, w.Date.At, fmt.Sprintf("the weighing of %s is after %s, the day that is asked for, so it tells nothing yet", w.Date.V, r.basis.On), "look at the year; or ask for a later day with --on")
		case w.Cut.V == r.Cut.Name.V, !w.Cut.Given() && len(cuts) == 1:
			r.Weighings = append(r.Weighings, w)
		case !w.Cut.Given():
			r.report(finding.Warn, RuleCut, w.Date.At, fmt.Sprintf("it is not said of which cut the bars weighed on %s are, so they tell nothing", w.Date.V), "write cut: with one of "+strings.Join(names, ", ")+", in a new entry with corrects: "+w.ID)
		case !slices.Contains(names, w.Cut.V):
			r.report(finding.Warn, RuleCut, w.Cut.At, fmt.Sprintf("the formula has no cut %q, so the bars weighed on %s tell nothing", w.Cut.V, w.Date.V), "write one of "+strings.Join(names, ", ")+", in a new entry with corrects: "+w.ID)
		}
	}
}

// order puts the weighings in the order of their days. A record only grows, so an old
// weighing may well be written down later.
func (r *recordReader) order() {
	byDay := func(a, b formula.Weighing) int { return a.Date.V.Compare(b.Date.V) }
	for i := 1; i < len(r.Weighings); i++ {
		before, w := r.Weighings[i-1], r.Weighings[i]
		if w.Date.V.Before(before.Date.V) {
			r.report(finding.Note, RuleOrder, w.Date.At, fmt.Sprintf("the weighing of %s stands after that of %s: it is taken by its day", w.Date.V, before.Date.V), "")
		}
	}
	slices.SortStableFunc(r.Weighings, byDay)
	for i := 1; i < len(r.Weighings); i++ {
		if w := r.Weighings[i]; w.Date.V == r.Weighings[i-1].Date.V && !w.Trimmed.V {
			r.report(finding.Note, RuleTwice, w.Date.At, fmt.Sprintf("bars were weighed more than once on %s: of each bar the mean is taken", w.Date.V), "if one of the two was wrong, withdraw it with an event")
		}
	}
}

// left sees whether the last weighing was of all bars that are left: then these speak for
// themselves, and those that were set aside or sold do not count.
func (r *recordReader) left() {
	last := r.Weighings[len(r.Weighings)-1]
	if r.basis.Left == 0 || len(last.Bars) < r.basis.Left {
		return
	}
	there := func(b formula.MarkedBar) bool {
		return slices.ContainsFunc(last.Bars, func(l formula.MarkedBar) bool { return l.Mark == b.Mark })
	}
	gone := map[string]bool{}
	var kept []formula.Weighing
	for _, w := range r.Weighings {
		bars := slices.Clone(w.Bars)
		for _, b := range bars {
			if !there(b) {
				gone[b.Mark] = true
			}
		}
		if w.Bars = slices.DeleteFunc(bars, func(b formula.MarkedBar) bool { return !there(b) }); len(w.Bars) > 0 {
			kept = append(kept, w)
		}
	}
	r.counted = len(last.Bars)
	if len(gone) > 0 {
		r.Weighings = kept
		r.report(finding.Note, RuleLeft, last.Date.At, fmt.Sprintf("all %d bars that are left were weighed on %s: the weights of %s, which are not among them, are left out", len(last.Bars), last.Date.V, strings.Join(slices.Sorted(maps.Keys(gone)), ", ")), "")
	}
}

// tied reports whether each weighing has a bar that was weighed before, under its mark, and
// tells of the first that has none.
func (r *recordReader) tied() bool {
	seen := map[string]bool{}
	for i, w := range r.Weighings {
		known := i == 0
		for _, b := range w.Bars {
			known = known || seen[b.Mark]
			seen[b.Mark] = true
		}
		if !known {
			r.report(finding.Warn, RuleTie, w.Date.At, fmt.Sprintf("none of the bars weighed on %s was weighed before under its mark, so how far the bars have dried cannot be told", w.Date.V), "mark bars, and weigh the same ones each time")
			return false
		}
	}
	return true
}

// packed tells of bars that were weighed when they were wrapped already.
func (r *recordReader) packed() {
	first := r.batch.FirstPacked(r.Cut.Name.V)
	for _, w := range r.Weighings {
		if !first.IsZero() && first.Before(w.Date.V) {
			r.report(finding.Note, RulePacked, w.Date.At, fmt.Sprintf("bars were weighed on %s, after the first of them were wrapped on %s: what counts is the soap without its band", w.Date.V, first), "weigh marked bars that stay unwrapped, or take the band off")
			return
		}
	}
}

// much is by how much the humidity of the air differs before it is worth a word. A
// judgement.
const much = 15 * measure.Percent

// wettestAir is the dampest air in which the water that glycerol draws is still told.
const wettestAir = 95 * measure.Percent

// humidity tells of weighings in air of different dampness, and what that does to a bar:
// glycerol alone holds 18.015/92.094 · h/(1−h) g of water a gram in air of the humidity h
// (Raoult's law, glycerol as an ideal solution; derived).
func (r *recordReader) humidity() {
	var dry, damp *formula.Weighing
	for i := range r.Weighings {
		w := &r.Weighings[i]
		if !w.Humidity.Given() {
			continue
		}
		if dry == nil || w.Humidity.V < dry.Humidity.V {
			dry = w
		}
		if damp == nil || w.Humidity.V > damp.Humidity.V {
			damp = w
		}
	}
	if dry == nil || damp.Humidity.V-dry.Humidity.V < much {
		return
	}
	message := fmt.Sprintf("the air was of %.0f %% on %s and of %.0f %% on %s", dry.Humidity.V.Percent(), dry.Date.V, damp.Humidity.V.Percent(), damp.Date.V)
	if r.basis.Glycerol > 0 && damp.Humidity.V <= wettestAir {
		held := func(h measure.Share) float64 { return h.Fraction() / (1 - h.Fraction()) * 18.015 / 92.094 }
		message += fmt.Sprintf(": at rest the glycerol alone makes a bar heavier by about %.1f %% in the damper air", 100*r.basis.Glycerol*(held(damp.Humidity.V)-held(dry.Humidity.V)))
	}
	r.report(finding.Note, RuleHumid, damp.Humidity.At, message+"; a claim must hold in dry air too", "weigh in air as dry as where the bars are sold")
}

// drying gives the weighings as the estimate takes them.
func (r *recordReader) drying() Drying {
	d := Drying{Size: r.Cut.Size(), Bars: r.counted, Prior: r.basis.Prior}
	d.Water = FreshWater(r.basis.Water, r.Day(r.Weighings[0].Date.V), d.Size)
	for _, w := range r.Weighings {
		one := Weighing{Day: r.Day(w.Date.V), Bars: map[string]measure.Mass{}, Trimmed: w.Trimmed.V}
		for _, b := range w.Bars {
			if b.Weight.Given() {
				one.Bars[b.Mark] = b.Weight.V
			}
		}
		d.Weighings = append(d.Weighings, one)
		r.Step = max(r.Step, r.basis.Scales[w.Scale.V].V)
	}
	r.Step = max(r.Step, StepSeen(d.Weighings))
	d.Step = r.Step
	return d
}

// longWait is from how many days before the first weighing on too little is known of the
// fresh bar to call it one. A judgement.
const longWait = 5

// vague is from which width on it is said that the water of the fresh bar is hardly known.
// Then it is taken that a bar that can be cut is not more than wettestFresh of water. Both
// are judgement.
const (
	vague        = 0.08
	wettestFresh = 0.5
)

// fewBars are so few that they stand for a batch badly. A judgement.
const fewBars = 3

func (r *recordReader) estimate() {
	if !r.tied() {
		return
	}
	d := r.drying()
	first := r.Weighings[0]
	if spread := r.basis.Water.High - r.basis.Water.Low; spread > vague {
		d.Water.High = min(d.Water.High, wettestFresh)
		r.report(finding.Warn, RuleWater, first.Date.At, fmt.Sprintf("by what is known of its materials %.0f to %.0f %% of the fresh bar was water: what is predicted is as wide as that", 100*r.basis.Water.Low, 100*r.basis.Water.High), "ask the supplier how much water is in what you bought")
	}
	if d.Water.High > 2*driest { // where little is known of it, it is tried down to what stays in any bar
		d.Water.Low = max(d.Water.Low, driest+0.001)
	}
	if d.Water.Low <= driest {
		r.report(finding.Note, RuleWater, first.Date.At, fmt.Sprintf("by the formula %.2g %% of the fresh bar was water on the day of the first weighing: there is too little to dry for anything to be predicted", 100*d.Water.High), "weigh bars on the day they are cut; a bar that holds hardly any water keeps its weight")
		return
	}
	r.Drying = d
	course, err := Estimate(d)
	var little *TooLittle
	switch {
	case err == nil:
		r.Course = course
	case errors.As(err, &little):
		r.Little = little
		last := r.Weighings[len(r.Weighings)-1]
		r.report(finding.Note, RuleLittle, last.Date.At, r.tooLittle(), "weigh the same bars again then")
		return
	default:
		r.slips(err)
		return
	}
	if days := d.Weighings[0].Day; days > longWait {
		r.report(finding.Note, RuleLate, first.Date.At, fmt.Sprintf("the bars were weighed for the first time %g days after they were made: how much water they had left by then is known to %.0f to %.0f %% of the bar only, and so is the course", days, 100*d.Water.Low, 100*d.Water.High), "weigh the next batch on the day it is cut")
	}
	if n := course.Bars().Count; n < fewBars {
		r.report(finding.Note, RuleFew, first.Date.At, fmt.Sprintf("%s for the whole batch: how bars differ is taken from what is usual for bars cut by hand", []string{"one marked bar stands", "two marked bars stand"}[n-1]), "mark and weigh three bars or more, from the middle and the ends of the loaf")
	}
	for _, g := range course.Gained() {
		on := r.Date(g.Day)
		if g.Grams > damp*course.At(g.Day).Mean {
			r.report(finding.Warn, RuleGain, r.at(g.Mark, g.Day), fmt.Sprintf("the bar %q was %.3g g heavier on %s than the time before, which is more than damp air does", g.Mark, g.Grams, on), "look whether it was another bar, or a slip, and write the right weighing in a new entry with corrects:")
			continue
		}
		r.report(finding.Note, RuleGain, r.at(g.Mark, g.Day), fmt.Sprintf("the bar %q was %.3g g heavier on %s than the time before: damp air does that, and the glycerin in soap draws it; the drying goes on", g.Mark, g.Grams, on), "note the humidity beside the weighing, and weigh on a dry day")
	}
}

// tooLittle says what is missing, in days of the calendar.
func (r *recordReader) tooLittle() string {
	l := r.Little
	times := "once more"
	if l.More > 1 {
		times = fmt.Sprintf("%d times more", l.More)
	}
	text := fmt.Sprintf("bars were weighed on %d of at least %d days, over %g of at least %d: weigh them %s, the last time on %s or later", l.Days, FewestDays, l.Span, LeastSpan, times, r.Date(math.Ceil(l.From)))
	if l.Bounds.High > 0 {
		text += fmt.Sprintf("; until then it is only certain that the mean bar will come to rest between %.1f and %.1f g, and then that will be known to about %.1f g", math.Floor(10*l.Bounds.Low)/10, math.Ceil(10*l.Bounds.High)/10, l.Then.High-l.Then.Low)
	}
	return text
}

// slips reports weights that cannot be, each where it stands.
func (r *recordReader) slips(err error) {
	first := map[string]bool{} // marks of which the first weighing is the odd one
	all := []error{err}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		all = joined.Unwrap()
	}
	for _, one := range all {
		var slip *Slip
		if !errors.As(one, &slip) {
			r.report(finding.Warn, RuleWater, r.Weighings[0].Date.At, "the drying cannot be followed: "+one.Error(), "look at the formula and at the size of the cut")
			continue
		}
		if b, on := r.firstOf(slip.Mark); r.meant(b.Weight.V.Grams()) != "" && on != slip.Day {
			if !first[slip.Mark] {
				g := b.Weight.V.Grams()
				r.report(finding.Stop, RuleSlip, b.Weight.At, fmt.Sprintf("bar %q on %s: %.4g g is far from what it weighed later%s", slip.Mark, r.Date(on), g, r.meant(g)),
					"look at the weight, its unit and the mark of the bar, and write the right weighing in a new entry with corrects:")
			}
			first[slip.Mark] = true
			continue
		}
		grams := r.reading(slip.Mark, slip.Day).Weight.V.Grams()
		r.report(finding.Stop, RuleSlip, r.at(slip.Mark, slip.Day), fmt.Sprintf("bar %q on %s: %.4g g is %s%s", slip.Mark, r.Date(slip.Day), grams, slip.Why, r.meant(grams)),
			"look at the weight, its unit and the mark of the bar, and write the right weighing in a new entry with corrects:")
	}
}

// firstOf gives the first reading of a bar, and its day.
func (r *recordReader) firstOf(mark string) (formula.MarkedBar, float64) {
	for _, w := range r.Weighings {
		for _, b := range w.Bars {
			if b.Mark == mark && b.Weight.Given() {
				return b, r.Day(w.Date.V)
			}
		}
	}
	return formula.MarkedBar{}, 0
}

// meant says what a weight may have been meant to be: the other bars are near to it in
// another unit.
func (r *recordReader) meant(grams float64) string {
	var others []float64
	for _, w := range r.Weighings {
		for _, b := range w.Bars {
			if g := b.Weight.V.Grams(); g != grams {
				others = append(others, g)
			}
		}
	}
	if len(others) == 0 {
		return ""
	}
	slices.Sort(others)
	middle := others[len(others)/2]
	ounce := measure.Ounce.Grams()
	near := func(g float64) bool { return g > 0.8*middle && g < 1.25*middle }
	switch {
	case near(grams):
		return ""
	case near(grams * ounce):
		return fmt.Sprintf("; were %.4g oz meant?", grams)
	case near(grams / ounce):
		return fmt.Sprintf("; were %.4g g meant?", grams/ounce)
	case near(grams * 10), near(grams / 10):
		return "; is the decimal point in its place?"
	}
	return ""
}

// at gives where the weight of a bar on a day stands.
func (r *recordReader) at(mark string, on float64) finding.Pos { return r.reading(mark, on).Weight.At }

// reading gives what was read of a bar on a day: of several, of which the mean was taken, the
// one that is furthest from what the bar weighed all in all, in the middle.
func (r *recordReader) reading(mark string, on float64) formula.MarkedBar {
	var all []measure.Mass
	var then []formula.MarkedBar
	for _, w := range r.Weighings {
		for _, b := range w.Bars {
			if b.Mark != mark || !b.Weight.Given() {
				continue
			}
			all = append(all, b.Weight.V)
			if r.Day(w.Date.V) == on {
				then = append(then, b)
			}
		}
	}
	slices.Sort(all)
	middle := all[len(all)/2]
	off := func(b formula.MarkedBar) measure.Mass { return max(b.Weight.V-middle, middle-b.Weight.V) }
	return slices.MaxFunc(then, func(a, b formula.MarkedBar) int { return cmp.Compare(off(a), off(b)) })
}
