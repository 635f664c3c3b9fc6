package saponify_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"saponym/inci"
	"saponym/internal/saponify"
)

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if math.Abs(got-want) > by {
		t.Errorf("%s = %.9f, want %.9f (± %g)", what, got, want, by)
	}
}

// The worked blend: five fats with free acids and unsaponifiable matter, a wax and
// a fatty acid among them, at a discount of 5 % with a tenth of the alkali, by
// moles, potassium hydroxide. The figures were worked out by hand from the
// formulas of the saponification and acid value (ISO 3657), apart from this code.
func TestWorkedBlend(t *testing.T) {
	type row struct {
		name                                     string
		grams                                    float64
		fat                                      saponify.Fat
		mean, soap, glycerol, water, left, unsap float64
	}
	rows := []row{
		{"olive", 500, saponify.Fat{SAP: 190, AcidValue: 1, Unsaponifiable: 0.010}, 279.7219, 487.1386, 49.0290, 0.1605, 25.4959, 5.0},
		{"coconut", 300, saponify.Fat{SAP: 257, AcidValue: 0.2, Unsaponifiable: 0.003}, 204.9805, 297.8578, 39.9703, 0.0193, 15.4723, 0.9},
		{"palm", 150, saponify.Fat{SAP: 199, AcidValue: 0.4, Unsaponifiable: 0.006}, 267.5871, 146.9143, 15.4558, 0.0193, 7.7037, 0.9},
		{"stearic acid", 30, saponify.Fat{Kind: saponify.FreeAcid, SAP: 205, AcidValue: 205}, 273.6844, 32.5861, 0, 1.9747, 0, 0},
		{"beeswax", 20, saponify.Fat{Kind: saponify.WaxEster, SAP: 95, AcidValue: 20, Unsaponifiable: 0.15, AcidMass: 256.43}, 256.43, 9.0954, 0, 0.1284, 0.7854, 3.0 + 8.3422},
	}
	acids, esters := 0.0, 0.0
	for _, r := range rows {
		a, e := r.fat.Equivalents()
		acids += r.grams * a
		esters += r.grams * e
	}
	near(t, "equivalents of all fats", acids+esters, 3.742962, 5e-7)
	used := 0.95 * (acids + esters)
	near(t, "equivalents that react", used, 3.555814, 5e-7)
	extent := saponify.Reacted(used, acids, esters)
	near(t, "extent of the esters", extent.Esters, 0.948232510, 5e-10)
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			p := r.fat.At(extent, 0.10)
			near(t, "mean acid", r.fat.MeanAcid(), r.mean, 5e-5)
			near(t, "soap", r.grams*(p.SodiumSoap+p.PotassiumSoap), r.soap, 5e-5)
			near(t, "glycerol", r.grams*p.Glycerol, r.glycerol, 5e-5)
			near(t, "water", r.grams*p.Water, r.water, 5e-5)
			near(t, "left over", r.grams*p.LeftOver, r.left, 5e-5)
			near(t, "unsaponifiable with alcohol", r.grams*(p.Unsaponifiable+p.Alcohol), r.unsap, 5e-5)
		})
	}
}

// Theoretical yields of glycerol in per cent of the fat: Thomssen, Soap-Making
// Manual (1922), appendix. The book gives the yields; the ester values beside
// them are ordinary ones for the fats.
func TestGlycerolYields(t *testing.T) {
	for _, tt := range []struct {
		fat          string
		ester, yield float64
	}{
		{"coconut", 254, 13.9}, {"palm kernel", 243, 13.3}, {"olive", 188, 10.3}, {"beef tallow", 196, 10.7},
	} {
		p := saponify.Fat{SAP: tt.ester}.At(saponify.Extent{Acids: 1, Esters: 1}, 0)
		near(t, tt.fat, 100*p.Glycerol, tt.yield, 0.05)
	}
}

// Saponification equivalents of pure triglycerides, in g that take up a mole of
// potassium hydroxide: Simmons & Appleton, The Handbook of Soap Manufacture
// (1908), table of saponification equivalents. The book reckoned with the atomic
// weights of its day.
func TestPureTriglycerides(t *testing.T) {
	for _, tt := range []struct {
		code       string
		equivalent float64
	}{
		{"C12:0", 212.7}, {"C16:0", 268.7}, {"C18:0", 296.7}, {"C18:1", 294.7},
	} {
		acid, ok := inci.AcidByCode(tt.code)
		if !ok {
			t.Fatalf("no acid %s", tt.code)
		}
		sap := saponify.FromProfile(saponify.Triglyceride, []float64{1}, []float64{acid.MolarMass})
		near(t, tt.code, 1000*inci.MolarMassKOH/sap, tt.equivalent, 0.5)
	}
}

// The olive oil of the worked example in Regulation (EEC) No 2568/91, Annex XVIII,
// section 6: P10 S3 Po1 O75 L10 Ln1. Its sum of area over molar mass is 0.35821
// there; the saponification value follows from the molar masses.
func TestOliveOilOfTheRegulation(t *testing.T) {
	profile := map[string]float64{"C16:0": 10, "C18:0": 3, "C16:1": 1, "C18:1": 75, "C18:2": 10, "C18:3": 1}
	var weights, masses []float64
	moles := 0.0
	for code, weight := range profile {
		acid, ok := inci.AcidByCode(code)
		if !ok {
			t.Fatalf("no acid %s", code)
		}
		weights, masses = append(weights, weight), append(masses, acid.MolarMass)
		moles += weight / acid.MolarMass
	}
	near(t, "moles of acid", moles, 0.35821, 5e-5)
	near(t, "SAP", saponify.FromProfile(saponify.Triglyceride, weights, masses), 192.255, 1e-3)
}

// The published profile of a fat must give a saponification value inside the
// published range, which is of other samples and often of another source: Codex
// CXS 210, CXS 211 and CXS 33, pharmacopoeias, handbooks; see the sources in
// package inci.
func TestProfilesMeetTheirRanges(t *testing.T) {
	checked := 0
	for fat := range inci.Fats() {
		if fat.Kind != inci.Triglyceride || !fat.SAP.Given() || !fat.Profile.Given() {
			continue
		}
		var weights, masses []float64
		for _, share := range fat.Profile.Shares {
			acid, ok := inci.AcidByCode(share.Code)
			if !ok {
				t.Fatalf("%s: no acid %s", fat.ID, share.Code)
			}
			weights, masses = append(weights, share.Percent), append(masses, acid.MolarMass)
		}
		checked++
		if sap := saponify.FromProfile(saponify.Triglyceride, weights, masses); sap < fat.SAP.Low || sap > fat.SAP.High {
			t.Errorf("%s: the profile gives %.1f, outside %.1f to %.1f (%s)", fat.ID, sap, fat.SAP.Low, fat.SAP.High, fat.SAP.Source)
		}
	}
	if checked < 70 {
		t.Errorf("only %d fats were checked", checked)
	}
}

func anyFat(t *rapid.T) saponify.Fat {
	f := saponify.Fat{
		Kind:           saponify.Kind(rapid.IntRange(0, 2).Draw(t, "kind")),
		SAP:            rapid.Float64Range(75, 360).Draw(t, "sap"),
		Unsaponifiable: rapid.Float64Range(0, 0.2).Draw(t, "unsaponifiable"),
		AcidMass:       rapid.Float64Range(140, 340).Draw(t, "acid mass"),
	}
	f.AcidValue = rapid.Float64Range(0, 0.9*f.SAP).Draw(t, "acid value")
	return f
}

// Mass closes: fat and alkali in are soap, glycerol, alcohol, water, left-over
// fat and unsaponifiable matter out, for any fat and extent.
func TestMassCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFat(t)
		x := saponify.Extent{Acids: rapid.Float64Range(0, 1).Draw(t, "acids"), Esters: rapid.Float64Range(0, 1).Draw(t, "esters")}
		potassium := rapid.Float64Range(0, 1).Draw(t, "potassium")
		p := f.At(x, potassium)
		acids, esters := f.Equivalents()
		moles := x.Acids*acids + x.Esters*esters
		in := 1 + moles*((1-potassium)*inci.MolarMassNaOH+potassium*inci.MolarMassKOH)
		out := p.SodiumSoap + p.PotassiumSoap + p.Glycerol + p.Alcohol + p.Water + p.LeftOver + p.Unsaponifiable
		if math.Abs(in-out) > 1e-9 {
			t.Fatalf("in %.12f, out %.12f", in, out)
		}
	})
}

// The extent takes up just the alkali that was poured.
func TestExtentTakesUpTheAlkali(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		acids := rapid.Float64Range(0, 5).Draw(t, "acids")
		esters := rapid.Float64Range(0.1, 5).Draw(t, "esters")
		alkali := rapid.Float64Range(0, 12).Draw(t, "alkali")
		x := saponify.Reacted(alkali, acids, esters)
		if math.Abs(x.Acids*acids+x.Esters*esters-alkali) > 1e-9 {
			t.Fatalf("%v takes up %.9f of %.9f mol", x, x.Acids*acids+x.Esters*esters, alkali)
		}
		if heavy := alkali > acids+esters; heavy != (max(x.Acids, x.Esters) > 1) {
			t.Fatalf("alkali %v for %v: extent %v", alkali, acids+esters, x)
		}
	})
}

func BenchmarkAt(b *testing.B) {
	f := saponify.Fat{SAP: 190, AcidValue: 1, Unsaponifiable: 0.01}
	for b.Loop() {
		f.At(saponify.Extent{Acids: 1, Esters: 0.95}, 0)
	}
}

// The soap of a fat whose figures lie anywhere between two never falls below the straight
// way between their ends by more than the sag, however much of its esters lye does not
// reach.
func TestSagBoundsTheSoapBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := saponify.Fat{Kind: saponify.Triglyceride, SAP: rapid.Float64Range(150, 200).Draw(t, "sap"), Inert: rapid.Float64Range(0, 1).Draw(t, "inert")}
		high := low
		high.SAP += rapid.Float64Range(0, 60).Draw(t, "more sap")
		low.AcidValue = rapid.Float64Range(0, 40).Draw(t, "acid")
		high.AcidValue = low.AcidValue + rapid.Float64Range(0, 80).Draw(t, "more acid")
		x := saponify.Extent{Acids: 1, Esters: rapid.Float64Range(0, 1).Draw(t, "esters")}
		soap := func(s, a float64) float64 {
			f := low
			f.SAP += s * (high.SAP - low.SAP)
			f.AcidValue += a * (high.AcidValue - low.AcidValue)
			return f.At(x, 0).SodiumSoap
		}
		between := rapid.Float64Range(0, 1)
		for _, p := range [][2]float64{{0.5, 0.5}, {0, 0.5}, {1, 0.5}, {0.5, 1}, {between.Draw(t, "s"), between.Draw(t, "a")}} {
			s, a := p[0], p[1]
			straight := (1-s)*((1-a)*soap(0, 0)+a*soap(0, 1)) + s*((1-a)*soap(1, 0)+a*soap(1, 1))
			if got := soap(s, a); got < straight-low.Sag(high, x)-1e-12 {
				t.Fatalf("%.9f g of soap, %.9f on the straight way, and a sag of %.9f", got, straight, low.Sag(high, x))
			}
		}
	})
}
