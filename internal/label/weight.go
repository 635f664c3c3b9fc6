package label

import (
	"fmt"

	"saponym/internal/cure"
	"saponym/internal/finding"
	"saponym/internal/market"
)

// netQuantity says the net weight: the one that is claimed, or where none is, the largest
// that the weighed bars keep.
func (c *compiler) netQuantity() {
	net := Statement{Duty: DutyNetQuantity, Field: "cuts." + c.cut.Name.V + ".claim", Panel: Principal}
	if rule, regulated := c.law.Statement(string(DutyNetQuantity)); regulated {
		claim, ok := c.claim(rule.Form)
		if !ok {
			return // a finding says why
		}
		if claim.Words != "" {
			net.Lines = lines(claim.Words)
			c.judge(claim)
		}
	}
	c.say(net, c.cut.Name.At)
}

// claim gives the net weight in the form of the law. Without words: nothing is claimed.
func (c *compiler) claim(form market.Form) (market.Claim, bool) {
	if typed := c.cut.Claim; typed.Given() {
		claim, ok := form.AsTyped(typed.V)
		if !ok {
			c.report(finding.Stop, RuleClaim, typed.At, fmt.Sprintf("the claim %q is too small to be printed as a net weight", typed.V), "write the net weight of one bar, such as claim: 4 oz")
		}
		return claim, ok
	}
	dried := c.making.Dried
	if dried.Course == nil {
		return market.Claim{}, true
	}
	claim, ok := dried.Course.Largest(form, market.Writing{}, dried.Day(c.making.Last), cure.Rules(c.law, c.shop.LotRules)...)
	if !ok {
		return market.Claim{}, true
	}
	c.report(finding.Note, RuleLargest, c.cut.Name.At, fmt.Sprintf("the cut claims no net weight; printed is the largest that the weighed bars keep until %s", c.making.Last), "write a claim into the cut, and every batch is held to it")
	return claim, true
}

// judge holds a net weight against the bars that were weighed.
func (c *compiler) judge(claim market.Claim) {
	at := c.cut.Claim.At
	if at.Line == 0 {
		at = c.cut.Name.At
	}
	dried := c.making.Dried
	if dried.Course == nil {
		why, remedy := "rests on no weighing", "weigh cured bars of this batch, and claim no more than the lightest can be relied on to keep"
		if dried.Little != nil && dried.Little.Days > 0 {
			why = fmt.Sprintf("rests on too few weighings, %d of at least %d", dried.Little.Days, cure.FewestDays)
			remedy = fmt.Sprintf("weigh the same bars again on %s or later", dried.Date(dried.Little.From))
		}
		c.report(finding.Warn, RuleUnweighed, at, fmt.Sprintf("the net weight %q %s: cured bars that weigh less would make it untrue", claim.Words, why), remedy)
		return
	}
	p := dried.Promise(claim, c.making.Last, cure.Rules(c.law, c.shop.LotRules)...)
	rule, level, message := RuleOver, finding.Stop, ""
	switch {
	case !p.Read.Holds(c.making.On):
		message = "does not hold on " + c.making.On.String()
	case !p.Holds(c.making.On):
		level, message = finding.Warn, fmt.Sprintf("does not hold on %s, by limits of the law that are recalled and not confirmed", c.making.On)
	case !p.Lasts():
		rule, level, message = RuleLasting, finding.Warn, fmt.Sprintf("holds until %s only, and the bars are sold until %s", p.Until, p.Last)
	default:
		return
	}
	if rule == RuleOver && p.Ever {
		message += fmt.Sprintf(", but until %s only", p.Until)
	}
	c.findings = append(c.findings, finding.Finding{
		Level: level, Rule: rule, At: at, Market: c.law.Market, Cite: p.By.Cite,
		Message: fmt.Sprintf("the net weight %q %s: by the weighings of this batch bars will weigh less", claim.Words, message),
		Remedy:  fmt.Sprintf("see saponym weight %s: it names the largest net weight that holds, and the bars to set aside", c.making.Batch),
	})
}
