package atomicfile

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// A system is all that Write and Create ask of the operating system. Tests put
// calls that fail in its place.
type system struct {
	lstat   func(path string) (fs.FileInfo, error)
	resolve func(path string) (string, error) // follows symbolic links
	open    func(path string, flag int, perm fs.FileMode) (file, error)
	rename  func(from, to string) error
	link    func(from, to string) error
	remove  func(path string) error
}

// A file is an open file or folder.
type file interface {
	io.Writer
	Chmod(fs.FileMode) error
	Sync() error
	io.Closer
}

var thisSystem = system{
	lstat:   os.Lstat,
	resolve: filepath.EvalSymlinks,
	open: func(path string, flag int, perm fs.FileMode) (file, error) {
		return os.OpenFile(path, flag, perm)
	},
	rename: os.Rename,
	link:   os.Link,
	remove: os.Remove,
}
