// Package source reads the files of a shop folder: YAML, strictly, with the
// place of each value, and changes them without touching anything else.
//
// The bytes of a file go in. Out comes a [Document], whose mappings are read
// key by key through the methods of [Map]: each takes the text as it was typed
// and makes a weight, a length, a share, a day of it, and reports what cannot
// be read with file, line, column and the nearest known word. YAML's own ideas
// of what a text means (octal numbers, dates, yes as true) play no part, and
// aliases, tags and merge keys are refused: what the file shows is what counts.
//
// [Apply] makes edits: it splices new text into the bytes and keeps the result
// only if that reads back as exactly the tree that was meant, comments and all.
//
// The package knows no soap. Which keys a document has, what they mean and what
// they may not be together is for the packages that read with it.
package source

import "saponym/internal/finding"

// A Value is something read from a document, with the place where it stands.
// The zero Value was not given.
type Value[T any] struct {
	V  T
	At finding.Pos
}

// Given reports whether the document has the value.
func (v Value[T]) Given() bool { return v.At.Line > 0 }
