package font

import (
	"fmt"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// lastOfPlane is the last character of the Basic Multilingual Plane, beyond
// which the back ends cannot encode.
const lastOfPlane = 0xFFFF

// A Reason says why a character cannot be set.
type Reason string

// The reasons.
const (
	NotText   Reason = "is not valid UTF-8"
	Control   Reason = "is a control character or an invisible mark"
	Beyond    Reason = "lies beyond the characters that can be printed"
	Combining Reason = "is a mark over another letter, which the font cannot place"
	NotShaped Reason = "belongs to a script whose letters join, which this program does not set"
	Missing   Reason = "is not in the font"
)

// A Fault is one character of a text that cannot be set.
type Fault struct {
	At   int // in characters from the start of the text
	Rune rune
	Why  Reason
}

// String gives the fault as half a sentence: `"☃" (U+2603) is not in the font`.
func (f Fault) String() string {
	switch f.Why {
	case NotText:
		return fmt.Sprintf("character %d %s", f.At+1, f.Why)
	case Control, Combining:
		return fmt.Sprintf("%U %s", f.Rune, f.Why)
	}
	return fmt.Sprintf("%q (%U) %s", f.Rune, f.Rune, f.Why)
}

// Normalise gives the text with each letter and its marks as one character
// where Unicode has one (form NFC). The fonts have é and cannot put a loose
// accent on an e, so all text goes through it before it is measured.
func Normalise(s string) string { return norm.NFC.String(s) }

// Has reports whether the font has a glyph for the character.
func (f *Font) Has(r rune) bool { return f.glyph(r).index != 0 }

// Check lists the characters of a text that cannot be set in the font, in the
// order of the text; there are none if all is well. The text should have been
// through [Normalise].
func (f *Font) Check(s string) []Fault {
	var faults []Fault
	at := 0
	for i, r := range s {
		if why := f.why(s[i:]); why != "" {
			faults = append(faults, Fault{at, r, why})
		}
		at++
	}
	return faults
}

// why gives the reason against the first character of a text, or "" for none.
func (f *Font) why(text string) Reason {
	r, size := utf8.DecodeRuneInString(text)
	switch {
	case r == utf8.RuneError && size == 1: // a stray byte; U+FFFD itself has three
		return NotText
	case unicode.IsControl(r), unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Co, unicode.Cs):
		return Control
	case r > lastOfPlane:
		return Beyond
	case unicode.IsMark(r):
		return Combining
	case unicode.IsLetter(r) && !unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Common):
		if f.Has(r) {
			return NotShaped
		}
		return Missing
	case !f.Has(r):
		return Missing
	}
	return ""
}
