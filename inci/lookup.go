package inci

import (
	"iter"
	"slices"
	"strings"
	"unicode"
)

// All gives all substances: the fats first, then the others, in the order of
// the tables.
func All() iter.Seq[Substance] { return slices.Values(substances().all) }

// Fats gives the substances that have figures of fats, in the order of the
// table.
func Fats() iter.Seq[Fat] { return slices.Values(substances().fats) }

// ByID finds a substance by its id. Spaces and hyphens are equal in ids:
// "sodium hydroxide" is "sodium-hydroxide".
func ByID(id string) (Substance, bool) {
	t := substances()
	return t.one(t.ids, id)
}

// ByName finds a substance by a common English name: "maize oil". No two
// substances share one.
func ByName(name string) (Substance, bool) {
	t := substances()
	return t.one(t.names, name)
}

// FatByID finds the figures of a fat by its id. It finds nothing for substances
// that are no fats.
func FatByID(id string) (Fat, bool) {
	t := substances()
	at, ok := t.ids[fold(id)]
	if !ok || at >= len(t.fats) {
		return Fat{}, false
	}
	return t.fats[at], true
}

// ByINCI finds the substances that have the INCI name, in the US manner or the
// EU manner or in French. They are several where a name does not tell them
// apart, as palm oil and palm olein; the ordinary one comes first. Names of soaps
// are not among them: see [FatsBySalt].
//
// Labels and suppliers often print two names of one substance together: "Aqua
// (Water)", "Aqua/Water/Eau". They are found if each of the names is.
func ByINCI(name string) []Substance {
	t := substances()
	at := t.inci[fold(name)]
	if at == nil {
		at = t.byNamesTogether(name)
	}
	return t.several(at)
}

// byNamesTogether finds the substances that have all the names of a text such
// as "Aqua (Water)".
func (t *table) byNamesTogether(text string) []int {
	names := strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == '(' || r == ')' })
	if len(names) < 2 {
		return nil
	}
	var common []int
	for i, name := range names {
		at := t.inci[fold(name)]
		if i == 0 {
			common = slices.Clone(at)
			continue
		}
		common = slices.DeleteFunc(common, func(one int) bool { return !slices.Contains(at, one) })
	}
	return common
}

// ByCAS finds the substances that have the CAS number. They are several where
// the register does not tell them apart.
func ByCAS(number string) []Substance {
	t := substances()
	return t.several(t.cas[strings.TrimSpace(number)])
}

// FatsBySalt finds the fats whose soap has the name, with the metal: "Sodium
// Olivate". They are several where fats share a name, as palm oil and palm
// olein; the ordinary one comes first. For the soaps of single acids see
// [AcidsBySalt].
func FatsBySalt(name string) ([]Fat, Metal) {
	t := substances()
	hit := t.salts[fold(name)]
	var found []Fat
	for _, at := range hit.at {
		found = append(found, t.fats[at])
	}
	return found, hit.metal
}

// TrivialNames gives the lines of the Canadian schedule in its order. Of its 58
// lines 45 are held: extracts of marine animals and of skin are left out.
// Parfum and Aroma are not in it, nor are Cera Flava, Aqua Maris and Sal.
func TrivialNames() iter.Seq[TrivialName] { return slices.Values(trivialNames().all) }

// TrivialByName finds a line of the Canadian schedule by any of its three names.
func TrivialByName(name string) (TrivialName, bool) {
	t := trivialNames()
	at, ok := t.find[fold(name)]
	if !ok {
		return TrivialName{}, false
	}
	return t.all[at], true
}

// Sources gives the documents that the facts of this package come from.
func Sources() iter.Seq[Source] { return slices.Values(sources().all) }

// SourceByKey finds the document behind a Source field of this package.
func SourceByKey(key string) (Source, bool) {
	t := sources()
	at, ok := t.keys[key]
	if !ok {
		return Source{}, false
	}
	return t.all[at], true
}

// A table holds the substances with what finds them: folded names, and places
// in all. The fats are the first of all, so that a place in fats is the same.
type table struct {
	all   []Substance
	fats  []Fat
	ids   map[string]int
	names map[string]int
	inci  map[string][]int
	cas   map[string][]int
	salts saltIndex
}

func (t *table) index() {
	for at, s := range t.all {
		for _, id := range append([]string{s.ID}, s.AlsoIDs...) {
			t.ids[fold(id)] = at
		}
		for _, name := range append([]string{s.Name}, s.AlsoCalled...) {
			t.names[fold(name)] = at
		}
		for _, name := range append([]Name{s.US, s.EU, s.French}, s.OtherINCI...) {
			if name := fold(name.Text); name != "" && !slices.Contains(t.inci[name], at) {
				t.inci[name] = append(t.inci[name], at)
			}
		}
		if s.CAS.Number != "" {
			t.cas[s.CAS.Number] = append(t.cas[s.CAS.Number], at)
		}
	}
	for at, f := range t.fats {
		t.salts.add(at, f.SodiumSalt, f.PotassiumSalt)
	}
}

func (t *table) one(index map[string]int, word string) (Substance, bool) {
	at, ok := index[fold(word)]
	if !ok {
		return Substance{}, false
	}
	return t.all[at], true
}

func (t *table) several(places []int) []Substance {
	var found []Substance
	for _, at := range places {
		found = append(found, t.all[at])
	}
	return found
}

// A saltIndex finds what a soap is made of by its folded name.
type saltIndex map[string]saltHit

type saltHit struct {
	metal Metal
	at    []int
}

func (x saltIndex) add(at int, sodium, potassium Salt) {
	for _, salt := range []struct {
		Salt
		metal Metal
	}{{sodium, Sodium}, {potassium, Potassium}} {
		if salt.Given() {
			name := fold(salt.Text)
			x[name] = saltHit{salt.metal, append(x[name].at, at)}
		}
	}
}

// fold makes spellings comparable: letters become small and lose their accents,
// spaces and hyphens become single spaces and vanish at the ends and beside
// brackets and strokes, and the typographic apostrophe becomes the plain one.
// Folding twice is folding once.
func fold(s string) string {
	b := make([]byte, 0, len(s))
	gap := false  // a space is due before the next letter
	joins := true // the last rune takes no space after it
	for _, r := range s {
		switch {
		case r == ' ' || r == '-' || r >= 0x80 && (unicode.IsSpace(r) || unicode.Is(unicode.Pd, r)) || '\t' <= r && r <= '\r':
			gap = true
			continue
		case r >= 0x80 && unicode.Is(unicode.Mn, r): // an accent that stands for itself
			continue
		}
		bracket := r == '(' || r == ')' || r == '/' || r == ','
		if gap && !joins && !bracket {
			b = append(b, ' ')
		}
		gap, joins = false, bracket
		switch {
		case 'A' <= r && r <= 'Z':
			b = append(b, byte(r)+'a'-'A')
		case r < 0x80:
			b = append(b, byte(r))
		default:
			b = append(b, plain(unicode.ToLower(r))...)
		}
	}
	return string(b)
}

// plain gives a small letter without its accent.
func plain(r rune) string {
	if letter, ok := plainLetters[r]; ok {
		return letter
	}
	return string(r)
}

// plainLetters gives letters without the accents of the languages of labels.
var plainLetters = func() map[rune]string {
	letters := map[rune]string{'æ': "ae", 'œ': "oe", 'ß': "ss", 'ø': "o", 'ł': "l", 'đ': "d", 'ð': "d", 'þ': "th", 'ı': "i", '’': "'", '‘': "'", 'ʼ': "'"}
	for letter, accented := range map[string]string{
		"a": "àáâãäåāăą", "c": "çćĉċč", "d": "ď", "e": "èéêëēĕėęě", "g": "ĝğġģ", "h": "ĥ", "i": "ìíîïĩīĭį", "j": "ĵ", "k": "ķ", "l": "ĺļľ",
		"n": "ñńņň", "o": "òóôõöōŏő", "r": "ŕŗř", "s": "śŝşšș", "t": "ţťț", "u": "ùúûüũūŭůűų", "w": "ŵ", "y": "ýÿŷ", "z": "źżž",
	} {
		for _, r := range accented {
			letters[r] = letter
		}
	}
	return letters
}()
