package cure_test

import (
	"errors"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/cure"
	"saponym/internal/measure"
)

func TestTooLittle(t *testing.T) {
	for _, tt := range []struct {
		name      string
		weighings []cure.Weighing
		days      int
		span      float64
		more      int
		from      float64
	}{
		{"nothing", nil, 0, 0, 3, 7},
		{"one day", made[:1], 1, 0, 2, 7},
		{"two days", made[:2], 2, 7, 1, 8},
		{"three days within a week", one([2]float64{10, 118.3}, [2]float64{13, 112}, [2]float64{16.5, 109}), 3, 6.5, 1, 17.5},
		{"three weighings on two days", one([2]float64{0, 118.3}, [2]float64{9, 112}, [2]float64{9, 112.2}), 2, 9, 1, 10},
		{"three days, and a cut", []cure.Weighing{made[0], made[1], {Day: 14, Bars: made[2].Bars, Trimmed: true}}, 2, 14, 1, 15},
		{"three days of three bars", []cure.Weighing{
			{Day: 0, Bars: map[string]measure.Mass{"A": grams(118)}},
			{Day: 9, Bars: map[string]measure.Mass{"B": grams(110)}},
			{Day: 18, Bars: map[string]measure.Mass{"C": grams(107)}},
		}, 1, 18, 2, 19},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := cure.Estimate(cure.Drying{Weighings: tt.weighings, Water: water, Size: size})
			little, ok := errors.AsType[*cure.TooLittle](err)
			if !ok {
				t.Fatalf("got %v, want TooLittle", err)
			}
			if little.Days != tt.days || little.Span != tt.span || little.More != tt.more || little.From != tt.from {
				t.Errorf("got %d days over %g, %d more from %g; want %d over %g, %d from %g", little.Days, little.Span, little.More, little.From, tt.days, tt.span, tt.more, tt.from)
			}
			if tt.weighings == nil {
				return
			}
			if little.Then.High-little.Then.Low <= 0 || little.Then.Low < little.Bounds.Low-2 || little.Then.High > little.Bounds.High+2 {
				t.Errorf("then %v, bounds %v", little.Then, little.Bounds)
			}
			if strings.Contains(err.Error(), "NaN") {
				t.Error(err)
			}
		})
	}
}

// Bar A of 118.3 g, of which 22.5 % are water, has 91.6825 g that are dry: with 2 % of
// water 93.55 g, and with 20 % 114.60 g, but it weighs 108.5 g already.
func TestBoundsWithoutAPrediction(t *testing.T) {
	for weighings, want := range map[int]measure.Range{1: {Low: 93.5536, High: 114.6031}, 2: {Low: 93.5536, High: 108.5}} {
		_, err := cure.Estimate(cure.Drying{Weighings: made[:weighings], Water: water})
		little, ok := errors.AsType[*cure.TooLittle](err)
		if !ok {
			t.Fatal(err)
		}
		near(t, "low", little.Bounds.Low, want.Low, 1e-3)
		near(t, "high", little.Bounds.High, want.High, 1e-3)
	}
}

// What one more weighing is said to win is about what it wins.
func TestOneMoreWeighingWinsWhatIsSaid(t *testing.T) {
	_, err := cure.Estimate(cure.Drying{Weighings: made[:2], Water: water, Size: size})
	little, ok := errors.AsType[*cure.TooLittle](err)
	if !ok {
		t.Fatal(err)
	}
	p := course(t, cure.Drying{Weighings: made[:3], Water: water, Size: size}).Final()
	near(t, "width", little.Then.High-little.Then.Low, p.High-p.Low, 2)
}

func TestSlips(t *testing.T) {
	slip := func(day, g float64) []cure.Weighing {
		all := slices.Clone(made)
		return append(all, one([2]float64{day, g})...)
	}
	for _, tt := range []struct {
		name      string
		weighings []cure.Weighing
		day       float64
	}{
		{"far above the first", slip(35, 123), 35},
		{"below the dry mass", slip(35, 90.5), 35},
		{"another unit", slip(35, 3.65), 35},
		{"nothing on the scale", slip(35, 0), 35},
		{"below nothing", slip(35, -100), 35},
		{"a house", slip(35, 1e9), 35},
	} {
		_, err := cure.Estimate(cure.Drying{Weighings: tt.weighings, Water: water, Size: size})
		if s, ok := errors.AsType[*cure.Slip](err); !ok || s.Mark != "A" || s.Day != tt.day || !strings.Contains(err.Error(), `bar "A" on day 35`) {
			t.Errorf("%s: got %v", tt.name, err)
		}
	}
	for _, g := range []float64{121, 92} {
		if _, err := cure.Estimate(cure.Drying{Weighings: slip(35, g), Water: water, Size: size}); err != nil {
			t.Errorf("%g g: %v", g, err)
		}
	}
}

func TestOtherFiguresThatAreNone(t *testing.T) {
	for name, d := range map[string]cure.Drying{
		"water is no number":     {Weighings: made, Water: measure.Exactly(math.NaN())},
		"water runs down":        {Weighings: made, Water: measure.Range{Low: 0.3, High: 0.2}},
		"water is not given":     {Weighings: made},
		"more water than soap":   {Weighings: made, Water: measure.Exactly(0.9)},
		"size below nothing":     {Weighings: made, Water: water, Size: [3]measure.Length{-1, 1, 1}},
		"step below nothing":     {Weighings: made, Water: water, Step: -1},
		"a day that is none":     {Weighings: append(slices.Clone(made), one([2]float64{math.NaN(), 100})...), Water: water},
		"a weighing of nothing":  {Weighings: append(slices.Clone(made), cure.Weighing{Day: 40}), Water: water},
		"a day without end":      {Weighings: append(slices.Clone(made), one([2]float64{math.Inf(1), 100})...), Water: water},
		"a step like a paperbag": {Weighings: made, Water: water, Step: 2 * measure.Kilogram},
	} {
		if _, err := cure.Estimate(d); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestWeighingsInAnyOrder(t *testing.T) {
	turned := slices.Clone(made)
	slices.Reverse(turned)
	want := course(t, cure.Drying{Weighings: made, Water: water, Size: size})
	got := course(t, cure.Drying{Weighings: turned, Water: water, Size: size})
	if got.At(180) != want.At(180) {
		t.Errorf("got %v, want %v", got.At(180), want.At(180))
	}
}

func TestDaysCountedFromElsewhere(t *testing.T) {
	var later []cure.Weighing
	for _, w := range made {
		later = append(later, cure.Weighing{Day: w.Day + 100, Bars: w.Bars})
	}
	want := course(t, cure.Drying{Weighings: made, Water: water, Size: size}).At(42)
	if got := course(t, cure.Drying{Weighings: later, Water: water, Size: size}).At(142); got != want {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestWeighingsOfOneDayAreAveraged(t *testing.T) {
	twice := append(slices.Clone(made[:3]), one([2]float64{28, 103.2}, [2]float64{28, 103.6})...)
	want := course(t, cure.Drying{Weighings: made, Water: water, Size: size}).At(180)
	got := course(t, cure.Drying{Weighings: twice, Water: water, Size: size}).At(180)
	near(t, "mean", got.Mean, want.Mean, 1e-9)
}

func TestOneMoreWeighingMovesWithinTheInterval(t *testing.T) {
	days := []float64{0, 3, 7, 14, 21, 28, 42, 60, 90, 180}
	seen := []float64{118.3, 111.4, 108.5, 105.9, 104.3, 103.4, 102.5, 102.1, 101.9, 102.2}
	var all []cure.Weighing
	for i := range days {
		all = append(all, one([2]float64{days[i], seen[i]})...)
	}
	var before cure.Prediction
	for n := 3; n <= len(all); n++ {
		p := course(t, cure.Drying{Weighings: all[:n], Water: water, Size: size}).At(200)
		if n > 3 && (p.Mean < before.Low || p.Mean > before.High || p.SD > 1.02*before.SD) {
			t.Errorf("%d weighings: %+v after %+v", n, p, before)
		}
		if p.Low > 101.9556 || p.High < 101.9556 {
			t.Errorf("%d weighings: the truth, 101.9556 g, is not in %+v", n, p)
		}
		before = p
	}
}

// What is wrong with a curve is wrong the next day too, so a bar that is weighed every day
// is no better known than one that is weighed every week.
func TestDailyWeighingsAreNoMoreProof(t *testing.T) {
	var daily, weekly []cure.Weighing
	for day := 0.0; day <= 28; day++ {
		w := one([2]float64{day, 101.96 + 16.44*cure.BrickLeft([3]float64{0.025, 0.055, 0.085}, 3.2e-6, day)})
		daily = append(daily, w...)
		if math.Mod(day, 7) == 0 {
			weekly = append(weekly, w...)
		}
	}
	every := course(t, cure.Drying{Weighings: daily, Water: water, Size: size}).At(180)
	week := course(t, cure.Drying{Weighings: weekly, Water: water, Size: size}).At(180)
	if every.SD < week.SD || every.SD > 1.15*week.SD {
		t.Errorf("daily %+v, weekly %+v", every, week)
	}
}

func TestGainsAreReported(t *testing.T) {
	damp := append(slices.Clone(made), one([2]float64{35, 104.9}, [2]float64{42, 102.9})...)
	c := course(t, cure.Drying{Weighings: damp, Water: water, Size: size})
	got := c.Gained()
	if len(got) != 1 || got[0].Mark != "A" || got[0].Day != 35 {
		t.Fatalf("got %v", got)
	}
	near(t, "gain", got[0].Grams, 1.5, 1e-9)
	if g := course(t, cure.Drying{Weighings: made, Water: water}).Gained(); len(g) != 0 {
		t.Errorf("got %v", g)
	}
}

// A scale in steps of 0.1 oz is off by up to half a step, which spreads by step/√12.
func TestCoarseScaleWidens(t *testing.T) {
	fine := course(t, cure.Drying{Weighings: made, Water: water, Size: size, Step: grams(0.1)}).At(180)
	coarse := course(t, cure.Drying{Weighings: made, Water: water, Size: size, Step: measure.Ounce / 10}).At(180)
	if coarse.SD < 1.1*fine.SD || coarse.OneSided > fine.OneSided-0.3 {
		t.Errorf("coarse %+v, fine %+v", coarse, fine)
	}
}

// Bars of which some are missing: the mean is that of all, since each is known by its
// ratio. B is half of A.
func TestMissingBars(t *testing.T) {
	share := []float64{1, 0.92, 0.895, 0.874}
	var all, some []cure.Weighing
	for i, day := range []float64{0, 7, 14, 28} {
		bars := map[string]measure.Mass{"A": grams(120 * share[i]), "B": grams(60 * share[i]), "C": grams(90 * share[i])}
		all = append(all, cure.Weighing{Day: day, Bars: bars})
		fewer := maps.Clone(bars)
		switch i {
		case 1:
			delete(fewer, "A")
		case 2:
			delete(fewer, "B")
			delete(fewer, "C")
		}
		some = append(some, cure.Weighing{Day: day, Bars: fewer})
	}
	whole := course(t, cure.Drying{Weighings: all, Water: water, Size: size})
	holes := course(t, cure.Drying{Weighings: some, Water: water, Size: size})
	near(t, "mean", holes.At(180).Mean, whole.At(180).Mean, 0.02)
	near(t, "floor", whole.Floor(), 90*0.775, 1e-6)
	for mark, want := range map[string]float64{"A": 4.0 / 3, "B": 2.0 / 3, "C": 1} {
		near(t, "ratio of "+mark, whole.Bars().Ratio[mark], want, 1e-6)
		near(t, "ratio of "+mark+" with holes", holes.Bars().Ratio[mark], want, 1e-6)
	}
}

// Two bars of 1 % more and less than their mean, with what three bars of 3 % say:
// √((2·0.03² + 2·0.01²)/(2+1)) = 0.02582.
func TestBarsDiffer(t *testing.T) {
	pair := func(each float64) cure.Drying {
		d := cure.Drying{Water: water, Size: size}
		for _, w := range made {
			g := w.Bars["A"].Grams()
			d.Weighings = append(d.Weighings, cure.Weighing{Day: w.Day, Bars: map[string]measure.Mass{"A": grams(g * (1 + each)), "B": grams(g * (1 - each))}})
		}
		return d
	}
	c := course(t, pair(0.01))
	near(t, "spread", c.Bars().Spread, 0.02582, 1e-5)
	alone := course(t, cure.Drying{Weighings: made, Water: water, Size: size})
	near(t, "spread of one bar", alone.Bars().Spread, 0.03, 1e-9)
	near(t, "marked bars", c.At(180).Mean, alone.At(180).Mean, 0.02)
	for _, day := range []float64{30, 180} {
		if c.At(day).SD > c.Batch(day).SD || c.Batch(day).SD > c.Single(day).SD {
			t.Error("the batch is known better than its marked bars, or a single bar better than the batch")
		}
		if c.Single(day).SD > alone.Single(day).SD || c.Batch(day).SD > alone.Batch(day).SD {
			t.Error("one bar says more than two")
		}
	}
	// √(0.02582²·101.14²·(1+1/2) + 1.74²), with 1.74 g for the marked bars.
	near(t, "single", c.Single(180).SD, 3.64, 0.03)
}

// A bar loses its corners on day 14: 6 % of it. What is left dries on as it would have.
func TestTrimmedBars(t *testing.T) {
	const kept = 0.94
	trimmed := slices.Clone(made[:2])
	trimmed = append(trimmed, one([2]float64{14, 105.9})...)
	after := one([2]float64{14, 105.9 * kept}, [2]float64{28, 103.4 * kept})
	after[0].Trimmed = true
	c := course(t, cure.Drying{Weighings: append(trimmed, after...), Water: water, Size: size})
	whole := course(t, cure.Drying{Weighings: made, Water: water, Size: size})
	near(t, "mean", c.At(180).Mean, kept*whole.At(180).Mean, 0.5)
	near(t, "floor", c.Floor(), kept*whole.Floor(), 1e-6)
	if c.At(180).SD < 0.9*kept*whole.At(180).SD || c.At(180).SD > 1.3*whole.At(180).SD {
		t.Errorf("SD %g, whole %g", c.At(180).SD, whole.At(180).SD)
	}
	if c.At(0).Mean < 0.98*kept*118.3 || c.At(0).Mean > 1.02*kept*118.3 {
		t.Errorf("the bar as it is cut now would have weighed %g at first, want %g", c.At(0).Mean, kept*118.3)
	}
	// Not weighed before the cut on that day: the loss of day 7 to 14 counts as cut off,
	// so the floor is lower.
	c = course(t, cure.Drying{Weighings: append(slices.Clone(made[:2]), after...), Water: water, Size: size})
	near(t, "floor", c.Floor(), kept*whole.Floor()*105.9/108.5, 1e-6)
	// Taken for drying, the cut would be a loss of water that there was not.
	after[0].Trimmed = false
	p := course(t, cure.Drying{Weighings: append(slices.Clone(made[:2]), after...), Water: water, Size: size}).At(180)
	if c.At(180).SD > 1.5*whole.At(180).SD || math.Abs(p.Mean-c.At(180).Mean) < 0.3 {
		t.Errorf("the flag says nothing: %+v, %+v", p, c.At(180))
	}
}

func TestWaterLeft(t *testing.T) {
	c := course(t, cure.Drying{Weighings: made, Water: water, Size: size})
	if w := c.WaterLeft(180); w.Low < 0.02 || w.Low > 0.10 || w.High < 0.10 || w.High > 0.15 {
		t.Errorf("10 %% of water is left, and %v is predicted", w)
	}
	// On day 28 the bar weighs 103.4 g, of which 91.68 g are dry: 11.3 %.
	if w := c.WaterLeft(28); w.Low > 0.113 || w.High < 0.113 || w.High-w.Low > 0.035 {
		t.Errorf("got %v", w)
	}
	wide := course(t, cure.Drying{Weighings: made, Water: measure.Range{Low: 0.2, High: 0.25}, Size: size})
	if w, n := wide.WaterLeft(28), c.WaterLeft(28); w.High-w.Low < 1.4*(n.High-n.Low) {
		t.Errorf("got %v with water from 20 to 25 %%, %v with 22.5 %%", w, n)
	}
	// 75 to 80 % of 118.3 g are dry: 8.5 to 14.2 % of 103.4 g are water.
	near(t, "least", wide.WaterLeft(28).Low, 0.085, 0.003)
	near(t, "most", wide.WaterLeft(28).High, 0.142, 0.003)
	near(t, "floor", wide.Floor(), 118.3*0.75, 1e-6)
}

func TestUnknownSizeIsWider(t *testing.T) {
	three := cure.Drying{Weighings: made[:3], Water: water, Size: size}
	sized := course(t, three).At(180)
	three.Size[1] = 0
	if p := course(t, three).At(180); p.High-p.Low <= sized.High-sized.Low {
		t.Errorf("got %+v, with the size %+v", p, sized)
	}
}

func TestSameWeighingsSameAnswer(t *testing.T) {
	bars := []cure.Weighing{}
	for _, w := range made {
		all := map[string]measure.Mass{}
		for i, mark := range []string{"A", "B", "C", "D", "E"} {
			all[mark] = w.Bars["A"] * measure.Mass(100+i) / 100
		}
		bars = append(bars, cure.Weighing{Day: w.Day, Bars: all})
	}
	first := course(t, cure.Drying{Weighings: bars, Water: water, Size: size})
	for range 5 {
		again := course(t, cure.Drying{Weighings: bars, Water: water, Size: size})
		if !reflect.DeepEqual(first.Single(90), again.Single(90)) || !reflect.DeepEqual(first.Bars(), again.Bars()) {
			t.Fatal("two answers")
		}
	}
}

// Three batches that came to rest near 10 % of water make the fourth surer, but not as
// sure as if batches never differed.
func TestPriorFromPastBatches(t *testing.T) {
	var past []*cure.Course
	for _, last := range []float64{101.8, 102, 102.3} {
		all := append(slices.Clone(made), one([2]float64{60, last + 0.2}, [2]float64{90, last})...)
		past = append(past, course(t, cure.Drying{Weighings: all, Water: water, Size: size}))
	}
	next := cure.Drying{Weighings: made[:3], Water: water, Size: size}
	usual := course(t, next).At(180)
	if cure.PriorFrom(past[:2]) != (cure.Prior{}) {
		t.Error("two batches are taken for enough")
	}
	next.Prior = cure.PriorFrom(past)
	own := course(t, next).At(180)
	if own.SD > 0.8*usual.SD || own.SD < 1 {
		t.Errorf("SD %g with own batches, %g without", own.SD, usual.SD)
	}
	near(t, "mean", own.Mean, 102, 1.2)
	// Batches without a size teach nothing on diffusion, and do no harm.
	var unsized []*cure.Course
	for range 3 {
		unsized = append(unsized, course(t, cure.Drying{Weighings: made, Water: water}))
	}
	next.Prior = cure.PriorFrom(unsized)
	near(t, "mean", course(t, next).At(180).Mean, 101.2, 1)
	// Three batches that were hardly weighed teach hardly anything.
	brief := course(t, cure.Drying{Weighings: made[:3], Water: water, Size: size})
	next.Prior = cure.PriorFrom([]*cure.Course{brief, brief, brief})
	if p := course(t, next).At(180); p.SD < 0.7*usual.SD {
		t.Errorf("SD %g with batches that were hardly weighed, %g without", p.SD, usual.SD)
	}
	// The same batch three times over still leaves the next one its own weather.
	next.Prior = cure.PriorFrom([]*cure.Course{past[0], past[0], past[0]})
	if p := course(t, next).At(180); p.SD < 1 {
		t.Errorf("SD %g", p.SD)
	}
}

// Whatever the weighings, as long as they are no slips: the mean bar is never predicted
// below its dry mass, nor above its last weight by more than 3 % of damp and the scale.
func TestPredictionsStayWithinReason(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := cure.Drying{
			Water: measure.Range{Low: rapid.Float64Range(0.05, 0.2).Draw(t, "low"), High: rapid.Float64Range(0.2, 0.4).Draw(t, "high")},
			Step:  grams(rapid.SampledFrom([]float64{0, 0.1, 1, 2.835}).Draw(t, "step")),
			Size:  rapid.SampledFrom([][3]measure.Length{{}, size, {1, 1, 1}, {measure.Inch, 2 * measure.Inch, 3 * measure.Inch}}).Draw(t, "size"),
		}
		first, day := rapid.Float64Range(20, 400).Draw(t, "first"), 0.0
		for range rapid.IntRange(3, 7).Draw(t, "weighings") {
			w := cure.Weighing{Day: day, Bars: map[string]measure.Mass{}, Trimmed: rapid.IntRange(0, 9).Draw(t, "cut") == 0}
			g := first * rapid.Float64Range(1-d.Water.High, 1.03).Draw(t, "share")
			for _, mark := range []string{"A", "B", "C"} {
				w.Bars[mark] = grams(g)
			}
			d.Weighings = append(d.Weighings, w)
			day += rapid.Float64Range(0, 40).Draw(t, "days")
		}
		c, err := cure.Estimate(d)
		if err != nil {
			t.Skip(err)
		}
		before := cure.Prediction{Low: math.Inf(1), Mean: math.Inf(1), High: math.Inf(1)}
		for _, after := range []float64{0, 10, 100, math.Inf(1)} {
			p := c.At(day + after)
			if p.Low < c.Floor() || p.Mean < p.OneSided || p.OneSided < p.Low || p.High < p.Mean {
				t.Errorf("%+v, floor %g", p, c.Floor())
			}
			if p.Mean > before.Mean+1e-6 {
				t.Errorf("heavier as it dries: %+v after %+v", p, before)
			}
			before = p
		}
		if w := c.WaterLeft(day); w.Low < 0 || w.High > d.Water.High || w.Low > w.High {
			t.Errorf("water left %v", w)
		}
	})
}

// A weight far below the curve is nearly the most that the bar can still have.
func TestNotAboveTheLastWeight(t *testing.T) {
	c := course(t, cure.Drying{Weighings: append(slices.Clone(made), one([2]float64{35, 99})...), Water: water, Size: size})
	for _, day := range []float64{35, 60, 400} {
		if p := c.At(day); p.High > 99*1.03 || p.High < 99 {
			t.Errorf("day %g: %+v after 99 g", day, p)
		}
	}
}

func FuzzEstimate(f *testing.F) {
	f.Add(0.0, 7.0, 14.0, 118.3, 108.5, 105.9, 0.22, 0.23, int64(25_000_000), 0.1, 180.0, false)
	f.Add(0.0, 0.0, 30.0, 100.0, 100.0, 103.0, 0.15, 0.15, int64(0), 0.0, math.Inf(1), true)
	f.Add(5.0, -7.0, 1e5, 1.0, 100e3, 50e3, 0.0200001, 0.8, int64(1), 1000.0, math.NaN(), false)
	f.Add(math.NaN(), math.Inf(-1), 3.0, math.NaN(), math.Inf(1), -1.0, math.NaN(), -1.0, int64(math.MinInt64), math.NaN(), -5.0, true)
	f.Fuzz(func(t *testing.T, d1, d2, d3, g1, g2, g3, low, high float64, edge int64, step, day float64, trimmed bool) {
		d := cure.Drying{
			Weighings: []cure.Weighing{
				{Day: d1, Bars: map[string]measure.Mass{"A": measure.MassDown(g1), "B": measure.MassDown(g3)}},
				{Day: d2, Bars: map[string]measure.Mass{"A": measure.MassDown(g2)}, Trimmed: trimmed},
				{Day: d3, Bars: map[string]measure.Mass{"A": measure.MassDown(g3)}},
				{Day: d3 + 7, Bars: map[string]measure.Mass{"A": measure.MassDown(g3), "B": measure.MassDown(g2)}},
			},
			Water: measure.Range{Low: low, High: high},
			Size:  [3]measure.Length{measure.Length(edge), measure.Length(edge), 55 * measure.Millimetre},
			Step:  measure.MassDown(step),
		}
		c, err := cure.Estimate(d)
		if err != nil {
			if little, ok := errors.AsType[*cure.TooLittle](err); ok && !(little.Bounds.Low <= little.Bounds.High && little.Then.Low <= little.Then.High) {
				t.Errorf("%+v", little)
			}
			return
		}
		for _, p := range []cure.Prediction{c.At(day), c.Batch(day), c.Single(day), c.Final()} {
			if !(p.SD > 0 && p.Low <= p.OneSided && p.OneSided <= p.Mean && p.Mean <= p.High) {
				t.Errorf("%+v", p)
			}
		}
		if p := c.At(day); !(c.Floor() > 0 && p.Low >= c.Floor()) {
			t.Errorf("%+v is below the dry mass, %g", p, c.Floor())
		}
		if w := c.WaterLeft(day); !(0 <= w.Low && w.Low <= w.High && w.High <= high) {
			t.Errorf("water left: %v", w)
		}
	})
}

func BenchmarkEstimate(b *testing.B) {
	for name, water := range map[string]measure.Range{"exact": water, "range": {Low: 0.215, High: 0.235}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				c, err := cure.Estimate(cure.Drying{Weighings: made, Water: water, Size: size})
				if err != nil {
					b.Fatal(err)
				}
				c.At(42)
				c.Batch(180)
			}
		})
	}
}
