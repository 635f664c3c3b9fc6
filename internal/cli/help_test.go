package cli_test

import (
	"bytes"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saponym/internal/shop"
)

// saponym runs the program in a process of its own, in a folder.
func saponym(t *testing.T, dir string, args ...string) (stdout string) {
	t.Helper()
	cmd := exec.Command("saponym", args...)
	var out, errs bytes.Buffer
	cmd.Dir, cmd.Stdout, cmd.Stderr = dir, &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("saponym %q: %v\n%s%s", args, err, out.Bytes(), errs.Bytes())
	}
	return out.String()
}

// below gives the lines of a help text that stand under a heading.
func below(help, heading string) []string {
	_, rest, _ := strings.Cut(help, "\n"+heading+":\n")
	rest, _, _ = strings.Cut(rest, "\n\n")
	var lines []string
	for line := range strings.Lines(rest) {
		lines = append(lines, strings.TrimSpace(line))
	}
	return lines
}

// Each verb shows an example, and every example works as it stands in the folder
// in which the demo was made; so does what the demo says to go on with.
func TestExamplesWork(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var examples []string
	for line := range strings.Lines(saponym(t, dir, "demo")) {
		if line = strings.TrimSpace(line); strings.HasPrefix(line, "saponym ") && strings.Contains(line, "--shop") {
			line, _, _ = strings.Cut(line, "   ") // what follows says what it is
			examples = append(examples, line)
		}
	}
	if len(examples) == 0 {
		t.Error("the demo does not say how to go on")
	}
	verbs := below(saponym(t, dir, "help"), "Available Commands")
	for _, line := range below(saponym(t, dir, "batch", "--help"), "Available Commands") {
		verbs = append(verbs, "batch "+line)
	}
	for _, line := range verbs {
		verb := strings.Fields(line)[0]
		if verb == "help" || verb == "completion" { // these come with the command library
			continue
		}
		words := []string{verb}
		if verb == "batch" && strings.HasPrefix(line, "batch ") && !strings.HasPrefix(line, "batch  ") {
			words = strings.Fields(line)[:2]
			verb = strings.Join(words, " ")
		}
		own := below(saponym(t, dir, append(words, "--help")...), "Examples")
		if len(own) == 0 {
			t.Errorf("%s shows no example", verb)
		}
		for _, line := range own {
			if !strings.HasPrefix(line, "saponym "+verb) {
				t.Errorf("%s shows as an example: %q", verb, line)
			}
		}
		examples = append(examples, own...)
	}
	for _, verb := range []string{"demo", "check", "declare", "label"} {
		if !slices.ContainsFunc(verbs, func(line string) bool { return strings.HasPrefix(line, verb+" ") }) {
			t.Errorf("%s is not among the verbs: %q", verb, verbs)
		}
	}
	for _, line := range examples {
		t.Run(line, func(t *testing.T) {
			// Some of them write into the shop.
			dir := t.TempDir()
			if _, err := shop.WriteDemo(filepath.Join(dir, "saponym-demo")); err != nil {
				t.Fatal(err)
			}
			saponym(t, dir, inWords(line)[1:]...)
		})
	}
}

// inWords splits a line as a shell does.
func inWords(line string) []string {
	var words []string
	quoted, word := false, ""
	for _, r := range line + " " {
		switch {
		case r == '"':
			quoted = !quoted
		case r == ' ' && !quoted:
			if word != "" {
				words = append(words, word)
			}
			word = ""
		default:
			word += string(r)
		}
	}
	return words
}
