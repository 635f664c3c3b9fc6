package bar

import (
	"math"

	"saponym/internal/measure"
)

// A Question asks whether a weighted sum of lines can fall below nought: one
// weight a line, and a constant in grams.
type Question struct {
	Weights []float64
	Const   float64
}

// A Verdict is what could be shown of a question.
type Verdict int

const (
	// Unproved means that neither was shown within what the program can do.
	Unproved Verdict = iota
	// Proved means that the sum is not below nought for any bar allowed.
	Proved
	// Refuted means that there is an allowed bar for which it is.
	Refuted
)

// An Answer says what follows of a question. Low is a bound that no allowed bar goes
// below, in grams; where the verdict is Refuted, At is a bar that is allowed and lies
// below nought.
type Answer struct {
	Low     float64
	At      Point
	Verdict Verdict

	masses []float64 // at At
}

// Least answers a question: the least of the weighted sum is Low, or a little more, and At
// is the allowed bar with the least sum that was found.
func (b *Bar) Least(q Question) Answer { return b.solve().answer(q, false) }

// Holds answers a question as soon as its verdict is known: Low and At may be far from the
// least.
func (b *Bar) Holds(q Question) Answer { return b.solve().answer(q, true) }

// Extent gives the part of the esters that has reacted, over all that is allowed; above
// 1 the bar can be lye-heavy, and below 0 there may be acid that has not reacted. Where
// nothing reacts it is nought, but for rounding.
func (b *Bar) Extent() measure.Range {
	v := b.solve()
	return measure.Range{Low: v.extentAt(-1), High: v.extentAt(1)}
}

// sum gives the value of a question at an allowed bar.
func (q Question) sum(masses []float64) float64 {
	sum := q.Const
	for i, w := range q.Weights {
		if w != 0 {
			sum += w * masses[i]
		}
	}
	return sum
}

// An asking is a question on its way to an answer.
type asking struct {
	*solver
	Question
	tie   float64
	quick bool
	blind bool    // only bounds are wanted
	water float64 // weight of the water left
	best  corner  // the allowed bar with the least sum so far
	least float64 // that sum
}

// answer looks for the least.
func (v *solver) answer(q Question, quick bool) Answer {
	a := &asking{solver: v, Question: q, tie: v.bar.Tie(), quick: quick, least: math.Inf(1)}
	for _, seen := range v.bar.seen {
		a.take(seen)
	}
	if quick && a.least < -a.tie {
		return Answer{math.Inf(-1), a.best.Point, Refuted, a.best.masses}
	}
	low := a.bound()
	answer := Answer{low, a.best.Point, Unproved, a.best.masses}
	switch {
	case a.least < -a.tie:
		answer.Verdict = Refuted
	case low >= -a.tie:
		answer.Verdict = Proved
	}
	return answer
}

// take keeps a bar if its sum is the least so far.
func (a *asking) take(c corner) {
	if sum := a.sum(c.masses); sum < a.least {
		a.best, a.least = c, sum
	}
}

// bound gives what no allowed bar goes below. The water left stands at an end of what is
// allowed, which is the lesser of a share of the dry mass and of all water: both are sums
// of lines like any other.
func (a *asking) bound() float64 {
	weights := make([]float64, len(a.fixed))
	copy(weights, a.Weights)
	for l, line := range a.bar.Lines {
		for _, t := range line.Terms {
			switch t.Product {
			case Moisture:
				a.water += a.Weights[l] * a.bar.poured
			case BoughtMoisture:
				a.water += a.Weights[l] * (1 - a.bar.poured)
			}
		}
	}
	with := func(perDry, ofFresh float64) []float64 {
		w := append([]float64{}, weights...)
		w[a.fresh] += a.water * ofFresh
		if ofFresh < 1 {
			w[a.dry] += a.water * (1 - ofFresh) * perDry
		}
		return w
	}
	rule := a.bar.rule
	switch {
	case a.water == 0:
		return a.over(weights)
	case a.water > 0:
		// The lesser of two, times a weight above nought: both are looked at.
		switch a.lesser(rule.low) {
		case 1:
			return a.over(with(rule.low, 1))
		case -1:
			return a.over(with(rule.low, 0))
		}
		return min(a.over(with(rule.low, 1)), a.over(with(rule.low, 0)))
	}
	switch a.lesser(rule.high) {
	case 1:
		return a.over(with(rule.high, 1))
	case -1:
		return a.over(with(rule.high, 0))
	}
	// The greater of two sums is no less than any mean of them.
	best := max(a.over(with(rule.high, 1)), a.over(with(rule.high, 0)))
	for n := 1; n < meansOfWater && !(a.quick && best >= -a.tie); n++ {
		best = max(best, a.over(with(rule.high, float64(n)/meansOfWater)))
	}
	return best
}

// meansOfWater is how many means of all water and of a share of the dry mass are tried
// where it is open which is less.
const meansOfWater = 8

// lesser tells whether all fresh water is never more than so much of the dry mass: 1; or
// never less: -1; or neither: 0.
func (v *solver) lesser(perDry float64) int {
	if math.IsInf(perDry, 1) {
		return 1
	}
	if perDry == 0 {
		return -1
	}
	if known, ok := v.order[perDry]; ok {
		return known
	}
	more := make([]float64, len(v.fixed))
	more[v.fresh], more[v.dry] = 1, -perDry
	less := make([]float64, len(v.fixed))
	less[v.fresh], less[v.dry] = -1, perDry
	order := 0
	ask := &asking{solver: v, tie: v.bar.Tie(), quick: true, blind: true, least: math.Inf(1)}
	switch {
	case ask.roughly(more) >= 0:
		order = -1
	case ask.roughly(less) >= 0:
		order = 1
	}
	v.order[perDry] = order
	return order
}

// roughly gives the bound of the roots alone.
func (a *asking) roughly(weights []float64) float64 {
	low := math.Inf(1)
	for _, n := range a.roots {
		low = min(low, a.boundIn(n, weights))
	}
	return low
}

// over gives the bound for weights of the lines, of the dry mass and of the fresh water.
// Where it does not decide, the range of the extent is halved.
func (a *asking) over(weights []float64) float64 {
	open := append([]*node{}, a.roots...)
	done, looked := math.Inf(1), 0
	for _, n := range open {
		n.low = a.boundIn(n, weights)
	}
	for len(open) > 0 {
		worst := 0
		for i, n := range open {
			if n.low < open[worst].low {
				worst = i
			}
		}
		n := open[worst]
		decided := n.low >= -a.tie || a.least < -a.tie
		if a.quick && decided || n.low >= a.least-a.tie || looked >= mostNodes || a.left <= 0 || !a.quick && decided && looked >= mostNodes/2 {
			break
		}
		if n.extent.High-n.extent.Low < 1e-12 && a.settled(n) {
			break
		}
		looked++
		a.left--
		halves := a.halves(n)
		for _, h := range halves {
			h.low = max(n.low, a.boundIn(h, weights))
		}
		open[worst] = halves[0]
		open = append(open, halves[1])
	}
	for _, n := range open {
		done = min(done, n.low)
	}
	return done
}

// settled reports whether no kettle of a node has a range any more.
func (a *asking) settled(n *node) bool {
	for _, k := range n.kettles {
		if k.High-k.Low > 1e-12 {
			return false
		}
	}
	return true
}

// boundIn gives the bound in a node, and takes the bars that give it if they are allowed.
func (a *asking) boundIn(n *node, weights []float64) float64 {
	a.prepare(n)
	fixed := a.Const
	for l, w := range weights {
		fixed += w * a.fixed[l]
	}
	for _, e := range n.ends {
		e.ask(weights)
	}
	enough := math.Inf(1)
	if a.quick {
		enough = -a.tie
	}
	start, step := a.guess(n)
	eta, low := crest(start, step, enough, func(eta float64) (value, slope float64) {
		value = math.Inf(1)
		for _, e := range n.ends {
			if sum, moles := a.at(e, eta, nil); sum < value {
				value, slope = sum, moles
			}
		}
		if math.Abs(slope) <= rounded*(a.bar.lye+math.Abs(a.rest)) {
			slope = 0 // there is no more to gain than rounding
		}
		return fixed + value, slope
	})
	if !a.blind && !(a.quick && low >= -a.tie) {
		for _, e := range n.ends {
			a.try(a.balanced(e, eta))
		}
	}
	return low
}

// balanced gives the point at which the bound of an end stands. Where the bound has an
// edge there are two, with too much alkali and with too little: then it is the one between
// them with just the alkali that there is.
func (a *asking) balanced(e *end, eta float64) Point {
	nudge := 1e-6 * max(1, math.Abs(eta))
	p, q := a.bar.blank(), a.bar.blank()
	_, over := a.at(e, eta-nudge, &p)
	_, under := a.at(e, eta+nudge, &q)
	if !(over > 0 && under < 0) {
		if math.Abs(under) < math.Abs(over) {
			return q
		}
		return p
	}
	return a.bar.between(p, q, over/(over-under))
}

// rounded is what part of a sum may be nothing but rounding.
const rounded = 1e-11

// guess gives a first number for the alkali, and a step to look around it: what a mole of
// alkali more would do to the sum at the bar that is shown.
func (a *asking) guess(n *node) (eta, step float64) {
	if first, last := n.ends[0], n.ends[len(n.ends)-1]; first.extent != last.extent {
		grams, moles := 0.0, 0.0
		for i := range first.sources {
			if a.inert(i) {
				continue
			}
			for j, share := range a.bar.shown.Shares[i] {
				from, to := first.sources[i][0].parts[j].cases[0], last.sources[i][0].parts[j].cases[0]
				grams += share * (to.sum - from.sum)
				moles += share * (from.moles - to.moles)
			}
		}
		if moles > 0 {
			eta = grams / moles
		}
	}
	return eta, max(1, math.Abs(eta)) / 8
}

// try takes the bar at a point, with the water that makes the sum least. Where it is not
// allowed, it may be on the way to the bar that is shown.
func (a *asking) try(p Point) {
	if a.takes(p) {
		return
	}
	nearest, far := p, 0.0
	for part := 1.0 / 64; part < 1; part *= 2 {
		if q := a.bar.between(p, a.bar.shown.Point, part); a.takes(q) {
			nearest, far = q, part
			break
		}
	}
	if far == 0 {
		return
	}
	for low, high, n := far/2, far, 0; n < 8; n++ { // a little nearer
		middle := (low + high) / 2
		if q := a.bar.between(p, a.bar.shown.Point, middle); a.takes(q) {
			nearest, high = q, middle
		} else {
			low = middle
		}
	}
	a.takes(nearest)
}

// takes takes the bar at a point if it is allowed.
func (a *asking) takes(p Point) bool {
	perDry := a.bar.rule.low
	if a.water < 0 {
		perDry = a.bar.rule.high
	}
	c, ok := a.bar.settled(p, perDry)
	if !ok {
		return false
	}
	if len(a.bar.seen) < mostSeen {
		a.bar.seen = append(a.bar.seen, c)
	}
	a.take(c)
	return true
}

// mostSeen is how many allowed bars are kept: one of them answers most questions whose
// order is open.
const mostSeen = 200
