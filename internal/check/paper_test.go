package check_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"saponym/internal/check"
	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

const face = font.SansCondensed

// line draws a text that serves a duty; its size is 3 mm unless another is given.
func line(duty label.Duty, runes string, size ...measure.Length) scene.Item {
	text := &scene.Text{At: scene.Point{X: measure.MM(10), Y: measure.MM(20)}, Face: face, Size: measure.MM(3), Ink: scene.Black, Runes: runes}
	for _, s := range size {
		text.Size = s
	}
	return scene.Item{Mark: scene.Mark{Duty: string(duty)}, Text: text}
}

func drawn(items ...scene.Item) scene.Scene { return scene.Scene{Items: items} }

// judge runs the gate.
func judge(t *testing.T, c label.Content, s scene.Scene) ([]check.Particular, []finding.Finding) {
	t.Helper()
	proof, found, err := check.Paper(c, s)
	if err != nil {
		t.Fatal(err)
	}
	return proof, found
}

// Words are found whichever way they are broken into lines and runs, and missed
// when a single one is not there, is another, or serves another duty.
func TestWordsOnPaper(t *testing.T) {
	list := label.Statement{Duty: label.DutyIngredients, Required: true, Heading: "Ingredients:", Names: []string{"Sodium Olivate", "Aqua", "CI 77491"}, Cite: "Art. 19(1)(g)"}
	free := label.Statement{Duty: label.DutyTagline, Lines: []string{"A bar for Sundays"}}
	const list1, free1 = label.DutyIngredients, label.DutyTagline
	for _, tt := range []struct {
		name      string
		statement label.Statement
		scene     scene.Scene
		found     bool // the words
		stop      bool
	}{
		{"in one line", list, drawn(line(list1, "Ingredients: Sodium Olivate, Aqua, CI 77491.")), true, false},
		{"in two lines", list, drawn(line(list1, "Ingredients: Sodium Olivate,"), line(list1, "Aqua, CI 77491.")), true, false},
		{"a name over two lines", list, drawn(line(list1, "Ingredients: Sodium"), line(list1, "Olivate, Aqua, CI 77491.")), true, false},
		{"a word over two lines", list, drawn(line(list1, "Ingredients: Sodium Oli"), line(list1, "vate, Aqua, CI 77491.")), true, false},
		{"spaces at the ends of lines", list, drawn(line(list1, "Ingredients: "), line(list1, " Sodium Olivate, "), line(list1, "Aqua, CI 77491. ")), true, false},
		{"a space that does not break", list, drawn(line(list1, "Ingredients: Sodium\u00a0Olivate, Aqua, CI\u00a077491.")), true, false},
		{"a gap between", list, drawn(line(list1, "Ingredients:"), line(label.DutyName, "Sunday"), line(list1, "Sodium Olivate, Aqua, CI 77491.")), true, false},
		{"not drawn", list, drawn(), false, true},
		{"drawn for another duty", list, drawn(line(free1, "Ingredients: Sodium Olivate, Aqua, CI 77491.")), false, true},
		{"without its heading", list, drawn(line(list1, "Sodium Olivate, Aqua, CI 77491.")), false, true},
		{"without its last name", list, drawn(line(list1, "Ingredients: Sodium Olivate, Aqua.")), false, true},
		{"without its full stop", list, drawn(line(list1, "Ingredients: Sodium Olivate, Aqua, CI 77491")), false, true},
		{"with another letter", list, drawn(line(list1, "Ingredients: Sodium Olivate, Aqua, Cl 77491.")), false, true},
		{"with more words", list, drawn(line(list1, "Ingredients: Sodium Olivate, Aqua, CI 77491. Vegan")), false, true},
		{"twice", list, drawn(line(list1, "Ingredients: Sodium Olivate, Aqua, CI 77491."), line(list1, "Ingredients: Sodium Olivate, Aqua, CI 77491.")), false, true},
		{"in another order", list, drawn(line(list1, "Sodium Olivate, Aqua, CI 77491."), line(list1, "Ingredients:")), false, true},
		{"two names run together", list, drawn(line(list1, "Ingredients: SodiumOlivate, Aqua, CI 77491.")), false, true},
		{"as a path", list, drawn(scene.Item{Mark: scene.Mark{Duty: string(list1)}, Path: &scene.Path{}}), false, true},

		{"free words, drawn", free, drawn(line(free1, "A bar for"), line(free1, "Sundays")), true, false},
		{"free words, not drawn", free, drawn(), false, false},
		{"free words, half drawn", free, drawn(line(free1, "A bar for")), false, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := label.Content{Market: "eu", Statements: []label.Statement{tt.statement}}
			proof, found := judge(t, c, tt.scene)
			if (len(proof) == 1) != tt.found {
				t.Errorf("proof %+v, want the words found: %t", proof, tt.found)
			}
			if (len(found) == 1) != tt.stop {
				t.Errorf("findings %+v, want a stop: %t", found, tt.stop)
			}
			for _, f := range found {
				if f.Level != finding.Stop || f.Rule != check.RuleWords || f.Cite != tt.statement.Cite || f.Market != "eu" || !strings.Contains(f.Message, tt.statement.Words()) {
					t.Errorf("finding %+v", f)
				}
			}
		})
	}
}

// The letter that the law measures is measured, in the outlines of the face, and
// a nanometre too little is too little.
func TestLettersOnPaper(t *testing.T) {
	f, err := font.Open(face)
	if err != nil {
		t.Fatal(err)
	}
	size := measure.MM(3)
	// Heights of this face in em, as other programs read them from its tables:
	// x 0.537, capitals 0.714, the lowest figure 0.714.
	for _, tt := range []struct {
		measured label.Measured
		height   measure.Length
		em       float64
	}{
		{"", f.XHeight(size), 0.537},
		{label.SmallLetter, f.XHeight(size), 0.537},
		{label.Capital, f.CapHeight(size), 0.714},
		{label.Figures, f.FigureHeight(size), 0.714},
	} {
		if got := tt.height.Millimetres() / 3; got < tt.em-0.001 || got > tt.em+0.001 {
			t.Errorf("%q is %.4f em high, want %.3f", tt.measured, got, tt.em)
		}
		for _, more := range []measure.Length{-1000, 0, 1, 1000} {
			least := tt.height + more
			c := label.Content{Market: "us-soap", Statements: []label.Statement{{
				Duty: label.DutyNetQuantity, Required: true, Lines: []string{"Net Wt 4 oz (113 g)"}, Cite: "16 CFR 500.21",
				Letters: label.Letters{Measured: tt.measured, Steps: []label.HeightStep{{Min: least}}},
			}}}
			proof, found := judge(t, c, drawn(line(label.DutyNetQuantity, "Net Wt 4 oz (113 g)", size)))
			want := check.Particular{Duty: label.DutyNetQuantity, Text: "Net Wt 4 oz (113 g)", Letter: tt.height.Millimetres(), Required: least.Millimetres(), X: 10, Y: 20, Cite: "16 CFR 500.21"}
			if !slices.Equal(proof, []check.Particular{want}) {
				t.Errorf("%q, %+d nm: proof %+v, want %+v", tt.measured, more, proof, want)
			}
			if tooLow := more > 0; (len(found) == 1) != tooLow {
				t.Errorf("%q, %+d nm: findings %+v, want one: %t", tt.measured, more, found, tooLow)
			}
			for _, f := range found {
				if f.Level != finding.Stop || f.Rule != check.RuleLetters || f.Cite != "16 CFR 500.21" || f.Market != "us-soap" {
					t.Errorf("finding %+v", f)
				}
			}
		}
	}
}

// The lowest of several lines counts, wherever it stands.
func TestLowestLine(t *testing.T) {
	f, err := font.Open(face)
	if err != nil {
		t.Fatal(err)
	}
	small, large := measure.MM(2), measure.MM(4)
	c := label.Content{Statements: []label.Statement{{
		Duty: label.DutyMaker, Lines: []string{"Tern", "12 Ropewalk", "Sallow Bay"},
		Letters: label.Letters{Steps: []label.HeightStep{{Min: f.XHeight(large)}}},
	}}}
	for i := range 3 {
		sizes := []measure.Length{large, large, large}
		sizes[i] = small
		proof, found := judge(t, c, drawn(line(label.DutyMaker, "Tern", sizes[0]), line(label.DutyMaker, "12 Ropewalk", sizes[1]), line(label.DutyMaker, "Sallow Bay", sizes[2])))
		if len(proof) != 1 || proof[0].Letter != f.XHeight(small).Millimetres() {
			t.Errorf("line %d is low: proof %+v", i, proof)
		}
		if len(found) != 1 || found[0].Rule != check.RuleLetters {
			t.Errorf("line %d is low: findings %+v", i, found)
		}
	}
}

// The height that is asked goes by the face of the bar, not by the paper:
// 2.5 in × 2 in are 5 in² and still the lower step (16 CFR 500.21: "over 5").
func TestHeightByFace(t *testing.T) {
	in := measure.Inch
	letters := label.Letters{Measured: label.SmallLetter, Steps: []label.HeightStep{{Min: in / 16}, {Over: 5 * measure.SquareInch, Min: in / 8}}}
	c := label.Content{Statements: []label.Statement{{Duty: label.DutyNetQuantity, Required: true, Lines: []string{"4 oz"}, Letters: letters}}}
	s := drawn(line(label.DutyNetQuantity, "4 oz"))
	s.Size = scene.Size{W: 10 * in, H: 10 * in}
	for _, tt := range []struct {
		length measure.Length
		mm     float64
		stop   bool // 3 mm of this face have letters of 1.61 mm
	}{
		{5 * in / 2, 1.5875, false},
		{5*in/2 + 1, 3.175, true},
	} {
		c.Bar = label.Bar{Length: tt.length, Width: 2 * in, Height: in}
		proof, found := judge(t, c, s)
		if len(proof) != 1 || proof[0].Required != tt.mm || (len(found) == 1) != tt.stop {
			t.Errorf("length %d: proof %+v, findings %+v; want %g mm and a stop: %t", tt.length, proof, found, tt.mm, tt.stop)
		}
	}
}

// Each statement is judged by itself, in the order of the label.
func TestSeveralStatements(t *testing.T) {
	c := label.Content{Market: "eu", Statements: []label.Statement{
		{Duty: label.DutyName, Lines: []string{"Sunday"}},
		{Duty: label.DutyBatch, Required: true, Lines: []string{"Batch 26330-01"}},
		{Duty: label.DutyOrigin, Required: true, Lines: []string{"Made in USA"}},
		{Duty: label.DutyTagline, Lines: []string{"A bar for Sundays"}},
	}}
	proof, found := judge(t, c, drawn(line(label.DutyOrigin, "Made in USA"), line(label.DutyName, "Sunday")))
	if len(proof) != 2 || proof[0].Duty != label.DutyName || proof[1].Duty != label.DutyOrigin {
		t.Errorf("proof %+v, want name and origin", proof)
	}
	if len(found) != 1 || !strings.Contains(found[0].Message, "Batch 26330-01") {
		t.Errorf("findings %+v, want the batch", found)
	}
}

// Two statements of one duty are told apart by where their words come from.
func TestOneDutyTwice(t *testing.T) {
	english := label.Statement{Duty: label.DutyCaution, Field: "phrase.caution", Required: true, Lines: []string{"Keep dry."}}
	french := label.Statement{Duty: label.DutyCaution, Field: "phrase.caution.fr", Required: true, Lines: []string{"Garder au sec."}}
	from := func(s label.Statement) scene.Item {
		item := line(s.Duty, s.Lines[0])
		item.Mark.Field = s.Field
		return item
	}
	c := label.Content{Statements: []label.Statement{english, french}}
	if proof, found := judge(t, c, drawn(from(english), from(french))); len(proof) != 2 || len(found) != 0 {
		t.Errorf("both: proof %+v, findings %+v", proof, found)
	}
	proof, found := judge(t, c, drawn(from(english)))
	if len(proof) != 1 || len(found) != 1 || found[0].Rule != check.RuleWords || !strings.Contains(found[0].Message, "Garder au sec.") {
		t.Errorf("one: proof %+v, findings %+v", proof, found)
	}
}

// Words that no ink can show are no particular, and not found by their absence.
func TestBlankWords(t *testing.T) {
	for _, required := range []bool{true, false} {
		c := label.Content{Statements: []label.Statement{{Duty: label.DutyIdentity, Required: required, Lines: []string{" "}}}}
		proof, found := judge(t, c, drawn())
		if len(proof) != 0 || (len(found) == 1) != required {
			t.Errorf("required %t: proof %+v, findings %+v", required, proof, found)
		}
	}
}

func TestUnknownFace(t *testing.T) {
	item := line(label.DutyName, "Sunday")
	item.Text.Face = "chalk"
	_, _, err := check.Paper(label.Content{Statements: []label.Statement{{Duty: label.DutyName, Lines: []string{"Sunday"}}}}, drawn(item))
	if unknown := (*font.UnknownFaceError)(nil); !errors.As(err, &unknown) || !strings.Contains(err.Error(), "measuring name") {
		t.Errorf("error %v", err)
	}
}

// Boldface is measured by the weight of the typeface, in each line.
func TestBoldOnPaper(t *testing.T) {
	bold, plain := line(label.DutyIdentity, "Soap"), line(label.DutyIdentity, "Soap")
	bold.Text.Face = font.SerifBold
	for _, tt := range []struct {
		asked bool
		items []scene.Item
		words string
		want  int
	}{
		{true, []scene.Item{bold}, "Soap", 0},
		{true, []scene.Item{plain}, "Soap", 1},
		{true, []scene.Item{bold, plain}, "Soap Soap", 1},
		{false, []scene.Item{plain}, "Soap", 0},
	} {
		c := label.Content{Market: "us-cosmetic", Statements: []label.Statement{{Duty: label.DutyIdentity, Required: true, Bold: tt.asked, Lines: []string{tt.words}, Cite: "21 CFR 701.11"}}}
		_, found := judge(t, c, drawn(tt.items...))
		if len(found) != tt.want || tt.want > 0 && (found[0].Rule != check.RuleBold || found[0].Level != finding.Stop) {
			t.Errorf("%+v: %+v", tt, found)
		}
	}
}
