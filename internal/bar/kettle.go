package bar

import (
	"fmt"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// boiled is how much of the esters is taken to have become soap in finished soap that is
// listed by what went into its pot: how much alkali there was nobody has said. A fifth of
// the oil left over is as much as is ever left on purpose (common practice, no source).
var boiled = measure.Range{Low: 0.80, High: 1}

// mostPoured is how much of a pot is water at most: above half of it no bar of soap would
// set (common practice, no source).
const mostPoured = 0.5

// kettle makes an item of finished soap that is listed by what went into its pot, with
// shares that are not all known. Of its water as much is left as in any bar that nobody
// has weighed; all else is there, its alkali in the soap.
func (p *pourer) kettle(s Source, use formula.Text, m formula.Material, it item, all []listed, mix blend.Mix) {
	if mix.Of != nil {
		p.stop(RuleUnproved, use.At, fmt.Sprintf("%q is listed with its alkali and is made of other mixtures: what came of it cannot be reckoned", m.ID), "ask the supplier for the percentages, or for a list of the finished soap")
		return
	}
	s.Kettle = &Kettle{Extent: boiled}
	sodium, potassium := false, false
	water := -1
	for j, c := range all {
		part, ok := p.inKettle(c.in, c.Constituent, use)
		if !ok {
			return
		}
		switch {
		case part.Role == Water && water < 0:
			water = j
			continue
		case part.Alkali > 0 && part.isPotash():
			potassium = true
		case part.Alkali > 0:
			sodium = true
		}
		s.Parts = append(s.Parts, part)
	}
	// Water stands last: what is left of it has no place in the order of the list.
	s.Parts = append(s.Parts, Part{Names: builtinNames("water"), Role: Water})
	switch {
	case sodium && potassium:
		s.Kettle.Potassium = measure.Range{Low: 0, High: 1}
	case potassium:
		s.Kettle.Potassium = measure.Exactly(1)
	}
	s.Shares = blend.Mix{Union: dried(m, hull(mix.Union), water, all)}
	if len(s.Shares.Union) == 0 {
		p.stop(RuleBlend, use.At, fmt.Sprintf("the statement on %q contradicts itself: no bar of soap has such a list", m.ID), "compare the shares with the supplier's list")
		return
	}
	p.report(finding.Note, RuleCrumbs, use.At, fmt.Sprintf("%q is listed by what went into its pot, and not all of its percentages are known: 80 to 100 %% of its oils are taken to have become soap, and 2 to 20 %% of it to be water", m.ID), fmt.Sprintf("ask the supplier for the percentages of %s, the alkali and the water with them", use.V))
	p.scented(&it, s, m)
	p.take(it, s, use)
}

// hull gives the bounds of all sets of a union. What the list says of the order is not in
// them: of a pot it is said again of what came of it.
func hull(u blend.Union) blend.Set {
	all := blend.Free(len(u[0].Low))
	for j := range all.Low {
		all.Low[j], all.High[j] = u[0].Low[j], u[0].High[j]
		for _, set := range u[1:] {
			all.Low[j], all.High[j] = min(all.Low[j], set.Low[j]), max(all.High[j], set.High[j])
		}
	}
	return all
}

// dried gives the shares of a finished bar where set holds those of its pot, with the
// water at the end. A part of the bar is a part of the pot times what has become of
// the whole: (1 − water left) to (1 − water poured).
func dried(m formula.Material, set blend.Set, water int, all []listed) blend.Union {
	poured, parts := measure.Range{Low: 0, High: mostPoured}, len(all)+1
	if water >= 0 {
		parts = len(all)
		poured = measure.Range{Low: set.Low[water], High: min(set.High[water], mostPoured)}
	}
	low, high := Unweighed.Low.Fraction(), Unweighed.High.Fraction()
	least, most := (1-high)/(1-poured.Low), (1-low)/(1-poured.High)
	dry := blend.Free(parts)
	ordered, n := 0, 0
	for j := range set.Low {
		if j == water {
			continue
		}
		dry.Low[n], dry.High[n] = set.Low[j]*least, min(1, set.High[j]*most)
		if m.Order != formula.Unknown && !(m.Order == formula.Legal && isColourant(all[j].INCI.V)) {
			ordered++
		}
		n++
	}
	dry.Low[n], dry.High[n] = low, high
	if m.Order == formula.Legal {
		// Where the line came to lie is not known just. What is lawful with any such line is
		// lawful with the highest, which asks for the least order.
		return blend.LegalOrder(dry, ordered, formula.LegalLine.Fraction()*most)
	}
	for i := 1; i < ordered; i++ {
		dry.Down[i-1] = true
	}
	return blend.Union{dry}
}

// inKettle gives one name of a list of what went into a pot.
func (p *pourer) inKettle(m formula.Material, c formula.Constituent, use formula.Text) (Part, bool) {
	hits, ok := p.substances(m, c, use)
	switch {
	case !ok:
		return Part{}, false
	case len(hits) == 0:
		return p.unlisted(m, c.INCI.V, placeOf(m, c, use), false)
	case isAlkali(c.INCI.V):
		molar := inci.MolarMassNaOH
		if hits[0].ID == "potassium-hydroxide" {
			molar = inci.MolarMassKOH
		}
		return Part{Names: namesOf(hits[0]), Role: Alkali, Alkali: 1 / molar}, true
	case isFat(hits[0].ID):
		part := Part{Names: namesOf(hits[0]), Role: LeftOver}
		at := placeOf(m, c, use)
		part.Fat, ok = p.fat(formula.Material{ID: m.ID}, hits, at, use.At)
		return part, ok
	case hits[0].Neutralises != nil:
		return Part{Names: namesOf(hits[0]), Role: Substance, Acid: acidOf(hits[0].Neutralises)}, true
	}
	return p.crumb(m, c, use)
}
