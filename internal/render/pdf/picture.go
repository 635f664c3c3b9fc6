package pdf

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"

	"github.com/go-pdf/fpdf"

	"saponym/internal/scene"
)

// A picture is an image that is in the file.
type picture struct {
	name    string
	columns int     // pixels across
	stretch float64 // how much wider it is than the image that was asked for
}

// addPictures brings all images of a document into the file. It must be done
// before a form is made, which knows the pictures that were there before it.
func (w *writer) addPictures(doc scene.Document) error {
	for i := range doc.Sheets {
		for j := range doc.Sheets[i].Scenes {
			for k, item := range doc.Sheets[i].Scenes[j].Items {
				if item.Image == nil {
					continue
				}
				if err := w.addPicture(item.Image); err != nil {
					return &ItemError{Sheet: i, Scene: j, Item: k, Message: err.Error()}
				}
			}
		}
	}
	return nil
}

// addPicture brings one image into the file, once. A PNG is unpacked and packed
// again, because fpdf takes neither 16 bits a channel nor interlacing.
//
// fpdf writes images in the order of their width in pixels, and leaves those of
// one width in an order that is another each time. So no two may have the same
// width: one that would gets clear columns at its right side.
func (w *writer) addPicture(i *scene.Image) error {
	if _, ok := w.pictures[string(i.Data)]; ok {
		return nil
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(i.Data))
	if err != nil {
		return fmt.Errorf("reading a picture: %w", err)
	}
	columns := config.Width
	for w.hasWidth(columns) {
		columns++
	}
	data, format := i.Data, i.Format
	if format == "png" || columns != config.Width {
		decoded, _, err := image.Decode(bytes.NewReader(i.Data))
		if err != nil {
			return fmt.Errorf("reading a picture: %w", err)
		}
		canvas := image.NewNRGBA(image.Rect(0, 0, columns, config.Height))
		draw.Draw(canvas, image.Rect(0, 0, config.Width, config.Height), decoded, decoded.Bounds().Min, draw.Src)
		var b bytes.Buffer
		if err := png.Encode(&b, canvas); err != nil {
			return fmt.Errorf("packing a picture: %w", err)
		}
		data, format = b.Bytes(), "png"
	}
	p := picture{
		name:    fmt.Sprintf("picture-%d", len(w.pictures)),
		columns: columns,
		stretch: float64(columns) / float64(config.Width),
	}
	w.out.RegisterImageOptionsReader(p.name, fpdf.ImageOptions{ImageType: format}, bytes.NewReader(data))
	w.pictures[string(i.Data)] = p
	return w.out.Error()
}

func (w *writer) hasWidth(columns int) bool {
	for _, p := range w.pictures {
		if p.columns == columns {
			return true
		}
	}
	return false
}

// image draws a picture.
func (c *canvas) image(i *scene.Image, p picture) {
	c.flush()
	// fpdf measures down from the upper edge of its page or form.
	_, height := c.out.GetPageSize()
	x, y := c.dx+points(i.At.X), height-c.top+points(i.At.Y)
	c.out.ImageOptions(p.name, x, y, points(i.At.W)*p.stretch, points(i.At.H), false, fpdf.ImageOptions{AllowNegativePosition: true}, 0, "")
}
