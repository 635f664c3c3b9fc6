package formula_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saponym/internal/formula"
	"saponym/internal/measure"
)

func readFormula(t testing.TB, in string) formula.Formula {
	t.Helper()
	f, findings, err := formula.ReadFormula("formulas/x.yaml", []byte(in))
	if err != nil || len(findings) > 0 {
		t.Fatalf("%s: %v, findings %v", in, err, findings)
	}
	return f
}

// readBatch reads a batch with these lines under weighed.
func readBatch(t testing.TB, lines ...string) formula.Batch {
	t.Helper()
	in := "code: b-1\nformula: x\nmade: 2026-11-26\nweighed:\n"
	for _, line := range lines {
		in += "  - {" + line + "}\n"
	}
	b, findings, err := formula.ReadBatch("batches/b-1.yaml", []byte(in))
	if err != nil || len(findings) > 0 {
		t.Fatalf("%s: %v, findings %v", in, err, findings)
	}
	return b
}

// amounts writes what a formula says of weights, one line a thing.
func amounts(f formula.Formula) string {
	var b strings.Builder
	amount := func(what string, a formula.Amount) {
		switch {
		case a.Weight.Given():
			fmt.Fprintf(&b, "%s %.4f g\n", what, a.Weight.V.Grams())
		default:
			fmt.Fprintf(&b, "%s %.4f %%\n", what, a.Share.V.Percent())
		}
	}
	for _, in := range append(f.Pot, f.Base...) {
		amount(in.Material.V, in.Amount)
	}
	for _, a := range f.Lye.Alkalis {
		fmt.Fprintf(&b, "alkali %s %.4f %% of %s\n", a.Name.V, a.Share.V.Percent(), f.Lye.Of.V)
	}
	if f.Lye.At.Line > 0 {
		fmt.Fprintf(&b, "lye %.4f g, superfat %t, ratio %t\n", f.Lye.Weight.V.Grams(), f.Lye.Superfat.Given(), f.Lye.Ratio != nil)
		fmt.Fprintf(&b, "water %.4f g, strength %.0f %%\n", f.Lye.Water.Weight.V.Grams(), f.Lye.Water.Strength.V.Percent())
	}
	for _, l := range f.Lye.Liquids {
		amount("liquid "+l.Material.V, l.Amount)
	}
	for _, a := range f.Add {
		amount("add "+a.Material.V+a.Batch.V, a.Amount)
		for _, with := range a.With {
			amount("with "+with.Material.V, with.Amount)
		}
	}
	return b.String()
}

func TestAsWeighed(t *testing.T) {
	const head = "name: a\nidentity: soap\n"
	for _, tt := range []struct {
		name, formula string
		weighed       []string
		want          string
	}{
		{"lots are added up, and shares become weights", head + `size: {oils: 500 g}
pot: [{material: olive oil, share: 80%}, {material: castor-oil, share: 20%}]
lye: {alkali: sodium hydroxide, purity: 98%, superfat: 5%, water: {strength: 33%}}
add: [{material: scent, share: 2%}, {material: clay, weight: 6 g}, {material: ethanol, weight: 4 g, with: [{material: glycerin, share: 1%}]}]
`, []string{"material: olive-oil, weight: 500 g, lot: a", "material: castor oil, weight: 201 g", "material: Olive oil, weight: 299 g, lot: b", "material: sodium-hydroxide, weight: 130.5 g", "material: clay, weight: 11.5 g"}, `
olive oil 799.0000 g
castor-oil 201.0000 g
alkali sodium hydroxide 0.0000 % of 
lye 130.5000 g, superfat false, ratio false
water 0.0000 g, strength 33 %
add scent 2.0000 %
add clay 11.5000 g
add ethanol 8.0000 g
with glycerin 1.0000 %
`},
		{"weights in the pot are what typed weights are for, whatever the size", head + `size: {batter: 3 kg}
pot: [{material: a, weight: 600 g}, {material: b, weight: 400 g}]
lye: {alkali: sodium hydroxide, weight: 130 g, water: {weight: 260 g}}
add: [{material: c, weight: 10 g}]
`, []string{"material: a, weight: 300 g", "material: b, weight: 200 g", "material: sodium hydroxide, weight: 66 g"}, `
a 300.0000 g
b 200.0000 g
alkali sodium hydroxide 0.0000 % of 
lye 66.0000 g, superfat false, ratio false
water 130.0000 g, strength 0 %
add c 5.0000 g
`},
		{"a size by batter tells no oils, and typed weights stay", head + `size: {batter: 1500 g}
pot: [{material: a, share: 100%}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {per_lye: 2}}
add: [{material: c, weight: 10 g}]
`, []string{"material: a, weight: 500 g", "material: sodium hydroxide, weight: 66 g"}, `
a 500.0000 g
alkali sodium hydroxide 0.0000 % of 
lye 66.0000 g, superfat false, ratio false
water 0.0000 g, strength 0 %
add c 10.0000 g
`},
		{"two alkalis, and water that was weighed", head + `pot: [{material: a, weight: 1 kg}]
lye: {alkali: [{alkali: sodium hydroxide, share: 50%}, {alkali: potassium hydroxide, share: 50%, purity: 90%}], of: moles, ratio: {alkali: 1 oz, oils: 9 oz}, water: {strength: 33%}}
`, []string{"material: a, weight: 1 kg", "material: sodium hydroxide, weight: 90 g", "material: potassium hydroxide, weight: 30 g", "material: water, weight: 240 g"}, `
a 1000.0000 g
alkali sodium hydroxide 75.0000 % of weight
alkali potassium hydroxide 25.0000 % of weight
lye 120.0000 g, superfat false, ratio false
water 240.0000 g, strength 0 %
`},
		{"a solution, which brings water of its own", head + `pot: [{material: a, weight: 1 kg}]
lye: {solution: lye-50, superfat: 5%, water: {strength: 33%}}
`, []string{"material: a, weight: 1 kg", "material: lye 50, weight: 260 g", "material: water, weight: 100 g"}, `
a 1000.0000 g
lye 260.0000 g, superfat false, ratio false
water 0.0000 g, strength 33 %
`},
		{"liquids, and water that stands under add too", head + `pot: [{material: a, weight: 1 kg}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}, liquids: [{material: milk, weight: 50 g}, {material: beer, share: 10%}]}
add: [{material: clay, share: 1%, with: [{material: water, weight: 20 g}]}]
`, []string{"material: a, weight: 2 kg", "material: sodium hydroxide, weight: 260 g", "material: milk, weight: 101 g", "material: water, weight: 200 g"}, `
a 2000.0000 g
alkali sodium hydroxide 0.0000 % of 
lye 260.0000 g, superfat false, ratio false
water 0.0000 g, strength 33 %
liquid milk 100.0000 g
liquid beer 10.0000 %
add clay 1.0000 %
with water 40.0000 g
`},
		{"one material on several lines", head + `size: {oils: 1 kg}
pot: [{material: sunflower-oil, share: 90%}, {material: a, share: 10%}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}
portions: {white: 75%, blue: 25%}
add:
  - {material: scent, share: 4%, in: white}
  - {material: scent, share: 4%, in: blue}
  - {material: clay, share: 1%, with: [{material: sunflower oil, weight: 100 g}]}
  - {batch: 26200-01-Y, weight: 80 g}
`, []string{"material: sunflower-oil, weight: 2 kg", "material: a, weight: 200 g", "material: sodium hydroxide, weight: 270 g", "material: scent, weight: 80 g", "batch: 26200-01-Y, weight: 158 g"}, `
sunflower-oil 1800.0000 g
a 200.0000 g
alkali sodium hydroxide 0.0000 % of 
lye 270.0000 g, superfat false, ratio false
water 0.0000 g, strength 33 %
add scent 60.0000 g
add scent 20.0000 g
add clay 1.0000 %
with sunflower oil 200.0000 g
add 26200-01-Y 158.0000 g
`},
		{"a lot that has no weight yet does not count", head + `pot: [{material: a, weight: 1 kg}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}
add: [{material: scent, share: 2%}]
`, []string{"material: a, weight: 990 g", "material: sodium hydroxide, weight: 131 g", "material: scent, weight: 15 g", "material: scent, lot: b"}, `
a 990.0000 g
alkali sodium hydroxide 0.0000 % of 
lye 131.0000 g, superfat false, ratio false
water 0.0000 g, strength 33 %
add scent 2.0000 %
`},
		{"a base", head + `size: {batter: 900 g}
base: [{material: clear-base, share: 70%}, {material: own crumbs, share: 30%}]
add: [{material: water, share: 2%}]
`, []string{"material: clear base, weight: 700 g", "material: own-crumbs, weight: 310 g", "material: water, weight: 21 g"}, `
clear-base 700.0000 g
own crumbs 310.0000 g
add water 21.0000 g
`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := readFormula(t, tt.formula)
			made := formula.AsWeighed(f, readBatch(t, tt.weighed...))
			if diff := cmp.Diff(strings.TrimPrefix(tt.want, "\n"), amounts(made)); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			if made.Size != (formula.Size{}) || made.WrittenFor != (formula.Size{}) {
				t.Errorf("the size is still %+v, written for %+v", made.Size, made.WrittenFor)
			}
			if at := append(made.Pot, made.Base...)[0].Weight.At; at.File != "batches/b-1.yaml" {
				t.Errorf("the weight of the pot stands at %s, not in the batch", at)
			}
			if diff := cmp.Diff(readFormula(t, tt.formula), f); diff != "" {
				t.Errorf("the formula that was given is another one now:\n%s", diff)
			}
		})
	}
}

// A batch that was not weighed whole says nothing: the formula comes back as it is.
func TestAsWeighedOfPartOfABatch(t *testing.T) {
	const text = "name: a\nidentity: soap\nsize: {oils: 1 kg}\npot: [{material: a, share: 80%}, {material: b, share: 20%}]\n" +
		"lye: {alkali: [{alkali: sodium hydroxide, share: 90%}, {alkali: potassium hydroxide, share: 10%}], superfat: 5%, water: {strength: 33%}}\n"
	whole := []string{"material: a, weight: 800 g", "material: b, weight: 200 g", "material: sodium hydroxide, weight: 120 g", "material: potassium hydroxide, weight: 13 g"}
	if f := readFormula(t, text); cmp.Equal(f, formula.AsWeighed(f, readBatch(t, whole...))) {
		t.Error("a batch that was weighed whole changes nothing")
	}
	for i, line := range whole {
		for _, instead := range []string{"material: c, weight: 1 g", strings.Replace(line, "weight: ", "lot: ", 1)} {
			lines := append([]string{}, whole...)
			lines[i] = instead
			f := readFormula(t, text)
			if diff := cmp.Diff(f, formula.AsWeighed(f, readBatch(t, lines...))); diff != "" {
				t.Errorf("%q in place of %q:\n%s", instead, line, diff)
			}
		}
	}
	if f := readFormula(t, text); !cmp.Equal(f, formula.AsWeighed(f, formula.Batch{})) {
		t.Error("a batch of nothing changes a formula")
	}
}

// Whatever is weighed of a material is on its lines afterwards, to the nanogram, and
// the shares of two alkalis are exactly the whole.
func TestAsWeighedKeepsMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := formula.Mass{}.At
		at.File, at.Line, at.Col = "x", 1, 1
		mass := func(label string) formula.Mass {
			return formula.Mass{V: measure.Mass(rapid.Int64Range(1, math.MaxInt64/64).Draw(t, label)), At: at}
		}
		names := []string{"a", "b", "c"}
		amount := func(weights bool) formula.Amount {
			if weights {
				return formula.Amount{Weight: mass("typed")}
			}
			return formula.Amount{Share: formula.Share{V: measure.Share(rapid.Int64Range(1, int64(measure.Whole)).Draw(t, "share")), At: at}}
		}
		var f formula.Formula
		var b formula.Batch
		f.Lye.At = at
		weights := rapid.Bool().Draw(t, "pot in weights")
		if f.Size.Batter = mass("size"); rapid.Bool().Draw(t, "size by oils") {
			f.Size = formula.Size{Oils: f.Size.Batter}
		}
		weighed := map[string]measure.Mass{}
		scale := func(name string) {
			m := mass("weighed")
			weighed[name] += m.V
			b.Weighed = append(b.Weighed, formula.Weighed{Material: formula.Text{V: name, At: at}, Weight: m})
		}
		for range rapid.IntRange(1, 4).Draw(t, "lines in the pot") {
			name := rapid.SampledFrom(names).Draw(t, "material")
			f.Pot = append(f.Pot, formula.Ingredient{Material: formula.Text{V: name, At: at}, Amount: amount(weights)})
			scale(name)
		}
		for range rapid.IntRange(0, 3).Draw(t, "additions") {
			name := rapid.SampledFrom(append(names, "d")).Draw(t, "material")
			f.Add = append(f.Add, formula.Addition{Material: formula.Text{V: name, At: at}, Amount: amount(rapid.Bool().Draw(t, "in weights"))})
		}
		for _, name := range []string{"sodium hydroxide", "potassium hydroxide"} {
			f.Lye.Alkalis = append(f.Lye.Alkalis, formula.Alkali{Name: formula.Text{V: name, At: at}, Share: formula.Share{V: measure.Whole / 2, At: at}})
			scale(name)
		}
		made := formula.AsWeighed(f, b)
		got := map[string]measure.Mass{}
		for _, in := range made.Pot {
			got[in.Material.V] += in.Weight.V
		}
		for _, a := range made.Add {
			if a.Weight.V < 0 {
				t.Fatalf("%q has the weight %d", a.Material.V, a.Weight.V)
			}
			if _, ok := weighed[a.Material.V]; ok {
				got[a.Material.V] += a.Weight.V
			}
		}
		for _, name := range names {
			if got[name] != weighed[name] {
				t.Fatalf("%q: %d ng on its lines, %d ng weighed", name, got[name], weighed[name])
			}
		}
		if sum := made.Lye.Alkalis[0].Share.V + made.Lye.Alkalis[1].Share.V; sum != measure.Whole {
			t.Fatalf("the alkalis are %v together", sum)
		}
		if made.Lye.Weight.V != weighed["sodium hydroxide"]+weighed["potassium hydroxide"] {
			t.Fatalf("the lye is %d ng", made.Lye.Weight.V)
		}
	})
}
