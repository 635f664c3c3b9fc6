package sheet

import (
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// A Paper is a plain sheet, named for its geometry. Sizes are of the upright
// sheet.
type Paper struct {
	ID   string
	Size scene.Size
}

// papers: ISO 216 for a4; letter is ANSI/ASME Y14.1 size A, 8.5 by 11 inches.
var papers = []Paper{
	{"letter", scene.Size{W: 8*measure.Inch + measure.Inch/2, H: 11 * measure.Inch}},
	{"a4", scene.Size{W: 210 * measure.Millimetre, H: 297 * measure.Millimetre}},
}

// Papers lists the papers that can be printed on.
func Papers() []Paper { return append([]Paper(nil), papers...) }

// PaperNamed gives the paper of an id.
func PaperNamed(id string) (Paper, bool) {
	for _, p := range papers {
		if p.ID == id {
			return p, true
		}
	}
	return Paper{}, false
}

// What surrounds the pieces.
const (
	// Margin is what a home printer may leave bare at each edge of the paper.
	Margin = 6 * measure.Millimetre

	markGap    = 3 * measure.Millimetre // from a cut line to its mark
	markLength = 5 * measure.Millimetre
	// Where the paper is short, marks shrink to these.
	leastGap    = measure.Millimetre
	leastLength = 2 * measure.Millimetre

	footerDepth = 9 * measure.Millimetre
)

// A Grid is where pieces of one size stand on a sheet: edge to edge, so that
// neighbours share a cut.
type Grid struct {
	Paper      Paper
	Size       scene.Size // of the sheet as it is printed, upright or lying
	Piece      scene.Size
	Cols, Rows int
	At         scene.Point // the top left corner of the first piece

	footerAside bool // the footer stands at the right edge, turned, not at the foot
}

// PerPage counts the places of the grid.
func (g Grid) PerPage() int { return g.Cols * g.Rows }

// Place gives the top left corner of a place. Places count from 0, row by row.
func (g Grid) Place(k int) scene.Point {
	return scene.Point{X: g.At.X + g.Piece.W*measure.Length(k%g.Cols), Y: g.At.Y + g.Piece.H*measure.Length(k/g.Cols)}
}

// Fit gives the grid with the most places for pieces of a size, upright or lying.
// It gives false, and by how much the piece is too large at best, where not even
// one fits.
func Fit(piece scene.Size, paper Paper) (Grid, measure.Length, bool) {
	var best Grid
	missing := measure.Length(-1)
	for _, size := range []scene.Size{paper.Size, {W: paper.Size.H, H: paper.Size.W}} {
		for _, aside := range []bool{false, true} {
			g := Grid{Paper: paper, Size: size, Piece: piece, footerAside: aside}
			room := g.room()
			over := max(piece.W-room.W, piece.H-room.H)
			if missing < 0 || over < missing {
				missing = over
			}
			g.Cols, g.Rows = int(room.W/piece.W), int(room.H/piece.H)
			if g.PerPage() > best.PerPage() {
				g.At = g.centre()
				best = g
			}
		}
	}
	return best, missing, best.PerPage() > 0
}

// room gives the part of the sheet that pieces may take: within the margin, the
// shortest marks and the footer.
func (g Grid) room() scene.Rect {
	const around = Margin + leastGap + leastLength
	r := scene.Rect{W: g.Size.W, H: g.Size.H}.Inset(around)
	if g.footerAside {
		r.W -= footerDepth
	} else {
		r.H -= footerDepth
	}
	return r
}

// centre puts the grid in the middle of the sheet, or of the room where the
// footer needs it to.
func (g Grid) centre() scene.Point {
	room, w, h := g.room(), g.Piece.W*measure.Length(g.Cols), g.Piece.H*measure.Length(g.Rows)
	return scene.Point{
		X: min((g.Size.W-w)/2, room.Right()-w),
		Y: min((g.Size.H-h)/2, room.Bottom()-h),
	}
}

// block gives the rectangle of all places.
func (g Grid) block() scene.Rect {
	return scene.Rect{X: g.At.X, Y: g.At.Y, W: g.Piece.W * measure.Length(g.Cols), H: g.Piece.H * measure.Length(g.Rows)}
}

// strips gives the free space beside the block in which marks may stand, on the
// left, above, on the right and below.
func (g Grid) strips() (left, above, right, below measure.Length) {
	b := g.block()
	left, above = b.X-Margin, b.Y-Margin
	right, below = g.Size.W-Margin-b.Right(), g.Size.H-Margin-b.Bottom()
	if g.footerAside {
		right -= footerDepth
	} else {
		below -= footerDepth
	}
	return left, above, right, below
}
