package cli_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"saponym/internal/outside"
)

// labelIn gives the arguments that label one formula of the demo on a day: the
// two days that tests use make two files of the same name.
func labelIn(dir, day string) []string {
	return []string{"label", "millpond", "--shop", dir, "--market", "us-soap", "--count", "3000", "--on", day}
}

// made makes the label of a day in a shop, and gives the file and its bytes.
func made(t *testing.T, dir, day string) (file string, data []byte) {
	t.Helper()
	saponym(t, dir, labelIn(dir, day)...)
	file = filepath.Join(dir, "out", "millpond-bar-us-soap.pdf")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return file, data
}

// look tells how a folder looks from outside, to see when anything in it changes.
func look(dir string) string {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err.Error()
	}
	var b strings.Builder
	for _, e := range entries {
		b.WriteString(e.Name())
		if info, err := e.Info(); err == nil {
			fmt.Fprintf(&b, " %d bytes of %v", info.Size(), info.ModTime())
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// A run that is killed while it writes leaves the old sheets or the new ones. It
// is killed when something in the folder has changed, or a moment later, until it
// was caught in the middle a few times.
func TestKilledRunLeavesNoTornFile(t *testing.T) {
	t.Parallel()
	dir := demoShop(t)
	_, before := made(t, dir, "2026-11-26")
	file, after := made(t, dir, "2026-11-27")
	if bytes.Equal(before, after) {
		t.Fatal("the two days make the same file: nothing could be told")
	}
	caught := 0
	for round := 0; round < 20 && caught < 3; round++ {
		if err := os.WriteFile(file, before, 0o644); err != nil {
			t.Fatal(err)
		}
		killed := killWhenWriting(t, filepath.Dir(file), time.Duration(round%4)*100*time.Microsecond, labelIn(dir, "2026-11-27"))
		switch now, err := os.ReadFile(file); {
		case err != nil:
			t.Fatal(err)
		case bytes.Equal(now, before) && killed:
			caught++
		case !bytes.Equal(now, before) && !bytes.Equal(now, after):
			t.Fatalf("round %d: the file has %d bytes that are neither the %d from before nor the %d from after", round, len(now), len(before), len(after))
		}
	}
	if caught == 0 {
		t.Skip("no run was caught in the middle of writing: nothing was shown")
	}

	// What such a run leaves is in nobody's way: the next one goes through.
	if _, now := made(t, dir, "2026-11-27"); !bytes.Equal(now, after) {
		t.Error("the file of the next run is another one")
	}
	outside.Run(t, after, "qpdf", "--check", "FILE")
}

// killWhenWriting runs the program and kills it some time after anything in a
// folder has changed. It reports whether that came before its end.
func killWhenWriting(t *testing.T, dir string, later time.Duration, args []string) bool {
	t.Helper()
	still := look(dir)
	cmd := exec.Command("saponym", args...)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		cmd.Wait() // how it ended is in its state
	}()
watching:
	for look(dir) == still {
		select {
		case <-ended:
			break watching
		default:
		}
	}
	time.Sleep(later)
	cmd.Process.Kill() // in vain where it has ended
	<-ended
	return !cmd.ProcessState.Exited()
}

// Runs at the same time on the same folder all succeed, each file is that of one
// of them, and nothing else is left behind.
func TestConcurrentRuns(t *testing.T) {
	t.Parallel()
	dir := demoShop(t)
	days := []string{"2026-11-26", "2026-11-27"}
	_, one := made(t, dir, days[0])
	file, other := made(t, dir, days[1])
	var wait sync.WaitGroup
	for i := range 6 {
		wait.Go(func() {
			cmd := exec.Command("saponym", labelIn(dir, days[i%2])...)
			if said, err := cmd.CombinedOutput(); err != nil {
				t.Errorf("run %d: %v\n%s", i, err, said)
			}
		})
	}
	done := make(chan struct{})
	go func() { wait.Wait(); close(done) }()
	for running := true; running; {
		select {
		case <-done:
			running = false
		default:
		}
		now, err := os.ReadFile(file) // at every moment the file is whole
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(now, one) && !bytes.Equal(now, other) {
			t.Fatalf("the file has %d bytes that are those of no run", len(now))
		}
		time.Sleep(time.Millisecond)
	}
	entries, err := os.ReadDir(filepath.Dir(file))
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != 1 {
		t.Errorf("the folder holds %v", entries)
	}
}
