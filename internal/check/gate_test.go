package check_test

import (
	"slices"
	"testing"

	"saponym/internal/check"
	"saponym/internal/finding"
)

func TestJudge(t *testing.T) {
	of := func(levels ...finding.Level) []finding.Finding {
		var found []finding.Finding
		for _, l := range levels {
			found = append(found, finding.Finding{Level: l})
		}
		return found
	}
	for _, tt := range []struct {
		name  string
		found []finding.Finding
		want  check.Verdict
	}{
		{"none", nil, "nothing-found"},
		{"notes", of(finding.Note, finding.Note), "nothing-found"},
		{"a warning among notes", of(finding.Note, finding.Warn, finding.Note), "warn"},
		{"a stop among warnings", of(finding.Warn, finding.Stop, finding.Note), "stop"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := check.Judge(tt.found); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

// The worst group comes first, a group is as grave as its worst finding, and what is
// equally grave keeps its order. Without a remedy nothing is shared.
func TestByRemedy(t *testing.T) {
	of := func(level finding.Level, message, remedy string) finding.Finding {
		return finding.Finding{Level: level, Message: message, Remedy: remedy}
	}
	groups := check.ByRemedy([]finding.Finding{
		of(finding.Note, "a", ""), of(finding.Note, "b", "weigh"), of(finding.Warn, "c", "ask"), of(finding.Warn, "h", "ask"),
		of(finding.Note, "e", ""), of(finding.Stop, "f", "weigh"), of(finding.Warn, "g", "look"), of(finding.Note, "d", "ask"),
	})
	var got []string
	for _, g := range groups {
		line := g.Level.String() + " " + g.Remedy + ":"
		for _, f := range g.Findings {
			line += f.Message
		}
		got = append(got, line)
	}
	want := []string{"stop weigh:fb", "warn ask:chd", "warn look:g", "note :a", "note :e"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if len(check.ByRemedy(nil)) > 0 {
		t.Error("there are groups of nothing")
	}
}
