package bar_test

import (
	"math"
	"testing"

	"saponym/internal/formula"
)

// worked is a blend that was worked out by hand from the formulas of the saponification
// and acid value (ISO 3657), apart from this code: olive, coconut and palm oil, stearic
// acid and beeswax with citric acid, at a superfat of 5 % of the equivalents, a tenth of
// the lye by moles potassium hydroxide, 33 % of the lye alkali as weighed.
const worked = `name: Worked
identity: soap
size: {oils: 1000 g}
pot:
  - {material: olive, share: 50%}
  - {material: coconut, share: 30%}
  - {material: palm, share: 15%}
  - {material: stearic, share: 3%}
  - {material: wax, share: 2%}
lye:
  alkali: [{alkali: sodium hydroxide, share: 90%, purity: 98%}, {alkali: potassium hydroxide, share: 10%, purity: 90%}]
  of: moles
  superfat: 5%
  water: {strength: 33%}
add: [{material: citric-acid, weight: 15 g}]
`

func workedOils(t testing.TB) []formula.Material {
	oil := func(id, inci, figures string) formula.Material {
		return material(t, id, "name: "+id+"\nkind: oil\ninci: "+inci+"\n"+figures+"\n")
	}
	return []formula.Material{
		oil("olive", "Olea Europaea (Olive) Fruit Oil", "sap: 190 mg KOH/g\nacid_value: 1 mg KOH/g\nunsaponifiable: 1%"),
		oil("coconut", "Cocos Nucifera (Coconut) Oil", "sap: 257 mg KOH/g\nacid_value: 0.2 mg KOH/g\nunsaponifiable: 0.3%"),
		oil("palm", "Elaeis Guineensis (Palm) Oil", "sap: 199 mg KOH/g\nacid_value: 0.4 mg KOH/g\nunsaponifiable: 0.6%"),
		oil("stearic", "Stearic Acid", "sap: 205 mg KOH/g"),
		oil("wax", "Beeswax", "sap: 95 mg KOH/g\nacid_value: 20 mg KOH/g\nunsaponifiable: 15%\nfatty_acids: {palmitic: 100%}"),
	}
}

func TestWorkedBlend(t *testing.T) {
	b, findings := pour(t, worked, workedOils(t)...)
	if b == nil {
		t.Fatal(rules(findings))
	}
	c, err := b.Contents()
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		what      string
		got, want float64
	}{
		{"moles that the fats bind", b.Fats, 3.74296189487},
		{"moles that acids take up", b.Acids, 0.234224949642},
		{"moles for the fats", b.ForFats, 3.55581380012},
		{"pure sodium hydroxide", b.Alkalis[0].Pure, 136.430374893},
		{"sodium hydroxide", b.Alkalis[0].Weigh, 139.214668258},
		{"pure potassium hydroxide", b.Alkalis[1].Pure, 21.2641261067},
		{"potassium hydroxide", b.Alkalis[1].Weigh, 23.6268067852},
		{"water of the lye", b.Water, 330.617540239},
		{"soap", c.Soap, 973.592128353},
		{"glycerol", c.Glycerol, 104.455070691},
		{"water", c.Water, 339.502017756},
		{"left-over oil", c.LeftOver, 49.4572929481},
		{"unsaponifiable", c.Unsaponifiable, 9.8 + 8.34223138821},
		{"citrates", c.Salts, 20.5259807823},
		{"what is not hydroxide", c.Other, 2.78429336516},
		{"all", c.Total(), 1508.45901528},
		{"all that was weighed", b.Mass(), 1508.45901528},
	} {
		if math.Abs(tt.got-tt.want) > 5e-8 {
			t.Errorf("%s: got %.10f, want %.10f", tt.what, tt.got, tt.want)
		}
	}
}
