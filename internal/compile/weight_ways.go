package compile

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// failing is the finding that the bars do not keep what is claimed.
func (w *weigher) failing(a *WeightAnswer, p cure.Promise) finding.Finding {
	f := finding.Finding{
		Level: finding.Warn, Rule: label.RuleLasting, At: w.cut.Claim.At, Market: w.law.Market, Cite: p.By.Cite,
		Message: fmt.Sprintf("the net weight %q does not hold until %s, when the last bars of this batch are sold: it holds until %s", p.Claim.Words, p.Last, p.Until),
		Remedy:  strings.Join(a.Ways, "; or "),
	}
	if p.Ever && p.Holds(w.law.On) {
		return f
	}
	f.Rule, f.Message = label.RuleOver, fmt.Sprintf("the net weight %q does not hold on %s", p.Claim.Words, w.law.On)
	if p.Ever {
		f.Message += fmt.Sprintf(": it did until %s", p.Until)
	}
	if !p.Read.Holds(w.law.On) {
		f.Level = finding.Stop
	} else {
		f.Message += " (by limits of the law that are recalled and not confirmed)"
	}
	return f
}

// setAside gives the marks of the bars without which the rest keeps the claim, where all
// bars were weighed last: the lightest ones, and no more than must be. The rest is to pass
// as it was weighed, and by the same prediction as all of them.
func (w *weigher) setAside(a *WeightAnswer, claim market.Claim) []string {
	last, ok := a.dried.Last()
	if !ok || len(last.Bars) < w.lot() {
		return []string{}
	}
	bars := slices.Clone(last.Bars)
	slices.SortStableFunc(bars, func(a, b formula.MarkedBar) int { return cmp.Compare(a.Weight.V, b.Weight.V) })
	_, kept := a.dried.Course.Kept(a.dried.Course.LastDay(), a.dried.Day(w.last))
	lot := cure.Lot{Size: len(bars)}
	marks := []string{}
	for _, b := range bars {
		lot.Bars = append(lot.Bars, measure.MassDown(b.Weight.V.Grams()*kept))
		marks = append(marks, b.Mark)
	}
	fewest := 1
	for _, r := range w.rules {
		places, ok := cure.SetAside(lot, claim, r)
		if !ok {
			return []string{}
		}
		fewest = max(fewest, len(places))
	}
	for out := fewest; out < len(bars); out++ {
		if rest, ok := without(a.dried, marks[:out]); ok && rest.Promise(claim, w.last, w.rules...).Lasts() {
			slices.Sort(marks[:out])
			return marks[:out]
		}
	}
	return []string{}
}

// without gives the drying without some of the bars, and false where the others tell nothing.
func without(d cure.Dried, marks []string) (cure.Dried, bool) {
	d.Drying.Bars = max(0, d.Drying.Bars-len(marks))
	all := d.Drying.Weighings
	d.Drying.Weighings = nil
	for _, w := range all {
		w.Bars = maps.Clone(w.Bars)
		maps.DeleteFunc(w.Bars, func(mark string, _ measure.Mass) bool { return slices.Contains(marks, mark) })
		if len(w.Bars) > 0 {
			d.Drying.Weighings = append(d.Drying.Weighings, w)
		}
	}
	course, err := cure.Estimate(d.Drying)
	d.Course = course
	return d, err == nil
}

// nextWeighing is how many days after the last weighing the next one tells enough to be
// worth the while. A judgement.
const nextWeighing = 14

// mostWeighed is how many bars somebody would weigh one by one. A judgement.
const mostWeighed = 100

// An AgainAnswer is what one more weighing makes sure of, if the bars go on to dry as they
// are expected to. Its JSON form is a contract.
type AgainAnswer struct {
	Date  day.Day     `json:"date"`
	Bars  int         `json:"bars"`
	Claim ClaimAnswer `json:"claim"` // the largest to the last day of sale

	least measure.Mass
	what  string
}

// again finds out what one more weighing would win, of all bars if they are not too many.
// It is nil where it wins nothing.
func (w *weigher) again(a *WeightAnswer) *AgainAnswer {
	on := w.law.On
	if due := a.dried.Date(a.dried.Course.LastDay()).AddDays(nextWeighing); on.Before(due) {
		on = due
	}
	last, _ := a.dried.Last()
	bars, what := len(last.Bars), "the same bars"
	if lot := w.lot(); lot > bars && lot <= mostWeighed {
		bars, what = lot, fmt.Sprintf("all %d bars", lot)
	}
	course, ok := a.dried.Again(a.dried.Day(on), bars)
	if !ok || !on.Before(w.last) {
		return nil
	}
	end := a.dried.Day(w.last)
	now, had := a.dried.Course.Largest(w.form, w.writing, end, w.rules...)
	then, ok := course.Largest(w.form, w.writing, end, w.rules...)
	if !ok || had && then.Least() <= now.Least() {
		return nil
	}
	return &AgainAnswer{on, bars, claimAnswer(then), then.Least(), what}
}

// heavier is by how many standard deviations the heaviest bars of a batch lie above their
// mean: of forty bars one does. A judgement.
const heavier = 2

// someMay reports whether there may be bars at all that weigh on average what it takes.
func (w *weigher) someMay(a *WeightAnswer) bool {
	course := a.dried.Course
	return course.At(a.dried.Day(*a.Now.Date)).Mean*(1+heavier*course.Bars().Spread) >= a.Now.Average
}

// waysOut says what can be done with bars that do not keep the claim.
func (w *weigher) waysOut(a *WeightAnswer, p cure.Promise) {
	if len(a.SetAside) > 0 {
		bars := "bar "
		if len(a.SetAside) > 1 {
			bars = "bars "
		}
		a.Ways = append(a.Ways, "set the "+bars+strings.Join(a.SetAside, ", ")+" aside: the rest keeps it")
	} else if a.Now != nil && a.Weighed < w.lot() && w.someMay(a) {
		a.Ways = append(a.Ways, fmt.Sprintf("weigh every bar, and sell under this claim only such as weigh %s g or more on %s, and %s g on average", gramsUp(a.Now.Each), a.Now.Date, gramsUp(a.Now.Average)))
	}
	if largest, ok := a.dried.Course.Largest(w.form, w.writing, a.dried.Day(w.last), w.rules...); ok && largest.Words != p.Claim.Words {
		way := fmt.Sprintf("print %q on this batch, which holds until %s", largest.Words, w.last)
		if w.cut.GTIN.Given() {
			way += "; another net content needs another GTIN (GS1 rules, from memory)"
		}
		a.Ways = append(a.Ways, way)
	}
	if p.Holds(w.law.On) {
		a.Ways = append(a.Ways, fmt.Sprintf("sell the last of them by %s", p.Until))
	}
	if n := a.Again; n != nil {
		sure := fmt.Sprintf("%q will be sure", n.Claim.Text)
		if n.least >= p.Claim.Least() {
			sure = fmt.Sprintf("%q will be sure after all", p.Claim.Words)
		}
		a.Ways = append(a.Ways, fmt.Sprintf("weigh %s on %s: if they dry as expected, %s", n.what, n.Date, sure))
	}
	if len(a.Ways) == 0 {
		a.Ways = append(a.Ways, "weigh the bars again: no claim can be relied on yet")
	}
}
