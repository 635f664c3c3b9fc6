package compile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/shop"
)

// The rule ids of looking ahead.
const (
	RuleLater  = "COMPILE-LATER"  // the list that is right today will lack a name
	RuleSeller = "COMPILE-SELLER" // it is not said how long the bars are sold
)

// usualSale is how many months bars are taken to be sold where nothing is said.
const usualSale = 12

// ahead looks at every day on which the law changes while these bars are sold, and
// gives what will be found then and is not found now. The label of today is right
// today, so it only warns. Bars of which it is not known when they are first placed
// on the market may be placed as late as that.
func (s subject) ahead(folder *shop.Folder, o Order, now declare.Declaration, found []finding.Finding) ([]finding.Finding, error) {
	first := s.law.On
	last, said := s.lastSale()
	var changes []day.Day
	for _, id := range strings.Split(o.Market, together) {
		more, err := market.Changes(id, first, last)
		if err != nil {
			return nil, err
		}
		changes = append(changes, more...)
	}
	slices.SortFunc(changes, day.Day.Compare)
	var later []finding.Finding
	known := slices.Clone(found)
	for _, change := range slices.Compact(changes) {
		then := s
		var err error
		then.law, _, err = s.lawOn(o.Market, func(place string) market.Days {
			days := s.days(place, change)
			days.On = change
			return days
		})
		if err != nil {
			return nil, err
		}
		label, err := then.label(folder, o)
		if err != nil {
			return nil, err
		}
		declared, more := label.Declaration, label.Findings
		says := fmt.Sprintf("from %s on, while these bars are sold (until %s)", change, last)
		if names := lacking(now, declared); len(names) > 0 {
			later = append(later, finding.Finding{
				Level: finding.Warn, Rule: RuleLater, At: s.doc.Name.At, Market: s.law.Market, Cite: cite(then.law),
				Message: says + ", the list must name " + strings.Join(names, ", ") + " as well",
				Remedy:  "name them from now on, by printing with --on " + change.String() + ", or sell these bars before that day",
			})
			now = declared
		}
		for _, f := range more {
			if f.Level == finding.Note || slices.ContainsFunc(known, func(k finding.Finding) bool { return same(k, f) }) {
				continue
			}
			known = append(known, f)
			f.Level, f.Message = finding.Warn, says+": "+f.Message
			later = append(later, f)
		}
	}
	if len(later) > 0 && !said {
		later = append(later, s.unsaidSale())
	}
	return later, nil
}

// unsaidSale is the finding that it is not said how long the bars are sold.
func (s subject) unsaidSale() finding.Finding {
	return finding.Finding{
		Level: finding.Note, Rule: RuleSeller, At: s.doc.Name.At, Market: s.law.Market,
		Message: fmt.Sprintf("how long these bars are sold is not said; %d months are taken", usualSale),
		Remedy:  "write keep: {sell_within: 12 months} in the formula, or how long it is",
	}
}

// lastSale gives the last day on which the bars are sold, from the day on which they
// are placed on the market, and whether the formula says so. Where nobody has said when
// that is, it is the day on which the first of them were packed, or else today; bars that
// should have been sold by then are sold today.
func (s subject) lastSale() (last day.Day, said bool) {
	first, months := s.law.Days.Placed, s.doc.Keep.SellWithin
	if first.IsZero() && s.batch != nil {
		first = s.batch.FirstPacked("")
	}
	if first.IsZero() {
		first = s.law.On
	}
	last = first.AddMonths(cmp.Or(months.V, usualSale))
	if last.Before(s.law.On) {
		last = s.law.On
	}
	return last, months.Given()
}

// cite gives the paragraph by which allergens are named.
func cite(law *market.Law) string {
	if law.Allergens == nil {
		return law.List.Cite
	}
	return law.Allergens.Cite
}

// lacking gives the names that a later list has and this one has not.
func lacking(now, later declare.Declaration) []string {
	return slices.DeleteFunc(later.Names(), func(name string) bool { return slices.Contains(now.Names(), name) })
}

// same reports whether two findings say the same of the same place.
func same(a, b finding.Finding) bool {
	return a.Rule == b.Rule && a.At == b.At && a.Market == b.Market
}
