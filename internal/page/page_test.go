package page_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/page"
	"saponym/internal/scene"
)

const (
	mm = measure.Millimetre
	pt = measure.Point
)

// a5 is ISO 216.
var a5 = scene.Size{W: 148 * mm, H: 210 * mm}

var margins = page.Margins{Top: 15 * mm, Right: 12 * mm, Bottom: 20 * mm, Left: 18 * mm}

var style = page.Style{Face: page.Sans, Size: 11 * pt, Ink: scene.Black}

func paragraph(s string) page.Paragraph {
	return page.Paragraph{Runs: []page.Run{{Text: s, Style: style}}}
}

func lay(t testing.TB, f page.Flow) page.Pages {
	t.Helper()
	pages, err := f.Lay()
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

func flow(blocks ...page.Block) page.Flow {
	return page.Flow{Size: a5, Margins: margins, Blocks: blocks}
}

// words gives all words of a scene, in reading order.
func words(s scene.Scene) []string {
	var all []string
	for _, item := range s.Items {
		if item.Text != nil {
			all = append(all, strings.Fields(item.Text.Runes)...)
		}
	}
	return all
}

// pageOf gives the page, from 0, on which a word stands.
func pageOf(t testing.TB, p page.Pages, word string) int {
	t.Helper()
	for i, s := range p.Sheet.Scenes {
		if slices.Contains(words(s), word) {
			return i
		}
	}
	t.Fatalf("%q stands on no page", word)
	return 0
}

// find gives the text item that holds a word.
func find(t testing.TB, p page.Pages, word string) *scene.Text {
	t.Helper()
	for _, s := range p.Sheet.Scenes {
		for _, item := range s.Items {
			if item.Text != nil && slices.Contains(strings.Fields(item.Text.Runes), word) {
				return item.Text
			}
		}
	}
	t.Fatalf("%q stands on no page", word)
	return nil
}

// filler is so many short lines, each a paragraph of its own.
func filler(lines int) []page.Block {
	var all []page.Block
	for i := range lines {
		all = append(all, paragraph(fmt.Sprintf("line%d", i)))
	}
	return all
}

// linesOnPage is how many lines a page has: 175 mm, 1.25 times 11 pt each.
const linesOnPage = 36

func TestPlainLinesFillPages(t *testing.T) {
	for _, tt := range []struct{ lines, pages int }{{0, 1}, {1, 1}, {linesOnPage, 1}, {linesOnPage + 1, 2}, {2 * linesOnPage, 2}, {2*linesOnPage + 1, 3}} {
		if got := len(lay(t, flow(filler(tt.lines)...)).Sheet.Scenes); got != tt.pages {
			t.Errorf("%d lines are on %d pages, want %d", tt.lines, got, tt.pages)
		}
	}
}

func TestHeadingStaysWithWhatFollows(t *testing.T) {
	heading := paragraph("Heading")
	heading.Keep = true
	p := lay(t, flow(append(filler(linesOnPage-1), heading, paragraph("follows"))...))
	if at := pageOf(t, p, "Heading"); at != 1 {
		t.Errorf("the heading stands on page %d, want 1, with what follows", at)
	}
	if got := p.Starts[linesOnPage-1:]; got[0] != 1 || got[1] != 1 {
		t.Errorf("the blocks begin on pages %v, want 1 and 1", got)
	}
}

// Room above a block is kept within a page, and not at its head.
func TestRoomAbove(t *testing.T) {
	spaced := paragraph("spaced")
	spaced.Above = 10 * mm
	line := style.Size * 5 / 4
	p := lay(t, flow(paragraph("first"), spaced))
	if got := find(t, p, "spaced").At.Y - find(t, p, "first").At.Y; got != line+10*mm {
		t.Errorf("the lines are %.2f mm apart, want %.2f", got.Millimetres(), (line + 10*mm).Millimetres())
	}
	head := find(t, p, "first").At.Y
	p = lay(t, flow(append(filler(linesOnPage-1), spaced)...))
	if got := find(t, p, "spaced").At.Y; pageOf(t, p, "spaced") != 1 || got != head {
		t.Errorf("on a new page it stands at %.2f mm, want %.2f", got.Millimetres(), head.Millimetres())
	}
}

// A paragraph of five lines with room for one goes to the next page, with room for
// four leaves two lines for it.
func TestNoLineIsLeftAlone(t *testing.T) {
	var b strings.Builder
	for i := range 40 {
		fmt.Fprintf(&b, "wordofthis%02d ", i)
	}
	long := paragraph(b.String())
	lines := len(lines(lay(t, flow(long)).Sheet.Scenes[0]))
	if lines < 5 {
		t.Fatalf("the paragraph has %d lines; this test needs more", lines)
	}
	for _, tt := range []struct{ room, first int }{{1, 0}, {2, 2}, {lines - 1, lines - 2}, {lines, lines}} {
		p := lay(t, flow(append(filler(linesOnPage-tt.room), long)...))
		if got := len(linesWith(p.Sheet.Scenes[0], "wordofthis")); got != tt.first {
			t.Errorf("with room for %d of %d lines, %d stand on the first page, want %d", tt.room, lines, got, tt.first)
		}
	}
}

// lines gives the baselines of a scene, each once.
func lines(s scene.Scene) []measure.Length { return linesWith(s, "") }

func linesWith(s scene.Scene, part string) []measure.Length {
	var all []measure.Length
	for _, item := range s.Items {
		if item.Text != nil && strings.Contains(item.Text.Runes, part) {
			all = append(all, item.Text.At.Y)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func TestTableGoesOnWithItsHead(t *testing.T) {
	table := page.Table{
		Columns: []measure.Length{0, 20 * mm}, Gap: 2 * mm,
		Head:  []page.Row{{Cells: page.Cells(paragraph("Head"), nil)}},
		Again: []page.Row{{Cells: page.Cells(paragraph("Again"), nil)}},
	}
	for i := range 50 {
		table.Rows = append(table.Rows, page.Row{Height: 8 * mm, Cells: page.Cells(paragraph(fmt.Sprintf("row%d", i)), paragraph("x"))})
	}
	p := lay(t, flow(table))
	if len(p.Sheet.Scenes) != 3 {
		t.Fatalf("the table takes %d pages, want 3", len(p.Sheet.Scenes))
	}
	for i, want := range []string{"Head", "Again", "Again"} {
		if got := words(p.Sheet.Scenes[i])[0]; got != want {
			t.Errorf("page %d begins with %q, want %q", i, got, want)
		}
	}
}

// A table does not leave its head, its first row or its last row alone.
func TestTableKeepsItsEnds(t *testing.T) {
	table := page.Table{Columns: []measure.Length{0}, Head: []page.Row{{Cells: page.Cells(paragraph("Head"))}}}
	for i := range 4 {
		table.Rows = append(table.Rows, page.Row{Cells: page.Cells(paragraph(fmt.Sprintf("row%d", i)))})
	}
	for _, tt := range []struct {
		room int
		want []int // pages of the head and the rows
	}{{1, []int{1, 1, 1, 1, 1}}, {2, []int{1, 1, 1, 1, 1}}, {3, []int{0, 0, 0, 1, 1}}, {4, []int{0, 0, 0, 1, 1}}, {5, []int{0, 0, 0, 0, 0}}} {
		p := lay(t, flow(append(filler(linesOnPage-tt.room), table)...))
		got := []int{pageOf(t, p, "Head")}
		for i := range 4 {
			got = append(got, pageOf(t, p, fmt.Sprintf("row%d", i)))
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("with room for %d lines, head and rows stand on pages %v, want %v", tt.room, got, tt.want)
		}
	}
}

func TestRowStandsOnOneBaseline(t *testing.T) {
	large := page.Paragraph{Runs: []page.Run{{Text: "large", Style: page.Style{Face: page.Serif, Size: 30 * pt, Ink: scene.Black}}}}
	figure := page.Figure{Value: "12.5", Style: style, Point: 10 * mm, Decimals: 2, Unit: page.Run{Text: "g", Style: style}}
	p := lay(t, flow(page.Table{Columns: []measure.Length{0, 40 * mm, 30 * mm}, Rows: []page.Row{
		{Cells: page.Cells(paragraph("small"), large, figure), Height: 30 * mm},
		{Cells: page.Cells(paragraph("next"))},
	}}))
	for _, word := range []string{"large", "12.5", "g"} {
		if got, want := find(t, p, word).At.Y, find(t, p, "small").At.Y; got != want {
			t.Errorf("%q stands at %d, want %d as its neighbour", word, got, want)
		}
	}
	if got := find(t, p, "next").At.Y - find(t, p, "small").At.Y; got < 15*mm {
		t.Errorf("the next row stands %.1f mm below a row of 30 mm", got.Millimetres())
	}
}

func TestFiguresStandAtTheirPoints(t *testing.T) {
	var rows []page.Row
	values := []string{"7.90", "144.9", "1250.0", "12"}
	for _, v := range values {
		rows = append(rows, page.Row{Cells: page.Cells(page.Figure{Value: v, Style: style, Point: 12 * mm, Decimals: 2, Unit: page.Run{Text: "g", Style: style}})})
	}
	p := lay(t, flow(page.Table{Columns: []measure.Length{30 * mm}, Rows: rows}))
	f, err := font.Open(page.Sans)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range values {
		whole, _, _ := strings.Cut(v, ".")
		if got := find(t, p, v).At.X + f.Width(whole, style.Size); got != margins.Left+12*mm {
			t.Errorf("the point of %s stands at %.3f mm, want 30", v, got.Millimetres())
		}
	}
	units := 0
	at := find(t, p, "g").At.X
	for _, item := range p.Sheet.Scenes[0].Items {
		if item.Text != nil && item.Text.Runes == "g" && item.Text.At.X == at {
			units++
		}
	}
	if units != len(values) {
		t.Errorf("%d units stand below each other, want %d", units, len(values))
	}
}

func TestFootStandsWithItsBlock(t *testing.T) {
	foot := paragraph("foot")
	for _, tt := range []struct{ before, want int }{{0, 0}, {linesOnPage - 2, 0}, {linesOnPage - 1, 1}, {linesOnPage + 3, 1}, {3 * linesOnPage, 3}} {
		f := flow(append(filler(tt.before), paragraph("anchor"), paragraph("after"))...)
		f.Foot = &page.Foot{With: tt.before, Block: foot}
		p := lay(t, f)
		if anchor, at := pageOf(t, p, "anchor"), pageOf(t, p, "foot"); at != tt.want || anchor != at || p.Foot != at {
			t.Errorf("after %d lines the block stands on page %d and the foot on %d (told: %d), want %d", tt.before, anchor, at, p.Foot, tt.want)
		}
		// The baseline is a line's height, less what is below it, above the edge.
		room := a5.H - margins.Bottom - find(t, p, "foot").At.Y
		if room < 0 || room > 5*mm {
			t.Errorf("the foot stands %.1f mm above the lower margin", room.Millimetres())
		}
	}
}

func TestColumnsAreAboutEven(t *testing.T) {
	p := lay(t, flow(page.Columns{Blocks: filler(9), Count: 2, Gap: 8 * mm}))
	left, right := 0, 0
	for _, item := range p.Sheet.Scenes[0].Items {
		if item.Text.At.X == margins.Left {
			left++
		} else if item.Text.At.X == margins.Left+(118*mm-8*mm)/2+8*mm {
			right++
		}
	}
	if left != 5 || right != 4 {
		t.Errorf("%d and %d lines are in the columns, want 5 and 4", left, right)
	}
}

func TestBox(t *testing.T) {
	border := page.Stroke{Width: mm, Ink: scene.Black}
	for _, tt := range []struct {
		name        string
		box         page.Box
		left, right float64 // of all that is drawn
		text        float64
	}{
		{"within the column", page.Box{Border: border, Pad: 2 * mm}, 18, 136, 21},
		{"hanging", page.Box{Border: border, Pad: 2 * mm, Hang: true}, 15, 139, 18},
		{"hanging, with stripes", page.Box{Border: border, Pad: 2 * mm, Hang: true, Stripes: 5 * mm}, 10, 139, 18},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.box.Blocks = []page.Block{paragraph("inside")}
			p := lay(t, flow(tt.box))
			left, right, _, bottom := extent(p.Sheet.Scenes[0])
			if left != measure.MM(tt.left) || right != measure.MM(tt.right) {
				t.Errorf("it reaches from %.2f to %.2f mm, want %g to %g", left.Millimetres(), right.Millimetres(), tt.left, tt.right)
			}
			inside := find(t, p, "inside")
			if got := inside.At.X.Millimetres(); got != tt.text {
				t.Errorf("the text begins at %.2f mm, want %g", got, tt.text)
			}
			if inside.At.Y >= bottom {
				t.Error("the text stands below its box")
			}
		})
	}
}

// extent gives the edges of what is drawn, strokes included.
func extent(s scene.Scene) (left, right, top, bottom measure.Length) {
	left, top = s.Size.W, s.Size.H
	for _, item := range s.Items {
		if item.Path == nil {
			continue
		}
		half, across := item.Path.Width/2, item.Path.Width/2
		if steps := item.Path.Steps; len(steps) == 2 && steps[0].P[0].Y == steps[1].P[0].Y {
			across = 0 // a level line ends where it says
		}
		for _, step := range item.Path.Steps {
			for _, p := range step.P[:step.Verb.Points()] {
				left, right = min(left, p.X-across), max(right, p.X+across)
				top, bottom = min(top, p.Y-half), max(bottom, p.Y+half)
			}
		}
	}
	return left, right, top, bottom
}

func TestLongWordGoesOn(t *testing.T) {
	word := strings.Repeat("saponification", 30)
	p := lay(t, flow(paragraph("before "+word+" after")))
	var all strings.Builder
	for _, item := range p.Sheet.Scenes[0].Items {
		if right := item.Text.At.X + item.Text.Width(); right > a5.W-margins.Right {
			t.Errorf("%q ends at %.2f mm, in the margin", item.Text.Runes, right.Millimetres())
		}
		all.WriteString(strings.TrimSuffix(item.Text.Runes, " "))
	}
	if got := all.String(); !strings.Contains(strings.ReplaceAll(got, " ", ""), "before"+word+"after") {
		t.Errorf("the text reads %q", got)
	}
}

func TestFiguresKeepTheirUnits(t *testing.T) {
	for width := 20; width < 90; width++ {
		p := lay(t, flow(page.Table{Columns: []measure.Length{measure.Length(width) * mm}, Rows: []page.Row{{Cells: page.Cells(
			paragraph("stirred into 10 g of oil at 32 °C (90 °F), about 1.5 % of it all"))}}}))
		for _, item := range p.Sheet.Scenes[0].Items {
			first, _, _ := strings.Cut(item.Text.Runes, " ")
			if slices.Contains([]string{"g", "°C", "°F),", "%"}, first) {
				t.Errorf("at %d mm a line begins with %q", width, first)
			}
		}
	}
}

func TestFooter(t *testing.T) {
	f := flow(filler(linesOnPage + 1)...)
	f.Footer = &page.Footer{
		Left: "Left " + strings.Repeat("words ", 40), Style: style, Above: 9 * mm,
		Right: func(n, of int) string { return fmt.Sprintf("page %d of %d", n, of) },
	}
	p := lay(t, f)
	for i, s := range p.Sheet.Scenes {
		last := s.Items[len(s.Items)-2:]
		if got, want := last[1].Text.Runes, fmt.Sprintf("page %d of 2", i+1); got != want {
			t.Errorf("page %d ends with %q, want %q", i, got, want)
		}
		if right := last[1].Text.At.X + last[1].Text.Width(); right != a5.W-margins.Right {
			t.Errorf("the number of the page ends at %.3f mm", right.Millimetres())
		}
		if end := last[0].Text.At.X + last[0].Text.Width(); end > last[1].Text.At.X || !strings.HasSuffix(last[0].Text.Runes, "…") {
			t.Errorf("the left of the footer is %q and ends at %.1f mm", last[0].Text.Runes, end.Millimetres())
		}
		if y := last[0].Text.At.Y; y != a5.H-9*mm || last[1].Text.At.Y != y {
			t.Errorf("the footer stands at %.1f mm", y.Millimetres())
		}
	}
}

func TestErrors(t *testing.T) {
	tall := page.Box{Blocks: filler(linesOnPage + 1)}
	for _, tt := range []struct {
		name string
		flow page.Flow
		want any
	}{
		{"a box taller than a page", flow(tall), new(*page.TallError)},
		{"a foot taller than a page", page.Flow{Size: a5, Margins: margins, Foot: &page.Foot{Block: tall}}, new(*page.TallError)},
		{"margins that meet", page.Flow{Size: a5, Margins: page.Margins{Left: 100 * mm, Right: 48 * mm}}, new(*page.RoomError)},
		{"columns wider than the page", flow(page.Table{Columns: []measure.Length{119 * mm}, Rows: []page.Row{{}}}), new(*page.RoomError)},
		{"no room for the open column", flow(page.Table{Columns: []measure.Length{118 * mm, 0}, Rows: []page.Row{{}}}), new(*page.RoomError)},
		{"a letter that no face has", flow(paragraph("soap ☃")), new(*page.CharacterError)},
		{"a letter in a long word", flow(paragraph(strings.Repeat("☃", 300))), new(*page.CharacterError)},
		{"what is no text", flow(paragraph("soap \xff")), new(*page.CharacterError)},
		{"a figure wider than its column", flow(page.Figure{Value: "123456789.0", Style: style, Point: 5 * mm}), new(*page.WideError)},
		{"too many words", flow(paragraph(strings.Repeat("soap ", 21_000))), new(*page.MuchError)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := tt.flow.Lay()
			if !errors.As(err, tt.want) {
				t.Errorf("the error is %v (%T)", err, err)
			}
		})
	}
}

func TestSets(t *testing.T) {
	for _, tt := range []struct {
		text string
		face scene.Face
		want bool
	}{
		{"Żółć, Ľ ğ İ ő Œ ß", page.Serif, true}, {"мыло", page.Serif, false}, {"мыло", page.Sans, true},
		{"a\u00a0b\nc\td", page.Sans, true}, {"☃", page.Sans, false}, {"soap", "no-such-face", false},
	} {
		if got := page.Sets(tt.text, tt.face); got != tt.want {
			t.Errorf("Sets(%q, %s) = %t", tt.text, tt.face, got)
		}
	}
}

// Whatever flows: each word stands once and in order, within the margins, and no
// two lines of text overlap; what is to stay together does.
func TestFlow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := &generator{t: t}
		var blocks []page.Block
		for range rapid.IntRange(0, 25).Draw(t, "blocks") {
			blocks = append(blocks, g.block())
		}
		f := flow(blocks...)
		if rapid.Bool().Draw(t, "with a foot") {
			f.Foot = &page.Foot{With: rapid.IntRange(0, 30).Draw(t, "with"), Above: 3 * mm, Block: page.Box{
				Pad: mm, Border: page.Stroke{Width: mm, Ink: scene.Black}, Blocks: filler(rapid.IntRange(1, 10).Draw(t, "lines of the foot"))}}
		}
		p, err := f.Lay()
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		on := map[string]int{}
		for i, s := range p.Sheet.Scenes {
			withinMargins(t, s)
			noOverlap(t, s)
			for _, w := range words(s) {
				if strings.HasPrefix(w, "w") {
					got = append(got, w)
					on[w] = i
				}
			}
		}
		slices.Sort(got)
		want := slices.Clone(g.words)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Fatalf("the words are %q, want %q", got, want)
		}
		for _, pair := range g.together {
			if on[pair[0]] != on[pair[1]] {
				t.Fatalf("%s stands on page %d and %s on page %d", pair[0], on[pair[0]], pair[1], on[pair[1]])
			}
		}
		if !slices.IsSorted(p.Starts) || len(p.Starts) != len(blocks) {
			t.Fatalf("the blocks begin on pages %v", p.Starts)
		}
	})
}

// A generator makes blocks of words that it does not use twice.
type generator struct {
	t        *rapid.T
	words    []string
	together [][2]string // words that must stand on one page
}

func (g *generator) text(most int) string {
	var all []string
	for range rapid.IntRange(1, most).Draw(g.t, "words") {
		all = append(all, fmt.Sprintf("w%d%s", len(g.words)+len(all), strings.Repeat("o", rapid.IntRange(0, 4).Draw(g.t, "length"))))
	}
	g.words = append(g.words, all...)
	return strings.Join(all, " ")
}

func (g *generator) paragraph(most int) page.Paragraph {
	p := paragraph(g.text(most))
	p.Above = measure.Length(rapid.IntRange(0, 8).Draw(g.t, "above")) * mm
	p.Runs[0].Style.Size = measure.Length(rapid.IntRange(7, 16).Draw(g.t, "size")) * pt
	return p
}

// since notes that the words made since a count stand on one page.
func (g *generator) since(count int) {
	g.together = append(g.together, [2]string{g.words[count], g.words[len(g.words)-1]})
}

func (g *generator) block() page.Block {
	before := len(g.words)
	switch rapid.IntRange(0, 6).Draw(g.t, "kind") {
	case 0:
		p := g.paragraph(30)
		p.Together = true
		g.since(before)
		return p
	case 1:
		table := page.Table{Columns: []measure.Length{35 * mm, 0, 30 * mm}, Gap: 3 * mm, Line: page.Stroke{Width: pt, Ink: scene.Black},
			Again: []page.Row{{Cells: page.Cells(paragraph("again"))}}}
		for range rapid.IntRange(1, 30).Draw(g.t, "rows") {
			from := len(g.words)
			table.Rows = append(table.Rows, page.Row{
				Height: measure.Length(rapid.IntRange(0, 20).Draw(g.t, "height")) * mm,
				Cells:  page.Cells(g.paragraph(5), g.paragraph(12), page.Blank{Stroke: page.Stroke{Width: pt, Ink: scene.Black}}),
			})
			g.since(from)
		}
		return table
	case 2:
		box := page.Box{Pad: 2 * mm, Border: page.Stroke{Width: mm, Ink: scene.Black}, Stripes: 4 * mm,
			Blocks: []page.Block{g.paragraph(20), page.Tick{Side: 4 * mm, Stroke: page.Stroke{Width: pt, Ink: scene.Black}}, g.paragraph(20)}}
		g.since(before)
		return box
	case 3:
		columns := page.Columns{Count: rapid.IntRange(1, 3).Draw(g.t, "count"), Gap: 4 * mm, Above: 2 * mm}
		for range rapid.IntRange(1, 6).Draw(g.t, "paragraphs") {
			columns.Blocks = append(columns.Blocks, g.paragraph(8))
		}
		g.since(before)
		return columns
	case 4:
		return page.Rule{Stroke: page.Stroke{Width: pt, Ink: scene.Black}, Above: 2 * mm, Below: mm}
	}
	return g.paragraph(60)
}

func withinMargins(t *rapid.T, s scene.Scene) {
	for _, item := range s.Items {
		if item.Text != nil {
			x, y, end := item.Text.At.X, item.Text.At.Y, item.Text.At.X+item.Text.Width()
			if x < margins.Left || end > a5.W-margins.Right || y < margins.Top || y > a5.H-margins.Bottom {
				t.Fatalf("%q stands in the margin, from %.2f to %.2f mm at %.2f mm", item.Text.Runes, x.Millimetres(), end.Millimetres(), y.Millimetres())
			}
		}
	}
	if left, right, top, bottom := extent(s); right > 0 && (left < margins.Left || right > a5.W-margins.Right || top < margins.Top || bottom > a5.H-margins.Bottom) {
		t.Fatalf("what is drawn reaches from %.2f to %.2f and from %.2f to %.2f mm", left.Millimetres(), right.Millimetres(), top.Millimetres(), bottom.Millimetres())
	}
}

// noOverlap looks at the ink of each pair of lines.
func noOverlap(t *rapid.T, s scene.Scene) {
	var boxes []scene.Rect
	var texts []string
	for _, item := range s.Items {
		if item.Text == nil {
			continue
		}
		f, err := font.Open(item.Text.Face)
		if err != nil {
			t.Fatal(err)
		}
		above, below := f.Ink(item.Text.Runes, item.Text.Size)
		box := scene.Rect{X: item.Text.At.X, Y: item.Text.At.Y - above, W: item.Text.Width(), H: above + below}
		for i, b := range boxes {
			if box.X < b.Right() && b.X < box.Right() && box.Y < b.Bottom() && b.Y < box.Bottom() {
				t.Fatalf("%q stands over %q", item.Text.Runes, texts[i])
			}
		}
		boxes, texts = append(boxes, box), append(texts, item.Text.Runes)
	}
}
