package bar

import (
	"fmt"

	"saponym/inci"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// Names is how a substance is called in each nomenclature.
type Names struct {
	ID       string // in package inci; "" for a substance that is not there
	US, EU   string
	Analogy  bool // the name is formed after the pattern of listed names
	Unlisted bool // the name is the maker's own spelling
}

// builtinNames gives the names of a substance that the program itself brings in:
// water, glycerin and the alkalis.
func builtinNames(id string) Names {
	s, ok := inci.ByID(id)
	if !ok {
		panic("bar: the built-in data lacks " + id)
	}
	return namesOf(s)
}

func namesOf(s inci.Substance) Names { return Names{ID: s.ID, US: s.US.Text, EU: s.EU.Text} }

// meant finds the substances that an INCI name may mean in a material. Where
// several share the name, the one with the id of the material is meant.
func meant(id, typed string) []inci.Substance {
	hits := inci.ByINCI(typed)
	for _, s := range hits {
		if s.ID == id {
			return []inci.Substance{s}
		}
	}
	return hits
}

// parts gives what a material is made of. It reports what is not known of it,
// and is false when a bar cannot be computed with it.
func (p *pourer) parts(s *Source, m formula.Material, use formula.Text, work Work) bool {
	all, mix, ok := p.list(m, use, formula.MostNested)
	if !ok {
		return false
	}
	for _, c := range all {
		part, known := p.part(c.in, c.Constituent, use, work)
		s.Parts, ok = append(s.Parts, part), ok && known
	}
	s.Shares = mix
	return ok
}

// placeOf gives where the faults of a constituent are reported: where the material
// names it, or where the formula uses a material that is built in.
func placeOf(m formula.Material, c formula.Constituent, use formula.Text) finding.Pos {
	if c.INCI.Given() && c.INCI.At.File == m.File {
		return c.INCI.At
	}
	return use.At
}

// part gives one constituent of a material.
func (p *pourer) part(m formula.Material, c formula.Constituent, use formula.Text, work Work) (Part, bool) {
	at := placeOf(m, c, use)
	isOil := m.Kind == formula.KindOil || m.Kind == formula.KindOilBlend
	typed := c.INCI.V
	if typed == "" {
		if m.Kind == formula.KindFragrance {
			return Part{Role: Perfume}, true // it goes by the market's own word
		}
		p.stop(RuleUnlisted, at, fmt.Sprintf("no INCI name is given for %q", m.ID), fmt.Sprintf("write inci: in materials/%s.yaml", m.ID))
		return Part{}, false
	}
	hits, ok := p.substances(m, c, use)
	switch {
	case !ok:
		return Part{}, false
	case len(hits) == 0:
		part, ok := p.unlisted(m, typed, at, isOil && p.meetsLye(work))
		part.Role = roleOf(m.Kind)
		return part, ok
	}
	s := hits[0]
	part := Part{Names: namesOf(s), Role: roleOf(m.Kind)}
	fat, _ := inci.FatByID(s.ID)
	isAcid := fat.SetsFree == inci.SetsFreeWater
	switch {
	case isOil && (p.meetsLye(work) || isAcid && p.takesLye(work)):
		part.Fat, ok = p.fat(m, hits, at, use.At)
		if isAcid {
			p.late(s, use, work)
		}
		return part, ok
	case isOil:
		if isAcid {
			p.late(s, use, work)
		}
		part.Role = LeftOver
		return part, true // added when no lye is left
	case isFat(s.ID):
		p.stop(RuleKind, at, fmt.Sprintf("%s is a fat, and lye takes it up whatever it is called", s.US.Text), fmt.Sprintf("write kind: oil in materials/%s.yaml", m.ID))
		return Part{}, false
	case s.ID == "water":
		part.Role = Water
		return part, true
	case s.Group == inci.GroupAlkali && s.Neutralises == nil:
		remedy := "leave it out: of alkalis, only sodium and potassium hydroxide are reckoned"
		if isAlkali(s.US.Text) {
			remedy = "write it under lye"
		}
		p.stop(RuleKind, at, fmt.Sprintf("%s is alkali: it would take up fat without being counted", s.US.Text), remedy)
		return Part{}, false
	case s.Neutralises != nil:
		if pure := len(m.Contains) == 0 && !m.Water.Given(); pure && s.Neutralises.SoldFrom > 0 {
			p.report(finding.Warn, RulePurity, use.At, fmt.Sprintf("%q is reckoned as pure, and it is usually sold as a solution, of %.0f %% or more (from memory): then it takes up less of the lye than is poured for it", use.V, s.Neutralises.SoldFrom), fmt.Sprintf("write what the bottle says into a material of its own: kind: additive, inci: %s, water: %.0f%%", s.US.Text, 100-s.Neutralises.SoldFrom))
		}
		return p.acid(part, s, use, work), true
	}
	p.unreckoned(m, s, use)
	return part, true
}

// substances finds what a constituent may be: one substance, or several that are
// declared alike. It is false where it could be things that are declared otherwise,
// which it reports; where no table has the name there are none.
func (p *pourer) substances(m formula.Material, c formula.Constituent, use formula.Text) ([]inci.Substance, bool) {
	hits := meant(m.ID, c.INCI.V)
	for _, other := range hits {
		if other.EU.Text != hits[0].EU.Text || other.US.Text != hits[0].US.Text {
			p.stop(RuleAmbiguous, placeOf(m, c, use), fmt.Sprintf("the name %q stands for several substances, %s and %s among them", c.INCI.V, hits[0].Name, other.Name), fmt.Sprintf("name the one that is in it, such as %q", hits[0].EU.Text))
			return nil, false
		}
	}
	return hits, true
}

// late says what is not reckoned of an acid that comes when the soap is made, or into a
// base that is melted.
func (p *pourer) late(s inci.Substance, use formula.Text, work Work) {
	const remedy = "leave it out, or add it before the lye has done its work"
	switch {
	case !p.takesLye(work):
		p.report(finding.Warn, RuleReacts, use.At, fmt.Sprintf("%s takes alkali from the soap that it lies on or is melted into, which is not reckoned: no lye is added for it, and it is declared as it was added", s.US.Text), remedy)
	case work.When.late():
		p.report(finding.Warn, RuleReacts, use.At, fmt.Sprintf("%s comes when the soap is made, and sets fatty acids free from it: what is left over then is acid in part, and is declared as the oils", s.US.Text), remedy)
	}
}

// acid makes a part take up lye, if it meets any.
func (p *pourer) acid(part Part, s inci.Substance, use formula.Text, work Work) Part {
	p.late(s, use, work)
	if !p.takesLye(work) {
		return part
	}
	part.Acid = acidOf(s.Neutralises)
	return part
}

// acidOf gives what is known of an acid that has met its alkali.
func acidOf(n *inci.Neutralisation) *Acid {
	salt := func(name inci.Name) Names {
		return Names{US: name.Text, EU: name.Text, Analogy: name.Status == inci.FormedByAnalogy}
	}
	return &Acid{
		MolarMass: n.MolarMass, Equivalents: n.Equivalents, Crystal: n.CrystalWater,
		Sodium: salt(n.SodiumSalt), Potassium: salt(n.PotassiumSalt),
	}
}

// unreckoned says that lye changes a thing in a way that is not worked out: it is
// declared as it was added.
func (p *pourer) unreckoned(m formula.Material, s inci.Substance, use formula.Text) {
	inScent := m.Kind == formula.KindEssentialOil || m.Kind == formula.KindFragrance
	if inScent || !p.hasLye() || s.InTheLye.Class != inci.Reacts && s.InTheLye.Class != inci.Hydrolysed {
		return
	}
	detail := ""
	if s.InTheLye.Detail != "" {
		detail = " (" + s.InTheLye.Detail + ")"
	}
	p.report(finding.Note, RuleReacts, use.At, fmt.Sprintf("%s reacts in the lye%s; what becomes of it is not reckoned, and it is declared as it was added", s.US.Text, detail), "")
}

// isVolatile reports whether a part evaporates.
func (part Part) isVolatile() bool {
	s, _ := inci.ByID(part.Names.ID)
	return s.InTheLye.Class == inci.Evaporates
}

// sugars gives the moles of alkali that the sugars in one gram of a source could take
// up at most.
func sugars(s Source) float64 {
	shares, err := s.Shares.Middle()
	if err != nil {
		return 0 // reported where it was read
	}
	total := 0.0
	for j, part := range s.Parts {
		if substance, ok := inci.ByID(part.Names.ID); ok {
			total += shares[j] * substance.MostAlkali
		}
	}
	return total
}

// unlisted gives a constituent that is in no table: it is printed as typed. An
// oil of which no soap is known cannot be.
func (p *pourer) unlisted(m formula.Material, typed string, at finding.Pos, saponified bool) (Part, bool) {
	remedy := "check the spelling against the supplier's document"
	if near := inci.NearestINCI(typed); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	}
	if saponified {
		p.stop(RuleNoSAP, at, fmt.Sprintf("of %q in %q no saponification value and no name of its soap is known", typed, m.ID), remedy)
		return Part{}, false
	}
	p.report(finding.Note, RuleUnlisted, at, fmt.Sprintf("%q is not among the built-in substances: it is printed as typed unless the law of a market has a name for it, and taken to pass through the lye unchanged", typed), remedy)
	return Part{Names: Names{US: typed, EU: typed, Unlisted: true}}, true
}

// fat gives the figures of a part that is saponified: the maker's or supplier's
// own where they are given, the built-in ones else. Where several fats share the
// name, the spread is that of them all.
func (p *pourer) fat(m formula.Material, hits []inci.Substance, at, use finding.Pos) (*Fat, bool) {
	known, found := inci.FatByID(hits[0].ID)
	if !found {
		p.stop(RuleNoSAP, at, fmt.Sprintf("%s is no fat that lye is known to take up", hits[0].US.Text), "move it to add, with its own kind")
		return nil, false
	}
	f := &Fat{Fat: saponify.Fat{SAP: known.SAP.Representative, AcidValue: m.AcidValue.V.Middle()}}
	switch {
	case known.SetsFree == inci.SetsFreeWater:
		f.Kind = saponify.FreeAcid
	case known.SetsFree == inci.SetsFreeGlycerin:
		f.Kind = saponify.Triglyceride
	default:
		f.Kind = saponify.WaxEster
		if !m.AcidValue.Given() && known.AcidValue.Given() {
			f.AcidValue = (known.AcidValue.Low + known.AcidValue.High) / 2
		}
	}
	f.Published, f.Confirmed = published(hits)
	// Of unsaponifiable matter handbooks give a range or a limit; its middle is
	// taken. It moves the weight of soap a little, and the need of lye not at all.
	if known.Unsaponifiable.Given() {
		f.Unsaponifiable = (known.Unsaponifiable.Low + known.Unsaponifiable.High) / 200
	}
	own := m.File != ""
	if own && m.Unsaponifiable.Given() {
		f.Unsaponifiable = middleShare(m.Unsaponifiable.V)
	}
	if own && len(m.Contains) <= 1 && !p.ownSAP(m, f) {
		return nil, false
	}
	if m.Reactivity.Given() && f.Kind != saponify.FreeAcid {
		f.Inert, f.Reach = 1-m.Reactivity.V.Fraction(), true
	}
	if f.Kind == saponify.WaxEster && !p.wax(m, f) {
		return nil, false
	}
	if f.Stated == (measure.Range{}) {
		f.Stated = measure.Exactly(f.SAP)
	}
	if f.Spread == (measure.Range{}) {
		f.Spread = f.Stated
		if f.Stated.IsPoint() && f.Published != (measure.Range{}) {
			f.Spread = measure.Range{Low: min(f.SAP, f.Published.Low), High: max(f.SAP, f.Published.High)}
		}
	}
	f.Acids, f.Unsaponifiables = measure.Exactly(f.AcidValue), measure.Exactly(f.Unsaponifiable)
	if own && m.AcidValue.Given() && f.Kind != saponify.FreeAcid {
		f.Acids = m.AcidValue.V
	}
	if own && m.Unsaponifiable.Given() && f.Kind == saponify.Triglyceride {
		f.Unsaponifiables = measure.Range{Low: m.Unsaponifiable.V.Low.Fraction(), High: m.Unsaponifiable.V.High.Fraction()}
	}
	if err := f.check(); err != nil {
		p.stop(RuleFigures, use, fmt.Sprintf("the figures of %q cannot be right: %v", m.ID, err), fmt.Sprintf("compare materials/%s.yaml with the supplier's document", m.ID))
		return nil, false
	}
	return f, true
}

// heaviestWaxAcid is what the acids of a wax weigh at most on the mean, in g/mol: those
// of carnauba wax have some 26 carbon atoms (common practice, no source).
const heaviestWaxAcid = 430

// wax puts the figures of a wax in the form in which they are reckoned. The fatty acids
// of the material, if it gives them, tell the mass of its acids. What handbooks call
// its unsaponifiable matter holds its alcohols, and tells that mass as well. A figure
// too small to hold them is of hydrocarbons and the like alone; acid and alcohol are
// then taken to weigh the same, as they are where nothing is known.
func (p *pourer) wax(m formula.Material, f *Fat) bool {
	if len(m.FattyAcids) > 0 {
		sap, _, ok := p.fromProfile(m, saponify.FreeAcid, 0)
		f.AcidMass = 1000 * inci.MolarMassKOH / sap
		return ok
	}
	if f.Unsaponifiable > 0 {
		if f.AcidMass = saponify.WaxAcid(f.SAP, f.AcidValue, f.Unsaponifiable); f.AcidMass <= heaviestWaxAcid {
			f.Unsaponifiable = 0
			return true
		}
	}
	whole := f.Fat
	whole.Inert = 0
	acids, esters := whole.Equivalents()
	f.AcidMass = (1 - f.Unsaponifiable + inci.MolarMassWater*esters) / (acids + 2*esters)
	return true
}

// ownSAP puts the saponification value of a single fat as its material states it,
// or as its fatty acids give it, in place of the built-in one.
func (p *pourer) ownSAP(m formula.Material, f *Fat) bool {
	nominal := f.SAP
	var profile float64
	whole := true
	profiled := len(m.FattyAcids) > 0 && f.Kind != saponify.WaxEster // of a wax they tell its acids alone
	if profiled {
		var ok bool
		if profile, whole, ok = p.fromProfile(m, f.Kind, f.Unsaponifiable); !ok {
			return false
		}
	}
	switch {
	case m.SAP != nil:
		f.SAP, f.Stated = m.SAP.V.Middle(), m.SAP.V
		f.Spread = f.Stated
		if profiled && !p.agree(m, profile) {
			return false
		}
	case profiled:
		f.SAP, f.Stated = profile, measure.Exactly(profile)
		if whole {
			f.Spread = f.Stated
			break
		}
		p.gap(m)
		f.Spread = measure.Exactly(profile)
		if f.Published != (measure.Range{}) {
			f.Spread = measure.Range{Low: min(profile, f.Published.Low), High: max(profile, f.Published.High)}
		}
	default:
		return true
	}
	fits, ok := p.plausible(m, f.Stated, f.Published, measure.Exactly(nominal))
	if fits {
		f.Published = measure.Range{} // the figure of the lot takes the place of the spread
	}
	return ok
}

// gap reports fatty acids that are not all there.
func (p *pourer) gap(m formula.Material) {
	p.report(finding.Warn, RuleProfile, m.FattyAcids[0].Code.At, fmt.Sprintf("the fatty acids of %q do not add up to 100 %%, so its saponification value is taken to be anything in the books", m.ID), "ask the supplier for the rest, or for the saponification value")
}

// wideGap is from what difference on, as a part of the value, a stated saponification
// value and the one that the stated fatty acids give are worth a look. The mole mean
// of published profiles stands within 3 % of the values that were measured on the same
// oils (see the checks of package saponify); one that is 15 % off is of another oil or
// for another alkali, as in [impossible].
const wideGap = 0.04

// agree compares a stated saponification value with the one that the stated fatty acids
// give.
func (p *pourer) agree(m formula.Material, profile float64) bool {
	off := max(m.SAP.V.Low/profile-1, 1-m.SAP.V.High/profile)
	if off <= wideGap {
		return true
	}
	message := fmt.Sprintf("the saponification value of %q is stated as %.4g mg KOH/g, and its fatty acids give %.4g", m.ID, m.SAP.V.Middle(), profile)
	const remedy = "compare both with the supplier's document, and the unit: mg KOH/g or g NaOH/g"
	if off > impossible {
		p.stop(RuleProfile, m.SAP.At, message, remedy)
		return false
	}
	p.report(finding.Warn, RuleProfile, m.SAP.At, message, remedy)
	return true
}

// fromProfile reckons the saponification value of a fat from its fatty acids, and
// reports whether they are all there.
func (p *pourer) fromProfile(m formula.Material, kind saponify.Kind, unsaponifiable float64) (sap float64, whole, ok bool) {
	var weights, masses []float64
	total := measure.Share(0)
	for _, share := range m.FattyAcids {
		acid, found := inci.AcidByCode(share.Code.V)
		if !found {
			p.stop(RuleFigures, share.Code.At, fmt.Sprintf("%q is no fatty acid that is known here", share.Code.V), "write its common name or its code, such as oleic or C18:1")
			return 0, false, false
		}
		weights, masses = append(weights, share.Share.V.Fraction()), append(masses, acid.MolarMass)
		total += share.Share.V
	}
	sap = saponify.FromProfile(kind, weights, masses) * (1 - unsaponifiable)
	return sap, total == measure.Whole, true
}

// published gives the spread of the saponification value of fats in handbooks, or
// none, and reports whether the text of each was read.
func published(hits []inci.Substance) (r measure.Range, confirmed bool) {
	confirmed = true
	for _, s := range hits {
		fat, ok := inci.FatByID(s.ID)
		if !ok || !fat.SAP.Given() {
			continue
		}
		if r == (measure.Range{}) {
			r = measure.Range{Low: fat.SAP.Low, High: fat.SAP.High}
		}
		r = measure.Range{Low: min(r.Low, fat.SAP.Low), High: max(r.High, fat.SAP.High)}
		confirmed = confirmed && fat.SAP.Known == inci.Retrieved
	}
	return r, confirmed
}

// impossible is how far, as a part of the value, the saponification value of a lot
// may lie from the nominal one of its oils before it is a slip. The widest range in
// the books, of shea butter, is 10 % to either side; a value for sodium hydroxide in the
// place of one for potassium hydroxide is off by 29 or 40 %.
const impossible = 0.15

// plausible compares the saponification value of a lot, as its supplier states it or
// as its fatty acids give it, with the nominal value of its oils and with the range
// that handbooks print. Such ranges are of other samples, and some are recalled, so
// a value just outside of them is worth a look: it does not fit, and the lye is
// still judged by the handbooks. One that is far from nominal is not ok.
func (p *pourer) plausible(m formula.Material, lot, usual, nominal measure.Range) (fits, ok bool) {
	if usual == (measure.Range{}) {
		usual = nominal
		fits = lot.Low >= nominal.Low*(1-impossible) && lot.High <= nominal.High*(1+impossible)
	} else {
		fits = lot.Low >= usual.Low && lot.High <= usual.High
	}
	if fits {
		return true, true
	}
	value := fmt.Sprintf("%.4g", lot.Low)
	if !lot.IsPoint() {
		value = fmt.Sprintf("%.4g to %.4g", lot.Low, lot.High)
	}
	var at finding.Pos
	var remedy string
	if m.SAP != nil {
		at, remedy = m.SAP.At, "compare the figure and its unit with the supplier's document: mg KOH/g or g NaOH/g"
	} else {
		at, remedy = m.FattyAcids[0].Code.At, "compare the fatty acids with the supplier's document, and the INCI name with them"
	}
	message := fmt.Sprintf("the saponification value of %q is %s mg KOH/g, and its oils have %.4g to %.4g in the books", m.ID, value, usual.Low, usual.High)
	if lot.Low < nominal.Low*(1-impossible) || lot.High > nominal.High*(1+impossible) {
		p.stop(RuleSAPRange, at, message, remedy)
		return false, false
	}
	p.report(finding.Warn, RuleSAPRange, at, message, remedy)
	return false, true
}

// statedSAP gives the saponification value that a blend's supplier states, or that its
// fatty acids give with so much unsaponifiable matter. It is false where there is none that
// can be right.
func (p *pourer) statedSAP(m formula.Material, unsaponifiable float64) (measure.Range, bool) {
	if len(m.FattyAcids) == 0 {
		return m.SAP.V, true
	}
	profile, whole, ok := p.fromProfile(m, saponify.Triglyceride, unsaponifiable)
	switch {
	case !ok, m.SAP != nil && !p.agree(m, profile):
		return measure.Range{}, false
	case m.SAP != nil:
		return m.SAP.V, true
	case !whole:
		p.gap(m)
		return measure.Range{}, false
	}
	return measure.Exactly(profile), true
}
