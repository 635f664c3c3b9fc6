package measure_test

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"testing"
	"unicode/utf8"

	"saponym/internal/measure"

	"pgregory.net/rapid"
)

// The parsers of amounts, under one signature.
var amounts = map[string]func(string) (int64, measure.Quantity, error){
	"mass":   amount(measure.ParseMass),
	"length": amount(measure.ParseLength),
	"volume": amount(measure.ParseVolume),
	"share":  amount(measure.ParseShare),
}

func amount[T ~int64](parse func(string) (T, measure.Quantity, error)) func(string) (int64, measure.Quantity, error) {
	return func(s string) (int64, measure.Quantity, error) {
		v, q, err := parse(s)
		return int64(v), q, err
	}
}

var amountTests = []struct {
	name  string
	kind  string
	in    string
	want  int64
	typed string // the canonical spelling
}{
	{"grams", "mass", "450 g", 450_000_000_000, "450 g"},
	{"kilograms", "mass", "1.2 kg", 1_200_000_000_000, "1.2 kg"},
	{"milligrams", "mass", "3 mg", 3_000_000, "3 mg"},
	{"ounces", "mass", "33 oz", 935_534_263_125, "33 oz"},
	{"a pound and ounces", "mass", "1 lb 4 oz", 566_990_462_500, "1 lb 4 oz"},
	{"a kilogram and grams", "mass", "1 kg 200 g", 1_200_000_000_000, "1 kg 200 g"},
	{"decimals are kept", "mass", "4.20 oz", 119_067_997_125, "4.20 oz"},
	{"half a nanogram is rounded up", "mass", "0.0000000005 g", 1, "0.0000000005 g"},
	{"less than half is rounded down", "mass", "0.000000000499 g", 0, "0.000000000499 g"},
	{"both parts are rounded together", "mass", "0.000000000001 lb 0.000000000002 oz", 1, "0.000000000001 lb 0.000000000002 oz"},
	{"nought", "mass", "0 g", 0, "0 g"},
	{"no space", "mass", "450g", 450_000_000_000, "450 g"},
	{"no space, two parts", "mass", "1lb4oz", 566_990_462_500, "1 lb 4 oz"},
	{"spaces around", "mass", "  450   g ", 450_000_000_000, "450 g"},
	{"no-break space", "mass", "450\u00a0g", 450_000_000_000, "450 g"},
	{"thin space", "mass", "450\u2009g", 450_000_000_000, "450 g"},
	{"capitals", "mass", "450 G", 450_000_000_000, "450 g"},
	{"full stops", "mass", "1 lb. 4 oz.", 566_990_462_500, "1 lb 4 oz"},
	{"words", "mass", "2 Pounds", 907_184_740_000, "2 lb"},
	{"about 9 t", "mass", "9007199.254740992 g", 1 << 53, "9007199.254740992 g"},
	{"millimetres", "length", "80 mm", 80_000_000, "80 mm"},
	{"centimetres", "length", "8.5 cm", 85_000_000, "8.5 cm"},
	{"inches with a fraction", "length", "3 1/4 in", 82_550_000, "3 1/4 in"},
	{"two spaces before a fraction", "length", "3  1/4 in", 82_550_000, "3 1/4 in"},
	{"a fraction alone", "length", "1/3 in", 8_466_667, "1/3 in"},
	{"a fraction above one", "length", "5/4 in", 31_750_000, "5/4 in"},
	{"a fraction of one character", "length", "3½ in", 88_900_000, "3½ in"},
	{"the same after a space", "length", "3 ⅞ in", 98_425_000, "3 ⅞ in"},
	{"the same alone", "length", "¾ in", 19_050_000, "¾ in"},
	{"inches as a mark", "length", `3"`, 76_200_000, "3 in"},
	{"millilitres", "volume", "950 ml", 950_000_000, "950 ml"},
	{"litres", "volume", "1.2 L", 1_200_000_000, "1.2 l"},
	{"fluid ounces", "volume", "33 fl oz", 975_926_476, "33 fl oz"},
	{"fluid ounces with stops", "volume", "33 fl. oz.", 975_926_476, "33 fl oz"},
	{"per cent", "share", "5%", 50_000_000, "5%"},
	{"per cent after a space", "share", "0.4 %", 4_000_000, "0.4%"},
	{"per cent in words", "share", "12 per cent", 120_000_000, "12%"},
	{"more than the whole", "share", "100.2%", 1_002_000_000, "100.2%"},

	// NIST Handbook 44, appendix C: exact factors.
	{"1 oz = 28.349523125 g", "mass", "1 oz", 28_349_523_125, "1 oz"},
	{"1 lb = 453.59237 g", "mass", "1 lb", 453_592_370_000, "1 lb"},
	{"1 in = 25.4 mm", "length", "1 in", 25_400_000, "1 in"},
	{"1 fl oz = 29.5735295625 ml", "volume", "1 fl oz", 29_573_530, "1 fl oz"},
	{"128 fl oz = 3.785411784 l", "volume", "128 fl oz", 3_785_411_784, "128 fl oz"},
}

func TestParseAmount(t *testing.T) {
	for _, tt := range amountTests {
		t.Run(tt.name, func(t *testing.T) {
			got, q, err := amounts[tt.kind](tt.in)
			if err != nil {
				t.Fatalf("%q: %v", tt.in, err)
			}
			if got != tt.want {
				t.Errorf("%q is worth %d, want %d", tt.in, got, tt.want)
			}
			if q.String() != tt.typed {
				t.Errorf("%q is spelled %q, want %q", tt.in, q, tt.typed)
			}
		})
	}
}

// Weights in ounces with their exact grams, by the factor 28.349523125 g of NIST
// Handbook 44, appendix C. Some fall just beside a whole gram: 5.15 oz is above
// 146 g by the exact factor and below it by 28.3495.
func TestOuncesAreExact(t *testing.T) {
	tests := []struct{ ounces, grams string }{
		{"1", "28.349523125"},
		{"1.5", "42.5242846875"},
		{"2", "56.69904625"},
		{"2.75", "77.96118859375"},
		{"3.5", "99.2233309375"},
		{"3.53", "100.07381663125"},
		{"4", "113.3980925"},
		{"4.25", "120.48547328125"},
		{"4.5", "127.5728540625"},
		{"5.15", "146.00004409375"},
		{"5.5", "155.9223771875"},
		{"8", "226.796185"},
		{"12", "340.1942775"},
		{"16", "453.59237"},
		{"20", "566.9904625"},
		{"36", "1020.5828325"},
	}
	for _, tt := range tests {
		t.Run(tt.ounces, func(t *testing.T) {
			got, _, err := measure.ParseMass(tt.ounces + " oz")
			if err != nil {
				t.Fatal(err)
			}
			if want := nanograms(t, tt.grams); int64(got) != want {
				t.Errorf("%s oz is %d ng, want %d (%s g)", tt.ounces, got, want, tt.grams)
			}
		})
	}
}

// nanograms rounds decimal grams half up by a way of its own: it adds a half
// and takes the floor of the rational.
func nanograms(t interface{ Fatalf(string, ...any) }, grams string) int64 {
	r, ok := new(big.Rat).SetString(grams)
	if !ok {
		t.Fatalf("%q is no decimal", grams)
	}
	r.Mul(r, big.NewRat(1_000_000_000, 1))
	r.Add(r, big.NewRat(1, 2))
	return new(big.Int).Div(r.Num(), r.Denom()).Int64()
}

func TestGramsRoundHalfUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grams := rapid.StringMatching(`(0|[1-9][0-9]{0,5})\.[0-9]{8,11}5?`).Draw(t, "grams")
		got, _, err := measure.ParseMass(grams + " g")
		if err != nil {
			t.Fatal(err)
		}
		if want := nanograms(t, grams); int64(got) != want {
			t.Fatalf("%s g is %d ng, want %d", grams, got, want)
		}
	})
}

func TestQuantityReadsAgain(t *testing.T) {
	units := map[string][]string{
		"mass": {"mg", "g", "KG", "oz.", "lbs"}, "length": {"mm", "cm", "m", `"`}, "volume": {"ml", "L", "fl. oz"}, "share": {"%", " per cent"},
	}
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]string{"mass", "length", "volume", "share"}).Draw(t, "kind")
		number := rapid.StringMatching(`[1-9][0-9]{0,2}(\.[0-9]{1,6}|  ?[1-8]/9| ?[½¼¾⅛⅜⅝⅞])?`)
		in := number.Draw(t, "number") + rapid.SampledFrom([]string{"", " ", "\u00a0"}).Draw(t, "space") +
			rapid.SampledFrom(units[kind]).Draw(t, "unit")
		if strings.HasSuffix(in, "lbs") && rapid.Bool().Draw(t, "and ounces") {
			in += " " + number.Draw(t, "ounces") + "oz"
		}
		parse := amounts[kind]
		v, q, err := parse(in)
		if err != nil {
			t.Fatalf("%q: %v", in, err)
		}
		again, q2, err := parse(q.String())
		if err != nil || again != v || fmt.Sprint(q2.Parts) != fmt.Sprint(q.Parts) {
			t.Fatalf("%q gives %d, %q; read again %d, %q, %v", in, v, q, again, q2, err)
		}
		if kind == "mass" && int64(q.Mass()) != v {
			t.Fatalf("%q: Mass() = %d, want %d", in, q.Mass(), v)
		}
	})
}

func TestQuantityIsExact(t *testing.T) {
	tests := []struct{ typed, nanograms string }{
		{"4.21 oz", "119351492356.25"},
		{"1/3 g", "1000000000/3"},
		{"1 lb 4 oz", "566990462500"},
	}
	for _, tt := range tests {
		t.Run(tt.typed, func(t *testing.T) {
			_, q, err := measure.ParseMass(tt.typed)
			if err != nil {
				t.Fatal(err)
			}
			want, _ := new(big.Rat).SetString(tt.nanograms)
			if got := q.Nanograms(); got.Cmp(want) != 0 {
				t.Errorf("%s is %s ng, want %s", tt.typed, got, want)
			}
		})
	}
}

func TestQuantityThatIsNoMass(t *testing.T) {
	_, length, err := measure.ParseLength("80 mm")
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []measure.Quantity{length, {}} {
		if q.Mass() != 0 || q.Nanograms().Sign() != 0 {
			t.Errorf("%q has the mass %d, exactly %s ng, want 0", q, q.Mass(), q.Nanograms())
		}
	}
}

var refusals = []struct {
	name   string
	kind   string
	in     string
	offset int
	says   string // a part of the error
}{
	{"nothing", "mass", "", 0, "there is no number"},
	{"only spaces", "mass", "  ", 2, "there is no number"},
	{"no unit", "mass", "450", 3, `"450" has no unit; write a weight as "450 g"`},
	{"no number", "mass", "g", 0, `"g" does not begin with a number`},
	{"the unit first", "mass", "g 450", 0, "does not begin with a number"},
	{"decimal comma", "mass", "4,5 g", 1, `write decimals with a point, such as "4.5"`},
	{"decimal comma of three digits", "mass", "1,200 g", 1, "write thousands without a comma"},
	{"minus", "mass", "-5 g", 0, "never negative"},
	{"typographic minus", "mass", "−5 g", 0, "never negative"},
	{"plus", "mass", "+5 g", 0, "has no sign"},
	{"octal", "mass", "010 g", 0, `write "8", not "08"`},
	{"hexadecimal", "mass", "0x1F g", 1, `"x" is not a unit of weight`},
	{"underscore", "mass", "1_000 g", 1, "not complete"},
	{"exponent", "mass", "1e3 g", 1, `"e" is not a unit of weight`},
	{"not a number", "mass", "NaN g", 0, "does not begin with a number"},
	{"infinite", "mass", "Inf g", 0, "does not begin with a number"},
	{"a point without a digit before it", "mass", ".5 g", 0, `write "0.5"`},
	{"a point without a digit after it", "mass", "5. g", 1, "not complete"},
	{"two points", "mass", "1.2.3 g", 3, "not complete"},
	{"thousands with a space", "mass", "1 000 g", 2, "a second number follows the first"},
	{"full-width digits", "mass", "４５０ g", 0, "write numbers with the digits 0 to 9"},
	{"full-width digits later", "mass", "4５０ g", 1, "with the digits 0 to 9"},
	{"Arabic digits", "mass", "٤ g", 0, "with the digits 0 to 9"},
	{"a fraction of one character that is not known", "mass", "⅓ oz", 0, "is not a digit that is known"},
	{"a fraction without an end", "length", "3 1/ in", 2, "a second number"},
	{"a fraction with a stroke of its own", "length", "1⁄2 in", 1, "not complete"},
	{"division by nought", "length", "1/0 in", 0, "a 0 where a number cannot begin"},
	{"an octal fraction", "length", "1/08 in", 0, `write "8", not "08"`},
	{"a mixed number above its whole", "length", "3 5/4 in", 0, "not less than one"},
	{"a decimal with a fraction", "length", "1.5 1/4 in", 4, "a second number"},
	{"a decimal in a fraction", "length", "1.5/4 in", 3, "not complete"},
	{"fractions twice", "length", "½ ½ in", 2, "a second number"},
	{"too many digits", "mass", "1234567890123 g", 0, "too many digits"},
	{"too many decimals", "mass", "1.1234567890123 g", 0, "too many digits"},
	{"grains are not grams", "mass", "5 gr", 2, `"gr" is not a unit of weight`},
	{"a volume", "mass", "5 ml", 2, `"ml" is not a unit of weight`},
	{"a weight for a volume", "volume", "33 oz", 3, `or "33 fl oz"`},
	{"an unknown word", "mass", "  5 stone", 4, `"stone" is not a unit of weight`},
	{"a share without a sign", "share", "5", 1, "has no unit"},
	{"two amounts", "mass", "4 g 5 g", 4, "more than one weight"},
	{"ounces before a pound", "mass", "4 oz 1 lb", 5, "more than one weight"},
	{"grams after a pound", "mass", "1 lb 4 g", 7, `"g" cannot follow "lb"`},
	{"three parts", "mass", "1 lb 4 oz 3 g", 10, "more than one weight"},
	{"dimensions", "length", "80 mm x 50 mm", 3, `"mm x" is not a unit of length`},
	{"more than about 9 t", "mass", "9007199.254740993 g", 0, "more than a weight can be"},
	{"past int64", "mass", "999999999999 kg", 0, "more than a weight can be"},
	{"past int64 in a share", "share", "999999999999%", 0, "more than a share can be"},
	{"bytes that are no characters", "mass", "4 \xff", 2, "is not a unit of weight"},
}

func TestParseRefuses(t *testing.T) {
	for _, tt := range refusals {
		t.Run(tt.name, func(t *testing.T) {
			v, q, err := amounts[tt.kind](tt.in)
			checkSyntaxError(t, tt.in, err, tt.offset, tt.says)
			if v != 0 || q.Parts != nil {
				t.Errorf("%q: got %d, %q beside the error", tt.in, v, q)
			}
		})
	}
}

func checkSyntaxError(t *testing.T, in string, err error, offset int, says string) {
	t.Helper()
	var syntax *measure.SyntaxError
	if !errors.As(err, &syntax) {
		t.Fatalf("%q: got error %v, want a SyntaxError", in, err)
	}
	if syntax.Offset != offset {
		t.Errorf("%q: error at %d, want %d (%v)", in, syntax.Offset, offset, err)
	}
	if !strings.Contains(err.Error(), says) {
		t.Errorf("%q: got error %q, want one that says %q", in, err, says)
	}
	if syntax.Hint == "" && !strings.Contains(says, "more than a") {
		t.Errorf("%q: no hint beside %q", in, err)
	}
}

func TestParseOffset(t *testing.T) {
	tests := []struct {
		name string
		in   string
		want measure.Length
	}{
		{"negative", "-0.1 mm", -100_000},
		{"typographic minus", "−0.1 mm", -100_000},
		{"positive", "0.3 mm", 300_000},
		{"positive with a sign", "+0.3 mm", 300_000},
		{"inches", "- 1/64 in", -396_875},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got, err := measure.ParseOffset(tt.in); err != nil || got != tt.want {
				t.Errorf("%q: got %d, %v, want %d", tt.in, got, err, tt.want)
			}
		})
	}
	_, err := measure.ParseOffset("--1 mm")
	checkSyntaxError(t, "--1 mm", err, 1, "never negative")
	_, err = measure.ParseOffset("-1 g")
	checkSyntaxError(t, "-1 g", err, 3, "is not a unit of length")
}

func TestParseTemperature(t *testing.T) {
	tests := []struct {
		name string
		in   string
		want float64
	}{
		{"Celsius", "32 C", 32},
		{"degrees Celsius", "32 °C", 32},
		{"no space", "32.5C", 32.5},
		{"small letter", "32 c", 32},
		{"Fahrenheit", "90 F", 290.0 / 9},
		{"degrees Fahrenheit", "212 °F", 100},
		{"below nought", "-18 C", -18},
		{"where both scales meet", "−40 F", -40},
		{"absolute zero", "-273.15 C", -273.15},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got, err := measure.ParseTemperature(tt.in); err != nil || got != tt.want {
				t.Errorf("%q: got %v, %v, want %v", tt.in, got, err, tt.want)
			}
		})
	}
	refused := []struct {
		name   string
		in     string
		offset int
		says   string
	}{
		{"no unit", "32", 2, "has no unit"},
		{"a degree sign alone", "32 °", 3, "has no unit"},
		{"another unit", "300 K", 4, `"K" is not a unit of temperature`},
		{"two", "32 C 90 F", 5, "more than one temperature"},
		{"below absolute zero", "-274 C", 0, "below absolute zero"},
		{"below absolute zero in Fahrenheit", "-460 F", 0, "below absolute zero"},
		{"decimal comma", "32,5 C", 2, "a comma"},
		{"two signs", "--3 C", 1, "never negative"},
		{"nothing", "", 0, "no number"},
	}
	for _, tt := range refused {
		t.Run(tt.name, func(t *testing.T) {
			_, err := measure.ParseTemperature(tt.in)
			checkSyntaxError(t, tt.in, err, tt.offset, tt.says)
		})
	}
}

func TestParseCount(t *testing.T) {
	for in, want := range map[string]int{"0": 0, "8": 8, " 12 ": 12, "999999999": 999_999_999} {
		if got, err := measure.ParseCount(in); err != nil || got != want {
			t.Errorf("%q: got %d, %v, want %d", in, got, err, want)
		}
	}
	for _, in := range []string{"", "-1", "+1", "08", "1.0", "1e3", "1_0", "0x8", "1 2", "８", "8 bars", "1000000000"} {
		if got, err := measure.ParseCount(in); err == nil {
			t.Errorf("%q: got %d, want an error", in, got)
		}
	}
}

func TestParseNumber(t *testing.T) {
	for in, want := range map[string]float64{"2": 2, "1.5": 1.5, "0": 0, "0.1": 0.1, "1/3": 1.0 / 3, "1½": 1.5, " 2 ": 2} {
		if got, err := measure.ParseNumber(in); err != nil || got != want {
			t.Errorf("%q: got %v, %v, want %v", in, got, err, want)
		}
	}
	for _, in := range []string{"", "-2", "2:1", "1,5", "1e3", "2 g", "02", "NaN", "1 2"} {
		if got, err := measure.ParseNumber(in); err == nil {
			t.Errorf("%q: got %v, want an error", in, got)
		}
	}
}

func TestParseFigure(t *testing.T) {
	tests := []struct {
		name string
		in   string
		want measure.Figure
	}{
		{"one number", "196 mg KOH/g", measure.Figure{Low: 196, High: 196, Unit: "mg KOH/g"}},
		{"another unit", "0.1397 g NaOH/g", measure.Figure{Low: 0.1397, High: 0.1397, Unit: "g NaOH/g"}},
		{"a range", "184-196 mg KOH/g", measure.Figure{Low: 184, High: 196, Unit: "mg KOH/g"}},
		{"a range with an en dash", "184 – 196 mg KOH/g", measure.Figure{Low: 184, High: 196, Unit: "mg KOH/g"}},
		{"case and spaces", "196mgkoh / g", measure.Figure{Low: 196, High: 196, Unit: "mg KOH/g"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := measure.ParseFigure(tt.in, "mg KOH/g", "g NaOH/g")
			if err != nil || got != tt.want {
				t.Errorf("%q: got %v, %v, want %v", tt.in, got, err, tt.want)
			}
		})
	}
	refused := []struct {
		name   string
		in     string
		offset int
		says   string
	}{
		{"no unit", "196", 3, `has no unit; write it as "196 mg KOH/g", or its figure in g NaOH/g`},
		{"the alkali is not named", "196 mg/g", 4, `"mg/g" is not a unit`},
		{"downwards", "196-184 mg KOH/g", 3, "runs downwards"},
		{"no upper bound", "184- mg KOH/g", 5, "does not begin with a number"},
		{"negative", "-184 mg KOH/g", 0, "never negative"},
		{"decimal comma", "0,1397 g NaOH/g", 1, "a comma"},
	}
	for _, tt := range refused {
		t.Run(tt.name, func(t *testing.T) {
			_, err := measure.ParseFigure(tt.in, "mg KOH/g", "g NaOH/g")
			checkSyntaxError(t, tt.in, err, tt.offset, tt.says)
		})
	}
}

// FuzzParse holds every parser to its promises on any text: it does not panic,
// an error lies inside the text, and what has no sign is not negative.
func FuzzParse(f *testing.F) {
	for _, tt := range amountTests {
		f.Add(tt.in)
	}
	for _, tt := range refusals {
		f.Add(tt.in)
	}
	for _, tt := range printedShares {
		f.Add(tt.in)
	}
	for _, tt := range refusedShares {
		f.Add(tt.in)
	}
	for _, in := range []string{"20-30%", "20--30%", "-0.1 mm", "90 F", "-273.15 °C", "184-196 mg KOH/g", "8"} {
		f.Add(in)
	}
	f.Fuzz(func(t *testing.T, in string) {
		check := func(what string, low float64, err error) {
			if err == nil {
				if low < 0 {
					t.Errorf("%s of %q is negative: %v", what, in, low)
				}
				return
			}
			var syntax *measure.SyntaxError
			if !errors.As(err, &syntax) {
				t.Errorf("%s of %q: error %v is no SyntaxError", what, in, err)
			} else if syntax.Offset < 0 || syntax.Offset > utf8.RuneCountInString(in) {
				t.Errorf("%s of %q: error at %d is outside the text", what, in, syntax.Offset)
			}
		}
		for kind, parse := range amounts {
			v, q, err := parse(in)
			check(kind, float64(v), err)
			if err != nil {
				continue
			}
			if again, _, err := parse(q.String()); err != nil || again != v {
				t.Errorf("%s of %q is %d, and of its spelling %q %d, %v", kind, in, v, q, again, err)
			}
		}
		r, err := measure.ParseShareRange(in)
		check("range", float64(r.Low), err)
		if r.Low > r.High {
			t.Errorf("range of %q runs downwards: %v", in, r)
		}
		part, err := measure.ParsePartShare(in)
		check("part", float64(part.Low), err)
		if part.Low > part.High || r != (measure.ShareRange{}) && r != part.ShareRange {
			t.Errorf("a part of %q: %v; a range of it: %v", in, part, r)
		}
		n, err := measure.ParseCount(in)
		check("count", float64(n), err)
		v, err := measure.ParseNumber(in)
		check("number", v, err)
		figure, err := measure.ParseFigure(in, "mg KOH/g", "g NaOH/g")
		check("figure", figure.Low, err)
		l, err := measure.ParseOffset(in)
		check("offset", max(float64(l), 0), err)
		c, err := measure.ParseTemperature(in)
		check("temperature", c+273.15, err)
	})
}

func BenchmarkParseMass(b *testing.B) {
	for b.Loop() {
		if _, _, err := measure.ParseMass("1 lb 4.25 oz"); err != nil {
			b.Fatal(err)
		}
	}
}
