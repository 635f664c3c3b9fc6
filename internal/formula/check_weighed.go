package formula

import (
	"fmt"
	"slices"

	"saponym/internal/finding"
)

// CheckWeighed reports where [AsWeighed] does not take the weights of a batch as they
// stand, and what went into the batch that the formula says nothing of: in either case
// the bars may be others than the formula makes. The formula is a whole one; see
// [Complete]. The findings point into the file of the batch, in its order.
//
// It stops at an alkali, or anything else, that is not in the formula, and at a pot or
// an alkali that was weighed in part. An addition of which a lot has no weight warns.
// That nothing has a weight, or that of a liquid or of water cannot be used, is a note.
// What the formula has and the batch does not name is as the formula says it, and no
// finding, unless it is in the pot or the alkali.
func CheckWeighed(f Formula, b Batch) []Finding {
	var findings []Finding
	report := reporter(func(f Finding) { findings = append(findings, f) })
	checkInFormula(f, b, report)
	scale, whole := newWeighing(f, b)
	hasWeight := func(lot Weighed) bool { return lot.Weight.Given() }
	switch missing := scale.missing(f); {
	case !slices.ContainsFunc(b.Weighed, hasWeight):
		at := b.Code.At
		if !b.Code.Given() {
			at = finding.Pos{File: b.File}
		}
		report.note(RuleUnweighed, at, "nothing in the batch has a weight: the amounts of the formula are taken", `write under "weighed" what the scale said, as far as it was noted`)
	case len(missing) > 0:
		reportMissing(missing, b, report)
	case whole:
		scale.reportUnused(f, b, report)
	}
	finding.Sort(findings)
	return findings
}

// line gives a line of what was weighed as one of a pot or a base, without its weight.
func (w Weighed) line() Ingredient { return Ingredient{Material: w.Material, Batch: w.Batch} }

// lines gives all that is weighed for a formula, without amounts.
func (f Formula) lines() []Ingredient {
	all := slices.Concat(f.Pot, f.Base, f.Lye.alkalis())
	for _, l := range f.Lye.Liquids {
		all = append(all, Ingredient{Material: l.Material})
	}
	for _, a := range f.Add {
		all = append(all, Ingredient{Material: a.Material, Batch: a.Batch})
		all = append(all, a.With...)
	}
	if f.Lye.Water != (Water{}) {
		all = append(all, Ingredient{Material: Text{V: "water", At: f.Lye.At}})
	}
	return all
}

// checkInFormula reports what went into a batch and is not in its formula, each thing
// once.
func checkInFormula(f Formula, b Batch, report reporter) {
	seen := map[string]bool{}
	var materials, batches []string
	for _, in := range f.lines() {
		seen[lineKey(in)] = true
		if in.Batch.Given() {
			batches = append(batches, in.Batch.V)
		} else {
			materials = append(materials, ID(in.Material.V))
		}
	}
	const remedy = "write a formula of its own for this batch, or correct the record"
	for _, lot := range b.Weighed {
		name, key := lot.line().Name(), lineKey(lot.line())
		if seen[key] || !name.Given() {
			continue
		}
		seen[key] = true
		isName := func(alkali string) bool { return ID(alkali) == ID(name.V) }
		switch {
		case lot.Batch.Given():
			report.stop(RuleOtherThing, name.At, fmt.Sprintf("own bars of %q went into the batch and are not in the formula, so what is in its bars is not known", name.V), didYouMean(name.V, batches, remedy))
		case slices.ContainsFunc(alkaliNames, isName):
			report.stop(RuleOtherAlkali, name.At, fmt.Sprintf("%q went into the batch and is not in the formula, so how much became soap is not known", name.V), remedy)
		default:
			report.stop(RuleOtherThing, name.At, fmt.Sprintf("%q went into the batch and is not in the formula, so what is in its bars is not known", name.V), didYouMean(ID(name.V), materials, remedy))
		}
	}
}

// reportMissing reports weights that are of no use, since these lines have none or not
// all of theirs. The place is the first of them in the batch, if one is there.
func reportMissing(missing []Ingredient, b Batch, report reporter) {
	var names []string
	at := b.Weighed[0].line().place(b.Code.At)
	for i := len(b.Weighed) - 1; i >= 0; i-- {
		lot := b.Weighed[i]
		if slices.ContainsFunc(missing, func(in Ingredient) bool { return lineKey(in) == lineKey(lot.line()) }) {
			at = lot.line().place(at)
		}
	}
	for _, in := range missing {
		names = append(names, in.Name().V)
	}
	report.stop(RulePartWeighed, at, fmt.Sprintf("how much of %s went into the batch is not known from its record, so its other weights cannot be used", listing(names, "and")), `write under "weighed" what the scale said of each lot`)
}

// reportUnused reports weights in whose place the formula's amount is taken, each thing
// once.
func (w weighing) reportUnused(f Formula, b Batch, report reporter) {
	weighed, open := map[string]bool{}, map[string]bool{}
	for _, lot := range b.Weighed {
		key := lineKey(lot.line())
		weighed[key] = weighed[key] || lot.Weight.Given()
		open[key] = open[key] || !lot.Weight.Given()
	}
	unused := map[string]bool{}
	for _, in := range f.lines() {
		key := lineKey(in)
		_, used := w.sums[key]
		unused[key] = weighed[key] && !used
	}
	for _, lot := range b.Weighed {
		name, key := lot.line().Name(), lineKey(lot.line())
		switch {
		case !unused[key]:
		case open[key]:
			report.warn(RuleUnusedWeight, name.At, fmt.Sprintf("a lot of %q has no weight, so those of its other lots are not used: the amount of the formula is taken", name.V), `write under "weighed" what the scale said of each lot`)
		default:
			report.note(RuleUnusedWeight, name.At, fmt.Sprintf("the weight of %q is not used, since it does not tell how the water of the lye was made up: the amount of the formula is taken", name.V), "if another amount went in, write a formula of its own for this batch")
		}
		delete(unused, key)
	}
}

// Names gives the names of all that is weighed for a formula: materials, and the codes of
// own bars.
func (f Formula) Names() []Text {
	var names []Text
	for _, in := range f.lines() {
		names = append(names, in.Name())
	}
	return names
}
