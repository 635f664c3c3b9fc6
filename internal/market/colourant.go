package market

import (
	"fmt"
	"sync"

	"saponym/internal/source"
)

// A Standing says what a law takes a colourant for.
type Standing string

// The standings of a colourant.
const (
	Permitted Standing = "permitted"
	Ordinary  Standing = "ordinary ingredient" // the law knows it as an ingredient, not as a colourant
	Unlisted  Standing = "not listed"          // the list of the law was read, and it is not there
	Unknown   Standing = "not known"           // nothing is known of it here
)

// A Colour is what a law says of one colourant.
type Colour struct {
	Name      string // the common one
	Label     string // as printed
	Standing  Standing
	Certified bool   // only lots that were certified may be used
	Caution   string // a use that it is not for, a most, or what else decides; or nothing
	Cite      string
	Known     Known
}

// A colourant is a substance with what each nomenclature says of it.
type colourant struct {
	ID    string
	CI    string
	Name  string
	in    map[Names]Colour
	also  []string
	label string // of the European list, by which it is found too
}

// readColourants reads the table once for all markets.
var readColourants = sync.OnceValues(func() ([]colourant, error) {
	doc, err := open("data/colourants.yaml")
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Text("source")
	var all []colourant
	for _, m := range root.Maps("colourants") {
		c := colourant{ID: m.Text("id").V, CI: m.Text("ci").V, Name: m.Text("name").V, also: texts(m, "also"), in: map[Names]Colour{}}
		for _, n := range []Names{NamesUS, NamesEU} {
			if side := m.Map(string(n)); side.Given() {
				c.in[n] = readColour(side, c.Name)
			}
		}
		c.label = c.in[NamesEU].Label
		all = append(all, c)
	}
	return all, check(doc)
})

func readColour(m *source.Map, name string) Colour {
	c := Colour{
		Name: name, Label: m.Text("label").V, Standing: Unlisted, Certified: m.Bool("certified").V,
		Caution: m.Text("caution").V, Cite: m.Text("cite").V, Known: readKnown(m),
	}
	ordinary := m.Bool("ordinary").V
	switch {
	case m.Bool("listed").V:
		c.Standing = Permitted
	case ordinary:
		c.Standing = Ordinary
	}
	return c
}

// A ColourAdditives is the rule that only listed colourants may be used.
type ColourAdditives struct {
	Rule
	Table Names // whose list it is
}

func readColourAdditives(m *source.Map, r Rule) (entry, error) {
	return ColourAdditives{Rule: r, Table: Names(m.Enum("table", string(NamesUS), string(NamesEU)).V)}, nil
}

func (c ColourAdditives) put(law *Law, _ Days) error {
	before := law.Colours
	law.Colours = &c
	if before == nil {
		return nil
	}
	return once(before.Rule, c.Rule)
}

func (c ColourAdditives) condition() string {
	return fmt.Sprintf("a colourant is on the list (%s)", c.Table)
}

func (c ColourAdditives) entries() []string {
	all, err := readColourants()
	if err != nil {
		panic(err) // the market was read, and its colourants with it
	}
	var lines []string
	for _, one := range all {
		colour, ok := one.in[c.Table]
		if !ok {
			continue
		}
		line := fmt.Sprintf("%s: %s", one.Name, colour.Standing)
		if colour.Label != "" {
			line += fmt.Sprintf(", as %q", colour.Label)
		}
		if colour.Certified {
			line += ", of certified lots"
		}
		for _, more := range []string{colour.Caution, colour.Cite} {
			if more != "" {
				line += "; " + more
			}
		}
		lines = append(lines, line+" ("+string(colour.Known)+")")
	}
	return lines
}

// Colourant gives the name that the list prints for a colourant, which is found by
// any of its names: an id, an INCI name, a CI number. Where the law does not list it
// as a colourant it goes by its name as an ingredient. It is false then, and also
// where only one of the laws that the list serves does not list it.
func (l *Law) Colourant(ingredient Spoken, names ...string) (name string, listed bool) {
	var colour Spoken
	var others List // that do not list it
	for _, list := range l.List.each() {
		c := l.colour(list.ColourNames, names)
		switch {
		case c.Standing != Permitted:
			others.asked = append(others.asked, list)
		case list.ColourNames == NamesUS:
			colour.US = c.Label
		default:
			colour.EU = c.Label
		}
	}
	if len(others.asked) == 0 {
		return colour.inBoth(), true
	}
	return Spoken{EU: colour.inBoth(), US: others.Name(ingredient)}.inBoth(), false
}

// Colour gives what the law says of a colourant, by any of its names. Where the
// law has no list of colourants its standing is [Unknown].
func (l *Law) Colour(names ...string) Colour {
	if l.Colours == nil {
		return Colour{Standing: Unknown}
	}
	return l.colour(l.Colours.Table, names)
}

func (l *Law) colour(table Names, names []string) Colour {
	for _, name := range names {
		for _, c := range l.colourants {
			if !c.goesBy(name) {
				continue
			}
			if colour, ok := c.in[table]; ok {
				return colour
			}
			return Colour{Name: c.Name, Standing: Unknown}
		}
	}
	return Colour{Standing: Unknown}
}

func (c colourant) goesBy(name string) bool {
	return goesBy(append([]string{c.ID, c.Name, c.CI, c.label}, c.also...), name)
}
