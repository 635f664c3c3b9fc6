package check_test

import (
	"fmt"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/check"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
)

func law(t *testing.T, id string) *market.Law {
	t.Helper()
	on, err := day.Parse("2026-11-26")
	if err != nil {
		t.Fatal(err)
	}
	l, err := market.On(id, on)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// A base of soap, scent and clay in hundredths of what is not volatile, and a fifth of
// water, which never counts. Half or less of soap is not the bulk of it, up to three
// fifths are doubtful, and whether the scent counts decides for the maker.
func TestSoap(t *testing.T) {
	for _, tt := range []struct {
		soap, scent float64
		class       string
		level       finding.Level
		found       bool
	}{
		{40, 0, "cosmetic", finding.Stop, true},
		{49.9999, 0, "cosmetic", finding.Stop, true},
		{50, 0, "cosmetic", finding.Stop, true},
		{50.0001, 0, "soap", finding.Warn, true},
		{59.9999, 0, "soap", finding.Warn, true},
		{60, 0, "soap", finding.Warn, true},
		{60.0001, 0, "soap", 0, false},
		{47.9999, 4, "cosmetic", finding.Stop, true},
		{48, 4, "cosmetic", finding.Stop, true}, // of 96 without the scent
		{48.0001, 4, "soap", finding.Warn, true},
		{60, 4, "soap", finding.Warn, true}, // of 100 with it
		{60.0001, 4, "soap", 0, false},
	} {
		t.Run(fmt.Sprintf("%g soap, %g scent", tt.soap, tt.scent), func(t *testing.T) {
			base := fmt.Sprintf("name: Base\nkind: base\nallergens: {Linalool: 1%%}\norder: unknown\ncontains:\n  - {inci: Aqua, share: 20%%}\n  - {inci: Sodium Cocoate, share: %.5f%%}\n  - {inci: Kaolin, share: %.5f%%}\n", 0.8*tt.soap, 0.8*(100-tt.soap-tt.scent))
			if tt.scent > 0 {
				base += fmt.Sprintf("  - {inci: Parfum, share: %.5f%%}\n", 0.8*tt.scent)
			}
			m, _, err := formula.ReadMaterial("materials/base.yaml", []byte(base))
			if err != nil {
				t.Fatal(err)
			}
			f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\nbase: [{material: base, weight: 900 g}]\n"))
			if err != nil {
				t.Fatal(err)
			}
			batter, poured := bar.Pour(f, formula.NewLibrary([]formula.Material{m}))
			if batter == nil {
				t.Fatal(poured)
			}
			class, found, err := check.Soap(batter, law(t, "us-soap"))
			if err != nil || class != tt.class || len(found) > 0 != tt.found || tt.found && found[0].Level != tt.level {
				t.Errorf("class %s, findings %v, error %v", class, found, err)
			}
			if class, found, err := check.Soap(batter, law(t, "eu")); err != nil || class != "cosmetic" || len(found) > 0 {
				t.Errorf("eu: class %s, findings %v, error %v", class, found, err)
			}
		})
	}
}
