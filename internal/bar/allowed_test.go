package bar_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/blend"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A style is how a bar is declared.
type style int

const (
	cured style = iota
	fresh
	asMade
)

func (s style) of(b *bar.Batter) (*bar.Bar, error) {
	switch s {
	case fresh:
		return b.Fresh()
	case asMade:
		return b.Made()
	}
	return b.Cured(bar.Unweighed)
}

// A sampler draws bars that all statements allow together, corners more than the rest.
// It shares nothing with the search for the least but what the statements say and
// [bar.Bar.At].
type sampler struct {
	*rand.Rand
	batter *bar.Batter
	bar    *bar.Bar
	style  style
	cells  [][]*cell // of each source: some ways to take one set of each union
	old    *sampler  // of the bars that are crumbs
}

// A cell is a mix that holds one set where it is a union, and mixes of that sort in it.
type cell struct {
	set  blend.Set
	of   []*cell
	find *blend.Minimiser
}

// mostCells is how many cells of a source are kept.
const mostCells = 24

func newSampler(r *rand.Rand, batter *bar.Batter, b *bar.Bar, how style) *sampler {
	s := &sampler{Rand: r, batter: batter, bar: b, style: how}
	for _, source := range b.Sources {
		ways := 1
		if source.Allowed == nil {
			ways = min(mostCells, max(len(source.Shares.Union), 3*len(source.Shares.Of)))
		}
		var cells []*cell
		for n := range ways {
			cells = append(cells, s.cell(source.Shares, n))
		}
		s.cells = append(s.cells, cells)
	}
	return s
}

// ofCrumbs makes the sampler of the bars that are crumbs in a formula.
func (s *sampler) ofCrumbs(t fataler, f loose) {
	old, batch, library := f.old(t)
	batter, findings := bar.Pour(formula.AsWeighed(old, batch), library)
	if batter == nil {
		t.Fatalf("%s%s", f.documents(), rules(findings))
	}
	b, err := batter.Cured(bar.Unweighed)
	if err != nil {
		t.Fatalf("%s%v", f.documents(), err)
	}
	s.old = newSampler(s.Rand, batter, b, cured)
}

func (s *sampler) cell(m blend.Mix, n int) *cell {
	c := &cell{set: tightened(m.Union[n%len(m.Union)])}
	if m.Of == nil {
		c.find = blend.NewMinimiser(blend.Mix{Union: blend.Union{c.set}})
		return c
	}
	for _, inner := range m.Of {
		if inner == nil {
			c.of = append(c.of, nil)
			continue
		}
		c.of = append(c.of, s.cell(*inner, s.IntN(len(inner.Union))))
	}
	return c
}

// tightened draws the bounds of a set in along its runs.
func tightened(s blend.Set) blend.Set {
	t := blend.Set{Low: slices.Clone(s.Low), High: slices.Clone(s.High), Down: s.Down}
	for i := 1; i < len(t.Low); i++ {
		if t.Down[i-1] {
			t.High[i] = min(t.High[i], t.High[i-1])
		}
	}
	for i := len(t.Low) - 2; i >= 0; i-- {
		if t.Down[i] {
			t.Low[i] = max(t.Low[i], t.Low[i+1])
		}
	}
	return t
}

// inside draws a figure of a range: an end of it, so often as sharp says.
func (s *sampler) inside(low, high, sharp float64) float64 {
	if !(high > low) {
		return low
	}
	if s.Float64() >= sharp {
		return low + (high-low)*s.Float64()
	}
	if s.IntN(2) == 0 {
		return low
	}
	return high
}

// draw draws a composition of a cell.
func (s *sampler) draw(c *cell, sharp float64) []float64 {
	if c.find != nil && s.IntN(3) == 0 {
		cost := make([]float64, len(c.set.Low))
		for i := range cost {
			cost[i] = s.NormFloat64()
		}
		c.find.Least(cost)
		return slices.Clone(c.find.At())
	}
	shares := s.filled(c.set, sharp)
	if c.of == nil {
		return shares
	}
	var leaves []float64
	for i, share := range shares {
		if c.of[i] == nil {
			leaves = append(leaves, share)
			continue
		}
		for _, x := range s.draw(c.of[i], sharp) {
			leaves = append(leaves, share*x)
		}
	}
	return leaves
}

// filled draws one share after the other, in any order, each from what those before it
// leave. Where each stands at an end of that, the composition is a corner of the set.
func (s *sampler) filled(set blend.Set, sharp float64) []float64 {
	low, high := slices.Clone(set.Low), slices.Clone(set.High)
	least, most := 0.0, 0.0
	for i := range low {
		least, most = least+low[i], most+high[i]
	}
	for _, i := range s.Perm(len(low)) {
		// To raise this one is to raise those before it in its run that are smaller.
		top, together, spare := low[i], 1.0, max(0, 1-least)
		from := i
		for from > 0 && set.Down[from-1] && (low[from-1]-top)*together <= spare {
			spare -= (low[from-1] - top) * together
			from--
			top, together = low[from], together+1
		}
		top = min(high[i], top+spare/together)
		bottom, together, spare := high[i], 1.0, max(0, most-1)
		to := i
		for to < len(low)-1 && set.Down[to] && (bottom-high[to+1])*together <= spare {
			spare -= (bottom - high[to+1]) * together
			to++
			bottom, together = high[to], together+1
		}
		bottom = max(low[i], bottom-spare/together)
		v := s.inside(bottom, top, sharp)
		least, most = least+v-low[i], most+v-high[i]
		low[i], high[i] = v, v
		for j := i - 1; j >= 0 && set.Down[j] && low[j] < v; j-- {
			least += v - low[j]
			low[j] = v
		}
		for j := i + 1; j < len(low) && set.Down[j-1] && high[j] > v; j++ {
			most += v - high[j]
			high[j] = v
		}
	}
	return low
}

// A limit is a linear figure of a composition that is not above nought.
type limit []float64

func (l limit) at(shares []float64) float64 {
	total := 0.0
	for j, x := range shares {
		total += l[j] * x
	}
	return total
}

// within draws a composition within limits: a draw, or a place on the way between two
// where a limit is met or none is passed.
func (s *sampler) within(cells []*cell, limits []limit, sharp float64) ([]float64, bool) {
	for range 12 {
		c := cells[s.IntN(len(cells))]
		from := s.draw(c, sharp)
		if len(limits) == 0 {
			return from, true
		}
		to := s.draw(c, sharp)
		least, most := 0.0, 1.0
		for _, l := range limits {
			a, b := l.at(from), l.at(to)
			switch {
			case a <= 0 && b <= 0:
			case a > 0 && b > 0:
				least = 2
			case a > 0:
				least = max(least, a/(a-b))
			default:
				most = min(most, a/(a-b))
			}
		}
		if least > most {
			continue
		}
		part := s.inside(least, most, sharp)
		for j := range from {
			from[j] += part * (to[j] - from[j])
		}
		return from, true
	}
	return nil, false
}

// fats draws the figures of the fats of a source.
func (s *sampler) fats(source bar.Source, sharp float64) []saponify.Fat {
	fats := make([]saponify.Fat, len(source.Parts))
	for j, part := range source.Parts {
		if part.Fat == nil {
			continue
		}
		fats[j] = part.Fat.Fat
		fats[j].SAP = s.inside(part.Fat.Spread.Low, part.Fat.Spread.High, sharp)
		fats[j].AcidValue = s.inside(part.Fat.Acids.Low, part.Fat.Acids.High, sharp)
		fats[j].Unsaponifiable = s.inside(part.Fat.Unsaponifiables.Low, part.Fat.Unsaponifiables.High, sharp)
	}
	return fats
}

// makeUp draws saponification values that make up the stated one.
func (s *sampler) makeUp(source bar.Source, shares []float64, fats []saponify.Fat, sharp float64) {
	least, most := 0.0, 0.0
	for j, part := range source.Parts {
		least, most = least+shares[j]*part.Fat.Spread.Low, most+shares[j]*part.Fat.Spread.High
	}
	whole := s.inside(max(least, source.SAP.Low), min(most, source.SAP.High), sharp)
	for _, j := range s.Perm(len(fats)) {
		if shares[j] < 1e-12 {
			continue
		}
		r := source.Parts[j].Fat.Spread
		least, most = least-shares[j]*r.Low, most-shares[j]*r.High
		fats[j].SAP = s.inside(max(r.Low, (whole-most)/shares[j]), min(r.High, (whole-least)/shares[j]), sharp)
		fats[j].SAP = min(r.High, max(r.Low, fats[j].SAP))
		whole -= shares[j] * fats[j].SAP
	}
}

// source draws the composition of a source and the figures of its fats.
func (s *sampler) source(i int) (shares []float64, fats []saponify.Fat, ok bool) {
	source := s.bar.Sources[i]
	sharp := []float64{1, 1, 0.8, 0}[s.IntN(4)]
	fats = s.fats(source, sharp)
	switch {
	case source.Allowed != nil && s.old != nil && strings.HasSuffix(source.Ref, ownCode):
		shares, ok = s.crumbs(source)
		return shares, fats, ok
	case source.Allowed != nil:
		return source.Allowed[s.IntN(len(source.Allowed))], fats, true
	}
	var limits []limit
	switch {
	case source.SAP != nil:
		high, low := make(limit, len(fats)), make(limit, len(fats))
		for j, part := range source.Parts {
			high[j], low[j] = part.Fat.Spread.Low-source.SAP.High, source.SAP.Low-part.Fat.Spread.High
		}
		limits = []limit{high, low}
	case source.Kettle != nil:
		limits = []limit{bound(source, fats, source.Kettle.Extent.High, 1), bound(source, fats, source.Kettle.Extent.Low, -1)}
	}
	if shares, ok = s.within(s.cells[i], limits, sharp); ok && source.SAP != nil {
		s.makeUp(source, shares, fats, sharp)
	}
	return shares, fats, ok
}

// bound gives the alkali that one gram of each part leaves at an extent, times a sign.
func bound(source bar.Source, fats []saponify.Fat, extent, sign float64) limit {
	l := make(limit, len(fats))
	for j, part := range source.Parts {
		l[j] = sign * part.Alkali
		if part.Acid != nil {
			l[j] -= sign * part.Acid.Equivalents / part.Acid.MolarMass
		}
		if part.Fat != nil {
			a, e := fats[j].Equivalents()
			l[j] -= sign * (a + extent*e)
		}
	}
	return l
}

// crumbs draws what own bars are made of from a bar of their own formula.
func (s *sampler) crumbs(source bar.Source) ([]float64, bool) {
	_, masses, ok := s.old.point()
	if !ok {
		return nil, false
	}
	shares, total := make([]float64, len(source.Parts)), 0.0
	for l, line := range s.old.bar.Lines {
		if !line.Counted() {
			continue
		}
		part := bar.Part{Names: line.Names, Role: line.Role}
		if moisture := line.Role == bar.Water || len(line.Terms) == 1 && line.Terms[0].Product == bar.BoughtMoisture; moisture {
			part = source.Parts[len(source.Parts)-1]
		} else if line.Role == bar.Remains && !(len(line.Terms) == 1 && line.Terms[0].Product == bar.Fatty) {
			part.Role = bar.Substance
		}
		total += masses[l]
		j := slices.Index(source.Parts, part)
		if j < 0 && masses[l] > 1e-6 {
			panic(fmt.Sprintf("own bars have %v g of %+v, which is no part of them", masses[l], part))
		}
		if j >= 0 {
			shares[j] += masses[l]
		}
	}
	for j := range shares {
		shares[j] /= total
	}
	return shares, true
}

// point draws a bar with its masses. It is false where one could not be found.
func (s *sampler) point() (bar.Point, []float64, bool) {
	p := bar.Point{Shares: make([][]float64, len(s.bar.Sources)), Fats: make([][]saponify.Fat, len(s.bar.Sources))}
	for i := range s.bar.Sources {
		var ok bool
		if p.Shares[i], p.Fats[i], ok = s.source(i); !ok {
			return p, nil, false
		}
	}
	return s.wetted(p)
}

// mutant draws a bar that differs in one thing.
func (s *sampler) mutant(p bar.Point) (bar.Point, []float64, bool) {
	i := s.IntN(len(p.Shares) + 1)
	p.Shares, p.Fats = slices.Clone(p.Shares), slices.Clone(p.Fats)
	if i < len(p.Shares) {
		var ok bool
		if p.Shares[i], p.Fats[i], ok = s.source(i); !ok {
			return p, nil, false
		}
	}
	return s.wetted(p)
}

// wetted draws the water of a bar. It is false where the bar would be lye-heavy.
func (s *sampler) wetted(p bar.Point) (bar.Point, []float64, bool) {
	water, err := s.water(p)
	if err != nil {
		return p, nil, false
	}
	p.Water = s.inside(water.Low, water.High, 0.8)
	masses, err := s.bar.At(p)
	return p, masses, err == nil
}

// water gives the water that may be left: between 2 and 20 % of the bar, or all that
// there is, by the style.
func (s *sampler) water(p bar.Point) (measure.Range, error) {
	if s.style == asMade {
		p.Water = 0
		_, err := s.bar.At(p)
		return measure.Range{}, err
	}
	p.Water = 0
	masses, err := s.bar.At(p)
	if err != nil {
		return measure.Range{}, err
	}
	dry := s.bar.Total(masses)
	all := s.batter.Mass() - dry
	for i, source := range s.bar.Sources {
		for j, part := range source.Parts {
			all -= source.Mass * p.Shares[i][j] * part.Leaves
		}
	}
	all = max(0, all)
	low, high := min(all, dry*0.02/0.98), min(all, dry*0.20/0.80)
	if s.style == fresh {
		low = all
	}
	if s.style == fresh || s.batter.Melted {
		high = all
	}
	return measure.Range{Low: low, High: high}, nil
}

// refuses says what of the statements a bar goes against, but for rounding; "" for one
// that is allowed.
func (s *sampler) refuses(p bar.Point) string {
	off := func(v float64, r measure.Range) bool {
		slack := 1e-8 * (1 + math.Abs(v))
		return !(v >= r.Low-slack && v <= r.High+slack)
	}
	for i, source := range s.bar.Sources {
		if !source.Shares.Holds(p.Shares[i]) {
			return fmt.Sprintf("the shares %v of %s", p.Shares[i], source.Ref)
		}
		if source.Allowed != nil && !slices.ContainsFunc(source.Allowed, func(one []float64) bool { return slices.Equal(one, p.Shares[i]) }) {
			return fmt.Sprintf("the shares %v of %s, which are not surely allowed", p.Shares[i], source.Ref)
		}
		whole := 0.0
		for j, part := range source.Parts {
			if part.Fat == nil {
				continue
			}
			got, want := p.Fats[i][j], part.Fat
			if off(got.SAP, want.Spread) || off(got.AcidValue, want.Acids) || off(got.Unsaponifiable, want.Unsaponifiables) {
				return fmt.Sprintf("the figures %+v of part %d of %s: %+v", got, j, source.Ref, *want)
			}
			if got.Kind != want.Kind || got.Inert != want.Inert || got.AcidMass != want.AcidMass {
				return fmt.Sprintf("the kind %+v of part %d of %s", got, j, source.Ref)
			}
			whole += p.Shares[i][j] * got.SAP
		}
		if source.SAP != nil && off(whole, *source.SAP) {
			return fmt.Sprintf("a value of %v of %s, stated as %v", whole, source.Ref, *source.SAP)
		}
		if source.Kettle != nil {
			high, low := bound(source, p.Fats[i], source.Kettle.Extent.High, 1).at(p.Shares[i]), bound(source, p.Fats[i], source.Kettle.Extent.Low, -1).at(p.Shares[i])
			if max(high, low) > 1e-10 {
				return fmt.Sprintf("the alkali of %s: %v and %v mol", source.Ref, high, low)
			}
		}
	}
	water, err := s.water(p)
	switch {
	case err != nil:
		return err.Error()
	case off(p.Water, water):
		return fmt.Sprintf("%v g of water, for %v", p.Water, water)
	}
	return ""
}
