package shop_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/shop"
	"saponym/internal/source"
)

const batchYAML = "code: 26200-01-Y\nformula: plain\nmade: 2026-07-19\nweighed: [{material: olive-oil, weight: 990 g}, {material: sodium hydroxide, weight: 127 g}]\n"

// withCrumbs is a formula that takes up own bars of a batch.
func withCrumbs(code string) string {
	return plainYAML + "add: [{batch: " + code + ", share: 10%}]\n"
}

// A formula can refer to the moulds and the batches of its shop. Batches stand in
// folders by year, or without one; the record that is written once beside a batch is
// another kind of document.
func TestWhatAFormulaCanReferTo(t *testing.T) {
	f := open(t, map[string]string{
		"shop.yaml":                         shopYAML + "moulds: {slab a: {holds: 33 fl oz}}\n",
		"formulas/plain.yaml":               plainYAML,
		"formulas/middle.yaml":              "like: plain\nname: Middle\nsize: {mould: slab-a}\n",
		"batches/2026/26200-01-Y.yaml":      batchYAML,
		"batches/2026/26200-01-Y.made.yaml": "not: read",
		"batches/25001-02-X.yml":            "code: 25001-02-X\nformula: Middle\nmade: 2025-01-01\n",
		"batches/.old/24001-02-X.yaml":      "not read: [",
	})
	if got := f.Broken(); got != nil {
		t.Errorf("broken: %v", got)
	}
	if mould, ok := f.Library.Mould("slab a"); !ok || !mould.Holds.Given() {
		t.Errorf("mould %+v, %t", mould, ok)
	}
	for code, id := range map[string]string{"26200-01-Y": "plain", "25001-02-X": "middle"} {
		b, ok := f.Library.Batch(code)
		made, known := f.Library.Making(b, nil)
		if !ok || !known || b.Code.V != code || made.Formula.ID != id || len(made.Formula.Pot) != 1 {
			t.Errorf("%s: %+v, made by %+v, %t", code, b, made.Formula, ok)
		}
	}
	if near := f.Library.NearestBatch("26200-1-Y"); near != "26200-01-Y" {
		t.Errorf("near 26200-1-Y is %q", near)
	}
}

// What is wrong with a batch is told where its bars go in as crumbs, with all that the
// bars rest on, and nowhere else.
func TestFindingsOfBatches(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/plain.yaml":          plainYAML,
		"formulas/clay.yaml":           plainYAML + "add: [{material: red-clay, share: 1%}]\nfrob: 1\n",
		"formulas/gone.yaml":           "",
		"materials/red-clay.yaml":      "name: Red clay\nkind: colourant\ninci: Kaolin\nfrob: 1\n",
		"batches/2026/26200-01-Y.yaml": batchYAML + "frob: 1\n",
		"batches/26201-01-A.yaml":      "[",
		"batches/26202-01-B.yaml":      strings.NewReplacer("26200-01-Y", "26202-01-B", "plain", "clay").Replace(batchYAML),
		"batches/26203-01-C.yaml":      strings.NewReplacer("26200-01-Y", "26203-01-C", "plain", "gone").Replace(batchYAML),
		"batches/26204-01-D.yaml":      strings.NewReplacer("26200-01-Y", "26204-01-D", "plain", "nested").Replace(batchYAML),
		"batches/26205-01-E.yaml":      strings.NewReplacer("26200-01-Y", "26205-01-E", "plain", "ring").Replace(batchYAML),
		"batches/26206-01-F.yaml":      strings.Replace(batchYAML, "26200-01-Y", "26206-01-F", 1),
		"batches/2026/26206-01-F.yaml": strings.Replace(batchYAML, "26200-01-Y", "26206-01-F", 1),

		"formulas/faulty.yaml":     withCrumbs("26200-01-Y"),
		"formulas/unreadable.yaml": withCrumbs("26201-01-A"),
		"formulas/nested.yaml":     withCrumbs("26202-01-B"),
		"formulas/orphan.yaml":     withCrumbs("26203-01-C"),
		"formulas/deep.yaml":       withCrumbs("26204-01-D"),
		"formulas/ring.yaml":       withCrumbs("26205-01-E"),
		"formulas/twice.yaml":      withCrumbs("26206-01-F"),
		"formulas/unknown.yaml":    withCrumbs("26299-01-Z"),
		// The batch was made by the formula that this one is like, with its own clay.
		"formulas/variant.yaml": "like: clay\nname: Variant\nadd: [{batch: 26202-01-B, share: 10%}]\n",
	})
	const key = ": " + source.RuleUnknown
	clay := []string{"formulas/clay.yaml" + key, "materials/red-clay.yaml" + key}
	for id, want := range map[string][]string{
		"plain":      nil,
		"faulty":     {"batches/2026/26200-01-Y.yaml" + key},
		"unreadable": {"batches/26201-01-A.yaml: " + source.RuleSyntax},
		"nested":     clay,
		"orphan":     {"formulas/gone.yaml: " + source.RuleNothing},
		"deep":       clay,
		"ring":       nil,
		"twice":      {"batches/2026/26206-01-F.yaml: " + shop.RuleTwice, "batches/26206-01-F.yaml: " + shop.RuleTwice},
		"unknown":    nil,
		"variant":    clay,
	} {
		if got := told(f.Findings(get(t, f, id))); !slices.Equal(got, want) {
			t.Errorf("%s: findings %q, want %q", id, got, want)
		}
	}
	found := f.Findings(get(t, f, "faulty"))
	f.Excerpt(found)
	if len(found) != 1 || found[0].Level != finding.Stop || found[0].Excerpt != "frob: 1" {
		t.Errorf("the finding is %+v", found)
	}
	if len(f.Broken()) != 2 {
		t.Errorf("broken: %v", f.Broken())
	}
	// The broken batch is not there for a formula, and the shop goes on.
	if _, ok := f.Library.Batch("26201-01-A"); ok {
		t.Error("a batch that is no document was found")
	}
	if b, ok := f.Library.Batch("26202-01-B"); !ok || formula.AsWeighed(get(t, f, "clay"), b).Pot[0].Weight.V.Grams() != 990 {
		t.Errorf("the batch beside it is %+v, %t", b, ok)
	}
}

// The folder of batches is a file: as with formulas, the shop cannot be opened.
func TestBatchesThatAreAFile(t *testing.T) {
	if f, err := shop.Open(write(t, map[string]string{"shop.yaml": shopYAML, "batches": ""})); err == nil || !strings.Contains(err.Error(), "batches") {
		t.Errorf("folder %v, error %v", f, err)
	}
}
