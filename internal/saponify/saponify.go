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
	}
	return nil
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
// one gram bind.
func (f Fat) Equivalents() (acids, esters float64) {
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
	acids, esters := f.Equivalents()
	return (1 - f.Unsaponifiable - perAcyl*esters) / (acids + esters)
}

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
	acids, esters := f.Equivalents()
	mean := f.MeanAcid()
	bound := x.Acids*acids + x.Esters*esters
	p := Products{
		SodiumSoap:     (1 - potassium) * bound * (mean + inci.MolarMassNaOH - inci.MolarMassWater),
		PotassiumSoap:  potassium * bound * (mean + inci.MolarMassKOH - inci.MolarMassWater),
		Water:          x.Acids * acids * inci.MolarMassWater,
		Unsaponifiable: f.Unsaponifiable,
	}
	ester := mean + perAcyl
	switch f.Kind {
	case Triglyceride:
		p.Glycerol = x.Esters * esters / 3 * inci.MolarMassGlycerol
	case WaxEster:
		// What is neither free acid nor unsaponifiable is ester.
		if esters > 0 {
			ester = (1 - f.Unsaponifiable - acids*mean) / esters
		}
		p.Alcohol = x.Esters * esters * (ester + inci.MolarMassWater - mean)
	}
	p.LeftOver = (1-x.Acids)*acids*mean + (1-x.Esters)*esters*ester
	return p
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
