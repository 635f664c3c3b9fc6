package figure

import (
	"fmt"
	"math"
	"slices"

	"saponym/internal/day"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// The inks of a curve: what holds and what does not, as everywhere in the product, and
// woad let down with white.
var (
	fern     = scene.RGB(0x28623A)
	madder   = scene.RGB(0x9C2327)
	woadPale = scene.RGB(0xE2E9EF)
)

// The lines of a curve.
var (
	meanLine  = scene.Path{Stroke: woad, Width: 420 * um, Round: true}
	boundLine = scene.Path{Stroke: woad, Width: 300 * um, Dash: []length{7 * mm / 5, mm}}
	floorLine = scene.Path{Stroke: second, Width: 220 * um, Dash: []length{220 * um, 650 * um}}
	holdsLine = scene.Path{Stroke: fern, Width: 800 * um}
	failsLine = scene.Path{Stroke: madder, Width: 800 * um, Dash: []length{8 * mm / 5, 9 * mm / 10}}
	dayLine   = scene.Path{Stroke: rule, Width: 130 * um}
	gridLine  = scene.Path{Stroke: hair, Width: 90 * um}
	axisLine  = scene.Path{Stroke: rule, Width: 150 * um}
	restLine  = scene.Path{Stroke: woad, Width: 150 * um, Dash: []length{mm / 2, mm}}
)

// sizesOf gives the letters of a picture of a width, which are smaller in a narrow one.
func sizesOf(width length) density {
	part := min(float64(width-leastWidth)/float64(110*mm), 1)
	mix := func(narrow, wide length) length { return narrow + length(math.Round(part*float64(wide-narrow))) }
	return density{title: mix(17*pt, 25*pt), head: mix(10*pt, 12*pt), name: mix(7*pt, 9*pt), note: mix(13*pt/2, 15*pt/2)}
}

// aside are the words that have no room in the box of a curve: the last day of the claim
// stands above it then, and the others below.
type aside struct{ until, claim, floor bool }

// A drying is a curve with the place of everything in it.
type drying struct {
	curve  Curve
	aside  aside
	d      density
	width  length
	time   calendar
	grams  balance
	box    scene.Rect // in which the curve lies
	clear  clearing
	words  []scene.Item // in the box and above it
	labels []label      // of marked days
	notes  []string     // below
}

const (
	lineRoom  = 9 * mm // between two lines of the grid, about
	leastPlot = 25 * mm
	inset     = 5 * mm / 2 // from the edges of the box to the first and the last day
	tickSize  = mm
)

// drawDrying draws a curve in a width, and in a height if it is not 0. Words that turn
// out to have no room are put aside, and all is laid anew.
func drawDrying(c Curve, width, height length) (scene.Scene, error) {
	if err := c.check(); err != nil {
		return scene.Scene{}, err
	}
	var put aside
	for {
		p := &drying{curve: c, aside: put, d: sizesOf(width), width: width, time: calendarOf(c)}
		s, err := p.draw(height)
		if err != nil || p.aside == put {
			return s, err
		}
		put = p.aside
	}
}

func (p *drying) draw(height length) (scene.Scene, error) {
	head, top, err := p.heading()
	if err != nil {
		return scene.Scene{}, err
	}
	plot := max(p.width*2/5, 44*mm)
	if height > 0 {
		plot = max(height*7/10, leastPlot)
	}
	p.grams = balanceOf(p.curve, int(min(max(plot/lineRoom, 3), 10)))
	scales, err := p.scales(plot)
	if err != nil {
		return scene.Scene{}, err
	}
	rows, err := p.markDays()
	if err != nil {
		return scene.Scene{}, err
	}
	p.box.Y = top + rows
	foot, below, err := p.foot()
	if err != nil {
		return scene.Scene{}, err
	}
	if p.box.H = plot; height > 0 {
		p.box.H = height - p.box.Y - below
		if p.box.H < leastPlot {
			return scene.Scene{}, &TallError{Height: height - p.box.H, Room: height - leastPlot}
		}
	}
	if err := p.setWords(); err != nil {
		return scene.Scene{}, err
	}
	s := scene.Scene{Size: scene.Size{W: p.width, H: p.box.Bottom() + below}, Items: head}
	s.Items = append(s.Items, p.paint()...)
	s.Items = append(s.Items, scales.at(p)...)
	s.Items = append(s.Items, p.words...)
	s.Items = append(s.Items, foot.at(scene.Point{Y: p.box.Bottom()})...)
	return s, nil
}

// heading sets the title and what else tells which bars these are, over a line.
func (p *drying) heading() ([]scene.Item, length, error) {
	var items []scene.Item
	y := length(0)
	for _, r := range [2]run{{p.curve.Title, serif(p.d.title)}, {p.curve.Line, italic(p.d.head)}} {
		if r.words == "" {
			continue
		}
		c, err := captionOf(p.width, r)
		if err != nil {
			return nil, 0, err
		}
		y += c.above
		items = append(items, c.line.Set(scene.Point{Y: y}, text.Left)...)
		y += max(c.below, r.style.Size/4) + mm/2
	}
	bench := &scene.Path{Stroke: ink, Width: 800 * um}
	y += mm
	items = append(items, scene.Item{Path: bench.Move(0, y).Line(p.width, y)})
	return items, y + 3*mm, nil
}

// x and y give where a day and a mass stand.
func (p *drying) x(d day.Day) length { return p.along(p.time.at(d)) }

func (p *drying) along(part float64) length {
	return p.box.X + inset + length(math.Round(part*float64(p.box.W-2*inset)))
}

func (p *drying) y(g float64) length {
	return p.box.Bottom() - length(math.Round(p.grams.at(g)*float64(p.box.H)))
}

// scales are the numbers at both sides of the box.
type scales struct {
	ticks    [2][]graduation // grams, ounces
	captions [2][]caption
}

// scales sets the numbers, and gives the box the width that they leave.
func (p *drying) scales(plot length) (scales, error) {
	s := scales{ticks: [2][]graduation{p.grams.ticks(), p.grams.ounces(int(min(max(plot/lineRoom*2/3, 3), 7)))}}
	var most [2]length
	for side, ticks := range s.ticks {
		for _, t := range ticks {
			c, err := captionOf(p.width/5, run{t.words, sans(p.d.note, second, "axis")})
			if err != nil {
				return scales{}, err
			}
			s.captions[side] = append(s.captions[side], c)
			most[side] = max(most[side], c.line.Width)
		}
	}
	p.box.X = most[0] + 3*mm/2
	p.box.W = p.width - p.box.X - most[1] - 3*mm/2 - tickSize
	return s, nil
}

// at draws the ticks of the ounces, and the numbers.
func (s scales) at(p *drying) []scene.Item {
	var items []scene.Item
	right := axisLine
	for i, t := range s.ticks[1] {
		y := p.y(t.at)
		right.Move(p.box.Right(), y).Line(p.box.Right()+tickSize, y)
		at := scene.Point{X: p.box.Right() + tickSize + mm, Y: s.captions[1][i].middle(y)}
		items = append(items, s.captions[1][i].line.Set(at, text.Left)...)
	}
	for i, t := range s.ticks[0] {
		at := scene.Point{X: p.box.X - 3*mm/2, Y: s.captions[0][i].middle(p.y(t.at))}
		items = append(items, s.captions[0][i].line.Set(at, text.Right)...)
	}
	if len(right.Steps) == 0 {
		return items
	}
	return append([]scene.Item{item("axis", &right)}, items...)
}

func item(field string, path *scene.Path) scene.Item {
	return scene.Item{Mark: scene.Mark{Field: field}, Path: path}
}

// way is the line of one figure of the course.
func (p *drying) way(figure func(Predicted) float64) []scene.Point {
	var points []scene.Point
	for _, e := range p.curve.Course {
		if at := (scene.Point{X: p.x(e.Day), Y: p.y(figure(e))}); !slices.Contains(points[max(len(points)-1, 0):], at) {
			points = append(points, at)
		}
	}
	return points
}

func (p *drying) meanWay() []scene.Point  { return p.way(func(e Predicted) float64 { return e.Mean }) }
func (p *drying) boundWay() []scene.Point { return p.way(func(e Predicted) float64 { return e.Bound }) }

// rest is the field of what the bars come to, where only its bounds are known.
func (p *drying) rest() scene.Rect {
	left, top := p.box.X, p.y(p.curve.Bounds.High)
	if n := len(p.curve.Weighed); n > 0 {
		left = p.x(p.curve.Weighed[n-1].Day) + 2*mm
	}
	left = min(left, p.box.Right()-2*mm)
	return scene.Rect{X: left, Y: top, W: p.box.Right() - left, H: p.y(p.curve.Bounds.Low) - top}
}

// restIn draws such a field.
func restIn(r scene.Rect) []*scene.Path {
	edges := restLine
	edges.Move(r.X, r.Y).Line(r.Right(), r.Y).Move(r.X, r.Bottom()).Line(r.Right(), r.Bottom())
	return []*scene.Path{(&scene.Path{Fill: woadPale}).Rectangle(r), &edges}
}

// polyline gives a line through points, with the stroke of a path.
func polyline(points []scene.Point, stroke scene.Path) *scene.Path {
	path := &stroke
	for i, at := range points {
		if i == 0 {
			path.Move(at.X, at.Y)
		} else {
			path.Line(at.X, at.Y)
		}
	}
	return path
}

// rings gives the radii of the marks of one bar and of the mean. Many stand closer.
func (p *drying) rings() (bar, mean length) {
	if len(p.curve.Weighed) > 40 {
		return p.d.note / 8, p.d.note / 6
	}
	return p.d.note / 4, p.d.note * 3 / 10
}

// paint draws what lies in the box, from the ground up. The words are set before, since
// the grid leaves room for them.
func (p *drying) paint() []scene.Item {
	c := &canvas{window: window{0, p.box.Bottom() + mm}}
	put := func(field string, path *scene.Path) {
		if len(path.Steps) > 1 {
			c.put(field, path)
		}
	}
	high := p.way(func(e Predicted) float64 { return e.High })
	low := p.way(func(e Predicted) float64 { return e.Low })
	slices.Reverse(low)
	if len(high)+len(low) > 2 {
		put("interval", polyline(append(high, low...), scene.Path{Fill: woadPale}).Close())
	}
	if p.curve.resting() {
		for _, path := range restIn(p.rest()) {
			put("rest", path)
		}
	}
	put("axis", p.grid())
	for i := range p.labels {
		put(p.labels[i].field, p.upright(p.labels[i]))
	}
	base := axisLine
	put("axis", base.Move(p.box.X, p.box.Bottom()).Line(p.box.Right(), p.box.Bottom()))
	if p.floorShows() {
		floor := floorLine
		put("floor", floor.Move(p.box.X, p.y(p.curve.Floor)).Line(p.box.Right(), p.y(p.curve.Floor)))
	}
	p.paintClaim(put)
	put("bound", polyline(p.boundWay(), boundLine))
	put("course", polyline(p.meanWay(), meanLine))
	bar, mean := p.rings()
	for i, w := range p.curve.Weighed {
		field := fmt.Sprintf("weighed[%d]", i)
		rings := &scene.Path{Fill: white, Stroke: ink, Width: 150 * um}
		for _, g := range w.Bars {
			rings.Circle(scene.Point{X: p.x(w.Day), Y: p.y(g)}, bar)
		}
		put(field, rings)
		dot := &scene.Path{Fill: ink}
		put(field, dot.Circle(scene.Point{X: p.x(w.Day), Y: p.y(w.Mean)}, mean))
	}
	if p.ends() {
		ring := &scene.Path{Fill: white, Stroke: ink, Width: 350 * um}
		put("claim", ring.Circle(scene.Point{X: p.x(p.curve.Claim.Until), Y: p.y(p.curve.Claim.Grams)}, mm))
	}
	return c.items
}

// grid draws the lines of the grams, open behind words.
func (p *drying) grid() *scene.Path {
	path := gridLine
	for _, t := range p.grams.ticks() {
		y := p.y(t.at)
		if y == p.box.Bottom() || p.claimShows() && y == p.y(p.curve.Claim.Grams) {
			continue // another line is drawn there
		}
		var taken []span
		for _, b := range p.clear.boxes[p.clear.points:] {
			if b = b.Inset(-mm / 2); b.Y < y && y < b.Bottom() {
				taken = append(taken, span{b.X, b.Right()})
			}
		}
		for _, s := range gaps(p.box.X, p.box.Right(), taken) {
			path.Move(s.top, y).Line(s.bottom, y)
		}
	}
	return &path
}

// upright draws the line of a marked day, open behind words.
func (p *drying) upright(l label) *scene.Path {
	path := dayLine
	var taken []span
	for _, b := range p.clear.boxes[p.clear.points:] {
		if b = b.Inset(-mm / 2); b.X < l.x && l.x < b.Right() {
			taken = append(taken, span{b.Y, b.Bottom()})
		}
	}
	for _, s := range gaps(p.box.Y+l.top, p.box.Bottom(), taken) {
		path.Move(l.x, s.top).Line(l.x, s.bottom)
	}
	return &path
}

// floorShows reports whether the dry mass is drawn.
func (p *drying) floorShows() bool {
	return p.curve.Floor > 0 && p.grams.shows(p.curve.Floor) && !p.aside.floor
}

// claimShows reports whether the claim lies in the picture.
func (p *drying) claimShows() bool { return p.curve.claims() && p.grams.shows(p.curve.Claim.Grams) }

// ends reports whether the picture shows the day on which the claim ends.
func (p *drying) ends() bool { return p.claimShows() && p.curve.holding(p.time) == partly }

func (p *drying) paintClaim(put func(string, *scene.Path)) {
	if !p.claimShows() {
		return
	}
	y, left, right := p.y(p.curve.Claim.Grams), p.box.X, p.box.Right()
	middle := right
	switch p.curve.holding(p.time) {
	case partly:
		middle = p.x(p.curve.Claim.Until)
	case never:
		middle = left
	}
	holds, fails := holdsLine, failsLine
	if left < middle {
		put("claim", holds.Move(left, y).Line(middle, y))
	}
	if middle < right {
		put("claim", fails.Move(middle, y).Line(right, y))
	}
}
