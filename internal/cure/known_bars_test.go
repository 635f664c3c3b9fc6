package cure_test

import (
	"fmt"
	"strings"
	"testing"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// dayOf gives the day of a text.
func dayOf(t testing.TB, text string) day.Day {
	t.Helper()
	d, err := day.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// loaf is the cut of these records.
func loaf() formula.Cut {
	cut := formula.Cut{}
	cut.Name.V = "bar"
	cut.Length.V, cut.Width.V, cut.Height.V = 85*measure.Millimetre, 55*measure.Millimetre, 25*measure.Millimetre
	return cut
}

// record reads a batch with weighings, a line each, and follows it.
func record(t testing.TB, basis cure.Basis, weighings ...string) cure.Dried {
	t.Helper()
	text := "code: 26152-01\nformula: plain\nmakes: bars\nmade: 2026-06-01\nweighings:\n"
	for _, w := range weighings {
		text += "  - {" + w + "}\n"
	}
	b, found, err := formula.ReadBatch("batches/26152-01.yaml", []byte(text))
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(err, found)
	}
	basis.Water = measure.Exactly(0.2)
	return cure.Read(b, []formula.Cut{loaf()}, loaf(), basis)
}

// keeps gives weighings of bars on days 1, 8, 15 and 29 that lose so much of their weight.
func keeps(first ...float64) []string {
	var all []string
	for i, kept := range []float64{1, 0.955, 0.935, 0.915} {
		var bars []string
		for k, g := range first {
			bars = append(bars, fmt.Sprintf("b%d: %.1f g", k, g*kept))
		}
		all = append(all, fmt.Sprintf("date: %s, cut: bar, bars: {%s}", []string{"2026-06-02", "2026-06-09", "2026-06-16", "2026-06-30"}[i], strings.Join(bars, ", ")))
	}
	return all
}

func rules(t testing.TB, ids ...string) []market.NetRule {
	var all []market.NetRule
	for _, id := range ids {
		all = append(all, nets(t)[id])
	}
	return all
}

// One bar in forty that was weighed and is far too light is no accident of the normal
// curve: of 40 bars none may lack more than twice the tolerable negative error, and of
// fewer than 50 none more than once (2 % of them; Directive 76/211/EEC Annex I and German
// FPackV Annex 3 no. 6(a)).
func TestKnownShortBarCounts(t *testing.T) {
	even := make([]float64, 40)
	for i := range even {
		even[i] = 140 + 0.2*float64(i%5)
	}
	claimed := claim(t, market.Metric, "113 g")
	last := dayOf(t, "2027-06-01")
	d := record(t, cure.Basis{Bars: 40, Left: 40}, keeps(even...)...)
	if p := d.Promise(claimed, last, rules(t, "EU-LOT-01")...); !p.Lasts() || p.Lacking != 0 {
		t.Fatalf("bars that are all alike: %+v", p)
	}
	even[7] = 115
	d = record(t, cure.Basis{Bars: 40, Left: 40}, keeps(even...)...)
	p := d.Promise(claimed, last, rules(t, "EU-LOT-01")...)
	if p.Lasts() || !p.Average || p.Single || p.Lacking != 1 {
		t.Errorf("one bar of 40 is far too light: %+v", p)
	}
	// Of several laws the one that is broken is named: Canada lets one bar of forty lack more
	// than the tolerance, and twice it (CPLR s. 39(4)).
	if p := d.Promise(claimed, last, rules(t, "CA-LOT-01")...); !p.Lasts() {
		t.Errorf("in Canada: %+v", p)
	}
	if p := d.Promise(claimed, last, rules(t, "CA-LOT-01", "EU-LOT-01")...); p.By.ID != "EU-LOT-01" {
		t.Errorf("broken is %s", p.By.ID)
	}
	largest, ok := d.Course.Largest(market.Metric, market.Writing{}, d.Day(last), rules(t, "EU-LOT-01")...)
	bar := d.Course.At(d.Day(last)).Mean * d.Course.Bars().Ratio["b7"]
	if limit, _ := nets(t)["EU-LOT-01"].Limit(largest.Least()); !ok || bar < (largest.Least()-limit).Grams() {
		t.Errorf("%q is the largest claim, and one bar weighs %.1f g", largest.Words, bar)
	}
}

// When all bars that are left were weighed, those that were set aside count no more.
func TestBarsThatAreLeft(t *testing.T) {
	weighings := keeps(140, 140.6, 139.4, 115)
	d := record(t, cure.Basis{Bars: 4, Left: 4}, weighings...)
	claimed, last := claim(t, market.Metric, "113 g"), dayOf(t, "2027-06-01")
	if p := d.Promise(claimed, last, rules(t, "EU-LOT-01")...); p.Lasts() {
		t.Fatalf("a bar of 115 g when it was cut: %+v", p)
	}
	weighings[3] = strings.Replace(weighings[3], fmt.Sprintf(", b3: %.1f g", 115*0.915), "", 1)
	d = record(t, cure.Basis{Bars: 4, Left: 3}, weighings...)
	p := d.Promise(claimed, last, rules(t, "EU-LOT-01")...)
	if !p.Lasts() || d.Course.Bars().Count != 3 || !has(d.Findings, cure.RuleLeft, "the weights of b3") {
		t.Errorf("the light bar is gone: %+v, %v", p, d.Findings)
	}
	// As long as more are left than were weighed, nobody knows which.
	d = record(t, cure.Basis{Bars: 4, Left: 4}, weighings...)
	if d.Course.Bars().Count != 4 || has(d.Findings, cure.RuleLeft, "") {
		t.Errorf("a bar that was not weighed last is forgotten: %v", d.Findings)
	}
}

// has reports whether something is found by a rule, with these words.
func has(found []finding.Finding, rule, words string) bool {
	for _, f := range found {
		if f.Rule == rule && strings.Contains(f.Message, words) {
			return true
		}
	}
	return false
}

// Bars under marks that were not weighed before tell nothing of how far those before have
// dried: neither that they are heavier.
func TestNewMarks(t *testing.T) {
	d := record(t, cure.Basis{Bars: 10, Left: 10},
		"date: 2026-06-02, cut: bar, bars: {a: 120 g, b: 121 g}", "date: 2026-06-09, cut: bar, bars: {a: 114 g, b: 115 g}",
		"date: 2026-06-16, cut: bar, bars: {c: 150 g}", "date: 2026-06-30, cut: bar, bars: {c: 148 g}")
	if d.Course != nil || !has(d.Findings, cure.RuleTie, "none of the bars weighed on 2026-06-16") {
		t.Errorf("%v", d.Findings)
	}
	if len(d.Weighings) != 4 {
		t.Errorf("%d weighings are shown, of 4", len(d.Weighings))
	}
}

// What is weighed after the day that is asked for tells nothing, with a word.
func TestWeighingsToCome(t *testing.T) {
	all := keeps(140, 140.6, 139.4)
	d := record(t, cure.Basis{On: dayOf(t, "2026-06-29")}, all...)
	if len(d.Weighings) != 3 || !has(d.Findings, cure.RuleAhead, "2026-06-30") {
		t.Errorf("%d weighings, %v", len(d.Weighings), d.Findings)
	}
	d = record(t, cure.Basis{On: dayOf(t, "2026-06-30")}, all...)
	if len(d.Weighings) != 4 || has(d.Findings, cure.RuleAhead, "") {
		t.Errorf("%d weighings, %v", len(d.Weighings), d.Findings)
	}
}

// A bar that became heavier by more than the 3 % that damp air does is more than odd.
func TestGainBeyondDampAir(t *testing.T) {
	for gained, level := range map[float64]finding.Level{2: finding.Note, 6: finding.Warn} {
		all := keeps(140, 140.6, 139.4)
		all[3] = fmt.Sprintf("date: 2026-06-30, cut: bar, bars: {b0: %.1f g, b1: 130.8 g, b2: 129.6 g}", 140*0.935+gained)
		d := record(t, cure.Basis{}, all...)
		i := 0
		for i < len(d.Findings) && d.Findings[i].Rule != cure.RuleGain {
			i++
		}
		if i == len(d.Findings) || d.Findings[i].Level != level {
			t.Errorf("%g g more: %v", gained, d.Findings)
		}
	}
}

// By a limit that was read a claim is broken, though the second limit of the same law is
// recalled: that of New Zealand (Weights and Measures Regulations 1999, Schedule 7A).
func TestReadLimitBreaks(t *testing.T) {
	d := record(t, cure.Basis{Bars: 10, Left: 10}, keeps(119, 141, 119, 141, 119, 141, 119, 141, 119, 141)...)
	p := d.Promise(claim(t, market.Metric, "113 g"), dayOf(t, "2027-06-01"), rules(t, "NZ-LOT-01")...)
	if p.Read.Holds(dayOf(t, "2027-06-01")) || p.Lasts() {
		t.Errorf("half of the bars lack more than may: %+v", p)
	}
	// In the United States the limit of 5 oz is recalled: it alone breaks nothing.
	d = record(t, cure.Basis{Bars: 10, Left: 10}, keeps(190, 152, 190, 190, 190, 190, 190, 190, 190, 190)...)
	p = d.Promise(claim(t, market.USDual, "5 oz"), dayOf(t, "2027-06-01"), rules(t, "US-LOT-01")...)
	if !p.Average || p.Lasts() || !p.Read.Holds(dayOf(t, "2027-06-01")) {
		t.Errorf("one bar is short by a limit that is recalled: %+v", p)
	}
}

// What evaporates leaves like water: where it is not known whether it does, the dry mass is
// that without it.
func TestFreshWaterIsARange(t *testing.T) {
	one, wide := cure.FreshWater(measure.Exactly(0.2), 1, size), cure.FreshWater(measure.Range{Low: 0.15, High: 0.26}, 1, size)
	if !(wide.Low < one.Low && wide.High > one.High) {
		t.Errorf("%v is not wider than %v", wide, one)
	}
}

// Where the first weighing was written in the wrong unit, it is the one that is blamed, and
// not all that come after it.
func TestFirstWeighingInTheWrongUnit(t *testing.T) {
	all := keeps(140, 140.6, 139.4)
	all[0] = "date: 2026-06-02, cut: bar, bars: {b0: 4.94 g, b1: 4.96 g, b2: 4.92 g}"
	d := record(t, cure.Basis{}, all...)
	slips := 0
	for _, f := range d.Findings {
		if f.Rule == cure.RuleSlip {
			slips++
			if f.At.Line != 6 || !strings.Contains(f.Message, "oz meant?") {
				t.Errorf("%s: %s", f.At, f.Message)
			}
		}
	}
	if d.Course != nil || slips != 3 {
		t.Errorf("%d slips: %v", slips, d.Findings)
	}
}

// A weighing of no bar is not passed over in silence.
func TestWeighingOfNoBar(t *testing.T) {
	d := record(t, cure.Basis{}, append(keeps(140, 141, 139), "date: 2026-07-02, cut: bar, bars: {}")...)
	if d.Course == nil || !has(d.Findings, cure.RuleEmpty, "2026-07-02") {
		t.Errorf("%v", d.Findings)
	}
}
