package bench_test

import (
	"fmt"
	"math"
	"testing"

	"saponym/inci"
	"saponym/internal/paper/bench"
)

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

// A solution that is thinned sets free what lies between the heats of the two strengths:
// from 40 to 28 %, 0.7001 mol in 100 g at about 7.7 kJ/mol, by the same table. As it is,
// it stays cold.
func TestHeatOfThinningASolution(t *testing.T) {
	lye := func(strength string) *bench.LyeJug {
		s, _ := sheetOf(t, "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {solution: lye-40, superfat: 5%, water: {strength: "+strength+"}}\n")
		return s.Lye
	}
	water := func(percent float64) float64 {
		return (100 - percent) / inci.MolarMassWater / (percent / inci.MolarMassNaOH)
	}
	want := 1000 * 28 / inci.MolarMassNaOH * (integral(water(28)) - integral(water(40))) / 100 / 3.6
	if got := lye("28%"); !got.Ready || math.Abs(got.RiseHigh-want) > 0.1*want {
		t.Errorf("thinned, it gets %.1f K hotter, want %.1f", got.RiseHigh, want)
	}
	if got := lye("40%"); !got.Ready || got.RiseHigh > 1e-6 {
		t.Errorf("as it is, it gets %g K hotter", got.RiseHigh)
	}
}
