package compile

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/check"
	"saponym/internal/finding"
)

// Matrix sets products against markets. What a market takes the first for stands
// below its name; what it takes for something else says so. Of one product alone it is
// told why, with the working.
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
	text := columns(table)
	if len(rows) == 1 {
		text += "\n"
		for _, m := range markets {
			if in := rows[0].Markets[m]; in.Because != "" {
				text += fmt.Sprintf("  %s: %s, since %s.\n", m, in.Class, in.Because)
			}
		}
		text += "\n"
	}
	return text
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
// thing mends together, the worst first. What was found alike in several markets or
// at several places is said once, with their names.
func ByRemedy(found []finding.Finding) string {
	count := map[finding.Level]int{}
	var b strings.Builder
	for _, group := range check.ByRemedy(found) {
		for _, a := range alikes(group.Findings) {
			count[a.Level]++
			b.WriteString(a.text())
		}
		if group.Remedy != "" {
			fmt.Fprintf(&b, "    do: %s\n", group.Remedy)
		}
		b.WriteByte('\n')
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
	if len(counts) == 0 {
		return ""
	}
	return "\n" + strings.Join(counts, ", ") + "\n\n" + b.String()
}

// levelWords are the words for how grave a finding is.
var levelWords = map[finding.Level]string{finding.Stop: "stop", finding.Warn: "warning", finding.Note: "note"}

// An alike is what was found in the same words in several markets, or at several
// places.
type alike struct {
	finding.Finding
	markets, places, cites []string
}

// alikes puts findings that say the same together.
func alikes(found []finding.Finding) []alike {
	var all []alike
	for _, f := range found {
		i := slices.IndexFunc(all, func(a alike) bool { return a.Level == f.Level && a.Rule == f.Rule && a.Message == f.Message })
		if i < 0 {
			i, all = len(all), append(all, alike{Finding: f})
		}
		for list, one := range map[*[]string]string{&all[i].markets: f.Market, &all[i].places: f.At.String(), &all[i].cites: f.Cite} {
			if one != "" && !slices.Contains(*list, one) {
				*list = append(*list, one)
			}
		}
	}
	return all
}

// text tells it, without the remedy. One place is shown with its line.
func (a alike) text() string {
	f := a.Finding
	f.Remedy, f.Cite = "", strings.Join(a.cites, "; ")
	if len(a.markets) > 0 {
		f.Message += " (" + strings.Join(a.markets, ", ") + ")"
	}
	if len(a.places) < 2 {
		return f.Text()
	}
	f.At, f.Excerpt = finding.Pos{}, ""
	return f.Text() + "    at: " + strings.Join(a.places, ", ") + "\n"
}
