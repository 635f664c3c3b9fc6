package source

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/measure"
)

// Text reads a text of one line. White space at its ends does not count.
func (m *Map) Text(key string) Value[string] {
	if n := m.want(key, scalar); n != nil {
		return m.doc.textOf(n, shorten(key), false)
	}
	return Value[string]{}
}

// Prose reads a text that may have several lines.
func (m *Map) Prose(key string) Value[string] {
	if n := m.want(key, scalar); n != nil {
		return m.doc.textOf(n, shorten(key), true)
	}
	return Value[string]{}
}

// textOf gives the text of a scalar.
func (d *Document) textOf(n *node, key string, lines bool) Value[string] {
	at := d.at(n)
	text := strings.TrimSpace(n.text)
	switch {
	case text == "":
		d.stop(n, RuleNoValue, at, fmt.Sprintf("%q has no value", key), "write one, or take the key out")
		return Value[string]{}
	case !lines && strings.Contains(text, "\n"):
		d.stop(n, RuleOneLine, at, fmt.Sprintf("%q has a line break in it; it is printed on one line", key), "write it on one line")
		return Value[string]{}
	}
	return Value[string]{text, at}
}

// read reads the text of a key with a parser, and reports its error.
func read[T any](m *Map, key, rule string, parse func(string) (T, error)) Value[T] {
	n := m.want(key, scalar)
	if n == nil {
		return Value[T]{}
	}
	text := m.doc.textOf(n, shorten(key), false)
	if !text.Given() {
		return Value[T]{}
	}
	v, err := parse(text.V)
	if err != nil {
		m.doc.refuse(n, text, rule, shorten(key), err)
		return Value[T]{}
	}
	return Value[T]{v, text.At}
}

// refuse reports that a text cannot be read as what it should be, and points at
// the character that is wrong where the error knows it.
func (d *Document) refuse(n *node, text Value[string], rule, key string, err error) {
	at := text.At
	message, remedy, _ := strings.Cut(err.Error(), "; ")
	var syntax *measure.SyntaxError
	if errors.As(err, &syntax) {
		message, remedy = syntax.Message, syntax.Hint
		at = d.within(at, text.V, syntax.Offset)
	}
	d.stop(n, rule, at, fmt.Sprintf("%q cannot be read: %s", key, message), remedy)
}

// within gives the place of a character of a text that begins at a place,
// provided that the file shows the text as it is.
func (d *Document) within(at finding.Pos, text string, offset int) finding.Pos {
	line := d.lineOf(at)
	quoted := 0
	if len(line) > 0 && (line[0] == '"' || line[0] == '\'') {
		quoted = 1
	}
	if strings.HasPrefix(string(line[quoted:]), text) {
		at.Col += quoted + min(max(offset, 0), len([]rune(text)))
	}
	return at
}

// positive makes a parser refuse nought.
func positive[T measure.Mass | measure.Length | measure.Volume | float64](m *Map, key string, v Value[T]) Value[T] {
	if v.Given() && v.V <= 0 {
		m.doc.stop(m.node.value(key), RulePositive, v.At, fmt.Sprintf("%q is nought; it has to be more", shorten(key)), "write the amount, or take the line out")
		return Value[T]{}
	}
	return v
}

// Mass reads a weight that is more than nought, such as "450 g".
func (m *Map) Mass(key string) Value[measure.Mass] {
	return positive(m, key, read(m, key, RuleAmount, func(s string) (measure.Mass, error) {
		v, _, err := measure.ParseMass(s)
		return v, err
	}))
}

// Quantity reads a weight that is more than nought and keeps it as it was
// typed: a claim is printed in the units in which it was made.
func (m *Map) Quantity(key string) Value[measure.Quantity] {
	q := read(m, key, RuleAmount, func(s string) (measure.Quantity, error) {
		_, q, err := measure.ParseMass(s)
		return q, err
	})
	if !positive(m, key, Value[measure.Mass]{q.V.Mass(), q.At}).Given() {
		return Value[measure.Quantity]{}
	}
	return q
}

// Length reads a length that is more than nought, such as "80 mm".
func (m *Map) Length(key string) Value[measure.Length] {
	return positive(m, key, read(m, key, RuleAmount, parseLength))
}

// Offset reads a length that may be nought or negative, such as "-0.1 mm": how
// far something lies from where it should.
func (m *Map) Offset(key string) Value[measure.Length] {
	return read(m, key, RuleAmount, measure.ParseOffset)
}

func parseLength(s string) (measure.Length, error) {
	v, _, err := measure.ParseLength(s)
	return v, err
}

// Volume reads a volume that is more than nought, such as "33 fl oz".
func (m *Map) Volume(key string) Value[measure.Volume] {
	return positive(m, key, read(m, key, RuleAmount, func(s string) (measure.Volume, error) {
		v, _, err := measure.ParseVolume(s)
		return v, err
	}))
}

// Share reads a share such as "5%". It may be nought, and more than the whole;
// whoever asks says what bounds it has.
func (m *Map) Share(key string) Value[measure.Share] {
	return read(m, key, RuleAmount, func(s string) (measure.Share, error) {
		v, _, err := measure.ParseShare(s)
		return v, err
	})
}

// ShareRange reads a share or a range of shares as suppliers print them, such as
// "20-30%", "<1%" or "traces"; see [measure.ParseShareRange].
func (m *Map) ShareRange(key string) Value[measure.ShareRange] {
	return read(m, key, RuleAmount, worded(measure.ParseShareRange))
}

// PartShare reads the share of one part of a list; see [measure.ParsePartShare].
func (m *Map) PartShare(key string) Value[measure.PartShare] {
	return read(m, key, RuleAmount, worded(measure.ParsePartShare))
}

// worded makes a parser of shares name the word that was probably meant, where the share
// can be read with it.
func worded[T any](parse func(string) (T, error)) func(string) (T, error) {
	return func(s string) (T, error) {
		v, err := parse(s)
		var syntax *measure.SyntaxError
		if errors.As(err, &syntax) {
			word := strings.TrimSpace(s[:len(s)-len(strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsSpace(r) }))])
			if near := Nearest(word, measure.ShareWords()); near != "" && foldKey(near) != foldKey(word) {
				meant := near + s[len(word):]
				if _, err := parse(meant); err == nil {
					syntax.Hint = fmt.Sprintf("did you mean %q? If not, %s", meant, syntax.Hint)
				}
			}
		}
		return v, err
	}
}

// Count reads a whole number, such as "8"; nought is one.
func (m *Map) Count(key string) Value[int] {
	return read(m, key, RuleAmount, measure.ParseCount)
}

// Number reads a number without a unit that is more than nought: a ratio.
func (m *Map) Number(key string) Value[float64] {
	return positive(m, key, read(m, key, RuleAmount, measure.ParseNumber))
}

// Figure reads a number or a range with one of the units given, such as "196 mg
// KOH/g".
func (m *Map) Figure(key string, units ...string) Value[measure.Figure] {
	return read(m, key, RuleAmount, func(s string) (measure.Figure, error) {
		return measure.ParseFigure(s, units...)
	})
}

// Temperature reads a temperature such as "32 C" or "90 F", in degrees Celsius.
func (m *Map) Temperature(key string) Value[float64] {
	return read(m, key, RuleAmount, measure.ParseTemperature)
}

// Months reads a time of at least one month, such as "12 months" or "2 years",
// in months.
func (m *Map) Months(key string) Value[int] {
	return read(m, key, RuleAmount, func(s string) (int, error) {
		const hint = `write it as "12 months" or "2 years"`
		f, err := measure.ParseFigure(s, "months", "month", "years", "year")
		var syntax *measure.SyntaxError
		switch {
		case errors.As(err, &syntax):
			syntax.Hint = hint
			return 0, syntax
		case f.Low != f.High || f.Low != float64(int(f.Low)) || f.Low < 1 || f.Low > 1200:
			return 0, &measure.SyntaxError{Message: fmt.Sprintf("%q is not a whole number of months", s), Hint: hint}
		case strings.HasPrefix(f.Unit, "year"):
			return 12 * int(f.Low), nil
		}
		return int(f.Low), nil
	})
}

// Day reads a day of the calendar, written as 2026-11-26.
func (m *Map) Day(key string) Value[day.Day] { return read(m, key, RuleDay, day.Parse) }

// Bool reads yes or no; true and false mean the same.
func (m *Map) Bool(key string) Value[bool] {
	word := m.Enum(key, "yes", "no", "true", "false")
	return Value[bool]{word.V == "yes" || word.V == "true", word.At}
}

// Enum reads one of the words given and gives it in their spelling. The case of
// letters does not count, and spaces, hyphens and underscores are equal.
func (m *Map) Enum(key string, words ...string) Value[string] {
	n := m.want(key, scalar)
	if n == nil {
		return Value[string]{}
	}
	text := m.doc.textOf(n, shorten(key), false)
	if !text.Given() {
		return Value[string]{}
	}
	for _, w := range words {
		if foldKey(w) == foldKey(text.V) {
			return Value[string]{w, text.At}
		}
	}
	remedy := "write one of: " + strings.Join(words, ", ")
	if near := Nearest(text.V, words); near != "" {
		remedy = fmt.Sprintf("did you mean %q? It can be: %s", near, strings.Join(words, ", "))
	}
	m.doc.stop(n, RuleWord, text.At, fmt.Sprintf("%q cannot be %q", shorten(key), shorten(text.V)), remedy)
	return Value[string]{}
}
