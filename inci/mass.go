package inci

import (
	"fmt"
	"regexp"
	"strconv"
)

// Atomic weights: CIAAW/IUPAC, Standard Atomic Weights 2021. Sodium and
// potassium have the values of that table. For hydrogen, carbon, nitrogen and
// oxygen it gives intervals, noted here, and the abridged values stand for them;
// those of nitrogen are from memory.
const (
	AtomicWeightH  = 1.0080 // [1.00784, 1.00811]
	AtomicWeightC  = 12.011 // [12.0096, 12.0116]
	AtomicWeightN  = 14.007 // [14.00643, 14.00728]
	AtomicWeightO  = 15.999 // [15.99903, 15.99977]
	AtomicWeightNa = 22.98976928
	AtomicWeightK  = 39.0983
)

// Molar masses in g/mol. One set of atomic weights is behind all masses of the
// program, so that what goes into a reaction comes out of it.
const (
	MolarMassWater              = 2*AtomicWeightH + AtomicWeightO                     // 18.015
	MolarMassNaOH               = AtomicWeightNa + AtomicWeightO + AtomicWeightH      // 39.99676928
	MolarMassKOH                = AtomicWeightK + AtomicWeightO + AtomicWeightH       // 56.1053
	MolarMassGlycerol           = 3*AtomicWeightC + 8*AtomicWeightH + 3*AtomicWeightO // 92.094
	MolarMassSodiumCarbonate    = 2*AtomicWeightNa + AtomicWeightC + 3*AtomicWeightO  // 105.98753856
	MolarMassPotassiumCarbonate = 2*AtomicWeightK + AtomicWeightC + 3*AtomicWeightO   // 138.2046
	MolarMassCarbonDioxide      = AtomicWeightC + 2*AtomicWeightO                     // 44.009
)

var atomicWeights = map[string]float64{
	"H": AtomicWeightH, "C": AtomicWeightC, "N": AtomicWeightN, "O": AtomicWeightO, "Na": AtomicWeightNa, "K": AtomicWeightK,
}

var (
	wholeFormula = regexp.MustCompile(`^([A-Z][a-z]?([1-9][0-9]?)?)+$`)
	atomCount    = regexp.MustCompile(`([A-Z][a-z]?)([0-9]*)`)
)

// molarMass gives the molar mass of a formula without brackets, such as "NaHCO3",
// in g/mol.
func molarMass(formula string) (float64, error) {
	if !wholeFormula.MatchString(formula) {
		return 0, fmt.Errorf("%q is no formula", formula)
	}
	mass := 0.0
	for _, atom := range atomCount.FindAllStringSubmatch(formula, -1) {
		weight, ok := atomicWeights[atom[1]]
		if !ok {
			return 0, fmt.Errorf("the formula %q has the element %q, whose atomic weight is not held", formula, atom[1])
		}
		count := 1
		if atom[2] != "" {
			count, _ = strconv.Atoi(atom[2]) // one or two digits
		}
		mass += float64(count) * weight
	}
	return mass, nil
}
