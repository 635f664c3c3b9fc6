package inci_test

import (
	"testing"

	"saponym/inci"
)

// Goat milk is as a secondary text has it, which was seen; the rest is from memory
// of USDA FoodData Central.
func TestCompositions(t *testing.T) {
	for _, tt := range []struct {
		id                            string
		water, evaporates, fat, sugar float64
		fatOf, sugarOf                string
		known                         inci.Known
	}{
		{"goat-milk", 87, 0, 4, 4.8, "butter", "lactose", inci.Retrieved},
		{"cow-milk", 88, 0, 3.3, 4.8, "butter", "lactose", inci.Memory},
		{"coconut-milk", 73, 0, 21, 3, "coconut-oil", "glucose", inci.Memory},
		{"beer", 92.5, 4, 0, 3.5, "", "glucose", inci.Memory},
		{"honey", 17, 0, 0, 75, "", "glucose", inci.Memory},
		{"maple-syrup", 32.4, 0, 0, 60.5, "", "sugar", inci.Memory},
		{"egg", 76, 0, 9.5, 0, "chicken-fat", "", inci.Memory},
		{"water", 100, 0, 0, 0, "", "", inci.Memory},
		{"olive-oil", 0, 0, 0, 0, "", "", ""},
		{"ethanol", 0, 0, 0, 0, "", "", ""},
	} {
		s, _ := inci.ByID(tt.id)
		c := s.Composition
		if c.Water.Low != tt.water || c.Evaporates.Low != tt.evaporates || c.Fat.Low != tt.fat || c.Sugar.Low != tt.sugar ||
			c.FatOf != tt.fatOf || c.SugarOf != tt.sugarOf || c.Water.Known != tt.known {
			t.Errorf("%s: got %+v", tt.id, c)
		}
	}
	for id, want := range map[string][2]float64{"aloe-juice": {98.5, 99.5}, "cream": {58, 74}} {
		s, _ := inci.ByID(id)
		if w := s.Composition.Water; w.Low != want[0] || w.High != want[1] {
			t.Errorf("%s: water %v-%v, want %v", id, w.Low, w.High, want)
		}
	}
	for id, want := range map[string]struct {
		of      string
		percent float64
	}{"vinegar": {"acetic-acid", 5}, "yogurt": {"lactic-acid", 0.9}, "wine": {"tartaric-acid", 0.6}} {
		s, _ := inci.ByID(id)
		if c := s.Composition; c.AcidOf != want.of || c.Acid.High != want.percent {
			t.Errorf("%s: %v %% of %q, want %v", id, c.Acid.High, c.AcidOf, want)
		}
	}
}

// What a composition names is there, and its parts are no more than the whole.
func TestEveryComposition(t *testing.T) {
	n := 0
	for s := range inci.All() {
		c := s.Composition
		if c == (inci.Composition{}) {
			continue
		}
		n++
		if _, isFat := inci.FatByID(s.ID); isFat || s.Neutralises != nil {
			t.Errorf("%s: has a composition and is a fat or an acid as well", s.ID)
		}
		sum := 0.0
		for _, f := range []inci.Figure{c.Water, c.Evaporates, c.Fat, c.Sugar, c.Acid} {
			if f.Low < 0 || f.Low > f.High || f.High > 100 || f.Given() != (f.High > 0) {
				t.Errorf("%s: the figure %+v", s.ID, f)
			}
			sum += (f.Low + f.High) / 2
		}
		if !c.Water.Given() || sum > 100+1e-9 {
			t.Errorf("%s: %v %% in all, water %+v", s.ID, sum, c.Water)
		}
		if _, ok := inci.FatByID(c.FatOf); ok != c.Fat.Given() || ok != (c.FatOf != "") {
			t.Errorf("%s: fat %+v of %q", s.ID, c.Fat, c.FatOf)
		}
		sugar, ok := inci.ByID(c.SugarOf)
		if ok != c.Sugar.Given() || ok != (c.SugarOf != "") || ok && (sugar.Group != inci.GroupSugar || sugar.Composition != inci.Composition{}) {
			t.Errorf("%s: sugar %+v of %q", s.ID, c.Sugar, c.SugarOf)
		}
		acid, ok := inci.ByID(c.AcidOf)
		if ok != c.Acid.Given() || ok != (c.AcidOf != "") || ok && (acid.Neutralises == nil || acid.Neutralises.CrystalWater != 0) {
			t.Errorf("%s: acid %+v of %q", s.ID, c.Acid, c.AcidOf)
		}
	}
	if n != 27 {
		t.Errorf("%d compositions, want 27", n)
	}
}

// Dried to the water of its powder, goat milk has the fat and lactose of the powder.
func TestGoatMilkPowder(t *testing.T) {
	milk, _ := inci.ByID("goat-milk")
	powder, _ := inci.ByID("goat-milk-powder")
	from, to := milk.Composition, powder.Composition
	richer := (100 - to.Water.Low) / (100 - from.Water.Low)
	if !printed(from.Fat.Low*richer, to.Fat.Low, 1) || !printed(from.Sugar.Low*richer, to.Sugar.Low, 1) {
		t.Errorf("fat %v, sugar %v; want %v, %v", to.Fat.Low, to.Sugar.Low, from.Fat.Low*richer, from.Sugar.Low*richer)
	}
}

// The most alkali that sugars can take up, in g of NaOH and KOH to a gram: two of
// lactic acid to a hexose, computed apart from the program. Honey is three quarters
// hexoses; milk has 4.8 % of lactose.
func TestMostAlkali(t *testing.T) {
	for _, tt := range []struct {
		id        string
		naoh, koh float64
	}{
		{"glucose", 0.44402, 0.62285},
		{"fructose", 0.44402, 0.62285},
		{"lactose", 0.46739, 0.65563},
		{"honey", 0.33302, 0.46714},
		{"goat-milk", 0.02243, 0.03147},
		{"sugar", 0, 0},
		{"maple-syrup", 0, 0},
		{"sorbitol", 0, 0},
		{"vinegar", 0, 0},
		{"olive-oil", 0, 0},
	} {
		s, ok := inci.ByID(tt.id)
		if !ok {
			t.Fatalf("%s: not found", tt.id)
		}
		if naoh, koh := s.MostAlkali*inci.MolarMassNaOH, s.MostAlkali*inci.MolarMassKOH; !printed(naoh, tt.naoh, 5) || !printed(koh, tt.koh, 5) {
			t.Errorf("%s: got %.5f NaOH and %.5f KOH, want %v and %v", tt.id, naoh, koh, tt.naoh, tt.koh)
		}
	}
	for s := range inci.All() {
		if s.MostAlkali != 0 && s.InTheLye.Class != inci.Sugar && s.Composition.SugarOf == "" {
			t.Errorf("%s: takes up alkali as a sugar, and is %q in the lye", s.ID, s.InTheLye.Class)
		}
	}
	// A hexose is two of lactic acid, gram for gram.
	acid := mustNeutralise(t, "lactic-acid")
	glucose, _ := inci.ByID("glucose")
	if !near(glucose.MostAlkali, acid.Equivalents/acid.MolarMass, 1e-12) {
		t.Errorf("glucose takes up %v mol, lactic acid %v", glucose.MostAlkali, acid.Equivalents/acid.MolarMass)
	}
}
