package check

import (
	"fmt"
	"math"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// A Class is what a law takes a bar for, and why.
type Class struct {
	Name    string // "soap" or "cosmetic"
	Because string // a sentence without its full stop
}

// With gives the class of a bar that is judged by two laws.
func (c Class) With(other Class) Class {
	if c.Because == "" {
		return other
	}
	if c.Name != other.Name {
		c.Name += " and " + other.Name
	}
	if c.Because != other.Because {
		c.Because += "; " + other.Because
	}
	return c
}

// Soap judges whether a bar is soap in a market whose law asks how much of it is. It
// gives the class that the law puts the bar in, too. Half or less of soap is not its
// bulk; a share that is not far above half is for others to judge. The error is
// that of [bar.Bar.At].
func Soap(batter *bar.Batter, law *market.Law) (Class, []finding.Finding, error) {
	rule := law.SoapShare
	if rule == nil {
		return Class{law.Class, fmt.Sprintf("these rules (%s) take every bar for a %s, however much of it is soap", law.Name, law.Class)}, nil, nil
	}
	cured, err := batter.Cured(batter.WaterLeft.AsSold())
	if err != nil {
		return Class{Name: law.Class}, nil, err
	}
	s := cured.SoapShare()
	working := fmt.Sprintf("%.1f g of soap are %s %% of the %.1f g that are not volatile", s.Soap, span(100*s.Low(), 100*s.High()), s.NonVolatile)
	switch {
	case share(math.Ceil, s.High()) <= rule.Over:
		return Class{rule.Otherwise, working + ", and soap must be more than " + percent(rule.Over)}, []finding.Finding{rule.Finding(batter.At, working)}, nil
	case share(math.Floor, s.Low()) <= rule.Doubtful:
		f := rule.Finding(batter.At, working+", and whether that is the bulk of it is open")
		f.Level = min(f.Level, finding.Warn)
		f.Remedy = "ask the authority, or " + f.Remedy
		return Class{law.Class, working + ", and whether that is the bulk of it is open"}, []finding.Finding{f}, nil
	}
	return Class{law.Class, working}, nil, nil
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

// percent writes a share in per cent.
func percent(s measure.Share) string { return fmt.Sprintf("%.6g %%", s.Percent()) }
