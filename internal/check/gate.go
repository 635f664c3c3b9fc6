// Package check judges: what the earlier stages found about a formula, and
// whether all that a label must say stands on the finished paper, in letters that
// are high enough. It stands above all that it judges, and changes nothing.
package check

import (
	"cmp"
	"slices"

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

// A Group is the findings that one remedy would mend, worst first. Its level is
// that of the worst.
type Group struct {
	Remedy   string
	Level    finding.Level
	Findings []finding.Finding
}

// ByRemedy puts the findings that have one remedy together, the worst group first.
// What is equally grave keeps its order. Findings without a remedy stand together
// where they say the same.
func ByRemedy(findings []finding.Finding) []Group {
	var groups []Group
	for _, f := range findings {
		i := slices.IndexFunc(groups, func(g Group) bool {
			return g.Remedy == f.Remedy && (f.Remedy != "" || g.Findings[0].Rule == f.Rule && g.Findings[0].Message == f.Message)
		})
		if i < 0 {
			i, groups = len(groups), append(groups, Group{Remedy: f.Remedy})
		}
		groups[i].Level = max(groups[i].Level, f.Level)
		groups[i].Findings = append(groups[i].Findings, f)
	}
	for _, g := range groups {
		slices.SortStableFunc(g.Findings, func(a, b finding.Finding) int { return cmp.Compare(b.Level, a.Level) })
	}
	slices.SortStableFunc(groups, func(a, b Group) int { return cmp.Compare(b.Level, a.Level) })
	return groups
}
