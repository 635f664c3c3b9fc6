package bench_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/formula"
	"saponym/internal/paper/bench"
)

// sheetOf gives the sheet of a formula, and what was poured for it.
func sheetOf(t *testing.T, text string) (bench.Sheet, *bar.Batter) {
	t.Helper()
	f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+text))
	if err != nil {
		t.Fatal(err)
	}
	base, _, err := formula.ReadMaterial("materials/base.yaml", []byte("name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 80%}, {inci: Aqua, share: 20%}]\n"))
	if err != nil {
		t.Fatal(err)
	}
	b, findings := bar.Pour(f, formula.NewLibrary([]formula.Material{base}))
	if b == nil {
		t.Fatal(findings)
	}
	return bench.Compile(f, b, "", findings), b
}

// jug gives the lye jug of a formula with lye of one strength.
func jug(t *testing.T, alkali string, percent float64) *bench.LyeJug {
	t.Helper()
	s, _ := sheetOf(t, fmt.Sprintf("pot: [{material: olive-oil, weight: 1 kg}]\nlye: {%s, superfat: 5%%, water: {strength: %g%%}}\n", alkali, percent))
	if math.Abs(100*s.Lye.Strength-percent) > 1e-9 {
		t.Fatalf("lye of %g %% is written as %g %%", percent, 100*s.Lye.Strength)
	}
	return s.Lye
}

const (
	sodium    = "alkali: sodium hydroxide, purity: 100%"
	potassium = "alkali: potassium hydroxide, purity: 100%"
)

// integral gives the heat in kJ that a mole of sodium hydroxide sets free in so many
// moles of water: NBS Circular 500, as printed in the appendix of Himmelblau (from
// memory).
func integral(water float64) float64 {
	moles := []float64{3, 4, 5, 10, 20}
	heats := []float64{28.87, 34.43, 37.74, 42.51, 42.84}
	i := 1
	for i < len(moles)-1 && water > moles[i] {
		i++
	}
	return heats[i-1] + (water-moles[i-1])/(moles[i]-moles[i-1])*(heats[i]-heats[i-1])
}

// The rise follows from the integral heat of the strength that there is, over the heat
// capacity of strong lye, 3.6 J/(g·K), and of water, 4.184 J/(g·K) (from memory): 71 to
// 83 K at 33 %, 73 to 85 K at 43 %.
func TestRiseFollowsFromTheHeatOfSolution(t *testing.T) {
	for _, percent := range []float64{20, 22, 25, 28, 30, 33, 36, 40, 43} {
		moles := percent / inci.MolarMassNaOH // in 100 g
		heat := 1000 * moles * integral((100-percent)/inci.MolarMassWater/moles)
		j := jug(t, sodium, percent)
		for _, rise := range []struct{ got, want float64 }{{j.RiseLow, heat / 100 / 4.184}, {j.RiseHigh, heat / 100 / 3.6}} {
			if math.Abs(rise.got-rise.want) > 0.03*rise.want {
				t.Errorf("%g %%: %.1f K, want %.1f K", percent, rise.got, rise.want)
			}
		}
	}
}

// At 33 % the adiabatic rise is 82.8 K by the finite heat, worked out by hand from
// 0.82507 mol in 100 g and 36.11 kJ/mol.
func TestRiseOfLyeOfAThird(t *testing.T) {
	if j := jug(t, sodium, 33); math.Abs(j.RiseHigh-82.8) > 0.1 || math.Abs(j.RiseLow-71.2) > 0.1 {
		t.Errorf("%.1f to %.1f K, want 71.2 to 82.8", j.RiseLow, j.RiseHigh)
	}
}

// The heats at infinite dilution, 44.51 kJ/mol for sodium hydroxide and 57.61 for
// potassium hydroxide (Parker, NSRDS-NBS 2, 1965), are a bound: 102.0 K and, with a heat
// capacity of 3.1 J/(g·K) from memory, 109 K at 33 %. Potash heats its lye more all the
// same.
func TestRiseIsBelowInfiniteDilution(t *testing.T) {
	for _, percent := range []float64{33, 40} {
		soda, potash := jug(t, sodium, percent), jug(t, potassium, percent)
		if most := percent / inci.MolarMassNaOH * 44.51 * 10 / 3.6; soda.RiseHigh >= most {
			t.Errorf("sodium hydroxide, %g %%: %.1f K, at most %.1f", percent, soda.RiseHigh, most)
		}
		if most := percent / inci.MolarMassKOH * 57.61 * 10 / 3.1; potash.RiseHigh >= most {
			t.Errorf("potassium hydroxide, %g %%: %.1f K, at most %.1f", percent, potash.RiseHigh, most)
		}
		if potash.RiseHigh <= soda.RiseHigh {
			t.Errorf("%g %%: potash heats by %.1f K, and soda by %.1f", percent, potash.RiseHigh, soda.RiseHigh)
		}
	}
}

// Acid in the jug heats it as well: 100 g of citric acid take up 1.5615 mol of alkali
// (3 / 192.123 · 100), which set free 87 kJ at 56 kJ/mol, and the jug weighs as much more.
func TestAcidHeatsTheJug(t *testing.T) {
	text := "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, weight: 190 g, water: {weight: 386 g}}\n"
	without, _ := sheetOf(t, text)
	with, _ := sheetOf(t, text+"add: [{material: citric-acid, weight: 100 g, at: lye}]\n")
	const lye, sour = 576.0, 676.0
	dissolving := without.Lye.RiseHigh * lye * 3.6 // J
	want := (dissolving + 56_000*100*3/192.123) / (sour * 3.6)
	if math.Abs(with.Lye.RiseHigh-want) > 1e-6 {
		t.Errorf("the jug gets %.3f K hotter, want %.3f", with.Lye.RiseHigh, want)
	}
}

// Whatever goes on the scale stands on the sheet.
func TestNothingIsMissing(t *testing.T) {
	const lye = "lye: {alkali: [{alkali: sodium hydroxide, share: 90%}, {alkali: potassium hydroxide, share: 10%}], superfat: 5%, water: {strength: 30%}, liquids: [{material: goat-milk, share: 20%, into: oils}, {material: aloe-juice, share: 20%}, {material: beer, share: 10%, into: trace}]}\n"
	for name, text := range map[string]string{
		"every time": "process: hot\nportions: {white: 50%, blue: 50%}\npot: [{material: olive-oil, weight: 1000 g}]\n" + lye +
			"add: [{material: sugar, weight: 9 g, at: lye}, {material: salt, weight: 8 g, at: oils}, {material: kaolin, weight: 7 g}, {material: kaolin, weight: 6 g, in: white, with: [{material: water, weight: 5 g}]}, {material: shea-butter, weight: 4 g, at: after, in: blue}, {material: oat-flour, weight: 3 g, at: top, in: white}]\n",
		"a base": "base: [{material: base, weight: 900 g}]\nadd: [{material: sugar, weight: 9 g, at: oils}, {material: kaolin, weight: 7 g}, {material: glycerin, weight: 3 g, at: top}]\n",
	} {
		s, b := sheetOf(t, text)
		sum := 0.0
		for _, v := range s.Vessels {
			for _, l := range v.Lines {
				sum += l.Grams
			}
		}
		if math.Abs(sum-b.Mass()) > 1e-9 || math.Abs(s.Total-b.Mass()) > 1e-9 {
			t.Errorf("%s: %.6f g stand on the sheet, and %.6f g are weighed", name, sum, b.Mass())
		}
		if name == "every time" && !strings.Contains(s.Text(), "for the portion blue") {
			t.Errorf("a late addition does not say its portion:\n%s", s.Text())
		}
	}
}
