// Package market holds the law of each place as dated data: which names a list
// of ingredients uses and in which order, which allergens it names, what a label
// must say and how high its letters are. It answers what the law says on a day,
// and judges nothing.
//
// A market is a folder of data; the kinds of rule are Go. No market is named in
// code. The law was read by people who are no lawyers: each rule says where it
// stands and how it is known.
package market

import (
	"fmt"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/measure"
)

// A Known says how a rule is known.
type Known string

// The ways in which a rule is known.
const (
	Retrieved          Known = "retrieved"           // the text of the law was read
	RetrievedSecondary Known = "retrieved-secondary" // read in a restatement by a third party
	Memory             Known = "memory"              // recalled; a finding that rests on it is at most a warning
)

// Confirmed reports whether a text was read, so that a finding may stop a label.
func (k Known) Confirmed() bool { return k == Retrieved || k == RetrievedSecondary }

// Weaker gives the one of two that says less for what rests on both.
func Weaker(a, b Known) Known {
	if a == Memory || b == Memory {
		return Memory
	}
	if a == RetrievedSecondary {
		return a
	}
	return b
}

// A Rule is what all rules have in common. Its id is public: it is kept or
// retired, and never gets a second meaning.
type Rule struct {
	ID     string
	Market string
	Kind   string
	Level  finding.Level // of the finding when the rule is not met
	Force
	Message   string // what the law wants
	Condition string // when it is met, in the words of its figures
	Remedy    string
	Cite      string
	Known     Known
	Entries   []string // of the list that it goes by, a line each
}

// Finding gives the finding that the rule is not met, for the reason given. A
// rule that was not read in its text says so and only warns.
func (r Rule) Finding(at finding.Pos, reason string) finding.Finding {
	f := finding.Finding{Level: r.Level, Rule: r.ID, Message: r.Message, At: at, Cite: r.Cite, Remedy: r.Remedy, Market: r.Market}
	if reason != "" {
		f.Message = reason + ": " + r.Message
	}
	if !r.Known.Confirmed() {
		f.Level = min(f.Level, finding.Warn)
		f.Message += " (unconfirmed: this rule is recalled, its text was not read)"
	}
	return f
}

// Names says whose names a list of ingredients uses.
type Names string

// The nomenclatures.
const (
	NamesUS Names = "us" // with the common name of a plant in brackets
	NamesEU Names = "eu" // the European glossary
)

// A Style is a way of declaring a bar.
type Style string

// The styles.
const (
	AsCured Style = "as-cured" // soap salts, water, glycerin, left-over oils: what the bar is
	AsMade  Style = "as-made"  // oils, water, alkali: what went into the pot
)

// A List is the rule for the list of ingredients.
type List struct {
	Rule
	Required      bool
	Names         Names
	ColourNames   Names // whose names colourants go by
	Heading       string
	Water         string
	Perfume       string
	OilsAsPerfume bool // essential oils go by the word for perfume, not by name
	Trivial       bool // what has a trivial name in the Canadian schedule goes by the European one
	Styles        []Style
	OrderedBy     OrderedBy

	asked []List // those that it serves, where it is one for several laws
}

// An OrderedBy says by which weight the law orders a list.
type OrderedBy string

// The weights.
const (
	InTheBar  OrderedBy = "weight in the bar"
	WhenAdded OrderedBy = "weight when added"
	NotSaid   OrderedBy = "not said"                                // the law speaks of weight or predominance, and not of when
	Both      OrderedBy = "weight in the bar and weight when added" // of two laws that one list is to serve
)

// An AnyOrder is the rule for the part of the list that has no order.
type AnyOrder struct {
	Rule
	Share measure.Share
	AtToo bool // an ingredient of just this share is free of order as well
}

// An Allergens is the rule for naming fragrance allergens.
type Allergens struct {
	Rule
	Threshold measure.Share // more than this is named
	List      string        // the id of the list in force
	Published day.Day       // when that list was published: a statement that is older cannot know it
	Named     []Allergen    // the list in force on the days asked for; none where it is open whether allergens are named
	known     *allergenTable
}

// A SoapShare is the rule that a bar is soap in law only where soap is the bulk of it.
type SoapShare struct {
	Rule
	Over      measure.Share // soap must be more than this part of what is not volatile
	Doubtful  measure.Share // up to this part the word bulk can be read either way
	Otherwise string        // what the law takes the bar for if it is not: "cosmetic"
}

// Check gives an error for a rule of which a part is missing or contradicts another:
// shares are above nought and at most the whole, and the doubtful ones begin at Over.
func (s SoapShare) Check() error {
	if s.Over <= 0 || s.Doubtful < s.Over || s.Doubtful > measure.Whole || s.Otherwise == "" {
		return fmt.Errorf("rule %s must say over, doubtful_to (as much or more) and otherwise", s.ID)
	}
	return nil
}

// A Law is what one market says on one day.
type Law struct {
	Market         string
	Name           string
	Place          string   // "us", "eu" …
	Class          string   // what the law takes a bar of soap for: "soap" or "cosmetic"
	Paper          string   // what printers there hold: an id of package sheet
	Languages      []string // of the words that the law wants, the first one that of the label's own words; BCP 47
	Authority      string   // whom to ask
	On             day.Day  // of the label or the sale
	Days           Days
	List           List
	AnyOrder       AnyOrder
	ColourantsLast *Rule      // nil where colourants stand in order
	Allergens      *Allergens // nil where none need be named
	Substances     []Substances
	Colours        *ColourAdditives // nil where any colour may be used, as far as is known
	SoapShare      *SoapShare       // nil where the class does not hang on how much soap is in a bar
	Statements     []Statement
	Gatekeepers    []Gatekeeper

	colourants []colourant
	parts      []*Law // that it serves, where it is one for several
}

// Statement gives the rule for a duty.
func (l *Law) Statement(duty string) (Statement, bool) {
	for _, s := range l.Statements {
		if s.Duty == duty {
			return s, true
		}
	}
	return Statement{}, false
}
