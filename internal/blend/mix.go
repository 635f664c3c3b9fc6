package blend

// A Mix is a mixture whose parts may be mixtures themselves: a blend that was made of
// bought blends. Its compositions tell the plain parts alone, those of an inner mix in
// the place of the part that it is.
type Mix struct {
	Union
	Of []*Mix // none where all parts are plain; else one a part, nil for a plain one; none is empty
}

// Only gives the mix that holds one composition. The shares must sum to 1.
func Only(shares ...float64) Mix { return Mix{Union: Exactly(shares...)} }

// Middle is the composition shown when nothing better is known: the middle of the mix,
// with each part that is a mix at its own middle. The error is [ErrEmpty].
func (m Mix) Middle() ([]float64, error) {
	shares, err := m.Union.Middle()
	if err != nil || len(m.Of) == 0 {
		return shares, err
	}
	var leaves []float64
	for i, share := range shares {
		if m.Of[i] == nil {
			leaves = append(leaves, share)
			continue
		}
		inner, err := m.Of[i].Middle()
		if err != nil {
			return nil, err
		}
		for _, part := range inner {
			leaves = append(leaves, share*part)
		}
	}
	return leaves, nil
}

// Point gives the composition of a mix that holds just one, and false when it holds
// more or none.
func (m Mix) Point() ([]float64, bool) {
	own, ok := m.Union.Point()
	if !ok {
		return nil, false
	}
	for i, inner := range m.Of {
		if inner == nil || own[i] <= rounding { // of nothing there is but one composition
			continue
		}
		if _, ok := inner.Point(); !ok {
			return nil, false
		}
	}
	shares, err := m.Middle()
	return shares, err == nil
}

// Parts counts the plain parts.
func (m Mix) Parts() int {
	if len(m.Union) == 0 {
		return 0
	}
	n := len(m.Union[0].Low)
	for _, inner := range m.Of {
		if inner != nil {
			n += inner.Parts() - 1
		}
	}
	return n
}

// Holds reports whether the mix allows a composition, told by its plain parts.
func (m Mix) Holds(shares []float64) bool {
	if len(m.Of) == 0 {
		return m.Union.Holds(shares)
	}
	var own []float64
	next := 0
	for _, inner := range m.Of {
		if inner == nil {
			if next >= len(shares) {
				return false
			}
			own = append(own, shares[next])
			next++
			continue
		}
		n := inner.Parts()
		if next+n > len(shares) {
			return false
		}
		share := 0.0
		for _, x := range shares[next : next+n] {
			if x < -slack {
				return false
			}
			share += x
		}
		own = append(own, share)
		if share > slack { // of nothing any composition will do
			parts := make([]float64, n)
			for i := range parts {
				parts[i] = shares[next+i] / share
			}
			if !inner.Holds(parts) {
				return false
			}
		}
		next += n
	}
	return next == len(shares) && m.Union.Holds(own)
}
