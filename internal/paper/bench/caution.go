package bench

import "slices"

// A Topic is what cautions have in common, as it stands above them.
type Topic string

// The topics, in the order in which they are printed.
const (
	Before   Topic = "Before the tub is opened"
	Mixing   Topic = "Making the lye"
	FirstAid Topic = "First aid: only water"
	After    Topic = "Spills, leftovers, keeping"
)

// Topics lists the topics in order.
func Topics() []Topic { return []Topic{Before, Mixing, FirstAid, After} }

// A Known says how the source of a caution was read.
type Known string

// The standings. A sentence of which a part is recalled is Memory.
const (
	Retrieved Known = "retrieved" // the text was read
	Memory    Known = "memory"    // recalled, or held to be good practice
)

// A Caution is one thing to mind with lye, in our own words.
type Caution struct {
	Topic  Topic
	Lead   string // the first words, which are set stronger
	Text   string // what follows them
	Source string
	Known  Known
}

// Cautions lists all that is to be minded, in order. They hold for the hydroxides
// of sodium and of potassium, solid and dissolved.
func Cautions() []Caution { return slices.Clone(cautions) }

// The P-statements are those of Regulation (EC) No 1272/2008 (CLP), annex IV, as
// suppliers' safety data sheets of both hydroxides print them.
var cautions = []Caution{
	{Before, "Wear", "goggles that close all round, nitrile or rubber gloves, long sleeves, an apron and closed shoes.",
		"P280; CCOHS, sodium hydroxide, personal protection; ABC of Safety in the Biological Sciences, alkalis", Retrieved},
	{Before, "Air", "the room, and keep out of the steam over fresh lye.",
		"ABC of Safety in the Biological Sciences, alkalis; handling texts after OSHA; CCOHS", Retrieved},
	{Before, "Children and animals", "stay out. Running water is within reach.", "good practice", Memory},
	{Before, "Only PP, HDPE or stainless steel", "that stands 100 °C. Aluminium, zinc and tin give off hydrogen; glass cracks.",
		"suppliers' safety data sheets of potassium hydroxide, section 7 (metals); ABC of Safety in the Biological Sciences (hydrogen); laboratory handling texts (plastic, glass); stainless steel from memory", Memory},
	{Before, "Weigh alkali dry,", "and close the tub at once. Write LYE on the jug.",
		"INRS, fiche toxicologique 20 (takes up water); suppliers' safety data sheets", Retrieved},

	{Mixing, "Alkali into water, never water onto alkali:", "that boils up and spits.",
		"handling guides for corrosives and suppliers' safety data sheets", Retrieved},
	{Mixing, "Cold water, in portions, stirring all the time:", "what lies on the bottom cakes and overheats.",
		"school chemical safety entry on strong alkalis, New South Wales (cold water); university safety sheet on potassium hydroxide (hot spots)", Retrieved},
	{Mixing, "Milk, beer, sugar or honey in the jug:", "chill or freeze it first and add alkali slowly. Beer must be flat, or it foams over.", "good practice", Memory},

	{FirstAid, "Skin:", "wet clothes off, then running water for 20 minutes, longer while it feels slippery. A doctor sees every burn.",
		"P303+P361+P353; ABC of Safety in the Biological Sciences (15 minutes); hazard text for corrosives (15 minutes)", Retrieved},
	{FirstAid, "Dry flakes:", "brush off first, then rinse.", "first-aid practice", Memory},
	{FirstAid, "Eyes:", "rinse at once, lids held open, lenses out, 30 minutes or more, then on the way to emergency care. Always go, even without pain.",
		"P305+P351+P338; safety data sheets (10 to 15 minutes); safety course text on alkalis (pain may come late); 30 minutes from memory", Memory},
	{FirstAid, "Swallowed:", "rinse the mouth, cause no vomiting, call the poison centre.",
		"P301+P330+P331; suppliers' safety data sheets, section 4", Retrieved},
	{FirstAid, "Breathed in:", "fresh air, rest half upright, a doctor.", "P304+P340", Retrieved},
	{FirstAid, "Never acid on people,", "vinegar neither: it makes heat and delays rinsing.",
		"newer first-aid texts, against older data sheets that advise acid washes; suppliers' safety data sheets, section 4 (do not neutralise)", Retrieved},

	{After, "Spilt:", "gloves on, soak it up, rinse with much water; then thin citric acid or vinegar, on surfaces alone.",
		"ABC of Safety in the Biological Sciences; contingency plan of a county for caustics", Retrieved},
	{After, "Left over:", "pour slowly into much cold water; flush where rules allow.",
		"school chemical safety entry on strong alkalis, New South Wales", Retrieved},
	{After, "Keep alkali", "in its own labelled tub: closed, dry, locked, away from acids, metals, food and children.",
		"P405; suppliers' safety data sheets, section 7", Retrieved},
}

// The sentence over each vessel with lye, and the one that ends all cautions.
const (
	danger = "Lye burns skin and eyes. Goggles and gloves on. Alkali into water, never the reverse."
	notAll = "This replaces neither your supplier’s safety data sheet nor the rules of your place: read them. In an emergency call your poison centre."
)
