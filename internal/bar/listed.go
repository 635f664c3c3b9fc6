package bar

import (
	"fmt"
	"math"
	"slices"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// potStyle makes an item of finished soap that is listed as it was put in the pot, with
// its alkali. Where all of its percentages are known, the list is poured as a bar of its
// own; else what came of it is a set.
func (p *pourer) potStyle(s Source, use formula.Text, m formula.Material, it item, all []listed, mix blend.Mix) {
	for _, c := range all {
		if _, isSoap := soapOf(c.INCI.V); isSoap {
			p.stop(RuleCrumbs, placeOf(c.in, c.Constituent, use), fmt.Sprintf("%q is listed with its alkali and with soap too", m.ID), "compare the list with the supplier's: it is of what went into the pot, or of what came of it")
			return
		}
	}
	if shares, exact := mix.Point(); exact {
		p.pourList(s, use, m, it, all, shares)
		return
	}
	p.kettle(s, use, m, it, all, mix)
}

// pourList pours a list of finished soap of which all percentages are known.
func (p *pourer) pourList(s Source, use formula.Text, m formula.Material, it item, all []listed, shares []float64) {
	inner := formula.Formula{ID: m.ID, Name: formula.Text{V: m.ID, At: use.At}}
	inner.Lye.At = use.At
	weight := func(i int) formula.Mass {
		return formula.Mass{V: measure.Mass(math.Round(shares[i] * float64(measure.Gram))), At: all[i].INCI.At} // of a gram
	}
	var own []formula.Material
	name := func(i int, c formula.Constituent, kind formula.Kind) formula.Text {
		id := fmt.Sprintf("constituent-%d", i+1)
		own = append(own, formula.Material{ID: id, Name: formula.Text{V: m.ID}, Kind: kind, INCI: c.INCI, File: m.File, Allergens: m.Allergens})
		return formula.Text{V: id, At: placeOf(m, c, use)}
	}
	for i, each := range all {
		c := each.Constituent
		hits, ok := p.substances(m, c, use)
		if !ok {
			return
		}
		switch {
		case isAlkali(c.INCI.V):
			addAlkali(&inner.Lye, hits[0], weight(i))
		case len(hits) > 0 && hits[0].ID == "water":
			inner.Lye.Water.Weight.V += weight(i).V
			inner.Lye.Water.Weight.At = c.INCI.At
		case len(hits) > 0 && isFat(hits[0].ID):
			inner.Pot = append(inner.Pot, formula.Ingredient{Material: name(i, c, formula.KindOil), Amount: formula.Amount{Weight: weight(i)}})
		default:
			inner.Add = append(inner.Add, formula.Addition{Material: name(i, c, kindIn(hits)), Amount: formula.Amount{Weight: weight(i)}})
		}
	}
	pot := newPourer(inner, formula.NewLibrary(own), nil, nil)
	pot.listed = true
	batter, findings := pot.pour()
	p.finished(s, use, it, making{batter: batter, findings: findings}, fmt.Sprintf("what went into %q", m.ID))
}

// addAlkali adds the alkali of a list to a lye. Named twice, it is one alkali all the
// same.
func addAlkali(l *formula.Lye, s inci.Substance, weight formula.Mass) {
	l.Weight.V += weight.V
	l.Weight.At = weight.At
	share := measure.Share(weight.V) // of the same gram
	for i, a := range l.Alkalis {
		if formula.ID(a.Name.V) == s.ID {
			l.Alkalis[i].Share.V += share
			return
		}
	}
	pure := formula.Alkali{
		Name:  formula.Text{V: s.ID, At: weight.At},
		Share: formula.Share{V: share, At: weight.At},
	}
	pure.Purity.V, pure.Purity.At = measure.ShareRange{Low: measure.Whole, High: measure.Whole}, weight.At
	l.Alkalis = append(l.Alkalis, pure)
}

// isAlkali reports whether an INCI name is that of an alkali which makes soap. A list
// that has one says what went into the pot, and not what came of it.
func isAlkali(name string) bool {
	return slices.ContainsFunc(inci.ByINCI(name), func(s inci.Substance) bool {
		return s.ID == "sodium-hydroxide" || s.ID == "potassium-hydroxide"
	})
}

func isFat(id string) bool {
	_, ok := inci.FatByID(id)
	return ok
}

// kindIn gives the kind of a thing in a list of finished soap.
func kindIn(hits []inci.Substance) formula.Kind {
	if len(hits) == 0 {
		return formula.KindAdditive
	}
	switch hits[0].Group {
	case inci.GroupFragrance:
		return formula.KindFragrance
	case inci.GroupEssentialOil:
		return formula.KindEssentialOil
	case inci.GroupColourant:
		return formula.KindColourant
	}
	return formula.KindAdditive
}
