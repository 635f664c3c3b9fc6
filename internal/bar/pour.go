package bar

import (
	"fmt"
	"slices"
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
	RuleKind            = "BAR-KIND"          // a material that does not say what it is
	RuleNoSAP           = "BAR-SAP"           // an oil without a saponification value
	RuleUnproved        = "BAR-UNPROVED"      // known too loosely, or in a way this version cannot compute
	RuleLyeHeavy        = "BAR-LYE-HEAVY"     // more alkali than the fats can bind
	RuleLyeMargin       = "BAR-LYE-MARGIN"    // lye-heavy if the oils are at the low end of their species
	RuleLateOil         = "BAR-LATE-OIL"      // an oil kept back from lye that is still there
	RuleLyeAmount       = "BAR-LYE-AMOUNT"    // neither superfat nor weight of the alkali
	RulePurity          = "BAR-PURITY"        // purity of the alkali not stated
	RuleUnlisted        = "BAR-UNLISTED"      // a substance that is not among the built-in ones
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
	Alkali  Alkali
	Water   float64 // poured with the alkali
	Fats    float64 // mol of alkali that all saponified fats bind
	Sources []Source

	roles      []Role // of each source
	water, lye int    // the sources that are the water and the alkali
	perfume    []Scent
}

// An Alkali is what is weighed of it.
type Alkali struct {
	Name   string // "sodium hydroxide"
	Pure   float64
	Weigh  float64
	purity float64
}

// A Scent is a source of which the supplier states allergens.
type Scent struct {
	Source    int
	Material  formula.Material
	Grams     float64
	Statement []formula.Allergen // none where the supplier gave none
}

// Saponified gives the share of the fats' equivalents that the alkali takes up:
// above 1 the bar is lye-heavy.
func (b *Batter) Saponified() float64 {
	return b.Alkali.Pure / b.Alkali.molarMass() / b.Fats
}

// Superfat gives the part of the fats' equivalents that stays unbound. It is
// below nought for a lye-heavy bar; it is never clamped.
func (b *Batter) Superfat() float64 { return 1 - b.Saponified() }

// Scents gives the sources that bring fragrance.
func (b *Batter) Scents() []Scent { return b.perfume }

func (a Alkali) potassium() bool { return formula.ID(a.Name) == "potassium-hydroxide" }

func (a Alkali) molarMass() float64 {
	if a.potassium() {
		return inci.MolarMassKOH
	}
	return inci.MolarMassNaOH
}

// Pour works out the weights of a formula. The batter is nil where a finding of
// level stop says that the weights cannot be known.
func Pour(f formula.Formula, library formula.Library) (*Batter, []finding.Finding) {
	p := pourer{formula: f, library: library, batter: &Batter{Formula: f.ID, At: f.Name.At}}
	p.refuse()
	scale := p.weighPot()
	if p.stopped {
		return nil, p.findings
	}
	for i, a := range f.Add {
		p.add(i, a, scale)
	}
	if p.stopped {
		return nil, p.findings
	}
	p.weighLye(scale)
	if p.stopped {
		return nil, p.findings
	}
	p.judgeLye()
	return p.batter, p.findings
}

// A pourer carries what Pour has found so far.
type pourer struct {
	formula  formula.Formula
	library  formula.Library
	batter   *Batter
	findings []finding.Finding
	stopped  bool // the weights cannot be known
}

func (p *pourer) report(level finding.Level, rule string, at finding.Pos, message, remedy string) {
	p.findings = append(p.findings, finding.Finding{Level: level, Rule: rule, At: at, Message: message, Remedy: remedy})
	p.stopped = p.stopped || level == finding.Stop
}

// loose stops labels of what is known as a set only; its middle can be reckoned.
func (p *pourer) loose(at finding.Pos, message, remedy string) {
	p.findings = append(p.findings, finding.Finding{Level: finding.Stop, Rule: RuleUnproved, At: at, Message: message, Remedy: remedy})
}

// unproved refuses what cannot be computed exactly.
func (p *pourer) unproved(at finding.Pos, what string) {
	p.report(finding.Stop, RuleUnproved, at, what+": what is in the bar is unproved, and no label is made of it", "")
}

// refuse stops at the parts of a formula that cannot be computed yet.
func (p *pourer) refuse() {
	f := p.formula
	if f.Size.Batter.Given() {
		p.unproved(f.Size.Batter.At, "a size by the weight of the batter is not worked out by this version")
	}
	if f.Size.Mould.Given() {
		p.unproved(f.Size.Mould.At, "a size by a mould is not worked out by this version")
	}
	if len(f.Base) > 0 {
		p.unproved(f.Base[0].Material.At, "a bar made from a ready-made base is not worked out by this version")
	}
	if f.Lye.Solution.Given() {
		p.unproved(f.Lye.Solution.At, "a ready-made lye solution is not worked out by this version")
	}
	if len(f.Lye.Alkalis) > 1 {
		p.unproved(f.Lye.Alkalis[1].Name.At, "a lye of two alkalis is not worked out by this version")
	}
	for _, l := range f.Lye.Liquids {
		p.unproved(l.Material.At, "a liquid in place of water is not worked out by this version")
	}
}

// weighPot makes sources of the oils in the pot, and gives the factor by which
// weights typed elsewhere in the formula scale.
func (p *pourer) weighPot() (scale float64) {
	f := p.formula
	typed := 0.0
	for _, in := range f.Pot {
		typed += in.Weight.V.Grams()
	}
	p.batter.Oils, scale = typed, 1
	if f.Size.Oils.Given() {
		p.batter.Oils = f.Size.Oils.V.Grams()
		if typed > 0 {
			scale = p.batter.Oils / typed
		}
	}
	for i, in := range f.Pot {
		grams := in.Weight.V.Grams() * scale
		if in.Share.Given() {
			grams = in.Share.V.Fraction() * p.batter.Oils
		}
		m, ok := p.material(in.Material)
		if !ok {
			continue
		}
		switch m.Kind {
		case formula.KindOil, formula.KindOilBlend:
			p.source(fmt.Sprintf("pot[%d] %s", i, m.ID), in.Material, m, grams, true)
		default:
			p.report(finding.Stop, RuleNoSAP, in.Material.At, fmt.Sprintf("%q is a %s, not an oil: lye has nothing to saponify in it", in.Material.V, m.Kind), "move it to add")
		}
	}
	return scale
}

// add makes a source of one addition and of what it is stirred in with.
func (p *pourer) add(i int, a formula.Addition, scale float64) {
	if a.Batch.Given() {
		p.unproved(a.Batch.At, "bars of another batch as crumbs are not worked out by this version")
		return
	}
	m, ok := p.material(a.Material)
	if !ok {
		return
	}
	if a.Stays.Given() {
		p.unproved(a.Stays.At, "a material that leaves in the cure is not worked out by this version")
		return
	}
	ref := fmt.Sprintf("add[%d] %s", i, m.ID)
	grams := p.amount(a.Amount, a.In, scale)
	switch m.Kind {
	case formula.KindOil, formula.KindOilBlend:
		p.source(ref, a.Material, m, grams, p.meetsLye(a))
	case formula.KindFragrance, formula.KindEssentialOil:
		p.source(ref, a.Material, m, grams, false)
		p.batter.perfume = append(p.batter.perfume, Scent{len(p.batter.Sources) - 1, m, grams, m.Allergens})
	case formula.KindColourant, formula.KindAdditive:
		p.source(ref, a.Material, m, grams, false)
	default:
		p.unproved(a.Material.At, fmt.Sprintf("%q is a %s, and what that becomes in the bar is not worked out by this version", a.Material.V, m.Kind))
		return
	}
	for j, carrier := range a.With {
		cm, ok := p.material(carrier.Material)
		if !ok {
			continue
		}
		if cm.Kind != formula.KindOil && cm.Kind != formula.KindOilBlend {
			p.unproved(carrier.Material.At, fmt.Sprintf("%q is a %s: only an oil can carry an addition in this version", carrier.Material.V, cm.Kind))
			continue
		}
		p.source(fmt.Sprintf("add[%d].with[%d] %s", i, j, cm.ID), carrier.Material, cm, p.amount(carrier.Amount, a.In, scale), p.meetsLye(a))
	}
}

// meetsLye reports whether an oil that is added late still meets lye. Added to
// cold soap it does, as late as the trace; only after a full cook it does not.
func (p *pourer) meetsLye(a formula.Addition) bool {
	if a.At.V != "after" && a.At.V != "top" {
		return true
	}
	if p.formula.Process.V != "hot" {
		p.report(finding.Stop, RuleLateOil, a.At.At, fmt.Sprintf("%q is to stay an oil, but in a cold process lye is still there to take it up", a.Material.V), "add it at trace, or make the soap by the hot process")
	}
	return false
}

// amount gives the grams of an addition; a share is of the oils of its portion.
func (p *pourer) amount(a formula.Amount, portion formula.Text, scale float64) float64 {
	if a.Weight.Given() {
		return a.Weight.V.Grams() * scale
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
		remedy := fmt.Sprintf("write materials/%s.yaml with what the supplier states", formula.ID(id.V))
		if near := p.library.Nearest(id.V); near != "" {
			remedy = fmt.Sprintf("did you mean %q? If not, %s", near, remedy)
		}
		p.report(finding.Stop, RuleUnknownMaterial, id.At, fmt.Sprintf("there is no material %q", id.V), remedy)
		return m, false
	}
	if m.Kind == "" {
		p.report(finding.Stop, RuleKind, id.At, fmt.Sprintf("the material %q does not say of what kind it is", m.ID), fmt.Sprintf("write kind: oil, or fragrance, colourant, additive …, in materials/%s.yaml", m.ID))
		return m, false
	}
	return m, true
}

// source adds a weighed thing to the batter.
func (p *pourer) source(ref string, at formula.Text, m formula.Material, grams float64, saponified bool) {
	s := Source{Ref: ref, At: at.At, Mass: grams}
	var ok bool
	if s.Parts, ok = p.parts(m, at, saponified); !ok {
		return
	}
	var err error
	if s.Shares, err = shares(m); err == nil {
		_, err = s.Shares.Middle()
	}
	if err != nil {
		p.report(finding.Stop, RuleBlend, at.At, fmt.Sprintf("the statement on %q contradicts itself: %v", m.ID, err), "compare the shares with the supplier's list")
		return
	}
	// A set of shares stops labels, but not the reckoning: its middle is shown.
	if _, exact := s.Shares.Point(); !exact {
		p.loose(at.At, fmt.Sprintf("of %q only an order or a range is known, so the order of the ingredients is unproved, and no label is made of it", m.ID), fmt.Sprintf("ask the supplier for the percentage of each oil, and write it in materials/%s.yaml", m.ID))
	}
	p.batter.Sources = append(p.batter.Sources, s)
	p.batter.roles = append(p.batter.roles, roleOf(m.Kind))
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

// weighLye works out alkali and water and adds them as sources.
func (p *pourer) weighLye(scale float64) {
	b, lye := p.batter, p.formula.Lye
	for _, s := range b.Sources {
		shares, err := s.Shares.Middle()
		if err != nil {
			continue // reported by source
		}
		for i, part := range s.Parts {
			if part.Fat != nil {
				acids, esters := part.Fat.Equivalents()
				b.Fats += s.Mass * shares[i] * (acids + esters)
			}
		}
	}
	alkali := lye.Alkalis[0]
	b.Alkali = Alkali{Name: strings.ReplaceAll(formula.ID(alkali.Name.V), "-", " "), purity: 1}
	if alkali.Purity.Given() {
		b.Alkali.purity = alkali.Purity.V.Fraction()
	} else {
		p.report(finding.Note, RulePurity, alkali.Name.At, fmt.Sprintf("the purity of the %s is not stated and is taken as 100 %%", b.Alkali.Name), "write purity: 98% or what the supplier's certificate says")
	}
	switch {
	case !lye.Weight.Given() && lye.Ratio == nil && !lye.Superfat.Given():
		p.report(finding.Stop, RuleLyeAmount, lye.At, "how much alkali is poured is not said", "write superfat: 5%, or the weight of the alkali")
		return
	case lye.Weight.Given():
		b.Alkali.Weigh = lye.Weight.V.Grams() * scale
	case lye.Ratio != nil:
		b.Alkali.Weigh = lye.Ratio.Alkali.V.Grams() / lye.Ratio.Oils.V.Grams() * b.Oils
	default:
		b.Alkali.Weigh = (1 - lye.Superfat.V.Fraction()) * b.Fats * b.Alkali.molarMass() / b.Alkali.purity
	}
	b.Alkali.Pure = b.Alkali.Weigh * b.Alkali.purity
	switch w := lye.Water; {
	case w.Weight.Given():
		b.Water = w.Weight.V.Grams() * scale
	case w.Strength.Given():
		c := w.Strength.V.Fraction()
		b.Water = b.Alkali.Weigh * (1 - c) / c
	case w.OfOils.Given():
		b.Water = w.OfOils.V.Fraction() * b.Oils
	case w.PerLye.Given():
		b.Water = w.PerLye.V * b.Alkali.Weigh
	}
	b.lye = len(b.Sources)
	b.Sources = append(b.Sources,
		b.Alkali.source(alkali.Name.At),
		Source{Ref: "lye.water", At: alkali.Name.At, Mass: b.Water, Shares: blend.Exactly(1), Parts: []Part{{Names: builtinNames("water")}}})
	b.roles = append(b.roles, Substance, Water)
	b.water = b.lye + 1
}

// judgeLye stops a lye-heavy formula, and warns of one that would be lye-heavy if
// its oils stood at the low end of what handbooks print for their species.
func (p *pourer) judgeLye() {
	b := p.batter
	at := p.formula.Lye.Alkalis[0].Name.At
	share := b.Saponified()
	if share > 1+tolerance {
		over := (share - 1) * b.Fats * b.Alkali.molarMass() / b.Alkali.purity
		p.findings = append(p.findings, finding.Finding{
			Level: finding.Stop, Rule: RuleLyeHeavy, At: at, Cite: citeLye,
			Message: fmt.Sprintf("the bar is lye-heavy: its fats can bind %.1f g of this %s, and %.1f g are poured (superfat %.1f %%)", b.Alkali.Weigh-over, b.Alkali.Name, b.Alkali.Weigh, 100*b.Superfat()),
			Remedy:  fmt.Sprintf("take at least %.1f g less %s, or check the weights of the oils; do not use or sell bars made this way", over, b.Alkali.Name),
		})
		return
	}
	least := 0.0
	for _, s := range b.Sources {
		shares, err := s.Shares.Middle()
		if err != nil {
			continue
		}
		for i, part := range s.Parts {
			if part.Fat == nil {
				continue
			}
			low := *part.Fat
			if low.Published != (measure.Range{}) {
				low.SAP = low.Published.Low
			}
			acids, esters := low.Equivalents()
			least += s.Mass * shares[i] * (acids + esters)
		}
	}
	if moles := b.Alkali.Pure / b.Alkali.molarMass(); moles > least*(1+tolerance) {
		p.findings = append(p.findings, finding.Finding{
			Level: finding.Warn, Rule: RuleLyeMargin, At: at,
			Cite:    "published saponification ranges of the oils, as held in the built-in data with their sources",
			Message: fmt.Sprintf("with every oil at the low end of its published saponification range the bar would be lye-heavy by %.1f %%; at the middle of the ranges the superfat is %.1f %%", 100*(moles/least-1), 100*b.Superfat()),
			Remedy:  fmt.Sprintf("ask the supplier for the saponification value of the lot, or take a superfat of at least %.1f %%", 100*(1-least/b.Fats)+0.05),
		})
	}
}

// shares gives the set of compositions that a material's statement allows.
func shares(m formula.Material) (blend.Union, error) {
	if len(m.Contains) <= 1 {
		return blend.Exactly(1), nil
	}
	set := blend.Free(len(m.Contains))
	for i, c := range m.Contains {
		if c.Share.Given() {
			set.Low[i], set.High[i] = c.Share.V.Low.Fraction(), c.Share.V.High.Fraction()
		}
		if i > 0 {
			set.Down[i-1] = m.Order != formula.Unknown
		}
	}
	return blend.Union{set}, nil
}
