package compile

import (
	"fmt"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
)

// A RuleAnswer is one rule of law as the program holds it. Its JSON form is a
// contract; what has no end, or no beginning that is known here, is null.
type RuleAnswer struct {
	ID        string        `json:"id"`
	Market    string        `json:"market"`
	Kind      string        `json:"kind"`
	Level     finding.Level `json:"level"`
	Since     *day.Day      `json:"since"`
	Until     *day.Day      `json:"until"`
	By        market.Basis  `json:"by"`
	Condition string        `json:"condition"`
	Message   string        `json:"message"`
	Remedy    string        `json:"remedy"`
	Cite      string        `json:"cite"`
	Known     market.Known  `json:"known"`
	Entries   []string      `json:"entries"`
}

// Rules gives the rules of the markets, in force or not, in the order of the data; after
// them those of their places on the weight of lots, and those of the fragrance industry,
// which bind whoever sells scents.
func Rules(markets []string) ([]RuleAnswer, error) {
	answers := []RuleAnswer{}
	add := func(rules []market.Rule) {
		for _, r := range rules {
			answers = append(answers, RuleAnswer{
				ID: r.ID, Market: r.Market, Kind: r.Kind, Level: r.Level, Since: dayOrNull(r.Since), Until: dayOrNull(r.Until), By: r.By,
				Condition: r.Condition, Message: r.Message, Remedy: r.Remedy, Cite: r.Cite, Known: r.Known, Entries: append([]string{}, r.Entries...),
			})
		}
	}
	seen := map[string]bool{}
	var asked []string
	for _, one := range markets {
		for _, id := range strings.Split(one, together) {
			if seen[id] {
				continue
			}
			seen[id] = true
			asked = append(asked, id)
			rules, err := market.Rules(id)
			if err != nil {
				return nil, err
			}
			add(rules)
		}
	}
	judged := map[string]bool{}
	for _, id := range asked {
		place, err := market.Place(id)
		if err != nil {
			return nil, err
		}
		if judged[place] {
			continue // one place has the same rules in all its markets
		}
		judged[place] = true
		nets, err := market.NetRules(place)
		if err != nil {
			return nil, err
		}
		for i := range nets {
			nets[i].Market = id
		}
		add(nets)
	}
	standard, err := market.FragranceStandard()
	if err != nil {
		return nil, err
	}
	add(standard.Rules)
	return answers, nil
}

func dayOrNull(d day.Day) *day.Day {
	if d.IsZero() {
		return nil
	}
	return &d
}

// Text gives the rule for a person, one fact a line, so that a change of law is a
// readable difference.
func (r RuleAnswer) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s  %s  %s  (%s)\n", r.ID, r.Kind, r.Level, r.Known)
	for _, line := range []struct{ what, text string }{
		{"", r.Message},
		{"when: ", r.Condition},
		{"holds ", market.Force{Since: value(r.Since), Until: value(r.Until), By: r.By}.Says()},
		{"do: ", r.Remedy},
		{"see: ", r.Cite},
	} {
		if line.text != "" {
			b.WriteString("    " + line.what + line.text + "\n")
		}
	}
	for _, e := range r.Entries {
		b.WriteString("      - " + e + "\n")
	}
	return b.String()
}

func value(d *day.Day) day.Day {
	if d == nil {
		return day.Day{}
	}
	return *d
}
