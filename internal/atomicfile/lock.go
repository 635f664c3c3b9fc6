package atomicfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Folder is the folder inside a shop folder that holds what belongs to the
// program and not to the shop: the lock, and the copies for undoing.
const Folder = ".saponym"

// A LockedError says that another writer holds the lock of a shop folder.
type LockedError struct {
	Dir     string    // the shop folder
	Process int       // the number of the process that holds it, or 0 if it is not known
	Since   time.Time // since when, by the clock of the file system; zero if it is not known
}

func (e *LockedError) Error() string {
	var known []string
	if e.Process > 0 {
		known = append(known, "process "+strconv.Itoa(e.Process))
	}
	if !e.Since.IsZero() {
		known = append(known, "since "+e.Since.Format("2006-01-02 15:04"))
	}
	message := fmt.Sprintf("the shop folder %s is in use by another writer", e.Dir)
	if len(known) == 0 {
		return message
	}
	return message + " (" + strings.Join(known, ", ") + ")"
}

// errHeld is what lockFile gives when somebody else holds the lock.
var errHeld = errors.New("the lock is held")

// Lock takes the one lock for writers of a shop folder, without waiting. The
// error is a [*LockedError] if another process, or another part of this one,
// holds it. The lock ends with unlock, or with the process, however that ends;
// unlock may be called more than once.
//
// The lock is advisory: it stops nobody from reading, nor an editor from
// writing. It is the file .saponym/lock inside the folder, which stays there
// when the lock ends. It does not reach another computer on which a service
// keeps a copy of the folder.
func Lock(dir string) (unlock func() error, err error) {
	f, err := lock(dir)
	if errors.Is(err, errHeld) {
		return nil, heldBy(dir)
	}
	if err != nil {
		return nil, fmt.Errorf("locking the folder %s: %w", dir, err)
	}
	return sync.OnceValue(func() error {
		// An empty file names nobody who has left. Closing ends the lock.
		return errors.Join(f.Truncate(0), f.Close())
	}), nil
}

// LockWithin is [Lock] with patience: while another writer holds the lock it
// tries again every few milliseconds, and gives the [*LockedError] when patience
// is over. Those who wait are not served in the order in which they came.
func LockWithin(dir string, patience time.Duration) (unlock func() error, err error) {
	over := time.After(patience)
	for {
		unlock, err = Lock(dir)
		if !errors.As(err, new(*LockedError)) {
			return unlock, err
		}
		select {
		case <-over:
			return nil, err
		case <-time.After(5 * time.Millisecond):
		}
	}
}

func lock(dir string) (*os.File, error) {
	if err := os.Mkdir(filepath.Join(dir, Folder), 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, err
	}
	f, err := lockFile(lockPath(dir))
	if err != nil {
		return nil, err
	}
	// Who holds it is a courtesy to others; the lock stands without it.
	if f.Truncate(0) == nil {
		fmt.Fprintln(f, os.Getpid())
	}
	return f, nil
}

func lockPath(dir string) string { return filepath.Join(dir, Folder, "lock") }

// heldBy tells what the holder of a lock wrote into its file.
func heldBy(dir string) *LockedError {
	e := &LockedError{Dir: dir}
	if text, err := os.ReadFile(lockPath(dir)); err == nil {
		e.Process, _ = strconv.Atoi(strings.TrimSpace(string(text)))
	}
	if info, err := os.Stat(lockPath(dir)); err == nil && e.Process > 0 {
		e.Since = info.ModTime()
	}
	return e
}
