package recall

import (
	"strconv"
	"strings"

	"saponym/internal/formula"
	"saponym/internal/page"
	"saponym/internal/register"
)

// batch gives what is to be known of one batch.
func (s Sheet) batch(b Batch) []page.Block {
	blocks := []page.Block{
		page.Rule{Stroke: page.Stroke{Width: pt, Ink: madder}, Above: 7 * mm, Below: mm, Keep: true},
		page.Paragraph{Runs: []page.Run{serif(b.Record.Code.V+" ", codeSize, ink), serif(" "+b.Product, codeSize, madder)}, Keep: true},
		page.Paragraph{Runs: []page.Run{sans(strings.Join(b.facts(s.Lot), " · "), tableSize, quiet)}, Keep: true},
	}
	for _, f := range s.faults(b) {
		blocks = append(blocks, page.Paragraph{Runs: []page.Run{strong(doubt(f), textSize, madder)}, Above: mm, Keep: true})
	}
	blocks = append(blocks, b.counts()...)
	blocks = append(blocks, b.people()...)
	blocks = append(blocks, b.labels()...)
	blocks = append(blocks, b.samples()...)
	return append(blocks, b.rest()...)
}

// titled gives a list of a batch under its title, which names the batch: on the next page
// nothing else does.
func (b Batch) titled(title string, t page.Table) []page.Block {
	head := paragraph(strong(title, noteSize, madder), strong(" · "+b.Record.Code.V, noteSize, quiet))
	again := head
	again.Runs = append(again.Runs, italic("  continued", 11*pt, quiet))
	t.Again = append([]page.Row{{Cells: []page.Cell{{Span: len(t.Columns), Blocks: []page.Block{again}}}}}, t.Head...)
	head.Above, head.Keep = 3*mm, true
	return []page.Block{head, t}
}

// counts gives where the bars are, cut by cut.
func (b Batch) counts() []page.Block {
	if why := b.barless(); why != "" {
		return []page.Block{page.Paragraph{Runs: []page.Run{strong(why, textSize, ink)}, Above: mm}}
	}
	all := b.bars()
	heads := []page.Block{caption("cut")}
	columns := []length{0}
	for i, c := range tallies() {
		heads = append(heads, captionRight(strings.ReplaceAll(c.name, "accounted for", "accounted\u00a0for")))
		columns = append(columns, figures(tallyWidths[i], c.count(all)))
	}
	t := table(heads, columns...)
	t.Gap, t.Keep = 3*mm/2, true
	row := func(cut string, n register.Stock, set func(string, length) page.Run) {
		cells := []page.Block{cell(set(cut, tableSize))}
		for _, c := range tallies() {
			figure := page.Paragraph{Runs: []page.Run{set(strconv.Itoa(c.count(n)), tableSize)}, Align: page.Right}
			if c.count(n) == 0 {
				figure.Runs[0].Style.Ink = rule
			}
			cells = append(cells, figure)
		}
		t.Rows = append(t.Rows, page.Row{Cells: page.Cells(cells...)})
	}
	plain := func(s string, size length) page.Run { return sans(s, size, ink) }
	for _, n := range b.Stock {
		row(n.Cut, n, plain)
	}
	if len(b.Stock) > 1 {
		row("all cuts", all, func(s string, size length) page.Run { return strong(s, size, ink) })
	}
	shade := ink
	if gap(all) != 0 {
		shade = madder
	}
	sum := page.Paragraph{Above: 3 * mm / 2, Runs: []page.Run{sans(balance(all)+". ", textSize, ink), strong(accounted(all)+" ", textSize, shade), sans(back(all), textSize, ink)}}
	blocks := []page.Block{t, sum}
	if besides := b.offcuts(); besides != "" {
		blocks = append(blocks, paragraph(sans(besides, textSize, ink)))
	}
	return blocks
}

// tallyWidths are how wide the heads of the counts are, in the order of tallies.
var tallyWidths = []length{9 * mm, 9 * mm, 9 * mm, 8 * mm, 9 * mm, 13 * mm, 15 * mm, 11 * mm, 8 * mm, 19 * mm, 10 * mm, 9 * mm}

// cutColumn gives the width of a column for names of cuts, and its head: nought and
// nothing where there is but one.
func (b Batch) cutColumn() (length, page.Block) {
	if len(b.Stock) < 2 {
		return mm / 10, nil
	}
	return 13 * mm, caption("cut")
}

// cutOf names the cut of an event where there are several.
func (b Batch) cutOf(t formula.Text) page.Block {
	if len(b.Stock) < 2 {
		return nil
	}
	return cell(sans(t.V, tableSize, ink))
}

// most gives the largest count of some events.
func most(events []formula.Event) int {
	n := 0
	for _, e := range events {
		n = max(n, e.Count.V)
	}
	return n
}

// people gives who got bars, with a box for having told them and a rule for what comes
// back.
func (b Batch) people() []page.Block {
	events := b.events(handed)
	if len(events) == 0 {
		if len(b.Stock) == 0 {
			return nil
		}
		return []page.Block{page.Paragraph{Runs: []page.Run{sans("None of it was sold or given away.", textSize, ink)}, Above: 3 * mm / 2}}
	}
	cutWidth, cutHead := b.cutColumn()
	t := table([]page.Block{caption("told"), caption("on"), caption("what"), cutHead, captionRight("bars"), caption("who"), caption("paper"), caption("came back")},
		7*mm, 17*mm, 14*mm, cutWidth, figures(8*mm, most(events)), 0, 28*mm, 20*mm)
	for _, e := range events {
		row := page.Row{Cells: page.Cells(nil, cell(sans(dayOf(e.Date), tableSize, ink)), cell(sans(e.What.V, tableSize, ink)), b.cutOf(e.Cut),
			figure(number(e), tableSize, ink), nil, cell(sans(e.Ref.V, tableSize, ink)))}
		if e.What.V != "returned" {
			row.Cells = append(row.Cells, page.Cells(blank)...)
			if named(e) {
				row.Cells[0] = page.Cells(little)[0]
			}
		}
		row.Cells[5].Blocks = []page.Block{padded(who(e)...)}
		t.Rows = append(t.Rows, row)
	}
	return b.titled("Who got them", t)
}

// who gives the people of an event, with its remarks below.
func who(e formula.Event) []page.Block {
	var blocks []page.Block
	if strings.TrimSpace(e.Who.V) != "" {
		blocks = append(blocks, paragraph(strong(e.Who.V, tableSize, ink)))
	}
	for _, r := range remarks(e) {
		shade := quiet
		if r == unknown || r == assumed {
			shade = madder
		}
		blocks = append(blocks, paragraph(italic(r, 11*pt, shade)))
	}
	return blocks
}

// labels gives the printings of labels that carry the code.
func (b Batch) labels() []page.Block {
	if len(b.Record.Runs) == 0 {
		return nil
	}
	printed := 0
	for _, r := range b.Record.Runs {
		printed = max(printed, r.Printed.V, r.Used.V)
	}
	cutWidth, cutHead := b.cutColumn()
	t := table([]page.Block{caption("run"), caption("on"), caption("market"), cutHead, caption("net weight"), captionRight("printed"), captionRight("used"), captionRight("left"), caption("hash of the file")},
		9*mm, 17*mm, 0, cutWidth, 26*mm, figures(14*mm, printed), figures(12*mm, printed), figures(12*mm, printed), 30*mm)
	for _, r := range b.Record.Runs {
		t.Rows = append(t.Rows, page.Row{Cells: page.Cells(
			cell(sans(r.ID, tableSize, ink)), cell(sans(dayOf(r.Date), tableSize, ink)), cell(sans(r.Market.V, tableSize, ink)), b.cutOf(r.Cut),
			cell(sans(r.Claim.V, tableSize, ink)), figure(counted(r.Printed), tableSize, ink), figure(counted(r.Used), tableSize, ink), figure(left(r), tableSize, ink),
			cell(sans(shortHash(r), tableSize, quiet)))})
	}
	return b.titled("Labels with this code", t)
}

// samples gives the bars that were kept, with a box for having looked at them.
func (b Batch) samples() []page.Block {
	events := b.events(kept)
	if len(events) == 0 {
		return nil
	}
	return b.titled("Kept samples", b.happened(events, "whole", little))
}

// rest gives what else happened to bars.
func (b Batch) rest() []page.Block {
	events := b.events(other)
	if len(events) == 0 {
		return nil
	}
	return b.titled("What else became of bars", b.happened(events, "", nil))
}

// happened gives events in a table, with a box to tick under a head where there is one.
func (b Batch) happened(events []formula.Event, head string, box page.Block) page.Table {
	cutWidth, cutHead := b.cutColumn()
	t := table([]page.Block{caption(head), caption("on"), caption("what"), cutHead, captionRight("bars"), caption("who and where"), caption("paper")},
		9*mm, 17*mm, 16*mm, cutWidth, figures(9*mm, most(events)), 0, 32*mm)
	for _, e := range events {
		row := page.Row{Cells: page.Cells(box, cell(sans(dayOf(e.Date), tableSize, ink)), cell(sans(e.What.V, tableSize, ink)), b.cutOf(e.Cut),
			figure(number(e), tableSize, ink), nil, cell(sans(e.Ref.V, tableSize, ink)))}
		row.Cells[5].Blocks = []page.Block{padded(who(e)...)}
		t.Rows = append(t.Rows, row)
	}
	return t
}
