package atomicfile

import (
	"errors"
	"os"
	"syscall"
)

// sharingViolation is the ERROR_SHARING_VIOLATION of Windows, which package
// syscall does not name.
const sharingViolation = syscall.Errno(32)

// lockFile opens a file, made where it is missing, in such a way that nobody
// else can open it for writing until it is closed.
func lockFile(path string) (*os.File, error) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return nil, &os.PathError{Op: "open", Path: path, Err: err}
	}
	handle, err := syscall.CreateFile(name, syscall.GENERIC_READ|syscall.GENERIC_WRITE, syscall.FILE_SHARE_READ,
		nil, syscall.OPEN_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if errors.Is(err, sharingViolation) {
		return nil, errHeld
	}
	if err != nil {
		return nil, &os.PathError{Op: "open", Path: path, Err: err}
	}
	return os.NewFile(uintptr(handle), path), nil
}

// syncFolder does nothing: Windows has no way to sync a folder, and its file
// systems keep a journal of names.
func (system) syncFolder(string) error { return nil }
