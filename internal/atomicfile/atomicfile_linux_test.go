package atomicfile_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"saponym/internal/atomicfile"
)

// A small file system in memory, seen by one child alone, is filled until nothing
// goes on it. To mount it takes root, or a system that lets a user be root in a
// namespace of their own.
func TestFullFileSystem(t *testing.T) {
	if folder := os.Getenv(childFolder); folder != "" {
		if err := syscall.Mount("none", folder, "tmpfs", 0, "size=64k,nr_inodes=5"); err != nil {
			fmt.Println("tried nothing: mounting a file system in memory:", err)
			return
		}
		fillUp(t, folder)
		if t.Failed() {
			t.FailNow()
		}
		fmt.Println("tried all")
		return
	}
	folder := t.TempDir()
	c := newChild(t, folder)
	c.SysProcAttr = &syscall.SysProcAttr{Unshareflags: syscall.CLONE_NEWNS}
	if os.Geteuid() != 0 {
		c.SysProcAttr = &syscall.SysProcAttr{
			Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
			UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
			GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
		}
	}
	if err := c.start(t); err != nil {
		t.Skip("no process with mounts of its own can be started here:", err)
	}
	if said := c.said(t, "tried"); said != "all" {
		t.Skip("tried", said)
	}
	checkFolder(t, folder) // the mount was the child's alone
}

func fillUp(t *testing.T, folder string) {
	old, fresh, filler := filepath.Join(folder, "old"), filepath.Join(folder, "fresh"), filepath.Join(folder, "filler")
	oldText := strings.Repeat("o", 20_000)
	if err := atomicfile.Write(old, []byte(oldText)); err != nil {
		t.Fatal(err)
	}
	unharmed := func(when string) {
		t.Helper()
		if got := read(t, old); got != oldText {
			t.Errorf("%s: the file holds %d bytes that begin with %.10q", when, len(got), got)
		}
	}

	// There is space for a part of it.
	checkNoSpace(t, syscall.ENOSPC, old, fresh)
	unharmed("space for a part")
	checkFolder(t, folder, "old")

	// There is no space at all.
	if err := os.WriteFile(filler, make([]byte, 1<<20), 0o666); !errors.Is(err, syscall.ENOSPC) {
		t.Fatalf("filling the file system: %v", err)
	}
	checkNoSpace(t, syscall.ENOSPC, old, fresh)
	unharmed("no space")
	checkFolder(t, folder, "filler", "old")

	// There is space, and a single file more can be made, so that the hidden one
	// leaves none for the name.
	if err := os.Truncate(filler, 0); err != nil {
		t.Fatal(err)
	}
	names := []string{"filler", "old"}
	more := func() error {
		name := "more" + strconv.Itoa(len(names))
		err := os.WriteFile(filepath.Join(folder, name), nil, 0o666)
		if err == nil {
			names = append(names, name)
		}
		return err
	}
	for more() == nil {
	}
	last := names[len(names)-1]
	names = names[:len(names)-1]
	if err := os.Remove(filepath.Join(folder, last)); err != nil {
		t.Fatal(err)
	}
	for what, link := range map[string]func(from, to string) error{"Create": os.Link, "Create without links": noLinks} {
		if err := atomicfile.CreateBy(fresh, []byte("new"), link); !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("%s, with space for one file: %v", what, err)
		}
	}
	checkFolder(t, folder, names...)
	if err := atomicfile.Write(old, []byte("new")); err != nil || read(t, old) != "new" {
		t.Errorf("with space for one file: %v", err)
	}
	checkFolder(t, folder, names...)

	// A file system that may not be written, whoever writes.
	if err := syscall.Mount("none", folder, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	for what, err := range map[string]error{
		"Write":  atomicfile.Write(old, []byte("newer")),
		"Create": atomicfile.Create(fresh, []byte("newer")),
	} {
		if !errors.Is(err, syscall.EROFS) {
			t.Errorf("%s on a file system that is only read: %v", what, err)
		}
	}
	if read(t, old) != "new" {
		t.Errorf("the file holds %q", read(t, old))
	}
	checkFolder(t, folder, names...)
}
