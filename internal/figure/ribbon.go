package figure

import (
	"cmp"
	"slices"

	"saponym/internal/scene"
	"saponym/internal/trail"
)

// A ribbon is the way of a mass from one gauge to the next, with what it takes up
// of each of the two.
type ribbon struct {
	trail.Ribbon
	field  string
	course course
	body   [2]span // the figure given
	core   [2]span // what is sure, at the foot of the body
	halo   [2]span // what may be, from the foot of the body as far as the gauge goes
}

// unsure reports whether a reader would see that the mass may be another.
func unsure(g trail.Grams) bool {
	_, between := figures(g)
	return between != ""
}

// ribbons gives the ribbons of both fields. At each gauge they are stacked by the
// figures given, in the order of the nodes that they join it to, so that those
// which begin or end together do not cross.
func (p *plan) ribbons() []*ribbon {
	var all []*ribbon
	for c, ribbons := range [2][]trail.Ribbon{p.flow.Made, p.flow.Named} {
		way := course{p.frame.out[c] + gaugeWidth, p.frame.in[c+1]}
		var field []*ribbon
		for _, r := range ribbons {
			field = append(field, &ribbon{Ribbon: r, field: join(c, r), course: way})
		}
		from := func(r *ribbon) int { return r.From }
		to := func(r *ribbon) int { return r.To }
		p.stack(field, 0, p.slots[c], from, to)
		p.stack(field, 1, p.slots[c+1], to, from)
		all = append(all, field...)
	}
	return all
}

// stack gives each ribbon its span on one side: at the gauge of one node, in the
// order of the other.
func (p *plan) stack(field []*ribbon, side int, slots []slot, node, other func(*ribbon) int) {
	at := make([][]*ribbon, len(slots))
	for _, r := range field {
		at[node(r)] = append(at[node(r)], r)
	}
	for i, ribbons := range at {
		slices.SortStableFunc(ribbons, func(a, b *ribbon) int { return cmp.Compare(other(a), other(b)) })
		left := 0.0
		for _, r := range ribbons {
			left += r.Grams.Nominal
		}
		s := &slots[i]
		gauge := span{s.top(), s.zero()}
		s.lit[side] = nil
		for _, r := range ribbons {
			top := s.zero() - p.thick(left)
			left = max(left-r.Grams.Nominal, 0)
			body := span{top, s.zero() - p.thick(left)}
			r.core[side] = span{body.bottom - min(p.thick(r.Grams.Low), body.thick()), body.bottom}
			r.halo[side] = span{body.bottom - max(p.thick(r.Grams.High), body.thick()), body.bottom}.within(gauge)
			if body.thick() < thinnest {
				body = body.around(thinnest).within(gauge)
			}
			r.body[side] = body
			if r.Lit {
				s.lit[side] = append(s.lit[side], body)
			}
		}
	}
}

// leastHalo is by how much a halo must be thicker than its body to be drawn.
const leastHalo = 3 * mm / 10

// drawHalo draws how thick a ribbon may be: a dashed edge, and a hatch if it is lit.
func (r *ribbon) drawHalo(c *canvas) {
	more := func(side int) length { return r.halo[side].thick() - r.body[side].thick() }
	if !unsure(r.Grams) || max(more(0), more(1)) < leastHalo {
		return
	}
	edge := scene.Path{Stroke: rule, Width: 90 * um, Dash: dashes}
	if r.Lit {
		edge.Stroke, edge.Width = weldEdge, 220*um
		c.band(r.field, r.course, r.halo[0], r.halo[1], white)
		r.hatch(c, r.body, r.halo)
	}
	c.edge(r.field, r.course, r.halo[0].top, r.halo[1].top, edge)
	if r.halo[0].bottom != r.body[0].bottom || r.halo[1].bottom != r.body[1].bottom {
		c.edge(r.field, r.course, r.halo[0].bottom, r.halo[1].bottom, edge)
	}
}

// hatch fills what lies round one part of a ribbon up to the edges of another.
func (r *ribbon) hatch(c *canvas, inner, outer [2]span) {
	lines := scene.Path{Stroke: hair, Width: 90 * um}
	if r.Lit {
		lines = scene.Path{Stroke: weldEdge, Width: 110 * um}
	}
	if max(inner[0].top-outer[0].top, inner[1].top-outer[1].top) >= leastHatch {
		c.hatch(r.field, r.course, [2]length{inner[0].top, inner[1].top}, [2]length{outer[0].top, outer[1].top}, lines)
	}
	if max(outer[0].bottom-inner[0].bottom, outer[1].bottom-inner[1].bottom) >= leastHatch {
		c.hatch(r.field, r.course, [2]length{outer[0].bottom, outer[1].bottom}, [2]length{inner[0].bottom, inner[1].bottom}, lines)
	}
}

// leastHatch is how thick a field must be for a hatch to be seen in it.
const leastHatch = mm / 2

// draw draws the body of a ribbon, with what is sure of it.
func (r *ribbon) draw(c *canvas, hairline bool) {
	if r.Grams.High == 0 {
		return
	}
	if hairline {
		r.drawHairline(c)
		return
	}
	fill, may, line := ground, white, scene.Path{Stroke: hair, Width: 100 * um}
	if r.Lit {
		fill, may, line = weld, weldPale, scene.Path{Stroke: weldEdge, Width: 250 * um}
	}
	if !unsure(r.Grams) {
		c.band(r.field, r.course, r.body[0], r.body[1], fill)
	} else {
		c.band(r.field, r.course, r.body[0], r.body[1], may)
		r.hatch(c, r.core, r.body)
		if r.core[0].thick() > 0 {
			c.band(r.field, r.course, r.core[0], r.core[1], fill)
		}
	}
	out := line.Width / 2 // so that the line covers nothing of the ribbon
	c.edge(r.field, r.course, r.body[0].top-out, r.body[1].top-out, line)
	c.edge(r.field, r.course, r.body[0].bottom+out, r.body[1].bottom+out, line)
}

// drawHairline draws a mass that is too little to see. It is dashed if it may be
// another.
func (r *ribbon) drawHairline(c *canvas) {
	left, right := (r.body[0].top+r.body[0].bottom)/2, (r.body[1].top+r.body[1].bottom)/2
	line := scene.Path{Stroke: rule, Width: thinnest * 3 / 5}
	if r.Lit {
		c.edge(r.field, r.course, left, right, scene.Path{Stroke: weldEdge, Width: 4 * thinnest})
		line = scene.Path{Stroke: weld, Width: 2 * thinnest}
	}
	if unsure(r.Grams) {
		line.Dash = dashes
	}
	c.edge(r.field, r.course, left, right, line)
}

// drawRibbons draws the lit or the unlit ribbons: what may be lies under
// what is given, and thick ones under thin ones.
func (p *plan) drawRibbons(c *canvas, ribbons []*ribbon, lit bool) {
	var some []*ribbon
	for _, r := range ribbons {
		if r.Lit == lit {
			some = append(some, r)
		}
	}
	slices.SortStableFunc(some, func(a, b *ribbon) int { return cmp.Compare(b.Grams.Nominal, a.Grams.Nominal) })
	for _, r := range some {
		r.drawHalo(c)
	}
	for _, r := range some {
		r.draw(c, p.thick(r.Grams.Nominal) < thinnest)
	}
}
