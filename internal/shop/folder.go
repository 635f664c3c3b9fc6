// Package shop reads the folder of a soap shop: who the maker is, the formulas,
// the materials with what their suppliers state, and the batches. It also makes the folder of
// an invented shop, for looking round.
//
// A folder is not changed. It is read as a whole, but for the batches, which are read when
// they are asked for. Documents that are wrong come
// back with their findings; a document that is none at all is known by its name,
// and asking for it gives the error.
package shop

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/source"
)

// A Folder is what a shop folder says.
type Folder struct {
	Dir     string
	Shop    formula.Shop
	Library formula.Library

	formulas map[string]formula.Formula   // by id
	folders  []string                     // in which batch files can stand
	named    map[string][]string          // by code: the files that are named for it, of those that were asked for
	batches  map[string]formula.Batch     // by file: those that were asked for
	frozen   map[string]formula.Frozen    // by file: those that were asked for; one that is not there is empty
	findings map[string][]finding.Finding // by file
	broken   map[string]error             // by file: it holds no document, or cannot be read
	files    map[string][]string          // by kind of document and id, such as "materials/olive-oil": the files that are named for it
	lines    map[string][]string          // by file
}

// A NoDocument says that a file holds no document at all: it is empty, no text,
// or no YAML.
type NoDocument = source.NoDocument

// The rule ids of this package.
const (
	RuleUnreadable = "SHOP-UNREADABLE" // a file that is there and cannot be read
	RuleTwice      = "SHOP-TWICE"      // two files that are named for one id
)

// ErrNoShop says that a folder is no shop folder: it has no shop.yaml.
var ErrNoShop = errors.New("there is no shop.yaml")

// An UnknownError says that something was asked for by a name that nothing has.
type UnknownError struct {
	What, Name string // "formula", "hay-medow"
	Nearest    string // the name that was probably meant, or ""
	Known      string // what there is, where that is a short list
}

func (e *UnknownError) Error() string {
	message := fmt.Sprintf("there is no %s %q", e.What, e.Name)
	if e.Nearest != "" {
		message += fmt.Sprintf("; did you mean %q?", e.Nearest)
	} else if e.Known != "" {
		message += "; choose from: " + e.Known
	}
	return message
}

// Open reads a shop folder. The error is [ErrNoShop], a [*source.NoDocument] for
// shop.yaml, or one of the file system.
func Open(dir string) (*Folder, error) {
	f := &Folder{
		Dir: dir, formulas: map[string]formula.Formula{}, named: map[string][]string{}, batches: map[string]formula.Batch{}, frozen: map[string]formula.Frozen{}, findings: map[string][]finding.Finding{},
		broken: map[string]error{}, files: map[string][]string{}, lines: map[string][]string{},
	}
	text, err := f.read("shop.yaml")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w in %s", ErrNoShop, dir)
	}
	if err != nil {
		return nil, err
	}
	if f.Shop, f.findings["shop.yaml"], err = formula.ReadShop("shop.yaml", text); err != nil {
		return nil, err
	}
	if err := f.readMaterials(); err != nil {
		return nil, err
	}
	if err := f.readFormulas(); err != nil {
		return nil, err
	}
	if f.folders, err = f.batchFolders(); err != nil {
		return nil, err
	}
	f.Library = f.Library.WithRecords(formula.Records{Batch: f.Batch, Recipe: f.recipe, Codes: f.Codes})
	return f, nil
}

func (f *Folder) readMaterials() error {
	var own []formula.Material
	err := f.each("materials", func(file string, text []byte) error {
		m, findings, err := formula.ReadMaterial(file, text)
		f.findings[file] = findings
		if err == nil {
			own = append(own, m)
		}
		return err
	})
	f.Library = formula.NewLibrary(own).WithMoulds(f.Shop.Moulds)
	for _, x := range f.Library.Nested() {
		f.findings[x.At.File] = append(f.findings[x.At.File], x)
	}
	return err
}

func (f *Folder) readFormulas() error {
	err := f.each("formulas", func(file string, text []byte) error {
		doc, findings, err := formula.ReadFormula(file, text)
		f.findings[file] = findings
		// Two files that are named for one id are a finding: either may be kept.
		if err == nil {
			f.formulas[idOf(file)] = doc
		}
		return err
	})
	if err != nil {
		return err
	}
	// Variants are completed from what was written, not from each other as they
	// get complete: so the order of the files makes no difference.
	complete := map[string]formula.Formula{}
	for id, doc := range f.formulas {
		if !doc.Like.Given() {
			complete[id] = doc
			continue
		}
		whole, findings := formula.Complete(doc, f.find, f.IDs())
		f.findings[doc.File] = append(f.findings[doc.File], findings...)
		complete[id] = whole
	}
	f.formulas = complete
	return nil
}

// find gives a formula by its id.
func (f *Folder) find(id string) (formula.Formula, bool) {
	found, ok := f.formulas[id]
	return found, ok
}

// each reads all documents of one folder of the shop, in the order of their
// names. A file that is no document, or that cannot be read, is kept in mind, and
// reading goes on.
func (f *Folder) each(folder string, read func(file string, text []byte) error) error {
	entries, err := os.ReadDir(filepath.Join(f.Dir, folder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.IsDir() || !isDocument(e.Name()) {
			continue
		}
		file := path.Join(folder, e.Name())
		// Noted before it is read: a file that cannot be read is still meant. So is
		// one whose name is no id, and its finding says so.
		f.files[named(file)] = append(f.files[named(file)], file)
		text, err := f.read(file)
		if err == nil {
			err = read(file, text)
		}
		if err != nil {
			f.broken[file] = err
		}
	}
	return nil
}

// isDocument reports whether a file is named as documents are. Hidden files are
// those of editors and of synced folders; what is called .made is the record beside a
// batch, which is written once and is another kind of document.
func isDocument(name string) bool {
	ending := path.Ext(name)
	return (ending == ".yaml" || ending == ".yml") && !strings.HasPrefix(name, ".") && !formula.IsFrozen(name)
}

// read reads one file of the shop. Of a file that is far too large only as much
// is read as shows that it is.
func (f *Folder) read(file string) ([]byte, error) {
	name := filepath.Join(f.Dir, filepath.FromSlash(file))
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	// Anything else could keep the program waiting for ever.
	if !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "read", Path: name, Err: errors.New("this is no regular file")}
	}
	handle, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer handle.Close()
	text, err := io.ReadAll(io.LimitReader(handle, source.MaxBytes+1))
	if err != nil {
		return nil, err
	}
	f.lines[file] = strings.Split(string(text), "\n")
	return text, nil
}

// IDs gives the ids of all formulas that are documents, in alphabetical order.
func (f *Folder) IDs() []string { return slices.Sorted(maps.Keys(f.formulas)) }

// Formula gives a formula by its id, or by the name of its file in the folder. The
// error is a [*NoDocument], an [*UnknownError], or one of the file system.
func (f *Folder) Formula(name string) (formula.Formula, error) {
	id := idOf(filepath.ToSlash(name))
	elsewhere := strings.ContainsAny(name, `/\`) && !f.holds(name)
	if doc, ok := f.formulas[id]; ok && !elsewhere {
		return doc, nil
	}
	if file, ok := f.brokenFormula(id); ok && !elsewhere {
		return formula.Formula{}, f.broken[file]
	}
	if elsewhere {
		return formula.Formula{}, &UnknownError{What: "formula", Name: name}
	}
	return formula.Formula{}, &UnknownError{What: "formula", Name: id, Nearest: source.Nearest(id, f.IDs())}
}

// holds reports whether a path leads to a file of the formulas of this shop: from
// here, or from the shop folder.
func (f *Folder) holds(name string) bool {
	own, err := filepath.Abs(filepath.Join(f.Dir, "formulas"))
	if err != nil {
		return false
	}
	for _, path := range []string{name, filepath.Join(f.Dir, name)} {
		if path, err := filepath.Abs(path); err == nil && filepath.Dir(path) == own {
			return true
		}
	}
	return false
}

// brokenFormula gives the file that would be a formula if it were a document.
func (f *Folder) brokenFormula(id string) (file string, ok bool) {
	for _, file := range slices.Sorted(maps.Keys(f.broken)) {
		if path.Dir(file) == "formulas" && idOf(file) == id {
			return file, true
		}
	}
	return "", false
}

// Broken gives the errors of all files that are no documents or cannot be read, by
// file name.
func (f *Folder) Broken() []error {
	var all []error
	for _, file := range slices.Sorted(maps.Keys(f.broken)) {
		all = append(all, f.broken[file])
	}
	return all
}

// named gives the kind of document and the id that a file is named for, such as
// "materials/olive-oil". The folder of a year makes no difference.
func named(file string) string {
	kind, _, _ := strings.Cut(file, "/")
	return path.Join(kind, idOf(file))
}

// idOf gives the id that the name of a file stands for, without its folders and
// its ending.
func idOf(file string) string {
	name := file[strings.LastIndexByte(file, '/')+1:]
	return formula.ID(strings.TrimSuffix(strings.TrimSuffix(name, ".yaml"), ".yml"))
}
