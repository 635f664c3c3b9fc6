package register_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/register"
)

const head = "code: 26330-01-S\nformula: clover-oat\nmade: 2026-11-26\n"

// record makes the record of a batch, with what it was cut into and what happened.
func record(t fataler, cut string, events ...string) formula.Batch {
	t.Helper()
	text := head
	if cut != "" {
		text += "cut: " + cut + "\n"
	}
	if len(events) > 0 {
		text += "events:\n"
	}
	for _, e := range events {
		text += "  - {" + e + "}\n"
	}
	return asBatch(t, recordFile, text)
}

// stops gives the findings for which nothing is written.
func stops(found []finding.Finding) []finding.Finding {
	return slices.DeleteFunc(slices.Clone(found), func(f finding.Finding) bool { return f.Level != finding.Stop })
}

const bars12 = "{date: 2026-11-27, bar: 12}"

func TestStock(t *testing.T) {
	for name, tt := range map[string]struct {
		cut    string
		events []string
		want   []register.Stock
	}{
		"not cut":                   {"", nil, nil},
		"cut":                       {bars12, nil, []register.Stock{{Cut: "bar", Made: 12, OnHand: 12}}},
		"cut in two goes":           {"[{date: 2026-11-27, bar: 12, ends: 2}, {date: 2026-11-28, guest: 3, bar: 1, seconds: 1}]", nil, []register.Stock{{Cut: "bar", Made: 13, OnHand: 13}, {Cut: "guest", Made: 3, OnHand: 3}}},
		"sold":                      {bars12, []string{"date: 2026-12-30, what: sold, count: 5"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 7, Sold: 5}}},
		"sold, with the cut named":  {bars12, []string{"date: 2026-12-30, what: sold, cut: bar, count: 12"}, []register.Stock{{Cut: "bar", Made: 12, Sold: 12}}},
		"given":                     {bars12, []string{"date: 2026-12-30, what: given, count: 1"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 11, Given: 1}}},
		"sampled":                   {bars12, []string{"date: 2026-12-30, what: sampled, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 10, Sampled: 2}}},
		"lost":                      {bars12, []string{"date: 2026-12-30, what: lost, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 10, Lost: 2}}},
		"destroyed":                 {bars12, []string{"date: 2026-12-30, what: destroyed, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 10, Destroyed: 2}}},
		"reworked":                  {bars12, []string{"date: 2026-12-30, what: reworked, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 10, Reworked: 2}}},
		"withheld":                  {bars12, []string{"date: 2026-12-30, what: withheld, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 10, Withheld: 2}}},
		"withheld and released":     {bars12, []string{"date: 2026-12-30, what: withheld, count: 5", "date: 2026-12-31, what: released, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 9, Withheld: 3}}},
		"withheld and destroyed":    {bars12, []string{"date: 2026-12-30, what: withheld, count: 5", "date: 2026-12-31, what: destroyed, count: 6"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 6, Destroyed: 6}}},
		"returned":                  {bars12, []string{"date: 2026-12-30, what: sold, count: 5", "date: 2026-12-31, what: returned, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 7, Sold: 3, Withheld: 2, Returned: 2}}},
		"recalled":                  {bars12, []string{"date: 2026-12-30, what: sold, count: 5", "date: 2026-12-31, what: recalled, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 7, Sold: 5, Recalled: 2}}},
		"all withheld":              {bars12, []string{"date: 2026-12-30, what: sold, count: 5", "date: 2026-12-31, what: withheld"}, []register.Stock{{Cut: "bar", Made: 12, Withheld: 7, Sold: 5}}},
		"all released":              {bars12, []string{"date: 2026-12-30, what: withheld", "date: 2026-12-31, what: released"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 12}}},
		"all recalled":              {bars12, []string{"date: 2026-12-30, what: sold, count: 5", "date: 2026-12-31, what: recalled"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 7, Sold: 5, Recalled: 5}}},
		"all destroyed":             {bars12, []string{"date: 2026-12-29, what: sold, count: 5", "date: 2026-12-30, what: withheld, count: 1", "date: 2026-12-31, what: destroyed"}, []register.Stock{{Cut: "bar", Made: 12, Sold: 5, Destroyed: 7}}},
		"all reworked":              {bars12, []string{"date: 2026-12-30, what: withheld, count: 1", "date: 2026-12-31, what: reworked"}, []register.Stock{{Cut: "bar", Made: 12, Reworked: 12}}},
		"all of one cut":            {"{date: 2026-11-27, bar: 12, guest: 3}", []string{"date: 2026-12-31, what: destroyed, cut: guest"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 12}, {Cut: "guest", Made: 3, Destroyed: 3}}},
		"all of all cuts":           {"{date: 2026-11-27, bar: 12, guest: 3}", []string{"date: 2026-12-31, what: withheld"}, []register.Stock{{Cut: "bar", Made: 12, Withheld: 12}, {Cut: "guest", Made: 3, Withheld: 3}}},
		"the loaf, before the cut":  {"", []string{"date: 2026-11-26, what: destroyed", "date: 2026-11-26, what: withheld"}, nil},
		"what is no count":          {bars12, []string{"date: 2026-12-30, what: tested, count: 3, method: strip", "date: 2026-12-30, what: complaint, count: 1", "date: 2026-12-30, what: adverse event, count: 1", "date: 2026-12-30, what: deviation", "date: 2026-12-30, what: step", "date: 2026-12-30, what: note"}, []register.Stock{{Cut: "bar", Made: 12, OnHand: 12}}},
		"in the order of days":      {bars12, []string{"date: 2026-12-31, what: returned, count: 2", "date: 2026-12-30, what: sold, count: 12"}, []register.Stock{{Cut: "bar", Made: 12, Sold: 10, Withheld: 2, Returned: 2}}},
		"on one day, as they stand": {bars12, []string{"date: 2026-12-30, what: sold, count: 12", "date: 2026-12-30, what: returned, count: 2"}, []register.Stock{{Cut: "bar", Made: 12, Sold: 10, Withheld: 2, Returned: 2}}},
	} {
		b := record(t, tt.cut, tt.events...)
		got := register.StockOf(b)
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %+v, want %+v", name, got, tt.want)
		}
		if found := stops(register.Check(b, on(t, today))); len(found) > 0 {
			t.Errorf("%s: %v", name, found)
		}
		total := 0
		for _, s := range got {
			total += s.Made + s.Packed + s.Recalled
		}
		if bars := register.Bars(got); bars.Made+bars.Packed+bars.Recalled != total || balance(bars) != 0 {
			t.Errorf("%s: together they are %+v", name, bars)
		}
	}
}

// balance gives the bars that nobody knows of, or that are counted twice.
func balance(s register.Stock) int {
	return s.Made - (s.OnHand + s.Withheld + s.Sold + s.Given + s.Sampled + s.Destroyed + s.Reworked + s.Lost)
}

func TestPacked(t *testing.T) {
	text := head + "cut: {date: 2026-11-27, bar: 12, guest: 3}\npacked:\n  - {date: 2027-01-08, cut: bar, count: 10}\n  - {date: 2027-01-09, cut: guest, count: 3}\n  - {date: 2027-01-09, cut: bar, count: 2}\n"
	b := asBatch(t, recordFile, text)
	if got := register.StockOf(b); got[0].Packed != 12 || got[1].Packed != 3 || register.Bars(got).Packed != 15 || len(register.Check(b, on(t, today))) > 0 {
		t.Errorf("%+v, %v", got, register.Check(b, on(t, today)))
	}
	for more, says := range map[string]string{
		"  - {date: 2027-01-10, cut: guest, count: 1}\n": "4 bars were packed, and there were 3",
		"  - {date: 2027-01-10, count: 1}\n":             "has several cuts",
		"  - {date: 2027-01-10, cut: bra, count: 1}\n":   `was not cut into "bra"`,
	} {
		found := register.Check(asBatch(t, recordFile, text+more), on(t, today))
		if len(found) != 1 || found[0].Level != finding.Stop || !strings.Contains(found[0].Message, says) || found[0].At.Line != 9 {
			t.Errorf("%s: %v", strings.TrimSpace(more), found)
		}
	}
}

// Counts that cannot be are told with the day and the place, and what can be counted is.
func TestCountsThatCannotBe(t *testing.T) {
	for _, tt := range []struct {
		cut, event, rule, says string
		col                    int
	}{
		{bars12, "date: 2026-12-30, what: sold, count: 13", register.RuleCount, "13 bars cannot be sold: 12 are on hand on 2026-12-30", 43},
		{bars12, "date: 2026-12-30, what: given, count: 13", register.RuleCount, "13 bars cannot be given: 12 are on hand on 2026-12-30", 44},
		{bars12, "date: 2026-12-30, what: sampled, count: 13", register.RuleCount, "13 bars cannot be sampled: 12 are on hand", 46},
		{bars12, "date: 2026-12-30, what: withheld, count: 13", register.RuleCount, "13 bars cannot be withheld: 12 are on hand", 47},
		{bars12, "date: 2026-12-30, what: released, count: 1", register.RuleCount, "1 bars cannot be released: 0 are held back", 47},
		{bars12, "date: 2026-12-30, what: returned, count: 1", register.RuleCount, "1 bars cannot be returned: 0 are sold", 47},
		{bars12, "date: 2026-12-30, what: recalled, count: 1", register.RuleCount, "1 bars cannot be recalled: 0 are sold", 47},
		{bars12, "date: 2026-12-30, what: destroyed, count: 13", register.RuleCount, "13 bars cannot be destroyed: 12 are there", 48},
		{bars12, "date: 2026-12-30, what: reworked, count: 13", register.RuleCount, "13 bars cannot be reworked: 12 are there", 47},
		{bars12, "date: 2026-12-30, what: lost, count: 13", register.RuleCount, "13 bars cannot be lost: 12 are there", 43},
		{bars12, "date: 2026-12-30, what: sold", register.RuleCount, "not said how many bars were sold", 30},
		{bars12, "date: 2026-12-30, what: lost", register.RuleCount, "not said how many bars were lost", 30},
		{bars12, "date: 2026-12-30, what: returned", register.RuleCount, "not said how many bars were returned", 30},
		{bars12, "date: 2026-12-30, what: sold, cut: guest, count: 1", register.RuleNoCut, `was not cut into "guest"`, 41},
		{"", "date: 2026-12-30, what: sold, count: 1", register.RuleCount, "not cut yet", 12},
		{"", "date: 2026-12-30, what: destroyed, count: 1", register.RuleCount, "not cut yet", 12},
		{"{date: 2026-11-27, bar: 12, guest: 3}", "date: 2026-12-30, what: sold, count: 1", register.RuleNoCut, "several cuts", 12},
		{"{date: 2026-11-27, bar: 12, guest: 3}", "date: 2026-12-30, what: destroyed, count: 1", register.RuleNoCut, "several cuts", 12},
		{"{date: 2026-11-27, bar: 12, guest: 3}", "date: 2026-12-30, what: destroyed, cut: gast", register.RuleNoCut, `was not cut into "gast"`, 46},
	} {
		b := record(t, tt.cut, tt.event)
		found := register.Check(b, on(t, today))
		if len(found) != 1 || found[0].Level != finding.Stop || found[0].Rule != tt.rule || !strings.Contains(found[0].Message, tt.says) || found[0].Remedy == "" || found[0].At.Col != tt.col {
			t.Errorf("%s: %+v", tt.event, found)
		}
		for _, s := range register.StockOf(b) {
			if s.OnHand != s.Made {
				t.Errorf("%s: %+v", tt.event, s)
			}
		}
	}
}

// What else does not add up is told, and stops nothing that the scale or the printer said.
func TestCheck(t *testing.T) {
	for name, tt := range map[string]struct {
		text, rule, says string
		level            finding.Level
	}{
		"labels left":        {"runs:\n  - {date: 2027-01-08, printed: 14, used: 10, spoiled: 1, voided: 1}\n", register.RuleLabels, "of the run r1, 2 of 14 labels are neither used, spoiled nor voided", finding.Note},
		"labels not counted": {"runs:\n  - {date: 2027-01-08, printed: 14}\n", "", "", 0},
		"labels all counted": {"runs:\n  - {date: 2027-01-08, printed: 14, used: 14}\n", "", "", 0},
		"labels of nowhere":  {"runs:\n  - {date: 2027-01-08, used: 14}\n", "", "", 0},
		"too many labels":    {"runs:\n  - {date: 2027-01-08, printed: 14, used: 14, spoiled: 1}\n", register.RuleCount, "of 14 labels that were printed 15 are accounted for", finding.Stop},
		"an old lot":         {"weighed:\n  - {material: olive, lot: A1, expires: 2026-11-25}\n", register.RuleExpired, `the lot of "olive" was to be used until 2026-11-25`, finding.Warn},
		"an old lot, noted":  {"weighed:\n  - {material: olive, lot: A1, expires: 2026-11-25, note: smells fresh}\n", register.RuleExpired, `the lot of "olive"`, finding.Note},
		"a lot of the day":   {"weighed:\n  - {material: olive, lot: A1, expires: 2026-11-26}\n", "", "", 0},
		"no test":            {"events:\n  - {date: 2027-01-08, what: released, who: Mirel}\n", register.RuleTest, "there is no test before the release", finding.Note},
		"a bare test":        {"events:\n  - {date: 2027-01-08, what: tested, value: clear}\n", register.RuleTest, "the test says no method", finding.Note},
		"a release":          {"events:\n  - {date: 2027-01-08, what: tested, method: strip, value: clear, who: Mirel}\n  - {date: 2027-01-08, what: released, who: Mirel}\n", "", "", 0},
		"the future":         {"events:\n  - {date: 2027-03-02, what: note}\n", register.RuleFuture, `"note" happened on 2027-03-02, which is still to come: today is 2027-03-01`, finding.Warn},
		"a name too long":    {"events:\n  - {date: 2027-01-08, what: complaint, who: Ada, erase: 2027-03-01}\n", register.RuleErase, "the entry e1 says of a person was to be taken out on 2027-03-01", finding.Warn},
		"what she said":      {"events:\n  - {date: 2027-01-08, what: complaint, details: {contact: Ada}, erase: 2027-02-01}\n", register.RuleErase, "the entry e1", finding.Warn},
		"a name taken out":   {"events:\n  - {date: 2027-01-08, what: complaint, erase: 2027-02-01}\n", "", "", 0},
		"a name for a day":   {"events:\n  - {date: 2027-01-08, what: complaint, who: Ada, erase: 2027-03-02}\n", "", "", 0},
		"today":              {"events:\n  - {date: 2027-03-01, what: note}\n", "", "", 0},
	} {
		found := register.Check(asBatch(t, recordFile, head+tt.text), on(t, today))
		if tt.rule == "" {
			if len(found) > 0 {
				t.Errorf("%s: %v", name, found)
			}
			continue
		}
		if len(found) != 1 || found[0].Rule != tt.rule || found[0].Level != tt.level || !strings.Contains(found[0].Message, tt.says) || found[0].Remedy == "" || found[0].At.Line < 5 {
			t.Errorf("%s: %+v", name, found)
		}
	}
	future := asBatch(t, recordFile, strings.Replace(head, "2026-11-26", "2036-11-26", 1))
	if found := register.Check(future, on(t, today)); len(found) != 1 || found[0].Rule != register.RuleFuture || found[0].At.Line != 3 {
		t.Errorf("%v", found)
	}
	var none = register.Check(future, on(t, "2036-11-26"))
	if len(none) > 0 {
		t.Errorf("%v", none)
	}
}

// A ledger counts bars by the rules of what can happen to them, as one reads them: where
// they are taken from, in this order, and where they go.
var ledger = map[string]struct {
	from  []string
	to    string
	whole bool // without a count it is all there are
}{
	"sold": {from: []string{"on hand"}, to: "sold"}, "given": {from: []string{"on hand"}, to: "given"}, "sampled": {from: []string{"on hand"}, to: "sampled"},
	"lost":     {from: []string{"withheld", "on hand"}, to: "lost"},
	"withheld": {from: []string{"on hand"}, to: "withheld", whole: true}, "released": {from: []string{"withheld"}, to: "on hand", whole: true},
	"returned":  {from: []string{"sold"}, to: "withheld"},
	"destroyed": {from: []string{"withheld", "on hand"}, to: "destroyed", whole: true}, "reworked": {from: []string{"withheld", "on hand"}, to: "reworked", whole: true},
}

// move moves bars, or none if there are too few.
func move(bars map[string]int, what string, n int, counted bool) bool {
	rule, there := ledger[what], 0
	for _, from := range rule.from {
		there += bars[from]
	}
	if !counted {
		n = there
	}
	if n > there || !counted && !rule.whole {
		return false
	}
	bars[rule.to] += n
	for _, from := range rule.from {
		some := min(n, bars[from])
		if from == rule.to {
			continue
		}
		bars[from] -= some
		n -= some
	}
	return true
}

// Whatever happens, no bar is lost or counted twice, no count goes below nought, and exactly
// the events for which there were too few bars are told.
func TestBarsAddUp(t *testing.T) {
	kinds := slices.Sorted(maps.Keys(ledger))
	rapid.Check(t, func(t *rapid.T) {
		bars := map[string]map[string]int{"bar": {"on hand": 10}, "guest": {"on hand": 4}}
		var events []string
		var wrong []int // lines
		date := on(t, "2026-11-28")
		for i := range rapid.IntRange(0, 14).Draw(t, "events") {
			date = date.AddDays(rapid.IntRange(0, 2).Draw(t, "later"))
			what := rapid.SampledFrom(kinds).Draw(t, "what")
			cut := rapid.SampledFrom([]string{"bar", "guest"}).Draw(t, "cut")
			counted := rapid.IntRange(0, 5).Draw(t, "counted") > 0
			event := fmt.Sprintf("date: %s, what: %s", date, what)
			ok := true
			switch n := rapid.IntRange(0, 6).Draw(t, "count"); {
			case counted:
				event += fmt.Sprintf(", cut: %s, count: %d", cut, n)
				ok = move(bars[cut], what, n, true)
			case ledger[what].whole && n%2 == 0:
				move(bars["bar"], what, 0, false)
				move(bars["guest"], what, 0, false)
			default:
				event += ", cut: " + cut
				ok = move(bars[cut], what, 0, false)
			}
			events = append(events, event)
			if !ok {
				wrong = append(wrong, 6+i)
			}
			b := record(t, "{date: 2026-11-27, bar: 10, guest: 4}", events...)
			for _, s := range register.StockOf(b) {
				if balance(s) != 0 || min(s.OnHand, s.Withheld, s.Sold, s.Given, s.Sampled, s.Destroyed, s.Reworked, s.Lost) < 0 {
					t.Fatalf("%+v after\n%s", s, strings.Join(events, "\n"))
				}
				want := bars[s.Cut]
				got := map[string]int{"on hand": s.OnHand, "withheld": s.Withheld, "sold": s.Sold, "given": s.Given, "sampled": s.Sampled, "destroyed": s.Destroyed, "reworked": s.Reworked, "lost": s.Lost}
				for where, n := range got {
					if n != want[where] {
						t.Fatalf("%d of %q are %s, want %d, after\n%s", n, s.Cut, where, want[where], strings.Join(events, "\n"))
					}
				}
			}
			var told []int
			for _, f := range stops(register.Check(b, on(t, "2036-01-01"))) {
				told = append(told, f.At.Line)
			}
			if !slices.Equal(told, wrong) {
				t.Fatalf("told are lines %v, want %v, of\n%s", told, wrong, strings.Join(events, "\n"))
			}
		}
		// The order in which they stand does not matter where each is of a day of its own.
		days := map[string]bool{}
		for _, e := range events {
			days[e[:len("date: 2026-11-28")]] = true
		}
		if len(days) == len(events) {
			shuffled := rapid.Permutation(events).Draw(t, "order")
			a, b := record(t, "{date: 2026-11-27, bar: 10, guest: 4}", events...), record(t, "{date: 2026-11-27, bar: 10, guest: 4}", shuffled...)
			if !slices.Equal(register.StockOf(a), register.StockOf(b)) {
				t.Fatalf("%+v, and in another order %+v", register.StockOf(a), register.StockOf(b))
			}
		}
	})
}

// A record names what the guidance on good practice for cosmetics asks a maker to be able to
// show (ISO 22716:2007, as reprinted in SANS 22716:2011; the titles of clauses 13 to 15 by
// the list of clauses, what they say from memory).
func TestRecordHoldsWhatGoodPracticeAsks(t *testing.T) {
	const whole = `code: 26330-01-S
formula: clover-oat
made: 2026-11-26
by: Mirel
checked_by: Jonas
place: back room
weighed:
  - {material: olive, weight: 400 g, lot: A1, supplier: Grove & Press, received: 2026-10-01, expires: 2027-10-01, scale: kitchen}
  - {material: sodium hydroxide, weight: 52.6 g, lot: "0127", supplier: Alka}
  - {material: water, weight: 120 g}
cut: {date: 2026-11-27, bar: 12, ends: 1}
weighings:
  - {date: 2027-01-02, scale: kitchen, bars: {A: 98 g, B: 99 g}}
packed:
  - {date: 2027-01-08, count: 12}
runs:
  - {date: 2027-01-08, printed: 14, used: 12, spoiled: 2}
events:
  - {date: 2026-11-26, time: "10:40", what: step, who: Mirel, note: "lye at 38 C into oils at 40 C, stirred for 6 minutes, poured"}
  - {date: 2026-11-26, what: deviation, who: Mirel, note: "the stirring stopped for two minutes; the batter was even after"}
  - {date: 2027-01-07, what: tested, method: pH strip, value: "9.5", limit: below 10.5, who: Mirel}
  - {date: 2027-01-08, what: withheld, count: 3}
  - {date: 2027-01-09, what: released, count: 1, who: Jonas}
  - {date: 2027-01-09, what: sampled, count: 1, note: "shelf 2, until 2030"}
  - {date: 2027-01-10, what: destroyed, count: 1, who: Jonas, note: a crack}
  - {date: 2027-01-10, what: reworked, count: 1, who: Jonas, ref: 27010-01-F}
  - {date: 2027-01-12, what: sold, count: 4, who: Linden shop, ref: note 17}
  - {date: 2027-01-20, what: complaint, who: Ada, note: itching}
  - {date: 2027-01-21, what: recalled, count: 4, who: Linden shop}
  - {date: 2027-01-25, what: returned, count: 3, who: Linden shop}
`
	b := asBatch(t, recordFile, whole)
	if found := register.Check(b, on(t, today)); len(found) > 0 {
		t.Fatal(found)
	}
	what := func(kind string) formula.Event {
		i := slices.IndexFunc(b.Events, func(e formula.Event) bool { return e.What.V == kind })
		if i < 0 {
			return formula.Event{}
		}
		return b.Events[i]
	}
	s := register.StockOf(b)[0]
	frozen, _, err := formula.ReadFrozen("batches/2026/26330-01-S.made.yaml", formula.WriteFrozen(b.Code.V, b.Formula.V, b.Made.V, map[string]string{"formulas/clover-oat.yaml": "name: Clover & oat\n"}, nil))
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		clause, asks string
		has          bool
	}{
		{"7.2.1", "raw materials with lot and amount", !slices.ContainsFunc(b.Weighed, func(w formula.Weighed) bool { return !w.Weight.Given() || !w.Lot.Given() && !w.IsWater() })},
		{"7.2.1", "the steps of making", what("step").Note.Given() && what("step").Time.Given() && what("step").Who.Given()},
		{"7.2.3", "a number for each batch", b.Code.V == "26330-01-S"},
		{"8.2", "release by a person, after a check against a limit", what("tested").Limit.Given() && what("tested").Value.Given() && what("released").Who.V == "Jonas"},
		{"8.3", "withheld and released bars told apart, and counted", s.Withheld == 3 && s.OnHand == 5 && s.Made == 12},
		{"8.5", "returns, judged before they are sold again", s.Returned == 3 && what("returned").Who.Given()},
		{"9.8", "kept samples", s.Sampled == 1 && what("sampled").Note.Given()},
		{"10", "what was rejected, destroyed or worked again", s.Destroyed == 1 && s.Reworked == 1 && what("destroyed").Who.Given() && what("reworked").Ref.Given()},
		{"13", "deviations", what("deviation").Note.Given() && what("deviation").Who.Given()},
		{"14", "complaints", what("complaint").Note.Given()},
		{"14", "recalls: who had the bars, and how many were asked back", s.Recalled == 4 && what("sold").Who.Given() && what("sold").Ref.Given()},
		{"15", "changes: what it was made by stays", len(frozen.Documents) == 1 && strings.Contains(frozen.Documents[0].Text.V, "Clover & oat")},
	} {
		if !tt.has {
			t.Errorf("clause %s: no %s", tt.clause, tt.asks)
		}
	}
}
