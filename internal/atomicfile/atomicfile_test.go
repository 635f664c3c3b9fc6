package atomicfile_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"saponym/internal/atomicfile"
)

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// checkFolder checks that a folder holds files of these names and nothing else.
func checkFolder(t *testing.T, folder string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if slices.Sort(want); !slices.Equal(got, want) {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

func TestWrite(t *testing.T) {
	tests := []struct {
		name string
		old  string // "" for no file
		data string
	}{
		{"a new file", "", "name: Hearth\n"},
		{"another content", "name: Husk\n", "name: Hearth\n"},
		{"a shorter content", strings.Repeat("x", 100_000), "y"},
		{"a long content", "x", strings.Repeat("y", 1_000_000)},
		{"nothing at all", "x", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "a.yaml")
			if tt.old != "" {
				if err := os.WriteFile(path, []byte(tt.old), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			if err := atomicfile.Write(path, []byte(tt.data)); err != nil {
				t.Fatal(err)
			}
			if got := read(t, path); got != tt.data {
				t.Errorf("the file holds %.40q, want %.40q", got, tt.data)
			}
			checkFolder(t, folder, "a.yaml")
		})
	}
}

func TestWriteFollowsLinks(t *testing.T) {
	folder := t.TempDir()
	target, link := filepath.Join(folder, "target.yaml"), filepath.Join(folder, "link.yaml")
	if err := os.WriteFile(target, []byte("old"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("target.yaml", link); err != nil {
		t.Skip("this system makes no symbolic links:", err)
	}
	if err := atomicfile.Write(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	if got := read(t, target); got != "new" {
		t.Errorf("the target holds %q, want %q", got, "new")
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("the link is no longer one: %v, %v", info.Mode(), err)
	}

	// A link is not replaced where its target is on a disk that is not there.
	nowhere := filepath.Join(folder, "nowhere.yaml")
	if err := os.Symlink(filepath.Join("missing", "a.yaml"), nowhere); err != nil {
		t.Fatal(err)
	}
	if err := atomicfile.Write(nowhere, []byte("new")); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), nowhere) {
		t.Errorf("by a link that points nowhere: got %v, want an error that names it", err)
	}
	checkFolder(t, folder, "link.yaml", "nowhere.yaml", "target.yaml")
}

func TestCreate(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "26330-01-S.yaml")
	if err := atomicfile.Create(path, []byte("first")); err != nil {
		t.Fatal(err)
	}
	err := atomicfile.Create(path, []byte("second"))
	if !errors.Is(err, fs.ErrExist) {
		t.Errorf("a second time: got %v, want one that is fs.ErrExist", err)
	}
	if got := read(t, path); got != "first" {
		t.Errorf("the file holds %q, want what came first", got)
	}
	checkFolder(t, folder, "26330-01-S.yaml")
}

// Whatever stands at a path, a file or not, is in the way of a new one.
func TestCreateRefusesAllThatExists(t *testing.T) {
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "folder"), 0o777); err != nil {
		t.Fatal(err)
	}
	names := []string{"folder"}
	if err := os.Symlink("nowhere", filepath.Join(folder, "dangling")); err == nil {
		names = append(names, "dangling")
	}
	for _, name := range names {
		if err := atomicfile.Create(filepath.Join(folder, name), []byte("x")); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: got %v, want one that is fs.ErrExist", name, err)
		}
	}
	checkFolder(t, folder, names...)
}

func noLinks(from, to string) error {
	return &os.LinkError{Op: "link", Old: from, New: to, Err: errors.ErrUnsupported}
}

func TestCreateWithoutLinks(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.yaml")
	if err := atomicfile.CreateBy(path, []byte("first"), noLinks); err != nil {
		t.Fatal(err)
	}
	if got := read(t, path); got != "first" {
		t.Errorf("the file holds %q, want %q", got, "first")
	}
	// Somebody who creates the file between the look and the link is not
	// overwritten either way.
	for name, link := range map[string]func(string, string) error{"link": os.Link, "no links": noLinks} {
		path := filepath.Join(folder, "b.yaml")
		err := atomicfile.CreateBy(path, []byte("late"), func(from, to string) error {
			if err := os.WriteFile(path, []byte("early"), 0o666); err != nil {
				t.Fatal(err)
			}
			return link(from, to)
		})
		if !errors.Is(err, fs.ErrExist) || read(t, path) != "early" {
			t.Errorf("%s: got %v and a file that holds %q, want fs.ErrExist and %q", name, err, read(t, path), "early")
		}
		checkFolder(t, folder, "a.yaml", "b.yaml")
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
	}
}

func TestErrorsNameTheFileAndLeaveNothing(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "file"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{
		filepath.Join(folder, "missing", "a.yaml"),
		filepath.Join(folder, "file", "a.yaml"),
		filepath.Join(folder, strings.Repeat("a", 300)),
	} {
		if err := atomicfile.Write(path, []byte("x")); err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("Write to %s: got %v, want an error that names it", path, err)
		}
		if err := atomicfile.Create(path, []byte("x")); err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("Create of %s: got %v, want an error that names it", path, err)
		}
	}
	if err := atomicfile.Write(folder, []byte("x")); err == nil || !strings.Contains(err.Error(), "not a regular file") {
		t.Errorf("Write to a folder: got %v", err)
	}
	if err := atomicfile.Write(os.DevNull, []byte("x")); err == nil {
		t.Error("Write replaced a device by a file")
	}
	checkFolder(t, folder, "file")
}

func TestConcurrentCreate(t *testing.T) {
	for name, link := range map[string]func(string, string) error{"link": os.Link, "no links": noLinks} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "a.yaml")
			won := make(chan int, 32)
			var all sync.WaitGroup
			for i := range cap(won) {
				all.Go(func() {
					switch err := atomicfile.CreateBy(path, content(i), link); {
					case err == nil:
						won <- i
					case !errors.Is(err, fs.ErrExist):
						t.Error(err)
					default:
						data, err := os.ReadFile(path)
						reserved := name == "no links" && len(data) == 0
						if err != nil || len(data) != len(content(i)) && !reserved {
							t.Errorf("a file that exists is not whole: %d bytes, %v", len(data), err)
						}
					}
				})
			}
			all.Wait()
			close(won)
			if len(won) != 1 {
				t.Fatalf("%d of %d succeeded, want 1", len(won), cap(won))
			}
			if winner := <-won; read(t, path) != string(content(winner)) {
				t.Errorf("the file does not hold what its creator %d wrote", winner)
			}
			checkFolder(t, folder, "a.yaml")
		})
	}
}

// content is a long text that tells who wrote it.
func content(i int) []byte { return bytes.Repeat([]byte{'A' + byte(i)}, 100_000) }

func TestProcessesCreate(t *testing.T) {
	const files, processes = 40, 4
	if folder := os.Getenv(childFolder); folder != "" {
		fmt.Println("ready to create")
		io.ReadAll(os.Stdin)
		var won []string
		for i := range files {
			name := fmt.Sprintf("%02d", i)
			err := atomicfile.Create(filepath.Join(folder, name), fmt.Append(nil, os.Getpid()))
			if err == nil {
				won = append(won, name)
			} else if !errors.Is(err, fs.ErrExist) {
				t.Fatal(err)
			}
		}
		fmt.Println("won ", strings.Join(won, " "))
		return
	}
	folder := t.TempDir()
	var children []*child
	for range processes {
		c := startChild(t, folder)
		c.said(t, "ready")
		children = append(children, c)
	}
	for _, c := range children {
		c.in.Close()
	}
	winner := map[string]int{}
	var names []string
	for _, c := range children {
		for _, name := range strings.Fields(c.said(t, "won")) {
			if other, twice := winner[name]; twice {
				t.Errorf("%s was created by %d and by %d", name, other, c.Process.Pid)
			}
			winner[name] = c.Process.Pid
			names = append(names, name)
		}
	}
	if len(names) != files {
		t.Errorf("%d files were created, want %d", len(names), files)
	}
	for name, pid := range winner {
		if got := read(t, filepath.Join(folder, name)); got != fmt.Sprint(pid) {
			t.Errorf("%s holds %q, want its creator %d", name, got, pid)
		}
	}
	checkFolder(t, folder, names...)
}

func BenchmarkWrite(b *testing.B) {
	if runtime.GOOS == "windows" {
		b.Log("folders are not synced here")
	}
	path := filepath.Join(b.TempDir(), "a.yaml")
	for b.Loop() {
		if err := atomicfile.Write(path, content(0)); err != nil {
			b.Fatal(err)
		}
	}
}
