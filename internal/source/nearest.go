package source

import "strings"

// Nearest gives the candidate that word is most likely a slip for, or "" when
// none is near. It counts letters that are missing, added, wrong or swapped
// with their neighbour, and allows one of them in short words and one in three
// letters of long ones. The case of letters does not count, and spaces, hyphens
// and underscores are equal. Of candidates that are equally near, the first in
// the order of their letters is given.
func Nearest(word string, candidates []string) string {
	folded := []rune(foldKey(word))
	best, least := "", allowed(len(folded))+1
	for _, c := range candidates {
		other := []rune(foldKey(c))
		limit := min(least, allowed(max(len(folded), len(other))))
		d := distance(folded, other, limit)
		if d < least || d == least && best != "" && c < best {
			best, least = c, d
		}
	}
	return best
}

// longestWord is the most letters that a word may have to be compared at all.
const longestWord = 120

// allowed is how many slips a word of so many letters may have.
func allowed(letters int) int {
	switch {
	case letters == 0 || letters > longestWord:
		return -1
	case letters <= 2:
		return 0
	}
	return max(1, letters/3)
}

// foldKey makes the spellings of a key equal that mean the same to a reader.
func foldKey(s string) string {
	fields := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return r == ' ' || r == '-' || r == '_' || r == '\u00a0'
	})
	return strings.Join(fields, " ")
}

// Slips counts the slips between two texts as they stand: characters that are missing,
// added, wrong or swapped with their neighbour. It gives more than limit as soon as that
// is certain.
func Slips(a, b string, limit int) int { return distance([]rune(a), []rune(b), limit) }

// distance counts the slips between a and b: the optimal string alignment
// distance. It gives more than limit as soon as that is certain.
func distance(a, b []rune, limit int) int {
	if limit < 0 || len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			wrong := 1
			if a[i-1] == b[j-1] {
				wrong = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+wrong)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least > limit {
			return limit + 1
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
