package cure

import "math"

// A curve of drying says which share of the loss is still to come after so many days: 1
// on the first day, and 0 at rest.
type curve interface {
	left(days float64) float64
}

// A page is Page's curve of thin layers, 2^−(t/half)^shape: with the shape 1 an
// exponential, below it one that begins faster and ends slower.
type page struct{ half, shape float64 }

func (p page) left(days float64) float64 {
	return math.Exp2(-math.Pow(days/p.half, p.shape))
}

// A brick loses water by diffusion through all six faces: the product of three slabs
// (Newman; from memory).
type brick struct {
	edges [3]float64 // m
	d     float64    // m² a day
}

func (b brick) left(days float64) float64 {
	all := 1.0
	for _, edge := range b.edges {
		all *= slab(b.d * days / (edge * edge))
	}
	return all
}

// slab gives what is left in a slab that loses by diffusion through both faces, which the
// air keeps dry, at the time Dt/L² (Crank, The Mathematics of Diffusion, 1956):
//
//	8/π² · Σ (2j+1)⁻² · exp(−(2j+1)²π²·Dt/L²)
//
// It begins as 1 − 4·√(Dt/πL²), which is exact to 10⁻⁹ up to a time of 0.01, where the
// series needs ten terms.
func slab(time float64) float64 {
	if time < 0.01 {
		return 1 - 4*math.Sqrt(time/math.Pi)
	}
	sum := 0.0
	for odd := 1.0; ; odd += 2 {
		term := math.Exp(-odd*odd*math.Pi*math.Pi*time) / (odd * odd)
		sum += term
		if term < 1e-12 {
			return 8 / (math.Pi * math.Pi) * sum
		}
	}
}
