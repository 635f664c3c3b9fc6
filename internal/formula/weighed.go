package formula

import (
	"maps"
	"math"
	"slices"

	"saponym/internal/measure"
)

// AsWeighed gives the formula as a batch was really made.
//
// Lots of one material, and of one batch of own bars, are added up. A material that
// stands on several lines is divided among them as the formula has it. Then
//
//   - the pot, or the base, has the weights of the scale;
//   - the lye has the weight of its alkali, or of its ready-made solution, in place of
//     a superfat or a ratio; two alkalis have the shares of their weights;
//   - additions, and what they are stirred into, have their weights where they were
//     weighed;
//   - water that was weighed is the water of the lye. Where it may be other water too,
//     since water stands among the additions, and where a liquid or a solution brings
//     water of its own, how much of it is not known here: then water and liquids stay
//     as the formula says;
//   - whatever else is typed as a weight is scaled from the oils that it was written
//     for to those that were weighed. Where it was written for a batter or a mould, how
//     much oil that is cannot be told here, and it stays as typed;
//   - shares stay, and are now of what was weighed;
//   - Size and WrittenFor are cleared: the pot says how much it is.
//
// Where a line of the pot, or the alkali, was not weighed, or a lot of it has no weight
// yet, the formula comes back as it is. The one that is given is not changed. What of
// the batch is not used, [CheckWeighed] tells.
func AsWeighed(f Formula, b Batch) Formula {
	scale, ok := newWeighing(f, b)
	if !ok {
		return f
	}
	f.Pot, f.Base = scale.lines("pot", f.Pot), scale.lines("base", f.Base)
	f.Lye = scale.lye(f.Lye)
	add := slices.Clone(f.Add)
	for i, a := range add {
		add[i].Amount = scale.amount(addKey(a), place{"add", i, -1}, a.Amount)
		with := slices.Clone(a.With)
		for j, in := range with {
			with[j].Amount = scale.amount(materialKey(in.Material), place{"add", i, j}, in.Amount)
		}
		add[i].With = with
	}
	f.Add, f.Size, f.WrittenFor = add, Size{}, Size{}
	return f
}

// A weighing is what the scale said, spread over the lines of a formula.
type weighing struct {
	sums   map[string]Mass // by key: see materialKey
	parts  map[place]measure.Mass
	factor float64 // by which weights that were not weighed are scaled
}

// A place is a line of a formula.
type place struct {
	list    string
	i, with int // with is -1 for the line itself
}

// materialKey gives the key of a material among what was weighed.
func materialKey(name Text) string { return "material " + ID(name.V) }

// addKey gives that of an addition: a material, or own bars.
func addKey(a Addition) string {
	if a.Batch.Given() {
		return "batch " + a.Batch.V
	}
	return materialKey(a.Material)
}

// lineKey gives that of a line in the pot or the base.
func lineKey(in Ingredient) string { return addKey(Addition{Material: in.Material, Batch: in.Batch}) }

// newWeighing spreads what was weighed. It is false where the pot or the alkali was
// not weighed whole.
func newWeighing(f Formula, b Batch) (weighing, bool) {
	w := weighing{sums: sums(b.Weighed), parts: map[place]measure.Mass{}}
	w.leaveOutWater(f)
	if len(f.pot()) == 0 || len(f.Base) == 0 && len(f.Lye.alkalis()) == 0 || len(w.missing(f)) > 0 {
		return w, false
	}
	made, seen := measure.Mass(0), map[string]bool{}
	for _, line := range f.pot() {
		key := lineKey(line)
		if !seen[key] {
			made = plus(made, w.sums[key].V)
		}
		seen[key] = true
	}
	// The oils that the formula reckons with; those of a batter or a mould are taken
	// to be the ones that were weighed.
	oils := float64(made)
	if from := f.typedFor().Oils; from.Given() && from.V > 0 {
		oils = float64(from.V)
	}
	w.spread(f, oils)
	made = 0
	for at, part := range w.parts {
		if at.list == "pot" || at.list == "base" {
			made = plus(made, part)
		}
	}
	w.factor = 1
	if f.typedFor().Oils.Given() {
		w.factor = float64(made) / oils
	}
	return w, true
}

// sums adds up the lots. What has a lot without a weight is left out.
func sums(lots []Weighed) map[string]Mass {
	all, open := map[string]Mass{}, map[string]bool{}
	for _, lot := range lots {
		key := addKey(Addition{Material: lot.Material, Batch: lot.Batch})
		all[key] = Mass{V: plus(all[key].V, lot.Weight.V), At: lot.Weight.At}
		open[key] = open[key] || !lot.Weight.Given()
	}
	maps.DeleteFunc(all, func(key string, _ Mass) bool { return open[key] })
	return all
}

// leaveOutWater forgets the weights of liquids, and that of water where it may be
// another part of the water of the lye than the formula gives, or that of an addition.
func (w weighing) leaveOutWater(f Formula) {
	for _, l := range f.Lye.Liquids {
		delete(w.sums, materialKey(l.Material))
	}
	if f.Lye.At.Line == 0 {
		return
	}
	elsewhere := len(f.Lye.Liquids) > 0 || f.Lye.Solution.Given()
	for _, a := range f.Add {
		isWater := func(in Ingredient) bool { return lineKey(in) == waterKey }
		elsewhere = elsewhere || addKey(a) == waterKey || slices.ContainsFunc(a.With, isWater)
	}
	if elsewhere {
		delete(w.sums, waterKey)
	}
}

// waterKey is the key of plain water.
const waterKey = "material water"

// IsWater reports whether a line is plain water, which comes in no lots.
func (w Weighed) IsWater() bool { return lineKey(w.line()) == waterKey }

// missing gives the lines of the pot or the base, and the alkali of a pot, that were
// not weighed whole: each thing once, and without its amount.
func (w weighing) missing(f Formula) []Ingredient {
	lines := f.pot()
	if len(f.Base) == 0 {
		lines = slices.Concat(lines, f.Lye.alkalis())
	}
	var all []Ingredient
	seen := map[string]bool{}
	for _, in := range lines {
		key := lineKey(in)
		if _, ok := w.sums[key]; !ok && !seen[key] {
			all = append(all, Ingredient{Material: in.Material, Batch: in.Batch})
		}
		seen[key] = true
	}
	return all
}

// alkalis gives what is weighed of the alkali of a lye: dry, or as a ready-made
// solution.
func (l Lye) alkalis() []Ingredient {
	if l.Solution.Given() {
		return []Ingredient{{Material: l.Solution}}
	}
	var all []Ingredient
	for _, a := range l.Alkalis {
		all = append(all, Ingredient{Material: a.Name})
	}
	return all
}

// spread divides each thing that was weighed among the lines on which it stands, in
// proportion to what these are for so many nanograms of oils.
func (w weighing) spread(f Formula, oils float64) {
	planned, lines := map[string][]float64{}, map[string][]place{}
	note := func(key string, at place, a Amount, in Text) {
		mass := float64(a.Weight.V)
		if !a.Weight.Given() {
			mass = a.Share.V.Fraction() * oils
		}
		for _, p := range f.Portions {
			if !a.Weight.Given() && in.Given() && p.Name.V == in.V {
				mass *= p.Share.V.Fraction()
			}
		}
		planned[key], lines[key] = append(planned[key], mass), append(lines[key], at)
	}
	for i, in := range f.Pot {
		note(materialKey(in.Material), place{"pot", i, -1}, in.Amount, Text{})
	}
	for i, in := range f.Base {
		note(lineKey(in), place{"base", i, -1}, in.Amount, Text{})
	}
	for i, a := range f.Add {
		note(addKey(a), place{"add", i, -1}, a.Amount, a.In)
		for j, with := range a.With {
			note(materialKey(with.Material), place{"add", i, j}, with.Amount, a.In)
		}
	}
	for key, sum := range w.sums {
		for i, part := range divide(sum.V, planned[key]) {
			w.parts[lines[key][i]] = part
		}
	}
}

// amount gives the amount of a line: as weighed, or as the formula says it, scaled.
func (w weighing) amount(key string, at place, a Amount) Amount {
	if part, ok := w.parts[at]; ok {
		return Amount{Weight: Mass{V: part, At: w.sums[key].At}}
	}
	a.Weight = w.scaled(a.Weight)
	return a
}

func (w weighing) lines(list string, lines []Ingredient) []Ingredient {
	all := slices.Clone(lines)
	for i, in := range all {
		all[i].Amount = w.amount(lineKey(in), place{list, i, -1}, in.Amount)
	}
	return all
}

func (w weighing) lye(l Lye) Lye {
	if l.At.Line == 0 {
		return l
	}
	l.Superfat, l.Weight, l.Ratio = Share{}, Mass{}, nil
	l.Liquids = slices.Clone(l.Liquids)
	for i, liquid := range l.Liquids {
		l.Liquids[i].Weight = w.scaled(liquid.Weight)
	}
	if water, ok := w.sums[waterKey]; ok {
		l.Water = Water{Weight: water}
	} else {
		l.Water.Weight = w.scaled(l.Water.Weight)
	}
	if l.Solution.Given() {
		l.Weight = w.sums[materialKey(l.Solution)]
		return l
	}
	weights := make([]float64, len(l.Alkalis))
	for i, a := range l.Alkalis {
		sum := w.sums[materialKey(a.Name)]
		weights[i] = float64(sum.V)
		l.Weight = Mass{V: plus(l.Weight.V, sum.V), At: sum.At}
	}
	if len(l.Alkalis) < 2 {
		return l
	}
	l.Alkalis, l.Of = slices.Clone(l.Alkalis), Text{V: "weight", At: l.Weight.At}
	for i, share := range divide(measure.Whole, weights) {
		l.Alkalis[i].Share = Share{V: share, At: w.sums[materialKey(l.Alkalis[i].Name)].At}
	}
	return l
}

// scaled gives a weight that was not weighed.
func (w weighing) scaled(m Mass) Mass {
	if m.Given() {
		m.V = measure.Mass(math.Round(min(float64(m.V)*w.factor, float64(heaviest))))
	}
	return m
}

// heaviest is a mass that no pot reaches and that can be reckoned with.
const heaviest measure.Mass = math.MaxInt64 / 2

// plus adds two masses; what is beyond the heaviest stays there.
func plus(a, b measure.Mass) measure.Mass {
	return min(a, heaviest) + min(b, heaviest-min(a, heaviest))
}

// divide shares out a total by weight. The parts are together exactly the total; where
// all weights are nought they are equal, to the last unit.
func divide[T measure.Mass | measure.Share](total T, weights []float64) []T {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	parts := make([]T, len(weights))
	upTo, given := 0.0, T(0)
	for i, w := range weights {
		upTo += w
		fraction := upTo / sum
		if sum == 0 {
			fraction = float64(i+1) / float64(len(weights))
		}
		until := total
		if i < len(weights)-1 {
			until = min(total, T(math.Round(float64(total)*fraction)))
		}
		parts[i], given = until-given, until
	}
	return parts
}
