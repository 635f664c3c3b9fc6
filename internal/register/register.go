// Package register keeps the batches of a shop: it gives codes, writes the records
// as they grow, counts bars and labels, and finds the way from a lot to the bars and back.
//
// A record is the live file of a batch. It only grows: a correction is a new entry that
// names the one that it stands in place of. Every change is made under the lock of the
// folder, to the bytes of the file, so that all else in it stays as it is; it is read back
// before it is written, and what would make the record wrong is refused whole.
//
// Package formula says what a record can hold, and reads it. What is in the bars is for
// others to say.
package register

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"saponym/inci"
	"saponym/internal/atomicfile"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/source"
)

// patience is how long a writer waits for another one.
const patience = 10 * time.Second

// A Refused says that a record was not changed, since it would have been wrong after.
type Refused struct{ Findings []finding.Finding }

func (e *Refused) Error() string {
	var all []string
	for _, f := range e.Findings {
		all = append(all, f.Message)
	}
	return "nothing was written: " + strings.Join(all, "; ")
}

// refuse makes the error of one finding.
func refuse(rule string, at finding.Pos, remedy, message string, args ...any) *Refused {
	return &Refused{[]finding.Finding{{Level: finding.Stop, Rule: rule, At: at, Message: fmt.Sprintf(message, args...), Remedy: remedy}}}
}

// A Start says what a new record begins with.
type Start struct {
	Formula  string // the id; none for a material
	Material string // the id, of a batch that makes a material
	Made     day.Day
	Code     string // "" for the next one of the shop's form
	By       string
	Place    string
	Parents  []string
	Rework   string // the code of a batch that is worked again whole in this one

	// What the batch is made by, for the frozen record.
	Documents map[string]string
	Figures   []inci.Substance
}

// A Started is a record that was begun. File is its place in the shop folder.
type Started struct{ Code, File, Frozen string }

// Begin begins the record of a batch: it finds the next code that is free, and writes the
// frozen record and the live one. Two writers never get the same code, on one computer or
// on several that share the folder. The error is a [*FormError], a [*Refused], or one of
// the file system; then there is no new batch.
func Begin(dir string, codes formula.Codes, s Start) (started Started, err error) {
	form, err := NewForm(codes)
	if err != nil {
		return Started{}, err
	}
	unlock, err := atomicfile.LockWithin(dir, patience)
	if err != nil {
		return Started{}, err
	}
	defer func() { err = errors.Join(err, unlock()) }()
	taken, err := codesOf(dir)
	if err != nil {
		return Started{}, err
	}
	folder := path.Join("batches", s.Made.String()[:len("2006")])
	if err := os.MkdirAll(filepath.Join(dir, filepath.FromSlash(folder)), 0o777); err != nil {
		return Started{}, err
	}
	if s.Code != "" {
		if !isFileName(s.Code) {
			return Started{}, refuse(RuleCodes, finding.Pos{}, "use letters, digits and hyphens, such as LARCH-7", "%q cannot be a batch code, since its record is a file of that name", s.Code)
		}
		if taken[plain(s.Code)] {
			return Started{}, refuse(RuleCodes, finding.Pos{}, "choose another, or leave it out and get the next one", "there is a batch %q already", s.Code)
		}
		started, err = s.create(dir, folder, s.Code)
		if errors.Is(err, fs.ErrExist) {
			return Started{}, refuse(RuleCodes, finding.Pos{}, "choose another, or leave it out and get the next one", "there is a batch %q already", s.Code)
		}
		return started, err
	}
	for n := 1; n <= form.most(); n++ {
		code, ok := form.Code(s.Made, n)
		if !ok || taken[plain(code)] {
			continue
		}
		started, err = s.create(dir, folder, code)
		if !errors.Is(err, fs.ErrExist) {
			return started, err
		}
	}
	return Started{}, refuse(RuleCodes, codes.Pattern.At, "give the pattern one more N in shop.yaml", "all codes of %s are taken", s.Made)
}

// isFileName reports whether a code can be the name of a file everywhere.
func isFileName(code string) bool {
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-"
	// These are devices on Windows, whatever their ending.
	device := slices.Contains([]string{"CON", "PRN", "AUX", "NUL"}, strings.ToUpper(code)) ||
		len(code) == 4 && (strings.HasPrefix(strings.ToUpper(code), "COM") || strings.HasPrefix(strings.ToUpper(code), "LPT"))
	return code != "" && len(code) <= 40 && strings.Trim(code, letters) == "" && code == strings.Trim(code, "-") && !device
}

// codesOf gives all codes that files are named for, live or frozen, without hyphens.
func codesOf(dir string) (map[string]bool, error) {
	taken := map[string]bool{}
	err := eachName(dir, func(_, name string) {
		taken[plain(strings.TrimSuffix(codeOf(name), ".made"))] = true
	})
	return taken, err
}

// codeOf gives the code that a file is named for.
func codeOf(name string) string {
	return strings.TrimSuffix(strings.TrimSuffix(path.Base(name), ".yaml"), ".yml")
}

// create writes the two files of a new record. The frozen one comes first: whoever sees
// the live one finds what it was made by. Neither is left behind alone.
func (s Start) create(dir, folder, code string) (Started, error) {
	live := path.Join(folder, code+".yaml")
	frozen := formula.FrozenName(live)
	system := func(file string) string { return filepath.Join(dir, filepath.FromSlash(file)) }
	if err := s.readable(live, code); err != nil {
		return Started{}, err
	}
	// A live file that somebody wrote by hand, without a frozen one.
	if _, err := os.Lstat(system(live)); err == nil {
		return Started{}, fs.ErrExist
	}
	if err := atomicfile.Create(system(frozen), formula.WriteFrozen(code, s.Formula, s.Made, s.Documents, s.Figures)); err != nil {
		return Started{}, err
	}
	if err := atomicfile.Create(system(live), []byte(s.live(code))); err != nil {
		return Started{}, errors.Join(err, os.Remove(system(frozen)))
	}
	return Started{Code: code, File: live, Frozen: frozen}, nil
}

// readable refuses a record that could not be read back.
func (s Start) readable(live, code string) error {
	text := s.live(code)
	_, found, err := formula.ReadBatch(live, []byte(text))
	if none := (*source.NoDocument)(nil); errors.As(err, &none) {
		found = none.Findings
	} else if err != nil {
		return err
	}
	if stops := added(nil, found); len(stops) > 0 {
		return &Refused{stops}
	}
	return nil
}

// live gives the text of a new record. What it will hold is there and empty, in the order of
// the work, so that it grows line by line.
func (s Start) live(code string) string {
	var b strings.Builder
	field := func(key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%s: %s\n", key, source.NewText(value))
		}
	}
	field("code", code)
	field("formula", s.Formula)
	if s.Material != "" {
		field("makes", "material")
		field("material", s.Material)
	} else {
		field("makes", "bars")
	}
	field("made", s.Made.String())
	field("by", s.By)
	field("place", s.Place)
	parents := slices.Clone(s.Parents)
	if s.Rework != "" && !slices.Contains(parents, s.Rework) {
		parents = append(parents, s.Rework)
	}
	if len(parents) > 0 {
		var list []source.Tree
		for _, p := range parents {
			list = append(list, source.NewText(p))
		}
		fmt.Fprintf(&b, "parents: %s\n", source.NewList(list...))
	}
	if s.Rework != "" {
		fmt.Fprintf(&b, "weighed:\n  - {batch: %s}\n", source.NewText(s.Rework))
	} else {
		b.WriteString("weighed: []\n")
	}
	b.WriteString("cut: {}\nweighings: []\npacked: []\nruns: []\nevents: []\n")
	return b.String()
}

// An Entry is one addition to a record.
type Entry struct {
	List   string // "weighed", "weighings", "packed", "runs", "events", or "cut"
	Fields []source.Field
}

// Field makes a field of an entry; an empty value gives none.
func (e *Entry) Field(key, value string) {
	if value != "" {
		e.Fields = append(e.Fields, source.Field{Key: key, Value: source.NewText(value)})
	}
}

// Tree makes a field of an entry that is more than a text.
func (e *Entry) Tree(key string, value source.Tree) {
	e.Fields = append(e.Fields, source.Field{Key: key, Value: value})
}

// Change changes the record in a file of the shop folder. What is to be changed is asked
// for with the record as it stands; it is under the lock of the folder then. Today is the
// day on which this happens: what is to come cannot have happened. The error is a
// [*Refused], a [*source.NoDocument], a [*source.Conflict], a [*source.Unproved], or one of
// the file system; then the file is as it was. It gives the record as it is now.
func Change(dir, file string, today day.Day, changes func(b formula.Batch) ([]source.Edit, error)) (b formula.Batch, err error) {
	unlock, err := atomicfile.LockWithin(dir, patience)
	if err != nil {
		return formula.Batch{}, err
	}
	defer func() { err = errors.Join(err, unlock()) }()
	name := filepath.Join(dir, filepath.FromSlash(file))
	data, err := os.ReadFile(name)
	if err != nil {
		return formula.Batch{}, err
	}
	before, wrong, err := formula.ReadBatch(file, data)
	if err != nil {
		return formula.Batch{}, err
	}
	wrong = append(wrong, Check(before, today)...)
	edits, err := changes(before)
	if err != nil {
		return formula.Batch{}, err
	}
	changed, err := source.Apply(file, data, edits...)
	if err != nil {
		return formula.Batch{}, err
	}
	after, found, err := formula.ReadBatch(file, changed)
	if err != nil {
		return formula.Batch{}, err
	}
	found = append(found, Check(after, today)...)
	if more := added(wrong, found); len(more) > 0 {
		return formula.Batch{}, &Refused{more}
	}
	return after, atomicfile.Write(name, changed)
}

// added gives what stands against a change: the stops that were not there before, and days
// that are still to come. What was there once excuses one of its kind and no more.
func added(before, after []finding.Finding) []finding.Finding {
	before = slices.Clone(before)
	var more []finding.Finding
	for _, f := range after {
		i := slices.IndexFunc(before, func(g finding.Finding) bool { return g.Rule == f.Rule && g.Message == f.Message })
		switch {
		case i >= 0:
			before = slices.Delete(before, i, i+1)
		case f.Level == finding.Stop || f.Rule == RuleFuture:
			more = append(more, f)
		}
	}
	return more
}

// Add adds entries to a record; see [Change].
func Add(dir, file string, today day.Day, entries ...Entry) (formula.Batch, error) {
	return Change(dir, file, today, func(formula.Batch) ([]source.Edit, error) {
		text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(file)))
		if err != nil {
			return nil, err
		}
		var edits, last []source.Edit
		for _, e := range entries {
			if text, err = source.Apply(file, text, last...); err != nil {
				return nil, err
			}
			doc, err := source.Read(file, text)
			if err != nil {
				return nil, err
			}
			last = e.edits(doc.Tree())
			edits = append(edits, last...)
		}
		return edits, nil
	})
}

// edits gives the changes of a document that add an entry. A list that is not there yet is
// made. A first cutting is a mapping, as it is mostly the only one; with a second one it
// becomes a list.
func (e Entry) edits(tree source.Tree) []source.Edit {
	value := source.NewMapping(e.Fields...)
	now, there := tree.At(e.List)
	if e.List != "cut" {
		if there {
			return []source.Edit{source.Append{Path: e.List, Value: value}}
		}
		return []source.Edit{source.Insert{Key: e.List, Value: source.NewList()}, source.Append{Path: e.List, Value: value}}
	}
	switch {
	case !there:
		return []source.Edit{source.Insert{Key: "cut", Value: value}}
	case now.Shape == source.IsMapping && len(now.Fields) > 0:
		return []source.Edit{source.Wrap{Path: "cut", Value: value}}
	case now.Shape == source.IsMapping:
		var edits []source.Edit
		for _, f := range e.Fields {
			edits = append(edits, source.Insert{Path: "cut", Key: f.Key, Value: f.Value})
		}
		return edits
	}
	return []source.Edit{source.Append{Path: "cut", Value: value}}
}
