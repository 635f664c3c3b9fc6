package bar

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// How much hydroxide a lye can hold, of hydroxide and water together. At room
// temperature water takes up a little more than its own weight of sodium hydroxide,
// and more of potassium hydroxide (handbook values, from memory); beyond half, some
// of it lies on the ground of the jug, cakes and overheats. That is a danger at the pot
// and no point of law, so it stops although the figure is recalled.
const (
	dissolves      = 0.50
	nearSaturation = 0.45
)

// judgeStrength looks at the lye jug alone: liquids that go into the oils or in at
// trace dissolve nothing there.
func (p *pourer) judgeStrength(at plan) {
	hydroxide, sodium, water := 0.0, 0.0, at.lye.dissolved()
	for _, r := range p.lye.reagents {
		pure := r.moles * at.lye.moles * r.molarMass()
		hydroxide += pure
		if !r.potassium() {
			sodium += pure
		}
	}
	for i, s := range p.batter.Sources {
		switch {
		case i >= len(p.items) && s.Parts[0].Role == Water:
			water += s.Mass
		case i < len(p.items) && s.Work.When == ToLye:
			water += s.Mass * p.items[i].water()
		}
	}
	p.batter.Strength = hydroxide / (hydroxide + water)
	place, remedy := p.lye.reagents[0].at, "give the lye more water, or pour more of the liquid into the lye jug"
	percent := func(part float64) string { return fmt.Sprintf("%.1f %%", 100*part/(part+water)) }
	switch {
	case sodium > dissolves*(sodium+water)*(1+1e-9):
		p.findings = append(p.findings, finding.Finding{
			Level: finding.Stop, Rule: RuleStrength, At: place, Remedy: remedy,
			Message: fmt.Sprintf("the lye in the jug would be of %s sodium hydroxide, and water dissolves no more than 50 %%", percent(sodium)),
			Cite:    "solubility of sodium hydroxide in water at room temperature (handbook value, from memory); no point of law, but a danger at the pot",
		})
	case hydroxide > dissolves*(hydroxide+water)*(1+1e-9):
		p.report(finding.Warn, RuleStrength, place, fmt.Sprintf("the lye in the jug would be of %s hydroxide, and water dissolves little more than 50 %% (from memory, for potassium hydroxide)", percent(hydroxide)), remedy)
	case hydroxide > nearSaturation*(hydroxide+water) && water > at.lye.dissolved():
		p.report(finding.Warn, RuleStrength, place, fmt.Sprintf("the lye in the jug is of %s hydroxide, near the 50 %% at which it no longer dissolves", percent(hydroxide)), remedy)
	}
}

// judgeLye stops a lye-heavy formula, and warns of one that would be lye-heavy if
// its oils stood at the low end of what handbooks print for their species.
func (p *pourer) judgeLye() {
	b := p.batter
	b.Need = p.needs(func(f *Fat) measure.Range { return f.Stated })
	at := p.lye.reagents[0].at
	books := p.needs(inBooks)
	switch {
	case heavy(b.ForFats, b.Fats):
		p.heavyAsShown(at)
	case heavy(b.Left.High, b.Need.Low):
		p.heavyAtWorst(at)
	case b.Left.Low <= 0:
		p.acidAtWorst()
	case heavy(b.ForFats, books.High):
		p.heavyByTheBooks(at, books.High)
	default:
		if b.Superfat() > muchSuperfat {
			p.report(finding.Warn, RuleSuperfat, at, fmt.Sprintf("%.0f %% of the oils stay oil: the bar is greasy, goes rancid, and is hardly soap", 100*b.Superfat()), "compare the weight of the alkali, or the superfat, with what was meant")
		}
		if heavy(b.ForFats, books.Low) {
			p.findings = append(p.findings, finding.Finding{
				Level: finding.Warn, Rule: RuleLyeMargin, At: at,
				Cite:    "published saponification ranges of the oils, as held in the built-in data with their sources",
				Message: fmt.Sprintf("with every oil at the low end of its published saponification range the bar would be lye-heavy by %.1f %%; at the usual values the superfat is %.1f %%", 100*(b.ForFats/books.Low-1), 100*b.Superfat()),
				Remedy:  fmt.Sprintf("ask the supplier for the saponification value of the lot, or take a superfat of at least %.1f %%", math.Ceil(1000*(1-books.Low/b.Fats))/10),
			})
		}
	}
}

// heavyAsShown stops a formula that is lye-heavy where one figure is shown.
func (p *pourer) heavyAsShown(at finding.Pos) {
	b := p.batter
	f := finding.Finding{Level: finding.Stop, Rule: RuleLyeHeavy, At: at, Cite: citeLye}
	if p.listed {
		f.Message = fmt.Sprintf("by its list it has %.1f %% more alkali than its oils bind", 100*(b.Saponified()-1))
		f.Remedy = "compare the percentages with the supplier's list; do not use such soap"
	} else {
		over := (b.ForFats - b.Fats) * p.lye.perMol
		name := p.alkalisName()
		if p.lye.strength > 0 {
			over, name = over/p.lye.strength, b.Alkalis[0].Solution
		}
		f.Message = fmt.Sprintf("the bar is lye-heavy: its fats bind %.2f mol of alkali and %.2f mol are left for them, %.1f %% too much", b.Fats, b.ForFats, 100*(b.Saponified()-1))
		f.Remedy = fmt.Sprintf("take at least %.1f g less %s, or check the weights of the oils; do not use or sell bars made this way", math.Ceil(10*over)/10, name)
	}
	p.findings = append(p.findings, f)
}

// heavyByTheBooks stops a formula that is lye-heavy even if every oil binds the most that
// handbooks print: only lots whose figures no such oil has get here. Where a range is
// recalled it warns.
func (p *pourer) heavyByTheBooks(at finding.Pos, most float64) {
	f := finding.Finding{
		Level: finding.Stop, Rule: RuleLyeHeavy, At: at, Cite: citeLye,
		Message: fmt.Sprintf("the bar is lye-heavy by %.1f %% even if every oil stood at the high end of its published saponification range: the figures of its materials ask for more alkali than such oils bind", 100*(p.batter.ForFats/most-1)),
		Remedy:  "compare the saponification values and fatty acids of the materials with the suppliers' documents; do not use or sell bars made this way before that",
	}
	if p.confirmed() {
		p.stopped = true
	} else {
		f.Level = finding.Warn
		f.Message += " (unconfirmed: some of these ranges are recalled, their text was not read)"
	}
	p.findings = append(p.findings, f)
}

// muchSuperfat is from what superfat on a bar is hardly soap any more: bars of coconut oil
// alone are made with a fifth of it left over (common practice, no source).
const muchSuperfat = 0.30

// alkalisName gives the alkalis in words.
func (p *pourer) alkalisName() string {
	var names []string
	for _, r := range p.lye.reagents {
		names = append(names, r.name)
	}
	return strings.Join(names, " and ")
}

// inBooks gives the published range of a fat. Those without a range keep their own figure.
func inBooks(f *Fat) measure.Range {
	if f.Published == (measure.Range{}) {
		return f.Stated
	}
	return f.Published
}

// needs gives the moles of alkali that all fats bind over all compositions, if a function
// gives the range of the saponification value of each.
func (p *pourer) needs(of func(*Fat) measure.Range) measure.Range {
	var all measure.Range
	for i, it := range p.items {
		r := it.need(of)
		all.Low += p.batter.Sources[i].Mass * r.Low
		all.High += p.batter.Sources[i].Mass * r.High
	}
	return all
}

// heavyAtWorst stops a formula that is lye-heavy in the worst case that maker and
// suppliers leave open, and says which figure to ask for: the one that does most to it.
func (p *pourer) heavyAtWorst(at finding.Pos) {
	b := p.batter
	what, ask := "the purity of the alkali", "ask the supplier for the purity of the lot"
	worst := b.Left.High - b.ForFats
	for i, it := range p.items {
		worst -= b.Sources[i].Mass * (it.takes() - it.taking().Low)
	}
	for i, it := range p.items {
		s := b.Sources[i]
		name := s.Work.Name
		if acid := s.Mass * (it.takes() - it.taking().Low); acid > worst {
			worst = acid
			what, ask = fmt.Sprintf("the acid in %q", name), fmt.Sprintf("ask the supplier for the percentage of acid in %q", name)
		}
		short := s.Mass * (it.fats() - it.need(func(f *Fat) measure.Range { return f.Stated }).Low)
		if short <= worst {
			continue
		}
		worst = short
		what, ask = fmt.Sprintf("the composition of %q", name), fmt.Sprintf("ask the supplier for the saponification value of %q", name)
		if s.SAP != nil || len(s.Parts) == 1 {
			what, ask = fmt.Sprintf("the saponification value of %q", name), fmt.Sprintf("ask the supplier for the value of the lot of %q", name)
		}
	}
	p.findings = append(p.findings, finding.Finding{
		Level: finding.Stop, Rule: RuleLyeHeavy, At: at, Cite: citeLye,
		Message: fmt.Sprintf("the bar can be lye-heavy by %.1f %% as far as %s is known: at the worst its fats bind %.2f mol of alkali and %.2f mol are left for them, so no weight of lye is given", 100*(b.Left.High/b.Need.Low-1), what, b.Need.Low, b.Left.High),
		Remedy:  fmt.Sprintf("%s, or take a superfat of at least %.1f %%", ask, math.Ceil(1000*p.safeSuperfat())/10),
	})
}

// acidAtWorst stops a formula of which acids take up all of the alkali in the worst case
// that suppliers leave open, and says what to ask.
func (p *pourer) acidAtWorst() {
	b := p.batter
	worst, name, at := 0.0, "", p.formula.Lye.At
	for i, it := range p.items {
		if more := b.Sources[i].Mass * (it.taking().High - it.takes()); more > worst {
			worst, name, at = more, b.Sources[i].Work.Name, b.Sources[i].At
		}
	}
	message := fmt.Sprintf("%.2f mol of alkali are poured, and acids can take up %.2f mol of it", b.ForFats+b.Acids, b.ForFats+b.Acids-b.Left.Low)
	remedy := "ask the supplier for the purity of the lot, or take less of the acids"
	if name != "" {
		message += fmt.Sprintf(" as far as the composition of %q is known", name)
		remedy = fmt.Sprintf("ask the supplier for the percentage of acid in %q, or take less of it", name)
	}
	p.report(finding.Stop, RuleLyeAmount, at, message+": then nothing becomes soap", remedy)
}

// safeSuperfat gives the superfat at which the worst case that is left open is not
// lye-heavy.
func (p *pourer) safeSuperfat() float64 {
	b := p.batter
	return 1 - b.Need.Low/b.Left.High*b.Saponified()
}

// judgeWaxes says what is assumed of waxes. Where the bar would be lye-heavy if lye did
// not reach them, and nobody has said how far it does, it stops.
func (p *pourer) judgeWaxes() {
	b := p.batter
	var names []string
	var at finding.Pos
	stated := true
	for _, s := range b.Sources {
		for _, part := range s.Parts {
			if part.Fat == nil || s.Kettle != nil || part.Fat.Kind != saponify.WaxEster {
				continue
			}
			stated = stated && part.Fat.Reach
			if !slices.Contains(names, s.Work.Name) {
				names = append(names, s.Work.Name)
			}
			if at.Line == 0 {
				at = s.At
			}
		}
	}
	if len(names) == 0 {
		return
	}
	inert := 0.0 // what is bound if lye does not reach the esters of the waxes
	for i, it := range p.items {
		for j, part := range it.source.Parts {
			if part.Fat == nil || it.source.Kettle != nil {
				continue
			}
			g := it.figures[j]
			if g.Kind == saponify.WaxEster {
				g.Inert = 1
			}
			acids, esters := g.Equivalents()
			inert += b.Sources[i].Mass * it.middle[j] * (acids + esters)
		}
	}
	message := fmt.Sprintf("how much of %s a cold process takes up is not known", strings.Join(names, " and of "))
	if !heavy(b.ForFats, inert) {
		p.report(finding.Note, RuleWax, at, message+"; the lye is reckoned as if it took up the part that the material says, or all of it", "")
		return
	}
	message += "; if lye took up nothing of the esters in it, the bar would be lye-heavy"
	if inert > b.Fats/2 {
		message += fmt.Sprintf(" by %.1f %%", 100*(b.ForFats/inert-1))
	}
	if stated {
		p.report(finding.Warn, RuleWax, at, message, "take a larger superfat")
		return
	}
	p.findings = append(p.findings, finding.Finding{
		Level: finding.Stop, Rule: RuleWax, At: at, Message: message, Cite: citeLye,
		Remedy: "write reactivity: 0% or what is known of it in a material of its own, or take a larger superfat",
	})
}

// confirmed reports whether the text of every published range that the fats are
// judged by was read.
func (p *pourer) confirmed() bool {
	for _, it := range p.items {
		for _, part := range it.source.Parts {
			if part.Fat != nil && part.Fat.Published != (measure.Range{}) && !part.Fat.Confirmed {
				return false
			}
		}
	}
	return true
}
