package bar

import "saponym/internal/measure"

// A SoapShare is how much of a bar is soap, in grams of the whole batch: the salts of
// fatty acids, among all that is not volatile. Water never counts; whether scent does
// is open, since most of it goes in time and some of it stays.
type SoapShare struct {
	Soap        float64
	NonVolatile float64 // all but water and what evaporates, scent included
	Scent       float64
	span        measure.Range
}

// Low gives the least share that is soap, 0 to 1: with all of the scent counted as not
// volatile, and whatever else is open.
func (s SoapShare) Low() float64 { return s.span.Low }

// High gives the most, with none of the scent counted.
func (s SoapShare) High() float64 { return s.span.High }

// SoapShare tells how much of the bar is soap. The grams are those of the bar where one
// figure is shown.
func (b *Bar) SoapShare() SoapShare {
	var s SoapShare
	soap, rest, scentless := make([]float64, len(b.Lines)), make([]float64, len(b.Lines)), make([]float64, len(b.Lines))
	for i, line := range b.Lines {
		if !line.Counted() || line.isWater() || line.Role == Substance && b.volatile(line) {
			continue
		}
		rest[i], scentless[i] = 1, 1
		switch line.Role {
		case Salt:
			soap[i] = 1
		case Perfume, EssentialOil:
			scentless[i] = 0
			s.Scent += b.shown.masses[i]
		}
	}
	s.Soap, s.NonVolatile = dot(soap, b.shown.masses), dot(rest, b.shown.masses)
	s.span = measure.Range{Low: b.Ratio(soap, rest).Low, High: b.Ratio(soap, scentless).High}
	return s
}

// isWater reports whether a line is water left.
func (l Line) isWater() bool {
	return len(l.Terms) == 1 && (l.Terms[0].Product == Moisture || l.Terms[0].Product == BoughtMoisture)
}

// volatile reports whether a line is of something that evaporates.
func (b *Bar) volatile(l Line) bool {
	t := l.Terms[0]
	return t.Product == Kept && b.Sources[t.Source].Parts[t.Part].isVolatile()
}
