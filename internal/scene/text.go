package scene

import (
	"fmt"
	"strconv"
	"strings"
)

// String gives the scene in its text form, one item a line, for tests and for
// reading differences. Lengths are in millimetres with three decimals:
//
//	scene 173.000 x 52.000
//	text 55.200 46.600 noto-sans-extracondensed 5.927 #27306b "Net Wt 4.2 oz (119 g)" wide 43.300 [net-quantity cuts.bar.claim]
//	path fill #27306b M 1.000 2.000 L 3.000 4.000 Z
func (s Scene) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "scene %s x %s\n", mm(s.Size.W), mm(s.Size.H))
	for _, item := range s.Items {
		switch {
		case item.Text != nil:
			t := item.Text
			fmt.Fprintf(&b, "text %s %s %s %s %s %q wide %s", mm(t.At.X), mm(t.At.Y), t.Face, mm(t.Size), t.Ink.Hex(), t.Runes, mm(t.Width()))
			if t.Turn != 0 {
				fmt.Fprintf(&b, " turn %d", 90*t.Turn)
			}
		case item.Path != nil:
			item.Path.describe(&b)
		case item.Image != nil:
			r := item.Image.At
			fmt.Fprintf(&b, "image %s %s %s x %s %s of %d bytes", mm(r.X), mm(r.Y), mm(r.W), mm(r.H), item.Image.Format, len(item.Image.Data))
		}
		if item.Mark != (Mark{}) {
			fmt.Fprintf(&b, " [%s %s]", item.Mark.Duty, item.Mark.Field)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func (p *Path) describe(b *strings.Builder) {
	b.WriteString("path")
	if p.Fill.On {
		fmt.Fprintf(b, " fill %s", p.Fill.Hex())
		if p.EvenOdd {
			b.WriteString(" even-odd")
		}
	}
	if p.Stroke.On {
		fmt.Fprintf(b, " stroke %s %s", p.Stroke.Hex(), mm(p.Width))
		for _, d := range p.Dash {
			fmt.Fprintf(b, " dash %s", mm(d))
		}
		if p.Round {
			b.WriteString(" round")
		}
	}
	for _, step := range p.Steps {
		fmt.Fprintf(b, " %c", step.Verb)
		for _, point := range step.P[:step.Verb.Points()] {
			fmt.Fprintf(b, " %s %s", mm(point.X), mm(point.Y))
		}
	}
}

// Points counts the points that a verb uses.
func (v Verb) Points() int {
	switch v {
	case MoveTo, LineTo:
		return 1
	case CurveTo:
		return 3
	}
	return 0
}

func mm(l Length) string { return strconv.FormatFloat(l.Millimetres(), 'f', 3, 64) }
