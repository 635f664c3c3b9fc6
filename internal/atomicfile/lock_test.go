package atomicfile_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"saponym/internal/atomicfile"
)

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

	c.kill(t, func(string) {})
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

func TestLockWithin(t *testing.T) {
	folder := t.TempDir()
	unlock, err := atomicfile.LockWithin(folder, 0)
	if err != nil {
		t.Fatalf("what nobody holds: %v", err)
	}
	for _, patience := range []time.Duration{-time.Second, 0, 20 * time.Millisecond} {
		_, err := atomicfile.LockWithin(folder, patience)
		var locked *atomicfile.LockedError
		if !errors.As(err, &locked) || locked.Dir != folder || locked.Process != os.Getpid() {
			t.Errorf("what is held for longer than %v: got %v, want the LockedError of this process", patience, err)
		}
	}

	time.AfterFunc(50*time.Millisecond, func() { unlock() })
	again, err := atomicfile.LockWithin(folder, time.Hour)
	if err != nil {
		t.Fatalf("what was held for a moment: %v", err)
	}
	if _, err := atomicfile.Lock(folder); err == nil {
		t.Error("the lock that was waited for is none")
	}
	if err := again(); err != nil {
		t.Error(err)
	}

	// Patience does not help where there is no folder.
	missing := filepath.Join(folder, "missing")
	if _, err := atomicfile.LockWithin(missing, time.Hour); err == nil || !strings.Contains(err.Error(), missing) {
		t.Errorf("a missing folder: got %v, want an error that names it", err)
	}
}

// Two processes count in the same file, and no count is lost.
func TestLockedCount(t *testing.T) {
	const rounds, processes = 1000, 2
	if folder := os.Getenv(childFolder); folder != "" {
		path := filepath.Join(folder, "number")
		fmt.Println("ready to count")
		io.ReadAll(os.Stdin)
		last, turns := -1, 0
		for range rounds {
			unlock, err := atomicfile.LockWithin(folder, 10*time.Minute)
			if err != nil {
				t.Fatal(err)
			}
			number, err := strconv.Atoi(read(t, path))
			if err != nil {
				t.Fatal(err)
			}
			if number != last {
				turns++
			}
			last = number + 1
			if err := atomicfile.Write(path, fmt.Append(nil, last)); err != nil {
				t.Fatal(err)
			}
			if err := unlock(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Duration(number%4) * time.Millisecond) // the other may have it
		}
		fmt.Println("counted in turns:", turns)
		return
	}
	folder := t.TempDir()
	path := filepath.Join(folder, "number")
	if err := atomicfile.Create(path, []byte("0")); err != nil {
		t.Fatal(err)
	}
	var children []*child
	for range processes {
		c := startChild(t, folder)
		c.said(t, "ready")
		children = append(children, c)
	}
	for _, c := range children {
		c.in.Close()
	}
	for _, c := range children {
		t.Log(c.said(t, "counted"))
	}
	if got, want := read(t, path), strconv.Itoa(rounds*processes); got != want {
		t.Errorf("the file says %s, want %s", got, want)
	}
	checkFolder(t, folder, atomicfile.Folder, "number")
}
