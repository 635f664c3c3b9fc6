package declare_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/market"
)

// The bar of these tests. At 5 % of oil left over the lye is about 145 g; in the cured
// bar, of some 1360 g with 10 % of water, soap of olive (about 490 g), of coconut (300 g)
// and of tallow (200 g) come before water (about 135 g) and glycerin (110 g). What is
// stirred in follows by its weight: honey 45 g, scent 36 g, then the oils left over
// with 25, 15 and 10 g. All below is under 1 %: of 36 g of scent 3.6 g and 1.8 g are
// allergens above 0.01 %, and 0.07 g is one below; titanium dioxide 4 g, iron oxide 3 g,
// mica 2.5 g.
const (
	manyKinds = `pot: [{material: olive-oil, weight: 500 g}, {material: coconut-oil, weight: 300 g}, {material: beef-tallow, weight: 200 g}]
add: [{material: honey, weight: 45 g}, {material: titanium-dioxide, weight: 4 g}, {material: iron-oxide-red, weight: 3 g}, {material: pearl, weight: 2.5 g}, {material: perfume, weight: 36 g}]
`
	littleWater = manyKinds + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 50%}}\n"
	muchWater   = manyKinds + "lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}}\n"

	// Linalool is on the first list of allergens, Linalyl Acetate on that of Regulation
	// (EU) 2023/1545 only.
	perfume = "name: Perfume\nkind: fragrance\nallergens: {Linalool: 10%, Linalyl acetate: 5%, Geraniol: 0.2%}\n"

	pearl = "name: Pearl\nkind: colourant\ninci: Mica\n"
)

// declared gives the declaration by one law, or by one that serves several, whose ids
// stand with a plus between them.
func declared(t *testing.T, text, markets string) declare.Declaration {
	t.Helper()
	var laws []*market.Law
	for _, id := range strings.Split(markets, "+") {
		law, err := market.On(id, mustDay(t, "2026-11-28"))
		if err != nil {
			t.Fatal(err)
		}
		laws = append(laws, law)
	}
	law := laws[0]
	if len(laws) > 1 {
		var conflicts []market.Conflict
		if law, conflicts = market.Together(laws...); len(conflicts) > 0 {
			t.Fatalf("%s: %+v", markets, conflicts)
		}
	}
	d, err := declare.Compile(pour(t, text, "perfume", perfume, "pearl", pearl), law, market.AsCured)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// One bar in the words of each market, and of several together.
func TestListOfEachMarket(t *testing.T) {
	for _, tt := range []struct{ name, markets, want string }{
		// Regulation (EC) No 1223/2009 Art. 33 and the glossary: Latin names. Annex IV:
		// colourants by CI number; mica is none of them and stays in order. Annex III as
		// amended by Regulation (EU) 2023/1545: both allergens.
		{"European Union", "eu", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Aqua, Glycerin, Mel, Parfum, Olea Europaea Fruit Oil, Cocos Nucifera Oil, Adeps Bovis, " +
			"Linalool, Mica, Linalyl Acetate, CI 77891, CI 77491"},
		// The same as assimilated; no instrument takes over 2023/1545.
		{"Great Britain", "uk", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Aqua, Glycerin, Mel, Parfum, Olea Europaea Fruit Oil, Cocos Nucifera Oil, Adeps Bovis, " +
			"Linalool, Mica, CI 77891, CI 77491"},
		// 21 CFR 701.3(c), from memory: English names, Latin ones with the common name.
		// 21 CFR 73.2250, 73.2496 and 73.2575: iron oxides, mica and titanium dioxide are
		// colour additives, which may follow (701.3(f)(3), from memory). No allergens
		// are asked for yet (21 USC 364e(b)).
		{"cosmetic in the United States", "us-cosmetic", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Water, Glycerin, Honey, Fragrance, " +
			"Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Tallow, Titanium Dioxide, Iron Oxides, Mica"},
		// 16 CFR 502: no list rule for soap; the names buyers know from cosmetics.
		{"soap in the United States", "us-soap", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Water, Glycerin, Honey, Fragrance, " +
			"Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Tallow, Titanium Dioxide, Iron Oxides, Mica"},
		// Cosmetic Regulations s. 21.2(1) and (3), Schedule: INCI names, the scheduled ones
		// in the European form; s. 21.4(3): Parfum; s. 21.4(2): colours last. CI numbers as
		// INCI names of colours: practice, from memory. s. 21.4(5): both allergens for
		// products first sold from 2026-08-01.
		{"Canada", "ca", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Aqua, Glycerin, Mel, Parfum, " +
			"Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Adeps Bovis, Linalool, Mica, Linalyl Acetate, CI 77891, CI 77491"},
		// Consumer Goods (Cosmetics) Information Standard 2020 s. 8: English or INCI names;
		// fragrance by the word, from memory; no allergens.
		{"Australia", "au", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Water, Glycerin, Honey, Fragrance, " +
			"Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Tallow, Mica, CI 77891, CI 77491"},
		// Cosmetic Products Group Standard 2020, labelling (2); whether allergens must be
		// named is open.
		{"New Zealand", "nz", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Water, Glycerin, Honey, Fragrance, " +
			"Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Tallow, Mica, CI 77891, CI 77491"},

		// The longer list of allergens serves both.
		{"both sides of the Channel", "uk+eu", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Aqua, Glycerin, Mel, Parfum, Olea Europaea Fruit Oil, Cocos Nucifera Oil, Adeps Bovis, " +
			"Linalool, Mica, Linalyl Acetate, CI 77891, CI 77491"},
		// Each name holds that of each market. Mica is in order, as the Union wants it; in the
		// United States a colour additive may follow and need not.
		{"both sides of the Atlantic", "eu+us-cosmetic", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Aqua/Water/Eau, Glycerin, Mel (Honey), Parfum (Fragrance), " +
			"Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Adeps Bovis (Tallow), Linalool, Mica, Linalyl Acetate, CI 77891 (Titanium Dioxide), CI 77491 (Iron Oxides)"},
		// Cosmetic Regulations s. 21.2(3): the English name asks for the French one too.
		{"North America", "ca+us-soap", "Sodium Olivate, Sodium Cocoate, Sodium Tallowate, Aqua/Water/Eau, Glycerin, Mel/Honey/Miel, Parfum (Fragrance), " +
			"Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Adeps Bovis/Tallow/Suif, Linalool, Mica, Linalyl Acetate, CI 77891 (Titanium Dioxide), CI 77491 (Iron Oxides)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := declared(t, littleWater, tt.markets).Text; got != tt.want {
				t.Errorf("\n got %s\nwant %s", got, tt.want)
			}
		})
	}
}

// An essential oil goes by the word for perfume in the Union, in Great Britain and in
// Canada (Regulation (EC) No 1223/2009 Art. 19(1)(g); Cosmetic Regulations s. 21.4(3)),
// and elsewhere by its name.
func TestEssentialOilOfEachMarket(t *testing.T) {
	const oil = "Lavandula Angustifolia (Lavender) Oil"
	for _, id := range append(market.IDs(), "au+nz", "ca+us-soap") {
		names := declared(t, twoOils+soda+"add: [{material: lavender-oil, weight: 30 g}]\n", id).Names()
		byName := !slices.Contains([]string{"eu", "uk", "ca", "ca+us-soap"}, id)
		if slices.Contains(names, oil) != byName {
			t.Errorf("%s: %s", id, names)
		}
		perfumed := slices.Contains(names, "Parfum") || slices.Contains(names, "Parfum (Fragrance)")
		if perfumed == byName {
			t.Errorf("%s: %s", id, names)
		}
	}
}

// The order by the weights when added, with the water that was poured, beside that of
// the cured bar. In the bar of 33 % lye the water comes before the soap of tallow when
// it is added (about 290 g), and after it in the cured bar; in that of 50 % (145 g) the
// order is one.
func TestOrderOfEachMarket(t *testing.T) {
	const (
		added    = declare.RuleAdded
		conflict = declare.RuleConflict
	)
	for _, tt := range []struct {
		markets, rule, words string // "" where nothing is said
		level                finding.Level
	}{
		{"eu", added, "orders by the weight when added", finding.Warn}, // Art. 19(1)(g): "at the time they are added"
		{"uk", added, "orders by the weight when added", finding.Warn},
		{"us-cosmetic", added, "does not say when", finding.Warn}, // 21 CFR 701.3(a): "predominance"
		{"au", added, "does not say when", finding.Warn},          // Information Standard 2020 s. 8: "volume or mass"
		{"nz", added, "does not say when", finding.Warn},          // Group Standard, labelling (2): "volume or mass"
		{"ca", "", "", 0}, // Cosmetic Regulations s. 21.4(1): the concentration in the cosmetic
		{"us-soap", "", "", 0},
		{"ca+us-soap", "", "", 0},
		{"ca+us-cosmetic", added, "does not say when", finding.Warn},
		{"eu+us-soap", added, "orders by the weight when added", finding.Warn},
		{"eu+ca", conflict, "and another by that in the bar", finding.Stop},
		{"us-soap+ca+uk", conflict, "and another by that in the bar", finding.Stop},
	} {
		said := func(text string) (found []finding.Finding) {
			for _, f := range declared(t, text, tt.markets).Findings {
				if f.Rule == added || f.Rule == conflict {
					found = append(found, f)
				}
			}
			return found
		}
		if got := said(littleWater); got != nil {
			t.Errorf("%s: the order is one, and it says %+v", tt.markets, got)
		}
		got := said(muchWater)
		if tt.rule == "" {
			if got != nil {
				t.Errorf("%s: says %+v", tt.markets, got)
			}
			continue
		}
		if len(got) != 1 || got[0].Rule != tt.rule || got[0].Level != tt.level || got[0].Remedy == "" || got[0].Market != tt.markets ||
			!strings.Contains(got[0].Message, tt.words) || !strings.HasSuffix(got[0].Message, "would begin Sodium Olivate, Sodium Cocoate, Aqua") &&
			!strings.HasSuffix(got[0].Message, ", Water") && !strings.HasSuffix(got[0].Message, ", Aqua/Water/Eau") {
			t.Errorf("%s: want %s %q, got %+v", tt.markets, tt.rule, tt.words, got)
		}
	}
}

// The line of 1 % is the strictest of those that a list serves: an ingredient of just
// 1 % stays in order where one of the laws says "below" (Art. 19(1)(g), from memory).
func TestTheLineOfSeveral(t *testing.T) {
	const text = `pot: [{material: olive-oil, weight: 700 g}]
lye: {alkali: sodium hydroxide, purity: 100%, weight: 85 g, water: {weight: 205 g}}
add: [{material: kaolin, weight: 10 g}]
`
	for ids, want := range map[string]declare.Zone{"us-soap+us-soap": declare.AnyOrder, "us-soap+au": declare.Ordered, "au+us-cosmetic": declare.Ordered} {
		var laws []*market.Law
		for _, id := range strings.Split(ids, "+") {
			law, err := market.On(id, mustDay(t, "2026-11-28"))
			if err != nil {
				t.Fatal(err)
			}
			laws = append(laws, law)
		}
		law, _ := market.Together(laws...)
		d, err := declare.Compile(pour(t, text), law, market.AsMade)
		if err != nil {
			t.Fatal(err)
		}
		if last := d.Ingredients[len(d.Ingredients)-1]; last.Name != "Kaolin" || last.Zone != want {
			t.Errorf("%s: %s is in the zone %s, want %s", ids, last.Name, last.Zone, want)
		}
	}
}

// Canadian law lists what is in the cosmetic (Cosmetic Regulations s. 2(1), 21.2), so a
// list of what went into the pot is none there; elsewhere both are taken.
func TestStyleOfTheLaw(t *testing.T) {
	for _, id := range market.IDs() {
		for _, style := range []market.Style{market.AsCured, market.AsMade} {
			found := said(compile(t, plain, id, longList, style), declare.RuleStyle)
			if wrong := id == "ca" && style == market.AsMade; wrong != (len(found) == 1 && found[0].Level == finding.Stop && found[0].Remedy == "use --style as-cured") {
				t.Errorf("%s, %s: %+v", id, style, found)
			}
		}
	}
}
