package market

import (
	"slices"
	"sync"
)

// A colourant is a substance with the names under which laws list it. A name of
// "" means that the law knows the substance under none.
type colourant struct {
	ID    string
	CI    string
	Name  string
	names map[Names]string
	also  []string
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
		c := colourant{ID: m.Text("id").V, CI: m.Text("ci").V, Name: m.Text("name").V, also: texts(m, "also"), names: map[Names]string{}}
		for _, n := range []Names{NamesUS, NamesEU} {
			side := m.Map(string(n))
			if label := side.Text("label").V; side.Bool("listed").V {
				c.names[n] = label
			}
			for _, key := range []string{"entry", "cite", "known"} {
				side.Text(key)
			}
		}
		all = append(all, c)
	}
	return all, check(doc)
})

// Colourant gives the name that the law has for a colourant, of which one or more
// names are known: an id, an INCI name, a CI number. It reports false when the
// law does not list it as a colourant.
func (l *Law) Colourant(names ...string) (label string, ok bool) {
	for _, name := range names {
		for _, c := range l.colourants {
			if name != "" && c.goesBy(name) {
				label = c.names[l.List.Names]
				return label, label != ""
			}
		}
	}
	return "", false
}

func (c colourant) goesBy(name string) bool {
	name = fold(name)
	return name == fold(c.ID) || name == fold(c.Name) || c.CI != "" && name == fold(c.CI) ||
		slices.ContainsFunc(c.also, func(a string) bool { return fold(a) == name }) ||
		c.names[NamesEU] != "" && name == fold(c.names[NamesEU])
}
