package page

import (
	"slices"

	"saponym/internal/scene"
)

// A strip is a piece of a block that is never split, as wide as its column. Its
// items are drawn from its upper left corner.
type strip struct {
	above  Length // kept free above it, but not at the head of a page
	height Length
	base   Length // from its upper edge to the first baseline
	items  []scene.Item
	begins bool    // it stands at the head of a page
	keep   bool    // it stays on one page with the next strip
	again  []strip // what stands before it at the head of a page, as a table has it
}

// A spot is where a strip stands.
type spot struct {
	strip *strip
	index int // among the strips that were given; that of the strip below it for one that is repeated
	page  int
	y     Length
}

// fill puts strips on pages, each at the first place where it and all that it
// stays with have room. What is to stay together and is taller than a page is
// split all the same, between two strips. room gives the height of a page and
// full that of the most roomy one.
func fill(strips []strip, full Length, room func(page int) Length) ([]spot, error) {
	var spots []spot
	page, y, fresh := 0, Length(0), true
	put := func(s *strip, index int) {
		if !fresh {
			y += s.above
		}
		spots = append(spots, spot{s, index, page, y})
		y, fresh = y+s.height, false
	}
	turn := func() { page, y, fresh = page+1, 0, true }
	for i := 0; i < len(strips); {
		end := chain(strips, i)
		if strips[i].begins && !fresh {
			turn()
		}
		if !fresh && y+heightOf(strips[i:end], false) > room(page) {
			// A chain that no page could hold is begun here and goes on.
			if whole := withHead(strips[i:end]); whole <= room(page+1) || y+strips[i].above+strips[i].height > room(page) {
				turn()
			} else {
				end = i + 1
			}
		}
		if fresh {
			need := withHead(strips[i : i+1])
			if need > full {
				return nil, &TallError{need, full}
			}
			for need > room(page) {
				turn()
			}
			for k := range strips[i].again {
				put(&strips[i].again[k], i)
			}
			if withHead(strips[i:end]) > room(page) {
				end = i + 1
			}
		}
		for ; i < end; i++ {
			put(&strips[i], i)
		}
	}
	return spots, nil
}

// chain gives the end of the strips that stay with one another, from one on.
func chain(strips []strip, from int) int {
	end := from + 1
	for end < len(strips) && strips[end-1].keep {
		end++
	}
	return end
}

// withHead gives the height of strips at the head of a page.
func withHead(strips []strip) Length {
	again := strips[0].again
	if len(again) == 0 {
		return heightOf(strips, true)
	}
	return heightOf(again, true) + heightOf(strips, false)
}

// heightOf gives the height of strips below each other. At the head of a page
// there is nothing above the first.
func heightOf(strips []strip, head bool) Length {
	var h Length
	for i, s := range strips {
		if h += s.height; i > 0 || !head {
			h += s.above
		}
	}
	return h
}

// stack makes one strip of several. What was above the first is above it.
func stack(strips []strip) strip {
	var all strip
	for i, s := range strips {
		if i == 0 {
			all.above, all.base = s.above, s.base
		} else {
			all.height += s.above
		}
		all.items = append(all.items, moved(s.items, 0, all.height)...)
		all.height += s.height
		all.keep = s.keep
	}
	return all
}

// layAll lays blocks below each other.
func layAll(blocks []Block, width Length) ([]strip, error) {
	var all []strip
	for _, b := range blocks {
		strips, err := b.lay(width)
		if err != nil {
			return nil, err
		}
		all = append(all, strips...)
	}
	return all, nil
}

// moved gives copies of items at another place.
func moved(items []scene.Item, dx, dy Length) []scene.Item {
	all := slices.Clone(items)
	for i, item := range all {
		switch {
		case item.Text != nil:
			t := *item.Text
			t.At.X, t.At.Y = t.At.X+dx, t.At.Y+dy
			all[i].Text = &t
		case item.Path != nil:
			p := *item.Path
			p.Steps = slices.Clone(p.Steps)
			for k := range p.Steps {
				step := &p.Steps[k]
				for j := range step.Verb.Points() {
					step.P[j].X, step.P[j].Y = step.P[j].X+dx, step.P[j].Y+dy
				}
			}
			all[i].Path = &p
		case item.Image != nil:
			m := *item.Image
			m.At.X, m.At.Y = m.At.X+dx, m.At.Y+dy
			all[i].Image = &m
		}
	}
	return all
}
