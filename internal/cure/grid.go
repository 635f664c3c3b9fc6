package cure

import (
	"math"
	"slices"

	"saponym/internal/measure"
)

// How finely the unknown figures are tried.
const (
	restSteps  = 61
	shapeSteps = 12
	halfSteps  = 81
	dSteps     = 121
)

// The shapes of Page's curve that are tried.
const (
	mostBent  = 0.50
	leastBent = 1.05
)

// What every curve is granted, as a share of the first weight. These are judgement, and
// keep the intervals honest: with half of the first, fewer bars of the simulations lie in
// their intervals than the intervals say.
const (
	curveError = 0.005 // how far a bar may be from each curve, since none is the true one
	humidity   = 0.004 // how far the air of a day may move a bar
)

// saturation is the number of weighings after which more of them, on days between, do not
// make the curves more certain: what is wrong with a curve is wrong the next day too. A
// judgement.
const saturation = 4

// lightest is the logarithm of the weight, as a share of the largest, below which a way to
// dry is left out: a thousand millionth. All that are left out are together less than a
// thousandth.
const lightest = -20.7

// standing is how many ways of a family stand for all of them. There are a hundred times
// as many; what is lost is less than one part in standing of each share.
const standing = 8192

// An end is one pair of how much water there was and how much will stay.
type end struct {
	fresh, rest float64 // share of the bar that is water
	left        float64 // weight at rest as a share of the fresh weight
	log         float64 // what was believed of it
}

// gauss are places in a range and their weights, by which the mean of a smooth figure over
// the range is found (Gauss and Legendre, three points).
var gauss = [3]struct{ at, weight float64 }{
	{-math.Sqrt(0.6), 5.0 / 18}, {0, 8.0 / 18}, {math.Sqrt(0.6), 5.0 / 18},
}

// ends gives all that are tried. Of the water at first nothing is known but its range. A
// bar cannot come to rest with more water than it had.
func (b belief) ends(water measure.Range) []end {
	var all []end
	add := func(fresh, weight float64) {
		top := min(wettest, fresh)
		for i := range restSteps {
			rest := driest + (top-driest)*float64(i)/(restSteps-1)
			all = append(all, end{fresh, rest, (1 - fresh) / (1 - rest), b.rest.logDensity(rest) + math.Log(weight)})
		}
	}
	if water.IsPoint() {
		add(water.Low, 1)
		return all
	}
	for _, p := range gauss {
		add(water.Middle()+p.at*(water.High-water.Low)/2, p.weight)
	}
	return all
}

// A believed curve is one with what was believed of it.
type believed struct {
	curve
	log float64
	// The figures by which it was believed: see belief.
	shape, half, d float64
}

// families gives the curves that are tried: without the size of the bar, there are no
// bricks.
func (s sizedBelief) families() []family {
	all := []family{{curves: s.pages()}}
	if s.sized() {
		all = append(all, family{curves: s.bricks()})
	}
	return all
}

// pages gives the curves of Page that are tried.
func (s sizedBelief) pages() []believed {
	var all []believed
	for i := range shapeSteps {
		shape := mostBent + (leastBent-mostBent)*float64(i)/(shapeSteps-1)
		for _, half := range s.half.around(halfSteps) {
			all = append(all, believed{
				curve: page{math.Exp(half + s.slow), shape},
				log:   s.shape.logDensity(shape) + s.half.logDensity(half),
				shape: shape, half: half,
			})
		}
	}
	return all
}

// bricks gives the diffusions that are tried.
func (s sizedBelief) bricks() []believed {
	var all []believed
	for _, d := range s.d.around(dSteps) {
		all = append(all, believed{
			curve: brick{s.edges, math.Exp(d)},
			log:   s.d.logDensity(d),
			d:     d,
		})
	}
	return all
}

// around gives so many values about the mean of a logarithm: three standard deviations to
// either side, and at least a factor of eight, so that weighings can prove a belief wrong.
func (n normal) around(steps int) []float64 {
	reach := max(3*n.sd, math.Log(8))
	all := make([]float64, steps)
	for i := range all {
		all[i] = n.mean + reach*(2*float64(i)/float64(steps-1)-1)
	}
	return all
}

// A way to dry is an end, and a curve that leads to it, that the weighings do not rule
// out.
type way struct {
	curve  int // in its family
	end    end
	fresh  float64 // g that the mean bar of the last run weighed when it was fresh
	weight float64 // all ways of all families together weigh 1
}

// A family is curves of one kind with the ways that they offer.
type family struct {
	curves []believed
	ways   []way
	// While it is compared: for each curve, with each run; for each curve and end.
	sums [][]sums
	off  []float64
}

// A reading is the weight of the mean bar on one day, ready for comparing.
type reading struct {
	day, grams float64
	precision  float64 // 1/variance
}

// readings gives those of the runs. The weighing of the first day hangs on no curve.
func readings(whole []run, origin, noise float64) [][]reading {
	all := make([][]reading, len(whole))
	for k, r := range whole {
		for i, s := range r.sittings {
			variance := noise * noise / float64(len(s.grams))
			if s.day > origin {
				variance += math.Pow(curveError*r.first(), 2)
			}
			all[k] = append(all[k], reading{s.day - origin, r.mean[i], 1 / variance})
		}
	}
	return all
}

// sums are what the comparison of one curve with the readings of a run needs: sums over
// the readings of precision × grams^i × left^j.
type sums struct{ one, left, leftLeft, grams, gramsLeft, gramsGrams float64 }

func compare(c curve, run []reading) sums {
	var s sums
	for _, r := range run {
		left := c.left(r.day)
		s.one += r.precision
		s.left += r.precision * left
		s.leftLeft += r.precision * left * left
		s.grams += r.precision * r.grams
		s.gramsLeft += r.precision * r.grams * left
		s.gramsGrams += r.precision * r.grams * r.grams
	}
	return s
}

// misfit says how far the readings are from the curve to an end, in squared standard
// deviations, when the fresh bar weighed what fits best, which it gives too. Along the
// curve, the bar weighs end + (1−end)·left of that.
func (s sums) misfit(end float64) (squares, fresh float64) {
	lost := 1 - end
	fresh = (end*s.grams + lost*s.gramsLeft) / (end*end*s.one + 2*end*lost*s.left + lost*lost*s.leftLeft)
	return s.gramsGrams - fresh*(end*s.grams+lost*s.gramsLeft), fresh
}

// weigh compares all curves and ends with the readings and keeps the ways that count.
// Each family weighs the same. It gives how many times the variance that was granted the
// readings are off even the curve that comes nearest; no less than 1.
func weigh(families []family, ends []end, all [][]reading) (excess float64) {
	free := -len(all) // readings less what was left open
	for _, run := range all {
		free += len(run)
	}
	least := math.Inf(1)
	for k := range families {
		families[k].compare(ends, all)
		least = min(least, slices.Min(families[k].off))
	}
	excess = max(1, least/float64(free))
	granted := max(excess, float64(free)/(saturation-1))
	for k := range families {
		families[k].keep(ends, granted, 1/float64(len(families)))
	}
	return excess
}

// compare finds how far the readings are from each curve to each end.
func (f *family) compare(ends []end, all [][]reading) {
	f.sums = make([][]sums, len(f.curves))
	f.off = make([]float64, 0, len(f.curves)*len(ends))
	for i, c := range f.curves {
		for _, run := range all {
			f.sums[i] = append(f.sums[i], compare(c, run))
		}
		for _, e := range ends {
			off := 0.0
			for _, s := range f.sums[i] {
				squares, _ := s.misfit(e.left)
				off += squares
			}
			f.off = append(f.off, off)
		}
	}
}

// keep keeps the ways that count, where the variance is so many times what was granted.
// Together they weigh the share of the family.
func (f *family) keep(ends []end, granted, share float64) {
	logs, most := f.off, math.Inf(-1)
	for i, off := range f.off {
		logs[i] = f.curves[i/len(ends)].log + ends[i%len(ends)].log - off/2/granted
		most = max(most, logs[i])
	}
	sum := 0.0
	for i, log := range logs {
		logs[i] = 0
		if log-most >= lightest {
			logs[i] = math.Exp(log - most) // now a weight
		}
		sum += logs[i]
	}
	// They stand in the order of curves and ends. So many marks are set at even distances
	// along their weights; the way on which a mark falls stands for what lies around it.
	passed, marked := 0.0, 0
	for i, weight := range logs {
		passed += weight
		marks := 0
		for float64(marked)+0.5 < passed/sum*standing {
			marks, marked = marks+1, marked+1
		}
		if marks == 0 {
			continue
		}
		w := way{curve: i / len(ends), end: ends[i%len(ends)], weight: share * float64(marks) / standing}
		of := f.sums[w.curve]
		_, w.fresh = of[len(of)-1].misfit(w.end.left)
		f.ways = append(f.ways, w)
	}
	f.sums, f.off = nil, nil
}

// learn gives what the weighings taught of a figure; nothing if there are no families.
func learn(families []family, of func(believed, end) float64) normal {
	var all, sum, squares float64
	for _, f := range families {
		for _, w := range f.ways {
			v := of(f.curves[w.curve], w.end)
			all, sum, squares = all+w.weight, sum+w.weight*v, squares+w.weight*v*v
		}
	}
	if all == 0 {
		return normal{}
	}
	mean := sum / all
	return normal{mean, math.Sqrt(max(0, squares/all-mean*mean))}
}
