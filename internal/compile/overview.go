package compile

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/check"
	"saponym/internal/finding"
)

// Matrix sets products against markets. What a market takes the first for stands
// below its name; what it takes for something else says so.
func Matrix(rows []Checked, markets []string) string {
	if len(rows) == 0 {
		return ""
	}
	table := [][]string{append([]string{""}, markets...), {""}}
	usual := map[string]string{}
	for _, m := range markets {
		usual[m] = rows[0].Markets[m].Class
		table[1] = append(table[1], "("+usual[m]+")")
	}
	for _, r := range rows {
		line := []string{strings.TrimSpace(r.Formula + " " + r.Batch)}
		for _, m := range markets {
			cell := verdict(r.Markets[m].Verdict)
			if class := r.Markets[m].Class; class != usual[m] {
				cell += " (" + class + ")"
			}
			line = append(line, cell)
		}
		table = append(table, line)
	}
	return columns(table)
}

// verdict writes a verdict for a person.
func verdict(v check.Verdict) string { return strings.ReplaceAll(string(v), "-", " ") }

// columns sets a table in columns that are as wide as what stands in them.
func columns(table [][]string) string {
	var b strings.Builder
	for _, row := range table {
		var line strings.Builder
		for i, cell := range row {
			widest := 0
			for _, other := range table {
				widest = max(widest, len([]rune(other[i])))
			}
			fmt.Fprintf(&line, "%-*s  ", widest, cell)
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	return b.String()
}

// ByRemedy writes findings for a person: how many there are, then those that one
// thing mends together, the worst first. What was found in several markets is said
// once, with their names.
func ByRemedy(found []finding.Finding) string {
	found = merged(found)
	if len(found) == 0 {
		return ""
	}
	var b strings.Builder
	count := map[finding.Level]int{}
	for _, f := range found {
		count[f.Level]++
	}
	var counts []string
	for _, level := range []finding.Level{finding.Stop, finding.Warn, finding.Note} {
		if n := count[level]; n > 0 {
			word := levelWords[level]
			if n > 1 {
				word += "s"
			}
			counts = append(counts, fmt.Sprintf("%d %s", n, word))
		}
	}
	fmt.Fprintf(&b, "\n%s\n\n", strings.Join(counts, ", "))
	for _, group := range check.ByRemedy(found) {
		for _, f := range group.Findings {
			f.Remedy = ""
			if f.Market != "" {
				f.Message += " (" + f.Market + ")"
			}
			fmt.Fprint(&b, f.Text())
		}
		if group.Remedy != "" {
			fmt.Fprintf(&b, "    do: %s\n", group.Remedy)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// levelWords are the words for how grave a finding is.
var levelWords = map[finding.Level]string{finding.Stop: "stop", finding.Warn: "warning", finding.Note: "note"}

// merged puts findings that differ in their market alone together.
func merged(found []finding.Finding) []finding.Finding {
	var all []finding.Finding
	for _, f := range found {
		bare := f
		bare.Market = ""
		i := slices.IndexFunc(all, func(other finding.Finding) bool {
			other.Market = ""
			return other == bare
		})
		switch {
		case i < 0:
			all = append(all, f)
		case f.Market != "" && !slices.Contains(strings.Split(all[i].Market, ", "), f.Market):
			all[i].Market += ", " + f.Market
		}
	}
	return all
}
