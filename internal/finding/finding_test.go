package finding_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"saponym/internal/finding"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var full = finding.Finding{
	Level:   finding.Stop,
	Rule:    "DOC-04",
	Message: `"olvie" is not a material; did you mean "olive"?`,
	At:      finding.Pos{File: "formulas/oat.yaml", Line: 14, Col: 18},
	Excerpt: "  - {material: olvie, share: 20%}",
	Cite:    "Invented Label Order, § 4",
	Remedy:  "write the id of a material in this folder",
	Market:  "zz",
}

func TestText(t *testing.T) {
	tests := []struct {
		name string
		in   finding.Finding
		want string
	}{
		{"all there is", full, `formulas/oat.yaml:14:18: stop [DOC-04] "olvie" is not a material; did you mean "olive"?
      - {material: olvie, share: 20%}
                     ^
    do: write the id of a material in this folder
    see: Invented Label Order, § 4
`},
		{"no place", finding.Finding{Level: finding.Warn, Rule: "R-01", Message: "something is odd", Excerpt: "a: b"},
			"warn [R-01] something is odd\n"},
		{"a whole file", finding.Finding{Rule: "R-02", Message: "the file is empty", At: finding.Pos{File: "a.yaml"}, Excerpt: "a: b"},
			"a.yaml: note [R-02] the file is empty\n"},
		{"a line without a column", finding.Finding{Rule: "R-03", Message: "odd", At: finding.Pos{File: "a.yaml", Line: 3}, Excerpt: "a: b"},
			"a.yaml:3: note [R-03] odd\n"},
		{"a text without a file", finding.Finding{Rule: "R-04", Message: "odd", At: finding.Pos{Line: 3, Col: 1}, Excerpt: "a: b"},
			"3:1: note [R-04] odd\n    a: b\n    ^\n"},
		{"a message that would act on a terminal",
			finding.Finding{Rule: "R-05", Message: "odd\n\x1b[2Jname\u202e", At: finding.Pos{File: "a\r.yaml"}, Remedy: "x\ny", Cite: "\u009bz"},
			"a\ufffd.yaml: note [R-05] odd\ufffd\ufffd[2Jname\ufffd\n    do: x\ufffdy\n    see: \ufffdz\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, tt.in.Text()); diff != "" {
				t.Errorf("want (-), got (+):\n%s", diff)
			}
		})
	}
}

var caretTests = []struct {
	name        string
	line        string
	col         int
	shown, mark string
}{
	{"the first character", "soap: x", 1, "soap: x", "^"},
	{"in the middle", "soap: x", 7, "soap: x", "      ^"},
	{"just past the end", "soap:", 6, "soap:", "     ^"},
	{"far past the end", "soap:", 60, "soap:", "     ^"},
	{"a tab stays a tab", "\tsoap:\tx", 8, "\tsoap:\tx", "\t     \t^"},
	{"letters with accents", "né: x", 5, "né: x", "    ^"},
	{"an accent of its own sits on its letter", "ne\u0301: x", 6, "ne\u0301: x", "    ^"},
	{"characters of double width", "石鹸: x", 5, "石鹸: x", "      ^"},
	{"full-width letters", "ＡＢ: x", 5, "ＡＢ: x", "      ^"},
	{"an emoji", "🧼: x", 4, "🧼: x", "    ^"},
	{"an emoji joined of two", "👩\u200d🔬 x", 5, "👩\ufffd🔬 x", "      ^"},
	{"marks that turn the direction", "a\u202eb\u2066c: x", 8, "a\ufffdb\ufffdc: x", "       ^"},
	{"a space of no width", "a\u200bb: x", 6, "a\ufffdb: x", "     ^"},
	{"a no-break space", "a\u00a0b: x", 6, "a\u00a0b: x", "     ^"},
	{"control characters", "a\x1b[31mb\x9b: x", 9, "a\ufffd[31mb\ufffd: x", "        ^"},
	{"bytes that are no character", "a\xff\xfe: x", 6, "a\ufffd\ufffd: x", "     ^"},
	{"90 characters", digits(90), 75, digits(90), strings.Repeat(" ", 74) + "^"},
	{"a long line, at its start", digits(200), 5, digits(200)[:89] + "…", "    ^"},
	{"a long line, in the middle", digits(200), 150, "…" + digits(200)[71:159] + "…", strings.Repeat(" ", 79) + "^"},
	{"a long line, just past its end", digits(200), 201, "…" + digits(200)[122:], strings.Repeat(" ", 79) + "^"},
	{"a long line of double width", strings.Repeat("石", 200), 100, "…" + strings.Repeat("石", 88) + "…", " " + strings.Repeat("  ", 78) + "^"},
}

// digits gives a line of n characters in which each place can be told.
func digits(n int) string { return strings.Repeat("0123456789", n/10) }

func TestCaret(t *testing.T) {
	for _, tt := range caretTests {
		t.Run(tt.name, func(t *testing.T) {
			f := finding.Finding{Rule: "R-01", Message: "odd", At: finding.Pos{File: "a.yaml", Line: 1, Col: tt.col}, Excerpt: tt.line}
			_, got, _ := strings.Cut(f.Text(), "\n")
			if want := "    " + tt.shown + "\n    " + tt.mark + "\n"; got != want {
				t.Errorf("got\n%q\nwant\n%q", got, want)
			}
		})
	}
}

// FuzzText: whatever stands in a finding, its text is whole lines of graphic
// characters, and only those that the form has.
func FuzzText(f *testing.F) {
	for _, tt := range caretTests {
		f.Add("odd", tt.line, tt.col)
	}
	f.Add("a\nb", "\r\n", -3)
	f.Fuzz(func(t *testing.T, message, excerpt string, col int) {
		in := finding.Finding{Rule: "R-01", Message: message, At: finding.Pos{File: "a.yaml", Line: 1, Col: col}, Excerpt: excerpt, Remedy: message}
		text := in.Text()
		want := 1
		if excerpt != "" && col > 0 {
			want += 2
		}
		if message != "" {
			want++
		}
		if got := strings.Count(text, "\n"); got != want || !utf8.ValidString(text) {
			t.Errorf("got %d lines, want %d, in valid UTF-8:\n%q", got, want, text)
		}
		if strings.ContainsAny(text, "\x1b\r\u202e\u009b") {
			t.Errorf("the text would act on a terminal: %q", text)
		}
	})
}

func TestJSON(t *testing.T) {
	text, err := json.Marshal(full)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"level":"stop","rule":"DOC-04","message":"\"olvie\" is not a material; did you mean \"olive\"?",` +
		`"at":"formulas/oat.yaml:14:18","cite":"Invented Label Order, § 4","remedy":"write the id of a material in this folder","market":"zz"}`
	if string(text) != want {
		t.Errorf("got  %s\nwant %s", text, want)
	}
	// A key that has nothing to say is there all the same.
	empty, err := json.Marshal(finding.Finding{})
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"level":"note","rule":"","message":"","at":"","cite":"","remedy":"","market":""}`; string(empty) != want {
		t.Errorf("got  %s\nwant %s", empty, want)
	}
}

func TestLevelReadsAgain(t *testing.T) {
	for level, word := range map[finding.Level]string{finding.Note: "note", finding.Warn: "warn", finding.Stop: "stop"} {
		text, err := level.MarshalText()
		if err != nil || string(text) != word {
			t.Errorf("level %d is written %q, %v, want %q", level, text, err, word)
		}
		got := finding.Level(-1)
		if err := got.UnmarshalText(text); err != nil || got != level {
			t.Errorf("%q is read as %d, %v, want %d", text, got, err, level)
		}
	}
	got := finding.Warn
	for _, word := range []string{"", "Stop", "error"} {
		if err := got.UnmarshalText([]byte(word)); err == nil || got != finding.Warn {
			t.Errorf("%q: got %v, %v, want an error and the level that was there", word, got, err)
		}
	}
}

func TestWorst(t *testing.T) {
	note, warn, stop := finding.Finding{Level: finding.Note}, finding.Finding{Level: finding.Warn}, finding.Finding{Level: finding.Stop}
	tests := []struct {
		name string
		in   []finding.Finding
		want finding.Level
	}{
		{"none", nil, finding.Note},
		{"notes", []finding.Finding{note, note}, finding.Note},
		{"a warning among notes", []finding.Finding{note, warn, note}, finding.Warn},
		{"a stop first", []finding.Finding{stop, warn, note}, finding.Stop},
		{"a stop last", []finding.Finding{note, warn, stop}, finding.Stop},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := finding.Worst(tt.in); got != tt.want {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

func TestSort(t *testing.T) {
	at := func(file string, line, col int) finding.Pos { return finding.Pos{File: file, Line: line, Col: col} }
	want := []finding.Finding{
		{Level: finding.Note, Message: "no place comes first"},
		{Level: finding.Note, At: at("a.yaml", 0, 0), Message: "a whole file before its lines"},
		{Level: finding.Note, At: at("a.yaml", 2, 9)},
		{Level: finding.Note, At: at("a.yaml", 10, 1), Message: "lines count as numbers"},
		{Level: finding.Stop, At: at("a.yaml", 10, 5), Message: "the graver first"},
		{Level: finding.Warn, At: at("a.yaml", 10, 5), Market: "eu", Rule: "R-02"},
		{Level: finding.Warn, At: at("a.yaml", 10, 5), Market: "uk", Rule: "R-01", Message: "market before rule"},
		{Level: finding.Warn, At: at("a.yaml", 10, 5), Market: "uk", Rule: "R-02", Message: "a"},
		{Level: finding.Warn, At: at("a.yaml", 10, 5), Market: "uk", Rule: "R-02", Message: "b", Remedy: "x"},
		{Level: finding.Warn, At: at("a.yaml", 10, 5), Market: "uk", Rule: "R-02", Message: "b", Remedy: "y", Cite: "1"},
		{Level: finding.Warn, At: at("a.yaml", 10, 5), Market: "uk", Rule: "R-02", Message: "b", Remedy: "y", Cite: "2"},
		{Level: finding.Stop, At: at("b.yaml", 1, 1), Message: "files by name"},
	}
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		got := slices.Clone(want)
		rand.New(rand.NewPCG(seed, 0)).Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
		finding.Sort(got)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("want (-), got (+):\n%s", diff)
		}
	})
}
