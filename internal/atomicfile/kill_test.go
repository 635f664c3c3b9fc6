package atomicfile_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"saponym/internal/atomicfile"
)

// killRounds is the variable of the environment that says how many processes are
// killed in each of these tests.
const killRounds = "SAPONYM_KILL_ROUNDS"

// killOften lets other processes do a thing over and over, in a folder of their
// own, kills each at another moment, and looks at what is there. The things are
// numbered; done is the last that is known to be done, so the next is the one
// that may have been cut short. look gives a few words for how far that was.
func killOften(t *testing.T, do func(folder string, i int) error, look func(t *testing.T, folder string, done int) string) {
	if folder := os.Getenv(childFolder); folder != "" {
		for i := 0; ; i++ {
			begun := time.Now()
			if err := do(folder, i); err != nil {
				t.Fatal(err)
			}
			fmt.Println("did", i, time.Since(begun).Nanoseconds())
		}
	}
	rounds := 20
	if text := os.Getenv(killRounds); text != "" {
		var err error
		if rounds, err = strconv.Atoi(text); err != nil || rounds < 1 {
			t.Fatalf("%s is %q, want how many processes are killed", killRounds, text)
		}
	}
	folder := filepath.Join(t.TempDir(), "shop")
	stages := map[string]int{}
	for round := range rounds {
		if err := os.Mkdir(folder, 0o777); err != nil {
			t.Fatal(err)
		}
		c := startChild(t, folder)
		var done, nanoseconds int
		hear := func(line string) {
			if _, err := fmt.Sscan(line, &done, &nanoseconds); err != nil {
				t.Fatalf("the other process said %q: %v", line, err)
			}
		}
		for range 1 + round%2 {
			hear(c.said(t, "did"))
		}
		// The rounds are spread evenly over the time that the last one took. A
		// sleep would be too coarse.
		_, part := math.Modf(float64(round) * math.Phi)
		for begun := time.Now(); time.Since(begun) < time.Duration(part*float64(nanoseconds)); {
		}
		c.kill(t, func(line string) {
			if rest, ok := strings.CutPrefix(line, "did "); ok {
				hear(rest)
			}
		})
		stages[look(t, folder, done)+", "+hidden(t, folder, done+1)]++
		if t.Failed() {
			t.Fatalf("round %d, after %d", round, done)
		}
		if err := os.RemoveAll(folder); err != nil {
			t.Fatal(err)
		}
	}
	for _, stage := range slices.Sorted(maps.Keys(stages)) {
		t.Logf("%6d × %s", stages[stage], stage)
	}
}

// hidden looks at the hidden file that a killed process left, of which there is
// at most one, and tells in a few words what is in it. Nobody reads such a file,
// so whatever is there of the content is right.
func hidden(t *testing.T, folder string, i int) string {
	t.Helper()
	left, err := filepath.Glob(filepath.Join(folder, ".saponym-*.tmp"))
	if err != nil {
		t.Fatal(err)
	}
	if len(left) == 0 {
		return "no hidden file"
	}
	if len(left) > 1 {
		t.Errorf("there are %d hidden files", len(left))
	}
	switch data := read(t, left[0]); {
	case data == "":
		return "an empty hidden file"
	case data == string(content(i%26)):
		return "a whole hidden file"
	default:
		return "a part in a hidden file"
	}
}

// A process that is killed while it writes a file again and again leaves the last
// content that it wrote, or the next one.
func TestKilledWriter(t *testing.T) {
	const name = "a.yaml"
	killOften(t, func(folder string, i int) error {
		return atomicfile.Write(filepath.Join(folder, name), content(i%26))
	}, func(t *testing.T, folder string, done int) string {
		checkNames(t, folder, func(other string) bool { return other == name })
		switch data := read(t, filepath.Join(folder, name)); data {
		case string(content(done % 26)):
			return "the old content"
		case string(content((done + 1) % 26)):
			return "the new content"
		default:
			t.Errorf("the file holds %d bytes that begin with %.10q", len(data), data)
			return "neither content"
		}
	})
}

func TestKilledCreator(t *testing.T) {
	killCreators(t, atomicfile.Create, false)
}

func TestKilledCreatorWithoutLinks(t *testing.T) {
	killCreators(t, func(path string, data []byte) error {
		return atomicfile.CreateBy(path, data, noLinks)
	}, true)
}

// killCreators kills processes that create one file after another. All that are
// known to be done are whole, and of the next there is nothing, or all, or, where
// that is how a name is reserved, an empty file.
func killCreators(t *testing.T, create func(path string, data []byte) error, reserves bool) {
	name := func(i int) string { return fmt.Sprintf("%06d.yaml", i) }
	killOften(t, func(folder string, i int) error {
		return create(filepath.Join(folder, name(i)), content(i%26))
	}, func(t *testing.T, folder string, done int) string {
		checkNames(t, folder, func(other string) bool { return other <= name(done+1) })
		for i := range done + 1 {
			if read(t, filepath.Join(folder, name(i))) != string(content(i%26)) {
				t.Errorf("%s is not whole, of %d that were created", name(i), done+1)
			}
		}
		next, err := os.ReadFile(filepath.Join(folder, name(done+1)))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return "no file"
		case err == nil && bytes.Equal(next, content((done+1)%26)):
			return "a whole file"
		case err == nil && len(next) == 0 && reserves:
			return "an empty file"
		default:
			t.Errorf("%s has %d bytes: %v", name(done+1), len(next), err)
			return "a broken file"
		}
	})
}

// checkNames checks that a folder has no files but those that are expected, and
// hidden ones.
func checkNames(t *testing.T, folder string, expected func(name string) bool) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".saponym-") && !expected(e.Name()) {
			t.Errorf("%s was left in the folder", e.Name())
		}
	}
}
