package check

import (
	"fmt"
	"math"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// Soap judges whether a bar is soap in a market whose law asks how much of it is. It
// gives the class that the law puts the bar in, too. Half or less of soap is not its
// bulk; a share that is not far above half is for others to judge. The error is
// that of [bar.Bar.At].
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
	working := fmt.Sprintf("%.1f g of soap are %s %% of the %.1f g that are not volatile", s.Soap, span(100*s.Low(), 100*s.High()), s.NonVolatile)
	switch {
	case share(math.Ceil, s.High()) <= rule.Over:
		return rule.Otherwise, []finding.Finding{rule.Finding(batter.At, working)}, nil
	case share(math.Floor, s.Low()) <= rule.Doubtful:
		f := rule.Finding(batter.At, working+", and whether that is the bulk of it is open")
		f.Level = min(f.Level, finding.Warn)
		f.Remedy = "ask the authority, or " + f.Remedy
		return law.Class, []finding.Finding{f}, nil
	}
	return law.Class, nil, nil
}

// share gives a fraction in whole parts, rounded to the side that is given.
func share(round func(float64) float64, fraction float64) measure.Share {
	return measure.Share(round(fraction * float64(measure.Whole)))
}

// span writes two figures, or one where they look the same.
func span(low, high float64) string {
	least, most := fmt.Sprintf("%.1f", low), fmt.Sprintf("%.1f", high)
	if least == most {
		return least
	}
	return least + " to " + most
}
