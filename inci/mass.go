package inci

// Atomic weights: CIAAW/IUPAC, Standard Atomic Weights 2021. Sodium and
// potassium have the values of that table. For hydrogen, carbon and oxygen it
// gives intervals, noted here, and the abridged values stand for them.
const (
	AtomicWeightH  = 1.0080 // [1.00784, 1.00811]
	AtomicWeightC  = 12.011 // [12.0096, 12.0116]
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
