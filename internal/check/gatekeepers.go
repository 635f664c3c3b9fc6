package check

import (
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
)

// Gatekeepers reports what must be there before a bar may be sold, and of which the
// formula has no evidence. A law that joins those of several markets asks for the
// evidence of each place.
func Gatekeepers(f formula.Formula, law *market.Law) []finding.Finding {
	var found []finding.Finding
	for _, g := range law.Gatekeepers {
		place, _ := market.Place(g.Market) // there is such a market: the rule was read from it
		given := func(key string) bool { return isEvidence(f.Evidence[place][key].V) }
		if !slices.ContainsFunc(g.Evidence, given) {
			found = append(found, g.Finding(f.Name.At, ""))
		}
	}
	return found
}

// isEvidence reports whether a text tells of something that is there: one that says
// there is none, or not yet, is no evidence.
func isEvidence(text string) bool {
	word := strings.ToLower(strings.Trim(text, " .-–—?…"))
	return !slices.Contains([]string{"", "no", "none", "not yet", "n/a", "na", "nil", "false", "open", "missing", "pending", "todo", "tbd"}, word)
}
