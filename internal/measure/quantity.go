package measure

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"unicode/utf8"
)

// A Quantity is an amount as somebody typed it: one number with a unit, or two
// where a pound or a foot is followed by its ounces or inches ("1 lb 4 oz").
type Quantity struct {
	Parts []Part
}

// A Part is one number with its unit.
type Part struct {
	Number Number
	Unit   string // as in the tables of this package: "g", "oz", "mm", "%" …
}

// A Number is a positive decimal or a common fraction, kept as it was typed.
type Number struct {
	Text  string // "4", "4.20", "3 1/4"
	value big.Rat
}

// IsZero reports whether the number is nought.
func (n Number) IsZero() bool { return n.value.Sign() == 0 }

// String gives the quantity in its canonical spelling: numbers as typed, one
// space before a unit, none before a per cent sign.
func (q Quantity) String() string {
	var parts []string
	for _, p := range q.Parts {
		if p.Unit == "%" {
			parts = append(parts, p.Number.Text+"%")
			continue
		}
		parts = append(parts, p.Number.Text+" "+p.Unit)
	}
	return strings.Join(parts, " ")
}

// A SyntaxError says why a text is no amount.
type SyntaxError struct {
	Offset  int    // in characters from the start of the text
	Message string // what is wrong there
	Hint    string // how to write it, with an example
}

func (e *SyntaxError) Error() string {
	if e.Hint == "" {
		return e.Message
	}
	return e.Message + "; " + e.Hint
}

// A dimension is a kind of unit: what it is called, how it is written, and what
// each of its units is worth in the smallest one.
type dimension struct {
	name    string
	example string
	units   map[string]int64
	pairs   map[string]string // a unit, and the smaller one that may follow it
	smaller string            // the name of the unit that values are counted in
}

var (
	masses = dimension{
		name: "a weight", example: `"450 g", "1.2 kg", "33 oz" or "1 lb 4 oz"`, smaller: "nanogram",
		units: map[string]int64{"mg": int64(Milligram), "g": int64(Gram), "kg": int64(Kilogram), "oz": int64(Ounce), "lb": int64(Pound)},
		pairs: map[string]string{"lb": "oz", "kg": "g"},
	}
	lengths = dimension{
		name: "a length", example: `"80 mm", "8 cm" or "3 1/4 in"`, smaller: "nanometre",
		units: map[string]int64{"mm": int64(Millimetre), "cm": int64(10 * Millimetre), "m": int64(1000 * Millimetre), "in": int64(Inch)},
	}
	volumes = dimension{
		name: "a volume", example: `"950 ml", "1.2 l" or "33 fl oz"`, smaller: "nanolitre",
		units: map[string]int64{"ml": int64(Millilitre), "l": int64(Litre), "fl oz": int64(FluidOunce)},
	}
	shares = dimension{
		name: "a share", example: `"5%" or "0.4%"`, smaller: "part of a billion",
		units: map[string]int64{"%": int64(Percent)},
	}
)

// alternatives spells out units that people write in another way.
var alternatives = map[string]string{
	"gram": "g", "grams": "g", "gr": "g", "kilogram": "kg", "kilograms": "kg", "kgs": "kg",
	"ounce": "oz", "ounces": "oz", "ozs": "oz", "pound": "lb", "pounds": "lb", "lbs": "lb",
	"millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
	"centimetre": "cm", "centimetres": "cm", "inch": "in", "inches": "in", `"`: "in",
	"millilitre": "ml", "millilitres": "ml", "milliliter": "ml", "milliliters": "ml", "litre": "l", "litres": "l", "liter": "l", "liters": "l",
	"floz": "fl oz", "fl. oz": "fl oz", "fluid ounce": "fl oz", "fluid ounces": "fl oz",
	"percent": "%", "per cent": "%", "pct": "%", "°c": "C", "celsius": "C", "°f": "F", "fahrenheit": "F",
}

// ParseMass reads a weight such as "450 g", "1.2 kg", "33 oz" or "1 lb 4 oz".
// It rounds once, to the nearest nanogram, halves up. The error is a
// [*SyntaxError]; a sign is one: amounts are never negative.
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
// The fluid ounce is the US one. It is worth 29.5735295625 ml, and the value is
// computed from that figure, so 128 fl oz is the US gallon to the nanolitre.
func ParseVolume(s string) (Volume, Quantity, error) {
	v, q, err := volumes.parse(s)
	return Volume(v), q, err
}

// ParseShare reads a share such as "5%". A share may be more than the whole;
// whoever asks for it says what bounds it has.
func ParseShare(s string) (Share, Quantity, error) {
	v, q, err := shares.parse(s)
	return Share(v), q, err
}

// ParseShareRange reads a share or a range of shares: "5%", "20-30%",
// "20%-30%" or "20–30 %". A range that runs downwards is an error.
func ParseShareRange(s string) (ShareRange, error) {
	cut := strings.IndexAny(s, "-–")
	if cut <= 0 {
		v, _, err := ParseShare(s)
		return ShareRange{v, v}, err
	}
	_, dash := utf8.DecodeRuneInString(s[cut:])
	low, high := strings.TrimSpace(s[:cut]), s[cut+dash:]
	if !strings.HasSuffix(low, "%") {
		low += "%"
	}
	l, _, err := ParseShare(low)
	if err != nil {
		return ShareRange{}, err
	}
	h, _, err := ParseShare(high)
	if err != nil {
		return ShareRange{}, err
	}
	if l > h {
		return ShareRange{}, &SyntaxError{Message: "the range runs downwards", Hint: `write the smaller share first, such as "20-30%"`}
	}
	return ShareRange{l, h}, nil
}

// ParseCount reads a whole number without a unit, from 0 to 999,999,999.
func ParseCount(s string) (int, error) {
	sc := scanner{text: []rune(s)}
	digits := sc.digits()
	if digits == "" || !sc.done() || len(digits) > 9 || len(digits) > 1 && digits[0] == '0' {
		return 0, &SyntaxError{Offset: sc.at, Message: fmt.Sprintf("%q is not a whole number", s), Hint: `write it in digits, such as "8"`}
	}
	n := 0
	for _, d := range digits {
		n = n*10 + int(d-'0')
	}
	return n, nil
}

// ParseNumber reads a plain positive number without a unit, such as "2" or
// "1.5": a ratio.
func ParseNumber(s string) (float64, error) {
	sc := scanner{text: []rune(s)}
	n, err := sc.number()
	if err != nil {
		return 0, err
	}
	if !sc.done() {
		return 0, &SyntaxError{Offset: sc.at, Message: fmt.Sprintf("%q is not a plain number", s), Hint: `write it without a unit, such as "2" or "1.5"`}
	}
	v, _ := n.value.Float64()
	return v, nil
}

// A Figure is a number with a unit that has no type of its own: "196 mg KOH/g".
type Figure struct {
	Low, High float64
	Unit      string
}

// ParseFigure reads a number or a range of numbers with one of the units
// allowed, which are given in their canonical spelling: "196 mg KOH/g",
// "184-196 mg KOH/g". Spaces within a unit and the case of its letters are free.
func ParseFigure(s string, units ...string) (Figure, error) {
	hint := fmt.Sprintf("write it as %q", "196 "+units[0])
	sc := scanner{text: []rune(s)}
	low, err := sc.number()
	if err != nil {
		return Figure{}, err
	}
	high := low
	sc.spaces()
	if sc.is('-') || sc.is('–') {
		sc.at++
		sc.spaces()
		if high, err = sc.number(); err != nil {
			return Figure{}, err
		}
	}
	sc.spaces()
	rest := foldUnit(string(sc.text[sc.at:]))
	for _, unit := range units {
		if rest != foldUnit(unit) {
			continue
		}
		l, _ := low.value.Float64()
		h, _ := high.value.Float64()
		if l > h {
			return Figure{}, &SyntaxError{Message: "the range runs downwards", Hint: "write the smaller figure first"}
		}
		return Figure{l, h, unit}, nil
	}
	if rest == "" {
		return Figure{}, &SyntaxError{Offset: sc.at, Message: fmt.Sprintf("%q has no unit", s), Hint: hint}
	}
	return Figure{}, &SyntaxError{Offset: sc.at, Message: fmt.Sprintf("%q is not one of the units %s", rest, strings.Join(units, ", ")), Hint: hint}
}

func foldUnit(s string) string {
	return strings.ToLower(strings.Join(strings.Fields(s), ""))
}

func (d dimension) parse(s string) (int64, Quantity, error) {
	var q Quantity
	total := new(big.Rat)
	sc := scanner{text: []rune(s)}
	for {
		sc.spaces()
		n, err := sc.number()
		if err != nil {
			err.Hint = either(err.Hint, "write "+d.name+" as "+d.example)
			return 0, Quantity{}, err
		}
		sc.spaces()
		at := sc.at
		unit := sc.unit()
		worth, ok := d.units[unit]
		switch {
		case ok:
		case unit == "":
			return 0, Quantity{}, &SyntaxError{at, fmt.Sprintf("%q has no unit", s), "write " + d.name + " as " + d.example}
		default:
			return 0, Quantity{}, &SyntaxError{at, fmt.Sprintf("%q is not a unit of %s", unit, strings.TrimPrefix(d.name, "a ")), "write " + d.name + " as " + d.example}
		}
		if len(q.Parts) > 0 && d.pairs[q.Parts[0].Unit] != unit {
			return 0, Quantity{}, &SyntaxError{at, fmt.Sprintf("%q cannot follow %q", unit, q.Parts[0].Unit), "write " + d.name + " as " + d.example}
		}
		value := new(big.Rat).SetInt64(worth)
		if unit == "fl oz" {
			value.SetFrac64(295_735_295_625, 10_000) // nanolitres, exact
		}
		total.Add(total, value.Mul(value, &n.value))
		q.Parts = append(q.Parts, Part{n, unit})
		sc.spaces()
		if sc.done() {
			break
		}
		if len(q.Parts) == 2 || d.pairs[unit] == "" {
			return 0, Quantity{}, &SyntaxError{sc.at, fmt.Sprintf("%q is more than one amount", s), "write " + d.name + " as " + d.example}
		}
	}
	v, ok := roundHalfUp(total)
	if !ok {
		return 0, Quantity{}, &SyntaxError{0, fmt.Sprintf("%q is more than this program counts", s), ""}
	}
	return v, q, nil
}

// either gives the first text that is not empty.
func either(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// roundHalfUp gives the whole number nearest to a number that is not negative.
func roundHalfUp(r *big.Rat) (int64, bool) {
	twice := new(big.Int).Add(new(big.Int).Lsh(r.Num(), 1), r.Denom())
	v := twice.Quo(twice, new(big.Int).Lsh(r.Denom(), 1))
	return v.Int64(), v.IsInt64() && v.Int64() <= math.MaxInt64/4
}

// A scanner walks over the characters of an amount.
type scanner struct {
	text []rune
	at   int
}

func (sc *scanner) done() bool     { return sc.at >= len(sc.text) }
func (sc *scanner) is(r rune) bool { return sc.at < len(sc.text) && sc.text[sc.at] == r }

// spaces passes over spaces, the no-break and the narrow no-break one too.
func (sc *scanner) spaces() {
	for sc.is(' ') || sc.is('\u00a0') || sc.is('\u202f') {
		sc.at++
	}
}

func (sc *scanner) digits() string {
	start := sc.at
	for sc.at < len(sc.text) && sc.text[sc.at] >= '0' && sc.text[sc.at] <= '9' {
		sc.at++
	}
	return string(sc.text[start:sc.at])
}

// mostDigits is how many digits a number may have on either side of its point.
const mostDigits = 12

// number reads "4", "4.25", "1/2" or "3 1/4".
func (sc *scanner) number() (Number, *SyntaxError) {
	start := sc.at
	wrong := func(message, hint string) (Number, *SyntaxError) {
		return Number{}, &SyntaxError{Offset: sc.at, Message: message, Hint: hint}
	}
	switch {
	case sc.done():
		return wrong("there is no number", "")
	case sc.is('-') || sc.is('−'):
		return wrong("an amount is never negative", "")
	case sc.is('+'):
		return wrong("an amount has no sign", "")
	}
	whole := sc.digits()
	if whole == "" {
		return wrong(fmt.Sprintf("%q does not begin with a number", string(sc.text)), "")
	}
	if len(whole) > mostDigits {
		return wrong("the number has too many digits", "")
	}
	var n Number
	var ok bool
	switch {
	case sc.is(','):
		hint := `write a decimal point: "` + whole + "." + `5"`
		if sc.at++; len(sc.digits()) == 3 {
			hint = "write thousands without a comma, and decimals with a point"
		}
		sc.at = start + len(whole)
		return wrong("a comma stands in the number", hint)
	case sc.is('.'):
		sc.at++
		decimals := sc.digits()
		if decimals == "" || len(decimals) > mostDigits {
			return wrong("the decimals after the point are missing or too many", "")
		}
		_, ok = n.value.SetString(whole + "." + decimals)
	case sc.is('/'):
		_, ok = sc.fraction(&n.value, "0", whole)
	default:
		before := sc.at
		sc.spaces()
		numerator := ""
		if sc.at > before {
			numerator = sc.digits()
		}
		if numerator != "" && sc.is('/') {
			_, ok = sc.fraction(&n.value, whole, numerator)
			break
		}
		sc.at = before
		_, ok = n.value.SetString(whole)
	}
	if !ok {
		return wrong("the fraction is not complete", `write it as "3 1/4"`)
	}
	if sc.is(',') || sc.is('.') || sc.is('_') || sc.is('/') {
		return wrong("the number goes on in an unknown way", `write decimals with one point: "4.5"`)
	}
	n.Text = string(sc.text[start:sc.at])
	return n, nil
}

// fraction reads the part of a common fraction from its stroke on.
func (sc *scanner) fraction(value *big.Rat, whole, numerator string) (*big.Rat, bool) {
	sc.at++
	denominator := sc.digits()
	if denominator == "" || len(denominator) > mostDigits || len(numerator) > mostDigits || strings.Trim(denominator, "0") == "" {
		return nil, false
	}
	part, ok := new(big.Rat).SetString(numerator + "/" + denominator)
	if !ok {
		return nil, false
	}
	base, ok := new(big.Rat).SetString(whole)
	if !ok {
		return nil, false
	}
	return value.Add(base, part), true
}

// unit reads a unit and gives its canonical spelling, or what stands there.
func (sc *scanner) unit() string {
	start := sc.at
	for sc.at < len(sc.text) && (sc.text[sc.at] < '0' || sc.text[sc.at] > '9') {
		sc.at++
	}
	typed := strings.TrimSpace(string(sc.text[start:sc.at]))
	folded := strings.ToLower(strings.Join(strings.Fields(typed), " "))
	if canonical, ok := alternatives[folded]; ok {
		return canonical
	}
	if folded == "l" || folded == "ml" || folded == "mg" || folded == "g" || folded == "kg" ||
		folded == "oz" || folded == "lb" || folded == "mm" || folded == "cm" || folded == "m" || folded == "in" || folded == "fl oz" {
		return folded
	}
	return typed
}

// Mass gives the quantity as a mass, and 0 for one that is none.
func (q Quantity) Mass() Mass {
	total := new(big.Rat)
	for i := range q.Parts {
		worth, ok := masses.units[q.Parts[i].Unit]
		if !ok {
			return 0
		}
		total.Add(total, new(big.Rat).Mul(new(big.Rat).SetInt64(worth), &q.Parts[i].Number.value))
	}
	v, _ := roundHalfUp(total)
	return Mass(v)
}
