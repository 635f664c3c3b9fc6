package bar_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/bar"
	"saponym/internal/formula"
)

// thorough reports whether far more formulas are asked for than by default. Then so many
// more bars are drawn of each.
func thorough() bool {
	checks, err := strconv.Atoi(flag.Lookup("rapid.checks").Value.String())
	return err == nil && checks > 100
}

// A drawn is a bar that was drawn.
type drawn struct {
	bar.Point
	masses []float64
}

// gather draws so many bars.
func (s *sampler) gather(t fataler, n int) []drawn {
	var all []drawn
	for range n {
		p, masses, ok := s.point()
		if !ok {
			continue
		}
		if s.old == nil { // those are more than are surely allowed
			if why := s.refuses(p); why != "" {
				t.Fatalf("what is drawn goes against %s", why)
			}
		}
		all = append(all, drawn{p, masses})
	}
	return all
}

// least gives the least of a question among bars that were drawn, and goes down from
// there by drawing one thing again so many times.
func (s *sampler) least(q bar.Question, all []drawn, steps int) (low float64, at bar.Point) {
	low = math.Inf(1)
	for _, d := range all {
		if v := value(q, d.masses); v < low {
			low, at = v, d.Point
		}
	}
	if len(all) == 0 {
		return low, at
	}
	for range steps {
		p, masses, ok := s.mutant(at)
		if !ok {
			continue
		}
		if v := value(q, masses); v < low {
			low, at = v, p
		}
	}
	return low, at
}

// questions draws questions of the three sorts: is one line more than another, is one
// more than 1 % of the bar, and any.
func questions(t *rapid.T, b *bar.Bar, n int) []bar.Question {
	var declared []int
	for l, line := range b.Lines {
		if line.Declared() {
			declared = append(declared, l)
		}
	}
	line := rapid.SampledFrom(declared)
	var all []bar.Question
	for i := range n {
		q := bar.Question{Weights: make([]float64, len(b.Lines))}
		switch i % 4 {
		case 0, 1:
			q.Weights[line.Draw(t, "more")]++
			q.Weights[line.Draw(t, "less")]--
		case 2:
			share, sign := rapid.SampledFrom([]float64{0.01, 0.01, 0.001, 0.3}).Draw(t, "line"), rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
			for l := range b.Lines {
				if b.Lines[l].Counted() {
					q.Weights[l] = -sign * share
				}
			}
			q.Weights[line.Draw(t, "of")] += sign
		default:
			q = anyQuestion(t, b)
		}
		all = append(all, q)
	}
	return all
}

// A tally counts verdicts.
type tally struct {
	formulas, drawn, questions, proved, refuted, unproved int
	seen                                                  int // refuted, and seen in what was drawn
	swapped                                               int // unproved, and seen to swap
}

// judge asks a question in both ways, and fails where an answer
// cannot be.
func (s *sampler) judge(t *rapid.T, f loose, b *bar.Bar, q bar.Question, all []drawn, steps int, count *tally) {
	whole := 1 + s.batter.Mass()
	low, at := s.least(q, all, steps)
	least, quick := b.Least(q), b.Holds(q)
	for how, answer := range map[string]bar.Answer{"the least": least, "a quick answer": quick} {
		if low < answer.Low-1e-9*whole {
			t.Fatalf("%s is %v, and there is a bar with %v\n%+v\n%+v\n%s", how, answer.Low, low, q, at, f.documents())
		}
		if answer.Verdict == bar.Proved && low < -2*b.Tie() {
			t.Fatalf("%s is proved, and there is a bar with %v\n%+v\n%+v\n%s", how, low, q, at, f.documents())
		}
		if answer.Verdict != bar.Refuted {
			continue
		}
		if why := s.refuses(answer.At); why != "" {
			t.Fatalf("%s is refuted by a bar that goes against %s\n%+v\n%s", how, why, q, f.documents())
		}
		masses, err := s.bar.At(answer.At)
		if err != nil || value(q, masses) >= 0 || value(q, masses) < answer.Low-1e-9*whole {
			t.Fatalf("%s is refuted by a bar with %v, %v; the least is %v\n%+v\n%s", how, value(q, masses), err, answer.Low, q, f.documents())
		}
	}
	if least.Verdict != quick.Verdict && least.Verdict != bar.Unproved && quick.Verdict != bar.Unproved {
		t.Fatalf("verdicts %v and %v\n%+v\n%s", least.Verdict, quick.Verdict, q, f.documents())
	}
	count.questions++
	switch quick.Verdict {
	case bar.Proved:
		count.proved++
	case bar.Refuted:
		count.refuted++
		if low < 0 {
			count.seen++
		}
	case bar.Unproved:
		count.unproved++
		if low < -b.Tie() {
			count.swapped++
		}
	}
}

// sampled pours a formula, and gives a sampler of it; nil where it makes no bar.
func sampled(t *rapid.T, f loose, how style) *sampler {
	batter, _ := f.pour(t)
	if batter == nil {
		return nil
	}
	b, err := how.of(batter)
	if err != nil {
		return nil
	}
	seed := rapid.Uint64().Draw(t, "seed")
	s := newSampler(rand.New(rand.NewPCG(seed, 1)), batter, b, how)
	if f.own != nil {
		s.ofCrumbs(t, f)
	}
	return s
}

// What is certain is never contradicted, and what could be otherwise is, for formulas of
// things of which only an order, ranges or nothing is known.
func TestCertainIsNeverContradicted(t *testing.T) {
	draws, asked, steps := 150, 12, 10
	if thorough() {
		draws, asked, steps = 10_000, 40, 300
	}
	var count tally
	all := 0
	rapid.Check(t, func(t *rapid.T) {
		all++
		f := aLoose(t)
		s := sampled(t, f, rapid.SampledFrom([]style{cured, cured, cured, fresh, asMade}).Draw(t, "style"))
		if s == nil {
			return
		}
		count.formulas++
		bars := s.gather(t, draws)
		count.drawn += len(bars)
		b := s.bar
		for i, q := range questions(t, b, asked) {
			if i%12 == 11 { // what may be looked at is bounded for each bar
				b, _ = s.style.of(s.batter)
			}
			s.judge(t, f, b, q, bars, steps, &count)
		}
	})
	t.Logf("%+v of %d", count, all)
	if count.formulas*3 < all*2 {
		t.Errorf("%d of %d formulas made a bar", count.formulas, all)
	}
	if count.proved == 0 || count.refuted == 0 {
		t.Errorf("nothing was told: %+v", count)
	}
}

// narrowed gives the formula with one thing known better, so that a bar that was drawn is
// still allowed; false where there is nothing to narrow.
func narrowed(t *rapid.T, f loose, batter *bar.Batter, p bar.Point) (loose, bool) {
	i := rapid.IntRange(0, len(f.pot)-1).Draw(t, "which oil")
	g := f
	g.pot = slices.Clone(f.pot)
	s := &g.pot[i].statement
	// inward draws a range between the ends of another and a figure in it.
	inward := func(c claim, low, high, v float64) claim {
		if c.said {
			low, high = c.low, c.high
		}
		v = min(high, max(low, v))
		part := func() float64 { return rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "part") }
		return claim{low + part()*(v-low), high + part()*(v-high), true}
	}
	source := batter.Sources[i]
	switch what := rapid.IntRange(0, 4).Draw(t, "what"); {
	case what < 3 && len(s.names) > 0 && source.Shares.Of == nil:
		j := rapid.IntRange(0, len(s.names)-1).Draw(t, "which part")
		v := 100 * p.Shares[i][j]
		s.shares = slices.Clone(s.shares)
		switch {
		case !s.shares[j].open():
			return g, false
		case what == 0:
			s.shares[j] = exactly(v)
		default:
			s.shares[j] = inward(s.shares[j], 0, 100, v)
		}
		return g, true
	case what == 3 && s.sap.said && s.sap.open():
		v := 0.0
		for j, fat := range p.Fats[i] {
			v += p.Shares[i][j] * fat.SAP
		}
		s.sap = inward(s.sap, 0, 0, v)
		return g, true
	case what == 4 && f.lye.purity.open():
		g.lye.purity = inward(f.lye.purity, 0, 0, rapid.Float64Range(f.lye.purity.low, f.lye.purity.high).Draw(t, "purity"))
		return g, true
	case len(s.names) == 0 && s.rest.said && s.rest.open():
		s.rest = inward(s.rest, 0, 0, 100*p.Fats[i][0].Unsaponifiable)
		return g, true
	case len(s.names) == 0 && s.acid.said && s.acid.open():
		s.acid = inward(s.acid, 0, 0, p.Fats[i][0].AcidValue)
		return g, true
	}
	return g, false
}

// Whoever learns more of what is in a thing, and weighs the same lye, never sees a pair
// that was certain turn out otherwise.
func TestKnowingMoreContradictsNothing(t *testing.T) {
	pairs, turned := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		f := loose{}
		f.pot, f.lye = aPot(t)
		if rapid.Bool().Draw(t, "mixture") {
			f.add = []portion{{aMixture(t, "powder"), rapid.IntRange(5, 120).Draw(t, "g"), ""}}
		}
		first, _ := f.pour(t)
		if first == nil || first.Superfat() < 0 {
			return
		}
		weighed := 0.0
		for _, a := range first.Alkalis {
			weighed += a.Weigh
		}
		f.lye.weight = math.Round(weighed*1000) / 1000
		wide := sampled(t, f, cured)
		if wide == nil {
			return
		}
		bars := wide.gather(t, 3)
		if len(bars) == 0 {
			return
		}
		g, ok := narrowed(t, f, wide.batter, bars[0].Point)
		if !ok || g.contradicts() {
			return
		}
		batter, _ := g.pour(t)
		if batter == nil {
			return
		}
		narrow, err := batter.Cured(bar.Unweighed)
		if err != nil {
			return
		}
		if len(narrow.Lines) != len(wide.bar.Lines) {
			t.Fatalf("%d lines of %d", len(narrow.Lines), len(wide.bar.Lines))
		}
		for _, q := range questions(t, wide.bar, 24) {
			if q.Const != 0 {
				continue
			}
			before, after := wide.bar.Holds(q).Verdict, narrow.Holds(q).Verdict
			pairs++
			if before != after {
				turned++
			}
			if before == bar.Proved && after == bar.Refuted {
				t.Fatalf("what was proved is refuted:\n%+v, %v and %v\n%s\n====\n%s", q, wide.bar.Least(q).Low, narrow.Least(q).Low, f.documents(), g.documents())
			}
		}
	})
	t.Logf("%d questions, %d of them with another verdict", pairs, turned)
}

// An alkali of which the purity is a range is reckoned at the middle of it: all that was
// weighed is in the bar, whatever its purity is.
func TestMassClosesWithRangedPurity(t *testing.T) {
	for _, lye := range []string{
		"alkali: sodium hydroxide, purity: 97-99%",
		"alkali: potassium hydroxide, purity: 86-90%",
		"alkali: [{alkali: sodium hydroxide, share: 90%, purity: 97-99%}, {alkali: potassium hydroxide, share: 10%, purity: 86-90%}]",
	} {
		batter, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {"+lye+", superfat: 15%, water: {weight: 300 g}}\n")
		if batter == nil {
			t.Fatal(rules(findings))
		}
		b, err := batter.Fresh()
		if err != nil {
			t.Fatal(err)
		}
		if got, want := b.Total(b.Masses()), batter.Mass(); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s: the fresh bar weighs %.6f g, and %.6f g were weighed", lye, got, want)
		}
	}
}

// What has reacted is bounded rightly where a stated value holds a blend that may be acid
// alone or have none: a bar without any of the acid is allowed, at an extent of 0.97.
func TestExtentWhereABlendMayBeAcid(t *testing.T) {
	two := material(t, "two", "name: Two\nkind: oil blend\nsap: 193.875 mg KOH/g\norder: unknown\ncontains:\n  - {inci: Stearic Acid}\n  - {inci: Olea Europaea (Olive) Fruit Oil}\n")
	batter, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: two, weight: 100 g}]\nlye: {alkali: sodium hydroxide, purity: 98%, weight: 13.680 g, water: {weight: 80 g}}\n", two)
	if batter == nil {
		t.Fatal(rules(findings))
	}
	b, err := batter.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	// 13.680 g · 0.98 / 39.997 g/mol to 100 g · 0.193875 / 56.105 g/mol.
	if got := b.Extent(); got.High < 0.9699 {
		t.Errorf("the extent is %v, and 0.9700 is allowed", got)
	}
	for l, line := range b.Lines {
		if line.Names.US != "Sodium Stearate" {
			continue
		}
		q := bar.Question{Weights: make([]float64, len(b.Lines))}
		q.Weights[l] = 1
		if got := b.Least(q); got.Low > 1e-6 {
			t.Errorf("there are %v g of its soap at least, and there need be none", got.Low)
		}
	}
}

// The masses of a blend of which only the order is known, at the two corners of the order
// and at its middle, worked out by hand from the saponification values: 1000 g of olive
// and coconut oil, 190 and 257 mg KOH/g, with 128.676 g of sodium hydroxide.
func TestMassesOfABlendByHand(t *testing.T) {
	oil := func(id, inci string, sap int) formula.Material {
		return material(t, id, fmt.Sprintf("name: %s\nkind: oil\ninci: %s\nsap: %d mg KOH/g\nacid_value: 0 mg KOH/g\nunsaponifiable: 0%%\n", id, inci, sap))
	}
	batter, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: two, weight: 1000 g}]\n"+
		"lye: {alkali: sodium hydroxide, purity: 100%, weight: 128.676 g, water: {weight: 96 g}}\nadd: [{material: kaolin, weight: 45 g}]\n",
		oil("olive", "Olea Europaea (Olive) Fruit Oil", 190), oil("coconut", "Cocos Nucifera (Coconut) Oil", 257),
		material(t, "two", "name: Two\nkind: oil blend\norder: descending\ncontains: [{material: olive}, {material: coconut}]\n"))
	if batter == nil {
		t.Fatal(rules(findings))
	}
	b, err := batter.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	lines := []string{"Sodium Olivate", "Sodium Cocoate", "Olea Europaea (Olive) Fruit Oil", "Cocos Nucifera (Coconut) Oil", "Glycerin"}
	for _, tt := range []struct {
		olive float64
		want  []float64
	}{
		{1, []float64{979.92, 0, 50.00, 0, 98.76}},
		{0.75, []float64{675.40, 227.56, 95.22, 31.74, 98.76}},
		{0.5, []float64{416.52, 421.00, 96.20, 96.20, 98.76}},
	} {
		p, _ := b.Shown()
		p.Shares = slices.Clone(p.Shares)
		p.Shares[0] = []float64{tt.olive, 1 - tt.olive}
		masses, err := b.At(p)
		if err != nil {
			t.Fatal(err)
		}
		whole := 0.0
		for n, name := range lines {
			got := 0.0
			for l, line := range b.Lines {
				if line.Names.US == name {
					got += masses[l]
				}
			}
			whole += got
			if math.Abs(got-tt.want[n]) > 0.02 {
				t.Errorf("%v olive oil: %.3f g of %s, want %.2f", tt.olive, got, name, tt.want[n])
			}
		}
		if math.Abs(whole-1128.68) > 0.02 {
			t.Errorf("%v olive oil: %.3f g without water and clay, want 1128.68", tt.olive, whole)
		}
	}
}

// Where a mixture may hold more acid than all of the lye takes up, nothing is said to be
// certain that such a bar contradicts: it has no masses, or they are reckoned with.
func TestMoreAcidThanLye(t *testing.T) {
	powder := material(t, "powder", "name: Powder\nkind: additive\norder: unknown\ncontains:\n  - {inci: Citric Acid}\n  - {inci: Kaolin}\n")
	batter, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 100 g}]\nlye: {alkali: sodium hydroxide, purity: 100%, superfat: 25%, water: {weight: 80 g}}\nadd: [{material: powder, weight: 120 g}]\n", powder)
	if batter == nil {
		return // refused
	}
	b, err := batter.Made()
	if err != nil {
		t.Fatalf("%v\n%s", err, rules(findings))
	}
	p, _ := b.Shown()
	for i, s := range b.Sources {
		if len(s.Parts) == 2 && s.Mass == 120 {
			p.Shares = slices.Clone(p.Shares)
			p.Shares[i] = []float64{1, 0} // 1.87 mol of alkali, and there is less
		}
	}
	masses, err := b.At(p)
	if err != nil {
		return // no bar
	}
	for l, line := range b.Lines {
		if line.Names.US != "Citric Acid" {
			continue
		}
		q := bar.Question{Weights: make([]float64, len(b.Lines))}
		q.Weights[l] = -1
		if got := b.Least(q); got.Low > -masses[l]+1e-6 {
			t.Errorf("there are %.3f g of citric acid at most, and there is a bar with %.3f g", -got.Low, masses[l])
		}
	}
}

// A pot of two alkalis of which all is known has one bar and no range.
func TestAllThatIsOpenKnown(t *testing.T) {
	batter, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 300 g}, {material: coconut-oil, weight: 100 g}]\n"+
		"lye: {alkali: [{alkali: sodium hydroxide, share: 60%, purity: 97-99%}, {alkali: potassium hydroxide, share: 40%, purity: 85-92%}], superfat: 15%, water: {weight: 150 g}}\n")
	if batter == nil {
		t.Fatal(rules(findings))
	}
	b, err := batter.Cured(bar.Unweighed)
	if err != nil {
		t.Fatal(err)
	}
	open, known := 0, b.Knowing(b.Gaps()...)
	for l, line := range b.Lines {
		weights := make([]float64, len(b.Lines))
		weights[l] = 1
		if r := b.Ratio(weights, nil); r.High-r.Low > 1 {
			open++
		}
		if r := known.Ratio(weights, nil); r.High-r.Low > 1e-6 {
			t.Errorf("%s: %v to %v g, and all is known", line.Names.US, r.Low, r.High)
		}
	}
	if open < 4 {
		t.Errorf("only %d lines are open before that", open)
	}
}
