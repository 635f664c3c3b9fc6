package formula

import (
	"path"
	"strings"
)

// ID folds a name into the id that it stands for: spaces, underscores and
// hyphens are equal, and so are capitals and small letters. "Sodium hydroxide"
// and "sodium-hydroxide" are one id.
func ID(name string) string {
	fields := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return r == ' ' || r == '-' || r == '_' || r == '\u00a0'
	})
	return strings.Join(fields, "-")
}

// IsID reports whether a text is an id: letters a to z and digits, in groups
// with one hyphen between them. An id is also the name of a file.
func IsID(text string) bool {
	if text == "" || len(text) > longestID || text != ID(text) {
		return false
	}
	return strings.Trim(text, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

// longestID is the most bytes of an id; file systems take 255 with the ending.
const longestID = 100

// baseName gives the name of a file without its folders and its ending.
func baseName(file string) string {
	name := path.Base(strings.ReplaceAll(file, `\`, "/"))
	for _, ending := range []string{".yaml", ".yml"} {
		if base, ok := strings.CutSuffix(name, ending); ok {
			return base
		}
	}
	return name
}
