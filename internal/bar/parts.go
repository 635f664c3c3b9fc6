package bar

import (
	"fmt"
	"slices"

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
func (p *pourer) parts(m formula.Material, use formula.Text, saponified bool) ([]Part, bool) {
	constituents := m.Contains
	if len(constituents) == 0 {
		constituents = []formula.Constituent{{INCI: m.INCI}}
	}
	var parts []Part
	for _, c := range constituents {
		part, ok := p.part(m, c, use, saponified)
		if ok {
			parts = append(parts, part)
		}
	}
	return parts, len(parts) == len(constituents)
}

// part gives one constituent of a material. Faults are reported where the
// material names it, or where the formula uses a material that is built in.
func (p *pourer) part(m formula.Material, c formula.Constituent, use formula.Text, saponified bool) (Part, bool) {
	at := use.At
	if c.INCI.Given() && c.INCI.At.File == m.File {
		at = c.INCI.At
	}
	typed := c.INCI.V
	if typed == "" {
		if m.Kind == formula.KindFragrance {
			return Part{}, true // it goes by the market's own word
		}
		p.stop(RuleUnlisted, at, fmt.Sprintf("no INCI name is given for %q", m.ID), fmt.Sprintf("write inci: in materials/%s.yaml", m.ID))
		return Part{}, false
	}
	hits := meant(m.ID, typed)
	if len(hits) == 0 {
		return p.unlisted(m, typed, at, saponified)
	}
	s := hits[0]
	if other := slices.IndexFunc(hits, func(h inci.Substance) bool { return h.EU.Text != s.EU.Text || h.US.Text != s.US.Text }); other > 0 {
		p.stop(RuleAmbiguous, at, fmt.Sprintf("the name %q stands for several substances, %s and %s among them", typed, s.Name, hits[other].Name), fmt.Sprintf("name the one that is in it, such as %q", s.EU.Text))
		return Part{}, false
	}
	part := Part{Names: namesOf(s)}
	_, isFat := inci.FatByID(s.ID)
	switch {
	case saponified:
		var ok bool
		part.Fat, ok = p.fat(m, hits, at, use.At)
		return part, ok
	case m.Kind == formula.KindOil, m.Kind == formula.KindOilBlend:
		return part, true // added when no lye is left
	case isFat:
		p.stop(RuleKind, at, fmt.Sprintf("%s is a fat, and lye takes it up whatever it is called", s.US.Text), fmt.Sprintf("write kind: oil in materials/%s.yaml", m.ID))
		return Part{}, false
	case s.InTheLye.Class != inci.Unchanged && m.Kind != formula.KindEssentialOil && m.Kind != formula.KindFragrance:
		p.unproved(at, fmt.Sprintf("%s does not pass through the lye unchanged (%s); what it becomes", s.US.Text, s.InTheLye.Class), "leave it out, or use an additive that passes through lye unchanged")
		return Part{}, false
	}
	return part, true
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
	p.report(finding.Note, RuleUnlisted, at, fmt.Sprintf("%q is not among the built-in substances: it is printed as typed, and taken to pass through the lye unchanged", typed), remedy)
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
	case known.Kind == inci.FreeFattyAcid:
		f.Kind = saponify.FreeAcid
	case known.SetsFree == inci.SetsFreeGlycerin:
		f.Kind = saponify.Triglyceride
	default:
		p.unproved(use, fmt.Sprintf("what lye makes of %s, whose kind is %q,", known.US.Text, known.Kind), "use an ordinary oil in its place")
		return nil, false
	}
	f.Published, f.Confirmed = published(hits)
	// Of unsaponifiable matter handbooks give a range or a limit; its middle is
	// taken. It moves the weight of soap a little, and the need of lye not at all.
	if known.Unsaponifiable.Given() {
		f.Unsaponifiable = (known.Unsaponifiable.Low + known.Unsaponifiable.High) / 200
	}
	own := m.File != ""
	if own && m.Unsaponifiable.Given() {
		f.Unsaponifiable = (m.Unsaponifiable.V.Low.Fraction() + m.Unsaponifiable.V.High.Fraction()) / 2
	}
	if own && len(m.Contains) <= 1 && !p.ownSAP(m, f) {
		return nil, false
	}
	if f.Stated == (measure.Range{}) {
		f.Stated = measure.Exactly(f.SAP)
	}
	if own && (m.AcidValue.Given() && !m.AcidValue.V.IsPoint() || m.Unsaponifiable.Given() && !m.Unsaponifiable.V.IsPoint()) {
		f.Loose = true
		p.loose(use, fmt.Sprintf("of the acid value or the unsaponifiable part of %q only a range is known", m.ID), "ask the supplier for the figure of the lot")
	}
	if err := f.Check(); err != nil {
		p.stop(RuleFigures, use, fmt.Sprintf("the figures of %q cannot be right: %v", m.ID, err), fmt.Sprintf("compare materials/%s.yaml with the supplier's document", m.ID))
		return nil, false
	}
	return f, true
}

// ownSAP puts the saponification value of a single fat as its material states it,
// or as its fatty acids give it, in place of the built-in one.
func (p *pourer) ownSAP(m formula.Material, f *Fat) bool {
	nominal := f.SAP
	switch {
	case m.SAP != nil:
		f.SAP, f.Stated = m.SAP.V.Middle(), m.SAP.V
		if !f.Stated.IsPoint() {
			p.loose(m.SAP.At, fmt.Sprintf("of the saponification value of %q only a range is known", m.ID), "ask the supplier for the value of the lot")
		}
	case len(m.FattyAcids) > 0:
		sap, whole, ok := p.fromProfile(m, f)
		if !ok {
			return false
		}
		f.SAP, f.Stated = sap, measure.Exactly(sap)
		if !whole {
			f.Loose = true
			p.loose(m.FattyAcids[0].Code.At, fmt.Sprintf("the fatty acids of %q do not add up to 100 %%", m.ID), "ask the supplier for the rest, or for the saponification value")
		}
	default:
		return true
	}
	fits, ok := p.plausible(m, f.Stated, f.Published, nominal)
	if fits {
		f.Published = measure.Range{} // the figure of the lot takes the place of the spread
	}
	return ok
}

// fromProfile reckons the saponification value of a fat from its fatty acids, and
// reports whether they are all there.
func (p *pourer) fromProfile(m formula.Material, f *Fat) (sap float64, whole, ok bool) {
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
	sap = saponify.FromProfile(f.Kind, weights, masses) * (1 - f.Unsaponifiable)
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
func (p *pourer) plausible(m formula.Material, lot, usual measure.Range, nominal float64) (fits, ok bool) {
	if usual == (measure.Range{}) {
		usual = measure.Exactly(nominal)
		fits = lot.Low >= nominal*(1-impossible) && lot.High <= nominal*(1+impossible)
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
	if lot.Low < nominal*(1-impossible) || lot.High > nominal*(1+impossible) {
		p.stop(RuleSAPRange, at, message, remedy)
		return false, false
	}
	p.report(finding.Warn, RuleSAPRange, at, message, remedy)
	return false, true
}

// scaleToStated makes the parts of a blend add up to the saponification value
// that its supplier states: that value fixes the need of lye, and mass closes.
func (p *pourer) scaleToStated(m formula.Material, parts []Part, middle []float64) {
	var usual measure.Range
	sum := 0.0
	for i, part := range parts {
		spread := part.Fat.Published
		if spread == (measure.Range{}) {
			spread = measure.Exactly(part.Fat.SAP)
		}
		usual.Low += middle[i] * spread.Low
		usual.High += middle[i] * spread.High
		sum += middle[i] * part.Fat.SAP
	}
	fits, ok := p.plausible(m, m.SAP.V, usual, sum)
	if !ok {
		return
	}
	if !m.SAP.V.IsPoint() {
		p.loose(m.SAP.At, fmt.Sprintf("of the saponification value of %q only a range is known", m.ID), "ask the supplier for the value of the lot")
	}
	for i := range parts {
		f := parts[i].Fat
		f.Stated = measure.Range{Low: f.SAP * m.SAP.V.Low / sum, High: f.SAP * m.SAP.V.High / sum}
		f.SAP *= m.SAP.V.Middle() / sum
		if fits {
			f.Published = measure.Range{} // the figure of the lot takes the place of the spread
		}
		if err := f.Check(); err != nil {
			p.stop(RuleFigures, m.SAP.At, fmt.Sprintf("the figures of %q cannot be right: %v", m.ID, err), fmt.Sprintf("compare materials/%s.yaml with the supplier's document", m.ID))
			return
		}
	}
}
