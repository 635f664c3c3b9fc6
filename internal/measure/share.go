package measure

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// A PartShare is how much of a thing one of its parts is, as a list says it: a range
// of shares, or whatever the other parts leave.
type PartShare struct {
	ShareRange      // 0 to 100 % for a rest
	Rest       bool // written "rest", "balance" and the like
}

// A side says which bound of a share a sign or a word gives.
type side int

const (
	both  side = iota // neither sign nor word: the share itself
	upTo              // "≤", "up to": the high bound
	below             // "<", "below": the high bound, which is itself left out
	from              // "≥", "at least": the low bound
	above             // ">", "above": the low bound, which is itself left out
	trace             // "traces": both, without a number
	about             // "ca.", "~": both, and nobody knows how far off
	rest              // "balance": neither
	fill              // "q.s. to", which 100 % follow: neither
)

// isHigh reports whether a high bound is given.
func (is side) isHigh() bool { return is == upTo || is == below }

// sides holds what is printed before the number of a share, or in its place, as fold
// leaves it.
var sides = map[string]side{
	"≤": upTo, "<=": upTo, "⩽": upTo, "up to": upTo, "at most": upTo, "not more than": upTo, "no more than": upTo, "max": upTo, "maximum": upTo,
	"<": below, "below": below, "under": below, "less than": below,
	"≥": from, ">=": from, "⩾": from, "at least": from, "not less than": from, "no less than": from, "min": from, "minimum": from,
	">": above, "above": above, "over": above, "more than": above,
	"trace": trace, "traces": trace,
	"about": about, "ca": about, "circa": about, "approx": about, "approximately": about, "roughly": about, "~": about, "≈": about,
	"rest": rest, "remainder": rest, "balance": rest, "qs": rest,
	"to": fill, "ad": fill, "rest to": fill, "remainder to": fill, "balance to": fill, "qs to": fill, "qs ad": fill,
}

// ShareWords gives the words that may stand before the number of a share or in its
// place, such as "below" and "traces", in alphabetical order. Of those before which no
// number is read, such as "about", it is known at least why.
func ShareWords() []string {
	var words []string
	for w := range sides {
		if 'a' <= w[0] && w[0] <= 'z' {
			words = append(words, w)
		}
	}
	slices.Sort(words)
	return words
}

const (
	shareHint     = `write a share as "5%", "20-30%", "<1%", "up to 5%", "at least 50%" or "traces"`
	partShareHint = shareHint + `, or "rest" for what the others leave`
)

// ParsePartShare reads the share of a part as suppliers print it: all that
// [ParseShareRange] reads, and "rest", "remainder", "balance", "q.s.", "to 100%" and
// "q.s. to 100%" for what the other parts leave.
func ParsePartShare(s string) (PartShare, error) {
	sc := scan(s)
	word, what := sc.side()
	if what == fill {
		start := sc.at
		switch v, err := sc.share(start, len(sc.text)); {
		case err != nil:
			return PartShare{}, err
		case v != Whole:
			return PartShare{}, &SyntaxError{start, fmt.Sprintf("%q fills up all of a thing, which is 100 %%", word), `write "up to" for a share that is at most so much, or "to 100%" for what the others leave`}
		}
	}
	if what == fill || what == rest && sc.done() {
		return PartShare{ShareRange{0, Whole}, true}, nil
	}
	r, err := parseShareRange(s, partShareHint)
	return PartShare{ShareRange: r}, err
}

// ParseShareRange reads a share or a range of shares: "5%", "20-30%", "20%-30%",
// "20–30 %", "20 to 30%", "from 20 to 30%", "between 20 and 30%"; a bound of one: "<1%",
// "≤ 5 %", "below 1%", "up to 5%", ">50%", "≥50%", "above 50%", "at least 50%"; both
// bounds: "≥10-<20%"; all of these in ppm or mg/kg too, which are millionths by mass;
// and "traces", which are 0 to 1 %. That is our reading of common practice, which no
// standard backs; it is the wide one, since what is proved of all shares up to 1 % holds
// for fewer as well. The bound that is not written is 0 or 100 %.
// Bounds are closed: what is below 1 % is kept as 0 to 1 %. A range that runs downwards
// is an error, and so are one that holds nothing, such as "<0%", and one of which nobody
// knows how far it goes, such as "ca. 30%". The error is a [*SyntaxError].
func ParseShareRange(s string) (ShareRange, error) { return parseShareRange(s, shareHint) }

func parseShareRange(s, hint string) (ShareRange, error) {
	sc := scan(dashed(s))
	word, first := sc.side()
	start := sc.at
	switch first {
	case trace:
		if !sc.done() {
			return ShareRange{}, &SyntaxError{sc.at, fmt.Sprintf("nothing can follow %q", word), hint}
		}
		return ShareRange{0, Percent}, nil
	case about:
		return ShareRange{}, &SyntaxError{0, fmt.Sprintf("how far off %q may be is not said", strings.TrimSpace(s)), `write the range that the supplier means, such as "25-35%"`}
	case rest, fill:
		return ShareRange{}, &SyntaxError{0, fmt.Sprintf("%q is no share by itself", strings.TrimSpace(s)), hint}
	}
	if !sc.done() && unicode.IsLetter(sc.text[sc.at]) {
		return ShareRange{}, &SyntaxError{sc.at, fmt.Sprintf("%q does not begin with a number or a word for a share", strings.TrimSpace(string(sc.text[sc.at:]))), hint}
	}
	if !sc.done() {
		sc.at++ // a dash that stands here is a minus, which the number reports
	}
	split := sc.seek(isDash)
	if sc.done() {
		v, err := sc.share(start, split)
		if err != nil {
			return ShareRange{}, err
		}
		return first.bound(v, s)
	}
	// A sign belongs to the number behind it; of which bound a word tells is not clear.
	if first.isHigh() || first != both && unicode.IsLetter([]rune(word)[0]) {
		return ShareRange{}, &SyntaxError{0, fmt.Sprintf("%q stands before a range", word), `write the range alone, such as "20-30%", or one bound, such as "<30%"`}
	}
	low, err := sc.share(start, split)
	if err != nil {
		return ShareRange{}, err
	}
	sc.at = split + 1
	word, second := sc.side()
	if second != both && !second.isHigh() {
		return ShareRange{}, &SyntaxError{split + 1, fmt.Sprintf("%q stands before the high bound of a range", word), `write the range alone, such as "20-30%"`}
	}
	high, err := sc.share(sc.at, len(sc.text))
	if err != nil {
		return ShareRange{}, err
	}
	if low > high {
		return ShareRange{}, &SyntaxError{split, "the range runs downwards", `write the smaller share first, such as "20-30%"`}
	}
	return ShareRange{low, high}, nil
}

// inWords is a range whose ends are joined by a word: "20 to 30%", "between 20 and 30%".
var inWords = regexp.MustCompile(`(?i)^(\s*(?:between\s|from\s)?)(\s*[0-9.,]+\s*(?:%|ppm)?\s*)(to|and)(\s*[0-9].*)$`)

// dashed puts a dash in the place of the word that joins the ends of a range, and blanks
// in that of one before them, so that every character keeps its place. "And" joins only
// what is between.
func dashed(s string) string {
	m := inWords.FindStringSubmatch(s)
	if m == nil {
		return s
	}
	opener, joint := strings.ToLower(strings.TrimSpace(m[1])), strings.ToLower(m[3])
	if (joint == "and") != (opener == "between") {
		return s
	}
	return strings.Repeat(" ", len(m[1])) + m[2] + "-" + strings.Repeat(" ", len(joint)-1) + m[4]
}

// side reads the sign or the words before a number, and the spaces after them. What is
// none of those that are known is left unread.
func (sc *scanner) side() (word string, what side) {
	sc.spaces()
	start := sc.at
	letters := sc.is('.') || !sc.done() && unicode.IsLetter(sc.text[sc.at])
	end := sc.seek(func(r rune) bool {
		if letters {
			return !unicode.IsLetter(r) && !unicode.IsSpace(r) && r != '.'
		}
		return !strings.ContainsRune("<≤⩽>≥⩾=~≈", r)
	})
	word = strings.TrimSpace(string(sc.text[start:end]))
	if what = sides[fold(word)]; what == both {
		sc.at = start
	}
	sc.spaces()
	return word, what
}

// share reads the share that stands from one character up to another. The first of a
// range need not have its unit: "20-30%", "50-100 ppm".
func (sc *scanner) share(start, end int) (Share, error) {
	text := sc.text[:end]
	if end < len(sc.text) {
		typed := []rune(strings.TrimRightFunc(string(text[start:]), unicode.IsSpace))
		if len(typed) == 0 || typed[len(typed)-1] != '%' && !unicode.IsLetter(typed[len(typed)-1]) {
			text = slices.Concat(text[:start], typed, []rune(sc.unitAtEnd()))
		}
	}
	part := scanner{text, start}
	exact, _, err := shares.read(&part)
	if err != nil {
		return 0, err
	}
	return Share(roundHalfUp(exact)), nil
}

// unitAtEnd gives the unit with which a text ends, and "%" where that is none of a share.
func (sc *scanner) unitAtEnd() string {
	end := len(sc.text)
	for end > 0 && !unicode.IsNumber(sc.text[end-1]) {
		end--
	}
	if u, ok := shares.unit(string(sc.text[end:])); ok {
		return u.name
	}
	return "%"
}

// bound gives the shares on the side of a bound, which was written as s.
func (is side) bound(v Share, s string) (ShareRange, error) {
	if is == below && v == 0 || is == above && v == Whole {
		return ShareRange{}, &SyntaxError{0, fmt.Sprintf("no share is %q", strings.TrimSpace(s)), shareHint}
	}
	switch is {
	case upTo, below:
		return ShareRange{0, v}, nil
	case from, above:
		return ShareRange{v, max(v, Whole)}, nil
	}
	return ShareRange{v, v}, nil
}
