package figure

import (
	"strings"

	"saponym/internal/scene"
	"saponym/internal/text"
	"saponym/internal/trail"
)

// A head is what stands above the columns on each page.
type head struct {
	items  []scene.Item
	height length
}

// heading sets the title, the word that is asked for, and the heads of the columns.
func (p *plan) heading() (head, error) {
	var h head
	inner := p.frame.size.W - 2*margin
	title := block{width: inner * 3 / 5}
	if err := title.pair(run{p.flow.Formula, serif(p.d.title)}, run{}); err != nil {
		return head{}, err
	}
	line := "from the pot to the words of the label"
	if p.flow.Market != "" {
		line += ", " + p.flow.Market
	}
	if err := title.pair(run{line, italic(p.d.head * 4 / 5)}, run{}); err != nil {
		return head{}, err
	}
	h.items = title.cell().at(scene.Point{X: margin, Y: margin})
	foot := title.foot
	if p.flow.Word != "" {
		asked, err := p.asked(inner / 3)
		if err != nil {
			return head{}, err
		}
		foot = max(foot, asked.height)
		h.items = append(h.items, asked.at(scene.Point{X: margin + inner, Y: margin + foot - asked.height})...)
	}
	y := margin + foot + 2*mm
	if p.flow.NoLye != "" {
		why, err := p.noLye(inner)
		if err != nil {
			return head{}, err
		}
		h.items = append(h.items, why.at(scene.Point{X: margin, Y: y})...)
		y += why.height + 3*mm/2
	}
	bench := &scene.Path{Stroke: ink, Width: 800 * um}
	h.items = append(h.items, scene.Item{Path: bench.Move(margin, y).Line(margin+inner, y)})
	y += 2 * mm
	low := y
	for c := range p.slots {
		items, height, err := p.columnHead(c, y)
		if err != nil {
			return head{}, err
		}
		h.items = append(h.items, items...)
		low = max(low, y+height)
	}
	low += mm
	for c := range p.slots {
		left, right := p.extent(c)
		under := &scene.Path{Stroke: rule, Width: 150 * um}
		h.items = append(h.items, scene.Item{Path: under.Move(left, low).Line(right, low)})
	}
	h.height = low + 3*mm - margin
	return h, nil
}

// noLye sets on one line why no weight of lye is given. Of a long sentence it leaves out
// the working behind its colon, and then what has no room.
func (p *plan) noLye(width length) (cell, error) {
	const before = "No weight of lye is given: "
	style := strong(p.d.name, ink, "")
	why := p.flow.NoLye
	for long := true; ; {
		r := run{before + why, style}
		l, err := text.OneLine(text.Words(r.words, style)...)
		if err != nil {
			return cell{}, err
		}
		over, _, err := r.leading()
		if err != nil {
			return cell{}, err
		}
		end := strings.LastIndexByte(strings.TrimSuffix(why, more), ' ')
		if l.Width <= width || end < 0 {
			b := block{width: width}
			err := b.put([]text.Line{l}, r, over, text.Left, 0)
			return b.cell(), err
		}
		if clause, _, ok := strings.Cut(why, ": "); ok && long {
			why, long = clause, false
			continue
		}
		why = strings.TrimRight(why[:end], " ,;:") + more
	}
}

// more stands for what is left out.
const more = " …"

// An ask is the word that is asked for, set against the right margin.
type ask struct {
	box    scene.Rect // from the right end of the line
	above  cell
	word   cell
	width  length
	height length
}

// asked sets the word that is asked for.
func (p *plan) asked(width length) (ask, error) {
	above, word := block{width: width}, block{width: width - 2*pad}
	if err := above.pair(run{}, run{"the trail of", italic(p.d.head * 7 / 10)}); err != nil {
		return ask{}, err
	}
	asked := run{p.flow.Word, strong(p.d.name*5/4, ink, "")}
	lines, _, err := asked.beside(text.Line{}, word.width)
	if err != nil {
		return ask{}, err
	}
	var most length
	for _, l := range lines {
		most = max(most, l.Width)
	}
	over, _, err := asked.leading()
	if err != nil {
		return ask{}, err
	}
	if err := word.put(lines, asked, over, text.Left, 0); err != nil {
		return ask{}, err
	}
	a := ask{above: above.cell(), word: word.cell(), width: width}
	a.box = scene.Rect{X: -most - 2*pad, Y: above.foot + mm, W: most + 2*pad, H: word.foot + mm}
	a.height = a.box.Bottom()
	return a, nil
}

// at gives the items of the word, with the upper right corner at a place.
func (a ask) at(corner scene.Point) []scene.Item {
	box := scene.Rect{X: corner.X + a.box.X, Y: corner.Y + a.box.Y, W: a.box.W, H: a.box.H}
	items := a.above.at(scene.Point{X: corner.X - a.width, Y: corner.Y})
	items = append(items, scene.Item{Path: (&scene.Path{Fill: weld, Stroke: weldEdge, Width: 250 * um}).Rectangle(box)})
	return append(items, a.word.at(scene.Point{X: box.X + pad, Y: box.Y + mm/2})...)
}

// extent gives where a column begins and ends, with its gauges.
func (p *plan) extent(c int) (left, right length) {
	left, right = p.frame.x[c], p.frame.x[c]+p.frame.words
	if c > 0 {
		left = p.frame.in[c]
	}
	if c < 2 {
		right = p.frame.out[c] + gaugeWidth
	}
	return left, right
}

// columnHead sets the name of a column with the mass of what stands in it.
func (p *plan) columnHead(c int, y length) ([]scene.Item, length, error) {
	nodes := [3][]trail.Node{p.flow.Weighed, p.flow.Bar, p.flow.Words}[c]
	here, gone := total(nodes)
	name := [3]string{"In the pot", "In the bar", "In words"}[c]
	below := [3]string{"as weighed", "what became of it", "in the order of the list"}[c]
	if p.flow.NoLye != "" && c == 0 {
		below = "as weighed, without the lye"
	}
	if gone > 0 {
		below = "and " + grams(gone, decimals(gone)) + " that has left it"
	}
	if bar, _ := total(p.flow.Bar); c == 2 && bar-here > leastUnnamed {
		below += "; " + grams(bar-here, decimals(bar-here)) + " is not declared"
	}
	left, right := p.extent(c)
	b := block{width: right - left}
	if err := b.pair(run{name, serif(p.d.head)}, run{grams(here, decimals(here)), sans(p.d.name*11/10, ink, "")}); err != nil {
		return nil, 0, err
	}
	if err := b.pair(run{below, italic(p.d.head * 7 / 10)}, run{}); err != nil {
		return nil, 0, err
	}
	return b.cell().at(scene.Point{X: left, Y: y}), b.foot, nil
}

// leastUnnamed is from how many grams on the picture says that the words leave some out.
const leastUnnamed = 0.05

// total adds up what stands in a column, and what has left it.
func total(nodes []trail.Node) (here, gone float64) {
	for _, n := range nodes {
		switch {
		case n.Gone:
			gone += n.Grams.Nominal
		case !n.Apart:
			here += n.Grams.Nominal
		}
	}
	return here, gone
}

// scene draws the part of the columns that lies in a window, with head and key.
func (p *plan) scene(w window, page string) (scene.Scene, error) {
	c := &canvas{window: w, origin: margin + p.head.height}
	ribbons := p.ribbons()
	for i := range p.slots[1] {
		if s := &p.slots[1][i]; s.node.Gone {
			p.drawAway(c, s, p.frame.out[1])
		}
	}
	p.drawRibbons(c, ribbons, false)
	p.drawRibbons(c, ribbons, true)
	p.drawYokes(c)
	for column := range p.slots {
		for i := range p.slots[column] {
			p.drawNode(c, column, &p.slots[column][i])
		}
	}
	s := scene.Scene{Size: scene.Size{W: p.frame.size.W, H: margin + p.head.height + w.to - w.from + p.key.height + margin}}
	s.Items = append(s.Items, p.head.items...)
	s.Items = append(s.Items, c.items...)
	below, err := p.key.at(p, s.Size.H-margin-p.key.height, page)
	s.Items = append(s.Items, below...)
	return s, err
}
