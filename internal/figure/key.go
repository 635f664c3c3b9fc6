package figure

import (
	"math"

	"saponym/internal/scene"
	"saponym/internal/text"
	"saponym/internal/trail"
)

// A sign is one thing that the key explains.
type sign int

const (
	signScale sign = iota
	signSure
	signMay
	signGiven
	signGone
	signYoke
	signUnproved
	signHairline
	signPage
)

// A key says at the foot of a page what the signs of the picture mean. It names
// only those that are in the picture.
type key struct {
	signs  []sign
	spots  []scene.Point // of each, from the upper left corner
	height length
}

const (
	keyRow   = 6 * mm
	keySign  = 8 * mm // the width of a drawn sign
	keyGap   = 5 * mm // between one and the next
	keyAbove = 3 * mm // from the columns to the rule over the key
)

// width is how far the words of a sign begin behind it.
func (s sign) width() length {
	switch s {
	case signScale, signYoke, signUnproved:
		return 4 * mm
	case signGone:
		return keySign + 3*mm
	case signPage:
		return 0
	}
	return keySign + 2*mm
}

// keyWords are the words of the signs whose words are the same in every picture.
var keyWords = map[sign]string{
	signSure:  "sure",
	signMay:   "may be",
	signGiven: "the figure given",
	signGone:  "has left the bar",
	signYoke:  "could stand the other way round",

	signUnproved: "not proved either way",
}

// keyRoom is the longest that the other words can become. How wide they are hangs
// on the scale, and that on the room which the key leaves.
var keyRoom = map[sign]string{
	signScale:    "0 000 000 000 g",
	signHairline: "a hairline is under 0.0000000000000 g",
	signPage:     "page 00 of 00: ribbons go on over the edge",
}

// keyOf finds the signs of the picture and room for them.
func (p *plan) keyOf() (key, error) {
	var k key
	has := map[sign]bool{signPage: p.grown, signScale: p.heaviest() >= leastGrams}
	for c, slots := range p.slots {
		for i, s := range slots {
			has[signMay] = has[signMay] || unsure(s.node.Grams)
			has[signGone] = has[signGone] || s.node.Gone
			if c == 2 && i+1 < len(slots) {
				has[signYoke] = has[signYoke] || s.node.Joint == trail.Loose
				has[signUnproved] = has[signUnproved] || s.node.Joint == trail.Unproved
			}
		}
	}
	for _, ribbons := range [2][]trail.Ribbon{p.flow.Made, p.flow.Named} {
		for _, r := range ribbons {
			has[signMay] = has[signMay] || unsure(r.Grams)
		}
	}
	has[signSure], has[signGiven], has[signHairline] = has[signMay], has[signMay], has[signScale]
	at := scene.Point{Y: keyAbove + mm}
	for s := signScale; s <= signPage; s++ {
		if !has[s] {
			continue
		}
		words := keyWords[s] + keyRoom[s]
		l, err := p.keyLine(words)
		if err != nil {
			return key{}, err
		}
		width := s.width() + l.Width
		if at.X > 0 && at.X+width > p.frame.size.W-2*margin {
			at = scene.Point{Y: at.Y + keyRow}
		}
		k.signs, k.spots = append(k.signs, s), append(k.spots, at)
		at.X += width + keyGap
	}
	k.height = at.Y + keyRow
	return k, nil
}

func (p *plan) keyLine(words string) (text.Line, error) {
	return text.OneLine(text.Words(words, sans(p.d.note, second, ""))...)
}

// scaleMass gives the round mass whose thickness is shown, at most so thick.
func (p *plan) scaleMass(most length) float64 {
	power := math.Pow10(int(math.Floor(math.Log10(float64(most) / p.scale))))
	for _, n := range []float64{5, 2} {
		if p.thick(n*power) <= most {
			return n * power
		}
	}
	return power
}

// mass gives a round mass in words, with the decimals that it has.
func mass(g float64) string {
	const most = 15
	n := 0
	for n < most && math.Abs(math.Round(g*math.Pow10(n))/math.Pow10(n)-g) > g*1e-6 {
		n++
	}
	return number(g, n) + " g"
}

// at gives the items of the key below the columns.
func (k key) at(p *plan, y length, page string) ([]scene.Item, error) {
	var items []scene.Item
	put := func(path *scene.Path) { items = append(items, scene.Item{Path: path}) }
	put((&scene.Path{Stroke: hair, Width: 150 * um}).Move(margin, y+keyAbove).Line(p.frame.size.W-margin, y+keyAbove))
	for i, s := range k.signs {
		x, middle := margin+k.spots[i].X, y+k.spots[i].Y+keyRow/2
		words := keyWords[s]
		box := scene.Rect{X: x, Y: middle - 3*mm/2, W: keySign, H: 3 * mm}
		c := &canvas{window: window{box.Y - mm, box.Bottom() + mm}, origin: box.Y - mm}
		switch s {
		case signScale:
			g := p.scaleMass(keyRow - mm)
			half := p.thick(g) / 2
			mark := &scene.Path{Stroke: ink, Width: 250 * um}
			at := x + mm
			put(mark.Move(at-mm, middle-half).Line(at+mm, middle-half).Move(at, middle-half).Line(at, middle+half).
				Move(at-mm, middle+half).Line(at+mm, middle+half))
			words = mass(g)
		case signSure:
			c.rectangle("", box, scene.Path{Fill: body})
		case signMay:
			c.slants("", box, scene.Path{Stroke: rule, Width: 130 * um})
			c.rectangle("", box, scene.Path{Stroke: body, Width: 200 * um, Dash: dashes})
		case signGiven:
			put((&scene.Path{Stroke: ink, Width: 350 * um}).Move(x, middle).Line(x+keySign, middle))
		case signGone:
			for row := range length(3) {
				fade(c, "", scene.Point{X: x + row%2*streakShift, Y: middle + (row-1)*streakStep})
			}
		case signYoke:
			put(yoke(trail.Loose).Move(x+yokeDepth, box.Y).Line(x, box.Y).Line(x, box.Bottom()).Line(x+yokeDepth, box.Bottom()))
		case signUnproved:
			put(yoke(trail.Unproved).Move(x+yokeDepth, box.Y).Line(x, box.Y).Line(x, box.Bottom()).Line(x+yokeDepth, box.Bottom()))
		case signHairline:
			put((&scene.Path{Stroke: rule, Width: thinnest * 3 / 5}).Move(x, middle).Line(x+keySign, middle))
			words = "a hairline is under " + mass(roundUp(float64(thinnest)/p.scale))
		case signPage:
			if page == "" {
				continue
			}
			words = page + ": ribbons go on over the edge"
		}
		items = append(items, c.items...)
		l, err := p.keyLine(words)
		if err != nil {
			return nil, err
		}
		items = append(items, l.Set(scene.Point{X: x + s.width(), Y: middle + p.d.note*7/20}, text.Left)...)
	}
	return items, nil
}

// roundUp gives the next mass of two figures that count.
func roundUp(g float64) float64 {
	power := math.Pow10(int(math.Floor(math.Log10(g))) - 1)
	return math.Ceil(g/power-1e-9) * power
}
