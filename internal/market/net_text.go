package market

import (
	"fmt"
	"slices"

	"saponym/internal/measure"
)

// netsOf gives the rules on net weights of a place, whatever their dates.
func netsOf(place string) ([]NetRule, error) {
	all, err := netRules()
	return slices.DeleteFunc(slices.Clone(all), func(n NetRule) bool { return n.Place != place }), err
}

// NetRules gives the rules of a place by which net weights are judged, in force or not.
func NetRules(place string) ([]Rule, error) {
	nets, err := netsOf(place)
	var rules []Rule
	for _, n := range nets {
		r := n.Rule
		r.Market, r.Condition, r.Entries = place, n.condition(), n.entries()
		rules = append(rules, r)
	}
	return rules, err
}

// condition says on which day the weight counts.
func (n NetRule) condition() string {
	text := "bars are sold under one net weight; it counts on the day of " + n.Day.Of
	if !n.Day.Known.Confirmed() {
		text += ", which no text was seen to say"
	}
	if n.Instead {
		text += "; in the place of the other rule, if the maker chooses it"
	}
	return text
}

// entries gives what a bar may lack, and how lots are sampled, a line each.
func (n NetRule) entries() []string {
	var lines []string
	for _, s := range n.limits.steps {
		line := "any claim"
		if s.over > 0 {
			line = "over " + gramsOf(s.over)
		}
		if s.fixed > 0 {
			line += ": a bar may lack " + gramsOf(s.fixed)
		} else {
			line += fmt.Sprintf(": a bar may lack %g %% of it", s.share.Percent())
		}
		lines = append(lines, line+unread(s.known))
	}
	if n.second.times > 0 {
		lines = append(lines, fmt.Sprintf("no more than %d may lack %d times as much%s", n.second.accept, n.second.times, unread(n.second.known)))
	}
	for _, p := range n.plans {
		line := "larger lots"
		if p.to > 0 {
			line = fmt.Sprintf("lots to %d", p.to)
		}
		if p.all {
			line += ": all are weighed"
		} else {
			line += fmt.Sprintf(": %d are weighed", p.Sample)
		}
		if p.Share > 0 {
			line += fmt.Sprintf(", %g %% may lack more", p.Share.Percent())
		} else {
			line += fmt.Sprintf(", %d may lack more", p.Accept)
		}
		if p.Again > 0 {
			line += fmt.Sprintf(", from %d on it is too many, between the two %d are weighed and %d may", p.Reject, p.Again, p.AcceptAgain)
		}
		if p.Factor > 0 {
			line += fmt.Sprintf("; the average may lack %g standard deviations", p.Factor)
		}
		lines = append(lines, line+unread(p.Known))
	}
	return lines
}

func unread(known Known) string {
	if known.Confirmed() {
		return ""
	}
	return fmt.Sprintf(" (%s)", known)
}

func gramsOf(m measure.Mass) string { return fmt.Sprintf("%.5g g", m.Grams()) }
