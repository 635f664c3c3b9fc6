package bar

// A Contents is what is in a batter when all has reacted and no water has left, in
// grams. Together it is all that was weighed, but for what evaporates.
type Contents struct {
	Soap           float64
	Glycerol       float64
	Water          float64
	LeftOver       float64 // oil that has not become soap
	Unsaponifiable float64 // the alcohols of waxes included
	Salts          float64 // of acids and the like that have taken up alkali
	Other          float64 // all that lye leaves alone
}

// Total gives the mass of it all.
func (c Contents) Total() float64 {
	return c.Soap + c.Glycerol + c.Water + c.LeftOver + c.Unsaponifiable + c.Salts + c.Other
}

// Volatile gives the mass in grams of what evaporates and is counted as staying, since
// nobody has said that it leaves: so much more than water may be lost in the cure.
func (b *Batter) Volatile() float64 {
	mass := 0.0
	for _, s := range b.Sources {
		for j, part := range s.Parts {
			if part.isVolatile() {
				mass += s.shareOf(j).High * s.Mass * (1 - part.Leaves)
			}
		}
	}
	return mass
}

// Contents tells what the batter becomes. The error is [ErrLyeHeavy] or [ErrNoLyeLeft].
func (b *Batter) Contents() (Contents, error) {
	const (
		soap = iota
		glycerol
		water
		leftOver
		unsaponifiable
		salts
		other
		kinds
	)
	lines := make([]Line, kinds)
	put := func(kind, i, j int, products ...Product) {
		for _, product := range products {
			lines[kind].Terms = append(lines[kind].Terms, Term{i, j, product})
		}
	}
	lines[water].Terms = b.waters()
	for i, s := range b.Sources {
		for j, part := range s.Parts {
			switch {
			case part.Fat != nil:
				put(soap, i, j, SodiumSoap, PotassiumSoap)
				put(glycerol, i, j, Glycerol)
				put(leftOver, i, j, Unreacted)
				put(unsaponifiable, i, j, Unsaponified)
			case part.Acid != nil:
				put(salts, i, j, SodiumSoap, PotassiumSoap)
			case part.Role == Alkali, part.Role == Water:
			case part.Role == Salt:
				put(soap, i, j, Kept)
			case part.Role == Glycerin:
				put(glycerol, i, j, Kept)
			case part.Role == LeftOver:
				put(leftOver, i, j, Kept)
			default:
				put(other, i, j, Kept)
			}
		}
	}
	bar, err := b.bar(lines, waterRule{})
	if err != nil {
		return Contents{}, err
	}
	masses := bar.Masses()
	return Contents{
		Soap: masses[soap], Glycerol: masses[glycerol], Water: masses[water], LeftOver: masses[leftOver],
		Unsaponifiable: masses[unsaponifiable], Salts: masses[salts], Other: masses[other],
	}, nil
}
