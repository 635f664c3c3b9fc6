package figure_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/figure"
	"saponym/internal/render/svg"
	"saponym/internal/scene"
	"saponym/internal/trail"
)

// drawnFlow makes any flow, sensible or not.
func drawnFlow(t *rapid.T) trail.Flow {
	grams := rapid.Custom(func(t *rapid.T) trail.Grams {
		size := math.Pow10(rapid.IntRange(-4, 3).Draw(t, "size"))
		figures := make([]float64, 3)
		for i := range figures {
			figures[i] = size * rapid.Float64Range(0, 9).Draw(t, "figure")
		}
		slices.Sort(figures)
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			return sure(figures[1])
		case 1:
			figures[0] = 0
		case 2:
			if rapid.Bool().Draw(t, "none") {
				return sure(0)
			}
		}
		return about(figures[0], figures[1], figures[2])
	})
	word := rapid.StringMatching(`[A-Z][a-z]{0,14}`)
	name := rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(word, 0, 6).Draw(t, "words"), rapid.SampledFrom([]string{" ", "/", "-", " (", ""}).Draw(t, "sign"))
	})
	nodes := func(label string) []trail.Node {
		return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) trail.Node {
			n := trail.Node{Name: name.Draw(t, "name"), Grams: grams.Draw(t, "grams"), Lit: rapid.Bool().Draw(t, "lit"), Joint: trail.Joint(rapid.IntRange(0, 2).Draw(t, "joint"))}
			if rapid.Bool().Draw(t, "noted") {
				n.Note = name.Draw(t, "note")
			}
			if n.Apart = rapid.Bool().Draw(t, "apart"); n.Grams == sure(0) {
				n.Bare = rapid.Bool().Draw(t, "bare")
			}
			return n
		}), 0, 40).Draw(t, label)
	}
	f := trail.Flow{Formula: name.Draw(t, "formula"), Market: name.Draw(t, "market"), Word: name.Draw(t, "word"), NoLye: name.Draw(t, "no lye"),
		Weighed: nodes("weighed"), Bar: nodes("bar"), Words: nodes("words")}
	ribbons := func(from, to []trail.Node, label string) []trail.Ribbon {
		if len(from) == 0 || len(to) == 0 {
			return nil
		}
		return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) trail.Ribbon {
			return trail.Ribbon{From: rapid.IntRange(0, len(from)-1).Draw(t, "from"), To: rapid.IntRange(0, len(to)-1).Draw(t, "to"),
				Grams: grams.Draw(t, "grams"), Lit: rapid.Bool().Draw(t, "lit")}
		}), 0, 60).Draw(t, label)
	}
	f.Made = ribbons(f.Weighed, f.Bar, "made")
	if len(f.Bar) > 1 && rapid.Bool().Draw(t, "gone") {
		f.Bar[len(f.Bar)-1].Gone = true
		f.Named = ribbons(f.Bar[:len(f.Bar)-1], f.Words, "named")
	} else {
		f.Named = ribbons(f.Bar, f.Words, "named")
	}
	return f
}

func TestAnyFlow(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		f := drawnFlow(rt)
		paper := rapid.SampledFrom([]scene.Size{letter, a4}).Draw(rt, "paper")
		whole, err := figure.Flow(f, paper)
		if err != nil {
			rt.Fatal(err)
		}
		pages, err := figure.Sheet(f, paper)
		if err != nil {
			rt.Fatal(err)
		}
		for i, s := range append(slices.Clone(pages.Scenes), whole) {
			if err := sound(t, s); err != nil {
				rt.Fatalf("scene %d: %v", i, err)
			}
		}
		if err := complete(f, whole); err != nil {
			rt.Fatal(err)
		}
		if err := complete(f, pages.Scenes...); err != nil {
			rt.Fatal(err)
		}
		if _, err := svg.Write(whole, svg.Options{}); err != nil {
			rt.Fatal(err)
		}
	})
}
