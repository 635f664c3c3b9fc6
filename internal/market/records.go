package market

import (
	"fmt"
	"slices"
	"sync"
	"time"

	"saponym/internal/day"
	"saponym/internal/source"
)

// The kinds of record.
const (
	ProductFile        = "product information file"
	BatchRecord        = "batch record"
	EventReport        = "adverse event report"
	DistributionRecord = "distribution record"
	KeptSample         = "kept sample"
	Trader             = "trader" // who supplied a batch, or was supplied with it
)

// What the time of a record counts from.
const (
	LastPlacing  = "the last batch was placed on the market"
	Supply       = "the supply"
	Report       = "the report"
	ShelfLifeEnd = "the end of its shelf life"
)

// A Keeping says how long a kind of record has to be kept.
type Keeping struct {
	ID      string
	Record  string // one of the kinds of record
	Place   string // "us", "eu" …; "" for the practice of the trade everywhere
	Years   int    // the shortest lawful time; 0 where no figure is known
	Default int    // the years that it is kept where nobody says otherwise; never fewer
	After   string // what both count from, one of the constants
	Note    string
	Cite    string
	Source  string // where it was read
	Known   Known
}

// What starts the clock of a deadline.
const (
	SeriousEvent     = "serious adverse event"
	FragranceRequest = "request for the ingredients of a fragrance"
	FirstSale        = "first sale"
)

// A Deadline says until when something has to be told to an authority.
type Deadline struct {
	ID        string
	Place     string // "us", "eu" …
	What      string // the event, one of the constants
	Days      int    // 0 where the law says no more than "without delay"
	Business  bool   // only Mondays to Fridays count
	From      string // what starts the clock: "receipt of the report"
	To        string // the authority to tell
	With      string // what goes with it, or nothing
	Note      string // what the figures alone do not say
	Cite      string
	Source    string // where it was read
	Known     Known
	Confirmed bool // a text was read; otherwise it is recalled
}

// An Outcome makes an event serious.
type Outcome struct {
	Name   string
	Place  string // whose law lists it
	Note   string // what falls under it, where the name does not say
	Cite   string
	Source string // where it was read
	Known  Known
}

// Keepings gives how long records are kept by the law of a place and by the
// practice of the trade, and those of all places for "". The error says that there
// is no such place; a fault in the built-in data is one too, and a test finds it.
func Keepings(place string) ([]Keeping, error) {
	r, err := records(place)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(slices.Clone(r.keepings), func(k Keeping) bool {
		return place != "" && k.Place != "" && k.Place != place
	}), nil
}

// Deadlines gives those of a place, and those of all places for "". The error is
// that of [Keepings].
func Deadlines(place string) ([]Deadline, error) {
	r, err := records(place)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(slices.Clone(r.deadlines), func(d Deadline) bool {
		return place != "" && d.Place != place
	}), nil
}

// SeriousOutcomes gives the outcomes that make an event serious, by whichever law
// lists them. An error is a fault in the built-in data.
func SeriousOutcomes() ([]Outcome, error) {
	r, err := records("")
	if err != nil {
		return nil, err
	}
	return slices.Clone(r.outcomes), nil
}

// Until gives the last day, counted from the day after the one on which the clock
// started, or from the next business day. Public holidays are not known here and
// count like other days. With no days it is that same day. It is the zero Day for
// the zero Day, and where the calendar ends.
func (d Deadline) Until(received day.Day) day.Day {
	if !d.Business {
		return received.AddDays(d.Days)
	}
	last := received
	for left := d.Days; left > 0 && !last.IsZero(); {
		last = last.AddDays(1)
		if w := last.Time().Weekday(); w != time.Saturday && w != time.Sunday {
			left--
		}
	}
	return last
}

// A recordLaw is all that is held here on records and reports.
type recordLaw struct {
	keepings  []Keeping
	deadlines []Deadline
	outcomes  []Outcome
}

// records gives it to whoever asks about a place, or about all for "".
func records(place string) (*recordLaw, error) {
	if place != "" && !slices.Contains(Places(), place) {
		return nil, fmt.Errorf("there is no place %q", place)
	}
	return readRecords()
}

// readRecords reads the data when it is first asked for.
var readRecords = sync.OnceValues(func() (*recordLaw, error) {
	doc, err := open("data/records.yaml")
	if err != nil {
		return nil, err
	}
	root, r, places := doc.Root(), &recordLaw{}, Places()
	for _, m := range root.Maps("keepings") {
		r.keepings = append(r.keepings, readKeeping(m, places))
	}
	for _, m := range root.Maps("deadlines") {
		r.deadlines = append(r.deadlines, readDeadline(m, places))
	}
	for _, m := range root.Maps("serious") {
		law := Outcome{Place: m.Enum("place", places...).V, Cite: m.Text("cite").V, Source: m.Text("source").V, Known: readKnown(m)}
		for _, one := range m.Maps("outcomes") {
			law.Name, law.Note = one.Text("name").V, one.Text("note").V
			r.outcomes = append(r.outcomes, law)
		}
	}
	return r, check(doc)
})

func readKeeping(m *source.Map, places []string) Keeping {
	return Keeping{
		ID: m.Text("id").V, Place: m.Enum("place", places...).V,
		Record: m.Enum("record", ProductFile, BatchRecord, EventReport, DistributionRecord, KeptSample, Trader).V,
		Years:  m.Count("years").V, Default: m.Count("default").V,
		After: m.Enum("after", LastPlacing, Supply, Report, ShelfLifeEnd).V,
		Note:  m.Text("note").V, Cite: m.Text("cite").V, Source: m.Text("source").V, Known: readKnown(m),
	}
}

func readDeadline(m *source.Map, places []string) Deadline {
	known := readKnown(m)
	return Deadline{
		ID: m.Text("id").V, Place: m.Enum("place", places...).V,
		What: m.Enum("what", SeriousEvent, FragranceRequest, FirstSale).V,
		Days: m.Count("days").V, Business: m.Bool("business").V,
		From: m.Text("from").V, To: m.Text("to").V, With: m.Text("with").V,
		Note: m.Text("note").V, Cite: m.Text("cite").V, Source: m.Text("source").V,
		Known: known, Confirmed: known.Confirmed(),
	}
}
