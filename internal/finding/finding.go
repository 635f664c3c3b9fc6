// Package finding holds what saponym has to say about a formula, its words or
// its paper. A finding is a value: it says what is not right, where, by which
// rule, and what would mend it. An error, in contrast, means that the program
// itself could not do its work.
package finding

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// A Level says what follows from a finding.
type Level int

const (
	// Note is something to know; nothing follows.
	Note Level = iota
	// Warn is something to look at before selling.
	Warn
	// Stop means that nothing is printed which must not be sold.
	Stop
)

// String gives the level as it stands in JSON and in the terminal.
func (l Level) String() string {
	switch l {
	case Stop:
		return "stop"
	case Warn:
		return "warn"
	}
	return "note"
}

// MarshalText gives the level to JSON.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText reads what [Level.MarshalText] wrote.
func (l *Level) UnmarshalText(text []byte) error {
	for _, level := range []Level{Note, Warn, Stop} {
		if level.String() == string(text) {
			*l = level
			return nil
		}
	}
	return fmt.Errorf("%q is no level of a finding", text)
}

// A Pos is a place in a file. Line and Col count from 1; Col counts characters
// (Unicode code points), as an editor does. The zero Pos is no place; a Pos
// with a file and no line is the whole file.
type Pos struct {
	File string
	Line int
	Col  int
}

// String gives file:line:col, or less where less is known.
func (p Pos) String() string {
	switch {
	case p.File == "" && p.Line == 0:
		return ""
	case p.Line == 0:
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
}

// MarshalText gives the place to JSON in the form of String.
func (p Pos) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// A Finding is one remark. Message, Remedy and Cite are sentences or phrases in
// plain English; Rule is the public id of the rule behind it, which is kept or
// retired and never gets a second meaning.
type Finding struct {
	Level   Level
	Rule    string
	Message string
	At      Pos
	Excerpt string // the source line that At points into, without its line end
	Cite    string // the paragraph of law or the published source, if there is one
	Remedy  string // what would mend it, if that is known
	Market  string // the id of the rule set, if the remark holds for one only
}

// MarshalJSON writes the keys of the JSON contract. The excerpt is left out:
// whoever reads JSON has the file.
func (f Finding) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Level   Level  `json:"level"`
		Rule    string `json:"rule"`
		Message string `json:"message"`
		At      Pos    `json:"at"`
		Cite    string `json:"cite"`
		Remedy  string `json:"remedy"`
		Market  string `json:"market"`
	}{f.Level, f.Rule, f.Message, f.At, f.Cite, f.Remedy, f.Market})
}

// Text gives the finding for a terminal: one line in the form
// "file:line:col: level [RULE] message", then the source line with a caret
// below the place, then the remedy and the citation, each on its own line.
func (f Finding) Text() string {
	var b strings.Builder
	if at := f.At.String(); at != "" {
		fmt.Fprintf(&b, "%s: ", at)
	}
	fmt.Fprintf(&b, "%s [%s] %s\n", f.Level, f.Rule, f.Message)
	if f.Excerpt != "" && f.At.Col > 0 {
		line, caret := window(f.Excerpt, f.At.Col)
		fmt.Fprintf(&b, "    %s\n    %s\n", line, caret)
	}
	if f.Remedy != "" {
		fmt.Fprintf(&b, "    do: %s\n", f.Remedy)
	}
	if f.Cite != "" {
		fmt.Fprintf(&b, "    see: %s\n", f.Cite)
	}
	return b.String()
}

// excerptWidth is the most characters of a source line that are shown; a line
// of a thousand characters would bury its caret.
const excerptWidth = 90

// window cuts the part around column col (from 1) out of a long line and makes
// the line with the caret below it. Tabs stay tabs in both, so that the caret
// stands right whatever a tab is worth.
func window(line string, col int) (shown, caret string) {
	runes := []rune(strings.ToValidUTF8(line, string(utf8.RuneError)))
	col = min(col, len(runes)+1)
	first := 0
	if col > excerptWidth-10 {
		first = col - (excerptWidth - 10)
	}
	last := min(len(runes), first+excerptWidth)
	pad := slices.Clone(runes[first : col-1])
	for i, r := range pad {
		if r != '\t' {
			pad[i] = ' '
		}
	}
	visible := slices.Clone(runes[first:last])
	for i, r := range visible {
		if r != '\t' && (r < ' ' || r == 0x7f || isBidiControl(r)) {
			visible[i] = utf8.RuneError
		}
	}
	return string(visible), string(pad) + "^"
}

// isBidiControl reports whether r is one of the marks that make a terminal turn
// the direction of text, and so could make a line show what it does not say.
func isBidiControl(r rune) bool {
	return r == 0x061c || r == 0x200e || r == 0x200f ||
		r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// Worst gives the highest level among the findings, and Note for none.
func Worst(findings []Finding) Level {
	worst := Note
	for _, f := range findings {
		worst = max(worst, f.Level)
	}
	return worst
}

// Sort puts findings in the order in which they are read: by file and place,
// and the graver one first where two share a place.
func Sort(findings []Finding) {
	slices.SortStableFunc(findings, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(a.At.File, b.At.File),
			cmp.Compare(a.At.Line, b.At.Line),
			cmp.Compare(a.At.Col, b.At.Col),
			cmp.Compare(b.Level, a.Level),
			cmp.Compare(a.Market, b.Market),
			cmp.Compare(a.Rule, b.Rule),
			cmp.Compare(a.Message, b.Message),
		)
	})
}
