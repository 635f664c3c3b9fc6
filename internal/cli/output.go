package cli

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
)

// answer writes results as JSON: one object, or a list where several were asked
// for. A list may be long, so it is written entry by entry.
func (a *app) answer(results []any, one bool) error {
	w := bufio.NewWriter(a.stdout)
	if one && len(results) == 1 {
		if err := encode(w, results[0], ""); err != nil {
			return err
		}
		fmt.Fprintln(w)
		return w.Flush()
	}
	for i, result := range results {
		fmt.Fprint(w, []string{"[\n  ", ",\n  "}[min(i, 1)])
		if err := encode(w, result, "  "); err != nil {
			return err
		}
	}
	if len(results) == 0 {
		fmt.Fprint(w, "[]\n") // a list of none is a list, not null
	} else {
		fmt.Fprint(w, "\n]\n")
	}
	return w.Flush()
}

// encode writes a value as JSON behind a prefix, without a line break at its end.
func encode(w io.Writer, v any, prefix string) error {
	var plain, set bytes.Buffer
	encoder := json.NewEncoder(&plain)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(v); err != nil {
		return err
	}
	if err := json.Indent(&set, bytes.TrimSpace(plain.Bytes()), prefix, "  "); err != nil {
		return err
	}
	_, err := w.Write(set.Bytes())
	return err
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
