package bench

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The widths of the text form, in characters. What is longer than a line is broken
// between words; a longer word stands out.
const (
	lineWidth   = 78
	nameWidth   = 37
	gramsWidth  = 10
	ouncesWidth = 10
)

// Text gives the sheet for a terminal, in lines of at most 78 characters. Where
// anything on it is caustic, the cautions follow the vessels.
func (s Sheet) Text() string {
	var t terminal
	name := s.Name
	if name == "" {
		name = s.Formula
	}
	t.words("", name)
	t.words("", strings.Join(given(s.Identity, s.Maker, s.Formula), " · "))
	facts := given(s.Size, s.kind())
	if s.Oils > 0 {
		facts = append(facts, "oils "+grams(s.Oils)+"\u00a0g")
	}
	facts = append(facts, "in all "+grams(s.Total)+"\u00a0g")
	if s.Lye != nil {
		facts = append(facts, "superfat "+s.Lye.superfat())
	}
	t.words("", strings.Join(facts, " · "))
	t.line("batch ________________  date ______________  made by ____________________")
	if len(s.Findings) > 0 {
		t.heading(mind)
		for _, f := range s.Findings {
			t.words(f.Level.String()+": ", f.Message)
			t.words("      ", f.Remedy)
		}
	}
	number := 0
	next := func() int { number++; return number }
	for i, v := range s.Vessels {
		if i == s.DivideAfter {
			t.portions(s.Portions, next)
		}
		t.vessel(next(), v, s.Lye)
	}
	if s.DivideAfter >= len(s.Vessels) {
		t.portions(s.Portions, next)
	}
	if len(s.Steps) > 0 {
		t.heading("Steps")
		for i, step := range s.Steps {
			t.words(fmt.Sprintf("[ ] %2d. ", i+1), strings.Join(given(step.Temp, step.Do), ": "))
			t.words("        ", step.Note)
		}
	}
	if s.hasLye() {
		t.cautions()
	}
	return t.String()
}

// A terminal is lines of text.
type terminal struct{ strings.Builder }

// line writes one line. A character that a terminal would act on, or not show, is
// replaced.
func (t *terminal) line(s string) {
	t.WriteString(strings.TrimRight(strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0':
			return ' '
		case unicode.IsGraphic(r):
			return r
		}
		return utf8.RuneError
	}, s), " "))
	t.WriteByte('\n')
}

// words writes words in as many lines as they take, the first behind some others
// and the rest below its start. Where there is nothing to say there is no line.
func (t *terminal) words(lead, s string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	line := lead
	begun := false
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' || r == '\r' }) {
		switch {
		case !begun:
			line += word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > lineWidth:
			t.line(line)
			line = indent + word
		default:
			line += " " + word
		}
		begun = true
	}
	if begun {
		t.line(line)
	}
}

func (t *terminal) heading(s string) {
	t.WriteByte('\n')
	t.words("", strings.ToUpper(s))
}

func (t *terminal) portions(portions []Portion, next func() int) {
	if len(portions) == 0 {
		return
	}
	t.heading(fmt.Sprintf("%d. %s", next(), divide))
	for _, p := range portions {
		t.weight(p.Name+", "+percent(p.Share), p.Grams)
	}
}

func (t *terminal) vessel(number int, v Vessel, lye *LyeJug) {
	t.heading(fmt.Sprintf("%d. %s", number, v.Title))
	if v.Lye {
		t.words("!! ", danger)
	}
	if v.Tare != "" {
		t.words("", "Zero the scale with "+v.Tare+".")
	}
	for _, l := range v.Lines {
		t.weight(l.Name, l.Grams)
		t.words("    ", l.Note)
	}
	t.words("", v.Then)
	if v.Lye && lye != nil {
		t.words("", lye.heat())
		t.words("", fmt.Sprintf("Strength %s, %s.", percent(lye.Strength), lye.what()))
	}
}

// weight writes a thing to weigh, with its figures below each other at the point. A
// long name stands above them.
func (t *terminal) weight(name string, g float64) {
	lead := "[ ] "
	if utf8.RuneCountInString(name) > nameWidth {
		t.words(lead, name)
		lead, name = "    ", ""
	}
	t.line(fmt.Sprintf("%s%-*s %s g %s oz  ________", lead, nameWidth, name, aligned(grams(g), gramsWidth, 2), aligned(ounces(g), ouncesWidth, 3)))
}

// aligned gives a figure whose decimal point stands so many characters before the
// end of its column.
func aligned(figure string, width, decimals int) string {
	_, behind, _ := strings.Cut(figure, ".")
	return fmt.Sprintf("%*s", width, figure+strings.Repeat(" ", max(0, decimals-len(behind))))
}

func (t *terminal) cautions() {
	t.heading("Working with lye")
	for _, topic := range Topics() {
		t.line(string(topic))
		for _, c := range cautions {
			if c.Topic == topic {
				t.words("  - ", c.Lead+" "+c.Text)
			}
		}
	}
	t.words("", notAll)
}
