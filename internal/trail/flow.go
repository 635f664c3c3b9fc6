package trail

// A Flow is a whole batch at once: what was weighed, what became of it, and the
// words that name it, with the mass that passes from one to the next.
type Flow struct {
	Formula string   // the name on the front of the label
	Market  string   // whose words they are
	Word    string   // the word that is asked for; "" for none: then no node and ribbon is lit
	NoLye   string   // why no weight of lye is given; "" where it is
	Weighed []Node   // in the order of the formula
	Bar     []Node   // what is in the bar, and what has left it
	Words   []Node   // in the order of the declaration
	Made    []Ribbon // from Weighed to Bar
	Named   []Ribbon // from Bar to Words
}

// A Node is one thing in one of the three columns of a flow.
type Node struct {
	Name  string // "Pantry base", "soap of olive oil", "Sodium Olivate"
	Note  string // one short line beneath, such as what the supplier states; "" for none
	Grams Grams
	Bare  bool // its weight is not given: Grams is nought, and no ribbon joins it
	Gone  bool // it has left the bar, as most of the water has
	Lit   bool // it is part of the trail of the word
	Joint Joint
	Apart bool // its mass is within another node of the column, as an allergen's is in the scent
}

// A Joint says of a word what is open of its order with the next.
type Joint int

// The joints.
const (
	Firm     Joint = iota // nothing
	Loose                 // it could be otherwise
	Unproved              // nothing was shown of it
)

// A Ribbon is the mass that passes from one node to another of the next column, each
// told by its index.
type Ribbon struct {
	From, To int
	Grams    Grams
	Lit      bool
}

// Grams is a mass in grams of the whole batch, with its bounds over all that the
// statements allow; of a ribbon they are those of the node, in proportion. Low is at most
// Nominal, and Nominal at most High.
type Grams struct{ Low, Nominal, High float64 }
