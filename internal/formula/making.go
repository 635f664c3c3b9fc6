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
	Recipe  Formula // as it was to be made
	Formula Formula // with the weights of the scale; see [AsWeighed]
	Library Library // with the materials that the maker made for it, as they were made
	Batch   Batch   // with what it took over from a batch that is worked again in it
	Open    []Text  // what of the pot and the alkali has no weight of the scale yet
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
// Assume is asked where not all of the pot and the alkali has a weight yet. What it gives
// stands in the place of the lines of the same things; nil assumes nothing.
func (l Library) Making(b Batch, assume func(f Formula, l Library, b Batch) []Weighed) (Making, bool) {
	if !b.Formula.Given() || l.records.Recipe == nil {
		return Making{}, false
	}
	f, library, ok := l.records.Recipe(b)
	if !ok {
		return Making{}, false
	}
	library.records = l.records
	m := Making{Recipe: f, Batch: b}
	report := reporter(func(x Finding) { m.Findings = append(m.Findings, x) })
	m.Batch.Weighed = l.pooled(f, b, nil, map[string]bool{}, report)
	m.Library = library.withOwn(m.Batch, report)
	m.Open = Open(f, m.Batch)
	if assume != nil && len(m.Open) > 0 {
		more := assume(f, m.Library, m.Batch)
		taken := sums(more)
		others := slices.DeleteFunc(slices.Clone(m.Batch.Weighed), func(w Weighed) bool {
			_, ok := taken[lineKey(w.line())]
			return ok
		})
		m.Batch.Weighed = append(others, more...)
	}
	m.Formula = AsWeighed(f, m.Batch)
	m.Findings = append(m.Findings, CheckWeighed(f, m.Batch)...)
	m.Released, _ = b.TestedRelease()
	m.AsReleased = m.Formula
	if scale, whole := newWeighing(f, m.Batch); whole {
		m.AsReleased.Lye = scale.asked(f.Lye)
	}
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
// method, its value and who made it, and after it a release by somebody. A test that fails
// after it takes it back. Missing says what
// a release lacks, where there is one that does not count.
func (b Batch) TestedRelease() (release Event, missing string) {
	events := slices.Clone(b.Events)
	slices.SortStableFunc(events, func(a, b Event) int { return a.Date.V.Compare(b.Date.V) })
	tested := false
	for _, e := range events {
		switch e.What.V {
		case "tested":
			tested = e.Method.Given() && e.Value.Given() && e.Who.Given() && !e.Failed.V
			switch {
			case e.Failed.V:
				release, missing = Event{}, "the last test failed"
			case !tested:
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
				release, missing = e, ""
			}
		}
	}
	if release.Date.Given() {
		missing = ""
	}
	return release, missing
}

// The rules of what a maker made for a batch, or works again in it.
const (
	RuleRework    = "FORM-REWORK"     // a batch that is worked again in part, or in itself
	RuleOwnLot    = "FORM-OWN-LOT"    // a lot that a batch made, which made something else
	RuleOwnUnsure = "FORM-OWN-UNSURE" // a material of the maker's own of which not everything has a weight
)

// asked gives the lye that a formula asks for with the oils that were weighed.
func (w weighing) asked(l Lye) Lye {
	l.Weight, l.Water.Weight = w.scaled(l.Weight), w.scaled(l.Water.Weight)
	l.Liquids = slices.Clone(l.Liquids)
	for i, liquid := range l.Liquids {
		l.Liquids[i].Weight = w.scaled(liquid.Weight)
	}
	return l
}

// pooled gives the lines of a batch, with those of batches that are worked again in it in
// the place of these. Into holds the codes of the batches that this one goes into, taken
// those of all that are worked again. One that was weighed in several goes is taken once.
func (l Library) pooled(f Formula, b Batch, into []string, taken map[string]bool, report reporter) []Weighed {
	into = append(slices.Clone(into), b.Code.V)
	weighed, here := sums(b.Weighed), map[string]bool{}
	var all []Weighed
	for _, w := range b.Weighed {
		old, again := l.workedAgain(f, b, w)
		code := old.Code.V
		switch {
		case !again:
			all = append(all, w)
		case here[code]:
		case slices.Contains(into, code):
			report.stop(RuleRework, w.Batch.At, fmt.Sprintf("the batch %q would be worked again in itself", code), "name the batch that is worked again, and no later one")
		case taken[code]:
			report.stop(RuleRework, w.Batch.At, fmt.Sprintf("the whole batch %q would be worked again twice", code), "name it in the one batch that it went into")
		default:
			here[code], taken[code] = true, true
			lines := l.pooled(f, old, into, taken, report)
			if dry, went := (weighing{sums: sums(lines)}).dry(f), weighed[lineKey(w.line())]; went.Given() && went.V < dry {
				report.stop(RuleRework, went.At, fmt.Sprintf("only a part of the batch %q went in: its oils and alkali alone were %s", code, inGrams(dry)), "work the whole batch again, ends and all; take the weight out if that is what was done")
			}
			all = append(all, lines...)
		}
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
	bought := l
	l.own, l.ids = own, slices.Clone(l.ids)
	put := func(m Material) {
		if _, ok := own[m.ID]; !ok {
			l.ids = append(l.ids, m.ID)
		}
		own[m.ID] = m
	}
	mixed := map[string]Material{}
	var order []string
	for _, w := range b.Weighed {
		if m, ok := l.Find(w.Material.V); ok && w.Material.Given() && l.isOwnLot(w) && mixed[m.ID].ID == "" {
			mixed[m.ID], order = m, append(order, m.ID)
		}
	}
	o := ownMaker{Library: l, bought: bought, mixed: mixed, made: map[string]string{}, put: put, report: report}
	for _, id := range order {
		var parts []Weighed
		for _, w := range b.Weighed {
			if ID(w.Material.V) == id {
				parts = append(parts, Weighed{Material: o.lot(mixed[id], w, []string{b.Code.V}), Weight: w.Weight})
			}
		}
		put(o.blended(mixed[id], parts, id))
	}
	return l
}

// isOwnLot reports whether the lot of a line is a batch that the shop knows.
func (l Library) isOwnLot(w Weighed) bool {
	_, ok := l.record(w.Lot.V)
	return w.Lot.Given() && ok
}

// An ownMaker works out what is in materials that the maker made.
type ownMaker struct {
	Library                     // with what was worked out so far
	bought  Library             // with the materials as their documents have them
	mixed   map[string]Material // by id: those of which the batch at hand has a lot that the maker made
	made    map[string]string   // by material and code of a batch, as one id: the id of what stands for it
	put     func(m Material)
	report  reporter
}

// lot gives the name of what one line stands for: of a material as it was bought, or as
// the maker made it. Into holds the codes of the batches that it goes into.
func (o ownMaker) lot(m Material, w Weighed, into []string) Text {
	made, ok := o.record(w.Lot.V)
	switch {
	case !ok:
	case !made.MakesMaterial() || made.Material.Given() && ID(made.Material.V) != m.ID:
		o.report.stop(RuleOwnLot, w.Lot.At, fmt.Sprintf("the lot %q is a batch that did not make %q", w.Lot.V, m.ID), "write the lot of the supplier, or the code of the batch that made the material")
	case slices.Contains(into, made.Code.V):
		o.report.stop(RuleOwnLot, w.Lot.At, fmt.Sprintf("the batch %q would be made of itself", made.Code.V), "name the batch that made the material, and no later one")
	default:
		return Text{V: o.madeBy(made, m, w, into), At: w.Material.At}
	}
	return Text{V: o.asBought(m), At: w.Material.At}
}

// asBought gives the id of a material as its document has it: one of its own, where
// another one takes its place.
func (o ownMaker) asBought(m Material) string {
	if _, ok := o.mixed[m.ID]; ok {
		m.ID += "-as-bought"
		o.put(m)
	}
	return m.ID
}

// madeBy gives the id of a material as one batch made it, which is the lot of a line.
// Each batch is looked at once.
func (o ownMaker) madeBy(made Batch, m Material, w Weighed, into []string) string {
	key := ID(m.ID + " " + made.Code.V)
	if id, ok := o.made[key]; ok {
		return id
	}
	id := o.asBought(m)
	if parts, ok := o.parts(made, m, w, into); ok {
		id = key
		o.put(o.blended(m, parts, id))
	}
	o.made[key] = id
	return id
}

// parts gives what a batch made a material of. It is false where its weights do not tell.
func (o ownMaker) parts(made Batch, m Material, w Weighed, into []string) ([]Weighed, bool) {
	into = append(slices.Clone(into), made.Code.V)
	var parts []Weighed
	for _, in := range made.Weighed {
		if in.Stays.Given() {
			return nil, false // what is strained out leaves something behind that no weight tells
		}
		if !in.Weight.Given() || !in.Material.Given() {
			o.report.warn(RuleOwnUnsure, w.Lot.At, fmt.Sprintf("not everything in the batch %q has a weight, so %q is taken to be what its document says", made.Code.V, m.ID), "write the weights into that batch")
			return nil, false
		}
		part := Weighed{Material: in.Material, Weight: in.Weight}
		if inner, ok := o.bought.Find(in.Material.V); ok {
			part.Material = o.lot(inner, in, into)
		}
		parts = append(parts, part)
	}
	return parts, len(parts) > 0
}

// blended gives a material that is made of others, by their weights. Of a lye solution
// the weights give the strength.
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
