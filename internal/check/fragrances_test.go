package check_test

import (
	"fmt"
	"strings"
	"testing"

	"saponym/internal/bar"
	"saponym/internal/check"
	"saponym/internal/finding"
	"saponym/internal/formula"
)

// With 30 g of scent 1158.68 g are dry, and the driest bar weighs 1182.32 g: 2.537 %
// of it is scent. Certificates with today's categories begin with the 49th Amendment
// of the IFRA Standards, and the 51st binds all scents from 2025-10-30 (from memory).
func TestCertificates(t *testing.T) {
	for _, tt := range []struct {
		name, on, material string
		want               []string
		says               string
	}{
		{"too much", "2026-11-26", "max_use: {ifra: 51, category 9: 2.53%}", []string{"CHECK-MAX-USE warn"}, `"scent" makes up 2.54 % of the driest bar, and its supplier's certificate allows 2.53 % in bar soap`},
		{"enough", "2026-11-26", "max_use: {ifra: 51, category 9: 2.54%}", nil, ""},
		{"without a limit", "2026-11-26", "max_use: {ifra: 51, category 9: 100%}", nil, ""},
		{"not permitted", "2026-11-26", "max_use: {ifra: 51, category 9: 0%}", []string{"CHECK-MAX-USE warn"}, "does not permit"},
		{"another category", "2026-11-26", "max_use: {ifra: 51, category 4: 0.1%}", []string{"CHECK-CERTIFICATE warn"}, "category 9"},
		{"none", "2026-11-26", "", []string{"CHECK-CERTIFICATE note"}, "no certificate"},
		{"by an amendment with other categories", "2026-11-26", "max_use: {ifra: 48, category 9: 0.1%}", []string{"IFRA-AMENDMENT-01 warn"}, "cannot be used"},
		{"by an amendment that was replaced", "2025-10-30", "max_use: {ifra: 50, category 9: 5%}", []string{"IFRA-AMENDMENT-01 warn"}, "amendment 51 binds all scents from 2025-10-30"},
		{"by an amendment that was replaced, and too much", "2026-11-26", "max_use: {ifra: 49, category 9: 1%}", []string{"CHECK-MAX-USE warn", "IFRA-AMENDMENT-01 warn"}, ""},
		{"the day before", "2025-10-29", "max_use: {ifra: 50, category 9: 5%}", nil, ""},
		{"by a newer one", "2026-11-26", "max_use: {ifra: 52, category 9: 5%}", nil, ""},
		{"by one that is not told", "2026-11-26", "max_use: {category 9: 5%}", []string{"IFRA-AMENDMENT-01 warn"}, "by which amendment"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			batter := pour(t, olive+"add: [{material: scent, weight: 30 g}]\n", "scent", "name: Scent\nkind: fragrance\n"+tt.material+"\n")
			found, err := check.Fragrances(batter, lawOn(t, "eu", tt.on))
			expect(t, found, err, tt.want...)
			for _, f := range found {
				if !strings.Contains(f.Message, tt.says) || f.Remedy == "" {
					t.Errorf("finding %+v, want %q", f, tt.says)
				}
			}
		})
	}
}

// Of an essential oil no certificate is missed, and of finished soap none is asked for;
// an oil that has one is judged by it.
func TestNoCertificateIsMissed(t *testing.T) {
	found, err := check.Fragrances(pour(t, olive+"add: [{material: lavender-oil, weight: 30 g}]\n"), law(t, "eu"))
	expect(t, found, err)
	found, err = check.Fragrances(pour(t, olive+"add: [{material: lavender-oil, weight: 30 g}]\n",
		"lavender-oil", "name: Lavender\nkind: essential oil\nmax_use: {ifra: 51, category 9: 1%}\n"), law(t, "eu"))
	expect(t, found, err, "CHECK-MAX-USE warn")
	found, err = check.Fragrances(pour(t, "base: [{material: base, weight: 990 g}]\n",
		"base", "name: Base\nkind: base\nallergens: {Linalool: 1%}\norder: unknown\ncontains: [{inci: Sodium Cocoate, share: 99%}, {inci: Parfum, share: 1%}]\n"), law(t, "eu"))
	expect(t, found, err)
}

// A certificate is of a scent, however often it is put in; and certificates of several
// scents are safely kept only if they use up no more than one of them may (common
// practice, from memory). The grams of the remedies are enough, and hardly less than
// they could be.
func TestScentsTogether(t *testing.T) {
	judge := func(one, two float64) []finding.Finding {
		t.Helper()
		batter := pour(t, olive+fmt.Sprintf("add: [{material: one, weight: %.3f g}, {material: two, weight: %.3f g}, {material: two, weight: 1 g, at: top}]\n", one, two-1),
			"one", "name: One\nkind: fragrance\nmax_use: {ifra: 51, category 9: 5%}\n", "two", "name: Two\nkind: fragrance\nmax_use: {ifra: 51, category 9: 2%}\n")
		found, err := check.Fragrances(batter, law(t, "eu"))
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	// 55 g and 2 g of 1209.88 g are 4.55 % of 5 % and 0.17 % of 2 %: 99.2 % together.
	expect(t, judge(55, 2), nil)
	found := judge(55, 3)
	expect(t, found, nil, "IFRA-SUM-01 warn")
	if !strings.Contains(found[0].Message, "103 % of what their certificates allow") {
		t.Errorf("message %q", found[0].Message)
	}
	one, two := gramsOf(t, found[0].Remedy, "one"), gramsOf(t, found[0].Remedy, "two")
	expect(t, judge(one, two), nil)
	expect(t, judge(one*1.01, two*1.01), nil, "IFRA-SUM-01 warn")

	found = judge(1, 30)
	expect(t, found, nil, "CHECK-MAX-USE warn", "IFRA-SUM-01 warn")
	most := gramsOf(t, found[0].Remedy, "it")
	if found := judge(0.001, most); len(found) > 0 && found[0].Rule == check.RuleMaxUse {
		t.Errorf("%g g are too much: %+v", most, found)
	}
	if found := judge(0.001, most*1.01); len(found) == 0 || found[0].Rule != check.RuleMaxUse {
		t.Errorf("%g g and more are not too much: %+v", most, found)
	}
}

// What is not permitted uses up nothing that could be reckoned.
func TestNotPermittedBesideAnother(t *testing.T) {
	found, err := check.Fragrances(pour(t, olive+"add: [{material: one, weight: 3 g}, {material: two, weight: 3 g}]\n",
		"one", "name: One\nkind: fragrance\nmax_use: {ifra: 51, category 9: 0%}\n", "two", "name: Two\nkind: fragrance\nmax_use: {ifra: 51, category 9: 2%}\n"), law(t, "eu"))
	expect(t, found, err, "CHECK-MAX-USE warn")
}

// The IFRA Standard on methyl eugenol of 2020 allows 0.00087 % in category 9, what all
// scents bring of it together: 0.01029 g of the driest bar, where the law of the Union
// allows 0.01182 g. It is no law and warns, in every market.
func TestPublishedLimits(t *testing.T) {
	for _, tt := range []struct {
		one, two string
		want     []string
	}{
		{"0.034%", "none", nil},
		{"0.035%", "none", []string{"IFRA-SUBSTANCE-01 warn"}},
		{"0.03%", "0.04%", []string{"IFRA-SUBSTANCE-01 warn"}},
		{"0-0.035%", "none", []string{"IFRA-SUBSTANCE-01 warn"}},
		{"5%", "none", []string{"IFRA-SUBSTANCE-01 warn"}},
	} {
		scents := []string{"one", tt.one}
		add := "{material: one, weight: 30 g}"
		if tt.two != "none" {
			scents = append(scents, "two", tt.two)
			add = "{material: one, weight: 15 g}, {material: two, weight: 15 g}"
		}
		for i := 1; i < len(scents); i += 2 {
			scents[i] = "name: Scent\nkind: essential oil\ninci: Fictum Odoratum Oil\nallergens: {Methyl Eugenol: " + scents[i] + "}\n"
		}
		for _, id := range []string{"us-soap", "eu"} {
			found, err := check.Fragrances(pour(t, olive+"add: ["+add+"]\n", scents...), law(t, id))
			expect(t, found, err, tt.want...)
			for _, f := range found {
				if f.Market != "" || !strings.Contains(f.Message, "0.00087 % is the most") {
					t.Errorf("finding %+v", f)
				}
			}
		}
	}
}

// What is said of a scent does not hang on where it is met first: in own bars as crumbs,
// or by itself.
func TestOrderOfScents(t *testing.T) {
	const pot = "base: [{material: base, weight: 1000 g}]\n"
	mine := library(t, "base", "name: Base\nkind: base\ncontains: [{inci: Sodium Cocoate, share: 80%}, {inci: Aqua, share: 20%}]\n",
		"scent", "name: Scent\nkind: fragrance\nallergens: {Linalool: 1%}\n")
	old, _, err := formula.ReadFormula("formulas/old.yaml", []byte("name: Old\nidentity: soap\n"+pot+"add: [{material: scent, weight: 20 g}]\n"))
	if err != nil {
		t.Fatal(err)
	}
	batch, _, err := formula.ReadBatch("batches/OLD-1.yaml", []byte("code: OLD-1\nformula: old\nmade: 2026-01-02\n"))
	if err != nil {
		t.Fatal(err)
	}
	mine = mine.WithBatches([]formula.Batch{batch}, func(string) (formula.Formula, bool) { return old, true })
	for _, add := range []string{"{material: scent, weight: 20 g}, {batch: OLD-1, weight: 100 g}", "{batch: OLD-1, weight: 100 g}, {material: scent, weight: 20 g}"} {
		f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+pot+"add: ["+add+"]\n"))
		if err != nil {
			t.Fatal(err)
		}
		batter, found := bar.Pour(f, mine)
		if batter == nil {
			t.Fatal(found)
		}
		found, err = check.Fragrances(batter, law(t, "eu"))
		expect(t, found, err, "CHECK-CERTIFICATE note")
	}
}

// Certificates say all or none in words, too; the amendment may be one that nobody here
// knows.
func TestWordsOfCertificates(t *testing.T) {
	for certificate, want := range map[string][]string{
		"ifra: 51, category 9: Not Limited":    nil,
		"ifra: 51, category 9: no restriction": nil,
		"ifra: 51, category 9: Not approved":   {"CHECK-MAX-USE warn"},
		"ifra: 99, category 9: 50%":            {"IFRA-AMENDMENT-01 warn"},
	} {
		scent := "name: Scent\nkind: fragrance\nallergens: {Linalool: 1%}\nmax_use: {" + certificate + "}\n"
		found, err := check.Fragrances(pour(t, olive+"add: [{material: scent, weight: 30 g}]\n", "scent", scent), law(t, "eu"))
		expect(t, found, err, want...)
	}
}
