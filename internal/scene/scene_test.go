package scene_test

import (
	"math"
	"reflect"
	"testing"

	"saponym/internal/measure"
	"saponym/internal/scene"
)

var mm = measure.MM

func TestString(t *testing.T) {
	line := &scene.Path{Stroke: scene.Black, Width: mm(0.35), Dash: []scene.Length{mm(1), mm(0.5)}, Round: true}
	line.Move(0, mm(1)).Curve(scene.Point{X: mm(1)}, scene.Point{X: mm(2)}, scene.Point{X: mm(3), Y: mm(4)}).Close()
	fill := &scene.Path{Fill: scene.RGB(0xBC5114), EvenOdd: true}
	s := scene.Scene{Size: scene.Size{W: mm(173), H: mm(52)}, Items: []scene.Item{
		{
			Mark: scene.Mark{Duty: "net-quantity", Field: "cuts.bar.claim"},
			Text: &scene.Text{At: scene.Point{X: mm(55.2), Y: mm(46.6)}, Face: "noto-sans-extracondensed", Size: mm(5.927),
				Ink: scene.RGB(0x27306B), Runes: "4 oz", Advance: []scene.Length{mm(2), mm(1), mm(2), mm(2.5)}},
		},
		{Text: &scene.Text{Face: "yrsa-bold", Size: mm(3), Ink: scene.Black, Turn: 3}},
		{Path: line},
		{Path: fill.Rectangle(scene.Rect{X: mm(1), Y: mm(2), W: mm(3), H: mm(4)})},
		{Image: &scene.Image{At: scene.Rect{X: mm(1), Y: mm(2), W: mm(3), H: mm(4)}, Format: "png", Data: make([]byte, 17)}},
	}}
	const want = `scene 173.000 x 52.000
text 55.200 46.600 noto-sans-extracondensed 5.927 #27306b "4 oz" wide 7.500 [net-quantity cuts.bar.claim]
text 0.000 0.000 yrsa-bold 3.000 #000000 "" wide 0.000 turn 270
path stroke #000000 0.350 dash 1.000 dash 0.500 round M 0.000 1.000 C 1.000 0.000 2.000 0.000 3.000 4.000 Z
path fill #bc5114 even-odd M 1.000 2.000 L 4.000 2.000 L 4.000 6.000 L 1.000 6.000 Z
image 1.000 2.000 3.000 x 4.000 png of 17 bytes
`
	if got := s.String(); got != want {
		t.Errorf("the scene reads\n%s\nwant\n%s", got, want)
	}
}

// Halfway along each of its curves, a circle of cubic curves is at its radius.
func TestCircle(t *testing.T) {
	centre, radius := scene.Point{X: mm(10), Y: mm(20)}, mm(5)
	c := new(scene.Path).Circle(centre, radius)
	pen, curves := scene.Point{}, 0
	for _, s := range c.Steps {
		switch s.Verb {
		case scene.MoveTo:
			pen = s.P[0]
		case scene.CurveTo:
			for i := range 11 {
				at := float64(i) / 10
				x, y := along(at, pen.X, s.P[0].X, s.P[1].X, s.P[2].X), along(at, pen.Y, s.P[0].Y, s.P[1].Y, s.P[2].Y)
				off := math.Hypot(x-float64(centre.X), y-float64(centre.Y))/float64(radius) - 1
				if math.Abs(off) > 0.0003 { // the published error of this curve is 0.000273
					t.Errorf("curve %d is %g of its radius off at %.1f", curves, off, at)
				}
			}
			pen = s.P[2]
			curves++
		}
	}
	if curves != 4 {
		t.Errorf("the circle has %d curves, want 4", curves)
	}
}

func along(t float64, a, b, c, d scene.Length) float64 {
	u := 1 - t
	return u*u*u*float64(a) + 3*u*u*t*float64(b) + 3*u*t*t*float64(c) + t*t*t*float64(d)
}

func TestPages(t *testing.T) {
	for _, tt := range []struct {
		name   string
		places []scene.Place
		want   int
	}{{"none", nil, 0}, {"one", []scene.Place{{}}, 1}, {"out of order", []scene.Place{{Page: 2}, {Page: 0}}, 3}} {
		if got := (&scene.Sheet{Places: tt.places}).Pages(); got != tt.want {
			t.Errorf("%s: %d pages, want %d", tt.name, got, tt.want)
		}
	}
}

func TestRect(t *testing.T) {
	r := scene.Rect{X: 1, Y: 2, W: 10, H: 20}
	if r.Right() != 11 || r.Bottom() != 22 || r.Inset(3) != (scene.Rect{X: 4, Y: 5, W: 4, H: 14}) {
		t.Errorf("right %d, bottom %d, inset %v", r.Right(), r.Bottom(), r.Inset(3))
	}
}

func TestInk(t *testing.T) {
	for _, tt := range []struct {
		ink  scene.Ink
		want string
	}{{scene.Ink{}, "none"}, {scene.Black, "#000000"}, {scene.RGB(0x0A17FF), "#0a17ff"}} {
		if got := tt.ink.Hex(); got != tt.want {
			t.Errorf("%v is %q, want %q", tt.ink, got, tt.want)
		}
	}
}

// A margin moves everything and changes nothing else, and leaves the scene as it was.
func TestFramed(t *testing.T) {
	bare := scene.Scene{Size: scene.Size{W: 10, H: 20}, Items: []scene.Item{
		{Mark: scene.Mark{Duty: "name"}, Text: &scene.Text{At: scene.Point{X: 1, Y: 2}, Runes: "a", Advance: []scene.Length{3}}},
		{Path: (&scene.Path{Fill: scene.Black}).Move(1, 2).Curve(scene.Point{X: 3, Y: 4}, scene.Point{X: 5, Y: 6}, scene.Point{X: 7, Y: 8}).Line(9, 10).Close()},
		{Image: &scene.Image{At: scene.Rect{X: 1, Y: 2, W: 3, H: 4}, Format: "png"}},
	}}
	before := bare.String()
	framed := bare.Framed(100)
	if bare.String() != before {
		t.Errorf("the scene itself has moved:\n%s", bare)
	}
	want := scene.Scene{Size: scene.Size{W: 210, H: 220}, Items: []scene.Item{
		{Mark: scene.Mark{Duty: "name"}, Text: &scene.Text{At: scene.Point{X: 101, Y: 102}, Runes: "a", Advance: []scene.Length{3}}},
		{Path: (&scene.Path{Fill: scene.Black}).Move(101, 102).Curve(scene.Point{X: 103, Y: 104}, scene.Point{X: 105, Y: 106}, scene.Point{X: 107, Y: 108}).Line(109, 110).Close()},
		{Image: &scene.Image{At: scene.Rect{X: 101, Y: 102, W: 3, H: 4}, Format: "png"}},
	}}
	if !reflect.DeepEqual(framed, want) {
		t.Errorf("%+v, want %+v", framed, want)
	}
}
