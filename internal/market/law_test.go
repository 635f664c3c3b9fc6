package market_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// today is a day on which all rules of the tables below are in force.
const today = "2026-11-28"

// byDays gives the law for days of the label, of placing and of the first sale of
// the product; "" where one is not known.
func byDays(t testing.TB, id, on, placed, product string) *market.Law {
	t.Helper()
	var days market.Days
	for _, d := range []struct {
		to   *day.Day
		text string
	}{{&days.On, on}, {&days.Placed, placed}, {&days.Product, product}} {
		if d.text == "" {
			continue
		}
		var err error
		if *d.to, err = day.Parse(d.text); err != nil {
			t.Fatal(err)
		}
	}
	law, err := market.For(id, days)
	if err != nil {
		t.Fatal(err)
	}
	return law
}

func statement(t testing.TB, id, duty string) market.Statement {
	t.Helper()
	s, ok := on(t, id, today).Statement(duty)
	if !ok {
		t.Fatalf("%s has no rule on %s", id, duty)
	}
	return s
}

func TestHeaders(t *testing.T) {
	for _, tt := range []struct{ id, place, class, paper, languages string }{
		{"au", "au", "cosmetic", "a4", "en"},        // ACCC page on the Information Standard 2020
		{"ca", "ca", "cosmetic", "letter", "en fr"}, // Cosmetic Regulations s. 18(a)
		{"eu", "eu", "cosmetic", "a4", "en"},        // Reg. 1223/2009 recital 7
		{"nz", "nz", "cosmetic", "a4", "en"},        // Group Standard 2020
		{"uk", "uk", "cosmetic", "a4", "en"},        // assimilated Reg. 1223/2009
		{"us-cosmetic", "us", "cosmetic", "letter", "en"},
		{"us-soap", "us", "soap", "letter", "en"}, // 21 CFR 701.20(a)
	} {
		law := on(t, tt.id, today)
		if law.Market != tt.id || law.Place != tt.place || law.Class != tt.class || law.Paper != tt.paper || strings.Join(law.Languages, " ") != tt.languages {
			t.Errorf("%s: place %s, class %s, paper %s, languages %v", law.Market, law.Place, law.Class, law.Paper, law.Languages)
		}
		if law.Name == "" || law.Authority == "" {
			t.Errorf("%s does not say its name, or whom to ask", tt.id)
		}
	}
}

// Whoever is stopped is told what to do; and so is whoever is warned by a rule on
// the label or on the papers behind it.
func TestRemedies(t *testing.T) {
	for _, id := range market.IDs() {
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rules {
			if r.Level > finding.Note && r.Remedy == "" {
				t.Errorf("%s has no remedy", r.ID)
			}
			if r.Kind == "reminder" && (r.Level != finding.Note || !strings.Contains(r.Condition, "not judged")) {
				t.Errorf("%s is not judged, and does not say so: %s, %q", r.ID, r.Level, r.Condition)
			}
			if r.Kind == "gatekeeper" && r.Level > finding.Warn {
				t.Errorf("%s stops a label for a paper that the program cannot see", r.ID)
			}
		}
		for _, s := range on(t, id, today).Statements {
			for _, e := range s.Exemptions {
				if e.When == "" || e.Instead == "" || e.Cite == "" || e.Known == "" {
					t.Errorf("%s: the exemption %+v is not whole", s.ID, e)
				}
			}
		}
	}
}

func TestListRules(t *testing.T) {
	for _, tt := range []struct {
		id                      string
		required                bool
		names, colours          market.Names
		heading, water, perfume string
		oilsAsPerfume, trivial  bool
		styles                  string
		ordered                 market.OrderedBy
	}{
		// 15 USC 1454(c)(3), 16 CFR 502: no rule asks for a list
		{"us-soap", false, "us", "us", "Ingredients", "Water", "Fragrance", false, false, "as-cured as-made", market.InTheBar},
		// 21 CFR 701.3(a), (c): English names, the word fragrance, an oil with another effect by its name
		{"us-cosmetic", true, "us", "us", "Ingredients", "Water", "Fragrance", false, false, "as-cured as-made", market.NotSaid},
		// Reg. 1223/2009 Art. 19(1)(g), (6): glossary names, weight at the time of adding
		{"eu", true, "eu", "eu", "Ingredients", "Aqua", "Parfum", true, false, "as-cured as-made", market.WhenAdded},
		{"uk", true, "eu", "eu", "Ingredients", "Aqua", "Parfum", true, false, "as-cured as-made", market.WhenAdded}, // words from memory
		// Cosmetic Regulations s. 2(1): what is used up is no ingredient; 21.2(1), (3), 21.4(1), (3), Schedule
		{"ca", true, "us", "eu", "Ingredients / Ingrédients", "Aqua", "Parfum", true, true, "as-cured", market.InTheBar},
		// Information Standard 2020 s. 8: English or INCI names, volume or mass; the words for scent from memory
		{"au", true, "us", "eu", "Ingredients", "Water", "Fragrance", false, false, "as-cured as-made", market.NotSaid},
		// Group Standard 2020, labelling (2)(a)-(e)
		{"nz", true, "us", "eu", "Ingredients", "Water", "Fragrance", false, false, "as-cured as-made", market.NotSaid},
	} {
		l := on(t, tt.id, today).List
		var styles []string
		for _, s := range l.Styles {
			styles = append(styles, string(s))
		}
		got := fmt.Sprint(l.Required, l.Names, l.ColourNames, l.Heading, l.Water, l.Perfume, l.OilsAsPerfume, l.Trivial, styles, l.OrderedBy)
		want := fmt.Sprint(tt.required, tt.names, tt.colours, tt.heading, tt.water, tt.perfume, tt.oilsAsPerfume, tt.trivial, strings.Fields(tt.styles), tt.ordered)
		if got != want {
			t.Errorf("%s: %s, want %s", tt.id, got, want)
		}
	}
}

// An ingredient of exactly 1 % is free of order in some places and not in others.
func TestOnePercentLine(t *testing.T) {
	for id, atToo := range map[string]bool{
		"us-soap":     true,  // 21 CFR 701.3(f), from memory
		"us-cosmetic": true,  // 21 CFR 701.3(f), from memory
		"ca":          true,  // Cosmetic Regulations s. 21.4(2)
		"eu":          false, // Reg. 1223/2009 Art. 19(1)(g), from memory
		"uk":          false, // as assimilated, from memory
		"au":          false, // Information Standard 2020 s. 8
		"nz":          false, // Group Standard 2020, labelling (2)(a)-(c)
	} {
		law := on(t, id, today)
		if law.AnyOrder.Share != measure.Percent || law.AnyOrder.AtToo != atToo {
			t.Errorf("%s: %+v", id, law.AnyOrder)
		}
		if law.ColourantsLast == nil { // the same paragraphs
			t.Errorf("%s keeps colourants in order", id)
		}
	}
}

// says gives the steps of letter heights as one line.
func says(l market.Letters) string {
	line := []string{l.Measured}
	for _, s := range l.ByArea {
		line = append(line, fmt.Sprintf("%g cm²: %.4g mm", float64(s.Over)/float64(100*measure.SquareMillimetre), s.Min.Millimetres()))
	}
	for _, s := range l.ByQuantity {
		line = append(line, fmt.Sprintf("%g g: %g mm", s.Over.Grams(), s.Min.Millimetres()))
	}
	for _, s := range l.ByDimension {
		line = append(line, fmt.Sprintf("%g mm: %g mm", s.Over.Millimetres(), s.Min.Millimetres()))
	}
	return strings.Join(line, "; ")
}

func TestHeightsOfLetters(t *testing.T) {
	for _, tt := range []struct{ id, duty, want string }{
		// CPLR s. 14(2): 5, 40, 100 and 400 square inches
		{"ca", "net-quantity", "figures; 0 cm²: 1.6 mm; 32 cm²: 3.2 mm; 258 cm²: 6.4 mm; 645 cm²: 9.5 mm; 2580 cm²: 12.7 mm"},
		{"ca", "identity", "small letter; 0 cm²: 1.6 mm"},       // CPLR s. 15
		{"ca", "name-and-place", "small letter; 0 cm²: 1.6 mm"}, // CPLR s. 15
		{"ca", "contact", ""},     // Cosmetic Regulations: no figure
		{"ca", "ingredients", ""}, // Cosmetic Regulations s. 18: clearly legible
		// 21 CFR 701.13(i), from memory: 1/16, 1/8, 3/16 and 1/4 inch over 0, 5, 25 and 100 square inches
		{"us-cosmetic", "net-quantity", "small letter; 0 cm²: 1.587 mm; 32.258 cm²: 3.175 mm; 161.29 cm²: 4.763 mm; 645.16 cm²: 6.35 mm"},
		{"us-cosmetic", "ingredients", "small letter; 0 cm²: 1.587 mm"},    // 21 CFR 701.3(b)
		{"us-cosmetic", "caution", "small letter; 0 cm²: 1.587 mm"},        // 21 CFR 740.2
		{"us-cosmetic", "name-and-place", "small letter; 0 cm²: 1.587 mm"}, // guide of the FDA, from memory
		// SI 2006/659, the schedule from memory; Directive 76/211/EEC Annex I 3.1
		{"uk", "net-quantity", "figures; 0 g: 2 mm; 50 g: 3 mm; 200 g: 4 mm; 1000 g: 6 mm"},
		{"uk", "e-mark", "small letter; 0 g: 3 mm"}, // SI 2006/659 reg. 2
		{"eu", "e-mark", "small letter; 0 g: 3 mm"}, // FPackV s. 11(2)
		{"eu", "ingredients", ""},                   // Reg. 1223/2009 Art. 19(1): easily legible
		// NTMR 2009 reg. 4.12 and the guide to pre-packaged goods, table 1
		{"au", "net-quantity", "small letter; 0 mm: 2 mm; 120 mm: 2.5 mm; 230 mm: 3.3 mm; 360 mm: 4.8 mm"},
		{"nz", "net-quantity", "small letter; 0 g: 2 mm"}, // Trading Standards, general requirements
	} {
		if got := says(statement(t, tt.id, tt.duty).Letters); got != tt.want {
			t.Errorf("%s, %s: %q, want %q", tt.id, tt.duty, got, tt.want)
		}
	}
}

func TestPlaceOnThePanel(t *testing.T) {
	for _, tt := range []struct {
		id, duty, panel string
		bold            bool
		lowest          measure.Share
		unless          measure.Area
		heights, widths float64
		around          measure.Length
	}{
		// 16 CFR 500.6, 500.20; the clear space as in American Samoa Administrative Code 27.0643
		{"us-soap", "net-quantity", "principal", true, 30 * measure.Percent, 5 * measure.SquareInch, 1, 2, 0},
		{"us-cosmetic", "net-quantity", "principal", true, 30 * measure.Percent, 5 * measure.SquareInch, 1, 2, 0}, // 21 CFR 701.13(f), from memory
		{"us-cosmetic", "identity", "principal", true, 0, 0, 0, 0, 0},                                             // 21 CFR 701.11 from memory; 801.61(c)
		{"us-cosmetic", "caution", "any", true, 0, 0, 0, 0, 0},                                                    // 21 CFR 740.2
		{"us-cosmetic", "ingredients", "information", false, 0, 0, 0, 0, 0},                                       // 21 CFR 701.3(b)
		{"ca", "net-quantity", "principal", true, 0, 0, 0, 0, 0},                                                  // CPLR s. 12(a), 14(2)
		{"ca", "identity", "principal", false, 0, 0, 0, 0, 0},                                                     // CPLR s. 12(b)
		{"ca", "name-and-place", "any", false, 0, 0, 0, 0, 0},                                                     // CPLR s. 13
		{"eu", "net-quantity", "any", false, 0, 0, 0, 0, 0},                                                       // Reg. 1223/2009 Art. 19(1)
		{"au", "net-quantity", "principal", false, 0, 0, 0, 0, 2 * measure.Millimetre},                            // WA Regulations 2007 reg. 77
		{"nz", "net-quantity", "principal", false, 0, 0, 0, 0, 0},                                                 // Trading Standards: near the name
	} {
		s := statement(t, tt.id, tt.duty)
		got := fmt.Sprint(s.Panel, s.Bold, s.LowestPart, s.UnlessPanelTo, s.ClearHeights, s.ClearWidthsN, s.ClearAround)
		if want := fmt.Sprint(tt.panel, tt.bold, tt.lowest, tt.unless, tt.heights, tt.widths, tt.around); got != want {
			t.Errorf("%s, %s: %s, want %s", tt.id, tt.duty, got, want)
		}
	}
}

// What is asked for, with its form and languages: "?" marks what only warns, since
// its text was not read or its law may not reach the bar.
func TestRequiredDuties(t *testing.T) {
	for id, want := range map[string]string{
		"us-soap":     "identity name-and-place net-quantity(us dual) origin[en]",                               // 15 USC 1453(a), 19 USC 1304(a)
		"us-cosmetic": "contact identity ingredients name-and-place net-quantity(us dual) origin[en]",           // 21 CFR 701.3, 701.11-13; 21 USC 364e(a)
		"eu":          "batch durability identity ingredients net-quantity(metric) origin responsible-person",   // Reg. 1223/2009 Art. 19(1)
		"uk":          "batch? durability identity ingredients net-quantity(metric) origin? responsible-person", // batch and origin from memory
		"ca":          "contact[en fr] identity[en fr] ingredients name-and-place net-quantity(metric)",         // Cosmetic Regulations s. 20, 21.2; CPLR s. 12, 13
		"au":          "ingredients name-and-place? net-quantity(metric)",                                       // Information Standard 2020 s. 7; NTMR 2009 reg. 4.7 (memory), 4.10
		"nz":          "batch? contact? ingredients? net-quantity(metric)",                                      // Group Standard 2020, labelling (2)-(3); contact from memory
	} {
		var duties []string
		for _, s := range on(t, id, today).Statements {
			if !s.Required {
				continue
			}
			duty := s.Duty
			if s.Form != "" {
				duty += "(" + string(s.Form) + ")"
			}
			if len(s.Languages) > 0 {
				duty += fmt.Sprint(s.Languages)
			}
			if s.Level < finding.Stop {
				duty += "?"
			}
			duties = append(duties, duty)
		}
		slices.Sort(duties)
		if got := strings.Join(duties, " "); got != want {
			t.Errorf("%s asks for %q, want %q", id, got, want)
		}
	}
}

// The durability that is shown by a date: Reg. 1223/2009 Art. 19(1)(c).
func TestDatedDurability(t *testing.T) {
	for _, id := range []string{"eu", "uk"} {
		if s := statement(t, id, "durability"); s.DatedUpTo != 30 {
			t.Errorf("%s: a date up to %d months", id, s.DatedUpTo)
		}
	}
}

// A contact is asked for from 9 October 2024 in Canada (Cosmetic Regulations s. 20(a)
// as amended by SOR/2024-63), and from 29 December 2024 in the US (21 USC 364e(a)),
// whenever the bar was placed on the market.
func TestContact(t *testing.T) {
	for _, tt := range []struct {
		id, on string
		want   bool
	}{
		{"ca", "2024-10-08", false}, {"ca", "2024-10-09", true},
		{"us-cosmetic", "2024-12-28", false}, {"us-cosmetic", "2024-12-29", true},
	} {
		s, got := byDays(t, tt.id, tt.on, "2024-01-01", "").Statement("contact")
		if got != tt.want || got && !s.ByAddress {
			t.Errorf("%s on %s: %v, by an address too: %v", tt.id, tt.on, got, s.ByAddress)
		}
	}
	if statement(t, "nz", "contact").ByAddress {
		t.Error("an address from anywhere serves in New Zealand")
	}
}

// Whose list of allergens a bar must carry hangs on its three days.
func TestAllergenListByDays(t *testing.T) {
	for _, tt := range []struct{ id, on, placed, product, list string }{
		// Regulation (EU) 2023/1545, footnotes (*) and (**) of its annex
		{"eu", "2026-07-31", "2026-07-31", "", "2003"},
		{"eu", "2026-08-01", "2026-08-01", "", "2023"},
		{"eu", "2028-07-31", "2026-07-01", "", "2003"},
		{"eu", "2028-08-01", "2026-07-01", "", "2023"},
		{"eu", "2026-08-01", "2026-08-01", "2015-01-01", "2023"}, // each unit by itself, however old the product
		// no instrument that copies it was found: statements in Parliament, SI 2025/413
		{"uk", "2026-08-01", "2026-08-01", "", "2003"},
		{"uk", "2028-08-01", "2028-08-01", "", "2003"},
		{"uk", "2020-12-31", "", "", ""}, // the law of the Union until then
		{"uk", "2021-01-01", "", "", "2003"},
		// Cosmetic Regulations s. 21.4(5); SOR/2024-63, second anniversary
		{"ca", "2026-04-11", "", "2025-01-01", ""},
		{"ca", "2026-04-12", "2025-06-01", "2025-01-01", "2003"},
		{"ca", "2026-08-01", "2026-08-01", "2025-01-01", "2003"},
		{"ca", "2026-08-01", "2026-08-01", "2026-07-31", "2003"},
		{"ca", "2026-08-01", "2026-08-01", "2026-08-01", "2023"},
		{"ca", "2028-07-31", "2028-07-31", "2025-01-01", "2003"},
		{"ca", "2028-08-01", "2025-06-01", "2025-01-01", "2023"},
	} {
		got := ""
		if a := byDays(t, tt.id, tt.on, tt.placed, tt.product).Allergens; a != nil {
			got = a.List
			if a.Threshold != measure.Percent/100 { // 0.01 % of a rinse-off product, each law alike
				t.Errorf("%s names allergens above %g %%", tt.id, a.Threshold.Percent())
			}
		}
		if got != tt.list {
			t.Errorf("%s on %s, placed %s, product of %s: list %q, want %q", tt.id, tt.on, tt.placed, tt.product, got, tt.list)
		}
	}
	for id, want := range map[string]string{
		"us-cosmetic": "open", // 21 USC 364e(b); RIN 0910-AI90, agenda of spring 2025
		"nz":          "open", // from memory
		"us-soap":     "none", // 21 CFR 701.20
		"au":          "none", // from memory
	} {
		got := "none"
		if a := on(t, id, today).Allergens; a != nil && a.Open() {
			got = "open"
			if a.Level != finding.Note {
				t.Errorf("%s: an open question is a %s", id, a.Level)
			}
		}
		if got != want {
			t.Errorf("%s: allergens are %s, want %s", id, got, want)
		}
	}
}

// OPSS statutory guidance for Great Britain (May 2023): a responsible person in the
// Union serves for seven years from 1 January 2021; the last day is reckoned.
func TestPersonOfTheUnion(t *testing.T) {
	for text, want := range map[string][]string{"2021-01-01": {"eu"}, "2027-12-31": {"eu"}, "2028-01-01": nil} {
		s, ok := byDays(t, "uk", text, "2021-01-01", "").Statement("responsible-person")
		if !ok || !slices.Equal(s.AlsoFrom, want) || s.Level != finding.Stop {
			t.Errorf("on %s: %v", text, s.AlsoFrom)
		}
	}
	if s := statement(t, "eu", "responsible-person"); s.AlsoFrom != nil {
		t.Errorf("the Union takes a person from %v", s.AlsoFrom)
	}
}

// Origin is asked of what comes from elsewhere: 19 USC 1304(a); Reg. 1223/2009 Art.
// 19(1)(a); for Great Britain from memory. Home goods say it at their own risk: 16
// CFR 323.2.
func TestOrigin(t *testing.T) {
	for _, tt := range []struct {
		id, country string
		want        bool
	}{
		{"us-soap", "USA", false}, {"us-soap", "u.s.a.", false}, {"us-soap", "united states", false}, {"us-soap", "France", true},
		{"us-cosmetic", "the United States", false}, {"us-cosmetic", "Canada", true},
		{"eu", "Germany", false}, {"eu", "Norway", false}, {"eu", "Switzerland", true}, {"eu", "USA", true}, {"eu", "UK", true},
		{"eu", "Northern Ireland", false}, {"uk", "Northern Ireland", false}, {"uk", "Scotland", false}, {"uk", "Ireland", true},
		{"uk", "", false}, // nobody knows
	} {
		if got := statement(t, tt.id, "origin").AskedOf(tt.country); got != tt.want {
			t.Errorf("%s asks goods of %q for their origin: %v, want %v", tt.id, tt.country, got, tt.want)
		}
	}
	for _, country := range []string{"Germany", ""} {
		if !statement(t, "eu", "net-quantity").AskedOf(country) {
			t.Errorf("what is always asked for is not asked of goods of %q", country)
		}
	}
}

// The ways of the law round a list that finds no room, and what may not move.
func TestExemptions(t *testing.T) {
	for _, tt := range []struct {
		id, duty string
		instead  string
		known    market.Known
	}{
		{"eu", "ingredients", "leaflet", market.RetrievedSecondary},              // Reg. 1223/2009 Art. 19(2)
		{"eu", "ingredients", "notice", market.RetrievedSecondary},               // Art. 19(3)
		{"eu", "ingredients", "a sign beside it", market.Retrieved},              // KosmetikV 2014 s. 5
		{"eu", "ingredients", "in Spanish", market.Retrieved},                    // Royal Decree 85/2018 art. 7
		{"eu", "caution", "leaflet", market.RetrievedSecondary},                  // Art. 19(2)
		{"eu", "batch", "packaging alone", market.Retrieved},                     // Art. 19(1)(e)
		{"eu", "net-quantity", "no content", market.Retrieved},                   // Art. 19(1)(b)
		{"uk", "ingredients", "leaflet", market.RetrievedSecondary},              // as assimilated
		{"uk", "ingredients", "notice", market.RetrievedSecondary},               // answer in the House of Lords, winter 2019-20
		{"us-cosmetic", "ingredients", "1/32 inch", market.RetrievedSecondary},   // 21 CFR 701.3(p)
		{"us-cosmetic", "ingredients", "firmly attached", market.Retrieved},      // 21 CFR 701.3(b)
		{"us-cosmetic", "ingredients", "apart from the pack", market.Memory},     // later paragraphs of 701.3
		{"us-cosmetic", "name-and-place", "ZIP code", market.RetrievedSecondary}, // 21 CFR 701.12
		{"us-cosmetic", "net-quantity", "display card", market.Memory},           // 21 CFR 701.13
		{"us-soap", "name-and-place", "ZIP code", market.RetrievedSecondary},     // 16 CFR 500.5(c)
		{"us-soap", "net-quantity", "no label", market.Retrieved},                // 15 USC 1459
		{"ca", "ingredients", "tag, tape or card", market.Retrieved},             // Cosmetic Regulations s. 21.5
		{"ca", "ingredients", "web page", market.Retrieved},                      // s. 21.5(1)(b)
		{"ca", "ingredients", "point of sale", market.Retrieved},                 // s. 21.5
		{"ca", "identity", "0.8 mm", market.Retrieved},                           // CPLR s. 16
		{"ca", "name-and-place", "0.8 mm", market.Retrieved},                     // CPLR s. 16
		{"au", "ingredients", "point of sale", market.Retrieved},                 // Information Standard 2020 s. 7
		{"nz", "net-quantity", "smaller", market.Retrieved},                      // Trading Standards
	} {
		found := slices.ContainsFunc(statement(t, tt.id, tt.duty).Exemptions, func(e market.Exemption) bool {
			return strings.Contains(e.Instead, tt.instead) && e.Known == tt.known
		})
		if !found {
			t.Errorf("%s, %s: no %s exemption to %q", tt.id, tt.duty, tt.known, tt.instead)
		}
	}
	for _, duty := range []string{"responsible-person", "durability", "identity"} { // Art. 19(2) moves none of them
		for _, id := range []string{"eu", "uk"} {
			if s := statement(t, id, duty); len(s.Exemptions) > 0 {
				t.Errorf("%s: %s may move", id, duty)
			}
		}
	}
}

// Which lists of substances and of colourants bind where, each known by one entry.
func TestListsThatBind(t *testing.T) {
	holds := map[string]string{
		"PROHIBITED-01": "Atranol",               // Regulation (EU) 2017/1410
		"RESTRICTED-01": "Methyl Eugenol",        // Annex III, entry 102
		"PLASTIC-01":    "Polyethylene",          // from memory
		"DETERGENT-01":  "Sodium Lauryl Sulfate", // a synthetic detergent: CPSC FAQ Soap
		"EFFECT-01":     "Tocopheryl Acetate",    // an added vitamin: CPSC FAQ Soap
	}
	for id, want := range map[string]string{
		"us-soap":     "US-SOAP-DETERGENT-01 warn, US-SOAP-EFFECT-01 warn, US-SOAP-PLASTIC-01 warn",            // CPSC FAQ Soap; 21 USC 331(ddd) from memory
		"us-cosmetic": "US-COSMETIC-PLASTIC-01 warn; colours of us, warn",                                      // 21 USC 331(ddd), 379e, from memory
		"eu":          "EU-PROHIBITED-01 stop, EU-RESTRICTED-01 stop, EU-PLASTIC-01 warn; colours of eu, stop", // Annexes II, III, IV; 2023/2055 from memory
		"uk":          "UK-PROHIBITED-01 stop, UK-RESTRICTED-01 warn, UK-PLASTIC-01 warn; colours of eu, warn", // SI 2022; Annexes from memory
		"ca":          "CA-PLASTIC-01 warn",                                                                    // SOR/2017-111 from memory
		"au":          "",
		"nz":          "NZ-PROHIBITED-01 warn", // from memory
	} {
		law := on(t, id, today)
		var lists []string
		for _, s := range law.Substances {
			kind := strings.TrimPrefix(s.ID, strings.ToUpper(id)+"-")
			if !slices.ContainsFunc(s.Limits, func(l market.Limit) bool { return l.Means(holds[kind], "") }) {
				t.Errorf("%s does not hold %q", s.ID, holds[kind])
			}
			lists = append(lists, s.ID+" "+s.Level.String())
		}
		got := strings.Join(lists, ", ")
		if law.Colours != nil {
			got += fmt.Sprintf("; colours of %s, %s", law.Colours.Table, law.Colours.Level)
		}
		if got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
}

func TestGatekeepers(t *testing.T) {
	for id, want := range map[string]string{
		"us-soap":     "",
		"us-cosmetic": "listed/small_business, safety_substantiation",                        // 21 USC 364c, 364h; 364d from memory
		"eu":          "good_practice, notified, product_file, public_access, safety_report", // Reg. 1223/2009 Art. 8, 10, 11, 13, 21, from memory
		"uk":          "good_practice, notified, product_file, safety_report",                // Art. 11 in the OPSS guidance; the rest from memory
		"ca":          "notified, safety_evidence",                                           // Cosmetic Regulations s. 29-31
		"au":          "introduction/local_base",                                             // AICIS pages on making soap
		"nz":          "",
	} {
		law := on(t, id, today)
		var keys []string
		for _, g := range law.Gatekeepers {
			keys = append(keys, strings.Join(g.Evidence, "/"))
			for _, key := range g.Evidence {
				if !strings.Contains(g.Remedy, key) {
					t.Errorf("%s does not tell to write %s", g.ID, key)
				}
			}
			if !strings.Contains(g.Remedy, "{"+law.Place+": {") {
				t.Errorf("%s does not tell to write it under %s", g.ID, law.Place)
			}
		}
		slices.Sort(keys)
		if got := strings.Join(keys, ", "); got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
}

// The paragraph of each rule that a label can stop at, and how it is known.
func TestParagraphs(t *testing.T) {
	want := map[string]struct {
		cite  string
		known market.Known
	}{
		"US-COSMETIC-LIST-01":        {"21 CFR 701.3(a)", market.Retrieved},
		"US-COSMETIC-IDENTITY-01":    {"15 USC 1453(a)(1); 21 CFR 701.11", market.Retrieved},
		"US-COSMETIC-NET-01":         {"21 CFR 701.13, 701.20(b)", market.Retrieved},
		"US-COSMETIC-MAKER-01":       {"21 USC 362(b)(1); 21 CFR 701.12", market.Retrieved},
		"US-COSMETIC-CONTACT-01":     {"21 USC 364e(a)", market.RetrievedSecondary},
		"US-COSMETIC-INGREDIENTS-01": {"21 CFR 701.3(a)-(b)", market.Retrieved},
		"US-COSMETIC-ORIGIN-01":      {"19 USC 1304(a)", market.Retrieved},
		"US-SOAP-ORIGIN-01":          {"19 USC 1304(a)", market.Retrieved},
		"US-SOAP-SHARE-01":           {"21 CFR 701.20(a)(1)", market.Retrieved},
		"US-SOAP-IDENTITY-01":        {"15 USC 1453(a)(1); 16 CFR 500.4", market.Retrieved},
		"US-SOAP-NET-01":             {"16 CFR 500.6, 500.9, 500.19-500.21", market.Retrieved},
		"US-SOAP-MAKER-01":           {"16 CFR 500.5", market.Retrieved},
		"EU-LIST-01":                 {"Art. 19(1)(g)", market.RetrievedSecondary},
		"EU-ALLERGEN-01":             {"Regulation (EU) 2023/1545", market.RetrievedSecondary},
		"EU-PROHIBITED-01":           {"Annex II", market.Retrieved},
		"EU-PERSON-01":               {"Art. 19(1)(a) and Art. 4", market.Retrieved},
		"EU-ORIGIN-01":               {"Art. 19(1)(a)", market.Retrieved},
		"EU-NET-01":                  {"Art. 19(1)(b); figure heights of Directive 76/211/EEC Annex I 3.1", market.Retrieved},
		"EU-DURABILITY-01":           {"Art. 19(1)(c)", market.Retrieved},
		"EU-BATCH-01":                {"Art. 19(1)(e)", market.Retrieved},
		"EU-FUNCTION-01":             {"Art. 19(1)(f)", market.Retrieved},
		"EU-RESTRICTED-01":           {"Annex III", market.Retrieved},
		"EU-ANNEX-01":                {"Annex IV", market.RetrievedSecondary},
		"EU-INGREDIENTS-01":          {"Art. 19(1)(g)", market.Retrieved},
		"UK-LIST-01":                 {"Art. 19(1)(g)", market.RetrievedSecondary},
		"UK-ALLERGEN-01":             {"Annex III", market.RetrievedSecondary},
		"UK-PROHIBITED-01":           {"Annex II", market.Retrieved},
		"UK-PERSON-01":               {"SI 2019/696 Sch. 34", market.Retrieved},
		"UK-NET-01":                  {"SI 2006/659", market.Retrieved},
		"UK-DURABILITY-01":           {"Art. 19(1)(c)", market.RetrievedSecondary},
		"UK-FUNCTION-01":             {"Art. 19(1)(f)", market.RetrievedSecondary},
		"UK-INGREDIENTS-01":          {"Art. 19(1)(g)", market.RetrievedSecondary},
		"CA-LIST-01":                 {"s. 2(1), 21.2, 21.4(1) and Schedule", market.Retrieved},
		"CA-ALLERGEN-01":             {"s. 21.4(0.1), (4)-(5)", market.Retrieved},
		"CA-IDENTITY-01":             {"s. 18(a), 20(b); CPLR s. 6(2), 12(b), 15", market.Retrieved},
		"CA-NET-01":                  {"CPLR s. 12(a), 14(2)-(4), 21", market.Retrieved},
		"CA-DEALER-01":               {"Act s. 10(b); CPLR s. 6(2), 13, 15", market.Retrieved},
		"CA-CONTACT-01":              {"s. 20(a)", market.Retrieved},
		"CA-INGREDIENTS-01":          {"s. 18, 19, 21.2", market.Retrieved},
		"AU-LIST-01":                 {"Information Standard 2020 s. 7-8", market.Retrieved},
		"AU-NET-01":                  {"Regulations 2009 reg. 4.10-4.12", market.Retrieved},
		"AU-INGREDIENTS-01":          {"Information Standard 2020 s. 7-8", market.Retrieved},
		"NZ-NET-01":                  {"Weights and Measures Regulations 1999", market.Retrieved},
	}
	for _, id := range market.IDs() {
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rules {
			w, ok := want[r.ID]
			switch delete(want, r.ID); {
			case ok && (!strings.Contains(r.Cite, w.cite) || r.Known != w.known):
				t.Errorf("%s: %q, %s; want %q, %s", r.ID, r.Cite, r.Known, w.cite, w.known)
			case !ok && r.Level == finding.Stop:
				t.Errorf("%s stops labels, and no paragraph is known for it here", r.ID)
			}
		}
	}
	for id := range want {
		t.Errorf("the rule %s is gone", id)
	}
}

// What nobody read in its text, market by market. Whoever reads it takes it out here.
func TestRecalled(t *testing.T) {
	for id, want := range map[string]string{
		"au":          "PACKER-01",
		"ca":          "PLASTIC-01",
		"eu":          "ORDER-01 COLOUR-01 PLASTIC-01 LANGUAGE-02 SAFETY-01 NOTIFICATION-01 FILE-01 PRACTICE-01 PUBLIC-01",
		"nz":          "ALLERGEN-01 PROHIBITED-01 CONTACT-01",
		"uk":          "ORDER-01 COLOUR-01 ANNEX-01 RESTRICTED-01 PLASTIC-01 ORIGIN-01 BATCH-01 LANGUAGE-01 OFFER-01 SAFETY-01 NOTIFICATION-01 PRACTICE-01",
		"us-cosmetic": "ORDER-01 COLOUR-01 ADDITIVE-01 PLASTIC-01 SAFETY-01",
		"us-soap":     "ORDER-01 COLOUR-01 CHILD-01 PLASTIC-01",
	} {
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		var recalled []string
		for _, r := range rules {
			if r.Known == market.Memory {
				recalled = append(recalled, strings.TrimPrefix(r.ID, strings.ToUpper(id)+"-"))
			}
		}
		if got := strings.Join(recalled, " "); got != want {
			t.Errorf("%s recalls %s, want %s", id, got, want)
		}
	}
}
