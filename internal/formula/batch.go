package formula

import "saponym/internal/source"

// A Batch is one making of a formula, as its live file says: it grows from the
// pot to the last bar.
type Batch struct {
	Code      Text
	File      string
	Formula   Text
	Makes     Text // "bars" or "material"
	Made      Day
	Parents   []Text
	Weighed   []Weighed
	Cut       CutDay
	Weighings []Weighing
	Packed    []Packing
	Placed    map[string]Day // by place: first placed on that market
	Runs      []Run
	Events    []Event
}

// A Weighed is one line of what the scale said. Lot and weight may come later.
// Exactly one of Material and Batch is given.
type Weighed struct {
	Material Text
	Batch    Text // own bars, as crumbs
	Weight   Mass
	Lot      Text
	Received Day // when the lot came in
}

// A CutDay says when a batch was cut and what it gave, by cut.
type CutDay struct {
	Date    Day
	Counts  []NamedCount
	Ends    Count
	Seconds Count
}

// A NamedCount is so many bars of one cut.
type NamedCount struct {
	Cut   string
	Count Count
}

// A Weighing is a day on which bars were weighed again.
type Weighing struct {
	Date    Day
	Cut     Text
	Scale   Text
	Bars    []MarkedBar
	Trimmed source.Value[bool]
}

// A MarkedBar is the weight of one bar that is marked so as to be found again.
type MarkedBar struct {
	Mark   string
	Weight Mass
}

// A Packing is a day on which bars were wrapped.
type Packing struct {
	Date  Day
	Cut   Text
	Count Count
}

// A Run is one printing of labels.
type Run struct {
	Date     Day
	Cut      Text
	Market   Text
	Template Text
	Claim    Text
	Printed  Count
	Used     Count
	Spoiled  Count
	Hash     Text // of the PDF
}

// An Event is anything else that happened to bars of the batch. A correction is
// a new event that names the one it corrects.
type Event struct {
	ID   Text
	Date Day
	// What is "sold", "withheld", "returned", "complaint", "adverse event", "recalled",
	// "destroyed", "tested" or "released".
	What     Text
	Cut      Text
	Count    Count
	Who      Text
	Note     Text
	Corrects Text
}
