package source

import (
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
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
	at := d.clamp(line, 1)
	if len(text) <= mostBisected {
		start, found := firstFailing(text, problem)
		open := openBrackets(text)
		if !found && len(open) > 0 {
			start = open[len(open)-1]
		}
		if sign, ok := swallowed(text, start); ok {
			at = d.place(text, sign)
			d.stop(nil, RuleSyntax, d.clamp(at.Line, at.Col), "what stands behind a # is a comment, so the bracket before it is not closed on its line", `put what begins with # in quotation marks, such as "#4411"`)
			return
		}
		at = d.place(text, start)
		at = d.clamp(at.Line, at.Col)
		if !found && len(open) > 0 {
			d.stop(nil, RuleSyntax, at, "the bracket that opens here is not closed", "put the closing bracket")
			return
		}
	}
	if strings.Contains(problem, "incompatible") {
		i := slices.IndexFunc(d.lines, func(line string) bool { return strings.HasPrefix(line, "%") })
		at = d.clamp(i+1, 1)
	}
	message, remedy := explain(problem, d.lines[at.Line-1], at.Col)
	for i := max(at.Line-2, 0); i < at.Line; i++ {
		if strings.Contains(d.lines[i], "\u00a0") {
			remedy += fmt.Sprintf("; on line %d there is a no-break space (U+00A0), which YAML does not take for a space", i+1)
		}
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
// when ever longer beginnings of the text are read, each with its open brackets
// closed. The reader goes through the text once and from the start, so a
// beginning that reaches the problem fails in the same way as the whole. It
// reports false when the problem is that something does not end.
func firstFailing(text, problem string) (at int, found bool) {
	ends := make([]int, 0, len(text)) // the byte after each character
	for i, r := range text {
		ends = append(ends, i+utf8.RuneLen(r))
	}
	n := sort.Search(len(ends), func(i int) bool {
		beginning := []byte(text[:ends[i]])
		for _, at := range slices.Backward(openBrackets(text[:ends[i]])) {
			beginning = append(beginning, '\n', ' ', text[at]+2) // ] and } follow [ and { by two
		}
		err := isYAML(beginning)
		if err == nil {
			return false
		}
		found, _ := problemOf(err)
		return found == problem
	})
	if n == len(ends) {
		return len(text) - 1, false
	}
	_, size := utf8.DecodeLastRuneInString(text[:ends[n]])
	return ends[n] - size, true
}

// openBrackets gives the places of the brackets that are open at the end of the
// text. It knows just enough of YAML to tell brackets from those in texts and
// comments.
func openBrackets(text string) []int {
	var open []int
	begins := true // whether a value can begin here
	for at := 0; at < len(text); at++ {
		c := text[at]
		blankBefore := at == 0 || strings.IndexByte(" \t\r\n", text[at-1]) >= 0
		switch {
		case c == ' ' || c == '\t' || c == '\r':
		case c == '\n':
			begins = true
		case c == '#' && blankBefore:
			at = lineEnd(text, at) - 1
		case begins && (c == '"' || c == '\''):
			at = quotedEnd(text, at, c) - 1
			begins = false
		case (c == '[' || c == '{') && (begins || len(open) > 0):
			open = append(open, at)
			begins = true
		case (c == ']' || c == '}') && len(open) > 0:
			open = open[:len(open)-1]
			begins = false
		default:
			begins = c == ':' || c == ',' && len(open) > 0 || (c == '-' || c == '?') && begins
		}
	}
	return open
}

// swallowed finds the # of a comment that begins where a value was to stand, within
// brackets that should have closed behind it on the same line: a lot such as #4411. It
// looks before a place in the text.
func swallowed(text string, before int) (at int, ok bool) {
	for begin := 0; begin < min(before+1, len(text)); begin = nextLine(text, begin) {
		line := text[begin:lineEnd(text, begin)]
		sign := strings.Index(line, ": #")
		if sign < 0 || !strings.ContainsAny(line[sign:], "]}") {
			continue
		}
		if sign += begin + len(": "); len(openBrackets(text[begin:sign])) > 0 {
			return sign, true
		}
	}
	return 0, false
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
	case strings.Contains(problem, "comment or line break"):
		return "a text that begins with > or | is a block of lines in YAML, which begins on the next line", quote + `, such as ">50%"`
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
	case strings.Contains(problem, "directive"), strings.Contains(problem, "incompatible"), strings.Contains(problem, "<document start>"), strings.Contains(problem, "version"), strings.Contains(problem, "%"):
		return "a directive of YAML, which begins with %, or a marker of documents is not understood", "take the line out"
	}
	return "this is not YAML (" + problem + ")", "compare the line with the ones above and below"
}
