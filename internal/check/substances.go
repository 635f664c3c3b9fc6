package check

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// Substances judges what is in a bar by the lists of the law: substances that must
// not be there, and those of which there is a most. What goes by any name of an entry
// is added up, whatever it came in with. Where the most is passed for certain the
// rule is broken; where it may be, that is said and warns, but a register number that may
// be that of something prohibited stops until somebody has asked. The error is that of
// [bar.Bar.At].
func Substances(batter *bar.Batter, law *market.Law) ([]finding.Finding, error) {
	if len(law.Substances) == 0 {
		return nil, nil
	}
	cured, err := batter.Cured(batter.WaterLeft.AsSold())
	if err != nil {
		return nil, err
	}
	in := inventoryOf(batter, cured)
	var found []finding.Finding
	for _, rule := range law.Substances {
		found = append(found, in.judge(rule)...)
	}
	return found, nil
}

// An inventory is what is known by name of a bar.
type inventory struct {
	batter   *bar.Batter
	held     []bar.Held
	driest   driest
	heaviest float64 // g
}

func inventoryOf(batter *bar.Batter, cured *bar.Bar) inventory {
	return inventory{batter, batter.Inventory(cured), driestOf(cured), cured.Weight().High}
}

// judge gives the findings of one list.
func (in inventory) judge(rule market.Substances) []finding.Finding {
	var found []finding.Finding
	for _, limit := range rule.Limits {
		if a := in.amount(limit); len(a.held) > 0 {
			if f, ok := in.compare(rule, limit, a); ok {
				found = append(found, f)
			}
		}
	}
	return found
}

// An amount is how much of one entry of a list the whole batch holds.
type amount struct {
	grams    measure.Range
	held     []bar.Held // the most of it first
	doubtful []string   // names that may mean the entry or something else
}

// amount adds up what an entry is about. What only may be it, and what was published
// of a kind of oil and not stated of this one, is not certain.
func (in inventory) amount(limit market.Limit) amount {
	var a amount
	listed, stated, most := map[int]float64{}, map[int]float64{}, map[int]float64{} // by source
	for _, h := range in.held {
		means, may := false, ""
		for _, name := range append([]string{h.Name}, h.IDs...) {
			means = means || limit.Means(name, name)
			if limit.MayMean(name) {
				may = name
			}
		}
		if !means && may == "" || h.Grams.High <= in.driest.tie {
			continue
		}
		if h.Basis == bar.Beside && in.stated(h, limit) {
			continue
		}
		a.held = append(a.held, h)
		most[h.Source] += h.Grams.High
		switch {
		case !means:
			if !slices.Contains(a.doubtful, may) {
				a.doubtful = append(a.doubtful, may)
			}
		case h.Basis == bar.Listed:
			listed[h.Source] += h.Grams.Low
		case h.Basis == bar.Stated:
			stated[h.Source] += h.Grams.Low
		}
	}
	// What is listed and what is stated of one source may be the same thing.
	for _, i := range slices.Sorted(maps.Keys(most)) {
		a.grams.Low += max(listed[i], stated[i])
		a.grams.High += min(most[i], in.batter.Sources[i].Mass)
	}
	slices.SortStableFunc(a.held, func(x, y bar.Held) int { return cmp.Compare(y.Grams.High, x.Grams.High) })
	return a
}

// stated reports whether the statement of a scent tells how much of something is in it:
// it names it, or it is about allergens and this is one.
func (in inventory) stated(h bar.Held, limit market.Limit) bool {
	return market.IsAllergen(h.Name) || slices.ContainsFunc(in.held, func(other bar.Held) bool {
		return other.Scent == h.Scent && other.Basis == bar.Stated && limit.Means(other.Name, "")
	})
}

// compare judges one amount; it is false where the limit is kept, whatever the bar is.
func (in inventory) compare(rule market.Substances, limit market.Limit, a amount) (finding.Finding, bool) {
	if !measure.Exceeds(measure.MassUp(a.grams.High), measure.MassDown(in.driest.grams), limit.Most) {
		return finding.Finding{}, false
	}
	working := fmt.Sprintf("%s g of %s, up to %s %% of the driest bar, come from %s", grams(a.grams), limit.Label, figures(100*a.grams.High/in.driest.grams), sources(a.held))
	if limit.Most > 0 {
		working += fmt.Sprintf(", and %s is the most", percent(limit.Most))
	}
	certain := measure.Exceeds(measure.MassDown(a.grams.Low), measure.MassUp(in.heaviest), limit.Most)
	if !certain && len(a.doubtful) > 0 {
		numbers := `"` + strings.Join(a.doubtful, `", "`) + `"`
		f := rule.Finding(limit, a.held[0].At, fmt.Sprintf("%s may be %s or something else of the same number; if it is, %s", numbers, limit.Label, working))
		if limit.Most > 0 {
			f.Level = min(f.Level, finding.Warn)
		}
		f.Remedy = fmt.Sprintf("ask the supplier which it is, and write the name in the place of %s", numbers)
		return f, true
	}
	if !certain {
		working += "; whether there is so much is not decided"
	}
	f := rule.Finding(limit, a.held[0].At, working)
	if !certain {
		f.Level = min(f.Level, finding.Warn)
	}
	if most := in.most(limit, a); most != "" {
		f.Remedy += "; at most " + most + " would keep the limit"
	}
	return f, true
}

// most tells with how much of what holds a substance its limit is kept, or "" where
// that is nothing.
func (in inventory) most(limit market.Limit, a amount) string {
	var from []int
	added := 0.0
	for _, h := range a.held {
		if !slices.Contains(from, h.Source) {
			from = append(from, h.Source)
			added += in.batter.Sources[h.Source].Mass
		}
	}
	part := in.driest.within(limit.Most.Fraction(), added, a.grams.High)
	if part == 0 {
		return ""
	}
	var amounts []string
	for _, i := range from {
		amounts = append(amounts, fmt.Sprintf("%s g of %s", gramsDown(part*in.batter.Sources[i].Mass), in.batter.Sources[i].Work.Name))
	}
	return strings.Join(amounts, " and ")
}

// sources tells where a substance comes from, and what that is known by.
func sources(held []bar.Held) string {
	var said []string
	for _, h := range held {
		basis := string(h.Basis)
		if h.Known == inci.Memory {
			basis += ", from memory"
		}
		said = append(said, fmt.Sprintf("%s (%s g, %s)", h.Ref, grams(h.Grams), basis))
	}
	return strings.Join(said, ", ")
}

// grams writes a range of grams, or one figure where the bounds look the same.
func grams(r measure.Range) string {
	low, high := figures(r.Low), figures(r.High)
	if low == high {
		return low
	}
	return low + " to " + high
}
