package bench

import (
	"errors"
	"fmt"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/page"
	"saponym/internal/scene"
)

type length = measure.Length

const (
	mm = measure.Millimetre
	pt = measure.Point
)

// The inks. All but one are dark enough to be read as black; the last is for
// lines.
var (
	ink   = scene.RGB(0x211F1B)
	quiet = scene.RGB(0x424B45)
	rule  = scene.RGB(0x747D73)
	white = scene.RGB(0xFFFFFF)
)

// margins leave room at the sides for the frame round the lye, which stands in
// them.
var margins = page.Margins{Top: 8 * mm, Right: 15 * mm, Bottom: 23 * mm / 2, Left: 18 * mm}

// A density is how much room the sheet gives to what is on it.
type density struct {
	row, step  length // the least height of a line to weigh, and of a step
	gap        length // above each part
	tick       length // the side of a box to tick
	grams      length // sizes of letters
	heading    length
	name, note length
	caution    length
	runOn      bool // notes stand behind what they belong to, not below it
}

// The roomiest and the tightest setting. The tightest rows leave as much room to
// write in as narrow ruled paper does, and grams never have less than 16 points.
var (
	roomy = density{row: 10 * mm, step: 9 * mm, gap: 6 * mm, tick: 13 * mm / 2, grams: 20 * pt, heading: 17 * pt, name: 14 * pt, note: 12 * pt, caution: 19 * pt / 2}
	tight = density{row: 32 * mm / 5, step: 29 * mm / 5, gap: 9 * mm / 5, tick: 5 * mm, grams: 16 * pt, heading: 14 * pt, name: 12 * pt, note: 11 * pt, caution: 17 * pt / 2, runOn: true}
)

// densitySteps is in how many steps the setting goes from roomy to tight.
const densitySteps = 4

// densityAt gives the setting of a step, from 0 for the roomiest.
func densityAt(step int) density {
	mix := func(from, to length) length { return from + (to-from)*length(step)/densitySteps }
	return density{
		row: mix(roomy.row, tight.row), step: mix(roomy.step, tight.step), gap: mix(roomy.gap, tight.gap), tick: mix(roomy.tick, tight.tick), grams: mix(roomy.grams, tight.grams),
		heading: mix(roomy.heading, tight.heading), name: mix(roomy.name, tight.name), note: mix(roomy.note, tight.note),
		caution: mix(roomy.caution, tight.caution), runOn: tight.runOn && 2*step > densitySteps,
	}
}

// Document gives the sheet on paper of a size, dated with a day. It is set as
// roomily as the number of pages allows that it needs at least, and the cautions
// stand on the page of the first vessel with lye where they have room there.
//
// A finding of level stop says why nothing can be printed; then the document is
// empty. The error means that the program could not do its work.
func (s Sheet) Document(size scene.Size, on day.Day) (scene.Document, []finding.Finding, error) {
	found := s.Check()
	if finding.Worst(found) == finding.Stop {
		return scene.Document{}, found, nil
	}
	best, err := s.best(size)
	if f, ok := refusal(err); ok {
		return scene.Document{}, append(found, f), nil
	}
	if err != nil {
		return scene.Document{}, nil, fmt.Errorf("setting the bench sheet of %s: %w", s.Formula, err)
	}
	return scene.Document{
		Title: strings.Join(given(s.Name, "bench sheet"), ", "), Author: s.Maker, Language: "en", Date: on,
		Sheets: []scene.Sheet{best.pages.Sheet},
	}, found, nil
}

// refusal turns what keeps the sheet from being set into a finding.
func refusal(err error) (finding.Finding, bool) {
	var letter *page.CharacterError
	var tall *page.TallError
	var narrow *page.RoomError
	var wide *page.WideError
	var much *page.MuchError
	f := finding.Finding{Level: finding.Stop, Rule: RuleRoom, Remedy: "use a4 or letter paper, or make the text shorter"}
	switch {
	case errors.As(err, &letter):
		f.Rule, f.Message = RuleLetter, letter.Error()
		f.Remedy = "write it in Latin, Greek or Cyrillic letters, without pictures"
	case errors.As(err, &tall), errors.As(err, &narrow), errors.As(err, &wide), errors.As(err, &much):
		f.Message = "the bench sheet has no room on the paper: " + err.Error()
	default:
		return finding.Finding{}, false
	}
	return f, true
}

// A layout is the sheet in one density.
type layout struct {
	pages page.Pages
	apart bool // the cautions stand on another page than the first lye
}

// asGoodAs reports whether a layout is worth no less than a tighter one.
func (l layout) asGoodAs(tighter layout) bool {
	return len(l.pages.Sheet.Scenes) <= len(tighter.pages.Sheet.Scenes) && (!l.apart || tighter.apart)
}

// best gives the roomiest layout that is as good as the tightest one. It takes for
// granted that what is tighter is no worse, and so tries only some of them.
func (s Sheet) best(size scene.Size) (layout, error) {
	low, high := 0, densitySteps
	best, err := s.lay(size, densityAt(high))
	if err != nil {
		return layout{}, err
	}
	for low < high {
		middle := (low + high) / 2
		// What fits when it is set tightly may be too tall for a page otherwise.
		if try, err := s.lay(size, densityAt(middle)); err == nil && try.asGoodAs(best) {
			best, high = try, middle
		} else {
			low = middle + 1
		}
	}
	return best, nil
}

// lay sets the sheet in one density.
func (s Sheet) lay(size scene.Size, d density) (layout, error) {
	w := s.writer(d)
	blocks, lye := w.blocks()
	flow := page.Flow{Size: size, Margins: margins, Blocks: blocks, Footer: w.footer()}
	if s.hasLye() {
		flow.Foot = &page.Foot{With: max(lye, 0), Block: w.cautions(), Above: d.gap}
	}
	pages, err := flow.Lay()
	if err != nil {
		return layout{}, err
	}
	return layout{pages, pages.Foot >= 0 && lye >= 0 && pages.Starts[lye] != pages.Foot}, nil
}

// A writer makes the blocks of a sheet.
type writer struct {
	Sheet
	density
	digits length // the most before the decimal point of grams, at least 4
}

func (s Sheet) writer(d density) writer {
	w := writer{Sheet: s, density: d}
	w.digits = 4
	widen := func(g float64) {
		whole, _, _ := strings.Cut(grams(g), ".")
		w.digits = max(w.digits, length(len(whole)))
	}
	for _, v := range s.Vessels {
		for _, l := range v.Lines {
			widen(l.Grams)
		}
	}
	for _, p := range s.Portions {
		widen(p.Grams)
	}
	return w
}

// ounceSize is the size of ounces, which stand behind the grams.
const ounceSize = 11 * pt

// gramPoint and ouncePoint give how far the decimal points stand from the left
// edges of their columns; gramColumn and ounceColumn give the widths of these, with
// the decimals and the unit. A figure of the faces is 0.49 of its size wide at most,
// and a point 0.26. Whole ounces have a digit less than grams at least.
func (w writer) gramPoint() length   { return w.digits * w.grams / 2 }
func (w writer) gramColumn() length  { return w.gramPoint() + w.grams*5/4 + 4*mm }
func (w writer) ouncePoint() length  { return (w.digits - 1) * ounceSize / 2 }
func (w writer) ounceColumn() length { return w.ouncePoint() + ounceSize*7/4 + 5*mm }

// The columns of what is weighed.
const (
	tickColumn = 7 * mm
	realColumn = 23 * mm
	lotColumn  = 26 * mm
	columnGap  = 5 * mm / 2
)

var (
	blank = page.Blank{Stroke: page.Stroke{Width: 3 * pt / 4, Ink: rule}}
	hair  = page.Stroke{Width: pt / 2, Ink: rule}
	bold  = page.Stroke{Width: 9 * pt / 4, Ink: ink}
)

// sans, strong, serif and italic give words in a face of the sheet. Where that
// lacks a letter and the other family has it, the other one stands in.
func sans(s string, size length, ink scene.Ink) page.Run {
	return set(s, size, ink, page.Sans, page.Serif)
}

func strong(s string, size length, ink scene.Ink) page.Run {
	return set(s, size, ink, page.SansStrong, page.Serif)
}

func serif(s string, size length, ink scene.Ink) page.Run {
	return set(s, size, ink, page.Serif, page.SansStrong)
}

func italic(s string, size length, ink scene.Ink) page.Run {
	return set(s, size, ink, page.SerifItalic, page.Sans)
}

func set(s string, size length, ink scene.Ink, face, other scene.Face) page.Run {
	if !page.Sets(s, face) && page.Sets(s, other) {
		face = other
	}
	return page.Run{Text: s, Style: page.Style{Face: face, Size: size, Ink: ink}}
}

func paragraph(runs ...page.Run) page.Paragraph { return page.Paragraph{Runs: runs} }

// blocks gives all that flows, and which block the first lye is, or -1.
func (w writer) blocks() (blocks []page.Block, lye int) {
	blocks, lye = append(w.head(), w.minding()...), -1
	number := 0
	next := func() int { number++; return number }
	for i, v := range w.Vessels {
		if i == w.DivideAfter {
			blocks = append(blocks, w.portions(next)...)
		}
		if v.Lye && lye < 0 {
			lye = len(blocks)
		}
		below := i > 0 && w.Vessels[i-1].Lye && !(i == w.DivideAfter && len(w.Portions) > 0)
		blocks = append(blocks, w.vessel(next(), v, below)...)
	}
	if w.DivideAfter >= len(w.Vessels) {
		blocks = append(blocks, w.portions(next)...)
	}
	return append(blocks, w.steps()...), lye
}

// The head.
const (
	smallSize = 9 * pt
	factSize  = 12 * pt
)

// nameSizes are tried from the largest, until the name stands on one line.
var nameSizes = []length{30 * pt, 25 * pt, 20 * pt}

func (w writer) head() []page.Block {
	name := w.Name
	if name == "" {
		name = w.Formula
	}
	title := page.Paragraph{Runs: []page.Run{serif(name, w.nameSize(name), ink)}, Together: true}
	title.Pitch = title.Runs[0].Style.Size * 21 / 20
	if about := given(w.Identity, w.Maker); len(about) > 0 {
		title.Runs = append(title.Runs, italic("  "+strings.Join(about, " · "), 13*pt, quiet))
	}
	blocks := []page.Block{title}
	label := func(s string) page.Paragraph { return paragraph(italic(s, 12*pt, quiet)) }
	blocks = append(blocks,
		page.Table{
			Columns: []length{11 * mm, 0, 9 * mm, 40 * mm, 17 * mm, 38 * mm}, Gap: 2 * mm,
			Rows: []page.Row{{Height: 8 * mm, Cells: page.Cells(label("batch"), blank, label("date"), blank, label("made by"), blank)}},
		},
		page.Rule{Stroke: bold, Above: 5 * mm / 2, Below: mm},
		w.facts())
	return blocks
}

// nameSize gives the largest size in which the name stands on one line of the
// narrower paper, or the smallest.
func (w writer) nameSize(name string) length {
	const line = 175 * mm
	for _, size := range nameSizes {
		if width, err := page.Width(name, serif(name, size, ink).Style); err == nil && width <= line {
			return size
		}
	}
	return nameSizes[len(nameSizes)-1]
}

// facts tells the batch in one line, or as many as it takes.
func (w writer) facts() page.Block {
	var p page.Paragraph
	fact := func(label, value string) {
		if strings.TrimSpace(value) == "" {
			return
		}
		if len(p.Runs) > 0 {
			p.Runs = append(p.Runs, sans(" · ", factSize, quiet))
		}
		if label != "" {
			p.Runs = append(p.Runs, sans(label+" ", factSize, quiet))
		}
		p.Runs = append(p.Runs, strong(value, factSize, ink))
	}
	fact("", w.Size)
	fact("", w.kind())
	if w.Oils > 0 {
		fact("oils", grams(w.Oils)+"\u00a0g")
	}
	fact("in all", grams(w.Total)+"\u00a0g")
	if w.Lye != nil {
		fact("superfat", w.Lye.superfat())
	}
	return p
}

// footer names the sheet below each page.
func (w writer) footer() *page.Footer {
	left := sans(strings.Join(given(w.Name, w.Formula, w.Maker), " · "), smallSize, quiet)
	return &page.Footer{
		Left: left.Text, Style: left.Style, Above: 15 * mm / 2,
		Right: func(page, pages int) string { return fmt.Sprintf("bench sheet, page %d of %d", page, pages) },
	}
}

// A box for lye holds so many lines at most; more go on in another one, so that
// no box is too tall for a page.
const linesInBox = 8

// vessel gives the blocks of a vessel: a table, or for lye a box round it. Below
// such a box no rule is needed.
func (w writer) vessel(number int, v Vessel, boxAbove bool) []page.Block {
	if !v.Lye {
		t := w.weights(number, v, v.Lines, false)
		if boxAbove {
			t.Above = w.gap + mm
			return append([]page.Block{t}, w.then(v)...)
		}
		return append([]page.Block{w.rule(), t}, w.then(v)...)
	}
	var blocks []page.Block
	for from := 0; from == 0 || from < len(v.Lines); from += linesInBox {
		to := min(from+linesInBox, len(v.Lines))
		inside := []page.Block{
			page.Box{Pad: mm, Fill: ink, Blocks: []page.Block{paragraph(strong(danger, 13*pt, white))}},
			page.Rule{Below: mm},
			w.weights(number, v, v.Lines[from:to], from > 0),
		}
		if to == len(v.Lines) {
			inside = append(inside, w.jug(v))
		}
		blocks = append(blocks, page.Box{Blocks: inside, Hang: true, Above: w.gap + mm, Pad: 2 * mm, Stripes: 6 * mm,
			Border: page.Stroke{Width: mm, Ink: ink}})
	}
	return blocks
}

// jug says what is done with the lye and what is to be known of it.
func (w writer) jug(v Vessel) page.Block {
	p := page.Paragraph{Above: mm}
	if v.Then != "" {
		p.Runs = append(p.Runs, sans(v.Then+" ", 12*pt, ink))
	}
	if w.Lye != nil {
		p.Runs = append(p.Runs, strong(w.Lye.heat()+" ", 12*pt, ink))
		p.Runs = append(p.Runs, sans(fmt.Sprintf("Strength %s, %s.", percent(w.Lye.Strength), w.Lye.what()), 12*pt, quiet))
	}
	return p
}

func (w writer) then(v Vessel) []page.Block {
	if v.Then == "" {
		return nil
	}
	return []page.Block{page.Paragraph{Above: mm, Together: true, Runs: []page.Run{sans(v.Then, 12*pt, ink)}}}
}

// weights gives the lines of a vessel, with its title above them.
func (w writer) weights(number int, v Vessel, lines []Line, again bool) page.Table {
	t := page.Table{
		Columns: []length{tickColumn, 0, w.gramColumn(), w.ounceColumn(), realColumn, lotColumn}, Gap: columnGap,
		Head: []page.Row{w.title(number, v, again)}, Again: []page.Row{w.title(number, v, true)},
		Keep: v.Then != "",
	}
	for _, l := range lines {
		t.Rows = append(t.Rows, w.line(l))
	}
	return t
}

// title is the row above the lines of a vessel. The scale is zeroed once, so
// where the vessel goes on, that is not said again.
func (w writer) title(number int, v Vessel, again bool) page.Row {
	runs := []page.Run{serif(fmt.Sprintf("%d ", number), w.heading, quiet), serif(v.Title, w.heading, ink)}
	switch {
	case again:
		runs = append(runs, italic(" continued", w.note, quiet))
	case v.Tare != "":
		runs = append(runs, italic("  Zero the scale with "+v.Tare+".", w.note, quiet))
	}
	caption := func(s string) page.Block { return paragraph(sans(s, smallSize, quiet)) }
	return page.Row{Cells: []page.Cell{
		{Blocks: []page.Block{paragraph(runs...)}, Span: 4},
		{Blocks: []page.Block{caption("weighed")}}, {Blocks: []page.Block{caption("lot")}},
	}}
}

func (w writer) line(l Line) page.Row {
	row := page.Row{Height: w.row, Cells: page.Cells(w.tickBox(), nil, w.gramFigure(l.Grams), w.ounceFigure(l.Grams), blank, blank)}
	row.Cells[1].Blocks = w.noted(strong(l.Name, w.name, ink), l.Note)
	return row
}

func (w writer) tickBox() page.Block {
	return page.Tick{Side: w.tick, Stroke: page.Stroke{Width: 3 * pt / 2, Ink: ink}}
}

// noted gives words with the note that belongs to them.
func (w writer) noted(words page.Run, note string) []page.Block {
	switch {
	case note == "":
		return []page.Block{paragraph(words)}
	case w.runOn:
		return []page.Block{paragraph(words, italic("  "+note, w.note, quiet))}
	}
	return []page.Block{paragraph(words), paragraph(italic(note, w.note, quiet))}
}

func (w writer) gramFigure(g float64) page.Block {
	return page.Figure{Value: grams(g), Style: strong("", w.grams, ink).Style, Point: w.gramPoint(), Decimals: 2,
		Unit: strong("g", factSize, ink)}
}

func (w writer) ounceFigure(g float64) page.Block {
	return page.Figure{Value: ounces(g), Style: sans("", ounceSize, quiet).Style, Point: w.ouncePoint(), Decimals: 3,
		Unit: sans("oz", ounceSize, quiet)}
}

// shareFigure gives a share in per cent, to a tenth.
func (w writer) shareFigure(share float64) page.Block {
	value := strings.TrimSuffix(percent(share), "\u00a0%")
	return page.Figure{Value: value, Style: sans("", factSize, ink).Style, Point: 3 * factSize / 2, Decimals: 1,
		Unit: sans("%", factSize, ink)}
}

// rule is the line above a part of the sheet.
func (w writer) rule() page.Rule {
	return page.Rule{Stroke: hair, Above: w.gap, Below: w.gap / 4, Keep: true}
}

// section gives the heading of a part of the sheet, with its number if it has one.
func (w writer) section(number int, title string) []page.Block {
	heading := paragraph(serif(title, w.heading, ink))
	if number > 0 {
		heading = paragraph(serif(fmt.Sprintf("%d ", number), w.heading, quiet), serif(title, w.heading, ink))
	}
	heading.Keep = true
	return []page.Block{w.rule(), heading}
}

func (w writer) portions(next func() int) []page.Block {
	if len(w.Portions) == 0 {
		return nil
	}
	t := page.Table{Columns: []length{tickColumn, 0, 20 * mm, w.gramColumn(), w.ounceColumn(), realColumn + lotColumn + columnGap}, Gap: columnGap}
	for _, p := range w.Portions {
		t.Rows = append(t.Rows, page.Row{Height: w.row, Cells: page.Cells(w.tickBox(),
			paragraph(strong(p.Name, w.name, ink)),
			w.shareFigure(p.Share),
			w.gramFigure(p.Grams), w.ounceFigure(p.Grams), blank)})
	}
	return append(w.section(next(), divide), t)
}

func (w writer) steps() []page.Block {
	if len(w.Steps) == 0 {
		return nil
	}
	t := page.Table{Columns: []length{tickColumn, 5 * mm, 0, 38 * mm}, Gap: columnGap}
	for i, s := range w.Steps {
		row := page.Row{Height: w.step, Cells: page.Cells(w.tickBox(),
			page.Paragraph{Runs: []page.Run{serif(fmt.Sprint(i+1), w.name, quiet)}, Align: page.Right}, nil,
			page.Paragraph{Runs: []page.Run{strong(s.Temp, 16*pt, ink)}, Align: page.Right})}
		row.Cells[2].Blocks = w.noted(sans(s.Do, w.name, ink), s.Note)
		t.Rows = append(t.Rows, row)
	}
	return append(w.section(0, "Steps"), t)
}

// minding prints the findings. A letter that cannot be printed is replaced here:
// the finding can be read in full on the screen.
func (w writer) minding() []page.Block {
	if len(w.Findings) == 0 {
		return nil
	}
	t := page.Table{Columns: []length{12 * mm, 0}, Gap: columnGap}
	for _, f := range w.Findings {
		say := []page.Run{sans(printable(f.Message)+" ", w.note, ink)}
		if f.Remedy != "" {
			say = append(say, italic(" "+printable(f.Remedy), w.note, quiet))
		}
		t.Rows = append(t.Rows, page.Row{Cells: page.Cells(paragraph(strong(f.Level.String(), w.note, ink)), paragraph(say...))})
	}
	return append(w.section(0, mind), t)
}

func printable(s string) string {
	if page.Sets(s, page.Sans) || page.Sets(s, page.Serif) {
		return s
	}
	return strings.Map(func(r rune) rune {
		if page.Sets(string(r), page.Sans) {
			return r
		}
		return '?'
	}, strings.ToValidUTF8(s, "?"))
}

// cautions gives all that is to be minded with lye, in two columns.
func (w writer) cautions() page.Block {
	size := w.caution
	var all []page.Block
	for i, topic := range Topics() {
		// A topic stands in one column: nobody looks for the rest of first aid.
		box := page.Box{Blocks: []page.Block{page.Paragraph{Runs: []page.Run{serif(string(topic), 12*pt, ink)}}}}
		if i > 0 {
			box.Above = 3 * mm / 2
		}
		for _, c := range cautions {
			if c.Topic == topic {
				box.Blocks = append(box.Blocks, page.Paragraph{Above: mm / 2, Together: true, Pitch: size * 23 / 20,
					Runs: []page.Run{strong(c.Lead+" ", size, ink), sans(c.Text, size, ink)}})
			}
		}
		all = append(all, box)
	}
	return page.Box{Border: page.Stroke{Width: mm, Ink: ink}, Pad: 2 * mm, Stripes: 6 * mm, Hang: true, Blocks: []page.Block{
		page.Columns{Blocks: all, Count: 2, Gap: 5 * mm},
		page.Paragraph{Runs: []page.Run{strong(notAll, size, ink)}, Above: mm},
	}}
}
