// Package barcode holds the codes that a machine or a person reads from a label,
// with what makes a slip in them show.
package barcode

import (
	"fmt"
	"strings"
)

// A CheckSystem is one of the hybrid systems of ISO/IEC 7064: one check character
// behind a body, from the alphabet of the body. Every single wrong character is
// caught, and nearly every swap of two neighbours.
type CheckSystem struct {
	Name     string // as the standard has it without "MOD": "37,36"
	alphabet string
}

// The systems for what a person types or stamps.
var (
	Mod1110 = CheckSystem{"11,10", "0123456789"}
	Mod3736 = CheckSystem{"37,36", "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"}
)

// CheckSystemNamed gives a system by its name.
func CheckSystemNamed(name string) (CheckSystem, bool) {
	for _, s := range []CheckSystem{Mod1110, Mod3736} {
		if s.Name == name {
			return s, true
		}
	}
	return CheckSystem{}, false
}

// A CharacterError says that a text has a character that is not in the alphabet
// of its system.
type CharacterError struct {
	System    CheckSystem
	Text      string
	Character rune
}

func (e *CharacterError) Error() string {
	return fmt.Sprintf("%q has the character %q, which ISO/IEC 7064 MOD %s does not know", e.Text, e.Character, e.System.Name)
}

// Check gives the check character of a body. Capitals, digits and nothing else
// are in the alphabet: hyphens are taken out before.
func (s CheckSystem) Check(body string) (byte, error) {
	p, err := s.carry(body)
	if err != nil {
		return 0, err
	}
	m := len(s.alphabet)
	return s.alphabet[(1-p+m)%m], nil
}

// Valid reports whether the last character of a text is the check character of
// what stands before it. An empty text is not valid.
func (s CheckSystem) Valid(text string) bool {
	if text == "" {
		return false
	}
	check, err := s.Check(text[:len(text)-1])
	return err == nil && check == text[len(text)-1]
}

// carry runs over a body: with M the size of the alphabet and P = M to begin
// with, S = (P + a) mod M, M in place of 0, and then P = 2·S mod (M + 1).
func (s CheckSystem) carry(body string) (int, error) {
	m := len(s.alphabet)
	p := m
	for _, c := range body {
		a := strings.IndexRune(s.alphabet, c)
		if a < 0 {
			return 0, &CharacterError{s, body, c}
		}
		sum := (p + a) % m
		if sum == 0 {
			sum = m
		}
		p = 2 * sum % (m + 1)
	}
	return p, nil
}
