package compile

import (
	"cmp"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/measure"
	"saponym/internal/register"
	"saponym/internal/shop"
)

// The rule ids of how heavy bars are to be cut.
const (
	RuleBatter  = "COMPILE-BATTER"   // the batter gives lighter bars than the claim takes
	RuleNoClaim = "COMPILE-NO-CLAIM" // no net weight is claimed
)

// A CutAnswer says how heavy the bars of a formula must be cut for a claim to last, and how
// its batches stand to it. Its JSON form is a contract; what is not known is null.
type CutAnswer struct {
	Formula  string            `json:"formula"`
	Cut      string            `json:"cut"`
	Market   string            `json:"market"`
	Claim    *ClaimAnswer      `json:"claim"`
	AtLeast  *float64          `json:"cut_at_least_g"`  // on average
	Each     *float64          `json:"each_at_least_g"` // each single bar
	Days     int               `json:"sold_for_days"`   // from the cut to the last day of sale
	Kept     *KeptShare        `json:"kept_percent"`    // of the weight at the cut, on that day
	Learnt   bool              `json:"learnt_from_own_batches"`
	Batter   *float64          `json:"batter_gives_g"` // a bar, where the formula has one cut and says how many
	LawDays  []LawDay          `json:"law_days"`
	Batches  []BatchStands     `json:"batches"`
	Pack     *PackAnswer       `json:"pack"`
	Notice   string            `json:"notice"`
	Findings []finding.Finding `json:"findings"`

	title string
	last  string // how long they are sold, in words
}

// A KeptShare is how much of its weight at the cut a bar keeps.
type KeptShare struct {
	Mean float64 `json:"mean"`
	Sure float64 `json:"sure"` // by 95 %
}

// A BatchStands is how a batch stands to the claim. Its JSON form is a contract.
type BatchStands struct {
	Code    string   `json:"batch"`
	Made    day.Day  `json:"made"`
	OnHand  int      `json:"on_hand"`    // of the cut
	Weighed *day.Day `json:"weighed_on"` // the last time
	Mean    *float64 `json:"mean_g"`     // then
	Verdict string   `json:"verdict"`    // "holds", "fails", "too-few" weighings, "unweighed", or "unclear" where a finding stops it
	Until   *day.Day `json:"holds_until"`
	ForGood bool     `json:"for_good"`

	courses *cureOf
}

// cutDay is the day after the making on which a loaf is cut: common practice, no source.
const cutDay = 1

// WeighFormula answers for a formula in one market.
func WeighFormula(folder *shop.Folder, o WeightOrder, batches []BatchStands) (CutAnswer, error) {
	w, err := newWeigher(folder, o)
	if err != nil {
		return CutAnswer{}, err
	}
	a := CutAnswer{
		Formula: w.doc.ID, Cut: w.cut.Name.V, Market: w.law.Market, LawDays: w.lawDays(), Batches: []BatchStands{},
		Notice: notice(w.law), title: w.doc.Name.V,
	}
	a.Days = cutDay + w.law.On.DaysUntil(w.last)
	a.last = fmt.Sprintf("%d months", cmp.Or(w.doc.Keep.SellWithin.V, usualSale))
	claim, claimed := w.claim()
	if claimed {
		answer := claimAnswer(claim)
		a.Claim = &answer
		w.cutAtLeast(&a, claim)
		if a.Batches, err = w.stand(batches, claim); err != nil {
			return CutAnswer{}, err
		}
	} else if len(w.doc.Cuts) > 0 {
		w.found = append(w.found, finding.Finding{
			Level: finding.Note, Rule: RuleNoClaim, At: w.cut.Name.At, Market: w.law.Market,
			Message: fmt.Sprintf("the cut %q claims no net weight, so there is nothing to cut for", w.cut.Name.V),
			Remedy:  "give one with --claim, or write claim: 4 oz into the cut",
		})
	}
	if o.Pack != "" {
		if a.Pack, err = w.pack(o.Pack); err != nil {
			return CutAnswer{}, err
		}
	}
	a.Findings = tidy(folder, w.found)
	return a, nil
}

// cutAtLeast works out the weights at the cut.
func (w *weigher) cutAtLeast(a *CutAnswer, claim market.Claim) {
	if w.batter == nil || finding.Worst(w.found) == finding.Stop {
		return // how bars dry that may not be sold helps nobody
	}
	size := w.cut.Size()
	expected, err := cure.Expect(cure.FreshWater(leaves(w.batter), cutDay, size), size, earlier(w.folder, w.doc.ID, w.law.On.AddDays(1), w.law.On))
	if err != nil {
		w.found = append(w.found, finding.Finding{
			Level: finding.Note, Rule: cure.RuleWater, At: w.cut.Name.At, Market: w.law.Market,
			Message: "how much the bars will lose cannot be told: " + err.Error(), Remedy: "weigh cured bars, and claim no more than they weigh",
		})
		return
	}
	mean, kept := expected.Kept(0, float64(a.Days-cutDay))
	a.Kept, a.Learnt = &KeptShare{100 * mean, 100 * kept}, expected.Learnt()
	step := measure.Gram / 10
	for _, s := range w.folder.Shop.Scales {
		step = max(step, s.V)
	}
	least := w.least(claim, kept, expected.Bars().Spread*claim.Least().Grams(), step)
	if least == nil {
		return
	}
	a.AtLeast, a.Each = &least.Average, &least.Each
	if len(w.doc.Cuts) != 1 || w.cut.Count.V < 1 {
		return
	}
	gives := w.batter.Mass() / float64(w.cut.Count.V)
	a.Batter = &gives
	if gives < least.Average {
		level, message := finding.Note, "as it dries it may not be sure to hold"
		if gives*mean < claim.Least().Grams() {
			level, message = finding.Warn, "as it dries it is not to be expected to hold"
		}
		w.found = append(w.found, finding.Finding{
			Level: level, Rule: RuleBatter, At: w.cut.Claim.At, Market: w.law.Market,
			Message: fmt.Sprintf("the batter gives %.4g g a bar when nothing is lost, and %q takes %s g: %s", gives, claim.Words, gramsUp(least.Average), message),
			Remedy:  fmt.Sprintf("cut %d bars, or make %.0f %% more batter, or claim less", int(math.Floor(w.batter.Mass()/least.Average)), math.Ceil(100*(least.Average/gives-1))),
		})
	}
}

// A cureOf is what the weighings of one batch say, worked out once for all markets.
type cureOf struct {
	batch formula.Batch
	doc   formula.Formula
	cut   formula.Cut
	bases map[string]cure.Basis // of each cut
	usual cure.Dried            // by the usual belief
	dried cure.Dried            // by that of the batches before it
	teach *cure.Course          // by the usual belief, of its first cut that has one; what it teaches, as in earlier
}

// read reads the weighings by the usual belief.
func (c *cureOf) read() {
	c.usual = c.of(c.cut, cure.Prior{})
	for _, first := range c.doc.Cuts {
		dried := c.usual
		if first.Name.V != c.cut.Name.V {
			dried = c.of(first, cure.Prior{})
		}
		if c.teach = dried.Course; c.teach != nil {
			return
		}
	}
}

// of reads the weighings of a cut by a belief.
func (c *cureOf) of(cut formula.Cut, prior cure.Prior) cure.Dried {
	basis := c.bases[cut.Name.V]
	basis.Prior = prior
	return cure.Read(c.batch, c.doc.Cuts, cut, basis)
}

// BatchesOf reads the weighings of all batches of a formula up to a day, the youngest first.
func BatchesOf(folder *shop.Folder, id, cutName string, on day.Day) []BatchStands {
	var all []BatchStands
	codes := folder.Codes()
	slices.Reverse(codes)
	for _, code := range codes {
		b, ok := folder.Batch(code)
		if !ok || formula.ID(b.Formula.V) != formula.ID(id) || b.MakesMaterial() {
			continue
		}
		s := subject{}
		if s.document(folder, &Order{Formula: code}) != nil {
			continue
		}
		stands := BatchStands{Code: code, Made: b.Made.V, Verdict: "unclear"}
		chosen, err := cut(s.doc, cutName)
		for _, stock := range register.StockOf(b) {
			if stock.Cut == chosen.Name.V {
				stands.OnHand += stock.OnHand
			}
		}
		batter, found := s.pour()
		if err == nil && batter != nil && finding.Worst(found) < finding.Stop {
			stands.courses = &cureOf{batch: b, doc: s.doc, cut: chosen, bases: map[string]cure.Basis{}}
			for _, c := range s.doc.Cuts {
				stands.courses.bases[c.Name.V] = basisOf(folder, b, batter, c, on)
			}
		}
		all = append(all, stands)
	}
	slices.SortStableFunc(all, func(a, b BatchStands) int { return b.Made.Compare(a.Made) })
	atOnce(all, (*cureOf).read)
	priors := map[*cureOf]cure.Prior{}
	for i, b := range all {
		if b.courses != nil {
			priors[b.courses] = before(all[i+1:], b.Made)
		}
	}
	atOnce(all, func(c *cureOf) {
		c.dried = c.usual
		if prior := priors[c]; prior != (cure.Prior{}) {
			c.dried = c.of(c.cut, prior)
		}
	})
	return all
}

// before gives what the batches of a list, the youngest first, teach that were made before
// a day.
func before(all []BatchStands, made day.Day) cure.Prior {
	var courses []*cure.Course
	for _, b := range all {
		if b.courses != nil && b.courses.teach != nil && b.Made.Before(made) {
			if courses = append(courses, b.courses.teach); len(courses) == enoughEarlier {
				break
			}
		}
	}
	return cure.PriorFrom(courses)
}

// atOnce does something to each batch, as many at a time as there are processors.
func atOnce(all []BatchStands, do func(*cureOf)) {
	var wait sync.WaitGroup
	next := make(chan *cureOf)
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for c := range next {
				do(c)
			}
		})
	}
	for _, b := range all {
		if b.courses != nil {
			next <- b.courses
		}
	}
	close(next)
	wait.Wait()
}

// stand holds the claim against each batch.
func (w *weigher) stand(batches []BatchStands, claim market.Claim) ([]BatchStands, error) {
	all := slices.Clone(batches)
	places := make(map[*cureOf]*BatchStands, len(all))
	lasts := make(map[*cureOf]day.Day, len(all))
	for i := range all {
		if c := all[i].courses; c != nil {
			s := w.subject
			s.batch = &c.batch
			var err error
			if s.law, _, err = s.lawOn(w.order.Market, func(place string) market.Days { return s.days(place, w.order.On) }); err != nil {
				return nil, err
			}
			lasts[c], _ = s.lastSale()
			places[c] = &all[i]
		}
	}
	atOnce(all, func(c *cureOf) { places[c].judge(c.dried, claim, lasts[c], w.rules) })
	return append([]BatchStands{}, all...), nil
}

// judge fills in how a batch stands to a claim.
func (b *BatchStands) judge(dried cure.Dried, claim market.Claim, last day.Day, rules []market.NetRule) {
	b.Verdict = "unweighed"
	if w, ok := dried.Last(); ok {
		b.Weighed = &w.Date.V
		mean := w.Mean()
		b.Mean, b.Verdict = &mean, "too-few"
	}
	switch {
	case dried.Course != nil:
		p := dried.Promise(claim, last, rules...)
		b.Verdict, b.ForGood = "fails", p.ForGood()
		if p.Lasts() {
			b.Verdict = "holds"
		}
		if !p.Until.IsZero() {
			b.Until = &p.Until
		}
	case finding.Worst(dried.Findings) == finding.Stop:
		b.Verdict = "unclear"
	}
}
