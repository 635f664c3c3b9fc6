package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/source"
)

// The rules of a record that does not add up. They are public and never reused.
const (
	RuleCount   = "REG-COUNT"   // more bars or labels than there were
	RuleNoCut   = "REG-CUT"     // bars of a cut that the batch was not cut into
	RuleFuture  = "REG-FUTURE"  // a day that is still to come
	RuleExpired = "REG-EXPIRED" // a lot that was too old
	RuleLabels  = "REG-LABELS"  // labels that nobody knows the way of
	RuleTest    = "REG-RELEASE" // a release that does not count
	RuleErase   = "REG-ERASE"   // what is said of a person was to be taken out
)

// A Stock counts the bars of one cut of a batch. What was made is sold, given away,
// kept as samples, destroyed, worked into another batch, lost, held back or on hand.
type Stock struct {
	Cut       string `json:"cut"`
	Made      int    `json:"made"`
	OnHand    int    `json:"on_hand"`  // for sale
	Withheld  int    `json:"withheld"` // with those that came back and were not judged yet
	Sold      int    `json:"sold"`     // and not returned
	Given     int    `json:"given"`
	Sampled   int    `json:"sampled"`
	Destroyed int    `json:"destroyed"`
	Reworked  int    `json:"reworked"`
	Lost      int    `json:"lost"`
	Returned  int    `json:"returned"` // in all
	Recalled  int    `json:"recalled"` // asked back of those that were sold
	Packed    int    `json:"packed"`
}

// StockOf counts the bars of a batch, cut by cut in the order in which they were first
// named.
func StockOf(b formula.Batch) []Stock {
	s, _ := counted(b)
	return s
}

// Bars gives the bars of all cuts together.
func Bars(stock []Stock) (all Stock) {
	for _, s := range stock {
		all.Made += s.Made
		all.OnHand += s.OnHand
		all.Withheld += s.Withheld
		all.Sold += s.Sold
		all.Given += s.Given
		all.Sampled += s.Sampled
		all.Destroyed += s.Destroyed
		all.Reworked += s.Reworked
		all.Lost += s.Lost
		all.Returned += s.Returned
		all.Recalled += s.Recalled
		all.Packed += s.Packed
	}
	return all
}

// A counter counts bars, and reports where there were too few.
type counter struct {
	batch formula.Batch
	stock []Stock
	found []finding.Finding
}

func (c *counter) stop(rule string, at finding.Pos, remedy, message string, args ...any) {
	c.found = append(c.found, finding.Finding{Level: finding.Stop, Rule: rule, At: at, Message: fmt.Sprintf(message, args...), Remedy: remedy})
}

// cut gives the stock of the cut that a line names, or nil with a finding. A batch of one
// cut need not name it.
func (c *counter) cut(name formula.Text, at finding.Pos) *Stock {
	if !name.Given() && len(c.stock) == 1 {
		return &c.stock[0]
	}
	var names []string
	for i := range c.stock {
		if c.stock[i].Cut == name.V {
			return &c.stock[i]
		}
		names = append(names, c.stock[i].Cut)
	}
	switch {
	case len(names) == 0:
		c.stop(RuleCount, at, "write down the cutting first", "the batch %q is not cut yet, so it has no bars", c.batch.Code.V)
	case !name.Given():
		c.stop(RuleNoCut, at, "name one of "+strings.Join(names, ", "), "the batch %q has several cuts, and this does not say of which the bars are", c.batch.Code.V)
	default:
		remedy := "name one of " + strings.Join(names, ", ")
		if near := source.Nearest(name.V, names); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		c.stop(RuleNoCut, name.At, remedy, "the batch %q was not cut into %q", c.batch.Code.V, name.V)
	}
	return nil
}

// counted counts the bars of a batch from its cuttings and its events, in the order of
// their days.
func counted(b formula.Batch) ([]Stock, []finding.Finding) {
	c := counter{batch: b}
	for _, day := range b.Cuts {
		for _, n := range day.Counts {
			i := slices.IndexFunc(c.stock, func(s Stock) bool { return s.Cut == n.Cut })
			if i < 0 {
				i = len(c.stock)
				c.stock = append(c.stock, Stock{Cut: n.Cut})
			}
			c.stock[i].Made += n.Count.V
			c.stock[i].OnHand += n.Count.V
		}
	}
	for _, p := range b.Packed {
		s := c.cut(p.Cut, p.Date.At)
		if s == nil {
			continue
		}
		if s.Packed += p.Count.V; s.Packed > s.Made {
			c.stop(RuleCount, p.Count.At, "compare the count with the cutting, or correct an entry", "%d bars were packed, and there were %d", s.Packed, s.Made)
		}
	}
	events := slices.Clone(b.Events)
	slices.SortStableFunc(events, func(a, b formula.Event) int { return a.Date.V.Compare(b.Date.V) })
	for _, e := range events {
		c.event(e)
	}
	return c.stock, c.found
}

// event counts what happened to bars. Of what can happen to a whole batch the count may be
// left out.
func (c *counter) event(e formula.Event) {
	whole := false
	switch e.What.V {
	case "sold", "given", "sampled", "lost", "returned":
	case "withheld", "released", "recalled", "destroyed", "reworked":
		if len(c.stock) == 0 && !e.Count.Given() {
			return // the loaf, before it was cut
		}
		whole = true
	default:
		return
	}
	if whole && !e.Count.Given() && !e.Cut.Given() { // all there are
		for i := range c.stock {
			c.all(&c.stock[i], e.What.V)
		}
		return
	}
	s := c.cut(e.Cut, e.Date.At)
	switch {
	case s == nil:
		return
	case whole && !e.Count.Given():
		c.all(s, e.What.V)
		return
	case !e.Count.Given():
		c.stop(RuleCount, e.What.At, "write the count", "it is not said how many bars were %s", e.What.V)
		return
	}
	n := e.Count.V
	// take moves bars; those that are held back go first where they are got rid of.
	take := func(from *int, have string) bool {
		if n > *from {
			remedy := "compare the count with the record, or correct an entry of it with a new one"
			c.stop(RuleCount, e.Count.At, remedy, "%d bars cannot be %s: %d are %s on %s", n, e.What.V, *from, have, e.Date.V)
			return false
		}
		*from -= n
		return true
	}
	rid := func(into *int) {
		held := min(n, s.Withheld)
		if rest := n - held; rest > s.OnHand {
			c.stop(RuleCount, e.Count.At, "compare the count with the record, or correct an entry of it with a new one", "%d bars cannot be %s: %d are there on %s", n, e.What.V, s.OnHand+s.Withheld, e.Date.V)
			return
		}
		s.Withheld -= held
		s.OnHand -= n - held
		*into += n
	}
	counted := map[string]*int{
		"sold": &s.Sold, "given": &s.Given, "sampled": &s.Sampled, "destroyed": &s.Destroyed, "reworked": &s.Reworked, "lost": &s.Lost,
	}[e.What.V]
	switch e.What.V {
	case "sold", "given", "sampled":
		if take(&s.OnHand, "on hand") {
			*counted += n
		}
	case "destroyed", "reworked", "lost":
		rid(counted)
	case "withheld":
		if take(&s.OnHand, "on hand") {
			s.Withheld += n
		}
	case "released":
		if take(&s.Withheld, "held back") {
			s.OnHand += n
		}
	case "returned":
		if take(&s.Sold, "sold") {
			s.Returned += n
			s.Withheld += n
		}
	case "recalled":
		if n > s.Sold {
			c.stop(RuleCount, e.Count.At, "compare the count with the record", "%d bars cannot be recalled: %d are sold on %s", n, s.Sold, e.Date.V)
			return
		}
		s.Recalled = min(s.Recalled+n, s.Sold+s.Returned)
	}
}

// all counts what happened to all bars of a cut.
func (c *counter) all(s *Stock, what string) {
	switch what {
	case "withheld":
		s.OnHand, s.Withheld = 0, s.Withheld+s.OnHand
	case "released":
		s.OnHand, s.Withheld = s.OnHand+s.Withheld, 0
	case "recalled":
		s.Recalled = s.Sold
	case "destroyed":
		s.Destroyed += s.OnHand + s.Withheld
		s.OnHand, s.Withheld = 0, 0
	case "reworked":
		s.Reworked += s.OnHand + s.Withheld
		s.OnHand, s.Withheld = 0, 0
	}
}

// Left gives how many labels of a run are neither used, nor spoiled, nor voided.
func Left(r formula.Run) int { return r.Printed.V - r.Used.V - r.Spoiled.V - r.Voided.V }

// Check reports where a record does not add up, as far as it says itself: counts that go
// below nought, days that are still to come, lots that were too old, labels of which
// nobody knows the way. A day is to come if it is after today; the zero day knows of none.
func Check(b formula.Batch, today day.Day) []finding.Finding {
	_, found := counted(b)
	c := counter{batch: b, found: found}
	for _, r := range b.Runs {
		left := Left(r)
		switch {
		case !r.Printed.Given():
		case left < 0:
			c.stop(RuleCount, r.Printed.At, "compare the counts, or correct the run with a new entry", "of %d labels that were printed %d are accounted for", r.Printed.V, r.Printed.V-left)
		case left > 0 && (r.Used.Given() || r.Spoiled.Given()):
			c.found = append(c.found, finding.Finding{
				Level: finding.Note, Rule: RuleLabels, At: r.Printed.At,
				Message: fmt.Sprintf("of the run %s, %d of %d labels are neither used, spoiled nor voided", r.ID, left, r.Printed.V),
				Remedy:  "count the labels that are left, and write down what became of them",
			})
		}
	}
	for _, w := range b.Weighed {
		if w.Expires.Given() && b.Made.Given() && w.Expires.V.Before(b.Made.V) {
			f := finding.Finding{
				Level: finding.Warn, Rule: RuleExpired, At: w.Expires.At,
				Message: fmt.Sprintf("the lot of %q was to be used until %s, and the batch was made on %s", w.Material.V, w.Expires.V, b.Made.V),
				Remedy:  "test it or throw it away; a note on the line says why it was used",
			}
			if w.Note.Given() {
				f.Level = finding.Note
			}
			c.found = append(c.found, f)
		}
	}
	if _, missing := b.TestedRelease(); missing != "" {
		i := slices.IndexFunc(b.Events, func(e formula.Event) bool { return e.What.V == "released" || e.What.V == "tested" })
		c.found = append(c.found, finding.Finding{
			Level: finding.Note, Rule: RuleTest, At: b.Events[i].What.At,
			Message: "this does not release a batch that had too much alkali: " + missing,
			Remedy:  "write a test with method, value and who made it, and after it the release with who answers for it",
		})
	}
	for _, e := range b.Events {
		if e.Erase.Given() && !today.IsZero() && !today.Before(e.Erase.V) && (e.Who.Given() || len(e.Details) > 0) {
			c.found = append(c.found, finding.Finding{
				Level: finding.Warn, Rule: RuleErase, At: e.Erase.At,
				Message: fmt.Sprintf("what the entry %s says of a person was to be taken out on %s", e.ID, e.Erase.V),
				Remedy:  "take out who and details in the file; day, count and the rest stay",
			})
		}
	}
	c.future(today)
	finding.Sort(c.found)
	return c.found
}

// future reports days that are still to come. A record that says so is doubtful; nothing
// of the kind is written into one.
func (c *counter) future(today day.Day) {
	check := func(d formula.Day, what string) {
		if d.Given() && !today.IsZero() && today.Before(d.V) {
			c.found = append(c.found, finding.Finding{
				Level: finding.Warn, Rule: RuleFuture, At: d.At, Message: fmt.Sprintf("%s on %s, which is still to come: today is %s", what, d.V, today),
				Remedy: "look for a slip in the day; what has not happened yet is no part of the record",
			})
		}
	}
	b := c.batch
	check(b.Made, "the batch was made")
	for _, w := range b.Weighed {
		check(w.Received, fmt.Sprintf("a lot of %q came in", cmp.Or(w.Material.V, w.Batch.V)))
	}
	for _, x := range b.Cuts {
		check(x.Date, "the batch was cut")
	}
	for _, x := range b.Weighings {
		check(x.Date, "bars were weighed")
	}
	for _, x := range b.Packed {
		check(x.Date, "bars were packed")
	}
	for _, x := range b.Runs {
		check(x.Date, "labels were printed")
	}
	for _, x := range b.Events {
		check(x.Date, fmt.Sprintf("%q happened", x.What.V))
	}
}
