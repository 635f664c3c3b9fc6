package text

import (
	"strings"

	"saponym/internal/scene"
)

// A Line is words on one line. The zero Line is empty.
type Line struct {
	Column int    // in which it stands
	Width  Length // from the first letter to the last, a space at the end not counted
	runs   []run
}

// String gives the text of the line.
func (l Line) String() string {
	var b strings.Builder
	for _, r := range l.runs {
		b.WriteString(r.runes)
	}
	return b.String()
}

// An Align says which point of a line is put at a place.
type Align int

// The alignments.
const (
	Left Align = iota
	Centre
	Right
)

// Set puts a line into a scene: one item for each run of one style, in reading
// order. The place is on the baseline, at the left end, the middle or the right
// end of the line.
func (l Line) Set(at scene.Point, align Align) []scene.Item {
	switch align {
	case Centre:
		at.X -= l.Width / 2
	case Right:
		at.X -= l.Width
	}
	items := make([]scene.Item, len(l.runs))
	for i, r := range l.runs {
		items[i] = scene.Item{Mark: r.style.Mark, Text: &scene.Text{
			At: scene.Point{X: at.X + r.x, Y: at.Y}, Face: r.style.Face, Size: r.style.Size, Ink: r.style.Ink,
			Runes: r.runes, Advance: r.advance,
		}}
	}
	return items
}

// Set puts lines below each other, the first one at the place and each next one
// lower by the pitch.
func Set(lines []Line, at scene.Point, pitch Length, align Align) []scene.Item {
	var items []scene.Item
	for _, l := range lines {
		items = append(items, l.Set(at, align)...)
		at.Y += pitch
	}
	return items
}
