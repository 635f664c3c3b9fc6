package bar

import (
	"saponym/inci"
	"saponym/internal/measure"
)

// An Account is the arithmetic of what one part of one source gives to the bar that is
// shown.
type Account struct {
	Part      float64       // g of the part that were weighed
	Share     measure.Range // of it in the source, 0 to 1, over all that its statement allows
	Moles     float64       // of its acids that have taken up alkali; 0 for what lye leaves alone
	Binds     float64       // mol of alkali that one gram can bind
	Extent    float64       // the part of that which has reacted, 0 to 1
	MolarMass float64       // g of what is made, to a mole of alkali; 0 for what is made otherwise
	Grams     float64       // of what is made
}

// Account gives the arithmetic of a term where one figure is shown.
func (b *Bar) Account(t Term) Account {
	if t.Product == Moisture || t.Product == BoughtMoisture {
		return Account{Grams: b.weigh([]Term{t}, b.shown.Point, nil)}
	}
	s := b.Sources[t.Source]
	if t.Product == Whole {
		return Account{Part: s.Mass, Share: measure.Exactly(1), Grams: s.Mass}
	}
	products, err := b.react(b.shown.Point)
	if err != nil {
		panic("bar: the bar that is shown cannot be")
	}
	part := s.Parts[t.Part]
	grams := s.Mass * b.shown.Shares[t.Source][t.Part]
	figure := make([]float64, len(s.Parts))
	figure[t.Part] = 1
	a := Account{Part: grams, Share: s.span(figure), Grams: b.weigh([]Term{t}, b.shown.Point, products)}
	if part.Fat == nil || grams == 0 {
		return a
	}
	fat := b.shown.Fats[t.Source][t.Part]
	acids, esters := fat.Equivalents()
	a.Binds = acids + esters
	made := products[t.Source][t.Part]
	potassium := b.saltOf(Term{t.Source, t.Part, PotassiumSoap})
	a.Moles = grams * (made.SodiumSoap + made.PotassiumSoap) / soapMass(fat.MeanAcid(), potassium)
	if a.Binds > 0 {
		a.Extent = a.Moles / (grams * a.Binds)
	}
	if a.Moles > 0 {
		a.MolarMass = a.Grams / a.Moles
	}
	return a
}

// AlkaliIn gives the alkali in the soap that a term tells of, in grams of hydroxide where
// one figure is shown: sodium or potassium hydroxide by its product. In the salt of an acid
// it is what the salt weighs more than the acid.
func (b *Bar) AlkaliIn(t Term) float64 {
	if t.Product != SodiumSoap && t.Product != PotassiumSoap {
		return 0
	}
	a := b.Account(t)
	if acid := b.Sources[t.Source].Parts[t.Part].Acid; acid != nil {
		return a.Grams - b.saltOf(t)*a.Part*acid.dry()/acid.MolarMass
	}
	if a.Moles == 0 {
		return 0
	}
	fat := b.shown.Fats[t.Source][t.Part]
	if t.Product == SodiumSoap {
		return a.Grams / soapMass(fat.MeanAcid(), 0) * inci.MolarMassNaOH
	}
	return a.Grams / soapMass(fat.MeanAcid(), 1) * inci.MolarMassKOH
}

// saltOf gives which part of a salt is of the alkali that a term tells of.
func (b *Bar) saltOf(t Term) float64 {
	potassium := b.potassiumAt(b.shown.Point)
	if s := b.Sources[t.Source]; s.Kettle != nil {
		potassium = s.potash(b.shown.Shares[t.Source])
	}
	switch t.Product {
	case SodiumSoap:
		return 1 - potassium
	case PotassiumSoap:
		return potassium
	}
	return 0
}

// soapMass gives the molar mass of a soap from that of its acid, in g/mol; potassium is the
// mole fraction of the metal that is potassium.
func soapMass(acid, potassium float64) float64 {
	return acid - inci.MolarMassWater + (1-potassium)*inci.MolarMassNaOH + potassium*inci.MolarMassKOH
}
