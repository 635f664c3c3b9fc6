package formula

import (
	"fmt"
	"maps"

	"saponym/internal/finding"
	"saponym/internal/source"
)

// Complete gives a variant all that it shares with the formula that it is like,
// and checks the whole. Find gives the formula with an id; ids are all that it
// knows, for the question "did you mean". A formula that is like no other comes
// back as it is, without findings.
//
// What a variant writes takes the place of what the other says: lists as a
// whole, the lye and the water value by value, cuts and free mappings key by
// key. One way to say an amount drives out the others, so that a variant may
// say "weight" of the lye where the other says "superfat". A variant of a
// variant is completed first.
//
// A variant with a size of its own takes shares and ratios as they are. Weights that
// it inherits were written for the size of the other formula, which WrittenFor then
// keeps; weights that it writes itself are for its own size and stay as they are. It
// is a finding if it does both.
func Complete(f Formula, find func(id string) (Formula, bool), ids []string) (Formula, []Finding) {
	if !f.Like.Given() {
		return f, nil
	}
	var findings []Finding
	report := reporter(func(f Finding) { findings = append(findings, f) })
	chain := []Formula{f}
	for last := f; last.Like.Given(); last = chain[len(chain)-1] {
		id := ID(last.Like.V)
		for _, earlier := range chain {
			if earlier.ID == id {
				report.stop(RuleLike, last.Like.At, way(chain, id)+": that goes in a circle", "write one of these formulas out in full")
				return f, findings
			}
		}
		next, ok := find(id)
		if !ok {
			report.stop(RuleLike, last.Like.At, fmt.Sprintf("there is no formula %q", last.Like.V), didYouMean(last.Like.V, ids, "write the name of a file in formulas, without its ending"))
			return f, findings
		}
		chain = append(chain, next)
	}
	whole := chain[len(chain)-1]
	for i := len(chain) - 2; i >= 0; i-- {
		told := report
		if i > 0 {
			told = func(Finding) {} // by the variant in between, when it is completed itself
		}
		whole = chain[i].sized(chain[i].over(whole), whole, told)
	}
	top := f.Like.At
	for _, part := range []struct {
		Text
		key string
	}{{whole.Name, "name"}, {whole.Identity, "identity"}} {
		if !part.Given() {
			report.stop(RuleMissing, top, fmt.Sprintf("neither the variant nor the formula that it is like has %q", part.key), fmt.Sprintf("add %q here", part.key))
		}
	}
	checkWhole(whole, top, func(string) bool { return false }, report)
	finding.Sort(findings)
	return whole, findings
}

// way tells how a chain of variants leads from the first of them to an id.
func way(chain []Formula, to string) string {
	var ids []string
	for _, f := range chain {
		ids = append(ids, f.ID)
	}
	return chained(append(ids, to), "is like")
}

// over gives the variant v with whatever it does not say taken from b.
func (v Formula) over(b Formula) Formula {
	v.Name, v.Identity = either(v.Name, b.Name), either(v.Identity, b.Identity)
	v.Process, v.Link = either(v.Process, b.Process), either(v.Link, b.Link)
	if v.Size == (Size{}) {
		v.Size = b.Size
		if len(v.Base) > 0 {
			v.Size.Oils = Mass{} // those of the pot that the base takes the place of
		}
	}
	switch {
	case len(v.Base) > 0: // a base in place of the other's pot
	case len(v.Pot) > 0 || v.Lye.At.Line > 0: // a pot in place of the other's base
		v.Pot = list(v.Pot, b.Pot)
		v.Lye = v.Lye.over(b.Lye)
	default:
		v.Pot, v.Lye, v.Base = b.Pot, b.Lye, b.Base
	}
	v.Portions, v.Add, v.Steps = list(v.Portions, b.Portions), list(v.Add, b.Add), list(v.Steps, b.Steps)
	v.Cuts = cutsOver(v.Cuts, b.Cuts)
	v.Keep.SellWithin = either(v.Keep.SellWithin, b.Keep.SellWithin)
	v.Keep.Durability = either(v.Keep.Durability, b.Keep.Durability)
	v.Keep.Open = either(v.Keep.Open, b.Keep.Open)
	v.OnSale = keys(v.OnSale, b.OnSale)
	v.Evidence, v.Words = nested(v.Evidence, b.Evidence), nested(v.Words, b.Words)
	return v
}

func (l Lye) over(b Lye) Lye {
	switch {
	case l.At.Line == 0:
		return b
	case b.At.Line == 0:
		return l
	}
	if len(l.Alkalis) == 0 && !l.Solution.Given() {
		l.Alkalis, l.Of, l.Solution = b.Alkalis, either(l.Of, b.Of), b.Solution
	}
	if !l.Superfat.Given() && !l.Weight.Given() && l.Ratio == nil {
		l.Superfat, l.Weight, l.Ratio = b.Superfat, b.Weight, b.Ratio
	}
	if l.Water == (Water{}) {
		l.Water = b.Water
	}
	l.Liquids = list(l.Liquids, b.Liquids)
	return l
}

// cutsOver gives the cuts of b, each as the variant has it where it has one,
// and then those that only the variant has.
func cutsOver(v, b []Cut) []Cut {
	var all []Cut
	for _, cut := range b {
		for _, own := range v {
			if own.Name.V == cut.Name.V {
				cut = own.over(cut)
			}
		}
		all = append(all, cut)
	}
	for _, own := range v {
		known := false
		for _, cut := range b {
			known = known || own.Name.V == cut.Name.V
		}
		if !known {
			all = append(all, own)
		}
	}
	return all
}

func (c Cut) over(b Cut) Cut {
	c.Count, c.Claim, c.GTIN = either(c.Count, b.Count), either(c.Claim, b.Claim), either(c.GTIN, b.GTIN)
	c.Length, c.Width, c.Height = either(c.Length, b.Length), either(c.Width, b.Width), either(c.Height, b.Height)
	return c
}

// either gives v if it was given, and otherwise b.
func either[T any](v, b source.Value[T]) source.Value[T] {
	if v.Given() {
		return v
	}
	return b
}

// list gives v if it has anything, and otherwise b.
func list[T any](v, b []T) []T {
	if len(v) > 0 {
		return v
	}
	return b
}

// keys gives the values of both, v before b.
func keys[T any](v, b map[string]T) map[string]T {
	if len(v) == 0 {
		return b
	}
	all := maps.Clone(b)
	if all == nil {
		all = map[string]T{}
	}
	maps.Copy(all, v)
	return all
}

func nested(v, b map[string]map[string]Text) map[string]map[string]Text {
	all := keys(v, b)
	for key := range v {
		if len(b[key]) > 0 {
			all[key] = keys(v[key], b[key])
		}
	}
	return all
}
