package source

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A Tree is what a document, or a part of one, says: texts, lists and mappings,
// without places, styles and comments. It is what an edit is about. The zero
// Tree is a key that has no value.
type Tree struct {
	Shape  Shape
	Text   string  // of a text
	List   []Tree  // of a list
	Fields []Field // of a mapping, in the order of the file
}

// A Field is a key of a mapping with its value.
type Field struct {
	Key   string
	Value Tree
}

// NewText makes the Tree of a text, an amount or any other single value.
func NewText(text string) Tree { return Tree{Shape: IsText, Text: text} }

// NewList makes the Tree of a list.
func NewList(items ...Tree) Tree { return Tree{Shape: IsList, List: items} }

// NewMapping makes the Tree of a mapping.
func NewMapping(fields ...Field) Tree { return Tree{Shape: IsMapping, Fields: fields} }

// Equal reports whether two trees say the same, keys in the same order.
func (t Tree) Equal(u Tree) bool {
	return t.Shape == u.Shape && t.Text == u.Text &&
		slices.EqualFunc(t.List, u.List, Tree.Equal) &&
		slices.EqualFunc(t.Fields, u.Fields, func(a, b Field) bool { return a.Key == b.Key && a.Value.Equal(b.Value) })
}

// String gives the tree on one line of YAML.
func (t Tree) String() string {
	return t.inline(func(text string) string { return write(text, true) })
}

// inline gives the tree on one line, with its texts written by a function.
func (t Tree) inline(write func(string) string) string {
	var parts []string
	switch t.Shape {
	case IsText:
		return write(t.Text)
	case IsList:
		for _, item := range t.List {
			parts = append(parts, item.inline(write))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case IsMapping:
		for _, f := range t.Fields {
			parts = append(parts, f.inline(write))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return ""
}

// inline gives the key with its value on one line; see [Tree.String].
func (f Field) inline(write func(string) string) string {
	return strings.TrimRight(write(f.Key)+": "+f.Value.inline(write), " ")
}

// tree gives what a node says.
func (n *node) tree() Tree {
	switch n.kind {
	case scalar:
		return NewText(n.text)
	case list:
		t := NewList()
		for _, item := range n.items {
			t.List = append(t.List, item.tree())
		}
		return t
	case mapping:
		t := NewMapping()
		for _, e := range n.entries {
			t.Fields = append(t.Fields, Field{e.key.text, e.value.tree()})
		}
		return t
	}
	return Tree{}
}

// Tree gives what the whole document says.
func (d *Document) Tree() Tree { return d.root.tree() }

// At gives the part of the tree at a path, such as "pot[0].share"; the empty
// path is the whole. A path is made of keys with full stops between them and of
// places in lists, counted from 0. A key that has a full stop, a bracket or a
// quotation mark in it stands in double quotation marks; see [Key].
func (t Tree) At(path string) (Tree, bool) {
	steps, err := parsePath(path)
	if err != nil {
		return Tree{}, false
	}
	for _, s := range steps {
		i := s.in(t)
		if i < 0 {
			return Tree{}, false
		}
		t = t.child(i)
	}
	return t, true
}

// Key gives the path of a key in the mapping at a path.
func Key(path, key string) string {
	if key == "" || strings.ContainsAny(key, `.[]"\`) {
		key = strconv.Quote(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

// Item gives the path of an entry of the list at a path, counted from 0.
func Item(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }

// A step is one part of a path: a key, or a place in a list.
type step struct {
	key   string
	index int // -1 for a key
}

// in gives the number of the child of t that the step leads to, or -1.
func (s step) in(t Tree) int {
	switch {
	case s.index >= 0 && t.Shape == IsList && s.index < len(t.List):
		return s.index
	case s.index < 0 && t.Shape == IsMapping:
		return slices.IndexFunc(t.Fields, func(f Field) bool { return f.Key == s.key })
	}
	return -1
}

func (t Tree) child(i int) Tree {
	if t.Shape == IsList {
		return t.List[i]
	}
	return t.Fields[i].Value
}

// with gives the tree with another part at the steps. The steps lead somewhere.
func (t Tree) with(steps []step, change func(Tree) Tree) Tree {
	if len(steps) == 0 {
		return change(t)
	}
	i := steps[0].in(t)
	part := t.child(i).with(steps[1:], change)
	if t.Shape == IsList {
		t.List = slices.Clone(t.List)
		t.List[i] = part
		return t
	}
	t.Fields = slices.Clone(t.Fields)
	t.Fields[i].Value = part
	return t
}

// without gives the tree without its child i.
func (t Tree) without(i int) Tree {
	if t.Shape == IsList {
		t.List = slices.Delete(slices.Clone(t.List), i, i+1)
	} else {
		t.Fields = slices.Delete(slices.Clone(t.Fields), i, i+1)
	}
	return t
}

// parsePath reads a path.
func parsePath(path string) ([]step, error) {
	wrong := fmt.Errorf("%q is no path; write it as %q", path, `pot[0].share`)
	var steps []step
	for rest := path; rest != ""; {
		if inner, ok := strings.CutPrefix(rest, "["); ok {
			digits, after, found := strings.Cut(inner, "]")
			n, err := strconv.Atoi(digits)
			if !found || err != nil || n < 0 {
				return nil, wrong
			}
			steps, rest = append(steps, step{index: n}), after
			continue
		}
		if len(steps) > 0 {
			after, ok := strings.CutPrefix(rest, ".")
			if !ok {
				return nil, wrong
			}
			rest = after
		}
		if strings.HasPrefix(rest, `"`) {
			quoted, err := strconv.QuotedPrefix(rest)
			if err != nil {
				return nil, wrong
			}
			key, err := strconv.Unquote(quoted)
			if err != nil {
				return nil, wrong
			}
			steps, rest = append(steps, step{key, -1}), rest[len(quoted):]
			continue
		}
		end := strings.IndexAny(rest, ".[")
		if end < 0 {
			end = len(rest)
		}
		if end == 0 {
			return nil, wrong
		}
		steps, rest = append(steps, step{rest[:end], -1}), rest[end:]
	}
	return steps, nil
}
