package compile

import (
	"fmt"
	"strings"

	"saponym/internal/scene"
)

// Printed counts the labels and the pages of a document. What is placed once a
// page for cutting by is no label.
func Printed(d scene.Document) (labels, pages int) {
	for _, s := range d.Sheets {
		pages += s.Pages()
		for _, p := range s.Places {
			if p.Scene == 0 {
				labels++
			}
		}
	}
	return labels, pages
}

// Proven gives each particular of a label for a person, with the height of its
// letters as measured and the paragraph that asks for it.
func (l Label) Proven() string {
	var b strings.Builder
	for _, p := range l.Proof {
		asked := "no height asked"
		if p.Required > 0 {
			asked = fmt.Sprintf("at least %.2f", p.Required)
		}
		text := p.Text
		if runes := []rune(text); len(runes) > 44 {
			text = string(runes[:43]) + "…"
		}
		fmt.Fprintf(&b, "  %-19s %-44s %5.2f mm (%s)", p.Duty, text, p.Letter, asked)
		if p.Cite != "" {
			fmt.Fprintf(&b, "  %s", p.Cite)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
