package cure_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// A batchText is a batch with the text that it was read from.
type batchText struct {
	formula.Batch
	text string
}

// A tester is what tests, benchmarks and properties have in common.
type tester interface {
	Helper()
	Fatalf(format string, args ...any)
}

// recorded reads a batch that was made on 1 January 2026 and cut the next day.
func recorded(t tester, rest ...string) batchText {
	t.Helper()
	text := "code: X-1\nformula: castile\nmade: 2026-01-01\ncut: {date: 2026-01-02, bar: 20}\n" + strings.Join(rest, "\n") + "\n"
	b, _, err := formula.ReadBatch("batches/2026/X-1.yaml", []byte(text))
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return batchText{b, text}
}

// place gives where something stands in the text, which has it once.
func (r batchText) place(t tester, what string) finding.Pos {
	t.Helper()
	if strings.Count(r.text, what) != 1 {
		t.Fatalf("%q does not stand once in\n%s", what, r.text)
	}
	before := r.text[:strings.Index(r.text, what)]
	return finding.Pos{File: r.File, Line: 1 + strings.Count(before, "\n"), Col: len(before) - strings.LastIndexByte(before, '\n')}
}

var (
	barCut   = formula.Cut{Name: formula.Text{V: "bar"}}
	guestCut = formula.Cut{Name: formula.Text{V: "guest"}}
	usual    = cure.Basis{Water: water, Bars: 20}
)

// read reads the weighings of the only cut.
func (r batchText) read(basis cure.Basis) cure.Dried {
	return cure.Read(r.Batch, []formula.Cut{barCut}, barCut, basis)
}

// course gives what comes of weighings that must have a course.
func (r batchText) course(t tester) *cure.Course {
	t.Helper()
	d := r.read(usual)
	if d.Course == nil {
		t.Fatalf("no course: %v, %v in\n%s", d.Little, d.Findings, r.text)
	}
	return d.Course
}

// Three bars with 22.5 % of water that lose half of what they will in twelve days.
const (
	day1  = "  - {date: 2026-01-02, bars: {A: 131.2 g, B: 130.4 g, C: 132.1 g}}"
	day8  = "  - {date: 2026-01-09, bars: {A: 124.5 g, B: 123.7 g, C: 125.3 g}}"
	day15 = "  - {date: 2026-01-16, bars: {A: 121.3 g, B: 120.6 g, C: 122.2 g}}"
	day29 = "  - {date: 2026-01-30, bars: {A: 117.9 g, B: 117.2 g, C: 118.7 g}}"
)

var weighedWell = []string{"weighings:", day1, day8, day15, day29}

// besides gives the good weighings with more lines.
func besides(lines ...string) []string { return append(slices.Clone(weighedWell), lines...) }

// instead gives the good weighings with something else in the place of a line.
func instead(of string, line ...string) []string {
	i := slices.Index(weighedWell, of)
	return slices.Replace(slices.Clone(weighedWell), i, i+1, line...)
}

// What is odd about weighings is said at the place where it stands, and nothing else is.
func TestWhatIsOddIsSaidWhereItStands(t *testing.T) {
	const (
		followed = iota // there is a course
		little          // too little was weighed
		wrong           // a weight is wrong
	)
	on, _ := day.Parse("2026-01-20")
	guest := []formula.Cut{barCut, guestCut}
	for _, tt := range []struct {
		name  string
		lines []string
		basis cure.Basis
		cuts  []formula.Cut // bar alone, if none stands here
		want  []string      // rule, level, and what stands at the place
		says  []string
		ends  int
	}{
		{name: "nothing is odd", lines: weighedWell},
		{name: "no weighing", ends: little},
		{name: "out of order", lines: []string{"weighings:", day1, day15, day29, day8}, want: []string{"CURE-ORDER note 2026-01-09"}, says: []string{"2026-01-09 stands after that of 2026-01-30"}},
		{name: "ounces among grams", lines: besides("  - {date: 2026-02-13, bars: {A: 4.09 oz, B: 115.3 g, C: 4.12 oz}}")},

		{name: "grams for ounces", lines: besides("  - {date: 2026-02-13, bars: {A: 4.1 g, B: 115.3 g, C: 116.8 g}}"), want: []string{"CURE-SLIP stop 4.1 g"}, says: []string{`bar "A" on 2026-02-13`, "were 4.1 oz meant?"}, ends: wrong},
		{name: "ounces for grams", lines: besides("  - {date: 2026-02-13, bars: {A: 116 g, B: 115 oz, C: 117 g}}"), want: []string{"CURE-SLIP stop 115 oz"}, says: []string{`bar "B" on 2026-02-13`, "were 115 g meant?"}, ends: wrong},
		{name: "a decimal point too far left", lines: besides("  - {date: 2026-02-13, bars: {A: 11.6 g, B: 115.3 g}}"), want: []string{"CURE-SLIP stop 11.6 g"}, says: []string{"is the decimal point in its place?"}, ends: wrong},
		{name: "a decimal point too far right", lines: besides("  - {date: 2026-02-13, bars: {A: 1160 g, B: 115.3 g}}"), want: []string{"CURE-SLIP stop 1160 g"}, says: []string{"is the decimal point in its place?"}, ends: wrong},
		{name: "above the fresh weight", lines: besides("  - {date: 2026-02-13, bars: {A: 116.1 g, B: 115.3 g, C: 137.2 g}}"), want: []string{"CURE-SLIP stop 137.2 g"}, says: []string{"137.2 g is more than the 132.1 g of its first weighing"}, ends: wrong},
		{name: "below what is dry", lines: besides("  - {date: 2026-02-13, bars: {A: 99.9 g, B: 115.3 g, C: 116.8 g}}"), want: []string{"CURE-SLIP stop 99.9 g"}, says: []string{"left of it without any water"}, ends: wrong},
		{name: "two that are wrong", lines: besides("  - {date: 2026-02-13, bars: {A: 99.9 g, B: 115.3 g, C: 137.2 g}}"), want: []string{"CURE-SLIP stop 99.9 g", "CURE-SLIP stop 137.2 g"}, ends: wrong},
		{name: "a feather", lines: besides("  - {date: 2026-02-13, bars: {A: 0.5 g}}"), want: []string{"CURE-SLIP stop 0.5 g"}, says: []string{"no weight of a bar of soap"}, ends: wrong},

		{name: "a bar in damp air", lines: besides("  - {date: 2026-02-13, bars: {A: 119.2 g, B: 117.1 g, C: 118.6 g}}"), want: []string{"CURE-GAIN note 119.2 g"}, says: []string{`"A" was 1.3 g heavier on 2026-02-13`}},
		{name: "more than damp air does", lines: besides("  - {date: 2026-02-13, bars: {A: 124.8 g, B: 117.1 g, C: 118.6 g}}"), want: []string{"CURE-GAIN warn 124.8 g"}, says: []string{`"A" was 6.9 g heavier`}},

		{name: "a single bar", lines: []string{"weighings:", "  - {date: 2026-01-02, bars: {A: 131.2 g}}", "  - {date: 2026-01-09, bars: {A: 124.5 g}}", "  - {date: 2026-01-16, bars: {A: 121.3 g}}"}, want: []string{"CURE-FEW note 2026-01-02, bars"}, says: []string{"one marked bar stands"}},
		{name: "two bars", lines: []string{"weighings:", "  - {date: 2026-01-02, bars: {A: 131.2 g, B: 130.4 g}}", "  - {date: 2026-01-09, bars: {A: 124.5 g, B: 123.7 g}}", "  - {date: 2026-01-16, bars: {B: 120.6 g}}"}, want: []string{"CURE-FEW note 2026-01-02, bars"}, says: []string{"two marked bars stand"}},
		{name: "twice on a day", lines: besides("  - {date: 2026-01-30 , bars: {A: 118.1 g}}"), want: []string{"CURE-TWICE note 2026-01-30 "}, says: []string{"more than once on 2026-01-30", "the mean is taken"}},
		{name: "twice on a day, of which one is wrong", lines: besides("  - {date: 2026-01-30 , bars: {A: 4.1 g}}"), want: []string{"CURE-TWICE note 2026-01-30 ", "CURE-SLIP stop 4.1 g"}, says: []string{"4.1 g is less than", "were 4.1 oz meant?"}, ends: wrong},
		{name: "twice on a day, of which the first is wrong", lines: instead(day15, "  - {date: 2026-01-16 , bars: {C: 1222 g}}", day15), want: []string{"CURE-TWICE note 2026-01-16, bars", "CURE-SLIP stop 1222 g"}, says: []string{"1222 g is more than", "decimal point"}, ends: wrong},
		{name: "trimmed and weighed again on a day", lines: besides("  - {date: 2026-01-30, trimmed: true, bars: {A: 115.0 g, B: 114.4 g, C: 115.8 g}}")},
		{name: "trimmed to less than was dry", lines: besides("  - {date: 2026-02-13, trimmed: true, bars: {A: 90.0 g, B: 89.4 g, C: 90.8 g}}")},

		{name: "after packing", lines: besides("packed:", "  - {date: 2026-01-15, count: 5}", "  - {date: 2026-01-28, count: 5}"), want: []string{"CURE-PACKED note 2026-01-16"}, says: []string{"weighed on 2026-01-16, after the first of them were wrapped on 2026-01-15"}},
		{name: "on the day of packing", lines: besides("packed:", "  - {date: 2026-01-30, cut: bar}")},
		{name: "after another cut was packed", lines: besides("packed:", "  - {date: 2026-01-15, cut: guest}")},

		{name: "of another cut", lines: append([]string{"weighings:"}, named("bar", day1, day8, day15, "  - {date: 2026-01-30, bars: {A: 4.1 g}}")...), cuts: []formula.Cut{guestCut, barCut}, ends: wrong, want: []string{"CURE-SLIP stop 4.1 g"}},
		{name: "of another cut alone", lines: append([]string{"weighings:"}, named("guest", day1, day8, day15)...), cuts: guest, ends: little},
		{name: "of none of two cuts", lines: append([]string{"weighings:", day29}, named("bar", day1, day8, day15)...), cuts: guest, want: []string{"CURE-CUT warn 2026-01-30"}, says: []string{"of which cut the bars weighed on 2026-01-30 are", "bar, guest", "corrects: g1"}},
		{name: "of a cut that there is not", lines: besides("  - {date: 2026-02-13, cut: loaf, bars: {A: 116.1 g}}"), want: []string{"CURE-CUT warn loaf"}, says: []string{`no cut "loaf"`, "corrects: g5"}},

		{name: "late", lines: []string{"weighings:", "  - {date: 2026-01-13, bars: {A: 124.5 g, B: 123.7 g, C: 125.3 g}}", "  - {date: 2026-01-20, bars: {A: 121.3 g, B: 120.6 g, C: 122.2 g}}", "  - {date: 2026-02-03, bars: {A: 117.9 g, B: 117.2 g, C: 118.7 g}}"}, want: []string{"CURE-LATE note 2026-01-13"}, says: []string{"12 days after they were made"}},
		{name: "five days are not late", lines: []string{"weighings:", "  - {date: 2026-01-06, bars: {A: 124.5 g, B: 123.7 g, C: 125.3 g}}", "  - {date: 2026-01-20, bars: {A: 121.3 g, B: 120.6 g, C: 122.2 g}}", "  - {date: 2026-02-03, bars: {A: 117.9 g, B: 117.2 g, C: 118.7 g}}"}},
		{name: "one weighing", lines: []string{"weighings:", day1}, want: []string{"CURE-LITTLE note 2026-01-02, bars"}, says: []string{"on 1 of at least 3 days", "2 times more", "2026-01-09 or later"}, ends: little},
		{name: "two weighings", lines: []string{"weighings:", day1, day8}, want: []string{"CURE-LITTLE note 2026-01-09"}, says: []string{"on 2 of at least 3 days, over 7", "once more", "2026-01-10 or later"}, ends: little},
		{name: "three within six days", lines: []string{"weighings:", day1, "  - {date: 2026-01-04, bars: {A: 128.0 g}}", "  - {date: 2026-01-08, bars: {A: 125.0 g}}"}, want: []string{"CURE-LITTLE note 2026-01-08"}, says: []string{"on 3 of at least 3 days, over 6 of at least 7", "once more", "2026-01-09 or later"}, ends: little},
		{name: "one on each of two days, and one again", lines: []string{"weighings:", day1, day8, "  - {date: 2026-01-09 , bars: {A: 124.6 g}}"}, want: []string{"CURE-TWICE note 2026-01-09 ", "CURE-LITTLE note 2026-01-09 "}, ends: little},

		{name: "bars that were not marked", lines: []string{"weighings:", day1, "  - {date: 2026-01-09, bars: {D: 124.5 g}}", "  - {date: 2026-01-16, bars: {E: 121.3 g}}"}, want: []string{"CURE-TIE warn 2026-01-09"}, says: []string{"none of the bars weighed on 2026-01-09 was weighed before"}, ends: wrong},
		{name: "still to come", lines: weighedWell, basis: cure.Basis{Water: water, On: on}, want: []string{"CURE-AHEAD warn 2026-01-30"}, says: []string{"after 2026-01-20"}},
		{name: "all that are left", lines: besides("  - {date: 2026-02-13, bars: {A: 116.1 g, B: 115.3 g}}"), basis: cure.Basis{Water: water, Bars: 20, Left: 2}, want: []string{"CURE-LEFT note 2026-02-13", "CURE-FEW note 2026-01-02, bars"}, says: []string{"all 2 bars", "the weights of C"}},
		{name: "all that are left, and no others before", lines: weighedWell, basis: cure.Basis{Water: water, Bars: 20, Left: 3}},
		{name: "damper air", lines: instead(day29, "  - {date: 2026-01-30, humidity: 75 %, bars: {A: 117.9 g, B: 117.2 g, C: 118.7 g}}", "  - {date: 2026-02-13, humidity: 50 %, bars: {A: 116.1 g, B: 115.3 g, C: 116.8 g}}"), basis: cure.Basis{Water: water, Glycerol: 0.08}, want: []string{"CURE-HUMID note 75 %"}, says: []string{"50 % on 2026-02-13 and of 75 % on 2026-01-30", "heavier by about 3.1 %"}},
		{name: "air that is about the same", lines: instead(day29, "  - {date: 2026-01-30, humidity: 64.9 %, bars: {A: 117.9 g, B: 117.2 g, C: 118.7 g}}", "  - {date: 2026-02-13, humidity: 50 %, bars: {A: 116.1 g, B: 115.3 g, C: 116.8 g}}")},
		{name: "hardly any water", lines: weighedWell, basis: cure.Basis{Water: measure.Exactly(0.02)}, want: []string{"CURE-WATER note 2026-01-02, bars"}, says: []string{"too little to dry"}, ends: wrong},
		{name: "nobody knows how much water", lines: weighedWell, basis: cure.Basis{Water: measure.Range{Low: 0.18, High: 0.27}}, want: []string{"CURE-WATER warn 2026-01-02, bars"}, says: []string{"18 to 27 %"}},
		{name: "more water than soap", lines: weighedWell, basis: cure.Basis{Water: measure.Exactly(0.9)}, want: []string{"CURE-WATER warn 2026-01-02, bars"}, says: []string{"cannot be followed"}, ends: wrong},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := recorded(t, tt.lines...)
			basis, cuts := tt.basis, tt.cuts
			if basis.Water.High == 0 {
				basis = usual
			}
			if cuts == nil {
				cuts = []formula.Cut{barCut}
			}
			d := cure.Read(r.Batch, cuts, barCut, basis)
			var want, got []string
			for _, w := range tt.want {
				rule, rest, _ := strings.Cut(w, " ")
				level, what, _ := strings.Cut(rest, " ")
				want = append(want, fmt.Sprint(rule, " ", level, " ", r.place(t, what)))
			}
			var text strings.Builder
			for _, f := range d.Findings {
				got = append(got, fmt.Sprint(f.Rule, " ", f.Level, " ", f.At))
				text.WriteString(f.Message + "\n" + f.Remedy + "\n")
			}
			if !slices.Equal(got, want) {
				t.Errorf("got  %q\nwant %q\n%s", got, want, text.String())
			}
			for _, say := range tt.says {
				if !strings.Contains(text.String(), say) {
					t.Errorf("nothing says %q:\n%s", say, text.String())
				}
			}
			if (d.Course != nil) != (tt.ends == followed) || (d.Little != nil) != (tt.ends == little) {
				t.Errorf("course: %t, too little: %v", d.Course != nil, d.Little)
			}
		})
	}
}

// named says of weighings of which cut they are.
func named(cut string, lines ...string) []string {
	var all []string
	for _, line := range lines {
		all = append(all, strings.Replace(line, "bars:", "cut: "+cut+", bars:", 1))
	}
	return all
}

// The order in which weighings were written down changes nothing, and two of a day are
// their mean.
func TestOrderAndMeanOfADay(t *testing.T) {
	want := recorded(t, weighedWell...).course(t)
	for name, lines := range map[string][]string{
		"another order": {"weighings:", day29, day8, day1, day15},
		"twice a day":   instead(day15, "  - {date: 2026-01-16, bars: {A: 121.1 g, B: 120.6 g, C: 122.2 g}}", "  - {date: 2026-01-16, bars: {A: 121.5 g}}"),
	} {
		got := recorded(t, lines...).course(t)
		for _, on := range []float64{1, 42, 180} {
			near(t, fmt.Sprintf("%s, day %g", name, on), got.Batch(on).OneSided, want.Batch(on).OneSided, 1e-9)
		}
	}
	// One reading of 121.5 g alone is another course.
	other := recorded(t, instead(day15, "  - {date: 2026-01-16, bars: {A: 121.5 g, B: 120.6 g, C: 122.2 g}}")...).course(t)
	if other.Batch(180) == want.Batch(180) {
		t.Error("a heavier bar changes nothing")
	}
}

// 4.4 oz are 124.73790175 g (1 lb = 0.45359237 kg, UK Weights and Measures Act 1985 Sch. 1).
func TestOuncesAreGrams(t *testing.T) {
	ounces := recorded(t, instead(day8, "  - {date: 2026-01-09, bars: {A: 4.4 oz, B: 123.7 g, C: 125.3 g}}")...)
	inGrams := recorded(t, instead(day8, "  - {date: 2026-01-09, bars: {A: 124.73790175 g, B: 123.7 g, C: 125.3 g}}")...)
	if got, want := ounces.course(t).Batch(180), inGrams.course(t).Batch(180); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// What is cut off is no water: bars that were trimmed to nine tenths come to rest at nine
// tenths, as far as the rounding of the scale lets them.
func TestTrimmedBarsDryOn(t *testing.T) {
	whole := recorded(t, besides("  - {date: 2026-02-13, bars: {A: 116.1 g, B: 115.4 g, C: 116.9 g}}")...).course(t)
	less := recorded(t, besides("  - {date: 2026-01-30, trimmed: true, bars: {A: 106.1 g, B: 105.5 g, C: 106.8 g}}", "  - {date: 2026-02-13, bars: {A: 104.5 g, B: 103.9 g, C: 105.2 g}}")...).course(t)
	near(t, "mean at rest", less.Final().Mean, 0.9*whole.Final().Mean, 0.2)
}

// The step of the scale is the coarsest of what the shop declares and what the readings
// show; it makes the course less sure.
func TestStepOfTheScale(t *testing.T) {
	inOunces := []string{
		"weighings:",
		"  - {date: 2026-01-02, scale: kitchen, bars: {A: 4.6 oz, B: 4.6 oz, C: 4.7 oz}}",
		"  - {date: 2026-01-09, scale: kitchen, bars: {A: 4.4 oz, B: 4.4 oz, C: 4.4 oz}}",
		"  - {date: 2026-01-16, scale: kitchen, bars: {A: 4.3 oz, B: 4.3 oz, C: 4.3 oz}}",
		"  - {date: 2026-01-30, scale: kitchen, bars: {A: 4.2 oz, B: 4.1 oz, C: 4.2 oz}}",
	}
	fine := slices.Clone(weighedWell)
	for i, line := range fine {
		fine[i] = strings.Replace(line, "bars:", "scale: kitchen, bars:", 1)
	}
	scales := func(step measure.Mass) map[string]formula.Mass {
		return map[string]formula.Mass{"kitchen": {V: step}, "unused": {V: 100 * measure.Gram}}
	}
	for _, tt := range []struct {
		name   string
		lines  []string
		scales map[string]formula.Mass
		want   measure.Mass
	}{
		{"seen in ounces", inOunces, nil, measure.Ounce / 10},
		{"seen in grams", weighedWell, nil, measure.Gram / 10},
		{"declared", fine, scales(measure.Gram), measure.Gram},
		{"declared finer than the readings are", inOunces, scales(measure.Gram / 10), measure.Ounce / 10},
		{"of another scale", weighedWell, scales(measure.Gram), measure.Gram / 10},
	} {
		d := recorded(t, tt.lines...).read(cure.Basis{Water: water, Scales: tt.scales})
		if d.Step != tt.want || d.Drying.Step != tt.want || d.Course == nil {
			t.Errorf("%s: step %d ng, in the drying %d, want %d; findings %v", tt.name, d.Step, d.Drying.Step, tt.want, d.Findings)
		}
	}
	sure := func(step measure.Mass) float64 {
		return recorded(t, fine...).read(cure.Basis{Water: water, Scales: scales(step)}).Course.At(60).SD
	}
	if sure(5*measure.Gram) <= sure(measure.Gram) {
		t.Error("a coarser scale tells as much")
	}
}

// Where nothing but the weighings is known, they stand in the order of their days, and what
// is of no cut is told.
func TestUnread(t *testing.T) {
	r := recorded(t, "weighings:", day29, day1, "  - {date: 2026-02-13, cut: loaf, bars: {A: 116.1 g}}")
	d := cure.Unread(r.Batch, []formula.Cut{barCut}, barCut)
	if len(d.Weighings) != 2 || d.Weighings[0].ID != "g2" || d.Weighings[1].ID != "g1" || d.Course != nil {
		t.Errorf("%+v", d.Weighings)
	}
	if len(d.Findings) != 1 || d.Findings[0].At != r.place(t, "loaf") {
		t.Errorf("%v", d.Findings)
	}
	if last, ok := d.Last(); !ok || last.ID != "g1" {
		t.Errorf("last %+v", last)
	}
	if _, ok := (cure.Dried{}).Last(); ok {
		t.Error("there is a last of no weighings")
	}
}

func TestDaysOfTheCourse(t *testing.T) {
	d := recorded(t, weighedWell...).read(usual)
	on, _ := day.Parse("2026-02-12")
	if d.Day(on) != 42 || d.Date(42) != on || d.Date(42.9) != on || !d.Date(1e6).IsZero() {
		t.Errorf("day %g, dates %s and %s", d.Day(on), d.Date(42), d.Date(1e6))
	}
	if d.Course.LastDay() != 29 {
		t.Errorf("last weighed on day %g", d.Course.LastDay())
	}
}

// The more of the bars were weighed that were cut, the more is known of their mean; of all
// that are left, all is.
func TestBarsThatWereCut(t *testing.T) {
	r := recorded(t, weighedWell...)
	spread := func(bars, left int) float64 {
		return r.read(cure.Basis{Water: water, Bars: bars, Left: left}).Course.Batch(60).SD
	}
	if !(spread(3, 0) < spread(4, 0) && spread(4, 0) < spread(20, 0) && spread(20, 0) < spread(0, 0)) {
		t.Errorf("spread %.4f g of 3 bars, %.4f of 4, %.4f of 20, %.4f of nobody knows how many", spread(3, 0), spread(4, 0), spread(20, 0), spread(0, 0))
	}
	near(t, "three are left", spread(20, 3), spread(3, 0), 1e-9)
	near(t, "four are left", spread(20, 4), spread(20, 0), 1e-9)
}

// One more weighing, of more bars, tells more of the batch.
func TestAgain(t *testing.T) {
	d := recorded(t, weighedWell...).read(usual)
	same, ok := d.Again(60, 3)
	more, alsoOK := d.Again(60, 12)
	if !ok || !alsoOK {
		t.Fatal("nothing to be known")
	}
	was, now, then := d.Course.Batch(180), same.Batch(180), more.Batch(180)
	if now.SD >= was.SD || then.SD >= now.SD || more.Bars().Count != 12 {
		t.Errorf("spread %.3g g, with one more weighing %.3g, and of 12 bars %.3g", was.SD, now.SD, then.SD)
	}
	near(t, "mean", now.Mean, was.Mean, was.SD)
	if _, ok := d.Again(29, 3); ok {
		t.Error("weighed again on the day of the last weighing")
	}
	if _, ok := recorded(t, "weighings:", day1).read(usual).Again(60, 3); ok {
		t.Error("weighed again without a course")
	}
}

// drawnRecord draws the lines of a record in which much may be odd.
func drawnRecord(t *rapid.T) []string {
	lines := []string{"weighings:"}
	for range rapid.IntRange(1, 6).Draw(t, "weighings") {
		on := rapid.SampledFrom([]int{1, 1, 2, 8, 8, 15, 29, 43, 60}).Draw(t, "day")
		var bars []string
		for _, mark := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"A", "B", "C", "D"}), 1, 4, rapid.ID).Draw(t, "bars") {
			typed := fmt.Sprintf("%.1f g", 131.2*(0.87+0.13/(1+float64(on)/10))+rapid.Float64Range(-1, 1).Draw(t, "off"))
			if rapid.IntRange(0, 15).Draw(t, "odd") == 0 {
				typed = rapid.SampledFrom([]string{"4.6 oz", "4.6 g", "60 g", "150 g", "131 oz", "0.2 g"}).Draw(t, "typed")
			}
			bars = append(bars, mark+": "+typed)
		}
		date, _ := day.Parse("2026-01-01")
		line := fmt.Sprintf("  - {date: %s, ", date.AddDays(on))
		if cut := rapid.SampledFrom([]string{"", "", "bar", "bar", "guest", "loaf"}).Draw(t, "cut"); cut != "" {
			line += "cut: " + cut + ", "
		}
		if rapid.IntRange(0, 7).Draw(t, "trimmed") == 0 {
			line += "trimmed: true, "
		}
		line += rapid.SampledFrom([]string{"", "humidity: 45 %, ", "humidity: 70 %, "}).Draw(t, "humidity")
		lines = append(lines, line+"bars: {"+strings.Join(bars, ", ")+"}}")
	}
	return append(lines, rapid.SampledFrom([][]string{nil, {"packed:", "  - {date: 2026-01-20}"}}).Draw(t, "packed")...)
}

// Nothing is dropped without a word: each weight of a record is among the weighings of a
// cut, or a finding stands at its line, or its mark is among those that are left out. A
// drying without a course says why, and a stop has a way out.
func TestNothingIsDroppedWithoutAWord(t *testing.T) {
	mark := func(w formula.Weighing, b formula.MarkedBar) string { return w.ID + " " + b.Mark }
	rapid.Check(t, func(t *rapid.T) {
		r := recorded(t, drawnRecord(t)...)
		cuts := rapid.SampledFrom([][]formula.Cut{{barCut}, {barCut, guestCut}}).Draw(t, "cuts")
		basis := cure.Basis{Water: water, Bars: 20, Left: rapid.SampledFrom([]int{0, 2, 20}).Draw(t, "left")}
		if rapid.Bool().Draw(t, "asked early") {
			basis.On, _ = day.Parse("2026-02-01")
		}
		known := map[string]bool{}
		for _, cut := range cuts {
			d := cure.Read(r.Batch, cuts, cut, basis)
			if !slices.IsSortedFunc(d.Weighings, func(a, b formula.Weighing) int { return a.Date.V.Compare(b.Date.V) }) {
				t.Fatalf("not in the order of days: %v", d.Weighings)
			}
			for _, w := range d.Weighings {
				for _, b := range w.Bars {
					known[mark(w, b)] = true
				}
			}
			for _, f := range d.Findings {
				if f.Level == finding.Stop && f.Remedy == "" {
					t.Fatalf("no way out: %v", f)
				}
				told := false
				for _, w := range r.Weighings {
					told = told || w.Date.At.Line == f.At.Line
					for _, b := range w.Bars {
						leftOut := f.Rule == cure.RuleLeft && slices.Contains(strings.FieldsFunc(f.Message, func(r rune) bool { return r == ' ' || r == ',' }), b.Mark)
						if w.Date.At.Line == f.At.Line || leftOut {
							known[mark(w, b)] = true
						}
					}
				}
				if !told {
					t.Fatalf("%v stands at no weighing", f)
				}
			}
			silent := !slices.ContainsFunc(d.Findings, func(f finding.Finding) bool { return f.Level != finding.Note })
			if d.Course == nil && d.Little == nil && silent || d.Course != nil && d.Little != nil {
				t.Fatalf("course %t, little %v, findings %v", d.Course != nil, d.Little, d.Findings)
			}
		}
		for _, w := range r.Weighings {
			for _, b := range w.Bars {
				if !known[mark(w, b)] {
					t.Fatalf("the weight of %s is gone\n%s", mark(w, b), r.text)
				}
			}
		}
	})
}

// One batch of four weighings, with what three batches taught.
func BenchmarkRead(b *testing.B) {
	r := recorded(b, weighedWell...)
	c := r.course(b)
	basis := usual
	basis.Prior = cure.PriorFrom([]*cure.Course{c, c, c})
	sized := barCut
	sized.Length, sized.Width, sized.Height = formula.Length{V: size[0]}, formula.Length{V: size[1]}, formula.Length{V: size[2]}
	for b.Loop() {
		if cure.Read(r.Batch, []formula.Cut{sized}, sized, basis).Course == nil {
			b.Fatal("no course")
		}
	}
}
