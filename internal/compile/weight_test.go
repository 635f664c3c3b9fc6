package compile_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/shop"
)

// A rack is a shop whose batches were weighed.
type rack struct {
	shop    string // more lines of the shop file
	formula string // in the place of rackFormula
	batches map[string]string
}

const rackFormula = `name: Plain
identity: soap
size: {oils: 1000 g}
pot: [{material: olive-oil, share: 70%}, {material: coconut-oil, share: 30%}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}
cuts:
  bar: {count: 10, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}
  guest: {count: 10, length: 40 mm, width: 30 mm, height: 25 mm, claim: 1 oz}
keep: {sell_within: 12 months, durability: 24 months}
`

func (r rack) files() map[string]string {
	files := map[string]string{
		"shop.yaml":           "maker: {" + larch + email + ", made_in: USA}\nresponsible_person: {eu: {" + person + "}, uk: {" + person + "}}\n" + r.shop,
		"formulas/plain.yaml": rackFormula, "formulas/other.yaml": strings.Replace(rackFormula, "name: Plain", "name: Other", 1),
	}
	if r.formula != "" {
		files["formulas/plain.yaml"] = r.formula
	}
	for code, text := range r.batches {
		files["batches/"+code+".yaml"] = "code: " + code + "\nmakes: bars\n" + text
	}
	return files
}

// dries gives the record of bars that lose a part of their weight along Page's curve. The
// first weights are those of the marks a, b, c and so on.
func dries(t testing.TB, formula, made, cut string, part, speed float64, days []int, fresh ...float64) string {
	return "formula: " + formula + "\nmade: " + made + "\ncut: {date: " + dayOf(t, made).AddDays(1).String() + ", bar: 10, guest: 10}\nweighings:\n" + weighings(t, made, cut, part, speed, days, fresh...)
}

func weighings(t testing.TB, made, cut string, part, speed float64, days []int, fresh ...float64) string {
	t.Helper()
	var b strings.Builder
	for _, d := range days {
		var bars []string
		for i, g := range fresh {
			bars = append(bars, fmt.Sprintf("%c: %.1f g", 'a'+i, g*(1-part*(1-math.Exp(-math.Pow(float64(d-1)/speed, 0.75))))))
		}
		fmt.Fprintf(&b, "  - {date: %s, cut: %s, bars: {%s}}\n", dayOf(t, made).AddDays(d), cut, strings.Join(bars, ", "))
	}
	return b.String()
}

func weigh(t testing.TB, folder *shop.Folder, code, marketID string, change ...func(*compile.WeightOrder)) compile.WeightAnswer {
	t.Helper()
	o := compile.WeightOrder{Order: compile.Order{Formula: code, Market: marketID, On: today(t), Style: market.AsCured}}
	for _, c := range change {
		c(&o)
	}
	a, err := compile.Weigh(folder, o)
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a.Findings)
	return a
}

func ofCut(name string) func(*compile.WeightOrder) {
	return func(o *compile.WeightOrder) { o.Cut = name }
}

func claiming(typed string) func(*compile.WeightOrder) {
	return func(o *compile.WeightOrder) { o.Claim = typed }
}

// From three batches of the same formula on, that were made before, the next one is known
// better; batches of the same day, of later ones and of other formulas tell nothing.
func TestOwnBatchesTeach(t *testing.T) {
	t.Parallel()
	whole, start := []int{1, 8, 22, 60, 120}, []int{1, 6, 12}
	last := dries(t, "plain", "2026-10-01", "bar", 0.11, 12, start, 131.7, 130.2, 131.0)
	with := func(earlier ...string) compile.WeightAnswer {
		batches := map[string]string{"26274-09": last}
		for i, b := range earlier {
			batches[fmt.Sprintf("26100-%02d", i)] = b
		}
		return weigh(t, folderOf(t, rack{batches: batches}.files()), "26274-09", "us-soap")
	}
	past := func(formula, made string, i int) string {
		return dries(t, formula, made, "bar", 0.108+0.002*float64(i), 12, whole, 140, 139, 141)
	}
	wide := func(a compile.WeightAnswer) float64 { return a.Predicted.High - a.Predicted.Low }
	alone := with()
	for what, earlier := range map[string][]string{
		"two":                   {past("plain", "2026-04-01", 0), past("plain", "2026-04-08", 1)},
		"two, and one to come":  {past("plain", "2026-04-01", 0), past("plain", "2026-04-08", 1), past("plain", "2026-10-08", 2)},
		"two, and the same day": {past("plain", "2026-04-01", 0), past("plain", "2026-04-08", 1), past("plain", "2026-10-01", 2)},
		"two, and another soap": {past("plain", "2026-04-01", 0), past("plain", "2026-04-08", 1), past("other", "2026-04-15", 2)},
		"two, and one in doubt": {past("plain", "2026-04-01", 0), past("plain", "2026-04-08", 1), dries(t, "plain", "2026-04-15", "bar", 0.11, 12, start[:2], 140, 139)},
	} {
		if a := with(earlier...); a.Learnt || wide(a) != wide(alone) {
			t.Errorf("%s: learnt %v, to %g g, and alone %g g", what, a.Learnt, wide(a), wide(alone))
		}
	}
	three := with(past("plain", "2026-04-01", 0), past("plain", "2026-04-08", 1), past("plain", "2026-04-15", 2))
	if !three.Learnt || alone.Learnt || wide(three) > 0.7*wide(alone) {
		t.Errorf("three: learnt %v, known to %g g, and alone %v, to %g g", three.Learnt, wide(three), alone.Learnt, wide(alone))
	}
	// What the curve of all four comes to is within it: 131 g × (1 − 0.11).
	if p := three.AtRest; p.Low > 116.6 || p.High < 116.6 {
		t.Errorf("at rest between %g and %g g, and it is 116.6 g", p.Low, p.High)
	}
}

// A batch stands in the list of its formula as it stands by itself, in each cut and
// market: the same batches teach it,
// whatever the order of their codes.
func TestFormulaAndBatchAgree(t *testing.T) {
	t.Parallel()
	batches := map[string]string{}
	for i := range 12 {
		made := dayOf(t, "2026-03-02").AddDays(7 * (i / 4)).String() // four a day, and the six youngest teach
		code := fmt.Sprintf("26%03d-%02d", 300-40*(i/4), i)          // the later, the smaller the code
		text := dries(t, "plain", made, "bar", 0.085+0.005*float64(i), 9+float64(i), []int{1, 8, 22, 60}, 128, 127, 129)
		if i%2 == 0 { // what guest bars teach differs
			text += weighings(t, made, "guest", 0.07+0.005*float64(i), 5, []int{1, 8, 22}, 33, 32.5)
		}
		batches[code] = text
	}
	folder := folderOf(t, rack{batches: batches}.files())
	for _, cutName := range []string{"bar", "guest"} {
		stood := compile.BatchesOf(folder, "plain", cutName, today(t))
		for _, m := range []string{"us-soap", "au", "eu+ca"} {
			o := compile.WeightOrder{Order: compile.Order{Formula: "plain", Cut: cutName, Market: m, On: today(t), Style: market.AsCured}}
			a, err := compile.WeighFormula(folder, o, stood)
			if err != nil || len(a.Batches) != 12 {
				t.Fatal(len(a.Batches), err)
			}
			untils := map[string]bool{}
			for i, s := range a.Batches {
				if i > 0 && a.Batches[i-1].Made.Before(s.Made) {
					t.Errorf("%s stands before the younger %s", a.Batches[i-1].Code, s.Code)
				}
				b := weigh(t, folder, s.Code, m, ofCut(cutName))
				if b.Predicted == nil {
					if s.Verdict != "unweighed" || b.Weighed != 0 {
						t.Errorf("%s %s: %s, and weighed %d", s.Code, cutName, s.Verdict, b.Weighed)
					}
					continue
				}
				untils[fmt.Sprint(s.Until)] = true
				if text := fmt.Sprint(s.Until, s.ForGood, s.Verdict == "holds", s.OnHand); text != fmt.Sprint(b.Product.Until, b.Product.ForGood, b.Product.Holds, 10) {
					t.Errorf("%s %s %s: in the list %s, by itself %v", s.Code, cutName, m, text, b.Product)
				}
			}
			if len(untils) < 2 {
				t.Errorf("%s %s: all batches are alike, which tells nothing: %v", cutName, m, untils)
			}
		}
	}
}

// A net weight in the form of each market. In the United States it is dual, and the figures
// are rounded down each by itself (16 CFR 500.8, 500.9, from memory; NIST Handbook 130
// likewise); elsewhere it is metric. 4 oz are 113.398 g, and 113 g are 3.986 oz.
func TestClaimInEveryForm(t *testing.T) {
	t.Parallel()
	folder := folderOf(t, rack{batches: map[string]string{"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 140, 139, 141)}}.files())
	for _, tt := range []struct {
		markets, typed, ounces, text string
		grams, needs                 float64
	}{
		{"us-soap us-cosmetic", "", "", "Net Wt 4 oz (113 g)", 113, 113.398},
		{"us-soap us-cosmetic", "113 g", "", "Net Wt 113 g (3.98 oz)", 113, 113},
		{"us-soap", "4 1/16 oz", "", "Net Wt 4 1/16 oz (115 g)", 115, 115.170},
		{"us-soap", "4.1 oz", "quarters", "Net Wt 4 oz (116 g)", 116, 116},
		{"us-soap", "115 g", "tenths", "Net Wt 115 g (4 oz)", 115, 115},
		{"eu uk ca au nz eu+uk eu+ca", "", "", "113 g", 113, 113},
		{"eu uk ca au nz", "115 g", "", "115 g", 115, 115},
		{"eu uk ca au nz", "4.1 oz", "quarters", "116 g", 116, 116},
	} {
		for _, m := range strings.Fields(tt.markets) {
			a := weigh(t, folder, "26274-09", m, claiming(tt.typed), func(o *compile.WeightOrder) { o.Ounces = tt.ounces })
			if c := a.Product; c.Text != tt.text || c.Grams != tt.grams || math.Abs(c.Needs-tt.needs) > 0.001 {
				t.Errorf("%s %q %q: %q, %g g, takes %g g", m, tt.typed, tt.ounces, c.Text, c.Grams, c.Needs)
			}
			if (a.Product.Ounces > 0) != strings.HasPrefix(m, "us") {
				t.Errorf("%s: %g oz", m, a.Product.Ounces)
			}
		}
	}
	// The largest is one that lasts, and the next larger one is none. Of US claims just above a
	// bound of the table of limits this would not hold: there one bar may lack more.
	folder = folderOf(t, rack{batches: map[string]string{"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 136, 135, 137)}}.files())
	for m, step := range map[string]float64{"us-soap": 0.01, "eu": 1, "uk": 1, "ca": 1, "au": 1, "nz": 1, "eu+ca": 1} {
		largest := weigh(t, folder, "26274-09", m).Claim
		figure, unit := largest.Grams, "g"
		if largest.Ounces > 0 {
			figure, unit = largest.Ounces, "oz"
		}
		for more, want := range map[float64]bool{0: true, step: false} {
			a := weigh(t, folder, "26274-09", m, claiming(fmt.Sprintf("%.4g %s", figure+more, unit)))
			if a.Product.Holds != want {
				t.Errorf("%s: %q lasts: %v; the largest is %q", m, a.Product.Text, a.Product.Holds, largest.Text)
			}
		}
	}
}

// Lots of twelve bars, all weighed, under a claim of 4 oz (113.398 g) or 113 g: eleven
// bars and some lighter ones, judged by hand. What one bar may lack:
//   - United States: 7.2 g (NIST Handbook 133, Appendix A, Table 2-5: 0.18 to 0.26 lb), so
//     106.198 g; none of the twelve may lack more (Table 2-1, from memory)
//   - European Union and United Kingdom: 4.5 % of 113 g, rounded up to 0.1 g, is 5.1 g
//     (Directive 76/211/EEC Annex I 2.4), so 107.9 g; of less than 100 bars all are weighed
//     and 2 % (FPackV Annex 3) or 5 % (SI 2006/659 Sch. 2) may lack more, of twelve none;
//     twice as much is 10.2 g, so 102.8 g
//   - Canada: 5.085 g (CPLR Schedule I Part III), so 107.915 g, which one may lack, of the
//     lot of 11 to 40 (Schedule II Part I); 10.17 g, so 102.83 g, one more
//   - Australia: 5 % (from a page of the National Measurement Institute), 5.65 g, so
//     107.35 g; by the average quantity system 5.1 g
//   - New Zealand: 5.085 g, none of up to twelve (Regulations 1999 Schedule 7A)
func TestLotsByHand(t *testing.T) {
	t.Parallel()
	const (
		pass = "pass pass"
		fail = "fail fail"
		own  = "pass fail" // the law forgives a sample
	)
	markets := strings.Fields("us-soap eu uk ca au nz")
	for _, tt := range []struct {
		light string // the lighter ones
		rest  float64
		want  string // verdict and that of the house, in the order of the markets
	}{
		{"", 115, "pass pass pass pass pass pass"},
		{"107.92", 115, "pass pass pass pass pass pass"},
		{"107.91", 115, "pass pass pass pass pass fail"},
		{"107.89", 115, "pass fail fail pass pass fail"},
		{"107.36", 115, "pass fail fail pass pass fail"},
		{"107.34", 115, "pass fail fail pass fail fail"},
		{"106.20", 115, "pass fail fail pass fail fail"},
		{"106.19", 115, "fail fail fail pass fail fail"},
		{"107.5 107.5", 115, "pass fail fail fail pass fail"},
		{"102.84", 115, "fail fail fail pass fail fail"},
		// The average lacks 0.098 g of 4 oz and holds 113 g; the bars do not differ.
		{"", 113.3, "fail pass pass pass pass pass"},
		// It lacks 0.1 g of 113 g and the bars do not differ: Canada has nothing to forgive.
		{"", 112.9, "fail fail fail fail fail fail"},
		// Ten bars of 113 g, one of 113.6 and one of 112.6 g make 113.017 g; they differ by
		// 0.22 g, of which the United States forgive 0.635 (Table 2-1): 0.14 g, and lacking is 0.38 g.
		{"113.6 112.6", 113, "fail pass pass pass pass pass"},
		// Ten of 113.2, one of 117 and one of 108 g make 113.083 g; they differ by 1.93 g,
		// and 0.635 of that is 1.2 g: more than the 0.315 g that lack.
		{"117 108", 113.2, "own pass pass pass pass pass"},
	} {
		var bars []string
		for i := range 12 {
			g := fmt.Sprint(tt.rest)
			if light := strings.Fields(tt.light); i < len(light) {
				g = light[i]
			}
			bars = append(bars, fmt.Sprintf("%c: %s g", 'a'+i, g))
		}
		folder := folderOf(t, rack{batches: map[string]string{
			"26274-09": "formula: plain\nmade: 2026-10-01\ncut: {date: 2026-10-02, bar: 12}\nweighings: [{date: 2026-11-20, cut: bar, bars: {" + strings.Join(bars, ", ") + "}}]\n",
		}}.files())
		for i, m := range markets {
			a := weigh(t, folder, "26274-09", m)
			want := map[string]string{"pass": pass, "fail": fail, "own": own}[strings.Fields(tt.want)[i]]
			if got := fmt.Sprint(a.Lot.Verdict, " ", a.Lot.Own); got != want {
				t.Errorf("%q, the rest %g g, in %s: %s, want %s; %+v", tt.light, tt.rest, m, got, want, *a.Lot)
			}
			failed := slices.ContainsFunc(a.Findings, func(f finding.Finding) bool { return strings.HasSuffix(f.Rule, "-LOT-01") })
			if failed != (a.Lot.Verdict == "fail") {
				t.Errorf("%q in %s: %s, and found is %v", tt.light, m, a.Lot.Verdict, a.Findings)
			}
		}
	}
}

// The figures of the test of a lot, and the way of judging that a maker chooses.
func TestFiguresOfALot(t *testing.T) {
	t.Parallel()
	batch := map[string]string{
		"26274-09": "formula: plain\nmade: 2026-10-01\ncut: {date: 2026-10-02, bar: 12}\nweighings: [{date: 2026-11-20, cut: bar, bars: {a: 115 g, b: 114 g, c: 116 g, d: 107.5 g}}]\n",
	}
	for _, tt := range []struct {
		market, shop, verdict string
		limit, second         float64
		beyond                int
	}{
		{"us-soap", "", "too-few", 7.2, 0, 0},
		{"us-cosmetic", "", "too-few", 7.2, 0, 0},
		{"eu", "", "fail", 5.1, 10.2, 1},
		{"uk", "", "fail", 5.1, 10.2, 1},
		{"ca", "", "too-few", 5.085, 10.17, 1},
		{"au", "", "too-few", 5.65, 0, 0},
		{"au", "lot_rules: {au: AU-LOT-02}\n", "fail", 5.1, 10.2, 1},
		{"nz", "", "fail", 5.085, 10.17, 1},
		{"ca+eu", "", "fail", 5.1, 10.2, 1}, // the worst of the two
	} {
		a := weigh(t, folderOf(t, rack{shop: tt.shop, batches: batch}.files()), "26274-09", tt.market)
		l := a.Lot
		second := 0.0
		if l.Second != nil {
			second = *l.Second
		}
		if string(l.Verdict) != tt.verdict || l.Limit != tt.limit || second != tt.second || l.Beyond != tt.beyond || l.Beyond2 != 0 {
			t.Errorf("%s %s: %+v, second limit %g", tt.market, tt.shop, *l, second)
		}
		// (115 + 114 + 116 + 107.5) / 4, and the deviations 1.875, 0.875, 2.875 and -5.625.
		if l.Lot != 12 || l.Weighed != 4 || math.Abs(l.Mean-113.125) > 1e-9 || math.Abs(l.SD-math.Sqrt(44.1875/3)) > 1e-9 {
			t.Errorf("%s: %+v", tt.market, *l)
		}
	}
}

// What is to be set aside is as little as makes the rest keep the claim: the rest, as the
// batch it then is, holds to the end, and with one bar more it does not.
func TestSetAside(t *testing.T) {
	t.Parallel()
	fresh := map[string]float64{"a": 135.2, "b": 134, "c": 134.9, "d": 134.5, "e": 134.8, "f": 135.6, "g": 135.1, "h": 134.9, "i": 124, "j": 121.5, "k": 123}
	folderWithout := func(out ...string) *shop.Folder {
		var rows []string
		left := 0
		for _, d := range []int{1, 11, 28} {
			var bars []string
			for mark, g := range fresh {
				if !slices.Contains(out, mark) {
					bars = append(bars, fmt.Sprintf("%s: %.1f g", mark, g*(1-0.105*(1-math.Exp(-math.Pow(float64(d-1)/12, 0.75))))))
				}
			}
			slices.Sort(bars)
			left = len(bars)
			rows = append(rows, fmt.Sprintf("  - {date: %s, cut: bar, bars: {%s}}\n", dayOf(t, "2026-10-01").AddDays(d), strings.Join(bars, ", ")))
		}
		text := fmt.Sprintf("formula: plain\nmade: 2026-10-01\ncut: {date: 2026-10-02, bar: %d}\nweighings:\n%s", left, strings.Join(rows, ""))
		return folderOf(t, rack{batches: map[string]string{"26274-09": text}}.files())
	}
	for _, m := range []string{"us-soap", "eu", "au", "eu+ca"} {
		all := weigh(t, folderWithout(), "26274-09", m)
		if all.Product.Holds || len(all.SetAside) == 0 || !strings.Contains(strings.Join(all.Ways, "\n"), "aside: the rest keeps it") {
			t.Fatalf("%s: it lasts: %v; to be set aside: %v; %q", m, all.Product.Holds, all.SetAside, all.Ways)
		}
		rest := weigh(t, folderWithout(all.SetAside...), "26274-09", m)
		if !rest.Product.Holds || rest.Lot.Verdict != "pass" || rest.Lot.Own != "pass" || len(rest.SetAside) > 0 {
			t.Errorf("%s: without %v: %+v, %+v", m, all.SetAside, *rest.Product, *rest.Lot)
		}
		lightest := []string{"j", "k", "i"}[:min(3, len(all.SetAside))]
		if sorted := slices.Sorted(slices.Values(lightest)); !slices.Equal(sorted, all.SetAside) {
			t.Errorf("%s: set aside are %v, and the lightest are %v", m, all.SetAside, sorted)
		}
		if more := weigh(t, folderWithout(lightest[:len(lightest)-1]...), "26274-09", m); more.Product.Holds {
			t.Errorf("%s: without %v it lasts, and %v are to be set aside", m, lightest[:len(lightest)-1], all.SetAside)
		}
	}
}

// Two markets on one label: the claim holds as long as it does in the one where it holds
// shorter, and the days of both laws are told.
func TestWeightInTwoMarketsTogether(t *testing.T) {
	t.Parallel()
	folder := folderOf(t, rack{batches: map[string]string{"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 131.2, 130.2, 131.0)}}.files())
	until := func(m string) day.Day {
		a := weigh(t, folder, "26274-09", m)
		if a.Until == nil {
			t.Fatalf("%s: %+v", m, *a.Product)
		}
		return *a.Until
	}
	eu, au, both := until("eu"), until("au"), until("eu+au")
	if eu == au || both != map[bool]day.Day{true: eu, false: au}[eu.Before(au)] {
		t.Errorf("eu until %s, au until %s, and together until %s", eu, au, both)
	}
	var days []string
	for _, d := range weigh(t, folder, "26274-09", "eu+ca").LawDays {
		days = append(days, d.Market+" "+d.Of)
	}
	slices.Sort(days)
	if !slices.Equal(days, []string{"ca handover", "eu packing"}) {
		t.Errorf("days of the laws: %v", days)
	}
}

// Each cut dries by itself; weighings that name none of several are told and left out.
func TestWeightOfSeveralCuts(t *testing.T) {
	t.Parallel()
	text := dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 140, 139, 141) + weighings(t, "2026-10-01", "guest", 0.09, 5, []int{1, 8, 22, 40}, 33, 32.5) +
		"  - {date: 2026-11-20, bars: {x: 118 g}}\n"
	folder := folderOf(t, rack{batches: map[string]string{"26274-09": text}}.files())
	first, bar, guest := weigh(t, folder, "26274-09", "eu"), weigh(t, folder, "26274-09", "eu", ofCut("bar")), weigh(t, folder, "26274-09", "eu", ofCut("guest"))
	if first.Cut != "bar" || *first.Predicted != *bar.Predicted && first.Predicted.Mean != bar.Predicted.Mean {
		t.Errorf("without a name it is the cut %q", first.Cut)
	}
	if len(bar.Weighings) != 3 || len(guest.Weighings) != 4 || bar.Weighed != 3 || guest.Weighed != 2 {
		t.Errorf("weighed: %d and %d times, the last time %d and %d bars", len(bar.Weighings), len(guest.Weighings), bar.Weighed, guest.Weighed)
	}
	if m := guest.AtRest.Mean; m < 29 || m > 30.5 || bar.AtRest.Mean < 120 { // 32.75 g × (1 − 0.09)
		t.Errorf("at rest: %g and %g g", bar.AtRest.Mean, m)
	}
	for _, a := range []compile.WeightAnswer{bar, guest} {
		if len(by(a.Findings, "CURE-CUT")) != 1 {
			t.Errorf("%s: nothing is said of the weighing without a cut: %v", a.Cut, a.Findings)
		}
	}
}

// A batch that may not be sold has no claim that lasts and no lot that passes, and its
// formula lists it as stopped.
func TestLyeHeavyBatchPromisesNothing(t *testing.T) {
	t.Parallel()
	heavy := strings.Replace(rackFormula, "superfat: 5%", "weight: 190 g", 1)
	folder := folderOf(t, rack{formula: heavy, batches: map[string]string{"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 150, 149, 151)}}.files())
	a := weigh(t, folder, "26274-09", "us-soap")
	if a.Predicted != nil || a.Claim != nil || a.Product != nil || a.Lot != nil || a.Until != nil || a.Weighed != 3 {
		t.Errorf("it promises something: %+v", a)
	}
	if len(by(a.Findings, "BAR-LYE-HEAVY")) != 1 {
		t.Errorf("found: %v", a.Findings)
	}
	if f := by(a.Findings, "CURE-WATER"); len(f) != 1 || !strings.Contains(f[0].Message, "cannot be told") {
		t.Errorf("of its water is said: %v", f)
	}
	o := compile.WeightOrder{Order: compile.Order{Formula: "plain", Market: "us-soap", On: today(t), Style: market.AsCured}}
	f, err := compile.WeighFormula(folder, o, compile.BatchesOf(folder, "plain", "", today(t)))
	if err != nil || f.AtLeast != nil || len(f.Batches) != 1 || f.Batches[0].Verdict != "unclear" || len(by(f.Findings, "CURE-WATER")) > 0 {
		t.Errorf("its formula: %+v, %v", f, err)
	}
}

// The weighings say how much water is left: the list of the batch is surer than that of its
// formula, and what allergens come to is reckoned of the driest bar that it can become,
// whatever the day.
func TestListOfAWeighedBatch(t *testing.T) {
	t.Parallel()
	files := rack{batches: map[string]string{
		"26274-08": "formula: plain\nmade: 2026-10-01\ncut: {date: 2026-10-02, bar: 10}\n",
		"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 140, 139, 141),
	}, formula: strings.Replace(rackFormula, "cuts:", "add: [{material: scent, share: 3%}]\ncuts:", 1)}.files()
	files["materials/scent.yaml"] = "name: Scent\nkind: fragrance\n" + certified + stated
	folder := folderOf(t, files)
	list := func(code, on string) compile.Declared {
		d, err := compile.Declare(folder, compile.Order{Formula: code, Market: "eu", On: dayOf(t, on), Style: market.AsCured})
		if err != nil || d.Text == "" {
			t.Fatal(d.Findings, err)
		}
		return d
	}
	type line struct {
		Name  string
		Share struct{ Low, Nominal, High float64 } `json:"share_percent"`
		Next  *string                              `json:"order_with_next"`
	}
	read := func(d compile.Declared) (water line, open int, linalool float64) {
		data, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		var all struct {
			Ingredients []line
			Allergens   []struct {
				Name    string
				Percent float64
			}
		}
		if err := json.Unmarshal(data, &all); err != nil {
			t.Fatal(err)
		}
		for _, l := range all.Ingredients {
			if l.Name == "Aqua" {
				water = l
			}
			if l.Next != nil && *l.Next != "certain" && *l.Next != "free" {
				open++
			}
		}
		for _, a := range all.Allergens {
			if a.Name == "Linalool" {
				linalool = a.Percent
			}
		}
		return water, open, linalool
	}
	guessed, open, _ := read(list("26274-08", "2026-11-26"))
	now, sure, allergen := read(list("26274-09", "2026-11-26"))
	later, _, afterwards := read(list("26274-09", "2027-10-26"))
	answer := weigh(t, folder, "26274-09", "eu", func(o *compile.WeightOrder) { o.At = today(t) })
	if math.Abs(now.Share.Low-answer.Water.Low) > 0.01 || math.Abs(now.Share.High-answer.Water.High) > 0.01 {
		t.Errorf("the list has %+v of water, and the bars have %+v left", now.Share, *answer.Water)
	}
	if now.Share.High-now.Share.Low > 0.6*(guessed.Share.High-guessed.Share.Low) {
		t.Errorf("water is known to %+v by weighing, and to %+v without", now.Share, guessed.Share)
	}
	if sure >= open || open == 0 {
		t.Errorf("%d places of the list are open by weighing, and %d without", sure, open)
	}
	if later.Share.Nominal >= now.Share.Nominal {
		t.Errorf("a year later there is more water left: %g and %g %%", later.Share.Nominal, now.Share.Nominal)
	}
	if allergen <= 0 || math.Abs(allergen-afterwards) > 1e-3*allergen {
		t.Errorf("linalool is %g %% now and %g %% a year later, and the driest bar is the same", allergen, afterwards)
	}
}

// What is asked of a day before the batch was made, or of a cut or pack that is none, is refused.
func TestWeightThatIsNoQuestion(t *testing.T) {
	t.Parallel()
	folder := folderOf(t, rack{batches: map[string]string{"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 140, 139, 141)}}.files())
	for says, change := range map[string]func(*compile.WeightOrder){
		"was made on 2026-10-01":                   func(o *compile.WeightOrder) { o.At = dayOf(t, "2026-09-30") },
		`there is no cut "barr"`:                   ofCut("barr"),
		`the claim "4" is no weight`:               claiming("4"),
		`the claim "101 kg" is no net weight`:      claiming("101 kg"),
		`no fraction of an ounce "thirds"`:         func(o *compile.WeightOrder) { o.Ounces = "thirds" },
		"two bars or more":                         func(o *compile.WeightOrder) { o.Pack = "1" },
		`did you mean "guest"`:                     func(o *compile.WeightOrder) { o.Pack = "bar=1,gues=1" },
		`"0" is no number of bars`:                 func(o *compile.WeightOrder) { o.Pack = "bar=0" },
		"does not say of each kind once":           func(o *compile.WeightOrder) { o.Pack = "bar=1,guest=1,bar=1" },
		`"plain" is a formula, and no batch; name`: func(o *compile.WeightOrder) { o.Formula = "plain" },
	} {
		o := compile.WeightOrder{Order: compile.Order{Formula: "26274-09", Market: "us-soap", On: today(t), Style: market.AsCured}}
		change(&o)
		_, err := compile.Weigh(folder, o)
		var option *compile.OptionError
		var unknown *compile.UnknownError
		if err == nil || !strings.Contains(err.Error(), says) || !errors.As(err, &option) && !errors.As(err, &unknown) {
			t.Errorf("%v does not say %q", err, says)
		}
	}
	at := func(o *compile.WeightOrder) { o.At = dayOf(t, "2026-10-01") }
	if a := weigh(t, folder, "26274-09", "us-soap", at); a.On != dayOf(t, "2026-10-01") {
		t.Errorf("on the day of the making it is asked for %s", a.On)
	}
}

// A pack: how many there are of each kind, what one weighs, and the total of the printed
// figures (16 CFR 500.27 and 500.28, from memory).
func TestPack(t *testing.T) {
	t.Parallel()
	folder := folderOf(t, rack{batches: map[string]string{"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, 140, 139, 141)}}.files())
	for _, tt := range []struct{ market, pack, text string }{
		{"us-soap", "3", "3 bars, Net Wt 4 oz (113 g) each; total Net Wt 12 oz (339 g)"},
		{"us-soap", "bar=2", "2 bars, Net Wt 4 oz (113 g) each; total Net Wt 8 oz (226 g)"},
		{"us-soap", "bar=2, guest=1", "2 bars, Net Wt 4 oz (113 g) each; 1 guest bar, Net Wt 1 oz (28 g); total Net Wt 9 oz (254 g)"},
		{"us-soap", "bar=1,other=4", "1 bar, Net Wt 4 oz (113 g); 4 Other bars, Net Wt 4 oz (113 g) each; total Net Wt 1 lb 4 oz (565 g)"},
		{"eu", "3", "3 × 113 g (339 g)"},
		{"eu", "bar=2,guest=1", "2 × 113 g bar + 1 × 28 g guest (254 g)"},
	} {
		a := weigh(t, folder, "26274-09", tt.market, func(o *compile.WeightOrder) { o.Pack = tt.pack })
		if a.Pack.Text != tt.text {
			t.Errorf("%s %s: %q", tt.market, tt.pack, a.Pack.Text)
		}
	}
}

// Batches are read as many at a time as there are processors, and come out the same.
func TestBatchesAtOnce(t *testing.T) {
	folder := folderOf(t, rack{batches: manyBatches(t, 30)}.files())
	answer := func(at int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(at))
		var text strings.Builder
		batches := compile.BatchesOf(folder, "plain", "", today(t))
		for _, m := range []string{"us-soap", "eu", "au"} {
			a, err := compile.WeighFormula(folder, compile.WeightOrder{Order: compile.Order{Formula: "plain", Market: m, On: today(t), Style: market.AsCured}}, batches)
			if err != nil || len(a.Batches) != 30 {
				t.Fatal(len(a.Batches), err)
			}
			if err := json.NewEncoder(&text).Encode(a); err != nil {
				t.Fatal(err)
			}
		}
		return text.String()
	}
	one := answer(1)
	for _, at := range []int{2, 4} {
		if answer(at) != one {
			t.Errorf("%d at a time give another answer", at)
		}
	}
	for _, verdict := range []string{"holds", "fails"} {
		if !strings.Contains(one, `"verdict":"`+verdict+`"`) {
			t.Errorf("no batch %s, which tells little", verdict)
		}
	}
}

// manyBatches gives batches of one formula that were weighed four times, each of bars of its own.
func manyBatches(t testing.TB, n int) map[string]string {
	batches := map[string]string{}
	for i := range n {
		made := dayOf(t, "2026-10-20").AddDays(-i / 2)
		first := 126 + float64(i*7%29)*0.9
		batches[fmt.Sprintf("26%04d-%d", 9999-i/2, i%2)] = dries(t, "plain", made.String(), "bar", 0.09+0.001*float64(i%20), 10+float64(i%5), []int{1, 8, 18, 30}, first, first-1.2, first+0.7)
	}
	return batches
}

func BenchmarkBatches1000(b *testing.B) {
	folder := folderOf(b, rack{batches: manyBatches(b, 1000)}.files())
	o := compile.WeightOrder{Order: compile.Order{Formula: "plain", Market: "us-soap", On: today(b), Style: market.AsCured}}
	for b.Loop() {
		a, err := compile.WeighFormula(folder, o, compile.BatchesOf(folder, "plain", "", today(b)))
		if err != nil || len(a.Batches) != 1000 {
			b.Fatal(len(a.Batches), err)
		}
	}
}

// To choose among the bars is offered only where some may weigh enough.
func TestChoosingIsOfferedWhereItHelps(t *testing.T) {
	t.Parallel()
	for fresh, want := range map[float64]bool{131: true, 118: false} {
		folder := folderOf(t, rack{batches: map[string]string{"26274-09": dries(t, "plain", "2026-10-01", "bar", 0.11, 12, []int{1, 8, 22}, fresh, fresh-1, fresh+1)}}.files())
		a := weigh(t, folder, "26274-09", "us-soap")
		if offered := strings.Contains(strings.Join(a.Ways, "\n"), "weigh every bar, and sell"); a.Product.Holds || offered != want {
			t.Errorf("fresh bars of %g g, lasting %v: %q", fresh, a.Product.Holds, a.Ways)
		}
	}
}
