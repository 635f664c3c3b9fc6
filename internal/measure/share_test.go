package measure_test

import (
	"strings"
	"testing"

	"saponym/internal/measure"
)

const percent = measure.Percent

func TestParseShareRange(t *testing.T) {
	tests := []struct {
		name      string
		in        string
		low, high measure.Share
	}{
		{"one share", "5%", 5 * percent, 5 * percent},
		{"one sign", "20-30%", 20 * percent, 30 * percent},
		{"two signs", "20%-30%", 20 * percent, 30 * percent},
		{"en dash and spaces", " 20 – 30 %", 20 * percent, 30 * percent},
		{"decimals", "0.1-0.25%", percent / 10, percent / 4},
		{"up from nought", "0-1%", 0, percent},
		{"equal bounds", "7-7%", 7 * percent, 7 * percent},
		{"joined by a word", "20 to 30%", 20 * percent, 30 * percent},
		{"joined by a word, two signs", "20% to 30 %", 20 * percent, 30 * percent},
		{"from one to the other", "From 20 to 30%", 20 * percent, 30 * percent},
		{"between the two", "between 20 and 30%", 20 * percent, 30 * percent},
		// A ppm is a millionth, and so is a milligram in a kilogram.
		{"ppm", "120 ppm", percent * 12 / 1000, percent * 12 / 1000},
		{"milligrams in a kilogram", "<50 mg/kg", 0, percent * 5 / 1000},
		{"ppm, unit once", "50-100 ppm", percent * 5 / 1000, percent / 100},
		{"ppm, unit twice", "50 ppm – 100ppm", percent * 5 / 1000, percent / 100},
		{"ppm joined by a word", "50 ppm to 100 PPM", percent * 5 / 1000, percent / 100},
		{"from ppm to per cent", "500 ppm - 1%", percent / 20, percent},
		{"below a part of ppm", "< 0.5 ppm", 0, percent / 20000},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := measure.ParseShareRange(tt.in)
			if want := (measure.ShareRange{Low: tt.low, High: tt.high}); err != nil || got != want {
				t.Errorf("%q: got %v, %v, want %v", tt.in, got, err, want)
			}
		})
	}
	refused := []struct {
		name   string
		in     string
		offset int
		says   string
	}{
		{"downwards", "30-20%", 2, "runs downwards"},
		{"negative", "-5%", 0, "never negative"},
		{"no upper bound", "20-", 3, "there is no number"},
		{"a sign after the dash", "20--30%", 3, "never negative"},
		{"no sign at all", "20-30", 5, "has no unit"},
		{"a sign on the first only", "20%-30", 6, "has no unit"},
		{"three bounds", "10-20-30%", 5, `"-" is not a unit of share`},
		{"decimal comma in the second", "1.5-2,5%", 5, "a comma"},
		{"a weight", "20 g-30 g", 3, "is not a unit of share"},
		{"ppm downwards", "100-50 ppm", 3, "runs downwards"},
		{"per cent on the first, and no unit", "20%-30 pp", 7, `"pp" is not a unit of share`},
	}
	for _, tt := range refused {
		t.Run(tt.name, func(t *testing.T) {
			_, err := measure.ParseShareRange(tt.in)
			checkSyntaxError(t, tt.in, err, tt.offset, tt.says)
		})
	}
}

// How suppliers print the share of a part.
var printedShares = []struct {
	in        string
	low, high measure.Share
}{
	{"5%", 5 * percent, 5 * percent},
	{"20-30%", 20 * percent, 30 * percent},
	{"<1%", 0, percent},
	{"< 0.1 %", 0, percent / 10},
	{"≤5%", 0, 5 * percent},
	{"<= 5 %", 0, 5 * percent},
	{"below 1%", 0, percent},
	{"Under 1 per cent", 0, percent},
	{"less than 2.5%", 0, 5 * percent / 2},
	{"up to 5%", 0, 5 * percent},
	{" at  most 5%", 0, 5 * percent},
	{"max. 5%", 0, 5 * percent},
	{"≤0%", 0, 0},
	{">50%", 50 * percent, measure.Whole},
	{"≥50%", 50 * percent, measure.Whole},
	{">= 50%", 50 * percent, measure.Whole},
	{"above 50%", 50 * percent, measure.Whole},
	{"over 50%", 50 * percent, measure.Whole},
	{"At least 50%", 50 * percent, measure.Whole},
	{"min. 98%", 98 * percent, measure.Whole},
	{"≥100%", measure.Whole, measure.Whole},
	{">0%", 0, measure.Whole},
	{"≥10-<20%", 10 * percent, 20 * percent},
	{">= 10 % - < 20 %", 10 * percent, 20 * percent},
	{">1–5%", percent, 5 * percent},
	{"1-≤5%", percent, 5 * percent},
	{"5% to 10%", 5 * percent, 10 * percent},
	{"5 to 10%", 5 * percent, 10 * percent},
	{"between 5 and 10%", 5 * percent, 10 * percent},
	{"Between 5 % and 10 %", 5 * percent, 10 * percent},
	{"from 5 to 10%", 5 * percent, 10 * percent},
	{" 0.5  TO  1.25 %", percent / 2, 5 * percent / 4},
	{"traces", 0, percent},
	{"Trace", 0, percent},
	{"below 120%", 0, 120 * percent}, // whoever asks says what bounds it has
	{"above 120%", 120 * percent, 120 * percent},
}

func TestShareAsPrinted(t *testing.T) {
	for _, tt := range printedShares {
		want := measure.ShareRange{Low: tt.low, High: tt.high}
		if got, err := measure.ParseShareRange(tt.in); err != nil || got != want {
			t.Errorf("%q: got %v, %v, want %v", tt.in, got, err, want)
		}
		if got, err := measure.ParsePartShare(tt.in); err != nil || got != (measure.PartShare{ShareRange: want}) {
			t.Errorf("%q of a part: got %v, %v, want %v", tt.in, got, err, want)
		}
	}
}

var refusedShares = []struct {
	in     string
	offset int
	says   string
}{
	{"<1", 2, "has no unit"},
	{"below", 5, "there is no number"},
	{"<", 1, "there is no number"},
	{"<-1%", 1, "never negative"},
	{"up to -1%", 6, "never negative"},
	{"<5-10%", 0, `"<" stands before a range`},
	{"up to 5-10%", 0, `"up to" stands before a range`},
	{"at least 5-10%", 0, `"at least" stands before a range`},
	{"5->10%", 2, `">" stands before the high bound`},
	{"5-traces", 2, `"traces" stands before the high bound`},
	{"≥20-<10%", 3, "runs downwards"},
	{"<0%", 0, `no share is "<0%"`},
	{"above 100%", 0, `no share is "above 100%"`},
	{"traces 1%", 7, `nothing can follow "traces"`},
	{"belwo 1%", 0, `"belwo 1%" does not begin with a number or a word`},
	{"some", 0, `"some" does not begin`},
	{"~5%", 0, `how far off "~5%" may be is not said`},
	{"ca. 30 %", 0, `how far off "ca. 30 %" may be is not said`},
	{"approx. 30%", 0, `how far off "approx. 30%" may be is not said`},
	{"about 30%", 0, "is not said"},
	{"~ 30%", 0, "is not said"},
	{"about 25-35%", 0, "is not said"},
	{"from 5 and 10%", 0, "does not begin with a number"},
	{"between 10 and 5%", 11, "runs downwards"},
	{"5 to 10", 7, "has no unit"},
	{"5,5 to 10%", 1, "a comma"},
	{".nan", 0, "does not begin with a number"},
	{".inf%", 0, "does not begin with a number"},
	{"5 and 10%", 2, "is not a unit of share"},
	{"between 5 to 10%", 0, "does not begin with a number"},
	{"10% to 5%", 4, "runs downwards"},
	{"=5%", 0, "does not begin with a number"},
	{"<>5%", 0, "does not begin with a number"},
	{"< 0,1 %", 3, "a comma"},
	{"rest 5%", 0, `"rest 5%" is no share by itself`},
	{"5% too 6%", 1, "is not a unit of share"},
	{"", 0, "there is no number"},
	{".5%", 0, "a digit is missing"},
}

func TestRefusedShares(t *testing.T) {
	for _, tt := range refusedShares {
		t.Run(tt.in, func(t *testing.T) {
			_, err := measure.ParseShareRange(tt.in)
			checkSyntaxError(t, tt.in, err, tt.offset, tt.says)
			_, err = measure.ParsePartShare(tt.in)
			checkSyntaxError(t, tt.in, err, tt.offset, tt.says)
		})
	}
}

func TestShareOfTheRest(t *testing.T) {
	for _, in := range []string{"rest", "Remainder", "balance", "q.s.", "qs", " Q.S. ", "to 100%", "To 100 %", "ad 100%", "q.s. to 100%", "q.s. ad 100.0 %", "balance to 100%"} {
		got, err := measure.ParsePartShare(in)
		if want := (measure.PartShare{ShareRange: measure.ShareRange{High: measure.Whole}, Rest: true}); err != nil || got != want {
			t.Errorf("%q: got %v, %v, want %v", in, got, err, want)
		}
		_, err = measure.ParseShareRange(in)
		checkSyntaxError(t, in, err, 0, "is no share by itself")
	}
}

// Only a whole is filled up, and "up to" is meant where it is not.
func TestFillingUpToLess(t *testing.T) {
	for _, tt := range []struct {
		in     string
		offset int
		says   string
	}{
		{"to 5%", 3, `"to" fills up all`},
		{"q.s. to 99.9%", 8, `"q.s. to" fills up all`},
		{"to 120%", 3, "which is 100 %"},
		{"to", 2, "there is no number"},
		{"q.s. to 100", 11, "has no unit"},
		{"to 100% or so", 6, "is not a unit of share"},
		{"q.s. 100%", 0, `"q.s. 100%" is no share by itself`},
	} {
		_, err := measure.ParsePartShare(tt.in)
		checkSyntaxError(t, tt.in, err, tt.offset, tt.says)
	}
}

// Each word is one with which a share is read.
func TestShareWords(t *testing.T) {
	words := measure.ShareWords()
	if len(words) < 20 {
		t.Fatalf("only %q", words)
	}
	for _, w := range words {
		_, alone := measure.ParsePartShare(w)
		number := " 5%"
		if strings.HasSuffix(w, "to") || strings.HasSuffix(w, "ad") {
			number = " 100%" // also "up to"
		}
		_, before := measure.ParsePartShare(w + number)
		if alone != nil && strings.Contains(alone.Error(), "how far off") {
			continue // known, and refused with its reason
		}
		if (alone == nil) == (before == nil) {
			t.Errorf("%q: alone %v, before a share %v", w, alone, before)
		}
	}
}
