package compile

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// failing is the finding that the bars do not keep what is claimed.
func (w *weigher) failing(a *WeightAnswer, p cure.Promise) finding.Finding {
	f := finding.Finding{
		Level: finding.Warn, Rule: label.RuleLasting, At: w.cut.Claim.At, Market: w.law.Market, Cite: w.rules[0].Cite,
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
// bars were weighed last.
func (w *weigher) setAside(a *WeightAnswer, claim market.Claim) []string {
	last, ok := a.dried.Last()
	if !ok || len(last.Bars) < w.lot() {
		return []string{}
	}
	_, kept := a.dried.Course.Kept(a.dried.Course.LastDay(), a.dried.Day(w.last))
	var marks []string
	for _, r := range w.rules {
		var lot cure.Lot
		for _, b := range last.Bars {
			lot.Bars = append(lot.Bars, measure.MassDown(b.Weight.V.Grams()*kept))
		}
		lot.Size = len(lot.Bars)
		places, ok := cure.SetAside(lot, claim, r)
		if !ok {
			return []string{}
		}
		for _, i := range places {
			if mark := last.Bars[i].Mark; !slices.Contains(marks, mark) {
				marks = append(marks, mark)
			}
		}
	}
	return append([]string{}, marks...)
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

// waysOut says what can be done with bars that do not keep the claim.
func (w *weigher) waysOut(a *WeightAnswer, p cure.Promise) {
	if len(a.SetAside) > 0 {
		a.Ways = append(a.Ways, "set the bars "+strings.Join(a.SetAside, ", ")+" aside: the rest keeps it")
	} else if a.Now != nil && a.Weighed < w.lot() {
		a.Ways = append(a.Ways, fmt.Sprintf("weigh every bar, and sell under this claim only such as weigh %.4g g or more on %s, and %.4g g on average", a.Now.Each, a.Now.Date, a.Now.Average))
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
