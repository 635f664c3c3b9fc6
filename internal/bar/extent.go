package bar

import "math"

// extentAt gives an end of the extent: the least of it below nought, the most above. What
// is bound grows with the extent, so that the root of what is left of the alkali is closed
// in on from both sides; a little is added to it.
func (v *solver) extentAt(side float64) float64 {
	const margin, furthest = 1e-12, 1e6
	left := func(extent float64) (moles, slope float64) {
		moles = v.bar.lye
		for i, s := range v.bar.Sources {
			if s.Kettle == nil {
				n, a, e := v.demand(i, extent, side)
				moles, slope = moles+n-a-extent*e, slope-e
			}
		}
		return moles, slope
	}
	if moles, _ := left(0); moles < -tolerance*v.bar.lye {
		return -1 // some acid has not reacted
	}
	low, high := 0.0, 1.0
	for {
		moles, _ := left(high)
		if moles <= 0 {
			break
		}
		if high > furthest {
			return 1 // there are no esters
		}
		low, high = high, 4*high
	}
	at := low
	for range 200 {
		moles, slope := left(at)
		if moles > 0 {
			low = at
		} else {
			high = at
		}
		next := at - moles/slope
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-at) <= margin/4 || high-low <= margin/4 {
			at = next
			break
		}
		at = next
	}
	return at + side*margin
}

// demand gives what a source does to the alkali where it leaves the most of it, or the
// least: how much more it brings than where it is shown, and its acids and esters.
func (v *solver) demand(i int, extent, side float64) (moles, acids, esters float64) {
	s := &v.bar.Sources[i]
	cost := make([]float64, len(s.Parts))
	a, e := make([]float64, len(s.Parts)), make([]float64, len(s.Parts))
	bare := true
	for j, part := range s.Parts {
		cost[j] = -side * part.alkali()
		bare = bare && part.Fat == nil
		if part.Fat == nil {
			continue
		}
		best := math.Inf(1)
		for _, sap := range ends(part.Fat.Spread) {
			for _, acid := range ends(part.Fat.Acids) {
				fat := part.Fat.Fat
				fat.SAP, fat.AcidValue = sap, acid
				if free, bound := fat.Equivalents(); side*(free+extent*bound) < best {
					best, a[j], e[j] = side*(free+extent*bound), free, bound
				}
			}
		}
		cost[j] += best
	}
	if bare && !s.alkaline() {
		return 0, 0, 0
	}
	shares := v.bar.shown.Shares[i]
	if v.find[i] != nil {
		v.find[i].Least(cost)
		shares = v.find[i].At()
	}
	if s.alkaline() {
		moles = s.alkali(shares) - s.alkali(v.bar.shown.Shares[i])
	}
	acids, esters = s.Mass*dot(a, shares), s.Mass*dot(e, shares)
	if s.SAP == nil || !s.meetsAll() {
		return moles, acids, esters
	}
	// What all parts bind together is stated; how much of it is acid hangs on the shares.
	stated, acid := s.SAP.Low, s.span(a)
	if side < 0 {
		stated = s.SAP.High
	}
	free := acid.Low
	if side*(1-extent) < 0 {
		free = acid.High
	}
	free = min(free, stated/perMol) * s.Mass
	if bound := s.Mass*stated/perMol - free; side*(free+extent*bound-acids-extent*esters) > 0 {
		acids, esters = free, bound
	}
	return moles, acids, esters
}

// meetsAll reports whether lye reaches all acids and esters of a blend, so that it binds
// what its saponification value says.
func (s *Source) meetsAll() bool {
	for _, part := range s.Parts {
		if part.Fat == nil || part.Fat.Inert > 0 {
			return false
		}
	}
	return true
}
