package bench_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/bar"
	"saponym/internal/formula"
	"saponym/internal/paper/bench"
)

// sheetOf gives the sheet of a formula, and what was poured for it.
func sheetOf(t fataler, text string) (bench.Sheet, *bar.Batter) {
	t.Helper()
	f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+text))
	if err != nil {
		t.Fatal(err)
	}
	var materials []formula.Material
	for id, stated := range map[string]string{
		"base":   "kind: base\ncontains: [{inci: Sodium Cocoate, share: 80%}, {inci: Aqua, share: 20%}]\n",
		"lye-40": "kind: lye solution\ninci: Sodium Hydroxide\nstrength: 40%\n",
	} {
		m, _, err := formula.ReadMaterial("materials/"+id+".yaml", []byte("name: "+id+"\n"+stated))
		if err != nil {
			t.Fatal(err)
		}
		materials = append(materials, m)
	}
	b, findings := bar.Pour(f, formula.NewLibrary(materials))
	if b == nil {
		t.Fatalf("%v\n%s", findings, text)
	}
	return bench.Compile(f, b, "", findings), b
}

// drawFormula gives a formula with things to weigh at all stages, for all portions, and
// with carriers.
func drawFormula(t *rapid.T) string {
	pick := func(from ...string) string { return rapid.SampledFrom(from).Draw(t, "pick") }
	var text strings.Builder
	stages := []string{"lye", "oils", "trace", "after", "top"}
	if rapid.Bool().Draw(t, "base") {
		text.WriteString("base: [{material: base, weight: 900 g}]\n")
		stages = []string{"oils", "trace", "after", "top"}
	} else {
		text.WriteString(pick("", "process: hot\n") + "pot: [{material: olive-oil, weight: 700 g}, {material: coconut-oil, weight: 300 g}]\n")
		text.WriteString("lye: {" + pick("alkali: sodium hydroxide", "alkali: [{alkali: sodium hydroxide, share: 100%}, {alkali: potassium hydroxide, share: 0%}]",
			"alkali: [{alkali: sodium hydroxide, share: 90%}, {alkali: potassium hydroxide, share: 10%}]", "solution: lye-40"))
		text.WriteString(", superfat: 5%, water: {strength: " + pick("30%", "28%", "40%") + "}")
		if !strings.Contains(text.String(), "40%") {
			text.WriteString(pick("", ", liquids: [{material: goat-milk, share: 20%, into: oils}]", ", liquids: [{material: aloe-juice, share: 20%}, {material: goat-milk, share: 10%, into: trace}]"))
		}
		text.WriteString("}\n")
	}
	text.WriteString("portions: {white: 60%, blue: 40%}\nadd:\n")
	for range rapid.IntRange(1, 8).Draw(t, "additions") {
		in := ""
		at := pick(stages...)
		if at == "trace" || at == "after" || at == "top" {
			in = pick("", ", in: white", ", in: blue")
		}
		fmt.Fprintf(&text, "  - {material: %s, weight: %s, at: %s%s%s}\n", pick("kaolin", "salt", "sugar", "oat-flour"), pick("0 g", "3 g", "7.5 g"), at, in,
			pick("", ", with: [{material: water, weight: 5 g}]", ", with: [{material: glycerin, weight: 4 g}, {material: water, weight: 2 g}]"))
	}
	return text.String()
}

// Whatever goes on the scale stands on the sheet, and stands there once.
func TestAllThatIsWeighedStandsOnTheSheetOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := drawFormula(t)
		s, b := sheetOf(t, text)
		sum, lines, sources := 0.0, 0, 0
		for _, v := range s.Vessels {
			lines += len(v.Lines)
			for _, l := range v.Lines {
				sum += l.Grams
			}
		}
		for _, source := range b.Sources {
			if source.Mass > 0 {
				sources++
			}
		}
		if math.Abs(sum-b.Mass()) > 1e-9 || s.Total != b.Mass() || lines != sources {
			t.Fatalf("%d lines with %.6f g stand on the sheet, and %d things with %.6f g are weighed:\n%s", lines, sum, sources, b.Mass(), text)
		}
	})
}

// What is said of a vessel follows from what is in it and from how the soap is made.
func TestWhatTheSheetSays(t *testing.T) {
	const (
		pot     = "pot: [{material: olive-oil, weight: 1000 g}]\n"
		dry     = pot + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 30%}}\n"
		bought  = pot + "lye: {solution: lye-40, superfat: 5%, water: {strength: 40%}}\n"
		thinned = pot + "lye: {solution: lye-40, superfat: 5%, water: {strength: 30%}}\n"
		melted  = "base: [{material: base, weight: 900 g}]\n"
		halves  = "portions: {white: 50%, blue: 50%}\n"
	)
	for _, tt := range []struct{ name, formula, says, not string }{
		{"dry alkali", dry, "Pour the alkali into the water", "ready-made"},
		{"a solution alone", bought, "It is ready: nothing is to be dissolved in it.", "Pour the"},
		{"a solution with acid", bought + "add: [{material: citric-acid, weight: 9 g, at: lye}]\n", "Stir the rest into the lye", "Pour the"},
		{"a solution with water", thinned, "Pour the lye into the water", "Pour the alkali"},
		{"a solution with aloe", pot + "lye: {solution: lye-40, superfat: 5%, water: {strength: 30%}, liquids: [{material: aloe-juice, share: 20%}]}\n", "Pour the lye into the rest", "Pour the alkali"},
		{"a step with a temperature", dry + "steps: [{do: blend, temp: 35 C}]\n", "let it cool to the temperature of the steps", "let it cool."},
		{"a step without", dry + "steps: [{do: blend}]\n", "let it cool.", "temperature of the steps"},
		{"after the cook", "process: hot\n" + dry + halves + "add: [{material: kaolin, weight: 9 g, at: after, in: blue}]\n", "AFTER THE COOK Zero the scale with a dry cup for each. [ ] Kaolin, white clay 9.00 g 0.317 oz ________ for the portion blue", "THE SOAP IS MADE"},
		{"after, uncooked", dry + "add: [{material: kaolin, weight: 9 g, at: after}]\n", "WHEN THE SOAP IS MADE", "COOK"},
		{"early, in a base", melted + "add: [{material: kaolin, weight: 9 g, at: oils}]\n", "Stir it into the base as soon as it is melted", "before the lye"},
		{"late, in a base", melted + "add: [{material: kaolin, weight: 9 g, at: after}]\n", "AT THE END", "free lye"},
		{"a base", melted, "Hot soap burns the skin. Keep alcohol and scents away from flames.", "LYE"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s, _ := sheetOf(t, tt.formula)
			got, _, _ := strings.Cut(flat(s.Text()), "WORKING WITH LYE")
			if !strings.Contains(got, tt.says) || strings.Contains(got, tt.not) {
				t.Errorf("the sheet says %q, want %q and no %q", got, tt.says, tt.not)
			}
		})
	}
}

// The batter is divided after what goes into the whole of it, and before what goes into
// a portion alone.
func TestBatterIsDividedInItsTurn(t *testing.T) {
	s, _ := sheetOf(t, "portions: {white: 50%, blue: 50%}\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 30%}}\n"+
		"add: [{material: kaolin, weight: 9 g, in: blue}, {material: salt, weight: 9 g}, {material: sugar, weight: 9 g, at: top}]\n")
	order := []string{"1. Pot of oils", "2. Lye jug", "3. At trace", "4. Divide the batter", "5. Portion blue", "6. On top"}
	var pages []string
	for _, page := range document(t, s, "a4").Sheets[0].Scenes {
		pages = append(pages, runs(page))
	}
	for form, got := range map[string]string{"text": flat(s.Text()), "paper": strings.Join(pages, " ")} {
		at := 0
		for _, want := range order {
			if form == "text" {
				want = strings.ToUpper(want)
			} else {
				want = strings.Replace(want, ".", "", 1)
			}
			next := strings.Index(got[at:], want)
			if next < 0 {
				t.Fatalf("%s: %q does not come in its turn: %q", form, want, got)
			}
			at += next
		}
	}
}

// A long formula takes three pages: 16 oils, 8 additions, 4 portions and 14 steps.
func TestLongFormulaTakesThreePages(t *testing.T) {
	var text strings.Builder
	text.WriteString("portions: {white: 40%, blue: 20%, green: 20%, gold: 20%}\npot:\n")
	for _, oil := range strings.Fields("olive-oil coconut-oil palm-oil castor-oil shea-butter cocoa-butter mango-butter avocado-oil sweet-almond-oil sunflower-oil rice-bran-oil grapeseed-oil hempseed-oil macadamia-oil walnut-oil sesame-oil") {
		fmt.Fprintf(&text, "  - {material: %s, weight: 60 g}\n", oil)
	}
	text.WriteString("lye: {alkali: [{alkali: sodium hydroxide, share: 90%}, {alkali: potassium hydroxide, share: 10%}], superfat: 5%, water: {strength: 33%}, liquids: [{material: aloe-juice, share: 30%}]}\nadd:\n")
	for _, where := range []string{"at: lye", "at: lye", "at: trace", "in: white", "in: blue", "in: green", "in: gold", "at: top"} {
		fmt.Fprintf(&text, "  - {material: kaolin, weight: 9 g, %s}\n", where)
	}
	text.WriteString("steps:\n")
	for i := range 14 {
		fmt.Fprintf(&text, "  - {do: stir for a while, note: short bursts, temp: %d C}\n", 30+i)
	}
	s, _ := sheetOf(t, text.String())
	for _, size := range []string{"a4", "letter"} {
		if got := document(t, s, size).Sheets[0].Pages(); got != 3 {
			t.Errorf("it has %d pages on %s, want 3", got, size)
		}
	}
}
