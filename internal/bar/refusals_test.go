package bar_test

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
)

// What cannot be known exactly is refused with its place.
func TestRefusals(t *testing.T) {
	const start = "name: Test\nidentity: soap\n"
	const lye = "lye: {alkali: sodium hydroxide, purity: 98%, superfat: 5%, water: {per_lye: 2}}\n"
	blendOf := func(lines string) formula.Material {
		return material(t, "house-blend", "name: House blend\nkind: oil blend\ncontains:\n"+lines)
	}
	lot := func(figure string) formula.Material {
		return material(t, "thing", "name: Olive oil of the mill\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\n"+figure+"\n")
	}
	for _, tt := range []struct {
		name, text string
		own        []formula.Material
		want       string
	}{
		{"lye-heavy", start + "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, weight: 140 g, water: {per_lye: 2}}\n", nil, "4:15 stop BAR-LYE-HEAVY"},
		{"no amount of alkali", start + "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, water: {per_lye: 2}}\n", nil, "4:6 stop BAR-LYE-AMOUNT"},
		{"unknown material", start + "pot: [{material: olvie-oil, weight: 1000 g}]\n" + lye, nil, "3:18 stop BAR-MATERIAL"},
		{"no kind", start + "pot: [{material: thing, weight: 1000 g}]\n" + lye,
			[]formula.Material{material(t, "thing", "name: Thing\ninci: Cocos Nucifera Oil\n")}, "3:18 stop BAR-KIND"},
		{"an order only", start + "pot: [{material: house-blend, weight: 900 g}]\n" + lye,
			[]formula.Material{blendOf("  - {inci: Olea Europaea (Olive) Fruit Oil}\n  - {inci: Cocos Nucifera (Coconut) Oil}\norder: descending\n")}, "4:15 stop BAR-LYE-HEAVY"},
		{"an oil of which nothing is known", start + "pot: [{material: moon-oil, weight: 900 g}]\n" + lye,
			[]formula.Material{material(t, "moon-oil", "name: Moon oil\nkind: oil\ninci: Luna Fantastica Seed Oil\nsap: 190 mg KOH/g\n")}, "3:7 stop BAR-SAP"},
		{"a SAP for the other alkali", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 136 mg KOH/g")}, "4:6 stop BAR-SAP-RANGE"},
		{"fatty acids that are not those of the oil", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("fatty_acids: {lauric: 100%}")}, "4:15 stop BAR-SAP-RANGE"},
		{"more alkali than olive oil is known to bind", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 215 mg KOH/g")}, "4:15 warn BAR-LYE-HEAVY"},
		{"more alkali than coconut oil binds by a text that was read", start + "pot: [{material: house-blend, weight: 900 g}]\n" + lye,
			[]formula.Material{blendOf("  - {inci: Cocos Nucifera (Coconut) Oil, share: 100%}\nsap: 290 mg KOH/g\n")}, "4:15 stop BAR-LYE-HEAVY"},
		{"a blend with more acid than its SAP", start + "pot: [{material: house-blend, weight: 900 g}]\n" + lye,
			[]formula.Material{blendOf("  - {inci: Olea Europaea (Olive) Fruit Oil, share: 99%}\n  - {inci: Palmitic Acid, share: 1%}\nsap: 173 mg KOH/g\nacid_value: 185 mg KOH/g\n")}, "6:6 stop BAR-FIGURES"},
		{"one part of which a range is known", start + "pot: [{material: house-blend, weight: 900 g}]\n" + lye,
			[]formula.Material{blendOf("  - {inci: Olea Europaea (Olive) Fruit Oil, share: 60-100%}\n")}, "3:18 stop BAR-UNPROVED"},
		{"a SAP just outside the books leaves the margin", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 200 mg KOH/g")}, "4:15 warn BAR-LYE-MARGIN"},
		{"a SAP just outside the books", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 200 mg KOH/g")}, "4:6 warn BAR-SAP-RANGE"},
		{"more acid than SAP", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 190 mg KOH/g\nacid_value: 250 mg KOH/g")}, "3:18 stop BAR-FIGURES"},
		{"hardly any fat", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 190 mg KOH/g\nunsaponifiable: 99%")}, "3:18 stop BAR-FIGURES"},
		{"a blend's SAP that its oils cannot have", start + "pot: [{material: house-blend, weight: 900 g}]\n" + lye,
			[]formula.Material{blendOf("  - {inci: Olea Europaea (Olive) Fruit Oil, share: 70%}\n  - {inci: Cocos Nucifera (Coconut) Oil, share: 30%}\nsap: 293 mg KOH/g\n")}, "6:6 stop BAR-SAP-RANGE"},
		{"a name that three pigments share", start + "pot: [{material: olive-oil, weight: 900 g}]\nadd: [{material: rust, weight: 2 g}]\n" + lye,
			[]formula.Material{material(t, "rust", "name: Rust\nkind: colourant\ninci: Iron Oxides\n")}, "3:7 stop BAR-AMBIGUOUS"},
		{"a fat that is called an additive", start + "pot: [{material: olive-oil, weight: 900 g}]\nadd: [{material: fat, weight: 20 g}]\n" + lye,
			[]formula.Material{material(t, "fat", "name: Fat\nkind: additive\ninci: Cocos Nucifera Oil\n")}, "3:7 stop BAR-KIND"},
		{"a need that hangs on the acid value", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 190 mg KOH/g\nacid_value: 0-60 mg KOH/g\nreactivity: 30%")}, "4:15 stop BAR-LYE-HEAVY"},
		{"an acid value above the SAP at one end", start + "pot: [{material: thing, weight: 900 g}]\n" + lye, []formula.Material{lot("sap: 190 mg KOH/g\nacid_value: 0-250 mg KOH/g")}, "3:18 stop BAR-FIGURES"},
		{"soap of oils alone", start + "pot: [{material: olive-oil, weight: 900 g}]\nadd: [{material: bar, weight: 60 g}]\n" + lye,
			[]formula.Material{material(t, "bar", "name: Bar\nkind: soap\ncontains:\n  - {inci: Olea Europaea (Olive) Fruit Oil}\n  - {inci: Aqua}\n")}, "4:18 stop BAR-CRUMBS"},
		{"a list without end", start + "pot: [{material: house-blend, weight: 900 g}]\n" + lye,
			[]formula.Material{blendOf(strings.Repeat("  - {inci: Cocos Nucifera (Coconut) Oil}\n", formula.MostListed+1))}, "3:18 stop BAR-UNPROVED"},
		{"no lye at all", start + "pot: [{material: olive-oil, weight: 900 g}]\nlye: {alkali: sodium hydroxide, purity: 98%, superfat: 100%, water: {weight: 100 g}}\n", nil, "4:6 stop BAR-LYE-AMOUNT"},
		{"a purity of next to nothing", start + "pot: [{material: olive-oil, weight: 900 g}]\nlye: {alkali: sodium hydroxide, purity: 1%, superfat: 5%, water: {per_lye: 2}}\n", nil, "4:41 stop BAR-PURITY"},
		{"late oil in a cold process", start + "pot: [{material: olive-oil, weight: 900 g}]\nadd: [{material: castor-oil, weight: 9 g, at: after}]\n" + lye, nil, "4:47 stop BAR-LATE-OIL"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, findings := pour(t, tt.text, tt.own...)
			if got := rules(findings); !slices.Contains(strings.Split(got, "\n"), tt.want) {
				t.Errorf("got\n%s\nwant %s", got, tt.want)
			}
			for _, f := range findings {
				if f.Level == finding.Stop && f.Remedy == "" {
					t.Errorf("a stop without a remedy: %s", f.Text())
				}
			}
			if b == nil || strings.Contains(tt.want, "warn") {
				return
			}
			if finding.Worst(findings) < finding.Stop {
				t.Error("nothing stops a label")
			}
		})
	}
}

// What is known as a set is reckoned with, and nothing stops a label of it but what lye
// makes of the worst case.
func TestSetsAreReckonedWith(t *testing.T) {
	const lye = "lye: {alkali: sodium hydroxide, purity: 97-99%, superfat: 8%, water: {per_lye: 2}}\n"
	const names = "contains:\n  - {inci: Olea Europaea (Olive) Fruit Oil}\n  - {inci: Cocos Nucifera (Coconut) Oil}\norder: descending\n"
	for what, own := range map[string]string{
		"an order, and what lye it needs": "name: Thing\nkind: oil blend\nsap: 205 mg KOH/g\n" + names,
		"ranges":                          "name: Thing\nkind: oil blend\ncontains:\n  - {inci: Olea Europaea (Olive) Fruit Oil, share: 60-70%}\n  - {inci: Cocos Nucifera (Coconut) Oil, share: 30-40%}\n",
		"a range of the lye it needs":     "name: Thing\nkind: oil blend\nsap: 205-212 mg KOH/g\n" + names,
		"an acid value as a range":        "name: Thing\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\nacid_value: 1-4 mg KOH/g\n",
		"unsaponifiable matter as one":    "name: Thing\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\nunsaponifiable: 1-2%\n",
		"a profile with a gap":            "name: Thing\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\nfatty_acids: {oleic: 70%, palmitic: 20%}\n",
	} {
		t.Run(what, func(t *testing.T) {
			b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: thing, weight: 900 g}]\n"+lye, material(t, "thing", own))
			if b == nil || finding.Worst(findings) == finding.Stop {
				t.Fatalf("refused:\n%s", rules(findings))
			}
			if r := b.Superfats(); !(r.Low >= 0 && r.Low <= b.Superfat() && b.Superfat() <= r.High && r.Low < r.High) {
				t.Errorf("a superfat of %v, and %v is shown", r, b.Superfat())
			}
		})
	}
}

// told gives each finding as "file:line:col level rule".
func told(f finding.Finding) string {
	return fmt.Sprintf("%s:%d:%d %s %s", path.Base(f.At.File), f.At.Line, f.At.Col, f.Level, f.Rule)
}

// A refusal is a formula and the finding that it must have.
type refusal struct {
	name   string
	text   string // of the formula, after the head
	own    []formula.Material
	want   string // "file:line:col level rule"
	says   string // a part of the message
	way    string // a part of the remedy
	poured bool   // whether the weights can be known all the same
}

func (r refusal) check(t *testing.T, library formula.Library) {
	t.Helper()
	b, findings := bar.Pour(read(t, head+r.text), library)
	hit := slices.IndexFunc(findings, func(f finding.Finding) bool {
		return told(f) == r.want && strings.Contains(f.Message, r.says) && strings.Contains(f.Remedy, r.way)
	})
	if hit < 0 {
		t.Errorf("want %s, %q, %q; got", r.want, r.says, r.way)
		for _, f := range findings {
			t.Errorf("  %s: %s; %s", told(f), f.Message, f.Remedy)
		}
	}
	for _, f := range findings {
		if f.Level > finding.Note && f.Remedy == "" {
			t.Errorf("%s has no remedy: %s", told(f), f.Message)
		}
		if f.Level == finding.Stop && !strings.Contains(r.want, " stop ") {
			t.Errorf("%s stops what is only to be told: %s", told(f), f.Message)
		}
	}
	if (b != nil) != r.poured {
		t.Errorf("poured: %v, want %v", b != nil, r.poured)
	}
}

const (
	pot = "pot: [{material: olive-oil, weight: 1000 g}]\n"
	// soda begins a lye that a test ends.
	soda = "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, "
	lye  = soda + "water: {weight: 300 g}}\n"
)

func TestLyeJug(t *testing.T) {
	caustic := func(strength string) formula.Material {
		return material(t, "caustic", "name: Caustic\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: "+strength+"\n")
	}
	powder := material(t, "powder", "name: Powder\nkind: additive\norder: unknown\ncontains:\n  - {inci: Citric Acid}\n  - {inci: Kaolin}\n")
	for _, tt := range []refusal{
		{"stronger than alkali dissolves", pot + soda + "water: {strength: 55%}}\n", nil,
			"test.yaml:4:15 stop BAR-LYE-STRENGTH", "55.0 % sodium hydroxide", "give the lye more water", true},
		{"near the end of what dissolves", pot + soda + "water: {strength: 47%}}\n", nil,
			"test.yaml:4:15 warn BAR-LYE-STRENGTH", "47.0 % hydroxide", "give the lye more water", true},
		{"just what dissolves", pot + soda + "water: {strength: 50%}}\n", nil,
			"test.yaml:4:15 warn BAR-LYE-STRENGTH", "50.0 % hydroxide", "give the lye more water", true},
		{"potash dissolves better, from memory", pot + strings.Replace(soda, "sodium", "potassium", 1) + "water: {strength: 55%}}\n", nil,
			"test.yaml:4:15 warn BAR-LYE-STRENGTH", "from memory, for potassium hydroxide", "give the lye more water", true},
		{"milk at trace dissolves nothing", pot + soda + "water: {strength: 33%}, liquids: [{material: cow-milk, share: 60%, into: trace}]}\n", nil,
			"test.yaml:4:15 stop BAR-LYE-STRENGTH", "sodium hydroxide", "into the lye jug", true},
		{"milk in the oils dissolves nothing", pot + soda + "water: {strength: 33%}, liquids: [{material: cow-milk, share: 60%, into: oils}]}\n", nil,
			"test.yaml:4:15 stop BAR-LYE-STRENGTH", "sodium hydroxide", "into the lye jug", true},
		{"a solution that cannot be", pot + "lye: {solution: caustic, superfat: 5%}\n", []formula.Material{caustic("60%")},
			"test.yaml:4:17 stop BAR-LYE-STRENGTH", "60.0 %", "more water", true},
		{"liquids with too much water", pot + soda + "water: {weight: 200 g}, liquids: [{material: cow-milk, weight: 300 g}]}\n", nil,
			"test.yaml:4:6 stop BAR-WATER", "64.0 g less water", "take less of the liquids", false},
		{"a solution with too much water", pot + "lye: {solution: caustic, superfat: 5%, water: {weight: 100 g}}\n", []formula.Material{caustic("30%")},
			"test.yaml:4:6 stop BAR-WATER", "g less water", "give the lye more water", false},
		{"a liquid of unknown water", pot + soda + "water: {weight: 200 g}, liquids: [{material: tea, share: 50%}]}\n",
			[]formula.Material{material(t, "tea", "name: Tea\nkind: liquid\ninci: Camellia Sinensis Leaf\n")},
			"test.yaml:4:106 stop BAR-WATER", "is not known", "write water: 90%", false},
		{"an oil among the liquids", pot + soda + "water: {weight: 200 g}, liquids: [{material: castor-oil, share: 50%}]}\n", nil,
			"test.yaml:4:106 stop BAR-KIND", "is no liquid", "under the pot", false},
		{"a solution that is none", pot + "lye: {solution: kaolin, superfat: 5%}\n", nil,
			"test.yaml:4:17 stop BAR-KIND", "is no lye solution", "write kind: lye solution", false},
		{"a solution of nothing", pot + "lye: {solution: caustic, superfat: 5%}\n",
			[]formula.Material{material(t, "caustic", "name: Caustic\nkind: lye solution\ninci: Aqua\nstrength: 30%\n")},
			"test.yaml:4:17 stop BAR-KIND", "of which alkali", "write inci: Sodium Hydroxide", false},
		{"a solution of another alkali than is said", pot + "lye: {alkali: potassium hydroxide, solution: caustic, superfat: 5%}\n", []formula.Material{caustic("30%")},
			"test.yaml:4:15 stop BAR-KIND", "is a solution of sodium hydroxide", "name another solution", false},
		{"a solution of which there is too much", pot + "lye: {solution: caustic, weight: 500 g}\n", []formula.Material{caustic("30%")},
			"test.yaml:4:17 stop BAR-LYE-HEAVY", "10.7 % too much", "at least 48.6 g less Caustic", true}, // 135.449 g are in 451.5 g
		{"a superfat of everything", pot + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 100%, water: {weight: 200 g}}\n", nil,
			"test.yaml:4:6 stop BAR-LYE-AMOUNT", "nothing becomes soap", "below 100 %", false},
		{"a superfat of everything beside an acid", pot + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 100%, water: {weight: 200 g}}\nadd: [{material: citric-acid, weight: 9 g}]\n", nil,
			"test.yaml:4:6 stop BAR-LYE-AMOUNT", "take up all of the alkali", "take more alkali", false},
		{"an acid that takes all the lye", pot + "lye: {alkali: sodium hydroxide, purity: 100%, weight: 5 g, water: {weight: 200 g}}\nadd: [{material: citric-acid, weight: 9 g}]\n", nil,
			"test.yaml:4:6 stop BAR-LYE-AMOUNT", "take up all of the alkali", "take more alkali", false}, // 9 g take up 5.62 g
		{"a mixture that may hold more acid than the lye takes up", pot + "lye: {alkali: sodium hydroxide, purity: 100%, weight: 60 g, water: {weight: 200 g}}\nadd: [{material: powder, weight: 100 g}]\n", []formula.Material{powder},
			"test.yaml:5:18 stop BAR-LYE-AMOUNT", "1.50 mol of alkali are poured, and acids can take up 1.56 mol", `percentage of acid in "Powder"`, true}, // 100 g of citric acid, C₆H₈O₇
		{"a mixture that may hold no acid", pot + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 300 g}}\nadd: [{material: powder, weight: 100 g}]\n", []formula.Material{powder},
			"test.yaml:4:15 stop BAR-LYE-HEAVY", `the acid in "Powder"`, `percentage of acid in "Powder"`, true},
		{"a superfat that nothing can reach", pot + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {per_lye: 10}, liquids: [{material: rich, share: 100%}]}\n",
			[]formula.Material{material(t, "rich", "name: Rich cream\nkind: liquid\ninci: Cream\nwater: 30%\nfat: 65%\n")},
			"test.yaml:4:6 stop BAR-LYE-AMOUNT", "never be balanced", "take less of the liquids", false}, // each g of lye brings 21.7 g of fat
		{"a purity far below what is sold", pot + "lye: {alkali: sodium hydroxide, purity: 70%, superfat: 5%, water: {weight: 300 g}}\n", nil,
			"test.yaml:4:41 warn BAR-PURITY", "70 %", "certificate", true},
		{"a purity that is not said", pot + "lye: {alkali: sodium hydroxide, superfat: 5%, water: {weight: 300 g}}\n", nil,
			"test.yaml:4:15 note BAR-PURITY", "taken as 100 %", "write purity: 98%", true},
		{"carbonate", pot + "lye: {alkali: sodium hydroxide, purity: 95%, carbonate: 3%, superfat: 5%, water: {weight: 300 g}}\n", nil,
			"test.yaml:4:57 note BAR-CARBONATE", "is not counted as lye", "", true},
	} {
		t.Run(tt.name, func(t *testing.T) { tt.check(t, formula.NewLibrary(tt.own)) })
	}
}

func TestThingsAdded(t *testing.T) {
	additive := func(what string) []formula.Material {
		return []formula.Material{material(t, "thing", "name: Thing\nkind: additive\n"+what+"\n")}
	}
	base := material(t, "base", "name: Base\nkind: base\ncontains: [{inci: Sodium Stearate, share: 60%}, {inci: Aqua, share: 20%}, {inci: Propylene Glycol, share: 20%}]\n")
	const add = pot + lye + "add: [{material: "
	for _, tt := range []refusal{
		{"a little wax", "pot: [{material: olive-oil, weight: 900 g}, {material: beeswax, weight: 100 g}]\n" + lye, nil,
			"test.yaml:3:56 note BAR-WAX", "how much of beeswax a cold process takes up is not known", "", true},
		{"much wax", "pot: [{material: olive-oil, weight: 500 g}, {material: jojoba-oil, weight: 500 g}]\n" + lye, nil,
			"test.yaml:3:56 stop BAR-WAX", "lye-heavy by 41.4 %", "reactivity", true}, // 0.95 · (95 + 46.65) / (95 + 0.16)
		{"alkali among the additions", add + "sodium-hydroxide, weight: 20 g}]\n", nil,
			"test.yaml:5:18 stop BAR-KIND", "is alkali", "write it under lye", false},
		{"alkali under another name", add + "thing, weight: 20 g}]\n", additive("inci: Sodium Hydroxide"),
			"thing.yaml:3:7 stop BAR-KIND", "is alkali", "write it under lye", false},
		{"alkali within a mixture", add + "thing, weight: 20 g}]\n", additive("contains: [{inci: Aqua, share: 50%}, {inci: Potassium Hydroxide, share: 50%}]"),
			"thing.yaml:3:45 stop BAR-KIND", "Potassium Hydroxide is alkali", "write it under lye", false},
		{"a lye solution among the additions", add + "caustic, weight: 20 g}]\n", []formula.Material{material(t, "caustic", "name: C\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: 30%\n")},
			"test.yaml:5:18 stop BAR-KIND", "is alkali", "write it under lye", false},
		{"a fat that is called an additive", add + "thing, weight: 20 g}]\n", additive("inci: Cocos Nucifera Oil"),
			"thing.yaml:3:7 stop BAR-KIND", "is a fat", "write kind: oil", false},
		{"a fat within a colourant", add + "tint, weight: 20 g}]\n",
			[]formula.Material{material(t, "tint", "name: Tint\nkind: colourant\ncontains: [{inci: CI 77891, share: 50%}, {inci: Cocos Nucifera Oil, share: 50%}]\n")},
			"tint.yaml:3:49 stop BAR-KIND", "is a fat", "write kind: oil", false},
		{"honey", add + "honey, weight: 20 g}]\n", nil,
			"test.yaml:5:18 note BAR-SUGAR", "taking up no lye", "", true},
		{"a thing that lye changes", add + "epsom-salt, weight: 20 g}]\n", nil,
			"test.yaml:5:18 note BAR-REACTS", "insoluble magnesium soap", "", true},
		{"alkali in water, called a liquid", add + "thing, weight: 20 g}]\n", []formula.Material{material(t, "thing", "name: T\nkind: liquid\ninci: Sodium Hydroxide\nwater: 50%\n")},
			"thing.yaml:3:7 stop BAR-KIND", "is alkali", "write it under lye", false},
		{"fat in water, called a liquid", add + "thing, weight: 20 g}]\n", []formula.Material{material(t, "thing", "name: T\nkind: liquid\ninci: Cocos Nucifera Oil\nwater: 50%\n")},
			"thing.yaml:3:7 stop BAR-KIND", "is a fat", "write kind: oil", false},
		{"soda, which is not reckoned", add + "plant-ash, weight: 20 g}]\n", nil,
			"test.yaml:5:18 stop BAR-KIND", "is alkali", "only sodium and potassium hydroxide are reckoned", false},
		{"lactic acid as if it were pure", add + "lactic-acid, weight: 20 g}]\n", nil,
			"test.yaml:5:18 warn BAR-PURITY", "reckoned as pure", "water: 20%", true},
		{"acid that is strewn on top", add + "citric-acid, weight: 20 g, at: top}]\n", nil,
			"test.yaml:5:18 warn BAR-REACTS", "no lye is added for it", "leave it out", true},
		{"acid in a portion", pot + lye + "portions: {white: 50%, blue: 50%}\nadd: [{material: citric-acid, weight: 40 g, in: white}]\n", nil,
			"test.yaml:5:24 stop BAR-LYE-HEAVY", "the portion \"blue\" is lye-heavy", "at: lye", true},
		{"oil in a portion", pot + lye + "portions: {white: 50%, blue: 50%}\nadd: [{material: olive-oil, weight: 200 g, in: white}]\n", nil,
			"test.yaml:5:24 stop BAR-LYE-HEAVY", "the portion \"blue\" is lye-heavy", "at: oils", true},
		{"a scent that is said to leave", add + "lavender-oil, weight: 20 g, stays: 0%}]\n", nil,
			"test.yaml:5:53 stop BAR-LEAVES", "nothing in", "take stays out", false},
		{"hardly any lye", pot + "lye: {alkali: sodium hydroxide, purity: 98%, superfat: 60%, water: {per_lye: 2}}\n", nil,
			"test.yaml:4:15 warn BAR-SUPERFAT", "60 % of the oils stay oil", "what was meant", true},
		{"lye into a base", "base: [{material: base, weight: 900 g}]\nadd: [{material: kaolin, weight: 9 g, at: lye}]\n", []formula.Material{base},
			"test.yaml:4:43 stop BAR-KIND", "no lye in a base", "leave the time out", false},
		{"alcohol that may stay", add + "ethanol, weight: 20 g}]\n", nil,
			"test.yaml:5:18 warn BAR-LEAVES", "reckoned as if all of it did", "write stays: 0%", true},
		{"an oil that leaves", add + "castor-oil, weight: 20 g, stays: 0%}]\n", nil,
			"test.yaml:5:51 stop BAR-LEAVES", "nothing in", "take stays out", false},
		{"an acid that leaves", add + "citric-acid, weight: 20 g, stays: 0%}]\n", nil,
			"test.yaml:5:52 stop BAR-LEAVES", "nothing in", "take stays out", false},
		{"oil on top in the cold process", add + "castor-oil, weight: 9 g, at: top}]\n", nil,
			"test.yaml:5:47 stop BAR-LATE-OIL", "is to stay an oil", "hot process", false},
		{"a name that no list has", add + "thing, weight: 20 g}]\n", additive("inci: Unobtainium Powder"),
			"thing.yaml:3:7 note BAR-UNLISTED", "printed as typed", "spelling", true},
		{"milk of an unknown animal", add + "moon-milk, weight: 20 g}]\n", []formula.Material{material(t, "moon-milk", "name: Moon milk\nkind: liquid\ninci: Moon Milk\nwater: 88%\nfat: 4%\n")},
			"test.yaml:5:18 stop BAR-SAP", "the fat in \"moon-milk\"", "write fat_of:", false},
		{"more than all of it", add + "ale, weight: 20 g}]\n", []formula.Material{material(t, "ale", "name: Ale\nkind: liquid\ninci: Beer\nwater: 98%\n")},
			"test.yaml:5:18 stop BAR-CONTRADICTION", "more than 100 %", "compare", false},
		{"an acid in a base that is melted", "base: [{material: base, weight: 900 g}]\nadd: [{material: citric-acid, weight: 9 g}]\n", []formula.Material{base},
			"test.yaml:4:18 warn BAR-REACTS", "takes alkali from the soap", "leave it out", true},
		{"yogurt in a base that is melted", "base: [{material: base, weight: 900 g}]\nadd: [{material: yogurt, weight: 9 g}]\n", []formula.Material{base},
			"test.yaml:4:18 warn BAR-REACTS", "Lactic Acid", "leave it out", true},
		{"an oil that is called a base", "base: [{material: castor-oil, weight: 900 g}]\n", nil,
			"test.yaml:3:19 stop BAR-KIND", "is no finished soap", "name the base", false},
		{"wax of which a part is said, and too little superfat", "pot: [{material: olive-oil, weight: 500 g}, {material: wax, weight: 500 g}]\n" + lye,
			[]formula.Material{material(t, "wax", "name: Wax\nkind: oil\ninci: Cera Alba\nreactivity: 50%\n")},
			"test.yaml:3:56 warn BAR-WAX", "lye-heavy", "take a larger superfat", true},
		{"nothing but wax that lye does not reach", "pot: [{material: wax, weight: 900 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, weight: 20 g, water: {weight: 300 g}}\n",
			[]formula.Material{material(t, "wax", "name: Wax\nkind: oil\ninci: Cera Alba\nsap: 95 mg KOH/g\nacid_value: 0 mg KOH/g\nreactivity: 0%\n")},
			"test.yaml:4:6 stop BAR-LYE-AMOUNT", "no fat that the lye could turn into soap", "name the oils", false},
		{"an acid after the cook", pot + lye + "process: hot\nadd: [{material: citric-acid, weight: 9 g, at: after}]\n", nil,
			"test.yaml:6:18 warn BAR-REACTS", "sets fatty acids free", "before the lye has done its work", true},
		{"clay that is called an oil", "pot: [{material: clay, weight: 900 g}]\n" + lye, []formula.Material{material(t, "clay", "name: Clay\nkind: oil\ninci: Kaolin\n")},
			"clay.yaml:3:7 stop BAR-SAP", "is no fat", "move it to add", false},
		{"a kaolin pot", "pot: [{material: kaolin, weight: 900 g}]\n" + lye, nil,
			"test.yaml:3:18 stop BAR-KIND", "is no oil", "move it to add", false},
	} {
		t.Run(tt.name, func(t *testing.T) { tt.check(t, formula.NewLibrary(tt.own)) })
	}
}

// A value for one alkali in the place of one for the other is off by the ratio of their
// molar masses, 1.4027: 40 % too much lye, or 29 % too little. It is refused where the
// oil is known, whichever way round and in whichever unit it stands.
func TestValuesForTheOtherAlkali(t *testing.T) {
	of := func(inci, sap, more string) []formula.Material {
		return []formula.Material{oil(t, inci, "sap: "+sap+"\n"+more)}
	}
	const text = "pot: [{material: lot, weight: 1000 g}]\n" + lye
	const coconut = "Cocos Nucifera (Coconut) Oil"
	const oleic, lauric = "fatty_acids: {oleic: 80%, palmitic: 20%}\n", "fatty_acids: {lauric: 80%, palmitic: 20%}\n"
	for _, tt := range []refusal{
		{"olive: potash for soda", text, of(olive, "0.190 g NaOH/g", ""), "lot.yaml:4:6 stop BAR-SAP-RANGE", "266.5", "mg KOH/g or g NaOH/g", false},
		{"olive: soda for potash", text, of(olive, "135 mg KOH/g", ""), "lot.yaml:4:6 stop BAR-SAP-RANGE", "184 to 196 in the books", "mg KOH/g or g NaOH/g", false},
		{"coconut: potash for soda", text, of(coconut, "256 mg NaOH/g", ""), "lot.yaml:4:6 stop BAR-SAP-RANGE", "359.1", "mg KOH/g or g NaOH/g", false},
		{"coconut: soda for potash, which is a usual figure", text, of(coconut, "0.183 g KOH/g", ""), "lot.yaml:4:6 stop BAR-SAP-RANGE", "248 to 265 in the books", "mg KOH/g or g NaOH/g", false},
		{"the fatty acids tell it first", text, of(olive, "135.5 mg KOH/g", oleic), "lot.yaml:4:6 stop BAR-PROFILE", "its fatty acids give 192.3", "the unit", false},
		{"a value too low for its fatty acids", text, of(olive, "190 mg KOH/g", lauric), "lot.yaml:4:6 stop BAR-PROFILE", "its fatty acids give 250.6", "compare both", false},
		{"a value too high for its fatty acids", text, of(coconut, "256 mg KOH/g", oleic), "lot.yaml:4:6 stop BAR-PROFILE", "its fatty acids give 192.3", "compare both", false},
		{"a little too low", text, of(olive, "184 mg KOH/g", oleic), "lot.yaml:4:6 warn BAR-PROFILE", "184", "compare both", true},
		{"a little too high", text, of(coconut, "262 mg KOH/g", lauric), "lot.yaml:4:6 warn BAR-PROFILE", "262", "compare both", true},
	} {
		t.Run(tt.name, func(t *testing.T) { tt.check(t, formula.NewLibrary(tt.own)) })
	}
}

// shopMoulds is a shop that has one loaf mould.
func shopMoulds(t testing.TB) map[string]formula.Mould {
	t.Helper()
	shop, findings, err := formula.ReadShop("shop.yaml", []byte("maker: {name: Larch & Lather, address: [1 Mill Lane]}\nmoulds: {loaf: {holds: 1200 ml}, slab: {batter: 1500 g}, tray: {oils: 700 g}}\n"))
	if err != nil || finding.Worst(findings) == finding.Stop {
		t.Fatal(findings, err)
	}
	return shop.Moulds
}

func TestSizes(t *testing.T) {
	const shares = "pot: [{material: olive-oil, share: 100%}]\n"
	for _, tt := range []refusal{
		{"a mould that is nearly there", "size: {mould: loaff}\n" + shares + lye, nil,
			"test.yaml:3:15 stop BAR-MOULD", "no mould \"loaff\"", "did you mean \"loaf\"?", false},
		{"a mould that is nowhere", "size: {mould: bathtub}\n" + shares + lye, nil,
			"test.yaml:3:15 stop BAR-MOULD", "no mould \"bathtub\"", "write it under moulds in shop.yaml", false},
		{"a mould that is too small for its bars", "size: {mould: loaf}\n" + shares + lye + "cuts: {bar: {count: 20, length: 80 mm, width: 55 mm, height: 25 mm}}\n", nil,
			"test.yaml:3:15 warn BAR-MOULD", "2200 ml together, and the mould \"loaf\" holds 1200 ml", "larger mould", true},
		{"no room for oils", "size: {batter: 100 g}\n" + shares + lye, nil,
			"test.yaml:3:16 stop BAR-SIZE", "no room for oils", "take a larger size", false},
		{"no room for a base", "size: {batter: 10 g}\nbase: [{material: base, share: 100%}]\nadd: [{material: kaolin, weight: 20 g}]\n",
			[]formula.Material{material(t, "base", "name: Base\nkind: base\ncontains: [{inci: Sodium Stearate, share: 60%}, {inci: Aqua, share: 40%}]\n")},
			"test.yaml:3:16 stop BAR-SIZE", "no room for oils", "take a larger size", false},
		{"a size that no lye satisfies", "size: {mould: loaf}\n" + shares + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {per_lye: 10}, liquids: [{material: rich, share: 100%}]}\n",
			[]formula.Material{material(t, "rich", "name: Rich cream\nkind: liquid\ninci: Cream\nwater: 30%\nfat: 65%\n")},
			"test.yaml:3:15 stop BAR-SIZE", "no weight of lye satisfies", "liquids", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.check(t, formula.NewLibrary(tt.own).WithMoulds(shopMoulds(t)))
		})
	}
}

// A mould takes just what it holds, whichever way that is said.
func TestSizesAreReached(t *testing.T) {
	const rest = "pot: [{material: olive-oil, share: 70%}, {material: coconut-oil, share: 30%}]\n" + soda + "water: {strength: 33%}, liquids: [{material: goat-milk, share: 50%}]}\nadd: [{material: honey, share: 2%}, {material: kaolin, weight: 20 g}, {material: citric-acid, share: 1%}]\n"
	library := formula.Library{}.WithMoulds(shopMoulds(t))
	for mould, figure := range map[string]func(*bar.Batter) (got, want float64){
		"loaf": func(b *bar.Batter) (float64, float64) { return b.Volume, 1200 },
		"slab": func(b *bar.Batter) (float64, float64) { return b.Mass(), 1500 },
		"tray": func(b *bar.Batter) (float64, float64) { return b.Oils, 700 },
	} {
		b, findings := bar.Pour(read(t, head+"size: {mould: "+mould+"}\n"+rest), library)
		if b == nil {
			t.Fatalf("%s:\n%s", mould, rules(findings))
		}
		got, want := figure(b)
		about(t, mould, got, want, 1e-6)
		about(t, mould+": superfat", b.Superfat(), 0.05, 1e-9)
	}
}

func TestCrumbs(t *testing.T) {
	soap := func(list string) []formula.Material {
		return []formula.Material{material(t, "crumbs", "name: Crumbs\nkind: soap\n"+list+"\n")}
	}
	const text = pot + lye + "add: [{material: crumbs, weight: 20 g}]\n"
	for _, tt := range []refusal{
		{"without a list", text, soap("inci: Sodium Cocoate"),
			"test.yaml:5:18 stop BAR-CRUMBS", "is not known", "write contains:", false},
		{"as put in the pot, lye-heavy", text, soap("contains: [{inci: Cocos Nucifera Oil, share: 60%}, {inci: Aqua, share: 20%}, {inci: Sodium Hydroxide, share: 20%}]"),
			"test.yaml:5:18 stop BAR-CRUMBS", "more alkali than its oils bind", "put that right first", false},
		{"with alkali and with soap", text, soap("contains: [{inci: Cocos Nucifera Oil, share: 60%}, {inci: Aqua, share: 20%}, {inci: Sodium Olivate, share: 10%}, {inci: Sodium Hydroxide, share: 10%}]"),
			"crumbs.yaml:3:85 stop BAR-CRUMBS", "with its alkali and with soap too", "of what went into the pot, or of what came of it", false},
		{"as put in the pot", text, soap("contains: [{inci: Cocos Nucifera Oil, share: 60%}, {inci: Aqua, share: 30%}, {inci: Sodium Hydroxide, share: 10%}]"),
			"test.yaml:5:18 note BAR-CRUMBS", "is not known: it is taken as", "", true},
		{"a base without a list", "base: [{material: base, weight: 900 g}]\n", []formula.Material{material(t, "base", "name: Base\nkind: base\ninci: Sodium Stearate\n")},
			"test.yaml:3:19 stop BAR-CRUMBS", "is not known", "write contains:", false},
	} {
		t.Run(tt.name, func(t *testing.T) { tt.check(t, formula.NewLibrary(tt.own)) })
	}
}

// What a list of the pot comes to: 60 g of coconut oil at 256.5 mg KOH/g and 10 g of
// sodium hydroxide in 100 g. A mole of hydroxide makes a third of one of glycerol, and
// a tenth of what is left is water.
func TestListOfThePotIsPoured(t *testing.T) {
	own := material(t, "crumbs", "name: Crumbs\nkind: soap\ncontains: [{inci: Cocos Nucifera Oil, share: 60%}, {inci: Aqua, share: 30%}, {inci: Sodium Hydroxide, share: 10%}]\n")
	_, alone := made(t, pot+lye)
	b, c := made(t, pot+lye+"add: [{material: crumbs, weight: 100 g}]\n", own)
	about(t, "superfat", b.Superfat(), 0.05, 1e-12)
	const bars = 70 / 0.9 // 60 g of oil and 10 g of hydroxide, and a tenth water
	about(t, "water", c.Water-alone.Water, 10, 1e-9)
	about(t, "glycerol", c.Glycerol-alone.Glycerol, 100/bars*10/39.99676928*92.094/3, 1e-6)
}

// inShop is a library with two batches: one of plain bars, and one that holds crumbs of
// whatever stands in more.
func inShop(t testing.TB, more string) formula.Library {
	t.Helper()
	texts := map[string]string{
		"plain": head + pot + lye,
		"mixed": head + pot + lye + more,
		"heavy": head + pot + "lye: {alkali: sodium hydroxide, purity: 100%, weight: 150 g, water: {weight: 300 g}}\n",
	}
	var batches []formula.Batch
	for _, b := range [][2]string{{"26200-01-Y", "plain"}, {"26201-01-Y", "mixed"}, {"26202-01-Y", "gone"}, {"26203-01-Y", "heavy"}} {
		batch, findings, err := formula.ReadBatch("batches/"+b[0]+".yaml", []byte("code: "+b[0]+"\nformula: "+b[1]+"\nmakes: bars\nmade: 2026-07-20\n"))
		if err != nil || finding.Worst(findings) == finding.Stop {
			t.Fatal(findings, err)
		}
		batches = append(batches, batch)
	}
	return formula.Library{}.WithBatches(batches, func(id string) (formula.Formula, bool) {
		text, ok := texts[id]
		if !ok {
			return formula.Formula{}, false
		}
		f, _, err := formula.ReadFormula("formulas/"+id+".yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return f, true
	})
}

func TestOwnBarsAsCrumbs(t *testing.T) {
	of := func(code string) string { return "add: [{batch: " + code + ", weight: 100 g}]\n" }
	for _, tt := range []struct {
		refusal
		inBatch string // what stands in the mixed batch
	}{
		{refusal{"whose making is known", pot + lye + of("26200-01-Y"), nil,
			"test.yaml:5:15 note BAR-CRUMBS", "is not known: it is taken as", "", true}, ""},
		{refusal{"with crumbs in them", pot + lye + of("26201-01-Y"), nil,
			"test.yaml:5:15 note BAR-CRUMBS", "is not known: it is taken as", "", true}, of("26200-01-Y")},
		{refusal{"in themselves", pot + lye + of("26201-01-Y"), nil,
			"test.yaml:5:15 stop BAR-CRUMBS", "would be crumbs in itself", "put that right first", false}, of("26201-01-Y")},
		{refusal{"of a batch whose formula is not there", pot + lye + of("26202-01-Y"), nil,
			"test.yaml:5:15 stop BAR-MATERIAL", "no batch \"26202-01-Y\" whose formula is known", "", false}, ""},
		{refusal{"of no batch at all", pot + lye + of("26299-01-Y"), nil,
			"test.yaml:5:15 stop BAR-MATERIAL", "no batch \"26299-01-Y\"", "did you mean", false}, ""},
		{refusal{"of a batch that is lye-heavy", pot + lye + of("26203-01-Y"), nil,
			"test.yaml:5:15 stop BAR-CRUMBS", "lye-heavy", "put that right first", false}, ""},
		{refusal{"by way of a lye-heavy batch", pot + lye + of("26201-01-Y"), nil,
			"test.yaml:5:15 stop BAR-CRUMBS", "lye-heavy", "put that right first", false}, of("26203-01-Y")},
	} {
		t.Run(tt.name, func(t *testing.T) { tt.check(t, inShop(t, tt.inBatch)) })
	}
}

// A circle of batches is told with all that stand in it.
func TestCircleOfBatches(t *testing.T) {
	texts := map[string]string{"one": "26301-01-Y", "two": "26302-01-Y"}
	var batches []formula.Batch
	for code, id := range map[string]string{"26301-01-Y": "two", "26302-01-Y": "one"} {
		batch, _, err := formula.ReadBatch("batches/"+code+".yaml", []byte("code: "+code+"\nformula: "+id+"\nmakes: bars\nmade: 2026-07-20\n"))
		if err != nil {
			t.Fatal(err)
		}
		batches = append(batches, batch)
	}
	of := func(id string) (formula.Formula, bool) {
		return read(t, head+pot+lye+"add: [{batch: "+texts[id]+", weight: 10 g}]\n"), true
	}
	first, _ := of("one")
	b, findings := bar.Pour(first, formula.Library{}.WithBatches(batches, of))
	if b != nil {
		t.Error("it is poured")
	}
	if !slices.ContainsFunc(findings, func(f finding.Finding) bool {
		return told(f) == "test.yaml:5:15 stop BAR-CRUMBS" && strings.Contains(f.Message, "26301-01-Y, 26302-01-Y, 26301-01-Y") && f.Remedy != ""
	}) {
		t.Errorf("got %+v", findings)
	}
}

// Own bars bring what is in them: 100 g with a tenth of water.
func TestOwnBarsBringWhatIsInThem(t *testing.T) {
	library := inShop(t, "")
	b, findings := bar.Pour(read(t, head+pot+lye+"add: [{batch: 26200-01-Y, weight: 100 g}]\n"), library)
	if b == nil {
		t.Fatal(rules(findings))
	}
	c, err := b.Contents()
	if err != nil {
		t.Fatal(err)
	}
	plain, alone := made(t, pot+lye)
	about(t, "lye", b.Alkalis[0].Weigh, plain.Alkalis[0].Weigh, 1e-12)
	dry := alone.Total() - alone.Water
	about(t, "water", c.Water-alone.Water, 10, 1e-9)
	about(t, "soap", c.Soap-alone.Soap, 90*alone.Soap/dry, 1e-9)
	about(t, "glycerol", c.Glycerol-alone.Glycerol, 90*alone.Glycerol/dry, 1e-9)
}

// What is in order has none of these findings.
func TestNothingIsRefusedInVain(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		rules      []string
		own        []formula.Material
	}{
		{"lye of 44 %", pot + soda + "water: {strength: 44%}}\n", []string{bar.RuleStrength, bar.RuleWater}, nil},
		{"milk that fills up just the water", pot + soda + "water: {strength: 33%}, liquids: [{material: cow-milk, share: 100%}]}\n", []string{bar.RuleStrength, bar.RuleWater}, nil},
		{"a wax of which the cold process takes up nothing", "pot: [{material: olive-oil, weight: 500 g}, {material: wax, weight: 500 g}]\n" + lye, []string{bar.RuleLyeHeavy},
			[]formula.Material{material(t, "wax", "name: Wax\nkind: oil\ninci: Cera Alba\nreactivity: 0%\n")}},
		{"alcohol of which it is said that it leaves", pot + lye + "add: [{material: ethanol, weight: 20 g, stays: 0%}]\n", []string{bar.RuleLeaves}, nil},
		{"a purity of 98 %", pot + "lye: {alkali: sodium hydroxide, purity: 98%, superfat: 5%, water: {weight: 300 g}}\n", []string{bar.RulePurity, bar.RuleCarbonate}, nil},
		{"a value that its fatty acids give", "pot: [{material: lot, weight: 1000 g}]\n" + lye, []string{bar.RuleProfile, bar.RuleSAPRange},
			[]formula.Material{oil(t, olive, "sap: 192 mg KOH/g\nfatty_acids: {oleic: 80%, palmitic: 20%}\n")}},
		{"a value for soda in its own unit", "pot: [{material: lot, weight: 1000 g}]\n" + lye, []string{bar.RuleSAPRange},
			[]formula.Material{oil(t, olive, "sap: 0.1355 g NaOH/g\n")}},
		{"an oil after the cook", pot + lye + "process: hot\nadd: [{material: castor-oil, weight: 20 g, at: after}]\n", []string{bar.RuleLateOil}, nil},
		{"sucrose, nearly inert", pot + lye + "add: [{material: sugar, weight: 20 g}]\n", []string{bar.RuleSugar}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, findings := pour(t, head+tt.text, tt.own...)
			if b == nil {
				t.Fatal(rules(findings))
			}
			for _, f := range findings {
				if slices.Contains(tt.rules, f.Rule) || f.Level == finding.Stop {
					t.Errorf("%s: %s", told(f), f.Message)
				}
			}
		})
	}
}

// Lists of lists are not followed without end: eight materials that each list the next
// one ten times would be a hundred million parts.
func TestListsOfListsHaveAnEnd(t *testing.T) {
	var own []formula.Material
	for n := range 8 {
		list := strings.Repeat(fmt.Sprintf("  - {material: level-%d}\n", n+1), 10)
		own = append(own, material(t, fmt.Sprintf("level-%d", n), "name: Level\nkind: oil blend\ncontains:\n"+list))
	}
	own = append(own, material(t, "level-8", "name: Level\nkind: oil\ninci: Cocos Nucifera (Coconut) Oil\n"))
	b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: level-0, weight: 900 g}]\n"+lye, own...)
	if b != nil || !strings.Contains(rules(findings), "stop BAR-UNPROVED") {
		t.Errorf("want a stop:\n%s", rules(findings))
	}
}
