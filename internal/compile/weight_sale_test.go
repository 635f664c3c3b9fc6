package compile_test

import (
	"strconv"
	"strings"
	"testing"

	"saponym/internal/compile"
	"saponym/internal/cure"
	"saponym/internal/market"
)

// How long bars are sold counts from the day on which they were placed on the market, or
// else from the first packing, so that the last day of sale does not walk along with the
// calendar.
func TestLastDayOfSale(t *testing.T) {
	record := dries(t, "plain", "2026-09-01", "bar", 0.11, 12, []int{1, 8, 22}, 140, 141, 139)
	for _, tt := range []struct{ more, on, want string }{
		{"", "2026-11-26", "2027-11-26"},
		{"", "2026-12-26", "2027-12-26"},
		{"packed: [{date: 2026-10-10, cut: bar, count: 4}, {date: 2026-10-03, cut: bar, count: 4}]\n", "2026-11-26", "2027-10-03"},
		{"packed: [{date: 2026-10-03, cut: bar, count: 4}]\n", "2027-06-01", "2027-10-03"},
		{"packed: [{date: 2026-10-03, cut: bar, count: 4}]\nplaced: {us: 2026-11-01}\n", "2026-11-26", "2027-11-01"},
		{"packed: [{date: 2026-10-03, cut: bar, count: 4}]\n", "2028-02-01", "2028-02-01"}, // what is left is sold today
	} {
		folder := folderOf(t, rack{batches: map[string]string{"26244-01": record + tt.more}}.files())
		a := weigh(t, folder, "26244-01", "us-soap", func(o *compile.WeightOrder) { o.On = dayOf(t, tt.on) })
		if a.LastSale.String() != tt.want {
			t.Errorf("%q on %s: sold until %s, want %s", tt.more, tt.on, a.LastSale, tt.want)
		}
	}
}

// Ethanol leaves the bar as water does, whether the formula says so or not: bars that lose
// more than their water are no slips of the pen.
func TestEthanolLeavesTheBar(t *testing.T) {
	for _, stays := range []string{"", ", stays: 0%"} {
		formula := strings.Replace(rackFormula, "cuts:", "add: [{material: ethanol, weight: 100 g, at: trace"+stays+"}]\ncuts:", 1)
		record := dries(t, "plain", "2026-09-01", "bar", 0.22, 8, []int{1, 8, 15, 30, 60}, 150, 149, 151)
		a := weigh(t, folderOf(t, rack{formula: formula, batches: map[string]string{"26244-01": record}}.files()), "26244-01", "us-soap")
		if a.Predicted == nil || a.Dry == nil || *a.Dry > 150*0.78 {
			t.Errorf("with %q: %+v, %v", stays, a.Predicted, a.Findings)
		}
	}
	record := dries(t, "plain", "2026-09-01", "bar", 0.22, 8, []int{1, 8, 15, 30, 60}, 150, 149, 151)
	a := weigh(t, folderOf(t, rack{batches: map[string]string{"26244-01": record}}.files()), "26244-01", "us-soap")
	if a.Predicted != nil || len(by(a.Findings, cure.RuleSlip)) == 0 {
		t.Errorf("without ethanol no bar loses 22 %%: %+v", a.Predicted)
	}
}

// A melt-and-pour base of which nobody says how much water is in it is foretold as widely
// as that, and says so.
func TestWaterOfABaseIsOpen(t *testing.T) {
	files := rack{batches: map[string]string{"26244-01": dries(t, "clear", "2026-09-01", "bar", 0.2, 12, []int{1, 8, 15}, 170, 171, 169)}}.files()
	files["materials/clear-base.yaml"] = "name: Clear base\nkind: base\ncontains: [{inci: Sodium Stearate}, {inci: Aqua}, {inci: Glycerin}]\norder: unknown\nstatement: {supplier: Fennel & Fern, dated: 2026-03-14}\n"
	files["formulas/clear.yaml"] = "name: Clear\nidentity: soap\nbase: [{material: clear-base, weight: 1700 g}]\ncuts: {bar: {count: 10, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}\nkeep: {sell_within: 12 months}\n"
	a := weigh(t, folderOf(t, files), "26244-01", "us-soap")
	if a.Predicted == nil || a.Product.Holds {
		t.Fatalf("%+v, %v", a.Product, a.Findings)
	}
	if found := by(a.Findings, cure.RuleWater); len(found) != 1 || !strings.Contains(found[0].Message, "of the fresh bar was water") {
		t.Errorf("%v", a.Findings)
	}
	// With 45 % of water, which the statement allows, bars of 170 g come to rest at 103.9 g
	// with 10 % left: 170 · 0.55 / 0.9.
	if a.AtRest.Low > 170*0.55/0.9 {
		t.Errorf("at rest %+v", a.AtRest)
	}
}

// Weighings are shown though a finding stops the answer.
func TestWeighingsAreShownThoughStopped(t *testing.T) {
	formula := strings.Replace(rackFormula, "olive-oil", "olvie-oil", 1)
	record := dries(t, "plain", "2026-09-01", "bar", 0.11, 12, []int{1, 8, 22}, 140, 141, 139)
	folder := folderOf(t, rack{formula: formula, batches: map[string]string{"26244-01": record}}.files())
	a, err := compile.Weigh(folder, compile.WeightOrder{Order: compile.Order{Formula: "26244-01", Market: "us-soap", On: today(t), Style: market.AsCured}})
	if err != nil || len(a.Weighings) != 3 || a.Predicted != nil || strings.Contains(a.Drying(), "no bar was weighed") {
		t.Errorf("%d weighings, %v:\n%s", len(a.Weighings), err, a.Drying())
	}
}

// A bound is printed rounded outwards: "more than" is never more than what is sure.
func TestBoundsAreRoundedOutwards(t *testing.T) {
	for first := 138.0; first < 139; first += 0.1 {
		record := dries(t, "plain", "2026-09-01", "bar", 0.11, 12, []int{1, 8, 22}, first, first+1, first-1)
		a := weigh(t, folderOf(t, rack{batches: map[string]string{"26244-01": record}}.files()), "26244-01", "us-soap")
		text := strings.Join(strings.Fields(a.Drying()), " ")
		_, after, _ := strings.Cut(text, "and by 95 % more than ")
		said, _, _ := strings.Cut(after, " ")
		if grams := number(t, said); grams > a.Predicted.OneSided || grams < a.Predicted.OneSided-0.11 {
			t.Errorf("more than %s g is said of %g g", said, a.Predicted.OneSided)
		}
	}
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
