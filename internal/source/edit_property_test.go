package source_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"

	"saponym/internal/source"
)

// A specimen is a random document with what it says and where its texts stand,
// put together without the reader that is tested.
type specimen struct {
	b     strings.Builder
	eol   string
	texts []placed
	maps  []string // paths
	lists []string
	parts []part
}

// A part is a value with its key or dash.
type part struct {
	path       string
	start, end int
	flow       bool
}

// opened notes that a part begins here, and gives what has to be called at its
// end.
func (s *specimen) opened(path string, flow bool) func() {
	i := len(s.parts)
	s.parts = append(s.parts, part{path: path, start: s.b.Len(), flow: flow})
	return func() { s.parts[i].end = s.b.Len() }
}

// A placed text knows the bytes that it takes in the document.
type placed struct {
	path       string
	start, end int
	text       string
	block      bool
}

var (
	words  = []string{"oat", "Sodium Olivate", "80%", "4 oz", "é", "日本", "🙂 soap", "0127", "a:b", "a#b", "3 1/4 in", "it's", "x\"y", "-0.1 mm", "C18:1"}
	plains = []string{"oat", "Sodium Olivate", "80%", "4 oz", "é", "日本", "🙂 soap", "0127", "a:b", "a#b", "3 1/4 in", "it's", "x\"y", "2026-11-26"}
	keys   = []string{"a", "material", "é", "日本 x", "C18:1", "d.e", "max use", "b-c", "k_1", "9", "q\"", "[x"}
)

func (s *specimen) pick(t *rapid.T, label string, options ...string) string {
	return rapid.SampledFrom(options).Draw(t, label)
}

func (s *specimen) line(text string) { s.b.WriteString(text + s.eol) }

// lineEnd ends the line, perhaps with a comment.
func (s *specimen) lineEnd(t *rapid.T) {
	s.b.WriteString(s.pick(t, "end", "", "", " ", "  # note é", " # [x: y] \"z"))
	s.b.WriteString(s.eol)
}

// between puts comments and blank lines between entries.
func (s *specimen) between(t *rapid.T, indent int) {
	switch s.pick(t, "between", "none", "none", "none", "blank", "comment", "both") {
	case "blank":
		s.line("")
	case "comment":
		s.line(strings.Repeat(" ", indent) + "# on its own, 'line'")
	case "both":
		s.line("")
		s.line(strings.Repeat(" ", indent) + "# after a blank: line")
		s.line("")
	}
}

func writeKey(key string) string {
	if strings.ContainsAny(key, "\"[") {
		return "'" + key + "'"
	}
	return key
}

func (s *specimen) keys(t *rapid.T, least int) []string {
	return rapid.SliceOfNDistinct(rapid.SampledFrom(keys), least, 4, rapid.ID[string]).Draw(t, "keys")
}

// text writes a text on the line and gives it.
func (s *specimen) text(t *rapid.T, path string, inFlow bool) source.Tree {
	var typed, text string
	switch s.pick(t, "style", "plain", "single", "double") {
	case "plain":
		text = s.pick(t, "plain", plains...)
		typed = text
	case "single":
		text = s.pick(t, "single", append(words, "a, b", "x: y", "# z", " led", "")...)
		typed = "'" + strings.ReplaceAll(text, "'", "''") + "'"
	default:
		text = s.pick(t, "double", append(words, "a, b", "x: y", "# z", "two\nlines", "\\", "\u00a0", "")...)
		typed = `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\u00a0", `\u00a0`, "é", `\xe9`).Replace(text) + `"`
	}
	if !inFlow && s.pick(t, "lines", "one", "one", "one", "two") == "two" && typed == text {
		// A plain text goes on in the next line, far to the right.
		typed += s.eol + strings.Repeat(" ", 30) + "and more"
		text += " and more"
	}
	start := s.b.Len()
	s.b.WriteString(typed)
	s.texts = append(s.texts, placed{path, start, s.b.Len(), text, false})
	return source.NewText(text)
}

// literal writes a block scalar behind a key or a dash, with the line ends.
func (s *specimen) literal(t *rapid.T, path string, indent int) source.Tree {
	header := s.pick(t, "header", "|", "|-", ">-", ">")
	lines := []string{s.pick(t, "first", "one", "é: x", "# no comment", "- a"), s.pick(t, "second", "two", "[x", "日本 # y")}
	start := s.b.Len()
	s.b.WriteString(header)
	s.lineEnd(t)
	margin := strings.Repeat(" ", indent+2)
	s.b.WriteString(margin + lines[0] + s.eol + margin + lines[1])
	end := s.b.Len()
	s.b.WriteString(s.eol)
	text := strings.Join(lines, map[bool]string{true: "\n", false: " "}[header[0] == '|'])
	if !strings.HasSuffix(header, "-") {
		text += "\n"
	}
	s.texts = append(s.texts, placed{path, start, end, text, true})
	return source.NewText(text)
}

// flow writes a value within brackets, or a text.
func (s *specimen) flow(t *rapid.T, path string, depth int) source.Tree {
	kind := s.pick(t, "flow", "text", "text", "map", "list")
	if depth > 2 {
		kind = "text"
	}
	gap := func() string {
		return s.pick(t, "gap", "", "", " ", s.eol+strings.Repeat(" ", 32), " # in brackets, too"+s.eol+strings.Repeat(" ", 32))
	}
	switch kind {
	case "map":
		s.maps = append(s.maps, path)
		m := source.NewMapping()
		s.b.WriteString("{" + gap())
		for i, key := range s.keys(t, 0) {
			if i > 0 {
				s.b.WriteString("," + gap() + " ")
			}
			end := s.opened(source.Key(path, key), true)
			s.b.WriteString(writeKey(key) + ": ")
			m.Fields = append(m.Fields, source.Field{Key: key, Value: s.flow(t, source.Key(path, key), depth+1)})
			end()
		}
		s.b.WriteString(gap() + "}")
		return m
	case "list":
		s.lists = append(s.lists, path)
		l := source.NewList()
		s.b.WriteString("[" + gap())
		for i := range rapid.IntRange(0, 3).Draw(t, "items") {
			if i > 0 {
				s.b.WriteString("," + gap() + " ")
			}
			end := s.opened(source.Item(path, i), true)
			l.List = append(l.List, s.flow(t, source.Item(path, i), depth+1))
			end()
		}
		s.b.WriteString(gap() + "]")
		return l
	}
	return s.text(t, path, true)
}

// value writes the value of a key or an entry in a block, with the line ends.
// The block around it is indented by so much, and the cursor is behind ":" or
// "-".
func (s *specimen) value(t *rapid.T, path string, indent, depth int, behindDash bool) source.Tree {
	kind := s.pick(t, "value", "text", "text", "flow", "literal", "map", "list", "nothing")
	if depth > 3 && (kind == "map" || kind == "list") {
		kind = "text"
	}
	switch kind {
	case "nothing":
		s.lineEnd(t)
		return source.Tree{}
	case "flow":
		s.b.WriteString(" ")
		v := s.flow(t, path, 0)
		s.lineEnd(t)
		return v
	case "literal":
		s.b.WriteString(" ")
		return s.literal(t, path, indent)
	case "map":
		if behindDash {
			s.b.WriteString(" ")
			return s.mapping(t, path, indent+2, depth+1, true)
		}
		s.lineEnd(t)
		return s.mapping(t, path, indent+2, depth+1, false)
	case "list":
		s.lineEnd(t)
		deeper := rapid.SampledFrom([]int{0, 2}).Draw(t, "deeper")
		if behindDash {
			deeper = 2
		}
		return s.list(t, path, indent+deeper, depth+1)
	}
	s.b.WriteString(" ")
	v := s.text(t, path, false)
	s.b.WriteString(s.pick(t, "tab", "", "", "\t"))
	s.lineEnd(t)
	return v
}

func (s *specimen) mapping(t *rapid.T, path string, indent, depth int, started bool) source.Tree {
	s.maps = append(s.maps, path)
	m := source.NewMapping()
	for i, key := range s.keys(t, 1) {
		if i > 0 || !started {
			s.between(t, indent)
			s.b.WriteString(strings.Repeat(" ", indent))
		}
		end := s.opened(source.Key(path, key), false)
		s.b.WriteString(writeKey(key) + ":")
		m.Fields = append(m.Fields, source.Field{Key: key, Value: s.value(t, source.Key(path, key), indent, depth, false)})
		end()
	}
	return m
}

func (s *specimen) list(t *rapid.T, path string, indent, depth int) source.Tree {
	s.lists = append(s.lists, path)
	l := source.NewList()
	for i := range rapid.IntRange(1, 3).Draw(t, "items") {
		s.between(t, indent)
		s.b.WriteString(strings.Repeat(" ", indent))
		end := s.opened(source.Item(path, i), false)
		s.b.WriteString("-")
		l.List = append(l.List, s.value(t, source.Item(path, i), indent, depth, true))
		end()
	}
	return l
}

func drawSpecimen(t *rapid.T) (*specimen, string, source.Tree) {
	s := &specimen{eol: rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "eol")}
	s.b.WriteString(s.pick(t, "mark", "", "", "\ufeff"))
	s.b.WriteString(s.pick(t, "top", "", "", "# at the top"+s.eol, "---"+s.eol))
	tree := s.mapping(t, "", 0, 0, false)
	text := s.b.String()
	if s.pick(t, "last", "full", "full", "cut") == "cut" {
		text = strings.TrimSuffix(text, s.eol)
	}
	return s, text, tree
}

// says reads a document with the YAML reader alone. The last line counts as one
// that is ended.
func says(t *rapid.T, text string) source.Tree {
	var n yaml.Node
	if err := yaml.Unmarshal([]byte(strings.TrimSuffix(text, "\n")+"\n"), &n); err != nil {
		t.Fatalf("not YAML: %v\n%s", err, text)
	}
	var tree func(n *yaml.Node) source.Tree
	tree = func(n *yaml.Node) source.Tree {
		switch {
		case n.Kind == yaml.MappingNode:
			m := source.NewMapping()
			for i := 0; i < len(n.Content); i += 2 {
				m.Fields = append(m.Fields, source.Field{Key: n.Content[i].Value, Value: tree(n.Content[i+1])})
			}
			return m
		case n.Kind == yaml.SequenceNode:
			l := source.NewList()
			for _, item := range n.Content {
				l.List = append(l.List, tree(item))
			}
			return l
		case n.Tag == "!!null":
			return source.Tree{}
		}
		return source.NewText(n.Value)
	}
	return tree(n.Content[0])
}

func drawText(t *rapid.T, label string) string {
	return rapid.OneOf(
		rapid.SampledFrom(append(words, "", "no", "~", "null", "- x", "? y", "a: b", "x #y", "one\ntwo\n", "  in", "[a]", "{", "}", "a, b", "&x", "*y", "!z", "%", "@", "`", "'", "\"", "\\n", "\t", "\u2028", "\u200f", ":", "---", "...", "|", ">", "one\n\n  two")),
		rapid.StringN(0, 20, -1),
	).Filter(func(s string) bool {
		// U+FFFD stands for a character that is lost, and NUL and the like of
		// the plane's end are no characters of YAML: they are refused.
		return !strings.ContainsAny(s, "\ufffd\ufffe\uffff")
	}).Draw(t, label)
}

func drawTree(t *rapid.T) source.Tree {
	switch rapid.IntRange(0, 3).Draw(t, "shape") {
	case 0:
		return source.NewList(source.NewText(drawText(t, "item")), source.NewMapping())
	case 1:
		return source.NewMapping(source.Field{Key: "material", Value: source.NewText(drawText(t, "a"))}, source.Field{Key: drawText(t, "key") + "!", Value: source.NewList()})
	}
	return source.NewText(drawText(t, "new"))
}

// common gives how many bytes two texts share at their beginning, and then at
// their end.
func common(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	a, b = a[n:], b[n:]
	m := 0
	for m < len(a) && m < len(b) && a[len(a)-1-m] == b[len(b)-1-m] {
		m++
	}
	return n + m
}

func apply(t *rapid.T, text string, edit source.Edit, want source.Tree) string {
	out, err := source.Apply("x.yaml", []byte(text), edit)
	if err != nil {
		t.Fatalf("%#v: %v\n%s", edit, err, text)
	}
	if got := says(t, string(out)); !got.Equal(want) {
		t.Fatalf("%#v\n got %v\nwant %v\nbefore:\n%s\nafter:\n%s", edit, got, want, text, out)
	}
	return string(out)
}

// change gives the tree with another value at a path.
func change(tree source.Tree, path string, to func(source.Tree) source.Tree) source.Tree {
	var walk func(t source.Tree, at string) source.Tree
	walk = func(t source.Tree, at string) source.Tree {
		if at == path {
			return to(t)
		}
		out := source.Tree{Shape: t.Shape, Text: t.Text}
		for i, item := range t.List {
			out.List = append(out.List, walk(item, source.Item(at, i)))
		}
		for _, f := range t.Fields {
			out.Fields = append(out.Fields, source.Field{Key: f.Key, Value: walk(f.Value, source.Key(at, f.Key))})
		}
		return out
	}
	return walk(tree, "")
}

// check tries a property on ten times as many documents as rapid.checks says.
func check(t *testing.T, property func(*rapid.T)) {
	for i := range 10 {
		t.Run(fmt.Sprint(i), func(t *testing.T) { rapid.Check(t, property) })
	}
}

func TestSetChangesOneTextOnly(t *testing.T) {
	check(t, func(t *rapid.T) {
		s, text, tree := drawSpecimen(t)
		if got := says(t, text); !got.Equal(tree) {
			t.Fatalf("the specimen is not what it should be:\n got %v\nwant %v\n%s", got, tree, text)
		}
		if len(s.texts) == 0 {
			return
		}
		at := rapid.SampledFrom(s.texts).Draw(t, "at")
		to := drawText(t, "to")
		want := to
		if at.block && strings.HasSuffix(at.text, "\n") && strings.Trim(to, "\n") != "" {
			want = strings.TrimRight(to, "\n") + "\n"
		}
		out := apply(t, text, source.Set{Path: at.path, Old: at.text, New: to},
			change(tree, at.path, func(source.Tree) source.Tree { return source.NewText(want) }))
		before, after := text[:at.start], text[min(at.end, len(text)):]
		if !strings.HasPrefix(out, before) || !strings.HasSuffix(out, after) {
			t.Fatalf("other bytes have changed\nbefore %q\nafter  %q", text, out)
		}
	})
}

func TestInsertAddsOneKeyOnly(t *testing.T) {
	check(t, func(t *rapid.T) {
		s, text, tree := drawSpecimen(t)
		path := rapid.SampledFrom(s.maps).Draw(t, "map")
		key := rapid.SampledFrom([]string{"new", "neu é", "x: y", "# z", "[", "no", "ü.ö"}).Draw(t, "key")
		value := drawTree(t)
		out := apply(t, text, source.Insert{Path: path, Key: key, Value: value},
			change(tree, path, func(m source.Tree) source.Tree {
				m.Fields = append(m.Fields, source.Field{Key: key, Value: value})
				return m
			}))
		if common(text, out) != len(text) {
			t.Fatalf("other bytes have changed\nbefore %q\nafter  %q", text, out)
		}
	})
}

func TestAppendAddsOneEntryOnly(t *testing.T) {
	check(t, func(t *rapid.T) {
		s, text, tree := drawSpecimen(t)
		if len(s.lists) == 0 {
			return
		}
		path := rapid.SampledFrom(s.lists).Draw(t, "list")
		value := drawTree(t)
		list, _ := tree.At(path)
		out := apply(t, text, source.Append{Path: path, Value: value},
			change(tree, path, func(l source.Tree) source.Tree {
				l.List = append(l.List, value)
				return l
			}))
		shared := common(text, out)
		if len(list.List) > 0 && shared != len(text) {
			t.Fatalf("other bytes have changed\nbefore %q\nafter  %q", text, out)
		}
		// An empty list may lose its brackets and the space around them.
		if stripped := strings.NewReplacer("[", "", "]", "", " ", ""); len(list.List) == 0 &&
			len(stripped.Replace(out)) < len(stripped.Replace(text)) {
			t.Fatalf("other bytes are gone\nbefore %q\nafter  %q", text, out)
		}
	})
}

// What is in the mapping that becomes the first of several stays, but for the white space
// before its lines.
func TestWrapKeepsWhatIsThere(t *testing.T) {
	check(t, func(t *rapid.T) {
		s, text, tree := drawSpecimen(t)
		var inside []string
		for _, path := range s.maps {
			if path != "" {
				inside = append(inside, path)
			}
		}
		if len(inside) == 0 {
			return
		}
		path := rapid.SampledFrom(inside).Draw(t, "mapping")
		value := drawTree(t)
		out, err := source.Apply("x.yaml", []byte(text), source.Wrap{Path: path, Value: value})
		if unproved := (*source.Unproved)(nil); errors.As(err, &unproved) {
			return // such as a mapping behind a dash: nothing was changed
		}
		if err != nil {
			t.Fatal(err)
		}
		doc, err := source.Read("x.yaml", out)
		if err != nil {
			t.Fatal(err)
		}
		was, _ := tree.At(path)
		if now, _ := doc.Tree().At(path); !now.Equal(source.NewList(was, value)) {
			t.Fatalf("%s is %v, want %v and %v", path, now, was, value)
		}
		bare := strings.NewReplacer(" ", "", "\n", "", "\r", "")
		if len(bare.Replace(string(out))) < len(bare.Replace(text)) {
			t.Fatalf("other bytes are gone\nbefore %q\nafter  %q", text, out)
		}
	})
}

func TestRemoveTakesOneValueOnly(t *testing.T) {
	check(t, func(t *rapid.T) {
		s, text, tree := drawSpecimen(t)
		part := rapid.SampledFrom(s.parts).Draw(t, "part")
		path := part.path
		old, ok := tree.At(path)
		if !ok {
			t.Fatalf("no %s in %v", path, tree)
		}
		var without func(t source.Tree, at string) source.Tree
		without = func(t source.Tree, at string) source.Tree {
			out := source.Tree{Shape: t.Shape, Text: t.Text}
			for i, item := range t.List {
				if p := source.Item(at, i); p != path {
					out.List = append(out.List, without(item, p))
				}
			}
			for _, f := range t.Fields {
				if p := source.Key(at, f.Key); p != path {
					out.Fields = append(out.Fields, source.Field{Key: f.Key, Value: without(f.Value, p)})
				}
			}
			return out
		}
		out := apply(t, text, source.Remove{Path: path, Old: old}, without(tree, ""))
		// All before the part and all behind it is still there, but for the
		// white space round it and, within brackets, its comma.
		bare := func(text string) string {
			if part.flow {
				return strings.ReplaceAll(text, ",", "")
			}
			return text
		}
		before := strings.TrimRight(bare(text[:part.start]), " \r\n")
		after := strings.TrimLeft(bare(text[min(part.end, len(text)):]), " \r\n")
		if !strings.HasPrefix(bare(out), before) || !strings.HasSuffix(bare(out), after) {
			t.Fatalf("%s: other bytes have changed\nbefore %q\nafter  %q", path, text, out)
		}
	})
}

func ExampleApply() {
	file := []byte("cut: {date: 2026-11-28}  # a Saturday\n")
	out, err := source.Apply("batches/2026/26330-01-S.yaml", file,
		source.Insert{Path: "cut", Key: "bar", Value: source.NewText("8")},
		source.Set{Path: "cut.date", Old: "2026-11-28", New: "2026-11-29"})
	fmt.Printf("%s%v\n", out, err)
	// Output:
	// cut: {date: 2026-11-29, bar: 8}  # a Saturday
	// <nil>
}
