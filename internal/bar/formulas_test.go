package bar_test

import (
	"fmt"

	"pgregory.net/rapid"

	"saponym/inci"
	"saponym/internal/formula"
)

// Formulas of every kind, drawn at random, with an account of what is in each thing that
// is kept apart from package bar: molar masses are added up here from the atomic weights
// (CIAAW/IUPAC, Standard Atomic Weights 2021), and what one gram of a thing does in lye
// follows from the definitions of the saponification and acid value (ISO 3657).

// Atomic weights and molar masses, g/mol.
const (
	hydrogen, carbon, nitrogen, oxygen = 1.0080, 12.011, 14.007, 15.999
	sodium, potassium                  = 22.98976928, 39.0983

	waterMass    = 2*hydrogen + oxygen
	glycerolMass = 3*carbon + 8*hydrogen + 3*oxygen
	naohMass     = sodium + oxygen + hydrogen
	kohMass      = potassium + oxygen + hydrogen
	palmiticMass = 16*carbon + 32*hydrogen + 2*oxygen
	oleicMass    = 18*carbon + 34*hydrogen + 2*oxygen

	mgKOH = 1000 * kohMass // mg KOH/g are so many times the moles of a gram
)

// A component is a part of a thing, figures by the gram of it.
type component struct {
	share float64 // of the thing
	kind  string  // "fat", "acid", "water" or "kept", which lye leaves alone

	acids, esters float64 // of a fat: mol of free acids, and of esters that lye reaches
	mean          float64 // g/mol of its fatty acids
	ester         float64 // g/mol of an ester with what it is bound to
	split         float64 // g/mol of glycerol or alcohol that an ester sets free
	glycerol      bool    // what it sets free is glycerol
	otherwise     float64 // g that lye does not reach: unsaponifiable matter, inert esters

	molar, takes, crystal float64 // of an acid: g/mol with crystal water, mol of alkali and of crystal water to a mol

	leaves float64 // of what is kept: the part that is gone in the end
	soap   float64 // of what is kept: the part that is soap already
	na, k  float64 // mol of the metals in it as it goes in
}

// A thing is a material, or own bars, with all that is known of it.
type thing struct {
	id    string
	text  string // its document; "" for one that is built in
	made  []component
	moist bool       // it is declared as it was bought
	damp  [2]float64 // water in it at least and at most, where it is not known; the same else
	batch *formula.Batch
	of    formula.Formula // by which the batch was made
}

// A fat of one kind: s and a in mg KOH/g, u what cannot saponify.
func triglyceride(share, s, a, u float64) component {
	c := component{share: share, kind: "fat", acids: a / mgKOH, esters: (s - a) / mgKOH, glycerol: true, otherwise: u}
	perAcyl := (glycerolMass - 3*waterMass) / 3
	c.mean = (1 - u - perAcyl*c.esters) / (c.acids + c.esters)
	c.ester, c.split = c.mean+perAcyl, glycerolMass/3
	return c
}

func freeAcid(share, s, u float64) component {
	return component{share: share, kind: "fat", acids: s / mgKOH, mean: (1 - u) / (s / mgKOH), otherwise: u}
}

// waxEster has acids of a known mass; reach is the part of its esters that lye splits.
func waxEster(share, s, a, u, mean, reach float64) component {
	c := component{share: share, kind: "fat", acids: a / mgKOH, mean: mean}
	all := (s - a) / mgKOH
	c.ester = (1 - u - c.acids*mean) / all
	c.esters, c.otherwise = reach*all, u+(1-reach)*all*c.ester
	c.split = c.ester + waterMass - mean
	return c
}

func anAcid(share, molar, takes, crystal float64) component {
	return component{share: share, kind: "acid", molar: molar, takes: takes, crystal: crystal}
}

func water(share float64) component { return component{share: share, kind: "water"} }
func kept(share float64) component  { return component{share: share, kind: "kept"} }
func gone(share float64) component  { return component{share: share, kind: "kept", leaves: 1} }

const (
	citricMass      = 6*carbon + 8*hydrogen + 7*oxygen
	lacticMass      = 3*carbon + 6*hydrogen + 3*oxygen
	aceticMass      = 2*carbon + 4*hydrogen + 2*oxygen
	tartaricMass    = 4*carbon + 6*hydrogen + 6*oxygen
	bicarbonateMass = sodium + hydrogen + carbon + 3*oxygen
	edtaMass        = 10*carbon + 14*hydrogen + 2*nitrogen + 2*sodium + 8*oxygen + 2*waterMass
)

// tenths draws a figure with one decimal.
func tenths(t *rapid.T, label string, low, high int) float64 {
	return float64(rapid.IntRange(low*10, high*10).Draw(t, label)) / 10
}

// anOil draws an oil, a fatty acid, a wax or a blend of oils. The figures of lots lie
// within the published ranges, those of the blend partly below them: olive oil 184 to 196 (CXS 33), coconut oil 248 to 265,
// palm oil 190 to 209 (CXS 210), stearic acid 194 to 212, beeswax 87 to 104 with an acid
// value of 17 to 24 (Ph. Eur.); built-in figures are those of package inci.
func anOil(t *rapid.T) thing {
	lot := func(id, name string, low, high int) thing {
		s, a, u := tenths(t, "sap", low, high), tenths(t, "acid value", 0, 12), tenths(t, "unsaponifiable", 0, 3)
		return thing{id: id, text: fmt.Sprintf("name: Lot\nkind: oil\ninci: %s\nsap: %.1f mg KOH/g\nacid_value: %.1f mg KOH/g\nunsaponifiable: %.1f%%\n", name, s, a, u), made: []component{triglyceride(1, s, a, u/100)}}
	}
	const olive, coconut = "Olea Europaea (Olive) Fruit Oil", "Cocos Nucifera (Coconut) Oil"
	builtin := func(id string) (s, u float64) {
		fat, _ := inci.FatByID(id)
		return fat.SAP.Representative, (fat.Unsaponifiable.Low + fat.Unsaponifiable.High) / 200
	}
	switch rapid.IntRange(0, 11).Draw(t, "oil") {
	case 0, 1:
		return lot("mill-olive", olive, 184, 196)
	case 2, 3:
		return lot("lot-coconut", coconut, 248, 265)
	case 4:
		return lot("lot-palm", "Elaeis Guineensis (Palm) Oil", 190, 209)
	case 5:
		s := tenths(t, "sap", 194, 212)
		return thing{id: "lot-stearic", text: fmt.Sprintf("name: Lot\nkind: oil\ninci: Stearic Acid\nsap: %.1f mg KOH/g\n", s), made: []component{freeAcid(1, s, 0)}}
	case 6:
		s, a, u := tenths(t, "sap", 87, 104), tenths(t, "acid value", 17, 24), tenths(t, "unsaponifiable", 0, 15)
		reach := rapid.IntRange(0, 100).Draw(t, "reactivity")
		return thing{id: "lot-wax", text: fmt.Sprintf("name: Lot\nkind: oil\ninci: Beeswax\nsap: %.1f mg KOH/g\nacid_value: %.1f mg KOH/g\nunsaponifiable: %.1f%%\nfatty_acids: {palmitic: 100%%}\nreactivity: %d%%\n", s, a, u, reach),
			made: []component{waxEster(1, s, a, u/100, palmiticMass, float64(reach)/100)}}
	case 7:
		// A built-in wax: what handbooks call unsaponifiable is its alcohol, and the
		// esters take up a water each as they come apart.
		fat, _ := inci.FatByID("jojoba-oil")
		s, a, u := fat.SAP.Representative, (fat.AcidValue.Low+fat.AcidValue.High)/2, (fat.Unsaponifiable.Low+fat.Unsaponifiable.High)/200
		mean := (1 - u + waterMass*(s-a)/mgKOH) / (s / mgKOH)
		return thing{id: "jojoba-oil", made: []component{waxEster(1, s, a, 0, mean, 1)}}
	case 8:
		s, u := builtin("rosin")
		return thing{id: "rosin", made: []component{freeAcid(1, s, u)}}
	case 9:
		palmitic := rapid.IntRange(5, 30).Draw(t, "palmitic")
		mean := 100 / (float64(palmitic)/palmiticMass + float64(100-palmitic)/oleicMass)
		s := mgKOH / (mean + (glycerolMass-3*waterMass)/3)
		return thing{id: "profiled", text: fmt.Sprintf("name: Lot\nkind: oil\ninci: %s\nunsaponifiable: 1%%\nfatty_acids: {palmitic: %d%%, oleic: %d%%}\n", olive, palmitic, 100-palmitic), made: []component{triglyceride(1, 0.99*s, 0, 0.01)}}
	case 10:
		s, a := tenths(t, "sap", 205, 220), tenths(t, "acid value", 0, 6)
		so, uo := builtin("olive-oil")
		sc, uc := builtin("coconut-oil")
		by := s / (0.6*so + 0.4*sc)
		switch least := 0.6*184 + 0.4*248; {
		case s < least: // no part of the ranges is left but their low ends, brought down
			so, sc, by = 184, 248, s/least
		case so*by < 184: // one stands at its low end, and the other makes up the rest
			so, sc, by = 184, (s-0.6*184)/0.4, 1
		case sc*by < 248:
			so, sc, by = (s-0.4*248)/0.6, 248, 1
		}
		return thing{id: "house-blend", text: fmt.Sprintf("name: Blend\nkind: oil blend\nsap: %.1f mg KOH/g\nacid_value: %.1f mg KOH/g\ncontains:\n  - {inci: %s, share: 60%%}\n  - {inci: %s, share: 40%%}\n", s, a, olive, coconut),
			made: []component{triglyceride(0.6, so*by, a, uo), triglyceride(0.4, sc*by, a, uc)}}
	}
	s, u := builtin("castor-oil")
	return thing{id: "castor-oil", made: []component{triglyceride(1, s, 0, u)}}
}

// aLiquid draws a thing that stands in for water.
func aLiquid(t *rapid.T) thing {
	figure := func(f inci.Figure) float64 { return (f.Low + f.High) / 200 }
	switch rapid.IntRange(0, 5).Draw(t, "liquid") {
	case 0, 1:
		w, f := rapid.IntRange(60, 89).Draw(t, "water"), tenths(t, "fat", 0, 10)+0.1
		butter, _ := inci.FatByID("butter")
		return thing{id: "farm-milk", text: fmt.Sprintf("name: Milk\nkind: liquid\ninci: Goat Milk\nwater: %d%%\nfat: %.1f%%\nfat_of: butter\n", w, f), moist: true, made: []component{
			water(float64(w) / 100), triglyceride(f/100, butter.SAP.Representative, 0, figure(butter.Unsaponifiable)), kept(1 - float64(w)/100 - f/100)}}
	case 2:
		w, a := rapid.IntRange(80, 92).Draw(t, "water"), rapid.IntRange(1, 8).Draw(t, "alcohol")
		return thing{id: "ale", text: fmt.Sprintf("name: Ale\nkind: liquid\ninci: Beer\nwater: %d%%\nevaporates: %d%%\n", w, a), moist: true, made: []component{
			water(float64(w) / 100), gone(float64(a) / 100), kept(1 - float64(w+a)/100)}}
	case 3:
		y, _ := inci.ByID("yogurt")
		w, f, a := figure(y.Composition.Water), figure(y.Composition.Fat), figure(y.Composition.Acid)
		butter, _ := inci.FatByID("butter")
		return thing{id: "yogurt", moist: true, made: []component{water(w), triglyceride(f, butter.SAP.Representative, 0, figure(butter.Unsaponifiable)), anAcid(a, lacticMass, 1, 0), kept(1 - w - f - a)}}
	case 4:
		v, _ := inci.ByID("wine")
		w, e, a := figure(v.Composition.Water), figure(v.Composition.Evaporates), figure(v.Composition.Acid)
		return thing{id: "wine", moist: true, made: []component{water(w), gone(e), anAcid(a, tartaricMass, 2, 0), kept(1 - w - e - a)}}
	}
	w := rapid.IntRange(90, 100).Draw(t, "water")
	return thing{id: "aloe", text: fmt.Sprintf("name: Aloe\nkind: liquid\ninci: Aloe Barbadensis Leaf Juice\nwater: %d%%\n", w), moist: true, made: []component{water(float64(w) / 100), kept(1 - float64(w)/100)}}
}

// anAdditive draws what is stirred in and is no oil.
func anAdditive(t *rapid.T, inLye bool) thing {
	plain := func(id string) thing { return thing{id: id, made: []component{kept(1)}} }
	acid := func(id string, molar, takes, crystal float64) thing {
		return thing{id: id, made: []component{anAcid(1, molar, takes, crystal)}}
	}
	n := rapid.IntRange(0, 14).Draw(t, "additive")
	if !inLye && n < 6 {
		n += 6
	}
	switch n {
	case 0:
		return acid("citric-acid", citricMass, 3, 0)
	case 1:
		return acid("citric-acid-monohydrate", citricMass+waterMass, 3, 1)
	case 2:
		return acid("lactic-acid", lacticMass, 1, 0)
	case 3:
		soda := acid("soda", bicarbonateMass, 1, 0)
		soda.text = "name: Soda\nkind: additive\ninci: Sodium Bicarbonate\n"
		soda.made[0].na = 1 / bicarbonateMass
		return soda
	case 4:
		edta := acid("disodium-edta", edtaMass, 2, 2)
		edta.made[0].na = 2 / edtaMass
		return edta
	case 5:
		return thing{id: "vinegar", moist: true, made: []component{water(0.948), anAcid(0.05, aceticMass, 1, 0), kept(0.002)}}
	case 6:
		salt := plain("salt")
		salt.made[0].na = 1 / (sodium + 35.45) // chlorine, from memory; it goes in as it comes out
		return salt
	case 7:
		return thing{id: "water", made: []component{water(1)}}
	case 8:
		return plain("kaolin")
	case 9:
		return plain("glucose")
	case 10:
		return plain("ethanol")
	case 11:
		return thing{id: "honey", moist: true, made: []component{water(0.17), kept(0.83)}}
	case 12:
		return plain("iron-oxide-red")
	case 13:
		return thing{id: "scent", text: "name: Scent\nkind: fragrance\n", made: []component{kept(1)}}
	}
	return plain("lavender-oil")
}

// crumbsOf gives finished soap as a thing, from all that went into it: a tenth of it is
// water, or all the water there was.
func crumbsOf(id, text string, a account) thing {
	share := func(water float64) float64 {
		left := min(a.water, a.dry()*water/(1-water))
		return left / (a.dry() + left)
	}
	left := share(0.10)
	solids := kept(1 - left)
	solids.soap, solids.na, solids.k = a.soap/a.dry(), a.naIn/a.dry(), a.kIn/a.dry()
	return thing{id: id, text: text, made: []component{solids, water(left)}, damp: [2]float64{share(0.02), share(0.20)}}
}

// someCrumbs draws finished soap, listed as it is, listed as it was poured, or own bars.
func someCrumbs(t *rapid.T) thing {
	const olive, coconut = "Olea Europaea (Olive) Fruit Oil", "Cocos Nucifera (Coconut) Oil"
	oil := func(id string) thing {
		fat, _ := inci.FatByID(id)
		return thing{id: id, made: []component{triglyceride(1, fat.SAP.Representative, 0, (fat.Unsaponifiable.Low+fat.Unsaponifiable.High)/200)}}
	}
	switch rapid.IntRange(0, 2).Draw(t, "crumbs") {
	case 0:
		soap, glycerin, left := rapid.IntRange(50, 75).Draw(t, "soap"), rapid.IntRange(1, 10).Draw(t, "glycerin"), rapid.IntRange(0, 5).Draw(t, "oil")
		text := fmt.Sprintf("name: Crumbs\nkind: soap\ncontains:\n  - {inci: Sodium Palmate, share: %d%%}\n  - {inci: Glycerin, share: %d%%}\n  - {inci: %s, share: %d%%}\n  - {inci: Aqua, share: %d%%}\norder: unknown\n", soap, glycerin, coconut, left, 100-soap-glycerin-left)
		solids := kept(float64(soap+glycerin+left) / 100)
		solids.soap = float64(soap) / float64(soap+glycerin+left)
		return thing{id: "crumbs", text: text, made: []component{solids, water(1 - solids.share)}}
	case 1:
		alkali, rest := rapid.IntRange(70, 90).Draw(t, "alkali"), rapid.IntRange(0, 40).Draw(t, "clay")
		metal := rapid.SampledFrom([]string{"Sodium", "Potassium"}).Draw(t, "metal")
		kind := rapid.SampledFrom([]string{"base", "soap"}).Draw(t, "kind")
		text := fmt.Sprintf("name: Pot style\nkind: %s\ncontains:\n  - {inci: %s, share: 50%%}\n  - {inci: %s, share: 20%%}\n  - {inci: %s Hydroxide, share: %d.%d%%}\n  - {inci: Citric Acid, share: 1%%}\n  - {inci: Kaolin, share: %d.%d%%}\n  - {inci: Water, share: %d.%d%%}\norder: unknown\n",
			kind, olive, coconut, metal, alkali/10, alkali%10, rest/10, rest%10, (290-alkali-rest)/10, (290-alkali-rest)%10)
		entries := []entry{{oil("olive-oil"), 500, 0}, {oil("coconut-oil"), 200, 0}, {thing{made: []component{anAcid(1, citricMass, 3, 0)}}, 10, 0},
			{thing{made: []component{kept(1)}}, float64(rest), 0}, {thing{made: []component{water(1)}}, float64(290 - alkali - rest), 0}}
		naoh, koh := float64(alkali)/naohMass, 0.0
		if metal == "Potassium" {
			naoh, koh = 0, float64(alkali)/kohMass
		}
		return crumbsOf("pot-style", text, reckon(entries, naoh, koh))
	}
	// A batch of 1000 g of oils on paper, and of other weights on the scale: what was not
	// weighed, the citric acid, follows the oils; what is a share does as well.
	text := "name: Old\nidentity: soap\npot: [{material: olive-oil, weight: 700 g}, {material: coconut-oil, weight: 300 g}]\n" +
		"lye: {alkali: sodium hydroxide, purity: 97%, superfat: 5%, water: {strength: 33%}}\nadd: [{material: citric-acid, weight: 10 g}, {material: kaolin, share: 2%}]\n"
	olives, coconuts := rapid.IntRange(500, 900).Draw(t, "olive oil"), rapid.IntRange(200, 400).Draw(t, "coconut oil")
	alkali := rapid.IntRange(70, 100).Draw(t, "alkali")
	poured := rapid.IntRange(150, 300).Draw(t, "water")
	oils := float64(olives + coconuts)
	entries := []entry{{oil("olive-oil"), float64(olives), 0}, {oil("coconut-oil"), float64(coconuts), 0}, {thing{made: []component{anAcid(1, citricMass, 3, 0)}}, oils / 100, 0},
		{thing{made: []component{kept(1)}}, 0.02*oils + 0.03*float64(alkali), 0}, {thing{made: []component{water(1)}}, float64(poured), 0}}
	own := crumbsOf("OLD-1", "", reckon(entries, 0.97*float64(alkali)/naohMass, 0))
	own.of, _, _ = formula.ReadFormula("formulas/old.yaml", []byte(text))
	batch, _, _ := formula.ReadBatch("batches/OLD-1.yaml", fmt.Appendf(nil, "code: OLD-1\nformula: old\nmade: 2026-01-02\nweighed:\n  - {material: olive-oil, weight: %d g}\n  - {material: coconut-oil, weight: %d g}\n  - {material: sodium hydroxide, weight: %d g}\n  - {material: water, weight: %d g}\n", olives, coconuts, alkali, poured))
	own.batch = &batch
	return own
}
