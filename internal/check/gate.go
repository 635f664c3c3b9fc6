// Package check judges: what the earlier stages found about a formula, and
// whether all that a label must say stands on the finished paper, in letters that
// are high enough. It stands above all that it judges, and changes nothing.
package check

import (
	"saponym/internal/finding"
)

// A Verdict says in one word what was found about a formula in a market. There
// is no verdict that says lawful: a program can only say what it did not find.
type Verdict string

// The verdicts.
const (
	Stop         Verdict = "stop"
	Warn         Verdict = "warn"
	NothingFound Verdict = "nothing-found"
)

// Judge gives the verdict that follows from findings.
func Judge(findings []finding.Finding) Verdict {
	switch finding.Worst(findings) {
	case finding.Stop:
		return Stop
	case finding.Warn:
		return Warn
	}
	return NothingFound
}
