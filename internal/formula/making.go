package formula

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"saponym/inci"
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
	m.Library = library.withOwn(m.Batch, l, report)
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
			failed := e.Failed.V || e.overLimit()
			tested = e.Method.Given() && e.Value.Given() && e.Who.Given() && !failed
			switch {
			case failed:
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
			case tested && e.Weights.Given() && e.Weights.V != b.WeightsSum():
				missing = "the weights of the record are others than when it was released"
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

// overLimit reports whether a test gave more than it had to, or less where the limit is the
// least, as far as both are written with a number.
func (e Event) overLimit() bool {
	value, ok := firstNumber(e.Value.V)
	limit, limited := firstNumber(e.Limit.V)
	if !ok || !limited {
		return false
	}
	if strings.ContainsAny(e.Limit.V, ">≥") || strings.Contains(e.Limit.V, "at least") {
		return value < limit
	}
	return value > limit
}

var numbers = regexp.MustCompile(`[0-9]+([.,][0-9]+)?`)

func firstNumber(text string) (float64, bool) {
	n, err := strconv.ParseFloat(strings.Replace(numbers.FindString(text), ",", ".", 1), 64)
	return n, err == nil
}

// WeightsSum gives a short sum of what went into a batch, which is another one when a weight
// is; a lot that is found later makes no difference. A release names the weights that it was about.
func (b Batch) WeightsSum() string {
	var lines []string
	for _, w := range b.Weighed {
		lines = append(lines, fmt.Sprintf("%s %d", lineKey(w.line()), w.Weight.V))
	}
	slices.Sort(lines)
	sum := sha256.Sum256([]byte(strings.Join(lines, "\n")))
	return hex.EncodeToString(sum[:4])
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
			if gone := old.Gone(); gone > 0 {
				report.stop(RuleRework, w.Batch.At, fmt.Sprintf("%d bars of the batch %q are gone, so not all of it can have been worked again", gone, code), "get them back first; a part of a batch cannot be worked again")
			}
			lines := l.pooled(f, old, into, taken, report)
			if dry, went := (weighing{sums: sums(lines)}).dry(f), weighed[lineKey(w.line())]; went.Given() && went.V < dry {
				report.stop(RuleRework, went.At, fmt.Sprintf("only a part of the batch %q went in: its oils and alkali alone were %s", code, inGrams(dry)), "work the whole batch again, ends and all; take the weight out if that is what was done")
			}
			all = append(all, lines...)
		}
	}
	return all
}

// Gone counts the bars of a batch that were sold, given away and the like, and did not come
// back.
func (b Batch) Gone() int {
	gone := 0
	for _, e := range b.Events {
		switch e.What.V {
		case "sold", "given", "sampled", "destroyed", "lost":
			gone += e.Count.V
		case "returned":
			gone -= e.Count.V
		}
	}
	return gone
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
//
// What went into those batches is looked for in the shop of today where the library does not
// have it: the record of a soap keeps what the soap was made by.
func (l Library) withOwn(b Batch, today Library, report reporter) Library {
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
	o := ownMaker{Library: l, bought: bought, today: today, mixed: mixed, made: map[string]string{}, put: put, report: report}
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
	today   Library             // of the shop as it is now
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
		if in.Stays.Given() && m.Kind != KindLyeSolution {
			return nil, false // what is strained out leaves something behind that no weight tells
		}
		if !in.Weight.Given() || !in.Material.Given() {
			o.report.stop(RuleOwnUnsure, w.Lot.At, fmt.Sprintf("not everything in the batch %q has a weight, so what is in %q is not known", made.Code.V, m.ID), "write the weights into that batch")
			return nil, false
		}
		inner, ok := o.document(in.Material.V)
		if !ok {
			o.report.stop(RuleOwnUnsure, w.Lot.At, fmt.Sprintf("nothing is known of %q, which went into the batch %q, so what is in %q is not known", in.Material.V, made.Code.V, m.ID), fmt.Sprintf("write materials/%s.yaml with what the supplier states", ID(in.Material.V)))
			return nil, false
		}
		parts = append(parts, Weighed{Material: o.lot(inner, in, into), Weight: in.Weight})
	}
	if len(parts) == 0 {
		o.report.stop(RuleOwnUnsure, w.Lot.At, fmt.Sprintf("nothing was weighed into the batch %q, so what is in %q is not known", made.Code.V, m.ID), "write the weights into that batch")
	}
	o.complete(made, m, w)
	return parts, len(parts) > 0
}

// document gives a material as its document has it. One that only the shop of today has is
// put into the library.
func (o ownMaker) document(name string) (Material, bool) {
	m, ok := o.bought.Find(name)
	if !ok {
		if m, ok = o.today.Find(name); ok {
			o.put(m)
		}
	}
	return m, ok
}

// complete warns of what a material has by its document and the batch that made it has not:
// it may have been forgotten.
func (o ownMaker) complete(made Batch, m Material, w Weighed) {
	went := map[string]bool{}
	var gather func(name string)
	gather = func(name string) {
		if went[ID(name)] {
			return
		}
		went[ID(name)] = true
		inner, _ := o.document(name)
		for _, c := range append([]Constituent{{INCI: inner.INCI}}, inner.Contains...) {
			for _, id := range idsOf(c.INCI.V) {
				went[id] = true
			}
			if c.Material.Given() {
				gather(c.Material.V)
			}
		}
	}
	for _, in := range made.Weighed {
		gather(in.Material.V)
	}
	for _, c := range m.Contains {
		ids := append(idsOf(c.INCI.V), ID(c.Material.V))
		if len(made.Weighed) > 0 && !slices.ContainsFunc(ids, func(id string) bool { return went[id] }) {
			o.report.warn(RuleOwnUnsure, w.Lot.At, fmt.Sprintf("%q has %q in it by its document, and the batch %q says nothing of it", m.ID, c.Name().V, made.Code.V), "write into that batch what was forgotten, or change the document")
		}
	}
}

// idsOf gives the ids of the built-in substances with an INCI name.
func idsOf(name string) []string {
	var ids []string
	for _, s := range inci.ByINCI(name) {
		ids = append(ids, s.ID)
	}
	return ids
}

// alkalisIn gives the ids of the alkalis that a material is or is a solution of.
func alkalisIn(m Material) []string {
	if m.Kind == KindAlkali {
		return []string{m.ID}
	}
	var ids []string
	for _, c := range append([]Constituent{{INCI: m.INCI}}, m.Contains...) {
		for _, id := range idsOf(c.INCI.V) {
			if b, ok := Builtin(id); ok && b.Kind == KindAlkali {
				ids = append(ids, id)
			}
		}
	}
	return ids
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
		inner, _ := o.Find(p.Material.V)
		switch inner.Kind {
		case KindAlkali:
			alkali += float64(p.Weight.V)
		case KindLyeSolution:
			alkali += float64(p.Weight.V) * inner.Strength.V.Fraction()
		default:
			continue
		}
		for _, id := range alkalisIn(inner) {
			if by := alkalisIn(m); m.Kind == KindLyeSolution && !slices.Contains(by, id) {
				o.report.stop(RuleOwnLot, p.Weight.At, fmt.Sprintf("%q is a solution of %s by its document, and %s went into it", bought.ID, strings.Join(by, ", "), id), "name the material that it is, or withdraw the line and write what went in")
			}
		}
	}
	if total == 0 {
		return m
	}
	if m.Kind == KindLyeSolution && alkali == 0 {
		o.report.stop(RuleOwnLot, parts[0].Weight.At, fmt.Sprintf("there is no alkali in what %q was made of", bought.ID), "write what went in, or name the lot of a supplier")
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
