package bar_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/formula"
)

// The pairs of a blend of which only the order is known, olive and coconut oil with 190
// and 257 mg KOH/g, at 128.676 g of sodium hydroxide: worked out by hand from the
// saponification values, for the two corners (1, 0) and (½, ½) of what its order allows.
// Coconut oil takes up more alkali a gram, so that there may be more of its soap although
// the supplier lists olive oil first.
func TestOrderOfABlendByHand(t *testing.T) {
	oil := func(id, inci string, sap int) formula.Material {
		return material(t, id, fmt.Sprintf("name: %s\nkind: oil\ninci: %s\nsap: %d mg KOH/g\nacid_value: 0 mg KOH/g\nunsaponifiable: 0%%\n", id, inci, sap))
	}
	b, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: two, weight: 1000 g}]\n"+
		"lye: {alkali: sodium hydroxide, purity: 100%, weight: 128.676 g, water: {weight: 96 g}}\nadd: [{material: scent, weight: 55 g}, {material: kaolin, weight: 45 g}]\n",
		oil("olive", "Olea Europaea Fruit Oil", 190), oil("coconut", "Cocos Nucifera Oil", 257),
		material(t, "two", "name: Two\nkind: oil blend\norder: descending\ncontains: [{material: olive}, {material: coconut}]\n"),
		material(t, "scent", "name: Scent\nkind: fragrance\n"))
	if b == nil {
		t.Fatal(rules(findings))
	}
	fresh, err := b.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	find := func(role bar.Role, id string) int {
		for i, l := range fresh.Lines {
			if l.Role == role && (id == "" || strings.Contains(l.Names.EU, id)) {
				return i
			}
		}
		t.Fatalf("no line %v %s", role, id)
		return -1
	}
	olivate, cocoate := find(bar.Salt, "Olivate"), find(bar.Salt, "Cocoate")
	olive, scent, clay := find(bar.LeftOver, "Olea"), find(bar.Perfume, ""), find(bar.Substance, "Kaolin")
	water, glycerin := find(bar.Water, ""), find(bar.Glycerin, "")
	for _, tt := range []struct {
		name    string
		a, b    int
		least   float64
		verdict bar.Verdict
	}{
		{"olive oil before parfum", olive, scent, -5.00, bar.Refuted},
		{"olive oil before clay", olive, clay, 5.00, bar.Proved},
		{"glycerin before aqua", glycerin, water, 2.76, bar.Proved},
		{"sodium olivate before sodium cocoate", olivate, cocoate, -4.48, bar.Refuted},
	} {
		q := bar.Question{Weights: make([]float64, len(fresh.Lines))}
		q.Weights[tt.a], q.Weights[tt.b] = 1, -1
		got := fresh.Least(q)
		if got.Verdict != tt.verdict || math.Abs(got.Low-tt.least) > 0.015 {
			t.Errorf("%s: %v, least %.4f g; want %v, %.2f g", tt.name, got.Verdict, got.Low, tt.verdict, tt.least)
		}
	}
}

// A colourant that is a material of its own stands anywhere in a list made under ingredient
// law, as one that is named there does.
func TestColourantStandsAnywhere(t *testing.T) {
	list := func(blue string) formula.Material {
		return material(t, "base", "name: Base\nkind: base\ncontains: [{inci: Sodium Olivate, share: 60-97%}, {inci: Glycerin, share: 0.2%}, "+blue+", {inci: Aqua}]\n")
	}
	blue := material(t, "blue", "name: Blue\nkind: colourant\ninci: CI 77007\n")
	for _, tt := range []struct {
		line   string
		poured bool
	}{{"{inci: CI 77007, share: 2%}", true}, {"{material: blue, share: 2%}", true}, {"{material: white, share: 2%}", false}} {
		b, findings := pour(t, "name: Test\nidentity: soap\nbase: [{material: base, weight: 900 g}]\n", list(tt.line), blue, material(t, "white", "name: White\nkind: additive\ninci: Kaolin\n"))
		if (b != nil) != tt.poured {
			t.Errorf("%s: poured %v:\n%s", tt.line, b != nil, rules(findings))
		}
	}
}
