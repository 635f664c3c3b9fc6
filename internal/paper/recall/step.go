package recall

import (
	"fmt"
	"strings"

	"saponym/internal/market"
)

// A step is one thing to do, in our own words, with what has to be written down of it.
type step struct {
	do     string // the first words, which are set stronger
	text   string
	blanks []string // what stands before each rule to write on
	items  []string // each has a box to tick and rules of its own
	notes  []string
	cite   string
	source string // where it was read
	known  market.Known
}

// The sources of the steps. The order is that of a recall guide whose headings run: find,
// set apart, follow, have the sale stopped, correct, tell, measure what it brought.
const (
	standard = "a national reprint of the standard"
	guide    = "recall guide of Health Canada, headings"
	contents = "table of contents of the guide; its text was not seen"
)

// steps lists what is to be done, in order.
func (s Sheet) steps() []step {
	all := s.bars()
	people, nameless := s.buyers()
	buyers := fmt.Sprintf("%s %s named: tick each one in the lists of the batches.", count(people, "buyer"), isOrAre(people))
	if nameless > 0 {
		buyers += fmt.Sprintf(" %s went to buyers whom nobody knows: only a public notice reaches them.", bars(nameless))
	}
	steps := []step{
		{do: "Hold.", text: s.hold(), blanks: []string{"who", "when", "kept apart where"},
			cite: "ISO 22716:2007, 8.3", source: standard, known: market.Retrieved},
		{do: "Stop the sale.", text: "Take it off shelves, stalls and web pages. Whoever sells it for you stops too.", blanks: []string{"who", "when"},
			cite: guide, source: contents, known: market.Retrieved},
		{do: "Look.", text: "Is a kept sample of each batch there, whole and labelled? Can the label that carried each code be shown?", blanks: []string{"who", "when"},
			cite: "ISO 22716:2007, 9.8", source: standard, known: market.Retrieved},
		{do: "Decide.", text: "Is it called back, for what hazard, which codes, and from whom?", blanks: []string{"who decides", "when", "decision"},
			cite: "ISO 22716:2007, 14", source: "list of clauses; what the clause says is recalled", known: market.Memory},
		{do: "Tell the authority.", text: s.tell(), items: s.Authorities, notes: s.Reports,
			cite: guide, source: contents, known: market.Retrieved},
		{do: "Tell the buyers.", text: buyers, blanks: []string{"who", "begun", "done"},
			cite: guide, source: contents, known: market.Retrieved},
		{do: "Publish the notice.", text: "Its text ends this sheet: fill in the blanks first.", blanks: []string{"who", "when", "where"},
			cite: guide, source: contents, known: market.Retrieved},
	}
	if n := s.labelsLeft(); n > 0 {
		steps = append(steps, step{do: "Void the labels.", text: fmt.Sprintf("%s with these codes %s left: destroy, and write it down.", count(n, "label"), isOrAre(n)), blanks: []string{"who", "when", "how many"},
			cite: "ISO 22716:2007, 7.3", source: standard, known: market.Retrieved})
	}
	return append(steps,
		step{do: "Count what comes back.", text: strings.TrimSpace(back(all) + " Mark it, keep it apart, and sell none of it before it was judged."), blanks: []string{"came back", "destroyed", "counted by"},
			cite: "ISO 22716:2007, 8.5 and 10", source: standard, known: market.Retrieved},
		step{do: "Close.", text: "What came back, of how many, and what is done otherwise from now on?", blanks: []string{"who", "when", "changed"},
			cite: guide, source: contents, known: market.Retrieved})
}

// hold says what is to be set apart.
func (s Sheet) hold() string {
	all := s.bars()
	text := fmt.Sprintf("Set apart what is left of %s, and %s in stock", s.Of, bars(inStock(all)))
	if all.Withheld > 0 {
		text += fmt.Sprintf(", of which %d %s held back already", all.Withheld, isOrAre(all.Withheld))
	}
	return text + ". Mark them and count them."
}

// tell says how the authority is found.
func (s Sheet) tell() string {
	if len(s.Authorities) == 0 {
		return "None is named here: find out which one it is, and ask before the notice goes out."
	}
	return "Ask before the notice goes out."
}

// calls are what stands before the rules to write on beside an authority.
var calls = []string{"who called", "when", "number"}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// sources says where the steps come from, each source once with the numbers of its steps.
func sources(steps []step) string {
	var order []string
	numbers := map[string][]string{}
	for i, s := range steps {
		text := s.cite + " (" + s.source
		if !s.known.Confirmed() {
			text += ": unconfirmed"
		}
		if text += ")"; numbers[text] == nil {
			order = append(order, text)
		}
		numbers[text] = append(numbers[text], fmt.Sprint(i+1))
	}
	for i, text := range order {
		order[i] = strings.Join(numbers[text], ", ") + ": " + text
	}
	return "Where the steps come from. " + strings.Join(order, "; ") + "."
}
