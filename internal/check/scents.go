package check

import (
	"fmt"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/measure"
)

// RuleMaxUse is the finding that more of a scent is in the bar than its supplier's
// certificate allows.
const RuleMaxUse = "CHECK-MAX-USE"

// barSoap is the category of bar soap in the certificates of fragrance suppliers.
const barSoap = "9"

// Scents compares each scent with the largest share of the product that its
// supplier's certificate allows in bar soap, by the driest bar. A certificate is no
// law, so it warns. The error is that of [bar.Bar.At].
func Scents(batter *bar.Batter) ([]finding.Finding, error) {
	cured, err := batter.Cured(bar.Unweighed)
	if err != nil {
		return nil, err
	}
	total := cured.Weight().Low
	var found []finding.Finding
	for _, s := range batter.Scents {
		if s.MaxUse == nil {
			continue
		}
		grams := s.Mass.High
		for _, limit := range s.MaxUse.ByCategory {
			if limit.Category != barSoap || !measure.Exceeds(measure.MassUp(grams), measure.MassDown(total), limit.Share.V) {
				continue
			}
			found = append(found, finding.Finding{
				Level: finding.Warn, Rule: RuleMaxUse, At: batter.Sources[s.Source].At,
				Message: fmt.Sprintf("%q makes up %.2f %% of the driest bar, and its supplier's certificate allows %.2f %% in bar soap", s.Material, 100*grams/total, limit.Share.V.Percent()),
				Cite:    "the supplier's certificate, as given under max_use",
				Remedy:  fmt.Sprintf("take at most %.1f g of it", total*limit.Share.V.Fraction()),
			})
		}
	}
	return found, nil
}
