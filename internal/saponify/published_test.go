package saponify_test

import (
	"testing"

	"saponym/inci"
	"saponym/internal/saponify"
)

// Pure caustic soda is 77.5 % of sodium oxide: Thomssen, Soap-Making Manual (1922),
// caustic soda. Two of hydroxide are one of oxide and one of water.
func TestSodiumOxideOfCausticSoda(t *testing.T) {
	near(t, "Na2O, %", 100*(2*inci.MolarMassNaOH-inci.MolarMassWater)/(2*inci.MolarMassNaOH), 77.5, 0.05)
}

// A value for potassium hydroxide that is taken for one of sodium hydroxide pours
// 40 % too much: the ratio of the molar masses (IUPAC 2021) is 1.4027.
func TestRatioOfTheAlkalis(t *testing.T) {
	near(t, "KOH to NaOH", inci.MolarMassKOH/inci.MolarMassNaOH, 1.4027, 5e-5)
}

// codex is a profile at the middle of its published ranges. The middles need not add up
// to 100.
type codex struct {
	name             string
	profile          map[string]float64
	mole, mass       float64 // saponification value by the mole mean and by the mean of masses
	low, high        float64 // published range
	massMeanIsInside bool
}

// Codex Alimentarius CXS 210, tables 1 and 2 (palm oils after Nutrients 2019, 11, 2008,
// table 4). The ranges of saponification values of palm and palm kernel oil are from
// memory, those of the two others were read. The value is that of the mole mean; the
// mean of masses puts coconut oil outside its own range.
func TestCodexProfiles(t *testing.T) {
	for _, tt := range []codex{
		{"coconut", map[string]float64{"C6:0": 0.35, "C8:0": 7.3, "C10:0": 6.5, "C12:0": 49.15, "C14:0": 18.9, "C16:0": 8.85, "C18:0": 3, "C18:1": 7.5, "C18:2": 1.75, "C18:3": 0.1, "C20:0": 0.1, "C20:1": 0.1}, 254.356, 247.219, 248, 265, false},
		{"palm", map[string]float64{"C12:0": 0.25, "C14:0": 1.25, "C16:0": 43.4, "C16:1": 0.3, "C18:0": 4.75, "C18:1": 40, "C18:2": 10.5, "C18:3": 0.25, "C20:0": 0.5}, 198.765, 198.214, 190, 209, true},
		{"palm kernel", map[string]float64{"C6:0": 0.4, "C8:0": 4.3, "C10:0": 3.8, "C12:0": 50, "C14:0": 16, "C16:0": 8.25, "C18:0": 2, "C18:1": 15.5, "C18:2": 2.25}, 246.580, 239.765, 230, 254, true},
		{"palm, high oleic", map[string]float64{"C12:0": 0.3, "C14:0": 0.4, "C16:0": 30.5, "C18:0": 3, "C18:1": 54, "C18:2": 13}, 196.170, 195.730, 189, 199, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var weights, masses []float64
			total, weighted := 0.0, 0.0
			for code, weight := range tt.profile {
				acid, ok := inci.AcidByCode(code)
				if !ok {
					t.Fatalf("no acid %s", code)
				}
				weights, masses = append(weights, weight), append(masses, acid.MolarMass)
				total, weighted = total+weight, weighted+weight*acid.MolarMass
			}
			inside := func(sap float64) bool { return tt.low <= sap && sap <= tt.high }
			sap := saponify.FromProfile(saponify.Triglyceride, weights, masses)
			near(t, "by the mole mean", sap, tt.mole, 2e-3)
			if !inside(sap) {
				t.Errorf("%.1f is outside %g to %g", sap, tt.low, tt.high)
			}
			byMass := saponify.FromProfile(saponify.Triglyceride, []float64{1}, []float64{weighted / total})
			near(t, "by the mean of masses", byMass, tt.mass, 2e-3)
			if inside(byMass) != tt.massMeanIsInside {
				t.Errorf("the mean of masses gives %.1f, for a range of %g to %g", byMass, tt.low, tt.high)
			}
		})
	}
}

// A report of 323.85 mg KOH/g for coconut oil (African Journals Online, CSJ) needs acids
// of 160.6 g/mol on the mean, shorter than capric acid: nearly all of coconut oil is
// longer.
func TestImpossibleCoconut(t *testing.T) {
	mean := saponify.Fat{SAP: 323.85}.MeanAcid()
	near(t, "mean acid", mean, 160.56, 0.01)
	if capric, ok := inci.AcidByCode("C10:0"); !ok || mean >= capric.MolarMass {
		t.Errorf("the mean acid, %.1f, is no shorter than capric acid, %.1f", mean, capric.MolarMass)
	}
}

// Jojoba of 606 g/mol on the mean (Merck Index) has one ester in each: 92.58 mg KOH/g,
// where the same entry states 92.2.
func TestJojobaOfTheMerckIndex(t *testing.T) {
	near(t, "saponification value", 1000*inci.MolarMassKOH/606, 92.2, 0.5)
	// Its alcohol and its acid are the wax and a water.
	f := saponify.Fat{Kind: saponify.WaxEster, SAP: 1000 * inci.MolarMassKOH / 606, AcidMass: 310.5}
	p := f.At(saponify.Extent{Esters: 1}, 0)
	near(t, "alcohol", 606*p.Alcohol, 606+inci.MolarMassWater-310.5, 1e-9)
	near(t, "glycerol", p.Glycerol, 0, 0)
	near(t, "water", p.Water, 0, 0)
}

// Acid values: stearic acid 194 to 212 (Ph. Eur. and NF), purified 195 to 200 (NF),
// oleic acid 196 to 204 (NF). Those of the pure acids follow from their molar masses; so
// does that of a half and half of stearic and palmitic acid, as it is sold.
func TestAcidValuesOfPharmacopoeias(t *testing.T) {
	for _, tt := range []struct {
		name      string
		profile   map[string]float64
		low, high float64
	}{
		{"stearic, purified", map[string]float64{"C18:0": 96, "C16:0": 4}, 195, 200},
		{"stearic, half and half", map[string]float64{"C18:0": 50, "C16:0": 50}, 194, 212},
		{"oleic", map[string]float64{"C18:1": 100}, 196, 204},
	} {
		var weights, masses []float64
		for code, weight := range tt.profile {
			acid, ok := inci.AcidByCode(code)
			if !ok {
				t.Fatalf("no acid %s", code)
			}
			weights, masses = append(weights, weight), append(masses, acid.MolarMass)
		}
		if got := saponify.FromProfile(saponify.FreeAcid, weights, masses); got < tt.low || got > tt.high {
			t.Errorf("%s: %.1f, want %g to %g", tt.name, got, tt.low, tt.high)
		}
	}
}

// Of a gram of neutral fat of S mg KOH/g that is wholly saponified, n = S/56.105 mmol:
// 39.997 n mg of sodium hydroxide make 1000 + 9.299 n mg of soap and 92.094 n/3 mg of
// glycerol, by the equation of the reaction; of its mass 0.054715 · (S − A) % is
// glycerol.
func TestEquationOfSaponification(t *testing.T) {
	for _, sap := range []float64{190, 257} {
		for _, acid := range []float64{0, 30} {
			f := saponify.Fat{SAP: sap, AcidValue: acid}
			p := f.At(saponify.Extent{Acids: 1, Esters: 1}, 0)
			near(t, "glycerol, %", 100*p.Glycerol, 0.0547149735*(sap-acid), 1e-7)
			near(t, "water", p.Water, acid/1000/inci.MolarMassKOH*inci.MolarMassWater, 1e-12)
			if acid == 0 {
				near(t, "soap", p.SodiumSoap, 1+9.299e-3*sap/56.105, 1e-5)
			}
		}
	}
}
