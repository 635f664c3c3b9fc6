package recall

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"

	"saponym/internal/formula"
)

// lineWidth is how many columns a line of the text form has at most.
const lineWidth = 88

// Text gives the sheet for a terminal, in lines of at most 88 columns.
func (s Sheet) Text() string {
	var t terminal
	t.words("", "RECALL "+s.Of)
	t.words("", strings.Join(given(s.Maker.Name.V, s.day()), " · "))
	if len(s.Batches) == 0 {
		t.line("")
		t.words("", s.none())
		t.line("")
		t.words("", s.noAdvice())
		return t.String()
	}
	all := s.bars()
	t.words("", fmt.Sprintf("%s: %s. %s %s", count(len(s.Batches), "batch"), balance(all), accounted(all), back(all)))
	t.words("!! ", s.doubts())
	t.heading("Do now, in this order")
	steps := s.steps()
	for i, step := range steps {
		t.words(fmt.Sprintf("[ ] %2d. ", i+1), step.do+" "+step.text)
		t.blanks(step.blanks)
		for _, note := range step.notes {
			t.words("        ", note)
		}
		for _, item := range step.items {
			t.words("    [ ] ", item)
			t.blanks(calls)
		}
	}
	t.words("", sources(steps))
	for _, b := range s.Batches {
		t.batch(s, b)
	}
	t.heading("Notice to fill in")
	for _, f := range s.notice() {
		name := f.name + ":"
		for _, text := range f.texts {
			t.words(fmt.Sprintf("%-*s", noticeWidth, name), text)
			name = ""
		}
		for range f.blanks {
			t.line(fmt.Sprintf("%-*s%s", noticeWidth, name, strings.Repeat("_", lineWidth-noticeWidth)))
			name = ""
		}
	}
	t.line("")
	t.words("", s.noAdvice())
	return t.String()
}

// noticeWidth is that of the names of the parts of a notice.
const noticeWidth = 20

// A terminal is lines of text.
type terminal struct{ strings.Builder }

// line writes one line.
func (t *terminal) line(s string) {
	t.WriteString(strings.TrimRight(s, " "))
	t.WriteByte('\n')
}

// visible replaces the characters that a terminal would act on, or not show.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0':
			return ' '
		case unicode.IsGraphic(r):
			return r
		}
		return utf8.RuneError
	}, s)
}

// columns gives how many columns of a terminal a text takes at most.
func columns(s string) int {
	n := 0
	for _, r := range s {
		if n++; wide(r) {
			n++
		}
	}
	return n
}

func wide(r rune) bool {
	kind := width.LookupRune(r).Kind()
	return kind == width.EastAsianWide || kind == width.EastAsianFullwidth
}

// words writes words in as many lines as they take, the first behind some others and the
// rest below its start. What is longer than a line is cut. Where there is nothing to say
// there is no line.
func (t *terminal) words(lead, s string) {
	lead = visible(lead)
	indent := strings.Repeat(" ", columns(lead))
	line, begun := lead, false
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' || r == '\r' }) {
		word = visible(word)
		if begun && columns(line)+1+columns(word) > lineWidth {
			t.line(line)
			line, begun = indent, false
		}
		if begun {
			line += " "
		}
		for _, r := range word {
			if columns(line)+columns(string(r)) > lineWidth {
				t.line(line)
				line = indent
			}
			line += string(r)
		}
		begun = true
	}
	if begun {
		t.line(line)
	}
}

func (t *terminal) heading(s string) {
	t.line("")
	t.words("", strings.ToUpper(s))
}

// blanks writes rules to write on, each behind what it is for.
func (t *terminal) blanks(names []string) {
	if len(names) == 0 {
		return
	}
	line := "       "
	for _, name := range names {
		room := (lineWidth-8)/len(names) - len(name) - 3
		line += " " + name + " " + strings.Repeat("_", room) + " "
	}
	t.line(line)
}

func (t *terminal) batch(s Sheet, b Batch) {
	t.line("")
	t.words("", strings.Join(given(b.Record.Code.V, b.Product), "  "))
	t.words("  ", strings.Join(b.facts(s.Lot), " · "))
	for _, f := range s.faults(b) {
		t.words("  !! ", doubt(f))
	}
	t.words("  ", b.barless())
	for _, n := range b.Stock {
		t.words("  ", n.Cut+": "+balance(n)+". "+accounted(n)+" "+back(n))
	}
	t.words("  ", b.offcuts())
	t.events("who got them", b, handed)
	if len(b.Record.Runs) > 0 {
		t.words("  ", "labels with this code:")
	}
	for _, r := range b.Record.Runs {
		t.words(fmt.Sprintf("    %-10s  ", dayOf(r.Date)), strings.Join(given(r.ID, r.Market.V, b.cutName(r.Cut), r.Claim.V,
			counted(r.Printed)+" printed", counted(r.Used)+" used", left(r)+" left", shortHash(r)), ", "))
	}
	t.events("kept samples", b, kept)
	t.events("what else became of bars", b, other)
}

// events writes the events of some kinds under a title.
func (t *terminal) events(title string, b Batch, kinds []string) {
	events := b.events(kinds)
	if len(events) == 0 {
		return
	}
	t.words("  ", title+":")
	for _, e := range events {
		rest := given(append([]string{b.cutName(e.Cut), e.Who.V, e.Ref.V}, remarks(e)...)...)
		if len(rest) == 0 {
			rest = []string{"–"}
		}
		t.words(fmt.Sprintf("    %-10s  %-9s %5s  ", dayOf(e.Date), e.What.V, number(e)), strings.Join(rest, "; "))
	}
}

// cutName names a cut where there are several.
func (b Batch) cutName(t formula.Text) string {
	if len(b.Stock) < 2 {
		return ""
	}
	return t.V
}
