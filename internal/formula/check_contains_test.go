package formula_test

import (
	"fmt"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

// A listTest is a supplier's list with the finding that it has to get.
type listTest struct {
	name    string
	in      string // "name: share", one a line of the list; a name alone has no share
	order   string
	want    string // "line RULE", or nothing
	message string
	remedy  string
}

// document writes the list as a material.
func (tt listTest) document() string {
	list := "contains:\n"
	for line := range strings.SplitSeq(tt.in, ", ") {
		name, share, has := strings.Cut(line, ": ")
		list += "  - {inci: " + name
		if has {
			list += fmt.Sprintf(", share: %q", share)
		}
		list += "}\n"
	}
	if tt.order != "" {
		list += "order: " + tt.order + "\n"
	}
	return list
}

var contradictions = []listTest{
	{name: "shares that make the whole", in: "a: 60-70%, b: 30%, c: up to 5%"},
	{name: "just the whole", in: "a: 60%, b: 40%, c: ≤0%"},
	{name: "too much, and not by the small ones", in: "a: 60-70%, b: <1%, c: at least 50%, d: 1%",
		want: "4 FORM-CONTAINS", message: `"a" with 60 to 70 % (line 2) and "c" with at least 50 %: that is at least 110 % together`, remedy: "together they are 100 %"},
	{name: "too much by one", in: "a: 99%, b: 0.5%, c: 0.7%",
		want: "4 FORM-CONTAINS", message: `"a" with 99 % (line 2), "b" with 0.5 % (line 3) and "c" with 0.7 %: that is at least 100.2 % together`},
	{name: "whole percents that something is missing in", in: "a: 50%, b: 20%, c: 10%, d: 10%, e: 8%",
		want: "6 FORM-CONTAINS", message: "at most 98 % together"},
	{name: "too little", in: "a: 40-50%, b: traces",
		want: "3 FORM-CONTAINS", message: `"a" with 40 to 50 % (line 2) and "b" with at most 1 %: the constituents are at most 51 % together`, remedy: `or write "rest"`},
	{name: "too little, but for the rest", in: "a: 40-50%, b: traces, c: rest"},
	{name: "one alone", in: "a: 40%", want: "2 FORM-CONTAINS", message: `"a" with 40 %: the constituents are at most 40 % together`},
	{name: "no order is said", in: "a: 10%, b: 90%"},

	{name: "a rise", in: "a: 60%, b: 10%, c, d: 20-30%, e", order: "descending",
		want: "5 FORM-RISING", message: `"d" with 20 to 30 % stands after "b" with 10 % (line 3), and the order is said to be descending`, remedy: `"order: unknown"`},
	{name: "ranges that may be in order", in: "a: 40-50%, b: 45-60%", order: "descending"},
	{name: "a ceiling that is too low", in: "a: <20%, b, c", order: "descending",
		want: "2 FORM-CONTAINS", message: `"a" with at most 20 %: the constituents are at most 60 % together, since those after are no more and the order is said to be descending`, remedy: `"order: unknown"`},
	{name: "a floor that is too high", in: "a, b, c: 35%", order: "descending",
		want: "4 FORM-CONTAINS", message: `"c" with 35 %: that is at least 105 % together, since those before are no less and the order is said to be descending`, remedy: `"order: unknown"`},

	{name: "a rise below 1 % under ingredient law", in: "a, b: 0.2%, c: 0.9%", order: "legal"},
	{name: "a rise over 1 % under ingredient law", in: "a, b: 0.2%, c, d: 2%", order: "legal",
		want: "5 FORM-RISING", message: `"d" with 2 % stands after "b" with 0.2 % (line 3), and in the order of ingredient law no share above 1 % rises`, remedy: `"order: unknown"`},
	{name: "a colourant stands anywhere", in: "a, b: 0.2%, CI 77891: 2%", order: "legal"},
	{name: "a colourant counts all the same", in: "CI 77891: 3%, a: 99%", order: "legal",
		want: "3 FORM-CONTAINS", message: `"a" with 99 % and "CI 77891" with 3 % (line 2): that is`},
	{name: "few at 1 % are not the whole", in: "a: <0.5%, b, c", order: "legal",
		want: "2 FORM-CONTAINS", message: `"a" with at most 0.5 %: the constituents are at most 2.5 % together, since those after are no more and in the order of ingredient law`},
}

var rounded = []listTest{
	{name: "too little by rounding", in: "a: 33.3%, b: 33.3%, c: 33.3%",
		want: "2 FORM-ROUNDED", message: `each is read as rounded to 0.1 %, that of "a" as 33.25 to 33.35 %`, remedy: "one more digit"},
	{name: "a rise by rounding", in: "a: 40.1%, b: 29.9%, c: 30%", order: "descending",
		want: "2 FORM-ROUNDED", message: "by no more than rounding"},
	{name: "too much by rounding beside what is small", in: "a: traces, b: 66.7%, c: 33.4%, d",
		want: "3 FORM-ROUNDED", message: `that of "b" as 66.65 to 66.75 %`},
	{name: "whole percents", in: "a: 50%, b: 30%, c: 19%",
		want: "2 FORM-ROUNDED", message: `each is read as rounded to 1 %, that of "a" as 49.5 to 50.5 %`, remedy: "nothing is missing"},
}

// A list that contradicts itself gets one finding, which names just the lines that
// cannot be true together. Where they contradict each other by no more than rounding, it
// warns.
func TestContradictions(t *testing.T) {
	for i, tt := range append(contradictions, rounded...) {
		level := finding.Stop
		if i >= len(contradictions) {
			level = finding.Warn
		}
		t.Run(tt.name, func(t *testing.T) {
			_, found, err := formula.ReadMaterial("materials/x.yaml", []byte(tt.document()))
			if err != nil {
				t.Fatal(err)
			}
			var all []string
			for _, f := range found {
				all = append(all, fmt.Sprintf("%d %s", f.At.Line, f.Rule))
				if f.Level != level || !strings.Contains(f.Message, tt.message) || !strings.Contains(f.Remedy, tt.remedy) {
					t.Errorf("%s\nwant %s; %s", f.Text(), tt.message, tt.remedy)
				}
			}
			if got := strings.Join(all, ", "); got != tt.want {
				t.Errorf("got %s, want %s, of\n%s", got, tt.want, tt.document())
			}
		})
	}
}

// Finished soap is listed by ingredient law unless something else is said, and what went
// into a pot need not be in that order. Another material in the list may be a colourant,
// which stands anywhere.
func TestOrderOfFinishedSoap(t *testing.T) {
	const pot = "kind: base\ncontains:\n  - {inci: Olea Europaea Fruit Oil, share: 70%}\n  - {inci: Sodium Hydroxide, share: 8%}\n  - {inci: Aqua}\n"
	for _, tt := range []struct{ in, want string }{
		{pot, "FORM-CONTAINS"},
		{pot + "order: unknown\n", ""},
		{strings.Replace(pot, "inci: Aqua", "material: blue", 1), ""},
	} {
		_, found, err := formula.ReadMaterial("materials/x.yaml", []byte(tt.in))
		got := ""
		for _, f := range found {
			got += f.Rule
		}
		if err != nil || got != tt.want {
			t.Errorf("%s\ngot %s, %v; want %s", tt.in, got, err, tt.want)
		}
	}
}

// Lists that no supplier makes are read to their ends, and said to be none.
func TestLongLists(t *testing.T) {
	list := func(n int, share, order string) string {
		var b strings.Builder
		b.WriteString("contains:\n")
		for i := range n {
			fmt.Fprintf(&b, "- {inci: a%d%s}\n", i, share)
		}
		return b.String() + "order: " + order + "\n"
	}
	for _, tt := range []struct {
		name, in, want string
	}{
		{"120", list(120, "", "descending"), ""},
		{"121", list(121, "", "descending"), "122:10 FORM-LONG"},
		{"500 that are too little", list(500, ", share: 0.19%", "descending"), "122:10 FORM-LONG, 501:23 FORM-CONTAINS"},
		{"10,000 that are too little", list(10_000, ", share: 0.009%", "unknown"), "122:10 FORM-LONG, 10001:24 FORM-CONTAINS"},
		{"10,000 that are too much", list(10_000, ", share: 1%", "legal"), "102:23 FORM-CONTAINS, 122:10 FORM-LONG"},
		{"10,000 that are right", list(10_000, ", share: 0.01%", "descending"), "122:10 FORM-LONG"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, found, err := formula.ReadMaterial("materials/x.yaml", []byte(tt.in))
			if err != nil {
				t.Fatal(err)
			}
			var all []string
			for _, f := range found {
				all = append(all, fmt.Sprintf("%d:%d %s", f.At.Line, f.At.Col, f.Rule))
				if want := map[string]finding.Level{formula.RuleLong: finding.Warn, formula.RuleContains: finding.Stop}[f.Rule]; f.Level != want || f.Remedy == "" || len(f.Message) > 600 {
					t.Error(f.Text())
				}
			}
			if got := strings.Join(all, ", "); got != tt.want {
				t.Errorf("got %s\nwant %s", got, tt.want)
			}
		})
	}
}
