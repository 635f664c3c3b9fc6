package formula

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"saponym/inci"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// sapUnits are the units in which a saponification value is stated, with what a
// figure in each is in mg KOH/g. A gram of fat takes up as many molecules of the one
// alkali as of the other, so the figures are to each other as their molar masses.
var sapUnits = []struct {
	name   string
	factor float64
}{
	{"mg KOH/g", 1},
	{"g NaOH/g", 1000 * inci.MolarMassKOH / inci.MolarMassNaOH},
	{"g KOH/g", 1000},
	{"mg NaOH/g", inci.MolarMassKOH / inci.MolarMassNaOH},
}

// The saponification values, in mg KOH/g, that a fat, a wax or a fatty acid can
// have: candelilla wax takes up 43 at least, fats of the acids with eight and ten
// carbon atoms 360 at most (JECFA and Ph. Eur., see the data of package inci); above
// are fats of still shorter acids, which no soap is made of. A figure ten times out of
// these bounds is that of nothing that saponifies: the shortest acid of all, formic
// acid, takes up 1219 by its molar mass.
const (
	leastSAP = 40
	mostSAP  = 360
)

// Ordinary fats and oils lie within usualSAP, from meadowfoam oil to coconut oil. No
// fat lies within emptySAP: between the heaviest of the waxes, 120, and rosin, 150,
// there is no built-in one, and none between lauric acid, 280, and the fats of caprylic
// and capric acid, 310; see the data of package inci. Such a figure is most likely one
// of the other alkali.
var (
	usualSAP = measure.Range{Low: 163, High: 265}
	emptySAP = []measure.Range{{Low: 121, High: 149}, {Low: 281, High: 309}}
)

func within(v, bounds measure.Range) bool { return bounds.Low <= v.Low && v.High <= bounds.High }

func isEmptySAP(v measure.Range) bool {
	return slices.ContainsFunc(emptySAP, func(bounds measure.Range) bool { return within(v, bounds) })
}

func (r materialReader) sap(m *source.Map) *SAP {
	var names []string
	for _, unit := range sapUnits {
		names = append(names, unit.name)
	}
	text := m.Text("sap")
	if stated, ok := withoutUnit(text.V, names); ok {
		remedy := `write the unit that the supplier's document names, as in "190 mg KOH/g" or "0.1355 g NaOH/g"`
		if meant := likelySAP("", stated); len(meant) > 0 {
			remedy = fmt.Sprintf("look for the unit in the supplier's document: did you mean %s?", strings.Join(meant, ", or "))
		}
		r.report.stop(source.RuleAmount, text.At, fmt.Sprintf("%q is no saponification value: it needs a unit that names the alkali", text.V), remedy)
		return nil
	}
	v := m.Figure("sap", names...)
	if !v.Given() {
		return nil
	}
	sap := SAP{Stated: v.V.Unit}
	sap.At = v.At
	for _, unit := range sapUnits {
		if unit.name == v.V.Unit {
			sap.V = measure.Range{Low: v.V.Low * unit.factor, High: v.V.High * unit.factor}
		}
	}
	r.checkSAP(sap, measure.Range{Low: v.V.Low, High: v.V.High})
	return &sap
}

// withoutUnit gives the figure of a saponification value that has no unit, or none of
// those that are known. It is false for one that has, and for what is no figure.
func withoutUnit(text string, units []string) (measure.Range, bool) {
	if _, err := measure.ParseFigure(text, units...); err == nil {
		return measure.Range{}, false
	}
	number := text
	if at := strings.IndexFunc(text, unicode.IsLetter); at >= 0 {
		number = text[:at]
	}
	v, err := measure.ParseFigure(number+units[0], units...)
	return measure.Range{Low: v.Low, High: v.High}, err == nil
}

// checkSAP reports a figure that stands in the wrong unit, as far as the figure alone
// tells: one that is out by a thousand times always, one of the other alkali where no
// fat has such a figure. Whether it is that of the very fat is for others to judge.
func (r materialReader) checkSAP(sap SAP, stated measure.Range) {
	meant := likelySAP(sap.Stated, stated)
	message := fmt.Sprintf("the saponification value is %s mg KOH/g", span(sap.V))
	remedy := "compare the figure and its unit with the supplier's document"
	if len(meant) > 0 {
		remedy = fmt.Sprintf("%s: did you mean %s?", remedy, strings.Join(meant, ", or "))
	}
	switch {
	case sap.V.High*10 < leastSAP || sap.V.Low > 10*mostSAP:
		r.report.stop(RuleSAP, sap.At, message+"; nothing that saponifies has such a figure", remedy)
	case !within(sap.V, measure.Range{Low: leastSAP, High: mostSAP}):
		r.report.warn(RuleSAP, sap.At, fmt.Sprintf("%s; fats have %d to %d", message, leastSAP, mostSAP), remedy)
	case len(meant) > 0 && isEmptySAP(sap.V):
		r.report.warn(RuleSAP, sap.At, message+", which is that of no usual fat or wax", remedy)
	}
}

// likelySAP gives the figure in the other units in which it would be that of a usual
// fat, in words, and if there is none, in those in which it could be that of any. A
// figure without a unit has the unit "".
func likelySAP(unit string, stated measure.Range) []string {
	for _, bounds := range []measure.Range{usualSAP, {Low: leastSAP, High: mostSAP}} {
		var meant []string
		for _, other := range sapUnits {
			v := measure.Range{Low: stated.Low * other.factor, High: stated.High * other.factor}
			switch {
			case other.name == unit || !within(v, bounds):
			case other.factor == 1:
				meant = append(meant, asTyped(stated)+" "+other.name)
			default:
				meant = append(meant, fmt.Sprintf("%s %s (%s mg KOH/g)", asTyped(stated), other.name, span(v)))
			}
		}
		if len(meant) > 0 {
			return meant
		}
	}
	return nil
}

// span writes a computed range for a message, with four digits that count.
func span(r measure.Range) string {
	digits := func(v float64) string {
		places := 3 - int(math.Floor(math.Log10(max(v, 1e-6))))
		return strconv.FormatFloat(v, 'f', max(0, places), 64)
	}
	return between(r, digits)
}

// asTyped writes a range that was typed.
func asTyped(r measure.Range) string {
	return between(r, func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) })
}

func between(r measure.Range, digits func(float64) string) string {
	if r.IsPoint() {
		return digits(r.Low)
	}
	return digits(r.Low) + "-" + digits(r.High)
}
