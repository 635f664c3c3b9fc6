package register

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// eachEntry gives every file in the folder of batches, and in those of the years below
// it, that is named as a document, live or frozen, in the order of the names.
func eachEntry(dir string, each func(folder string, entry fs.DirEntry) error) error {
	return inFolder(dir, "batches", true, each)
}

func inFolder(dir, folder string, deeper bool, each func(folder string, entry fs.DirEntry) error) error {
	entries, err := os.ReadDir(filepath.Join(dir, filepath.FromSlash(folder)))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		name := e.Name()
		switch {
		case strings.HasPrefix(name, "."): // of editors, and of writers that were killed
		case e.IsDir():
			if !deeper {
				continue
			}
			if err := inFolder(dir, path.Join(folder, name), false, each); err != nil {
				return err
			}
		case strings.HasSuffix(name, ".yaml"), strings.HasSuffix(name, ".yml"):
			if err := each(folder, e); err != nil {
				return err
			}
		}
	}
	return nil
}

// eachName gives their names.
func eachName(dir string, each func(folder, name string)) error {
	return eachEntry(dir, func(folder string, e fs.DirEntry) error {
		each(folder, e.Name())
		return nil
	})
}
