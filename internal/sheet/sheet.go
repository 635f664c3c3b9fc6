// Package sheet puts finished labels on paper for a home printer.
//
// It takes scenes of one size with the number of copies and gives a
// [scene.Sheet]: the pieces edge to edge, marks to cut and fold by, and a footer
// that tells what was printed and whether it came out at the right size. What the
// labels show is none of its business.
package sheet

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// The rules of sheets. They are public ids: kept or retired, and never given a
// second meaning.
const (
	RuleRoom  = "SHEET-ROOM"  // the piece is larger than the paper
	RulePaper = "SHEET-PAPER" // there is no such paper
	RuleStart = "SHEET-START" // the sheet has no such place
	RuleCount = "SHEET-COUNT" // nothing is to be printed, or more than makes sense
)

// A Piece is one label with the number of copies that are wanted.
type Piece struct {
	Scene scene.Scene
	Count int
	Folds []measure.Length // the x of each fold, from the left edge of the scene
	// Trim is the outline to cut along. What runs along the edges of the scene is
	// cut by the marks; the rest of it is drawn as a fine line.
	Trim scene.Path
}

// A Footer tells what a sheet holds.
type Footer struct{ Product, Market, Claim string }

// Options are the choices for a print run.
type Options struct {
	Paper  string // an id of [Papers]
	Start  int    // the first place used on the first page, from 0: a sheet that was begun can be finished
	Footer Footer
}

// mostCount is more labels than anybody prints in one run at home.
const mostCount = 100_000

// Impose puts the pieces on sheets in the order given. Each piece is one scene of
// the sheet, however many copies there are, and the marks of each page are one
// more. A finding of level stop says why nothing can be printed; then the sheet is
// empty. The error means that the pieces do not belong on one sheet.
func Impose(pieces []Piece, o Options) (scene.Sheet, []finding.Finding, error) {
	total := 0
	for i, p := range pieces {
		if p.Scene.Size != pieces[0].Scene.Size {
			return scene.Sheet{}, nil, fmt.Errorf("imposing: piece %d is %s, and the first one %s", i, show(p.Scene.Size), show(pieces[0].Scene.Size))
		}
		if p.Count < 0 || p.Count > mostCount {
			total = -1
			break
		}
		total += p.Count
	}
	if total < 1 || total > mostCount {
		return scene.Sheet{}, stop(RuleCount, "the number of labels to print is none or too many", fmt.Sprintf("ask for 1 to %d", mostCount)), nil
	}
	paper, ok := PaperNamed(o.Paper)
	if !ok {
		var ids []string
		for _, p := range papers {
			ids = append(ids, p.ID)
		}
		return scene.Sheet{}, stop(RulePaper, fmt.Sprintf("there is no paper %q", o.Paper), "choose one of: "+strings.Join(ids, ", ")), nil
	}
	grid, missing, ok := Fit(pieces[0].Scene.Size, paper)
	if !ok {
		return scene.Sheet{}, tooLarge(pieces[0].Scene.Size, paper, missing), nil
	}
	if o.Start < 0 || o.Start >= grid.PerPage() {
		return scene.Sheet{}, stop(RuleStart, fmt.Sprintf("the sheet has %d places, and %d is none of them", grid.PerPage(), o.Start),
			fmt.Sprintf("count places from 0 to %d, row by row", grid.PerPage()-1)), nil
	}
	sheet, err := impose(pieces, total, grid, o)
	return sheet, nil, err
}

func impose(pieces []Piece, total int, grid Grid, o Options) (scene.Sheet, error) {
	sheet := scene.Sheet{Size: grid.Size}
	for _, p := range pieces {
		sheet.Scenes = append(sheet.Scenes, p.Scene)
	}
	pages := (o.Start + total + grid.PerPage() - 1) / grid.PerPage()
	piece, copies := 0, 0
	marks, marked := 0, []cell(nil) // the scene that was last made of marks, and for which places
	for page := range pages {
		first, last := page*grid.PerPage(), (page+1)*grid.PerPage()
		var used []cell
		var places []scene.Place
		for k := max(first, o.Start); k < min(last, o.Start+total); k++ {
			for copies >= pieces[piece].Count {
				piece, copies = piece+1, 0
			}
			copies++
			at := grid.Place(k - first)
			places = append(places, scene.Place{Scene: piece, Page: page, At: scene.Shift(at)})
			used = append(used, cell{(k - first) % grid.Cols, (k - first) / grid.Cols, &pieces[piece]})
		}
		// Pages that are cut alike share their marks; a long run has thousands.
		if page == 0 || !slices.Equal(used, marked) {
			drawn, err := pageMarks(grid, used, o.Footer)
			if err != nil {
				return sheet, err
			}
			marks, marked = len(sheet.Scenes), used
			sheet.Scenes = append(sheet.Scenes, drawn)
		}
		number, err := grid.folio(page+1, pages)
		if err != nil {
			return sheet, err
		}
		sheet.Scenes = append(sheet.Scenes, number)
		here := scene.Shift(scene.Point{})
		sheet.Places = append(sheet.Places, scene.Place{Scene: marks, Page: page, At: here}, scene.Place{Scene: len(sheet.Scenes) - 1, Page: page, At: here})
		sheet.Places = append(sheet.Places, places...)
	}
	return sheet, nil
}

func stop(rule, message, remedy string) []finding.Finding {
	return []finding.Finding{{Level: finding.Stop, Rule: rule, Message: message, Remedy: remedy}}
}

// tooLarge says by how much a piece is too large, and which paper would take it.
func tooLarge(piece scene.Size, paper Paper, missing measure.Length) []finding.Finding {
	remedy := "have it printed on a larger sheet, or use a smaller label"
	for _, other := range papers {
		if _, _, ok := Fit(piece, other); ok {
			remedy = fmt.Sprintf("use %s paper", other.ID)
			break
		}
	}
	const tenth = measure.Millimetre / 10
	return stop(RuleRoom, fmt.Sprintf("a label of %s does not fit on %s paper: %.1f mm are missing", show(piece), paper.ID, float64((missing+tenth-1)/tenth)/10), remedy)
}

// show gives a size for a sentence: "173 x 52 mm".
func show(s scene.Size) string {
	return fmt.Sprintf("%.4g x %.4g mm", s.W.Millimetres(), s.H.Millimetres())
}
