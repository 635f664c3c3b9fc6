package bar_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
)

// read reads a formula that must have no findings.
func read(t testing.TB, text string) formula.Formula {
	t.Helper()
	f, findings, err := formula.ReadFormula("formulas/test.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range findings {
		if x.Level == finding.Stop {
			t.Fatal(x.Text())
		}
	}
	return f
}

func pour(t testing.TB, text string, own ...formula.Material) (*bar.Batter, []finding.Finding) {
	t.Helper()
	return bar.Pour(read(t, text), formula.NewLibrary(own))
}

func material(t testing.TB, id, text string) formula.Material {
	t.Helper()
	m, findings, err := formula.ReadMaterial("materials/"+id+".yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range findings {
		if x.Level == finding.Stop {
			t.Fatal(x.Text())
		}
	}
	return m
}

func rules(findings []finding.Finding) string {
	var all []string
	for _, f := range findings {
		all = append(all, fmt.Sprintf("%d:%d %s %s", f.At.Line, f.At.Col, f.Level, f.Rule))
	}
	return strings.Join(all, "\n")
}

func TestLye(t *testing.T) {
	for _, tt := range []struct {
		name, lye          string
		weigh, water, left float64 // left: superfat in per cent
	}{
		// 1000 g of olive oil at 190 mg KOH/g take 3.38649 mol of alkali (1000 · 0.190 / 56.1053).
		{"superfat", "{alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}", 128.676, 261.252, 5},
		{"purity", "{alkali: sodium hydroxide, purity: 98%, superfat: 5%, water: {per_lye: 2}}", 131.302, 262.604, 5},
		{"weight", "{alkali: sodium hydroxide, weight: 128.676 g, water: {weight: 250 g}}", 128.676, 250, 5},
		{"ratio", "{alkali: sodium hydroxide, ratio: {alkali: 128.676 g, oils: 1 kg}, water: {of_oils: 38%}}", 128.676, 380, 5},
		{"potassium", "{alkali: potassium hydroxide, superfat: 5%, water: {strength: 33%}}", 180.5, 366.470, 5},
		{"none left", "{alkali: sodium hydroxide, superfat: 0%, water: {per_lye: 2}}", 135.449, 270.897, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: "+tt.lye+"\n")
			if b == nil {
				t.Fatal(rules(findings))
			}
			for what, pair := range map[string][2]float64{
				"alkali weighed": {b.Alkalis[0].Weigh, tt.weigh}, "water": {b.Water, tt.water}, "superfat": {100 * b.Superfat(), tt.left},
			} {
				if math.Abs(pair[0]-pair[1]) > 0.001 {
					t.Errorf("%s: got %.4f, want %.4f", what, pair[0], pair[1])
				}
			}
		})
	}
}

// A lye-heavy bar has no lines at all, and its superfat is not clamped.
func TestLyeHeavyHasNoBar(t *testing.T) {
	b, _ := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, weight: 140 g, water: {per_lye: 2}}\n")
	if b.Superfat() > -0.03 {
		t.Errorf("superfat %.4f, want about −0.034", b.Superfat())
	}
	if _, err := b.Cured(bar.Unweighed); !errors.Is(err, bar.ErrLyeHeavy) {
		t.Errorf("got %v, want ErrLyeHeavy", err)
	}
}

// An oil of one lot whose supplier states its figures takes those, and no spread.
func TestOwnFigures(t *testing.T) {
	own := material(t, "olive-oil", "name: Olive oil of the mill\nsap: 186 mg KOH/g\nacid_value: 2 mg KOH/g\n")
	b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 0.5%, water: {per_lye: 2}}\n", own)
	if strings.Contains(rules(findings), bar.RuleLyeMargin) {
		t.Errorf("a stated figure has no spread:\n%s", rules(findings))
	}
	if want := 0.186 / 56.1053 * 1000; math.Abs(b.Fats-want) > 1e-6 {
		t.Errorf("the fats bind %.6f mol, want %.6f", b.Fats, want)
	}
}

// The fatty acids of a lot give its saponification value, by the mole mean: the
// olive oil of Regulation (EEC) No 2568/91, Annex XVIII, has 192.255, less what
// cannot saponify.
func TestFattyAcidsOfALot(t *testing.T) {
	own := material(t, "mill", "name: Mill\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\nunsaponifiable: 1%\nfatty_acids: {palmitic: 10%, stearic: 3%, palmitoleic: 1%, oleic: 75%, linoleic: 10%, linolenic: 1%}\n")
	b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: mill, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {per_lye: 2}}\n", own)
	if b == nil {
		t.Fatal(rules(findings))
	}
	if want := 192.255 * 0.99 / 56.1053; math.Abs(b.Fats-want) > 1e-4 {
		t.Errorf("the fats bind %.6f mol, want %.6f", b.Fats, want)
	}
}

// A shop's own file for a built-in id goes by what stands in it, not by its id.
func TestOwnBlendUnderABuiltInId(t *testing.T) {
	own := material(t, "olive-oil", "name: Olive and coconut\nkind: oil blend\ncontains:\n  - {inci: Olea Europaea (Olive) Fruit Oil, share: 10%}\n  - {inci: Cocos Nucifera (Coconut) Oil, share: 90%}\n")
	b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {per_lye: 2}}\n", own)
	if b == nil {
		t.Fatal(rules(findings))
	}
	if want := (0.1*190 + 0.9*256.5) / 56.1053; math.Abs(b.Fats-want) > 1e-9 {
		t.Errorf("the fats bind %.6f mol, want %.6f", b.Fats, want)
	}
}

// Almost all of the fat is free acid, and all of it is taken up: rounding must not
// make that a lye-heavy bar without a word.
func TestAlmostOnlyFreeAcid(t *testing.T) {
	b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: stearic-acid, weight: 900 kg}, {material: castor-oil, weight: 1 mg}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {per_lye: 2}}\n")
	if b == nil {
		t.Fatal(rules(findings))
	}
	if _, err := b.Cured(bar.Unweighed); err != nil {
		t.Error(err)
	}
}

// Whoever follows the remedy of a lye-heavy bar has one that is not: 1000 g of olive
// oil at 190 mg KOH/g bind 135.45 g.
func TestRemedyIsEnough(t *testing.T) {
	_, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, weight: 140 g, water: {per_lye: 2}}\n")
	for _, f := range findings {
		if f.Rule == bar.RuleLyeHeavy && !strings.Contains(f.Remedy, "at least 4.6 g less") {
			t.Errorf("the remedy leaves it lye-heavy: %s", f.Remedy)
		}
	}
}

// A blend's stated saponification value fixes its demand, whatever the handbooks
// say of its oils.
func TestBlendTakesItsStatedValue(t *testing.T) {
	own := material(t, "pantry", "name: Pantry\nkind: oil blend\nsap: 200 mg KOH/g\ncontains:\n  - {inci: Olea Europaea (Olive) Fruit Oil, share: 60%}\n  - {inci: Cocos Nucifera (Coconut) Oil, share: 40%}\n")
	b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: pantry, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {per_lye: 2}}\n", own)
	if b == nil {
		t.Fatal(rules(findings))
	}
	if want := 200 / 56.1053; math.Abs(b.Fats-want) > 1e-9 {
		t.Errorf("the fats bind %.9f mol, want %.9f", b.Fats, want)
	}
}

var (
	someOils      = []string{"olive-oil", "coconut-oil", "palm-oil", "castor-oil", "shea-butter", "stearic-acid", "sunflower-oil", "cocoa-butter", "babassu-oil"}
	someAdditives = []string{"kaolin", "oat-flour", "salt", "charcoal", "lavender-oil", "iron-oxide-red", "sodium-lactate"}
)

// anyFormula draws a formula that can be poured.
func anyFormula(t *rapid.T) formula.Formula {
	var b strings.Builder
	b.WriteString("name: Test\nidentity: soap\npot:\n")
	for _, oil := range rapid.SliceOfNDistinct(rapid.SampledFrom(someOils), 1, 6, rapid.ID).Draw(t, "oils") {
		fmt.Fprintf(&b, "  - {material: %s, weight: %d mg}\n", oil, rapid.IntRange(1, 5_000_000).Draw(t, "weight"))
	}
	alkali := rapid.SampledFrom([]string{"sodium hydroxide", "potassium hydroxide"}).Draw(t, "alkali")
	fmt.Fprintf(&b, "lye: {alkali: %s, purity: %d%%, superfat: %d%%, water: {per_lye: %d}}\n", alkali,
		rapid.IntRange(80, 100).Draw(t, "purity"), rapid.IntRange(0, 60).Draw(t, "superfat"), rapid.IntRange(1, 4).Draw(t, "water"))
	additives := rapid.SliceOfNDistinct(rapid.SampledFrom(someAdditives), 0, 4, rapid.ID).Draw(t, "additives")
	if len(additives) > 0 {
		b.WriteString("add:\n")
	}
	for _, a := range additives {
		fmt.Fprintf(&b, "  - {material: %s, weight: %d mg}\n", a, rapid.IntRange(1, 200_000).Draw(t, "weight"))
	}
	f, _, err := formula.ReadFormula("formulas/test.yaml", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Mass closes: all that was weighed is in the lines of the bar as poured, and the
// water in them is what was poured, what the acids formed, and what the potassium
// hydroxide brought.
func TestMassCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFormula(t)
		batter, findings := bar.Pour(f, formula.Library{})
		if batter == nil {
			t.Fatal(rules(findings))
		}
		in := 0.0
		for _, s := range batter.Sources {
			in += s.Mass
		}
		for name, make := range map[string]func() (*bar.Bar, error){"fresh": batter.Fresh, "made": batter.Made} {
			b, err := make()
			if err != nil {
				t.Fatal(err)
			}
			out := sum(t, b)
			if math.Abs(out-in) > 1e-9*in {
				t.Fatalf("%s: %.12f g in, %.12f g out", name, in, out)
			}
		}
		fresh, err := batter.Fresh()
		if err != nil {
			t.Fatal(err)
		}
		if want := batter.Water + formed(t, batter); math.Abs(waterOf(fresh)-want) > 1e-9*in {
			t.Fatalf("%.12f g of water in the bar, %.12f g poured and formed", waterOf(fresh), want)
		}
	})
}

// formed reckons the water that is not poured in another way than the bar does:
// from the equivalents alone.
func formed(t *rapid.T, batter *bar.Batter) float64 {
	acids := 0.0
	for _, s := range batter.Sources {
		for _, part := range s.Parts {
			if part.Fat != nil {
				a, _ := part.Fat.Equivalents()
				acids += a * s.Mass
			}
		}
	}
	mol := batter.Saponified() * batter.Fats
	water := min(acids, mol) * inci.MolarMassWater
	if alkali := batter.Alkalis[0]; alkali.Name == "potassium hydroxide" {
		water += alkali.Weigh - alkali.Pure
	}
	return water
}

func sum(t *rapid.T, b *bar.Bar) float64 {
	masses := b.Masses()
	total := 0.0
	for _, m := range masses {
		if m < -1e-12 {
			t.Fatalf("a line of %v g", m)
		}
		total += m
	}
	return total
}
