package barcode_test

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/barcode"
)

// Vectors of the tests and the documents of python-stdnum, an open implementation
// of ISO/IEC 7064; the last ones of each system were worked out by hand.
func TestPublishedVectors(t *testing.T) {
	for _, tt := range []struct {
		system barcode.CheckSystem
		body   string
		check  byte
	}{
		{barcode.Mod1110, "0794", '5'},
		{barcode.Mod1110, "00200667308", '5'},
		{barcode.Mod1110, "00200667309", '3'},
		{barcode.Mod1110, "1232", '3'},
		{barcode.Mod1110, "54679", '4'},
		{barcode.Mod1110, "20260417", '2'},
		{barcode.Mod3736, "A12425GABC1234002", 'M'}, // the example of the Global Release Identifier
		{barcode.Mod3736, "L26104A", 'B'},
		{barcode.Mod3736, "CP26041", 'Q'},
	} {
		got, err := tt.system.Check(tt.body)
		if err != nil || got != tt.check {
			t.Errorf("MOD %s of %s: got %c, %v, want %c", tt.system.Name, tt.body, got, err, tt.check)
		}
		if text := tt.body + string(tt.check); !tt.system.Valid(text) {
			t.Errorf("MOD %s: %s is not valid", tt.system.Name, text)
		}
	}
	if barcode.Mod1110.Valid("002006673084") {
		t.Error("002006673084 is valid, and python-stdnum says that it is not")
	}
}

func TestWhatIsNotInTheAlphabet(t *testing.T) {
	for _, tt := range []struct {
		system barcode.CheckSystem
		text   string
		bad    rune
	}{
		{barcode.Mod1110, "12A4", 'A'}, {barcode.Mod3736, "26-01", '-'}, {barcode.Mod3736, "ab", 'a'}, {barcode.Mod3736, "Ä", 'Ä'},
	} {
		_, err := tt.system.Check(tt.text)
		var letter *barcode.CharacterError
		if !errors.As(err, &letter) || letter.Character != tt.bad || !strings.Contains(err.Error(), tt.text) {
			t.Errorf("MOD %s of %s: got %v, want the character %q", tt.system.Name, tt.text, err, tt.bad)
		}
		if tt.system.Valid(tt.text) {
			t.Errorf("%s is valid", tt.text)
		}
	}
	if barcode.Mod3736.Valid("") {
		t.Error("nothing is valid")
	}
}

func TestCheckSystemNamed(t *testing.T) {
	if s, ok := barcode.CheckSystemNamed("37,36"); !ok || s.Name != "37,36" {
		t.Errorf("got %v, %t", s, ok)
	}
	if _, ok := barcode.CheckSystemNamed("97-10"); ok {
		t.Error("a pure system was found among the hybrid ones")
	}
}

// The standard promises that every single wrong character is caught.
func TestEverySingleSlipIsCaught(t *testing.T) {
	for system, letters := range map[barcode.CheckSystem]string{barcode.Mod1110: "0123456789", barcode.Mod3736: "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"} {
		rapid.Check(t, func(t *rapid.T) {
			body := rapid.StringOfN(rapid.SampledFrom([]rune(letters)), 1, 20, -1).Draw(t, "body")
			check, err := system.Check(body)
			if err != nil {
				t.Fatal(err)
			}
			text := body + string(check)
			at := rapid.IntRange(0, len(text)-1).Draw(t, "at")
			for i := range len(letters) {
				slip := text[:at] + string(letters[i]) + text[at+1:]
				if system.Valid(slip) != (slip == text) {
					t.Fatalf("%s for %s is valid: %t", slip, text, system.Valid(slip))
				}
			}
		})
	}
}

// The share of swaps of neighbours that are caught, counted over all carries and
// pairs of characters by an independent count: 97.8 % and 99.84 %.
func TestSwapsOfNeighbours(t *testing.T) {
	for _, tt := range []struct {
		system    barcode.CheckSystem
		letters   string
		low, high float64
	}{{barcode.Mod1110, "0123456789", 97, 98.5}, {barcode.Mod3736, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", 99.7, 99.95}} {
		caught, all := 0, 0
		for i := range len(tt.letters) {
			for j := range len(tt.letters) {
				for k := range len(tt.letters) {
					if j == k {
						continue
					}
					body := string([]byte{tt.letters[i], tt.letters[j], tt.letters[k]})
					check, err := tt.system.Check(body)
					if err != nil {
						t.Fatal(err)
					}
					all++
					if !tt.system.Valid(string([]byte{body[0], body[2], body[1], check})) {
						caught++
					}
				}
			}
		}
		if share := 100 * float64(caught) / float64(all); share < tt.low || share > tt.high {
			t.Errorf("MOD %s catches %.2f %% of the swaps, want %.4g to %.4g", tt.system.Name, share, tt.low, tt.high)
		}
	}
}
