package market_test

import (
	"regexp"
	"strings"
	"testing"

	"saponym/inci"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

func date(t testing.TB, text string) day.Day {
	t.Helper()
	d, err := day.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func lawFor(t testing.TB, id string, days market.Days) *market.Law {
	t.Helper()
	law, err := market.For(id, days)
	if err != nil {
		t.Fatal(err)
	}
	return law
}

// limit gives what a rule of a law says of a substance, by the label of its entry.
func limit(law *market.Law, rule, label string) (market.Substances, market.Limit, bool) {
	for _, s := range law.Substances {
		for _, l := range s.Limits {
			if s.ID == rule && l.Label == label {
				return s, l, true
			}
		}
	}
	return market.Substances{}, market.Limit{}, false
}

// Figures for what is rinsed off: the European ones from an export of Annex III
// (CosIng, February 2024), the British ones from memory.
func TestRestricted(t *testing.T) {
	for _, tt := range []struct {
		label, most, eu string
	}{
		{"Methyl Eugenol", "0.001 %", "Annex III entry 102"},
		{"Safrole", "0.01 %", "Annex II entry 360"}, // 100 ppm, as natural content only
		{"Hydroxycitronellal", "1 %", "Annex III entry 72"},
		{"Isoeugenol", "0.02 %", "Annex III entry 73"},
		{"Methyl 2-Octynoate, with Methyl Octine Carbonate", "0.01 %", "Annex III entry 89"},
		{"Methyl Octine Carbonate", "0.002 %", "Annex III entry 173"}, // from memory
		{"Myroxylon Pereirae Oil/Extract", "0.4 %", "Annex III entry 154"},
		{"Rose Ketones", "0.02 %", "Annex III entry 157"},
		{"3-Propylidenephthalide", "0.01 %", "Annex III entry 175"},
		{"Lippia citriodora absolute", "0.2 %", "Annex III entry 196"},
		{"Tagetes Minuta Flower Oil", "0.1 %", "Annex III entry 308"},
		{"Tagetes Patula Flower Oil", "0.1 %", "Annex III entry 309"},
		{"Methyl-N-methylanthranilate", "0.2 %", "Annex III entry 323"},
		{"Methyl Salicylate", "0.06 %", "Annex III entry 324"},
	} {
		most, _, err := measure.ParseShare(tt.most)
		if err != nil {
			t.Fatal(err)
		}
		rule, eu, ok := limit(on(t, "eu", "2026-11-25"), "EU-RESTRICTED-01", tt.label)
		if f := rule.Finding(eu, finding.Pos{}, ""); !ok || eu.Most != most || !strings.HasSuffix(f.Cite, "1223/2009 "+tt.eu) {
			t.Errorf("EU: %s: %v, at most %g %%, %s; want %s, %s", tt.label, ok, eu.Most.Percent(), f.Cite, tt.most, tt.eu)
		}
		_, uk, ok := limit(on(t, "uk", "2026-11-25"), "UK-RESTRICTED-01", tt.label)
		if !ok || uk.Most != most || uk.Known != market.Memory {
			t.Errorf("GB: %s: %v, at most %g %%, %s; want %s from memory", tt.label, ok, uk.Most.Percent(), uk.Known, tt.most)
		}
	}
}

// Entries of Annex II, as they stand in the export of CosIng beside the entries of
// Annex III that they came from; Regulations (EU) 2017/1410, 2018/978 and 2021/1902.
func TestProhibited(t *testing.T) {
	for label, entry := range map[string]string{
		"Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde": "1380", "Atranol": "1381", "Chloroatranol": "1382", "Butylphenyl Methylpropional": "1666",
		"Verbena oil": "450", "Peru balsam": "1136", "Laurus Nobilis Seed Oil": "359", "Tagetes Erecta Flower Oil": "1383", "Inula Helenium Root Oil": "423",
	} {
		rule, l, ok := limit(on(t, "eu", "2026-11-25"), "EU-PROHIBITED-01", label)
		f := rule.Finding(l, finding.Pos{}, "there is some in it")
		if !ok || l.Most != 0 || f.Level != finding.Stop || f.Cite != "Regulation (EC) No 1223/2009 Annex II entry "+entry {
			t.Errorf("EU: %s: %v, %+v; want a stop by entry %s", label, ok, f, entry)
		}
		for id, ruleID := range map[string]string{"uk": "UK-PROHIBITED-01", "nz": "NZ-PROHIBITED-01"} {
			rule, l, ok := limit(on(t, id, "2026-11-25"), ruleID, label)
			// Of these only the British regulations of 2022 were read.
			want := finding.Warn
			if id == "uk" && label == "Butylphenyl Methylpropional" {
				want = finding.Stop
			}
			if f := rule.Finding(l, finding.Pos{}, ""); !ok || l.Most != 0 || f.Level != want {
				t.Errorf("%s: %s: %v, %+v; want %s", id, label, ok, f, want)
			}
		}
	}
}

// The days from which a substance is prohibited or restricted.
func TestDaysOfSubstances(t *testing.T) {
	const bmhca, hicc, rose = "Butylphenyl Methylpropional", "Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde", "Rose Ketones"
	for _, tt := range []struct {
		market, rule, label, on, placed string
		want                            market.Known // "": no entry is in force
	}{
		// Regulation (EU) 2021/1902: no transition.
		{"eu", "EU-PROHIBITED-01", bmhca, "2022-02-28", "2022-02-28", ""},
		{"eu", "EU-PROHIBITED-01", bmhca, "2022-03-01", "2021-01-01", market.Retrieved},
		// Toys and Cosmetic Products (Restriction of Chemical Substances) Regulations 2022,
		// as the OPSS tells them (reminder of 14 October 2024).
		{"uk", "UK-PROHIBITED-01", bmhca, "2022-10-14", "2022-10-14", ""},
		{"uk", "UK-PROHIBITED-01", bmhca, "2022-10-15", "2022-10-15", market.Retrieved},
		{"uk", "UK-PROHIBITED-01", bmhca, "2022-12-14", "2022-10-14", ""},
		{"uk", "UK-PROHIBITED-01", bmhca, "2022-12-15", "2022-10-14", market.Retrieved},
		// Regulation (EU) 2017/1410; the two days are recalled.
		{"eu", "EU-PROHIBITED-01", hicc, "2019-08-22", "2019-08-22", ""},
		{"eu", "EU-PROHIBITED-01", hicc, "2019-08-23", "2019-08-23", market.Memory},
		{"eu", "EU-PROHIBITED-01", hicc, "2021-08-22", "2019-08-22", ""},
		{"eu", "EU-PROHIBITED-01", hicc, "2021-08-23", "2019-08-22", market.Retrieved},
		// Regulation (EU) 2023/1545, footnotes to the annex: the sum of the group. That
		// each ketone had the figure for itself before is recalled.
		{"eu", "EU-RESTRICTED-01", rose, "2026-07-31", "2026-07-31", market.Memory},
		{"eu", "EU-RESTRICTED-01", rose, "2026-08-01", "2026-08-01", market.Retrieved},
		{"eu", "EU-RESTRICTED-01", rose, "2028-07-31", "2026-07-31", market.Memory},
		{"eu", "EU-RESTRICTED-01", rose, "2028-08-01", "2026-07-31", market.Retrieved},
		// From memory: Regulation (EU) 2023/2055; SOR/2017-111; 21 USC 331(ddd); the British
		// regulations on microbeads of 2017 and 2018.
		{"eu", "EU-PLASTIC-01", "Plastic particles (beads, glitter)", "2023-10-16", "2023-10-16", ""},
		{"eu", "EU-PLASTIC-01", "Plastic particles (beads, glitter)", "2023-10-17", "2023-10-17", market.Memory},
		{"eu", "EU-PLASTIC-01", "Polymers that cloud or form films", "2027-10-16", "2027-10-16", ""},
		{"eu", "EU-PLASTIC-01", "Polymers that cloud or form films", "2027-10-17", "2027-10-17", market.Memory},
		{"ca", "CA-PLASTIC-01", "Plastic particles (beads, glitter)", "2018-06-30", "2018-06-30", ""},
		{"ca", "CA-PLASTIC-01", "Plastic particles (beads, glitter)", "2018-07-01", "2018-01-01", market.Memory},
		{"us-cosmetic", "US-COSMETIC-PLASTIC-01", "Plastic particles (beads, glitter)", "2017-12-31", "2017-12-31", ""},
		{"us-cosmetic", "US-COSMETIC-PLASTIC-01", "Plastic particles (beads, glitter)", "2018-01-01", "2017-01-01", market.Memory},
		{"uk", "UK-PLASTIC-01", "Plastic particles (beads, glitter)", "2018-06-29", "2018-06-29", ""},
		{"uk", "UK-PLASTIC-01", "Plastic particles (beads, glitter)", "2018-06-30", "2018-01-01", market.Memory},
	} {
		law := lawFor(t, tt.market, market.Days{On: date(t, tt.on), Placed: date(t, tt.placed)})
		_, l, ok := limit(law, tt.rule, tt.label)
		if got := l.Known; got != tt.want || ok != (tt.want != "") {
			t.Errorf("%s: %s, placed on %s, on %s: %q, want %q", tt.rule, tt.label, tt.placed, tt.on, got, tt.want)
		}
	}
}

// laws gives every law on a day on which all that is known of is in force.
func laws(t testing.TB) []*market.Law {
	t.Helper()
	var all []*market.Law
	for _, id := range market.IDs() {
		all = append(all, on(t, id, "2029-01-01"))
	}
	return all
}

// A substance is judged once by each rule, however many dates its entries have;
// numbers are those of the register, and ids those of package inci.
func TestLists(t *testing.T) {
	number := regexp.MustCompile(`^[0-9]{2,7}-[0-9]{2}-[0-9]$`)
	numbers := 0
	for _, law := range laws(t) {
		for _, s := range law.Substances {
			seen := map[string]bool{}
			for _, l := range s.Limits {
				if seen[l.Label] {
					t.Errorf("%s judges %s twice", s.ID, l.Label)
				}
				seen[l.Label] = true
				for _, name := range append(l.May, l.Names...) {
					if !number.MatchString(name) {
						continue
					}
					numbers++
					if !checkDigit(name) {
						t.Errorf("%s: %s: the check digit of %s is wrong", s.ID, l.Label, name)
					}
				}
				for _, id := range l.IDs {
					if _, ok := inci.ByID(id); !ok {
						t.Errorf("%s: %s: there is no substance %s", s.ID, l.Label, id)
					}
				}
			}
		}
	}
	if numbers == 0 {
		t.Error("no list has a number")
	}
}

// What is certainly prohibited is nothing that the list of allergens only wants
// named: a number that both share is a doubtful one.
func TestProhibitedIsNoAllergen(t *testing.T) {
	law := on(t, "eu", "2026-11-25")
	for _, s := range law.Substances {
		for _, l := range s.Limits {
			for _, name := range l.Names {
				if l.Most == 0 && len(law.Allergens.Find(name)) > 0 {
					t.Errorf("%s of %s is an allergen too", name, l.Label)
				}
			}
		}
	}
}

// Suppliers print numbers and trade names, and print numbers that several things
// share (CosIng, Annexes II and III: 8024-12-2, 8007-00-9 and 84603-73-6 stand in both).
func TestMeans(t *testing.T) {
	law := on(t, "eu", "2026-11-25")
	for _, tt := range []struct{ name, means, may string }{
		{"80-54-6", "Butylphenyl Methylpropional", ""},
		{"Lilial", "Butylphenyl Methylpropional", ""},
		{"lyral", "Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde", ""},
		{"verbena absolute", "Lippia citriodora absolute", ""},
		{"Lippia citriodora oil", "Verbena oil", ""},
		{"8024-12-2", "Lippia citriodora absolute", "Verbena oil"},
		{"8024\u201112\u20112", "Lippia citriodora absolute", "Verbena oil"}, // with hyphens that do not break
		{"8007-00-9", "Myroxylon Pereirae Oil/Extract", "Peru balsam"},
		{"84603-73-6", "", "Laurus Nobilis Seed Oil"},
		{"8016-84-0", "", "Tagetes Minuta Flower Oil, Tagetes Patula Flower Oil"}, // from memory
		{"damascenone", "Rose Ketones", ""},
		{"Methyl octine carbonate", "Methyl 2-Octynoate, with Methyl Octine Carbonate, Methyl Octine Carbonate", ""},
		{"Nylon-12", "Plastic particles (beads, glitter)", ""},
		{"Linalool", "", ""},
		{"-", "", ""},
		{"", "", ""},
	} {
		var means, may []string
		for _, s := range law.Substances {
			for _, l := range s.Limits {
				if l.Means(tt.name, "") {
					means = append(means, l.Label)
				}
				if l.MayMean(tt.name) {
					may = append(may, l.Label)
				}
			}
		}
		if strings.Join(means, ", ") != tt.means || strings.Join(may, ", ") != tt.may {
			t.Errorf("%q means %q and may mean %q, want %q and %q", tt.name, means, may, tt.means, tt.may)
		}
		if known := tt.means != "" || tt.may != ""; market.Knows(tt.name) != known {
			t.Errorf("the law knows %q: %v, want %v", tt.name, !known, known)
		}
	}
	if !market.Knows("Lilial") {
		t.Error("a name that is not in force yet is not known")
	}
}

// Numbers that are not printed in the entry, but stand on statements (126-91-0 is
// l-linalool; 14371-10-9 from memory), and numbers that two entries share (CosIng,
// Annex III 350 and 351).
func TestNumbersOfAllergens(t *testing.T) {
	rule := on(t, "eu", "2026-11-25").Allergens
	for number, want := range map[string]string{
		"126-91-0": "Linalool", "126-90-9": "Linalool", "14371-10-9": "Cinnamal", "165184-98-5": "Hexyl Cinnamal", "8016-38-4": "Citrus Aurantium Flower Oil",
		"68917-10-2": "Evernia Prunastri Extract", "72968-50-4": "Citrus Aurantium Flower Oil, Citrus Aurantium Peel Oil",
		"8028-48-6": "Citrus Aurantium Flower Oil, Citrus Aurantium Peel Oil", "126-91-1": "",
	} {
		var found []string
		for _, a := range rule.Find(number) {
			found = append(found, a.Label)
		}
		if got := strings.Join(found, ", "); got != want {
			t.Errorf("%s is %q, want %q", number, got, want)
		}
	}
}

// What makes a soap a cosmetic in the United States (CPSC, FAQ on soap; the choice
// of substances is this program's).
func TestSoapThatIsNone(t *testing.T) {
	law := on(t, "us-soap", "2026-11-25")
	for _, tt := range []struct{ rule, label, name, id string }{
		{"US-SOAP-DETERGENT-01", "Synthetic detergent", "Sodium Cocoyl Isethionate", ""},
		{"US-SOAP-DETERGENT-01", "Synthetic detergent", "151-21-3", ""},
		{"US-SOAP-EFFECT-01", "Ingredient of cosmetic effect", "", "panthenol"},
		{"US-SOAP-EFFECT-01", "Ingredient of cosmetic effect", "Niacinamide", ""},
	} {
		rule, l, ok := limit(law, tt.rule, tt.label)
		f := rule.Finding(l, finding.Pos{}, "")
		if !ok || !l.Means(tt.name, tt.id) || l.Means("Sodium Olivate", "") || f.Level != finding.Warn || !strings.Contains(f.Message, "the text names no substance") {
			t.Errorf("%s%s: %v, %+v", tt.name, tt.id, ok, f)
		}
	}
}

// A finding says what the figure alone does not, and what was not read only warns.
func TestFindingOfALimit(t *testing.T) {
	rule, l, _ := limit(on(t, "eu", "2026-11-25"), "EU-RESTRICTED-01", "Methyl Salicylate")
	f := rule.Finding(l, finding.Pos{}, "0.1 % of the bar is wintergreen")
	if f.Level != finding.Stop || !strings.HasPrefix(f.Message, "0.1 % of the bar is wintergreen: ") || !strings.Contains(f.Message, "washing the hands may hold 0.6 %") {
		t.Errorf("got %+v", f)
	}
	rule, l, _ = limit(on(t, "eu", "2026-11-25"), "EU-RESTRICTED-01", "Methyl Octine Carbonate")
	if f := rule.Finding(l, finding.Pos{}, ""); f.Level != finding.Warn || !strings.Contains(f.Message, "unconfirmed") {
		t.Errorf("got %+v", f)
	}
}

// A list is told with its names, figures and dates.
func TestEntriesOfSubstances(t *testing.T) {
	rules, err := market.Rules("uk")
	if err != nil {
		t.Fatal(err)
	}
	var told string
	for _, r := range rules {
		told += strings.Join(r.Entries, "\n") + "\n"
	}
	for _, want := range []string{
		"Butylphenyl Methylpropional (80-54-6, BMHCA, Lilial): none; for all that is made available from 2022-12-15; Toys and Cosmetic Products (Restriction of Chemical Substances) Regulations 2022 (retrieved)",
		"Hydroxycitronellal (107-75-5, 7-hydroxycitronellal, laurine",
		"): at most 1 %; entry 72 (memory)",
	} {
		if !strings.Contains(told, want) {
			t.Errorf("the rules do not say %q", want)
		}
	}
	days, err := market.Changes("uk", date(t, "2022-10-01"), date(t, "2022-12-31"))
	if err != nil || len(days) != 2 || days[0].String() != "2022-10-15" || days[1].String() != "2022-12-15" {
		t.Errorf("changes of 2022: %v, %v", days, err)
	}
}
