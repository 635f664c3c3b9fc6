package source

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/finding"
)

// An Edit is one change of a document: a [Set], an [Insert], an [Append], a [Remove]
// or a [Wrap].
type Edit interface {
	plan(e *editor) (plan, error)
	where() string
}

// Set replaces a text. Old is the text that the reader of the page saw: when
// the file no longer says so, that is a [Conflict]. White space at the ends of
// Old does not count. Old is empty for a key that has no value.
type Set struct {
	Path     string // see [Tree.At]
	Old, New string
}

// Insert adds a key at the end of a mapping. The key must not be there.
type Insert struct {
	Path  string // of the mapping; "" is the whole document
	Key   string
	Value Tree
}

// Append adds an entry at the end of a list.
type Append struct {
	Path  string // of the list, which may be empty or a key without a value
	Value Tree
}

// Remove takes a key with its value out of a mapping, or an entry out of a list.
// A comment on the same line goes with it; comments before it stay.
type Remove struct {
	Path string // of the value
	Old  Tree   // the value as the reader of the page saw it
}

// Wrap makes a list of a mapping, with a further entry behind it: where there was one
// thing there are several now. What is in the mapping stays as it is written.
type Wrap struct {
	Path  string // of the mapping
	Value Tree
}

// A plan says what the tree is to be after an edit, and the ways to change the
// text, the best first. Comments in the part that is taken out may go with it.
type plan struct {
	intended Tree
	ways     []change
	out      span
}

func (s Set) where() string    { return s.Path }
func (i Insert) where() string { return Key(i.Path, i.Key) }
func (a Append) where() string { return a.Path }
func (r Remove) where() string { return r.Path }
func (w Wrap) where() string   { return w.Path }

// A Conflict says that the file no longer says what an edit started from. It
// carries both versions, as one line of YAML each.
type Conflict struct {
	Path string
	At   finding.Pos // of the value in the file; the zero Pos if it is gone
	Old  string      // what the edit started from
	Now  string      // what the file says
	New  string      // what the edit would have made of it; "" for a removal
}

// Error says which value is meant, and what the file says.
func (c *Conflict) Error() string {
	if c.At.Line == 0 {
		return fmt.Sprintf("changing %s: it is no longer in the file", c.Path)
	}
	return fmt.Sprintf("changing %s: %s says %s, not %s", c.Path, c.At, c.Now, c.Old)
}

// An Unproved says that no way was found to make an edit so that the file reads
// back as it should. The file has to be changed by hand.
type Unproved struct {
	Path   string
	Reason string
}

// Error says which value is meant.
func (u *Unproved) Error() string { return fmt.Sprintf("changing %s: %s", u.Path, u.Reason) }

// Apply makes edits in data, the bytes of a file, one after the other, and gives
// the new bytes. Each edit is spliced into the text, so that all other bytes
// stay as they are, and is kept only if the result reads back as exactly the
// tree that was meant with exactly the comments that were there. If one cannot
// be made, none is: the error is a [*Conflict], an [*Unproved], a [*NoDocument],
// or says that a path is none.
func Apply(file string, data []byte, edits ...Edit) ([]byte, error) {
	for _, edit := range edits {
		changed, err := apply(file, data, edit)
		if err != nil {
			return nil, err
		}
		data = changed
	}
	return data, nil
}

func apply(file string, data []byte, edit Edit) ([]byte, error) {
	doc, err := Read(file, data)
	if err != nil {
		return nil, err
	}
	if !doc.faithful {
		return nil, &Unproved{edit.where(), "the file has faults of form, which have to be mended by hand first"}
	}
	e := &editor{doc: doc, layout: newLayout(doc), tree: doc.Tree(), eol: "\n"}
	if strings.Contains(doc.text, "\r\n") {
		e.eol = "\r\n"
	}
	p, err := edit.plan(e)
	if err != nil {
		return nil, err
	}
	before := e.layout.comments()
	mark := data[:len(data)-len(doc.text)]
	for _, way := range p.ways {
		changed := append(slices.Clone(mark), way.in(doc.text)...)
		if proved(file, changed, p.intended, way.kept(before, p.out)) {
			return changed, nil
		}
	}
	return nil, &Unproved{edit.where(), "the change cannot be made without touching something else; make it in the file by hand"}
}

// proved reports whether the bytes read back as the tree and have the comments.
func proved(file string, data []byte, intended Tree, comments []string) bool {
	doc, err := Read(file, data)
	if err != nil || !doc.faithful || !doc.Tree().Equal(intended) {
		return false
	}
	return slices.EqualFunc(newLayout(doc).comments(), comments, func(c comment, text string) bool { return c.text == text })
}

// A splice puts a text in the place of a span.
type splice struct {
	span
	text string
}

// A change is a set of splices that do not overlap.
type change []splice

// in gives the text with the change made.
func (c change) in(text string) string {
	c = slices.Clone(c)
	slices.SortStableFunc(c, func(a, b splice) int { return cmp.Compare(a.start, b.start) })
	var b strings.Builder
	at := 0
	for _, s := range c {
		if s.start < at || s.end < s.start {
			return "" // not a mapping, so it is never proved
		}
		b.WriteString(text[at:s.start])
		b.WriteString(s.text)
		at = s.end
	}
	b.WriteString(text[at:])
	return b.String()
}

// kept gives the comments that have to be there after the change: all but those
// that it takes out together with the part out.
func (c change) kept(all []comment, out span) []string {
	var texts []string
	for _, remark := range all {
		gone := out.start <= remark.at && remark.at < out.end &&
			slices.ContainsFunc(c, func(s splice) bool { return s.start <= remark.at && remark.at < s.end })
		if !gone {
			texts = append(texts, remark.text)
		}
	}
	return texts
}

// An editor is a document with what an edit has to know of it.
type editor struct {
	doc    *Document
	layout *layout
	tree   Tree
	eol    string
}

// A target is a node with the nodes above it.
type target struct {
	steps []step
	node  *node
	above []*node // from the top; above[i] has the child that steps[i] leads to
	index int     // of the node in the last of above
}

// parent gives the node that holds the target, or nil for the top.
func (t target) parent() *node {
	if len(t.above) == 0 {
		return nil
	}
	return t.above[len(t.above)-1]
}

// inFlow reports whether the node stands within brackets.
func (t target) inFlow() bool {
	return slices.ContainsFunc(t.above, func(n *node) bool { return n.style == flow })
}

// find follows a path. It reports false when the path leads nowhere; the error
// is for a text that is no path.
func (e *editor) find(path string) (target, bool, error) {
	steps, err := parsePath(path)
	if err != nil {
		return target{}, false, err
	}
	t := target{steps: steps, node: e.doc.root}
	for _, s := range steps {
		i := s.in(t.node.shallow())
		if i < 0 {
			return t, false, nil
		}
		t.above, t.index = append(t.above, t.node), i
		if t.node.kind == list {
			t.node = t.node.items[i]
		} else {
			t.node = t.node.entries[i].value
		}
	}
	return t, true, nil
}

// shallow gives the tree of a node without what is below its children.
func (n *node) shallow() Tree {
	switch n.kind {
	case list:
		return Tree{Shape: IsList, List: make([]Tree, len(n.items))}
	case mapping:
		t := Tree{Shape: IsMapping}
		for _, e := range n.entries {
			t.Fields = append(t.Fields, Field{Key: e.key.text})
		}
		return t
	}
	return Tree{}
}

func (s Set) plan(e *editor) (plan, error) {
	t, found, err := e.find(s.Path)
	if err != nil {
		return plan{}, err
	}
	conflict := &Conflict{Path: s.Path, Old: NewText(s.Old).String(), New: NewText(s.New).String()}
	if !found {
		return plan{}, conflict
	}
	n := t.node
	conflict.At, conflict.Now = e.doc.at(n), n.tree().String()
	old := strings.TrimSpace(s.Old)
	if n.kind == list || n.kind == mapping || n.kind == scalar && strings.TrimSpace(n.text) != old || n.kind == nothing && old != "" {
		return plan{}, conflict
	}
	text := s.New
	if n.style == folded && strings.HasSuffix(n.text, "\n") && strings.Trim(text, "\n") != "" {
		text = strings.TrimRight(text, "\n") + "\n"
	}
	var ways []change
	here := e.layout.of(n)
	switch {
	case n.kind == nothing && n.text == "":
		ways = append(ways, change{{here, " " + write(text, t.inFlow())}}, change{{here, " " + quote(text)}})
	case n.style == folded:
		ways = append(ways, e.literal(n, text)...)
	case n.style == single:
		if quoted, ok := quoteSingle(text); ok {
			ways = append(ways, change{{here, quoted}})
		}
	case n.style == plain:
		ways = append(ways, change{{here, write(text, t.inFlow())}})
	}
	ways = append(ways, change{{here, quote(text)}})
	return plan{intended: e.tree.with(t.steps, func(Tree) Tree { return NewText(text) }), ways: ways}, nil
}

// literal gives the ways to put another text into a block scalar: as its lines,
// or on the line of its header. A comment behind the header stays.
func (e *editor) literal(n *node, text string) []change {
	start := e.doc.offset(n)
	end := lineEnd(e.doc.text, start)
	indicators := span{start, start + strings.IndexAny(e.doc.text[start:end]+" ", " \t")}
	content := e.layout.content(n)
	oneLine := change{{indicators, quote(text)}, {span{end, content.end}, ""}}
	if content.start == content.end {
		return []change{oneLine}
	}
	line := e.doc.text[content.start:lineEnd(e.doc.text, content.start)]
	header, body, ok := literal(text, e.eol, len(line)-len(strings.TrimLeft(line, " ")))
	if !ok || line == "" {
		return []change{oneLine}
	}
	return []change{{{content, body}}, {{indicators, header}, {content, body}}, oneLine}
}

func (i Insert) plan(e *editor) (plan, error) {
	t, found, err := e.find(i.Path)
	if err != nil {
		return plan{}, err
	}
	n := t.node
	conflict := &Conflict{Path: i.where(), New: i.Value.String()}
	if !found || n.kind != mapping && n.kind != nothing {
		return plan{}, conflict
	}
	if now := n.value(i.Key); now != nil {
		conflict.At, conflict.Now = e.doc.at(now), now.tree().String()
		return plan{}, conflict
	}
	field := Field{i.Key, i.Value}
	var ways []change
	here := e.layout.of(n)
	for _, text := range spellings(field.inline, t.inFlow() || n.style == flow) {
		switch {
		case n.kind == nothing:
			ways = append(ways, change{{here, " {" + text + "}"}})
		case n.style == flow && len(n.entries) == 0:
			ways = append(ways, change{{span{here.start + 1, here.start + 1}, text}})
		case n.style == flow:
			end := e.layout.entry(n.entries[len(n.entries)-1]).end
			ways = append(ways, change{{span{end, end}, ", " + text}}, change{{span{end, end}, " , " + text}})
		default:
			ways = append(ways, e.newLine(here.end, spaces(n.col-1)+text)...)
		}
	}
	intended := e.tree.with(t.steps, func(m Tree) Tree {
		m.Shape = IsMapping
		m.Fields = append(slices.Clone(m.Fields), field)
		return m
	})
	return plan{intended: intended, ways: ways}, nil
}

// spellings gives the ways to write a value on one line: with quotation marks
// where they are needed, and with quotation marks everywhere. Only a single text
// can stand outside of brackets.
func spellings(inline func(func(string) string) string, inFlow bool) []string {
	sparing := inline(func(text string) string { return write(text, true) })
	quoted := inline(quote)
	if outside := inline(func(text string) string { return write(text, false) }); !inFlow && !strings.ContainsAny(outside, "[{") {
		return []string{outside, sparing, quoted}
	}
	return []string{sparing, quoted}
}

// newLine gives the ways to put a line behind the one that a byte lies in: right
// there, or behind blank lines, which may be part of a text before it.
func (e *editor) newLine(at int, line string) []change {
	text := e.doc.text
	end := lineEnd(text, at)
	ways := []change{{{span{end, end}, e.eol + line}}}
	next := nextLine(text, end)
	for next < len(text) && strings.Trim(text[next:lineEnd(text, next)], " \t") == "" {
		next = nextLine(text, next)
	}
	if next > end && next > 0 && text[next-1] == '\n' {
		ways = append(ways, change{{span{next, next}, line + e.eol}})
	}
	return ways
}

func (a Append) plan(e *editor) (plan, error) {
	t, found, err := e.find(a.Path)
	if err != nil {
		return plan{}, err
	}
	n := t.node
	if !found || n.kind != list && n.kind != nothing {
		return plan{}, &Conflict{Path: a.Path, New: a.Value.String()}
	}
	var ways []change
	here := e.layout.of(n)
	inFlow := t.inFlow() || n.style == flow
	if len(n.items) == 0 {
		for _, text := range spellings(a.Value.inline, t.inFlow()) {
			ways = append(ways, e.beginList(t, here, text)...)
		}
	}
	for _, text := range spellings(a.Value.inline, inFlow) {
		switch {
		case n.kind == nothing:
			ways = append(ways, change{{here, " [" + text + "]"}})
		case len(n.items) == 0:
			ways = append(ways, change{{span{here.start + 1, here.start + 1}, text}})
		case inFlow:
			end := e.layout.of(n.items[len(n.items)-1]).end
			ways = append(ways, change{{span{end, end}, ", " + text}}, change{{span{end, end}, " , " + text}})
		default:
			ways = append(ways, e.newLine(here.end, spaces(n.col-1)+"- "+text)...)
		}
	}
	intended := e.tree.with(t.steps, func(l Tree) Tree {
		l.Shape = IsList
		l.List = append(slices.Clone(l.List), a.Value)
		return l
	})
	return plan{intended: intended, ways: ways}, nil
}

// beginList gives the way to make an empty list, which is the value of a key in
// a block, into one with a line for each entry: a record that grows stays
// readable line by line.
func (e *editor) beginList(t target, here span, first string) []change {
	parent := t.parent()
	if parent == nil || t.inFlow() || parent.kind != mapping || parent.style != block {
		return nil
	}
	key := parent.entries[t.index].key
	line := e.eol + spaces(key.col+1) + "- " + first
	text := e.doc.text
	end := lineEnd(text, here.end)
	if strings.Trim(text[here.end:end], " \t") == "" {
		return []change{{{span{e.layout.colon(parent.entries[t.index]), here.end}, line}}}
	}
	return []change{{{here, ""}, {span{end, end}, line}}}
}

func (w Wrap) plan(e *editor) (plan, error) {
	t, found, err := e.find(w.Path)
	if err != nil {
		return plan{}, err
	}
	n := t.node
	if !found || n.kind != mapping || t.parent() == nil {
		return plan{}, &Conflict{Path: w.Path, New: w.Value.String()}
	}
	var ways []change
	here := e.layout.of(n)
	for _, text := range spellings(w.Value.inline, t.inFlow() || n.style == flow) {
		if n.style == flow {
			ways = append(ways, change{{span{here.start, here.start}, "["}, {span{here.end, here.end}, ", " + text + "]"}})
			continue
		}
		// Each line of the mapping goes two places to the right, the first with its dash.
		indented := change{{span{here.start, here.start}, "- "}}
		for at := nextLine(e.doc.text, here.start); at < here.end; at = nextLine(e.doc.text, at) {
			if strings.Trim(e.doc.text[at:lineEnd(e.doc.text, at)], " \t\r") != "" {
				indented = append(indented, splice{span{at, at}, "  "})
			}
		}
		for _, further := range e.newLine(here.end, spaces(n.col-1)+"- "+text) {
			ways = append(ways, append(slices.Clone(indented), further...))
		}
	}
	intended := e.tree.with(t.steps, func(m Tree) Tree { return NewList(m, w.Value) })
	return plan{intended: intended, ways: ways}, nil
}

func (r Remove) plan(e *editor) (plan, error) {
	t, found, err := e.find(r.Path)
	if err != nil {
		return plan{}, err
	}
	conflict := &Conflict{Path: r.Path, Old: r.Old.String()}
	parent := t.parent()
	if !found {
		return plan{}, conflict
	}
	conflict.At, conflict.Now = e.doc.at(t.node), t.node.tree().String()
	if !t.node.tree().Equal(r.Old) {
		return plan{}, conflict
	}
	if parent == nil {
		return plan{}, &Unproved{r.Path, "the whole document cannot be taken out"}
	}
	parts := e.parts(parent)
	out := parts[t.index]
	if parent.style == block {
		out.end = lineEnd(e.doc.text, out.end)
	}
	var ways []change
	switch {
	case len(parts) == 1:
		ways = e.emptied(t)
	case parent.style == flow:
		ways = e.removeInFlow(parts, t.index)
	default:
		ways = e.removeLines(parts, t.index)
	}
	intended := e.tree.with(t.steps[:len(t.steps)-1], func(p Tree) Tree { return p.without(t.index) })
	return plan{intended, ways, out}, nil
}

// parts gives the bytes of the entries of a list or mapping, those of a block
// list from their dashes on.
func (e *editor) parts(n *node) []span {
	var parts []span
	for _, entry := range n.entries {
		parts = append(parts, e.layout.entry(entry))
	}
	for _, item := range n.items {
		s := e.layout.of(item)
		if n.style == block {
			s.start = strings.LastIndexByte(e.doc.text[:s.start], '-')
			if item.kind == nothing && item.text == "" {
				s.end = s.start + 1
			}
		}
		parts = append(parts, s)
	}
	return parts
}

// emptied gives the ways to leave an empty list or mapping behind.
func (e *editor) emptied(t target) []change {
	parent, text := t.parent(), e.doc.text
	here := e.layout.of(parent)
	empty := "{}"
	if parent.kind == list {
		empty = "[]"
	}
	if parent.style == flow {
		return []change{{{e.parts(parent)[0], ""}}, {{here, empty}}}
	}
	var ways []change
	if len(t.above) > 1 {
		grand := t.above[len(t.above)-2]
		if grand.kind == mapping {
			colon := e.layout.colon(grand.entries[t.steps[len(t.steps)-2].in(grand.shallow())])
			if strings.Trim(text[colon:here.start], " \t\r\n") == "" {
				ways = append(ways, change{{span{colon, here.end}, " " + empty}})
			}
		}
	}
	ways = append(ways, change{{here, empty}}, change{{here, "  " + empty}})
	return ways
}

// removeInFlow gives the ways to take a part out from between commas.
func (e *editor) removeInFlow(parts []span, i int) []change {
	text := e.doc.text
	if i == len(parts)-1 {
		comma := e.comma(parts[i-1].end)
		return []change{
			{{span{parts[i-1].end, parts[i].end}, ""}},
			{{span{comma - 1, comma}, ""}, {parts[i], ""}},
		}
	}
	comma := e.comma(parts[i].end)
	ways := []change{{{span{parts[i].start, comma}, ""}}, {{parts[i], ""}, {span{comma - 1, comma}, ""}}}
	if strings.Trim(text[parts[i].end:parts[i+1].start], " \t\r\n,") == "" {
		ways = append([]change{{{span{parts[i].start, parts[i+1].start}, ""}}}, ways...)
	}
	return ways
}

// comma gives the byte after the next comma that is not in a comment.
func (e *editor) comma(at int) int {
	for text := e.doc.text; at < len(text); at++ {
		switch text[at] {
		case ',':
			return at + 1
		case '#':
			at = lineEnd(text, at) - 1
		}
	}
	return at
}

// removeLines gives the ways to take a part out of a block.
func (e *editor) removeLines(parts []span, i int) []change {
	text := e.doc.text
	part := parts[i]
	start, end := lineStart(text, part.start), lineEnd(text, part.end)
	if strings.Trim(text[start:part.start], " ") == "" {
		ways := []change{{{span{start, nextLine(text, end)}, ""}}}
		if start > 0 && nextLine(text, end) == len(text) {
			ways = append(ways, change{{span{lineEnd(text, start-1), len(text)}, ""}})
		}
		return ways
	}
	// The part stands behind a dash. The next one takes its place.
	if i+1 < len(parts) && strings.Trim(text[part.end:parts[i+1].start], " \t\r\n") == "" {
		return []change{{{span{part.start, parts[i+1].start}, ""}}}
	}
	return []change{{{span{part.start, end}, ""}}}
}
