package bar

import (
	"fmt"
	"slices"

	"saponym/inci"
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
	RuleProfile         = "BAR-PROFILE"       // a stated saponification value that the stated fatty acids do not give
	RuleFigures         = "BAR-FIGURES"       // figures of a fat that are impossible
	RuleUnproved        = "BAR-UNPROVED"      // known too loosely to say what is in the bar
	RuleLyeAmount       = "BAR-LYE-AMOUNT"    // no alkali, or not said how much
	RuleLyeHeavy        = "BAR-LYE-HEAVY"     // more alkali than the fats can bind
	RuleSuperfat        = "BAR-SUPERFAT"      // so much oil is left over that it is hardly soap
	RuleLyeMargin       = "BAR-LYE-MARGIN"    // lye-heavy if the oils are at the low end of their species
	RuleLateOil         = "BAR-LATE-OIL"      // an oil kept back from lye that is still there
	RulePurity          = "BAR-PURITY"        // the purity of the alkali is not stated, or is unusual
	RuleCarbonate       = "BAR-CARBONATE"     // carbonate in the alkali is not counted
	RuleStrength        = "BAR-LYE-STRENGTH"  // a lye stronger than alkali dissolves, or near it
	RuleWater           = "BAR-WATER"         // liquids that bring more water than the lye is to have
	RuleUnlisted        = "BAR-UNLISTED"      // a substance that is not among the built-in ones
	RuleAmbiguous       = "BAR-AMBIGUOUS"     // a name that several substances share
	RuleBlend           = "BAR-CONTRADICTION" // a statement that no composition satisfies
	RuleWax             = "BAR-WAX"           // a wax, of which a cold process takes up an uncertain part
	RuleSugar           = "BAR-SUGAR"         // sugars that may take up some of the lye
	RuleReacts          = "BAR-REACTS"        // lye changes a thing in a way that is not reckoned
	RuleLeaves          = "BAR-LEAVES"        // something that evaporates, and it is not said how much of it stays
	RuleSize            = "BAR-SIZE"          // a size that cannot be reached
	RuleMould           = "BAR-MOULD"         // no such mould, or one that is too small
	RuleReleased        = "BAR-RELEASED"      // a batch with too much alkali by its weights was released after a test
	RuleCrumbs          = "BAR-CRUMBS"        // finished soap of which the making or the water is not known
)

// A Batter is a formula with its weights worked out: what goes on the scale, and
// the sources that the bar is made of. Weights are in grams, amounts of alkali in
// moles.
type Batter struct {
	Formula   string      // its id
	At        finding.Pos // where the formula says its name
	Oils      float64     // in the pot, or of the base, by which the trade reckons shares
	Alkalis   []AlkaliWeight
	Water     float64       // poured with the alkali as plain water
	Strength  float64       // hydroxide in the lye jug, of hydroxide and water there, 0 to 1
	Fats      float64       // mol of alkali that all saponified fats bind
	Need      measure.Range // the same over all that maker and suppliers state
	Acids     float64       // mol of alkali that is taken up by other things
	ForFats   float64       // mol of alkali that is left for the fats
	Left      measure.Range // the same over all that maker and suppliers state
	Potassium float64       // mole fraction of the alkali that is potassium hydroxide
	Melted    bool          // from a melt-and-pour base
	WaterLeft WaterLeft     // in the cured bar: [Unweighed], unless somebody who has weighed bars fills in another
	Volume    float64       // ml that it takes up in the mould, about
	Portions  []Portion
	Sources   []Source
	Scents    []Scent

	potash measure.Range // Potassium, over all purities that are stated
}

// An AlkaliWeight is what is weighed of one alkali.
type AlkaliWeight struct {
	Name     string // "sodium hydroxide"
	Pure     float64
	Weigh    float64 // dry, or of the solution
	Solution string  // the name of a ready-made solution; "" for dry alkali
}

// A Portion is a part of the batter, with all that is stirred into the whole of it; Mass is
// in grams, before anything is stirred into the portion alone.
type Portion struct {
	Name  string
	Share float64
	Mass  float64
}

// A Scent is a thing of which the supplier states allergens and limits.
type Scent struct {
	Source    int           // index into Batter.Sources
	Mass      measure.Range // g
	Material  string
	Statement []formula.Allergen // none where the supplier gave none
	MaxUse    *formula.MaxUse    // nil where the supplier gave none
	Oils      []ScentOil         // the essential oils in it whose composition is published
	Published bool               // nobody states its allergens, and it is made of Oils alone
	Stated    bool               // somebody does, of it or of what is in it: what is published then tells of other substances alone
}

// A ScentOil is an essential oil in a scent.
type ScentOil struct {
	ID   string        // in package inci
	Mass measure.Range // g
}

// Saponified gives the share of the fats' equivalents that the alkali takes up:
// above 1 the bar is lye-heavy. Without fats it is not a number.
func (b *Batter) Saponified() float64 { return b.ForFats / b.Fats }

// Superfat gives the part of the fats' equivalents that stays unbound. It is
// below nought for a lye-heavy bar; it is never clamped.
func (b *Batter) Superfat() float64 { return 1 - b.Saponified() }

// Superfats gives the superfat over all that maker and suppliers state. The spread of a
// species in handbooks is not in it.
func (b *Batter) Superfats() measure.Range {
	return measure.Range{Low: 1 - b.Left.High/b.Need.Low, High: 1 - b.Left.Low/b.Need.High}
}

// HasLye reports whether soap is made, and not only melted.
func (b *Batter) HasLye() bool { return len(b.Alkalis) > 0 }

// Mass gives all that was weighed.
func (b *Batter) Mass() float64 {
	total := 0.0
	for _, s := range b.Sources {
		total += s.Mass
	}
	return total
}

// Pour works out the weights of a formula that was read without a stop. The
// batter is nil where a finding says that the weights cannot be known.
func Pour(f formula.Formula, library formula.Library) (*Batter, []finding.Finding) {
	return pour(f, library, nil, map[string]making{})
}

// PourMade works out the weights of a batch as it was made. Where the scale says that there
// was too much alkali, and a test says otherwise, the batch was released: then the lye is
// taken to be the one that was asked for, with a warning.
func PourMade(m formula.Making) (*Batter, []finding.Finding) {
	return pourMade(m, nil, map[string]making{})
}

func pourMade(m formula.Making, into []string, made map[string]making) (*Batter, []finding.Finding) {
	batter, found := pour(m.Formula, m.Library, into, made)
	heavy := slices.IndexFunc(found, func(f finding.Finding) bool { return f.Rule == RuleLyeHeavy && f.Level == finding.Stop })
	if heavy < 0 || !m.Released.Date.Given() {
		return batter, found
	}
	message := found[heavy].Message
	batter, found = pour(m.AsReleased, m.Library, into, made)
	r := m.Released
	return batter, append(found, finding.Finding{
		Level: finding.Warn, Rule: RuleReleased, At: r.What.At,
		Message: fmt.Sprintf("by the weights of the batch %s; it was tested, and released by %s on %s, so the lye is taken to be the one that was asked for", message, r.Who.V, r.Date.V),
		Remedy:  "keep the result of the test with the record of the batch",
	})
}

// pour is Pour for a batch whose bars go into others, which are told by their codes;
// made holds the batches that were poured before.
func pour(f formula.Formula, library formula.Library, into []string, made map[string]making) (*Batter, []finding.Finding) {
	return newPourer(f, library, into, made).pour()
}

// A pourer carries what Pour has found so far.
type pourer struct {
	formula  formula.Formula
	library  formula.Library
	into     []string          // codes of batches that this one goes into as crumbs
	made     map[string]making // by code: batches that were poured for their bars
	listed   bool              // a list of finished soap stands for the formula: nobody mixes this lye
	batter   *Batter
	items    []item
	lye      lye
	oils     float64                    // g in the pot, or of the base, once the size is known
	scale    func(oils float64) float64 // of weights that are typed in the formula
	findings []finding.Finding
	stopped  bool // the weights cannot be known
}

func newPourer(f formula.Formula, library formula.Library, into []string, made map[string]making) *pourer {
	return &pourer{formula: f, library: library, into: into, made: made, batter: &Batter{Formula: f.ID, At: f.Name.At, WaterLeft: Unweighed}}
}

func (p *pourer) pour() (*Batter, []finding.Finding) {
	steps := []func(){p.readPot, p.readAdditions, p.readLye, p.readLiquids, p.size, p.weigh, p.judgeLye, p.judgePortions, p.judgeWaxes, p.judgeSugars}
	if !p.hasLye() {
		steps = []func(){p.readBase, p.readAdditions, p.size, p.weigh}
	}
	for _, step := range steps {
		if step(); p.stopped {
			return nil, p.findings
		}
	}
	return p.batter, p.findings
}

func (p *pourer) report(level finding.Level, rule string, at finding.Pos, message, remedy string) {
	p.findings = append(p.findings, finding.Finding{Level: level, Rule: rule, At: at, Message: message, Remedy: remedy})
}

// stop reports what keeps the weights from being known.
func (p *pourer) stop(rule string, at finding.Pos, message, remedy string) {
	p.report(finding.Stop, rule, at, message, remedy)
	p.stopped = true
}

// readPot makes items of the oils in the pot.
func (p *pourer) readPot() {
	for i, in := range p.formula.Pot {
		m, ok := p.material(in.Material)
		if !ok {
			continue
		}
		if m.Kind != formula.KindOil && m.Kind != formula.KindOilBlend {
			p.stop(RuleKind, in.Material.At, fmt.Sprintf("%q is no oil: its kind is %q, and lye has nothing to saponify in it", in.Material.V, m.Kind), "move it to add")
			continue
		}
		it := p.amount(in.Amount, formula.Text{})
		it.inPot = true
		p.item(fmt.Sprintf("pot[%d] %s", i, m.ID), in.Material, m, it, Work{When: ToPot})
	}
}

// readBase makes items of what is melted.
func (p *pourer) readBase() {
	for i, in := range p.formula.Base {
		it := p.amount(in.Amount, formula.Text{})
		it.inPot = true
		if in.Batch.Given() {
			p.ownCrumbs(fmt.Sprintf("base[%d] %s", i, in.Batch.V), in.Batch, it, Work{When: ToPot})
			continue
		}
		m, ok := p.material(in.Material)
		if !ok {
			continue
		}
		ref := fmt.Sprintf("base[%d] %s", i, m.ID)
		switch m.Kind {
		case formula.KindBase:
			p.batter.Melted = true
			p.crumbs(ref, in.Material, m, it, Work{When: ToPot})
		case formula.KindSoap:
			p.crumbs(ref, in.Material, m, it, Work{When: ToPot})
		default:
			p.stop(RuleKind, in.Material.At, fmt.Sprintf("%q is no finished soap: its kind is %q", in.Material.V, m.Kind), "name the base, whose kind is base or soap; what is stirred into it stands under add")
		}
	}
}

func (p *pourer) readAdditions() {
	for i, a := range p.formula.Add {
		p.add(i, a)
	}
}

// add makes items of one addition and of what it is stirred in with.
func (p *pourer) add(i int, a formula.Addition) {
	ref := fmt.Sprintf("add[%d]", i)
	work := Work{When: stage(a.At, AtTrace), Portion: a.In.V}
	if !p.hasLye() && work.When == ToLye {
		p.stop(RuleKind, a.At.At, "there is no lye in a base that is melted", "leave the time out, or write at: top")
		return
	}
	if a.Batch.Given() {
		p.ownCrumbs(ref+" "+a.Batch.V, a.Batch, p.amount(a.Amount, a.In), work)
		return
	}
	m, ok := p.material(a.Material)
	if !ok {
		return
	}
	it := p.amount(a.Amount, a.In)
	it.stays = a.Stays
	before := len(p.items)
	p.addition(ref+" "+m.ID, a, a.Material, m, it, work)
	if len(p.items) == before {
		return // a finding says why
	}
	work.With = before + 1
	for j, with := range a.With {
		carrier, ok := p.material(with.Material)
		if ok {
			p.addition(fmt.Sprintf("%s.with[%d] %s", ref, j, carrier.ID), a, with.Material, carrier, p.amount(with.Amount, a.In), work)
		}
	}
}

// addition makes an item of a material that stands under add.
func (p *pourer) addition(ref string, a formula.Addition, use formula.Text, m formula.Material, it item, work Work) {
	switch m.Kind {
	case formula.KindOil, formula.KindOilBlend:
		if work.When.late() && p.hasLye() && p.formula.Process.V != "hot" {
			p.stop(RuleLateOil, a.At.At, fmt.Sprintf("%q is to stay an oil, but in a cold process lye is still there to take it up", use.V), "add it at trace, or make the soap by the hot process")
			return
		}
		p.item(ref, use, m, it, work)
	case formula.KindSoap, formula.KindBase:
		p.crumbs(ref, use, m, it, work)
	case formula.KindLyeSolution:
		p.stop(RuleKind, use.At, fmt.Sprintf("%q is alkali: it would take up fat without being counted", use.V), "write it under lye")
	default:
		p.item(ref, use, m, it, work) // an alkali is told by its name
	}
}

// meetsLye reports whether fat meets lye. What comes after the cook comes too late, and
// there is none in a base that is melted.
func (p *pourer) meetsLye(work Work) bool { return p.hasLye() && !work.When.late() }

// takesLye reports whether acid is counted on to take up lye. Stirred in after the cook
// it takes it from the soap; strewn on top of the mould it does not reach it.
func (p *pourer) takesLye(work Work) bool { return p.hasLye() && work.When != OnTop }

// hasLye reports whether soap is made, and not only melted.
func (p *pourer) hasLye() bool { return len(p.formula.Base) == 0 }

// Unknown gives a finding for each material of a formula that is not known, for a
// formula that is not whole enough to be poured.
func Unknown(f formula.Formula, library formula.Library) []finding.Finding {
	p := pourer{library: library}
	for _, in := range slices.Concat(f.Pot, f.Base) {
		p.material(in.Material)
	}
	for _, l := range f.Lye.Liquids {
		p.material(l.Material)
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

// item makes an item of a material. What lye does to it hangs on when it goes in.
func (p *pourer) item(ref string, use formula.Text, m formula.Material, it item, work Work) {
	isOil := m.Kind == formula.KindOil || m.Kind == formula.KindOilBlend
	work.Name = commonName(m)
	s := Source{Ref: ref, At: use.At, Work: work, Material: &m}
	ok := false
	if moist, has := p.moisture(m); has {
		ok = p.bought(&s, m, moist, use)
	} else {
		ok = p.parts(&s, m, use, work)
	}
	if !ok {
		return
	}
	if isOil && p.meetsLye(work) && len(m.Contains) > 1 {
		if p.stated(&s, m); p.stopped {
			return
		}
	}
	p.evaporates(&s, m, it.stays, use)
	if m.Kind == formula.KindFragrance || m.Kind == formula.KindEssentialOil {
		it.scents = append(it.scents, p.scent(measure.Exactly(1), s, m))
	}
	p.take(it, s, use)
}

// scent gives the scent in a source, of which it is a share. Of the essential oils in it
// is known what is published; a statement of allergens wins where there is one.
func (p *pourer) scent(share measure.Range, s Source, m formula.Material) scentIn {
	in := scentIn{share: share, material: m.ID, statement: m.Allergens, maxUse: m.MaxUse}
	in.stated = p.stating(m)
	others := false
	for j, part := range s.Parts {
		if part.Role != Perfume && part.Role != EssentialOil {
			continue
		}
		if _, ok := inci.EssentialOilByID(part.Names.ID); !ok {
			others = true
			continue
		}
		in.oils = append(in.oils, oilIn{part.Names.ID, s.shareOf(j)})
	}
	in.published = len(in.oils) > 0 && !others && !in.stated
	return in
}

// stating reports whether the supplier of a material, or of one that is in it, states
// allergens. Of part of a scent alone that is not all, but it is better than what is
// published, and must not be counted beside it.
func (p *pourer) stating(m formula.Material) bool {
	return len(m.Allergens) > 0 || slices.ContainsFunc(m.Contains, func(c formula.Constituent) bool {
		inner, ok := p.library.Find(c.Material.V)
		return ok && c.Material.Given() && p.stating(inner)
	})
}

// take puts a source among the items, unless nothing can be what is known of it.
func (p *pourer) take(it item, s Source, use formula.Text) {
	if len(s.Parts) > formula.MostListed { // as a bar of many blends has
		p.tooMany(use.V, use.At)
		return
	}
	shares, err := s.middle()
	if err != nil {
		p.stop(RuleBlend, use.At, fmt.Sprintf("what is stated of %q contradicts itself: no composition of its list has the %s", use.V, s.held()), "compare the shares and the figures with the supplier's document")
		return
	}
	it.source, it.middle, it.figures = s, shares, s.fats(shares)
	p.items = append(p.items, it)
}

// held says in words what holds the parts of a source together.
func (s Source) held() string {
	if s.Kettle != nil {
		return "alkali to make soap of 80 to 100 % of its oils"
	}
	return "saponification value that is stated"
}

// evaporates says how much of a thing leaves in the cure: what the formula says of what
// is known to evaporate, or of a thing of which nothing is known.
func (p *pourer) evaporates(s *Source, m formula.Material, stays formula.Share, use formula.Text) {
	if !stays.Given() {
		if s.Bought == nil && slices.ContainsFunc(s.Parts, Part.isVolatile) {
			p.report(finding.Warn, RuleLeaves, use.At, fmt.Sprintf("%q evaporates, and how much of it stays in the bar is not said; it is reckoned as if all of it did", use.V), "write stays: 0% where the bars have lost all of it when they are sold")
		}
		return
	}
	leaves := false
	for j, part := range s.Parts {
		unknown := part.Role == Substance && part.Names.Unlisted && s.Bought == nil
		switch {
		case part.Leaves > 0:
			s.Parts[j].Leaves = part.Leaves * (1 - stays.V.Fraction())
		case part.isVolatile(), unknown:
			s.Parts[j].Leaves = 1 - stays.V.Fraction()
		default:
			continue
		}
		leaves = true
	}
	if !leaves {
		p.stop(RuleLeaves, stays.At, fmt.Sprintf("nothing in %q is known to leave the bar in the cure; what stays of it is declared", use.V), "take stays out; the water left is reckoned by itself")
	}
}

// commonName gives what a material is called at the pot.
func commonName(m formula.Material) string {
	if m.Name.V != "" {
		return m.Name.V
	}
	return m.ID
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
