package bar_test

import (
	"fmt"
	"slices"
	"strings"

	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// An amount is a weight in mg, or a share in hundredths of a per cent.
type amount struct{ mg, share int }

func (a amount) text() string {
	if a.mg > 0 {
		return fmt.Sprintf("weight: %d mg", a.mg)
	}
	return "share: " + percent(a.share)
}

func percent(share int) string { return fmt.Sprintf("%d.%02d%%", share/100, share%100) }

func part(share int) float64 { return float64(share) / 10_000 }

// A line is a thing with its amount.
type line struct {
	thing
	amount
}

// An addition is a line with what a formula says of it beside.
type addition struct {
	line
	at, in string
	stays  int // -1 where nothing is said
	with   []line
}

// A liquid is a line of the lye.
type liquid struct {
	line
	into string
}

// An alkali has its shares in hundredths of a per cent.
type alkali struct {
	name                     string
	share, purity, carbonate int
}

// A recipe is a formula that can be written down and reckoned with.
type recipe struct {
	size      string // "", "oils", "batter", or a mould: "tray" by what it holds, "tin" by its batter, "pan" by its oils
	made      int    // mg, or for the tray µl
	pot, base []line
	alkalis   []alkali
	of        string
	strength  int    // of a solution; 0 for dry alkali
	superfat  int    // hundredths of a per cent; -1 where the lye is said in another way
	ratio     [2]int // mg of alkali and of oils
	lyeMg     int
	water     string // a way of saying it; "weight" is in waterMg
	waterFig  float64
	waterMg   int
	liquids   []liquid
	portions  []int
	add       []addition
	hot       bool
}

// aRecipe draws a formula that in all likelihood can be poured.
func aRecipe(t *rapid.T) recipe {
	r := recipe{superfat: -1, hot: rapid.IntRange(0, 2).Draw(t, "process") == 2}
	if rapid.IntRange(0, 7).Draw(t, "kind") == 0 {
		r.drawBase(t)
	} else {
		r.drawPot(t)
		r.drawLye(t)
	}
	r.drawAdditions(t)
	r.tellApart()
	return r
}

// tellApart gives the things that have a document, or are own bars, ids of their own.
func (r *recipe) tellApart() {
	count := 0
	name := func(x *thing) {
		switch count++; {
		case x.batch != nil:
			x.id = fmt.Sprintf("OLD-%d", count)
			x.batch.Code.V = x.id
		case x.text != "":
			x.id = fmt.Sprintf("%s-%d", x.id, count)
		}
	}
	for i := range r.pot {
		name(&r.pot[i].thing)
	}
	for i := range r.base {
		name(&r.base[i].thing)
	}
	for i := range r.liquids {
		name(&r.liquids[i].thing)
	}
	for i := range r.add {
		name(&r.add[i].thing)
	}
}

// drawShares draws shares that are the whole together.
func drawShares(t *rapid.T, n int) []int {
	cuts := []int{0, 10_000}
	for len(cuts) < n+1 {
		if at := rapid.IntRange(1, 9_999).Draw(t, "cut"); !slices.Contains(cuts, at) {
			cuts = append(cuts, at)
		}
	}
	slices.Sort(cuts)
	shares := make([]int, n)
	for i := range shares {
		shares[i] = cuts[i+1] - cuts[i]
	}
	return shares
}

func (r *recipe) drawPot(t *rapid.T) {
	for range rapid.IntRange(1, 5).Draw(t, "oils") {
		oil := anOil(t)
		if !slices.ContainsFunc(r.pot, func(l line) bool { return l.id == oil.id }) {
			r.pot = append(r.pot, line{thing: oil})
		}
	}
	r.drawSize(t, []string{"", "oils", "batter", "tray", "tin", "pan"}, r.pot)
}

func (r *recipe) drawBase(t *rapid.T) {
	crumbs := someCrumbs(t)
	for crumbs.batch != nil {
		crumbs = someCrumbs(t)
	}
	r.base = []line{{thing: crumbs}}
	r.drawSize(t, []string{"", "batter", "tray", "tin"}, r.base)
}

// drawSize draws the size, and how the pot or the base is weighed.
func (r *recipe) drawSize(t *rapid.T, sizes []string, lines []line) {
	r.size, r.made = rapid.SampledFrom(sizes).Draw(t, "size"), rapid.IntRange(1_500_000, 20_000_000).Draw(t, "made")
	if r.size == "" || rapid.Bool().Draw(t, "in weights") {
		for i := range lines {
			lines[i].mg = rapid.IntRange(20_000, 900_000).Draw(t, "weight")
		}
		return
	}
	for i, share := range drawShares(t, len(lines)) {
		lines[i].share = share
	}
}

func (r *recipe) drawLye(t *rapid.T) {
	names := []string{"sodium hydroxide", "potassium hydroxide"}
	pure := func() (purity, carbonate int) {
		purity = rapid.IntRange(8_000, 10_000).Draw(t, "purity")
		return purity, rapid.IntRange(0, min(300, 10_000-purity)).Draw(t, "carbonate")
	}
	switch rapid.IntRange(0, 3).Draw(t, "lye") {
	case 0:
		r.strength = rapid.IntRange(2_000, 5_000).Draw(t, "strength")
		r.alkalis = []alkali{{rapid.SampledFrom(names).Draw(t, "alkali"), 10_000, 10_000, 0}}
	case 1:
		shares := drawShares(t, 2)
		for i, name := range names {
			purity, carbonate := pure()
			r.alkalis = append(r.alkalis, alkali{name, shares[i], purity, carbonate})
		}
		r.of = rapid.SampledFrom([]string{"", "weight", "moles", "fat"}).Draw(t, "of")
	default:
		purity, carbonate := pure()
		r.alkalis = []alkali{{rapid.SampledFrom(names).Draw(t, "alkali"), 10_000, purity, carbonate}}
	}
	switch rapid.IntRange(0, 4).Draw(t, "how much") {
	case 0:
		r.ratio = [2]int{rapid.IntRange(60_000, 100_000).Draw(t, "alkali"), 1_000_000}
	case 1:
		total := 0
		for _, l := range r.pot {
			total += l.mg
		}
		r.lyeMg = 100_000
		if total > 0 {
			r.lyeMg = rapid.IntRange(60, 100).Draw(t, "alkali") * total / 1000
		}
	default:
		r.superfat = rapid.IntRange(0, 3_000).Draw(t, "superfat")
	}
	r.drawWater(t)
	left := 10_000
	for range rapid.IntRange(0, 2).Draw(t, "liquids") {
		l := liquid{line{thing: aLiquid(t)}, rapid.SampledFrom([]string{"", "lye", "oils", "trace"}).Draw(t, "into")}
		if slices.ContainsFunc(r.liquids, func(other liquid) bool { return other.id == l.id }) {
			continue
		}
		if rapid.Bool().Draw(t, "a share of the water") {
			l.share = rapid.IntRange(1, left/2).Draw(t, "share")
			left -= l.share
		} else {
			l.mg = rapid.IntRange(1_000, 40_000).Draw(t, "weight")
		}
		r.liquids = append(r.liquids, l)
	}
}

func (r *recipe) drawWater(t *rapid.T) {
	ways := []string{"weight", "strength", "of_oils", "per_lye"}
	if r.strength > 0 {
		ways = []string{"", "strength", "of_oils"}
	}
	switch r.water = rapid.SampledFrom(ways).Draw(t, "water"); r.water {
	case "weight":
		r.waterMg = rapid.IntRange(200_000, 900_000).Draw(t, "water")
	case "strength":
		r.waterFig = tenths(t, "strength", 15, 40)
	case "of_oils":
		r.waterFig = tenths(t, "water", 30, 90)
	case "per_lye":
		r.waterFig = tenths(t, "water", 2, 4)
	}
}

func (r *recipe) drawAdditions(t *rapid.T) {
	soap := len(r.pot) > 0
	if soap && rapid.IntRange(0, 2).Draw(t, "portions") == 0 {
		r.portions = drawShares(t, rapid.IntRange(2, 4).Draw(t, "portions"))
	}
	for range rapid.IntRange(0, 4).Draw(t, "additions") {
		a := addition{stays: -1, at: rapid.SampledFrom([]string{"", "lye", "oils", "trace", "after", "top"}).Draw(t, "at")}
		if !soap && a.at == "lye" {
			a.at = "oils" // there is no lye in a base
		}
		switch rapid.IntRange(0, 5).Draw(t, "addition") {
		case 0:
			a.thing = someCrumbs(t)
		case 1:
			if a.thing = anOil(t); !r.hot && (a.at == "after" || a.at == "top") {
				a.at = "trace"
			}
			r.late(&a.line, a.at)
		case 2:
			a.thing = aLiquid(t)
			r.late(&a.line, a.at)
		default:
			a.thing = anAdditive(t, soap)
			r.late(&a.line, a.at)
		}
		a.drawAmount(t, 10)
		if len(r.portions) > 0 && a.at != "lye" && a.at != "oils" && rapid.Bool().Draw(t, "in a portion") {
			a.in = fmt.Sprintf("p%d", rapid.IntRange(0, len(r.portions)-1).Draw(t, "portion"))
		}
		switch a.id {
		case "ethanol":
			if rapid.Bool().Draw(t, "leaves") {
				a.stays = rapid.IntRange(0, 10_000).Draw(t, "stays")
				a.made = []component{{share: 1, kind: "kept", leaves: 1 - part(a.stays)}}
			}
		}
		if a.batch == nil && rapid.IntRange(0, 2).Draw(t, "with") == 0 {
			carrier := line{thing: rapid.SampledFrom([]thing{{id: "glycerin", made: []component{kept(1)}}, {id: "water", made: []component{water(1)}}}).Draw(t, "carrier")}
			if a.id != carrier.id {
				carrier.drawAmount(t, 5)
				a.with = append(a.with, carrier)
			}
		}
		r.add = append(r.add, a)
	}
}

// late makes the fat of a thing one that lye leaves alone, where it comes when the soap
// is made or where there is no lye; acid still takes alkali from the soap, unless it is
// strewn on top.
func (r *recipe) late(l *line, at string) {
	soap := len(r.pot) > 0
	l.made = slices.Clone(l.made)
	for i, c := range l.made {
		isAcid := c.kind == "acid" || l.id == "lot-stearic" || l.id == "rosin"
		if c.kind != "fat" && c.kind != "acid" || soap && at != "after" && at != "top" || soap && isAcid && at != "top" {
			continue
		}
		l.made[i] = kept(c.share)
	}
}

// drawAmount draws a weight up to so many times 6 g, or a share of up to so many
// per cent.
func (l *line) drawAmount(t *rapid.T, upTo int) {
	if rapid.Bool().Draw(t, "a weight") {
		l.mg = rapid.IntRange(1, upTo*6_000).Draw(t, "weight")
	} else {
		l.share = rapid.IntRange(1, upTo*100).Draw(t, "share")
	}
}

func (r recipe) text() string {
	var b strings.Builder
	b.WriteString("name: Test\nidentity: soap\n")
	switch r.size {
	case "":
	case "oils", "batter":
		fmt.Fprintf(&b, "size: {%s: %d mg}\n", r.size, r.made)
	default:
		fmt.Fprintf(&b, "size: {mould: %s}\n", r.size)
	}
	for _, list := range []struct {
		key   string
		lines []line
	}{{"pot", r.pot}, {"base", r.base}} {
		for i, l := range list.lines {
			if i == 0 {
				b.WriteString(list.key + ":\n")
			}
			fmt.Fprintf(&b, "  - {material: %s, %s}\n", l.id, l.amount.text())
		}
	}
	if len(r.pot) > 0 {
		r.lyeText(&b)
	}
	for i, share := range r.portions {
		if i == 0 {
			b.WriteString("portions:\n")
		}
		fmt.Fprintf(&b, "  p%d: %s\n", i, percent(share))
	}
	if r.hot {
		b.WriteString("process: hot\n")
	}
	for i, a := range r.add {
		if i == 0 {
			b.WriteString("add:\n")
		}
		key := "material"
		if a.batch != nil {
			key = "batch"
		}
		fmt.Fprintf(&b, "  - {%s: %s, %s", key, a.id, a.amount.text())
		if a.at != "" {
			b.WriteString(", at: " + a.at)
		}
		if a.in != "" {
			b.WriteString(", in: " + a.in)
		}
		if a.stays >= 0 {
			b.WriteString(", stays: " + percent(a.stays))
		}
		for _, w := range a.with {
			fmt.Fprintf(&b, ", with: [{material: %s, %s}]", w.id, w.amount.text())
		}
		b.WriteString("}\n")
	}
	return b.String()
}

func (r recipe) lyeText(b *strings.Builder) {
	b.WriteString("lye:\n")
	switch {
	case r.strength > 0:
		b.WriteString("  solution: lye-bottle\n")
	case len(r.alkalis) == 1:
		fmt.Fprintf(b, "  alkali: %s\n  purity: %s\n  carbonate: %s\n", r.alkalis[0].name, percent(r.alkalis[0].purity), percent(r.alkalis[0].carbonate))
	default:
		b.WriteString("  alkali:\n")
		for _, a := range r.alkalis {
			fmt.Fprintf(b, "    - {alkali: %s, share: %s, purity: %s, carbonate: %s}\n", a.name, percent(a.share), percent(a.purity), percent(a.carbonate))
		}
	}
	if r.of != "" {
		fmt.Fprintf(b, "  of: %s\n", r.of)
	}
	switch {
	case r.superfat >= 0:
		fmt.Fprintf(b, "  superfat: %s\n", percent(r.superfat))
	case r.lyeMg > 0:
		fmt.Fprintf(b, "  weight: %d mg\n", r.lyeMg)
	default:
		fmt.Fprintf(b, "  ratio: {alkali: %d mg, oils: %d mg}\n", r.ratio[0], r.ratio[1])
	}
	switch r.water {
	case "weight":
		fmt.Fprintf(b, "  water: {weight: %d mg}\n", r.waterMg)
	case "strength", "of_oils":
		fmt.Fprintf(b, "  water: {%s: %.1f%%}\n", r.water, r.waterFig)
	case "per_lye":
		fmt.Fprintf(b, "  water: {per_lye: %.1f}\n", r.waterFig)
	}
	for i, l := range r.liquids {
		if i == 0 {
			b.WriteString("  liquids:\n")
		}
		fmt.Fprintf(b, "    - {material: %s, %s", l.id, l.amount.text())
		if l.into != "" {
			b.WriteString(", into: " + l.into)
		}
		b.WriteString("}\n")
	}
}

// fill is how full the tray is poured.
const fill = 0.95

// library gives the things of a recipe, its mould and its batches.
func (r recipe) library(t fataler) formula.Library {
	var own []formula.Material
	var batches []formula.Batch
	formulas := map[string]formula.Formula{}
	take := func(x thing) {
		if x.text != "" {
			own = append(own, readMaterial(t, x.id, x.text))
		}
		if x.batch != nil {
			batches, formulas["old"] = append(batches, *x.batch), x.of
		}
	}
	for _, l := range slices.Concat(r.pot, r.base) {
		take(l.thing)
	}
	for _, l := range r.liquids {
		take(l.thing)
	}
	for _, a := range r.add {
		take(a.thing)
	}
	if r.strength > 0 {
		own = append(own, readMaterial(t, "lye-bottle", fmt.Sprintf("name: Bottle\nkind: lye solution\ninci: %s\nstrength: %s\n", map[string]string{"sodium hydroxide": "Sodium Hydroxide", "potassium hydroxide": "Potassium Hydroxide"}[r.alkalis[0].name], percent(r.strength))))
	}
	at := finding.Pos{File: "shop.yaml", Line: 1, Col: 1}
	tray, tin, pan := formula.Mould{Fill: formula.Share{V: 950 * measure.Whole / 1000, At: at}}, formula.Mould{}, formula.Mould{}
	tray.Holds.V, tray.Holds.At = measure.Volume(r.made)*measure.Millilitre/1000, at
	tin.Batter, pan.Oils = formula.Mass{V: measure.Mass(r.made) * measure.Milligram, At: at}, formula.Mass{V: measure.Mass(r.made) * measure.Milligram, At: at}
	return formula.NewLibrary(own).WithMoulds(map[string]formula.Mould{"tray": tray, "tin": tin, "pan": pan}).
		WithBatches(batches, func(id string) (formula.Formula, bool) { f, ok := formulas[id]; return f, ok })
}

// A fataler is what of a test is needed to stop it.
type fataler interface{ Fatalf(string, ...any) }

func readMaterial(t fataler, id, text string) formula.Material {
	m, findings, err := formula.ReadMaterial("materials/"+id+".yaml", []byte(text))
	if err != nil || finding.Worst(findings) == finding.Stop {
		t.Fatalf("%s: %v %s", text, err, rules(findings))
	}
	return m
}

// formula reads the recipe, which must have no stops.
func (r recipe) formula(t fataler) formula.Formula {
	f, findings, err := formula.ReadFormula("formulas/test.yaml", []byte(r.text()))
	if err != nil || finding.Worst(findings) == finding.Stop {
		t.Fatalf("%s%v %s", r.text(), err, rules(findings))
	}
	return f
}
