// Package page sets documents that flow down pages of paper: headings,
// paragraphs, tables, boxed notes, boxes to tick and rules to write on.
//
// It takes a [Flow] of blocks with the paper, and gives a [scene.Sheet] with one
// scene a page. A block is cut only where a reader can bear it: a row of a table,
// a [Box] and [Columns] never split, a heading stays with what follows, and no
// single line of a paragraph is left alone. What the words are, in which
// letters and in which order, others decide.
//
// Nothing is squeezed or cut off. A word that is wider than its column goes on in
// the next line; what cannot stand on any page is a [*TallError].
package page

import (
	"fmt"
	"slices"

	"saponym/internal/font"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// A Length is that of package measure.
type Length = measure.Length

// A Style is how words are set; see [text.Style].
type Style = text.Style

// Margins are kept free at the edges of each page. The footer stands in the one
// below.
type Margins struct{ Top, Right, Bottom, Left Length }

// An Align is that of package text.
type Align = text.Align

// The alignments.
const (
	Left   = text.Left
	Centre = text.Centre
	Right  = text.Right
)

// The faces that papers are set in: the serif for what names, the sans for what
// is read and done.
const (
	Serif       = font.SerifBold
	SerifItalic = font.SerifMediumItalic
	Sans        = font.SansCondensed
	SansStrong  = font.SansCondensedSemiBold
)

// The errors of package text that a flow may end in: a letter that cannot be set,
// a figure that is wider than its column, more words than a paragraph takes.
type (
	CharacterError = text.CharacterError
	WideError      = text.WideError
	MuchError      = text.MuchError
)

// A Flow is a document that is not yet cut into pages.
type Flow struct {
	Size    scene.Size // of the paper
	Margins Margins
	Blocks  []Block
	Foot    *Foot   // stands at the foot of one page, if it is there
	Footer  *Footer // runs below all pages, if it is there
}

// A Foot is a block that stands at the foot of the page on which a block of the
// flow begins. It is not split, and what flows keeps clear of it. The block goes to
// the next page where it has no room above the foot; where it has none on any page,
// the two stand apart.
type Foot struct {
	With  int // the index of the block in the flow
	Block Block
	Above Length // kept free between it and what flows
}

// A Footer stands below each page, with its baseline so far above the edge of
// the paper.
type Footer struct {
	Left  string
	Right func(page, pages int) string // page counts from 1
	Style Style
	Above Length // from the edge of the paper to the baseline
}

// Pages is a flow cut into pages.
type Pages struct {
	Sheet  scene.Sheet
	Starts []int // the page, from 0, on which each block of the flow begins
	Foot   int   // the page of the foot, or -1
}

// A TallError says that what must stay together is taller than a page.
type TallError struct{ Height, Room Length }

func (e *TallError) Error() string {
	return fmt.Sprintf("a piece that cannot be split is %.1f mm high, and a page has room for %.1f mm", e.Height.Millimetres(), e.Room.Millimetres())
}

// A RoomError says that the margins or the columns leave no room.
type RoomError struct{ Width, Height Length }

func (e *RoomError) Error() string {
	return fmt.Sprintf("the room for text is %.1f x %.1f mm", e.Width.Millimetres(), e.Height.Millimetres())
}

// Lay cuts the flow into pages; there is always at least one. The error is a
// [*TallError], a [*RoomError], a [*CharacterError], a [*WideError], a
// [*MuchError], or that of a style that cannot be set.
func (f Flow) Lay() (Pages, error) {
	room := scene.Rect{X: f.Margins.Left, Y: f.Margins.Top,
		W: f.Size.W - f.Margins.Left - f.Margins.Right, H: f.Size.H - f.Margins.Top - f.Margins.Bottom}
	if room.W <= 0 || room.H <= 0 {
		return Pages{}, &RoomError{room.W, room.H}
	}
	var all []strip
	firsts := make([]int, len(f.Blocks)) // index of the first strip of each block
	for i, b := range f.Blocks {
		firsts[i] = len(all)
		strips, err := b.lay(room.W)
		if err != nil {
			return Pages{}, err
		}
		all = append(all, strips...)
	}
	spots, foot, err := f.place(all, firsts, room)
	if err != nil {
		return Pages{}, err
	}
	standing := slices.Concat(spots, foot)
	count := 1
	for _, s := range standing {
		count = max(count, s.page+1)
	}
	scenes := make([]scene.Scene, count)
	pages := Pages{Sheet: scene.Sheet{Size: f.Size}, Foot: -1}
	for _, s := range standing {
		scenes[s.page].Items = append(scenes[s.page].Items, moved(s.strip.items, room.X, room.Y+s.y)...)
	}
	for _, s := range foot {
		pages.Foot = s.page
	}
	for _, first := range firsts {
		pages.Starts = append(pages.Starts, startOf(spots, first))
	}
	for i := range scenes {
		scenes[i].Size = f.Size
		below, err := f.footer(room, i+1, count)
		if err != nil {
			return Pages{}, err
		}
		scenes[i].Items = append(scenes[i].Items, below...)
		pages.Sheet.Places = append(pages.Sheet.Places, scene.Place{Scene: i, Page: i, At: scene.Shift(scene.Point{})})
	}
	pages.Sheet.Scenes = scenes
	return pages, nil
}

// place puts the strips of the flow on pages, and that of the foot, if there is one.
// The foot takes room, which may move the block that it stands with to a later
// page; then it is tried on that one.
func (f Flow) place(all []strip, firsts []int, room scene.Rect) (spots, foot []spot, err error) {
	if f.Foot == nil {
		spots, err = fill(all, room.H, func(int) Length { return room.H })
		return spots, nil, err
	}
	strips, err := f.Foot.Block.lay(room.W)
	if err != nil {
		return nil, nil, err
	}
	below := stack(strips)
	if below.height > room.H {
		return nil, nil, &TallError{below.height, room.H}
	}
	with := f.Foot.With
	for at, broken := 0, false; ; {
		spots, err = fill(all, room.H, func(page int) Length {
			if page == at {
				return room.H - below.height - f.Foot.Above
			}
			return room.H
		})
		if err != nil {
			return nil, nil, err
		}
		start := at
		if 0 <= with && with < len(firsts) {
			start = startOf(spots, firsts[with])
		}
		switch {
		case start > at:
			at++
		case start < at && !broken:
			// Without the foot the block has room on an earlier page, with the foot
			// it has not. It is to begin a page of its own.
			breakBefore(all, firsts[with])
			broken = true
		default:
			return spots, []spot{{&below, len(all), at, room.H - below.height}}, nil
		}
	}
}

// breakBefore makes a strip begin a page, with those that stay with it.
func breakBefore(strips []strip, i int) {
	for i > 0 && strips[i-1].keep {
		i--
	}
	strips[i].begins = true
}

// startOf gives the page of a strip. A block without strips begins where the one
// after it does, or at the end.
func startOf(spots []spot, index int) int {
	page := 0
	for _, s := range spots {
		if page = s.page; s.index >= index {
			break
		}
	}
	return page
}

// footer sets the line below a page.
func (f Flow) footer(room scene.Rect, page, pages int) ([]scene.Item, error) {
	if f.Footer == nil {
		return nil, nil
	}
	base := f.Size.H - f.Footer.Above
	right, err := oneLine(f.Footer.Right(page, pages), f.Footer.Style)
	if err != nil {
		return nil, err
	}
	left, err := shortened(f.Footer.Left, f.Footer.Style, room.W-right.Width-f.Footer.Style.Size)
	if err != nil {
		return nil, err
	}
	items := left.Set(scene.Point{X: room.X, Y: base}, text.Left)
	return append(items, right.Set(scene.Point{X: room.Right(), Y: base}, text.Right)...), nil
}

// shortened sets the text on one line and leaves out words at its end where it is
// too long: a footer names the sheet and says nothing that is not on it.
func shortened(s string, style Style, room Length) (text.Line, error) {
	words := text.Words(s, style)
	for n := len(words); n > 0; n-- {
		part := slices.Clone(words[:n])
		if n < len(words) {
			part[n-1].Text += " …"
		}
		line, err := text.OneLine(part...)
		if err != nil || line.Width <= room {
			return line, err
		}
	}
	return text.Line{}, nil
}

func oneLine(s string, style Style) (text.Line, error) {
	return text.OneLine(text.Words(s, style)...)
}

// Width gives the length of a text on one line. The error is one of package text.
func Width(s string, style Style) (Length, error) {
	line, err := oneLine(s, style)
	return line.Width, err
}

// Sets reports whether a face has every letter of a text.
func Sets(s string, face scene.Face) bool {
	f, err := font.Open(face)
	return err == nil && f.Check(font.Normalise(plain(s))) == nil
}
