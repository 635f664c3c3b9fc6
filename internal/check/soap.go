package check

import (
	"fmt"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// Soap judges whether a bar is soap in a market whose law asks how much of it is. It
// gives the class that the law puts the bar in, too. Half or less of soap is not its
// bulk; a share that is not far above half is for others to judge. The error is
// [bar.ErrLyeHeavy].
func Soap(batter *bar.Batter, law *market.Law) (class string, found []finding.Finding, err error) {
	rule := law.SoapShare
	if rule == nil {
		return law.Class, nil, nil
	}
	cured, err := batter.Cured(bar.Unweighed)
	if err != nil {
		return law.Class, nil, err
	}
	s := cured.SoapShare()
	soap := measure.MassDown(s.Soap)
	working := fmt.Sprintf("%.1f g of soap are %.1f %% of the %.1f g that are not volatile", s.Soap, 100*s.Low(), s.NonVolatile)
	switch {
	case !measure.Exceeds(soap, measure.MassUp(s.NonVolatile-s.Scent), rule.Over):
		return rule.Otherwise, []finding.Finding{rule.Finding(batter.At, working)}, nil
	case !measure.Exceeds(soap, measure.MassUp(s.NonVolatile), rule.Doubtful):
		f := rule.Finding(batter.At, working+", and whether that is the bulk of it is open")
		f.Level = min(f.Level, finding.Warn)
		f.Remedy = "ask the authority, or " + f.Remedy
		return law.Class, []finding.Finding{f}, nil
	}
	return law.Class, nil, nil
}
