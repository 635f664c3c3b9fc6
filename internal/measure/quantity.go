package measure

import (
	"fmt"
	"math/big"
	"strings"
)

// A Quantity is an amount as somebody typed it: one number with a unit, or two
// where a pound is followed by its ounces ("1 lb 4 oz") or a kilogram by its
// grams.
type Quantity struct {
	Parts []Part
}

// A Part is one number with its unit in the canonical spelling: "mg", "g",
// "kg", "oz", "lb", "mm", "cm", "m", "in", "ml", "l", "fl oz" or "%".
type Part struct {
	Number Number
	Unit   string
}

// A Number is a decimal or a common fraction, kept as it was typed: "4", "4.20",
// "3 1/4", "3½". It is never negative.
type Number struct {
	Text string
}

// String gives the quantity in its canonical spelling: numbers as typed, one
// space before a unit, none before a per cent sign. Read again, it gives the
// same quantity.
func (q Quantity) String() string {
	var b strings.Builder
	for i, p := range q.Parts {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(p.Number.Text)
		if p.Unit != "%" {
			b.WriteByte(' ')
		}
		b.WriteString(p.Unit)
	}
	return b.String()
}

// Mass gives the quantity as a mass, rounded as by [ParseMass], and 0 if it is
// none.
func (q Quantity) Mass() Mass {
	return Mass(roundHalfUp(q.Nanograms()))
}

// Nanograms gives the quantity as a mass without any rounding, and 0 if it is
// none. A claim is rounded from this figure, once: 4.21 oz is not a whole number
// of nanograms.
func (q Quantity) Nanograms() *big.Rat {
	sc := scan(q.String())
	exact, _, err := masses.read(&sc)
	if err != nil {
		return new(big.Rat)
	}
	return exact
}

// A SyntaxError says why a text is no amount.
type SyntaxError struct {
	Offset  int    // in characters from the start of the text
	Message string // what is wrong there
	Hint    string // how to write it, with an example
}

// or gives the error with this hint if it has none of its own.
func (e *SyntaxError) or(hint string) *SyntaxError {
	if e.Hint == "" {
		e.Hint = hint
	}
	return e
}

func (e *SyntaxError) Error() string {
	if e.Hint == "" {
		return e.Message
	}
	return e.Message + "; " + e.Hint
}

// ParseMass reads a weight such as "450 g", "1.2 kg", "33 oz" or "1 lb 4 oz".
// It rounds once, to the nearest nanogram, halves up. The case of a unit is
// free, and so are spaces around numbers and units. The error is a
// [*SyntaxError]: a sign, a decimal comma, an exponent or a leading zero are no
// part of an amount, and neither is more than about 9 t.
func ParseMass(s string) (Mass, Quantity, error) {
	v, q, err := masses.parse(s)
	return Mass(v), q, err
}

// ParseLength reads a length such as "80 mm" or "3 1/4 in"; see [ParseMass].
func ParseLength(s string) (Length, Quantity, error) {
	v, q, err := lengths.parse(s)
	return Length(v), q, err
}

// ParseVolume reads a volume such as "33 fl oz" or "950 ml"; see [ParseMass].
// The fluid ounce is the US one and is computed exactly: 128 fl oz is the US
// gallon to the nanolitre.
func ParseVolume(s string) (Volume, Quantity, error) {
	v, q, err := volumes.parse(s)
	return Volume(v), q, err
}

// ParseShare reads a share such as "5%"; see [ParseMass]. A share may be more
// than the whole; whoever asks for it says what bounds it has.
func ParseShare(s string) (Share, Quantity, error) {
	v, q, err := shares.parse(s)
	return Share(v), q, err
}

// ParseOffset reads a length that may point either way, such as "-0.1 mm" or
// "0.3 mm": how far a printer is out. It is read as by [ParseLength], after the
// sign.
func ParseOffset(s string) (Length, error) {
	sc := scan(s)
	negative := sc.sign()
	exact, _, err := lengths.read(&sc)
	if err != nil {
		return 0, err
	}
	l := Length(roundHalfUp(exact))
	if negative {
		return -l, nil
	}
	return l, nil
}

// ParseTemperature reads a temperature such as "32 C", "32 °C" or "90 F" and
// gives it in degrees Celsius. It may be below nought, but not below absolute
// zero. The error is a [*SyntaxError].
func ParseTemperature(s string) (float64, error) {
	const hint = `write a temperature as "32 C" or "90 F"`
	sc := scan(s)
	negative := sc.sign()
	_, degrees, err := sc.number()
	if err != nil {
		return 0, err.or(hint)
	}
	if negative {
		degrees.Neg(degrees)
	}
	at, unit := sc.unit()
	switch strings.TrimPrefix(fold(unit), "°") {
	case "c":
	case "f":
		degrees.Sub(degrees, big.NewRat(32, 1))
		degrees.Mul(degrees, big.NewRat(5, 9))
	case "":
		return 0, &SyntaxError{at, fmt.Sprintf("%q has no unit", s), hint}
	default:
		return 0, &SyntaxError{at, fmt.Sprintf("%q is not a unit of temperature", unit), hint}
	}
	if !sc.done() {
		return 0, &SyntaxError{sc.at, fmt.Sprintf("%q is more than one temperature", s), hint}
	}
	if degrees.Cmp(big.NewRat(-27315, 100)) < 0 {
		return 0, &SyntaxError{0, fmt.Sprintf("%q is below absolute zero", s), hint}
	}
	celsius, _ := degrees.Float64()
	return celsius, nil
}

// ParseCount reads a whole number without a unit, from 0 to 999,999,999. The
// error is a [*SyntaxError].
func ParseCount(s string) (int, error) {
	sc := scan(s)
	sc.spaces()
	digits := sc.digits()
	sc.spaces()
	if digits == "" || !sc.done() || len(digits) > 9 || hasLeadingZero(digits) {
		return 0, &SyntaxError{sc.at, fmt.Sprintf("%q is not a whole number", s), `write it in digits, such as "8"`}
	}
	n := 0
	for _, d := range digits {
		n = n*10 + int(d-'0')
	}
	return n, nil
}

// ParseNumber reads a plain number without a unit, such as "2" or "1.5": a
// ratio. It is not negative. The error is a [*SyntaxError].
func ParseNumber(s string) (float64, error) {
	const hint = `write it without a unit, such as "2" or "1.5"`
	sc := scan(s)
	_, value, err := sc.number()
	if err != nil {
		return 0, err.or(hint)
	}
	if sc.spaces(); !sc.done() {
		return 0, &SyntaxError{sc.at, fmt.Sprintf("%q is not a plain number", s), hint}
	}
	v, _ := value.Float64()
	return v, nil
}

// A Figure is a number, or a range of numbers, with a unit that has no type of
// its own: "196 mg KOH/g".
type Figure struct {
	Low, High float64
	Unit      string
}

// ParseFigure reads a figure in one of the units given, of which there is at
// least one: "196 mg KOH/g", "184-196 mg KOH/g". The unit of the Figure is
// spelled as in the list; in the text, its spaces and the case of its letters
// are free. A range that runs downwards is an error. The error is a
// [*SyntaxError].
func ParseFigure(s string, units ...string) (Figure, error) {
	hint := fmt.Sprintf(`write it as "196 %s"`, units[0])
	if len(units) > 1 {
		hint += ", or its figure in " + strings.Join(units[1:], " or ")
	}
	sc := scan(s)
	_, low, err := sc.number()
	if err != nil {
		return Figure{}, err.or(hint)
	}
	high, split := low, sc.at
	sc.spaces()
	if !sc.done() && isDash(sc.text[sc.at]) {
		sc.at++
		if _, high, err = sc.number(); err != nil {
			return Figure{}, err.or(hint)
		}
		sc.spaces()
	}
	unit := strings.TrimSpace(string(sc.text[sc.at:]))
	if unit == "" {
		return Figure{}, &SyntaxError{sc.at, fmt.Sprintf("%q has no unit", s), hint}
	}
	squeeze := func(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }
	for _, known := range units {
		if squeeze(unit) != squeeze(known) {
			continue
		}
		if low.Cmp(high) > 0 {
			return Figure{}, &SyntaxError{split, "the range runs downwards", "write the smaller figure first"}
		}
		l, _ := low.Float64()
		h, _ := high.Float64()
		return Figure{l, h, known}, nil
	}
	return Figure{}, &SyntaxError{sc.at, fmt.Sprintf("%q is not a unit that is known here", unit), hint}
}
