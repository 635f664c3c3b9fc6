package cure

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"saponym/internal/measure"
)

// What a scale, and the air, do to a weight.
const (
	// balance is the standard deviation of one weighing, in grams, apart from the step of
	// the scale: draught, placing, zero. A judgement.
	balance = 0.12
	// damp is by how much damp air can make a bar heavier: eight parts of glycerol in a
	// hundred take up about 3 % of the bar between 50 and 75 % of humidity (Raoult's law,
	// glycerol as an ideal solution; derived).
	damp = 0.03
	// sure is within how many standard deviations what the scale says is believed, before
	// it is called a slip.
	sure = 3
)

// noise gives the standard deviation of one weighing in grams. A reading that is rounded
// to a step is off by anything up to half of it, which spreads by step/√12.
func (d Drying) noise() float64 {
	return math.Hypot(balance, d.Step.Grams()/math.Sqrt(12))
}

// marks gives the marks of bars in alphabetical order.
func marks[V any](bars map[string]V) []string { return slices.Sorted(maps.Keys(bars)) }

// A sitting is one weighing, with those of the same day averaged into it.
type sitting struct {
	day     float64
	grams   map[string]float64
	trimmed bool
}

// sittings sorts the weighings by day, and averages.
func sittings(all []Weighing) []sitting {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b Weighing) int { return cmp.Compare(a.Day, b.Day) })
	var sorted []sitting
	for len(all) > 0 {
		same := 1
		for same < len(all) && all[same].Day == all[0].Day && !all[same].Trimmed {
			same++
		}
		s := sitting{all[0].Day, map[string]float64{}, all[0].Trimmed}
		times := map[string]float64{}
		for _, w := range all[:same] {
			for mark, g := range w.Bars {
				times[mark]++
				s.grams[mark] += (g.Grams() - s.grams[mark]) / times[mark]
			}
		}
		sorted = append(sorted, s)
		all = all[same:]
	}
	return sorted
}

// A run is a number of sittings between which nothing was cut off and which are tied to
// each other by bars that were weighed again. Where something was cut off, a new run
// begins: the drying goes on along the same curve, and how much the bars of the new run
// weighed when they were fresh is one more unknown. So the weighings on either side of a
// cut are never compared with each other.
type run struct {
	sittings []sitting
	mean     []float64          // g, at each sitting, of the mean bar of the run
	ratio    map[string]float64 // of each bar to the mean bar
	dry      float64            // the least share of its first weight here that is dry in a bar
}

func (r run) first() float64 { return r.mean[0] }
func (r run) last() float64  { return r.mean[len(r.mean)-1] }

// floor gives the least dry mass in grams that the mean bar of the run can have.
func (r run) floor() float64 { return r.dry * r.first() }

// runs cuts the sittings into runs, and reports weights that cannot be. Water is the most
// that the fresh bar can have held.
func runs(all []sitting, water, noise float64) ([]run, error) {
	var cut [][]sitting
	for i, s := range all {
		if i == 0 || s.trimmed || !tied(cut[len(cut)-1], s) {
			cut = append(cut, nil)
		}
		cut[len(cut)-1] = append(cut[len(cut)-1], s)
	}
	dry := 1 - water
	var whole []run
	var slips []error
	for _, sittings := range cut {
		r := run{sittings: sittings, dry: dry}
		slips = append(slips, r.slips(noise)...)
		r.mean, r.ratio = meanBar(sittings)
		// Whatever weight was lost here, the share that is dry has grown by it.
		dry = min(1, dry*r.first()/r.last())
		whole = append(whole, r)
	}
	return whole, errors.Join(slips...)
}

// tied reports whether one of the bars was weighed before in a run.
func tied(run []sitting, s sitting) bool {
	return slices.ContainsFunc(run, func(before sitting) bool {
		for mark := range s.grams {
			if _, ok := before.grams[mark]; ok {
				return true
			}
		}
		return false
	})
}

// slips reports the weights that are above the first of the bar by more than damp air
// explains, or below its dry mass.
func (r run) slips(noise float64) []error {
	first := map[string]float64{}
	var slips []error
	for _, s := range r.sittings {
		for _, mark := range marks(s.grams) {
			g := s.grams[mark]
			was, ok := first[mark]
			switch {
			case !ok:
				first[mark] = g
			case g > was*(1+damp)+sure*math.Sqrt2*noise:
				slips = append(slips, &Slip{mark, s.day, g, fmt.Sprintf("more than the %.4g g of its first weighing, and by more than damp air explains", was)})
			case g < was*r.dry-sure*math.Sqrt2*noise:
				slips = append(slips, &Slip{mark, s.day, g, fmt.Sprintf("less than the %.4g g that are left of it without any water", was*r.dry)})
			}
		}
	}
	return slips
}

// gains gives the bars that weighed more than the time before.
func (r run) gains(noise float64) []Gain {
	before := map[string]float64{}
	var all []Gain
	for _, s := range r.sittings {
		for _, mark := range marks(s.grams) {
			g := s.grams[mark]
			if was, ok := before[mark]; ok && g-was > 2*math.Sqrt2*noise {
				all = append(all, Gain{mark, s.day, g - was})
			}
			before[mark] = g
		}
	}
	return all
}

// meanBar gives the weight of the mean bar at each sitting, and the ratio of each bar to
// it. If all bars were weighed each time, these are plain means. Where one is missing,
// its ratio from the other days fills its place, so that the mean does not jump when a
// small bar stays away: weights are taken as ratio × mean, and the sums over bars and
// over days that were weighed are made to agree, in turn.
func meanBar(sittings []sitting) (mean []float64, ratio map[string]float64) {
	ratio = map[string]float64{}
	for _, s := range sittings {
		for mark := range s.grams {
			ratio[mark] = 1
		}
	}
	all := marks(ratio)
	mean = make([]float64, len(sittings))
	for range 200 {
		for i, s := range sittings {
			grams, bars := 0.0, 0.0
			for _, mark := range all {
				if g, ok := s.grams[mark]; ok {
					grams, bars = grams+g, bars+ratio[mark]
				}
			}
			mean[i] = grams / bars
		}
		moved, sum := 0.0, 0.0
		for _, mark := range all {
			grams, means := 0.0, 0.0
			for i, s := range sittings {
				if g, ok := s.grams[mark]; ok {
					grams, means = grams+g, means+mean[i]
				}
			}
			moved = max(moved, math.Abs(grams/means-ratio[mark]))
			ratio[mark] = grams / means
			sum += ratio[mark]
		}
		scale := sum / float64(len(all))
		for _, mark := range all {
			ratio[mark] /= scale
		}
		for i := range mean {
			mean[i] *= scale
		}
		if moved < 1e-12 {
			break
		}
	}
	return mean, ratio
}

// bounds gives the least and the most that the mean bar can weigh at rest, in grams, by
// nothing but its water.
func bounds(whole []run, water measure.Range) measure.Range {
	now := whole[len(whole)-1]
	low, high := now.floor()/(1-driest), now.last()
	if len(whole) == 1 {
		high = min(high, now.first()*(1-water.Low)/(1-wettest))
	}
	return measure.Range{Low: min(low, high), High: high}
}
