// Package floors holds no code. Its tests read the sources of the module and
// hold them to the rules of the house: which package may import which, and how
// sources are kept. They read the files themselves, so that the test cache sees
// when one of them changes.
package floors_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "saponym"

// house is the list of all packages, with what each may import from this module
// beside floor 0, which is open to every floor above it. "*" is everything on
// the floors below. A name that ends in /* stands for each package in a folder.
//
// A package that is not here has no place yet: give it one here, and say in
// DEVELOPERS.md what it is for.
var house = []struct {
	floor int
	name  string
	may   string
}{
	{0, "internal/measure", ""},
	{0, "internal/day", ""},
	{0, "internal/finding", ""},
	{0, "internal/scene", "internal/measure internal/day"},
	{0, "internal/atomicfile", ""},
	{0, "internal/blend", ""},
	{0, "inci", ""},
	{0, "templates", ""},
	{0, "internal/outside", ""},
	{1, "internal/source", ""},
	{1, "internal/font", ""},
	{1, "internal/saponify", ""},
	{1, "internal/barcode", ""},
	{2, "internal/formula", "internal/source"},
	{2, "internal/market", "internal/source"},
	{2, "internal/phrase", "internal/source"},
	{2, "internal/text", "internal/font"},
	{2, "internal/render/pdf", "internal/font"},
	{2, "internal/render/svg", "internal/font"},
	{3, "internal/bar", "internal/formula internal/saponify"},
	{3, "internal/cure", "internal/market internal/formula"},
	{3, "internal/claims", "internal/market internal/source"},
	{3, "internal/intake", "internal/formula internal/source"},
	{3, "internal/shop", "internal/formula internal/source"},
	{3, "internal/register", "internal/formula internal/source internal/barcode"},
	{4, "internal/declare", "internal/bar internal/market"},
	{5, "internal/label", "internal/declare internal/cure internal/market internal/phrase internal/formula"},
	{5, "internal/trail", "internal/declare internal/bar internal/formula"},
	{6, "internal/band", "internal/label internal/text internal/barcode internal/font internal/source"},
	{6, "internal/page", "internal/text internal/font"},
	{6, "internal/figure", "internal/cure internal/trail internal/text internal/font"},
	{6, "internal/sheet", "internal/source internal/text internal/font"},
	{7, "internal/check", "internal/formula internal/bar internal/declare internal/claims internal/cure internal/label internal/font internal/market internal/barcode"},
	{8, "internal/paper/*", "internal/page internal/figure internal/band internal/check internal/label internal/trail internal/declare internal/cure internal/register internal/bar internal/market internal/formula"},
	{9, "internal/compile", "*"},
	{10, "internal/web", "internal/compile internal/shop internal/register internal/intake internal/render/*"},
	{11, "internal/cli", "internal/web internal/compile internal/shop internal/register internal/intake internal/render/*"},
	{12, "cmd/saponym", "internal/cli"},
}

// room gives the place of a package in the house, or -1.
func room(name string) int {
	for i, r := range house {
		if matches(r.name, name) {
			return i
		}
	}
	return -1
}

// matches reports whether a name, or a pattern that ends in /*, stands for a
// package.
func matches(pattern, name string) bool {
	if folder, ok := strings.CutSuffix(pattern, "*"); ok {
		rest, ok := strings.CutPrefix(name, folder)
		return ok && rest != "" && !strings.Contains(rest, "/")
	}
	return pattern == name
}

// mayImport says why a package may not import another, or "".
func mayImport(from, to string) string {
	f, t := room(from), room(to)
	switch {
	case f < 0:
		return from + " has no place in the house"
	case t < 0:
		return to + " has no place in the house"
	case house[t].floor == 0 && house[f].floor > 0:
		return ""
	}
	for _, pattern := range strings.Fields(house[f].may) {
		if matches(pattern, to) || pattern == "*" && house[t].floor < house[f].floor {
			return ""
		}
	}
	return from + " may not import " + to
}

func TestImportsGoDown(t *testing.T) {
	for _, f := range sources(t) {
		if f.isTest() {
			continue
		}
		if room(f.folder) < 0 {
			t.Errorf("%s: the package %s is not in the table of this test", f.path, f.folder)
			continue
		}
		for _, spec := range f.syntax.Imports {
			path, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			to, ours := strings.CutPrefix(path, module+"/")
			if !ours {
				continue
			}
			if why := mayImport(f.folder, to); why != "" {
				t.Errorf("%s: %s", f.position(spec.Pos()), why)
			}
		}
	}
}

// The table itself leads down, names each package once and only known ones.
func TestHouseStands(t *testing.T) {
	for i, r := range house {
		if i > 0 && r.floor < house[i-1].floor {
			t.Errorf("%s stands below its floor %d in the table", r.name, r.floor)
		}
		if room(strings.Replace(r.name, "*", "any", 1)) != i {
			t.Errorf("%s is in the table twice", r.name)
		}
		for _, pattern := range strings.Fields(r.may) {
			if pattern == "*" {
				continue
			}
			found := false
			for _, other := range house {
				if other.name != pattern && !matches(pattern, other.name) {
					continue
				}
				found = true
				if other.floor >= r.floor && other.floor > 0 {
					t.Errorf("%s on floor %d may import %s on floor %d", r.name, r.floor, other.name, other.floor)
				}
			}
			if !found {
				t.Errorf("%s may import %s, which is not in the table", r.name, pattern)
			}
		}
	}
}

func TestMayImport(t *testing.T) {
	tests := []struct {
		name     string
		from, to string
		want     string
	}{
		{"what the table names", "internal/formula", "internal/source", ""},
		{"floor 0 from above", "internal/font", "internal/scene", ""},
		{"floor 0 from floor 0, in the table", "internal/scene", "internal/measure", ""},
		{"floor 0 from floor 0, not in the table", "internal/day", "internal/measure", "internal/day may not import internal/measure"},
		{"down, but not in the table", "internal/label", "internal/bar", "internal/label may not import internal/bar"},
		{"up", "internal/source", "internal/formula", "internal/source may not import internal/formula"},
		{"sideways", "internal/market", "internal/formula", "internal/market may not import internal/formula"},
		{"all below", "internal/compile", "internal/paper/bench", ""},
		{"all below is not above", "internal/compile", "internal/web", "internal/compile may not import internal/web"},
		{"one of a folder", "internal/web", "internal/render/pdf", ""},
		{"a paper", "internal/paper/bench", "internal/page", ""},
		{"a paper from a paper", "internal/paper/bench", "internal/paper/card", "internal/paper/bench may not import internal/paper/card"},
		{"unknown", "internal/util", "internal/measure", "internal/util has no place in the house"},
		{"an unknown one", "internal/cli", "internal/util", "internal/util has no place in the house"},
		{"too deep in a folder", "internal/paper/bench/part", "internal/page", "internal/paper/bench/part has no place in the house"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := mayImport(tt.from, tt.to); got != tt.want {
				t.Errorf("%s to %s: got %q, want %q", tt.from, tt.to, got, tt.want)
			}
		})
	}
}

// A sourceFile is one Go file of the module.
type sourceFile struct {
	path   string // from the root of the module, with slashes
	folder string // the package, from the root of the module
	text   string
	set    *token.FileSet
	syntax *ast.File
}

func (f sourceFile) isTest() bool { return strings.HasSuffix(f.path, "_test.go") }

func (f sourceFile) position(p token.Pos) string {
	return f.path + ":" + strconv.Itoa(f.set.Position(p).Line)
}

// sources reads all Go files of the module. It takes of their syntax the package
// clause with its comment and the imports.
func sources(t *testing.T) []sourceFile {
	t.Helper()
	root := moduleRoot(t)
	var files []sourceFile
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := entry.Name()
		switch {
		case entry.IsDir() && path != root && (name == "testdata" || name[0] == '.' || name[0] == '_'):
			return filepath.SkipDir // as the go command does
		case entry.IsDir() || !strings.HasSuffix(name, ".go"):
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		set := token.NewFileSet()
		syntax, err := parser.ParseFile(set, path, text, parser.ImportsOnly|parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		files = append(files, sourceFile{rel, rel[:max(strings.LastIndex(rel, "/"), 0)], string(text), set, syntax})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(files, func(f sourceFile) bool { return f.folder == "internal/measure" }) {
		t.Fatalf("the sources under %s were not found", root)
	}
	return files
}

// moduleRoot gives the folder of go.mod, which is above this one.
func moduleRoot(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			t.Fatal("there is no go.mod above this test")
		}
		dir = parent
	}
}
