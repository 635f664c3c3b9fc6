package text

import (
	"strings"
	"unicode"
)

// Names makes the words of a list of ingredients: "A, B, C.". A line ends best
// between two names; inside one it costs so much as inside says, or never does.
func Names(names []string, style Style, inside Cost) []Word {
	split := make([][]Word, len(names))
	for i, name := range names {
		split[i] = Name(name, style, inside)
	}
	return List(split, ",", ".")
}

// List joins parts, such as names, to running text: the sign between is set
// after each part and the sign end after the last. A line may end freely after
// each part. Empty parts are left out.
func List(parts [][]Word, between, end string) []Word {
	var list []Word
	for _, part := range parts {
		if len(part) == 0 {
			continue
		}
		if len(list) > 0 {
			list[len(list)-1].Text += between
		}
		list = append(list, part...)
		list[len(list)-1].Space, list[len(list)-1].Break = true, Free
	}
	if len(list) > 0 {
		list[len(list)-1].Text += end
	}
	return list
}

// Name makes the words of one name of an ingredient. At the cost inside, a line
// may end
//
//   - at a space;
//   - after a slash that no figure follows, and before an opening bracket that
//     stands there without a space;
//   - after a hyphen that is part of the name, if three letters or more stand on
//     each side of it and what stands before is not a locant or a prefix of
//     chemistry, such as N- or alpha-.
//
// It may never end inside a number with its name, such as "CI 77491", "No. 40"
// or "5 %", nor at a no-break space.
//
// The rules follow the aim of the IUPAC recommendations on end-of-line
// hyphenation of chemical names (Dijkstra and others, Pure and Applied Chemistry
// 2020, doi 10.1515/pac-2019-1005): a break must make chemical sense, and no
// hyphen at the end of a line may be one that is not in the name.
func Name(name string, style Style, inside Cost) []Word {
	var words []Word
	spaced := strings.FieldsFunc(name, breakable)
	for i, w := range spaced {
		pieces := cutInside(w)
		for _, piece := range pieces {
			words = append(words, Word{Text: piece, Style: style, Break: inside})
		}
		last := &words[len(words)-1]
		last.Space = true
		if i+1 < len(spaced) && belongsTogether(w, spaced[i+1]) {
			last.Break = Never
		}
	}
	return words
}

// belongsTogether reports whether two words are one figure to the reader.
func belongsTogether(left, right string) bool {
	numbered := strings.EqualFold(left, "CI") || strings.EqualFold(left, "C.I.") ||
		strings.EqualFold(left, "No.") || strings.EqualFold(left, "Nr.") || left == "№"
	return numbered && unicode.IsDigit(first(right)) ||
		unicode.IsDigit(last(left)) && strings.HasPrefix(right, "%")
}

// shortestBracket is the most characters of a bracket, such as "(s)", that stays
// with its word.
const shortestBracket = 3

// cutInside cuts a word without spaces at the places where a line may end.
func cutInside(word string) []string {
	var pieces []string
	runes := []rune(word)
	start := 0
	for i := 1; i < len(runes); i++ {
		left, right := runes[i-1], runes[i]
		if left == '/' && right != '/' && !unicode.IsDigit(right) ||
			(right == '(' || right == '[') && unicode.IsLetter(left) && len(runes)-i > shortestBracket ||
			left == '-' && hyphenMayEnd(runes[:i-1], runes[i:]) {
			pieces = append(pieces, string(runes[start:i]))
			start = i
		}
	}
	return append(pieces, string(runes[start:]))
}

// hyphenMayEnd reports whether a line may end after the hyphen between two parts
// of a name.
func hyphenMayEnd(before, after []rune) bool {
	const least = 3 // letters on each side
	start := len(before)
	for start > 0 && unicode.IsLetter(before[start-1]) {
		start--
	}
	end := 0
	for end < len(after) && unicode.IsLetter(after[end]) {
		end++
	}
	return len(before)-start >= least && end >= least && !prefixes[strings.ToLower(string(before[start:]))]
}

// prefixes are the words that a chemical name sets before a hyphen and that say
// nothing without what follows (IUPAC nomenclature of organic chemistry, 2013,
// P-14 and P-91: locants and stereodescriptors).
var prefixes = map[string]bool{
	"alpha": true, "beta": true, "gamma": true, "delta": true, "epsilon": true, "zeta": true, "omega": true,
	"cis": true, "trans": true, "syn": true, "anti": true, "endo": true, "exo": true, "meso": true, "rac": true, "rel": true,
	"ortho": true, "meta": true, "para": true, "sec": true, "tert": true, "iso": true, "nor": true, "neo": true,
}

func first(s string) rune {
	for _, r := range s {
		return r
	}
	return 0
}

func last(s string) rune {
	var l rune
	for _, r := range s {
		l = r
	}
	return l
}
