package shop_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/shop"
	"saponym/internal/source"
)

const (
	millYAML  = "name: Mill oil\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\nsap: 186 mg KOH/g\n"
	thenYAML  = "name: Old words\nidentity: soap\npot: [{material: mill-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {per_lye: 2}}\n"
	todayYAML = "name: New words\nidentity: soap\npot: [{material: mill-oil, weight: 600 g}, {material: castor-oil, weight: 400 g}]\nlye: {alkali: sodium hydroxide, superfat: 9%, water: {per_lye: 2}}\n"
	liveYAML  = "code: 26330-01-S\nformula: mill\nmade: 2026-11-26\nweighed: [{material: mill-oil, weight: 990 g}, {material: sodium hydroxide, weight: 120 g}]\n"
	live      = "batches/2026/26330-01-S.yaml"
	record    = "batches/2026/26330-01-S.made.yaml"
)

// frozen gives the record of a batch that was made by these documents.
func frozen(t *testing.T, documents map[string]string) string {
	t.Helper()
	on, err := day.Parse("2026-11-26")
	if err != nil {
		t.Fatal(err)
	}
	return string(formula.WriteFrozen("26330-01-S", "mill", on, documents, nil))
}

// made gives how the batch of the tests was made.
func made(t *testing.T, f *shop.Folder) (formula.Batch, formula.Making) {
	t.Helper()
	b, ok := f.Batch("26330-01-S")
	m, known := f.Library.Making(b, nil)
	if !ok || !known {
		t.Fatalf("batch %t, formula known %t", ok, known)
	}
	return b, m
}

// superfat gives that of a batch as it was made, in per cent: of the 120 g of sodium
// hydroxide and 990 g of oil that were weighed.
func superfat(t *testing.T, m formula.Making) float64 {
	t.Helper()
	b, findings := bar.PourMade(m)
	if b == nil {
		t.Fatal(findings)
	}
	return 100 * b.Superfat()
}

// A batch goes by the record that was written once, whatever becomes of the formula and
// of the materials.
func TestBatchGoesByItsRecord(t *testing.T) {
	then := frozen(t, map[string]string{"formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": millYAML})
	newMill := strings.Replace(millYAML, "186", "195", 1)
	const changed = record + ": " + formula.RuleChanged
	for _, tt := range []struct {
		name  string
		files map[string]string
		words string
		sap   float64 // of the oil that went in
		found []string
	}{
		{"nothing is changed", map[string]string{"formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": millYAML}, "Old words", 186, nil},
		{"the formula is changed", map[string]string{"formulas/mill.yaml": todayYAML, "materials/mill-oil.yaml": millYAML}, "New words", 186, nil},
		{"the material is changed", map[string]string{"formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": newMill}, "Old words", 186, []string{changed}},
		{"both are changed, and one is faulty", map[string]string{"formulas/mill.yaml": todayYAML, "materials/mill-oil.yaml": newMill + "frob: 1\n"}, "New words", 186, []string{changed}},
		{"the formula is gone", map[string]string{"materials/mill-oil.yaml": millYAML}, "Old words", 186, nil},
		{"the material is gone", map[string]string{"formulas/mill.yaml": todayYAML}, "New words", 186, []string{changed}},
		{"both are gone", map[string]string{}, "Old words", 186, []string{changed}},
		{"the formula is no document any more", map[string]string{"formulas/mill.yaml": "[", "materials/mill-oil.yaml": millYAML}, "Old words", 186, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.files[live], tt.files[record] = liveYAML, then
			f := open(t, tt.files)
			b, m := made(t, f)
			if m.Recipe.Name.V != tt.words || len(m.Recipe.Pot) != 1 || m.Formula.Pot[0].Weight.V.Grams() != 990 || len(m.Findings) > 0 {
				t.Errorf("called %q, made of %+v, findings %v", m.Recipe.Name.V, m.Formula.Pot, m.Findings)
			}
			// 990 g at 186 mg KOH/g bind 990 · 0.186 / 56.1053 · 39.99677 = 131.271 g of sodium
			// hydroxide, of which 120 g leave 8.586 % of the oil.
			if want := 100 * (1 - 120/(990*tt.sap/1000/56.1053*39.99677)); superfat(t, m)-want > 0.001 || want-superfat(t, m) > 0.001 {
				t.Errorf("superfat %.4f %%, want %.4f %%", superfat(t, m), want)
			}
			doc, _ := f.Formula("mill")
			if got := told(f.BatchFindings(b, doc)); !slices.Equal(got, tt.found) {
				t.Errorf("findings %q, want %q", got, tt.found)
			}
		})
	}
}

// A batch without a record goes by the formula and the materials of today.
func TestBatchWithoutARecord(t *testing.T) {
	f := open(t, map[string]string{"formulas/mill.yaml": thenYAML + "frob: 1\n", "materials/mill-oil.yaml": strings.Replace(millYAML, "186", "195", 1), live: liveYAML})
	b, m := made(t, f)
	// 990 · 0.195 / 56.1053 · 39.99677 = 137.622 g, of which 120 g leave 12.805 %.
	if got := superfat(t, m); m.Recipe.Name.V != "Old words" || got < 12.80 || got > 12.81 {
		t.Errorf("%q, superfat %.4f %%", m.Recipe.Name.V, got)
	}
	if got := told(f.BatchFindings(b, get(t, f, "mill"))); !slices.Equal(got, []string{"formulas/mill.yaml: " + source.RuleUnknown}) {
		t.Errorf("findings %q", got)
	}
	f = open(t, map[string]string{live: liveYAML})
	if b, ok := f.Batch("26330-01-S"); !ok {
		t.Error("the batch is not there")
	} else if _, ok := f.Library.Making(b, nil); ok {
		t.Error("a batch was made by a formula that is not there")
	}
}

// A record that is broken is told, and the batch goes by what the shop says today.
func TestBrokenRecord(t *testing.T) {
	good := frozen(t, map[string]string{"formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": millYAML})
	for _, tt := range []struct {
		name, record string
		words        string
		found        []string
	}{
		{"no document", "[", "New words", []string{record + ": " + source.RuleSyntax}},
		{"an empty file", "", "New words", []string{record + ": " + source.RuleNothing}},
		{"no text", "\x00", "New words", []string{record + ": " + source.RuleEncoding}},
		{"of another batch", strings.Replace(good, "26330-01-S", "26331-01-S", 1), "New words", []string{record + ": " + formula.RuleCode}},
		{"an unknown key", good + "frob: 1\n", "New words", []string{record + ": " + source.RuleUnknown}},
		{"the formula in it is no document", strings.Replace(good, "identity: soap", "identity: [soap", 1), "New words", []string{record + ": " + formula.RuleFrozen, record + ": " + formula.RuleFrozen}},
		{"without the formula that it names", strings.Replace(good, "formula: mill", "formula: mull", 1), "New words", []string{record + ": " + formula.RuleFrozen}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := open(t, map[string]string{
				"formulas/mill.yaml": todayYAML, "formulas/plain.yaml": plainYAML, "materials/mill-oil.yaml": millYAML,
				live: liveYAML, record: tt.record, "batches/26200-01-Y.yaml": batchYAML,
			})
			b, m := made(t, f)
			if m.Recipe.Name.V != tt.words {
				t.Errorf("called %q, want %q", m.Recipe.Name.V, tt.words)
			}
			found := f.BatchFindings(b, get(t, f, "mill"))
			if got := told(found); !slices.Equal(got, tt.found) {
				t.Errorf("findings %q, want %q", got, tt.found)
			}
			f.Excerpt(found)
			for _, x := range found {
				if x.Level == finding.Stop && x.Remedy == "" {
					t.Errorf("no remedy: %s", x.Text())
				}
			}
			// The others are as they were.
			other, ok := f.Batch("26200-01-Y")
			if _, known := f.Library.Making(other, nil); !ok || !known || len(f.BatchFindings(other, get(t, f, "plain"))) > 0 {
				t.Errorf("the batch beside it: %t, %t", ok, known)
			}
		})
	}
}

// The findings on what stands in a record point into the record.
func TestFindingsInARecord(t *testing.T) {
	text := frozen(t, map[string]string{"formulas/mill.yaml": thenYAML + "frob: 1\n", "materials/mill-oil.yaml": millYAML})
	f := open(t, map[string]string{"formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": millYAML, live: liveYAML, record: text})
	b, _ := made(t, f)
	found := f.BatchFindings(b, get(t, f, "mill"))
	f.Excerpt(found)
	// Two lines of comment, three of what it is, "documents:", two of the file, and its
	// comment stand before four lines of the formula.
	if len(found) != 1 || found[0].At != (finding.Pos{File: record, Line: 14, Col: 7}) || strings.TrimSpace(found[0].Excerpt) != "frob: 1" {
		t.Errorf("findings %+v in\n%s", found, text)
	}
}

// Two files with one code are told when the batch is asked for, and the first counts.
func TestBatchTwice(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": millYAML,
		live: liveYAML, "batches/26330-01-S.yaml": strings.Replace(liveYAML, "990 g", "980 g", 1),
	})
	b, _ := made(t, f)
	if got := told(f.BatchFindings(b, get(t, f, "mill"))); !slices.Equal(got, []string{"batches/26330-01-S.yaml: " + shop.RuleTwice}) || b.Weighed[0].Weight.V.Grams() != 980 {
		t.Errorf("findings %q, batch of %v g", got, b.Weighed[0].Weight.V.Grams())
	}
	if got := f.Codes(); !slices.Equal(got, []string{"26330-01-S"}) {
		t.Errorf("codes %q", got)
	}
}

// A code is no path: nothing outside the folders of batches is looked at.
func TestCodesAreNoPaths(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/mill.yaml": thenYAML, live: liveYAML, "stray.yaml": "[", "batches/2026/26331-01-A.yaml": "[",
		"batches/.old/26329-01-X.yaml": strings.Replace(liveYAML, "26330-01-S", "26329-01-X", 1),
	})
	for _, code := range []string{"", ".", "..", "../stray", `..\stray`, "2026/26330-01-S", "2026/26331-01-A", "/26330-01-S", "../batches/26330-01-S", "26330-01-s", "26330 01 S", "26329-01-X", "26330-01-S.made", "26330-01-S.yaml"} {
		if b, ok := f.Batch(code); ok {
			t.Errorf("%q is the batch %q", code, b.Code.V)
		}
		if b, ok := f.Library.Batch(code); ok {
			t.Errorf("%q is the batch %q to a formula", code, b.Code.V)
		}
		if err := f.BrokenBatch(code); err != nil {
			t.Errorf("%q: %v", code, err)
		}
	}
	if got := f.Broken(); got != nil {
		t.Errorf("broken: %v", got)
	}
}

// Of thousands of batches only those are read that are asked for.
func TestBatchesAreReadWhenAsked(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": millYAML, live: liveYAML,
		"batches/2025/25001-01-A.yaml": "[", "batches/2025/25001-01-A.made.yaml": "[", "batches/25002-01-B.yaml": "code: another\n",
	})
	b, _ := made(t, f)
	if got := f.BatchFindings(b, get(t, f, "mill")); len(got) > 0 || f.Broken() != nil {
		t.Errorf("findings %v, broken %v", got, f.Broken())
	}
	if got, want := f.Codes(), []string{"25001-01-A", "25002-01-B", "26330-01-S"}; !slices.Equal(got, want) || f.Broken() != nil {
		t.Errorf("codes %q, want %q; broken %v", got, want, f.Broken())
	}
	// Asked for, it is told.
	if err := f.BrokenBatch("25001-01-A"); err == nil || len(f.Broken()) != 1 {
		t.Errorf("error %v, broken %v", err, f.Broken())
	}
	if _, ok := f.Batch("25001-01-A"); ok {
		t.Error("a file that is no document is a batch")
	}
	// A file whose code is another one is not the batch that it is named for.
	if _, ok := f.Batch("25002-01-B"); ok || f.BrokenBatch("25002-01-B") != nil {
		t.Error("a file of another code was taken")
	}
	if got := told(f.FileFindings("batches/25002-01-B.yaml")); !slices.Contains(got, "batches/25002-01-B.yaml: "+formula.RuleCode) {
		t.Errorf("findings %q", got)
	}
	// What was read stays as it was read.
	if err := os.WriteFile(filepath.Join(f.Dir, filepath.FromSlash(live)), []byte("["), 0o644); err != nil {
		t.Fatal(err)
	}
	if again, _ := made(t, f); again.Weighed[0].Weight.V.Grams() != 990 {
		t.Error("a batch was read twice")
	}
}

// What a batch rests on is what goes into its record: the variants up to the formula that
// is written out, and materials that stand in materials.
func TestDocuments(t *testing.T) {
	files := map[string]string{
		"shop.yaml":            shopYAML,
		"formulas/base.yaml":   "name: Base\nidentity: soap\npot: [{material: house-blend, weight: 1 kg}]\nlye: {solution: lye-50, superfat: 5%, liquids: [{material: goat-milk, share: 10%}]}\n",
		"formulas/child.yaml":  "like: base\nname: Child\nadd: [{material: scent, share: 2%, with: [{material: carrier, share: 1%}]}, {batch: 26330-01-S, share: 5%}]\n",
		"formulas/other.yaml":  plainYAML,
		"materials/lye-50.yml": "kind: lye solution\ninci: Sodium Hydroxide\nstrength: 50%\n",
		live:                   liveYAML, "formulas/mill.yaml": thenYAML, "materials/mill-oil.yaml": millYAML,
	}
	for id, text := range map[string]string{
		"house-blend": "kind: oil blend\ncontains: [{material: inner, share: 50%}, {material: olive-oil, share: 50%}]\n", "inner": "kind: oil\ninci: Cocos Nucifera (Coconut) Oil\n",
		"goat-milk": "name: Our goats\n", "scent": "kind: fragrance\n", "carrier": "kind: oil\ninci: Olea Europaea (Olive) Fruit Oil\n", "unused": "kind: oil\ninci: a\n",
	} {
		files["materials/"+id+".yaml"] = text
	}
	f := open(t, files)
	names := func(documents map[string]string) []string {
		var all []string
		for file, text := range documents {
			if all = append(all, file); text != files[file] {
				t.Errorf("%s says %q, want %q", file, text, files[file])
			}
		}
		slices.Sort(all)
		return all
	}
	got := names(f.Documents(get(t, f, "child")))
	for _, file := range []string{"shop.yaml", "formulas/base.yaml", "formulas/child.yaml", "materials/house-blend.yaml", "materials/inner.yaml", "materials/goat-milk.yaml", "materials/scent.yaml", "materials/carrier.yaml", "materials/lye-50.yml"} {
		if !slices.Contains(got, file) {
			t.Errorf("%s is not among %q", file, got)
		}
	}
	for _, file := range []string{"formulas/other.yaml", "materials/unused.yaml", live} {
		if slices.Contains(got, file) {
			t.Errorf("%s is among %q", file, got)
		}
	}
	if got, want := names(f.MaterialDocuments(formula.Text{V: "House blend", At: finding.Pos{Line: 1}})), []string{"materials/house-blend.yaml", "materials/inner.yaml", "shop.yaml"}; !slices.Equal(got, want) {
		t.Errorf("documents %q, want %q", got, want)
	}
}
