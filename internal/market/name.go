package market

import "strings"

// A Spoken is what one substance is called.
type Spoken struct {
	US, EU string // in the two nomenclatures
	French string // where the Canadian schedule has it, which gives it three names
}

// Name gives the name that the list prints for a substance. A list that serves
// several laws prints one that is good in each of them: the schedule's three names,
// the name in the American manner where that is the European one with a gloss in
// brackets, or else the European name with the American one in brackets.
func (l List) Name(s Spoken) string {
	us, eu, scheduled := false, false, false
	for _, one := range l.each() {
		european := one.Names == NamesEU || one.Trivial && s.French != ""
		us, eu = us || !european, eu || european
		scheduled = scheduled || one.Trivial && s.French != ""
	}
	switch {
	case !eu || s.EU == "":
		return s.US
	case !us:
		return s.EU
	case scheduled:
		return s.EU + "/" + s.US + "/" + s.French
	}
	return s.inBoth()
}

// inBoth gives a name that is good in both nomenclatures.
func (s Spoken) inBoth() string {
	switch {
	case s.EU == "":
		return s.US
	case s.US == "" || s.US == s.EU:
		return s.EU
	case unglossed(s.US) == s.EU:
		return s.US
	}
	return s.EU + " (" + s.US + ")"
}

// each gives the lists that one was made of, or the list itself.
func (l List) each() []List {
	if len(l.asked) == 0 {
		return []List{l}
	}
	return l.asked
}

// unglossed takes the common name in brackets out of a name in the American manner.
func unglossed(name string) string {
	before, rest, ok := strings.Cut(name, " (")
	if !ok {
		return name
	}
	_, after, _ := strings.Cut(rest, ")")
	return before + after
}
