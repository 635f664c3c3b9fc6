package cure_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// dried gives what is known of bars that were made on 1 January 2026 and weighed first on
// the next day.
func dried(t tester, d cure.Drying) cure.Dried {
	t.Helper()
	c, err := cure.Estimate(d)
	if err != nil {
		t.Fatalf("%v", err)
	}
	made, _ := day.Parse("2026-01-01")
	return cure.Dried{Made: made, Course: c}
}

// alikeButFor gives weighings on days 1, 8, 15 and 29 of bars that dry to 86 parts in a
// hundred, of these first weights.
func alikeButFor(first ...float64) []cure.Weighing {
	var all []cure.Weighing
	for _, on := range []float64{1, 8, 15, 29} {
		w := cure.Weighing{Day: on, Bars: map[string]measure.Mass{}}
		for i, g := range first {
			w.Bars[string(rune('A'+i))] = grams(g * (0.86 + 0.14*math.Exp2(-math.Pow((on-1)/12, 0.75))))
		}
		all = append(all, w)
	}
	return all
}

// times gives a weight so many times.
func times(n int, g float64) []float64 { return slices.Repeat([]float64{g}, n) }

// stands gives how claims are judged anew on a day: by what is known of the batch, and by
// the marked bars as far as they are the lot.
func stands(d cure.Drying, c *cure.Course, on float64, rules []market.NetRule) func(market.Claim) bool {
	weight, mean, ratios := c.Weight(on), c.At(on).Mean, c.Bars().Ratio
	return func(claim market.Claim) bool {
		return !slices.ContainsFunc(rules, func(rule market.NetRule) bool {
			limit, _ := rule.Limit(claim.Least())
			second, has := rule.Second(claim.Least())
			short, far := 0, 0
			for _, ratio := range ratios {
				bar := measure.MassDown(ratio * mean)
				if bar < claim.Least()-limit {
					short++
				}
				if has && bar < claim.Least()-second.Limit {
					far++
				}
			}
			lot := max(d.Bars, len(ratios))
			accept, _ := rule.Accepted(lot, lot, short)
			return !cure.Holds(claim, weight, rule).Holds() || short > accept || far > second.Accept
		})
	}
}

// drawnDrying draws bars that were weighed on some days, with a bar that gains now and then.
func drawnDrying(t *rapid.T) cure.Drying {
	d := cure.Drying{Water: water, Bars: rapid.SampledFrom([]int{0, 4, 12, 300}).Draw(t, "bars")}
	half, rest := rapid.Float64Range(4, 30).Draw(t, "half"), rapid.Float64Range(0.83, 0.92).Draw(t, "rest")
	first := rapid.SliceOfN(rapid.Float64Range(115, 150), 1, 4).Draw(t, "first")
	first = append(first, times(rapid.SampledFrom([]int{0, 0, 36}).Draw(t, "alike"), first[0]+8)...)
	for _, on := range rapid.SliceOfNDistinct(rapid.SampledFrom([]float64{4, 8, 15, 22, 29, 43}), 2, 4, rapid.ID).Draw(t, "days") {
		d.Weighings = append(d.Weighings, cure.Weighing{Day: on})
	}
	d.Weighings = append(d.Weighings, cure.Weighing{Day: 1}, cure.Weighing{Day: 60})
	for i, w := range d.Weighings {
		air := rapid.SampledFrom([]float64{0, 0, 0, 0.01, 0.025}).Draw(t, "air")
		d.Weighings[i].Bars = map[string]measure.Mass{}
		for j, g := range first {
			kept := rest + (1-rest)*math.Exp2(-(w.Day-1)/half)
			d.Weighings[i].Bars[fmt.Sprint(j)] = grams(math.Round(10*g*(kept+air)) / 10)
		}
	}
	return d
}

func drawnRules(t *rapid.T, all map[string]market.NetRule) []market.NetRule {
	var rules []market.NetRule
	for _, id := range rapid.SliceOfNDistinct(rapid.SampledFrom(ruleIDs), 1, 3, rapid.ID).Draw(t, "rules") {
		rules = append(rules, all[id])
	}
	return rules
}

// A claim holds on each day up to the last one that is named, and not on the day after; and
// what is said of the last day of sale agrees with it.
func TestPromiseHoldsToItsDay(t *testing.T) {
	all := nets(t)
	ended := 0
	rapid.Check(t, func(t *rapid.T) {
		drying := drawnDrying(t)
		d := dried(t, drying)
		rules := drawnRules(t, all)
		form := rapid.SampledFrom([]market.Form{market.USDual, market.Metric}).Draw(t, "form")
		rest, first := d.Course.Weight(math.Inf(1)).Mean, d.Course.Weight(1).Mean
		c, _ := form.Largest(grams(rest+(first-rest)*rapid.Float64Range(-0.3, 1.1).Draw(t, "claim")), market.Writing{})
		last := d.Made.AddDays(rapid.IntRange(0, 400).Draw(t, "last"))
		p := d.Promise(c, last, rules...)

		holds := func(on int) bool { return stands(drying, d.Course, float64(on), rules)(c) }
		days := []int{1, 5, 8, 15, 16, 29, 43, 60, 61, 365, 4000, d.Made.DaysUntil(last)}
		until := 1 << 20
		switch {
		case !p.Ever:
			until = 0
		case !p.ForGood():
			ended++
			until = d.Made.DaysUntil(p.Until)
			days = append(days, until-1, until, until+1)
		}
		for _, on := range days {
			if on = max(on, 1); holds(on) != (on <= until) {
				t.Fatalf("%q on day %d: holds %t, and until day %d: %+v", c.Words, on, holds(on), until, p.Span)
			}
			if date := d.Made.AddDays(on); p.Holds(date) != (on <= until) {
				t.Fatalf("%q: the span %+v says another thing of %s", c.Words, p.Span, date)
			}
		}
		if p.Lasts() != (p.Average && p.Single) {
			t.Fatalf("%q to %s: lasts %t, %+v", c.Words, last, p.Lasts(), p)
		}
		if p.Ever && !p.Read.Ever || p.Read.Ever && !p.Read.ForGood() && (p.ForGood() || p.Read.Until.Before(p.Until)) {
			t.Fatalf("%q: by what was read it holds shorter, %+v than %+v", c.Words, p.Read, p.Span)
		}
		near := d.Course.Batch(d.Day(last)).Mean - c.Least().Grams()
		if math.Abs(p.Spare-near) > 1e-9 {
			t.Fatalf("spare %g g, want %g", p.Spare, near)
		}
	})
	if ended == 0 {
		t.Error("no claim was drawn that ends")
	}
}

// The largest claim holds, is never above the bound that the average is sure to reach, and
// none that is larger holds.
func TestLargestIsTheLargest(t *testing.T) {
	all := nets(t)
	rapid.Check(t, func(t *rapid.T) {
		drying := drawnDrying(t)
		c := dried(t, drying).Course
		rules := drawnRules(t, all)
		form := rapid.SampledFrom([]market.Form{market.USDual, market.Metric}).Draw(t, "form")
		writing := market.Writing{Ounces: rapid.SampledFrom([]market.Fineness{market.Hundredths, market.Tenths, market.Quarters}).Draw(t, "ounces")}
		on := rapid.Float64Range(0, 400).Draw(t, "day")
		holds := stands(drying, c, on, rules)
		bound := c.Weight(on).Mean
		got, ok := c.Largest(form, writing, on, rules...)
		if ok && (!holds(got) || got.Least().Grams() > bound) {
			t.Fatalf("%q does not hold of bars that are sure to reach %g g", got.Words, bound)
		}
		// All that can be printed up to the bound and a little beyond it.
		for m := grams(bound + 3); ; {
			next, printed := form.Largest(m, writing)
			if !printed || ok && next.Least() <= got.Least() {
				break
			}
			if holds(next) {
				t.Fatalf("%q holds and is larger than %q", next.Words, got.Words)
			}
			m = next.Least() - measure.Nanogram
		}
	})
}

// Where bars differ widely, what a single one may lack binds, and not the average: twelve
// of 130 g keep 111.8 g, whichever way they differ.
func TestUnevenBarsClaimLess(t *testing.T) {
	rule := nets(t)["EU-LOT-01"]
	even := dried(t, cure.Drying{Weighings: alikeButFor(times(12, 130)...), Water: water, Bars: 12})
	uneven := dried(t, cure.Drying{Weighings: alikeButFor(append(times(6, 115), times(6, 145)...)...), Water: water, Bars: 12})
	const on = 180
	all, ok := even.Course.Largest(market.Metric, market.Writing{}, on, rule)
	less, alsoOK := uneven.Course.Largest(market.Metric, market.Writing{}, on, rule)
	near(t, "bound", uneven.Course.Weight(on).Mean, even.Course.Weight(on).Mean, 0.1)
	if !ok || !alsoOK || all.Least().Grams() < even.Course.Weight(on).Mean-1 {
		t.Errorf("bars that are even are worth %q", all.Words)
	}
	if less.Least() > all.Least()-5*measure.Gram {
		t.Errorf("bars that differ by 30 g are worth %q, and even ones %q", less.Words, all.Words)
	}
	p := uneven.Promise(all, uneven.Made.AddDays(on), rule)
	if !p.Average || p.Single || p.Lasts() || p.Beyond < 0.1 || p.Lacking != 6 {
		t.Errorf("%+v", p)
	}
	if p := even.Promise(all, even.Made.AddDays(on), rule); !p.Lasts() || p.Lacking != 0 {
		t.Errorf("%+v", p)
	}
}

// Of 99 bars one may lack more than the limit, of 41 none, and of no number may one lack
// twice as much (Directive 76/211/EEC Annex I 1.2 and 1.3; German FPackV Annex 3 for the 2 %):
// by the curve there would be hardly any, but one was weighed.
func TestBarThatIsKnownToBeShort(t *testing.T) {
	rule, c := nets(t)["EU-LOT-01"], claim(t, market.Metric, "115 g")
	for _, tt := range []struct {
		light float64 // g when it was cut
		bars  int
		want  bool
	}{
		{119, 41, false}, {119, 99, true}, {112, 99, false},
	} {
		d := dried(t, cure.Drying{Weighings: alikeButFor(append(times(40, 130), tt.light)...), Water: water, Bars: tt.bars})
		if h := cure.Holds(c, d.Course.Weight(20), rule); !h.Holds() {
			t.Fatalf("%+v", h)
		}
		if p := d.Promise(c, d.Made.AddDays(20), rule); p.Lacking != 1 || !p.Average || p.Single != tt.want || p.Lasts() != tt.want {
			t.Errorf("one of %g g among %d bars: %+v", tt.light, tt.bars, p)
		}
	}
}

func TestSpan(t *testing.T) {
	on, _ := day.Parse("2026-06-01")
	for _, tt := range []struct {
		span                  cure.Span
		before, on, after, ok bool
	}{
		{cure.Span{}, false, false, false, false},
		{cure.Span{Ever: true, Until: on}, true, true, false, false},
		{cure.Span{Ever: true}, true, true, true, true},
	} {
		if s := tt.span; s.Holds(on.AddDays(-1)) != tt.before || s.Holds(on) != tt.on || s.Holds(on.AddDays(1)) != tt.after || s.ForGood() != tt.ok {
			t.Errorf("%+v", s)
		}
	}
}

// Australia judges in two ways, of which the maker may choose the second.
func TestRules(t *testing.T) {
	on, _ := day.Parse("2026-11-28")
	var laws []*market.Law
	for _, id := range market.IDs() {
		law, err := market.On(id, on)
		if err != nil {
			t.Fatal(err)
		}
		laws = append(laws, law)
	}
	for _, tt := range []struct {
		chosen map[string]formula.Text
		want   string
	}{
		{nil, "AU-LOT-01"},
		{map[string]formula.Text{"au": {V: "AU-LOT-02"}}, "AU-LOT-02"},
		{map[string]formula.Text{"au": {V: "AU-LOT-01"}}, "AU-LOT-01"},
		{map[string]formula.Text{"au": {V: "NZ-LOT-01"}}, "AU-LOT-01"},
		{map[string]formula.Text{"nz": {V: "AU-LOT-02"}}, "AU-LOT-01"},
	} {
		places := map[string]int{}
		var ids []string
		for _, law := range laws {
			for _, n := range cure.Rules(law, tt.chosen) {
				if !slices.Contains(ids, n.ID) {
					ids = append(ids, n.ID)
					places[n.Place]++
				}
			}
		}
		slices.Sort(ids)
		if got := strings.Join(ids, " "); got != tt.want+" CA-LOT-01 EU-LOT-01 NZ-LOT-01 UK-LOT-01 US-LOT-01" {
			t.Errorf("chosen %v: %s", tt.chosen, got)
		}
		for place, n := range places {
			if n != 1 {
				t.Errorf("%s is judged in %d ways", place, n)
			}
		}
	}
}

// Bars that are drawn from N without putting them back stand for the mean of all with the
// variance σ²·(1/n − 1/N) (any text on sampling); where all were weighed nothing is left.
func TestBatchOfKnownNumber(t *testing.T) {
	weighings := alikeButFor(126, 130, 134)
	square := func(v float64) float64 { return v * v }
	of := func(bars int) (cure.Prediction, float64) {
		c := course(t, cure.Drying{Weighings: weighings, Water: water, Bars: bars})
		p := c.Batch(60)
		// What a claim is held against is of the batch, too.
		near(t, "bound", c.Weight(60).Mean, p.OneSided, 1e-9)
		near(t, "spread between bars", c.Weight(60).Spread, c.Bars().Spread*p.Mean, 1e-9)
		return p, square(c.Bars().Spread * p.Mean)
	}
	marked, variance := of(3)
	for bars, part := range map[int]float64{0: 1.0 / 3, 2: 0, 3: 0, 4: 1.0/3 - 1.0/4, 20: 1.0/3 - 1.0/20, 1000: 1.0/3 - 1.0/1000} {
		got, _ := of(bars)
		near(t, fmt.Sprintf("variance of the mean of %d bars", bars), square(got.SD), square(marked.SD)+part*variance, 2e-3*variance)
		near(t, fmt.Sprintf("mean of %d bars", bars), got.Mean, marked.Mean, 1e-9)
	}
}
