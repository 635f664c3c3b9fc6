package formula

import "strings"

// gtinFault says what is wrong with a Global Trade Item Number, or "" if nothing
// is. It has 8, 12, 13 or 14 digits, of which the last is the check digit: with
// it, the sum of all digits, weighted 3 and 1 in turn from the right (the check
// digit itself 1), is a multiple of ten (GS1 General Specifications, section
// 7.9, standard check digit calculations).
func gtinFault(s string) (fault, remedy string) {
	digits := strings.NewReplacer(" ", "", "-", "").Replace(s)
	if strings.Trim(digits, "0123456789") != "" {
		return "a GTIN has digits only", "write the number that stands below the bars"
	}
	switch len(digits) {
	case 8, 12, 13, 14:
	default:
		return "a GTIN has 8, 12, 13 or 14 digits", "write the number that stands below the bars, with its check digit"
	}
	if len(digits) != len(s) {
		return "a GTIN has digits only", "write it without spaces and hyphens: " + `"` + digits + `"`
	}
	if want := gtinCheckDigit(digits[:len(digits)-1]); digits[len(digits)-1] != want {
		return "the check digit is wrong", "look for a slip of the pen: with the digits before it, the last would be " + string(want)
	}
	return "", ""
}

// gtinCheckDigit gives the check digit that follows the digits.
func gtinCheckDigit(digits string) byte {
	sum := 0
	for i := range len(digits) {
		digit := int(digits[len(digits)-1-i] - '0')
		if i%2 == 0 {
			digit *= 3
		}
		sum += digit
	}
	return byte('0' + (10-sum%10)%10)
}
