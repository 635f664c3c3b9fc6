package formula

import (
	"fmt"

	"saponym/internal/finding"
	"saponym/internal/measure"
)

// checkWhole reports what is missing from a formula as a whole, and what
// contradicts itself across its parts. Top is the place of findings that have
// no better one. Tried reports whether the lye has a key, readable or not: one
// that cannot be read is a finding already and is not missing.
func checkWhole(f Formula, top finding.Pos, tried func(key string) bool, report reporter) {
	checkBase(f, top, report)
	checkLye(f.Lye, tried, report)
	checkSize(f, report)
	checkPortions(f, report)
}

// checkSize reports shares of nothing, and a size that a base does not have.
func checkSize(f Formula, report reporter) {
	lines, what := f.Pot, "pot"
	if len(f.Base) > 0 {
		lines, what = f.Base, "base"
	}
	if f.Size.Oils.Given() && len(f.Base) > 0 && len(f.Pot) == 0 {
		report.stop(RuleBaseSize, f.Size.Oils.At, "the size is given by the oils, and a ready-made base has none in the pot", `write "batter:" with the weight of it all, or "mould:"`)
		return
	}
	if f.Size != (Size{}) {
		return
	}
	for _, line := range lines {
		if !line.Share.Given() {
			continue
		}
		remedy := `add "size:" with oils, batter or mould, or write weights`
		if what == "base" {
			remedy = `add "size:" with batter or mould, or write weights`
		}
		report.stop(RulePotSize, line.Share.At, fmt.Sprintf("the %s is given in shares, and nothing says how much it is", what), remedy)
		return
	}
}

// checkLiquids reports liquids that are to stand in for more water than there is.
func checkLiquids(liquids []Liquid, report reporter) {
	var sum measure.Share
	for _, l := range liquids {
		if l.Share.V > measure.Whole {
			return // a finding already
		}
		if sum += l.Share.V; sum > measure.Whole {
			report.stop(RuleLiquids, l.Share.At, fmt.Sprintf("with this one the liquids stand in for %s of the water", percent(sum)), "write shares of the water that are at most 100 % together; what is left is plain water")
			return
		}
	}
}

// checkWith reports what cannot be stirred into something beforehand.
func checkWith(a Addition, report reporter) {
	for _, with := range a.With {
		switch at := with.place(Ingredient{Material: a.Material, Batch: a.Batch}.Name().At); {
		case a.Batch.Given():
			report.stop(RuleWith, at, fmt.Sprintf("own bars are grated and not stirred into anything, so nothing goes with %q", a.Batch.V), `write it as a line of its own under "add"`)
			return
		case with.Material.Given() && ID(with.Material.V) == ID(a.Material.V):
			report.stop(RuleWith, at, fmt.Sprintf("%q is to be stirred into itself", a.Material.V), "add the two up")
		}
	}
}

// checkBase reports a formula that has no soap in it, or half of one.
func checkBase(f Formula, top finding.Pos, report reporter) {
	pot, lye, base := len(f.Pot) > 0, f.Lye.At.Line > 0, len(f.Base) > 0
	switch {
	case base && (pot || lye):
		at := f.Lye.At
		if pot {
			at = f.Pot[0].place(top)
		}
		report.stop(RuleBase, at, "the formula has a ready-made base and a pot or a lye too", "keep the base, or the pot and its lye; oils that go into a base stand under add")
	case base:
	case !pot && !lye:
		report.stop(RuleNoLye, top, "the formula has no soap in it: neither a pot with a lye nor a base", "add pot and lye, or base")
	case !lye:
		report.stop(RuleNoLye, f.Pot[0].place(top), "the pot has no lye", `add "lye:"; oils alone do not become soap`)
	case !pot:
		report.stop(RuleNoLye, f.Lye.At, "the lye has no pot", `add "pot:" with the oils`)
	}
}

// checkLye reports a lye without alkali or without water.
func checkLye(l Lye, tried func(key string) bool, report reporter) {
	if l.At.Line == 0 || l.Solution.Given() || tried("solution") {
		return
	}
	if len(l.Alkalis) == 0 && !tried("alkali") {
		report.stop(RuleAlkali, l.At, "the lye does not say what alkali it is of", `add "alkali: sodium hydroxide", or "solution:" with the material`)
	}
	if l.Water == (Water{}) && !tried("water") {
		report.stop(RuleMissing, l.At, `"water" is missing: how much water dissolves the alkali`, `add for example "water: {strength: 33%}"`)
	}
}

// place gives where the line stands, as far as that is known.
func (i Ingredient) place(otherwise finding.Pos) finding.Pos {
	for _, at := range []finding.Pos{i.Name().At, i.Weight.At, i.Share.At} {
		if at.Line > 0 {
			return at
		}
	}
	return otherwise
}

// checkPortions reports a line that goes into a portion that is not there.
func checkPortions(f Formula, report reporter) {
	var names []string
	for _, p := range f.Portions {
		names = append(names, p.Name.V)
	}
lines:
	for _, line := range f.Add {
		if !line.In.Given() {
			continue
		}
		for _, name := range names {
			if name == line.In.V {
				continue lines
			}
		}
		report.stop(RulePortion, line.In.At, fmt.Sprintf("there is no portion %q", line.In.V), didYouMean(line.In.V, names, `add it under "portions", or take "in" out`))
	}
}

// checkPot reports shares and weights side by side, shares that are not the
// whole together, and materials on more than one line.
func checkPot(lines []Ingredient, list string, report reporter) {
	var shares []Share
	var weight, share Amount
	for _, line := range lines {
		shares = append(shares, line.Share)
		if line.Weight.Given() {
			weight = line.Amount
		}
		if line.Share.Given() {
			share = line.Amount
		}
	}
	if weight.Weight.Given() && share.Share.Given() {
		at := later(weight.Weight.At, share.Share.At)
		report.stop(RulePotMixed, at, fmt.Sprintf("weights and shares stand side by side in the %s", list), "write weights on all lines, or shares on all")
	} else {
		checkSum(shares, RulePotSum, "the shares of the "+list, report)
	}
	first := map[string]Text{}
	for _, line := range lines {
		name := line.Name()
		if !name.Given() {
			continue
		}
		id := ID(name.V)
		if other, ok := first[id]; ok {
			report.note(RuleRepeated, name.At, fmt.Sprintf("%q stands in the %s twice, here and on line %d", name.V, list, other.At.Line), "fine if the two are weighed one after the other; otherwise add them up")
			continue
		}
		first[id] = name
	}
}

// checkSum reports shares that are not exactly the whole together. It says
// nothing where one of them is missing: that is a finding of its own.
func checkSum(shares []Share, rule, what string, report reporter) {
	var sum measure.Share
	for _, s := range shares {
		if !s.Given() || s.V > 1000*measure.Whole {
			return
		}
		sum += s.V
	}
	if len(shares) == 0 || sum == measure.Whole {
		return
	}
	way := fmt.Sprintf("%s are missing", percent(measure.Whole-sum))
	if sum > measure.Whole {
		way = fmt.Sprintf("%s are too much", percent(sum-measure.Whole))
	}
	report.stop(rule, shares[len(shares)-1].At, fmt.Sprintf("%s are %s together", what, percent(sum)), "make them 100 %: "+way)
}

// later gives the later of two places in one file.
func later(a, b finding.Pos) finding.Pos {
	if a.Line > b.Line || a.Line == b.Line && a.Col > b.Col {
		return a
	}
	return b
}
