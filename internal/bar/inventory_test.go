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
	"saponym/internal/formula"
)

// melted is a base in which a scent is stirred: nothing reacts.
const melted = "name: Test\nidentity: soap\nbase: [{material: base, weight: 1000 g}]\nadd: [{material: scent, weight: 20 g}]\n"

func plainBase(t *testing.T) formula.Material {
	return material(t, "base", "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 80%}, {inci: Aqua, share: 20%}]\n")
}

// heldIn gives the inventory of the cured bar.
func heldIn(t *testing.T, b *bar.Batter) []bar.Held {
	t.Helper()
	cured, err := b.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	return b.Inventory(cured)
}

// listing tells in a line each what is held, how much of it, on which basis, and where.
func listing(held []bar.Held) []string {
	var all []string
	for _, h := range held {
		all = append(all, fmt.Sprintf("%s %.4g-%.4g g %s, %s", h.Name, h.Grams.Low, h.Grams.High, h.Basis, h.Ref))
	}
	return all
}

// What a supplier states of a scent is a range of its grams: an exact share, a range, a
// bound, and traces, which are from nothing up. Stated in ppm it is a millionth: 120 ppm
// of 20 g are 2.4 mg.
func TestInventoryOfAStatement(t *testing.T) {
	b, _ := pour(t, melted, plainBase(t), material(t, "scent",
		"name: Scent\nkind: fragrance\nallergens:\n  Linalool: 5%\n  Geraniol: 1-2%\n  Citral: <0.1%\n  Eugenol: traces\n  Coumarin: 120 ppm\n"))
	const ref = " stated, add[0] scent"
	want := []string{"Linalool 1-1 g" + ref, "Geraniol 0.2-0.4 g" + ref, "Citral 0-0.02 g" + ref, "Eugenol 0-0.2 g" + ref, "Coumarin 0.0024-0.0024 g" + ref}
	held := heldIn(t, b)
	if got := listing(held); !slices.Equal(got, want) {
		t.Fatalf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if h := held[3]; h.At.File != "materials/scent.yaml" || h.At.Line != 7 || h.Line != -1 || b.Scents[h.Scent].Material != "scent" {
		t.Errorf("it stands at %s, line %d of the bar, scent %d", h.At, h.Line, h.Scent)
	}
}

// Where nobody states the allergens of an essential oil, what is published of it counts;
// a statement, be it of one name, wins over all that is published of allergens. Lavender: linalool 20 to 45 % (Ph. Eur.),
// coumarin up to 0.1 % (from memory).
func TestInventoryOfAnEssentialOil(t *testing.T) {
	text := strings.Replace(melted, "material: scent", "material: lavender-oil", 1)
	b, _ := pour(t, text, plainBase(t))
	held := heldIn(t, b)
	at := slices.IndexFunc(held, func(h bar.Held) bool { return h.Name == "Linalool" })
	if got := listing(held)[at]; got != "Linalool 4-9 g published, add[0] lavender-oil" || held[at].Known != inci.Retrieved || !strings.Contains(held[at].Cite, "Pharmacopoeia") {
		t.Errorf("got %s, %s, from %q", got, held[at].Known, held[at].Cite)
	}
	if i := slices.IndexFunc(held, func(h bar.Held) bool { return h.Name == "Coumarin" }); i < 0 || held[i].Known != inci.Memory {
		t.Errorf("coumarin is not from memory: %v", listing(held))
	}
	if whole := held[0]; listing(held)[0] != "Lavandula Angustifolia Oil 20-20 g listed, add[0] lavender-oil" || !slices.Contains(whole.IDs, "lavender-oil") {
		t.Errorf("the oil itself: %s, %v", listing(held)[0], whole.IDs)
	}
	if !b.Scents[0].Published {
		t.Error("the scent is not told as published")
	}

	b, _ = pour(t, text, plainBase(t), material(t, "lavender-oil", "name: Lavender\nkind: essential oil\ninci: Lavandula Angustifolia Oil\nallergens: {Linalool: 30%}\n"))
	held = heldIn(t, b)
	if got := listing(held); got[1] != "Linalool 6-6 g stated, add[0] lavender-oil" || b.Scents[0].Published || !b.Scents[0].Stated {
		t.Errorf("with a statement: %v, published %v", got, b.Scents[0].Published)
	}
	for _, h := range held[2:] {
		if h.Basis != bar.Beside {
			t.Errorf("%s is %s where there is a statement", h.Name, h.Basis)
		}
	}
}

// Which scents are known by what is published alone.
func TestPublishedScents(t *testing.T) {
	lemon := material(t, "own-lemon", "name: Lemon\nkind: essential oil\ninci: Citrus Limon Peel Oil\nallergens: {Citral: 2%}\n")
	for _, tt := range []struct {
		name, scent string
		published   bool
		limonene    string // the grams of it, "" for none; lemon oil has 56 to 78 % (Ph. Eur. 6.2)
	}{
		{"an essential oil under its INCI name", "kind: essential oil\ninci: Citrus Limon Peel Oil\n", true, "11.2-15.6"},
		{"a mixture of essential oils", "kind: fragrance\ncontains: [{inci: Citrus Limon Peel Oil, share: 50%}, {inci: Mentha Piperita Oil, share: 50%}]\n", true, "5.6-7.8"},
		{"one of which the shares are not known", "kind: fragrance\ncontains: [{inci: Citrus Limon Peel Oil}, {inci: Pogostemon Cablin Leaf Oil}]\n", true, "0-15.6"},
		{"a mixture with a fragrance", "kind: fragrance\ncontains: [{inci: Citrus Limon Peel Oil, share: 50%}, {inci: Parfum, share: 50%}]\n", false, "5.6-7.8"},
		{"an essential oil of which nothing is published", "kind: essential oil\ninci: Salvia Sclarea Oil\n", false, ""},
		{"water alone", "kind: fragrance\ncontains: [{inci: Aqua, share: 100%}]\n", false, ""},
		{"a fragrance", "kind: fragrance\n", false, ""},
		{"a mixture in which a supplier states something", "kind: fragrance\ncontains: [{material: own-lemon, share: 50%}, {inci: Mentha Piperita Oil, share: 50%}]\n", false, "5.6-7.8"},
	} {
		b, findings := pour(t, melted, plainBase(t), lemon, material(t, "scent", "name: Scent\n"+tt.scent))
		if b == nil {
			t.Fatalf("%s: %s", tt.name, rules(findings))
		}
		limonene := ""
		for _, h := range heldIn(t, b) {
			if h.Name == "Limonene" && limonene == "" {
				limonene = fmt.Sprintf("%.4g-%.4g", h.Grams.Low, h.Grams.High)
			}
		}
		if s := b.Scents[0]; s.Published != tt.published || limonene != tt.limonene || len(s.Statement) > 0 {
			t.Errorf("%s: published %v, limonene %q", tt.name, s.Published, limonene)
		}
	}
}

// What stands under its own name in a base is held, what becomes soap is not; what leaves
// in the cure has left.
func TestInventoryOfWhatIsListed(t *testing.T) {
	base := material(t, "base", "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 74%}, {inci: Aqua, share: 20%}, {inci: Sodium Lauryl Sulfate, share: 3-5%}, {inci: CI 77891, share: 1-3%}]\n")
	b, _ := pour(t, "name: Test\nidentity: soap\nbase: [{material: base, weight: 1000 g}]\nadd: [{material: ethanol, weight: 10 g, stays: 20%}, {material: goat-milk, weight: 50 g}]\n", base)
	cured, err := b.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	held := b.Inventory(cured)
	// 87 % of goat milk is water, as package inci has it.
	want := []string{
		"Sodium Lauryl Sulfate 30-50 g listed, base[0] base", "CI 77891 10-30 g listed, base[0] base",
		"Alcohol 2-2 g listed, add[0] ethanol", "Caprae Lac 6.5-50 g listed, add[1] goat-milk",
	}
	if got := listing(held); !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for _, h := range held {
		if names := cured.Lines[h.Line].Names; names.EU != h.Name && names.US != h.Name {
			t.Errorf("%s is said to be the line %q", h.Name, names.EU)
		}
	}

	made, _ := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}}\n"+
		"add: [{material: citric-acid, weight: 10 g}, {material: kaolin, weight: 5 g}]\n")
	if got := listing(heldIn(t, made)); !slices.Equal(got, []string{"Kaolin 5-5 g listed, add[1] kaolin"}) {
		t.Errorf("of soap that is made: %v", got)
	}
}

// Scent goes into other bars with the crumbs. Old bars of 1000 g of olive oil, 20 g of
// lavender oil and lye weigh at least what they weigh with 2 % of water, and at most with
// 20 %; 100 g of them hold their share of the 4 to 9 g of linalool.
func TestInventoryOfOwnBars(t *testing.T) {
	pot := "pot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}}\n"
	old := read(t, "name: Old\nidentity: soap\n"+pot+"add: [{material: lavender-oil, weight: 20 g}]\n")
	batch, _, err := formula.ReadBatch("batches/OLD-1.yaml", []byte("code: OLD-1\nformula: old\nmade: 2026-01-02\n"))
	if err != nil {
		t.Fatal(err)
	}
	library := formula.NewLibrary(nil).WithBatches([]formula.Batch{batch}, func(string) (formula.Formula, bool) { return old, true })
	b, findings := bar.Pour(read(t, "name: New\nidentity: soap\n"+pot+"add: [{batch: OLD-1, weight: 100 g}]\n"), library)
	if b == nil {
		t.Fatal(rules(findings))
	}
	before, _ := bar.Pour(old, library)
	cured, err := before.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	weight := cured.Weight()
	found := false
	for _, h := range heldIn(t, b) {
		if h.Name == "Linalool" {
			found = h.Basis == bar.Published && math.Abs(h.Grams.Low-4*100/weight.High) < 1e-9 && math.Abs(h.Grams.High-9*100/weight.Low) < 1e-9
		}
	}
	if !found || len(b.Scents) != 1 || !b.Scents[0].Published {
		t.Errorf("got %v of a bar of %v", listing(heldIn(t, b)), weight)
	}
}

// No bar that the statements allow holds more or less of a line than its inventory says,
// and no line that lye leaves alone is missing.
func TestInventoryHoldsEveryBar(t *testing.T) {
	looked := 0
	rapid.Check(t, func(t *rapid.T) {
		s := sampled(t, aLoose(t), cured)
		if s == nil {
			return
		}
		type sums struct{ low, high float64 }
		byLine := map[int]sums{}
		for _, h := range s.batter.Inventory(s.bar) {
			if h.Line >= 0 {
				byLine[h.Line] = sums{byLine[h.Line].low + h.Grams.Low, byLine[h.Line].high + h.Grams.High}
			}
		}
		for l, line := range s.bar.Lines {
			kept := slices.ContainsFunc(line.Terms, func(term bar.Term) bool { return term.Product == bar.Kept })
			if _, ok := byLine[l]; !ok && kept && line.Role == bar.Substance && line.Names.US != "" {
				t.Fatalf("%q is not held", line.Names.US)
			}
		}
		for _, one := range s.gather(t, 20) {
			for l, in := range byLine {
				looked++
				if slack := 1e-9 * in.high; one.masses[l] < in.low-slack-s.bar.Tie() || one.masses[l] > in.high+slack+s.bar.Tie() {
					t.Fatalf("%q: %v g in an allowed bar, held are %v to %v g", s.bar.Lines[l].Names.US, one.masses[l], in.low, in.high)
				}
			}
		}
	})
	if looked == 0 {
		t.Error("nothing was compared")
	}
}
