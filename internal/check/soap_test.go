package check_test

import (
	"fmt"
	"strings"
	"testing"

	"saponym/internal/check"
	"saponym/internal/finding"
)

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
			batter := pour(t, "base: [{material: base, weight: 900 g}]\n", "base", base)
			class, found, err := check.Soap(batter, law(t, "us-soap"))
			if err != nil || class.Name != tt.class || len(found) > 0 != tt.found || tt.found && found[0].Level != tt.level {
				t.Errorf("class %v, findings %v, error %v", class, found, err)
			}
			if grams := fmt.Sprintf("%.1f g of soap are ", 900*0.8*tt.soap/100); !strings.HasPrefix(class.Because, grams) {
				t.Errorf("%q does not tell of the %s", class.Because, grams)
			}
			if class, found, err := check.Soap(batter, law(t, "eu")); err != nil || class.Name != "cosmetic" || class.Because == "" || len(found) > 0 {
				t.Errorf("eu: class %v, findings %v, error %v", class, found, err)
			}
		})
	}
}
