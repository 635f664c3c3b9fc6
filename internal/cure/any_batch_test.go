package cure_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/formula"
	"saponym/internal/market"
)

// In simulation, the largest claim for the last day of sale is true of the average of all
// bars on that day for 95 % of batches and more, over all three ways to dry, whether some
// of the bars were weighed or all. No law is asked, for what single bars may lack can only
// make a claim smaller. Batches of 6 to 40 bars of about 120 g are cut with a spread of
// 0.5 to 4 %, and come to rest with 5 to 15 % of water; their water is that of the recipe,
// as far as the reading of records takes it to be.
func TestClaimsAreTrueOfAnyBatch(t *testing.T) {
	const batches = 50
	for _, all := range []bool{false, true} {
		t.Run(fmt.Sprintf("all weighed %t", all), func(t *testing.T) {
			t.Parallel()
			held := 0
			for _, truth := range truths {
				r := rand.New(rand.NewPCG(7, 11))
				good, part := 0, 0.0
				for range batches {
					average, claim := simulated(t, r, truth, all)
					if claim <= average {
						good++
					}
					part += claim / average / batches
				}
				t.Logf("%s: %.3f are true, of %.3f of the average", truth.name, float64(good)/batches, part)
				// A claim of hardly anything would be true too.
				if 100*good < 92*batches || part < 0.94 {
					t.Errorf("%s: %d of %d are true, and claim %.3f of the average", truth.name, good, batches, part)
				}
				held += good
			}
			if n := batches * len(truths); 100*held < 95*n {
				t.Errorf("%d of %d are true", held, n)
			}
		})
	}
}

// simulated draws a batch and weighs bars of it, and gives what its bars weigh on average
// on the last day of sale and what is claimed of them, in grams.
func simulated(t *testing.T, r *rand.Rand, truth truth, all bool) (average, claimed float64) {
	t.Helper()
	left, rest, fresh := truth.draw(r), between(r, 0.05, 0.15), between(r, 0.225-0.01, 0.225+0.006)
	kept := func(on float64) float64 {
		end := (1 - fresh) / (1 - rest)
		return end + (1-end)*left(on-1)
	}
	spread := between(r, 0.005, 0.04)
	bars := make([]float64, 6+r.IntN(35))
	for i := range bars {
		bars[i] = 120 * (1 + spread*r.NormFloat64())
		average += bars[i] / float64(len(bars))
	}
	marked := len(bars)
	if !all {
		marked = 1 + r.IntN(6)
	}
	step := []float64{0.1, 1}[r.IntN(2)]
	made, _ := day.Parse("2026-01-01")
	lines := []string{"weighings:"}
	for _, on := range [][]int{{1, 8, 15}, {1, 8, 15, 29}, {1, 4, 8, 15, 29}}[r.IntN(3)] {
		var weights []string
		for i, g := range bars[:marked] {
			reading := math.Round((g*kept(float64(on))+0.1*r.NormFloat64())/step) * step
			weights = append(weights, fmt.Sprintf("B%d: %.1f g", i, reading))
		}
		lines = append(lines, fmt.Sprintf("  - {date: %s, bars: {%s}}", made.AddDays(on), strings.Join(weights, ", ")))
	}
	cut := barCut
	cut.Length, cut.Width, cut.Height = formula.Length{V: size[0]}, formula.Length{V: size[1]}, formula.Length{V: size[2]}
	d := cure.Read(recorded(t, lines...).Batch, []formula.Cut{cut}, cut, cure.Basis{Water: water, Bars: len(bars), Left: len(bars)})
	last := between(r, 60, 365)
	claim, ok := d.Course.Largest(market.USDual, market.Writing{}, last)
	if !ok {
		t.Fatalf("no claim: %v", d.Findings)
	}
	return average * kept(last), claim.Least().Grams()
}
