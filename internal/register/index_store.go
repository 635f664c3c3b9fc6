package register

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"time"

	bolt "go.etcd.io/bbolt"

	"saponym/internal/atomicfile"
)

// version is that of what the index holds: another one is begun anew.
const version = "4"

// The buckets of the index.
var (
	bucketFiles = []byte("files") // file → size, time, Indexed
	bucketLots  = []byte("lots")  // folded lot, 0, file → the lot as written
	bucketFrom  = []byte("from")  // code, 0, file → nothing
)

// Options say where the index is kept and what is told on the way. Now is the time by the
// clock, which tells a file that may still change within one tick of it.
type Options struct {
	Cache    string // the folder; "" for that of the user
	Now      time.Time
	Progress func(done, total int) // called now and then while files are read
}

// waitForIndex is how long another process is waited for that has the index.
const waitForIndex = 30 * time.Second

// OpenIndex opens the index of a shop folder and brings it up to date. An index that is
// damaged is built anew; where none can be kept, one is built for this time only.
func OpenIndex(dir string, o Options) (*Index, error) {
	x := &Index{}
	folder, err := indexFolder(dir, o.Cache)
	if err == nil {
		x.folder = folder
		err = x.open()
	}
	if err != nil {
		if x.folder, err = os.MkdirTemp("", "saponym-index-"); err != nil {
			return nil, fmt.Errorf("there is no place for the index of the batches: %w", err)
		}
		x.passing = true
		if err := x.open(); err != nil {
			return nil, errors.Join(err, os.RemoveAll(x.folder))
		}
	}
	err = x.refresh(dir, o)
	if damaged := (*damage)(nil); errors.As(err, &damaged) {
		if err = x.anew(); err == nil {
			err = x.refresh(dir, o)
		}
	}
	if err != nil {
		return nil, errors.Join(err, x.Close())
	}
	return x, nil
}

// indexFolder gives the folder in which the index of a shop folder is kept.
func indexFolder(dir, cache string) (string, error) {
	if cache == "" {
		user, err := os.UserCacheDir()
		if err != nil {
			return "", err
		}
		cache = filepath.Join(user, "saponym")
	}
	whole, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if real, err := filepath.EvalSymlinks(whole); err == nil {
		whole = real
	}
	sum := sha256.Sum256([]byte(whole))
	return filepath.Join(cache, hex.EncodeToString(sum[:12])), nil
}

// A store is the file of an index, which one process has at a time. Its library maps the
// file into memory and trusts it, so beside it stands in what state it was left; a file in
// another state was cut off or written by somebody else, and is thrown away.
type store struct {
	db      *bolt.DB
	folder  string
	passing bool // it is thrown away when it is closed
	unlock  func() error
}

func (s *store) file() string  { return filepath.Join(s.folder, "batches.index") }
func (s *store) state() string { return filepath.Join(s.folder, "batches.state") }

// open opens the file, and begins it anew if it is not as it was left.
func (s *store) open() (err error) {
	if err := os.MkdirAll(s.folder, 0o700); err != nil {
		return err
	}
	if s.unlock, err = atomicfile.LockWithin(s.folder, waitForIndex); err != nil {
		return err
	}
	left, err := os.ReadFile(s.state())
	if now := s.now(); err == nil && now != "" && string(left) == now && s.load() == nil {
		return nil
	}
	if err := s.anew(); err != nil {
		return errors.Join(err, s.unlock())
	}
	return nil
}

// now gives the state of the file, or "" where there is none.
func (s *store) now() string {
	info, err := os.Stat(s.file())
	if err != nil || !info.Mode().IsRegular() {
		return ""
	}
	return fmt.Sprintf("%s %d %d\n", version, info.Size(), info.ModTime().UnixNano())
}

// anew throws the file away and begins an empty one.
func (s *store) anew() error {
	err := s.unload()
	if err := errors.Join(err, os.RemoveAll(s.state()), os.RemoveAll(s.file())); err != nil {
		return err
	}
	return s.load()
}

// load opens the file, made where it is missing, with its buckets.
func (s *store) load() error {
	return guarded(func() (err error) {
		if s.db, err = bolt.Open(s.file(), 0o600, &bolt.Options{Timeout: waitForIndex}); err != nil {
			s.db = nil
			return err
		}
		begun := false
		err = s.db.View(func(tx *bolt.Tx) error {
			begun = tx.Bucket(bucketFiles) != nil
			return nil
		})
		if err != nil || begun {
			return err
		}
		return s.db.Update(func(tx *bolt.Tx) error {
			for _, name := range [][]byte{bucketFiles, bucketLots, bucketFrom} {
				if _, err := tx.CreateBucket(name); err != nil {
					return err
				}
			}
			return nil
		})
	})
}

// unload closes the file.
func (s *store) unload() error {
	if s.db == nil {
		return nil
	}
	err := guarded(s.db.Close)
	s.db = nil
	return err
}

// Close ends the use of the index, and notes in what state it is left.
func (s *store) Close() error {
	err := s.unload()
	if s.passing {
		return errors.Join(err, s.unlock(), os.RemoveAll(s.folder))
	}
	if left, _ := os.ReadFile(s.state()); err == nil && string(left) != s.now() {
		err = os.WriteFile(s.state(), []byte(s.now()), 0o600)
	}
	return errors.Join(err, s.unlock())
}

// A damage says that the file of the index is not what was written.
type damage struct{ what any }

func (d *damage) Error() string {
	return fmt.Sprintf("the index of the batches is damaged: %v", d.what)
}

// guarded runs something that reads the file of the index. What a file that was changed
// under the reader does to it becomes an error.
func guarded(run func() error) (err error) {
	before := debug.SetPanicOnFault(true)
	defer func() {
		debug.SetPanicOnFault(before)
		if what := recover(); what != nil {
			err = &damage{what}
		}
	}()
	return run()
}
