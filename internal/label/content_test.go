package label_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/label"
	"saponym/internal/measure"
)

func TestWords(t *testing.T) {
	for _, tt := range []struct {
		name string
		s    label.Statement
		want string
	}{
		{"nothing", label.Statement{}, ""},
		{"a line", label.Statement{Lines: []string{"Net Wt 4 oz (113 g)"}}, "Net Wt 4 oz (113 g)"},
		{"paragraphs", label.Statement{Lines: []string{"Tern", "12 Ropewalk"}}, "Tern 12 Ropewalk"},
		{"a heading", label.Statement{Heading: "Caution:", Lines: []string{"Keep dry."}}, "Caution: Keep dry."},
		{"a list", label.Statement{Heading: "Ingredients:", Names: []string{"Aqua", "CI 77491"}}, "Ingredients: Aqua, CI 77491."},
		{"a list of one", label.Statement{Names: []string{"Aqua"}}, "Aqua."},
		{"all three", label.Statement{Heading: "May contain:", Lines: []string{"traces of"}, Names: []string{"Mica"}}, "May contain: traces of Mica."},
	} {
		t.Run(tt.name, func(t *testing.T) {
			before := slices.Clone(tt.s.Lines)
			if got := tt.s.Words(); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
			if !slices.Equal(tt.s.Lines, before) {
				t.Errorf("the lines became %q", tt.s.Lines)
			}
		})
	}
}

func TestFind(t *testing.T) {
	c := label.Content{Statements: []label.Statement{{Duty: label.DutyName, Field: "name"}, {Duty: label.DutyBatch, Field: "batch"}}}
	if s, ok := c.Find(label.DutyBatch); !ok || s.Field != "batch" {
		t.Errorf("batch: %+v, %t", s, ok)
	}
	if s, ok := c.Find(label.DutyOrigin); ok {
		t.Errorf("origin: %+v, which is not there", s)
	}
}

func TestLeast(t *testing.T) {
	steps := label.Letters{Steps: []label.HeightStep{{0, 1}, {10, 2}, {20, 4}}}
	for _, tt := range []struct {
		name    string
		letters label.Letters
		panel   measure.Area
		want    measure.Length
	}{
		{"nothing is asked", label.Letters{}, 100, 0},
		{"no panel", steps, 0, 1},
		{"the first step", steps, 9, 1},
		{"just its end", steps, 10, 1},
		{"just over it", steps, 11, 2},
		{"just the end of the second", steps, 20, 2},
		{"the last", steps, 21, 4},
		{"as large as can be", steps, 1<<63 - 1, 4},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.letters.Least(tt.panel); got != tt.want {
				t.Errorf("got %d, want %d", got, tt.want)
			}
		})
	}
}

// A larger panel never asks for lower letters where the steps rise.
func TestLeastRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var l label.Letters
		var over measure.Area
		var least measure.Length
		for range rapid.IntRange(1, 6).Draw(t, "steps") {
			least += measure.Length(rapid.IntRange(1, 1000).Draw(t, "more"))
			l.Steps = append(l.Steps, label.HeightStep{Over: over, Min: least})
			over += measure.Area(rapid.IntRange(1, 1000).Draw(t, "wider"))
		}
		a := measure.Area(rapid.IntRange(0, 7000).Draw(t, "a"))
		b := a + measure.Area(rapid.IntRange(0, 7000).Draw(t, "b"))
		if l.Least(a) > l.Least(b) {
			t.Errorf("%d asks for %d, and the larger %d for %d", a, l.Least(a), b, l.Least(b))
		}
		if l.Least(a) < l.Steps[0].Min {
			t.Errorf("%d asks for %d, less than the first step", a, l.Least(a))
		}
	})
}

// The principal display panel is the whole face, exactly: 5 in² stay 5 in².
func TestFace(t *testing.T) {
	b := label.Bar{Length: 5 * measure.Inch / 2, Width: 2 * measure.Inch, Height: measure.Inch}
	if got := b.Face(); got != 5*measure.SquareInch {
		t.Errorf("face %d, want %d", got, 5*measure.SquareInch)
	}
}
