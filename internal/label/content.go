// Package label puts together every word of a label for one market: what the
// declaration says, the weight that is claimed, who answers for the bar, and the
// fixed phrases. Each statement carries the duty that it serves and what that
// duty asks of its letters and of its place, so that layout need not know law.
package label

import (
	"slices"
	"strings"

	"saponym/internal/measure"
)

// A Content is all that one label says, in the order in which it is read.
type Content struct {
	Formula    string // the id
	Market     string // the id of the rule set
	Language   string // of its own words, BCP 47; what the law wants in others too stands in those as well
	Bar        Bar
	Statements []Statement
}

// A Bar is the cured bar that the label goes round. The face that a buyer sees
// first is Length by Width.
type Bar struct{ Length, Width, Height measure.Length }

// Face gives the area of the principal display panel: by law that of the whole
// face of the bar, not that of the paper on it.
func (b Bar) Face() measure.Area { return b.Length.Times(b.Width) }

// A Duty names what a statement is for. The ids are public: they stand in JSON
// and in drawn labels.
type Duty string

// The duties of a label. DutyName is the product's own name, which no law asks
// for; the rest are asked for in one market or another.
const (
	DutyName        Duty = "name"
	DutyIdentity    Duty = "identity"
	DutyTagline     Duty = "tagline"
	DutyNetQuantity Duty = "net-quantity"
	DutyIngredients Duty = "ingredients"
	DutyCaution     Duty = "caution"
	DutyMaker       Duty = "name-and-place"
	DutyResponsible Duty = "responsible-person"
	DutyOrigin      Duty = "origin"
	DutyContact     Duty = "contact"
	DutyBatch       Duty = "batch"
	DutyDurability  Duty = "durability"
)

// A Panel is a part of the label, by what it is for. Which panel of a template
// serves as which is the template's own business.
type Panel string

// The panels that a duty can ask for.
const (
	Principal   Panel = "principal"   // the side that a buyer sees first
	Information Panel = "information" // where the list stands
	Any         Panel = "any"
)

// A Statement is one thing that the label says.
type Statement struct {
	Duty     Duty
	Field    string   // where the words come from: "cuts.bar.claim"
	Panel    Panel    // where it must stand
	Required bool     // by law: it may not be left out
	Heading  string   // a word before the text, set bolder: "Ingredients:"
	Lines    []string // paragraphs, each broken into lines where it must be
	Names    []string // instead of Lines: a list of names that are kept whole, set with commas and a full stop
	Bold     bool     // the law asks for boldface
	Letters  Letters
	Place    Placement
	Exempt   []Exemption // where it may stand instead, or how, when there is no room for it
	Cite     string
}

// An Exemption is a way that the law leaves for a statement that finds no room.
type Exemption struct {
	When      string // the condition: "it cannot practically stand on the label"
	Instead   string // "a tag that is firmly attached"
	Cite      string
	Confirmed bool // its text was read; else it is recalled
}

// Letters is what a duty asks of the height of letters: the step that holds for
// the area of the principal display panel. No steps: nothing is asked.
type Letters struct {
	Measured Measured
	Steps    []HeightStep // by rising Over; the first has Over 0
}

// A Measured says which letter the law measures.
type Measured string

// What is measured. For mixed case the law of several markets names the small o;
// the small x is a little lower, so it is safe under either reading.
const (
	SmallLetter Measured = "small letter" // the height of a small x
	Capital     Measured = "capital"      // the height of a capital H
	Figures     Measured = "figures"      // the height of the lowest figure
)

// A HeightStep holds for panels of more than Over.
type HeightStep struct {
	Over measure.Area
	Min  measure.Length
}

// Least gives the least height for a principal display panel of this area.
func (l Letters) Least(panel measure.Area) measure.Length {
	var least measure.Length
	for _, step := range l.Steps {
		if panel > step.Over || step.Over == 0 {
			least = step.Min
		}
	}
	return least
}

// A Placement is what a duty asks of the place of its words on the principal
// display panel.
type Placement struct {
	LowestPart   measure.Share  // the words stand within this lowest part of the face; 0: anywhere
	UnlessFaceTo measure.Area   // a face of at most this area is free of LowestPart
	ClearHeights float64        // free space above and below, in heights of the letters
	ClearWidthsN float64        // free space at each side, in widths of the letter N
	ClearAround  measure.Length // free space on every side, at least
}

// Find gives the statement that serves a duty.
func (c Content) Find(duty Duty) (Statement, bool) {
	for _, s := range c.Statements {
		if s.Duty == duty {
			return s, true
		}
	}
	return Statement{}, false
}

// Words gives all that a statement says, heading and list included, as a reader
// would copy it.
func (s Statement) Words() string {
	parts := slices.Clone(s.Lines)
	if s.Heading != "" {
		parts = slices.Insert(parts, 0, s.Heading)
	}
	if len(s.Names) > 0 {
		parts = append(parts, strings.Join(s.Names, ", ")+".")
	}
	return strings.Join(parts, " ")
}
