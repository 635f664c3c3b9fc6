package check

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// The rule ids of certificates. What else is found goes by the rules of the
// industry's standard; see [market.FragranceStandard].
const (
	RuleMaxUse      = "CHECK-MAX-USE"     // more of a scent is in the bar than its supplier's certificate allows
	RuleCertificate = "CHECK-CERTIFICATE" // a fragrance without a certificate, or without a limit for bar soap in it
)

// Fragrances compares the scents of the driest bar with the certificates of their
// suppliers and with what the fragrance industry has published of its limits. It is
// no law, so it warns at most. The error is that of [bar.Bar.At].
func Fragrances(batter *bar.Batter, law *market.Law) ([]finding.Finding, error) {
	standard, err := market.FragranceStandard()
	if err != nil {
		return nil, err
	}
	cured, err := batter.Cured(batter.WaterLeft.AsSold())
	if err != nil {
		return nil, err
	}
	c := certificates{standard, law, driestOf(cured)}
	var found []finding.Finding
	var limited []limitedScent
	for _, s := range scentsOf(batter) {
		limit, more := c.limit(s)
		found = append(found, more...)
		if limit == nil {
			continue
		}
		found = append(found, c.single(s, limit.V)...)
		if limit.V > 0 {
			limited = append(limited, limitedScent{s, limit.V})
		}
	}
	found = append(found, c.sum(limited)...)
	published := market.Substances{Rule: standard.Rule(market.PublishedLimits), Limits: standard.Limits}
	return append(found, inventoryOf(batter, cured).judge(published)...), nil
}

// A scent is all of one scent that is in a batter, whatever it came in with.
type scent struct {
	material string
	grams    float64 // at most
	at       finding.Pos
	maxUse   *formula.MaxUse
	mixed    bool // a fragrance, which nobody but its supplier knows
}

func scentsOf(batter *bar.Batter) []*scent {
	var all []*scent
	for _, s := range batter.Scents {
		source := batter.Sources[s.Source]
		i := slices.IndexFunc(all, func(one *scent) bool { return one.material == s.Material })
		if i < 0 {
			i, all = len(all), append(all, &scent{material: s.Material, at: source.At, maxUse: s.MaxUse})
		}
		m := source.Material
		all[i].mixed = all[i].mixed || m != nil && m.ID == s.Material && m.Kind == formula.KindFragrance
		all[i].grams += s.Mass.High
	}
	return all
}

// certificates judges by the certificates of suppliers.
type certificates struct {
	standard *market.Standard
	law      *market.Law
	driest   driest
}

// limit gives the most of a scent in bar soap by its certificate. It is nil where that
// is not known, which a finding says.
func (c certificates) limit(s *scent) (*formula.Share, []finding.Finding) {
	const remedy = "ask the supplier for the certificate by the fragrance industry's standard, and write it as max_use in the material file"
	report := func(level finding.Level, message string) []finding.Finding {
		return []finding.Finding{{Level: level, Rule: RuleCertificate, At: s.at, Message: message, Remedy: remedy}}
	}
	if s.maxUse == nil {
		if !s.mixed {
			return nil, nil
		}
		return nil, report(finding.Note, fmt.Sprintf("no certificate is given for %q, so how much of it bar soap may hold is not known", s.material))
	}
	found := c.amendment(s)
	if n := s.maxUse.Amendment; n.Given() && !c.standard.Usable(n.V) {
		return nil, found
	}
	i := slices.IndexFunc(s.maxUse.ByCategory, func(l formula.CategoryLimit) bool { return l.Category == c.standard.Category })
	if i < 0 {
		return nil, append(found, report(finding.Warn, fmt.Sprintf("the certificate of %q gives no limit for category %s, which is that of bar soap", s.material, c.standard.Category))...)
	}
	return &s.maxUse.ByCategory[i].Share, found
}

// amendment judges how old a certificate is.
func (c certificates) amendment(s *scent) []finding.Finding {
	rule, n := c.standard.Rule(market.CertificateAmendment), s.maxUse.Amendment
	newest := c.standard.Newest(c.law.On)
	var reason string
	last := slices.MaxFunc(c.standard.Amendments, func(a, b market.Amendment) int { return a.Number - b.Number })
	switch {
	case n.V > last.Number:
		reason = fmt.Sprintf("the certificate of %q is by amendment %d, and none later than %d is known here", s.material, n.V, last.Number)
	case !n.Given():
		return []finding.Finding{rule.Finding(s.at, fmt.Sprintf("the certificate of %q does not say by which amendment it is", s.material))}
	case !c.standard.Usable(n.V):
		reason = fmt.Sprintf("the certificate of %q is by amendment %d, whose category %s is another kind of product, so it cannot be used", s.material, n.V, c.standard.Category)
	case n.V < newest.Number:
		if rule.Known.Confirmed() {
			rule.Known = newest.Known
		}
		reason = fmt.Sprintf("the certificate of %q is by amendment %d, and amendment %d binds all scents from %s", s.material, n.V, newest.Number, newest.Existing)
	default:
		return nil
	}
	return []finding.Finding{rule.Finding(n.At, reason)}
}

// single compares one scent with its certificate.
func (c certificates) single(s *scent, limit measure.Share) []finding.Finding {
	if !measure.Exceeds(measure.MassUp(s.grams), measure.MassDown(c.driest.grams), limit) {
		return nil
	}
	f := c.standard.Rule(market.CertificateMaximum).Finding(s.at, "")
	f.Rule, f.Cite = RuleMaxUse, "the supplier's certificate, as given under max_use"
	if limit == 0 {
		f.Message = fmt.Sprintf("the supplier's certificate does not permit %q in bar soap", s.material)
		f.Remedy = "choose a scent that is permitted in it"
		return []finding.Finding{f}
	}
	f.Message = fmt.Sprintf("%q makes up %s %% of the driest bar, and its supplier's certificate allows %s in bar soap", s.material, figures(100*s.grams/c.driest.grams), percent(limit))
	f.Remedy = fmt.Sprintf("take at most %s g of it", gramsDown(s.grams*c.driest.within(limit.Fraction(), s.grams, s.grams)))
	return []finding.Finding{f}
}

// A limitedScent is a scent with the limit of its certificate.
type limitedScent struct {
	*scent
	limit measure.Share
}

// sum compares all scents together with their certificates: restricted substances that
// they share add up, and certificates do not tell which these are.
func (c certificates) sum(scents []limitedScent) []finding.Finding {
	if len(scents) < 2 {
		return nil
	}
	needed, grams := 0.0, 0.0 // the least bar that all of them would be within, and what they weigh
	var working []string
	for _, s := range scents {
		needed += s.grams / s.limit.Fraction()
		grams += s.grams
		working = append(working, fmt.Sprintf("%s %% of %s for %q", figures(100*s.grams/c.driest.grams), percent(s.limit), s.material))
	}
	if needed-c.driest.grams <= c.driest.tie {
		return nil
	}
	left := c.driest.within(1, grams, needed)
	var amounts []string
	for _, s := range scents {
		amounts = append(amounts, fmt.Sprintf("%s g of %q", gramsDown(left*s.grams), s.material))
	}
	f := c.standard.Rule(market.SumOfScents).Finding(scents[0].at, fmt.Sprintf("the scents use up %.0f %% of what their certificates allow together (%s, of the driest bar)", 100*needed/c.driest.grams, strings.Join(working, "; ")))
	f.Remedy = fmt.Sprintf("take at most %s; or ask the suppliers for the restricted substances in them, and add those up", strings.Join(amounts, " and "))
	return []finding.Finding{f}
}
