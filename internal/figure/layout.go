package figure

import (
	"math"

	"saponym/internal/scene"
	"saponym/internal/trail"
)

// A frame is where the columns stand on the paper.
type frame struct {
	size    scene.Size
	words   length    // how wide the words of a column are
	x       [3]length // the left edge of the words of each column
	in, out [3]length // the left edges of the gauges that ribbons come to and leave from
}

// frameOf divides the width of the paper. The two fields of ribbons are equal.
func frameOf(size scene.Size) (frame, error) {
	inner := size.W - 2*margin
	f := frame{size: size, words: min(inner*19/100, 48*mm)}
	f.x[0] = margin
	f.out[0] = f.x[0] + f.words + besides
	f.x[2] = size.W - margin - f.words
	f.in[2] = f.x[2] - lane - gaugeWidth
	left, right := f.out[0]+gaugeWidth, f.in[2]
	block := f.words + 2*(gaugeWidth+besides)
	run := (right - left - block) / 2
	if f.words < 15*mm || run < 10*mm {
		return frame{}, &NarrowError{size.W}
	}
	f.in[1] = left + run
	f.x[1] = f.in[1] + gaugeWidth + besides
	f.out[1] = f.x[1] + f.words + besides
	return f, nil
}

// A slot is the room of a node in its column.
type slot struct {
	node   trail.Node
	field  string
	cell   cell
	most   float64 // grams that its gauge must have room for
	y, h   length
	height length // of the gauge
	// What lit ribbons take up of the gauge where they leave, and of the one that they
	// come to.
	lit [2][]span
}

// zero is where nought grams stand on the gauge: at its foot.
func (s *slot) zero() length { return s.y + (s.h+s.height)/2 }

// top is the upper end of the gauge.
func (s *slot) top() length { return s.zero() - s.height }

func (s *slot) centre() length { return s.y + s.h/2 }

// A plan is a flow with the place of everything in it. Places run from the upper
// edge of the columns.
type plan struct {
	flow   trail.Flow
	frame  frame
	d      density
	head   head
	key    key
	slots  [3][]slot
	scale  float64 // nanometres a gram
	room   length  // for the columns on one page
	height length  // of the columns
	grown  bool    // they are higher than a page
}

// shares are how much of the height of a page the gauges of the heaviest column
// should fill at least. Smaller letters are worth more than a poorer share, down to
// the last one, below which widths say little.
var shares = [...]float64{0.5, 0.35, 0.2}

// mostShare is how much they may fill: it leaves room between them.
const mostShare = 0.8

// grownShare is how much of a page they fill in a picture of several pages.
const grownShare = 0.35

// lay plans a flow: across the paper if its letters need not be small for that,
// else upright, else higher than a page.
func lay(f trail.Flow, paper scene.Size) (*plan, error) {
	if err := check(f); err != nil {
		return nil, err
	}
	long, short := max(paper.W, paper.H), min(paper.W, paper.H)
	var across [densitySteps]*plan
	for step := range across {
		p, err := planOf(f, scene.Size{W: long, H: short}, densityAt(step), false)
		if err != nil {
			return nil, err
		}
		across[step] = p
	}
	for _, share := range shares {
		for _, p := range across {
			if p.fit(share) {
				return p, nil
			}
		}
	}
	upright := scene.Size{W: short, H: long}
	for step := range densitySteps + 1 {
		p, err := planOf(f, upright, densityAt(step), false)
		if err != nil {
			return nil, err
		}
		if p.fit(shares[len(shares)-1]) {
			return p, nil
		}
	}
	return several(f, upright)
}

// several plans a flow over several pages: as few as the tightest setting needs, in
// the roomiest one that needs no more.
func several(f trail.Flow, size scene.Size) (*plan, error) {
	best, err := planOf(f, size, densityAt(densitySteps), true)
	if err != nil {
		return nil, err
	}
	if err := best.grow(); err != nil {
		return nil, err
	}
	for step := range densitySteps {
		p, err := planOf(f, size, densityAt(step), true)
		if err != nil {
			return nil, err
		}
		if p.grow() == nil && p.pages() <= best.pages() {
			return p, nil
		}
	}
	return best, nil
}

// pages counts the pages that the columns take.
func (p *plan) pages() int { return int((p.height + p.room - 1) / p.room) }

// planOf sets all words of a flow and finds the room that is left for the columns.
func planOf(f trail.Flow, size scene.Size, d density, grown bool) (*plan, error) {
	fr, err := frameOf(size)
	if err != nil {
		return nil, err
	}
	p := &plan{flow: f, frame: fr, d: d, grown: grown}
	for c, nodes := range [3][]trail.Node{f.Weighed, f.Bar, f.Words} {
		for i, n := range nodes {
			n.Gone = n.Gone && c == 1
			words, err := cellOf(n, place(c, i), fr.words, d)
			if err != nil {
				return nil, err
			}
			p.slots[c] = append(p.slots[c], slot{node: n, field: place(c, i), cell: words, most: n.Grams.High})
		}
	}
	// What passes through a node may be told as more than the node itself.
	for c, ribbons := range [2][]trail.Ribbon{f.Made, f.Named} {
		out, in := make([]float64, len(p.slots[c])), make([]float64, len(p.slots[c+1]))
		for _, r := range ribbons {
			out[r.From] += r.Grams.Nominal
			in[r.To] += r.Grams.Nominal
		}
		for i, g := range out {
			p.slots[c][i].most = max(p.slots[c][i].most, g)
		}
		for i, g := range in {
			p.slots[c+1][i].most = max(p.slots[c+1][i].most, g)
		}
	}
	if p.head, err = p.heading(); err != nil {
		return nil, err
	}
	if p.key, err = p.keyOf(); err != nil {
		return nil, err
	}
	p.room = size.H - p.head.height - p.key.height - 2*margin
	return p, nil
}

// tall says what takes more than a page.
func (p *plan) tall() error {
	if least := p.frame.size.H / 4; p.room < least {
		return &TallError{Height: p.head.height + p.key.height, Room: p.room + p.head.height + p.key.height - least}
	}
	for _, column := range p.slots {
		for _, s := range column {
			if s.cell.height > p.room {
				return &TallError{s.field, s.cell.height, p.room}
			}
		}
	}
	return nil
}

// heaviest gives the grams that the gauges of the heaviest column have room for.
func (p *plan) heaviest() float64 {
	most := 0.0
	for _, column := range p.slots {
		sum := 0.0
		for _, s := range column {
			sum += s.most
		}
		most = max(most, sum)
	}
	return most
}

// stretch measures the slots by a scale, in nanometres a gram, and gives the
// height of the tallest column and which one that is.
func (p *plan) stretch(scale float64) (height length, tallest int) {
	p.scale = scale
	for c := range p.slots {
		column := p.d.gap * length(max(len(p.slots[c])-1, 0))
		for i := range p.slots[c] {
			s := &p.slots[c][i]
			if s.height = 0; s.most > 0 {
				s.height = max(p.thick(s.most), thinnest)
			}
			s.h = max(s.cell.height, s.height)
			column += s.h
		}
		if column > height {
			height, tallest = column, c
		}
	}
	return height, tallest
}

// thick gives how thick a mass is.
func (p *plan) thick(grams float64) length { return length(math.Round(grams * p.scale)) }

// fit chooses the largest scale at which all columns have room on the page, and
// places the nodes. It reports false if the letters do not leave the gauges their
// share of the height.
func (p *plan) fit(share float64) bool {
	p.height = p.room
	if p.tall() != nil {
		return false
	}
	most := 0.0
	if all := p.heaviest(); all >= leastGrams {
		most = mostShare * float64(p.room) / all
	}
	low, high := 0.0, most
	if height, _ := p.stretch(0); height > p.room {
		return false
	}
	if height, _ := p.stretch(most); height <= p.room {
		low = most
	}
	for range 50 {
		middle := low + (high-low)/2
		if height, _ := p.stretch(middle); height <= p.room {
			low = middle
		} else {
			high = middle
		}
	}
	_, tallest := p.stretch(low)
	if most > 0 && low/most*mostShare < share {
		return false
	}
	p.spread(tallest)
	switch tallest {
	case 0:
		p.follow(1, 0)
		p.follow(2, 1)
	case 1:
		p.follow(0, 1)
		p.follow(2, 1)
	default:
		p.follow(1, 2)
		p.follow(0, 1)
	}
	return true
}

// grow places the nodes below each other on as many pages as they need. None
// stands across the edge of a page.
func (p *plan) grow() error {
	if err := p.tall(); err != nil {
		return err
	}
	scale := 0.0
	if all := p.heaviest(); all >= leastGrams {
		scale = grownShare * float64(p.room) / all
	}
	p.stretch(scale)
	p.height = 0
	for c := range p.slots {
		p.height = max(p.height, p.pour(c, 0))
	}
	p.height = length(p.pages()) * p.room
	for c := range p.slots {
		// What a column is shorter by goes between its nodes, so far as that does
		// not push one over the edge of the last page.
		more := (p.height - p.total(c)) / length(max(len(p.slots[c])-1, 1))
		for p.pour(c, more) > p.height {
			more -= more/20 + 1
		}
	}
	return nil
}

// pour places the nodes of a column below each other, with so much room between
// them beside the gap, and gives the foot of the last one. None stands across the
// edge of a page.
func (p *plan) pour(c int, more length) (foot length) {
	y := length(0)
	for i := range p.slots[c] {
		s := &p.slots[c][i]
		if left := p.room - y%p.room; s.h > left {
			y += left
		}
		s.y = y
		foot = y + s.h
		y = foot + p.d.gap + max(more, 0)
	}
	return foot
}

// spread places the nodes of a column evenly over the height.
func (p *plan) spread(c int) {
	slots := p.slots[c]
	left := p.height - p.total(c)
	y := length(0)
	if len(slots) == 1 {
		y = left / 2
	}
	for i := range slots {
		slots[i].y = y
		y += slots[i].h + p.d.gap + left/length(max(len(slots)-1, 1))
	}
}

func (p *plan) total(c int) length {
	total := p.d.gap * length(max(len(p.slots[c])-1, 0))
	for _, s := range p.slots[c] {
		total += s.h
	}
	return total
}

// follow places the nodes of a column as near as may be, in their order, to those
// of another that ribbons join them to: the sum of the squares of what they are
// off, weighed by the mass of the ribbons, is the least that there is. Once the
// heights of the nodes before are taken off, places need only not fall, so this
// is the regression that pools what is out of order.
func (p *plan) follow(c, placed int) {
	slots := p.slots[c]
	p.spread(c) // for those that nothing joins
	sum, weight := make([]float64, len(slots)), make([]float64, len(slots))
	ribbons, own, other := p.flow.Made, func(r trail.Ribbon) int { return r.To }, func(r trail.Ribbon) int { return r.From }
	if max(c, placed) == 2 {
		ribbons = p.flow.Named
	}
	if c < placed {
		own, other = other, own
	}
	// A trace pulls a little too, so that it does not stand just anywhere.
	least := p.heaviest()/1e4 + 1e-9
	for _, r := range ribbons {
		w := r.Grams.Nominal + least
		sum[own(r)] += w * float64(p.slots[placed][other(r)].centre())
		weight[own(r)] += w
	}
	type pool struct {
		at, weight float64
		nodes      int
	}
	var pools []pool
	before := make([]length, len(slots))
	above := length(0)
	for i, s := range slots {
		before[i] = above
		above += s.h + p.d.gap
		at, w := float64(s.y), least/1e3
		if weight[i] > 0 {
			at, w = sum[i]/weight[i]-float64(s.h)/2, weight[i]
		}
		last := pool{at - float64(before[i]), w, 1}
		for len(pools) > 0 && pools[len(pools)-1].at > last.at {
			b := pools[len(pools)-1]
			pools = pools[:len(pools)-1]
			w := b.weight + last.weight
			last = pool{(b.at*b.weight + last.at*last.weight) / w, w, b.nodes + last.nodes}
		}
		pools = append(pools, last)
	}
	most := float64(p.height - p.total(c))
	i := 0
	for _, b := range pools {
		at := length(math.Round(max(0, min(b.at, most))))
		for range b.nodes {
			slots[i].y = at + before[i]
			i++
		}
	}
}
