package inci

import (
	"fmt"
	"iter"
	"slices"
	"strings"
)

// An Acid is a fatty acid.
type Acid struct {
	Code          string   // chain length and double bonds: "C18:1"; "C18:1OH" has a hydroxyl group
	Common        string   // "oleic acid"
	AlsoCalled    []string // further common names
	Systematic    string   // by the nomenclature of IUPAC, from memory
	Formula       string   // "C18H34O2"
	DoubleBonds   int
	INCI          Name // none for acids that are not sold singly
	CAS           string
	SodiumSalt    Salt
	PotassiumSalt Salt
	MolarMass     float64 // from the formula
	carbons       int
	hydrogens     int
	oxygens       int
}

// Salt gives the name of the acid's soap with the metal, if there is one.
func (a Acid) Salt(m Metal) Salt { return saltOf(m, a.SodiumSalt, a.PotassiumSalt) }

// SoapFormula gives the formula of the acid's soap: the metal takes the place
// of one hydrogen.
func (a Acid) SoapFormula(m Metal) string {
	symbol := "Na"
	if m == Potassium {
		symbol = "K"
	}
	return fmt.Sprintf("C%dH%dO%d%s", a.carbons, a.hydrogens-1, a.oxygens, symbol)
}

// SoapMolarMass gives the molar mass of the acid's soap.
func (a Acid) SoapMolarMass(m Metal) float64 {
	if m == Potassium {
		return a.MolarMass - AtomicWeightH + AtomicWeightK
	}
	return a.MolarMass - AtomicWeightH + AtomicWeightNa
}

// AcidValue gives the mg of KOH that a gram of the pure acid takes up.
func (a Acid) AcidValue() float64 { return 1000 * MolarMassKOH / a.MolarMass }

// TriglycerideSAP gives the saponification value of the fat that is made of
// this acid alone: glycerol joined to three of it, less three of water.
func (a Acid) TriglycerideSAP() float64 {
	return 3 * 1000 * MolarMassKOH / (3*a.MolarMass + MolarMassGlycerol - 3*MolarMassWater)
}

// Acids gives the fatty acids, by chain length and double bonds.
func Acids() iter.Seq[Acid] { return slices.Values(acids().all) }

// AcidByCode finds a fatty acid by its code: "C18:1". Case does not matter, nor
// does a hyphen: "C18:1-OH" is "C18:1OH".
func AcidByCode(code string) (Acid, bool) {
	t := acids()
	at, ok := t.codes[foldCode(code)]
	if !ok {
		return Acid{}, false
	}
	return t.all[at], true
}

// AcidByName finds a fatty acid by a common name, its systematic name or its
// INCI name; the word acid may be left out of it: "oleic", "oleic acid".
func AcidByName(name string) (Acid, bool) {
	t := acids()
	at, ok := t.names[foldAcid(name)]
	if !ok {
		return Acid{}, false
	}
	return t.all[at], true
}

// AcidsBySalt finds the fatty acids whose soap has the name, with the metal:
// "Sodium Oleate". They are several where one name serves isomers.
func AcidsBySalt(name string) ([]Acid, Metal) {
	t := acids()
	hit := t.salts[fold(name)]
	var found []Acid
	for _, at := range hit.at {
		found = append(found, t.all[at])
	}
	return found, hit.metal
}

// foldCode makes codes comparable.
func foldCode(code string) string { return strings.ReplaceAll(fold(code), " ", "") }

// foldAcid makes names of acids comparable: with the word acid and without it.
func foldAcid(name string) string { return strings.TrimSuffix(fold(name), " acid") }

// acidTable holds the fatty acids with what finds them.
type acidTable struct {
	all   []Acid
	codes map[string]int
	names map[string]int
	salts saltIndex
}

func readAcids() *acidTable {
	t := &acidTable{codes: map[string]int{}, names: map[string]int{}, salts: saltIndex{}}
	for at, r := range read[acidRecord]("acids.json") {
		a := r.acid()
		t.all = append(t.all, a)
		t.codes[foldCode(a.Code)] = at
		for _, name := range append([]string{a.Common, a.Systematic, a.INCI.Text}, a.AlsoCalled...) {
			if name := foldAcid(name); name != "" {
				t.names[name] = at
			}
		}
		t.salts.add(at, a.SodiumSalt, a.PotassiumSalt)
	}
	return t
}
