package formula

import (
	"fmt"
	"net/url"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// A reporter takes the findings of checks that need no document: those of one
// file go to its document, those of a completed variant into a list.
type reporter func(f finding.Finding)

func (report reporter) stop(rule string, at finding.Pos, message, remedy string) {
	report(finding.Finding{Level: finding.Stop, Rule: rule, Message: message, At: at, Remedy: remedy})
}

func (report reporter) warn(rule string, at finding.Pos, message, remedy string) {
	report(finding.Finding{Level: finding.Warn, Rule: rule, Message: message, At: at, Remedy: remedy})
}

func (report reporter) note(rule string, at finding.Pos, message, remedy string) {
	report(finding.Finding{Level: finding.Note, Rule: rule, Message: message, At: at, Remedy: remedy})
}

// fileID takes the id of a document from the name of its file.
func fileID(file string, report reporter) string {
	id := baseName(file)
	if !IsID(id) {
		remedy := "name the file with small letters, digits and hyphens, such as hearth-husk.yaml"
		if better := ID(id); IsID(better) {
			remedy = fmt.Sprintf("name the file %s.yaml", better)
		}
		report.stop(RuleID, finding.Pos{File: file}, fmt.Sprintf("the name of the file makes the id %q, which has other characters than an id has", id), remedy)
	}
	return id
}

// reference reads a name that stands for a document of the shop or for a
// built-in substance. It is kept as it was typed; see [ID].
func reference(m *source.Map, key string, report reporter) Text {
	name := m.Text(key)
	if name.Given() && !IsID(ID(name.V)) {
		report.stop(RuleID, name.At, fmt.Sprintf("%q is no id: an id has letters from a to z, digits, and spaces or hyphens", name.V), "write the name of the file without its ending")
	}
	return name
}

// required reports that a document lacks something.
func required[T any](v source.Value[T], m *source.Map, key, what string, report reporter) {
	if m.Given() && !v.Given() && m.KeyAt(key).Line == 0 {
		report.stop(RuleMissing, m.At(), fmt.Sprintf("%q is missing: %s", key, what), fmt.Sprintf("add %q here", key))
	}
}

// present gives the keys that a mapping has, of those given, and the place of
// the last of them in the file.
func present(m *source.Map, keys ...string) (found []string, at finding.Pos) {
	for _, key := range keys {
		if place := m.KeyAt(key); place.Line > 0 {
			found = append(found, key)
			at = later(at, place)
		}
	}
	return found, at
}

// exactlyOne reports that a mapping has none, or several, of keys that exclude
// each other. The place of several is that of the last.
func exactlyOne(m *source.Map, what string, report reporter, keys ...string) {
	if found, _ := present(m, keys...); m.Given() && len(found) == 0 {
		report.stop(RuleOneOf, m.At(), fmt.Sprintf("%s has none of %s", what, listing(keys, "and")), "write one of them")
		return
	}
	atMostOne(m, what, report, keys...)
}

// atMostOne reports that a mapping has several of keys that exclude each other.
func atMostOne(m *source.Map, what string, report reporter, keys ...string) {
	if found, at := present(m, keys...); len(found) > 1 {
		report.stop(RuleOneOf, at, fmt.Sprintf("%s has %s, which exclude each other", what, listing(found, "and")), "keep one of them")
	}
}

// listing writes words as "a, b and c", each in quotation marks.
func listing(words []string, and string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = fmt.Sprintf("%q", w)
	}
	return joined(quoted, and)
}

// joined writes words as they are, with a word before the last.
func joined(words []string, and string) string {
	if len(words) == 1 {
		return words[0]
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " " + and + " " + words[last]
}

// chained writes how each of two or more ids leads to the next: "a" is like "b",
// which is like "c". Of a chain that nobody would read to its end the middle is left
// out.
func chained(ids []string, verb string) string {
	const mostRead = 24
	var words []string
	for i, id := range ids {
		switch {
		case len(ids) <= mostRead || i < mostRead/2 || i >= len(ids)-mostRead/2:
			words = append(words, fmt.Sprintf("%q", id))
		case i == mostRead/2:
			words = append(words, fmt.Sprintf("one of %d others", len(ids)-mostRead))
		}
	}
	return words[0] + " " + verb + " " + strings.Join(words[1:], ", which "+verb+" ")
}

// atMostWhole reports a share of a whole that is more than the whole.
func atMostWhole(v Share, what string, report reporter) {
	if v.Given() && v.V > measure.Whole {
		report.stop(RuleOver, v.At, fmt.Sprintf("%s is more than 100 %%", what), "write a share of at most 100 %")
	}
}

// places reads a mapping from places or languages to something.
func places[T any](m *source.Map, read func(m *source.Map, key string) T) map[string]T {
	var all map[string]T
	for _, key := range m.Keys() {
		if all == nil {
			all = map[string]T{}
		}
		all[key.V] = read(m, key.V)
	}
	return all
}

// named reads a mapping from ids to something. The ids are folded; see [ID].
func named[T any](m *source.Map, report reporter, read func(m *source.Map, key string) T) map[string]T {
	var all map[string]T
	for _, key := range m.Keys() {
		id := ID(key.V)
		if !IsID(id) {
			report.stop(RuleID, key.At, fmt.Sprintf("%q is no id: an id has letters from a to z, digits, and spaces or hyphens", key.V), "give it another name")
		}
		if _, ok := all[id]; ok {
			report.stop(source.RuleDuplicate, key.At, fmt.Sprintf("%q stands here again: spaces and hyphens are equal in names", key.V), "keep one of the two")
		}
		if all == nil {
			all = map[string]T{}
		}
		all[id] = read(m, key.V)
	}
	return all
}

// texts reads a mapping from free keys to texts.
func texts(m *source.Map, key string) map[string]Text {
	return places(m.Map(key), (*source.Map).Prose)
}

// webAddress reads an address that a browser can open.
func webAddress(m *source.Map, key string, report reporter) Text {
	v := m.Text(key)
	if !v.Given() {
		return v
	}
	u, err := url.Parse(v.V)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" || strings.ContainsRune(v.V, ' ') {
		report.stop(RuleLink, v.At, fmt.Sprintf("%q is no address of a web page", v.V), `write it in full, such as "https://larch.example/h"`)
	}
	return v
}

// percent writes a share for a message, without noughts at the end.
func percent(s measure.Share) string {
	digits := fmt.Sprintf("%d.%07d", s/measure.Percent, s%measure.Percent)
	return strings.TrimRight(strings.TrimRight(digits, "0"), ".") + " %"
}

// didYouMean gives the remedy for a name that is not among the names known.
func didYouMean(name string, known []string, otherwise string) string {
	if near := source.Nearest(name, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return otherwise
}
