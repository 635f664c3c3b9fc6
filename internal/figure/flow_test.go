package figure_test

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saponym/internal/day"
	"saponym/internal/figure"
	"saponym/internal/measure"
	"saponym/internal/outside"
	"saponym/internal/render/pdf"
	"saponym/internal/render/svg"
	"saponym/internal/scene"
	"saponym/internal/trail"
)

var update = flag.Bool("update", false, "write the golden files anew")

var (
	letter = scene.Size{W: measure.MM(215.9), H: measure.MM(279.4)}
	a4     = scene.Size{W: measure.MM(210), H: measure.MM(297)}
)

func draw(t testing.TB, f trail.Flow, paper scene.Size) scene.Scene {
	t.Helper()
	s, err := figure.Flow(f, paper)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func sheet(t testing.TB, f trail.Flow, paper scene.Size) scene.Sheet {
	t.Helper()
	s, err := figure.Sheet(f, paper)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func write(t testing.TB, f trail.Flow, paper scene.Size) []byte {
	t.Helper()
	on, err := day.Parse("2026-11-26")
	if err != nil {
		t.Fatal(err)
	}
	file, err := pdf.Write(scene.Document{Title: f.Formula, Language: "en", Date: on, Sheets: []scene.Sheet{sheet(t, f, paper)}})
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func TestGolden(t *testing.T) {
	got := draw(t, hearth(), letter).String()
	name := filepath.Join("testdata", "hearth.txt")
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("the picture is another than in %s (-want +got):\n%s", name, diff)
	}
}

func TestSameBytes(t *testing.T) {
	if !bytes.Equal(write(t, hearth(), a4), write(t, hearth(), a4)) {
		t.Error("the same flow gives two files")
	}
}

// one is a flow with one node in each column.
func one(g trail.Grams) trail.Flow {
	return trail.Flow{
		Formula: "Plain", Weighed: []trail.Node{{Name: "Clear base", Grams: g}},
		Bar: []trail.Node{{Name: "Soap", Grams: g}}, Words: []trail.Node{{Name: "Sodium Palmate", Grams: g}},
		Made: []trail.Ribbon{{Grams: g}}, Named: []trail.Ribbon{{Grams: g}},
	}
}

// pair is a flow with two nodes in each column.
func pair(a, b trail.Grams) trail.Flow {
	f := trail.Flow{Formula: "Two", Market: "European Union", Word: "Second word"}
	for i, g := range []trail.Grams{a, b} {
		f.Weighed = append(f.Weighed, trail.Node{Name: []string{"First oil", "Second oil"}[i], Grams: g, Lit: i == 1})
		f.Bar = append(f.Bar, trail.Node{Name: []string{"First soap", "Second soap"}[i], Grams: g, Lit: i == 1})
		f.Words = append(f.Words, trail.Node{Name: []string{"First word", "Second word"}[i], Grams: g, Lit: i == 1})
		f.Made = append(f.Made, trail.Ribbon{From: i, To: i, Grams: g, Lit: i == 1})
		f.Named = append(f.Named, trail.Ribbon{From: i, To: i, Grams: g, Lit: i == 1})
	}
	return f
}

// long is a flow with names that need several lines, and one that no line holds.
func long() trail.Flow {
	f := pair(sure(100), about(0, 40, 90))
	f.Formula = "A long name that a maker once gave to a bar of soap with goat milk, oats, honey, lavender and clay"
	f.Word = "PEG-150 Pentaerythrityl Tetrastearate/Polyglyceryl-3 Polyricinoleate Crosspolymer"
	f.Words[0].Name = "Butyrospermum Parkii (Shea) Butter Unsaponifiables/Helianthus Annuus (Sunflower) Seed Oil Unsaponifiables"
	f.Words[1].Name = f.Word
	f.Weighed[0].Name = strings.Repeat("Unbroken", 12)
	f.Weighed[0].Note = "a statement of the supplier that says a good deal more than a short line could ever hold"
	return f
}

// flows are those that every promise is tried on, with the pages they are to take.
var flows = []struct {
	name  string
	flow  trail.Flow
	pages int
}{
	{"hearth", hearth(), 1},
	{"no node", trail.Flow{Formula: "Empty"}, 1},
	{"one node", one(sure(900)), 1},
	{"no mass", one(sure(0)), 1},
	{"not told at all", one(about(0, 0, 900)), 1},
	{"anything up to", pair(about(0, 300, 900), about(0, 2, 900)), 1},
	{"very unequal", pair(sure(900), sure(0.02)), 1},
	{"very unequal and unsure", pair(about(0, 0.02, 0.05), about(100, 900, 901)), 1},
	{"less than can be weighed", pair(sure(1e-12), about(0, 1e-200, 1e-11)), 1},
	{"a thousand tonnes", pair(sure(1e9), about(0, 5e8, 1e9)), 1},
	{"long names", long(), 1},
	{"forty nodes", many(40, false), 1},
	{"forty nodes with notes", many(40, true), 2},
	{"a hundred nodes with notes", many(100, true), 4},
}

func TestPictures(t *testing.T) {
	for _, tt := range flows {
		for name, paper := range map[string]scene.Size{"letter": letter, "a4": a4, "letter, turned": {W: letter.H, H: letter.W}} {
			t.Run(tt.name+" on "+name, func(t *testing.T) {
				whole, pages := draw(t, tt.flow, paper), sheet(t, tt.flow, paper)
				if len(pages.Scenes) != tt.pages || pages.Pages() != tt.pages {
					t.Errorf("it takes %d pages, want %d", pages.Pages(), tt.pages)
				}
				for i, s := range append(slices.Clone(pages.Scenes), whole) {
					if err := sound(t, s); err != nil {
						t.Errorf("scene %d: %v", i, err)
					}
				}
				for _, s := range pages.Scenes {
					if s.Size != pages.Size || max(s.Size.W, s.Size.H) != max(paper.W, paper.H) || min(s.Size.W, s.Size.H) != min(paper.W, paper.H) {
						t.Errorf("a page is %v on %v, of paper %v", s.Size, pages.Size, paper)
					}
				}
				if tt.pages == 1 && whole.String() != pages.Scenes[0].String() {
					t.Error("the page is another picture than the scene")
				}
				if err := complete(tt.flow, whole); err != nil {
					t.Error(err)
				}
				if err := complete(tt.flow, pages.Scenes...); err != nil {
					t.Error(err)
				}
			})
		}
	}
}

// A reader of the files finds each name.
func TestReadBack(t *testing.T) {
	for _, tt := range flows {
		t.Run(tt.name, func(t *testing.T) {
			inPDF := dense(outside.Run(t, write(t, tt.flow, a4), "pdftotext", "-raw", "FILE", "-"))
			picture, err := svg.Write(draw(t, tt.flow, a4), svg.Options{Title: tt.flow.Formula})
			if err != nil {
				t.Fatal(err)
			}
			inSVG := strings.ReplaceAll(dense(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(string(picture), "")), "&amp;", "&")
			for _, nodes := range [][]trail.Node{tt.flow.Weighed, tt.flow.Bar, tt.flow.Words} {
				for _, n := range nodes {
					for where, s := range map[string]string{"PDF": inPDF, "SVG": inSVG} {
						if !strings.Contains(s, dense(n.Name)) {
							t.Errorf("the %s has no %q", where, n.Name)
						}
					}
				}
			}
		})
	}
}

// ends gives how thick a filled ribbon is where it leaves and where it comes in,
// if it is drawn with curves, and where its upper edge stands.
func ends(p *scene.Path) (out, in, outTop, inTop scene.Length, ok bool) {
	if !p.Fill.On || len(p.Steps) != 5 || p.Steps[1].Verb != scene.CurveTo || p.Steps[3].Verb != scene.CurveTo {
		return 0, 0, 0, 0, false
	}
	outTop, inTop = p.Steps[0].P[0].Y, p.Steps[1].P[2].Y
	return p.Steps[3].P[2].Y - outTop, p.Steps[2].P[0].Y - inTop, outTop, inTop, true
}

// gauge gives the height of the lowest solid part of the gauge of a node.
func gauge(s scene.Scene, field string) scene.Length {
	for _, item := range s.Items {
		if item.Mark.Field == field && item.Path != nil && item.Path.Fill.On && len(item.Path.Dash) == 0 {
			if r := reach(item.Path); r.W-item.Path.Width < measure.MM(5) && item.Path.Fill != scene.RGB(0xFFFFFF) {
				return r.H - item.Path.Width
			}
		}
	}
	return 0
}

// One scale holds for the whole picture: each ribbon is as thick at both ends as
// its mass on the scale of the gauges, and what is sure of it too.
func TestThicknessIsMass(t *testing.T) {
	f := hearth()
	s := draw(t, f, letter)
	scale := float64(gauge(s, "pot[0]")) / f.Weighed[0].Grams.Nominal
	if scale < float64(measure.MM(0.05)) {
		t.Fatalf("the gauge of pot[0] gives %g nm a gram", scale)
	}
	for i, n := range f.Bar {
		if got, want := gauge(s, fmt.Sprintf("bar[%d]", i)), n.Grams.Low*scale; !n.Gone && want > float64(measure.MM(0.3)) && math.Abs(float64(got)-want) > 0.3*float64(measure.Millimetre) {
			t.Errorf("the gauge of bar[%d] is solid for %d nm, want %.0f", i, got, want)
		}
	}
	found := 0
	for c, ribbons := range [][]trail.Ribbon{f.Made, f.Named} {
		for _, r := range ribbons {
			field := fmt.Sprintf("%s[%d] %s[%d]", []string{"pot", "bar"}[c], r.From, []string{"bar", "words"}[c], r.To)
			for what, g := range map[string]float64{"the figure given": r.Grams.Nominal, "what is sure": r.Grams.Low} {
				if g*scale < float64(measure.MM(0.2)) {
					continue
				}
				hit := false
				for _, item := range s.Items {
					if item.Mark.Field != field || item.Path == nil {
						continue
					}
					out, in, _, _, ok := ends(item.Path)
					hit = hit || ok && math.Abs(float64(out)-g*scale) < 3 && math.Abs(float64(in)-g*scale) < 3
				}
				if found++; !hit && !(what == "what is sure" && r.Grams.Low/r.Grams.Nominal > 0.99) {
					t.Errorf("no part of %s is as thick as %s, %g g", field, what, g)
				}
			}
		}
	}
	if found < 50 {
		t.Errorf("only %d widths were measured", found)
	}
}

// At each gauge the ribbons lie one under the other in the order of the nodes that
// they go to, without a gap and not over each other, and not past the gauge.
func TestStack(t *testing.T) {
	f := hearth()
	s := draw(t, f, letter)
	type end struct{ top, bottom, other int }
	stacks := make(map[string][]end) // by the node and the side
	scale := float64(gauge(s, "pot[0]")) / f.Weighed[0].Grams.Nominal
	for c, ribbons := range [][]trail.Ribbon{f.Made, f.Named} {
		for _, r := range ribbons {
			from, to := fmt.Sprintf("%s[%d]", []string{"pot", "bar"}[c], r.From), fmt.Sprintf("%s[%d]", []string{"bar", "words"}[c], r.To)
			for _, item := range s.Items {
				if item.Path == nil || item.Mark.Field != from+" "+to {
					continue
				}
				out, in, outTop, inTop, ok := ends(item.Path)
				if !ok || math.Abs(float64(out)-r.Grams.Nominal*scale) > 3 {
					continue
				}
				stacks[from+" out"] = append(stacks[from+" out"], end{int(outTop), int(outTop + out), r.To})
				stacks[to+" in"] = append(stacks[to+" in"], end{int(inTop), int(inTop + in), r.From})
				break
			}
		}
	}
	if len(stacks) < 30 {
		t.Fatalf("ribbons were found at %d gauges only", len(stacks))
	}
	for name, stack := range stacks {
		slices.SortFunc(stack, func(a, b end) int { return a.other - b.other })
		for i, e := range stack[1:] {
			// A hairline, which is not measured here, may lie between.
			if gap := e.top - stack[i].bottom; gap < -3 || gap > int(measure.MM(0.5)) {
				t.Errorf("%s: a ribbon stands %d nm under the one before", name, gap)
			}
		}
		node, _, _ := strings.Cut(name, " ")
		foot := scene.Length(0)
		for _, item := range s.Items {
			if item.Mark.Field != node || item.Path == nil || !item.Path.Fill.On {
				continue
			}
			if r := reach(item.Path); r.W < measure.MM(5) {
				foot = max(foot, r.Bottom()-item.Path.Width/2)
			}
		}
		if last := stack[len(stack)-1].bottom; foot > 0 && last > int(foot)+3 {
			t.Errorf("%s: the last ribbon ends %d nm under the gauge", name, last-int(foot))
		}
	}
}

// The dashed edge of a ribbon shows the most that it may be, as far as the gauges
// go between which it runs.
func TestMayBe(t *testing.T) {
	f := trail.Flow{
		Formula: "Base", Weighed: []trail.Node{{Name: "Base", Grams: sure(100)}},
		Bar:  []trail.Node{{Name: "First soap", Grams: about(10, 60, 95)}, {Name: "Second soap", Grams: about(5, 40, 90)}},
		Made: []trail.Ribbon{{To: 0, Grams: about(10, 60, 95)}, {To: 1, Grams: about(5, 40, 90)}},
	}
	s := draw(t, f, a4)
	scale := float64(gauge(s, "pot[0]")) / 100
	extent := func(field string) scene.Rect {
		for _, item := range s.Items {
			if item.Mark.Field == field && item.Path != nil && item.Path.Fill.On {
				return reach(item.Path) // of a gauge, the field that may be comes first
			}
		}
		t.Fatalf("%s has no gauge", field)
		return scene.Rect{}
	}
	pot := extent("pot[0]")
	for i, want := range []struct {
		from scene.Length // the upper edge where it leaves
	}{{pot.Y}, {pot.Bottom() - scene.Length(90*scale)}} {
		field := fmt.Sprintf("bar[%d]", i)
		in := extent(field)
		found := false
		for _, item := range s.Items {
			if item.Mark.Field == "pot[0] "+field && item.Path != nil && len(item.Path.Dash) > 0 && !found {
				found = true
				from, to := item.Path.Steps[0].P[0].Y, item.Path.Steps[1].P[2].Y
				if math.Abs(float64(from-want.from)) > 5 || math.Abs(float64(to-in.Y)) > 5 {
					t.Errorf("the edge of the ribbon to %s goes from %d to %d nm, want %d to %d", field, from, to, want.from, in.Y)
				}
			}
		}
		if !found {
			t.Errorf("the ribbon to %s has no dashed edge", field)
		}
	}
}

// Yellow is the trail and nothing else, and it lies over all that is not lit.
func TestLit(t *testing.T) {
	yellow := func(i scene.Ink) bool {
		return i == scene.RGB(0xF4E04D) || i == scene.RGB(0x77690A) || i == scene.RGB(0xFBF5C0)
	}
	f := hearth()
	lit := make(map[string]bool)
	for c, nodes := range [][]trail.Node{f.Weighed, f.Bar, f.Words} {
		for i, n := range nodes {
			lit[fmt.Sprintf("%s[%d]", []string{"pot", "bar", "words"}[c], i)] = n.Lit
		}
	}
	for _, r := range f.Made {
		lit[fmt.Sprintf("pot[%d] bar[%d]", r.From, r.To)] = r.Lit
	}
	for _, r := range f.Named {
		lit[fmt.Sprintf("bar[%d] words[%d]", r.From, r.To)] = r.Lit
	}
	shown := make(map[string]bool)
	over := false
	for _, item := range draw(t, f, letter).Items {
		if item.Path == nil || item.Mark.Field == "" {
			continue
		}
		is := yellow(item.Path.Fill) || yellow(item.Path.Stroke)
		shown[item.Mark.Field] = shown[item.Mark.Field] || is
		if is && !lit[item.Mark.Field] {
			t.Errorf("%q is yellow", item.Mark.Field)
		}
		if isRibbon(item) {
			if over && !is && item.Path.Fill != scene.RGB(0xFFFFFF) {
				t.Errorf("%q lies over the trail", item.Mark.Field)
			}
			over = over || is
		}
	}
	for field, want := range lit {
		if shown[field] != want {
			t.Errorf("%q is yellow: %v, want %v", field, shown[field], want)
		}
	}
	// Of a gauge only that part is yellow which belongs to the trail.
	s := draw(t, f, letter)
	scale := float64(gauge(s, "pot[0]")) / f.Weighed[0].Grams.Nominal
	part := scene.Length(0)
	for _, item := range s.Items {
		if item.Mark.Field == "pot[0]" && item.Path != nil && yellow(item.Path.Fill) {
			if r := reach(item.Path); r.W < measure.MM(5) {
				part += r.H - item.Path.Width
			}
		}
	}
	if want := f.Made[4].Grams.Nominal * scale; math.Abs(float64(part)-want) > 3 {
		t.Errorf("%d nm of the gauge of the base are yellow, want %.0f", part, want)
	}
	for _, item := range draw(t, one(about(1, 2, 3)), a4).Items {
		if item.Path != nil && (yellow(item.Path.Fill) || yellow(item.Path.Stroke)) {
			t.Error("something is yellow where no word is asked for")
		}
	}
}

// What has left the bar has no gauge where ribbons leave.
func TestGone(t *testing.T) {
	f := hearth()
	s := draw(t, f, letter)
	var right scene.Length // where words of the bar end
	for _, item := range s.Items {
		if strings.HasPrefix(item.Mark.Field, "bar[") && item.Text != nil {
			right = max(right, item.Text.At.X+item.Text.Width())
		}
	}
	fading := 0
	for _, item := range s.Items {
		if item.Mark.Field != "bar[13]" || item.Path == nil || reach(item.Path).X < right {
			continue
		}
		if fading++; item.Path.Fill.On {
			t.Error("what has left the bar has a gauge on the way to the words")
		}
	}
	if fading == 0 {
		t.Error("what has left the bar does not fade out")
	}
	if !strings.Contains(s.String(), `"has left the bar"`) || strings.Contains(draw(t, many(3, false), letter).String(), `"has left the bar"`) {
		t.Error("the key names what is not in the picture, or does not name what is")
	}
}

// A dashed yoke joins a word to the next one if their order could be otherwise.
func TestYokes(t *testing.T) {
	want := []string{"words[2] words[3]", "words[4] words[5]", "words[5] words[6]"}
	var got []string
	for _, item := range draw(t, hearth(), letter).Items {
		if strings.HasPrefix(item.Mark.Field, "words") && strings.Contains(item.Mark.Field, " ") {
			got = append(got, item.Mark.Field)
			if len(item.Path.Dash) == 0 {
				t.Errorf("the yoke of %s is not dashed", item.Mark.Field)
			}
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("yokes (-want +got):\n%s", diff)
	}
}

// Where all is sure nothing is dashed or hatched, and the key is silent on it.
func TestSure(t *testing.T) {
	s := draw(t, pair(sure(900), sure(300)), a4)
	for _, item := range s.Items {
		if item.Path != nil && len(item.Path.Dash) > 0 {
			t.Errorf("a path of %q is dashed", item.Mark.Field)
		}
	}
	if strings.Contains(s.String(), `"may be"`) {
		t.Error("the key speaks of what may be")
	}
	if unsure := draw(t, pair(about(800, 900, 950), sure(300)), a4).String(); !strings.Contains(unsure, `"may be"`) || !strings.Contains(unsure, "dash") {
		t.Error("what may be is not drawn")
	}
}

func TestFigures(t *testing.T) {
	for _, tt := range []struct {
		name            string
		grams           trail.Grams
		nominal, bounds string
	}{
		{"weighed", sure(105.9), "105.9 g", ""},
		{"whole", sure(608), "608.0 g", ""},
		{"thousands", sure(1160.5), "1 160.5 g", ""},
		{"kilograms", sure(12345.6), "12 346 g", ""},
		{"some grams", sure(3), "3.0 g", ""},
		{"a part of a gram", sure(0.654), "0.65 g", ""},
		{"a trace", sure(0.02), "0.02 g", ""},
		{"less than is told", sure(0.00001), "under 0.0001 g", ""},
		{"nothing", sure(0), "none", ""},
		{"a wide range", about(412.4, 440.2, 479.6), "440 g", "412 to 480 g"},
		{"a narrow range", about(59.02, 59.5, 60.31), "59.5 g", "59.0 to 60.4 g"},
		{"narrower than the figures", about(105.91, 105.92, 105.93), "105.9 g", ""},
		{"not told", about(0, 0, 85), "0 g", "0 to 85 g"},
		{"a trace of a range", about(0.4, 0.6, 0.9), "0.6 g", "0.4 to 0.9 g"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := named(draw(t, one(tt.grams), a4))["pot[0]"]
			want := dense("Clear base" + tt.nominal + tt.bounds)
			other := dense("Clear base" + tt.bounds + tt.nominal)
			if got != want && got != other {
				t.Errorf("it reads %q, want %q", got, want)
			}
		})
	}
}

func TestRefused(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*trail.Flow)
		want   string
	}{
		{"below nought", func(f *trail.Flow) { f.Bar[1].Grams.Low = -1 }, "bar[1] has"},
		{"not a number", func(f *trail.Flow) { f.Words[2].Grams.Nominal = math.NaN() }, "words[2] has"},
		{"without end", func(f *trail.Flow) { f.Weighed[0].Grams.High = math.Inf(1) }, "pot[0] has"},
		{"out of order", func(f *trail.Flow) { f.Made[0].Grams = about(3, 2, 4) }, "pot[0] bar[0] has 2 g, of 3 to 4"},
		{"a ribbon from nowhere", func(f *trail.Flow) { f.Made[0].From = 9 }, "joins a node that is not there"},
		{"a ribbon to nowhere", func(f *trail.Flow) { f.Named[0].To = -1 }, "joins a node that is not there"},
		{"a ribbon from what is gone", func(f *trail.Flow) { f.Named[0].From = 13 }, "comes from what has left the bar"},
		{"no text", func(f *trail.Flow) { f.Words[0].Name = "\xff" }, "words[0] has words that are not valid UTF-8"},
		{"no text in the title", func(f *trail.Flow) { f.Formula = "\xff" }, "the name of the formula is not valid UTF-8"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := hearth()
			tt.change(&f)
			_, err := figure.Flow(f, a4)
			var refused *figure.FlowError
			if !errors.As(err, &refused) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("the error is %v, want one with %q", err, tt.want)
			}
			if _, err := figure.Sheet(f, a4); err == nil {
				t.Error("a sheet is drawn of it")
			}
		})
	}
	tall := hearth()
	tall.Words[3].Name = strings.Repeat("Sodium Palmate ", 1000)
	var high *figure.TallError
	if _, err := figure.Flow(tall, a4); !errors.As(err, &high) || high.Field != "words[3]" {
		t.Errorf("a name of a thousand lines gives %v", err)
	}
	tall = hearth()
	tall.Formula = strings.Repeat("Hearth and Husk ", 300)
	if _, err := figure.Flow(tall, a4); !errors.As(err, &high) || high.Field != "" {
		t.Errorf("a title that fills the page gives %v", err)
	}
	var narrow *figure.NarrowError
	if _, err := figure.Flow(hearth(), scene.Size{W: measure.MM(50), H: measure.MM(300)}); !errors.As(err, &narrow) {
		t.Errorf("paper 50 mm wide gives %v", err)
	}
	odd := hearth()
	odd.Words[0].Name = "\u2603"
	if _, err := figure.Flow(odd, a4); err == nil || !strings.Contains(err.Error(), "U+2603") {
		t.Errorf("a letter that cannot be set gives %v", err)
	}
}
