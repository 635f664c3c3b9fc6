//go:build unix

package atomicfile_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"saponym/internal/atomicfile"
)

func TestWriteKeepsPermissions(t *testing.T) {
	folder := t.TempDir()
	for _, mode := range []fs.FileMode{0o600, 0o640, 0o666, 0o444, 0o755} {
		path := filepath.Join(folder, fmt.Sprintf("%o.yaml", mode))
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
		if err := atomicfile.Write(path, []byte("x")); err != nil {
			t.Fatal(err)
		}
		if got := permissions(t, path); got != mode {
			t.Errorf("a file with %o has %o after Write", mode, got)
		}
	}
	// A new file has what the umask leaves, like any file that is made here.
	plain := filepath.Join(folder, "plain")
	if err := os.WriteFile(plain, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	for name, make := range map[string]func(string, []byte) error{"written": atomicfile.Write, "created": atomicfile.Create} {
		path := filepath.Join(folder, name)
		if err := make(path, nil); err != nil {
			t.Fatal(err)
		}
		if got, want := permissions(t, path), permissions(t, plain); got != want {
			t.Errorf("a new file that is %s has %o, want %o", name, got, want)
		}
	}
}

func permissions(t *testing.T, path string) fs.FileMode {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return info.Mode().Perm()
}

func TestReadOnlyFolder(t *testing.T) {
	if folder := os.Getenv(childFolder); folder != "" {
		if os.Geteuid() == 0 { // whom no permission stops
			const nobody = 65534
			if err := syscall.Setuid(nobody); err != nil {
				t.Fatal(err)
			}
		}
		check := func(what, path string, err error) {
			if !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(), path) {
				t.Errorf("%s: got %v, want a lack of permission that names %s", what, err, path)
			}
		}
		old, fresh := filepath.Join(folder, "old"), filepath.Join(folder, "fresh")
		check("Write", old, atomicfile.Write(old, []byte("new")))
		check("Write", fresh, atomicfile.Write(fresh, []byte("new")))
		check("Create", fresh, atomicfile.Create(fresh, []byte("new")))
		check("Create without links", fresh, atomicfile.CreateBy(fresh, []byte("new"), noLinks))
		_, err := atomicfile.Lock(folder)
		check("Lock", folder, err)
		_, err = atomicfile.LockWithin(folder, time.Hour) // for which patience is no help
		check("LockWithin", folder, err)
		fmt.Println("tried all")
		if t.Failed() {
			os.Exit(1)
		}
		return
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "old"), []byte("old"), 0o666); err != nil {
		t.Fatal(err)
	}
	openPath(t, folder)
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(folder, 0o755) }) // so that it can be removed
	c := startChild(t, folder)
	c.said(t, "tried")
	if err := c.Wait(); err != nil {
		t.Errorf("the other process: %v", err)
	}
	if got := read(t, filepath.Join(folder, "old")); got != "old" {
		t.Errorf("the file holds %q, want %q", got, "old")
	}
	checkFolder(t, folder, "old")
}

// openPath lets every user reach a folder made by t.TempDir.
func openPath(t *testing.T, folder string) {
	t.Helper()
	for _, dir := range []string{folder, filepath.Dir(folder)} {
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
}

// checkNoSpace checks that each way to write a long text fails in the way of a
// full disk, with an error that names the file.
func checkNoSpace(t *testing.T, want error, old, fresh string) {
	t.Helper()
	for _, try := range []struct {
		what, path string
		do         func(path string, data []byte) error
	}{
		{"Write to a file", old, atomicfile.Write},
		{"Write to a new file", fresh, atomicfile.Write},
		{"Create", fresh, atomicfile.Create},
		{"Create without links", fresh, func(path string, data []byte) error {
			return atomicfile.CreateBy(path, data, noLinks)
		}},
	} {
		if err := try.do(try.path, content(0)); !errors.Is(err, want) || !strings.Contains(err.Error(), try.path) {
			t.Errorf("%s: got %v, want one that says %q and names the file", try.what, err, want)
		}
	}
}

// The disk is full in the middle of a file: the limit on the size of a file
// stands in for it.
func TestFullDisk(t *testing.T) {
	if folder := os.Getenv(childFolder); folder != "" {
		signal.Ignore(syscall.SIGXFSZ) // which would end the process
		limit := syscall.Rlimit{Cur: 4096, Max: 4096}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			t.Fatal(err)
		}
		old, fresh := filepath.Join(folder, "old"), filepath.Join(folder, "fresh")
		checkNoSpace(t, syscall.EFBIG, old, fresh)
		fmt.Println("tried all")
		if t.Failed() {
			os.Exit(1)
		}
		return
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "old"), []byte("old"), 0o666); err != nil {
		t.Fatal(err)
	}
	c := startChild(t, folder)
	c.said(t, "tried")
	if err := c.Wait(); err != nil {
		t.Errorf("the other process: %v", err)
	}
	if got := read(t, filepath.Join(folder, "old")); got != "old" {
		t.Errorf("the file holds %q, want %q", got, "old")
	}
	checkFolder(t, folder, "old")
}
