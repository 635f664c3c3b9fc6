package compile_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"saponym/internal/compile"
	"saponym/internal/market"
)

// netWeightCase holds two lots against a rule, all of whose bars were weighed: one whose
// average reaches the claim of 100 g to the tenth of a gram, and one whose average does
// not, by more than the rule forgives a sample.
func netWeightCase(t *testing.T, rule compile.RuleAnswer) {
	id := rule.Market
	place, err := market.Place(id)
	if err != nil {
		t.Fatal(err)
	}
	stall := func(grams float64) map[string]string {
		var bars []string
		for i := range 12 {
			bars = append(bars, fmt.Sprintf("b%d: %.1f g", i, grams+0.2*float64(i%3)-0.2))
		}
		files := stallInOrder().but(func(s *stall) {
			s.batch += "\ncut: {date: 2026-11-02, bar: 12}\nweighings: [{date: 2026-11-20, cut: bar, bars: {" + strings.Join(bars, ", ") + "}}]"
		}).files()
		files["shop.yaml"] += "lot_rules: {" + place + ": " + rule.ID + "}\n"
		return files
	}
	found := func(grams float64) []string {
		a, err := compile.Weigh(folderOf(t, stall(grams)), compile.WeightOrder{Order: compile.Order{Formula: "26320-07", Market: id, On: today(t), Style: market.AsCured}})
		if err != nil {
			t.Fatal(err)
		}
		var rules []string
		for _, f := range sound(t, a.Findings) {
			rules = append(rules, f.Rule)
		}
		if (a.Lot.Verdict == "fail") != slices.Contains(rules, rule.ID) {
			t.Errorf("%.1f g: the lot is judged %q, and found is %v", grams, a.Lot.Verdict, rules)
		}
		return rules
	}
	// Of 100 g in one form ounces stand beside it: 3.52 oz are 99.8 g.
	if rules := found(100.1); slices.Contains(rules, rule.ID) {
		t.Errorf("an average of 100.1 g is not enough: %v", rules)
	}
	if rules := found(99); !slices.Contains(rules, rule.ID) {
		t.Errorf("an average of 99 g is enough: %v", rules)
	}
}
