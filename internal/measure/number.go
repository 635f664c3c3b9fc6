package measure

import (
	"fmt"
	"math/big"
	"strings"
	"unicode"
)

// A scanner walks over the characters of an amount.
type scanner struct {
	text []rune
	at   int
}

func scan(s string) scanner { return scanner{text: []rune(s)} }

func (sc *scanner) done() bool     { return sc.at >= len(sc.text) }
func (sc *scanner) is(r rune) bool { return sc.at < len(sc.text) && sc.text[sc.at] == r }

// seek goes on to the next character that is wanted, or to the end.
func (sc *scanner) seek(wanted func(rune) bool) int {
	for !sc.done() && !wanted(sc.text[sc.at]) {
		sc.at++
	}
	return sc.at
}

func (sc *scanner) spaces() { sc.seek(func(r rune) bool { return !unicode.IsSpace(r) }) }

func (sc *scanner) digits() string {
	start := sc.at
	return string(sc.text[start:sc.seek(func(r rune) bool { return !isDigit(r) })])
}

// unit reads up to the next number or the end, and gives where the unit begins
// and what was typed there.
func (sc *scanner) unit() (at int, typed string) {
	sc.spaces()
	at = sc.at
	return at, strings.TrimSpace(string(sc.text[at:sc.seek(unicode.IsNumber)]))
}

// sign reads a sign if one is there, and reports whether it is a minus.
func (sc *scanner) sign() (negative bool) {
	sc.spaces()
	negative = sc.is('-') || sc.is('−')
	if negative || sc.is('+') {
		sc.at++
	}
	return negative
}

// isDash reports whether r joins the bounds of a range: a hyphen, a hyphen that
// does not break, an en dash or a minus.
func isDash(r rune) bool { return strings.ContainsRune("-‑–−", r) }

// number reads a number with the spaces before it: "4", "4.25", "1/2", "3 1/4",
// "½" or "3½".
func (sc *scanner) number() (Number, *big.Rat, *SyntaxError) {
	sc.spaces()
	start := sc.at
	if err := sc.refuseStart(); err != nil {
		return Number{}, nil, err
	}
	whole, decimals := "", ""
	fraction, ratio := sc.fraction()
	if fraction == "" {
		whole = sc.digits()
		decimals = sc.decimals()
		if decimals == "" {
			end := sc.at
			sc.spaces()
			if fraction, ratio = sc.fraction(); fraction == "" {
				sc.at = end
			}
		}
	}
	text := strings.Join(strings.Fields(string(sc.text[start:sc.at])), " ")
	if err := sc.refuseEnd(); err != nil {
		return Number{}, nil, err
	}
	for _, digits := range strings.FieldsFunc(text, func(r rune) bool { return !isDigit(r) }) {
		if len(digits) > mostDigits {
			return Number{}, nil, &SyntaxError{start, fmt.Sprintf("%q has too many digits", text), ""}
		}
	}
	if hasLeadingZero(whole) || strings.HasPrefix(fraction, "0") || strings.Contains(fraction, "/0") {
		return Number{}, nil, &SyntaxError{start, fmt.Sprintf("%q has a 0 where a number cannot begin", text), `write "8", not "08"`}
	}
	value := new(big.Rat)
	if whole != "" {
		value.SetString(whole + decimals)
	}
	if fraction != "" {
		part, _ := new(big.Rat).SetString(ratio)
		if whole != "" && part.Cmp(big.NewRat(1, 1)) >= 0 {
			return Number{}, nil, &SyntaxError{start, fmt.Sprintf("the fraction in %q is not less than one", text), `write it as "3 1/4"`}
		}
		value.Add(value, part)
	}
	return Number{text}, value, nil
}

// mostDigits is how many digits a number may have on either side of its point,
// or of the stroke of its fraction.
const mostDigits = 12

// decimals reads a decimal point with the digits after it, if they are there.
func (sc *scanner) decimals() string {
	start := sc.at
	if sc.is('.') {
		sc.at++
		if digits := sc.digits(); digits != "" {
			return "." + digits
		}
	}
	sc.at = start
	return ""
}

// vulgar holds the fractions that have a character of their own and stand on
// rulers and scales.
var vulgar = map[rune]string{
	'½': "1/2", '¼': "1/4", '¾': "3/4", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
}

// fraction reads a common fraction, if one is there: "1/4" or "¼". It gives the
// fraction as it was typed, and with a stroke.
func (sc *scanner) fraction() (typed, ratio string) {
	start := sc.at
	if !sc.done() && vulgar[sc.text[start]] != "" {
		sc.at++
		return string(sc.text[start:sc.at]), vulgar[sc.text[start]]
	}
	if numerator := sc.digits(); numerator != "" && sc.is('/') {
		sc.at++
		if denominator := sc.digits(); denominator != "" {
			ratio = numerator + "/" + denominator
			return ratio, ratio
		}
	}
	sc.at = start
	return "", ""
}

// refuseStart says why no number begins here.
func (sc *scanner) refuseStart() *SyntaxError {
	switch {
	case sc.done():
		return &SyntaxError{sc.at, "there is no number", ""}
	case isDigit(sc.text[sc.at]) || vulgar[sc.text[sc.at]] != "":
		return nil
	case sc.is('-') || sc.is('−'):
		return &SyntaxError{sc.at, "an amount is never negative", ""}
	case sc.is('+'):
		return &SyntaxError{sc.at, "an amount has no sign", ""}
	case sc.is('.') && sc.at+1 < len(sc.text) && unicode.IsDigit(sc.text[sc.at+1]):
		return &SyntaxError{sc.at, "a digit is missing before the point", `write "0.5", not ".5"`}
	case unicode.IsNumber(sc.text[sc.at]):
		return &SyntaxError{sc.at, fmt.Sprintf("%q is not a digit that is known here", sc.text[sc.at]), "write numbers with the digits 0 to 9"}
	}
	return &SyntaxError{sc.at, fmt.Sprintf("%q does not begin with a number", string(sc.text[sc.at:])), ""}
}

// refuseEnd says why a number cannot end here.
func (sc *scanner) refuseEnd() *SyntaxError {
	if sc.is(',') {
		after := scanner{sc.text, sc.at + 1}
		if len(after.digits()) == 3 {
			return &SyntaxError{sc.at, "a comma stands in the number", "write thousands without a comma, and decimals with a point"}
		}
		return &SyntaxError{sc.at, "a comma stands in the number", `write decimals with a point, such as "4.5"`}
	}
	if sc.is('.') || sc.is('_') || sc.is('/') || sc.is('⁄') {
		return &SyntaxError{sc.at, "the number is not complete", `write it as "4", "4.5" or "3 1/4"`}
	}
	next := *sc
	if next.spaces(); !next.done() && unicode.IsNumber(next.text[next.at]) {
		return &SyntaxError{next.at, "a second number follows the first", "write a number in one piece, with the digits 0 to 9"}
	}
	return nil
}

func isDigit(r rune) bool { return '0' <= r && r <= '9' }

// hasLeadingZero reports whether digits begin with a 0 that counts for nothing:
// "010" is 8 to some programs and 10 to others.
func hasLeadingZero(digits string) bool { return len(digits) > 1 && digits[0] == '0' }
