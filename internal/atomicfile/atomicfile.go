// Package atomicfile writes files whole or not at all, creates them
// exclusively, and holds the one lock of a shop folder.
//
// What is written is on the disk when a function returns without an error. A
// process that is killed while it writes leaves the old content or the new one,
// and at most a hidden file ".saponym-….tmp" beside it, which nobody reads. What
// the bytes mean is left to others.
package atomicfile

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Write replaces the content of the file at path, or makes the file. It keeps
// the permissions of a file that is there, and writes to where a symbolic link
// points. It fails, and leaves everything as it was, where path is something
// else than a regular file. If only the folder cannot be synced in the end, the
// new content is there, and the error says that it may not outlast a power cut.
func Write(path string, data []byte) error {
	if err := write(path, data); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

func write(path string, data []byte) error {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	mode := fs.FileMode(0) // of a new file: what the umask leaves
	switch info, err := os.Stat(path); {
	case err == nil && !info.Mode().IsRegular():
		return errors.New("this is not a regular file")
	case err == nil:
		mode = info.Mode().Perm()
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	temp, err := writeTemp(filepath.Dir(path), data, mode)
	if err != nil {
		return err
	}
	if err := os.Rename(temp, path); err != nil {
		return errors.Join(err, os.Remove(temp))
	}
	return syncFolder(filepath.Dir(path))
}

// Create writes data to a new file at path. The error wraps [fs.ErrExist] if
// there is something at path already, and of several that create the same file
// at once just one succeeds. It leaves nothing behind when it fails.
//
// The file appears whole, under its name, by a link. On a file system that has
// no links it is created under its name and then filled.
func Create(path string, data []byte) error {
	return create(path, data, os.Link)
}

func create(path string, data []byte, link func(from, to string) error) error {
	if err := createBy(path, data, link); err != nil {
		return fmt.Errorf("creating %s: %w", path, err)
	}
	return nil
}

func createBy(path string, data []byte, link func(from, to string) error) error {
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist // the usual case, without writing anything
	}
	temp, err := writeTemp(filepath.Dir(path), data, 0)
	if err != nil {
		return err
	}
	defer os.Remove(temp)
	switch err := link(temp, path); {
	case errors.Is(err, fs.ErrExist):
		return fs.ErrExist
	case err != nil:
		// Each system has errors of its own for links that it does not have.
		// Whatever else went wrong goes wrong here too.
		if err := fill(path, data, 0); err != nil {
			return err
		}
	}
	if err := syncFolder(filepath.Dir(path)); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}

// writeTemp writes data to a new file in a folder and gives its path. The name
// begins with a dot and ends in no suffix of a document, so that nobody who
// lists the folder takes it for one.
func writeTemp(folder string, data []byte, mode fs.FileMode) (path string, err error) {
	path = filepath.Join(folder, ".saponym-"+rand.Text()+".tmp")
	return path, fill(path, data, mode)
}

// fill makes a file, fills it and syncs it, and removes it again if it cannot.
// A mode other than 0 is that of the file; otherwise the umask decides.
func fill(path string, data []byte, mode fs.FileMode) (err error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close() // a second time does no harm
			err = errors.Join(err, os.Remove(path))
		}
	}()
	if mode != 0 {
		if err := f.Chmod(mode); err != nil {
			return err
		}
	}
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}
