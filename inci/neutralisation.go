package inci

import "fmt"

// A Neutralisation says how a substance takes up alkali: whole and at once, before
// fat gets any, as citric acid does. A mole of it and Equivalents moles of alkali
// become a mole of salt, Equivalents moles of water, and the crystal water set free:
//
//	salt = (MolarMass − CrystalWater·18.015) + Equivalents·(M of the alkali − 18.015)
type Neutralisation struct {
	Formula       string  // without crystal water: "C6H8O7"
	MolarMass     float64 // g/mol, pure and as sold: crystal water included
	Equivalents   float64 // mol of alkali to a mol
	CrystalWater  float64 // mol of water to a mol
	SoldFrom      float64 // per cent of it in the weakest of the solutions that it is usually sold as; 0 where it is sold pure
	SodiumSalt    Name
	PotassiumSalt Name
	Source        string // of the figures
	Known         Known
}

// A neutralisationRecord holds the figures as they stand in the file. The names of
// the salts stand beside it.
type neutralisationRecord struct {
	Formula      string  `json:"formula"`
	Equivalents  float64 `json:"equivalents"`
	CrystalWater float64 `json:"crystal_water"`
	SoldFrom     float64 `json:"sold_from"`
	fact
}

func (r *neutralisationRecord) neutralisation(sodium, potassium nameRecord) *Neutralisation {
	if r == nil {
		return nil
	}
	return &Neutralisation{
		Formula: r.Formula, MolarMass: mustMolarMass(r.Formula) + r.CrystalWater*MolarMassWater,
		Equivalents: r.Equivalents, CrystalWater: r.CrystalWater, SoldFrom: r.SoldFrom,
		SodiumSalt: sodium.name(), PotassiumSalt: potassium.name(),
		Source: r.Source, Known: r.known(),
	}
}

// A sugarRecord is a pure sugar and the most alkali that a mole of it can take up.
type sugarRecord struct {
	Formula     string  `json:"formula"`
	Equivalents float64 `json:"equivalents"`
}

// most gives the mol of alkali to a gram.
func (r *sugarRecord) most() float64 {
	if r == nil {
		return 0
	}
	return r.Equivalents / mustMolarMass(r.Formula)
}

// mustMolarMass is for formulas of the tables.
func mustMolarMass(formula string) float64 {
	mass, err := molarMass(formula)
	if err != nil {
		panic(fmt.Sprintf("inci: %v", err)) // see read
	}
	return mass
}
