package band

import (
	"fmt"
	"math"

	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// front sets the net weight at the foot of the front, and above it a wall with
// an arch in which the name and the identity stand.
func (c *composition) front() error {
	panel := c.blank.Panel(Front)
	net, err := c.net(panel)
	if err != nil || net == nil {
		return err
	}
	line := c.look.ArchLine
	lowest := net.top - net.clear - line/2
	wall, sill := c.frontWall(panel, lowest)
	// Where whole tiles end higher than they might, the net weight shares the
	// room that is left, as far as it may rise.
	lift := max(min((lowest-sill)/2, net.rise), 0)
	sign, ok, err := c.sign(panel, wall, sill)
	if err != nil || !ok {
		return err
	}
	words, err := sign.items(c.way)
	if err != nil {
		return err
	}
	c.frontOrnament(wall, sill, sign)
	c.words = append(c.words, words...)
	c.words = append(c.words, net.line.Set(scene.Point{X: panel.X + panel.Width/2, Y: net.baseline - lift}, text.Centre)...)
	return nil
}

// A netWeight is the net weight as it stands on the front.
type netWeight struct {
	line     text.Line
	baseline measure.Length // the lowest that it may stand
	top      measure.Length // of its ink at that baseline
	rise     measure.Length // how much higher it may stand
	clear    measure.Length // free space above and below
}

// net sets the net weight on one line at the foot of the front: at the size that
// the look likes, or as near to it as the front is wide, or at the least that the
// law allows, for which the sides make room. It notes a miss and gives nil where
// that has no room either.
func (c *composition) net(panel Panel) (*netWeight, error) {
	s, _ := c.content.Find(label.DutyNetQuantity)
	face := c.look.Net.Face
	if s.Bold {
		face = c.look.Net.Strong
	}
	f, err := font.Open(face)
	if err != nil {
		return nil, err
	}
	least := max(c.sizeFor(f, s), f.SizeForX(c.template.Small.Least))
	for size := c.look.Net.Most; size > least; size -= font.Tenths(netStep) {
		if net, _, err := c.netAt(panel, s, f, size); err != nil || net != nil && c.reach <= c.template.Keep.Gutter {
			return net, err
		}
	}
	net, over, err := c.netAt(panel, s, f, least)
	if err == nil && net == nil {
		c.misses = append(c.misses, over)
	}
	return net, err
}

// netStep is the step in which sizes of the net weight are tried, in tenths of a
// point.
const netStep = 4

// netAir is the free space above and below the net weight where no law asks for
// more.
const netAir = 24 * measure.Millimetre / 10

// reachMost is how much of a side the free space of the net weight may take, as
// a part of its width. What is left still has room for an address.
const reachMost = 0.16

func (c *composition) netAt(panel Panel, s label.Statement, f *font.Font, size measure.Length) (*netWeight, miss, error) {
	style := text.Style{Face: f.Face(), Size: size, Ink: c.way.Ink, Mark: scene.Mark{Duty: string(s.Duty), Field: s.Field}}
	var words []text.Word
	for _, l := range s.Lines {
		words = append(words, text.Words(font.Normalise(l), style)...)
	}
	line, err := text.OneLine(words...)
	if err != nil {
		return nil, miss{}, known(s, err)
	}
	letter := letterHeight(f, s.Letters.Measured, size)
	clear := max(measure.Length(math.Ceil(s.Place.ClearHeights*float64(letter))), s.Place.ClearAround, netAir)
	aside := max(measure.Length(math.Ceil(s.Place.ClearWidthsN*float64(f.Width("N", size)))), s.Place.ClearAround)

	// The edges of the bar, bare over the gutter, are free space too. Beyond it
	// the ornament of the sides makes room, up to a point.
	margin := (panel.Width - line.Width) / 2
	c.reach = max(aside-margin, 0)
	most := max(c.template.Keep.Gutter, measure.Length(reachMost*float64(c.blank.Panel(Side1).Width)))
	if over := max(2*(c.template.Keep.Fold+lean-margin), 2*(c.reach-most)); over > 0 {
		return nil, miss{titleOf(s.Duty), over, true, byNothing,
			fmt.Sprintf("use a bar that is at least %s wide", show(c.content.Bar.Width+roundedUp(over)))}, nil
	}

	above, below := f.Ink(line.String(), size)
	net := &netWeight{line: line, clear: clear}
	net.baseline = c.blank.Size.H - max(clear, c.template.Keep.Cut) - below - lean
	net.top = net.baseline - above
	net.rise = c.blank.Size.H // anywhere, as far as the law goes
	if s.Place.LowestPart > 0 && c.content.Bar.Face() > s.Place.UnlessFaceTo {
		lowest := measure.Length(s.Place.LowestPart.Fraction() * float64(c.content.Bar.Length))
		from := c.blank.Size.H + c.blank.Below - lowest
		if net.top < from {
			return nil, miss{titleOf(s.Duty), from - net.top, false, byBreadth,
				fmt.Sprintf("it has to stand within the lowest %g %% of the face", s.Place.LowestPart.Percent())}, nil
		}
		net.rise = net.top - from
	}
	return net, miss{}, nil
}

func roundedUp(l measure.Length) measure.Length {
	return (l + measure.Millimetre - 1) / measure.Millimetre * measure.Millimetre
}

// letterHeight gives the height of the letter that a law measures.
func letterHeight(f *font.Font, what label.Measured, size measure.Length) measure.Length {
	switch what {
	case label.Capital:
		return f.CapHeight(size)
	case label.Figures:
		return f.FigureHeight(size)
	}
	return f.XHeight(size)
}

// frontWall fits whole tiles between the top of the front and the lowest place
// of the sill, and says where the sill comes to stand.
func (c *composition) frontWall(panel Panel, lowest measure.Length) (wall, measure.Length) {
	border := c.look.FrameLine + c.look.FrameGap
	top := c.template.Keep.Edge + border
	width := panel.Width - 2*(c.template.Keep.Gutter+border)
	w := fitWall(width.Millimetres(), (lowest - top).Millimetres(), c.look.Tiles, either)
	if w.rows == 0 {
		return w, lowest
	}
	w.x, w.y = (panel.X+panel.Width/2).Millimetres()-w.width()/2, top.Millimetres()
	c.tile = measure.MM(w.side)
	return w, measure.MM(w.y + w.height())
}

// frontOrnament draws the wall about the sign, its frame and the sill.
func (c *composition) frontOrnament(w wall, sill measure.Length, s sign) {
	if w.rows == 0 || s.kind == bare {
		return
	}
	var tiles tiling
	tiles.add(w, c.look.Tiles.Order, func(col, row int) bool {
		if s.kind == window {
			return row >= s.above && row < w.rows-s.above
		}
		x, y := w.centre(col, row)
		return s.arch.covers(x, y, w.side)
	})
	items := tiles.items(c.way)
	if s.kind == arched {
		items = append(items, c.archItems(s)...)
	} else {
		items = append(items, c.windowLines(w, s.above))
	}
	border := c.look.FrameGap + c.look.FrameLine/2
	left, top, right := measure.MM(w.x)-border, measure.MM(w.y)-border, measure.MM(w.x+w.width())+border
	frame := scene.Path{Stroke: c.way.Ink, Width: c.look.FrameLine}
	frame.Move(left, sill).Line(left, top).Line(right, top).Line(right, sill)
	line, half := scene.Path{Fill: c.way.Ink}, c.look.FrameLine/2
	line.Rectangle(scene.Rect{X: left - half, Y: sill - c.look.ArchLine/2, W: right - left + 2*half, H: c.look.ArchLine})
	c.ornament = append(c.ornament, append(items, scene.Item{Path: &frame}, scene.Item{Path: &line})...)
}

// archItems draws the opening of an arch over the tiles that it cuts.
func (c *composition) archItems(s sign) []scene.Item {
	opening, edge := s.arch.path(), s.arch.path()
	opening.Close().Fill = c.way.Paper
	edge.Stroke, edge.Width = c.way.Ink, c.look.ArchLine
	items := []scene.Item{{Path: &opening}, {Path: &edge}}
	if s.inner {
		inner := s.arch.inset(c.look.InnerGap.Millimetres()).path()
		inner.Stroke, inner.Width = c.way.Accent, c.look.InnerLine
		items = append(items, scene.Item{Path: &inner})
	}
	return items
}

// windowLines draws the edges of a window that leaves so many rows of the wall
// above and below.
func (c *composition) windowLines(w wall, rows int) scene.Item {
	border := (c.look.FrameGap + c.look.FrameLine/2).Millimetres()
	lines := scene.Path{Stroke: c.way.Ink, Width: c.look.FrameLine}
	for _, y := range []float64{w.y + float64(rows)*w.side + border, w.y + float64(w.rows-rows)*w.side - border} {
		lines.Move(measure.MM(w.x-border), measure.MM(y)).Line(measure.MM(w.x+w.width()+border), measure.MM(y))
	}
	return scene.Item{Path: &lines}
}
