package measure

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
)

// A dimension is a kind of amount and the units it is written in.
type dimension struct {
	name    string // "weight"
	example string
	units   []unit
}

// A unit is one way of counting an amount.
type unit struct {
	name  string   // the canonical spelling
	worth *big.Rat // in the smallest unit of its dimension
	then  string   // the unit that may follow it: "1 lb 4 oz"
	also  []string // other spellings, as fold leaves them
}

var (
	masses = dimension{"weight", `"450 g", "1.2 kg", "33 oz" or "1 lb 4 oz"`, []unit{
		{name: "mg", worth: whole(Milligram), also: []string{"milligram", "milligrams"}},
		{name: "g", worth: whole(Gram), also: []string{"gram", "grams"}},
		{name: "kg", worth: whole(Kilogram), then: "g", also: []string{"kgs", "kilogram", "kilograms"}},
		{name: "oz", worth: whole(Ounce), also: []string{"ozs", "ounce", "ounces"}},
		{name: "lb", worth: whole(Pound), then: "oz", also: []string{"lbs", "pound", "pounds"}},
	}}
	lengths = dimension{"length", `"80 mm", "8 cm" or "3 1/4 in"`, []unit{
		{name: "mm", worth: whole(Millimetre), also: []string{"millimetre", "millimetres", "millimeter", "millimeters"}},
		{name: "cm", worth: whole(10 * Millimetre), also: []string{"centimetre", "centimetres", "centimeter", "centimeters"}},
		{name: "m", worth: whole(1000 * Millimetre), also: []string{"metre", "metres", "meter", "meters"}},
		{name: "in", worth: whole(Inch), also: []string{`"`, "inch", "inches"}},
	}}
	volumes = dimension{"volume", `"950 ml", "1.2 l" or "33 fl oz"`, []unit{
		{name: "ml", worth: whole(Millilitre), also: []string{"millilitre", "millilitres", "milliliter", "milliliters"}},
		{name: "l", worth: whole(Litre), also: []string{"litre", "litres", "liter", "liters"}},
		{name: "fl oz", worth: big.NewRat(295_735_295_625, 10_000), also: []string{"floz", "fluid ounce", "fluid ounces"}},
	}}
	shares = dimension{"share", `"5%" or "0.4%"`, []unit{
		{name: "%", worth: whole(Percent), also: []string{"percent", "per cent", "pct"}},
		{name: "ppm", worth: whole(Whole / 1_000_000), also: []string{"mg/kg"}},
	}}
)

func whole[T ~int64](worth T) *big.Rat { return big.NewRat(int64(worth), 1) }

// largest is the most that an amount somebody types may be worth: about 9 t,
// 9,000 km, 9,000 m³ or 9 million times the whole. Up to here a whole number is
// exact as a float64 too, and a thousand of them add up without overflow.
const largest = 1 << 53

// parse reads all of s as an amount and rounds it, halves up.
func (d *dimension) parse(s string) (int64, Quantity, error) {
	sc := scan(s)
	exact, q, err := d.read(&sc)
	if err != nil {
		return 0, Quantity{}, err
	}
	return roundHalfUp(exact), q, nil
}

// read reads an amount up to the end of the text and gives its exact worth.
func (d *dimension) read(sc *scanner) (*big.Rat, Quantity, error) {
	hint := "write a " + d.name + " as " + d.example
	var q Quantity
	total := new(big.Rat)
	for {
		number, value, err := sc.number()
		if err != nil {
			return nil, Quantity{}, err.or(hint)
		}
		at, typed := sc.unit()
		u, ok := d.unit(typed)
		switch {
		case typed == "":
			return nil, Quantity{}, &SyntaxError{at, fmt.Sprintf("%q has no unit", string(sc.text)), hint}
		case !ok:
			return nil, Quantity{}, &SyntaxError{at, fmt.Sprintf("%q is not a unit of %s", typed, d.name), hint}
		case len(q.Parts) > 0 && u.name != d.follower(q.Parts[0].Unit):
			return nil, Quantity{}, &SyntaxError{at, fmt.Sprintf("%q cannot follow %q", u.name, q.Parts[0].Unit), hint}
		}
		q.Parts = append(q.Parts, Part{number, u.name})
		total.Add(total, value.Mul(value, u.worth))
		if sc.done() {
			break
		}
		if u.then == "" || len(q.Parts) > 1 {
			return nil, Quantity{}, &SyntaxError{sc.at, fmt.Sprintf("%q is more than one %s", string(sc.text), d.name), hint}
		}
	}
	if total.Cmp(big.NewRat(largest, 1)) > 0 {
		return nil, Quantity{}, &SyntaxError{0, fmt.Sprintf("%q is more than a %s can be", q, d.name), hint}
	}
	return total, q, nil
}

// unit finds a unit by any of its spellings.
func (d *dimension) unit(typed string) (unit, bool) {
	folded := fold(typed)
	i := slices.IndexFunc(d.units, func(u unit) bool {
		return folded == u.name || slices.Contains(u.also, folded)
	})
	if i < 0 {
		return unit{}, false
	}
	return d.units[i], true
}

// follower gives the unit that may follow the one with this name, or "".
func (d *dimension) follower(name string) string {
	u, _ := d.unit(name)
	return u.then
}

// fold takes away what makes no difference to a unit: case, full stops, and how
// many spaces of which kind.
func fold(typed string) string {
	return strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(typed, ".", "")), " "))
}

// roundHalfUp gives the whole number nearest to r, which is neither negative nor
// more than largest: the floor of (2n + d) / 2d.
func roundHalfUp(r *big.Rat) int64 {
	n := new(big.Int).Lsh(r.Num(), 1)
	n.Add(n, r.Denom())
	return n.Quo(n, new(big.Int).Lsh(r.Denom(), 1)).Int64()
}
