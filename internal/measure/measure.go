// Package measure holds masses, lengths, volumes and shares as whole numbers
// with the unit in the type, and reads and writes them.
//
// A figure that somebody typed is exact: it is rounded once, when it is read,
// and a [Quantity] keeps the digits as they were typed, for printing. Decisions
// compare whole numbers in 128 bits; see [Exceeds].
package measure

import (
	"math"
	"math/bits"
)

// A Mass is a whole number of nanograms. The largest is about 9,223 t.
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

// MassDown and MassUp turn computed grams into a Mass: a low bound is rounded
// down and a high bound up, so that a range never loses what it holds. Grams
// beyond the largest Mass, and values that are no number, give the largest.
func MassDown(grams float64) Mass { return toMass(math.Floor(grams * float64(Gram))) }

// MassUp is the counterpart of [MassDown] for a high bound.
func MassUp(grams float64) Mass { return toMass(math.Ceil(grams * float64(Gram))) }

func toMass(nanograms float64) Mass {
	if !(nanograms < math.MaxInt64) {
		return math.MaxInt64
	}
	return Mass(nanograms)
}

// A Length is a whole number of nanometres.
type Length int64

// Units of length. The inch is exact by definition; the point is that of
// digital typesetting, 1/72 inch, rounded to the nanometre.
const (
	Nanometre  Length = 1
	Micrometre        = 1000 * Nanometre
	Millimetre        = 1000 * Micrometre
	Inch              = 25_400 * Micrometre
	Point      Length = 352_778
)

// Millimetres gives the length in millimetres, for computing and for output.
func (l Length) Millimetres() float64 { return float64(l) / float64(Millimetre) }

// MM gives the Length nearest to so many millimetres.
func MM(mm float64) Length { return Length(math.Round(mm * float64(Millimetre))) }

// A Volume is a whole number of nanolitres.
type Volume int64

// Units of volume. The fluid ounce is that of the US, 231/128 cubic inches.
const (
	Nanolitre  Volume = 1
	Microlitre        = 1000 * Nanolitre
	Millilitre        = 1000 * Microlitre
	Litre             = 1000 * Millilitre
	FluidOunce Volume = 29_573_530 // 29.5735295625 ml, rounded to the nanolitre
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

// Exceeds reports whether part is more than the share limit of whole, in whole
// numbers: part/whole > limit. A part that is just at the limit does not exceed
// it. All three must not be negative.
func Exceeds(part, whole Mass, limit Share) bool {
	return compareShare(part, whole, limit) > 0
}

// Reaches reports whether part is at least the share limit of whole.
func Reaches(part, whole Mass, limit Share) bool {
	return compareShare(part, whole, limit) >= 0
}

// compareShare compares part/whole with limit by multiplying out in 128 bits.
func compareShare(part, whole Mass, limit Share) int {
	partHigh, partLow := bits.Mul64(uint64(part), uint64(Whole))
	limitHigh, limitLow := bits.Mul64(uint64(whole), uint64(limit))
	switch {
	case partHigh != limitHigh:
		if partHigh > limitHigh {
			return 1
		}
		return -1
	case partLow != limitLow:
		if partLow > limitLow {
			return 1
		}
		return -1
	}
	return 0
}
