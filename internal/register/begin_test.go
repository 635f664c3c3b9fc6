package register_test

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/inci"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/register"
)

// fataler is a test, or one run of a property.
type fataler interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
	Errorf(string, ...any)
}

// put writes a file of the shop folder.
func put(t fataler, dir, file, text string) {
	t.Helper()
	name := filepath.Join(dir, filepath.FromSlash(file))
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// get reads a file of the shop folder.
func get(t fataler, dir, file string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(file)))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// asBatch reads the text of a record in which nothing is wrong of form.
func asBatch(t fataler, file, text string) formula.Batch {
	t.Helper()
	b, found, err := formula.ReadBatch(file, []byte(text))
	if err != nil || len(found) > 0 {
		t.Fatalf("%v %v in\n%s", err, found, text)
	}
	return b
}

func begin(t fataler, dir string, codes formula.Codes, s register.Start) register.Started {
	t.Helper()
	started, err := register.Begin(dir, codes, s)
	if err != nil {
		t.Fatal(err)
	}
	return started
}

// refused gives the findings for which nothing was written. Each has a rule, a message and
// a way out.
func refused(t fataler, err error) []finding.Finding {
	t.Helper()
	var no *register.Refused
	if !errors.As(err, &no) || len(no.Findings) == 0 || !strings.HasPrefix(no.Error(), "nothing was written: "+no.Findings[0].Message) {
		t.Fatalf("got %v, want that it is refused", err)
	}
	for _, f := range no.Findings {
		if f.Rule == "" || f.Message == "" || f.Remedy == "" {
			t.Errorf("%+v lacks a rule, a message or a remedy", f)
		}
	}
	return no.Findings
}

// names gives the names of all files below a folder that writers do not keep for themselves.
func names(t fataler, dir string) []string {
	t.Helper()
	var all []string
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() && !strings.HasPrefix(name, ".") {
			all = append(all, name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func startOfBars(t fataler) register.Start {
	t.Helper()
	return register.Start{Formula: "clover-oat", Made: on(t, "2026-11-26"), By: "Mirel", Place: "back room: the one with the sink"}
}

func TestBegin(t *testing.T) {
	dir := t.TempDir()
	s := startOfBars(t)
	s.Documents = map[string]string{"formulas/clover-oat.yaml": "name: Clover & oat\n", "shop.yaml": "maker: {name: Mirel}\n"}
	olive, ok := inci.ByID("olive-oil")
	if !ok {
		t.Fatal("no olive oil is built in")
	}
	s.Figures = []inci.Substance{olive}
	got := begin(t, dir, codes(t, ""), s)
	want := register.Started{Code: "26330-01-S", File: "batches/2026/26330-01-S.yaml", Frozen: "batches/2026/26330-01-S.made.yaml"}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if got := names(t, dir); !slices.Equal(got, []string{want.Frozen, want.File}) {
		t.Errorf("there are %q", got)
	}
	live := `code: 26330-01-S
formula: clover-oat
makes: bars
made: 2026-11-26
by: Mirel
place: "back room: the one with the sink"
weighed: []
cut: {}
weighings: []
packed: []
runs: []
events: []
`
	if text := get(t, dir, got.File); text != live {
		t.Errorf("the record is\n%s", text)
	}
	b := asBatch(t, got.File, live)
	if b.Place.V != s.Place || b.MakesMaterial() || len(register.Check(b, s.Made)) > 0 {
		t.Errorf("%+v, %v", b, register.Check(b, s.Made))
	}
	f, found, err := formula.ReadFrozen(got.Frozen, []byte(get(t, dir, got.Frozen)))
	if err != nil || len(found) > 0 || f.Code.V != got.Code || f.Formula.V != "clover-oat" || f.Written.V != s.Made || len(f.Documents) != 2 || len(f.Figures) != 1 || len(f.ReadAgain()) != 0 {
		t.Errorf("%+v, %v, %v", f, found, err)
	}
	if next := begin(t, dir, codes(t, ""), s); next.Code != "26330-02-Q" {
		t.Errorf("the next code is %s", next.Code)
	}
	s.Made = on(t, "2027-01-01")
	if next := begin(t, dir, codes(t, "codes: {pattern: YYMMDD-N, check: \"11,10\"}\n"), s); !strings.HasPrefix(next.Code, "270101-1-") || path.Dir(next.File) != "batches/2027" {
		t.Errorf("the code of another form is %+v", next)
	}
}

func TestBeginAMaterial(t *testing.T) {
	dir := t.TempDir()
	got := begin(t, dir, codes(t, ""), register.Start{Material: "calendula-oil", Made: on(t, "2026-11-26")})
	b := asBatch(t, got.File, get(t, dir, got.File))
	if !b.MakesMaterial() || b.Material.V != "calendula-oil" || b.Formula.Given() || b.By.Given() {
		t.Errorf("%+v", b)
	}
	if _, found, err := formula.ReadFrozen(got.Frozen, []byte(get(t, dir, got.Frozen))); err != nil || len(found) > 0 {
		t.Error(found, err)
	}
}

// A batch that is worked again is a line and a parent of the new one, once.
func TestBeginARework(t *testing.T) {
	for _, parents := range [][]string{nil, {"26001-01-A"}, {"26100-01-B", "26001-01-A"}, {"26100-01-B"}} {
		dir := t.TempDir()
		s := startOfBars(t)
		s.Rework, s.Parents = "26001-01-A", parents
		got := begin(t, dir, codes(t, ""), s)
		b := asBatch(t, got.File, get(t, dir, got.File))
		if len(b.Weighed) != 1 || b.Weighed[0].Batch.V != "26001-01-A" || b.Weighed[0].ID != "w1" {
			t.Errorf("%q: weighed %+v", parents, b.Weighed)
		}
		var all []string
		for _, p := range b.Parents {
			all = append(all, p.V)
		}
		slices.Sort(all)
		want := slices.Compact(slices.Sorted(slices.Values(append(slices.Clone(parents), "26001-01-A"))))
		if !slices.Equal(all, want) {
			t.Errorf("%q: the parents are %q, want %q", parents, all, want)
		}
		b, err := register.Add(dir, got.File, s.Made, entry("weighed", "material", "olive", "weight", "100 g"))
		if err != nil || len(b.Weighed) != 2 {
			t.Errorf("%q: %v, %+v", parents, err, b.Weighed)
		}
	}
}

func TestBeginWithATypedCode(t *testing.T) {
	dir := t.TempDir()
	s := startOfBars(t)
	s.Code = "Fair-7b"
	if got := begin(t, dir, codes(t, ""), s); got.Code != "Fair-7b" || got.File != "batches/2026/Fair-7b.yaml" {
		t.Errorf("got %+v", got)
	}
	put(t, dir, "batches/2019/OLD-1.yml", "by hand")
	put(t, dir, "batches/cut-short-3.made.yaml", "by hand")
	put(t, dir, "batches/2026/by-hand.yaml", "by hand")
	before := names(t, dir)
	for typed, says := range map[string]string{
		"Fair-7b": "already", "FAIR-7B": "already", "fair7b": "already", "F-a-i-r-7b": "already",
		"old1": "already", "OLD-1": "already", "Cut-Short3": "already", "BY-HAND": "already",
		"../up": "a file of that name", "a/b": "a file of that name", `a\b`: "a file of that name", "-a": "a file of that name", "a-": "a file of that name", "-": "a file of that name",
		"a b": "a file of that name", "a.made": "a file of that name", "CON": "a file of that name", "lpt1": "a file of that name", "ä": "a file of that name", "a\x00": "a file of that name", strings.Repeat("a", 41): "a file of that name",
	} {
		s.Code = typed
		got, err := register.Begin(dir, codes(t, ""), s)
		if f := refused(t, err); f[0].Rule != register.RuleCodes || !strings.Contains(f[0].Message, says) || got != (register.Started{}) {
			t.Errorf("%q: %+v, %v", typed, f[0], got)
		}
	}
	if after := names(t, dir); !slices.Equal(before, after) {
		t.Errorf("there are %q, and were %q", after, before)
	}
}

// What is there counts, in whatever folder and of whatever ending.
func TestBeginPassesOverCodesThatAreThere(t *testing.T) {
	f := form(t, "")
	for _, file := range []string{"batches/2026/%.yaml", "batches/2026/%.yml", "batches/2026/%.made.yaml", "batches/2019/%.yaml", "batches/%.yaml"} {
		dir := t.TempDir()
		first, _ := f.Code(on(t, "2026-11-26"), 1)
		second, _ := f.Code(on(t, "2026-11-26"), 2)
		put(t, dir, strings.Replace(file, "%", first, 1), "anything\n")
		if got := begin(t, dir, codes(t, ""), startOfBars(t)); got.Code != second {
			t.Errorf("with %s there, the next code is %s, want %s", file, got.Code, second)
		}
		if text := get(t, dir, strings.Replace(file, "%", first, 1)); text != "anything\n" {
			t.Errorf("%s is now %q", file, text)
		}
	}
}

func TestBeginWhenAllCodesAreTaken(t *testing.T) {
	const shop = "codes: {pattern: YYDDD-N}\n"
	dir, s, f := t.TempDir(), startOfBars(t), form(t, shop)
	var want, got []string
	for n := 1; n < 10; n++ {
		if code, ok := f.Code(s.Made, n); ok {
			want = append(want, code)
		}
	}
	for range want {
		got = append(got, begin(t, dir, codes(t, shop), s).Code)
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	_, err := register.Begin(dir, codes(t, shop), s)
	if f := refused(t, err); f[0].At.File != "shop.yaml" || f[0].At.Line != 2 || !strings.Contains(f[0].Message, "2026-11-26") {
		t.Errorf("%+v", f[0])
	}
	if all := names(t, dir); len(all) != 2*len(want) {
		t.Errorf("there are %q", all)
	}
	s.Made = s.Made.AddDays(1)
	begin(t, dir, codes(t, shop), s)
}

func TestBeginWithAFormThatIsNone(t *testing.T) {
	dir := t.TempDir()
	_, err := register.Begin(dir, codes(t, "codes: {pattern: NN}\n"), startOfBars(t))
	if err != nil {
		t.Errorf("a running number is a form: %v", err)
	}
	dir = t.TempDir()
	_, err = register.Begin(dir, codes(t, "codes: {pattern: DDMM}\n"), startOfBars(t))
	if none := (*register.FormError)(nil); !errors.As(err, &none) {
		t.Errorf("got %v", err)
	}
	if all := names(t, dir); len(all) > 0 {
		t.Errorf("there are %q", all)
	}
}

// A process that was killed between the two files left the frozen one. It is told, and its
// code stays taken.
func TestBeginThatWasCutOff(t *testing.T) {
	dir := t.TempDir()
	first := begin(t, dir, codes(t, ""), startOfBars(t))
	if err := os.Remove(filepath.Join(dir, filepath.FromSlash(first.File))); err != nil {
		t.Fatal(err)
	}
	second := begin(t, dir, codes(t, ""), startOfBars(t))
	if second.Code == first.Code {
		t.Errorf("%s was given twice", first.Code)
	}
	x := openIndex(t, dir, t.TempDir())
	defer x.Close()
	found, err := x.Faults()
	if err != nil || len(found) != 1 || found[0].Rule != register.RuleAlone || found[0].At.File != first.Frozen || found[0].Remedy == "" {
		t.Errorf("%v, %v", found, err)
	}
}

// Where the file system is in the way, there is no new batch and nothing is left behind.
func TestBeginWhereNothingCanBeWritten(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "batches/2026", "a file in the place of a folder")
	if got, err := register.Begin(dir, codes(t, ""), startOfBars(t)); err == nil || got != (register.Started{}) {
		t.Errorf("got %+v, %v", got, err)
	}
	if all := names(t, dir); !slices.Equal(all, []string{"batches/2026"}) {
		t.Errorf("there are %q", all)
	}
}

// asInRecord gives a document as the frozen record has it: white space counts inside it, and
// neither at its end nor on lines of nothing else; lines end in one way.
func asInRecord(file, document string) string {
	document = strings.ReplaceAll(strings.TrimPrefix(document, "\ufeff"), "\r\n", "\n")
	lines := strings.Split(document, "\n")
	for i, line := range lines {
		if strings.TrimSpace(line) == "" {
			lines[i] = ""
		}
	}
	return strings.TrimSpace("# " + file + ", as it was:\n" + strings.Join(lines, "\n"))
}

// Whatever a document says comes back from the frozen record word for word.
func TestDocumentsComeBack(t *testing.T) {
	piece := rapid.SampledFrom([]string{
		"name: Clover", "  - {material: olive, share: 40 %}", "# a remark", "\t# behind a tab", "  ", "", " ", "trailing   ", "---", "...", "text: |2", "  deep", "      deeper: >-",
		"\"quoted: \\n\"", "'", "{", "- [", "ä, ö · 香り 🧼", "a: b # c", "%YAML 1.2", "*x", "&x", "!!str", "@", "`", "? key", ": value", "\u00a0", "e\u0301",
	})
	newline := rapid.SampledFrom([]string{"\n", "\n", "\n", "\r\n", "\n\n", "\n \n", "\n\t\n"})
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		if rapid.Bool().Draw(t, "mark") {
			b.WriteString("\ufeff")
		}
		for range rapid.IntRange(0, 12).Draw(t, "lines") {
			b.WriteString(piece.Draw(t, "piece"))
			b.WriteString(newline.Draw(t, "newline"))
		}
		b.WriteString(piece.Draw(t, "last"))
		checkComesBack(t, b.String())
	})
	rapid.Check(t, func(t *rapid.T) {
		checkComesBack(t, rapid.StringOfN(rapid.RuneFrom([]rune(" \t\n#:-'\"[]{}|>%&*!?,.0aäß香🧼")), 0, 60, -1).Draw(t, "text"))
	})
}

func checkComesBack(t fataler, document string) {
	t.Helper()
	documents := map[string]string{"formulas/clover oat.yaml": document, "materials/#1: rose.yaml": "inci: X\n"}
	const file = "batches/2026/26330-01-S.made.yaml"
	data := formula.WriteFrozen("26330-01-S", "clover-oat", on(t, "2026-11-26"), documents, nil)
	f, found, err := formula.ReadFrozen(file, data)
	if err != nil || len(found) > 0 || len(f.Documents) != 2 {
		t.Fatalf("%v %v of\n%s", err, found, data)
	}
	for _, d := range f.Documents {
		if want := asInRecord(d.File.V, documents[d.File.V]); d.Text.V != want {
			t.Fatalf("%q came back as %q, want %q", documents[d.File.V], d.Text.V, want)
		}
	}
}
