package compile

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// An Asked is one thing that a formula asks for at the pot, in the order in which it is
// weighed.
type Asked struct {
	Name   string // of the material, or the code of own bars
	Batch  bool   // own bars
	Grams  float64
	When   string
	Common string // in words: "Olive oil"
}

// asked gives what a batter asks for: each thing once.
func asked(batter *bar.Batter, f formula.Formula) []Asked {
	var all []Asked
	own := map[string]bool{}
	for _, in := range f.Base {
		own[in.Batch.V] = in.Batch.Given()
	}
	for _, a := range f.Add {
		own[a.Batch.V] = a.Batch.Given()
	}
	for _, s := range batter.Sources {
		_, name, _ := strings.Cut(s.Ref, " ")
		switch {
		case s.Ref == "lye.water":
			name = "water"
		case strings.HasPrefix(s.Ref, "lye ") && f.Lye.Solution.Given():
			name = f.Lye.Solution.V
		}
		if s.Mass <= 0 {
			continue
		}
		same := func(a Asked) bool { return formula.ID(a.Name) == formula.ID(name) }
		if i := slices.IndexFunc(all, same); i >= 0 {
			all[i].Grams += s.Mass
			continue
		}
		all = append(all, Asked{Name: name, Batch: own[name], Grams: s.Mass, When: s.Work.When.String(), Common: s.Work.Name})
	}
	return all
}

// askedFor gives the weights that a formula asks for of what a batch has no weight of yet. As
// long as the alkali was not weighed, what the other weights come to is not known: then all
// is taken as it was asked for. A batch of which nothing was weighed is left as it is.
func askedFor(f formula.Formula, library formula.Library, b formula.Batch) []formula.Weighed {
	if !slices.ContainsFunc(b.Weighed, func(w formula.Weighed) bool { return w.Weight.Given() }) {
		return nil
	}
	batter, _ := bar.Pour(f, library)
	if batter == nil {
		return nil
	}
	open := formula.Open(f, b)
	unweighed := alkaliUnweighed(f, b)
	if unweighed {
		open = f.Names()
	}
	var all []formula.Weighed
	for _, a := range asked(batter, f) {
		i := slices.IndexFunc(open, func(name formula.Text) bool { return formula.ID(name.V) == formula.ID(a.Name) })
		if i < 0 {
			continue
		}
		weight, known := measure.Mass(math.Round(a.Grams*float64(measure.Gram))), measure.Mass(0)
		for _, w := range b.Weighed { // lots of it that have a weight: so much there is at least
			if !unweighed && formula.ID(cmp.Or(w.Material.V, w.Batch.V)) == formula.ID(a.Name) {
				known += w.Weight.V
			}
		}
		w := formula.Weighed{Weight: formula.Mass{V: max(weight, known), At: b.Code.At}}
		if a.Batch {
			w.Batch = open[i]
		} else {
			w.Material = open[i]
		}
		all = append(all, w)
	}
	return all
}

// alkaliUnweighed reports whether no lot of the alkali of a formula, or of its solution, has a
// weight yet.
func alkaliUnweighed(f formula.Formula, b formula.Batch) bool {
	if !f.Lye.Solution.Given() && len(f.Lye.Alkalis) == 0 {
		return false
	}
	return !slices.ContainsFunc(b.Weighed, func(w formula.Weighed) bool {
		if f.Lye.Solution.Given() && formula.ID(w.Material.V) == formula.ID(f.Lye.Solution.V) {
			return w.Weight.Given()
		}
		return w.Weight.Given() && slices.ContainsFunc(f.Lye.Alkalis, func(a formula.Alkali) bool { return formula.ID(a.Name.V) == formula.ID(w.Material.V) })
	})
}
