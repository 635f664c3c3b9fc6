package band

import (
	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// A sign is what stands in the arch on the front: the name, the identity below
// it, perhaps a tagline, all centred.
type sign struct {
	opening
	arch arch

	name, identity, tagline sizedTitle
	// The last baseline of each, in millimetres.
	nameAt, identityAt, taglineAt float64
}

// An opening is one way to open the wall of the front for words.
type opening struct {
	kind  kind
	jamb  int  // columns of tiles on each side of an arch
	above int  // rows of tiles above it, or above and below a window
	inner bool // an accent line runs along the inside of an arch
}

// A kind is the form of an opening.
type kind int

const (
	arched kind = iota
	window      // as wide as the wall
	bare        // no wall at all: the words need all the room
)

// taste is what an opening is worth beside the size of the name, in points: a
// richer wall may cost the name so much and no more.
func (o opening) taste() float64 {
	switch o.kind {
	case bare:
		return -14
	case window:
		return -8 + float64(o.above)
	}
	worth := 2.5*float64(o.jamb-1) + float64(o.above-1)
	if o.above == 0 {
		worth -= 4
	}
	if !o.inner {
		worth -= 2.5
	}
	return worth
}

// What else counts beside the size of the name, in points.
const (
	withoutTagline = 5 // against a sign that leaves the tagline out
	crowded        = 6 // against a name on three lines
)

// openings lists the ways to open a wall that leave room for words.
func openings(w wall) []opening {
	all := []opening{{kind: bare}}
	for above := 1; above <= w.rows/4; above++ {
		all = append(all, opening{kind: window, above: above})
	}
	for jamb := 1; jamb <= max(1, w.cols/5) && w.cols-2*jamb >= 4; jamb++ {
		for above := 0; above <= w.rows/3; above++ {
			all = append(all, opening{jamb: jamb, above: above, inner: true}, opening{jamb: jamb, above: above})
		}
	}
	return all
}

// How the words of a sign stand to each other, in millimetres.
const (
	underWords = 1.9  // free between the lowest ink and the sill
	underName  = 1.1  // least free between the ink of the name and that of the identity
	nameFoot   = 4.6  // least distance of the baselines of name and identity
	footGap    = 0.9  // free between the ink of the identity and that of the tagline
	glyphGap   = 0.35 // free between letters that stand one over the other
	riseShare  = 0.42 // of the height that is free, how much the words rise from the sill
	nameStep   = 5    // tenths of a point between the sizes of the name that are tried
)

// sign finds the opening and the sizes for the words on the front. It notes a
// miss where not even the whole front without a wall holds them.
func (c *composition) sign(panel Panel, w wall, sill measure.Length) (sign, bool, error) {
	name, _ := c.content.Find(label.DutyName)
	names, err := c.shapes(name, c.look.Title.Face)
	if err != nil {
		return sign{}, false, err
	}
	var identities, taglines []shape
	if s, ok := c.content.Find(label.DutyIdentity); ok {
		if identities, err = c.shapes(s, c.identity().Face); err != nil {
			return sign{}, false, err
		}
	}
	tagline, hasTagline := c.content.Find(label.DutyTagline)
	if hasTagline {
		if taglines, err = c.shapes(tagline, c.look.Tagline.Face); err != nil {
			return sign{}, false, err
		}
	}
	var best sign
	score, found := 0.0, false
	consider := func(taglines []shape, malus float64) error {
		for _, o := range openings(w) {
			s, ok, err := c.fit(panel, w, sill, o, names, identities, taglines)
			if err != nil {
				return err
			}
			points := font.Points(measure.MM(s.name.size)) + o.taste() - malus
			if len(s.name.lines) > 2 {
				points -= crowded
			}
			if ok && (!found || points > score) {
				best, score, found = s, points, true
			}
		}
		return nil
	}
	if err := consider(taglines, 0); err != nil {
		return sign{}, false, err
	}
	if hasTagline && c.mayLeaveOut(tagline) {
		if err := consider(nil, withoutTagline); err != nil {
			return sign{}, false, err
		}
	}
	if !found {
		missing, across := c.missing(panel, sill, names, identities)
		c.misses = append(c.misses, miss{titleOf(label.DutyName), missing, across, byBreadth, "shorten the name or the identity"})
		return sign{}, false, nil
	}
	if hasTagline && len(best.tagline.lines) == 0 {
		c.leftOut = append(c.leftOut, titleOf(label.DutyTagline))
	}
	return best, true, nil
}

// room gives the arch of an opening, and the one within it that words keep to. A
// window and a bare front are arches without a curve.
func (c *composition) room(panel Panel, w wall, sill measure.Length, o opening) (outer, inside arch) {
	middle := (panel.X + panel.Width/2).Millimetres()
	straight := func(half, top, bottom float64) arch { return arch{middle, half, top, top, bottom} }
	line := c.look.ArchLine.Millimetres()
	switch o.kind {
	case bare:
		outer = straight((panel.Width/2 - c.template.Keep.Fold - 2*lean).Millimetres(), c.template.Keep.Cut.Millimetres(), sill.Millimetres())
		return outer, outer
	case window:
		border := (c.look.FrameGap + c.look.FrameLine).Millimetres()
		rows := float64(o.above) * w.side
		outer = straight(w.width()/2+c.look.FrameGap.Millimetres(), w.y+rows+border, w.y+w.height()-rows-border)
		inside = straight(outer.half-c.look.ArchClear.Millimetres(), outer.apex+underWords, outer.sill)
		return outer, inside
	}
	apex := w.y + float64(o.above)*w.side
	if o.above == 0 {
		apex += line // below the frame
	}
	outer = newArch(middle, (float64(w.cols)/2-float64(o.jamb))*w.side, apex, sill.Millimetres()-line/2)
	gap := line/2 + c.look.ArchClear.Millimetres()
	if o.inner {
		gap += c.look.InnerGap.Millimetres()
	}
	return outer, outer.inset(gap)
}

// fit puts the words into one opening with the name as large as it can be.
func (c *composition) fit(panel Panel, w wall, sill measure.Length, o opening, names, identities, taglines []shape) (sign, bool, error) {
	s := sign{opening: o}
	var inside arch
	s.arch, inside = c.room(panel, w, sill, o)
	width := 2 * inside.half

	bottom := s.arch.sill - underWords
	var ok bool
	var err error
	if s.tagline, ok, err = c.largest(taglines, c.look.Tagline, width); !ok || err != nil {
		return s, false, err
	}
	s.taglineAt = bottom - s.tagline.below()
	if len(s.tagline.lines) > 0 {
		bottom = s.taglineAt - s.tagline.above() - footGap
	}
	if s.identity, ok, err = c.largest(identities, c.identity(), width); !ok || err != nil {
		return s, false, err
	}
	s.identityAt = bottom - s.identity.below()
	if !s.identity.held(inside, s.identityAt) {
		return s, false, nil
	}

	for _, shape := range names {
		if len(shape.lines) > 2 && s.name.size > 0 {
			break // three lines are for names that fit in no other way
		}
		size, fits := shape.largest(c.look.Title.Most, c.look.Title.Least, width)
		for ; fits && size > s.name.size && size >= c.look.Title.Least.Millimetres()-1e-6; size -= font.Tenths(nameStep).Millimetres() {
			name := shape.sized(size, c.look.Title.Lead)
			baseline := bottom - name.below()
			if len(s.identity.lines) > 0 {
				first := s.identityAt - float64(len(s.identity.lines)-1)*s.identity.lead
				top := first - s.identity.lines[0].above*s.identity.size
				baseline = min(top-underName-name.below(), first-nameFoot)
			}
			if name.held(inside, baseline) {
				s.name, s.nameAt = name, baseline
				break
			}
		}
	}
	if len(s.name.lines) == 0 {
		return s, false, nil
	}
	s.rise(inside)
	return s, true, nil
}

// rise moves the words up from the sill by a share of the height that is free,
// to where the eye takes them to be in the middle of the opening.
func (s *sign) rise(inside arch) {
	low, high := 0.0, s.arch.sill-s.arch.apex
	for range 20 {
		up := (low + high) / 2
		if s.name.held(inside, s.nameAt-up) && s.identity.held(inside, s.identityAt-up) {
			low = up
		} else {
			high = up
		}
	}
	up := riseShare * low
	if s.kind == window {
		up = low / 2
	}
	s.nameAt, s.identityAt, s.taglineAt = s.nameAt-up, s.identityAt-up, s.taglineAt-up
}

// largest gives a title at the largest size that a width allows: on one line if
// it can be, else on two. No shapes give an empty title.
func (c *composition) largest(shapes []shape, d Display, width float64) (sizedTitle, bool, error) {
	if len(shapes) == 0 {
		return sizedTitle{}, true, nil
	}
	f, err := font.Open(d.Face)
	if err != nil {
		return sizedTitle{}, false, err
	}
	least := max(d.Least, c.sizeFor(f, shapes[0].statement))
	for _, s := range shapes {
		if size, ok := s.largest(max(d.Most, least), least, width); ok {
			return s.sized(size, d.Lead), true, nil
		}
	}
	return sizedTitle{}, false, nil
}

// identity gives how the identity is set: bolder where the law asks for that.
func (c *composition) identity() Display {
	d := c.look.Identity
	if s, ok := c.content.Find(label.DutyIdentity); ok && s.Bold {
		d.Face = d.Strong
	}
	return d
}

// missing says how much room the words lack on a front without a wall, with the
// name at its least size: first at the side, and below if that is enough.
func (c *composition) missing(panel Panel, sill measure.Length, names, identities []shape) (missing measure.Length, across bool) {
	_, inside := c.room(panel, wall{}, sill, opening{kind: bare})
	least, height := names[len(names)-1].sized(c.look.Title.Least.Millimetres(), c.look.Title.Lead), 0.0
	over := least.widthOf()*least.size - 2*inside.half
	if len(identities) > 0 {
		last := identities[len(identities)-1]
		identity := last.sized(c.look.Identity.Least.Millimetres(), c.look.Identity.Lead)
		over = max(over, last.widthOf()*identity.size-2*inside.half)
		height = identity.above() + identity.below() + underName
	}
	if over > 0 {
		return measure.MM(over), true
	}
	height += least.above() + least.below() + underWords
	return max(measure.MM(height-(inside.sill-inside.apex)), measure.Millimetre/10), false
}

// items gives the words of the sign.
func (s sign) items(way Colourway) ([]scene.Item, error) {
	var items []scene.Item
	for _, part := range []struct {
		title    sizedTitle
		baseline float64
		ink      scene.Ink
	}{{s.name, s.nameAt, way.Ink}, {s.identity, s.identityAt, way.Accent}, {s.tagline, s.taglineAt, way.Accent}} {
		set, err := part.title.items(s.arch.middle, part.baseline, part.ink)
		if err != nil {
			return nil, err
		}
		items = append(items, set...)
	}
	return items, nil
}
