package font

import (
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"saponym/internal/measure"
)

// A glyph is what the font draws for a character. Index 0 is the empty box that
// stands for whatever the font does not have.
type glyph struct {
	index   sfnt.GlyphIndex
	advance int64 // in font units
}

// glyph looks up the glyph of a character, and remembers it.
func (f *Font) glyph(r rune) glyph {
	if known, ok := f.glyphs.Load(r); ok {
		return known.(glyph)
	}
	var buf sfnt.Buffer
	var g glyph
	if index, err := f.parsed.GlyphIndex(&buf, r); err == nil {
		g.index = index
	}
	if advance, err := f.parsed.GlyphAdvance(&buf, g.index, f.unscaled(), font.HintingNone); err == nil {
		g.advance = int64(advance)
	}
	if r <= lastOfPlane {
		f.glyphs.Store(r, g)
	}
	return g
}

// unscaled is the size at which package sfnt answers in font units.
func (f *Font) unscaled() fixed.Int26_6 { return fixed.Int26_6(f.em) }

// Advance gives how far a character moves the pen, in font units and without
// kerning; see [Font.UnitsPerEm].
func (f *Font) Advance(r rune) int64 { return f.glyph(r).advance }

// UnitsPerEm counts the font units in an em.
func (f *Font) UnitsPerEm() int64 { return f.em }

// Kern gives by how many font units the pen moves more, or less, between two
// characters.
func (f *Font) Kern(left, right rune) int64 {
	var buf sfnt.Buffer
	k, err := f.parsed.Kern(&buf, f.glyph(left).index, f.glyph(right).index, f.unscaled(), font.HintingNone)
	if err != nil { // the pair is not in the table
		return 0
	}
	return int64(k)
}

// Units gives the width of a text in font units, kerning included.
func (f *Font) Units(s string) int64 {
	var units int64
	previous := rune(-1)
	for _, r := range s {
		if previous >= 0 {
			units += f.Kern(previous, r)
		}
		units += f.Advance(r)
		previous = r
	}
	return units
}

// Scale turns font units into a length at a size of the em, to the nearest
// nanometre.
func (f *Font) Scale(units int64, size measure.Length) measure.Length {
	return measure.Length(floorDiv(2*units*int64(size)+f.em, 2*f.em))
}

// Advances gives how far each character of a text moves the pen, the kerning
// before the next one included. Positions are rounded, not steps, so the sum is
// the width of the text to the nanometre, however long it is.
func (f *Font) Advances(s string, size measure.Length) []measure.Length {
	runes := []rune(s)
	advances := make([]measure.Length, len(runes))
	var units int64
	var before measure.Length
	for i, r := range runes {
		units += f.Advance(r)
		if i+1 < len(runes) {
			units += f.Kern(r, runes[i+1])
		}
		after := f.Scale(units, size)
		advances[i] = after - before
		before = after
	}
	return advances
}

// Width gives the length of a text at a size of the em.
func (f *Font) Width(s string, size measure.Length) measure.Length {
	return f.Scale(f.Units(s), size)
}

// floorDiv divides and rounds down, also below nought; b must be positive.
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
