package formula_test

import (
	"strings"
	"testing"
)

// The words of findings that name a way out which depends on what was typed.
func TestRemedies(t *testing.T) {
	sap := func(stated string) string { return "inci: a\nsap: " + stated + "\n" }
	for _, tt := range []struct{ name, file, in, level, message, remedy string }{
		{"g NaOH that stand in mg KOH", "materials/x.yaml", sap("0.135 mg KOH/g"), "stop", "is 0.1350 mg KOH/g; nothing", "did you mean 0.135 g NaOH/g (189.4 mg KOH/g)?"},
		{"g KOH that stand in mg KOH", "materials/x.yaml", sap("0.19 mg KOH/g"), "stop", "is 0.1900 mg KOH/g", "did you mean 0.19 g KOH/g (190.0 mg KOH/g)?"},
		{"either alkali in mg KOH", "materials/x.yaml", sap("0.183 mg KOH/g"), "stop", "is 0.1830 mg KOH/g", "did you mean 0.183 g NaOH/g (256.7 mg KOH/g), or 0.183 g KOH/g (183.0 mg KOH/g)?"},
		{"mg KOH that stand in g NaOH", "materials/x.yaml", sap("190 g NaOH/g"), "stop", "is 266522 mg KOH/g", "did you mean 190 mg KOH/g?"},
		{"mg NaOH that stand in g NaOH", "materials/x.yaml", sap("134-140 g NaOH/g"), "stop", "mg KOH/g", "did you mean 134-140 mg NaOH/g (188.0-196.4 mg KOH/g)?"},
		{"mg NaOH that stand in mg KOH", "materials/x.yaml", sap("135 mg KOH/g"), "warn", "is 135.0 mg KOH/g, which is that of no usual fat", "did you mean 135 mg NaOH/g (189.4 mg KOH/g)?"},
		{"g NaOH that stand in g KOH", "materials/x.yaml", sap("0.1397 g KOH/g"), "warn", "is 139.7 mg KOH/g", "did you mean 0.1397 g NaOH/g (196.0 mg KOH/g)?"},
		{"g KOH that stand in g NaOH", "materials/x.yaml", sap("0.21 g NaOH/g"), "warn", "is 294.6 mg KOH/g", "did you mean 0.21 g KOH/g (210.0 mg KOH/g)?"},
		{"a range partly above all fats", "materials/x.yaml", sap("190-270 mg NaOH/g"), "warn", "is 266.5-378.7 mg KOH/g; fats have 40 to 360", "did you mean 190-270 mg KOH/g?"},
		{"a figure of nothing", "materials/x.yaml", sap("1.9 g KOH/g"), "warn", "is 1900 mg KOH/g", "compare the figure and its unit with the supplier's document"},

		{"a negative figure", "materials/x.yaml", sap("-200 mg KOH/g"), "stop", "never negative", `write it as "196 mg KOH/g", or its figure in g NaOH/g`},

		{"constituents on one line", "materials/x.yaml", "contains: olive, coconut\n", "stop", `"contains" is a text; a list is expected`, `a line for each entry, such as "- {inci: Olea`},
		{"constituents as keys", "materials/x.yaml", "contains: {olive: 40%, coconut: 60%}\n", "stop", `"contains" is a mapping of keys; a list is expected`, `a line for each entry, such as "- {inci: Olea`},
		{"a constituent without its key", "materials/x.yaml", "contains: [olive, {inci: a}]\n", "stop", `entry 1 of "contains" is a text; a mapping of keys is expected`, `such as "{inci: Olea`},
		{"a list in the list", "materials/x.yaml", "contains: [[olive], {inci: a}]\n", "stop", `entry 1 of "contains" is a list`, `such as "{inci: Olea`},
		{"an empty list", "materials/x.yaml", "contains: []\n", "stop", "the list is empty", `a line for each: "- {inci: Olea`},
		{"a share that is no number", "materials/x.yaml", "contains: [{inci: a, share: .nan}]\n", "stop", `".nan" does not begin with a number`, `write a share as "5%"`},
		{"a share that is about", "materials/x.yaml", "contains: [{inci: a, share: ca. 30%}]\n", "stop", `how far off "ca. 30%" may be is not said`, `the range that the supplier means, such as "25-35%"`},
		{"the order of names alone", "materials/x.yaml", "contains: [{inci: a}, {inci: b}]\n", "note", "nothing is taken from the order", `"order: descending"`},

		{"no unit: g KOH", "materials/x.yaml", sap("0.19"), "stop", `"0.19" is no saponification value: it needs a unit`, "did you mean 0.19 g KOH/g (190.0 mg KOH/g)?"},
		{"no unit: g NaOH", "materials/x.yaml", sap("0.135"), "stop", "needs a unit", "did you mean 0.135 g NaOH/g (189.4 mg KOH/g)?"},
		{"no unit: g of either", "materials/x.yaml", sap("0.183"), "stop", "needs a unit", "did you mean 0.183 g NaOH/g (256.7 mg KOH/g), or 0.183 g KOH/g (183.0 mg KOH/g)?"},
		{"no unit: mg KOH", "materials/x.yaml", sap("190"), "stop", "needs a unit", "did you mean 190 mg KOH/g?"},
		{"no unit: a range of mg NaOH", "materials/x.yaml", sap("134-140"), "stop", `"134-140" is no`, "did you mean 134-140 mg NaOH/g (188.0-196.4 mg KOH/g)?"},
		{"no unit: a wax", "materials/x.yaml", sap("95"), "stop", "needs a unit", "did you mean 95 mg KOH/g, or 95 mg NaOH/g (133.3 mg KOH/g)?"},
		{"no unit, and a figure of nothing", "materials/x.yaml", sap("5"), "stop", "needs a unit", `as in "190 mg KOH/g" or "0.1355 g NaOH/g"`},
		{"a unit without its alkali", "materials/x.yaml", sap("0.19 g/g"), "stop", `"0.19 g/g" is no saponification value`, "did you mean 0.19 g KOH/g (190.0 mg KOH/g)?"},

		{"a slip in the name of an oil", "materials/x.yaml", "kind: liquid\ninci: a\nfat: 4%\nfat_of: coconut oill\n", "stop", `no oil "coconut oill" is built in`, `did you mean "coconut-oil"?`},
		{"no oil", "materials/x.yaml", "kind: liquid\ninci: a\nfat: 4%\nfat_of: kaolin\n", "stop", `no oil "kaolin" is built in`, `such as "butter"`},
		{"water and fat in an oil", "materials/x.yaml", "kind: oil\ninci: a\nfat: 4%\nwater: 2%\n", "stop", `"water" and "fat" tell of a moist thing such as milk, and the kind of this one is "oil"`, `write "kind: liquid"`},
		{"too much in a moist thing", "materials/x.yaml", "kind: liquid\ninci: a\nfat: 4%\nwater: 98%\n", "stop", "at least 102 % together", "at most 100 %"},
		{"a base and a size by oils", "formulas/x.yaml", "name: a\nidentity: soap\nsize: {oils: 1 kg}\nbase: [{material: b, share: 100%}]\n", "stop", "a ready-made base has none", `write "batter:"`},
		{"liquids", "formulas/x.yaml", strings.Replace(plain, "33%}", "33%}, liquids: [{material: a, share: 60%}, {material: b, share: 45%}]", 1), "stop", "stand in for 105 % of the water", "at most 100 % together"},
		{"crumbs in oil", "formulas/x.yaml", plain + "add: [{batch: b-1, share: 5%, with: [{material: olive-oil, share: 1%}]}]\n", "stop", `nothing goes with "b-1"`, `a line of its own under "add"`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			found, err := read(tt.file, []byte(tt.in))
			if err != nil || len(found) != 1 {
				t.Fatalf("findings %v, error %v", found, err)
			}
			f := found[0]
			if f.Level.String() != tt.level || !strings.Contains(f.Message, tt.message) || !strings.Contains(f.Remedy, tt.remedy) {
				t.Errorf("%s: %s\n  do: %s\nwant %s with %q, and %q", f.Level, f.Message, f.Remedy, tt.level, tt.message, tt.remedy)
			}
		})
	}
}

// What fats, waxes and fatty acids really have gets no finding, in any unit: the
// ranges of the Codex (CXS 33 and 210), of Ph. Eur. and of JECFA, as the data of
// package inci cite them.
func TestSAPOfRealFats(t *testing.T) {
	for _, stated := range []string{
		"184-196 mg KOH/g", "0.1312-0.1397 g NaOH/g", // olive oil
		"248-265 mg KOH/g", "0.183 g NaOH/g", // coconut oil
		"310-360 mg KOH/g", // fats of caprylic and capric acid
		"280.1 mg KOH/g",   // lauric acid
		"43-65 mg KOH/g",   // candelilla wax
		"87-104 mg KOH/g",  // beeswax
		"150-190 mg KOH/g", // rosin
		"168-181 mg KOH/g", // rapeseed oil rich in erucic acid
	} {
		if found, err := read("materials/x.yaml", []byte("inci: a\nsap: "+stated+"\n")); err != nil || len(found) > 0 {
			t.Errorf("%s: %v, error %v", stated, found, err)
		}
	}
}
