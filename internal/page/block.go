package page

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"saponym/internal/font"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// A Block is something that flows down a page: a [Paragraph], [Rule], [Table],
// [Box], [Columns], [Figure], [Tick] or [Blank].
type Block interface {
	// lay gives the block in strips for a column.
	lay(width Length) ([]strip, error)
}

// A Run is words in one style. A space at the edge of a run is a space in the
// text; without one, two runs are one word.
type Run struct {
	Text  string
	Style Style
}

// A Stroke is how a line is drawn; without width or ink it is not.
type Stroke struct {
	Width Length
	Ink   scene.Ink
	Dash  []Length
}

func (s Stroke) path() *scene.Path {
	return &scene.Path{Stroke: s.Ink, Width: s.Width, Dash: s.Dash}
}

func (s Stroke) drawn() bool { return s.Width > 0 && s.Ink.On }

// A Paragraph is text in lines. With Keep it is a heading: it stays on the page
// of what follows.
type Paragraph struct {
	Runs     []Run
	Align    Align
	Pitch    Length // from line to line; 0 is 1.25 of the largest letters
	Above    Length // kept free above it, but not at the head of a page
	Keep     bool   // it stays with the next block
	Together bool   // it is not split
}

// breakInside is what the end of a line within a name costs; see [text.Cost].
const breakInside text.Cost = 14

// lay breaks the paragraph into lines. The first two lines stay together, and so
// do the last two.
func (p Paragraph) lay(width Length) ([]strip, error) {
	words, err := p.words(width)
	if err != nil {
		return nil, err
	}
	set, err := text.Break(words, text.Column{Width: width})
	if err != nil {
		return nil, err
	}
	pitch, base, err := p.pitch()
	if err != nil {
		return nil, err
	}
	at := scene.Point{Y: base}
	switch p.Align {
	case Centre:
		at.X = width / 2
	case Right:
		at.X = width
	}
	strips := make([]strip, len(set.Lines))
	last := len(strips) - 1
	for i, line := range set.Lines {
		strips[i] = strip{height: pitch, base: base, items: line.Set(at, p.Align), keep: i == 0 || i == last-1 || p.Together || p.Keep}
	}
	if last >= 0 {
		strips[0].above, strips[last].keep = p.Above, p.Keep
	}
	return strips, nil
}

// pitch gives the distance between lines, and that of a baseline from the upper
// edge of its line.
func (p Paragraph) pitch() (pitch, base Length, err error) {
	var size, ascent, descent Length
	for _, r := range p.Runs {
		f, err := font.Open(r.Style.Face)
		if err != nil {
			return 0, 0, err
		}
		size = max(size, r.Style.Size)
		ascent, descent = max(ascent, f.Ascent(r.Style.Size)), max(descent, f.Descent(r.Style.Size))
	}
	if pitch = p.Pitch; pitch <= 0 {
		pitch = size * 5 / 4
	}
	return pitch, (pitch-ascent-descent)/2 + ascent, nil
}

// words gives the words of all runs. What is wider than a line is cut.
func (p Paragraph) words(width Length) ([]text.Word, error) {
	var all []text.Word
	for i, r := range p.Runs {
		words := text.Name(r.Text, r.Style, breakInside)
		if !utf8.ValidString(r.Text) { // which cutting names would hide
			words = text.Words(r.Text, r.Style)
		}
		for k := range words[:max(len(words)-1, 0)] {
			if isUnit(words[k+1].Text) && endsInDigit(words[k].Text) {
				words[k].Break = text.Never
			}
		}
		if n := len(words); n > 0 && i+1 < len(p.Runs) && !spaceBetween(r.Text, p.Runs[i+1].Text) {
			words[n-1].Space, words[n-1].Break = false, text.Never
		}
		for _, w := range words {
			pieces, err := narrow(w, width)
			if err != nil {
				return nil, err
			}
			all = append(all, pieces...)
		}
	}
	return all, nil
}

// units are what a figure stands before.
var units = map[string]bool{"%": true, "g": true, "kg": true, "oz": true, "ml": true, "l": true, "mm": true, "cm": true, "°C": true, "°F": true, "K": true}

func isUnit(word string) bool { return units[strings.TrimRight(word, ".,;:)")] }

func endsInDigit(word string) bool {
	r, _ := utf8.DecodeLastRuneInString(word)
	return unicode.IsDigit(r)
}

func spaceBetween(left, right string) bool {
	l, _ := utf8.DecodeLastRuneInString(left)
	r, _ := utf8.DecodeRuneInString(right)
	return left == "" || right == "" || unicode.IsSpace(l) || unicode.IsSpace(r)
}

// narrow cuts a word into pieces that are no wider than a line.
func narrow(w text.Word, width Length) ([]text.Word, error) {
	w.Text = font.Normalise(w.Text)
	if Length(utf8.RuneCountInString(w.Text)) <= width/max(2*w.Style.Size, 1) { // no character is two ems wide
		return []text.Word{w}, nil
	}
	f, err := font.Open(w.Style.Face)
	if err != nil {
		return nil, err
	}
	// What cannot be set is told by package text.
	if w.Style.Size <= 0 || f.Check(plain(w.Text)) != nil || f.Width(w.Text, w.Style.Size) <= width {
		return []text.Word{w}, nil
	}
	var pieces []text.Word
	runes := []rune(w.Text)
	for len(runes) > 0 {
		n := 1
		for n < len(runes) && f.Width(string(runes[:n+1]), w.Style.Size) <= width {
			n++
		}
		piece := w
		if piece.Text = string(runes[:n]); n < len(runes) {
			piece.Space, piece.Break = false, text.Free
		}
		pieces = append(pieces, piece)
		runes = runes[n:]
	}
	return pieces, nil
}

// plain gives the text without the characters that break lines or forbid it,
// which no face draws.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case '\n', '\t', '\r', '\u00a0':
			return ' '
		}
		return r
	}, s)
}

// A Rule is a line across the column.
type Rule struct {
	Stroke Stroke
	Above  Length // from what stands above it, but not at the head of a page
	Below  Length
	Keep   bool // it stays with the next block
}

func (r Rule) lay(width Length) ([]strip, error) {
	s := strip{above: r.Above, height: r.Stroke.Width + r.Below, keep: r.Keep}
	if y := r.Stroke.Width / 2; r.Stroke.drawn() {
		s.items = []scene.Item{{Path: r.Stroke.path().Move(0, y).Line(width, y)}}
	}
	return []strip{s}, nil
}

// A Figure is a number that stands with its decimal point, or with its end where
// it has none, at one place, so that figures below each other can be compared.
type Figure struct {
	Value    string
	Style    Style  // in a face whose figures are all of one width
	Point    Length // where the decimal point begins, from the left edge of the column
	Decimals int    // the most that stand in the column; the unit stands behind them
	Unit     Run
}

func (f Figure) lay(width Length) ([]strip, error) {
	whole, _, _ := strings.Cut(f.Value, ".")
	before, err := oneLine(whole, f.Style)
	if err != nil {
		return nil, err
	}
	if before.Width > f.Point {
		return nil, &text.WideError{Text: whole, Width: before.Width, Room: f.Point, Missing: before.Width - f.Point}
	}
	value, err := oneLine(f.Value, f.Style)
	if err != nil {
		return nil, err
	}
	behind, err := oneLine("."+strings.Repeat("0", f.Decimals), f.Style)
	if err != nil {
		return nil, err
	}
	unit, err := oneLine(f.Unit.Text, f.Unit.Style)
	if err != nil {
		return nil, err
	}
	at := f.Point
	if f.Decimals > 0 {
		at += behind.Width
	}
	if unit.Width > 0 {
		at += f.Unit.Style.Size / 4
	}
	if at+unit.Width > width {
		return nil, &text.WideError{Text: f.Value + " " + f.Unit.Text, Width: at + unit.Width, Room: width, Missing: at + unit.Width - width}
	}
	pitch, base, err := Paragraph{Runs: []Run{{Style: f.Style}}}.pitch()
	if err != nil {
		return nil, err
	}
	items := value.Set(scene.Point{X: f.Point - before.Width, Y: base}, text.Left)
	items = append(items, unit.Set(scene.Point{X: at, Y: base}, text.Left)...)
	return []strip{{height: pitch, base: base, items: items}}, nil
}

// A Tick is a square box to tick, on the baseline.
type Tick struct {
	Side   Length
	Stroke Stroke
}

func (t Tick) lay(Length) ([]strip, error) {
	square := t.Stroke.path().Rectangle(scene.Rect{W: t.Side, H: t.Side}.Inset(t.Stroke.Width / 2))
	// The box stands a little below the baseline, as a bracket does.
	return []strip{{height: t.Side, base: t.Side * 5 / 6, items: []scene.Item{{Path: square}}}}, nil
}

// A Blank is a rule to write on, just below the baseline and as wide as its
// column.
type Blank struct{ Stroke Stroke }

func (b Blank) lay(width Length) ([]strip, error) {
	drop := 2 * b.Stroke.Width
	line := b.Stroke.path().Move(0, drop).Line(width, drop)
	return []strip{{height: drop + b.Stroke.Width, items: []scene.Item{{Path: line}}}}, nil
}
