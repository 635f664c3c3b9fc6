package day_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"saponym/internal/day"

	"pgregory.net/rapid"
)

func parse(t *testing.T, s string) day.Day {
	t.Helper()
	d, err := day.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var parseTests = []struct {
	name string
	in   string
	ok   bool
}{
	{"a day", "2026-11-26", true},
	{"the first", "0001-01-01", true},
	{"the last", "9999-12-31", true},
	{"29 February in a leap year", "2028-02-29", true},
	{"29 February in another year", "2027-02-29", false},
	{"29 February in 2000, a leap year", "2000-02-29", true},
	{"29 February in 1900, no leap year", "1900-02-29", false},
	{"30 February", "2028-02-30", false},
	{"31 April", "2026-04-31", false},
	{"a month 13", "2026-13-01", false},
	{"a month 0", "2026-00-01", false},
	{"a day 0", "2026-01-00", false},
	{"a day 32", "2026-01-32", false},
	{"the year 0", "0000-01-01", false},
	{"nothing", "", false},
	{"a sign", "+026-01-01", false},
	{"a sign in the month", "2026-+1-01", false},
	{"a minus in the day", "2026-01--1", false},
	{"an underscore", "2_26-01-01", false},
	{"hexadecimal", "0x26-01-01", false},
	{"spaces for noughts", "2026- 1- 1", false},
	{"a space around", " 2026-01-01", false},
	{"a line end", "2026-01-01\n", false},
	{"one digit", "2026-1-1", false},
	{"two digits for the year", "26-01-01", false},
	{"slashes", "2026/11/26", false},
	{"basic form", "20261126", false},
	{"day first", "26-11-2026", false},
	{"with a time", "2026-11-26T00:00:00Z", false},
	{"digits of another script", "２０-1-1", false},
}

func TestParse(t *testing.T) {
	for _, tt := range parseTests {
		t.Run(tt.name, func(t *testing.T) {
			d, err := day.Parse(tt.in)
			switch {
			case tt.ok && (err != nil || d.String() != tt.in):
				t.Errorf("%q: got %v, %v, want the same day", tt.in, d, err)
			case !tt.ok && (err == nil || !d.IsZero()):
				t.Errorf("%q: got %v, %v, want an error and no day", tt.in, d, err)
			case !tt.ok && !strings.Contains(err.Error(), "write it as 2026-11-26"):
				t.Errorf("%q: error %q does not say how to write it", tt.in, err)
			}
		})
	}
}

func TestOf(t *testing.T) {
	tests := []struct {
		name  string
		year  int
		month time.Month
		date  int
		want  string // "" where the calendar has no such day
	}{
		{"a day", 2026, time.November, 26, "2026-11-26"},
		{"a year that would wrap", 65536 + 2026, time.November, 26, ""},
		{"a month that would wrap", 2026, 256 + time.November, 26, ""},
		{"a date that would wrap", 2026, time.November, 256 + 26, ""},
		{"negative", -1, time.January, 1, ""},
		{"31 June", 2026, time.June, 31, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d, ok := day.Of(tt.year, tt.month, tt.date)
			if d.String() != tt.want || ok != (tt.want != "") {
				t.Errorf("got %q, %v, want %q", d, ok, tt.want)
			}
		})
	}
}

func TestFromTime(t *testing.T) {
	east := time.FixedZone("east", 14*60*60)
	tests := []struct {
		name string
		in   time.Time
		want string
	}{
		{"just before midnight", time.Date(2026, 11, 26, 23, 59, 59, 999, time.UTC), "2026-11-26"},
		{"in its own zone", time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC).In(east), "2026-11-27"},
		{"before the calendar", time.Date(0, 12, 31, 0, 0, 0, 0, time.UTC), ""},
		{"after the calendar", time.Date(65536+2026, 1, 1, 0, 0, 0, 0, time.UTC), ""},
		{"the zero Time is the first day", time.Time{}, "0001-01-01"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := day.FromTime(tt.in).String(); got != tt.want {
				t.Errorf("%v: got %q, want %q", tt.in, got, tt.want)
			}
		})
	}
}

func TestAddMonths(t *testing.T) {
	tests := []struct {
		name   string
		from   string
		months int
		want   string
	}{
		{"same date", "2026-11-26", 1, "2026-12-26"},
		{"over the year", "2026-11-26", 30, "2029-05-26"},
		{"31 January to February", "2027-01-31", 1, "2027-02-28"},
		{"31 January to a leap February", "2028-01-31", 1, "2028-02-29"},
		{"31 January to a February of 1900", "1900-01-31", 1, "1900-02-28"},
		{"29 February to the next year", "2028-02-29", 12, "2029-02-28"},
		{"29 February to the next leap year", "2028-02-29", 48, "2032-02-29"},
		{"31 August to June", "2026-08-31", 10, "2027-06-30"},
		{"backwards", "2026-03-31", -1, "2026-02-28"},
		{"backwards over the year", "2026-01-15", -2, "2025-11-15"},
		{"none", "2026-01-31", 0, "2026-01-31"},
		{"the last month", "9999-11-30", 1, "9999-12-30"},
		{"past the end", "9999-12-01", 1, ""},
		{"past the beginning", "0001-01-31", -1, ""},
		{"very far", "2026-01-01", math.MaxInt, ""},
		{"very far back", "2026-01-01", math.MinInt, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := parse(t, tt.from).AddMonths(tt.months).String(); got != tt.want {
				t.Errorf("%s and %d months: got %q, want %q", tt.from, tt.months, got, tt.want)
			}
		})
	}
}

func TestAddDays(t *testing.T) {
	tests := []struct {
		name string
		from string
		days int
		want string
	}{
		{"the next day", "2026-11-30", 1, "2026-12-01"},
		{"into a leap day", "2028-02-28", 1, "2028-02-29"},
		{"over a year", "2026-12-31", 365, "2027-12-31"},
		{"over a leap year", "2027-12-31", 366, "2028-12-31"},
		{"backwards", "2026-01-01", -1, "2025-12-31"},
		{"past the end", "9999-12-31", 1, ""},
		{"past the beginning", "0001-01-01", -1, ""},
		{"very far", "2026-01-01", math.MaxInt, ""},
		{"very far back", "2026-01-01", math.MinInt, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := parse(t, tt.from).AddDays(tt.days).String(); got != tt.want {
				t.Errorf("%s and %d days: got %q, want %q", tt.from, tt.days, got, tt.want)
			}
		})
	}
}

func TestDaysUntil(t *testing.T) {
	tests := []struct {
		name     string
		from, to string
		want     int
	}{
		{"the same day", "2026-11-26", "2026-11-26", 0},
		{"six weeks", "2026-11-26", "2027-01-07", 42},
		{"backwards", "2027-01-07", "2026-11-26", -42},
		{"a leap year", "2028-01-01", "2029-01-01", 366},
		{"400 years have 146,097 days", "1601-01-01", "2001-01-01", 146_097},
		{"the whole calendar", "0001-01-01", "9999-12-31", 3_652_058},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := parse(t, tt.from).DaysUntil(parse(t, tt.to)); got != tt.want {
				t.Errorf("%s to %s: got %d days, want %d", tt.from, tt.to, got, tt.want)
			}
		})
	}
}

func TestZeroDay(t *testing.T) {
	var none day.Day
	if !none.IsZero() || none.String() != "" {
		t.Errorf("the zero Day: IsZero %v, String %q", none.IsZero(), none)
	}
	if !none.Before(parse(t, "0001-01-01")) {
		t.Error("the zero Day does not come before the first day")
	}
	if d := none.AddDays(1000); !d.IsZero() {
		t.Errorf("the zero Day and 1000 days is %s, want no day", d)
	}
	if d := none.AddMonths(1000); !d.IsZero() {
		t.Errorf("the zero Day and 1000 months is %s, want no day", d)
	}
}

func TestJSON(t *testing.T) {
	type record struct {
		Made, Packed day.Day
		Until        *day.Day
	}
	in := record{Made: parse(t, "2026-11-26")}
	text, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"Made":"2026-11-26","Packed":"","Until":null}`; string(text) != want {
		t.Errorf("got %s, want %s", text, want)
	}
	out := record{Packed: parse(t, "2026-12-01")}
	if err := json.Unmarshal(text, &out); err != nil || out != in {
		t.Errorf("read again: got %v, %v, want %v", out, err, in)
	}
	kept := record{Made: in.Made}
	if err := json.Unmarshal([]byte(`{"Made":"2026-02-30"}`), &kept); err == nil || kept.Made != in.Made {
		t.Errorf("30 February: got %v, %v, want an error and the day that was there", kept.Made, err)
	}
}

func anyDay() *rapid.Generator[day.Day] {
	return rapid.Custom(func(t *rapid.T) day.Day {
		d, _ := day.Of(1, time.January, 1)
		return d.AddDays(rapid.IntRange(0, 3_652_058).Draw(t, "days"))
	})
}

func TestDaysAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, e := anyDay().Draw(t, "from"), anyDay().Draw(t, "to")
		n := d.DaysUntil(e)
		if got := d.AddDays(n); got != e {
			t.Fatalf("%s and %d days is %s, want %s", d, n, got, e)
		}
		if d.Before(e) != (n > 0) || e.Before(d) != (n < 0) || (d == e) != (n == 0) {
			t.Fatalf("%s and %s are %d days apart, but Before says otherwise", d, e, n)
		}
		if c := d.Compare(e); (c < 0) != (n > 0) || (c == 0) != (n == 0) || (e.Compare(d) < 0) != (n < 0) {
			t.Fatalf("%s and %s are %d days apart, but Compare gives %d", d, e, n, c)
		}
	})
}

func TestMonthsKeepTheDateOrEndTheMonth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDay().Draw(t, "from")
		n := rapid.IntRange(-600, 600).Draw(t, "months")
		e := d.AddMonths(n)
		if e.IsZero() {
			t.Skip("outside the calendar")
		}
		from, to := d.Time(), e.Time()
		if got := (to.Year()-from.Year())*12 + int(to.Month()-from.Month()); got != n {
			t.Fatalf("%s and %d months is %s, %d months later", d, n, e, got)
		}
		if to.Day() == from.Day() {
			return
		}
		if to.Day() > from.Day() || e.AddDays(1).Time().Day() != 1 {
			t.Fatalf("%s and %d months is %s: neither the same date nor the end of its month", d, n, e)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, tt := range parseTests {
		f.Add(tt.in)
	}
	f.Fuzz(func(t *testing.T, in string) {
		d, err := day.Parse(in)
		standard, standardErr := time.Parse(time.DateOnly, in)
		if standard.Year() == 0 {
			standardErr = err // the standard library has a year 0, the Gregorian calendar has none
		}
		if (err == nil) != (standardErr == nil) {
			t.Fatalf("%q: got %v, the standard library %v", in, err, standardErr)
		}
		if err == nil && (d.String() != in || !d.Time().Equal(standard)) {
			t.Errorf("%q is read as %s", in, d)
		}
	})
}
