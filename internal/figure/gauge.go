package figure

import (
	"saponym/internal/scene"
	"saponym/internal/trail"
)

// dashes are the strokes of an edge that may move or that is open.
var dashes = []length{mm, 7 * mm / 10}

// drawGauge draws one gauge of a node, on the side where ribbons leave (0) or come
// in (1): solid to what is sure, hatched to what may be, and a line at the figure
// given. Of what has left the bar only the outline stands. On the trail that part is
// yellow which lit ribbons take up, or all where there are none on this side.
func (p *plan) drawGauge(c *canvas, s *slot, side int, x length) {
	g := s.node.Grams
	if g.High == 0 {
		return
	}
	level := func(grams float64) length { return s.zero() - p.thick(grams) }
	part := func(top, bottom length) scene.Rect { return scene.Rect{X: x, Y: top, W: gaugeWidth, H: bottom - top} }
	edge, lines := body, rule
	if s.node.Lit {
		edge, lines = weldEdge, weldEdge
	}
	open := scene.Path{Stroke: edge, Width: 200 * um, Dash: dashes}
	if p.thick(g.High) < thinnest {
		middle := s.centre()
		line := scene.Path{Stroke: edge, Width: 2 * thinnest}
		if unsure(g) || s.node.Gone {
			line.Dash = []length{mm / 2, mm / 5}
		}
		c.line(s.field, scene.Point{X: x, Y: middle}, scene.Point{X: x + gaugeWidth, Y: middle}, line)
		return
	}
	low := level(g.Low)
	if !unsure(g) {
		low = level(g.High)
	} else {
		zone := part(level(g.High), low)
		c.rectangle(s.field, zone, scene.Path{Fill: white})
		if zone.H >= leastHatch {
			c.slants(s.field, zone, scene.Path{Stroke: lines, Width: 130 * um})
		}
		c.rectangle(s.field, zone, open)
	}
	if s.node.Gone {
		c.rectangle(s.field, part(low, s.zero()), open)
	} else {
		c.rectangle(s.field, part(low, s.zero()), scene.Path{Fill: body})
		lit := s.lit[side]
		if s.node.Lit && len(lit) == 0 {
			lit = []span{{low, s.zero()}}
		}
		for _, l := range lit {
			if top := max(l.top, low); top < l.bottom {
				c.rectangle(s.field, part(top, l.bottom), scene.Path{Fill: weld, Stroke: weldEdge, Width: 250 * um})
			}
		}
	}
	if unsure(g) && low-level(g.High) >= leastHatch {
		at := level(g.Nominal)
		c.line(s.field, scene.Point{X: x - tick, Y: at}, scene.Point{X: x + gaugeWidth + tick, Y: at}, scene.Path{Stroke: ink, Width: 300 * um})
	}
}

// tick is how far the line at the figure given stands out of the gauge.
const tick = 7 * mm / 10

// streaks are the parts of a line that fades out, from its start, and how thick
// each is drawn.
var streaks = []struct{ from, to, width length }{
	{0, 22 * mm / 10, 260 * um},
	{31 * mm / 10, 46 * mm / 10, 190 * um},
	{58 * mm / 10, 66 * mm / 10, 130 * um},
	{80 * mm / 10, 84 * mm / 10, 90 * um},
}

const (
	streakStep  = 12 * mm / 10 // from line to line
	streakShift = 6 * mm / 10  // by which each second one begins later
)

// drawAway draws what has left the bar: lines that go on where ribbons would
// begin, and fade out.
func (p *plan) drawAway(c *canvas, s *slot, x length) {
	if s.node.Grams.High == 0 {
		return
	}
	full := span{s.zero() - p.thick(s.node.Grams.Nominal), s.zero()}
	rows := full.thick()/streakStep + 1
	first := (full.top + full.bottom - (rows-1)*streakStep) / 2
	for row := range rows {
		fade(c, s.field, scene.Point{X: x + row%2*streakShift, Y: first + row*streakStep})
	}
}

// fade draws one line that fades out.
func fade(c *canvas, field string, from scene.Point) {
	for _, s := range streaks {
		c.line(field, scene.Point{X: from.X + s.from, Y: from.Y}, scene.Point{X: from.X + s.to, Y: from.Y},
			scene.Path{Stroke: rule, Width: s.width})
	}
}

// drawNode draws the gauges of a node and its words. The row of a lit one is
// yellow.
func (p *plan) drawNode(c *canvas, column int, s *slot) {
	f := p.frame
	at := scene.Point{X: f.x[column], Y: s.centre() - s.cell.height/2}
	if s.node.Lit {
		left, right := at.X-pad, at.X+f.words+pad
		if column == 1 {
			left = f.in[1] + gaugeWidth
		}
		if column < 2 {
			right = f.out[column]
		}
		box := scene.Rect{X: left, Y: at.Y - p.d.gap/3, W: right - left, H: s.cell.height + 2*(p.d.gap/3)}
		c.rectangle(s.field, box, scene.Path{Fill: weld, Stroke: weldEdge, Width: 250 * um})
	}
	if column > 0 {
		p.drawGauge(c, s, 1, f.in[column])
	}
	if column < 2 && !s.node.Gone {
		p.drawGauge(c, s, 0, f.out[column])
	}
	if c.holds(at.Y) && c.holds(at.Y+s.cell.height) {
		at.Y = c.y(at.Y)
		c.items = append(c.items, s.cell.at(at)...)
	}
}

// pad is how far the yellow of a row reaches past its words.
const pad = 9 * mm / 10

// A yoke is as deep as this, and keeps so far from the one that ends at the same
// word.
const (
	yokeDepth = 16 * mm / 10
	yokeApart = mm / 2
)

// yoke gives the line of a yoke: dashed where the order could be otherwise, and dotted
// where nothing was shown.
func yoke(joint trail.Joint) *scene.Path {
	dash := []length{9 * mm / 10, 6 * mm / 10}
	if joint == trail.Unproved {
		dash = []length{3 * mm / 10, 6 * mm / 10}
	}
	return &scene.Path{Stroke: woad, Width: 300 * um, Dash: dash}
}

// drawYokes joins each word to the next one if their order could be otherwise.
func (p *plan) drawYokes(c *canvas) {
	slots := p.slots[2]
	right := p.frame.x[2] - pad - 300*um
	left := right - yokeDepth
	for i := range max(len(slots)-1, 0) {
		from, to := slots[i].centre()+yokeApart, slots[i+1].centre()-yokeApart
		if slots[i].node.Joint == trail.Firm || from > c.window.to || to < c.window.from {
			continue
		}
		// At the edge of a page the yoke stops, and goes on on the next one.
		y := yoke(slots[i].node.Joint)
		if c.holds(from) {
			y.Move(right, c.y(from)).Line(left, c.y(from))
		} else {
			y.Move(left, c.y(c.window.from))
		}
		y.Line(left, c.y(c.clamp(to)))
		if c.holds(to) {
			y.Line(right, c.y(to))
		}
		c.put(slots[i].field+" "+slots[i+1].field, y)
	}
}
