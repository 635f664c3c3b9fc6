package formula

import (
	"fmt"
	"strings"

	"saponym/inci"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// ReadMaterial reads what a supplier states of a material; see [ReadFormula].
// What the document leaves out and the built-in substance of the same id has is
// added by a [Library], except for the kind, which is filled in here.
func ReadMaterial(file string, data []byte) (Material, []Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Material{}, nil, err
	}
	r := materialReader{report: doc.Report}
	m := r.material(file, doc.Root())
	return m, doc.Findings(), nil
}

type materialReader struct{ report reporter }

// kinds are those that a document may give.
var kinds = []string{
	string(KindOil), string(KindOilBlend), string(KindSoap), string(KindBase), string(KindFragrance), string(KindEssentialOil),
	string(KindColourant), string(KindLiquid), string(KindAdditive), string(KindLyeSolution),
}

func (r materialReader) material(file string, m *source.Map) Material {
	id := fileID(file, r.report)
	mat := Material{
		ID: id, File: file,
		Name: m.Text("name"), Kind: Kind(m.Enum("kind", kinds...).V),
		INCI: m.Text("inci"), Contains: r.contains(m),
		SAP: r.sap(m), FattyAcids: r.fattyAcids(m.Map("fatty_acids")),
		AcidValue:      figure(m, "acid_value", "mg KOH/g"),
		Unsaponifiable: r.shareOfWhole(m, "unsaponifiable"),
		Strength:       m.Share("strength"),
		Allergens:      r.allergens(m.Map("allergens")),
		Vanillin:       m.Share("vanillin"),
		MaxUse:         r.maxUse(m.Map("max_use")),
		Statement:      statement(m.Map("statement")),
	}
	order := m.Enum("order", string(Descending), string(Legal), string(Unknown))
	builtin, isBuiltin := Builtin(id)
	if mat.Kind == "" {
		mat.Kind = builtin.Kind
	}
	mat.Order = Order(order.V)
	if mat.Order == "" {
		mat.Order = Unknown
		if mat.Kind == KindSoap || mat.Kind == KindBase {
			mat.Order = Legal
		}
	}
	atMostOne(m, "the material", r.report, "inci", "contains")
	if found, _ := present(m, "inci", "contains"); len(found) == 0 && !isBuiltin && mat.Kind != KindFragrance {
		r.report.stop(RuleOneOf, m.At(), "the material does not say what is in it", `add "inci:" for a single substance, or "contains:" with the supplier's list`)
	}
	if order.Given() && len(mat.Contains) == 0 {
		r.report.stop(RuleContains, order.At, "there is no list that could have an order", `add "contains:", or take "order" out`)
	}
	r.checkContains(mat)
	r.checkStrength(m, mat)
	atMostWhole(mat.Vanillin, "the vanillin", r.report)
	return mat
}

func (r materialReader) contains(m *source.Map) []Constituent {
	var all []Constituent
	for _, line := range m.Maps("contains") {
		c := Constituent{INCI: line.Text("inci"), Share: r.shareOfWhole(line, "share")}
		required(c.INCI, line, "inci", "the name on the supplier's list", r.report)
		all = append(all, c)
	}
	return all
}

// shareOfWhole reads a range of shares of a whole.
func (r materialReader) shareOfWhole(m *source.Map, key string) source.Value[measure.ShareRange] {
	v := m.ShareRange(key)
	if v.V.High > measure.Whole {
		r.report.stop(RuleOver, v.At, fmt.Sprintf("%q is more than 100 %%", key), "write a share of at most 100 %")
	}
	return v
}

// checkContains reports a list whose shares cannot be those of one thing.
func (r materialReader) checkContains(mat Material) {
	if len(mat.Contains) == 0 {
		return
	}
	var low, high measure.Share
	all := true
	for _, c := range mat.Contains {
		if c.Share.V.High > measure.Whole {
			return // a finding already
		}
		low += c.Share.V.Low
		high += c.Share.V.High
		all = all && c.Share.Given()
	}
	last := mat.Contains[len(mat.Contains)-1]
	at := last.INCI.At
	if last.Share.Given() {
		at = last.Share.At
	}
	switch {
	case at.Line == 0:
	case low > measure.Whole:
		r.report.stop(RuleContains, at, fmt.Sprintf("the constituents are at least %s together", percent(low)), "compare the shares with the supplier's statement: together they are 100 %")
	case all && high < measure.Whole:
		r.report.stop(RuleContains, at, fmt.Sprintf("the constituents are at most %s together", percent(high)), "compare the shares with the supplier's statement: something is missing, or a share is not known; leave an unknown share out")
	}
	if mat.Order == Descending {
		r.checkDescending(mat.Contains)
	}
}

// checkDescending reports a share that is above all that the list allows for
// one before it.
func (r materialReader) checkDescending(lines []Constituent) {
	least := Constituent{}
	least.Share.V.High = measure.Whole
	for _, c := range lines {
		if !c.Share.Given() {
			continue
		}
		if c.Share.V.Low > least.Share.V.High {
			r.report.stop(RuleRising, c.Share.At, fmt.Sprintf("%q has a larger share than %q before it, and the order is said to be descending", c.INCI.V, least.INCI.V), `compare the list with the supplier's, or write "order: unknown"`)
		}
		if c.Share.V.High < least.Share.V.High {
			least = c
		}
	}
}

func (r materialReader) checkStrength(m *source.Map, mat Material) {
	checkStrength(mat.Strength, r.report)
	switch {
	case mat.Strength.Given() && mat.Kind != KindLyeSolution:
		r.report.stop(RuleKind, m.KeyAt("strength"), "only a lye solution has a strength", `write "kind: lye solution", or take the strength out`)
	case mat.Kind == KindLyeSolution:
		required(mat.Strength, m, "strength", "the share of alkali in the solution", r.report)
	}
}

// The units in which a saponification value is stated, and what a figure in
// each is in mg KOH/g. A gram of fat takes up as many molecules of the one
// alkali as of the other, so the figures are to each other as their molar
// masses.
var sapUnits = map[string]float64{
	"mg KOH/g":  1,
	"g KOH/g":   1000,
	"mg NaOH/g": inci.MolarMassKOH / inci.MolarMassNaOH,
	"g NaOH/g":  1000 * inci.MolarMassKOH / inci.MolarMassNaOH,
}

// The saponification values that a fat or a fatty acid can have. Below lie
// hydrocarbons and heavy waxes, above is butter of the shortest acids: caproic
// acid alone takes 483, tributyrin 557.
const (
	leastSAP = 75
	mostSAP  = 360
)

func (r materialReader) sap(m *source.Map) *SAP {
	v := m.Figure("sap", "mg KOH/g", "g NaOH/g", "g KOH/g", "mg NaOH/g")
	if !v.Given() {
		return nil
	}
	factor := sapUnits[v.V.Unit]
	sap := SAP{Stated: v.V.Unit}
	sap.At = v.At
	sap.V = measure.Range{Low: v.V.Low * factor, High: v.V.High * factor}
	if sap.V.Low < leastSAP || sap.V.High > mostSAP {
		remedy := "look whether the figure is one in g NaOH/g that stands in mg KOH/g, or the other way round"
		if strings.Contains(v.V.Unit, "NaOH") {
			remedy = "look whether the figure is one for KOH that stands in a figure for NaOH, or in mg that stands in g"
		}
		r.report.warn(RuleSAP, sap.At, fmt.Sprintf("the saponification value is %s mg KOH/g; fats have %d to %d", span(sap.V), leastSAP, mostSAP), remedy)
	}
	return &sap
}

// span writes a computed range for a message.
func span(r measure.Range) string {
	if r.IsPoint() {
		return fmt.Sprintf("%.4g", r.Low)
	}
	return fmt.Sprintf("%.4g to %.4g", r.Low, r.High)
}

// figure reads a figure that has one unit.
func figure(m *source.Map, key, unit string) source.Value[measure.Range] {
	v := m.Figure(key, unit)
	return source.Value[measure.Range]{V: measure.Range{Low: v.V.Low, High: v.V.High}, At: v.At}
}

func (r materialReader) fattyAcids(m *source.Map) []FattyAcidShare {
	var all []FattyAcidShare
	var sum measure.Share
	seen := map[string]string{}
	for _, key := range m.Keys() {
		line := FattyAcidShare{Code: key, Share: m.Share(key.V)}
		acid, ok := inci.AcidByCode(key.V)
		if !ok {
			acid, ok = inci.AcidByName(key.V)
		}
		other := seen[acid.Code]
		switch {
		case !ok:
			remedy := `write its common name, or its code, such as "C18:1"`
			if near := inci.NearestAcid(key.V); near != "" {
				remedy = fmt.Sprintf("did you mean %q?", near)
			}
			r.report.stop(RuleAcid, key.At, fmt.Sprintf("the fatty acid %q is not known", key.V), remedy)
		case other != "":
			r.report.stop(RuleAcid, key.At, fmt.Sprintf("%q is the same fatty acid as %q", key.V, other), "add the two up")
		default:
			line.Code.V = acid.Code
			seen[acid.Code] = key.V
		}
		all = append(all, line)
		if line.Share.V > measure.Whole {
			atMostWhole(line.Share, "the share", r.report)
			return all
		}
		if sum += line.Share.V; sum > measure.Whole && sum-line.Share.V <= measure.Whole {
			r.report.stop(RuleProfile, line.Share.At, "from here on the fatty acids are more than 100 % together", "compare the shares with the supplier's statement")
		}
	}
	return all
}

func (r materialReader) allergens(m *source.Map) []Allergen {
	var all []Allergen
	var sum measure.Share
	for _, name := range m.Keys() {
		a := Allergen{name, r.shareOfWhole(m, name.V)}
		all = append(all, a)
		if a.Share.V.High > measure.Whole {
			return all // a finding already, and no use adding up
		}
		if sum += a.Share.V.Low; sum > measure.Whole && sum-a.Share.V.Low <= measure.Whole {
			r.report.stop(RuleAllergen, a.Share.At, "from here on the allergens are more than 100 % together", "compare the shares with the supplier's statement: they are of the fragrance")
		}
	}
	return all
}

// maxUse reads the limits of a supplier's certificate. The keys are free but
// for "ifra": "category 9", "category 4".
func (r materialReader) maxUse(m *source.Map) *MaxUse {
	if !m.Given() {
		return nil
	}
	use := MaxUse{Amendment: m.Count("ifra")}
	for _, key := range m.Keys() {
		category, ok := strings.CutPrefix(strings.ReplaceAll(ID(key.V), "-", " "), "category ")
		if !ok {
			continue
		}
		limit := CategoryLimit{strings.ToUpper(category), m.Share(key.V)}
		atMostWhole(limit.Share, "the limit", r.report)
		use.ByCategory = append(use.ByCategory, limit)
	}
	return &use
}

func statement(m *source.Map) Statement {
	return Statement{Supplier: m.Text("supplier"), Dated: m.Day("dated"), Ref: m.Text("ref"), PaperFile: m.Text("file")}
}
