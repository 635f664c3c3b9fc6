package bench_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/outside"
	"saponym/internal/paper/bench"
	"saponym/internal/render/pdf"
	"saponym/internal/scene"
)

var update = flag.Bool("update", false, "write the golden files anew")

// sheets are the fixtures, with the pages that each is to take.
var sheets = []struct {
	name  string
	sheet func() bench.Sheet
	pages int
}{{"plain", plain, 1}, {"goat", goat, 2}, {"melt", melt, 1}}

func document(t testing.TB, s bench.Sheet, size string) scene.Document {
	t.Helper()
	doc, found, err := s.Document(paper(t, size), on(t))
	if err != nil {
		t.Fatal(err)
	}
	if finding.Worst(found) == finding.Stop {
		t.Fatalf("the sheet is refused: %v", found)
	}
	return doc
}

func write(t testing.TB, doc scene.Document) []byte {
	t.Helper()
	file, err := pdf.Write(doc)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// flat gives a text with one space between words.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// runs gives the text of a page in reading order.
func runs(s scene.Scene) string {
	var all []string
	for _, item := range s.Items {
		if item.Text != nil {
			all = append(all, item.Text.Runes)
		}
	}
	return flat(strings.Join(all, " "))
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the result differs from %s; look at it, then run with -update", file)
	}
}

func TestGolden(t *testing.T) {
	golden(t, "testdata/plain-olive.scene", document(t, plain(), "a4").Sheets[0].Scenes[0].String())
	golden(t, "testdata/three-meadows-goat.txt", goat().Text())
	golden(t, "testdata/amber-cubes.txt", melt().Text())
}

func TestPages(t *testing.T) {
	for _, tt := range sheets {
		for _, size := range []string{"a4", "letter"} {
			if got := document(t, tt.sheet(), size).Sheets[0].Pages(); got != tt.pages {
				t.Errorf("%s on %s has %d pages, want %d", tt.name, size, got, tt.pages)
			}
		}
	}
}

// All that the sheet holds can be read in the file by another program.
func TestFileIsRead(t *testing.T) {
	for _, tt := range sheets {
		t.Run(tt.name, func(t *testing.T) {
			s := tt.sheet()
			got := flat(outside.Run(t, write(t, document(t, s, "a4")), "pdftotext", "-raw", "FILE", "-"))
			for _, want := range contents(s) {
				if !strings.Contains(got, flat(want)) {
					t.Errorf("%q is not read", want)
				}
			}
		})
	}
}

// contents gives the texts of a sheet.
func contents(s bench.Sheet) []string {
	all := []string{s.Name, s.Identity, s.Maker, s.Size}
	for _, v := range s.Vessels {
		all = append(all, v.Title, v.Tare, v.Then)
		for _, l := range v.Lines {
			all = append(all, l.Name, l.Note)
		}
	}
	for _, p := range s.Portions {
		all = append(all, p.Name)
	}
	for _, step := range s.Steps {
		all = append(all, step.Do, step.Temp, step.Note)
	}
	for _, f := range s.Findings {
		all = append(all, f.Message, f.Remedy)
	}
	return all
}

func TestSameSheetSameBytes(t *testing.T) {
	if !bytes.Equal(write(t, document(t, goat(), "letter")), write(t, document(t, goat(), "letter"))) {
		t.Error("the same sheet gives two files")
	}
}

func TestTextHoldsAll(t *testing.T) {
	for _, tt := range sheets {
		got := flat(tt.sheet().Text())
		for _, want := range contents(tt.sheet()) {
			if !strings.Contains(strings.ToLower(got), strings.ToLower(flat(want))) {
				t.Errorf("%s: %q is missing", tt.name, want)
			}
		}
		for line := range strings.Lines(tt.sheet().Text()) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 78 {
				t.Errorf("%s: the line %q has %d characters", tt.name, line, n)
			}
		}
	}
}

// Figures: grams to 0.1, and to 0.01 where less than 10 g is shown; ounces to 0.01,
// and to 0.001 where less than 1 oz is shown. The ounce is 28.349523125 g (NIST
// Handbook 44, appendix C).
func TestFigures(t *testing.T) {
	for _, tt := range []struct {
		grams float64
		want  string
	}{
		{0, "0.00 g 0.000 oz"}, {0.005, "0.01 g 0.000 oz"}, {1.65, "1.65 g 0.058 oz"}, {9.994, "9.99 g 0.353 oz"}, {9.996, "10.0 g 0.353 oz"}, {10, "10.0 g 0.353 oz"},
		{28.3, "28.3 g 0.998 oz"}, {28.349, "28.3 g 1.00 oz"}, {28.349523125, "28.3 g 1.00 oz"}, {453.59237, "453.6 g 16.00 oz"}, {1000, "1000.0 g 35.27 oz"}, {123456.78, "123456.8 g 4354.81 oz"},
	} {
		s := bench.Sheet{Name: "Figures", Vessels: []bench.Vessel{{Title: "Pot", Lines: []bench.Line{{Name: "Oil", Grams: tt.grams}}}}}
		if got := flat(s.Text()); !strings.Contains(got, "Oil "+tt.want) {
			t.Errorf("%g g is written as %q, want %q", tt.grams, got, tt.want)
		}
		if got := runs(document(t, s, "a4").Sheets[0].Scenes[0]); !strings.Contains(got, "Oil "+tt.want) {
			t.Errorf("%g g is printed as %q, want %q", tt.grams, got, tt.want)
		}
	}
}

// The weights are printed in letters of 16 points at least.
func TestWeightsAreLarge(t *testing.T) {
	for _, size := range []string{"a4", "letter"} {
		large := 0
		for _, s := range document(t, goat(), size).Sheets[0].Scenes {
			for _, item := range s.Items {
				if item.Text != nil && slices.Contains([]string{"577.7", "268.1", "182.3", "1.65", "24.8", "1180.2"}, item.Text.Runes) {
					if large++; item.Text.Size < 16*measure.Point {
						t.Errorf("%s is printed in %.1f points", item.Text.Runes, font.Points(item.Text.Size))
					}
				}
			}
		}
		if large < 6 {
			t.Errorf("only %d weights were found", large)
		}
	}
}

func TestHeat(t *testing.T) {
	for _, tt := range []struct {
		name string
		jug  bench.LyeJug
		want string
	}{
		{"near boiling", bench.LyeJug{RiseLow: 55, RiseHigh: 80}, "gets 55 to 80 °C (99 to 144 °F) hotter by itself: near boiling"},
		{"thin lye", bench.LyeJug{RiseLow: 20, RiseHigh: 30}, "gets 20 to 30 °C (36 to 54 °F) hotter by itself: hot enough to scald"},
		{"one figure", bench.LyeJug{RiseLow: 50.2, RiseHigh: 50.2}, "gets 50 °C (90 °F) hotter"},
		{"not known", bench.LyeJug{}, "gets very hot by itself, near boiling"},
		{"with much acid", bench.LyeJug{RiseLow: 80, RiseHigh: 95}, "hotter by itself: it can boil over, so stand it in cold water"},
		{"weak lye", bench.LyeJug{RiseLow: 10, RiseHigh: 12}, "gets 10 to 12 °C (18 to 22 °F) hotter by itself. Strength"},
		{"ready-made", bench.LyeJug{Ready: true}, "Ready-made lye burns like fresh lye. It warms up when it meets water"},
		{"ready-made and thinned", bench.LyeJug{Ready: true, RiseLow: 30, RiseHigh: 35}, "Ready-made lye burns like fresh lye. The jug gets 30 to 35 °C (54 to 63 °F) hotter by itself: hot enough to scald"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := bench.Sheet{Name: "Heat", Lye: &tt.jug, Vessels: []bench.Vessel{{Title: "Lye jug", Lye: true, Lines: []bench.Line{{Name: "Water", Grams: 100}}}}}
			if got := flat(s.Text()); !strings.Contains(got, tt.want) {
				t.Errorf("the text has no %q", tt.want)
			}
			if got := runs(document(t, s, "a4").Sheets[0].Scenes[0]); !strings.Contains(strings.ReplaceAll(got, "\u00a0", " "), tt.want) {
				t.Errorf("the paper has no %q", tt.want)
			}
		})
	}
}

func TestCautionsHaveSources(t *testing.T) {
	seen := map[bench.Topic]int{}
	for _, c := range bench.Cautions() {
		seen[c.Topic]++
		if c.Lead == "" || c.Text == "" || c.Source == "" || c.Known != bench.Retrieved && c.Known != bench.Memory {
			t.Errorf("%+v is not complete", c)
		}
		if strings.Contains(c.Source, "memory") && c.Known != bench.Memory {
			t.Errorf("%q rests on memory in part, and is said to be %s", c.Lead, c.Known)
		}
	}
	for _, topic := range bench.Topics() {
		if seen[topic] == 0 {
			t.Errorf("there is nothing under %q", topic)
		}
		delete(seen, topic)
	}
	if len(seen) > 0 {
		t.Errorf("topics that are not printed: %v", seen)
	}
}

// Whatever has a lye carries all cautions, on paper and in text, and what has none
// carries none. Either sign of a lye is enough.
func TestCautionsStandWhereLyeIs(t *testing.T) {
	jug, vessel := plain(), plain()
	for i := range jug.Vessels {
		jug.Vessels[i].Lye = false
	}
	jug.Vessels = slices.Clone(jug.Vessels)
	vessel.Lye = nil
	bare := bench.Sheet{Name: "Bare", Lye: &bench.LyeJug{}}
	for _, tt := range []struct {
		name  string
		sheet bench.Sheet
		want  bool
	}{{"plain", plain(), true}, {"goat", goat(), true}, {"jug alone", jug, true}, {"vessel alone", vessel, true}, {"nothing else", bare, true}, {"melt", melt(), false}} {
		t.Run(tt.name, func(t *testing.T) {
			var printed []string
			for _, s := range document(t, tt.sheet, "a4").Sheets[0].Scenes {
				printed = append(printed, runs(s))
			}
			for what, got := range map[string]string{"paper": strings.Join(printed, " "), "text": flat(tt.sheet.Text())} {
				for _, c := range bench.Cautions() {
					if has := strings.Contains(got, flat(c.Lead+" "+c.Text)); has != tt.want {
						t.Errorf("%s: the caution %q is there: %t", what, c.Lead, has)
					}
				}
				if has := strings.Contains(got, "safety data sheet nor"); has != tt.want {
					t.Errorf("%s: the last sentence is there: %t", what, has)
				}
			}
		})
	}
}

// The cautions stand on the page of the lye, wherever that comes to stand.
func TestCautionsStandBesideTheLye(t *testing.T) {
	for oils := 1; oils < 60; oils++ {
		s := plain()
		s.Vessels = slices.Clone(s.Vessels)
		s.Vessels[0].Lines = nil
		for i := range oils {
			s.Vessels[0].Lines = append(s.Vessels[0].Lines, bench.Line{Name: fmt.Sprintf("Oil %d", i), Grams: 20})
		}
		lye, cautions := -1, -1
		for i, page := range document(t, s, "letter").Sheets[0].Scenes {
			if strings.Contains(runs(page), "Lye burns skin and eyes") {
				lye = i
			}
			if strings.Contains(runs(page), string(bench.FirstAid)) {
				cautions = i
			}
		}
		if lye < 0 || lye != cautions {
			t.Errorf("with %d oils the lye stands on page %d and the cautions on %d", oils, lye, cautions)
		}
	}
}

func TestRefused(t *testing.T) {
	with := func(change func(*bench.Sheet)) bench.Sheet {
		s := goat()
		change(&s)
		return s
	}
	a4 := paper(t, "a4")
	for _, tt := range []struct {
		name  string
		sheet bench.Sheet
		size  scene.Size
		rule  string
		says  string
	}{
		{"a picture in the name", with(func(s *bench.Sheet) { s.Name = "Snow ☃ Soap" }), a4, bench.RuleLetter, "U+2603"},
		{"a script whose letters join", with(func(s *bench.Sheet) { s.Steps[0].Do = "صابون" }), a4, bench.RuleLetter, "U+0635"},
		{"what is no text", with(func(s *bench.Sheet) { s.Vessels[0].Lines[0].Note = "\xff" }), a4, bench.RuleLetter, "UTF-8"},
		{"a control character", with(func(s *bench.Sheet) { s.Maker = "Tansy\x1b[2J" }), a4, bench.RuleLetter, "U+001B"},
		{"no number", with(func(s *bench.Sheet) { s.Vessels[1].Lines[0].Grams = math.NaN() }), a4, bench.RuleFigure, "Water"},
		{"endless", with(func(s *bench.Sheet) { s.Total = math.Inf(1) }), a4, bench.RuleFigure, "all together"},
		{"negative", with(func(s *bench.Sheet) { s.Vessels[0].Lines[0].Grams = -1 }), a4, bench.RuleFigure, "Olive oil"},
		{"a share above the whole", with(func(s *bench.Sheet) { s.Portions[0].Share = 1.2 }), a4, bench.RuleFigure, "white"},
		{"a rise upside down", with(func(s *bench.Sheet) { s.Lye.RiseHigh = 20 }), a4, bench.RuleFigure, "rise"},
		{"small paper", goat(), scene.Size{W: measure.MM(105), H: measure.MM(148)}, bench.RuleRoom, "no room"},
		{"no paper", goat(), scene.Size{}, bench.RuleRoom, "no room"},
		{"a note of a thousand words", with(func(s *bench.Sheet) { s.Steps[0].Note = strings.Repeat("stir it well ", 1000) }), a4, bench.RuleRoom, "no room"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			doc, found, err := tt.sheet.Document(tt.size, on(t))
			if err != nil {
				t.Fatal(err)
			}
			if len(doc.Sheets) != 0 {
				t.Error("there is a document all the same")
			}
			i := slices.IndexFunc(found, func(f finding.Finding) bool { return f.Rule == tt.rule })
			if i < 0 || found[i].Level != finding.Stop || found[i].Remedy == "" || !strings.Contains(found[i].Message, tt.says) {
				t.Errorf("the findings are %+v, want a stop %s that says %q", found, tt.rule, tt.says)
			}
		})
	}
}

func TestTooSmallToWeigh(t *testing.T) {
	s := plain()
	s.Vessels = slices.Clone(s.Vessels)
	s.Vessels[2].Lines = []bench.Line{{Name: "Saffron", Grams: 0.004}}
	doc, found, err := s.Document(paper(t, "a4"), on(t))
	if err != nil || len(doc.Sheets) != 1 {
		t.Fatalf("there is no document: %v %v", found, err)
	}
	if len(found) != 1 || found[0].Rule != bench.RuleSmall || found[0].Level != finding.Warn || !strings.Contains(found[0].Message, "0.004 g of \"Saffron\"") {
		t.Errorf("the findings are %+v", found)
	}
}

// Letters of Europe stand in names, also where the serif has none of them, and a
// finding is printed whatever letters it quotes.
func TestLetters(t *testing.T) {
	s := plain()
	s.Name, s.Identity, s.Maker = "Żółć & Ľaliovka", "Ελαιόλαδο, мыло", "Şirin Sabun İş, Œuvre ß ő"
	s.Findings = []finding.Finding{{Level: finding.Warn, Message: "the name has a ☃ in it"}}
	got := runs(document(t, s, "a4").Sheets[0].Scenes[0])
	for _, want := range []string{s.Name, s.Identity, s.Maker, "the name has a ? in it"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not printed", want)
		}
	}
}

func TestTerminalIsNotActedOn(t *testing.T) {
	s := goat()
	s.Vessels[0].Lines[0].Name = "Olive\x1b[2J oil\u202e"
	s.Steps[0].Note = "cold\x07"
	if got := s.Text(); strings.ContainsAny(got, "\x1b\x07\u202e") {
		t.Errorf("a control character stands in %q", got)
	}
}

var numbered = regexp.MustCompile(`^(Oil|Step)[0-9]+$`)

// Whatever is to be weighed: each line and step stands once and in order, nothing
// stands over anything else, and nothing in the margins.
func TestEveryLineOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := bench.Sheet{Formula: "any", Name: rapid.StringMatching(`[A-Z][a-zß]{1,12}( [A-Z][a-zé]{1,12}){0,6}`).Draw(t, "name"), Maker: "Tansy Row Soap", Process: "cold", Total: 1}
		var names []string
		for v := range rapid.IntRange(0, 6).Draw(t, "vessels") {
			vessel := bench.Vessel{Title: fmt.Sprintf("Vessel%d", v), Tare: "a dry cup", Lye: rapid.IntRange(0, 3).Draw(t, "lye") == 0}
			for range rapid.IntRange(0, 25).Draw(t, "lines") {
				name := fmt.Sprintf("Oil%d", len(names))
				names = append(names, name)
				vessel.Lines = append(vessel.Lines, bench.Line{
					Name: name + strings.Repeat(" and more", rapid.IntRange(0, 6).Draw(t, "long")), Grams: rapid.Float64Range(0.01, 99_999).Draw(t, "grams"),
					Note: strings.TrimSpace(strings.Repeat("with care ", rapid.IntRange(0, 5).Draw(t, "note"))),
				})
			}
			s.Vessels = append(s.Vessels, vessel)
		}
		for i := range rapid.IntRange(0, 12).Draw(t, "steps") {
			s.Steps = append(s.Steps, bench.Step{Do: fmt.Sprintf("Step%d", i) + strings.Repeat(" stir", rapid.IntRange(0, 30).Draw(t, "long")), Temp: "32 °C (90 °F)"})
			names = append(names, fmt.Sprintf("Step%d", i))
		}
		size := paper(t, rapid.SampledFrom([]string{"a4", "letter"}).Draw(t, "paper"))
		doc, found, err := s.Document(size, on(t))
		if err != nil || finding.Worst(found) == finding.Stop {
			t.Fatal(found, err)
		}
		var got []string
		for _, page := range doc.Sheets[0].Scenes {
			onPaper(t, page)
			for w := range strings.FieldsSeq(runs(page)) {
				if numbered.MatchString(w) {
					got = append(got, w)
				}
			}
		}
		if !slices.Equal(got, names) {
			t.Fatalf("the lines are %q, want %q", got, names)
		}
		text := s.Text()
		for _, name := range names {
			if strings.Count(text, name+" ")+strings.Count(text, name+"\n") != 1 {
				t.Fatalf("%s does not stand once in the text", name)
			}
		}
	})
}

// onPaper looks at one page: text keeps 14 mm from the sides and 7 mm from the
// other edges, and no two texts overlap; what is drawn keeps 6 mm, which a home
// printer may leave bare.
func onPaper(t *rapid.T, s scene.Scene) {
	inside := func(r scene.Rect, sides, ends float64) bool {
		return r.X >= measure.MM(sides) && r.Right() <= s.Size.W-measure.MM(sides) && r.Y >= measure.MM(ends) && r.Bottom() <= s.Size.H-measure.MM(ends)
	}
	var boxes []scene.Rect
	for i, item := range s.Items {
		if item.Path != nil {
			for _, step := range item.Path.Steps {
				for _, p := range step.P[:step.Verb.Points()] {
					if !inside(scene.Rect{X: p.X, Y: p.Y}, 6, 6) {
						t.Fatalf("a line is drawn at %.1f, %.1f mm", p.X.Millimetres(), p.Y.Millimetres())
					}
				}
			}
		}
		if item.Text == nil {
			continue
		}
		f, err := font.Open(item.Text.Face)
		if err != nil {
			t.Fatal(err)
		}
		above, below := f.Ink(item.Text.Runes, item.Text.Size)
		box := scene.Rect{X: item.Text.At.X, Y: item.Text.At.Y - above, W: item.Text.Width(), H: above + below}
		if !inside(box, 14, 7) && i < len(s.Items)-2 || !inside(box, 14, 6) {
			t.Fatalf("%q stands in the margin, at %.1f, %.1f mm", item.Text.Runes, box.X.Millimetres(), item.Text.At.Y.Millimetres())
		}
		for _, b := range boxes {
			if box.X < b.Right() && b.X < box.Right() && box.Y < b.Bottom() && b.Y < box.Bottom() {
				t.Fatalf("%q stands over another text at %.1f, %.1f mm", item.Text.Runes, box.X.Millimetres(), item.Text.At.Y.Millimetres())
			}
		}
		boxes = append(boxes, box)
	}
}

func BenchmarkDocument(b *testing.B) {
	s, size, day := goat(), paper(b, "a4"), on(b)
	for b.Loop() {
		doc, _, err := s.Document(size, day)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := pdf.Write(doc); err != nil {
			b.Fatal(err)
		}
	}
}
