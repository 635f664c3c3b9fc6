package source_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// readAll reads a document with a key for each method of Map.
func readAll(file string, data []byte) ([]finding.Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return nil, err
	}
	m := doc.Root()
	m.Text("name")
	m.Prose("listing")
	m.Mass("weight")
	m.Quantity("claim")
	m.Length("length")
	m.Offset("offset")
	m.Volume("volume")
	m.Share("share")
	m.ShareRange("range")
	m.Count("count")
	m.Number("ratio")
	m.Figure("sap", "mg KOH/g", "g NaOH/g")
	m.Temperature("temp")
	m.Months("keep")
	m.Day("made")
	m.Bool("trimmed")
	m.Enum("kind", "oil", "oil blend", "essential oil")
	m.Texts("markets")
	for _, line := range m.Maps("contains") {
		line.Text("inci")
		line.PartShare("share")
	}
	lye := m.Map("lye")
	lye.Text("alkali")
	lye.Map("water").Share("strength")
	allergens := m.Map("allergens")
	for _, key := range allergens.Keys() {
		allergens.ShareRange(key.V)
	}
	return doc.Findings(), nil
}

// summary gives findings as "line:col RULE".
func summary(findings []finding.Finding) []string {
	var all []string
	for _, f := range findings {
		all = append(all, fmt.Sprintf("%d:%d %s", f.At.Line, f.At.Col, f.Rule))
	}
	return all
}

// readTests are documents with their findings. Those in nothing are no
// documents at all.
var readTests = []struct {
	name    string
	in      string
	want    string // "line:col RULE", with commas between them
	nothing bool
}{
	{name: "all in order", in: "name: Hearth & Husk # front\nweight: 450 g\nclaim: 4 oz\nlength: 3 1/4 in\noffset: -0.1 mm\nvolume: 33 fl oz\nshare: 0%\nrange: 20-30%\ncount: 0\nratio: 1.5\nsap: 0.1397 g NaOH/g\ntemp: 90 F\nkeep: 2 years\nmade: 2026-11-26\ntrimmed: no\nkind: oil-blend\nmarkets: [eu]\ncontains:\n- inci: Olea\n  share: 5%\nlye: {alkali: sodium hydroxide, water: {strength: 33%}}\nallergens: {Linalool: 4.2%}\nlisting: |\n  one\n  two\n"},
	{name: "crlf", in: "name: a\r\nweight: 5 g\r\nlisting: |\r\n  one\r\n  two\r\n"},
	{name: "a byte order mark", in: "\ufeffname: a\nweight: 5\n", want: "2:10 SRC-AMOUNT"},
	{name: "json", in: "{\"name\": \"a\", \"weight\": \"5 g\"}\n"},
	{name: "a marker of the first document", in: "%YAML 1.1\n---\nname: a\n...\n"},

	{name: "empty", in: "", want: "0:0 SRC-NOTHING", nothing: true},
	{name: "a comment only", in: "# nothing yet\n", want: "0:0 SRC-NOTHING", nothing: true},
	{name: "a marker only", in: "---\n", want: "0:0 SRC-NOTHING", nothing: true},
	{name: "a text", in: "hello\n", want: "1:1 SRC-TOP", nothing: true},
	{name: "a list", in: "- a\n- b\n", want: "1:1 SRC-TOP", nothing: true},
	{name: "binary", in: "%PDF-1.7\n\x00\x01\x02", want: "0:0 SRC-ENCODING", nothing: true},
	{name: "UTF-16", in: "\xff\xfen\x00a\x00", want: "0:0 SRC-ENCODING", nothing: true},
	{name: "Latin-1", in: "name: a\nidentity: caf\xe9 soap\n", want: "2:14 SRC-ENCODING", nothing: true},
	{name: "a huge file", in: "name: a\n" + strings.Repeat("# filler\n", 120_000), want: "0:0 SRC-SIZE", nothing: true},
	{name: "too many parts", in: "markets: [" + strings.Repeat("a,", 100_001) + "]\n", want: "0:0 SRC-SIZE", nothing: true},

	{name: "a version of YAML that the reader does not know", in: "# x\n%YAML 1.2\n---\nname: a\n", want: "2:1 SRC-SYNTAX", nothing: true},
	{name: "a bracket that never closes", in: "name: it's [a]\nmarkets: [eu, 'us]' # ]\n", want: "2:10 SRC-SYNTAX", nothing: true},
	{name: "a comma that is missing", in: "lye: {alkali: x\n  water: {}}\n", want: "2:8 SRC-SYNTAX", nothing: true},
	{name: "a bracket that is not closed", in: "name: a\ncontains: [{inci: a}\nweight: 5 g\n", want: "3:1 SRC-SYNTAX", nothing: true},
	{name: "a quotation mark that is not closed", in: "name: \"a\nweight: 5 g\n", want: "1:7 SRC-SYNTAX", nothing: true},
	{name: "a tab in the indentation", in: "lye:\n\talkali: x\n", want: "2:1 SRC-SYNTAX", nothing: true},
	{name: "a colon in a value", in: "name: a\nlisting: Soap: the best\n", want: "2:14 SRC-SYNTAX", nothing: true},
	{name: "a line indented too far", in: "name: a\n  weight: 5 g\n", want: "2:9 SRC-SYNTAX", nothing: true},
	{name: "a list on the line of its key", in: "contains: - inci: a\n", want: "1:11 SRC-SYNTAX", nothing: true},
	{name: "an at sign", in: "name: @home\n", want: "1:7 SRC-SYNTAX", nothing: true},
	{name: "a backslash in double quotation marks", in: "name: \"a\\q\"\n", want: "1:9 SRC-SYNTAX", nothing: true},
	{name: "a text behind a quoted one", in: "name: 'a' b\n", want: "1:11 SRC-SYNTAX", nothing: true},
	{name: "a word without a colon", in: "name: a\nweight\nshare: 5%\n", want: "2:1 SRC-SYNTAX", nothing: true},
	{name: "nested beyond the YAML reader", in: strings.Repeat("[", 20_000), want: "1:10001 SRC-SYNTAX", nothing: true},

	{name: "nested too deeply", in: "name: a\nlye: " + strings.Repeat("[", 40) + strings.Repeat("]", 40) + "\n", want: "2:6 SRC-TYPE, 2:37 SRC-DEPTH"},
	{name: "a second document", in: "name: a\n---\nweight: 5\n", want: "2:1 SRC-SECOND"},
	{name: "a second document that is broken", in: "name: a\n---\nweight: [\n", want: "3:9 SRC-SYNTAX"},
	{name: "an anchor and an alias", in: "name: &n a\nlisting: *n\n", want: "1:7 SRC-ALIAS, 2:10 SRC-ALIAS"},
	{name: "an alias bomb", in: "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b,*b]\nname: *c\n",
		want: "1:1 SRC-UNKNOWN-KEY, 1:4 SRC-ALIAS, 2:1 SRC-UNKNOWN-KEY, 2:4 SRC-ALIAS, 3:1 SRC-UNKNOWN-KEY, 3:4 SRC-ALIAS, 4:7 SRC-ALIAS"},
	{name: "a tag", in: "share: !!float 5\nname: !mine a\n", want: "1:8 SRC-TAG, 2:7 SRC-TAG"},
	{name: "a merge key", in: "<<: {name: a}\n", want: "1:1 SRC-MERGE"},
	{name: "a list as a key", in: "? [a, b]\n: c\nname: a\n", want: "1:3 SRC-COMPLEX-KEY"},
	{name: "nothing as a key", in: "name: a\n~: c\n\"\": d\n", want: "2:1 SRC-COMPLEX-KEY, 3:1 SRC-COMPLEX-KEY"},
	{name: "a key twice", in: "name: a\nlye: {alkali: x, alkali: y}\nname: b\n", want: "2:18 SRC-DUPLICATE-KEY, 3:1 SRC-DUPLICATE-KEY"},
	{name: "unknown keys", in: "nane: a\nlye: {alkaly: x, colour: y}\n", want: "1:1 SRC-UNKNOWN-KEY, 2:7 SRC-UNKNOWN-KEY, 2:18 SRC-UNKNOWN-KEY"},
	{name: "a name split at a comma", in: "contains:\n  - {inci: Sodium Olivate, Aqua, share: 4%}\n", want: "2:28 SRC-SPLIT"},
	{name: "a name split at two commas", in: "contains: [{inci: 1,2-Hexanediol, Aqua}]\n", want: "1:21 SRC-SPLIT, 1:35 SRC-SPLIT"},
	{name: "a word alone after a key that is none", in: "contains: [{{b: c}, e}]\n", want: "1:13 SRC-COMPLEX-KEY, 1:21 SRC-UNKNOWN-KEY"},
	{name: "a decimal comma within brackets", in: "allergens: {Linalool: 4,2%, Citral: 1%}\n", want: "1:25 SRC-SPLIT"},
	{name: "a decimal comma in a block", in: "weight: 4,5 g\n", want: "1:10 SRC-AMOUNT"},
	{name: "no value", in: "name:\nweight: ~\nlisting: \"\"\nmarkets: [eu, , us]\n", want: "4:15 SRC-SYNTAX", nothing: true},
	{name: "keys without values", in: "name:\nweight: ~\nlisting: \" \"\nmarkets:\n  - eu\n  -\n", want: "1:1 SRC-NO-VALUE, 2:1 SRC-NO-VALUE, 3:10 SRC-NO-VALUE, 6:4 SRC-NO-VALUE"},
	{name: "wrong types", in: "name: [a]\nlye: sodium\nmarkets: eu\ncontains: {inci: a}\nweight: {g: 5}\n", want: "1:7 SRC-TYPE, 2:6 SRC-TYPE, 3:10 SRC-TYPE, 4:11 SRC-TYPE, 5:9 SRC-TYPE"},
	{name: "wrong types within a list", in: "contains: [a, {inci: b}, [c]]\nmarkets: [{a: b}]\n", want: "1:12 SRC-TYPE, 1:26 SRC-TYPE, 2:11 SRC-TYPE"},
	{name: "no unit", in: "weight: 450\nshare: 5\nlength: 8\nvolume: 33\nsap: 196\ntemp: 32\nkeep: 12\n",
		want: "1:12 SRC-AMOUNT, 2:9 SRC-AMOUNT, 3:10 SRC-AMOUNT, 4:11 SRC-AMOUNT, 5:9 SRC-AMOUNT, 6:9 SRC-AMOUNT, 7:9 SRC-AMOUNT"},
	{name: "another unit", in: "weight: 450 ml\nlength: 3 g\nrange: 20-30 g\n", want: "1:13 SRC-AMOUNT, 2:11 SRC-AMOUNT, 3:14 SRC-AMOUNT"},
	{name: "numbers of YAML", in: "count: 010\nratio: 0x1F\nweight: 1_000 g\nshare: .nan\nclaim: 1e3 g\n",
		want: "1:11 SRC-AMOUNT, 2:9 SRC-AMOUNT, 3:10 SRC-AMOUNT, 4:8 SRC-AMOUNT, 5:9 SRC-AMOUNT"},
	{name: "negative", in: "weight: -5 g\nlength: -3 mm\nshare: -5%\ncount: -1\n", want: "1:9 SRC-AMOUNT, 2:9 SRC-AMOUNT, 3:8 SRC-AMOUNT, 4:8 SRC-AMOUNT"},
	{name: "nought", in: "weight: 0 g\nlength: 0.0 mm\nvolume: 0 ml\nratio: 0\nclaim: 0 oz\noffset: 0 mm\n",
		want: "1:9 SRC-POSITIVE, 2:9 SRC-POSITIVE, 3:9 SRC-POSITIVE, 4:8 SRC-POSITIVE, 5:8 SRC-POSITIVE"},
	{name: "shares as they are printed", in: "range: ≥ 50 %\ncontains:\n- {inci: a, share: <1%}\n- {inci: b, share: up to 5%}\n- {inci: c, share: traces}\n- inci: d\n  share: q.s.\nallergens: {Linalool: ≤5%, Citral: \"<0.1%\"}\n"},
	{name: "shares that are none", in: "range: rest\ncontains: [{share: belwo 1%}, {share: \"< 1\"}, {share: 9-<5%}, {share: ~5%}]\nallergens: {Linalool: some}\n",
		want: "1:8 SRC-AMOUNT, 2:20 SRC-AMOUNT, 2:43 SRC-AMOUNT, 2:56 SRC-AMOUNT, 2:71 SRC-AMOUNT, 3:23 SRC-AMOUNT"},
	{name: "a share that begins a block of lines", in: "contains:\n- inci: a\n  share: >50%\n", want: "3:12 SRC-SYNTAX", nothing: true},
	{name: "days", in: "made: 2026-02-30\n", want: "1:7 SRC-DAY"},
	{name: "a day of another form", in: "made: 26.11.2026\n", want: "1:7 SRC-DAY"},
	{name: "a word that is none of them", in: "kind: essental oil\ntrimmed: maybe\n", want: "1:7 SRC-WORD, 2:10 SRC-WORD"},
	{name: "months", in: "keep: 1.5 years\n", want: "1:7 SRC-AMOUNT"},
	{name: "the column behind emoji and tabs", in: "lye: {alkali: \"🙂🙂\",\twater: {strength: 5}}\n", want: "1:40 SRC-AMOUNT"},
	{name: "the column within quotation marks", in: "weight: \"450 mm\"\n", want: "1:14 SRC-AMOUNT"},
	{name: "the column where an escape hides it", in: "weight: \"\\x34 mm\"\n", want: "1:9 SRC-AMOUNT"},
	{name: "marks that turn the text", in: "name: a \u202eb\n# \u2067 in a comment\n", want: "1:9 SRC-CHARACTER, 2:3 SRC-CHARACTER"},
	{name: "a mark written as an escape", in: "name: \"a\\u202eb\"\n", want: "1:7 SRC-CHARACTER"},
	{name: "control characters", in: "name: a\x07b\nlisting: \"\\x1b[0m\"\n", want: "1:8 SRC-CHARACTER, 2:10 SRC-CHARACTER"},
	{name: "a lost character", in: "name: caf\ufffd\n", want: "1:10 SRC-CHARACTER"},
	{name: "line ends that no editor counts", in: "name: a\u2028b\nlisting: c\u0085d\nweight: 5\n", want: "1:8 SRC-LINE-BREAK, 2:11 SRC-LINE-BREAK, 3:10 SRC-AMOUNT"},
	{name: "a carriage return alone", in: "name: a\rweight: 5 g\n", want: "1:8 SRC-LINE-BREAK", nothing: true},
	{name: "a long name", in: "name: " + strings.Repeat("é", 2001) + "\n", want: "1:7 SRC-LONG"},
	{name: "a name as long as it may be", in: "name: " + strings.Repeat("é", 2000) + "\n"},
	{name: "a name on two lines", in: "name: \"a\\nb\"\nlisting: \"a\\nb\"\n", want: "1:7 SRC-ONE-LINE"},
	{name: "emoji are left to whoever draws", in: "name: 🙂 soap\nweight: 5\n", want: "2:10 SRC-AMOUNT"},
}

func TestRead(t *testing.T) {
	for _, tt := range readTests {
		t.Run(tt.name, func(t *testing.T) {
			findings, err := readAll("x.yaml", []byte(tt.in))
			var nothing *source.NoDocument
			if errors.As(err, &nothing) {
				findings = nothing.Findings
			}
			if (err != nil) != tt.nothing {
				t.Errorf("error %v; want one: %v", err, tt.nothing)
			}
			if got := strings.Join(summary(findings), ", "); got != tt.want {
				t.Errorf("Read(%.200q)\n got %s\nwant %s", tt.in, got, tt.want)
				for _, f := range findings {
					t.Log(f.Text())
				}
			}
			for _, f := range findings {
				if f.Message == "" || f.Level != finding.Stop || f.Remedy == "" {
					t.Errorf("a finding says too little: %#v", f)
				}
			}
		})
	}
}

func TestMessages(t *testing.T) {
	for _, tt := range []struct{ name, in, message, remedy string }{
		{"nearest key", "weigth: 5 g\n", `the key "weigth" is not known here`, `did you mean "weight"?`},
		{"a key of another spelling", "Weight: 5 g\n", `the key "Weight" is not known here`, `did you mean "weight"?`},
		{"no key is near", "lye: {colour: x}\n", `the key "colour" is not known here`, "known here are alkali, water"},
		{"split name", "contains: [{inci: Sodium Olivate, Aqua}]\n", `"Aqua" stands alone between commas: YAML has split the value of "inci" at the comma`, `put quotes round it: inci: "Sodium Olivate, Aqua"`},
		{"split number", "allergens: {Linalool: 4,2%}\n", `"2%" stands alone between commas: YAML has split the value of "Linalool" at the comma`, "write a decimal point: Linalool: 4.2%"},
		{"split name that begins with a number", "contains: [{inci: 1,2-Hexanediol}]\n", `"2-Hexanediol" stands alone between commas: YAML has split the value of "inci" at the comma`, `put quotes round it: inci: "1,2-Hexanediol"`},
		{"nearest word", "kind: essental oil\n", `"kind" cannot be "essental oil"`, `did you mean "essential oil"? It can be: oil, oil blend, essential oil`},
		{"nearest word for a share", "contains: [{share: belwo 1%}]\n", `"share" cannot be read: "belwo 1%" does not begin with a number or a word for a share`, `did you mean "below 1%"? If not, write a share as "5%", "20-30%", "<1%", "up to 5%", "at least 50%" or "traces", or "rest" for what the others leave`},
		{"nearest word in place of a share", "range: tarces\n", `"range" cannot be read: "tarces" does not begin with a number or a word for a share`, `did you mean "traces"? If not, write a share as "5%", "20-30%", "<1%", "up to 5%", "at least 50%" or "traces"`},
		{"no word with which it could not be read", "range: rset\n", `"range" cannot be read: "rset" does not begin with a number or a word for a share`, `write a share as "5%", "20-30%", "<1%", "up to 5%", "at least 50%" or "traces"`},
		{"a rest that fills up", "contains: [{share: balanc to 100%}]\n", `"share" cannot be read: "balanc to 100%" does not begin with a number or a word for a share`, `did you mean "balance to 100%"? If not, write a share as "5%", "20-30%", "<1%", "up to 5%", "at least 50%" or "traces", or "rest" for what the others leave`},
		{"a share that begins a block of lines", "range: >50%\n", "a text that begins with > or | is a block of lines in YAML, which begins on the next line", `put quotes round the whole text, such as ">50%"`},
		{"a value that is a comment", "name: #4411\n", `"name" is followed by a comment, since that begins with #, and has no value`, `put the value in quotation marks: name: "#4411"`},
		{"a value without one", "name: \n# not of it\n", `"name" has no value`, "write one after the colon, or take the key out"},
		{"a value in brackets that is a comment", "contains:\n- {inci: #4411}\n- {inci: b}\n", "what stands behind a # is a comment, so the bracket before it is not closed on its line", `put what begins with # in quotation marks, such as "#4411"`},
		{"a comment that is one", "contains: [{inci: a}, # ]\n {inci: b\n", "the bracket that opens here is not closed", "put the closing bracket"},
		{"one market", "markets: eu\n", `"markets" is a text; a list is expected here`, "write it as a list: [eu]"},
		{"twice", "name: a\nname: b\n", `"name" stands here again; it is already on line 1`, "keep one of the two"},
		{"a no-break space", "name:\u00a0a\nweight: 5 g\n", "a colon stands here within a value, or the line is indented too far", "put quotes round the whole text, or indent the line like the one above; on line 1 there is a no-break space (U+00A0), which YAML does not take for a space"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			findings, err := readAll("x.yaml", []byte(tt.in))
			var nothing *source.NoDocument
			if errors.As(err, &nothing) {
				findings = nothing.Findings
			}
			if len(findings) != 1 || findings[0].Message != tt.message || findings[0].Remedy != tt.remedy {
				t.Errorf("Read(%q): got %+v\nwant %q, remedy %q", tt.in, findings, tt.message, tt.remedy)
			}
		})
	}
}

func TestValuesAndTheirPlaces(t *testing.T) {
	in := "name: \" Hearth & Husk \"\nlye: {weight: 1 lb 4 oz,  at: 32 °C, f: 90 F, x: -0.1 mm, made: 2026-11-26, yes: yes}\nkeep: 2 years\nnumber: 012\n"
	doc, err := source.Read("f.yaml", []byte(in))
	if err != nil {
		t.Fatal(err)
	}
	m := doc.Root()
	lye := m.Map("lye")
	made, _ := day.Of(2026, 11, 26)
	equal(t, "name", m.Text("name"), "Hearth & Husk", "f.yaml:1:7")
	equal(t, "weight", lye.Mass("weight"), 20*measure.Ounce, "f.yaml:2:15")
	equal(t, "temperature", lye.Temperature("at"), 32, "f.yaml:2:31")
	equal(t, "Fahrenheit", lye.Temperature("f"), 290.0/9, "f.yaml:2:41")
	equal(t, "offset", lye.Offset("x"), -100*measure.Micrometre, "f.yaml:2:50")
	equal(t, "day", lye.Day("made"), made, "f.yaml:2:65")
	equal(t, "bool", lye.Bool("yes"), true, "f.yaml:2:82")
	equal(t, "months", m.Months("keep"), 24, "f.yaml:3:7")
	equal(t, "text that looks like a number", m.Text("number"), "012", "f.yaml:4:9")
	equal(t, "missing", m.Text("missing"), "", "")
	if got := m.KeyAt("lye").String(); got != "f.yaml:2:1" {
		t.Errorf("place of the key: got %s", got)
	}
	if got := doc.Findings(); len(got) > 0 {
		t.Errorf("findings: %v", got)
	}
	if none := m.Map("none"); none.Given() || none.Map("x").Text("y").Given() || none.Keys() != nil || none.At().Line != 0 {
		t.Error("a missing mapping has something in it")
	}
}

func equal[T comparable](t *testing.T, name string, got source.Value[T], want T, at string) {
	t.Helper()
	if got.V != want || got.At.String() != at {
		t.Errorf("%s: got %v at %s, want %v at %s", name, got.V, got.At, want, at)
	}
}

func TestManyFindings(t *testing.T) {
	var b strings.Builder
	for i := range 1500 {
		fmt.Fprintf(&b, "key-%d: x\n", i)
	}
	findings, err := readAll("x.yaml", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	if len(findings) != 1001 || findings[1000].Rule != source.RuleMany || findings[1000].Message != "500 more findings in this file are not shown" {
		t.Errorf("%d findings, the last %v", len(findings), findings[len(findings)-1])
	}
}

func TestNearest(t *testing.T) {
	candidates := []string{"sodium-hydroxide", "castor-oil", "made_in", "water", "wafer", "oil", "of"}
	for _, tt := range []struct{ word, want string }{
		{"sodium hydroxyde", "sodium-hydroxide"},
		{"castro oil", "castor-oil"}, // two neighbours swapped
		{"made in", "made_in"},
		{"MADE-IN", "made_in"},
		{"waler", "wafer"}, // both are one letter away; the first in the alphabet
		{"wter", "water"},
		{"ail", "oil"},
		{"if", ""}, // too short to guess
		{"chocolate", ""},
		{"", ""},
		{strings.Repeat("oil", 100), ""},
	} {
		if got := source.Nearest(tt.word, candidates); got != tt.want {
			t.Errorf("Nearest(%q): got %q, want %q", tt.word, got, tt.want)
		}
		reversed := slices.Clone(candidates)
		slices.Reverse(reversed)
		if got := source.Nearest(tt.word, reversed); got != tt.want {
			t.Errorf("Nearest(%q) depends on the order of the candidates: got %q", tt.word, got)
		}
	}
}

// checkInside makes sure that each finding lies in the file and shows its line.
func checkInside(t *testing.T, data []byte, findings []finding.Finding) {
	t.Helper()
	lines := strings.Split(strings.TrimPrefix(string(data), "\ufeff"), "\n")
	for _, f := range findings {
		if f.At.File != "x.yaml" {
			t.Errorf("%+v lies in another file", f)
		}
		if f.At.Line == 0 {
			continue // of the whole file
		}
		if f.At.Line > len(lines) {
			t.Fatalf("%+v lies behind the %d lines of %q", f, len(lines), data)
		}
		line := strings.TrimSuffix(lines[f.At.Line-1], "\r")
		if f.At.Col < 1 || f.At.Col > utf8.RuneCountInString(line)+1 || f.Excerpt != line {
			t.Fatalf("%+v does not lie in its line %q", f, line)
		}
	}
	if !slices.IsSortedFunc(findings, func(a, b finding.Finding) int {
		return (a.At.Line-b.At.Line)*(1<<21) + a.At.Col - b.At.Col
	}) && !slices.ContainsFunc(findings, func(f finding.Finding) bool { return f.Rule == source.RuleMany }) {
		t.Errorf("findings are not in the order of the file: %v", summary(findings))
	}
}

func FuzzRead(f *testing.F) {
	for _, tt := range readTests {
		if len(tt.in) < 1<<16 {
			f.Add([]byte(tt.in))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		findings, err := readAll("x.yaml", data)
		var nothing *source.NoDocument
		if err != nil && (!errors.As(err, &nothing) || len(nothing.Findings) == 0) {
			t.Fatalf("error %v", err)
		}
		if nothing != nil {
			findings = nothing.Findings
		}
		checkInside(t, data, findings)
	})
}

// FuzzApply checks that an edit of any document either makes the tree that it
// should, or changes nothing.
func FuzzApply(f *testing.F) {
	for _, tt := range readTests {
		if len(tt.in) < 1<<12 {
			f.Add([]byte(tt.in), "name", "new: text, [x")
		}
	}
	for _, tt := range editTests {
		f.Add([]byte(tt.in), "a", "x")
	}
	f.Fuzz(func(t *testing.T, data []byte, path, text string) {
		doc, err := source.Read("x.yaml", data)
		if err != nil {
			return
		}
		value := source.NewText(text)
		old, found := doc.Tree().At(path)
		edits := []source.Edit{
			source.Set{Path: path, Old: old.Text, New: text}, source.Insert{Path: path, Key: text, Value: value},
			source.Append{Path: path, Value: source.NewList(value)}, source.Remove{Path: path, Old: old},
		}
		for _, edit := range edits {
			out, err := source.Apply("x.yaml", data, edit)
			if err != nil {
				continue
			}
			if !found {
				t.Fatalf("%#v found something in %q", edit, data)
			}
			after, err := source.Read("x.yaml", out)
			if err != nil {
				t.Fatalf("%#v of %q gives %q: %v", edit, data, out, err)
			}
			if set, ok := edit.(source.Set); ok {
				if now, _ := after.Tree().At(path); strings.TrimRight(now.Text, "\n") != strings.TrimRight(set.New, "\n") {
					t.Fatalf("%#v of %q gives %q", edit, data, out)
				}
			}
		}
	})
}

// BenchmarkReadWorst reads documents that are as bad as the caps allow: the time
// has to stay in proportion to the size of the file.
func BenchmarkReadWorst(b *testing.B) {
	for _, tt := range []struct{ name, text string }{
		{"many keys", "a: [" + strings.Repeat("{b: c},", 20_000) + "]\n"},
		{"free keys", "allergens: {" + strings.ReplaceAll(unknownKeys(40_000), "\n", ", ") + "}\n"},
		{"deep brackets", strings.Repeat("[", source.MaxBytes)},
		{"comments", strings.Repeat("#\n", source.MaxBytes/2)},
		{"bracket not closed", "a: [" + strings.Repeat("b, ", 60_000)},
		{"control characters", "a: " + strings.Repeat("\x01", 1<<19) + "\n"},
		{"unknown keys", unknownKeys(20_000)},
	} {
		b.Run(tt.name, func(b *testing.B) {
			for b.Loop() {
				_, _ = readAll("x.yaml", []byte(tt.text))
			}
		})
	}
}

func unknownKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "weight%d: x\n", i)
	}
	return b.String()
}
