package compile

import (
	"saponym/internal/check"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/shop"
)

// A Checked is all that was found about one formula. Its JSON form is a contract.
type Checked struct {
	Formula  string              `json:"formula"`
	Batch    string              `json:"batch,omitempty"`
	Markets  map[string]InMarket `json:"markets"`
	Notice   string              `json:"notice"`
	Findings []finding.Finding   `json:"findings"`
}

// An InMarket is what a market takes the bars for and why, the verdict there, and
// whom to ask: a verdict is no legal advice.
type InMarket struct {
	Class   string        `json:"class"`
	Because string        `json:"class_because"`
	Verdict check.Verdict `json:"verdict"`
	On      day.Day       `json:"rules_of"`
	Ask     string        `json:"ask"`
}

// RuleBatch is the finding that a batch code was taken for granted.
const RuleBatch = "COMPILE-BATCH"

// someBatch stands for the batch code that a formula cannot know, so that the
// layout is tried with one.
const someBatch = "26330-01"

// Check compiles a formula, or a batch of it, for each market, up to the finished
// band of each of its cuts.
func Check(folder *shop.Folder, o Order, markets []string) (Checked, error) {
	o.Style = market.AsCured
	c := Checked{Markets: map[string]InMarket{}}
	var err error
	if c.Notice, err = Notice(markets, o.On); err != nil {
		return Checked{}, err
	}
	for _, o.Market = range markets {
		order := o
		s, err := find(folder, &order)
		if err != nil {
			return Checked{}, err
		}
		c.Formula, c.Batch = s.doc.ID, order.Batch
		coded := order.Batch != ""
		if !coded {
			order.Batch = someBatch
		}
		var here []finding.Finding
		var class check.Class
		for _, order.Cut = range cutsOf(s.doc) {
			l, err := Band(folder, order)
			if err != nil {
				return Checked{}, err
			}
			here, class = append(here, l.Findings...), l.Class
		}
		if rule, asked := s.law.Statement(string(label.DutyBatch)); asked && rule.Required && !coded {
			here = append(here, finding.Finding{
				Level: finding.Note, Rule: RuleBatch, At: s.doc.Name.At, Market: o.Market, Cite: rule.Cite,
				Message: "the label must carry a batch code, which a formula cannot know; one is taken for granted here", Remedy: rule.Remedy,
			})
		}
		c.Markets[o.Market] = InMarket{class.Name, class.Because, check.Judge(here), s.law.On, s.law.Authority}
		c.Findings = append(c.Findings, here...)
	}
	c.Findings = tidy(folder, c.Findings)
	return c, nil
}

// cutsOf gives the names of the cuts of a formula, and "" for one without.
func cutsOf(doc formula.Formula) []string {
	if len(doc.Cuts) == 0 {
		return []string{""}
	}
	var names []string
	for _, cut := range doc.Cuts {
		names = append(names, cut.Name.V)
	}
	return names
}
