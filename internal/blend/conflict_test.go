package blend_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"

	"saponym/internal/blend"
)

// spell writes constraints as "low 0", "high 1", "order 2" and "sum".
func spell(all []blend.Constraint) string {
	var words []string
	for _, c := range all {
		if c.Kind == blend.Sum {
			words = append(words, "sum")
			continue
		}
		words = append(words, fmt.Sprintf("%s %d", map[blend.Kind]string{blend.LowBound: "low", blend.HighBound: "high", blend.NotRising: "order"}[c.Kind], c.Part))
	}
	return strings.Join(words, ", ")
}

func TestConflict(t *testing.T) {
	down := func(s blend.Set) blend.Set {
		s.Down = ordered(len(s.Low)).Down
		return s
	}
	for _, tt := range []struct {
		name string
		set  blend.Set
		want string
	}{
		{"none", blend.Free(3), ""},
		{"thirds that are rounded to parts of 10⁹", blend.Set{Low: []float64{0.1, 0.2, 0.7}, High: []float64{0.1, 0.2, 0.7}, Down: make([]bool, 2)}, ""},
		{"too much", blend.Set{Low: []float64{0.6, 0.01, 0.5, 0.02}, High: []float64{1, 1, 1, 1}, Down: make([]bool, 3)}, "low 0, low 2, sum"},
		{"too little", blend.Set{Low: []float64{0, 0}, High: []float64{0.4, 0.5}, Down: []bool{false}}, "high 0, high 1, sum"},
		{"too little in order", down(blend.Set{Low: []float64{0, 0, 0}, High: []float64{0.3, 1, 1}}), "high 0, order 0, order 1, sum"},
		{"too much in order", down(blend.Set{Low: []float64{0, 0.4, 0.3}, High: []float64{1, 1, 1}}), "order 0, low 1, low 2, sum"},
		{"against the order", down(blend.Set{Low: []float64{0, 0, 0, 0.45, 0}, High: []float64{1, 0.4, 1, 1, 1}}), "high 1, order 1, order 2, low 3"},
		{"against the order twice, and the nearer is told", down(blend.Set{Low: []float64{0, 0, 0.3, 0}, High: []float64{0.2, 0.25, 1, 1}}), "high 1, order 1, low 2"},
		{"against order and sum", down(blend.Set{Low: []float64{0, 0.9, 0.9}, High: []float64{0.5, 1, 1}}), "high 0, order 0, low 1"},
		{"bounds crossing", blend.Set{Low: []float64{0.5, 0.1}, High: []float64{0.4, 1}, Down: []bool{false}}, "low 0, high 0"},
		{"more than all", blend.Set{Low: []float64{1.2}, High: []float64{2}}, "low 0, sum"},
		{"negative", blend.Set{Low: []float64{-1, 0}, High: []float64{-0.5, 1}, Down: []bool{false}}, "high 0"},
		{"no number", blend.Set{Low: []float64{math.NaN(), 0}, High: []float64{1, 1}, Down: []bool{false}}, "low 0"},
		{"no number above", blend.Set{Low: []float64{0, 0}, High: []float64{1, math.NaN()}, Down: []bool{false}}, "high 1"},
		{"endless", blend.Set{Low: []float64{math.Inf(-1), 0}, High: []float64{math.Inf(1), 1}, Down: []bool{false}}, ""},
		{"no parts", blend.Set{}, "sum"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := spell(tt.set.Conflict()); got != tt.want {
				t.Errorf("got %s\nwant %s", got, tt.want)
			}
		})
	}
}

func TestLegalConflict(t *testing.T) {
	for _, tt := range []struct {
		name      string
		low, high []float64
		ordered   int
		want      string
	}{
		{"a rise below the line", []float64{0.98, 0.003, 0.009}, []float64{1, 0.004, 0.01}, 3, ""},
		{"a rise over the line", []float64{0.5, 0, 0.02}, []float64{1, 0.004, 0.1}, 3, "high 1, order 1, low 2"},
		{"a colourant that is large", []float64{0.5, 0, 0.02}, []float64{1, 0.004, 0.1}, 2, ""},
		{"few at the line make no whole", []float64{0, 0, 0, 0}, []float64{0.005, 1, 1, 1}, 4, "high 0, order 0, order 1, order 2, sum"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := blend.Set{Low: tt.low, High: tt.high, Down: make([]bool, len(tt.low)-1)}
			if got := spell(blend.LegalConflict(s, tt.ordered, 0.01)); got != tt.want {
				t.Errorf("got %s\nwant %s", got, tt.want)
			}
		})
	}
}

// A stated is a set with the constraints that are held to; those that are not are
// left out.
type stated struct {
	blend.Set
	held []blend.Constraint
}

// satisfiable asks a linear programme whether shares that are not negative satisfy what
// is held to: each bound gets a slack of its own.
func (s stated) satisfiable(t *rapid.T) bool {
	// One row more than are held to lets no part be without any: all are 100 at most.
	n, rows := len(s.Low), len(s.held)+1
	a, b := mat.NewDense(rows, n+rows, nil), make([]float64, rows)
	for i := range n {
		a.Set(rows-1, i, 1)
	}
	a.Set(rows-1, n+rows-1, 1)
	b[rows-1] = 100
	for r, c := range s.held {
		switch c.Kind {
		case blend.LowBound:
			a.Set(r, c.Part, 1)
			a.Set(r, n+r, -1)
			b[r] = s.Low[c.Part]
		case blend.HighBound:
			a.Set(r, c.Part, 1)
			a.Set(r, n+r, 1)
			b[r] = s.High[c.Part]
		case blend.NotRising:
			a.Set(r, c.Part, 1)
			a.Set(r, c.Part+1, -1)
			a.Set(r, n+r, -1)
		case blend.Sum:
			for i := range n {
				a.Set(r, i, 1)
			}
			b[r] = 1
		}
	}
	cost := make([]float64, n+rows)
	for r, c := range s.held {
		if c.Kind == blend.Sum {
			a.Set(r, n+r, 1)
			cost[n+r] = 1 // what is missing from the whole; the least of it must be nought
		}
	}
	missing, _, err := lp.Simplex(cost, a, b, 1e-10, nil)
	if errors.Is(err, lp.ErrInfeasible) {
		return false
	}
	if err != nil {
		t.Fatalf("the linear programme failed: %v\n%v\n%v", err, s.Set, s.held)
	}
	return missing < 1e-7
}

// anySet draws a set whose bounds are whole twentieths, so that a linear programme in
// floating point can tell.
func anySet(t *rapid.T, most int) blend.Set {
	n := rapid.IntRange(1, most).Draw(t, "parts")
	s := blend.Free(n)
	for i := range n {
		low := rapid.IntRange(0, 12).Draw(t, "low")
		s.Low[i] = float64(low) / 20 * float64(rapid.IntRange(0, 1).Draw(t, "has low"))
		if rapid.Bool().Draw(t, "has high") {
			s.High[i] = float64(rapid.IntRange(0, 14).Draw(t, "high")) / 20
		}
	}
	for i := range s.Down {
		s.Down[i] = rapid.Bool().Draw(t, "down")
	}
	return s
}

// everything gives all constraints of a set.
func everything(s blend.Set) []blend.Constraint {
	all := []blend.Constraint{{Kind: blend.Sum}}
	for i := range s.Low {
		all = append(all, blend.Constraint{Kind: blend.LowBound, Part: i}, blend.Constraint{Kind: blend.HighBound, Part: i})
	}
	for i, down := range s.Down {
		if down {
			all = append(all, blend.Constraint{Kind: blend.NotRising, Part: i})
		}
	}
	return all
}

// A linear programme agrees on whether there is a conflict, that what is named is one,
// and that nothing less of it is.
func TestConflictIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySet(t, 5)
		named := s.Conflict()
		if satisfiable := (stated{s, everything(s)}).satisfiable(t); satisfiable != (named == nil) {
			t.Fatalf("satisfiable: %v; conflict: %s", satisfiable, spell(named))
		}
		if _, err := s.Middle(); (err == nil) != (named == nil) {
			t.Fatalf("middle: %v; conflict: %s", err, spell(named))
		}
		if named == nil {
			return
		}
		if (stated{s, named}).satisfiable(t) {
			t.Fatalf("no conflict: %s", spell(named))
		}
		for i, c := range named {
			if less := slices.Delete(slices.Clone(named), i, i+1); !(stated{s, less}).satisfiable(t) {
				t.Fatalf("of %s, %s is not needed", spell(named), spell([]blend.Constraint{c}))
			}
		}
	})
}

// legally is [stated.satisfiable] for a list that was made under ingredient law: each
// share that must not rise may do so up to the line. One linear programme is asked for
// each choice of those that do.
func (s stated) legally(t *rapid.T, line float64) bool {
	rising := 0
	for _, c := range s.held {
		if c.Kind == blend.NotRising {
			rising++
		}
	}
	for choice := range 1 << rising {
		chosen := stated{Set: blend.Set{Low: s.Low, High: slices.Repeat([]float64{100}, len(s.Low))}}
		at := 0
		for _, c := range s.held {
			switch c.Kind {
			case blend.HighBound:
				chosen.High[c.Part] = min(chosen.High[c.Part], s.High[c.Part])
				continue
			case blend.NotRising:
				if at++; choice>>(at-1)&1 == 1 {
					chosen.High[c.Part+1] = min(chosen.High[c.Part+1], line)
					continue
				}
			}
			chosen.held = append(chosen.held, c)
		}
		for i := range s.Low {
			chosen.held = append(chosen.held, blend.Constraint{Kind: blend.HighBound, Part: i})
		}
		if chosen.satisfiable(t) {
			return true
		}
	}
	return false
}

// Under ingredient law there is a conflict just where no place of the line is left. A
// linear programme for each place agrees that what is named is one by itself, and that
// nothing less of it is.
func TestLegalConflictIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySet(t, 5)
		ordered := rapid.IntRange(0, len(s.Low)).Draw(t, "ordered")
		line := rapid.SampledFrom([]float64{0.05, 0.1, 0.3}).Draw(t, "line")
		named := blend.LegalConflict(s, ordered, line)
		if u := blend.LegalOrder(s, ordered, line); (len(u) == 0) != (named != nil) {
			t.Fatalf("%d places of the line; conflict: %s", len(u), spell(named))
		}
		for i := range s.Down {
			s.Down[i] = i+1 < ordered
		}
		if named == nil {
			if !(stated{s, everything(s)}).legally(t, line) {
				t.Fatal("nothing satisfies it, and there is no conflict")
			}
			return
		}
		if (stated{s, named}).legally(t, line) {
			t.Fatalf("no conflict: %s", spell(named))
		}
		for i, c := range named {
			if less := slices.Delete(slices.Clone(named), i, i+1); !(stated{s, less}).legally(t, line) {
				t.Fatalf("of %s, %s is not needed", spell(named), spell([]blend.Constraint{c}))
			}
		}
	})
}

// tooMany is a list of so many parts in order that are a little too much together.
func tooMany(n int) blend.Set {
	s := ordered(n)
	for i := range n {
		s.Low[i] = 1.001 / float64(n)
	}
	return s
}

// All of a long list may be needed for its conflict.
func TestConflictOfLongLists(t *testing.T) {
	for _, n := range []int{500, 10_000} {
		if named := tooMany(n).Conflict(); len(named) < n*9/10 || named[len(named)-1].Kind != blend.Sum {
			t.Errorf("%d parts: only %d constraints", n, len(named))
		}
	}
}

func BenchmarkConflict(b *testing.B) {
	for _, n := range []int{20, 500, 10_000} {
		s := tooMany(n)
		b.Run(fmt.Sprintf("%d parts", n), func(b *testing.B) {
			for b.Loop() {
				s.Conflict()
			}
		})
	}
}
