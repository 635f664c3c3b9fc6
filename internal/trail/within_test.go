package trail_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/trail"
)

// melted is a base in which 20 g of something are stirred: nothing reacts, and the whole
// weighs 1020 g.
const melted = "name: Melted\nidentity: soap\nbase: [{material: base, weight: 1000 g}]\nadd: [{material: scent, weight: 20 g}]\n"

const meltBase = "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 80%}, {inci: Aqua, share: 20%}]\n"

// scented declares a melted bar with a scent of one's own unless a
// built-in one is named in the text.
func scented(t *testing.T, text, scent string, law *market.Law) declare.Declaration {
	t.Helper()
	library := []formula.Material{read(t, "base", meltBase)}
	if scent != "" {
		library = append(library, read(t, "scent", "name: Scent\n"+scent))
	}
	return declared(t, text, formula.NewLibrary(library), law)
}

func read(t *testing.T, id, text string) formula.Material {
	t.Helper()
	m, found, err := formula.ReadMaterial("materials/"+id+".yaml", []byte(text))
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(id, found, err)
	}
	return m
}

func declared(t *testing.T, text string, library formula.Library, law *market.Law) declare.Declaration {
	t.Helper()
	f, found, err := formula.ReadFormula("formulas/melted.yaml", []byte(text))
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(found, err)
	}
	batter, found := bar.Pour(f, library)
	if batter == nil {
		t.Fatal(found)
	}
	d, err := declare.Compile(batter, law, market.AsCured)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// union gives the law of the European Union on a day.
func union(t *testing.T, on string) *market.Law {
	t.Helper()
	date, err := day.Parse(on)
	if err != nil {
		t.Fatal(err)
	}
	law, err := market.On("eu", date)
	if err != nil {
		t.Fatal(err)
	}
	return law
}

// follow gives the trail of a word that the list must have.
func follow(t *testing.T, d declare.Declaration, word string) trail.Trail {
	t.Helper()
	way, ok := trail.Of(d, word)
	if !ok {
		t.Fatalf("%s is not in %v", word, d.Names())
	}
	return way
}

// Whatever essential oil is stirred in, each word of the list has its steps, and they add up
// to what the declaration says: what is published of the oil, and the oil that is an entry
// of the list as a whole, be it listed as perfume or, as in other laws, by its name.
func TestStepsOfEveryEssentialOilAddUp(t *testing.T) {
	asPerfume, byName := union(t, "2026-11-26"), union(t, "2026-11-26")
	byName.List.OilsAsPerfume = false
	oils, whole, published := 0, 0, 0
	for s := range inci.All() {
		if s.Group != inci.GroupEssentialOil {
			continue
		}
		oils++
		for _, law := range []*market.Law{asPerfume, byName} {
			d := scented(t, strings.Replace(melted, "scent", s.ID, 1), "", law)
			for _, in := range d.Ingredients {
				way := follow(t, d, in.Name)
				sum := 0.0
				for _, step := range way.Steps {
					sum += step.Gives
					if strings.HasPrefix(step.Statement, "published in ") {
						published++
					}
					if strings.Contains(step.Becomes, "as a whole") {
						whole++
					}
				}
				if len(way.Steps) == 0 {
					t.Errorf("%s: %s has no step", s.ID, in.Name)
				}
				near(t, s.ID+": "+in.Name, sum, way.Grams)
			}
		}
	}
	if oils == 0 || whole == 0 || published == 0 {
		t.Errorf("%d oils, %d of them whole, %d steps of published figures", oils, whole, published)
	}
}

// What is published of an oil tells its document, and from memory where it is so; the most
// of it decides. Lavender: linalool 20 to 45 % (European Pharmacopoeia), beta-caryophyllene
// 1 to 6 % (from memory). 20 g of it hold 4 to 9 g of linalool.
func TestStepOfWhatIsPublished(t *testing.T) {
	d := scented(t, strings.Replace(melted, "scent", "lavender-oil", 1), "", union(t, "2026-11-26"))
	way := follow(t, d, "linalool")
	if len(way.Steps) != 1 {
		t.Fatalf("got %+v", way.Steps)
	}
	s := way.Steps[0]
	if s.From != "add[0] lavender-oil" || *s.Grams != 20 || s.Part != "Linalool" || s.At != "formulas/melted.yaml:4:18" {
		t.Errorf("got %+v", s)
	}
	if !strings.HasPrefix(s.Statement, "published in European Pharmacopoeia") || strings.Contains(s.Statement, "memory") {
		t.Errorf("it rests on %q", s.Statement)
	}
	if want := "20.0 g × 32.5 % = 6.5 g; the high end decides whether it is named: 9 g"; s.Working != want {
		t.Errorf("got %q, want %q", s.Working, want)
	}
	near(t, "the least in a hundred", s.Share.Low, 20)
	near(t, "the most in a hundred", s.Share.High, 45)
	if report := way.Report(); !strings.Contains(report, "32.5 % (20 to 45) of it is Linalool, as published in European") {
		t.Errorf("got\n%s", report)
	}
	if recalled := follow(t, d, "Beta-Caryophyllene").Steps[0].Statement; !strings.HasSuffix(recalled, ", from memory") {
		t.Errorf("beta-caryophyllene rests on %q", recalled)
	}
	if whole := follow(t, d, "Lavandula Oil/Extract").Steps; len(whole) != 1 || whole[0].Part != "Lavandula Angustifolia Oil" || whole[0].Working != "20.0 g × 100 % = 20 g" {
		t.Errorf("the oil as a whole: %+v", whole)
	}
}

// A statement wins over what is published, and is told even where no paper is named. An oil
// that is an entry of the list counts as a whole, whatever its statement says of that entry.
func TestStepOfWhatIsStated(t *testing.T) {
	d := scented(t, melted, "kind: essential oil\ninci: Lavandula Angustifolia Oil\nallergens: {Linalool: 30%, Lavandula Oil/Extract: 60%}\n", union(t, "2026-11-26"))
	way := follow(t, d, "Linalool")
	if len(way.Steps) != 1 || way.Steps[0].Statement != "the supplier of scent" || way.Steps[0].Working != "20.0 g × 30 % = 6 g" {
		t.Errorf("got %+v", way.Steps)
	}
	if report := way.Report(); !strings.Contains(report, "30 % of it is Linalool, as stated by the supplier of scent\n") {
		t.Errorf("got\n%s", report)
	}
	if whole := follow(t, d, "Lavandula Oil/Extract"); len(whole.Steps) != 1 || whole.Steps[0].Gives != 20 {
		t.Errorf("got %+v", whole.Steps)
	}
	d = scented(t, melted, "kind: fragrance\nallergens: {Linalool: 1-3%}\nstatement: {supplier: Fennel, dated: 2026-03-14}\n", union(t, "2026-11-26"))
	if s := follow(t, d, "Linalool").Steps[0]; s.Statement != "Fennel, 2026-03-14" || s.Working != "20.0 g × 2 % = 0.4 g; the high end decides whether it is named: 0.6 g" {
		t.Errorf("got %+v", s)
	}
}

// Of a mixture each oil has a step of its own, by its share in what is weighed. Lemon oil
// has 56 to 78 % of limonene and peppermint oil 1 to 5 % (European Pharmacopoeia).
func TestStepsOfAMixture(t *testing.T) {
	d := scented(t, melted, "kind: fragrance\ncontains: [{inci: Citrus Limon Peel Oil, share: 50%}, {inci: Mentha Piperita Oil, share: 50%}]\n", union(t, "2026-11-26"))
	shares := follow(t, d, "Limonene").Steps
	if len(shares) != 2 {
		t.Fatalf("got %+v", shares)
	}
	near(t, "of lemon oil", shares[0].Share.High, 39)
	near(t, "of peppermint oil", shares[1].Share.High, 2.5)
	if whole := follow(t, d, "Citrus Limon Peel Oil").Steps; len(whole) != 1 || whole[0].Share.Nominal != 50 {
		t.Errorf("lemon oil: %+v", whole)
	}
	d = scented(t, melted, "kind: fragrance\ncontains: [{inci: Citrus Limon Peel Oil, share: 50%}, {inci: Mentha Piperita Oil, share: 50%}]\nallergens: {lemon oil: 40%}\n", union(t, "2026-11-26"))
	way := follow(t, d, "Citrus Limon Peel Oil")
	if len(way.Steps) != 2 {
		t.Fatalf("listed and stated: %+v", way.Steps)
	}
	near(t, "listed and stated", way.Steps[0].Gives+way.Steps[1].Gives, way.Grams)
}

// What came in with own bars names the scent that it is of.
func TestStepOfScentInCrumbs(t *testing.T) {
	old, _, err := formula.ReadFormula("formulas/old.yaml", []byte(strings.Replace(melted, "scent", "lavender-oil", 1)))
	if err != nil {
		t.Fatal(err)
	}
	batch, _, err := formula.ReadBatch("batches/OLD-1.yaml", []byte("code: OLD-1\nformula: old\nmade: 2026-01-02\n"))
	if err != nil {
		t.Fatal(err)
	}
	base := read(t, "base", meltBase)
	library := formula.NewLibrary([]formula.Material{base}).WithBatches([]formula.Batch{batch}, func(string) (formula.Formula, bool) { return old, true })
	d := declared(t, strings.Replace(melted, "material: scent, weight: 20 g", "batch: OLD-1, weight: 100 g", 1), library, union(t, "2026-11-26"))
	way := follow(t, d, "Linalool")
	if len(way.Steps) != 1 || way.Steps[0].Part != "Linalool of lavender-oil" || *way.Steps[0].Grams != 100 {
		t.Fatalf("got %+v", way.Steps)
	}
	near(t, "in all", way.Steps[0].Gives, way.Grams)
	near(t, "the share of the crumbs", way.Steps[0].Share.Nominal, way.Steps[0].Gives)
}

// A name that the list in force does not ask for stands by its own line alone: linalyl
// acetate came into Annex III with Regulation (EU) 2023/1545, for what is placed on the
// market from 1 August 2026.
func TestNoStepOfWhatTheLawDoesNotName(t *testing.T) {
	text := strings.Replace(melted, "weight: 20 g}]", "weight: 20 g}, {material: linalyl-acetate, weight: 5 g}]", 1)
	own := read(t, "linalyl-acetate", "name: Linalyl acetate\nkind: additive\ninci: Linalyl Acetate\n")
	scent := read(t, "scent", "name: Scent\nkind: fragrance\nallergens: {Linalyl Acetate: 10%, Linalool: 5%}\n")
	base := read(t, "base", meltBase)
	library := formula.NewLibrary([]formula.Material{base, scent, own})
	for on, want := range map[string][]string{
		"2026-07-31": {"add[1] linalyl-acetate"},
		"2026-08-01": {"add[1] linalyl-acetate", "add[0] scent"},
	} {
		way := follow(t, declared(t, text, library, union(t, on)), "Linalyl Acetate")
		var from []string
		sum := 0.0
		for _, s := range way.Steps {
			from = append(from, s.From)
			sum += s.Gives
		}
		if !slices.Equal(from, want) {
			t.Errorf("on %s it comes from %v, want %v", on, from, want)
		}
		near(t, on, sum, way.Grams)
	}
}

// Of a batch each step names the lots of its material that the record has, each once.
func TestLotsOfABatch(t *testing.T) {
	batch, found, err := formula.ReadBatch("batches/M-1.yaml", []byte("code: M-1\nformula: mixed\nmade: 2026-01-02\nweighed:\n"+
		"  - {material: Castor-Oil, weight: 200 g, lot: C-1}\n  - {material: castor-oil, weight: 90 g, lot: C-2}\n  - {material: castor-oil, weight: 10 g, lot: C-1}\n  - {material: castor-oil, weight: 5 g}\n"+
		"  - {material: sodium hydroxide, weight: 130 g, lot: \"0127\"}\n  - {material: blend, weight: 700 g}\n  - {material: water, weight: 200 g, lot: W-1}\n"))
	if err != nil {
		t.Fatal(found, err)
	}
	d := declaration(t, mixed, "eu")
	lots := map[string]string{}
	for _, word := range d.Names() {
		way := follow(t, d, word)
		way.Lots(batch.Weighed)
		for _, s := range way.Steps {
			lots[s.From] = s.Lot
			if named := strings.Contains(way.Report(), s.From+", "); s.Lot != "" && (!named || !strings.Contains(way.Report(), ", lot "+s.Lot+"  (")) {
				t.Errorf("%s: the lot %s is not in\n%s", word, s.Lot, way.Report())
			}
		}
	}
	for from, want := range map[string]string{"pot[1] castor-oil": "C-1, C-2", "pot[0] blend": "", "lye.water": "", "add[0] scent": ""} {
		if got, ok := lots[from]; !ok || got != want {
			t.Errorf("%s: lot %q, want %q (%v)", from, got, want, lots)
		}
	}
}
