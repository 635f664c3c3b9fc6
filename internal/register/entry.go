package register

import (
	"errors"
	"strconv"
	"strings"
	"unicode"

	"saponym/internal/day"
)

// An Indexed is what the index keeps of one batch file.
type Indexed struct {
	File       string
	Code       string
	Formula    string // the id
	Material   string // the id
	Lots       []Use
	From       []string // codes of batches that went in: as own bars, as a lot, or worked again
	OnHand     int
	Sold       int
	Complaints bool // there are complaints or adverse events
	Progress   Progress
	Fault      string // why the file is no record; then the rest is empty
}

// A Use is a lot of a material that went into a batch.
type Use struct{ Material, Lot, Supplier string }

// The characters between fields, entries, and parts of an entry: those that ASCII has for
// it, which are taken out of what is kept. Thousands of records are read for one list, so they
// are kept in a form that is read fast.
const (
	betweenFields  = "\x1c"
	betweenEntries = "\x1d"
	betweenParts   = "\x1e"
)

// kept gives a text as the index keeps it: with a space for each character of control, of
// which some stand between texts there.
func kept(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text)
}

// fields is how many fields a record has in the index.
const fields = 14

// text gives the record as the index keeps it.
func (x Indexed) text() string {
	var uses []string
	for _, u := range x.Lots {
		uses = append(uses, strings.Join([]string{u.Material, u.Lot, u.Supplier}, betweenParts))
	}
	flags := ""
	for _, f := range []struct {
		set    bool
		letter string
	}{{x.Complaints, "c"}, {x.Progress.Lots, "l"}, {x.Progress.Material, "m"}, {x.Progress.Gone, "g"}} {
		if f.set {
			flags += f.letter
		}
	}
	p := x.Progress
	all := []string{
		x.Code, x.Formula, x.Material, x.Fault, flags, strconv.Itoa(x.OnHand), strconv.Itoa(x.Sold), strconv.Itoa(p.Bars), strconv.Itoa(p.Packed),
		dayText(p.Made), dayText(p.Cut), dayText(p.Weighed), strings.Join(uses, betweenEntries), strings.Join(x.From, betweenEntries),
	}
	for i, f := range all {
		all[i] = strings.ReplaceAll(f, betweenFields, " ")
	}
	return strings.Join(all, betweenFields)
}

func dayText(d day.Day) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// errEntry says that the index holds something else than was written.
var errEntry = errors.New("a record of it cannot be read")

// read reads what text wrote. Lots and From are left out where they are not wanted.
func (x *Indexed) read(text string, whole bool) (err error) {
	var f [fields]string
	for i := range fields - 1 {
		var ok bool
		if f[i], text, ok = strings.Cut(text, betweenFields); !ok {
			return errEntry
		}
	}
	f[fields-1] = text
	x.Code, x.Formula, x.Material, x.Fault = f[0], f[1], f[2], f[3]
	p := &x.Progress
	x.Complaints, p.Lots = strings.Contains(f[4], "c"), strings.Contains(f[4], "l")
	p.Material, p.Gone = strings.Contains(f[4], "m"), strings.Contains(f[4], "g")
	for i, n := range []*int{&x.OnHand, &x.Sold, &p.Bars, &p.Packed} {
		if *n, err = strconv.Atoi(f[5+i]); err != nil {
			return errEntry
		}
	}
	for i, d := range []*day.Day{&p.Made, &p.Cut, &p.Weighed} {
		if f[9+i] == "" {
			continue
		}
		if *d, err = day.Parse(f[9+i]); err != nil {
			return errEntry
		}
	}
	if !whole {
		return nil
	}
	if f[12] != "" {
		for use := range strings.SplitSeq(f[12], betweenEntries) {
			material, rest, _ := strings.Cut(use, betweenParts)
			lot, supplier, _ := strings.Cut(rest, betweenParts)
			x.Lots = append(x.Lots, Use{material, lot, supplier})
		}
	}
	if f[13] != "" {
		x.From = strings.Split(f[13], betweenEntries)
	}
	return nil
}
