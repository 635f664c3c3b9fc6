package measure

import "math"

// An Area is a whole number of square nanometres; the largest is about 9 m².
type Area int64

// Units of area. The square inch is exact: 645.16 mm².
const (
	SquareMillimetre Area = 1_000_000_000_000
	SquareInch            = Area(Inch) * Area(Inch)
)

// Times gives the area of a rectangle with the sides l and m, neither of them
// negative. An area beyond the largest is the largest: no panel of a package
// comes near it, and a label on one that does is not judged as a small one.
func (l Length) Times(m Length) Area {
	high, low := product(int64(l), int64(m))
	if high != 0 || low > math.MaxInt64 {
		return math.MaxInt64
	}
	return Area(low)
}

// SquareMillimetres gives the area in mm², for output.
func (a Area) SquareMillimetres() float64 { return float64(a) / float64(SquareMillimetre) }
