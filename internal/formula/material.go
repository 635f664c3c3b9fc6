package formula

import (
	"saponym/internal/measure"
	"saponym/internal/source"
)

// A Kind says what sort of thing a material is, in the words of the trade.
type Kind string

// The kinds of material. A kind that a document does not give is that of the
// built-in substance with the same id; it is "" if there is none.
const (
	KindOil          Kind = "oil"
	KindOilBlend     Kind = "oil blend"
	KindSoap         Kind = "soap"
	KindBase         Kind = "base"
	KindFragrance    Kind = "fragrance"
	KindEssentialOil Kind = "essential oil"
	KindColourant    Kind = "colourant"
	KindLiquid       Kind = "liquid"
	KindAdditive     Kind = "additive"
	KindLyeSolution  Kind = "lye solution"

	// KindAlkali is that of the built-in alkalis. A formula names an alkali in
	// its lye, so no document of a material says it.
	KindAlkali Kind = "alkali"
)

// An Order says what the order of a supplier's list tells.
type Order string

// The orders of a list. One that is not given is legal for finished soap and
// for a base, which are listed by law, and unknown for all else.
const (
	Descending Order = "descending" // shares do not rise
	Legal      Order = "legal"      // no rise down to 1 %; below, and for colourants, no order
	Unknown    Order = "unknown"    // nothing
)

// A Material is what the maker buys, as the supplier states it.
//
// SAP and FattyAcids may both be given: the one says how much lye the fat takes
// up, the other of what its soap is. Water, Fat and Evaporates tell of a thing
// that is printed as it was bought, such as milk or beer; what is not said of one
// that is built in is taken from package inci by whoever reckons with it.
type Material struct {
	ID             string
	File           string // "" for one that is built in alone
	Name           Text
	Kind           Kind
	INCI           Text // for a single substance
	Contains       []Constituent
	Order          Order
	SAP            *SAP
	FattyAcids     []FattyAcidShare
	AcidValue      source.Value[measure.Range] // mg KOH/g
	Unsaponifiable source.Value[measure.ShareRange]
	// Reactivity is how much of the esters of a wax or fat a cold process saponifies:
	// all of them where nothing is said.
	Reactivity Share
	Water      source.Value[measure.ShareRange] // in a moist thing, of its mass
	Fat        source.Value[measure.ShareRange] // in a moist thing, of its mass
	// FatOf is the id of the built-in oil whose fat that is; that of the built-in
	// substance where nothing is said.
	FatOf Text
	// Evaporates is what leaves a moist thing in the cure beside its water, such as
	// alcohol.
	Evaporates Share
	Strength   Share // of a lye solution
	Allergens  []Allergen
	Vanillin   Share
	MaxUse     *MaxUse
	Statement  Statement
}

// A Constituent is one name of a supplier's list, or another material that is part
// of this one, with its share if the list gives one. Just one of INCI and Material is
// given in a document without findings. A share that is not given may be anything; so
// may one that is written as the rest, since the others bound it.
type Constituent struct {
	INCI     Text
	Material Text // the id of a material, as it was typed; see [ID]
	Share    source.Value[measure.ShareRange]
}

// Name gives the name of what the constituent is, and its place.
func (c Constituent) Name() Text {
	if c.Material.Given() {
		return c.Material
	}
	return c.INCI
}

// A SAP is a saponification value with the alkali in which it was stated.
type SAP struct {
	source.Value[measure.Range]        // in mg KOH per g fat, whatever the alkali stated
	Stated                      string // the unit as written: "mg KOH/g" or "g NaOH/g"
}

// A FattyAcidShare is one line of a fatty acid profile, in per cent of the fatty
// acids by mass. Code is that of package inci, such as "C18:1".
type FattyAcidShare struct {
	Code  Text
	Share Share
}

// An Allergen is one line of a fragrance supplier's allergen statement: a name
// as printed there, and its share of the fragrance.
type Allergen struct {
	Name  Text
	Share source.Value[measure.ShareRange]
}

// A MaxUse is the largest share of a finished product that the supplier's
// certificate allows. Amendment is the number of the standard it refers to.
type MaxUse struct {
	Amendment  Count
	ByCategory []CategoryLimit
}

// A CategoryLimit is the limit for one product category: "9" is that of bar soap.
type CategoryLimit struct {
	Category string
	Share    Share
}

// A Statement says where the figures of a material come from.
type Statement struct {
	Supplier  Text
	Dated     Day
	Ref       Text
	PaperFile Text // the key "file": a scan in the shop folder
}
