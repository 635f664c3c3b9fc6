package market_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/inci"
	"saponym/internal/day"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// together joins the laws of ids that stand with a plus between them.
func together(t testing.TB, ids string) (*market.Law, []market.Conflict) {
	t.Helper()
	var laws []*market.Law
	for _, id := range strings.Split(ids, "+") {
		laws = append(laws, on(t, id, today))
	}
	return market.Together(laws...)
}

// pairs gives each two markets that one label can serve, in both orders.
func pairs(t testing.TB) []string {
	t.Helper()
	var all []string
	for _, a := range market.IDs() {
		for _, b := range market.IDs() {
			if _, conflicts := together(t, a+"+"+b); a != b && len(conflicts) == 0 {
				all = append(all, a+"+"+b)
			}
		}
	}
	return all
}

// A bar of soap in the United States is a cosmetic or it is none (21 CFR 701.20). All
// other markets can be served by one label, as far as the words go.
func TestConflicts(t *testing.T) {
	if got := len(pairs(t)); got != 7*6-2 {
		t.Errorf("%d pairs go together, want all but that of one place", got)
	}
	for _, tt := range []struct {
		ids  string
		want []string
	}{
		{"us-soap+us-cosmetic", []string{"us-soap us-cosmetic"}},
		{"us-cosmetic+us-soap", []string{"us-cosmetic us-soap"}},
		{"eu+us-soap+us-cosmetic", []string{"us-soap us-cosmetic"}},
		{"us-soap+eu+ca+us-cosmetic+uk", []string{"us-soap us-cosmetic"}},
		{"eu+uk+ca+us-cosmetic+au+nz", nil},
	} {
		_, conflicts := together(t, tt.ids)
		var got []string
		for _, c := range conflicts {
			got = append(got, strings.Join(c.Markets, " "))
			if c.What != "class" || !strings.Contains(c.Why, "soap") || !strings.Contains(c.Why, "cosmetic") {
				t.Errorf("%s: %+v", tt.ids, c)
			}
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: conflicts between %q, want %q", tt.ids, got, tt.want)
		}
	}
}

// The words of the list that serve several markets.
func TestSharedWords(t *testing.T) {
	const (
		// Canada, Cosmetic Regulations s. 21.2(3): the European name, or English and
		// French, or all three; 21 CFR 701.3(c), from memory: English.
		allWater = "Aqua/Water/Eau"
		// Canada, s. 21.4(3) and Schedule: Parfum, and Fragrance not by itself; 21 CFR
		// 701.3(a): fragrance. That one stands in brackets is common practice, from memory.
		scent = "Parfum (Fragrance)"
		// Regulation (EC) No 1223/2009 Art. 19(1)(g): the word "ingredients" as such.
		twice = "Ingredients / Ingrédients"
	)
	for _, tt := range []struct{ ids, heading, water, perfume string }{
		{"eu+uk", "Ingredients", "Aqua", "Parfum"},
		{"au+nz", "Ingredients", "Water", "Fragrance"},
		{"us-soap+au", "Ingredients", "Water", "Fragrance"},
		{"eu+us-cosmetic", "Ingredients", allWater, scent},
		{"us-soap+uk", "Ingredients", allWater, scent},
		{"nz+eu", "Ingredients", allWater, scent},
		{"eu+ca", twice, "Aqua", "Parfum"},
		{"ca+us-soap", twice, allWater, scent},
		{"au+ca", twice, allWater, scent},
		{"eu+uk+ca+us-cosmetic+au+nz", twice, allWater, scent},
	} {
		law, _ := together(t, tt.ids)
		if got := law.List; got.Heading != tt.heading || got.Water != tt.water || got.Perfume != tt.perfume {
			t.Errorf("%s: %q, %q, %q; want %q, %q, %q", tt.ids, got.Heading, got.Water, got.Perfume, tt.heading, tt.water, tt.perfume)
		}
	}
}

// By which weight a list for several laws is ordered. What one of them leaves open stays
// open. What no law asks for binds no order.
func TestSharedOrder(t *testing.T) {
	for ids, want := range map[string]market.OrderedBy{
		"eu+uk":          market.WhenAdded, // Regulation (EC) No 1223/2009 Art. 19(1)(g), in both
		"eu+us-soap":     market.WhenAdded, // 15 USC 1454(c)(3): no list is asked for
		"us-soap+uk":     market.WhenAdded,
		"eu+ca":          market.Both, // Cosmetic Regulations s. 21.4(1): concentration in the cosmetic
		"ca+us-soap":     market.InTheBar,
		"ca+us-cosmetic": market.NotSaid, // 21 CFR 701.3(a): predominance
		"au+nz":          market.NotSaid, // Information Standard 2020 s. 8; Group Standard, labelling (2)
		"us-soap+nz":     market.NotSaid,
		"eu+au":          market.WhenAdded,
		"eu+ca+nz":       market.Both,
	} {
		if law, _ := together(t, ids); law.List.OrderedBy != want {
			t.Errorf("%s: %s, want %s", ids, law.List.OrderedBy, want)
		}
	}
}

// Names that serve several markets: where the American name is the European one with a
// gloss it is good in both. Of the Canadian schedule (Cosmetic Regulations, s. 21.2(3))
// an English name asks for the French one beside it.
func TestSharedNames(t *testing.T) {
	for _, tt := range []struct{ ids, id, want string }{
		{"eu+us-soap", "coconut-oil", "Cocos Nucifera (Coconut) Oil"},
		{"eu+ca", "coconut-oil", "Cocos Nucifera (Coconut) Oil"}, // not in the schedule: Canada goes by the INCI name
		{"eu+uk", "coconut-oil", "Cocos Nucifera Oil"},
		{"au+us-soap", "coconut-oil", "Cocos Nucifera (Coconut) Oil"},
		{"eu+us-soap", "beef-tallow", "Adeps Bovis (Tallow)"},
		{"eu+ca", "beef-tallow", "Adeps Bovis"},
		{"ca+us-soap", "beef-tallow", "Adeps Bovis/Tallow/Suif"},
		{"us-cosmetic+ca", "honey", "Mel/Honey/Miel"},
		{"eu+ca+us-soap", "honey", "Mel/Honey/Miel"},
		{"us-soap+us-soap", "honey", "Honey"},
		{"eu+us-soap", "goat-milk", "Caprae Lac (Goat Milk)"},
		{"eu+us-soap", "kaolin", "Kaolin"},
	} {
		law, _ := together(t, tt.ids)
		if got := law.List.Name(spoken(t, tt.id)); got != tt.want {
			t.Errorf("%s: %s is %q, want %q", tt.ids, tt.id, got, tt.want)
		}
	}
}

// spoken gives what a substance is called.
func spoken(t testing.TB, id string) market.Spoken {
	t.Helper()
	s, ok := inci.ByID(id)
	if !ok {
		t.Fatalf("there is no %s", id)
	}
	return spokenOf(s)
}

func spokenOf(s inci.Substance) market.Spoken {
	return market.Spoken{US: s.US.Text, EU: s.EU.Text, French: s.French.Text}
}

// Colourants by their names on each list: "CI 77491 (Iron Oxides)". One that a law does
// not list goes there by its name as an ingredient, and then it stands in order.
func TestSharedColours(t *testing.T) {
	for _, tt := range []struct {
		ids, id, want string
		listed        bool
	}{
		{"eu+us-soap", "iron-oxide-red", "CI 77491 (Iron Oxides)", true}, // Annex IV 135; 21 CFR 73.2250
		{"us-cosmetic+uk", "titanium-dioxide", "CI 77891 (Titanium Dioxide)", true},
		{"eu+ca", "titanium-dioxide", "CI 77891", true},
		{"us-soap+us-soap", "titanium-dioxide", "Titanium Dioxide", true},
		{"eu+us-soap", "mica", "Mica", false}, // 21 CFR 73.2496; no colourant of Annex IV
		{"us-soap+us-soap", "mica", "Mica", true},
		{"eu+us-soap", "kaolin", "CI 77004 (Kaolin)", false}, // Annex IV; no colour additive
		{"ca+eu+us-soap", "kaolin", "CI 77004 (Kaolin)", false},
		{"ca+au", "honey", "Mel/Honey/Miel", false}, // no colourant anywhere
		{"au+ca", "honey", "Mel/Honey/Miel", false},
	} {
		law, _ := together(t, tt.ids)
		if got, listed := law.Colourant(spoken(t, tt.id), tt.id); got != tt.want || listed != tt.listed {
			t.Errorf("%s: %s is %q (%t), want %q (%t)", tt.ids, tt.id, got, listed, tt.want, tt.listed)
		}
	}
	// Only the laws that do not list it want its name as an ingredient.
	law, _ := together(t, "eu+us-soap")
	if got, _ := law.Colourant(market.Spoken{US: "Chalk", EU: "Creta"}, "calcium-carbonate"); got != "CI 77220 (Chalk)" { // Annex IV
		t.Errorf("chalk is %q", got)
	}
}

var gloss = regexp.MustCompile(` \([^)]*\)`)

// A name for two markets holds the name of each, with its gloss or without it.
func TestSharedNamesHoldEach(t *testing.T) {
	holds := func(joint, single string) bool {
		return strings.Contains(joint, single) || gloss.ReplaceAllString(joint, "") == single
	}
	for _, ids := range pairs(t) {
		joint, _ := together(t, ids)
		for s := range inci.All() {
			words := spokenOf(s)
			name := joint.List.Name(words)
			for _, law := range joint.Each() {
				if want := law.List.Name(words); !holds(name, want) {
					t.Errorf("%s: %s is %q, and %q in %s", ids, s.ID, name, want, law.Market)
				}
			}
			if s.Group != inci.GroupColourant {
				continue
			}
			name, listed := joint.Colourant(words, s.ID)
			inAll := true
			for _, law := range joint.Each() {
				want, here := law.Colourant(words, s.ID)
				inAll = inAll && here
				if !holds(name, want) {
					t.Errorf("%s: the colourant %s is %q, and %q in %s", ids, s.ID, name, want, law.Market)
				}
			}
			if listed != inAll {
				t.Errorf("%s: the colourant %s is listed: %t, want %t", ids, s.ID, listed, inAll)
			}
		}
	}
}

// anyLaws draws some laws, each with days of its own.
func anyLaws(t *rapid.T) []*market.Law {
	date := rapid.Custom(func(t *rapid.T) day.Day {
		d, err := day.Parse(rapid.StringMatching(`20(2[0-9]|30)-(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-8])`).Draw(t, "day"))
		if err != nil {
			t.Fatal(err)
		}
		return d
	})
	ids := rapid.SliceOfNDistinct(rapid.SampledFrom(market.IDs()), 2, 4, rapid.ID[string]).Draw(t, "markets")
	var laws []*market.Law
	for _, id := range ids {
		law, err := market.For(id, market.Days{On: date.Draw(t, "on"), Placed: date.Draw(t, "placed"), Product: date.Draw(t, "product")})
		if err != nil {
			t.Fatal(err)
		}
		laws = append(laws, law)
	}
	return laws
}

// A law that serves several asks for no less than any of them.
func TestTogetherAsksForAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		laws := anyLaws(t)
		joint, _ := market.Together(laws...)
		if !slices.Equal(joint.Each(), laws) {
			t.Fatal("it was made of others")
		}
		for _, law := range laws {
			asksOfList(t, joint, law)
			for _, want := range law.Statements {
				i := slices.IndexFunc(joint.Statements, func(s market.Statement) bool {
					return s.Duty == want.Duty && (want.Duty != "responsible-person" || s.ID == want.ID)
				})
				if i < 0 {
					t.Fatalf("%s: no %s of %s", joint.Market, want.Duty, law.Market)
				}
				asksOfStatement(t, joint.Statements[i], want)
			}
			for _, want := range law.Substances {
				if !slices.ContainsFunc(joint.Substances, func(s market.Substances) bool { return s.ID == want.ID && s.Market == law.Market }) {
					t.Errorf("%s: no %s", joint.Market, want.ID)
				}
			}
			for _, want := range law.Gatekeepers {
				if !slices.ContainsFunc(joint.Gatekeepers, func(g market.Gatekeeper) bool { return g.ID == want.ID && g.Market == law.Market }) {
					t.Errorf("%s: no %s", joint.Market, want.ID)
				}
			}
		}
	})
}

func asksOfList(t *rapid.T, joint, law *market.Law) {
	got, want := joint.List, law.List
	if want.Required && (!got.Required || got.Level < want.Level) || want.OilsAsPerfume && !got.OilsAsPerfume {
		t.Errorf("%s: list %+v, and %s asks %+v", joint.Market, got, law.Market, want)
	}
	for _, style := range got.Styles {
		if !slices.Contains(want.Styles, style) {
			t.Errorf("%s: takes the style %s, and %s does not", joint.Market, style, law.Market)
		}
	}
	if a, b := joint.AnyOrder, law.AnyOrder; a.Share > b.Share || a.Share == b.Share && a.AtToo && !b.AtToo {
		t.Errorf("%s: no order up to %v (%t), and %s up to %v (%t)", joint.Market, a.Share, a.AtToo, law.Market, b.Share, b.AtToo)
	}
	if joint.ColourantsLast != nil && law.ColourantsLast == nil {
		t.Errorf("%s: colourants last, and not so in %s", joint.Market, law.Market)
	}
	for _, language := range law.Languages {
		if !slices.Contains(joint.Languages, language) {
			t.Errorf("%s: not in %s", joint.Market, language)
		}
	}
	if law.SoapShare != nil && joint.SoapShare == nil {
		t.Errorf("%s: nothing of the share of soap", joint.Market)
	}
	if law.Allergens == nil {
		return
	}
	if joint.Allergens == nil || joint.Allergens.Open() && !law.Allergens.Open() {
		t.Fatalf("%s: no allergens, and %s names %d", joint.Market, law.Market, len(law.Allergens.Named))
	}
	if !law.Allergens.Open() && joint.Allergens.Threshold > law.Allergens.Threshold {
		t.Errorf("%s: allergens above %v, and %s above %v", joint.Market, joint.Allergens.Threshold, law.Market, law.Allergens.Threshold)
	}
	for _, a := range law.Allergens.Named {
		if !joint.Allergens.Names(a) {
			t.Errorf("%s: %s is not named, and in %s it is", joint.Market, a.Label, law.Market)
		}
	}
}

func asksOfStatement(t *rapid.T, got, want market.Statement) {
	place := []string{"any", "information", "principal"}
	switch {
	case want.Required && (!got.Required || got.Level < want.Level),
		want.Bold && !got.Bold,
		!strings.Contains("+"+got.Market+"+", "+"+want.Market+"+"), !strings.Contains(got.Cite, want.Cite),
		slices.Index(place, got.Panel) < slices.Index(place, want.Panel),
		got.ClearHeights < want.ClearHeights, got.ClearWidthsN < want.ClearWidthsN, got.ClearAround < want.ClearAround,
		want.LowestPart > 0 && (got.LowestPart == 0 || got.LowestPart > want.LowestPart || got.UnlessPanelTo > want.UnlessPanelTo),
		want.DatedUpTo > 0 && (got.DatedUpTo == 0 || got.DatedUpTo > want.DatedUpTo),
		want.Required && got.ByAddress && !want.ByAddress,
		slices.ContainsFunc(want.Languages, func(l string) bool { return !slices.Contains(got.Languages, l) }),
		len(got.Exemptions) > 0 && got.Market != want.Market:
		t.Errorf("%s of %s: %+v, and %s asks %+v", got.Duty, got.Market, got, want.Market, want)
	}
	for _, country := range []string{"", "USA", "Canada", "France", "UK"} {
		if want.AskedOf(country) && !got.AskedOf(country) {
			t.Errorf("%s is not asked of goods made in %q, and in %s it is", got.Duty, country, want.Market)
		}
	}
	area := measure.Area(rapid.Int64Range(1, int64(600*measure.SquareInch)).Draw(t, "area"))
	mass := measure.Mass(rapid.Int64Range(1, 2_000_000_000_000).Draw(t, "nanograms"))
	side := measure.Length(rapid.Int64Range(1, 500_000_000).Draw(t, "nanometres"))
	if a, b := least(got.Letters, area, mass, side), least(want.Letters, area, mass, side); a < b {
		t.Errorf("%s of %s: letters of %v, and %s asks for %v", got.Duty, got.Market, a, want.Market, b)
	}
	if l := got.Letters.Measured; l != want.Letters.Measured && l != "small letter" && want.Letters.Measured != "" {
		t.Errorf("%s of %s: measured at the %s, and %s measures the %s", got.Duty, got.Market, l, want.Market, want.Letters.Measured)
	}
}

// least gives the height of letters that steps ask for.
func least(l market.Letters, area measure.Area, mass measure.Mass, side measure.Length) (high measure.Length) {
	for _, s := range l.ByArea {
		if area > s.Over {
			high = max(high, s.Min)
		}
	}
	for _, s := range l.ByQuantity {
		if mass > s.Over {
			high = max(high, s.Min)
		}
	}
	for _, s := range l.ByDimension {
		if side > s.Over {
			high = max(high, s.Min)
		}
	}
	return high
}

// The net weight for Canada and the United States: customary units beside metric ones (16
// CFR 500.6), in boldface in both (16 CFR 500.20; CPLR s. 14), and the higher of the two
// heights on each side of each step (16 CFR 500.21; CPLR s. 14(2)).
func TestSharedNetWeight(t *testing.T) {
	law, _ := together(t, "ca+us-soap")
	s, _ := law.Statement("net-quantity")
	if s.Form != "us dual" || !s.Bold || s.Market != "ca+us-soap" {
		t.Errorf("%+v", s)
	}
	inch := measure.Length(25_400_000)
	for _, tt := range []struct {
		area measure.Area
		want measure.Length
	}{
		{4 * measure.SquareInch, inch / 16},               // 25.8 cm²: 1/16 in, in Canada 1.6 mm
		{32*100*measure.SquareMillimetre + 1, inch / 8},   // 3.2 mm in Canada, and 1/16 in up to 5 sq in
		{25 * measure.SquareInch, inch / 8},               // 161 cm²
		{25*measure.SquareInch + 1, inch * 3 / 16},        // over 25 sq in 3/16 in, and 3.2 mm in Canada
		{258*100*measure.SquareMillimetre + 1, 6_400_000}, // in Canada 6.4 mm, and 3/16 in up to 100 sq in
		{645*100*measure.SquareMillimetre + 1, 9_500_000}, // in Canada 9.5 mm, and 1/4 in up to 400 sq in
		{2580*100*measure.SquareMillimetre + 1, inch / 2}, // 1/2 in and 12.7 mm are the same
	} {
		if got := least(s.Letters, tt.area, 1, 1); got < tt.want || got > tt.want+100_000 {
			t.Errorf("%.1f cm²: %.4f mm, want %.4f", tt.area.SquareMillimetres()/100, got.Millimetres(), tt.want.Millimetres())
		}
	}
}

// The weight of a label for the Union and the United States stands in the lowest 30 % of a
// panel of more than 5 square inches (16 CFR 500.20). The Union says nothing of it, so the
// small panel stays free of it.
func TestSharedLowestPart(t *testing.T) {
	for _, ids := range []string{"eu+us-soap", "us-soap+eu", "us-cosmetic+us-soap", "us-soap+eu+uk"} {
		law, _ := together(t, ids)
		if s, _ := law.Statement("net-quantity"); s.LowestPart.Percent() != 30 || s.UnlessPanelTo != 5*measure.SquareInch {
			t.Errorf("%s: the lowest %g %%, unless the panel is of at most %g mm²", ids, s.LowestPart.Percent(), s.UnlessPanelTo.SquareMillimetres())
		}
	}
}

// In some figures no two of the markets differ. Here one of them is made stricter, and the
// law for both goes by it, whichever is named first.
func TestSharedFigures(t *testing.T) {
	other := on(t, "eu", today)
	one := *on(t, "uk", today)
	one.AnyOrder.Share, one.ColourantsLast = one.AnyOrder.Share/2, nil
	allergens := *one.Allergens
	allergens.Threshold /= 2
	one.Allergens = &allergens
	one.Statements = slices.Clone(one.Statements)
	for i, s := range one.Statements {
		switch s.Duty {
		case "durability":
			one.Statements[i].DatedUpTo = 24
		case "caution":
			one.Statements[i].Required = true
		}
	}
	for _, laws := range [][]*market.Law{{&one, other}, {other, &one}} {
		law, _ := market.Together(laws...)
		durability, _ := law.Statement("durability")
		caution, _ := law.Statement("caution")
		if law.AnyOrder.Share.Percent() != 0.5 || law.ColourantsLast != nil || durability.DatedUpTo != 24 || !caution.Required {
			t.Errorf("%s: no order up to %g %%, colourants last: %t, dates up to %d months, a caution is required: %t",
				law.Market, law.AnyOrder.Share.Percent(), law.ColourantsLast != nil, durability.DatedUpTo, caution.Required)
		}
		if a := law.Allergens; a.Threshold.Percent() != 0.005 || len(a.Named) != len(other.Allergens.Named) {
			t.Errorf("%s: %d allergens above %g %%", law.Market, len(a.Named), a.Threshold.Percent())
		}
	}
}
