// Package svg draws a [scene.Scene] as an SVG picture, for a page in the browser.
//
// It takes a finished scene and gives the picture; it decides no position. Units
// are millimetres, text stays text, and each letter stands where the scene says,
// so the picture shows what the paper will. What serves a duty of the label
// carries the duty and the field in the attributes data-duty and data-field.
package svg

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"saponym/internal/font"
	"saponym/internal/scene"
)

// Options say what a picture holds besides the scene.
type Options struct {
	Title string // read out in place of the picture; "" for none
	Embed bool   // put the fonts that are used into the picture: about 0.7 MB each
}

// An ItemError says what keeps one item, counted from 0, from being drawn.
type ItemError struct {
	Item    int
	Message string
}

func (e *ItemError) Error() string {
	return fmt.Sprintf("drawing an SVG: item %d: %s", e.Item, e.Message)
}

// Write gives the scene as an SVG document in UTF-8. The view is the size of the
// scene; what reaches past it is in the document and not shown. The same scene
// gives the same bytes. The error is an [*ItemError].
func Write(s scene.Scene, o Options) ([]byte, error) {
	w := &writer{}
	for i, item := range s.Items {
		if err := check(item); err != "" {
			return nil, &ItemError{i, err}
		}
	}
	width, height := mm(s.Size.W), mm(s.Size.H)
	w.printf(`<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" xml:space="preserve">`, width, height, width, height)
	w.line()
	if o.Title != "" {
		w.printf("<title>%s</title>", escape(o.Title))
		w.line()
	}
	if o.Embed {
		w.embed(s)
	}
	for _, item := range s.Items {
		switch {
		case item.Text != nil:
			w.text(item.Text, item.Mark)
		case item.Path != nil:
			w.path(item.Path, item.Mark)
		case item.Image != nil:
			w.image(item.Image, item.Mark)
		}
	}
	w.b.WriteString("</svg>\n")
	return w.b.Bytes(), nil
}

type writer struct{ b bytes.Buffer }

// check says what is wrong with an item, or "" if nothing is.
func check(item scene.Item) string {
	switch t := item.Text; {
	case t != nil:
		f, err := font.Open(t.Face)
		if err != nil {
			return err.Error()
		}
		if faults := f.Check(t.Runes); faults != nil {
			return fmt.Sprintf("%q cannot be set in %s: %v", t.Runes, t.Face, faults)
		}
		if n := utf8.RuneCountInString(t.Runes); n != len(t.Advance) {
			return fmt.Sprintf("%q has %d characters and %d advances", t.Runes, n, len(t.Advance))
		}
	case item.Path != nil:
		for _, step := range item.Path.Steps {
			if step.Verb != scene.Close && step.Verb.Points() == 0 {
				return fmt.Sprintf("the path has an unknown step %q", step.Verb)
			}
		}
	case item.Image != nil && item.Image.Format != "png" && item.Image.Format != "jpeg":
		return fmt.Sprintf("%q is no format of a picture", item.Image.Format)
	}
	return ""
}

func (w *writer) printf(format string, args ...any) { fmt.Fprintf(&w.b, format, args...) }

func (w *writer) line() { w.b.WriteByte('\n') }

// mm gives a length in millimetres, to a tenth of a micrometre.
func mm(l scene.Length) string {
	v := math.Round(l.Millimetres()*1e4) / 1e4
	if v == 0 {
		v = 0 // never "-0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func (w *writer) mark(m scene.Mark) {
	if m.Duty != "" {
		w.printf(` data-duty="%s"`, escape(m.Duty))
	}
	if m.Field != "" {
		w.printf(` data-field="%s"`, escape(m.Field))
	}
}

func (w *writer) text(t *scene.Text, m scene.Mark) {
	f, err := font.Open(t.Face)
	if err != nil || !t.Ink.On || t.Runes == "" {
		return
	}
	css := f.CSS()
	w.b.WriteString(`<text x="`)
	x := t.At.X
	for i, a := range t.Advance {
		if i > 0 {
			w.b.WriteByte(' ')
		}
		w.b.WriteString(mm(x))
		x += a
	}
	w.printf(`" y="%s"`, mm(t.At.Y))
	if turn := (t.Turn%4 + 4) % 4; turn != 0 {
		w.printf(` transform="rotate(%d %s %s)"`, 90*turn, mm(t.At.X), mm(t.At.Y))
	}
	w.printf(` font-family="%s" font-size="%s"`, families(css), mm(t.Size))
	if css.Weight != 400 {
		w.printf(` font-weight="%d"`, css.Weight)
	}
	if css.Stretch != "normal" {
		w.printf(` font-stretch="%s"`, css.Stretch)
	}
	if css.Italic {
		w.b.WriteString(` font-style="italic"`)
	}
	w.printf(` fill="%s"`, t.Ink.Hex())
	w.mark(m)
	w.printf(">%s</text>", escape(t.Runes))
	w.line()
}

func families(css font.CSS) string {
	var quoted []string
	for _, f := range css.Families {
		quoted = append(quoted, "'"+f+"'")
	}
	return strings.Join(quoted, ", ")
}

func (w *writer) path(p *scene.Path, m scene.Mark) {
	stroked := p.Stroke.On && p.Width > 0
	if !p.Fill.On && !stroked || len(p.Steps) == 0 {
		return
	}
	w.b.WriteString(`<path d="`)
	for _, s := range p.Steps {
		w.b.WriteByte(byte(s.Verb))
		for i, point := range s.P[:s.Verb.Points()] {
			if i > 0 {
				w.b.WriteByte(' ')
			}
			w.printf("%s %s", mm(point.X), mm(point.Y))
		}
	}
	w.printf(`" fill="%s"`, p.Fill.Hex())
	if p.Fill.On && p.EvenOdd {
		w.b.WriteString(` fill-rule="evenodd"`)
	}
	if stroked {
		w.printf(` stroke="%s" stroke-width="%s"`, p.Stroke.Hex(), mm(p.Width))
		if p.Round {
			w.b.WriteString(` stroke-linecap="round" stroke-linejoin="round"`)
		} else {
			w.b.WriteString(` stroke-miterlimit="10"`) // as in a PDF
		}
		if len(p.Dash) > 0 {
			var dashes []string
			for _, d := range p.Dash {
				dashes = append(dashes, mm(d))
			}
			w.printf(` stroke-dasharray="%s"`, strings.Join(dashes, " "))
		}
	}
	w.mark(m)
	w.b.WriteString("/>\n")
}

func (w *writer) image(i *scene.Image, m scene.Mark) {
	w.printf(`<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none"`,
		mm(i.At.X), mm(i.At.Y), mm(i.At.W), mm(i.At.H))
	w.mark(m)
	w.printf(` href="data:image/%s;base64,%s"/>`, i.Format, base64.StdEncoding.EncodeToString(i.Data))
	w.line()
}

// embed writes the fonts of a scene into a style sheet, under the names that the
// text asks for first. Without it there is no style sheet at all, so that the
// picture can stand in a page that allows none but its own.
func (w *writer) embed(s scene.Scene) {
	var used []scene.Face
	for _, item := range s.Items {
		if item.Text != nil && !slices.Contains(used, item.Text.Face) {
			used = append(used, item.Text.Face)
		}
	}
	slices.Sort(used)
	w.b.WriteString("<style>text{font-kerning:none;font-variant-ligatures:none}")
	for _, face := range used {
		f, err := font.Open(face)
		if err != nil {
			continue
		}
		css := f.CSS()
		style := "normal"
		if css.Italic {
			style = "italic"
		}
		w.printf("\n@font-face{font-family:'%s';font-weight:%d;font-stretch:%s;font-style:%s;src:url(data:font/ttf;base64,%s)}",
			css.Families[0], css.Weight, css.Stretch, style, base64.StdEncoding.EncodeToString(f.Bytes()))
	}
	w.b.WriteString("</style>\n")
}

// escape makes text safe in an element and in a quoted attribute. What XML 1.0
// cannot hold at all becomes U+FFFD.
func escape(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch r {
		case '<':
			b.WriteString("&lt;")
		case '>':
			b.WriteString("&gt;")
		case '&':
			b.WriteString("&amp;")
		case '"':
			b.WriteString("&quot;")
		default:
			if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xFFFE || r == 0xFFFF {
				r = utf8.RuneError
			}
			b.WriteRune(r)
		}
	}
	return b.String()
}
