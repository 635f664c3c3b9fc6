package figure

import (
	"errors"
	"unicode/utf8"

	"saponym/internal/font"
	"saponym/internal/text"
)

// breakInside is what the end of a line within a name costs; see [text.Cost].
const breakInside text.Cost = 14

// widest gives the width of the widest word.
func widest(words []text.Word) (length, error) {
	var most length
	for _, w := range words {
		l, err := text.OneLine(w)
		if err != nil {
			return 0, err
		}
		most = max(most, l.Width)
	}
	return most, nil
}

// wrap breaks words into lines. A word that is wider than a line goes on in the
// next one, and so do words that ought to stay together.
func wrap(words []text.Word, width length) ([]text.Line, error) {
	p, err := text.Break(words, text.Column{Width: width})
	var wide *text.WideError
	if errors.As(err, &wide) {
		var pieces []text.Word
		for _, w := range words {
			p, err := pieceUp(w, width)
			if err != nil {
				return nil, err
			}
			pieces = append(pieces, p...)
		}
		p, err = text.Break(pieces, text.Column{Width: width})
	}
	if err != nil {
		return nil, err
	}
	return p.Lines, nil
}

// pieceUp cuts a word into pieces that are no wider than a line, between which a
// line may end.
func pieceUp(w text.Word, width length) ([]text.Word, error) {
	f, err := font.Open(w.Style.Face)
	if err != nil {
		return nil, err
	}
	var pieces []text.Word
	rest := font.Normalise(w.Text)
	for rest != "" {
		end := 0
		for end < len(rest) {
			_, size := utf8.DecodeRuneInString(rest[end:])
			if end > 0 && f.Width(rest[:end+size], w.Style.Size) > width {
				break
			}
			end += size
		}
		piece := w
		piece.Text, piece.Break = rest[:end], text.Free
		if rest = rest[end:]; rest != "" {
			piece.Space = false
		}
		pieces = append(pieces, piece)
	}
	return pieces, nil
}
