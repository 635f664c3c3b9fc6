package bar

import "saponym/inci"

// Densities in g/ml at room temperature, for the volume of a batter in a mould.
// They are ordinary values from memory, without a source: a batter that is a few per
// cent off fills the mould a little more or less, and nothing that is declared hangs
// on them.
const (
	densityFat     = 0.92
	densitySoap    = 1.05 // crumbs, base
	densitySalt    = 2.16
	densitySugar   = 1.5
	densityMineral = 2.6 // clays, pigments
	densityMeal    = 1.4 // meals, powders of plants, proteins
)

// lyeVolume is how many millilitres a gram of alkali adds to the water that it is
// dissolved in: sodium hydroxide of 33 % has a density of 1.36 (from memory), so 33 g
// with 67 g of water are 73.5 ml.
const lyeVolume = 0.2

// volumeOf gives the millilitres that one gram of a part takes up.
func volumeOf(part Part) float64 {
	if part.Fat != nil {
		return 1 / densityFat
	}
	switch part.Role {
	case Salt, LeftOver:
		return 1 / densitySoap
	case Perfume, EssentialOil:
		return 1 / densityFat
	}
	s, _ := inci.ByID(part.Names.ID)
	switch s.Group {
	case inci.GroupSalt:
		return 1 / densitySalt
	case inci.GroupSugar, inci.GroupAcid, inci.GroupChelator:
		return 1 / densitySugar
	case inci.GroupClay, inci.GroupMineral, inci.GroupColourant:
		return 1 / densityMineral
	case inci.GroupGrain, inci.GroupExfoliant, inci.GroupBotanical, inci.GroupProtein:
		return 1 / densityMeal
	}
	return 1
}

// volumeOfLye gives the millilitres of the alkali with its water.
func volumeOfLye(at lyePlan) float64 {
	return at.plain + at.dissolved() + lyeVolume*(at.alkali()-at.dissolved())
}
