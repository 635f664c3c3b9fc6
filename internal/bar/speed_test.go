package bar_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/bar"
	"saponym/internal/formula"
)

// inRank gives the declared lines in the order of their masses where one figure is shown.
func inRank(b *bar.Bar) []int {
	var lines []int
	masses := b.Masses()
	for l, line := range b.Lines {
		if line.Declared() && masses[l] > b.Tie() {
			lines = append(lines, l)
		}
	}
	slices.SortStableFunc(lines, func(a, b int) int { return cmp.Compare(masses[b], masses[a]) })
	return lines
}

// words gives the lines that are declared by one word, in the order of their masses where
// one figure is shown.
func words(b *bar.Bar) [][]int {
	masses := b.Masses()
	named := map[string][]int{}
	mass := map[string]float64{}
	var names []string
	for _, l := range inRank(b) {
		name := b.Lines[l].Names.EU
		if named[name] == nil {
			names = append(names, name)
		}
		named[name], mass[name] = append(named[name], l), mass[name]+masses[l]
	}
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(mass[b], mass[a]) })
	var all [][]int
	for _, name := range names {
		all = append(all, named[name])
	}
	return all
}

// judged asks of each word of a declaration whether it is surely before the next one.
func judged(b *bar.Bar) map[bar.Verdict]int {
	verdicts := map[bar.Verdict]int{}
	all := words(b)
	for i := range len(all) - 1 {
		q := bar.Question{Weights: make([]float64, len(b.Lines))}
		for _, l := range all[i] {
			q.Weights[l] = 1
		}
		for _, l := range all[i+1] {
			q.Weights[l] = -1
		}
		verdicts[b.Holds(q).Verdict]++
	}
	return verdicts
}

// BenchmarkVerdicts judges the neighbours in many formulas. It reports of a hundred pairs
// how many are certain, could swap and stay unproved; how many of those that could swap
// were never seen to in 2000 bars that were drawn, 200 of them after one thing was drawn
// again; and how many of the unproved were seen to.
func BenchmarkVerdicts(b *testing.B) {
	some := rapid.Custom(aLoose)
	for b.Loop() {
		pairs, certain, swap, unproved, unseen, swapped := 0, 0, 0, 0, 0, 0
		for n := range 200 {
			f := some.Example(n)
			batter, _ := f.pour(b)
			if batter == nil {
				continue
			}
			made, err := batter.Cured(bar.Unweighed)
			if err != nil {
				continue
			}
			s := newSampler(rand.New(rand.NewPCG(uint64(n), 1)), batter, made, cured)
			if f.own != nil {
				s.ofCrumbs(b, f)
			}
			bars := s.gather(b, 1800)
			lines := inRank(made)
			for i := range len(lines) - 1 {
				q := bar.Question{Weights: make([]float64, len(made.Lines))}
				q.Weights[lines[i]], q.Weights[lines[i+1]] = 1, -1
				pairs++
				switch made.Holds(q).Verdict {
				case bar.Proved:
					certain++
				case bar.Refuted:
					swap++
					if low, _ := s.least(q, bars, 200); low >= 0 {
						unseen++
					}
				default:
					unproved++
					if low, _ := s.least(q, bars, 200); low < -made.Tie() {
						swapped++
					}
				}
			}
		}
		of := func(n, all int) float64 { return 100 * float64(n) / math.Max(1, float64(all)) }
		b.ReportMetric(float64(pairs), "pairs")
		b.ReportMetric(of(certain, pairs), "%certain")
		b.ReportMetric(of(swap, pairs), "%could-swap")
		b.ReportMetric(of(unproved, pairs), "%unproved")
		b.ReportMetric(float64(unseen), "never-seen")
		b.ReportMetric(float64(swapped), "unproved-but-seen")
	}
}

// largeFormula is one of three blends of so many parts of which only the order and the
// saponification value are known, single oils with ranges, and additives: with 15 parts
// it has some 40 ingredients.
func largeFormula(t testing.TB, parts int) (formula.Formula, formula.Library) {
	oils := []string{
		"Olea Europaea (Olive) Fruit Oil", "Cocos Nucifera (Coconut) Oil", "Ricinus Communis (Castor) Seed Oil", "Butyrospermum Parkii (Shea) Butter",
		"Theobroma Cacao (Cocoa) Seed Butter", "Helianthus Annuus (Sunflower) Seed Oil", "Oryza Sativa (Rice) Bran Oil", "Elaeis Guineensis (Palm) Oil",
		"Persea Gratissima (Avocado) Oil", "Prunus Amygdalus Dulcis (Sweet Almond) Oil", "Prunus Armeniaca (Apricot) Kernel Oil", "Mangifera Indica (Mango) Seed Butter",
		"Glycine Soja (Soybean) Oil", "Carthamus Tinctorius (Safflower) Seed Oil", "Linum Usitatissimum (Linseed) Seed Oil",
	}
	var own []formula.Material
	var text strings.Builder
	text.WriteString("name: Large\nidentity: soap\npot:\n")
	for n := range 3 {
		id := fmt.Sprintf("blend-%d", n)
		var list strings.Builder
		fmt.Fprintf(&list, "name: Blend\nkind: oil blend\nsap: %d mg KOH/g\norder: descending\ncontains:\n", 200+2*n)
		for i := range parts {
			fmt.Fprintf(&list, "  - {inci: %s}\n", oils[(i+5*n)%len(oils)])
		}
		own = append(own, material(t, id, list.String()))
		fmt.Fprintf(&text, "  - {material: %s, weight: %d g}\n", id, 500-100*n)
	}
	for _, id := range []string{"castor-oil", "cocoa-butter", "palm-oil"} {
		fmt.Fprintf(&text, "  - {material: %s, weight: 60 g}\n", id)
	}
	text.WriteString("lye: {alkali: sodium hydroxide, purity: 97-99%, superfat: 12%, water: {strength: 33%}}\nadd:\n")
	for i, id := range []string{"kaolin", "sugar", "salt", "oat-flour", "lavender-oil", "mica", "silk"} {
		fmt.Fprintf(&text, "  - {material: %s, weight: %d g}\n", id, 5+9*i)
	}
	return read(t, text.String()), formula.NewLibrary(own)
}

// BenchmarkNeighbours judges all neighbours of a formula of blends.
func BenchmarkNeighbours(b *testing.B) {
	for _, parts := range []int{5, 10, 15, 30, 60} {
		b.Run(fmt.Sprintf("%d parts", parts), func(b *testing.B) {
			f, library := largeFormula(b, parts)
			batter, findings := bar.Pour(f, library)
			if batter == nil {
				b.Fatal(rules(findings))
			}
			var verdicts map[bar.Verdict]int
			for b.Loop() {
				made, err := batter.Cured(bar.Unweighed)
				if err != nil {
					b.Fatal(err)
				}
				verdicts = judged(made)
			}
			b.ReportMetric(float64(verdicts[bar.Proved]), "certain")
			b.ReportMetric(float64(verdicts[bar.Refuted]), "could-swap")
			b.ReportMetric(float64(verdicts[bar.Unproved]), "unproved")
		})
	}
}
