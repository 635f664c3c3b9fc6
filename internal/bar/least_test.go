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

// allowed gives the water that a bar may have, in grams, when the crumbs in it have
// these shares of water, by source. It is a share of the bar and never more than there
// is; what was only melted may keep it all.
func (p poured) allowed(t *rapid.T, damp map[int]float64) (low, high float64) {
	naoh, koh, rest := p.lye(t)
	entries := append(p.entries(t), rest...)
	for i, e := range entries {
		if w, ok := damp[e.source]; ok {
			solids := e.made[0]
			solids.share = 1 - w
			entries[i].made = []component{solids, water(w)}
		}
	}
	all := reckon(entries, naoh, koh)
	share := func(of float64) float64 { return min(all.water, all.dry()*of/(1-of)) }
	if p.batter.Melted {
		return share(0.02), all.water
	}
	return share(0.02), share(0.20)
}

// wet gives the water in a gram of a source with these shares of its parts.
func wet(s bar.Source, shares []float64) float64 {
	total := 0.0
	for j, part := range s.Parts {
		if part.Role == bar.Water {
			total += shares[j]
		}
	}
	return total
}

// "Certain" is never wrong, for formulas of every kind: no bar with any water that is
// allowed, in its crumbs and in itself, falls below the least, and the bar that gives the
// least is one that is allowed.
func TestLeastIsTheLeastOfEveryKind(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		b, err := p.batter.Cured(bar.Unweighed)
		if err != nil {
			t.Fatal(err)
		}
		whole := 1 + p.batter.Mass()
		damp := map[int]float64{}
		for _, e := range p.entries(t) {
			if e.damp == ([2]float64{}) {
				continue
			}
			damp[e.source] = 0
			for n, shares := range b.Sources[e.source].Ends {
				near(t, "water at an end of "+e.id, wet(b.Sources[e.source], shares), e.damp[n], 1)
			}
		}
		q := bar.Question{Weights: make([]float64, len(b.Lines)), Const: rapid.Float64Range(-1000, 1000).Draw(t, "constant")}
		for i := range q.Weights {
			q.Weights[i] = float64(rapid.IntRange(-2, 2).Draw(t, "weight"))
		}
		answer := b.Least(q)
		if !b.Exact() {
			if answer.Verdict != bar.Unproved || !math.IsInf(answer.Low, -1) || len(damp) <= 4 {
				t.Fatalf("of a bar that is not known exactly: %v, %d sorts of crumbs", answer.Verdict, len(damp))
			}
			return
		}
		value := func(at bar.Point) float64 {
			masses, err := b.At(at)
			if err != nil {
				t.Fatal(err)
			}
			v := q.Const
			for i, m := range masses {
				v += q.Weights[i] * m
			}
			return v
		}
		for range 10 {
			at := answer.At
			at.Shares = slices.Clone(at.Shares)
			for source := range damp {
				ends := b.Sources[source].Ends
				part := rapid.Float64Range(0, 1).Draw(t, "between")
				at.Shares[source] = make([]float64, len(ends[0]))
				for j := range ends[0] {
					at.Shares[source][j] = (1-part)*ends[0][j] + part*ends[1][j]
				}
				damp[source] = wet(b.Sources[source], at.Shares[source])
			}
			low, high := p.allowed(t, damp)
			at.Water = low + (high-low)*rapid.OneOf(rapid.SampledFrom([]float64{0, 1}), rapid.Float64Range(0, 1)).Draw(t, "water")
			if v := value(at); v < answer.Low-1e-9*whole {
				t.Fatalf("with %v g of water, and %v in crumbs, the sum is %v, below the least %v", at.Water, damp, v, answer.Low)
			}
		}
		near(t, "the witness", value(answer.At), answer.Low, whole)
		for source := range damp {
			damp[source] = wet(b.Sources[source], answer.At.Shares[source])
		}
		if low, high := p.allowed(t, damp); answer.At.Water < low-1e-9*whole || answer.At.Water > high+1e-9*whole {
			t.Fatalf("the witness has %v g of water, and %v to %v are allowed", answer.At.Water, low, high)
		}
		if (answer.Verdict == bar.Refuted) != (answer.Low < -b.Tie()) || answer.Verdict == bar.Unproved {
			t.Fatalf("verdict %v for %v", answer.Verdict, answer.Low)
		}
	})
}

// Of 100 g of crumbs with a share x of water, melted with 3 g of water, 100(1−x) g is
// dry and 100x+3 g is water. At most a fifth of the bar is water, which is a quarter of
// what is dry, and never more than there is: the most is where both are the same, at
// x = 22/125, neither in the driest crumbs nor in the wettest.
func TestMostWaterBetweenTheEnds(t *testing.T) {
	crumbs := material(t, "crumbs", "name: Crumbs\nkind: soap\ncontains:\n  - {inci: Olea Europaea Fruit Oil, share: 70%}\n  - {inci: Sodium Hydroxide, share: 7.5%}\n  - {inci: Aqua, share: 22.5%}\n")
	batter, findings := pour(t, "name: Test\nidentity: soap\nbase: [{material: crumbs, weight: 100 g}]\nadd: [{material: water, weight: 3 g}]\n", crumbs)
	if batter == nil {
		t.Fatal(rules(findings))
	}
	b, err := batter.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	q := bar.Question{Weights: make([]float64, len(b.Lines))}
	for i, l := range b.Lines {
		if l.Role == bar.Water {
			q.Weights[i] = -1
		}
	}
	if got := b.Least(q).Low; math.Abs(got+20.6) > 1e-9 || math.Abs(b.Water.High-20.6) > 1e-9 {
		t.Errorf("at most %.9f and %.9f g of water, want 20.6", -got, b.Water.High)
	}
}

// oddThings are materials at the edge of what can be.
var oddThings = map[string]string{
	"greasy":   "name: Greasy\nkind: liquid\ninci: Goat Milk\nwater: 5%\nfat: 95%\nfat_of: coconut-oil\n",
	"dry":      "name: Dry\nkind: liquid\ninci: Goat Milk\nwater: 4%\nfat: 1%\nfat_of: butter\n",
	"spirit":   "name: Spirit\nkind: liquid\ninci: Beer\nwater: 6%\nevaporates: 94%\n",
	"inert":    "name: Inert\nkind: oil\ninci: Beeswax\nreactivity: 0%\n",
	"lots":     "name: Lots\nkind: oil blend\ncontains:\n  - {inci: Stearic Acid, share: 99.9%}\n  - {inci: Jojoba Seed Oil}\n",
	"vague":    "name: Vague\nkind: oil blend\norder: descending\ncontains:\n  - {inci: Olea Europaea Fruit Oil}\n  - {inci: Cocos Nucifera Oil}\n",
	"heavy":    "name: Heavy\nkind: soap\ncontains:\n  - {inci: Olea Europaea Fruit Oil, share: 50%}\n  - {inci: Sodium Hydroxide, share: 50%}\n",
	"lye-only": "name: Lye only\nkind: base\ncontains:\n  - {inci: Sodium Hydroxide, share: 100%}\n",
	"rest":     "name: Rest\nkind: base\ncontains:\n  - {inci: Olea Europaea Fruit Oil, share: 70%}\n  - {inci: Sodium Hydroxide, share: 8%}\n  - {inci: Aqua}\n",
	"bar-soap": "name: Bar\nkind: soap\ncontains:\n  - {inci: Sodium Olivate, share: 80%}\n  - {inci: Aqua, share: 20%}\n",
	"list":     "name: List\nkind: soap\ncontains:\n  - {inci: Sodium Olivate}\n  - {inci: Aqua}\n  - {inci: Parfum}\n",
	"bottle":   "name: Bottle\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: 99.9%\n",
	"thin":     "name: Thin\nkind: lye solution\ninci: Potassium Hydroxide\nstrength: 0.1%\n",
	"mystery":  "name: Mystery\nkind: additive\ninci: Moon Dust\n",
}

// anything draws a formula that can be read, and need make no sense.
func anything(t *rapid.T, ids []string) string {
	weight := func() string {
		return rapid.SampledFrom([]string{"1 mg", "1 g", "37 g", "100 g", "1 kg", "900 kg", "9000 kg"}).Draw(t, "weight")
	}
	id := func() string {
		if rapid.IntRange(0, 2).Draw(t, "which") == 0 {
			return rapid.SampledFrom(ids).Draw(t, "id")
		}
		return rapid.SampledFrom([]string{"olive-oil", "coconut-oil", "stearic-acid", "greasy", "dry", "spirit", "inert", "lots", "heavy", "lye-only", "rest", "bar-soap", "list", "bottle", "thin", "citric-acid", "water", "ethanol", "mystery", "beer", "no-such-thing"}).Draw(t, "id")
	}
	amount := func() string {
		if rapid.Bool().Draw(t, "weight") {
			return "weight: " + weight()
		}
		return "share: " + rapid.SampledFrom([]string{"0.0001%", "1%", "50%", "99.99%", "100%"}).Draw(t, "share")
	}
	var b strings.Builder
	b.WriteString("name: Test\nidentity: soap\n")
	if rapid.Bool().Draw(t, "hot") {
		b.WriteString("process: hot\n")
	}
	base := rapid.IntRange(0, 4).Draw(t, "base") == 0
	sizes := []string{"", "oils: 1 g", "oils: 900 kg", "batter: 1 mg", "batter: 1 kg", "mould: tray", "mould: tin", "mould: nowhere"}
	if base {
		sizes = slices.Delete(sizes, 1, 3)
	}
	size := rapid.SampledFrom(sizes).Draw(t, "size")
	if size != "" {
		fmt.Fprintf(&b, "size: {%s}\n", size)
	}
	list := "pot"
	if base {
		list = "base"
	}
	oil := func() string {
		if rapid.IntRange(0, 5).Draw(t, "an oil") == 0 {
			return id()
		}
		if base {
			return rapid.SampledFrom([]string{"bar-soap", "rest", "heavy", "list", "lye-only"}).Draw(t, "base")
		}
		return rapid.SampledFrom([]string{"olive-oil", "coconut-oil", "stearic-acid", "beeswax", "inert", "lots", "vague", "rosin"}).Draw(t, "oil")
	}
	b.WriteString(list + ":\n")
	if size != "" && rapid.Bool().Draw(t, "shares") {
		fmt.Fprintf(&b, "  - {material: %s, share: 99.9999%%}\n  - {material: %s, share: 0.0001%%}\n", oil(), oil())
	} else {
		for range rapid.IntRange(1, 3).Draw(t, "oils") {
			fmt.Fprintf(&b, "  - {material: %s, weight: %s}\n", oil(), weight())
		}
	}
	if !base {
		oddLye(t, &b, id, amount, weight)
	}
	if rapid.Bool().Draw(t, "portions") {
		b.WriteString("portions: {a: 99.9999%, b: 0.0001%}\n")
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "additions") {
		if i == 0 {
			b.WriteString("add:\n")
		}
		if rapid.IntRange(0, 3).Draw(t, "own bars") == 0 {
			fmt.Fprintf(&b, "  - {batch: %s, %s}\n", rapid.SampledFrom([]string{"SELF-1", "SELF-2", "NONE"}).Draw(t, "batch"), amount())
			continue
		}
		at := rapid.SampledFrom([]string{"", ", at: lye", ", at: oils", ", at: after", ", at: top"}).Draw(t, "at")
		stays := rapid.SampledFrom([]string{"", "", ", stays: 0%", ", stays: 100%", ", stays: 1%"}).Draw(t, "stays")
		fmt.Fprintf(&b, "  - {material: %s, %s%s%s}\n", id(), amount(), at, stays)
	}
	return b.String()
}

func oddLye(t *rapid.T, b *strings.Builder, id, amount, weight func() string) {
	lye := rapid.SampledFrom([]string{
		"alkali: sodium hydroxide", "alkali: potassium hydroxide, purity: 50%", "alkali: sodium hydroxide, purity: 0.1%", "solution: bottle", "solution: thin", "solution: water",
		"alkali: [{alkali: sodium hydroxide, share: 100%}, {alkali: potassium hydroxide, share: 0%}], of: moles",
		"alkali: [{alkali: sodium hydroxide, share: 0.0001%}, {alkali: potassium hydroxide, share: 99.9999%, purity: 60%, carbonate: 40%}]",
	}).Draw(t, "lye")
	howMuch := rapid.SampledFrom([]string{"", ", superfat: 0%", ", superfat: 5%", ", superfat: 99.9999%", ", superfat: 100%", ", ratio: {alkali: 1 g, oils: 7 g}", ", ratio: {alkali: 1 kg, oils: 1 mg}", ", weight: " + weight()}).Draw(t, "how much")
	water := rapid.SampledFrom([]string{"{strength: 33%}", "{strength: 0.0001%}", "{strength: 99.9999%}", "{of_oils: 1%}", "{of_oils: 100%}", "{per_lye: 0.0001}", "{per_lye: 1000}", "{weight: 1 mg}", "{weight: 900 kg}"}).Draw(t, "water")
	var liquids []string
	for range rapid.IntRange(0, 2).Draw(t, "liquids") {
		into := rapid.SampledFrom([]string{"", ", into: oils", ", into: trace"}).Draw(t, "into")
		liquid := rapid.SampledFrom([]string{id(), "greasy", "dry", "spirit", "goat-milk", "vinegar", "water", "yogurt"}).Draw(t, "liquid")
		liquids = append(liquids, fmt.Sprintf("{material: %s, %s%s}", liquid, amount(), into))
	}
	fmt.Fprintf(b, "lye: {%s%s, water: %s, liquids: [%s]}\n", lye, howMuch, water, strings.Join(liquids, ", "))
}

// Whatever is poured, nothing panics, every stop has a remedy, there is no batter only
// where a finding says why, and what comes of no stop at all has weights and a bar.
func TestAnythingIsPouredOrRefused(t *testing.T) {
	ids := []string{}
	for s := range inci.All() {
		ids = append(ids, s.ID)
	}
	var own []formula.Material
	for id, text := range oddThings {
		own = append(own, readMaterial(t, id, text))
	}
	at := finding.Pos{File: "shop.yaml", Line: 1, Col: 1}
	var tray, tin formula.Mould
	tray.Holds.V, tray.Holds.At = measure.Litre, at
	tin.Batter = formula.Mass{V: measure.Gram, At: at}
	rapid.Check(t, func(t *rapid.T) {
		text := anything(t, ids)
		f, findings, err := formula.ReadFormula("formulas/test.yaml", []byte(text))
		if err != nil {
			t.Fatalf("%s%v", text, err)
		}
		if finding.Worst(findings) == finding.Stop {
			return
		}
		var batches []formula.Batch
		for _, code := range []string{"SELF-1", "SELF-2"} {
			batch, _, err := formula.ReadBatch("batches/"+code+".yaml", fmt.Appendf(nil, "code: %s\nformula: test\nmade: 2026-01-02\nweighed: [{material: olive-oil, weight: 100 g}, {material: sodium hydroxide, weight: 9 g}]\n", code))
			if err != nil {
				t.Fatal(err)
			}
			batches = append(batches, batch)
		}
		old, _, _ := formula.ReadFormula("formulas/test.yaml", []byte("name: Old\nidentity: soap\npot: [{material: olive-oil, weight: 100 g}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {per_lye: 2}}\nadd: [{batch: SELF-2, weight: 1 g}]\n"))
		if rapid.Bool().Draw(t, "of itself") {
			old = f
		}
		library := formula.NewLibrary(own).WithMoulds(map[string]formula.Mould{"tray": tray, "tin": tin}).WithBatches(batches, func(string) (formula.Formula, bool) { return old, true })
		if rapid.Bool().Draw(t, "resized") {
			size := rapid.SampledFrom([]formula.Size{{Batter: formula.Mass{V: measure.Kilogram, At: at}}, {Batter: formula.Mass{V: 1, At: at}}, {Mould: formula.Text{V: "tray", At: at}}}).Draw(t, "other size")
			f = f.Resized(size)
		}
		refusedOrWhole(t, text, f, library)
	})
}

// refusedOrWhole pours a formula: it makes a bar, or a finding says why it does not.
func refusedOrWhole(t *rapid.T, text string, f formula.Formula, library formula.Library) {
	b, findings := bar.Pour(f, library)
	stopped := finding.Worst(findings) == finding.Stop
	for _, x := range findings {
		if x.Level == finding.Stop && (x.Remedy == "" || x.Message == "" || strings.Contains(x.Message+x.Remedy, "NaN") || strings.Contains(x.Message+x.Remedy, "Inf")) {
			t.Fatalf("%sa stop that helps nobody: %s", text, x.Text())
		}
	}
	if b == nil {
		if !stopped {
			t.Fatalf("%sno batter, and nothing says why", text)
		}
		return
	}
	whole := b.Mass()
	check := func(what string, v float64) {
		if math.IsNaN(v) || math.IsInf(v, 0) || v < -1e-9*whole {
			t.Fatalf("%s%s: %v\n%s", text, what, v, rules(findings))
		}
	}
	for _, s := range b.Sources {
		check(s.Ref, s.Mass)
	}
	for _, q := range b.Portions {
		check(q.Name, q.Mass)
	}
	check("volume", b.Volume)
	check("strength", b.Strength)
	for what, bake := range map[string]func() (*bar.Bar, error){"fresh": b.Fresh, "made": b.Made, "cured": func() (*bar.Bar, error) { return b.Cured(bar.Unweighed) }} {
		made, err := bake()
		if err != nil {
			if !stopped {
				t.Fatalf("%s%s: %v, and nothing stops a label:\n%s", text, what, err, rules(findings))
			}
			continue
		}
		for _, masses := range [][]float64{made.Masses(), made.Lightest(), made.Heaviest()} {
			for i, m := range masses {
				check(what+" "+made.Lines[i].Names.US, m)
			}
		}
	}
}

// ofTwenty is a formula of twenty materials.
const ofTwenty = `name: Twenty
identity: soap
size: {batter: 5 kg}
pot: [{material: olive-oil, share: 40%}, {material: coconut-oil, share: 20%}, {material: palm-oil, share: 15%}, {material: castor-oil, share: 5%},
  {material: shea-butter, share: 10%}, {material: cocoa-butter, share: 5%}, {material: stearic-acid, share: 3%}, {material: beeswax, share: 2%}]
lye:
  alkali: [{alkali: sodium hydroxide, share: 90%, purity: 98%}, {alkali: potassium hydroxide, share: 10%, purity: 90%}]
  superfat: 6%
  water: {strength: 33%}
  liquids: [{material: goat-milk, share: 40%, into: oils}, {material: aloe-juice, share: 20%}]
add: [{material: citric-acid, share: 1%, at: lye}, {material: sugar, share: 1%, at: lye}, {material: kaolin, share: 2%}, {material: oat-flour, share: 1%},
  {material: lavender-oil, share: 3%}, {material: iron-oxide-red, share: 0.5%, with: [{material: glycerin, share: 1%}]}]
`

func BenchmarkPour(b *testing.B) {
	f := read(b, ofTwenty)
	for b.Loop() {
		if batter, findings := bar.Pour(f, formula.Library{}); batter == nil {
			b.Fatal(rules(findings))
		}
	}
}

func BenchmarkAt(b *testing.B) {
	batter, findings := pour(b, ofTwenty)
	if batter == nil {
		b.Fatal(rules(findings))
	}
	cured, err := batter.Cured(bar.Unweighed)
	if err != nil {
		b.Fatal(err)
	}
	at := cured.Least(bar.Question{Weights: make([]float64, len(cured.Lines))}).At
	for b.Loop() {
		if _, err := cured.At(at); err != nil {
			b.Fatal(err)
		}
	}
}
