// Package scene describes drawn labels and pages: where each letter and each
// line stands, in whole nanometres, without saying how it gets onto paper or a
// screen. Layout makes scenes; the back ends draw them and decide no position,
// so what the screen shows is what prints.
//
// The origin is the top left corner; x runs right and y runs down. Items stand
// in painting order, which is also the order in which a reader copies them.
package scene

import (
	"fmt"

	"saponym/internal/measure"
)

// A Length is that of package measure.
type Length = measure.Length

// A Size is the extent of a scene or a sheet.
type Size struct{ W, H Length }

// A Point is a place in a scene.
type Point struct{ X, Y Length }

// A Rect is an upright rectangle.
type Rect struct{ X, Y, W, H Length }

// Right and Bottom give the far edges of the rectangle.
func (r Rect) Right() Length { return r.X + r.W }

// Bottom gives the lower edge; see [Rect.Right].
func (r Rect) Bottom() Length { return r.Y + r.H }

// Inset gives the rectangle with d taken off on all four sides.
func (r Rect) Inset(d Length) Rect { return Rect{r.X + d, r.Y + d, r.W - 2*d, r.H - 2*d} }

// A Scene is one label or page. Items may reach past its size, as ornament does
// that is to be cut through; nothing is clipped when it is placed on a sheet.
type Scene struct {
	Size  Size
	Items []Item
}

// Framed gives the same scene with a bare margin around it. The items are copies.
func (s Scene) Framed(margin Length) Scene {
	framed := Scene{Size: Size{s.Size.W + 2*margin, s.Size.H + 2*margin}}
	moved := func(p Point) Point { return Point{p.X + margin, p.Y + margin} }
	for _, item := range s.Items {
		switch {
		case item.Text != nil:
			text := *item.Text
			text.At = moved(text.At)
			item.Text = &text
		case item.Path != nil:
			path := *item.Path
			path.Steps = make([]Step, len(item.Path.Steps))
			for i, step := range item.Path.Steps {
				for k := range step.Verb.Points() {
					step.P[k] = moved(step.P[k])
				}
				path.Steps[i] = step
			}
			item.Path = &path
		case item.Image != nil:
			image := *item.Image
			image.At.X, image.At.Y = image.At.X+margin, image.At.Y+margin
			item.Image = &image
		}
		framed.Items = append(framed.Items, item)
	}
	return framed
}

// An Item is one thing drawn: exactly one of Text, Path and Image is set.
type Item struct {
	Mark  Mark
	Text  *Text
	Path  *Path
	Image *Image
}

// A Mark says what an item is for: the duty it serves ("net-quantity"), and
// where its words come from ("cuts.bar.claim"). Ornament has neither.
type Mark struct{ Duty, Field string }

// A Quarter is a turn in steps of 90 degrees, clockwise as the eye sees it.
type Quarter int

// A Face is the id of a typeface in package font, such as "noto-sans-condensed".
type Face string

// A Text is one run of characters in one face and size. At is the start of its
// baseline.
type Text struct {
	At      Point
	Turn    Quarter
	Face    Face
	Size    Length // of the em
	Ink     Ink
	Runes   string   // as a reader copies it
	Advance []Length // one a rune, kerning included; both back ends obey it
}

// Width gives the length of the run along its baseline.
func (t *Text) Width() Length {
	var w Length
	for _, a := range t.Advance {
		w += a
	}
	return w
}

// An Ink is a colour as sRGB, or no colour. The zero Ink draws nothing.
type Ink struct {
	R, G, B uint8
	On      bool
}

// Black is the one ink that every printer has.
var Black = Ink{On: true}

// RGB gives the ink of an sRGB value written as 0x17382F.
func RGB(hex uint32) Ink {
	return Ink{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), true}
}

// Hex gives the ink as #17382f, or "none".
func (i Ink) Hex() string {
	if !i.On {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", i.R, i.G, i.B)
}

// A Path is a shape that is filled, stroked or both. Where it crosses itself
// the non-zero winding rule says what is inside, or the even-odd rule if EvenOdd.
type Path struct {
	Steps   []Step
	Fill    Ink
	EvenOdd bool
	Stroke  Ink
	Width   Length   // of the stroke
	Dash    []Length // lengths of stroke and gap in turn; none for a full line
	Round   bool     // round caps and joins instead of butt caps and mitred joins
}

// A Verb is what a step of a path does.
type Verb byte

// The verbs, and the points that each uses of its step.
const (
	MoveTo  Verb = 'M' // P[0]
	LineTo  Verb = 'L' // P[0]
	CurveTo Verb = 'C' // a cubic curve with the control points P[0] and P[1], to P[2]
	Close   Verb = 'Z' // none
)

// A Step is one move, line, curve or close of a path.
type Step struct {
	Verb Verb
	P    [3]Point
}

// An Image is a picture, as the bytes of a PNG or JPEG file.
type Image struct {
	At     Rect
	Format string // "png" or "jpeg"
	Data   []byte
}

// An Affine turns and shifts a scene onto a page:
//
//	x' = A·x + C·y + E
//	y' = B·x + D·y + F
type Affine struct {
	A, B, C, D float64
	E, F       Length
}

// Shift is the Affine that only moves.
func Shift(to Point) Affine { return Affine{A: 1, D: 1, E: to.X, F: to.Y} }

// A Sheet is paper of one size with scenes placed on its pages. A scene may be
// placed many times; a back end that can draws it once and refers to it.
type Sheet struct {
	Size   Size
	Scenes []Scene
	Places []Place
}

// A Place puts one scene of the sheet on one page. Pages count from 0.
type Place struct {
	Scene int // index into Sheet.Scenes
	Page  int
	At    Affine
}

// Pages counts the pages of the sheet.
func (s *Sheet) Pages() int {
	pages := 0
	for _, p := range s.Places {
		pages = max(pages, p.Page+1)
	}
	return pages
}
