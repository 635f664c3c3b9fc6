package bar

// A Line is one thing that can be declared. Its mass is the sum of its terms.
type Line struct {
	Role  Role
	Names Names
	Terms []Term
}

// Counted reports whether the line is a part of what the bar weighs. A thing that is
// declared as it was bought is not: its remains are, in a line of their own.
func (l Line) Counted() bool { return l.Role != Bought }

// Declared reports whether the line is an ingredient.
func (l Line) Declared() bool { return l.Role != Impurity && l.Role != Remains }

// A Role says what a line is to a declaration.
type Role int

// The roles of a line.
const (
	Substance    Role = iota // anything that goes by its own name
	Salt                     // the soap of a fat
	LeftOver                 // fat that has not become soap
	Water                    // left after the cure, or poured
	Glycerin                 // set free by saponification
	Perfume                  // a fragrance, of which only the allergens go by name
	EssentialOil             // a natural raw material of perfume
	Colourant
	Alkali   // as weighed
	Impurity // of the alkali: weighs, and is not declared
	Bought   // declared as bought, on the basis of what was added
	Remains  // what is left of a thing that is declared as bought
)

// A Term is what one product of one part of one source adds to a line.
type Term struct {
	Source, Part int
	Product      Product
}

// A Product is what a part becomes.
type Product int

// The products. AsAdded is the part itself, untouched, and Kept what has stayed of it
// after the cure. The soaps are the salts of an acid too. Fatty is Unreacted and
// Unsaponified together. The last three belong to no part: the water left that was poured as water, the water left that came with things
// that are declared as bought, and a whole source.
const (
	AsAdded Product = iota
	Kept
	SodiumSoap
	PotassiumSoap
	Glycerol
	Formed // water that acids set free
	Fatty
	Unreacted    // left-over fat
	Unsaponified // what cannot saponify, with the alcohols of waxes
	Moisture
	BoughtMoisture
	Whole
)
