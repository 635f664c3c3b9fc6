package inci_test

import (
	"math"
	"testing"

	"saponym/inci"
)

// printed reports whether got, rounded to so many decimals, is want.
func printed(got, want float64, decimals int) bool {
	return math.Abs(got-want) <= 0.5000001*math.Pow10(-decimals)
}

// neutralisationTests are grams of alkali, and of water formed, to a gram of the
// pure substance: computed apart from the program, from the formulas and the
// standard atomic weights of 2021, and rounded to five decimals. The water does not
// count the crystal water.
var neutralisationTests = []struct {
	id               string
	molarMass        float64 // rounded to three decimals
	naoh, koh, water float64
	crystal          float64
}{
	{"citric-acid", 192.123, 0.62455, 0.87608, 0.28130, 0},
	{"citric-acid-monohydrate", 210.138, 0.57101, 0.80098, 0.25719, 0.08573},
	{"lactic-acid", 90.078, 0.44402, 0.62285, 0.19999, 0},
	{"acetic-acid", 60.052, 0.66604, 0.93428, 0.29999, 0},
	{"tartaric-acid", 150.086, 0.53298, 0.74764, 0.24006, 0},
	{"malic-acid", 134.087, 0.59658, 0.83685, 0.26871, 0},
	{"glycolic-acid", 76.051, 0.52592, 0.73773, 0.23688, 0},
	{"ascorbic-acid", 176.124, 0.22709, 0.31856, 0.10229, 0},
	{"sodium-bicarbonate", 84.006, 0.47612, 0.66787, 0.21445, 0},
	{"disodium-edta", 372.238, 0.21490, 0.30145, 0.09679, 0.09679},
}

func TestNeutralisations(t *testing.T) {
	for _, tt := range neutralisationTests {
		n := mustNeutralise(t, tt.id)
		for _, c := range []struct {
			what      string
			got, want float64
			decimals  int
		}{
			{"molar mass", n.MolarMass, tt.molarMass, 3},
			{"NaOH", n.Equivalents * inci.MolarMassNaOH / n.MolarMass, tt.naoh, 5},
			{"KOH", n.Equivalents * inci.MolarMassKOH / n.MolarMass, tt.koh, 5},
			{"water", n.Equivalents * inci.MolarMassWater / n.MolarMass, tt.water, 5},
			{"crystal water", n.CrystalWater * inci.MolarMassWater / n.MolarMass, tt.crystal, 5},
		} {
			if !printed(c.got, c.want, c.decimals) {
				t.Errorf("%s, %s: got %.*f, want %v", tt.id, c.what, c.decimals, c.got, c.want)
			}
		}
	}
	n := 0
	for s := range inci.All() {
		if s.Neutralises == nil {
			continue
		}
		n++
		if s.InTheLye.Class != inci.Reacts {
			t.Errorf("%s: takes up alkali, and is %q in the lye", s.ID, s.InTheLye.Class)
		}
	}
	if n != len(neutralisationTests) {
		t.Errorf("%d substances take up alkali whole, %d are tested", n, len(neutralisationTests))
	}
}

// Molar masses as they are printed. Citric acid: Apelblat, Citric Acid (Springer
// 2014), chapter 2. The others, and all salts, are from memory of labels and
// catalogues of chemicals.
func TestPublishedMolarMasses(t *testing.T) {
	for _, tt := range []struct {
		id                string
		molarMass         float64
		sodium, potassium float64 // of the salt without crystal water; 0 where it is not recalled
	}{
		{"citric-acid", 192.12, 258.07, 306.39},
		{"citric-acid-monohydrate", 210.14, 258.07, 306.39},
		{"lactic-acid", 90.08, 112.06, 128.17},
		{"acetic-acid", 60.05, 82.03, 98.14},
		{"tartaric-acid", 150.09, 194.05, 226.27},
		{"malic-acid", 134.09, 178.05, 0},
		{"glycolic-acid", 76.05, 98.03, 0},
		{"ascorbic-acid", 176.12, 198.11, 0},
		{"sodium-bicarbonate", 84.01, 105.99, 122.10}, // NaKCO3
		{"disodium-edta", 372.24, 380.17, 0},
	} {
		n := mustNeutralise(t, tt.id)
		salt := func(alkali float64) float64 {
			return n.MolarMass - n.CrystalWater*inci.MolarMassWater + n.Equivalents*(alkali-inci.MolarMassWater)
		}
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"molar mass", n.MolarMass, tt.molarMass},
			{"sodium salt", salt(inci.MolarMassNaOH), tt.sodium},
			{"potassium salt", salt(inci.MolarMassKOH), tt.potassium},
		} {
			// Catalogues round atomic weights of other years: one in the last digit.
			if c.want > 0 && math.Abs(c.got-c.want) > 0.015 {
				t.Errorf("%s, %s: got %.3f, want %v", tt.id, c.what, c.got, c.want)
			}
		}
	}
}

// The names of salts, and how sure each is.
func TestNeutralSalts(t *testing.T) {
	const listed, analogy, recalled = inci.Listed, inci.FormedByAnalogy, inci.Status("")
	known := map[inci.Status]inci.Known{listed: inci.Retrieved, analogy: inci.Analogy, recalled: inci.Memory}
	for _, tt := range []struct {
		id              string
		sodium          string
		sodiumStatus    inci.Status
		potassium       string
		potassiumStatus inci.Status
	}{
		{"citric-acid", "Sodium Citrate", listed, "Potassium Citrate", recalled},
		{"citric-acid-monohydrate", "Sodium Citrate", listed, "Potassium Citrate", recalled},
		{"lactic-acid", "Sodium Lactate", listed, "Potassium Lactate", recalled},
		{"acetic-acid", "Sodium Acetate", recalled, "Potassium Acetate", recalled},
		{"tartaric-acid", "Sodium Tartrate", recalled, "Potassium Tartrate", analogy},
		{"malic-acid", "Sodium Malate", recalled, "Potassium Malate", analogy},
		{"glycolic-acid", "Sodium Glycolate", recalled, "Potassium Glycolate", analogy},
		{"ascorbic-acid", "Sodium Ascorbate", recalled, "Potassium Ascorbate", analogy},
		{"sodium-bicarbonate", "Sodium Carbonate", listed, "Potassium Carbonate", listed},
		{"disodium-edta", "Tetrasodium EDTA", listed, "Dipotassium Disodium EDTA", analogy},
	} {
		n := mustNeutralise(t, tt.id)
		for _, c := range []struct {
			got    inci.Name
			text   string
			status inci.Status
		}{{n.SodiumSalt, tt.sodium, tt.sodiumStatus}, {n.PotassiumSalt, tt.potassium, tt.potassiumStatus}} {
			if c.got.Text != c.text || c.got.Status != c.status || c.got.Known != known[c.status] {
				t.Errorf("%s: got %q (%q, %s), want %q (%q)", tt.id, c.got.Text, c.got.Status, c.got.Known, c.text, c.status)
			}
			// A salt that is a substance of its own has the same name and standing there.
			found := inci.ByINCI(c.text)
			if (len(found) == 1) != (c.status == listed) || len(found) == 1 && found[0].EU != c.got {
				t.Errorf("%s: %q finds %q", tt.id, c.text, idsOf(found))
			}
		}
	}
}

func mustNeutralise(t *testing.T, id string) inci.Neutralisation {
	t.Helper()
	s, ok := inci.ByID(id)
	if !ok || s.Neutralises == nil {
		t.Fatalf("%s: found %v, and takes up no alkali", id, ok)
	}
	return *s.Neutralises
}

// One name leads to both citric acids, the anhydrous first.
func TestCitricAcids(t *testing.T) {
	if got := idsOf(inci.ByINCI("Citric Acid")); got != "citric-acid citric-acid-monohydrate" {
		t.Errorf("got %q", got)
	}
	if s, ok := inci.ByName("citric acid"); !ok || s.ID != "citric-acid" {
		t.Errorf("the name found %q, %v", s.ID, ok)
	}
}

func TestMolarMassOfFormula(t *testing.T) {
	for formula, want := range map[string]float64{
		"H2O": inci.MolarMassWater, "NaOH": inci.MolarMassNaOH, "KOH": inci.MolarMassKOH, "C3H8O3": inci.MolarMassGlycerol,
		"Na2CO3": inci.MolarMassSodiumCarbonate, "K2CO3": inci.MolarMassPotassiumCarbonate, "CO2": inci.MolarMassCarbonDioxide,
		"N2": 28.014,
	} {
		if got, err := inci.MolarMass(formula); err != nil || !near(got, want, 1e-12) {
			t.Errorf("%s: got %v, %v; want %v", formula, got, err, want)
		}
	}
	for _, formula := range []string{"", "h2o", "H02", "H2O·", "(CH3)2", "Na2SO4", "C100H200", "2H"} {
		if got, err := inci.MolarMass(formula); err == nil {
			t.Errorf("%q: got %v, want an error", formula, got)
		}
	}
	for s := range inci.All() {
		if n := s.Neutralises; n != nil {
			if dry, err := inci.MolarMass(n.Formula); err != nil || !near(n.MolarMass, dry+n.CrystalWater*inci.MolarMassWater, 1e-12) {
				t.Errorf("%s: molar mass %v of %s, %v", s.ID, n.MolarMass, n.Formula, err)
			}
		}
	}
}
