package sheet_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/sheet"
)

func mm(v float64) measure.Length { return measure.MM(v) }

func size(w, h float64) scene.Size { return scene.Size{W: mm(w), H: mm(h)} }

func piece(w, h float64, count int) sheet.Piece {
	p := sheet.Piece{Scene: scene.Scene{Size: size(w, h)}, Count: count, Folds: []measure.Length{mm(27.625), mm(52.875)}}
	p.Trim.Move(0, 0).Line(mm(w-3), 0).Line(mm(w), mm(3)).Line(mm(w), mm(h-3)).Line(mm(w-3), mm(h)).Line(0, mm(h)).Close()
	return p
}

// The counts follow from floor(room / piece), with a room of the sheet less 9 mm
// at each edge and 9 mm for the footer along one of them.
var fitTests = []struct {
	name       string
	piece      scene.Size
	paper      string
	cols, rows int
	lying      bool
}{
	{"80 x 55 x 25 on letter", size(173, 52), "letter", 1, 5, false},
	{"80 x 55 x 25 on a4", size(173, 52), "a4", 1, 5, false},
	{"75 x 75 x 30 on letter", size(223, 48), "letter", 1, 4, true},
	{"75 x 75 x 30 on a4", size(223, 48), "a4", 1, 4, true}, // 4 x 48 mm are just the 192 mm of the room, with the footer aside
	{"guest bar on a4", size(133, 39), "a4", 2, 4, true},
	{"tag on letter", size(40, 70), "letter", 4, 3, false}, // 6 x 2 lying would hold as many
}

func TestFit(t *testing.T) {
	for _, tt := range fitTests {
		t.Run(tt.name, func(t *testing.T) {
			paper, ok := sheet.PaperNamed(tt.paper)
			if !ok {
				t.Fatalf("there is no paper %q", tt.paper)
			}
			g, _, ok := sheet.Fit(tt.piece, paper)
			if !ok || g.Cols != tt.cols || g.Rows != tt.rows || (g.Size.W > g.Size.H) != tt.lying {
				t.Errorf("Fit gives %d x %d on %v, want %d x %d, lying %v", g.Cols, g.Rows, g.Size, tt.cols, tt.rows, tt.lying)
			}
		})
	}
}

func impose(t *testing.T, pieces []sheet.Piece, o sheet.Options) scene.Sheet {
	t.Helper()
	s, found, err := sheet.Impose(pieces, o)
	if err != nil || len(found) > 0 {
		t.Fatal(err, found)
	}
	return s
}

func TestImpose(t *testing.T) {
	s := impose(t, []sheet.Piece{piece(173, 52, 7)}, sheet.Options{Paper: "letter", Start: 1,
		Footer: sheet.Footer{Product: "Orange & Olive", Market: "us-soap", Claim: "Net Wt 4.2 oz (119 g)"}})
	if s.Pages() != 2 {
		t.Fatalf("%d pages, want 2", s.Pages())
	}
	var perPage [2]int
	for _, p := range s.Places {
		if p.Scene == 0 {
			perPage[p.Page]++
		}
	}
	// Five places a sheet, the first one left out.
	if perPage != [2]int{4, 3} {
		t.Errorf("%v labels a page, want 4 and 3", perPage)
	}
	for page := range 2 {
		text := ""
		for _, p := range s.Places {
			if p.Page == page {
				text += s.Scenes[p.Scene].String()
			}
		}
		for _, want := range []string{"Orange & Olive · us-soap · Net Wt 4.2 oz (119 g)", "Print at 100 % (no fit to page)", "100 mm", fmt.Sprintf("page %d of 2", page+1)} {
			if !strings.Contains(strings.ReplaceAll(text, "\u00a0", " "), want) {
				t.Errorf("page %d lacks %q", page, want)
			}
		}
	}
}

// Pages that are cut alike share one scene of marks, however long the run.
func TestMarksAreShared(t *testing.T) {
	s := impose(t, []sheet.Piece{piece(173, 52, 5*40+2)}, sheet.Options{Paper: "letter"})
	uses := map[int]int{}
	for _, p := range s.Places {
		uses[p.Scene]++
	}
	if uses[0] != 202 || uses[1] != 40 || len(s.Scenes) != 1+2+41 {
		t.Errorf("the piece is placed %d times and the first marks %d times, of %d scenes; want 202, 40 and 44", uses[0], uses[1], len(s.Scenes))
	}
}

// The ruler is the one straight line of the marks that is 100 mm long.
func TestRuler(t *testing.T) {
	for _, p := range []sheet.Piece{piece(173, 52, 1), piece(133, 39, 1)} { // with the footer aside, and at the foot
		s := impose(t, []sheet.Piece{p}, sheet.Options{Paper: "letter"})
		found := 0
		for _, l := range segments(s.Scenes[1]) {
			if length := abs(l.to.X-l.from.X) + abs(l.to.Y-l.from.Y); length == mm(100) {
				found++
			}
		}
		if found != 1 {
			t.Errorf("%d lines of 100 mm, want one ruler", found)
		}
	}
}

// A cut that two pieces share has one mark at each end.
func TestSharedCuts(t *testing.T) {
	s := impose(t, []sheet.Piece{piece(173, 52, 5)}, sheet.Options{Paper: "letter"})
	cuts := map[measure.Length]int{} // level marks by their height
	for _, l := range segments(s.Scenes[1]) {
		if l.from.Y == l.to.Y && abs(l.to.X-l.from.X) <= mm(5) && !l.dashed && l.width == measure.Point/4 && onGrid(s, l.from.Y) {
			cuts[l.from.Y]++
		}
	}
	if len(cuts) != 6 {
		t.Errorf("%d level cuts, want 6 for 5 rows", len(cuts))
	}
	for y, n := range cuts {
		if n != 2 {
			t.Errorf("the cut at %v has %d marks, want one at each end", y, n)
		}
	}
}

// onGrid reports whether a height is that of an edge of a placed piece.
func onGrid(s scene.Sheet, y measure.Length) bool {
	return slices.ContainsFunc(s.Places, func(p scene.Place) bool {
		return p.Scene == 0 && (p.At.F == y || p.At.F+s.Scenes[0].Size.H == y)
	})
}

func TestFoldMarksLieOnFolds(t *testing.T) {
	p := piece(133, 39, 3)
	s := impose(t, []sheet.Piece{p}, sheet.Options{Paper: "a4"})
	want := map[measure.Length]bool{}
	for _, place := range s.Places {
		if place.Scene == 0 {
			for _, fold := range p.Folds {
				want[place.At.E+fold] = true
			}
		}
	}
	seen := map[measure.Length]int{}
	for _, l := range segments(s.Scenes[1]) {
		if l.dashed {
			if l.from.X != l.to.X || !want[l.from.X] {
				t.Errorf("a fold mark at %v is on no fold", l.from)
			}
			seen[l.from.X]++
		}
	}
	for x := range want {
		if seen[x] != 2 {
			t.Errorf("the fold at %v has %d marks, want one above and one below", x, seen[x])
		}
	}
	words := 0
	for _, item := range s.Scenes[1].Items {
		if item.Text != nil && item.Text.Runes == "fold" {
			words++
		}
	}
	if words != 2*len(want) {
		t.Errorf("%d times the word fold, want one beside each of %d marks", words, 2*len(want))
	}
}

var stopTests = []struct {
	name   string
	pieces []sheet.Piece
	o      sheet.Options
	rule   string
	says   string
}{
	// 280 mm need 19 mm beside them and have 279.4, so 18.6 mm are missing to lie on letter.
	{"longer than the paper", []sheet.Piece{piece(280, 50, 1)}, sheet.Options{Paper: "letter"}, sheet.RuleRoom, "18.6 mm"},
	{"longer than letter", []sheet.Piece{piece(270, 50, 1)}, sheet.Options{Paper: "letter"}, sheet.RuleRoom, "use a4 paper"},
	{"unknown paper", []sheet.Piece{piece(173, 52, 1)}, sheet.Options{Paper: "a5"}, sheet.RulePaper, "letter, a4"},
	{"start beyond the sheet", []sheet.Piece{piece(173, 52, 1)}, sheet.Options{Paper: "letter", Start: 5}, sheet.RuleStart, "from 0 to 4"},
	{"start before the sheet", []sheet.Piece{piece(173, 52, 1)}, sheet.Options{Paper: "letter", Start: -1}, sheet.RuleStart, "-1"},
	{"no copies", []sheet.Piece{piece(173, 52, 0)}, sheet.Options{Paper: "letter"}, sheet.RuleCount, "1 to"},
	{"no pieces", nil, sheet.Options{Paper: "letter"}, sheet.RuleCount, "1 to"},
}

func TestStops(t *testing.T) {
	for _, tt := range stopTests {
		t.Run(tt.name, func(t *testing.T) {
			s, found, err := sheet.Impose(tt.pieces, tt.o)
			if err != nil {
				t.Fatal(err)
			}
			if len(found) != 1 || found[0].Level != finding.Stop || found[0].Rule != tt.rule || !strings.Contains(found[0].Message+found[0].Remedy, tt.says) {
				t.Errorf("findings %v, want a stop of %s that says %q", found, tt.rule, tt.says)
			}
			if len(s.Places) > 0 {
				t.Error("there is a sheet beside the stop")
			}
		})
	}
}

func TestPiecesOfDifferentSizes(t *testing.T) {
	if _, _, err := sheet.Impose([]sheet.Piece{piece(173, 52, 1), piece(133, 39, 1)}, sheet.Options{Paper: "a4"}); err == nil {
		t.Error("pieces of different sizes were put on one sheet")
	}
}

// Whatever the size and the number: each copy is placed once, none overlaps
// another, and all that is drawn stands within what a printer prints.
func TestAnySheet(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w, h := rapid.Float64Range(60, 300).Draw(r, "w"), rapid.Float64Range(10, 120).Draw(r, "h")
		paper := rapid.SampledFrom(sheet.Papers()).Draw(r, "paper")
		pieces := []sheet.Piece{piece(w, h, rapid.IntRange(0, 30).Draw(r, "first")), piece(w, h, rapid.IntRange(0, 30).Draw(r, "second"))}
		o := sheet.Options{Paper: paper.ID, Start: rapid.IntRange(0, 6).Draw(r, "start"), Footer: sheet.Footer{
			Product: rapid.StringMatching(`[A-Za-z &]{0,300}`).Draw(r, "product"), Market: "eu", Claim: "119 g"}}
		s, found, err := sheet.Impose(pieces, o)
		if err != nil {
			r.Fatal(err)
		}
		if len(found) > 0 {
			return
		}
		printable := scene.Rect{W: s.Size.W, H: s.Size.H}.Inset(sheet.Margin)
		counts := make([]int, 2)
		var placed []scene.Place
		for _, p := range s.Places {
			if p.Scene >= 2 {
				continue
			}
			counts[p.Scene]++
			rect := scene.Rect{X: p.At.E, Y: p.At.F, W: mm(w), H: mm(h)}
			if !within(rect, printable) {
				r.Errorf("a label at %v stands outside of %v", rect, printable)
			}
			for _, q := range placed {
				if q.Page == p.Page && abs(q.At.E-p.At.E) < mm(w) && abs(q.At.F-p.At.F) < mm(h) {
					r.Errorf("labels at %v and %v overlap", q.At, p.At)
				}
			}
			placed = append(placed, p)
		}
		if counts[0] != pieces[0].Count || counts[1] != pieces[1].Count {
			r.Errorf("%v copies placed, want %d and %d", counts, pieces[0].Count, pieces[1].Count)
		}
		for _, marks := range s.Scenes[2:] {
			for _, l := range segments(marks) {
				for _, p := range []scene.Point{l.from, l.to} {
					if !within(scene.Rect{X: p.X, Y: p.Y}, printable) {
						r.Errorf("a mark at %v stands outside of %v", p, printable)
					}
				}
			}
			for _, item := range marks.Items {
				if t := item.Text; t != nil {
					end := scene.Point{X: t.At.X + t.Width(), Y: t.At.Y}
					if t.Turn == 1 {
						end = scene.Point{X: t.At.X, Y: t.At.Y + t.Width()}
					}
					if !within(scene.Rect{X: t.At.X, Y: t.At.Y}, printable) || !within(scene.Rect{X: end.X, Y: end.Y}, printable) {
						r.Errorf("%q at %v stands outside of %v", t.Runes, t.At, printable)
					}
				}
			}
		}
	})
}

func within(r, room scene.Rect) bool {
	return r.X >= room.X && r.Y >= room.Y && r.Right() <= room.Right() && r.Bottom() <= room.Bottom()
}

// A segment is one straight line of a scene.
type segment struct {
	from, to scene.Point
	dashed   bool
	width    measure.Length
}

func segments(s scene.Scene) []segment {
	var all []segment
	for _, item := range s.Items {
		if item.Path == nil {
			continue
		}
		var last scene.Point
		for _, step := range item.Path.Steps {
			if step.Verb == scene.LineTo {
				all = append(all, segment{last, step.P[0], len(item.Path.Dash) > 0, item.Path.Width})
			}
			last = step.P[0]
		}
	}
	return all
}

func abs(l measure.Length) measure.Length { return max(l, -l) }
