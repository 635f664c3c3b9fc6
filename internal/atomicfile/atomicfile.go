// Package atomicfile writes files whole or not at all, creates them
// exclusively, and holds the one lock of a shop folder.
//
// What is written is on the disk when a function returns without an error. A
// process that is killed while it writes leaves the old content or the new one,
// and at most a hidden file ".saponym-….tmp" beside it, which nobody reads. (On a
// file system without hard links a file that is being created is empty for a
// moment, and stays so if the process is killed in it.) What the bytes mean is
// left to others.
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
// else than a regular file, or a link that points nowhere. If only the folder
// cannot be synced in the end, the new content is there, and the error says that
// it may not outlast a power cut.
func Write(path string, data []byte) error { return thisSystem.write(path, data) }

func (s system) write(path string, data []byte) error {
	if err := s.replace(path, data); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

func (s system) replace(path string, data []byte) error {
	info, err := s.lstat(path)
	if err == nil && info.Mode()&fs.ModeSymlink != 0 {
		if path, err = s.resolve(path); err != nil {
			return err
		}
		info, err = s.lstat(path)
	}
	mode := fs.FileMode(0) // of a new file: what the umask leaves
	switch {
	case err == nil && !info.Mode().IsRegular():
		return errors.New("this is not a regular file")
	case err == nil:
		mode = info.Mode().Perm()
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	temp, err := s.writeTemp(filepath.Dir(path), data, mode)
	if err != nil {
		return err
	}
	if err := s.rename(temp, path); err != nil {
		return errors.Join(err, s.remove(temp))
	}
	return s.syncFolder(filepath.Dir(path))
}

// Create writes data to a new file at path. The error wraps [fs.ErrExist] if
// there is something at path already, and of several that create the same file
// at once just one succeeds. It leaves nothing behind when it fails.
//
// The file appears whole, under its name, by a link. On a file system that has
// no links the name is reserved by an empty file, which the whole one then
// replaces: others see nothing, an empty file or the whole one. If the process is
// killed between the two, the empty file stays, and holds the name.
func Create(path string, data []byte) error { return thisSystem.create(path, data) }

func (s system) create(path string, data []byte) error {
	if err := s.createNew(path, data); err != nil {
		return fmt.Errorf("creating %s: %w", path, err)
	}
	return nil
}

func (s system) createNew(path string, data []byte) error {
	if _, err := s.lstat(path); err == nil {
		return fs.ErrExist // the usual case, without writing anything
	}
	temp, err := s.writeTemp(filepath.Dir(path), data, 0)
	if err != nil {
		return err
	}
	defer s.remove(temp) // which is gone already if it was renamed
	switch err := s.link(temp, path); {
	case errors.Is(err, fs.ErrExist):
		return fs.ErrExist
	case err != nil:
		// Each system has errors of its own for links that it does not have.
		// Whatever else went wrong goes wrong here too.
		if err := s.reserveAndRename(temp, path); err != nil {
			return err
		}
	}
	if err := s.syncFolder(filepath.Dir(path)); err != nil {
		return errors.Join(err, s.remove(path))
	}
	return nil
}

// reserveAndRename gives a file a name that nothing has, without a link. A rename
// alone would replace what somebody else has just created.
func (s system) reserveAndRename(from, to string) error {
	if err := s.fill(to, nil, 0); err != nil {
		return err
	}
	if err := s.rename(from, to); err != nil {
		return errors.Join(err, s.remove(to))
	}
	return nil
}

// writeTemp writes data to a new file in a folder and gives its path. The name
// begins with a dot and ends in no suffix of a document, so that nobody who
// lists the folder takes it for one.
func (s system) writeTemp(folder string, data []byte, mode fs.FileMode) (path string, err error) {
	path = filepath.Join(folder, ".saponym-"+rand.Text()+".tmp")
	return path, s.fill(path, data, mode)
}

// fill makes a file, fills it and syncs it, and removes it again if it cannot.
// A mode other than 0 is that of the file; otherwise the umask decides.
func (s system) fill(path string, data []byte, mode fs.FileMode) (err error) {
	f, err := s.open(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close() // a second time does no harm
			err = errors.Join(err, s.remove(path))
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
