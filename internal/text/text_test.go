package text_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/text"
)

var (
	mm    = measure.MM
	plain = text.Style{Face: font.SansExtraCondensed, Size: font.Tenths(84), Ink: scene.Black}
	bold  = text.Style{Face: font.SansExtraCondensedBold, Size: font.Tenths(84), Ink: scene.Black, Mark: scene.Mark{Duty: "caution"}}
)

// soap is a list of the length that bands have.
var soap = []string{
	"Sodium Olivate", "Aqua", "Sodium Cocoate", "Glycerin", "Olea Europaea (Olive) Fruit Oil", "Sodium Castorate",
	"Avena Sativa (Oat) Kernel Flour", "Parfum (Fragrance)", "Cocos Nucifera (Coconut) Oil", "Alpha-Isomethyl Ionone",
	"Linalool", "Limonene", "Hydroxycitronellal", "Tetrasodium Glutamate Diacetate", "CI 77491", "CI 77007",
}

// shape writes words with the places where a line may end: " " and "|" are free,
// "_" and "¦" cost something, "+" and "=" are forbidden; the second of each pair
// has no space.
func shape(words []text.Word) string {
	var b strings.Builder
	for i, w := range words {
		b.WriteString(w.Text)
		if i+1 == len(words) {
			break
		}
		signs := map[bool]string{true: " _+", false: "|¦="}[w.Space]
		kind := 0
		switch {
		case w.Break == text.Never:
			kind = 2
		case w.Break > 0:
			kind = 1
		}
		b.WriteString(string([]rune(signs)[kind]))
	}
	return b.String()
}

func TestName(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"one word", "Glycerin", "Glycerin"},
		{"spaces", "Lavandula Angustifolia Flower Oil", "Lavandula_Angustifolia_Flower_Oil"},
		{"bracket after a space", "Olea Europaea (Olive) Fruit Oil", "Olea_Europaea_(Olive)_Fruit_Oil"},
		{"bracket without a space", "Poly(Ethylene)", "Poly¦(Ethylene)"},
		{"plural", "Extract(s)", "Extract(s)"},
		{"slash", "Styrene/Acrylates Copolymer", "Styrene/¦Acrylates_Copolymer"},
		{"slash before a figure", "PEG/20", "PEG/20"},
		{"hyphen", "Hydroxy-Citronellal", "Hydroxy-¦Citronellal"},
		{"hyphen with two letters", "Beeswax-Oil-Mix", "Beeswax-¦Oil-¦Mix"},
		{"short side", "Co-Glucoside", "Co-Glucoside"},
		{"Greek prefix", "Alpha-Isomethyl Ionone", "Alpha-Isomethyl_Ionone"},
		{"prefix after a hyphen", "Methyl-trans-Ester", "Methyl-¦trans-Ester"},
		{"locant", "1,2-Hexanediol", "1,2-Hexanediol"},
		{"locant letter", "N-Acetyl", "N-Acetyl"},
		{"figure after the hyphen", "PEG-100 Stearate", "PEG-100_Stearate"},
		{"inner locant", "2-Bromo-2-Nitropropane-1,3-Diol", "2-Bromo-2-Nitropropane-1,3-Diol"},
		{"colour index", "Ultramarines CI 77007", "Ultramarines_CI+77007"},
		{"number", "Red No. 40", "Red_No.+40"},
		{"per cent", "Oil 5 %", "Oil_5+%"},
		{"no-break space", "Net\u00a0Wt 4\u00a0oz", "Net\u00a0Wt_4\u00a0oz"},
		{"more spaces", "  Aqua \n Marina ", "Aqua_Marina"},
		{"nothing", " ", ""},
	} {
		if got := shape(text.Name(tt.in, plain, 14)); got != tt.want {
			t.Errorf("%s: %q is cut as %q, want %q", tt.name, tt.in, got, tt.want)
		}
	}
}

func TestNames(t *testing.T) {
	for _, tt := range []struct {
		name   string
		in     []string
		inside text.Cost
		want   string
	}{
		{"list", []string{"Sodium Olivate", "Aqua", "CI 77491"}, 4, "Sodium_Olivate, Aqua, CI+77491."},
		{"names in one piece", []string{"Sodium Olivate", "Styrene/Acrylates"}, text.Never, "Sodium+Olivate, Styrene/=Acrylates."},
		{"empty names", []string{"", "Aqua", ""}, 4, "Aqua."},
		{"nothing", nil, 4, ""},
	} {
		if got := shape(text.Names(tt.in, plain, tt.inside)); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestBreakSoap(t *testing.T) {
	p, err := text.Break(text.Names(soap, plain, 14), text.Column{Width: mm(21.25)})
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range p.Lines {
		if strings.HasSuffix(l.String(), " ") {
			t.Errorf("line %d ends with a space: %q", i, l)
		}
		if strings.HasSuffix(l.String(), "CI") {
			t.Errorf("line %d cuts a colour index number: %q", i, l)
		}
	}
	if got := joined(p.Lines); got != strings.Join(soap, ", ")+"." {
		t.Errorf("the lines read %q", got)
	}
}

// joined reads the lines as one text.
func joined(lines []text.Line) string {
	var all []string
	for _, l := range lines {
		all = append(all, l.String())
	}
	return strings.Join(all, " ")
}

// A costly place within a name is used only where it saves more than it costs.
func TestCostOfNames(t *testing.T) {
	names := []string{"Sodium Olivate", "Cocos Nucifera (Coconut) Oil", "Aqua"}
	inside := func(cost text.Cost) int {
		p, err := text.Break(text.Names(names, plain, cost), text.Column{Width: mm(45)})
		if err != nil {
			t.Fatal(err)
		}
		cut := 0
		for _, l := range p.Lines[:len(p.Lines)-1] {
			if !strings.HasSuffix(l.String(), ",") {
				cut++
			}
		}
		return cut
	}
	if got := inside(1000); got != 0 {
		t.Errorf("%d names are cut at a cost of 1000, want none", got)
	}
	if got := inside(0); got == 0 {
		t.Error("no name is cut where that costs nothing")
	}
}

func TestColumns(t *testing.T) {
	words := text.Names(soap, plain, 4)
	p, err := text.Break(words, text.Column{Width: mm(21), Lines: 5}, text.Column{Width: mm(40)})
	if err != nil {
		t.Fatal(err)
	}
	if got := len(p.In(0)); got != 5 {
		t.Errorf("%d lines in the first column, want 5", got)
	}
	if len(p.In(0))+len(p.In(1)) != len(p.Lines) || len(p.In(1)) == 0 {
		t.Errorf("%d and %d lines of %d", len(p.In(0)), len(p.In(1)), len(p.Lines))
	}
	for i, l := range p.Lines {
		if room := []scene.Length{mm(21), mm(40)}[l.Column]; l.Width > room {
			t.Errorf("line %d is %d wide, more than %d", i, l.Width, room)
		}
	}
	if got := joined(p.Lines); got != strings.Join(soap, ", ")+"." {
		t.Errorf("the lines read %q", got)
	}
}

func TestRefusals(t *testing.T) {
	long := text.Words("Hydroxyisohexyl3cyclohexenecarboxaldehyde", plain)
	t.Run("wide word", func(t *testing.T) {
		_, err := text.Break(append(text.Words("Aqua and", plain), long...), text.Column{Width: mm(21)})
		var wide *text.WideError
		if !errors.As(err, &wide) {
			t.Fatalf("the error is %v", err)
		}
		line, _ := text.OneLine(long...)
		if wide.Text != long[0].Text || wide.Width != line.Width || wide.Missing != line.Width-mm(21) || wide.Room != mm(21) {
			t.Errorf("the error is %+v, want %d nm missing", wide, line.Width-mm(21))
		}
		if _, err := text.Break(long, text.Column{Width: mm(21) + wide.Missing}); err != nil {
			t.Errorf("with what was missing: %v", err)
		}
		if _, err := text.Break(long, text.Column{Width: mm(21) + wide.Missing - 1}); err == nil {
			t.Error("with a nanometre less than was missing it still fits")
		}
	})
	t.Run("wide glued words", func(t *testing.T) {
		glued := text.Name("CI 77491", plain, 0)
		_, err := text.Break(glued, text.Column{Width: mm(5)})
		var wide *text.WideError
		if !errors.As(err, &wide) || wide.Text != "CI 77491" {
			t.Errorf("the error is %v", err)
		}
	})
	t.Run("too many lines", func(t *testing.T) {
		_, err := text.Break(text.Names(soap, plain, 4), text.Column{Width: mm(21), Lines: 3})
		var tooLong *text.LongError
		if !errors.As(err, &tooLong) || tooLong.Room != 3 {
			t.Fatalf("the error is %v", err)
		}
		if _, err := text.Break(text.Names(soap, plain, 4), text.Column{Width: mm(21), Lines: tooLong.Lines}); err != nil {
			t.Errorf("with the %d lines that it needs: %v", tooLong.Lines, err)
		}
		if _, err := text.Break(text.Names(soap, plain, 4), text.Column{Width: mm(21), Lines: tooLong.Lines - 1}); err == nil {
			t.Error("with a line less it still fits")
		}
	})
	t.Run("no column", func(t *testing.T) {
		var tooLong *text.LongError
		if _, err := text.Break(long); !errors.As(err, &tooLong) {
			t.Errorf("the error is %v", err)
		}
	})
	t.Run("character", func(t *testing.T) {
		var character *text.CharacterError
		if _, err := text.Break(text.Words("Oat 🧼", plain), text.Column{Width: mm(50)}); !errors.As(err, &character) || character.Text != "🧼" {
			t.Errorf("the error is %v", err)
		}
	})
	t.Run("face", func(t *testing.T) {
		var unknown *font.UnknownFaceError
		if _, err := text.OneLine(text.Word{Text: "x", Style: text.Style{Face: "nonesuch", Size: mm(1)}}); !errors.As(err, &unknown) {
			t.Errorf("the error is %v", err)
		}
	})
	t.Run("too much", func(t *testing.T) {
		var much *text.MuchError
		words := slices.Repeat(text.Words("Aqua", plain), 1200)
		if _, err := text.Break(words, text.Column{Width: mm(20), Lines: math.MaxInt}); !errors.As(err, &much) || much.Words != 1200 {
			t.Errorf("the error is %v", err)
		}
		if _, err := text.Break(slices.Repeat(words, 20), text.Column{Width: mm(20)}); !errors.As(err, &much) {
			t.Errorf("without an end: the error is %v", err)
		}
		if _, err := text.Break(words, text.Column{Width: mm(20)}); err != nil {
			t.Errorf("in one column without an end: %v", err)
		}
	})
	for _, size := range []scene.Length{0, -1, math.MaxInt64} {
		var wrong *text.SizeError
		if _, err := text.OneLine(text.Word{Text: "x", Style: text.Style{Face: plain.Face, Size: size}}); !errors.As(err, &wrong) {
			t.Errorf("a size of %d: the error is %v", size, err)
		}
	}
}

func TestNoWords(t *testing.T) {
	p, err := text.Break(nil, text.Column{Width: mm(10)})
	if err != nil || len(p.Lines) != 0 {
		t.Errorf("no words give %v, %v", p, err)
	}
	l, err := text.OneLine()
	if err != nil || l.Width != 0 || len(l.Set(scene.Point{}, text.Left)) != 0 {
		t.Errorf("no words give %v, %v", l, err)
	}
}

func TestSet(t *testing.T) {
	words := append(text.Words("Caution:", bold), text.Words("keep out of eyes.", plain)...)
	l, err := text.OneLine(words...)
	if err != nil {
		t.Fatal(err)
	}
	at := scene.Point{X: mm(50), Y: mm(7)}
	for _, tt := range []struct {
		name  string
		align text.Align
		left  scene.Length
	}{{"left", text.Left, at.X}, {"centre", text.Centre, at.X - l.Width/2}, {"right", text.Right, at.X - l.Width}} {
		items := l.Set(at, tt.align)
		if len(items) != 2 {
			t.Fatalf("%s: %d runs, want one a style", tt.name, len(items))
		}
		first, second := items[0], items[1]
		if first.Text.Runes != "Caution: " || second.Text.Runes != "keep out of eyes." {
			t.Errorf("%s: the runs read %q and %q", tt.name, first.Text.Runes, second.Text.Runes)
		}
		if first.Mark != bold.Mark || first.Text.Face != bold.Face || second.Text.Face != plain.Face || second.Text.Size != plain.Size {
			t.Errorf("%s: the runs lost their style: %+v, %+v", tt.name, first, second.Text)
		}
		if first.Text.At != (scene.Point{X: tt.left, Y: at.Y}) || second.Text.At.X != tt.left+first.Text.Width() {
			t.Errorf("%s: the runs stand at %v and %v", tt.name, first.Text.At, second.Text.At)
		}
		if end := second.Text.At.X + second.Text.Width(); end != tt.left+l.Width {
			t.Errorf("%s: the line ends at %d, want %d", tt.name, end, tt.left+l.Width)
		}
	}
}

func TestSetLines(t *testing.T) {
	p, err := text.Break(text.Names(soap, plain, 4), text.Column{Width: mm(21)})
	if err != nil {
		t.Fatal(err)
	}
	items := text.Set(p.Lines, scene.Point{X: mm(1), Y: mm(8)}, mm(3.2), text.Left)
	if len(items) != len(p.Lines) {
		t.Fatalf("%d runs for %d lines of one style", len(items), len(p.Lines))
	}
	for i, item := range items {
		if want := (scene.Point{X: mm(1), Y: mm(8) + scene.Length(i)*mm(3.2)}); item.Text.At != want {
			t.Errorf("line %d stands at %v, want %v", i, item.Text.At, want)
		}
	}
}

func TestNoBreakSpacesAreSetAsSpaces(t *testing.T) {
	l, err := text.OneLine(text.Words("Net\u00a0Wt e\u0301", plain)...)
	if err != nil || l.String() != "Net Wt é" {
		t.Errorf("the line reads %q, error %v", l, err)
	}
}

// drawWords makes words of up to two styles with all kinds of line ends.
func drawWords(t *rapid.T, most int) []text.Word {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) text.Word {
		return text.Word{
			Text:  rapid.StringMatching(`[A-Za-z,.]{1,9}`).Draw(t, "word"),
			Style: rapid.SampledFrom([]text.Style{plain, plain, bold}).Draw(t, "style"),
			Space: rapid.Float64Range(0, 1).Draw(t, "space") < 0.8,
			Break: rapid.SampledFrom([]text.Cost{text.Free, text.Free, 0.7, 4, 14, text.Never}).Draw(t, "break"),
		}
	}), 1, most).Draw(t, "words")
}

func drawColumns(t *rapid.T) []text.Column {
	width := rapid.Custom(func(t *rapid.T) scene.Length { return mm(rapid.Float64Range(3, 40).Draw(t, "width")) })
	columns := []text.Column{{Width: width.Draw(t, "last"), Lines: rapid.SampledFrom([]int{0, 0, 1, 3, 20}).Draw(t, "lines")}}
	if rapid.Bool().Draw(t, "two") {
		columns = slices.Insert(columns, 0, text.Column{Width: width.Draw(t, "first"), Lines: rapid.IntRange(0, 3).Draw(t, "first lines")})
	}
	return columns
}

// room gives the width of line k, or false if there is none.
func room(columns []text.Column, k int) (scene.Length, bool) {
	for i, c := range columns {
		if k < c.Lines || c.Lines == 0 && i == len(columns)-1 {
			return c.Width, true
		}
		k -= c.Lines
	}
	return 0, false
}

// width measures words on a line of their own.
func width(t *rapid.T, words []text.Word) scene.Length {
	l, err := text.OneLine(words...)
	if err != nil {
		t.Fatal(err)
	}
	return l.Width
}

// costOf gives what the comment of Break says that a line costs.
func costOf(words []text.Word, columns []text.Column, from, to, line int, width, room scene.Length) float64 {
	short := (room - width).Millimetres()
	switch {
	case to == len(words) && from == 0:
		return 0
	case to == len(words):
		missing := max(0, (room/3 - width).Millimetres())
		return missing * missing
	}
	place := float64(words[to-1].Break)
	if endsColumn(columns, line) {
		place *= 10
	}
	return short*short + place
}

// endsColumn reports whether line k is the last of a column and there is another.
func endsColumn(columns []text.Column, k int) bool {
	last := -1
	for i, c := range columns {
		last += c.Lines
		if k == last {
			_, more := room(columns, k+1)
			return more && i+1 < len(columns)
		}
	}
	return false
}

// cheapest tries every way to break the words.
func cheapest(t *rapid.T, words []text.Word, columns []text.Column, from, line int) float64 {
	if from == len(words) {
		return 0
	}
	best := math.Inf(1)
	space, ok := room(columns, line)
	for to := from + 1; ok && to <= len(words); to++ {
		w := width(t, words[from:to])
		if w > space || to < len(words) && words[to-1].Break == text.Never {
			continue
		}
		best = min(best, costOf(words, columns, from, to, line, w, space)+cheapest(t, words, columns, to, line+1))
	}
	return best
}

func TestBreakIsCheapest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words, columns := drawWords(t, 9), drawColumns(t)
		want := cheapest(t, words, columns, 0, 0)
		p, err := text.Break(words, columns...)
		switch {
		case err != nil && !math.IsInf(want, 1):
			t.Errorf("there is a way at a cost of %g and Break says %v", want, err)
		case err == nil && math.Abs(p.Cost-want) > 1e-9*(1+want):
			t.Errorf("the cost is %g, the least is %g", p.Cost, want)
		}
	})
}

// reading gives words as they are read on one line.
func reading(words []text.Word) string {
	var b strings.Builder
	for i, w := range words {
		b.WriteString(w.Text)
		if w.Space && i+1 < len(words) {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

func TestBreakKeepsItsPromises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words, columns := drawWords(t, 40), drawColumns(t)
		p, err := text.Break(words, columns...)
		if err != nil {
			var wide *text.WideError
			var tooLong *text.LongError
			if !errors.As(err, &wide) && !errors.As(err, &tooLong) {
				t.Fatalf("the error is %T: %v", err, err)
			}
			return
		}
		at, cost := 0, 0.0
		for k, l := range p.Lines {
			space, ok := room(columns, k)
			if !ok || l.Width > space {
				t.Fatalf("line %d is %d wide and has room for %d", k, l.Width, space)
			}
			from := at
			// All words come once and in order: the line is the next words, joined.
			for at++; at < len(words) && reading(words[from:at]) != l.String(); {
				at++
			}
			if got := reading(words[from:at]); got != l.String() {
				t.Fatalf("line %d reads %q; the words read %q", k, l, got)
			}
			cost += costOf(words, columns, from, at, k, l.Width, space)
			if at < len(words) && words[at-1].Break == text.Never {
				t.Fatalf("line %d ends after %q, where it may not", k, words[at-1].Text)
			}
			var set scene.Length
			for _, item := range l.Set(scene.Point{}, text.Left) {
				set += item.Text.Width()
			}
			if set != l.Width || l.Width != width(t, words[from:at]) {
				t.Fatalf("line %d is %d wide and %d as set", k, l.Width, set)
			}
		}
		if at != len(words) {
			t.Errorf("%d of %d words are set", at, len(words))
		}
		if math.Abs(cost-p.Cost) > 1e-9*(1+cost) {
			t.Errorf("the cost is said to be %g and is %g", p.Cost, cost)
		}
		if greedy := greedyCost(t, words, columns); p.Cost > greedy+1e-9*(1+greedy) {
			t.Errorf("the cost is %g, filling each line costs %g", p.Cost, greedy)
		}
	})
}

// greedyCost fills each line as far as it goes; if that fails it costs no end.
func greedyCost(t *rapid.T, words []text.Word, columns []text.Column) float64 {
	cost := 0.0
	for from, line := 0, 0; from < len(words); line++ {
		space, ok := room(columns, line)
		end, price := from, 0.0
		for to := from + 1; ok && to <= len(words); to++ {
			w := width(t, words[from:to])
			if w > space {
				break
			}
			if to == len(words) || words[to-1].Break != text.Never {
				end, price = to, costOf(words, columns, from, to, line, w, space)
			}
		}
		if end == from {
			return math.Inf(1)
		}
		cost += price
		from = end
	}
	return cost
}

func FuzzBreak(f *testing.F) {
	for _, s := range []string{"Sodium Olivate, Aqua", "a-b/c(d)", "\xff", "🧼 soap", "", " \u00a0 ", "e\u0301\u0301", "-", "/", "CI  1"} {
		f.Add(s, int64(21_000_000), 3, 4.0)
	}
	f.Fuzz(func(t *testing.T, s string, width int64, lines int, cost float64) {
		for _, words := range [][]text.Word{text.Words(s, plain), text.Names(strings.Split(s, ","), plain, text.Cost(cost))} {
			p, err := text.Break(words, text.Column{Width: scene.Length(width), Lines: lines}, text.Column{Width: scene.Length(width / 2)})
			if err == nil && p == nil || err != nil && err.Error() == "" {
				t.Errorf("%q gives %v and %v", s, p, err)
			}
		}
	})
}

func BenchmarkBreak(b *testing.B) {
	var names []string
	for len(names) < 30 {
		names = append(names, soap[len(names)%len(soap)])
	}
	words := text.Names(names, plain, 14)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := text.Break(words, text.Column{Width: mm(21.25), Lines: 12}, text.Column{Width: mm(23.6)}); err != nil {
			b.Fatal(err)
		}
	}
}
