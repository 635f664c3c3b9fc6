package declare_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
)

func mustDay(t testing.TB, text string) day.Day {
	t.Helper()
	d, err := day.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// pour pours a formula; materials come as id and text in turn.
func pour(t testing.TB, text string, materials ...string) *bar.Batter {
	t.Helper()
	f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+text))
	if err != nil {
		t.Fatal(err)
	}
	var own []formula.Material
	for i := 0; i < len(materials); i += 2 {
		m, findings, err := formula.ReadMaterial("materials/"+materials[i]+".yaml", []byte(materials[i+1]))
		if err != nil || finding.Worst(findings) == finding.Stop {
			t.Fatal(findings, err)
		}
		own = append(own, m)
	}
	batter, findings := bar.Pour(f, formula.NewLibrary(own))
	if batter == nil {
		t.Fatal(findings)
	}
	return batter
}

// compile declares a formula; see pour.
func compile(t testing.TB, text, marketID, on string, style market.Style, materials ...string) declare.Declaration {
	t.Helper()
	law, err := market.On(marketID, mustDay(t, on))
	if err != nil {
		t.Fatal(err)
	}
	d, err := declare.Compile(pour(t, text, materials...), law, style)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

const plain = `pot: [{material: olive-oil, weight: 750 g}, {material: coconut-oil, weight: 250 g}]
lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}}
`

func TestText(t *testing.T) {
	for _, tt := range []struct {
		name, text, market string
		style              market.Style
		want               string
	}{
		{"as cured in the US", plain, "us-soap", market.AsCured,
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil"},
		{"as cured in the EU", plain, "eu", market.AsCured,
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil"},
		{"as made in the US", plain, "us-soap", market.AsMade,
			"Olea Europaea (Olive) Fruit Oil, Water, Cocos Nucifera (Coconut) Oil, Sodium Hydroxide"},
		{"as made in the EU", plain, "eu", market.AsMade,
			"Olea Europaea Fruit Oil, Aqua, Cocos Nucifera Oil, Sodium Hydroxide"},
		{"no oil left over, and no unsaponifiable matter known", `pot: [{material: lauric-acid, weight: 500 g}]
lye: {alkali: sodium hydroxide, purity: 100%, superfat: 0%, water: {strength: 33%}}
`, "eu", market.AsCured, "Sodium Laurate, Aqua"},
		{"two oils with one soap name become one ingredient", `pot: [{material: coconut-oil, weight: 450 g}, {material: olive-oil, weight: 300 g}, {material: olive-pomace-oil, weight: 250 g}]
lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}}
`, "eu", market.AsCured, "Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Cocos Nucifera Oil, Olea Europaea Fruit Oil, Olea Europaea Husk Oil"},
		{"glycerin that is added joins that which is formed", plain + "add: [{material: glycerin, weight: 300 g}]\n", "eu", market.AsCured,
			"Sodium Olivate, Glycerin, Sodium Cocoate, Aqua, Olea Europaea Fruit Oil, Cocos Nucifera Oil"},
		{"potassium", strings.ReplaceAll(plain, "sodium", "potassium"), "eu", market.AsCured,
			"Potassium Olivate, Potassium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Cocos Nucifera Oil"},
		{"colourants last, whatever their weight", plain + "add: [{material: titanium-dioxide, weight: 40 g}, {material: kaolin, weight: 20 g}, {material: iron-oxide-red, weight: 1 g}]\n", "eu", market.AsCured,
			"Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Kaolin, Cocos Nucifera Oil, CI 77891, CI 77491"},
		{"colourants of one US name are one ingredient", plain + "add: [{material: iron-oxide-black, weight: 1 g}, {material: iron-oxide-red, weight: 1 g}]\n", "us-soap", market.AsCured,
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Iron Oxides"},
		{"an essential oil has its name in the US", plain + "add: [{material: lavender-oil, weight: 30 g}]\n", "us-soap", market.AsCured,
			"Sodium Olivate, Sodium Cocoate, Water, Glycerin, Olea Europaea (Olive) Fruit Oil, Lavandula Angustifolia (Lavender) Oil, Cocos Nucifera (Coconut) Oil"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := compile(t, tt.text, tt.market, "2026-11-25", tt.style)
			if diff := cmp.Diff(tt.want, d.Text); diff != "" {
				t.Errorf("want − got +:\n%s", diff)
			}
		})
	}
}

// An ingredient of just 1 % is in the zone without an order in the US (21 CFR
// 701.3(f): "at or below") and in order in the EU ("below"). The style as made is
// exact: 700 + 100 + 190 + 10 g.
func TestTheLineOfOnePerCent(t *testing.T) {
	const text = `pot: [{material: olive-oil, weight: 700 g}]
lye: {alkali: sodium hydroxide, purity: 100%, weight: 85 g, water: {weight: 205 g}}
add: [{material: kaolin, weight: 10 g}]
`
	for marketID, want := range map[string]declare.Zone{"us-soap": declare.AnyOrder, "eu": declare.Ordered} {
		d := compile(t, text, marketID, "2026-11-25", market.AsMade)
		last := d.Ingredients[len(d.Ingredients)-1]
		if last.Name != "Kaolin" || last.Zone != want || last.Share.Nominal != 1 {
			t.Errorf("%s: %s of %v %% is in the zone %s, want %s", marketID, last.Name, last.Share.Nominal, last.Zone, want)
		}
	}
}

// Ingredients of equal weight keep the order of the formula.
func TestTies(t *testing.T) {
	const text = `pot: [{material: olive-oil, weight: 700 g}]
lye: {alkali: sodium hydroxide, purity: 100%, weight: 85 g, water: {weight: 205 g}}
add: [{material: oat-flour, weight: 20 g}, {material: kaolin, weight: 20 g}, {material: bentonite, weight: 20 g}]
`
	d := compile(t, text, "eu", "2026-11-25", market.AsMade)
	if got := strings.Join(d.Names()[3:], ", "); got != "Avena Sativa Kernel Flour, Kaolin, Bentonite" {
		t.Errorf("got %s", got)
	}
	for _, in := range d.Ingredients[3:] {
		if in.Rank != (declare.Rank{Earliest: 4, Latest: 6}) {
			t.Errorf("%s can stand at %v, want 4 to 6", in.Name, in.Rank)
		}
	}
}

const scent = `name: Scent
kind: fragrance
allergens: {Linalool: 4.2%, Linalyl acetate: 3%, Geraniol: 0.2%}
`

// Regulation (EU) 2023/1545: goods placed on the market from 1 August 2026 name
// the longer list.
func TestAllergensByDate(t *testing.T) {
	const text = plain + "add: [{material: scent, share: 3%}]\n"
	for _, tt := range []struct {
		market, on string
		want       []string
	}{
		{"eu", "2026-07-31", []string{"Linalool"}},
		{"eu", "2026-08-01", []string{"Linalool", "Linalyl Acetate"}},
		{"us-soap", "2026-08-01", nil},
	} {
		d := compile(t, text, tt.market, tt.on, market.AsCured, "scent", scent)
		var printed []string
		for _, a := range d.Allergens {
			if a.Printed {
				printed = append(printed, a.Name)
			}
			if a.Printed != slices.Contains(d.Names(), a.Name) {
				t.Errorf("%s on %s: %s printed %v, list %s", tt.market, tt.on, a.Name, a.Printed, d.Text)
			}
		}
		if !slices.Equal(printed, tt.want) {
			t.Errorf("%s on %s: printed %v, want %v", tt.market, tt.on, printed, tt.want)
		}
	}
}

// The threshold is 0.01 % of the driest bar allowed, and "more than" is strict.
// The share of the bar is worked out here from the totals alone.
func TestAllergenThreshold(t *testing.T) {
	// 750 g at 190 and 250 g at 256.5 mg KOH/g bind 3.68281 mol; 95 % of that is
	// 139.935 g of sodium hydroxide. With 30 g of scent 1169.935 g are dry, and no
	// bar is drier than 2 %: 1193.812 g. Of the scent 0.39794 % is the threshold.
	for share, want := range map[string]bool{"0.3979%": false, "0.3980%": true} {
		material := fmt.Sprintf("name: Scent\nkind: fragrance\nallergens: {Linalool: %s}\n", share)
		d := compile(t, plain+"add: [{material: scent, weight: 30 g}]\n", "eu", "2026-11-25", market.AsCured, "scent", material)
		if len(d.Allergens) != 1 || d.Allergens[0].Printed != want {
			t.Errorf("%s of the scent: %+v, want printed %v", share, d.Allergens, want)
		}
	}
}

// An allergen that is stated as a range is in order only where all of the range
// keeps it there.
func TestAllergenAsARange(t *testing.T) {
	const material = "name: Scent\nkind: fragrance\nallergens: {Linalool: 0.1-60%}\n"
	d := compile(t, plain+"add: [{material: scent, share: 3%}]\n", "eu", "2026-11-25", market.AsCured, "scent", material)
	for _, in := range d.Ingredients {
		if in.Name == "Linalool" && (in.Zone != declare.Ordered || in.Share.Low > 0.003 || in.Share.High < 1.4) {
			t.Errorf("a range on both sides of 1 %% gives %+v", in)
		}
	}
	if !slices.Contains(d.Names(), "Linalool") {
		t.Errorf("it is not printed: %s", d.Text)
	}
}

// Each pair carries its verdict, each open one a witness, and the ranks agree
// with the verdicts.
func TestCertainty(t *testing.T) {
	d := compile(t, plain+"add: [{material: kaolin, weight: 4 g}]\n", "eu", "2026-11-25", market.AsCured)
	want := map[string]declare.Order{
		"Sodium Olivate": declare.Certain, "Sodium Cocoate": declare.CouldSwap, "Aqua": declare.CouldSwap,
		"Glycerin": declare.Certain, "Olea Europaea Fruit Oil": declare.Certain, "Cocos Nucifera Oil": declare.Certain,
	}
	for i, in := range d.Ingredients {
		if i == len(d.Ingredients)-1 {
			if in.Next != nil {
				t.Errorf("the last ingredient has the verdict %s", *in.Next)
			}
			continue
		}
		if *in.Next != want[in.Name] {
			t.Errorf("%s: %s, want %s", in.Name, *in.Next, want[in.Name])
		}
		if open := *in.Next == declare.CouldSwap; open != (in.Witness != "") || open != (in.SettledBy != "") {
			t.Errorf("%s: verdict %s with witness %q, settled by %q", in.Name, *in.Next, in.Witness, in.SettledBy)
		}
		if in.Rank.Earliest > i+1 || in.Rank.Latest < i+1 {
			t.Errorf("%s stands at %d, outside %v", in.Name, i+1, in.Rank)
		}
		if in.Share.Low > in.Share.Nominal || in.Share.Nominal > in.Share.High {
			t.Errorf("%s: shares %v do not rise", in.Name, in.Share)
		}
	}
}

// The order by the weights as poured is another one, since all water is there.
func TestOrderWhenAdded(t *testing.T) {
	warned := func(marketID string) bool {
		d := compile(t, plain, marketID, "2026-11-25", market.AsCured)
		return slices.ContainsFunc(d.Findings, func(f finding.Finding) bool {
			return f.Rule == declare.RuleAdded && strings.HasSuffix(f.Message, "would begin Sodium Olivate, Aqua")
		})
	}
	if !warned("eu") || warned("us-soap") {
		t.Errorf("warned in the EU: %v, in the US: %v", warned("eu"), warned("us-soap"))
	}
}

// A name that stands on no list is said to.
func TestNameByAnalogy(t *testing.T) {
	text := strings.Replace(plain, "coconut-oil", "hempseed-oil", 1)
	d := compile(t, text, "us-soap", "2026-11-25", market.AsCured)
	if !slices.ContainsFunc(d.Findings, func(f finding.Finding) bool {
		return f.Rule == declare.RuleAnalogy && f.Level == finding.Warn && f.At.Line == 3
	}) {
		t.Errorf("no warning: %+v", d.Findings)
	}
}

// The keys of the JSON form are a contract.
func TestJSON(t *testing.T) {
	d := compile(t, plain+"add: [{material: scent, share: 3%}]\n", "eu", "2026-11-25", market.AsCured, "scent", scent)
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"formula", "market", "on", "style", "text", "ingredients", "allergens", "findings"} {
		if got[key] == nil {
			t.Errorf("no key %q", key)
		}
	}
	first := got["ingredients"].([]any)[0].(map[string]any)
	for _, key := range []string{"name", "share_percent", "rank", "zone", "order_with_next", "from"} {
		if first[key] == nil {
			t.Errorf("no key %q of an ingredient", key)
		}
	}
	if got["on"] != "2026-11-25" || got["style"] != "as-cured" {
		t.Errorf("on %v, style %v", got["on"], got["style"])
	}
}

func BenchmarkDeclaration(b *testing.B) {
	f, _, err := formula.ReadFormula("formulas/test.yaml", []byte("name: Test\nidentity: soap\n"+plain+
		"add: [{material: kaolin, weight: 4 g}, {material: oat-flour, weight: 20 g}, {material: iron-oxide-red, weight: 1 g}, {material: scent, share: 3%}]\n"))
	if err != nil {
		b.Fatal(err)
	}
	m, _, err := formula.ReadMaterial("materials/scent.yaml", []byte(scent))
	if err != nil {
		b.Fatal(err)
	}
	library := formula.NewLibrary([]formula.Material{m})
	law, err := market.On("eu", mustDay(b, "2026-11-25"))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		batter, _ := bar.Pour(f, library)
		if _, err := declare.Compile(batter, law, market.AsCured); err != nil {
			b.Fatal(err)
		}
	}
}
