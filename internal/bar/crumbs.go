package bar

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/blend"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
)

// crumbs makes an item of finished soap: crumbs, or a base that is melted. It is not
// saponified again; what it is made of joins the bar. The oil that is left over in it
// is not counted on to take up lye.
func (p *pourer) crumbs(ref string, use formula.Text, m formula.Material, it item, work Work) {
	if len(m.Contains) == 0 {
		p.stop(RuleCrumbs, use.At, fmt.Sprintf("what is in the finished soap %q is not known", m.ID), fmt.Sprintf("write contains: with the supplier's list in materials/%s.yaml", m.ID))
		return
	}
	work.Name = commonName(m)
	s := Source{Ref: ref, At: use.At, Work: work, Shares: shares(m)}
	if alkalis(m) > 0 {
		p.potStyle(s, use, m, it)
		return
	}
	for _, c := range m.Contains {
		part, ok := p.crumb(m, c, use)
		if !ok {
			return
		}
		s.Parts = append(s.Parts, part)
	}
	middle, err := s.Shares.Middle()
	if err != nil {
		p.stop(RuleBlend, use.At, fmt.Sprintf("the statement on %q contradicts itself: %v", m.ID, err), "compare the shares with the supplier's list")
		return
	}
	p.set(s, m, use)
	scent := 0.0
	for j, part := range s.Parts {
		if part.Role == Perfume || part.Role == EssentialOil {
			scent += middle[j]
		}
	}
	if scent > 0 {
		p.batter.Scents = append(p.batter.Scents, Scent{Source: len(p.items), Mass: scent, Material: m.ID, Statement: m.Allergens})
	}
	it.source, it.middle = s, middle
	p.items = append(p.items, it)
}

// alkalis counts the alkalis in a supplier's list: such a list says what went into
// the pot, and not what came of it.
func alkalis(m formula.Material) int {
	count := 0
	for _, c := range m.Contains {
		if isAlkali(c) {
			count++
		}
	}
	return count
}

func isAlkali(c formula.Constituent) bool {
	return slices.ContainsFunc(inci.ByINCI(c.INCI.V), func(s inci.Substance) bool {
		return s.ID == "sodium-hydroxide" || s.ID == "potassium-hydroxide"
	})
}

// soapOf finds the soap that a name stands for.
func soapOf(name string) (Names, bool) {
	if fats, metal := inci.FatsBySalt(name); len(fats) > 0 {
		return soapNames(fats[0].Salt(metal)), true
	}
	if acids, metal := inci.AcidsBySalt(name); len(acids) > 0 {
		return soapNames(acids[0].Salt(metal)), true
	}
	return Names{}, false
}

// crumb gives one constituent of finished soap, as it is in there.
func (p *pourer) crumb(m formula.Material, c formula.Constituent, use formula.Text) (Part, bool) {
	if names, ok := soapOf(c.INCI.V); ok {
		return Part{Names: names, Role: Salt}, true
	}
	hits := meant(m.ID, c.INCI.V)
	at := placeOf(m, c, use)
	if len(hits) == 0 {
		return p.unlisted(m, c.INCI.V, at, false)
	}
	part := Part{Names: namesOf(hits[0])}
	_, isFat := inci.FatByID(hits[0].ID)
	switch group := hits[0].Group; {
	case isFat:
		part.Role = LeftOver
	case hits[0].ID == "water":
		part.Role = Water
	case hits[0].ID == "glycerin":
		part.Role = Glycerin
	case group == inci.GroupFragrance:
		part.Role = Perfume
	case group == inci.GroupEssentialOil:
		part.Role = EssentialOil
	case group == inci.GroupColourant:
		part.Role = Colourant
	}
	return part, true
}

// potStyle makes an item of finished soap that is listed as it was put in the pot, with
// its alkali: the list is poured as a bar of its own.
func (p *pourer) potStyle(s Source, use formula.Text, m formula.Material, it item) {
	if _, exact := s.Shares.Point(); !exact {
		p.stop(RuleUnproved, use.At, fmt.Sprintf("%q is listed with its alkali, and not all of its percentages are known: what came of it cannot be reckoned", m.ID), "ask the supplier for the percentages, or for a list of the finished soap")
		return
	}
	inner := formula.Formula{ID: m.ID, Name: formula.Text{V: m.ID, At: use.At}}
	inner.Lye.At = use.At
	weight := func(c formula.Constituent) formula.Mass {
		return formula.Mass{V: measure.Mass(c.Share.V.Low), At: c.INCI.At} // nanograms in a gram
	}
	materials := map[string]formula.Material{}
	name := func(i int, c formula.Constituent, kind formula.Kind) formula.Text {
		id := fmt.Sprintf("constituent-%d", i+1)
		materials[id] = formula.Material{ID: id, Kind: kind, INCI: c.INCI, File: m.File}
		return formula.Text{V: id, At: placeOf(m, c, use)}
	}
	for i, c := range m.Contains {
		hits := inci.ByINCI(c.INCI.V)
		_, isSoap := soapOf(c.INCI.V)
		switch {
		case isSoap:
			p.stop(RuleCrumbs, placeOf(m, c, use), fmt.Sprintf("%q is listed with its alkali and with soap too", m.ID), "compare the list with the supplier's: it is of what went into the pot, or of what came of it")
			return
		case isAlkali(c):
			purity := formula.Share{V: measure.Whole, At: c.INCI.At}
			inner.Lye.Alkalis = append(inner.Lye.Alkalis, formula.Alkali{Name: formula.Text{V: strings.ReplaceAll(hits[0].ID, "-", " "), At: c.INCI.At}, Purity: purity, Share: formula.Share{V: c.Share.V.Low, At: c.INCI.At}})
			inner.Lye.Weight.V += weight(c).V
			inner.Lye.Weight.At = c.INCI.At
		case len(hits) > 0 && hits[0].ID == "water":
			inner.Lye.Water.Weight = weight(c)
		case len(hits) > 0 && isFat(hits[0].ID):
			inner.Pot = append(inner.Pot, formula.Ingredient{Material: name(i, c, formula.KindOil), Amount: formula.Amount{Weight: weight(c)}})
		default:
			inner.Add = append(inner.Add, formula.Addition{Material: name(i, c, kindIn(hits)), Amount: formula.Amount{Weight: weight(c)}})
		}
	}
	var own []formula.Material
	for _, material := range materials {
		own = append(own, material)
	}
	batter, findings := Pour(inner, formula.NewLibrary(own))
	p.finished(s, use, it, batter, findings, fmt.Sprintf("what went into %q", m.ID))
}

func isFat(id string) bool {
	_, ok := inci.FatByID(id)
	return ok
}

// kindIn gives the kind of a thing in a list of finished soap.
func kindIn(hits []inci.Substance) formula.Kind {
	if len(hits) == 0 {
		return formula.KindAdditive
	}
	switch hits[0].Group {
	case inci.GroupFragrance:
		return formula.KindFragrance
	case inci.GroupEssentialOil:
		return formula.KindEssentialOil
	case inci.GroupColourant:
		return formula.KindColourant
	}
	return formula.KindAdditive
}

// ownCrumbs makes an item of own bars: what is in them is known from their batch.
func (p *pourer) ownCrumbs(ref string, code formula.Text, it item, work Work) {
	batch, f, ok := p.library.Batch(code.V)
	if !ok {
		remedy := "write the code of a batch in batches, whose formula is in the shop"
		if near := p.library.NearestBatch(code.V); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		p.stop(RuleUnknownMaterial, code.At, fmt.Sprintf("there is no batch %q whose formula is known", code.V), remedy)
		return
	}
	if slices.Contains(p.into, code.V) {
		p.stop(RuleCrumbs, code.At, fmt.Sprintf("the batch %q would be crumbs in itself, by way of %s", code.V, strings.Join(append(p.into, code.V), ", ")), "name an older batch, or give the older batch a formula of its own, without crumbs")
		return
	}
	inner, findings := pour(formula.AsWeighed(f, batch), p.library, append(slices.Clone(p.into), code.V))
	work.Name = "own bars of " + code.V
	p.finished(Source{Ref: ref, At: code.At, Work: work}, code, it, inner, findings, fmt.Sprintf("the batch %q", code.V))
}

// finished makes an item of soap whose making is known. How much water is left in it
// nobody has said, and one figure is taken.
func (p *pourer) finished(s Source, use formula.Text, it item, made *Batter, findings []finding.Finding, what string) {
	for _, f := range findings {
		if f.Level == finding.Stop {
			p.report(finding.Stop, RuleCrumbs, use.At, fmt.Sprintf("%s cannot be worked out: %s", what, f.Message), "put that right first: "+f.Remedy)
			p.stopped = p.stopped || made == nil
		}
	}
	if made == nil {
		return
	}
	cured, err := made.Cured(Unweighed)
	if err != nil {
		if !errors.Is(err, ErrLyeHeavy) {
			p.stop(RuleCrumbs, use.At, fmt.Sprintf("%s cannot be worked out: %v", what, err), "compare its weights with what was poured")
		}
		p.stopped = true // a finding says that it is lye-heavy
		return
	}
	parts, shares := cured.parts()
	low, nominal, high := cured.WaterShare()
	total := cured.Total(cured.Masses())
	for _, scent := range made.Scents {
		scent.Source, scent.Mass = len(p.items), scent.Mass/total
		p.batter.Scents = append(p.batter.Scents, scent)
	}
	p.report(finding.Note, RuleCrumbs, use.At, fmt.Sprintf("how much water is left in %s is not known: it is taken as %.3g to %.3g %%, and %.3g %% where one figure is shown", what, 100*low, 100*high, 100*nominal), "")
	s.Parts, s.Shares = parts, blend.Exactly(shares...)
	s.Ends = [][]float64{damp(parts, shares, low), damp(parts, shares, high)}
	it.source, it.middle = s, shares
	p.items = append(p.items, it)
}

// parts gives what the bar is made of where one figure is shown, as parts with their
// shares.
func (b *Bar) parts() (parts []Part, shares []float64) {
	masses := b.Masses()
	total := b.Total(masses)
	for i, line := range b.Lines {
		if !line.Counted() || masses[i] <= b.Tie() {
			continue
		}
		part := Part{Names: line.Names, Role: line.Role}
		switch {
		case line.isWater():
			part = Part{Names: builtinNames("water"), Role: Water}
		case line.Role == Remains && !line.unsaponified():
			part.Role = Substance // under the name of what was bought
		}
		parts, shares = append(parts, part), append(shares, masses[i]/total)
	}
	return parts, shares
}

// damp gives the shares of the same thing with another share of water.
func damp(parts []Part, shares []float64, water float64) []float64 {
	wet := 0.0
	for j, part := range parts {
		if part.Role == Water {
			wet += shares[j]
		}
	}
	if wet == 0 {
		return shares
	}
	damped := make([]float64, len(shares))
	for j, part := range parts {
		damped[j] = shares[j] * (1 - water) / (1 - wet)
		if part.Role == Water {
			damped[j] = shares[j] * water / wet
		}
	}
	return damped
}
