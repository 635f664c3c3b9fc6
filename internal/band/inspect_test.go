package band_test

import (
	"slices"
	"testing"

	"saponym/internal/band"
	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// textOf gives the first text of a duty, to be changed.
func textOf(l band.Laid, duty label.Duty) *scene.Text {
	for _, item := range l.Scene.Items {
		if item.Text != nil && item.Mark.Duty == string(duty) {
			return item.Text
		}
	}
	return nil
}

func square(x, y float64, ink scene.Ink) scene.Item {
	p := scene.Path{Fill: ink}
	p.Rectangle(scene.Rect{X: mm(x), Y: mm(y), W: measure.Millimetre, H: measure.Millimetre})
	return scene.Item{Path: &p}
}

// Each spoils a good band in one way.
var spoilTests = []struct {
	name  string
	spoil func(*band.Laid)
	rule  string
}{
	{"letters on a fold", func(l *band.Laid) { textOf(*l, label.DutyIngredients).At.X -= mm(1) }, band.RuleOutside},
	{"letters at the cut", func(l *band.Laid) { textOf(*l, label.DutyIngredients).At.Y -= mm(1) }, band.RuleOutside},
	{"letters on the tab", func(l *band.Laid) { textOf(*l, label.DutyIngredients).At.X = mm(163) }, band.RuleOutside},
	{"ornament on a fold", func(l *band.Laid) {
		l.Scene.Items = append(l.Scene.Items, square(27, 20, scene.Black))
	}, band.RuleOutside},
	{"ornament on the tab", func(l *band.Laid) {
		l.Scene.Items = append(l.Scene.Items, square(165, 20, scene.Black))
	}, band.RuleOutside},
	{"name on the arch", func(l *band.Laid) { textOf(*l, label.DutyName).At.X -= mm(8) }, band.RuleOverlap},
	{"identity on the name", func(l *band.Laid) { textOf(*l, label.DutyIdentity).At.Y -= mm(4) }, band.RuleOverlap},
	{"ornament under a letter", func(l *band.Laid) {
		l.Scene.Items = slices.Insert(l.Scene.Items, 0, square(3.5, 3.8, scene.Black))
	}, band.RuleOverlap},
	{"mark beside the net weight", func(l *band.Laid) {
		l.Scene.Items = append(l.Scene.Items, square(56, 44, scene.Black))
	}, band.RuleClear},
	{"net weight at the foot", func(l *band.Laid) { textOf(*l, label.DutyNetQuantity).At.Y += mm(1) }, band.RuleClear},
	{"net weight too high", func(l *band.Laid) { textOf(*l, label.DutyNetQuantity).At.Y -= mm(1) }, band.RulePlace},
	{"net weight too small", func(l *band.Laid) { textOf(*l, label.DutyNetQuantity).Size -= mm(0.1) }, band.RuleHeight},
	{"list too small", func(l *band.Laid) { textOf(*l, label.DutyIngredients).Size -= mm(0.1) }, band.RuleHeight},
	{"word changed", func(l *band.Laid) { textOf(*l, label.DutyIngredients).Runes = "ingredients:" }, band.RuleWords},
	{"caution gone", func(l *band.Laid) {
		l.Scene.Items = slices.DeleteFunc(l.Scene.Items, func(i scene.Item) bool { return i.Mark.Duty == string(label.DutyCaution) })
	}, band.RuleWords},
}

func TestInspectFindsWhatIsWrong(t *testing.T) {
	for _, tt := range spoilTests {
		t.Run(tt.name, func(t *testing.T) {
			laid := mustLay(t, orangeOlive(), band.Options{})
			tt.spoil(&laid)
			found := band.Inspect(laid, orangeOlive())
			if !slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == tt.rule && f.Level == finding.Stop }) {
				t.Errorf("Inspect gives %v, want a stop of %s", found, tt.rule)
			}
		})
	}
}

// What paper was painted over is not seen, and paper itself is no mark.
func TestInspectSeesWhatIsSeen(t *testing.T) {
	laid := mustLay(t, orangeOlive(), band.Options{})
	paper := scene.Path{Fill: laid.Colourway.Paper}
	paper.Rectangle(scene.Rect{X: mm(55.8), Y: mm(43.8), W: mm(1.4), H: mm(1.4)})
	laid.Scene.Items = slices.Insert(laid.Scene.Items, 0, square(56, 44, scene.Black), scene.Item{Path: &paper})
	for _, f := range band.Inspect(laid, orangeOlive()) {
		t.Error(f.Text())
	}
}

// Free space that is asked for in millimetres is measured in them, on every side.
func TestInspectMeasuresFreeSpaceAround(t *testing.T) {
	c := around(3 * measure.Millimetre)
	laid := mustLay(t, c, band.Options{})
	if found := band.Inspect(laid, c); found != nil {
		t.Fatalf("Inspect gives %v of a good band", found)
	}
	net := textOf(laid, label.DutyNetQuantity)
	left, base := net.At.X.Millimetres(), net.At.Y.Millimetres()
	for _, tt := range []struct {
		name string
		x, y float64
		want bool
	}{
		{"within 3 mm at the side", left - 3.5, base - 1, true},
		{"beyond 3 mm at the side", left - 4.5, base - 1, false},
		{"within 3 mm below", left + 5, base + 2.2, true},
	} {
		spoilt := laid
		spoilt.Scene.Items = append(slices.Clone(laid.Scene.Items), square(tt.x, tt.y, scene.Black))
		found := band.Inspect(spoilt, c)
		if got := slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == band.RuleClear }); got != tt.want {
			t.Errorf("%s: %v, want a %s: %t", tt.name, found, band.RuleClear, tt.want)
		}
	}
}
