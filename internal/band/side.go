package band

import (
	"errors"

	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// sideWall fits whole tiles into a side, within a frame. It keeps off the free
// space of the net weight, which may pass the folds of the front.
func (c *composition) sideWall(panel Panel) wall {
	aside := max(c.template.Keep.Gutter, c.reach) + c.look.FrameLine + c.look.FrameGap
	top := c.template.Keep.Edge + c.look.FrameLine + c.look.FrameGap
	tiles := c.look.Tiles
	tiles.Side = c.tile
	width, height := panel.Width-2*aside, c.blank.Size.H-2*top
	w := fitWall(width.Millimetres(), height.Millimetres(), tiles, down)
	w.x = (panel.X + panel.Width/2).Millimetres() - w.width()/2
	w.y = c.blank.Size.H.Millimetres()/2 - w.height()/2
	return w
}

// frame gives the line round a wall.
func (c *composition) frame(w wall) scene.Item {
	gap := (c.look.FrameGap + c.look.FrameLine/2).Millimetres()
	line := scene.Path{Stroke: c.way.Ink, Width: c.look.FrameLine}
	line.Rectangle(rectangle(w.x-gap, w.y-gap, w.width()+2*gap, w.height()+2*gap))
	return scene.Item{Path: &line}
}

func rectangle(x, y, w, h float64) scene.Rect {
	from, to := at(x, y), at(x+w, y+h)
	return scene.Rect{X: from.X, Y: from.Y, W: to.X - from.X, H: to.Y - from.Y}
}

// side1 has ornament only.
func (c *composition) side1() error {
	c.wholeWall(c.sideWall(c.blank.Panel(Side1)))
	return nil
}

// wholeWall draws a wall without an opening, in its frame.
func (c *composition) wholeWall(w wall) {
	if w.rows == 0 {
		return
	}
	var tiles tiling
	tiles.add(w, c.look.Tiles.Order, nil)
	c.ornament = append(append(c.ornament, tiles.items(c.way)...), c.frame(w))
}

// How the words of a side stand to the wall, in millimetres.
const (
	windowGap = 2.0 // free between ink and the tiles above and below
	inFrame   = 1.0 // free between ink and the frame at the side
)

// side2 is the wall of side 1 with a window in it: who made the bar, where, and
// below it the batch. What does not fit waits for the back.
func (c *composition) side2() error {
	panel := c.blank.Panel(Side2)
	w := c.sideWall(panel)
	width := panel.Width - 2*max(c.template.Keep.Fold+lean, c.reach+lean)
	height := c.blank.Size.H - 2*c.template.Keep.Cut
	if w.rows > 0 {
		width = min(width, measure.MM(w.width()+2*(c.look.FrameGap.Millimetres()-inFrame)))
		height = min(height, measure.MM(w.height()+2*(c.look.FrameGap.Millimetres()-inFrame)))
	}
	side, err := c.sideBlocks(c.statements(c.template.Side), width, true)
	if err != nil {
		return err
	}
	foot, err := c.sideBlocks(c.statements(c.template.Foot), width, false)
	if err != nil {
		return err
	}
	blocks := append(side, foot...)
	for len(blocks) > 0 && stack(blocks) > height {
		i := c.lastOptional(blocks)
		if i >= 0 {
			c.leftOut = append(c.leftOut, titleOf(blocks[i].statement.Duty))
		} else {
			i = len(blocks) - 1
			c.wait(blocks[i].statement)
		}
		blocks = append(blocks[:i:i], blocks[i+1:]...)
	}
	if len(blocks) == 0 {
		c.wholeWall(w)
		return nil
	}
	c.window(w, panel, blocks)
	return nil
}

// wait puts a statement of the side on the list of those for the back.
func (c *composition) wait(s label.Statement) {
	c.waiting = append(c.waiting, s)
	c.moved = append(c.moved, titleOf(s.Duty))
}

// sideBlocks sets the statements of the side. The wider face is used where it
// breaks no line that the narrower one keeps whole. Words that are too wide for
// the side wait for the back.
func (c *composition) sideBlocks(statements []label.Statement, width measure.Length, roomy bool) ([]block, error) {
	var blocks []block
	for _, s := range statements {
		narrow, err := c.block(s, c.look.Small.voice(), width)
		var wide *text.WideError
		if errors.As(err, &wide) {
			c.wait(s)
			continue
		}
		if err != nil {
			return nil, err
		}
		b := narrow
		if roomy {
			loose, err := c.block(s, c.look.Side.voice(), width)
			switch {
			case err == nil && len(loose.lines) <= len(narrow.lines):
				b = loose
			case err != nil && !errors.As(err, &wide):
				return nil, err
			}
		}
		blocks = append(blocks, b)
	}
	return blocks, nil
}

// window opens the wall as far as the words need and sets them in the middle of
// it. The wall keeps as many rows above as below.
func (c *composition) window(w wall, panel Panel, blocks []block) {
	words := stack(blocks).Millimetres()
	middle := c.blank.Size.H.Millimetres() / 2
	rows := 0 // above the window, and below
	if w.rows > 0 {
		rows = max(int((w.height()-words-2*windowGap)/2/w.side+1e-6), 0)
		var tiles tiling
		tiles.add(w, c.look.Tiles.Order, func(_, row int) bool { return row >= rows && row < w.rows-rows })
		c.ornament = append(append(c.ornament, tiles.items(c.way)...), c.frame(w))
	}
	if rows > 0 {
		c.ornament = append(c.ornament, c.windowLines(w, rows))
	}
	// Share the room that is left over between the blocks and the ends.
	room := w.height() - 2*float64(rows)*w.side - words
	if w.rows == 0 {
		room = c.blank.Size.H.Millimetres() - 2*c.template.Keep.Cut.Millimetres() - words
	}
	extra := measure.MM(max(room-2*windowGap, 0) / float64(len(blocks)+1) * 0.6)
	for i := range blocks[1:] {
		blocks[i+1].gap += min(extra, 2*measure.Millimetre)
	}
	c.place(blocks, panel.X+panel.Width/2, measure.MM(middle)-stack(blocks)/2, text.Centre)
}

// backWalls fills what the text has left of the halves of the back, at the foot
// of each, as wide as the text. Where both have room, both walls are of one
// height. A back A without text is a wall like side 1.
func (c *composition) backWalls(left, right column, endLeft, endRight measure.Length) {
	tiles := c.look.Tiles
	tiles.Side = c.tile
	edge := c.template.Keep.Edge + c.look.FrameLine + c.look.FrameGap
	foot := c.blank.Size.H - edge
	var walls [2]wall
	for i, half := range []struct {
		column
		end measure.Length
	}{{left, endLeft}, {right, endRight}} {
		if half.end == half.top { // no text at all
			continue
		}
		room := foot - half.end - measure.MM(2*windowGap)
		walls[i] = fitWall(half.width.Millimetres(), max(room, 0).Millimetres(), tiles, across)
		walls[i].x = half.x.Millimetres()
	}
	if a, b := walls[0].rows, walls[1].rows; a >= leastRows && b >= leastRows {
		walls[0].rows, walls[1].rows = min(a, b), min(a, b)
	}
	if endRight == right.top {
		cut := c.template.Keep.Edge - c.template.Keep.Gutter
		panel := c.blank.Panel(BackA)
		panel.X, panel.Width = panel.X+cut, panel.Width-cut
		c.wholeWall(c.sideWall(panel))
	}
	for _, w := range walls {
		if w.rows < leastRows {
			continue
		}
		w.y = foot.Millimetres() - w.height()
		var t tiling
		t.add(w, c.look.Tiles.Order, nil)
		c.ornament = append(c.ornament, t.items(c.way)...)
	}
}

// leastRows is how many rows a wall on the back has at least; one row would be a
// border of nothing.
const leastRows = 2
