package recall

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/page"
	"saponym/internal/register"
	"saponym/internal/scene"
)

type length = measure.Length

const (
	mm = measure.Millimetre
	pt = measure.Point
)

// The inks: black, greys for what is said beside it and for lines, and madder for what
// has to be found at a glance.
var (
	ink    = scene.RGB(0x211F1B)
	quiet  = scene.RGB(0x4A4A48)
	rule   = scene.RGB(0x777774)
	pale   = scene.RGB(0xB4B4AF)
	madder = scene.RGB(0x8E2A25)
)

var margins = page.Margins{Top: 13 * mm, Right: 15 * mm, Bottom: 16 * mm, Left: 15 * mm}

// The sizes of letters.
const (
	titleSize   = 26 * pt
	totalSize   = 21 * pt
	partSize    = 17 * pt
	codeSize    = 15 * pt
	textSize    = 11 * pt
	tableSize   = 21 * pt / 2
	noteSize    = 19 * pt / 2
	captionSize = 9 * pt
)

var (
	hair   = page.Stroke{Width: pt / 2, Ink: pale}
	line   = page.Stroke{Width: pt / 2, Ink: ink}
	heavy  = page.Stroke{Width: 2 * pt, Ink: madder}
	blank  = page.Blank{Stroke: page.Stroke{Width: pt / 2, Ink: rule}}
	tick   = page.Tick{Side: 9 * mm / 2, Stroke: page.Stroke{Width: pt, Ink: ink}}
	little = page.Tick{Side: 7 * mm / 2, Stroke: page.Stroke{Width: 3 * pt / 4, Ink: ink}}
)

const columnGap = 5 * mm / 2

// Document gives the sheet on paper of a size, dated with the day of the sheet.
//
// A letter that cannot be printed is replaced, and a finding says so. A finding of level
// stop says why nothing can be printed; then the document is empty. The error means that
// the program could not do its work.
func (s Sheet) Document(size scene.Size) (scene.Document, []finding.Finding, error) {
	found := s.Check()
	flow := page.Flow{Size: size, Margins: margins, Blocks: s.blocks(), Footer: s.footer()}
	pages, err := flow.Lay()
	if f, ok := refusal(err); ok {
		return scene.Document{}, append(found, f), nil
	}
	if err != nil {
		return scene.Document{}, nil, fmt.Errorf("setting the recall sheet of %s: %w", s.Of, err)
	}
	return scene.Document{
		Title: printable("Recall sheet, " + s.Of), Author: printable(s.Maker.Name.V), Language: "en", Date: s.On,
		Sheets: []scene.Sheet{pages.Sheet},
	}, found, nil
}

// refusal turns what keeps the sheet from being set into a finding.
func refusal(err error) (finding.Finding, bool) {
	var tall *page.TallError
	var narrow *page.RoomError
	var much *page.MuchError
	if !errors.As(err, &tall) && !errors.As(err, &narrow) && !errors.As(err, &much) {
		return finding.Finding{}, false
	}
	return finding.Finding{
		Level: finding.Stop, Rule: RuleRoom, Message: "the recall sheet has no room on the paper: " + err.Error(),
		Remedy: "use a4 or letter paper, or make the longest text shorter",
	}, true
}

// sans, strong, serif and italic give words in a face of the sheet. Where that lacks a
// letter and the other family has it, the other one stands in.
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
	s = printable(s)
	if !page.Sets(s, face) && page.Sets(s, other) {
		face = other
	}
	return page.Run{Text: s, Style: page.Style{Face: face, Size: size, Ink: ink}}
}

func paragraph(runs ...page.Run) page.Paragraph { return page.Paragraph{Runs: runs} }

// figure gives a count that stands at the right edge of its column.
func figure(s string, size length, ink scene.Ink) page.Paragraph {
	return page.Paragraph{Runs: []page.Run{sans(s, size, ink)}, Align: page.Right}
}

// caption gives the head of a column.
func caption(s string) page.Paragraph { return paragraph(sans(s, captionSize, quiet)) }

func captionRight(s string) page.Paragraph {
	p := caption(s)
	p.Align = page.Right
	return p
}

// figures gives how wide a column of counts is: its head, or more where a count needs it.
// A figure of the faces is 0.49 of its size wide at most.
func figures(head length, counts ...int) length {
	for _, n := range counts {
		head = max(head, length(len(strconv.Itoa(n))+1)*tableSize/2)
	}
	return head
}

// padded gives what stands in a cell of a table, with room above and below it.
func padded(blocks ...page.Block) page.Block {
	return page.Box{Blocks: blocks, Hang: true, Pad: 3 * mm / 4}
}

// cell gives words in a cell of a table.
func cell(runs ...page.Run) page.Block { return padded(paragraph(runs...)) }

// table gives a table whose heads stand on each page.
func table(heads []page.Block, columns ...length) page.Table {
	head := []page.Row{{Cells: page.Cells(heads...), Line: line}}
	return page.Table{Columns: columns, Gap: columnGap, Head: head, Again: head, Line: hair, Above: 3 * mm / 2}
}

// part gives the heading of a part of the sheet.
func part(title string) []page.Block {
	return []page.Block{
		page.Rule{Stroke: heavy, Above: 8 * mm, Below: 3 * mm / 2, Keep: true},
		page.Paragraph{Runs: []page.Run{serif(title, partSize, ink)}, Keep: true},
	}
}

func (s Sheet) footer() *page.Footer {
	left := sans(strings.Join(given("Recall sheet: "+s.Of, s.Maker.Name.V), " · "), captionSize, quiet)
	return &page.Footer{
		Left: left.Text, Style: left.Style, Above: 9 * mm,
		Right: func(page, pages int) string {
			return strings.Join(given(s.day(), fmt.Sprintf("page %d of %d", page, pages)), " · ")
		},
	}
}

func (s Sheet) day() string {
	if s.On.IsZero() {
		return ""
	}
	return s.On.String()
}

// blocks gives all that flows: the counts, what is to be done, the batches, the notice.
func (s Sheet) blocks() []page.Block {
	blocks := s.head()
	if len(s.Batches) == 0 {
		blocks = append(blocks, page.Paragraph{Runs: []page.Run{strong(s.none(), 13*pt, ink)}, Above: 6 * mm})
		return append(blocks, s.end()...)
	}
	blocks = append(blocks, s.totals())
	if doubts := s.doubts(); doubts != "" {
		blocks = append(blocks, page.Paragraph{Runs: []page.Run{strong(doubts, textSize, madder)}, Above: 3 * mm})
	}
	blocks = append(blocks, s.doNow()...)
	blocks = append(blocks, s.list()...)
	for _, b := range s.Batches {
		blocks = append(blocks, s.batch(b)...)
	}
	blocks = append(blocks, s.noticeBlocks()...)
	blocks = append(blocks, page.Paragraph{Runs: []page.Run{sans(sources(s.steps()), captionSize, quiet)}, Above: 6 * mm})
	return append(blocks, s.end()...)
}

func (s Sheet) head() []page.Block {
	title := paragraph(serif("Recall ", titleSize, madder), serif(s.Of, titleSize, ink))
	title.Pitch = titleSize * 21 / 20
	blocks := []page.Block{title}
	if about := given(s.Maker.Name.V, "as the register stood on "+s.day()); len(about) > 0 {
		blocks = append(blocks, paragraph(italic(strings.Join(about, ", "), 13*pt, quiet)))
	}
	return append(blocks, page.Rule{Stroke: heavy, Above: 2 * mm, Below: 2 * mm})
}

// totals gives the counts of all batches at a glance.
func (s Sheet) totals() page.Block {
	all := s.bars()
	nobody := gap(all) + all.Lost
	counts := []struct {
		n    int
		what string
	}{
		{len(s.Batches), "batches"}, {all.Made, "bars made"}, {inStock(all), "in stock"}, {out(all), "sold or given"},
		{all.Sampled, "kept samples"}, {all.Destroyed + all.Reworked, "destroyed or worked again"}, {nobody, "lost or not accounted for"},
	}
	t := page.Table{Gap: columnGap}
	var row page.Row
	for _, c := range counts {
		shade := ink
		if c.n != 0 && c.n == nobody && c.what == counts[len(counts)-1].what {
			shade = madder
		}
		t.Columns = append(t.Columns, 0)
		row.Cells = append(row.Cells, page.Cell{Blocks: []page.Block{
			paragraph(strong(strconv.Itoa(c.n), totalSize, shade)),
			page.Paragraph{Runs: []page.Run{sans(c.what, noteSize, quiet)}, Pitch: noteSize * 23 / 20},
		}})
	}
	t.Rows = []page.Row{row}
	return t
}

// doNow gives the steps with boxes to tick and rules to write on.
func (s Sheet) doNow() []page.Block {
	blocks := part("Do now, in this order")
	t := page.Table{Columns: []length{6 * mm, 6 * mm, 0}, Gap: columnGap, Above: mm}
	for i, step := range s.steps() {
		cell := []page.Block{paragraph(strong(step.do+" ", textSize, ink), sans(step.text, textSize, ink))}
		if len(step.blanks) > 0 {
			cell = append(cell, rules(step.blanks))
		}
		for _, note := range step.notes {
			cell = append(cell, paragraph(strong(note, noteSize, madder)))
		}
		row := page.Row{Cells: page.Cells(tick, page.Paragraph{Runs: []page.Run{serif(strconv.Itoa(i+1), codeSize, madder)}, Align: page.Right}, nil)}
		row.Cells[2].Blocks = cell
		t.Rows = append(t.Rows, row)
		for _, item := range step.items {
			t.Rows = append(t.Rows, page.Row{Cells: page.Cells(nil, little, padded(paragraph(strong(item, textSize, ink)), rules(calls)))})
		}
	}
	return append(blocks, t)
}

// rules gives rules to write on beside each other, each behind what it is for.
func rules(names []string) page.Block {
	t := page.Table{Gap: 3 * mm / 2}
	var row page.Row
	for _, name := range names {
		label := sans(name, captionSize, quiet)
		width, err := page.Width(label.Text, label.Style)
		if err != nil { // a name of this package that no face has
			width = 20 * mm
		}
		t.Columns = append(t.Columns, width+mm/4, 0)
		row.Cells = append(row.Cells, page.Cells(paragraph(label), blank)...)
	}
	row.Height = 7 * mm
	t.Rows = []page.Row{row}
	return t
}

// list gives all batches in a table, each with a box for what is held.
func (s Sheet) list() []page.Block {
	all := s.bars()
	t := table([]page.Block{caption("held"), caption("batch"), caption("made on"), caption("what went in"), captionRight("made"), captionRight("in stock"), captionRight("sold or given"), captionRight("not accounted\u00a0for")},
		7*mm, 0, 17*mm, 40*mm, figures(9*mm, all.Made), figures(11*mm, inStock(all)), figures(11*mm, out(all)), figures(19*mm, gap(all)))
	for _, b := range s.Batches {
		n := b.bars()
		t.Rows = append(t.Rows, page.Row{Cells: page.Cells(little,
			cell(strong(b.Record.Code.V+" ", tableSize, ink), sans(b.Product, tableSize, ink)), cell(sans(dayOf(b.Record.Made), tableSize, ink)),
			cell(sans(b.way(), tableSize, ink)),
			figure(strconv.Itoa(n.Made), tableSize, ink), figure(strconv.Itoa(inStock(n)), tableSize, ink), figure(strconv.Itoa(out(n)), tableSize, ink), gapFigure(n))})
	}
	return append(part("The batches"), t)
}

// way says what of the lot went in, and by way of which batches.
func (b Batch) way() string {
	way := b.What
	if len(b.Via) > 0 {
		way = strings.Join(given(b.What, "by way of "+strings.Join(b.Via, ", ")), " ")
	}
	if way == "" {
		return "–"
	}
	return way
}

func gapFigure(s register.Stock) page.Block {
	n := gap(s)
	p := figure(strconv.Itoa(n), tableSize, ink)
	if n != 0 {
		p.Runs[0] = strong(strconv.Itoa(n), tableSize, madder)
	}
	return p
}

// A notice of at most so many characters is framed, and so stands on one page.
const framed = 1200

// noticeBlocks gives the text of a notice, with blanks.
func (s Sheet) noticeBlocks() []page.Block {
	t := page.Table{Columns: []length{30 * mm, 0}, Gap: columnGap, Line: hair}
	add := func(name string, words page.Block, height length) {
		t.Rows = append(t.Rows, page.Row{Height: height, Cells: page.Cells(paragraph(strong(name, textSize, madder)), words)})
	}
	long := 0
	for _, f := range s.notice() {
		name := f.name
		for _, text := range f.texts {
			long += utf8.RuneCountInString(text)
			add(name, cell(sans(text, 12*pt, ink)), 8*mm)
			name = ""
		}
		for range f.blanks {
			add(name, nil, 9*mm)
			name = ""
		}
	}
	if long > framed {
		return append(part("Notice to fill in"), t)
	}
	return append(part("Notice to fill in"), page.Box{Blocks: []page.Block{t}, Border: line, Pad: 4 * mm, Above: 2 * mm})
}

func (s Sheet) end() []page.Block {
	return []page.Block{page.Paragraph{Runs: []page.Run{strong(s.noAdvice(), textSize, ink)}, Above: 8 * mm, Together: true}}
}
