package source_test

import (
	"errors"
	"testing"

	"saponym/internal/source"
)

var (
	text    = source.NewText
	mapping = source.NewMapping
	list    = source.NewList
)

// editTests are edits with the file that each has to leave behind.
var editTests = []struct {
	name     string
	in       string
	edit     source.Edit
	want     string
	conflict bool
	unproved bool
}{
	{name: "a plain text in a flow mapping",
		in:   "pot:   # oils\n  - {material: olive-oil, share: 80%}  # most\n",
		edit: source.Set{Path: "pot[0].share", Old: "80%", New: "75%"},
		want: "pot:   # oils\n  - {material: olive-oil, share: 75%}  # most\n"},
	{name: "a comma gets quotes in flow",
		in:   "c: {inci: Aqua, share: 4%}\n",
		edit: source.Set{Path: "c.inci", Old: "Aqua", New: "Sodium Olivate, Aqua"},
		want: "c: {inci: \"Sodium Olivate, Aqua\", share: 4%}\n"},
	{name: "a comma stays plain in a block",
		in:   "tagline: Oat\n",
		edit: source.Set{Path: "tagline", Old: "Oat", New: "Oat, honey"},
		want: "tagline: Oat, honey\n"},
	{name: "single quotation marks stay",
		in:   "a: 'it''s' # x\n",
		edit: source.Set{Path: "a", Old: "it's", New: "that's: #1"},
		want: "a: 'that''s: #1' # x\n"},
	{name: "double quotation marks stay",
		in:   "a: \"\\u00e9 \\\"x\\\"\"\r\nb: c\r\n",
		edit: source.Set{Path: "a", Old: "é \"x\"", New: "ü\\"},
		want: "a: \"ü\\\\\"\r\nb: c\r\n"},
	{name: "a hash gets quotes", in: "a: b # c\n", edit: source.Set{Path: "a", Old: "b", New: "lot #5"}, want: "a: \"lot #5\" # c\n"},
	{name: "no gets quotes", in: "a: b\n", edit: source.Set{Path: "a", Old: "b", New: "no"}, want: "a: \"no\"\n"},
	{name: "a number that every program writes alike needs none", in: "a: b\n", edit: source.Set{Path: "a", Old: "b", New: "4411"}, want: "a: 4411\n"},
	{name: "a number that others would write without its nought", in: "a: b\n", edit: source.Set{Path: "a", Old: "b", New: "0127"}, want: "a: \"0127\"\n"},
	{name: "a lot that others would take for a power of ten", in: "a: b\n", edit: source.Set{Path: "a", Old: "b", New: "12E4"}, want: "a: \"12E4\"\n"},
	{name: "emptied", in: "a: b\n", edit: source.Set{Path: "a", Old: "b", New: ""}, want: "a: \"\"\n"},
	{name: "a text over several lines",
		in:   "a: one\n  two  # c\nb: x\n",
		edit: source.Set{Path: "a", Old: "one two", New: "three"},
		want: "a: three  # c\nb: x\n"},
	{name: "a literal block keeps its form",
		in:   "w:\n  t: |  # both lines\n    one\n    two\n\n  # next\n  u: x\n",
		edit: source.Set{Path: "w.t", Old: "one\ntwo", New: "one\n\nthree é"},
		want: "w:\n  t: |  # both lines\n    one\n\n    three é\n\n  # next\n  u: x\n"},
	{name: "a folded block becomes a literal one",
		in:   "t: >-\r\n   one\r\n   two\r\nu: x\r\n",
		edit: source.Set{Path: "t", Old: "one two", New: "one\nthree"},
		want: "t: |-\r\n   one\r\n   three\r\nu: x\r\n"},
	{name: "a key without a value", in: "a:  # later\nb: 1\n", edit: source.Set{Path: "a", New: "5 g"}, want: "a: 5 g  # later\nb: 1\n"},
	{name: "a byte order mark stays", in: "\ufeffa: b\n", edit: source.Set{Path: "a", Old: "b", New: "c"}, want: "\ufeffa: c\n"},
	{name: "a key with a full stop", in: "m: {d.x: 1%}\n", edit: source.Set{Path: `m."d.x"`, Old: "1%", New: "2%"}, want: "m: {d.x: 2%}\n"},
	{name: "the text has changed", in: "a: b\n", edit: source.Set{Path: "a", Old: "x", New: "y"}, conflict: true},
	{name: "the text is gone", in: "a: b\n", edit: source.Set{Path: "c.d", Old: "x", New: "y"}, conflict: true},
	{name: "a list is no text", in: "a: [b]\n", edit: source.Set{Path: "a", Old: "b", New: "y"}, conflict: true},
	{name: "an alias cannot be proved", in: "a: &x b\nc: *x\n", edit: source.Set{Path: "a", Old: "b", New: "y"}, unproved: true},
	{name: "a key twice cannot be proved", in: "a: b\na: c\n", edit: source.Set{Path: "a", Old: "b", New: "y"}, unproved: true},

	{name: "a key at the end of a block",
		in:   "cut:\n  date: 2026-11-28 # Saturday\n\n# then\nruns: []\n",
		edit: source.Insert{Path: "cut", Key: "bar", Value: text("8")},
		want: "cut:\n  date: 2026-11-28 # Saturday\n  bar: 8\n\n# then\nruns: []\n"},
	{name: "a key at the end of the file",
		in:   "a: b",
		edit: source.Insert{Key: "cut", Value: mapping(source.Field{Key: "date", Value: text("2026-11-28")}, source.Field{Key: "bar", Value: text("8")})},
		want: "a: b\ncut: {date: 2026-11-28, bar: 8}"},
	{name: "a key in brackets",
		in:   "cut: {date: 2026-11-28 } # c\n",
		edit: source.Insert{Path: "cut", Key: "guest, small", Value: text("5")},
		want: "cut: {date: 2026-11-28, \"guest, small\": 5 } # c\n"},
	{name: "a key in empty brackets", in: "cut: {}\n", edit: source.Insert{Path: "cut", Key: "bar", Value: text("8")}, want: "cut: {bar: 8}\n"},
	{name: "a key behind a comma at the end", in: "c: {a: 1,}\n", edit: source.Insert{Path: "c", Key: "b", Value: text("2")}, want: "c: {a: 1, b: 2,}\n"},
	{name: "a key behind a literal block that keeps its end",
		in:   "a: |+\n  x\n\n\nb: 1\n",
		edit: source.Insert{Key: "c", Value: text("2")},
		want: "a: |+\n  x\n\n\nb: 1\nc: 2\n"},
	{name: "a key behind a last literal block that keeps its end",
		in:   "a: |+\n  x\n\n",
		edit: source.Insert{Key: "c", Value: text("2")},
		want: "a: |+\n  x\n\nc: 2\n"},
	{name: "a key that is there", in: "a: b\n", edit: source.Insert{Key: "a", Value: text("2")}, conflict: true},

	{name: "an entry at the end of a block list",
		in:   "w:\r\n- {a: 1} # one\r\n\r\nb: 2\r\n",
		edit: source.Append{Path: "w", Value: mapping(source.Field{Key: "a", Value: text("x, y")})},
		want: "w:\r\n- {a: 1} # one\r\n- {a: \"x, y\"}\r\n\r\nb: 2\r\n"},
	{name: "an entry in brackets", in: "w: [a, b ]\n", edit: source.Append{Path: "w", Value: text("c, d")}, want: "w: [a, b, \"c, d\" ]\n"},
	{name: "the first entry",
		in:   "runs: []                 # label runs\nevents: []\n",
		edit: source.Append{Path: "runs", Value: mapping(source.Field{Key: "date", Value: text("2026-11-28")})},
		want: "runs:                  # label runs\n  - {date: 2026-11-28}\nevents: []\n"},
	{name: "the first entry of a list that was left open",
		in:   "runs:\nevents: []\n",
		edit: source.Append{Path: "runs", Value: text("x")},
		want: "runs:\n  - x\nevents: []\n"},
	{name: "the first entry within brackets", in: "a: {runs: []}\n", edit: source.Append{Path: "a.runs", Value: text("x")}, want: "a: {runs: [x]}\n"},
	{name: "no list", in: "a: b\n", edit: source.Append{Path: "a", Value: text("x")}, conflict: true},

	{name: "a line out of a block list",
		in:   "w:\n  # first\n  - a\n  # second\n  - b # bee\n  # third\n  - c\n",
		edit: source.Remove{Path: "w[1]", Old: text("b")},
		want: "w:\n  # first\n  - a\n  # second\n  # third\n  - c\n"},
	{name: "the first key behind a dash",
		in:   "w:\n  - a: 1\n    b: 2\n",
		edit: source.Remove{Path: "w[0].a", Old: text("1")},
		want: "w:\n  - b: 2\n"},
	{name: "the first key behind a dash, with a comment below it",
		in:   "w:\n  - a: 1\n    # two\n    b: 2\n",
		edit: source.Remove{Path: "w[0].a", Old: text("1")},
		want: "w:\n  - \n    # two\n    b: 2\n"},
	{name: "a block with all that is in it",
		in:   "a: 1\nb:\n  c: # x\n    - d\n\ne: 2\n",
		edit: source.Remove{Path: "b", Old: mapping(source.Field{Key: "c", Value: list(text("d"))})},
		want: "a: 1\n\ne: 2\n"},
	{name: "the last key of the file", in: "a: 1\nb: 2", edit: source.Remove{Path: "b", Old: text("2")}, want: "a: 1\n"},
	{name: "the only key of a block", in: "a:\n  b: 2 # x\nc: 3\n", edit: source.Remove{Path: "a.b", Old: text("2")}, want: "a: {} # x\nc: 3\n"},
	{name: "the only entry of a list", in: "a:\n- b\nc: 3\n", edit: source.Remove{Path: "a[0]", Old: text("b")}, want: "a: []\nc: 3\n"},
	{name: "the first between brackets", in: "a: [b, c , d]\n", edit: source.Remove{Path: "a[0]", Old: text("b")}, want: "a: [c , d]\n"},
	{name: "the last between brackets", in: "a: {b: 1, c: 2}\n", edit: source.Remove{Path: "a.c", Old: text("2")}, want: "a: {b: 1}\n"},
	{name: "the only one between brackets", in: "a: {b: 1}\n", edit: source.Remove{Path: "a.b", Old: text("1")}, want: "a: {}\n"},
	{name: "something that has changed", in: "a: {b: 1}\n", edit: source.Remove{Path: "a.b", Old: text("2")}, conflict: true},

	{name: "one in brackets becomes several", in: "cut: {date: 2026-11-28, bar: 8} # by hand\nz: 1\n", edit: source.Wrap{Path: "cut", Value: mapping(source.Field{Key: "bar", Value: text("2")})},
		want: "cut: [{date: 2026-11-28, bar: 8}, {bar: 2}] # by hand\nz: 1\n"},
	{name: "a block becomes several",
		in:   "cut:\n  # the loaf\n  date: 2026-11-28 # a Saturday\n  bar: 8\n\n  ends: 2   # small\nz: 1\n",
		edit: source.Wrap{Path: "cut", Value: mapping(source.Field{Key: "bar", Value: text("2")})},
		want: "cut:\n  # the loaf\n  - date: 2026-11-28 # a Saturday\n    bar: 8\n\n    ends: 2   # small\n  - {bar: 2}\nz: 1\n"},
	{name: "a block with a block in it",
		in:   "cut:\n    a:\n      - 1\n    b: |\n      x\n\n      y\n",
		edit: source.Wrap{Path: "cut", Value: text("2")},
		want: "cut:\n    - a:\n        - 1\n      b: |\n        x\n\n        y\n    - 2\n"},
	{name: "a list is several already", in: "cut: [a]\n", edit: source.Wrap{Path: "cut", Value: text("2")}, conflict: true},
	{name: "nothing is there", in: "a: b\n", edit: source.Wrap{Path: "cut", Value: text("2")}, conflict: true},
}

func TestApply(t *testing.T) {
	for _, tt := range editTests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := source.Apply("x.yaml", []byte(tt.in), tt.edit)
			var conflict *source.Conflict
			var unproved *source.Unproved
			if errors.As(err, &conflict) != tt.conflict || errors.As(err, &unproved) != tt.unproved {
				t.Fatalf("Apply(%q, %+v): error %v", tt.in, tt.edit, err)
			}
			if err == nil && string(got) != tt.want {
				t.Errorf("Apply(%q, %+v)\n got %q\nwant %q", tt.in, tt.edit, got, tt.want)
			}
		})
	}
}

func TestConflictCarriesBothVersions(t *testing.T) {
	_, err := source.Apply("f.yaml", []byte("pot:\n  - {material: olive-oil, share: 70%}\n"), source.Set{Path: "pot[0].share", Old: "80%", New: "75%"})
	var conflict *source.Conflict
	if !errors.As(err, &conflict) {
		t.Fatalf("error %v; want a conflict", err)
	}
	if conflict.Old != "80%" || conflict.Now != "70%" || conflict.New != "75%" || conflict.At.String() != "f.yaml:2:34" {
		t.Errorf("conflict %+v", conflict)
	}
}

func TestAllEditsOrNone(t *testing.T) {
	in := []byte("a: b\nc: d\n")
	got, err := source.Apply("x.yaml", in, source.Set{Path: "a", Old: "b", New: "x"}, source.Set{Path: "c", Old: "no", New: "y"})
	if err == nil || got != nil {
		t.Errorf("got %q, error %v; want nothing and a conflict", got, err)
	}
}
