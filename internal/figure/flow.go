// Package figure draws the pictures that stand in papers and on the page.
//
// It takes what others worked out and gives a [scene.Scene] or a [scene.Sheet];
// it computes no mass. The picture of a [trail.Flow] shows a whole batch at once:
// what was weighed, what it is in the bar, and the words that name it, with a
// ribbon for each mass that passes from one to the next.
//
// One scale holds for the whole picture: thickness, measured upright, is mass. A
// node stands as a gauge that is filled to what is sure and hatched to what may
// be, with a line at the figure that is given. A ribbon is as thick as the figure
// given, and filled in the same way; a dashed edge shows how thick it may be. What
// is too little to see is a hairline, and the key says below which mass. Only the
// trail of the word that is asked for is yellow.
//
// The picture of a [Curve] shows how bars dry: what the scale said, what is to be
// expected with its interval, and the claim with the day until which it holds.
//
// The pictures are ink on white paper and draw no ground; whoever shows one on a
// screen lays white under it.
package figure

import (
	"fmt"
	"unicode/utf8"

	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/trail"
)

type length = measure.Length

const (
	mm = measure.Millimetre
	um = measure.Micrometre
	pt = measure.Point
)

// mostGrams is the largest mass of a node or ribbon: a thousand tonnes.
const mostGrams = 1e9

// leastGrams is the least mass of the heaviest column that is drawn to a scale: a
// nanogram. Of less only hairlines are drawn.
const leastGrams = 1e-9

// A FlowError says what is wrong with the figures or the words of a flow.
type FlowError struct {
	Field   string // such as "bar[3]"
	Message string
}

func (e *FlowError) Error() string {
	return fmt.Sprintf("drawing a flow: %s %s", e.Field, e.Message)
}

// A TallError says that the words of one node, or those over and under the
// picture, take more than a page.
type TallError struct {
	Field        string // of the node; "" for the title and the key
	Height, Room measure.Length
}

func (e *TallError) Error() string {
	what := "the title and the key of the picture"
	if e.Field != "" {
		what = "the words of " + e.Field
	}
	return fmt.Sprintf("%s are %.1f mm high, and a page has room for %.1f mm",
		what, e.Height.Millimetres(), e.Room.Millimetres())
}

// A NarrowError says that the paper is too narrow for three columns and the
// ribbons between them.
type NarrowError struct{ Width measure.Length }

func (e *NarrowError) Error() string {
	return fmt.Sprintf("the picture of a flow has no room on paper %.1f mm wide", e.Width.Millimetres())
}

// Flow draws a flow as one scene. It lies across the paper where its words have
// room there, else it stands upright; where they have none on a page at all, the
// scene is as wide as the upright paper and higher. Which side of the paper is
// given as its width does not matter.
//
// Each item of a node is marked with its place, such as "pot[0]", "bar[2]" or
// "words[5]", and each ribbon with the two places that it joins: "pot[0] bar[2]".
//
// The error is a [*FlowError], a [*TallError], a [*NarrowError], or that of
// package text for letters that cannot be set.
func Flow(f trail.Flow, paper scene.Size) (scene.Scene, error) {
	p, err := lay(f, paper)
	if err != nil {
		return scene.Scene{}, err
	}
	return p.scene(window{0, p.height}, "")
}

// Sheet draws a flow on pages of the paper: on one, as [Flow] does, or on several
// of which each shows a part of its height. No words are cut then, and a ribbon
// that leaves one page at its lower edge comes in on the next at the upper edge.
// The errors are those of [Flow].
func Sheet(f trail.Flow, paper scene.Size) (scene.Sheet, error) {
	p, err := lay(f, paper)
	if err != nil {
		return scene.Sheet{}, err
	}
	pages := p.pages()
	sheet := scene.Sheet{Size: p.frame.size}
	for i := range pages {
		name := ""
		if pages > 1 {
			name = fmt.Sprintf("page %d of %d", i+1, pages)
		}
		from := p.room * length(i)
		s, err := p.scene(window{from, from + p.room}, name)
		if err != nil {
			return scene.Sheet{}, err
		}
		sheet.Scenes = append(sheet.Scenes, s)
		sheet.Places = append(sheet.Places, scene.Place{Scene: i, Page: i, At: scene.Shift(scene.Point{})})
	}
	return sheet, nil
}

// check looks at all that a picture could not be drawn of, or only a wrong one.
func check(f trail.Flow) error {
	for _, words := range [][2]string{{"the name of the formula", f.Formula}, {"the name of the market", f.Market}, {"the word", f.Word}} {
		if !utf8.ValidString(words[1]) {
			return &FlowError{words[0], "is not valid UTF-8"}
		}
	}
	columns := [3][]trail.Node{f.Weighed, f.Bar, f.Words}
	for c, nodes := range columns {
		for i, n := range nodes {
			if !utf8.ValidString(n.Name) || !utf8.ValidString(n.Note) {
				return &FlowError{place(c, i), "has words that are not valid UTF-8"}
			}
			if message := wrong(n.Grams); message != "" {
				return &FlowError{place(c, i), message}
			}
		}
	}
	for c, ribbons := range [2][]trail.Ribbon{f.Made, f.Named} {
		for _, r := range ribbons {
			if r.From < 0 || r.From >= len(columns[c]) || r.To < 0 || r.To >= len(columns[c+1]) {
				return &FlowError{join(c, r), "joins a node that is not there"}
			}
			if c == 1 && f.Bar[r.From].Gone {
				return &FlowError{join(c, r), "comes from what has left the bar"}
			}
			if message := wrong(r.Grams); message != "" {
				return &FlowError{join(c, r), message}
			}
		}
	}
	return nil
}

// wrong says what is wrong with a mass, or "".
func wrong(g trail.Grams) string {
	if !(0 <= g.Low && g.Low <= g.Nominal && g.Nominal <= g.High && g.High <= mostGrams) {
		return fmt.Sprintf("has %g g, of %g to %g; want figures from 0 to %g in rising order", g.Nominal, g.Low, g.High, mostGrams)
	}
	return ""
}

// fields are what the columns are called in marks.
var fields = [3]string{"pot", "bar", "words"}

// place names a node of a column.
func place(column, node int) string { return fmt.Sprintf("%s[%d]", fields[column], node) }

// join names a ribbon that leaves a column.
func join(column int, r trail.Ribbon) string {
	return place(column, r.From) + " " + place(column+1, r.To)
}
