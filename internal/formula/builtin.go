package formula

import (
	"math"

	"saponym/inci"
	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// Builtin gives the material that a substance of package inci makes, found by
// its id. Its saponification value is the representative one, without a spread:
// the published range is kept in package inci, for whoever warns of it. Its
// values stand in no file; their place names the substance.
func Builtin(name string) (Material, bool) {
	s, ok := inci.ByID(ID(name))
	if !ok {
		return Material{}, false
	}
	at := finding.Pos{File: "built-in " + s.ID, Line: 1, Col: 1}
	m := Material{ID: s.ID, Kind: kindOf(s.Group), Order: Unknown, Name: Text{V: s.Name, At: at}}
	for _, name := range []inci.Name{s.US, s.EU} {
		if name.Given() && !m.INCI.Given() {
			m.INCI = Text{V: name.Text, At: at}
		}
	}
	fat, ok := inci.FatByID(s.ID)
	if !ok {
		return m, true
	}
	m.SAP = &SAP{Stated: "mg KOH/g"}
	m.SAP.V, m.SAP.At = measure.Exactly(fat.SAP.Representative), at
	if u := fat.Unsaponifiable; u.Given() {
		m.Unsaponifiable = source.Value[measure.ShareRange]{V: measure.ShareRange{Low: percentShare(u.Low), High: percentShare(u.High)}, At: at}
	}
	return m, true
}

// percentShare gives so many per cent as a share.
func percentShare(percent float64) measure.Share {
	return measure.Share(math.Round(percent * float64(measure.Percent)))
}

// kindOf gives the kind of material that a group of substances is.
func kindOf(g inci.Group) Kind {
	switch g {
	case inci.GroupFat:
		return KindOil
	case inci.GroupLiquid:
		return KindLiquid
	case inci.GroupAlkali:
		return KindAlkali
	case inci.GroupColourant:
		return KindColourant
	case inci.GroupFragrance:
		return KindFragrance
	case inci.GroupEssentialOil:
		return KindEssentialOil
	}
	return KindAdditive
}
