package figure

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"golang.org/x/text/width"

	"saponym/internal/day"
	"saponym/internal/font"
)

// The sizes of a plain picture, in characters.
const (
	fewestColumns, mostColumns = 40, 200
	fewestLines, mostLines     = 8, 60
	roomyLines                 = 12 // from here on there is a line for days and more than one for the key
	mostKeyLines               = 4
	frameLines                 = 5 // about as many stand above and below the picture
)

// The characters of a plain picture.
const (
	signWeighed  = 'o'
	signExpected = '*'
	signBound    = '-'
	signHolds    = '='
	signFails    = '~'
	signEnd      = 'X'
	signFloor    = '.'
	signRest     = ':'
	signDay      = '|'
)

// Plain draws a curve for a terminal, in at most so many columns and rows: from 40 to 200
// and from 8 to 60, other sizes count as the nearest of these. Each line ends in a line
// feed. A curve that [Drying] refuses gives one line that says why.
func (c Curve) Plain(columns, rows int) string {
	columns = min(max(columns, fewestColumns), mostColumns)
	rows = min(max(rows, fewestLines), mostLines)
	if err := c.check(); err != nil {
		return shortened(err.Error(), columns) + "\n"
	}
	s := sketch{curve: c, time: calendarOf(c), grams: balanceOf(c, max((rows-frameLines)/3, 2))}
	head := shortened(strings.TrimSuffix(c.Title+", "+c.Line, ", "), columns)
	key := s.keyLines(columns, rows)
	below := 2 + len(key) // the axis, the dates, and the key
	if rows >= roomyLines {
		below++
	}
	lines := append([]string{head}, s.draw(columns, rows-1-below)...)
	lines = append(lines, s.axis(rows >= roomyLines)...)
	var b strings.Builder
	for _, l := range append(lines, key...) {
		b.WriteString(strings.TrimRight(l, " ") + "\n")
	}
	return b.String()
}

// A sketch is a curve in cells of characters.
type sketch struct {
	curve Curve
	time  calendar
	grams balance
	left  int      // columns before the cells
	cells [][]rune // from the top down
}

func (s *sketch) wide() int { return len(s.cells[0]) }

func (s *sketch) column(d day.Day) int {
	return int(math.Round(s.time.at(d) * float64(s.wide()-1)))
}

func (s *sketch) row(g float64) int {
	return int(math.Round((1 - s.grams.at(g)) * float64(len(s.cells)-1)))
}

// level draws a line across, in columns from one up to another.
func (s *sketch) level(g float64, from, to int, sign rune) {
	for x := max(from, 0); x < min(to, s.wide()); x++ {
		s.cells[s.row(g)][x] = sign
	}
}

// draw gives the lines of the picture, with the grams at their left. What counts most is
// drawn last.
func (s *sketch) draw(columns, rows int) []string {
	ticks := s.grams.ticks()
	for _, t := range ticks {
		s.left = max(s.left, len([]rune(t.words)))
	}
	s.left += len(" |")
	s.cells = make([][]rune, rows)
	for y := range s.cells {
		s.cells[y] = []rune(strings.Repeat(" ", columns-s.left))
	}
	for _, m := range s.curve.Days {
		for y := range s.cells {
			s.cells[y][s.column(m.Day)] = signDay
		}
	}
	if c := s.curve; c.resting() {
		from := 0
		if n := len(c.Weighed); n > 0 {
			from = s.column(c.Weighed[n-1].Day) + 1
		}
		s.level(c.Bounds.Low, from, s.wide(), signRest)
		s.level(c.Bounds.High, from, s.wide(), signRest)
	}
	if s.floorShows() {
		s.level(s.curve.Floor, 0, s.wide(), signFloor)
	}
	s.drawCourse(signBound, func(e Predicted) float64 { return e.Bound })
	s.drawCourse(signExpected, func(e Predicted) float64 { return e.Mean })
	s.drawClaim()
	for _, w := range s.curve.Weighed {
		for _, g := range append([]float64{w.Mean}, w.Bars...) {
			s.cells[s.row(g)][s.column(w.Day)] = signWeighed
		}
	}
	names := make([]string, rows)
	for _, t := range ticks {
		names[s.row(t.at)] = t.words
	}
	lines := make([]string, rows)
	for y, cells := range s.cells {
		edge := "│"
		if names[y] != "" {
			edge = "┤"
		}
		lines[y] = fmt.Sprintf("%*s %s%s", s.left-2, names[y], edge, string(cells))
	}
	return lines
}

func (s *sketch) floorShows() bool { return s.curve.Floor > 0 && s.grams.shows(s.curve.Floor) }

// drawCourse draws one figure of what is expected, with one sign in each column.
func (s *sketch) drawCourse(sign rune, figure func(Predicted) float64) {
	course := s.curve.Course
	for i := range course {
		before := course[max(i-1, 0)]
		from, to := s.column(before.Day), s.column(course[i].Day)
		for x := from; x <= to; x++ {
			part := 1.0
			if from < to {
				part = float64(x-from) / float64(to-from)
			}
			g := figure(before) + part*(figure(course[i])-figure(before))
			s.cells[s.row(g)][x] = sign
		}
	}
}

// drawClaim draws the claim with the day on which it ends, or an arrow at the edge beyond
// which it lies.
func (s *sketch) drawClaim() {
	c := s.curve
	switch g := c.Claim.Grams; {
	case !c.claims():
	case g > s.grams.high:
		s.cells[0][1] = '^'
	case g < s.grams.low:
		s.cells[len(s.cells)-1][1] = 'v'
	default:
		s.level(g, 0, s.wide(), signHolds)
		switch c.holding(s.time) {
		case never:
			s.level(g, 0, s.wide(), signFails)
		case partly:
			end := s.column(c.Claim.Until)
			s.level(g, end, s.wide(), signFails)
			s.cells[s.row(g)][end] = signEnd
		}
	}
}

// axis gives the axis of time with its dates and, if there is room, the days since the
// first weighing.
func (s *sketch) axis(days bool) []string {
	const room = len("28 May 2028") + 1
	start := func(n, long int) int {
		x := s.left + s.column(s.time.zero.AddDays(n))
		return min(max(x-long/2, 0), s.left+s.wide()-long)
	}
	ticks := s.time.ticks(func(a, b int) bool { return start(b, room)-start(a, room) >= room })
	line := []rune(strings.Repeat(" ", s.left-1) + "└" + strings.Repeat("─", s.wide()))
	dates, counts := []rune(strings.Repeat(" ", len(line))), []rune(strings.Repeat(" ", len(line)))
	for i, name := range s.time.dates(ticks) {
		line[s.left+s.column(s.time.zero.AddDays(ticks[i]))] = '┬'
		copy(dates[start(ticks[i], len(name)):], []rune(name))
		count := []rune(nights(ticks[i]))
		copy(counts[start(ticks[i], len(count)):], count)
	}
	lines := []string{string(line), string(dates)}
	if days {
		lines = append(lines, string(counts))
	}
	return lines
}

// keyLines says what the characters stand for.
func (s *sketch) keyLines(columns, rows int) []string {
	c := s.curve
	var all []string
	add := func(is bool, sign rune, words string) {
		if is {
			all = append(all, string(sign)+" "+words)
		}
	}
	add(len(c.Weighed) > 0, signWeighed, "weighed")
	if c.claims() {
		switch shown := c.claimWords(s.time, false); {
		case c.Claim.Grams > s.grams.high:
			add(true, '^', shown+", above")
		case c.Claim.Grams < s.grams.low:
			add(true, 'v', shown+", below")
		case c.holding(s.time) == never:
			add(true, signFails, shown)
		default:
			add(true, signHolds, c.claimWords(s.time, true))
			add(c.holding(s.time) == partly, signEnd, c.holdsUntil())
		}
	}
	add(len(c.Course) > 0, signExpected, "expected")
	add(len(c.Course) > 0, signBound, "above this by 95 %")
	add(c.resting(), signRest, c.comesTo())
	add(c.Floor > 0 && s.grams.shows(c.Floor), signFloor, "dry mass "+c.dry())
	for _, m := range c.Days {
		add(true, signDay, strings.TrimSpace(m.Words+" "+date(m.Day)))
	}
	if s.time.root {
		all = append(all, "(time by its square root)")
	}
	most := 1
	if rows >= roomyLines {
		most = min(mostKeyLines, rows/4)
	}
	lines := []string{""}
	for _, e := range all {
		e = shortened(e, columns)
		last := &lines[len(lines)-1]
		switch joint := *last + "  " + e; {
		case *last == "":
			*last = e
		case cells(joint) <= columns:
			*last = joint
		case len(lines) < most:
			lines = append(lines, e)
		default:
			*last = shortened(joint, columns)
			return lines
		}
	}
	return lines
}

// cells counts the columns that a terminal gives to a text.
func cells(s string) int {
	n := 0
	for _, r := range s {
		n++
		switch width.LookupRune(r).Kind() {
		case width.EastAsianWide, width.EastAsianFullwidth:
			n++
		}
	}
	return n
}

// shortened gives a text on one line of at most so many columns. What cannot be printed
// is left out of it.
func shortened(s string, columns int) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsGraphic(r):
			return -1
		}
		return r
	}, font.Normalise(strings.ToValidUTF8(s, "")))
	if cells(s) <= columns {
		return s
	}
	runes := []rune(s)
	runes = runes[:min(len(runes), columns)]
	for len(runes) > 0 && cells(string(runes)+more) > columns {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimRight(string(runes), " ") + more
}
