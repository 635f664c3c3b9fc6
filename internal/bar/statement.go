package bar

import (
	"fmt"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// A listed is one name of a supplier's list, with the material whose list it is: a blend
// may be made of bought blends.
type listed struct {
	formula.Constituent
	in formula.Material
}

// list gives what is in a material, name by name, and the compositions that its statement
// allows. It is false where a finding says why it is not known.
func (p *pourer) list(m formula.Material, use formula.Text, depth int) ([]listed, blend.Mix, bool) {
	if len(m.Contains) == 0 {
		return []listed{{formula.Constituent{INCI: m.INCI}, m}}, blend.Only(1), true
	}
	order, ordered := p.inOrder(m)
	set := blend.Free(len(order))
	mix := blend.Mix{}
	var all []listed
	of := make([]*blend.Mix, len(order))
	nested := false
	for n, i := range order {
		c := m.Contains[i]
		if c.Share.Given() {
			set.Low[n], set.High[n] = c.Share.V.Low.Fraction(), c.Share.V.High.Fraction()
		}
		if n > 0 {
			set.Down[n-1] = m.Order == formula.Descending
		}
		if !c.Material.Given() {
			all = append(all, listed{c, m})
			continue
		}
		inner, ok := p.material(c.Material)
		if !ok || depth == 0 {
			p.stopped = true // a finding says why
			return nil, mix, false
		}
		parts, within, ok := p.list(inner, use, depth-1)
		if !ok {
			return nil, mix, false
		}
		all, of[n], nested = append(all, parts...), &within, true
		if len(all) > formula.MostListed {
			break // lists of lists grow fast
		}
	}
	if len(all) > formula.MostListed {
		p.tooMany(m.ID, use.At)
		return nil, mix, false
	}
	mix.Union = blend.Union{set}
	if len(order) == 1 {
		mix = blend.Only(1)
		if c := m.Contains[0]; c.Share.Given() && c.Share.V.Low < measure.Whole {
			p.report(finding.Stop, RuleUnproved, use.At, fmt.Sprintf("of %q only %s is listed, and not what makes up the rest, so no label is made of it", m.ID, c.Name().V), "ask the supplier for the whole list")
		}
	} else if m.Order == formula.Legal {
		mix.Union = blend.LegalOrder(set, ordered, formula.LegalLine.Fraction())
	}
	if nested {
		mix.Of = of
	}
	if _, err := mix.Middle(); err != nil {
		p.stop(RuleBlend, use.At, fmt.Sprintf("the statement on %q contradicts itself: %v", m.ID, err), "compare the shares with the supplier's list")
		return nil, mix, false
	}
	return all, mix, true
}

// tooMany stops what has more parts than are reckoned with.
func (p *pourer) tooMany(what string, at finding.Pos) {
	p.stop(RuleUnproved, at, fmt.Sprintf("%q has more than %d parts, more than any supplier's list, so nothing is worked out of it", what, formula.MostListed), "compare the list with the supplier's, and keep what belongs to this material")
}

// inOrder gives the indexes of a list in the order in which it says something, and how many
// of them are in order: of one made under ingredient law the colourants come last, since
// they stand anywhere.
func (p *pourer) inOrder(m formula.Material) (indexes []int, ordered int) {
	var last []int
	for i, c := range m.Contains {
		if m.Order == formula.Legal && p.colours(c) {
			last = append(last, i)
			continue
		}
		indexes = append(indexes, i)
	}
	return append(indexes, last...), len(indexes)
}

// colours reports whether a constituent is a colourant, or a material that is one.
func (p *pourer) colours(c formula.Constituent) bool {
	m, ok := p.library.Find(c.Material.V)
	return isColourant(c.INCI.V) || c.Material.Given() && ok && m.Kind == formula.KindColourant
}

// isColourant reports whether a name is that of a colourant.
func isColourant(name string) bool {
	hits := inci.ByINCI(name)
	return len(hits) > 0 && hits[0].Group == inci.GroupColourant
}

// stated holds the parts of an oil blend to the saponification value that its supplier
// states, or that its fatty acids give. That value fixes the need of lye.
func (p *pourer) stated(s *Source, m formula.Material) {
	if m.SAP == nil && len(m.FattyAcids) == 0 {
		return
	}
	shares, err := s.Shares.Middle()
	if err != nil {
		return // reported where the list was read
	}
	var nominal, unsaponifiable []float64
	for _, part := range s.Parts {
		nominal = append(nominal, part.Fat.SAP)
		unsaponifiable = append(unsaponifiable, part.Fat.Unsaponifiable)
	}
	stated, ok := p.statedSAP(m, dot(unsaponifiable, shares))
	if !ok {
		return
	}
	low, high := s.spread()
	usual := measure.Range{Low: s.span(low).Low, High: s.span(high).High}
	fits, ok := p.plausible(m, stated, usual, s.span(nominal))
	if !ok {
		return
	}
	scale := 1.0 // of figures of which no part of the range is in the books
	switch {
	case stated.High < usual.Low:
		scale = stated.High / usual.Low
	case stated.Low > usual.High:
		scale = stated.Low / usual.High
	}
	for _, part := range s.Parts {
		part.Fat.Spread = measure.Range{Low: part.Fat.Spread.Low * scale, High: part.Fat.Spread.High * scale}
	}
	s.SAP = &stated
	if shares, err = s.middle(); err != nil {
		return // reported where the source is taken
	}
	for j, fat := range s.fats(shares) {
		f := s.Parts[j].Fat
		f.SAP = fat.SAP
		f.Stated = measure.Exactly(f.SAP)
		if fits {
			f.Published = measure.Range{} // the figure of the lot takes the place of the spread
		}
		if err := f.Check(); err != nil {
			p.stop(RuleFigures, sapAt(m), fmt.Sprintf("the figures of %q cannot be right: %v", m.ID, err), fmt.Sprintf("compare materials/%s.yaml with the supplier's document", m.ID))
			return
		}
	}
}

// sapAt gives the place at which a material tells its saponification value.
func sapAt(m formula.Material) finding.Pos {
	if m.SAP != nil {
		return m.SAP.At
	}
	return m.FattyAcids[0].Code.At
}
