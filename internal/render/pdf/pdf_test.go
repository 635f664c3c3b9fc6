package pdf_test

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"saponym/internal/day"
	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/outside"
	"saponym/internal/render/pdf"
	"saponym/internal/scene"
)

var mm = measure.MM

func date(t testing.TB) day.Day {
	d, ok := day.Of(2026, time.November, 26)
	if !ok {
		t.Fatal("no such day")
	}
	return d
}

// words makes one run of text at a place.
func words(t testing.TB, s string, face scene.Face, size scene.Length, x, y float64) scene.Item {
	f, err := font.Open(face)
	if err != nil {
		t.Fatal(err)
	}
	return scene.Item{Text: &scene.Text{
		At: scene.Point{X: mm(x), Y: mm(y)}, Face: face, Size: size, Ink: scene.Black,
		Runes: s, Advance: f.Advances(s, size),
	}}
}

func onePage(t testing.TB, w, h float64, items ...scene.Item) scene.Document {
	size := scene.Size{W: mm(w), H: mm(h)}
	return scene.Document{Title: "Żółty ① test", Author: "Larch (& Lather)", Language: "en", Date: date(t), Sheets: []scene.Sheet{{
		Size: size, Scenes: []scene.Scene{{Size: size, Items: items}}, Places: []scene.Place{{At: scene.Shift(scene.Point{})}},
	}}}
}

func write(t testing.TB, doc scene.Document) []byte {
	t.Helper()
	file, err := pdf.Write(doc)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// band is much like a printed band: a wall of tiles, some names, a list.
func band(t testing.TB) scene.Scene {
	items := []scene.Item{}
	tiles := &scene.Path{Fill: scene.RGB(0x27306B)}
	for i := range 40 {
		tiles.Circle(scene.Point{X: mm(30 + float64(i%10)*2.5), Y: mm(5 + float64(i/10)*2.5)}, mm(0.7))
	}
	items = append(items, scene.Item{Path: tiles})
	cut := &scene.Path{Stroke: scene.Black, Width: mm(0.1), Dash: []scene.Length{mm(1), mm(1)}}
	items = append(items, scene.Item{Path: cut.Rectangle(scene.Rect{W: mm(173), H: mm(52)})})
	items = append(items,
		words(t, "Hearth & Husk", font.SerifBold, font.Tenths(330), 60, 22),
		words(t, "Net Wt 4.2 oz (119 g)", font.SansExtraCondensed, font.Tenths(168), 59, 46.6))
	for i, line := range []string{"Sodium Olivate, Aqua, Sodium", "Cocoate, Glycerin, Avena Sativa", "(Oat) Kernel Flour, Parfum,", "Linalool, Limonene, CI 77491."} {
		items = append(items, words(t, line, font.SansExtraCondensed, font.Tenths(84), 135, 8+3.2*float64(i)))
	}
	return scene.Scene{Size: scene.Size{W: mm(173), H: mm(52)}, Items: items}
}

// bands places a band so many times, five to a page.
func bands(t testing.TB, count int) scene.Document {
	sheet := scene.Sheet{Size: scene.Size{W: mm(210), H: mm(297)}, Scenes: []scene.Scene{band(t)}}
	for i := range count {
		sheet.Places = append(sheet.Places, scene.Place{Page: i / 5, At: scene.Shift(scene.Point{X: mm(18), Y: mm(10 + float64(i%5)*55)})})
	}
	return scene.Document{Title: "Bands", Author: "Larch & Lather", Language: "en-US", Date: date(t), Sheets: []scene.Sheet{sheet}}
}

func TestTextIsReadInOrder(t *testing.T) {
	file := write(t, bands(t, 2))
	got := strings.Fields(outside.Run(t, file, "pdftotext", "-raw", "FILE", "-"))
	once := strings.Fields("Hearth & Husk Net Wt 4.2 oz (119 g) Sodium Olivate, Aqua, Sodium Cocoate, Glycerin, Avena Sativa (Oat) Kernel Flour, Parfum, Linalool, Limonene, CI 77491.")
	want := append(once, once...)
	if strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("the words are read as\n%q, want\n%q", got, want)
	}
}

func TestTextOfAllScriptsIsRead(t *testing.T) {
	const want = "Żółć ğİşŁ Ελαιόλαδο мыло — “ok” № € ℮ × fi ffi"
	file := write(t, onePage(t, 150, 30, words(t, want, font.SansCondensed, font.Tenths(120), 5, 15)))
	if got := strings.TrimSpace(outside.Run(t, file, "pdftotext", "-raw", "FILE", "-")); got != want {
		t.Errorf("the text is read as %q, want %q", got, want)
	}
}

// A word of pdftotext -bbox, in points from the upper left corner.
type box struct {
	text                   string
	left, top, right, base float64
}

var boxLine = regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>`)

func boxes(t *testing.T, file []byte) []box {
	var all []box
	for _, m := range boxLine.FindAllStringSubmatch(outside.Run(t, file, "pdftotext", "-bbox", "FILE", "-"), -1) {
		var v [4]float64
		for i := range v {
			v[i], _ = strconv.ParseFloat(m[i+1], 64)
		}
		all = append(all, box{m[5], v[0], v[1], v[2], v[3]})
	}
	return all
}

func TestTextStandsWhereTheSceneSays(t *testing.T) {
	sizes := []int{63, 84, 168, 330}
	for _, face := range font.Faces() {
		var items []scene.Item
		for i, size := range sizes {
			items = append(items, words(t, "AVATAR. Toffee", face, font.Tenths(size), 10+float64(i), 20+20*float64(i)))
		}
		file := write(t, onePage(t, 210, 297, items...))
		got := boxes(t, file)
		if len(got) != 2*len(sizes) {
			t.Fatalf("%s: %d words are found, want %d: %v", face, len(got), 2*len(sizes), got)
		}
		for i := range sizes {
			f, _ := font.Open(face)
			size := font.Tenths(sizes[i])
			left := items[i].Text.At.X
			first := left + f.Width("AVATAR.", size)
			second := left + items[i].Text.Width() - f.Width("Toffee", size)
			for _, c := range []struct {
				what string
				got  float64
				want scene.Length
			}{
				{"left", got[2*i].left, left}, {"end of the first word", got[2*i].right, first},
				{"start of the second word", got[2*i+1].left, second}, {"end", got[2*i+1].right, left + items[i].Text.Width()},
			} {
				if off := c.got*25.4/72 - c.want.Millimetres(); math.Abs(off) > 0.005 {
					t.Errorf("%s at %.1f pt: the %s is %.4f mm off", face, font.Points(size), c.what, off)
				}
			}
		}
	}
}

func TestAdvancesAreObeyed(t *testing.T) {
	item := words(t, "wide", font.SansCondensed, font.Tenths(100), 10, 20)
	for i := range item.Text.Advance {
		item.Text.Advance[i] += mm(0.3)
	}
	file := write(t, onePage(t, 100, 40, item))
	got := boxes(t, file)
	natural, _ := font.Open(font.SansCondensed)
	want := (mm(10) + natural.Width("wide", font.Tenths(100)) + 3*mm(0.3)).Millimetres()
	if len(got) != 1 || math.Abs(got[0].right*25.4/72-want) > 0.005 {
		t.Errorf("the word ends at %v, want %.3f mm", got, want)
	}
}

func TestFontsAreEmbedded(t *testing.T) {
	file := write(t, bands(t, 1))
	out := outside.Run(t, file, "pdffonts", "FILE")
	lines := strings.Split(strings.TrimSpace(out), "\n")[2:]
	if len(lines) != 2 {
		t.Fatalf("want the two faces that are used:\n%s", out)
	}
	for _, line := range lines {
		// name, type, encoding, emb, sub, uni, object
		f := strings.Fields(line)
		if n := len(f); f[n-5] != "yes" || f[n-3] != "yes" {
			t.Errorf("the font is not embedded or has no Unicode map: %s", line)
		}
	}
}

func TestFileIsSound(t *testing.T) {
	for name, doc := range map[string]scene.Document{
		"one band":  bands(t, 1),
		"two forms": bands(t, 7),
		"pictures":  onePage(t, 100, 50, pictures(t)...),
	} {
		t.Run(name, func(t *testing.T) {
			if out := outside.Run(t, write(t, doc), "qpdf", "--check", "FILE"); !strings.Contains(out, "No syntax or stream encoding errors found") {
				t.Errorf("qpdf says\n%s", out)
			}
		})
	}
}

func TestDocumentDescribesItself(t *testing.T) {
	doc := onePage(t, 215.9, 279.4)
	info := outside.Run(t, write(t, doc), "pdfinfo", "-isodates", "FILE")
	for _, want := range []string{"Title:           Żółty ① test", "Author:          Larch (& Lather)", "Producer:        saponym",
		"CreationDate:    2026-11-26T12:00:00", "ModDate:         2026-11-26T12:00:00", "Page size:       612 x 792 pts (letter)"} {
		if !strings.Contains(info, want) {
			t.Errorf("pdfinfo lacks %q:\n%s", want, info)
		}
	}
	if file := write(t, doc); !bytes.Contains(file, []byte("/Lang (en)")) {
		t.Error("the file does not name its language")
	}
}

// render gives a grey picture of the first page.
func render(t *testing.T, file []byte, dpi int) *image.Gray {
	out := outside.Run(t, file, "pdftoppm", "-r", strconv.Itoa(dpi), "-gray", "-aa", "no", "-aaVector", "no", "-f", "1", "-l", "1", "FILE")
	header := strings.SplitN(out, "\n", 4) // P5, "width height", 255, pixels
	var w, h int
	if _, err := fmt.Sscan(header[1], &w, &h); err != nil {
		t.Fatal(err)
	}
	return &image.Gray{Pix: []byte(header[3]), Stride: w, Rect: image.Rect(0, 0, w, h)}
}

// ink gives the bounds of all that is dark.
func ink(g *image.Gray) image.Rectangle {
	r := image.Rectangle{}
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			if g.Pix[y*g.Stride+x] < 128 {
				r = r.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return r
}

// The heights that layout promises are those on paper.
func TestLetterHeightsOnPaper(t *testing.T) {
	const dpi = 1200
	pixels := func(l scene.Length) float64 { return l.Millimetres() * dpi / 25.4 }
	for _, face := range font.Faces() {
		f, err := font.Open(face)
		if err != nil {
			t.Fatal(err)
		}
		for _, tt := range []struct {
			text   string
			size   scene.Length
			height func(scene.Length) scene.Length
		}{
			{"x", f.SizeForX(mm(1.5875)), f.XHeight},
			{"x", f.SizeForX(mm(3.175)), f.XHeight},
			{"H", f.SizeForCap(mm(1.5875)), f.CapHeight},
			{"figures", f.SizeForFigure(mm(4)), f.FigureHeight},
		} {
			lowest := math.Inf(1)
			letters := []string{tt.text}
			if tt.text == "figures" {
				letters = strings.Split("0123456789", "")
			}
			for _, letter := range letters {
				page := render(t, write(t, onePage(t, 10, 10, words(t, letter, face, tt.size, 2, 8))), dpi)
				lowest = min(lowest, float64(ink(page).Dy()))
			}
			if want := pixels(tt.height(tt.size)); math.Abs(lowest-want) > 1 {
				t.Errorf("%s, %s at %.1f pt: %.0f pixels high, computed %.2f", face, tt.text, font.Points(tt.size), lowest, want)
			}
		}
	}
}

func TestTurnedText(t *testing.T) {
	const dpi = 600
	for _, tt := range []struct {
		name   string
		turn   scene.Quarter
		across bool // the text runs along x
		sign   float64
	}{{"upright", 0, true, 1}, {"clockwise", 1, false, 1}, {"head down", 2, true, -1}, {"anticlockwise", 3, false, -1}, {"negative", -1, false, -1}} {
		t.Run(tt.name, func(t *testing.T) {
			item := words(t, "HHHHHHHH", font.SansCondensed, font.Tenths(100), 20, 20)
			item.Text.Turn = tt.turn
			r := ink(render(t, write(t, onePage(t, 40, 40, item)), dpi))
			origin := 20 * dpi / 25.4
			from, to := float64(r.Min.X), float64(r.Max.X)
			if !tt.across {
				from, to = float64(r.Min.Y), float64(r.Max.Y)
			}
			if tt.sign < 0 {
				from, to = -to+2*origin, -from+2*origin
			}
			length := item.Text.Width().Millimetres() * dpi / 25.4
			// The side bearings of the H are less than a tenth of the em.
			bearing := 0.1 * item.Text.Size.Millimetres() * dpi / 25.4
			if from < origin || from > origin+bearing || to > origin+length || to < origin+length-bearing {
				t.Errorf("the ink reaches from %.0f to %.0f, want about %.0f to %.0f", from, to, origin, origin+length)
			}
		})
	}
}

// A form and the same scene drawn by itself look the same, wherever and however
// they stand, with all that reaches past the edge.
func TestFormsLookLikeTheScene(t *testing.T) {
	blob := &scene.Path{Fill: scene.Black, Stroke: scene.Black, Width: mm(0.5), Round: true}
	blob.Move(mm(-2), mm(-3)).Line(mm(12), mm(1)).Curve(scene.Point{X: mm(14), Y: mm(4)}, scene.Point{X: mm(8), Y: mm(9)}, scene.Point{X: mm(3), Y: mm(8)}).Close()
	one := scene.Scene{Size: scene.Size{W: mm(10), H: mm(6)}, Items: append([]scene.Item{{Path: blob}, words(t, "Qq", font.SerifMediumItalic, font.Tenths(200), 6, 9)}, pictures(t)[0])}
	for name, at := range map[string]scene.Affine{
		"moved":  scene.Shift(scene.Point{X: mm(15.1234), Y: mm(12.3456)}),
		"turned": {B: 1, C: -1, E: mm(30), F: mm(12)},
		"scaled": {A: 1.002, D: 0.997, E: mm(15), F: mm(12)},
	} {
		t.Run(name, func(t *testing.T) {
			size := scene.Size{W: mm(50), H: mm(40)}
			single := scene.Document{Date: date(t), Sheets: []scene.Sheet{{Size: size, Scenes: []scene.Scene{one}, Places: []scene.Place{{At: at}}}}}
			twice := scene.Document{Date: date(t), Sheets: []scene.Sheet{{Size: size, Scenes: []scene.Scene{one}, Places: []scene.Place{{At: at}, {Page: 1, At: at}}}}}
			a, b := render(t, write(t, single), 300), render(t, write(t, twice), 300)
			if ink(a).Empty() {
				t.Fatal("nothing is drawn")
			}
			differ := 0
			for i := range a.Pix {
				if (a.Pix[i] < 128) != (b.Pix[i] < 128) {
					differ++
				}
			}
			// Coordinates are rounded to 35 nm at another origin: a few pixels on an edge may flip.
			if differ > 20 {
				t.Errorf("%d pixels differ", differ)
			}
		})
	}
}

func TestOneFormForManyPlaces(t *testing.T) {
	for _, count := range []int{2, 1000} {
		file := write(t, bands(t, count))
		if got := bytes.Count(file, []byte("/Subtype /Form")); got != 1 {
			t.Errorf("%d places make %d forms, want 1", count, got)
		}
	}
	if got := bytes.Count(write(t, bands(t, 1)), []byte("/Subtype /Form")); got != 0 {
		t.Errorf("one place makes %d forms, want 0", got)
	}
}

func TestSameDocumentSameBytes(t *testing.T) {
	doc := bands(t, 7)
	doc.Sheets[0].Scenes = append(doc.Sheets[0].Scenes, scene.Scene{Size: scene.Size{W: mm(100), H: mm(50)}, Items: pictures(t)})
	doc.Sheets[0].Places = append(doc.Sheets[0].Places, scene.Place{Scene: 1, Page: 2, At: scene.Shift(scene.Point{})}, scene.Place{Scene: 1, Page: 2, At: scene.Shift(scene.Point{Y: mm(60)})})
	want := write(t, doc)
	for range 20 {
		if !bytes.Equal(write(t, doc), want) {
			t.Fatal("two writings differ")
		}
	}
}

func TestConcurrentWriting(t *testing.T) {
	doc := bands(t, 7)
	want := write(t, doc)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			if file, err := pdf.Write(doc); err != nil || !bytes.Equal(file, want) {
				t.Errorf("a writing beside others differs; error %v", err)
			}
		})
	}
	wg.Wait()
}

func pictures(t testing.TB) []scene.Item {
	var items []scene.Item
	add := func(format string, data []byte) {
		at := scene.Rect{X: mm(1 + 20*float64(len(items))), Y: mm(2), W: mm(15), H: mm(10)}
		items = append(items, scene.Item{Image: &scene.Image{At: at, Format: format, Data: data}})
	}
	for _, shade := range []uint8{0, 100, 200} { // of one width, which fpdf would write in any order
		m := image.NewNRGBA(image.Rect(0, 0, 30, 20))
		for i := range 30 * 20 {
			m.Set(i%30, i/30, color.NRGBA{shade, shade / 2, 0, uint8(255 - i%30)})
		}
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			t.Fatal(err)
		}
		add("png", b.Bytes())
	}
	deep := image.NewGray16(image.Rect(0, 0, 31, 20)) // 16 bits a channel
	var b bytes.Buffer
	if err := png.Encode(&b, deep); err != nil {
		t.Fatal(err)
	}
	add("png", b.Bytes())
	var j bytes.Buffer
	if err := jpeg.Encode(&j, image.NewGray(image.Rect(0, 0, 40, 20)), nil); err != nil {
		t.Fatal(err)
	}
	add("jpeg", j.Bytes())
	return items
}

func TestPicturesStandWhereTheSceneSays(t *testing.T) {
	const dpi = 300
	black := image.NewGray(image.Rect(0, 0, 30, 20))
	white := image.NewGray(image.Rect(0, 0, 30, 20))
	for i := range white.Pix {
		white.Pix[i] = 255
	}
	var items []scene.Item
	for i, m := range []image.Image{white, black} { // the second one gets a clear column
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			t.Fatal(err)
		}
		items = append(items, scene.Item{Image: &scene.Image{At: scene.Rect{X: mm(20 * float64(i)), Y: mm(5), W: mm(15), H: mm(10)}, Format: "png", Data: b.Bytes()}})
	}
	r := ink(render(t, write(t, onePage(t, 40, 20, items...)), dpi))
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"left", float64(r.Min.X), 20}, {"right", float64(r.Max.X), 35}, {"top", float64(r.Min.Y), 5}, {"bottom", float64(r.Max.Y), 15}} {
		if want := c.want * dpi / 25.4; math.Abs(c.got-want) > 1 {
			t.Errorf("the %s edge is at pixel %.0f, want %.1f", c.what, c.got, want)
		}
	}
}

func TestRefusals(t *testing.T) {
	good := func() scene.Document { return bands(t, 1) }
	item := func(i scene.Item) scene.Document {
		return onePage(t, 50, 50, words(t, "ok", font.SansCondensed, mm(3), 1, 5), i)
	}
	text := func(s string, advances int) scene.Item {
		return scene.Item{Text: &scene.Text{Face: font.SansCondensed, Size: mm(3), Ink: scene.Black, Runes: s, Advance: make([]scene.Length, advances)}}
	}
	for _, tt := range []struct {
		name string
		doc  scene.Document
		want string // in the message
	}{
		{"no date", func() scene.Document { d := good(); d.Date = day.Day{}; return d }(), "no date"},
		{"no page", scene.Document{Date: date(t)}, "no page"},
		{"language", func() scene.Document { d := good(); d.Language = "en) /X ("; return d }(), "language tag"},
		{"title", func() scene.Document { d := good(); d.Title = "\xff"; return d }(), "UTF-8"},
		{"page number", func() scene.Document { d := good(); d.Sheets[0].Places[0].Page = -1; return d }(), "page -1"},
		{"scene number", func() scene.Document { d := good(); d.Sheets[0].Places[0].Scene = 1; return d }(), "scene 1"},
		{"not a number", func() scene.Document { d := good(); d.Sheets[0].Places[0].At.A = math.NaN(); return d }(), "scaled"},
		{"paper", func() scene.Document { d := good(); d.Sheets[0].Size.W = 0; return d }(), "0.000 x"},
		{"emoji", item(text("🧼", 1)), "U+1F9FC"},
		{"not in the font", item(text("☃", 1)), "not in the font"},
		{"invalid", item(text("a\xff", 2)), "UTF-8"},
		{"advances", item(text("abc", 2)), "3 characters and 2 advances"},
		{"face", item(scene.Item{Text: &scene.Text{Face: "nonesuch", Size: mm(3)}}), "nonesuch"},
		{"size", item(scene.Item{Text: &scene.Text{Face: font.SansCondensed}}), "size"},
		{"empty item", item(scene.Item{}), "not just one"},
		{"two in one", item(scene.Item{Text: text("a", 1).Text, Path: &scene.Path{}}), "not just one"},
		{"path without a start", item(scene.Item{Path: (&scene.Path{Fill: scene.Black}).Line(1, 1)}), "begin"},
		{"step", item(scene.Item{Path: &scene.Path{Steps: []scene.Step{{Verb: scene.MoveTo}, {Verb: 'q'}}}}), "unknown step"},
		{"dash", item(scene.Item{Path: &scene.Path{Dash: []scene.Length{0, 0}}}), "dashes"},
		{"picture", item(scene.Item{Image: &scene.Image{Format: "png", Data: []byte("no")}}), "cannot be read"},
		{"format", item(scene.Item{Image: &scene.Image{Format: "jpeg", Data: pictures(t)[0].Image.Data}}), `is "png"`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			file, err := pdf.Write(tt.doc)
			var document *pdf.DocumentError
			var one *pdf.ItemError
			switch {
			case err == nil || file != nil:
				t.Fatalf("it is written: error %v, %d bytes", err, len(file))
			case !errors.As(err, &document) && !errors.As(err, &one):
				t.Errorf("the error is %T: %v", err, err)
			case !strings.Contains(err.Error(), tt.want):
				t.Errorf("the error is %q, want %q in it", err, tt.want)
			case one != nil && one.Item != 1:
				t.Errorf("the error names item %d, want 1", one.Item)
			}
		})
	}
}

func FuzzWrite(f *testing.F) {
	for _, s := range []string{"Soap", "a\u0301", "🧼", "\xff", "\x00", "\u202e", "(\\)", "℮ 100 g", ""} {
		f.Add(s, uint8(0), int64(3_000_000))
	}
	f.Fuzz(func(t *testing.T, s string, pick uint8, size int64) {
		d, _ := day.Of(2026, time.November, 26)
		face := font.Faces()[int(pick)%len(font.Faces())]
		opened, err := font.Open(face)
		if err != nil {
			t.Fatal(err)
		}
		bounded := scene.Length(size % int64(mm(1000)))
		item := scene.Item{Text: &scene.Text{Face: face, Size: bounded, Ink: scene.Black, Runes: s, Advance: opened.Advances(s, bounded)}}
		paper := scene.Size{W: mm(100), H: mm(100)}
		file, err := pdf.Write(scene.Document{Title: strings.ToValidUTF8(s, "?"), Date: d, Sheets: []scene.Sheet{{
			Size: paper, Scenes: []scene.Scene{{Size: paper, Items: []scene.Item{item}}}, Places: []scene.Place{{At: scene.Shift(scene.Point{})}},
		}}})
		if settable := opened.Check(s) == nil && bounded > 0; settable != (err == nil) {
			t.Errorf("%q at %d nm: error %v, settable %v", s, bounded, err, settable)
		}
		if err == nil && !bytes.HasSuffix(file, []byte("%%EOF\n")) {
			t.Errorf("%q: the file has no end", s)
		}
	})
}

func BenchmarkWrite(b *testing.B) {
	for _, count := range []int{1, 5, 3000, 30000} {
		b.Run(strconv.Itoa(count), func(b *testing.B) {
			doc := bands(b, count)
			b.ReportAllocs()
			var size int
			for b.Loop() {
				size = len(write(b, doc))
			}
			b.ReportMetric(float64(size), "bytes/file")
		})
	}
}
