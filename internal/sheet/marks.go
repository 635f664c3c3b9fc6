package sheet

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// How marks look. They are black, because every printer has black.
const (
	markWidth = measure.Point / 4
	foldDash  = 7 * measure.Millimetre / 10
	foldGap   = 5 * measure.Millimetre / 10
	face      = font.SansCondensed
)

var (
	foldSize   = font.Tenths(45) // of the word beside a fold mark
	footerSize = font.Tenths(65)
)

// A cell is a place that is used on a page.
type cell struct {
	col, row int
	piece    *Piece
}

// pageMarks draws what stands on a page beside the pieces, but for its number.
func pageMarks(g Grid, used []cell, footer Footer) (scene.Scene, error) {
	s := scene.Scene{Size: g.Size}
	cuts := scene.Path{Stroke: scene.Black, Width: markWidth}
	folds := scene.Path{Stroke: scene.Black, Width: markWidth, Dash: []measure.Length{foldDash, foldGap}}
	block := g.block()
	left, above, right, below := g.strips()

	// One mark at each end of a cut, however many pieces share it.
	for _, x := range lines(used, func(c cell) measure.Length { return block.X + g.Piece.W*measure.Length(c.col) }, g.Piece.W) {
		upright(&cuts, x, block, above, below)
	}
	for _, y := range lines(used, func(c cell) measure.Length { return block.Y + g.Piece.H*measure.Length(c.row) }, g.Piece.H) {
		level(&cuts, y, block, left, right)
	}
	var labels []scene.Item
	for _, x := range foldLines(used, g) {
		upright(&folds, x, block, above, below)
		for _, y := range []measure.Length{block.Y - gapIn(above), block.Bottom() + gapIn(below) + foldSize*3/4} {
			line, err := text.OneLine(text.Words("fold", text.Style{Face: face, Size: foldSize, Ink: scene.Black})...)
			if err != nil {
				return s, fmt.Errorf("marking folds: %w", err)
			}
			labels = append(labels, line.Set(scene.Point{X: x + foldGap, Y: y}, text.Left)...)
		}
	}
	for _, c := range used {
		corners(&cuts, c.piece, g.Place(c.row*g.Cols+c.col))
	}
	s.Items = append(s.Items, scene.Item{Path: &cuts})
	if len(folds.Steps) > 0 {
		s.Items = append(s.Items, scene.Item{Path: &folds})
	}
	s.Items = append(s.Items, labels...)
	foot, err := g.footer(footer)
	if err != nil {
		return s, fmt.Errorf("writing the footer: %w", err)
	}
	s.Items = append(s.Items, foot...)
	return s, nil
}

// lines gives the two edges of each used cell in one direction, without doubles.
func lines(used []cell, edge func(cell) measure.Length, size measure.Length) []measure.Length {
	var all []measure.Length
	for _, c := range used {
		all = append(all, edge(c), edge(c)+size)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// foldLines gives the x of each fold on the page.
func foldLines(used []cell, g Grid) []measure.Length {
	var all []measure.Length
	for _, c := range used {
		for _, fold := range c.piece.Folds {
			all = append(all, g.At.X+g.Piece.W*measure.Length(c.col)+fold)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// gapIn gives how far a mark stands from the block in a strip: less than usual
// where the strip is short.
func gapIn(strip measure.Length) measure.Length {
	return min(max(strip*markGap/(markGap+markLength), leastGap), markGap)
}

// lengthIn gives the length of a mark in a strip.
func lengthIn(strip measure.Length) measure.Length {
	return min(strip-gapIn(strip), markLength)
}

// upright draws the marks of an upright line above and below the block.
func upright(p *scene.Path, x measure.Length, block scene.Rect, above, below measure.Length) {
	top, bottom := block.Y-gapIn(above), block.Bottom()+gapIn(below)
	p.Move(x, top).Line(x, top-lengthIn(above)).Move(x, bottom).Line(x, bottom+lengthIn(below))
}

// level draws the marks of a level line on the left and right of the block.
func level(p *scene.Path, y measure.Length, block scene.Rect, left, right measure.Length) {
	from, to := block.X-gapIn(left), block.Right()+gapIn(right)
	p.Move(from, y).Line(from-lengthIn(left), y).Move(to, y).Line(to+lengthIn(right), y)
}

// corners draws the parts of a piece's outline that no mark at the edge of the
// sheet leads a knife along.
func corners(p *scene.Path, piece *Piece, at scene.Point) {
	size := piece.Scene.Size
	var start, last scene.Point
	draw := func(to scene.Point) {
		onSide := last.X == to.X && (to.X == 0 || to.X == size.W) || last.Y == to.Y && (to.Y == 0 || to.Y == size.H)
		if !onSide && last != to {
			p.Move(at.X+last.X, at.Y+last.Y).Line(at.X+to.X, at.Y+to.Y)
		}
		last = to
	}
	for _, step := range piece.Trim.Steps {
		switch step.Verb {
		case scene.MoveTo:
			start, last = step.P[0], step.P[0]
		case scene.LineTo:
			draw(step.P[0])
		case scene.CurveTo:
			p.Move(at.X+last.X, at.Y+last.Y).Curve(moved(step.P[0], at), moved(step.P[1], at), moved(step.P[2], at))
			last = step.P[2]
		case scene.Close:
			draw(start)
		}
	}
}

func moved(p, by scene.Point) scene.Point { return scene.Point{X: p.X + by.X, Y: p.Y + by.Y} }

// The footer, from its left end: two or three lines of text, then a ruler that
// shows whether the sheet was printed at its size.
const (
	rulerLength = 100 * measure.Millimetre
	rulerTick   = 2 * measure.Millimetre
	textRoom    = 78 * measure.Millimetre
	footerPitch = 26 * measure.Millimetre / 10
	footerLines = 2 // of what is printed
)

// advice is what the footer says of printing; the number of the page follows it.
const advice = "Print at 100\u00a0% (no fit to page) · "

var footerStyle = text.Style{Face: face, Size: footerSize, Ink: scene.Black}

// footer draws the footer, along the foot of the sheet or up its right side.
func (g Grid) footer(f Footer) ([]scene.Item, error) {
	style := footerStyle
	what, err := fitting(strings.Join(given(f.Product, f.Market, f.Claim), " · "), style)
	if err != nil {
		return nil, err
	}
	how, err := text.OneLine(text.Words(strings.TrimSpace(advice), style)...)
	if err != nil {
		return nil, err
	}
	items := how.Set(scene.Point{Y: footerSize}, text.Left)
	items = append(items, text.Set(what, scene.Point{Y: footerSize + footerPitch}, footerPitch, text.Left)...)

	ruler := scene.Path{Stroke: scene.Black, Width: markWidth}
	from, base := textRoom+4*measure.Millimetre, 2*rulerTick
	ruler.Move(from, base).Line(from+rulerLength, base)
	for i := range 11 {
		tick := rulerTick / 2
		if i%5 == 0 {
			tick = rulerTick
		}
		x := from + measure.Length(i)*rulerLength/10
		ruler.Move(x, base).Line(x, base-tick)
	}
	scale, err := text.OneLine(text.Words("100 mm", style)...)
	if err != nil {
		return nil, err
	}
	items = append(items, scene.Item{Path: &ruler})
	items = append(items, scale.Set(scene.Point{X: from + rulerLength/2, Y: base + footerSize}, text.Centre)...)
	return g.inFooter(items), nil
}

// folio draws the number of a page, behind the advice of the footer.
func (g Grid) folio(page, pages int) (scene.Scene, error) {
	s := scene.Scene{Size: g.Size}
	f, err := font.Open(face)
	if err != nil {
		return s, err
	}
	line, err := text.OneLine(text.Words(fmt.Sprintf("page %d of %d", page, pages), footerStyle)...)
	if err != nil {
		return s, err
	}
	s.Items = g.inFooter(line.Set(scene.Point{X: f.Width(advice, footerSize), Y: footerSize}, text.Left))
	return s, nil
}

// inFooter moves items that were drawn from the footer's own corner to where the
// footer stands.
func (g Grid) inFooter(items []scene.Item) []scene.Item {
	if g.footerAside {
		return turned(items, g.Size.W-Margin, Margin)
	}
	return shifted(items, Margin, g.Size.H-Margin-footerDepth+footerSize/4)
}

func given(texts ...string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}

// fitting sets a text on the lines that the footer has for it, and leaves out
// words at the end where it is too long: it names the sheet, it is no label.
func fitting(s string, style text.Style) ([]text.Line, error) {
	words := text.Words(font.Normalise(s), style)
	for n := len(words); n > 0; n-- {
		part := slices.Clone(words[:n])
		if n < len(words) {
			part[n-1].Text += " …"
		}
		p, err := text.Break(part, text.Column{Width: textRoom, Lines: footerLines})
		switch err.(type) {
		case nil:
			return p.Lines, nil
		case *text.LongError, *text.WideError:
		default:
			return nil, err
		}
	}
	return nil, nil
}

// shifted moves items.
func shifted(items []scene.Item, dx, dy measure.Length) []scene.Item {
	return placed(items, func(p scene.Point) scene.Point { return scene.Point{X: p.X + dx, Y: p.Y + dy} }, 0)
}

// turned moves items and turns them clockwise by a quarter: what was on the left
// is above, and what was above is on the right.
func turned(items []scene.Item, right, top measure.Length) []scene.Item {
	return placed(items, func(p scene.Point) scene.Point { return scene.Point{X: right - p.Y, Y: top + p.X} }, 1)
}

// placed gives copies of items with other points.
func placed(items []scene.Item, to func(scene.Point) scene.Point, turn scene.Quarter) []scene.Item {
	all := slices.Clone(items)
	for i, item := range all {
		if item.Text != nil {
			t := *item.Text
			t.At, t.Turn = to(t.At), turn
			all[i].Text = &t
		}
		if item.Path != nil {
			p := *item.Path
			p.Steps = slices.Clone(p.Steps)
			for k := range p.Steps {
				for j := range p.Steps[k].P {
					p.Steps[k].P[j] = to(p.Steps[k].P[j])
				}
			}
			all[i].Path = &p
		}
	}
	return all
}
