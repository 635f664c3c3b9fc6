package cure

import "math"

// A point is one value that a figure may have, and how much that weighs.
type point struct{ at, weight float64 }

// points are all values that a figure may have. They weigh 1 together.
type points []point

func (ps points) mean() float64 {
	mean := 0.0
	for _, p := range ps {
		mean += p.weight * p.at
	}
	return mean
}

// binned gathers points on places that are one width apart, each on the two next to it, so
// that the mean stays. In order of size.
func (ps points) binned(width float64) points {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range ps {
		low, high = min(low, p.at), max(high, p.at)
	}
	bins := make([]float64, int((high-low)/width)+2)
	for _, p := range ps {
		place, part := math.Modf((p.at - low) / width)
		bins[int(place)] += p.weight * (1 - part)
		bins[int(place)+1] += p.weight * part
	}
	var all points
	for i, weight := range bins {
		if weight > 0 {
			all = append(all, point{low + float64(i)*width, weight})
		}
	}
	return all
}

// predict says what comes of points of which each is spread by a standard deviation. They
// are gathered first: an eighth of that widens it by less than a fifth of a per cent.
func (ps points) predict(sd float64) Prediction {
	p := Prediction{Mean: ps.mean()}
	variance := sd * sd
	for _, v := range ps {
		variance += v.weight * (v.at - p.Mean) * (v.at - p.Mean)
	}
	p.SD = math.Sqrt(variance)
	ps = ps.binned(sd / 8)
	p.Low, p.High = ps.quantile(0.025, sd), ps.quantile(0.975, sd)
	p.OneSided = ps.quantile(oneSided, sd)
	return p
}

// oneSided is the share that lies below a bound that is sure by 95 %.
const oneSided = 0.05

// bound gives the one-sided bound of predict alone.
func (ps points) bound(sd float64) float64 { return ps.binned(sd/8).quantile(oneSided, sd) }

// quantile gives the value below which so much lies. The points are in order and each is
// spread by a standard deviation.
func (ps points) quantile(below, sd float64) float64 {
	low, high := ps[0].at-9*sd, ps[len(ps)-1].at+9*sd
	for high-low > 1e-7*sd {
		middle := low + (high-low)/2
		sum := 0.0
		for _, p := range ps {
			sum += p.weight * math.Erfc((p.at-middle)/(sd*math.Sqrt2)) / 2
		}
		if sum < below {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}
