package pdf_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// run gives a file to an outside program, whose arguments name it as "FILE", and
// returns what the program says. A machine that lacks the program skips the test,
// unless it is one that stands guard.
func run(t *testing.T, file []byte, program string, args ...string) string {
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
