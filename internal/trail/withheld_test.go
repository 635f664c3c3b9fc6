package trail_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/trail"
)

// Where the pot is stopped neither the trail nor the picture gives a weight of the lye,
// or one by which it could be told.
func TestNoWeightOfLye(t *testing.T) {
	d := declaration(t, mixed, "eu")
	given, _ := trail.Of(d, "Aqua")
	if given.NoLye != "" || strings.Contains(given.Report(), "no weight") {
		t.Fatal("the lye is withheld without a stop")
	}
	d.Findings = append(d.Findings,
		finding.Finding{Level: finding.Stop, Rule: "EU-ALLERGEN-01", Message: "no statement"},
		finding.Finding{Level: finding.Warn, Rule: bar.RuleLyeMargin, Message: "near"})
	if way, _ := trail.Of(d, "Aqua"); way.NoLye != "" {
		t.Errorf("withheld for %q", way.NoLye)
	}
	d.Findings = append(d.Findings,
		finding.Finding{Level: finding.Stop, Rule: bar.RuleStrength, Message: "too strong"},
		finding.Finding{Level: finding.Stop, Rule: bar.RuleLyeHeavy, Message: "the bar can be lye-heavy, so no weight of lye is given"})
	way, _ := trail.Of(d, "Aqua")
	if way.NoLye != "the bar can be lye-heavy" || !strings.Contains(way.Report(), "no weight of lye is given: the bar can be lye-heavy\n") {
		t.Errorf("got %q\n%s", way.NoLye, way.Report())
	}
	withheld := 0
	for i, s := range way.Steps {
		if s.From == "lye.water" {
			withheld++
			if s.Grams != nil || strings.Contains(s.Working, "went in") {
				t.Errorf("%+v", s)
			}
		} else if s.Grams == nil || s.Working != given.Steps[i].Working {
			t.Errorf("%+v", s)
		}
	}
	if withheld != 1 {
		t.Errorf("%d steps are withheld", withheld)
	}

	f := trail.Whole(d, "Mixed", "European Union", "Aqua")
	if f.NoLye != way.NoLye {
		t.Errorf("the picture says %q", f.NoLye)
	}
	bare := map[string]bool{}
	for _, nodes := range [][]trail.Node{f.Weighed, f.Bar} {
		for _, n := range nodes {
			if n.Bare {
				bare[n.Name] = true
				if n.Grams != (trail.Grams{}) || n.Note != "no weight is given" {
					t.Errorf("%+v", n)
				}
			}
			if n.Gone {
				t.Errorf("it tells what has left: %+v", n)
			}
		}
	}
	if len(bare) != 3 || !bare["sodium hydroxide"] || !bare["water"] || !bare["what is no hydroxide"] {
		t.Errorf("bare are %v", bare)
	}
	for _, r := range f.Made {
		if f.Weighed[r.From].Bare || f.Bar[r.To].Bare {
			t.Errorf("a ribbon tells the weight: %+v", r)
		}
	}
}

// An oil that is weighed at two places is one thing in the bar, and no name stands there
// twice.
func TestOneNameInTheBar(t *testing.T) {
	two := strings.Replace(mixed, "alkali: sodium hydroxide, purity: 98%", "alkali: [{alkali: sodium hydroxide, share: 90%, purity: 98%}, {alkali: potassium hydroxide, share: 10%, purity: 90%}]", 1)
	two = strings.Replace(two, "{material: kaolin, weight: 20 g}", "{material: kaolin, weight: 20 g, with: [{material: castor-oil, weight: 30 g}]}", 1)
	f := trail.Whole(declaration(t, two, "eu"), "Mixed", "European Union", "")
	at := map[string]int{}
	for i, n := range f.Bar {
		if _, ok := at[n.Name]; ok {
			t.Errorf("%q stands there twice", n.Name)
		}
		at[n.Name] = i
	}
	from := map[string]bool{}
	for _, r := range f.Made {
		if r.To == at["sodium soap of castor oil"] {
			n := f.Weighed[r.From]
			from[n.Name+" "+n.Note] = true
		}
	}
	if !from["castor oil "] || !from["castor oil for kaolin, white clay"] {
		t.Errorf("the soap of castor oil comes from %v", from)
	}
}

// What is declared as it was bought tells the weight that it stands by.
func TestBoughtSaysWhereItStands(t *testing.T) {
	d := declaration(t, mixed, "eu")
	for _, n := range trail.Whole(d, "Mixed", "European Union", "").Words {
		if says := strings.Contains(n.Note, " that were added"); says != (n.Name == "Caprae Lac") {
			t.Errorf("%s: %q", n.Name, n.Note)
		}
	}
}

// A wax of which nothing reacts, and that binds nothing, has no figure that is none.
func TestNothingReacts(t *testing.T) {
	text := strings.Replace(mixed, "{material: castor-oil, weight: 300 g}", "{material: castor-oil, weight: 300 g}, {material: inert, weight: 25 g}", 1)
	d := declaration(t, text, "eu")
	if !slices.ContainsFunc(d.Ingredients, func(in declare.Ingredient) bool { return in.Name == "Simmondsia Chinensis Seed Oil" }) {
		t.Errorf("the wax is not in %v", d.Names())
	}
	for _, in := range d.Ingredients {
		way, _ := trail.Of(d, in.Name)
		if report := way.Report(); strings.Contains(report, "NaN") || strings.Contains(report, "Inf") {
			t.Errorf("%s:\n%s", in.Name, report)
		}
	}
}
