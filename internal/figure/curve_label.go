package figure

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// A label is a marked day with its words above the box. Heights are counted from the
// upper edge of the box.
type label struct {
	field string
	x     length // of its line
	top   length // of its line
	box   scene.Rect
}

// mostRows is in how many rows the words of marked days stand at most.
const mostRows = 4

// crosses reports whether one of two labels stands on the other, or on its line.
func (l label) crosses(m label) bool {
	near := l.box.Inset(-around)
	other := m.box
	if near.X < other.Right() && other.X < near.Right() && near.Y < other.Bottom() && other.Y < near.Bottom() {
		return true
	}
	passes := func(a, b label) bool {
		r := b.box.Inset(-around)
		return r.X < a.x && a.x < r.Right() && a.top < r.Bottom()
	}
	return passes(l, m) || passes(m, l)
}

// A marking is a day with all that is said of it.
type marking struct {
	day     day.Day
	field   string
	run     run
	caption caption
}

// markings gives the end of the claim, if it is named above the box, and the marked days,
// those of one day as one.
func (p *drying) markings() []marking {
	var all []marking
	add := func(d day.Day, words, field string, colour scene.Ink) {
		same := func(o marking) bool { return o.day == d }
		if at := slices.IndexFunc(all, same); at >= 0 {
			all[at].run.words = strings.TrimPrefix(all[at].run.words+", "+words, ", ")
			return
		}
		all = append(all, marking{day: d, field: field, run: run{words, strong(p.d.note, colour, field)}})
	}
	if p.aside.until {
		add(p.curve.Claim.Until, "holds until", "claim", fern)
	}
	for i, m := range p.curve.Days {
		add(m.Day, m.Words, fmt.Sprintf("days[%d]", i), ink)
	}
	return all
}

// mostNamed is of how many days the words are tried above the box.
const mostNamed = 12

// markDays sets the words of marked days in rows, as few as will do, and gives the
// height that they take. If not all have room, the first ones do; the others are noted
// below, and only their lines are drawn.
func (p *drying) markDays() (length, error) {
	all := p.markings()
	for i, m := range all[:min(len(all), mostNamed)] {
		c, err := captionOf(p.box.W/2, m.run, run{date(m.day), sans(p.d.note, second, m.field)})
		if err != nil {
			return 0, err
		}
		all[i].caption = c
	}
	for named := min(len(all), mostNamed); ; named-- {
		rows, ok := p.arrange(all[:named])
		if !ok {
			continue
		}
		var unnamed []string
		for _, m := range all[named:] {
			p.labels = append(p.labels, label{field: m.field, x: p.x(m.day)})
			unnamed = append(unnamed, strings.TrimSpace(m.run.words+" "+date(m.day)))
		}
		if len(unnamed) > 0 {
			p.notes = append(p.notes, "Lines without words: "+strings.Join(unnamed, ", ")+".")
		}
		return length(rows)*p.rowPitch() + 2*mm, nil
	}
}

func (p *drying) rowPitch() length { return p.d.note * 3 / 2 }

// mostTries bounds the search for places of labels.
const mostTries = 4000

// arrange finds a place for each label in as few rows as will do, and sets it. It
// reports false if there is none.
func (p *drying) arrange(named []marking) (rows int, ok bool) {
	order := slices.Clone(named)
	slices.SortStableFunc(order, func(a, b marking) int { return b.day.Compare(a.day) })
	for ; rows <= mostRows; rows++ {
		tries := 0
		var labels []label
		var search func() bool
		search = func() bool {
			if len(labels) == len(order) {
				return true
			}
			for _, l := range p.labelsOf(order[len(labels)], rows) {
				if tries++; tries > mostTries {
					return false
				}
				if slices.ContainsFunc(labels, l.crosses) {
					continue
				}
				labels = append(labels, l)
				if search() {
					return true
				}
				labels = labels[:len(labels)-1]
			}
			return false
		}
		if !search() {
			continue
		}
		for i, l := range labels {
			at := scene.Point{X: l.box.X, Y: l.box.Y + order[i].caption.above}
			p.words = append(p.words, order[i].caption.line.Set(at, text.Left)...)
		}
		p.labels = labels
		return rows, true
	}
	return 0, false
}

// labelsOf gives the places of a label within so many rows, the lowest ones first: at
// the right of its line, and at the left.
func (p *drying) labelsOf(m marking, rows int) []label {
	var all []label
	c := m.caption
	for n := range rows {
		base := -2*mm - c.below - length(n)*p.rowPitch()
		line := p.x(m.day)
		for _, x := range [2]length{line + mm, line - mm - c.line.Width} {
			box := c.box(scene.Point{X: x, Y: base})
			if box.X >= p.box.X && box.Right() <= p.box.Right() {
				all = append(all, label{m.field, line, box.Y, box})
			}
		}
	}
	return all
}

// setWords sets the words of the claim and of the dry mass in the box, where they stand
// clear of all lines and points, and puts aside those that have no room.
func (p *drying) setWords() error {
	for i := range p.words { // of the marked days: now it is known where the box is
		p.words[i].Text.At.Y += p.box.Y
	}
	p.obstruct()
	if p.ends() && !p.aside.until {
		c, err := captionOf(p.box.W/2, run{p.curve.holdsUntil(), strong(p.d.name, ink, "claim")})
		if err != nil {
			return err
		}
		p.aside.until = !p.place(c, p.besideEnd(c))
	}
	if p.curve.claims() && !p.aside.claim {
		if err := p.setClaim(); err != nil {
			return err
		}
	}
	if p.floorShows() {
		c, err := captionOf(p.box.W/2, run{"dry mass " + p.curve.dry(), sans(p.d.note, second, "floor")})
		if err != nil {
			return err
		}
		p.aside.floor = !p.place(c, p.onLine(c, p.y(p.curve.Floor), p.box.Right()-mm-c.line.Width, p.box.X+mm))
	}
	return nil
}

// obstruct says what no words may stand on.
func (p *drying) obstruct() {
	k := &p.clear
	k.bounds = p.box.Inset(mm / 2)
	bar, mean := p.rings()
	square := func(d day.Day, g float64, r length) {
		k.boxes = append(k.boxes, scene.Rect{X: p.x(d) - r, Y: p.y(g) - r, W: 2 * r, H: 2 * r})
	}
	for _, w := range p.curve.Weighed {
		square(w.Day, w.Mean, mean)
		for _, g := range w.Bars {
			square(w.Day, g, bar)
		}
	}
	if p.ends() {
		square(p.curve.Claim.Until, p.curve.Claim.Grams, mm)
	}
	k.points = len(k.boxes)
	for _, way := range [2][]scene.Point{p.meanWay(), p.boundWay()} {
		for i := 1; i < len(way); i++ {
			k.lines = append(k.lines, stretch{way[i-1], way[i]})
		}
	}
	if p.curve.resting() {
		r := p.rest()
		for _, y := range [2]length{r.Y, r.Bottom()} {
			k.lines = append(k.lines, stretch{scene.Point{X: r.X, Y: y}, scene.Point{X: r.Right(), Y: y}})
		}
	}
	level := func(g float64) {
		k.lines = append(k.lines, stretch{scene.Point{X: p.box.X, Y: p.y(g)}, scene.Point{X: p.box.Right(), Y: p.y(g)}})
	}
	if p.claimShows() {
		level(p.curve.Claim.Grams)
	}
	if p.floorShows() {
		level(p.curve.Floor)
	}
	for _, l := range p.labels {
		k.fine = append(k.fine, stretch{scene.Point{X: l.x, Y: p.box.Y}, scene.Point{X: l.x, Y: p.box.Bottom()}})
	}
}

// place sets a caption at the first of the places where it stands clear.
func (p *drying) place(c caption, places []scene.Point) bool {
	at, ok := p.clear.find(c, places)
	if ok {
		p.words = append(p.words, c.line.Set(at, text.Left)...)
	}
	return ok
}

// offLine is from a level line to the letters over or under it.
const offLine = 13 * mm / 10

// onLine gives places over a level line, and then under it, from one end to the other.
func (p *drying) onLine(c caption, y, from, to length) []scene.Point {
	var places []scene.Point
	for _, base := range [2]length{y - offLine - c.below/2, y + offLine + c.above} {
		for _, x := range stops(from, to, 2*mm) {
			places = append(places, scene.Point{X: x, Y: base})
		}
	}
	return places
}

// besideEnd gives places by the end of the claim, the nearest ones first.
func (p *drying) besideEnd(c caption) []scene.Point {
	at := scene.Point{X: p.x(p.curve.Claim.Until), Y: p.y(p.curve.Claim.Grams)}
	under, over := at.Y+offLine+mm/2+c.above, at.Y-offLine-mm/2-c.below
	var places []scene.Point
	for _, off := range stops(0, 9*mm, 3*mm/2) {
		for _, more := range stops(0, 3*mm, 3*mm/2) {
			left, right := at.X-off-c.line.Width, at.X+off
			places = append(places, scene.Point{X: left, Y: under + more}, scene.Point{X: right, Y: over - more},
				scene.Point{X: right, Y: under + more}, scene.Point{X: left, Y: over - more})
		}
	}
	distance := func(b scene.Point) length {
		x, y := max(at.X-b.X-c.line.Width, b.X-at.X, 0), max(b.Y-under, over-b.Y, 0)
		return x + 2*y
	}
	slices.SortStableFunc(places, func(a, b scene.Point) int { return cmp.Compare(distance(a), distance(b)) })
	return places
}

// arrow is how long the arrow at the edge of the box is.
const arrow = 3 * mm

// setClaim sets the words of the claim on its line, or by an arrow at the edge beyond
// which it lies.
func (p *drying) setClaim() error {
	how := p.curve.holding(p.time)
	colour := fern
	if how == never {
		colour = madder
	}
	words := p.curve.claimWords(p.time, p.claimShows())
	c, err := captionOf(p.box.W*2/3, run{words, strong(p.d.name, colour, "claim")})
	if err != nil {
		return err
	}
	from, to := p.box.X+mm, p.box.Right()-mm-c.line.Width
	switch y := p.y(p.curve.Claim.Grams); {
	case !p.claimShows():
		p.aside.claim = !p.placeArrow(c, colour)
	case how == partly && p.place(c, p.onLine(c, y, from, max(from, p.x(p.curve.Claim.Until)-mm-c.line.Width))):
		// The words stand on the part that holds.
	default:
		p.aside.claim = !p.place(c, p.onLine(c, y, from, max(from, to)))
	}
	return nil
}

// placeArrow sets words at the edge of the box beyond which the claim lies, after an
// arrow.
func (p *drying) placeArrow(c caption, colour scene.Ink) bool {
	base, tip := p.box.Bottom()-mm-c.below, length(1)
	if p.curve.Claim.Grams > p.grams.high {
		base, tip = p.box.Y+mm+c.above, -1
	}
	both := c
	both.line.Width += arrow
	from := p.box.X + mm
	var places []scene.Point
	for _, x := range stops(from, max(from, p.box.Right()-mm-both.line.Width), 2*mm) {
		places = append(places, scene.Point{X: x, Y: base})
	}
	at, ok := p.clear.find(both, places)
	if !ok {
		return false
	}
	x, middle, half := at.X+mm, at.Y-c.above/2, tip*c.above/2
	head := &scene.Path{Fill: colour}
	head.Move(x, middle+half).Line(x-4*mm/5, middle-half).Line(x+4*mm/5, middle-half).Close()
	p.words = append(p.words, item("claim", head))
	p.words = append(p.words, c.line.Set(scene.Point{X: at.X + arrow, Y: at.Y}, text.Left)...)
	return true
}
