// Package measure holds masses, lengths, volumes and shares as whole numbers
// with the unit in the type, and reads and writes them.
//
// A figure that somebody typed is exact: it is rounded once, when it is read,
// and a [Quantity] keeps the digits as they were typed, for printing. Decisions
// compare whole numbers in 128 bits; see [Exceeds]. How a claim is rounded is
// law and is left to the packages that know the law.
package measure

import (
	"cmp"
	"math"
	"math/bits"
)

// A Mass is a whole number of nanograms. The largest is about 9,223 t; a
// difference of two masses may be negative.
type Mass int64

// Units of mass. The avoirdupois units are exact by definition (international
// yard and pound agreement of 1959; NIST Handbook 44, appendix C).
const (
	Nanogram  Mass = 1
	Milligram      = 1_000_000 * Nanogram
	Gram           = 1000 * Milligram
	Kilogram       = 1000 * Gram
	Ounce     Mass = 28_349_523_125
	Pound          = 16 * Ounce
)

// Grams gives the mass in grams, for computing.
func (m Mass) Grams() float64 { return float64(m) / float64(Gram) }

// MassDown turns computed grams into a Mass for a low bound: the largest Mass
// whose [Mass.Grams] are not more. With [MassUp] for a high bound, a range never
// loses what it holds, and grams that came from a Mass below 4 t give that Mass
// again. Grams beyond what a Mass can hold give the largest one on their side of
// nought; what is no number gives the bound that says nothing.
func MassDown(grams float64) Mass {
	if math.IsNaN(grams) {
		return -math.MaxInt64
	}
	m := Mass(nearest(grams * float64(Gram)))
	for m > -math.MaxInt64 && m.Grams() > grams {
		m--
	}
	return m
}

// MassUp is the counterpart of [MassDown] for a high bound.
func MassUp(grams float64) Mass { return -MassDown(-grams) }

// nearest gives the whole number nearest to v, within ±math.MaxInt64, and 0 for
// what is no number.
func nearest(v float64) int64 {
	v = math.Round(v)
	switch {
	case v >= math.MaxInt64:
		return math.MaxInt64
	case v <= -math.MaxInt64:
		return -math.MaxInt64
	case math.IsNaN(v):
		return 0
	}
	return int64(v)
}

// A Length is a whole number of nanometres.
type Length int64

// Units of length. The inch is exact by definition (NIST Handbook 44, appendix
// C); the point is that of digital typesetting, 1/72 inch, rounded to the
// nanometre.
const (
	Nanometre  Length = 1
	Micrometre        = 1000 * Nanometre
	Millimetre        = 1000 * Micrometre
	Inch              = 25_400 * Micrometre
	Point      Length = 352_778
)

// Millimetres gives the length in millimetres, for computing and for output.
func (l Length) Millimetres() float64 { return float64(l) / float64(Millimetre) }

// MM gives the Length nearest to so many millimetres, or the largest one on
// their side of nought if there are too many. What is no number gives 0.
func MM(mm float64) Length { return Length(nearest(mm * float64(Millimetre))) }

// A Volume is a whole number of nanolitres.
type Volume int64

// Units of volume. The fluid ounce is that of the US, 1/128 of a gallon of 231
// cubic inches: 29.5735295625 ml (NIST Handbook 44, appendix C), here rounded to
// the nanolitre. [ParseVolume] computes with the exact figure.
const (
	Nanolitre  Volume = 1
	Microlitre        = 1000 * Nanolitre
	Millilitre        = 1000 * Microlitre
	Litre             = 1000 * Millilitre
	FluidOunce Volume = 29_573_530
)

// Millilitres gives the volume in millilitres, for computing.
func (v Volume) Millilitres() float64 { return float64(v) / float64(Millilitre) }

// A Share is a part of a whole in parts of 10⁹: Whole is all of it.
type Share int64

// Shares that have a name.
const (
	Whole   Share = 1_000_000_000
	Percent       = Whole / 100
)

// Fraction gives the share as a number from 0 to 1, for computing.
func (s Share) Fraction() float64 { return float64(s) / float64(Whole) }

// Percent gives the share in per cent.
func (s Share) Percent() float64 { return float64(s) / float64(Percent) }

// A ShareRange is a share of which only its bounds may be known. A share that
// is known exactly has equal bounds.
type ShareRange struct{ Low, High Share }

// IsPoint reports whether the share is known exactly.
func (r ShareRange) IsPoint() bool { return r.Low == r.High }

// A Range is a computed figure of which only its bounds may be known.
type Range struct{ Low, High float64 }

// Exactly gives the range that holds one value.
func Exactly(v float64) Range { return Range{v, v} }

// IsPoint reports whether the range holds one value only.
func (r Range) IsPoint() bool { return r.Low == r.High }

// Middle gives the value halfway between the bounds.
func (r Range) Middle() float64 { return r.Low + (r.High-r.Low)/2 }

// Times gives the range of a figure that is so many times as much; the factor is not
// negative.
func (r Range) Times(factor float64) Range { return Range{factor * r.Low, factor * r.High} }

// Exceeds reports whether part is more than the share limit of whole. It
// multiplies out and compares whole numbers, part × 10⁹ with limit × whole, so
// it is exact for every input. A part that is just at the limit does not exceed
// it. Where whole is 0, each part above 0 exceeds every limit. Negative figures
// are multiplied out with their signs.
func Exceeds(part, whole Mass, limit Share) bool {
	return compareProducts(int64(part), int64(Whole), int64(whole), int64(limit)) > 0
}

// Reaches reports whether part is at least the share limit of whole; see
// [Exceeds].
func Reaches(part, whole Mass, limit Share) bool {
	return compareProducts(int64(part), int64(Whole), int64(whole), int64(limit)) >= 0
}

// compareProducts compares a × b with c × d.
func compareProducts(a, b, c, d int64) int {
	high, low := product(a, b)
	otherHigh, otherLow := product(c, d)
	return cmp.Or(cmp.Compare(high, otherHigh), cmp.Compare(low, otherLow))
}

// product gives a × b as a signed number of 128 bits. Read as unsigned, a
// negative factor is 2⁶⁴ too large; its excess is taken from the high half.
func product(a, b int64) (high int64, low uint64) {
	h, low := bits.Mul64(uint64(a), uint64(b))
	if a < 0 {
		h -= uint64(b)
	}
	if b < 0 {
		h -= uint64(a)
	}
	return int64(h), low
}
