// Package outside runs the programs with which tests look at finished files from
// outside: PDF readers, bar code readers, a browser. It is for tests only.
package outside

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

// Run gives a file to an outside program, whose arguments name it as "FILE", and
// returns what the program says on its standard output. A machine that lacks the
// program skips the test, unless it is one that stands guard (the environment
// variable CI is set): there it is a failure.
func Run(t testing.TB, file []byte, program string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is not installed", program)
		}
		t.Skipf("%s is not installed", program)
	}
	name := filepath.Join(t.TempDir(), "test.pdf")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	args = slices.Clone(args)
	for i := range args {
		if args[i] == "FILE" {
			args[i] = name
		}
	}
	var stdout, stderr bytes.Buffer
	cmd := exec.Command(path, args...)
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %q: %v\n%s%s", program, args, err, stdout.Bytes(), stderr.Bytes())
	}
	return stdout.String()
}
