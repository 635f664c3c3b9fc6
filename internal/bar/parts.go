package bar

import (
	"fmt"
	"math"

	"saponym/inci"
	"saponym/internal/blend"
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

// builtinNames gives the names of a substance that the program itself brings in.
func builtinNames(id string) Names {
	s, ok := inci.ByID(id)
	if !ok {
		panic("bar: the built-in data lacks " + id)
	}
	return namesOf(s)
}

func namesOf(s inci.Substance) Names { return Names{ID: s.ID, US: s.US.Text, EU: s.EU.Text} }

// substance finds what an INCI name means in a material. Where several substances
// share the name, the one with the id of the material is meant, or the ordinary
// one. An own spelling that is in no table stays as it was typed.
func substance(id, typed string) (Names, inci.Substance) {
	hits := inci.ByINCI(typed)
	if len(hits) == 0 {
		return Names{US: typed, EU: typed, Unlisted: true}, inci.Substance{}
	}
	for _, s := range hits {
		if s.ID == id {
			return namesOf(s), s
		}
	}
	return namesOf(hits[0]), hits[0]
}

// parts gives what a material is made of. It reports what is not known of it,
// and is false when a bar cannot be computed with it.
func (p *pourer) parts(m formula.Material, at formula.Text, saponified bool) ([]Part, bool) {
	constituents := m.Contains
	if len(constituents) == 0 {
		constituents = []formula.Constituent{{INCI: m.INCI}}
	}
	var parts []Part
	ok := true
	for _, c := range constituents {
		names, s := substance(m.ID, c.INCI.V)
		part := Part{Names: names}
		switch {
		case names.Unlisted && names.US == "" && m.Kind == formula.KindFragrance:
			// A fragrance goes by the market's own word.
		case names.Unlisted && names.US == "":
			p.report(finding.Stop, RuleUnlisted, at.At, fmt.Sprintf("no INCI name is given for %q", m.ID), fmt.Sprintf("write inci: in materials/%s.yaml", m.ID))
			ok = false
			continue
		case saponified:
			fat, isKnown := p.fat(m, s, names, at)
			if !isKnown {
				ok = false
				continue
			}
			part.Fat = fat
		case names.Unlisted && m.Kind == formula.KindAdditive:
			p.report(finding.Note, RuleUnlisted, at.At, fmt.Sprintf("%q is not among the built-in substances: it is printed as typed, and taken to pass through the lye unchanged", names.US), "check the spelling against the supplier's document")
		case m.Kind == formula.KindAdditive && s.InTheLye.Class != inci.Unchanged:
			p.unproved(at.At, fmt.Sprintf("%s does not pass through the lye unchanged (%s), and what it becomes is not worked out by this version", names.US, s.InTheLye.Class))
			ok = false
			continue
		}
		parts = append(parts, part)
	}
	if ok && saponified && m.SAP != nil {
		scaleToStated(m, parts)
	}
	return parts, ok
}

// fat gives the figures of a part that is saponified: the maker's or supplier's
// own where they are given, the built-in ones else.
func (p *pourer) fat(m formula.Material, s inci.Substance, names Names, at formula.Text) (*Fat, bool) {
	known, found := inci.FatByID(s.ID)
	if !found {
		p.report(finding.Stop, RuleNoSAP, at.At, fmt.Sprintf("of %q in %q no saponification value and no name of its soap is known", names.US, m.ID), "use a built-in oil, or compare the INCI name with the supplier's document")
		return nil, false
	}
	f := &Fat{Fat: saponify.Fat{SAP: known.SAP.Representative}, Stated: measure.Exactly(known.SAP.Representative)}
	switch {
	case known.Kind == inci.FreeFattyAcid:
		f.Kind = saponify.FreeAcid
	case known.SetsFree == inci.SetsFreeGlycerin:
		f.Kind = saponify.Triglyceride
	default:
		p.unproved(at.At, fmt.Sprintf("%s is a %s, and what lye makes of it is not worked out by this version", names.US, known.Kind))
		return nil, false
	}
	if known.SAP.Given() {
		f.Published = measure.Range{Low: known.SAP.Low, High: known.SAP.High}
	}
	if stated := m.SAP != nil && m.SAP.At.File == m.File; stated && len(m.Contains) <= 1 {
		f.SAP, f.Stated, f.Published = m.SAP.V.Middle(), m.SAP.V, measure.Range{}
		if !f.Stated.IsPoint() {
			p.loose(m.SAP.At, fmt.Sprintf("of the saponification value of %q only a range is known, so the order of the ingredients is unproved, and no label is made of it", m.ID), "ask the supplier for the value of the lot")
		}
	}
	// Of unsaponifiable matter handbooks give a range or a limit; its middle is
	// taken. It moves the weight of soap a little, and the need of lye not at all.
	if known.Unsaponifiable.Given() {
		f.Unsaponifiable = (known.Unsaponifiable.Low + known.Unsaponifiable.High) / 200
	}
	if m.Unsaponifiable.Given() {
		f.Unsaponifiable = (m.Unsaponifiable.V.Low.Fraction() + m.Unsaponifiable.V.High.Fraction()) / 2
	}
	if m.AcidValue.Given() {
		f.AcidValue = m.AcidValue.V.Middle()
	}
	return f, true
}

// scaleToStated makes the parts of a blend add up to the saponification value
// that its supplier states: that value fixes the need of lye, and mass closes.
func scaleToStated(m formula.Material, parts []Part) {
	if len(m.Contains) <= 1 {
		return
	}
	set, err := shares(m)
	if err != nil {
		return
	}
	middle, err := set.Middle()
	if err != nil {
		return
	}
	sum := 0.0
	for i, part := range parts {
		sum += middle[i] * part.Fat.SAP
	}
	for i := range parts {
		parts[i].Fat.SAP *= m.SAP.V.Middle() / sum
		parts[i].Fat.Stated = measure.Exactly(parts[i].Fat.SAP)
		parts[i].Fat.Published = measure.Range{}
	}
}

// A WaterLeft is how much of the cured bar is water.
type WaterLeft struct{ Low, Nominal, High measure.Share }

// Unweighed is the water left where nobody has weighed the bars: between 2 % and
// 20 % of the bar, and 10 % where one figure is shown. It is a working range, not
// a published one.
var Unweighed = WaterLeft{Low: 2 * measure.Percent, Nominal: 10 * measure.Percent, High: 20 * measure.Percent}

// Cured gives the bar after the cure. Its water is a share of the bar, but never
// more than was there when it was poured.
func (b *Batter) Cured(left WaterLeft) (*Bar, error) {
	bar := b.bar()
	bar.Lines = b.curedLines()
	dry, fresh, err := bar.dry()
	if err != nil {
		return nil, err
	}
	grams := func(share measure.Share) float64 {
		return min(fresh, dry*share.Fraction()/(1-share.Fraction()))
	}
	bar.Water = measure.Range{Low: grams(left.Low), High: grams(left.High)}
	bar.Nominal = grams(left.Nominal)
	bar.dryMass = dry
	return bar, bar.settle()
}

// Fresh gives the bar on the day it is poured, with all its water.
func (b *Batter) Fresh() (*Bar, error) {
	bar := b.bar()
	bar.Lines = b.curedLines()
	_, fresh, err := bar.dry()
	if err != nil {
		return nil, err
	}
	bar.Water, bar.Nominal = measure.Exactly(fresh), fresh
	return bar, bar.settle()
}

// Made gives the same sources as they went into the pot: oils, water and alkali
// as weighed.
func (b *Batter) Made() (*Bar, error) {
	bar := b.bar()
	for i, s := range b.Sources {
		for j, part := range s.Parts {
			if i == b.lye {
				continue
			}
			bar.Lines = append(bar.Lines, Line{b.roles[i], part.Names, []Term{{i, j, AsAdded}}})
		}
	}
	lye := b.Sources[b.lye]
	bar.Lines = append(bar.Lines, Line{Substance, lye.Parts[0].Names, []Term{{b.lye, 0, AsAdded}, {b.lye, 1, AsAdded}}})
	return bar, bar.settle()
}

// bar begins a bar with the sources of the batter.
func (b *Batter) bar() *Bar {
	bar := &Bar{Sources: b.Sources, Lye: measure.Exactly(b.Alkali.Pure / b.Alkali.molarMass())}
	if b.Alkali.potassium() {
		bar.potassium = 1
	}
	return bar
}

// curedLines gives what can be declared of the finished bar.
func (b *Batter) curedLines() []Line {
	salt, metal := SodiumSoap, inci.Sodium
	if b.Alkali.potassium() {
		salt, metal = PotassiumSoap, inci.Potassium
	}
	var lines []Line
	glycerin := Line{Role: Glycerin, Names: builtinNames("glycerin")}
	for i, s := range b.Sources {
		if i == b.water {
			lines = append(lines, Line{Water, s.Parts[0].Names, []Term{{Product: Moisture}}})
			continue
		}
		if i == b.lye {
			// What is not hydroxide in potassium hydroxide is mostly water
			// (common practice, no source), and so is in the water left.
			if !b.Alkali.potassium() {
				lines = append(lines, Line{Impurity, s.Parts[1].Names, []Term{{i, 1, AsAdded}}})
			}
			continue
		}
		for j, part := range s.Parts {
			if part.Fat == nil {
				lines = append(lines, Line{b.roles[i], part.Names, []Term{{i, j, AsAdded}}})
				continue
			}
			lines = append(lines,
				Line{Salt, saltNames(part.Names.ID, metal), []Term{{i, j, salt}}},
				Line{LeftOver, part.Names, []Term{{i, j, Fatty}}})
			glycerin.Terms = append(glycerin.Terms, Term{i, j, Glycerol})
		}
	}
	return append(lines, glycerin)
}

// saltNames gives the name of a fat's soap, from the list only.
func saltNames(id string, metal inci.Metal) Names {
	fat, _ := inci.FatByID(id)
	s := fat.Salt(metal)
	return Names{US: s.Text, EU: s.Text, Analogy: s.Status == inci.FormedByAnalogy}
}

// dry gives the mass of all lines but water, and the water that is there before
// any has left: what went in, less what is dry.
func (b *Bar) dry() (dry, fresh float64, err error) {
	p, err := b.Middle()
	if err != nil {
		return 0, 0, err
	}
	p.Water = 0
	masses, err := b.At(p)
	if err != nil {
		return 0, 0, err
	}
	in := 0.0
	for _, s := range b.Sources {
		in += s.Mass
	}
	for _, m := range masses {
		dry += m
	}
	return dry, math.Max(0, in-dry), nil
}

// source makes the source of the alkali: hydroxide, and what else is in it.
func (a Alkali) source(at finding.Pos) Source {
	return Source{
		Ref: "lye " + a.Name, At: at, Mass: a.Weigh, Shares: blend.Exactly(a.purity, 1-a.purity),
		Parts: []Part{{Names: builtinNames(formula.ID(a.Name))}, {}},
	}
}
