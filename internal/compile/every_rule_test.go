package compile_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"saponym/internal/check"
	"saponym/internal/compile"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/shop"
)

// wholeShop is a shop in which nothing is missing in any market: the lines of its files,
// by what they are about, so that a case can take one away or change it.
func wholeShop() map[string]string {
	return map[string]string{
		"address": `  address: ["4 Mill Row", "Ostby 0150, Norway"]`,
		"made_in": "  made_in: Norway",
		"contact": "  contact: {email: hello@larch.example}",
		"persons": `responsible_person:
  eu: {name: Quayside Imports, address: ["7 Weir Street", "Dunmorrow D99 X000, Ireland"]}
  uk: {name: Tidemill Agents, address: ["2 Lock Lane", "Marlow SL7 0XX"]}
  us: {name: Harbor Agents, address: ["9 Pier Road", "Sallow Bay, ME 04999"]}`,
		"identity":   "identity: soap",
		"french":     "words: {fr: {identity: savon}}",
		"claim":      ", claim: 100 g",
		"durability": "keep: {sell_within: 1 months, durability: 24 months}",
		"evidence": `evidence:
  eu: {safety_report: S, notified: N, product_file: F, good_practice: G, public_access: P}
  uk: {safety_report: S, notified: N, product_file: F, good_practice: G}
  us: {safety_substantiation: S, listed: L}
  ca: {notified: N, safety_evidence: S}
  au: {introduction: I}`,
		"add":       "  - {material: scent, weight: 20 g}",
		"salt":      "",
		"allergens": "allergens: {Linalool: 1%, Menthol: 1%}",
		"scent":     "kind: fragrance",
		"max_use":   "max_use: {ifra: 51, category 9: 50%}",
	}
}

func folderWith(t *testing.T, line map[string]string) *shop.Folder {
	t.Helper()
	scent := "\n" + line["scent"] + "\n" + line["allergens"] + "\n" + line["max_use"] + "\nstatement: {supplier: Fennel & Fern, dated: 2026-03-14}\n"
	return folderOf(t, map[string]string{
		"shop.yaml": "maker:\n  name: Larch & Lather\n" + line["address"] + "\n" + line["made_in"] + "\n" + line["contact"] + "\nmarkets: [eu]\n" + line["persons"] + "\n",
		"formulas/plain.yaml": "name: Plain\n" + line["identity"] + `
pot:
  - {material: olive-oil, weight: 700 g}
  - {material: coconut-oil, weight: 300 g}
lye: {alkali: sodium hydroxide, purity: 98%, superfat: 6%, water: {strength: 33%}}
add:
` + line["add"] + "\n" + line["salt"] + "\ncuts: {bar: {count: 8, length: 85 mm, width: 60 mm, height: 25 mm" + line["claim"] + "}}\n" +
			line["durability"] + "\n" + line["evidence"] + "\n" + line["french"] + "\n",
		"materials/scent.yaml": "name: Scent" + scent, "materials/other-scent.yaml": "name: Other scent" + scent,
	})
}

// foundIn gives the findings of a market with each rule.
func foundIn(t *testing.T, line map[string]string, marketID string) map[string][]finding.Finding {
	t.Helper()
	folder := folderWith(t, line)
	var all []finding.Finding
	if line["batch"] == "none" { // check takes one for granted
		o := order(t, "plain", marketID)
		o.Batch = ""
		l, err := compile.Band(folder, o)
		if err != nil {
			t.Fatal(err)
		}
		all = l.Findings
	} else {
		checked, err := compile.Check(folder, compile.Order{Formula: "plain", On: today(t)}, []string{marketID})
		if err != nil {
			t.Fatal(err)
		}
		all = checked.Findings
	}
	found := map[string][]finding.Finding{}
	for _, f := range all {
		found[f.Rule] = append(found[f.Rule], f)
	}
	return found
}

// with gives the whole shop with some lines changed.
func with(changes ...string) map[string]string {
	line := wholeShop()
	for i := 0; i < len(changes); i += 2 {
		line[changes[i]] = changes[i+1]
	}
	return line
}

// missing says what must be taken away for a duty not to be served.
var missing = map[string]map[string]string{
	"net-quantity":       with("claim", ""),
	"name-and-place":     with("address", ""),
	"responsible-person": with("persons", ""),
	"origin":             with("made_in", ""),
	"contact":            with("contact", "", "address", ""),
	"batch":              with("batch", "none"),
	"durability":         with("durability", "keep: {sell_within: 1 months}"),
}

// Each rule of each market has a case in which it is found, and one in which it is not:
// a rule without a case makes this fail. Rules on letters and on the list have no finding
// of their own; they are seen in what is made.
func TestEveryRuleHasItsCase(t *testing.T) {
	seen := map[string]bool{}
	for _, id := range market.IDs() {
		law, err := market.On(id, today(t))
		if err != nil {
			t.Fatal(err)
		}
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		quiet := foundIn(t, wholeShop(), id)
		for _, r := range rules {
			if seen[r.ID] || r.Cite == "" || r.Known == "" || r.Condition == "" {
				t.Errorf("%s: twice, or without citation, standing or condition", r.ID)
			}
			seen[r.ID] = true
			t.Run(r.ID, func(t *testing.T) {
				if r.Kind != "allergens" || len(law.Allergens.Named) > 0 {
					if found := quiet[r.ID]; len(found) > 0 {
						t.Errorf("found where nothing is missing: %v", found)
					}
				}
				for _, one := range caseOf(t, law, r) {
					found := foundIn(t, one, id)[r.ID]
					if len(found) == 0 || finding.Worst(found) < min(r.Level, finding.Warn) {
						t.Errorf("with %v found is %v", one, found)
					}
					for _, f := range found {
						if f.Level == finding.Stop && (!r.Known.Confirmed() || f.Remedy == "") {
							t.Errorf("a stop that is recalled or has no remedy: %+v", f)
						}
					}
				}
			})
		}
	}
}

// caseOf gives shops in which a rule is found. It is none for a rule that shows in what
// is made, which it checks.
func caseOf(t *testing.T, law *market.Law, r market.Rule) []map[string]string {
	switch r.Kind {
	case "gatekeeper":
		return []map[string]string{with("evidence", "")}
	case "allergens":
		if law.Allergens.Open() {
			if found := foundIn(t, with("add", ""), law.Market)[r.ID]; len(found) > 0 {
				t.Errorf("found in a bar without scent: %v", found)
			}
			return []map[string]string{wholeShop()}
		}
		return []map[string]string{with("allergens", "")}
	case "colour-additives":
		dyed := func(name string) map[string]string {
			return with("scent", fmt.Sprintf("kind: colourant\ninci: %q", name), "allergens", "", "max_use", "")
		}
		if found := foundIn(t, dyed("Iron oxide red"), law.Market)[r.ID]; len(found) > 0 {
			t.Errorf("found of one that is listed: %v", found)
		}
		for _, entry := range r.Entries {
			if name, _, unlisted := strings.Cut(entry, ": "+string(market.Unlisted)); unlisted {
				return []map[string]string{dyed(name)}
			}
		}
	case "soap-share":
		return []map[string]string{with("salt", "  - {material: salt, weight: 1500 g}")}
	case "substances":
		i := slices.IndexFunc(law.Substances, func(s market.Substances) bool { return s.ID == r.ID })
		var all []map[string]string
		for _, limit := range law.Substances[i].Limits {
			all = append(all, with("allergens", fmt.Sprintf("allergens: {%q: 99%%}", limit.Label), "add", "  - {material: scent, weight: 60 g}"))
			below := with("allergens", fmt.Sprintf("allergens: {%q: 0-0%%}", limit.Label))
			if found := foundIn(t, below, law.Market)[r.ID]; len(found) > 0 {
				t.Errorf("%s: found where there is none of it: %v", limit.Label, found)
			}
		}
		return all
	case "statement":
		s, _ := law.Statement(dutyOf(law, r.ID))
		if one, ok := missing[s.Duty]; ok && s.Required {
			return []map[string]string{one}
		}
		if s.Duty == "identity" && len(s.Languages) > 1 {
			return []map[string]string{with("french", "")}
		}
		seenOnTheBand(t, law, s)
	case "ingredient-list", "any-order", "colourants-last":
		seenInTheList(t, law)
	case "reminder":
		if r.Level != finding.Note {
			t.Errorf("a reminder of level %s", r.Level)
		}
	default:
		t.Errorf("there is no case for the kind %s", r.Kind)
	}
	return nil
}

func dutyOf(law *market.Law, id string) string {
	i := slices.IndexFunc(law.Statements, func(s market.Statement) bool { return s.ID == id })
	if i < 0 {
		return ""
	}
	return law.Statements[i].Duty
}

// seenOnTheBand looks for a duty on the finished band, with letters as high as asked.
func seenOnTheBand(t *testing.T, law *market.Law, s market.Statement) {
	o := order(t, "plain", law.Market)
	l, err := compile.Band(folderWith(t, wholeShop()), o)
	if err != nil || l.Band == nil {
		t.Fatal(err, l.Findings)
	}
	i := slices.IndexFunc(l.Proof, func(p check.Particular) bool { return string(p.Duty) == s.Duty })
	switch {
	case i < 0 && (s.Required || s.Duty != "e-mark"): // the e sign is for whoever keeps its records; it is not printed
		t.Errorf("%s is not on the band", s.Duty)
	case i >= 0 && !strings.Contains(l.Proof[i].Cite, s.Cite):
		t.Errorf("%s goes by %q", s.Duty, l.Proof[i].Cite)
	case i >= 0 && (len(s.Letters.ByArea) > 0) != (l.Proof[i].Required > 0):
		t.Errorf("%s: letters of %v mm are asked for", s.Duty, l.Proof[i].Required)
	case i >= 0 && l.Proof[i].Letter < l.Proof[i].Required:
		t.Errorf("%s: letters of %v mm", s.Duty, l.Proof[i].Letter)
	}
}

// seenInTheList looks for the words, the zones and the end of a list of ingredients: a
// third of the bar is soap of olive oil, well below 1 % is a dye, which stands last.
func seenInTheList(t *testing.T, law *market.Law) {
	folder := folderWith(t, with("salt", "  - {material: iron-oxide-red, weight: 3 g}\n  - {material: oat-flour, weight: 4 g}"))
	d, err := compile.Declare(folder, order(t, "plain", law.Market))
	if err != nil || len(d.Ingredients) == 0 {
		t.Fatal(err, d.Findings)
	}
	zones := map[string]string{}
	for _, in := range d.Ingredients {
		zones[in.Name] = string(in.Zone)
	}
	colour, _ := law.Colourant(market.Spoken{}, "iron-oxide-red")
	oat := law.List.Name(market.Spoken{US: "Avena Sativa (Oat) Kernel Flour", EU: "Avena Sativa Kernel Flour"})
	want := map[string]string{"Sodium Olivate": "ordered", law.List.Water: "ordered", law.List.Perfume: "ordered", oat: "any-order", colour: "colourant"}
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if zones[name] != want[name] {
			t.Errorf("%s stands in the zone %q, want %q: %s", name, zones[name], want[name], d.Text)
		}
	}
	if last := d.Ingredients[len(d.Ingredients)-1].Name; last != colour {
		t.Errorf("last is %s: %s", last, d.Text)
	}
}

// The rules of the fragrance industry hold in every market. That on the maximum of one
// certificate is found under the older id CHECK-MAX-USE.
func TestEveryRuleOfTheStandard(t *testing.T) {
	standard, err := market.FragranceStandard()
	if err != nil {
		t.Fatal(err)
	}
	cases := map[string]map[string]string{
		"IFRA-MAX-01":       with("max_use", "max_use: {ifra: 51, category 9: 1%}"),
		"IFRA-AMENDMENT-01": with("max_use", "max_use: {ifra: 48, category 9: 50%}"),
		"IFRA-SUBSTANCE-01": with("allergens", "allergens: {Methyl Eugenol: 1%}"),
		"IFRA-SUM-01":       with("max_use", "max_use: {ifra: 51, category 9: 2%}", "salt", "  - {material: other-scent, weight: 20 g}"),
	}
	for _, r := range standard.Rules {
		id := r.ID
		if id == "IFRA-MAX-01" {
			id = check.RuleMaxUse
		}
		if found := foundIn(t, wholeShop(), "us-soap")[id]; len(found) > 0 {
			t.Errorf("%s is found where nothing is wrong: %v", r.ID, found)
		}
		line, ok := cases[r.ID]
		if !ok {
			t.Errorf("there is no case for %s", r.ID)
			continue
		}
		if found := foundIn(t, line, "us-soap")[id]; len(found) == 0 || found[0].Level != finding.Warn {
			t.Errorf("%s: found %v", r.ID, found)
		}
	}
}
