package label_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// Two documents that give every particular that a market asks for. Tests take
// lines out of them, or put others in.
const (
	shopText = `maker:
  name: Tern & Thimble
  address: ["12 Ropewalk", "Sallow Bay, ME 04999, USA"]
  made_in: USA
  contact: {email: hello@tern.example, web: "https://tern.example/"}
responsible_person:
  eu: {name: Gull Imports, address: ["1 Quay", "Port Ellery, Ireland"]}
  uk: {name: Kelp Trading, address: ["9 Strand", "Saltby SB1 1AA"]}
`
	formulaText = `name: Sunday
identity: Scented soap
pot: [{material: olive-oil, weight: 1000 g}]
lye: {alkali: sodium hydroxide, superfat: 6%, water: {per_lye: 2}}
cuts:
  bar: {count: 8, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4.2 oz}
keep: {durability: 24 months}
words: {en: {tagline: A bar for Sundays}, fr: {identity: Savon parfumé}}
`
)

// A bar is what a test compiles a label of: the documents, and what the command
// line says.
type bar struct {
	shop, formula string
	batch, made   string
	declared      []declare.Ingredient
}

func wholeBar() bar {
	return bar{shop: shopText, formula: formulaText, batch: "26330-01", made: "2026-11-26",
		declared: []declare.Ingredient{{Name: "Sodium Olivate"}, {Name: "Glycerin"}, {Name: "Kaolin"}}}
}

// swap puts words in the place of others, which must be there just once.
func swap(t *testing.T, text, old, other string) string {
	t.Helper()
	if strings.Count(text, old) != 1 {
		t.Fatalf("%q is not once in\n%s", old, text)
	}
	return strings.Replace(text, old, other, 1)
}

func dayOf(t *testing.T, text string) day.Day {
	t.Helper()
	d, err := day.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func lawOf(t *testing.T, id string) *market.Law { return lawOn(t, id, "2026-11-26") }

func lawOn(t *testing.T, id, on string) *market.Law {
	t.Helper()
	law, err := market.On(id, dayOf(t, on))
	if err != nil {
		t.Fatal(err)
	}
	return law
}

// compileFor makes the label of the first cut for a market.
func (b bar) compileFor(t *testing.T, marketID string) (label.Content, []finding.Finding) {
	t.Helper()
	return b.compileBy(t, lawOf(t, marketID))
}

// compileBy makes the label of the first cut by a law. What is wrong with the
// documents as documents is for other packages.
func (b bar) compileBy(t *testing.T, law *market.Law) (label.Content, []finding.Finding) {
	t.Helper()
	s, _, err := formula.ReadShop("shop.yaml", []byte(b.shop))
	if err != nil {
		t.Fatal(err)
	}
	f, _, err := formula.ReadFormula("formulas/sunday.yaml", []byte(b.formula))
	if err != nil {
		t.Fatal(err)
	}
	content, found, err := label.Compile(f, s, f.Cuts[0], declare.Declaration{Ingredients: b.declared}, law, label.Making{Made: dayOf(t, b.made), Batch: b.batch})
	if err != nil {
		t.Fatal(err)
	}
	return content, found
}

// stops gives the rules of the findings that keep a label from being printed.
func stops(found []finding.Finding) []string {
	var rules []string
	for _, f := range found {
		if f.Level == finding.Stop {
			rules = append(rules, f.Rule)
		}
	}
	return rules
}

// Every duty of a market stands on the label, with its words, its panel, and
// whether it may be left out, in the order in which a label is read.
func TestContent(t *testing.T) {
	const none, must = false, true
	type want struct {
		duty     label.Duty
		words    string
		panel    label.Panel
		required bool
		field    string
	}
	list := want{label.DutyIngredients, "Ingredients: Sodium Olivate, Glycerin, Kaolin.", label.Information, must, "pot"}
	name := want{label.DutyName, "Sunday", label.Principal, none, "name"}
	tagline := want{label.DutyTagline, "A bar for Sundays", label.Principal, none, "words.en.tagline"}
	whoMade := want{label.DutyMaker, "Tern & Thimble 12 Ropewalk Sallow Bay, ME 04999, USA", label.Any, must, "maker"}
	contact := want{label.DutyContact, "tern.example", label.Any, none, "maker.contact"}
	caution := want{label.DutyCaution, "Caution: For external use only. If soap gets in the eyes, rinse with water. Keep dry between uses.", label.Any, none, "phrase.caution"}
	european := func(person want) []want {
		return []want{
			name, {label.DutyIdentity, "Scented soap", label.Any, must, "identity"}, tagline,
			{label.DutyNetQuantity, "119 g", label.Any, must, "cuts.bar.claim"},
			{label.DutyMaker, "Tern & Thimble", label.Any, none, "maker.name"},
			person,
			{label.DutyOrigin, "Made in USA", label.Any, must, "maker.made_in"}, contact,
			{label.DutyBatch, "Batch 26330-01", label.Any, must, "batch"},
			{label.DutyDurability, "Best used before the end of 10/2028", label.Any, must, "keep.durability"},
			list, caution,
		}
	}
	for _, tt := range []struct {
		market string
		want   []want
	}{
		{"us-soap", []want{
			name, {label.DutyIdentity, "Scented soap", label.Principal, must, "identity"}, tagline,
			{label.DutyNetQuantity, "Net Wt 4.2 oz (119 g)", label.Principal, must, "cuts.bar.claim"},
			whoMade, contact, {label.DutyBatch, "Batch 26330-01", label.Any, none, "batch"},
			{list.duty, list.words, list.panel, none, list.field}, caution,
		}},
		{"us-cosmetic", []want{
			name, {label.DutyIdentity, "Scented soap", label.Principal, must, "identity"}, tagline,
			{label.DutyNetQuantity, "Net Wt 4.2 oz (119 g)", label.Principal, must, "cuts.bar.claim"},
			whoMade, contact, {label.DutyBatch, "Batch 26330-01", label.Any, none, "batch"}, list, caution,
		}},
		{"eu", european(want{label.DutyResponsible, "Gull Imports 1 Quay Port Ellery, Ireland", label.Any, must, "responsible_person.eu"})},
		{"uk", european(want{label.DutyResponsible, "Kelp Trading 9 Strand Saltby SB1 1AA", label.Any, must, "responsible_person.uk"})},
		{"ca", []want{
			name, {label.DutyIdentity, "Scented soap / Savon parfumé", label.Principal, must, "identity"}, tagline,
			{label.DutyNetQuantity, "119 g", label.Principal, must, "cuts.bar.claim"},
			whoMade, contact, {label.DutyBatch, "Batch / Lot 26330-01", label.Any, none, "batch"},
			{label.DutyIngredients, "Ingredients / Ingrédients: Sodium Olivate, Glycerin, Kaolin.", label.Information, must, "pot"}, caution,
			{label.DutyCaution, "Mise en garde\u00a0: Pour usage externe seulement. En cas de contact du savon avec les yeux, rincer à l’eau. Garder au sec entre les utilisations.", label.Any, none, "phrase.caution.fr"},
		}},
		{"au", []want{
			name, {label.DutyIdentity, "Scented soap", label.Principal, none, "identity"}, tagline,
			{label.DutyNetQuantity, "119 g", label.Principal, must, "cuts.bar.claim"},
			whoMade, contact, {label.DutyBatch, "Batch 26330-01", label.Any, none, "batch"}, list, caution,
		}},
		{"nz", []want{
			name, {label.DutyIdentity, "Scented soap", label.Principal, none, "identity"}, tagline,
			{label.DutyNetQuantity, "119 g", label.Principal, must, "cuts.bar.claim"},
			{label.DutyMaker, "Tern & Thimble", label.Any, none, "maker.name"},
			{label.DutyContact, "tern.example", label.Any, must, "maker.contact"},
			{label.DutyBatch, "Batch 26330-01", label.Any, must, "batch"}, list, caution,
		}},
	} {
		t.Run(tt.market, func(t *testing.T) {
			content, found := wholeBar().compileFor(t, tt.market)
			if got := stops(found); got != nil {
				t.Errorf("nothing is missing, and yet it stops by %q", got)
			}
			if content.Formula != "sunday" || content.Market != tt.market || content.Language != "en" {
				t.Errorf("content of %q for %q in %q", content.Formula, content.Market, content.Language)
			}
			if want := (label.Bar{Length: measure.MM(80), Width: measure.MM(55), Height: measure.MM(25)}); content.Bar != want {
				t.Errorf("bar %+v, want %+v", content.Bar, want)
			}
			var got []want
			for _, s := range content.Statements {
				got = append(got, want{s.Duty, s.Words(), s.Panel, s.Required, s.Field})
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("the label says\n%+v\nwant\n%+v", got, tt.want)
			}
			law := lawOf(t, tt.market)
			for _, s := range content.Statements {
				rule, regulated := law.Statement(string(s.Duty))
				if s.Duty == label.DutyIngredients && !regulated {
					rule.Cite, regulated = law.List.Cite, true
				}
				if regulated && s.Cite != rule.Cite || !regulated && s.Cite != "" {
					t.Errorf("%s cites %q, want %q", s.Duty, s.Cite, rule.Cite)
				}
			}
		})
	}
}

// A label does not promise what is over already.
func TestExpired(t *testing.T) {
	b := wholeBar()
	b.made = "2024-01-15"
	b.formula = swap(t, b.formula, "24 months", "12 months")
	if _, found := b.compileFor(t, "eu"); !slices.Equal(stops(found), []string{"LABEL-EXPIRED"}) {
		t.Errorf("stopped by %q, want LABEL-EXPIRED", stops(found))
	}
}

// Durability is counted in months of the calendar from the day of making; the
// month that is printed must lie wholly within it. Up to 30 months a date is
// printed (Regulation (EC) No 1223/2009 Art. 19(1)(c)).
func TestDurability(t *testing.T) {
	for _, tt := range []struct {
		made, months, want string // want "": a stop
	}{
		{"2026-11-26", "24 months", "10/2028"}, // keeps until the 26th of the next
		{"2026-11-30", "24 months", "11/2028"}, // keeps until the last of it
		{"2026-12-31", "2 months", "02/2027"},  // a shorter month, to its end
		{"2026-12-30", "2 months", "02/2027"},
		{"2026-12-01", "1 month", "12/2026"},
		{"2026-11-30", "30 months", "04/2029"},
		{"2026-11-30", "31 months", ""},
		{"2026-11-30", "120 months", ""},
		{"9999-06-01", "6 months", "11/9999"},
		{"9999-06-01", "7 months", ""}, // the calendar of this program ends
	} {
		t.Run(tt.made+" "+tt.months, func(t *testing.T) {
			b := wholeBar()
			b.made = tt.made
			b.formula = swap(t, b.formula, "24 months", tt.months)
			content, found := b.compileFor(t, "eu")
			s, said := content.Find(label.DutyDurability)
			if tt.want != "" {
				if want := "Best used before the end of " + tt.want; s.Words() != want {
					t.Errorf("says %q, want %q", s.Words(), want)
				}
				if got := stops(found); got != nil {
					t.Errorf("stopped by %q", got)
				}
				return
			}
			if said {
				t.Errorf("says %q, want nothing", s.Words())
			}
			if got := stops(found); !slices.Equal(got, []string{"EU-DURABILITY-01"}) {
				t.Errorf("stopped by %q, want EU-DURABILITY-01", got)
			}
			for _, f := range found {
				if f.Level == finding.Stop && f.At.String() != "formulas/sunday.yaml:7:20" {
					t.Errorf("points to %s, want the months", f.At)
				}
			}
			// A market that asks for no durability says nothing of it.
			if content, found := b.compileFor(t, "us-soap"); stops(found) != nil {
				t.Errorf("us-soap: stopped by %q in %v", stops(found), content)
			}
		})
	}
}

// The weight on a label that no weighing stands behind is a warning at the claim.
func TestUnweighed(t *testing.T) {
	for _, m := range market.IDs() {
		b := wholeBar()
		content, found := b.compileFor(t, m)
		net, _ := content.Find(label.DutyNetQuantity)
		i := slices.IndexFunc(found, func(f finding.Finding) bool { return f.Rule == label.RuleUnweighed })
		if i < 0 {
			t.Fatalf("%s: no %s in %v", m, label.RuleUnweighed, found)
		}
		f := found[i]
		if f.Level != finding.Warn || f.At.String() != "formulas/sunday.yaml:6:70" || !strings.Contains(f.Message, net.Words()) || f.Remedy == "" || f.Market != m {
			t.Errorf("%s: %+v", m, f)
		}
		takeClaim(t, &b)
		if _, found := b.compileFor(t, m); slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == label.RuleUnweighed }) {
			t.Errorf("%s: a bar without a claim has an unweighed claim: %v", m, found)
		}
	}
}

// The height of the figures of a net quantity in the EU goes by that quantity:
// Council Directive 76/211/EEC, Annex I, 3.1.
func TestFiguresByQuantity(t *testing.T) {
	for _, tt := range []struct {
		claim string
		mm    float64
	}{
		{"1 g", 2}, {"49 g", 2}, {"50 g", 2}, {"51 g", 3}, {"50.000001 g", 3}, {"1.7636 oz", 2}, {"1.7638 oz", 3}, // 50 g is 1.76370 oz
		{"200 g", 3}, {"201 g", 4}, {"1000 g", 4}, {"1 kg", 4}, {"1001 g", 6},
	} {
		t.Run(tt.claim, func(t *testing.T) {
			b := wholeBar()
			b.formula = swap(t, b.formula, "claim: 4.2 oz", "claim: "+tt.claim)
			content, _ := b.compileFor(t, "eu")
			net, _ := content.Find(label.DutyNetQuantity)
			if net.Letters.Measured != label.Figures || len(net.Letters.Steps) != 1 {
				t.Fatalf("letters %+v, want one step for figures", net.Letters)
			}
			for _, face := range []measure.Area{0, measure.SquareInch, 1000 * measure.SquareInch} {
				if got := net.Letters.Least(face); got != measure.MM(tt.mm) {
					t.Errorf("at least %.3f mm on a face of %.0f mm², want %g mm", got.Millimetres(), face.SquareMillimetres(), tt.mm)
				}
			}
		})
	}
}

// The letters of a net quantity in the US go by the area of the panel, and the
// words stand low on it with space around: 16 CFR 500.21 and 500.6.
func TestLettersByArea(t *testing.T) {
	content, _ := wholeBar().compileFor(t, "us-soap")
	net, _ := content.Find(label.DutyNetQuantity)
	if net.Letters.Measured != label.SmallLetter {
		t.Errorf("measured is %q", net.Letters.Measured)
	}
	const in2 = measure.SquareInch
	for _, tt := range []struct {
		face      measure.Area
		sixteenth measure.Length // of an inch
	}{
		{0, 1}, {5*in2 - 1, 1}, {5 * in2, 1}, {5*in2 + 1, 2}, {25 * in2, 2}, {25*in2 + 1, 3},
		{100 * in2, 3}, {100*in2 + 1, 4}, {400 * in2, 4}, {400*in2 + 1, 8},
	} {
		if got, want := net.Letters.Least(tt.face), tt.sixteenth*measure.Inch/16; got != want {
			t.Errorf("on %.4f mm²: %.4f mm, want %.4f mm", tt.face.SquareMillimetres(), got.Millimetres(), want.Millimetres())
		}
	}
	want := label.Placement{LowestPart: 30 * measure.Percent, UnlessFaceTo: 5 * in2, ClearHeights: 1, ClearWidthsN: 2}
	if net.Place != want {
		t.Errorf("placed %+v, want %+v", net.Place, want)
	}
	for _, s := range content.Statements {
		if s.Duty != label.DutyNetQuantity && (len(s.Letters.Steps) > 0 || s.Place != label.Placement{}) {
			t.Errorf("%s asks %+v and %+v; only the net weight does", s.Duty, s.Letters, s.Place)
		}
	}
}

// The letters of a net weight in Australia go by the largest dimension of the pack,
// and 2 mm round them are free: National Trade Measurement Regulations 2009 reg. 4.12;
// the free space from the rules of a state before them.
func TestLettersByDimension(t *testing.T) {
	for _, tt := range []struct {
		size string
		mm   float64
	}{
		{"length: 80 mm, width: 55 mm, height: 25 mm", 2},
		{"length: 120 mm, width: 55 mm, height: 25 mm", 2}, {"length: 120.1 mm, width: 55 mm, height: 25 mm", 2.5},
		{"length: 80 mm, width: 121 mm, height: 25 mm", 2.5}, {"length: 80 mm, width: 55 mm, height: 121 mm", 2.5},
		{"length: 230 mm, width: 55 mm, height: 25 mm", 2.5}, {"length: 231 mm, width: 55 mm, height: 25 mm", 3.3},
		{"length: 360 mm, width: 55 mm, height: 25 mm", 3.3}, {"length: 361 mm, width: 55 mm, height: 25 mm", 4.8},
	} {
		b := wholeBar()
		b.formula = swap(t, b.formula, "length: 80 mm, width: 55 mm, height: 25 mm", tt.size)
		content, _ := b.compileFor(t, "au")
		net, _ := content.Find(label.DutyNetQuantity)
		for _, face := range []measure.Area{0, 1000 * measure.SquareInch} {
			if got := net.Letters.Least(face); got != measure.MM(tt.mm) {
				t.Errorf("%s: at least %.3f mm, want %g mm", tt.size, got.Millimetres(), tt.mm)
			}
		}
		if want := (label.Placement{ClearAround: 2 * measure.Millimetre}); net.Place != want {
			t.Errorf("placed %+v, want %+v", net.Place, want)
		}
	}
}

// Where laws that measure by area, by quantity and by dimension share a label, the
// highest letters of all hold at each area.
func TestLettersOfSeveralBases(t *testing.T) {
	const in2 = measure.SquareInch
	law := *lawOf(t, "us-soap")
	law.Statements = slices.Clone(law.Statements)
	for i, s := range law.Statements {
		if s.Duty == "net-quantity" {
			law.Statements[i].Letters.ByQuantity = []market.QuantityStep{{Over: 0, Min: measure.MM(2)}, {Over: 100 * measure.Gram, Min: measure.MM(4)}}
			law.Statements[i].Letters.ByDimension = []market.DimensionStep{{Over: 0, Min: measure.MM(3)}, {Over: measure.MM(100), Min: measure.MM(5)}}
		}
	}
	for _, tt := range []struct {
		claim, length string
		small, large  float64 // on a face of 3 and of 200 square inches, for which alone 1.5875 and 6.35 mm are asked
	}{
		{"1 oz", "80 mm", 3, 6.35}, {"4 oz", "80 mm", 4, 6.35}, {"1 oz", "101 mm", 5, 6.35},
	} {
		b := wholeBar()
		b.formula = swap(t, b.formula, "claim: 4.2 oz", "claim: "+tt.claim)
		b.formula = swap(t, b.formula, "length: 80 mm", "length: "+tt.length)
		content, _ := b.compileBy(t, &law)
		net, _ := content.Find(label.DutyNetQuantity)
		if small, large := net.Letters.Least(3*in2), net.Letters.Least(200*in2); small != measure.MM(tt.small) || large != measure.MM(tt.large) {
			t.Errorf("%s, %s: %.3f and %.3f mm, want %g and %g mm", tt.claim, tt.length, small.Millimetres(), large.Millimetres(), tt.small, tt.large)
		}
	}
}

// A market whose language has no phrases is an error, not an empty label.
func TestLanguageWithoutPhrases(t *testing.T) {
	law := *lawOf(t, "eu")
	law.Languages = []string{"tlh"}
	_, _, err := label.Compile(formula.Formula{}, formula.Shop{}, formula.Cut{}, declare.Declaration{}, &law, label.Making{})
	if err == nil || !strings.Contains(err.Error(), `market eu: there are no phrases in the language "tlh"`) {
		t.Errorf("error %v", err)
	}
}
