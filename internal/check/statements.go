package check

import (
	"fmt"
	"slices"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
)

// RuleStatement is the finding that the allergen statement of a scent was, or may
// have been, written before the list that the law goes by was published: of the names
// that the list gained it may say nothing, whatever is in the scent.
const RuleStatement = "CHECK-STATEMENT"

// Statements compares the days of allergen statements with the day on which the list
// in force was published. Where the law leaves open whether allergens are named it
// says so once. The error is always nil.
func Statements(batter *bar.Batter, law *market.Law) ([]finding.Finding, error) {
	rule := law.Allergens
	if rule == nil || len(batter.Scents) == 0 {
		return nil, nil
	}
	if rule.Open() {
		f := rule.Finding(batter.Sources[batter.Scents[0].Source].At, "")
		f.Level = finding.Note
		return []finding.Finding{f}, nil
	}
	gained := rule.Gained()
	if len(gained) == 0 {
		return nil, nil
	}
	var found []finding.Finding
	var seen []string
	for _, s := range batter.Scents {
		dated, known := statedOn(batter.Sources[s.Source], s)
		if len(s.Statement) == 0 || !known || slices.Contains(seen, s.Material) {
			continue
		}
		seen = append(seen, s.Material)
		f := finding.Finding{
			Level: finding.Warn, Rule: RuleStatement, At: s.Statement[0].Name.At, Market: rule.Market, Cite: rule.Cite,
			Remedy: fmt.Sprintf("ask the supplier of %q for a statement by the list that was published on %s, and write its figures under allergens and its day under statement", s.Material, rule.Published),
		}
		switch {
		case law.On.Before(dated.V):
			f.At = dated.At
			f.Message = fmt.Sprintf("the allergen statement of %q is dated %s, which is after %s", s.Material, dated.V, law.On)
			f.Remedy = "look for a slip in the day"
		case !dated.Given():
			f.Message = fmt.Sprintf("the allergen statement of %q has no day, so whether it knows the %d names that the list of %s gained cannot be told", s.Material, len(gained), rule.Published)
		case !dated.V.Before(rule.Published):
			continue
		default:
			f.At = dated.At
			f.Message = fmt.Sprintf("the allergen statement of %q is of %s, and the list that gained %d names was published on %s", s.Material, dated.V, len(gained), rule.Published)
			if !namesOne(s.Statement, gained, rule) {
				f.Message += "; it has none of them"
				f.Level = rule.Level
			}
		}
		if !rule.Known.Confirmed() {
			f.Level = min(f.Level, finding.Warn)
		}
		found = append(found, f)
	}
	return found, nil
}

// statedOn gives the day of the statement on a scent. It is false for what is in own
// bars: their own label is judged by it.
func statedOn(s bar.Source, scent bar.Scent) (formula.Day, bool) {
	if s.Material == nil || s.Material.ID != scent.Material {
		return formula.Day{}, false
	}
	return s.Material.Statement.Dated, true
}

// namesOne reports whether a statement has a line of one of the allergens.
func namesOne(statement []formula.Allergen, allergens []market.Allergen, rule *market.Allergens) bool {
	return slices.ContainsFunc(statement, func(line formula.Allergen) bool {
		return slices.ContainsFunc(rule.Find(line.Name.V), func(a market.Allergen) bool {
			return slices.ContainsFunc(allergens, func(one market.Allergen) bool { return one.Label == a.Label })
		})
	})
}
