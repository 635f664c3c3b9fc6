package formula

import (
	"fmt"
	"slices"
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
	m := r.material(fileID(file, doc.Report), file, doc.Root())
	return m, doc.Findings(), nil
}

// readMaterialAs reads a material that stands in a file of another name.
func readMaterialAs(id, file string, data []byte) (Material, []Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Material{}, nil, err
	}
	r := materialReader{report: doc.Report}
	m := r.material(id, file, doc.Root())
	return m, doc.Findings(), nil
}

type materialReader struct{ report reporter }

// kinds are those that a document may give.
var kinds = []string{
	string(KindOil), string(KindOilBlend), string(KindSoap), string(KindBase), string(KindFragrance), string(KindEssentialOil),
	string(KindColourant), string(KindLiquid), string(KindAdditive), string(KindLyeSolution),
}

func (r materialReader) material(id, file string, m *source.Map) Material {
	mat := Material{
		ID: id, File: file,
		Name: m.Text("name"), Kind: Kind(m.Enum("kind", kinds...).V),
		INCI: m.Text("inci"), Contains: r.contains(m),
		SAP: r.sap(m), FattyAcids: r.fattyAcids(m.Map("fatty_acids")),
		AcidValue:      figure(m, "acid_value", "mg KOH/g"),
		Unsaponifiable: r.shareOfWhole(m, "unsaponifiable"),
		Reactivity:     m.Share("reactivity"),
		Water:          r.shareOfWhole(m, "water"),
		Fat:            r.shareOfWhole(m, "fat"),
		FatOf:          reference(m, "fat_of", r.report),
		Evaporates:     m.Share("evaporates"),
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
	if m.IsEmptyList("contains") {
		r.report.stop(RuleContains, m.KeyAt("contains"), "the list is empty", fmt.Sprintf(`write what the supplier lists, a line for each: "- %s"`, suchConstituent))
	}
	r.checkOrder(m, mat, order.Given())
	mat.Contains = r.asRounded(mat)
	r.checkContains(mat)
	r.checkStrength(m, mat)
	r.checkMoist(m, mat)
	r.checkReactivity(m, mat)
	atMostWhole(mat.Vanillin, "the vanillin", r.report)
	return mat
}

// suchConstituent is a line of a list as a remedy shows it.
const suchConstituent = "{inci: Olea Europaea (Olive) Fruit Oil, share: 60%}"

func (r materialReader) contains(m *source.Map) []Constituent {
	var all []Constituent
	var rest Text // the constituent that is what the others leave
	for _, line := range m.MapsSuch("contains", suchConstituent) {
		c := Constituent{INCI: line.Text("inci"), Material: reference(line, "material", r.report)}
		exactlyOne(line, "a constituent", r.report, "inci", "material")
		share := line.PartShare("share")
		switch {
		case !share.V.Rest:
			c.Share = r.ofWhole(source.Value[measure.ShareRange]{V: share.V.ShareRange, At: share.At}, "share")
		case rest.Given():
			r.report.stop(RuleContains, share.At, fmt.Sprintf("%q is the rest, and so is %q on line %d", c.Name().V, rest.V, rest.At.Line), "write the share of one of them, or leave it out if it is not known")
		default:
			rest = Text{V: c.Name().V, At: share.At}
		}
		all = append(all, c)
	}
	return all
}

// shareOfWhole reads a range of shares of a whole.
func (r materialReader) shareOfWhole(m *source.Map, key string) source.Value[measure.ShareRange] {
	return r.ofWhole(m.ShareRange(key), key)
}

// ofWhole reports shares of which some are more than the whole.
func (r materialReader) ofWhole(v source.Value[measure.ShareRange], key string) source.Value[measure.ShareRange] {
	if v.V.High > measure.Whole {
		r.report.stop(RuleOver, v.At, fmt.Sprintf("%q is more than 100 %%", key), "write a share of at most 100 %")
	}
	return v
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

// figure reads a figure that has one unit.
func figure(m *source.Map, key, unit string) source.Value[measure.Range] {
	v := m.Figure(key, unit)
	return source.Value[measure.Range]{V: measure.Range{Low: v.V.Low, High: v.V.High}, At: v.At}
}

// checkMoist reports what is said of water, fat and the like where it means nothing,
// and what cannot be in one thing.
func (r materialReader) checkMoist(m *source.Map, mat Material) {
	found, at := present(m, "water", "fat", "fat_of", "evaporates")
	if len(found) == 0 {
		return
	}
	switch mat.Kind {
	case KindLiquid, KindAdditive, KindColourant, "":
	default:
		r.report.stop(RuleKind, at, fmt.Sprintf("%s tell of a moist thing such as milk, and the kind of this one is %q", listing(found, "and"), mat.Kind), fmt.Sprintf(`take %s out, or write "kind: liquid"`, listing(found, "and")))
		return
	}
	if len(mat.Contains) > 0 {
		r.report.stop(RuleOneOf, at, fmt.Sprintf("%s tell of a thing that is printed as it was bought, and \"contains\" of one that is printed by what is in it", listing(found, "and")), `keep "contains" with all that is in it, or the others with "inci"`)
	}
	atMostWhole(mat.Evaporates, "what evaporates", r.report)
	if mat.Water.V.High > measure.Whole || mat.Fat.V.High > measure.Whole || mat.Evaporates.V > measure.Whole {
		return // findings already
	}
	if least := mat.Water.V.Low + mat.Fat.V.Low + mat.Evaporates.V; least > measure.Whole {
		r.report.stop(RuleMoist, later(later(mat.Water.At, mat.Fat.At), mat.Evaporates.At), fmt.Sprintf("water, fat and what evaporates are at least %s together", percent(least)), "compare the shares with the supplier's statement: together they are at most 100 %")
	}
	r.checkFatOf(m, mat)
}

// checkFatOf reports the fat of an oil that is not built in, or of none.
func (r materialReader) checkFatOf(m *source.Map, mat Material) {
	of := mat.FatOf
	if !of.Given() {
		return
	}
	required(mat.Fat, m, "fat", fmt.Sprintf("how much of the fat of %q is in it", of.V), r.report)
	if _, ok := inci.FatByID(ID(of.V)); ok || !IsID(ID(of.V)) {
		return
	}
	remedy := `write the id of a built-in oil, such as "butter" or "coconut-oil"`
	if near := inci.Nearest(strings.ToLower(of.V)); near != "" {
		if _, ok := inci.FatByID(near); ok {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
	}
	r.report.stop(RuleFatOf, of.At, fmt.Sprintf("no oil %q is built in, so it is not known how much lye its fat takes up", of.V), remedy)
}

func (r materialReader) checkReactivity(m *source.Map, mat Material) {
	atMostWhole(mat.Reactivity, "the reactivity", r.report)
	switch mat.Kind {
	case KindOil, KindOilBlend, "":
		return
	}
	if found, at := present(m, "reactivity"); len(found) > 0 {
		r.report.stop(RuleKind, at, fmt.Sprintf("only a wax or a fat has a reactivity, and the kind of this one is %q", mat.Kind), `write "kind: oil", or take the reactivity out`)
	}
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
		limit := CategoryLimit{strings.ToUpper(category), certified(m, key.V)}
		atMostWhole(limit.Share, "the limit", r.report)
		if slices.ContainsFunc(use.ByCategory, func(l CategoryLimit) bool { return l.Category == limit.Category }) {
			r.report.stop(RuleOneOf, key.At, fmt.Sprintf("the category %s stands there twice", limit.Category), "keep the limit of the certificate")
		}
		use.ByCategory = append(use.ByCategory, limit)
	}
	return &use
}

// certified reads a limit as certificates print it: a share, or the words for all or
// none.
func certified(m *source.Map, key string) Share {
	for words, share := range map[string]measure.Share{
		"not limited": measure.Whole, "no limit": measure.Whole, "no restriction": measure.Whole, "not restricted": measure.Whole,
		"not approved": 0, "not permitted": 0, "not allowed": 0, "prohibited": 0,
	} {
		if text := m.Text(key); strings.EqualFold(strings.Join(strings.Fields(text.V), " "), words) {
			return Share{V: share, At: text.At}
		}
	}
	return m.Share(key)
}

func statement(m *source.Map) Statement {
	return Statement{Supplier: m.Text("supplier"), Dated: m.Day("dated"), Ref: m.Text("ref"), PaperFile: m.Text("file")}
}
