package inci

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode"
)

// Nearest gives the id of the substance whose id or common name is most like
// the word, for a question such as: did you mean "olive-oil"? It gives nothing
// when none is like it.
//
// Most like is a spelling with one slip at most (a letter too many, missing,
// wrong, or swapped with its neighbour); then one that has all words of the word
// and few others, as "olive oil" has of "olive"; then one with more slips, up to
// one in five letters and one more. Of equals the first in the tables counts.
func Nearest(word string) string {
	t := substances()
	var known []spelling
	for _, s := range t.all {
		for _, name := range slices.Concat([]string{s.ID, s.Name}, s.AlsoCalled) {
			known = append(known, spelling{fold(name), s.ID})
		}
	}
	return nearest(word, known)
}

// NearestINCI gives the INCI name or the name of a soap that is most like the
// word, as it is printed; see [Nearest]. Where the word is like a common name or
// an id, it gives the INCI name in the US manner.
func NearestINCI(word string) string {
	t := substances()
	var known []spelling
	add := func(n Name) {
		if n.Given() {
			known = append(known, spelling{fold(n.Text), n.Text})
		}
	}
	for _, s := range t.all {
		for _, n := range slices.Concat([]Name{s.US, s.EU}, s.OtherINCI) {
			add(n)
		}
		for _, name := range slices.Concat([]string{s.ID, s.Name}, s.AlsoCalled) {
			known = append(known, spelling{fold(name), s.US.Text})
		}
	}
	for _, f := range t.fats {
		add(f.SodiumSalt.Name)
		add(f.PotassiumSalt.Name)
	}
	for _, a := range acids().all {
		add(a.SodiumSalt.Name)
		add(a.PotassiumSalt.Name)
	}
	return nearest(word, known)
}

// NearestAcid gives the common name of the fatty acid whose code or name is most
// like the word; see [Nearest].
func NearestAcid(word string) string {
	var known []spelling
	for _, a := range acids().all {
		known = append(known, spelling{foldCode(a.Code), a.Common})
		for _, name := range slices.Concat([]string{a.Common}, a.AlsoCalled) {
			known = append(known, spelling{foldAcid(name), a.Common}, spelling{fold(name), a.Common})
		}
	}
	return nearest(word, known)
}

// A spelling is a known one, folded, and what to say when it is meant.
type spelling struct {
	folded string
	say    string
}

// longestWord bounds the work on a word that is like nothing anyhow; the longest
// name of the tables has fewer characters.
const longestWord = 80

func nearest(word string, known []spelling) string {
	folded := fold(word)
	runes := []rune(folded)
	if len(runes) == 0 || len(runes) > longestWord {
		return ""
	}
	// With more than one slip in five letters, and one, short words are all alike.
	fewest, byLetters := 2+len(runes)/5, ""
	for _, s := range known {
		if d := slips(runes, []rune(s.folded)); d < fewest {
			fewest, byLetters = d, s.say
		}
	}
	if fewest <= 1 {
		return byLetters
	}
	wanted := wordsOf(folded)
	if len(wanted) == 0 {
		return byLetters
	}
	fewestWords, byWords := math.MaxInt, ""
	for _, s := range known {
		if words := wordsOf(s.folded); len(words) < fewestWords && hasAll(words, wanted) {
			fewestWords, byWords = len(words), s.say
		}
	}
	return cmp.Or(byWords, byLetters)
}

func wordsOf(folded string) []string {
	return strings.FieldsFunc(folded, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

func hasAll(words, wanted []string) bool {
	return !slices.ContainsFunc(wanted, func(w string) bool { return !slices.Contains(words, w) })
}

// slips counts the fewest slips that turn a into b: the optimal string alignment
// distance, in which a swap of neighbours is one slip.
func slips(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			row[j+1] = min(last[j]+change, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
