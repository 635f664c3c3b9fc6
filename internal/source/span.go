package source

import (
	"slices"
	"strings"
)

// A span is a part of the text of a document: the bytes from start up to end.
type span struct{ start, end int }

// A layout knows where each node of a document stands in its bytes. The YAML
// reader gives the beginning of a node only; the end follows from its text.
type layout struct {
	doc *Document
	// indent is, for a block scalar, the indentation of the block around it,
	// which its explicit indentation adds to.
	indent map[*node]int
	known  map[*node]span
}

func newLayout(d *Document) *layout {
	l := &layout{doc: d, indent: map[*node]int{}, known: map[*node]span{}}
	l.noteIndents(d.root, 0)
	return l
}

func (l *layout) noteIndents(n *node, around int) {
	l.indent[n] = around
	if n.style == block {
		around = n.col - 1
	}
	for _, child := range n.items {
		l.noteIndents(child, around)
	}
	for _, e := range n.entries {
		l.noteIndents(e.value, around)
	}
}

// of gives the bytes of a node: for a block, from its first entry to the end of
// its last, without comments and blank lines that follow.
func (l *layout) of(n *node) span {
	if s, ok := l.known[n]; ok {
		return s
	}
	start := l.doc.offset(n)
	s := span{start, start}
	switch {
	case n.kind == list && n.style == flow, n.kind == mapping && n.style == flow:
		s.end = l.closing(n, start)
	case n.kind == list:
		if len(n.items) > 0 {
			s.end = l.of(n.items[len(n.items)-1]).end
		}
	case n.kind == mapping:
		if len(n.entries) > 0 {
			s.end = l.entry(n.entries[len(n.entries)-1]).end
		}
	case n.style == single:
		s.end = quotedEnd(l.doc.text, start, '\'')
	case n.style == double:
		s.end = quotedEnd(l.doc.text, start, '"')
	case n.style == folded:
		s.end = l.content(n).end
	default:
		s.end = plainEnd(l.doc.text, start, n.text)
	}
	l.known[n] = s
	return s
}

// entry gives the bytes of a key with its value.
func (l *layout) entry(e entry) span {
	key := l.of(e.key)
	if e.stray {
		return key
	}
	end := l.of(e.value).end
	if e.value.kind == nothing && e.value.text == "" {
		end = l.colon(e)
	}
	return span{key.start, max(end, key.end)}
}

// colon gives the byte after the colon of an entry.
func (l *layout) colon(e entry) int {
	end := l.of(e.key).end
	if i := strings.IndexByte(l.doc.text[end:], ':'); i >= 0 {
		return end + i + 1
	}
	return end
}

// closing gives the byte after the bracket that closes a list or mapping.
func (l *layout) closing(n *node, start int) int {
	at := start + 1
	if len(n.items) > 0 {
		at = l.of(n.items[len(n.items)-1]).end
	}
	if len(n.entries) > 0 {
		at = l.entry(n.entries[len(n.entries)-1]).end
	}
	for text := l.doc.text; at < len(text); at++ {
		switch text[at] {
		case ']', '}':
			return at + 1
		case '#':
			at = lineEnd(text, at) - 1
		}
	}
	return at
}

// content gives the lines of a block scalar that follow its header, without the
// end of the last. A scalar without content has an empty span at the end of its
// header.
func (l *layout) content(n *node) span {
	text := l.doc.text
	header := lineEnd(text, l.doc.offset(n))
	indent := -1
	for _, r := range text[l.doc.offset(n):header] {
		if r >= '1' && r <= '9' {
			indent = l.indent[n] + int(r-'0')
		}
		if r == ' ' || r == '#' {
			break
		}
	}
	s := span{header, header}
	if strings.Trim(n.text, "\n") == "" {
		return s
	}
	for at := nextLine(text, header); at < len(text); at = nextLine(text, at) {
		end := lineEnd(text, at)
		line := text[at:end]
		blank := strings.Trim(line, " ") == ""
		if !blank && indent < 0 {
			indent = len(line) - len(strings.TrimLeft(line, " "))
		}
		if !blank && len(line)-len(strings.TrimLeft(line, " ")) < indent {
			break
		}
		if s.start == header {
			s.start = at
		}
		if !blank {
			s.end = end
		}
	}
	return s
}

// quotedEnd gives the byte after a text in quotation marks.
func quotedEnd(text string, start int, mark byte) int {
	for at := start + 1; at < len(text); at++ {
		switch {
		case mark == '"' && text[at] == '\\':
			at++
		case text[at] != mark:
		case mark == '\'' && at+1 < len(text) && text[at+1] == mark:
			at++
		default:
			return at + 1
		}
	}
	return len(text)
}

// lineEnd gives the end of the line that a byte lies in, before its CR or LF.
func lineEnd(text string, at int) int {
	end := len(text)
	if i := strings.IndexByte(text[at:], '\n'); i >= 0 {
		end = at + i
	}
	if end > at && text[end-1] == '\r' {
		end--
	}
	return end
}

// nextLine gives the beginning of the line after the one a byte lies in.
func nextLine(text string, at int) int {
	if i := strings.IndexByte(text[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(text)
}

// lineStart gives the beginning of the line that a byte lies in.
func lineStart(text string, at int) int { return strings.LastIndexByte(text[:at], '\n') + 1 }

// A comment is a remark in a file, with the byte at which it begins.
type comment struct {
	at   int
	text string
}

// comments gives all comments of the document. Whatever is outside of its texts
// and begins with # is one.
func (l *layout) comments() []comment {
	var texts []span
	var walk func(n *node)
	walk = func(n *node) {
		switch {
		case n.kind == scalar && n.style == folded:
			texts = append(texts, l.content(n))
		case n.kind == scalar || n.kind == nothing:
			texts = append(texts, l.of(n))
		}
		for _, child := range n.items {
			walk(child)
		}
		for _, e := range n.entries {
			walk(e.key)
			walk(e.value)
		}
	}
	walk(l.doc.root)
	slices.SortFunc(texts, func(a, b span) int { return a.start - b.start })
	var all []comment
	text := l.doc.text
	for at := 0; at < len(text); at++ {
		for len(texts) > 0 && texts[0].end <= at {
			texts = texts[1:]
		}
		if len(texts) > 0 && texts[0].start <= at {
			at = texts[0].end - 1
			continue
		}
		if text[at] == '#' {
			end := lineEnd(text, at)
			all = append(all, comment{at, text[at:end]})
			at = end
		}
	}
	return all
}

// spaces gives so many spaces.
func spaces(n int) string { return strings.Repeat(" ", max(n, 0)) }

// literal writes a text as the content of a block scalar that begins with |, and
// the indicator that keeps or drops the line break at its end.
func literal(text, eol string, indent int) (header, content string, ok bool) {
	body := strings.TrimSuffix(text, "\n")
	if body == "" || strings.TrimRight(body, "\n") != body || strings.TrimLeft(body, " \t\n") != body || strings.ContainsAny(body, "\r") {
		return "", "", false
	}
	header = "|"
	if body == text {
		header = "|-"
	}
	lines := strings.Split(body, "\n")
	for i, line := range lines {
		if line != "" {
			lines[i] = spaces(indent) + line
		}
	}
	return header, strings.Join(lines, eol), true
}
