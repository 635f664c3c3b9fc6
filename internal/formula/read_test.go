package formula_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// read reads a document of any of the four sorts, by the folder that it is in.
func read(file string, data []byte) ([]finding.Finding, error) {
	switch {
	case strings.HasPrefix(file, "formulas/"):
		_, findings, err := formula.ReadFormula(file, data)
		return findings, err
	case strings.HasPrefix(file, "materials/"):
		_, findings, err := formula.ReadMaterial(file, data)
		return findings, err
	case strings.HasPrefix(file, "batches/"):
		_, findings, err := formula.ReadBatch(file, data)
		return findings, err
	}
	_, findings, err := formula.ReadShop(file, data)
	return findings, err
}

// shopFiles gives the documents of the shop in testdata, by their names in it.
func shopFiles(t testing.TB) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	root := filepath.Join("testdata", "shop")
	err := filepath.WalkDir(root, func(path string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, path)
		files[filepath.ToSlash(name)] = data
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestGoodDocumentsHaveNoFindings(t *testing.T) {
	files := shopFiles(t)
	if len(files) < 17 {
		t.Fatalf("the shop has %d documents; some are missing", len(files))
	}
	for name, data := range files {
		findings, err := read(name, data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for _, f := range findings {
			t.Errorf("unexpected finding:\n%s", f.Text())
		}
	}
}

// A list as suppliers print it.
func TestSharesAsPrinted(t *testing.T) {
	m, findings, err := formula.ReadMaterial("materials/x.yaml", []byte(`
kind: fragrance
contains:
  - {inci: a, share: above 50%}
  - {inci: b, share: 10-<20%}
  - {inci: c, share: up to 5%}
  - {inci: d, share: "< 0.1 %"}
  - {inci: e, share: Traces}
  - {inci: f, share: q.s. to 100%}
  - {inci: g}
allergens: {Linalool: ≤5%, Limonene: "<0.1%", Citral: traces}
`))
	if err != nil || len(findings) > 0 {
		t.Fatal(findings, err)
	}
	const whole, percent = measure.Whole, measure.Percent
	for i, want := range []measure.ShareRange{{Low: 50 * percent, High: whole}, {Low: 10 * percent, High: 20 * percent}, {High: 5 * percent}, {High: percent / 10}, {High: percent}, {}, {}} {
		if got := m.Contains[i].Share; got.V != want || got.Given() != (want.High > 0) {
			t.Errorf("%s: got %v, want %v", m.Contains[i].INCI.V, got, want)
		}
	}
	for i, want := range []measure.ShareRange{{High: 5 * percent}, {High: percent / 10}, {High: percent}} {
		if got := m.Allergens[i].Share; got.V != want || !got.Given() {
			t.Errorf("%s: got %v, want %v", m.Allergens[i].Name.V, got, want)
		}
	}
}

// What a supplier calls a thing is kept as it is printed, whether or not it is known.
func TestNamesAreKept(t *testing.T) {
	for _, tt := range []struct{ in, want string }{
		{"Olea europæa  (OLIVE) fruit oil", "Olea europæa  (OLIVE) fruit oil"},
		{"' Olea Europaea Oil '", "Olea Europaea Oil"},
		{`"1,2-Hexanediol"`, "1,2-Hexanediol"},
		{`"Sodium Olivate, raw"`, "Sodium Olivate, raw"},
		{"Huile d’olive vierge – bio*", "Huile d’olive vierge – bio*"},
		{"オリーブ油", "オリーブ油"},
		{"Масло оливковое", "Масло оливковое"},
		{`"Cafe\u0301 arabica"`, "Cafe\u0301 arabica"}, // the accent stands apart
		{"Aqua/Water/Eau", "Aqua/Water/Eau"},
		{`"Titanium Dioxide [nano]"`, "Titanium Dioxide [nano]"},
		{`"+/- CI 77891: mica #2"`, "+/- CI 77891: mica #2"},
		{strings.Repeat("Poly", 100), strings.Repeat("Poly", 100)},
	} {
		for _, list := range []string{"contains: [{inci: %s, share: traces}, {inci: b}]\n", "contains:\n- inci: %s\n  share: traces\n- inci: b\n"} {
			in := strings.Replace(list, "%s", tt.in, 1)
			m, findings, err := formula.ReadMaterial("materials/x.yaml", []byte(in))
			if err != nil || len(findings) > 0 || len(m.Contains) != 2 {
				t.Errorf("%s: %d constituents, %v, %v", in, len(m.Contains), findings, err)
				continue
			}
			same(t, in, m.Contains[0].INCI.V, tt.want)
		}
	}
}
