package figure_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/width"
	"pgregory.net/rapid"

	"saponym/internal/day"
	"saponym/internal/figure"
	"saponym/internal/measure"
	"saponym/internal/render/svg"
	"saponym/internal/scene"
	"saponym/internal/text"
)

func on(t testing.TB, s string) day.Day {
	t.Helper()
	d, err := day.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// start is the day of the first weighing.
const start = "2026-11-28"

// weighings are of three bars on five days.
func weighings(t testing.TB) []figure.Weighed {
	var all []figure.Weighed
	for _, w := range []struct {
		after int
		grams []float64
	}{
		{0, []float64{113.9, 113.1, 113.4}}, {7, []float64{110.6, 109.8, 110.2}}, {14, []float64{108.8, 108.2, 108.4}},
		{28, []float64{106.6, 106.0, 106.4}}, {42, []float64{105.4, 104.8, 105.3}},
	} {
		mean := (w.grams[0] + w.grams[1] + w.grams[2]) / 3
		all = append(all, figure.Weighed{Day: on(t, start).AddDays(w.after), Mean: mean, Bars: w.grams})
	}
	return all
}

// drying is a curve up to a day, with a claim whose last day follows from its course.
func drying(t testing.TB, days int, claim float64) figure.Curve {
	first := on(t, start)
	c := figure.Curve{
		Title: "Hay Meadow", Line: "batch 26300-01-H, cut bar, us-soap",
		Weighed: weighings(t), Floor: 91.8,
		Claim: figure.ClaimLine{Words: "100 g on the label", Grams: claim},
		Days:  []figure.MarkedDay{{Day: first.AddDays(44), Words: "packed"}, {Day: first.AddDays(days), Words: "sold until"}},
	}
	for n := range days + 1 {
		mean := 101.6 + 11.9*math.Exp(-math.Pow(float64(n)/24, 0.7))
		sd := 0.35 + 1.2*(1-math.Exp(-max(0, float64(n)-42)/90))
		e := figure.Predicted{Day: first.AddDays(n), Mean: mean, Low: mean - 1.96*sd, High: mean + 1.96*sd, Bound: mean - 1.645*sd}
		if e.Bound < claim && c.Claim.Until.IsZero() {
			c.Claim.Until = first.AddDays(n - 1)
		}
		c.Course = append(c.Course, e)
	}
	return c
}

// little is a curve of which too little was weighed.
func little(t testing.TB) figure.Curve {
	c := drying(t, 0, 100)
	c.Weighed, c.Course, c.Claim.Until = c.Weighed[:2], nil, day.Day{}
	c.Bounds = measure.Range{Low: 92.5, High: 111}
	c.Days = c.Days[:1]
	return c
}

func drawCurve(t testing.TB, c figure.Curve, width float64) scene.Scene {
	t.Helper()
	s, err := figure.Drying(c, measure.MM(width))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestCurveGolden(t *testing.T) {
	for _, tt := range []struct{ name, got string }{
		{"year.txt", drawCurve(t, drying(t, 409, 100), 180).String()},
		{"little.txt", drawCurve(t, little(t), 180).String()},
		{"year-plain.txt", drying(t, 409, 100).Plain(80, 24)},
	} {
		name := filepath.Join("testdata", "curve", tt.name)
		if *update {
			if err := os.WriteFile(name, []byte(tt.got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), tt.got); diff != "" {
			t.Errorf("the picture is another than in %s (-want +got):\n%s", name, diff)
		}
	}
}

// said gives the words of a scene, one text a line.
func said(s scene.Scene) string {
	var b strings.Builder
	for _, item := range s.Items {
		if item.Text != nil {
			b.WriteString(item.Text.Runes + "\n")
		}
	}
	return b.String()
}

// paths gives the paths of one field.
func paths(s scene.Scene, field string) []*scene.Path {
	var all []*scene.Path
	for _, item := range s.Items {
		if item.Path != nil && item.Mark.Field == field {
			all = append(all, item.Path)
		}
	}
	return all
}

// What a curve says, and what it does not.
func TestCurveSays(t *testing.T) {
	change := func(how func(*figure.Curve)) figure.Curve {
		c := drying(t, 409, 100)
		how(&c)
		return c
	}
	for _, tt := range []struct {
		name  string
		curve figure.Curve
		says  []string
		not   []string
	}{
		{"a claim that ends", drying(t, 409, 100), []string{"100 g on the label", "holds until 24 Apr 2027", "packed", "11 Jan 2027", "Dry mass 91.8 g, below what is shown.", "by its square root", "day 28\n", "26 Dec\n", " oz"}, []string{"never"}},
		{"a claim that holds", change(func(c *figure.Curve) { c.Claim.Grams, c.Claim.Until = 98, day.Day{} }), []string{"100 g on the label"}, []string{"until 2", "never"}},
		{"a claim that never holds", change(func(c *figure.Curve) { c.Claim.Until = on(t, "2026-11-27") }), []string{"100 g on the label, never holds"}, []string{"holds until"}},
		{"a claim that holds longer", change(func(c *figure.Curve) { c.Claim.Until = on(t, "2030-03-01") }), []string{"holds until 1 Mar 2030"}, nil},
		{"a claim far above", change(func(c *figure.Curve) { c.Claim.Grams = 500 }), []string{"100 g on the label, holds until"}, nil},
		{"no claim", change(func(c *figure.Curve) { c.Claim = figure.ClaimLine{} }), nil, []string{"100 g on", "holds"}},
		{"a floor within", change(func(c *figure.Curve) { c.Floor = 97.2 }), []string{"\ndry mass 97.2 g\n"}, []string{"below what"}},
		{"a floor that is not known", change(func(c *figure.Curve) { c.Floor = 0 }), nil, []string{"ry mass"}},
		{"a course of ten weeks", drying(t, 70, 100), []string{"sold until", "6 Feb 2027"}, []string{"square root"}},
		{"too little", little(t), []string{"comes to rest between 92.5 and 111.0 g", "dry mass 91.8 g"}, []string{"expected", "interval"}},
		{"two marks on a day", change(func(c *figure.Curve) { c.Days[1].Day = c.Days[0].Day }), []string{"packed, sold until"}, nil},
		{"long words", change(func(c *figure.Curve) { c.Title = strings.Repeat("soap ", 40) }), []string{"soap …"}, nil},
		{"words without end", change(func(c *figure.Curve) {
			c.Line, c.Claim.Words = strings.Repeat("oat ", 50_000), strings.Repeat("o", 50_000)
			c.Days[0].Words = c.Line
		}), []string{"oat …", "ooo …"}, nil},
	} {
		for _, width := range []float64{120, 180, 260} {
			got := said(drawCurve(t, tt.curve, width))
			joined := strings.ReplaceAll(got, "\n", " ") // words in two styles are two texts
			for _, words := range tt.says {
				if !strings.Contains(got, words) && !strings.Contains(joined, words) {
					t.Errorf("%s, %.0f mm: no %q in\n%s", tt.name, width, words, got)
				}
			}
			for _, words := range tt.not {
				if strings.Contains(got, words) {
					t.Errorf("%s, %.0f mm: says %q", tt.name, width, words)
				}
			}
		}
	}
}

// The claim is one full line as long as it holds, and a dashed one of another ink after.
func TestClaimInTwoParts(t *testing.T) {
	full, dashed := func(p *scene.Path) bool { return p.Dash == nil }, func(p *scene.Path) bool { return p.Dash != nil }
	for _, tt := range []struct {
		until string
		want  []func(*scene.Path) bool
	}{{"2027-05-02", []func(*scene.Path) bool{full, dashed}}, {"", []func(*scene.Path) bool{full}}, {"2026-11-27", []func(*scene.Path) bool{dashed}}} {
		c := drying(t, 409, 100)
		c.Claim.Until = day.Day{}
		if tt.until != "" {
			c.Claim.Until = on(t, tt.until)
		}
		var lines []*scene.Path
		for _, p := range paths(drawCurve(t, c, 180), "claim") {
			if !p.Fill.On { // not the ring
				lines = append(lines, p)
			}
		}
		if len(lines) != len(tt.want) {
			t.Errorf("until %q: %d lines, want %d", tt.until, len(lines), len(tt.want))
			continue
		}
		for i, is := range tt.want {
			if !is(lines[i]) {
				t.Errorf("until %q: line %d is the other kind", tt.until, i)
			}
		}
		if len(lines) == 2 && (lines[0].Steps[1].P[0] != lines[1].Steps[0].P[0] || lines[0].Stroke == lines[1].Stroke) {
			t.Errorf("until %q: the parts do not meet, or have one ink", tt.until)
		}
	}
}

// The claim crosses the bound on its last day: both axes place it there.
func TestCrossing(t *testing.T) {
	s := drawCurve(t, drying(t, 409, 100), 260)
	end := paths(s, "claim")[0].Steps[1].P[0]
	for i, step := range paths(s, "bound")[0].Steps {
		if at := step.P[0]; at.Y > end.Y { // the first that lies below the claim
			before := paths(s, "bound")[0].Steps[i-1].P[0]
			if end.X < before.X-1 || end.X > at.X {
				t.Errorf("the claim ends at %v, and the bound comes below it between %v and %v", end, before, at)
			}
			return
		}
	}
	t.Error("the bound never comes below the claim")
}

// A weight stands at the same height as the line of the grid with its number.
func TestWeightsByTheGrid(t *testing.T) {
	c := drying(t, 409, 100)
	c.Weighed[2].Mean = 110
	s := drawCurve(t, c, 180)
	dots := paths(s, "weighed[2]")
	dot := reach(dots[len(dots)-1])
	for _, item := range s.Items {
		if x := item.Text; x != nil && x.Runes == "110" {
			b := box(t, x)
			if line := paths(s, "axis")[0]; !slices.ContainsFunc(line.Steps, func(step scene.Step) bool { return step.P[0].Y == dot.Y+dot.H/2 }) {
				t.Error("no line of the grid goes through the mean of 110 g")
			}
			if d := (b.Y + b.Bottom()) / 2; d < dot.Y-dot.H/2 || d > dot.Bottom()+dot.H/2 {
				t.Errorf("110 is written at %v, and drawn at %v", d, dot.Y+dot.H/2)
			}
			return
		}
	}
	t.Error("110 g is not on the axis")
}

// Each of many marked days has its line, and its words above the box or below it, as far
// as there is room at all.
func TestManyMarkedDays(t *testing.T) {
	c := drying(t, 409, 100)
	c.Days = nil
	for i := range 9 {
		c.Days = append(c.Days, figure.MarkedDay{Day: on(t, start).AddDays(6 * i * i), Words: fmt.Sprintf("mark %d", i)})
	}
	for _, width := range []float64{120, 260} {
		s := drawCurve(t, c, width)
		words := strings.ReplaceAll(said(s), "\n", " ")
		for i, m := range c.Days {
			if len(paths(s, fmt.Sprintf("days[%d]", i))) != 1 || !strings.Contains(words, m.Words) {
				t.Errorf("%.0f mm: %q has no line or is not named in\n%s", width, m.Words, words)
			}
		}
		if noted := strings.Contains(words, "Lines without words: mark"); noted != (width == 120) {
			t.Errorf("%.0f mm: lines without words: %v", width, noted)
		}
	}
	low := drawCurve(t, c, 120).Size.H
	for i := range c.Days {
		c.Days[i].Words = strings.Repeat("long words ", 30)
	}
	s := drawCurve(t, c, 120)
	if high := s.Size.H; high > low+measure.MM(3) || !strings.Contains(said(s), " …") {
		t.Errorf("%v nm high with long words, %v with short ones", high, low)
	}
}

// legible says what is wrong with the picture of a curve: what leaves it, is too small to
// read, or stands on something else.
func legible(t testing.TB, s scene.Scene) error {
	picture := scene.Rect{W: s.Size.W, H: s.Size.H}
	inside := func(r scene.Rect) bool {
		return r.X >= 0 && r.Y >= 0 && r.Right() <= picture.W && r.Bottom() <= picture.H
	}
	type word struct {
		box   scene.Rect
		words string
		field string
	}
	var words []word
	for _, item := range s.Items {
		x := item.Text
		if x == nil {
			continue
		}
		w := word{box(t, x), x.Runes, item.Mark.Field}
		switch {
		case x.Size < 6*measure.Point:
			return fmt.Errorf("%q has letters of %v nm", x.Runes, x.Size)
		case !inside(w.box):
			return fmt.Errorf("%q leaves the picture", x.Runes)
		}
		for _, other := range words {
			if overlap(w.box, other.box) {
				return fmt.Errorf("%q stands on %q", x.Runes, other.words)
			}
		}
		words = append(words, w)
	}
	for _, item := range s.Items {
		if item.Path == nil {
			continue
		}
		field := item.Mark.Field
		for _, piece := range pieces(item.Path) {
			if !inside(piece) {
				return fmt.Errorf("a path of %q leaves the picture: %v", field, piece)
			}
		}
		if field == "" || field == "interval" || field == "rest" && item.Path.Fill.On {
			continue // the key, and fields that words may stand on
		}
		for _, piece := range pieces(item.Path) {
			for _, w := range words {
				if overlap(piece, w.box) {
					return fmt.Errorf("a path of %q runs over %q", field, w.words)
				}
			}
		}
	}
	return nil
}

// pieces gives boxes that cover a path: of each closed curve, and of each short part of a
// straight line.
func pieces(p *scene.Path) []scene.Rect {
	var all []scene.Rect
	var pen, begin scene.Point
	around := func(points ...scene.Point) {
		path := scene.Path{Width: p.Width}
		for _, at := range points {
			path.Line(at.X, at.Y)
		}
		r := reach(&path)
		if level := r.H == p.Width; level && !p.Round { // its ends are butt
			r.X, r.W = r.X+p.Width/2, r.W-p.Width
		} else if upright := r.W == p.Width; upright && !p.Round {
			r.Y, r.H = r.Y+p.Width/2, r.H-p.Width
		}
		all = append(all, r)
	}
	line := func(to scene.Point) {
		parts := scene.Length(1)
		if pen.X != to.X && pen.Y != to.Y {
			parts += max(to.X-pen.X, pen.X-to.X, to.Y-pen.Y, pen.Y-to.Y) / (300 * measure.Micrometre)
		}
		at := func(i scene.Length) scene.Point {
			return scene.Point{X: pen.X + (to.X-pen.X)*i/parts, Y: pen.Y + (to.Y-pen.Y)*i/parts}
		}
		for i := range parts {
			around(at(i), at(i+1))
		}
		pen = to
	}
	for _, step := range p.Steps {
		switch step.Verb {
		case scene.MoveTo:
			pen, begin = step.P[0], step.P[0]
		case scene.LineTo:
			line(step.P[0])
		case scene.CurveTo:
			around(pen, step.P[0], step.P[1], step.P[2])
			pen = step.P[2]
		case scene.Close:
			line(begin)
		}
	}
	return all
}

// drawnCurve makes any curve, sensible or not.
func drawnCurve(t *rapid.T) figure.Curve {
	size := rapid.SampledFrom([]float64{1, 30, 110, 1250, 100_000}).Draw(t, "size")
	spread := rapid.SampledFrom([]float64{0, 1e-9, 0.01, 0.2, 1}).Draw(t, "spread")
	mass := func(label string) float64 {
		return size * (1 - spread*rapid.Float64Range(0, 1).Draw(t, label))
	}
	words := rapid.StringMatching(`[A-Za-zéß0-9]{0,12}( [a-z]{1,9}){0,25}|[A-Z]{200}`)
	first := rapid.SampledFrom([]string{"2026-11-28", "0001-01-01", "9999-12-31", "9998-12-01"}).Draw(t, "first")
	begin, err := day.Parse(first)
	if err != nil {
		t.Fatal(err)
	}
	apart := rapid.SampledFrom([]int{0, 1, 7, 30, 4000}).Draw(t, "apart")
	later := func(d day.Day, n int) day.Day {
		if e := d.AddDays(n); !e.IsZero() {
			return e
		}
		return d
	}
	c := figure.Curve{Title: words.Draw(t, "title"), Line: words.Draw(t, "line")}
	at := begin
	count := rapid.SampledFrom([]int{1, 1, 2, 3, 5, 12, 1000}).Draw(t, "weighings")
	bars := rapid.SampledFrom([]int{0, 1, 3, 3, 200}).Draw(t, "bars")
	if count*bars > 3000 {
		bars = 1
	}
	for range count {
		w := figure.Weighed{Day: at, Mean: mass("mean")}
		for range bars {
			w.Bars = append(w.Bars, mass("bar"))
		}
		c.Weighed = append(c.Weighed, w)
		at = later(at, rapid.IntRange(0, apart).Draw(t, "days"))
	}
	if rapid.Bool().Draw(t, "expected") {
		at = begin
		for range rapid.IntRange(1, 60).Draw(t, "course") {
			mean := mass("expected")
			c.Course = append(c.Course, figure.Predicted{Day: at, Mean: mean, Low: mean * 0.97, High: mean * 1.03, Bound: mean * 0.98})
			at = later(at, rapid.IntRange(0, 40).Draw(t, "on"))
		}
	} else if rapid.Bool().Draw(t, "bounded") {
		c.Bounds = measure.Range{Low: size * 0.8, High: size * 0.95}
	}
	if rapid.Bool().Draw(t, "floor") {
		c.Floor = mass("floor") * rapid.SampledFrom([]float64{1, 0.9, 0.5}).Draw(t, "of")
	}
	about := func(label string) day.Day { return later(begin, rapid.IntRange(-400, 800).Draw(t, label)) }
	if rapid.Bool().Draw(t, "claimed") {
		c.Claim = figure.ClaimLine{Words: words.Draw(t, "claim"), Grams: mass("claimed") * rapid.SampledFrom([]float64{1, 1, 0.9, 0.01, 9}).Draw(t, "times")}
		if rapid.Bool().Draw(t, "ends") {
			c.Claim.Until = about("until")
		}
	}
	for range rapid.SampledFrom([]int{0, 1, 2, 3, 6, 40}).Draw(t, "marks") {
		c.Days = append(c.Days, figure.MarkedDay{Day: about("marked"), Words: words.Draw(t, "mark")})
	}
	return c
}

func TestAnyCurve(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := drawnCurve(rt)
		width := rapid.SampledFrom([]float64{120, 133.7, 180, 273, 600}).Draw(rt, "width")
		s, err := figure.Drying(c, measure.MM(width))
		if err != nil {
			rt.Fatal(err)
		}
		if err := legible(t, s); err != nil {
			rt.Fatal(err)
		}
		if _, err := svg.Write(s, svg.Options{}); err != nil {
			rt.Fatal(err)
		}
		paper := rapid.SampledFrom([]scene.Size{a4, letter, {W: measure.MM(210), H: measure.MM(148)}}).Draw(rt, "paper")
		sheet, err := figure.DryingSheet(c, paper)
		if err != nil {
			rt.Fatal(err)
		}
		if err := legible(t, sheet.Scenes[0]); err != nil {
			rt.Fatalf("on paper: %v", err)
		}
		at, size := sheet.Places[0].At, sheet.Scenes[0].Size
		if sheet.Pages() != 1 || at.E < measure.MM(10) || at.E+size.W > sheet.Size.W-measure.MM(10) || at.F+size.H > sheet.Size.H-measure.MM(10) {
			rt.Fatalf("%d pages, a scene of %v at %v on paper of %v", sheet.Pages(), size, at, sheet.Size)
		}
		columns, rows := rapid.IntRange(-5, 250).Draw(rt, "columns"), rapid.IntRange(-5, 80).Draw(rt, "rows")
		if err := fits(c.Plain(columns, rows), columns, rows); err != nil {
			rt.Fatal(err)
		}
	})
}

// fits says what of a plain picture has no room.
func fits(plain string, columns, rows int) error {
	lines := strings.Split(strings.TrimSuffix(plain, "\n"), "\n")
	if most := min(max(rows, 8), 60); len(lines) > most {
		return fmt.Errorf("%d lines, want %d:\n%s", len(lines), most, plain)
	}
	for _, l := range lines {
		wide := 0
		for _, r := range l {
			wide++
			if k := width.LookupRune(r).Kind(); k == width.EastAsianWide || k == width.EastAsianFullwidth {
				wide++
			}
		}
		if most := min(max(columns, 40), 200); wide > most {
			return fmt.Errorf("a line of %d columns, want %d: %q", wide, most, l)
		}
	}
	return nil
}

func TestPlainSays(t *testing.T) {
	year := drying(t, 409, 100)
	far, never := year, year
	far.Claim.Grams = 20
	never.Claim.Until = on(t, "2026-01-01")
	wide := year
	wide.Title = strings.Repeat("石鹸", 40)
	one := figure.Curve{Title: "One", Weighed: weighings(t)[:1]}
	for _, tt := range []struct {
		name  string
		curve figure.Curve
		says  []string
	}{
		{"year", year, []string{"Hay Meadow", "115 g ┤", "=X~", "o weighed", "* expected", "X holds until 24 Apr 2027", "| packed 11 Jan 2027", "day 28", "26 Dec", "square root"}},
		{"far below", far, []string{"┤ v", "v 100 g on the label"}},
		{"never", never, []string{"~~~~", "~ 100 g on the label, never holds"}},
		{"little", little(t), []string{"o::::", ": comes to rest between 92.5 and 111.0 g", "....", ". dry mass 91.8 g"}},
		{"one weighing", one, []string{"One\n", "26 Dec\n", "day 28\n"}},
		{"wide letters", wide, []string{"石鹸石 …"}},
	} {
		got := tt.curve.Plain(80, 24)
		if err := fits(got, 80, 24); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		for _, words := range tt.says {
			if !strings.Contains(got, words) {
				t.Errorf("%s: no %q in\n%s", tt.name, words, got)
			}
		}
	}
}

func TestRefusedCurves(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*figure.Curve)
		field  string
	}{
		{"nothing", func(c *figure.Curve) { c.Weighed, c.Course = nil, nil }, "the curve"},
		{"no number", func(c *figure.Curve) { c.Weighed[1].Mean = math.NaN() }, "Weighed[1]"},
		{"no end", func(c *figure.Curve) { c.Weighed[1].Bars = []float64{math.Inf(1)} }, "Weighed[1]"},
		{"below nought", func(c *figure.Curve) { c.Weighed[0].Mean = -1 }, "Weighed[0]"},
		{"no day", func(c *figure.Curve) { c.Weighed[2].Day = day.Day{} }, "Weighed[2]"},
		{"days in disorder", func(c *figure.Curve) { c.Weighed[2].Day = c.Weighed[0].Day }, "Weighed[2]"},
		{"a course in disorder", func(c *figure.Curve) { c.Course[2].Day = c.Course[0].Day }, "Course[2]"},
		{"an interval upside down", func(c *figure.Curve) { c.Course[3].Low = c.Course[3].High + 1 }, "Course[3]"},
		{"no expectation", func(c *figure.Curve) { c.Course[3].Bound = math.NaN() }, "Course[3]"},
		{"no floor", func(c *figure.Curve) { c.Floor = math.Inf(-1) }, "Floor"},
		{"no claim", func(c *figure.Curve) { c.Claim.Grams = math.NaN() }, "Claim"},
		{"too heavy a claim", func(c *figure.Curve) { c.Claim.Grams = 2e9 }, "Claim"},
		{"no low bound", func(c *figure.Curve) { c.Bounds.Low = math.NaN() }, "Bounds"},
		{"bounds upside down", func(c *figure.Curve) { c.Bounds = measure.Range{Low: 2, High: 1} }, "Bounds"},
		{"a mark on no day", func(c *figure.Curve) { c.Days[1].Day = day.Day{} }, "Days[1]"},
		{"words that are none", func(c *figure.Curve) { c.Days[1].Words = "\xff" }, "Days[1]"},
		{"a title that is none", func(c *figure.Curve) { c.Title = "\xff" }, "Title"},
	} {
		c := drying(t, 60, 100)
		tt.change(&c)
		_, err := figure.Drying(c, measure.MM(180))
		var wrong *figure.CurveError
		if !errors.As(err, &wrong) || wrong.Field != tt.field {
			t.Errorf("%s: %v, want an error of %s", tt.name, err, tt.field)
			continue
		}
		if _, err := figure.DryingSheet(c, a4); !errors.As(err, &wrong) {
			t.Errorf("%s, on paper: %v", tt.name, err)
		}
		if got := c.Plain(200, 20); got != wrong.Error()+"\n" {
			t.Errorf("%s: plain says %q", tt.name, got)
		}
	}
	c := drying(t, 60, 100)
	for _, change := range []func(*figure.Curve){
		func(c *figure.Curve) { c.Title = "☃" }, func(c *figure.Curve) { c.Line = "☃" },
		func(c *figure.Curve) { c.Claim.Words = "☃" }, func(c *figure.Curve) { c.Days = []figure.MarkedDay{{Day: on(t, start), Words: "☃"}} },
	} {
		c := c
		change(&c)
		var letters *text.CharacterError
		if _, err := figure.Drying(c, measure.MM(180)); !errors.As(err, &letters) {
			t.Errorf("letters that are not in the font: %v", err)
		}
	}
	var wrong *figure.CurveError
	for _, width := range []float64{0, -1, 119, 2001, 1e9} {
		if _, err := figure.Drying(c, measure.MM(width)); !errors.As(err, &wrong) || wrong.Field != "the width" {
			t.Errorf("%g mm: %v", width, err)
		}
	}
	if _, err := figure.DryingSheet(c, scene.Size{W: measure.MM(105), H: measure.MM(140)}); !errors.As(err, &wrong) {
		t.Errorf("on a card: %v", err)
	}
	var tall *figure.TallError
	if _, err := figure.DryingSheet(c, scene.Size{W: measure.MM(300), H: measure.MM(60)}); !errors.As(err, &tall) {
		t.Errorf("on a strip: %v", err)
	}
}

// An axis that reaches down to nothing begins with 0, not with what is less.
func TestAxisAtNothing(t *testing.T) {
	day0 := on(t, "2026-09-02")
	c := figure.Curve{Title: "Slip", Weighed: []figure.Weighed{
		{Day: day0, Mean: 125, Bars: []float64{125}}, {Day: day0.AddDays(10), Mean: 4.2, Bars: []float64{4.2}},
	}}
	if text := c.Plain(80, 16); strings.Contains(text, "-0") || !strings.Contains(text, " 0 ┤") {
		t.Errorf("the axis does not begin with 0:\n%s", text)
	}
}
