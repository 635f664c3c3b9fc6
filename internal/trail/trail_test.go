package trail_test

import (
	"math"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/trail"
)

// mixed is a bar of bought blends, one of them known in part, with milk, scent and crumbs.
const mixed = `name: Mixed
identity: soap
pot: [{material: blend, weight: 700 g}, {material: castor-oil, weight: 300 g}]
lye: {alkali: sodium hydroxide, purity: 98%, superfat: 6%, water: {strength: 33%}, liquids: [{material: goat-milk, share: 40%, into: oils}]}
add: [{material: scent, share: 3%}, {material: crumbs, weight: 60 g}, {material: kaolin, weight: 20 g}, {material: citric-acid, weight: 10 g, at: lye}]
`

func declaration(t *testing.T, text, place string) declare.Declaration {
	t.Helper()
	var own []formula.Material
	for id, text := range map[string]string{
		"blend":  "name: Blend\nkind: oil blend\norder: descending\nsap: 204 mg KOH/g\ncontains: [{inci: Olea Europaea Fruit Oil}, {inci: Cocos Nucifera Oil}, {inci: Elaeis Guineensis Oil}]\nstatement: {supplier: Tallgrass, ref: B-1, dated: 2026-04-01}\n",
		"scent":  "name: Scent\nkind: fragrance\nallergens: {Linalool: 4%}\n",
		"inert":  "name: Inert\nkind: oil\ninci: Simmondsia Chinensis Seed Oil\nacid_value: 0 mg KOH/g\nreactivity: 0%\n",
		"crumbs": "name: Crumbs\nkind: soap\ncontains: [{inci: Olea Europaea Fruit Oil}, {inci: Aqua}, {inci: Sodium Hydroxide}, {inci: Kaolin}]\n",
	} {
		m, found, err := formula.ReadMaterial("materials/"+id+".yaml", []byte(text))
		if err != nil || finding.Worst(found) == finding.Stop {
			t.Fatal(id, found, err)
		}
		own = append(own, m)
	}
	f, found, err := formula.ReadFormula("formulas/mixed.yaml", []byte(text))
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(found, err)
	}
	batter, found := bar.Pour(f, formula.NewLibrary(own))
	if batter == nil {
		t.Fatal(found)
	}
	on, err := day.Parse("2026-11-26")
	if err != nil {
		t.Fatal(err)
	}
	law, err := market.On(place, on)
	if err != nil {
		t.Fatal(err)
	}
	d, err := declare.Compile(batter, law, market.AsCured)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-6) {
		t.Errorf("%s: got %.9f g, want %.9f g", what, got, want)
	}
}

// The steps of a word add up to what the declaration says of it: of water left, which is
// of all that brought water, each step tells the whole.
func TestStepsAddUp(t *testing.T) {
	d := declaration(t, mixed, "eu")
	for _, in := range d.Ingredients {
		way, ok := trail.Of(d, strings.ToUpper(in.Name))
		if !ok || way.Word != in.Name || len(way.Steps) == 0 {
			t.Errorf("%s: no trail", in.Name)
			continue
		}
		sum := 0.0
		for _, s := range way.Steps {
			if s.Part == "water" {
				sum = s.Gives
				continue
			}
			sum += s.Gives
			if s.Share.Low > s.Share.Nominal+1e-9 || s.Share.Nominal > s.Share.High+1e-9 || s.At == "" || s.Working == "" {
				t.Errorf("%s: %+v", in.Name, s)
			}
		}
		near(t, in.Name, sum, in.Share.Nominal/100*d.Bar.Total(d.Bar.Masses()))
	}
	if _, ok := trail.Of(d, "Sodium Nowhere"); ok {
		t.Error("a word that is not there has a trail")
	}
}

// A step tells what is known of the share, and by whom it is stated.
func TestStepTellsItsStatement(t *testing.T) {
	way, _ := trail.Of(declaration(t, mixed, "eu"), "Sodium Cocoate")
	s := way.Steps[0]
	if s.From != "pot[0] blend" || s.Statement != "Tallgrass, B-1, 2026-04-01" || s.Share.Low >= s.Share.High {
		t.Errorf("got %+v", s)
	}
}

// In the picture of a batch all that was weighed goes into the bar or leaves it, and what
// is in a line of the bar came from what was weighed.
func TestFlowCloses(t *testing.T) {
	d := declaration(t, mixed, "eu")
	f := trail.Whole(d, "Mixed", "European Union", "Sodium Olivate")
	out, in := make([]float64, len(f.Weighed)), make([]float64, len(f.Bar))
	for _, r := range f.Made {
		out[r.From] += r.Grams.Nominal
		in[r.To] += r.Grams.Nominal
	}
	for i, n := range f.Weighed {
		near(t, n.Name, out[i], n.Grams.Nominal)
	}
	total := 0.0
	for i, n := range f.Bar {
		near(t, n.Name, in[i], n.Grams.Nominal)
		if n.Grams.Low > n.Grams.Nominal || n.Grams.Nominal > n.Grams.High {
			t.Errorf("%s: %+v", n.Name, n.Grams)
		}
		if !n.Gone {
			total += n.Grams.Nominal
		}
	}
	near(t, "the bar", total, d.Bar.Total(d.Bar.Masses()))
	lit := 0
	for _, n := range f.Words {
		if n.Lit {
			lit++
		}
	}
	if lit != 1 {
		t.Errorf("%d words are lit", lit)
	}
}

// An allergen is within its scent: its trail lights the scent from the pot to the word,
// and its mass is not counted twice.
func TestAllergenLightsItsScent(t *testing.T) {
	f := trail.Whole(declaration(t, mixed, "eu"), "Mixed", "European Union", "Linalool")
	var lit []string
	for _, nodes := range [][]trail.Node{f.Weighed, f.Bar, f.Words} {
		for _, n := range nodes {
			if n.Lit {
				lit = append(lit, n.Name)
			}
			if n.Apart != (n.Name == "Linalool") {
				t.Errorf("%s is within another: %v", n.Name, n.Apart)
			}
		}
	}
	if got := strings.Join(lit, ", "); got != "scent, scent, Linalool" && got != "Scent, Scent, Linalool" {
		t.Errorf("lit are %s", got)
	}
	ribbons := 0
	for _, r := range append(f.Made, f.Named...) {
		if r.Lit {
			ribbons++
		}
	}
	if ribbons != 2 {
		t.Errorf("%d ribbons are lit", ribbons)
	}
}

// What is in the bar is named by what it is: salts by their names, soaps of two alkalis
// by both, what came with crumbs by its own name. All but the impurity of the alkali has
// a word.
func TestNamesInTheBar(t *testing.T) {
	two := strings.Replace(mixed, "alkali: sodium hydroxide, purity: 98%", "alkali: [{alkali: sodium hydroxide, share: 90%, purity: 98%}, {alkali: potassium hydroxide, share: 10%, purity: 90%}]", 1)
	for text, want := range map[string][]string{
		mixed: {"soap of castor oil", "Sodium Citrate", "kaolin, white clay of Crumbs", "glycerin set free", "what is left of goat milk", "water and all else that has left"},
		two:   {"sodium soap of castor oil", "potassium soap of castor oil", "Sodium Citrate", "Potassium Citrate"},
	} {
		f := trail.Whole(declaration(t, text, "eu"), "Mixed", "European Union", "")
		names := map[string]bool{}
		for _, n := range f.Bar {
			names[n.Name] = true
		}
		for _, name := range want {
			if !names[name] {
				t.Errorf("there is no %q in %v", name, names)
			}
		}
		named := map[int]bool{}
		for _, r := range f.Named {
			named[r.From] = true
		}
		for i, n := range f.Bar {
			if !named[i] && !n.Gone && n.Name != "what is no hydroxide" {
				t.Errorf("no word tells of %s", n.Name)
			}
		}
	}
}
