package register_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/day"
	"saponym/internal/formula"
	"saponym/internal/register"
)

func on(t interface {
	Helper()
	Fatal(...any)
}, text string) day.Day {
	t.Helper()
	d, err := day.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// codes reads the form of codes as shop.yaml has it.
func codes(t testing.TB, text string) formula.Codes {
	t.Helper()
	shop, found, err := formula.ReadShop("shop.yaml", []byte("maker: {name: a}\n"+text))
	if err != nil || len(found) > 0 {
		t.Fatalf("%v %v", err, found)
	}
	return shop.Codes
}

func form(t testing.TB, text string) register.Form {
	t.Helper()
	f, err := register.NewForm(codes(t, text))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// 2026-11-26 is the 330th day of its year; the check characters were worked out apart
// from this program by the hybrid procedure of ISO/IEC 7064.
func TestCodes(t *testing.T) {
	for _, tt := range []struct {
		shop, made string
		n          int
		want       string
	}{
		{"", "2026-11-26", 1, "26330-01-S"},
		{"", "2026-07-19", 1, "26200-01-Y"},
		{"", "2026-11-26", 2, "26330-02-Q"},
		{"", "2026-11-26", 3, ""}, // O, which is taken for 0
		{"", "2026-11-26", 6, ""}, // I, which is taken for 1
		{"", "2026-11-26", 9, "26330-09-C"},
		{"", "2026-11-26", 100, ""},
		{"codes: {pattern: YYMMDD-NN, check: \"11,10\"}\n", "2026-04-17", 1, "260417-01-7"},
		{"codes: {pattern: YYYYMMDD-N}\n", "2026-04-17", 1, "20260417-1-A"},
		{"codes: {pattern: LYYDDD-N}\n", "2026-04-17", 1, "L26107-1-H"},
	} {
		got, _ := form(t, tt.shop).Code(on(t, tt.made), tt.n)
		if got != tt.want {
			t.Errorf("%s batch %d of %s: got %q, want %q", strings.TrimSpace(tt.shop), tt.n, tt.made, got, tt.want)
		}
	}
}

func TestFormsThatAreNone(t *testing.T) {
	for shop, says := range map[string]string{
		"codes: {check: \"97-10\"}\n":                     `no check "97-10"`,
		"codes: {pattern: NN-YYDDD}\n":                    "in this order",
		"codes: {pattern: DDMMYY-NN}\n":                   "in this order",
		"codes: {pattern: YYDDD}\n":                       "in this order",
		"codes: {pattern: YYDD-NN}\n":                     "in this order",
		"codes: {pattern: YYY-DDD-NN}\n":                  "in this order",
		"codes: {pattern: yyddd-nn}\n":                    "'y'",
		"codes: {pattern: YYDDD/NN}\n":                    "'/'",
		"codes: {pattern: -YYDDD-NN}\n":                   "'-'",
		"codes: {pattern: LYYDDD-NN, check: \"11,10\"}\n": "'L'",
	} {
		_, err := register.NewForm(codes(t, shop))
		var wrong *register.FormError
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), says) || wrong.At.File != "shop.yaml" || wrong.At.Line != 2 || wrong.Remedy == "" {
			t.Errorf("%s: got %v, want one that says %q", strings.TrimSpace(shop), err, says)
		}
	}
}

// Codes of one form sort by day, are told from each other, and are never of characters
// that are taken for digits.
func TestCodesSortAndDiffer(t *testing.T) {
	f := form(t, "")
	rapid.Check(t, func(t *rapid.T) {
		day1 := on(t, "2020-01-01").AddDays(rapid.IntRange(0, 20000).Draw(t, "day"))
		day2 := day1.AddDays(rapid.IntRange(1, 400).Draw(t, "later"))
		if day1.Time().Year()/100 != day2.Time().Year()/100 {
			t.Skip("another century")
		}
		n, m := rapid.IntRange(1, 99).Draw(t, "n"), rapid.IntRange(1, 99).Draw(t, "m")
		a, ok1 := f.Code(day1, n)
		b, ok2 := f.Code(day2, m)
		if !ok1 || !ok2 {
			return
		}
		if a >= b {
			t.Fatalf("%s of %s does not come before %s of %s", a, day1, b, day2)
		}
		if strings.ContainsAny(a, "ILOU") || !f.Fits(a) || !f.Fits(strings.ToLower(a)) {
			t.Fatalf("%s is not fit to be typed", a)
		}
	})
}

func TestFindAndLikely(t *testing.T) {
	all := []string{"26330-01-S", "26330-02-Q", "26331-01-P", "26200-01-Y", "26300-01"}
	for typed, want := range map[string]string{
		"26330-01-S": "26330-01-S", "26330 01 s": "26330-01-S", "2633001S": "26330-01-S", "26330–01–S": "26330-01-S", "26300-01": "26300-01",
		"26330-01-5": "", "26330-01": "", "": "", "--": "",
	} {
		if got, ok := register.Find(typed, all); got != want || ok != (want != "") {
			t.Errorf("%q is found as %q, %t, want %q", typed, got, ok, want)
		}
	}
	for typed, want := range map[string]string{
		"26330-01-5": "26330-01-S", // looks the same
		"2633O-O1-S": "26330-01-S",
		"26330-01":   "26330-01-S", // without its check character
		"26303-01-S": "26330-01-S", // two figures swapped
		"26330-2-Q":  "26330-02-Q",
		"26331-01-S": "26331-01-P, 26330-01-S",
		"zzzzzzzz":   "",
		"":           "",
	} {
		got := register.Likely(typed, all)
		if first, _, _ := strings.Cut(want, ", "); want == "" && len(got) > 0 || want != "" && (len(got) == 0 || got[0] != first && !slices.Contains(got[:min(2, len(got))], first)) {
			t.Errorf("likely for %q: %q, want %q first", typed, got, want)
		}
	}
	if register.Find("x", nil); len(register.Likely("26330", nil)) != 0 {
		t.Error("a shop without batches has a likely one")
	}
}

// One slip of a kind that people make is always caught, and the code that was meant is
// among those that are offered.
func TestSlipsAreCaught(t *testing.T) {
	f := form(t, "")
	var all []string
	for d := range 60 {
		for n := 1; n < 4; n++ {
			if code, ok := f.Code(on(t, "2026-09-01").AddDays(d), n); ok {
				all = append(all, code)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		code := rapid.SampledFrom(all).Draw(t, "code")
		at := rapid.SampledFrom([]int{0, 1, 2, 3, 4, 6, 7, 9}).Draw(t, "at")
		letter := rapid.SampledFrom([]rune("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ")).Draw(t, "letter")
		slip := code[:at] + string(letter) + code[at+1:]
		if slip == code {
			return
		}
		if f.Fits(slip) {
			t.Fatalf("%s for %s fits", slip, code)
		}
		if got := register.Likely(slip, all); !slices.Contains(got, code) {
			t.Fatalf("%s for %s: likely are %q", slip, code, got)
		}
	})
}
