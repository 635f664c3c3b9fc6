package bar

import (
	"fmt"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// A moist is what a thing such as milk or beer is made of, in parts of its mass.
// Whatever is not named here lye leaves alone.
type moist struct {
	water, fat, acid, evaporates float64
	fatOf, acidOf                string // ids in package inci
	sugar                        float64
	sugarOf                      string
}

// moisture gives what a material is made of that is printed as the thing bought, and
// is told by its water, fat and sugar. It is false for a plain substance and for
// one whose supplier lists what is in it.
func (p *pourer) moisture(m formula.Material) (moist, bool) {
	if len(m.Contains) > 0 || m.Kind == formula.KindOil || m.Kind == formula.KindOilBlend {
		return moist{}, false
	}
	var known inci.Composition
	if hits := meant(m.ID, m.INCI.V); len(hits) > 0 {
		if hits[0].ID == "water" {
			return moist{}, false
		}
		known = hits[0].Composition
		if reactive(hits[0]) {
			return moist{water: middleShare(m.Water.V)}, m.Water.Given()
		}
	}
	part := func(own measure.ShareRange, given bool, f inci.Figure) float64 {
		if given {
			return middleShare(own)
		}
		return (f.Low + f.High) / 200
	}
	w := moist{
		water: part(m.Water.V, m.Water.Given(), known.Water), fat: part(m.Fat.V, m.Fat.Given(), known.Fat),
		acid: part(measure.ShareRange{}, false, known.Acid), sugar: part(measure.ShareRange{}, false, known.Sugar),
		evaporates: part(measure.ShareRange{Low: m.Evaporates.V, High: m.Evaporates.V}, m.Evaporates.Given(), known.Evaporates),
		fatOf:      known.FatOf, acidOf: known.AcidOf, sugarOf: known.SugarOf,
	}
	if m.FatOf.Given() {
		w.fatOf = formula.ID(m.FatOf.V)
	}
	return w, w.water+w.fat+w.acid+w.evaporates > 0
}

// bought makes the parts of a thing that is printed as it was bought.
func (p *pourer) bought(s *Source, m formula.Material, w moist, use formula.Text) bool {
	if hits := meant(m.ID, m.INCI.V); len(hits) > 0 && reactive(hits[0]) {
		return p.diluted(s, m, w, use)
	}
	names, ok := p.namesOfBought(m, use)
	if !ok {
		return false
	}
	s.Bought = &names
	var shares []float64
	rest := 1.0
	add := func(share float64, part Part) {
		if share > 0 {
			s.Parts, shares = append(s.Parts, part), append(shares, share)
			rest -= share
		}
	}
	add(w.water, Part{Names: builtinNames("water"), Role: Water})
	add(w.evaporates, Part{Leaves: 1})
	if w.fat > 0 {
		fat, ok := p.fatIn(m, w.fatOf, use, s.Work)
		if !ok {
			return false
		}
		add(w.fat, fat)
	}
	if acid, ok := inci.ByID(w.acidOf); ok && w.acid > 0 && acid.Neutralises != nil {
		add(w.acid, p.acid(Part{Names: namesOf(acid)}, acid, use, s.Work))
	}
	if sugar, ok := inci.ByID(w.sugarOf); ok {
		add(w.sugar, Part{Names: namesOf(sugar)})
	}
	if rest < -1e-9 {
		p.stop(RuleBlend, use.At, fmt.Sprintf("%q is more than 100 %% of water, fat and the like", m.ID), fmt.Sprintf("compare materials/%s.yaml with the supplier's document", m.ID))
		return false
	}
	add(max(0, rest), Part{})
	s.Shares = blend.Only(shares...)
	return true
}

// middleShare gives the middle of a range of shares, 0 to 1.
func middleShare(r measure.ShareRange) float64 { return (r.Low.Fraction() + r.High.Fraction()) / 2 }

// reactive reports whether lye or fat takes up a substance whole: it is declared as
// what it becomes, and not as the thing bought.
func reactive(s inci.Substance) bool {
	return s.Neutralises != nil || s.Group == inci.GroupAlkali || isFat(s.ID)
}

// diluted makes the parts of a reactive substance in water, such as lactic acid of 80 %.
func (p *pourer) diluted(s *Source, m formula.Material, w moist, use formula.Text) bool {
	part, ok := p.part(m, formula.Constituent{INCI: m.INCI}, use, s.Work)
	s.Parts = []Part{part, {Names: builtinNames("water"), Role: Water}}
	s.Shares = blend.Only(1-w.water, w.water)
	return ok
}

// namesOfBought gives what a bought thing is called on a label.
func (p *pourer) namesOfBought(m formula.Material, use formula.Text) (Names, bool) {
	if hits := meant(m.ID, m.INCI.V); len(hits) > 0 {
		return namesOf(hits[0]), true
	}
	if !m.INCI.Given() {
		p.stop(RuleUnlisted, use.At, fmt.Sprintf("no INCI name is given for %q", m.ID), fmt.Sprintf("write inci: in materials/%s.yaml", m.ID))
		return Names{}, false
	}
	part, ok := p.unlisted(m, m.INCI.V, placeOf(m, formula.Constituent{INCI: m.INCI}, use), false)
	return part.Names, ok
}

// fatIn gives the fat in a thing such as milk.
func (p *pourer) fatIn(m formula.Material, id string, use formula.Text, work Work) (Part, bool) {
	fat, ok := inci.FatByID(id)
	if !ok {
		p.stop(RuleNoSAP, use.At, fmt.Sprintf("of the fat in %q no saponification value is known", m.ID), fmt.Sprintf("write fat_of: and the id of the fat in materials/%s.yaml, such as butter or coconut-oil", m.ID))
		return Part{}, false
	}
	part := Part{Names: namesOf(fat.Substance), Role: LeftOver}
	if !p.meetsLye(work) {
		return part, true
	}
	part.Fat, ok = p.fat(formula.Material{ID: m.ID}, []inci.Substance{fat.Substance}, use.At, use.At)
	return part, ok
}
