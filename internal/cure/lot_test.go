package cure_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/cure"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// grams gives bars of so many grams, to the milligram.
func masses(all ...float64) []measure.Mass {
	var bars []measure.Mass
	for _, g := range all {
		bars = append(bars, measure.Mass(math.Round(g*1000))*measure.Milligram)
	}
	return bars
}

// alike gives n bars of so many grams.
func alike(n int, g float64) []measure.Mass { return slices.Repeat(masses(g), n) }

// with puts other bars in the place of the first ones.
func with(bars []measure.Mass, others ...float64) []measure.Mass {
	return append(masses(others...), bars[len(others):]...)
}

// spread gives n bars, an even number, of which half weigh so much more and half so much
// less than the mean. Their standard deviation is off·√(n/(n-1)).
func spread(n int, mean, off float64) []measure.Mass {
	return append(alike(n/2, mean-off), alike(n/2, mean+off)...)
}

// The cases follow from the published plans, limits and factors; each names its rule.
func TestLots(t *testing.T) {
	all := nets(t)
	for _, tt := range []struct {
		name         string
		rule         string
		form         market.Form
		typed        string
		lot          cure.Lot
		want, own    cure.Verdict
		beyond       int
		beyondSecond int
		wanted       int
	}{
		// NIST Handbook 133, Table 2-1 (from memory) and Table 2-5 (7.2 g for 113 g, read in
		// its chapter 2). The standard deviation of 12 bars that are 2 g off is 2.089 g, and
		// 0.635 of it 1.326 g.
		{"US, all that is claimed", "US-LOT-01", market.USDual, "4 oz", cure.Lot{40, alike(12, 113.4)}, cure.Pass, cure.Pass, 0, 0, 12},
		{"US, 113 g are less than 4 oz", "US-LOT-01", market.USDual, "4 oz", cure.Lot{40, alike(12, 113)}, cure.Fail, cure.Fail, 0, 0, 12},
		{"US, within the sample error", "US-LOT-01", market.USDual, "113 g", cure.Lot{40, spread(12, 111.68, 2)}, cure.Pass, cure.Fail, 0, 0, 12},
		{"US, beyond the sample error", "US-LOT-01", market.USDual, "113 g", cure.Lot{40, spread(12, 111.67, 2)}, cure.Fail, cure.Fail, 0, 0, 12},
		{"US, one bar at the limit", "US-LOT-01", market.USDual, "113 g", cure.Lot{40, with(alike(12, 115), 105.8)}, cure.Pass, cure.Pass, 0, 0, 12},
		{"US, one bar beyond the limit", "US-LOT-01", market.USDual, "113 g", cure.Lot{40, with(alike(12, 115), 105.799)}, cure.Fail, cure.Fail, 1, 0, 12},
		{"US, too few", "US-LOT-01", market.USDual, "113 g", cure.Lot{40, alike(11, 115)}, cure.TooFew, cure.TooFew, 0, 0, 12},
		{"US, too few, and one beyond the limit", "US-LOT-01", market.USDual, "113 g", cure.Lot{40, with(alike(11, 115), 105)}, cure.Fail, cure.Fail, 1, 0, 12},
		{"US, a single bar has no average", "US-LOT-01", market.USDual, "113 g", cure.Lot{1, masses(112)}, cure.Pass, cure.Fail, 0, 0, 1},
		{"US, one of a large lot may be short", "US-LOT-01", market.USDual, "113 g", cure.Lot{4000, with(alike(48, 115), 100)}, cure.Pass, cure.Pass, 1, 0, 48},
		{"US, no credit for a whole lot", "US-LOT-01", market.USDual, "113 g", cure.Lot{20, spread(20, 112.9, 2)}, cure.Fail, cure.Fail, 0, 0, 12},

		// Directive 76/211/EEC: 5.1 g for 113 g, none below 102.8 g. In a lot below 100 the
		// plain mean of all (French order of 20 October 1978 art. 10.2), and 2 % (FPackV Annex 3).
		{"EU, all that is claimed", "EU-LOT-01", market.Metric, "113 g", cure.Lot{40, alike(40, 113)}, cure.Pass, cure.Pass, 0, 0, 40},
		{"EU, not all weighed", "EU-LOT-01", market.Metric, "113 g", cure.Lot{40, alike(39, 113)}, cure.TooFew, cure.TooFew, 0, 0, 40},
		{"EU, the mean by a milligram less", "EU-LOT-01", market.Metric, "113 g", cure.Lot{40, with(alike(40, 113), 112.999)}, cure.Fail, cure.Fail, 0, 0, 40},
		{"EU, at the limit", "EU-LOT-01", market.Metric, "113 g", cure.Lot{40, with(alike(40, 114), 107.9)}, cure.Pass, cure.Pass, 0, 0, 40},
		{"EU, one of 40 beyond the limit is more than 2 %", "EU-LOT-01", market.Metric, "113 g", cure.Lot{40, with(alike(40, 114), 107.8)}, cure.Fail, cure.Fail, 1, 0, 40},
		{"EU, one of 50 is not", "EU-LOT-01", market.Metric, "113 g", cure.Lot{50, with(alike(50, 114), 107.8)}, cure.Pass, cure.Pass, 1, 0, 50},
		{"EU, at twice the limit", "EU-LOT-01", market.Metric, "113 g", cure.Lot{50, with(alike(50, 114), 102.8)}, cure.Pass, cure.Pass, 1, 0, 50},
		{"EU, beyond twice the limit", "EU-LOT-01", market.Metric, "113 g", cure.Lot{50, with(alike(50, 114), 102.799)}, cure.Fail, cure.Fail, 1, 1, 50},
		{"EU, the first sample passes", "EU-LOT-01", market.Metric, "113 g", cure.Lot{400, with(alike(30, 114), 107)}, cure.Pass, cure.Pass, 1, 0, 30},
		{"EU, the first sample does not decide", "EU-LOT-01", market.Metric, "113 g", cure.Lot{400, with(alike(30, 114), 107, 107)}, cure.TooFew, cure.TooFew, 2, 0, 60},
		{"EU, the first sample fails", "EU-LOT-01", market.Metric, "113 g", cure.Lot{400, with(alike(30, 114), 107, 107, 107)}, cure.Fail, cure.Fail, 3, 0, 30},
		{"EU, the second sample passes", "EU-LOT-01", market.Metric, "113 g", cure.Lot{400, with(alike(60, 114), 107, 107, 107, 107)}, cure.Pass, cure.Pass, 4, 0, 30},
		{"EU, the second sample fails", "EU-LOT-01", market.Metric, "113 g", cure.Lot{400, with(alike(60, 115), 107, 107, 107, 107, 107)}, cure.Fail, cure.Fail, 5, 0, 30},
		// 30 bars that are 2 g off have a standard deviation of 2.034 g, 0.503 of which are 1.023 g.
		{"EU, the mean of a sample", "EU-LOT-01", market.Metric, "113 g", cure.Lot{400, spread(30, 111.98, 2)}, cure.Pass, cure.Fail, 0, 0, 30},
		{"EU, the mean of a sample lacks more", "EU-LOT-01", market.Metric, "113 g", cure.Lot{400, spread(30, 111.97, 2)}, cure.Fail, cure.Fail, 0, 0, 30},

		// SI 2006/659 Sch. 2 para. 3.6: 5 % of a lot below 100.
		{"UK, three of 60", "UK-LOT-01", market.Metric, "113 g", cure.Lot{60, with(alike(60, 114), 107, 107, 107)}, cure.Pass, cure.Pass, 3, 0, 60},
		{"UK, four of 60", "UK-LOT-01", market.Metric, "113 g", cure.Lot{60, with(alike(60, 114), 107, 107, 107, 107)}, cure.Fail, cure.Fail, 4, 0, 60},

		// CPLR s. 39(4), Schedules I and II: 5.085 g for 113 g; of 15 bars two beyond it fail, and
		// of any two beyond twice as much. 15 bars, 0.768 of the standard deviation.
		{"Canada, one of 15", "CA-LOT-01", market.Metric, "113 g", cure.Lot{60, with(alike(15, 114), 107.914)}, cure.Pass, cure.Pass, 1, 0, 15},
		{"Canada, at the limit", "CA-LOT-01", market.Metric, "113 g", cure.Lot{60, with(alike(15, 114), 107.915, 107.915)}, cure.Pass, cure.Pass, 0, 0, 15},
		{"Canada, two of 15", "CA-LOT-01", market.Metric, "113 g", cure.Lot{60, with(alike(15, 115), 107.9, 107.9)}, cure.Fail, cure.Fail, 2, 0, 15},
		{"Canada, one beyond twice", "CA-LOT-01", market.Metric, "113 g", cure.Lot{60, with(alike(15, 115), 90)}, cure.Pass, cure.Pass, 1, 1, 15},
		{"Canada, two of 32 beyond twice", "CA-LOT-01", market.Metric, "113 g", cure.Lot{500, with(alike(32, 118), 90, 90)}, cure.Fail, cure.Fail, 2, 2, 32},
		{"Canada, all weighed: no adjustment", "CA-LOT-01", market.Metric, "113 g", cure.Lot{10, spread(10, 112.9, 2)}, cure.Fail, cure.Fail, 0, 0, 10},
		{"Canada, ten of 40", "CA-LOT-01", market.Metric, "113 g", cure.Lot{40, spread(10, 112.9, 2)}, cure.Pass, cure.Fail, 0, 0, 10},

		// NMI: none short by more than 5 %, which are 5.65 g; by the average quantity system few
		// beyond 5.1 g.
		{"Australia, at 5 %", "AU-LOT-01", market.Metric, "113 g", cure.Lot{200, with(alike(12, 114), 107.35)}, cure.Pass, cure.Pass, 0, 0, 12},
		{"Australia, beyond 5 %", "AU-LOT-01", market.Metric, "113 g", cure.Lot{200, with(alike(12, 114), 107.349)}, cure.Fail, cure.Fail, 1, 0, 12},
		{"Australia, by the system", "AU-LOT-02", market.Metric, "113 g", cure.Lot{200, with(alike(50, 114), 107, 107, 107)}, cure.Pass, cure.Pass, 3, 0, 50},
		// The published example of its guide, Table 3: 500 g, a lot of 3,500, 125 weighed, 501 g on
		// average, two between 485 and 470 g.
		{"Australia, the example of the guide", "AU-LOT-02", market.Metric, "500 g", cure.Lot{3500, with(alike(125, 501.4), 480, 475)}, cure.Pass, cure.Pass, 2, 0, 125},

		{"New Zealand, one of 12", "NZ-LOT-01", market.Metric, "113 g", cure.Lot{60, with(alike(12, 114), 107)}, cure.Pass, cure.Pass, 1, 0, 12},
		{"New Zealand, a lot of which no plan was seen", "NZ-LOT-01", market.Metric, "113 g", cure.Lot{30, alike(12, 114)}, cure.TooFew, cure.TooFew, 0, 0, 30},
		{"nothing weighed", "NZ-LOT-01", market.Metric, "113 g", cure.Lot{60, nil}, cure.TooFew, cure.TooFew, 0, 0, 12},
		{"no lot at all", "NZ-LOT-01", market.Metric, "113 g", cure.Lot{0, nil}, cure.TooFew, cure.TooFew, 0, 0, 1},
		{"more weighed than there are", "EU-LOT-01", market.Metric, "113 g", cure.Lot{3, alike(40, 113)}, cure.Pass, cure.Pass, 0, 0, 40},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := cure.TestLot(tt.lot, claim(t, tt.form, tt.typed), all[tt.rule])
			if got.Verdict != tt.want || got.Own != tt.own {
				t.Errorf("%s, by the own rule %s, want %s and %s: %+v", got.Verdict, got.Own, tt.want, tt.own, got)
			}
			if got.Beyond != tt.beyond || got.BeyondSecond != tt.beyondSecond || got.Wanted != tt.wanted {
				t.Errorf("beyond the limits %d and %d, %d wanted, want %d, %d and %d", got.Beyond, got.BeyondSecond, got.Wanted, tt.beyond, tt.beyondSecond, tt.wanted)
			}
		})
	}
}

// Mean and standard deviation of the numbers 1 to 12: 6.5 and √13 (n-1).
func TestLotFigures(t *testing.T) {
	var bars []measure.Mass
	for i := 1; i <= 12; i++ {
		bars = append(bars, masses(100+float64(i))...)
	}
	got := cure.TestLot(cure.Lot{40, bars}, claim(t, market.USDual, "113 g"), nets(t)["US-LOT-01"])
	if math.Abs(got.Mean-106.5) > 1e-9 || math.Abs(got.Spread-math.Sqrt(13)) > 1e-9 || got.Factor != 0.635 || got.Limit != 7200*measure.Milligram {
		t.Errorf("%+v", got)
	}
	if one := cure.TestLot(cure.Lot{1, bars[:1]}, claim(t, market.USDual, "113 g"), nets(t)["US-LOT-01"]); one.Mean != 101 || one.Spread != 0 {
		t.Errorf("a single bar: %+v", one)
	}
}

// A lot of which every bar reaches its claim passes everywhere, if enough are weighed, and
// the own rule is never milder than the law.
func TestFullBarsPass(t *testing.T) {
	all := nets(t)
	rapid.Check(t, func(t *rapid.T) {
		rule := all[rapid.SampledFrom(ruleIDs).Draw(t, "rule")]
		lot := cure.Lot{Size: rapid.IntRange(1, 600).Draw(t, "size")}
		form := rapid.SampledFrom([]market.Form{market.USDual, market.Metric}).Draw(t, "form")
		c, _ := form.Largest(measure.Mass(rapid.Int64Range(int64(20*measure.Gram), int64(1500*measure.Gram)).Draw(t, "claim")), market.Writing{})
		n := rapid.IntRange(rule.Plan(lot.Size).Sample, lot.Size).Draw(t, "weighed")
		over := rapid.SliceOfN(rapid.Int64Range(0, int64(9*measure.Gram)), n, n).Draw(t, "over")
		for _, o := range over {
			lot.Bars = append(lot.Bars, c.Least()+measure.Mass(o))
		}
		got := cure.TestLot(lot, c, rule)
		if got.Verdict != cure.Pass || got.Own != cure.Pass || len(got.Findings(finding.Pos{})) > 0 {
			t.Fatalf("%s, %d of %d: %+v", rule.ID, n, lot.Size, got)
		}
		// One bar below twice the limit fails where no bar may be, however few are weighed.
		second, has := rule.Second(c.Least())
		if has && second.Accept == 0 {
			lot.Bars[0] = c.Least() - second.Limit - 1
			if got := cure.TestLot(lot, c, rule); got.Verdict != cure.Fail || got.Own != cure.Fail {
				t.Fatalf("%s: %+v", rule.ID, got)
			}
		}
	})
}

// Heavier bars never make a lot fail that passed by the own rule.
func TestHeavierIsNoWorse(t *testing.T) {
	all := nets(t)
	c := claim(t, market.Metric, "113 g")
	rapid.Check(t, func(t *rapid.T) {
		rule := all[rapid.SampledFrom(ruleIDs).Draw(t, "rule")]
		lot := drawnLot(t)
		before := cure.TestLot(lot, c, rule)
		if before.Own == cure.Pass && before.Verdict != cure.Pass {
			t.Fatalf("the own rule passes what the law does not: %+v", before)
		}
		lot.Bars = slices.Clone(lot.Bars)
		lot.Bars[rapid.IntRange(0, len(lot.Bars)-1).Draw(t, "which")] += measure.Mass(rapid.Int64Range(0, int64(20*measure.Gram)).Draw(t, "more"))
		if after := cure.TestLot(lot, c, rule); before.Own == cure.Pass && after.Own != cure.Pass {
			t.Fatalf("passed with lighter bars: %+v", after)
		}
	})
}

// drawnLot gives a lot of which all or some bars are weighed, near 113 g.
func drawnLot(t *rapid.T) cure.Lot {
	bars := rapid.SliceOfN(rapid.Int64Range(1020, 1190), 1, 140).Draw(t, "tenths of a gram")
	lot := cure.Lot{Size: len(bars) + rapid.SampledFrom([]int{0, 0, 1, 90, 4000}).Draw(t, "not weighed")}
	for _, tenths := range bars {
		lot.Bars = append(lot.Bars, measure.Mass(tenths)*measure.Gram/10)
	}
	return lot
}

// The bars to take out: the lightest, and no more than must be.
func TestSetAside(t *testing.T) {
	all := nets(t)
	for _, tt := range []struct {
		name string
		rule string
		lot  cure.Lot
		want []int
		ok   bool
	}{
		{"none", "EU-LOT-01", cure.Lot{3, masses(113, 113, 113)}, nil, true},
		{"one that is far too light", "EU-LOT-01", cure.Lot{4, masses(114, 102.7, 114, 113)}, []int{1}, true},
		{"two for the mean", "EU-LOT-01", cure.Lot{5, masses(112, 113, 111, 113, 113.5)}, []int{0, 2}, true},
		{"the one credit would pass", "US-LOT-01", cure.Lot{4, masses(110, 113, 113, 113.2)}, []int{0}, true},
		{"all too light", "EU-LOT-01", cure.Lot{2, masses(112, 112)}, nil, false},
		{"not all weighed", "EU-LOT-01", cure.Lot{5, masses(113, 113)}, nil, false},
		{"nothing weighed", "EU-LOT-01", cure.Lot{0, nil}, nil, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := cure.SetAside(tt.lot, claim(t, market.Metric, "113 g"), all[tt.rule])
			if ok != tt.ok || !slices.Equal(got, tt.want) {
				t.Errorf("got %v, %t, want %v, %t", got, ok, tt.want, tt.ok)
			}
		})
	}
}

// The rest passes, and with one bar fewer taken out, the heaviest of them, it does not.
func TestSetAsideIsEnough(t *testing.T) {
	all := nets(t)
	c := claim(t, market.Metric, "113 g")
	rapid.Check(t, func(t *rapid.T) {
		rule := all[rapid.SampledFrom(ruleIDs).Draw(t, "rule")]
		lot := drawnLot(t)
		lot.Size = len(lot.Bars)
		out, ok := cure.SetAside(lot, c, rule)
		rest := func(out []int) cure.LotTest {
			var left []measure.Mass
			for i, bar := range lot.Bars {
				if !slices.Contains(out, i) {
					left = append(left, bar)
				}
			}
			return cure.TestLot(cure.Lot{len(left), left}, c, rule)
		}
		if !ok {
			if slices.Max(lot.Bars) >= c.Least() {
				t.Fatalf("the heaviest bar alone would pass")
			}
			return
		}
		if got := rest(out); got.Own != cure.Pass {
			t.Fatalf("the rest does not pass: %+v", got)
		}
		if len(out) == 0 {
			return
		}
		heaviest := slices.MaxFunc(out, func(a, b int) int { return int(lot.Bars[a] - lot.Bars[b]) })
		fewer := slices.DeleteFunc(slices.Clone(out), func(i int) bool { return i == heaviest })
		if got := rest(fewer); got.Own == cure.Pass {
			t.Fatalf("one bar fewer would do: %v", out)
		}
	})
}

// What rests on what was read stops, what is recalled warns and says so, and what the
// law forgives a sample warns.
func TestLotFindings(t *testing.T) {
	all := nets(t)
	for _, tt := range []struct {
		name  string
		rule  string
		typed string
		lot   cure.Lot
		want  string // rules and levels
		says  []string
	}{
		{"EU, average", "EU-LOT-01", "113 g", cure.Lot{3, masses(112.9, 113, 113)}, "EU-LOT-01 stop", []string{"112.96 g", "113 g is claimed"}},
		{"EU, a single bar", "EU-LOT-01", "113 g", cure.Lot{50, with(alike(50, 115), 107, 107)}, "EU-LOT-01 stop", []string{"2 of 50 bars lack more than 5.1 g of 113 g, and 1 may"}},
		{"EU, twice", "EU-LOT-01", "113 g", cure.Lot{50, with(alike(50, 115), 101)}, "EU-LOT-01 stop", []string{"1 of 50 bars lacks more than 10.2 g"}},
		{"EU, credit", "EU-LOT-01", "113 g", cure.Lot{400, spread(30, 112.5, 2)}, "CURE-AVERAGE warn", []string{"112.50 g", "no leave"}},
		{"EU, too few and light", "EU-LOT-01", "113 g", cure.Lot{40, alike(30, 112)}, "CURE-AVERAGE warn, CURE-SAMPLE warn", []string{"30 of 40 bars are weighed"}},
		{"EU, average of a sample", "EU-LOT-01", "113 g", cure.Lot{400, alike(30, 112.5)}, "EU-LOT-01 stop", nil},
		{"EU, bars that the table does not know", "EU-LOT-01", "4 g", cure.Lot{20, with(alike(20, 5), 3.9)}, "EU-LOT-01 warn, EU-LOT-01 warn", []string{"unconfirmed"}},
		{"US, too few, and one far too light", "US-LOT-01", "113 g", cure.Lot{40, with(alike(11, 113), 100)}, "US-LOT-01 warn, CURE-AVERAGE warn", nil},
		{"EU, too few, and one far too light", "EU-LOT-01", "113 g", cure.Lot{40, with(alike(30, 112), 100)}, "EU-LOT-01 stop, EU-LOT-01 stop, CURE-AVERAGE warn", nil},
		{"US, average of a whole lot", "US-LOT-01", "113 g", cure.Lot{30, alike(30, 112.9)}, "US-LOT-01 stop", nil},
		{"US, average of a sample by a recalled plan", "US-LOT-01", "113 g", cure.Lot{40, alike(12, 112.9)}, "US-LOT-01 warn", []string{"unconfirmed"}},
		{"US, a single bar by a recalled plan", "US-LOT-01", "113 g", cure.Lot{40, with(alike(12, 115), 100)}, "US-LOT-01 warn", []string{"unconfirmed"}},
		{"nothing weighed", "US-LOT-01", "113 g", cure.Lot{40, nil}, "CURE-SAMPLE warn", []string{"0 of 40", "by 12"}},
		{"a second sample", "EU-LOT-01", "113 g", cure.Lot{400, with(alike(30, 114), 107, 107)}, "CURE-SAMPLE warn", []string{"by 60"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got, text []string
			for _, f := range cure.TestLot(tt.lot, claim(t, market.Metric, tt.typed), all[tt.rule]).Findings(finding.Pos{File: "batch.yaml"}) {
				got = append(got, f.Rule+" "+f.Level.String())
				text = append(text, f.Message)
				if f.Remedy == "" || f.At.File == "" || f.Market == "" {
					t.Errorf("%+v", f)
				}
			}
			if s := strings.Join(got, ", "); s != tt.want {
				t.Errorf("%s, want %s", s, tt.want)
			}
			for _, say := range tt.says {
				if !strings.Contains(strings.Join(text, "\n"), say) {
					t.Errorf("nothing says %q: %q", say, text)
				}
			}
		})
	}
}
