package compile

import (
	"saponym/internal/check"
	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/shop"
)

// A Checked is all that was found about one formula. Its JSON form is a contract.
type Checked struct {
	Formula  string              `json:"formula"`
	Markets  map[string]InMarket `json:"markets"`
	Findings []finding.Finding   `json:"findings"`
}

// An InMarket is what a market takes the bars for, the verdict there, and whom to
// ask: a verdict is no legal advice.
type InMarket struct {
	Class   string        `json:"class"`
	Verdict check.Verdict `json:"verdict"`
	Ask     string        `json:"ask"`
}

// RuleBatch is the finding that a batch code was taken for granted.
const RuleBatch = "COMPILE-BATCH"

// someBatch stands for the batch code that a formula cannot know, so that the
// layout is tried with one.
const someBatch = "26330-01"

// Check compiles a formula for each market, up to the finished band of each of
// its cuts.
func Check(folder *shop.Folder, o Order, markets []string) (Checked, error) {
	doc, err := folder.Formula(o.Formula)
	if err != nil {
		return Checked{}, err
	}
	c := Checked{Formula: doc.ID, Markets: map[string]InMarket{}}
	cuts := []string{""}
	if len(doc.Cuts) > 0 {
		cuts = nil
		for _, cut := range doc.Cuts {
			cuts = append(cuts, cut.Name.V)
		}
	}
	o.Style, o.Batch = market.AsCured, someBatch
	for _, o.Market = range markets {
		var here []finding.Finding
		var law *market.Law
		var class string
		for _, o.Cut = range cuts {
			l, err := Band(folder, o)
			if err != nil {
				return Checked{}, err
			}
			here, law, class = append(here, l.Findings...), l.Law, l.Class
		}
		if rule, asked := law.Statement(string(label.DutyBatch)); asked && rule.Required {
			here = append(here, finding.Finding{
				Level: finding.Note, Rule: RuleBatch, At: doc.Name.At, Market: o.Market, Cite: rule.Cite,
				Message: "the label must carry a batch code, which a formula cannot know; one is taken for granted here", Remedy: rule.Remedy,
			})
		}
		c.Markets[o.Market] = InMarket{class, check.Judge(here), law.Authority}
		c.Findings = append(c.Findings, here...)
	}
	c.Findings = tidy(folder, c.Findings)
	return c, nil
}
