// Package finding holds what saponym has to say about a formula, its words or
// its paper. A finding is a value: it says what is not right, where, by which
// rule, and what would mend it. An error, in contrast, means that the program
// itself could not do its work.
package finding

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
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
	var known []string
	if p.File != "" {
		known = append(known, p.File)
	}
	if p.Line > 0 {
		known = append(known, strconv.Itoa(p.Line))
		if p.Col > 0 {
			known = append(known, strconv.Itoa(p.Col))
		}
	}
	return strings.Join(known, ":")
}

// MarshalText gives the place to JSON in the form of String.
func (p Pos) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// A Finding is one remark. Message, Remedy and Cite are sentences or phrases in
// plain English; Rule is the public id of the rule behind it, which is kept or
// retired and never gets a second meaning. The JSON keys are a contract too; the
// excerpt is not among them, since whoever reads JSON has the file.
type Finding struct {
	Level   Level  `json:"level"`
	Rule    string `json:"rule"`
	Message string `json:"message"`
	At      Pos    `json:"at"`
	Excerpt string `json:"-"`      // the source line that At points into, without its line end
	Cite    string `json:"cite"`   // the paragraph of law or the published source, if there is one
	Remedy  string `json:"remedy"` // what would mend it, if that is known
	Market  string `json:"market"` // the id of the rule set, if the remark holds for one only
}

// Text gives the finding for a terminal: one line in the form
// "file:line:col: level [RULE] message", then the source line with a caret
// below the place, then the remedy and the citation, each on its own line.
// Characters that a terminal would act on, or not show, are replaced.
func (f Finding) Text() string {
	var b strings.Builder
	if at := f.At.String(); at != "" {
		fmt.Fprintf(&b, "%s: ", visible(at))
	}
	fmt.Fprintf(&b, "%s [%s] %s\n", f.Level, f.Rule, visible(f.Message))
	if f.Excerpt != "" && f.At.Col > 0 {
		line, caret := window(f.Excerpt, f.At.Col)
		fmt.Fprintf(&b, "    %s\n    %s\n", line, caret)
	}
	if f.Remedy != "" {
		fmt.Fprintf(&b, "    do: %s\n", visible(f.Remedy))
	}
	if f.Cite != "" {
		fmt.Fprintf(&b, "    see: %s\n", visible(f.Cite))
	}
	return b.String()
}

// visible replaces what is no graphic character: control characters, which can
// move the cursor or end the line, marks that turn the direction of text, which
// can make a line show what it does not say, and characters of no width.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\t' || unicode.IsGraphic(r) {
			return r
		}
		return utf8.RuneError
	}, s)
}

// excerptWidth is the most characters of a source line that are shown, and
// excerptAhead how many of them stand after the caret where the line goes on; a
// line of a thousand characters would bury its caret.
const (
	excerptWidth = 90
	excerptAhead = 10
)

// window cuts the part around column col (from 1) out of a long line and makes
// the line with the caret below it. A column past the end is the end.
func window(line string, col int) (shown, caret string) {
	text := []rune(visible(line))
	col = min(col, len(text)+1)
	first := max(0, col-(excerptWidth-excerptAhead))
	last := min(len(text), first+excerptWidth)
	if first > 0 {
		text[first] = '…'
	}
	if last < len(text) {
		text[last-1] = '…'
	}
	var pad strings.Builder
	for _, r := range text[first : col-1] {
		pad.WriteString(blank(r))
	}
	return string(text[first:last]), pad.String() + "^"
}

// blank gives white space that is as wide as r in a terminal. A tab stays a tab,
// so that the caret stands right whatever a tab is worth.
func blank(r rune) string {
	switch {
	case r == '\t':
		return "\t"
	case unicode.In(r, unicode.Mn, unicode.Me):
		return "" // sits on the character before it
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth: // emoji are wide too
		return "  "
	}
	return " "
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
// and the graver one first where two share a place. The order does not depend
// on the one in which they came.
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
			cmp.Compare(a.Remedy, b.Remedy),
			cmp.Compare(a.Cite, b.Cite),
		)
	})
}
