package bar

import (
	"slices"

	"saponym/internal/blend"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A Matter is what is not known of a source, or of the bar.
type Matter int

// The matters, in the order in which one would ask for them.
const (
	Percentage  Matter = iota // of one part of a source
	Percentages               // of all parts of a source
	Purity                    // of an alkali
	Drying                    // of the bar: the water left
	SAPValue                  // of the fats of a source
)

// A Gap is one figure, or the figures of one list, of which only a range or an order
// is known.
type Gap struct {
	Matter Matter
	Source int // of all but the water left
	Part   int // of a single percentage
}

// Gaps gives what is not known of the bar, in the order in which one would ask for it.
func (b *Bar) Gaps() []Gap {
	var shares, purities, saps []Gap
	for i, s := range b.Sources {
		if s.loose() {
			if s.Material == nil && s.Allowed == nil {
				purities = append(purities, Gap{Matter: Purity, Source: i})
			} else {
				shares = append(shares, Gap{Matter: Percentages, Source: i})
			}
		}
		if s.spreads() {
			saps = append(saps, Gap{Matter: SAPValue, Source: i})
		}
	}
	all := append(shares, purities...)
	if b.rule.low != b.rule.high {
		all = append(all, Gap{Matter: Drying})
	}
	return append(all, saps...)
}

// loose reports whether more than one composition of a source is allowed.
func (s *Source) loose() bool {
	_, known := s.Shares.Point()
	return !known
}

// spreads reports whether a figure of a fat of the source is a range.
func (s *Source) spreads() bool {
	for _, part := range s.Parts {
		if f := part.Fat; f != nil && !(f.Spread.IsPoint() && f.Acids.IsPoint() && f.Unsaponifiables.IsPoint()) {
			return true
		}
	}
	return false
}

// Knowing gives the bar as it would be if some of what is not known of it were known, and
// were what is shown. It is nil where that cannot be: where a list that is held together
// by another figure would contradict it.
func (b *Bar) Knowing(known ...Gap) *Bar {
	c := *b
	c.solver, c.seen = nil, nil
	c.Sources = append([]Source{}, b.Sources...)
	for _, u := range known {
		if u.Matter == Drying {
			share := b.shown.Water / b.Total(b.shown.masses)
			perDry := share / (1 - share)
			c.rule = waterRule{perDry, perDry, perDry}
			continue
		}
		s := &c.Sources[u.Source]
		shares := b.shown.Shares[u.Source]
		switch u.Matter {
		case Percentages, Purity:
			s.Shares, s.Allowed = blend.Only(shares...), nil
		case Percentage:
			if s.Shares.Of != nil || s.Allowed != nil {
				return nil
			}
			s.Shares = blend.Mix{Union: s.Shares.Union.With(u.Part, shares[u.Part])}
			if len(s.Shares.Union) == 0 {
				return nil
			}
		case SAPValue:
			s.Parts = append([]Part{}, s.Parts...)
			for j, part := range s.Parts {
				if part.Fat != nil {
					s.Parts[j].Fat = part.Fat.exactly(b.shown.Fats[u.Source][j])
				}
			}
			s.SAP = nil
		}
	}
	c.seen = []corner{b.shown}
	if c.alkalisKnown() {
		c.potassium = measure.Exactly(b.potassiumAt(b.shown.Point))
	}
	return &c
}

// alkalisKnown reports whether it is known of all alkali of the pot how pure it is.
func (b *Bar) alkalisKnown() bool {
	for _, s := range b.Sources {
		if s.Kettle == nil && s.loose() && slices.ContainsFunc(s.Parts, func(part Part) bool { return part.Alkali > 0 }) {
			return false
		}
	}
	return true
}

// exactly gives the fat with known figures.
func (f *Fat) exactly(known saponify.Fat) *Fat {
	g := *f
	g.Fat = known
	g.Spread, g.Acids, g.Unsaponifiables = measure.Exactly(known.SAP), measure.Exactly(known.AcidValue), measure.Exactly(known.Unsaponifiable)
	return &g
}

// Simplest gives the bar at a point with as much as can be as it is shown, so that the sum
// of a question is still below nought, and says what is left of the difference.
func (b *Bar) Simplest(q Question, p Point) (Point, []Gap) {
	gaps := b.Gaps()
	var kept []Gap
	for n := len(gaps) - 1; n >= 0; n-- {
		u := gaps[n]
		if r, ok := b.without(p, u); ok {
			if masses, err := b.At(r); err == nil && q.sum(masses) < -b.Tie() {
				p = r
				continue
			}
		}
		kept = append([]Gap{u}, kept...)
	}
	return p, kept
}

// without gives a point with one thing as it is shown, if that is allowed.
func (b *Bar) without(p Point, u Gap) (Point, bool) {
	r := p
	r.Shares, r.Fats = append([][]float64{}, p.Shares...), append([][]saponify.Fat{}, p.Fats...)
	switch u.Matter {
	case Drying:
		// The share of water is the same where one figure is shown.
	case SAPValue:
		r.Fats[u.Source] = append([]saponify.Fat{}, b.shown.Fats[u.Source]...)
		if s := b.Sources[u.Source]; s.SAP != nil {
			s.meet(r.Shares[u.Source], r.Fats[u.Source], s.SAP.Middle())
		}
	default:
		r.Shares[u.Source], r.Fats[u.Source] = b.shown.Shares[u.Source], b.shown.Fats[u.Source]
	}
	dry, fresh, err := b.dryAndFresh(r)
	if err != nil {
		return p, false
	}
	if u.Matter == Drying {
		r.Water = left(b.rule.nominal, dry, fresh)
	} else { // at the same end as before
		was, all, err := b.dryAndFresh(p)
		if err != nil {
			return p, false
		}
		for _, perDry := range []float64{b.rule.low, b.rule.nominal, b.rule.high} {
			if end := left(perDry, was, all); end-p.Water < b.Tie() && p.Water-end < b.Tie() {
				r.Water = left(perDry, dry, fresh)
				break
			}
		}
	}
	return r, b.allows(r)
}
