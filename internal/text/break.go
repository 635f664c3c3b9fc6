package text

import (
	"slices"
	"strings"
)

// A Column is room for lines of one width. A paragraph fills the first column
// before it goes on in the next.
type Column struct {
	Width Length
	Lines int // how many there is room for; 0 is as many as are needed, in the last column
}

// A Paragraph is text in lines.
type Paragraph struct {
	Lines []Line
	Cost  float64 // of its line ends; see [Cost]
}

// In gives the lines that stand in one column, counted from 0.
func (p *Paragraph) In(column int) []Line {
	var lines []Line
	for _, l := range p.Lines {
		if l.Column == column {
			lines = append(lines, l)
		}
	}
	return lines
}

// Break sets words in lines so that the sum of the costs is the least that there
// is: of each line the square of what it is short, in millimetres, and the cost
// of the place where it ends. The last line may be short, but less than a third
// of its width costs the square of what is missing to that third, so that no
// word is left alone. Of two ways that cost the same the one with fewer lines is
// taken. Nothing is hyphenated.
//
// The error is a [*WideError], [*LongError], [*CharacterError], [*SizeError] or
// [*MuchError], or that of [font.Open].
func Break(words []Word, columns ...Column) (*Paragraph, error) {
	all, err := measureWords(words)
	if err != nil {
		return nil, err
	}
	if len(all) == 0 {
		return &Paragraph{}, nil
	}
	page := layout{all, columns}
	if len(all) > mostWords || len(all)*page.levels() > mostWork {
		return nil, &MuchError{Words: len(all)}
	}
	ends, cost, ok := page.best()
	if !ok {
		return nil, page.why()
	}
	p := &Paragraph{Cost: cost}
	start := 0
	for k, end := range ends {
		runs, width := makeRuns(all[start:end])
		column, _ := page.column(k)
		p.Lines = append(p.Lines, Line{Column: column, Width: width, runs: runs})
		start = end
	}
	return p, nil
}

// acrossColumns is how many times the cost of a place counts at the end of a column.
const acrossColumns = 10

// mostWords and mostWork keep the time for a paragraph within a second: that
// many words, and that many pairs of a line that is told apart by its number and
// a word, such as a thousand words in a thousand lines.
const (
	mostWords = 20_000
	mostWork  = 1_001_000
)

// A layout is words and the room for them.
type layout struct {
	words   []measured
	columns []Column
}

// column gives the column in which line k stands, or false if there is no room.
func (l layout) column(k int) (int, bool) {
	for i, c := range l.columns {
		if c.Lines <= 0 && i == len(l.columns)-1 {
			return i, true
		}
		if k < c.Lines {
			return i, true
		}
		k -= max(c.Lines, 0)
	}
	return 0, false
}

// levels counts the lines that are told apart by their number. Once the last
// column is reached and it has no end, how many lines came before no longer
// matters.
func (l layout) levels() int {
	levels := 0
	for i, c := range l.columns {
		if c.Lines <= 0 && i == len(l.columns)-1 {
			return levels + 1
		}
		levels = min(levels+min(max(c.Lines, 0), len(l.words)), len(l.words))
	}
	return levels + 1
}

// A node is the cheapest way to have set so many words in lines.
type node struct {
	cost  float64
	lines int
	from  *node
	words int // that are set
}

func (n *node) worseThan(cost float64, lines int) bool {
	return n == nil || cost < n.cost || cost == n.cost && lines < n.lines
}

// best gives the number of words set at the end of each line of the cheapest
// paragraph. It reports false if there is none.
func (l layout) best() (ends []int, cost float64, ok bool) {
	count, levels := len(l.words), l.levels()
	nodes := make([][]*node, levels+1)
	for i := range nodes {
		nodes[i] = make([]*node, count+1)
	}
	nodes[0][0] = &node{}
	var final *node
	for level := range levels {
		for set := range count {
			n := nodes[level][set]
			if n == nil {
				continue
			}
			column, room := l.column(n.lines)
			if !room {
				continue
			}
			weight := 1.0
			if after, more := l.column(n.lines + 1); more && after != column {
				weight = acrossColumns
			}
			next := nodes[level+1]
			if level == levels-1 { // the column without an end
				next = nodes[level]
			}
			l.lines(set, l.columns[column].Width, weight, func(end int, cost float64) {
				cost += n.cost
				if end == count {
					if final.worseThan(cost, n.lines+1) {
						final = &node{cost, n.lines + 1, n, end}
					}
				} else if next[end].worseThan(cost, n.lines+1) {
					next[end] = &node{cost, n.lines + 1, n, end}
				}
			})
		}
	}
	if final == nil {
		return nil, 0, false
	}
	for n := final; n.words > 0; n = n.from {
		ends = append(ends, n.words)
	}
	slices.Reverse(ends)
	return ends, final.cost, true
}

// lines calls yield with the end and the cost of each line that can begin at a
// word and is not wider than the room.
// weight is how many times the cost of the place at its end counts.
func (l layout) lines(start int, room Length, weight float64, yield func(end int, cost float64)) {
	for r := newRuler(l.words, start); ; r.add() {
		width := r.width()
		if width > room {
			return
		}
		end := r.at + 1
		if end == len(l.words) {
			yield(end, lastLineCost(start == 0, width, room))
			return
		}
		if b := l.words[r.at].Break; b >= 0 {
			short := (room - width).Millimetres()
			yield(end, short*short+weight*float64(b))
		}
	}
}

// lastLineCost gives the cost of the last line. A single line stands as it is.
func lastLineCost(only bool, width, room Length) float64 {
	if only {
		return 0
	}
	missing := max(0, (room/3 - width).Millimetres())
	return missing * missing
}

// why says what keeps the words from their place. It fills each line as far as
// it goes, which takes the fewest lines.
func (l layout) why() error {
	if len(l.columns) == 0 {
		return &LongError{Lines: 1}
	}
	start, k := 0, 0
	for start < len(l.words) {
		column, ok := l.column(k)
		if !ok {
			column = len(l.columns) - 1
		}
		room := l.columns[column].Width
		end := start
		l.lines(start, room, 1, func(e int, _ float64) { end = e })
		if end == start {
			text, width := l.unbroken(start)
			return &WideError{Text: text, Width: width, Room: room, Missing: width - room}
		}
		start = end
		k++
	}
	room := 0
	for _, c := range l.columns {
		room += max(c.Lines, 0)
	}
	return &LongError{Lines: k, Room: room}
}

// unbroken gives the words from one on that a line cannot end between.
func (l layout) unbroken(start int) (string, Length) {
	var b strings.Builder
	r := newRuler(l.words, start)
	for {
		b.WriteString(l.words[r.at].Text)
		if r.at+1 == len(l.words) || l.words[r.at].Break >= 0 {
			return b.String(), r.width()
		}
		if l.words[r.at].Space {
			b.WriteByte(' ')
		}
		r.add()
	}
}

// OneLine sets words on a single line, however long it becomes. The errors are
// those of [Break] that have to do with the words themselves. Without words the
// line is empty.
func OneLine(words ...Word) (Line, error) {
	all, err := measureWords(words)
	if err != nil {
		return Line{}, err
	}
	runs, width := makeRuns(all)
	return Line{Width: width, runs: runs}, nil
}
