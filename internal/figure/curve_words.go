package figure

import (
	"slices"
	"strings"

	"saponym/internal/font"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// A caption is words on one line, with what their letters take up.
type caption struct {
	line         text.Line
	above, below length
}

// mostRunes is how much of a text is looked at: no line of a picture holds more.
const mostRunes = 1000

// captionOf sets runs on one line of at most a width. If they are too long, the first of
// them ends in "…".
func captionOf(width length, runs ...run) (caption, error) {
	full := []rune(font.Normalise(runs[0].words))
	runs = slices.Clone(runs)
	try := func(words string) (text.Line, error) {
		runs[0].words = words
		return joined(runs)
	}
	if len(full) <= mostRunes {
		l, err := try(string(full))
		if err != nil {
			return caption{}, err
		}
		if l.Width <= width {
			return inked(l, runs)
		}
	}
	fits, over := 0, min(len(full), mostRunes) // of its runes
	for over-fits > 1 {
		middle := (fits + over) / 2
		l, err := try(clipped(full[:middle]))
		if err != nil {
			return caption{}, err
		}
		if l.Width <= width {
			fits = middle
		} else {
			over = middle
		}
	}
	l, err := try(clipped(full[:fits]))
	if err != nil {
		return caption{}, err
	}
	return inked(l, runs)
}

// clipped ends words in what stands for the rest: after a whole word, if the last one is
// not too long for that.
func clipped(words []rune) string {
	s := string(words)
	if at := strings.LastIndexByte(s, ' '); at > len(s)*2/3 {
		s = s[:at]
	}
	return strings.TrimRight(s, " ,;:(") + more
}

// joined sets runs on one line, with a space between them.
func joined(runs []run) (text.Line, error) {
	var words []text.Word
	for _, r := range runs {
		next := text.Words(r.words, r.style)
		if len(words) > 0 && len(next) > 0 {
			words[len(words)-1].Space = true
		}
		words = append(words, next...)
	}
	return text.OneLine(words...)
}

// inked measures the letters of runs that are set on a line.
func inked(l text.Line, runs []run) (caption, error) {
	c := caption{line: l}
	for _, r := range runs {
		f, err := font.Open(r.style.Face)
		if err != nil {
			return caption{}, err
		}
		above, below := f.Ink(r.words, r.style.Size)
		c.above = max(c.above, f.CapHeight(r.style.Size), above)
		c.below = max(c.below, f.Descent(r.style.Size), below)
	}
	return c, nil
}

// height is that of the letters.
func (c caption) height() length { return c.above + c.below }

// box gives what the letters take up if they begin at a place on the baseline.
func (c caption) box(at scene.Point) scene.Rect {
	return scene.Rect{X: at.X, Y: at.Y - c.above, W: c.line.Width, H: c.height()}
}

// middle gives the baseline of letters whose capitals stand around a height.
func (c caption) middle(y length) length { return y + c.above/2 }

// A stretch is a straight piece of a line.
type stretch struct{ a, b scene.Point }

// meets reports whether a stretch comes into a box.
func (s stretch) meets(r scene.Rect) bool {
	from, to := 0.0, 1.0
	cut := func(a, d, low, high length) bool {
		if d == 0 {
			return low <= a && a <= high
		}
		first, last := float64(low-a)/float64(d), float64(high-a)/float64(d)
		from, to = max(from, min(first, last)), min(to, max(first, last))
		return from <= to
	}
	return cut(s.a.X, s.b.X-s.a.X, r.X, r.Right()) && cut(s.a.Y, s.b.Y-s.a.Y, r.Y, r.Bottom())
}

// A clearing is the room of a picture with what stands in it.
type clearing struct {
	bounds scene.Rect
	lines  []stretch    // that no words stand on
	boxes  []scene.Rect // the same: points and fields, and then words
	points int          // of the boxes, how many are no words
	fine   []stretch    // lines that words may break where there is no other room
}

// around is how far words keep off all else.
const around = 7 * mm / 10

// free reports whether a box keeps clear of all.
func (k *clearing) free(r scene.Rect, broken bool) bool {
	if r.X < k.bounds.X || r.Y < k.bounds.Y || r.Right() > k.bounds.Right() || r.Bottom() > k.bounds.Bottom() {
		return false
	}
	r = r.Inset(-around)
	for _, b := range k.boxes {
		if r.X < b.Right() && b.X < r.Right() && r.Y < b.Bottom() && b.Y < r.Bottom() {
			return false
		}
	}
	for _, s := range k.lines {
		if s.meets(r) {
			return false
		}
	}
	if !broken {
		for _, s := range k.fine {
			if s.meets(r) {
				return false
			}
		}
	}
	return true
}

// find gives the first of the places for the start of a caption at which it stands clear,
// and takes it. Where there is none, it may break a fine line.
func (k *clearing) find(c caption, places []scene.Point) (scene.Point, bool) {
	for _, broken := range [2]bool{false, true} {
		for _, at := range places {
			if b := c.box(at); k.free(b, broken) {
				k.boxes = append(k.boxes, b)
				return at, true
			}
		}
	}
	return scene.Point{}, false
}

// stops gives places beside each other from one to another, both of them included.
func stops(from, to, step length) []length {
	var all []length
	for x := from; from <= to && x < to || from > to && x > to; {
		all = append(all, x)
		if from <= to {
			x += step
		} else {
			x -= step
		}
	}
	return append(all, to)
}

// gaps gives the pieces of a line from one place to another that are left between boxes,
// which are given by where they begin and end along it.
func gaps(from, to length, taken []span) []span {
	left := []span{{from, to}}
	for _, t := range taken {
		var next []span
		for _, s := range left {
			if t.bottom <= s.top || t.top >= s.bottom {
				next = append(next, s)
				continue
			}
			if s.top < t.top {
				next = append(next, span{s.top, t.top})
			}
			if t.bottom < s.bottom {
				next = append(next, span{t.bottom, s.bottom})
			}
		}
		left = next
	}
	return left
}
