package formula

import (
	"fmt"

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
	r := batchReader{report: doc.Report}
	b := Batch{
		File: file, Code: m.Text("code"), Formula: reference(m, "formula", r.report),
		Makes: m.Enum("makes", "bars", "material"), Made: m.Day("made"),
		Parents: m.Texts("parents"), Weighed: r.weighed(m), Cut: r.cut(m.Map("cut")),
		Weighings: r.weighings(m), Packed: r.packed(m), Placed: places(m.Map("placed"), (*source.Map).Day),
		Runs: r.runs(m), Events: r.events(m),
	}
	required(b.Code, m, "code", "the batch code", r.report)
	required(b.Made, m, "made", "the day on which the batch was made", r.report)
	if b.Makes.V != "material" {
		required(b.Formula, m, "formula", "the formula that was made", r.report)
	}
	if name := baseName(file); b.Code.Given() && b.Code.V != name {
		r.report.stop(RuleCode, b.Code.At, fmt.Sprintf("the code is %q and the name of the file says %q", b.Code.V, name), "make the two equal; a copied file needs a code of its own")
	}
	r.days(b)
	return b, doc.Findings(), nil
}

type batchReader struct{ report reporter }

func (r batchReader) weighed(m *source.Map) []Weighed {
	var all []Weighed
	for _, line := range m.Maps("weighed") {
		exactlyOne(line, "the line", r.report, "material", "batch")
		all = append(all, Weighed{
			Material: reference(line, "material", r.report), Batch: line.Text("batch"),
			Weight: line.Mass("weight"), Lot: line.Text("lot"), Received: line.Day("received"),
		})
	}
	return all
}

// cut reads when the batch was cut. The keys besides date, ends and seconds are
// the names of cuts.
func (r batchReader) cut(m *source.Map) CutDay {
	c := CutDay{Date: m.Day("date"), Ends: m.Count("ends"), Seconds: m.Count("seconds")}
	for _, key := range m.Keys() {
		switch key.V {
		case "date", "ends", "seconds":
		default:
			c.Counts = append(c.Counts, NamedCount{Cut: key.V, Count: m.Count(key.V)})
		}
	}
	required(c.Date, m, "date", "the day on which the batch was cut", r.report)
	return c
}

func (r batchReader) weighings(m *source.Map) []Weighing {
	var all []Weighing
	for _, line := range m.Maps("weighings") {
		w := Weighing{Date: line.Day("date"), Cut: line.Text("cut"), Scale: reference(line, "scale", r.report), Trimmed: line.Bool("trimmed")}
		required(w.Date, line, "date", "the day of the weighing", r.report)
		bars := line.Map("bars")
		for _, mark := range bars.Keys() {
			w.Bars = append(w.Bars, MarkedBar{mark.V, bars.Mass(mark.V)})
		}
		all = append(all, w)
	}
	return all
}

func (r batchReader) packed(m *source.Map) []Packing {
	var all []Packing
	for _, line := range m.Maps("packed") {
		p := Packing{Date: line.Day("date"), Cut: line.Text("cut"), Count: line.Count("count")}
		required(p.Date, line, "date", "the day on which the bars were wrapped", r.report)
		all = append(all, p)
	}
	return all
}

func (r batchReader) runs(m *source.Map) []Run {
	var all []Run
	for _, line := range m.Maps("runs") {
		run := Run{
			Date: line.Day("date"), Cut: line.Text("cut"), Market: reference(line, "market", r.report), Template: line.Text("template"),
			Claim: line.Text("claim"), Printed: line.Count("printed"), Used: line.Count("used"), Spoiled: line.Count("spoiled"), Hash: line.Text("hash"),
		}
		required(run.Date, line, "date", "the day of the printing", r.report)
		all = append(all, run)
	}
	return all
}

func (r batchReader) events(m *source.Map) []Event {
	var all []Event
	ids := map[string]bool{}
	var known []string
	for _, line := range m.Maps("events") {
		e := Event{
			ID: line.Text("id"), Date: line.Day("date"),
			What: line.Enum("what", "sold", "withheld", "returned", "complaint", "adverse event", "recalled", "destroyed", "tested", "released"),
			Cut:  line.Text("cut"), Count: line.Count("count"), Who: line.Text("who"), Note: line.Prose("note"), Corrects: line.Text("corrects"),
		}
		required(e.Date, line, "date", "the day of the event", r.report)
		required(e.What, line, "what", "what happened", r.report)
		switch {
		case !e.ID.Given():
		case ids[e.ID.V]:
			r.report.stop(RuleRepeated, e.ID.At, fmt.Sprintf("there is an event %q already", e.ID.V), "give this one another id")
		default:
			ids[e.ID.V] = true
			known = append(known, e.ID.V)
		}
		if e.Corrects.Given() && !ids[e.Corrects.V] {
			r.report.stop(RuleCorrects, e.Corrects.At, fmt.Sprintf("there is no event %q before this one", e.Corrects.V), didYouMean(e.Corrects.V, known, `write the id of the event that this one puts right`))
		}
		all = append(all, e)
	}
	return all
}

// days reports what is said to have happened before the batch was made.
func (r batchReader) days(b Batch) {
	check := func(d Day, what string) {
		if d.Given() && b.Made.Given() && d.V.Before(b.Made.V) {
			r.report.stop(RuleDayOrder, d.At, fmt.Sprintf("%s %s, before it was made on %s", what, d.V, b.Made.V), "look for a slip in one of the two days")
		}
	}
	check(b.Cut.Date, "the batch was cut on")
	for _, w := range b.Weighings {
		check(w.Date, "bars of the batch were weighed on")
	}
	for _, p := range b.Packed {
		check(p.Date, "bars of the batch were packed on")
	}
	for place, d := range b.Placed {
		check(d, fmt.Sprintf("the batch was first placed on the market %q on", place))
	}
	for _, run := range b.Runs {
		check(run.Date, "labels of the batch were printed on")
	}
	for _, e := range b.Events {
		check(e.Date, "something happened to the batch on")
	}
}
