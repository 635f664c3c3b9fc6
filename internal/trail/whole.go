package trail

import (
	"slices"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/declare"
	"saponym/internal/measure"
)

// Whole gives the flow of a whole batch for a declaration in the style as cured, with the
// trail of a word lit; "" lights none. Alkali goes into the soaps that hold it, and the
// water left comes from all that brought water in proportion: how it is in truth nobody
// can know.
func Whole(d declare.Declaration, title, market, word string) Flow {
	f := Flow{Formula: title, Market: market, Word: word}
	if d.Bar == nil {
		return f
	}
	w := &weaver{flow: &f, bar: d.Bar, word: word, weighed: map[int]int{}}
	at, masses := d.Bar.Shown()
	for i, s := range d.Bar.Sources {
		if s.Mass > 0 {
			w.weighed[i] = len(f.Weighed)
			f.Weighed = append(f.Weighed, Node{Name: s.Work.Name, Note: paper(s), Grams: Grams{s.Mass, s.Mass, s.Mass}})
		}
	}
	in := make([]int, len(d.Bar.Lines)) // the word of each line
	for l := range in {
		in[l] = -1
	}
	for n, one := range d.Ingredients {
		lit := one.Name == word
		joint := one.Next != nil && (*one.Next == declare.CouldSwap || *one.Next == declare.Unproved)
		f.Words = append(f.Words, Node{Name: one.Name, Lit: lit, Joint: joint})
		for _, l := range one.Lines {
			in[l] = n
		}
	}
	for l, line := range d.Bar.Lines {
		if masses[l] <= d.Bar.Tie() || !line.Counted() {
			continue
		}
		to := in[l]
		if to < 0 { // what is left of a thing that is declared as it was bought
			to = slices.IndexFunc(d.Ingredients, func(one declare.Ingredient) bool {
				return slices.ContainsFunc(one.Lines, func(k int) bool {
					return d.Bar.Lines[k].Role == bar.Bought && d.Bar.Lines[k].Names == line.Names
				})
			})
		}
		w.line(l, to, spread(d.Bar, l))
	}
	w.gone(at)
	for i := range f.Words {
		var sum Grams
		for _, r := range f.Named {
			if r.To == i {
				sum = Grams{sum.Low + r.Grams.Low, sum.Nominal + r.Grams.Nominal, sum.High + r.Grams.High}
			}
		}
		if one := d.Ingredients[i]; len(one.Lines) == 0 { // an allergen, whose mass is in the scent
			total := d.Bar.Total(masses) / 100
			sum = Grams{one.Share.Low * total, one.Share.Nominal * total, one.Share.High * total}
			f.Words[i].Note = "within the scent"
		}
		f.Words[i].Grams = sum
	}
	return f
}

// spread gives the grams of a line.
func spread(b *bar.Bar, line int) Grams {
	weights := make([]float64, len(b.Lines))
	weights[line] = 1
	r := b.Ratio(weights, nil)
	nominal := b.Masses()[line]
	return Grams{max(0, min(r.Low, nominal)), nominal, max(r.High, nominal)}
}

// part gives a part of some grams.
func (g Grams) part(of float64) Grams { return Grams{g.Low * of, g.Nominal * of, g.High * of} }

// A weaver makes the ribbons of a flow.
type weaver struct {
	flow    *Flow
	bar     *bar.Bar
	word    string
	weighed map[int]int // the node of each source
}

// line adds a line of the bar, with the ribbons to it and from it.
func (w *weaver) line(l, to int, grams Grams) {
	line := w.bar.Lines[l]
	lit := to >= 0 && w.flow.Words[to].Lit
	n := len(w.flow.Bar)
	w.flow.Bar = append(w.flow.Bar, Node{Name: nameOf(w.bar, line), Grams: grams, Lit: lit})
	if to >= 0 {
		w.flow.Named = append(w.flow.Named, Ribbon{n, to, grams, lit})
	}
	from := map[int]float64{} // nominal grams by source
	for _, t := range line.Terms {
		if t.Product == bar.Moisture || t.Product == bar.BoughtMoisture {
			for i, share := range w.wet(t.Product == bar.BoughtMoisture) {
				from[i] += share * w.bar.Account(t).Grams
			}
			continue
		}
		made := w.bar.Account(t).Grams
		alkali := w.bar.AlkaliIn(t)
		from[t.Source] += made - alkali
		for i, share := range w.lyes(t.Product == bar.PotassiumSoap) {
			from[i] += share * alkali
		}
	}
	for i := range w.bar.Sources {
		node, ok := w.weighed[i]
		if ok && from[i] > 0 && grams.Nominal > 0 {
			w.flow.Weighed[node].Lit = w.flow.Weighed[node].Lit || lit
			w.flow.Made = append(w.flow.Made, Ribbon{node, n, grams.part(from[i] / grams.Nominal), lit})
		}
	}
}

// gone adds what has left: all that is in no line of the bar.
func (w *weaver) gone(at bar.Point) {
	out := map[int]float64{}
	total := 0.0
	for i, s := range w.bar.Sources {
		node, ok := w.weighed[i]
		if !ok {
			continue
		}
		left := s.Mass
		for _, r := range w.flow.Made {
			if r.From == node {
				left -= r.Grams.Nominal
			}
		}
		if left > 1e-9*(1+s.Mass) {
			out[node] = left
			total += left
		}
	}
	if total == 0 {
		return
	}
	n := len(w.flow.Bar)
	weight := w.bar.Weight()
	all := measure.Range{}
	for _, s := range w.bar.Sources {
		all.Low, all.High = all.Low+s.Mass, all.High+s.Mass
	}
	grams := Grams{max(0, min(total, all.Low-weight.High)), total, max(total, all.High-weight.Low)}
	w.flow.Bar = append(w.flow.Bar, Node{Name: "water that has left", Grams: grams, Gone: true})
	for node := range w.flow.Weighed {
		if out[node] > 0 {
			w.flow.Made = append(w.flow.Made, Ribbon{node, n, grams.part(out[node] / total), false})
		}
	}
}

// wet gives the part of the water that each source brought: of what is declared as bought,
// or of all else.
func (w *weaver) wet(bought bool) map[int]float64 {
	return w.divide(func(i, j int) bool {
		s := w.bar.Sources[i]
		return s.Parts[j].Role == bar.Water && (s.Bought != nil) == bought
	})
}

// lyes gives the part of one alkali that each source brought.
func (w *weaver) lyes(potassium bool) map[int]float64 {
	return w.divide(func(i, j int) bool {
		part := w.bar.Sources[i].Parts[j]
		return part.Alkali > 0 && (part.Names.ID == "potassium-hydroxide") == potassium
	})
}

// divide gives the part that each source has in the mass of some parts.
func (w *weaver) divide(of func(source, part int) bool) map[int]float64 {
	at, _ := w.bar.Shown()
	parts, total := map[int]float64{}, 0.0
	for i, s := range w.bar.Sources {
		for j := range s.Parts {
			if of(i, j) {
				parts[i] += s.Mass * at.Shares[i][j]
				total += s.Mass * at.Shares[i][j]
			}
		}
	}
	for i := range parts {
		parts[i] /= total
	}
	return parts
}

// nameOf says what a line of the bar is.
func nameOf(b *bar.Bar, line bar.Line) string {
	t := line.Terms[0]
	if t.Product == bar.BoughtMoisture {
		return "water of what was bought"
	}
	if t.Product == bar.Moisture {
		return "water left"
	}
	s := b.Sources[t.Source]
	name := s.Work.Name
	if len(s.Parts) > 1 && t.Product != bar.Whole {
		if part, ok := inci.ByID(s.Parts[t.Part].Names.ID); ok {
			name = part.Name + " of " + name
		}
	}
	switch line.Role {
	case bar.Salt:
		return "soap of " + name
	case bar.LeftOver:
		return name + " left over"
	case bar.Glycerin:
		return "glycerin"
	case bar.Remains:
		return "what is left of " + s.Work.Name
	case bar.Impurity:
		return "what is no hydroxide"
	}
	return name
}
