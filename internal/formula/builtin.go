package formula

import (
	"math"
	"strings"

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

// A Library finds materials: those of the shop, and those that are built in.
// The zero Library has the built-in ones only.
type Library struct {
	own map[string]Material
	ids []string
}

// NewLibrary makes a library of the shop's own materials. Of two with one id,
// the first counts.
func NewLibrary(own []Material) Library {
	l := Library{own: map[string]Material{}}
	for _, m := range own {
		if _, ok := l.own[m.ID]; ok {
			continue
		}
		l.own[m.ID] = m
		l.ids = append(l.ids, m.ID)
	}
	return l
}

// Find gives the material with a name, in which spaces and hyphens are equal;
// see [ID]. The shop's own comes first. What it does not say is added from the
// built-in substance of the same id: its name, its kind, and the INCI name unless
// the document says what is in the material. Figures are not: those of a fat go by
// what is in the material, not by its id.
func (l Library) Find(name string) (Material, bool) {
	builtin, isBuiltin := Builtin(name)
	m, isOwn := l.own[ID(name)]
	if !isOwn || !isBuiltin {
		if isOwn {
			return m, true
		}
		return builtin, isBuiltin
	}
	m.Name = either(m.Name, builtin.Name)
	if len(m.Contains) == 0 {
		m.INCI = either(m.INCI, builtin.INCI)
	}
	return m, true
}

// Nearest gives the id of the material, the shop's own or built in, that a name
// is most likely a slip for, or "" when none is near.
func (l Library) Nearest(name string) string {
	if near := source.Nearest(name, l.ids); near != "" {
		return near
	}
	return inci.Nearest(strings.ToLower(name))
}
