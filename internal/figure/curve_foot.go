package figure

import (
	"slices"
	"strings"

	"saponym/internal/font"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// A footing is what stands below the box of a curve, counted from its lower edge.
type footing struct{ items []scene.Item }

// at gives the items with the left end of that edge at a place.
func (f footing) at(p scene.Point) []scene.Item {
	for _, it := range f.items {
		if it.Text != nil {
			it.Text.At.X += p.X
			it.Text.At.Y += p.Y
			continue
		}
		for i := range it.Path.Steps {
			for j := range it.Path.Steps[i].P[:it.Path.Steps[i].Verb.Points()] {
				it.Path.Steps[i].P[j].X += p.X
				it.Path.Steps[i].P[j].Y += p.Y
			}
		}
	}
	return f.items
}

// foot sets the axis of time, the notes and the key.
func (p *drying) foot() (footing, length, error) {
	var f footing
	y, err := p.dates(&f)
	if err != nil {
		return f, 0, err
	}
	notes := p.notes
	if p.time.root {
		notes = append([]string{"Time runs by its square root, so that the first weeks have room."}, notes...)
	}
	if p.curve.Floor > 0 && !p.floorShows() {
		notes = append(notes, "Dry mass "+p.curve.dry()+p.beyond(p.curve.Floor)+".")
	}
	if y, err = p.notesUnder(&f, y, notes); err != nil {
		return f, 0, err
	}
	y, err = p.keyUnder(&f, y+3*mm/2)
	return f, y, err
}

// dates sets the axis of time: dates, and under them the days since the first weighing.
func (p *drying) dates(f *footing) (length, error) {
	a, err := p.namedDays()
	if err != nil {
		return 0, err
	}
	marks := axisLine
	upper := tickSize + 4*mm/5 + a.above
	lower := upper + p.d.note*6/5
	for _, n := range a.days {
		marks.Move(n.x, 0).Line(n.x, tickSize)
		for row, c := range n.rows {
			at := scene.Point{X: n.x, Y: [2]length{upper, lower}[row]}
			f.items = append(f.items, c.line.Set(at, text.Centre)...)
		}
	}
	f.items = append(f.items, item("axis", &marks))
	return lower + a.below, nil
}

// A namedDay is a tick of the axis of time: its date, and the days since the first
// weighing.
type namedDay struct {
	x    length
	rows [2]caption
	year bool // the date has its year
}

// namedDays are the ticks of an axis, with the room that their letters take.
type namedDays struct {
	days         []namedDay
	above, below length
}

// dateGap is how far two dates stand from each other at least.
const dateGap = 3 * mm / 2

// namedDays chooses the ticks so that their dates stand apart. Where time runs evenly
// each has room for its year. Where it does not, those without a year stand closer, and
// give way to one with it.
func (p *drying) namedDays() (namedDays, error) {
	style := sans(p.d.note, second, "axis")
	longest := "28 May 2028"
	if p.time.root {
		longest = "28 May"
	}
	c, err := captionOf(p.width, run{longest, style})
	if err != nil {
		return namedDays{}, err
	}
	f, err := font.Open(style.Face)
	if err != nil {
		return namedDays{}, err
	}
	origin := p.time.first.DaysUntil(p.time.zero)
	at := func(n int) length { return p.along(p.time.part(origin + n)) }
	wide := func(n int) length { return max(c.line.Width, f.Width(nights(n), style.Size)) }
	ticks := p.time.ticks(func(a, b int) bool {
		return at(b)-wide(b)/2-at(a)-wide(a)/2 >= dateGap
	})
	for {
		all := namedDays{above: c.above, below: c.below}
		near := -1
		for i, name := range p.time.dates(ticks) {
			n := namedDay{x: at(ticks[i]), year: len(name) > len("28 May")}
			for row, words := range [2]string{name, nights(ticks[i])} {
				if n.rows[row], err = captionOf(p.width, run{words, style}); err != nil {
					return namedDays{}, err
				}
			}
			all.days = append(all.days, n)
			if i > 0 && near < 0 && all.days[i-1].meets(n) {
				if near = i; n.year && i > 1 {
					near = i - 1
				}
			}
		}
		if near < 0 {
			return all, nil
		}
		ticks = slices.Delete(ticks, near, near+1)
	}
}

// meets reports whether the words of a tick stand too near to those of the next one.
func (a namedDay) meets(b namedDay) bool {
	for row := range a.rows {
		if b.x-b.rows[row].line.Width/2-a.x-a.rows[row].line.Width/2 < dateGap {
			return true
		}
	}
	return false
}

// beyond says where a mass is that the picture does not show.
func (p *drying) beyond(g float64) string {
	switch {
	case g < p.grams.low:
		return ", below what is shown"
	case g > p.grams.high:
		return ", above what is shown"
	}
	return ""
}

// mostNotes is in how many lines the notes stand at most.
const mostNotes = 3

func (p *drying) notesUnder(f *footing, y length, notes []string) (length, error) {
	if len(notes) == 0 {
		return y, nil
	}
	style := sans(p.d.note, second, "")
	words := []rune(strings.Join(notes, " "))
	lines, err := wrap(text.Words(string(words[:min(len(words), mostRunes)]), style), p.width)
	if err != nil {
		return 0, err
	}
	y += mm
	for i, l := range lines[:min(len(lines), mostNotes)] {
		words := l.String()
		if i == mostNotes-1 && len(lines) > mostNotes {
			words = clipped([]rune(words))
		}
		c, err := captionOf(p.width, run{words, style})
		if err != nil {
			return 0, err
		}
		y += p.d.note * 6 / 5
		f.items = append(f.items, c.line.Set(scene.Point{Y: y}, text.Left)...)
	}
	return y + p.d.note/4, nil
}

// An entry is one sign of the key with its words, in full and in short.
type entry struct {
	wide        length // of the sign
	draw        func(left, middle length) []*scene.Path
	long, short string
}

const (
	entryPoint = 2 * mm // how wide the sign of a point is
	entrySign  = 7 * mm // and any other
	entryGap   = 5 * mm
)

// entries are the signs that a picture holds.
func (p *drying) entries() []entry {
	line := func(style scene.Path) func(left, middle length) []*scene.Path {
		return func(left, middle length) []*scene.Path {
			s := style
			return []*scene.Path{s.Move(left, middle).Line(left+entrySign, middle)}
		}
	}
	field := func(left, middle length) scene.Rect {
		return scene.Rect{X: left, Y: middle - mm, W: entrySign, H: 2 * mm}
	}
	bar, mean := p.rings()
	bars := false
	for _, w := range p.curve.Weighed {
		bars = bars || len(w.Bars) > 0
	}
	var all []entry
	add := func(is bool, e entry) {
		if is {
			all = append(all, e)
		}
	}
	add(bars, entry{entryPoint, func(left, middle length) []*scene.Path {
		s := &scene.Path{Fill: white, Stroke: ink, Width: 150 * um}
		return []*scene.Path{s.Circle(scene.Point{X: left + entryPoint/2, Y: middle}, bar)}
	}, "one bar", "bar"})
	add(len(p.curve.Weighed) > 0, entry{entryPoint, func(left, middle length) []*scene.Path {
		s := &scene.Path{Fill: ink}
		return []*scene.Path{s.Circle(scene.Point{X: left + entryPoint/2, Y: middle}, mean)}
	}, "mean of the bars", "mean"})
	add(len(p.curve.Course) > 1, entry{entrySign, line(meanLine), "expected mean", "expected"})
	add(len(p.curve.Course) > 1, entry{entrySign, func(left, middle length) []*scene.Path {
		return []*scene.Path{(&scene.Path{Fill: woadPale}).Rectangle(field(left, middle))}
	}, "95 % interval", "95 %"})
	add(len(p.curve.Course) > 1, entry{entrySign, line(boundLine), "above this by 95 %: a claim goes by it", "above this by 95 %"})
	add(p.curve.resting(), entry{entrySign, func(left, middle length) []*scene.Path {
		return restIn(field(left, middle))
	}, p.curve.comesTo() + ": too little was weighed to say more", p.curve.comesTo()})
	if p.aside.claim {
		style := holdsLine
		if p.curve.holding(p.time) == never {
			style = failsLine
		}
		words := p.curve.claimWords(p.time, p.claimShows()) + p.beyond(p.curve.Claim.Grams)
		add(true, entry{entrySign, line(style), words, words})
	}
	return all
}

// keyUnder sets the key on one line, or on more where even its short words need them.
func (p *drying) keyUnder(f *footing, y length) (length, error) {
	style := sans(p.d.note, second, "")
	set := func(words func(entry) string) ([]caption, length, error) {
		var all []caption
		total := -entryGap
		for _, e := range p.entries() {
			c, err := captionOf(p.width-e.wide-mm, run{words(e), style})
			if err != nil {
				return nil, 0, err
			}
			all = append(all, c)
			total += e.wide + mm + c.line.Width + entryGap
		}
		return all, total, nil
	}
	captions, total, err := set(func(e entry) string { return e.long })
	if err == nil && total > p.width {
		captions, _, err = set(func(e entry) string { return e.short })
	}
	if err != nil {
		return 0, err
	}
	over := &scene.Path{Stroke: hair, Width: 150 * um}
	f.items = append(f.items, item("", over.Move(0, y).Line(p.width, y)))
	x, pitch := length(0), max(p.d.note*7/5, 3*mm)
	y += pitch
	for i, e := range p.entries() {
		wide := e.wide + mm + captions[i].line.Width
		if x > 0 && x+wide > p.width {
			x, y = 0, y+pitch
		}
		for _, path := range e.draw(x, y) {
			f.items = append(f.items, item("", path))
		}
		f.items = append(f.items, captions[i].line.Set(scene.Point{X: x + e.wide + mm, Y: captions[i].middle(y)}, text.Left)...)
		x += wide + entryGap
	}
	return y + pitch/2, nil
}
