package compile_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/band"
	"saponym/internal/compile"
	"saponym/internal/declare"
	"saponym/internal/formula"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/scene"
)

// A taking is how a particular is taken away from the stall, and how it is there.
type taking struct{ without, with func(*stall) }

// takings are those of the duties that a maker can leave out. An address may serve as a
// contact, so with the contact the address goes; where the soap is imported the importer
// is named and the country is not.
var takings = map[label.Duty]taking{
	label.DutyNetQuantity: {without: func(s *stall) { s.claim = "" }},
	label.DutyMaker:       {without: func(s *stall) { s.maker = "name: Larch & Lather, made_in: USA" + email }},
	label.DutyResponsible: {without: func(s *stall) { s.persons = nil }},
	label.DutyDurability:  {without: func(s *stall) { s.keep = "sell_within: 1 months" }},
	label.DutyContact:     {without: func(s *stall) { s.maker = "name: Larch & Lather, made_in: USA" }},
	label.DutyOrigin: {
		without: func(s *stall) {
			s.maker, s.persons = larch+email, map[string]string{"us": person, "eu": person, "uk": person}
		},
		with: func(s *stall) { s.maker = larch + email + ", made_in: Chile" },
	},
}

// statementCase takes a particular away and gives it back, and looks at it on the paper.
func statementCase(t *testing.T, rule compile.RuleAnswer) {
	law := lawOf(t, rule.Market)
	i := slices.IndexFunc(law.Statements, func(s market.Statement) bool { return s.ID == rule.ID })
	statement := law.Statements[i]
	duty := label.Duty(statement.Duty)
	whole := stallInOrder()
	if with := takings[duty].with; with != nil {
		whole = whole.but(with)
	}
	keeps(t, rule.ID, rule.Market, "with it", whole)
	switch {
	case !statement.Required, duty == label.DutyIngredients: // about its form only
	case duty == label.DutyIdentity:
		identityCase(t, rule, statement)
	case duty == label.DutyBatch:
		batchCase(t, rule)
	case takings[duty].without == nil:
		t.Errorf("there is no case for the duty %s", duty)
	default:
		breaks(t, rule.ID, rule.Market, "without it", whole.but(takings[duty].without))
	}
	paperCase(t, rule, statement, whole)
}

// A formula without an identity is none, in whichever market, and is stopped before any
// law is asked; what a law can find lacking is another language.
func identityCase(t *testing.T, rule compile.RuleAnswer, statement market.Statement) {
	breaks(t, formula.RuleMissing, rule.Market, "without an identity", stallInOrder().but(func(s *stall) { s.identity = "" }))
	if len(statement.Languages) > 1 {
		breaks(t, rule.ID, rule.Market, "in one language", stallInOrder().but(func(s *stall) { s.words = "" }))
	}
}

// A formula cannot know the code of a batch, so that one is taken for granted where it is
// checked; a label is stopped, or warned of, without it.
func batchCase(t *testing.T, rule compile.RuleAnswer) {
	o := order(t, "plain", rule.Market)
	o.Batch = ""
	l, err := compile.Band(folderOf(t, stallInOrder().files()), o)
	if err != nil {
		t.Fatal(err)
	}
	if len(by(sound(t, l.Findings), rule.ID)) != 1 {
		t.Errorf("without a code: %v", l.Findings)
	}
}

// heights are the millimetres that letters must have on a bar of 85 by 60 by 25 mm with a
// claim of 100 g: its face has 51 cm² (7.9 sq in).
var heights = map[string]float64{
	"US-SOAP-NET-01":             3.175,  // 1/8 in from 5 to 25 sq in: 16 CFR 500.21
	"US-COSMETIC-NET-01":         3.175,  // the same: 21 CFR 701.13(i), from memory
	"US-COSMETIC-MAKER-01":       1.5875, // 1/16 in: a guide of the FDA
	"US-COSMETIC-INGREDIENTS-01": 1.5875, // 1/16 in: 21 CFR 701.3(b)
	"US-COSMETIC-WARNING-01":     1.5875, // 1/16 in: 21 CFR 740.2
	"EU-NET-01":                  3,      // over 50 g: Directive 76/211/EEC Annex I 3.1
	"UK-NET-01":                  3,      // the same: SI 2006/659, from memory
	"CA-IDENTITY-01":             1.6,    // CPLR s. 15
	"CA-NET-01":                  3.2,    // from 32 to 258 cm²: CPLR s. 14
	"CA-DEALER-01":               1.6,    // CPLR s. 15
	"AU-NET-01":                  2,      // up to 120 mm: National Trade Measurement Regulations 2009 reg. 4.12
	"NZ-NET-01":                  2,      // Trading Standards, general quantity labelling requirements
}

// marks are rules about signs that the program does not print.
var marks = []string{"EU-MARK-01", "UK-MARK-01"}

// paperCase looks at a particular on the finished band: its letters, its panel, and its
// weight where the law asks for boldface.
func paperCase(t *testing.T, rule compile.RuleAnswer, statement market.Statement, s stall) {
	l := s.labelIn(t, rule.Market)
	printed, drawn := 0, 0
	for _, p := range l.Proof {
		if string(p.Duty) != statement.Duty {
			continue
		}
		printed++
		if p.Cite != statement.Cite {
			t.Errorf("it goes by %q, want %q", p.Cite, statement.Cite)
		}
		if want := heights[rule.ID]; p.Required != want || p.Letter < want {
			t.Errorf("letters of %g mm where %g mm are asked, want %g mm", p.Letter, p.Required, want)
		}
	}
	if unprinted := slices.Contains(marks, rule.ID); unprinted != (printed == 0) {
		t.Errorf("it stands on the label %d times", printed)
	}
	for _, item := range l.Band.Scene.Items {
		if item.Mark.Duty != statement.Duty || item.Text == nil {
			continue
		}
		drawn++
		if statement.Bold && !strings.Contains(string(item.Text.Face), "bold") {
			t.Errorf("%q is set in %s, want boldface", item.Text.Runes, item.Text.Face)
		}
		if on := panelOf(l.Band.Blank, item.Text); !servesAs(on, statement.Panel) {
			t.Errorf("%q stands on %s, want %s", item.Text.Runes, on, statement.Panel)
		}
	}
	if (drawn == 0) != (printed == 0) {
		t.Errorf("proved %d times, drawn in %d texts", printed, drawn)
	}
}

// panelOf gives the panel on which a text begins.
func panelOf(b band.Blank, text *scene.Text) string {
	for _, p := range b.Panels {
		if text.At.X >= p.X && text.At.X < p.Right() {
			return p.Name
		}
	}
	return ""
}

// servesAs reports whether a panel of the band is one that a law means: the front is the
// panel that a buyer sees first, and the list stands on the back.
func servesAs(panel, asked string) bool {
	switch asked {
	case "principal":
		return panel == band.Front
	case "information":
		return panel == band.BackA || panel == band.BackB
	}
	return panel != "" && panel != band.Tab
}

// Where no rule of a market is about a particular, nothing is asked of its letters.
func TestNoHeightWithoutARule(t *testing.T) {
	for _, id := range compile.Markets() {
		for _, p := range stallInOrder().labelIn(t, id).Proof {
			rule, regulated := lawOf(t, id).Statement(string(p.Duty))
			if _, asked := heights[rule.ID]; !(regulated && asked) && p.Required != 0 {
				t.Errorf("%s: %s must have %g mm", id, p.Duty, p.Required)
			}
		}
	}
}

// Boldface: 16 CFR 500.20, CPLR s. 14, 21 CFR 740.2 and 801.61(c), the last as the twin of
// 701.11; 701.13 from memory. The front: 16 CFR 500.4 and 500.6, CPLR s. 12, National Trade
// Measurement Regulations 2009 reg. 4.10, Trading Standards of New Zealand.
func TestWhoAsksForBoldfaceAndTheFront(t *testing.T) {
	var bold, principal []string
	for _, id := range compile.Markets() {
		for _, s := range lawOf(t, id).Statements {
			if s.Bold {
				bold = append(bold, s.ID)
			}
			if s.Panel == "principal" {
				principal = append(principal, s.ID)
			}
		}
	}
	slices.Sort(bold)
	slices.Sort(principal)
	if want := []string{"CA-NET-01", "US-COSMETIC-IDENTITY-01", "US-COSMETIC-NET-01", "US-COSMETIC-WARNING-01", "US-SOAP-NET-01"}; !slices.Equal(bold, want) {
		t.Errorf("boldface is asked by %v, want %v", bold, want)
	}
	want := []string{"AU-NET-01", "CA-IDENTITY-01", "CA-NET-01", "NZ-NET-01", "US-COSMETIC-IDENTITY-01", "US-COSMETIC-NET-01", "US-SOAP-IDENTITY-01", "US-SOAP-NET-01"}
	if !slices.Equal(principal, want) {
		t.Errorf("the principal panel is asked by %v, want %v", principal, want)
	}
}

// A listing is what a list of ingredients calls things.
type listing struct {
	heading, water, perfume, olive, honey, red string
	oils                                       bool // essential oils go by their names
	required, asMade                           bool
}

var (
	american = listing{"Ingredients:", "Water", "Fragrance", "Olea Europaea (Olive) Fruit Oil", "Honey", "Iron Oxides", true, true, true}
	southern = listing{"Ingredients:", "Water", "Fragrance", "Olea Europaea (Olive) Fruit Oil", "Honey", "CI 77491", true, true, true}
	european = listing{"Ingredients:", "Aqua", "Parfum", "Olea Europaea Fruit Oil", "Mel", "CI 77491", false, true, true}
)

// listings are those of each rule. Names: 21 CFR 701.3(c) with the dictionary of names of
// the trade; the glossary of Regulation (EC) No 1223/2009 Art. 33; Cosmetic Regulations of
// Canada s. 21.2 and Schedule, by which what the lye has used up is no ingredient either
// (s. 2(1)); Consumer Goods (Cosmetics) Information Standard 2020 of Australia; Cosmetic
// Products Group Standard 2020 of New Zealand. Of true soap no list is asked (15 USC 1454).
var listings = map[string]listing{
	"US-SOAP-LIST-01":     func(l listing) listing { l.required = false; return l }(american),
	"US-COSMETIC-LIST-01": american,
	"EU-LIST-01":          european,
	"UK-LIST-01":          european,
	"CA-LIST-01":          {"Ingredients / Ingrédients:", "Aqua", "Parfum", "Olea Europaea (Olive) Fruit Oil", "Mel", "CI 77491", false, true, false},
	"AU-LIST-01":          southern,
	"NZ-LIST-01":          southern,
}

// manifold is the stall with much in its bar: a scent of 3 % of the oils, an oil, honey, and
// flour and colour in shares that a case gives.
func manifold(flour, red string) stall {
	return stallInOrder().but(func(s *stall) {
		s.add = append(s.add, "{material: honey, share: 2%}", "{material: lavender-oil, share: 1.5%}", "{material: oat-flour, share: "+flour+"}", "{material: pigment, share: "+red+"}")
	})
}

func listCase(t *testing.T, rule compile.RuleAnswer) {
	want, ok := listings[rule.ID]
	if !ok {
		t.Fatal("there is no case for it")
	}
	s := manifold("0.5%", "3%")
	l := s.labelIn(t, rule.Market)
	names := l.Declaration.Names()
	for _, name := range []string{want.water, want.perfume, want.olive, want.honey, want.red} {
		if !slices.Contains(names, name) {
			t.Errorf("%q is not in the list %q", name, names)
		}
	}
	for _, other := range []listing{american, southern, european} {
		for _, pair := range [][2]string{{want.water, other.water}, {want.perfume, other.perfume}, {want.olive, other.olive}, {want.honey, other.honey}, {want.red, other.red}} {
			if pair[0] != pair[1] && slices.Contains(names, pair[1]) {
				t.Errorf("%q is in the list in the place of %q", pair[1], pair[0])
			}
		}
	}
	if slices.Contains(names, "Lavandula Angustifolia (Lavender) Oil") != want.oils {
		t.Errorf("the essential oil goes by its name: want %v in %q", want.oils, names)
	}
	printed, _ := l.Content.Find(label.DutyIngredients)
	if printed.Heading != want.heading || printed.Required != want.required {
		t.Errorf("heading %q, required %v, want %q, %v", printed.Heading, printed.Required, want.heading, want.required)
	}
	made, err := compile.Declare(folderOf(t, s.files()), compile.Order{Formula: "plain", Market: rule.Market, On: today(t), Style: market.AsMade})
	if err != nil {
		t.Fatal(err)
	}
	if found := by(made.Findings, declare.RuleStyle); (len(found) == 0) != want.asMade {
		t.Errorf("a list of what went into the pot may stand: want %v, found %v", want.asMade, found)
	}
}

// zone gives the zone of an ingredient, and the place from the end at which it stands.
func (s stall) zone(t *testing.T, id, begins string) (zone declare.Zone, fromEnd int) {
	t.Helper()
	all := s.labelIn(t, id).Declaration.Ingredients
	i := slices.IndexFunc(all, func(in declare.Ingredient) bool { return strings.HasPrefix(in.Name, begins) })
	if i < 0 {
		t.Fatalf("%s: there is no %s in %v", id, begins, all)
	}
	return all[i].Zone, len(all) - 1 - i
}

// What is clearly below 1 % has no order, and what is clearly above has.
func anyOrderCase(t *testing.T, rule compile.RuleAnswer) {
	for share, want := range map[string]declare.Zone{"0.5%": declare.AnyOrder, "5%": declare.Ordered} {
		if got, _ := manifold(share, "3%").zone(t, rule.Market, "Avena Sativa"); got != want {
			t.Errorf("%s of flour: %s, want %s", share, got, want)
		}
	}
}

// A colourant stands last, however much of it there is, and what is none stands by weight.
func colourantsLastCase(t *testing.T, rule compile.RuleAnswer) {
	s := manifold("5%", "6%")
	if got, fromEnd := s.zone(t, rule.Market, listings[lawOf(t, rule.Market).List.ID].red); got != declare.Colourant || fromEnd != 0 {
		t.Errorf("the colourant: %s, %d from the end", got, fromEnd)
	}
	if got, fromEnd := s.zone(t, rule.Market, "Avena Sativa"); got != declare.Ordered || fromEnd == 0 {
		t.Errorf("the flour: %s, %d from the end", got, fromEnd)
	}
}
