package cli

import (
	"encoding/json"
	"fmt"
	"slices"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
)

// answer writes results as JSON: one object, or a list where several were asked
// for.
func (a *app) answer(results []any, one bool) error {
	var v any = append([]any{}, results...) // a list of none is a list, not null
	if one && len(results) == 1 {
		v = results[0]
	}
	encoder := json.NewEncoder(a.stdout)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(v)
}

// notice ends an answer on law for a person.
func (a *app) notice(markets []string, on day.Day) error {
	text, err := compile.Notice(markets, on)
	if err != nil {
		return err
	}
	fmt.Fprintln(a.stdout, text)
	return nil
}

// show writes findings for a person. What two markets say in the same words is
// said once.
func (a *app) show(findings []finding.Finding) {
	shown := map[string]bool{}
	for _, f := range findings {
		if text := f.Text(); !shown[text] {
			shown[text] = true
			fmt.Fprint(a.stderr, text)
		}
	}
}

// gather puts the findings of several answers together, those that do not hang
// on a market once.
func gather(all ...[]finding.Finding) []finding.Finding {
	joined := append([]finding.Finding{}, slices.Concat(all...)...) // a list of none is a list, not null
	finding.Sort(joined)
	return slices.Compact(joined)
}

// stopped gives errStop where a finding is one.
func stopped(findings []finding.Finding) error {
	if finding.Worst(findings) == finding.Stop {
		return errStop
	}
	return nil
}
