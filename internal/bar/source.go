package bar

import (
	"slices"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A Source is one weighed thing.
type Source struct {
	Ref      string            // where it stands in the formula, and what it is: "pot[0] olive-oil"
	At       finding.Pos       // the same as a place in the file
	Work     Work              // what is to be done with it at the pot
	Material *formula.Material // what its supplier states; nil for plain water, alkali and own bars
	Mass     float64           // g
	Shares   blend.Mix         // of Parts
	Parts    []Part
	Bought   *Names // what it is declared as where it is printed as the thing bought, such as milk; nil for what is declared by its parts

	SAP     *measure.Range // mg KOH/g of the whole blend, where its supplier states it: the parts have it together
	Kettle  *Kettle        // where it was boiled by somebody else, and is listed by what went in; nil else
	Allowed [][]float64    // compositions that are surely allowed, where Shares holds more than is; nil where all are
}

// A Kettle is where soap was boiled that is bought finished. How much of its oils has
// become soap is a range, and so is which alkali it was, as a mole fraction.
type Kettle struct {
	Extent    measure.Range // of the esters, 0 to 1
	Potassium measure.Range
}

// A Work is what the sheet to work from says of a weighed thing.
type Work struct {
	Name    string // common: "Olive oil"
	When    Stage
	Portion string // "" for the whole batter
	With    int    // index of the source that it is stirred in for, one after that; 0 for none
	State   string // as the formula says it: "frozen"
}

// A Stage is when a thing goes in.
type Stage int

// The stages, in their order at the pot.
const (
	ToPot   Stage = iota // with the oils, or the base, at the start
	ToLye                // into the lye jug
	ToOils               // into the oils before the lye
	AtTrace              // into the batter
	After                // when the soap is made
	OnTop                // on what is in the mould
)

// stageWords are the words of a formula for the stages.
var stageWords = []string{ToPot: "pot", ToLye: "lye", ToOils: "oils", AtTrace: "trace", After: "after", OnTop: "top"}

// String gives the word of a formula for the stage.
func (s Stage) String() string { return stageWords[s] }

// late reports whether the soap is made by then, if it is cooked.
func (s Stage) late() bool { return s == After || s == OnTop }

// stage reads a stage; where nothing is said it is the usual one.
func stage(word formula.Text, usual Stage) Stage {
	if at := slices.Index(stageWords, word.V); at >= 0 {
		return Stage(at)
	}
	return usual
}

// A Part is one of the things that a source is made of. At most one of Fat and Acid
// is given.
type Part struct {
	Names  Names
	Role   Role    // of what lye leaves alone
	Fat    *Fat    // nil for what is not saponified
	Acid   *Acid   // nil for what does not take up lye
	Alkali float64 // mol of hydroxide in a gram
	Leaves float64 // part of it that has left by the end of the cure, 0 to 1
}

// A Fat is a part that meets the lye. Its own figures are the nominal ones.
type Fat struct {
	saponify.Fat
	Stated          measure.Range // mg KOH/g: the nominal value, unless maker or supplier gives a range
	Published       measure.Range // mg KOH/g: the spread of the species in handbooks; zero where none is known, or a lot was measured
	Confirmed       bool          // the text behind Published was read; what is recalled only warns
	Spread          measure.Range // mg KOH/g: what its value may be, as far as the order of a list hangs on it
	Acids           measure.Range // mg KOH/g: the same of its acid value; that of a blend is taken to be so of each of its oils
	Unsaponifiables measure.Range // the same of what cannot saponify, as a fraction
	Reach           bool          // how much of its esters the lye takes up is stated
}

// at gives the fat with other figures.
func (f Fat) at(sap, acid, unsaponifiable float64) saponify.Fat {
	g := f.Fat
	g.SAP, g.AcidValue, g.Unsaponifiable = sap, acid, unsaponifiable
	return g
}

// check reports figures that no fat has, wherever in their ranges they lie.
func (f Fat) check() error {
	for _, sap := range ends(f.Stated) {
		for _, acid := range ends(f.Acids) {
			for _, rest := range ends(f.Unsaponifiables) {
				if err := f.at(sap, acid, rest).Check(); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// An Acid is a part that takes up alkali whole and at once: each mole of it binds so
// many moles of alkali, sets free as many of water, and becomes a salt.
type Acid struct {
	MolarMass         float64 // g/mol as weighed, crystal water included
	Equivalents       float64 // mol of alkali a mol
	Crystal           float64 // mol of crystal water a mol
	Sodium, Potassium Names   // its salts
}

// takes gives the moles of alkali that one gram takes up.
func (a Acid) takes() float64 { return a.Equivalents / a.MolarMass }

// dry gives the molar mass without crystal water, in g/mol.
func (a Acid) dry() float64 { return a.MolarMass - a.Crystal*inci.MolarMassWater }

// at gives what one gram becomes; potassium is the mole fraction of the alkali that
// is potassium hydroxide.
func (a Acid) at(potassium float64) saponify.Products {
	dry := a.dry()
	salt := func(alkali float64) float64 {
		return (dry + a.Equivalents*(alkali-inci.MolarMassWater)) / a.MolarMass
	}
	return saponify.Products{
		SodiumSoap:    (1 - potassium) * salt(inci.MolarMassNaOH),
		PotassiumSoap: potassium * salt(inci.MolarMassKOH),
		Water:         (a.Equivalents + a.Crystal) * inci.MolarMassWater / a.MolarMass,
	}
}
