package declare_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"saponym/inci"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/market"
)

const (
	withScent = plain + "add: [{material: scent, share: 3%}]\n"
	longList  = "2026-11-25" // Regulation (EU) 2023/1545: from 1 August 2026
)

// scented declares 30 g of a scent in the bar of TestAllergenThreshold, whose driest bar
// weighs 1193.812 g.
func scented(t *testing.T, material string) declare.Declaration {
	t.Helper()
	return compile(t, withScent, "eu", longList, market.AsCured, "scent", material)
}

// said gives the findings of a rule.
func said(d declare.Declaration, rule string) []finding.Finding {
	return slices.DeleteFunc(slices.Clone(d.Findings), func(f finding.Finding) bool { return f.Rule != rule })
}

// percentOf gives the share of an allergen in the driest bar, -1 where it is not among
// the allergens.
func percentOf(d declare.Declaration, name string) float64 {
	for _, a := range d.Allergens {
		if a.Name == name {
			return a.Percent
		}
	}
	return -1
}

// An essential oil can be an entry of the list itself (Annex III, entry 360).
func TestOilThatIsAnEntry(t *testing.T) {
	const text = plain + "add: [{material: lavender-oil, share: 2%}]\n"
	if d := compile(t, text, "eu", longList, market.AsCured); !strings.Contains(d.Text, "Parfum") || !strings.Contains(d.Text, "Lavandula Oil/Extract") {
		t.Errorf("got %s", d.Text)
	}
	if before := compile(t, text, "eu", "2026-07-31", market.AsCured); strings.Contains(before.Text, "Lavandula Oil/Extract") {
		t.Errorf("before the longer list: %s", before.Text)
	}
}

// Where the statement of an essential oil says what it is itself, it is counted once: 30 g.
func TestOilThatIsStatedAsItself(t *testing.T) {
	d := scented(t, "name: Scent\nkind: essential oil\ninci: Lavandula Angustifolia Oil\nallergens: {Lavandula Oil/Extract: 60%, Linalool: 30%}\n")
	nearly(t, "the oil", percentOf(d, "Lavandula Oil/Extract"), 100*30/1193.812)
	nearly(t, "linalool", percentOf(d, "Linalool"), 100*9/1193.812)
}

// A scent without a statement stops the label where the law wants its allergens named,
// unless it is an essential oil whose composition is published: then the most of each
// constituent is taken, and that is said. Of lavender oil linalool makes up 45 % (Ph.
// Eur.), coumarin 0.1 % (from memory).
func TestScentWithoutAStatement(t *testing.T) {
	for _, tt := range []struct {
		name, scent string
		stops       bool
	}{
		{"an essential oil", "kind: essential oil\ninci: Lavandula Angustifolia Oil\n", false},
		{"an essential oil of which nothing is published", "kind: essential oil\ninci: Salvia Sclarea Oil\n", true},
		{"a fragrance", "kind: fragrance\n", true},
		{"a fragrance with an essential oil in it", "kind: fragrance\ncontains: [{inci: Lavandula Angustifolia Oil, share: 50%}, {inci: Parfum, share: 50%}]\n", true},
	} {
		d := scented(t, "name: Scent\n"+tt.scent)
		stops, tells := said(d, "EU-ALLERGEN-01"), said(d, declare.RulePublished)
		if len(stops) > 0 != tt.stops || len(tells) > 0 == tt.stops {
			t.Errorf("%s: stops %v, tells %v", tt.name, stops, tells)
		}
		for _, f := range stops {
			if f.Level != finding.Stop {
				t.Errorf("%s: %+v", tt.name, f)
			}
		}
		for _, f := range tells {
			if f.Level != finding.Warn || !strings.Contains(f.Cite, "European Pharmacopoeia 10th ed.") || !strings.Contains(f.Message, "from memory that of Beta-Caryophyllene, Geraniol") || strings.Contains(f.Message, "Linalool") || !strings.Contains(f.Remedy, "materials/scent.yaml") {
				t.Errorf("%s: %+v", tt.name, f)
			}
		}
	}
	d := scented(t, "name: Scent\nkind: essential oil\ninci: Lavandula Angustifolia Oil\n")
	nearly(t, "linalool", percentOf(d, "Linalool"), 100*30*0.45/1193.812)
	nearly(t, "coumarin", percentOf(d, "Coumarin"), 100*30*0.001/1193.812)
	if !slices.Contains(d.Names(), "Linalool") || slices.Contains(d.Names(), "Coumarin") {
		t.Errorf("0.0025 %% of coumarin and 1.1 %% of linalool: %s", d.Text)
	}
	stated := scented(t, "name: Scent\nkind: essential oil\ninci: Lavandula Angustifolia Oil\nallergens: {Linalool: 30%}\n")
	if percentOf(stated, "Coumarin") >= 0 || len(said(stated, declare.RulePublished)) > 0 {
		t.Errorf("beside a statement something else counts: %v", stated.Allergens)
	}
	nearly(t, "linalool as stated", percentOf(stated, "Linalool"), 100*9/1193.812)
}

// Every name of a published composition is that of one allergen, or of a substance that
// the law judges otherwise; so none is ever reported as unknown.
func TestPublishedNamesAreKnown(t *testing.T) {
	law, err := market.On("eu", mustDay(t, longList))
	if err != nil {
		t.Fatal(err)
	}
	for oil := range inci.EssentialOils() {
		for _, c := range oil.Constituents {
			found := law.Allergens.Find(c.Name)
			if exact := len(found) == 1 && found[0].Label == c.Name; !exact && (len(found) > 0 || !market.Knows(c.Name)) {
				t.Errorf("%s in %s is found as %v", c.Name, oil.ID, found)
			}
		}
	}
}

// What is on a list of one law or of the industry is no unknown name where another law
// is asked, neither published nor stated. Oil of clove has some methyl eugenol (EFSA
// FEEDAP 2023).
func TestNameOfAnotherList(t *testing.T) {
	for name, material := range map[string][]string{
		"published":                nil,
		"stated":                   {"clove-oil", "name: Clove\nkind: essential oil\nallergens: {Eugenol: 80%, Methyl Eugenol: 0.1%}\n"},
		"of the industry's limits": {"clove-oil", "name: Clove\nkind: essential oil\nallergens: {Eugenol: 80%, Citronellal: 0.1%}\n"},
	} {
		d := compile(t, plain+"add: [{material: clove-oil, share: 1%}]\n", "ca", longList, market.AsCured, material...)
		if found := said(d, declare.RuleNoAllergen); len(found) > 0 || percentOf(d, "Eugenol") <= 0 {
			t.Errorf("%s: got %+v, %v", name, found, d.Allergens)
		}
	}
}

// Statements name allergens in the language of the supplier, and by their number. The
// translated names are from memory.
func TestStatementInAnotherLanguage(t *testing.T) {
	for typed, want := range map[string]string{
		"Linalol": "Linalool", "Limonène": "Limonene", "Cumarina": "Coumarin", "Zimtaldehyd": "Cinnamal", "Alcool benzylique": "Benzyl Alcohol",
		"Benzylbenzoat": "Benzyl Benzoate", "Citronelol": "Citronellol", "Eichenmoos": "Evernia Prunastri Extract", "Salicilato di benzile": "Benzyl Salicylate",
		"78-70-6": "Linalool", "5989-27-5": "Limonene", "geranial": "Citral",
	} {
		d := scented(t, fmt.Sprintf("name: Scent\nkind: fragrance\nallergens: {%q: 4%%}\n", typed))
		if len(d.Allergens) != 1 || d.Allergens[0].Name != want || len(said(d, declare.RuleNoAllergen)) > 0 {
			t.Errorf("%s is read as %v: %v", typed, d.Allergens, said(d, declare.RuleNoAllergen))
		}
	}
}

// A name that no list has stops the label, since it may be one that must be named; the
// nearest name is offered. What another list of the law holds is known.
func TestNameThatIsNotKnown(t *testing.T) {
	for _, tt := range []struct{ typed, offered string }{
		{"Linaloool", `"Linalool"`},
		{"Hydroxycitronelal", `"Hydroxycitronellal"`},
		{"Gerannyl acetate", `"Geranyl Acetate"`},
		{"something in the air", "CAS number"},
	} {
		found := said(scented(t, fmt.Sprintf("name: Scent\nkind: fragrance\nallergens: {%s: 4%%}\n", tt.typed)), declare.RuleNoAllergen)
		if len(found) != 1 || found[0].Level != finding.Stop || found[0].At.Line != 3 || !strings.Contains(found[0].Remedy, tt.offered) {
			t.Errorf("%s: %+v", tt.typed, found)
		}
	}
	if found := said(scented(t, "name: Scent\nkind: fragrance\nallergens: {Linalool: 4%, Methyl Eugenol: 0.1%}\n"), declare.RuleNoAllergen); len(found) > 0 {
		t.Errorf("a substance that is judged by another list: %+v", found)
	}
}

// A number that several entries share is asked about, and not guessed. The register has
// 72968-50-4 for the oils of peel and flower of the bitter orange (entries 350 and 351).
// Where the scent is an essential oil that is one of them, its own name decides.
func TestNumberOfSeveralAllergens(t *testing.T) {
	found := said(scented(t, "name: Scent\nkind: fragrance\nallergens: {72968-50-4: 4%}\n"), declare.RuleAmbiguous)
	if len(found) != 1 || found[0].Level != finding.Stop || found[0].At.Line != 3 ||
		!strings.Contains(found[0].Message, "Citrus Aurantium Flower Oil") || !strings.Contains(found[0].Message, "Citrus Aurantium Peel Oil") {
		t.Errorf("got %+v", found)
	}
	d := scented(t, "name: Scent\nkind: essential oil\ninci: Citrus Aurantium Amara Flower Oil\nallergens: {72968-50-4: 60%, Linalool: 40%}\n")
	if found := said(d, declare.RuleAmbiguous); len(found) > 0 || percentOf(d, "Citrus Aurantium Peel Oil") >= 0 {
		t.Errorf("got %+v, %v", found, d.Allergens)
	}
	nearly(t, "the oil", percentOf(d, "Citrus Aurantium Flower Oil"), 100*30/1193.812)
}

// Small amounts are stated in many ways; 120 ppm of 3 % are 0.00036 % of the oils. What
// may be above the threshold is named, and said to stand near the line.
func TestSmallAmounts(t *testing.T) {
	for share, want := range map[string]struct{ printed, near bool }{
		"120 ppm": {false, false}, "<0.1%": {false, false}, "<0.5%": {true, true}, "traces": {true, true}, "0.1-1%": {true, true}, "0.5-1%": {true, false},
	} {
		d := scented(t, fmt.Sprintf("name: Scent\nkind: fragrance\nallergens: {Linalool: %s}\n", share))
		if near := len(said(d, declare.RuleNearLine)) > 0; d.Allergens[0].Printed != want.printed || near != want.near {
			t.Errorf("%s: printed %v, near the line %v", share, d.Allergens[0].Printed, near)
		}
	}
}

// An oil that its supplier calls by a name of an entry is that entry as a whole, even
// where it is not built in (Annex III: Rose Flower Oil/Extract names Rosa Centifolia).
func TestOwnOilIsAnEntry(t *testing.T) {
	for inci, want := range map[string]bool{"Rosa Centifolia Flower Oil": true, "Rosa Fictitia Flower Oil": false} {
		d := scented(t, "name: Scent\nkind: essential oil\ninci: "+inci+"\nallergens: {Linalool: 1%}\nstatement: {dated: 2026-03-14}\n")
		if got := strings.Contains(d.Text, "Rose Flower Oil/Extract"); got != want || percentOf(d, "Linalool") <= 0 {
			t.Errorf("%s: %s", inci, d.Text)
		}
	}
}
