package page

import "saponym/internal/scene"

// A Box is a frame round blocks. It never splits.
type Box struct {
	Blocks  []Block
	Pad     Length // between the border and the blocks
	Border  Stroke
	Fill    scene.Ink
	Stripes Length // how wide a band of slanting stripes stands at its left side; 0 is none
	Hang    bool   // border, pad and stripes stand in the margins, and the blocks are as wide as the column
	Above   Length
	Keep    bool // it stays with the next block
}

func (b Box) lay(width Length) ([]strip, error) {
	edge := b.Border.Width + b.Pad
	frame := scene.Rect{W: width}
	if b.Hang {
		frame = scene.Rect{X: -edge - b.Stripes, W: width + 2*edge + b.Stripes}
	}
	inner := frame.W - 2*edge - b.Stripes
	if inner <= 0 {
		return nil, &RoomError{Width: inner}
	}
	strips, err := layAll(b.Blocks, inner)
	if err != nil {
		return nil, err
	}
	inside := stack(strips)
	frame.H = inside.height + 2*edge
	var items []scene.Item
	if b.Fill.On {
		items = append(items, scene.Item{Path: (&scene.Path{Fill: b.Fill}).Rectangle(frame)})
	}
	if b.Stripes > 0 {
		band := scene.Rect{X: frame.X + b.Border.Width, Y: b.Border.Width, W: b.Stripes, H: frame.H - 2*b.Border.Width}
		items = append(items, scene.Item{Path: stripes(band, b.Border.Ink)})
	}
	if b.Border.drawn() {
		items = append(items, scene.Item{Path: b.Border.path().Rectangle(frame.Inset(b.Border.Width / 2))})
	}
	items = append(items, moved(inside.items, frame.X+edge+b.Stripes, edge)...)
	return []strip{{above: b.Above, height: frame.H, base: inside.base + edge, items: items, keep: b.Keep}}, nil
}

// stripes draws stripes that rise to the right at 45 degrees, as wide as the gaps
// between them, and cut off at the ends of an upright band.
func stripes(band scene.Rect, ink scene.Ink) *scene.Path {
	p := &scene.Path{Fill: ink}
	thick := band.W * 4 / 5
	for y := band.Y; y < band.Bottom()+band.W; y += 2 * thick {
		// From the left edge to the right one, which the stripe reaches as much
		// higher as the band is wide.
		corners := []scene.Point{
			{X: band.X, Y: y}, {X: band.Right(), Y: y - band.W},
			{X: band.Right(), Y: y - band.W + thick}, {X: band.X, Y: y + thick},
		}
		corners = cut(corners, func(p scene.Point) Length { return p.Y - band.Y })
		corners = cut(corners, func(p scene.Point) Length { return band.Bottom() - p.Y })
		for i, c := range corners {
			if i == 0 {
				p.Move(c.X, c.Y)
			} else {
				p.Line(c.X, c.Y)
			}
		}
		if len(corners) > 0 {
			p.Close()
		}
	}
	return p
}

// cut gives the part of a convex shape that lies on the inner side of a level
// line, from which inside measures the way in.
func cut(corners []scene.Point, inside func(scene.Point) Length) []scene.Point {
	var kept []scene.Point
	for i, to := range corners {
		from := corners[(i+len(corners)-1)%len(corners)]
		a, b := inside(from), inside(to)
		if (a < 0) != (b < 0) {
			part := float64(a) / float64(a-b)
			kept = append(kept, scene.Point{X: from.X + Length(part*float64(to.X-from.X)), Y: from.Y + Length(part*float64(to.Y-from.Y))})
		}
		if b >= 0 {
			kept = append(kept, to)
		}
	}
	return kept
}

// Columns is blocks in several columns of one width and about one height. They
// never split.
type Columns struct {
	Blocks []Block
	Count  int
	Gap    Length
	Above  Length
	Keep   bool // they stay with the next block
}

func (c Columns) lay(width Length) ([]strip, error) {
	count := Length(max(c.Count, 1))
	column := (width - c.Gap*(count-1)) / count
	if column <= 0 {
		return nil, &RoomError{Width: column}
	}
	strips, err := layAll(c.Blocks, column)
	if err != nil {
		return nil, err
	}
	if len(strips) == 0 {
		return nil, nil
	}
	spots, err := balanced(strips, int(count))
	if err != nil {
		return nil, err
	}
	all := strip{above: c.Above, base: strips[0].base, keep: c.Keep}
	for _, s := range spots {
		all.items = append(all.items, moved(s.strip.items, (column+c.Gap)*Length(s.page), s.y)...)
		all.height = max(all.height, s.y+s.strip.height)
	}
	return []strip{all}, nil
}

// balanced fills columns of the least height that is enough.
func balanced(strips []strip, count int) ([]spot, error) {
	try := func(height Length) ([]spot, error) {
		return fill(strips, height, func(int) Length { return height })
	}
	fits := func(height Length) bool {
		spots, err := try(height)
		return err == nil && spots[len(spots)-1].page < count
	}
	low, high := Length(0), heightOf(strips, true)
	for _, s := range strips {
		high += heightOf(s.again, true)
	}
	for high-low > 1 {
		if middle := low + (high-low)/2; fits(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return try(high)
}
