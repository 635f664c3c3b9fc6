package band

import (
	"math"

	"saponym/internal/measure"
	"saponym/internal/scene"
)

// A motif is what one square tile of a wall shows.
type motif string

// The motifs of the look Courtyard. Each is drawn with straight lines and arcs
// within 0.94 of its cell, so that neighbours never run together; the quarter
// discs alone stand in the corners of the cell, where four of them make a disc.
const (
	petals   motif = "petals"
	star     motif = "star"
	quarters motif = "quarter discs"
	cross    motif = "cross"
	diamond  motif = "diamond"
	ring     motif = "ring"
)

// motifs are all the motifs that a look can name.
var motifs = []motif{petals, star, quarters, cross, diamond, ring}

// A wall is a rectangle of square tiles. X and Y are its top left corner in
// millimetres.
type wall struct {
	x, y, side float64
	cols, rows int
}

func (w wall) width() float64  { return float64(w.cols) * w.side }
func (w wall) height() float64 { return float64(w.rows) * w.side }

// A fill says in which direction the tiles of a wall have to fill their space to
// the edge. In the other one, what is left over is shared by both edges.
type fill int

const (
	either fill = iota
	across
	down
)

// fitWall finds whole tiles for a space of so many millimetres: the side that
// leaves the least space empty, near to the side that is preferred. The wall
// stands at 0, 0. It has no rows when not even the smallest tile fits.
func fitWall(width, height float64, t Tiles, must fill) wall {
	prefer, least, most := t.Side.Millimetres(), t.Least.Millimetres(), t.Most.Millimetres()
	best, cost := wall{}, math.Inf(1)
	try := func(side float64) {
		if side < least || side > most {
			return
		}
		// A millionth of a millimetre forgives the rounding of the division.
		w := wall{side: side, cols: int(width/side + 1e-6), rows: int(height/side + 1e-6)}
		if w.cols == 0 || w.rows == 0 {
			return
		}
		empty := 1 - w.width()*w.height()/(width*height)
		if c := empty + 0.8*math.Abs(side/prefer-1); c < cost {
			best, cost = w, c
		}
	}
	if must != down {
		for n := 1.0; n <= width/least; n++ {
			try(width / n)
		}
	}
	if must != across {
		for n := 1.0; n <= height/least; n++ {
			try(height / n)
		}
	}
	return best
}

// kind gives the motif of a tile. Only squares of the distance from the middle
// take part, so a wall of any size mirrors both ways.
func (w wall) kind(col, row int, order []motif) motif {
	u, v := 2*col-(w.cols-1), 2*row-(w.rows-1)
	return order[(u*u+v*v)/4%len(order)]
}

// centre gives the middle of a tile.
func (w wall) centre(col, row int) (x, y float64) {
	return w.x + (float64(col)+0.5)*w.side, w.y + (float64(row)+0.5)*w.side
}

// A tiling collects the shapes of tiles by the order in which they are painted:
// ink and accent below, paper that knocks out the hearts of the motifs, and what
// stands in those hearts.
type tiling struct {
	ink, accent, rhombs, paper, heart scene.Path
	spots                             scene.Path // the accent in a heart
}

// add draws the tiles of a wall, except those that skip asks to leave out.
func (t *tiling) add(w wall, order []motif, skip func(col, row int) bool) {
	for row := range w.rows {
		for col := range w.cols {
			if skip == nil || !skip(col, row) {
				x, y := w.centre(col, row)
				t.tile(w.kind(col, row, order), x, y, w.side)
			}
		}
	}
}

// tile draws one motif about its centre. The proportions are those of the look;
// they have no meaning outside it.
func (t *tiling) tile(m motif, x, y, side float64) {
	switch m {
	case petals:
		for _, d := range diagonals {
			lens(&t.ink, x, y, 0.469*side*d.x, 0.469*side*d.y)
		}
		disc(&t.paper, x, y, 0.11*side)
	case star:
		rays(&t.ink, x, y, 0.46*side, 0.221*side)
		disc(&t.paper, x, y, 0.11*side)
	case quarters:
		for _, d := range diagonals {
			quarter(&t.accent, x-side/2*d.x, y-side/2*d.y, 0.39*side*d.x, 0.39*side*d.y)
		}
		disc(&t.ink, x, y, 0.13*side)
	case cross:
		for _, d := range cardinals {
			lens(&t.ink, x, y, 0.48*side*d.x, 0.48*side*d.y)
		}
		for _, d := range diagonals {
			disc(&t.accent, x+0.36*side*d.x, y+0.36*side*d.y, 0.075*side)
		}
	case diamond:
		rhomb(&t.rhombs, x, y, 0.46*side)
		rhomb(&t.paper, x, y, 0.29*side)
		rhomb(&t.heart, x, y, 0.17*side)
	case ring:
		disc(&t.ink, x, y, 0.43*side)
		disc(&t.paper, x, y, 0.31*side)
		disc(&t.spots, x, y, 0.20*side)
	}
}

// items gives what was collected in painting order.
func (t *tiling) items(p Colourway) []scene.Item {
	var items []scene.Item
	fill := func(path scene.Path, ink scene.Ink) {
		if len(path.Steps) > 0 {
			path.Fill = ink
			items = append(items, scene.Item{Path: &path})
		}
	}
	accent := func(path scene.Path) {
		if len(path.Steps) == 0 {
			return
		}
		if p.Hatch {
			items = append(items, hatched(path, p.Ink)...)
			return
		}
		fill(path, p.Accent)
	}
	fill(t.ink, p.Ink)
	accent(t.accent)
	if p.Hatch {
		// Lines at 45 degrees would run along the sides of a square that stands on
		// its corner. An outline says the same more clearly.
		t.rhombs.Stroke, t.rhombs.Width = p.Ink, measure.MM(rhombLine)
	}
	fill(t.rhombs, p.Accent)
	fill(t.paper, p.Paper)
	fill(t.heart, p.Ink)
	accent(t.spots)
	return items
}

// A vector is a direction in a scene.
type vector struct{ x, y float64 }

var (
	cardinals = []vector{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}
	diagonals = []vector{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}}
)

// at gives the point of a scene at so many millimetres.
func at(x, y float64) scene.Point { return scene.Point{X: measure.MM(x), Y: measure.MM(y)} }

// kappa is the length of the control arms, in radii, with which a cubic curve
// comes closest to a quarter of a circle.
const kappa = 0.5522847498307936

func disc(p *scene.Path, x, y, radius float64) { p.Circle(at(x, y), measure.MM(radius)) }

// rhomb draws a square that stands on a corner.
func rhomb(p *scene.Path, x, y, reach float64) {
	p.Move(measure.MM(x), measure.MM(y-reach)).Line(measure.MM(x+reach), measure.MM(y)).
		Line(measure.MM(x), measure.MM(y+reach)).Line(measure.MM(x-reach), measure.MM(y)).Close()
}

// quarter draws a quarter of a disc about the corner x, y. Its two straight
// sides reach along dx and dy; in Courtyard both are equally long.
func quarter(p *scene.Path, x, y, dx, dy float64) {
	p.Move(measure.MM(x), measure.MM(y)).Line(measure.MM(x+dx), measure.MM(y)).
		Curve(at(x+dx, y+kappa*dy), at(x+kappa*dx, y+dy), at(x, y+dy)).Close()
}

// lens draws a petal from x, y to a tip at dx, dy from there: two quarters of a
// circle that meet in points.
func lens(p *scene.Path, x, y, dx, dy float64) {
	// The quarter circle over a chord touches the two sides of a square whose
	// diagonal is the chord: from the start along one side, to the end along the
	// other. half and across span that square.
	hx, hy := dx/2, dy/2
	cx, cy := -hy, hx
	side := func(sx, sy float64) (a, b scene.Point) {
		kx, ky := x+hx+sx, y+hy+sy // the corner of the square
		return at(x+kappa*(kx-x), y+kappa*(ky-y)), at(x+dx+kappa*(kx-x-dx), y+dy+kappa*(ky-y-dy))
	}
	a, b := side(cx, cy)
	c, d := side(-cx, -cy)
	p.Move(measure.MM(x), measure.MM(y)).Curve(a, b, at(x+dx, y+dy)).Curve(d, c, at(x, y)).Close()
}

// rays draws a star of eight points.
func rays(p *scene.Path, x, y, outer, inner float64) {
	for i := range 16 {
		r := outer
		if i%2 == 1 {
			r = inner
		}
		sin, cos := math.Sincos(float64(i) * math.Pi / 8)
		px, py := measure.MM(x+r*cos), measure.MM(y+r*sin)
		if i == 0 {
			p.Move(px, py)
			continue
		}
		p.Line(px, py)
	}
	p.Close()
}
