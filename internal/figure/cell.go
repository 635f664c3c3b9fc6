package figure

import (
	"saponym/internal/font"
	"saponym/internal/scene"
	"saponym/internal/text"
	"saponym/internal/trail"
)

// A cell is the words of a node, set.
type cell struct {
	lines  []set
	height length
}

// A set is a line at a place, from the upper left corner of its cell.
type set struct {
	line  text.Line
	at    scene.Point
	align text.Align
}

// at gives the items of a cell whose upper left corner is at a place.
func (c cell) at(p scene.Point) []scene.Item {
	var items []scene.Item
	for _, s := range c.lines {
		items = append(items, s.line.Set(scene.Point{X: p.X + s.at.X, Y: p.Y + s.at.Y}, s.align)...)
	}
	return items
}

// cellOf sets the words of a node in a column of a width: the grams stand at the
// end of the first line of the name, and the range beneath them or, where there is
// room and the density asks for it, before them.
func cellOf(n trail.Node, field string, width length, d density) (cell, error) {
	name, note := sans(d.name, ink, field), sans(d.note, second, field)
	if n.Lit {
		name.Face = font.SansCondensedSemiBold
	}
	if n.Gone {
		name.Ink = second
	}
	nominal, bounds := figures(n.Grams)
	if n.Bare {
		nominal, bounds = "", ""
	}
	grams, limits := run{nominal, strong(d.name, name.Ink, field)}, run{bounds, note}
	b := block{width: width}
	if n.Note == "" && bounds != "" {
		done, err := false, error(nil)
		if d.runOn {
			done, err = b.single(run{n.Name, name}, limits, grams)
		}
		if !done && err == nil {
			done, err = b.double(run{n.Name, name}, grams, limits)
		}
		if done || err != nil {
			return b.cell(), err
		}
	}
	if err := b.pair(run{n.Name, name}, grams); err != nil {
		return cell{}, err
	}
	err := b.pair(run{n.Note, note}, limits)
	return b.cell(), err
}

// A run is words in one style.
type run struct {
	words string
	style text.Style
}

// line sets a run on one line.
func (r run) line() (text.Line, error) {
	return text.OneLine(text.Name(r.words, r.style, breakInside)...)
}

// leading gives the room of a line above and below its baseline.
func (r run) leading() (above, below length, err error) {
	if r.words == "" {
		return 0, 0, nil
	}
	f, err := font.Open(r.style.Face)
	if err != nil {
		return 0, 0, err
	}
	above, below = f.Ascent(r.style.Size), f.Descent(r.style.Size)
	more := max(r.style.Size*6/5-above-below, 0)
	return above + more/2, below + more/2, nil
}

// beside breaks a run into lines beside another line; or over the whole width, if a
// word is too long for that, which it then says.
func (r run) beside(end text.Line, width length) (lines []text.Line, shared bool, err error) {
	words := text.Name(r.words, r.style, breakInside)
	longest, err := widest(words)
	if err != nil {
		return nil, false, err
	}
	room := width
	if end.Width > 0 {
		room -= end.Width + between
	}
	if shared = longest <= room; !shared {
		room = width
	}
	lines, err = wrap(words, room)
	return lines, shared, err
}

// A block is a cell that is being filled from above.
type block struct {
	width length
	lines []set
	foot  length // of what is set
}

func (b *block) cell() cell { return cell{b.lines, b.foot} }

// put sets the lines of a run, the first one on a baseline.
func (b *block) put(lines []text.Line, r run, base length, align text.Align, x length) error {
	above, below, err := r.leading()
	for _, l := range lines {
		b.lines = append(b.lines, set{l, scene.Point{X: x, Y: base}, align})
		b.foot = max(b.foot, base+below)
		base += above + below
	}
	return err
}

// pair sets words at the left, in as many lines as they need, and a figure at the
// right. They share the first line unless a word would have to be cut for that.
func (b *block) pair(left, right run) error {
	end, err := right.line()
	if err != nil {
		return err
	}
	words, shared, err := left.beside(end, b.width)
	if err != nil {
		return err
	}
	above, _, err := left.leading()
	if err != nil {
		return err
	}
	over, _, err := right.leading()
	if err != nil {
		return err
	}
	if shared { // then both stand on one baseline
		above = max(above, over)
		over = above
	}
	top := b.foot
	if err := b.put(words, left, top+above, text.Left, 0); err != nil || right.words == "" {
		return err
	}
	if !shared {
		top = b.foot
	}
	return b.put([]text.Line{end}, right, top+over, text.Right, b.width)
}

// single sets a name, its range and its grams on one line. It reports false, and
// sets nothing, if they are too wide.
func (b *block) single(name, limits, grams run) (bool, error) {
	base, _, err := grams.leading()
	if err != nil {
		return false, err
	}
	var lines [3]text.Line
	for i, r := range [3]run{name, limits, grams} {
		if lines[i], err = r.line(); err != nil {
			return false, err
		}
	}
	edge := b.width - lines[2].Width - between
	if lines[0].Width+between+lines[1].Width > edge {
		return false, nil
	}
	if err := b.put(lines[:1], name, base, text.Left, 0); err != nil {
		return false, err
	}
	if err := b.put(lines[1:2], limits, base, text.Right, edge); err != nil {
		return false, err
	}
	return true, b.put(lines[2:], grams, base, text.Right, b.width)
}

// double sets a name of several lines with the range at the end of the second one.
// It reports false, and sets nothing, if the name has one line or no room beside
// the range.
func (b *block) double(name, grams, limits run) (bool, error) {
	end, err := grams.line()
	if err != nil {
		return false, err
	}
	under, err := limits.line()
	if err != nil {
		return false, err
	}
	if lines, shared, err := name.beside(end, b.width); !shared || len(lines) < 2 || err != nil {
		return false, err
	}
	longer := end
	if under.Width > end.Width {
		longer = under
	}
	lines, shared, err := name.beside(longer, b.width)
	if !shared || err != nil {
		return false, err
	}
	above, below, err := name.leading()
	if err != nil {
		return false, err
	}
	if err := b.put(lines, name, above, text.Left, 0); err != nil {
		return false, err
	}
	if err := b.put([]text.Line{end}, grams, above, text.Right, b.width); err != nil {
		return false, err
	}
	return true, b.put([]text.Line{under}, limits, above+below+above, text.Right, b.width)
}
