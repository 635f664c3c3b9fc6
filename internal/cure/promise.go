package cure

import (
	"math"
	"slices"

	"saponym/internal/day"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// Weight gives what is known of the bars of the batch on a day, for a claim to be held
// against: their mean is sure to reach the one-sided bound, and they are taken to differ as
// those that were weighed do.
func (c *Course) Weight(on float64) Weight { return c.known(on).Weight }

// A known is what is known of the bars on a day: of the batch, and the mean of the marked
// ones in grams.
type known struct {
	Weight
	marked float64
}

func (c *Course) known(on float64) known {
	points := c.points(on)
	mean := points.mean()
	return known{Weight{points.bound(c.spread(mean, c.batchSpread())), c.Bars().Spread * mean}, mean}
}

// A Span is how long a claim holds: bars only become lighter, so it begins with the first
// weighing, if at all.
type Span struct {
	Ever  bool    // it held when the bars were weighed for the first time
	Until day.Day // the last day on which it holds; the zero Day: it never held, or holds as long as there are bars
}

// ForGood reports whether the claim holds as long as there are bars.
func (s Span) ForGood() bool { return s.Ever && s.Until.IsZero() }

// Holds reports whether the claim holds on a day.
func (s Span) Holds(on day.Day) bool { return s.Ever && (s.Until.IsZero() || !s.Until.Before(on)) }

// A Promise is a claim held against the bars of a batch, by all the laws that a label is
// made for.
type Promise struct {
	Span
	Read  Span // by what was read of the laws alone
	Claim market.Claim
	Last  day.Day        // of sale
	By    market.NetRule // the law by which it does not hold then, one that was read before others; the first of all where it holds

	Average bool    // on the last day of sale the average reaches the claim, of which it takes the bound
	Single  bool    // and no more single bars lack too much than may
	Beyond  float64 // share of the bars that are to be expected to lack more than the limit then
	Lacking int     // of the bars that were weighed
	Spare   float64 // g that the mean bar is expected to weigh more than the claim then; below nought, it lacks so much
}

// Lasts reports whether the claim holds to the last day of sale.
func (p Promise) Lasts() bool { return p.Holds(p.Last) }

// Promise judges a claim on the bars up to the last day of sale, by one law or several.
// There must be a course, and a law.
func (d Dried) Promise(claim market.Claim, last day.Day, rules ...market.NetRule) Promise {
	p := Promise{Claim: claim, Last: last, By: rules[0], Average: true, Single: true}
	days := map[float64]known{}
	on := func(day float64) known {
		k, ok := days[day]
		if !ok {
			k = d.Course.known(day)
			days[day] = k
		}
		return k
	}
	p.Span = d.span(func(day float64) bool { return d.Course.holds(claim, on(day), rules, false) })
	p.Read = d.span(func(day float64) bool { return d.Course.holds(claim, on(day), rules, true) })
	end := on(d.Day(last))
	p.Spare = end.marked - claim.Least().Grams()
	for _, read := range []bool{false, true} {
		for _, rule := range slices.Backward(rules) {
			if !d.Course.holds(claim, end, []market.NetRule{rule}, read) {
				p.By = rule
			}
		}
	}
	for _, rule := range rules {
		h := Holds(claim, end.Weight, rule)
		short := d.Course.counts(claim, end.marked, rule)
		p.Average, p.Single = p.Average && h.Average, p.Single && h.Single() && !short.any()
		p.Beyond, p.Lacking = max(p.Beyond, h.Limit.Short), max(p.Lacking, short.bars)
	}
	return p
}

// A count says how many of the bars that were weighed are to be expected to lack more than
// the limit, and whether they are too many by it or by the second one.
type count struct {
	bars          int
	limit, second bool
}

func (c count) any() bool { return c.limit || c.second }

// counts counts the marked bars that lack more than may when their mean is so many grams. A
// bar that is known to be short is short, however well the others are filled.
func (c *Course) counts(claim market.Claim, mean float64, rule market.NetRule) count {
	nominal := claim.Least()
	limit, _ := rule.Limit(nominal)
	second, has := rule.Second(nominal)
	beyond, beyondSecond := 0, 0
	for _, ratio := range c.now.ratio {
		bar := measure.MassDown(ratio * mean)
		if bar < nominal-limit {
			beyond++
		}
		if has && bar < nominal-second.Limit {
			beyondSecond++
		}
	}
	lot := max(c.batch, len(c.now.ratio))
	accept, _ := rule.Accepted(lot, lot, beyond)
	return count{beyond, beyond > accept, beyondSecond > second.Accept}
}

// holds reports whether a claim holds for bars by each of the laws. Read leaves out what
// single bars may lack where that was not read.
func (c *Course) holds(claim market.Claim, bars known, rules []market.NetRule, read bool) bool {
	return !slices.ContainsFunc(rules, func(rule market.NetRule) bool {
		h, short := Holds(claim, bars.Weight, rule), c.counts(claim, bars.marked, rule)
		counts := func(a Allowance) bool { return !read || a.Known.Confirmed() }
		return !h.Average || (!h.Limit.holds() || short.limit) && counts(h.Limit) || (!h.Second.holds() || short.second) && counts(h.Second)
	})
}

// farOff is the number of days after which nothing dries any more.
const farOff = 100 * 365

// span finds the last whole day on which something holds.
func (d Dried) span(holds func(on float64) bool) Span {
	first := d.Course.origin
	switch {
	case !holds(first):
		return Span{}
	case holds(math.Inf(1)):
		return Span{Ever: true}
	}
	low, high := 0.0, float64(farOff)
	for high-low > 1 {
		middle := math.Floor((low + high) / 2)
		if high > 4*max(low, 1) { // far from each other they are halved by their logarithm
			middle = math.Floor(math.Sqrt(max(low, 1) * high))
		}
		if holds(first + middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return Span{Ever: true, Until: d.Date(first + low)}
}

// Largest gives the largest claim in a form that holds on a day by each of the laws, and
// false where none does.
func (c *Course) Largest(form market.Form, writing market.Writing, on float64, rules ...market.NetRule) (market.Claim, bool) {
	bars := c.known(on)
	claim, ok := form.Largest(reached(bars.Mean), writing)
	short := func(rule market.NetRule) bool {
		return !Holds(claim, bars.Weight, rule).Holds() || c.counts(claim, bars.marked, rule).any()
	}
	for ok && slices.ContainsFunc(rules, short) {
		claim, ok = form.Largest(claim.Least()-measure.Nanogram, writing)
	}
	return claim, ok
}

// Rules gives the laws by which a claim is judged: of a place with two ways of judging, the
// one that the maker has chosen, by its id, or else the one that holds without a choice.
func Rules(law *market.Law, chosen map[string]formula.Text) []market.NetRule {
	all := law.Nets()
	has := func(place, id string) bool {
		return slices.ContainsFunc(all, func(n market.NetRule) bool { return n.Place == place && n.ID == id })
	}
	return slices.DeleteFunc(slices.Clone(all), func(n market.NetRule) bool {
		if id := chosen[n.Place].V; has(n.Place, id) {
			return n.ID != id
		}
		return n.Instead
	})
}
