package check

import (
	"fmt"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

// RuleLot is the finding that the statement on a scent is older than the lot of it
// that was weighed.
const RuleLot = "CHECK-LOT"

// oldStatement is from how many months on a statement tells little of a lot that
// came in after it: recipes of scents change, and crops differ (common practice, no
// source).
const oldStatement = 36

// Lots compares the days on which the lots of a batch came in with those of the
// statements on what is in a scent. A lot that came later may be another one.
func Lots(b formula.Batch, library formula.Library) []finding.Finding {
	var found []finding.Finding
	for _, lot := range b.Weighed {
		m, _ := library.Find(lot.Material.V)
		stated, received := m.Statement.Dated, lot.Received
		if len(m.Allergens) == 0 || !stated.Given() || !received.Given() || !stated.V.Before(received.V) {
			continue
		}
		f := finding.Finding{
			Level: finding.Note, Rule: RuleLot, At: received.At,
			Message: fmt.Sprintf("the lot of %q came in on %s, and its statement is of %s: it may be about another lot", lot.Material.V, received.V, stated.V),
			Remedy:  fmt.Sprintf("ask the supplier whether the statement on %q still holds, or for one that is about this lot", lot.Material.V),
		}
		if stated.V.Before(received.V.AddMonths(-oldStatement)) {
			f.Level = finding.Warn
			f.Message = fmt.Sprintf("the lot of %q came in on %s, and its statement is of %s, more than %d years before", lot.Material.V, received.V, stated.V, oldStatement/12)
		}
		found = append(found, f)
	}
	return found
}
