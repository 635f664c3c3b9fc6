package check

import (
	"fmt"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// RuleClaims is the finding that a batch cannot hold what its bars promise.
const RuleClaims = "CHECK-CLAIMS"

// Claims compares the net weights that a formula promises with all that is
// weighed into the batter, in grams. Bars lose water and nothing is added, so more
// than the batter cannot be true of any of them. A cut without a count stands for
// one bar.
func Claims(f formula.Formula, batter float64) []finding.Finding {
	promised := 0.0
	var at finding.Pos
	for _, cut := range f.Cuts {
		claim := cut.ClaimMass().Grams() * float64(max(1, cut.Count.V))
		if claim > 0 {
			promised, at = promised+claim, cut.Claim.At
		}
	}
	if measure.MassDown(promised) <= measure.MassUp(batter) {
		return nil
	}
	return []finding.Finding{{
		Level: finding.Stop, Rule: RuleClaims, At: at,
		Message: fmt.Sprintf("the bars promise %.1f g in all, and all that is poured weighs %.1f g", promised, batter),
		Remedy:  "give fewer bars or a smaller claim for each, or make more of it",
	}}
}
