package formula

import (
	"maps"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/source"
)

// A Library finds what a formula can refer to: materials, those of the shop and
// those that are built in, and the moulds and batches of the shop. The zero Library
// has the built-in materials only.
type Library struct {
	own map[string]Material
	ids []string // of the shop's own materials

	moulds  map[string]Mould
	batches map[string]Batch // by code
	formula func(id string) (Formula, bool)
}

// NewLibrary makes a library of the shop's own materials, without moulds and
// batches. Of two with one id, the first counts.
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

// WithMoulds gives the library with these moulds, by id, in place of its own.
func (l Library) WithMoulds(moulds map[string]Mould) Library {
	l.moulds = moulds
	return l
}

// Mould gives the mould with a name, in which spaces and hyphens are equal; see [ID].
func (l Library) Mould(name string) (Mould, bool) {
	m, ok := l.moulds[ID(name)]
	return m, ok
}

// NearestMould gives the id of the mould that a name is most likely a slip for, or ""
// when none is near.
func (l Library) NearestMould(name string) string {
	return source.Nearest(ID(name), slices.Sorted(maps.Keys(l.moulds)))
}

// WithBatches gives the library with these batches in place of its own. Of two with
// one code, the first counts. Formulas gives the formula with an id, whole, and false
// where the shop has none; it is asked when a batch is, and not before.
func (l Library) WithBatches(batches []Batch, formulas func(id string) (Formula, bool)) Library {
	l.batches, l.formula = map[string]Batch{}, formulas
	for _, b := range batches {
		if _, ok := l.batches[b.Code.V]; !ok && b.Code.Given() {
			l.batches[b.Code.V] = b
		}
	}
	return l
}

// Batch gives the batch with a code, and the formula that it was made by. Both are
// there, or it is false: a batch of which the formula is not known says nothing of
// what is in it. A code is taken as it stands: letters, capitals and hyphens count.
func (l Library) Batch(code string) (Batch, Formula, bool) {
	b, ok := l.batches[code]
	if !ok || !b.Formula.Given() {
		return Batch{}, Formula{}, false
	}
	f, ok := l.formula(ID(b.Formula.V))
	if !ok {
		return Batch{}, Formula{}, false
	}
	return b, f, true
}

// NearestBatch gives the code of the batch that a code is most likely a slip for, or
// "" when none is near. It is never the code itself.
func (l Library) NearestBatch(code string) string {
	codes := slices.Sorted(maps.Keys(l.batches))
	return source.Nearest(code, slices.DeleteFunc(codes, func(c string) bool { return c == code }))
}
