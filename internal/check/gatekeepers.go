package check

import (
	"slices"

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
		given := func(key string) bool { return f.Evidence[place][key].V != "" }
		if !slices.ContainsFunc(g.Evidence, given) {
			found = append(found, g.Finding(f.Name.At, ""))
		}
	}
	return found
}
