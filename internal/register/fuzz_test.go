package register_test

import (
	"slices"
	"strings"
	"testing"
	"unicode"

	"saponym/internal/formula"
	"saponym/internal/register"
)

// FuzzCodes lets anything be typed for a code among any codes.
func FuzzCodes(f *testing.F) {
	for _, typed := range []string{"26330-01-S", "2633001s", "26330 01 5", "", "-", "ä", "\xff", "ſ", "26330‑01‑S", "26330-01", "İ", "٣٣"} {
		f.Add(typed, "26330-01-S 26330-02-Q OLD1 ä-1 İ7 \xff")
	}
	f.Fuzz(func(t *testing.T, typed, spaced string) {
		codes := strings.Split(spaced, " ")
		code, ok := register.Find(typed, codes)
		if ok != slices.Contains(codes, code) && (ok || code != "") {
			t.Fatalf("%q is found as %q, %t, among %q", typed, code, ok, codes)
		}
		if ok && code != typed && lettersAndDigits(code) != lettersAndDigits(typed) {
			t.Fatalf("%q is found as %q", typed, code)
		}
		if slices.Contains(codes, typed) && code != typed {
			t.Fatalf("%q is there, and %q is found", typed, code)
		}
		likely := register.Likely(typed, codes)
		if len(likely) > 5 || slices.ContainsFunc(likely, func(code string) bool { return !slices.Contains(codes, code) }) {
			t.Fatalf("%q is likely %q", typed, likely)
		}
	})
}

// No more codes are offered than one reads at a glance.
func TestLikelyAreFew(t *testing.T) {
	var all []string
	for i := range 9 {
		all = append(all, "26330-0"+string(rune('0'+i)))
	}
	if got := register.Likely("26330-0X", all); len(got) != 5 || got[0] != "26330-08" {
		t.Errorf("got %q", got)
	}
}

// lettersAndDigits gives those of a text, in capitals.
func lettersAndDigits(text string) string {
	var b strings.Builder
	for _, r := range text {
		if unicode.In(r, unicode.Letter, unicode.Nd) {
			b.WriteRune(unicode.ToUpper(r))
		}
	}
	return b.String()
}

// FuzzRecord takes any bytes for a live file.
func FuzzRecord(f *testing.F) {
	for _, text := range []string{
		sound, oddRecord, head, "", "code: [", "\x00",
		head + "weighed:\n  - {batch: 26330-01-S}\n  - {material: olive, lot: \"a\\x1cb\\x1dc\\x1ed\\0e\", weight: 1 g}\nparents: [26330-01-S, \"\\x1d\"]\n",
		head + "cut: {date: 2026-11-27, bar: 9223372036854775807, bar: 1}\npacked:\n  - {date: 2026-11-28, count: 9223372036854775807}\n  - {date: 2026-11-28, count: 9223372036854775807}\n",
		head + "events:\n  - {what: released}\n  - {what: tested}\n  - {date: x, what: sold, count: -1}\n",
		head + "weighed:\n  - {material: olive, weight: 1 g, lot: " + strings.Repeat("x", 40_000) + "}\n",
		head + "weighed:\n  - {batch: " + strings.Repeat("y", 40_000) + "}\n",
	} {
		f.Add([]byte(text))
	}
	dir, cache := f.TempDir(), f.TempDir()
	f.Fuzz(func(t *testing.T, data []byte) {
		put(t, dir, recordFile, string(data))
		x := openIndex(t, dir, cache)
		defer x.Close()
		kept := all(t, x)
		if len(kept) != 1 || kept[0].File != recordFile {
			t.Fatalf("%+v", kept)
		}
		if _, err := x.Faults(); err != nil {
			t.Fatal(err)
		}
		b, _, err := formula.ReadBatch(recordFile, data)
		if err != nil {
			return
		}
		register.Check(b, on(t, today))
		for _, s := range register.StockOf(b) {
			if balance(s) != 0 {
				t.Fatalf("%+v", s)
			}
		}
		back := register.Back(b, func(code string) (formula.Batch, bool) { return b, code == b.Code.V })
		if len(back) != len(b.Weighed) {
			t.Fatalf("%d lines lead back, of %d", len(back), len(b.Weighed))
		}
		if kept[0].Fault != "" {
			return
		}
		lots := map[string]bool{}
		for _, w := range b.Weighed {
			if !w.Lot.Given() {
				continue
			}
			lots[register.FoldLot(w.Lot.V)] = true
			if with, err := x.WithLot(w.Lot.V); err != nil || len(with) != 1 {
				t.Fatalf("the lot %q went into %v, %v", w.Lot.V, with, err)
			}
		}
		for _, code := range kept[0].From {
			if with, err := x.WithBatch(code); err != nil || len(with) != 1 {
				t.Fatalf("the batch %q went into %v, %v", code, with, err)
			}
		}
		listed, err := x.Lots()
		if err != nil || len(listed) != len(lots) {
			t.Fatalf("the lots are %q, %v, want %v", listed, err, lots)
		}
	})
}
