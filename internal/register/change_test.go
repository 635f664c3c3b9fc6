package register_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/register"
	"saponym/internal/source"
)

// entry makes an entry of keys and values.
func entry(list string, keysAndValues ...string) register.Entry {
	e := register.Entry{List: list}
	for i := 0; i < len(keysAndValues); i += 2 {
		e.Field(keysAndValues[i], keysAndValues[i+1])
	}
	return e
}

const (
	recordFile = "batches/2026/26330-01-S.yaml"
	today      = "2027-03-01"
)

// add adds entries to a record that holds a text, and gives it with its new text.
func add(t fataler, text string, entries ...register.Entry) (formula.Batch, string, error) {
	t.Helper()
	dir, err := os.MkdirTemp("", "register-")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	put(t, dir, recordFile, text)
	b, err := register.Add(dir, recordFile, on(t, today), entries...)
	now := get(t, dir, recordFile)
	if err != nil && now != text {
		t.Errorf("after %v the record was changed to\n%s", err, now)
	}
	return b, now, err
}

// added adds what is right.
func added(t fataler, text string, entries ...register.Entry) (formula.Batch, string) {
	t.Helper()
	b, now, err := add(t, text, entries...)
	if err != nil {
		t.Fatal(err)
	}
	if read := asBatch(t, recordFile, now); fmt.Sprint(read) != fmt.Sprint(b) {
		t.Errorf("it is said to be\n%v\nand reads as\n%v", b, read)
	}
	return b, now
}

// A record as people write them: keys in an order of their own, remarks in odd places, lists
// of several styles.
const oddRecord = `# the batch with the   odd spacing

made:   2026-11-26   # a Thursday
events:   # what happened
  - {date: 2027-01-10,what: sold,   count: 2, "who": 'Ada & sons'}   # paid


  # between two

  - date:   2027-01-12
    what: note
    note: >-
      two
      lines
formula: clover-oat
"by": Mirel
code: 26330-01-S
cut: { date: 2026-11-27, bar: 12,   ends: 1 }   # small ends
packed: [ {date: 2027-01-08, count: 12} ]
weighed:
- {material: olive, weight: 400.1 g, lot: "0127"}

# the end, without a line break`

func TestAddChangesNothingElse(t *testing.T) {
	for _, tt := range []struct {
		entry register.Entry
		want  string // what stands between what was there
	}{
		{entry("events", "date", "2027-01-20", "what", "given", "count", "1"), "- {date: 2027-01-20, what: given, count: 1}"},
		{entry("packed", "date", "2027-01-09", "count", "0"), "{date: 2027-01-09, count: 0}"},
		{entry("weighed", "material", "water", "weight", "150 g"), "- {material: water, weight: 150 g}"},
		{entry("runs", "date", "2027-01-09", "printed", "14"), "runs:\n  - {date: 2027-01-09, printed: 14}"},
		{entry("weighings", "date", "2027-01-09"), "weighings:\n  - {date: 2027-01-09}"},
	} {
		for _, ending := range []string{"\n", "\r\n"} {
			before := strings.ReplaceAll(oddRecord, "\n", ending)
			_, after := added(t, before, tt.entry)
			head := 0
			for head < len(before) && head < len(after) && before[head] == after[head] {
				head++
			}
			tail := len(before) - head
			if !strings.HasSuffix(after, before[head:]) || head+tail > len(after) {
				t.Errorf("%v: something else was changed:\n%s", tt.entry, after)
				continue
			}
			if !strings.Contains(after, strings.ReplaceAll(tt.want, "\n", ending)) {
				t.Errorf("%v: got\n%s\nwhich does not have\n%s", tt.entry, after, tt.want)
			}
			if ending == "\r\n" && strings.Count(after, "\n") != strings.Count(after, "\r\n") {
				t.Errorf("%v: lines end in two ways:\n%q", tt.entry, after)
			}
		}
	}
}

// A second cutting makes a list of the first one, with every remark that stands there.
func TestSecondCuttingKeepsWhatIsThere(t *testing.T) {
	b, after := added(t, oddRecord, entry("cut", "date", "2026-11-28", "bar", "1"))
	if want := "cut: [{ date: 2026-11-27, bar: 12,   ends: 1 }, {date: 2026-11-28, bar: 1}]   # small ends\n"; !strings.Contains(after, want) || b.Bars("bar") != 13 {
		t.Errorf("got\n%s\nwhich does not have\n%s", after, want)
	}
	if rest := strings.Replace(strings.Replace(after, "cut: [{", "cut: {", 1), ", {date: 2026-11-28, bar: 1}]", "", 1); rest != oddRecord {
		t.Errorf("something else was changed:\n%s", after)
	}
}

// The empty lists of a new record grow line by line, so that a comparison of two versions
// shows one line for one thing that happened.
func TestListsGrowLineByLine(t *testing.T) {
	dir := t.TempDir()
	file := begin(t, dir, codes(t, ""), startOfBars(t)).File
	for _, e := range []register.Entry{
		entry("weighed", "material", "olive", "weight", "400 g", "lot", "#4411"),
		entry("weighed", "material", "water", "weight", "150 g"),
		entry("cut", "date", "2026-11-27", "bar", "12"),
		entry("weighings", "date", "2026-12-04", "scale", "kitchen"),
		entry("weighings", "date", "2026-12-11", "scale", "kitchen"),
		entry("packed", "date", "2027-01-08", "count", "6"),
		entry("packed", "date", "2027-01-09", "count", "6"),
		entry("runs", "date", "2027-01-08", "printed", "14"),
		entry("events", "date", "2027-01-10", "what", "sold", "count", "2"),
		entry("events", "date", "2027-01-11", "what", "sold", "count", "1", "who", "market, Saturday"),
		entry("cut", "date", "2026-11-28", "bar", "2", "ends", "3"),
	} {
		if _, err := register.Add(dir, file, on(t, today), e); err != nil {
			t.Fatal(err)
		}
	}
	const want = `code: 26330-01-S
formula: clover-oat
makes: bars
made: 2026-11-26
by: Mirel
place: "back room: the one with the sink"
weighed:
  - {material: olive, weight: 400 g, lot: "#4411"}
  - {material: water, weight: 150 g}
cut: [{date: 2026-11-27, bar: 12}, {date: 2026-11-28, bar: 2, ends: 3}]
weighings:
  - {date: 2026-12-04, scale: kitchen}
  - {date: 2026-12-11, scale: kitchen}
packed:
  - {date: 2027-01-08, count: 6}
  - {date: 2027-01-09, count: 6}
runs:
  - {date: 2027-01-08, printed: 14}
events:
  - {date: 2027-01-10, what: sold, count: 2}
  - {date: 2027-01-11, what: sold, count: 1, who: "market, Saturday"}
`
	if got := get(t, dir, file); got != want {
		t.Errorf("got\n%s", got)
	}
}

// Several entries at a time are all there or none.
func TestAddSeveral(t *testing.T) {
	const text = "code: 26330-01-S\nformula: clover-oat\nmade: 2026-11-26\ncut: {date: 2026-11-27, bar: 12}\n"
	b, _ := added(t, text, entry("packed", "date", "2027-01-08", "count", "6"), entry("packed", "date", "2027-01-08", "count", "6"), entry("events", "date", "2027-01-09", "what", "sold", "count", "2"))
	if len(b.Packed) != 2 || len(b.Events) != 1 {
		t.Errorf("%+v", b)
	}
	for _, cut := range []string{"", "cut: {}\n", "cut:\n", "cut: []\n"} {
		b, now := added(t, strings.TrimSuffix(text, "cut: {date: 2026-11-27, bar: 12}\n")+cut,
			entry("cut", "date", "2026-11-27", "bar", "12"), entry("cut", "date", "2026-11-28", "bar", "2"), entry("cut", "date", "2026-11-29", "guest", "2"))
		if len(b.Cuts) != 3 || b.Bars("bar") != 14 || b.Bars("guest") != 2 {
			t.Errorf("%q: %+v in\n%s", cut, b.Cuts, now)
		}
	}
	_, _, err := add(t, text, entry("packed", "date", "2027-01-08", "count", "6"), entry("events", "date", "2027-01-09", "what", "sold", "count", "13"))
	refused(t, err)
}

// A cutting stands as a mapping while it is the only one.
func TestCuttings(t *testing.T) {
	const text = "code: 26330-01-S\nformula: clover-oat\nmade: 2026-11-26\n"
	first, second := entry("cut", "date", "2026-11-27", "bar", "12"), entry("cut", "date", "2026-11-28", "guest", "5", "ends", "1")
	for _, empty := range []string{"", "cut: {}\n"} {
		b, now := added(t, text+empty, first)
		if b.Bars("bar") != 12 || strings.Contains(now, "- {date") || len(b.Cuts) != 1 || b.Cuts[0].ID != "c1" {
			t.Errorf("%q: %+v in\n%s", empty, b.Cuts, now)
		}
		b, now = added(t, now, second)
		if b.Bars("bar") != 12 || b.Bars("guest") != 5 || len(b.Cuts) != 2 || b.Cuts[1].ID != "c2" || b.Cuts[1].Ends.V != 1 {
			t.Errorf("%q: %+v in\n%s", empty, b.Cuts, now)
		}
		b, _ = added(t, now, entry("cut", "date", "2026-11-29", "bar", "11", "corrects", "c1"))
		if b.Bars("bar") != 11 || len(b.Cuts) != 2 || !slices.Equal(b.Corrected, []string{"c1"}) {
			t.Errorf("%q: %+v", empty, b.Cuts)
		}
	}
}

// A lot is a text, whatever it looks like to YAML, and so is whatever else a maker types.
func TestTextsAreKeptAsTyped(t *testing.T) {
	const text = "code: 26330-01-S\nformula: clover-oat\nmade: 2026-11-26\nweighed: []\nevents: []\n"
	for _, typed := range []string{
		"#4411", "0127", "12E4", "true", "no", "null", "~", "a: b", "ä, b", "[x]", "{x}", "- x", "'x'", `"x"`, `a"b`, `a\b`, "*x", "&x", "!x", "|", ">", "%x", "@x", "`x`",
		"2026-11-26", "1_000", "0x1f", ".5", "1:30", "a #b", "a:", ": a", "?", "---", "...", "<<", "=", "香-7", "x , y", "x]", "}x",
	} {
		b, now := added(t, text, entry("weighed", "material", "olive", "lot", typed, "supplier", typed), entry("events", "date", "2027-01-09", "what", "note", "note", typed, "who", typed))
		if w := b.Weighed[0]; w.Lot.V != typed || w.Supplier.V != typed || b.Events[0].Note.V != typed || b.Events[0].Who.V != typed {
			t.Errorf("%q came back as %q in\n%s", typed, w.Lot.V, now)
		}
	}
}

const sound = `code: 26330-01-S
formula: clover-oat
made: 2026-11-26
weighed:
  - {material: olive, weight: 400 g, lot: A1}
cut: {date: 2026-11-27, bar: 12, guest-bar: 5}
weighings:
  - {date: 2026-12-04, cut: bar, bars: {A: 100 g}}
packed:
  - {date: 2027-01-08, cut: bar, count: 10}
runs:
  - {date: 2027-01-08, cut: bar, printed: 14, used: 10}
events:
  - {date: 2027-01-10, what: sold, cut: bar, count: 2}
`

func TestRefusals(t *testing.T) {
	for name, tt := range map[string]struct {
		entry        register.Entry
		rule         string
		at           string // the text on its line from where the finding is
		says, remedy string
	}{
		"more bars than on hand":   {entry("events", "date", "2027-01-11", "what", "sold", "cut", "bar", "count", "11"), register.RuleCount, "11}", "11 bars cannot be sold: 10 are on hand on 2027-01-11", "correct an entry"},
		"sold before":              {entry("events", "date", "2027-01-09", "what", "sold", "cut", "bar", "count", "11"), register.RuleCount, "2}", "2 bars cannot be sold: 1 are on hand on 2027-01-10", "correct an entry"},
		"an unknown cut":           {entry("events", "date", "2027-01-11", "what", "sold", "cut", "guest-baar", "count", "1"), register.RuleNoCut, "guest-baar, count: 1}", `was not cut into "guest-baar"`, `did you mean "guest-bar"?`},
		"a cut like none":          {entry("packed", "date", "2027-01-11", "cut", "hexagon", "count", "1"), register.RuleNoCut, "hexagon, count: 1}", `was not cut into "hexagon"`, "name one of bar, guest-bar"},
		"no cut of several":        {entry("events", "date", "2027-01-11", "what", "lost", "count", "1"), register.RuleNoCut, "2027-01-11, what: lost, count: 1}", "has several cuts", "name one of bar, guest-bar"},
		"a day to come":            {entry("events", "date", "2027-03-02", "what", "note", "note", "x"), register.RuleFuture, "2027-03-02, what: note, note: x}", "still to come: today is 2027-03-01", "slip in the day"},
		"weighing to come":         {entry("weighings", "date", "2027-03-02"), register.RuleFuture, "2027-03-02}", "bars were weighed on 2027-03-02", "slip in the day"},
		"packing to come":          {entry("packed", "date", "2027-03-02", "cut", "bar", "count", "1"), register.RuleFuture, "2027-03-02, cut: bar, count: 1}", "bars were packed on 2027-03-02", "slip in the day"},
		"printing to come":         {entry("runs", "date", "2027-03-02"), register.RuleFuture, "2027-03-02}", "labels were printed on 2027-03-02", "slip in the day"},
		"cutting to come":          {entry("cut", "date", "2027-03-02", "bar", "1"), register.RuleFuture, "2027-03-02, bar: 1}]", "the batch was cut on 2027-03-02", "slip in the day"},
		"a lot to come":            {entry("weighed", "material", "olive", "received", "2027-03-02"), register.RuleFuture, "2027-03-02}", `a lot of "olive" came in on 2027-03-02`, "slip in the day"},
		"before the making":        {entry("events", "date", "2026-11-25", "what", "note", "note", "x"), formula.RuleDayOrder, "2026-11-25, what: note, note: x}", "before it was made on 2026-11-26", "slip"},
		"packed before the cut":    {entry("packed", "date", "2026-11-26", "cut", "bar", "count", "1"), formula.RuleDayOrder, "2026-11-26, cut: bar, count: 1}", "before they were cut on 2026-11-27", "slip"},
		"more packed than cut":     {entry("packed", "date", "2027-01-11", "cut", "bar", "count", "3"), register.RuleCount, "3}", "13 bars were packed, and there were 12", "correct an entry"},
		"more labels than printed": {entry("runs", "date", "2027-01-08", "printed", "3", "used", "1", "spoiled", "1", "voided", "2"), register.RuleCount, "3, used: 1, spoiled: 1, voided: 2}", "of 3 labels that were printed 4 are accounted for", "correct the run"},
		"corrects nothing":         {entry("events", "date", "2027-01-10", "what", "sold", "cut", "bar", "count", "1", "corrects", "e7"), formula.RuleCorrects, "e7}", `no entry "e7" before`, "e1"},
		"corrects another list":    {entry("packed", "date", "2027-01-10", "cut", "bar", "count", "1", "corrects", "e1"), formula.RuleCorrects, "e1}", `no entry "e1" before`, "p1"},
		"corrects itself":          {entry("events", "date", "2027-01-10", "what", "sold", "cut", "bar", "count", "1", "corrects", "e2"), formula.RuleCorrects, "e2}", `no entry "e2" before`, "e1"},
		"no count":                 {entry("events", "date", "2027-01-10", "what", "sold", "cut", "bar"), register.RuleCount, "sold, cut: bar}", "how many bars were sold", "write the count"},
		"no such event":            {entry("events", "date", "2027-01-10", "what", "solde"), source.RuleWord, "solde}", `cannot be "solde"`, `did you mean "sold"`},
		"no such key":              {entry("events", "date", "2027-01-10", "what", "note", "notes", "x"), source.RuleUnknown, "notes: x}", "notes", "note"},
		"no such weight":           {entry("weighed", "material", "olive", "weight", "400"), source.RuleAmount, "}", "no unit", "450 g"},
		"no such day":              {entry("events", "date", "2027-02-29", "what", "note"), source.RuleDay, "2027-02-29, what: note}", "2027-02-29", "2026-"},
	} {
		_, _, err := add(t, sound, tt.entry)
		f := refused(t, err)[0]
		if f.Rule != tt.rule || !strings.Contains(f.Message, tt.says) || !strings.Contains(f.Remedy, tt.remedy) || f.At.File != recordFile {
			t.Errorf("%s: got %+v", name, f)
		}
		changed, err := source.Apply(recordFile, []byte(sound), edits(tt.entry)...)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got := lineFrom(string(changed), f.At.Line, f.At.Col); got != tt.at {
			t.Errorf("%s: it is at %q, want %q", name, got, tt.at)
		}
	}
}

// edits are those that an entry of these tests makes.
func edits(e register.Entry) []source.Edit {
	value := source.NewMapping(e.Fields...)
	if e.List == "cut" {
		return []source.Edit{source.Wrap{Path: "cut", Value: value}}
	}
	return []source.Edit{source.Append{Path: e.List, Value: value}}
}

func lineFrom(text string, line, col int) string {
	lines := strings.Split(text, "\n")
	if line < 1 || line > len(lines) || col < 1 || col > len(lines[line-1]) {
		return fmt.Sprintf("no place %d:%d", line, col)
	}
	return lines[line-1][col-1:]
}

// A file that is no document is told as such and stays.
func TestNoDocument(t *testing.T) {
	for _, text := range []string{"", "\n", "code: [", "\x00\x01", "a: b: c\n", "- x\n", "\xff\xfe"} {
		_, _, err := add(t, text, entry("events", "date", "2027-01-10", "what", "note", "note", "x"))
		if none := (*source.NoDocument)(nil); !errors.As(err, &none) {
			t.Errorf("%q: got %v", text, err)
		}
	}
	if _, err := register.Add(t.TempDir(), recordFile, on(t, today)); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
}

// What was wrong before does not keep one from adding something right, and is no excuse for
// adding the same wrong thing again.
func TestRecordsThatWereWrong(t *testing.T) {
	wrong := sound + "  - {date: 2027-01-12, what: sold, cut: bar, count: 40}\n  - {date: 2027-01-12, what: sold, cut: baar, count: 1}\n  - {date: 2029-01-01, what: note, note: x}\n"
	right := entry("events", "date", "2027-01-13", "what", "sold", "cut", "bar", "count", "10")
	b, now, err := add(t, wrong, right)
	if err != nil || len(b.Events) != 5 || now != wrong+"  - {date: 2027-01-13, what: sold, cut: bar, count: 10}\n" {
		t.Errorf("%v, %s", err, now)
	}
	for _, again := range []register.Entry{
		entry("events", "date", "2027-01-12", "what", "sold", "cut", "bar", "count", "40"),
		entry("events", "date", "2027-01-12", "what", "sold", "cut", "baar", "count", "1"),
		entry("events", "date", "2029-01-01", "what", "note", "note", "y"),
	} {
		if _, _, err := add(t, wrong, again); err == nil {
			t.Errorf("%v was added, which is wrong", again)
		}
	}
	// and it is mended by a correction
	b, _, err = add(t, wrong, entry("events", "date", "2027-01-12", "what", "sold", "cut", "bar", "count", "4", "corrects", "e2"))
	if err != nil || register.StockOf(b)[0].OnHand != 6 {
		t.Errorf("%v, %+v", err, register.StockOf(b))
	}
}

// What is a warning, and no day to come, is written: the scale says what it says.
func TestWarningsAreWritten(t *testing.T) {
	old := entry("weighed", "material", "coconut", "weight", "200 g", "lot", "C1", "expires", "2026-11-01")
	b, _ := added(t, sound, old)
	if found := register.Check(b, on(t, today)); len(found) == 0 || !slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == register.RuleExpired }) {
		t.Errorf("%v", found)
	}
}

// A corrected entry does not count any more. Entries go by a letter and their place, and a
// correction can be corrected.
func TestCorrections(t *testing.T) {
	text := sound
	for _, tt := range []struct {
		entry register.Entry
		now   string
	}{
		{entry("events", "date", "2027-01-10", "what", "sold", "cut", "bar", "count", "3", "corrects", "e1"), "sold 3, corrected e1"},
		{entry("events", "date", "2027-01-10", "what", "sold", "cut", "bar", "count", "5", "corrects", "e2"), "sold 5, corrected e1 e2"},
		{entry("packed", "date", "2027-01-08", "cut", "bar", "count", "9", "corrects", "p1"), "packed 9, corrected e1 e2 p1"},
		{entry("weighed", "material", "olive", "weight", "410 g", "lot", "A2", "corrects", "w1"), "weighed 410 g of A2, corrected e1 e2 p1 w1"},
		{entry("weighings", "date", "2026-12-05", "corrects", "g1"), "weighed again 2026-12-05, corrected e1 e2 g1 p1 w1"},
		{entry("runs", "date", "2027-01-08", "printed", "15", "corrects", "r1"), "printed 15, corrected e1 e2 g1 p1 r1 w1"},
		{entry("cut", "date", "2026-11-27", "bar", "11", "corrects", "c1"), "made 11, corrected c1 e1 e2 g1 p1 r1 w1"},
		{entry("events", "date", "2027-01-11", "what", "withdrawn", "corrects", "e3"), "sold 0, corrected c1 e1 e2 e3 g1 p1 r1 w1"},
		{entry("events", "date", "2027-01-11", "what", "withdrawn", "corrects", "p2"), "packed 0, corrected c1 e1 e2 e3 g1 p1 p2 r1 w1"},
	} {
		b, after := added(t, text, tt.entry)
		s := register.Bars(register.StockOf(b))
		var all []string
		say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
		say("sold %d", s.Sold)
		say("packed %d", s.Packed)
		say("made %d", s.Made)
		for _, w := range b.Weighed {
			say("weighed %v g of %s", w.Weight.V/measure.Gram, w.Lot.V)
		}
		for _, w := range b.Weighings {
			say("weighed again %s", w.Date.V)
		}
		for _, r := range b.Runs {
			say("printed %d", r.Printed.V)
		}
		what, corrected, _ := strings.Cut(tt.now, ", corrected ")
		if !slices.Contains(all, what) || strings.Join(b.Corrected, " ") != corrected {
			t.Errorf("%s: got %q, corrected %q", tt.now, all, b.Corrected)
		}
		text = after
	}
	_, _, err := add(t, text, entry("events", "date", "2027-01-10", "what", "sold", "cut", "bar", "count", "1", "corrects", "e1"))
	if f := refused(t, err)[0]; f.Rule != formula.RuleCorrects || !strings.Contains(f.Message, "was corrected before") {
		t.Errorf("%+v", f)
	}
}

// The record is handed over as it stands under the lock, and a change that is refused by
// whoever asks for it changes nothing.
func TestChange(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, recordFile, sound)
	no := errors.New("no")
	_, err := register.Change(dir, recordFile, on(t, today), func(b formula.Batch) ([]source.Edit, error) {
		if len(b.Events) != 1 || b.File != recordFile {
			t.Errorf("%+v", b)
		}
		return []source.Edit{source.Remove{Path: "events"}}, no
	})
	if !errors.Is(err, no) || get(t, dir, recordFile) != sound {
		t.Errorf("%v", err)
	}
	_, err = register.Change(dir, recordFile, on(t, today), func(formula.Batch) ([]source.Edit, error) {
		return []source.Edit{source.Set{Path: "formula", Old: "something else", New: "rose"}}, nil
	})
	if conflict := (*source.Conflict)(nil); !errors.As(err, &conflict) || get(t, dir, recordFile) != sound {
		t.Errorf("%v", err)
	}
	b, err := register.Change(dir, recordFile, on(t, today), func(formula.Batch) ([]source.Edit, error) {
		return []source.Edit{source.Set{Path: "packed[0].count", Old: "10", New: "11"}}, nil
	})
	if err != nil || b.Packed[0].Count.V != 11 || get(t, dir, recordFile) != strings.Replace(sound, "count: 10", "count: 11", 1) {
		t.Errorf("%v, %+v", err, b.Packed)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "batches/2026/.*")); len(left) > 0 {
		t.Errorf("%q were left", left)
	}
	put(t, dir, recordFile, "# by hand\n")
	if _, err := register.Add(dir, recordFile, on(t, today), entry("events", "date", "2027-01-10", "what", "note")); err == nil {
		t.Error("what is no record was added to")
	}
}
