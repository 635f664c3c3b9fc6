package market_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"saponym/internal/market"
)

// What two laws take a colourant for. EU: the export of Annex IV (CosIng, February
// 2024). US: 21 CFR Parts 73 (no certificate) and 74 (certified lots).
func TestColour(t *testing.T) {
	eu, us := on(t, "eu", "2026-11-25"), on(t, "us-cosmetic", "2026-11-25")
	for _, tt := range []struct {
		name      string
		eu, us    market.Standing
		certified bool
		caution   string // words of the cautions of both, with a bar between
	}{
		{"CI 77491", market.Permitted, market.Permitted, false, ""},                  // entry 135; 73.2250
		{"titanium dioxide", market.Permitted, market.Permitted, false, ""},          // entry 143; 73.2575
		{"Ultramarines", market.Permitted, market.Permitted, false, "|not for lips"}, // entry 120; 73.2725
		{"CI 77288", market.Permitted, market.Permitted, false, "|not for lips"},     // entry 129; 73.2327
		{"mica", market.Ordinary, market.Permitted, false, ""},                       // CI 77019 is not in Annex IV; 73.2496
		{"CI 77019", market.Ordinary, market.Permitted, false, ""},
		{"carbon black", market.Permitted, market.Unlisted, false, "|soap is not among them"}, // entry 126; 74.2052 names other products
		{"D&C Black No. 2", market.Permitted, market.Unlisted, false, "|soap is not among them"},
		{"activated charcoal", market.Permitted, market.Unlisted, false, "another purpose|"}, // entry 128; US from memory
		{"CI 75300", market.Permitted, market.Unlisted, false, ""},                           // entry 114; US: a colour for food only (73.600)
		{"CI 73915", market.Permitted, market.Unlisted, false, "rinsed off|"},                // entry 103; US from memory
		{"CI 45100", market.Permitted, market.Unlisted, false, "rinsed off|"},                // entry 71; US from memory
		{"Pyranine", market.Permitted, market.Permitted, true, "mucous membranes|0.01 %"},    // entry 87; 74.2208, from memory
		{"CI 15510", market.Permitted, market.Permitted, true, "not for products for the eyes|not around the eyes"},
		{"Red 40", market.Permitted, market.Permitted, true, ""},               // entry 32; 74.2340, from memory
		{"CI 20170", market.Unlisted, market.Permitted, true, "|not for lips"}, // not in the export; 74.2151, from memory
		{"alkanet", market.Unlisted, market.Unlisted, false, "whole plant|"},
		{"CI 12085", market.Permitted, market.Permitted, true, "3 %|not around the eyes"}, // entry 9; 74.2336, from memory
		{"kaolin", market.Permitted, market.Ordinary, false, ""},                          // entry 119; US from memory
		{"CI 77015", market.Permitted, market.Ordinary, false, "natural red clay|"},       // entry 121; US from memory
		{"silver", market.Permitted, market.Unlisted, false, "|nail polish"},              // entry 142; 73.2500, from memory
		{"beta-carotene", market.Permitted, market.Permitted, false, ""},                  // entry 111; 73.2095
		{"CI 40800", market.Permitted, market.Permitted, false, ""},                       // entry 55; 73.2095
		{"moon dust", market.Unknown, market.Unknown, false, ""},
	} {
		here, there := eu.Colour(tt.name), us.Colour(tt.name)
		if here.Standing != tt.eu || there.Standing != tt.us || here.Certified || there.Certified != tt.certified {
			t.Errorf("%s: EU %q, US %q, certified %v; want %q, %q, %v", tt.name, here.Standing, there.Standing, there.Certified, tt.eu, tt.us, tt.certified)
		}
		inEU, inUS, _ := strings.Cut(tt.caution, "|")
		if !strings.Contains(here.Caution, inEU) || !strings.Contains(there.Caution, inUS) {
			t.Errorf("%s: the cautions are %q and %q, want %q", tt.name, here.Caution, there.Caution, tt.caution)
		}
	}
	if c := on(t, "us-soap", "2026-11-25").Colour("carbon black"); c.Standing != market.Unknown {
		t.Errorf("a law without a list of colourants takes carbon black for %q", c.Standing)
	}
	// The first name that is known is the one.
	if c := eu.Colour("", "moon dust", "charcoal"); c.Label != "CI 77268:1" {
		t.Errorf("charcoal is printed as %q", c.Label)
	}
}

// Each name leads to one colourant; what may colour has a name to print and a place
// in its law; Part 73 is of colours without a certificate and Part 74 of certified
// ones (their titles).
func TestTableOfColourants(t *testing.T) {
	text, err := os.ReadFile("data/colourants.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var table struct {
		Colourants []struct {
			ID, CI, Name string
			Also         []string
			EU           struct{ Label string }
		}
	}
	if err := yaml.Unmarshal(text, &table); err != nil || len(table.Colourants) < 70 {
		t.Fatalf("%d colourants, %v", len(table.Colourants), err)
	}
	cites := map[string]*regexp.Regexp{
		"eu": regexp.MustCompile(`^Annex IV, entry [0-9]+$`), "us-cosmetic": regexp.MustCompile(`^21 CFR 7[34]\.[0-9]+a?(, 7[34]\.[0-9]+)?$`),
	}
	ci := regexp.MustCompile(`^CI [0-9]{5}(:[0-9])?$`)
	owner := map[string]string{}
	for _, c := range table.Colourants {
		for _, name := range append([]string{c.ID, c.CI, c.Name}, c.Also...) {
			key := strings.ToLower(strings.NewReplacer(" ", "", "-", "").Replace(name))
			if before := owner[key]; name != "" && before != "" && before != c.ID {
				t.Errorf("%q is %s and %s", name, before, c.ID)
			}
			owner[key] = c.ID
		}
		if c.CI != "" && !ci.MatchString(c.CI) {
			t.Errorf("%s: %q is no Colour Index number", c.ID, c.CI)
		}
		for id, form := range cites {
			colour := on(t, id, "2026-11-25").Colour(c.ID)
			switch {
			case colour.Known == "":
				t.Errorf("%s: %s does not say how it is known", id, c.ID)
			case colour.Standing != market.Permitted:
				if colour.Certified {
					t.Errorf("%s: %s is certified, and may not be used", id, c.ID)
				}
			case colour.Label == "" || !form.MatchString(colour.Cite):
				t.Errorf("%s: %s is listed as %q by %q", id, c.ID, colour.Label, colour.Cite)
			case colour.Certified != strings.HasPrefix(colour.Cite, "21 CFR 74."):
				t.Errorf("%s: %s is certified: %v, by %s", id, c.ID, colour.Certified, colour.Cite)
			case id == "eu" && c.CI != "" && colour.Label != c.CI:
				t.Errorf("%s is printed as %q and numbered %q", c.ID, colour.Label, c.CI)
			}
		}
	}
}
