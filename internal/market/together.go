package market

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"saponym/internal/day"
	"saponym/internal/measure"
)

// A Conflict is why one label cannot serve several laws.
type Conflict struct {
	Markets []string
	What    string // "class", "words", "style"
	Why     string // a sentence without its full stop
}

// Together makes one law of several, for a label that serves them all: the words
// that are good in each of them, and of each duty the strictest. What cannot be
// joined is a conflict, and the law is then none to print by. Each gives the laws
// that it was made of: what is in the bar is judged by them one by one.
func Together(laws ...*Law) (*Law, []Conflict) {
	t := joiner{laws: laws}
	first := laws[0]
	all := *first
	all.parts = laws
	all.Market, all.Name = t.texts("+", func(l *Law) string { return l.Market }), t.texts(" and ", func(l *Law) string { return l.Name })
	all.Authority = t.texts("; ", func(l *Law) string { return l.Authority })
	all.Class = t.texts(" and ", func(l *Law) string { return l.Class })
	all.Languages = nil
	for _, l := range laws {
		all.Languages = appendNew(all.Languages, l.Languages...)
	}
	t.classes()
	// What lies ahead is looked at from the last of their days.
	for _, l := range laws[1:] {
		all.On = later(all.On, l.On)
		all.Days = Days{later(all.Days.On, l.Days.On), later(all.Days.Placed, l.Days.Placed), later(all.Days.Product, l.Days.Product)}
	}
	all.List, all.AnyOrder, all.ColourantsLast, all.Allergens = t.list(), t.anyOrder(), t.colourantsLast(), t.allergens()
	all.Statements = t.statements()
	all.Substances, all.Colours, all.Gatekeepers = nil, nil, nil
	for _, l := range laws {
		all.Substances = append(all.Substances, l.Substances...)
		all.Gatekeepers = append(all.Gatekeepers, l.Gatekeepers...)
		if all.SoapShare == nil {
			all.SoapShare = l.SoapShare
		}
	}
	return &all, t.conflicts
}

// Each gives the laws that one law was made of, or the law itself.
func (l *Law) Each() []*Law {
	if len(l.parts) == 0 {
		return []*Law{l}
	}
	return l.parts
}

// later gives the later of two days.
func later(a, b day.Day) day.Day {
	if a.Before(b) {
		return b
	}
	return a
}

// A joiner makes one law of several.
type joiner struct {
	laws      []*Law
	conflicts []Conflict
}

func (t *joiner) conflict(what, why string, between ...*Law) {
	c := Conflict{What: what, Why: why}
	for _, l := range between {
		c.Markets = append(c.Markets, l.Market)
	}
	t.conflicts = append(t.conflicts, c)
}

// classes finds the laws of one place that take a bar for different things.
func (t *joiner) classes() {
	for i, a := range t.laws {
		for _, b := range t.laws[:i] {
			if a.Place == b.Place && a.Class != b.Class {
				t.conflict("class", fmt.Sprintf("a bar is a %s or a %s there, and not both", b.Class, a.Class), b, a)
			}
		}
	}
}

// texts joins what the laws say, each once.
func (t *joiner) texts(with string, of func(*Law) string) string {
	var said []string
	for _, l := range t.laws {
		said = appendNew(said, of(l))
	}
	return strings.Join(said, with)
}

func appendNew(list []string, more ...string) []string {
	for _, one := range more {
		if !slices.Contains(list, one) {
			list = append(list, one)
		}
	}
	return list
}

// list joins the lists of ingredients.
func (t *joiner) list() List {
	l := t.laws[0].List
	l.Message, l.Cite = t.texts("; and ", func(l *Law) string { return l.List.Message }), t.texts("; ", func(l *Law) string { return l.List.Cite })
	l.Market = t.texts("+", func(l *Law) string { return l.Market })
	l.Heading = t.word("heading of the list", func(l List) string { return l.Heading })
	l.Water = t.word("water", func(l List) string { return l.Water })
	l.Perfume = t.word("perfume", func(l List) string { return l.Perfume })
	var ordered []OrderedBy
	for _, law := range t.laws {
		other := law.List
		l.asked = append(l.asked, other)
		if other.Required {
			if !l.Required || other.Level > l.Level {
				rule := other.Rule
				rule.Message, rule.Cite, rule.Market = l.Message, l.Cite, l.Market
				l.Required, l.Rule = true, rule
			}
			if !slices.Contains(ordered, other.OrderedBy) {
				ordered = append(ordered, other.OrderedBy)
			}
		}
		l.OilsAsPerfume = l.OilsAsPerfume || other.OilsAsPerfume
		l.Styles = slices.DeleteFunc(slices.Clone(l.Styles), func(s Style) bool { return !slices.Contains(other.Styles, s) })
	}
	switch {
	case slices.Contains(ordered, InTheBar) && slices.Contains(ordered, WhenAdded):
		l.OrderedBy = Both
	case slices.Contains(ordered, WhenAdded):
		l.OrderedBy = WhenAdded
	case slices.Contains(ordered, NotSaid):
		l.OrderedBy = NotSaid // by the weight in the bar, as far as the other laws go
	case slices.Contains(ordered, InTheBar):
		l.OrderedBy = InTheBar
	}
	if len(l.Styles) == 0 {
		t.conflict("style", "there is no way of declaring a bar that all of them take", t.laws...)
	}
	return l
}

// word gives the word that serves all lists.
func (t *joiner) word(what string, of func(List) string) string {
	var asked []string
	for _, l := range t.laws {
		asked = appendNew(asked, of(l.List))
	}
	if len(asked) == 1 {
		return asked[0]
	}
	for _, w := range shared().words {
		if w.serves(asked) {
			return w.words
		}
	}
	t.conflict("words", fmt.Sprintf("no word for %s is known that serves them all: they ask for %q", what, asked), t.laws...)
	return asked[0]
}

// anyOrder keeps what may stand in any order in all of the laws.
func (t *joiner) anyOrder() AnyOrder {
	a := t.laws[0].AnyOrder
	for _, l := range t.laws[1:] {
		other := l.AnyOrder
		switch {
		case other.Share < a.Share:
			a.Share, a.AtToo = other.Share, other.AtToo
		case other.Share == a.Share:
			a.AtToo = a.AtToo && other.AtToo
		}
	}
	a.Cite = t.texts("; ", func(l *Law) string { return l.AnyOrder.Cite })
	return a
}

// colourantsLast lets colourants follow where all of the laws do.
func (t *joiner) colourantsLast() *Rule {
	for _, l := range t.laws {
		if l.ColourantsLast == nil {
			return nil
		}
	}
	return t.laws[0].ColourantsLast
}

// allergens goes by the longest of the lists and the lowest threshold: to name more
// than a law asks for is lawful.
func (t *joiner) allergens() *Allergens {
	var all *Allergens
	for _, l := range t.laws {
		a := l.Allergens
		switch {
		case a == nil || all != nil && a.Open():
		case all == nil || all.Open():
			joined := *a
			all = &joined
		default:
			least := min(all.Threshold, a.Threshold)
			if len(a.Named) > len(all.Named) {
				joined := *a
				all = &joined
			}
			all.Threshold = least
		}
	}
	return all
}

// statements joins the statements of one duty, but for that of the responsible
// person: each place has its own.
func (t *joiner) statements() []Statement {
	var all []Statement
	for _, l := range t.laws {
		for _, s := range l.Statements {
			i := slices.IndexFunc(all, func(other Statement) bool { return other.Duty == s.Duty })
			if i < 0 || slices.Contains(eachItsOwn, s.Duty) {
				all = append(all, s)
				continue
			}
			all[i] = t.statement(all[i], s)
		}
	}
	return all
}

// eachItsOwn are the duties that each place wants served by itself.
var eachItsOwn = []string{"responsible-person"}

// statement joins two statements of one duty.
func (t *joiner) statement(a, b Statement) Statement {
	j := a
	if b.Required && (!a.Required || b.Level > a.Level) {
		j.Rule = b.Rule
	}
	j.Market = strings.Join(appendNew(nil, a.Market, b.Market), "+")
	j.Cite = strings.Join(appendNew(nil, a.Cite, b.Cite), "; ")
	j.Required, j.Bold, j.ByAddress = a.Required || b.Required, a.Bold || b.Bold, serving(a, b)
	j.Panel = stricter([]string{"principal", "information", "any"}, a.Panel, b.Panel)
	j.Languages = appendNew(slices.Clone(a.Languages), b.Languages...)
	j.DatedUpTo = leastGiven(a.DatedUpTo, b.DatedUpTo)
	j.LowestPart = leastGiven(a.LowestPart, b.LowestPart)
	j.UnlessPanelTo = min(a.UnlessPanelTo, b.UnlessPanelTo)
	if a.LowestPart == 0 || b.LowestPart == 0 {
		j.UnlessPanelTo = max(a.UnlessPanelTo, b.UnlessPanelTo) // only one of them has it
	}
	j.ClearHeights, j.ClearWidthsN, j.ClearAround = max(a.ClearHeights, b.ClearHeights), max(a.ClearWidthsN, b.ClearWidthsN), max(a.ClearAround, b.ClearAround)
	j.Letters = a.Letters.with(b.Letters)
	j.Exemptions = nil // a way round the duty of one law is none round that of another
	j.asked = append(a.single(), b.single()...)
	if a.Form != b.Form {
		j.Form = t.form(a.Form, b.Form)
	}
	return j
}

// single gives the statements that one was joined of, or itself.
func (s Statement) single() []Statement {
	if len(s.asked) == 0 {
		return []Statement{s}
	}
	return slices.Clone(s.asked)
}

// serving reports whether an address serves in each law that asks for a contact.
func serving(a, b Statement) bool {
	return (a.ByAddress || !a.Required) && (b.ByAddress || !b.Required)
}

// stricter gives the first of the words, in their order, that one of two is.
func stricter(order []string, a, b string) string {
	return order[min(slices.Index(order, a), slices.Index(order, b))]
}

// leastGiven gives the lesser of two figures, of which nought is none.
func leastGiven[T int | measure.Share](a, b T) T {
	if a == 0 || b == 0 {
		return max(a, b)
	}
	return min(a, b)
}

// with asks for what both ask for. Where they measure different letters, the small
// one is measured: it is the lowest, so it is safe under either.
func (l Letters) with(m Letters) Letters {
	if len(m.ByArea)+len(m.ByQuantity)+len(m.ByDimension) == 0 {
		return l
	}
	if len(l.ByArea)+len(l.ByQuantity)+len(l.ByDimension) == 0 {
		return m
	}
	j := Letters{Measured: l.Measured, ByQuantity: slices.Concat(l.ByQuantity, m.ByQuantity), ByDimension: slices.Concat(l.ByDimension, m.ByDimension)}
	if l.Measured != m.Measured {
		j.Measured = "small letter"
	}
	for _, step := range slices.Concat(l.ByArea, m.ByArea) {
		if !slices.ContainsFunc(j.ByArea, func(s AreaStep) bool { return s.Over == step.Over }) {
			j.ByArea = append(j.ByArea, AreaStep{step.Over, max(l.overArea(step.Over), m.overArea(step.Over))})
		}
	}
	slices.SortFunc(j.ByArea, func(a, b AreaStep) int { return int(a.Over - b.Over) })
	return j
}

// overArea gives the least height for panels of a little more than an area.
func (l Letters) overArea(area measure.Area) measure.Length {
	var least measure.Length
	for _, s := range l.ByArea {
		if s.Over <= area {
			least = max(least, s.Min)
		}
	}
	return least
}

// form gives the form of a net weight that serves two.
func (t *joiner) form(a, b Form) Form {
	for _, f := range shared().forms {
		if f.serves([]string{string(a), string(b)}) {
			return Form(f.words)
		}
	}
	t.conflict("words", fmt.Sprintf("no form of the net weight is known that serves them all: they ask for %q and %q", a, b), t.laws...)
	return a
}

// A common is a word, or a form, that serves several.
type common struct {
	of    []string
	words string
}

func (c common) serves(asked []string) bool {
	return !slices.ContainsFunc(asked, func(one string) bool { return !slices.Contains(c.of, one) })
}

// A sharing is the table of what serves several laws.
type sharing struct{ words, forms []common }

// shared reads the table when it is first asked for. A fault in it is one of the
// program.
var shared = sync.OnceValue(func() sharing {
	doc, err := open("data/together.yaml")
	if err != nil {
		panic(err)
	}
	var s sharing
	for _, m := range doc.Root().Maps("words") {
		s.words = append(s.words, common{texts(m, "of"), m.Text("words").V})
		m.Text("cite")
		readKnown(m)
	}
	for _, m := range doc.Root().Maps("forms") {
		s.forms = append(s.forms, common{texts(m, "of"), m.Text("form").V})
		m.Text("cite")
		readKnown(m)
	}
	if err := check(doc); err != nil {
		panic(err)
	}
	return s
})
