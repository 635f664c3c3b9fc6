package cure

import (
	"math"
	"slices"

	"saponym/internal/measure"
)

// A Course is what can be said of bars that dry. It comes from [Estimate]. Days are
// counted as the weighings count them, and masses are grams.
type Course struct {
	families []family
	origin   float64 // the day of the first weighing
	now      run     // the last run, of whose bars it speaks
	water    float64 // the most that the fresh bar held, as a share
	gains    []Gain
	learnt   belief
	own      bool    // batches of the maker's own were believed beforehand
	batch    int     // bars that the marked ones stand for; 0: nobody has counted
	scaleSD  float64 // of what the mean bar of the last run weighed when it was fresh, as a share
	airSD    float64 // g, of the mean bar on one day
}

// Estimate follows the drying of bars. The same weighings give the same course.
//
// The unknown figures are tried on a grid: the share of water that stays, from 2 to 20 %
// and not more than there was; Page's shape and half-time; the diffusion in a brick. If
// the size of the bar is not known, there is Page's family alone, and more widely. Where
// the water at first is a range, three values of it are tried. Each weighing may be off
// a curve by the noise of the scale and by half a per cent of the bar, since no curve is
// the true one; beyond four weighings, and where no curve comes as near as that, by more.
// How heavy the fresh bar was is itself left open, once for each run of weighings between
// which nothing was cut off. The air of the day is added to what is predicted.
//
// The error is a [*TooLittle], one or several [*Slip], or says which of the other figures
// is none.
func Estimate(d Drying) (*Course, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	all := sittings(d.Weighings)
	if len(all) == 0 {
		return nil, &TooLittle{More: FewestDays, From: LeastSpan}
	}
	whole, err := runs(all, d.Water.High, d.noise())
	if err != nil {
		return nil, err
	}
	if little := d.tooLittle(all, whole); little != nil {
		return nil, little
	}
	return d.course(all[0].day, whole), nil
}

func (d Drying) course(origin float64, whole []run) *Course {
	noise := d.noise()
	belief := d.Prior.of(d.Size)
	families := belief.families()
	all := readings(whole, origin, noise)
	excess := weigh(families, belief.ends(d.Water), all)
	c := &Course{families: families, origin: origin, now: whole[len(whole)-1], water: d.Water.High, own: d.Prior.own, batch: d.Bars}
	for _, r := range whole {
		c.gains = append(c.gains, r.gains(noise)...)
	}
	c.learnt = learnt(families)
	precision := 0.0
	for _, r := range all[len(all)-1] {
		precision += r.precision
	}
	c.scaleSD = math.Sqrt(excess/precision) / c.now.first()
	bars := float64(len(c.now.ratio))
	c.airSD = math.Sqrt(noise*noise/bars + excess*math.Pow(humidity*c.now.first(), 2))
	return c
}

// learnt gives what the weighings taught of all figures. Pages stand first among the
// families, and bricks after them, if at all.
func learnt(families []family) belief {
	return belief{
		rest:  learn(families, func(_ believed, e end) float64 { return e.rest }),
		shape: learn(families[:1], func(c believed, _ end) float64 { return c.shape }),
		half:  learn(families[:1], func(c believed, _ end) float64 { return c.half }),
		d:     learn(families[1:], func(c believed, _ end) float64 { return c.d }),
	}
}

// tooLittle says what is missing, or nothing if it is enough.
func (d Drying) tooLittle(all []sitting, whole []run) *TooLittle {
	days := len(all) - (len(whole) - 1)
	first, last := all[0].day, all[len(all)-1].day
	more := FewestDays - days
	if last-first < LeastSpan {
		more = max(more, 1)
	}
	if more <= 0 {
		return nil
	}
	little := &TooLittle{
		Days: days, Span: last - first, More: more,
		From:   max(last+1, first+LeastSpan),
		Bounds: bounds(whole, d.Water),
	}
	little.Then = d.after(little, first, whole)
	return little
}

// after gives about what the interval at rest will be when the missing weighings are
// there, on days between the last and the first that will do, and as the usual bar would
// dry from here.
func (d Drying) after(little *TooLittle, first float64, whole []run) measure.Range {
	now := whole[len(whole)-1]
	expected := d.Prior.of(d.Size)
	water := d.Water.Middle()
	end := min(1, (1-water)/(1-expected.rest.mean))
	typical := page{math.Exp(expected.half.mean + expected.slow), expected.shape.mean}
	weight := func(day float64) float64 { return end + (1-end)*typical.left(day-first) }
	last := now.sittings[len(now.sittings)-1]
	fresh := now.last() / weight(last.day)
	added := now
	added.sittings, added.mean = slices.Clone(now.sittings), slices.Clone(now.mean)
	for i := range little.More {
		day := last.day + (little.From-last.day)*float64(i+1)/float64(little.More)
		added.sittings = append(added.sittings, sitting{day: day, grams: last.grams})
		added.mean = append(added.mean, fresh*weight(day))
	}
	then := d.course(first, append(slices.Clone(whole[:len(whole)-1]), added)).Final()
	return measure.Range{Low: then.Low, High: then.High}
}

// A Prediction is what a bar will weigh, in grams.
type Prediction struct {
	Mean, SD  float64
	Low, High float64 // the 95 % interval
	OneSided  float64 // it will weigh more than this by 95 %
}

// At predicts the mean of the marked bars on a day. A day before the first weighing counts
// as it, and what is no number as the end of all days. The prediction is never below
// [Course.Floor], nor above the last weight by more than damp air makes of it.
func (c *Course) At(day float64) Prediction {
	points := c.points(day)
	low, high := c.Floor(), c.ceiling(day)
	p := points.predict(c.spread(points.mean(), 0))
	for _, v := range []*float64{&p.Mean, &p.Low, &p.High, &p.OneSided} {
		*v = min(max(*v, low), high)
	}
	return p
}

// Batch predicts the mean of all bars of the batch: the marked ones stand for it, and the
// fewer they are the less well. Where all bars of the batch were weighed there is nothing
// to stand for.
func (c *Course) Batch(day float64) Prediction {
	points := c.points(day)
	return points.predict(c.spread(points.mean(), c.batchSpread()))
}

// batchSpread gives the standard deviation of the mean of all bars about that of the marked
// ones, as a share.
func (c *Course) batchSpread() float64 {
	bars := c.Bars()
	variance := 1 / float64(bars.Count)
	if c.batch > 0 { // sampling without replacement from so many
		variance = max(0, variance-1/float64(c.batch))
	}
	return bars.Spread * math.Sqrt(variance)
}

// Single predicts one bar of the batch that was not marked.
func (c *Course) Single(day float64) Prediction {
	points := c.points(day)
	bars := c.Bars()
	return points.predict(c.spread(points.mean(), bars.Spread*math.Sqrt(1+1/float64(bars.Count))))
}

// Final predicts the mean of the marked bars at rest.
func (c *Course) Final() Prediction { return c.At(math.Inf(1)) }

// Learnt reports whether what was believed beforehand came from batches of the maker's own.
func (c *Course) Learnt() bool { return c.own }

// Floor gives the dry mass of the mean bar in grams, with as much water in the fresh bar
// as there can have been: nothing dries below it.
func (c *Course) Floor() float64 { return c.now.floor() }

// Gained gives the bars that weighed more than the time before, in the order of days and
// marks.
func (c *Course) Gained() []Gain { return slices.Clone(c.gains) }

// WaterLeft gives the share of the bar that is water on a day: its 95 % interval.
func (c *Course) WaterLeft(day float64) measure.Range {
	water := c.waters(day)
	// Water of the air weighs as much in the bar as that of the lye.
	sd := (1 - water.mean()) * humidity
	binned := water.binned(sd / 8)
	return measure.Range{
		Low:  max(0, binned.quantile(0.025, sd)),
		High: min(c.water, binned.quantile(0.975, sd)),
	}
}

// Water gives the share of the bar that is to be expected to be water on a day.
func (c *Course) Water(day float64) float64 { return c.waters(day).mean() }

// waters gives the share of water on a day along each way to dry.
func (c *Course) waters(day float64) points {
	var all points
	for _, f := range c.families {
		left := f.left(c.since(day))
		for _, w := range f.ways {
			weight := w.end.left + (1-w.end.left)*left[w.curve]
			all = append(all, point{1 - (1-w.end.fresh)/weight, w.weight})
		}
	}
	return all
}

// Bars says how the bars of a batch differ.
type Bars struct {
	Count  int                // bars that were marked
	Spread float64            // standard deviation of single bars, as a share of the mean
	Ratio  map[string]float64 // of each marked bar to their mean
}

// What is believed of the spread between bars before any is weighed: bars cut by hand
// differ by 3 %, and that counts as much as what three weighed bars say, which have two
// degrees of freedom. A judgement.
const (
	usualSpread  = 0.03
	usualFreedom = 2
)

// Bars gives the spread between the bars that were weighed last. With one bar it is the
// usual spread of bars cut by hand; each bar more lets the bars speak for themselves.
func (c *Course) Bars() Bars {
	b := Bars{Count: len(c.now.ratio), Ratio: map[string]float64{}}
	squares := usualFreedom * usualSpread * usualSpread
	for _, mark := range marks(c.now.ratio) {
		b.Ratio[mark] = c.now.ratio[mark]
		squares += math.Pow(c.now.ratio[mark]-1, 2)
	}
	b.Spread = math.Sqrt(squares / float64(usualFreedom+b.Count-1))
	return b
}

// since gives a day as days from the first weighing.
func (c *Course) since(day float64) float64 {
	if math.IsNaN(day) {
		return math.Inf(1)
	}
	return max(0, day-c.origin)
}

// ceiling gives the weight that the mean bar cannot pass on a day: the last one before,
// and what damp air adds. Before something was cut off, its bars, had they been cut then
// already, cannot have had more than all of the water.
func (c *Course) ceiling(day float64) float64 {
	last := c.now.first() / (1 - c.water)
	for i, s := range c.now.sittings {
		if s.day-c.origin <= c.since(day) {
			last = c.now.mean[i]
		}
	}
	return max(c.Floor(), last+2*c.airSD)
}

// spread gives the standard deviation about each way to dry, in grams: the air of the day,
// what is not known of the fresh weight, and how bars differ, as a share.
func (c *Course) spread(mean, bars float64) float64 {
	return math.Hypot(c.airSD, mean*math.Hypot(c.scaleSD, bars))
}

// left gives what is left to lose along each curve.
func (f family) left(days float64) []float64 {
	all := make([]float64, len(f.curves))
	for i, c := range f.curves {
		all[i] = c.left(days)
	}
	return all
}

// points gives what the mean of the marked bars weighs on a day along each way.
func (c *Course) points(day float64) points {
	low, high := c.Floor(), c.ceiling(day)
	var all points
	for _, f := range c.families {
		left := f.left(c.since(day))
		for _, w := range f.ways {
			grams := w.fresh * (w.end.left + (1-w.end.left)*left[w.curve])
			all = append(all, point{min(max(grams, low), high), w.weight})
		}
	}
	return all
}
