package check_test

import (
	"strings"
	"testing"

	"saponym/internal/check"
)

// Annex IV to Regulation (EC) No 1223/2009 and 21 CFR Parts 73 and 74 differ: carbon
// black (CI 77266) is in the one (entry 126), and in the other for eyes, lips and nails
// alone (21 CFR 74.2052); resorcin brown (CI 20170) is in the other only. Red 33 is of
// certified lots in the US (21 CFR 74.2333, from memory), and ultramarines are for the
// outside there (21 CFR 73.2725). The rule of the US is recalled, so it warns.
func TestColours(t *testing.T) {
	one := func(inci string) string { return "name: Colour\nkind: colourant\ninci: " + inci + "\n" }
	for _, tt := range []struct {
		name, market, material string
		want                   []string
		says                   string
	}{
		{"listed", "eu", one("CI 77491"), nil, ""},
		{"listed in the US", "us-cosmetic", one("CI 77491"), nil, ""},
		{"not listed", "us-cosmetic", one("CI 77266"), []string{"US-COSMETIC-ADDITIVE-01 warn"}, "not on its list"},
		{"read to be not on the list", "eu", one("CI 20170"), []string{"EU-ANNEX-01 stop"}, "not on its list"},
		{"listed elsewhere", "eu", one("CI 77266"), nil, ""},
		{"unknown", "eu", one("Petalum Fictum Powder"), []string{"EU-ANNEX-01 warn"}, "Petalum Fictum Powder"},
		{"an ordinary ingredient", "eu", one("Mica"), nil, ""},
		{"certified lots", "us-cosmetic", one("CI 17200"), []string{"US-COSMETIC-ADDITIVE-01 note"}, "certified lots"},
		{"recalled to be not on the list", "eu", one("Bronze Powder"), []string{"EU-ANNEX-01 warn"}, "unconfirmed"},
		{"built in as something else", "eu", one("Sucrose"), []string{"EU-ANNEX-01 warn"}, "Sucrose"},
		{"with a condition", "us-cosmetic", one("CI 77007"), []string{"US-COSMETIC-ADDITIVE-01 note"}, "outside"},
		{"a law without a list", "us-soap", one("Petalum Fictum Powder"), nil, ""},
		{"each part of a blend", "us-cosmetic", "name: Mica\nkind: colourant\ncontains: [{inci: Mica}, {inci: CI 77266}, {inci: CI 77007}, {inci: CI 77891}]\norder: unknown\n",
			[]string{"US-COSMETIC-ADDITIVE-01 warn", "US-COSMETIC-ADDITIVE-01 note"}, ""},
		{"a carrier in a blend", "eu", "name: Paste\nkind: colourant\ncontains: [{inci: Glycerin}, {inci: CI 77491}]\norder: unknown\n", nil, ""},
		{"what is in no table in a blend", "eu", "name: Paste\nkind: colourant\ncontains: [{inci: Petalum Fictum Powder}, {inci: CI 77491}]\norder: unknown\n", []string{"EU-ANNEX-01 warn"}, ""},
		{"in what is called an additive", "us-cosmetic", "name: Grit\nkind: additive\ncontains: [{inci: Kaolin}, {inci: CI 77007}]\norder: unknown\n", []string{"US-COSMETIC-ADDITIVE-01 note"}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			found, err := check.Colours(pour(t, olive+"add: [{material: colour, weight: 3 g}]\n", "colour", tt.material), law(t, tt.market))
			expect(t, found, err, tt.want...)
			for _, f := range found {
				if f.At.Line != 5 || f.Remedy == "" || !strings.Contains(f.Message, tt.says) || !strings.Contains(f.Message, "add[0]") {
					t.Errorf("finding %+v", f)
				}
			}
		})
	}
}
