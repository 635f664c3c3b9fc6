package blend_test

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"saponym/internal/blend"
)

// A form is a linear form of the unknowns of a programme, the constant last. Unknowns
// that came later than the form are not in it.
type form struct {
	of       []float64
	constant float64
}

func (f form) plus(by float64, g form) form {
	sum := form{slices.Clone(f.of), f.constant + by*g.constant}
	for i, x := range g.of {
		for len(sum.of) <= i {
			sum.of = append(sum.of, 0)
		}
		sum.of[i] += by * x
	}
	return sum
}

// A programme is a mix of single sets written out for the simplex method: every share is
// its low bound and an unknown that is not negative, and the bounds of what is in an
// inner mix are times the share of that mix. It knows nothing of layers.
type programme struct {
	unknowns int
	equal    []form // to nought
	atLeast  []form // nought
	leaves   []form
}

func (p *programme) unknown() form {
	p.unknowns++
	f := form{of: make([]float64, p.unknowns)}
	f.of[p.unknowns-1] = 1
	return f
}

// add writes out a mix whose shares are of the whole given.
func (p *programme) add(m blend.Mix, whole form) {
	s := m.Union[0]
	var before form
	rest := whole
	for i := range s.Low {
		share := form{}.plus(s.Low[i], whole)
		if s.High[i] > s.Low[i] {
			more := p.unknown()
			share = share.plus(1, more)
			if s.High[i] < 1 {
				p.atLeast = append(p.atLeast, form{}.plus(s.High[i]-s.Low[i], whole).plus(-1, more))
			}
		}
		if i > 0 && s.Down[i-1] {
			p.atLeast = append(p.atLeast, before.plus(-1, share))
		}
		before, rest = share, rest.plus(-1, share)
		if m.Of != nil && m.Of[i] != nil {
			p.add(*m.Of[i], share)
			continue
		}
		p.leaves = append(p.leaves, share)
	}
	p.equal = append(p.equal, rest)
}

// least asks the simplex method. A row that holds for whatever the unknowns are is left
// out, since gonum takes none without a figure; two unknowns more, which sum to 1, keep
// it from meeting as many rows as unknowns, where it takes a rounding below nought for a
// contradiction.
func (p *programme) least(cost []float64) (float64, error) {
	var rows []form
	row := func(f form, left int) error {
		f.of = append(slices.Clone(f.of), make([]float64, p.unknowns-len(f.of)+len(p.atLeast)+2)...)
		trivial := true
		for i, x := range f.of {
			if math.Abs(x) < 1e-13 {
				f.of[i] = 0
			}
			trivial = trivial && f.of[i] == 0
		}
		switch {
		case trivial && (f.constant < -1e-12 || left < 0 && f.constant > 1e-12):
			return lp.ErrInfeasible
		case trivial:
			return nil
		case left >= 0:
			f.of[left] = -1
		}
		rows = append(rows, f)
		return nil
	}
	used := p.unknowns
	for _, f := range p.atLeast {
		before := len(rows)
		if err := row(f, used); err != nil {
			return 0, err
		}
		used += len(rows) - before
	}
	for _, f := range p.equal {
		if err := row(f, -1); err != nil {
			return 0, err
		}
	}
	two := form{of: make([]float64, used+2), constant: -1}
	two.of[used], two.of[used+1] = 1, 1
	rows = append(rows, two)
	used += 2

	scale := largest(cost)
	if scale == 0 {
		scale = 1
	}
	var total form
	for i, leaf := range p.leaves {
		total = total.plus(cost[i]/scale, leaf)
	}
	a, b := mat.NewDense(len(rows), used, nil), make([]float64, len(rows))
	for r, f := range rows {
		for i := range used {
			if i < len(f.of) {
				a.Set(r, i, f.of[i])
			}
		}
		b[r] = -f.constant
	}
	value, x, err := lp.Simplex(append(total.of, make([]float64, used-len(total.of))...), a, b, 1e-12, nil)
	if err == nil && !solves(a, b, x) {
		err = errLost
	}
	return (value + total.constant) * scale, err
}

// errLost is the error of a simplex that ends where its rows are not satisfied.
var errLost = errors.New("the simplex method lost its way")

// solves reports whether unknowns satisfy their rows and none is negative.
func solves(a mat.Matrix, b, x []float64) bool {
	var missing mat.VecDense
	missing.MulVec(a, mat.NewVecDense(len(x), x))
	missing.SubVec(&missing, mat.NewVecDense(len(b), b))
	return mat.Norm(&missing, math.Inf(1)) < 1e-11 && slices.Min(x) > -1e-11
}

// single gives the mixes of single sets of which a mix is made.
func single(m blend.Mix) []blend.Mix {
	var all []blend.Mix
	for _, s := range m.Union {
		all = append(all, blend.Mix{Union: blend.Union{s}, Of: slices.Clone(m.Of)})
	}
	for i, inner := range m.Of {
		if inner == nil {
			continue
		}
		var more []blend.Mix
		for _, one := range all {
			for _, in := range single(*inner) {
				with := blend.Mix{Union: one.Union, Of: slices.Clone(one.Of)}
				with.Of[i] = &in
				more = append(more, with)
			}
		}
		all = more
	}
	return all
}

// byLinearProgramme gives the least cost by the simplex method: +Inf where there is no
// composition. The error is that of a simplex that gave up.
func byLinearProgramme(m blend.Mix, cost []float64) (float64, error) {
	low := math.Inf(1)
	for _, one := range single(m) {
		var p programme
		p.add(one, form{constant: 1})
		value, err := p.least(cost)
		switch {
		case errors.Is(err, lp.ErrInfeasible):
		case err != nil:
			return 0, err
		default:
			low = min(low, value)
		}
	}
	return low, nil
}

// inside draws a composition in whole parts of 10⁹, of which some are nought, some equal
// and some tiny.
func inside(r *rand.Rand, n int) []float64 {
	const whole = 1_000_000_000
	parts := make([]int64, n)
	kind := r.IntN(5)
	weights, sum := make([]float64, n), 0.0
	for i := range weights {
		switch kind {
		case 0: // all equal: thirds and the like
			weights[i] = 1
		case 1:
			weights[i] = float64(r.IntN(4))
		case 2:
			weights[i] = math.Pow(10, -6*r.Float64())
		default:
			weights[i] = r.Float64()
		}
		sum += weights[i]
	}
	left := int64(whole)
	for i := range parts {
		if sum > 0 {
			parts[i] = int64(whole * weights[i] / sum)
		}
		left -= parts[i]
	}
	parts[r.IntN(n)] += left
	if r.IntN(2) == 0 {
		slices.SortFunc(parts, func(a, b int64) int { return int(b - a) })
	}
	shares := make([]float64, n)
	for i, x := range parts {
		shares[i] = float64(x) / whole
	}
	return shares
}

// around draws a set that holds a composition: with an order, or none, or some, and with
// bounds of every kind, in whole parts of 10⁹.
func around(r *rand.Rand, shares []float64) blend.Set {
	s := blend.Free(len(shares))
	whole := func(x float64) float64 { return math.Round(x*1e9) / 1e9 }
	bounded, order := r.IntN(4), r.IntN(4)
	for i, x := range shares {
		if bounded == 0 || bounded < 3 && r.IntN(2) == 0 {
			continue
		}
		switch r.IntN(7) {
		case 0:
			s.Low[i], s.High[i] = x, x
		case 1:
			s.Low[i] = x
		case 2:
			s.High[i] = x
		case 3:
			s.Low[i], s.High[i] = whole(max(0, x-1e-9)), whole(min(1, x+1e-9))
		case 4: // on a grid, so that bounds of several parts are equal
			s.Low[i], s.High[i] = math.Floor(x*10)/10, math.Ceil(x*10)/10
		case 5:
			s.Low[i] = whole(x * r.Float64())
		default:
			s.Low[i], s.High[i] = whole(x*r.Float64()), whole(x+(1-x)*r.Float64())
		}
	}
	for i := range s.Down {
		s.Down[i] = shares[i] >= shares[i+1] && (order == 0 || order < 3 && r.IntN(3) > 0)
	}
	return s
}

// anyCost draws costs: of ties and near ties, negative, huge, tiny and all mixed.
func anyCost(r *rand.Rand, n int) []float64 {
	cost := make([]float64, n)
	kind, scale := r.IntN(6), math.Pow(10, float64(r.IntN(25)-12))
	for i := range cost {
		switch kind {
		case 0:
			cost[i] = float64(r.IntN(3) - 1)
		case 1: // means of neighbours that are equal but for rounding
			cost[i] = float64(r.IntN(4)) / 10 * scale
		case 2:
			cost[i] = scale
		case 3:
			cost[i] = math.Pow(10, float64(r.IntN(19)-9)) * float64(r.IntN(3)-1)
		default:
			cost[i] = (r.Float64()*2 - 1) * scale
		}
	}
	return cost
}

// checkHeld checks a composition against bounds, order and sum, all but to the last
// digits: what [blend.Set.Holds] forgives is a thousand times as much.
func checkHeld(s blend.Set, shares []float64) error {
	const tiny = 1e-12
	sum := 0.0
	for i, x := range shares {
		sum += x
		switch {
		case math.IsNaN(x) || x < s.Low[i]-tiny || x > s.High[i]+tiny:
			return fmt.Errorf("share %d is %v, not within %v to %v", i, x, s.Low[i], s.High[i])
		case i > 0 && s.Down[i-1] && x > shares[i-1]+tiny:
			return fmt.Errorf("share %d is %v and the one before %v", i, x, shares[i-1])
		}
	}
	if math.Abs(sum-1) > tiny {
		return fmt.Errorf("the sum is 1%+.3g", sum-1)
	}
	return nil
}

// largest is the size of costs, with which errors are compared.
func largest(cost []float64) float64 { return floats.Norm(cost, math.Inf(1)) }

// drawUnion draws one set, or a few that hold different compositions.
func drawUnion(r *rand.Rand, n, sets int) (blend.Union, [][]float64) {
	var u blend.Union
	var within [][]float64
	for range sets {
		shares := inside(r, n)
		u, within = append(u, around(r, shares)), append(within, shares)
	}
	return u, within
}

// The least cost is that of a linear programme, and it is attained in the union.
func TestLeastIsThatOfALinearProgramme(t *testing.T) {
	t.Parallel()
	const draws = 4000
	r := rand.New(rand.NewPCG(1, 1))
	compared := 0
	for range draws {
		n := 1 + r.IntN(7)
		u, _ := drawUnion(r, n, 1+r.IntN(4)/3)
		cost := anyCost(r, n)
		low, at := u.Least(cost)
		most := largest(cost)
		if got := floats.Dot(cost, at); math.Abs(got-low) > 1e-13*most {
			t.Fatalf("%+v, cost %v: %v costs %v and not %v", u, cost, at, got, low)
		}
		if !u.Holds(at) || !slices.ContainsFunc(u, func(s blend.Set) bool { return checkHeld(s, at) == nil }) {
			t.Fatalf("%+v, cost %v: %v is not held: %v", u, cost, at, checkHeld(u[0], at))
		}
		want, err := byLinearProgramme(blend.Mix{Union: u}, cost)
		if err != nil {
			continue // counted as not compared
		}
		compared++
		if !(math.Abs(low-want) <= 1e-9*most) {
			t.Fatalf("%+v, cost %v: got %v at %v, the linear programme says %v", u, cost, low, at, want)
		}
	}
	t.Logf("%d of %d sets compared", compared, draws)
	if compared < draws*99/100 {
		t.Errorf("only %d of %d sets compared", compared, draws)
	}
}

// A set that was drawn with no composition in mind has a least where a linear programme
// has one. Its bounds are whole fortieths, so that the programme can tell.
func TestLeastOfSetsThatMayBeEmpty(t *testing.T) {
	t.Parallel()
	const draws = 2000
	r := rand.New(rand.NewPCG(2, 1))
	compared, empty := 0, 0
	for range draws {
		n := 1 + r.IntN(6)
		s := blend.Free(n)
		for i := range n {
			if r.IntN(2) == 0 {
				s.Low[i] = float64(r.IntN(1+60/n)) / 40
			}
			if r.IntN(2) == 0 {
				s.High[i] = s.Low[i] + float64(r.IntN(1+80/n))/40
			}
		}
		for i := range s.Down {
			s.Down[i] = r.IntN(2) == 0
		}
		cost := anyCost(r, n)
		low, at := blend.Union{s}.Least(cost)
		if (at == nil) != math.IsInf(low, 1) {
			t.Fatalf("%+v: least %v at %v", s, low, at)
		}
		want, err := byLinearProgramme(blend.Mix{Union: blend.Union{s}}, cost)
		if err != nil {
			continue
		}
		compared++
		if at == nil {
			empty++
		}
		if math.IsInf(want, 1) != (at == nil) || at != nil && math.Abs(low-want) > 1e-9*largest(cost) {
			t.Fatalf("%+v, cost %v: got %v at %v, the linear programme says %v", s, cost, low, at, want)
		}
	}
	t.Logf("%d of %d sets compared, %d of them empty", compared, draws, empty)
	if compared < draws*99/100 || empty < draws/10 || empty > draws*9/10 {
		t.Errorf("%d of %d sets compared, %d of them empty", compared, draws, empty)
	}
}

// shifted gives a composition with as much as is allowed, or a part of it, shifted from one
// share to another.
func shifted(r *rand.Rand, s blend.Set, shares []float64) []float64 {
	n := len(shares)
	to, from := r.IntN(n), r.IntN(n)
	if to == from {
		return shares
	}
	room := min(s.High[to]-shares[to], shares[from]-s.Low[from])
	if to > 0 && s.Down[to-1] {
		gap := shares[to-1] - shares[to]
		if from == to-1 { // they meet half-way
			gap /= 2
		}
		room = min(room, gap)
	}
	if from < n-1 && s.Down[from] && to != from+1 {
		room = min(room, shares[from]-shares[from+1])
	}
	if r.IntN(3) == 0 {
		room *= r.Float64()
	}
	next := slices.Clone(shares)
	next[to] += max(0, room)
	next[from] -= max(0, room)
	return next
}

// No composition that is allowed costs less than the least. Those that are drawn lie
// between some that are found by shifting shares, and corners, where other costs are least.
func TestNothingCostsLess(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 1))
	for range 400 {
		n := 1 + r.IntN(20)
		u, within := drawUnion(r, n, 1)
		for range 40 {
			within = append(within, shifted(r, u[0], within[len(within)-1]))
		}
		z := blend.NewMinimiser(blend.Mix{Union: u})
		for range 10 {
			z.Least(anyCost(r, n))
			within = append(within, slices.Clone(z.At()))
		}
		for range 20 {
			cost := anyCost(r, n)
			low := z.Least(cost)
			for range 20 {
				a, b, w := within[r.IntN(len(within))], within[r.IntN(len(within))], r.Float64()
				shares := make([]float64, n)
				for i := range shares {
					shares[i] = w*a[i] + (1-w)*b[i]
				}
				if err := checkHeld(u[0], shares); err != nil {
					t.Fatalf("%+v: %v: %v", u, shares, err)
				}
				if got := floats.Dot(cost, shares); got < low-1e-12*largest(cost) {
					t.Fatalf("%+v, cost %v: %v costs %v, less than %v at %v", u, cost, shares, got, low, z.At())
				}
			}
		}
	}
}

// Long lists whose means of neighbours are equal but for rounding: the layers of a run
// are then filled in any order, and the composition must still not rise.
func TestLeastOfLongListsWithTies(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 1))
	for range 300 {
		n := 20 + r.IntN(60)
		shares := inside(r, n)
		slices.SortFunc(shares, func(a, b float64) int { return cmp.Compare(b, a) })
		s := around(r, shares)
		for i := range s.Down {
			s.Down[i] = true
		}
		cost := make([]float64, n)
		for i := range cost {
			cost[i] = float64(r.IntN(3)) / 10
		}
		low, at := blend.Union{s}.Least(cost)
		if err := checkHeld(s, at); err != nil {
			t.Fatalf("%+v, cost %v: %v: %v", s, cost, at, err)
		}
		if math.Abs(floats.Dot(cost, at)-low) > 1e-13 {
			t.Fatalf("%+v, cost %v: %v costs %v and not %v", s, cost, at, floats.Dot(cost, at), low)
		}
	}
}

func TestLeast(t *testing.T) {
	for _, tt := range []struct {
		name string
		u    blend.Union
		cost []float64
		low  float64
		at   []float64
	}{
		{"none", nil, []float64{1}, math.Inf(1), nil},
		{"empty", blend.Union{{Low: []float64{0.6, 0.6}, High: []float64{1, 1}, Down: []bool{false}}}, []float64{1, 2}, math.Inf(1), nil},
		{"one part", blend.Union{blend.Free(1)}, []float64{-3}, -3, []float64{1}},
		{"one composition", blend.Exactly(0.25, 0.75), []float64{4, 8}, 7, []float64{0.25, 0.75}},
		{"the cheap part is the first", blend.Union{ordered(3)}, []float64{1, 2, 3}, 1, []float64{1, 0, 0}},
		{"the cheap part is the last", blend.Union{ordered(3)}, []float64{3, 2, 1}, 2, []float64{1.0 / 3, 1.0 / 3, 1.0 / 3}},
		// 3·x + 9·y + 0·z is the same for all that have z as large as y; at y = z = 0 it
		// is 3, at thirds 4.
		{"the cheap part is behind a dear one", blend.Union{ordered(3)}, []float64{3, 9, 0}, 3, []float64{1, 0, 0}},
		{"it is worth it", blend.Union{ordered(3)}, []float64{3, 4, -4}, 1, []float64{1.0 / 3, 1.0 / 3, 1.0 / 3}},
		{"the better of two", blend.Union{blend.Exactly(0.5, 0.5)[0], blend.Exactly(0.6, 0.4)[0]}, []float64{0, 1}, 0.4, []float64{0.6, 0.4}},
		{"an empty one beside", blend.Union{{Low: []float64{1, 1}, High: []float64{1, 1}, Down: []bool{false}}, blend.Exactly(0.6, 0.4)[0]}, []float64{0, 1}, 0.4, []float64{0.6, 0.4}},
		{"wide bounds", blend.Union{{Low: []float64{math.Inf(-1), -2}, High: []float64{3, math.Inf(1)}, Down: []bool{false}}}, []float64{1, 2}, 1, []float64{1, 0}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			low, at := tt.u.Least(tt.cost)
			if low != tt.low && !(math.Abs(low-tt.low) < 1e-12) || len(at) != len(tt.at) || (at == nil) != (tt.at == nil) {
				t.Fatalf("got %v at %v, want %v at %v", low, at, tt.low, tt.at)
			}
			for i := range at {
				if math.Abs(at[i]-tt.at[i]) > 1e-12 {
					t.Fatalf("got %v at %v, want %v at %v", low, at, tt.low, tt.at)
				}
			}
		})
	}
}

// A minimiser keeps nothing of a question for the next.
func TestMinimiserForgets(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for range 200 {
		n := 1 + r.IntN(8)
		u, _ := drawUnion(r, n, 1+r.IntN(3))
		z := blend.NewMinimiser(blend.Mix{Union: u})
		if z.At() != nil {
			t.Fatalf("%v before any question", z.At())
		}
		for range 5 {
			cost := anyCost(r, n)
			if r.IntN(5) == 0 {
				cost[r.IntN(n)] = math.NaN() // then there is no least
			}
			low, at := u.Least(cost)
			if again := z.Least(cost); again != low || !slices.Equal(z.At(), at) {
				t.Fatalf("%+v, cost %v: got %v at %v, want %v at %v", u, cost, again, z.At(), low, at)
			}
		}
	}
}

// kinds gives the mixes whose speed matters.
func kinds() map[string]blend.Mix {
	all := map[string]blend.Mix{}
	for _, n := range []int{4, 15, 60, 500} {
		all[fmt.Sprintf("order of %d", n)] = blend.Mix{Union: blend.Union{ordered(n)}}
		bounded := ordered(n)
		middle, _ := bounded.Middle()
		for i, x := range middle {
			bounded.Low[i], bounded.High[i] = x*0.9, min(1, x*1.2)
		}
		all[fmt.Sprintf("bounds of %d", n)] = blend.Mix{Union: blend.Union{bounded}}
		if n <= 60 {
			all[fmt.Sprintf("legal order of %d", n)] = blend.Mix{Union: blend.LegalOrder(blend.Free(n), n, 0.01)}
		}
	}
	inner := all["order of 15"]
	all["order of 4 with 15 in each"] = blend.Mix{Union: blend.Union{ordered(4)}, Of: []*blend.Mix{&inner, &inner, nil, &inner}}
	return all
}

// questions gives a few costs.
func questions(parts int) [][]float64 {
	r := rand.New(rand.NewPCG(6, 1))
	all := make([][]float64, 16)
	for i := range all {
		for range parts {
			all[i] = append(all[i], r.NormFloat64())
		}
	}
	return all
}

// A minimiser has the room that it needs once it has answered the same questions.
func TestMinimiserKeepsItsRoom(t *testing.T) {
	for name, m := range kinds() {
		z, all := blend.NewMinimiser(m), questions(m.Parts())
		ask := func() {
			for _, cost := range all {
				z.Least(cost)
				z.At()
			}
		}
		ask()
		if got := testing.AllocsPerRun(2, ask); got != 0 {
			t.Errorf("%s: %v allocations", name, got)
		}
	}
}

func BenchmarkMinimiser(b *testing.B) {
	mixes := kinds()
	for _, name := range slices.Sorted(maps.Keys(mixes)) {
		m := mixes[name]
		all := questions(m.Parts())
		b.Run("make/"+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				blend.NewMinimiser(m)
			}
		})
		b.Run("ask/"+name, func(b *testing.B) {
			z := blend.NewMinimiser(m)
			for _, cost := range all {
				z.Least(cost)
			}
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				z.Least(all[i%len(all)])
				z.At()
				i++
			}
		})
	}
}
