// Package pdf writes a [scene.Document] as a PDF file.
//
// It takes finished scenes and gives bytes; it decides no position. A scene that
// is placed more than once is drawn once, as a form, and referred to. Text is
// text: a reader can search and copy it, each character stands where the scene
// says, and the parts of the fonts that are used are embedded. The same document
// gives the same bytes, whenever and wherever it is written.
//
// Not everything that PDF knows can be written: there is no structure for
// assistive technology, and no profile for archives.
package pdf

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"sync"
	"time"

	"github.com/go-pdf/fpdf"

	"saponym/internal/font"
	"saponym/internal/scene"
)

// A DocumentError says what keeps a document as a whole from being written.
type DocumentError struct{ Message string }

func (e *DocumentError) Error() string { return "writing a PDF: " + e.Message }

// An ItemError says what keeps one item from being drawn. Numbers count from 0.
type ItemError struct {
	Sheet, Scene, Item int
	Message            string
	Faults             []font.Fault // characters that the font does not have
}

func (e *ItemError) Error() string {
	return fmt.Sprintf("writing a PDF: item %d of scene %d on sheet %d: %s", e.Item, e.Scene, e.Sheet, e.Message)
}

// sortCatalog makes fpdf write its dictionaries in a fixed order. Only this
// switch, which holds for the whole program, reaches the dictionary of a form.
var sortCatalog = sync.OnceFunc(func() { fpdf.SetDefaultCatalogSort(true) })

// noon is the hour that a document is dated with, so that its day is the same
// in most time zones.
const noon = 12 * time.Hour

// Write gives the document as a PDF file. Each page has the size of its sheet;
// a sheet with no places has no page. The document must have a date and at least
// one page, and all its text must be such as [font.Font.Check] passes: an error
// is a [*DocumentError] or an [*ItemError] then. No other is expected.
func Write(doc scene.Document) (file []byte, err error) {
	if err := check(doc); err != nil {
		return nil, err
	}
	defer func() {
		// fpdf answers some damaged pictures with a panic.
		if r := recover(); r != nil {
			file, err = nil, fmt.Errorf("writing a PDF: %v", r)
		}
	}()
	sortCatalog()
	w := &writer{out: fpdf.New("P", "pt", "A4", ""), pictures: make(map[string]picture)}
	w.describe(doc)
	if err := w.addFonts(doc); err != nil {
		return nil, err
	}
	if err := w.addPictures(doc); err != nil {
		return nil, err
	}
	for i := range doc.Sheets {
		if err := w.sheet(&doc.Sheets[i]); err != nil {
			return nil, err
		}
	}
	var b bytes.Buffer
	if err := w.out.Output(&b); err != nil {
		return nil, fmt.Errorf("writing a PDF: %w", err)
	}
	return b.Bytes(), nil
}

// A writer holds a file that is being written.
type writer struct {
	out      *fpdf.Fpdf
	pictures map[string]picture // by the bytes of their file
}

func (w *writer) describe(doc scene.Document) {
	w.out.SetMargins(0, 0, 0)
	w.out.SetAutoPageBreak(false, 0)
	w.out.SetCompression(true)
	w.out.SetProducer("saponym", true)
	w.out.SetTitle(doc.Title, true)
	w.out.SetAuthor(doc.Author, true)
	w.out.SetLang(doc.Language)
	date := doc.Date.Time().Add(noon)
	w.out.SetCreationDate(date)
	w.out.SetModificationDate(date)
}

// sheet adds the pages of one sheet.
func (w *writer) sheet(s *scene.Sheet) error {
	uses := make([]int, len(s.Scenes))
	for _, p := range s.Places {
		uses[p.Scene]++
	}
	forms := make([]form, len(s.Scenes))
	for i := range s.Scenes {
		if uses[i] > 1 {
			forms[i] = w.form(&s.Scenes[i])
		}
	}
	byPage := make([][]scene.Place, s.Pages())
	for _, p := range s.Places {
		byPage[p.Page] = append(byPage[p.Page], p)
	}
	// The page box is written with two decimals. Measuring down from that edge,
	// rather than from the exact one, puts all things at their distance from the
	// top of the paper.
	height := math.Round(points(s.Size.H)*100) / 100
	for _, places := range byPage {
		w.out.AddPageFormat("P", fpdf.SizeType{Wd: points(s.Size.W), Ht: height})
		for _, p := range places {
			w.place(p.At, height, forms[p.Scene].below)
			if f := &forms[p.Scene]; f.template != nil {
				w.use(f, height)
			} else {
				w.draw(w.out, &s.Scenes[p.Scene], 0, 0)
			}
			w.out.RawWriteStr("Q")
		}
	}
	return w.out.Error()
}

// place sets the coordinates for a scene: its own, in points, with y running up
// from its top edge. What is drawn lies below nought then. A form is drawn from
// its lower left corner instead, which is offset from that origin.
func (w *writer) place(at scene.Affine, height float64, offset corner) {
	// In a scene and on a page y runs down, in a PDF it runs up: b and c change
	// sign, and f is measured from the lower edge of the paper.
	a, b, c, d := at.A, -at.B, -at.C, at.D
	e, f := points(at.E), height-points(at.F)
	e, f = a*offset.x+c*offset.y+e, b*offset.x+d*offset.y+f
	line := append([]byte(nil), "q "...)
	for _, v := range []float64{a, b, c, d} {
		line = appendNumber(line, v, 8)
	}
	line = appendNumber(line, e, decimals)
	line = appendNumber(line, f, decimals)
	w.out.RawWriteStr(string(append(line, "cm"...)))
}

// A corner is a point in the coordinates of a scene, in points, y running up
// from the top edge of the scene.
type corner struct{ x, y float64 }

// A form is a scene that is drawn once and used many times.
type form struct {
	template fpdf.Template
	name     string // once it is in the catalogue
	below    corner // its lower left corner
}

// form draws a scene as a form. A form is clipped to its box, and ornament may
// reach past the edge of a scene, so the box holds all that is drawn.
func (w *writer) form(s *scene.Scene) form {
	box := bounds(s)
	// Whole points all round, so that the box is written without rounding.
	left, top := math.Floor(points(box.X)), math.Floor(points(box.Y))
	right, bottom := math.Ceil(points(box.Right())), math.Ceil(points(box.Bottom()))
	size := fpdf.SizeType{Wd: right - left, Ht: bottom - top}
	template := w.out.CreateTemplateCustom(fpdf.PointType{}, size, func(t *fpdf.Tpl) {
		w.draw(&t.Fpdf, s, -left, bottom)
	})
	return form{template: template, below: corner{left, -bottom}}
}

// use refers to a form. The first time it goes through fpdf, so that the form
// comes into the catalogue; that is slow, so after that its name is written.
func (w *writer) use(f *form, pageHeight float64) {
	if f.name != "" {
		w.out.RawWriteStr(f.name)
		return
	}
	_, size := f.template.Size()
	w.out.UseTemplateScaled(f.template, fpdf.PointType{X: 0, Y: pageHeight - size.Ht}, size)
	f.name = "/TPL" + f.template.ID() + " Do"
}

// points gives a length in points, 1/72 inch.
func points(l scene.Length) float64 { return float64(l) * 72 / 25_400_000 }

// decimals is how exactly places are written, in points: 0.0001 pt is 35 nm.
const decimals = 4

// appendNumber writes a number and a space, without zeros at its end.
func appendNumber(to []byte, v float64, precision int) []byte {
	scale := math.Pow10(precision)
	v = math.Round(v*scale) / scale
	if v == 0 {
		v = 0 // never "-0"
	}
	return append(strconv.AppendFloat(to, v, 'f', -1, 64), ' ')
}
