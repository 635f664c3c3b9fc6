package market

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/source"
)

// A Gatekeeper is something that must be there before a bar may be sold, beside
// its label: a safety report, a notification. The formula says under evidence that
// it is.
type Gatekeeper struct {
	Rule
	Evidence []string // keys under evidence; any one of them will do
}

func readGatekeeper(m *source.Map, r Rule) (Gatekeeper, error) {
	g := Gatekeeper{Rule: r, Evidence: texts(m, "evidence")}
	if len(g.Evidence) == 0 {
		return g, fmt.Errorf("rule %s names no evidence", r.ID)
	}
	return g, nil
}

func (g Gatekeeper) put(law *Law, _ Days) error {
	law.Gatekeepers = append(slices.Clip(law.Gatekeepers), g)
	return nil
}

func (g Gatekeeper) condition() string {
	return "evidence of " + strings.Join(g.Evidence, " or ")
}

func (g Gatekeeper) entries() []string { return nil }
