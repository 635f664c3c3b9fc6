package bar

// A SoapShare is how much of a bar is soap, in grams of the whole batch: the salts of
// fatty acids, among all that is not volatile. Water never counts; whether scent does
// is open, since most of it goes in time and some of it stays.
type SoapShare struct {
	Soap        float64
	NonVolatile float64 // all but water and what evaporates, scent included
	Scent       float64
}

// Low gives the share with all of the scent counted as not volatile, 0 to 1.
func (s SoapShare) Low() float64 { return s.Soap / s.NonVolatile }

// High gives the share with none of the scent counted.
func (s SoapShare) High() float64 { return s.Soap / (s.NonVolatile - s.Scent) }

// SoapShare tells how much of the bar is soap, where one figure is shown. The water
// left makes no difference to it.
func (b *Bar) SoapShare() SoapShare {
	masses := b.Masses()
	var s SoapShare
	for i, line := range b.Lines {
		if !line.Counted() || line.isWater() {
			continue
		}
		s.NonVolatile += masses[i]
		switch line.Role {
		case Salt:
			s.Soap += masses[i]
		case Perfume, EssentialOil:
			s.Scent += masses[i]
		}
		if line.Role == Substance && b.volatile(line) {
			s.NonVolatile -= masses[i]
		}
	}
	return s
}

// isWater reports whether a line is water left.
func (l Line) isWater() bool {
	return len(l.Terms) == 1 && (l.Terms[0].Product == Moisture || l.Terms[0].Product == BoughtMoisture)
}

// volatile reports whether a line is of something that evaporates.
func (b *Bar) volatile(l Line) bool {
	t := l.Terms[0]
	return t.Product == Kept && isVolatile([]Part{b.Sources[t.Source].Parts[t.Part]})
}
