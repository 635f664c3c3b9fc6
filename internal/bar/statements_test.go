package bar_test

import (
	"fmt"
	"slices"
	"strings"

	"pgregory.net/rapid"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
)

// Formulas of things of which suppliers tell an order, a range or nothing. Each statement
// is drawn around one composition that it allows, so that it never contradicts itself.

// A claim is a figure as a supplier states it: a point, a range, or nothing.
type claim struct {
	low, high float64
	said      bool
}

func exactly(v float64) claim { return claim{v, v, true} }

// spell writes a claim with its unit.
func (c claim) spell(unit string) string {
	if c.low == c.high {
		return fmt.Sprintf("%.7f%s", c.low, unit)
	}
	return fmt.Sprintf("%.7f-%.7f%s", c.low, c.high, unit)
}

// open reports whether a claim leaves anything open.
func (c claim) open() bool { return !c.said || c.low < c.high }

// A statement is the document of a material.
type statement struct {
	id, kind, inci, order string
	names                 []string // of a list
	shares                []claim  // of it, in per cent
	sap, acid, rest       claim    // mg KOH/g, mg KOH/g, per cent
	reach                 claim    // per cent of its esters that lye takes up
}

func (s statement) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "name: Thing\nkind: %s\n", s.kind)
	if s.inci != "" {
		fmt.Fprintf(&b, "inci: %s\n", s.inci)
	}
	if s.sap.said {
		fmt.Fprintf(&b, "sap: %s\n", s.sap.spell(" mg KOH/g"))
	}
	if s.acid.said {
		fmt.Fprintf(&b, "acid_value: %s\n", s.acid.spell(" mg KOH/g"))
	}
	if s.rest.said {
		fmt.Fprintf(&b, "unsaponifiable: %s\n", s.rest.spell("%"))
	}
	if s.reach.said {
		fmt.Fprintf(&b, "reactivity: %s\n", s.reach.spell("%"))
	}
	if len(s.names) == 0 {
		return b.String()
	}
	b.WriteString("contains:\n")
	for i, name := range s.names {
		if s.shares[i].said {
			fmt.Fprintf(&b, "  - {inci: %q, share: %s}\n", name, s.shares[i].spell("%"))
		} else {
			fmt.Fprintf(&b, "  - {inci: %q}\n", name)
		}
	}
	fmt.Fprintf(&b, "order: %s\n", s.order)
	return b.String()
}

// A portion is so much of a material.
type portion struct {
	statement
	grams int
	at    string // when it goes in; "" for the usual time
}

// An openLye is a lye whose alkalis may be of ranged purity.
type openLye struct {
	purity, potash claim // per cent; the second is said where a tenth is potassium hydroxide
	superfat       int   // per cent, where weight is 0
	weight         float64
	water          int // g
}

func (l openLye) text() string {
	alkali := fmt.Sprintf("alkali: sodium hydroxide, purity: %s", l.purity.spell("%"))
	if l.potash.said {
		alkali = fmt.Sprintf("alkali: [{alkali: sodium hydroxide, share: 90%%, purity: %s}, {alkali: potassium hydroxide, share: 10%%, purity: %s}]", l.purity.spell("%"), l.potash.spell("%"))
	}
	amount := fmt.Sprintf("superfat: %d%%", l.superfat)
	if l.weight > 0 {
		amount = fmt.Sprintf("weight: %.3f g", l.weight)
	}
	return fmt.Sprintf("lye: {%s, %s, water: {weight: %d g}}\n", alkali, amount, l.water)
}

// A loose is a formula of such things.
type loose struct {
	pot, base, add []portion
	lye            openLye
	own            *loose // of the bars that are crumbs in it
	grams          int    // of these
}

// ownCode is the code of the batch whose bars are crumbs.
const ownCode = "OLD-1"

func (f loose) text() string {
	var b strings.Builder
	b.WriteString("name: Loose\nidentity: soap\n")
	lines := func(key string, all []portion) {
		if len(all) == 0 {
			return
		}
		fmt.Fprintf(&b, "%s:\n", key)
		for _, p := range all {
			at := ""
			if p.at != "" {
				at = ", at: " + p.at
			}
			fmt.Fprintf(&b, "  - {material: %s, weight: %d g%s}\n", p.id, p.grams, at)
		}
	}
	lines("pot", f.pot)
	lines("base", f.base)
	if len(f.pot) > 0 {
		b.WriteString(f.lye.text())
	}
	lines("add", f.add)
	if f.own != nil {
		if len(f.add) == 0 {
			b.WriteString("add:\n")
		}
		fmt.Fprintf(&b, "  - {batch: %s, weight: %d g}\n", ownCode, f.grams)
	}
	return b.String()
}

// portions gives all that is in it.
func (f loose) portions() []portion { return slices.Concat(f.pot, f.base, f.add) }

// documents writes the formula with all its materials, for a message.
func (f loose) documents() string {
	all := f.text()
	for _, p := range f.portions() {
		all += "--- " + p.id + "\n" + p.statement.text()
	}
	if f.own != nil {
		all += "=== " + ownCode + "\n" + f.own.documents()
	}
	return all
}

// contradicts reports whether a statement in the pot contradicts itself: a share may be
// rounded out of what an order allows.
func (f loose) contradicts() bool {
	return slices.ContainsFunc(f.pot, func(p portion) bool {
		_, findings, err := formula.ReadMaterial("materials/"+p.id+".yaml", []byte(p.statement.text()))
		return err != nil || finding.Worst(findings) == finding.Stop
	})
}

// read gives the formula and a library of its materials.
func (f loose) read(t fataler) (formula.Formula, formula.Library) {
	made, findings, err := formula.ReadFormula("formulas/loose.yaml", []byte(f.text()))
	if err != nil || finding.Worst(findings) == finding.Stop {
		t.Fatalf("%s%v\n%s", f.documents(), err, rules(findings))
	}
	var own []formula.Material
	for _, p := range f.portions() {
		own = append(own, readMaterial(t, p.id, p.statement.text()))
	}
	if f.own == nil {
		return made, formula.NewLibrary(own)
	}
	old, batch, library := f.old(t)
	for _, p := range f.own.portions() {
		m, _ := library.Find(p.id)
		own = append(own, m)
	}
	return made, formula.NewLibrary(own).WithBatches([]formula.Batch{batch}, func(string) (formula.Formula, bool) { return old, true })
}

// old gives the formula of the bars that are crumbs, their batch, and the library of it.
func (f loose) old(t fataler) (formula.Formula, formula.Batch, formula.Library) {
	old, library := f.own.read(t)
	weighed := ""
	for _, p := range f.own.portions() {
		weighed += fmt.Sprintf("  - {material: %s, weight: %d g}\n", p.id, p.grams)
	}
	batch, findings, err := formula.ReadBatch("batches/"+ownCode+".yaml", []byte("code: "+ownCode+"\nformula: loose\nmade: 2026-01-02\nweighed:\n"+weighed))
	if err != nil || finding.Worst(findings) == finding.Stop {
		t.Fatalf("%v\n%s", err, rules(findings))
	}
	return old, batch, library
}

// pour pours the formula.
func (f loose) pour(t fataler) (*bar.Batter, []finding.Finding) {
	return bar.Pour(f.read(t))
}

// perCent is the smallest part of a share that is drawn, so many to one per cent.
const perCent = 10_000

// someShares draws n whole numbers, each above nought, that are 100 % together. Half of
// the time they are near to each other, and else some are much larger than others.
func someShares(t *rapid.T, n int) []int {
	weights, total := make([]float64, n), 0.0
	spread := rapid.SampledFrom([]float64{0.2, 1, 2.5}).Draw(t, "spread")
	for i := range weights {
		w := 1.0
		for range 3 {
			w *= 1 + spread*rapid.Float64Range(0, 1).Draw(t, "weight")
		}
		weights[i], total = w, total+w
	}
	shares, rest := make([]int, n), 100*perCent
	for i := range n - 1 {
		shares[i] = max(1, int(weights[i]/total*100*perCent))
		rest -= shares[i]
	}
	shares[n-1] = rest
	return shares
}

// claims draws what is said of each of these shares: nothing, the share, or a range.
func claims(t *rapid.T, shares []int) []claim {
	style := rapid.IntRange(0, 3).Draw(t, "style") // order alone, ranges, some points, anything
	all := make([]claim, len(shares))
	for i, share := range shares {
		v := float64(share) / perCent
		kind := style
		if style == 3 {
			kind = rapid.IntRange(0, 2).Draw(t, "kind")
		}
		switch {
		case kind == 1:
			wide := rapid.SampledFrom([]float64{0.5, 3, 15}).Draw(t, "wide")
			all[i] = claim{max(0, v-wide*rapid.Float64Range(0, 1).Draw(t, "below")), min(100, v+wide*rapid.Float64Range(0, 1).Draw(t, "above")), true}
		case kind == 2 && rapid.IntRange(0, 2).Draw(t, "point") == 0:
			all[i] = exactly(v)
		}
	}
	if slices.ContainsFunc(all, claim.open) {
		return all
	}
	all[0] = claim{}
	return all
}

// around draws a claim around a figure: a point or a range.
func around(t *rapid.T, v, wide float64) claim {
	if rapid.Bool().Draw(t, "point") {
		return exactly(v)
	}
	return claim{max(0, v-wide*rapid.Float64Range(0, 1).Draw(t, "below")), v + wide*rapid.Float64Range(0, 1).Draw(t, "above"), true}
}

// blendOils are oils with the ends of their published saponification values, mg KOH/g
// (see package inci).
var blendOils = []struct {
	name      string
	low, high float64
}{
	{"Olea Europaea (Olive) Fruit Oil", 184, 196}, {"Cocos Nucifera (Coconut) Oil", 248, 265}, {"Ricinus Communis (Castor) Seed Oil", 176, 187},
	{"Butyrospermum Parkii (Shea) Butter", 160, 195}, {"Theobroma Cacao (Cocoa) Seed Butter", 188, 198}, {"Helianthus Annuus (Sunflower) Seed Oil", 187, 194},
	{"Oryza Sativa (Rice) Bran Oil", 180, 199}, {"Elaeis Guineensis (Palm) Oil", 190, 209}, {"Stearic Acid", 200, 206}, {"Beeswax", 88, 102},
}

// inOrderOf sorts a list by its shares as an order of this name would, and shuffles what
// it says nothing of.
func inOrderOf(t *rapid.T, order string, names []string, shares []int) {
	index := rapid.Permutation(indexes(len(names))).Draw(t, "places")
	switch order {
	case "descending":
		slices.SortStableFunc(index, func(a, b int) int { return shares[b] - shares[a] })
	case "legal":
		slices.SortStableFunc(index, func(a, b int) int {
			return max(shares[b], perCent) - max(shares[a], perCent) // no order below 1 %
		})
	}
	n, s := slices.Clone(names), slices.Clone(shares)
	for to, from := range index {
		names[to], shares[to] = n[from], s[from]
	}
}

func indexes(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// anOilBlend draws a blend of oils, with or without a saponification value.
func anOilBlend(t *rapid.T, id string, value bool) statement {
	kinds := rapid.Permutation(indexes(len(blendOils))).Draw(t, "oils")[:rapid.IntRange(2, 6).Draw(t, "how many")]
	shares := someShares(t, len(kinds))
	names := make([]string, len(kinds))
	sap := 0.0
	for i, k := range kinds {
		o := blendOils[k]
		names[i] = o.name
		sap += float64(shares[i]) / (100 * perCent) * (o.low + (o.high-o.low)*rapid.Float64Range(0, 1).Draw(t, "sap"))
	}
	s := statement{id: id, kind: "oil blend", order: rapid.SampledFrom([]string{"descending", "descending", "legal", "unknown"}).Draw(t, "order"), names: names}
	inOrderOf(t, s.order, names, shares)
	s.shares = claims(t, shares)
	if value {
		s.sap = around(t, sap, 4)
	}
	if rapid.IntRange(0, 3).Draw(t, "acid") == 0 && !slices.Contains(names, "Beeswax") {
		s.acid = around(t, 2, 2)
	}
	return s
}

// aLot draws a single oil, or beeswax, with ranges of its figures.
func aLot(t *rapid.T, id string) statement {
	if rapid.IntRange(0, 8).Draw(t, "wax") == 0 {
		// The Pharmacopoeia's acid value of white beeswax, 17 to 24 mg KOH/g.
		return statement{id: id, kind: "oil", inci: "Beeswax", acid: around(t, 20, 4), reach: exactly(rapid.SampledFrom([]float64{0, 40, 100}).Draw(t, "of its esters"))}
	}
	o := blendOils[rapid.IntRange(0, 7).Draw(t, "lot")]
	s := statement{id: id, kind: "oil", inci: o.name}
	if rapid.Bool().Draw(t, "sap") {
		s.sap = around(t, (o.low+o.high)/2, (o.high-o.low)/2)
	}
	if rapid.Bool().Draw(t, "acid") {
		s.acid = around(t, rapid.SampledFrom([]float64{0.5, 3, 20, 90}).Draw(t, "acid value"), 10)
	}
	if rapid.Bool().Draw(t, "rest") {
		s.rest = around(t, 1, 1)
	}
	if rapid.IntRange(0, 3).Draw(t, "reach") == 0 {
		s.reach = exactly(rapid.SampledFrom([]float64{10, 50, 90}).Draw(t, "of its esters"))
	}
	return s
}

// aMixture draws an additive that is a mixture, and what scents.
func aMixture(t *rapid.T, id string) statement {
	switch rapid.IntRange(0, 3).Draw(t, "mixture") {
	case 0:
		return statement{id: id, kind: "fragrance"}
	case 1:
		names := rapid.Permutation([]string{"Lavandula Angustifolia (Lavender) Oil", "Pogostemon Cablin Leaf Oil", "Citrus Limon (Lemon) Peel Oil"}).Draw(t, "oils")
		return listOf(t, id, "essential oil", names)
	}
	names := rapid.Permutation([]string{"Kaolin", "Mica", "Sucrose", "Water", "Glycerin", "Citric Acid", "Silica", "CI 77891", "Talc"}).Draw(t, "powders")
	return listOf(t, id, "additive", names[:rapid.IntRange(2, 7).Draw(t, "how many")])
}

// listOf draws a statement of these names.
func listOf(t *rapid.T, id, kind string, names []string) statement {
	names = slices.Clone(names)
	shares := someShares(t, len(names))
	s := statement{id: id, kind: kind, order: rapid.SampledFrom([]string{"descending", "legal", "unknown"}).Draw(t, "order"), names: names}
	inOrderOf(t, s.order, names, shares)
	s.shares = claims(t, shares)
	return s
}

// finishedSoap draws soap that was made by others, listed as it is or as it was poured.
func finishedSoap(t *rapid.T, id, kind string) statement {
	if rapid.Bool().Draw(t, "as poured") {
		return listedAsPoured(t, id, kind)
	}
	names := []string{"Sodium Palmate", "Sodium Cocoate", "Sodium Palm Kernelate", "Water", "Glycerin", "Fragrance", "Sodium Chloride", "CI 77891", "CI 77492", "Tetrasodium EDTA"}
	names = append(names[:rapid.IntRange(1, 3).Draw(t, "soaps")], names[3:rapid.IntRange(4, 10).Draw(t, "others")]...)
	// Of what is no soap there is less and less.
	shares, rest := make([]int, len(names)), 100*perCent
	for i := len(names) - 1; i > 0; i-- {
		shares[i] = max(1, rest/100*rapid.SampledFrom([]int{0, 1, 3, 9, 25}).Draw(t, "share")/2)
		rest -= shares[i]
	}
	shares[0] = rest
	s := statement{id: id, kind: kind, order: rapid.SampledFrom([]string{"legal", "legal", "descending", "unknown"}).Draw(t, "order"), names: names}
	inOrderOf(t, s.order, names, shares)
	s.shares = claims(t, shares)
	return s
}

// listedAsPoured draws soap that is listed by its oils and its alkali.
func listedAsPoured(t *rapid.T, id, kind string) statement {
	oils := rapid.Permutation(indexes(4)).Draw(t, "oils")[:rapid.IntRange(1, 3).Draw(t, "how many")]
	parts := someShares(t, len(oils))
	const fat = 68
	var names []string
	var shares []int
	moles := 0.0
	for i, k := range oils {
		o := blendOils[k]
		names, shares = append(names, o.name), append(shares, parts[i]*fat/100)
		moles += float64(parts[i]) * fat / 100 * (o.low + o.high) / 2 / mgKOH
	}
	extent := rapid.Float64Range(0.86, 0.96).Draw(t, "extent")
	metal, mass := "Sodium Hydroxide", naohMass
	if rapid.IntRange(0, 3).Draw(t, "metal") == 0 {
		metal, mass = "Potassium Hydroxide", kohMass
	}
	names, shares = append(names, metal), append(shares, int(extent*moles*mass))
	for _, other := range []string{"Glycerin", "Fragrance", "CI 77891", "Kaolin"} {
		if rapid.Bool().Draw(t, "other") {
			names, shares = append(names, other), append(shares, rapid.SampledFrom([]int{2000, 9000, 12000, 30000}).Draw(t, "share"))
		}
	}
	rest := 100 * perCent
	for _, s := range shares {
		rest -= s
	}
	names, shares = append(names, "Water"), append(shares, rest)
	s := statement{id: id, kind: kind, order: rapid.SampledFrom([]string{"legal", "descending", "unknown"}).Draw(t, "order"), names: names}
	inOrderOf(t, s.order, names, shares)
	s.shares = make([]claim, len(names))
	if rapid.Bool().Draw(t, "a few shares") {
		s.shares = claims(t, shares)
	}
	return s
}

// aLoose draws a formula. Own bars in it are of a loose formula themselves.
func aLoose(t *rapid.T) loose {
	var f loose
	if rapid.IntRange(0, 5).Draw(t, "base") == 0 {
		for i := range rapid.IntRange(1, 2).Draw(t, "bases") {
			f.base = append(f.base, portion{finishedSoap(t, fmt.Sprintf("base-%d", i), rapid.SampledFrom([]string{"base", "soap"}).Draw(t, "kind")), rapid.IntRange(200, 900).Draw(t, "g"), ""})
		}
	} else {
		f.pot, f.lye = aPot(t)
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "additions") {
		f.add = append(f.add, portion{aMixture(t, fmt.Sprintf("powder-%d", i)), rapid.IntRange(5, 120).Draw(t, "g"), ""})
	}
	switch rapid.IntRange(0, 5).Draw(t, "crumbs") {
	case 0, 1:
		f.add = append(f.add, portion{finishedSoap(t, "crumbs", "soap"), rapid.IntRange(20, 300).Draw(t, "g"), ""})
	case 2:
		var old loose
		old.pot, old.lye = aPot(t)
		for i, p := range old.pot {
			old.pot[i].id = "old-" + p.id
		}
		if rapid.Bool().Draw(t, "mixture in it") {
			old.add = []portion{{aMixture(t, "old-powder"), rapid.IntRange(5, 80).Draw(t, "g"), ""}}
		}
		f.own, f.grams = &old, rapid.IntRange(20, 300).Draw(t, "g")
	}
	if len(f.pot) > 0 && rapid.IntRange(0, 4).Draw(t, "late oil") == 0 {
		f.add = append(f.add, portion{anOilBlend(t, "late", false), rapid.IntRange(5, 60).Draw(t, "g"), ""})
	}
	return f
}

// aPot draws oils and a lye for them. Where nothing holds the saponification value of a
// blend, much of the oil is left over, so that no bar that is allowed is lye-heavy.
func aPot(t *rapid.T) ([]portion, openLye) {
	var pot []portion
	lye := openLye{superfat: rapid.IntRange(3, 12).Draw(t, "superfat"), water: rapid.IntRange(80, 400).Draw(t, "water"), purity: exactly(98)}
	for i := range rapid.IntRange(1, 3).Draw(t, "oils") {
		id, grams := fmt.Sprintf("oil-%d", i), rapid.IntRange(100, 800).Draw(t, "g")
		switch {
		case i > 0 && rapid.Bool().Draw(t, "single"):
			pot = append(pot, portion{aLot(t, id), grams, ""})
		default:
			value := rapid.IntRange(0, 3).Draw(t, "value") > 0
			pot = append(pot, portion{anOilBlend(t, id, value), grams, ""})
			if !value {
				lye.superfat = rapid.IntRange(25, 45).Draw(t, "large superfat")
			}
		}
	}
	if rapid.Bool().Draw(t, "purity") {
		lye.purity = claim{97, 99, true}
	}
	if rapid.IntRange(0, 2).Draw(t, "two alkalis") == 0 {
		lye.potash = around(t, 88, 2)
	}
	return pot, lye
}
