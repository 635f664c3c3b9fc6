package check_test

import (
	"fmt"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/check"
	"saponym/internal/formula"
)

// 1000 g of olive oil at 190 mg KOH/g take up 128.68 g of sodium hydroxide at 5 %
// superfat. With 30 g of scent 1158.68 g are dry, and the driest bar weighs
// 1182.32 g: 2.537 % of it is scent.
func TestScents(t *testing.T) {
	f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {per_lye: 2}}\nadd: [{material: scent, weight: 30 g}]\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		limit string
		want  int
	}{{"category 9: 2.53%", 1}, {"category 9: 2.54%", 0}, {"category 4: 0.1%", 0}} {
		m, _, err := formula.ReadMaterial("materials/scent.yaml", []byte(fmt.Sprintf("name: Scent\nkind: fragrance\nmax_use: {ifra: 51, %s}\n", tt.limit)))
		if err != nil {
			t.Fatal(err)
		}
		batter, findings := bar.Pour(f, formula.NewLibrary([]formula.Material{m}))
		if batter == nil {
			t.Fatal(findings)
		}
		found, err := check.Scents(batter)
		if err != nil {
			t.Fatal(err)
		}
		if len(found) != tt.want {
			t.Errorf("%s: %d findings, want %d: %v", tt.limit, len(found), tt.want, found)
		}
	}
}
