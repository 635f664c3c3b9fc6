package declare_test

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/market"
)

const (
	twoOils = "pot: [{material: olive-oil, weight: 750 g}, {material: coconut-oil, weight: 250 g}]\n"
	soda    = "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}}\n"
	potash  = "lye: {alkali: potassium hydroxide, purity: 90%, superfat: 5%, water: {strength: 33%}}\n"
	both    = "lye: {alkali: [{alkali: sodium hydroxide, share: 60%, purity: 100%}, {alkali: potassium hydroxide, share: 40%, purity: 90%}], superfat: 5%, water: {strength: 33%}}\n"

	asMuchMilk = "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}, liquids: [{material: goat-milk, share: 100%}]}\n"
	someMilk   = "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}, liquids: [{material: goat-milk, share: 40%}]}\n"
	beer       = "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}, liquids: [{material: beer, share: 100%}]}\n"
	solution   = "lye: {solution: caustic, superfat: 5%}\n"
)

// bought are the materials that the formulas of these tests name.
var bought = []string{
	"caustic", "name: Caustic\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: 33%\n",
	"crumbs", "name: Crumbs\nkind: soap\ncontains: [{inci: Sodium Palmate, share: 60%}, {inci: Sodium Palm Kernelate, share: 20%}, {inci: Aqua, share: 12%}, {inci: Glycerin, share: 5%}, {inci: Kaolin, share: 2%}, {inci: CI 77891, share: 1%}]\n",
	"boiled", "name: Boiled\nkind: soap\ncontains: [{inci: Cocos Nucifera Oil, share: 60%}, {inci: Aqua, share: 30%}, {inci: Sodium Hydroxide, share: 9%}, {inci: Kaolin, share: 1%}]\n",
	"base", "name: Base\nkind: base\ncontains: [{inci: Aqua, share: 22%}, {inci: Sodium Stearate, share: 20%}, {inci: Propylene Glycol, share: 18%}, {inci: Glycerin, share: 15%}, {inci: Sorbitol, share: 12%}, {inci: Sodium Laurate, share: 10%}, {inci: Sodium Chloride, share: 2%}, {inci: Tetrasodium EDTA, share: 1%}]\n",
}

// inUS gives the names in the dictionary that the US goes by of those in the EU glossary
// (CosIng) that are others there; see the sources of package inci.
var inUS = map[string]string{
	"Aqua": "Water", "Caprae Lac": "Goat Milk", "Mel": "Honey", "Cera Alba": "Beeswax", "CI 77891": "Titanium Dioxide",
	"Olea Europaea Fruit Oil": "Olea Europaea (Olive) Fruit Oil", "Cocos Nucifera Oil": "Cocos Nucifera (Coconut) Oil",
	"Butyrospermum Parkii Butter": "Butyrospermum Parkii (Shea) Butter", "Avena Sativa Kernel Flour": "Avena Sativa (Oat) Kernel Flour",
}

// The list of each kind of bar, in the names of the EU; that of the US differs in nothing
// but the names. In the style as made stands what was weighed; in the style as cured
// what it has become.
func TestNamesOfEveryKind(t *testing.T) {
	for _, tt := range []struct{ name, text, cured, made string }{
		{"two alkalis: two lines an oil", twoOils + both,
			"Sodium Olivate, Potassium Olivate, Sodium Cocoate, Aqua, Glycerin, Potassium Cocoate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Potassium Hydroxide"},
		{"the water of potash goes without a word", twoOils + potash,
			"Potassium Olivate, Potassium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Potassium Hydroxide"},
		{"the water of a solution is water", twoOils + solution,
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide"},
		{"sodium citrate", twoOils + soda + "add: [{material: citric-acid, weight: 30 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Sodium Citrate, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Citric Acid"},
		{"potassium citrate", twoOils + potash + "add: [{material: citric-acid, weight: 30 g}]\n",
			"Potassium Olivate, Potassium Cocoate, Aqua, Glycerin, Potassium Citrate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Potassium Hydroxide, Citric Acid"},
		{"citrates of two alkalis", twoOils + both + "add: [{material: citric-acid, weight: 60 g}]\n",
			"Sodium Olivate, Potassium Olivate, Sodium Cocoate, Aqua, Glycerin, Potassium Cocoate, Sodium Citrate, Olea Europaea Fruit Oil, Potassium Citrate, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Potassium Hydroxide, Citric Acid"},
		{"lactate that is formed joins that which is added", twoOils + soda + "add: [{material: lactic-acid, weight: 30 g}, {material: sodium-lactate, weight: 10 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Sodium Lactate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Lactic Acid, Sodium Lactate"},
		{"potassium lactate", twoOils + potash + "add: [{material: lactic-acid, weight: 30 g}]\n",
			"Potassium Olivate, Potassium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Potassium Lactate, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Potassium Hydroxide, Lactic Acid"},
		{"no water was poured but that of milk", twoOils + asMuchMilk,
			"Sodium Olivate, Caprae Lac, Sodium Cocoate, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Caprae Lac, Cocos Nucifera Oil, Sodium Hydroxide"},
		{"milk and water", twoOils + someMilk,
			"Sodium Olivate, Sodium Cocoate, Caprae Lac, Glycerin, Aqua, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Cocos Nucifera Oil, Aqua, Sodium Hydroxide, Caprae Lac"},
		{"water that is stirred in beside milk", twoOils + asMuchMilk + "add: [{material: kaolin, weight: 5 g, with: [{material: water, weight: 20 g}]}]\n",
			"Sodium Olivate, Caprae Lac, Sodium Cocoate, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil, Aqua, Kaolin",
			"Olea Europaea Fruit Oil, Caprae Lac, Cocos Nucifera Oil, Sodium Hydroxide, Aqua, Kaolin"},
		{"beer", twoOils + beer,
			"Sodium Olivate, Beer, Sodium Cocoate, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Beer, Cocos Nucifera Oil, Sodium Hydroxide"},
		{"honey", twoOils + soda + "add: [{material: honey, weight: 40 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Mel, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Mel"},
		{"beeswax, whose alcohols stand with what is left of it", "pot: [{material: olive-oil, weight: 900 g}, {material: beeswax, weight: 100 g}]\n" + soda,
			"Sodium Olivate, Aqua, Glycerin, Cera Alba, Olea Europaea Fruit Oil, Sodium Beeswax",
			"Olea Europaea Fruit Oil, Aqua, Sodium Hydroxide, Cera Alba"},
		{"an oil after the cook", twoOils + soda + "process: hot\nadd: [{material: shea-butter, weight: 50 g, at: after}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Butyrospermum Parkii Butter, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Butyrospermum Parkii Butter"},
		{"a free acid after the cook becomes soap", twoOils + soda + "process: hot\nadd: [{material: stearic-acid, weight: 50 g, at: after}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Sodium Stearate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Stearic Acid"},
		{"crumbs of which the list is of the finished soap", twoOils + soda + "add: [{material: crumbs, weight: 300 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Sodium Palmate, Aqua, Glycerin, Sodium Palm Kernelate, Olea Europaea Fruit Oil, Cocos Nucifera Oil, Kaolin, CI 77891",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Palmate, Sodium Hydroxide, Sodium Palm Kernelate, Glycerin, Kaolin, CI 77891"},
		{"crumbs of which the list is of the pot", twoOils + soda + "add: [{material: boiled, weight: 300 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Cocos Nucifera Oil, Olea Europaea Fruit Oil, Kaolin",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Cocoate, Sodium Hydroxide, Glycerin, Kaolin"},
		{"a base with polyols, and milk stirred into it", "base: [{material: base, weight: 900 g}]\nadd: [{material: goat-milk, weight: 50 g}, {material: oat-flour, weight: 10 g}]\n",
			"Aqua, Sodium Stearate, Propylene Glycol, Glycerin, Sorbitol, Sodium Laurate, Caprae Lac, Sodium Chloride, Avena Sativa Kernel Flour, Tetrasodium EDTA",
			"Aqua, Sodium Stearate, Propylene Glycol, Glycerin, Sorbitol, Sodium Laurate, Caprae Lac, Sodium Chloride, Avena Sativa Kernel Flour, Tetrasodium EDTA"},
		{"alcohol that has left", twoOils + soda + "add: [{material: ethanol, weight: 50 g, stays: 0%}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Alcohol"},
		{"alcohol of which half has stayed", twoOils + soda + "add: [{material: ethanol, weight: 50 g, stays: 50%}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Alcohol, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Alcohol"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for style, list := range map[market.Style]string{market.AsCured: tt.cured, market.AsMade: tt.made} {
				names := strings.Split(list, ", ")
				for place, want := range map[string]func(string) string{
					"eu":      func(name string) string { return name },
					"us-soap": func(name string) string { return cmp.Or(inUS[name], name) },
				} {
					wanted := make([]string, len(names))
					for i, name := range names {
						wanted[i] = want(name)
					}
					if got := compile(t, tt.text, place, "2026-11-25", style, bought...).Names(); !slices.Equal(got, wanted) {
						t.Errorf("%s, %s:\n got %s\nwant %s", style, place, strings.Join(got, ", "), strings.Join(wanted, ", "))
					}
				}
			}
		})
	}
}

// shareOf gives the share of the bar of one ingredient in per cent, 0 where it is not
// named.
func shareOf(d declare.Declaration, name string) declare.Percent {
	for _, in := range d.Ingredients {
		if in.Name == name {
			return in.Share
		}
	}
	return declare.Percent{}
}

// waterOf gives the water left where one figure is shown.
func waterOf(b *bar.Bar) float64 {
	at, _ := b.Shown()
	return at.Water
}

func nearly(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) < 1e-6) {
		t.Errorf("%s: got %.9f, want %.9f", what, got, want)
	}
}

// The shares close. As made they are 100 % of what was weighed. As cured, what is named
// as the thing bought is counted by what is left of it, what is not hydroxide in the
// alkali is not named, and then it is 100 % as well.
func TestSharesClose(t *testing.T) {
	for name, text := range map[string]string{
		"two alkalis": twoOils + both + "add: [{material: citric-acid, weight: 60 g}]\n",
		"milk":        twoOils + someMilk, "only milk": twoOils + asMuchMilk, "beer": twoOils + beer,
		"beeswax and honey": "pot: [{material: olive-oil, weight: 900 g}, {material: beeswax, weight: 100 g}]\n" + soda + "add: [{material: honey, weight: 40 g}]\n",
		"crumbs":            twoOils + soda + "add: [{material: crumbs, weight: 300 g}, {material: ethanol, weight: 50 g, stays: 20%}]\n",
		"a base":            "base: [{material: base, weight: 900 g}]\nadd: [{material: goat-milk, weight: 50 g}]\n",
		"impure soda":       twoOils + "lye: {alkali: sodium hydroxide, purity: 96%, carbonate: 2%, superfat: 5%, water: {strength: 33%}}\n",
		"an oil after":      twoOils + potash + "process: hot\nadd: [{material: shea-butter, weight: 50 g, at: after}]\n",
	} {
		t.Run(name, func(t *testing.T) {
			sum := func(d declare.Declaration) float64 {
				total := 0.0
				for _, in := range d.Ingredients {
					total += in.Share.Nominal
				}
				return total
			}
			nearly(t, "as made", sum(compile(t, text, "eu", "2026-11-25", market.AsMade, bought...)), 100)

			b := pour(t, text, bought...)
			cured, err := b.Cured(bar.Unweighed)
			if err != nil {
				t.Fatal(err)
			}
			masses := cured.Masses()
			want, counted := 100.0, 0.0
			for i, line := range cured.Lines {
				share := 100 * masses[i] / cured.Total(masses)
				switch line.Role {
				case bar.Bought:
					want += share
				case bar.Remains, bar.Impurity:
					want -= share
				}
				if line.Counted() {
					counted += masses[i]
				}
			}
			nearly(t, "as cured", sum(compile(t, text, "eu", "2026-11-25", market.AsCured, bought...)), want)

			c, err := b.Contents()
			if err != nil {
				t.Fatal(err)
			}
			nearly(t, "the bar, g", counted, c.Total()-c.Water+waterOf(cured))
		})
	}
}

// Of milk and water that were poured, the water left is of both in proportion: here
// 40 % of it is the milk's, and is named with the milk.
func TestWaterOfMilkIsNamedWithTheMilk(t *testing.T) {
	d := compile(t, twoOils+someMilk, "eu", "2026-11-25", market.AsCured)
	nearly(t, "Aqua", shareOf(d, "Aqua").Nominal, 6)
	nearly(t, "Aqua at least", shareOf(d, "Aqua").Low, 0.6*2)
	b := pour(t, twoOils+someMilk, bought...)
	for _, s := range b.Sources {
		if s.Bought != nil {
			nearly(t, "milk, g", s.Mass, 0.4*b.Water/0.6/0.87) // of goat's milk 87 % are water
		}
	}
}

// The alcohol of beer, 4 % of it, is not in the bar.
func TestAlcoholOfBeerHasLeft(t *testing.T) {
	b := pour(t, twoOils+beer, bought...)
	c, err := b.Contents()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range b.Sources {
		if s.Bought != nil {
			nearly(t, "g that have left", b.Mass()-c.Total(), 0.04*s.Mass)
			d := compile(t, twoOils+beer, "eu", "2026-11-25", market.AsMade)
			nearly(t, "beer as made", shareOf(d, "Beer").Nominal, 100*s.Mass/b.Mass())
		}
	}
}

// Potash is named as weighed in the style as made. Its water is in the water left: with
// little water poured, that is what bounds it.
func TestWaterOfPotash(t *testing.T) {
	const text = twoOils + "lye: {alkali: potassium hydroxide, purity: 90%, superfat: 5%, water: {strength: 48%}}\n"
	b := pour(t, text, bought...)
	made := compile(t, text, "eu", "2026-11-25", market.AsMade)
	nearly(t, "potash as made", shareOf(made, "Potassium Hydroxide").Nominal, 100*b.Alkalis[0].Weigh/b.Mass())
	nearly(t, "Aqua as made", shareOf(made, "Aqua").Nominal, 100*b.Water/b.Mass())
	cured := compile(t, text, "eu", "2026-11-25", market.AsCured)
	nearly(t, "Aqua at most", shareOf(cured, "Aqua").High, 100*(b.Water+b.Alkalis[0].Weigh/10)/b.Mass())
}

// Each name leads back to where it comes from.
func TestNamesLeadBack(t *testing.T) {
	d := compile(t, "pot: [{material: olive-oil, weight: 900 g}, {material: beeswax, weight: 100 g}]\n"+someMilk+"add: [{material: citric-acid, weight: 20 g}, {material: crumbs, weight: 100 g}]\n", "eu", "2026-11-25", market.AsCured, bought...)
	for name, want := range map[string][]string{
		"Sodium Olivate": {"pot[0] olive-oil"}, "Sodium Beeswax": {"pot[1] beeswax"}, "Cera Alba": {"pot[1] beeswax"},
		"Sodium Citrate": {"add[0] citric-acid"}, "Sodium Palmate": {"add[1] crumbs"},
		"Caprae Lac": {"lye.liquids[0] goat-milk"}, "Aqua": {"add[1] crumbs", "lye.water"},
	} {
		i := slices.IndexFunc(d.Ingredients, func(in declare.Ingredient) bool { return in.Name == name })
		if i < 0 {
			t.Errorf("%s is not named in %s", name, d.Text)
			continue
		}
		got := slices.Sorted(slices.Values(d.Ingredients[i].From))
		if !slices.Equal(got, want) {
			t.Errorf("%s comes from %q, want %q", name, got, want)
		}
	}
}

// What is said of a list beside its names, and where it is not.
func TestWhatIsSaidOfNames(t *testing.T) {
	const withCrumbs = "add: [{material: crumbs, weight: 90 g}]\n"
	for _, tt := range []struct {
		name, text  string
		style       market.Style
		rule, words string
		line        int // 0 where it is not said
		level       finding.Level
	}{
		{"a salt whose name stands on no list that was read", twoOils + potash + "add: [{material: tartaric-acid, weight: 30 g}]\n", market.AsCured, declare.RuleAnalogy, "Potassium Tartrate", 5, finding.Warn},
		{"a salt whose name does", twoOils + soda + "add: [{material: tartaric-acid, weight: 30 g}]\n", market.AsCured, declare.RuleAnalogy, "Tartrate", 0, 0},
		{"milk in a list of what the bar is", twoOils + someMilk, market.AsCured, declare.RuleBought, "Goat Milk", 1, finding.Note},
		{"milk in a list of what was weighed", twoOils + someMilk, market.AsMade, declare.RuleBought, "", 0, 0},
		{"soaps of crumbs beside the alkali", twoOils + soda + withCrumbs, market.AsMade, declare.RuleMixed, "crumbs", 1, finding.Warn},
		{"soaps of crumbs beside soaps", twoOils + soda + withCrumbs, market.AsCured, declare.RuleMixed, "", 0, 0},
		{"soaps of a base, and no alkali", "base: [{material: base, weight: 900 g}]\n" + withCrumbs, market.AsMade, declare.RuleMixed, "", 0, 0},
		{"alkali, and no soaps", twoOils + soda, market.AsMade, declare.RuleMixed, "", 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := compile(t, tt.text, "eu", "2026-11-25", tt.style, bought...)
			line, level := 0, finding.Level(0)
			for _, f := range d.Findings {
				if f.Rule == tt.rule && strings.Contains(f.Message, tt.words) {
					line, level = f.At.Line, f.Level
				}
			}
			if line != tt.line || level != tt.level {
				t.Errorf("said at line %d as %v, want %d, %v: %+v", line, level, tt.line, tt.level, d.Findings)
			}
		})
	}
}

// An allergen in a supplier's list of finished soap and in the statement on a scent is
// one allergen. Of 900 g of base a fifth is water, and no bar is drier than 2 %: with
// 720 g of all else, and with 9 g of scent, it weighs 734.694 g and 743.878 g. In the
// list the name stands whether it is above the threshold of 0.01 % or not: the supplier
// lists it.
func TestAllergenOfAList(t *testing.T) {
	const scented = "add: [{material: scent, weight: 9 g}]\n"
	for _, tt := range []struct {
		name, typed, listed, stated, add string
		grams, total, driest             float64
	}{
		{"in the list alone, above", "Linalool", "0.02%", "0%", "", 0.18, 900, 720 / 0.98},
		{"in the list alone, below", "Linalool", "0.008%", "0%", "", 0.072, 900, 720 / 0.98},
		{"in both, and only together above", "Linalool", "0.008%", "0.05%", scented, 0.0765, 909, 729 / 0.98},
		{"in both, and together below", "Linalool", "0.008%", "0.02%", scented, 0.0738, 909, 729 / 0.98},
		{"under another name of it", "l-linalool", "0.008%", "0.05%", scented, 0.0765, 909, 729 / 0.98},
		{"by its number in the register", "78-70-6", "0.02%", "2%", scented, 0.36, 909, 729 / 0.98},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := compile(t, "base: [{material: base, weight: 900 g}]\n"+tt.add, "eu", "2026-11-26", market.AsCured,
				"base", fmt.Sprintf("name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate}, {inci: Aqua, share: 20%%}, {inci: %s, share: %s}]\n", tt.typed, tt.listed),
				"scent", "name: Scent\nkind: fragrance\nallergens: {Linalool: "+tt.stated+"}\n")
			if len(d.Allergens) != 1 || !d.Allergens[0].Printed || strings.Count(strings.ToLower(d.Text), "linalool") != 1 || !slices.Contains(d.Names(), "Linalool") {
				t.Fatalf("allergens %v in %s", d.Allergens, d.Text)
			}
			nearly(t, "of the driest bar", d.Allergens[0].Percent, 100*tt.grams/tt.driest)
			nearly(t, "share of the bar", shareOf(d, "Linalool").Nominal, 100*tt.grams/tt.total)
			if slices.ContainsFunc(d.Findings, func(f finding.Finding) bool { return f.Rule == declare.RuleNearLine }) {
				t.Errorf("what stands in the list is said to stand near the line: %+v", d.Findings)
			}
			if in := d.Ingredients[slices.Index(d.Names(), "Linalool")]; in.From[0] != "base[0] base" || len(in.From) > 1 != (tt.add != "") {
				t.Errorf("it comes from %q", in.From)
			}
		})
	}
}

// Its place is that of the mass of both: of 900 g of base 18 g, and of 9 g of scent 4.5 g.
func TestPlaceOfAnAllergenOfAList(t *testing.T) {
	for kaolin, want := range map[string]string{"22 g": "Linalool, Kaolin", "23 g": "Kaolin, Linalool"} {
		d := compile(t, "base: [{material: base, weight: 900 g}]\nadd: [{material: scent, weight: 9 g}, {material: kaolin, weight: "+kaolin+"}]\n", "eu", "2026-11-26", market.AsCured,
			"base", "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 78%}, {inci: Aqua, share: 20%}, {inci: Linalool, share: 2%}]\n",
			"scent", "name: Scent\nkind: fragrance\nallergens: {Linalool: 50%}\n")
		if !strings.Contains(d.Text, want) {
			t.Errorf("with %s of kaolin: %s, want %s in it", kaolin, d.Text, want)
		}
	}
}

// What a market does not name, or not yet, keeps the name that the supplier gives it.
func TestNoAllergenInForce(t *testing.T) {
	const base = "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 79%}, {inci: Aqua, share: 20%}, {inci: dl-camphor, share: 1%}]\n"
	for _, tt := range []struct{ place, on, want string }{
		{"eu", "2026-07-31", "dl-camphor"}, // Regulation (EU) 2023/1545: from 1 August 2026
		{"eu", "2026-08-01", "Camphor"},
		{"us-soap", "2026-08-01", "dl-camphor"},
	} {
		d := compile(t, "base: [{material: base, weight: 900 g}]\n", tt.place, tt.on, market.AsCured, "base", base)
		if !slices.Contains(d.Names(), tt.want) || len(d.Allergens) > 0 != (tt.want == "Camphor") {
			t.Errorf("%s on %s: %s, allergens %v", tt.place, tt.on, d.Text, d.Allergens)
		}
	}
}

// The water in crumbs that are listed with their alkali is a range, and so is all else in
// them. Of a gram of this list 0.70 g are not water and 0.01 g is linalool: of 100 g of
// crumbs it makes up 1.4 g at 2 % of water, and 1.1429 g at 20 %. With these the bar has
// 80 g of them that are dry, and 1139.935 g of all else; see TestAllergenThreshold.
func TestAllergenOfCrumbsIsARange(t *testing.T) {
	crumbs := strings.ReplaceAll(bought[slices.Index(bought, "boiled")+1], "Kaolin", "Linalool")
	d := compile(t, plain+"add: [{material: boiled, weight: 100 g}]\n", "eu", "2026-11-25", market.AsCured, "boiled", crumbs)
	if len(d.Allergens) != 1 || !(math.Abs(d.Allergens[0].Percent-100*1.4/(1219.935/0.98)) < 1e-6) {
		t.Errorf("got %v", d.Allergens)
	}
}

// Of two left-over oils nobody can know which is left; an oil that comes after the cook,
// and the only one in the pot, are told by what was weighed.
func TestWhatAPairAssumes(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		style      market.Style
		want       []string // the ingredients that say so of the next
	}{
		{"two oils", twoOils + soda, market.AsCured, []string{"Glycerin", "Olea Europaea Fruit Oil"}},
		{"as made", twoOils + soda, market.AsMade, nil},
		{"one oil", "pot: [{material: olive-oil, weight: 1000 g}]\n" + soda, market.AsCured, nil},
		{"one oil, and another after the cook", "pot: [{material: olive-oil, weight: 1000 g}]\nprocess: hot\n" + soda + "add: [{material: shea-butter, weight: 60 g, at: after}]\n", market.AsCured, nil},
		{"two oils, and another after the cook", twoOils + "process: hot\n" + soda + "add: [{material: shea-butter, weight: 60 g, at: after}]\n", market.AsCured,
			[]string{"Butyrospermum Parkii Butter", "Olea Europaea Fruit Oil"}},
		{"nothing left over", twoOils + strings.Replace(soda, "5%", "0%", 1), market.AsCured, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := compile(t, tt.text, "eu", "2026-11-25", tt.style)
			var got []string
			for _, in := range d.Ingredients {
				if in.Assumes != "" {
					got = append(got, in.Name)
				}
			}
			if !slices.Equal(got, tt.want) || strings.Count(d.Report(), "(if the left-over oil is shared evenly)") != len(tt.want) {
				t.Errorf("said of %q, want %q:\n%s", got, tt.want, d.Report())
			}
		})
	}
}

// Of crumbs of which the water is not known, however many there are, all water is reckoned
// with.
func TestManyCrumbs(t *testing.T) {
	const crumbs = "name: Crumbs\nkind: soap\ncontains: [{inci: Olea Europaea Fruit Oil, share: 70%}, {inci: Aqua, share: 21%}, {inci: Sodium Hydroxide, share: 9%}]\n"
	for _, count := range []int{3, 11, 30} {
		text := twoOils + soda + "add:\n" + strings.Repeat("  - {material: crumbs, weight: 20 g}\n", count)
		d := compile(t, text, "eu", "2026-11-26", market.AsCured, "crumbs", crumbs)
		if first := d.Ingredients[0]; first.Name != "Sodium Olivate" || *first.Next != declare.Certain {
			t.Errorf("%d lots of crumbs: %s is %s", count, first.Name, *first.Next)
		}
		if slices.ContainsFunc(d.Findings, func(f finding.Finding) bool { return f.Rule == declare.RuleUnproved }) {
			t.Errorf("%d lots of crumbs: something is unproved", count)
		}
	}
}
