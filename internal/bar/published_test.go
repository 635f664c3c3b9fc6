package bar_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// These tests take the whole way, from the text of a formula to what the batter has
// become, and compare it with figures that were published, or that follow from
// published ones without this code. The source stands beside each.

const head = "name: Test\nidentity: soap\n"

// made pours a formula that no finding stops.
func made(t testing.TB, text string, own ...formula.Material) (*bar.Batter, bar.Contents) {
	t.Helper()
	b, findings := pour(t, head+text, own...)
	if b == nil || finding.Worst(findings) == finding.Stop {
		t.Fatalf("stopped:\n%s", rules(findings))
	}
	c, err := b.Contents()
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(c.Total()-b.Mass()) > 1e-9*b.Mass() {
		t.Errorf("%.9f g weighed, %.9f g in the batter", b.Mass(), c.Total())
	}
	return b, c
}

func about(t testing.TB, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: got %.9g, want %.9g (± %g)", what, got, want, by)
	}
}

// oil makes a lot of an oil with figures of its own.
func oil(t testing.TB, inci, figures string) formula.Material {
	t.Helper()
	return material(t, "lot", "name: Lot\nkind: oil\ninci: "+inci+"\n"+figures)
}

const olive = "Olea Europaea (Olive) Fruit Oil"

// What one gram of an acid takes up, and the water that is set free, by the equations
// of the reactions and the atomic weights of IUPAC (2021). Of citric acid the molar
// masses, 192.12 and 210.14, and its three acid groups are those of Apelblat, Citric
// Acid (2014), chapter 2. The acid is taken up whole, whatever the superfat.
func TestAcidsTakeUpLye(t *testing.T) {
	for _, tt := range []struct {
		acid                     string
		sodium, potassium, water float64
	}{
		{"citric-acid", 0.62455, 0.87608, 0.28130},
		{"citric-acid-monohydrate", 0.57101, 0.80098, 0.25719 + 0.08573}, // its crystal water too
		{"lactic-acid", 0.44402, 0.62285, 0.19999},
		{"acetic-acid", 0.66604, 0.93428, 0.29999},
		{"tartaric-acid", 0.53298, 0.74764, 0.24006},
		{"malic-acid", 0.59658, 0.83685, 0.26871},
		{"glycolic-acid", 0.52592, 0.73773, 0.23688},
		{"ascorbic-acid", 0.22709, 0.31856, 0.10229}, // its first proton alone
		{"sodium-bicarbonate", 0.47612, 0.66787, 0.21445},
	} {
		for alkali, want := range map[string]float64{"sodium hydroxide": tt.sodium, "potassium hydroxide": tt.potassium} {
			for _, superfat := range []int{0, 5, 20} {
				t.Run(fmt.Sprintf("%s in %s at %d %%", tt.acid, alkali, superfat), func(t *testing.T) {
					const grams = 100
					text := fmt.Sprintf("pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: %s, purity: 100%%, superfat: %d%%, water: {weight: 400 g}}\n", alkali, superfat)
					without, plain := made(t, text)
					with, sour := made(t, text+fmt.Sprintf("add: [{material: %s, weight: %d g}]\n", tt.acid, grams))
					more := (with.Alkalis[0].Weigh - without.Alkalis[0].Weigh) / grams
					about(t, "alkali", more, want, 5.01e-6)
					about(t, "water", (sour.Water-plain.Water)/grams, tt.water, 1.01e-5)
					about(t, "salt", sour.Salts/grams, 1+more-tt.water, 1.01e-5)
					about(t, "superfat", 100*with.Superfat(), float64(superfat), 1e-9)
					about(t, "soap", sour.Soap, plain.Soap, 1e-9)
				})
			}
		}
	}
}

// Pure fatty acids: 1 g takes up 0.14059 g (stearic) and 0.14160 g (oleic) of sodium
// hydroxide and sets free 0.06333 and 0.06378 g of water, by their equations.
func TestFattyAcidsTakeUpLye(t *testing.T) {
	for _, tt := range []struct {
		name, inci       string
		sodium, water    float64
		potassium, takes float64
	}{
		{"stearic", "Stearic Acid", 0.14059, 0.06333, 0.19722, 1000 / 284.484},
		{"oleic", "Oleic Acid", 0.14160, 0.06378, 0.19863, 1000 / 282.468},
	} {
		t.Run(tt.name, func(t *testing.T) {
			own := oil(t, tt.inci, "fatty_acids: {"+tt.name+": 100%}\n")
			const text = "pot: [{material: lot, weight: 1000 g}]\nlye: {alkali: %s, purity: 100%%, superfat: 0%%, water: {weight: 400 g}}\n"
			b, c := made(t, fmt.Sprintf(text, "sodium hydroxide"), own)
			about(t, "sodium hydroxide", b.Alkalis[0].Weigh, 1000*tt.sodium, 0.006)
			about(t, "moles", b.Fats, tt.takes, 1e-6)
			about(t, "water", c.Water, 400+1000*tt.water, 0.006)
			about(t, "glycerol", c.Glycerol, 0, 0)
			b, _ = made(t, fmt.Sprintf(text, "potassium hydroxide"), own)
			about(t, "potassium hydroxide", b.Alkalis[0].Weigh, 1000*tt.potassium, 0.006)
		})
	}
}

// Thomssen, Soap-Making Manual (1922), cold process: coconut oil 846, lye of 35° Bé
// 470, water 24 parts. His table of caustic soda gives 28.83 % for 35° Bé, so 135.5
// parts of hydroxide; with coconut oil of 250 to 253 mg KOH/g that leaves 10 to 11 %
// of the oil unbound.
func TestThomssenColdProcess(t *testing.T) {
	lye := material(t, "caustic", "name: Lye of 35° Bé\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: 28.83%\n")
	for sap, superfat := range map[string]float64{"250": 10.1, "253": 11.2} {
		own := oil(t, "Cocos Nucifera (Coconut) Oil", "sap: "+sap+" mg KOH/g\n")
		b, c := made(t, "pot: [{material: lot, weight: 846 g}]\nlye: {solution: caustic, weight: 470 g, water: {weight: 358.5 g}}\n", lye, own)
		about(t, "hydroxide", b.Alkalis[0].Pure, 135.5, 0.05)
		about(t, "solution", b.Alkalis[0].Weigh, 470, 1e-9)
		about(t, "water", b.Water, 24, 0.05)
		about(t, "superfat", 100*b.Superfat(), superfat, 0.05)
		about(t, "all", c.Total(), 846+470+24, 0.05)
	}
}

// Simmons & Appleton, The Handbook of Soap Manufacture (1908): cold-process soap of
// coconut oil with half its weight of lye of 38° Bé, which is 72° Tw and 32.93 %. Their
// own coconut oils, Cochin and Ceylon, take up a mole of potassium hydroxide with 215.5
// and 214.6 g: the lye is 11 to 13 % short.
func TestSimmonsAndAppletonColdProcess(t *testing.T) {
	lye := material(t, "caustic", "name: Lye of 72° Tw\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: 32.93%\n")
	for _, equivalent := range []float64{215.5, 214.6} {
		own := oil(t, "Cocos Nucifera (Coconut) Oil", fmt.Sprintf("sap: %.3f mg KOH/g\n", 56100/equivalent))
		b, _ := made(t, "pot: [{material: lot, weight: 100 g}]\nlye: {solution: caustic, weight: 50 g}\n", lye, own)
		about(t, "superfat", 100*b.Superfat(), 12, 1)
		about(t, "water", b.Water, 0, 1e-9)
	}
}

// The oils of Simmons & Appleton (1908), chapter III: saponification equivalent and
// free acid in per cent as oleic acid. The ester value, and the glycerol that follows
// from it, were worked out by hand from S = 56100/SE and A = 1.9894 · acidity.
func TestAcidityLessensGlycerol(t *testing.T) {
	for _, tt := range []struct {
		name, inci                string
		equivalent, acidity       float64
		sap, acidValue, glycerine float64
	}{
		{"Cochin coconut", "Cocos Nucifera (Coconut) Oil", 215.5, 1.5, 260.32, 2.98, 14.08},
		{"Ceylon coconut", "Cocos Nucifera (Coconut) Oil", 214.6, 5.47, 261.42, 10.88, 13.71},
		{"palm kernel", "Elaeis Guineensis (Palm) Kernel Oil", 225, 4.4, 249.33, 8.75, 13.16},
		{"olive, toilet grade", olive, 288, 1.8, 194.79, 3.58, 10.46},
		{"sulphur olive", olive, 298, 40.96, 188.26, 81.48, 5.84},
	} {
		t.Run(tt.name, func(t *testing.T) {
			sap, acids := 56100/tt.equivalent, 1.9894*tt.acidity
			about(t, "saponification value", sap, tt.sap, 0.006)
			about(t, "acid value", acids, tt.acidValue, 0.03)
			own := oil(t, tt.inci, fmt.Sprintf("sap: %.4f mg KOH/g\nacid_value: %.4f mg KOH/g\n", sap, acids))
			_, c := made(t, "pot: [{material: lot, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {weight: 400 g}}\n", own)
			about(t, "glycerol", c.Glycerol/10, tt.glycerine, 0.006)
			about(t, "water of the free acids", c.Water-400, acids/inci.MolarMassKOH*inci.MolarMassWater, 1e-4)
		})
	}
}

// Theoretical yields of glycerine from neutral fats, in per cent: Thomssen (1922),
// appendix. The built-in figures are of today's ranges, so they need not agree closer
// than a quarter of a per cent.
func TestGlycerolOfBuiltInFats(t *testing.T) {
	for id, yield := range map[string]float64{
		"coconut-oil": 13.9, "palm-kernel-oil": 13.3, "palm-oil": 11.0, "beef-tallow": 10.7, "cottonseed-oil": 10.6, "olive-oil": 10.3, "castor-oil": 9.8, "peanut-oil": 10.4,
	} {
		_, c := made(t, "pot: [{material: "+id+", weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {weight: 400 g}}\n")
		about(t, id, c.Glycerol/10, yield, 0.25)
	}
}

// The olive oil of the worked example in Regulation (EEC) No 2568/91, Annex XVIII,
// section 6: P10 S3 Po1 O75 L10 Ln1. Its acids have Σ(area/molar mass) = 0.35821, so
// 279.17 g/mol; by the mole mean it takes up 0.137056 g of sodium hydroxide a gram.
func TestOliveOilOfTheRegulation(t *testing.T) {
	own := oil(t, olive, "unsaponifiable: 0%\nfatty_acids: {palmitic: 10%, stearic: 3%, palmitoleic: 1%, oleic: 75%, linoleic: 10%, linolenic: 1%}\n")
	b, c := made(t, "pot: [{material: lot, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {weight: 400 g}}\n", own)
	about(t, "sodium hydroxide", b.Alkalis[0].Weigh, 137.056, 0.0006)
	about(t, "glycerol", c.Glycerol, 1000*inci.MolarMassGlycerol/875.481, 0.0006)
	acids := c.Soap - b.ForFats*(inci.MolarMassNaOH-inci.MolarMassWater)
	about(t, "mean acid", acids/b.ForFats, 100/0.35821, 0.05)
}

// The worked blend holds 63.46 % of total fatty matter: ISO 685 counts the acids of the
// soap, left-over fat and what is unsaponifiable, alcohols of wax included. Of its oils
// 4.946 % by mass are left over though the superfat is 5 % of the equivalents.
func TestTotalFattyMatterOfTheWorkedBlend(t *testing.T) {
	b, c := made(t, strings.TrimPrefix(worked, "name: Worked\nidentity: soap\n"), workedOils(t)...)
	cation := (1-b.Potassium)*inci.MolarMassNaOH + b.Potassium*inci.MolarMassKOH - inci.MolarMassWater
	acids := c.Soap - b.ForFats*cation
	about(t, "fatty acids in the soap", acids, 889.701156212, 5e-8)
	fatty := acids + c.LeftOver + c.Unsaponifiable
	about(t, "total fatty matter", 100*fatty/c.Total(), 63.4621604465, 5e-9)
	about(t, "superfat", 100*b.Superfat(), 5, 1e-9)
	about(t, "left over of the oils", 100*c.LeftOver/b.Oils, 4.94572929481, 5e-9)
	// What is left after drying, worked out by hand: 1168.957 g are dry.
	for share, mass := range map[measure.Share]float64{8: 1270.60543209, 10: 1298.84110836, 12: 1328.36022446, 15: 1375.2435265} {
		left := share * measure.Percent
		cured, err := b.Cured(bar.WaterLeft{Low: left, Nominal: left, High: left})
		if err != nil {
			t.Fatal(err)
		}
		about(t, fmt.Sprintf("bars with %d %% of water", share), cured.Total(cured.Masses()), mass, 5e-8)
	}
}

// The water of fresh soap, and the loss when so much is left, for lye of several
// strengths: worked out by hand for fat of 200 mg KOH/g at a discount of 5 %.
func TestWaterOfFreshSoap(t *testing.T) {
	own := oil(t, olive, "sap: 200 mg KOH/g\n")
	for _, tt := range []struct {
		strength        string
		fresh, atTenPer float64
	}{{"25%", 0.2636, 0.182}, {"28%", 0.2347, 0.150}, {"30%", 0.2177, 0.131}, {"33%", 0.1950, 0.106}, {"36%", 0.1750, 0.083}, {"40%", 0.1518, 0.058}} {
		b, c := made(t, "pot: [{material: lot, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: "+tt.strength+"}}\n", own)
		about(t, tt.strength+": water", c.Water/c.Total(), tt.fresh, 5.1e-5)
		cured, err := b.Cured(bar.Unweighed)
		if err != nil {
			t.Fatal(err)
		}
		about(t, tt.strength+": loss", 1-cured.Total(cured.Masses())/c.Total(), tt.atTenPer, 6e-4)
	}
}

// "Superfatted" basis after Unna, with 3 to 4 % of fat left over: one part of olive oil
// and eight of tallow, in lye of two parts of soda and one of potash (Simmons &
// Appleton 1908, medicated soaps). Two alkalis share by weight unless it is said
// otherwise; in moles potash is then 26.3 %.
func TestSuperfattedBasis(t *testing.T) {
	b, c := made(t, `pot: [{material: olive-oil, weight: 100 g}, {material: beef-tallow, weight: 800 g}]
lye:
  alkali: [{alkali: sodium hydroxide, share: 66.6666667%, purity: 100%}, {alkali: potassium hydroxide, share: 33.3333333%, purity: 100%}]
  superfat: 3.5%
  water: {strength: 30%}
`)
	about(t, "soda to potash", b.Alkalis[0].Weigh/b.Alkalis[1].Weigh, 2, 1e-8)
	about(t, "potash in moles", b.Potassium, 0.2628, 5e-5)
	about(t, "fat left over, %", 100*c.LeftOver/b.Oils, 3.5, 0.5)
	about(t, "moles", b.Alkalis[0].Pure/inci.MolarMassNaOH+b.Alkalis[1].Pure/inci.MolarMassKOH, 0.965*b.Fats, 1e-9)
}

// Ten per cent of potassium hydroxide by weight are 7.3 % by moles; a share by moles and
// one by fat are the same thing, and are not shifted by purities.
func TestSharesOfTwoAlkalis(t *testing.T) {
	for of, want := range map[string]float64{"": 0.0734, "of: weight\n  ": 0.0734, "of: moles\n  ": 0.1, "of: fat\n  ": 0.1} {
		for _, purity := range []string{"100%", "90%"} {
			b, _ := made(t, "pot: [{material: olive-oil, weight: 1000 g}]\nlye:\n  alkali: [{alkali: sodium hydroxide, share: 90%, purity: "+purity+"}, {alkali: potassium hydroxide, share: 10%, purity: "+purity+"}]\n  "+of+"superfat: 5%\n  water: {strength: 30%}\n")
			about(t, strings.TrimSpace(of)+" "+purity, b.Potassium, want, 5e-5)
		}
	}
}

// Acid values of pharmacopoeias: stearic acid 194 to 212 (Ph. Eur. and NF), oleic acid
// 196 to 204 (NF). Of white beeswax Ph. Eur. has an acid value of 17 to 24 and an ester
// value of 70 to 80, which together are its saponification value.
func TestPharmacopoeias(t *testing.T) {
	beeswax := material(t, "beeswax", "name: Beeswax\nkind: oil\nreactivity: 100%\n")
	binds := func(id string) (all, acids float64) {
		b, _ := made(t, "pot: [{material: "+id+", weight: 1000 g}]\nlye: {alkali: potassium hydroxide, purity: 100%, superfat: 0%, water: {weight: 400 g}}\n", beeswax)
		for _, s := range b.Sources[:1] {
			a, _ := s.Parts[0].Fat.Equivalents()
			acids = a * 1000 * inci.MolarMassKOH
		}
		return b.Alkalis[0].Pure, acids
	}
	for _, tt := range []struct {
		id        string
		low, high float64 // acid value
		esters    [2]float64
	}{
		{"stearic-acid", 194, 212, [2]float64{-1e-9, 1e-9}},
		{"oleic-acid", 196, 204, [2]float64{-1e-9, 1e-9}},
		{"beeswax", 17, 24, [2]float64{70, 80}},
	} {
		all, acids := binds(tt.id)
		if acids < tt.low || acids > tt.high {
			t.Errorf("%s: acid value %.1f", tt.id, acids)
		}
		if esters := all - acids; esters < tt.esters[0] || esters > tt.esters[1] {
			t.Errorf("%s: ester value %.1f", tt.id, esters)
		}
	}
}

// The saponification value is of the oil as received, what is unsaponifiable included
// (ISO 3657, scope: free and esterified acids of a gram of fat), so none of that lessens
// the need of lye; and free acids are a part of it, not more of it.
func TestNeedOfLyeIsOfTheOilAsReceived(t *testing.T) {
	need := func(figures string) (float64, bar.Contents) {
		b, c := made(t, "pot: [{material: lot, weight: 1000 g}]\nlye: {alkali: potassium hydroxide, purity: 100%, superfat: 0%, water: {weight: 400 g}}\n", oil(t, olive, "sap: 190 mg KOH/g\n"+figures))
		return b.Alkalis[0].Weigh, c
	}
	for _, figures := range []string{"unsaponifiable: 0%\n", "unsaponifiable: 10%\n", "acid_value: 60 mg KOH/g\n"} {
		got, _ := need(figures)
		about(t, strings.TrimSpace(figures), got, 190, 1e-9)
	}
	_, c := need("unsaponifiable: 10%\n")
	about(t, "unsaponifiable", c.Unsaponifiable, 100, 1e-9)
}

// Carbonate within the total alkali of a certificate is no lye: 3 % of sodium carbonate
// counts there as 2.264 % of hydroxide (USP 28: total alkali as NaOH; Thomssen 1922:
// carbonate does not saponify neutral fat).
func TestCarbonateIsNoLye(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, %s, superfat: 5%%, water: {weight: 300 g}}\n"
	bound := 0.95 * 190 / inci.MolarMassKOH * inci.MolarMassNaOH
	for _, purity := range []string{"purity: 95%", "purity: 95%, carbonate: 3%"} {
		b, c := made(t, fmt.Sprintf(text, purity))
		about(t, purity, b.Alkalis[0].Weigh, bound/0.95, 1e-9)
		about(t, purity+": what is not hydroxide", c.Other, bound*(1/0.95-1), 1e-9)
	}
	fakes := 3 * 2 * inci.MolarMassNaOH / inci.MolarMassSodiumCarbonate
	about(t, "hydroxide that carbonate counts as", fakes, 2.264, 0.0005)
}

// What is not hydroxide in potassium hydroxide is mostly water (from memory) and counts
// as water; that of sodium hydroxide does not.
func TestWaterInPotassiumHydroxide(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: %s, purity: 90%%, superfat: 5%%, water: {weight: 300 g}}\n"
	b, c := made(t, fmt.Sprintf(text, "potassium hydroxide"))
	about(t, "water in potash", c.Water, 300+b.Alkalis[0].Weigh/10, 1e-9)
	b, c = made(t, fmt.Sprintf(text, "sodium hydroxide"))
	about(t, "water in soda", c.Water, 300, 1e-9)
	about(t, "the rest of soda", c.Other, b.Alkalis[0].Weigh/10, 1e-9)
	b, c = made(t, "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: potassium hydroxide, purity: 88%, carbonate: 2%, superfat: 5%, water: {weight: 300 g}}\n")
	about(t, "water beside carbonate", c.Water, 300+b.Alkalis[0].Weigh/10, 1e-9)
	about(t, "carbonate", c.Other, b.Alkalis[0].Weigh/50, 1e-9)
}

// The water of milk is water, and the rest of it is not: of cow's milk 88 % are water
// (USDA, from memory). Its fat, 3.3 %, takes up lye like butter.
func TestMilkIsWaterInPart(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 264 g}"
	plain, _ := made(t, text+"}\n")
	b, c := made(t, text+", liquids: [{material: cow-milk, share: 100%}]}\n")
	about(t, "milk", b.Sources[1].Mass, 300, 1e-9)
	about(t, "water poured", b.Water, 0, 1e-9)
	about(t, "water", c.Water, 264, 1e-9)
	about(t, "strength", b.Strength, b.Alkalis[0].Pure/(b.Alkalis[0].Pure+264), 1e-12)
	const butter = 300 * 0.033 * 226.5 / 1000 // g KOH
	about(t, "lye for its fat", b.Alkalis[0].Weigh-plain.Alkalis[0].Weigh, 0.95*butter*inci.MolarMassNaOH/inci.MolarMassKOH, 1e-9)
	about(t, "what lye leaves alone", c.Other, 300*(1-0.88-0.033), 1e-9)
}

// Vinegar of 5 % takes up 0.05 · 0.66604 g of sodium hydroxide a gram, and is water but
// for the acid and 0.2 %.
func TestVinegarTakesUpLye(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 300 g}"
	plain, _ := made(t, text+"}\n")
	b, _ := made(t, text+", liquids: [{material: vinegar, weight: 100 g}]}\n")
	about(t, "lye", b.Alkalis[0].Weigh-plain.Alkalis[0].Weigh, 5*0.66604, 1e-4)
	about(t, "water beside it", b.Water, 300-94.8, 1e-9)
	about(t, "superfat", 100*b.Superfat(), 5, 1e-9)
}

// Esters set no water free; free acids do: a mole for each that is taken up.
func TestOnlyFreeAcidsSetWaterFree(t *testing.T) {
	const lye = "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 400 g}}\n"
	_, c := made(t, "pot: [{material: olive-oil, weight: 700 g}, {material: coconut-oil, weight: 300 g}]\n"+lye)
	about(t, "of esters", c.Water, 400, 1e-9)
	_, c = made(t, "pot: [{material: olive-oil, weight: 700 g}, {material: stearic-acid, weight: 300 g}]\n"+lye)
	about(t, "of acid", c.Water, 400+300*207/1000.0/inci.MolarMassKOH*inci.MolarMassWater, 1e-9)
}

// An oil that goes in after the cook stays an oil, and is no part of what the superfat
// is of. A free acid does not stay one: RCOOH + R'COONa exchange.
func TestAfterTheCook(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {weight: 400 g}}\nprocess: hot\n"
	plain, cooked := made(t, text)
	b, c := made(t, text+"add: [{material: shea-butter, weight: 50 g, at: after}]\n")
	about(t, "lye", b.Alkalis[0].Weigh, plain.Alkalis[0].Weigh, 1e-12)
	about(t, "oil left over", c.LeftOver, 50, 1e-9)
	about(t, "soap", c.Soap, cooked.Soap, 1e-9)
	early, _ := made(t, text+"add: [{material: shea-butter, weight: 50 g, at: trace}]\n")
	about(t, "lye for oil at trace", early.Alkalis[0].Weigh-plain.Alkalis[0].Weigh, 50*177.5/1000*inci.MolarMassNaOH/inci.MolarMassKOH, 1e-9)
	sour, _ := made(t, text+"add: [{material: stearic-acid, weight: 50 g, at: after}]\n")
	about(t, "lye for acid", sour.Alkalis[0].Weigh-plain.Alkalis[0].Weigh, 50*207/1000.0*inci.MolarMassNaOH/inci.MolarMassKOH, 1e-9)
}

// Finished soap takes up no lye, and what is in it joins the bar.
func TestCrumbsTakeUpNoLye(t *testing.T) {
	crumbs := material(t, "crumbs", "name: Crumbs\nkind: soap\ncontains: [{inci: Sodium Cocoate, share: 75%}, {inci: Aqua, share: 12%}, {inci: Glycerin, share: 8%}, {inci: Cocos Nucifera Oil, share: 5%}]\n")
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 400 g}}\n"
	plain, alone := made(t, text)
	b, c := made(t, text+"add: [{material: crumbs, weight: 200 g}]\n", crumbs)
	about(t, "lye", b.Alkalis[0].Weigh, plain.Alkalis[0].Weigh, 1e-12)
	about(t, "superfat", b.Superfat(), plain.Superfat(), 1e-12)
	about(t, "soap", c.Soap-alone.Soap, 150, 1e-9)
	about(t, "water", c.Water-alone.Water, 24, 1e-9)
	about(t, "glycerol", c.Glycerol-alone.Glycerol, 16, 1e-9)
	about(t, "oil", c.LeftOver-alone.LeftOver, 10, 1e-9)
}

// Sugar is not reckoned as taking up lye; the bound is 0.44402 g of sodium hydroxide a
// gram of glucose, which Plunkett & Evans (J. Am. Chem. Soc. 1938, 60, 2847) saw turn
// into lactic acid in part.
func TestSugarIsABound(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 400 g}}\n"
	plain, _ := made(t, text)
	b, findings := pour(t, head+text+"add: [{material: glucose, weight: 20 g}]\n")
	about(t, "lye", b.Alkalis[0].Weigh, plain.Alkalis[0].Weigh, 1e-12)
	most := 20 * 0.44402 / inci.MolarMassNaOH
	want := fmt.Sprintf("at most they could take up %.3g mol of it, and the superfat could then be as much as %.1f %%", most, 100*(0.05+most/b.Fats))
	if !slices.ContainsFunc(findings, func(f finding.Finding) bool { return f.Rule == bar.RuleSugar && strings.Contains(f.Message, want) }) {
		t.Errorf("no note of the bound, %q:\n%+v", want, findings)
	}
}

// The volume of lye: 35° Bé is a density of 145/(145−35) and 28.83 % (Thomssen 1922),
// 72° Tw one of 1 + 72/200 and 32.93 % (Simmons & Appleton 1908).
func TestVolumeOfLye(t *testing.T) {
	for _, tt := range []struct{ strength, density float64 }{{28.83, 145.0 / 110}, {32.93, 1.36}} {
		volume := func(grams float64) float64 {
			b, _ := made(t, fmt.Sprintf("pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%%, weight: %g g, water: {strength: %g%%}}\n", grams*tt.strength/100, tt.strength))
			return b.Volume
		}
		grams := 300.0
		about(t, fmt.Sprintf("density of %g %%", tt.strength), grams/2/(volume(grams)-volume(grams/2)), tt.density, 0.02*tt.density)
	}
}

// A rule of the trade (from memory): a mould takes 0.40 ounces of oils to a cubic inch,
// with water of 38 % of the oils, so 1000 g of oils make 1445 ml.
func TestVolumeByTheRuleOfTheTrade(t *testing.T) {
	b, _ := made(t, "pot: [{material: olive-oil, weight: 700 g}, {material: coconut-oil, weight: 300 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {of_oils: 38%}}\n")
	about(t, "ml", b.Volume, 1000/(0.40*28.349523125/16.387064), 0.05*1445)
	if density := b.Mass() / b.Volume; density < 0.95 || density > 1.10 {
		t.Errorf("a batter of %.3f g/ml", density)
	}
}

// For any formula with an acid, milk and two alkalis: the superfat that was asked for
// is the one that comes out, and all that was weighed is in the batter.
func TestSuperfatComesOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		superfat := rapid.IntRange(1, 60).Draw(t, "superfat")
		potassium := rapid.IntRange(1, 99).Draw(t, "potassium")
		text := fmt.Sprintf(`name: Test
identity: soap
pot: [{material: olive-oil, weight: %d g}, {material: stearic-acid, weight: %d g}, {material: beeswax, weight: %d g}]
lye:
  alkali: [{alkali: sodium hydroxide, share: %d%%, purity: 98%%}, {alkali: potassium hydroxide, share: %d%%, purity: 90%%, carbonate: 1%%}]
  of: %s
  superfat: %d%%
  water: {%s}
  liquids: [{material: cow-milk, share: %d%%}, {material: vinegar, share: %d%%}]
add: [{material: citric-acid, share: %d%%}, {material: honey, share: %d%%}]
`, rapid.IntRange(100, 5000).Draw(t, "olive"), rapid.IntRange(1, 2000).Draw(t, "stearic"), rapid.IntRange(1, 500).Draw(t, "wax"),
			100-potassium, potassium, rapid.SampledFrom([]string{"weight", "moles", "fat"}).Draw(t, "of"), superfat,
			rapid.SampledFrom([]string{"strength: 30%", "per_lye: 2", "of_oils: 38%", "weight: 400 g"}).Draw(t, "water"),
			rapid.IntRange(1, 60).Draw(t, "milk"), rapid.IntRange(1, 40).Draw(t, "vinegar"), rapid.IntRange(1, 4).Draw(t, "citric"), rapid.IntRange(1, 5).Draw(t, "honey"))
		f, _, err := formula.ReadFormula("formulas/test.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		b, findings := bar.Pour(f, formula.Library{})
		if b == nil {
			t.Fatal(rules(findings))
		}
		c, err := b.Contents()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(100*b.Superfat()-float64(superfat)) > 1e-7 {
			t.Fatalf("superfat %.9f %%, asked for %d %%", 100*b.Superfat(), superfat)
		}
		if math.Abs(c.Total()-b.Mass()) > 1e-9*b.Mass() {
			t.Fatalf("%.9f g weighed, %.9f g in the batter", b.Mass(), c.Total())
		}
		moles := 0.0
		for _, a := range b.Alkalis {
			molar := map[string]float64{"sodium hydroxide": inci.MolarMassNaOH, "potassium hydroxide": inci.MolarMassKOH}[a.Name]
			moles += a.Pure / molar
		}
		if want := b.Acids + (1-float64(superfat)/100)*b.Fats; math.Abs(moles-want) > 1e-9*want {
			t.Fatalf("%.9f mol poured, %.9f mol needed", moles, want)
		}
	})
}

// Lactic acid of 80 % takes up four fifths of the lye of the pure one, and its water is
// water; so it is whether the supplier's list says it or the water beside the name.
func TestDilutedAcid(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 400 g}}\n"
	plain, c := made(t, text)
	for _, lactic := range []string{
		"kind: additive\ninci: Lactic Acid\nwater: 20%\n",
		"kind: additive\ncontains: [{inci: Lactic Acid, share: 80%}, {inci: Aqua, share: 20%}]\n",
	} {
		b, sour := made(t, text+"add: [{material: sour, weight: 50 g}]\n", material(t, "sour", "name: Sour\n"+lactic))
		about(t, "lye", b.Alkalis[0].Weigh-plain.Alkalis[0].Weigh, 40*0.44402, 5e-4)
		about(t, "water", sour.Water-c.Water, 10+40*0.19999, 5e-4)
	}
}

// Each portion has its part of the lye, of the fats and of the acids of the whole, and
// its own: 300 g of oil that bind as much a gram as the pot are lye-heavy where half of
// the pot is without them.
func TestEachPortionIsJudged(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 400 g}}\nportions: {white: 50%, blue: 50%}\n"
	for _, tt := range []struct {
		grams int
		heavy bool
	}{
		// The lye is for 0.95 · (1000 + x) g; half of it meets 500 g in the other portion.
		{52, false}, {53, true},
	} {
		_, findings := pour(t, head+text+fmt.Sprintf("add: [{material: olive-oil, weight: %d g, in: white}]\n", tt.grams))
		if got := strings.Contains(rules(findings), bar.RuleLyeHeavy); got != tt.heavy {
			t.Errorf("%d g in one portion: lye-heavy %v, want %v", tt.grams, got, tt.heavy)
		}
	}
}

// A list that names water and alkali twice is that of the same soap, and so is one that
// leaves out the share that makes up the rest.
func TestListNamesThingsTwice(t *testing.T) {
	const text = "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {weight: 400 g}}\nadd: [{material: crumbs, weight: 200 g}]\n"
	crumbs := func(list string) bar.Contents {
		_, c := made(t, text, material(t, "crumbs", "name: Crumbs\nkind: soap\ncontains: [{inci: Olea Europaea Fruit Oil, share: 66%}, "+list+"]\n"))
		return c
	}
	once := crumbs("{inci: Aqua, share: 24%}, {inci: Potassium Hydroxide, share: 10%}")
	twice := crumbs("{inci: Aqua, share: 12%}, {inci: Water, share: 12%}, {inci: Potassium Hydroxide, share: 5%}, {inci: Potassium Hydroxide, share: 5%}")
	rest := crumbs("{inci: Aqua}, {inci: Potassium Hydroxide, share: 10%}")
	for what, other := range map[string]bar.Contents{"twice": twice, "rest": rest} {
		about(t, what+": soap", other.Soap, once.Soap, 1e-6)
		about(t, what+": water", other.Water, once.Water, 1e-6)
	}
}

// How much of the bar is soap hangs on the water in own bars too: 900 g of them are 720
// to 882 g dry, and 500 g of salt are the rest.
func TestSoapShareWithCrumbs(t *testing.T) {
	f := read(t, head+"pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {weight: 400 g}}\n")
	batch, _, err := formula.ReadBatch("batches/26300-01.yaml", []byte("code: 26300-01\nformula: test\nmade: 2026-10-27\n"))
	if err != nil {
		t.Fatal(err)
	}
	library := formula.Library{}.WithBatches([]formula.Batch{batch}, func(string) (formula.Formula, bool) { return f, true })
	b, findings := bar.Pour(read(t, head+"base: [{batch: 26300-01, weight: 900 g}]\nadd: [{material: salt, weight: 500 g}]\n"), library)
	if b == nil {
		t.Fatal(rules(findings))
	}
	own, err := func() (*bar.Bar, error) { inner, _ := bar.Pour(f, library); return inner.Cured(bar.Unweighed) }()
	if err != nil {
		t.Fatal(err)
	}
	soap := own.SoapShare() // of the dry bar, whatever its water
	cured, err := b.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	share := cured.SoapShare()
	about(t, "least", share.Low(), 720*soap.Low()/(720+500), 1e-9)
	about(t, "most", share.High(), 882*soap.High()/(882+500), 1e-9)
}
