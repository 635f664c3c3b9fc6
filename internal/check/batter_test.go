package check_test

import (
	"regexp"
	"slices"
	"strconv"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
)

// lawOn gives the law of a market for a bar that is placed on a day.
func lawOn(t testing.TB, id, on string) *market.Law {
	t.Helper()
	d, err := day.Parse(on)
	if err != nil {
		t.Fatal(err)
	}
	l, err := market.On(id, d)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func law(t testing.TB, id string) *market.Law {
	t.Helper()
	return lawOn(t, id, "2026-11-26")
}

// library makes a library of materials, which come as id and text in turn.
func library(t testing.TB, materials ...string) formula.Library {
	t.Helper()
	var own []formula.Material
	for i := 0; i < len(materials); i += 2 {
		m, found, err := formula.ReadMaterial("materials/"+materials[i]+".yaml", []byte(materials[i+1]))
		if err != nil || finding.Worst(found) == finding.Stop {
			t.Fatal(found, err)
		}
		own = append(own, m)
	}
	return formula.NewLibrary(own)
}

// pour pours a formula; see library.
func pour(t testing.TB, text string, materials ...string) *bar.Batter {
	t.Helper()
	f, found, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+text))
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(found, err)
	}
	batter, found := bar.Pour(f, library(t, materials...))
	if batter == nil {
		t.Fatal(found)
	}
	return batter
}

// olive is 1000 g of olive oil at 190 mg KOH/g, which takes up 128.68 g of sodium
// hydroxide at 5 % superfat. The driest bar has 2 % of water.
const olive = `pot: [{material: olive-oil, weight: 1000 g}]
lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {per_lye: 2}}
`

// rules gives the ids of findings with their levels, "CHECK-LOT warn", in their order.
func rules(found []finding.Finding) []string {
	ids := []string{}
	for _, f := range found {
		ids = append(ids, f.Rule+" "+f.Level.String())
	}
	return ids
}

// expect compares what was found with ids and levels, in any order, and wants each
// finding to have a place, and one that stops a remedy.
func expect(t *testing.T, found []finding.Finding, err error, want ...string) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	got := rules(found)
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("found %q, want %q: %+v", got, want, found)
	}
	for _, f := range found {
		if f.At.Line == 0 || f.Level == finding.Stop && f.Remedy == "" {
			t.Errorf("no place or no remedy: %+v", f)
		}
	}
}

// gramsOf reads the grams of one thing out of a remedy.
func gramsOf(t *testing.T, remedy, of string) float64 {
	t.Helper()
	m := regexp.MustCompile(`([0-9.]+) g of "?` + of).FindStringSubmatch(remedy)
	if m == nil {
		t.Fatalf("%q has no grams of %s", remedy, of)
	}
	grams, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return grams
}
