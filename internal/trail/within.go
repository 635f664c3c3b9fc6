package trail

import (
	"fmt"
	"slices"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/declare"
)

// within gives the steps of an allergen that is in no line of the bar under its own name:
// what is in scents, and oils that are the allergen as a whole and are listed by another
// name. They add up as the declaration adds them up.
func within(d declare.Declaration, in declare.Ingredient) []Step {
	if !slices.ContainsFunc(d.Allergens, func(a declare.Allergen) bool { return a.Name == in.Name }) {
		return nil
	}
	var all []Step
	for _, h := range d.Batter.Inventory(d.Bar) {
		if counts(d, in, h) {
			all = append(all, constituent(d.Batter, h))
		}
	}
	return all
}

// counts reports whether a constituent is part of what an allergen is printed for, on top
// of the lines of its own name.
func counts(d declare.Declaration, in declare.Ingredient, h bar.Held) bool {
	means := func(name string) bool { return d.Allergen(name) == in.Name }
	isWhole := func(oil bar.Names) bool { return means(oil.ID) || means(oil.EU) || means(oil.US) }
	switch h.Basis {
	case bar.Beside:
		return false
	case bar.Listed:
		if h.Line < 0 || slices.Contains(in.Lines, h.Line) {
			return false
		}
		line := d.Bar.Lines[h.Line]
		return (line.Role == bar.EssentialOil || line.Role == bar.Perfume) && isWhole(line.Names)
	}
	parts := d.Batter.Sources[h.Source].Parts
	return means(h.Name) && !(len(parts) == 1 && isWhole(parts[0].Names)) // else the whole counts already
}

// published begins the statement of what the literature tells of an oil.
const published = "published in "

// constituent gives the step of a constituent. What it gives is the middle of what there
// can be, as in the declaration; the working tells the most, by which the law's threshold
// is judged.
func constituent(b *bar.Batter, h bar.Held) Step {
	s := b.Sources[h.Source]
	st := Step{
		From: h.Ref, Name: s.Work.Name, Grams: &s.Mass, Part: h.Name, Becomes: "stays as it is",
		Gives: h.Grams.Middle(), Statement: paper(s), At: h.At.String(),
	}
	if s.Mass > 0 {
		of := h.Grams.Times(100 / s.Mass)
		st.Share = declare.Percent{Low: of.Low, Nominal: of.Middle(), High: of.High}
	}
	switch h.Basis {
	case bar.Listed:
		st.Becomes = "stays as it is, and counts as a whole"
	case bar.Published:
		st.Statement = published + h.Cite
		if h.Known == inci.Memory {
			st.Statement += ", from memory"
		}
	case bar.Stated:
		if st.Statement == "" {
			st.Statement = "the supplier of " + b.Scents[h.Scent].Material
		}
	}
	if h.Scent >= 0 {
		if scent := b.Scents[h.Scent].Material; s.Material == nil || s.Material.ID != scent {
			st.Part += " of " + scent
		}
	}
	st.Working = fmt.Sprintf("%.1f g × %.4g %% = %.4g g", s.Mass, st.Share.Nominal, st.Gives)
	if !h.Grams.IsPoint() {
		st.Working += fmt.Sprintf("; the high end decides whether it is named: %.4g g", h.Grams.High)
	}
	return st
}
