// Package formula holds the documents of a shop folder as types: what a maker
// writes into a formula, what a supplier states of a material, who the maker
// is, and what was weighed into a batch.
//
// It reads them from sources strictly: each value keeps the place where it
// stands, and all that is wrong with a document comes back as findings, not the
// first of them only. It knows the form of the documents and what contradicts
// itself within one; whether a bar may be sold is for others to judge.
package formula

import (
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// Short names for the values that documents are made of.
type (
	Text   = source.Value[string]
	Mass   = source.Value[measure.Mass]
	Length = source.Value[measure.Length]
	Share  = source.Value[measure.Share]
	Day    = source.Value[day.Day]
	Count  = source.Value[int]
)

// A Finding is a remark on a document; see package finding.
type Finding = finding.Finding

// A Formula is one product: what goes into the pot, how it is cut and what it
// is called. ID is the name of its file without the ending.
type Formula struct {
	ID         string
	File       string
	Name       Text // the front of the label
	Identity   Text // what it is: "soap"
	Like       Text // the id of a formula of which this one is a variant
	Size       Size
	WrittenFor Size         // of typed weights, where that is another than Size; see Resized
	Pot        []Ingredient // saponified
	Lye        Lye
	Portions   []Portion // of the batter before Add, for layers and swirls
	Add        []Addition
	Base       []Ingredient // instead of Pot and Lye: melt-and-pour, rebatch
	Process    Text         // "cold" or "hot"; cold where nothing is said
	Steps      []Step
	Cuts       []Cut
	Keep       Keep
	OnSale     map[string]Day             // by place: product first on that market
	Evidence   map[string]map[string]Text // by place: safety_report, notified …
	Link       Text                       // the address in the QR code
	Words      map[string]map[string]Text // by language: all free text that a customer reads
}

// A Size says how much is made. At most one of its values is given; with none,
// the weights in the pot, or in the base, say it. Where one is given and the pot is
// in weights, these are proportions, and all other weights scale with the pot;
// where the pot is in shares, the other weights are those for this size, unless
// WrittenFor of the formula names another one. A base has no oils, so the size of
// a formula with a base is its batter or a mould.
type Size struct {
	Oils   Mass
	Batter Mass
	Mould  Text // the id of a mould of the shop
}

// An Amount is a weight or a share; exactly one of them is given. What a share
// is of depends on where it stands.
type Amount struct {
	Weight Mass
	Share  Share
}

// An Ingredient is a material in the pot or in the base. Its share is of all
// that stands in the same list. In a base it may be own bars instead, which are
// melted again: then Batch is given and Material is not.
type Ingredient struct {
	Material Text
	Batch    Text
	Amount
}

// Name gives the material or the batch, whichever is given.
func (in Ingredient) Name() Text {
	if in.Batch.Given() {
		return in.Batch
	}
	return in.Material
}

// A Lye says what alkali is poured and how much. Of Superfat, Weight and Ratio
// at most one is given.
type Lye struct {
	At       finding.Pos // where the lye begins; the zero Pos where there is none
	Alkalis  []Alkali
	Of       Text // what the shares of two alkalis are of: "weight", "moles" or "fat"
	Solution Text // a ready-made lye solution: the id of a material
	Superfat Share
	Weight   Mass // of the alkali as weighed
	Ratio    *Ratio
	Water    Water
	Liquids  []Liquid
}

// An Alkali is one of the alkalis of a lye. Name is as typed: "sodium
// hydroxide" or "potassium hydroxide".
type Alkali struct {
	Name      Text
	Share     Share                            // of the lye, where there are two
	Purity    source.Value[measure.ShareRange] // hydroxide by mass; 100 % where nothing is said
	Carbonate Share                            // carbonate by mass
}

// A Ratio says how much alkali goes with how much oil; it scales with the batch.
type Ratio struct {
	Alkali Mass
	Oils   Mass
}

// A Water says how much water dissolves the alkali. Exactly one is given, unless
// the lye is a ready-made solution.
type Water struct {
	Weight   Mass
	Strength Share                 // alkali as weighed, of alkali and water together
	OfOils   Share                 // water, of the oils in the pot
	PerLye   source.Value[float64] // grams of water to a gram of alkali as weighed
}

// A Liquid stands in for part of the water. Its share counts the water in it.
type Liquid struct {
	Material Text
	Amount
	Into  Text // "lye", "oils" or "trace"
	State Text // free: "frozen"
}

// A Portion is a named part of the batter.
type Portion struct {
	Name  Text
	Share Share
}

// An Addition is stirred in and is not saponified unless it is an oil. Its share
// is of the oils of its portion, as the trade reckons, and so is that of what it
// is stirred into beforehand, With. Exactly one of Material and Batch is given.
type Addition struct {
	Material Text
	Batch    Text // own bars, as crumbs
	Amount
	In    Text         // the portion; the whole batter where nothing is said
	With  []Ingredient // what a material is stirred into beforehand: an oil, glycerin
	At    Text         // "lye", "oils", "trace", "after" or "top"
	Stays Share        // of what leaves in the cure: how much is still there
}

// A Step is one line of the sheet to work from that is not a weight.
type Step struct {
	Do   Text
	Temp source.Value[float64] // degrees Celsius
	Note Text
}

// A Cut is one size of bar made from a batch.
type Cut struct {
	Name   Text // the key in cuts: "bar", "guest"
	Count  Count
	Length Length
	Width  Length
	Height Length
	Claim  source.Value[measure.Quantity] // the net weight promised, as typed
	GTIN   Text
}

// Size gives the edges of the cured bar; those that are not given are 0.
func (c Cut) Size() [3]measure.Length { return [3]measure.Length{c.Length.V, c.Width.V, c.Height.V} }

// ClaimMass gives the promised net weight as a mass, and 0 where none is given.
func (c Cut) ClaimMass() measure.Mass { return c.Claim.V.Mass() }

// A Keep says how long the product is sold and how long it keeps, in months.
type Keep struct {
	SellWithin Count
	Durability Count
	Open       Count
}
