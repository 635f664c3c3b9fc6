package pdf

import (
	"bytes"
	"maps"
	"math"
	"slices"

	"github.com/go-pdf/fpdf"

	"saponym/internal/font"
	"saponym/internal/scene"
)

// addFonts registers the faces of a document and the characters that it uses of
// each, so that they are embedded.
func (w *writer) addFonts(doc scene.Document) error {
	used := make(map[scene.Face]map[rune]bool)
	for i := range doc.Sheets {
		for j := range doc.Sheets[i].Scenes {
			for _, item := range doc.Sheets[i].Scenes[j].Items {
				if item.Text == nil {
					continue
				}
				runes := used[item.Text.Face]
				if runes == nil {
					runes = make(map[rune]bool)
					used[item.Text.Face] = runes
				}
				for _, r := range item.Text.Runes {
					runes[r] = true
				}
			}
		}
	}
	for _, face := range slices.Sorted(maps.Keys(used)) {
		f, err := font.Open(face)
		if err != nil {
			return err
		}
		w.out.AddUTF8FontFromBytes(string(face), "", f.Bytes())
		// fpdf notes characters while it writes them. It writes them here into a
		// form that is used nowhere and so never reaches the file; the notes of
		// a form are those of its document.
		w.out.CreateTemplateCustom(fpdf.PointType{}, fpdf.SizeType{Wd: 1, Ht: 1}, func(t *fpdf.Tpl) {
			t.SetFont(string(face), "", 1)
			t.Text(0, 0, string(slices.Sorted(maps.Keys(used[face]))))
		})
	}
	return w.out.Error()
}

// A canvas is what a scene is drawn on: a page or a form.
type canvas struct {
	out  *fpdf.Fpdf
	ops  []byte // not yet handed to out
	dx   float64
	top  float64 // where the top edge of the scene lies, y running up
	face scene.Face
	fill scene.Ink
	line scene.Ink
}

// draw writes the operators of a scene, with its top left corner at a point.
func (w *writer) draw(out *fpdf.Fpdf, s *scene.Scene, x, top float64) {
	c := &canvas{out: out, dx: x, top: top, fill: scene.Black, line: scene.Black}
	for _, item := range s.Items {
		switch {
		case item.Text != nil:
			c.text(item.Text)
		case item.Path != nil:
			c.path(item.Path)
		case item.Image != nil:
			c.image(item.Image, w.pictures[string(item.Image.Data)])
		}
	}
	c.flush()
}

// flush hands over what is written, so that fpdf can write after it.
func (c *canvas) flush() {
	if len(c.ops) > 0 {
		c.out.RawWriteBuf(bytes.NewReader(c.ops))
		c.ops = c.ops[:0]
	}
}

func (c *canvas) op(name string) { c.ops = append(append(c.ops, name...), '\n') }

func (c *canvas) number(v float64) { c.ops = appendNumber(c.ops, v, decimals) }

func (c *canvas) point(p scene.Point) {
	c.number(c.dx + points(p.X))
	c.number(c.top - points(p.Y))
}

func (c *canvas) colour(ink scene.Ink, grey, rgb string) {
	part := func(v uint8) { c.ops = appendNumber(c.ops, float64(v)/255, 3) }
	if part(ink.R); ink.R == ink.G && ink.G == ink.B {
		c.op(grey)
		return
	}
	part(ink.G)
	part(ink.B)
	c.op(rgb)
}

func (c *canvas) fillWith(ink scene.Ink) {
	if c.fill != ink {
		c.colour(ink, "g", "rg")
		c.fill = ink
	}
}

func (c *canvas) strokeWith(ink scene.Ink) {
	if c.line != ink {
		c.colour(ink, "G", "RG")
		c.line = ink
	}
}

// text writes a run. The font is selected at one point and the text matrix does
// the rest, because fpdf would round the size to a hundredth of a point.
func (c *canvas) text(t *scene.Text) {
	if !t.Ink.On || t.Runes == "" {
		return
	}
	f, err := font.Open(t.Face)
	if err != nil {
		c.out.SetError(err)
		return
	}
	if c.face != t.Face {
		c.flush()
		c.out.SetFont(string(t.Face), "", 1)
		c.face = t.Face
	}
	c.fillWith(t.Ink)
	size := points(t.Size)
	cos, sin := quarter(t.Turn)
	c.ops = append(c.ops, "BT "...)
	c.number(size * cos)
	c.number(-size * sin)
	c.number(size * sin)
	c.number(size * cos)
	c.point(t.At)
	c.op("Tm")
	c.show(t, f)
	c.op("ET")
}

// quarter gives cosine and sine of a turn clockwise.
func quarter(turn scene.Quarter) (cos, sin float64) {
	switch (turn%4 + 4) % 4 {
	case 1:
		return 0, 1
	case 2:
		return -1, 0
	case 3:
		return 0, -1
	}
	return 1, 0
}

// show writes the characters with the corrections between them, in thousandths
// of the em. A reader moves on by the widths that fpdf writes, which are whole
// thousandths; what is missing from them to the place that the scene says is
// corrected once it is more than a hundredth, so errors never add up.
func (c *canvas) show(t *scene.Text, f *font.Font) {
	const hex = "0123456789ABCDEF"
	c.ops = append(c.ops, "[<"...)
	var want scene.Length
	var at float64
	i := 0
	for _, r := range t.Runes {
		if i > 0 {
			want += t.Advance[i-1]
			if gap := at - float64(want)/float64(t.Size)*1000; math.Abs(gap) > 0.01 {
				c.ops = append(c.ops, '>')
				c.ops = appendNumber(c.ops, gap, 2)
				c.ops[len(c.ops)-1] = '<'
				at -= math.Round(gap*100) / 100
			}
		}
		c.ops = append(c.ops, hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
		at += math.Round(float64(f.Advance(r)) * 1000 / float64(f.UnitsPerEm()))
		i++
	}
	c.op(">] TJ")
}

// path writes a shape.
func (c *canvas) path(p *scene.Path) {
	stroked := p.Stroke.On && p.Width > 0
	if !p.Fill.On && !stroked || len(p.Steps) == 0 {
		return
	}
	if p.Fill.On {
		c.fillWith(p.Fill)
	}
	special := stroked && (p.Round || len(p.Dash) > 0)
	if stroked {
		c.strokeWith(p.Stroke)
		if special {
			c.op("q")
		}
		c.number(points(p.Width))
		c.op("w")
	}
	if special && p.Round {
		c.op("1 J 1 j")
	}
	if special && len(p.Dash) > 0 {
		c.ops = append(c.ops, '[')
		for _, d := range p.Dash {
			c.number(points(d))
		}
		c.op("] 0 d")
	}
	for _, s := range p.Steps {
		for _, point := range s.P[:s.Verb.Points()] {
			c.point(point)
		}
		c.op(operators[s.Verb])
	}
	c.op(painter(p, stroked))
	if special {
		c.op("Q")
	}
}

var operators = map[scene.Verb]string{scene.MoveTo: "m", scene.LineTo: "l", scene.CurveTo: "c", scene.Close: "h"}

func painter(p *scene.Path, stroked bool) string {
	switch {
	case !p.Fill.On:
		return "S"
	case stroked && p.EvenOdd:
		return "B*"
	case stroked:
		return "B"
	case p.EvenOdd:
		return "f*"
	}
	return "f"
}

// bounds gives a rectangle that holds the scene and all that it draws.
func bounds(s *scene.Scene) scene.Rect {
	left, top, right, bottom := scene.Length(0), scene.Length(0), s.Size.W, s.Size.H
	reach := func(p scene.Point, by scene.Length) {
		left, top = min(left, p.X-by), min(top, p.Y-by)
		right, bottom = max(right, p.X+by), max(bottom, p.Y+by)
	}
	for _, item := range s.Items {
		switch {
		case item.Text != nil:
			// Twice the em is more than any glyph reaches from its origin.
			t := item.Text
			cos, sin := quarter(t.Turn)
			end := scene.Point{X: t.At.X + scene.Length(cos)*t.Width(), Y: t.At.Y + scene.Length(sin)*t.Width()}
			reach(t.At, 2*t.Size)
			reach(end, 2*t.Size)
		case item.Path != nil:
			// A mitred corner may reach ten times the stroke past its line.
			margin := scene.Length(0)
			if item.Path.Stroke.On {
				margin = 5 * item.Path.Width
			}
			for _, step := range item.Path.Steps {
				for _, p := range step.P[:step.Verb.Points()] {
					reach(p, margin)
				}
			}
		case item.Image != nil:
			r := item.Image.At
			reach(scene.Point{X: r.X, Y: r.Y}, 0)
			reach(scene.Point{X: r.Right(), Y: r.Bottom()}, 0)
		}
	}
	return scene.Rect{X: left, Y: top, W: right - left, H: bottom - top}
}
