package figure_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/trail"
)

// box is what the letters of a text take up.
func box(t testing.TB, x *scene.Text) scene.Rect {
	f, err := font.Open(x.Face)
	if err != nil {
		t.Fatal(err)
	}
	above := f.CapHeight(x.Size)
	return scene.Rect{X: x.At.X, Y: x.At.Y - above, W: x.Width(), H: above + f.Descent(x.Size)}
}

func overlap(a, b scene.Rect) bool {
	return a.X < b.Right() && b.X < a.Right() && a.Y < b.Bottom() && b.Y < a.Bottom()
}

// reach gives what a path takes up, with its stroke.
func reach(p *scene.Path) scene.Rect {
	left, top, right, bottom := scene.Length(math.MaxInt64), scene.Length(math.MaxInt64), scene.Length(math.MinInt64), scene.Length(math.MinInt64)
	for _, step := range p.Steps {
		for _, at := range step.P[:step.Verb.Points()] {
			left, right = min(left, at.X-p.Width/2), max(right, at.X+p.Width/2)
			top, bottom = min(top, at.Y-p.Width/2), max(bottom, at.Y+p.Width/2)
		}
	}
	return scene.Rect{X: left, Y: top, W: right - left, H: bottom - top}
}

// isRibbon reports whether an item is part of a ribbon.
func isRibbon(item scene.Item) bool {
	return item.Path != nil && strings.Contains(item.Mark.Field, " ") && !strings.HasPrefix(item.Mark.Field, "words")
}

// sound says what is wrong with a page: what lies outside of it, stands on
// something else or is too small to read.
func sound(t testing.TB, s scene.Scene) error {
	const edge = 10 * measure.Millimetre
	paper := scene.Rect{W: s.Size.W, H: s.Size.H}.Inset(edge)
	inside := func(r scene.Rect) bool {
		return r.X >= paper.X && r.Y >= paper.Y && r.Right() <= paper.Right() && r.Bottom() <= paper.Bottom()
	}
	var texts []scene.Rect
	var words []string
	for _, item := range s.Items {
		if x := item.Text; x != nil {
			b := box(t, x)
			if x.Size < 6*measure.Point {
				return fmt.Errorf("%q has letters of %.2f pt", x.Runes, font.Points(x.Size))
			}
			if !inside(b) {
				return fmt.Errorf("%q leaves the page", x.Runes)
			}
			for i, other := range texts {
				if overlap(b, other) {
					return fmt.Errorf("%q stands on %q", x.Runes, words[i])
				}
			}
			texts, words = append(texts, b), append(words, x.Runes)
		}
	}
	for _, item := range s.Items {
		if item.Path == nil {
			continue
		}
		r := reach(item.Path)
		if !inside(r) {
			return fmt.Errorf("a path of %q leaves the page: %v", item.Mark.Field, r)
		}
		if !isRibbon(item) {
			continue
		}
		for i, b := range texts {
			if overlap(r, b) {
				return fmt.Errorf("the ribbon %q runs over %q", item.Mark.Field, words[i])
			}
		}
	}
	return apart(s)
}

// apart says which two nodes of a column stand on each other.
func apart(s scene.Scene) error {
	type extent struct{ top, bottom scene.Length }
	taken := make(map[string]extent)
	for _, item := range s.Items {
		field := item.Mark.Field
		if field == "" || strings.Contains(field, " ") {
			continue
		}
		var r scene.Rect
		if item.Text != nil {
			r = scene.Rect{Y: item.Text.At.Y - item.Text.Size/2, H: item.Text.Size / 2}
		} else {
			r = reach(item.Path)
		}
		e, ok := taken[field]
		if !ok {
			e = extent{r.Y, r.Bottom()}
		}
		taken[field] = extent{min(e.top, r.Y), max(e.bottom, r.Bottom())}
	}
	for _, column := range []string{"pot", "bar", "words"} {
		var last extent
		for i := range 1000 {
			field := fmt.Sprintf("%s[%d]", column, i)
			e, ok := taken[field]
			if !ok {
				continue
			}
			if last.bottom > e.top {
				return fmt.Errorf("%s begins at %d nm, and the one before ends at %d nm", field, e.top, last.bottom)
			}
			last = e
		}
	}
	return nil
}

// named gives the text of each node as it is drawn, by its mark, without spaces.
func named(scenes ...scene.Scene) map[string]string {
	got := make(map[string]string)
	for _, s := range scenes {
		for _, item := range s.Items {
			if item.Text != nil {
				got[item.Mark.Field] += dense(item.Text.Runes)
			}
		}
	}
	return got
}

// dense takes the spaces out of a text.
func dense(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '\f' {
			return -1
		}
		return r
	}, s)
}

// complete says which name is missing or not whole.
func complete(f trail.Flow, scenes ...scene.Scene) error {
	got := named(scenes...)
	for c, nodes := range [][]trail.Node{f.Weighed, f.Bar, f.Words} {
		for i, n := range nodes {
			field := fmt.Sprintf("%s[%d]", []string{"pot", "bar", "words"}[c], i)
			if !strings.HasPrefix(got[field], dense(n.Name)) || strings.Count(got[field], dense(n.Note)) == 0 {
				return fmt.Errorf("%s reads %q, want %q and %q", field, got[field], n.Name, n.Note)
			}
		}
	}
	return nil
}
