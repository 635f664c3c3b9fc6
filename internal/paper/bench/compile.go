package bench

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/formula"
)

// Compile makes the sheet of a formula whose weights are worked out, with the
// warnings of those findings that were had on the way.
func Compile(f formula.Formula, b *bar.Batter, maker string, found []finding.Finding) Sheet {
	s := Sheet{
		Formula: b.Formula, Name: f.Name.V, Identity: f.Identity.V, Maker: maker,
		Size: sizeOf(f, b), Total: b.Mass(), Steps: steps(f),
	}
	if b.HasLye() {
		s.Process, s.Oils = "cold", b.Oils
		if f.Process.V == "hot" {
			s.Process = "hot"
		}
		s.Lye = lyeJug(b)
	}
	c := collector{b: b, written: make([]bool, len(b.Sources))}
	pot := Vessel{Title: "Pot of oils", Tare: "an empty pot", Then: "Melt what is solid, stir, and let it cool."}
	if slices.ContainsFunc(s.Steps, func(step Step) bool { return step.Temp != "" }) {
		pot.Then = "Melt what is solid, stir, and let it cool to the temperature of the steps."
	}
	if !b.HasLye() {
		// Hot soap and flames: common practice, no source.
		pot = Vessel{Title: "Pot of base", Tare: "an empty pot", Then: "Cut it small and melt it slowly, under a lid. Hot soap burns the skin. Keep alcohol and scents away from flames."}
	}
	c.vessel(pot, func(w bar.Work) bool { return w.When == bar.ToPot })
	c.vessel(Vessel{Title: "Into the oils", Tare: "a dry cup", Then: "Stir it into the oils before the lye."}, func(w bar.Work) bool { return w.When == bar.ToOils })
	if b.HasLye() {
		c.lyeJug()
	}
	whole := func(when bar.Stage) func(bar.Work) bool {
		return func(w bar.Work) bool { return w.When == when && w.Portion == "" }
	}
	trace := Vessel{Title: "At trace", Tare: "a dry cup for each", Then: "Stir it into the whole of the batter."}
	if !b.HasLye() {
		trace.Title, trace.Then = "When it is melted", "Stir it into the whole."
	}
	c.vessel(trace, whole(bar.AtTrace))
	s.DivideAfter = len(c.vessels)
	for _, p := range b.Portions {
		c.vessel(Vessel{Title: "Portion " + p.Name, Tare: "a dry cup for each", Then: "Stir it into this portion alone."}, func(w bar.Work) bool { return w.When == bar.AtTrace && w.Portion == p.Name })
		s.Portions = append(s.Portions, Portion{p.Name, p.Share, p.Mass})
	}
	c.vessel(Vessel{Title: "After the cook", Tare: "a dry cup for each", Then: "Stir it in when no free lye is left."}, func(w bar.Work) bool { return w.When == bar.After })
	c.vessel(Vessel{Title: "On top", Tare: "a dry cup"}, func(w bar.Work) bool { return w.When == bar.OnTop })
	// Whatever has found no place so far: nothing that is weighed may be missing.
	c.vessel(Vessel{Title: "Besides", Tare: "a dry cup for each"}, func(bar.Work) bool { return true })
	s.Vessels = c.vessels
	for _, f := range found {
		if f.Level == finding.Warn {
			s.Findings = append(s.Findings, f)
		}
	}
	return s
}

// sizeOf says how the size of the batch was given.
func sizeOf(f formula.Formula, b *bar.Batter) string {
	switch {
	case f.Size.Mould.Given():
		return fmt.Sprintf("mould %s, with about %.0f ml", f.Size.Mould.V, b.Volume)
	case !b.HasLye():
		return fmt.Sprintf("%s g of base", grams(b.Oils))
	}
	return fmt.Sprintf("about %.0f ml in the mould", b.Volume)
}

func steps(f formula.Formula) []Step {
	var all []Step
	for _, s := range f.Steps {
		step := Step{Do: s.Do.V, Note: s.Note.V}
		if step.Do == "" {
			step.Do, step.Note = step.Note, ""
		}
		step.Do = sentence(step.Do)
		if s.Temp.Given() {
			step.Temp = fmt.Sprintf("%.0f °C (%.0f °F)", s.Temp.V, s.Temp.V*1.8+32)
		}
		all = append(all, step)
	}
	return all
}

// sentence begins a text with a capital.
func sentence(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

// A collector puts what is weighed into vessels.
type collector struct {
	b       *bar.Batter
	written []bool // by source
	vessels []Vessel
}

// vessel adds a vessel with all that belongs in it, if there is anything.
func (c *collector) vessel(v Vessel, in func(bar.Work) bool) {
	for i, s := range c.b.Sources {
		if !c.written[i] && s.Mass > 0 && in(s.Work) {
			c.line(&v, i)
		}
	}
	if len(v.Lines) > 0 {
		c.vessels = append(c.vessels, v)
	}
}

// line adds a source to a vessel, and then what it is stirred in with.
func (c *collector) line(v *Vessel, i int) {
	s := c.b.Sources[i]
	line := Line{Name: sentence(s.Work.Name), Grams: s.Mass, Note: s.Work.State}
	c.written[i] = true
	if late := s.Work.When == bar.After || s.Work.When == bar.OnTop; late && s.Work.Portion != "" {
		line.Note = strings.Join(given(line.Note, "for the portion "+s.Work.Portion), ", ")
	}
	var with []int
	for j, other := range c.b.Sources {
		if other.Work.With == i+1 && other.Mass > 0 {
			with = append(with, j)
		}
	}
	if len(with) > 0 {
		var names []string
		for _, j := range with {
			names = append(names, fmt.Sprintf("%s g of %s", grams(c.b.Sources[j].Mass), c.b.Sources[j].Work.Name))
		}
		line.Note = strings.Join(given(line.Note, "stirred into "+strings.Join(names, " and ")+" first"), ", ")
	}
	v.Lines = append(v.Lines, line)
	for _, j := range with {
		c.line(v, j)
		v.Lines[len(v.Lines)-1].Note = "for the line above"
	}
}

// lyeJug adds the lye jug: water and what stands in for it first, the alkali last.
func (c *collector) lyeJug() {
	v := Vessel{Title: "Lye jug", Tare: "an empty jug of plastic or steel", Lye: true, Then: "Pour the alkali into the water, a little at a time, stirring: never the other way round."}
	// Water stands first and alkali last, as they are to be poured.
	const water, other, alkali = 0, 1, 2
	turn := func(s bar.Source) int {
		switch s.Parts[0].Role {
		case bar.Alkali:
			return alkali
		case bar.Water:
			return water
		}
		return other
	}
	for now := water; now <= alkali; now++ {
		for i, s := range c.b.Sources {
			if s.Mass > 0 && s.Work.When == bar.ToLye && !c.written[i] && turn(s) == now {
				c.line(&v, i)
			}
		}
	}
	for i, a := range c.b.Alkalis {
		line := &v.Lines[len(v.Lines)-len(c.b.Alkalis)+i]
		if a.Solution != "" {
			line.Name, line.Note = sentence(a.Solution), fmt.Sprintf("ready-made solution, %s %s", percent(a.Pure/a.Weigh), a.Name)
			v.Then = "Pour the lye into the water, a little at a time, stirring: never the other way round."
			if len(v.Lines) == 1 {
				v.Then = "It is ready: nothing is to be dissolved in it."
			}
			continue
		}
		line.Note = "in a dry cup of its own"
		if a.Pure < a.Weigh {
			line.Name += ", " + percent(a.Pure/a.Weigh)
		}
	}
	c.vessels = append(c.vessels, v)
}

// The heat that dissolving sodium hydroxide sets free, in kJ to 100 g of lye, by the
// hydroxide in it in per cent: integral heats of NBS Circular 500 as printed in
// handbooks, from memory.
var heats = []struct{ percent, heat float64 }{{0, 0}, {20, 20.7}, {25, 24.6}, {28, 26.9}, {30, 28.4}, {33, 29.8}, {40, 30.7}, {100, 30.7}}

// The heat capacity of lye in J/(g·K): that of strong lye, from memory, and that of
// water, between which lies that of any.
const (
	capacityOfLye   = 3.6
	capacityOfWater = 4.184
)

// moreForPotassium is how much more a lye of potassium hydroxide heats up than one of
// sodium hydroxide: by the heats at infinite dilution, 57.6 and 44.5 kJ/mol (NSRDS-NBS
// 2, 1965), and its smaller heat capacity, about a fourth for the same strength.
const moreForPotassium = 1.25

// lyeJug tells what is to be known of the lye. A ready-made solution has cooled down
// long ago.
func lyeJug(b *bar.Batter) *LyeJug {
	j := &LyeJug{Strength: b.Strength, Superfat: b.Superfat()}
	var names []string
	solution := false
	for _, a := range b.Alkalis {
		names = append(names, strings.TrimSuffix(a.Name, " hydroxide"))
		solution = solution || a.Solution != ""
	}
	j.Alkali = strings.Join(names, " and ") + " hydroxide"
	if solution {
		j.Ready = true
		return j
	}
	j.RiseLow, j.RiseHigh = rise(b)
	return j
}

// heatOfNeutralisation is what an acid sets free with a mole of alkali in water, in kJ:
// that of strong acids, a textbook value from memory; weak ones give somewhat less.
const heatOfNeutralisation = 56

// rise gives how much hotter the jug gets, in kelvin: by the alkali that dissolves, and
// by the acids in the jug that take it up.
func rise(b *bar.Batter) (low, high float64) {
	dissolving := 0.0 // kJ to 100 g of hydroxide and water
	for i, h := range heats[1:] {
		if before := heats[i]; 100*b.Strength > before.percent {
			along := math.Min(1, (100*b.Strength-before.percent)/(h.percent-before.percent))
			dissolving = before.heat + along*(h.heat-before.heat)
		}
	}
	hydroxide, acids, jug := 0.0, 0.0, 0.0
	for _, a := range b.Alkalis {
		hydroxide += a.Pure
	}
	for _, s := range b.Sources {
		if s.Work.When != bar.ToLye {
			continue
		}
		jug += s.Mass
		shares, err := s.Shares.Middle()
		if err != nil {
			continue // such a batter is not poured
		}
		for i, part := range s.Parts {
			if part.Acid != nil {
				acids += s.Mass * shares[i] * part.Acid.Equivalents / part.Acid.MolarMass
			}
		}
	}
	lye := hydroxide / b.Strength
	heat := dissolving*lye/100 + heatOfNeutralisation*acids
	perKelvin := max(jug, lye) / 1000 // kg
	more := 1 + (moreForPotassium-1)*b.Potassium
	return heat / (perKelvin * capacityOfWater), heat * more / (perKelvin * capacityOfLye)
}
