package source

import (
	"fmt"
	"regexp"
	"strings"
)

// What YAML programs take for a number, and what all of them take for the same one.
var (
	number = regexp.MustCompile(`^[-+]?(\.?[0-9][0-9_]*(\.[0-9_]*)?([eE][-+]?[0-9]+)?|0[xob][0-9a-fA-F_]+|[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9_]*)?|\.(inf|Inf|INF|nan|NaN|NAN))$`)
	count  = regexp.MustCompile(`^(0|[1-9][0-9]*)(\.[0-9]+)?$`)
)

// quote writes a text in double quotation marks, on one line.
func quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case isHidden(r) || isLineBreak(r):
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// quoteSingle writes a text in single quotation marks, on one line. It reports
// false for a text that has characters which need an escape.
func quoteSingle(text string) (string, bool) {
	escaped := func(r rune) bool { return r == '\n' || r == '\t' || isHidden(r) || isLineBreak(r) }
	return "'" + strings.ReplaceAll(text, "'", "''") + "'", !strings.ContainsFunc(text, escaped)
}

// canBePlain reports whether a text reads back as the same text, here and in
// other YAML programs, when it stands without quotation marks. In flow, that is
// within brackets, commas and brackets end a text, and the YAML reader takes a
// question mark for the sign of a key.
func canBePlain(text string, inFlow bool) bool {
	const indicators = "-?:,[]{}#&*!|>'\"%@`=<~"
	switch {
	case text == "" || strings.TrimSpace(text) != text:
		return false
	case strings.ContainsRune(indicators, rune(text[0])), strings.HasPrefix(text, "..."):
		return false
	case strings.Contains(text, ": "), strings.HasSuffix(text, ":"), strings.Contains(text, " #"):
		return false
	case inFlow && strings.ContainsAny(text, ",[]{}?"):
		return false
	}
	// A number that another program would write otherwise: 0127, 1e5, 0x1F, 12:30, 1_000.
	if number.MatchString(text) && !count.MatchString(text) {
		return false
	}
	switch strings.ToLower(text) {
	case "yes", "no", "true", "false", "on", "off", "y", "n", "null":
		return false
	}
	return !strings.ContainsFunc(text, func(r rune) bool {
		return r == '\n' || r == '\t' || r == '\u00a0' || isHidden(r) || isLineBreak(r)
	})
}

// write gives a text as it stands in a file: plain where that reads back as the
// same, in double quotation marks otherwise.
func write(text string, inFlow bool) string {
	if canBePlain(text, inFlow) {
		return text
	}
	return quote(text)
}
