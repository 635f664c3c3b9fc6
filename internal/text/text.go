// Package text breaks words into lines and measures them.
//
// It takes words with their style, says where a line may end and what each such
// end costs, and gives lines with the place of every letter, ready to stand in
// a scene. All the lines of a paragraph are chosen together, so that a bad line
// is not paid for by the ones after it. Nothing is ever squeezed or cut off:
// what does not fit is an error that says how much is missing. Which words, in
// which size and how much room there is, others decide.
package text

import (
	"fmt"
	"strings"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// A Length is that of package measure.
type Length = scene.Length

// A Style is how words are set, and what they are for.
type Style struct {
	Face scene.Face
	Size Length // of the em
	Ink  scene.Ink
	Mark scene.Mark
}

// A Cost says how bad a place is for the end of a line, in square millimetres
// of slack: a line that is s mm short costs s², so a place of cost 14 is taken
// when that saves more than a single gap of 3.7 mm.
type Cost float64

// Two costs have a name.
const (
	Free  Cost = 0
	Never Cost = -1 // a line cannot end here
)

// A Word is a piece of text that is never broken, with what may happen after it.
type Word struct {
	Text  string
	Style Style
	Space bool // a space follows, unless the line ends here
	Break Cost // of ending a line here; what the last word says does not matter
}

// largestSize is how large text may be; it keeps products of lengths in 64 bits.
const largestSize = 1000 * measure.Millimetre

// A CharacterError says that a word cannot be set in its face.
type CharacterError struct {
	Text   string
	Face   scene.Face
	Faults []font.Fault
}

func (e *CharacterError) Error() string {
	var faults []string
	for _, f := range e.Faults {
		faults = append(faults, f.String())
	}
	return fmt.Sprintf("%q cannot be set in %s: %s", e.Text, e.Face, strings.Join(faults, ", "))
}

// A SizeError says that the size of a style is not one that can be set.
type SizeError struct {
	Text string
	Size Length
}

func (e *SizeError) Error() string {
	return fmt.Sprintf("%q has a size of %g mm; it must be above 0 and at most 1000 mm", e.Text, e.Size.Millimetres())
}

// A WideError says that words which must stay together are wider than a line.
type WideError struct {
	Text    string
	Width   Length // of the words
	Room    Length // that the line has
	Missing Length
}

func (e *WideError) Error() string {
	return fmt.Sprintf("%q is %.2f mm wide, %.2f mm more than the line of %.2f mm",
		e.Text, e.Width.Millimetres(), e.Missing.Millimetres(), e.Room.Millimetres())
}

// A LongError says that the columns have too few lines.
type LongError struct {
	Lines int // that the words need, if the last column could go on
	Room  int // lines that there are
}

func (e *LongError) Error() string {
	return fmt.Sprintf("the text needs %d lines and there is room for %d", e.Lines, e.Room)
}

// A MuchError says that there are too many words to set at once.
type MuchError struct{ Words int }

func (e *MuchError) Error() string {
	return fmt.Sprintf("%d words are too many to set at once; divide them into paragraphs", e.Words)
}

// Words makes the words of running text. A line may end at each space and each
// line feed; a no-break space keeps its neighbours together.
func Words(s string, style Style) []Word {
	var words []Word
	for _, w := range strings.FieldsFunc(s, breakable) {
		words = append(words, Word{Text: w, Style: style, Space: true, Break: Free})
	}
	return words
}

func breakable(r rune) bool { return r == ' ' || r == '\n' || r == '\t' || r == '\r' }
