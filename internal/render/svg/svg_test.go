package svg_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/render/svg"
	"saponym/internal/scene"
)

var mm = measure.MM

func words(t testing.TB, s string, face scene.Face, x, y float64) scene.Item {
	f, err := font.Open(face)
	if err != nil {
		t.Fatal(err)
	}
	size := font.Tenths(84)
	return scene.Item{Text: &scene.Text{At: scene.Point{X: mm(x), Y: mm(y)}, Face: face, Size: size, Ink: scene.RGB(0x27306B), Runes: s, Advance: f.Advances(s, size)}}
}

// An element is a start tag with the text in it.
type element struct {
	name, text string
	attr       map[string]string
}

// read takes a document apart; a document that is not well-formed fails.
func read(t testing.TB, doc []byte) []element {
	t.Helper()
	var all []element
	var open []int // the elements around the place, as indices into all
	d := xml.NewDecoder(bytes.NewReader(doc))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return all
		}
		if err != nil {
			t.Fatalf("the picture is not well-formed: %v\n%s", err, doc)
		}
		switch token := token.(type) {
		case xml.StartElement:
			e := element{name: token.Name.Local, attr: map[string]string{}}
			for _, a := range token.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			open = append(open, len(all))
			all = append(all, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 1 { // not the line ends between the elements
				all[open[len(open)-1]].text += string(token)
			}
		}
	}
}

func TestWrite(t *testing.T) {
	net := words(t, "Net Wt 4 oz", font.SansExtraCondensed, 10, 20)
	net.Mark = scene.Mark{Duty: "net-quantity", Field: `cuts."bar".claim`}
	turned := words(t, "26330", font.SerifMediumItalic, 5, 6)
	turned.Text.Turn = -1
	line := &scene.Path{Stroke: scene.RGB(0xBC5114), Width: mm(0.35), Dash: []scene.Length{mm(1), mm(0.5)}, Round: true}
	line.Move(mm(-1), 0).Curve(scene.Point{X: mm(1)}, scene.Point{X: mm(2), Y: mm(3)}, scene.Point{X: mm(4), Y: mm(5)}).Close()
	shape := &scene.Path{Fill: scene.Black, EvenOdd: true}
	s := scene.Scene{Size: scene.Size{W: mm(173), H: mm(52)}, Items: []scene.Item{
		net, turned, {Path: line}, {Path: shape.Rectangle(scene.Rect{W: mm(1), H: mm(2)})},
		{Image: &scene.Image{At: scene.Rect{X: mm(1), Y: mm(2), W: mm(3), H: mm(4)}, Format: "png", Data: []byte("png")}},
	}}
	doc, err := svg.Write(s, svg.Options{Title: "Hearth & <Husk>"})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []element{
		{"svg", "", map[string]string{"viewBox": "0 0 173 52", "width": "173mm", "height": "52mm", "role": "img"}},
		{"title", "Hearth & <Husk>", nil},
		{"text", "Net Wt 4 oz", map[string]string{"y": "20", "font-family": "'Noto Sans ExtraCondensed', 'Noto Sans'", "font-size": "2.9633",
			"font-stretch": "extra-condensed", "fill": "#27306b", "data-duty": "net-quantity", "data-field": `cuts."bar".claim`}},
		{"text", "26330", map[string]string{"transform": "rotate(270 5 6)", "font-style": "italic", "font-weight": "500", "font-family": "'Yrsa Medium', 'Yrsa'"}},
		{"path", "", map[string]string{"d": "M-1 0C1 0 2 3 4 5Z", "fill": "none", "stroke": "#bc5114", "stroke-width": "0.35", "stroke-dasharray": "1 0.5", "stroke-linecap": "round"}},
		{"path", "", map[string]string{"d": "M0 0L1 0L1 2L0 2Z", "fill": "#000000", "fill-rule": "evenodd"}},
		{"image", "", map[string]string{"x": "1", "y": "2", "width": "3", "height": "4", "href": "data:image/png;base64,cG5n"}},
	} {
		got := read(t, doc)
		if i >= len(got) || got[i].name != want.name || got[i].text != want.text {
			t.Fatalf("element %d is %+v, want %+v", i, got[i], want)
		}
		for name, value := range want.attr {
			if got[i].attr[name] != value {
				t.Errorf("%s of <%s> is %q, want %q", name, want.name, got[i].attr[name], value)
			}
		}
	}
}

func TestLettersStandWhereTheSceneSays(t *testing.T) {
	item := words(t, "AVATAR. Toffee", font.SansCondensed, 10, 20)
	doc, err := svg.Write(scene.Scene{Size: scene.Size{W: mm(80), H: mm(30)}, Items: []scene.Item{item}}, svg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	places := strings.Fields(read(t, doc)[1].attr["x"])
	if len(places) != len(item.Text.Advance) {
		t.Fatalf("%d places for %d letters", len(places), len(item.Text.Advance))
	}
	at := item.Text.At.X
	for i, p := range places {
		got, err := strconv.ParseFloat(p, 64)
		if err != nil || math.Abs(got-at.Millimetres()) > 0.00005001 {
			t.Errorf("letter %d stands at %s, want %.5f", i, p, at.Millimetres())
		}
		at += item.Text.Advance[i]
	}
}

func TestEmbed(t *testing.T) {
	s := scene.Scene{Size: scene.Size{W: mm(80), H: mm(30)}, Items: []scene.Item{words(t, "a", font.SerifBold, 1, 5), words(t, "b", font.SerifBold, 1, 9), words(t, "c", font.SansCondensed, 1, 9)}}
	plain, err := svg.Write(s, svg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	full, err := svg.Write(s, svg.Options{Embed: true})
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(plain, []byte("<style")) {
		t.Error("without fonts there is a style sheet")
	}
	style := read(t, full)[1]
	if style.name != "style" || strings.Count(style.text, "@font-face") != 2 || !strings.Contains(style.text, "font-family:'Yrsa';font-weight:700") {
		t.Errorf("the style sheet begins with %.200q and has %d fonts, want 2", style.text, strings.Count(style.text, "@font-face"))
	}
	again, _ := svg.Write(s, svg.Options{Embed: true})
	if !bytes.Equal(full, again) {
		t.Error("two writings differ")
	}
}

func TestRefusals(t *testing.T) {
	for _, tt := range []struct {
		name string
		item scene.Item
		want string
	}{
		{"face", scene.Item{Text: &scene.Text{Face: "nonesuch"}}, "nonesuch"},
		{"character", words(t, "🧼", font.SansCondensed, 1, 1), "U+1F9FC"},
		{"advances", scene.Item{Text: &scene.Text{Face: font.SansCondensed, Runes: "ab", Advance: make([]scene.Length, 1)}}, "2 characters and 1 advances"},
		{"step", scene.Item{Path: &scene.Path{Steps: []scene.Step{{Verb: '"'}}}}, "unknown step"},
		{"format", scene.Item{Image: &scene.Image{Format: `svg+xml"`}}, "no format"},
	} {
		_, err := svg.Write(scene.Scene{Items: []scene.Item{words(t, "ok", font.SansCondensed, 1, 1), tt.item}}, svg.Options{})
		var item *svg.ItemError
		if !errors.As(err, &item) || item.Item != 1 || !strings.Contains(item.Message, tt.want) {
			t.Errorf("%s: the error is %v, want %q in it", tt.name, err, tt.want)
		}
	}
}

func FuzzWrite(f *testing.F) {
	for _, s := range []string{"Soap", `"><script>`, "a\u0301", "\x00\xff", "]]>", "&amp;", "\ufffe", "🧼"} {
		f.Add(s, s)
	}
	f.Fuzz(func(t *testing.T, title, s string) {
		opened, err := font.Open(font.SansCondensed)
		if err != nil {
			t.Fatal(err)
		}
		item := scene.Item{
			Mark: scene.Mark{Duty: s, Field: title},
			Text: &scene.Text{Face: font.SansCondensed, Size: mm(3), Ink: scene.Black, Runes: s, Advance: opened.Advances(s, mm(3))},
		}
		doc, err := svg.Write(scene.Scene{Items: []scene.Item{item}}, svg.Options{Title: title})
		if (err == nil) != (opened.Check(s) == nil) {
			t.Fatalf("%q: error %v, faults %v", s, err, opened.Check(s))
		}
		if err != nil {
			return
		}
		elements := read(t, doc)
		if last := elements[len(elements)-1]; s != "" && last.text != s {
			t.Errorf("%q is read as %q", s, last.text)
		}
	})
}

func BenchmarkWrite(b *testing.B) {
	var items []scene.Item
	for i := range 20 {
		items = append(items, words(b, "Sodium Olivate, Aqua, Sodium Cocoate", font.SansExtraCondensed, 5, float64(3*i)))
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := svg.Write(scene.Scene{Size: scene.Size{W: mm(173), H: mm(52)}, Items: items}, svg.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
