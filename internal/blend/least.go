package blend

import (
	"cmp"
	"math"
	"slices"
)

// Least gives the least of a linear cost over all compositions of the union, and one
// that attains it: +Inf and nil where there is none. It is exact but for rounding.
func (u Union) Least(cost []float64) (low float64, at []float64) {
	m := NewMinimiser(Mix{Union: u})
	return m.Least(cost), m.At()
}

// A Minimiser answers many questions about one mix. It keeps what does not hang on the
// cost, and room to work in, so it is not for several goroutines at once.
type Minimiser struct {
	sets   []program
	of     []*Minimiser // of each part that is a mix itself; nil for a plain one
	leaves int
	costs  []float64 // of the parts, once their own mixes are settled
	at     []float64 // of the parts
	best   []float64
	inner  [][]float64 // of each part that is a mix: where its own least is
	leaf   []float64
	found  bool
}

// NewMinimiser makes a minimiser of a mix.
func NewMinimiser(m Mix) *Minimiser {
	var z Minimiser
	n := len(m.Of)
	for _, s := range m.Union {
		n = len(s.Low)
		if p, ok := newProgram(s); ok {
			z.sets = append(z.sets, p)
		}
	}
	z.costs, z.at, z.best = make([]float64, n), make([]float64, n), make([]float64, n)
	z.leaves = n
	if len(m.Of) > 0 {
		z.of, z.inner = make([]*Minimiser, n), make([][]float64, n)
		for i, inner := range m.Of {
			if inner != nil {
				z.of[i] = NewMinimiser(*inner)
				z.leaves += z.of[i].leaves - 1
			}
		}
	}
	z.leaf = make([]float64, z.leaves)
	return &z
}

// Least gives the least cost, with one cost a plain part; +Inf where the mix is empty.
// The mix is linear in the shares of each part that is a mix, so that each stands at its
// own least.
func (z *Minimiser) Least(cost []float64) float64 {
	costs := cost
	if z.of != nil {
		next := 0
		for i, inner := range z.of {
			if inner == nil {
				z.costs[i] = cost[next]
				next++
				continue
			}
			z.costs[i] = inner.Least(cost[next : next+inner.leaves])
			z.inner[i] = inner.At()
			next += inner.leaves
		}
		costs = z.costs
	}
	low := math.Inf(1)
	z.found = false
	for i := range z.sets {
		if value := z.sets[i].least(costs, z.at); value < low {
			low, z.found = value, true
			z.best, z.at = z.at, z.best
		}
	}
	return low
}

// At gives the composition at which the last least stands, one share a plain part; nil
// where there is none. The next question overwrites it.
func (z *Minimiser) At() []float64 {
	switch {
	case !z.found:
		return nil
	case z.of == nil:
		return z.best
	}
	next := 0
	for i, share := range z.best {
		if z.of[i] == nil {
			z.leaf[next] = share
			next++
			continue
		}
		for _, part := range z.inner[i] {
			z.leaf[next] = share * part
			next++
		}
	}
	return z.leaf
}

// A program is a set made ready for the question of its least.
//
// Shares that do not rise are cut into layers by the values of their bounds. Within a
// layer, whose height is dt, those that reach through it are the first k of their run,
// and the bounds say how few and how many. A layer's cost is that of its first k parts,
// and the least over k for each amount is the lower hull of these costs. What is left to
// share out after the low bounds goes to the cheapest pieces of all hulls: their slopes
// rise in each, so that no piece is taken before the one below it. In whatever order the
// layers of a run are filled, its shares do not rise, since each layer is one of the first
// parts of the run.
type program struct {
	low    []float64
	rest   float64 // what the low bounds leave of 1
	layers []layer
	pieces []piece
}

// A layer is one slice of a run: parts from start on, of which at least few and at most
// many reach through it.
type layer struct {
	start, few, many int
	height           float64
}

// A piece of a hull goes from so many parts of a layer to so many at the slope given.
type piece struct {
	slope    float64
	layer    int
	from, to int
}

func newProgram(s Set) (program, bool) {
	t, err := s.tighten()
	if err != nil {
		return program{}, false
	}
	p := program{low: t.Low, rest: 1}
	for _, low := range t.Low {
		p.rest -= low
	}
	n := len(t.Low)
	for start := 0; start < n; {
		end := start + 1
		for end < n && t.Down[end-1] {
			end++
		}
		p.addLayers(t, start, end)
		start = end
	}
	return p, true
}

// addLayers cuts a run into its layers, the lowest first.
func (p *program) addLayers(t Set, start, end int) {
	var cuts []float64
	for i := start; i < end; i++ {
		cuts = append(cuts, t.Low[i], t.High[i])
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	for c := 1; c < len(cuts); c++ {
		few, many := 0, 0
		for i := start; i < end; i++ {
			if t.Low[i] >= cuts[c] {
				few++
			}
			if t.High[i] >= cuts[c] {
				many++
			}
		}
		if many > few {
			p.layers = append(p.layers, layer{start, few, many, cuts[c] - cuts[c-1]})
		}
	}
}

// least gives the least cost and writes where it stands into at.
func (p *program) least(cost, at []float64) float64 {
	value := 0.0
	for i, low := range p.low {
		at[i] = low
		value += low * cost[i]
	}
	left := p.rest
	if left <= 0 || len(p.layers) == 0 {
		return value
	}
	p.pieces = p.pieces[:0]
	for l := range p.layers {
		p.hull(l, cost)
	}
	if len(p.layers) > 1 { // of one layer they stand in order
		slices.SortStableFunc(p.pieces, func(a, b piece) int { return cmp.Compare(a.slope, b.slope) })
	}
	for _, piece := range p.pieces {
		layer := p.layers[piece.layer]
		height := min(layer.height, left/float64(piece.to-piece.from))
		for i := layer.start + piece.from; i < layer.start+piece.to; i++ {
			at[i] += height
			value += height * cost[i]
		}
		if left -= height * float64(piece.to-piece.from); left <= 0 {
			break
		}
	}
	return value
}

// hull adds the pieces of the lower hull of a layer: each goes from the parts taken so
// far to those at which the mean cost of what is added is least.
func (p *program) hull(l int, cost []float64) {
	layer := p.layers[l]
	first := len(p.pieces)
	for k := layer.few; k < layer.many; k++ {
		p.pieces = append(p.pieces, piece{cost[layer.start+k], l, k, k + 1})
		// Neighbours whose slopes fall are one piece with the slope between.
		for last := len(p.pieces) - 1; last > first && p.pieces[last-1].slope >= p.pieces[last].slope; last-- {
			a, b := p.pieces[last-1], p.pieces[last]
			na, nb := float64(a.to-a.from), float64(b.to-b.from)
			p.pieces[last-1] = piece{(a.slope*na + b.slope*nb) / (na + nb), l, a.from, b.to}
			p.pieces = p.pieces[:last]
		}
	}
}
