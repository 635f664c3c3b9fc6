package inci

// What the tests outside of the package look at.
var (
	Fold           = fold
	ReadSubstances = readSubstances
	ParsePercent   = parsePercent
	MolarMass      = molarMass
)
