package bar

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// The rule ids of this package. They are public and are never reused.
const (
	RuleUnknownMaterial = "BAR-MATERIAL"      // nothing is known of a material
	RuleKind            = "BAR-KIND"          // a material that does not say what it is, or is of no use where it stands
	RuleNoSAP           = "BAR-SAP"           // an oil without a saponification value or a name of its soap
	RuleSAPRange        = "BAR-SAP-RANGE"     // a stated saponification value that its oils do not have
	RuleFigures         = "BAR-FIGURES"       // figures of a fat that are impossible
	RuleUnproved        = "BAR-UNPROVED"      // known too loosely, or in a way this version cannot compute
	RuleLyeAmount       = "BAR-LYE-AMOUNT"    // no alkali, or not said how much
	RuleLyeHeavy        = "BAR-LYE-HEAVY"     // more alkali than the fats can bind
	RuleLyeMargin       = "BAR-LYE-MARGIN"    // lye-heavy if the oils are at the low end of their species
	RuleLateOil         = "BAR-LATE-OIL"      // an oil kept back from lye that is still there
	RulePurity          = "BAR-PURITY"        // the purity of the alkali is not stated, or is unusual
	RuleUnlisted        = "BAR-UNLISTED"      // a substance that is not among the built-in ones
	RuleAmbiguous       = "BAR-AMBIGUOUS"     // a name that several substances share
	RuleBlend           = "BAR-CONTRADICTION" // a statement that no composition satisfies
)

// citeLye is why a lye-heavy bar is stopped: no paragraph of law, but chemistry.
const citeLye = "mass balance of saponification (ISO 3657: saponification value); the alkali left over is free sodium or potassium hydroxide, which burns skin"

// A Batter is a formula with its weights worked out: what goes on the scale, and
// the sources that the bar is made of. Weights are in grams.
type Batter struct {
	Formula string      // its id
	At      finding.Pos // where the formula says its name
	Oils    float64     // in the pot, by which the trade reckons shares
	Alkali  AlkaliWeight
	Water   float64 // poured with the alkali
	Fats    float64 // mol of alkali that all saponified fats bind
	Sources []Source
	Scents  []Scent
}

// An AlkaliWeight is what is weighed of the alkali.
type AlkaliWeight struct {
	Name   string // "sodium hydroxide"
	Pure   float64
	Weigh  float64
	purity float64
}

// A Scent is a source of which the supplier states allergens and limits.
type Scent struct {
	Source    int // index into Batter.Sources
	Material  string
	Statement []formula.Allergen // none where the supplier gave none
	MaxUse    *formula.MaxUse    // nil where the supplier gave none
}

// Saponified gives the share of the fats' equivalents that the alkali takes up:
// above 1 the bar is lye-heavy.
func (b *Batter) Saponified() float64 { return b.Alkali.moles() / b.Fats }

// Superfat gives the part of the fats' equivalents that stays unbound. It is
// below nought for a lye-heavy bar; it is never clamped.
func (b *Batter) Superfat() float64 { return 1 - b.Saponified() }

// Mass gives all that was weighed.
func (b *Batter) Mass() float64 {
	total := 0.0
	for _, s := range b.Sources {
		total += s.Mass
	}
	return total
}

func (a AlkaliWeight) potassium() bool { return formula.ID(a.Name) == "potassium-hydroxide" }

func (a AlkaliWeight) molarMass() float64 {
	if a.potassium() {
		return inci.MolarMassKOH
	}
	return inci.MolarMassNaOH
}

// moles gives the hydroxide that is weighed.
func (a AlkaliWeight) moles() float64 { return a.Pure / a.molarMass() }

// Pour works out the weights of a formula that was read without a stop. The
// batter is nil where a finding says that the weights cannot be known.
func Pour(f formula.Formula, library formula.Library) (*Batter, []finding.Finding) {
	p := pourer{formula: f, library: library, batter: &Batter{Formula: f.ID, At: f.Name.At}}
	for _, step := range []func(){p.refuse, p.weighPot, p.weighAdditions, p.weighLye, p.judgeLye} {
		if step(); p.stopped {
			return nil, p.findings
		}
	}
	return p.batter, p.findings
}

// A pourer carries what Pour has found so far.
type pourer struct {
	formula  formula.Formula
	library  formula.Library
	batter   *Batter
	scale    float64 // by which weights that are typed in the formula scale
	findings []finding.Finding
	stopped  bool // the weights cannot be known
}

func (p *pourer) report(level finding.Level, rule string, at finding.Pos, message, remedy string) {
	p.findings = append(p.findings, finding.Finding{Level: level, Rule: rule, At: at, Message: message, Remedy: remedy})
}

// stop reports what keeps the weights from being known.
func (p *pourer) stop(rule string, at finding.Pos, message, remedy string) {
	p.report(finding.Stop, rule, at, message, remedy)
	p.stopped = true
}

// unproved refuses what cannot be computed by this version.
func (p *pourer) unproved(at finding.Pos, what, remedy string) {
	p.stop(RuleUnproved, at, what+" is not worked out by this version: what is in the bar is unproved, and no label is made of it", remedy)
}

// loose stops labels of what is known as a set only. Its middle can be reckoned.
func (p *pourer) loose(at finding.Pos, what, remedy string) {
	p.report(finding.Stop, RuleUnproved, at, what+", so the order of the ingredients is unproved, and no label is made of it", remedy)
}

// refuse stops at the parts of a formula that cannot be computed yet.
func (p *pourer) refuse() {
	f := p.formula
	if f.Size.Batter.Given() {
		p.unproved(f.Size.Batter.At, "a size by the weight of the batter", "give the weight of the oils: size: {oils: 1000 g}")
	}
	if f.Size.Mould.Given() {
		p.unproved(f.Size.Mould.At, "a size by a mould", "give the weight of the oils: size: {oils: 1000 g}")
	}
	if len(f.Base) > 0 {
		p.unproved(f.Base[0].Material.At, "a bar made from a ready-made base", "label bars that are made from oils and lye")
		return
	}
	if f.Lye.Solution.Given() {
		p.unproved(f.Lye.Solution.At, "a ready-made lye solution", "give the alkali, and the water that is in the solution")
		return
	}
	for i, a := range f.Lye.Alkalis {
		if i > 0 {
			p.unproved(a.Name.At, "a lye of two alkalis", "use one alkali")
		}
		if a.Carbonate.Given() {
			p.unproved(a.Carbonate.At, "carbonate in the alkali", "give the purity as hydroxide by mass, and leave the carbonate out")
		}
	}
	if len(f.Lye.Alkalis) == 0 {
		p.stop(RuleLyeAmount, f.Lye.At, "there is no alkali in the lye", "write alkali: sodium hydroxide")
	}
	for _, l := range f.Lye.Liquids {
		p.unproved(l.Material.At, "a liquid in place of water", "use water")
	}
}

// weighPot makes sources of the oils in the pot.
func (p *pourer) weighPot() {
	f := p.formula
	typed := 0.0
	for _, in := range f.Pot {
		typed += in.Weight.V.Grams()
	}
	p.batter.Oils, p.scale = typed, 1
	if f.Size.Oils.Given() {
		p.batter.Oils = f.Size.Oils.V.Grams()
		if typed > 0 {
			p.scale = p.batter.Oils / typed
		}
	}
	for i, in := range f.Pot {
		m, ok := p.material(in.Material)
		if !ok {
			continue
		}
		if m.Kind != formula.KindOil && m.Kind != formula.KindOilBlend {
			p.stop(RuleKind, in.Material.At, fmt.Sprintf("%q is no oil: its kind is %q, and lye has nothing to saponify in it", in.Material.V, m.Kind), "move it to add")
			continue
		}
		grams := in.Weight.V.Grams() * p.scale
		if in.Share.Given() {
			grams = in.Share.V.Fraction() * p.batter.Oils
		}
		p.source(fmt.Sprintf("pot[%d] %s", i, m.ID), in.Material, m, grams, true)
	}
}

func (p *pourer) weighAdditions() {
	for i, a := range p.formula.Add {
		p.add(i, a)
	}
}

// add makes a source of one addition and of what it is stirred in with.
func (p *pourer) add(i int, a formula.Addition) {
	if a.Batch.Given() {
		p.unproved(a.Batch.At, "the use of another batch's bars as crumbs", "leave the crumbs out, or label the bars another way for now")
		return
	}
	m, ok := p.material(a.Material)
	if !ok {
		return
	}
	if a.Stays.Given() {
		p.unproved(a.Stays.At, "a material that leaves in the cure", "leave it out, or leave out how much of it stays")
		return
	}
	grams := p.amount(a.Amount, a.In)
	saponified := false
	switch m.Kind {
	case formula.KindOil, formula.KindOilBlend:
		saponified = p.meetsLye(a)
	case formula.KindFragrance, formula.KindEssentialOil:
		p.batter.Scents = append(p.batter.Scents, Scent{len(p.batter.Sources), m.ID, m.Allergens, m.MaxUse})
	case formula.KindColourant, formula.KindAdditive:
	default:
		p.unproved(a.Material.At, fmt.Sprintf("what becomes of %q, whose kind is %q,", a.Material.V, m.Kind), "leave it out, or use an additive that passes through lye unchanged")
		return
	}
	p.source(fmt.Sprintf("add[%d] %s", i, m.ID), a.Material, m, grams, saponified)
	for j, with := range a.With {
		carrier, ok := p.material(with.Material)
		if !ok {
			continue
		}
		if carrier.Kind != formula.KindOil && carrier.Kind != formula.KindOilBlend {
			p.unproved(with.Material.At, fmt.Sprintf("%q, whose kind is %q, as a carrier", with.Material.V, carrier.Kind), "use an oil, or add it on a line of its own")
			continue
		}
		p.source(fmt.Sprintf("add[%d].with[%d] %s", i, j, carrier.ID), with.Material, carrier, p.amount(with.Amount, a.In), p.meetsLye(a))
	}
}

// meetsLye reports whether an oil that is added late still meets lye. Added to
// cold soap it does, as late as the trace; only after a full cook it does not.
func (p *pourer) meetsLye(a formula.Addition) bool {
	if a.At.V != "after" && a.At.V != "top" {
		return true
	}
	if p.formula.Process.V != "hot" {
		p.stop(RuleLateOil, a.At.At, fmt.Sprintf("%q is to stay an oil, but in a cold process lye is still there to take it up", a.Material.V), "add it at trace, or make the soap by the hot process")
	}
	return false
}

// amount gives the grams of an addition; a share is of the oils of its portion.
func (p *pourer) amount(a formula.Amount, portion formula.Text) float64 {
	if a.Weight.Given() {
		return a.Weight.V.Grams() * p.scale
	}
	grams := a.Share.V.Fraction() * p.batter.Oils
	for _, q := range p.formula.Portions {
		if portion.Given() && q.Name.V == portion.V {
			grams *= q.Share.V.Fraction()
		}
	}
	return grams
}

// Unknown gives a finding for each material of a formula that is not known, for a
// formula that is not whole enough to be poured.
func Unknown(f formula.Formula, library formula.Library) []finding.Finding {
	p := pourer{library: library}
	for _, in := range slices.Concat(f.Pot, f.Base) {
		p.material(in.Material)
	}
	for _, a := range f.Add {
		p.material(a.Material)
		for _, with := range a.With {
			p.material(with.Material)
		}
	}
	return p.findings
}

// material finds a material, or reports that it is not known. A name that is not
// there is not asked for.
func (p *pourer) material(id formula.Text) (formula.Material, bool) {
	if !id.Given() {
		return formula.Material{}, false
	}
	m, ok := p.library.Find(id.V)
	if !ok {
		remedy := "write a file for it in materials, with what the supplier states"
		if formula.IsID(formula.ID(id.V)) {
			remedy = fmt.Sprintf("write materials/%s.yaml with what the supplier states", formula.ID(id.V))
		}
		if near := p.library.Nearest(id.V); near != "" {
			remedy = fmt.Sprintf("did you mean %q? If not, %s", near, remedy)
		}
		p.stop(RuleUnknownMaterial, id.At, fmt.Sprintf("there is no material %q", id.V), remedy)
		return m, false
	}
	if m.Kind == "" {
		p.stop(RuleKind, id.At, fmt.Sprintf("the material %q does not say of what kind it is", m.ID), fmt.Sprintf("write kind: oil, or fragrance, colourant, additive …, in materials/%s.yaml", m.ID))
		return m, false
	}
	return m, true
}

// source adds a weighed thing to the batter.
func (p *pourer) source(ref string, at formula.Text, m formula.Material, grams float64, saponified bool) {
	s := Source{Ref: ref, At: at.At, Role: roleOf(m.Kind), Mass: grams, Shares: shares(m)}
	middle, err := s.Shares.Middle()
	if err != nil {
		p.stop(RuleBlend, at.At, fmt.Sprintf("the statement on %q contradicts itself: %v", m.ID, err), "compare the shares with the supplier's list")
		return
	}
	var ok bool
	if s.Parts, ok = p.parts(m, at, saponified); !ok {
		return
	}
	if saponified && len(m.Contains) > 1 {
		switch {
		case m.SAP != nil:
			p.scaleToStated(m, s.Parts, middle)
		case len(m.FattyAcids) > 0:
			p.unproved(m.FattyAcids[0].Code.At, fmt.Sprintf("a profile of fatty acids for a blend such as %q", m.ID), "give the saponification value of the blend, or leave the profile out")
			return
		}
	}
	// A set of shares stops labels, but not the reckoning: its middle is shown.
	_, exact := s.Shares.Point()
	if len(m.Contains) == 1 && m.Contains[0].Share.Given() && m.Contains[0].Share.V.Low < measure.Whole {
		exact = false // what makes up the rest is not listed
	}
	if !exact {
		p.loose(at.At, fmt.Sprintf("of %q only an order or a range is known", m.ID), fmt.Sprintf("ask the supplier for the percentage of each part, and write it in materials/%s.yaml", m.ID))
	}
	p.batter.Sources = append(p.batter.Sources, s)
}

// roleOf gives what a material is to a declaration as long as lye leaves it alone.
func roleOf(kind formula.Kind) Role {
	switch kind {
	case formula.KindFragrance:
		return Perfume
	case formula.KindEssentialOil:
		return EssentialOil
	case formula.KindColourant:
		return Colourant
	}
	return Substance
}

// shares gives the set of compositions that a material's statement allows. A list
// in legal order says nothing below 1 %, so no order is taken from it here.
func shares(m formula.Material) blend.Union {
	if len(m.Contains) <= 1 {
		return blend.Exactly(1)
	}
	set := blend.Free(len(m.Contains))
	for i, c := range m.Contains {
		if c.Share.Given() {
			set.Low[i], set.High[i] = c.Share.V.Low.Fraction(), c.Share.V.High.Fraction()
		}
		if i > 0 {
			set.Down[i-1] = m.Order == formula.Descending
		}
	}
	return blend.Union{set}
}

// usualPurity is from what share of hydroxide on an alkali is sold for soap: the
// national formulary asks for 95 % of sodium hydroxide and 85 % of potassium
// hydroxide (USP 28, NF 23), and what is below 80 % is a slip more often than not.
const (
	usualPurity = 0.80
	leastPurity = 0.50
)

// weighLye works out alkali and water and adds them as sources.
func (p *pourer) weighLye() {
	b, lye := p.batter, p.formula.Lye
	at, err := middle(b.Sources)
	if err != nil {
		return // reported by source
	}
	acids, esters := equivalents(b.Sources, at)
	b.Fats = acids + esters
	alkali := lye.Alkalis[0]
	b.Alkali = AlkaliWeight{Name: strings.ReplaceAll(formula.ID(alkali.Name.V), "-", " "), purity: 1}
	if alkali.Purity.Given() {
		b.Alkali.purity = alkali.Purity.V.Fraction()
		if b.Alkali.purity < leastPurity {
			p.stop(RulePurity, alkali.Purity.At, fmt.Sprintf("a purity of %s is that of no %s: more than half of it would be something else, which would stay in the bar", strconv.FormatFloat(alkali.Purity.V.Percent(), 'f', -1, 64)+" %", b.Alkali.Name), "compare it with the supplier's certificate")
			return
		}
		if b.Alkali.purity < usualPurity {
			p.report(finding.Warn, RulePurity, alkali.Purity.At, fmt.Sprintf("a purity of %s is far below what %s is sold with", strconv.FormatFloat(alkali.Purity.V.Percent(), 'f', -1, 64)+" %", b.Alkali.Name), "compare it with the supplier's certificate")
		}
	} else {
		p.report(finding.Note, RulePurity, alkali.Name.At, fmt.Sprintf("the purity of the %s is not stated and is taken as 100 %%", b.Alkali.Name), "write purity: 98% or what the supplier's certificate says")
	}
	switch {
	case lye.Weight.Given():
		b.Alkali.Weigh = lye.Weight.V.Grams() * p.scale
	case lye.Ratio != nil:
		b.Alkali.Weigh = lye.Ratio.Alkali.V.Grams() / lye.Ratio.Oils.V.Grams() * b.Oils
	case lye.Superfat.Given():
		b.Alkali.Weigh = (1 - lye.Superfat.V.Fraction()) * b.Fats * b.Alkali.molarMass() / b.Alkali.purity
	default:
		p.stop(RuleLyeAmount, lye.At, "how much alkali is poured is not said", "write superfat: 5%, or the weight of the alkali")
		return
	}
	b.Alkali.Pure = b.Alkali.Weigh * b.Alkali.purity
	if !(b.Alkali.Pure > 0) {
		p.stop(RuleLyeAmount, lye.At, "no alkali is poured, so nothing becomes soap", "write a superfat below 100 %, or the weight of the alkali")
		return
	}
	switch w := lye.Water; {
	case w.Weight.Given():
		b.Water = w.Weight.V.Grams() * p.scale
	case w.Strength.Given():
		c := w.Strength.V.Fraction()
		b.Water = b.Alkali.Weigh * (1 - c) / c
	case w.OfOils.Given():
		b.Water = w.OfOils.V.Fraction() * b.Oils
	case w.PerLye.Given():
		b.Water = w.PerLye.V * b.Alkali.Weigh
	}
	// What is not hydroxide in the alkali is a part of its own.
	b.Sources = append(b.Sources,
		Source{
			Ref: "lye " + b.Alkali.Name, At: alkali.Name.At, Role: Alkali, Mass: b.Alkali.Weigh,
			Shares: blend.Exactly(b.Alkali.purity, 1-b.Alkali.purity), Parts: []Part{{Names: builtinNames(formula.ID(b.Alkali.Name))}, {}},
		},
		Source{
			Ref: "lye.water", At: alkali.Name.At, Role: Water, Mass: b.Water,
			Shares: blend.Exactly(1), Parts: []Part{{Names: builtinNames("water")}},
		})
}

// judgeLye stops a lye-heavy formula, and warns of one that would be lye-heavy if
// its oils stood at the low end of what handbooks print for their species.
func (p *pourer) judgeLye() {
	b := p.batter
	at := p.formula.Lye.Alkalis[0].Name.At
	if heavy(b.Alkali.moles(), b.Fats) {
		over := (b.Alkali.moles() - b.Fats) * b.Alkali.molarMass() / b.Alkali.purity
		p.findings = append(p.findings, finding.Finding{
			Level: finding.Stop, Rule: RuleLyeHeavy, At: at, Cite: citeLye,
			Message: fmt.Sprintf("the bar is lye-heavy: its fats can bind %.2f g of this %s, and %.2f g are poured (superfat %.2f %%)", b.Alkali.Weigh-over, b.Alkali.Name, b.Alkali.Weigh, 100*b.Superfat()),
			Remedy:  fmt.Sprintf("take at least %.1f g less %s, or check the weights of the oils; do not use or sell bars made this way", math.Ceil(10*over)/10, b.Alkali.Name),
		})
		return
	}
	least, most := p.spread(func(r measure.Range) float64 { return r.Low }), p.spread(func(r measure.Range) float64 { return r.High })
	if heavy(b.Alkali.moles(), most) {
		// Only a lot whose figure its oils do not have in the books gets here.
		f := finding.Finding{
			Level: finding.Stop, Rule: RuleLyeHeavy, At: at, Cite: citeLye,
			Message: fmt.Sprintf("the bar is lye-heavy by %.1f %% even if every oil stood at the high end of its published saponification range: the figures of its materials ask for more alkali than such oils bind", 100*(b.Alkali.moles()/most-1)),
			Remedy:  "compare the saponification values and fatty acids of the materials with the suppliers' documents; do not use or sell bars made this way before that",
		}
		if p.stopped = p.confirmed(); !p.stopped {
			f.Level = finding.Warn
			f.Message += " (unconfirmed: some of these ranges are recalled, their text was not read)"
		}
		p.findings = append(p.findings, f)
		return
	}
	if heavy(b.Alkali.moles(), least) {
		p.findings = append(p.findings, finding.Finding{
			Level: finding.Warn, Rule: RuleLyeMargin, At: at,
			Cite:    "published saponification ranges of the oils, as held in the built-in data with their sources",
			Message: fmt.Sprintf("with every oil at the low end of its published saponification range the bar would be lye-heavy by %.1f %%; at the usual values the superfat is %.1f %%", 100*(b.Alkali.moles()/least-1), 100*b.Superfat()),
			Remedy:  fmt.Sprintf("ask the supplier for the saponification value of the lot, or take a superfat of at least %.1f %%", math.Ceil(1000*(1-least/b.Fats))/10),
		})
	}
}

// spread gives the moles of alkali that the fats bind when each stands at one end
// of its published range. Those without a range keep their own figure.
func (p *pourer) spread(end func(measure.Range) float64) float64 {
	at, err := middle(p.batter.Sources)
	if err != nil {
		return p.batter.Fats // reported by source
	}
	for i, s := range p.batter.Sources {
		for j, part := range s.Parts {
			if part.Fat != nil && part.Fat.Published != (measure.Range{}) {
				at.SAP[i][j] = end(part.Fat.Published)
			}
		}
	}
	acids, esters := equivalents(p.batter.Sources, at)
	return acids + esters
}

// confirmed reports whether the text of every published range that the fats are
// judged by was read.
func (p *pourer) confirmed() bool {
	for _, s := range p.batter.Sources {
		for _, part := range s.Parts {
			if part.Fat != nil && part.Fat.Published != (measure.Range{}) && !part.Fat.Confirmed {
				return false
			}
		}
	}
	return true
}
