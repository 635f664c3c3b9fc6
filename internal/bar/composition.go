package bar

import (
	"math"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// perMol turns a saponification value, in mg KOH/g, into moles of alkali a gram.
const perMol = 1000 * inci.MolarMassKOH

// middle gives the composition of a source that is shown when nothing better is known:
// the middle of its shares, or the nearest to it, on the way to the extreme, that has the
// saponification value which the supplier states, or the alkali that its soap was made
// with. The error is [blend.ErrEmpty].
func (s Source) middle() ([]float64, error) {
	switch {
	case s.Allowed != nil:
		return s.Allowed[0], nil // that which is shown where it was made
	case s.Kettle == nil && len(s.Parts) > 1 && s.Parts[0].Alkali > 0 && s.Shares.Of == nil:
		set := s.Shares.Union[0]
		pure := (set.Low[0] + set.High[0]) / 2 // by which the lye is weighed
		return blend.Mix{Union: s.Shares.Union.With(0, pure)}.Middle()
	case s.SAP == nil && s.Kettle == nil:
		return s.Shares.Middle()
	}
	for _, set := range s.Shares.Union {
		mix := blend.Mix{Union: blend.Union{set}, Of: s.Shares.Of}
		if shares, err := mix.Middle(); err == nil && s.pull(mix, shares) {
			return shares, nil
		}
	}
	return nil, blend.ErrEmpty
}

// pull moves a composition of a mix to one that is reachable, and reports whether there
// is one.
func (s Source) pull(mix blend.Mix, shares []float64) bool {
	if s.Kettle != nil {
		// In the middle of its range the extent takes up the alkali of the list.
		s.towards(mix, shares, s.leftAt(s.Kettle.Extent.Middle()))
	} else {
		low, high := s.spread()
		if over := dot(low, shares) - s.SAP.High; over > 0 {
			s.towards(mix, shares, less(low, s.SAP.High))
		}
		if under := s.SAP.Low - dot(high, shares); under > 0 {
			s.towards(mix, shares, less(high, s.SAP.Low))
		}
	}
	return s.reachable(shares)
}

// towards moves a composition so far towards the extreme of a figure that the figure is
// nought, or as near to it as the mix allows.
func (s Source) towards(mix blend.Mix, shares, figure []float64) {
	value := dot(figure, shares)
	if value == 0 {
		return
	}
	cost := make([]float64, len(figure))
	for j, f := range figure {
		cost[j] = math.Copysign(1, value) * f
	}
	z := blend.NewMinimiser(mix)
	least := math.Copysign(1, value) * z.Least(cost)
	part := 1.0
	if least*value < 0 {
		part = value / (value - least)
	}
	for j, x := range z.At() {
		shares[j] += part * (x - shares[j])
	}
}

// reachable reports whether some figures of the parts, within their ranges, make up what
// is known of the whole: its saponification value, or the alkali that it was boiled with.
func (s Source) reachable(shares []float64) bool {
	const slack = 1e-9
	if s.SAP != nil {
		low, high := s.spread()
		return dot(low, shares) <= s.SAP.High*(1+slack) && dot(high, shares) >= s.SAP.Low*(1-slack)
	}
	if s.Kettle != nil {
		e := s.Kettle.Extent
		return dot(s.leftAt(e.High), shares) <= slack && dot(s.leftAt(e.Low), shares) >= -slack
	}
	return true
}

// spread gives the ends of the saponification values of the parts.
func (s Source) spread() (low, high []float64) {
	low, high = make([]float64, len(s.Parts)), make([]float64, len(s.Parts))
	for j, part := range s.Parts {
		if part.Fat != nil {
			low[j], high[j] = part.Fat.Spread.Low, part.Fat.Spread.High
		}
	}
	return low, high
}

// leftAt gives the moles of alkali that one gram of each part leaves, below nought for
// what it takes up, when so much of the esters has reacted.
func (s Source) leftAt(extent float64) []float64 {
	left := make([]float64, len(s.Parts))
	for j, part := range s.Parts {
		left[j] = part.alkali()
		if part.Fat != nil {
			a, e := part.Fat.Equivalents()
			left[j] -= a + extent*e
		}
	}
	return left
}

// fats gives the figures of the parts that are shown at a composition: the nominal ones,
// or what these have to be scaled to, within their ranges, to have the saponification
// value together that the supplier states.
func (s Source) fats(shares []float64) []saponify.Fat {
	fats := make([]saponify.Fat, len(s.Parts))
	for j, part := range s.Parts {
		if part.Fat != nil {
			fats[j] = part.Fat.Fat
		}
	}
	if s.SAP == nil {
		return fats
	}
	s.meet(shares, fats, s.SAP.Middle())
	return fats
}

// meet scales saponification values so that together they are the stated one.
func (s Source) meet(shares []float64, fats []saponify.Fat, sap float64) {
	var parts []int
	var centre, low, high []float64
	least, most := 0.0, 0.0
	for j, part := range s.Parts {
		if part.Fat == nil || shares[j] <= 0 {
			continue
		}
		parts = append(parts, j)
		centre = append(centre, shares[j]*fats[j].SAP)
		low = append(low, shares[j]*part.Fat.Spread.Low)
		high = append(high, shares[j]*part.Fat.Spread.High)
		least, most = least+low[len(low)-1], most+high[len(high)-1]
	}
	if len(parts) == 0 {
		return
	}
	for n, value := range blend.Scaled(centre, low, high, min(most, max(least, sap))) {
		fats[parts[n]].SAP = value / shares[parts[n]]
	}
}

// isPotash reports whether the part is potassium hydroxide.
func (part Part) isPotash() bool { return part.Names.ID == "potassium-hydroxide" }

// potash gives the mole fraction of the alkali of a kettle that is potassium hydroxide.
func (s Source) potash(shares []float64) float64 {
	all, potassium := 0.0, 0.0
	for j, part := range s.Parts {
		moles := shares[j] * part.Alkali
		all += moles
		if part.isPotash() {
			potassium += moles
		}
	}
	if all == 0 {
		return 0
	}
	return potassium / all
}

// dot adds up a figure over a composition.
func dot(figure, shares []float64) float64 {
	total := 0.0
	for j, f := range figure {
		total += f * shares[j]
	}
	return total
}

// less takes a number from each figure, which for a composition is to take it from the
// whole.
func less(figure []float64, by float64) []float64 {
	rest := make([]float64, len(figure))
	for j, f := range figure {
		rest[j] = f - by
	}
	return rest
}

// span gives the least and the most of a figure over all compositions of a source.
func (s Source) span(figure []float64) measure.Range {
	z := blend.NewMinimiser(s.Shares)
	low := z.Least(figure)
	cost := make([]float64, len(figure))
	for j, f := range figure {
		cost[j] = -f
	}
	return measure.Range{Low: low, High: -z.Least(cost)}
}

// shareOf gives the least and the most of one part over all compositions of a source,
// 0 to 1.
func (s Source) shareOf(part int) measure.Range {
	figure := make([]float64, len(s.Parts))
	figure[part] = 1
	r := s.span(figure)
	return measure.Range{Low: max(0, r.Low), High: min(1, r.High)}
}
