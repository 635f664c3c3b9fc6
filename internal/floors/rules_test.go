package floors_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// mostLines is where a file is cut in two.
const mostLines = 700

func TestFilesAreShort(t *testing.T) {
	for _, f := range sources(t) {
		if lines := strings.Count(f.text, "\n"); lines > mostLines && !ast.IsGenerated(f.syntax) {
			t.Errorf("%s has %d lines; the most is %d", f.path, lines, mostLines)
		}
	}
}

// leftOver finds the words that put work off. They are put together here, so
// that this file does not hold them.
var leftOver = regexp.MustCompile(`\b(TO` + `DO|FIX` + `ME|X` + `XX)\b`)

func TestNothingIsPutOff(t *testing.T) {
	for _, f := range sources(t) {
		for i, line := range strings.Split(f.text, "\n") {
			if leftOver.MatchString(line) {
				t.Errorf("%s:%d: %s", f.path, i+1, strings.TrimSpace(line))
			}
		}
	}
}

func TestPackagesSayWhatTheyAreFor(t *testing.T) {
	comments := map[string]string{}
	for _, f := range sources(t) {
		if !f.isTest() {
			comments[f.folder] += f.syntax.Doc.Text()
		}
	}
	for folder, comment := range comments {
		if comment == "" {
			t.Errorf("%s has no package comment", folder)
		}
	}
}

// mayReadClock lists who asks what time it is. Everybody else is told the day,
// so that the same folder gives the same bytes.
var mayReadClock = []string{"internal/cli", "internal/web"}

func TestClockIsReadAtTheDoor(t *testing.T) {
	for _, f := range sources(t) {
		if f.isTest() || slices.Contains(mayReadClock, f.folder) {
			continue
		}
		for _, line := range clockReadings(t, f.path, f.text) {
			t.Errorf("%s:%d reads the clock; only %s may", f.path, line, strings.Join(mayReadClock, " and "))
		}
	}
}

func TestClockReadings(t *testing.T) {
	tests := []struct {
		name string
		body string
		want int
	}{
		{"called", `import "time"; var x = time.Now()`, 1},
		{"passed on", `import "time"; var x = time.Now`, 1},
		{"by way of a difference", `import "time"; var x = time.Since(y) + time.Until(z)`, 2},
		{"under another name", `import clock "time"; var x = clock.Now()`, 1},
		{"another package", `import "example.org/time"; var x = time.Now()`, 0},
		{"a month", `import "time"; var x = time.January`, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := clockReadings(t, "x.go", "package x; "+tt.body); len(got) != tt.want {
				t.Errorf("%s: got %d readings, want %d", tt.body, len(got), tt.want)
			}
		})
	}
}

// clockReadings gives the lines on which a file uses time.Now, or one of the
// functions that call it.
func clockReadings(t *testing.T, path, text string) []int {
	t.Helper()
	set := token.NewFileSet()
	syntax, err := parser.ParseFile(set, path, text, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	name := ""
	for _, spec := range syntax.Imports {
		if spec.Path.Value == `"time"` {
			name = "time"
			if spec.Name != nil {
				name = spec.Name.Name
			}
		}
	}
	var lines []int
	ast.Inspect(syntax, func(n ast.Node) bool {
		selector, ok := n.(*ast.SelectorExpr)
		if !ok || name == "" {
			return true
		}
		from, ok := selector.X.(*ast.Ident)
		if ok && from.Name == name && slices.Contains([]string{"Now", "Since", "Until"}, selector.Sel.Name) {
			lines = append(lines, set.Position(n.Pos()).Line)
		}
		return true
	})
	return lines
}

// topLevel lists what may stand at the top of the repository, beside names that
// begin with a dot.
var topLevel = []string{
	"cmd", "internal", "inci", "templates", "testdata",
	"go.mod", "go.sum", "README.md", "DEVELOPERS.md",
}

func TestTopLevel(t *testing.T) {
	for _, name := range topLevelNames(t, moduleRoot(t)) {
		if name[0] != '.' && !slices.Contains(topLevel, name) {
			t.Errorf("%s stands at the top of the repository, where only these may: %s", name, strings.Join(topLevel, ", "))
		}
	}
}

// topLevelNames lists what git keeps at the top, or all that is there where git
// is not at hand.
func topLevelNames(t *testing.T, root string) []string {
	t.Helper()
	// The test cache does not see what git reads, but it sees the index here.
	_, err := os.Stat(filepath.Join(root, ".git", "index"))
	var names []string
	if err == nil {
		git := exec.Command("git", "ls-files", "-z")
		git.Dir = root
		if listed, err := git.Output(); err == nil {
			for path := range strings.SplitSeq(strings.TrimSuffix(string(listed), "\x00"), "\x00") {
				name, _, _ := strings.Cut(path, "/")
				names = append(names, name)
			}
			return slices.Compact(slices.Sorted(slices.Values(names)))
		}
	}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}
