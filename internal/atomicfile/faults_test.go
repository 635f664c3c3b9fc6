//go:build unix

package atomicfile

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A machine does what a system is asked, and fails where the test wants it to.
// It remembers what a power cut would take away.
type machine struct {
	trouble
	noLinks bool // the file system has none
	folder  string

	calls     []string              // what was asked, in order
	kept      map[string]bool       // what it failed to remove
	unsynced  map[*machineFile]bool // files whose data are not on the disk
	namesLost bool                  // names were given since the folder was synced
	unclosed  int                   // files that are open
	spares    []*os.File            // each file that was made, opened a second time
}

// Trouble is which calls fail, and how.
type trouble struct {
	fails  func(call int) bool // calls are counted from 1
	err    error
	partly bool // a write that fails has written half of its data
}

// ask counts a call, and gives the error with which it fails.
func (m *machine) ask(call string) error {
	m.calls = append(m.calls, call)
	if m.fails(len(m.calls)) {
		return &fs.PathError{Op: call, Path: "(a call that the test lets fail)", Err: m.err}
	}
	return nil
}

func (m *machine) system() system {
	m.kept, m.unsynced = map[string]bool{}, map[*machineFile]bool{}
	named := func(call string, do func(from, to string) error) func(from, to string) error {
		return func(from, to string) error {
			if err := m.ask(call); err != nil {
				return err
			}
			m.namesLost = true
			return do(from, to)
		}
	}
	s := system{
		lstat: func(path string) (fs.FileInfo, error) {
			if err := m.ask("lstat"); err != nil {
				return nil, err
			}
			return os.Lstat(path)
		},
		resolve: func(path string) (string, error) {
			if err := m.ask("resolve"); err != nil {
				return "", err
			}
			return filepath.EvalSymlinks(path)
		},
		open: m.open,
		remove: func(path string) error {
			if err := m.ask("remove"); err != nil {
				m.kept[path] = true
				return err
			}
			return os.Remove(path)
		},
		rename: named("rename", os.Rename),
		link:   named("link", os.Link),
	}
	if m.noLinks {
		s.link = func(from, to string) error {
			return errors.Join(m.ask("link"), errors.ErrUnsupported)
		}
	}
	return s
}

// A machineFile is an open file, or the folder.
type machineFile struct {
	*os.File
	*machine
	// spare is the same file, opened a second time, by which data are taken away
	// after the file was closed and renamed. It is nil for the folder.
	spare *os.File
}

func (m *machine) open(path string, flag int, perm fs.FileMode) (file, error) {
	if err := m.ask("open"); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, flag, perm)
	if err != nil {
		return nil, err
	}
	m.unclosed++
	if path == m.folder {
		return &machineFile{File: f, machine: m}, nil
	}
	m.namesLost = true
	spare, err := os.OpenFile(path, os.O_RDWR, 0)
	m.spares = append(m.spares, spare)
	return &machineFile{f, m, spare}, err
}

func (f *machineFile) Chmod(mode fs.FileMode) error {
	if err := f.ask("chmod"); err != nil {
		return err
	}
	return f.File.Chmod(mode)
}

func (f *machineFile) Write(data []byte) (n int, err error) {
	f.unsynced[f] = true
	if err := f.ask("write"); err != nil {
		if f.partly {
			n, _ = f.File.Write(data[:len(data)/2])
		}
		return n, err
	}
	return f.File.Write(data)
}

func (f *machineFile) Sync() error {
	if f.spare == nil {
		if err := f.ask("sync folder"); err != nil {
			return err
		}
		f.namesLost = false
		return nil
	}
	if err := f.ask("sync"); err != nil {
		return err
	}
	delete(f.unsynced, f)
	return nil
}

// Close closes the file even where it fails, as the systems do. A network file
// system that fails to close a file has not brought all of it to the disk.
func (f *machineFile) Close() error {
	if f.File.Close() == nil {
		f.unclosed--
	}
	if f.spare == nil {
		return f.ask("close folder")
	}
	err := f.ask("close")
	if err != nil {
		f.unsynced[f] = true
	}
	return err
}

// cutPower takes half of the data away that were not synced.
func (m *machine) cutPower(t *testing.T) {
	for f := range m.unsynced {
		info, err := f.spare.Stat()
		if err != nil {
			t.Fatal(err)
		}
		if err := f.spare.Truncate(info.Size() / 2); err != nil {
			t.Fatal(err)
		}
	}
}

// A deed is a use of this package whose every call is made to fail.
type deed struct {
	name    string
	old     string // what the file holds before; "" for no file
	link    bool   // the file is reached by a symbolic link
	create  bool   // and not Write
	noLinks bool
	calls   string // what it asks of a system in which nothing fails
}

const (
	filled = "open, write, sync, close, "
	synced = ", open, sync folder, close folder"
)

var deeds = []deed{
	{name: "Write to a file", old: "the old content",
		calls: "lstat, open, chmod, write, sync, close, rename" + synced},
	{name: "Write to a new file",
		calls: "lstat, " + filled + "rename" + synced},
	{name: "Write by a symbolic link", old: "the old content", link: true,
		calls: "lstat, resolve, lstat, open, chmod, write, sync, close, rename" + synced},
	{name: "Create", create: true,
		calls: "lstat, " + filled + "link" + synced + ", remove"},
	{name: "Create without links", create: true, noLinks: true,
		calls: "lstat, " + filled + "link, " + filled + "rename" + synced + ", remove"},
	{name: "Create of what exists", create: true, old: "the old content",
		calls: "lstat"},
	{name: "Create of what exists without links", create: true, noLinks: true, old: "the old content",
		calls: "lstat"},
}

const fresh = "the new content, which is longer"

// An outcome is what is there after a deed in a machine that had trouble.
type outcome struct {
	*machine
	path    string   // of the file
	err     error    // of the deed
	content string   // of the file
	exists  bool     // the file is there
	others  []string // other files in its folder, by their paths
}

// do does a deed in a new folder. With stops, a power cut follows.
func (d deed) do(t *testing.T, w trouble, stops bool) outcome {
	t.Helper()
	folder, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	m := &machine{trouble: w, noLinks: d.noLinks, folder: folder}
	o := outcome{machine: m, path: filepath.Join(folder, "a.yaml")}
	if d.old != "" {
		if err := os.WriteFile(o.path, []byte(d.old), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	given := o.path
	if d.link {
		given = filepath.Join(t.TempDir(), "link.yaml")
		if err := os.Symlink(o.path, given); err != nil {
			t.Fatal(err)
		}
	}
	if d.create {
		o.err = m.system().create(given, []byte(fresh))
	} else {
		o.err = m.system().write(given, []byte(fresh))
	}
	if o.err != nil && !strings.Contains(o.err.Error(), given) {
		t.Errorf("the error %q does not name %s", o.err, given)
	}
	if o.err == nil && (len(m.unsynced) > 0 || m.namesLost) {
		t.Errorf("there is no error, and a power cut would still take something away")
	}
	if m.unclosed != 0 {
		t.Errorf("%d files are open still", m.unclosed)
	}
	if stops {
		m.cutPower(t)
	}
	for _, f := range m.spares {
		f.Close()
	}
	if d.link {
		if info, err := os.Lstat(given); err != nil || info.Mode()&fs.ModeSymlink == 0 {
			t.Errorf("the symbolic link is none any more: %v", err)
		}
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		path := filepath.Join(folder, e.Name())
		if path != o.path {
			o.others = append(o.others, path)
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		o.content, o.exists = string(data), true
		if info, err := e.Info(); d.old != "" && (err != nil || info.Mode().Perm() != 0o640) {
			t.Errorf("the permissions of the file did not stay: %v, %v", info.Mode(), err)
		}
	}
	return o
}

// checkWhole checks that the file holds the old content or the new one, and the
// new one if there was no error.
func (d deed) checkWhole(t *testing.T, o outcome) {
	t.Helper()
	switch {
	case o.exists && o.content == fresh && !(d.create && d.old != ""):
	case o.exists == (d.old != "") && o.content == d.old && o.err != nil:
	default:
		t.Errorf("the file (there: %t) holds %q, with the error %v", o.exists, o.content, o.err)
	}
}

func nothing(int) bool { return false }

func TestCalls(t *testing.T) {
	for _, d := range deeds {
		t.Run(d.name, func(t *testing.T) {
			o := d.do(t, trouble{fails: nothing}, true)
			d.checkWhole(t, o)
			if got := strings.Join(o.calls, ", "); got != d.calls {
				t.Errorf("got the calls\n%s\nwant\n%s", got, d.calls)
			}
			if len(o.others) > 0 {
				t.Errorf("there are other files: %q", o.others)
			}
			if exists := d.create && d.old != ""; exists != errors.Is(o.err, fs.ErrExist) || !exists && o.err != nil {
				t.Errorf("got the error %v", o.err)
			}
		})
	}
}

// One call fails, or two of them: nothing is left but the file, and what could
// not be removed. Where Create fails there is no file.
func TestCallsFail(t *testing.T) {
	for _, d := range deeds {
		t.Run(d.name, func(t *testing.T) {
			for _, w := range []trouble{
				{err: syscall.EIO}, {err: syscall.ENOSPC}, {err: syscall.EACCES}, {err: syscall.ENOSPC, partly: true},
			} {
				for first := 1; ; first++ {
					reached := 0
					for second := first; second == first || second <= reached; second++ {
						w.fails = func(call int) bool { return call == first || call == second }
						o := d.do(t, w, false)
						reached = max(reached, len(o.calls))
						d.checkFailed(t, o, w)
						if t.Failed() {
							t.Fatalf("when the calls %d and %d of %q fail with %v", first, second, o.calls, w.err)
						}
					}
					if reached < first {
						break
					}
				}
			}
		})
	}
}

func (d deed) checkFailed(t *testing.T, o outcome, w trouble) {
	if d.create && o.err != nil && o.kept[o.path] {
		// It was created, and could not be taken back.
		if o.content != fresh && o.content != "" {
			t.Errorf("the file holds %q", o.content)
		}
	} else {
		d.checkWhole(t, o)
		if d.create && d.old == "" && o.err != nil && o.exists {
			t.Errorf("there is a file, and the error %v", o.err)
		}
	}
	for _, path := range o.others {
		if !o.kept[path] {
			t.Errorf("%s was left", path)
		}
	}
	if o.err != nil && !errors.Is(o.err, w.err) && !errors.Is(o.err, fs.ErrExist) {
		t.Errorf("the error %v does not say %v", o.err, w.err)
	}
}

// The machine stops at a call, and the power is cut: at most one hidden file is
// left beside a whole one, or, without links, beside one that only holds its name.
func TestMachineStops(t *testing.T) {
	for _, d := range deeds {
		t.Run(d.name, func(t *testing.T) {
			for _, partly := range []bool{false, true} {
				for last := 1; ; last++ {
					w := trouble{fails: func(call int) bool { return call >= last }, err: syscall.EIO, partly: partly}
					o := d.do(t, w, true)
					if !(d.noLinks && d.old == "" && o.exists && o.content == "" && o.err != nil) {
						d.checkWhole(t, o)
					}
					if len(o.others) > 1 {
						t.Errorf("more than one file is left: %q", o.others)
					}
					for _, path := range o.others {
						if hidden, err := filepath.Match(".saponym-*.tmp", filepath.Base(path)); err != nil || !hidden {
							t.Errorf("%s is left", path)
						}
					}
					if t.Failed() {
						t.Fatalf("when the machine stops at call %d of %q", last, o.calls)
					}
					if len(o.calls) < last {
						break
					}
				}
			}
		})
	}
}

// Some file systems sync no folders, and say so.
func TestFoldersThatAreNotSynced(t *testing.T) {
	for _, says := range []error{syscall.EINVAL, syscall.ENOTSUP} {
		folder := t.TempDir()
		m := &machine{folder: folder, trouble: trouble{err: says}}
		m.fails = func(call int) bool { return m.calls[call-1] == "sync folder" }
		path := filepath.Join(folder, "a.yaml")
		if err := m.system().create(path, []byte("created")); err != nil {
			t.Errorf("Create, where syncing the folder says %v: %v", says, err)
		}
		if err := m.system().write(path, []byte("written")); err != nil {
			t.Errorf("Write, where syncing the folder says %v: %v", says, err)
		}
		if data, err := os.ReadFile(path); err != nil || !bytes.Equal(data, []byte("written")) {
			t.Errorf("the file holds %q, %v", data, err)
		}
		if calls := fmt.Sprint(m.calls); strings.Count(calls, "sync folder") != 2 {
			t.Errorf("the folder was not synced twice: %s", calls)
		}
	}
}
