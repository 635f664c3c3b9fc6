package formula_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"strconv"
	"testing"
)

// TestRuleIDs makes sure that each id of rules.go is well formed, stands there
// once and says what it means: ids are a public contract.
func TestRuleIDs(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "rules.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	form := regexp.MustCompile(`^FORM(-[A-Z]+)+$`)
	seen := map[string]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		id, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
		if err != nil || !form.MatchString(id) || seen[id] || spec.Comment == nil {
			t.Errorf("%s = %q: not well formed, there twice or without a comment", spec.Names[0], id)
		}
		seen[id] = true
		return true
	})
	if len(seen) < 20 {
		t.Errorf("only %d ids were found", len(seen))
	}
}
