package bar

import "math"

// crest climbs a concave function of one number to its top. f gives the value and a slope
// at a place: of its straight pieces, any that meets there. It stops when the top is
// reached but for rounding, or the value is enough; what it gives is a value of the
// function always, so that a bound is one even if the top was not reached.
func crest(start, step, enough float64, f func(x float64) (value, slope float64)) (x, top float64) {
	type place struct{ x, value, slope float64 }
	visit := func(at float64) place {
		value, slope := f(at)
		if value > top {
			x, top = at, value
		}
		return place{at, value, slope}
	}
	x, top = start, math.Inf(-1)
	here := visit(start)
	if here.slope == 0 || top >= enough || math.IsInf(here.value, 0) || math.IsNaN(here.value) {
		return x, top
	}
	// Go uphill until the slope turns.
	var up, down place
	direction := math.Copysign(step, here.slope)
	for n := 0; ; n++ {
		next := visit(here.x + direction)
		if top >= enough || math.IsInf(next.value, 0) || n == mostSteps {
			return x, top
		}
		if next.slope*direction <= 0 {
			up, down = here, next
			break
		}
		here, direction = next, 4*direction
	}
	if direction < 0 {
		up, down = down, up
	}
	// Between the two, the tangents meet above the top.
	same := 0 // times in a row that one side has moved: below nought for the far one
	for range mostSteps {
		width := down.x - up.x
		at := up.x + (down.value-up.value-down.slope*width)/(up.slope-down.slope)
		if reach := up.value + up.slope*(at-up.x); reach-top <= 1e-13*(math.Abs(reach)+math.Abs(top)) {
			return x, top
		}
		if same > 2 || same < -2 { // a curved function is cut in two
			at, same = up.x+width/2, 0
		}
		if at <= up.x || at >= down.x {
			return x, top
		}
		next := visit(at)
		switch {
		case top >= enough || next.slope == 0:
			return x, top
		case next.slope > 0:
			up, same = next, max(0, same)+1
		default:
			down, same = next, min(0, same)-1
		}
	}
	return x, top
}

// mostSteps is how often crest looks in each of its two stages. Functions of straight
// pieces take a dozen.
const mostSteps = 48
