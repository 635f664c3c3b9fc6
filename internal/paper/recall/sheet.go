// Package recall makes the sheet to call bars back by: which batches hold a lot, how
// many bars were made and where each is now, who got them, what has to be done in which
// order, and the text of a notice with blanks to fill in.
//
// It takes a [Sheet], whose batches and counts others have looked up, and gives it as
// pages of paper ([Sheet.Document]), as text for a terminal ([Sheet.Text]) or as a table
// for a spreadsheet ([Sheet.CSV]). It decides nothing: whether bars are called back is
// for people to say, and for the authority of the place.
package recall

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/register"
)

// The rules of recall sheets. They are public ids: kept or retired, and never given a
// second meaning.
const (
	RuleBalance = "RECALL-BALANCE" // a record whose bars do not add up
	RuleLetter  = "RECALL-LETTER"  // a letter that cannot be printed
	RuleRoom    = "RECALL-ROOM"    // the paper is too small, or a text too long
)

// A Sheet is what has to be known and done to call bars back.
type Sheet struct {
	Maker   formula.Maker
	Of      string // what is called back: "lot PB-1182" or "batch 26330-01-S"
	Lot     string // the lot, or the code of the batch
	On      day.Day
	Batches []Batch

	Authorities []string // whom to tell or ask, one line each
	Reports     []string // until when something has to be told, one line each
}

// A Batch is one that holds what is called back.
type Batch struct {
	Record  formula.Batch
	Product string           // the name of the formula: "Hearth & Husk"
	What    string           // what of the lot went in; nothing for the batch itself
	Via     []string         // codes of the batches between the lot and this one
	Stock   []register.Stock // by cut; none where it is not cut
}

// A place is where bars of a batch can be. Each bar that was made is in one of them.
type place struct {
	name  string
	count func(register.Stock) int
}

var places = []place{
	{"on hand", func(s register.Stock) int { return s.OnHand }},
	{"held back", func(s register.Stock) int { return s.Withheld }},
	{"sold", func(s register.Stock) int { return s.Sold }},
	{"given", func(s register.Stock) int { return s.Given }},
	{"sampled", func(s register.Stock) int { return s.Sampled }},
	{"destroyed", func(s register.Stock) int { return s.Destroyed }},
	{"worked again", func(s register.Stock) int { return s.Reworked }},
	{"lost", func(s register.Stock) int { return s.Lost }},
}

// gap gives how many of the bars that were made are in no place. It is less than nought
// where more are accounted for than were made.
func gap(s register.Stock) int {
	left := s.Made
	for _, p := range places {
		left -= p.count(s)
	}
	return left
}

func inStock(s register.Stock) int  { return s.OnHand + s.Withheld }
func out(s register.Stock) int      { return s.Sold + s.Given }
func supplied(s register.Stock) int { return out(s) + s.Returned }

// balance says where the bars are: "10 made = 5 on hand + 3 sold + 2 samples".
func balance(s register.Stock) string {
	var parts []string
	for _, p := range places {
		if n := p.count(s); n != 0 {
			parts = append(parts, fmt.Sprintf("%d\u00a0%s", n, p.name))
		}
	}
	if n := gap(s); n != 0 || len(parts) == 0 {
		parts = append(parts, fmt.Sprintf("%d\u00a0not accounted for", n))
	}
	return fmt.Sprintf("%d\u00a0made = %s", s.Made, strings.Join(parts, " + "))
}

// accounted says how many bars nobody knows the way of. What is written down as lost has a
// place in the record, and yet nobody knows where it is.
func accounted(s register.Stock) string {
	text := fmt.Sprintf("%d cannot be accounted for", max(0, gap(s)))
	if n := -gap(s); n > 0 {
		text = fmt.Sprintf("%d more are accounted for than were made: an entry is wrong", n)
	}
	if s.Lost > 0 {
		text += fmt.Sprintf(", and %d %s written down as lost", s.Lost, isOrAre(s.Lost))
	}
	return text + "."
}

// back says how many of those that were supplied came back. The share is rounded down, so
// that 100 % are all of them.
func back(s register.Stock) string {
	if supplied(s) == 0 {
		return ""
	}
	text := fmt.Sprintf("Of %s supplied, %d came back", bars(supplied(s)), s.Returned)
	if s.Returned > 0 {
		text += fmt.Sprintf(" (%.0f\u00a0%%)", math.Floor(100*float64(s.Returned)/float64(supplied(s))))
	}
	if s.Recalled > 0 {
		text += fmt.Sprintf("; asked back: %d", s.Recalled)
	}
	return text + "."
}

// bars counts bars in words.
func bars(n int) string { return count(n, "bar") }

func count(n int, thing string) string {
	switch {
	case n == 1:
	case strings.HasSuffix(thing, "ch"):
		thing += "es"
	default:
		thing += "s"
	}
	return fmt.Sprintf("%d\u00a0%s", n, thing)
}

func (b Batch) bars() register.Stock { return register.Bars(b.Stock) }

func (s Sheet) bars() register.Stock {
	var all []register.Stock
	for _, b := range s.Batches {
		all = append(all, b.bars())
	}
	return register.Bars(all)
}

// barless gives why a batch has no bars to count, or nothing.
func (b Batch) barless() string {
	switch {
	case len(b.Stock) > 0:
		return ""
	case b.Record.MakesMaterial():
		return "It makes a material and no bars: set apart what is left of it."
	}
	return "It is not cut yet and has no bars: set the whole of it apart."
}

// offcuts says what the cutting gave beside the bars that are counted.
func (b Batch) offcuts() string {
	ends, seconds := 0, 0
	for _, c := range b.Record.Cuts {
		ends, seconds = ends+c.Ends.V, seconds+c.Seconds.V
	}
	var parts []string
	if ends > 0 {
		parts = append(parts, count(ends, "end"))
	}
	if seconds > 0 {
		parts = append(parts, count(seconds, "second"))
	}
	if len(parts) == 0 {
		return ""
	}
	return "The cutting gave " + strings.Join(parts, " and ") + " besides, which the record does not follow: look for them."
}

// used gives the lines of a batch by which a lot, or bars of a batch, went in.
func (b Batch) used(lot string) []string {
	var all []string
	for _, w := range b.Record.Weighed {
		if !slices.Contains([]string{register.FoldLot(w.Lot.V), register.FoldLot(w.Batch.V)}, register.FoldLot(lot)) {
			continue
		}
		text := cmp.Or(w.Material.V, w.Batch.V)
		if w.Weight.Given() {
			text = fmt.Sprintf("%s\u00a0g of %s", strconv.FormatFloat(math.Round(w.Weight.V.Grams()*100)/100, 'f', -1, 64), text)
		}
		if w.Supplier.V != "" {
			text += " from " + w.Supplier.V
		}
		if w.Received.Given() {
			text += ", received " + dayOf(w.Received)
		}
		all = append(all, text)
	}
	return all
}

// facts tells a batch in a line: when it was made, and how the lot came into it.
func (b Batch) facts(lot string) []string {
	var all []string
	add := func(label, value string) {
		if strings.TrimSpace(value) != "" {
			all = append(all, label+" "+value)
		}
	}
	made := dayOf(b.Record.Made)
	if by := b.Record.By.V; by != "" {
		made += " by " + by
	}
	add("made", made)
	add("at", b.Record.Place.V)
	went := b.used(lot)
	if len(went) == 0 {
		went = given(b.What)
	}
	add("what went in:", strings.Join(went, " and "))
	add("by way of", strings.Join(b.Via, ", "))
	return all
}

func dayOf(d formula.Day) string {
	if d.V.IsZero() {
		return ""
	}
	return d.V.String()
}

// The kinds of events that move bars: to people and back, to the shelf of samples, and to
// any other place.
var (
	handed = []string{"sold", "given", "returned"}
	kept   = []string{"sampled"}
	other  = []string{"withheld", "released", "recalled", "destroyed", "reworked", "lost"}
)

// events gives those of some kinds, in the order of their days.
func (b Batch) events(kinds []string) []formula.Event {
	var all []formula.Event
	for _, e := range b.Record.Events {
		if slices.Contains(kinds, e.What.V) {
			all = append(all, e)
		}
	}
	slices.SortStableFunc(all, func(a, b formula.Event) int { return a.Date.V.Compare(b.Date.V) })
	return all
}

// whole are the events that are about all bars there are where they give no count.
var whole = []string{"withheld", "released", "recalled", "destroyed", "reworked"}

// number gives how many bars an event is about, or a dash where nobody wrote it down.
func number(e formula.Event) string {
	if !e.Count.Given() && slices.Contains(whole, e.What.V) {
		return "all"
	}
	return counted(e.Count)
}

// unknown is said of bars whose buyer cannot be asked.
const unknown = "buyer not known: public notice"

// assumed is said of an event that names a batch nobody looked at.
const assumed = "batch assumed: nobody saw which one it was"

// named reports whether an event says who got the bars. A stall on a market is a place
// and no buyer; so is, to be on the safe side, whoever is called one.
func named(e formula.Event) bool {
	who := strings.FieldsFunc(strings.ToLower(e.Who.V), func(r rune) bool { return !('a' <= r && r <= 'z') && r < 0x80 })
	return strings.TrimSpace(e.Who.V) != "" && !slices.Contains(who, "stall") && !slices.Contains(who, "stalls")
}

// remarks gives what is to be known of an event beside its day, count and people.
func remarks(e formula.Event) []string {
	var all []string
	if slices.Contains(handed, e.What.V) && !named(e) {
		all = append(all, unknown)
	}
	if e.Assumed.V {
		all = append(all, assumed)
	}
	if e.Note.V != "" {
		all = append(all, e.Note.V)
	}
	return all
}

// buyers counts the people who are named as having got bars, and the bars of which nobody
// knows who got them.
func (s Sheet) buyers() (people, nameless int) {
	seen := map[string]bool{}
	for _, b := range s.Batches {
		for _, e := range b.events([]string{"sold", "given"}) {
			if named(e) {
				seen[strings.ToLower(strings.Join(strings.Fields(e.Who.V), " "))] = true
			} else {
				nameless += e.Count.V
			}
		}
	}
	return len(seen), nameless
}

// labelsLeft counts the labels with these codes that are still there.
func (s Sheet) labelsLeft() int {
	left := 0
	for _, b := range s.Batches {
		for _, r := range b.Record.Runs {
			left += max(0, register.Left(r))
		}
	}
	return left
}

// shortHash gives as much of a hash as is needed to compare it by eye.
func shortHash(r formula.Run) string {
	hash := []rune(strings.ToValidUTF8(r.Hash.V, "?"))
	return string(hash[:min(len(hash), 12)])
}

// counted gives a count, or a dash where nobody wrote it down.
func counted(c formula.Count) string {
	if !c.Given() {
		return "–"
	}
	return strconv.Itoa(c.V)
}

// left gives how many labels of a run are left, or a dash where that is not known.
func left(r formula.Run) string {
	if !r.Printed.Given() {
		return "–"
	}
	return strconv.Itoa(register.Left(r))
}

// faults gives what keeps the counts of a record from being believed.
func (s Sheet) faults(b Batch) []finding.Finding {
	return slices.DeleteFunc(register.Check(b.Record, s.On), func(f finding.Finding) bool { return f.Level != finding.Stop })
}

// doubt says what a fault of a record means for the counts.
func doubt(f finding.Finding) string {
	return strings.TrimSpace(fmt.Sprintf("Do not rely on these counts: %s. %s", f.Message, f.At))
}

// doubts says of how many batches the counts cannot be relied on, or nothing.
func (s Sheet) doubts() string {
	n := 0
	for _, b := range s.Batches {
		if len(s.faults(b)) > 0 {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("Do not rely on these counts: the records of %s do not add up, as is said there.", count(n, "batch"))
}

// none says that there is nothing to call back.
func (s Sheet) none() string {
	return fmt.Sprintf("No batch in the register holds %s. What is left of it is set apart all the same. Look whether it is written in another way, and whether anything was made without a record.", s.Of)
}

// noAdvice ends the sheet.
func (s Sheet) noAdvice() string {
	text := "This sheet is no legal advice. The authority of the place decides what has to be done. "
	if len(s.Authorities) == 0 {
		return text + "None is named here: find out which one it is."
	}
	return text + "Named here: " + strings.Join(s.Authorities, "; ") + "."
}

// Check reports what is wrong with the sheet: records that do not add up, and letters that
// cannot be printed. None of it stops the sheet, since bars have to be called back all the
// same.
func (s Sheet) Check() []finding.Finding {
	var found []finding.Finding
	for _, b := range s.Batches {
		code := b.Record.Code.V
		for _, f := range s.faults(b) {
			found = append(found, finding.Finding{
				Level: finding.Warn, Rule: RuleBalance, At: f.At,
				Message: fmt.Sprintf("the counts of batch %q cannot be relied on: %s", code, f.Message),
				Remedy:  cmp.Or(f.Remedy, "correct the record, and make the sheet anew"),
			})
		}
		for _, stock := range b.Stock {
			if n := gap(stock); n != 0 {
				found = append(found, finding.Finding{
					Level: finding.Warn, Rule: RuleBalance, At: b.Record.Code.At,
					Message: fmt.Sprintf("of batch %q, cut %q: %s", code, stock.Cut, strings.TrimSuffix(accounted(stock), ".")),
					Remedy:  "count the bars, and write down what became of them",
				})
			}
		}
	}
	return append(found, s.letters()...)
}

// given leaves out what is empty.
func given(texts ...string) []string {
	var all []string
	for _, t := range texts {
		if strings.TrimSpace(t) != "" {
			all = append(all, t)
		}
	}
	return all
}
