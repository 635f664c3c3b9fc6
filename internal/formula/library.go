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
	records Records
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

// Records finds the batches of a shop.
type Records struct {
	// Batch gives the batch with a code. A code is taken as it stands: letters, capitals
	// and hyphens count.
	Batch func(code string) (Batch, bool)
	// Recipe gives the formula that a batch was made by, whole, as it was when the batch
	// was made, with the library of that day.
	Recipe func(b Batch) (Formula, Library, bool)
	// Codes gives the codes of all batches.
	Codes func() []string
}

// WithRecords gives the library with these batches in place of its own.
func (l Library) WithRecords(r Records) Library {
	l.records = r
	return l
}

// WithBatches gives the library with these batches in place of its own. Of two with
// one code, the first counts. Formulas gives the formula with an id, whole, and false
// where the shop has none; it is asked when a batch is, and not before.
func (l Library) WithBatches(batches []Batch, formulas func(id string) (Formula, bool)) Library {
	all := map[string]Batch{}
	for _, b := range batches {
		if _, ok := all[b.Code.V]; !ok && b.Code.Given() {
			all[b.Code.V] = b
		}
	}
	r := Records{
		Batch: func(code string) (Batch, bool) { b, ok := all[code]; return b, ok },
		Codes: func() []string { return slices.Sorted(maps.Keys(all)) },
	}
	r.Recipe = func(b Batch) (Formula, Library, bool) {
		f, ok := formulas(ID(b.Formula.V))
		return f, l.WithRecords(r), ok
	}
	return l.WithRecords(r)
}

// Batch gives the batch with a code. It is false as well where the formula that it was
// made by is not known: such a batch says nothing of what is in it.
func (l Library) Batch(code string) (Batch, bool) {
	b, ok := l.record(code)
	if !ok || !b.Formula.Given() {
		return Batch{}, false
	}
	if _, _, ok = l.records.Recipe(b); !ok {
		return Batch{}, false
	}
	return b, true
}

// record gives the batch with a code, whatever is known of it.
func (l Library) record(code string) (Batch, bool) {
	if l.records.Batch == nil || code == "" {
		return Batch{}, false
	}
	return l.records.Batch(code)
}

// NearestBatch gives the code of the batch that a code is most likely a slip for, or
// "" when none is near. It is never the code itself.
func (l Library) NearestBatch(code string) string {
	if l.records.Codes == nil {
		return ""
	}
	codes := slices.Clone(l.records.Codes())
	return source.Nearest(code, slices.DeleteFunc(codes, func(c string) bool { return c == code }))
}
