package band

import (
	"math"
	"slices"
	"strings"

	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// A shape is a title broken into lines, measured in sizes of its face: at any
// size the title is so many times as large.
type shape struct {
	statement label.Statement
	face      scene.Face
	lines     []shapeLine
	// touch has, for each line but the first, the distance of its baseline from
	// the one before at which letters of the two would touch.
	touch []float64
}

type shapeLine struct {
	words               string
	width, above, below float64
	letters             []letter
}

// A letter is the ink of one character of a line that is centred at 0.
type letter struct{ left, right, above, below float64 }

// reference is the size at which shapes are measured. It is large, so that
// rounding to the nanometre does not show.
const reference = 100 * measure.Millimetre

// widthOf gives the width of the widest line.
func (s shape) widthOf() float64 {
	w := 0.0
	for _, l := range s.lines {
		w = max(w, l.width)
	}
	return w
}

// joiners are words that do not end a line of a title: they belong to what
// follows.
var joiners = map[string]bool{"&": true, "+": true, "and": true, "with": true, "of": true, "the": true, "in": true, "a": true,
	"et": true, "de": true, "au": true, "und": true, "mit": true, "y": true, "con": true, "e": true, "i": true}

// mostLines is how many lines a title may take.
const mostLines = 3

// shapes gives a title on one line and, where it has more words, on two and three
// lines that are as equal as its words allow.
func (s *solver) shapes(statement label.Statement, face scene.Face) ([]shape, error) {
	key := shapeKey{statement.Duty, face}
	if known, ok := s.known[key]; ok {
		return known, nil
	}
	f, err := font.Open(face)
	if err != nil {
		return nil, err
	}
	words := strings.Fields(font.Normalise(strings.Join(statement.Lines, " ")))
	var all []shape
	for n := 1; n <= mostLines; n++ {
		var best [][]string
		narrowest := measure.Length(math.MaxInt64)
		for _, lines := range splits(words, n) {
			if n > 1 && slices.ContainsFunc(lines, mixed) {
				continue
			}
			widest := measure.Length(0)
			for _, line := range lines {
				widest = max(widest, f.Width(strings.Join(line, " "), reference))
			}
			if widest < narrowest {
				best, narrowest = lines, widest
			}
		}
		if best == nil {
			continue
		}
		split, err := newShape(statement, face, best...)
		if err != nil {
			return nil, err
		}
		all = append(all, split)
	}
	s.known[key] = all
	return all, nil
}

// mixed reports whether a line begins with the slash that parts two languages, or
// has words of both.
func mixed(line []string) bool {
	i := slices.Index(line, "/")
	return i == 0 || i > 0 && i < len(line)-1
}

// splits lists the ways to set words on n lines, none of which ends with a
// joiner.
func splits(words []string, n int) [][][]string {
	if n == 1 {
		return [][][]string{{words}}
	}
	var all [][][]string
	for i := 1; i < len(words); i++ {
		if joiners[strings.ToLower(words[i-1])] {
			continue
		}
		for _, rest := range splits(words[i:], n-1) {
			all = append(all, append([][]string{words[:i]}, rest...))
		}
	}
	return all
}

type shapeKey struct {
	duty label.Duty
	face scene.Face
}

func newShape(statement label.Statement, face scene.Face, lines ...[]string) (shape, error) {
	s := shape{statement: statement, face: face}
	f, err := font.Open(face)
	if err != nil {
		return shape{}, err
	}
	for _, words := range lines {
		l := shapeLine{words: strings.Join(words, " ")}
		set, err := s.set(l.words, reference, scene.Ink{})
		if err != nil {
			return shape{}, err
		}
		l.width = sizes(set.Width)
		above, below := f.Ink(l.words, reference)
		l.above, l.below = sizes(above), sizes(below)
		x := -l.width / 2
		for i, advance := range f.Advances(l.words, reference) {
			above, below := f.Ink(string([]rune(l.words)[i]), reference)
			l.letters = append(l.letters, letter{x, x + sizes(advance), sizes(above), sizes(below)})
			x += sizes(advance)
		}
		if len(s.lines) > 0 {
			s.touch = append(s.touch, touch(s.lines[len(s.lines)-1].letters, l.letters))
		}
		s.lines = append(s.lines, l)
	}
	return s, nil
}

func sizes(l measure.Length) float64 { return float64(l) / float64(reference) }

// touch gives the distance of two baselines at which the ink of letters that
// stand one over the other would touch.
func touch(upper, lower []letter) float64 {
	const beside = 0.03 // in sizes: letters so near at the side count as standing over each other
	least := 0.0
	for _, u := range upper {
		for _, l := range lower {
			if u.left < l.right+beside && l.left < u.right+beside && u.above+u.below > 0 && l.above+l.below > 0 {
				least = max(least, u.below+l.above)
			}
		}
	}
	return least
}

// set gives one line of the title at a size.
func (s shape) set(words string, size measure.Length, ink scene.Ink) (text.Line, error) {
	style := text.Style{Face: s.face, Size: size, Ink: ink, Mark: scene.Mark{Duty: string(s.statement.Duty), Field: s.statement.Field}}
	line, err := text.OneLine(text.Words(words, style)...)
	return line, known(s.statement, err)
}

// A sized title is a shape with its size in millimetres.
type sizedTitle struct {
	shape
	size float64
	lead float64 // from baseline to baseline
}

// sized gives the title at a size, with its lines as close as the lead asks and
// the letters allow.
func (s shape) sized(size, lead float64) sizedTitle {
	t := sizedTitle{s, size, lead * size}
	for _, touch := range s.touch {
		t.lead = max(t.lead, touch*size+glyphGap)
	}
	return t
}

// above gives the ink of the title above its last baseline.
func (t sizedTitle) above() float64 {
	if len(t.lines) == 0 {
		return 0
	}
	return float64(len(t.lines)-1)*t.lead + t.lines[0].above*t.size
}

// below gives the ink below the last baseline.
func (t sizedTitle) below() float64 {
	if len(t.lines) == 0 {
		return 0
	}
	return t.lines[len(t.lines)-1].below * t.size
}

// held reports whether the lines stand within an arch, the last one on a baseline.
func (t sizedTitle) held(a arch, baseline float64) bool {
	for i, l := range t.lines {
		y := baseline - float64(len(t.lines)-1-i)*t.lead
		if !a.holds(l.width*t.size, y-l.above*t.size, y+l.below*t.size) {
			return false
		}
	}
	return true
}

// items sets the title, its last line on a baseline.
func (t sizedTitle) items(middle, baseline float64, ink scene.Ink) ([]scene.Item, error) {
	var items []scene.Item
	for i, l := range t.lines {
		line, err := t.set(l.words, tenths(t.size), ink)
		if err != nil {
			return nil, err
		}
		y := baseline - float64(len(t.lines)-1-i)*t.lead
		items = append(items, line.Set(at(middle, y), text.Centre)...)
	}
	return items, nil
}

// tenths gives a size in millimetres as a whole number of tenths of a point.
func tenths(size float64) measure.Length {
	return font.Tenths(int(math.Round(10 * font.Points(measure.MM(size)))))
}

// largest gives the largest size, in tenths of a point, at which a title has a
// width. It gives false where that is under the least.
func (s shape) largest(most, least measure.Length, width float64) (float64, bool) {
	size := min(most, font.Tenths(int(10*font.Points(measure.MM(width/s.widthOf())))))
	return size.Millimetres(), size >= least
}
