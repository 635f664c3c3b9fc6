package bar

import (
	"math"

	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A waterRule says how much water may be left, in grams to a gram of all that is dry: at
// least, where one figure is shown, and at most. It is never more than there is; +Inf is
// all of it.
type waterRule struct{ low, nominal, high float64 }

// left gives the water left.
func left(perDry, dry, fresh float64) float64 {
	if math.IsInf(perDry, 1) {
		return fresh
	}
	return min(fresh, perDry*dry)
}

// bar makes a bar with these lines.
func (b *Batter) bar(lines []Line, rule waterRule) (*Bar, error) {
	bar := &Bar{Sources: b.Sources, Lines: lines, lye: b.ForFats, potassium: b.potash, waters: b.waters(), poured: b.poured(), rule: rule}
	var err error
	if bar.shown.Point, err = middle(b.Sources); err != nil {
		return nil, err
	}
	if bar.shown.Water, err = bar.waterAt(bar.shown.Point, rule.nominal); err != nil {
		return nil, err
	}
	if bar.shown.masses, err = bar.At(bar.shown.Point); err != nil {
		return nil, err
	}
	bar.seen = append(bar.seen, bar.shown)
	return bar, nil
}

// waterAt gives the water at a point by one figure of the rule.
func (b *Bar) waterAt(p Point, perDry float64) (float64, error) {
	dry, fresh, err := b.dryAndFresh(p)
	return left(perDry, dry, fresh), err
}

// dryAndFresh gives what the lines weigh without water, and the water that there is
// before any has left.
func (b *Bar) dryAndFresh(p Point) (dry, fresh float64, err error) {
	products, err := b.react(p)
	if err != nil {
		return 0, 0, err
	}
	dry, fresh = b.dryAndFreshOf(p, products)
	return dry, fresh, nil
}

// dryAndFreshOf is dryAndFresh of what the parts become.
func (b *Bar) dryAndFreshOf(p Point, products [][]saponify.Products) (dry, fresh float64) {
	p.Water = 0
	for _, line := range b.Lines {
		if line.Counted() {
			dry += b.weigh(line.Terms, p, products)
		}
	}
	return dry, b.weigh(b.waters, p, products)
}

// settled gives the bar at a point with the water that one figure of the rule leaves, if
// it is allowed.
func (b *Bar) settled(p Point, perDry float64) (corner, bool) {
	if !b.allowsDry(p) {
		return corner{}, false
	}
	products, err := b.react(p)
	if err != nil {
		return corner{}, false
	}
	dry, fresh := b.dryAndFreshOf(p, products)
	p.Water = left(perDry, dry, fresh)
	masses := make([]float64, len(b.Lines))
	for l, line := range b.Lines {
		masses[l] = b.weigh(line.Terms, p, products)
	}
	return corner{p, masses}, true
}

// allows reports whether a point is one that all statements allow together, but for
// rounding: the shares of each source, the figures of its fats, the alkali that finished
// soap was boiled with, and the water.
func (b *Bar) allows(p Point) bool {
	const slack = 1e-9
	if !b.allowsDry(p) {
		return false
	}
	dry, fresh, err := b.dryAndFresh(p)
	if err != nil {
		return false
	}
	low, high := left(b.rule.low, dry, fresh), left(b.rule.high, dry, fresh)
	return p.Water >= low-slack*(1+low) && p.Water <= high+slack*(1+high)
}

// allowsDry is allows of all but the water.
func (b *Bar) allowsDry(p Point) bool {
	for i, s := range b.Sources {
		if !s.allows(p.Shares[i]) {
			return false
		}
		sap := 0.0
		for j, part := range s.Parts {
			if part.Fat == nil {
				continue
			}
			fat := p.Fats[i][j]
			sap += p.Shares[i][j] * fat.SAP
			if !within(fat.SAP, part.Fat.Spread) || !within(fat.AcidValue, part.Fat.Acids) || !within(fat.Unsaponifiable, part.Fat.Unsaponifiables) {
				return false
			}
		}
		if s.SAP != nil && !within(sap, *s.SAP) {
			return false
		}
		if s.Kettle != nil {
			acids, esters := s.equivalents(p.Shares[i], p.Fats[i])
			moles := s.alkali(p.Shares[i])
			if esters > 0 && !within((moles-acids)/esters, s.Kettle.Extent) {
				return false
			}
		}
	}
	return true
}

// allows reports whether a composition is surely one of a source.
func (s Source) allows(shares []float64) bool {
	if s.Allowed == nil {
		return s.Shares.Holds(shares)
	}
	for _, one := range s.Allowed {
		same := true
		for j, x := range one {
			same = same && math.Abs(x-shares[j]) <= 1e-9
		}
		if same {
			return true
		}
	}
	return false
}

// within reports whether a figure lies in a range, but for rounding.
func within(v float64, r measure.Range) bool {
	slack := 1e-9 * (1 + math.Abs(v))
	return v >= r.Low-slack && v <= r.High+slack
}
