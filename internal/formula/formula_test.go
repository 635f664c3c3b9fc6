package formula_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// shopFormula reads a formula of the shop in testdata.
func shopFormula(t *testing.T, id string) formula.Formula {
	t.Helper()
	file := "formulas/" + id + ".yaml"
	f, _, err := formula.ReadFormula(file, shopFile(t, file))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func shopFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "shop", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// same compares one figure of a document with what it says.
func same[T comparable](t *testing.T, name string, got, want T) {
	t.Helper()
	if got != want {
		t.Errorf("%s: got %v, want %v", name, got, want)
	}
}

func TestReadFormula(t *testing.T) {
	f := shopFormula(t, "hearth-husk")
	same(t, "id", f.ID, "hearth-husk")
	same(t, "name", f.Name.V, "Hearth & Husk")
	same(t, "place of the identity", f.Identity.At.String(), "formulas/hearth-husk.yaml:2:11")
	same(t, "oils", f.Size.Oils.V, 940*measure.Gram)
	same(t, "lines in the pot", len(f.Pot), 2)
	same(t, "castor oil", f.Pot[1].Share.V, 20*measure.Percent)
	same(t, "alkali", f.Lye.Alkalis[0].Name.V, "sodium hydroxide")
	same(t, "purity", f.Lye.Alkalis[0].Purity.V, measure.ShareRange{Low: 98 * measure.Percent, High: 98 * measure.Percent})
	same(t, "superfat", f.Lye.Superfat.V, 5*measure.Percent)
	same(t, "strength", f.Lye.Water.Strength.V, 33*measure.Percent)
	same(t, "milk", f.Lye.Liquids[0].Into.V+" "+f.Lye.Liquids[0].State.V, "oils frozen")
	same(t, "second portion", f.Portions[1].Name.V, "blue")
	same(t, "additions", len(f.Add), 6)
	same(t, "own bars as crumbs", f.Add[2].Batch.V, "26200-01-Y")
	same(t, "carrier", f.Add[4].With[0].Weight.V, 10*measure.Gram)
	same(t, "what stays is given", f.Add[5].Stays.Given(), true)
	same(t, "temperature", f.Steps[0].Temp.V, 32)
	same(t, "cuts", f.Cuts[0].Name.V+" "+f.Cuts[1].Name.V, "bar guest")
	same(t, "length", f.Cuts[0].Length.V, 85*measure.Millimetre)
	same(t, "claim as typed", f.Cuts[1].Claim.V.String(), "1.5 oz")
	same(t, "claim", f.Cuts[0].ClaimMass(), 4*measure.Ounce)
	same(t, "open jar", f.Keep.Open.V, 12)
	same(t, "on sale", f.OnSale["ca"].V.String(), "2025-03-01")
	same(t, "evidence", f.Evidence["eu"]["safety_report"].V, "SR-12")
	same(t, "words", f.Words["fr"]["identity"].V, "savon")
	same(t, "words on two lines", f.Words["en"]["listing"].V, "Two lines,\nas on the page.")

	duo := shopFormula(t, "hearth-duo")
	same(t, "of", duo.Lye.Of.V, "weight")
	same(t, "potassium hydroxide", duo.Lye.Alkalis[1].Share.V, 10*measure.Percent)
	same(t, "its carbonate", duo.Lye.Alkalis[1].Carbonate.V, measure.Percent)
	same(t, "ratio", duo.Lye.Ratio.Oils.V, 33*measure.Ounce)
	same(t, "water to lye", duo.Lye.Water.PerLye.V, 2)
	same(t, "pounds and ounces", duo.Pot[1].Weight.V, 20*measure.Ounce)
	same(t, "solution", shopFormula(t, "from-solution").Lye.Solution.V, "lye-50")
	same(t, "base", shopFormula(t, "clear-night").Base[0].Material.V, "clear-base")
}

func TestReadShopAndBatch(t *testing.T) {
	shop, _, err := formula.ReadShop("shop.yaml", shopFile(t, "shop.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	same(t, "maker", shop.Maker.Name.V, "Larch & Lather")
	same(t, "address", shop.Maker.Lines[1].V, "Ashcombe, VT 05000, USA")
	same(t, "made in", shop.Maker.MadeIn.V, "USA")
	same(t, "web", shop.Maker.Contact.Web.V, "https://larch.example")
	same(t, "markets", len(shop.Markets), 2)
	same(t, "responsible person", shop.Responsible["eu"].Name.V, "Fennel Law Ltd")
	same(t, "mould", shop.Moulds["slab-a"].Fill.V, 95*measure.Percent)
	same(t, "mould with a space in its name", shop.Moulds["loaf-b"].Batter.V, 1400*measure.Gram)
	same(t, "scale", shop.Scales["kitchen"].V, 100*measure.Milligram)
	same(t, "offset", shop.Printers["back-room"]["tray-1"].Y.V, -100*measure.Micrometre)
	same(t, "scale of the printer", shop.Printers["back-room"]["tray-1"].ScaleX.V, measure.Whole+measure.Percent/5)
	same(t, "codes", shop.Codes.Check.V, "37,36")

	b, _, err := formula.ReadBatch("batches/2026/26330-01-S.yaml", shopFile(t, "batches/26330-01-S.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	same(t, "code", b.Code.V, "26330-01-S")
	same(t, "parent", b.Parents[0].V, "26200-01-Y")
	same(t, "lot with a nought in front", b.Weighed[1].Lot.V, "0127")
	same(t, "day of the lot", b.Weighed[0].Received.V.String(), "2026-10-30")
	same(t, "day of the lot is not given", b.Weighed[1].Received.Given(), false)
	same(t, "bars", b.Cuts[0].Counts[0], formula.NamedCount{Cut: "bar", Count: b.Cuts[0].Counts[0].Count})
	same(t, "guest bars", b.Cuts[0].Counts[1].Count.V, 5)
	same(t, "ends", b.Cuts[0].Ends.V, 2)
	same(t, "marked bar", b.Weighings[0].Bars[1].Mark, "b")
	same(t, "its weight", b.Weighings[0].Bars[1].Weight.V, 129_800*measure.Milligram)
	same(t, "trimmed is given", b.Weighings[0].Trimmed.Given(), true)
	same(t, "trimmed", b.Weighings[0].Trimmed.V, false)
	same(t, "packed", b.Packed[0].Count.V, 8)
	same(t, "placed", b.Placed["eu"].V.String(), "2027-01-15")
}

func TestReadMaterial(t *testing.T) {
	read := func(file, in string) formula.Material {
		m, findings, err := formula.ReadMaterial(file, []byte(in))
		if err != nil || len(findings) > 0 {
			t.Fatalf("%s: %v, findings %v", in, err, findings)
		}
		return m
	}
	base := read("materials/pantry-base.yaml", string(shopFile(t, "materials/pantry-base.yaml")))
	same(t, "kind", base.Kind, formula.KindOilBlend)
	same(t, "order", base.Order, formula.Descending)
	same(t, "range", base.Contains[1].Share.V, measure.ShareRange{Low: 20 * measure.Percent, High: 30 * measure.Percent})
	same(t, "unknown share", base.Contains[2].Share.Given(), false)
	same(t, "code of oleic acid", base.FattyAcids[0].Code.V, "C18:1")
	same(t, "code as written", base.FattyAcids[1].Code.V, "C12:0")
	same(t, "acid value", base.AcidValue.V, measure.Exactly(1))
	same(t, "unsaponifiable", base.Unsaponifiable.V.High, measure.Percent)
	same(t, "statement", base.Statement.Dated.V.String(), "2026-04-01")

	scent := read("materials/meadow-scent.yaml", string(shopFile(t, "materials/meadow-scent.yaml")))
	same(t, "allergen", scent.Allergens[1].Name.V, "Limonene")
	same(t, "limit", scent.MaxUse.ByCategory[0], formula.CategoryLimit{Category: "9", Share: scent.MaxUse.ByCategory[0].Share})
	same(t, "amendment", scent.MaxUse.Amendment.V, 51)

	milk := read("materials/goat-milk.yaml", string(shopFile(t, "materials/goat-milk.yaml")))
	same(t, "water in milk", milk.Water.V, measure.ShareRange{Low: 86 * measure.Percent, High: 88 * measure.Percent})
	same(t, "fat in milk", milk.Fat.V, measure.ShareRange{Low: 4 * measure.Percent, High: 4 * measure.Percent})
	same(t, "whose fat it is", milk.FatOf.V, "butter")
	same(t, "alcohol", read("materials/farm-ale.yaml", string(shopFile(t, "materials/farm-ale.yaml"))).Evaporates.V, 4*measure.Percent)
	same(t, "reactivity", read("materials/hive-wax.yaml", string(shopFile(t, "materials/hive-wax.yaml"))).Reactivity.V, 50*measure.Percent)
	same(t, "sap and fatty acids together", base.SAP != nil && len(base.FattyAcids) == 3, true)

	same(t, "order of a soap", read("materials/crumbs.yaml", "kind: soap\ncontains: [{inci: a}]\n").Order, formula.Legal)
	same(t, "order of a blend", read("materials/mix.yaml", "kind: oil blend\ncontains: [{inci: a}]\n").Order, formula.Unknown)
	same(t, "kind of a built-in", read("materials/castor-oil.yaml", "statement: {supplier: Fennel Oils}\n").Kind, formula.KindOil)
}

// TestSAPIsGivenInKOH converts with the molar masses of CIAAW's Standard Atomic
// Weights 2021: KOH 39.0983 + 15.999 + 1.0080 and NaOH 22.98976928 + 15.999 +
// 1.0080 g/mol.
func TestSAPIsGivenInKOH(t *testing.T) {
	for _, tt := range []struct {
		stated    string
		low, high float64
		unit      string
	}{
		{"196 mg KOH/g", 196, 196, "mg KOH/g"},
		{"184-196 mg koh / g", 184, 196, "mg KOH/g"},
		{"0.196 g KOH/g", 196, 196, "g KOH/g"},
		{"0.1397 g NaOH/g", 139.7 * 56.1053 / 39.99676928, 139.7 * 56.1053 / 39.99676928, "g NaOH/g"},
		{"134-140 mg NaOH/g", 134 * 56.1053 / 39.99676928, 140 * 56.1053 / 39.99676928, "mg NaOH/g"},
	} {
		m, findings, err := formula.ReadMaterial("materials/x.yaml", []byte("inci: a\nsap: "+tt.stated+"\n"))
		if err != nil || len(findings) > 0 {
			t.Fatalf("%s: %v, findings %v", tt.stated, err, findings)
		}
		near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9*b }
		if !near(m.SAP.V.Low, tt.low) || !near(m.SAP.V.High, tt.high) || m.SAP.Stated != tt.unit || m.SAP.At.Line != 2 {
			t.Errorf("%s: got %+v, want %v to %v", tt.stated, m.SAP, tt.low, tt.high)
		}
	}
}

// TestGTIN uses numbers that are published with their check digits: GS1, "How
// to calculate a check digit manually" (6291041500213), and the example of the
// GS1 Digital Link standard (09521234543213). The others are the same numbers
// with one slip.
func TestGTIN(t *testing.T) {
	for gtin, right := range map[string]bool{
		"6291041500213":  true,
		"09521234543213": true,
		"9521234543213":  true, // the same without its leading nought
		"036000241457":   true, // the UPC-A of many textbooks
		"6291041500214":  false,
		"6291041502013":  false, // two neighbours swapped
		"629104150021":   false, // 12 digits, of which the last is no check digit
		"62910415002131": false,
		"6291041500":     false,
	} {
		in := plain + "cuts: {bar: {gtin: \"" + gtin + "\"}}\n"
		_, findings, err := formula.ReadFormula("formulas/x.yaml", []byte(in))
		if err != nil {
			t.Fatal(err)
		}
		if got := len(findings) == 0; got != right {
			t.Errorf("GTIN %s: right %v, want %v: %v", gtin, got, right, findings)
		}
	}
}

func TestID(t *testing.T) {
	for _, tt := range []struct{ in, id string }{
		{"sodium hydroxide", "sodium-hydroxide"},
		{"Sodium  Hydroxide", "sodium-hydroxide"},
		{"sodium_hydroxide ", "sodium-hydroxide"},
		{"lye-50", "lye-50"},
	} {
		if got := formula.ID(tt.in); got != tt.id || !formula.IsID(got) {
			t.Errorf("ID(%q): got %q, want %q", tt.in, got, tt.id)
		}
	}
	for _, no := range []string{"", "a b", "A", "a--b", "-a", "é", "a/b", "a.b", strings.Repeat("a", 101)} {
		if formula.IsID(no) {
			t.Errorf("IsID(%q): got true", no)
		}
	}
}

// TestBuiltin reads the figures of olive oil from the Codex Alimentarius: the
// standard for olive oils gives a saponification value of 184 to 196 and at
// most 15 g/kg of unsaponifiable matter (CXS 33-1981).
func TestBuiltin(t *testing.T) {
	olive, ok := formula.Builtin("Olive oil")
	if !ok {
		t.Fatal("olive oil is not built in")
	}
	same(t, "id", olive.ID, "olive-oil")
	same(t, "kind", olive.Kind, formula.KindOil)
	same(t, "INCI", olive.INCI.V, "Olea Europaea (Olive) Fruit Oil")
	same(t, "the SAP has no spread", olive.SAP.V.IsPoint(), true)
	if sap := olive.SAP.V.Low; sap < 184 || sap > 196 {
		t.Errorf("SAP of olive oil: %v", sap)
	}
	if u := olive.Unsaponifiable; !u.Given() || u.V.High > 15*measure.Percent/10 {
		t.Errorf("unsaponifiable of olive oil: %+v", u)
	}
	same(t, "given", olive.INCI.Given() && olive.SAP.Given(), true)
	for id, kind := range map[string]formula.Kind{
		"sodium hydroxide": formula.KindAlkali, "water": formula.KindLiquid, "kaolin": formula.KindAdditive, "castor-oil": formula.KindOil,
	} {
		m, ok := formula.Builtin(id)
		if !ok || m.Kind != kind {
			t.Errorf("Builtin(%q): kind %q, found %v, want %q", id, m.Kind, ok, kind)
		}
	}
	if _, ok := formula.Builtin("unobtainium"); ok {
		t.Error("unobtainium is built in")
	}
}

// A certificate says how much of an alkali is hydroxide at least, and the carbonate in it
// is no hydroxide.
func TestPurityAsPrinted(t *testing.T) {
	for _, tt := range []struct {
		in        string
		low, high measure.Share
	}{
		{"purity: at least 98%", 98 * measure.Percent, measure.Whole},
		{"purity: ≥98%, carbonate: 1%", 98 * measure.Percent, 99 * measure.Percent},
		{"purity: 90-92%, carbonate: 1%", 90 * measure.Percent, 92 * measure.Percent},
	} {
		for _, lye := range []string{"alkali: sodium hydroxide, " + tt.in, "alkali: [{alkali: sodium hydroxide, share: 100%, " + tt.in + "}]"} {
			in := strings.Replace(plain, "alkali: sodium hydroxide", lye, 1)
			f, findings, err := formula.ReadFormula("formulas/x.yaml", []byte(in))
			if err != nil || len(findings) > 0 {
				t.Fatalf("%s: %v %v", in, err, findings)
			}
			same(t, lye, f.Lye.Alkalis[0].Purity.V, measure.ShareRange{Low: tt.low, High: tt.high})
		}
	}
}

func TestLibrary(t *testing.T) {
	own := func(id, in string) formula.Material {
		m, findings, err := formula.ReadMaterial("materials/"+id+".yaml", []byte(in))
		if err != nil || len(findings) > 0 {
			t.Fatalf("%s: %v %v", id, err, findings)
		}
		return m
	}
	library := formula.NewLibrary([]formula.Material{
		own("pantry-base", "contains: [{inci: a}]\n"),
		own("olive-oil", "name: Grove oil\nsap: 190 mg KOH/g\n"),
		own("coconut-oil", "statement: {supplier: Fennel Oils}\n"),
	})
	olive, _ := library.Find("olive oil")
	same(t, "the shop's own name", olive.Name.V, "Grove oil")
	same(t, "the shop's own SAP", olive.SAP.V, measure.Exactly(190))
	same(t, "INCI of the built-in", olive.INCI.V, "Olea Europaea (Olive) Fruit Oil")
	coconut, _ := library.Find("coconut-oil")
	same(t, "no SAP but what the document states", coconut.SAP, (*formula.SAP)(nil))
	same(t, "kind of the built-in", coconut.Kind, formula.KindOil)
	castor, ok := library.Find("castor oil")
	same(t, "built in alone", ok && castor.File == "", true)
	if _, ok := library.Find("pantry bsae"); ok {
		t.Error("a slip was found")
	}
	same(t, "near one of the shop's own", library.Nearest("pantry bsae"), "pantry-base")
	same(t, "near a built-in", library.Nearest("castro oil"), "castor-oil")
	same(t, "near nothing", library.Nearest("qqqqqqqqqq"), "")
	if m, ok := (formula.Library{}).Find("castor-oil"); !ok || m.ID != "castor-oil" {
		t.Error("the zero Library has no castor oil")
	}
}

func TestLibraryOfMoulds(t *testing.T) {
	shop, _, err := formula.ReadShop("shop.yaml", shopFile(t, "shop.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	library := formula.NewLibrary(nil).WithMoulds(shop.Moulds)
	loaf, ok := library.Mould("Loaf B")
	same(t, "a mould", ok, true)
	same(t, "what it takes", loaf.Batter.V, 1400*measure.Gram)
	if _, ok := library.Mould("slab-b"); ok {
		t.Error("a mould that is not there was found")
	}
	same(t, "near a mould", library.NearestMould("slab b"), "slab-a")
	same(t, "near nothing", library.NearestMould("qqqqqqqq"), "")
	if _, ok := (formula.Library{}).Mould("tin"); ok || (formula.Library{}).NearestMould("tin") != "" {
		t.Error("the zero Library has a mould")
	}
	if _, ok := library.Find("castor-oil"); !ok {
		t.Error("a library with moulds has lost its materials")
	}
}

func TestLibraryOfBatches(t *testing.T) {
	batch := func(code, in string) formula.Batch {
		b, findings, err := formula.ReadBatch("batches/"+code+".yaml", []byte("code: "+code+"\nmade: 2026-11-26\n"+in))
		if err != nil || len(findings) > 0 {
			t.Fatalf("%s: %v %v", code, err, findings)
		}
		return b
	}
	husk := shopFormula(t, "hearth-husk")
	library := formula.Library{}.WithBatches([]formula.Batch{
		batch("26330-01-S", "formula: Hearth husk\n"), batch("26331-01-T", "formula: lost\n"), batch("26332-01-U", "makes: material\n"),
		{Formula: husk.Name}, batch("26330-01-S", "formula: lost\n"),
	}, func(id string) (formula.Formula, bool) { return husk, id == "hearth-husk" })
	b, ok := library.Batch("26330-01-S")
	making, _ := library.Making(b, nil)
	same(t, "the first with the code, and its formula", b.Formula.V+", "+making.Formula.ID, "Hearth husk, hearth-husk")
	same(t, "found", ok, true)
	for _, code := range []string{"26330-01-s", "26331-01-T", "26332-01-U", "", "b"} {
		if b, ok := library.Batch(code); ok || b.Code.Given() {
			t.Errorf("the batch %q was found: %+v", code, b)
		}
	}
	same(t, "near a code", library.NearestBatch("26330-1-S"), "26330-01-S")
	same(t, "near another code than itself", library.NearestBatch("26331-01-T") != "26331-01-T", true)
	same(t, "near nothing", library.NearestBatch("qqqqqqqq"), "")
	if _, ok := (formula.Library{}).Batch("26330-01-S"); ok || (formula.Library{}).NearestBatch("26330-01-S") != "" {
		t.Error("the zero Library has a batch")
	}
}

func TestComplete(t *testing.T) {
	base := shopFormula(t, "hearth-husk")
	formulas := map[string]formula.Formula{"hearth-husk": base}
	find := func(id string) (formula.Formula, bool) { f, ok := formulas[id]; return f, ok }
	complete := func(id, in string) (formula.Formula, []finding.Finding) {
		f, findings, err := formula.ReadFormula("formulas/"+id+".yaml", []byte(in))
		if err != nil || len(findings) > 0 {
			t.Fatalf("%s: %v %v", in, err, findings)
		}
		formulas[id] = f
		return formula.Complete(f, find, []string{"hearth-husk"})
	}

	f, findings := complete("plain", string(shopFile(t, "formulas/hearth-plain.yaml")))
	same(t, "findings", len(findings), 0)
	same(t, "own name", f.Name.V, "Hearth Plain")
	same(t, "own superfat", f.Lye.Superfat.V, 8*measure.Percent)
	same(t, "own additions", len(f.Add), 1)
	same(t, "pot of the other", f.Pot[0].Material.V, "pantry-base")
	same(t, "alkali of the other", f.Lye.Alkalis[0].Purity.V, measure.ShareRange{Low: 98 * measure.Percent, High: 98 * measure.Percent})
	same(t, "water of the other", f.Lye.Water.Strength.V, 33*measure.Percent)
	same(t, "place in the other", f.Identity.At.File, "formulas/hearth-husk.yaml")

	f, findings = complete("heavier", "like: plain\nlye: {weight: 130 g, water: {per_lye: 2}}\ncuts: {bar: {claim: 5 oz}, tester: {count: 2}}\nwords: {en: {tagline: New}}\nsize: {mould: slab-a}\n")
	same(t, "findings of a variant of a variant", len(findings), 0)
	same(t, "weight drives out superfat", f.Lye.Weight.Given() && !f.Lye.Superfat.Given(), true)
	same(t, "one way of water drives out the other", f.Lye.Water.PerLye.Given() && !f.Lye.Water.Strength.Given(), true)
	same(t, "one size drives out the other", f.Size.Mould.Given() && !f.Size.Oils.Given(), true)
	same(t, "cuts", f.Cuts[0].Claim.V.String()+" "+f.Cuts[0].GTIN.V+" "+f.Cuts[1].Name.V+" "+f.Cuts[2].Name.V, "5 oz 9521234543213 guest tester")
	same(t, "words", f.Words["en"]["tagline"].V+", "+f.Words["fr"]["identity"].V, "New, savon")
	same(t, "the other is as before", base.Words["en"]["tagline"].V, "Oat and charcoal bar")
	same(t, "its cuts too", base.Cuts[0].Claim.V.String(), "4 oz")

	f, findings = complete("melted", "like: hearth-husk\nbase: [{material: clear-base, weight: 1 kg}]\nportions: {all: 100%}\n")
	same(t, "a base takes the place of the pot", len(f.Pot) == 0 && f.Lye.At.Line == 0 && len(f.Base) == 1, true)
	same(t, "portions that are no longer there", len(findings), 3)
	same(t, "their rule", findings[0].Rule, formula.RulePortion)

	_, findings = complete("lost", "like: heart-husk\n")
	if len(findings) != 1 || findings[0].Rule != formula.RuleLike || findings[0].Remedy != `did you mean "hearth-husk"?` || findings[0].At.String() != "formulas/lost.yaml:1:7" {
		t.Errorf("a formula that is not there: %+v", findings)
	}
	complete("ring-a", "like: lost\n")
	formulas["lost"], _, _ = formula.ReadFormula("formulas/lost.yaml", []byte("like: ring-a\n"))
	_, findings = complete("ring-b", "like: ring-a\n")
	if len(findings) != 1 || findings[0].Rule != formula.RuleLike || findings[0].At.File != "formulas/lost.yaml" ||
		findings[0].Message != `"ring-b" is like "ring-a", which is like "lost", which is like "ring-a": that goes in a circle` {
		t.Errorf("a formula that is like a ring: %+v", findings)
	}
	_, findings = complete("self", "like: self\n")
	if len(findings) != 1 || findings[0].Message != `"self" is like "self": that goes in a circle` || findings[0].At.String() != "formulas/self.yaml:1:7" {
		t.Errorf("a formula that is like itself: %+v", findings)
	}
	formulas["bare"], _, _ = formula.ReadFormula("formulas/bare.yaml", []byte("name: a\n"))
	_, findings = complete("barer", "like: bare\nadd: [{material: a, share: 1%}]\n")
	var rules []string
	for _, f := range findings {
		rules = append(rules, f.Rule)
	}
	same(t, "what neither has", strings.Join(rules, " "), "FORM-MISSING FORM-NO-LYE")
	unchanged, findings := formula.Complete(base, find, nil)
	same(t, "no variant", unchanged.ID+" "+strings.Repeat("x", len(findings)), "hearth-husk ")
}
