package inci_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/inci"
)

func idsOf(all []inci.Substance) string {
	var ids []string
	for _, s := range all {
		ids = append(ids, s.ID)
	}
	return strings.Join(ids, " ")
}

var idTests = []struct{ word, want string }{
	{"olive-oil", "olive-oil"},
	{"olive oil", "olive-oil"},
	{"Olive  Oil ", "olive-oil"},
	{"sodium hydroxide", "sodium-hydroxide"},
	{"sodium-hydroxide", "sodium-hydroxide"},
	{"goat\u00a0milk", "goat-milk"},
	{"goat\u2010milk", "goat-milk"},
	{"beeswax-add", "beeswax"},
	{"lard trivial", "lard"},
	{"tallow-trivial", "beef-tallow"},
	{"olive", ""},
	{"maize oil", ""}, // a name, not an id
	{"", ""},
}

func TestByID(t *testing.T) {
	for _, tt := range idTests {
		s, ok := inci.ByID(tt.word)
		if s.ID != tt.want || ok != (tt.want != "") {
			t.Errorf("%q: got %q, %v; want %q", tt.word, s.ID, ok, tt.want)
		}
	}
}

func TestByName(t *testing.T) {
	for _, tt := range []struct{ word, want string }{
		{"maize oil", "corn-oil"},
		{"corn (maize) oil", "corn-oil"},
		{"corn oil", "corn-oil"},
		{"Groundnut Oil", "peanut-oil"},
		{"tallow", "beef-tallow"},
		{"caustic soda", "sodium-hydroxide"},
		{"milk", "cow-milk"},
		{"coconut cream", ""},
		{"", ""},
	} {
		s, ok := inci.ByName(tt.word)
		if s.ID != tt.want || ok != (tt.want != "") {
			t.Errorf("%q: got %q, %v; want %q", tt.word, s.ID, ok, tt.want)
		}
	}
}

func TestFatByID(t *testing.T) {
	if f, ok := inci.FatByID("coconut oil"); !ok || f.ID != "coconut-oil" || f.SAP.Low != 248 {
		t.Errorf("coconut oil: got %+v, %v", f, ok)
	}
	if f, ok := inci.FatByID("beeswax-add"); !ok || f.ID != "beeswax" || f.InTheLye.Class != inci.Reacts {
		t.Errorf("beeswax as an addition: got %+v, %v", f, ok)
	}
	for _, id := range []string{"water", "vegetable-oil", "no-oil", ""} {
		if f, ok := inci.FatByID(id); ok {
			t.Errorf("%q has the figures of %s", id, f.ID)
		}
	}
}

var inciTests = []struct{ word, want string }{
	{"Olea Europaea (Olive) Fruit Oil", "olive-oil"},
	{"olea europaea fruit oil", "olive-oil"},
	{"OLEA EUROPAEA(OLIVE)FRUIT OIL", "olive-oil"},
	{"Caprylic / Capric Triglyceride", "fractionated-coconut-oil"},
	{"Elaeis Guineensis (Palm) Oil", "palm-oil palm-olein palm-stearin"},
	{"Helianthus Annuus Seed Oil", "sunflower-oil sunflower-oil-high-oleic"},
	{"Tallow", "beef-tallow mutton-tallow"},
	{"Iron Oxides", "iron-oxide-red iron-oxide-yellow iron-oxide-black"},
	{"CI 77491", "iron-oxide-red"},
	{"Candelilla Cera", "candelilla-wax"},
	{"Euphorbia Cerifera Cera", "candelilla-wax"},
	{"Azadirachta Indica Seed Oil", "neem-oil"},
	{"Fuller’s Earth", "fullers-earth"},
	{"Lait de chèvre", "goat-milk"},
	{"lait de che\u0300vre", "goat-milk"}, // the accent as a rune of its own
	{"Eau", "water"},
	{"Aqua (Water)", "water"},
	{"Water (Aqua)", "water"},
	{"Aqua/Water/Eau", "water"},
	{"Parfum (Fragrance)", "fragrance"},
	{"Adeps Bovis (Tallow)", "beef-tallow mutton-tallow"},
	{"CI 77491/Iron Oxides", "iron-oxide-red"},
	{"Aqua (Honey)", ""},
	{"Aqua (", ""},
	{"/", ""},
	{"Sodium Olivate", ""}, // a soap
	{"olive oil", ""},      // a common name
	{"", ""},
}

func TestByINCI(t *testing.T) {
	for _, tt := range inciTests {
		if got := idsOf(inci.ByINCI(tt.word)); got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.word, got, tt.want)
		}
	}
}

func TestByCAS(t *testing.T) {
	for _, tt := range []struct{ number, want string }{
		{"7732-18-5", "water"},
		{" 1310-73-2 ", "sodium-hydroxide"},
		{"8002-75-3", "palm-oil palm-olein palm-stearin"},
		{"64-17-5", "ethanol alcohol-denat"},
		{"7732-18-6", ""},
		{"", ""},
	} {
		if got := idsOf(inci.ByCAS(tt.number)); got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.number, got, tt.want)
		}
	}
}

var saltTests = []struct {
	word  string
	metal inci.Metal
	want  string
}{
	{"Sodium Olivate", inci.Sodium, "olive-oil olive-pomace-oil"},
	{"sodium palmate", inci.Sodium, "palm-oil palm-olein palm-stearin"},
	{"Sodium Palmitate", inci.Sodium, "palmitic-acid"},
	{"Potassium Macadamiate", inci.Potassium, "macadamia-oil"},
	{"Sodium Macadamiaseedate", inci.Sodium, "macadamia-oil"},
	{"Potassium Macadamiaseedate", "", ""},
	{"Sodium Beeswax", inci.Sodium, "beeswax"},
	{"Sodium Cocoate", inci.Sodium, "coconut-oil coconut-fatty-acids"},
	{"Sodium Hydroxide", "", ""},
	{"", "", ""},
}

func TestFatsBySalt(t *testing.T) {
	for _, tt := range saltTests {
		fats, metal := inci.FatsBySalt(tt.word)
		var ids []string
		for _, f := range fats {
			ids = append(ids, f.ID)
		}
		if got := strings.Join(ids, " "); got != tt.want || metal != tt.metal {
			t.Errorf("%q: got %q of %q, want %q of %q", tt.word, got, metal, tt.want, tt.metal)
		}
	}
}

// Each name of a substance leads back to it, in whatever way it is written.
func TestLookUpsComeBack(t *testing.T) {
	writings := []func(string) string{
		func(s string) string { return s },
		strings.ToUpper,
		func(s string) string { return " " + strings.ReplaceAll(s, " ", "  ") + "\t" },
		func(s string) string { return strings.ReplaceAll(s, " ", "-") },
	}
	for s := range inci.All() {
		has := func(found []inci.Substance) bool {
			return slices.ContainsFunc(found, func(f inci.Substance) bool { return f.ID == s.ID })
		}
		for _, write := range writings {
			for _, id := range append([]string{s.ID}, s.AlsoIDs...) {
				if found, _ := inci.ByID(write(id)); found.ID != s.ID {
					t.Errorf("the id %q found %q, want %q", write(id), found.ID, s.ID)
				}
			}
			for _, name := range append([]string{s.Name}, s.AlsoCalled...) {
				if found, _ := inci.ByName(write(name)); found.ID != s.ID {
					t.Errorf("the name %q found %q, want %q", write(name), found.ID, s.ID)
				}
			}
			for _, name := range append([]inci.Name{s.US, s.EU, s.French}, s.OtherINCI...) {
				if name.Given() && !has(inci.ByINCI(write(name.Text))) {
					t.Errorf("the INCI name %q does not find %s", write(name.Text), s.ID)
				}
			}
		}
		if s.CAS.Number != "" && !has(inci.ByCAS(s.CAS.Number)) {
			t.Errorf("the CAS number %s does not find %s", s.CAS.Number, s.ID)
		}
		if f, ok := inci.FatByID(s.ID); ok {
			for _, metal := range []inci.Metal{inci.Sodium, inci.Potassium} {
				fats, found := inci.FatsBySalt(f.Salt(metal).Text)
				if found != metal || !slices.ContainsFunc(fats, func(one inci.Fat) bool { return one.ID == f.ID }) {
					t.Errorf("the %s soap %q does not find %s", metal, f.Salt(metal).Text, f.ID)
				}
			}
		}
	}
}

// The order of the tables is the same in every run, the fats first.
func TestOrder(t *testing.T) {
	all := slices.Collect(inci.All())
	i := 0
	for f := range inci.Fats() {
		if all[i].ID != f.ID {
			t.Fatalf("substance %d is %s, fat %d is %s", i, all[i].ID, i, f.ID)
		}
		i++
	}
	if all[0].ID != "olive-oil" || all[i].ID != "water" {
		t.Errorf("the first fat is %s and the first other substance %s", all[0].ID, all[i].ID)
	}
}

var nearestTests = []struct{ word, want string }{
	{"olvie oil", "olive-oil"},
	{"olive-oyl", "olive-oil"},
	{"olive", "olive-oil"}, // all words of it, not the slips of another
	{"castor", "castor-oil"},
	{"tallow", "beef-tallow"},
	{"almond oil", "sweet-almond-oil"},
	{"shea", "shea-butter"},
	{"soduim hydroxide", "sodium-hydroxide"},
	{"maise oil", "corn-oil"},
	{"coco nut oil", "coconut-oil"},
	{"sunflower seed oil", ""}, // five letters too many, and no name has all words
	{"unobtainium", ""},
	{"x", ""},
	{"(/)", ""},
	{"", ""},
	{strings.Repeat("olive oil ", 100), ""},
}

func TestNearest(t *testing.T) {
	for _, tt := range nearestTests {
		if got := inci.Nearest(tt.word); got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.word, got, tt.want)
		}
	}
}

func TestNearestINCI(t *testing.T) {
	for _, tt := range []struct{ word, want string }{
		{"Olea Europea (Olive) Fruit Oil", "Olea Europaea (Olive) Fruit Oil"},
		{"Olea Europaea (Olive) Oil", "Olea Europaea (Olive) Fruit Oil"},
		{"Cocos Nucifera (Cocoanut) Oil", "Cocos Nucifera (Coconut) Oil"},
		{"Sodium Olivat", "Sodium Olivate"},
		{"Sodium Palmtate", "Sodium Palmate"},
		{"Sodium Laurat", "Sodium Laurate"},
		{"Beeswax", "Beeswax"},
		{"Coconut Oil", "Cocos Nucifera (Coconut) Oil"},
		{"coconut", "Cocos Nucifera (Coconut) Oil"},
		{"Olive Fruit Oil", "Olea Europaea (Olive) Fruit Oil"},
		{"unobtainium", ""},
	} {
		if got := inci.NearestINCI(tt.word); got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.word, got, tt.want)
		}
	}
}

func TestNearestAcid(t *testing.T) {
	for _, tt := range []struct{ word, want string }{
		{"olic", "oleic acid"},
		{"oliec acid", "oleic acid"},
		{"C18:1-HO", "ricinoleic acid"},
		{"palmitc", "palmitic acid"},
		{"unobtainium", ""},
	} {
		if got := inci.NearestAcid(tt.word); got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.word, got, tt.want)
		}
	}
}

// An id with two neighbours swapped leads back to it, or to another that is one
// wrong letter away ("pulm-kernel-oil" is plum and palm alike).
func TestNearestAfterOneSlip(t *testing.T) {
	all := slices.Collect(inci.All())
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(all).Draw(t, "substance")
		letters := []byte(s.ID)
		at := rapid.IntRange(0, len(letters)-2).Draw(t, "at")
		letters[at], letters[at+1] = letters[at+1], letters[at]
		got := inci.Nearest(string(letters))
		if _, ok := inci.ByID(got); !ok {
			t.Fatalf("%s: got %q, which is no id", letters, got)
		}
		if got != s.ID && lettersApart(got, string(letters)) != 1 {
			t.Fatalf("%s: got %q, want %q", letters, got, s.ID)
		}
	})
}

// lettersApart counts the places in which two words of one length differ.
func lettersApart(a, b string) int {
	if len(a) != len(b) {
		return len(a) + len(b)
	}
	n := 0
	for i := range len(a) {
		if a[i] != b[i] {
			n++
		}
	}
	return n
}

func FuzzFold(f *testing.F) {
	for _, tt := range inciTests {
		f.Add(tt.word)
	}
	f.Add("\xff\xfe İıǅﬁ ſ K ẞ")
	f.Fuzz(func(t *testing.T, word string) {
		folded := inci.Fold(word)
		if again := inci.Fold(folded); again != folded {
			t.Errorf("%q folds to %q, and that to %q", word, folded, again)
		}
	})
}

func FuzzLookUps(f *testing.F) {
	for _, tt := range idTests {
		f.Add(tt.word)
	}
	for _, tt := range inciTests {
		f.Add(tt.word)
	}
	for _, tt := range saltTests {
		f.Add(tt.word)
	}
	for _, tt := range nearestTests {
		f.Add(tt.word)
	}
	f.Add("\xff\xfe İıǅﬁ ſ K ẞ")
	f.Fuzz(func(t *testing.T, word string) {
		// Equal after folding is equal to every look-up.
		folded := inci.Fold(word)
		a, okA := inci.ByID(word)
		b, okB := inci.ByID(folded)
		if a.ID != b.ID || okA != okB {
			t.Errorf("%q finds %q, folded %q", word, a.ID, b.ID)
		}
		if a, b := idsOf(inci.ByINCI(word)), idsOf(inci.ByINCI(folded)); a != b {
			t.Errorf("the INCI name %q finds %q, folded %q", word, a, b)
		}
		fats, metal := inci.FatsBySalt(word)
		if (len(fats) > 0) != (metal != "") {
			t.Errorf("the soap %q finds %d fats of %q", word, len(fats), metal)
		}
		inci.ByCAS(word)
		inci.AcidByName(word)
		inci.AcidByCode(word)
		inci.AcidsBySalt(word)
		inci.TrivialByName(word)
		if near := inci.Nearest(word); near != "" {
			if _, ok := inci.ByID(near); !ok {
				t.Errorf("%q is near %q, which is no id", word, near)
			}
		}
		if near := inci.NearestAcid(word); near != "" {
			if _, ok := inci.AcidByName(near); !ok {
				t.Errorf("%q is near %q, which is no acid", word, near)
			}
		}
		if near := inci.NearestINCI(word); near != "" && inci.NearestINCI(near) != near {
			t.Errorf("%q is near %q, and that to %q", word, near, inci.NearestINCI(near))
		}
	})
}

func BenchmarkNearestINCI(b *testing.B) {
	for b.Loop() {
		inci.NearestINCI("Olea Europaea (Olive) Oil")
	}
}
