package market_test

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/inci"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

func on(t testing.TB, id, text string) *market.Law {
	t.Helper()
	d, err := day.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	law, err := market.On(id, d)
	if err != nil {
		t.Fatal(err)
	}
	return law
}

// Rule ids are a public contract: well formed, unique over all markets; and each
// rule is cited, says how it is known, and stops a label only if its text was
// read.
func TestRules(t *testing.T) {
	form := regexp.MustCompile(`^[A-Z]{2}(-[A-Z]+)+-[0-9]{2}$`)
	seen := map[string]bool{}
	for _, id := range market.IDs() {
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		if len(rules) < 5 {
			t.Errorf("%s has %d rules", id, len(rules))
		}
		for _, r := range rules {
			switch {
			case !form.MatchString(r.ID) || !strings.HasPrefix(r.ID, strings.ToUpper(id)+"-"):
				t.Errorf("%s: the id %q is not well formed", id, r.ID)
			case seen[r.ID]:
				t.Errorf("%s: the id %s is there twice", id, r.ID)
			case r.Cite == "" || r.Message == "" || r.Known == "":
				t.Errorf("%s lacks a citation, a message or its standing", r.ID)
			case r.Level == finding.Stop && !r.Known.Confirmed():
				t.Errorf("%s stops labels, but rests on memory", r.ID)
			case r.Level == finding.Stop && r.Remedy == "" && r.Kind == "statement":
				t.Errorf("%s stops labels and names no remedy", r.ID)
			}
			seen[r.ID] = true
		}
	}
}

// What rests on memory alone is at most a warning, and says so.
func TestMemoryOnlyWarns(t *testing.T) {
	r := market.Rule{ID: "ZZ-TEST-01", Level: finding.Stop, Message: "labels are green", Known: market.Memory}
	if f := r.Finding(finding.Pos{}, ""); f.Level != finding.Warn || !strings.Contains(f.Message, "unconfirmed") {
		t.Errorf("got %s %q", f.Level, f.Message)
	}
	r.Known = market.Retrieved
	if f := r.Finding(finding.Pos{}, "this one is red"); f.Level != finding.Stop || f.Message != "this one is red: labels are green" {
		t.Errorf("got %s %q", f.Level, f.Message)
	}
}

func TestUnknownMarket(t *testing.T) {
	if _, err := market.On("mars", day.Day{}); err == nil {
		t.Error("there is a market on Mars")
	}
	if got := market.Nearest("us-sopa"); got != "us-soap" {
		t.Errorf("near us-sopa is %q", got)
	}
}

// Regulation (EU) 2023/1545: 81 entries from 1 August 2026; 24 before, the list of
// 2003 (Directive 2003/15/EC) without the two that are prohibited since.
func TestListsOfAllergens(t *testing.T) {
	for _, tt := range []struct {
		day   string
		names int
		has   map[string]bool
	}{
		{"2026-07-31", 24, map[string]bool{"Linalool": true, "Menthol": false}},
		{"2026-08-01", 81, map[string]bool{"Linalool": true, "Menthol": true}},
	} {
		rule := on(t, "eu", tt.day).Allergens
		if len(rule.Named) != tt.names {
			t.Errorf("on %s %d names, want %d", tt.day, len(rule.Named), tt.names)
		}
		for name, want := range tt.has {
			found := rule.Find(name)
			if len(found) != 1 || rule.Names(found[0]) != want {
				t.Errorf("on %s %s is found as %v, want it named: %v", tt.day, name, found, want)
			}
		}
	}
	if rule := on(t, "us-soap", "2026-11-25").Allergens; rule != nil {
		t.Error("the US list names allergens")
	}
}

// Suppliers print other names and numbers than the law does.
func TestFindAllergen(t *testing.T) {
	rule := on(t, "eu", "2026-11-25").Allergens
	for name, want := range map[string]string{
		"d-Limonene": "Limonene", "5989-27-5": "Limonene", "LINALOOL": "Linalool", "Hexyl cinnamal": "Hexyl Cinnamal",
		"geranial": "Citral", "Anisyl alcohol": "Anise Alcohol", "cinnamaldehyde": "Cinnamal", "alpha isomethyl ionone": "Alpha-Isomethyl Ionone",
	} {
		if found := rule.Find(name); len(found) != 1 || found[0].Label != want {
			t.Errorf("%s is found as %v, want %s", name, found, want)
		}
	}
	if found := rule.Find("Linaloool"); len(found) > 0 {
		t.Errorf("Linaloool is found as %v", found)
	}
	if near := rule.Nearest("Linaloool"); near != "Linalool" {
		t.Errorf("near Linaloool is %q", near)
	}
}

// The numbers of the list are those of a register, so their check digits hold;
// and each essential oil it names is a substance of package inci.
func TestAllergenData(t *testing.T) {
	for _, a := range on(t, "eu", "2026-11-25").Allergens.Named {
		for _, cas := range a.CAS {
			if !checkDigit(cas) {
				t.Errorf("%s: the check digit of %s is wrong", a.Label, cas)
			}
		}
		for _, id := range a.Substances {
			if s, ok := inci.ByID(id); !ok || s.Group != inci.GroupEssentialOil {
				t.Errorf("%s: %s is no essential oil", a.Label, id)
			}
		}
	}
}

// checkDigit checks a CAS Registry number: the last digit is the sum of the
// others, each times its place from the right, modulo 10 (CAS, "Check digit
// verification of CAS Registry Numbers").
func checkDigit(cas string) bool {
	digits := strings.ReplaceAll(cas, "-", "")
	sum := 0
	for i := range len(digits) - 1 {
		sum += int(digits[i]-'0') * (len(digits) - 1 - i)
	}
	return sum%10 == int(digits[len(digits)-1]-'0')
}

func TestColourants(t *testing.T) {
	us, eu := on(t, "us-soap", "2026-11-25"), on(t, "eu", "2026-11-25")
	for _, tt := range []struct{ name, us, eu string }{
		{"iron-oxide-red", "Iron Oxides", "CI 77491"}, // 21 CFR 73.2250; Annex IV 135
		{"CI 77891", "Titanium Dioxide", "CI 77891"},  // 21 CFR 73.2575; Annex IV
		{"Ultramarines", "Ultramarines", "CI 77007"},  // 21 CFR 73.2725; Annex IV
		{"chromium-oxide-green", "Chromium Oxide Greens", "CI 77288"},
		{"kaolin", "", "CI 77004"}, // no colour additive in the US
	} {
		if got, _ := us.Colourant(market.Spoken{}, tt.name); got != tt.us {
			t.Errorf("%s in the US: %q, want %q", tt.name, got, tt.us)
		}
		if got, _ := eu.Colourant(market.Spoken{}, tt.name); got != tt.eu {
			t.Errorf("%s in the EU: %q, want %q", tt.name, got, tt.eu)
		}
	}
	for s := range inci.All() {
		if s.Group != inci.GroupColourant {
			continue
		}
		for _, law := range []*market.Law{us, eu} {
			if _, ok := law.Colourant(market.Spoken{}, s.ID, s.EU.Text, s.US.Text); !ok {
				t.Errorf("%s knows no colourant %s", law.Market, s.ID)
			}
		}
	}
	if got, ok := eu.Colourant(market.Spoken{}, "moon dust"); ok {
		t.Errorf("moon dust is %q", got)
	}
}

func quantity(t testing.TB, text string) measure.Quantity {
	t.Helper()
	_, q, err := measure.ParseMass(text)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// Pairs that are printed in texts of the law: "1 lb (453 g)" and "200 g (7 oz)"
// stand in Ohio Administrative Code 901:6-3-06(D), where the second unit has no
// decimals. The others follow from the exact factor of NIST Handbook 44, appendix
// C, each figure rounded down.
func TestNetWeight(t *testing.T) {
	for _, tt := range []struct{ claim, us, metric string }{
		{"1 lb", "Net Wt 1 lb (453 g)", "453 g"},
		{"16 oz", "Net Wt 1 lb (453 g)", "453 g"},
		{"4 oz", "Net Wt 4 oz (113 g)", "113 g"},
		{"4.0 oz", "Net Wt 4 oz (113 g)", "113 g"},
		{"4.21 oz", "Net Wt 4.21 oz (119 g)", "119 g"},
		{"4 1/4 oz", "Net Wt 4.25 oz (120 g)", "120 g"},
		{"4.5 oz", "Net Wt 4.5 oz (127 g)", "127 g"},
		{"5.15 oz", "Net Wt 5.15 oz (146 g)", "146 g"},
		{"1.5 oz", "Net Wt 1.5 oz (42 g)", "42 g"},
		{"2.75 oz", "Net Wt 2.75 oz (77 g)", "77 g"},
		{"20 oz", "Net Wt 1 lb 4 oz (566 g)", "566 g"},
		{"1 lb 4 oz", "Net Wt 1 lb 4 oz (566 g)", "566 g"},
		{"36 oz", "Net Wt 2 lb 4 oz (1.02 kg)", "1.02 kg"},
		{"85 g", "Net Wt 2.99 oz (85 g)", "85 g"},
		{"113 g", "Net Wt 3.98 oz (113 g)", "113 g"},
		{"114 g", "Net Wt 4.02 oz (114 g)", "114 g"},
		{"125 g", "Net Wt 4.4 oz (125 g)", "125 g"},
		{"1 kg", "Net Wt 2 lb 3.27 oz (1 kg)", "1 kg"},
	} {
		t.Run(tt.claim, func(t *testing.T) {
			if got, ok := market.USDual.Typed(quantity(t, tt.claim), market.Writing{}); got.Words != tt.us || !ok {
				t.Errorf("US: %q, want %q", got.Words, tt.us)
			}
			if got, ok := market.Metric.Typed(quantity(t, tt.claim), market.Writing{}); got.Words != tt.metric || !ok {
				t.Errorf("metric: %q, want %q", got.Words, tt.metric)
			}
		})
	}
}

// A claim is printed as it was typed: the unit first that was, and common fractions if
// they are such as a label may show (16 CFR 500.17, from memory; American Samoa
// Administrative Code 27.0632; either unit may come first: Ohio Administrative Code
// 901:6-3-06(D)).
func TestNetWeightAsTyped(t *testing.T) {
	for typed, want := range map[string]string{
		"4 oz":          "Net Wt 4 oz (113 g)",
		"4.25 oz":       "Net Wt 4.25 oz (120 g)",
		"4 1/4 oz":      "Net Wt 4 1/4 oz (120 g)",
		"4½ oz":         "Net Wt 4 1/2 oz (127 g)",
		"4 2/8 oz":      "Net Wt 4 1/4 oz (120 g)",
		"8/2 oz":        "Net Wt 4 oz (113 g)",
		"4 1/3 oz":      "Net Wt 4.33 oz (122 g)",
		"4 1/64 oz":     "Net Wt 4.01 oz (113 g)",
		"1 lb 4 1/2 oz": "Net Wt 1 lb 4 1/2 oz (581 g)",
		"113 g":         "Net Wt 113 g (3.98 oz)",
		"200 g":         "Net Wt 200 g (7.05 oz)",
		"1.2 kg":        "Net Wt 1.2 kg (2 lb 10.32 oz)",
	} {
		if c, ok := market.USDual.AsTyped(quantity(t, typed)); c.Words != want || !ok {
			t.Errorf("%s is printed as %q, want %q", typed, c.Words, want)
		}
	}
}

func TestNetWeightTooSmall(t *testing.T) {
	for claim, want := range map[string]bool{"0.9 g": false, "0.01 oz": false, "1 g": true, "0.04 oz": true} {
		if c, ok := market.USDual.AsTyped(quantity(t, claim)); ok != want {
			t.Errorf("%s is printed as %q: %v, want %v", claim, c.Words, ok, want)
		}
	}
}

// No printed figure is more than the claim, and neither unit gives away as much
// as its last place.
func TestNetWeightIsNeverUp(t *testing.T) {
	form := regexp.MustCompile(`^Net Wt (?:(\d+) lb ?)?(?:([\d.]+) oz)? ?\(([\d.]+) (g|kg)\)$`)
	rat := func(text string) *big.Rat {
		r, ok := new(big.Rat).SetString(text)
		if !ok {
			return new(big.Rat)
		}
		return r
	}
	rapid.Check(t, func(t *rapid.T) {
		text := fmt.Sprintf("%d.%03d %s", rapid.IntRange(1, 2000).Draw(t, "whole"), rapid.IntRange(0, 999).Draw(t, "thousandths"),
			rapid.SampledFrom([]string{"g", "oz"}).Draw(t, "unit"))
		_, q, err := measure.ParseMass(text)
		if err != nil {
			t.Fatal(err)
		}
		claim, _ := market.USDual.Typed(q, market.Writing{})
		printed := claim.Words
		m := form.FindStringSubmatch(printed)
		if m == nil {
			t.Fatalf("%s is printed as %q", text, printed)
		}
		ounces := new(big.Rat).Add(new(big.Rat).Mul(rat(m[1]), big.NewRat(16, 1)), rat(m[2]))
		customary := ounces.Mul(ounces, big.NewRat(int64(measure.Ounce), 1))
		metric := new(big.Rat).Mul(rat(m[3]), big.NewRat(int64(measure.Gram), 1))
		place := big.NewRat(int64(measure.Gram), 1)
		if m[4] == "kg" {
			metric.Mul(metric, big.NewRat(1000, 1))
			place = big.NewRat(int64(measure.Gram)*1000, 10)
		}
		for what, pair := range map[string][2]*big.Rat{"customary": {customary, big.NewRat(int64(measure.Ounce), 100)}, "metric": {metric, place}} {
			given := new(big.Rat).Sub(q.Nanograms(), pair[0])
			if given.Sign() < 0 || given.Cmp(pair[1]) >= 0 {
				t.Fatalf("%s is printed as %q: the %s figure is off by %s ng", text, printed, what, given.FloatString(0))
			}
		}
	})
}

// A rule on the share of soap says all of what it is judged by; that of the US does (21
// CFR 701.20(a)(1): the bulk of what is not volatile).
func TestSoapShare(t *testing.T) {
	us := on(t, "us-soap", "2026-11-25").SoapShare
	if us == nil || us.Over != 50*measure.Percent || us.Doubtful != 60*measure.Percent || us.Otherwise != "cosmetic" {
		t.Errorf("US: %+v", us)
	}
	if eu := on(t, "eu", "2026-11-25").SoapShare; eu != nil {
		t.Errorf("EU: %+v", eu)
	}
	for _, tt := range []struct {
		name           string
		over, doubtful measure.Share
		otherwise      string
		ok             bool
	}{
		{"as in the US", 50 * measure.Percent, 60 * measure.Percent, "cosmetic", true},
		{"none doubtful", 50 * measure.Percent, 50 * measure.Percent, "cosmetic", true},
		{"all doubtful", 1, measure.Whole, "cosmetic", true},
		{"no share", 0, 60 * measure.Percent, "cosmetic", false},
		{"no doubtful one", 50 * measure.Percent, 0, "cosmetic", false},
		{"doubtful below", 50 * measure.Percent, 50*measure.Percent - 1, "cosmetic", false},
		{"more than the whole", 50 * measure.Percent, measure.Whole + 1, "cosmetic", false},
		{"nothing else", 50 * measure.Percent, 60 * measure.Percent, "", false},
	} {
		rule := market.SoapShare{Rule: market.Rule{ID: "ZZ-SOAP-01"}, Over: tt.over, Doubtful: tt.doubtful, Otherwise: tt.otherwise}
		if err := rule.Check(); (err == nil) != tt.ok || err != nil && !strings.Contains(err.Error(), "ZZ-SOAP-01") {
			t.Errorf("%s: %v, want it to stand: %v", tt.name, err, tt.ok)
		}
	}
}

// The steps of letter heights rise, begin at nought, and are those of 16 CFR
// 500.21(b) and of Directive 76/211/EEC, Annex I, 3.1.
func TestLetterHeights(t *testing.T) {
	net, ok := on(t, "us-soap", "2026-11-25").Statement("net-quantity")
	if !ok {
		t.Fatal("the US asks for no net quantity")
	}
	var steps []string
	for _, s := range net.Letters.ByArea {
		steps = append(steps, fmt.Sprintf("%g in²: %g in", float64(s.Over)/float64(measure.SquareInch), float64(s.Min)/float64(measure.Inch)))
	}
	if want := []string{"0 in²: 0.0625 in", "5 in²: 0.125 in", "25 in²: 0.1875 in", "100 in²: 0.25 in", "400 in²: 0.5 in"}; !slices.Equal(steps, want) {
		t.Errorf("US: %v, want %v", steps, want)
	}
	net, ok = on(t, "eu", "2026-11-25").Statement("net-quantity")
	if !ok {
		t.Fatal("the EU asks for no nominal content")
	}
	steps = nil
	for _, s := range net.Letters.ByQuantity {
		steps = append(steps, fmt.Sprintf("%g g: %g mm", s.Over.Grams(), s.Min.Millimetres()))
	}
	if want := []string{"0 g: 2 mm", "50 g: 3 mm", "200 g: 4 mm", "1000 g: 6 mm"}; !slices.Equal(steps, want) {
		t.Errorf("EU: %v, want %v", steps, want)
	}
}
