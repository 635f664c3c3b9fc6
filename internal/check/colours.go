package check

import (
	"fmt"
	"strings"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
)

// Colours judges each colourant of a batter by the list of the law, those that are
// parts of a blend one by one. Of a law without such a list there is nothing to say.
// The error is always nil.
func Colours(batter *bar.Batter, law *market.Law) ([]finding.Finding, error) {
	if law.Colours == nil {
		return nil, nil
	}
	var found []finding.Finding
	for _, s := range batter.Sources {
		for _, part := range s.Parts {
			known, _ := inci.ByID(part.Names.ID)
			if part.Role == bar.Colourant || known.Group == inci.GroupColourant {
				found = append(found, colour(part.Names, s, law)...)
			}
		}
	}
	return found, nil
}

// colour gives what there is to say of one colourant in a source.
func colour(names bar.Names, s bar.Source, law *market.Law) []finding.Finding {
	c := law.Colour(names.ID, names.EU, names.US)
	name := c.Name
	if name == "" {
		name = names.EU
	}
	rule := law.Colours.Rule
	if rule.Known.Confirmed() && c.Known != "" {
		rule.Known = c.Known
	}
	if c.Cite != "" && !strings.Contains(rule.Cite, c.Cite) {
		rule.Cite += "; " + c.Cite
	}
	say := func(level finding.Level, reason, remedy string) finding.Finding {
		f := rule.Finding(s.At, fmt.Sprintf("%s in %s %s", name, s.Ref, reason))
		f.Level, f.Remedy = min(f.Level, level), remedy
		return f
	}
	condition := ""
	if c.Caution != "" {
		condition = " (" + c.Caution + ")"
	}
	switch {
	case c.Standing == market.Unlisted:
		return []finding.Finding{say(finding.Stop, "is not on its list"+condition, rule.Remedy)}
	case c.Standing == market.Unknown && len(s.Parts) > 1 && names.ID != "":
		return nil // what is built in and no colourant, such as glycerin, carries the colour of a blend
	case c.Standing == market.Unknown:
		return []finding.Finding{say(finding.Warn, "is not among the colourants that are known here", "ask the supplier for its Colour Index number and write that as its inci, or ask the authority whether it may colour soap")}
	case c.Certified:
		return []finding.Finding{say(finding.Note, "may be used of certified lots only"+condition, "keep the certificate of each lot that goes into soap")}
	case condition != "":
		return []finding.Finding{say(finding.Note, "has a condition"+condition, "see that the bar, and what is said of it, keep to the condition")}
	}
	return nil
}
