// Package day holds a civil date: a day in the calendar, without a time or a
// zone. The law counts in such days, and so does a batch.
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

// Of gives the day with these numbers. It reports false when the calendar has
// no such day.
func Of(year int, month time.Month, date int) (Day, bool) {
	if year < 1 || year > 9999 || month < time.January || month > time.December || date < 1 {
		return Day{}, false
	}
	t := time.Date(year, month, date, 0, 0, 0, 0, time.UTC)
	if t.Month() != month || t.Day() != date {
		return Day{}, false
	}
	return Day{int16(year), int8(month), int8(date)}, true
}

// FromTime gives the day on which t falls, in t's own zone.
func FromTime(t time.Time) Day {
	return Day{int16(t.Year()), int8(t.Month()), int8(t.Day())}
}

// Parse reads a day written as 2026-11-26 (ISO 8601, extended form).
func Parse(s string) (Day, error) {
	wrong := fmt.Errorf("%q is not a day of the calendar; write it as 2026-11-26", s)
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return Day{}, wrong
	}
	var numbers [3]int
	for i, digits := range []string{s[:4], s[5:7], s[8:]} {
		n, err := strconv.ParseUint(digits, 10, 16)
		if err != nil {
			return Day{}, wrong
		}
		numbers[i] = int(n)
	}
	d, ok := Of(numbers[0], time.Month(numbers[1]), numbers[2])
	if !ok {
		return Day{}, wrong
	}
	return d, nil
}

// IsZero reports whether d is no day at all.
func (d Day) IsZero() bool { return d == Day{} }

// Before reports whether d comes before e.
func (d Day) Before(e Day) bool { return d.order() < e.order() }

// AddDays gives the day n days after d, or before it when n is negative.
func (d Day) AddDays(n int) Day { return FromTime(d.Time().AddDate(0, 0, n)) }

// AddMonths gives the same date n months later, or the last day of that month
// when the month is too short: a month after 31 January is 28 or 29 February.
func (d Day) AddMonths(n int) Day {
	first := time.Date(int(d.year), time.Month(d.month)+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return FromTime(first.AddDate(0, 0, min(int(d.date), last)-1))
}

// DaysUntil counts the days from d to e; it is negative when e is earlier.
func (d Day) DaysUntil(e Day) int {
	return int(e.Time().Sub(d.Time()) / (24 * time.Hour))
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

// MarshalText and UnmarshalText give the day to JSON in the form of String.
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

func (d Day) order() int { return int(d.year)<<16 | int(d.month)<<8 | int(d.date) }
