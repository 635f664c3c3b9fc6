package formula

import (
	"fmt"
	"slices"

	"saponym/internal/measure"
	"saponym/internal/source"
)

// ReadFormula reads a formula from data, the bytes of a file. The name of the
// file, without its ending, is the formula's id. All that is wrong with the form
// of the document comes back as findings, in the order of the file; what could
// be read is in the Formula. The error is a [*source.NoDocument], which holds
// the findings in that case.
//
// A variant, which has the key like, may leave out whatever it shares with the
// other formula; see [Complete].
func ReadFormula(file string, data []byte) (Formula, []Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Formula{}, nil, err
	}
	r := formulaReader{report: doc.Report}
	f := r.formula(fileID(file, doc.Report), file, doc.Root())
	return f, doc.Findings(), nil
}

// readFormulaAs reads a formula that stands in a file of another name.
func readFormulaAs(id, file string, data []byte) (Formula, []Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Formula{}, nil, err
	}
	r := formulaReader{report: doc.Report}
	f := r.formula(id, file, doc.Root())
	return f, doc.Findings(), nil
}

// A formulaReader reads the parts of a formula and checks each for itself. What
// hangs together across the parts is in check.go.
type formulaReader struct{ report reporter }

func (r formulaReader) formula(id, file string, m *source.Map) Formula {
	f := Formula{
		ID: id, File: file,
		Name: m.Text("name"), Identity: m.Text("identity"), Like: reference(m, "like", r.report),
		Size:     r.size(m.Map("size")),
		Pot:      r.ingredients(m, "pot"),
		Lye:      r.lye(m.Map("lye")),
		Portions: r.portions(m.Map("portions")),
		Add:      r.additions(m),
		Base:     r.base(m),
		Process:  m.Enum("process", "cold", "hot"),
		Steps:    r.steps(m),
		Cuts:     r.cuts(m.Map("cuts")),
		Keep:     keep(m.Map("keep")),
		OnSale:   places(m.Map("on_sale"), (*source.Map).Day),
		Evidence: places(m.Map("evidence"), texts),
		Link:     webAddress(m, "link", r.report),
		Words:    places(m.Map("words"), texts),
	}
	if !f.Like.Given() {
		required(f.Name, m, "name", "the name on the front of the label", r.report)
		required(f.Identity, m, "identity", `what the product is, such as "soap"`, r.report)
		if readable(m, source.IsList, "pot", "base") && readable(m, source.IsMapping, "lye") {
			lye := m.Map("lye")
			checkWhole(f, m.At(), func(key string) bool { return lye.KeyAt(key).Line > 0 }, r.report)
		}
	}
	checkPot(f.Pot, "pot", r.report)
	checkPot(f.Base, "base", r.report)
	return f
}

// readable reports whether each of the keys has the shape that it must have, or
// is not there. A pot that is there and cannot be read is not a missing pot.
func readable(m *source.Map, shape source.Shape, keys ...string) bool {
	for _, key := range keys {
		if m.KeyAt(key).Line > 0 && m.Shape(key) != shape {
			return false
		}
	}
	return true
}

func (r formulaReader) size(m *source.Map) Size {
	atMostOne(m, "the size", r.report, "oils", "batter", "mould")
	return Size{Oils: m.Mass("oils"), Batter: m.Mass("batter"), Mould: reference(m, "mould", r.report)}
}

// amount reads the weight or the share that a line of a list must have.
func (r formulaReader) amount(m *source.Map, what string) Amount {
	exactlyOne(m, what, r.report, "weight", "share")
	a := Amount{Weight: m.Mass("weight"), Share: m.Share("share")}
	atMostWhole(a.Share, "the share", r.report)
	if a.Share.Given() && a.Share.V == 0 {
		r.report.stop(source.RulePositive, a.Share.At, "the share is nought", "write the share, or take the line out")
	}
	return a
}

// material reads the name of the material that a line must have, and gives the
// words by which findings call the line.
func (r formulaReader) material(m *source.Map) (name Text, what string) {
	name = reference(m, "material", r.report)
	required(name, m, "material", "what is weighed on this line", r.report)
	if name.Given() {
		return name, fmt.Sprintf("%q", name.V)
	}
	return name, "the line"
}

func (r formulaReader) ingredients(m *source.Map, key string) []Ingredient {
	var all []Ingredient
	for _, line := range m.Maps(key) {
		name, what := r.material(line)
		all = append(all, Ingredient{Material: name, Amount: r.amount(line, what)})
	}
	return all
}

// base reads what is melted: materials, and own bars.
func (r formulaReader) base(m *source.Map) []Ingredient {
	var all []Ingredient
	for _, line := range m.Maps("base") {
		exactlyOne(line, "the line", r.report, "material", "batch")
		in := Ingredient{Material: reference(line, "material", r.report), Batch: line.Text("batch")}
		what := "the line"
		if name := in.Name(); name.Given() {
			what = fmt.Sprintf("%q", name.V)
		}
		in.Amount = r.amount(line, what)
		all = append(all, in)
	}
	return all
}

func (r formulaReader) lye(m *source.Map) Lye {
	if !m.Given() {
		return Lye{}
	}
	atMostOne(m, "the lye", r.report, "superfat", "weight", "ratio")
	l := Lye{
		At: m.At(), Alkalis: r.alkalis(m),
		Of:       m.Enum("of", "weight", "moles", "fat"),
		Solution: reference(m, "solution", r.report),
		Superfat: m.Share("superfat"), Weight: m.Mass("weight"), Ratio: r.ratio(m.Map("ratio")),
		Water: r.water(m.Map("water")), Liquids: r.liquids(m),
	}
	if l.Superfat.V > measure.Whole {
		r.report.stop(RuleSuperfat, l.Superfat.At, "the superfat is more than 100 %: there are not more oils to leave over", `write what is left over of the oils, such as "5%"`)
	}
	if l.Of.Given() && len(l.Alkalis) < 2 {
		r.report.stop(RuleAlkali, l.Of.At, `"of" says what the shares of two alkalis are of, and there are no two`, "take it out")
	}
	if found, at := present(m, "purity", "carbonate"); l.Solution.Given() && len(found) > 0 {
		r.report.stop(RuleOneOf, at, fmt.Sprintf("%s speaks of dry alkali, and the lye is a ready-made solution", listing(found, "and")), "write the strength into the material of the solution")
	}
	return l
}

// alkaliNames are the alkalis that a lye can be of.
var alkaliNames = []string{"sodium hydroxide", "potassium hydroxide"}

// alkalis reads one alkali, given as a text with its purity beside it, or
// several, given as a list.
func (r formulaReader) alkalis(m *source.Map) []Alkali {
	if m.Shape("alkali") != source.IsList {
		a := Alkali{Name: m.Enum("alkali", alkaliNames...), Purity: m.ShareRange("purity"), Carbonate: m.Share("carbonate")}
		a.Purity.V = r.purity(a)
		if !a.Name.Given() {
			return nil
		}
		return []Alkali{a}
	}
	if found, at := present(m, "purity", "carbonate"); len(found) > 0 {
		r.report.stop(RulePurity, at, fmt.Sprintf("%s stands beside a list of alkalis, so it is not clear of which it is", listing(found, "and")), "write it beside its alkali, in the list")
		m.Shape("purity")
		m.Shape("carbonate")
	}
	var all []Alkali
	var seen []string
	lines := m.Maps("alkali")
	for _, line := range lines {
		a := Alkali{
			Name: line.Enum("alkali", alkaliNames...), Share: line.Share("share"),
			Purity: line.ShareRange("purity"), Carbonate: line.Share("carbonate"),
		}
		required(a.Name, line, "alkali", "sodium hydroxide or potassium hydroxide", r.report)
		a.Purity.V = r.purity(a)
		if len(lines) > 1 && line.KeyAt("share").Line == 0 {
			r.report.stop(RuleLyeShares, line.At(), "one of several alkalis has no share", `add its share of the lye, such as "share: 90%"`)
		}
		for _, name := range seen {
			if name == a.Name.V {
				r.report.stop(RuleAlkali, a.Name.At, fmt.Sprintf("%q stands in the list twice", name), "add the two lines up")
			}
		}
		if a.Name.Given() {
			seen = append(seen, a.Name.V)
		}
		all = append(all, a)
	}
	var shares []Share
	for _, a := range all {
		shares = append(shares, a.Share)
	}
	checkSum(shares, RuleLyeShares, "the shares of the alkalis", r.report)
	return all
}

// purity reports a purity that no alkali has, and gives what of it the carbonate leaves:
// of "at least 98%" beside 1 % of carbonate at most 99 % are hydroxide.
func (r formulaReader) purity(a Alkali) measure.ShareRange {
	switch {
	case a.Purity.Given() && a.Purity.V.Low == 0:
		r.report.stop(RulePurity, a.Purity.At, "the purity can be nought: no alkali would be in it", `write the share of pure alkali, such as "98%"`)
	case a.Purity.V.High > measure.Whole:
		r.report.stop(RulePurity, a.Purity.At, "the purity is more than 100 %", `write the share of pure alkali, such as "98%"`)
	case a.Carbonate.V+a.Purity.V.Low > measure.Whole:
		r.report.stop(RulePurity, a.Carbonate.At, fmt.Sprintf("hydroxide and carbonate are %s together", percent(a.Carbonate.V+a.Purity.V.Low)), "read the supplier's certificate again: together they are at most 100 %")
	case a.Carbonate.Given() && !a.Purity.Given() && a.Carbonate.V > 0:
		r.report.stop(RulePurity, a.Carbonate.At, "the carbonate is given without the purity", `add "purity:" from the same certificate`)
	default:
		a.Purity.V.High = min(a.Purity.V.High, measure.Whole-a.Carbonate.V)
	}
	return a.Purity.V
}

func (r formulaReader) ratio(m *source.Map) *Ratio {
	if !m.Given() {
		return nil
	}
	ratio := Ratio{Alkali: m.Mass("alkali"), Oils: m.Mass("oils")}
	required(ratio.Alkali, m, "alkali", "how much alkali goes with the oils", r.report)
	required(ratio.Oils, m, "oils", "how much oil the alkali goes with", r.report)
	return &ratio
}

func (r formulaReader) water(m *source.Map) Water {
	exactlyOne(m, "the water", r.report, "weight", "strength", "of_oils", "per_lye")
	w := Water{Weight: m.Mass("weight"), Strength: m.Share("strength"), OfOils: m.Share("of_oils"), PerLye: m.Number("per_lye")}
	checkStrength(w.Strength, r.report)
	if w.OfOils.Given() && w.OfOils.V == 0 {
		r.report.stop(RuleStrength, w.OfOils.At, "there is no water, and alkali does not dissolve in nothing", `write the water as a share of the oils, such as "38%"`)
	}
	return w
}

// checkStrength reports a lye of alkali without water or of water alone.
func checkStrength(v Share, report reporter) {
	switch {
	case v.Given() && v.V == 0:
		report.stop(RuleStrength, v.At, "the strength is nought: no alkali would be in the lye", `write the share of alkali in the lye, such as "33%"`)
	case v.V >= measure.Whole:
		report.stop(RuleStrength, v.At, "the strength is 100 % or more: no water would be in the lye", `write the share of alkali in the lye, such as "33%"`)
	}
}

func (r formulaReader) liquids(m *source.Map) []Liquid {
	var all []Liquid
	for _, line := range m.Maps("liquids") {
		name, what := r.material(line)
		all = append(all, Liquid{
			Material: name, Amount: r.amount(line, what),
			Into: line.Enum("into", "lye", "oils", "trace"), State: line.Text("state"),
		})
	}
	checkLiquids(all, r.report)
	return all
}

func (r formulaReader) portions(m *source.Map) []Portion {
	var all []Portion
	var shares []Share
	for _, name := range m.Keys() {
		p := Portion{name, m.Share(name.V)}
		shares = append(shares, p.Share)
		all = append(all, p)
	}
	checkSum(shares, RulePortions, "the portions", r.report)
	return all
}

func (r formulaReader) additions(m *source.Map) []Addition {
	var all []Addition
	for _, line := range m.Maps("add") {
		exactlyOne(line, "the line", r.report, "material", "batch")
		a := Addition{
			Material: reference(line, "material", r.report), Batch: line.Text("batch"),
			In: line.Text("in"), With: r.ingredients(line, "with"),
			At: line.Enum("at", "lye", "oils", "trace", "after", "top"), Stays: line.Share("stays"),
		}
		what := "the line"
		if name := a.Material.V + a.Batch.V; name != "" {
			what = fmt.Sprintf("%q", name)
		}
		a.Amount = r.amount(line, what)
		atMostWhole(a.Stays, "what stays", r.report)
		if a.In.Given() && (a.At.V == "lye" || a.At.V == "oils") {
			r.report.stop(RulePortion, a.In.At, fmt.Sprintf("%s is to go into the %s, and the batter is not divided into portions by then", what, a.At.V), `take "in" out, or write "at: trace"`)
		}
		checkWith(a, r.report)
		all = append(all, a)
	}
	return all
}

func (r formulaReader) steps(m *source.Map) []Step {
	var all []Step
	for _, line := range m.Maps("steps") {
		s := Step{Do: line.Text("do"), Temp: line.Temperature("temp"), Note: line.Prose("note")}
		if found, _ := present(line, "do", "note"); len(found) == 0 {
			r.report.stop(RuleMissing, line.At(), "the step says nothing to do and nothing to note", `add "do:" or "note:"`)
		}
		all = append(all, s)
	}
	return all
}

func (r formulaReader) cuts(m *source.Map) []Cut {
	var all []Cut
	for _, name := range m.Keys() {
		switch {
		case slices.Contains(NoCutNames(), name.V):
			r.report.stop(RuleCutName, name.At, fmt.Sprintf("a cut cannot be called %q: in the record of a batch that word means something else", name.V), "give the cut another name")
		default:
			// The name becomes a part of file names.
			if !IsID(name.V) {
				r.report.stop(RuleCutName, name.At, fmt.Sprintf("a cut cannot be called %q: its name is made of small letters, digits and hyphens", name.V), "give the cut a name such as bar or guest")
			}
		}
		line := m.Map(name.V)
		c := Cut{
			Name: name, Count: line.Count("count"),
			Length: line.Length("length"), Width: line.Length("width"), Height: line.Length("height"),
			Claim: line.Quantity("claim"), GTIN: line.Text("gtin"),
		}
		if c.Count.Given() && c.Count.V == 0 {
			r.report.stop(RuleCount, c.Count.At, "no bars are cut", "write how many bars this cut gives, at least 1")
		}
		if fault, remedy := gtinFault(c.GTIN.V); c.GTIN.Given() && fault != "" {
			r.report.stop(RuleGTIN, c.GTIN.At, fmt.Sprintf("%q is no GTIN: %s", c.GTIN.V, fault), remedy)
		}
		all = append(all, c)
	}
	return all
}

func keep(m *source.Map) Keep {
	return Keep{SellWithin: m.Months("sell_within"), Durability: m.Months("durability"), Open: m.Months("open")}
}
