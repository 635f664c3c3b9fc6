package floors_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// The ids of findings are a public contract: each is well formed, stands in one
// place, and says beside it what it means. Those of the law stand in its data, and
// package market tests them.
func TestRuleIDs(t *testing.T) {
	form := regexp.MustCompile(`^[A-Z]+(-[A-Z]+)+$`)
	seen := map[string]string{}
	first := map[string]string{} // word of the ids, by package
	for _, f := range sources(t) {
		if f.isTest() {
			continue
		}
		syntax, err := parser.ParseFile(token.NewFileSet(), f.path, f.text, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(syntax, func(n ast.Node) bool {
			spec, ok := n.(*ast.ValueSpec)
			if !ok || len(spec.Values) != 1 || !strings.HasPrefix(spec.Names[0].Name, "Rule") {
				return true
			}
			literal, ok := spec.Values[0].(*ast.BasicLit)
			if !ok {
				return true
			}
			id, err := strconv.Unquote(literal.Value)
			switch {
			case err != nil || !form.MatchString(id):
				t.Errorf("%s: the id %q is not well formed", f.path, id)
			case first[f.folder] != "" && !strings.HasPrefix(id, first[f.folder]+"-"):
				t.Errorf("%s: the id %s does not begin with %s as others of its package do", f.path, id, first[f.folder])
			case seen[id] != "":
				t.Errorf("%s: the id %s stands in %s, too", f.path, id, seen[id])
			case spec.Comment == nil && spec.Doc == nil && !documented(syntax, spec):
				t.Errorf("%s: nothing says what %s means", f.path, id)
			}
			seen[id] = f.path
			first[f.folder], _, _ = strings.Cut(id, "-")
			return true
		})
	}
	if len(seen) < 80 {
		t.Errorf("only %d ids were found", len(seen))
	}
}

// documented reports whether a constant that is declared alone has its comment
// before the keyword.
func documented(file *ast.File, spec *ast.ValueSpec) bool {
	for _, decl := range file.Decls {
		if d, ok := decl.(*ast.GenDecl); ok && len(d.Specs) == 1 && d.Specs[0] == spec {
			return d.Doc != nil
		}
	}
	return false
}
