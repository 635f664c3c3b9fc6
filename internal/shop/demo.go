package shop

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"saponym/internal/atomicfile"
)

//go:embed demo
var demo embed.FS

// WriteDemo makes the folder of an invented shop. Files that are there already
// are left as they are, so that running it again loses nothing that was changed.
// It gives the names of the files that it wrote.
func WriteDemo(dir string) (written []string, err error) {
	err = fs.WalkDir(demo, "demo", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel := strings.TrimPrefix(strings.TrimPrefix(name, "demo"), "/")
		target := filepath.Join(dir, filepath.FromSlash(rel))
		if entry.IsDir() {
			return os.MkdirAll(target, 0o755)
		}
		text, err := demo.ReadFile(name)
		if err != nil {
			return err
		}
		switch err := atomicfile.Create(target, text); {
		case errors.Is(err, fs.ErrExist):
			return nil
		case err != nil:
			return fmt.Errorf("writing the demo shop: %w", err)
		}
		written = append(written, rel)
		return nil
	})
	return written, err
}
