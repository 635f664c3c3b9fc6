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
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A drawer draws bars that all statements allow together: shares, figures of fats, and
// water, each at an end or between.
type drawer struct {
	t      *rapid.T
	batter *bar.Batter
	cured  *bar.Bar
}

// between draws a figure of a range, its ends more often than the rest.
func (d drawer) between(r measure.Range) float64 {
	if r.IsPoint() {
		return r.Low
	}
	switch n := rapid.IntRange(0, 9).Draw(d.t, "where"); {
	case n < 3:
		return r.Low
	case n < 6:
		return r.High
	}
	return r.Low + (r.High-r.Low)*rapid.Float64Range(0, 1).Draw(d.t, "between")
}

// bar draws a bar with its masses. It is false where the lye would be too much for it,
// or where the parts of a blend do not make up what is stated of the whole.
func (d drawer) bar() (bar.Point, []float64, bool) {
	var p bar.Point
	for _, s := range d.cured.Sources {
		shares, ok := d.shares(s)
		if !ok {
			return p, nil, false
		}
		fats := make([]saponify.Fat, len(s.Parts))
		for j, part := range s.Parts {
			if part.Fat != nil {
				fats[j] = part.Fat.Fat
				fats[j].SAP = d.between(part.Fat.Spread)
				fats[j].AcidValue = d.between(part.Fat.Acids)
				fats[j].Unsaponifiable = d.between(part.Fat.Unsaponifiables)
			}
		}
		if s.SAP != nil && !makeUp(s, shares, fats) {
			return p, nil, false
		}
		if s.Kettle != nil && !d.boil(s, shares, fats) {
			return p, nil, false
		}
		p.Shares, p.Fats = append(p.Shares, shares), append(p.Fats, fats)
	}
	masses, err := d.cured.At(p) // without any water
	if err != nil {
		return p, nil, false
	}
	dry := d.cured.Total(masses)
	fresh := d.batter.Mass() - dry
	for i, s := range d.cured.Sources {
		for j, part := range s.Parts {
			fresh -= s.Mass * p.Shares[i][j] * part.Leaves
		}
	}
	end := func(share float64) float64 { return min(fresh, dry*share/(1-share)) }
	water := measure.Range{Low: end(0.02), High: end(0.20)}
	if d.batter.Melted {
		water.High = fresh
	}
	p.Water = d.between(water)
	masses, err = d.cured.At(p)
	return p, masses, err == nil
}

// shares draws shares of a source.
func (d drawer) shares(s bar.Source) ([]float64, bool) {
	if s.Allowed != nil {
		return slices.Clone(rapid.SampledFrom(s.Allowed).Draw(d.t, "allowed")), true
	}
	return d.mix(s.Shares)
}

// mix draws a composition: a mean of a few at which some cost is least, and of the middle.
func (d drawer) mix(m blend.Mix) ([]float64, bool) {
	if point, known := m.Point(); known {
		return slices.Clone(point), true
	}
	set := rapid.IntRange(0, len(m.Union)-1).Draw(d.t, "set")
	one := blend.NewMinimiser(blend.Mix{Union: m.Union[set : set+1], Of: m.Of})
	shares := make([]float64, m.Parts())
	left := 1.0
	for n := range 3 {
		cost := make([]float64, len(shares))
		for j := range cost {
			cost[j] = float64(rapid.IntRange(-3, 3).Draw(d.t, "cost"))
		}
		one.Least(cost)
		part := left
		if n < 2 {
			part = left * rapid.SampledFrom([]float64{0, 1, 0.5, 0.3}).Draw(d.t, "part")
		}
		left -= part
		for j, x := range one.At() {
			shares[j] += part * x
		}
	}
	return shares, m.Of != nil || m.Holds(shares)
}

// makeUp moves saponification values within their ranges until they make up the stated
// one: all by the same part of the way to the one end or the other.
func makeUp(s bar.Source, shares []float64, fats []saponify.Fat) bool {
	sum := func(of func(j int) float64) float64 {
		total := 0.0
		for j, share := range shares {
			total += share * of(j)
		}
		return total
	}
	now := sum(func(j int) float64 { return fats[j].SAP })
	goal, end := s.SAP.High, func(j int) float64 { return s.Parts[j].Fat.Spread.Low }
	if now < s.SAP.Low {
		goal, end = s.SAP.Low, func(j int) float64 { return s.Parts[j].Fat.Spread.High }
	} else if now <= s.SAP.High {
		return true
	}
	last := sum(end)
	if (last-goal)*(now-goal) > 0 {
		return false
	}
	part := (now - goal) / (now - last)
	for j := range fats {
		fats[j].SAP += part * (end(j) - fats[j].SAP)
	}
	return true
}

// boil draws the alkali of finished soap that is listed by what went into its pot, in
// place of all else: it is false where its place in the list does not allow it.
func (d drawer) boil(s bar.Source, shares []float64, fats []saponify.Fat) bool {
	acids, esters, alkali, takes := 0.0, 0.0, 0.0, 0.0
	for j, part := range s.Parts {
		alkali += shares[j] * part.Alkali
		if part.Acid != nil {
			takes += shares[j] * part.Acid.Equivalents / part.Acid.MolarMass
		}
		if part.Fat != nil {
			a, e := fats[j].Equivalents()
			acids, esters = acids+shares[j]*a, esters+shares[j]*e
		}
	}
	want := acids + takes + d.between(s.Kettle.Extent)*esters
	if alkali == 0 {
		return false
	}
	total := 0.0
	for j, part := range s.Parts {
		if part.Alkali > 0 {
			shares[j] *= want / alkali
		}
		total += shares[j]
	}
	for j := range shares {
		shares[j] /= total
	}
	return s.Shares.Holds(shares)
}

// value gives the sum of a question.
func value(q bar.Question, masses []float64) float64 {
	v := q.Const
	for i, m := range masses {
		v += q.Weights[i] * m
	}
	return v
}

// anyQuestion draws a question about a bar.
func anyQuestion(t *rapid.T, b *bar.Bar) bar.Question {
	q := bar.Question{Weights: make([]float64, len(b.Lines)), Const: rapid.SampledFrom([]float64{0, 0, 1, -1, 50, -200}).Draw(t, "constant")}
	for i := range q.Weights {
		q.Weights[i] = float64(rapid.IntRange(-2, 2).Draw(t, "weight"))
	}
	return q
}

// sound checks an answer: no allowed bar that is drawn falls below the least, and the one
// that refutes is allowed and does.
func sound(t *rapid.T, batter *bar.Batter, b *bar.Bar, q bar.Question, draws int) bar.Answer {
	whole := 1 + batter.Mass()
	answer := b.Least(q)
	for range draws {
		p, masses, ok := (drawer{t, batter, b}).bar()
		if !ok {
			continue
		}
		if v := value(q, masses); v < answer.Low-1e-9*whole {
			t.Fatalf("the sum is %v, below the least %v, at %+v", v, answer.Low, p)
		}
	}
	if answer.Verdict == bar.Refuted {
		masses, err := b.At(answer.At)
		if err != nil {
			t.Fatal(err)
		}
		if v := value(q, masses); v >= 0 || v < answer.Low-1e-9*whole {
			t.Fatalf("the witness gives %v, and the least is %v", v, answer.Low)
		}
		for i, s := range b.Sources {
			for j, part := range s.Parts {
				if part.Fat == nil {
					continue
				}
				if sap := answer.At.Fats[i][j].SAP; sap < part.Fat.Spread.Low-1e-6 || sap > part.Fat.Spread.High+1e-6 {
					t.Fatalf("the witness has %v mg KOH/g in %s, and %v is allowed", sap, s.Ref, part.Fat.Spread)
				}
			}
			if s.Allowed == nil && !s.Shares.Holds(answer.At.Shares[i]) {
				t.Fatalf("the witness has %v in %s", answer.At.Shares[i], s.Ref)
			}
		}
	}
	if (answer.Verdict == bar.Proved) != (answer.Low >= -b.Tie() && answer.Verdict != bar.Refuted) {
		t.Fatalf("verdict %v for %v", answer.Verdict, answer.Low)
	}
	return answer
}

// "Certain" is never wrong, for formulas of every kind.
func TestLeastIsTheLeastOfEveryKind(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		b, err := p.batter.Cured(bar.Unweighed)
		if err != nil {
			t.Fatal(err)
		}
		sound(t, p.batter, b, anyQuestion(t, b), 10)
	})
}

// Of 100 g of crumbs with a share x of water, melted with 3 g of water, 100(1−x) g is
// dry and 100x+3 g is water. At most a fifth of the bar is water, which is a quarter of
// what is dry, and never more than there is: the most is where both are the same, at
// x = 22/125, neither in the driest crumbs nor in the wettest.
func TestMostWaterBetweenTheEnds(t *testing.T) {
	crumbs := material(t, "crumbs", "name: Crumbs\nkind: soap\ncontains:\n  - {inci: Olea Europaea Fruit Oil, share: 70%}\n  - {inci: Sodium Hydroxide, share: 7.5%}\n  - {inci: Aqua, share: 22.5%}\norder: unknown\n")
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
	if got := b.Least(q).Low; math.Abs(got+20.6) > 0.3 || got > -20.6 {
		t.Errorf("at most %.9f g of water, want 20.6", -got)
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
	"rest":     "name: Rest\nkind: base\ncontains:\n  - {inci: Olea Europaea Fruit Oil, share: 70%}\n  - {inci: Sodium Hydroxide, share: 8%}\n  - {inci: Aqua}\norder: unknown\n",
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
		for _, masses := range [][]float64{made.Masses()} {
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
