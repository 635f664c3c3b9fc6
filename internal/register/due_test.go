package register_test

import (
	"fmt"
	"strings"
	"testing"

	"saponym/internal/register"
)

// When a batch wants something next is common practice, without a source: cut the day after,
// weigh every week from the cut until it is packed, pack after four weeks.
func TestDues(t *testing.T) {
	const (
		weighed = "weighed:\n  - {material: olive, weight: 400 g, lot: A1}\n  - {material: Water, weight: 120 g}\n"
		cut     = "cut: {date: 2026-11-27, bar: 12}\n"
	)
	for _, tt := range []struct{ name, text, today, want string }{
		{"on the day it was made", weighed, "2026-11-26", ""},
		{"the next day", weighed, "2026-11-27", "cut 2026-11-27"},
		{"long after", weighed, "2027-11-27", "cut 2026-11-27"},
		{"before it was made", "", "2026-11-25", ""},
		{"nothing is weighed", "", "2026-11-26", "record 2026-11-26"},
		{"a lot is open", "weighed:\n  - {material: olive, weight: 400 g}\n", "2026-11-26", "record 2026-11-26"},
		{"a weight is open", "weighed:\n  - {material: olive, lot: A1}\n", "2026-11-26", "record 2026-11-26"},
		{"the weight of water is open", "weighed:\n  - {material: water}\n", "2026-11-26", "record 2026-11-26"},
		{"one of two is open", weighed + "  - {material: coconut, weight: 1 g}\n", "2026-11-27", "record 2026-11-26, cut 2026-11-27"},
		{"own bars have no lot", "weighed:\n  - {batch: 26001-01-A}\n", "2026-11-26", ""},
		{"an open line that was corrected", "weighed:\n  - {material: olive, weight: 400 g}\n  - {material: olive, weight: 400 g, lot: A1, corrects: w1}\n", "2026-11-26", ""},
		{"cut", weighed + cut, "2026-11-26", ""},
		{"weigh it at once", weighed + cut, "2026-11-27", "weigh 2026-11-27"},
		{"weighed", weighed + cut + "weighings:\n  - {date: 2026-11-28, bars: {A: 100 g}}\n", "2026-12-04", ""},
		{"a week later", weighed + cut + "weighings:\n  - {date: 2026-11-28, bars: {A: 100 g}}\n", "2026-12-05", "weigh 2026-12-05"},
		{"the last weighing counts", weighed + cut + "weighings:\n  - {date: 2026-12-05, bars: {A: 99 g}}\n  - {date: 2026-11-28, bars: {A: 100 g}}\n", "2026-12-11", ""},
		{"the last weighing counts, as it stands", weighed + cut + "weighings:\n  - {date: 2026-11-28, bars: {A: 100 g}}\n  - {date: 2026-12-05, bars: {A: 99 g}}\n", "2026-12-12", "weigh 2026-12-12"},
		{"cured, but for a day", weighed + cut, "2026-12-24", "weigh 2026-11-27"},
		{"cured", weighed + cut, "2026-12-25", "weigh 2026-11-27, pack 2026-12-25"},
		{"the first cut counts", weighed + "cut: [{date: 2026-12-01, guest: 2}, {date: 2026-11-27, bar: 12}]\n", "2026-12-25", "weigh 2026-11-27, pack 2026-12-25"},
		{"packed in part", weighed + cut + "packed:\n  - {date: 2026-12-26, count: 11}\n", "2026-12-26", "weigh 2026-11-27, pack 2026-12-25"},
		{"packed", weighed + cut + "packed:\n  - {date: 2026-12-26, count: 6}\n  - {date: 2026-12-27, count: 6}\n", "2027-12-26", ""},
		{"what is left is packed", weighed + cut + "packed:\n  - {date: 2026-12-26, count: 9}\nevents:\n  - {date: 2026-12-01, what: lost, count: 2}\n  - {date: 2026-12-01, what: destroyed, count: 1}\n", "2026-12-26", ""},
		{"what is held back is there", weighed + cut + "packed:\n  - {date: 2026-12-26, count: 9}\nevents:\n  - {date: 2026-12-01, what: withheld, count: 3}\n", "2026-12-26", "weigh 2026-11-27, pack 2026-12-25"},
		{"worked again whole", weighed + cut + "events:\n  - {date: 2026-12-01, what: reworked}\n", "2027-12-26", ""},
		{"destroyed whole", weighed + cut + "events:\n  - {date: 2026-12-01, what: destroyed}\n", "2027-12-26", ""},
		{"the loaf was destroyed", weighed + "events:\n  - {date: 2026-11-26, what: destroyed}\n", "2027-12-26", ""},
		{"the record of what was destroyed", "events:\n  - {date: 2026-11-26, what: destroyed}\n", "2027-12-26", "record 2026-11-26"},
		{"some destroyed", weighed + cut + "events:\n  - {date: 2026-12-01, what: destroyed, count: 3}\n", "2026-12-26", "weigh 2026-11-27, pack 2026-12-25"},
		{"one of two cuts destroyed", weighed + "cut: {date: 2026-11-27, bar: 12, guest: 3}\nevents:\n  - {date: 2026-12-01, what: destroyed, cut: guest}\n", "2026-12-26", "weigh 2026-11-27, pack 2026-12-25"},
		{"the only cut destroyed", weighed + cut + "events:\n  - {date: 2026-12-01, what: destroyed, cut: bar}\n", "2026-12-26", ""},
		{"a destruction that was withdrawn", weighed + cut + "events:\n  - {date: 2026-12-01, what: destroyed}\n  - {date: 2026-12-02, what: withdrawn, corrects: e1}\n", "2026-12-26", "weigh 2026-11-27, pack 2026-12-25"},
		{"a material", "makes: material\nmaterial: premix\n" + weighed, "2027-12-26", ""},
		{"the record of a material", "makes: material\nmaterial: premix\n", "2027-12-26", "record 2026-11-26"},
	} {
		text := head + tt.text
		if strings.HasPrefix(tt.text, "makes: material") {
			text = strings.Replace(text, "formula: clover-oat\n", "", 1)
		}
		var got []string
		for _, d := range register.ProgressOf(asBatch(t, recordFile, text)).Dues("26330-01-S", on(t, tt.today)) {
			if d.Code != "26330-01-S" {
				t.Errorf("%s: of %q", tt.name, d.Code)
			}
			got = append(got, fmt.Sprintf("%s %s", d.What, d.Since))
		}
		if all := strings.Join(got, ", "); all != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, all, tt.want)
		}
	}
	if d := (register.Progress{}).Dues("x", on(t, today)); len(d) > 0 {
		t.Errorf("what is no record wants %v", d)
	}
}
