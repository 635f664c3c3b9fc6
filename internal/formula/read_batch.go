package formula

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"saponym/internal/source"
)

// ReadBatch reads the live file of a batch; see [ReadFormula]. The name of the
// file without its ending is the batch code.
func ReadBatch(file string, data []byte) (Batch, []Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Batch{}, nil, err
	}
	m := doc.Root()
	r := batchReader{report: doc.Report, ids: map[string]bool{}, happened: map[string]bool{}, corrected: map[string]bool{}}
	b := Batch{
		File: file, Code: m.Text("code"), Formula: reference(m, "formula", r.report),
		Makes: m.Enum("makes", "bars", "material"), Material: reference(m, "material", r.report), Made: m.Day("made"),
		By: m.Text("by"), CheckedBy: m.Text("checked_by"), Place: m.Text("place"),
		Parents: m.Texts("parents"), Weighed: r.weighed(m), Cuts: r.cuts(m),
		Weighings: r.weighings(m), Packed: r.packed(m), Placed: places(m.Map("placed"), (*source.Map).Day),
		Runs: r.runs(m), Events: r.events(m),
	}
	required(b.Code, m, "code", "the batch code", r.report)
	required(b.Made, m, "made", "the day on which the batch was made", r.report)
	if !b.MakesMaterial() {
		required(b.Formula, m, "formula", "the formula that was made", r.report)
		if b.Material.Given() {
			r.report.stop(RuleOneOf, b.Material.At, "a batch of bars makes no material", `write "makes: material", or take the material out`)
		}
	}
	if name := baseName(file); b.Code.Given() && b.Code.V != name {
		r.report.stop(RuleCode, b.Code.At, fmt.Sprintf("the code is %q and the name of the file says %q", b.Code.V, name), "make the two equal; a copied file needs a code of its own")
	}
	r.force(&b)
	r.days(b)
	return b, doc.Findings(), nil
}

// A batchReader reads the lists of a batch, and keeps in mind which entries there
// are and which of them were corrected.
type batchReader struct {
	report    reporter
	ids       map[string]bool
	happened  map[string]bool // ids of events
	corrected map[string]bool
}

// An entry is what every line of a list has: an id, a place, and what it corrects.
type entry struct {
	id       string
	index    int
	corrects Text
}

// entry reads what every line has. The letter is that of its list.
func (r batchReader) entry(line *source.Map, letter string, i int, earlier []string) entry {
	given := line.Text("id")
	id := letter + strconv.Itoa(i+1)
	if given.Given() {
		id = given.V
	}
	if r.ids[id] {
		at := line.At()
		if given.Given() {
			at = given.At
		}
		r.report.stop(RuleRepeated, at, fmt.Sprintf("there is an entry %q already", id), "give this one another id")
	}
	corrects := line.Text("corrects")
	known := slices.Contains(earlier, corrects.V)
	if letter == "e" {
		known = r.ids[corrects.V] && corrects.V != id
	}
	r.ids[id] = true
	switch {
	case !corrects.Given():
	case !known && letter == "e":
		r.report.stop(RuleCorrects, corrects.At, fmt.Sprintf("there is no entry %q before this one", corrects.V), didYouMean(corrects.V, r.others(id), "write the id of the entry that this one is about: e1 is the first event, w1 the first line that was weighed"))
	case !known:
		r.report.stop(RuleCorrects, corrects.At, fmt.Sprintf("there is no entry %q before this one", corrects.V), didYouMean(corrects.V, earlier, "write the id of the entry that this one stands in place of: the first of this list is "+letter+"1"))
	case r.corrected[corrects.V]:
		r.report.stop(RuleCorrects, corrects.At, fmt.Sprintf("the entry %q was corrected before", corrects.V), "name the entry that corrected it")
	default:
		r.corrected[corrects.V] = true
	}
	return entry{id, i, corrects}
}

// others gives the ids of all entries but one.
func (r batchReader) others(id string) []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(r.ids)), func(other string) bool { return other == id })
}

// entries reads a list whose entries have ids. An event may correct an entry of any list.
func entries[T any](r batchReader, lines []*source.Map, letter string, read func(line *source.Map, at entry) T) []T {
	var all []T
	var earlier []string
	for i, line := range lines {
		at := r.entry(line, letter, i, earlier)
		earlier = append(earlier, at.id)
		all = append(all, read(line, at))
	}
	return all
}

// force leaves out the entries that a later one stands in place of.
func (r batchReader) force(b *Batch) {
	b.Corrected = slices.Sorted(maps.Keys(r.corrected))
	b.Weighed = slices.DeleteFunc(b.Weighed, func(e Weighed) bool { return r.corrected[e.ID] })
	b.Cuts = slices.DeleteFunc(b.Cuts, func(e CutDay) bool { return r.corrected[e.ID] })
	b.Weighings = slices.DeleteFunc(b.Weighings, func(e Weighing) bool { return r.corrected[e.ID] })
	b.Packed = slices.DeleteFunc(b.Packed, func(e Packing) bool { return r.corrected[e.ID] })
	b.Runs = slices.DeleteFunc(b.Runs, func(e Run) bool { return r.corrected[e.ID] })
	b.Events = slices.DeleteFunc(b.Events, func(e Event) bool { return r.corrected[e.ID] })
}

func (r batchReader) weighed(m *source.Map) []Weighed {
	all := entries(r, m.Maps("weighed"), "w", func(line *source.Map, at entry) Weighed {
		exactlyOne(line, "the line", r.report, "material", "batch")
		w := Weighed{
			ID: at.id, Index: at.index, Material: reference(line, "material", r.report), Batch: line.Text("batch"),
			Weight: line.Mass("weight"), Lot: line.Text("lot"), Supplier: line.Text("supplier"), Received: line.Day("received"), Expires: line.Day("expires"),
			Scale: reference(line, "scale", r.report), Stays: line.Share("stays"), Note: line.Prose("note"), Corrects: at.corrects,
		}
		atMostWhole(w.Stays, "what stays", r.report)
		return w
	})
	r.sameThing(all)
	return all
}

// sameThing reports a line that stands in place of one of another thing: what that one said
// would be gone without a word.
func (r batchReader) sameThing(all []Weighed) {
	for _, w := range all {
		for _, old := range all {
			if w.Corrects.Given() && old.ID == w.Corrects.V && lineKey(old.line()) != lineKey(w.line()) {
				r.report.stop(RuleCorrects, w.Corrects.At, fmt.Sprintf("the entry %q is of %q, and this one is of %q", old.ID, old.line().Name().V, w.line().Name().V), fmt.Sprintf("withdraw it with an event, {what: withdrawn, corrects: %s}, and write a new line", old.ID))
			}
		}
	}
}

// cuts reads when the batch was cut: one mapping, or a list of them. The keys
// besides those that every cutting has are the names of cuts.
func (r batchReader) cuts(m *source.Map) []CutDay {
	var days []*source.Map
	switch m.Shape("cut") {
	case source.IsList:
		days = m.Maps("cut")
	default:
		if day := m.Map("cut"); len(day.Keys()) > 0 {
			days = append(days, day)
		}
	}
	return entries(r, days, "c", func(line *source.Map, at entry) CutDay {
		c := CutDay{ID: at.id, Date: line.Day("date"), Ends: line.Count("ends"), Seconds: line.Count("seconds"), Corrects: at.corrects}
		for _, key := range line.Keys() {
			if !slices.Contains(NoCutNames(), key.V) {
				c.Counts = append(c.Counts, NamedCount{Cut: key.V, Count: line.Count(key.V)})
			}
		}
		required(c.Date, line, "date", "the day on which the batch was cut", r.report)
		return c
	})
}

// NoCutNames gives the keys of a cutting that are no names of cuts.
func NoCutNames() []string { return []string{"date", "ends", "seconds", "id", "corrects"} }

func (r batchReader) weighings(m *source.Map) []Weighing {
	return entries(r, m.Maps("weighings"), "g", func(line *source.Map, at entry) Weighing {
		w := Weighing{
			ID: at.id, Date: line.Day("date"), Cut: line.Text("cut"), Scale: reference(line, "scale", r.report),
			Humidity: line.Share("humidity"), Trimmed: line.Bool("trimmed"), Corrects: at.corrects,
		}
		atMostWhole(w.Humidity, "the humidity", r.report)
		required(w.Date, line, "date", "the day of the weighing", r.report)
		bars := line.Map("bars")
		for _, mark := range bars.Keys() {
			w.Bars = append(w.Bars, MarkedBar{mark.V, bars.Mass(mark.V)})
		}
		return w
	})
}

func (r batchReader) packed(m *source.Map) []Packing {
	return entries(r, m.Maps("packed"), "p", func(line *source.Map, at entry) Packing {
		p := Packing{ID: at.id, Date: line.Day("date"), Cut: line.Text("cut"), Count: line.Count("count"), Corrects: at.corrects}
		required(p.Date, line, "date", "the day on which the bars were wrapped", r.report)
		return p
	})
}

func (r batchReader) runs(m *source.Map) []Run {
	return entries(r, m.Maps("runs"), "r", func(line *source.Map, at entry) Run {
		run := Run{
			ID: at.id, Index: at.index, Date: line.Day("date"), Cut: line.Text("cut"), Market: line.Text("market"), Template: line.Text("template"),
			Claim: line.Text("claim"), Printed: line.Count("printed"), Used: line.Count("used"), Spoiled: line.Count("spoiled"), Voided: line.Count("voided"),
			Hash: line.Text("hash"), Corrects: at.corrects,
		}
		required(run.Date, line, "date", "the day of the printing", r.report)
		return run
	})
}

func (r batchReader) events(m *source.Map) []Event {
	return entries(r, m.Maps("events"), "e", func(line *source.Map, at entry) Event {
		e := Event{
			ID: at.id, Date: line.Day("date"), Time: line.Text("time"), What: line.Enum("what", EventKinds()...),
			Cut: line.Text("cut"), Count: line.Count("count"), Who: line.Text("who"),
			Method: line.Text("method"), Value: line.Text("value"), Limit: line.Text("limit"), Failed: line.Bool("failed"), Weights: line.Text("weights"), Ref: line.Text("ref"),
			Serious: line.Bool("serious"), Assumed: line.Bool("assumed"), Erase: line.Day("erase"),
			Note: line.Prose("note"), Details: texts(line, "details"), Corrects: at.corrects,
		}
		required(e.Date, line, "date", "the day of the event", r.report)
		required(e.What, line, "what", "what happened", r.report)
		if e.What.V == "withdrawn" {
			required(e.Corrects, line, "corrects", "the entry that does not count any more", r.report)
		} else if r.corrected[e.Corrects.V] && !r.happened[e.Corrects.V] {
			r.report.stop(RuleCorrects, e.Corrects.At, fmt.Sprintf("the entry %q is no event", e.Corrects.V), "write a new entry of its own list, or withdraw it with an event: {what: withdrawn}")
		}
		r.happened[e.ID] = true
		return e
	})
}

// days reports what is said to have happened before the batch was made, or to bars
// before they were cut.
func (r batchReader) days(b Batch) {
	var cut Day // the first one
	for _, c := range b.Cuts {
		if !cut.Given() || c.Date.V.Before(cut.V) {
			cut = c.Date
		}
	}
	check := func(d Day, what string, since Day, before string) bool {
		early := d.Given() && since.Given() && d.V.Before(since.V)
		if early {
			r.report.stop(RuleDayOrder, d.At, fmt.Sprintf("%s %s, before %s on %s", what, d.V, before, since.V), "look for a slip in one of the two days")
		}
		return early
	}
	whole := func(d Day, what string) bool { return check(d, what, b.Made, "it was made") }
	bars := func(d Day, what string) {
		if !whole(d, what) {
			check(d, what, cut, "they were cut")
		}
	}
	whole(cut, "the batch was cut on")
	for _, w := range b.Weighings {
		bars(w.Date, "bars of the batch were weighed on")
	}
	for _, p := range b.Packed {
		bars(p.Date, "bars of the batch were packed on")
	}
	for place, d := range b.Placed {
		whole(d, fmt.Sprintf("the batch was first placed on the market %q on", place))
	}
	for _, run := range b.Runs {
		whole(run.Date, "labels of the batch were printed on")
	}
	for _, e := range b.Events {
		if e.Count.Given() {
			bars(e.Date, fmt.Sprintf("bars of the batch were %s on", e.What.V))
		} else {
			whole(e.Date, "something happened to the batch on")
		}
	}
}
