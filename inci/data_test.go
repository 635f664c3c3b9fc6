package inci_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"saponym/inci"
)

// The tables hold what was gathered for them, and nothing was lost since.
func TestCounts(t *testing.T) {
	for _, tt := range []struct {
		what      string
		got, want int
	}{
		{"fats", count(inci.Fats()), 108},
		{"records of other substances", len(records(t, "ingredients.json")), 194},
		{"substances: the fats, and the others less the ten that are fats", count(inci.All()), 108 + 194 - 10},
		{"fatty acids", count(inci.Acids()), 27},
		{"essential oils with a composition", count(inci.EssentialOils()), 19},
		{"trivial names", count(inci.TrivialNames()), 45},
	} {
		if tt.got != tt.want {
			t.Errorf("%s: got %d, want %d", tt.what, tt.got, tt.want)
		}
	}
}

func count[T any](all iter.Seq[T]) int { return len(slices.Collect(all)) }

func records(t *testing.T, file string) []map[string]json.RawMessage {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("data", file))
	if err != nil {
		t.Fatal(err)
	}
	var all []map[string]json.RawMessage
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return all
}

// A key that stands twice in an object would silently win over the first, and
// the decoder takes a key in other letters for the same.
func TestKeysAreUnique(t *testing.T) {
	files, err := filepath.Glob("data/*.json")
	if err != nil || len(files) != 6 {
		t.Fatalf("files %v, error %v; want six files", files, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		d := json.NewDecoder(bytes.NewReader(data))
		var open []map[string]bool // the keys of the objects around; nil for an array
		isKey := false
		for {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			switch token := token.(type) {
			case json.Delim:
				switch token {
				case '{':
					open = append(open, map[string]bool{})
				case '[':
					open = append(open, nil)
				default:
					open = open[:len(open)-1]
				}
				isKey = len(open) > 0 && open[len(open)-1] != nil
				continue
			case string:
				if isKey {
					keys := open[len(open)-1]
					if keys[token] {
						t.Errorf("%s, at byte %d: the key %q stands twice", file, d.InputOffset(), token)
					}
					if !strings.HasPrefix(token, "C") && token != strings.ToLower(token) {
						t.Errorf("%s, at byte %d: the key %q is not in small letters", file, d.InputOffset(), token)
					}
					keys[token] = true
				}
			}
			isKey = len(open) > 0 && open[len(open)-1] != nil && !isKey
		}
	}
}

// TestEveryCASNumber checks the check digit: the sum of the other digits, each
// times its place from the right, modulo 10 (CAS, "Check Digit Verification of
// CAS Registry Numbers").
func TestEveryCASNumber(t *testing.T) {
	type numberOf struct{ of, number string }
	var numbers []numberOf
	for s := range inci.All() {
		numbers = append(numbers, numberOf{s.ID, s.CAS.Number})
	}
	for f := range inci.Fats() {
		numbers = append(numbers, numberOf{f.ID, f.SodiumSalt.CAS}, numberOf{f.ID, f.PotassiumSalt.CAS})
	}
	for a := range inci.Acids() {
		numbers = append(numbers, numberOf{a.Code, a.CAS}, numberOf{a.Code, a.SodiumSalt.CAS}, numberOf{a.Code, a.PotassiumSalt.CAS})
	}
	form := regexp.MustCompile(`^[1-9]\d{1,6}-\d\d-\d$`)
	checked := 0
	for _, n := range numbers {
		of, number := n.of, n.number
		if number == "" {
			continue
		}
		checked++
		digits := strings.ReplaceAll(number, "-", "")
		sum := 0
		for i, digit := range digits[:len(digits)-1] {
			sum += (len(digits) - 1 - i) * int(digit-'0')
		}
		if !form.MatchString(number) || sum%10 != int(digits[len(digits)-1]-'0') {
			t.Errorf("%s: %s is no CAS number", of, number)
		}
	}
	if checked != 343 {
		t.Errorf("checked %d numbers, want 343", checked)
	}
}

// facts calls look with every fact that is reachable from v: a value with a
// Source and a Known.
func facts(v reflect.Value, look func(source string, known inci.Known)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			facts(v.Elem(), look)
		}
	case reflect.Slice:
		for i := range v.Len() {
			facts(v.Index(i), look)
		}
	case reflect.Struct:
		source, known := v.FieldByName("Source"), v.FieldByName("Known")
		if source.IsValid() && known.IsValid() {
			look(source.String(), inci.Known(known.String()))
		}
		for i := range v.NumField() {
			facts(v.Field(i), look)
		}
	}
}

func TestEveryFactHasASource(t *testing.T) {
	used := map[string]bool{}
	check := func(of string, v any) {
		facts(reflect.ValueOf(v), func(source string, known inci.Known) {
			if source == "" && known == "" {
				return // not given
			}
			used[source] = true
			s, ok := inci.SourceByKey(source)
			if !ok {
				t.Errorf("%s: there is no source %q", of, source)
			}
			// A fact may be less sure than its source, never surer.
			sureness := []inci.Known{inci.Retrieved, inci.Computed, inci.Memory, inci.Analogy, inci.Unknown}
			if at := slices.Index(sureness, known); at < 0 || at < slices.Index(sureness, s.Known) {
				t.Errorf("%s: a fact of %s is known %q, but the source %q", of, source, known, s.Known)
			}
		})
	}
	for s := range inci.All() {
		check(s.ID, s)
	}
	for f := range inci.Fats() {
		check(f.ID, f)
	}
	for a := range inci.Acids() {
		check(a.Code, a)
	}
	for o := range inci.EssentialOils() {
		check(o.ID, o)
	}
	keys := map[string]bool{}
	for s := range inci.Sources() {
		if keys[s.Key] || s.Document == "" {
			t.Errorf("the source %q stands twice or has no document", s.Key)
		}
		keys[s.Key] = true
		if !used[s.Key] {
			t.Errorf("no fact comes from the source %q", s.Key)
		}
	}
}

func TestEverySubstance(t *testing.T) {
	id := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	groups := []inci.Group{
		inci.GroupFat, inci.GroupLiquid, inci.GroupAlkali, inci.GroupHumectant, inci.GroupSugar, inci.GroupSalt, inci.GroupAcid,
		inci.GroupChelator, inci.GroupProtein, inci.GroupGrain, inci.GroupExfoliant, inci.GroupClay, inci.GroupMineral,
		inci.GroupColourant, inci.GroupBotanical, inci.GroupAntioxidant, inci.GroupWax, inci.GroupOil, inci.GroupFragrance,
		inci.GroupEssentialOil, inci.GroupOther,
	}
	classes := []inci.LyeClass{inci.Unchanged, inci.Consumed, inci.Reacts, inci.Sugar, inci.Hydrolysed, inci.Evaporates}
	ids, names := map[string]string{}, map[string]string{}
	for s := range inci.All() {
		for _, one := range append([]string{s.ID}, s.AlsoIDs...) {
			if !id.MatchString(one) {
				t.Errorf("%q is no id", one)
			}
			if other, ok := ids[inci.Fold(one)]; ok {
				t.Errorf("the id %q belongs to %s and to %s", one, other, s.ID)
			}
			ids[inci.Fold(one)] = s.ID
		}
		for _, one := range append([]string{s.Name}, s.AlsoCalled...) {
			if other, ok := names[inci.Fold(one)]; ok {
				t.Errorf("the name %q belongs to %s and to %s", one, other, s.ID)
			}
			names[inci.Fold(one)] = s.ID
		}
		if s.Name == "" || !s.US.Given() || !s.EU.Given() {
			t.Errorf("%s: a name is missing: %q, US %q, EU %q", s.ID, s.Name, s.US.Text, s.EU.Text)
		}
		if s.EU.Status != inci.Listed && s.EU.Status != inci.NotInTheList && s.EU.Known != inci.Memory {
			t.Errorf("%s: the EU name %q has the status %q", s.ID, s.EU.Text, s.EU.Status)
		}
		if !slices.Contains(groups, s.Group) {
			t.Errorf("%s: the group %q is none", s.ID, s.Group)
		}
		if _, isFat := inci.FatByID(s.ID); !isFat && !slices.Contains(classes, s.InTheLye.Class) {
			t.Errorf("%s: the class %q is none", s.ID, s.InTheLye.Class)
		}
	}
	// An id that is the common name of another substance would mislead.
	for id, of := range ids {
		if other, ok := names[id]; ok && other != of {
			t.Errorf("%q is the id of %s and a name of %s", id, of, other)
		}
	}
}

// A record of another substance that is a fat adds to the fat; what both say of
// its identity is the same.
func TestRecordsOfFats(t *testing.T) {
	n := 0
	for _, r := range records(t, "ingredients.json") {
		if r["fat"] == nil {
			continue
		}
		n++
		var id, fat string
		var us, eu struct{ Text string }
		var cas struct{ Number string }
		for key, into := range map[string]any{"id": &id, "fat": &fat, "us": &us, "eu": &eu, "cas": &cas} {
			if err := json.Unmarshal(r[key], into); err != nil {
				t.Fatalf("%s: %v", r["id"], err)
			}
		}
		f, ok := inci.FatByID(id)
		if !ok || f.ID != fat || f.InTheLye.Class == "" {
			t.Errorf("%s: found %q, %v, in the lye %q; want %s", id, f.ID, ok, f.InTheLye.Class, fat)
		}
		if s, ok := inci.ByID(id); !ok || s.ID != fat || s.Group != inci.GroupFat || !slices.Contains(s.AlsoIDs, id) || s.InTheLye != f.InTheLye {
			t.Errorf("%s: as a substance found %q of the group %q, %v; want %s", id, s.ID, s.Group, ok, fat)
		}
		for key := range r {
			if !slices.Contains([]string{"id", "name", "group", "fat", "us", "eu", "french", "cas", "in_the_lye"}, key) {
				t.Errorf("%s: %q belongs to the record of %s", id, key, fat)
			}
		}
		if f.CAS.Number != cas.Number || f.US.Text != us.Text {
			t.Errorf("%s: %s, %q; %s: %s, %q", id, cas.Number, us.Text, f.ID, f.CAS.Number, f.US.Text)
		}
		if !slices.ContainsFunc(inci.ByINCI(eu.Text), func(s inci.Substance) bool { return s.ID == fat }) {
			t.Errorf("%s: the EU name %q does not find %s", id, eu.Text, fat)
		}
	}
	if n != 10 {
		t.Errorf("%d records are fats, want 10", n)
	}
}

func TestEveryFat(t *testing.T) {
	kinds := []inci.Kind{inci.Triglyceride, inci.FreeFattyAcid, inci.WaxEster, inci.PartlySaponifiable}
	for f := range inci.Fats() {
		t.Run(f.ID, func(t *testing.T) {
			if !slices.Contains(kinds, f.Kind) || f.From == "" {
				t.Errorf("the kind is %q, the origin %q", f.Kind, f.From)
			}
			// What is set free follows from the kind; resin acids are no fat in the strict sense.
			want := map[inci.Kind]inci.ByProduct{
				inci.Triglyceride: inci.SetsFreeGlycerin, inci.PartlySaponifiable: inci.SetsFreeGlycerin,
				inci.FreeFattyAcid: inci.SetsFreeWater, inci.WaxEster: inci.SetsFreeFattyAlcohol,
			}[f.Kind]
			if f.ID == "rosin" {
				want = inci.SetsFreeWater
			}
			if f.SetsFree != want {
				t.Errorf("sets free %q, want %q", f.SetsFree, want)
			}
			checkSAP(t, f)
			for what, x := range map[string]inci.Figure{
				"saponification value": f.SAP.Figure, "acid value": f.AcidValue, "iodine value": f.IodineValue,
				"second saponification value": f.Second.SAP, "second iodine value": f.Second.IodineValue,
			} {
				if x.Low > x.High || x.Low < 0 {
					t.Errorf("%s: the range %v-%v runs downwards or is negative", what, x.Low, x.High)
				}
			}
			for _, u := range []inci.Figure{f.Unsaponifiable, f.Second.Unsaponifiable} {
				if u.Low > u.High || u.High > 100 || u.Given() != (u.Text != "") {
					t.Errorf("unsaponifiable %+v", u)
				}
			}
			// Acids count among the saponification value, and free acids are all of it.
			if f.AcidValue.High > f.SAP.High && f.SAP.Given() {
				t.Errorf("acid value up to %v, saponification value up to %v", f.AcidValue.High, f.SAP.High)
			}
		})
	}
}

// checkSAP checks the saponification value against the sanity gate of soap
// chemistry: values outside of 75-360 are those of another alkali or a slip. The
// softest wax, candelilla, is known to be below.
func checkSAP(t *testing.T, f inci.Fat) {
	t.Helper()
	s := f.SAP
	if s.Representative < 75 && f.ID != "candelilla-wax" || s.Representative > 360 {
		t.Errorf("representative saponification value %v", s.Representative)
	}
	switch s.Basis {
	case inci.MiddleOfRange:
		if math.Abs(s.Representative-(s.Low+s.High)/2) > 0.051 {
			t.Errorf("representative %v is not the middle of %v-%v", s.Representative, s.Low, s.High)
		}
	case inci.FromProfile:
		if s.Representative != f.SAPComputed.Low || s.Source != "PROFILE" {
			t.Errorf("representative %v, computed %v, source %s", s.Representative, f.SAPComputed.Low, s.Source)
		}
	case inci.FromMolarMass:
		if s.Low != s.High || s.Representative != s.Low {
			t.Errorf("representative %v, range %v-%v", s.Representative, s.Low, s.High)
		}
	case inci.Chosen:
		if f.Note == "" {
			t.Error("the note says nothing of the choice")
		}
	default:
		t.Errorf("the basis %q is none", s.Basis)
	}
	if s.Withheld != (s.Basis == inci.FromProfile) || s.Given() == s.Withheld {
		t.Errorf("withheld %v, basis %q, given %v", s.Withheld, s.Basis, s.Given())
	}
	if s.Given() && (s.Representative < s.Low || s.Representative > s.High) {
		t.Errorf("representative %v is outside of %v-%v", s.Representative, s.Low, s.High)
	}
	if s.Withheld && !f.Profile.Given() {
		t.Error("the range is withheld and there is no profile")
	}
}

func TestWithheldRanges(t *testing.T) {
	var withheld []string
	for f := range inci.Fats() {
		if f.SAP.Withheld {
			withheld = append(withheld, f.ID)
		}
	}
	want := []string{"babassu-oil", "canola-oil", "corn-oil", "cottonseed-oil", "sesame-oil", "grapeseed-oil"}
	if !slices.Equal(withheld, want) {
		t.Errorf("got %v, want %v", withheld, want)
	}
}

// TestProfiles computes the figures that follow from a profile anew: the
// saponification value by the mole mean of the molar masses (the idea of AOCS
// Cd 3a-94), the iodine value as two atoms of iodine (126.904 g/mol) to a double
// bond in the triglyceride (AOCS Cd 1c-85).
func TestProfiles(t *testing.T) {
	for f := range inci.Fats() {
		p := f.Profile
		if !p.Given() {
			if f.SAPComputed.Given() || f.IodineComputed.Given() {
				t.Errorf("%s: figures computed without a profile", f.ID)
			}
			continue
		}
		sum, moles, bonds := p.Other, 0.0, 0.0
		reported := 0.0
		for _, share := range p.Shares {
			a, ok := inci.AcidByCode(share.Code)
			if !ok {
				t.Fatalf("%s: there is no acid %q", f.ID, share.Code)
			}
			if share.Percent <= 0 {
				t.Errorf("%s: %v %% of %s", f.ID, share.Percent, share.Code)
			}
			sum += share.Percent
			reported += share.Percent
			moles += share.Percent / a.MolarMass
			bonds += share.Percent / a.MolarMass * float64(a.DoubleBonds)
		}
		if math.Abs(sum-100) > 0.05 {
			t.Errorf("%s: the profile adds up to %v %%", f.ID, sum)
		}
		mean := reported / moles
		acyl := (inci.MolarMassGlycerol - 3*inci.MolarMassWater) / 3 // what glycerol adds to an acid
		if f.Kind == inci.FreeFattyAcid {
			acyl = 0
		}
		if f.SAPComputed.Given() {
			if sap := 1000 * inci.MolarMassKOH / (mean + acyl); math.Abs(sap-f.SAPComputed.Low) > 0.06 {
				t.Errorf("%s: saponification value %.2f, in the table %v", f.ID, sap, f.SAPComputed.Low)
			}
		}
		if f.IodineComputed.Given() {
			if iodine := 2 * 126.904 * bonds / reported * mean / (mean + acyl) * 100; math.Abs(iodine-f.IodineComputed.Low) > 0.06 {
				t.Errorf("%s: iodine value %.2f, in the table %v", f.ID, iodine, f.IodineComputed.Low)
			}
		}
	}
}

func TestParsePercent(t *testing.T) {
	for _, tt := range []struct {
		in        string
		low, high float64
	}{
		{"<=1.5", 0, 1.5},
		{"1-19", 1, 19},
		{"0.34-0.79", 0.34, 0.79},
		{"1.2", 1.2, 1.2},
		{"<=1.5 (refined sheanut oil)", 0, 1.5},
	} {
		if low, high, err := inci.ParsePercent(tt.in); low != tt.low || high != tt.high || err != nil {
			t.Errorf("%q: got %v, %v, %v; want %v, %v", tt.in, low, high, err, tt.low, tt.high)
		}
	}
	for _, in := range []string{"", "<=", "19-1", "1-", "about 3", "1,5"} {
		if low, high, err := inci.ParsePercent(in); err == nil {
			t.Errorf("%q: got %v, %v, want an error", in, low, high)
		}
	}
}

// BenchmarkReading reads the tables of substances, as the first look-up of a run
// does.
func BenchmarkReading(b *testing.B) {
	for b.Loop() {
		inci.ReadSubstances()
	}
}

func ExampleByINCI() {
	for _, s := range inci.ByINCI("elaeis guineensis oil") {
		fmt.Println(s.ID)
	}
	// Output:
	// palm-oil
	// palm-olein
	// palm-stearin
}
