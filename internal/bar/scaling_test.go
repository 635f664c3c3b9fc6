package bar_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// sameBar fails where one batter is not another times a factor, in sources and in lines.
// Weights that stand in a formula are whole nanograms, and grow with it; a mass that is
// the difference of others may be off by many of them.
func sameBar(t *rapid.T, got, want *bar.Batter, times float64) {
	t.Helper()
	if len(got.Sources) != len(want.Sources) {
		t.Fatalf("%d sources, want %d", len(got.Sources), len(want.Sources))
	}
	whole := times * want.Mass()
	same := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) <= 1e-9*whole) {
			t.Fatalf("%s: got %.12g g, want %.12g", what, got, want)
		}
	}
	for i, s := range want.Sources {
		same(s.Ref, got.Sources[i].Mass, times*s.Mass)
	}
	one, err := got.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	other, err := want.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	gotMasses, wantMasses := one.Masses(), other.Masses()
	for i, l := range other.Lines {
		same(fmt.Sprintf("%s of source %d", l.Names.US, i), gotMasses[i], times*wantMasses[i])
	}
}

// A formula at another size is the same formula: by its size, by all of its weights, or
// resized.
func TestScaling(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		times := rapid.IntRange(2, 7).Draw(t, "times")
		bigger := p.times(times)
		again, findings := pourRecipe(t, bigger)
		if again.batter == nil {
			t.Fatalf("%s%s", again.text(), rules(findings))
		}
		sameBar(t, again.batter, p.batter, float64(times))

		batter := 0.0
		for _, s := range p.batter.Sources {
			if !onTop(s) {
				batter += s.Mass
			}
		}
		at := finding.Pos{File: "cli", Line: 1, Col: 1}
		sizes := []formula.Size{{Batter: formula.Mass{V: mass(float64(times) * batter), At: at}}}
		if len(p.pot) > 0 {
			sizes = append(sizes, formula.Size{Oils: formula.Mass{V: mass(float64(times) * p.batter.Oils), At: at}})
		}
		for _, size := range sizes {
			b, findings := bar.Pour(p.formula(t).Resized(size), p.library(t))
			if b == nil {
				t.Fatalf("%s%s", p.text(), rules(findings))
			}
			sameBar(t, b, p.batter, float64(times))
		}
	})
}

// mass gives grams as a mass.
func mass(grams float64) measure.Mass { return measure.Mass(math.Round(grams * 1e9)) }

// times gives the recipe with its size, or all of its weights, so many times as large.
func (r recipe) times(k int) recipe {
	grow := func(lines []line) []line {
		all := make([]line, len(lines))
		for i, l := range lines {
			l.mg *= k
			all[i] = l
		}
		return all
	}
	r.made *= k
	if r.size != "" && r.inWeights() {
		return r // its weights are proportions
	}
	r.pot, r.base = grow(r.pot), grow(r.base)
	r.lyeMg, r.waterMg = r.lyeMg*k, r.waterMg*k
	liquids, add := make([]liquid, len(r.liquids)), make([]addition, len(r.add))
	for i, l := range r.liquids {
		l.mg *= k
		liquids[i] = l
	}
	for i, a := range r.add {
		a.mg *= k
		a.with = grow(a.with)
		add[i] = a
	}
	r.liquids, r.add = liquids, add
	return r
}

// inWeights reports whether the pot, or the base, is in weights.
func (r recipe) inWeights() bool {
	return len(r.pot) > 0 && r.pot[0].mg > 0 || len(r.base) > 0 && r.base[0].mg > 0
}

// One lye is the same bar however it is written: as a superfat, as the weight that came
// of it, as a ratio.
func TestOneLyeInThreeWays(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		if len(p.pot) == 0 || p.batter.Superfat() < 1e-6 {
			return
		}
		weighed := 0.0
		for _, a := range p.alkalis {
			grams, _ := p.mass(t, "lye "+a.name)
			weighed += grams
		}
		f := p.formula(t)
		at := f.Lye.At
		f.Lye.Superfat, f.Lye.Weight, f.Lye.Ratio = formula.Share{}, formula.Mass{}, nil
		scale := 1.0
		if p.inWeights() {
			typed := 0.0
			for _, l := range p.pot {
				typed += float64(l.mg) / 1000
			}
			scale = p.batter.Oils / typed
		}
		byWeight, byRatio := f, f
		byWeight.Lye.Weight = formula.Mass{V: mass(weighed / scale), At: at}
		byRatio.Lye.Ratio = &formula.Ratio{Alkali: formula.Mass{V: mass(weighed), At: at}, Oils: formula.Mass{V: mass(p.batter.Oils), At: at}}
		for what, other := range map[string]formula.Formula{"weight": byWeight, "ratio": byRatio} {
			b, findings := bar.Pour(other, p.library(t))
			if b == nil {
				t.Fatalf("%s: %s%s", what, p.text(), rules(findings))
			}
			sameBar(t, b, p.batter, 1)
		}
	})
}
