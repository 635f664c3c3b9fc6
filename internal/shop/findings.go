package shop

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

// Findings gives what is wrong with the documents that a formula rests on:
// shop.yaml, the formula, those that it is like, the materials in it, and the batches
// that go into it as crumbs, with all that their formulas rest on.
func (f *Folder) Findings(doc formula.Formula) []finding.Finding { return f.resting(doc) }

// resting gives what is wrong with what a formula rests on, and with further files.
func (f *Folder) resting(doc formula.Formula, files ...string) []finding.Finding {
	on := foundation{Folder: f, all: append(files, "shop.yaml"), asked: map[string]bool{}}
	on.formula(doc)
	return f.told(on.all)
}

// told gives what is wrong with files.
func (f *Folder) told(files []string) []finding.Finding {
	var all []finding.Finding
	slices.Sort(files)
	for _, file := range slices.Compact(files) {
		all = append(all, f.findings[file]...)
		if none := (*NoDocument)(nil); errors.As(f.broken[file], &none) {
			all = append(all, none.Findings...)
		} else if err := f.broken[file]; err != nil {
			all = append(all, finding.Finding{
				Level: finding.Stop, Rule: RuleUnreadable, At: finding.Pos{File: file},
				Message: fmt.Sprintf("the file cannot be read: %v", err), Remedy: "mend the file or its permissions, or take it away",
			})
		}
		if same := f.files[named(file)]; len(same) > 1 {
			all = append(all, finding.Finding{
				Level: finding.Stop, Rule: RuleTwice, At: finding.Pos{File: file},
				Message: fmt.Sprintf("several files are named for one id: %s", strings.Join(same, ", ")), Remedy: "keep one of them, or give the others another name",
			})
		}
	}
	return all
}

// A foundation collects the files that a formula rests on.
type foundation struct {
	*Folder
	all   []string        // their names; some more than once
	asked map[string]bool // by file: formulas that are dealt with; one may go into itself as crumbs
}

func (on *foundation) formula(doc formula.Formula) {
	if on.asked[doc.File] {
		return
	}
	on.asked[doc.File] = true
	on.all = append(on.all, on.lineage(doc)...)
	for _, in := range slices.Concat(doc.Pot, doc.Base) {
		on.material(in.Material)
	}
	for _, l := range doc.Lye.Liquids {
		on.material(l.Material)
	}
	on.material(doc.Lye.Solution)
	for _, in := range doc.Base {
		on.batch(in.Batch)
	}
	for _, a := range doc.Add {
		on.material(a.Material)
		for _, with := range a.With {
			on.material(with.Material)
		}
		on.batch(a.Batch)
	}
}

func (on *foundation) material(name formula.Text) {
	if !name.Given() {
		return
	}
	files := on.files[path.Join("materials", formula.ID(name.V))]
	on.all = append(on.all, files...)
	for _, file := range files {
		if on.asked[file] {
			return
		}
		on.asked[file] = true
	}
	m, _ := on.Library.Find(name.V)
	for _, c := range m.Contains {
		on.material(c.Material)
	}
}

// batch adds the files that own bars rest on: those named for their code, which may be
// broken, and those of the formula by which they were made.
func (on *foundation) batch(code formula.Text) {
	if !code.Given() {
		return
	}
	files := on.batchFiles(code.V)
	on.all = append(on.all, files...)
	for _, file := range files {
		b, ok := on.Folder.batch(file)
		if !ok || b.Code.V != code.V {
			continue
		}
		on.all = append(on.all, formula.FrozenName(file))
		if _, ok := on.Frozen(b); ok {
			continue // it has what it was made by
		}
		id := formula.ID(b.Formula.V)
		if made, ok := on.find(id); ok {
			on.formula(made)
		} else if file, ok := on.brokenFormula(id); ok {
			on.all = append(on.all, file)
		}
	}
}

// lineage gives the file of a formula, and those of the formulas that it is like.
func (f *Folder) lineage(doc formula.Formula) []string {
	files := []string{doc.File}
	for doc.Like.Given() {
		id := formula.ID(doc.Like.V)
		next, ok := f.formulas[id]
		if !ok {
			if file, broken := f.brokenFormula(id); broken {
				files = append(files, file)
			}
			break
		}
		if slices.Contains(files, next.File) {
			break // like itself, which is a finding
		}
		files = append(files, next.File)
		doc = next
	}
	return files
}

// Excerpt gives findings that point into a file of the shop the line that they
// point into.
func (f *Folder) Excerpt(findings []finding.Finding) {
	for i, x := range findings {
		if lines := f.lines[x.At.File]; x.Excerpt == "" && x.At.Line > 0 && x.At.Line <= len(lines) {
			findings[i].Excerpt = strings.TrimSuffix(lines[x.At.Line-1], "\r")
		}
	}
}
