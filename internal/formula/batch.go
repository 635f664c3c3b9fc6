package formula

import (
	"saponym/internal/day"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// A Batch is one making of a formula, or of a material, as its live file says: it
// grows from the pot to the last bar.
//
// Its lists only grow. An entry that was wrong stays in the file; a later entry of
// the same list names it under "corrects" and stands in its place. The lists of a
// Batch hold what is in force, and Corrected names the rest.
type Batch struct {
	Code      Text
	File      string
	Formula   Text
	Makes     Text // "bars" or "material"; bars where nothing is said
	Material  Text // the id of what it makes, if that is a material
	Made      Day
	By        Text // who made it
	CheckedBy Text // who looked over the weights
	Place     Text
	Parents   []Text
	Weighed   []Weighed
	Cuts      []CutDay
	Weighings []Weighing
	Packed    []Packing
	Placed    map[string]Day // by place: first placed on that market
	Runs      []Run
	Events    []Event
	Corrected []string // ids of entries that a later one stands in place of
}

// MakesMaterial reports whether a batch makes a material and not bars: a premix, a
// master lye, an infusion.
func (b Batch) MakesMaterial() bool { return b.Makes.V == "material" }

// Bars gives how many bars of a cut the cutting gave, without ends and seconds.
func (b Batch) Bars(cut string) int {
	bars := 0
	for _, c := range b.Cuts {
		for _, n := range c.Counts {
			if n.Cut == cut {
				bars += n.Count.V
			}
		}
	}
	return bars
}

// Total gives the mass of all that was weighed and stays, as far as it has a weight.
func (b Batch) Total() measure.Mass {
	total := measure.Mass(0)
	for _, w := range b.Weighed {
		total = plus(total, w.left())
	}
	return total
}

// A Weighed is one line of what the scale said. Lot and weight may come later.
// Exactly one of Material and Batch is given.
type Weighed struct {
	ID       string // see [Event]
	Index    int    // its place in the list of the file, from 0
	Material Text
	Batch    Text // own bars, as crumbs or to be worked again
	Weight   Mass
	Lot      Text
	Supplier Text
	Received Day // when the lot came in
	Expires  Day // until when the supplier answers for the lot
	Scale    Text
	Stays    Share // of it in what is made: nought for flowers that are strained out
	Note     Text
	Corrects Text
}

// left gives the mass that stays in what is made.
func (w Weighed) left() measure.Mass {
	if !w.Stays.Given() {
		return w.Weight.V
	}
	return measure.Mass(float64(w.Weight.V) * w.Stays.V.Fraction())
}

// FirstPacked gives the day on which bars of a cut were wrapped first, or of any cut if none
// is named. It is the zero Day where none was.
func (b Batch) FirstPacked(cut string) day.Day {
	first := day.Day{}
	for _, p := range b.Packed {
		if (cut == "" || p.Cut.V == cut || !p.Cut.Given()) && (first.IsZero() || p.Date.V.Before(first)) {
			first = p.Date.V
		}
	}
	return first
}

// A CutDay says when a batch was cut and what it gave, by cut.
type CutDay struct {
	ID       string
	Date     Day
	Counts   []NamedCount
	Ends     Count
	Seconds  Count
	Corrects Text
}

// A NamedCount is so many bars of one cut.
type NamedCount struct {
	Cut   string
	Count Count
}

// A Weighing is a day on which bars were weighed again.
type Weighing struct {
	ID       string
	Date     Day
	Cut      Text
	Scale    Text
	Bars     []MarkedBar
	Humidity Share // relative humidity of the air
	Trimmed  source.Value[bool]
	Corrects Text
}

// Mean gives what the bars weigh on average, in grams; 0 where none has a weight.
func (w Weighing) Mean() float64 {
	sum, bars := 0.0, 0
	for _, b := range w.Bars {
		if b.Weight.Given() {
			sum, bars = sum+b.Weight.V.Grams(), bars+1
		}
	}
	return sum / float64(max(bars, 1))
}

// A MarkedBar is the weight of one bar that is marked so as to be found again.
type MarkedBar struct {
	Mark   string
	Weight Mass
}

// A Packing is a day on which bars were wrapped.
type Packing struct {
	ID       string
	Date     Day
	Cut      Text
	Count    Count
	Corrects Text
}

// A Run is one printing of labels.
type Run struct {
	ID       string
	Index    int // its place in the list of the file, from 0
	Date     Day
	Cut      Text
	Market   Text
	Template Text
	Claim    Text
	Printed  Count
	Used     Count
	Spoiled  Count
	Voided   Count // printed, and not to be used any more
	Hash     Text  // of the PDF
	Corrects Text
}

// An Event is anything else that happened to a batch or its bars.
//
// ID is what the entry says under "id". An entry without one goes by a letter for its
// list and its place in it, which never changes since lists only grow: w1 is the first
// line that was weighed, c1 the first cutting, g1 the first weighing of bars, p1 the
// first packing, r1 the first run and e1 the first event.
type Event struct {
	ID       string
	Date     Day
	Time     Text // of the day, such as 14:05
	What     Text // one of [EventKinds]
	Cut      Text
	Count    Count
	Who      Text // who did it, or to whom it went
	Method   Text // of a test
	Value    Text // what the test gave
	Limit    Text // what it had to give
	Failed   source.Value[bool]
	Weights  Text // of a release: the sum of the weights that it is about; see [Batch.WeightsSum]
	Ref      Text // the number of a paper: delivery note, invoice, order
	Serious  source.Value[bool]
	Assumed  source.Value[bool] // which batch the bars were of was not seen
	Erase    Day                // when what is said of a person is to be taken out
	Note     Text
	Details  map[string]Text // of a complaint: contact, bought, used, onset, outcome …
	Corrects Text
}

// EventKinds gives the words for what can happen to a batch. The last one is about an entry:
// what it corrects does not count any more, and nothing stands in its place.
func EventKinds() []string {
	return []string{
		"sold", "given", "sampled", "withheld", "released", "returned", "recalled", "destroyed", "reworked", "lost",
		"tested", "complaint", "adverse event", "deviation", "step", "note", "withdrawn",
	}
}
