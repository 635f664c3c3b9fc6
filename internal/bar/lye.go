package bar

import (
	"fmt"
	"strconv"
	"strings"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// citeLye is why a lye-heavy bar is stopped: no paragraph of law, but chemistry.
const citeLye = "mass balance of saponification (ISO 3657: saponification value); the alkali left over is free sodium or potassium hydroxide, which burns skin"

// A lye is what the formula says of the alkali, made ready for reckoning.
type lye struct {
	reagents []reagent
	perMol   float64 // g of dry alkali as weighed, for a mole of hydroxide
	solution formula.Material
	strength float64 // of the solution, 0 to 1; 0 for dry alkali
}

// A reagent is one alkali as it is sold.
type reagent struct {
	name      string // "sodium hydroxide"
	at        finding.Pos
	moles     float64       // its part of the hydroxide, 0 to 1
	purity    float64       // hydroxide by mass, 0 to 1, where one figure is shown
	pure      measure.Range // the same over all that is stated
	carbonate float64       // carbonate by mass
}

func (r reagent) potassium() bool { return formula.ID(r.name) == "potassium-hydroxide" }

func (r reagent) molarMass() float64 {
	if r.potassium() {
		return inci.MolarMassKOH
	}
	return inci.MolarMassNaOH
}

// A lyePlan is the lye of a batch at one size.
type lyePlan struct {
	moles    float64 // of hydroxide
	dry      float64 // g of alkali as weighed; of a solution, what is dissolved in it
	strength float64 // of the solution; 0 for dry alkali
	plain    float64 // g of water that is poured as such
}

// alkali gives what is weighed of dry alkali, or of the solution, in grams.
func (at lyePlan) alkali() float64 { return at.dry + at.dissolved() }

// dissolved gives the water in the solution in grams.
func (at lyePlan) dissolved() float64 {
	if at.strength == 0 {
		return 0
	}
	return at.dry * (1 - at.strength) / at.strength
}

// leastPurity is from what share of hydroxide on a thing is an alkali at all, and
// usualPurity from what share on it is sold for soap: the national formulary asks for
// 95 % of sodium hydroxide and 85 % of potassium hydroxide (USP 28, NF 23), and what is
// below 80 % is a slip more often than not.
const (
	leastPurity = 0.50
	usualPurity = 0.80
)

// readLye reads the alkalis and how they share the work.
func (p *pourer) readLye() {
	if p.formula.Lye.Solution.Given() {
		p.readSolution()
	} else {
		p.readAlkalis()
	}
	if p.stopped {
		return
	}
	total := 0.0
	for _, r := range p.lye.reagents {
		total += r.moles
	}
	for i, r := range p.lye.reagents {
		p.lye.reagents[i].moles /= total
		p.lye.perMol += r.moles / total * r.molarMass() / r.purity
		if r.potassium() {
			p.batter.Potassium = r.moles / total
		}
	}
}

// readAlkalis reads dry alkalis. Their shares are of the weight, as weighed, unless
// the formula says that they are of the moles. A share of the fat is the same as one
// of the moles: each mole takes up as much fat as another.
func (p *pourer) readAlkalis() {
	l := p.formula.Lye
	if len(l.Alkalis) == 0 {
		p.stop(RuleLyeAmount, l.At, "there is no alkali in the lye", "write alkali: sodium hydroxide")
		return
	}
	for _, a := range l.Alkalis {
		r := reagent{name: strings.ReplaceAll(formula.ID(a.Name.V), "-", " "), at: a.Name.At, carbonate: a.Carbonate.V.Fraction()}
		if r.pure = p.purity(a); p.stopped {
			return
		}
		r.purity = r.pure.Middle()
		r.moles = 1
		if a.Share.Given() {
			r.moles = a.Share.V.Fraction()
			if !l.Of.Given() || l.Of.V == "weight" {
				r.moles *= r.purity / r.molarMass()
			}
		}
		if r.carbonate > 0 {
			p.report(finding.Note, RuleCarbonate, a.Carbonate.At, fmt.Sprintf("the carbonate in the %s is not counted as lye: it does not saponify fat, and takes up free fatty acids at most", r.name), "")
		}
		if r.moles > 0 {
			p.lye.reagents = append(p.lye.reagents, r)
		}
	}
	if len(p.lye.reagents) == 0 {
		p.stop(RuleLyeAmount, l.At, "the shares of the alkalis are nought", "write how they share the lye")
	}
}

// purity gives the hydroxide in a gram of an alkali, and reports what is unusual.
func (p *pourer) purity(a formula.Alkali) measure.Range {
	name := strings.ReplaceAll(formula.ID(a.Name.V), "-", " ")
	if !a.Purity.Given() {
		p.report(finding.Note, RulePurity, a.Name.At, fmt.Sprintf("the purity of the %s is not stated and is taken as 100 %%", name), "write purity: 98% or what the supplier's certificate says")
		return measure.Exactly(1)
	}
	pure := measure.Range{Low: a.Purity.V.Low.Fraction(), High: a.Purity.V.High.Fraction()}
	stated := strconv.FormatFloat(a.Purity.V.Low.Percent(), 'f', -1, 64)
	if !a.Purity.V.IsPoint() {
		stated += " to " + strconv.FormatFloat(a.Purity.V.High.Percent(), 'f', -1, 64)
	}
	switch stated += " %"; {
	case pure.Low < leastPurity:
		p.stop(RulePurity, a.Purity.At, fmt.Sprintf("a purity of %s is that of no %s: more than half of it would be something else, which would stay in the bar", stated, name), "compare it with the supplier's certificate")
	case pure.Low < usualPurity:
		p.report(finding.Warn, RulePurity, a.Purity.At, fmt.Sprintf("a purity of %s is far below what %s is sold with", stated, name), "compare it with the supplier's certificate")
	}
	return pure
}

// readSolution reads a ready-made lye solution: alkali, and the rest is water.
func (p *pourer) readSolution() {
	use := p.formula.Lye.Solution
	m, ok := p.material(use)
	if !ok {
		return
	}
	if m.Kind != formula.KindLyeSolution {
		p.stop(RuleKind, use.At, fmt.Sprintf("%q is no lye solution: its kind is %q", use.V, m.Kind), fmt.Sprintf("write kind: lye solution and its strength in materials/%s.yaml", m.ID))
		return
	}
	var names []string
	for _, typed := range append([]formula.Text{m.INCI}, constituents(m)...) {
		for _, s := range inci.ByINCI(typed.V) {
			if s.ID == "sodium-hydroxide" || s.ID == "potassium-hydroxide" {
				names = append(names, strings.ReplaceAll(s.ID, "-", " "))
			}
		}
	}
	if len(names) != 1 {
		p.stop(RuleKind, use.At, fmt.Sprintf("%q does not say of which alkali it is a solution", m.ID), fmt.Sprintf("write inci: Sodium Hydroxide in materials/%s.yaml", m.ID))
		return
	}
	if a := p.formula.Lye.Alkalis; len(a) > 1 || len(a) == 1 && formula.ID(a[0].Name.V) != formula.ID(names[0]) {
		p.stop(RuleKind, a[0].Name.At, fmt.Sprintf("the formula says %q, and %q is a solution of %s", a[0].Name.V, use.V, names[0]), "take the alkali out, or name another solution")
		return
	}
	p.lye.solution, p.lye.strength = m, m.Strength.V.Fraction()
	p.lye.reagents = []reagent{{name: names[0], at: use.At, moles: 1, purity: 1, pure: measure.Exactly(1)}}
}

// constituents gives the names of a supplier's list.
func constituents(m formula.Material) []formula.Text {
	var names []formula.Text
	for _, c := range m.Contains {
		names = append(names, c.INCI)
	}
	return names
}

// readLiquids makes items of what stands in for water. A share counts the water that
// is in it.
func (p *pourer) readLiquids() {
	for i, l := range p.formula.Lye.Liquids {
		m, ok := p.material(l.Material)
		if !ok {
			continue
		}
		if m.Kind != formula.KindLiquid && m.Kind != formula.KindAdditive {
			p.stop(RuleKind, l.Material.At, fmt.Sprintf("%q is no liquid: its kind is %q", l.Material.V, m.Kind), "write it under add, or under the pot")
			continue
		}
		it := item{typed: l.Weight.V.Grams(), ofWater: l.Share.V.Fraction(), liquid: true}
		work := Work{When: stage(l.Into, ToLye), State: l.State.V}
		before := len(p.items)
		p.item(fmt.Sprintf("lye.liquids[%d] %s", i, m.ID), l.Material, m, it, work)
		if len(p.items) > before && p.items[before].water() < 0.05 {
			p.stop(RuleWater, l.Material.At, fmt.Sprintf("how much water is in %q is not known, and it is to stand in for water", l.Material.V), fmt.Sprintf("write water: 90%% or what it has in materials/%s.yaml, or move it to add", m.ID))
		}
	}
}

// pourLye works out alkali, water and liquids at one size. The need of lye hangs on the
// fat and acid of the liquids, these on the water, and the water on the lye; all of it
// is linear, so two trials tell the weight that satisfies itself. It is false where
// none does.
func (p *pourer) pourLye(at *plan) bool {
	l := p.formula.Lye
	at.lye.strength = p.lye.strength
	switch {
	case l.Weight.Given():
		at.lye.dry = p.dry(l.Weight.V.Grams() * at.scale)
	case l.Ratio != nil:
		at.lye.dry = p.dry(l.Ratio.Alkali.V.Grams() / l.Ratio.Oils.V.Grams() * at.oils)
	default:
		nothing := p.need(at, 0)
		more := p.need(at, 1) - nothing
		if !(more < 1) {
			return false
		}
		at.lye.dry = nothing / (1 - more)
	}
	at.lye.moles = at.lye.dry / p.lye.perMol
	water := p.water(at, at.lye.dry)
	p.pourLiquids(at, water)
	at.lye.plain = water - at.lye.dissolved()
	for i, it := range p.items {
		if it.liquid {
			at.lye.plain -= at.masses[i] * it.water()
		}
	}
	return true
}

// dry gives the alkali in so many grams of what is weighed.
func (p *pourer) dry(weighed float64) float64 {
	if p.lye.strength > 0 {
		return weighed * p.lye.strength
	}
	return weighed
}

// need gives the grams of alkali that a superfat asks for, if so many grams of alkali
// decide how much water, and with it how much liquid, is poured. Acids are taken up
// whole; the superfat is of the fats alone.
func (p *pourer) need(at *plan, dry float64) float64 {
	p.pourLiquids(at, p.water(at, dry))
	moles := 0.0
	for i, it := range p.items {
		moles += at.masses[i] * ((1-p.formula.Lye.Superfat.V.Fraction())*it.fats() + it.takes())
	}
	return moles * p.lye.perMol
}

// water gives the water that so many grams of dry alkali are to have, that of a
// solution included.
func (p *pourer) water(at *plan, dry float64) float64 {
	switch w := p.formula.Lye.Water; {
	case w.Weight.Given():
		return w.Weight.V.Grams() * at.scale
	case w.Strength.Given():
		c := w.Strength.V.Fraction()
		return dry * (1 - c) / c
	case w.OfOils.Given():
		return w.OfOils.V.Fraction() * at.oils
	case w.PerLye.Given():
		return w.PerLye.V * dry
	}
	if p.lye.strength > 0 {
		return dry * (1 - p.lye.strength) / p.lye.strength
	}
	return 0
}

// pourLiquids gives the liquids that are a share of the water their masses.
func (p *pourer) pourLiquids(at *plan, water float64) {
	for i, it := range p.items {
		if it.ofWater > 0 {
			at.masses[i] = it.ofWater * water / it.water()
		}
	}
}

// weighLye puts alkali and water into the batter, as sources of their own.
func (p *pourer) weighLye(at plan) {
	b, l := p.batter, p.formula.Lye
	if !l.Weight.Given() && l.Ratio == nil && !l.Superfat.Given() {
		p.stop(RuleLyeAmount, l.At, "how much alkali is poured is not said", "write superfat: 5%, or the weight of the alkali")
		return
	}
	b.ForFats = at.lye.moles - b.Acids
	if l.Superfat.Given() {
		b.ForFats = (1 - l.Superfat.V.Fraction()) * b.Fats // the same, without the rounding of a difference
	}
	switch {
	case !(b.Fats > 0):
		p.stop(RuleLyeAmount, l.At, "there is no fat that the lye could turn into soap", "name the oils that the soap is made of")
		return
	case !(at.lye.moles > 0):
		p.stop(RuleLyeAmount, l.At, "no alkali is poured, so nothing becomes soap", "write a superfat below 100 %, or the weight of the alkali")
		return
	case !(b.ForFats > 1e-12*at.lye.moles):
		p.stop(RuleLyeAmount, l.At, "acids and other things take up all of the alkali, so nothing becomes soap", "take more alkali, or a superfat below 100 %")
		return
	}
	b.Left = p.leftForFats()
	b.Water = at.lye.plain
	if slack := 1e-9 * (at.lye.plain + at.lye.dry); b.Water < -slack {
		p.stop(RuleWater, l.At, fmt.Sprintf("the lye is to have %.1f g less water than its solution and its liquids bring", -b.Water), "give the lye more water, or take less of the liquids")
		return
	}
	b.Water = max(0, b.Water)
	for _, r := range p.lye.reagents {
		weight := AlkaliWeight{Name: r.name, Pure: r.moles * at.lye.moles * r.molarMass()}
		weight.Weigh = weight.Pure / r.purity
		if p.lye.strength > 0 {
			weight.Solution = commonName(p.lye.solution)
			weight.Weigh = weight.Pure / p.lye.strength
		}
		b.Alkalis = append(b.Alkalis, weight)
		b.Sources = append(b.Sources, p.alkaliSource(r, weight))
	}
	b.Sources = append(b.Sources, Source{
		Ref: "lye.water", At: p.lye.reagents[0].at, Work: Work{Name: "water", When: ToLye}, Mass: b.Water,
		Shares: blend.Only(1), Parts: []Part{{Names: builtinNames("water"), Role: Water}},
	})
	if !p.listed {
		p.judgeStrength(at)
	}
}

// alkaliSource gives the source of one alkali: hydroxide, carbonate, and the rest. What
// is not hydroxide in potassium hydroxide is mostly water (common practice, no
// source), and is in the water left; that of sodium hydroxide stays as it is.
func (p *pourer) alkaliSource(r reagent, weight AlkaliWeight) Source {
	s := Source{
		Ref: "lye " + r.name, At: r.at, Work: Work{Name: r.name, When: ToLye}, Mass: weight.Weigh,
		Parts: []Part{{Names: builtinNames(formula.ID(r.name)), Role: Alkali, Alkali: 1 / r.molarMass()}},
	}
	switch {
	case weight.Solution != "":
		s.Shares = blend.Only(p.lye.strength, 1-p.lye.strength)
		s.Parts = append(s.Parts, Part{Names: builtinNames("water"), Role: Water})
	case r.potassium():
		s.Shares = blend.Mix{Union: blend.Union{{
			Low:  []float64{r.pure.Low, r.carbonate, max(0, 1-r.pure.High-r.carbonate)},
			High: []float64{r.pure.High, r.carbonate, max(0, 1-r.pure.Low-r.carbonate)},
			Down: []bool{false, false},
		}}}
		s.Parts = append(s.Parts, Part{Role: Impurity}, Part{Role: Water})
	default:
		s.Shares = blend.Mix{Union: blend.Union{{
			Low: []float64{r.pure.Low, 1 - r.pure.High}, High: []float64{r.pure.High, 1 - r.pure.Low}, Down: []bool{false},
		}}}
		s.Parts = append(s.Parts, Part{Role: Impurity})
	}
	return s
}

// leftForFats gives the alkali that is left for the fats over all purities and acids that
// are stated, and writes which part of it is of potassium.
func (p *pourer) leftForFats() measure.Range {
	b := p.batter
	r := measure.Exactly(b.ForFats)
	for i, it := range p.items {
		takes, nominal := it.taking(), it.takes()
		r.Low -= b.Sources[i].Mass * (takes.High - nominal)
		r.High += b.Sources[i].Mass * (nominal - takes.Low)
	}
	b.potash = measure.Exactly(b.Potassium)
	for _, reagent := range p.lye.reagents {
		nominal := b.ForFats + b.Acids
		r.Low += nominal * reagent.moles * (reagent.pure.Low/reagent.purity - 1)
		r.High += nominal * reagent.moles * (reagent.pure.High/reagent.purity - 1)
		if len(p.lye.reagents) < 2 || !reagent.potassium() {
			continue
		}
		other := p.lye.reagents[0]
		if other.potassium() {
			other = p.lye.reagents[1]
		}
		part := func(potassium, sodium float64) float64 {
			k, na := reagent.moles*potassium/reagent.purity, other.moles*sodium/other.purity
			return k / (k + na)
		}
		b.potash.Low = min(b.potash.Low, part(reagent.pure.Low, other.pure.High))
		b.potash.High = max(b.potash.High, part(reagent.pure.High, other.pure.Low))
	}
	return r
}
