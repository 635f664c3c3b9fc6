// Package inci holds what is known of the substances that soap is made of:
// their names on a label, the numbers that identify them, and the figures of
// the fats.
//
// What goes in is a name, as a maker or a supplier writes it: an id ("olive
// oil" or "olive-oil"), an INCI name, a CAS number, the name of a soap ("Sodium
// Olivate") or of a fatty acid ("oleic", "C18:1"). What comes out is a
// [Substance], a [Fat] or an [Acid], with the published source of each fact and
// whether that source was seen. A name is found when it is spelled as in the
// tables, apart from case, accents, and spaces in the place of hyphens; for
// other spellings there are [Nearest], [NearestINCI] and [NearestAcid].
//
// The package judges nothing. It knows no law: which names a market asks for,
// what is permitted and from which share a substance is named are matters of
// others, and so is the reckoning of lye. A remark on law in a Note is a hint
// for a reader, not a rule.
//
// Results share the memory of the tables: their slices must not be changed.
//
// # Units
//
// Saponification and acid values are mg of KOH to a gram of fat, iodine values
// g of iodine to 100 g, molar masses g/mol. Unsaponifiable matter is in per cent
// of the fat, a fatty acid in per cent of the fatty acids, and a part of a
// [Composition] in per cent of the whole, all by mass.
//
// # The tables
//
// The tables are the files in the folder data, one property a line. To add a
// fat, append a record to fats.json:
//
//   - id is what a maker types, small letters with hyphens. It stands in shop
//     folders and is never changed or used again for something else.
//   - source, beside each fact, is a key of sources.json. The fact is as well
//     known as its source (see [Known]); where it is not, known says so.
//   - sodium and potassium are the names of its soaps. Their stems follow no
//     rule (Sodium Olivate, Sodium Sunflowerseedate, Sodium Beeswax): copy them
//     from the list, and the source is COSING. A name that is not on it is formed
//     like the others, and its source is ANALOGY.
//   - sap is the published range with a representative value and its basis. If
//     there is none, give the profile, "withheld": true, and the value that
//     follows from the profile.
//   - Of several fats with one INCI name the ordinary one stands first: palm oil
//     before palm olein. Look-ups keep the order of the tables.
//
// Then run the tests of this package. They check what a slip of the pen would
// break: check digits, keys, ranges, sums, and names that would be ambiguous.
//
// All other substances are in ingredients.json. A record there with the key
// "fat" is the same thing as that fat, seen as an addition to the soap; its id
// leads to the fat. What the chemistry of a bar must know of the others:
//
//   - neutralises is for what takes up alkali whole. It has the formula without
//     crystal water, from which the molar mass is computed, the moles of alkali
//     and of crystal water to a mole, and the source; sold_from is the per cent of
//     it in the weakest solution that is usually sold. Beside it, sodium and
//     potassium are the names of its salts, which follow no rule either.
//   - composition is for milk, honey and the like: water, evaporates, fat, sugar
//     and acid, each with its percent, as text ("87" or "98.5-99.5"), and its source.
//     "of" is the id of the fat, sugar or acid. What is not known is left out.
//   - most_alkali is for a pure sugar that alkali takes apart: its formula, and
//     the most moles of alkali that a mole of it can take up. For things with
//     sugar in their composition it is computed.
//
// What is published of the constituents of essential oils is in essential_oils.json,
// by the id of the oil: name as statements of suppliers print it, low and high in per
// cent of the oil, and the source. A range of which a part is recalled is known from
// memory.
package inci

// Known says how a fact is known.
type Known string

// The ways to know a fact, the surest first.
const (
	Retrieved Known = "retrieved" // the text of the source was seen
	Computed  Known = "computed"  // follows by arithmetic from facts of these tables
	Memory    Known = "memory"    // recalled from the source, which was not seen
	Analogy   Known = "analogy"   // a name formed after the pattern of listed names
	Unknown   Known = "unknown"   // the source was seen and does not tell
)

// Status says where a name stands with regard to the list of the European
// Commission (CosIng, export of 30 December 2020). It is empty for names that
// were not looked up there.
type Status string

// The standings of a name.
const (
	Listed          Status = "listed"
	FormedByAnalogy Status = "formed by analogy"
	NotInTheList    Status = "not in the 2020 export"
)

// A Source is a document that facts were taken from.
type Source struct {
	Key      string // as in the Source fields of this package: "CXS210"
	Document string
	Known    Known
}

// A Name is what a label calls a substance. The zero Name is none.
type Name struct {
	Text   string // as printed, in the spelling of the list
	Status Status
	Source string
	Known  Known
}

// Given reports whether there is a name.
func (n Name) Given() bool { return n.Text != "" }

// A CASNumber is a number of the Chemical Abstracts Service Registry. Number is
// empty where none is known. A number may belong to several substances: the
// register has one for a plant, and the list gives it to all that comes of it.
type CASNumber struct {
	Number string
	Source string
	Known  Known
}

// A Group is the kind of a substance in the words of the trade.
type Group string

// The groups of substances.
const (
	GroupFat          Group = "fat" // has the figures of a [Fat], but for unspecified vegetable oil and tall oil
	GroupLiquid       Group = "liquid"
	GroupAlkali       Group = "alkali"
	GroupHumectant    Group = "humectant"
	GroupSugar        Group = "sugar"
	GroupSalt         Group = "salt"
	GroupAcid         Group = "acid"
	GroupChelator     Group = "chelator"
	GroupProtein      Group = "protein"
	GroupGrain        Group = "grain"
	GroupExfoliant    Group = "exfoliant"
	GroupClay         Group = "clay"
	GroupMineral      Group = "mineral"
	GroupColourant    Group = "colourant"
	GroupBotanical    Group = "botanical"
	GroupAntioxidant  Group = "antioxidant"
	GroupWax          Group = "wax" // does not saponify
	GroupOil          Group = "oil" // does not saponify
	GroupFragrance    Group = "fragrance"
	GroupEssentialOil Group = "essential oil"
	GroupOther        Group = "other"
)

// A LyeClass says what becomes of a substance in the lye.
type LyeClass string

// What may become of a substance in the lye.
const (
	Unchanged  LyeClass = "unchanged"
	Consumed   LyeClass = "consumed"   // used up in making soap
	Reacts     LyeClass = "reacts"     // becomes what the detail names
	Sugar      LyeClass = "sugar"      // stays, or browns
	Hydrolysed LyeClass = "hydrolysed" // split into smaller parts
	Evaporates LyeClass = "evaporates"
)

// InTheLye is what becomes of a substance in the lye. Its class is empty for a
// fat of which nothing but its [Kind] is recorded.
type InTheLye struct {
	Class  LyeClass
	Detail string // a phrase, or nothing
	Source string
	Known  Known
}

// A Substance is one thing that goes into soap.
//
// MostAlkali is a bound from above: the mol of alkali that the sugars in a gram of
// it can take up. Hot, strong lye turns a hexose into two of lactic acid, to an
// extent that nobody can foretell (Plunkett and Evans, J. Am. Chem. Soc. 1938, 60,
// 2847); what is taken up lies between nothing and this. Sucrose is inert in cold
// lye and counts as nothing.
type Substance struct {
	ID           string   // as in a formula: "olive-oil"
	AlsoIDs      []string // further ids that lead here
	Name         string   // the common English name: "corn (maize) oil"
	AlsoCalled   []string // further common names: "maize oil"
	Group        Group
	US           Name   // INCI name in the US manner: Olea Europaea (Olive) Fruit Oil
	EU           Name   // INCI name in the EU manner: Olea Europaea Fruit Oil
	OtherINCI    []Name // further INCI names of the same thing
	French       Name   // where the Canadian schedule has a French name
	CAS          CASNumber
	InTheLye     InTheLye
	Neutralises  *Neutralisation // nil for all that does not take up alkali whole
	Composition  Composition     // of milk, beer and the like
	MostAlkali   float64         // see above; 0 for all without sugars
	FoodAllergen string          // the food allergen that it comes of, or nothing
	Note         string          // a sentence for the reader, or nothing
}

// A TrivialName is a line of the schedule of the Canadian Cosmetic Regulations:
// the technical name of the European Union, the INCI name and the French name
// of one substance.
type TrivialName struct {
	EU           string
	INCI         string
	French       string
	In2020Export bool // the EU name is in the European list as well
}
