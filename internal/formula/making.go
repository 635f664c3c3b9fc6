package formula

import (
	"fmt"
	"slices"

	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// A Making is how a batch was really made, ready to be poured.
type Making struct {
	Formula Formula // with the weights of the scale; see [AsWeighed]
	Library Library // with the materials that the maker made for it, as they were made
	Batch   Batch   // with what it took over from a batch that is worked again in it
	// Released is the release after a test of a batch that had too much alkali, if there is
	// one. The test outweighs the scale: AsReleased has the lye that was asked for.
	Released   Event
	AsReleased Formula
	Findings   []Finding
}

// Making gives how a batch was made. It is false where its formula is not known.
//
// What the maker made is followed to what went into it. A line of a material whose lot is
// the code of a batch that made it stands for what that batch was made of. A line of own
// bars that the formula says nothing of, made by the same formula, is a batch that is
// worked again: all of it is part of this one, and its lines join those of this batch.
//
// Assume is asked for the weights of what the batch does not name yet, and gives them as
// the formula asks for; nil assumes nothing.
func (l Library) Making(b Batch, assume func(f Formula, l Library, b Batch) []Weighed) (Making, bool) {
	if !b.Formula.Given() || l.records.Recipe == nil {
		return Making{}, false
	}
	f, library, ok := l.records.Recipe(b)
	if !ok {
		return Making{}, false
	}
	library.records = l.records
	m := Making{Batch: b}
	report := reporter(func(x Finding) { m.Findings = append(m.Findings, x) })
	m.Batch.Weighed = l.pooled(f, b, nil, report)
	m.Library = library.withOwn(m.Batch, report)
	if assume != nil {
		m.Batch.Weighed = slices.Concat(m.Batch.Weighed, assume(f, m.Library, m.Batch))
	}
	m.Formula = AsWeighed(f, m.Batch)
	m.Findings = append(m.Findings, CheckWeighed(f, m.Batch)...)
	m.Released, _ = b.TestedRelease()
	m.AsReleased = m.Formula
	m.AsReleased.Lye = f.Lye
	finding.Sort(m.Findings)
	return m, true
}

// Open gives what of the pot and the alkali a batch has no weight of yet, each thing once.
func Open(f Formula, b Batch) []Text {
	w := weighing{sums: sums(b.Weighed)}
	var names []Text
	for _, in := range w.missing(f) {
		names = append(names, in.Name())
	}
	return names
}

// TestedRelease gives the release of a batch that had too much alkali: a test with its
// method, its value and who made it, and after it a release by somebody. Missing says what
// a release lacks, where there is one that does not count.
func (b Batch) TestedRelease() (release Event, missing string) {
	tested := false
	for _, e := range b.Events {
		switch e.What.V {
		case "tested":
			tested = e.Method.Given() && e.Value.Given() && e.Who.Given()
			if !tested {
				missing = "the test says no method, no value, or not who made it"
			}
		case "released":
			switch {
			case e.Count.Given(): // bars that were held back, one by one
			case !tested && missing == "":
				missing = "there is no test before the release"
			case tested && !e.Who.Given():
				missing = "the release says not by whom"
			case tested:
				return e, ""
			}
		}
	}
	return Event{}, missing
}

// The rules of what a maker made for a batch, or works again in it.
const (
	RuleRework    = "FORM-REWORK"     // a batch that is worked again in part, or in itself
	RuleOwnLot    = "FORM-OWN-LOT"    // a lot that a batch made, which made something else
	RuleOwnUnsure = "FORM-OWN-UNSURE" // a material of the maker's own of which not everything has a weight
)

// pooled gives the lines of a batch, with those of batches that are worked again in it in
// the place of these. Into holds the codes of the batches that this one goes into.
func (l Library) pooled(f Formula, b Batch, into []string, report reporter) []Weighed {
	into = append(slices.Clone(into), b.Code.V)
	var all []Weighed
	for _, w := range b.Weighed {
		old, again := l.workedAgain(f, b, w)
		if !again {
			all = append(all, w)
			continue
		}
		if slices.Contains(into, old.Code.V) {
			report.stop(RuleRework, w.Batch.At, fmt.Sprintf("the batch %q would be worked again in itself", old.Code.V), "name the batch that is worked again, and no later one")
			continue
		}
		lines := l.pooled(f, old, into, report)
		if dry := (weighing{sums: sums(lines)}).dry(f); w.Weight.Given() && w.Weight.V < dry {
			report.stop(RuleRework, w.Weight.At, fmt.Sprintf("only a part of the batch %q went in: its oils and alkali alone were %s", old.Code.V, inGrams(dry)), "work the whole batch again, ends and all; take the weight out if that is what was done")
		}
		all = append(all, lines...)
	}
	return all
}

// workedAgain gives the batch that a line works again, if it does.
func (l Library) workedAgain(f Formula, b Batch, w Weighed) (Batch, bool) {
	inFormula := slices.ContainsFunc(f.lines(), func(in Ingredient) bool { return in.Batch.V == w.Batch.V })
	if !w.Batch.Given() || inFormula {
		return Batch{}, false
	}
	old, ok := l.record(w.Batch.V)
	return old, ok && ID(old.Formula.V) == ID(b.Formula.V)
}

// dry gives the mass of the pot and the alkali, as far as they were weighed.
func (w weighing) dry(f Formula) measure.Mass {
	total, seen := measure.Mass(0), map[string]bool{}
	for _, in := range slices.Concat(f.pot(), f.Lye.alkalis()) {
		if key := lineKey(in); !seen[key] {
			seen[key], total = true, plus(total, w.sums[key].V)
		}
	}
	return total
}

// withOwn gives the library with the materials that the maker made for a batch as they
// were made: of lots that are codes of batches.
func (l Library) withOwn(b Batch, report reporter) Library {
	own := map[string]Material{}
	for id, m := range l.own {
		own[id] = m
	}
	ids := slices.Clone(l.ids)
	put := func(m Material) {
		if _, ok := own[m.ID]; !ok {
			ids = append(ids, m.ID)
		}
		own[m.ID] = m
	}
	seen := map[string]bool{}
	for _, w := range b.Weighed {
		id := ID(w.Material.V)
		if !w.Material.Given() || seen[id] || !slices.ContainsFunc(b.Weighed, func(o Weighed) bool { return ID(o.Material.V) == id && l.isOwnLot(o) }) {
			continue
		}
		seen[id] = true
		if bought, ok := l.Find(w.Material.V); ok {
			o := ownMaker{Library: l, put: put, report: report}
			put(o.mixed(bought, b.Weighed, bought.ID, []string{b.Code.V}))
		}
	}
	l.own, l.ids = own, ids
	return l
}

// isOwnLot reports whether the lot of a line is a batch that the shop knows.
func (l Library) isOwnLot(w Weighed) bool {
	_, ok := l.record(w.Lot.V)
	return w.Lot.Given() && ok
}

// An ownMaker works out what is in materials that the maker made.
type ownMaker struct {
	Library
	put    func(m Material)
	report reporter
}

// mixed gives a material as the lines of a batch have it: of one lot or several, each
// bought or made by the maker. Into holds the codes of the batches that it goes into.
func (o ownMaker) mixed(bought Material, lines []Weighed, as string, into []string) Material {
	var parts []Weighed
	for _, w := range lines {
		if ID(w.Material.V) != bought.ID {
			continue
		}
		made, ok := o.record(w.Lot.V)
		switch {
		case !ok:
			o.put(asBought(bought))
			parts = append(parts, Weighed{Material: Text{V: asBought(bought).ID, At: w.Material.At}, Weight: w.Weight})
		case !made.MakesMaterial() || made.Material.Given() && ID(made.Material.V) != bought.ID:
			o.report.stop(RuleOwnLot, w.Lot.At, fmt.Sprintf("the lot %q is a batch that did not make %q", w.Lot.V, bought.ID), "write the lot of the supplier, or the code of the batch that made the material")
		case slices.Contains(into, made.Code.V):
			o.report.stop(RuleOwnLot, w.Lot.At, fmt.Sprintf("the batch %q would be made of itself", made.Code.V), "name the batch that made the material, and no later one")
		default:
			parts = append(parts, o.madeOf(bought, made, w, into))
		}
	}
	return o.blended(bought, parts, as)
}

// asBought gives a material under an id of its own, beside the one that is made of it.
func asBought(m Material) Material {
	m.ID += "-as-bought"
	return m
}

// madeOf gives a line that stands for a material as one batch made it.
func (o ownMaker) madeOf(bought Material, made Batch, w Weighed, into []string) Weighed {
	into = append(slices.Clone(into), made.Code.V)
	var parts []Weighed
	for _, in := range made.Weighed {
		if in.Stays.Given() {
			// What is strained out leaves something behind that no weight tells.
			o.put(asBought(bought))
			return Weighed{Material: Text{V: asBought(bought).ID, At: w.Material.At}, Weight: w.Weight}
		}
		if !in.Weight.Given() || !in.Material.Given() {
			o.report.warn(RuleOwnUnsure, w.Lot.At, fmt.Sprintf("not everything in the batch %q has a weight, so %q is taken to be what its document says", made.Code.V, bought.ID), "write the weights into that batch")
			o.put(asBought(bought))
			return Weighed{Material: Text{V: asBought(bought).ID, At: w.Material.At}, Weight: w.Weight}
		}
		part := Weighed{Material: in.Material, Weight: in.Weight}
		if other, ok := o.Find(in.Material.V); ok && o.isOwnLot(in) {
			m := o.mixed(other, []Weighed{in}, ID(other.ID+" "+in.Lot.V), into)
			o.put(m)
			part.Material.V = m.ID
		}
		parts = append(parts, part)
	}
	m := o.blended(bought, parts, ID(bought.ID+" "+made.Code.V))
	o.put(m)
	return Weighed{Material: Text{V: m.ID, At: w.Material.At}, Weight: w.Weight}
}

// blended gives a material that is made of others, by their weights. Of a lye solution
// the weights give the strength. With one part, or none, there is nothing to divide.
func (o ownMaker) blended(bought Material, parts []Weighed, as string) Material {
	m := bought
	m.ID = as
	var weights []float64
	total, alkali := 0.0, 0.0
	for _, p := range parts {
		weights = append(weights, float64(p.Weight.V))
		total += float64(p.Weight.V)
		if inner, ok := o.Find(p.Material.V); ok && inner.Kind == KindAlkali {
			alkali += float64(p.Weight.V)
		} else if ok && inner.Kind == KindLyeSolution {
			alkali += float64(p.Weight.V) * inner.Strength.V.Fraction()
		}
	}
	if total == 0 {
		return m
	}
	if m.Kind == KindLyeSolution {
		m.Strength = Share{V: measure.Share(alkali / total * float64(measure.Whole)), At: parts[0].Weight.At}
		return m
	}
	m.INCI, m.Contains, m.Order = Text{}, nil, Unknown
	m.SAP, m.FattyAcids = nil, nil // those of what is in it
	for i, share := range divide(measure.Whole, weights) {
		m.Contains = append(m.Contains, Constituent{Material: parts[i].Material, Share: exactly(share, parts[i].Weight.At)})
	}
	return m
}

// exactly gives a share that is known, as it stands in a list.
func exactly(share measure.Share, at finding.Pos) source.Value[measure.ShareRange] {
	return source.Value[measure.ShareRange]{V: measure.ShareRange{Low: share, High: share}, At: at}
}

// inGrams writes a mass for a message.
func inGrams(m measure.Mass) string { return fmt.Sprintf("%.1f g", m.Grams()) }
