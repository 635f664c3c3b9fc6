package market_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"saponym/internal/day"
	"saponym/internal/market"
)

func keepings(t *testing.T, place string) []market.Keeping {
	t.Helper()
	all, err := market.Keepings(place)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func deadlines(t *testing.T, place string) []market.Deadline {
	t.Helper()
	all, err := market.Deadlines(place)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Ids are public and shared with no rule of a market or of the fragrance industry.
func TestRecordIDs(t *testing.T) {
	seen := map[string]bool{}
	for _, id := range market.IDs() {
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rules {
			seen[r.ID] = true
		}
	}
	for _, r := range standard(t).Rules {
		seen[r.ID] = true
	}
	var ids []string
	for _, k := range keepings(t, "") {
		ids = append(ids, k.ID)
	}
	for _, d := range deadlines(t, "") {
		ids = append(ids, d.ID)
	}
	form := regexp.MustCompile(`^[A-Z]+(-[A-Z]+)+-[0-9]{2}$`)
	for _, id := range ids {
		if !form.MatchString(id) {
			t.Errorf("the id %q is not well formed", id)
		}
		if seen[id] {
			t.Errorf("the id %s is there twice", id)
		}
		seen[id] = true
	}
}

// Each entry says where it stands, where it was read and how it is known, and is about
// a place that some market has.
func TestRecordEntries(t *testing.T) {
	var places []string
	for _, id := range market.IDs() {
		place, err := market.Place(id)
		if err != nil {
			t.Fatal(err)
		}
		places = append(places, place)
	}
	backed := func(id, place, cite, source string, known market.Known) {
		t.Helper()
		if cite == "" || source == "" || known == "" {
			t.Errorf("%s lacks a citation, a source or its standing", id)
		}
		if !slices.Contains(places, place) {
			t.Errorf("%s is about %q, and no market is there", id, place)
		}
	}
	for _, k := range keepings(t, "") {
		place := k.Place
		if place == "" { // of the trade, which is everywhere
			place = places[0]
		}
		backed(k.ID, place, k.Cite, k.Source, k.Known)
		if k.Record == "" || k.After == "" || k.Default == 0 || k.Default < k.Years {
			t.Errorf("%s: %q is kept %d years after %q by default, and at least %d", k.ID, k.Record, k.Default, k.After, k.Years)
		}
		if k.Years == 0 && (k.Note == "" || k.Known.Confirmed()) {
			t.Errorf("%s has no lawful figure, so it must say so and be unconfirmed", k.ID)
		}
	}
	for _, d := range deadlines(t, "") {
		backed(d.ID, d.Place, d.Cite, d.Source, d.Known)
		if d.What == "" || d.From == "" || d.To == "" || d.Note == "" {
			t.Errorf("%s lacks its event, its start, its authority or its note: %+v", d.ID, d)
		}
		if d.Confirmed != d.Known.Confirmed() {
			t.Errorf("%s is known by %s, and confirmed: %v", d.ID, d.Known, d.Confirmed)
		}
	}
}

// Regulation 1223/2009 Art. 11 (10 years, page of the Slovenian agency) and Art. 7
// (3 years, German text); that Great Britain kept both is from memory. MoCRA 605 (6
// years, summaries). Canada has no figure that was seen, and neither has the practice
// of the trade (from memory).
func TestKeepings(t *testing.T) {
	type row struct {
		id, record, place string
		years, standard   int
		after             string
		known             market.Known
	}
	want := []row{
		{"EU-RECORD-01", market.ProductFile, "eu", 10, 10, market.LastPlacing, market.RetrievedSecondary},
		{"EU-RECORD-02", market.Trader, "eu", 3, 10, market.Supply, market.Retrieved},
		{"UK-RECORD-01", market.ProductFile, "uk", 10, 10, market.LastPlacing, market.Memory},
		{"UK-RECORD-02", market.Trader, "uk", 3, 10, market.Supply, market.Memory},
		{"US-RECORD-01", market.EventReport, "us", 6, 6, market.Report, market.RetrievedSecondary},
		{"CA-RECORD-01", market.DistributionRecord, "ca", 0, 6, market.Supply, market.Memory},
		{"TRADE-RECORD-01", market.BatchRecord, "", 0, 10, market.ShelfLifeEnd, market.Memory},
		{"TRADE-RECORD-02", market.KeptSample, "", 0, 1, market.ShelfLifeEnd, market.Memory},
	}
	for _, place := range []string{"", "eu", "uk", "us", "ca", "au", "nz"} {
		var got, wanted []row
		for _, k := range keepings(t, place) {
			got = append(got, row{k.ID, k.Record, k.Place, k.Years, k.Default, k.After, k.Known})
		}
		for _, r := range want {
			if place == "" || r.place == "" || r.place == place {
				wanted = append(wanted, r)
			}
		}
		if !slices.Equal(got, wanted) {
			t.Errorf("for %q\n got %v\nwant %v", place, got, wanted)
		}
	}
}

// MoCRA 605 (15 business days with a copy of the label, and the list of a fragrance in
// 30 days: summaries), Cosmetic Regulations of Canada s. 30 (10 days after the first
// sale). The 20 days of the guideline to Regulation 1223/2009 Art. 23, and that Great
// Britain goes by them, are from memory.
func TestDeadlines(t *testing.T) {
	type row struct {
		id, place, what string
		days            int
		business        bool
		with            string
		known           market.Known
	}
	want := []row{
		{"US-EVENT-01", "us", market.SeriousEvent, 15, true, "a copy of the label", market.RetrievedSecondary},
		{"US-FRAGRANCE-01", "us", market.FragranceRequest, 30, false, "the full list of the ingredients of the fragrance", market.RetrievedSecondary},
		{"EU-EVENT-01", "eu", market.SeriousEvent, 20, false, "", market.Memory},
		{"UK-EVENT-01", "uk", market.SeriousEvent, 20, false, "", market.Memory},
		{"CA-NOTICE-01", "ca", market.FirstSale, 10, false, "the notification form", market.Retrieved},
	}
	for _, place := range []string{"", "eu", "uk", "us", "ca", "au", "nz"} {
		var got, wanted []row
		for _, d := range deadlines(t, place) {
			got = append(got, row{d.ID, d.Place, d.What, d.Days, d.Business, d.With, d.Known})
		}
		for _, r := range want {
			if place == "" || r.place == place {
				wanted = append(wanted, r)
			}
		}
		if !slices.Equal(got, wanted) {
			t.Errorf("for %q\n got %v\nwant %v", place, got, wanted)
		}
	}
}

// What is asked for is the caller's own: changing it changes nothing for the next.
func TestRecordsAreCopies(t *testing.T) {
	keepings(t, "")[0].Years = 1
	deadlines(t, "")[0].Days = 1
	outcomes, err := market.SeriousOutcomes()
	if err != nil {
		t.Fatal(err)
	}
	outcomes[0].Name = "a broken bar"
	again, err := market.SeriousOutcomes()
	if err != nil {
		t.Fatal(err)
	}
	if k, d := keepings(t, "")[0], deadlines(t, "")[0]; k.Years == 1 || d.Days == 1 || again[0].Name == "a broken bar" {
		t.Errorf("got %d years, %d days and %q", k.Years, d.Days, again[0].Name)
	}
}

func TestRecordsOfNoPlace(t *testing.T) {
	if _, err := market.Keepings("mars"); err == nil {
		t.Error("records are kept on Mars")
	}
	if _, err := market.Deadlines("us-soap"); err == nil {
		t.Error("a market is taken for a place")
	}
}

// Counted by hand on a calendar. 2026-11-27, 2026-12-18 and 2027-01-08 are Fridays,
// 2028-02-10 is a Thursday and that February has 29 days, 2027-02-12 is a Friday and
// that February has 28. Counting begins on the next business day. Thanksgiving,
// Christmas and the New Year are counted like other days.
func TestUntil(t *testing.T) {
	tests := []struct {
		name     string
		days     int
		business bool
		received string
		want     string
	}{
		{"one business day from Thursday", 1, true, "2026-11-26", "2026-11-27"},
		{"one from Friday", 1, true, "2026-11-27", "2026-11-30"},
		{"one from Saturday", 1, true, "2026-11-28", "2026-11-30"},
		{"one from Sunday", 1, true, "2026-11-29", "2026-11-30"},
		{"five from Friday", 5, true, "2026-11-27", "2026-12-04"},
		{"five from Saturday", 5, true, "2026-11-28", "2026-12-04"},
		{"15 from Monday", 15, true, "2026-11-23", "2026-12-14"},
		{"15 from Friday, over the end of a month", 15, true, "2026-11-27", "2026-12-18"},
		{"15 from Sunday", 15, true, "2026-11-29", "2026-12-18"},
		{"15 over the end of a year", 15, true, "2026-12-18", "2027-01-08"},
		{"15 over 29 February", 15, true, "2028-02-10", "2028-03-02"},
		{"15 over the end of a February of 28 days", 15, true, "2027-02-12", "2027-03-05"},
		{"20 days of the calendar", 20, false, "2026-11-27", "2026-12-17"},
		{"20 over the end of a year, to a Saturday", 20, false, "2026-12-20", "2027-01-09"},
		{"30 over 29 February", 30, false, "2028-02-10", "2028-03-11"},
		{"without delay", 0, false, "2026-11-28", "2026-11-28"},
		{"without delay, in business days", 0, true, "2026-11-28", "2026-11-28"},
	}
	for _, tt := range tests {
		d := market.Deadline{Days: tt.days, Business: tt.business}
		if got := d.Until(date(t, tt.received)).String(); got != tt.want {
			t.Errorf("%s: from %s until %s, want %s", tt.name, tt.received, got, tt.want)
		}
	}
	for _, business := range []bool{false, true} {
		d := market.Deadline{Days: 15, Business: business}
		for _, received := range []day.Day{{}, date(t, "9999-12-30")} {
			if got := d.Until(received); !got.IsZero() {
				t.Errorf("from %q, business days %v, it lasts until %s", received, business, got)
			}
		}
	}
}

// Whoever reads the last day must read that public holidays were not left out.
func TestHolidaysAreSaid(t *testing.T) {
	counted := 0
	for _, d := range deadlines(t, "") {
		if !d.Business {
			continue
		}
		counted++
		if !strings.Contains(d.Note, "public holidays count") {
			t.Errorf("%s counts business days and says nothing of holidays: %q", d.ID, d.Note)
		}
	}
	if counted == 0 {
		t.Error("no deadline counts business days")
	}
}

// The definition of MoCRA, as a page on compliance lists it.
func TestSeriousOutcomes(t *testing.T) {
	outcomes, err := market.SeriousOutcomes()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, o := range outcomes {
		if o.Place != "us" || o.Cite == "" || o.Source == "" || o.Known != market.RetrievedSecondary {
			t.Errorf("%s: %+v", o.Name, o)
		}
		if (o.Note != "") != (o.Name == "serious disfigurement") {
			t.Errorf("%s has the note %q", o.Name, o.Note)
		}
		got = append(got, o.Name)
	}
	want := []string{
		"death", "life-threatening experience", "hospital stay", "lasting disability", "birth defect",
		"infection", "serious disfigurement", "treatment to prevent one of these",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
}
