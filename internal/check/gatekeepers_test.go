package check_test

import (
	"slices"
	"testing"

	"saponym/internal/check"
	"saponym/internal/formula"
	"saponym/internal/market"
)

// What is asked for is asked once, at the name of the formula, until the formula has
// evidence of it for that place; evidence for another place does not serve.
func TestGatekeepers(t *testing.T) {
	eu := law(t, "eu")
	if len(eu.Gatekeepers) < 2 {
		t.Fatalf("the law has %d gatekeepers", len(eu.Gatekeepers))
	}
	gate := func(evidence string) []string {
		f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+evidence))
		if err != nil {
			t.Fatal(err)
		}
		found := check.Gatekeepers(f, eu)
		for _, one := range found {
			if one.At != f.Name.At || one.Market != "eu" || one.Remedy == "" {
				t.Errorf("finding %+v", one)
			}
		}
		return rules(found)
	}
	all := gate("")
	if len(all) != len(eu.Gatekeepers) {
		t.Fatalf("without evidence: %q", all)
	}
	// Regulation (EC) No 1223/2009 Art. 10: a safety report.
	without := slices.DeleteFunc(slices.Clone(all), func(rule string) bool { return rule == "EU-SAFETY-01 warn" })
	if len(without) != len(all)-1 {
		t.Fatalf("no safety report is asked for: %q", all)
	}
	for evidence, want := range map[string][]string{
		"evidence: {eu: {safety_report: 2026-07}}\n":  without,
		"evidence: {us: {safety_report: 2026-07}}\n":  all,
		"evidence: {eu: {another_report: 2026-07}}\n": all,
	} {
		if got := gate(evidence); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", evidence, got, want)
		}
	}
}

// Any one of several sorts of evidence serves.
func TestOneEvidenceOfSeveral(t *testing.T) {
	l := &market.Law{Place: "us", Gatekeepers: []market.Gatekeeper{{Rule: market.Rule{Market: "us-soap", Known: market.Retrieved}, Evidence: []string{"listed", "small_business"}}}}
	for evidence, want := range map[string]int{"": 1, "listed: 1": 0, "small_business: 2026": 0} {
		f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nevidence: {us: {"+evidence+"}}\n"))
		if err != nil {
			t.Fatal(err)
		}
		if found := check.Gatekeepers(f, l); len(found) != want {
			t.Errorf("%q: %+v", evidence, found)
		}
	}
}

// A text that says that there is none is no evidence.
func TestNoEvidence(t *testing.T) {
	l := &market.Law{Place: "us", Gatekeepers: []market.Gatekeeper{{Rule: market.Rule{Market: "us-soap", Known: market.Retrieved}, Evidence: []string{"listed"}}}}
	for evidence, want := range map[string]int{"no": 1, "none": 1, `"-"`: 1, "N/A": 1, `"?"`: 1, "not yet": 1, "No. 7": 0, "N-118": 0, "yes, file 3": 0} {
		f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nevidence: {us: {listed: "+evidence+"}}\n"))
		if err != nil {
			t.Fatal(err)
		}
		if found := check.Gatekeepers(f, l); len(found) != want {
			t.Errorf("%q: %+v", evidence, found)
		}
	}
}
