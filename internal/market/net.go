package market

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"sync"

	"saponym/internal/measure"
	"saponym/internal/source"
)

// A NetRule is how the law of a place judges the net weight of a lot of bars: their
// average must reach the claim, and no single bar may lack too much of it. What a
// credit or a tolerance leaves room for is meant for the one who draws a sample: it
// gives nobody leave to claim more than the bars weigh.
type NetRule struct {
	Rule
	Place    string        // "us", "eu" …
	Instead  bool          // the maker may choose it in place of the other rule of the place
	Source   string        // where it was read
	Day      ReferenceDay  // on which a bar must weigh what it claims
	Share    measure.Share // of a lot that may lack more than the limit, where all of it is judged; 0: the plan says it
	Weighing Weighing
	Limits   Backing // of the table of [NetRule.Limit]: the weakest of its steps
	Plans    Backing // of the table of [NetRule.Plan]: the weakest of its rows

	limits limitTable
	second second
	plans  []planRow // the smallest lots first
}

// A ReferenceDay is the day on which a bar must weigh what is claimed of it.
type ReferenceDay struct {
	Of string // [Packing] or [Handover]
	Backing
}

// A Backing says where a part of a rule stands, where it was read and how it is known.
type Backing struct {
	Cite   string
	Source string
	Known  Known
}

// The days of reference.
const (
	Packing  = "packing"  // it is wrapped and labelled
	Handover = "handover" // the buyer gets it
)

// A Weighing says how well a bar must be weighed: the error, or a step of the scale,
// is at most one limit by Part. Nought where nothing is known.
type Weighing struct {
	Part int
	Backing

	steps []scaleStep // the lightest claims first
}

// A scaleStep is the largest step of a scale for claims of this weight and more.
type scaleStep struct {
	from, step measure.Mass
	Backing
}

// A Shortage is how much less than its claim a bar may weigh at the very most.
type Shortage struct {
	Limit  measure.Mass
	Accept int // so many bars of a sample may lack more all the same
	Known  Known
}

// A Plan says how a lot of some size is sampled.
type Plan struct {
	Sample      int           // bars to weigh
	Accept      int           // of them may lack more than the limit
	Reject      int           // so many are too many at once, where Again says how many are weighed between the two
	Again       int           // bars to weigh in all where the first sample does not decide; 0: it does
	AcceptAgain int           // of those
	Factor      float64       // so many standard deviations the average may lack
	FactorFor   int           // bars of the sample that the factor was made for
	Average     bool          // the average is judged
	Share       measure.Share // of the lot that may lack more than the limit; 0: that of the rule
	Known       Known
}

// Nets gives the rules by which the net weight is judged, on the days of the law:
// those of each place that it serves, the plain one of a place first.
func (l *Law) Nets() []NetRule {
	all, err := netRules()
	if err != nil {
		panic(err) // the data is part of the program
	}
	var nets []NetRule
	for _, part := range l.Each() {
		for _, n := range all {
			same := func(other NetRule) bool { return other.ID == n.ID }
			if n.Place == part.Place && n.holds(part.Days) && !slices.ContainsFunc(nets, same) {
				n.Market = part.Market
				nets = append(nets, n)
			}
		}
	}
	return nets
}

// Limit gives how much less than its claim one bar may weigh, and how the figure is
// known. Of claims for which no figure is held a bar may lack nothing.
func (n NetRule) Limit(nominal measure.Mass) (measure.Mass, Known) {
	step, ok := n.limits.step(nominal)
	if !ok {
		return 0, Memory
	}
	return step.lacks(nominal, 1), step.known
}

// Second gives how much less than its claim a bar may weigh at the very most, and
// false where the law has no such limit. Of claims for which no figure is held a bar
// may lack nothing.
func (n NetRule) Second(nominal measure.Mass) (Shortage, bool) {
	most := Shortage{Accept: n.second.accept, Known: n.second.known}
	if n.second.times == 0 {
		return most, false
	}
	step, held := n.limits.step(nominal)
	if !held {
		return Shortage{Known: Memory}, true
	}
	most.Known = Weaker(most.Known, step.known)
	most.Limit = step.lacks(nominal, 1) * measure.Mass(n.second.times)
	if n.second.byItself {
		most.Limit = step.lacks(nominal, n.second.times)
	}
	return most, true
}

// ScaleStep gives the largest error of weighing, or step of a scale, that will do for
// bars of a claim, rounded down, with where it stands; 0 where nothing is known of it.
func (n NetRule) ScaleStep(nominal measure.Mass) (measure.Mass, Backing) {
	if n.Weighing.Part == 0 {
		return 0, Backing{}
	}
	limit, _ := n.Limit(nominal)
	most, backing := limit/measure.Mass(n.Weighing.Part), n.Weighing.Backing
	for _, s := range slices.Backward(n.Weighing.steps) {
		if nominal >= s.from {
			if s.step < most {
				most, backing = s.step, s.Backing
			}
			break
		}
	}
	return most, backing
}

// Plan gives how a lot of so many bars, at least one, is sampled. Accept of a plan by
// which a whole lot is weighed is counted out from its share.
func (n NetRule) Plan(lot int) Plan {
	i := slices.IndexFunc(n.plans, func(r planRow) bool { return r.to == 0 || lot <= r.to })
	row := n.plans[i]
	p := row.Plan
	if row.all {
		p.Sample = lot
	}
	if p.Share > 0 {
		p.Accept = ofLot(p.Share, lot)
	}
	if p.FactorFor == 0 {
		p.FactorFor = p.Sample
	}
	return p
}

// ofLot gives how many bars are at most a share of a lot.
func ofLot(share measure.Share, lot int) int {
	return int(int64(lot) * int64(share) / int64(measure.Whole))
}

// Accepted gives how many of the bars weighed may lack more than the limit, and
// false where it takes more bars to tell. Where the whole lot is weighed it is at least
// the share that the law leaves to the packer.
func (n NetRule) Accepted(lot, weighed, beyond int) (accept int, decided bool) {
	p := n.Plan(lot)
	switch {
	case weighed >= lot:
		return max(p.Accept, p.AcceptAgain, ofLot(n.Share, lot)), true
	case weighed < p.Sample:
		return max(p.Accept, p.AcceptAgain), beyond > max(p.Accept, p.AcceptAgain)
	case p.Again == 0 || beyond <= p.Accept || beyond >= p.Reject && weighed < p.Again:
		return p.Accept, true
	}
	return p.AcceptAgain, weighed >= p.Again
}

// Credit gives how many standard deviations the average of the bars weighed may
// lack. It is that of the plan; of more bars it shrinks as the error of an average
// does, and of a whole lot the average is no estimate, so there is none, but where the
// plan gives one for just that.
func (n NetRule) Credit(lot, weighed int) float64 {
	p := n.Plan(lot)
	switch {
	case weighed <= p.FactorFor || p.Factor == 0:
		return p.Factor
	case weighed >= lot:
		return 0
	}
	return p.Factor * math.Sqrt(float64(p.FactorFor)/float64(weighed))
}

// A limitTable says how much a bar may lack.
type limitTable struct {
	from, to measure.Mass // claims for which it has figures; a nought is no bound
	steps    []limitStep
}

// A limitStep holds for claims of more than over.
type limitStep struct {
	over    measure.Mass
	share   measure.Share // of the claim, or:
	fixed   measure.Mass
	rounded measure.Mass // the share is rounded up to a whole number of these; 0: down to the nanogram
	known   Known
}

func (l limitTable) step(nominal measure.Mass) (limitStep, bool) {
	if nominal < l.from || l.to > 0 && nominal > l.to {
		return limitStep{}, false
	}
	step := l.steps[0]
	for _, s := range l.steps {
		if nominal > s.over {
			step = s
		}
	}
	return step, true
}

// lacks gives so many times the limit for a claim, exactly, and rounded once.
func (s limitStep) lacks(nominal measure.Mass, times int) measure.Mass {
	if s.fixed > 0 {
		return s.fixed * measure.Mass(times)
	}
	exact := new(big.Int).Mul(big.NewInt(int64(nominal)), big.NewInt(int64(s.share)*int64(times)))
	place := max(s.rounded, measure.Nanogram)
	per := new(big.Int).Mul(big.NewInt(int64(measure.Whole)), big.NewInt(int64(place)))
	whole, rest := new(big.Int).QuoRem(exact, per, new(big.Int))
	limit := measure.Mass(whole.Int64()) * place
	if s.rounded > 0 && rest.Sign() > 0 {
		limit += place
	}
	return limit
}

// A second is how many limits no bar may lack.
type second struct {
	times    int
	accept   int
	byItself bool // it is rounded by itself, and not the rounded limit multiplied
	known    Known
}

// A planRow is for lots of at most so many bars; nought: of any number.
type planRow struct {
	Plan
	to  int
	all bool // the sample is the lot
}

// netRules reads the data when it is first asked for.
var netRules = sync.OnceValues(func() ([]NetRule, error) {
	doc, err := open("data/net-contents.yaml")
	if err != nil {
		return nil, err
	}
	places := Places()
	var all []NetRule
	for _, m := range doc.Root().Maps("net_weight") {
		n, err := readNetRule(m, places)
		if err != nil {
			return nil, err
		}
		all = append(all, n)
	}
	return all, check(doc)
})

func readNetRule(m *source.Map, places []string) (NetRule, error) {
	r, err := readCommon(m, "warn", "stop")
	if err != nil {
		return NetRule{}, err
	}
	n := NetRule{
		Rule: r, Place: m.Enum("place", places...).V, Instead: m.Bool("instead").V, Source: m.Text("source").V, Share: m.Share("share").V,
	}
	n.Kind = "net-weight"
	if d := m.Map("day"); d.Given() {
		n.Day = ReferenceDay{d.Enum("of", Packing, Handover).V, readBacking(d)}
	}
	if w := m.Map("weighing"); w.Given() {
		n.Weighing = Weighing{Part: w.Count("part").V, Backing: readBacking(w)}
		if steps := w.Map("steps"); steps.Given() {
			for _, s := range steps.Maps("rows") {
				n.Weighing.steps = append(n.Weighing.steps, scaleStep{s.Mass("from").V, s.Mass("step").V, readBacking(steps)})
			}
		}
	}
	if s := m.Map("second"); s.Given() {
		n.second = second{s.Count("times").V, s.Count("accept").V, s.Enum("rounded", "as the first", "by itself").V == "by itself", readKnown(s)}
	}
	limits, plans := m.Map("limits"), m.Map("plans")
	n.limits, n.plans = readLimits(limits), readPlans(plans)
	if len(n.limits.steps) == 0 || len(n.plans) == 0 || n.plans[len(n.plans)-1].to > 0 {
		return n, fmt.Errorf("rule %s must have limits, and plans for lots of any size", n.ID)
	}
	n.Limits = Backing{limits.Text("cite").V, limits.Text("source").V, Retrieved}
	for _, s := range n.limits.steps {
		n.Limits.Known = Weaker(n.Limits.Known, s.known)
	}
	n.Plans = Backing{plans.Text("cite").V, plans.Text("source").V, Retrieved}
	for _, p := range n.plans {
		n.Plans.Known = Weaker(n.Plans.Known, p.Known)
	}
	return n, nil
}

func readBacking(m *source.Map) Backing {
	return Backing{m.Text("cite").V, m.Text("source").V, readKnown(m)}
}

func readLimits(m *source.Map) limitTable {
	l := limitTable{from: m.Mass("from").V, to: m.Mass("to").V}
	for _, s := range m.Maps("steps") {
		l.steps = append(l.steps, limitStep{s.Mass("over").V, s.Share("share").V, s.Mass("lacks").V, s.Mass("rounded_up_to").V, readKnown(s)})
	}
	return l
}

func readPlans(m *source.Map) []planRow {
	var rows []planRow
	for _, r := range m.Maps("rows") {
		average := r.Bool("average")
		row := planRow{to: r.Count("to").V, all: r.Text("sample").V == "all", Plan: Plan{
			Accept: r.Count("accept").V, Reject: r.Count("reject").V, Again: r.Count("again").V, AcceptAgain: r.Count("accept_again").V,
			Factor: r.Number("factor").V, FactorFor: r.Count("factor_for").V, Average: !average.Given() || average.V,
			Share: r.Share("share").V, Known: readKnown(r),
		}}
		if !row.all {
			row.Sample = r.Count("sample").V
		}
		rows = append(rows, row)
	}
	return rows
}
