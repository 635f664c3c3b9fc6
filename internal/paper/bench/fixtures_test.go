package bench_test

import (
	"time"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/paper/bench"
	"saponym/internal/scene"
	"saponym/internal/sheet"
)

// A fataler is a test, a benchmark or a property.
type fataler interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}

func on(t fataler) day.Day {
	t.Helper()
	d, ok := day.Of(2026, time.November, 26)
	if !ok {
		t.Fatal("no such day")
	}
	return d
}

func paper(t fataler, id string) scene.Size {
	t.Helper()
	p, ok := sheet.PaperNamed(id)
	if !ok {
		t.Fatalf("there is no paper %s", id)
	}
	return p.Size
}

// plain is a bar of two oils: 1000 g, 70 parts olive and 30 coconut.
func plain() bench.Sheet {
	return bench.Sheet{
		Formula: "plain-olive", Name: "Plain Olive", Identity: "soap", Maker: "Larch & Lather",
		Process: "cold", Size: "1000 g of oils", Oils: 1000, Total: 1441.2,
		Vessels: []bench.Vessel{
			{Title: "Pot of oils", Tare: "an empty pot", Then: "Melt the coconut oil first, then let all of it cool to 38 °C (100 °F).", Lines: []bench.Line{
				{Name: "Olive oil", Grams: 700}, {Name: "Coconut oil", Grams: 300},
			}},
			{Title: "Lye jug", Tare: "an empty jug of plastic or steel", Lye: true, Then: "Pour the alkali into the water, never the other way round.", Lines: []bench.Line{
				{Name: "Water", Grams: 288.4}, {Name: "Sodium hydroxide, 98 %", Grams: 144.9, Note: "in a dry cup of its own"},
			}},
			{Title: "At trace", Tare: "a small cup", Lines: []bench.Line{{Name: "Lavender oil", Grams: 7.9}}},
		},
		Lye: &bench.LyeJug{Alkali: "sodium hydroxide", Strength: 0.33, RiseLow: 55, RiseHigh: 80, Superfat: 0.05, Least: 0.05, Most: 0.05},
		Steps: []bench.Step{
			{Do: "Make the lye and let it cool.", Temp: "38 °C (100 °F)"},
			{Do: "Pour the lye into the oils through a sieve.", Temp: "38 °C (100 °F)"},
			{Do: "Blend to a light trace.", Note: "short bursts, stirring between them"},
			{Do: "Stir in the lavender oil and pour."},
			{Do: "Cover, and leave it for two days."},
		},
	}
}

// goat is as much as a sheet has to hold: two alkalis, milk, three portions,
// fourteen things to stir in and eight steps.
func goat() bench.Sheet {
	s := bench.Sheet{
		Formula: "three-meadows-goat", Name: "Three Meadows Goat’s Milk & Żubrówka Grass Shaving Soap", Identity: "shaving soap with goat’s milk", Maker: "Tansy Row Soap",
		Process: "cold", Size: "mould slab-a (976 ml, filled to 95 %)", Oils: 1650.5, Total: 2512.7,
		Vessels: []bench.Vessel{
			{Title: "Pot of oils", Tare: "an empty pot", Then: "Melt the hard fats, add the liquid oils and let all of it cool.", Lines: []bench.Line{
				{Name: "Olive oil", Grams: 577.68}, {Name: "Coconut oil, 76 °F", Grams: 412.6}, {Name: "Palm oil, certified", Grams: 330.1, Note: "melted and stirred before weighing"},
				{Name: "Shea butter", Grams: 165}, {Name: "Castor oil", Grams: 115.54}, {Name: "Stearic acid, from palm", Grams: 49.52},
			}},
			{Title: "Lye jug", Tare: "an empty jug of plastic or steel", Lye: true, Then: "Pour the alkali into the water, never the other way round. Set the jug in ice.", Lines: []bench.Line{
				{Name: "Water", Grams: 268.1}, {Name: "Goat’s milk", Grams: 268.1, Note: "frozen in cubes"},
				{Name: "Sodium hydroxide, 98 %", Grams: 182.35}, {Name: "Potassium hydroxide, 90 %", Grams: 61.04, Note: "weighed in a cup of its own"},
			}},
			{Title: "At trace", Tare: "a small cup", Lines: []bench.Line{
				{Name: "Kaolin", Grams: 24.8, Note: "stirred into 50 g of water first"}, {Name: "Sodium lactate, 60 %", Grams: 41.3}, {Name: "Lanolin", Grams: 16.5},
				{Name: "Rosemary leaf extract", Grams: 1.65},
			}},
			{Title: "Portion white", Tare: "a jug for 900 ml", Lines: []bench.Line{{Name: "Titanium dioxide", Grams: 8.4, Note: "stirred into 10 g of sunflower oil first"}, {Name: "Sunflower oil", Grams: 10}, {Name: "Meadow scent", Grams: 24.76}}},
			{Title: "Portion green", Tare: "a jug for 700 ml", Lines: []bench.Line{{Name: "Chromium oxide green", Grams: 3.25}, {Name: "Sunflower oil", Grams: 10}, {Name: "Meadow scent", Grams: 16.51}}},
			{Title: "Portion gold", Tare: "a jug for 400 ml", Lines: []bench.Line{{Name: "Mica “Late Hay”", Grams: 4.1}, {Name: "Meadow scent", Grams: 8.25}}},
			{Title: "On top", Tare: "a dry cup", Lines: []bench.Line{{Name: "Calendula petals", Grams: 2}, {Name: "Sea salt, coarse", Grams: 12}}},
		},
		Lye:         &bench.LyeJug{Alkali: "sodium and potassium hydroxide", Strength: 0.3, RiseLow: 50, RiseHigh: 82, Superfat: 0.045, Least: 0.032, Most: 0.058},
		DivideAfter: 3,
		Portions: []bench.Portion{
			{Name: "white", Share: 0.5, Grams: 1180.2}, {Name: "green", Share: 0.333, Grams: 786}, {Name: "gold", Share: 0.167, Grams: 394.2},
		},
		Steps: []bench.Step{
			{Do: "Make the lye over ice; keep the milk below this.", Temp: "30 °C (86 °F)", Note: "it turns orange and smells of ammonia when it gets hotter"},
			{Do: "Let the oils cool.", Temp: "40 °C (104 °F)"},
			{Do: "Pour the lye into the oils through a sieve.", Temp: "35 °C (95 °F)"},
			{Do: "Blend to a light trace; stir in what stands under At trace."},
			{Do: "Divide the batter and colour each portion."},
			{Do: "Pour white and green in turn from both ends, gold last, in a thin line along the middle.", Note: "the comb goes through once"},
			{Do: "Strew petals and salt on top."},
			{Do: "Leave it uncovered in a cool place, so that the milk does not heat up.", Temp: "18 °C (64 °F)"},
		},
		Findings: []finding.Finding{
			{Level: finding.Warn, Rule: "BAR-PURITY", Message: "the purity of the potassium hydroxide is not stated; 90 % is assumed", Remedy: "ask the supplier for the certificate of the lot"},
			{Level: finding.Note, Rule: "BAR-SIZE", Message: "the mould is filled to 95 %"},
		},
	}
	return s
}

// melt is soap base, melted and poured: nothing is caustic.
func melt() bench.Sheet {
	return bench.Sheet{
		Formula: "amber-cubes", Name: "Amber Cubes", Identity: "glycerin soap", Maker: "Larch & Lather", Size: "600 g in all", Total: 600,
		Vessels: []bench.Vessel{
			{Title: "Double boiler", Tare: "an empty jug", Then: "Melt it slowly, under a lid.", Lines: []bench.Line{{Name: "Clear soap base", Grams: 585.3, Note: "in cubes of 2 cm"}}},
			{Title: "When it is melted", Tare: "a small cup", Lines: []bench.Line{{Name: "Orange oil", Grams: 9}, {Name: "Amber colour, in glycerin", Grams: 5.7}}},
		},
		Steps: []bench.Step{
			{Do: "Take it off the heat.", Temp: "62 °C (144 °F)"}, {Do: "Stir in scent and colour."}, {Do: "Pour, and spray with alcohol.", Temp: "55 °C (131 °F)"},
		},
	}
}
