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
	"saponym/internal/measure"
)

// batch reads a batch that must have no findings. The rest is what stands below the code
// and the day.
func batch(t testing.TB, code, rest string) formula.Batch {
	t.Helper()
	b, findings, err := formula.ReadBatch("batches/"+code+".yaml", []byte("code: "+code+"\nmade: 2026-11-26\n"+rest))
	if err != nil || len(findings) > 0 {
		t.Fatalf("%s: %v, findings %v", rest, err, findings)
	}
	return b
}

// pourMade pours the first of these batches as it was made, by a formula that is test.
// The findings are those of the record and of the batter.
func pourMade(t testing.TB, text string, own []formula.Material, batches ...formula.Batch) (*bar.Batter, []finding.Finding) {
	t.Helper()
	f := read(t, text)
	l := formula.NewLibrary(own).WithBatches(batches, func(id string) (formula.Formula, bool) { return f, id == "test" })
	m, ok := l.Making(batches[0], nil)
	if !ok {
		t.Fatal("the formula is not known")
	}
	b, findings := bar.PourMade(m)
	return b, append(m.Findings, findings...)
}

// stops gives the stops among findings.
func stops(findings []finding.Finding) []finding.Finding {
	var all []finding.Finding
	for _, f := range findings {
		if f.Level == finding.Stop {
			all = append(all, f)
		}
	}
	return all
}

// linesOf gives the masses of a bar by what they are.
func linesOf(t testing.TB, b *bar.Batter) map[string]float64 {
	t.Helper()
	cured, err := b.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]float64{}
	for i, line := range cured.Lines {
		all[fmt.Sprintf("%v %s %s", line.Role, line.Names.US, line.Names.EU)] += cured.Masses()[i]
	}
	return all
}

// binds gives the grams of sodium hydroxide that so much olive and coconut oil bind, by
// the middle of the saponification values of Codex Stan 33 (184 to 196) and of the
// Coconut Community's standard (248 to 265 mg KOH/g).
func binds(olive, coconut float64) float64 {
	return (olive*0.1900 + coconut*0.2565) / inci.MolarMassKOH * inci.MolarMassNaOH
}

const ownPot = "name: Test\nidentity: soap\nsize: {oils: 1 kg}\npot: [{material: house-blend, share: 80%}, {material: castor-oil, share: 20%}]\nlye: {alkali: sodium hydroxide, purity: 98%, superfat: 5%, water: {strength: 33%}}\n"

func houseBlend(t testing.TB) formula.Material {
	return material(t, "house-blend", "name: House blend\nkind: oil blend\nsap: 188 mg KOH/g\nacid_value: 9 mg KOH/g\nunsaponifiable: 6%\ncontains: [{inci: Ricinus Communis (Castor) Seed Oil, share: 10%}, {material: olive-oil, share: 90%}]\n")
}

// The bars of a batch in which there is a premix are those of a formula in which each oil
// of the premix stands with its weight.
func TestPremixIsItsOils(t *testing.T) {
	const lye = "lye: {alkali: sodium hydroxide, purity: 98%, weight: 140 g, water: {weight: 260 g}}\n"
	p1 := batch(t, "P1", "makes: material\nmaterial: house-blend\nweighed: [{material: olive-oil, weight: 3 kg}, {material: coconut-oil, weight: 1 kg}]\n")
	p2 := batch(t, "P2", "makes: material\nmaterial: house-blend\nweighed: [{material: house-blend, weight: 800 g, lot: P1}, {material: coconut-oil, weight: 200 g}]\n")
	rest := ", {material: castor-oil, weight: 200 g}, {material: sodium hydroxide, weight: 140 g}, {material: water, weight: 260 g}]\n"
	for _, tt := range []struct {
		name, blend    string
		olive, coconut float64 // g
	}{
		// 800 g of three parts and one part.
		{"one lot", "{material: house-blend, weight: 800 g, lot: P1}", 600, 200},
		// P2 is 600 g olive and 200 + 200 g coconut oil: 60 and 40 %.
		{"a premix of a premix", "{material: house-blend, weight: 800 g, lot: P2}", 480, 320},
		// 400 g of 75 and 25 %, 400 g of 60 and 40 %.
		{"two lots", "{material: house-blend, weight: 400 g, lot: P1}, {material: house-blend, weight: 400 g, lot: P2}", 540, 260},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := batch(t, "b-1", "formula: test\nweighed: ["+tt.blend+rest)
			got, findings := pourMade(t, ownPot, []formula.Material{houseBlend(t)}, b, p1, p2)
			if len(stops(findings)) > 0 {
				t.Fatal(rules(findings))
			}
			want, findings := pour(t, fmt.Sprintf("name: Test\nidentity: soap\npot: [{material: olive-oil, weight: %v g}, {material: coconut-oil, weight: %v g}, {material: castor-oil, weight: 200 g}]\n", tt.olive, tt.coconut)+lye)
			if want == nil {
				t.Fatal(rules(findings))
			}
			if math.Abs(got.Superfat()-want.Superfat()) > 1e-9 || math.Abs(got.Fats-want.Fats) > 1e-9 || math.Abs(got.Mass()-want.Mass()) > 1e-9 {
				t.Errorf("superfat %.12f, fats %.12f mol, mass %.9f g; want %.12f, %.12f, %.9f", got.Superfat(), got.Fats, got.Mass(), want.Superfat(), want.Fats, want.Mass())
			}
			lines, expected := linesOf(t, got), linesOf(t, want)
			if len(lines) != len(expected) {
				t.Errorf("lines %v, want %v", lines, expected)
			}
			for what, mass := range expected {
				if mine, ok := lines[what]; !ok || math.Abs(mine-mass) > 1e-9 {
					t.Errorf("%s: %.12f g, want %.12f g", what, mine, mass)
				}
			}
		})
	}
	// The document of the blend, by which none of this is true, holds for a lot that was bought.
	b := batch(t, "b-1", "formula: test\nweighed: [{material: house-blend, weight: 800 g, lot: HB-1}"+strings.Replace(rest, "140 g", "130 g", 1))
	got, findings := pourMade(t, ownPot, []formula.Material{houseBlend(t)}, b, p1)
	if got == nil || len(stops(findings)) > 0 {
		t.Fatal(rules(findings))
	}
	for what := range linesOf(t, got) {
		if strings.Contains(what, "Coco") {
			t.Errorf("there is %s in a blend without coconut oil", what)
		}
	}
}

// The alkali in a lye that the maker mixed is that which was weighed into it.
func TestMasterLyeIsItsWeights(t *testing.T) {
	own := []formula.Material{material(t, "lye-50", "name: Master lye\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: 50%\n")}
	l1 := batch(t, "L1", "makes: material\nmaterial: lye-50\nweighed: [{material: sodium hydroxide, weight: 400 g}, {material: water, weight: 500 g}]\n")
	b := batch(t, "b-1", "formula: test\nweighed: [{material: olive-oil, weight: 1 kg}, {material: lye-50, weight: 270 g, lot: L1}]\n")
	got, findings := pourMade(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1 kg}]\nlye: {solution: lye-50, superfat: 5%}\n", own, b, l1)
	if got == nil || len(stops(findings)) > 0 {
		t.Fatal(rules(findings))
	}
	// 270 g · 4/9 = 120 g of hydroxide, where 1000 g of olive oil bind 135.449 g: 11.41 % stay.
	// The strength is a whole number of parts in 10⁹.
	if want := 1 - 120/binds(1000, 0); math.Abs(got.Alkalis[0].Pure-120) > 1e-6 || math.Abs(got.Superfat()-want) > 1e-8 {
		t.Errorf("%.9f g of hydroxide, superfat %.9f; want 120 g and %.9f", got.Alkalis[0].Pure, got.Superfat(), want)
	}
}

const twoOils = "name: Test\nidentity: soap\nsize: {oils: 1 kg}\npot: [{material: olive-oil, share: 70%}, {material: coconut-oil, share: 30%}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {per_lye: 2}}\n"

// A slip at the scale stops, and more oil in the batch that takes it up heals it.
func TestReworkHeals(t *testing.T) {
	const old = "formula: test\nweighed: [{material: olive-oil, weight: 700 g}, {material: coconut-oil, weight: 300 g}, {material: sodium hydroxide, weight: 160 g}]\n"
	for _, tt := range []struct {
		name           string
		batches        []formula.Batch
		olive, coconut float64 // g in all
		alkali         float64
		heavy          bool
	}{
		// 700 g olive and 300 g coconut oil bind 149.67 g: 160 g are 6.9 % too much.
		{"the slip", []formula.Batch{batch(t, "b-1", old)}, 700, 300, 160, true},
		// 100 g more olive oil bind 13.54 g: 163.22 g in all, and 1.97 % of the oils stay.
		{"with more oil", []formula.Batch{batch(t, "b-1", "formula: test\nweighed: [{batch: b-0}, {material: olive-oil, weight: 100 g}]\n"), batch(t, "b-0", old)}, 800, 300, 160, false},
		// 50 g bind 6.77 g: 156.44 g in all are not enough.
		{"with too little oil", []formula.Batch{batch(t, "b-1", "formula: test\nweighed: [{batch: b-0}, {material: olive-oil, weight: 50 g}]\n"), batch(t, "b-0", old)}, 750, 300, 160, true},
		// The second rework has 50 g more olive and 100 g more coconut oil, and 5 g more lye:
		// 800 and 400 g bind 181.50 g, and 165 g leave 9.09 % of the oils.
		{"twice", []formula.Batch{
			batch(t, "b-1", "formula: test\nweighed: [{batch: b-2}, {material: coconut-oil, weight: 100 g}, {material: olive-oil, weight: 50 g}, {material: sodium hydroxide, weight: 5 g}]\n"),
			batch(t, "b-2", "formula: test\nweighed: [{batch: b-0}, {material: olive-oil, weight: 50 g}]\n"), batch(t, "b-0", old),
		}, 800, 400, 165, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, findings := pourMade(t, twoOils, nil, tt.batches...)
			if got == nil {
				t.Fatal(rules(findings))
			}
			if want := 1 - tt.alkali/binds(tt.olive, tt.coconut); math.Abs(got.Superfat()-want) > 1e-9 || (want < 0) != tt.heavy {
				t.Errorf("superfat %.9f, want %.9f", got.Superfat(), want)
			}
			if heavy := strings.Contains(rules(findings), "stop BAR-LYE-HEAVY"); heavy != tt.heavy || len(stops(findings)) > 0 != tt.heavy {
				t.Errorf("heavy %t, want %t:\n%s", heavy, tt.heavy, rules(findings))
			}
			if _, err := got.Cured(bar.Unweighed); errors.Is(err, bar.ErrLyeHeavy) != tt.heavy {
				t.Errorf("cured: %v", err)
			}
		})
	}
}

// However a batch came about by way of others, it is lye-heavy just if all that was
// weighed of alkali is more than all the oils bind.
func TestReworkIsLyeHeavyByItsSum(t *testing.T) {
	f := read(t, twoOils)
	at := finding.Pos{File: "batches/b.yaml", Line: 1, Col: 1}
	rapid.Check(t, func(t *rapid.T) {
		var batches []formula.Batch
		oils, alkali := [2]float64{}, 0.0
		for i := range rapid.IntRange(1, 4).Draw(t, "batches") {
			b := formula.Batch{Code: formula.Text{V: fmt.Sprint("b-", i), At: at}, Formula: formula.Text{V: "test", At: at}}
			weigh := func(name string, most int) float64 {
				grams := rapid.IntRange(1, most).Draw(t, name)
				b.Weighed = append(b.Weighed, formula.Weighed{Material: formula.Text{V: name, At: at}, Weight: formula.Mass{V: measure.Mass(grams) * measure.Gram, At: at}})
				return float64(grams)
			}
			oils[0] += weigh("olive-oil", 1000)
			oils[1] += weigh("coconut-oil", 1000)
			alkali += weigh("sodium hydroxide", 300)
			if i > 0 {
				b.Weighed = append(b.Weighed, formula.Weighed{Batch: batches[0].Code})
				b.Weighed[3].Batch.At = at
			}
			batches = append([]formula.Batch{b}, batches...)
		}
		need := binds(oils[0], oils[1])
		m, ok := formula.NewLibrary(nil).WithBatches(batches, func(string) (formula.Formula, bool) { return f, true }).Making(batches[0], nil)
		if !ok || len(m.Findings) > 0 {
			t.Fatalf("known %t:\n%s", ok, rules(m.Findings))
		}
		b, findings := bar.PourMade(m)
		if b == nil {
			t.Fatal(rules(findings))
		}
		if math.Abs(b.Superfat()-(1-alkali/need)) > 1e-9 {
			t.Fatalf("superfat %.12f, want %.12f", b.Superfat(), 1-alkali/need)
		}
		if math.Abs(alkali-need) < 1e-6 {
			return // nobody weighs so well
		}
		if heavy := strings.Contains(rules(findings), "stop BAR-LYE-HEAVY"); heavy != (alkali > need) {
			t.Fatalf("heavy %t, with %.6f g of alkali where the oils bind %.6f g", heavy, alkali, need)
		}
	})
}

const (
	heavyBatch = "formula: test\nweighed: [{material: olive-oil, weight: 700 g}, {material: coconut-oil, weight: 300 g}, {material: sodium hydroxide, weight: 160 g}]\n"
	passed     = "  - {date: 2026-12-20, what: tested, method: phenolphthalein, value: no pink, who: Ada}\n"
	let        = "  - {date: 2026-12-21, what: released, who: Ben}\n"
)

// A batch with too much alkali by its weights that was tested, and released after it, is
// taken to have the lye that was asked for. What was made wrongly by its formula is not.
func TestReleasedAfterATest(t *testing.T) {
	heavyFormula := strings.Replace(twoOils, "superfat: 5%", "weight: 160 g", 1)
	for _, tt := range []struct {
		name, formula, batch string
		superfat             float64
		want                 string // the rules of stops, and that of the release
	}{
		{"not released", twoOils, heavyBatch + "events:\n" + passed, 1 - 160/binds(700, 300), "5:15 stop BAR-LYE-HEAVY"},
		{"not tested", twoOils, heavyBatch + "events:\n" + let, 1 - 160/binds(700, 300), "5:15 stop BAR-LYE-HEAVY"},
		{"a failed test", twoOils, heavyBatch + "events:\n" + strings.Replace(passed, "tested", "tested, failed: true", 1) + let, 1 - 160/binds(700, 300), "5:15 stop BAR-LYE-HEAVY"},
		{"tested and released", twoOils, heavyBatch + "events:\n" + passed + let, 0.05, "7:30 warn BAR-RELEASED"},
		{"a batch that is not heavy", twoOils, strings.Replace(heavyBatch, "160 g", "140 g", 1) + "events:\n" + passed + let, 1 - 140/binds(700, 300), ""},
		// By the formula, 160 g go with 1000 g of oils.
		{"a formula that is heavy", heavyFormula, heavyBatch + "events:\n" + passed + let, 1 - 160/binds(700, 300), "5:15 stop BAR-LYE-HEAVY, 7:30 warn BAR-RELEASED"},
		// 140 g were asked for with 1000 g, so 70 g with 500 g.
		{"a typed weight of lye, for half the oils", strings.Replace(twoOils, "superfat: 5%", "weight: 140 g", 1),
			strings.NewReplacer("700 g", "350 g", "300 g", "150 g", "160 g", "90 g").Replace(heavyBatch) + "events:\n" + passed + let, 1 - 70/binds(350, 150), "7:30 warn BAR-RELEASED"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, findings := pourMade(t, tt.formula, nil, batch(t, "b-1", tt.batch))
			if b == nil {
				t.Fatal(rules(findings))
			}
			if math.Abs(b.Superfat()-tt.superfat) > 1e-9 {
				t.Errorf("superfat %.9f, want %.9f", b.Superfat(), tt.superfat)
			}
			var got []string
			for _, x := range findings {
				if x.Level != finding.Stop && x.Rule != bar.RuleReleased {
					continue
				}
				// The alkali that is heavy stands in the formula, the release in the batch.
				if got = append(got, rules([]finding.Finding{x})); x.Remedy == "" {
					t.Errorf("no remedy: %s", x.Text())
				}
				if x.Rule == bar.RuleReleased && (x.At.File != "batches/b-1.yaml" || !strings.Contains(x.Message, "Ben") || !strings.Contains(x.Message, "6.9 % too much") && !strings.Contains(tt.name, "half")) {
					t.Errorf("%s: %s", x.At, x.Message)
				}
			}
			if strings.Join(got, ", ") != tt.want {
				t.Errorf("findings %s, want %s", strings.Join(got, ", "), tt.want)
			}
		})
	}
}

// A release says nothing of any other stop.
func TestReleaseIsOfLyeAlone(t *testing.T) {
	b, findings := pourMade(t, twoOils+"add: [{material: moon-dust, share: 1%}]\n", nil, batch(t, "b-1", heavyBatch+"events:\n"+passed+let))
	if got := rules(findings); b != nil || got != "6:18 stop BAR-MATERIAL" {
		t.Errorf("poured %t:\n%s", b != nil, got)
	}
}

// Bars with too much alkali are no crumbs for others, unless they were tested and released.
func TestReleasedBarsAsCrumbs(t *testing.T) {
	for events, stopped := range map[string]bool{"": true, "events:\n" + passed + let: false} {
		f := read(t, twoOils)
		old := batch(t, "old", heavyBatch+events)
		l := formula.NewLibrary(nil).WithBatches([]formula.Batch{old}, func(string) (formula.Formula, bool) { return f, true })
		b, findings := bar.Pour(read(t, twoOils+"add: [{batch: old, weight: 100 g}]\n"), l)
		if got := len(stops(findings)) > 0; got != stopped || (b == nil) != stopped || stopped && !strings.Contains(rules(findings), "stop BAR-CRUMBS") {
			t.Errorf("%q: poured %t:\n%s", events, b != nil, rules(findings))
		}
	}
}
