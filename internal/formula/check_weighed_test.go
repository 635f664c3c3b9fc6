package formula_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

func TestCheckWeighed(t *testing.T) {
	const head = "name: a\nidentity: soap\n"
	const pot = head + "size: {oils: 1 kg}\npot: [{material: olive-oil, share: 80%}, {material: castor-oil, share: 20%}]\n"
	const dry = pot + "lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\n"
	const solution = pot + "lye: {solution: lye-50, superfat: 5%}\n"
	const milk = pot + "lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}, liquids: [{material: goat milk, share: 50%}]}\n"
	const added = dry + "add: [{material: scent, share: 2%}, {batch: 26200-01-Y, share: 5%}, {material: kaolin, share: 1%, with: [{material: glycerin, share: 1%}]}]\n"
	const base = head + "base: [{material: clear-base, weight: 900 g}, {batch: 26200-01-Y, weight: 100 g}]\n"
	olive, castor, lye := "material: olive oil, weight: 790 g", "material: castor-oil, weight: 201 g", "material: sodium-hydroxide, weight: 128 g"
	whole := []string{olive, castor, lye}
	for _, tt := range []struct {
		name, formula string
		weighed       []string
		want          string // "line level RULE", with commas between them; the lots begin on line 5
		message       string // in the first finding
		remedy        string // and its remedy
	}{
		{"weighed whole, and an addition that was not weighed", added, whole, "", "", ""},
		{"with water, additions, and what they are stirred into", added, append(whole, "material: water, weight: 260 g", "material: scent, weight: 20 g", "batch: 26200-01-Y, weight: 51 g", "material: kaolin, weight: 9 g", "material: glycerin, weight: 11 g"), "", "", ""},
		{"two lots", dry, append(whole, "material: olive-oil, weight: 20 g, lot: b"), "", "", ""},
		{"a solution", solution, []string{olive, castor, "material: lye 50, weight: 260 g"}, "", "", ""},
		{"a base", base, []string{"material: clear base, weight: 890 g", "batch: 26200-01-Y, weight: 99 g"}, "", "", ""},

		{"another alkali too", dry, append(whole, "material: Potassium-hydroxide, weight: 9 g", "material: potassium hydroxide, weight: 1 g"), "8 stop FORM-OTHER-ALKALI", `"Potassium-hydroxide" went into the batch and is not in the formula, so how much became soap is not known`, "write a formula of its own"},
		{"another alkali instead", dry, []string{olive, castor, "material: potassium hydroxide, weight: 180 g"}, "5 stop FORM-PART-WEIGHED, 7 stop FORM-OTHER-ALKALI", `how much of "sodium hydroxide" went into the batch is not known`, `under "weighed"`},
		{"dry alkali in place of a solution", solution, whole, "5 stop FORM-PART-WEIGHED, 7 stop FORM-OTHER-ALKALI", `how much of "lye-50"`, ""},
		{"a solution in place of dry alkali", dry, []string{olive, castor, "material: lye-50, weight: 260 g"}, "5 stop FORM-PART-WEIGHED, 7 stop FORM-OTHER-THING", `how much of "sodium hydroxide"`, ""},
		{"alkali into a base", base, []string{"material: clear base, weight: 890 g", "batch: 26200-01-Y, weight: 99 g", lye}, "7 stop FORM-OTHER-ALKALI", "", ""},

		{"another oil", dry, append(whole, "material: shea-butter, weight: 50 g"), "8 stop FORM-OTHER-THING", `"shea-butter" went into the batch and is not in the formula, so what is in its bars is not known`, "write a formula of its own for this batch, or correct the record"},
		{"another thing that was not even weighed", dry, append(whole, "material: kaolin, lot: K1"), "8 stop FORM-OTHER-THING", "", ""},
		{"a slip", dry, append(whole, "material: oliv-oil, weight: 50 g"), "8 stop FORM-OTHER-THING", "", `did you mean "olive-oil"?`},
		{"other bars", added, append(whole, "batch: 26201-01-Y, weight: 50 g"), "8 stop FORM-OTHER-THING", `own bars of "26201-01-Y" went into the batch`, `did you mean "26200-01-Y"?`},
		{"a material with the name of a batch", base, []string{"material: clear base, weight: 890 g", "batch: 26200-01-Y, weight: 99 g", "material: 26200-01-Y, weight: 9 g"}, "7 stop FORM-OTHER-THING", "", ""},
		{"water into a base", base, []string{"material: clear base, weight: 890 g", "batch: 26200-01-Y, weight: 99 g", "material: water, weight: 9 g"}, "7 stop FORM-OTHER-THING", "", ""},
		{"water into a solution that is used as it is", solution, []string{olive, castor, "material: lye 50, weight: 260 g", "material: water, weight: 9 g"}, "8 stop FORM-OTHER-THING", "", ""},

		{"an oil that is missing", dry, []string{olive, lye}, "5 stop FORM-PART-WEIGHED", `how much of "castor-oil" went into the batch is not known from its record`, `write under "weighed" what the scale said of each lot`},
		{"an oil without its weight", dry, []string{olive, "material: castor oil, lot: C1", lye}, "6 stop FORM-PART-WEIGHED", `"castor-oil"`, ""},
		{"an oil and an alkali with a lot that has no weight", dry, append(whole, "material: olive-oil, lot: b", "material: sodium hydroxide, lot: b"), "5 stop FORM-PART-WEIGHED", `"olive-oil" and "sodium hydroxide"`, ""},
		{"additions alone", added, []string{"material: scent, weight: 20 g"}, "5 stop FORM-PART-WEIGHED", `"olive-oil", "castor-oil" and "sodium hydroxide"`, ""},
		{"own bars of a base", base, []string{"material: clear base, weight: 890 g"}, "5 stop FORM-PART-WEIGHED", `"26200-01-Y"`, ""},

		{"no weights", dry, []string{"material: olive-oil, lot: a", "material: castor-oil, lot: b"}, "1 note FORM-UNWEIGHED", "nothing in the batch has a weight: the amounts of the formula are taken", `under "weighed"`},
		{"no weights, and another oil", dry, []string{"material: shea-butter, lot: a"}, "1 note FORM-UNWEIGHED, 5 stop FORM-OTHER-THING", "", ""},

		{"an addition with a lot that has no weight", added, append(whole, "material: scent, weight: 12 g", "material: scent, lot: b"), "8 warn FORM-UNUSED-WEIGHT", `a lot of "scent" has no weight`, "of each lot"},
		{"an addition of which only the lot is known", added, append(whole, "material: scent, lot: b"), "", "", ""},
		{"milk, and the water beside it", milk, append(whole, "material: water, weight: 130 g", "material: goat-milk, weight: 150 g"), "8 note FORM-UNUSED-WEIGHT, 9 note FORM-UNUSED-WEIGHT", `the weight of "water" is not used`, "if another amount went in"},
		{"water beside a solution", strings.Replace(solution, "superfat: 5%", "superfat: 5%, water: {strength: 33%}", 1), []string{olive, castor, "material: lye 50, weight: 260 g", "material: water, weight: 9 g"}, "8 note FORM-UNUSED-WEIGHT", "", ""},
		{"water that goes into the lye and elsewhere", dry + "add: [{material: kaolin, share: 1%, with: [{material: water, share: 1%}]}]\n", append(whole, "material: water, weight: 270 g"), "8 note FORM-UNUSED-WEIGHT", "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			found := formula.CheckWeighed(readFormula(t, tt.formula), readBatch(t, tt.weighed...))
			var all []string
			for _, f := range found {
				all = append(all, fmt.Sprintf("%d %s %s", f.At.Line, f.Level, f.Rule))
				if f.At.File != "batches/b-1.yaml" || f.Message == "" || f.Remedy == "" {
					t.Errorf("a finding says too little: %+v", f)
				}
			}
			if got := strings.Join(all, ", "); got != tt.want {
				t.Fatalf("weighed %q: findings %+v\nwant %s", tt.weighed, found, tt.want)
			}
			if len(found) > 0 && (!strings.Contains(found[0].Message, tt.message) || !strings.Contains(found[0].Remedy, tt.remedy)) {
				t.Errorf("%s\n  do: %s\nwant %q and %q", found[0].Message, found[0].Remedy, tt.message, tt.remedy)
			}
		})
	}
}

// A batch that was read without the key, or made without a file, has a finding too.
func TestCheckWeighedOfNothing(t *testing.T) {
	f := readFormula(t, plain)
	b, _, _ := formula.ReadBatch("batches/b-1.yaml", []byte("code: b-1\nformula: x\nmade: 2026-11-26\n"))
	for place, b := range map[string]formula.Batch{"batches/b-1.yaml:1:7": b, "x.yaml": {File: "x.yaml"}} {
		found := formula.CheckWeighed(f, b)
		if len(found) != 1 || found[0].Rule != formula.RuleUnweighed || found[0].Level != finding.Note || found[0].At.String() != place {
			t.Errorf("findings %+v, want a note at %s", found, place)
		}
	}
}

// Where the formula comes back as it is, there is a finding that says so, and where it
// does not there is none.
func TestCheckWeighedTellsWhatAsWeighedDoes(t *testing.T) {
	const text = "name: a\nidentity: soap\nsize: {oils: 1 kg}\npot: [{material: a, share: 80%}, {material: b, share: 20%}]\n" +
		"lye: {alkali: [{alkali: sodium hydroxide, share: 90%}, {alkali: potassium hydroxide, share: 10%}], superfat: 5%, water: {strength: 33%}}\n" +
		"add: [{material: c, share: 2%}]\n"
	f := readFormula(t, text)
	rapid.Check(t, func(rt *rapid.T) {
		lots := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string {
			name := rapid.SampledFrom([]string{"a", "b", "sodium hydroxide", "potassium-hydroxide", "c", "d"}).Draw(t, "material")
			if rapid.IntRange(0, 7).Draw(t, "no weight") == 0 {
				return fmt.Sprintf("material: %s, lot: x", name)
			}
			return fmt.Sprintf("material: %s, weight: %d g", name, rapid.IntRange(1, 900).Draw(t, "grams"))
		}), 1, 12).Draw(rt, "lots")
		b := readBatch(t, lots...)
		told := false
		for _, x := range formula.CheckWeighed(f, b) {
			told = told || x.Rule == formula.RulePartWeighed || x.Rule == formula.RuleUnweighed
		}
		if same := cmp.Equal(f, formula.AsWeighed(f, b)); same != told {
			rt.Fatalf("the formula comes back as it is: %t; findings %+v", same, formula.CheckWeighed(f, b))
		}
	})
}
