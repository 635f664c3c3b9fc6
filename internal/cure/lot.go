package cure

import (
	"fmt"
	"math"
	"slices"

	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// The rule ids of the test of a lot.
const (
	RuleSample  = "CURE-SAMPLE"  // too few bars were weighed to judge a lot
	RuleAverage = "CURE-AVERAGE" // the average lacks something that the law forgives a sample
)

// A Verdict is what comes out of the test of a lot.
type Verdict string

// The verdicts.
const (
	Pass   Verdict = "pass"
	Fail   Verdict = "fail"
	TooFew Verdict = "too-few" // bars were weighed for the law to say anything
)

// A Lot is bars that are sold under one claim.
type Lot struct {
	Size int            // all bars of it; no fewer than those weighed
	Bars []measure.Mass // net weights of those that were weighed, together less than 9,000 t
}

// A LotTest is a lot held against a claim and the law of a market.
type LotTest struct {
	Rule    market.NetRule
	Verdict Verdict // of the law
	Own     Verdict // of the stricter rule of the house: the average reaches the claim with no credit for drawing a sample
	Nominal measure.Mass
	Lot     int
	Weighed int
	Wanted  int // bars to weigh in all

	Mean     float64 // grams
	Spread   float64 // standard deviation between the bars weighed, in grams; 0 for fewer than two
	Factor   float64 // so many spreads the average may lack
	Reaches  bool    // the average reaches the claim, with no credit
	Averages bool    // it does with the credit of the law, or is not judged

	Limit        measure.Mass // what one bar may lack
	Beyond       int          // bars that lack more
	Accept       int          // bars that may
	HasSecond    bool         // the law has a second limit
	Second       measure.Mass
	BeyondSecond int
	AcceptSecond int

	AverageKnown market.Known // how that which the average is judged by is known
	SingleKnown  market.Known // and the single bar by the limit
	SecondKnown  market.Known // and by the second one
}

// TestLot judges a lot of at least one bar by those that were weighed. More than the
// plan wants are judged all together. What fails with the bars that were weighed fails,
// however few they are, where more bars could only make it worse.
//
// Sources: those of the rule; NIST Handbook 133, 2.3 (the average error may lack the
// factor times the standard deviation, n-1; from memory); Directive 76/211/EEC Annex II
// 2.3 (the same form).
func TestLot(lot Lot, claim market.Claim, rule market.NetRule) LotTest {
	t := LotTest{Rule: rule, Nominal: claim.Least(), Weighed: len(lot.Bars)}
	t.Lot = max(lot.Size, t.Weighed, 1)
	plan := rule.Plan(t.Lot)
	t.Wanted = plan.Sample
	judged := t.single(lot.Bars, plan)
	t.average(lot.Bars, plan)
	second := t.BeyondSecond > t.AcceptSecond
	switch {
	case second, judged && t.Beyond > t.Accept, t.Weighed >= plan.Sample && !t.Averages:
		t.Verdict = Fail
	case !judged || t.Weighed < plan.Sample:
		t.Verdict = TooFew
		if t.Weighed >= plan.Sample {
			t.Wanted = plan.Again
		}
	default:
		t.Verdict = Pass
	}
	t.Own = t.Verdict
	if t.Verdict == Pass && !t.Reaches {
		t.Own = Fail
	}
	return t
}

// single counts the bars that lack too much, and reports whether that decides.
func (t *LotTest) single(bars []measure.Mass, plan market.Plan) bool {
	limit, known := t.Rule.Limit(t.Nominal)
	t.Limit, t.SingleKnown = limit, market.Weaker(market.Weaker(t.Rule.Known, known), plan.Known)
	second, has := t.Rule.Second(t.Nominal)
	t.HasSecond = has
	if has {
		t.Second, t.AcceptSecond, t.SecondKnown = second.Limit, second.Accept, market.Weaker(t.Rule.Known, second.Known)
	}
	for _, bar := range bars {
		if bar < t.Nominal-t.Limit {
			t.Beyond++
		}
		if has && bar < t.Nominal-t.Second {
			t.BeyondSecond++
		}
	}
	var decided bool
	t.Accept, decided = t.Rule.Accepted(t.Lot, t.Weighed, t.Beyond)
	return decided
}

// average holds the average of the bars against the claim: exactly where it needs no
// credit.
func (t *LotTest) average(bars []measure.Mass, plan market.Plan) {
	if t.Weighed == 0 {
		t.AverageKnown = t.Rule.Known
		return
	}
	var over measure.Mass // of all bars together, over the claim
	for _, bar := range bars {
		over += bar - t.Nominal
	}
	n := float64(t.Weighed)
	t.Mean = t.Nominal.Grams() + over.Grams()/n
	if t.Weighed > 1 {
		var squares float64
		for _, bar := range bars {
			off := (bar - t.Nominal).Grams() - over.Grams()/n
			squares += off * off
		}
		t.Spread = math.Sqrt(squares / (n - 1))
	}
	t.Factor = t.Rule.Credit(t.Lot, t.Weighed)
	t.Reaches = over >= 0
	t.Averages = t.Reaches || !plan.Average || over.Grams()/n+t.Factor*t.Spread >= 0
	t.AverageKnown = t.Rule.Known
	if t.Factor > 0 || t.Weighed < t.Lot {
		t.AverageKnown = market.Weaker(t.AverageKnown, plan.Known)
	}
}

// SetAside gives the places of the bars to take out of a lot for the rest to pass, by
// the stricter rule of the house too: the lightest ones, and no more than must be. It is
// false where not all bars were weighed, so that a rest is not known, and where no rest
// passes.
func SetAside(lot Lot, claim market.Claim, rule market.NetRule) (places []int, ok bool) {
	if lot.Size > len(lot.Bars) {
		return nil, false
	}
	order := make([]int, len(lot.Bars))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(min(max(lot.Bars[a]-lot.Bars[b], -1), 1)) })
	rest := make([]measure.Mass, len(order))
	for i, place := range order {
		rest[i] = lot.Bars[place]
	}
	for out := range order {
		left := Lot{len(rest) - out, rest[out:]}
		if TestLot(left, claim, rule).Own == Pass {
			places = slices.Clone(order[:out])
			slices.Sort(places)
			return places, true
		}
	}
	return nil, false
}

// Findings says what is not right with the lot. What rests on a part of the law that
// was not read warns only, and so does what fails by the rule of the house alone.
func (t LotTest) Findings(at finding.Pos) []finding.Finding {
	var all []finding.Finding
	fails := func(known market.Known, reason string) {
		rule := t.Rule.Rule
		rule.Known = market.Weaker(rule.Known, known)
		all = append(all, rule.Finding(at, reason))
	}
	if t.BeyondSecond > t.AcceptSecond {
		fails(t.SecondKnown, fmt.Sprintf("%d of %d bars %s more than %s of %s, and %d may", t.BeyondSecond, t.Weighed, lacks(t.BeyondSecond), grams(t.Second), grams(t.Nominal), t.AcceptSecond))
	}
	if t.Beyond > t.Accept {
		fails(t.SingleKnown, fmt.Sprintf("%d of %d bars %s more than %s of %s, and %d may", t.Beyond, t.Weighed, lacks(t.Beyond), grams(t.Limit), grams(t.Nominal), t.Accept))
	}
	average := fmt.Sprintf("the average of the bars weighed (%d) is %.2f g, and %s is claimed", t.Weighed, math.Floor(t.Mean*100)/100, grams(t.Nominal))
	switch {
	case t.Verdict == Fail && t.Weighed >= t.Wanted && !t.Averages:
		fails(t.AverageKnown, average)
	case t.Weighed > 0 && !t.Reaches:
		all = append(all, finding.Finding{
			Level: finding.Warn, Rule: RuleAverage, At: at, Market: t.Rule.Market, Message: average + ": what the law forgives a sample is no leave to claim it",
			Remedy: "take the lightest bars out of the lot, or print a smaller net weight",
		})
	}
	if t.Verdict == TooFew {
		all = append(all, finding.Finding{
			Level: finding.Warn, Rule: RuleSample, At: at, Cite: t.Rule.Plans.Cite, Market: t.Rule.Market,
			Message: fmt.Sprintf("%d of %d bars are weighed, and the law of %q judges such a lot by %d", t.Weighed, t.Lot, t.Rule.Place, t.Wanted),
			Remedy:  fmt.Sprintf("weigh %d bars more, drawn at random", t.Wanted-t.Weighed),
		})
	}
	return all
}

func lacks(bars int) string {
	if bars == 1 {
		return "lacks"
	}
	return "lack"
}

// grams writes a mass in five figures.
func grams(m measure.Mass) string { return fmt.Sprintf("%.5g g", m.Grams()) }
