package band

import (
	"math"

	"saponym/internal/measure"
	"saponym/internal/scene"
)

// How an accent is drawn when there is one ink only: thin parallel lines at 45
// degrees within an outline, never a grey that a printer would make of dots.
// The pitch is measured across the lines.
const (
	hatchPitch = 0.52 // mm
	hatchLine  = 0.20 // mm
	outline    = 0.18 // mm
	rhombLine  = 0.38 // mm
	solidBelow = 1.0  // mm: a smaller shape has no room for lines and is filled
)

// hatched draws convex shapes as outlines with lines across them. All lines of a
// label lie on one grid, so they run on from tile to tile.
func hatched(shapes scene.Path, ink scene.Ink) []scene.Item {
	edges := scene.Path{Stroke: ink, Width: measure.MM(outline)}
	lines := scene.Path{Stroke: ink, Width: measure.MM(hatchLine)}
	solid := scene.Path{Fill: ink}
	for _, part := range parts(shapes) {
		points := flatten(part)
		box := bounds(points)
		if max(box.right-box.left, box.bottom-box.top) < solidBelow {
			solid.Steps = append(solid.Steps, part...)
			continue
		}
		edges.Steps = append(edges.Steps, part...)
		hatch(&lines, points)
	}
	var items []scene.Item
	for _, path := range []*scene.Path{&lines, &edges, &solid} {
		if len(path.Steps) > 0 {
			items = append(items, scene.Item{Path: path})
		}
	}
	return items
}

// hatch adds the lines x + y = constant that cross one convex shape.
func hatch(lines *scene.Path, points []vector) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = min(low, p.x+p.y), max(high, p.x+p.y)
	}
	step := hatchPitch * math.Sqrt2
	for sum := (math.Floor(low/step) + 1) * step; sum < high; sum += step {
		from, to := math.Inf(1), math.Inf(-1) // by x
		for i, p := range points {
			q := points[(i+1)%len(points)]
			a, b := p.x+p.y-sum, q.x+q.y-sum
			if a*b <= 0 && a != b {
				x := p.x + (q.x-p.x)*a/(a-b)
				from, to = min(from, x), max(to, x)
			}
		}
		if to-from > hatchLine {
			lines.Move(measure.MM(from), measure.MM(sum-from)).Line(measure.MM(to), measure.MM(sum-to))
		}
	}
}

// parts cuts a path at its moves.
func parts(p scene.Path) [][]scene.Step {
	var all [][]scene.Step
	for i, step := range p.Steps {
		if step.Verb == scene.MoveTo {
			all = append(all, nil)
		}
		if len(all) > 0 {
			all[len(all)-1] = append(all[len(all)-1], p.Steps[i])
		}
	}
	return all
}

// curveSteps is how many straight lines stand for one curve. At the size of a
// tile they miss it by less than 0.01 mm.
const curveSteps = 16

// flatten gives the corners of one part of a path in millimetres, with straight
// lines for curves.
func flatten(part []scene.Step) []vector {
	var points []vector
	var last vector
	for _, step := range part {
		switch step.Verb {
		case scene.MoveTo, scene.LineTo:
			last = toVector(step.P[0])
			points = append(points, last)
		case scene.CurveTo:
			a, b, end := toVector(step.P[0]), toVector(step.P[1]), toVector(step.P[2])
			for i := 1; i <= curveSteps; i++ {
				points = append(points, cubic(last, a, b, end, float64(i)/curveSteps))
			}
			last = end
		case scene.Close:
			if len(points) > 0 {
				points = append(points, points[0])
			}
		}
	}
	return points
}

// cubic gives the point of a cubic curve at t, from 0 to 1.
func cubic(p, a, b, q vector, t float64) vector {
	s := 1 - t
	c0, c1, c2, c3 := s*s*s, 3*s*s*t, 3*s*t*t, t*t*t
	return vector{c0*p.x + c1*a.x + c2*b.x + c3*q.x, c0*p.y + c1*a.y + c2*b.y + c3*q.y}
}

func toVector(p scene.Point) vector { return vector{p.X.Millimetres(), p.Y.Millimetres()} }

// A box is an upright rectangle in millimetres.
type box struct{ left, top, right, bottom float64 }

// bounds gives the smallest box about some points.
func bounds(points []vector) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		b = box{min(b.left, p.x), min(b.top, p.y), max(b.right, p.x), max(b.bottom, p.y)}
	}
	return b
}
