package compile_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/compile"
	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/outside"
	"saponym/internal/shop"
)

const (
	persons = `responsible_person:
  eu: {name: Quayside Imports, address: ["7 Weir Street", "Dunmorrow D99 X000, Ireland"]}
`
	personOfUK = `  uk: {name: Fellmonger & Daughter, address: ["2 Tannery Row", "Hexley HX1 9ZZ, United Kingdom"]}
`
)

// honeyShop sells one soap, of names that differ from law to law, under these persons.
func honeyShop(t testing.TB, persons string) *shop.Folder {
	return folderOf(t, map[string]string{
		"shop.yaml": `maker: {name: Larch & Lather, address: ["4 Mill Row", "Ashcombe, VT 05000, USA"], made_in: USA, contact: {email: hello@larch.example}}
markets: [eu]
` + persons,
		"formulas/honey.yaml": `name: Honey
identity: soap
pot: [{material: olive-oil, weight: 700 g}, {material: coconut-oil, weight: 300 g}]
lye: {alkali: sodium hydroxide, purity: 98%, superfat: 6%, water: {per_lye: 2}}
add: [{material: honey, weight: 30 g}, {material: iron-oxide-red, weight: 2 g}]
cuts:
  bar: {count: 10, length: 85 mm, width: 60 mm, height: 25 mm, claim: 115 g}
keep: {durability: 24 months, sell_within: 12 months}
evidence:
  eu: {safety_report: SR-1, notified: N-1, product_file: P-1}
  uk: {safety_report: SR-2, notified: N-2, product_file: P-2}
`,
	})
}

// banded makes a label that nothing stops.
func banded(t testing.TB, folder *shop.Folder, markets, on string) compile.Label {
	t.Helper()
	o := order(t, "honey", markets)
	o.On = dayOf(t, on)
	o.Made = o.On
	l, err := compile.Band(folder, o)
	if err != nil {
		t.Fatal(err)
	}
	if finding.Worst(l.Findings) == finding.Stop || l.Band == nil {
		t.Fatalf("%s on %s is stopped: %v", markets, on, l.Findings)
	}
	return l
}

// wordsOf gives what a label says for a duty, a text for each statement.
func wordsOf(l compile.Label, duty label.Duty) []string {
	var all []string
	for _, s := range l.Content.Statements {
		if s.Duty == duty {
			all = append(all, s.Words())
		}
	}
	return all
}

// Regulation (EC) No 1223/2009 Art. 4 and 19(1)(a), and the same as assimilated: the
// person of each place. Until the end of 2027 the one of the Union serves in Great Britain
// (SI 2019/696 Sch. 34), and then a label for both needs two.
func TestPersonsOnOneLabel(t *testing.T) {
	const quayside, fellmonger = "Quayside Imports 7 Weir Street Dunmorrow D99 X000, Ireland", "Fellmonger & Daughter 2 Tannery Row Hexley HX1 9ZZ, United Kingdom"
	for _, tt := range []struct {
		what, persons, markets, on string
		want                       []string
		noted                      bool // until when the person serves
	}{
		{"both", persons + personOfUK, "eu+uk", "2026-11-26", []string{"EU: " + quayside, "UK: " + fellmonger}, false},
		{"both, the other way", persons + personOfUK, "uk+eu", "2026-11-26", []string{"UK: " + fellmonger, "EU: " + quayside}, false},
		{"both, when each is needed", persons + personOfUK, "eu+uk", "2028-01-01", []string{"EU: " + quayside, "UK: " + fellmonger}, false},
		{"that of the Union", persons, "eu+uk", "2026-11-26", []string{quayside}, true},
		{"that of the Union, the other way", persons, "uk+eu", "2026-11-26", []string{quayside}, true},
		{"on a label for one of them", persons, "eu", "2026-11-26", []string{quayside}, false},
	} {
		t.Run(tt.what, func(t *testing.T) {
			l := banded(t, honeyShop(t, tt.persons), tt.markets, tt.on)
			if got := wordsOf(l, label.DutyResponsible); !slices.Equal(got, tt.want) {
				t.Errorf("got %q, want %q", got, tt.want)
			}
			drawn := 0
			for _, p := range l.Proof {
				if p.Duty == label.DutyResponsible {
					drawn++
				}
			}
			if drawn != len(tt.want) {
				t.Errorf("%d are on the band, want %d: %+v", drawn, len(tt.want), l.Proof)
			}
			var noted []string
			for _, f := range l.Findings {
				if f.Rule == label.RulePerson {
					noted = append(noted, f.Message)
				}
			}
			if tt.noted != (len(noted) == 1) || tt.noted && !strings.Contains(noted[0], "before 2028-01-01") {
				t.Errorf("noted: %q", noted)
			}
		})
	}
}

// When the person of the Union serves no longer, the rule of Great Britain stops the label.
func TestPersonThatServesNoLonger(t *testing.T) {
	o := order(t, "honey", "eu+uk")
	o.On = dayOf(t, "2028-01-01")
	o.Made = o.On
	l, err := compile.Band(honeyShop(t, persons), o)
	if err != nil {
		t.Fatal(err)
	}
	var stops []string
	for _, f := range l.Findings {
		if f.Level == finding.Stop {
			stops = append(stops, f.Rule)
		}
	}
	if !slices.Equal(stops, []string{"UK-PERSON-01"}) || l.Band != nil {
		t.Errorf("stopped by %q; a band: %t", stops, l.Band != nil)
	}
}

// One band for the Union and the United States: the weight in both units (16 CFR 500.6,
// 21 CFR 701.13), in figures of 3 mm (Directive 76/211/EEC Annex I 3.1) whose small letter
// is as high, and the words of both laws. The maker's goods are no imports in the United
// States, and are in the Union.
func TestOneBandForTwoLaws(t *testing.T) {
	for _, markets := range []string{"us-cosmetic+eu", "eu+us-cosmetic"} {
		l := banded(t, honeyShop(t, persons), markets, "2026-11-26")
		for duty, want := range map[label.Duty]string{
			label.DutyNetQuantity: "Net Wt 115 g (4.05 oz)", // 115 / 28.349523125 = 4.0565, rounded down
			label.DutyIdentity:    "soap",
			label.DutyMaker:       "Larch & Lather 4 Mill Row Ashcombe, VT 05000, USA",
			label.DutyResponsible: "Quayside Imports 7 Weir Street Dunmorrow D99 X000, Ireland",
			label.DutyOrigin:      "Made in USA",
			label.DutyIngredients: "Ingredients: Sodium Olivate, Sodium Cocoate, Aqua/Water/Eau, Glycerin, " +
				"Olea Europaea (Olive) Fruit Oil, Mel (Honey), Cocos Nucifera (Coconut) Oil, CI 77491 (Iron Oxides).",
		} {
			if got := wordsOf(l, duty); !slices.Equal(got, []string{want}) {
				t.Errorf("%s: %s: got %q, want %q", markets, duty, got, want)
			}
		}
		drawn := map[label.Duty]float64{}
		for _, p := range l.Proof {
			drawn[p.Duty] = p.Letter
			if p.Letter < p.Required {
				t.Errorf("%s: %+v", markets, p)
			}
		}
		if drawn[label.DutyNetQuantity] < 3 || drawn[label.DutyIngredients] < 25.4/16 { // 21 CFR 701.3(b)
			t.Errorf("%s: letters of %v", markets, drawn)
		}
		d, found, err := compile.Sheet(l, "Larch & Lather", compile.Print{Count: 1})
		if err != nil || finding.Worst(found) == finding.Stop {
			t.Fatal(found, err)
		}
		net := squeeze("Net Wt 115 g (4.05 oz)")
		if text := squeeze(outside.Run(t, write(t, d), "pdftotext", "-raw", "FILE", "-")); !strings.Contains(text, net) {
			t.Errorf("%s: %q is not in the file: %s", markets, net, text)
		}
	}
}
