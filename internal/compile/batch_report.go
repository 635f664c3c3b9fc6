package compile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/formula"
	"saponym/internal/register"
)

// A table sets lines of cells one below the other, as wide as they need.
type table struct {
	rows  [][]string
	right []bool // columns of figures
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

// write sets the table behind an indent. Empty cells at the end of a line leave nothing.
func (t table) write(b *strings.Builder) {
	var widths []int
	for _, row := range t.rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], len([]rune(cell)))
		}
	}
	for _, row := range t.rows {
		line := ""
		for i, cell := range row {
			space := strings.Repeat(" ", widths[i]-len([]rune(cell)))
			if i < len(t.right) && t.right[i] {
				line += space + cell + "  "
			} else {
				line += cell + space + "  "
			}
		}
		fmt.Fprintf(b, "  %s\n", strings.TrimRight(line, " "))
	}
}

// Report gives the record of a batch for a person.
func (a BatchAnswer) Report() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s  %s", a.Code, a.name)
	if a.Makes == "material" {
		b.WriteString(", a material")
	}
	if a.Made != nil {
		fmt.Fprintf(&b, ", made %s", a.Made)
	}
	if a.By != "" {
		fmt.Fprintf(&b, " by %s", a.By)
	}
	if a.Place != "" {
		fmt.Fprintf(&b, ", %s", a.Place)
	}
	fmt.Fprintf(&b, "\n%s\n", a.File)
	a.potReport(&b)
	switch {
	case a.Superfat == nil:
	case a.asAsked:
		fmt.Fprintf(&b, "\nSuperfat as the formula asks %.1f %%: the alkali has no weight yet\n", *a.Superfat)
	default:
		fmt.Fprintf(&b, "\nSuperfat by the scale %.1f %%; the alkali takes up %.1f %% of what the oils can bind\n", *a.Superfat, 100**a.Share)
		if len(a.Assumed) > 0 {
			fmt.Fprintf(&b, "  taken as the formula asks, since no weight is known: %s\n", listed(a.Assumed))
		}
	}
	if len(a.Corrected) > 0 {
		fmt.Fprintf(&b, "\nCorrected by a later entry: %s\n", listed(a.Corrected))
	}
	a.barsReport(&b)
	if len(a.Runs) > 0 {
		b.WriteString("\nLabels\n")
		t := table{}
		for _, r := range a.Runs {
			t.row(r.ID, r.Date.String(), r.Market, r.Template, r.Claim, fmt.Sprintf("%d printed, %d used, %d spoiled, %d voided, %d left", r.Printed, r.Used, r.Spoiled, r.Voided, r.Left))
		}
		t.write(&b)
	}
	if len(a.Events) > 0 {
		b.WriteString("\nWhat happened\n")
		t := table{}
		for _, e := range a.Events {
			t.row(e.cells()...)
		}
		t.write(&b)
	}
	if len(a.Due) > 0 {
		b.WriteString("\nDue\n")
		t := table{}
		for _, d := range a.Due {
			t.row(d.What, "since "+d.Since.String())
		}
		t.write(&b)
	}
	return b.String()
}

// potReport gives what went into the pot, and what is open.
func (a BatchAnswer) potReport(b *strings.Builder) {
	if len(a.Weighed) == 0 && len(a.Open) == 0 {
		return
	}
	b.WriteString("\nIn the pot\n")
	t := table{right: []bool{false, false, true, true}}
	t.row("", "", "weighed", "asked", "lot")
	for _, w := range a.Weighed {
		name := w.Material
		if w.Batch != "" {
			name = "own bars " + w.Batch
			if a.isRework(w.Batch) {
				name = "all of " + w.Batch + ", worked again"
			}
		}
		t.row(w.ID, name, gramsOr(w.Grams, "open"), gramsOr(w.Asked, ""), w.lot())
	}
	for _, o := range a.Open {
		if o.Asked != nil {
			lot := ""
			if o.Wants != "weight" {
				lot = "open"
			}
			t.row("", o.Name, "open", gramsOr(o.Asked, ""), lot)
		}
	}
	t.write(b)
}

// isRework reports whether a line is a batch that is worked again whole.
func (a BatchAnswer) isRework(code string) bool {
	return !slices.ContainsFunc(a.asked, func(ask Asked) bool { return ask.Name == code })
}

func (w BatchLine) lot() string {
	var parts []string
	switch {
	case w.Lot != nil:
		parts = append(parts, *w.Lot)
	case w.Batch == "" && !(formula.Weighed{Material: formula.Text{V: w.Material}}).IsWater():
		parts = append(parts, "open")
	}
	if w.Supplier != "" {
		parts = append(parts, w.Supplier)
	}
	if w.Note != "" {
		parts = append(parts, w.Note)
	}
	return strings.Join(parts, ", ")
}

func gramsOr(grams *float64, otherwise string) string {
	if grams == nil {
		return otherwise
	}
	return fmt.Sprintf("%.1f g", *grams)
}

// barsReport gives the counts of bars, cut by cut.
func (a BatchAnswer) barsReport(b *strings.Builder) {
	if len(a.cuts) == 0 {
		return
	}
	b.WriteString("\nBars\n")
	t := table{right: []bool{false, true, true, true, true, true, true, true}}
	t.row("", "cut", "packed", "on hand", "held back", "sold", "samples", "gone")
	count := func(n int) string { return fmt.Sprint(n) }
	for _, s := range a.cuts {
		t.row(s.Cut, count(s.Made), count(s.Packed), count(s.OnHand), count(s.Withheld), count(s.Sold), count(s.Sampled), count(s.Given+s.Destroyed+s.Reworked+s.Lost))
	}
	t.write(b)
	for _, w := range a.Weighings {
		bars := 0.0
		for _, grams := range w.Grams {
			bars += grams
		}
		if len(w.Grams) > 0 {
			fmt.Fprintf(b, "  weighed %s: %s of %s, %.1f g on average\n", w.Date, plural(len(w.Grams), "bar"), cmp.Or(w.Cut, "one cut"), bars/float64(len(w.Grams)))
		}
	}
}

// cells gives an event as a line of a table.
func (e BatchEvent) cells() []string {
	what := e.What
	if e.Count != nil {
		what += fmt.Sprintf(" %d %s", *e.Count, e.Cut)
	}
	if e.Assumed {
		what += " (assumed)"
	}
	if e.Failed {
		what += ", failed"
	}
	if e.Serious {
		what += ", serious"
	}
	var more []string
	for _, part := range []string{e.Who, e.Method, e.Value, e.Ref, e.Note} {
		if part != "" {
			more = append(more, part)
		}
	}
	when := strings.TrimSpace(e.Date.String() + " " + e.Time)
	return []string{e.ID, when, what, strings.Join(more, ", ")}
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// Report gives all that a code leads to, for a person on the phone.
func (t Traced) Report() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s  %s (%s)", t.Code, t.Name, t.Formula)
	if t.Made != nil {
		fmt.Fprintf(&b, ", made %s", t.Made)
	}
	if t.By != "" {
		fmt.Fprintf(&b, " by %s", t.By)
	}
	b.WriteByte('\n')
	if t.CureDays != nil {
		fmt.Fprintf(&b, "  cured for %s", plural(*t.CureDays, "day"))
		if t.Superfat != nil {
			fmt.Fprintf(&b, "; superfat by the scale %.1f %%", *t.Superfat)
		}
		b.WriteByte('\n')
	}
	b.WriteString("\nLots in the bars\n")
	lots := table{right: []bool{false, true}}
	for _, l := range t.Lots {
		lot := "lot open"
		switch {
		case l.Lot != nil:
			lot = "lot " + *l.Lot
		case (formula.Weighed{Material: formula.Text{V: l.Material}}).IsWater():
			lot = ""
		}
		by := "" // by way of what
		if len(l.Via) > 0 {
			by = "in " + l.Batch
		}
		lots.row(cmp.Or(l.Name, l.Material), gramsOr(l.Grams, "open"), lot, l.Supplier, l.Statement, by)
	}
	lots.write(&b)
	events(&b, "Tests and release", withRelease(t.Tests, t.Released))
	if len(t.Runs) > 0 {
		b.WriteString("\nLabels\n")
		labels := table{}
		for _, r := range t.Runs {
			labels.row(r.ID, r.Date.String(), r.Market, fmt.Sprintf("%d printed", r.Printed), fmt.Sprintf("%.12s", r.Hash))
		}
		labels.write(&b)
	}
	b.WriteString("\nComplaints of this batch")
	if t.Rate != nil {
		fmt.Fprintf(&b, ": %d, or %.0f in 1000 bars", len(t.Complaints), *t.Rate)
	}
	b.WriteByte('\n')
	for _, c := range t.Complaints {
		c.report(&b)
	}
	if len(t.OfSameLots) > 0 {
		b.WriteString("\nComplaints of other batches of the same lots\n")
		for _, c := range t.OfSameLots {
			c.report(&b)
		}
	}
	events(&b, "Where the bars went", t.Movements)
	if len(t.WentInto) > 0 {
		fmt.Fprintf(&b, "\nIt is part of %s\n", listed(t.WentInto))
	}
	fmt.Fprintf(&b, "\nAn event is serious with: %s\n", strings.Join(t.Serious, "; "))
	b.WriteString("\nKept until\n")
	kept := table{}
	for _, k := range t.Keep {
		until := "(counts from " + k.After + ")"
		if k.Until != nil {
			until = k.Until.String()
		}
		kept.row(until, k.Record, cmp.Or(k.Place, "practice of the trade"), unconfirmed(k.Known != "memory"))
	}
	kept.write(&b)
	fmt.Fprintf(&b, "\n%s\n", t.Notice)
	return b.String()
}

// withRelease gives the tests with the release behind them.
func withRelease(tests []BatchEvent, release *BatchEvent) []BatchEvent {
	if release == nil {
		return tests
	}
	return append(slices.Clone(tests), *release)
}

func events(b *strings.Builder, title string, all []BatchEvent) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", title)
	t := table{}
	for _, e := range all {
		t.row(e.cells()...)
	}
	t.write(b)
}

func (c Complaint) report(b *strings.Builder) {
	fmt.Fprintf(b, "  %s  %s\n", c.Batch, strings.Join(slices.DeleteFunc(c.cells(), func(s string) bool { return s == "" }), "  "))
	for _, key := range sortedKeys(c.Details) {
		fmt.Fprintf(b, "      %s: %s\n", key, c.Details[key])
	}
	for _, d := range c.Deadlines {
		fmt.Fprintf(b, "      tell %s until %s (%s)%s\n", d.To, d.Until, d.Cite, unconfirmed(d.Confirmed))
		if d.With != "" {
			fmt.Fprintf(b, "        with %s\n", d.With)
		}
		if d.Note != "" {
			fmt.Fprintf(b, "        %s\n", d.Note)
		}
	}
}

func sortedKeys(m map[string]string) []string {
	var keys []string
	for key := range m {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}

func unconfirmed(confirmed bool) string {
	if confirmed {
		return ""
	}
	return " (unconfirmed: recalled, its text was not read)"
}

// Report gives where a lot went.
func (a LotAnswer) Report() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s, %s\n", a.Lot, plural(len(a.Batches), "batch record"), plural(a.Bars, "bar"))
	t := table{right: []bool{false, false, false, false, true, true, true}}
	t.row("", "", "made", "as", "bars", "on hand", "sold", "labels")
	for _, x := range a.Batches {
		var runs []string
		for _, r := range x.Runs {
			runs = append(runs, strings.TrimSpace(fmt.Sprintf("%s %s %d", r.Date, r.Market, r.Count)))
		}
		as := x.Material
		if len(x.Via) > 0 {
			as += " by way of " + strings.Join(x.Via, ", ")
		}
		t.row(x.Code, x.Formula, x.Made.String(), as, fmt.Sprint(x.Bars), fmt.Sprint(x.OnHand), fmt.Sprint(x.Sold), strings.Join(runs, "; "))
	}
	t.write(&b)
	return b.String()
}

// ListReport gives a list of batches for a person.
func ListReport(batches []BatchListed) string {
	var b strings.Builder
	t := table{right: []bool{false, false, false, true, true}}
	t.row("", "", "made", "on hand", "sold", "due")
	for _, x := range batches {
		var due []string
		for _, d := range x.Due {
			due = append(due, d.What)
		}
		t.row(x.Code, x.Formula, x.Made.String(), fmt.Sprint(x.OnHand), fmt.Sprint(x.Sold), strings.Join(due, ", "))
	}
	if len(batches) == 0 {
		return "There is no such batch.\n"
	}
	t.write(&b)
	return b.String()
}

// DueReport gives what is due for a person.
func DueReport(dues []register.Due) string {
	if len(dues) == 0 {
		return "Nothing is due.\n"
	}
	var b strings.Builder
	t := table{}
	for _, d := range dues {
		t.row(d.Code, d.What, "since "+d.Since.String())
	}
	t.write(&b)
	return b.String()
}

// RelabelReport gives what a new label means, for a person.
func RelabelReport(batches []Relabelled) string {
	if len(batches) == 0 {
		return "No bars and no labels are left that a new label would touch.\n"
	}
	var b strings.Builder
	t := table{right: []bool{false, false, true, true, true, true}}
	t.row("", "made", "on hand", "held back", "packed", "sold", "labels to void")
	for _, x := range batches {
		var void []string
		for _, v := range x.Void {
			void = append(void, strings.TrimSpace(fmt.Sprintf("%d of %s %s", v.Left, v.Run, v.Market)))
		}
		t.row(x.Code, x.Made.String(), fmt.Sprint(x.OnHand), fmt.Sprint(x.Held), fmt.Sprint(x.Packed), fmt.Sprint(x.Sold), strings.Join(void, ", "))
	}
	t.write(&b)
	return b.String()
}
