package declare

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Report gives the declaration for a person: the list as it is printed, then each
// ingredient with its share of the bar and what is known of its place, then the
// allergens.
func (d Declaration) Report() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s, %s, on %s", d.Formula, d.Market, d.Style, d.On)
	if d.Placed != nil {
		fmt.Fprintf(&b, ", placed on the market on %s", d.Placed)
	}
	b.WriteString("\n\n")
	if len(d.Ingredients) == 0 {
		b.WriteString("  No list: see the findings.\n\n")
		return b.String()
	}
	fmt.Fprintf(&b, "  %s\n\n", d.Text)
	width := 0
	for _, in := range d.Ingredients {
		width = max(width, utf8.RuneCountInString(in.Name))
	}
	for _, in := range d.Ingredients {
		line := fmt.Sprintf("  %-*s %7.3f %% (%.3f to %.3f)  %s", width, in.Name, in.Share.Nominal, in.Share.Low, in.Share.High, in.place())
		b.WriteString(strings.TrimRight(line, " ") + "\n")
		if in.SettledBy != "" {
			fmt.Fprintf(&b, "  %-*s   to settle it: %s\n", width, "", in.SettledBy)
		}
	}
	b.WriteString(d.sure())
	if s := d.Soap; s != nil {
		fmt.Fprintf(&b, "\n  Soap is %s of what is not volatile: %.1f g of %.1f g", s.percent(), s.Soap, s.NonVolatile)
		if s.Scent > 0 {
			fmt.Fprintf(&b, ", or of %.1f g without the scent", s.NonVolatile-s.Scent)
		}
		b.WriteString(".\n")
	}
	if len(d.Allergens) > 0 {
		b.WriteString("\n  Fragrance allergens, in per cent of the driest bar:\n")
	}
	for _, a := range d.Allergens {
		verdict := "not above the threshold: not named"
		if a.Printed {
			verdict = "named"
		}
		fmt.Fprintf(&b, "  %-*s %8.4f %%  %s\n", width, a.Name, a.Percent, verdict)
	}
	b.WriteByte('\n')
	return b.String()
}

// sure sums up what is known of the order, and which questions would settle most of what
// is open; "" where nothing is.
func (d Declaration) sure() string {
	certain, open := 0, 0
	settles := map[string]int{}
	var asks []string
	for _, in := range d.Ingredients {
		switch {
		case in.Next == nil:
		case *in.Next == Certain:
			certain++
		case *in.Next == CouldSwap, *in.Next == Unproved:
			open++
			if settles[in.SettledBy]++; settles[in.SettledBy] == 1 && in.SettledBy != "" {
				asks = append(asks, in.SettledBy)
			}
		}
	}
	if open == 0 {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\n  Of %d neighbours whose order counts %d are certain and %d open.", certain+open, certain, open)
	slices.SortStableFunc(asks, func(a, b string) int { return cmp.Compare(settles[b], settles[a]) })
	if len(asks) > 0 {
		fmt.Fprintf(&b, " What settles most of it (%d): %s", settles[asks[0]], asks[0])
	}
	b.WriteString("\n")
	return b.String()
}

func (s Soap) percent() string {
	low, high := fmt.Sprintf("%.1f", s.Low), fmt.Sprintf("%.1f", s.High)
	if low == high {
		return low + " %"
	}
	return low + " to " + high + " %"
}

// place says in words what is known of an ingredient and the next one.
func (in Ingredient) place() string {
	if in.Next == nil {
		return ""
	}
	assuming := ""
	if in.Assumes != "" {
		assuming = " (if " + in.Assumes + ")"
	}
	switch *in.Next {
	case Certain:
		return "certainly before the next" + assuming
	case CouldSwap:
		return "could swap with the next" + assuming + ": " + in.Witness
	case Unproved:
		return "not proved against the next" + assuming
	}
	return "in any order"
}
