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
