package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"saponym/internal/atomicfile"
	"saponym/internal/render/pdf"
	"saponym/internal/render/svg"
	"saponym/internal/scene"
)

// A drawing is an answer with a picture, by itself and on a page.
type drawing interface {
	Picture() (scene.Scene, error)
	Document(author string) (scene.Document, error)
}

// pictureFormats are the values of a --format for text with a picture beside it.
var pictureFormats = []string{"text", "pdf", "svg"}

// knownPicture gives the error of a --format that is none of them.
func knownPicture(format string) error {
	if slices.Contains(pictureFormats, format) {
		return nil
	}
	return usageError{fmt.Errorf("--format is text, pdf or svg, not %q", format)}
}

// draw writes the picture of an answer into a folder, by default out in the shop folder,
// if one is asked for. It gives the file, or "".
func (t task) draw(d drawing, format, folder, name, title string) (string, error) {
	var data []byte
	switch format {
	case "svg":
		picture, err := d.Picture()
		if err != nil {
			return "", err
		}
		if data, err = svg.Write(picture, svg.Options{Title: title, Embed: true}); err != nil {
			return "", err
		}
	case "pdf":
		document, err := d.Document(t.folder.Shop.Maker.Name.V)
		if err != nil {
			return "", err
		}
		if data, err = pdf.Write(document); err != nil {
			return "", err
		}
	default:
		return "", nil
	}
	if folder == "" {
		folder = filepath.Join(t.folder.Dir, "out")
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	file := filepath.Join(folder, name+"."+format)
	return file, atomicfile.Write(file, data)
}
