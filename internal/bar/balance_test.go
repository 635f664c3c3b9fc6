package bar_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/bar"
	"saponym/internal/finding"
	"saponym/internal/measure"
)

// An entry is so many grams of a thing in the pot.
type entry struct {
	thing
	mass   float64
	source int // index into the sources of the batter
}

// An account tells what became of the entries of a batch, in grams and moles.
type account struct {
	solids   []float64 // of each entry, without glycerol and water
	fats     float64   // mol that the fats bind
	takes    float64   // mol that acids take up
	glycerol float64
	water    float64
	soap     float64
	gone     float64
	naIn, kIn,
	naOut, kOut float64 // mol in all, and of the entries that are declared as bought
}

// dry gives all but the water.
func (a account) dry() float64 {
	total := a.glycerol
	for _, s := range a.solids {
		total += s
	}
	return total
}

// reckon works out what so many moles of alkali make of the entries. Acids of any sort
// are taken up first and whole; the esters share the rest evenly.
func reckon(entries []entry, naoh, koh float64) account {
	a := account{solids: make([]float64, len(entries)), naIn: naoh, kIn: koh}
	free, esters := 0.0, 0.0
	each := func(do func(i int, c component, grams float64)) {
		for i, e := range entries {
			for _, c := range e.made {
				do(i, c, e.mass*c.share)
			}
		}
	}
	each(func(_ int, c component, grams float64) {
		switch c.kind {
		case "fat":
			free += grams * c.acids
			esters += grams * c.esters
		case "acid":
			a.takes += grams / c.molar * c.takes
		}
		a.naIn += grams * c.na
		a.kIn += grams * c.k
	})
	a.fats = free + esters
	alkali := naoh + koh
	k := 0.0 // part of the alkali that is of potassium
	if alkali > 0 {
		k = koh / alkali
	}
	metal := (1-k)*sodium + k*potassium
	left := alkali - a.takes
	acidsDone, estersDone := 1.0, 0.0
	if left < free {
		acidsDone = left / free
	} else if esters > 0 {
		estersDone = (left - free) / esters
	}
	each(func(i int, c component, grams float64) {
		switch c.kind {
		case "water":
			a.water += grams
		case "kept":
			a.gone += grams * c.leaves
			a.solids[i] += grams * (1 - c.leaves)
			a.soap += grams * c.soap
			if entries[i].moist {
				a.naOut += grams * c.na
			}
		case "acid":
			moles := grams / c.molar
			a.water += moles * (c.takes + c.crystal) * waterMass
			a.solids[i] += moles * (c.molar - c.crystal*waterMass + c.takes*(metal-hydrogen))
			if entries[i].moist {
				a.naOut += moles * c.takes * (1 - k)
				a.kOut += moles * c.takes * k
			}
		case "fat":
			fromAcids, fromEsters := grams*c.acids*acidsDone, grams*c.esters*estersDone
			bound := fromAcids + fromEsters
			soap := bound * (c.mean - hydrogen + metal)
			a.soap += soap
			a.water += fromAcids * waterMass
			a.solids[i] += soap + grams*c.otherwise + (grams*c.acids-fromAcids)*c.mean + (grams*c.esters-fromEsters)*c.ester
			if c.glycerol {
				a.glycerol += fromEsters * c.split
			} else {
				a.solids[i] += fromEsters * c.split
			}
			if entries[i].moist {
				a.naOut += bound * (1 - k)
				a.kOut += bound * k
			}
		}
	})
	return a
}

// A poured is a recipe with what package bar made of it, its things found again among
// the sources.
type poured struct {
	recipe
	batter *bar.Batter
	index  map[string]int // of the sources, by where they stand
}

// pourRecipe pours a recipe; the batter is nil where it cannot be poured.
func pourRecipe(t fataler, r recipe) (poured, []finding.Finding) {
	batter, findings := bar.Pour(r.formula(t), r.library(t))
	p := poured{r, batter, map[string]int{}}
	if batter == nil {
		return p, findings
	}
	for i, s := range batter.Sources {
		if _, ok := p.index[s.Ref]; ok {
			t.Fatalf("two sources %q", s.Ref)
		}
		p.index[s.Ref] = i
	}
	return p, findings
}

// mass gives what is weighed of a source.
func (p poured) mass(t fataler, ref string) (grams float64, source int) {
	i, ok := p.index[ref]
	if !ok {
		t.Fatalf("no source %q in\n%s", ref, p.text())
	}
	return p.batter.Sources[i].Mass, i
}

// purity gives the hydroxide in a gram of what is weighed of an alkali.
func (p poured) purity(a alkali) float64 {
	if p.strength > 0 {
		return part(p.strength)
	}
	return part(a.purity)
}

// lye gives the moles of sodium and of potassium hydroxide, and what comes with them.
func (p poured) lye(t fataler) (naoh, koh float64, rest []entry) {
	if len(p.pot) == 0 {
		return 0, 0, nil
	}
	for _, a := range p.alkalis {
		grams, i := p.mass(t, "lye "+a.name)
		pure := grams * p.purity(a)
		damp, inert := 0.0, 1-p.purity(a)
		if p.strength > 0 {
			damp, inert = inert, 0
		} else if a.name == "potassium hydroxide" {
			damp, inert = inert-part(a.carbonate), part(a.carbonate)
		}
		if a.name == "potassium hydroxide" {
			koh = pure / kohMass
		} else {
			naoh = pure / naohMass
		}
		rest = append(rest, entry{thing{id: a.name, made: []component{kept(inert), water(damp)}}, grams, i})
	}
	grams, i := p.mass(t, "lye.water")
	return naoh, koh, append(rest, entry{thing{made: []component{water(1)}}, grams, i})
}

// entries gives all that is in the pot besides the lye.
func (p poured) entries(t fataler) []entry {
	var all []entry
	take := func(x thing, ref string) {
		grams, i := p.mass(t, ref)
		all = append(all, entry{x, grams, i})
	}
	for i, l := range p.pot {
		take(l.thing, fmt.Sprintf("pot[%d] %s", i, l.id))
	}
	for i, l := range p.base {
		take(l.thing, fmt.Sprintf("base[%d] %s", i, l.id))
	}
	for i, l := range p.liquids {
		take(l.thing, fmt.Sprintf("lye.liquids[%d] %s", i, l.id))
	}
	for i, a := range p.add {
		take(a.thing, fmt.Sprintf("add[%d] %s", i, a.id))
		for j, w := range a.with {
			take(w.thing, fmt.Sprintf("add[%d].with[%d] %s", i, j, w.id))
		}
	}
	return all
}

// near fails where two figures differ by more than a part in 10⁹ of a whole.
func near(t *rapid.T, what string, got, want, whole float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*whole) {
		t.Fatalf("%s: got %.12g, want %.12g, off by %.3g of the whole", what, got, want, (got-want)/whole)
	}
}

// pouredOften runs a check on recipes that can be poured and are not lye-heavy, and fails
// if these are too few to mean anything.
func pouredOften(t *testing.T, check func(t *rapid.T, p poured)) {
	all, sound := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		all++
		p, findings := pourRecipe(t, aRecipe(t))
		if p.batter == nil {
			if finding.Worst(findings) != finding.Stop {
				t.Fatalf("no batter, and nothing says why:\n%s", p.text())
			}
			return
		}
		if p.batter.HasLye() && p.batter.Superfat() < 0 {
			return
		}
		sound++
		check(t, p)
	})
	if sound*2 < all {
		t.Errorf("%d of %d formulas could be poured", sound, all)
	}
}

// What is weighed is what the formula says: shares of the oils, of a portion, of the
// water; weights, scaled with the pot; alkali and water in each of their ways.
func TestWeightsAreThoseOfTheFormula(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		b, whole := p.batter, p.batter.Mass()
		entries := p.entries(t)
		oils, typed := 0.0, 0.0
		for i := range len(p.pot) + len(p.base) {
			oils += entries[i].mass
		}
		near(t, "oils", b.Oils, oils, whole)
		for _, l := range append(p.pot, p.base...) {
			typed += float64(l.mg) / 1000
		}
		scale := 1.0
		if typed > 0 {
			scale = oils / typed
		}
		if p.size == "" {
			near(t, "scale", scale, 1, 1)
		}
		at := 0
		next := func(what string, a amount, of float64) {
			want := float64(a.mg) / 1000 * scale
			if a.mg == 0 {
				want = part(a.share) * of
			}
			near(t, what, entries[at].mass, want, whole)
			at++
		}
		for _, l := range append(p.pot, p.base...) {
			next(l.id, l.amount, oils)
		}
		naoh, koh, rest := p.lye(t)
		all := reckon(entries, naoh, koh)
		dry, poured := 0.0, 0.0 // alkali as weighed, and the water of the lye
		for _, e := range rest {
			switch {
			case e.id == "":
				poured += e.mass
			case p.strength > 0:
				dry += e.mass * part(p.strength)
				poured += e.mass * (1 - part(p.strength))
			default:
				dry += e.mass
			}
		}
		for i := range p.liquids {
			poured += entries[at+i].mass * p.liquids[i].made[0].share
		}
		for _, l := range p.liquids {
			next(l.id, l.amount, poured/l.made[0].share)
		}
		for _, a := range p.add {
			of := oils
			for i, share := range p.portions {
				if a.in == fmt.Sprintf("p%d", i) {
					of *= part(share)
				}
			}
			next(a.id, a.amount, of)
			for _, w := range a.with {
				next(w.id, w.amount, of)
			}
		}
		if len(p.pot) == 0 {
			return
		}
		near(t, "moles of the fats", b.Fats, all.fats, all.fats+all.takes)
		near(t, "moles of the acids", b.Acids, all.takes, all.fats+all.takes)
		near(t, "moles for the fats", b.ForFats, naoh+koh-all.takes, naoh+koh)
		switch weighed := dry; {
		case p.superfat >= 0:
			near(t, "alkali of a superfat", naoh+koh, (1-part(p.superfat))*all.fats+all.takes, naoh+koh)
			near(t, "superfat", b.Superfat(), part(p.superfat), 1)
		case p.lyeMg > 0:
			if p.strength > 0 {
				weighed = dry / part(p.strength)
			}
			near(t, "weight of alkali", weighed, float64(p.lyeMg)/1000*scale, whole)
		default:
			if p.strength > 0 {
				weighed = dry / part(p.strength)
			}
			near(t, "ratio of alkali", weighed, float64(p.ratio[0])/float64(p.ratio[1])*oils, whole)
		}
		if len(p.alkalis) == 2 {
			got := koh / (naoh + koh)
			if p.of == "" || p.of == "weight" {
				got = rest[1].mass / dry
			}
			near(t, "share of potassium hydroxide", got, part(p.alkalis[1].share), 1)
		}
		near(t, "mole fraction of potassium hydroxide", b.Potassium, koh/(naoh+koh), 1)
		want := poured
		switch p.water {
		case "weight":
			want = float64(p.waterMg) / 1000 * scale
		case "strength":
			want = dry * (100 - p.waterFig) / p.waterFig
		case "of_oils":
			want = p.waterFig / 100 * oils
		case "per_lye":
			want = p.waterFig * dry
		case "":
			want = dry * (1 - part(p.strength)) / part(p.strength)
		}
		near(t, "water", poured, want, whole)
	})
}

// The bar holds what an account of its own says: each source closes, and with it
// the whole; what leaves is not in it.
func TestEveryFormulaCloses(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		whole := p.batter.Mass()
		naoh, koh, rest := p.lye(t)
		entries := append(p.entries(t), rest...)
		inLye := naoh + koh
		all := reckon(entries, naoh, koh)
		// The water in damp alkali and the solids in it are in the account already; the
		// hydroxide itself is not, so that all that is missing there is in the soap.
		fresh, made := bars(t, p)
		masses := fresh.Masses()
		near(t, "fresh bar and what leaves", fresh.Total(masses)+all.gone, whole, whole)
		masses = made.Masses()
		near(t, "what went into the pot", made.Total(masses), whole, whole)
		c, err := p.batter.Contents()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "contents and what leaves", c.Total()+all.gone, whole, whole)
		near(t, "soap", c.Soap, all.soap, whole)
		near(t, "water", c.Water, all.water, whole)
		if inLye == 0 {
			near(t, "glycerol of a base", all.glycerol, 0, 1)
		}

		near(t, "water of the fresh bar", waterOf(fresh), all.water, whole)
		masses = fresh.Masses()
		solids := make([]float64, len(p.batter.Sources))
		glycerol, moisture := 0.0, 0.0
		for i, l := range fresh.Lines {
			if masses[i] < -1e-12*whole {
				t.Fatalf("a line of %v g", masses[i])
			}
			switch {
			case !l.Counted() || len(l.Terms) == 0:
			case l.Terms[0].Product == bar.Glycerol:
				glycerol += masses[i]
			case l.Terms[0].Product == bar.Moisture, l.Terms[0].Product == bar.BoughtMoisture:
				moisture += masses[i]
			default:
				solids[l.Terms[0].Source] += masses[i]
			}
		}
		near(t, "glycerol", glycerol, all.glycerol, whole)
		near(t, "moisture", moisture, all.water, whole)
		for i, e := range entries {
			near(t, "solids of "+e.id, solids[e.source], all.solids[i], whole)
		}
		p.cured(t, all)
	})
}

func bars(t *rapid.T, p poured) (fresh, made *bar.Bar) {
	t.Helper()
	fresh, err := p.batter.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	if made, err = p.batter.Made(); err != nil {
		t.Fatal(err)
	}
	return fresh, made
}

// cured compares the water after the cure: a share of the bar, but never more than
// there was; all of it is left in what was only melted.
func (p poured) cured(t *rapid.T, all account) {
	t.Helper()
	left := bar.WaterLeft{Low: 3 * measure.Percent, Nominal: 8 * measure.Percent, High: 15 * measure.Percent}
	cured, err := p.batter.Cured(left)
	if err != nil {
		t.Fatal(err)
	}
	share := func(of float64) float64 { return min(all.water, all.dry()*of/(1-of)) }
	low, nominal, high := share(0.03), share(0.08), share(0.15)
	if p.batter.Melted {
		nominal, high = all.water, all.water
	}
	whole := p.batter.Mass()
	near(t, "usual water", waterOf(cured), nominal, whole)
	near(t, "usual bar", cured.Total(cured.Masses()), all.dry()+nominal, whole)
	// The bar that is reckoned is one of those that are allowed. What its fats and crumbs
	// may be otherwise moves the weight a little, by the water that acids set free.
	weight, room := cured.Weight(), 0.05
	for _, s := range p.batter.Sources {
		if s.Allowed != nil { // so do own bars, by the water in them
			room = 0.5
		}
	}
	for _, bound := range []struct{ got, want float64 }{{weight.Low, all.dry() + low}, {-weight.High, -(all.dry() + high)}} {
		if bound.got > bound.want+1e-9*whole || bound.got < bound.want-room*whole {
			t.Fatalf("the bar weighs %v g, want %v to %v", weight, all.dry()+low, all.dry()+high)
		}
	}
}

// waterOf gives the water left where one figure is shown.
func waterOf(b *bar.Bar) float64 {
	at, _ := b.Shown()
	return at.Water
}

// Atoms of sodium and potassium go in as they come out, and each hydroxide is bound by a
// soap or by a salt. The moles are those of the lines, by what a mole of each soap and
// salt weighs; of what is declared as bought, those of the account that its mass agrees
// with.
func TestMetalsAndHydroxideBalance(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		naoh, koh, rest := p.lye(t)
		entries := p.entries(t)
		all := reckon(append(entries, rest...), naoh, koh)
		bySource := map[int]entry{}
		brought := map[int]float64{} // mol of sodium that salts had from the start
		for _, e := range entries {
			bySource[e.source] = e
		}
		fresh, _ := bars(t, p)
		masses := fresh.Masses()
		na, k, bound := all.naOut, all.kOut, all.naOut+all.kOut
		for i, l := range fresh.Lines {
			if !l.Counted() || len(l.Terms) == 0 || l.Terms[0].Product >= bar.Moisture || l.Terms[0].Product == bar.Glycerol {
				continue
			}
			at := l.Terms[0]
			e, ok := bySource[at.Source]
			if !ok || e.moist {
				continue
			}
			metal, isSodium := sodium, at.Product == bar.SodiumSoap
			switch at.Product {
			case bar.PotassiumSoap:
				metal = potassium
			case bar.SodiumSoap:
			case bar.Kept:
				na += masses[i] * e.made[0].na
				k += masses[i] * e.made[0].k
				continue
			default:
				continue
			}
			moles := 0.0
			switch c := e.made[at.Part]; c.kind {
			case "fat":
				moles = masses[i] / (c.mean - hydrogen + metal)
			case "acid":
				salts := masses[i] / (c.molar - c.crystal*waterMass + c.takes*(metal-hydrogen))
				moles = salts * c.takes
				na += salts * c.na * c.molar
				brought[at.Source] += salts * c.na * c.molar
			}
			bound += moles
			if isSodium {
				na += moles
			} else {
				k += moles
			}
		}
		near(t, "sodium", na, all.naIn, all.naIn+all.kIn)
		near(t, "potassium", k, all.kIn, all.naIn+all.kIn)
		near(t, "hydroxide", bound, naoh+koh, naoh+koh)
		for source, moles := range brought {
			e := bySource[source]
			near(t, "sodium of "+e.id, moles, e.mass*e.made[0].na, all.naIn+all.kIn)
		}
	})
}

// onTop reports whether a source is not in the mould.
func onTop(s bar.Source) bool { return s.Work.When == bar.OnTop }

// A size is reached: the oils, the batter without what is on top, or what the mould
// holds when it is filled. Portions are the batter before anything is added.
func TestSizeIsReached(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		b, want := p.batter, float64(p.made)/1000
		batter, before := 0.0, 0.0
		for _, s := range b.Sources {
			if !onTop(s) {
				batter += s.Mass
			}
		}
		switch p.size {
		case "oils", "pan":
			near(t, "oils", b.Oils, want, want)
		case "batter", "tin":
			near(t, "batter", batter, want, want)
		case "tray":
			near(t, "ml in the mould", b.Volume, fill*want, want)
		}
		if len(p.portions) != len(b.Portions) {
			t.Fatalf("%d portions, want %d", len(b.Portions), len(p.portions))
		}
		_, _, rest := p.lye(t)
		for _, e := range append(p.entries(t)[:len(p.pot)+len(p.base)+len(p.liquids)], rest...) {
			before += e.mass
		}
		for _, s := range b.Sources {
			if strings.HasPrefix(s.Ref, "add") && s.Work.Portion == "" && s.Work.When != bar.After && s.Work.When != bar.OnTop {
				before += s.Mass
			}
		}
		for i, q := range b.Portions {
			near(t, q.Name, q.Mass, part(p.portions[i])*before, before)
		}
	})
}

// Densities are those of the package, from memory: 0.92 g/ml for oil, 2.16 for salt, 2.6
// for clay, and 0.2 ml that a gram of alkali adds to its water.
func TestVolumeByHand(t *testing.T) {
	f := read(t, "name: Test\nidentity: soap\nsize: {mould: tray}\npot: [{material: olive-oil, share: 100%}]\n"+
		"lye: {alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {per_lye: 2}}\n"+
		"add: [{material: salt, share: 10%}, {material: kaolin, share: 2%}, {material: oat-flour, share: 50%, at: top}]\n")
	b, findings := bar.Pour(f, recipe{made: 1_000_000}.library(t))
	if b == nil {
		t.Fatal(rules(findings))
	}
	o, a := b.Oils, b.Alkalis[0].Weigh
	if got := o/0.92 + 2*a + 0.2*a + 0.1*o/2.16 + 0.02*o/2.6; math.Abs(got-950) > 1e-6 {
		t.Errorf("the batter takes up %.9f ml, want 950", got)
	}
}

// The strength is that of the lye jug alone, and more than half sodium hydroxide stops.
func TestStrengthIsOfTheJug(t *testing.T) {
	pouredOften(t, func(t *rapid.T, p poured) {
		if len(p.pot) == 0 {
			return
		}
		_, findings := bar.Pour(p.formula(t), p.library(t))
		p.judgeJug(t, findings)
	})
}

// judgeJug compares the strength and what is said of it with what is in the jug.
func (p poured) judgeJug(t *rapid.T, findings []finding.Finding) {
	t.Helper()
	naoh, koh, _ := p.lye(t)
	jug, _ := p.mass(t, "lye.water")
	if p.strength > 0 {
		bottle, _ := p.mass(t, "lye "+p.alkalis[0].name)
		jug += bottle * (1 - part(p.strength))
	}
	pour := func(x thing, ref string) {
		grams, _ := p.mass(t, ref)
		for _, c := range x.made {
			if c.kind == "water" {
				jug += grams * c.share
			}
		}
	}
	for i, l := range p.liquids {
		if l.into == "" || l.into == "lye" {
			pour(l.thing, fmt.Sprintf("lye.liquids[%d] %s", i, l.id))
		}
	}
	for i, a := range p.add {
		if a.at != "lye" {
			continue
		}
		pour(a.thing, fmt.Sprintf("add[%d] %s", i, a.id))
		for j, w := range a.with {
			pour(w.thing, fmt.Sprintf("add[%d].with[%d] %s", i, j, w.id))
		}
	}
	soda := naoh * naohMass
	hydroxide := soda + koh*kohMass
	near(t, "strength", p.batter.Strength, hydroxide/(hydroxide+jug), 1)
	stopped := false
	for _, f := range findings {
		stopped = stopped || f.Rule == bar.RuleStrength && f.Level == finding.Stop
	}
	if share := soda / (soda + jug); math.Abs(share-0.5) > 1e-8 && stopped != (share > 0.5) {
		t.Fatalf("%.9f of the jug is sodium hydroxide, and stopped is %t", share, stopped)
	}
}

// A hair above half of sodium hydroxide stops, half does not, and of potassium
// hydroxide nothing is known surely enough to stop.
func TestStrengthGuard(t *testing.T) {
	for _, tt := range []struct {
		lye  string
		want finding.Level
	}{
		{"{alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 50%}}", finding.Warn},
		{"{alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 50.00001%}}", finding.Stop},
		{"{alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 44%}}", finding.Note},
		{"{alkali: potassium hydroxide, purity: 100%, superfat: 5%, water: {strength: 60%}}", finding.Warn},
		{"{alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}, liquids: [{material: aloe-juice, share: 51%, into: trace}]}", finding.Stop},
		{"{alkali: sodium hydroxide, purity: 100%, superfat: 5%, water: {strength: 33%}, liquids: [{material: aloe-juice, share: 51%, into: lye}]}", finding.Note},
	} {
		_, findings := pour(t, "name: Test\nidentity: soap\npot: [{material: olive-oil, weight: 1 kg}]\nlye: "+tt.lye+"\n")
		worst := finding.Note
		for _, f := range findings {
			if f.Rule == bar.RuleStrength {
				worst = max(worst, f.Level)
			}
		}
		if worst != tt.want {
			t.Errorf("%s: got %v, want %v", tt.lye, worst, tt.want)
		}
	}
}
