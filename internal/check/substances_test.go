package check_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/check"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// scented adds grams of a fragrance with a statement to the olive soap.
func scented(grams, allergens string) (text, scent string) {
	return olive + "add: [{material: scent, weight: " + grams + "}]\n", "name: Scent\nkind: fragrance\nallergens: {" + allergens + "}\n"
}

// Annex II and III to Regulation (EC) No 1223/2009: BMHCA is prohibited (entry 1666),
// methyl eugenol is at most 0.001 % of what is rinsed off (entry 102), rose ketones are
// added up to 0.02 % (entry 157). With 3 g of scent the bar weighs 1131.68 g dry, so
// 1154.78 g where 2 % of it is water and 1414.60 g where 20 % is: 0.001 % is between
// 0.0115 and 0.0141 g.
func TestSubstancesOfAScent(t *testing.T) {
	for _, tt := range []struct {
		name, market, allergens string
		want                    []string
		says                    string
	}{
		{"prohibited", "eu", "Butylphenyl Methylpropional: 0.1%", []string{"EU-PROHIBITED-01 stop"}, "0.003 g of Butylphenyl Methylpropional"},
		{"prohibited, by a trade name", "eu", "Lilial: 0.1%", []string{"EU-PROHIBITED-01 stop"}, "add[0] scent"},
		{"prohibited, by its number", "eu", "80-54-6: 0.1-0.2%", []string{"EU-PROHIBITED-01 stop"}, "0.003 to 0.006 g"},
		{"prohibited, and perhaps none", "eu", "Lilial: <0.1%", []string{"EU-PROHIBITED-01 warn"}, "not decided"},
		{"prohibited, in traces", "eu", "Lilial: traces", []string{"EU-PROHIBITED-01 warn"}, "not decided"},
		{"prohibited, none", "eu", "Lilial: 0%", nil, ""},
		{"allowed", "eu", "Hexyl Cinnamal: 0.1%", nil, ""},
		{"recalled", "nz", "Lilial: 0.1%", []string{"NZ-PROHIBITED-01 warn"}, "unconfirmed"},
		{"a law without lists", "au", "Lilial: 0.1%", nil, ""},
		{"a little below the most", "eu", "Methyl Eugenol: 0.38%", nil, ""},
		{"between the driest and the wettest bar", "eu", "Methyl Eugenol: 0.4%", []string{"EU-RESTRICTED-01 warn"}, "not decided"},
		{"a little above the most", "eu", "93-15-2: 0.48%", []string{"EU-RESTRICTED-01 stop"}, "0.0144 g of Methyl Eugenol, up to 0.00125 % of the driest bar, come from add[0] scent (0.0144 g, stated), and 0.001 % is the most"},
		{"from below the most to above it", "eu", "Methyl Eugenol: 0.1-0.5%", []string{"EU-RESTRICTED-01 warn"}, "0.003 to 0.015 g"},
		{"names of one entry are added up", "eu", "alpha-Damascone: 5%, beta-Damascone: 5%", []string{"EU-RESTRICTED-01 stop"}, "0.3 g of Rose Ketones"},
		{"a half of that", "eu", "alpha-Damascone: 5%", nil, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text, scent := scented("3 g", tt.allergens)
			found, err := check.Substances(pour(t, text, "scent", scent), law(t, tt.market))
			expect(t, found, err, tt.want...)
			for _, f := range found {
				if f.At.File != "materials/scent.yaml" || f.At.Line != 3 || !strings.Contains(f.Message, tt.says) {
					t.Errorf("finding %+v, want %q", f, tt.says)
				}
			}
		})
	}
}

// A bar without water weighs what was weighed: 990 g of soap and 10 g of scent. Just
// the most is not above it, a ten-millionth more is, and then for certain.
func TestJustTheMost(t *testing.T) {
	for share, want := range map[string][]string{"0.1%": nil, "0.1000001%": {"EU-RESTRICTED-01 stop"}, "0.1-0.1000001%": {"EU-RESTRICTED-01 warn"}} {
		batter := pour(t, "base: [{material: base, weight: 990 g}]\nadd: [{material: scent, weight: 10 g}]\n",
			"base", "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 100%}]\n",
			"scent", "name: Scent\nkind: fragrance\nallergens: {Methyl Eugenol: "+share+"}\n")
		found, err := check.Substances(batter, law(t, "eu"))
		expect(t, found, err, want...)
	}
}

// Several sources that each keep the limit can pass it together: each brings 0.009 g
// of methyl eugenol, and 0.001 % of the driest bar is 0.0116 g. All are named, and the
// place is that of the one that brings most.
func TestSubstancesOfSeveralSources(t *testing.T) {
	const add = "add: [{material: one, weight: 3 g}, {material: two, weight: 3 g}]\n"
	one := "name: One\nkind: fragrance\nallergens: {Methyl Eugenol: 0.3%}\n"
	two := "name: Two\nkind: fragrance\nallergens:\n  Methyl Eugenol: 0.31%\n"
	found, err := check.Substances(pour(t, olive+add, "one", one, "two", two), law(t, "eu"))
	expect(t, found, err, "EU-RESTRICTED-01 stop")
	if f := found[0]; f.At.File != "materials/two.yaml" || !strings.Contains(f.Message, "add[0] one") || !strings.Contains(f.Message, "add[1] two") {
		t.Errorf("finding %+v", f)
	}
	for _, alone := range []string{"one", "two"} {
		found, err := check.Substances(pour(t, olive+"add: [{material: "+alone+", weight: 3 g}]\n", "one", one, "two", two), law(t, "eu"))
		expect(t, found, err)
	}
}

// Of a number that several things share the supplier is asked: 8024-12-2 is that of
// verbena oil (Annex II entry 450) and of its absolute, 8016-84-0 that of two marigolds
// of which there is a most each (Annex III entries 308 and 309; that the number is
// theirs is from memory).
func TestNumbersThatSeveralShare(t *testing.T) {
	for _, tt := range []struct {
		allergens string
		want      []string
	}{
		{"8024-12-2: 0.5%", []string{"EU-PROHIBITED-01 stop"}},
		{"Lippia citriodora absolute: 0.5%", nil},
		{"8016-84-0: 50%", []string{"EU-RESTRICTED-01 warn", "EU-RESTRICTED-01 warn"}},
		{"8016-84-0: 5%", nil},
		{"8016-84-0: 30%, Tagetes Minuta Flower Oil: 30%", []string{"EU-RESTRICTED-01 warn"}}, // together above 0.1 %
		{"8016-84-0: 5%, Tagetes Minuta Flower Oil: 60%", []string{"EU-RESTRICTED-01 stop"}},  // by the name alone
	} {
		t.Run(tt.allergens, func(t *testing.T) {
			text, scent := scented("3 g", tt.allergens)
			found, err := check.Substances(pour(t, text, "scent", scent), law(t, "eu"))
			expect(t, found, err, tt.want...)
			for _, f := range found {
				if asks := strings.HasPrefix(f.Remedy, "ask the supplier which it is"); asks == strings.Contains(tt.allergens, "60%") {
					t.Errorf("remedy %q", f.Remedy)
				}
			}
		})
	}
}

// What was published of clove oils, 0 to 0.13 % of methyl eugenol (EFSA FEEDAP 2023),
// is not stated of this one: it warns. A statement takes its place.
func TestPublishedComposition(t *testing.T) {
	add := olive + "add: [{material: clove-oil, weight: 30 g}]\n"
	found, err := check.Substances(pour(t, add), law(t, "eu"))
	expect(t, found, err, "EU-RESTRICTED-01 warn")
	if len(found) > 0 && !strings.Contains(found[0].Message, "published") {
		t.Errorf("finding %+v", found[0])
	}
	// A statement of allergens does not tell of what is none; one that names it does.
	for allergens, want := range map[string][]string{
		"Eugenol: 80%":                           {"EU-RESTRICTED-01 warn"},
		"Eugenol: 80%, Methyl Eugenol: 0.01%":    nil,
		"Eugenol: 80%, 93-15-2: 0-0.01%":         nil,
		"Eugenol: 80%, Methyl Eugenol: 0.3-0.4%": {"EU-RESTRICTED-01 stop"},
	} {
		found, err = check.Substances(pour(t, add, "clove-oil", "name: Clove oil\nkind: essential oil\nallergens: {"+allergens+"}\n"), law(t, "eu"))
		expect(t, found, err, want...)
	}
}

// What is listed under its own name counts wherever it stands: a detergent makes soap
// something else in the US (21 CFR 701.20(a)(2); the choice of names is ours), plastic
// may not be rinsed off (from memory).
func TestListedSubstances(t *testing.T) {
	for _, tt := range []struct {
		market, material string
		want             []string
	}{
		{"us-soap", "name: Foam\nkind: additive\ninci: Sodium Lauryl Sulfate\n", []string{"US-SOAP-DETERGENT-01 warn"}},
		{"eu", "name: Foam\nkind: additive\ninci: Sodium Lauryl Sulfate\n", nil},
		{"us-soap", "name: Foam\nkind: additive\ncontains: [{inci: Kaolin}, {inci: Decyl Glucoside}]\norder: unknown\n", []string{"US-SOAP-DETERGENT-01 warn"}},
		{"us-soap", "name: Foam\nkind: additive\ninci: Kaolin\n", nil},
		{"eu", "name: Glitter\nkind: additive\ninci: Polyethylene Terephthalate\n", []string{"EU-PLASTIC-01 warn"}},
		{"eu", "name: Glitter\nkind: additive\ninci: Mica\n", nil},
	} {
		found, err := check.Substances(pour(t, olive+"add: [{material: thing, weight: 3 g}]\n", "thing", tt.material), law(t, tt.market))
		expect(t, found, err, tt.want...)
	}
}

// An oil that is an entry of the list as a whole, and is stated to be one, is counted
// once: 0.4 % of the bar (Annex III entry 154) are 4.6 g of the driest and 5.7 g of the
// wettest.
func TestWholeAndStated(t *testing.T) {
	const balsam = "name: Balsam\nkind: essential oil\ninci: Myroxylon Pereirae Oil/Extract\nallergens: {Myroxylon Pereirae Oil/Extract: 100%}\n"
	for weight, want := range map[string][]string{"4 g": nil, "5 g": {"EU-RESTRICTED-01 warn"}, "6 g": {"EU-RESTRICTED-01 stop"}} {
		found, err := check.Substances(pour(t, olive+"add: [{material: balsam, weight: "+weight+"}]\n", "balsam", balsam), law(t, "eu"))
		expect(t, found, err, want...)
	}
}

// However much is published of it at least, this oil may have less.
func TestPublishedIsNotCertain(t *testing.T) {
	limit := func(name string) *market.Law {
		return &market.Law{Substances: []market.Substances{{
			Rule:   market.Rule{ID: "ZZ-RESTRICTED-01", Level: finding.Stop, Known: market.Retrieved, Remedy: "use less"},
			Limits: []market.Limit{{Label: name, Names: []string{name}, Most: measure.Percent, Known: market.Retrieved}},
		}}}
	}
	// At least 22.5 g of some 1182 g, by the range of clove bud oils.
	found, err := check.Substances(pour(t, olive+"add: [{material: clove-oil, weight: 30 g}]\n"), limit("Eugenol"))
	expect(t, found, err, "ZZ-RESTRICTED-01 warn")
	// Of cinnamon bark the range is recalled.
	found, err = check.Substances(pour(t, olive+"add: [{material: cinnamon-bark-oil, weight: 30 g}]\n"), limit("Cinnamal"))
	expect(t, found, err, "ZZ-RESTRICTED-01 warn")
	if !strings.Contains(found[0].Message, "published, from memory") {
		t.Errorf("message %q", found[0].Message)
	}
}

// With as much of the scents as the remedy says nothing is found any more, and a few
// per cent more are too much again.
func TestRemedyKeepsTheMost(t *testing.T) {
	add := func(one, two string) []finding.Finding {
		found, err := check.Substances(pour(t, olive+fmt.Sprintf("add: [{material: one, weight: %s g}, {material: two, weight: %s g}]\n", one, two),
			"one", "name: One\nkind: fragrance\nallergens: {Methyl Eugenol: 0.9%}\n", "two", "name: Two\nkind: fragrance\nallergens: {Methyl Eugenol: 2%}\n"), law(t, "eu"))
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	found := add("90", "30")
	if len(found) != 1 {
		t.Fatalf("found %+v", found)
	}
	one, two := gramsOf(t, found[0].Remedy, "One"), gramsOf(t, found[0].Remedy, "Two")
	if len(add(fmt.Sprint(one), fmt.Sprint(two))) > 0 {
		t.Errorf("%q is not enough", found[0].Remedy)
	}
	if len(add(fmt.Sprint(one*1.03), fmt.Sprint(two*1.03))) == 0 {
		t.Errorf("%q is less than it could be", found[0].Remedy)
	}
}

// Whatever suppliers state and whichever of the bars that fit it was made: one that
// passes the most is never without a finding, and where the rule is broken for certain
// no such bar keeps it.
func TestNothingFoundIsSound(t *testing.T) {
	eu := law(t, "eu")
	const most = 0.001 / 100 // of methyl eugenol: Annex III entry 102
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 3).Draw(rt, "scents")
		text, dry, held := "", 1128.68, 0.0
		var materials []string
		for i := range n {
			grams := rapid.IntRange(1, 40).Draw(rt, "grams")
			low := rapid.IntRange(0, 300).Draw(rt, "low")       // thousandths of a per cent
			high := low + rapid.IntRange(0, 50).Draw(rt, "gap") // the same
			share := float64(low) + float64(high-low)*rapid.Float64Range(0, 1).Draw(rt, "at")
			text += fmt.Sprintf("{material: s%d, weight: %d g}, ", i, grams)
			materials = append(materials, fmt.Sprintf("s%d", i), fmt.Sprintf("name: S\nkind: fragrance\nallergens: {Methyl Eugenol: %.3f-%.3f%%}\n", float64(low)/1000, float64(high)/1000))
			dry += float64(grams)
			held += float64(grams) * share / 100_000
		}
		water := rapid.Float64Range(0.02, 0.2).Draw(rt, "water")
		share := held / (dry / (1 - water))
		found, err := check.Substances(pour(t, olive+"add: ["+text+"]\n", materials...), eu)
		if err != nil {
			rt.Fatal(err)
		}
		const slack = 1e-5 // of the weight of the bar, which is given in hundredths of a gram
		if share > most*(1+slack) && len(found) == 0 {
			rt.Errorf("%.6f %% of such a bar is methyl eugenol, and nothing was found", 100*share)
		}
		if share < most*(1-slack) && finding.Worst(found) == finding.Stop {
			rt.Errorf("%.6f %% of such a bar is methyl eugenol, and it stops: %+v", 100*share, found)
		}
	})
}

// A law without such rules has nothing to say.
func TestNoSubstances(t *testing.T) {
	text, scent := scented("3 g", "Lilial: 1%")
	found, err := check.Substances(pour(t, text, "scent", scent), &market.Law{})
	expect(t, found, err)
}

// Of what makes up the whole bar less would not help, so no weight is advised.
func TestNoAdviceWhereLessDoesNotHelp(t *testing.T) {
	for share, level := range map[string]string{"0.9": "warn", "1.1": "stop", "3": "stop"} {
		base := "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate}, {inci: Aqua, share: 20%}, {inci: Hydroxycitronellal, share: " + share + "%}]\norder: unknown\n"
		found, err := check.Substances(pour(t, "base: [{material: base, weight: 1000 g}]\n", "base", base), law(t, "eu"))
		expect(t, found, err, "EU-RESTRICTED-01 "+level)
		for _, f := range found {
			if strings.Contains(f.Remedy, "at most") {
				t.Errorf("%s %%: %s", share, f.Remedy)
			}
		}
	}
}
