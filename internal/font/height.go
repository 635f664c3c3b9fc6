package font

import (
	"fmt"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"saponym/internal/measure"
)

// outlineGrid is the number of steps that a font unit is split into when
// outlines are read, so that a point halfway between two others is exact.
const outlineGrid = 64

// An extent is how far ink reaches above and below the baseline, in steps of
// 1/outlineGrid of a font unit.
type extent struct{ above, below int64 }

func (e extent) height() int64 { return e.above + e.below }

func (e extent) join(other extent) extent {
	return extent{max(e.above, other.above), max(e.below, other.below)}
}

// letters holds the heights that law and layout ask for.
type letters struct {
	x, capital, figure int64 // ink heights
	ascent, descent    int64 // ink above and below the baseline
}

func (f *Font) measureLetters() error {
	var err error
	ink := func(text string) extent {
		var all extent
		for i, r := range text {
			e, failed := f.outline(r)
			if failed != nil && err == nil {
				err = failed
			}
			if i == 0 {
				all = e
			}
			all = all.join(e)
		}
		return all
	}
	f.letter = letters{x: ink("x").height(), capital: ink("H").height(), figure: math.MaxInt64}
	for _, figure := range "0123456789" {
		f.letter.figure = min(f.letter.figure, ink(string(figure)).height())
	}
	f.letter.ascent = ink("bdfhkl").above
	f.letter.descent = ink("gjpqy(").below
	return err
}

// outline gives the extent of a character's ink.
func (f *Font) outline(r rune) (extent, error) {
	var buf sfnt.Buffer
	segments, err := f.parsed.LoadGlyph(&buf, f.glyph(r).index, f.unscaled()*outlineGrid, nil)
	if err != nil {
		return extent{}, fmt.Errorf("reading the outline of %q: %w", r, err)
	}
	if len(segments) == 0 {
		return extent{}, nil
	}
	top, bottom := math.Inf(1), math.Inf(-1) // y runs down in package sfnt
	var pen fixed.Point26_6
	for _, s := range segments {
		ends := s.Args[:1]
		switch s.Op {
		case sfnt.SegmentOpQuadTo:
			ends = s.Args[:2]
			low, high := quadratic(pen.Y, s.Args[0].Y, s.Args[1].Y)
			top, bottom = min(top, low), max(bottom, high)
		case sfnt.SegmentOpCubeTo:
			return extent{}, fmt.Errorf("the outline of %q is not TrueType", r)
		default:
			top, bottom = min(top, float64(ends[0].Y)), max(bottom, float64(ends[0].Y))
		}
		pen = ends[len(ends)-1]
	}
	return extent{above: int64(math.Floor(-top)), below: int64(math.Floor(bottom))}, nil
}

// quadratic gives the least and the greatest value on a quadratic curve. Its
// control point may lie beyond them.
func quadratic(from, control, to fixed.Int26_6) (low, high float64) {
	a, b, c := float64(from), float64(control), float64(to)
	low, high = min(a, c), max(a, c)
	if b < low || b > high {
		t := (a - b) / (a - 2*b + c)
		y := (1-t)*(1-t)*a + 2*t*(1-t)*b + t*t*c
		low, high = min(low, y), max(high, y)
	}
	return low, high
}

// down and up turn an outline height into a length at a size of the em. What a
// law asks for is rounded down and what room must be left for is rounded up.
func (f *Font) down(height int64, size measure.Length) measure.Length {
	return measure.Length(floorDiv(height*int64(size), f.em*outlineGrid))
}

func (f *Font) up(height int64, size measure.Length) measure.Length {
	return -measure.Length(floorDiv(-height*int64(size), f.em*outlineGrid))
}

// XHeight gives the height of the letter x as printed, rounded down. The letter
// o is a little higher, so who asks for the x is safe where a law names the o.
// Like all sizes here, size is that of the em; it must be under 300 m.
func (f *Font) XHeight(size measure.Length) measure.Length { return f.down(f.letter.x, size) }

// CapHeight gives the height of the letter H as printed, rounded down.
func (f *Font) CapHeight(size measure.Length) measure.Length { return f.down(f.letter.capital, size) }

// FigureHeight gives the height of the lowest figure as printed, rounded down.
func (f *Font) FigureHeight(size measure.Length) measure.Length {
	return f.down(f.letter.figure, size)
}

// Ascent gives how far the ink of the lower-case letters with an ascender
// reaches above the baseline, rounded up.
func (f *Font) Ascent(size measure.Length) measure.Length { return f.up(f.letter.ascent, size) }

// Descent gives how far the ink of descenders and of brackets reaches below the
// baseline, rounded up.
func (f *Font) Descent(size measure.Length) measure.Length { return f.up(f.letter.descent, size) }

// Ink gives how far the ink of a text reaches above and below the baseline,
// rounded up. Text without ink, and ink that is all on the other side, gives 0.
func (f *Font) Ink(s string, size measure.Length) (above, below measure.Length) {
	var all extent
	for _, r := range s {
		if e, err := f.outline(r); err == nil {
			all = all.join(e)
		}
	}
	return f.up(all.above, size), f.up(all.below, size)
}

// Tenths gives the size of so many tenths of a point, to the nearest nanometre:
// 84 is 8.4 pt. A point is 1/72 inch.
func Tenths(n int) measure.Length {
	const tenths = 720 // in an inch
	return measure.Length(floorDiv(2*int64(n)*int64(measure.Inch)+tenths, 2*tenths))
}

// Points gives a size in points, for telling it.
func Points(size measure.Length) float64 { return float64(size) * 72 / float64(measure.Inch) }

// tallest is the most that letters are sized for; it keeps products in 64 bits.
const tallest = 100_000 * measure.Millimetre

// SizeForX gives the least size, in whole tenths of a point, at which the letter
// x is at least so high as [Font.XHeight] measures it. Nought gives nought, and
// a height over 100 m is taken as 100 m.
func (f *Font) SizeForX(height measure.Length) measure.Length { return f.sizeFor(f.letter.x, height) }

// SizeForCap is the counterpart of [Font.SizeForX] for the letter H.
func (f *Font) SizeForCap(height measure.Length) measure.Length {
	return f.sizeFor(f.letter.capital, height)
}

// SizeForFigure is the counterpart of [Font.SizeForX] for the lowest figure.
func (f *Font) SizeForFigure(height measure.Length) measure.Length {
	return f.sizeFor(f.letter.figure, height)
}

func (f *Font) sizeFor(letter int64, height measure.Length) measure.Length {
	if height <= 0 {
		return 0
	}
	height = min(height, tallest)
	// The estimate may be off by one for rounding, so the sizes around it are
	// tried with the very measurement that a check makes.
	em := float64(height) * float64(f.em*outlineGrid) / float64(letter)
	n := max(int(em*720/float64(measure.Inch))-1, 1)
	for f.down(letter, Tenths(n)) < height {
		n++
	}
	return Tenths(n)
}
