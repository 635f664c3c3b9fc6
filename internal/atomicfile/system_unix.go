//go:build unix

package atomicfile

import (
	"errors"
	"os"
	"syscall"
)

// lockFile opens a file, made where it is missing, and takes its lock, which
// ends when the file is closed.
func lockFile(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	if err := flock(f); err != nil {
		f.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, errHeld
		}
		return nil, &os.PathError{Op: "flock", Path: path, Err: err}
	}
	return f, nil
}

func flock(f *os.File) error {
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EINTR) {
			return err
		}
	}
}

// syncFolder brings the names in a folder to the disk. A file system that syncs
// no folders says that the call is invalid or not supported.
func (s system) syncFolder(path string) error {
	f, err := s.open(path, os.O_RDONLY, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	err = f.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		return nil
	}
	return err
}
