package cure

import (
	"math"

	"saponym/internal/measure"
)

// A Prior is what is believed of a drying before any weighing: the share of water that
// stays, and how fast the rest goes. The zero value is the usual one; [PriorFrom] gives
// one from batches of the maker's own.
type Prior struct {
	own    bool
	belief belief
}

// A belief says of each figure where it lies and how widely.
type belief struct {
	rest  normal // share of the bar at rest that is water
	shape normal // of Page's curve
	half  normal // ln of the days in which a bar of the usual thickness loses half of what it will
	d     normal // ln of the diffusion in m² a day
}

// A normal is a figure that is believed to lie about a mean with a standard deviation.
type normal struct{ mean, sd float64 }

// logDensity is that of a value, up to a constant.
func (n normal) logDensity(v float64) float64 {
	z := (v - n.mean) / n.sd
	return -z * z / 2
}

// usual is the belief without batches of one's own. All of it is judgement: bars on sale
// hold 7 to 18 % of water (Mwanza & Zombe, Open Access Library Journal 2020, 7, 1106147);
// four to six weeks of cure are common practice; no diffusion in soap was found, and the
// figure is reckoned back from a half-time of ten to fourteen days.
var usual = belief{
	rest:  normal{0.10, 0.035},
	shape: normal{0.75, 0.12},
	half:  normal{math.Log(12), math.Ln2},
	d:     normal{math.Log(3e-6), math.Ln2},
}

// narrowest is how sure batches of one's own can make. The next batch has other weather
// and another place on the rack.
var narrowest = belief{
	rest:  normal{sd: 0.02},
	shape: normal{sd: 0.05},
	half:  normal{sd: math.Log(1.25)},
	d:     normal{sd: math.Log(1.25)},
}

// The share of water at rest that is tried: all that was found in bars on sale, and more.
const (
	driest  = 0.02
	wettest = 0.20
)

// usualThickness is that to which half-times refer, in metres. The half-time goes with
// the thickness to the power 1.5: with its square where diffusion inside the bar rules,
// and with itself where the air does (textbook, from memory).
const (
	usualThickness = 0.025
	thicknessPower = 1.5
)

// unsized is by what factor half-times spread more where the size of the bar is not
// known: bars are 15 to 40 mm thick.
var unsized = math.Log(1.5)

// enoughBatches are the fewest from which a belief is drawn.
const enoughBatches = 3

// PriorFrom gives what batches of the maker's own teach on the next one. It takes at least
// three, of like recipe and place; from fewer, the usual one comes back. The spread is
// that between the batches together with how well each is known, never below a floor. Of
// diffusion, only batches whose size is known tell.
func PriorFrom(past []*Course) Prior {
	if len(past) < enoughBatches {
		return Prior{}
	}
	var sized []*Course
	for _, c := range past {
		if c.learnt.d.sd > 0 {
			sized = append(sized, c)
		}
	}
	p := Prior{true, belief{
		rest:  pool(past, narrowest.rest, func(b belief) normal { return b.rest }),
		shape: pool(past, narrowest.shape, func(b belief) normal { return b.shape }),
		half:  pool(past, narrowest.half, func(b belief) normal { return b.half }),
		d:     usual.d,
	}}
	if len(sized) >= enoughBatches {
		p.belief.d = pool(sized, narrowest.d, func(b belief) normal { return b.d })
	}
	return p
}

// pool gives the mean of a figure over batches, and how widely that of the next one is
// spread about it.
func pool(past []*Course, floor normal, of func(belief) normal) normal {
	n := float64(len(past))
	sum, within := 0.0, 0.0
	for _, c := range past {
		v := of(c.learnt)
		sum += v.mean
		within += v.sd * v.sd
	}
	mean, between := sum/n, 0.0
	for _, c := range past {
		off := of(c.learnt).mean - mean
		between += off * off
	}
	return normal{mean, max(floor.sd, math.Sqrt(within/n+between/(n-1)*(1+1/n)))}
}

// A sizedBelief is a belief on bars of one size.
type sizedBelief struct {
	belief
	edges [3]float64 // m; 0 if unknown
	slow  float64    // ln of the half-time over that of the usual thickness
}

// of gives the belief for a drying.
func (p Prior) of(size [3]measure.Length) sizedBelief {
	s := sizedBelief{belief: usual}
	if p.own {
		s.belief = p.belief
	}
	thickness := min(size[0], size[1], size[2])
	if thickness == 0 {
		s.half.sd = math.Hypot(s.half.sd, unsized)
		return s
	}
	for i, edge := range size {
		s.edges[i] = edge.Millimetres() / 1000
	}
	s.slow = thicknessPower * math.Log(thickness.Millimetres()/1000/usualThickness)
	return s
}

func (s sizedBelief) sized() bool { return s.edges[0] > 0 }
