package register

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	bolt "go.etcd.io/bbolt"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/source"
)

// An Index answers questions on all batches of a shop without reading all files again. It
// is derived from the files, lies outside the shop folder, and may be thrown away at any
// time: it is brought up to date when it is opened, by the names, the sizes and the times
// of the files.
type Index struct {
	store
	orphan []string // frozen records without a live file
}

// A stamp tells one state of a file from another.
type stamp struct{ size, modified int64 }

// stampOf gives the stamp of a file. One that was written a moment ago may be written
// again within the same tick of its clock: it gets a stamp that no file has, so that it
// is read again next time.
func stampOf(info fs.FileInfo, now time.Time) stamp {
	s := stamp{info.Size(), info.ModTime().UnixNano()}
	tick := 100 * time.Millisecond
	if info.ModTime().Nanosecond() == 0 {
		tick = 2 * time.Second // as on a stick
	}
	if !now.IsZero() && now.Sub(info.ModTime()) < tick {
		s.modified = -1
	}
	return s
}

const stampBytes = 16

func (s stamp) bytes() []byte {
	return binary.BigEndian.AppendUint64(binary.BigEndian.AppendUint64(nil, uint64(s.size)), uint64(s.modified))
}

// A change is a file that has to be read, or one that is gone.
type change struct {
	file  string
	stamp stamp
	gone  bool
}

// chunk is how many files are read before the index is written: so much is in memory at
// once.
const chunk = 2000

// refresh brings the index up to date.
func (x *Index) refresh(dir string, o Options) error {
	var changes []change
	err := guarded(func() (err error) {
		changes, err = x.changes(dir, o.Now)
		return err
	})
	if err != nil {
		return err
	}
	for done := 0; done < len(changes); done += chunk {
		if o.Progress != nil {
			o.Progress(done, len(changes))
		}
		some := changes[done:min(done+chunk, len(changes))]
		entries := readAll(dir, some)
		err := guarded(func() error {
			return x.db.Update(func(tx *bolt.Tx) error {
				for i, c := range some {
					if err := put(tx, c, entries[i]); err != nil {
						return err
					}
				}
				return nil
			})
		})
		if err != nil {
			return err
		}
	}
	if o.Progress != nil {
		o.Progress(len(changes), len(changes))
	}
	return nil
}

// changes compares the files with what the index knows of them.
func (x *Index) changes(dir string, now time.Time) ([]change, error) {
	files, err := x.list(dir, now)
	if err != nil {
		return nil, err
	}
	var all []change
	err = x.db.View(func(tx *bolt.Tx) error {
		cursor := tx.Bucket(bucketFiles).Cursor()
		key, value := cursor.First()
		for _, f := range files {
			for key != nil && string(key) < f.file {
				all = append(all, change{file: string(key), gone: true})
				key, value = cursor.Next()
			}
			known := key != nil && string(key) == f.file
			if !known || len(value) < stampBytes || f.stamp.modified < 0 || !bytes.Equal(value[:stampBytes], f.stamp.bytes()) {
				all = append(all, f)
			}
			if known {
				key, value = cursor.Next()
			}
		}
		for ; key != nil; key, _ = cursor.Next() {
			all = append(all, change{file: string(key), gone: true})
		}
		return nil
	})
	return all, err
}

// list gives the live files in the order of their names, and notes the frozen ones that
// stand alone.
func (x *Index) list(dir string, now time.Time) ([]change, error) {
	var files []change
	var frozen []string
	x.orphan = nil
	err := eachEntry(dir, func(folder string, e fs.DirEntry) error {
		file := path.Join(folder, e.Name())
		if formula.IsFrozen(file) {
			frozen = append(frozen, file)
			return nil
		}
		info, err := e.Info()
		if errors.Is(err, fs.ErrNotExist) {
			return nil // taken away just now
		}
		if err != nil {
			return err
		}
		files = append(files, change{file: file, stamp: stampOf(info, now)})
		return nil
	})
	slices.SortFunc(files, func(a, b change) int { return strings.Compare(a.file, b.file) })
	for _, file := range frozen {
		stem := strings.TrimSuffix(codeOf(file), ".made")
		has := false
		for _, ending := range []string{".yaml", ".yml"} {
			_, found := slices.BinarySearchFunc(files, path.Join(path.Dir(file), stem+ending), func(c change, name string) int { return strings.Compare(c.file, name) })
			has = has || found
		}
		if !has {
			x.orphan = append(x.orphan, file)
		}
	}
	return files, err
}

// readAll reads files, several at once.
func readAll(dir string, files []change) []Indexed {
	entries := make([]Indexed, len(files))
	var all sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		all.Go(func() {
			for i := w; i < len(files); i += workers {
				if !files[i].gone {
					entries[i] = indexed(dir, files[i].file)
				}
			}
		})
	}
	all.Wait()
	return entries
}

// indexed reads one file for the index. What is no record is kept with its fault, so that
// it is told and not read again and again.
func indexed(dir, file string) Indexed {
	x := Indexed{File: file}
	data, err := readFile(filepath.Join(dir, filepath.FromSlash(file)))
	if err != nil {
		x.Fault = err.Error()
		return x
	}
	b, found, err := formula.ReadBatch(file, data)
	if none := (*source.NoDocument)(nil); errors.As(err, &none) && len(none.Findings) > 0 {
		x.Fault = none.Findings[0].Message
		return x
	}
	if err != nil {
		x.Fault = err.Error()
		return x
	}
	if i := slices.IndexFunc(found, func(f finding.Finding) bool { return f.Rule == formula.RuleCode }); i >= 0 || !b.Code.Given() {
		x.Fault = "it does not say the code that its name says"
		return x
	}
	x.Code, x.Formula, x.Material = b.Code.V, formula.ID(b.Formula.V), formula.ID(b.Material.V)
	x.Progress = ProgressOf(b)
	all := Bars(StockOf(b))
	x.OnHand, x.Sold = all.OnHand, all.Sold
	x.Complaints = slices.ContainsFunc(b.Events, func(e formula.Event) bool { return e.What.V == "complaint" || e.What.V == "adverse event" })
	from := map[string]bool{}
	add := func(code string) {
		code = kept(code)
		if code != "" && !from[code] {
			from[code] = true
			x.From = append(x.From, code)
		}
	}
	for _, p := range b.Parents {
		add(p.V)
	}
	for _, w := range b.Weighed {
		add(w.Batch.V)
		if w.Lot.Given() {
			x.Lots = append(x.Lots, Use{kept(formula.ID(w.Material.V)), kept(w.Lot.V), kept(w.Supplier.V)})
			add(w.Lot.V) // a lot may be a batch of the maker's own
		}
	}
	return x
}

// readFile reads a file, unless it is far too large for a record.
func readFile(name string) ([]byte, error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, errors.New("it cannot be read")
	case !info.Mode().IsRegular():
		return nil, errors.New("this is no regular file")
	case info.Size() > source.MaxBytes:
		return nil, errors.New("it is far too large for a record")
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, errors.New("it cannot be read")
	}
	return data, nil
}

// FoldLot makes the spellings of a lot equal that mean the same: capitals, spaces and what
// does not show do not count.
func FoldLot(lot string) string {
	return strings.ToUpper(strings.Join(strings.Fields(kept(lot)), " "))
}

// put writes what was read of a file, in the place of what the index had.
func put(tx *bolt.Tx, c change, x Indexed) error {
	files, lots, from := tx.Bucket(bucketFiles), tx.Bucket(bucketLots), tx.Bucket(bucketFrom)
	key := []byte(c.file)
	if old := files.Get(key); len(old) >= stampBytes {
		was, err := decode(c.file, old)
		if err != nil {
			return &damage{err}
		}
		for _, use := range was.Lots {
			if err := lots.Delete(pair(FoldLot(use.Lot), c.file)); err != nil {
				return err
			}
		}
		for _, code := range was.From {
			if err := from.Delete(pair(code, c.file)); err != nil {
				return err
			}
		}
	}
	if c.gone {
		return files.Delete(key)
	}
	for _, use := range x.Lots {
		if err := lots.Put(pair(FoldLot(use.Lot), c.file), []byte(use.Lot)); err != nil {
			return err
		}
	}
	for _, code := range x.From {
		if err := from.Put(pair(code, c.file), nil); err != nil {
			return err
		}
	}
	return files.Put(key, append(c.stamp.bytes(), x.text()...))
}

// longest is how long a text is in a key; the library takes keys of 32 kB.
const longest = 1000

// pair makes a key of two texts. One that is far too long for a lot or a code stands there
// by its sum.
func pair(a, b string) []byte {
	if len(a) > longest {
		sum := sha256.Sum256([]byte(a))
		a = hex.EncodeToString(sum[:])
	}
	return []byte(a + "\x00" + b)
}

func decode(file string, value []byte) (Indexed, error) {
	x := Indexed{File: file}
	return x, x.read(string(value[stampBytes:]), true)
}

// Each gives all batches in the order of their files, until it is told to end.
func (x *Index) Each(each func(b Indexed) (goOn bool)) error { return x.each(true, each) }

// EachInShort gives them without lots and what they are made from, which is faster.
func (x *Index) EachInShort(each func(b Indexed) (goOn bool)) error { return x.each(false, each) }

func (x *Index) each(whole bool, each func(b Indexed) (goOn bool)) error {
	return guarded(func() error {
		return x.db.View(func(tx *bolt.Tx) error {
			cursor := tx.Bucket(bucketFiles).Cursor()
			for key, value := cursor.First(); key != nil; key, value = cursor.Next() {
				b := Indexed{File: string(key)}
				if len(value) < stampBytes {
					return &damage{errEntry}
				}
				if err := b.read(string(value[stampBytes:]), whole); err != nil {
					return &damage{err}
				}
				if !each(b) {
					return nil
				}
			}
			return nil
		})
	})
}

// WithLot gives the batches that a lot went into, straight.
func (x *Index) WithLot(lot string) ([]Indexed, error) { return x.under(bucketLots, FoldLot(lot)) }

// WithBatch gives the batches that a batch went into, straight: as own bars, as a material
// that was made, or worked again.
func (x *Index) WithBatch(code string) ([]Indexed, error) { return x.under(bucketFrom, code) }

func (x *Index) under(bucket []byte, name string) ([]Indexed, error) {
	var all []Indexed
	err := guarded(func() error {
		return x.db.View(func(tx *bolt.Tx) error {
			prefix := pair(name, "")
			cursor := tx.Bucket(bucket).Cursor()
			for key, _ := cursor.Seek(prefix); bytes.HasPrefix(key, prefix); key, _ = cursor.Next() {
				file := key[len(prefix):]
				value := tx.Bucket(bucketFiles).Get(file)
				if len(value) < stampBytes {
					return &damage{"a file that it does not know"}
				}
				b, err := decode(string(file), value)
				if err != nil {
					return &damage{err}
				}
				all = append(all, b)
			}
			return nil
		})
	})
	return all, err
}

// Has reports whether each of the words is somewhere in what the index has of a batch, in
// whatever capitals.
func (b Indexed) Has(words []string) bool {
	if len(words) == 0 {
		return true
	}
	text := []string{b.Code, plain(b.Code), b.Formula, b.Material, b.Progress.Made.String()}
	for _, use := range b.Lots {
		text = append(text, use.Material, use.Lot, use.Supplier)
	}
	all := strings.ToLower(strings.Join(append(text, b.From...), "\n"))
	for _, word := range words {
		if !strings.Contains(all, strings.ToLower(word)) {
			return false
		}
	}
	return true
}

// Lots gives all lots as they were first written, each once.
func (x *Index) Lots() ([]string, error) {
	var all []string
	err := guarded(func() error {
		return x.db.View(func(tx *bolt.Tx) error {
			last := ""
			return tx.Bucket(bucketLots).ForEach(func(key, value []byte) error {
				if folded, _, _ := strings.Cut(string(key), "\x00"); folded != last {
					last = folded
					all = append(all, string(value))
				}
				return nil
			})
		})
	})
	return all, err
}

// The rules of files that are no records.
const (
	RuleNoRecord = "REG-NO-RECORD" // a file in the folder of batches that is no record
	RuleAlone    = "REG-ALONE"     // a frozen record without its live file
)

// Faults reports the files that are no records; the rest goes on without them.
func (x *Index) Faults() ([]finding.Finding, error) {
	found := x.Alone()
	err := x.EachInShort(func(b Indexed) bool {
		if b.Fault != "" {
			found = append(found, b.Finding())
		}
		return true
	})
	finding.Sort(found)
	return found, err
}

// Finding says that a file with a fault is no record.
func (b Indexed) Finding() finding.Finding {
	return finding.Finding{
		Level: finding.Warn, Rule: RuleNoRecord, At: finding.Pos{File: b.File, Line: 1, Col: 1},
		Message: "this is no record of a batch: " + b.Fault, Remedy: "mend it, or put back an older copy; until then its batch is not counted",
	}
}

// Alone reports the frozen records that have no live file beside them.
func (x *Index) Alone() []finding.Finding {
	var found []finding.Finding
	for _, file := range x.orphan {
		found = append(found, finding.Finding{
			Level: finding.Warn, Rule: RuleAlone, At: finding.Pos{File: file, Line: 1, Col: 1},
			Message: "there is no live record beside this frozen one: the beginning of the batch was cut off, or its file was taken away",
			Remedy:  "put the file back, or take this one away if the batch was never made",
		})
	}
	return found
}
