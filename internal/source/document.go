package source

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"saponym/internal/finding"
)

// A Document is a file that holds one YAML mapping. It collects what is wrong
// with the file while the file is read.
type Document struct {
	file  string
	text  string // of the file, without a byte order mark
	lines []string
	start []int // the byte of text at which each line begins
	width []int // the characters of each line
	last  mark
	root  *node
	maps  []*Map // all that were handed out, for their unknown keys
	mapOf map[*node]*Map
	notes []remark
	more  int // findings that were not kept because there are too many

	// faithful is false when the tree leaves out or changes something that
	// stands in the file, so that an edit could not be proved.
	faithful bool
}

// A remark is a finding about a node. It is dropped when it turns out that YAML
// has split the node's text at a comma: then that is what is wrong.
type remark struct {
	finding finding.Finding
	about   *node
}

// mostFindings is how many findings of one file are given, and mostKept how
// many are kept to choose the first of the file from.
const (
	mostFindings = 1000
	mostKept     = 10 * mostFindings
)

// A mark is a place in the text that was looked up.
type mark struct{ line, col, offset int }

// File gives the name under which the document was read.
func (d *Document) File() string { return d.file }

// Root gives the mapping at the top of the document.
func (d *Document) Root() *Map { return d.handOut(d.root) }

// Report adds a finding about the document. It fills in the source line that
// the finding points into.
func (d *Document) Report(f finding.Finding) { d.remark(nil, f) }

func (d *Document) remark(about *node, f finding.Finding) {
	if len(d.notes) == mostKept {
		d.more++
		return
	}
	f.Excerpt = d.excerpt(f.At)
	d.notes = append(d.notes, remark{f, about})
}

// Findings gives all findings about the document in the order of the file: what
// was wrong with its form, what was reported, and each key of the mappings that
// were looked into that nobody has asked for. Call it when all has been read.
func (d *Document) Findings() []finding.Finding {
	var all []finding.Finding
	split := map[*node]bool{}
	for _, m := range d.maps {
		all = append(all, m.unread(split)...)
	}
	for _, r := range d.notes {
		if r.about == nil || !split[r.about] {
			all = append(all, r.finding)
		}
	}
	finding.Sort(all)
	all = slices.Compact(all)
	if more := len(all) - mostFindings + d.more; more > 0 {
		all = append(all[:min(len(all), mostFindings)], finding.Finding{
			Level: finding.Note, Rule: RuleMany, At: finding.Pos{File: d.file},
			Message: fmt.Sprintf("%d more findings in this file are not shown", more),
			Remedy:  "mend those above, then read the file again",
		})
	}
	return all
}

// stop makes a finding that keeps labels from being printed.
func (d *Document) stop(about *node, rule string, at finding.Pos, message, remedy string) {
	d.remark(about, finding.Finding{Level: finding.Stop, Rule: rule, Message: message, At: at, Remedy: remedy})
}

func (d *Document) at(n *node) finding.Pos {
	return finding.Pos{File: d.file, Line: n.line, Col: n.col}
}

func (d *Document) excerpt(at finding.Pos) string {
	if at.File != d.file || at.Line < 1 || at.Line > len(d.lines) {
		return ""
	}
	return d.lines[at.Line-1]
}

// handOut gives the Map of a node, the same each time, so that it knows all
// keys that were asked for.
func (d *Document) handOut(n *node) *Map {
	if m, ok := d.mapOf[n]; ok {
		return m
	}
	m := &Map{doc: d, node: n, asked: map[string]bool{}}
	d.mapOf[n] = m
	d.maps = append(d.maps, m)
	return m
}

// setText takes the text of the file, and cuts it into lines as an editor counts
// them.
func (d *Document) setText(text string) {
	d.text = text
	d.lines = strings.Split(text, "\n")
	at := 0
	for i, line := range d.lines {
		d.start = append(d.start, at)
		at += len(line) + 1
		d.lines[i] = strings.TrimSuffix(line, "\r")
		d.width = append(d.width, utf8.RuneCountInString(d.lines[i]))
	}
}

// offset gives the byte of text at which a node begins. Nodes are mostly looked
// up from the first to the last, so that it goes on from the one before.
func (d *Document) offset(n *node) int {
	m := d.last
	if m.line != n.line || m.col > n.col {
		m = mark{n.line, 1, d.start[n.line-1]}
	}
	for ; m.col < n.col; m.col++ {
		_, size := utf8.DecodeRuneInString(d.text[m.offset:])
		m.offset += size
	}
	d.last = m
	return m.offset
}
