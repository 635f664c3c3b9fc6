package figure

import (
	"fmt"
	"unicode/utf8"

	"saponym/internal/day"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// A Curve is how the bars of one cut of a batch dry, and what is claimed of them. All
// masses are grams, from 0 to 10⁹.
type Curve struct {
	Title   string        // the name of the product
	Line    string        // what else tells which bars these are: "batch 26300-01-H, cut bar, us-soap"
	Weighed []Weighed     // in the order of days
	Course  []Predicted   // in the order of days, close enough to draw straight lines between them; empty: too little was weighed
	Floor   float64       // g: the dry mass of the mean bar; 0 if unknown
	Bounds  measure.Range // g between which the bar comes to rest, where there is no course; zero if unknown
	Claim   ClaimLine     // zero: none
	Days    []MarkedDay   // packed, last sale, asked for, holds until …
}

// Weighed is what the marked bars weighed on a day.
type Weighed struct {
	Day  day.Day
	Mean float64   // g, of the marked bars
	Bars []float64 // g, of each of them
}

// Predicted is what the mean of the marked bars is expected to weigh on a day, in grams.
type Predicted struct {
	Day       day.Day
	Mean      float64
	Low, High float64 // the 95 % interval
	Bound     float64 // it weighs more than this by 95 %: a claim goes by it
}

// A ClaimLine is a net weight that stands on a label, or might.
type ClaimLine struct {
	Words string // "100 g on the label"
	Grams float64
	// Until is the last day on which the claim holds. The zero Day: it holds as long as
	// the picture shows. A claim that never holds has one before the first day shown.
	Until day.Day
}

// A MarkedDay is a day that a reader looks for.
type MarkedDay struct {
	Day   day.Day
	Words string // "packed", "sold until"
}

// A CurveError says what is wrong with the figures of a curve, or with its width.
type CurveError struct {
	Field   string // such as "Weighed[3]"
	Message string
}

func (e *CurveError) Error() string {
	return fmt.Sprintf("drawing a curve: %s %s", e.Field, e.Message)
}

// Between these widths a curve is drawn.
const (
	leastWidth = 120 * mm
	mostWidth  = 2000 * mm
)

// Drying draws a curve as one picture of a width, from 120 mm to 2 m, without a margin.
// Its height follows from the width.
//
// Time runs evenly, or by its square root where the weighings take up little of what is
// shown; the picture says so. A claim far from the weights is an arrow at the edge.
// Words that are too long end in "…".
//
// The items of a weighing are marked "weighed[0]", those of a marked day "days[0]", and
// others "course", "bound", "interval", "rest", "claim" or "floor".
//
// The error is a [*CurveError], or that of package text for letters that cannot be set.
func Drying(c Curve, width measure.Length) (scene.Scene, error) {
	if width < leastWidth || width > mostWidth {
		return scene.Scene{}, &CurveError{"the width", fmt.Sprintf("is %.1f mm; want %.0f to %.0f mm",
			width.Millimetres(), leastWidth.Millimetres(), mostWidth.Millimetres())}
	}
	return drawDrying(c, width, 0)
}

// DryingSheet draws a curve as [Drying] does, on one page that lies across. Which side of
// the paper is given as its width does not matter. The errors are those of Drying, and a
// [*TallError] where the page is too low.
func DryingSheet(c Curve, paper scene.Size) (scene.Sheet, error) {
	page := scene.Size{W: max(paper.W, paper.H), H: min(paper.W, paper.H)}
	if least := leastWidth + 2*margin; page.W < least || page.W > mostWidth {
		return scene.Sheet{}, &CurveError{"the paper", fmt.Sprintf("is %.1f mm wide; want %.0f to %.0f mm",
			page.W.Millimetres(), least.Millimetres(), mostWidth.Millimetres())}
	}
	s, err := drawDrying(c, page.W-2*margin, max(page.H-2*margin, mm))
	if err != nil {
		return scene.Sheet{}, err
	}
	return scene.Sheet{
		Size:   page,
		Scenes: []scene.Scene{s},
		Places: []scene.Place{{At: scene.Shift(scene.Point{X: margin, Y: margin})}},
	}, nil
}

// check looks at all that a curve could not be drawn of, or only a wrong one.
func (c Curve) check() error {
	if len(c.Weighed)+len(c.Course) == 0 {
		return &CurveError{"the curve", "has no weighing and nothing that is expected"}
	}
	for _, words := range [][2]string{{"Title", c.Title}, {"Line", c.Line}, {"Claim", c.Claim.Words}} {
		if !utf8.ValidString(words[1]) {
			return &CurveError{words[0], "is not valid UTF-8"}
		}
	}
	before := day.Day{}
	for i, w := range c.Weighed {
		if err := inOrder(fmt.Sprintf("Weighed[%d]", i), before, w.Day, append([]float64{w.Mean}, w.Bars...)...); err != nil {
			return err
		}
		before = w.Day
	}
	before = day.Day{}
	for i, e := range c.Course {
		field := fmt.Sprintf("Course[%d]", i)
		if err := inOrder(field, before, e.Day, e.Mean, e.Low, e.High, e.Bound); err != nil {
			return err
		}
		if e.Low > e.High {
			return &CurveError{field, fmt.Sprintf("has an interval from %g down to %g", e.Low, e.High)}
		}
		before = e.Day
	}
	for i, m := range c.Days {
		field := fmt.Sprintf("Days[%d]", i)
		if err := inOrder(field, day.Day{}, m.Day); err != nil {
			return err
		}
		if !utf8.ValidString(m.Words) {
			return &CurveError{field, "has words that are not valid UTF-8"}
		}
	}
	switch {
	case !drawable(c.Floor):
		return wrongMass("Floor", c.Floor)
	case !drawable(c.Claim.Grams):
		return wrongMass("Claim", c.Claim.Grams)
	case !drawable(c.Bounds.Low):
		return wrongMass("Bounds", c.Bounds.Low)
	case !drawable(c.Bounds.High):
		return wrongMass("Bounds", c.Bounds.High)
	case c.Bounds.Low > c.Bounds.High:
		return &CurveError{"Bounds", fmt.Sprintf("go from %g down to %g", c.Bounds.Low, c.Bounds.High)}
	}
	return nil
}

// inOrder says what is wrong with a day that follows another, and with its masses.
func inOrder(field string, before, d day.Day, masses ...float64) error {
	switch {
	case d.IsZero():
		return &CurveError{field, "has no day"}
	case d.Before(before):
		return &CurveError{field, fmt.Sprintf("is of %v, and the one before it of %v", d, before)}
	}
	for _, g := range masses {
		if !drawable(g) {
			return wrongMass(field, g)
		}
	}
	return nil
}

// drawable reports whether a mass is one; what is no number is none.
func drawable(g float64) bool { return 0 <= g && g <= mostGrams }

func wrongMass(field string, g float64) error {
	return &CurveError{field, fmt.Sprintf("has %g g; want from 0 to %g g", g, mostGrams)}
}
