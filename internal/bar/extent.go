package bar

import "math"

// extentAt gives an end of the extent: the least of it below nought, the most above. It
// stands at the root of what is left of the alkali, which is found from the bar that is
// shown by tangents; these come from the inside, so that a little is added.
func (v *solver) extentAt(side float64) float64 {
	const margin = 1e-12
	extent := 0.0
	for range 60 {
		moles, acids, esters := v.bar.lye, 0.0, 0.0
		for i, s := range v.bar.Sources {
			if s.Kettle != nil {
				continue
			}
			n, a, e := v.demand(i, extent, side)
			moles, acids, esters = moles+n, acids+a, esters+e
		}
		if esters == 0 {
			if heavy(acids, moles) { // some acid has not reacted
				return -1
			}
			return 1
		}
		next := (moles - acids) / esters
		if math.Abs(next-extent) <= margin {
			return next + side*margin
		}
		extent = next
	}
	return extent + side*margin
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
	free *= s.Mass
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
