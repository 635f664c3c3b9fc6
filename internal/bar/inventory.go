package bar

import (
	"slices"

	"saponym/inci"
	"saponym/internal/finding"
	"saponym/internal/measure"
)

// A Held is one constituent that is known by name to be in the bar, as far as lye
// leaves it alone. What is made in the pot, soap, glycerin and the salts of acids, and
// what was put there for it is not among them, nor is water.
//
// One thing may be held more than once: under its own name in two sources, in the
// statements of two scents, and an oil as a whole and by its constituents.
type Held struct {
	Name   string        // as stated, published or listed
	IDs    []string      // what else it is known by: its id in package inci, and the names of a listed thing
	Grams  measure.Range // of it in the batch: no allowed bar has less or more
	Basis  Basis
	Known  inci.Known // of a published share: how it is known; "" else
	Cite   string     // of a published share: the document; "" else
	Source int        // index into Batter.Sources
	Ref    string     // of the source: where it stands in the formula, and what it is
	Scent  int        // index into Batter.Scents of the scent that it is a constituent of, -1 for none
	Line   int        // index into the lines of the bar, -1 for what stands in none under its own name
	At     finding.Pos
}

// A Basis says who says that a thing is in the bar.
type Basis string

// The bases of what is held.
const (
	Stated    Basis = "stated"                       // by the supplier of a scent, in the statement of its allergens
	Published Basis = "published"                    // of an essential oil, by the literature
	Beside    Basis = "published beside a statement" // the same, of a scent whose allergens a supplier states: it counts for what is no allergen
	Listed    Basis = "listed"                       // in the formula or in a supplier's list, under its own name
)

// Inventory tells what is in the bar by name: what suppliers state of the scents, what is
// published of essential oils where nothing is stated, and all that is listed under its
// own name. It is in the order of the sources, in each what is listed first. Of a scent
// with neither a statement nor a published composition nothing is known but its name; see
// [Scent]. The bar is that of [Batter.Cured].
func (b *Batter) Inventory(cured *Bar) []Held {
	var all []Held
	for i, s := range b.Sources {
		if s.Bought != nil {
			all = append(all, b.listedHeld(*s.Bought, s.boughtLeft(), cured, Term{Source: i, Product: Whole}))
		} else {
			for j, part := range s.Parts {
				if part.named() {
					stays := s.shareOf(j).Times(s.Mass * (1 - part.Leaves))
					all = append(all, b.listedHeld(part.Names, stays, cured, Term{i, j, Kept}))
				}
			}
		}
		for n, scent := range b.Scents {
			if scent.Source == i {
				all = append(all, b.constituents(n)...)
			}
		}
	}
	return all
}

// constituents gives what is known to be in a scent.
func (b *Batter) constituents(n int) []Held {
	scent := b.Scents[n]
	source := b.Sources[scent.Source]
	part := func(name string, of measure.Range, low, high float64) Held {
		return Held{
			Name: name, Grams: measure.Range{Low: low * of.Low, High: high * of.High},
			Source: scent.Source, Ref: source.Ref, Scent: n, Line: -1, At: source.At,
		}
	}
	var all []Held
	for _, line := range scent.Statement {
		h := part(line.Name.V, scent.Mass, line.Share.V.Low.Fraction(), line.Share.V.High.Fraction())
		h.Basis, h.At = Stated, line.Name.At
		all = append(all, h)
	}
	for _, oil := range scent.Oils {
		composition, _ := inci.EssentialOilByID(oil.ID)
		for _, c := range composition.Constituents {
			document, _ := inci.SourceByKey(c.Source)
			h := part(c.Name, oil.Mass, c.Low/100, c.High/100)
			h.Basis, h.Known, h.Cite = Published, c.Known, document.Document
			if scent.Stated {
				h.Basis = Beside
			}
			all = append(all, h)
		}
	}
	return all
}

// listedHeld gives what is listed under its own name.
func (b *Batter) listedHeld(names Names, grams measure.Range, cured *Bar, term Term) Held {
	all := names.all()
	s := b.Sources[term.Source]
	return Held{
		Name: all[0], IDs: all[1:], Grams: grams, Basis: Listed,
		Source: term.Source, Ref: s.Ref, Scent: -1, Line: cured.lineOf(term), At: s.At,
	}
}

// boughtLeft gives how much there is of a thing that is printed as it was bought: from
// what stays of it when all its water has left, to the whole of it.
func (s Source) boughtLeft() measure.Range {
	stays := 0.0
	for j, part := range s.Parts {
		if part.Role != Water {
			stays += s.shareOf(j).Low * (1 - part.Leaves)
		}
	}
	return measure.Range{Low: stays, High: 1}.Times(s.Mass)
}

// named reports whether a part stays in the bar under a name of its own.
func (part Part) named() bool {
	return part.Fat == nil && part.Acid == nil && len(part.Names.all()) > 0 &&
		slices.Contains([]Role{Substance, Perfume, EssentialOil, Colourant, LeftOver}, part.Role)
}

// all gives the names, each once, and the id.
func (n Names) all() []string {
	var names []string
	for _, name := range []string{n.EU, n.US, n.ID} {
		if name != "" && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// lineOf finds the line that has a term, or gives -1.
func (b *Bar) lineOf(t Term) int {
	return slices.IndexFunc(b.Lines, func(l Line) bool { return slices.Contains(l.Terms, t) })
}
