package trail

import (
	"fmt"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/declare"
)

// Whole gives the flow of a whole batch for a declaration in the style as cured, with the
// trail of a word lit; "" lights none. Alkali goes into the soaps that hold it, and the
// water left comes from all that brought water in proportion: how it is in truth nobody
// can know. Where no weight of lye is given the picture tells none either.
func Whole(d declare.Declaration, title, market, word string) Flow {
	f := Flow{Formula: title, Market: market, Word: word, NoLye: noLye(d)}
	if d.Bar == nil {
		return f
	}
	w := &weaver{flow: &f, bar: d.Bar, word: word, weighed: map[int]int{}}
	masses := d.Bar.Masses()
	for i, s := range d.Bar.Sources {
		if s.Mass > 0 {
			w.weighed[i] = len(f.Weighed)
			node := Node{Name: s.Work.Name, Note: noteOf(d.Bar, s), Grams: Grams{s.Mass, s.Mass, s.Mass}}
			if w.withheld(i) {
				node = Node{Name: s.Work.Name, Note: noWeight, Bare: true}
			}
			f.Weighed = append(f.Weighed, node)
		}
	}
	in := make([]int, len(d.Bar.Lines)) // the word of each line
	for l := range in {
		in[l] = -1
	}
	for n, one := range d.Ingredients {
		node := Node{Name: one.Name, Lit: one.Name == word}
		if one.Next != nil {
			node.Joint = map[declare.Order]Joint{declare.CouldSwap: Loose, declare.Unproved: Unproved}[*one.Next]
		}
		f.Words = append(f.Words, node)
		for _, l := range one.Lines {
			in[l] = n
		}
	}
	for l, line := range d.Bar.Lines {
		if masses[l] <= d.Bar.Tie() || !line.Counted() {
			continue
		}
		to := in[l]
		if to < 0 {
			to = boughtAs(d, line)
		}
		w.add(l, to)
	}
	for _, s := range w.stuffs {
		w.weave(s)
	}
	if f.NoLye == "" { // else it tells how much water there was
		w.gone()
	}
	for i := range f.Words {
		var sum Grams
		for _, r := range f.Named {
			if r.To == i {
				sum = Grams{sum.Low + r.Grams.Low, sum.Nominal + r.Grams.Nominal, sum.High + r.Grams.High}
			}
		}
		one := d.Ingredients[i]
		total := d.Bar.Total(masses) / 100
		share := Grams{one.Share.Low * total, one.Share.Nominal * total, one.Share.High * total}
		switch {
		case len(one.Lines) == 0: // an allergen, whose mass is in the scent
			sum = share
			f.Words[i].Note, f.Words[i].Apart = "within the scent", true
			if f.Words[i].Lit {
				w.scent(one.From)
			}
		case slices.ContainsFunc(one.Lines, func(l int) bool { return d.Bar.Lines[l].Role == bar.Bought }):
			f.Words[i].Note = fmt.Sprintf("stands by the %.4g g that were added", share.Nominal)
		}
		f.Words[i].Grams = sum
	}
	return f
}

// boughtAs gives the word under which a line is declared of which the whole thing is
// declared as it was bought: its remains by their name, its water where one such thing
// alone brought it. It is -1 where no word tells of the line.
func boughtAs(d declare.Declaration, line bar.Line) int {
	found := -1
	for i, one := range d.Ingredients {
		for _, l := range one.Lines {
			if d.Bar.Lines[l].Role != bar.Bought {
				continue
			}
			if d.Bar.Lines[l].Names == line.Names {
				return i
			}
			if line.Terms[0].Product == bar.BoughtMoisture {
				if found >= 0 {
					return -1
				}
				found = i
			}
		}
	}
	return found
}

// noteOf says by which paper a weighed thing is known, or else what it is stirred in for.
func noteOf(b *bar.Bar, s bar.Source) string {
	note := paper(s)
	if note == "" && s.Work.With > 0 {
		note = "for " + b.Sources[s.Work.With-1].Work.Name
	}
	return note
}

// spread gives the grams of some lines together.
func spread(b *bar.Bar, lines []int) Grams {
	weights := make([]float64, len(b.Lines))
	nominal := 0.0
	for _, l := range lines {
		weights[l] = 1
		nominal += b.Masses()[l]
	}
	r := b.Ratio(weights, nil)
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
	stuffs  []stuff
}

// A stuff is the lines of the bar that go by one name there and under one word: an oil that
// is weighed at two places is one oil in the bar.
type stuff struct {
	name  string
	to    int // the word; -1 for none
	lines []int
}

// add puts a line of the bar to its like.
func (w *weaver) add(l, to int) {
	name := nameOf(w.bar, w.bar.Lines[l])
	i := slices.IndexFunc(w.stuffs, func(s stuff) bool { return s.name == name && s.to == to })
	if i < 0 {
		i = len(w.stuffs)
		w.stuffs = append(w.stuffs, stuff{name: name, to: to})
	}
	w.stuffs[i].lines = append(w.stuffs[i].lines, l)
}

// withheld reports whether no weight of a source is told.
func (w *weaver) withheld(source int) bool {
	return w.flow.NoLye != "" && ofLye(w.bar.Sources[source])
}

// weave adds what is in the bar, with the ribbons to it and from it.
func (w *weaver) weave(s stuff) {
	to, n := s.to, len(w.flow.Bar)
	lit := to >= 0 && w.flow.Words[to].Lit
	var terms []bar.Term
	for _, l := range s.lines {
		terms = append(terms, w.bar.Lines[l].Terms...)
	}
	if slices.ContainsFunc(terms, func(t bar.Term) bool {
		return t.Product != bar.Moisture && t.Product != bar.BoughtMoisture && w.withheld(t.Source)
	}) { // the alkali itself, or what is no hydroxide in it: by that the rest could be told
		w.flow.Bar = append(w.flow.Bar, Node{Name: s.name, Note: noWeight, Bare: true, Lit: lit})
		return
	}
	grams := spread(w.bar, s.lines)
	w.flow.Bar = append(w.flow.Bar, Node{Name: s.name, Grams: grams, Lit: lit})
	if to >= 0 {
		w.flow.Named = append(w.flow.Named, Ribbon{n, to, grams, lit})
	}
	from := map[int]float64{} // nominal grams by source
	for _, t := range terms {
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
			if w.withheld(i) {
				w.flow.Weighed[node].Lit = w.flow.Weighed[node].Lit || lit
				continue
			}
			w.flow.Weighed[node].Lit = w.flow.Weighed[node].Lit || lit
			w.flow.Made = append(w.flow.Made, Ribbon{node, n, grams.part(from[i] / grams.Nominal), lit})
		}
	}
}

// scent lights what an allergen is within: the scents that the formula weighs at these
// places, and all that they have become.
func (w *weaver) scent(from []string) {
	for i, s := range w.bar.Sources {
		if !slices.Contains(from, s.Ref) {
			continue
		}
		node, ok := w.weighed[i]
		if !ok {
			continue
		}
		w.flow.Weighed[node].Lit = true
		for k := range w.flow.Made {
			made := &w.flow.Made[k]
			if made.From != node || w.flow.Bar[made.To].Gone {
				continue
			}
			made.Lit, w.flow.Bar[made.To].Lit = true, true
			for n := range w.flow.Named {
				w.flow.Named[n].Lit = w.flow.Named[n].Lit || w.flow.Named[n].From == made.To
			}
		}
	}
}

// gone adds what has left: all that is in no line of the bar.
func (w *weaver) gone() {
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
	all := 0.0
	for _, s := range w.bar.Sources {
		all += s.Mass
	}
	grams := Grams{max(0, min(total, all-weight.High)), total, max(total, all-weight.Low)}
	w.flow.Bar = append(w.flow.Bar, Node{Name: "water and all else that has left", Grams: grams, Gone: true})
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
	switch {
	case line.Role == bar.Remains:
		return "what is left of " + name
	case line.Role == bar.Impurity:
		return "what is no hydroxide"
	case t.Product == bar.Whole:
		return name
	}
	part := s.Parts[t.Part]
	if len(s.Parts) > 1 {
		own := part.Names.EU
		if known, ok := inci.ByID(part.Names.ID); ok {
			own, _, _ = strings.Cut(known.Name, " (") // what stands in brackets is for a formula: "glycerin (added)"
		}
		if own != "" {
			name = own + " of " + name
		}
	}
	switch t.Product {
	case bar.SodiumSoap, bar.PotassiumSoap:
		if part.Acid != nil {
			return line.Names.EU
		}
		switch {
		case !twoAlkalis(b):
			return "soap of " + name
		case t.Product == bar.SodiumSoap:
			return "sodium soap of " + name
		}
		return "potassium soap of " + name
	case bar.Glycerol:
		return "glycerin set free"
	}
	if line.Role == bar.LeftOver {
		return name + " left over"
	}
	return name
}

// twoAlkalis reports whether there are soaps of both alkalis.
func twoAlkalis(b *bar.Bar) bool {
	made := map[bar.Product]bool{}
	for _, line := range b.Lines {
		for _, t := range line.Terms {
			made[t.Product] = true
		}
	}
	return made[bar.SodiumSoap] && made[bar.PotassiumSoap]
}
