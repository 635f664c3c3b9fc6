package source

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"saponym/internal/finding"
)

// A Map is a mapping of a document. Its methods read the value of one key each,
// report what is wrong with it, and remember that the key is known: those that
// nobody asks for are findings of [Document.Findings].
//
// A value that is missing or cannot be read comes back as the zero [Value],
// which is not given. A Map that is missing comes back as one without keys,
// which is not given either; so a reader need not look first.
type Map struct {
	doc   *Document
	node  *node // nil when the mapping is missing
	asked map[string]bool
	known []string // the keys asked for, in that order
}

// Given reports whether the document has the mapping.
func (m *Map) Given() bool { return m.node != nil }

// At gives the place where the mapping begins, or the zero Pos.
func (m *Map) At() finding.Pos {
	if m.node == nil {
		return finding.Pos{}
	}
	return m.doc.at(m.node)
}

// KeyAt gives the place of a key, or the zero Pos. It does not count as asking
// for the key.
func (m *Map) KeyAt(key string) finding.Pos {
	if m.node != nil {
		if i, ok := m.node.byKey[key]; ok {
			return m.doc.at(m.node.entries[i].key)
		}
	}
	return finding.Pos{}
}

// Keys gives all keys in the order of the file. It is for mappings whose keys
// are free, such as names of allergens; whoever calls it asks for each key.
func (m *Map) Keys() []Value[string] {
	if m.node == nil {
		return nil
	}
	var keys []Value[string]
	for _, e := range m.node.entries {
		if !e.stray {
			keys = append(keys, Value[string]{e.key.text, m.doc.at(e.key)})
		}
	}
	return keys
}

// A Shape says which kind of value a key has.
type Shape int

// The shapes of a value.
const (
	Absent    Shape = iota // the key is missing, or has no value
	IsText                 // a text, a number, an amount
	IsList                 // a list
	IsMapping              // a mapping
)

// Shape gives the shape of a key's value, for keys that take more than one. It
// does not report a key without a value; the method that reads it does.
func (m *Map) Shape(key string) Shape {
	n := m.peek(key)
	if n == nil {
		return Absent
	}
	switch n.kind {
	case scalar:
		return IsText
	case list:
		return IsList
	case mapping:
		return IsMapping
	}
	return Absent
}

// Map reads a mapping.
func (m *Map) Map(key string) *Map {
	n := m.want(key, mapping)
	if n == nil {
		return &Map{doc: m.doc}
	}
	return m.doc.handOut(n)
}

// Maps reads a list of mappings.
func (m *Map) Maps(key string) []*Map { return m.MapsSuch(key, "{key: value}") }

// MapsSuch reads a list of mappings as [Map.Maps] does. Such is an entry as it can be
// written, with the keys that it has: the remedy for what is none shows it, since one
// that is copied must not lead to the next finding.
func (m *Map) MapsSuch(key, such string) []*Map {
	var maps []*Map
	for _, item := range m.items(key, mapping, such) {
		maps = append(maps, m.doc.handOut(item))
	}
	return maps
}

// Texts reads a list of texts; see [Map.Text].
func (m *Map) Texts(key string) []Value[string] {
	var texts []Value[string]
	for _, item := range m.items(key, scalar, "") {
		if v := m.doc.textOf(item, shorten(key), false); v.Given() {
			texts = append(texts, v)
		}
	}
	return texts
}

// IsEmptyList reports whether a key has a list without entries.
func (m *Map) IsEmptyList(key string) bool {
	n := m.peek(key)
	return n != nil && n.kind == list && len(n.items) == 0
}

// items reads the entries of a list that are of one kind. Such is an entry as it can be
// written, for lists of mappings.
func (m *Map) items(key string, want kind, such string) []*node {
	if n := m.peek(key); n != nil && (n.kind == scalar || n.kind == mapping) && want == mapping {
		m.doc.mistaken(n, list, fmt.Sprintf("%q", shorten(key)), fmt.Sprintf(`write a line for each entry, such as "- %s"`, such))
		return nil
	}
	n := m.want(key, list)
	if n == nil {
		return nil
	}
	var items []*node
	for i, item := range n.items {
		what := fmt.Sprintf("entry %d of %q", i+1, key)
		switch {
		case want == mapping && (item.kind == scalar || item.kind == list):
			m.doc.mistaken(item, want, what, fmt.Sprintf(`write it with its keys, such as "%s"`, such))
		case m.doc.is(item, want, what):
			items = append(items, item)
		}
	}
	return items
}

// peek gives the node of a key without judging it.
func (m *Map) peek(key string) *node {
	if m.node == nil {
		return nil
	}
	if !m.asked[key] {
		m.asked[key] = true
		m.known = append(m.known, key)
	}
	return m.node.value(key)
}

// want gives the node of a key if it is of a kind, and reports what else it is.
func (m *Map) want(key string, want kind) *node {
	n := m.peek(key)
	if n == nil {
		return nil
	}
	what := fmt.Sprintf("%q", shorten(key))
	if n.kind == nothing {
		at, remedy := m.KeyAt(key), "write one after the colon, or take the key out"
		if _, behind, ok := strings.Cut(string(m.doc.lineOf(at)), ": #"); ok {
			what += " is followed by a comment, since that begins with #, and"
			remedy = fmt.Sprintf("put the value in quotation marks: %s: %s", key, quote("#"+strings.TrimSpace(behind)))
		}
		m.doc.stop(n, RuleNoValue, at, what+" has no value", remedy)
		return nil
	}
	if !m.doc.is(n, want, what) {
		return nil
	}
	return n
}

// is reports whether a node is of a kind; where it is not, that is a finding.
func (d *Document) is(n *node, want kind, what string) bool {
	switch {
	case n.kind == want:
		return true
	case n.kind == faulty:
		return false
	case n.kind == nothing:
		d.stop(n, RuleNoValue, d.at(n), what+" has no value", "write one, or take it out")
		return false
	}
	remedy := map[kind]string{
		scalar:  "write one value",
		list:    "write it as a list: [a, b]",
		mapping: "write it as keys with values: {key: value}",
	}[want]
	if want == list && n.kind == scalar && !strings.ContainsAny(n.text, ",[]{}#:\n\"") {
		remedy = fmt.Sprintf("write it as a list: [%s]", shorten(n.text))
	}
	d.mistaken(n, want, what, remedy)
	return false
}

// mistaken reports a node of another kind than the one that is expected.
func (d *Document) mistaken(n *node, want kind, what, remedy string) {
	d.stop(n, RuleType, d.at(n), fmt.Sprintf("%s is %s; %s is expected here", what, kindNames[n.kind], kindNames[want]), remedy)
}

// unread reports the keys that nobody has asked for. It notes in split the
// values of which YAML has split off a part.
func (m *Map) unread(split map[*node]bool) []finding.Finding {
	if m.node == nil {
		return nil
	}
	var all []finding.Finding
	var missing []string // the known keys that are not there
	for i, e := range m.node.entries {
		if m.asked[e.key.text] {
			continue
		}
		f := finding.Finding{Level: finding.Stop, At: m.doc.at(e.key)}
		f.Excerpt = m.doc.excerpt(f.At)
		if e.stray && i > 0 {
			whole := i - 1
			for whole > 0 && m.node.entries[whole].stray && !m.asked[m.node.entries[whole].key.text] {
				whole--
			}
			before := m.node.entries[whole]
			split[before.value] = true
			f.Rule = RuleSplit
			f.Message = fmt.Sprintf("%q stands alone between commas: YAML has split the value of %q at the comma", shorten(e.key.text), shorten(before.key.text))
			if len(all) < mostFindings {
				f.Remedy = m.unsplit(before, e)
			}
			all = append(all, f)
			continue
		}
		f.Rule = RuleUnknown
		f.Message = fmt.Sprintf("the key %q is not known here", shorten(e.key.text))
		if missing == nil {
			missing = slices.DeleteFunc(slices.Clone(m.known), func(k string) bool { return m.node.value(k) != nil })
		}
		near := ""
		if len(all) < mostFindings {
			near = Nearest(e.key.text, missing)
		}
		switch {
		case near != "":
			f.Remedy = fmt.Sprintf("did you mean %q?", near)
		case len(m.known) > 0:
			f.Remedy = "known here are " + strings.Join(slices.Sorted(slices.Values(m.known)), ", ")
		}
		all = append(all, f)
	}
	return all
}

// unsplit says how to write a value that YAML has split.
func (m *Map) unsplit(before, stray entry) string {
	typed := m.doc.sourceOf(before.value, stray.key)
	if typed == "" || before.value.kind != scalar || before.value.style != plain {
		return "put quotes round the whole text"
	}
	first, last := []rune(before.value.text), []rune(stray.key.text)
	if unicode.IsDigit(first[len(first)-1]) && unicode.IsDigit(last[0]) && !strings.ContainsFunc(before.value.text, unicode.IsLetter) && strings.Count(typed, ",") == 1 && isAmount(last) {
		point := strings.Replace(typed, ",", ".", 1)
		if strings.IndexFunc(string(last), func(r rune) bool { return !unicode.IsDigit(r) }) == 3 {
			return fmt.Sprintf("write thousands without a comma (%s: %s), or a decimal point (%s)", before.key.text, strings.Replace(typed, ",", "", 1), point)
		}
		return fmt.Sprintf("write a decimal point: %s: %s", before.key.text, point)
	}
	return fmt.Sprintf("put quotes round it: %s: %s", before.key.text, quote(typed))
}

// isAmount reports whether a text that begins with a digit goes on as an amount
// does: digits, then a unit.
func isAmount(text []rune) bool {
	rest := strings.TrimLeft(string(text), "0123456789")
	return !strings.HasPrefix(rest, "-") && len([]rune(strings.TrimSpace(rest))) <= 3
}
