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
	early := Vessel{Title: "Into the oils", Tare: "a dry cup for each", Then: "Stir it into the oils before the lye."}
	trace := Vessel{Title: "At trace", Tare: "a dry cup for each", Then: "Stir it into the whole of the batter."}
	late := Vessel{Title: "When the soap is made", Tare: "a dry cup for each", Then: "Stir it in when no free lye is left."}
	switch {
	case !b.HasLye():
		early.Title, early.Then = "Into the base", "Stir it into the base as soon as it is melted."
		trace.Title, trace.Then = "When it is melted", "Stir it into the whole."
		late.Title, late.Then = "At the end", "Stir it in last."
	case s.Process == "hot":
		late.Title = "After the cook"
	}
	c.vessel(early, func(w bar.Work) bool { return w.When == bar.ToOils })
	if b.HasLye() {
		c.lyeJug()
	}
	whole := func(when bar.Stage) func(bar.Work) bool {
		return func(w bar.Work) bool { return w.When == when && w.Portion == "" }
	}
	c.vessel(trace, whole(bar.AtTrace))
	s.DivideAfter = len(c.vessels)
	for _, p := range b.Portions {
		c.vessel(Vessel{Title: "Portion " + p.Name, Tare: "a dry cup for each", Then: "Stir it into this portion alone."}, func(w bar.Work) bool { return w.When == bar.AtTrace && w.Portion == p.Name })
		s.Portions = append(s.Portions, Portion{p.Name, p.Share, p.Mass})
	}
	c.vessel(late, func(w bar.Work) bool { return w.When == bar.After })
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

// waits reports whether a source is still to be put into a vessel. One that another is
// stirred in with comes with that one.
func (c *collector) waits(i int) bool {
	s := c.b.Sources[i]
	carrier := s.Work.With > 0 && c.b.Sources[s.Work.With-1].Mass > 0
	return s.Mass > 0 && !c.written[i] && !carrier
}

// vessel adds a vessel with all that belongs in it, if there is anything.
func (c *collector) vessel(v Vessel, in func(bar.Work) bool) {
	for i, s := range c.b.Sources {
		if c.waits(i) && in(s.Work) {
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
	if s.Work.When != bar.AtTrace && s.Work.Portion != "" { // which has no vessel of its own
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
	var rest []bar.Source // all but the alkali
	alkalis := c.b.Alkalis
	for now := water; now <= alkali; now++ {
		for i, s := range c.b.Sources {
			if !c.waits(i) || s.Work.When != bar.ToLye || turn(s) != now {
				continue
			}
			c.line(&v, i)
			if now != alkali {
				rest = append(rest, s)
				continue
			}
			alkaliLine(&v.Lines[len(v.Lines)-1], alkalis[0])
			alkalis = alkalis[1:]
		}
	}
	if c.b.Alkalis[0].Solution != "" {
		v.Then = withSolution(rest)
	}
	c.vessels = append(c.vessels, v)
}

// withSolution says what is done with a ready-made solution and the rest of the jug.
func withSolution(rest []bar.Source) string {
	wet := func(s bar.Source) bool {
		return slices.ContainsFunc(s.Parts, func(part bar.Part) bool { return part.Role == bar.Water })
	}
	switch {
	case len(rest) == 0:
		return "It is ready: nothing is to be dissolved in it."
	case !slices.ContainsFunc(rest, wet):
		return "Stir the rest into the lye, a little at a time."
	case len(rest) == 1 && rest[0].Parts[0].Role == bar.Water:
		return "Pour the lye into the water, a little at a time, stirring: never the other way round."
	}
	return "Pour the lye into the rest, a little at a time, stirring: never the other way round."
}

// alkaliLine says what an alkali is weighed as.
func alkaliLine(line *Line, a bar.AlkaliWeight) {
	if a.Solution != "" {
		line.Name, line.Note = sentence(a.Solution), fmt.Sprintf("ready-made solution, %s %s", percent(a.Pure/a.Weigh), a.Name)
		return
	}
	line.Note = "in a dry cup of its own"
	if a.Pure < a.Weigh {
		line.Name += ", " + percent(a.Pure/a.Weigh)
	}
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

// lyeJug tells what is to be known of the lye.
func lyeJug(b *bar.Batter) *LyeJug {
	j := &LyeJug{Strength: b.Strength, Superfat: b.Superfat(), Least: b.Superfats().Low, Most: b.Superfats().High}
	var names []string
	for _, a := range b.Alkalis {
		names = append(names, strings.TrimSuffix(a.Name, " hydroxide"))
		j.Ready = j.Ready || a.Solution != ""
	}
	j.Alkali = strings.Join(names, " and ") + " hydroxide"
	j.RiseLow, j.RiseHigh = rise(b)
	return j
}

// dissolving gives the heat that a gram of sodium hydroxide sets free, in kJ, when it
// becomes lye of a strength from 0 to 1.
func dissolving(strength float64) float64 {
	heat := 0.0 // to 100 g of lye
	for i, h := range heats[1:] {
		if before := heats[i]; 100*strength > before.percent {
			along := math.Min(1, (100*strength-before.percent)/(h.percent-before.percent))
			heat = before.heat + along*(h.heat-before.heat)
		}
	}
	return heat / 100 / strength
}

// heatOfNeutralisation is what an acid sets free with a mole of alkali in water, in kJ:
// that of strong acids, a textbook value from memory; weak ones give somewhat less.
const heatOfNeutralisation = 56

// rise gives how much hotter the jug gets, in kelvin: by the alkali that dissolves, or the
// solution that is thinned, and by the acids in the jug that take alkali up. A solution
// itself has cooled down long ago.
func rise(b *bar.Batter) (low, high float64) {
	heat, hydroxide := 0.0, 0.0
	for _, a := range b.Alkalis {
		hydroxide += a.Pure
		heat += a.Pure * dissolving(b.Strength)
		if a.Solution != "" {
			heat -= a.Pure * dissolving(a.Pure/a.Weigh)
		}
	}
	heat = max(0, heat) // where nothing is thinned, but for rounding
	jug := 0.0
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
				heat += heatOfNeutralisation * s.Mass * shares[i] * part.Acid.Equivalents / part.Acid.MolarMass
			}
		}
	}
	perKelvin := max(jug, hydroxide/b.Strength) / 1000 // kg
	more := 1 + (moreForPotassium-1)*b.Potassium
	return heat / (perKelvin * capacityOfWater), heat * more / (perKelvin * capacityOfLye)
}
