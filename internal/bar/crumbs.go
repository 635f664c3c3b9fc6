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
	s := Source{Ref: ref, At: use.At, Work: work, Material: &m}
	all, mix, ok := p.list(m, use, formula.MostNested)
	if !ok {
		return
	}
	if slices.ContainsFunc(all, func(c listed) bool { return isAlkali(c.INCI.V) }) {
		p.potStyle(s, use, m, it, all, mix)
		return
	}
	for _, c := range all {
		part, ok := p.crumb(c.in, c.Constituent, use)
		if !ok {
			return
		}
		s.Parts = append(s.Parts, part)
	}
	if !p.holdsSoap(m, s.Parts, use) {
		return
	}
	s.Shares = mix
	p.scented(&it, s, m)
	p.take(it, s, use)
}

// holdsSoap stops finished soap in whose list there are oils, and neither soap nor the
// alkali that made it: it would be counted as raw oil. A base may be of other things that
// wash.
func (p *pourer) holdsSoap(m formula.Material, parts []Part, use formula.Text) bool {
	oils := slices.ContainsFunc(parts, func(part Part) bool { return part.Role == LeftOver })
	soap := slices.ContainsFunc(parts, func(part Part) bool { return part.Role == Salt })
	if soap || !oils {
		return true
	}
	level, then := finding.Stop, "what came of the oils is not known"
	if m.Kind == formula.KindBase {
		level, then = finding.Warn, "they are taken as oil that is in it as such"
	}
	p.report(level, RuleCrumbs, use.At, fmt.Sprintf("the list of %q names oils, and neither soap nor the alkali that made it: %s", m.ID, then), "ask the supplier for the list of the finished soap, or of all that went into the pot, with its alkali")
	p.stopped = p.stopped || level == finding.Stop
	return level != finding.Stop
}

// scented counts the scent in finished soap.
func (p *pourer) scented(it *item, s Source, m formula.Material) {
	scent := make([]float64, len(s.Parts))
	for j, part := range s.Parts {
		if part.Role == Perfume || part.Role == EssentialOil {
			scent[j] = 1
		}
	}
	if share := s.span(scent); share.High > 0 {
		in := p.scent(share, s, m)
		in.maxUse = nil // a certificate is of a fragrance, and not of soap that has one in it
		it.scents = append(it.scents, in)
	}
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
	hits, ok := p.substances(m, c, use)
	switch {
	case !ok:
		return Part{}, false
	case len(hits) == 0:
		return p.unlisted(m, c.INCI.V, placeOf(m, c, use), false)
	}
	part := Part{Names: namesOf(hits[0])}
	switch group := hits[0].Group; {
	case isFat(hits[0].ID):
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

// ownCrumbs makes an item of own bars: what is in them is known from their batch.
func (p *pourer) ownCrumbs(ref string, code formula.Text, it item, work Work) {
	batch, ok := p.library.Batch(code.V)
	how, known := p.library.Making(batch, nil)
	if !ok || !known {
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
	made, ok := p.made[code.V]
	if !ok {
		made.batter, made.findings = pourMade(how, append(slices.Clone(p.into), code.V), p.made)
		made.record = how.Findings
		p.made[code.V] = made
	}
	work.Name = "own bars of " + code.V
	p.finished(Source{Ref: ref, At: code.At, Work: work}, code, it, made, fmt.Sprintf("the batch %q", code.V))
}

// A making is a batter that was poured for its bars to go into others.
type making struct {
	batter   *Batter
	findings []finding.Finding
	record   []finding.Finding // on the record of the batch, which nothing else is told by
}

// finished makes an item of soap whose making is known. How much water is left in it
// nobody has said, so it is a range. Of what was found on the way only the stops are
// passed on: all else is told of the soap itself.
func (p *pourer) finished(s Source, use formula.Text, it item, made making, what string) {
	p.findings = append(p.findings, made.record...)
	for _, f := range made.findings {
		if f.Level < finding.Stop {
			continue
		}
		p.report(finding.Stop, RuleCrumbs, use.At, fmt.Sprintf("%s is not fit to go into another soap: %s", what, f.Message), "put that right first: "+f.Remedy)
	}
	if made.batter == nil {
		p.stopped = true // a finding says why
		return
	}
	cured, err := made.batter.Cured(Unweighed)
	if err != nil {
		if !errors.Is(err, ErrLyeHeavy) {
			p.stop(RuleCrumbs, use.At, fmt.Sprintf("what is in %s cannot be worked out: %v", what, err), "compare its weights with what was poured")
		}
		p.stopped = true // a finding says that it is lye-heavy
		return
	}
	weight := cured.Weight()
	share := func(mass measure.Range) measure.Range {
		return measure.Range{Low: mass.Low / weight.High, High: mass.High / weight.Low}
	}
	for _, scent := range made.batter.Scents {
		in := scentIn{share: share(scent.Mass), material: scent.Material, statement: scent.Statement, maxUse: scent.MaxUse, published: scent.Published, stated: scent.Stated}
		for _, oil := range scent.Oils {
			in.oils = append(in.oils, oilIn{oil.ID, share(oil.Mass)})
		}
		it.scents = append(it.scents, in)
	}
	water := cured.WaterShare()
	p.report(finding.Note, RuleCrumbs, use.At, fmt.Sprintf("how much water is left in %s is not known: it is taken as %.3g to %.3g %%, and %.3g %% where one figure is shown", what, 100*water.Low, 100*water.High, 100*water.Nominal), "")
	cured.asParts(&s)
	p.take(it, s, use)
}

// asParts writes what the bar is made of into a source: its parts, water last, the shares
// that each can have alone of all that is dry, and the bars that are surely allowed.
func (b *Bar) asParts(s *Source) {
	var lines [][]float64 // weights of the lines that are in each part
	dry := b.counted()
	water := make([]float64, len(b.Lines))
	for i, line := range b.Lines {
		if line.isWater() {
			dry[i], water[i] = 0, 1
			continue
		}
		if !line.Counted() || b.shown.masses[i] <= b.Tie() && !b.possible(i) {
			continue
		}
		part := Part{Names: line.Names, Role: line.Role}
		if line.Role == Remains && !line.unsaponified() {
			part.Role = Substance // under the name of what was bought
		}
		j := slices.Index(s.Parts, part)
		if j < 0 {
			j = len(s.Parts)
			s.Parts, lines = append(s.Parts, part), append(lines, make([]float64, len(b.Lines)))
		}
		lines[j][i] = 1
	}
	box := blend.Free(len(s.Parts))
	for j, weights := range lines {
		r := b.Ratio(weights, dry)
		box.Low[j], box.High[j] = max(0, r.Low), min(1, r.High)
	}
	moist := b.WaterShare()
	s.Parts, lines = append(s.Parts, Part{Names: builtinNames("water"), Role: Water}), append(lines, water)
	for _, c := range b.seen {
		shares, total := make([]float64, len(s.Parts)), 0.0
		for j, weights := range lines {
			shares[j] = dot(weights, c.masses)
			total += shares[j]
		}
		for j := range shares {
			shares[j] /= total
		}
		s.Allowed = append(s.Allowed, shares)
		for j := range box.Low { // but for rounding they are in it
			share := shares[j] / (1 - shares[len(shares)-1])
			box.Low[j], box.High[j] = min(box.Low[j], share), max(box.High[j], share)
		}
		moist.Low, moist.High = min(moist.Low, shares[len(shares)-1]), max(moist.High, shares[len(shares)-1])
	}
	s.Shares = blend.Mix{
		Union: blend.Union{{Low: []float64{1 - moist.High, moist.Low}, High: []float64{1 - moist.Low, moist.High}, Down: []bool{false}}},
		Of:    []*blend.Mix{{Union: blend.Union{box}}, nil},
	}
}

// possible reports whether there can be any of a line.
func (b *Bar) possible(line int) bool {
	weights := make([]float64, len(b.Lines))
	weights[line] = -1
	return b.Least(Question{Weights: weights}).Low < -b.Tie()
}
