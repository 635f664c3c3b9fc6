package band

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// The rules that a finished band is measured by. They are public ids: kept or
// retired, and never given a second meaning.
const (
	RuleOutside = "BAND-OUTSIDE" // something stands on a fold, an edge, the seam or the tab
	RuleOverlap = "BAND-OVERLAP" // letters stand on letters or on ornament
	RuleClear   = "BAND-CLEAR"   // the free space round a statement is not free
	RuleHeight  = "BAND-HEIGHT"  // letters are lower than a law asks
	RulePlace   = "BAND-PLACE"   // a statement stands too high on the face
	RuleWords   = "BAND-WORDS"   // words are missing, doubled or changed
)

// Inspect measures a finished band anew, from its drawn items and the outlines of
// the letters alone, against what the content asks and the template promises. It
// finds nothing in a band that comes from [Lay]; it is there so that this need
// not be believed.
func Inspect(l Laid, c label.Content) []finding.Finding {
	in := inspection{laid: l, content: c}
	in.readItems()
	in.words()
	in.places()
	in.overlaps()
	for _, s := range c.Statements {
		in.heights(s)
		in.clear(s)
	}
	return in.found
}

// exact forgives what rounding to whole nanometres may shift, in millimetres.
const exact = 1e-4

// An inspection is what is seen on the band.
type inspection struct {
	laid    Laid
	content label.Content
	found   []finding.Finding

	texts   []seenText
	shapes  []seenShape
	patches []seenShape // painted in the colour of the paper: they hide what is below
}

// A seenText is one text with the boxes of its ink.
type seenText struct {
	item    int
	text    *scene.Text
	mark    scene.Mark
	font    *font.Font
	letters []box
	all     box
}

// A seenShape is one part of a path.
type seenShape struct {
	item   int
	points []vector // of the outline, close together
	filled bool
	all    box // with the width of the stroke
	half   float64
}

func (in *inspection) stop(rule, message string) {
	in.found = append(in.found, finding.Finding{Level: finding.Stop, Rule: rule, Market: in.content.Market, Message: message})
}

func (in *inspection) readItems() {
	for i, item := range in.laid.Scene.Items {
		switch {
		case item.Text != nil:
			if t, ok := seeText(i, item); ok {
				in.texts = append(in.texts, t)
			} else {
				in.stop(RuleHeight, fmt.Sprintf("%q is set in a typeface that cannot be measured", item.Text.Runes))
			}
		case item.Path != nil:
			for _, part := range parts(*item.Path) {
				s := seenShape{item: i, points: dense(flatten(part)), filled: item.Path.Fill.On}
				if item.Path.Stroke.On {
					s.half = item.Path.Width.Millimetres() / 2
				}
				s.all = bounds(s.points).grown(s.half, s.half)
				if item.Path.Fill == in.laid.Colourway.Paper && !item.Path.Stroke.On {
					in.patches = append(in.patches, s)
				} else if item.Path.Fill.On || item.Path.Stroke.On {
					in.shapes = append(in.shapes, s)
				}
			}
		}
	}
}

func seeText(i int, item scene.Item) (seenText, bool) {
	t := item.Text
	f, err := font.Open(t.Face)
	if err != nil || t.Turn != 0 {
		return seenText{}, false
	}
	s := seenText{item: i, text: t, mark: item.Mark, font: f, all: box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}}
	x := t.At.X
	for k, r := range []rune(t.Runes) {
		above, below := f.Ink(string(r), t.Size)
		if above+below > 0 {
			y := t.At.Y
			b := box{x.Millimetres(), (y - above).Millimetres(), (x + t.Advance[k]).Millimetres(), (y + below).Millimetres()}
			s.letters = append(s.letters, b)
			s.all = s.all.joined(b)
		}
		x += t.Advance[k]
	}
	return s, true
}

// density is the greatest distance of neighbouring points of an outline, in
// millimetres.
const density = 0.1

// dense puts points between others that are far apart.
func dense(points []vector) []vector {
	var all []vector
	for i, p := range points {
		all = append(all, p)
		if i+1 == len(points) {
			break
		}
		q := points[i+1]
		n := int(math.Hypot(q.x-p.x, q.y-p.y) / density)
		for k := 1; k <= n; k++ {
			t := float64(k) / float64(n+1)
			all = append(all, vector{p.x + t*(q.x-p.x), p.y + t*(q.y-p.y)})
		}
	}
	return all
}

func (b box) grown(x, y float64) box { return box{b.left - x, b.top - y, b.right + x, b.bottom + y} }

func (b box) joined(o box) box {
	return box{min(b.left, o.left), min(b.top, o.top), max(b.right, o.right), max(b.bottom, o.bottom)}
}

func (b box) meets(o box) bool {
	return b.left < o.right-exact && o.left < b.right-exact && b.top < o.bottom-exact && o.top < b.bottom-exact
}

func (b box) within(o box) bool {
	return b.left > o.left-exact && b.right < o.right+exact && b.top > o.top-exact && b.bottom < o.bottom+exact
}

func (b box) has(p vector) bool {
	return p.x > b.left+exact && p.x < b.right-exact && p.y > b.top+exact && p.y < b.bottom-exact
}

func (b box) middle() vector { return vector{(b.left + b.right) / 2, (b.top + b.bottom) / 2} }

// encloses reports whether a point lies within a closed outline (even-odd).
func encloses(outline []vector, p vector) bool {
	inside := false
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(b.x-a.x)*(p.y-a.y)/(b.y-a.y) {
			inside = !inside
		}
	}
	return inside
}

// hidden reports whether paper was painted over a point of an item.
func (in *inspection) hidden(p vector, item int) bool {
	return slices.ContainsFunc(in.patches, func(s seenShape) bool {
		return s.item > item && s.filled && s.all.grown(exact, exact).has(p) && encloses(s.points, p)
	})
}

// touches reports whether anything of a shape is seen within a box.
func (in *inspection) touches(s seenShape, b box) bool {
	if !s.all.meets(b) {
		return false
	}
	around := b.grown(s.half, s.half)
	for _, p := range s.points {
		if around.has(p) && !in.hidden(p, s.item) {
			return true
		}
	}
	middle := b.middle()
	return s.filled && encloses(s.points, middle) && !in.hidden(middle, s.item)
}

// overlaps looks for letters that stand on other letters or on ornament.
func (in *inspection) overlaps() {
	for i, t := range in.texts {
		for _, o := range in.texts[i+1:] {
			if t.all.meets(o.all) && anyMeet(t.letters, o.letters) {
				in.stop(RuleOverlap, fmt.Sprintf("%q and %q stand on each other", t.text.Runes, o.text.Runes))
			}
		}
		for _, s := range in.shapes {
			if s.all.meets(t.all) && slices.ContainsFunc(t.letters, func(b box) bool { return in.touches(s, b) }) {
				in.stop(RuleOverlap, fmt.Sprintf("%q stands on the ornament", t.text.Runes))
				break
			}
		}
	}
}

func anyMeet(a, b []box) bool {
	return slices.ContainsFunc(a, func(x box) bool { return slices.ContainsFunc(b, x.meets) })
}

// places checks that all that is printed keeps its distance from folds, cuts and
// the seam, and that the tab is bare.
func (in *inspection) places() {
	for _, t := range in.texts {
		if !slices.ContainsFunc(in.laid.Blank.Panels, func(p Panel) bool { return t.all.within(in.letterRoom(p)) }) {
			in.stop(RuleOutside, fmt.Sprintf("%q stands too near to a fold, an edge or the seam", t.text.Runes))
		}
	}
	for _, s := range in.shapes {
		if !slices.ContainsFunc(in.laid.Blank.Panels, func(p Panel) bool { return s.all.within(in.ornamentRoom(p)) }) {
			in.stop(RuleOutside, fmt.Sprintf("an ornament at %.1f, %.1f mm stands too near to a fold, an edge or the seam", s.all.left, s.all.top))
		}
	}
}

// letterRoom gives the part of a panel in which letters may stand.
func (in *inspection) letterRoom(p Panel) box {
	keep := in.laid.Template.Keep
	left, right := keep.Fold, keep.Fold
	switch p.Name {
	case Tab:
		return box{}
	case BackA:
		left = max(keep.Cut, keep.Seam)
	case BackB:
		right = keep.Seam
	}
	return box{(p.X + left).Millimetres(), keep.Cut.Millimetres(), (p.Right() - right).Millimetres(), (in.laid.Blank.Size.H - keep.Cut).Millimetres()}
}

// ornamentRoom gives the part of a panel in which ornament may stand.
func (in *inspection) ornamentRoom(p Panel) box {
	if p.Name == Tab {
		return box{}
	}
	keep := in.laid.Template.Keep
	return box{(p.X + keep.Gutter).Millimetres(), keep.Edge.Millimetres(), (p.Right() - keep.Gutter).Millimetres(), (in.laid.Blank.Size.H - keep.Edge).Millimetres()}
}

// of gives the texts of a statement.
func (in *inspection) of(s label.Statement) []seenText {
	var all []seenText
	for _, t := range in.texts {
		if t.mark == (scene.Mark{Duty: string(s.Duty), Field: s.Field}) {
			all = append(all, t)
		}
	}
	return all
}

// words checks that the band says what the content says, to the letter. What may
// be left out is there as a whole or not at all.
func (in *inspection) words() {
	for _, s := range in.content.Statements {
		var printed strings.Builder
		for _, t := range in.of(s) {
			printed.WriteString(t.text.Runes)
		}
		got, want := closed(printed.String()), closed(wording(s))
		if got == "" && !s.Required && slices.Contains(in.laid.Template.Optional, s.Duty) {
			continue
		}
		if got != want {
			in.stop(RuleWords, fmt.Sprintf("%s reads %q instead of %q", titleOf(s.Duty), got, want))
		}
	}
}

// wording gives a statement as it should read.
func wording(s label.Statement) string {
	words := s.Heading
	if len(s.Names) > 0 {
		words += strings.Join(normalised(s.Names), ",") + "."
	}
	return words + strings.Join(normalised(s.Lines), "")
}

// closed takes all spaces out of a text: where lines end does not matter.
func closed(s string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '\u00a0' || r == '\n' {
			return -1
		}
		return r
	}, s)
}

// heights checks the letters of a statement against the law, and all letters
// against the least that the template prints.
func (in *inspection) heights(s label.Statement) {
	least := s.Letters.Least(in.content.Bar.Face())
	for _, t := range in.of(s) {
		if got := letterHeight(t.font, s.Letters.Measured, t.text.Size); got < least {
			in.stop(RuleHeight, fmt.Sprintf("the letters of %q are %.3f mm high; %.3f mm are asked for", t.text.Runes, got.Millimetres(), least.Millimetres()))
		}
		if got := t.font.XHeight(t.text.Size); got < in.laid.Template.Small.Least {
			in.stop(RuleHeight, fmt.Sprintf("the letter x of %q is %.3f mm high; nothing is printed under %.3f mm", t.text.Runes, got.Millimetres(), in.laid.Template.Small.Least.Millimetres()))
		}
	}
}

// clear checks the place of a statement on the face and the free space round it.
func (in *inspection) clear(s label.Statement) {
	for _, t := range in.of(s) {
		if s.Place.LowestPart > 0 && in.content.Bar.Face() > s.Place.UnlessFaceTo {
			bottom := in.laid.Blank.Size.H + in.laid.Blank.Below
			from := (bottom - measure.Length(s.Place.LowestPart.Fraction()*float64(in.content.Bar.Length))).Millimetres()
			if t.all.top < from-exact {
				in.stop(RulePlace, fmt.Sprintf("%q begins %.2f mm above the lowest %g %% of the face", t.text.Runes, from-t.all.top, s.Place.LowestPart.Percent()))
			}
		}
		if s.Place.ClearHeights == 0 && s.Place.ClearWidthsN == 0 && s.Place.ClearAround == 0 {
			continue
		}
		height, around := letterHeight(t.font, s.Letters.Measured, t.text.Size).Millimetres(), s.Place.ClearAround.Millimetres()
		free := t.all.grown(max(s.Place.ClearWidthsN*t.font.Width("N", t.text.Size).Millimetres(), around), max(s.Place.ClearHeights*height, around))
		if size := in.laid.Blank.Size; free.top < 0 || free.bottom > size.H.Millimetres()+exact {
			in.stop(RuleClear, fmt.Sprintf("the free space round %q does not end on the band", t.text.Runes))
		}
		for _, o := range in.texts {
			if o.mark != t.mark && slices.ContainsFunc(o.letters, free.meets) {
				in.stop(RuleClear, fmt.Sprintf("%q stands in the free space round %q", o.text.Runes, t.text.Runes))
			}
		}
		for _, shape := range in.shapes {
			if in.touches(shape, free) {
				in.stop(RuleClear, fmt.Sprintf("an ornament at %.1f, %.1f mm stands in the free space round %q", shape.all.left, shape.all.top, t.text.Runes))
			}
		}
	}
}
