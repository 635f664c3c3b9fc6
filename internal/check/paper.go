package check

import (
	"fmt"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// The rule ids of the gate of the paper.
const (
	RuleWords   = "CHECK-WORDS"   // words of the label that are not on the paper
	RuleLetters = "CHECK-LETTERS" // letters lower than the law asks
	RuleBold    = "CHECK-BOLD"    // letters that are not bold where the law asks for it
)

// semibold is the least weight of a typeface that is taken for boldface, on the scale
// of CSS (common practice, no source).
const semibold = 600

// A Particular is one statement of the label, found again in the finished
// drawing and measured there. Its JSON form is a contract.
type Particular struct {
	Duty     label.Duty `json:"id"`
	Text     string     `json:"text"`
	Letter   float64    `json:"letter_mm"`   // the lowest of its letters that the law measures
	Required float64    `json:"required_mm"` // 0 where no height is asked
	X        float64    `json:"x_mm"`        // where its first line begins, from the left edge
	Y        float64    `json:"y_mm"`        // the baseline of that line, from the top
	Cite     string     `json:"cite"`
}

// Paper looks for every statement of a label in its drawing and measures its
// letters from the outlines of the typeface. What the drawing lacks, or has in
// letters that are too low, is a finding of level stop.
func Paper(c label.Content, s scene.Scene) ([]Particular, []finding.Finding, error) {
	var proof []Particular
	var findings []finding.Finding
	stop := func(rule, cite, message string) {
		findings = append(findings, finding.Finding{Level: finding.Stop, Rule: rule, Message: message, Cite: cite, Market: c.Market})
	}
	for _, statement := range c.Statements {
		drawn := textsOf(s, scene.Mark{Duty: string(statement.Duty), Field: statement.Field})
		words := statement.Words()
		if !says(drawn, words) {
			if statement.Required || len(drawn) > 0 {
				stop(RuleWords, statement.Cite, fmt.Sprintf("the words of the duty %s are not all on the band: wanted %q, drawn %q", statement.Duty, words, runesOf(drawn)))
			}
			continue
		}
		lowest, bold := measure.Length(0), true
		for i, t := range drawn {
			height, err := letterHeight(t, statement.Letters.Measured)
			if err != nil {
				return nil, nil, fmt.Errorf("measuring %s: %w", statement.Duty, err)
			}
			if i == 0 || height < lowest {
				lowest = height
			}
			face, err := font.Open(t.Face)
			if err != nil {
				return nil, nil, err
			}
			bold = bold && face.CSS().Weight >= semibold
		}
		if statement.Bold && !bold {
			stop(RuleBold, statement.Cite, fmt.Sprintf("the words of the duty %s are not all in boldface, which the law asks for", statement.Duty))
		}
		required := statement.Letters.Least(c.Bar.Face())
		if lowest < required {
			stop(RuleLetters, statement.Cite, fmt.Sprintf("the letters of the duty %s are %.3f mm high, and the law asks for %.3f mm", statement.Duty, lowest.Millimetres(), required.Millimetres()))
		}
		proof = append(proof, Particular{
			Duty: statement.Duty, Text: words, Letter: lowest.Millimetres(), Required: required.Millimetres(),
			X: drawn[0].At.X.Millimetres(), Y: drawn[0].At.Y.Millimetres(), Cite: statement.Cite,
		})
	}
	return proof, findings, nil
}

// textsOf gives the texts of a scene that bear a mark, in reading order. The duty
// alone does not tell them apart: a caution stands there in each language.
func textsOf(s scene.Scene, mark scene.Mark) []*scene.Text {
	var texts []*scene.Text
	for _, item := range s.Items {
		if item.Text != nil && item.Mark == mark {
			texts = append(texts, item.Text)
		}
	}
	return texts
}

// letterHeight measures the letters that the law measures; where it asks for
// none, the small ones.
func letterHeight(t *scene.Text, measured label.Measured) (measure.Length, error) {
	face, err := font.Open(t.Face)
	if err != nil {
		return 0, err
	}
	switch measured {
	case label.Capital:
		return face.CapHeight(t.Size), nil
	case label.Figures:
		return face.FigureHeight(t.Size), nil
	}
	return face.XHeight(t.Size), nil
}

// says reports whether the runs of a drawing are just the words, one run after the
// other. A run may end anywhere, and the space at its end need not be drawn: lines
// are broken at spaces. Within a run every space counts, or two names that run
// together would pass.
func says(drawn []*scene.Text, words string) bool {
	left := plain(words)
	for _, t := range drawn {
		rest, ok := strings.CutPrefix(left, plain(t.Runes))
		if !ok {
			return false
		}
		left = strings.TrimPrefix(rest, " ")
	}
	return left == "" && len(drawn) > 0
}

// runesOf gives what was drawn, for telling it.
func runesOf(drawn []*scene.Text) string {
	runs := make([]string, len(drawn))
	for i, t := range drawn {
		runs[i] = t.Runes
	}
	return plain(strings.Join(runs, " "))
}

// plain makes every white space one space, those that do not break as well.
func plain(text string) string {
	return font.Normalise(strings.Join(strings.Fields(text), " "))
}
