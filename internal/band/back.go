package band

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/text"
)

// lean is how far the ink of a letter may reach past its advance. Columns keep
// so much more away from folds and edges than the template asks.
const lean = measure.Millimetre / 5

// A column is the part of a panel in which letters may stand.
type column struct{ x, width, top, height measure.Length }

// backColumns gives the two halves of the back as they are read from behind:
// back B is on the left.
func (c *composition) backColumns() (b, a column) {
	keep := c.template.Keep
	panelB, panelA := c.blank.Panel(BackB), c.blank.Panel(BackA)
	top, height := keep.Cut, c.blank.Size.H-2*keep.Cut
	b = column{panelB.X + keep.Fold + lean, panelB.Width - keep.Fold - keep.Seam - 2*lean, top, height}
	a = column{panelA.X + max(keep.Seam, keep.Cut) + lean, panelA.Width - keep.Fold - max(keep.Seam, keep.Cut) - 2*lean, top, height}
	return b, a
}

// back sets the first statement of the back, which is the list, on back B, lets
// it run on to back A if it has to, and puts the others below it.
func (c *composition) back() error {
	statements := append(c.statements(c.template.Back), c.waiting...)
	statements = append(statements, c.rest()...)
	if len(statements) == 0 {
		return nil
	}
	left, right := c.backColumns()
	voice := c.look.Small.voice()
	var others []block
	for _, s := range statements[1:] {
		b, err := c.block(s, voice, right.width)
		var wide *text.WideError
		switch {
		case errors.As(err, &wide):
			if c.mayLeaveOut(s) {
				c.leftOut = append(c.leftOut, titleOf(s.Duty))
				continue
			}
			c.misses = append(c.misses, miss{titleOf(s.Duty), wide.Missing, true, bySetting, "break up " + quoted(wide.Text) + waysOut([]label.Statement{s})})
			return nil
		case err != nil:
			return err
		}
		others = append(others, b)
	}
	for {
		first, second, ok, err := c.columns(statements[0], others, left, right)
		if err != nil {
			return err
		}
		if ok {
			endB := c.place(first, left.x, left.top, text.Left)
			endA := right.top
			if len(second) > 0 {
				endA = c.place(second, right.x, right.top, text.Left)
			}
			c.backWalls(left, right, endB, endA)
			return nil
		}
		last := c.lastOptional(others)
		if last < 0 {
			return nil
		}
		c.leftOut = append(c.leftOut, titleOf(others[last].statement.Duty))
		c.misses = c.misses[:len(c.misses)-1]
		others = append(others[:last:last], others[last+1:]...)
	}
}

// lastOptional gives the index of the block that may be left out first, or -1.
func (c *composition) lastOptional(blocks []block) int {
	for i := len(blocks) - 1; i >= 0; i-- {
		if c.mayLeaveOut(blocks[i].statement) {
			return i
		}
	}
	return -1
}

// columns shares the statements out between the halves of the back. It notes a
// miss where they do not fit.
func (c *composition) columns(list label.Statement, others []block, left, right column) (first, second []block, ok bool, err error) {
	voice := c.look.Small.voice()
	head, err := c.measured(list, voice)
	if err != nil {
		return nil, nil, false, err
	}
	words, err := c.wordsOf(list, voice)
	if err != nil {
		return nil, nil, false, err
	}
	var run []text.Word
	for _, paragraph := range words {
		run = append(run, paragraph...)
	}
	fail := func(missing measure.Length, across bool, remedy string) ([]block, []block, bool, error) {
		what := []label.Statement{list}
		for _, other := range others {
			if !across {
				what = append(what, other.statement)
			}
		}
		c.misses = append(c.misses, miss{titlesOf(what), missing, across, bySetting, remedy + waysOut(what)})
		return nil, nil, false, nil
	}
	broken, err := text.Break(run, text.Column{Width: left.width})
	var wide *text.WideError
	if errors.As(err, &wide) {
		return fail(wide.Missing, true, "write "+quoted(wide.Text)+" so that it can be broken")
	}
	if err != nil {
		return nil, nil, false, known(list, err)
	}

	// All of the list on the left, and as many of the others on the right as
	// there is room for; the first ones may stand below the list.
	if whole := head.with(broken.Lines); whole.height() <= left.height {
		for below := 0; below <= len(others); below++ {
			onLeft := append([]block{whole}, others[:below]...)
			if stack(onLeft) > left.height {
				break
			}
			if stack(others[below:]) <= right.height {
				return onLeft, others[below:], true, nil
			}
		}
	}

	// The list runs on. On the right it gets the lines that the others leave.
	roomLeft := head.linesIn(left.height)
	roomRight := head.linesIn(right.height)
	if len(others) > 0 {
		roomRight = head.linesIn(right.height - stack(others) - others[0].lead(head))
	}
	carry := max(c.template.Small.Carry, 1)
	lines := len(broken.Lines)
	onLeft := min(roomLeft, max(lines-carry, carry))
	limited, err := text.Break(run, text.Column{Width: left.width, Lines: onLeft}, text.Column{Width: right.width, Lines: max(roomRight, 0)})
	for err == nil && roomRight >= carry && onLeft > carry && len(limited.In(1)) < carry {
		onLeft--
		limited, err = text.Break(run, text.Column{Width: left.width, Lines: onLeft}, text.Column{Width: right.width, Lines: roomRight})
	}
	// A few lines fewer on the left may end it between two names.
	for n := onLeft - 1; err == nil && n >= max(carry, onLeft-3); n-- {
		fewer, err := text.Break(run, text.Column{Width: left.width, Lines: n}, text.Column{Width: right.width, Lines: roomRight})
		if err != nil {
			break // no room on the right for what the left leaves
		}
		if fewer.Cost < limited.Cost {
			limited = fewer
		}
	}
	var long *text.LongError
	switch {
	case roomRight < 1, errors.As(err, &long):
		// Say how much is missing from the free setting where even the tightest
		// one has no room.
		missing := measure.Length(lines-onLeft-roomRight) * head.pitch
		if long != nil {
			missing = measure.Length(long.Lines-long.Room) * head.pitch
		}
		return fail(max(missing, head.pitch), false, "shorten it")
	case err != nil:
		return nil, nil, false, known(list, err)
	}
	onLeftLines, onRightLines := limited.In(0), limited.In(1)
	if len(limited.Lines) < lines {
		c.broken = append(c.broken, titleOf(list.Duty))
	}
	second = append(second, head.with(onRightLines))
	if len(onRightLines) == 0 {
		second = nil
	}
	return []block{head.with(onLeftLines)}, append(second, others...), true, nil
}

// with gives the block with lines.
func (b block) with(lines []text.Line) block {
	b.lines = lines
	return b
}

// linesIn counts the lines of the block that fit into a height.
func (b block) linesIn(height measure.Length) int {
	if height < b.above+b.below {
		return 0
	}
	return int((height-b.above-b.below)/b.pitch) + 1
}

// waysOut says what the law leaves for statements that find no room: where they may
// stand instead, and under which condition. A list that no law asks
// for may stand anywhere.
func waysOut(statements []label.Statement) string {
	var ways strings.Builder
	for i, s := range statements {
		if slices.ContainsFunc(statements[:i], func(before label.Statement) bool { return before.Duty == s.Duty }) {
			continue // in another language
		}
		if s.Duty == label.DutyIngredients && !s.Required {
			ways.WriteString(", or print a tag or a leaflet")
		}
		for i, e := range s.Exempt {
			if i == 0 {
				ways.WriteString(", or go by a way that the law leaves for " + titleOf(s.Duty) + ":")
			} else {
				ways.WriteString(";")
			}
			cite := e.Cite
			if !e.Confirmed {
				cite += ", unconfirmed"
			}
			fmt.Fprintf(&ways, " where %s, %s (%s)", e.When, e.Instead, cite)
		}
	}
	return ways.String()
}

func quoted(s string) string { return "\"" + s + "\"" }
