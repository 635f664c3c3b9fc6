package recall_test

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/paper/recall"
)

// table reads the table of a sheet again, each line by the heads of its columns.
func table(t fataler, s recall.Sheet) []map[string]string {
	t.Helper()
	data, err := s.CSV()
	if err != nil {
		t.Fatal(err)
	}
	data, ok := bytes.CutPrefix(data, []byte("\xef\xbb\xbf")) // by which a spreadsheet knows UTF-8
	if !ok {
		t.Fatal("the byte order mark is missing")
	}
	lines, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(lines[0], recall.Columns()) {
		t.Fatalf("the heads are %q", lines[0])
	}
	var all []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, cell := range line {
			row[lines[0][i]] = cell
		}
		all = append(all, row)
	}
	return all
}

// One line for each movement and for each count, with all that the record says.
func TestTable(t *testing.T) {
	rows := table(t, small(t))
	find := func(want map[string]string) int {
		n := 0
		for _, row := range rows {
			same := true
			for k, v := range want {
				same = same && row[k] == v
			}
			if same {
				n++
			}
		}
		return n
	}
	for _, want := range []map[string]string{
		{"called back": "lot PB-1182", "batch": "26279-01-H", "product": "Hearth & Husk", "what went in": "pantry-base", "by way of": "", "line": "movement", "date": "2026-11-14", "what": "sold", "cut": "bar", "bars": "4", "who": "Fennel & Fern, Ashcombe", "buyer": "known", "paper": "DN-0031", "assumed": "", "note": ""},
		{"line": "movement", "date": "2026-11-15", "cut": "guest", "bars": "5", "who": "market stall, Ashcombe", "buyer": "not known", "assumed": "yes"},
		{"line": "movement", "what": "returned", "bars": "1", "buyer": "", "paper": "CN-0004", "note": "spots on the side"},
		{"line": "movement", "what": "sampled", "bars": "2", "note": "shelf in the store room"},
		{"line": "movement", "what": "lost", "bars": "1", "cut": "guest"},
		{"batch": "26300-01-H", "by way of": "26279-01-H", "line": "movement", "what": "sold", "bars": "3"},
		{"batch": "26279-01-H", "line": "count", "date": "2026-11-26", "what": "on hand", "cut": "bar", "bars": "3"},
		{"batch": "26279-01-H", "line": "count", "what": "held back", "cut": "bar", "bars": "4"},
		{"batch": "26279-01-H", "line": "count", "what": "came back", "cut": "bar", "bars": "1"},
		{"batch": "26279-01-H", "line": "count", "what": "not accounted for", "cut": "guest", "bars": "0"},
		{"batch": "26300-01-H", "line": "count", "what": "made", "cut": "bar", "bars": "10"},
		{"batch": "26310-01-K", "line": "count", "what": "made", "bars": "0", "note": "It makes a material and no bars: set apart what is left of it."},
		{"batch": "26329-01-9", "by way of": "26310-01-K", "line": "count", "what": "made", "bars": "0", "note": "It is not cut yet and has no bars: set the whole of it apart."},
	} {
		if n := find(want); n != 1 {
			t.Errorf("%d lines say %v, want 1", n, want)
		}
	}
	if n := find(map[string]string{"line": "movement"}); n != 9 {
		t.Errorf("there are %d movements, want 9", n)
	}
	if n := find(map[string]string{"line": "count"}); n != 3*12+2 {
		t.Errorf("there are %d counts, want 38", n)
	}
}

// A movement of all bars is not one of none.
func TestTableOfAllBars(t *testing.T) {
	s := recall.Sheet{Of: "lot 1", On: on(t, "2026-11-26"), Batches: []recall.Batch{
		read(t, "26329-01-9", "Plain Olive", "", nil, "formula: plain-olive\nmade: 2026-11-20\ncut: {date: 2026-11-21, bar: 9}\nevents: [{date: 2026-11-22, what: withheld}]\n"),
	}}
	if row := table(t, s)[0]; row["what"] != "withheld" || row["bars"] != "all" {
		t.Errorf("the movement is %v", row)
	}
	if !strings.Contains(s.Text(), "withheld    all") {
		t.Errorf("the text is\n%s", s.Text())
	}
}

// A cell that begins with one of = + - @ is run by a spreadsheet as a formula (OWASP, CSV
// injection; from memory), and some leave out white space before it. Figures alone may begin
// with a minus.
func TestNoFormulaInTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.OneOf(rapid.String(), rapid.StringMatching(`[ \t\r\n\x00]{0,2}[=+@-][a-z0-9()!|"',]{0,9}`))
		s := small(t)
		s.Of = words.Draw(t, "of")
		b := &s.Batches[0]
		b.Product, b.What, b.Via = words.Draw(t, "product"), words.Draw(t, "what"), []string{words.Draw(t, "via")}
		b.Record.Code, b.Stock[0].Cut = given(words.Draw(t, "code")), words.Draw(t, "cut")
		b.Stock[0].Made = -3
		e := &b.Record.Events[0]
		e.Who, e.Note, e.Ref, e.Cut = given(words.Draw(t, "who")), given(words.Draw(t, "note")), given(words.Draw(t, "ref")), given(words.Draw(t, "cut"))
		for _, row := range table(t, s) {
			for head, cell := range row {
				if _, err := strconv.Atoi(cell); err == nil && head == "bars" {
					continue
				}
				if strings.HasPrefix(cell, "'") {
					continue
				}
				if rest := strings.TrimLeft(cell, " \t\r\n\x00\v\f"); rest != "" && strings.ContainsRune("=+-@", rune(rest[0])) {
					t.Fatalf("a spreadsheet runs %q in the column %q", cell, head)
				}
			}
		}
	})
}

// What needs no apostrophe has none, and what gets one is kept behind it.
func TestTableKeepsTexts(t *testing.T) {
	s := small(t)
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+44 20 7946 0000": "'+44 20 7946 0000", "-": "'-", "@fern": "'@fern", " =A1": "' =A1",
		"Fennel & Fern": "Fennel & Fern", "a=b": "a=b", "\"quoted\", and\nbroken": "\"quoted\", and\nbroken", "Żółć ☃": "Żółć ☃", "bad \xff": "bad \ufffd", "": "",
	} {
		s.Batches[0].Record.Events[1].Who = given(in)
		if got := table(t, s)[1]["who"]; got != want {
			t.Errorf("%q is written as %q, want %q", in, got, want)
		}
	}
}
