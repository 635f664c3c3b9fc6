package compile

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/measure"
	"saponym/internal/register"
	"saponym/internal/shop"
)

// A WeightOrder asks what the bars of a batch weigh, or how heavy those of a formula must
// be cut, for a claim.
type WeightOrder struct {
	Order
	At     day.Day // for which the weight is asked; the zero Day: the last day of sale
	Claim  string  // as typed; "" for that of the formula
	Ounces string  // how finely an ounce is divided, one of [OunceWords]; "" as the claim was typed
	Pack   string  // what is sold together: "3", or "bar=2,guest=1"
}

// ounceWords says how finely an ounce can be divided.
var ounceWords = []struct {
	word string
	fine market.Fineness
}{
	{"hundredths", market.Hundredths}, {"tenths", market.Tenths}, {"whole", market.WholeOunces}, {"halves", market.Halves},
	{"quarters", market.Quarters}, {"eighths", market.Eighths}, {"sixteenths", market.Sixteenths}, {"thirty-seconds", market.ThirtySeconds},
}

// OunceWords gives the words for how finely an ounce is divided in a claim.
func OunceWords() []string {
	var words []string
	for _, o := range ounceWords {
		words = append(words, o.word)
	}
	return words
}

// A ClaimAnswer is a net weight as it is printed. Its JSON form is a contract.
type ClaimAnswer struct {
	Text   string  `json:"text"`
	Grams  float64 `json:"grams"`
	Ounces float64 `json:"ounces,omitempty"` // where the form of the market has them
	Needs  float64 `json:"needs_g"`          // that the bars must weigh on average for both figures to be true
}

func claimAnswer(c market.Claim) ClaimAnswer {
	return ClaimAnswer{c.Words, c.Metric.Grams(), c.Ounces(), c.Least().Grams()}
}

// A LawDay says on which day a law looks at the weight.
type LawDay struct {
	Market string       `json:"market"`
	Of     string       `json:"of"` // "packing" or "handover"
	Cite   string       `json:"cite"`
	Known  market.Known `json:"known"`
}

// A PackAnswer is the net weight of several bars that are sold together.
type PackAnswer struct {
	Text  string  `json:"text"`
	Grams float64 `json:"grams"`
}

// A weigher answers for one cut in one market.
type weigher struct {
	subject
	folder  *shop.Folder
	order   WeightOrder
	cut     formula.Cut
	batter  *bar.Batter
	form    market.Form
	writing market.Writing
	rules   []market.NetRule
	last    day.Day // of sale
	found   []finding.Finding
}

// newWeigher makes ready to answer. The findings are those of the documents; where they stop
// there is no batter.
func newWeigher(folder *shop.Folder, o WeightOrder) (*weigher, error) {
	s, err := find(folder, &o.Order)
	if err != nil {
		return nil, err
	}
	w := &weigher{subject: s, folder: folder, order: o, form: market.Metric, rules: cure.Rules(s.law, folder.Shop.LotRules)}
	w.found = slices.Concat(s.documents(folder), unknownMarkets(folder), s.places(folder.Shop), s.conflicting())
	if finding.Worst(w.found) < finding.Stop {
		var more []finding.Finding
		w.batter, more = s.pour()
		// What a batter may not be is told by declare and check; a lye-heavy one has no label, and no weight.
		w.found = append(w.found, slices.DeleteFunc(more, func(f finding.Finding) bool { return f.Level < finding.Stop })...)
	}
	if w.cut, err = cut(s.doc, o.Cut); err != nil {
		return nil, err
	}
	if len(s.doc.Cuts) == 0 {
		w.found = append(w.found, noCuts(s))
	}
	if rule, ok := s.law.Statement(string(label.DutyNetQuantity)); ok {
		w.form = rule.Form
	}
	if err := w.asTyped(); err != nil {
		return nil, err
	}
	var said bool
	if w.last, said = s.lastSale(); !said {
		w.found = append(w.found, s.unsaidSale())
	}
	return w, nil
}

// asTyped puts a claim that is asked about in the place of that of the formula, and finds
// out how claims are written.
func (w *weigher) asTyped() error {
	if typed := strings.TrimSpace(w.order.Claim); typed != "" {
		mass, quantity, err := measure.ParseMass(typed)
		if err != nil {
			return &OptionError{fmt.Sprintf("the claim %q is no weight: %v", typed, err), `write for example "4 oz" or "113 g"`}
		}
		if _, ok := w.form.AsTyped(quantity); !ok || mass > measure.Kilogram*100 {
			return &OptionError{fmt.Sprintf("the claim %q is no net weight of a bar", typed), `write for example "4 oz" or "113 g"`}
		}
		w.cut.Claim.V, w.cut.Claim.At = quantity, w.cut.Name.At
		if w.cut.Claim.At.Line == 0 {
			w.cut.Claim.At = w.doc.Name.At
		}
	}
	if w.cut.Claim.Given() {
		w.writing = market.WritingOf(w.cut.Claim.V)
	}
	if w.order.Ounces == "" {
		return nil
	}
	i := slices.Index(OunceWords(), w.order.Ounces)
	if i < 0 {
		return &UnknownError{What: "fraction of an ounce", Name: w.order.Ounces, Known: strings.Join(OunceWords(), ", ")}
	}
	w.writing.Ounces = ounceWords[i].fine
	return nil
}

// claim gives the net weight that is claimed, and false where none is, or none that can be
// printed.
func (w *weigher) claim() (market.Claim, bool) {
	if !w.cut.Claim.Given() {
		return market.Claim{}, false
	}
	return w.form.Typed(w.cut.Claim.V, w.writing)
}

func (w *weigher) lawDays() []LawDay {
	days := []LawDay{}
	for _, r := range w.rules {
		days = append(days, LawDay{r.Market, r.Day.Of, r.Day.Cite, r.Day.Known})
	}
	return days
}

// lot gives how many bars of the cut are judged together: those of the batch that are
// there still, or were made where nobody has counted.
func (w *weigher) lot() int {
	for _, s := range register.StockOf(*w.batch) {
		if s.Cut == w.cut.Name.V {
			return s.OnHand + s.Withheld
		}
	}
	return w.cut.Count.V
}

// A Predicted is what the bars of a batch will weigh on average on a day, in grams. Its
// JSON form is a contract.
type Predicted struct {
	Date     *day.Day `json:"date,omitempty"` // none at rest
	Mean     float64  `json:"mean_g"`
	Low      float64  `json:"low95_g"`
	High     float64  `json:"high95_g"`
	OneSided float64  `json:"one_sided5_g"`
}

func predicted(on *day.Day, p cure.Prediction) *Predicted {
	return &Predicted{on, p.Mean, p.Low, p.High, p.OneSided}
}

// A ProductClaim is the net weight that the product claims, held against a batch.
type ProductClaim struct {
	ClaimAnswer
	Holds   bool     `json:"holds"`         // to the last day of sale
	HoldsOn bool     `json:"holds_on"`      // on the day that is asked for
	Until   *day.Day `json:"holds_until"`   // null: see ForGood
	ForGood bool     `json:"for_good"`      // it holds as long as there are bars
	Average bool     `json:"average_holds"` // on the last day of sale
	Single  bool     `json:"single_holds"`  // and so do single bars
	Lacking int      `json:"short_bars"`    // of those that were weighed
	Beyond  float64  `json:"short_percent"` // of the bars that are to be expected to lack more than the limit then
}

func productClaim(p cure.Promise, at day.Day) *ProductClaim {
	a := &ProductClaim{ClaimAnswer: claimAnswer(p.Claim), Holds: p.Lasts(), HoldsOn: p.Holds(at), ForGood: p.ForGood(), Average: p.Average, Single: p.Single, Beyond: 100 * p.Beyond, Lacking: p.Lacking}
	if !p.Until.IsZero() {
		a.Until = &p.Until
	}
	return a
}

// A GivenAway is what the bars weigh more than is claimed of them, on the last day of sale.
type GivenAway struct {
	Grams   float64 `json:"g"` // of one bar
	Percent float64 `json:"percent"`
	Bars    int     `json:"bars"`
	Total   float64 `json:"total_g"`
}

// A WeightAnswer is what is known of the weight of the bars of a batch. Its JSON form is a
// contract; what is not known is null.
type WeightAnswer struct {
	Batch     string            `json:"batch"`
	Formula   string            `json:"formula"`
	Cut       string            `json:"cut"`
	Market    string            `json:"market"`
	On        day.Day           `json:"on"` // the day that is asked for
	LastSale  day.Day           `json:"last_sale"`
	Mean      *float64          `json:"mean_g"` // of the last weighing
	SD        *float64          `json:"sd_g"`
	Weighed   int               `json:"bars_weighed"`
	Weighings []WeightDay       `json:"weighings"`
	Scale     *float64          `json:"scale_step_g"`
	Learnt    bool              `json:"learnt_from_own_batches"`
	Predicted *Predicted        `json:"predicted"`
	AtRest    *Predicted        `json:"at_rest"`
	Dry       *float64          `json:"dry_g"`
	Bounds    *PercentRange     `json:"bounds_g"` // at rest, where too little was weighed for more
	Water     *PercentRange     `json:"water_left_percent"`
	Claim     *ClaimAnswer      `json:"claim"` // the largest that holds on that day
	Product   *ProductClaim     `json:"product_claim"`
	Until     *day.Day          `json:"holds_until"` // of what the product claims, or else of the largest
	Given     *GivenAway        `json:"given_away"`
	LawDays   []LawDay          `json:"law_days"`
	Lot       *LotTested        `json:"lot_test"`
	Now       *CutWeights       `json:"now_at_least"` // what bars must weigh by the last weighing for the claim to last
	SetAside  []string          `json:"set_aside"`
	Again     *AgainAnswer      `json:"one_more_weighing"`
	Ways      []string          `json:"ways_out"`
	Pack      *PackAnswer       `json:"pack"`
	Notice    string            `json:"notice"`
	Findings  []finding.Finding `json:"findings"`

	title   string
	dried   cure.Dried
	law     *market.Law
	printed string        // the claim in words
	stands  *cure.Promise // of the printed claim
	packed  day.Day       // the zero Day: not yet
}

// A WeightDay is one weighing. Its JSON form is a contract.
type WeightDay struct {
	Date     day.Day            `json:"date"`
	Mean     float64            `json:"mean_g"`
	Bars     map[string]float64 `json:"grams"`
	Humidity *float64           `json:"humidity_percent,omitempty"`
	Trimmed  bool               `json:"trimmed,omitempty"`
}

// A PercentRange is a figure from low to high.
type PercentRange struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// A CutWeights is what bars must weigh on a day.
type CutWeights struct {
	Date    *day.Day `json:"date"` // null: when they are cut
	Average float64  `json:"average_g"`
	Each    float64  `json:"each_g"`
}

// A LotTested is a lot of bars held against a claim. Its JSON form is a contract.
type LotTested struct {
	Verdict cure.Verdict `json:"verdict"`
	Own     cure.Verdict `json:"own_verdict"` // by the stricter rule of the house
	Market  string       `json:"market"`      // whose rule it is
	Claim   string       `json:"claim"`
	Lot     int          `json:"lot"`
	Weighed int          `json:"weighed"`
	Wanted  int          `json:"wanted"`
	Mean    float64      `json:"mean_g"`
	SD      float64      `json:"sd_g"`
	Factor  float64      `json:"factor"`
	Limit   float64      `json:"limit_g"`
	Beyond  int          `json:"beyond_limit"`
	Accept  int          `json:"may_be_beyond"`
	Second  *float64     `json:"second_limit_g"`
	Beyond2 int          `json:"beyond_second_limit"`
}

// farthest is how many months after the making are looked ahead to.
const farthest = 50 * 12

// Weigh answers for one batch in one market.
func Weigh(folder *shop.Folder, o WeightOrder) (WeightAnswer, error) {
	w, err := newWeigher(folder, o)
	if err != nil {
		return WeightAnswer{}, err
	}
	if w.batch == nil {
		return WeightAnswer{}, &OptionError{fmt.Sprintf("%q is a formula, and no batch", o.Formula), "name the code of a batch"}
	}
	a := WeightAnswer{
		Batch: w.batch.Code.V, Formula: w.doc.ID, Cut: w.cut.Name.V, Market: w.law.Market, On: w.order.At, LastSale: w.last,
		Weighings: []WeightDay{}, LawDays: w.lawDays(), SetAside: []string{}, Ways: []string{}, Notice: notice(w.law),
		title: w.doc.Name.V, law: w.law, dried: w.dried(folder, w.batter, w.cut),
	}
	if a.On.IsZero() {
		a.On = w.last
	}
	if made := w.batch.Made.V; a.On.Before(made) {
		return WeightAnswer{}, &OptionError{fmt.Sprintf("the batch %s was made on %s, and its weight is asked for on %s", a.Batch, made, a.On), "name a later day with --at"}
	} else if made.AddMonths(farthest).Before(a.On) {
		return WeightAnswer{}, &OptionError{fmt.Sprintf("no bar is sold on %s", a.On), "name an earlier day with --at"}
	}
	a.packed = w.batch.FirstPacked(w.cut.Name.V)
	w.found = append(w.found, a.dried.Findings...)
	a.weighings()
	if claim, ok := w.claim(); ok {
		w.judge(&a, claim)
	} else if a.dried.Course != nil {
		if claim, ok := a.dried.Course.Largest(w.form, w.writing, a.dried.Day(w.last), w.rules...); ok {
			w.judge(&a, claim)
		}
		a.Product = nil
	}
	w.predict(&a)
	if o.Pack != "" {
		if a.Pack, err = w.pack(o.Pack); err != nil {
			return WeightAnswer{}, err
		}
	}
	a.Findings = tidy(folder, w.found)
	return a, nil
}

// weighings tells what was weighed.
func (a *WeightAnswer) weighings() {
	for _, w := range a.dried.Weighings {
		one := WeightDay{Date: w.Date.V, Mean: w.Mean(), Bars: map[string]float64{}, Humidity: percentOrNil(w.Humidity), Trimmed: w.Trimmed.V}
		for _, b := range w.Bars {
			one.Bars[b.Mark] = b.Weight.V.Grams()
		}
		a.Weighings = append(a.Weighings, one)
	}
	if a.dried.Step > 0 {
		step := a.dried.Step.Grams()
		a.Scale = &step
	}
	if len(a.Weighings) == 0 {
		return
	}
	last := a.Weighings[len(a.Weighings)-1]
	a.Weighed, a.Mean = len(last.Bars), &last.Mean
	if a.Weighed > 1 {
		squares := 0.0
		for _, g := range last.Bars {
			squares += (g - last.Mean) * (g - last.Mean)
		}
		sd := math.Sqrt(squares / float64(a.Weighed-1))
		if sd < 1e-9 { // of bars that are alike, what floats have lost
			sd = 0
		}
		a.SD = &sd
	}
}

// predict says what the bars will weigh.
func (w *weigher) predict(a *WeightAnswer) {
	if a.dried.Course == nil {
		if l := a.dried.Little; l != nil && l.Bounds.High > 0 {
			a.Bounds = &PercentRange{l.Bounds.Low, l.Bounds.High}
		}
		return
	}
	course, at := a.dried.Course, a.dried.Day(a.On)
	a.Predicted, a.AtRest = predicted(&a.On, course.Batch(at)), predicted(nil, course.Batch(math.Inf(1)))
	dry, left := course.Floor(), course.WaterLeft(at)
	a.Dry, a.Water = &dry, &PercentRange{100 * left.Low, 100 * left.High}
	if claim, ok := course.Largest(w.form, w.writing, at, w.rules...); ok {
		largest := claimAnswer(claim)
		a.Claim = &largest
	}
	a.Learnt = course.Learnt()
}

// judge holds a claim against the bars.
func (w *weigher) judge(a *WeightAnswer, claim market.Claim) {
	a.printed = claim.Words
	if finding.Worst(w.found) < finding.Stop { // a slip of the pen is no short bar, and bars that may not be sold are no lot
		a.Lot = w.testLot(a, claim)
	}
	if step := a.dried.Step; step > 0 {
		for _, r := range w.rules {
			if most, backing := r.ScaleStep(claim.Least()); most > 0 && step > most {
				w.found = append(w.found, finding.Finding{
					Level: finding.Warn, Rule: cure.RuleScale, At: a.dried.Weighings[0].Date.At, Market: r.Market, Cite: backing.Cite,
					Message: fmt.Sprintf("the scale goes in steps of %.3g g, and for bars of %.4g g steps of %.3g g or less are wanted", step.Grams(), claim.Least().Grams(), math.Floor(100*most.Grams())/100),
					Remedy:  "weigh on a finer scale; until then the steps count as noise, and the prediction is the wider",
				})
				break
			}
		}
	}
	if a.dried.Course == nil {
		w.early(a, claim)
		return
	}
	p := a.dried.Promise(claim, w.last, w.rules...)
	a.stands, a.Product = &p, productClaim(p, a.On)
	a.Until = a.Product.Until
	if p.Spare > 0 && p.Lasts() {
		bars := w.lot()
		a.Given = &GivenAway{p.Spare, 100 * p.Spare / claim.Least().Grams(), bars, p.Spare * float64(bars)}
	}
	a.Again = w.again(a)
	if p.Lasts() {
		return
	}
	a.Now = w.needed(a, claim)
	a.SetAside = w.setAside(a, claim)
	w.waysOut(a, p)
	w.found = append(w.found, w.failing(a, p))
}

// stepOf gives the step to which weights are rounded up.
func stepOf(d cure.Dried) measure.Mass { return cmp.Or(d.Step, measure.Gram/10) }

// least gives what bars must weigh for a claim to hold when they have kept a part of it.
func (w *weigher) least(claim market.Claim, kept, spread float64, step measure.Mass) *CutWeights {
	var all CutWeights
	for _, r := range w.rules {
		cut, err := cure.CutAtLeast(claim, kept, spread, r, step)
		if err != nil {
			return nil
		}
		all.Average, all.Each = max(all.Average, cut.Average.Grams()), max(all.Each, cut.Single.Grams())
	}
	return &all
}

// needed gives what the bars must weigh on the day of the question, for the claim to last.
func (w *weigher) needed(a *WeightAnswer, claim market.Claim) *CutWeights {
	course := a.dried.Course
	from, on := a.dried.Day(w.law.On), w.law.On
	if last := course.LastDay(); from < last {
		from, on = last, a.dried.Date(last)
	}
	_, kept := course.Kept(from, a.dried.Day(w.last))
	least := w.least(claim, kept, course.Bars().Spread*course.At(from).Mean*kept, stepOf(a.dried))
	if least != nil {
		least.Date = &on
	}
	return least
}

// early says what the bars must weigh now, when there are too few weighings to predict
// anything: by what is usual, or known from other batches.
func (w *weigher) early(a *WeightAnswer, claim market.Claim) {
	if a.dried.Little == nil || w.batter == nil {
		return
	}
	size := w.cut.Size()
	days, weighed := float64(cutDay), claim.Least().Grams()
	if len(a.Weighings) > 0 {
		days, weighed = a.dried.Day(a.Weighings[0].Date), a.Weighings[0].Mean
	}
	expected, err := cure.Expect(cure.FreshWater(leaves(w.batter), days, size), size, earlier(w.folder, w.doc.ID, w.batch.Made.V, w.law.On))
	if err != nil {
		return
	}
	_, kept := expected.Kept(0, a.dried.Day(w.last)-days)
	a.Now = w.least(claim, kept, expected.Bars().Spread*weighed, stepOf(a.dried))
	if len(a.Weighings) == 0 || a.Now == nil {
		return
	}
	first := a.Weighings[0]
	a.Now.Date = &first.Date
	if first.Mean < a.Now.Average {
		w.found = append(w.found, finding.Finding{
			Level: finding.Warn, Rule: label.RuleUnweighed, At: w.cut.Claim.At, Market: w.law.Market,
			Message: fmt.Sprintf("for %q to be sure until %s the bars had to weigh %s g on average on %s, by what is believed before they are weighed again, and they weighed %.4g g", claim.Words, w.last, gramsUp(a.Now.Average), first.Date, first.Mean),
			Remedy:  "weigh the same bars again: it may turn out that they keep more; or claim less",
		})
	}
}

// testLot holds the bars of the last weighing against the claim: of several laws the one
// that judges worst.
func (w *weigher) testLot(a *WeightAnswer, claim market.Claim) *LotTested {
	last, ok := a.dried.Last()
	if !ok {
		return nil
	}
	lot := cure.Lot{Size: max(w.lot(), 1)}
	for _, b := range last.Bars {
		if b.Weight.Given() {
			lot.Bars = append(lot.Bars, b.Weight.V)
		}
	}
	var worst *cure.LotTest
	rank := func(v cure.Verdict) int { return slices.Index([]cure.Verdict{cure.Pass, cure.TooFew, cure.Fail}, v) }
	for _, r := range w.rules {
		t := cure.TestLot(lot, claim, r)
		if worst == nil || rank(t.Verdict) > rank(worst.Verdict) {
			worst = &t
		}
		found := t.Findings(last.Date.At)
		if t.Verdict == cure.TooFew { // said in the answer; a sample need not be weighed each week
			found = slices.DeleteFunc(found, func(f finding.Finding) bool { return f.Rule == cure.RuleSample })
		}
		w.found = append(w.found, found...)
	}
	if worst == nil {
		return nil
	}
	t := &LotTested{
		Verdict: worst.Verdict, Own: worst.Own, Market: worst.Rule.Market, Claim: claim.Words, Lot: worst.Lot, Weighed: worst.Weighed, Wanted: worst.Wanted,
		Mean: worst.Mean, SD: worst.Spread, Factor: worst.Factor, Limit: worst.Limit.Grams(), Beyond: worst.Beyond, Accept: worst.Accept, Beyond2: worst.BeyondSecond,
	}
	if worst.HasSecond {
		second := worst.Second.Grams()
		t.Second = &second
	}
	return t
}
