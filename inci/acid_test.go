package inci_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"saponym/inci"
)

// near reports whether got is want to within the relative error.
func near(got, want, relative float64) bool { return math.Abs(got-want) <= relative*math.Abs(want) }

// Molar masses as they follow by hand from the standard atomic weights of 2021.
func TestMolarMasses(t *testing.T) {
	for _, tt := range []struct {
		name      string
		got, want float64
	}{
		{"water", inci.MolarMassWater, 18.015},
		{"sodium hydroxide", inci.MolarMassNaOH, 39.99676928},
		{"potassium hydroxide", inci.MolarMassKOH, 56.1053},
		{"glycerol", inci.MolarMassGlycerol, 92.094},
		{"sodium carbonate", inci.MolarMassSodiumCarbonate, 105.98753856},
		{"potassium carbonate", inci.MolarMassPotassiumCarbonate, 138.2046},
		{"carbon dioxide", inci.MolarMassCarbonDioxide, 44.009},
		{"sodium to potassium hydroxide", inci.MolarMassNaOH / inci.MolarMassKOH, 0.712887539680},
		{"glycerol less three of water", inci.MolarMassGlycerol - 3*inci.MolarMassWater, 38.049},
		// "Pure caustic soda is 77.5 % Na2O" (Thomssen, Soap-Making Manual, 1922).
		{"share of Na2O in caustic soda", (2*inci.AtomicWeightNa + inci.AtomicWeightO) / (2 * inci.MolarMassNaOH), 0.774794311},
	} {
		if !near(tt.got, tt.want, 1e-9) {
			t.Errorf("%s: got %v, want %v", tt.name, tt.got, tt.want)
		}
	}
}

// acidTests are figures computed from the formulas with the abridged standard
// atomic weights of 2021 (Na 22.990, K 39.098), rounded to three decimals, and
// to one for the values in mg of KOH. The weights used here for sodium and
// potassium have more digits; that may make no difference beyond 1e-5.
var acidTests = []struct {
	code             string
	molarMass        float64
	sodiumFormula    string
	sodium           float64
	potassiumFormula string
	potassium        float64
	acidValue        float64
	triglyceride     float64
}{
	{"C4:0", 88.106, "C4H7O2Na", 110.088, "C4H7O2K", 126.196, 636.8, 556.7},
	{"C6:0", 116.16, "C6H11O2Na", 138.142, "C6H11O2K", 154.25, 483.0, 435.5},
	{"C8:0", 144.214, "C8H15O2Na", 166.196, "C8H15O2K", 182.304, 389.0, 357.6},
	{"C10:0", 172.268, "C10H19O2Na", 194.25, "C10H19O2K", 210.358, 325.7, 303.4},
	{"C11:1", 184.279, "C11H19O2Na", 206.261, "C11H19O2K", 222.369, 304.5, 284.9},
	{"C12:0", 200.322, "C12H23O2Na", 222.304, "C12H23O2K", 238.412, 280.1, 263.4},
	{"C14:0", 228.376, "C14H27O2Na", 250.358, "C14H27O2K", 266.466, 245.7, 232.7},
	{"C14:1", 226.36, "C14H25O2Na", 248.342, "C14H25O2K", 264.45, 247.9, 234.7},
	{"C16:0", 256.43, "C16H31O2Na", 278.412, "C16H31O2K", 294.52, 218.8, 208.5},
	{"C16:1", 254.414, "C16H29O2Na", 276.396, "C16H29O2K", 292.504, 220.5, 210.1},
	{"C18:0", 284.484, "C18H35O2Na", 306.466, "C18H35O2K", 322.574, 197.2, 188.8},
	{"C18:1", 282.468, "C18H33O2Na", 304.45, "C18H33O2K", 320.558, 198.6, 190.1},
	{"C18:2", 280.452, "C18H31O2Na", 302.434, "C18H31O2K", 318.542, 200.1, 191.4},
	{"C18:3", 278.436, "C18H29O2Na", 300.418, "C18H29O2K", 316.526, 201.5, 192.7},
	{"C18:3n6", 278.436, "C18H29O2Na", 300.418, "C18H29O2K", 316.526, 201.5, 192.7},
	{"C18:3c", 278.436, "C18H29O2Na", 300.418, "C18H29O2K", 316.526, 201.5, 192.7},
	{"C18:1OH", 298.467, "C18H33O3Na", 320.449, "C18H33O3K", 336.557, 188.0, 180.3},
	{"C18OH", 300.483, "C18H35O3Na", 322.465, "C18H35O3K", 338.573, 186.7, 179.2},
	{"C18:0i", 284.484, "C18H35O2Na", 306.466, "C18H35O2K", 322.574, 197.2, 188.8},
	{"C20:0", 312.538, "C20H39O2Na", 334.52, "C20H39O2K", 350.628, 179.5, 172.5},
	{"C20:1", 310.522, "C20H37O2Na", 332.504, "C20H37O2K", 348.612, 180.7, 173.6},
	{"C20:2", 308.506, "C20H35O2Na", 330.488, "C20H35O2K", 346.596, 181.9, 174.7},
	{"C22:0", 340.592, "C22H43O2Na", 362.574, "C22H43O2K", 378.682, 164.7, 158.8},
	{"C22:1", 338.576, "C22H41O2Na", 360.558, "C22H41O2K", 376.666, 165.7, 159.7},
	{"C22:2", 336.56, "C22H39O2Na", 358.542, "C22H39O2K", 374.65, 166.7, 160.6},
	{"C24:0", 368.646, "C24H47O2Na", 390.628, "C24H47O2K", 406.736, 152.2, 147.1},
	{"C24:1", 366.63, "C24H45O2Na", 388.612, "C24H45O2K", 404.72, 153.0, 147.9}}

func TestAcids(t *testing.T) {
	if got := count(inci.Acids()); got != len(acidTests) {
		t.Errorf("%d acids, want %d", got, len(acidTests))
	}
	for _, tt := range acidTests {
		t.Run(tt.code, func(t *testing.T) {
			a, ok := inci.AcidByCode(tt.code)
			if !ok {
				t.Fatal("not found")
			}
			for what, pair := range map[string][2]float64{
				"molar mass":                       {a.MolarMass, tt.molarMass},
				"molar mass of the sodium soap":    {a.SoapMolarMass(inci.Sodium), tt.sodium},
				"molar mass of the potassium soap": {a.SoapMolarMass(inci.Potassium), tt.potassium},
			} {
				if !near(pair[0], pair[1], 1e-5) {
					t.Errorf("%s: got %v, want %v", what, pair[0], pair[1])
				}
			}
			if got := a.SoapFormula(inci.Sodium); got != tt.sodiumFormula {
				t.Errorf("formula of the sodium soap: got %s, want %s", got, tt.sodiumFormula)
			}
			if got := a.SoapFormula(inci.Potassium); got != tt.potassiumFormula {
				t.Errorf("formula of the potassium soap: got %s, want %s", got, tt.potassiumFormula)
			}
			if got := a.AcidValue(); math.Abs(got-tt.acidValue) > 0.051 {
				t.Errorf("acid value: got %v, want %v", got, tt.acidValue)
			}
			if got := a.TriglycerideSAP(); math.Abs(got-tt.triglyceride) > 0.051 {
				t.Errorf("saponification value of the triglyceride: got %v, want %v", got, tt.triglyceride)
			}
		})
	}
}

// A chain of n carbons with d double bonds has 2n-2d hydrogens, and two oxygens;
// a hydroxyl group adds a third. The code says all three.
func TestAcidFormulas(t *testing.T) {
	for a := range inci.Acids() {
		var carbons, bonds int
		oxygens := 2
		switch a.Code {
		case "C18:1OH":
			carbons, bonds, oxygens = 18, 1, 3
		case "C18OH":
			carbons, bonds, oxygens = 18, 0, 3
		default:
			if _, err := fmt.Sscanf(a.Code, "C%d:%d", &carbons, &bonds); err != nil {
				t.Fatalf("%s: %v", a.Code, err)
			}
		}
		if want := fmt.Sprintf("C%dH%dO%d", carbons, 2*carbons-2*bonds, oxygens); a.Formula != want || a.DoubleBonds != bonds {
			t.Errorf("%s: formula %s with %d double bonds, want %s with %d", a.Code, a.Formula, a.DoubleBonds, want, bonds)
		}
	}
}

func TestAcidLookUps(t *testing.T) {
	for _, tt := range []struct{ word, code string }{
		{"oleic", "C18:1"},
		{"Oleic Acid", "C18:1"},
		{"oleic-acid", "C18:1"},
		{"(9Z)-octadec-9-enoic acid", "C18:1"},
		{"linolenic", "C18:3"},
		{"alpha-linolenic acid", "C18:3"},
		{"gamma linolenic", "C18:3n6"},
		{"punicic acid", "C18:3c"},
		{"hydroxystearic acid", "C18OH"},
		{"12-hydroxystearic acid", "C18OH"},
		{"gondoic", "C20:1"},
		{"undecylenic", "C11:1"},
	} {
		if a, ok := inci.AcidByName(tt.word); !ok || a.Code != tt.code {
			t.Errorf("%q: got %q, want %q", tt.word, a.Code, tt.code)
		}
	}
	for _, tt := range []struct{ word, code string }{{"C18:1", "C18:1"}, {"c18:1", "C18:1"}, {"C18:1-OH", "C18:1OH"}, {" C12:0 ", "C12:0"}} {
		if a, ok := inci.AcidByCode(tt.word); !ok || a.Code != tt.code {
			t.Errorf("%q: got %q, want %q", tt.word, a.Code, tt.code)
		}
	}
	for _, word := range []string{"", "acid", "olive", "C18:9", "C18"} {
		if a, ok := inci.AcidByName(word); ok {
			t.Errorf("the name %q found %s", word, a.Code)
		}
		if a, ok := inci.AcidByCode(word); ok {
			t.Errorf("the code %q found %s", word, a.Code)
		}
	}
	for a := range inci.Acids() {
		for _, name := range append([]string{a.Common, a.Systematic}, a.AlsoCalled...) {
			if found, _ := inci.AcidByName(name); found.Code != a.Code {
				t.Errorf("%q: got %q, want %q", name, found.Code, a.Code)
			}
		}
		if found, _ := inci.AcidByName(a.INCI.Text); a.INCI.Given() && found.Code != a.Code {
			t.Errorf("%q: got %q, want %q", a.INCI.Text, found.Code, a.Code)
		}
		for _, metal := range []inci.Metal{inci.Sodium, inci.Potassium} {
			salt := a.Salt(metal)
			if !salt.Given() {
				continue
			}
			found, foundMetal := inci.AcidsBySalt(salt.Text)
			if foundMetal != metal || !slices.ContainsFunc(found, func(f inci.Acid) bool { return f.Code == a.Code }) {
				t.Errorf("%q: got %v of %s, want %s", salt.Text, found, foundMetal, a.Code)
			}
		}
	}
}

// One name serves both linolenic acids.
func TestAcidsBySalt(t *testing.T) {
	found, metal := inci.AcidsBySalt("sodium linolenate")
	var codes []string
	for _, a := range found {
		codes = append(codes, a.Code)
	}
	if want := []string{"C18:3", "C18:3n6"}; !slices.Equal(codes, want) || metal != inci.Sodium {
		t.Errorf("got %v of %q, want %v of sodium", codes, metal, want)
	}
	if found, metal := inci.AcidsBySalt("Sodium Olivate"); found != nil || metal != "" {
		t.Errorf("the salt of an oil: got %v of %q", found, metal)
	}
}
