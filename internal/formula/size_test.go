package formula_test

import (
	"fmt"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

// completed completes the last of some formulas, which have the ids a, b, c … in their
// order.
func completed(t *testing.T, texts ...string) (formula.Formula, []finding.Finding) {
	t.Helper()
	all := map[string]formula.Formula{}
	var last formula.Formula
	for i, text := range texts {
		id := string(rune('a' + i))
		f, findings, err := formula.ReadFormula("formulas/"+id+".yaml", []byte(text))
		if err != nil || len(findings) > 0 {
			t.Fatalf("%s: %v, findings %v", text, err, findings)
		}
		all[id], last = f, f
	}
	return formula.Complete(last, func(id string) (formula.Formula, bool) { f, ok := all[id]; return f, ok }, nil)
}

// sizeText writes a size in short.
func sizeText(s formula.Size) string {
	switch {
	case s.Oils.Given():
		return fmt.Sprintf("oils %g", s.Oils.V.Grams())
	case s.Batter.Given():
		return fmt.Sprintf("batter %g", s.Batter.V.Grams())
	case s.Mould.Given():
		return "mould " + s.Mould.V
	}
	return "none"
}

const (
	sharesOfOils = `name: A
identity: soap
size: {oils: 940 g}
pot: [{material: olive-oil, share: 80%}, {material: castor-oil, share: 20%}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}
add: [{material: charcoal, weight: 4 g}, {material: scent, share: 2%}]
`
	weightsInPot = `name: A
identity: soap
pot: [{material: olive-oil, weight: 700 g}, {material: castor-oil, weight: 200 g}]
lye: {alkali: sodium hydroxide, weight: 121 g, water: {strength: 33%}}
add: [{material: charcoal, weight: 4 g}]
`
)

func TestWrittenFor(t *testing.T) {
	for _, tt := range []struct {
		name             string
		formulas         []string
		size, writtenFor string
		rules            string
	}{
		{"a variant without a size", []string{sharesOfOils, "like: a\nname: B\n"}, "oils 940", "none", ""},
		{"another size", []string{sharesOfOils, "like: a\nsize: {mould: tin}\n"}, "mould tin", "oils 940", ""},
		{"the same size again", []string{sharesOfOils, "like: a\nsize: {oils: 940 g}\n"}, "oils 940", "none", ""},
		{"additions of its own", []string{sharesOfOils, "like: a\nsize: {mould: tin}\nadd: [{material: clay, weight: 4 g}]\n"}, "mould tin", "none", ""},
		{"a lye of its own, in shares", []string{sharesOfOils, "like: a\nsize: {mould: tin}\nlye: {superfat: 8%}\n"}, "mould tin", "oils 940", ""},
		{"nothing typed", []string{strings.Replace(sharesOfOils, "weight: 4 g", "share: 1%", 1), "like: a\nsize: {mould: tin}\n"}, "mould tin", "none", ""},
		{"over two steps", []string{sharesOfOils, "like: a\nsize: {mould: tin}\n", "like: b\nsize: {batter: 3 kg}\n"}, "batter 3000", "oils 940", ""},
		{"over a step without a size", []string{sharesOfOils, "like: a\nsize: {mould: tin}\n", "like: b\nname: C\n"}, "mould tin", "oils 940", ""},
		{"from additions of the one between", []string{sharesOfOils, "like: a\nsize: {mould: tin}\nadd: [{material: clay, weight: 4 g}]\n", "like: b\nsize: {batter: 3 kg}\n"}, "batter 3000", "mould tin", ""},
		{"a pot in weights goes by its own weights", []string{weightsInPot, "like: a\nsize: {mould: tin}\n"}, "mould tin", "none", ""},
		{"shares in place of a pot in weights", []string{weightsInPot, "like: a\nsize: {batter: 1 kg}\npot: [{material: olive-oil, share: 100%}]\n"}, "batter 1000", "oils 900", ""},
		{"a pot in weights of its own", []string{sharesOfOils, "like: a\npot: [{material: olive-oil, weight: 500 g}]\n"}, "oils 940", "none", ""},

		{"weights for two sizes", []string{weightsInPot, "like: a\nsize: {mould: tin}\nadd: [{material: clay, weight: 4 g}]\n"}, "mould tin", "none", "formulas/b.yaml:3:32 FORM-WRITTEN-FOR"},
		{"weights for one size twice", []string{strings.Replace(sharesOfOils, "strength: 33%", "weight: 260 g", 1), "like: a\nsize: {oils: 0.94 kg}\nadd: [{material: clay, weight: 4 g}]\n"}, "oils 940", "none", ""},
		{"weights of which the one between is told", []string{weightsInPot, "like: a\nsize: {mould: tin}\nadd: [{material: clay, weight: 4 g}]\n", "like: b\nname: C\n"}, "mould tin", "none", ""},
		{"own weights over those for another size", []string{strings.Replace(sharesOfOils, "strength: 33%", "weight: 260 g", 1), "like: a\nsize: {mould: tin}\n", "like: b\nadd: [{material: clay, weight: 4 g}]\n"}, "mould tin", "none", "formulas/c.yaml:2:32 FORM-WRITTEN-FOR"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, found := completed(t, tt.formulas...)
			same(t, "size", sizeText(f.Size), tt.size)
			same(t, "written for", sizeText(f.WrittenFor), tt.writtenFor)
			var rules []string
			for _, x := range found {
				rules = append(rules, x.At.String()+" "+x.Rule)
			}
			same(t, "findings", strings.Join(rules, ", "), tt.rules)
		})
	}
}

// A variant that has a size of its own and writes all weights beside an inherited pot
// keeps them: the pot becomes shares, and no longer says how much it is.
func TestOwnWeightsBesideAnInheritedPot(t *testing.T) {
	f, found := completed(t, weightsInPot, "like: a\nsize: {batter: 1 kg}\nlye: {superfat: 5%}\nadd: [{material: clay, weight: 4 g}]\n")
	if len(found) > 0 || f.Pot[0].Weight.Given() || f.Pot[0].Share.V+f.Pot[1].Share.V != 1_000_000_000 || f.Pot[1].Share.V != 222_222_222 {
		t.Errorf("pot %+v, findings %v", f.Pot, found)
	}
}

// A size by oils is not that of a base that takes the place of the oils.
func TestBaseInPlaceOfAPot(t *testing.T) {
	f, found := completed(t, sharesOfOils, "like: a\nbase: [{material: clear-base, weight: 900 g}]\n")
	if len(found) > 0 || sizeText(f.Size) != "none" || len(f.Pot) > 0 {
		t.Errorf("size %s, pot %v, findings %v", sizeText(f.Size), f.Pot, found)
	}
	_, found = completed(t, sharesOfOils, "like: a\nbase: [{material: clear-base, share: 100%}]\n")
	if len(found) != 1 || found[0].Rule != formula.RulePotSize {
		t.Errorf("findings %v", found)
	}
}

func TestResized(t *testing.T) {
	mould := readFormula(t, "name: a\nidentity: soap\nsize: {mould: tin}\n"+plain[len("name: a\nidentity: soap\n"):]).Size
	shares, weights := readFormula(t, sharesOfOils), readFormula(t, weightsInPot)
	for _, tt := range []struct {
		name             string
		got              formula.Formula
		size, writtenFor string
	}{
		{"shares", shares.Resized(mould), "mould tin", "oils 940"},
		{"again", shares.Resized(mould).Resized(formula.Size{Batter: shares.Size.Oils}), "batter 940", "oils 940"},
		{"weights", weights.Resized(mould), "mould tin", "none"},
		{"no size", shares.Resized(formula.Size{}), "oils 940", "none"},
		{"nothing typed", readFormula(t, strings.Replace(sharesOfOils, "weight: 4 g", "share: 1%", 1)).Resized(mould), "mould tin", "none"},
	} {
		same(t, tt.name+": size", sizeText(tt.got.Size), tt.size)
		same(t, tt.name+": written for", sizeText(tt.got.WrittenFor), tt.writtenFor)
	}
	same(t, "the formula that was given", sizeText(shares.Size)+", "+sizeText(shares.WrittenFor), "oils 940, none")
}
