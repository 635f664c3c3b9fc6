package formula_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/source"
)

// elsewhere takes documents that stand in other places, and say the same, for equal.
var elsewhere = cmp.Options{
	days, cmpopts.IgnoreTypes(finding.Pos{}), cmpopts.IgnoreFields(formula.Formula{}, "File"), cmpopts.IgnoreFields(formula.Material{}, "File"),
}

var begun = func() day.Day {
	d, err := day.Parse("2026-11-26")
	if err != nil {
		panic(err)
	}
	return d
}()

// freeze writes the record of the batch b-1 and reads it back. It must have no findings.
func freeze(t interface {
	Helper()
	Fatalf(string, ...any)
}, made string, documents map[string]string) (formula.Frozen, string) {
	t.Helper()
	record := string(formula.WriteFrozen("b-1", made, begun, documents, nil))
	f, findings, err := formula.ReadFrozen("batches/2026/b-1.made.yaml", []byte(record))
	if err != nil || len(findings) > 0 {
		t.Fatalf("%v, findings %s, of\n%s", err, ruled(findings), record)
	}
	return f, record
}

// What was written is read back word for word, whatever it is. White space at the end of
// the document, and on lines that have nothing else, is no word.
func TestFrozenWordForWord(t *testing.T) {
	line := rapid.OneOf(
		rapid.SampledFrom([]string{
			"", " ", "\t", "# a comment", "   # another", "name: a", "  - {material: olive-oil, share: 50%}  ", "\tafter a tab", "a trailing tab\t", "---", "...", "--- # and more",
			"text: |2", "note: >-", "'quoted", "\"double", "%YAML 1.1", "- - -", "key: &anchor *alias", "☙ œuf, Ölfaß, オリーブ油 🧼", "Cafe\u0301", "\u00a0no-break", "? key", ": value", "# frozen, as it was:",
			strings.Repeat("long ", 500),
		}),
		rapid.StringOfN(rapid.RuneFrom([]rune(" \tabcå:#-|>&*!%@`'\"{}[],?\\0")), 0, 30, -1),
	)
	rapid.Check(t, func(t *rapid.T) {
		documents, want := map[string]string{}, map[string]string{}
		for _, file := range []string{"shop.yaml", "formulas/x.yaml", "materials/olive-oil.yaml", "materials/b c.yml"}[:rapid.IntRange(0, 4).Draw(t, "documents")] {
			lines := rapid.SliceOfN(line, 0, 12).Draw(t, "lines")
			end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end of line")
			text := strings.Join(lines, end)
			if rapid.Bool().Draw(t, "ends with a line feed") {
				text += end
			}
			if rapid.Bool().Draw(t, "byte order mark") {
				text = "\ufeff" + text
			}
			documents[file] = text
			for i, line := range lines {
				if strings.TrimSpace(line) == "" {
					lines[i] = ""
				}
			}
			want[file] = strings.TrimSpace("# " + file + ", as it was:\n" + strings.Join(lines, "\n"))
		}
		f, record := freeze(t, "x", documents)
		got := map[string]string{}
		for _, d := range f.Documents {
			got[d.File.V] = d.Text.V
		}
		if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
			t.Fatalf("-want +got:\n%s\n%s", diff, record)
		}
		if f.Code.V != "b-1" || f.Formula.V != "x" || f.Written.V != begun {
			t.Fatalf("%+v", f)
		}
		// What is as it was has not changed.
		if found := f.Changed(func(file string) (string, bool) { text, ok := documents[file]; return text, ok }); len(found) > 0 {
			t.Fatalf("changed without a change: %s", found[0].Text())
		}
	})
}

// The record is the one that WriteFrozen's comment promises: this is what a maker sees.
func TestFrozenAsItStands(t *testing.T) {
	got := string(formula.WriteFrozen("26330-01-S", "x", begun, map[string]string{"shop.yaml": "maker: a\n\n  # b\n", "formulas/x.yaml": "name: a"}, nil))
	const want = `# Written once, when the batch was begun: what it was made by, word for word.
# Nothing here is changed afterwards; the live record stands in the file beside it.
code: 26330-01-S
formula: x
written: 2026-11-26
documents:
  - file: formulas/x.yaml
    text: |2
      # formulas/x.yaml, as it was:
      name: a
  - file: shop.yaml
    text: |2
      # shop.yaml, as it was:
      maker: a

        # b
`
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// The formulas of a shop, and its materials, are the same out of the record.
func TestFrozenRecipe(t *testing.T) {
	documents := map[string]string{}
	var own []formula.Material
	written, whole := map[string]formula.Formula{}, map[string]formula.Formula{}
	var shop formula.Shop
	for file, data := range shopFiles(t) {
		var err error
		switch {
		case strings.HasPrefix(file, "batches/"):
			continue
		case file == "shop.yaml":
			shop, _, err = formula.ReadShop(file, data)
		case strings.HasPrefix(file, "materials/"):
			var m formula.Material
			m, _, err = formula.ReadMaterial(file, data)
			own = append(own, m)
		default:
			var f formula.Formula
			f, _, err = formula.ReadFormula(file, data)
			written[f.ID] = f
		}
		if err != nil {
			t.Fatal(err)
		}
		documents[file] = string(data)
	}
	find := func(id string) (formula.Formula, bool) { f, ok := written[id]; return f, ok }
	variants := 0
	for id, f := range written {
		whole[id], _ = formula.Complete(f, find, slices.Sorted(maps.Keys(written)))
		if f.Like.Given() {
			variants++
		}
	}
	if variants == 0 || len(own) == 0 || len(shop.Moulds) == 0 {
		t.Fatalf("%d variants, %d materials, %d moulds: the shop does not show enough", variants, len(own), len(shop.Moulds))
	}
	for id, want := range whole {
		frozen, record := freeze(t, id, documents)
		got, library, findings, ok := frozen.Recipe()
		if !ok || len(findings) > 0 {
			t.Fatalf("%s: found %t, findings %s", id, ok, ruled(findings))
		}
		if diff := cmp.Diff(want, got, elsewhere); diff != "" {
			t.Errorf("%s: -shop +record:\n%s", id, diff)
		}
		// Each value stands where the record says that it does.
		lines := strings.Split(record, "\n")
		for _, in := range append(got.Pot, got.Base...) {
			name := in.Name()
			if name.At.File != frozen.File || !strings.HasPrefix(strings.TrimPrefix(string([]rune(lines[name.At.Line-1])[name.At.Col-1:]), "\""), name.V) {
				t.Errorf("%s: %q does not stand at %s", id, name.V, name.At)
			}
		}
		for _, m := range own {
			want, _ := formula.NewLibrary(own).Find(m.ID)
			got, ok := library.Find(m.ID)
			if diff := cmp.Diff(want, got, elsewhere); !ok || diff != "" {
				t.Errorf("%s: %s -shop +record:\n%s", id, m.ID, diff)
			}
		}
		for name, want := range shop.Moulds {
			if got, ok := library.Mould(name); !ok || !cmp.Equal(want, got, elsewhere) {
				t.Errorf("the mould %q is %+v, want %+v", name, got, want)
			}
		}
	}
	// A record without the formula that it names gives none.
	none, _ := freeze(t, "gone", documents)
	if _, _, findings, ok := none.Recipe(); ok || ruled(findings) != none.File+":4:10 warn FORM-FROZEN" {
		t.Errorf("a formula that is not there: found %t, findings %s", ok, ruled(findings))
	}
	// A batch of a material has none, and its library.
	material, _ := freeze(t, "", documents)
	_, library, findings, ok := material.Recipe()
	if m, _ := library.Find("pantry-base"); ok || len(findings) > 0 || m.File != material.File {
		t.Errorf("a batch of a material: found %t, findings %s, material %+v", ok, ruled(findings), m)
	}
}

// A document is read out of the record however it is written.
func TestFrozenDocumentsInManyHands(t *testing.T) {
	const body = "name: Æ\nidentity: soap\npot:\n- {material: olive-oil, weight: 1000 g}\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\nwords:\n  en:\n    listing: >\n      stir, and\n      stir\n\n      again\n    note: \"in two\n      lines\"\n    kept: |\n      a\n        b\n\n      c\n"
	for _, tt := range []struct{ name, text string }{
		{"plainly", body},
		{"with the ends of lines of another system", strings.ReplaceAll(body, "\n", "\r\n")},
		{"with a byte order mark", "\ufeff" + body},
		{"without an end of its last line", strings.TrimSpace(body)},
		{"with the mark of a document", "---\n" + body},
		{"with a comment and the mark of a document", "# mine\n--- # begins\n" + body},
		{"with the end of a document", body + "...\n"},
		{"with blank lines first", "\n\n   \n" + body + "\n\n"},
		{"indented", "  " + strings.ReplaceAll(strings.TrimSpace(body), "\n", "\n  ")},
		{"of more letters than a text has", strings.Repeat("# the story of this soap\n", 200) + body},
	} {
		t.Run(tt.name, func(t *testing.T) {
			want, findings, err := formula.ReadFormula("formulas/x.yaml", []byte(tt.text))
			if err != nil || len(findings) > 0 {
				t.Fatal(err, findings)
			}
			frozen, record := freeze(t, "x", map[string]string{"formulas/x.yaml": tt.text})
			got, _, findings, ok := frozen.Recipe()
			if !ok || len(findings) > 0 {
				t.Fatalf("found %t, findings %s", ok, ruled(findings))
			}
			if diff := cmp.Diff(want, got, elsewhere); diff != "" {
				t.Errorf("-shop +record:\n%s", diff)
			}
			if line := strings.Split(record, "\n")[got.Identity.At.Line-1]; line[got.Identity.At.Col-1:] != "soap" {
				t.Errorf("the identity does not stand at %s", got.Identity.At)
			}
		})
	}
}

// What is wrong in a document is told at its place in the record.
func TestFindingsInTheRecord(t *testing.T) {
	documents := map[string]string{
		"shop.yaml":                 "frob: 1\n", // what is wrong in it is no matter of the batch
		"formulas/x.yaml":           "like: base\nsize: {oils: 1 kg, batter: 2 kg}\n",
		"formulas/base.yaml":        "name: a\nidentity: soap\n\npot:\n- {material: house-blend, weight: 1000 g}\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}, frob: 2}\n",
		"materials/house-blend.yml": "# æ\nname: House\nkind: oil blend\nfrob: 3\ncontains: [{inci: a, share: 101%}, {inci: b}]\n",
		"notes/x.yaml":              "[ no document that a batch rests on",
	}
	frozen, record := freeze(t, "x", documents)
	_, _, findings, ok := frozen.Recipe()
	if !ok {
		t.Fatal("there is no formula")
	}
	var want []string
	for _, file := range slices.Sorted(maps.Keys(documents)) {
		if file == "shop.yaml" || file == "notes/x.yaml" {
			continue
		}
		var original []finding.Finding
		if strings.HasPrefix(file, "formulas/") {
			_, original, _ = formula.ReadFormula(file, []byte(documents[file]))
		} else {
			_, original, _ = formula.ReadMaterial(file, []byte(documents[file]))
		}
		if len(original) == 0 {
			t.Fatalf("%s has no findings", file)
		}
		// The first line of a document is the second below "text:"; it stands six columns in.
		first := strings.Count(record[:strings.Index(record, "# "+file+", as it was:")], "\n") + 2
		for _, x := range original {
			want = append(want, fmt.Sprintf("%s:%d:%d %s %s", frozen.File, x.At.Line+first-1, x.At.Col+6, x.Level, x.Rule))
		}
	}
	var got []string
	for _, x := range findings {
		got = append(got, ruled([]finding.Finding{x}))
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("findings\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// One of them to the letter, counted by hand: there are 6 + 26 + 14 + 24 characters
	// before "frob" of the lye, and 6 of indent before these.
	at := slices.IndexFunc(findings, func(x finding.Finding) bool {
		return x.Rule == source.RuleUnknown && strings.Contains(x.Excerpt, "lye")
	})
	if at < 0 || findings[at].At != (finding.Pos{File: frozen.File, Line: 15, Col: 77}) || strings.Split(record, "\n")[14][76:] != "frob: 2}" {
		t.Errorf("findings %s in\n%s", ruled(findings), record)
	}
}

// A document that is none is told, and the others are read.
func TestBrokenDocumentInTheRecord(t *testing.T) {
	for file, ok := range map[string]bool{"formulas/x.yaml": false, "formulas/other.yaml": true, "materials/a.yaml": true, "shop.yaml": true} {
		documents := map[string]string{"formulas/x.yaml": plainly}
		documents[file] = "name: [\n"
		frozen, record := freeze(t, "x", documents)
		_, _, findings, got := frozen.Recipe()
		line := strings.Count(record[:strings.Index(record, "# "+file)], "\n")
		want := fmt.Sprintf("%s:%d:11 warn FORM-FROZEN", frozen.File, line)
		if !ok { // and there is no such formula, whose name stands in line 4
			want += fmt.Sprintf(", %s:4:10 warn FORM-FROZEN", frozen.File)
		}
		if got != ok || ruled(findings) != want {
			t.Errorf("%s: found %t, findings %s, want %s", file, got, ruled(findings), want)
		}
	}
}

func TestFrozenIsReadStrictly(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"another batch", "code: b-2\n", "batches/b-1.made.yaml:1:7 stop FORM-CODE"},
		{"no code", "formula: x\n", "batches/b-1.made.yaml:1:1 stop FORM-MISSING"},
		{"a document without a file", "code: b-1\ndocuments:\n- text: a\n", "batches/b-1.made.yaml:3:3 stop FORM-MISSING"},
		{"a document without a text", "code: b-1\ndocuments:\n- file: formulas/x.yaml\n", "batches/b-1.made.yaml:3:3 stop FORM-MISSING"},
		{"a day, a key and a name", "code: b-1\nwritten: soon\nfrob: 1\nformula: a/b\n", "batches/b-1.made.yaml:2:10 stop SRC-DAY, batches/b-1.made.yaml:3:1 stop SRC-UNKNOWN-KEY, batches/b-1.made.yaml:4:10 stop FORM-ID"},
		{"long texts elsewhere", "code: b-1\nfigures: [{id: olive-oil, says: " + strings.Repeat("a", 2001) + "}]\n", "batches/b-1.made.yaml:2:33 stop SRC-LONG"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, findings, err := formula.ReadFrozen("batches/b-1.made.yaml", []byte(tt.in))
			if err != nil || ruled(findings) != tt.want {
				t.Errorf("%v, findings %s, want %s", err, ruled(findings), tt.want)
			}
		})
	}
	if _, _, err := formula.ReadFrozen("batches/b-1.made.yaml", []byte("[")); err == nil {
		t.Error("no document was read")
	}
}

func TestFrozenName(t *testing.T) {
	for live, want := range map[string]string{"batches/2026/b-1.yaml": "batches/2026/b-1.made.yaml", "batches/b-1.yml": "batches/b-1.made.yaml"} {
		if got := formula.FrozenName(live); got != want || !formula.IsFrozen(got) || formula.IsFrozen(live) {
			t.Errorf("%s: %s", live, got)
		}
	}
}

// Figures that are others today are told, at their place.
func TestReadAgain(t *testing.T) {
	f := readFormula(t, blended+"add: [{material: lavender-oil, share: 1%}]\n")
	library := formula.NewLibrary(bought(t))
	figures := library.Builtins(f)
	var ids []string
	for _, s := range figures {
		ids = append(ids, s.ID)
	}
	// The blend is of olive and coconut oil; castor oil and the alkali stand in the formula.
	for _, id := range []string{"olive-oil", "coconut-oil", "castor-oil", "sodium-hydroxide"} {
		if !slices.Contains(ids, id) {
			t.Errorf("%q is not among what the formula rests on: %q", id, ids)
		}
	}
	if !slices.IsSorted(ids) || len(slices.Compact(slices.Clone(ids))) != len(ids) {
		t.Errorf("ids %q", ids)
	}
	record := string(formula.WriteFrozen("b-1", "x", begun, nil, figures))
	again := func(record string) string {
		frozen, findings, err := formula.ReadFrozen("batches/b-1.made.yaml", []byte(record))
		if err != nil || len(findings) > 0 || len(frozen.Figures) != len(figures) {
			t.Fatal(err, ruled(findings), len(frozen.Figures))
		}
		return ruled(frozen.ReadAgain())
	}
	if got := again(record); got != "" {
		t.Errorf("findings %s without a change", got)
	}
	// Codex Stan 33 gives olive oil 184 to 196 mg KOH/g; its middle is 190.
	if !strings.Contains(record, "SAP 190 mg KOH/g (184 to 196)") {
		t.Fatalf("the record does not have the figure of olive oil:\n%s", record)
	}
	place := func(record, id string) string {
		i := strings.Index(record, "{id: "+id+", says: ")
		line := record[strings.LastIndexByte(record[:i], '\n')+1 : i]
		return fmt.Sprintf("batches/b-1.made.yaml:%d:%d warn FORM-FIGURE", strings.Count(record[:i], "\n")+1, len(line)+len("{id: "+id+", says: ")+1)
	}
	changed := strings.Replace(record, "SAP 190 mg", "SAP 189 mg", 1)
	if got := again(changed); got != place(changed, "olive-oil") {
		t.Errorf("findings %s, want %s", got, place(changed, "olive-oil"))
	}
	gone := strings.Replace(record, "id: castor-oil", "id: castor-oyl", 1)
	if got := again(gone); got != place(gone, "castor-oyl") {
		t.Errorf("findings %s, want %s", got, place(gone, "castor-oyl"))
	}
}

// A material of the shop that says something else than it did is told, or that is gone.
func TestChanged(t *testing.T) {
	documents := map[string]string{
		"formulas/x.yaml": plainly, "shop.yaml": "maker: {name: a}\n",
		"materials/a.yaml": "kind: oil\n \nname: A  \n", "materials/b.yaml": "\ufeffname: B\r\n",
	}
	frozen, record := freeze(t, "x", documents)
	at := func(file, says string) string {
		return fmt.Sprintf("%s:%d:11 note FORM-CHANGED", frozen.File, strings.Count(record[:strings.Index(record, "- file: "+file)], "\n")+1) + says
	}
	for _, tt := range []struct {
		name  string
		today map[string]string
		want  string
	}{
		{"nothing", nil, ""},
		{"the formula and the shop", map[string]string{"formulas/x.yaml": "name: other", "shop.yaml": ""}, ""},
		{"a space within a line", map[string]string{"materials/a.yaml": "kind:  oil\n \nname: A  \n"}, at("materials/a.yaml", " materials/a.yaml has been changed")},
		{"a comment", map[string]string{"materials/a.yaml": "kind: oil\n \nname: A  # new\n"}, at("materials/a.yaml", " materials/a.yaml has been changed")},
		{"blank lines at the end", map[string]string{"materials/a.yaml": "kind: oil\n\nname: A\n\n\n"}, ""},
		{"the ends of lines", map[string]string{"materials/a.yaml": "kind: oil\r\n \r\nname: A  \r\n", "materials/b.yaml": "name: B"}, ""},
		{"gone", map[string]string{"materials/b.yaml": "-"}, at("materials/b.yaml", " materials/b.yaml is no longer there")},
	} {
		t.Run(tt.name, func(t *testing.T) {
			today := maps.Clone(documents)
			maps.Copy(today, tt.today)
			found := frozen.Changed(func(file string) (string, bool) { text := today[file]; return text, text != "-" })
			got := ruled(found)
			if len(found) == 1 {
				before, _, _ := strings.Cut(found[0].Message, " since")
				got += " " + before
			}
			if got != tt.want {
				t.Errorf("findings %q, want %q", got, tt.want)
			}
		})
	}
}

// What a batch is made of is that of its day; what a customer reads is that of today.
func TestWithRecipe(t *testing.T) {
	today := readFormula(t, `name: New name
identity: bar soap
process: hot
size: {oils: 2 kg}
pot: [{material: castor-oil, share: 100%}]
lye: {alkali: potassium hydroxide, superfat: 9%, water: {strength: 25%}}
add: [{material: red-clay, share: 1%}]
steps: [{do: cook}]
portions: {all: 100%}
cuts: {bar: {count: 9, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}
keep: {sell_within: 12 months}
link: https://larch.example/new
words: {en: {claim: new}}
`)
	then := readFormula(t, `name: Old name
identity: soap
size: {oils: 1 kg}
pot: [{material: olive-oil, share: 100%}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}
add: [{material: kaolin, share: 2%, in: white}]
portions: {white: 40%, blue: 60%}
steps: [{do: stir}]
cuts: {old: {count: 3, length: 80 mm, width: 55 mm, height: 25 mm, claim: 3 oz}}
keep: {sell_within: 6 months}
words: {en: {claim: old}}
`)
	got := today.WithRecipe(then)
	made := []any{then.Size, then.WrittenFor, then.Pot, then.Base, then.Lye, then.Portions, then.Add, then.Process, then.Steps}
	if diff := cmp.Diff(made, []any{got.Size, got.WrittenFor, got.Pot, got.Base, got.Lye, got.Portions, got.Add, got.Process, got.Steps}); diff != "" {
		t.Errorf("the recipe: -then +got:\n%s", diff)
	}
	shown := []any{today.ID, today.File, today.Name, today.Identity, today.Cuts, today.Keep, today.Link, today.Words}
	if diff := cmp.Diff(shown, []any{got.ID, got.File, got.Name, got.Identity, got.Cuts, got.Keep, got.Link, got.Words}, days); diff != "" {
		t.Errorf("what is shown: -today +got:\n%s", diff)
	}
}

// No record makes the program fall over, and what is wrong is told inside it.
func FuzzFrozen(f *testing.F) {
	f.Add(formula.WriteFrozen("x", "x", begun, map[string]string{"formulas/x.yaml": "like: y\n", "formulas/y.yaml": plain, "materials/a.yaml": "---\nkind: oil\ninci: b\n", "shop.yaml": "moulds: {a: {holds: 1 l}}\n"}, (formula.Library{}).Builtins(readFormula(f, plain))))
	f.Add([]byte("code: x\nformula: x\ndocuments:\n- {file: formulas/x.yaml, text: \"like: x\"}\n- {file: formulas/x.yaml, text: 'a: ['}\n- {file: /, text: a}\n"))
	f.Add([]byte("formula: x\ndocuments: [{file: formulas/x.yaml}, {text: a}, {file: materials/b.yaml, text: '-'}]\n"))
	for _, data := range shopFiles(f) {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		frozen, findings, err := formula.ReadFrozen("batches/x.made.yaml", data)
		if err != nil {
			return
		}
		checkInside(t, frozen.File, data, findings)
		_, library, findings, _ := frozen.Recipe()
		for _, x := range findings {
			if x.At.File != frozen.File {
				t.Fatalf("a finding in another file: %s", x.Text())
			}
		}
		library.Nested()
		frozen.ReadAgain()
		frozen.Changed(func(string) (string, bool) { return "", false })
	})
}
