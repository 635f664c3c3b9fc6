package pdf

import (
	"fmt"
	"image"
	"math"
	"strings"
	"unicode/utf8"

	_ "image/jpeg" // the two formats of pictures
	_ "image/png"

	"bytes"

	"saponym/internal/font"
	"saponym/internal/scene"
)

// The largest page is that of the PDF specification (ISO 32000-1, annex C.2):
// 14,400 points.
const largestPage = 200 * 25_400_000

// mostPages keeps a wrong page number from filling the memory.
const mostPages = 100_000

// mostPixels is the largest picture that is unpacked.
const mostPixels = 100_000_000

// check looks at all that fpdf would answer with a panic, with a wrong letter or
// not at all.
func check(doc scene.Document) error {
	if doc.Date.IsZero() {
		return &DocumentError{"the document has no date"}
	}
	for _, text := range []string{doc.Title, doc.Author} {
		if !utf8.ValidString(text) {
			return &DocumentError{fmt.Sprintf("%q is not valid UTF-8", text)}
		}
	}
	if strings.Trim(doc.Language, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-") != "" {
		return &DocumentError{fmt.Sprintf("%q is no language tag, such as %q", doc.Language, "en-GB")}
	}
	pages := 0
	for i := range doc.Sheets {
		s := &doc.Sheets[i]
		if err := checkSheet(i, s); err != nil {
			return err
		}
		if pages += s.Pages(); pages > mostPages {
			return &DocumentError{fmt.Sprintf("it would have more than %d pages", mostPages)}
		}
		for j := range s.Scenes {
			for k, item := range s.Scenes[j].Items {
				if message, faults := checkItem(item); message != "" {
					return &ItemError{Sheet: i, Scene: j, Item: k, Message: message, Faults: faults}
				}
			}
		}
	}
	if pages == 0 {
		return &DocumentError{"it has no page"}
	}
	return nil
}

func checkSheet(number int, s *scene.Sheet) error {
	if s.Size.W <= 0 || s.Size.H <= 0 || s.Size.W > largestPage || s.Size.H > largestPage {
		return &DocumentError{fmt.Sprintf("sheet %d is %.3f x %.3f mm; both sides must be above 0 and at most 5080 mm",
			number, s.Size.W.Millimetres(), s.Size.H.Millimetres())}
	}
	for i, p := range s.Places {
		if p.Scene < 0 || p.Scene >= len(s.Scenes) || p.Page < 0 || p.Page >= mostPages {
			return &DocumentError{fmt.Sprintf("place %d of sheet %d has scene %d on page %d; the sheet has %d scenes",
				i, number, p.Scene, p.Page, len(s.Scenes))}
		}
		for _, v := range []float64{p.At.A, p.At.B, p.At.C, p.At.D} {
			if math.IsNaN(v) || math.Abs(v) > 1000 {
				return &DocumentError{fmt.Sprintf("place %d of sheet %d is turned or scaled by %v", i, number, v)}
			}
		}
	}
	return nil
}

// checkItem says what is wrong with an item, or "" if nothing is.
func checkItem(item scene.Item) (message string, faults []font.Fault) {
	kinds := 0
	if t := item.Text; t != nil {
		kinds++
		message, faults = checkText(t)
	}
	if p := item.Path; p != nil {
		kinds++
		message = checkPath(p)
	}
	if p := item.Image; p != nil {
		kinds++
		message = checkImage(p)
	}
	if kinds != 1 {
		return "it is not just one of text, path and image", nil
	}
	return message, faults
}

func checkText(t *scene.Text) (string, []font.Fault) {
	f, err := font.Open(t.Face)
	if err != nil {
		return err.Error(), nil
	}
	if faults := f.Check(t.Runes); faults != nil {
		return fmt.Sprintf("%q cannot be set in %s: %v", t.Runes, t.Face, faults), faults
	}
	if n := utf8.RuneCountInString(t.Runes); n != len(t.Advance) {
		return fmt.Sprintf("%q has %d characters and %d advances", t.Runes, n, len(t.Advance)), nil
	}
	if t.Size <= 0 || t.Size > largestPage {
		return fmt.Sprintf("%q has a size of %g mm", t.Runes, t.Size.Millimetres()), nil
	}
	return "", nil
}

func checkPath(p *scene.Path) string {
	if len(p.Steps) > 0 && p.Steps[0].Verb != scene.MoveTo {
		return "the path does not begin with a move"
	}
	for _, s := range p.Steps {
		switch s.Verb {
		case scene.MoveTo, scene.LineTo, scene.CurveTo, scene.Close:
		default:
			return fmt.Sprintf("the path has an unknown step %q", s.Verb)
		}
	}
	if p.Width < 0 {
		return "the stroke has a negative width"
	}
	total := scene.Length(0)
	for _, d := range p.Dash {
		if d < 0 {
			return "a dash has a negative length"
		}
		total += d
	}
	if len(p.Dash) > 0 && total == 0 {
		return "all dashes have no length"
	}
	return ""
}

func checkImage(p *scene.Image) string {
	config, format, err := image.DecodeConfig(bytes.NewReader(p.Data))
	switch {
	case err != nil:
		return fmt.Sprintf("the picture cannot be read: %v", err)
	case format != p.Format:
		return fmt.Sprintf("the picture is said to be %q and is %q", p.Format, format)
	case config.Width < 1 || config.Height < 1 || config.Width > mostPixels/config.Height:
		return fmt.Sprintf("the picture has %d x %d pixels", config.Width, config.Height)
	}
	return ""
}
