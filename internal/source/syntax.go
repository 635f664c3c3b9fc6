package source

import (
	"regexp"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"saponym/internal/finding"
)

// mostBisected is the largest text in which the place of a syntax error is
// looked for by reading ever shorter beginnings of it.
const mostBisected = 256 << 10

var syntaxError = regexp.MustCompile(`^yaml: (?:line (\d+): )?(.*)$`)

// syntax reports in plain English what the YAML reader could not make sense of.
// The reader's own message has a line at best, and often that of the block in
// which the error lies, so the place is found anew.
func (d *Document) syntax(text string, err error) {
	problem, line := problemOf(err)
	at := finding.Pos{}
	if len(text) <= mostBisected {
		at = d.place(text, firstFailing(text, problem))
	} else {
		at = d.clamp(line, 1)
	}
	at = d.clamp(at.Line, at.Col)
	message, remedy := explain(problem, d.lines[at.Line-1], at.Col)
	if strings.Contains(d.lines[at.Line-1], "\u00a0") {
		remedy += "; this line holds a no-break space (U+00A0), which YAML does not take for a space"
	}
	d.stop(nil, RuleSyntax, at, message, remedy)
}

func problemOf(err error) (problem string, line int) {
	parts := syntaxError.FindStringSubmatch(err.Error())
	if parts == nil {
		return err.Error(), 0
	}
	line, _ = strconv.Atoi(parts[1])
	return parts[2], line
}

// firstFailing gives the byte at which the problem shows for the first time
// when ever longer beginnings of the text are read. The reader goes through the
// text once and from the start, so a beginning that reaches the problem fails
// in the same way as the whole.
func firstFailing(text, problem string) int {
	var ends []int // the byte after each character
	for i, r := range text {
		ends = append(ends, i+utf8.RuneLen(r))
	}
	n := sort.Search(len(ends), func(i int) bool {
		err := isYAML([]byte(text[:ends[i]]))
		if err == nil {
			return false
		}
		found, _ := problemOf(err)
		return found == problem
	})
	if n >= len(ends) {
		n = len(ends) - 1
	}
	if n < 0 {
		return 0
	}
	_, size := utf8.DecodeLastRuneInString(text[:ends[n]])
	return ends[n] - size
}

// explain says what a problem of the YAML reader means and what mends it.
func explain(problem, line string, col int) (message, remedy string) {
	runes := []rune(line)
	here := rune(0)
	if col <= len(runes) {
		here = runes[col-1]
	}
	indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
	const quote = "put quotes round the whole text"
	switch {
	case strings.Contains(indent, "\t"):
		return "a tab stands in the indentation", "indent with spaces"
	case here == '\t':
		return "a tab stands where only spaces can", "write spaces"
	case strings.Contains(problem, "cannot start any token"):
		return "no text can begin with " + strconv.QuoteRune(here), quote
	case strings.Contains(problem, "mapping values are not allowed"):
		return "a colon stands here within a value, or the line is indented too far", quote + ", or indent the line like the one above"
	case strings.Contains(problem, "block sequence entries are not allowed"):
		return "a list begins on the line of its key", `begin the list on the next line, or write it in brackets: [a, b]`
	case strings.Contains(problem, "could not find expected ':'"):
		return "a key without a colon stands here or just before", `write "key: value", with a space after the colon`
	case strings.Contains(problem, "unexpected end of stream"), strings.Contains(problem, "unexpected document indicator"):
		return "a quoted text that begins here or before does not end", "put the closing quotation mark"
	case strings.Contains(problem, "unknown escape"), strings.Contains(problem, "escape"), strings.Contains(problem, "hexdecimal"):
		return "a backslash in double quotation marks begins an escape, and this one is unknown", "use single quotation marks, or write the backslash twice"
	case strings.Contains(problem, "',' or '}'"), strings.Contains(problem, "',' or ']'"):
		return "a comma or the closing bracket is missing before this place", "close the bracket, or put a comma between the entries"
	case strings.Contains(problem, "expected key"), strings.Contains(problem, "'-' indicator"), strings.Contains(problem, "<block end>"):
		return "this does not fit to what stands before it", "indent the keys of one block alike, and put nothing after a closing quotation mark or bracket"
	case strings.Contains(problem, "expected node content"):
		return "a value is missing before this place, or a bracket closes that was not opened", "write the value, or take out the comma or bracket"
	case strings.Contains(problem, "anchor"), strings.Contains(problem, "alphabetic or numeric"):
		return "a text that begins with & or * is a YAML anchor or alias", quote
	case strings.Contains(problem, "max depth"):
		return "brackets or indentation are nested too deeply", "a document of a shop needs no more than a few levels"
	case strings.Contains(problem, "directive"), strings.Contains(problem, "<document start>"), strings.Contains(problem, "version"), strings.Contains(problem, "%"):
		return "a line that begins with % or a marker of documents is not understood", "take the line out"
	}
	return "this is not YAML (" + problem + ")", "compare the line with the ones above and below"
}
