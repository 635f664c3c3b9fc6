package compile

import (
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

// askedFor gives what of the pot and the alkali a batch does not name yet, with the weights
// that its formula asks for. A batch of which nothing was weighed is left as it is.
func askedFor(f formula.Formula, library formula.Library, b formula.Batch) []formula.Weighed {
	if !slices.ContainsFunc(b.Weighed, func(w formula.Weighed) bool { return w.Weight.Given() }) {
		return nil
	}
	open := formula.Open(f, b)
	if len(open) == 0 {
		return nil
	}
	batter, _ := bar.Pour(f, library)
	if batter == nil {
		return nil
	}
	var all []formula.Weighed
	for _, a := range asked(batter, f) {
		i := slices.IndexFunc(open, func(name formula.Text) bool { return formula.ID(name.V) == formula.ID(a.Name) })
		if i < 0 {
			continue
		}
		w := formula.Weighed{Weight: formula.Mass{V: measure.Mass(math.Round(a.Grams * float64(measure.Gram))), At: open[i].At}, Note: formula.Text{V: "taken as the formula asks", At: open[i].At}}
		if a.Batch {
			w.Batch = open[i]
		} else {
			w.Material = open[i]
		}
		all = append(all, w)
	}
	return all
}
