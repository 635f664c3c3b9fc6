package market_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

func standard(t testing.TB) *market.Standard {
	t.Helper()
	s, err := market.FragranceStandard()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Category 9 has been that of bar soap since the 49th Amendment (titles of the
// categories; that bar soap belongs there: Guidance for the use of IFRA Standards).
// Existing creations keep to the 49th from 10 February 2022, and to the 51st from 30
// October 2025, which is recalled. The days of the 50th are not known here.
func TestAmendments(t *testing.T) {
	s := standard(t)
	if s.Category != "9" || !strings.Contains(s.Title, "rinse-off") {
		t.Errorf("bar soap is in category %q, %q", s.Category, s.Title)
	}
	for _, tt := range []struct {
		on     string
		newest int
	}{
		{"2022-02-09", 0}, {"2022-02-10", 49}, {"2025-10-29", 49}, {"2025-10-30", 51}, {"2026-11-25", 51},
	} {
		if got := s.Newest(date(t, tt.on)); got.Number != tt.newest {
			t.Errorf("on %s the newest is %d, want %d", tt.on, got.Number, tt.newest)
		}
	}
	for amendment, want := range map[int]bool{0: false, 43: false, 48: false, 49: true, 51: true, 52: true} {
		if s.Usable(amendment) != want {
			t.Errorf("a certificate by the amendment %d is usable: %v, want %v", amendment, !want, want)
		}
	}
	for _, a := range s.Amendments {
		switch {
		case a.Known == "":
			t.Errorf("amendment %d does not say how it is known", a.Number)
		case a.Existing.Before(a.New):
			t.Errorf("amendment %d binds old scents before new ones", a.Number)
		}
	}
}

// Limits of category 9.
func TestPublishedLimits(t *testing.T) {
	s := standard(t)
	want := []struct {
		name, most string
		known      market.Known
	}{
		{"93-15-2", "0.00087 %", market.Retrieved},                         // IFRA Standard Methyl eugenol, 2020
		{"cinnamic alcohol", "0.76 %", market.Retrieved},                   // IFRA Standard, 49th Amendment
		{"Citronellal", "1.4 %", market.Retrieved},                         // IFRA Standard Citronellal, 2020
		{"4748-78-1", "0.92 %", market.Retrieved},                          // IFRA Standard, 49th Amendment
		{"oak moss absolute", "0.1 %", market.RetrievedSecondary},          // as listed in a database of perfumery ingredients
		{"Evernia Furfuracea Extract", "0.1 %", market.RetrievedSecondary}, // shares that limit
		{"43052-87-5", "0.084 %", market.RetrievedSecondary},               // as listed in a database of perfume formulas
	}
	for _, tt := range want {
		most, _, err := measure.ParseShare(tt.most)
		if err != nil {
			t.Fatal(err)
		}
		found := 0
		for _, l := range s.Limits {
			if !l.Means(tt.name, "") {
				continue
			}
			found++
			if l.Most != most || l.Known != tt.known || l.Cite == "" {
				t.Errorf("%s: at most %g %%, %s, by %q; want %s, %s", tt.name, l.Most.Percent(), l.Known, l.Cite, tt.most, tt.known)
			}
		}
		if found != 1 {
			t.Errorf("%s has %d limits", tt.name, found)
		}
	}
	// Figures of these contradict each other where they were looked for: none is given.
	for _, name := range []string{"Citral", "Eugenol", "Isoeugenol", "Geraniol", "Coumarin", "Hydroxycitronellal", "Cinnamal"} {
		for _, l := range s.Limits {
			if l.Means(name, "") {
				t.Errorf("%s has a limit, %g %%", name, l.Most.Percent())
			}
		}
	}
	for _, l := range s.Limits {
		for _, name := range l.Names {
			if regexp.MustCompile(`^[0-9-]+$`).MatchString(name) && !checkDigit(name) {
				t.Errorf("%s: the check digit of %s is wrong", l.Label, name)
			}
		}
	}
}

// The standard is no law: it warns. Its ids are as public as those of the law.
func TestRulesOfTheStandard(t *testing.T) {
	s := standard(t)
	for kind, id := range map[string]string{
		market.CertificateMaximum: "IFRA-MAX-01", market.SumOfScents: "IFRA-SUM-01",
		market.CertificateAmendment: "IFRA-AMENDMENT-01", market.PublishedLimits: "IFRA-SUBSTANCE-01",
	} {
		if got := s.Rule(kind).ID; got != id {
			t.Errorf("the rule of the kind %s is %q, want %q", kind, got, id)
		}
	}
	for _, r := range s.Rules {
		f := r.Finding(finding.Pos{}, "")
		if f.Level > finding.Warn || f.Market != "" || f.Remedy == "" || f.Cite == "" || r.Condition == "" {
			t.Errorf("%s gives %+v, when %q", r.ID, f, r.Condition)
		}
	}
	if len(s.Rules) != 4 || s.Rule("horoscope").ID != "" {
		t.Errorf("the rules are %v", s.Rules)
	}
	// That the sum is the safe reading is recalled.
	if f := s.Rule(market.SumOfScents).Finding(finding.Pos{}, ""); !strings.Contains(f.Message, "unconfirmed") {
		t.Errorf("got %q", f.Message)
	}
	for kind, want := range map[string]string{
		market.CertificateAmendment: "amendment 51; for new creations from 2024-03-30; for existing ones from 2025-10-30; published in June 2023 (memory)",
		market.PublishedLimits:      "Citronellal (106-23-0): at most 1.4 %; IFRA Standard Citronellal, 2020 (retrieved)",
	} {
		if entries := fmt.Sprint(s.Rule(kind).Entries); !strings.Contains(entries, want) {
			t.Errorf("the entries of %s are %s", kind, entries)
		}
	}
}
