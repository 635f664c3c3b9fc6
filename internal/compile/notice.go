package compile

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/market"
)

// Notice is what every answer on law ends with: that it is no legal advice, of which
// day the rules are, and whom to ask in each market.
func Notice(markets []string, on day.Day) (string, error) {
	var laws []*market.Law
	for _, one := range markets {
		for _, id := range strings.Split(one, together) {
			law, err := market.On(id, on)
			if err != nil {
				return "", err
			}
			if !slices.ContainsFunc(laws, func(l *market.Law) bool { return l.Market == id }) {
				laws = append(laws, law)
			}
		}
	}
	return notice(laws...), nil
}

func notice(laws ...*market.Law) string {
	if len(laws) == 0 {
		return ""
	}
	lines := []string{fmt.Sprintf("This is no legal advice. It goes by the rules of %s as far as this version holds them.", laws[0].On)}
	for _, law := range laws {
		lines = append(lines, fmt.Sprintf("For %s, ask %s.", law.Market, law.Authority))
	}
	return strings.Join(lines, "\n")
}
