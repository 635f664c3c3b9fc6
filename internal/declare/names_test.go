package declare_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
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

// The list of each kind of bar, in the names of the EU glossary (CosIng) and of the
// dictionary that the US goes by; see the sources of package inci. In the style as made
// stands what was weighed; in the style as cured what it has become.
func TestNamesOfEveryKind(t *testing.T) {
	for _, tt := range []struct {
		name, text             string
		cured, made            string // in the EU
		curedInUS, lastMadeUSA string // of the latter, what follows the oils
	}{
		{"two alkalis: two lines an oil", twoOils + both,
			"Sodium Olivate, Potassium Olivate, Sodium Cocoate, Aqua, Glycerin, Potassium Cocoate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Potassium Hydroxide",
			"Sodium Olivate, Potassium Olivate, Sodium Cocoate, Water, Glycerin, Potassium Cocoate, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Cocos Nucifera (Coconut) Oil, Sodium Hydroxide, Potassium Hydroxide"},
		{"the water of potash goes without a word", twoOils + potash,
			"Potassium Olivate, Potassium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Potassium Hydroxide",
			"Potassium Olivate, Potassium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Cocos Nucifera (Coconut) Oil, Potassium Hydroxide"},
		{"the water of a solution is water", twoOils + solution,
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Cocos Nucifera (Coconut) Oil, Sodium Hydroxide"},
		{"sodium citrate", twoOils + soda + "add: [{material: citric-acid, weight: 30 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Sodium Citrate, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Citric Acid",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Sodium Citrate, Cocos Nucifera (Coconut) Oil",
			"Sodium Hydroxide, Citric Acid"},
		{"potassium citrate", twoOils + potash + "add: [{material: citric-acid, weight: 30 g}]\n",
			"Potassium Olivate, Potassium Cocoate, Aqua, Glycerin, Potassium Citrate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Potassium Hydroxide, Citric Acid",
			"Potassium Olivate, Potassium Cocoate, Water, Glycerin, Potassium Citrate, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Potassium Hydroxide, Citric Acid"},
		{"citrates of two alkalis", twoOils + both + "add: [{material: citric-acid, weight: 60 g}]\n",
			"Sodium Olivate, Potassium Olivate, Sodium Cocoate, Aqua, Glycerin, Potassium Cocoate, Sodium Citrate, Olea Europaea Fruit Oil, Potassium Citrate, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Potassium Hydroxide, Citric Acid",
			"Sodium Olivate, Potassium Olivate, Sodium Cocoate, Water, Glycerin, Potassium Cocoate, Sodium Citrate, Olea Europaea (Olive) Fruit Oil, Potassium Citrate, Cocos Nucifera (Coconut) Oil",
			"Potassium Hydroxide, Citric Acid"},
		{"lactate that is formed joins that which is added", twoOils + soda + "add: [{material: lactic-acid, weight: 30 g}, {material: sodium-lactate, weight: 10 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Sodium Lactate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Lactic Acid, Sodium Lactate",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Sodium Lactate, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Lactic Acid, Sodium Lactate"},
		{"potassium lactate", twoOils + potash + "add: [{material: lactic-acid, weight: 30 g}]\n",
			"Potassium Olivate, Potassium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Potassium Lactate, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Potassium Hydroxide, Lactic Acid",
			"Potassium Olivate, Potassium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Potassium Lactate, Cocos Nucifera (Coconut) Oil",
			"Potassium Hydroxide, Lactic Acid"},
		{"no water was poured but that of milk", twoOils + asMuchMilk,
			"Sodium Olivate, Caprae Lac, Sodium Cocoate, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Caprae Lac, Cocos Nucifera Oil, Sodium Hydroxide",
			"Sodium Olivate, Goat Milk, Sodium Cocoate, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Cocos Nucifera (Coconut) Oil, Sodium Hydroxide"},
		{"milk and water", twoOils + someMilk,
			"Sodium Olivate, Sodium Cocoate, Caprae Lac, Glycerin, Aqua, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Cocos Nucifera Oil, Aqua, Sodium Hydroxide, Caprae Lac",
			"Sodium Olivate, Sodium Cocoate, Goat Milk, Glycerin, Water, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Sodium Hydroxide, Goat Milk"},
		{"water that is stirred in beside milk", twoOils + asMuchMilk + "add: [{material: kaolin, weight: 5 g, with: [{material: water, weight: 20 g}]}]\n",
			"Sodium Olivate, Caprae Lac, Sodium Cocoate, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil, Aqua, Kaolin",
			"Olea Europaea Fruit Oil, Caprae Lac, Cocos Nucifera Oil, Sodium Hydroxide, Aqua, Kaolin",
			"Sodium Olivate, Goat Milk, Sodium Cocoate, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Water, Kaolin",
			"Sodium Hydroxide, Water, Kaolin"},
		{"beer", twoOils + beer,
			"Sodium Olivate, Beer, Sodium Cocoate, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Beer, Cocos Nucifera Oil, Sodium Hydroxide",
			"Sodium Olivate, Beer, Sodium Cocoate, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Cocos Nucifera (Coconut) Oil, Sodium Hydroxide"},
		{"honey", twoOils + soda + "add: [{material: honey, weight: 40 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Mel, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Mel",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Honey, Cocos Nucifera (Coconut) Oil",
			"Sodium Hydroxide, Honey"},
		{"beeswax, whose alcohols stand with what is left of it", "pot: [{material: olive-oil, weight: 900 g}, {material: beeswax, weight: 100 g}]\n" + soda,
			"Sodium Olivate, Aqua, Glycerin, Cera Alba, Olea Europaea Fruit Oil, Sodium Beeswax",
			"Olea Europaea Fruit Oil, Aqua, Sodium Hydroxide, Cera Alba",
			"Sodium Olivate, Water, Glycerin, Beeswax, Olea Europaea (Olive) Fruit Oil, Sodium Beeswax",
			"Sodium Hydroxide, Beeswax"},
		{"an oil after the cook", twoOils + soda + "process: hot\nadd: [{material: shea-butter, weight: 50 g, at: after}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Butyrospermum Parkii Butter, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Butyrospermum Parkii Butter",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Butyrospermum Parkii (Shea) Butter, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Sodium Hydroxide, Butyrospermum Parkii (Shea) Butter"},
		{"a free acid after the cook becomes soap", twoOils + soda + "process: hot\nadd: [{material: stearic-acid, weight: 50 g, at: after}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Sodium Stearate, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Stearic Acid",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Sodium Stearate, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Sodium Hydroxide, Stearic Acid"},
		{"crumbs of which the list is of the finished soap", twoOils + soda + "add: [{material: crumbs, weight: 300 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Sodium Palmate, Aqua, Glycerin, Sodium Palm Kernelate, Olea Europaea Fruit Oil, Cocos Nucifera Oil, Kaolin, CI 77891",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Palmate, Sodium Hydroxide, Sodium Palm Kernelate, Glycerin, Kaolin, CI 77891",
			"Sodium Olivate, Sodium Cocoate, Sodium Palmate, Water, Glycerin, Sodium Palm Kernelate, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Kaolin, Titanium Dioxide",
			"Sodium Palm Kernelate, Glycerin, Kaolin, Titanium Dioxide"},
		{"crumbs of which the list is of the pot", twoOils + soda + "add: [{material: boiled, weight: 300 g}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Cocos Nucifera Oil, Olea Europaea Fruit Oil, Kaolin",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Cocoate, Sodium Hydroxide, Glycerin, Kaolin",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Cocos Nucifera (Coconut) Oil, Olea Europaea (Olive) Fruit Oil, Kaolin",
			"Sodium Cocoate, Sodium Hydroxide, Glycerin, Kaolin"},
		{"a base with polyols, and milk stirred into it", "base: [{material: base, weight: 900 g}]\nadd: [{material: goat-milk, weight: 50 g}, {material: oat-flour, weight: 10 g}]\n",
			"Aqua, Sodium Stearate, Propylene Glycol, Glycerin, Sorbitol, Sodium Laurate, Caprae Lac, Sodium Chloride, Avena Sativa Kernel Flour, Tetrasodium EDTA",
			"Aqua, Sodium Stearate, Propylene Glycol, Glycerin, Sorbitol, Sodium Laurate, Caprae Lac, Sodium Chloride, Avena Sativa Kernel Flour, Tetrasodium EDTA",
			"Water, Sodium Stearate, Propylene Glycol, Glycerin, Sorbitol, Sodium Laurate, Goat Milk, Sodium Chloride, Avena Sativa (Oat) Kernel Flour, Tetrasodium EDTA",
			"Sodium Chloride, Avena Sativa (Oat) Kernel Flour, Tetrasodium EDTA"},
		{"alcohol that has left", twoOils + soda + "add: [{material: ethanol, weight: 50 g, stays: 0%}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Alcohol",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil",
			"Sodium Hydroxide, Alcohol"},
		{"alcohol of which half has stayed", twoOils + soda + "add: [{material: ethanol, weight: 50 g, stays: 50%}]\n",
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Alcohol, Cocos Nucifera Oil",
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide, Alcohol",
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Alcohol, Cocos Nucifera (Coconut) Oil",
			"Sodium Hydroxide, Alcohol"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			list := func(place string, style market.Style) string {
				return compile(t, tt.text, place, "2026-11-25", style, bought...).Text
			}
			for _, l := range []struct{ what, got, want string }{
				{"as cured, EU", list("eu", market.AsCured), tt.cured},
				{"as made, EU", list("eu", market.AsMade), tt.made},
				{"as cured, US", list("us-soap", market.AsCured), tt.curedInUS},
			} {
				if l.got != l.want {
					t.Errorf("%s:\n got %s\nwant %s", l.what, l.got, l.want)
				}
			}
			inUS := list("us-soap", market.AsMade)
			if !strings.HasSuffix(inUS, ", "+tt.lastMadeUSA) || strings.Count(inUS, ", ") != strings.Count(tt.made, ", ") {
				t.Errorf("as made, US:\n got %s\nwant … %s", inUS, tt.lastMadeUSA)
			}
			if strings.Contains(inUS, "Aqua") || strings.Contains(tt.made, "Aqua") != strings.Contains(inUS, "Water") {
				t.Errorf("as made, US: water in %s", inUS)
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

func nearly(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) < 1e-6) {
		t.Errorf("%s: got %.9f, want %.9f", what, got, want)
	}
}

// batterOf pours a formula of these tests.
func batterOf(t *testing.T, text string) *bar.Batter {
	t.Helper()
	f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+text))
	if err != nil {
		t.Fatal(err)
	}
	var own []formula.Material
	for i := 0; i < len(bought); i += 2 {
		m, _, err := formula.ReadMaterial("materials/"+bought[i]+".yaml", []byte(bought[i+1]))
		if err != nil {
			t.Fatal(err)
		}
		own = append(own, m)
	}
	b, findings := bar.Pour(f, formula.NewLibrary(own))
	if b == nil {
		t.Fatal(findings)
	}
	return b
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

			b := batterOf(t, text)
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
			nearly(t, "the bar, g", counted, c.Total()-c.Water+cured.Nominal)
		})
	}
}

// Of milk and water that were poured, the water left is of both in proportion: here
// 40 % of it is the milk's, and is named with the milk.
func TestWaterOfMilkIsNamedWithTheMilk(t *testing.T) {
	d := compile(t, twoOils+someMilk, "eu", "2026-11-25", market.AsCured)
	nearly(t, "Aqua", shareOf(d, "Aqua").Nominal, 6)
	nearly(t, "Aqua at least", shareOf(d, "Aqua").Low, 0.6*2)
	b := batterOf(t, twoOils+someMilk)
	for _, s := range b.Sources {
		if s.Bought != nil {
			nearly(t, "milk, g", s.Mass, 0.4*b.Water/0.6/0.87) // of goat's milk 87 % are water
		}
	}
}

// The alcohol of beer, 4 % of it, is not in the bar.
func TestAlcoholOfBeerHasLeft(t *testing.T) {
	b := batterOf(t, twoOils+beer)
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
	b := batterOf(t, text)
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

// A salt whose name stands on no list that was read is told, where the acid is named.
func TestSaltNamedByAnalogy(t *testing.T) {
	for alkali, want := range map[string]bool{potash: true, soda: false} {
		d := compile(t, twoOils+alkali+"add: [{material: tartaric-acid, weight: 30 g}]\n", "eu", "2026-11-25", market.AsCured)
		got := slices.ContainsFunc(d.Findings, func(f finding.Finding) bool {
			return f.Rule == declare.RuleAnalogy && f.Level == finding.Warn && f.At.Line == 5 && strings.Contains(f.Message, "Potassium Tartrate")
		})
		if got != want {
			t.Errorf("%s: told %v, want %v: %+v", d.Text, got, want, d.Findings)
		}
	}
}

// What is named as it was bought is said to be, in the style as cured alone.
func TestBoughtIsSaid(t *testing.T) {
	for style, want := range map[market.Style]bool{market.AsCured: true, market.AsMade: false} {
		d := compile(t, twoOils+someMilk, "eu", "2026-11-25", style)
		got := slices.ContainsFunc(d.Findings, func(f finding.Finding) bool {
			return f.Rule == declare.RuleBought && strings.Contains(f.Message, "Goat Milk")
		})
		if got != want {
			t.Errorf("%s: said %v, want %v", style, got, want)
		}
	}
}

// An allergen in a supplier's list of finished soap and in the statement on a scent is
// one allergen: of 900 g of base 0.02 % are 0.18 g, and of 9 g of scent 2 % are as much.
func TestAllergenOfAList(t *testing.T) {
	const (
		text  = "base: [{material: base, weight: 900 g}]\n"
		base  = "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 79.98%}, {inci: Aqua, share: 20%}, {inci: Linalool, share: 0.02%}]\n"
		scent = "name: Scent\nkind: fragrance\nallergens: {Linalool: 2%}\n"
	)
	for _, tt := range []struct {
		add          string
		grams, total float64
	}{
		{"", 0.18, 900},
		{"add: [{material: scent, weight: 9 g}]\n", 0.36, 909},
	} {
		d := compile(t, text+tt.add, "eu", "2026-11-26", market.AsCured, "base", base, "scent", scent)
		if len(d.Allergens) != 1 || !d.Allergens[0].Printed || strings.Count(d.Text, "Linalool") != 1 {
			t.Fatalf("allergens %v in %s", d.Allergens, d.Text)
		}
		nearly(t, "share of the bar", shareOf(d, "Linalool").Nominal, 100*tt.grams/tt.total)
	}
}

// In a list as made, the soaps of crumbs are of another way of declaring.
func TestMixedStyles(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 900 g}]\nlye: {alkali: sodium hydroxide, purity: 98%, superfat: 5%, water: {per_lye: 2}}\nadd: [{material: crumbs, weight: 90 g}]\n"
	const crumbs = "name: Crumbs\nkind: soap\ncontains: [{inci: Sodium Cocoate, share: 80%}, {inci: Aqua, share: 20%}]\n"
	for style, want := range map[market.Style]bool{market.AsMade: true, market.AsCured: false} {
		d := compile(t, text, "eu", "2026-11-26", style, "crumbs", crumbs)
		got := slices.ContainsFunc(d.Findings, func(f finding.Finding) bool { return f.Rule == declare.RuleMixed })
		if got != want {
			t.Errorf("%s: %v, want %v: %v", style, got, want, d.Findings)
		}
	}
}
