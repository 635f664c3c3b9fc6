package text

import (
	"strings"

	"saponym/internal/font"
	"saponym/internal/measure"
)

// A measured word is one that has been looked up in its font. Widths are in
// font units, so that a line of one style is rounded once, as a whole.
type measured struct {
	Word
	font  *font.Font
	units int64
	join  int64 // from this word to the next in the same run: the space, if any, and the kerning
	tail  int64 // after this word where the line goes on in another style
}

// measureWords checks and measures words. Words without text are left out.
func measureWords(words []Word) ([]measured, error) {
	var all []measured
	for _, w := range words {
		// A no-break space has done its work once the words are cut. It is drawn
		// as a plain space, which a reader who copies or searches expects.
		w.Text = strings.ReplaceAll(font.Normalise(w.Text), "\u00a0", " ")
		if w.Text == "" {
			continue
		}
		f, err := font.Open(w.Style.Face)
		if err != nil {
			return nil, err
		}
		if w.Style.Size <= 0 || w.Style.Size > largestSize {
			return nil, &SizeError{w.Text, w.Style.Size}
		}
		if faults := f.Check(w.Text); faults != nil {
			return nil, &CharacterError{w.Text, w.Style.Face, faults}
		}
		all = append(all, measured{Word: w, font: f, units: f.Units(w.Text)})
	}
	for i := range len(all) - 1 {
		w, next := &all[i], &all[i+1]
		switch {
		case w.Space:
			w.tail = w.font.Kern(last(w.Text), ' ') + w.font.Advance(' ')
			w.join = w.tail + w.font.Kern(' ', first(next.Text))
		default:
			w.join = w.font.Kern(last(w.Text), first(next.Text))
		}
	}
	return all, nil
}

// A ruler adds words to a line and says how wide it is.
type ruler struct {
	words []measured
	at    int    // the last word of the line
	done  Length // runs of other styles before it
	units int64  // of the run that the last word stands in, up to its end
}

func newRuler(words []measured, first int) ruler {
	return ruler{words: words, at: first, units: words[first].units}
}

// add lengthens the line by one word.
func (r *ruler) add() {
	w, next := &r.words[r.at], &r.words[r.at+1]
	if w.Style == next.Style {
		r.units += w.join + next.units
	} else {
		r.done += w.font.Scale(r.units+w.tail, w.Style.Size)
		r.units = next.units
	}
	r.at++
}

func (r *ruler) width() Length {
	w := &r.words[r.at]
	return r.done + w.font.Scale(r.units, w.Style.Size)
}

// A run is a part of a line in one style.
type run struct {
	style   Style
	x       Length // from the start of the line
	runes   string
	advance []measure.Length
}

// makeRuns sets words on one line.
func makeRuns(words []measured) ([]run, Length) {
	var runs []run
	var x Length
	for start := 0; start < len(words); {
		end := start + 1
		for end < len(words) && words[end].Style == words[start].Style {
			end++
		}
		var b strings.Builder
		for i, w := range words[start:end] {
			b.WriteString(w.Text)
			if w.Space && start+i+1 < len(words) {
				b.WriteByte(' ')
			}
		}
		style := words[start].Style
		r := run{style: style, x: x, runes: b.String(), advance: words[start].font.Advances(b.String(), style.Size)}
		for _, a := range r.advance {
			x += a
		}
		runs = append(runs, r)
		start = end
	}
	return runs, x
}
