// Package day holds a civil date: a day in the calendar, without a time or a
// zone. The law counts in such days, and so does a batch. It reads and writes
// days and counts between them; which day it is today is for others to say.
package day

import (
	"fmt"
	"strconv"
	"time"
)

// A Day is one day of the Gregorian calendar, from 0001-01-01 to 9999-12-31.
// The zero Day is no day; see [Day.IsZero]. Days compare with ==.
type Day struct {
	year  int16
	month int8
	date  int8
}

// lastYear is the last that fits the form 2026-11-26.
const lastYear = 9999

// Of gives the day with these numbers. It reports false when the calendar has
// no such day.
func Of(year int, month time.Month, date int) (Day, bool) {
	if year < 1 || year > lastYear || month < time.January || month > time.December || date < 1 || date > 31 {
		return Day{}, false
	}
	d := Day{int16(year), int8(month), int8(date)}
	if FromTime(d.Time()) != d { // the 30th of February moves to March
		return Day{}, false
	}
	return d, true
}

// FromTime gives the day on which t falls, in t's own zone, or the zero Day if
// that is not within the years of a Day.
func FromTime(t time.Time) Day {
	year, month, date := t.Date()
	if year < 1 || year > lastYear {
		return Day{}
	}
	return Day{int16(year), int8(month), int8(date)}
}

// Parse reads a day written as 2026-11-26 (ISO 8601, extended form).
func Parse(s string) (Day, error) {
	d, ok := parse(s)
	if !ok {
		return Day{}, fmt.Errorf("%q is not a day of the calendar; write it as 2026-11-26", s)
	}
	return d, nil
}

func parse(s string) (Day, bool) {
	if len(s) != len("2026-11-26") || s[4] != '-' || s[7] != '-' {
		return Day{}, false
	}
	var numbers [3]int
	for i, digits := range []string{s[:4], s[5:7], s[8:]} {
		n, err := strconv.ParseUint(digits, 10, 16) // takes no sign
		if err != nil {
			return Day{}, false
		}
		numbers[i] = int(n)
	}
	return Of(numbers[0], time.Month(numbers[1]), numbers[2])
}

// IsZero reports whether d is no day at all.
func (d Day) IsZero() bool { return d == Day{} }

// Before reports whether d comes before e. The zero Day comes before all days.
func (d Day) Before(e Day) bool { return d.order() < e.order() }

// Compare gives a negative number when d comes before e, a positive one when it
// comes after, and 0 for the same day.
func (d Day) Compare(e Day) int { return d.order() - e.order() }

func (d Day) order() int { return int(d.year)<<16 | int(d.month)<<8 | int(d.date) }

// mostDays and mostMonths are more than the calendar has.
const (
	mostDays   = 366 * lastYear
	mostMonths = 12 * lastYear
)

// AddDays gives the day n days after d, or before it when n is negative. It
// gives the zero Day where the calendar ends, and for the zero Day.
func (d Day) AddDays(n int) Day {
	if d.IsZero() || n < -mostDays || n > mostDays {
		return Day{}
	}
	return FromTime(d.Time().AddDate(0, 0, n))
}

// AddMonths gives the same date n months later, or the last day of that month
// when the month is too short: a month after 31 January is 28 or 29 February.
// It gives the zero Day where the calendar ends, and for the zero Day.
func (d Day) AddMonths(n int) Day {
	if d.IsZero() || n < -mostMonths || n > mostMonths {
		return Day{}
	}
	first := time.Date(int(d.year), time.Month(int(d.month)+n), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return FromTime(first.AddDate(0, 0, min(int(d.date), last)-1))
}

// DaysUntil counts the days from d to e; it is negative when e is earlier.
// Neither may be the zero Day, from which there is nothing to count.
func (d Day) DaysUntil(e Day) int {
	const seconds = 24 * 60 * 60 // a time.Duration ends after 292 years
	return int((e.Time().Unix() - d.Time().Unix()) / seconds)
}

// Time gives midnight UTC at the start of the day.
func (d Day) Time() time.Time {
	return time.Date(int(d.year), time.Month(d.month), int(d.date), 0, 0, 0, 0, time.UTC)
}

// String gives the day as 2026-11-26, or "" for the zero Day.
func (d Day) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.year, d.month, d.date)
}

// MarshalText gives the day to JSON in the form of [Day.String].
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what [Day.MarshalText] wrote.
func (d *Day) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = Day{}
		return nil
	}
	parsed, err := Parse(string(text))
	if err != nil {
		return err
	}
	*d = parsed
	return nil
}
