// Package band lays out the paper band of a bar of soap.
//
// It takes every word that the label says ([label.Content]), a [Template] that
// says which statement stands where, and a [Look]; it gives a scene in which
// each letter has its place, or findings of level stop that say how many
// millimetres are missing and what is the nearest remedy. Nothing is ever
// shrunk, clipped or left out in silence.
//
// The heights of letters and the free space round the net weight come with the
// content, so nothing here knows law. [Inspect] measures a finished band again,
// from the drawn items alone. Putting bands on sheets is left to package sheet.
package band

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

// The rules of layout. They are public ids: kept or retired, and never given a
// second meaning.
const (
	RuleRoom      = "BAND-ROOM"      // a text does not fit
	RuleCharacter = "BAND-CHARACTER" // a character is not in the typeface
	RuleBar       = "BAND-BAR"       // the bar is too small or too large for a band of this template
	RuleColourway = "BAND-COLOURWAY" // the look has no such colourway
	RuleMissing   = "BAND-MISSING"   // what every band needs is not in the content
	RulePitch     = "BAND-PITCH"     // lines were set closer
	RuleBreak     = "BAND-BREAK"     // names were broken more freely than they like
	RuleWider     = "BAND-WIDER"     // the band was made wider
	RuleSmaller   = "BAND-SMALLER"   // letters were made smaller
	RuleLeftOut   = "BAND-LEFT-OUT"  // something optional was left out
	RuleMoved     = "BAND-MOVED"     // a statement stands on another panel than the template says
)

// Options are the choices that the maker has.
type Options struct {
	Colourway string         // an id of the look's; "" is its first
	Breadth   measure.Length // of the band; 0 lets the template choose and the band grow
}

// A Laid is a band that carries all its words.
type Laid struct {
	Scene     scene.Scene
	Blank     Blank
	Template  Template
	Colourway Colourway
}

// A setting is what may give way when a text does not fit.
type setting struct {
	breadth measure.Length
	pitch   int            // index into Small.Pitch
	height  measure.Length // of a small x
}

// A mend is what could make room for a text.
type mend int

// What can be mended by what: small text by closer lines, a wider band and
// smaller letters, and all that stands on the front by a wider band alone.
const (
	byBreadth mend = iota
	bySetting
	byNothing // but another bar or shorter words
)

// A miss is a text that does not fit.
type miss struct {
	what    string         // "the ingredient list"
	missing measure.Length // along the breadth of the band, or across the panel if Across
	across  bool
	mend    mend
	remedy  string // beside a wider band, where that helps
}

// Lay sets the content on a band. The findings say what gave way; where one of
// them is a stop, there is no band and the Laid is empty. The error means that
// the program itself could not do its work, or that the template and the look
// were not read without a stop.
func Lay(c label.Content, t Template, look Look, o Options) (Laid, []finding.Finding, error) {
	way, found := pick(look, o.Colourway, c.Market)
	found = append(found, complete(c)...)
	found = append(found, excessive(c)...)
	usual, most := t.Paper.Breadth.usual(c.Bar)
	if o.Breadth > 0 {
		usual, most = o.Breadth, o.Breadth
	}
	if f, ok := tooSmall(c, t, usual); !ok {
		found = append(found, f)
	}
	if longest := c.Bar.Length - 2*t.Paper.Breadth.Reveal; o.Breadth > longest && longest > 0 {
		found = append(found, finding.Finding{Level: finding.Stop, Rule: RuleBar, Market: c.Market,
			Message: fmt.Sprintf("a band of %s is too wide for a bar that is %s long", show(o.Breadth), show(c.Bar.Length)),
			Remedy:  fmt.Sprintf("make it at most %s wide, so that the bar is seen on both sides", show(longest))})
	}
	if finding.Worst(found) == finding.Stop {
		return Laid{}, found, nil
	}
	s := solver{content: c, template: t, look: look, way: way, most: most, known: map[shapeKey][]shape{}}
	set := setting{breadth: usual, height: t.Small.Height}
	for {
		try, err := s.attempt(set)
		var faulty *faultyText
		switch {
		case errors.As(err, &faulty):
			return Laid{}, append(found, faulty.finding(c.Market)), nil
		case err != nil:
			return Laid{}, found, fmt.Errorf("laying out %s for %s: %w", c.Formula, c.Market, err)
		case len(try.misses) == 0:
			found = append(found, s.notes(set, usual, try)...)
			return Laid{try.scene(), try.blank, t, way}, found, nil
		}
		s.because(try.misses)
		next, ok := s.next(set, try.misses)
		if !ok {
			stops, err := s.stops(set, try.misses)
			return Laid{}, append(found, stops...), err
		}
		set = next
	}
}

// What no bar of soap and no band on it comes near. Beyond it the search for a
// layout would take its time over what nobody prints.
const (
	largestBar   = 400 * measure.Millimetre
	longestTitle = 120 // characters
)

// excessive stops a bar and titles that are out of all measure.
func excessive(c label.Content) []finding.Finding {
	var found []finding.Finding
	if side := max(c.Bar.Length, c.Bar.Width, c.Bar.Height); side > largestBar {
		found = append(found, finding.Finding{Level: finding.Stop, Rule: RuleBar, Market: c.Market,
			Message: fmt.Sprintf("a bar of %s is larger than any that a band is made for", show(side)),
			Remedy:  fmt.Sprintf("check the size of the cut; the longest side may be %s", show(largestBar))})
	}
	for _, s := range c.Statements {
		if n := utf8.RuneCountInString(s.Words()); s.Panel == label.Principal && n > longestTitle {
			found = append(found, finding.Finding{Level: finding.Stop, Rule: RuleRoom, Market: c.Market,
				Message: fmt.Sprintf("%s has %d characters, more than the front of a band can carry", titleOf(s.Duty), n),
				Remedy:  fmt.Sprintf("make it shorter; %d characters are the most", longestTitle)})
		}
	}
	return found
}

// A solver tries settings, the one that asks for the least first.
type solver struct {
	content  label.Content
	template Template
	look     Look
	way      Colourway
	most     measure.Length // breadth
	known    map[shapeKey][]shape
	cause    []string // what did not fit in the first setting and those after it
}

// because remembers what did not fit, for telling why something gave way.
func (s *solver) because(misses []miss) {
	for _, m := range misses {
		for what := range strings.SplitSeq(m.what, ", ") {
			if !slices.Contains(s.cause, what) {
				s.cause = append(s.cause, what)
			}
		}
	}
}

// heightStep is by how much letters shrink at a time: about a tenth of a point.
const heightStep = measure.Millimetre / 50

// next gives the setting that gives way one step more, in the order of the
// template, and false when nothing is left to give.
func (s *solver) next(set setting, misses []miss) (setting, bool) {
	has := func(m mend) bool {
		return slices.ContainsFunc(misses, func(miss miss) bool { return miss.mend == m })
	}
	switch {
	case has(byNothing):
		return set, false
	case has(bySetting) && set.pitch+1 < len(s.template.Small.Pitch):
		set.pitch++
	case set.breadth+s.template.Paper.Breadth.Step <= s.most:
		set.breadth += s.template.Paper.Breadth.Step
	case !has(byBreadth) && set.height > s.template.Small.Least:
		set.height = max(set.height-heightStep, s.template.Small.Least)
	default:
		return set, false
	}
	return set, true
}

// notes says what gave way.
func (s *solver) notes(set setting, usual measure.Length, done *composition) []finding.Finding {
	var all []finding.Finding
	note := func(rule, message, remedy string) {
		all = append(all, finding.Finding{Level: finding.Note, Rule: rule, Market: s.content.Market, Message: message, Remedy: remedy})
	}
	room := "to make room for " + list(s.cause)
	for _, name := range done.broken {
		note(RuleBreak, fmt.Sprintf("%s is set in fewer lines than it likes, so more names break over two lines", name), "")
	}
	if set.pitch > 0 {
		p := s.template.Small.Pitch
		note(RulePitch, fmt.Sprintf("the lines of the small text are set at %g of their size instead of %g %s", p[set.pitch], p[0], room), "")
	}
	if set.breadth > usual {
		note(RuleWider, fmt.Sprintf("the band is %s wide instead of %s %s", show(set.breadth), show(usual), room),
			"shorten the text to get the narrower band, which shows more of the bar")
	}
	if set.height < s.template.Small.Height {
		note(RuleSmaller, fmt.Sprintf("the letter x of the small text is %.2f mm high instead of %.2f mm %s",
			set.height.Millimetres(), s.template.Small.Height.Millimetres(), room), "shorten the text, or use a larger bar or a tag")
	}
	for _, what := range done.leftOut {
		note(RuleLeftOut, fmt.Sprintf("%s is left out for want of room; no law asks for it", what), "shorten it, or shorten what stands beside it")
	}
	for _, what := range done.moved {
		note(RuleMoved, fmt.Sprintf("%s stands on the back, because it does not fit on the side", what), "")
	}
	return all
}

// widest is how far a wider band is looked for, in lengths of the bar.
const widest = 2

// stops says what does not fit, by how much, and what would mend it. It looks for
// the breadth at which the band would hold all, also beyond what the bar allows.
func (s *solver) stops(set setting, misses []miss) ([]finding.Finding, error) {
	wider := ""
	if !slices.ContainsFunc(misses, func(m miss) bool { return m.mend == byNothing }) {
		_, allowed := s.template.Paper.Breadth.usual(s.content.Bar)
		for b := set.breadth; b <= widest*s.content.Bar.Length; b += s.template.Paper.Breadth.Step {
			try, err := s.attempt(setting{b, set.pitch, set.height})
			if err != nil {
				return nil, err
			}
			if len(try.misses) > 0 {
				continue
			}
			if b <= allowed {
				wider = fmt.Sprintf("make the band %s wide", show(b))
			} else {
				wider = fmt.Sprintf("shorten the text, or use a larger bar: the band would have to be %s wide, and this bar takes one of %s at most", show(b), show(allowed))
			}
			break
		}
	}
	var all []finding.Finding
	for _, m := range misses {
		direction := "of height"
		if m.across {
			direction = "of width"
		}
		f := finding.Finding{Level: finding.Stop, Rule: RuleRoom, Market: s.content.Market,
			Message: fmt.Sprintf("there is no room on the band for %s: %.1f mm %s are missing", m.what, roundUp(m.missing), direction), Remedy: m.remedy}
		if wider != "" {
			if f.Remedy != "" {
				f.Remedy = ", or " + f.Remedy
			}
			f.Remedy = wider + f.Remedy
		}
		all = append(all, f)
	}
	return all, nil
}

// roundUp gives a length in millimetres to the next tenth, so that who adds it
// has enough.
func roundUp(l measure.Length) float64 {
	const tenth = measure.Millimetre / 10
	return float64((l+tenth-1)/tenth) / 10
}

// show gives a length for a sentence: "52 mm", "52.5 mm".
func show(l measure.Length) string { return fmt.Sprintf("%.4g mm", l.Millimetres()) }

// pick gives the colourway that was asked for.
func pick(look Look, id, market string) (Colourway, []finding.Finding) {
	var ids []string
	for _, way := range look.Colourways {
		if way.ID == id || id == "" {
			return way, nil
		}
		ids = append(ids, way.ID)
	}
	return Colourway{}, []finding.Finding{{Level: finding.Stop, Rule: RuleColourway, Market: market,
		Message: fmt.Sprintf("the look %s has no colourway %q", look.ID, id),
		Remedy:  "choose one of: " + list(ids)}}
}

// complete reports what no band can do without, whatever the market.
func complete(c label.Content) []finding.Finding {
	var all []finding.Finding
	for _, need := range []struct {
		duty   label.Duty
		remedy string
	}{{label.DutyName, "give the formula a name"}, {label.DutyNetQuantity, "give the cut a claim, such as 4 oz"}} {
		if s, ok := c.Find(need.duty); !ok || len(s.Lines) == 0 {
			all = append(all, finding.Finding{Level: finding.Stop, Rule: RuleMissing, Market: c.Market,
				Message: fmt.Sprintf("the label has no %s", titles[need.duty].bare), Remedy: need.remedy})
		}
	}
	return all
}

// tooSmall reports whether the panels have any room for letters at all.
func tooSmall(c label.Content, t Template, breadth measure.Length) (finding.Finding, bool) {
	b := newBlank(c.Bar, t.Paper, breadth)
	const least = 8 * measure.Millimetre // a word or two of the small text
	narrow := min(b.Panel(Side1).Width-2*t.Keep.Fold, b.Panel(BackA).Width-t.Keep.Fold-t.Keep.Seam)
	if missing := max(least-narrow, 3*least-(breadth-2*t.Keep.Cut)); missing > 0 {
		return finding.Finding{Level: finding.Stop, Rule: RuleBar, Market: c.Market,
			Message: fmt.Sprintf("a bar of %s x %s x %s is too small for the template %s: its panels need %.1f mm more",
				show(c.Bar.Length), show(c.Bar.Width), show(c.Bar.Height), t.ID, roundUp(missing)),
			Remedy: "put the words on a tag or a box, or use a larger bar"}, false
	}
	return finding.Finding{}, true
}
