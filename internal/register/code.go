package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"saponym/internal/barcode"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/source"
)

// The form of codes where the shop says nothing: the year, the day of the year, a running
// number and a check character. Such codes sort by day.
const (
	UsualPattern = "YYDDD-NN"
	usualCheck   = "37,36"
)

// RuleCodes is the finding that the form of batch codes in shop.yaml is none.
const RuleCodes = "REG-CODES"

// A Form is the form of the batch codes of a shop.
type Form struct {
	pattern string
	system  barcode.CheckSystem
}

// A FormError says why a form of codes is none.
type FormError struct{ finding.Finding }

func (e *FormError) Error() string {
	return fmt.Sprintf("%s: %s; %s", e.At, e.Message, e.Remedy)
}

// NewForm reads the form of the codes of a shop. The error is a [*FormError].
//
// A pattern is made of Y, M, D and N, of hyphens, and of other capitals and digits, which
// stand for themselves: YY or YYYY for the year, MM and DD for month and day, DDD for the
// day of the year, N… for the running number of the day. They come in the order of time,
// so that codes sort by day; a pattern of a running number alone counts for ever.
func NewForm(c formula.Codes) (Form, error) {
	f := Form{pattern: UsualPattern}
	if c.Pattern.Given() {
		f.pattern = c.Pattern.V
	}
	wrong := func(at formula.Text, remedy, message string, args ...any) (Form, error) {
		return Form{}, &FormError{finding.Finding{Level: finding.Stop, Rule: RuleCodes, At: at.At, Message: fmt.Sprintf(message, args...), Remedy: remedy}}
	}
	name := usualCheck
	if c.Check.Given() {
		name = c.Check.V
	}
	var ok bool
	if f.system, ok = barcode.CheckSystemNamed(name); !ok {
		return wrong(c.Check, `write "37,36", or "11,10" for a stamp with digits alone`, "there is no check %q", name)
	}
	fields := ""
	for i, r := range f.pattern {
		switch {
		case strings.ContainsRune("YMDN", r):
			if i == 0 || rune(f.pattern[i-1]) != r {
				fields += string(r)
			}
		case r == '-' && i > 0 && i < len(f.pattern)-1:
		case r >= '0' && r <= '9':
		case r >= 'A' && r <= 'Z' && f.system == barcode.Mod3736:
		default:
			return wrong(c.Pattern, `write for example "`+UsualPattern+`"`, "the pattern %q has %q, which no code of this check has", f.pattern, r)
		}
	}
	count := func(letter string) int { return strings.Count(f.pattern, letter) }
	year, dated := count("Y") == 2 || count("Y") == 4, count("D") == 3 && count("M") == 0 || count("D") == 2 && count("M") == 2
	switch {
	case fields == "N":
	case fields != "YDN" && fields != "YMDN" || !year || !dated:
		return wrong(c.Pattern, `write for example "`+UsualPattern+`" or "YYMMDD-NN"`, "the pattern %q does not give year, day and number in this order", f.pattern)
	}
	return f, nil
}

// Code gives the code of the n-th batch of a day, from 1. It is false where the number
// has no room, and for a check character that is easily taken for a digit: such numbers
// are left out.
func (f Form) Code(made day.Day, n int) (string, bool) {
	date := made.Time()
	values := map[byte]int{'Y': date.Year(), 'M': int(date.Month()), 'D': date.Day(), 'N': n}
	if strings.Contains(f.pattern, "DDD") {
		values['D'] = date.YearDay()
	}
	var body strings.Builder
	for i := 0; i < len(f.pattern); {
		letter := f.pattern[i]
		value, field := values[letter]
		if !field {
			body.WriteByte(letter)
			i++
			continue
		}
		width := 0
		for ; i < len(f.pattern) && f.pattern[i] == letter; i++ {
			width++
		}
		digits := fmt.Sprintf("%0*d", width, value)
		if letter == 'N' && len(digits) > width {
			return "", false
		}
		body.WriteString(digits[len(digits)-width:])
	}
	check, err := f.system.Check(plain(body.String()))
	if err != nil || strings.IndexByte(misread, check) >= 0 {
		return "", false
	}
	return body.String() + "-" + string(check), true
}

// misread are the letters that are taken for the digits 1 and 0, and for V.
const misread = "ILOU"

// most gives the highest running number.
func (f Form) most() int {
	most := 1
	for range strings.Count(f.pattern, "N") {
		most *= 10
	}
	return most - 1
}

// Fits reports whether a text, as somebody typed it, has the check character of this form.
func (f Form) Fits(typed string) bool { return f.system.Valid(plain(typed)) }

// plain gives a code without hyphens, spaces and other marks, in capitals.
func plain(code string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			return -1
		}
		return unicode.ToUpper(r)
	}, code)
}

// alike folds characters that are taken for each other when a label is read (a discussion
// of characters that look alike in typed codes; Canadian postal codes leave out D, F, I,
// O, Q and U).
var alike = strings.NewReplacer(
	"O", "0", "Q", "0", "D", "0", "I", "1", "L", "1", "7", "1", "Z", "2", "S", "5", "G", "6", "C", "6", "B", "8", "U", "V", "Y", "V", "F", "E", "N", "M", "P", "8", "T", "8",
)

// Find gives the code that somebody typed, whatever hyphens, spaces and capitals they
// used.
func Find(typed string, codes []string) (string, bool) {
	want := plain(typed)
	found := ""
	for _, code := range codes {
		if code == typed {
			return code, true
		}
		if want != "" && plain(code) == want {
			found = code
		}
	}
	return found, found != ""
}

// mostLikely is how many codes are offered for one that was mistyped.
const mostLikely = 5

// Likely gives the codes that a mistyped one most likely stands for, the likeliest first:
// those that look the same, then those that differ by one slip, then by two.
func Likely(typed string, codes []string) []string {
	type candidate struct {
		code  string
		slips int
	}
	want := plain(typed)
	looks := alike.Replace(want)
	var all []candidate
	for _, code := range codes {
		is := plain(code)
		slips := source.Slips(want, is, 2)
		switch {
		case is == "" || len(want) == 0:
			continue
		case alike.Replace(is) == looks, len(want) > 3 && strings.HasPrefix(alike.Replace(is), looks) && len(is) == len(want)+1:
			slips = 0 // read wrong, or without its check character
		case slips > 2:
			continue
		}
		all = append(all, candidate{code, slips})
	}
	slices.SortFunc(all, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.slips, b.slips), strings.Compare(b.code, a.code)) // of equals the youngest
	})
	var likely []string
	for _, c := range all {
		if c.slips > all[0].slips+1 || len(likely) == mostLikely {
			break
		}
		likely = append(likely, c.code)
	}
	return likely
}
