package band

import (
	"math"

	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// The panels of a band, along its run from the left cut edge.
const (
	BackA = "back A"
	Side1 = "side 1"
	Front = "front"
	Side2 = "side 2"
	BackB = "back B"
	Tab   = "tab" // glued under back A, without ink
)

// A Panel is the part of a band between two folds, over its whole breadth.
type Panel struct {
	Name  string
	X     measure.Length // of its left edge
	Width measure.Length
}

// Right gives the right edge of the panel.
func (p Panel) Right() measure.Length { return p.X + p.Width }

// A Blank is the paper of a band before anything is printed.
type Blank struct {
	Size   scene.Size
	Panels []Panel          // from left to right; the last is the tab
	Folds  []measure.Length // the x of each edge of the bar
	Seam   measure.Length   // the x at which the left cut edge comes to lie
	Trim   scene.Path       // the outline to cut along, corners of the tab and all
	Below  measure.Length   // of the bar, seen below a band that sits in the middle of it
}

// Panel gives a panel by its name.
func (b Blank) Panel(name string) Panel {
	for _, p := range b.Panels {
		if p.Name == name {
			return p
		}
	}
	return Panel{}
}

// cornerLoss is how much shorter the way round a rounded edge is than round a
// sharp one, in radii: the two sides of the corner less a quarter of a circle.
var cornerLoss = 2 - math.Pi/2

// newBlank makes the paper for a bar. Each panel has the ease for the thickness
// of the paper, and loses half of what each of its two rounded edges saves.
func newBlank(bar label.Bar, paper Paper, breadth measure.Length) Blank {
	change := paper.Ease - measure.Length(math.Round(cornerLoss*float64(paper.Bevel)))
	face, side := bar.Width+change, bar.Height+change
	half := face / 2
	b := Blank{Size: scene.Size{H: breadth}, Below: (bar.Length - breadth) / 2}
	for _, p := range []Panel{{BackA, 0, half}, {Side1, 0, side}, {Front, 0, face}, {Side2, 0, side}, {BackB, 0, face - half}, {Tab, 0, paper.Tab}} {
		p.X = b.Size.W
		b.Panels = append(b.Panels, p)
		b.Size.W = p.Right()
	}
	for _, name := range []string{Side1, Front, Side2, BackB} {
		b.Folds = append(b.Folds, b.Panel(name).X)
	}
	b.Seam = b.Panel(Tab).X
	w, h, c := b.Size.W, b.Size.H, min(paper.TabCorner, paper.Tab, breadth/2)
	b.Trim.Move(0, 0).Line(w-c, 0).Line(w, c).Line(w, h-c).Line(w-c, h).Line(0, h).Close()
	return b
}

// usual gives the breadth that a band has for a bar when nothing speaks against
// it, and the most that it may have. Both are whole steps.
func (b Breadth) usual(bar label.Bar) (usual, most measure.Length) {
	whole := func(share measure.Share) measure.Length {
		// Of lengths up to nine metres this product stays within 64 bits.
		l := bar.Length / 1000 * measure.Length(share) / (measure.Length(measure.Whole) / 1000)
		return min(l, bar.Length-2*b.Reveal) / b.Step * b.Step
	}
	return whole(b.Share), whole(b.Most)
}
