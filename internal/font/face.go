// Package font holds the typefaces that labels are set in, and measures them.
//
// It takes the id of a face and gives a [Font], which says whether a text can be
// set in it, how far each character moves the pen, and how high its letters are.
// Heights come from the outlines, because the law speaks of printed letters and
// not of what a table in a font file says. Breaking lines is left to package
// text, and drawing to the back ends, which embed the bytes of the same face.
//
// Text is set from left to right, one glyph a character, with kerning. There is
// no shaping, so only scripts that need none can be set: Latin, Greek, Cyrillic.
package font

import (
	_ "embed" // the faces are part of the program
	"fmt"
	"strings"
	"sync"

	"golang.org/x/image/font/sfnt"

	"saponym/internal/scene"
)

// The faces. Both families are under the SIL Open Font License 1.1, whose text
// stands beside the files.
const (
	SansCondensed              scene.Face = "noto-sans-condensed"
	SansCondensedSemiBold      scene.Face = "noto-sans-condensed-semibold"
	SansExtraCondensed         scene.Face = "noto-sans-extracondensed"
	SansExtraCondensedSemiBold scene.Face = "noto-sans-extracondensed-semibold"
	SansExtraCondensedBold     scene.Face = "noto-sans-extracondensed-bold"
	SerifBold                  scene.Face = "yrsa-bold"
	SerifMediumItalic          scene.Face = "yrsa-medium-italic"
)

var (
	//go:embed faces/NotoSans-Condensed.ttf
	sansCondensed []byte
	//go:embed faces/NotoSans-CondensedSemiBold.ttf
	sansCondensedSemiBold []byte
	//go:embed faces/NotoSans-ExtraCondensed.ttf
	sansExtraCondensed []byte
	//go:embed faces/NotoSans-ExtraCondensedSemiBold.ttf
	sansExtraCondensedSemiBold []byte
	//go:embed faces/NotoSans-ExtraCondensedBold.ttf
	sansExtraCondensedBold []byte
	//go:embed faces/Yrsa-Bold.ttf
	yrsaBold []byte
	//go:embed faces/Yrsa-MediumItalic.ttf
	yrsaMediumItalic []byte
)

// A CSS says how a style sheet asks for a face.
type CSS struct {
	Families []string // the full name first: a browser does not find a width by Stretch alone
	Weight   int      // 400 is regular
	Stretch  string   // "normal", "condensed" or "extra-condensed"
	Italic   bool
}

// A Font is one face, ready for measuring. It is safe for concurrent use.
type Font struct {
	face   scene.Face
	css    CSS
	data   []byte
	parsed *sfnt.Font
	em     int64 // font units in an em
	glyphs sync.Map
	letter letters
}

// A face is one line of the table of faces, opened at most once.
type face struct {
	id   scene.Face
	css  CSS
	data *[]byte
	open func() (*Font, error)
}

var faces = table(
	face{id: SansCondensed, data: &sansCondensed,
		css: CSS{Families: []string{"Noto Sans Condensed", "Noto Sans"}, Weight: 400, Stretch: "condensed"}},
	face{id: SansCondensedSemiBold, data: &sansCondensedSemiBold,
		css: CSS{Families: []string{"Noto Sans Condensed SemiBold", "Noto Sans Condensed", "Noto Sans"}, Weight: 600, Stretch: "condensed"}},
	face{id: SansExtraCondensed, data: &sansExtraCondensed,
		css: CSS{Families: []string{"Noto Sans ExtraCondensed", "Noto Sans"}, Weight: 400, Stretch: "extra-condensed"}},
	face{id: SansExtraCondensedSemiBold, data: &sansExtraCondensedSemiBold,
		css: CSS{Families: []string{"Noto Sans ExtraCondensed SemiBold", "Noto Sans ExtraCondensed", "Noto Sans"}, Weight: 600, Stretch: "extra-condensed"}},
	face{id: SansExtraCondensedBold, data: &sansExtraCondensedBold,
		css: CSS{Families: []string{"Noto Sans ExtraCondensed", "Noto Sans"}, Weight: 700, Stretch: "extra-condensed"}},
	face{id: SerifBold, data: &yrsaBold,
		css: CSS{Families: []string{"Yrsa"}, Weight: 700, Stretch: "normal"}},
	face{id: SerifMediumItalic, data: &yrsaMediumItalic,
		css: CSS{Families: []string{"Yrsa Medium", "Yrsa"}, Weight: 500, Stretch: "normal", Italic: true}},
)

func table(lines ...face) []face {
	for i := range lines {
		lines[i].open = sync.OnceValues(lines[i].parse)
	}
	return lines
}

// Faces lists the ids of all faces.
func Faces() []scene.Face {
	ids := make([]scene.Face, len(faces))
	for i, f := range faces {
		ids[i] = f.id
	}
	return ids
}

// An UnknownFaceError says that there is no face of that id.
type UnknownFaceError struct{ Face scene.Face }

func (e *UnknownFaceError) Error() string {
	var known []string
	for _, id := range Faces() {
		known = append(known, string(id))
	}
	return fmt.Sprintf("there is no typeface %q; there are %s", e.Face, strings.Join(known, ", "))
}

// Open gives the font of a face. It reads the face once and is cheap after that.
// The error is an [*UnknownFaceError] unless the program itself is broken.
func Open(id scene.Face) (*Font, error) {
	for i := range faces {
		if faces[i].id == id {
			return faces[i].open()
		}
	}
	return nil, &UnknownFaceError{id}
}

func (f face) parse() (*Font, error) {
	parsed, err := sfnt.Parse(*f.data)
	if err != nil {
		return nil, fmt.Errorf("reading the typeface %s: %w", f.id, err)
	}
	opened := &Font{face: f.id, css: f.css, data: *f.data, parsed: parsed, em: int64(parsed.UnitsPerEm())}
	if err := opened.measureLetters(); err != nil {
		return nil, fmt.Errorf("measuring the typeface %s: %w", f.id, err)
	}
	return opened, nil
}

// Face gives the id of the font.
func (f *Font) Face() scene.Face { return f.face }

// CSS says how a style sheet asks for the font.
func (f *Font) CSS() CSS { return f.css }

// Bytes gives the TrueType file of the font. They must not be changed.
func (f *Font) Bytes() []byte { return f.data }
