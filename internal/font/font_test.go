package font_test

import (
	"errors"
	"math/big"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

func open(t testing.TB, face scene.Face) *font.Font {
	t.Helper()
	f, err := font.Open(face)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestOpen(t *testing.T) {
	for _, face := range font.Faces() {
		f := open(t, face)
		if f.Face() != face || len(f.Bytes()) < 100_000 || len(f.CSS().Families) == 0 {
			t.Errorf("%s opens as %s with %d bytes and families %q", face, f.Face(), len(f.Bytes()), f.CSS().Families)
		}
	}
	_, err := font.Open("noto-sans")
	var unknown *font.UnknownFaceError
	if !errors.As(err, &unknown) || !strings.Contains(err.Error(), "noto-sans-condensed") {
		t.Errorf("an unknown face gives %v", err)
	}
}

// emHeights are the heights in thousandths of the em as the bounding boxes of
// the glyf table have them, read with another program. Where the box is rounded
// out (Yrsa), the outline may be a little lower.
var emHeights = map[scene.Face]struct{ x, capital, figure, ascent, descent int64 }{
	font.SansCondensed:              {537, 714, 714, 765, 240},
	font.SansCondensedSemiBold:      {543, 714, 714, 765, 240},
	font.SansExtraCondensed:         {537, 714, 714, 765, 240},
	font.SansExtraCondensedSemiBold: {543, 714, 714, 765, 240},
	font.SansExtraCondensedBold:     {547, 714, 714, 765, 240},
	font.SerifBold:                  {423, 573, 504, 655, 199},
	font.SerifMediumItalic:          {432, 571, 505, 656, 202},
}

func TestHeights(t *testing.T) {
	const size = 10 * measure.Millimetre // a thousandth of the em is 10 micrometres
	for _, face := range font.Faces() {
		want, ok := emHeights[face]
		if !ok {
			t.Errorf("%s has no heights to compare with", face)
			continue
		}
		f := open(t, face)
		for _, c := range []struct {
			what string
			got  measure.Length
			want int64
		}{
			{"x", f.XHeight(size), want.x}, {"H", f.CapHeight(size), want.capital}, {"figures", f.FigureHeight(size), want.figure},
			{"ascenders", f.Ascent(size), want.ascent}, {"descenders", f.Descent(size), want.descent},
		} {
			box := measure.Length(c.want) * 10 * measure.Micrometre
			if c.got > box || c.got <= box-10*measure.Micrometre {
				t.Errorf("%s: %s are %d nm, want at most %d and less than a thousandth below", face, c.what, c.got, box)
			}
		}
	}
}

func TestInk(t *testing.T) {
	f := open(t, font.SansCondensed)
	for _, tt := range []struct {
		text         string
		above, below measure.Length // in thousandths of the em
	}{
		{"", 0, 0}, {" ", 0, 0}, {"x", 537, 0}, {"H", 714, 0}, {"o", 547, 10}, {"Å", 872, 0}, {"xg", 547, 240}, {"Hp", 714, 240},
	} {
		if above, below := f.Ink(tt.text, 1000); above != tt.above || below != tt.below {
			t.Errorf("%q reaches %d above and %d below, want %d and %d", tt.text, above, below, tt.above, tt.below)
		}
	}
}

func TestSizes(t *testing.T) {
	f := open(t, font.SansCondensed)
	for _, tt := range []struct {
		name string
		size measure.Length
		want int // tenths of a point: height · 72 / 25.4 / 0.537 or 0.714, rounded up
	}{
		{"x of 1.2 mm", f.SizeForX(measure.MM(1.2)), 64},
		{"x of 1/16 inch", f.SizeForX(measure.Inch / 16), 84},
		{"x of 1/8 inch", f.SizeForX(measure.Inch / 8), 168},
		{"H of 1/16 inch", f.SizeForCap(measure.Inch / 16), 64},
		{"figures of 4 mm", f.SizeForFigure(measure.MM(4)), 159},
		{"figures of 2 mm", f.SizeForFigure(measure.MM(2)), 80},
		{"nought", f.SizeForX(0), 0},
		{"less than nought", f.SizeForX(-1), 0},
	} {
		if tt.size != font.Tenths(tt.want) {
			t.Errorf("%s: %.4f pt, want %.1f", tt.name, font.Points(tt.size), float64(tt.want)/10)
		}
	}
}

// A size reaches the height, and the tenth of a point below it does not.
func TestSizesAreTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, err := font.Open(rapid.SampledFrom(font.Faces()).Draw(t, "face"))
		if err != nil {
			t.Fatal(err)
		}
		height := measure.Length(rapid.Int64Range(1, int64(measure.Inch)*10).Draw(t, "height"))
		for _, c := range []struct {
			what    string
			size    func(measure.Length) measure.Length
			measure func(measure.Length) measure.Length
		}{{"x", f.SizeForX, f.XHeight}, {"H", f.SizeForCap, f.CapHeight}, {"figure", f.SizeForFigure, f.FigureHeight}} {
			size := c.size(height)
			tenths := int(font.Points(size)*10 + 0.5)
			if size != font.Tenths(tenths) {
				t.Errorf("%s of %d nm: %d nm is not a whole tenth of a point", c.what, height, size)
			}
			if got := c.measure(size); got < height {
				t.Errorf("%s of %d nm: at %d nm it is %d high", c.what, height, size, got)
			}
			if got := c.measure(font.Tenths(tenths - 1)); tenths > 1 && got >= height {
				t.Errorf("%s of %d nm: a tenth of a point less would do (%d)", c.what, height, got)
			}
		}
	})
}

func TestTenthsAreNearest(t *testing.T) {
	for _, n := range []int{1, 63, 84, 168, 720, 10_000} {
		exact := big.NewRat(int64(n)*int64(measure.Inch), 720)
		off := new(big.Rat).Sub(exact, new(big.Rat).SetInt64(int64(font.Tenths(n))))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
			t.Errorf("%d tenths of a point are %d nm, %s nm off", n, font.Tenths(n), off.FloatString(3))
		}
	}
}

func TestKerning(t *testing.T) {
	for _, face := range font.Faces() {
		f := open(t, face)
		if apart := f.Width("A", measure.Inch) + f.Width("V", measure.Inch); f.Width("AV", measure.Inch) >= apart {
			t.Errorf("%s does not kern AV", face)
		}
	}
}

// The net weight of a band, set by a browser in the same face, is 43.3 mm long.
func TestWidthAgreesWithABrowser(t *testing.T) {
	got := open(t, font.SansExtraCondensed).Width("Net Wt 4.2 oz (119 g)", font.Tenths(168))
	if want := measure.MM(43.3); got < want-measure.MM(0.1) || got > want+measure.MM(0.1) {
		t.Errorf("it is %.3f mm wide, want 43.3", got.Millimetres())
	}
}

func TestAdvancesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, err := font.Open(rapid.SampledFrom(font.Faces()).Draw(t, "face"))
		if err != nil {
			t.Fatal(err)
		}
		s := rapid.StringOf(rapid.RuneFrom([]rune("AVToyr., fijxyzŻółć0123("))).Draw(t, "text")
		size := measure.Length(rapid.Int64Range(1, int64(measure.Inch)).Draw(t, "size"))
		advances := f.Advances(s, size)
		if len(advances) != utf8.RuneCountInString(s) {
			t.Fatalf("%d advances for %q", len(advances), s)
		}
		var sum measure.Length
		for i, a := range advances {
			sum += a
			// No position is more than half a nanometre from the exact one.
			head := string([]rune(s)[:i+1])
			units := f.Units(head)
			if rest := []rune(s)[i+1:]; len(rest) > 0 {
				units += f.Kern([]rune(s)[i], rest[0])
			}
			exact := big.NewRat(units*int64(size), f.UnitsPerEm())
			off := exact.Sub(exact, new(big.Rat).SetInt64(int64(sum)))
			if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
				t.Fatalf("after %q the pen is %s nm off", head, off.FloatString(3))
			}
		}
		if sum != f.Width(s, size) {
			t.Errorf("the advances of %q add up to %d, the width is %d", s, sum, f.Width(s, size))
		}
	})
}

var checkTests = []struct {
	name, text string
	want       []font.Fault
}{
	{"plain", "Sodium Olivate, Aqua (5 %) ℮ 100 g", nil},
	{"Polish, Turkish, Romanian", "Żółć ğİşŁ ȘȚ", nil},
	{"Greek and Cyrillic", "Ελαιόλαδο мыло", nil},
	{"no-break space", "4 oz\u00a0net", nil},
	{"not in the font", "a☃b", []font.Fault{{At: 1, Rune: '☃', Why: font.Missing}}},
	{"beyond the plane", "é🧼", []font.Fault{{At: 1, Rune: '🧼', Why: font.Beyond}}},
	{"stray byte", "é\xffx", []font.Fault{{At: 1, Rune: utf8.RuneError, Why: font.NotText}}},
	{"cut off", "x\xc3", []font.Fault{{At: 1, Rune: utf8.RuneError, Why: font.NotText}}},
	{"loose accent", "x\u0304", []font.Fault{{At: 1, Rune: 0x304, Why: font.Combining}}},
	{"line feed", "a\nb", []font.Fault{{At: 1, Rune: '\n', Why: font.Control}}},
	{"soft hyphen", "a\u00adb", []font.Fault{{At: 1, Rune: 0xAD, Why: font.Control}}},
	{"turned direction", "a\u202eb", []font.Fault{{At: 1, Rune: 0x202E, Why: font.Control}}},
	{"Hebrew", "סבון"[:2], []font.Fault{{At: 0, Rune: 'ס', Why: font.Missing}}},
	{"several", "\t☃", []font.Fault{{At: 0, Rune: '\t', Why: font.Control}, {At: 1, Rune: '☃', Why: font.Missing}}},
	{"nothing", "", nil},
}

func TestCheck(t *testing.T) {
	f := open(t, font.SansCondensed)
	for _, tt := range checkTests {
		got := f.Check(tt.text)
		if len(got) != len(tt.want) {
			t.Errorf("%s: %q has the faults %v, want %v", tt.name, tt.text, got, tt.want)
			continue
		}
		for i := range got {
			if got[i] != tt.want[i] {
				t.Errorf("%s: fault %d of %q is %v, want %v", tt.name, i, tt.text, got[i], tt.want[i])
			}
		}
	}
}

func TestNormalise(t *testing.T) {
	f := open(t, font.SansCondensed)
	loose := "Z\u0307o\u0301l"
	if faults := f.Check(loose); len(faults) != 2 {
		t.Errorf("loose accents have the faults %v, want two", faults)
	}
	if got := font.Normalise(loose); got != "Żól" || f.Check(got) != nil {
		t.Errorf("%q becomes %q with faults %v", loose, got, f.Check(got))
	}
}

func TestConcurrentUse(t *testing.T) {
	var wg sync.WaitGroup
	want := open(t, font.SansCondensed).Width("Sodium Olivate", measure.Inch)
	for range 8 {
		wg.Go(func() {
			for _, face := range font.Faces() {
				f, err := font.Open(face)
				if err != nil {
					t.Error(err)
					return
				}
				if got := f.Width("Sodium Olivate", measure.Inch); face == font.SansCondensed && got != want {
					t.Errorf("the width is %d, want %d", got, want)
				}
				f.Ink("Żółć", measure.Inch)
			}
		})
	}
	wg.Wait()
}

func FuzzCheck(f *testing.F) {
	for _, tt := range checkTests {
		f.Add(tt.text)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, face := range font.Faces() {
			opened := open(t, face)
			faults := opened.Check(s)
			for _, fault := range faults {
				if fault.At < 0 || fault.At >= utf8.RuneCountInString(s) || fault.Why == "" {
					t.Errorf("%q: %v lies outside", s, fault)
				}
			}
			if faults == nil && !utf8.ValidString(s) {
				t.Errorf("%q passes and is no text", s)
			}
			if n := len(opened.Advances(s, measure.Inch)); n != utf8.RuneCountInString(s) {
				t.Errorf("%q has %d advances", s, n)
			}
			opened.Ink(s, measure.Inch)
		}
	})
}

func BenchmarkOpen(b *testing.B) {
	for b.Loop() {
		f := open(b, font.SansCondensed)
		f.SizeForX(measure.Inch / 16)
	}
}

func BenchmarkAdvances(b *testing.B) {
	f := open(b, font.SansCondensed)
	b.ReportAllocs()
	for b.Loop() {
		f.Advances("Sodium Olivate, Aqua, Sodium Cocoate, Glycerin, Parfum", font.Tenths(84))
	}
}
