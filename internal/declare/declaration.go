// Package declare turns a bar into the list of ingredients for one market and
// one day: which names, in which order, with which allergens, and how certain
// each step of the order is.
//
// It takes what package bar knows of the bar and what package market says of the
// law. Names that are equal in a market become one ingredient; the order is
// asked of the bar, pair by pair, so that it is proved or shown to be open.
package declare

import (
	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
)

// A Declaration is the list of ingredients of one bar. Its JSON form is a
// contract.
type Declaration struct {
	Formula     string            `json:"formula"`
	Market      string            `json:"market"`
	On          day.Day           `json:"on"`
	Placed      *day.Day          `json:"placed,omitempty"` // the bars on the market; nil where that is not known
	Style       market.Style      `json:"style"`
	Text        string            `json:"text"`
	Ingredients []Ingredient      `json:"ingredients"`
	Allergens   []Allergen        `json:"allergens"`
	Soap        *Soap             `json:"soap_share,omitempty"` // nil where the law does not ask for it
	Findings    []finding.Finding `json:"findings"`

	Bar    *bar.Bar    `json:"-"` // what is declared; nil where there is no list
	Batter *bar.Batter `json:"-"` // from which it was made

	allergens *market.Allergens
}

// An Ingredient is one name of the list.
type Ingredient struct {
	Name      string   `json:"name"`
	Share     Percent  `json:"share_percent"` // of the bar in this style
	Rank      Rank     `json:"rank"`
	Zone      Zone     `json:"zone"`
	Side      Side     `json:"against_line,omitempty"` // of the line of the market; "" for a colourant
	Next      *Order   `json:"order_with_next"`        // nil for the last
	Witness   string   `json:"witness,omitempty"`
	SettledBy string   `json:"settled_by,omitempty"`
	Assumes   string   `json:"assumes,omitempty"` // what the order with the next hangs on, and nobody can know
	From      []string `json:"from"`              // the places of the formula that it comes from

	Lines []int `json:"-"` // of the bar that are in it
}

// A Percent is a share of the bar in per cent, with its bounds.
type Percent struct {
	Low     float64 `json:"low"`
	Nominal float64 `json:"nominal"`
	High    float64 `json:"high"`
}

// A Rank is the first and the last place of the list, from 1, at which an
// ingredient can stand lawfully.
type Rank struct {
	Earliest int `json:"earliest"`
	Latest   int `json:"latest"`
}

// A Zone is a part of the list with an order of its own.
type Zone string

// The zones of a list, in the order in which they follow each other.
const (
	Ordered   Zone = "ordered"   // by weight
	AnyOrder  Zone = "any-order" // below the line of the market
	Colourant Zone = "colourant" // after all others, in any order
)

// A Side says on which side of the line of the market an ingredient stands, over all that
// is allowed. The line itself is above in some markets, and below in others.
type Side string

// The sides of the line.
const (
	Above     Side = "above"
	Below     Side = "below"
	Undecided Side = "undecided" // it may be above or below
)

// An Order says what is known of an ingredient and the next one.
type Order string

// The verdicts on a pair.
const (
	Certain   Order = "certain"    // holds for every bar that the statements allow
	CouldSwap Order = "could-swap" // there is an allowed bar in which it does not hold
	Unproved  Order = "unproved"   // neither could be shown
	Free      Order = "free"       // the law asks for no order here
)

// An Allergen is a fragrance allergen in the bar. Its percentage is of the
// driest bar allowed, in which it is highest; by that the law's threshold is
// judged.
type Allergen struct {
	Name    string  `json:"name"`
	Percent float64 `json:"percent"`
	Printed bool    `json:"printed"`
}

// A Soap is the working of how much of a bar is soap, for a law that asks whether it is
// the bulk of what is not volatile. Grams are of the whole batch. Whether scent is
// volatile is open, so the share is a range.
type Soap struct {
	Soap        float64 `json:"soap_g"`
	NonVolatile float64 `json:"non_volatile_g"` // all but water and what evaporates
	Scent       float64 `json:"scent_g"`        // in non_volatile_g
	Low         float64 `json:"low_percent"`    // with all of the scent counted
	High        float64 `json:"high_percent"`   // with none of it
}

// Allergen gives the name under which the list prints an allergen of a supplier's
// statement, or "" where the law does not ask for it.
func (d Declaration) Allergen(stated string) string {
	if d.allergens == nil {
		return ""
	}
	if found := d.allergens.Find(stated); len(found) == 1 {
		return found[0].Label
	}
	return ""
}

// Names gives the names of the list in order.
func (d Declaration) Names() []string {
	names := make([]string, len(d.Ingredients))
	for i, in := range d.Ingredients {
		names[i] = in.Name
	}
	return names
}

// The rule ids of this package. DECL-COLOURANT, a colourant that the law does not list,
// is retired: the rule of the market on colourants judges it.
const (
	RuleAnalogy    = "DECL-ANALOGY"   // a name that is not on the list
	RuleSwap       = "DECL-SWAP"      // two ingredients whose order is open
	RuleUnproved   = "DECL-UNPROVED"  // two ingredients of which neither order could be shown
	RuleAdded      = "DECL-ADDED"     // the order when added is another one
	RuleConflict   = "DECL-CONFLICT"  // the order that one law wants is not that of another
	RuleWater      = "DECL-WATER"     // the water left is assumed
	RuleLeftOver   = "DECL-LEFTOVER"  // which oil is left over is assumed
	RuleMixed      = "DECL-MIXED"     // soaps of crumbs in a list of what went into the pot
	RuleBought     = "DECL-BOUGHT"    // a thing such as milk, on the basis of what was added
	RuleStyle      = "DECL-STYLE"     // a style that the market does not take
	RuleNearLine   = "DECL-LINE"      // an allergen that may be above its threshold or not
	RuleAmbiguous  = "DECL-AMBIGUOUS" // a register number of an allergen statement that several entries share
	RuleNoAllergen = "DECL-ALLERGEN"  // a name of an allergen statement that is not known
	RulePublished  = "DECL-PUBLISHED" // an essential oil told by its published composition, for want of a statement
)
