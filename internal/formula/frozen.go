package formula

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/source"
)

// A Frozen is the record that is written once beside the live file of a batch, as
// code.made.yaml: the documents that the batch was made by, word for word, and the
// built-in figures that were used. What is changed in the shop afterwards does not
// change what the batch is.
type Frozen struct {
	File      string
	Code      Text
	Formula   Text // the id; none for a batch that makes a material
	Written   Day
	Documents []FrozenDocument
	Figures   []FrozenFigure
}

// A FrozenDocument is one file of the shop as it was.
type FrozenDocument struct {
	File Text // in the shop folder: "formulas/hearth-husk.yaml"
	Text Text
}

// A FrozenFigure is what the program had built in of a substance. Says is one line.
type FrozenFigure struct{ ID, Says Text }

// FrozenName gives the name of the record that belongs to the live file of a batch.
func FrozenName(live string) string {
	return strings.TrimSuffix(strings.TrimSuffix(live, ".yaml"), ".yml") + ".made.yaml"
}

// IsFrozen reports whether a file is named as such a record.
func IsFrozen(file string) bool {
	return strings.HasSuffix(file, ".made.yaml") || strings.HasSuffix(file, ".made.yml")
}

// The rules of the frozen record.
const (
	RuleFrozen  = "FORM-FROZEN"  // no frozen record, or one that cannot be used
	RuleFigure  = "FORM-FIGURE"  // a built-in figure is another one today
	RuleChanged = "FORM-CHANGED" // a document of the shop says something else than when the batch was made
)

// indent is how deep the text of a document stands in the record.
const indent = 6

// WriteFrozen writes the record of a batch. Documents maps the names of files in the shop
// to what they say; the formula is the whole one, and library has its materials.
func WriteFrozen(code, formula string, on day.Day, documents map[string]string, figures []inci.Substance) []byte {
	var b strings.Builder
	b.WriteString("# Written once, when the batch was begun: what it was made by, word for word.\n# Nothing here is changed afterwards; the live record stands in the file beside it.\n")
	field := func(key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%s: %s\n", key, source.NewText(value))
		}
	}
	field("code", code)
	field("formula", formula)
	field("written", on.String())
	if len(documents) > 0 {
		b.WriteString("documents:\n")
	}
	for _, file := range slices.Sorted(maps.Keys(documents)) {
		fmt.Fprintf(&b, "  - file: %s\n    text: |2\n", source.NewText(file))
		for line := range strings.SplitSeq("# "+file+", as it was:\n"+inRecord(documents[file]), "\n") {
			if line != "" {
				b.WriteString(strings.Repeat(" ", indent) + line)
			}
			b.WriteByte('\n')
		}
	}
	if len(figures) > 0 {
		b.WriteString("figures:\n")
	}
	for _, s := range figures {
		fmt.Fprintf(&b, "  - {id: %s, says: %s}\n", source.NewText(s.ID), source.NewText(saysOf(s)))
	}
	return []byte(b.String())
}

// inRecord gives a document as it stands in a record: without a byte order mark, with one
// way to end lines, and without white space at its end and on lines that have nothing else.
func inRecord(document string) string {
	lines := strings.Split(strings.TrimPrefix(document, "\ufeff"), "\n")
	for i, line := range lines {
		if lines[i] = strings.TrimSuffix(line, "\r"); strings.TrimSpace(line) == "" {
			lines[i] = ""
		}
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}

// saysOf gives what is built in of a substance and used, on one line.
func saysOf(s inci.Substance) string {
	says := []string{"US " + s.US.Text, "EU " + s.EU.Text}
	if f, ok := inci.FatByID(s.ID); ok {
		says = append(says, fmt.Sprintf("SAP %g mg KOH/g (%g to %g)", f.SAP.Representative, f.SAP.Low, f.SAP.High))
		if f.Unsaponifiable.Given() {
			says = append(says, fmt.Sprintf("unsaponifiable %g to %g %%", f.Unsaponifiable.Low, f.Unsaponifiable.High))
		}
		says = append(says, "soaps "+f.SodiumSalt.Name.Text+", "+f.PotassiumSalt.Name.Text)
	}
	return strings.Join(says, "; ")
}

// ReadFrozen reads the record of a batch; see [ReadFormula].
func ReadFrozen(file string, data []byte) (Frozen, []Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Frozen{}, nil, err
	}
	m := doc.Root()
	f := Frozen{File: file, Code: m.Text("code"), Formula: reference(m, "formula", doc.Report), Written: m.Day("written")}
	for _, line := range m.Maps("documents") {
		d := FrozenDocument{File: line.Text("file"), Text: line.Prose("text")}
		required(d.File, line, "file", "the file that this was", doc.Report)
		required(d.Text, line, "text", "what the file said", doc.Report)
		f.Documents = append(f.Documents, d)
	}
	for _, line := range m.Maps("figures") {
		f.Figures = append(f.Figures, FrozenFigure{ID: line.Text("id"), Says: line.Text("says")})
	}
	required(f.Code, m, "code", "the batch code", doc.Report)
	if name := strings.TrimSuffix(baseName(file), ".made"); f.Code.Given() && f.Code.V != name {
		reporter(doc.Report).stop(RuleCode, f.Code.At, fmt.Sprintf("the code is %q and the name of the file says %q", f.Code.V, name), "this record belongs to another batch; put it back beside its own")
	}
	found := slices.DeleteFunc(doc.Findings(), func(x Finding) bool {
		// A whole document may be longer than any text of one.
		return x.Rule == source.RuleLong && slices.ContainsFunc(f.Documents, func(d FrozenDocument) bool { return d.Text.At == x.At })
	})
	return f, found, nil
}

// padded gives the text of a document so that its lines and columns are those of the
// record that it stands in. The marks of its beginning and its end, which stand at the
// very left of a file or are none, are left out.
func (d FrozenDocument) padded() []byte {
	lines := strings.Split(d.Text.V, "\n")
	for i, line := range lines {
		if mark, _, _ := strings.Cut(line, " "); mark == "---" || mark == "..." {
			line = "   " + line[len(mark):]
		}
		lines[i] = strings.Repeat(" ", indent) + line
	}
	return []byte(strings.Repeat("\n", d.Text.At.Line) + strings.Join(lines, "\n") + "\n")
}

// Recipe reads the formula of the record, whole, with the library of that day. Its places
// are those in the record. It is false, with findings, where the record has no such
// formula; a batch that makes a material has none, and gives the library alone.
func (f Frozen) Recipe() (Formula, Library, []Finding, bool) {
	var found []Finding
	var own []Material
	var moulds map[string]Mould
	formulas := map[string]Formula{}
	for _, d := range f.Documents {
		if !d.Text.Given() {
			continue
		}
		more, err := []Finding(nil), error(nil)
		switch kind, _, _ := strings.Cut(d.File.V, "/"); kind {
		case "shop.yaml":
			var s Shop
			s, _, err = ReadShop(f.File, d.padded()) // what is wrong in it is no matter of the batch
			moulds = s.Moulds
		case "materials":
			var m Material
			if m, more, err = readMaterialAs(ID(baseName(d.File.V)), f.File, d.padded()); err == nil {
				own = append(own, m)
			}
		case "formulas":
			var one Formula
			if one, more, err = readFormulaAs(ID(baseName(d.File.V)), f.File, d.padded()); err == nil {
				formulas[one.ID] = one
			}
		}
		found = append(found, more...)
		if err != nil {
			found = append(found, Finding{Level: finding.Warn, Rule: RuleFrozen, At: d.Text.At, Message: fmt.Sprintf("%s in the record is no document: %v", d.File.V, err), Remedy: "put back the record as it was written"})
		}
	}
	library := NewLibrary(own).WithMoulds(moulds)
	find := func(id string) (Formula, bool) { one, ok := formulas[id]; return one, ok }
	recipe, ok := find(ID(f.Formula.V))
	if ok && recipe.Like.Given() {
		var more []Finding
		recipe, more = Complete(recipe, find, slices.Sorted(maps.Keys(formulas)))
		found = append(found, more...)
	}
	if !ok && f.Formula.Given() {
		found = append(found, Finding{Level: finding.Warn, Rule: RuleFrozen, At: f.Formula.At, Message: fmt.Sprintf("the record holds no formula %q, so the batch goes by that of today", f.Formula.V), Remedy: "put back the record as it was written"})
	}
	return recipe, library, found, ok
}

// ReadAgain reports the built-in figures that are others today.
func (f Frozen) ReadAgain() []Finding {
	var found []Finding
	for _, one := range f.Figures {
		s, ok := inci.ByID(one.ID.V)
		if ok && saysOf(s) == one.Says.V {
			continue
		}
		today := "nothing"
		if ok {
			today = saysOf(s)
		}
		found = append(found, Finding{
			Level: finding.Warn, Rule: RuleFigure, At: one.Says.At,
			Message: fmt.Sprintf("when the batch was made the program had of %q: %s; today it has: %s", one.ID.V, one.Says.V, today),
			Remedy:  "what is shown of this batch goes by the figures of today; compare it with what was printed then",
		})
	}
	return found
}

// Changed reports the materials whose documents say something else today than in the
// record.
func (f Frozen) Changed(today func(file string) (text string, ok bool)) []Finding {
	var found []Finding
	for _, d := range f.Documents {
		if !strings.HasPrefix(d.File.V, "materials/") {
			continue
		}
		_, was, _ := strings.Cut(d.Text.V, "\n")
		now, ok := today(d.File.V)
		if ok && strings.TrimSpace(inRecord(now)) == strings.TrimSpace(was) {
			continue
		}
		what := "has been changed"
		if !ok {
			what = "is no longer there"
		}
		found = append(found, Finding{
			Level: finding.Note, Rule: RuleChanged, At: d.File.At,
			Message: fmt.Sprintf("%s %s since the batch was made: the batch goes by what it said then", d.File.V, what),
			Remedy:  "if it was wrong then, ask what that means for the bars of this batch",
		})
	}
	return found
}

// WithRecipe gives the formula with what went into the pot as another one has it: what a
// batch is made of stays as it was, and its name, its words and its cuts are those of
// today.
func (f Formula) WithRecipe(recipe Formula) Formula {
	f.Size, f.WrittenFor, f.Pot, f.Lye, f.Portions = recipe.Size, recipe.WrittenFor, recipe.Pot, recipe.Lye, recipe.Portions
	f.Add, f.Base, f.Process, f.Steps = recipe.Add, recipe.Base, recipe.Process, recipe.Steps
	return f
}

// Builtins gives the built-in substances that a formula rests on: those that stand in it
// and those in the materials of it, by id.
func (l Library) Builtins(f Formula) []inci.Substance {
	all := map[string]inci.Substance{}
	seen := map[string]bool{}
	var material func(name Text)
	take := func(s inci.Substance) { all[s.ID] = s }
	material = func(name Text) {
		m, ok := l.Find(name.V)
		if !ok || seen[m.ID] {
			return
		}
		seen[m.ID] = true
		if s, ok := inci.ByID(m.ID); ok {
			take(s)
		}
		for _, s := range inci.ByINCI(m.INCI.V) {
			take(s)
		}
		for _, c := range m.Contains {
			if c.Material.Given() {
				material(c.Material)
			}
			for _, s := range inci.ByINCI(c.INCI.V) {
				take(s)
			}
		}
	}
	for _, in := range f.lines() {
		material(in.Material)
	}
	return slices.SortedFunc(maps.Values(all), func(a, b inci.Substance) int { return strings.Compare(a.ID, b.ID) })
}
