package check_test

import (
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
