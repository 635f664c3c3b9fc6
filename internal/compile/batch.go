package compile

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/register"
	"saponym/internal/shop"
	"saponym/internal/source"
)

// A BatchAnswer is the record of a batch with what it comes to. Its JSON form is a
// contract: the keys of the file, what is worked out, and the findings. A figure that is
// not known is null.
type BatchAnswer struct {
	Code      string                    `json:"code"`
	Formula   string                    `json:"formula"`
	Makes     string                    `json:"makes"`
	Material  string                    `json:"material,omitempty"`
	Made      *day.Day                  `json:"made"`
	By        string                    `json:"by"`
	CheckedBy string                    `json:"checked_by"`
	Place     string                    `json:"place"`
	Parents   []string                  `json:"parents"`
	Weighed   []BatchLine               `json:"weighed"`
	Cut       any                       `json:"cut"` // as in the file: one object, a list of several, or null
	Weighings []BatchWeighing           `json:"weighings"`
	Packed    []BatchPacking            `json:"packed"`
	Placed    map[string]day.Day        `json:"placed"`
	Runs      []BatchRun                `json:"runs"`
	Events    []BatchEvent              `json:"events"`
	Corrected []string                  `json:"corrected"` // ids of entries that a later one stands in place of
	File      string                    `json:"file"`
	Frozen    *string                   `json:"frozen"`
	Share     *float64                  `json:"saponified_share"`
	Superfat  *float64                  `json:"superfat_percent"`
	Assumed   []string                  `json:"assumed"` // what was taken as the formula asks, since it has no weight yet
	Open      []BatchOpen               `json:"open"`
	Stock     map[string]int            `json:"stock"`    // on hand for sale, by cut
	Withheld  map[string]int            `json:"withheld"` // by cut
	Balance   map[string]register.Stock `json:"balance"`  // by cut
	Due       []register.Due            `json:"due"`
	Children  []string                  `json:"children"` // codes of batches that it went into
	Findings  []finding.Finding         `json:"findings"`

	name    string // of the formula or the material
	asAsked bool   // the alkali has no weight, so the superfat is that of the formula
	asked   []Asked
	cuts    []register.Stock
	batch   formula.Batch
}

// A BatchLine is one line of what the scale said.
type BatchLine struct {
	ID       string   `json:"id"`
	Material string   `json:"material,omitempty"`
	Batch    string   `json:"batch,omitempty"`
	Weight   *string  `json:"weight"`
	Grams    *float64 `json:"weight_g"`
	Asked    *float64 `json:"asked_g"` // of the material in all, where the formula asks for it
	Lot      *string  `json:"lot"`
	Supplier string   `json:"supplier,omitempty"`
	Received *day.Day `json:"received,omitempty"`
	Expires  *day.Day `json:"expires,omitempty"`
	Scale    string   `json:"scale,omitempty"`
	Note     string   `json:"note,omitempty"`
}

// A BatchWeighing is a day on which bars were weighed.
type BatchWeighing struct {
	ID       string             `json:"id"`
	Date     day.Day            `json:"date"`
	Cut      string             `json:"cut"`
	Scale    string             `json:"scale,omitempty"`
	Grams    map[string]float64 `json:"bars_g"`
	Humidity *float64           `json:"humidity_percent,omitempty"`
	Trimmed  bool               `json:"trimmed"`
}

// A BatchPacking is a day on which bars were wrapped.
type BatchPacking struct {
	ID    string  `json:"id"`
	Date  day.Day `json:"date"`
	Cut   string  `json:"cut"`
	Count int     `json:"count"`
}

// A BatchRun is one printing of labels.
type BatchRun struct {
	ID       string  `json:"id"`
	Date     day.Day `json:"date"`
	Cut      string  `json:"cut,omitempty"`
	Market   string  `json:"market"`
	Template string  `json:"template,omitempty"`
	Claim    string  `json:"claim,omitempty"`
	Printed  int     `json:"printed"`
	Used     int     `json:"used"`
	Spoiled  int     `json:"spoiled"`
	Voided   int     `json:"voided"`
	Left     int     `json:"left"`
	Hash     string  `json:"hash,omitempty"`
}

// A BatchEvent is anything else that happened.
type BatchEvent struct {
	ID       string            `json:"id"`
	Date     day.Day           `json:"date"`
	Time     string            `json:"time,omitempty"`
	What     string            `json:"what"`
	Cut      string            `json:"cut,omitempty"`
	Count    *int              `json:"count,omitempty"`
	Who      string            `json:"who,omitempty"`
	Method   string            `json:"method,omitempty"`
	Value    string            `json:"value,omitempty"`
	Limit    string            `json:"limit,omitempty"`
	Failed   bool              `json:"failed,omitempty"`
	Weights  string            `json:"weights,omitempty"` // of a release: the sum of the weights that it is about
	Ref      string            `json:"ref,omitempty"`
	Serious  bool              `json:"serious,omitempty"`
	Assumed  bool              `json:"assumed,omitempty"`
	Erase    *day.Day          `json:"erase,omitempty"`
	Note     string            `json:"note,omitempty"`
	Details  map[string]string `json:"details,omitempty"`
	Corrects string            `json:"corrects,omitempty"`
}

// A BatchOpen is something that a record does not say yet.
type BatchOpen struct {
	Name  string   `json:"name"`
	Wants string   `json:"wants"`   // "weight and lot", "weight" or "lot"
	Asked *float64 `json:"asked_g"` // what the formula asks for
}

// RuleTaken is the finding that weights of a record are open and were taken as asked.
const RuleTaken = "COMPILE-TAKEN"

// ShowBatch gives the record of a batch with what it comes to on a day. The error is that
// of [Batch].
func ShowBatch(folder *shop.Folder, code string, on day.Day) (BatchAnswer, error) {
	b, err := Batch(folder, code)
	if err != nil {
		return BatchAnswer{}, err
	}
	a := recorded(b)
	var found []finding.Finding
	s := subject{library: folder.Library, batch: &b}
	doc, err := folder.Formula(b.Formula.V)
	switch {
	case b.Formula.Given() && err != nil:
		if _, frozen := folder.Frozen(b); !frozen {
			found = append(found, finding.Finding{Level: finding.Warn, Rule: RuleRecipe, At: b.Formula.At, Message: err.Error(), Remedy: "put the formula back, or name the one that was made"})
		}
	case b.Formula.Given():
		s.doc = doc
	}
	making, made := folder.Library.Making(b, askedFor)
	if made {
		s.doc, s.library, s.making = making.Formula, making.Library, making
		a.name = s.doc.Name.V
		found = append(found, a.makingOf(s)...)
		found = append(found, folder.BatchFindings(b, doc)...)
	} else {
		if m, ok := folder.Library.Find(b.Material.V); ok && b.Material.Given() {
			a.name = cmp.Or(m.Name.V, m.ID)
		}
		found = append(found, folder.FileFindings(b.File, formula.FrozenName(b.File))...)
		a.openLots(b)
	}
	if _, ok := folder.Frozen(b); ok {
		name := formula.FrozenName(b.File)
		a.Frozen = &name
	} else {
		found = append(found, finding.Finding{
			Level: finding.Note, Rule: formula.RuleFrozen, At: b.Code.At,
			Message: "nothing was kept of the formula and the materials as they were: this batch goes by those of today",
			Remedy:  `begin a batch with "saponym batch start", and its record keeps what it was made by`,
		})
	}
	found = append(found, strangers(folder, b, s.making.Recipe)...)
	found = append(found, register.Check(b, on)...)
	a.Due = register.ProgressOf(b).Dues(b.Code.V, on)
	a.Findings = tidy(folder, found)
	if a.Due == nil {
		a.Due = []register.Due{}
	}
	return a, nil
}

// RuleRecipe is the finding that the formula of a batch is not there.
const RuleRecipe = "COMPILE-RECIPE"

// RuleStranger is the finding that a record names a batch or a cut that there is not.
const RuleStranger = "COMPILE-STRANGER"

// strangers reports batches that a record names and the shop does not have, and cuts that
// its formula does not have.
func strangers(folder *shop.Folder, b formula.Batch, recipe formula.Formula) []finding.Finding {
	var found []finding.Finding
	report := func(at finding.Pos, remedy, message string, args ...any) {
		found = append(found, finding.Finding{Level: finding.Warn, Rule: RuleStranger, At: at, Message: fmt.Sprintf(message, args...), Remedy: remedy})
	}
	named := slices.Clone(b.Parents)
	for _, w := range b.Weighed {
		named = append(named, w.Batch)
	}
	for _, w := range b.Weighed {
		_, own := folder.Batch(w.Lot.V)
		if own || !w.Lot.Given() {
			continue
		}
		for _, near := range register.Likely(w.Lot.V, folder.Codes()) {
			if made, ok := folder.Batch(near); ok && made.MakesMaterial() && formula.ID(made.Material.V) == formula.ID(w.Material.V) {
				report(w.Lot.At, fmt.Sprintf("did you mean %q?", near), "the lot %q looks like the code of a batch that made %q, and is none", w.Lot.V, w.Material.V)
				break
			}
		}
	}
	for _, w := range b.Weighed {
		if _, ok := folder.Shop.Scales[formula.ID(w.Scale.V)]; w.Scale.Given() && !ok {
			report(w.Scale.At, "write it into shop.yaml: scales: {"+formula.ID(w.Scale.V)+": {step: 0.1 g}}", "the shop has no scale %q", w.Scale.V)
		}
	}
	for _, code := range named {
		if _, ok := folder.Batch(code.V); ok || !code.Given() {
			continue
		}
		remedy := "write its code as it stands in its record, or put the record back"
		if likely := register.Likely(code.V, folder.Codes()); len(likely) > 0 {
			remedy = fmt.Sprintf("did you mean %q?", likely[0])
		}
		report(code.At, remedy, "there is no batch %q, so what came of it cannot be followed", code.V)
	}
	var cuts []string
	for _, c := range recipe.Cuts {
		cuts = append(cuts, c.Name.V)
	}
	for _, c := range b.Cuts {
		for _, n := range c.Counts {
			if len(cuts) > 0 && !slices.Contains(cuts, n.Cut) {
				report(n.Count.At, "name one of "+strings.Join(cuts, ", ")+", or write the cut into the formula", "the formula has no cut %q", n.Cut)
			}
		}
	}
	return found
}

// makingOf works out what a batch is by its weights.
func (a *BatchAnswer) makingOf(s subject) []finding.Finding {
	found := slices.Clone(s.making.Findings)
	batter, more := s.pour()
	// What a formula is warned of is told of the formula.
	for _, f := range more {
		if f.Level == finding.Stop || f.Rule == bar.RuleReleased {
			found = append(found, f)
		}
	}
	if s.making.Released.Date.Given() { // what the scale says stays what it says
		batter, _ = bar.Pour(s.making.Formula, s.library)
	}
	if batter != nil && batter.HasLye() {
		superfat, share := 100*batter.Superfat(), batter.Saponified()
		a.Superfat, a.Share = &superfat, &share
	}
	// As it was asked: the recipe without the weights of the scale.
	recipe := s.making.Recipe
	if plain, _ := bar.Pour(recipe, s.library); plain != nil {
		a.asked = asked(plain, recipe)
	}
	if taken := s.taken(); len(taken) > 0 {
		a.Assumed, a.asAsked = texts(s.making.Open), alkaliUnweighed(recipe, *s.batch)
		found = append(found, taken...)
	}
	a.openLines(s.making.Batch)
	return found
}

// taken warns of weights that are open in a record of which some are known.
func (s subject) taken() []finding.Finding {
	if s.batch == nil || len(s.making.Open) == 0 || !slices.ContainsFunc(s.batch.Weighed, func(w formula.Weighed) bool { return w.Weight.Given() || w.Batch.Given() }) {
		return nil
	}
	open := texts(s.making.Open)
	message := fmt.Sprintf("no weight is known of %s: what the formula asks for is taken in its place", listed(open))
	some := func(w formula.Weighed) bool {
		return w.Weight.Given() && slices.Contains(open, cmp.Or(w.Material.V, w.Batch.V))
	}
	if slices.ContainsFunc(s.batch.Weighed, some) {
		message = fmt.Sprintf("not each lot of %s has a weight: what the formula asks for is taken, or what is known if that is more", listed(open))
	}
	if alkaliUnweighed(s.making.Recipe, *s.batch) {
		message = fmt.Sprintf("no weight is known of %s, so nothing can be said of the alkali: all is taken as the formula asks", listed(open))
	}
	return []finding.Finding{{
		Level: finding.Warn, Rule: RuleTaken, At: s.batch.Code.At, Message: message,
		Remedy: fmt.Sprintf("write down what the scale said: saponym batch put %s %q WEIGHT --lot LOT", s.batch.Code.V, open[0]),
	}}
}

// openLines lists what a record does not say yet of what the formula asks for.
func (a *BatchAnswer) openLines(made formula.Batch) {
	isOf := func(ask Asked, material, batch string) bool {
		return formula.ID(cmp.Or(material, batch)) == formula.ID(ask.Name)
	}
	for _, ask := range a.asked {
		grams := ask.Grams
		has := func(w formula.Weighed) bool { return w.ID != "" && isOf(ask, w.Material.V, w.Batch.V) }
		if slices.ContainsFunc(a.batch.Weighed, has) || slices.ContainsFunc(made.Weighed, has) {
			continue // told lot by lot
		}
		wants := "weight and lot"
		if ask.Batch || (formula.Weighed{Material: formula.Text{V: ask.Name}}).IsWater() {
			wants = "weight"
		}
		a.Open = append(a.Open, BatchOpen{ask.Name, wants, &grams})
	}
	a.openLots(a.batch)
	for i, line := range a.Weighed {
		for _, ask := range a.asked {
			if isOf(ask, line.Material, line.Batch) {
				grams := ask.Grams
				a.Weighed[i].Asked = &grams
			}
		}
	}
}

// openLots lists the lines that have no weight or no lot.
func (a *BatchAnswer) openLots(b formula.Batch) {
	for _, w := range b.Weighed {
		var wants string
		weight := !w.Weight.Given() && !w.Batch.Given()
		lot := !w.Lot.Given() && !w.Batch.Given() && !w.IsWater()
		switch {
		case weight && lot:
			wants = "weight and lot"
		case weight:
			wants = "weight"
		case lot:
			wants = "lot"
		default:
			continue
		}
		a.Open = append(a.Open, BatchOpen{Name: cmp.Or(w.Material.V, w.Batch.V), Wants: wants})
	}
}

// listed writes names as a list in words.
func listed(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return fmt.Sprintf("%s and %s", strings.Join(names[:len(names)-1], ", "), names[len(names)-1])
}

// recorded gives what the file of a batch says.
func recorded(b formula.Batch) BatchAnswer {
	a := BatchAnswer{
		Code: b.Code.V, Formula: formula.ID(b.Formula.V), Makes: cmp.Or(b.Makes.V, "bars"), Material: b.Material.V, Made: dayOf(b.Made),
		By: b.By.V, CheckedBy: b.CheckedBy.V, Place: b.Place.V, Parents: texts(b.Parents), Weighed: []BatchLine{}, Weighings: []BatchWeighing{},
		Packed: []BatchPacking{}, Placed: map[string]day.Day{}, Runs: []BatchRun{}, Events: []BatchEvent{}, Corrected: append([]string{}, b.Corrected...),
		File: b.File, Assumed: []string{}, Open: []BatchOpen{}, Stock: map[string]int{}, Withheld: map[string]int{}, Balance: map[string]register.Stock{},
		Children: []string{}, name: b.Formula.V, batch: b,
	}
	for _, w := range b.Weighed {
		line := BatchLine{
			ID: w.ID, Material: w.Material.V, Batch: w.Batch.V, Supplier: w.Supplier.V, Received: dayOf(w.Received), Expires: dayOf(w.Expires),
			Scale: w.Scale.V, Note: w.Note.V,
		}
		if w.Weight.Given() {
			grams, text := w.Weight.V.Grams(), inGrams(w.Weight.V)
			line.Grams, line.Weight = &grams, &text
		}
		if w.Lot.Given() {
			line.Lot = &w.Lot.V
		}
		a.Weighed = append(a.Weighed, line)
	}
	a.Cut = cutOf(b)
	for _, w := range b.Weighings {
		one := BatchWeighing{ID: w.ID, Date: w.Date.V, Cut: w.Cut.V, Scale: w.Scale.V, Grams: map[string]float64{}, Humidity: percentOrNil(w.Humidity), Trimmed: w.Trimmed.V}
		for _, bar := range w.Bars {
			one.Grams[bar.Mark] = bar.Weight.V.Grams()
		}
		a.Weighings = append(a.Weighings, one)
	}
	for _, p := range b.Packed {
		a.Packed = append(a.Packed, BatchPacking{p.ID, p.Date.V, p.Cut.V, p.Count.V})
	}
	for place, d := range b.Placed {
		a.Placed[place] = d.V
	}
	for _, r := range b.Runs {
		a.Runs = append(a.Runs, runOf(r))
	}
	for _, e := range b.Events {
		a.Events = append(a.Events, eventOf(e))
	}
	a.cuts = register.StockOf(b)
	for _, s := range a.cuts {
		a.Stock[s.Cut], a.Withheld[s.Cut], a.Balance[s.Cut] = s.OnHand, s.Withheld, s
	}
	return a
}

// cutOf gives the cuttings as the file has them.
func cutOf(b formula.Batch) any {
	var all []map[string]any
	for _, c := range b.Cuts {
		one := map[string]any{"date": c.Date.V}
		for _, n := range c.Counts {
			one[n.Cut] = n.Count.V
		}
		if c.Ends.Given() {
			one["ends"] = c.Ends.V
		}
		if c.Seconds.Given() {
			one["seconds"] = c.Seconds.V
		}
		all = append(all, one)
	}
	switch len(all) {
	case 0:
		return nil
	case 1:
		return all[0]
	}
	return all
}

func runOf(r formula.Run) BatchRun {
	return BatchRun{
		ID: r.ID, Date: r.Date.V, Cut: r.Cut.V, Market: r.Market.V, Template: r.Template.V, Claim: r.Claim.V, Printed: r.Printed.V,
		Used: r.Used.V, Spoiled: r.Spoiled.V, Voided: r.Voided.V, Left: register.Left(r), Hash: r.Hash.V,
	}
}

func eventOf(e formula.Event) BatchEvent {
	one := BatchEvent{
		ID: e.ID, Date: e.Date.V, Time: e.Time.V, What: e.What.V, Cut: e.Cut.V, Who: e.Who.V, Method: e.Method.V, Value: e.Value.V,
		Limit: e.Limit.V, Failed: e.Failed.V, Weights: e.Weights.V, Ref: e.Ref.V, Serious: e.Serious.V, Assumed: e.Assumed.V, Erase: dayOf(e.Erase), Note: e.Note.V, Corrects: e.Corrects.V,
	}
	if e.Count.Given() {
		one.Count = &e.Count.V
	}
	for _, key := range slices.Sorted(maps.Keys(e.Details)) {
		if one.Details == nil {
			one.Details = map[string]string{}
		}
		one.Details[key] = e.Details[key].V
	}
	return one
}

// dayOf gives a day, or nil where none is given.
func dayOf(d formula.Day) *day.Day {
	if !d.Given() {
		return nil
	}
	return &d.V
}

// texts gives the words of values.
func texts(values []source.Value[string]) []string {
	all := []string{}
	for _, v := range values {
		all = append(all, v.V)
	}
	return all
}

// inGrams writes a mass in grams as it would be typed.
func inGrams(m measure.Mass) string { return fmt.Sprintf("%.10g g", m.Grams()) }

// percentOrNil gives a share in per cent, and nil where none is given.
func percentOrNil(s formula.Share) *float64 {
	if !s.Given() {
		return nil
	}
	percent := s.V.Percent()
	return &percent
}
