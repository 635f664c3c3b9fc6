// Package saponify is the chemistry of one gram of fat in lye: how much alkali
// it binds, and what becomes of it when a given part of its acids and esters has
// reacted. Numbers only: it knows no oil by name.
//
// Amounts are in grams and moles. Every figure is per gram of fat as weighed,
// and mass closes: fat and alkali in equal soap, glycerol, alcohol, water,
// left-over fat and unsaponifiable matter out.
package saponify

import (
	"errors"
	"math"

	"saponym/inci"
)

// A Kind says what bears the fatty acids of a fat.
type Kind int

const (
	// Triglyceride gives soap and glycerol, three acids to one glycerol.
	Triglyceride Kind = iota
	// FreeAcid gives soap and water; its saponification value is its acid value.
	FreeAcid
	// WaxEster gives soap and a fatty alcohol, which stays in the bar.
	WaxEster
)

// perAcyl is what each acid of a triglyceride weighs more than the acid itself:
// a third of (glycerol − 3 water), 12.683 g/mol.
const perAcyl = (inci.MolarMassGlycerol - 3*inci.MolarMassWater) / 3

// A Fat is what must be known of a fat.
type Fat struct {
	Kind           Kind
	SAP            float64 // saponification value, mg KOH/g: free and esterified acids (scope of ISO 3657)
	AcidValue      float64 // mg KOH/g, a part of SAP; ignored for FreeAcid
	Unsaponifiable float64 // fraction of the mass, 0 to 1
	AcidMass       float64 // mean molar mass of the acids, g/mol; needed for WaxEster only
	Inert          float64 // part of the esters that lye does not reach, 0 to 1: a wax that a cold process takes up in part only
}

// Check says what is impossible about the figures of a fat: a saponification value
// that is not above nought, an acid value above it, or so much unsaponifiable
// matter that nothing is left for the acids to weigh.
func (f Fat) Check() error {
	switch {
	case !(f.SAP > 0):
		return errors.New("the saponification value is not above nought")
	case f.Kind != FreeAcid && !(f.AcidValue >= 0 && f.AcidValue <= f.SAP):
		return errors.New("the acid value is a part of the saponification value, and cannot be more")
	case !(f.Unsaponifiable >= 0 && f.MeanAcid() > 0):
		return errors.New("so much unsaponifiable matter leaves no room for the fatty acids that the saponification value asks for")
	case !(f.Inert >= 0 && f.Inert <= 1):
		return errors.New("the part of the esters that does not react is not between nothing and all")
	case f.Kind == WaxEster && f.alcohol() < 0:
		return errors.New("the fatty acids leave no room for the alcohols of the wax")
	}
	return nil
}

// WaxAcid gives the mean molar mass of a wax's acids, in g/mol, from its figures:
// the saponification and the acid value in mg KOH/g, and what is unsaponifiable
// after the wax was taken apart, which holds its alcohols, as a fraction. The
// esters take up a water each as they come apart, so acids and unsaponifiable
// matter weigh that much more than the wax.
func WaxAcid(sap, acidValue, unsaponifiable float64) float64 {
	acids, esters := Fat{Kind: WaxEster, SAP: sap, AcidValue: acidValue}.Equivalents()
	return (1 - unsaponifiable + inci.MolarMassWater*esters) / (acids + esters)
}

// An Extent says which part of the acids and of the esters has reacted, each
// from 0 to 1. Free acids react far faster than esters.
type Extent struct{ Acids, Esters float64 }

// Reacted gives the extent to which so many moles of alkali react with fats that
// hold these equivalents. The esters' part is above 1 when alkali is left over:
// it is never clamped, since that is what makes a bar lye-heavy.
func Reacted(alkali, acids, esters float64) Extent {
	switch {
	case acids > 0 && alkali < acids:
		return Extent{Acids: max(0, alkali/acids)}
	case esters > 0:
		return Extent{Acids: 1, Esters: (alkali - acids) / esters}
	case acids > 0:
		// Only free acids: alkali beyond them has nothing to react with, and
		// the extent of the acids is what shows it.
		return Extent{Acids: alkali / acids}
	}
	return Extent{}
}

// Equivalents gives the moles of alkali that the free acids and the esters of
// one gram bind, as far as lye reaches them.
func (f Fat) Equivalents() (acids, esters float64) {
	acids, esters = f.groups()
	return acids, (1 - f.Inert) * esters
}

// groups gives the moles of free acids and of esters in one gram.
func (f Fat) groups() (acids, esters float64) {
	const perMol = 1000 * inci.MolarMassKOH
	if f.Kind == FreeAcid {
		return f.SAP / perMol, 0
	}
	return f.AcidValue / perMol, (f.SAP - f.AcidValue) / perMol
}

// MeanAcid gives the mean molar mass of the fat's acids in g/mol.
func (f Fat) MeanAcid() float64 {
	if f.Kind == WaxEster {
		return f.AcidMass
	}
	acids, esters := f.groups()
	return (1 - f.Unsaponifiable - perAcyl*esters) / (acids + esters)
}

// ester gives what one ester of the fat weighs with what it is bound to, in g/mol.
// In a wax, what is neither free acid nor unsaponifiable is ester.
func (f Fat) ester() float64 {
	acids, esters := f.groups()
	if f.Kind == WaxEster && esters > 0 {
		return (1 - f.Unsaponifiable - acids*f.AcidMass) / esters
	}
	return f.MeanAcid() + perAcyl
}

// alcohol gives the mean molar mass of a wax's alcohols in g/mol.
func (f Fat) alcohol() float64 { return f.ester() + inci.MolarMassWater - f.AcidMass }

// Products is what one gram of fat has become, in grams.
type Products struct {
	SodiumSoap     float64
	PotassiumSoap  float64
	Glycerol       float64
	Alcohol        float64 // fatty alcohol of a wax
	Water          float64 // formed by free acids
	LeftOver       float64 // acids and esters that have not reacted
	Unsaponifiable float64
}

// At gives the products at an extent; potassium is the mole fraction of the
// alkali that is potassium hydroxide. All products are linear in the extent.
func (f Fat) At(x Extent, potassium float64) Products {
	acids, esters := f.groups()
	split := x.Esters * (1 - f.Inert) * esters
	mean := f.MeanAcid()
	bound := x.Acids*acids + split
	p := Products{
		SodiumSoap:     (1 - potassium) * bound * (mean + inci.MolarMassNaOH - inci.MolarMassWater),
		PotassiumSoap:  potassium * bound * (mean + inci.MolarMassKOH - inci.MolarMassWater),
		Water:          x.Acids * acids * inci.MolarMassWater,
		LeftOver:       (1-x.Acids)*acids*mean + (esters-split)*f.ester(),
		Unsaponifiable: f.Unsaponifiable,
	}
	switch f.Kind {
	case Triglyceride:
		p.Glycerol = split / 3 * inci.MolarMassGlycerol
	case WaxEster:
		p.Alcohol = split * f.alcohol()
	}
	return p
}

// Sag bounds how far the mass of soap that one gram gives can fall below the least at the
// ends, for fats whose saponification and acid value lie anywhere between those of f and
// of high, in grams; what is left over rises above the most by as much. Both are straight
// in each figure but for the part that free acid has in the mean mass of the acids: in the
// inverse of the saponification value, and in the square of the acid value.
func (f Fat) Sag(high Fat, x Extent) float64 {
	if f.Kind != Triglyceride {
		return 0
	}
	const perMol = 1000 * inci.MolarMassKOH
	least, most := f.SAP/perMol, high.SAP/perMol
	from, to := f.AcidValue/perMol, high.AcidValue/perMol
	// The chord of 1/s lies above it by this much at most, and that of a² by a quarter of
	// the square of its length.
	inverse := 1/math.Sqrt(least) - 1/math.Sqrt(most)
	bend := to*(1-f.Unsaponifiable+perAcyl*to)*inverse*inverse + perAcyl/least*(to-from)*(to-from)/4
	return max(0, x.Acids-(1-f.Inert)*x.Esters) * bend
}

// FromProfile gives the saponification value of a fat, in mg KOH/g, from the masses
// of its fatty acids: weights in any unit, with the molar mass of each acid in
// g/mol. The mean is the mole mean, as ISO 3657 and AOCS Cd 3a-94 want for mixed
// triglycerides; unsaponifiable matter is not in it. The fat is a triglyceride, or
// its acids are free.
func FromProfile(kind Kind, weights, molarMasses []float64) float64 {
	total, moles := 0.0, 0.0
	for i, w := range weights {
		total += w
		moles += w / molarMasses[i]
	}
	if kind == FreeAcid {
		return 1000 * inci.MolarMassKOH / (total / moles)
	}
	return 1000 * inci.MolarMassKOH / (total/moles + perAcyl)
}
