package band

import (
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// An arch is an opening with upright jambs and a top of two curves, in
// millimetres. It is symmetrical about x = middle.
type arch struct {
	middle, half float64 // half is half the width
	apex         float64 // the highest point
	spring       float64 // where the jambs end and the curves begin
	sill         float64
}

// The shape of the top: how high it rises, in half widths and at most as a part
// of the opening; and the control points, found by eye. The slight point at the
// apex is that of a tiled niche.
const (
	archRise    = 0.505
	archMost    = 0.36
	shoulderUp  = 0.72 // of the rise, the arm at the spring
	shoulderIn  = 0.42 // of the half width, the arm at the apex
	apexPeak    = 0.02 // of the rise, by which that arm hangs below the apex
	archSamples = 40
)

func newArch(middle, half, apex, sill float64) arch {
	return arch{middle, half, apex, apex + min(archRise*half, archMost*(sill-apex)), sill}
}

// inset gives the arch within this one, so far from its edge all round but for
// the sill.
func (a arch) inset(by float64) arch {
	// The curve falls away from the apex, so there the inner one has to lie
	// lower than by the bare distance to keep it everywhere.
	return arch{a.middle, a.half - by, a.apex + 1.06*by, a.spring + 0.13*by, a.sill}
}

// curve gives the control points of the left half, from the spring to the apex.
func (a arch) curve() (from, one, two, to vector) {
	rise := a.spring - a.apex
	return vector{a.middle - a.half, a.spring}, vector{a.middle - a.half, a.spring - shoulderUp*rise},
		vector{a.middle - shoulderIn*a.half, a.apex + apexPeak*rise}, vector{a.middle, a.apex}
}

// path draws the arch from sill to sill. It is not closed along the sill, where
// the wall ends.
func (a arch) path() scene.Path {
	from, one, two, to := a.curve()
	mirror := func(v vector) scene.Point { return at(2*a.middle-v.x, v.y) }
	var p scene.Path
	p.Move(measure.MM(from.x), measure.MM(a.sill)).Line(measure.MM(from.x), measure.MM(from.y)).
		Curve(at(one.x, one.y), at(two.x, two.y), at(to.x, to.y)).
		Curve(mirror(two), mirror(one), mirror(from)).
		Line(measure.MM(2*a.middle-from.x), measure.MM(a.sill))
	return p
}

// halfAt gives half the width of the opening at a height, and less than nought
// above it.
func (a arch) halfAt(y float64) float64 {
	switch {
	case y < a.apex || y > a.sill:
		return -1
	case y >= a.spring:
		return a.half
	}
	from, one, two, to := a.curve()
	low, high := 0.0, 1.0 // y falls along the curve
	for range archSamples {
		t := (low + high) / 2
		if cubic(from, one, two, to, t).y > y {
			low = t
		} else {
			high = t
		}
	}
	return a.middle - cubic(from, one, two, to, low).x
}

// holds reports whether a box that is centred lies within the arch.
func (a arch) holds(width, top, bottom float64) bool {
	return bottom <= a.sill && width/2 <= min(a.halfAt(top), a.half)
}

// covers reports whether a tile lies within the arch as a whole, so that nothing
// of it would be seen. The sill covers what stands lower.
func (a arch) covers(x, y, side float64) bool {
	reach := max(a.middle-(x-side/2), x+side/2-a.middle)
	return y <= a.sill && reach <= a.halfAt(y-side/2)+1e-6
}
