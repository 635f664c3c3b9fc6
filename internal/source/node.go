package source

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"saponym/internal/finding"
)

// A kind says what a node is.
type kind int

const (
	nothing kind = iota // no value, or null
	scalar              // a text, whatever it looks like
	list
	mapping
	faulty // something that was reported and is not read
)

// kindNames says in plain English what stands at a node.
var kindNames = map[kind]string{nothing: "nothing", scalar: "a text", list: "a list", mapping: "a mapping of keys"}

// A style says how a node is written.
type style int

const (
	plain  style = iota // without quotation marks
	single              // 'text'
	double              // "text"
	folded              // a block that begins with | or >
	flow                // [a, b] or {a: b}
	block               // by indentation
)

// A node is one value of a document, with the place where it begins.
type node struct {
	kind      kind
	style     style
	text      string // of a scalar; of nothing, the word that stands there
	line, col int
	items     []*node // of a list
	entries   []entry // of a mapping
	byKey     map[string]int
}

// An entry is a key with its value. It is stray when the key stands between
// commas without a colon: {a: b, stray, c: d}.
type entry struct {
	key, value *node
	stray      bool
}

// value gives the value of a key, and nil where the mapping has no such key.
func (n *node) value(key string) *node {
	if i, ok := n.byKey[key]; ok {
		return n.entries[i].value
	}
	return nil
}

// A builder makes the nodes of a document from those of the YAML reader, and
// finds what no document may hold, whatever it is about.
type builder struct {
	doc   *Document
	nodes int
}

// build makes a node. Depth counts from 1 at the top.
func (b *builder) build(y *yaml.Node, depth int) *node {
	at := b.doc.clamp(y.Line, y.Column)
	n := &node{kind: faulty, line: at.Line, col: at.Col}
	b.nodes++
	fail := func(rule, message, remedy string) *node {
		b.doc.faithful = false
		b.doc.stop(nil, rule, at, message, remedy)
		return n
	}
	switch {
	case b.nodes > MaxNodes:
		return n
	case y.Kind == yaml.AliasNode:
		return fail(RuleAlias, fmt.Sprintf("*%s is a YAML alias, which stands for a value from elsewhere", y.Value), "write the value itself; put quotes round a text that begins with *")
	case y.Anchor != "":
		return fail(RuleAlias, fmt.Sprintf("&%s is a YAML anchor", y.Anchor), "take the anchor out; put quotes round a text that begins with &")
	case y.Style&yaml.TaggedStyle != 0:
		return fail(RuleTag, fmt.Sprintf("%s is a YAML tag; values are read as they are typed", y.ShortTag()), "take the tag out; put quotes round a text that begins with !")
	case depth > MaxDepth:
		return fail(RuleDepth, fmt.Sprintf("more than %d lists and mappings are nested here", MaxDepth), "a document of a shop needs no more than a few levels")
	}
	switch y.Kind {
	case yaml.MappingNode:
		n.kind, n.style = mapping, collectionStyle(y)
		b.entries(n, y, depth)
	case yaml.SequenceNode:
		n.kind, n.style = list, collectionStyle(y)
		for _, item := range y.Content {
			n.items = append(n.items, b.build(item, depth+1))
		}
	case yaml.ScalarNode:
		b.scalar(n, y)
	}
	return n
}

func collectionStyle(y *yaml.Node) style {
	if y.Style&yaml.FlowStyle != 0 {
		return flow
	}
	return block
}

func (b *builder) scalar(n *node, y *yaml.Node) {
	n.kind, n.text = scalar, y.Value
	switch {
	case y.Style&yaml.SingleQuotedStyle != 0:
		n.style = single
	case y.Style&yaml.DoubleQuotedStyle != 0:
		n.style = double
	case y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		n.style = folded
	case y.Tag == "!!null":
		n.kind = nothing
	}
	at := b.doc.at(n)
	if length := utf8.RuneCountInString(n.text); length > MaxTextLength {
		b.doc.stop(n, RuleLong, at, fmt.Sprintf("the text has %d characters; no text of a document has more than %d", length, MaxTextLength), "shorten it")
	}
	// What shows in the file was found before; an escape can hide the same.
	hidden := func(r rune) bool { return isHidden(r) || isLineBreak(r) }
	if i := strings.IndexFunc(n.text, hidden); i >= 0 && n.style == double {
		r, _ := utf8.DecodeRuneInString(n.text[i:])
		b.doc.hidden(n, at, r)
	}
}

// entries reads the keys of a mapping and their values.
func (b *builder) entries(n *node, y *yaml.Node, depth int) {
	n.byKey = map[string]int{}
	for i := 0; i+1 < len(y.Content); i += 2 {
		key := b.build(y.Content[i], depth+1)
		value := b.build(y.Content[i+1], depth+1)
		at := b.doc.at(key)
		switch {
		case key.kind == faulty:
			continue
		case y.Content[i].Tag == "!!merge":
			b.doc.faithful = false
			b.doc.stop(nil, RuleMerge, at, "<< is a YAML merge key, which brings in keys from elsewhere", "write the keys themselves")
			continue
		case key.kind != scalar || key.text == "":
			b.doc.faithful = false
			b.doc.stop(nil, RuleComplex, at, fmt.Sprintf("%s stands in place of a key", kindNames[key.kind]), "write a word as the key, then a colon and a space")
			continue
		}
		if i, ok := n.byKey[key.text]; ok {
			b.doc.faithful = false
			b.doc.stop(nil, RuleDuplicate, at, fmt.Sprintf("%q stands here again; it is already on line %d", shorten(key.text), n.entries[i].key.line), "keep one of the two")
			continue
		}
		n.byKey[key.text] = len(n.entries)
		e := entry{key: key, value: value}
		if n.style == flow && i > 0 && value.kind == nothing && value.text == "" && key.style == plain {
			e.stray = b.isStray(key)
		}
		n.entries = append(n.entries, e)
	}
}

// isStray reports whether no colon follows the key, whose text is plain.
func (b *builder) isStray(key *node) bool {
	end := plainEnd(b.doc.text, b.doc.offset(key), key.text)
	rest := strings.TrimLeft(b.doc.text[end:], " \t\r\n")
	return strings.HasPrefix(rest, ",") || strings.HasPrefix(rest, "}")
}

// plainEnd gives the byte after a text without quotation marks that begins at
// start. The reader folds the white space within such a text and leaves all
// else as it is.
func plainEnd(text string, start int, value string) int {
	at := start
	for _, r := range value {
		if r == ' ' || r == '\t' || r == '\n' {
			continue
		}
		for at < len(text) && strings.IndexByte(" \t\r\n", text[at]) >= 0 {
			at++
		}
		_, size := utf8.DecodeRuneInString(text[at:])
		at += size
	}
	return at
}

// shorten cuts a text that is quoted in a message.
func shorten(s string) string {
	const most = 60
	runes := []rune(s)
	if len(runes) <= most {
		return s
	}
	return string(runes[:most-1]) + "…"
}

// widestSearched is the widest line in which a place is looked for to the
// character. Wider ones were written by no hand.
const widestSearched = 4000

// sourceOf gives the text of the file from the start of one node to the end of
// a plain scalar, if both are on one line that is not too wide.
func (d *Document) sourceOf(from, to *node) string {
	length := to.col - from.col + utf8.RuneCountInString(to.text)
	rest := d.lineOf(d.at(from))
	if from.line != to.line || length < 0 || length > len(rest) {
		return ""
	}
	return string(rest[:length])
}

// lineOf gives the source of a place from its column on, or nothing for a line
// that is too wide.
func (d *Document) lineOf(at finding.Pos) []rune {
	if d.width[at.Line-1] > widestSearched {
		return nil
	}
	runes := []rune(d.lines[at.Line-1])
	return runes[min(at.Col-1, len(runes)):]
}
