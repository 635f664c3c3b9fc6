package band

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/source"
)

// A Template says what a band is made of, whatever it looks like: its paper, how
// far letters keep away from folds and edges, which statement stands where, and
// what gives way when room is short. The file templates/wrap-band.yaml explains
// each value.
type Template struct {
	ID, Name string
	Paper    Paper
	Keep     Keep
	Small    Small

	Front, Side, Foot, Back []label.Duty // which statement stands where, in order
	Optional                []label.Duty // what is left out first
}

// Paper is the blank before anything is printed on it.
type Paper struct {
	Ease      measure.Length // added to each panel
	Bevel     measure.Length // radius of the bar's edges, which shorten the way round it; 0 for sharp ones
	Tab       measure.Length // the overlap
	TabCorner measure.Length // what is cut off its corners
	Breadth   Breadth
}

// Breadth says how far a band reaches along the length of the bar.
type Breadth struct {
	Share, Most measure.Share  // of the length: the usual breadth, and the greatest
	Step        measure.Length // breadths are whole multiples of it
	Reveal      measure.Length // of the bar, seen at either end
}

// Keep holds distances that are kept free of letters (Fold, Cut, Seam) or of
// ornament (Gutter at a fold, Edge at a cut).
type Keep struct{ Fold, Cut, Seam, Gutter, Edge measure.Length }

// Small says how the small text is set. Heights are of the letter x; the
// pitches are tried in their order.
type Small struct {
	Height, Least measure.Length
	Pitch         []float64 // from line to line, in sizes of the letters
	Break         float64   // the cost of a line end within a name; see [text.Cost]
	Gap           float64   // between statements, in pitches
	Carry         int       // least lines of a list on either half of the back
}

// A Look is what a template looks like: faces, ornament, and the colours that it
// comes in. The file templates/courtyard.yaml explains each value.
type Look struct {
	ID, Name                                 string
	Title, Identity, Tagline                 Display
	Net, Small, Side                         Display // Side is for the address; it falls back to Small where it is too wide
	Tiles                                    Tiles
	FrameLine, FrameGap                      measure.Length
	ArchLine, InnerLine, InnerGap, ArchClear measure.Length
	Colourways                               []Colourway
}

// A Display is a face with the sizes in which it may be set; Small and Side have
// none of their own.
type Display struct {
	Face, Strong scene.Face
	Most, Least  measure.Length
	Lead         float64 // least distance of baselines, in sizes
}

// Tiles are the square tiles of a wall.
type Tiles struct {
	Side, Least, Most measure.Length
	Order             []motif
}

// A Colourway is one set of inks for a look.
type Colourway struct {
	ID                       string
	Paper, Ink, Accent, Tint scene.Ink
	Hatch                    bool // draw what is accent in lines of ink
}

// RuleTemplate is the rule of templates and looks that make no sense.
const RuleTemplate = "BAND-TEMPLATE"

// The looks that the program can draw.
var draws = []string{"courtyard"}

// A reader reads one template or look and notes what cannot be.
type reader struct{ doc *source.Document }

// wrong reports a value that can be read and makes no sense.
func (r reader) wrong(at finding.Pos, message, remedy string) {
	r.doc.Report(finding.Finding{Level: finding.Stop, Rule: RuleTemplate, Message: message, At: at, Remedy: remedy})
}

// need reports a value that is missing.
func need[T any](r reader, m *source.Map, key string, v source.Value[T]) T {
	if !v.Given() && m.Shape(key) == source.Absent {
		at := m.At()
		if at.Line == 0 {
			at = r.doc.Root().At()
		}
		r.wrong(at, fmt.Sprintf("%q is missing", key), "copy it from a template that comes with the program")
	}
	return v.V
}

func (r reader) length(m *source.Map, key string) measure.Length {
	return need(r, m, key, m.Length(key))
}

// points reads a size of letters, such as "8.4 pt".
func (r reader) points(m *source.Map, key string) measure.Length {
	f := need(r, m, key, m.Figure(key, "pt"))
	return font.Tenths(int(10*f.Low + 0.5))
}

// numbers reads a list of plain numbers.
func (r reader) numbers(m *source.Map, key string) []float64 {
	var all []float64
	for _, text := range m.Texts(key) {
		v, err := measure.ParseNumber(text.V)
		if err != nil || v <= 0 {
			r.wrong(text.At, fmt.Sprintf("%q is no number above 0", text.V), `write it as "1.12"`)
			continue
		}
		all = append(all, v)
	}
	if len(all) == 0 {
		r.wrong(m.At(), fmt.Sprintf("%q needs at least one number", key), "")
	}
	return all
}

// duties reads a list of duties.
func (r reader) duties(m *source.Map, key string) []label.Duty {
	var all []label.Duty
	for _, text := range m.Texts(key) {
		duty := label.Duty(text.V)
		if !slices.Contains(dutiesKnown, duty) {
			f := finding.Finding{Level: finding.Stop, Rule: RuleTemplate, At: text.At,
				Message: fmt.Sprintf("%q is no duty of a label", text.V)}
			if near := source.Nearest(text.V, names(dutiesKnown)); near != "" {
				f.Remedy = fmt.Sprintf("did you mean %q?", near)
			}
			r.doc.Report(f)
			continue
		}
		all = append(all, duty)
	}
	return all
}

var dutiesKnown = []label.Duty{label.DutyName, label.DutyIdentity, label.DutyTagline, label.DutyNetQuantity,
	label.DutyIngredients, label.DutyCaution, label.DutyMaker, label.DutyResponsible, label.DutyOrigin,
	label.DutyContact, label.DutyBatch, label.DutyDurability}

func names[T ~string](list []T) []string {
	var all []string
	for _, v := range list {
		all = append(all, string(v))
	}
	return all
}

// ReadTemplate reads a template from the bytes of its file. The template may be
// used when no finding is a stop. The error is a [*source.NoDocument].
func ReadTemplate(file string, data []byte) (Template, []finding.Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Template{}, nil, err
	}
	r, m := reader{doc}, doc.Root()
	var t Template
	t.ID, t.Name = need(r, m, "template", m.Text("template")), need(r, m, "name", m.Text("name"))

	paper := m.Map("blank")
	t.Paper = Paper{Ease: r.length(paper, "ease"), Bevel: paper.Length("bevel").V,
		Tab: r.length(paper, "tab"), TabCorner: r.length(paper, "tab_corner")}
	breadth := paper.Map("breadth")
	t.Paper.Breadth = Breadth{Share: need(r, breadth, "share", breadth.Share("share")), Most: need(r, breadth, "most", breadth.Share("most")),
		Step: r.length(breadth, "step"), Reveal: r.length(breadth, "reveal")}
	if b := t.Paper.Breadth; b.Share <= 0 || b.Share > b.Most || b.Most > measure.Whole {
		r.wrong(breadth.At(), "the breadth has to be more than 0% of the bar's length, and not more than the most, which is at most 100%", "")
	}

	keep := m.Map("keep")
	t.Keep = Keep{Fold: r.length(keep, "fold"), Cut: r.length(keep, "cut"), Seam: r.length(keep, "seam"),
		Gutter: r.length(keep, "gutter"), Edge: r.length(keep, "edge")}

	small := m.Map("small")
	t.Small = Small{Height: r.length(small, "height"), Least: r.length(small, "least"),
		Pitch: r.numbers(small, "pitch"), Break: need(r, small, "break", small.Number("break")),
		Gap: need(r, small, "gap", small.Number("gap")), Carry: need(r, small, "carry", small.Count("carry"))}
	if t.Small.Least > t.Small.Height {
		r.wrong(small.KeyAt("least"), "the least height of the small text is more than its usual height", "")
	}
	for _, p := range t.Small.Pitch {
		if p < 1 {
			r.wrong(small.KeyAt("pitch"), fmt.Sprintf("at a pitch of %g the lines would touch", p), "1.1 is the least that reads well")
		}
	}

	t.Front, t.Side, t.Foot, t.Back = r.duties(m, "front"), r.duties(m, "side"), r.duties(m, "foot"), r.duties(m, "back")
	t.Optional = r.duties(m, "optional")
	placed := map[label.Duty]bool{}
	for _, duty := range slices.Concat(t.Front, t.Side, t.Foot, t.Back) {
		if placed[duty] {
			r.wrong(m.At(), fmt.Sprintf("the template places %q twice", duty), "name each duty once")
		}
		placed[duty] = true
	}
	return t, doc.Findings(), nil
}

// ReadLook reads a look; see [ReadTemplate].
func ReadLook(file string, data []byte) (Look, []finding.Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Look{}, nil, err
	}
	r, m := reader{doc}, doc.Root()
	var l Look
	l.ID, l.Name = need(r, m, "look", m.Text("look")), need(r, m, "name", m.Text("name"))
	need(r, m, "draws", m.Enum("draws", draws...))

	faces := m.Map("faces")
	l.Title, l.Identity, l.Tagline = r.display(faces, "name"), r.display(faces, "identity"), r.display(faces, "tagline")
	l.Net, l.Small, l.Side = r.display(faces, "net"), r.display(faces, "small"), r.display(faces, "side")

	tiles := m.Map("tiles")
	l.Tiles = Tiles{Side: r.length(tiles, "side"), Least: r.length(tiles, "least"), Most: r.length(tiles, "most")}
	for _, text := range tiles.Texts("order") {
		if !slices.Contains(motifs, motif(text.V)) {
			r.wrong(text.At, fmt.Sprintf("%q is no motif", text.V), "there are "+strings.Join(names(motifs), ", "))
			continue
		}
		l.Tiles.Order = append(l.Tiles.Order, motif(text.V))
	}
	if len(l.Tiles.Order) == 0 || l.Tiles.Least > l.Tiles.Side || l.Tiles.Side > l.Tiles.Most {
		r.wrong(tiles.At(), "the tiles need an order of motifs, and a side that is between the least and the most", "")
	}

	frame := m.Map("frame")
	l.FrameLine, l.FrameGap = r.length(frame, "line"), r.length(frame, "gap")
	arch := m.Map("arch")
	l.ArchLine, l.InnerLine, l.InnerGap, l.ArchClear = r.length(arch, "line"), r.length(arch, "inner_line"), r.length(arch, "inner_gap"), r.length(arch, "clear")

	for _, way := range m.Maps("colourways") {
		l.Colourways = append(l.Colourways, Colourway{ID: need(r, way, "id", way.Text("id")),
			Paper: r.ink(way, "paper"), Ink: r.ink(way, "ink"), Accent: r.ink(way, "accent"), Tint: r.ink(way, "tint"),
			Hatch: way.Bool("hatch").V})
	}
	if len(l.Colourways) == 0 {
		r.wrong(m.At(), "the look has no colourway", "")
	}
	return l, doc.Findings(), nil
}

// display reads a face with its sizes.
func (r reader) display(faces *source.Map, key string) Display {
	m := faces.Map(key)
	d := Display{Face: r.face(m, "face")}
	d.Strong = d.Face
	if m.Shape("strong") != source.Absent {
		d.Strong = r.face(m, "strong")
	}
	if m.Shape("most") != source.Absent {
		d.Most = r.points(m, "most")
	}
	if m.Shape("least") != source.Absent {
		d.Least = r.points(m, "least")
	}
	if d.Least > d.Most {
		r.wrong(m.At(), "the least size is more than the most", "")
	}
	d.Lead = m.Number("lead").V
	return d
}

func (r reader) face(m *source.Map, key string) scene.Face {
	id := m.Text(key)
	face := scene.Face(need(r, m, key, id))
	if _, err := font.Open(face); id.Given() && err != nil {
		r.wrong(id.At, err.Error(), "")
	}
	return face
}

// ink reads a colour written as "#27306B".
func (r reader) ink(m *source.Map, key string) scene.Ink {
	text := m.Text(key)
	hex, marked := strings.CutPrefix(need(r, m, key, text), "#")
	value, err := strconv.ParseUint(hex, 16, 32)
	if text.Given() && (!marked || err != nil || len(hex) != 6) {
		r.wrong(text.At, fmt.Sprintf("%q is no colour", text.V), `write it as "#27306B", in quotation marks`)
	}
	return scene.RGB(uint32(value))
}
