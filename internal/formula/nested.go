package formula

import (
	"fmt"
	"slices"

	"saponym/internal/finding"
)

// MostNested is how many materials may stand one inside the other below the one whose
// list it is. No supplier's paper goes so deep.
const MostNested = 8

// Nested reports what is wrong with the shop's own materials that are made of other
// materials: a constituent that is no material, one that contains itself, chains of
// more than [MostNested], and lye among oils. Each is reported once, at the line of
// the list that would have to change, in the order of files and lines.
func (l Library) Nested() []finding.Finding {
	var findings []finding.Finding
	n := nesting{
		library: l, known: map[string]inside{},
		report: func(f finding.Finding) { findings = append(findings, f) },
	}
	for _, id := range slices.Sorted(slices.Values(l.ids)) {
		n.look(id, l.own[id])
	}
	finding.Sort(findings)
	return findings
}

// A nesting follows the lists of materials into each other.
type nesting struct {
	library Library
	report  reporter
	chain   []string          // the ids from the outermost material to the one at hand
	known   map[string]inside // of what was looked at, by id
}

// inside says what one material holds.
type inside struct {
	deepest []string // the longest chain of ids, of the material itself first
	lye     []string // a chain of ids that ends in an alkali or its solution, or none
}

// look gives what is inside a material, and reports what is wrong with its list. Each
// material is looked at once, so the work grows with the lines of all lists.
func (n *nesting) look(id string, m Material) inside {
	if known, ok := n.known[id]; ok {
		return known
	}
	n.chain = append(n.chain, id)
	in := inside{deepest: []string{id}}
	if m.Kind == KindLyeSolution || m.Kind == KindAlkali {
		in.lye = []string{id}
	}
	for _, c := range m.Contains {
		part, other, ok := n.constituent(c)
		if !ok {
			continue
		}
		if len(part.deepest) >= len(in.deepest) && len(part.deepest) <= MostNested {
			in.deepest = append([]string{id}, part.deepest...)
		}
		if len(part.deepest) > MostNested {
			n.report.stop(RuleNested, c.Material.At, fmt.Sprintf("%s: more than %d stand one inside the other", chained(append([]string{id}, part.deepest...), "contains"), MostNested), "list what is in the innermost ones by its INCI names")
		}
		if len(part.lye) == 0 || len(part.lye) > MostNested {
			continue // none, or too deep to be read at all
		}
		if isOil(m) && !isOil(other) {
			n.report.stop(RuleInside, c.Material.At, fmt.Sprintf("%s, and there is no lye among oils: %q is of the kind %q", chained(append([]string{id}, part.lye...), "contains"), id, m.Kind), `take it out, or write "kind: soap" if this is what went into a pot together`)
		}
		in.lye = append([]string{id}, part.lye...)
	}
	if m.Kind == KindSoap || m.Kind == KindBase || isOil(m) {
		in.lye = nil // taken up, or reported
	}
	n.chain = n.chain[:len(n.chain)-1]
	n.known[id] = in
	return in
}

// constituent gives what is inside a material that stands in a list, and false where
// that is not known. It reports one that is not there, and one that the list is part of.
func (n *nesting) constituent(c Constituent) (inside, Material, bool) {
	id := ID(c.Material.V)
	if !c.Material.Given() || !IsID(id) {
		return inside{}, Material{}, false
	}
	m, ok := n.library.Find(id)
	if !ok {
		remedy := fmt.Sprintf("write materials/%s.yaml with what the supplier states, or write its INCI name behind \"inci:\"", id)
		if near := n.library.Nearest(id); near != "" {
			remedy = fmt.Sprintf("did you mean %q? If not, %s", near, remedy)
		}
		n.report.stop(RuleConstituent, c.Material.At, fmt.Sprintf("there is no material %q", c.Material.V), remedy)
		return inside{}, Material{}, false
	}
	if at := slices.Index(n.chain, id); at >= 0 {
		way := append(slices.Clone(n.chain[at:]), id)
		n.report.stop(RuleCircle, c.Material.At, chained(way, "contains")+": that goes in a circle", "list by INCI names what is in one of them")
		return inside{}, Material{}, false
	}
	return n.look(id, m), m, true
}

// isOil reports whether a material is of fats alone.
func isOil(m Material) bool { return m.Kind == KindOil || m.Kind == KindOilBlend }
