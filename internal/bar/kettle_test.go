package bar_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/formula"
)

// A bar that came of a pot is among those that its list allows: the shares of the pot are
// drawn so that the list is lawful in any of its places of the 1 % line, and water leaves.
func TestWhatCameOfALawfulPotIsAllowed(t *testing.T) {
	for _, order := range []string{"legal", "descending"} {
		crumbs := material(t, "crumbs", "name: Crumbs\nkind: soap\norder: "+order+"\ncontains:\n  - {inci: Olea Europaea (Olive) Fruit Oil}\n  - {inci: Aqua}\n  - {inci: Sodium Hydroxide}\n  - {inci: Kaolin}\n  - {inci: Sodium Citrate}\n")
		batter, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 500 g}]\nlye: {alkali: sodium hydroxide, purity: 98%, superfat: 8%, water: {weight: 150 g}}\nadd: [{material: crumbs, weight: 100 g}]\n", crumbs)
		if batter == nil {
			t.Fatal(rules(findings))
		}
		r := rand.New(rand.NewPCG(5, 1))
		for _, s := range batter.Sources {
			if s.Kettle == nil {
				continue
			}
			for range 20_000 {
				pot := [5]float64{1, 0.2 + 0.6*r.Float64(), 0.08 + 0.06*r.Float64(), 0.03 * r.Float64(), 0.03 * r.Float64()}
				whole := 0.0
				for _, x := range pot {
					whole += x
				}
				for i := range pot {
					pot[i] /= whole
				}
				line := formula.LegalLine.Fraction()
				if order == "descending" {
					line = 0
				}
				lawful := true
				for i := 1; i < len(pot); i++ {
					lawful = lawful && (pot[i] <= pot[i-1] || pot[i] <= line)
				}
				if !lawful {
					continue
				}
				left := 0.02 + 0.18*r.Float64()
				dried := []float64{pot[0], pot[2], pot[3], pot[4], 0}
				for i := range dried {
					dried[i] *= (1 - left) / (1 - pot[1])
				}
				dried[4] = left
				if !s.Shares.Holds(dried) {
					t.Fatalf("%s: of the pot %v comes a bar %v, which is not allowed", order, pot, dried)
				}
			}
		}
	}
}

// The acid in a list of what went into a pot has met its alkali there, whether the soap is
// crumbs in a new pot or is melted without lye.
func TestAcidOfAPotIsASalt(t *testing.T) {
	soap := func(kind string) formula.Material {
		return material(t, "bought", "name: Bought\nkind: "+kind+"\norder: unknown\ncontains:\n  - {inci: Olea Europaea (Olive) Fruit Oil}\n  - {inci: Aqua}\n  - {inci: Sodium Hydroxide}\n  - {inci: Citric Acid, share: 1-2%}\n")
	}
	for text, m := range map[string]formula.Material{
		"base: [{material: bought, weight: 900 g}]\n":                      soap("base"),
		pot + lye + "add: [{material: bought, weight: 90 g, at: trace}]\n": soap("soap"),
	} {
		batter, findings := pour(t, "name: Test\nidentity: soap\n"+text, m)
		if batter == nil {
			t.Fatal(text, rules(findings))
		}
		if strings.Contains(rules(findings), bar.RuleReacts) {
			t.Errorf("%s: the acid is not to react again:\n%s", text, rules(findings))
		}
		b, err := batter.Cured(bar.Unweighed)
		if err != nil {
			t.Fatal(err)
		}
		names := map[string]bool{}
		for l, line := range b.Lines {
			if b.Masses()[l] > b.Tie() {
				names[line.Names.EU] = true
			}
		}
		if !names["Sodium Citrate"] || names["Citric Acid"] {
			t.Errorf("%s: there is %v", text, names)
		}
	}
}
