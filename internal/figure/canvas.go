package figure

import (
	"math"

	"saponym/internal/scene"
)

// A window is the part of the height of the columns that one page shows.
type window struct{ from, to length }

// A canvas takes what is drawn in the columns and keeps what lies in the window,
// moved to where the columns begin on the page.
type canvas struct {
	window window
	origin length // of the window on the page
	items  []scene.Item
}

func (c *canvas) y(y length) length { return y - c.window.from + c.origin }

// holds reports whether a height lies in the window.
func (c *canvas) holds(y length) bool { return c.window.from <= y && y <= c.window.to }

func (c *canvas) clamp(y length) length { return min(max(y, c.window.from), c.window.to) }

func (c *canvas) put(field string, p *scene.Path) {
	if len(p.Steps) > 0 {
		c.items = append(c.items, scene.Item{Mark: scene.Mark{Field: field}, Path: p})
	}
}

// A span is what something takes up of an upright edge, from the top down.
type span struct{ top, bottom length }

func (s span) thick() length { return s.bottom - s.top }

// around gives a span of a thickness with the same middle.
func (s span) around(thick length) span {
	top := (s.top + s.bottom - thick) / 2
	return span{top, top + thick}
}

// within moves a span into bounds, and cuts it to them if it is thicker.
func (s span) within(bounds span) span {
	thick := min(s.thick(), bounds.thick())
	top := min(max(s.top, bounds.top), bounds.bottom-thick)
	return span{top, top + thick}
}

// A course is the way of ribbons between two gauges: each edge is one cubic curve
// that leaves and arrives level.
type course struct{ from, to length }

// samples is in how many straight pieces a curve goes that crosses the edge of a
// page.
const samples = 64

// at gives the point of an edge at a part of the curve, from 0 to 1.
func (w course) at(t float64, left, right length) scene.Point {
	u := 1 - t
	ease := t * t * (3 - 2*t)
	x := 1.5*t*u + t*t*t // of the width, with both control points in the middle
	return scene.Point{
		X: w.from + length(math.Round(x*float64(w.to-w.from))),
		Y: left + length(math.Round(ease*float64(right-left))),
	}
}

// part gives the part of the curve at which it has come so far from left to right.
func (w course) part(x length) float64 {
	low, high := 0.0, 1.0
	for range 40 {
		if middle := (low + high) / 2; w.at(middle, 0, 0).X < x {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// forth and back add the curve of an edge to a path whose pen is at its start.
func (w course) forth(p *scene.Path, left, right length) {
	middle := (w.from + w.to) / 2
	p.Curve(scene.Point{X: middle, Y: left}, scene.Point{X: middle, Y: right}, scene.Point{X: w.to, Y: right})
}

func (w course) back(p *scene.Path, left, right length) {
	middle := (w.from + w.to) / 2
	p.Curve(scene.Point{X: middle, Y: right}, scene.Point{X: middle, Y: left}, scene.Point{X: w.from, Y: left})
}

// band draws the field between two spans.
func (c *canvas) band(field string, w course, left, right span, fill scene.Ink) {
	p := &scene.Path{Fill: fill}
	switch {
	case c.holds(left.top) && c.holds(left.bottom) && c.holds(right.top) && c.holds(right.bottom):
		p.Move(w.from, c.y(left.top))
		w.forth(p, c.y(left.top), c.y(right.top))
		p.Line(w.to, c.y(right.bottom))
		w.back(p, c.y(left.bottom), c.y(right.bottom))
		p.Close()
	case max(left.bottom, right.bottom) > c.window.from && min(left.top, right.top) < c.window.to:
		c.shown(p, w, left, right)
	}
	c.put(field, p)
}

// shown adds those parts of a band that lie in the window.
func (c *canvas) shown(p *scene.Path, w course, left, right span) {
	var upper, lower [samples + 1]scene.Point
	for i := range upper {
		t := float64(i) / samples
		upper[i], lower[i] = w.at(t, left.top, right.top), w.at(t, left.bottom, right.bottom)
		upper[i].Y, lower[i].Y = c.clamp(upper[i].Y), c.clamp(lower[i].Y)
	}
	open := func(i int) bool { return 0 <= i && i <= samples && upper[i].Y < lower[i].Y }
	for start := 0; start <= samples; start++ {
		if !open(start) {
			continue
		}
		end := start
		for open(end + 1) {
			end++
		}
		// A part that ends at the edge of the window ends in a corner there.
		from, to := max(start-1, 0), min(end+1, samples)
		p.Move(upper[from].X, c.y(upper[from].Y))
		for _, at := range upper[from+1 : to+1] {
			p.Line(at.X, c.y(at.Y))
		}
		for i := to; i >= from; i-- {
			p.Line(lower[i].X, c.y(lower[i].Y))
		}
		p.Close()
		start = end
	}
}

// edge draws one curve with the stroke of a path.
func (c *canvas) edge(field string, w course, left, right length, stroke scene.Path) {
	p := &stroke
	if c.holds(left) && c.holds(right) {
		p.Move(w.from, c.y(left))
		w.forth(p, c.y(left), c.y(right))
		c.put(field, p)
		return
	}
	before := w.at(0, left, right)
	for i := 1; i <= samples; i++ {
		at := w.at(float64(i)/samples, left, right)
		if a, b, ok := c.cut(before, at); ok {
			if n := len(p.Steps); n == 0 || p.Steps[n-1].P[0] != (scene.Point{X: a.X, Y: c.y(a.Y)}) {
				p.Move(a.X, c.y(a.Y))
			}
			p.Line(b.X, c.y(b.Y))
		}
		before = at
	}
	c.put(field, p)
}

// cut gives the part of a straight line that lies in the window.
func (c *canvas) cut(a, b scene.Point) (from, to scene.Point, ok bool) {
	if max(a.Y, b.Y) < c.window.from || min(a.Y, b.Y) > c.window.to {
		return a, b, false
	}
	on := func(p scene.Point) scene.Point {
		y := c.clamp(p.Y)
		if y == p.Y {
			return p
		}
		part := float64(y-a.Y) / float64(b.Y-a.Y)
		return scene.Point{X: a.X + length(math.Round(part*float64(b.X-a.X))), Y: y}
	}
	return on(a), on(b), true
}

// hatchStep is how far apart the lines of a hatch stand.
const hatchStep = 9 * mm / 10

// hatch draws slanting lines from a lower edge to an upper one, at 45 degrees where
// the edges run level.
func (c *canvas) hatch(field string, w course, a, b [2]length, stroke scene.Path) {
	p := &stroke
	thick := func(side int) length { return max(b[side]-a[side], a[side]-b[side]) }
	across := func(side int, part length) length {
		return a[side] + length(float64(b[side]-a[side])*float64(part)/float64(max(thick(side), 1)))
	}
	for x := w.from + hatchStep/2 - thick(0)/hatchStep*hatchStep; x < w.to; x += hatchStep {
		var start, end scene.Point
		reach := thick(0)
		if x < w.from { // it begins at the gauge
			start = scene.Point{X: w.from, Y: across(0, w.from-x)}
		} else {
			t := w.part(x)
			start = w.at(t, a[0], a[1])
			over := w.at(t, b[0], b[1]).Y - start.Y
			reach = max(over, -over)
		}
		if x+reach > w.to { // it ends at the gauge
			end = scene.Point{X: w.to, Y: across(1, min(w.to-x, thick(1)))}
		} else {
			end = w.at(w.part(x+reach), b[0], b[1])
		}
		if c.holds(start.Y) && c.holds(end.Y) && start.X < end.X {
			p.Move(start.X, c.y(start.Y)).Line(end.X, c.y(end.Y))
		}
	}
	c.put(field, p)
}

// rectangle draws an upright rectangle of the columns.
func (c *canvas) rectangle(field string, r scene.Rect, style scene.Path) {
	if top, bottom := c.clamp(r.Y), c.clamp(r.Bottom()); bottom > top {
		p := &style
		c.put(field, p.Rectangle(scene.Rect{X: r.X, Y: c.y(top), W: r.W, H: bottom - top}))
	}
}

// line draws a straight line that is upright or level.
func (c *canvas) line(field string, a, b scene.Point, stroke scene.Path) {
	if a.Y == b.Y && !c.holds(a.Y) || max(a.Y, b.Y) < c.window.from || min(a.Y, b.Y) > c.window.to {
		return
	}
	p := &stroke
	c.put(field, p.Move(a.X, c.y(c.clamp(a.Y))).Line(b.X, c.y(c.clamp(b.Y))))
}

// slants fills an upright rectangle with lines that rise to the right at 45
// degrees.
func (c *canvas) slants(field string, r scene.Rect, stroke scene.Path) {
	p := &stroke
	for y := r.Y + hatchStep; y < r.Bottom()+r.W; y += hatchStep {
		// From (r.X, y) up to (r.Right(), y-r.W), less what lies outside.
		from := scene.Point{X: r.X, Y: y}
		if over := y - r.Bottom(); over > 0 {
			from = scene.Point{X: r.X + over, Y: r.Bottom()}
		}
		to := scene.Point{X: r.Right(), Y: y - r.W}
		if over := r.Y - to.Y; over > 0 {
			to = scene.Point{X: r.Right() - over, Y: r.Y}
		}
		if from.X < to.X && c.holds(from.Y) && c.holds(to.Y) {
			p.Move(from.X, c.y(from.Y)).Line(to.X, c.y(to.Y))
		}
	}
	c.put(field, p)
}
