package scene

import "math"

// kappa is the length of the control arms, in radii, with which a cubic curve
// comes closest to a quarter of a circle.
const kappa = 0.5522847498307936

// Move starts a new part of the path.
func (p *Path) Move(x, y Length) *Path { return p.step(MoveTo, Point{x, y}) }

// Line draws a straight line.
func (p *Path) Line(x, y Length) *Path { return p.step(LineTo, Point{x, y}) }

// Curve draws a cubic curve with two control points.
func (p *Path) Curve(a, b, end Point) *Path { return p.step(CurveTo, a, b, end) }

// Close draws a straight line back to the start of the part.
func (p *Path) Close() *Path { return p.step(Close) }

// Rectangle adds a closed rectangle.
func (p *Path) Rectangle(r Rect) *Path {
	return p.Move(r.X, r.Y).Line(r.Right(), r.Y).Line(r.Right(), r.Bottom()).Line(r.X, r.Bottom()).Close()
}

// Circle adds a closed circle.
func (p *Path) Circle(centre Point, radius Length) *Path {
	k := Length(math.Round(kappa * float64(radius)))
	x, y, r := centre.X, centre.Y, radius
	return p.Move(x+r, y).
		Curve(Point{x + r, y + k}, Point{x + k, y + r}, Point{x, y + r}).
		Curve(Point{x - k, y + r}, Point{x - r, y + k}, Point{x - r, y}).
		Curve(Point{x - r, y - k}, Point{x - k, y - r}, Point{x, y - r}).
		Curve(Point{x + k, y - r}, Point{x + r, y - k}, Point{x + r, y}).
		Close()
}

func (p *Path) step(v Verb, points ...Point) *Path {
	s := Step{Verb: v}
	copy(s.P[:], points)
	p.Steps = append(p.Steps, s)
	return p
}
