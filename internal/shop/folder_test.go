package shop_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/shop"
	"saponym/internal/source"
)

const (
	shopYAML = `maker: {name: Tern & Thimble, address: ["12 Ropewalk", "Sallow Bay, ME 04999, USA"]}
markets: [us-soap]
`
	plainYAML = `name: Plain
identity: soap
pot: [{material: olive-oil, weight: 1000 g}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {per_lye: 2}}
cuts: {bar: {count: 8, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}
`
)

// write makes a folder with these files.
func write(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// open opens a folder with these files, and with a shop.yaml unless one is given.
func open(t *testing.T, files map[string]string) *shop.Folder {
	t.Helper()
	if _, ok := files["shop.yaml"]; !ok {
		files["shop.yaml"] = shopYAML
	}
	f, err := shop.Open(write(t, files))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func get(t *testing.T, f *shop.Folder, id string) formula.Formula {
	t.Helper()
	doc, err := f.Formula(id)
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// told gives findings as "file: RULE".
func told(found []finding.Finding) []string {
	var all []string
	for _, f := range found {
		all = append(all, f.At.File+": "+f.Rule)
	}
	return all
}

func TestOpen(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/plain.yaml":        plainYAML,
		"formulas/another.yaml":      strings.Replace(plainYAML, "Plain", "Another", 1),
		"formulas/notes.txt":         "not read",
		"formulas/.hidden.yaml":      "not read: [",
		"formulas/old.yaml/keep":     "not read",
		"materials/house-blend.yaml": "name: House blend\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\n",
	})
	if got := f.Shop.Maker.Name.V; got != "Tern & Thimble" {
		t.Errorf("the maker is %q", got)
	}
	if got := f.IDs(); !slices.Equal(got, []string{"another", "plain"}) {
		t.Errorf("formulas %q", got)
	}
	if m, ok := f.Library.Find("House blend"); !ok || m.Name.V != "House blend" {
		t.Errorf("material %+v, %t", m, ok)
	}
	if got := f.Broken(); got != nil {
		t.Errorf("broken: %v", got)
	}
	if got := f.Findings(get(t, f, "plain")); len(got) != 0 {
		t.Errorf("findings %v", got)
	}
}

func TestOpenWithoutFormulas(t *testing.T) {
	f := open(t, map[string]string{})
	if got := f.IDs(); len(got) != 0 {
		t.Errorf("formulas %q", got)
	}
	_, err := f.Formula("plain")
	if unknown := (*shop.UnknownError)(nil); !errors.As(err, &unknown) || *unknown != (shop.UnknownError{What: "formula", Name: "plain"}) {
		t.Errorf("error %v", err)
	}
}

// What is no shop folder is told from one that cannot be read.
func TestOpenFails(t *testing.T) {
	for _, tt := range []struct {
		name  string
		files map[string]string
		err   func(error) bool
		says  string
	}{
		{"an empty folder", map[string]string{}, func(err error) bool { return errors.Is(err, shop.ErrNoShop) }, "there is no shop.yaml in "},
		{"formulas alone", map[string]string{"formulas/plain.yaml": plainYAML}, func(err error) bool { return errors.Is(err, shop.ErrNoShop) }, "there is no shop.yaml in "},
		{"an empty shop.yaml", map[string]string{"shop.yaml": ""}, noDocument, "shop.yaml"},
		{"a shop.yaml that is a list", map[string]string{"shop.yaml": "- maker\n"}, noDocument, "shop.yaml"},
		{"a shop.yaml that is a folder", map[string]string{"shop.yaml/keep": ""}, func(err error) bool {
			path := (*fs.PathError)(nil)
			return errors.As(err, &path) && !errors.Is(err, shop.ErrNoShop)
		}, "shop.yaml"},
		{"formulas that are a file", map[string]string{"shop.yaml": shopYAML, "formulas": ""}, func(err error) bool {
			path := (*fs.PathError)(nil)
			return errors.As(err, &path)
		}, "formulas"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, err := shop.Open(write(t, tt.files))
			if err == nil || !tt.err(err) || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("error %v, folder %v", err, f)
			}
		})
	}
	if _, err := shop.Open(filepath.Join(t.TempDir(), "nowhere")); !errors.Is(err, shop.ErrNoShop) {
		t.Errorf("a folder that is not there: %v", err)
	}
}

func noDocument(err error) bool {
	none := (*shop.NoDocument)(nil)
	return errors.As(err, &none)
}

// A file that is no document does not keep the others from being read. It is
// known by its name, and asking for it gives its error.
func TestBrokenFiles(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/plain.yaml":    plainYAML,
		"formulas/empty.yaml":    "",
		"formulas/list.yaml":     "- name: Plain\n",
		"formulas/My Soap.yaml":  "[",
		"formulas/huge.yaml":     plainYAML + strings.Repeat("# more\n", source.MaxBytes/6),
		"materials/blend.yaml":   "\x00",
		"materials/unused.yaml":  "",
		"formulas/blended.yaml":  strings.Replace(plainYAML, "olive-oil", "blend", 1),
		"materials/Big One.yaml": "",
		"formulas/big.yaml":      strings.Replace(plainYAML, "olive-oil", "big-one", 1),
	})
	if got := f.IDs(); !slices.Equal(got, []string{"big", "blended", "plain"}) {
		t.Errorf("formulas %q", got)
	}
	for id, file := range map[string]string{
		"empty": "formulas/empty.yaml", "list.yaml": "formulas/list.yaml", "formulas/huge.yaml": "formulas/huge.yaml",
		"my-soap": "formulas/My Soap.yaml", "My Soap": "formulas/My Soap.yaml",
	} {
		_, err := f.Formula(id)
		if none := (*shop.NoDocument)(nil); !errors.As(err, &none) || none.Findings[0].At.File != file {
			t.Errorf("%s: error %v, want that %s is no document", id, err, file)
		}
	}
	var files []string
	for _, err := range f.Broken() {
		none := (*shop.NoDocument)(nil)
		if !errors.As(err, &none) {
			t.Fatalf("error %v", err)
		}
		files = append(files, none.Findings[0].At.File)
	}
	want := []string{"formulas/My Soap.yaml", "formulas/empty.yaml", "formulas/huge.yaml", "formulas/list.yaml", "materials/Big One.yaml", "materials/blend.yaml", "materials/unused.yaml"}
	if !slices.Equal(files, want) {
		t.Errorf("broken %q, want %q", files, want)
	}
	for id, want := range map[string][]string{
		"plain": nil, "blended": {"materials/blend.yaml: " + source.RuleEncoding}, "big": {"materials/Big One.yaml: " + source.RuleNothing},
	} {
		if got := told(f.Findings(get(t, f, id))); !slices.Equal(got, want) {
			t.Errorf("%s: findings %q, want %q", id, got, want)
		}
	}
}

// A file whose name is no id is found by the id that it stands for, so that the
// finding about its name is told. Two files for one id stop whatever rests on either.
func TestNamesThatAreNoIDs(t *testing.T) {
	files := map[string]string{
		"formulas/My Soap.yaml":    strings.Replace(plainYAML, "olive-oil", "own-oil", 1),
		"materials/Own Oil.yaml":   "name: Own oil\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\n",
		"formulas/Rose_Water.yaml": plainYAML,
		"formulas/rose-water.yaml": plainYAML,
	}
	f := open(t, files)
	if got := f.IDs(); !slices.Equal(got, []string{"my-soap", "rose-water"}) {
		t.Errorf("formulas %q", got)
	}
	for id, want := range map[string][]string{
		"my-soap": {"formulas/My Soap.yaml: " + formula.RuleID, "materials/Own Oil.yaml: " + formula.RuleID}, "My Soap": {"formulas/My Soap.yaml: " + formula.RuleID, "materials/Own Oil.yaml: " + formula.RuleID},
		"rose-water": {"formulas/rose-water.yaml: " + shop.RuleTwice}, "Rose_Water.yaml": {"formulas/rose-water.yaml: " + shop.RuleTwice},
	} {
		if got := told(f.Findings(get(t, f, id))); !slices.Equal(got, want) {
			t.Errorf("%s: findings %q, want %q", id, got, want)
		}
	}
}

// A material that is there and cannot be read is never replaced by the built-in one
// without a word.
func TestMaterialThatCannotBeRead(t *testing.T) {
	dir := write(t, map[string]string{"shop.yaml": shopYAML, "formulas/plain.yaml": plainYAML, "materials/kept.yaml": "name: Kept\nkind: oil\n"})
	if err := os.Symlink("nowhere", filepath.Join(dir, "materials", "olive-oil.yaml")); err != nil {
		t.Skipf("this file system has no links: %v", err)
	}
	f, err := shop.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := told(f.Findings(get(t, f, "plain"))), []string{"materials/olive-oil.yaml: " + shop.RuleUnreadable}; !slices.Equal(got, want) {
		t.Errorf("findings %q, want %q", got, want)
	}
	if len(f.Broken()) != 1 {
		t.Errorf("broken: %v", f.Broken())
	}
}

// Both endings of a file name stand for the same id.
func TestTwoEndings(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/plain.yaml": plainYAML, "materials/olive-oil.yaml": "name: A\nunknown: key\n", "materials/olive-oil.yml": "name: B\n",
	})
	got := told(f.Findings(get(t, f, "plain")))
	for _, want := range []string{"materials/olive-oil.yaml: " + shop.RuleTwice, "materials/olive-oil.yml: " + shop.RuleTwice} {
		if !slices.Contains(got, want) {
			t.Errorf("findings %q lack %q", got, want)
		}
	}
}

// A path that leads out of the folder is not answered with a formula of this shop.
func TestPathOfAnotherShop(t *testing.T) {
	f := open(t, map[string]string{"formulas/plain.yaml": plainYAML})
	if _, err := f.Formula("/nowhere/formulas/plain.yaml"); err == nil {
		t.Error("a formula of another folder was found here")
	}
	if _, err := f.Formula(filepath.Join(f.Dir, "formulas", "plain.yaml")); err != nil {
		t.Error(err)
	}
}

// Of a huge file only as much is read as shows that it is one.
func TestHugeFile(t *testing.T) {
	dir := write(t, map[string]string{"shop.yaml": shopYAML, "formulas/huge.yaml": ""})
	const size = 1 << 34 // a file with a hole: no disk is filled
	if err := os.Truncate(filepath.Join(dir, "formulas", "huge.yaml"), size); err != nil {
		t.Skipf("this file system has no holes: %v", err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f, err := shop.Open(dir)
	runtime.ReadMemStats(&after)
	if err != nil {
		t.Fatal(err)
	}
	_, err = f.Formula("huge")
	if none := (*shop.NoDocument)(nil); !errors.As(err, &none) || none.Findings[0].Rule != source.RuleSize {
		t.Errorf("error %v, want %s", err, source.RuleSize)
	}
	if took := after.TotalAlloc - before.TotalAlloc; took > 100*source.MaxBytes {
		t.Errorf("reading it took %d bytes", took)
	}
}

func TestFormulaByName(t *testing.T) {
	f := open(t, map[string]string{"formulas/hay-meadow.yaml": plainYAML, "formulas/millpond.yaml": plainYAML})
	for _, name := range []string{"hay-meadow", "Hay Meadow", "hay_meadow", "hay-meadow.yaml", "formulas/hay-meadow.yaml"} {
		if doc, err := f.Formula(name); err != nil || doc.ID != "hay-meadow" {
			t.Errorf("%q gives %q, error %v", name, doc.ID, err)
		}
	}
	for _, tt := range []struct{ name, id, nearest, says string }{
		{"hay-medow", "hay-medow", "hay-meadow", `there is no formula "hay-medow"; did you mean "hay-meadow"?`},
		{"Mill Pond", "mill-pond", "millpond", `there is no formula "mill-pond"; did you mean "millpond"?`},
		{"castile", "castile", "", `there is no formula "castile"`},
		{"", "", "", `there is no formula ""`},
	} {
		_, err := f.Formula(tt.name)
		unknown := (*shop.UnknownError)(nil)
		if !errors.As(err, &unknown) || *unknown != (shop.UnknownError{What: "formula", Name: tt.id, Nearest: tt.nearest}) || err.Error() != tt.says {
			t.Errorf("%q: error %v, want %q", tt.name, err, tt.says)
		}
	}
}

// A variant is whole whichever of the files comes first by name, over any number
// of steps.
func TestVariants(t *testing.T) {
	for _, ids := range [][3]string{{"a", "b", "c"}, {"c", "b", "a"}, {"b", "c", "a"}, {"b", "a", "c"}, {"a", "c", "b"}, {"c", "a", "b"}} {
		t.Run(strings.Join(ids[:], " "), func(t *testing.T) {
			base, middle, top := ids[0], ids[1], ids[2]
			f := open(t, map[string]string{
				"formulas/" + base + ".yaml":   plainYAML + "keep: {durability: 12 months}\n",
				"formulas/" + middle + ".yaml": "like: " + base + "\nname: Middle\nlye: {superfat: 8%}\n",
				"formulas/" + top + ".yaml":    "like: " + middle + "\nname: Top\nadd: [{material: kaolin, share: 1%}]\n",
			})
			doc := get(t, f, top)
			if doc.Name.V != "Top" || doc.Identity.V != "soap" || doc.Lye.Superfat.V.Percent() != 8 || len(doc.Pot) != 1 || len(doc.Add) != 1 || doc.Keep.Durability.V != 12 || len(doc.Cuts) != 1 {
				t.Errorf("the variant is %+v", doc)
			}
			if doc := get(t, f, middle); doc.Name.V != "Middle" || doc.Identity.V != "soap" || len(doc.Add) != 0 {
				t.Errorf("the one between is %+v", doc)
			}
			if doc := get(t, f, base); doc.Name.V != "Plain" || doc.Lye.Superfat.V.Percent() != 5 {
				t.Errorf("the base became %+v", doc)
			}
			for _, id := range f.IDs() {
				if got := f.Findings(get(t, f, id)); len(got) != 0 {
					t.Errorf("%s: findings %v", id, got)
				}
			}
		})
	}
}

// Formulas that are like each other, like themselves, or like none that is there.
func TestVariantsThatLeadNowhere(t *testing.T) {
	f := open(t, map[string]string{
		"formulas/self.yaml":  "like: self\nname: Self\n",
		"formulas/hen.yaml":   "like: egg\nname: Hen\n",
		"formulas/egg.yaml":   "like: hen\nname: Egg\n",
		"formulas/chick.yaml": "like: egg\nname: Chick\n",
		"formulas/lost.yaml":  "like: plian\nname: Lost\n",
		"formulas/plain.yaml": plainYAML,
		"formulas/empty.yaml": "",
		"formulas/heir.yaml":  "like: empty\nname: Heir\n",
	})
	for id, says := range map[string]string{
		"self": `"self" is like "self": that goes in a circle`, "hen": `"hen" is like "egg", which is like "hen": that goes in a circle`,
		"egg":   `"egg" is like "hen", which is like "egg": that goes in a circle`,
		"chick": `"chick" is like "egg", which is like "hen", which is like "egg": that goes in a circle`,
		"lost":  `there is no formula "plian"`, "heir": `there is no formula "empty"`,
	} {
		found := f.Findings(get(t, f, id))
		i := slices.IndexFunc(found, func(x finding.Finding) bool { return x.Message == says && x.Rule == formula.RuleLike })
		if i < 0 || found[i].Level != finding.Stop {
			t.Errorf("%s: findings %v, want %q", id, found, says)
		}
	}
	if got := told(f.Findings(get(t, f, "heir"))); !slices.Contains(got, "formulas/empty.yaml: "+source.RuleNothing) {
		t.Errorf("heir: findings %q, without what is wrong with the one that it is like", got)
	}
	if found := f.Findings(get(t, f, "lost")); !strings.Contains(found[0].Remedy, `"plain"`) || found[0].At.String() != "formulas/lost.yaml:1:7" {
		t.Errorf("lost: %+v", found[0])
	}
	if found := f.Findings(get(t, f, "plain")); len(found) != 0 {
		t.Errorf("plain: %v", found)
	}
}

// A formula rests on shop.yaml, on the materials that it names, wherever it names
// them, and on the formulas that it is like; the faults of other files are not
// its own.
func TestFindingsOfTheFilesInUse(t *testing.T) {
	files := map[string]string{
		"shop.yaml":           shopYAML + "frob: 1\n",
		"formulas/other.yaml": plainYAML + "frob: 1\n",
		"formulas/whole.yaml": `name: Whole
identity: soap
pot: [{material: Pot Oil, weight: 900 g}]
lye: {solution: strong lye, superfat: 5%, liquids: [{material: oat-milk, weight: 50 g, into: oils}]}
add:
  - {material: red_clay, weight: 3 g, with: [{material: carrier oil, weight: 9 g}]}
`,
		"formulas/rebatch.yaml": "name: Rebatch\nidentity: soap\nbase: [{material: clear-base, weight: 900 g}]\n",
		"formulas/variant.yaml": "like: middle\nname: Variant\n",
		"formulas/middle.yaml":  "like: other\nname: Middle\n",
	}
	for id, kind := range map[string]string{"pot-oil": "oil", "strong-lye": "lye solution", "oat-milk": "liquid", "red-clay": "colourant", "carrier-oil": "oil", "clear-base": "base", "unused": "oil"} {
		files["materials/"+id+".yaml"] = "name: " + id + "\nkind: " + kind + "\nfrob: 1\n"
	}
	f := open(t, files)
	for id, want := range map[string][]string{
		"whole":   {"materials/carrier-oil.yaml", "materials/oat-milk.yaml", "materials/pot-oil.yaml", "materials/red-clay.yaml", "materials/strong-lye.yaml", "shop.yaml"},
		"rebatch": {"materials/clear-base.yaml", "shop.yaml"},
		"other":   {"formulas/other.yaml", "shop.yaml"},
		"variant": {"formulas/other.yaml", "shop.yaml"},
	} {
		var got []string
		for _, x := range f.Findings(get(t, f, id)) {
			if x.Rule == source.RuleUnknown {
				got = append(got, x.At.File)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: faults of %q, want %q", id, got, want)
		}
	}
}

// Findings get the line that they point into; what points nowhere gets none, and
// a line that is there already stays.
func TestExcerpt(t *testing.T) {
	f := open(t, map[string]string{"formulas/plain.yaml": strings.ReplaceAll(plainYAML, "\n", "\r\n")})
	at := func(file string, line int) finding.Finding {
		return finding.Finding{At: finding.Pos{File: file, Line: line, Col: 1}}
	}
	kept := at("shop.yaml", 2)
	kept.Excerpt = "kept"
	found := []finding.Finding{at("formulas/plain.yaml", 2), at("shop.yaml", 2), at("shop.yaml", 0), at("shop.yaml", -1), at("shop.yaml", 99), at("elsewhere.yaml", 1), kept}
	f.Excerpt(found)
	for i, want := range []string{"identity: soap", "markets: [us-soap]", "", "", "", "", "kept"} {
		if found[i].Excerpt != want {
			t.Errorf("%s: excerpt %q, want %q", found[i].At, found[i].Excerpt, want)
		}
	}
}
