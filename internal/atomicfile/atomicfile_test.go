package atomicfile_test

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"saponym/internal/atomicfile"
)

// Tests that need a second process run themselves again in one, with the folder
// to work in as this variable of the environment.
const childFolder = "ATOMICFILE_TEST_FOLDER"

// A child is the test itself in another process. It begins its work when
// something is written to its input or the input ends.
type child struct {
	*exec.Cmd
	in  io.WriteCloser
	out *bufio.Scanner
}

func startChild(t *testing.T, folder string) *child {
	t.Helper()
	c := &child{Cmd: exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")}
	c.Env = append(os.Environ(), childFolder+"="+folder)
	c.Stderr = os.Stderr
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.in, c.out = in, bufio.NewScanner(out)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		c.in.Close()
		c.Process.Kill()
		c.Wait()
	})
	return c
}

// said waits for the child to say a word, and gives what follows it.
func (c *child) said(t *testing.T, word string) string {
	t.Helper()
	for c.out.Scan() {
		if rest, ok := strings.CutPrefix(c.out.Text(), word+" "); ok {
			return rest
		}
	}
	t.Fatalf("the other process ended without saying %q", word)
	return ""
}

func (c *child) kill(t *testing.T) {
	t.Helper()
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	c.Wait() // its error is that it was killed
}

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
					case name == "link":
						if data, err := os.ReadFile(path); err != nil || len(data) != len(content(i)) {
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

// A process that is killed in the middle of many writes leaves one whole content
// or another.
func TestKilledWriter(t *testing.T) {
	name := "a.yaml"
	if folder := os.Getenv(childFolder); folder != "" {
		for i := 0; ; i++ {
			if err := atomicfile.Write(filepath.Join(folder, name), content(i%26)); err != nil {
				t.Fatal(err)
			}
			fmt.Println("wrote", i)
		}
	}
	folder := t.TempDir()
	path := filepath.Join(folder, name)
	for round := range 20 {
		c := startChild(t, folder)
		for range 1 + round%4 {
			c.said(t, "wrote")
		}
		time.Sleep(time.Duration(round) * 150 * time.Microsecond) // somewhere in a write
		c.kill(t)

		data := read(t, path)
		if data == "" || data != string(content(int(data[0]-'A'))) {
			t.Fatalf("round %d: the file is not whole: %d bytes", round, len(data))
		}
		entries, err := os.ReadDir(folder)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			left := strings.HasPrefix(e.Name(), ".saponym-") && strings.HasSuffix(e.Name(), ".tmp")
			if e.Name() != name && !left {
				t.Errorf("round %d: %s was left in the folder", round, e.Name())
			}
		}
	}
	if err := atomicfile.Write(path, []byte("after")); err != nil || read(t, path) != "after" {
		t.Errorf("the next writer: %v, and the file holds %.40q", err, read(t, path))
	}
}

func TestLock(t *testing.T) {
	folder := t.TempDir()
	unlock, err := atomicfile.Lock(folder)
	if err != nil {
		t.Fatal(err)
	}
	var locked *atomicfile.LockedError
	if _, err := atomicfile.Lock(folder); !errors.As(err, &locked) {
		t.Errorf("a second time: got %v, want a LockedError", err)
	}
	other, err := atomicfile.Lock(t.TempDir())
	if err != nil {
		t.Errorf("another folder: %v", err)
	} else if err := other(); err != nil {
		t.Error(err)
	}
	for range 2 {
		if err := unlock(); err != nil {
			t.Errorf("unlock: %v", err)
		}
	}
	again, err := atomicfile.Lock(folder)
	if err != nil {
		t.Fatalf("after unlock: %v", err)
	}
	if err := unlock(); err != nil { // of the first lock: it must not end the second
		t.Error(err)
	}
	if _, err := atomicfile.Lock(folder); !errors.As(err, &locked) {
		t.Errorf("the second lock was ended by the first: %v", err)
	}
	if err := again(); err != nil {
		t.Error(err)
	}
	checkFolder(t, folder, ".saponym")
	checkFolder(t, filepath.Join(folder, ".saponym"), "lock")
}

func TestLockOfAnotherProcess(t *testing.T) {
	if folder := os.Getenv(childFolder); folder != "" {
		if _, err := atomicfile.Lock(folder); err != nil {
			t.Fatal(err)
		}
		fmt.Println("locked it")
		io.ReadAll(os.Stdin)
		return
	}
	folder := t.TempDir()
	before := time.Now()
	c := startChild(t, folder)
	c.said(t, "locked")

	_, err := atomicfile.Lock(folder)
	var locked *atomicfile.LockedError
	if !errors.As(err, &locked) {
		t.Fatalf("got %v, want a LockedError", err)
	}
	if locked.Dir != folder || locked.Process != c.Process.Pid || locked.Since.Before(before.Add(-time.Minute)) {
		t.Errorf("got %+v, want the folder %s and the process %d, since a moment ago", locked, folder, c.Process.Pid)
	}
	if says := fmt.Sprintf("%s is in use by another writer (process %d, since 20", folder, c.Process.Pid); !strings.Contains(err.Error(), says) {
		t.Errorf("the error is %q, want one that says %q", err, says)
	}

	c.kill(t)
	unlock, err := atomicfile.Lock(folder)
	if err != nil {
		t.Fatalf("after the other process was killed: %v", err)
	}
	if err := unlock(); err != nil {
		t.Error(err)
	}
}

func TestLockedErrorWithoutAName(t *testing.T) {
	err := &atomicfile.LockedError{Dir: "shop"}
	if want := "the shop folder shop is in use by another writer"; err.Error() != want {
		t.Errorf("got %q, want %q", err, want)
	}
}

func TestLockOfAFolderThatIsNone(t *testing.T) {
	for _, folder := range []string{"missing", "file"} {
		path := filepath.Join(t.TempDir(), folder)
		if folder == "file" {
			if err := os.WriteFile(path, nil, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		_, err := atomicfile.Lock(path)
		var locked *atomicfile.LockedError
		if err == nil || errors.As(err, &locked) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: got %v, want an error that names it", folder, err)
		}
	}
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
