package recall

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"saponym/internal/formula"
	"saponym/internal/register"
)

// Columns gives the heads of the table that [Sheet.CSV] writes. They are a contract.
func Columns() []string {
	return []string{"called back", "batch", "product", "what went in", "by way of", "line", "date", "what", "cut", "bars", "who", "buyer", "paper", "assumed", "note"}
}

// The kinds of lines in the table.
const (
	lineMovement = "movement" // something that happened to bars on a day
	lineCount    = "count"    // how many bars of a cut are where on the day of the sheet
)

// CSV gives the movements and the counts as a table for a spreadsheet (RFC 4180), under
// [Columns]. It begins with the byte order mark by which a spreadsheet knows UTF-8. A text that a
// spreadsheet would take for a formula has an apostrophe in front. A movement of all bars
// that there were says "all", and a count that nobody wrote down is a dash.
func (s Sheet) CSV() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("\ufeff")
	w := csv.NewWriter(&b)
	lines := [][]string{Columns()}
	for _, batch := range s.Batches {
		lines = append(lines, s.lines(batch)...)
	}
	for _, line := range lines {
		if err := w.Write(line); err != nil {
			return nil, fmt.Errorf("writing the table of the recall of %s: %w", s.Of, err)
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return nil, fmt.Errorf("writing the table of the recall of %s: %w", s.Of, err)
	}
	return b.Bytes(), nil
}

// lines gives those of a batch: each movement, then each count of each cut.
func (s Sheet) lines(b Batch) [][]string {
	head := []string{text(s.Of), text(b.Record.Code.V), text(b.Product), text(b.What), text(strings.Join(b.Via, " > "))}
	var all [][]string
	add := func(cells ...string) { all = append(all, append(head[:len(head):len(head)], cells...)) }
	for _, e := range b.events(slices.Concat(handed, kept, other)) {
		add(lineMovement, dayOf(e.Date), e.What.V, text(e.Cut.V), number(e), text(e.Who.V), buyer(e), text(e.Ref.V), yes(e.Assumed.V), text(e.Note.V))
	}
	tally := func(cut, what string, n int, note string) {
		add(lineCount, s.day(), what, text(cut), strconv.Itoa(n), "", "", "", "", text(note))
	}
	if why := b.barless(); why != "" {
		tally("", "made", 0, why)
	}
	for _, stock := range b.Stock {
		for _, c := range tallies() {
			tally(stock.Cut, c.name, c.count(stock), "")
		}
	}
	return all
}

// tallies gives all that is counted of a cut: what was made, the places that add up to it,
// what is in none of them; and what was asked back and came back, which was sold before.
func tallies() []place {
	all := []place{{"made", func(s register.Stock) int { return s.Made }}}
	all = append(all, places...)
	return append(all,
		place{"not accounted for", gap},
		place{"asked back", func(s register.Stock) int { return s.Recalled }},
		place{"came back", func(s register.Stock) int { return s.Returned }})
}

func buyer(e formula.Event) string {
	switch {
	case e.What.V != "sold" && e.What.V != "given":
		return ""
	case named(e):
		return "known"
	}
	return "not known"
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// text keeps a text from being taken for a formula. What stands before its first sign
// that is seen does not count: some programs leave that out.
func text(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	seen := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || !unicode.IsGraphic(r) })
	if strings.HasPrefix(seen, "=") || strings.HasPrefix(seen, "+") || strings.HasPrefix(seen, "-") || strings.HasPrefix(seen, "@") {
		return "'" + s
	}
	return s
}
