package shop

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

// batchFolders gives the folders in which batch files can stand: that of the batches, and
// one for each year below it. A folder that cannot be read leaves the others.
func (f *Folder) batchFolders() ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(f.Dir, "batches"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	folders := []string{"batches"}
	for _, e := range entries {
		if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			folders = append(folders, path.Join("batches", e.Name()))
		}
	}
	return folders, err
}

// batchFiles gives the files that are named for a code. Only these are looked for: a shop
// comes to have thousands of batches.
func (f *Folder) batchFiles(code string) []string {
	if files, ok := f.named[code]; ok {
		return files
	}
	if code == "" || strings.ContainsAny(code, `/\`) {
		return nil
	}
	var files []string
	for _, folder := range f.folders {
		for _, ending := range []string{".yaml", ".yml"} {
			file := path.Join(folder, code+ending)
			if _, err := os.Lstat(filepath.Join(f.Dir, filepath.FromSlash(file))); err == nil {
				files = append(files, file)
			}
		}
	}
	f.named[code] = files
	if len(files) > 0 {
		f.files[named(files[0])] = files
	}
	return files
}

// Codes gives the codes for which there are batch files, in their order.
func (f *Folder) Codes() []string {
	var codes []string
	for _, folder := range f.folders {
		entries, err := os.ReadDir(filepath.Join(f.Dir, filepath.FromSlash(folder)))
		if err != nil {
			f.broken[folder] = err
			continue
		}
		for _, e := range entries {
			if !e.IsDir() && isDocument(e.Name()) {
				codes = append(codes, strings.TrimSuffix(strings.TrimSuffix(e.Name(), ".yaml"), ".yml"))
			}
		}
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

// Batch gives the batch with a code. Of two files with one code, the first counts.
func (f *Folder) Batch(code string) (formula.Batch, bool) {
	for _, file := range f.batchFiles(code) {
		if b, ok := f.batch(file); ok && b.Code.V == code {
			return b, true
		}
	}
	return formula.Batch{}, false
}

// BrokenBatch gives the error of a file that is named for a code and holds no document.
func (f *Folder) BrokenBatch(code string) error {
	for _, file := range f.batchFiles(code) {
		if _, ok := f.batch(file); !ok {
			return f.broken[file]
		}
	}
	return nil
}

// batch reads the file of a batch, once.
func (f *Folder) batch(file string) (formula.Batch, bool) {
	if b, ok := f.batches[file]; ok {
		return b, true
	}
	if f.broken[file] != nil {
		return formula.Batch{}, false
	}
	text, err := f.read(file)
	if err == nil {
		var b formula.Batch
		if b, f.findings[file], err = formula.ReadBatch(file, text); err == nil {
			f.batches[file] = b
			return b, true
		}
	}
	f.broken[file] = err
	return formula.Batch{}, false
}

// recipe gives the formula that a batch was made by, with the library of that day. What a
// customer reads is that of today. A batch without a record of its own goes by the
// formula and the materials of today.
func (f *Folder) recipe(b formula.Batch) (formula.Formula, formula.Library, bool) {
	today, known := f.find(formula.ID(b.Formula.V))
	frozen, ok := f.Frozen(b)
	if !ok {
		return today, f.Library, known
	}
	recipe, library, _, ok := frozen.Recipe()
	if !ok {
		return today, f.Library, known
	}
	if known {
		recipe = today.WithRecipe(recipe)
	}
	return recipe, library, true
}

// Frozen gives the record that was written once beside the file of a batch. It is false
// where there is none, or none that can be read.
func (f *Folder) Frozen(b formula.Batch) (formula.Frozen, bool) {
	file := formula.FrozenName(b.File)
	if frozen, ok := f.frozen[file]; ok {
		return frozen, frozen.File != ""
	}
	text, err := f.read(file)
	if errors.Is(err, fs.ErrNotExist) {
		f.frozen[file] = formula.Frozen{}
		return formula.Frozen{}, false
	}
	var frozen formula.Frozen
	if err == nil {
		frozen, f.findings[file], err = formula.ReadFrozen(file, text)
	}
	if err != nil {
		f.broken[file] = err
		frozen = formula.Frozen{}
	}
	f.frozen[file] = frozen
	return frozen, err == nil
}

// BatchFindings gives what is wrong with the documents that a batch rests on: its own
// file, its frozen record, and what [Folder.Findings] gives of the formula; of one that
// has a record, that record takes the place of the formula and the materials.
func (f *Folder) BatchFindings(b formula.Batch, doc formula.Formula) []finding.Finding {
	frozen, ok := f.Frozen(b)
	file := formula.FrozenName(b.File)
	if !ok {
		return f.resting(doc, b.File, file)
	}
	_, _, found, _ := frozen.Recipe()
	found = append(found, f.told(append(f.lineage(doc), b.File, file, "shop.yaml"))...)
	found = append(found, frozen.ReadAgain()...)
	return append(found, frozen.Changed(f.text)...)
}

// FileFindings gives what is wrong with files of the shop that were read.
func (f *Folder) FileFindings(files ...string) []finding.Finding { return f.told(files) }

// text gives what a file of the shop says.
func (f *Folder) text(file string) (string, bool) {
	lines, ok := f.lines[file]
	return strings.Join(lines, "\n"), ok
}

// Documents gives the documents that a formula rests on, by file: shop.yaml, the formula,
// those that it is like, and the materials in it. Batches are not among them: they have
// records of their own.
func (f *Folder) Documents(doc formula.Formula) map[string]string {
	on := foundation{Folder: f, all: []string{"shop.yaml"}, asked: map[string]bool{}}
	on.formula(doc)
	return f.saying(on.all)
}

// MaterialDocuments gives those that materials rest on.
func (f *Folder) MaterialDocuments(names ...formula.Text) map[string]string {
	on := foundation{Folder: f, all: []string{"shop.yaml"}, asked: map[string]bool{}}
	for _, name := range names {
		on.material(name)
	}
	return f.saying(on.all)
}

func (f *Folder) saying(files []string) map[string]string {
	all := map[string]string{}
	for _, file := range files {
		if text, ok := f.text(file); ok && !strings.HasPrefix(file, "batches/") {
			all[file] = text
		}
	}
	return all
}
