package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"saponym/internal/finding"
)

// What a document may hold at most. The caps are far above what a shop writes;
// they keep a wrong file from taking the program's time and memory.
const (
	MaxBytes      = 1 << 20 // of a file
	MaxDepth      = 32      // mappings and lists within each other
	MaxNodes      = 100_000 // keys, values and list entries
	MaxTextLength = 2000    // characters of one text
)

const byteOrderMark = "\ufeff"

// A NoDocument says that a file holds no document at all: it is empty, no text,
// not YAML, or not a mapping. It is the error of [Read]; a document that is
// there and has faults is none.
type NoDocument struct {
	Findings []finding.Finding // at least one, in the order of the file
}

// Error gives the first finding with its place.
func (e *NoDocument) Error() string {
	f := e.Findings[0]
	return fmt.Sprintf("reading %s: %s", f.At, f.Message)
}

// Read reads data, the bytes of a file, as one YAML document. The name of the
// file appears in findings as it is given here. What is wrong with the form of
// the document is found now and comes back from [Document.Findings], with what
// is found while the values are read. The error is a [*NoDocument].
func Read(file string, data []byte) (*Document, error) {
	d := &Document{file: file, faithful: true, mapOf: map[*node]*Map{}}
	if len(data) > MaxBytes {
		return nil, d.none(RuleSize, finding.Pos{File: file},
			fmt.Sprintf("the file is larger than %d bytes; a document of a shop never is", MaxBytes),
			"check that this is the file you meant")
	}
	d.setText(strings.TrimPrefix(string(data), byteOrderMark))
	if err := d.checkEncoding(d.text); err != nil {
		return nil, err
	}
	text := d.checkCharacters(d.text)
	if !strings.HasSuffix(text, "\n") {
		text += "\n" // or a block of text at the end would depend on it
	}
	root, err := d.parse(text)
	if err != nil {
		return nil, err
	}
	b := builder{doc: d}
	d.root = b.build(root, 1)
	if b.nodes > MaxNodes {
		return nil, d.none(RuleSize, finding.Pos{File: file},
			fmt.Sprintf("the document has more than %d keys, values and list entries; a document of a shop never has", MaxNodes),
			"check that this is the file you meant")
	}
	if d.root.kind == nothing {
		return nil, d.nothing()
	}
	if d.root.kind != mapping {
		d.stop(nil, RuleTop, d.at(d.root), "the document is not made of keys with values", `begin with a line such as "name: Hearth & Husk"`)
		return nil, &NoDocument{d.Findings()}
	}
	return d, nil
}

// none makes the error for a file that holds no document.
func (d *Document) none(rule string, at finding.Pos, message, remedy string) *NoDocument {
	d.stop(nil, rule, at, message, remedy)
	return &NoDocument{d.Findings()}
}

// nothing makes the error for a file without any value.
func (d *Document) nothing() *NoDocument {
	return d.none(RuleNothing, finding.Pos{File: d.file}, "the file holds no document", `begin with a line such as "name: Hearth & Husk"`)
}

// checkEncoding makes sure that the text is UTF-8 and no binary file.
func (d *Document) checkEncoding(text string) error {
	const remedy = "save the file as plain text in the encoding UTF-8"
	whole := finding.Pos{File: d.file}
	switch {
	case strings.HasPrefix(text, "\xff\xfe"), strings.HasPrefix(text, "\xfe\xff"):
		return d.none(RuleEncoding, whole, "the file is in the encoding UTF-16", remedy)
	case strings.Contains(text, "\x00"):
		return d.none(RuleEncoding, whole, "the file is not a text: it holds zero bytes", remedy)
	case !utf8.ValidString(text):
		at := 0
		for {
			r, size := utf8.DecodeRuneInString(text[at:])
			if r == utf8.RuneError && size == 1 {
				return d.none(RuleEncoding, d.place(text, at), "the file is not in the encoding UTF-8 from here on", remedy)
			}
			at += size
		}
	}
	return nil
}

// place gives the place of a byte of the text.
func (d *Document) place(text string, at int) finding.Pos {
	line := strings.Count(text[:at], "\n") + 1
	start := strings.LastIndexByte(text[:at], '\n') + 1
	return finding.Pos{File: d.file, Line: line, Col: utf8.RuneCountInString(text[start:at]) + 1}
}

// checkCharacters finds characters that no document may hold. It gives the text
// for the YAML reader, with a stand-in of the same width for each of them: the
// reader counts some as the end of a line, which no editor does.
func (d *Document) checkCharacters(text string) string {
	clean := func(r rune) bool { return !isLineBreak(r) && !isHidden(r) && r != utf8.RuneError }
	if strings.IndexFunc(text, func(r rune) bool { return r == '\r' || !clean(r) }) < 0 {
		return text
	}
	var b strings.Builder
	line, col := 1, 0
	for i, r := range text {
		col++
		at := finding.Pos{File: d.file, Line: line, Col: col}
		switch {
		case r == '\n':
			line, col = line+1, 0
		case r == '\r' && strings.HasPrefix(text[i+1:], "\n"):
		case isLineBreak(r):
			d.faithful = false
			d.stop(nil, RuleBreak, at, fmt.Sprintf("the character U+%04X stands here, which some programs take for the end of a line", r),
				"end lines with the Enter key of a text editor; join the line or break it here")
			r = utf8.RuneError
		case r == utf8.RuneError:
			d.faithful = false
			d.stop(nil, RuleChar, at, "a character was lost here when the file was saved (U+FFFD stands in its place)", "write the character again")
		case isHidden(r):
			d.faithful = false
			d.hidden(nil, at, r)
			r = utf8.RuneError
		}
		b.WriteRune(r)
	}
	return b.String()
}

// hidden reports a control character.
func (d *Document) hidden(about *node, at finding.Pos, r rune) {
	what := "a control character, which does not show"
	if isBidiControl(r) {
		what = "a mark that turns the direction of text, so that a line may show what it does not say"
	}
	d.stop(about, RuleChar, at, fmt.Sprintf("U+%04X stands here: %s", r, what), "take it out")
}

// isLineBreak reports whether r ends a line in YAML 1.1 but not in an editor.
// The carriage return does so where no line feed follows.
func isLineBreak(r rune) bool {
	return r == '\r' || r == 0x85 || r == 0x2028 || r == 0x2029
}

// isHidden reports whether r is a control character other than the tab and the
// ends of lines, a byte order mark within a text, or a bidirectional control.
func isHidden(r rune) bool {
	switch {
	case r == '\t' || r == '\n' || isLineBreak(r):
		return false
	case r < ' ' || r >= 0x7f && r <= 0x9f || r == 0xfeff || r == 0xfffe || r == 0xffff:
		return true
	}
	return isBidiControl(r)
}

func isBidiControl(r rune) bool {
	return r == 0x061c || r == 0x200e || r == 0x200f ||
		r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// parse gives the top node of the one document that text may hold.
func (d *Document) parse(text string) (*yaml.Node, error) {
	decoder := yaml.NewDecoder(strings.NewReader(text))
	var first yaml.Node
	switch err := decode(decoder, &first); {
	case errors.Is(err, io.EOF), err == nil && len(first.Content) == 0:
		return nil, d.nothing()
	case err != nil:
		if len(d.notes) == 0 {
			d.syntax(text, err)
		}
		return nil, &NoDocument{d.Findings()}
	}
	var second yaml.Node
	switch err := decode(decoder, &second); {
	case errors.Is(err, io.EOF):
	case err != nil:
		d.faithful = false
		d.syntax(text, err)
	default:
		d.faithful = false
		d.stop(nil, RuleSecond, d.clamp(second.Line, second.Column), "a second document begins here; a file holds one only", `take out the line "---" or put the second document into a file of its own`)
	}
	return first.Content[0], nil
}

// decode reads one document and turns a panic of the YAML reader, which no
// input should be able to cause, into an error.
func decode(decoder *yaml.Decoder, into *yaml.Node) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("yaml: %v", fault)
		}
	}()
	return decoder.Decode(into)
}

// clamp makes a place that lies within the file.
func (d *Document) clamp(line, col int) finding.Pos {
	line = min(max(line, 1), len(d.lines))
	col = min(max(col, 1), d.width[line-1]+1)
	return finding.Pos{File: d.file, Line: line, Col: col}
}

// isYAML reports what the YAML reader says to the text: nil, or an error.
func isYAML(text []byte) error {
	decoder := yaml.NewDecoder(bytes.NewReader(text))
	for {
		var n yaml.Node
		if err := decode(decoder, &n); err != nil {
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
	}
}
