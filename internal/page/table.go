package page

import "saponym/internal/scene"

// A Table is rows of cells. It may be split between two rows, but not behind the
// first or before the last.
type Table struct {
	Columns []Length // widths; those of 0 share what is left
	Gap     Length   // between columns
	Head    []Row
	Again   []Row // at the head of each further page
	Rows    []Row
	Line    Stroke // below each row but those of the head
	Above   Length
	Keep    bool // it stays with the next block
}

// A Row is one row of a table; it never splits. The first lines of its cells
// stand on one baseline.
type Row struct {
	Cells  []Cell
	Height Length // the least; what is more than the cells need stands half above them
	Line   Stroke // below it, in place of the one of the table
}

// A Cell is what stands in one column of a row, or in several beside each other.
type Cell struct {
	Blocks []Block
	Span   int // columns that it takes; 0 is one
}

// Cells makes cells of one block each. A nil block is an empty cell.
func Cells(blocks ...Block) []Cell {
	cells := make([]Cell, len(blocks))
	for i, b := range blocks {
		if b != nil {
			cells[i].Blocks = []Block{b}
		}
	}
	return cells
}

func (t Table) lay(width Length) ([]strip, error) {
	lefts, widths, err := t.columns(width)
	if err != nil {
		return nil, err
	}
	rowStrips := func(rows []Row, line Stroke) ([]strip, error) {
		strips := make([]strip, len(rows))
		for i, r := range rows {
			if !r.Line.drawn() {
				r.Line = line
			}
			s, err := r.lay(lefts, widths, width)
			if err != nil {
				return nil, err
			}
			strips[i] = s
		}
		return strips, nil
	}
	head, err := rowStrips(t.Head, Stroke{})
	if err != nil {
		return nil, err
	}
	again, err := rowStrips(t.Again, Stroke{})
	if err != nil {
		return nil, err
	}
	rows, err := rowStrips(t.Rows, t.Line)
	if err != nil {
		return nil, err
	}
	for i := range head {
		head[i].keep = true
	}
	last := len(rows) - 1
	for i := range rows {
		if rows[i].keep = i == 0 || i >= last-1; i > 0 {
			rows[i].again = again
		}
	}
	all := append(head, rows...)
	if len(all) > 0 {
		all[0].above, all[len(all)-1].keep = t.Above, t.Keep
	}
	return all, nil
}

// columns gives the left edge and the width of each column.
func (t Table) columns(width Length) (lefts, widths []Length, err error) {
	rest, open := width-t.Gap*Length(max(len(t.Columns)-1, 0)), Length(0)
	for _, w := range t.Columns {
		if rest -= w; w == 0 {
			open++
		}
	}
	if rest < 0 || rest == 0 && open > 0 {
		return nil, nil, &RoomError{Width: rest}
	}
	x := Length(0)
	for _, w := range t.Columns {
		if w == 0 {
			w = rest / open
		}
		lefts, widths = append(lefts, x), append(widths, w)
		x += w + t.Gap
	}
	return lefts, widths, nil
}

// lay sets the cells of a row beside each other. Cells beyond the last column are
// left out.
func (r Row) lay(lefts, widths []Length, width Length) (strip, error) {
	var row strip
	var lefthand []Length
	var cells []strip
	column := 0
	for _, c := range r.Cells {
		if column >= len(lefts) {
			break
		}
		last := min(column+max(c.Span, 1), len(lefts)) - 1
		strips, err := layAll(c.Blocks, lefts[last]+widths[last]-lefts[column])
		if err != nil {
			return strip{}, err
		}
		cell := stack(strips)
		row.base = max(row.base, cell.base)
		lefthand, cells = append(lefthand, lefts[column]), append(cells, cell)
		column = last + 1
	}
	for _, cell := range cells {
		row.height = max(row.height, row.base-cell.base+cell.height)
	}
	spare := max(0, r.Height-row.height) / 2
	row.base += spare
	row.height = max(row.height, r.Height)
	for i, cell := range cells {
		row.items = append(row.items, moved(cell.items, lefthand[i], row.base-cell.base)...)
	}
	if y := row.height + r.Line.Width/2; r.Line.drawn() {
		row.items = append(row.items, scene.Item{Path: r.Line.path().Move(0, y).Line(width, y)})
		row.height += r.Line.Width
	}
	return row, nil
}
