package bar

import (
	"fmt"
	"math"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// An item is a source of which the mass hangs on the size of the batch, with what
// one gram of it does to the lye. Its mass is the sum of three parts, of which one is
// not nought.
type item struct {
	source  Source
	middle  []float64      // shares of its parts where one figure is shown
	figures []saponify.Fat // of its fats there

	ofOils  float64 // g to a gram of the oils
	typed   float64 // g as typed, which scale with the batch
	ofWater float64 // part of the water that is in it

	inPot  bool // it is one of the oils, or of the base
	liquid bool // it stands in for water
	stays  formula.Share
	scents []scentIn
}

// A scentIn is a scent in an item.
type scentIn struct {
	share     measure.Range // of the item
	material  string
	statement []formula.Allergen
	maxUse    *formula.MaxUse
	oils      []oilIn // see Scent
	published bool
	stated    bool
}

// An oilIn is an essential oil in a scent.
type oilIn struct {
	id    string
	share measure.Range // of the item
}

// weighed gives the scent where so many grams of the item are weighed.
func (in scentIn) weighed(source int, grams float64) Scent {
	s := Scent{
		Source: source, Mass: in.share.Times(grams), Material: in.material,
		Statement: in.statement, MaxUse: in.maxUse, Published: in.published, Stated: in.stated,
	}
	for _, oil := range in.oils {
		s.Oils = append(s.Oils, ScentOil{oil.id, oil.share.Times(grams)})
	}
	return s
}

// amount gives what the mass of an item hangs on. A share is of the oils of its
// portion.
func (p *pourer) amount(a formula.Amount, portion formula.Text) item {
	if a.Weight.Given() {
		return item{typed: a.Weight.V.Grams()}
	}
	share := a.Share.V.Fraction()
	for _, q := range p.formula.Portions {
		if portion.Given() && q.Name.V == portion.V {
			share *= q.Share.V.Fraction()
		}
	}
	return item{ofOils: share}
}

// each adds up a figure of one gram over the parts of an item.
func (it item) each(figure func(part Part) float64) float64 {
	total := 0.0
	for j, part := range it.source.Parts {
		total += it.middle[j] * figure(part)
	}
	return total
}

// fats gives the moles of alkali that the fats in one gram bind where one figure is
// shown. Of what was boiled elsewhere they bind none of this lye.
func (it item) fats() float64 {
	total := 0.0
	for j, part := range it.source.Parts {
		if part.Fat != nil && it.source.Kettle == nil {
			acids, esters := it.figures[j].Equivalents()
			total += it.middle[j] * (acids + esters)
		}
	}
	return total
}

// need gives the moles of alkali that the fats in one gram bind over all compositions, if
// a function gives the range of the saponification value of each. A blend whose value is
// stated binds what it says.
func (it item) need(of func(*Fat) measure.Range) measure.Range {
	s := &it.source
	if s.Kettle != nil {
		return measure.Range{}
	}
	if s.SAP != nil && s.meetsAll() {
		return measure.Range{Low: s.SAP.Low / perMol, High: s.SAP.High / perMol}
	}
	low, high := make([]float64, len(s.Parts)), make([]float64, len(s.Parts))
	for j, part := range s.Parts {
		if part.Fat == nil {
			continue
		}
		// Of free acid all is bound, and of esters perhaps not: the acid value counts too.
		least, most := math.Inf(1), math.Inf(-1)
		for _, sap := range ends(of(part.Fat)) {
			for _, acid := range ends(part.Fat.Acids) {
				acids, esters := part.Fat.at(sap, acid, part.Fat.Unsaponifiable).Equivalents()
				least, most = min(least, acids+esters), max(most, acids+esters)
			}
		}
		low[j], high[j] = least, most
	}
	return measure.Range{Low: s.span(low).Low, High: s.span(high).High}
}

// takes gives the moles of alkali that all else in one gram takes up.
func (it item) takes() float64 {
	if it.source.Kettle != nil {
		return 0
	}
	return it.each(func(part Part) float64 {
		if part.Acid == nil {
			return 0
		}
		return part.Acid.takes()
	})
}

// taking gives takes over all compositions.
func (it item) taking() measure.Range {
	cost := make([]float64, len(it.source.Parts))
	for j, part := range it.source.Parts {
		if part.Acid != nil && it.source.Kettle == nil {
			cost[j] = part.Acid.takes()
		}
	}
	return it.source.span(cost)
}

// water gives the water in one gram.
func (it item) water() float64 {
	return it.each(func(part Part) float64 {
		if part.Role != Water {
			return 0
		}
		return 1
	})
}

// volume gives the millilitres that one gram takes up.
func (it item) volume() float64 { return it.each(volumeOf) }

// A plan is the masses of a batch at one size.
type plan struct {
	oils   float64
	scale  float64   // of typed weights
	masses []float64 // of the items
	lye    lyePlan
	fats   float64 // mol that the fats bind
	takes  float64 // mol that other things take up
}

// total gives all that is weighed but what goes on top.
func (p *pourer) total(at plan) float64 {
	total := at.lye.alkali() + at.lye.plain
	for i, it := range p.items {
		if it.source.Work.When != OnTop {
			total += at.masses[i]
		}
	}
	return total
}

// volume gives the millilitres that the batter takes up in the mould, about.
func (p *pourer) volume(at plan) float64 {
	total := volumeOfLye(at.lye)
	for i, it := range p.items {
		if it.source.Work.When != OnTop {
			total += at.masses[i] * it.volume()
		}
	}
	return total
}

// plan works out the masses for so many grams of oils. It is linear in them, but for
// weights that are typed for one size. It is false where no lye satisfies what is
// asked.
func (p *pourer) plan(oils float64) (plan, bool) {
	at := plan{oils: oils, scale: p.scale(oils), masses: make([]float64, len(p.items))}
	for i, it := range p.items {
		at.masses[i] = it.ofOils*oils + it.typed*at.scale
	}
	if p.hasLye() && !p.pourLye(&at) {
		return plan{}, false
	}
	for i, it := range p.items {
		at.fats += at.masses[i] * it.fats()
		at.takes += at.masses[i] * it.takes()
	}
	return at, true
}

// inPot adds up what is typed in the pot.
func (p *pourer) inPot() float64 {
	typed := 0.0
	for _, it := range p.items {
		if it.inPot {
			typed += it.typed
		}
	}
	return typed
}

// size finds how much oil is in the pot, and how typed weights scale with it.
func (p *pourer) size() {
	size, typed := p.formula.Size, p.inPot()
	p.scale = func(float64) float64 { return 1 }
	switch reference := p.formula.WrittenFor; {
	case size == (formula.Size{}):
		p.oils = typed
		return
	case typed > 0:
		p.scale = func(oils float64) float64 { return oils / typed }
	case reference != (formula.Size{}):
		written, ok := p.oilsFor(reference)
		if !ok {
			return
		}
		p.scale = func(oils float64) float64 { return oils / written }
	}
	oils, ok := p.oilsFor(size)
	if !ok {
		return
	}
	p.oils = oils
	if mould, ok := p.library.Mould(size.Mould.V); ok && mould.Holds.Given() {
		p.fitsMould(size.Mould, mould.Holds.V.Millilitres())
	}
}

// place gives the place of a size, or another one where it has none.
func place(s formula.Size, otherwise finding.Pos) finding.Pos {
	for _, at := range []finding.Pos{s.Oils.At, s.Batter.At, s.Mould.At} {
		if at.Line > 0 {
			return at
		}
	}
	return otherwise
}

// oilsFor gives the oils in grams for a size.
func (p *pourer) oilsFor(s formula.Size) (float64, bool) {
	switch {
	case s.Oils.Given():
		return s.Oils.V.Grams(), true
	case s.Batter.Given():
		return p.solve(s, s.Batter.V.Grams(), p.total)
	}
	mould, ok := p.library.Mould(s.Mould.V)
	if !ok {
		remedy := "write it under moulds in shop.yaml, or give the size as oils or batter"
		if near := p.library.NearestMould(s.Mould.V); near != "" {
			remedy = fmt.Sprintf("did you mean %q? If not, %s", near, remedy)
		}
		p.stop(RuleMould, s.Mould.At, fmt.Sprintf("the shop has no mould %q", s.Mould.V), remedy)
		return 0, false
	}
	switch {
	case mould.Oils.Given():
		return mould.Oils.V.Grams(), true
	case mould.Batter.Given():
		return p.solve(s, mould.Batter.V.Grams(), p.total)
	}
	holds := mould.Holds.V.Millilitres()
	if mould.Fill.Given() {
		holds *= mould.Fill.V.Fraction()
	}
	return p.solve(s, holds, p.volume)
}

// solve finds the oils for which a figure that grows in a straight line with them
// has a value.
func (p *pourer) solve(s formula.Size, value float64, figure func(plan) float64) (float64, bool) {
	const less, more = 100.0, 1100.0 // g: any two will do
	low, ok := p.plan(less)
	high, okToo := p.plan(more)
	if !ok || !okToo {
		p.stop(RuleSize, place(s, p.formula.Name.At), "no weight of lye satisfies this formula, so its size cannot be worked out", "look at the liquids and at the superfat")
		return 0, false
	}
	slope := (figure(high) - figure(low)) / (more - less)
	oils := less + (value-figure(low))/slope
	if !(oils > 0) || math.IsInf(oils, 0) {
		p.stop(RuleSize, place(s, p.formula.Name.At), "what is added by weight takes up all of the size, and leaves no room for oils", "take a larger size, or write the additions as shares")
		return 0, false
	}
	return oils, true
}

// fitsMould compares the bars that are to be cut with the mould that they come from.
func (p *pourer) fitsMould(at formula.Text, holds float64) {
	const mm3 = 1000 // in a millilitre
	bars := 0.0
	for _, c := range p.formula.Cuts {
		bars += float64(c.Count.V) * c.Length.V.Millimetres() * c.Width.V.Millimetres() * c.Height.V.Millimetres() / mm3
	}
	if bars > holds*1.001 {
		p.report(finding.Warn, RuleMould, at.At, fmt.Sprintf("the bars of the cuts are %.0f ml together, and the mould %q holds %.0f ml: it is too small for them", bars, at.V, holds), "count the bars again, or pour into a larger mould")
	}
}

// weigh puts the masses into the batter.
func (p *pourer) weigh() {
	at, ok := p.plan(p.oils)
	if !ok {
		p.stop(RuleLyeAmount, p.formula.Lye.At, "no weight of lye satisfies this formula: its liquids bring so much fat or acid that they can never be balanced", "take less of the liquids")
		return
	}
	b := p.batter
	b.Oils, b.Fats, b.Acids = p.oils, at.fats, at.takes
	b.Volume = p.volume(at)
	for i, it := range p.items {
		it.source.Mass = at.masses[i]
		b.Sources = append(b.Sources, it.source)
		for _, scent := range it.scents {
			b.Scents = append(b.Scents, scent.weighed(i, at.masses[i]))
		}
	}
	if p.hasLye() {
		p.weighLye(at)
	}
	p.divide()
}

// divide works out the portions: of the batter with all that is stirred into the whole
// of it, before anything is stirred into one of them.
func (p *pourer) divide() {
	b := p.batter
	batter := 0.0
	for _, s := range b.Sources {
		if s.Work.Portion == "" && !s.Work.When.late() {
			batter += s.Mass
		}
	}
	for _, q := range p.formula.Portions {
		share := q.Share.V.Fraction()
		b.Portions = append(b.Portions, Portion{q.Name.V, share, share * batter})
	}
}

// judgePortions stops a formula of which one portion is lye-heavy: acid or oil that is
// stirred into one of them takes up none of the lye in the others.
func (p *pourer) judgePortions() {
	b := p.batter
	for _, q := range b.Portions {
		alkali, fats := q.Share*(b.ForFats+b.Acids), 0.0
		for i, it := range p.items {
			part := q.Share
			switch it.source.Work.Portion {
			case "":
			case q.Name:
				part = 1
			default:
				continue
			}
			alkali -= part * b.Sources[i].Mass * it.takes()
			fats += part * b.Sources[i].Mass * it.fats()
		}
		if !heavy(alkali, fats) {
			continue
		}
		p.findings = append(p.findings, finding.Finding{
			Level: finding.Stop, Rule: RuleLyeHeavy, At: p.portionAt(q.Name), Cite: citeLye,
			Message: fmt.Sprintf("the portion %q is lye-heavy by %.1f %%: acid or oil that the lye is reckoned for goes into another portion alone", q.Name, 100*(alkali/fats-1)),
			Remedy:  "stir acid and oil into the whole batch: take in: out, and write at: lye or at: oils; or take a larger superfat",
		})
	}
}

// portionAt gives where the formula names a portion.
func (p *pourer) portionAt(name string) finding.Pos {
	for _, q := range p.formula.Portions {
		if q.Name.V == name {
			return q.Name.At
		}
	}
	return p.formula.Name.At
}

// judgeSugars says how much lye the sugars could take up at most.
func (p *pourer) judgeSugars() {
	b := p.batter
	most, name := 0.0, ""
	var at finding.Pos
	for _, s := range b.Sources {
		if takes := s.Mass * sugars(s); takes > 0 && s.Kettle == nil {
			if most == 0 {
				at, name = s.At, s.Work.Name
			}
			most += takes
		}
	}
	if most == 0 {
		return
	}
	p.report(finding.Note, RuleSugar, at, fmt.Sprintf("sugars, as in %q, are reckoned as taking up no lye; at most they could take up %.3g mol of it, and the superfat could then be as much as %.1f %%", name, most, 100*(b.Superfat()+most/b.Fats)), "")
}
