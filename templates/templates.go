// Package templates holds the label templates and looks that come with the
// program, as data: what is printed, where, and how large. It has no logic;
// package band reads them. Each file says in its comments what its keys mean, so
// that a maker can copy one and change it.
package templates

import "embed"

// FS holds the files. A template file has the key "template", and a look file
// the key "look"; both begin with the id that the file is named for.
//
//go:embed *.yaml
var FS embed.FS
