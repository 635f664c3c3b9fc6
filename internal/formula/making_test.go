package formula_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// aBatch reads a batch that must have no findings. The rest is what stands below the
// code and the day.
func aBatch(t testing.TB, code, rest string) formula.Batch {
	t.Helper()
	b, findings, err := formula.ReadBatch("batches/"+code+".yaml", []byte("code: "+code+"\nmade: 2026-11-26\n"+rest))
	if err != nil || len(findings) > 0 {
		t.Fatalf("%s: %v, findings %v", rest, err, findings)
	}
	return b
}

// premix gives a batch that makes a material.
func premix(t testing.TB, code, material string, lines ...string) formula.Batch {
	t.Helper()
	return aBatch(t, code, "makes: material\nmaterial: "+material+"\nweighed:\n"+listed(lines))
}

// bars gives a batch of the formula x.
func bars(t testing.TB, code string, lines ...string) formula.Batch {
	t.Helper()
	return aBatch(t, code, "formula: x\nweighed:\n"+listed(lines))
}

func listed(lines []string) string {
	var b strings.Builder
	for _, line := range lines {
		b.WriteString("  - {" + line + "}\n")
	}
	return b.String()
}

// bought gives the materials that the tests buy or mix.
func bought(t testing.TB) []formula.Material {
	t.Helper()
	var all []formula.Material
	for id, text := range map[string]string{
		"house-blend":   "name: House blend\nkind: oil blend\nsap: 200 mg KOH/g\ncontains: [{material: olive-oil, share: 50%}, {material: coconut-oil, share: 50%}]\n",
		"rich-blend":    "name: Rich blend\nkind: oil blend\ncontains: [{material: castor-oil, share: 60%}, {material: house-blend, share: 40%}]\n",
		"lye-50":        "name: Master lye\nkind: lye solution\ninci: Sodium Hydroxide\nstrength: 50%\n",
		"calendula-oil": "name: Calendula oil\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\nsap: 188 mg KOH/g\n",
	} {
		m, findings, err := formula.ReadMaterial("materials/"+id+".yaml", []byte(text))
		if err != nil || len(findings) > 0 {
			t.Fatalf("%s: %v, findings %v", id, err, findings)
		}
		all = append(all, m)
	}
	return all
}

// making gives how the first of these batches was made, all by the formula x.
func making(t testing.TB, text string, batches ...formula.Batch) formula.Making {
	t.Helper()
	x := readFormula(t, text)
	l := formula.NewLibrary(bought(t)).WithBatches(batches, func(id string) (formula.Formula, bool) { return x, id == "x" })
	m, ok := l.Making(batches[0], nil)
	if !ok {
		t.Fatal("the formula is not known")
	}
	return m
}

// leaves gives what is in a material in the end: shares of things that contain nothing.
func leaves(t testing.TB, l formula.Library, name string) map[string]float64 {
	t.Helper()
	all := map[string]float64{}
	var add func(name string, share float64, depth int)
	add = func(name string, share float64, depth int) {
		m, ok := l.Find(name)
		switch {
		case !ok:
			t.Fatalf("there is no material %q", name)
		case depth > formula.MostNested:
			t.Fatalf("%q contains itself", name)
		case len(m.Contains) == 0:
			all[strings.TrimSuffix(m.ID, "-as-bought")] += share
		}
		for _, c := range m.Contains {
			if !c.Share.V.IsPoint() {
				t.Fatalf("%q in %q has the share %v", c.Material.V, name, c.Share.V)
			}
			add(c.Material.V, share*c.Share.V.Low.Fraction(), depth+1)
		}
	}
	add(name, 1, 0)
	return all
}

// ruled gives findings as "file:line:col level RULE", with commas between them.
func ruled(findings []finding.Finding) string {
	var all []string
	for _, f := range findings {
		all = append(all, fmt.Sprintf("%s:%d:%d %s %s", f.At.File, f.At.Line, f.At.Col, f.Level, f.Rule))
	}
	return strings.Join(all, ", ")
}

// days lets days be compared.
var days = cmpopts.EquateComparable(day.Day{})

const (
	blended = "name: a\nidentity: soap\nsize: {oils: 1 kg}\npot: [{material: house-blend, share: 80%}, {material: castor-oil, share: 20%}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\n"
	both    = "name: a\nidentity: soap\npot: [{material: house-blend, weight: 500 g}, {material: rich-blend, weight: 500 g}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\n"
	rich    = "name: a\nidentity: soap\npot: [{material: rich-blend, weight: 800 g}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\n"
)

// The lot of a line is the code of a batch that made the material: the material is then
// what that batch was weighed from, whatever its document says.
func TestMakingOfOwnMaterials(t *testing.T) {
	p1 := premix(t, "P1", "house-blend", "material: olive-oil, weight: 750 g", "material: coconut-oil, weight: 250 g") // 75 and 25 %
	p2 := premix(t, "P2", "house-blend", "material: olive-oil, weight: 400 g", "material: coconut-oil, weight: 600 g") // 40 and 60 %
	rest := []string{"material: castor-oil, weight: 200 g", "material: sodium hydroxide, weight: 130 g"}
	for _, tt := range []struct {
		name, formula, material string
		lines                   []string
		others                  []formula.Batch
		want                    map[string]float64
	}{
		{"a premix", blended, "House blend", append(rest, "material: house-blend, weight: 800 g, lot: P1"), nil,
			map[string]float64{"olive-oil": 0.75, "coconut-oil": 0.25}},
		{"a lot that was bought", blended, "house-blend", append(rest, "material: house-blend, weight: 800 g, lot: HB-2211"), nil,
			map[string]float64{"olive-oil": 0.5, "coconut-oil": 0.5}},
		// Olive oil: 600 · 0.75 + 200 · 0.5 = 550 g of 800 g.
		{"one own lot, one bought", blended, "house-blend", append(rest, "material: house-blend, weight: 600 g, lot: P1", "material: house blend, weight: 200 g, lot: HB-2211"), nil,
			map[string]float64{"olive-oil": 0.6875, "coconut-oil": 0.3125}},
		{"one own lot, and one without a lot", blended, "house-blend", append(rest, "material: house-blend, weight: 200 g", "material: house blend, weight: 600 g, lot: P1"), nil,
			map[string]float64{"olive-oil": 0.6875, "coconut-oil": 0.3125}},
		// Olive oil: 600 · 0.75 + 200 · 0.40 = 530 g of 800 g.
		{"two own lots", blended, "house-blend", append(rest, "material: house-blend, weight: 600 g, lot: P1", "material: house blend, weight: 200 g, lot: P2"), nil,
			map[string]float64{"olive-oil": 0.6625, "coconut-oil": 0.3375}},
		// 500 g of P1 are 375 g olive and 125 g coconut oil, beside 300 g castor oil: of 800 g.
		{"a premix of a premix", rich, "rich-blend", []string{"material: rich-blend, weight: 800 g, lot: P3", rest[1]},
			[]formula.Batch{premix(t, "P3", "rich-blend", "material: house-blend, weight: 500 g, lot: P1", "material: castor-oil, weight: 300 g")},
			map[string]float64{"olive-oil": 0.46875, "coconut-oil": 0.15625, "castor-oil": 0.375}},
		// 500 g of P1 with 500 g more coconut oil: 375 g olive, 625 g coconut oil.
		{"a premix of the same material", blended, "house-blend", append(rest, "material: house-blend, weight: 800 g, lot: P4"),
			[]formula.Batch{premix(t, "P4", "house-blend", "material: house-blend, weight: 500 g, lot: P1", "material: coconut-oil, weight: 500 g")},
			map[string]float64{"olive-oil": 0.375, "coconut-oil": 0.625}},
		// 200 g as bought (100 g olive oil), 300 g of P1 (225 g), 500 g of P2 (200 g): 525 g of 1 kg.
		{"a premix of several lots of the same material", blended, "house-blend", append(rest, "material: house-blend, weight: 800 g, lot: P5"),
			[]formula.Batch{premix(t, "P5", "house-blend", "material: house-blend, weight: 200 g, lot: HB-1", "material: house-blend, weight: 300 g, lot: P1", "material: house-blend, weight: 500 g, lot: P2")},
			map[string]float64{"olive-oil": 0.525, "coconut-oil": 0.475}},
		// P7 is half P6, which is half P1: 37.5 % olive and 12.5 % coconut oil of half of it.
		{"a premix of a premix of a premix", blended, "house-blend", append(rest, "material: house-blend, weight: 800 g, lot: P7"),
			[]formula.Batch{
				premix(t, "P6", "rich-blend", "material: house-blend, weight: 100 g, lot: P1", "material: castor-oil, weight: 100 g"),
				premix(t, "P7", "house-blend", "material: rich-blend, weight: 100 g, lot: P6", "material: olive-oil, weight: 100 g"),
			},
			map[string]float64{"olive-oil": 0.6875, "coconut-oil": 0.0625, "castor-oil": 0.25}},
		// P1 in the pot says nothing of the bought lot in P10: 400 g of it are half olive oil.
		{"a bought lot in a premix, beside an own one in the pot", both, "rich-blend", []string{"material: house-blend, weight: 500 g, lot: P1", "material: rich-blend, weight: 500 g, lot: P10", rest[1]},
			[]formula.Batch{premix(t, "P10", "rich-blend", "material: house-blend, weight: 400 g, lot: HB-9", "material: castor-oil, weight: 600 g")},
			map[string]float64{"olive-oil": 0.2, "coconut-oil": 0.2, "castor-oil": 0.6}},
		{"a premix that does not say what it made", blended, "house-blend", append(rest, "material: house-blend, weight: 800 g, lot: P8"),
			[]formula.Batch{aBatch(t, "P8", "makes: material\nweighed: [{material: olive-oil, weight: 3 kg}, {material: coconut-oil, weight: 1 kg}]\n")},
			map[string]float64{"olive-oil": 0.75, "coconut-oil": 0.25}},
		{"a mixture of one thing", blended, "house-blend", append(rest, "material: house-blend, weight: 800 g, lot: P9"),
			[]formula.Batch{premix(t, "P9", "house-blend", "material: olive-oil, weight: 3 kg")}, map[string]float64{"olive-oil": 1}},
		{"a material that is nothing but its lots", rich, "rich-blend", []string{"material: rich-blend, weight: 800 g, lot: RB-7", rest[1]}, nil,
			map[string]float64{"castor-oil": 0.6, "olive-oil": 0.2, "coconut-oil": 0.2}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := making(t, tt.formula, append([]formula.Batch{bars(t, "b-1", tt.lines...), p1, p2}, tt.others...)...)
			want := ""
			if tt.name == "a mixture of one thing" { // its document has coconut oil in it
				want = "batches/b-1.yaml:7:49 warn FORM-OWN-UNSURE"
			}
			if got := ruled(m.Findings); got != want {
				t.Errorf("findings %s, want %q", got, want)
			}
			got := leaves(t, m.Library, tt.material)
			for id, want := range tt.want {
				if math.Abs(got[id]-want) > 1e-9 || len(got) != len(tt.want) {
					t.Fatalf("%q is made of %v, want %v", tt.material, got, tt.want)
				}
			}
			if own, _ := m.Library.Find(tt.material); own.Kind != formula.KindOilBlend || own.SAP != nil && tt.name != "a lot that was bought" {
				t.Errorf("the kind is %q, the saponification value %v", own.Kind, own.SAP)
			}
			// What this batch was made of says nothing of the shop.
			if before, _ := formula.NewLibrary(bought(t)).Find(tt.material); before.Contains[0].Share.V.Low != measure.Whole/2 && before.Contains[0].Share.V.Low != 60*measure.Percent {
				t.Errorf("the material of the shop is now %+v", before)
			}
		})
	}
}

// Any mixture of own lots and bought ones is made of what went into it, by weight.
func TestMakingMixesByWeight(t *testing.T) {
	materials := bought(t)
	x := readFormula(t, blended)
	at := finding.Pos{File: "batches/b-1.yaml", Line: 1, Col: 1}
	rapid.Check(t, func(t *rapid.T) {
		grams := func(label string) float64 { return float64(rapid.IntRange(1, 5000).Draw(t, label)) }
		line := func(material, lot string, g float64) formula.Weighed {
			return formula.Weighed{Material: formula.Text{V: material, At: at}, Lot: formula.Text{V: lot, At: at}, Weight: formula.Mass{V: measure.Mass(g * 1e9), At: at}}
		}
		batches := []formula.Batch{{Code: formula.Text{V: "b-1", At: at}, Formula: formula.Text{V: "x", At: at}}}
		olive := map[string]float64{"bought": 0.5} // the share of olive oil, by lot
		lots := []string{"bought"}
		for i := range rapid.IntRange(1, 5).Draw(t, "premixes") {
			code := fmt.Sprintf("P%d", i)
			from := rapid.SampledFrom(lots).Draw(t, "from")
			inner, more := grams("of a lot"), grams("olive oil")
			olive[code] = (inner*olive[from] + more) / (inner + more)
			lots = append(lots, code)
			batches = append(batches, formula.Batch{
				Code: formula.Text{V: code, At: at}, Makes: formula.Text{V: "material", At: at}, Material: formula.Text{V: "house-blend", At: at},
				Weighed: []formula.Weighed{line("house-blend", from, inner), line("olive-oil", "", more)},
			})
		}
		total, oil := 0.0, 0.0
		for range rapid.IntRange(1, 3).Draw(t, "lines") {
			lot, g := rapid.SampledFrom(lots).Draw(t, "lot"), grams("into the pot")
			total, oil = total+g, oil+g*olive[lot]
			batches[0].Weighed = append(batches[0].Weighed, line("house-blend", lot, g))
		}
		m, _ := formula.NewLibrary(materials).WithBatches(batches, func(id string) (formula.Formula, bool) { return x, true }).Making(batches[0], nil)
		got := map[string]float64{}
		var add func(name string, share float64, depth int)
		add = func(name string, share float64, depth int) {
			material, ok := m.Library.Find(name)
			if !ok || depth > 20 {
				t.Fatalf("%q: found %t, %d deep", name, ok, depth)
			}
			if len(material.Contains) == 0 {
				got[material.ID] += share
			}
			for _, c := range material.Contains {
				add(c.Material.V, share*c.Share.V.Low.Fraction(), depth+1)
			}
		}
		add("house-blend", 1, 0)
		if math.Abs(got["olive-oil"]-oil/total) > 1e-7 || math.Abs(got["olive-oil"]+got["coconut-oil"]-1) > 1e-7 {
			t.Fatalf("made of %v, want %.9f olive oil", got, oil/total)
		}
	})
}

// The strength of a lye that the maker mixed is that of its weights.
func TestMakingOfAMasterLye(t *testing.T) {
	const text = "name: a\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {solution: lye-50, superfat: 5%}\n"
	l1 := premix(t, "L1", "lye-50", "material: sodium hydroxide, weight: 400 g", "material: water, weight: 500 g")
	for _, tt := range []struct {
		name  string
		lines []string
		other []formula.Batch
		want  float64
	}{
		{"bought", []string{"material: lye-50, weight: 270 g, lot: NL-3"}, nil, 0.5},
		{"mixed", []string{"material: lye-50, weight: 270 g, lot: L1"}, nil, 400.0 / 900},
		// 300 g with 133.333 g of hydroxide, and 100 g with 50 g.
		{"mixed and bought", []string{"material: lye-50, weight: 300 g, lot: L1", "material: lye 50, weight: 100 g, lot: NL-3"}, nil, (300.0*400/900 + 50) / 400},
		// 450 g with 200 g of hydroxide in it, and 50 g more water: 200 g of 500 g.
		{"thinned", []string{"material: lye-50, weight: 300 g, lot: L2"}, []formula.Batch{premix(t, "L2", "lye-50", "material: lye-50, weight: 450 g, lot: L1", "material: water, weight: 50 g")}, 0.4},
		// 400 g of 50 % and 100 g of water: 200 g of 500 g.
		{"bought and thinned", []string{"material: lye-50, weight: 300 g, lot: L3"}, []formula.Batch{premix(t, "L3", "lye-50", "material: lye-50, weight: 400 g, lot: NL-3", "material: water, weight: 100 g")}, 0.4},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := bars(t, "b-1", append(tt.lines, "material: olive-oil, weight: 1 kg")...)
			m := making(t, text, append([]formula.Batch{b, l1}, tt.other...)...)
			lye, _ := m.Library.Find("lye-50")
			if got := lye.Strength.V.Fraction(); math.Abs(got-tt.want) > 2e-9 || lye.Kind != formula.KindLyeSolution || lye.INCI.V != "Sodium Hydroxide" {
				t.Errorf("%s %q of a strength of %.9f, want %.9f", lye.Kind, lye.INCI.V, got, tt.want)
			}
			if len(m.Findings) > 0 {
				t.Errorf("findings %s", ruled(m.Findings))
			}
		})
	}
}

// What a batch that made a material does not tell is taken from the document of it.
func TestMakingThatIsNotKnown(t *testing.T) {
	const infused = "name: a\nidentity: soap\npot: [{material: calendula-oil, weight: 1 kg}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\n"
	alkali := "material: sodium hydroxide, weight: 130 g"
	for _, tt := range []struct {
		name, formula, material string
		lines                   []string
		others                  []formula.Batch
		want                    string
		leaves                  map[string]float64
	}{
		{"flowers that are strained out", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: I1", alkali},
			[]formula.Batch{premix(t, "I1", "calendula-oil", "material: olive-oil, weight: 900 g", "material: calendula flowers, weight: 90 g, stays: 0%")},
			"", map[string]float64{"calendula-oil": 1}},
		// The line of the pot begins on line 5 of its file.
		{"an open weight", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: I2", alkali},
			[]formula.Batch{premix(t, "I2", "calendula-oil", "material: olive-oil, weight: 900 g", "material: castor-oil, lot: C1")},
			"batches/b-1.yaml:5:50 stop FORM-OWN-UNSURE", map[string]float64{"calendula-oil": 1}},
		{"own bars in a material", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: I3", alkali},
			[]formula.Batch{premix(t, "I3", "calendula-oil", "material: olive-oil, weight: 900 g", "batch: old, weight: 9 g")},
			"batches/b-1.yaml:5:50 stop FORM-OWN-UNSURE", map[string]float64{"calendula-oil": 1}},
		{"a batch that made something else", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: P1", alkali},
			[]formula.Batch{premix(t, "P1", "house-blend", "material: olive-oil, weight: 900 g")},
			"batches/b-1.yaml:5:50 stop FORM-OWN-LOT", map[string]float64{"calendula-oil": 1}},
		{"a batch that made bars", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: b-0", alkali},
			[]formula.Batch{bars(t, "b-0", "material: olive-oil, weight: 900 g")},
			"batches/b-1.yaml:5:50 stop FORM-OWN-LOT", map[string]float64{"calendula-oil": 1}},
		{"a batch that is made of itself", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: I4", alkali},
			[]formula.Batch{premix(t, "I4", "calendula-oil", "material: calendula-oil, weight: 900 g, lot: I4")},
			"batches/I4.yaml:6:51 stop FORM-OWN-LOT", map[string]float64{"calendula-oil": 1}},
		{"two batches that are made of each other", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: I5", alkali},
			[]formula.Batch{
				premix(t, "I5", "calendula-oil", "material: house-blend, weight: 900 g, lot: I6"),
				premix(t, "I6", "house-blend", "material: calendula-oil, weight: 900 g, lot: I5"),
			},
			"batches/I5.yaml:6:49 warn FORM-OWN-UNSURE, batches/I6.yaml:6:51 stop FORM-OWN-LOT", nil},
		{"the batch itself", infused, "calendula-oil", []string{"material: calendula-oil, weight: 1 kg, lot: b-1", alkali}, nil,
			"batches/b-1.yaml:5:50 stop FORM-OWN-LOT", map[string]float64{"calendula-oil": 1}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := making(t, tt.formula, append([]formula.Batch{bars(t, "b-1", tt.lines...)}, tt.others...)...)
			if got := ruled(m.Findings); got != tt.want {
				t.Errorf("findings %s, want %s", got, tt.want)
			}
			if got := leaves(t, m.Library, tt.material); tt.leaves != nil && !cmp.Equal(got, tt.leaves) {
				t.Errorf("made of %v, want %v", got, tt.leaves)
			}
			for _, x := range m.Findings {
				if x.Remedy == "" {
					t.Errorf("no remedy: %s", x.Text())
				}
			}
		})
	}
}

// A premix is worked out once, however many ways lead to it: each of these is weighed
// twice from the one before it.
func TestMakingOfManyPremixesEnds(t *testing.T) {
	batches := []formula.Batch{bars(t, "b-1", "material: house-blend, weight: 800 g, lot: P30", "material: castor-oil, weight: 200 g", "material: sodium hydroxide, weight: 130 g")}
	for i := range 31 {
		from := fmt.Sprintf("material: house-blend, weight: 100 g, lot: P%d", i-1)
		batches = append(batches, premix(t, fmt.Sprintf("P%d", i), "house-blend", from, from))
	}
	done := make(chan bool)
	go func() { making(t, blended, batches...); done <- true }()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("this does not end")
	}
}

const plainly = "name: a\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {per_lye: 2}}\n"

// A batch that is worked again in another is part of it, with all its lines.
func TestRework(t *testing.T) {
	old := bars(t, "old", "material: olive-oil, weight: 1000 g", "material: sodium hydroxide, weight: 128 g", "material: water, weight: 250 g")
	older := bars(t, "older", "material: olive-oil, weight: 500 g", "material: sodium hydroxide, weight: 90 g")
	for _, tt := range []struct {
		name, formula string
		lines         []string
		others        []formula.Batch
		oils, lye     float64 // g
		want          string
	}{
		{"whole", plainly, []string{"batch: old", "material: olive-oil, weight: 100 g"}, nil, 1100, 128, ""},
		{"whole, after its water left", plainly, []string{"batch: old, weight: 1128 g", "material: olive-oil, weight: 100 g"}, nil, 1100, 128, ""},
		{"a part", plainly, []string{"batch: old, weight: 1127.9 g", "material: olive-oil, weight: 100 g"}, nil, 1100, 128, "batches/b-1.yaml:5:26 stop FORM-REWORK"},
		// 500 + 300 + 100 g of oil, 90 + 20 + 10 g of alkali.
		{"a chain", plainly, []string{"batch: mid", "material: olive-oil, weight: 100 g", "material: sodium hydroxide, weight: 10 g"},
			[]formula.Batch{older, bars(t, "mid", "batch: older", "material: olive-oil, weight: 300 g", "material: sodium hydroxide, weight: 20 g")}, 900, 120, ""},
		// 910 g are what there is of oils and alkali in the batch and in the one that went into it.
		{"a part of a chain", plainly, []string{"batch: mid, weight: 909 g"},
			[]formula.Batch{older, bars(t, "mid", "batch: older", "material: olive-oil, weight: 300 g", "material: sodium hydroxide, weight: 20 g")}, 800, 110, "batches/b-1.yaml:5:26 stop FORM-REWORK"},
		{"two", plainly, []string{"batch: old", "batch: older"}, []formula.Batch{older}, 1500, 218, ""},
		{"weighed in two goes", plainly, []string{"batch: old, weight: 700 g", "batch: old, weight: 600 g"}, nil, 1000, 128, ""},
		{"a part, weighed in two goes", plainly, []string{"batch: old, weight: 700 g", "batch: old, weight: 400 g"}, nil, 1000, 128, "batches/b-1.yaml:6:26 stop FORM-REWORK"},
		{"in itself", plainly, []string{"batch: b-1", "material: olive-oil, weight: 100 g", "material: sodium hydroxide, weight: 10 g"}, nil, 100, 10, "batches/b-1.yaml:5:13 stop FORM-REWORK"},
		{"in itself by way of another", plainly, []string{"batch: mid", "material: olive-oil, weight: 100 g"},
			[]formula.Batch{bars(t, "mid", "batch: b-1", "material: olive-oil, weight: 300 g", "material: sodium hydroxide, weight: 20 g")}, 400, 20, "batches/mid.yaml:5:13 stop FORM-REWORK"},
		{"one batch in two that are worked again", plainly, []string{"batch: left", "batch: right"},
			[]formula.Batch{
				older, bars(t, "left", "batch: older", "material: olive-oil, weight: 300 g", "material: sodium hydroxide, weight: 20 g"),
				bars(t, "right", "batch: older", "material: olive-oil, weight: 200 g", "material: sodium hydroxide, weight: 20 g"),
			}, 1000, 130, "batches/right.yaml:5:13 stop FORM-REWORK"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := making(t, tt.formula, append([]formula.Batch{bars(t, "b-1", tt.lines...), old}, tt.others...)...)
			if got := ruled(m.Findings); got != tt.want {
				t.Errorf("findings %s, want %s", got, tt.want)
			}
			if oils, lye := m.Formula.Pot[0].Weight.V.Grams(), m.Formula.Lye.Weight.V.Grams(); oils != tt.oils || lye != tt.lye {
				t.Errorf("%v g of oils and %v g of alkali, want %v and %v", oils, lye, tt.oils, tt.lye)
			}
		})
	}
}

// Own bars that are in the formula are crumbs in it, and are not worked again; nor are
// bars of another formula, which are not part of this one.
func TestCrumbsAreNotReworked(t *testing.T) {
	lines := []string{"material: olive-oil, weight: 1000 g", "material: sodium hydroxide, weight: 128 g"}
	old := bars(t, "old", lines...)
	m := making(t, plainly+"add: [{batch: old, share: 5%}]\n", bars(t, "b-1", append(lines, "batch: old, weight: 60 g")...), old)
	if m.Formula.Pot[0].Weight.V.Grams() != 1000 || m.Formula.Add[0].Weight.V.Grams() != 60 || len(m.Findings) > 0 {
		t.Errorf("%s\nfindings %s", amounts(m.Formula), ruled(m.Findings))
	}
	other := aBatch(t, "other", "formula: y\nweighed:\n"+listed(lines))
	m = making(t, plainly, bars(t, "b-1", append(lines, "batch: other, weight: 60 g")...), other)
	if got := ruled(m.Findings); m.Formula.Pot[0].Weight.V.Grams() != 1000 || got != "batches/b-1.yaml:7:13 stop FORM-OTHER-THING" {
		t.Errorf("%s\nfindings %s", amounts(m.Formula), got)
	}
}

// A release counts after a test that says how, with what result, and by whom, and that
// was passed.
func TestTestedRelease(t *testing.T) {
	const tested = "date: 2026-12-20, what: tested, method: phenolphthalein, value: no pink, who: Ada"
	const released = "date: 2026-12-21, what: released, who: Ben"
	without := func(key string) string {
		var kept []string
		for _, part := range strings.Split(tested, ", ") {
			if !strings.HasPrefix(part, key+":") {
				kept = append(kept, part)
			}
		}
		return strings.Join(kept, ", ")
	}
	const incomplete = "the test says no method, no value, or not who made it"
	for _, tt := range []struct {
		name    string
		events  []string
		by      string
		missing string
	}{
		{"nothing", nil, "", ""},
		{"tested and released", []string{tested, released}, "Ben", ""},
		{"a test alone", []string{tested}, "", ""},
		{"released alone", []string{released}, "", "there is no test before the release"},
		{"released before the test", []string{strings.Replace(released, "2026-12-21", "2026-12-19", 1), tested}, "", "there is no test before the release"},
		{"written in another order than it happened", []string{released, tested}, "Ben", ""},
		{"a test that failed afterwards", []string{tested, released, strings.Replace(tested, "2026-12-20", "2026-12-22", 1) + ", failed: true"}, "", "the last test failed"},
		{"no method", []string{without("method"), released}, "", incomplete},
		{"no value", []string{without("value"), released}, "", incomplete},
		{"nobody who tested", []string{without("who"), released}, "", incomplete},
		{"a failed test", []string{tested + ", failed: true", released}, "", "the last test failed"},
		{"a test that did not fail", []string{tested + ", failed: false", released}, "Ben", ""},
		{"failed, then passed", []string{tested + ", failed: true", tested, released}, "Ben", ""},
		{"passed, then failed", []string{tested, tested + ", failed: true", released}, "", "the last test failed"},
		{"nobody who released", []string{tested, "date: 2026-12-21, what: released"}, "", "the release says not by whom"},
		{"bars that were held back, one by one", []string{tested, released + ", count: 3"}, "", ""},
		{"some bars, then all", []string{tested, released + ", count: 3", released}, "Ben", ""},
		{"released again with a name", []string{tested, "date: 2026-12-21, what: released", released}, "Ben", ""},
		{"other events between them", []string{tested, "date: 2026-12-20, what: note, note: cured", released, "date: 2026-12-22, what: withheld, count: 2"}, "Ben", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := aBatch(t, "b-1", "formula: x\nevents:\n"+listed(append([]string{"date: 2026-11-27, what: note"}, tt.events...)))
			got, missing := b.TestedRelease()
			if got.Who.V != tt.by || missing != tt.missing {
				t.Errorf("released by %q, missing %q; want %q, %q", got.Who.V, missing, tt.by, tt.missing)
			}
			if tt.by != "" && got.Date.V.String() != "2026-12-21" {
				t.Errorf("the release is %+v", got)
			}
		})
	}
	// A test that was recorded wrongly does not count once it is corrected.
	b := aBatch(t, "b-1", "formula: x\nevents:\n"+listed([]string{without("value"), released, tested + ", corrects: e1", released}))
	if got, _ := b.TestedRelease(); got.ID != "e4" {
		t.Errorf("the release is %+v, want the one after the test", got)
	}
}

// Whatever a released batch has of a typed weight of lye is for the oils that were weighed.
func TestReleasedLyeIsForTheWeighedOils(t *testing.T) {
	events := "events: [{date: 2026-12-20, what: tested, method: pH, value: '9.5', who: Ada}, {date: 2026-12-21, what: released, who: Ben}]\n"
	text := "name: a\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, weight: 128 g, water: {weight: 260 g}, liquids: [{material: goat-milk, weight: 40 g}]}\n"
	b := aBatch(t, "b-1", "formula: x\nweighed: [{material: olive-oil, weight: 500 g}, {material: sodium hydroxide, weight: 90 g}]\n"+events)
	m := making(t, text, b)
	if m.Released.Who.V != "Ben" || m.Formula.Lye.Weight.V.Grams() != 90 {
		t.Fatalf("released by %q; the lye is %v", m.Released.Who.V, m.Formula.Lye.Weight.V.Grams())
	}
	// Half the oils take half the lye, half the water and half the milk.
	l := m.AsReleased.Lye
	if m.AsReleased.Pot[0].Weight.V.Grams() != 500 || l.Weight.V.Grams() != 64 || l.Water.Weight.V.Grams() != 130 || l.Liquids[0].Weight.V.Grams() != 20 {
		t.Errorf("as released:\n%s", amounts(m.AsReleased))
	}
	if m.Recipe.Lye.Liquids[0].Weight.V.Grams() != 40 {
		t.Errorf("the recipe is now\n%s", amounts(m.Recipe))
	}
}

// What is open of the pot and the alkali is taken as it is asked for, in the place of the
// lines of the same things.
func TestMakingAssumes(t *testing.T) {
	const text = "name: a\nidentity: soap\nsize: {oils: 1 kg}\npot: [{material: olive-oil, share: 80%}, {material: castor-oil, share: 20%}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\nadd: [{material: scent, share: 2%}]\n"
	x := readFormula(t, text)
	at := finding.Pos{File: "batches/b-1.yaml", Line: 1, Col: 1}
	weight := func(name string, g int64) formula.Weighed {
		return formula.Weighed{Material: formula.Text{V: name, At: at}, Weight: formula.Mass{V: measure.Mass(g) * measure.Gram, At: at}}
	}
	for _, tt := range []struct {
		name        string
		lines       []string
		open        []string
		assumed     []formula.Weighed
		want        []string // lines of the making
		oils, other float64  // g in the pot
		findings    string
	}{
		{"some lots are open", []string{"material: olive-oil, weight: 790 g", "material: castor oil, lot: C1", "material: castor oil, weight: 60 g, lot: C2", "material: scent, lot: S1"},
			[]string{"castor-oil", "sodium hydroxide"}, []formula.Weighed{weight("castor-oil", 200), weight("sodium-hydroxide", 131)},
			[]string{"olive-oil  790", "scent S1 0", "castor-oil  200", "sodium-hydroxide  131"}, 790, 200, ""},
		{"nothing is open", []string{"material: olive-oil, weight: 790 g", "material: castor oil, weight: 190 g", "material: sodium hydroxide, weight: 130 g"},
			nil, []formula.Weighed{weight("castor-oil", 200)},
			[]string{"olive-oil  790", "castor oil  190", "sodium hydroxide  130"}, 790, 190, ""},
		{"not all of it is assumed", []string{"material: olive-oil, weight: 790 g", "material: castor oil, lot: C1"},
			[]string{"castor-oil", "sodium hydroxide"}, []formula.Weighed{weight("sodium-hydroxide", 131)},
			[]string{"olive-oil  790", "castor oil C1 0", "sodium-hydroxide  131"}, 0, 0, "batches/b-1.yaml:6:16 stop FORM-PART-WEIGHED"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := bars(t, "b-1", tt.lines...)
			before := bars(t, "b-1", tt.lines...)
			l := formula.NewLibrary(nil).WithBatches([]formula.Batch{b}, func(string) (formula.Formula, bool) { return x, true })
			asked := false
			m, _ := l.Making(b, func(f formula.Formula, _ formula.Library, b formula.Batch) []formula.Weighed {
				asked = true
				return tt.assumed
			})
			var open, got []string
			for _, name := range m.Open {
				open = append(open, name.V)
			}
			for _, w := range m.Batch.Weighed {
				got = append(got, fmt.Sprintf("%s %s %.0f", w.Material.V, w.Lot.V, w.Weight.V.Grams()))
			}
			if !slices.Equal(open, tt.open) || asked != (len(tt.open) > 0) {
				t.Errorf("open are %q, asked %t; want %q", open, asked, tt.open)
			}
			if !slices.Equal(got, tt.want) || m.Formula.Pot[0].Weight.V.Grams() != tt.oils || m.Formula.Pot[1].Weight.V.Grams() != tt.other {
				t.Errorf("lines %q, want %q; as made:\n%s", got, tt.want, amounts(m.Formula))
			}
			if ruled(m.Findings) != tt.findings {
				t.Errorf("findings %s, want %s", ruled(m.Findings), tt.findings)
			}
			if !cmp.Equal(b, before, days) || !cmp.Equal(m.Recipe, readFormula(t, text), days) {
				t.Error("the batch, or the recipe, is another one now")
			}
		})
	}
}

// A batch whose formula is not known was made nobody knows how.
func TestMakingWithoutAFormula(t *testing.T) {
	b := bars(t, "b-1", "material: olive-oil, weight: 1 kg")
	if _, ok := (formula.Library{}).Making(b, nil); ok {
		t.Error("a library without a shop knows how a batch was made")
	}
	none := func(string) (formula.Formula, bool) { return formula.Formula{}, false }
	l := formula.NewLibrary(bought(t)).WithBatches([]formula.Batch{b}, none)
	if _, ok := l.Making(b, nil); ok {
		t.Error("made by a formula that is not there")
	}
	p := premix(t, "P1", "house-blend", "material: olive-oil, weight: 1 kg")
	if _, ok := l.Making(p, nil); ok {
		t.Error("a batch of a material was made by a formula")
	}
	if _, ok := l.Batch("b-1"); ok {
		t.Error("bars of an unknown formula are known")
	}
}

// A list grows: an entry stands in the place of the one that it corrects, which is told by
// its id or by its place.
func TestCorrections(t *testing.T) {
	const head = "code: b-1\nformula: x\nmade: 2026-11-26\n"
	for _, tt := range []struct{ name, in, want, corrected, findings string }{
		{"by place", "weighed:\n- {material: a, weight: 5 g}\n- {material: b, weight: 6 g}\n- {material: a, weight: 7 g, corrects: w1}\n", "w2 w3", "w1", ""},
		{"by id", "weighed:\n- {material: a, weight: 5 g, id: first}\n- {material: a, weight: 7 g, corrects: first, id: second}\n", "second", "first", ""},
		{"one after the other", "weighed:\n- {material: a, weight: 5 g}\n- {material: a, weight: 6 g, corrects: w1}\n- {material: a, weight: 7 g, corrects: w2}\n", "w3", "w1 w2", ""},
		{"the same one twice", "weighed:\n- {material: a, weight: 5 g}\n- {material: a, weight: 6 g, corrects: w1}\n- {material: a, weight: 7 g, corrects: w1}\n", "w2 w3", "w1", "7:40 stop FORM-CORRECTS"},
		{"a place whose entry has an id", "weighed:\n- {material: a, weight: 5 g, id: first}\n- {material: a, weight: 6 g, corrects: w1}\n", "first w2", "", "6:40 stop FORM-CORRECTS"},
		{"an entry of another list", "weighed:\n- {material: a, weight: 5 g}\npacked:\n- {date: 2026-12-20, corrects: w1}\n", "w1 p1", "", "7:32 stop FORM-CORRECTS"},
		{"itself", "weighed:\n- {material: a, weight: 5 g, corrects: w1}\n", "w1", "", "5:40 stop FORM-CORRECTS"},
		{"a later one", "weighed:\n- {material: a, weight: 5 g, corrects: w2}\n- {material: a, weight: 6 g}\n", "w1 w2", "", "5:40 stop FORM-CORRECTS"},
		{"one id twice", "weighed:\n- {material: a, weight: 5 g, id: x}\nevents:\n- {date: 2026-12-20, what: note, id: x}\n", "x x", "", "7:38 stop FORM-REPEATED"},
		{"an id that is the place of a later one", "weighed:\n- {material: a, weight: 5 g, id: w2}\n- {material: b, weight: 5 g}\n", "w2 w2", "", "6:3 stop FORM-REPEATED"},
		{"a cutting, as a mapping", "cut: {date: 2026-11-28, bar: 8, ends: 2}\n", "c1=8", "", ""},
		{"cuttings, as a list", "cut:\n- {date: 2026-11-28, bar: 8}\n- {date: 2026-11-29, bar: 7, guest: 3}\n", "c1=8 c2=7", "", ""},
		{"a cutting that was counted again", "cut:\n- {date: 2026-11-28, bar: 8}\n- {date: 2026-11-28, bar: 7, corrects: c1}\n", "c2=7", "c1", ""},
		{"a cutting that is neither", "cut: 8\n", "", "", "4:6 stop SRC-TYPE"},
		{"every list", "weighings: [{date: 2026-12-01, bars: {A: 90 g}}, {date: 2026-12-02, corrects: g1}]\npacked: [{date: 2026-12-03}, {date: 2026-12-03, corrects: p1}]\nruns: [{date: 2026-12-03}, {date: 2026-12-03, corrects: r1}]\nevents: [{date: 2026-12-03, what: note}, {date: 2026-12-03, what: note, corrects: e1}]\n",
			"g2 p2 r2 e2", "e1 g1 p1 r1", ""},

		{"a cutting before the making", "cut: {date: 2026-11-25, bar: 8}\n", "c1=8", "", "4:13 stop FORM-DAY-ORDER"},
		{"on the same day", "cut: {date: 2026-11-26, bar: 8}\nevents: [{date: 2026-11-26, what: sold, count: 1}]\n", "c1=8 e1", "", ""},
		{"bars before they were cut", "cut: [{date: 2026-11-30, bar: 8}, {date: 2026-11-28, bar: 8}]\nweighings: [{date: 2026-11-27}]\npacked: [{date: 2026-11-27}]\nevents: [{date: 2026-11-27, what: sold, count: 1}, {date: 2026-11-28, what: sold, count: 1}]\n",
			"c1=8 c2=8 g1 p1 e1 e2", "", "5:20 stop FORM-DAY-ORDER, 6:17 stop FORM-DAY-ORDER, 7:17 stop FORM-DAY-ORDER"},
		{"what is no matter of bars, before they were cut", "cut: {date: 2026-11-30, bar: 8}\nruns: [{date: 2026-11-27}]\nevents: [{date: 2026-11-27, what: note}]\n", "c1=8 r1 e1", "", ""},
		{"all before the making", "weighings: [{date: 2026-11-25}]\npacked: [{date: 2026-11-25}]\nruns: [{date: 2026-11-25}]\nevents: [{date: 2026-11-25, what: note}, {date: 2026-11-25, what: sold, count: 1}]\nplaced: {eu: 2026-11-25}\n",
			"g1 p1 r1 e1 e2", "", "4:20 stop FORM-DAY-ORDER, 5:17 stop FORM-DAY-ORDER, 6:15 stop FORM-DAY-ORDER, 7:17 stop FORM-DAY-ORDER, 7:49 stop FORM-DAY-ORDER, 8:14 stop FORM-DAY-ORDER"},
		{"a slip in a day that was corrected", "cut:\n- {date: 2026-11-25, bar: 8}\n- {date: 2026-11-28, bar: 8, corrects: c1}\n", "c2=8", "c1", ""},

		{"a list without its days", "packed: [{count: 5}]\nruns: [{}]\nevents: [{what: snored, date: 2026-12-01}]\n", "p1 r1 e1", "", "4:10 stop FORM-MISSING, 5:8 stop FORM-MISSING, 6:17 stop SRC-WORD"},
		{"a material that a batch of bars makes", "material: house-blend\n", "", "", "4:11 stop FORM-ONE-OF"},
		{"a line of a material and own bars", "weighed: [{material: a, batch: b, stays: 101%}, {weight: 5 g}]\n", "w1 w2", "", "4:25 stop FORM-ONE-OF, 4:42 stop FORM-OVER, 4:49 stop FORM-ONE-OF"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, findings, err := formula.ReadBatch("batches/b-1.yaml", []byte(head+tt.in))
			if err != nil {
				t.Fatal(err)
			}
			var ids []string
			for _, w := range b.Weighed {
				ids = append(ids, w.ID)
			}
			for _, c := range b.Cuts {
				ids = append(ids, fmt.Sprintf("%s=%d", c.ID, c.Counts[0].Count.V))
			}
			for _, w := range b.Weighings {
				ids = append(ids, w.ID)
			}
			for _, p := range b.Packed {
				ids = append(ids, p.ID)
			}
			for _, r := range b.Runs {
				ids = append(ids, r.ID)
			}
			for _, e := range b.Events {
				ids = append(ids, e.ID)
			}
			if got := strings.Join(ids, " "); got != tt.want || strings.Join(b.Corrected, " ") != tt.corrected {
				t.Errorf("in force are %q, want %q; corrected %q, want %q", got, tt.want, b.Corrected, tt.corrected)
			}
			if got := strings.ReplaceAll(ruled(findings), "batches/b-1.yaml:", ""); got != tt.findings {
				t.Errorf("findings %s, want %s", got, tt.findings)
			}
			for _, x := range findings {
				if x.Remedy == "" {
					t.Errorf("no remedy: %s", x.Text())
				}
			}
		})
	}
	b, _, _ := formula.ReadBatch("batches/b-1.yaml", []byte(head+"cut: [{date: 2026-11-28, bar: 8, guest: 2}, {date: 2026-11-29, bar: 7}, {date: 2026-11-29, bar: 6, corrects: c2}]\n"))
	if b.Bars("bar") != 14 || b.Bars("guest") != 2 || b.Bars("ends") != 0 {
		t.Errorf("%d bars, %d guest bars", b.Bars("bar"), b.Bars("guest"))
	}
}
