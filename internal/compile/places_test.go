package compile_test

import (
	"fmt"
	"strings"
	"testing"

	"saponym/internal/compile"
)

// What is written under a place that no rule set is about, or as evidence that none
// asks for, is told with the word that was probably meant; what is right is not.
func TestUnknownPlacesAndEvidence(t *testing.T) {
	for _, tt := range []struct {
		shop, formula, batch string
		want                 string // rule, place in the file, and the word offered; "" for none
	}{
		{"responsible_person: {eu: {name: Quayside, address: [Dunmorrow]}}", "evidence: {eu: {safety_report: S, notified: N}}\non_sale: {ca: 2025-03-01}", "placed: {eu: 2026-07-31}", ""},
		{"responsible_person: {ue: {name: Quayside, address: [Dunmorrow]}}", "", "", `COMPILE-PLACE shop.yaml:3:33 au, ca, eu, nz, uk, us`},
		{"", "on_sale: {canada: 2025-03-01}", "", `COMPILE-PLACE formulas/plain.yaml:6:19 au, ca, eu, nz, uk, us`},
		{"", "evidence: {ku: {safety_report: S, notified: N}}", "", `COMPILE-PLACE formulas/plain.yaml:6:32 au, ca, eu, nz, uk, us`},
		{"", "evidence: {eu: {saftey_report: S}}", "", `COMPILE-EVIDENCE formulas/plain.yaml:6:32 "safety_report"`},
		{"", "evidence: {us: {listed: L}}", "", ""},
		{"", "evidence: {us: {notified: N}}", "", `COMPILE-EVIDENCE formulas/plain.yaml:6:27 safety_substantiation, listed, small_business`},
		{"", "words: {en: {identity: soap, tagline: Sunny}, fr: {identity: savon}}", "", ""},
		{"", "words: {fr: {identitee: savon}}", "", `COMPILE-SAID formulas/plain.yaml:6:25 "identity"`},
		{"", "words: {french: {identity: savon}}", "", `COMPILE-SAID formulas/plain.yaml:6:28 en, fr`},
		{"", "", "placed: {us-soap: 2026-07-31}", `COMPILE-PLACE batches/26150-01.yaml:5:19 au, ca, eu, nz, uk, us`},
	} {
		folder := folderOf(t, map[string]string{
			"shop.yaml": "maker: {name: Tern & Thimble, address: [\"12 Ropewalk\"]}\nmarkets: [eu]\n" + tt.shop + "\n",
			"formulas/plain.yaml": "name: Plain\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\n" +
				"lye: {alkali: sodium hydroxide, purity: 98%, superfat: 6%, water: {per_lye: 2}}\ncuts: {bar: {count: 8, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}\n" + tt.formula + "\n",
			"batches/26150-01.yaml": "code: 26150-01\nformula: plain\nmakes: bars\nmade: 2026-05-30\n" + tt.batch + "\n",
		})
		d, err := compile.Declare(folder, compile.Order{Formula: "26150-01", Market: "eu", On: today(t), Style: "as-cured"})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, f := range d.Findings {
			if f.Rule == compile.RulePlace || f.Rule == compile.RuleEvidence || f.Rule == compile.RuleSaid {
				got += fmt.Sprintf("%s %s %s", f.Rule, f.At, strings.TrimSuffix(strings.TrimPrefix(strings.TrimPrefix(f.Remedy, "did you mean "), "choose from: "), "?"))
			}
		}
		if got != tt.want {
			t.Errorf("%s %s %s: got %s, want %s", tt.shop, tt.formula, tt.batch, got, tt.want)
		}
	}
}
