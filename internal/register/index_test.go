package register_test

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"saponym/internal/formula"
	"saponym/internal/register"
)

// openIndex opens the index of a folder, long enough after its files were written that their
// times tell all. It is for the test to close it.
func openIndex(t fataler, dir, cache string) *register.Index {
	t.Helper()
	x, err := register.OpenIndex(dir, register.Options{Cache: cache, Now: time.Now().Add(time.Hour)})
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// closing closes an index, which notes in what state it is left.
func closing(t fataler, x *register.Index) {
	t.Helper()
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
}

// all gives what the index has of all files.
func all(t fataler, x *register.Index) []register.Indexed {
	t.Helper()
	var list []register.Indexed
	if err := x.Each(func(b register.Indexed) bool { list = append(list, b); return true }); err != nil {
		t.Fatal(err)
	}
	return list
}

// A naive index reads every file for every question.
type naive []formula.Batch

func readNaively(t fataler, dir string) naive {
	t.Helper()
	var list naive
	for _, file := range names(t, dir) {
		if !strings.HasSuffix(file, ".yaml") && !strings.HasSuffix(file, ".yml") || formula.IsFrozen(file) {
			continue
		}
		b, _, err := formula.ReadBatch(file, []byte(get(t, dir, file)))
		if name := strings.TrimSuffix(strings.TrimSuffix(path.Base(file), ".yaml"), ".yml"); err == nil && b.Code.V == name {
			list = append(list, b)
		}
	}
	return list
}

// withLot gives the files of the batches that a lot went into.
func (n naive) withLot(lot string) []string {
	var files []string
	for _, b := range n {
		if slices.ContainsFunc(b.Weighed, func(w formula.Weighed) bool {
			return w.Lot.Given() && strings.EqualFold(strings.Join(strings.Fields(w.Lot.V), " "), strings.Join(strings.Fields(lot), " "))
		}) {
			files = append(files, b.File)
		}
	}
	return files
}

// withBatch gives the files of the batches that a batch went into.
func (n naive) withBatch(code string) []string {
	var files []string
	for _, b := range n {
		if slices.ContainsFunc(b.Parents, func(p formula.Text) bool { return p.V == code }) ||
			slices.ContainsFunc(b.Weighed, func(w formula.Weighed) bool { return w.Batch.V == code || w.Lot.V == code }) {
			files = append(files, b.File)
		}
	}
	return files
}

func (n naive) code(file string) string {
	return n[slices.IndexFunc(n, func(b formula.Batch) bool { return b.File == file })].Code.V
}

// forward gives the files that a lot leads to, and over how many batches at least.
func (n naive) forward(lot string) map[string]int {
	steps := map[string]int{}
	next := append(n.withLot(lot), n.withBatch(strings.TrimSpace(lot))...)
	for step := 0; len(next) > 0; step++ {
		var further []string
		for _, file := range next {
			if _, seen := steps[file]; !seen {
				steps[file] = step
				further = append(further, n.withBatch(n.code(file))...)
			}
		}
		next = further
	}
	return steps
}

func files(list []register.Indexed) []string {
	var all []string
	for _, b := range list {
		all = append(all, b.File)
	}
	return all
}

// checkAgainstNaive compares the answers of an index with those of a reading of all files.
func checkAgainstNaive(t fataler, x *register.Index, n naive) {
	t.Helper()
	questions := map[string]bool{"none": true, "": true}
	lots := map[string]bool{}
	for _, b := range n {
		questions[b.Code.V] = true
		for _, w := range b.Weighed {
			if w.Lot.Given() {
				questions[w.Lot.V], questions[strings.ToLower(" "+w.Lot.V)] = true, true
				lots[register.FoldLot(w.Lot.V)] = true
			}
		}
	}
	for _, q := range slices.Sorted(maps.Keys(questions)) {
		got, err := x.WithLot(q)
		if want := n.withLot(q); err != nil || !slices.Equal(files(got), want) {
			t.Fatalf("the lot %q went into %q, %v, want %q", q, files(got), err, want)
		}
		got, err = x.WithBatch(q)
		if want := n.withBatch(q); err != nil || q != "" && !slices.Equal(files(got), want) {
			t.Fatalf("the batch %q went into %q, %v, want %q", q, files(got), err, want)
		}
		if q == "" {
			continue
		}
		hits, err := x.Forward(q)
		if err != nil {
			t.Fatal(err)
		}
		ways := map[string]int{}
		for i, h := range hits {
			if _, twice := ways[h.File]; twice {
				t.Fatalf("%q leads twice to %s", q, h.File)
			}
			ways[h.File] = len(h.Via)
			if i > 0 && len(h.Via) < len(hits[i-1].Via) {
				t.Fatalf("%q leads to %s, and a longer way comes before", q, h.File)
			}
			at := append(n.withLot(q), n.withBatch(strings.TrimSpace(q))...)
			for _, code := range h.Via {
				if !slices.ContainsFunc(at, func(file string) bool { return n.code(file) == code }) {
					t.Fatalf("%q does not lead over %q to %s", q, h.Via, h.File)
				}
				at = n.withBatch(code)
			}
			if !slices.Contains(at, h.File) {
				t.Fatalf("%q does not lead over %q to %s", q, h.Via, h.File)
			}
		}
		if want := n.forward(q); !maps.Equal(ways, want) {
			t.Fatalf("%q leads to %v, want %v", q, ways, want)
		}
	}
	got, err := x.Lots()
	var folded []string
	for _, lot := range got {
		folded = append(folded, register.FoldLot(lot))
	}
	if want := slices.Sorted(maps.Keys(lots)); err != nil || !slices.Equal(folded, want) {
		t.Fatalf("the lots are %q, %v, want %q", folded, err, want)
	}
}

// someRecord makes a record of a code with random lots, and other batches in it: often a
// loop.
func someRecord(r *rand.Rand, code string, codes []string) string {
	any := func(list []string) string { return list[r.IntN(len(list))] }
	var b strings.Builder
	fmt.Fprintf(&b, "code: %s\n", code)
	if r.IntN(4) == 0 {
		b.WriteString("makes: material\nmaterial: premix\n")
	} else {
		b.WriteString("formula: clover-oat\n")
	}
	fmt.Fprintf(&b, "made: 2026-11-%02d\nweighed:\n", 1+r.IntN(28))
	lots := []string{`"#4411"`, "A1", "a1", "A  1", `"0127"`, "ä-7", "A1x", `"A1 2"`}
	for range r.IntN(4) {
		switch r.IntN(4) {
		case 0:
			fmt.Fprintf(&b, "  - {batch: %s, weight: 10 g}\n", any(codes))
		case 1:
			fmt.Fprintf(&b, "  - {material: premix, weight: 10 g, lot: %s}\n", any(codes))
		default:
			fmt.Fprintf(&b, "  - {material: olive, weight: 10 g, lot: %s, supplier: S%d}\n", any(lots), r.IntN(3))
		}
	}
	if r.IntN(3) == 0 {
		fmt.Fprintf(&b, "parents: [%s]\n", any(codes))
	}
	return b.String()
}

// After whatever is done to files, the index that is brought up to date is the same as one
// that is built anew, and its answers are those of a reading of all files.
func TestIndexIsUpToDate(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 0))
	dir, cache := t.TempDir(), t.TempDir()
	var pool []string
	for i := range 14 {
		pool = append(pool, fmt.Sprintf("26%03d-01", 100+i))
	}
	clock := time.Now().Add(-30 * 24 * time.Hour)
	write := func(file, text string) {
		put(t, dir, file, text)
		clock = clock.Add(time.Second + time.Duration(r.IntN(1000))*time.Nanosecond)
		if err := os.Chtimes(filepath.Join(dir, file), clock, clock); err != nil {
			t.Fatal(err)
		}
	}
	place := func(code string) string {
		return path.Join("batches", []string{"", "2025", "2026"}[r.IntN(3)], code+[]string{".yaml", ".yml"}[r.IntN(2)])
	}
	for round := range 40 {
		for range 1 + r.IntN(5) {
			there := names(t, dir)
			if len(there) == 0 || r.IntN(3) == 0 {
				code := pool[r.IntN(len(pool))]
				write(place(code), someRecord(r, code, pool))
				continue
			}
			file := there[r.IntN(len(there))]
			name := filepath.Join(dir, file)
			code := strings.TrimSuffix(strings.TrimSuffix(path.Base(file), ".yml"), ".yaml")
			var err error
			switch r.IntN(6) {
			case 0:
				err = os.Remove(name)
			case 1:
				code := pool[r.IntN(len(pool))]
				err = os.Rename(name, filepath.Join(filepath.Dir(name), code+".yaml")) // its code is a fault now
			case 2:
				write(file, []string{"code: [", "", "\x00", "made: 2026-11-26\n", "code: other\n"}[r.IntN(5)])
			case 3: // of the same size
				write(file, strings.NewReplacer("A1", "B1", "B1", "A1", "4411", "1144").Replace(get(t, dir, file)))
			default: // mended, if it was nonsense
				write(file, someRecord(r, code, pool))
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		kept, fresh := openIndex(t, dir, cache), openIndex(t, dir, t.TempDir())
		if diff := cmp.Diff(all(t, fresh), all(t, kept), compareDays); diff != "" {
			t.Fatalf("round %d: the index that was kept differs:\n%s", round, diff)
		}
		faults, err := kept.Faults()
		anew, err2 := fresh.Faults()
		if diff := cmp.Diff(anew, faults); err != nil || err2 != nil || diff != "" {
			t.Fatalf("round %d: %v %v %s", round, err, err2, diff)
		}
		n := readNaively(t, dir)
		if sound := len(all(t, kept)) - len(faults); sound != len(n) {
			t.Fatalf("round %d: %d records, want %d", round, sound, len(n))
		}
		checkAgainstNaive(t, kept, n)
		closing(t, kept)
		closing(t, fresh)
	}
}

// compareDays compares progress, whose days have fields of their own.
var compareDays = cmp.Comparer(func(a, b register.Progress) bool { return a == b })

const (
	inA = "code: A\nformula: f\nmade: 2026-11-01\nweighed:\n  - {material: olive, weight: 10 g, lot: \"#4411\", supplier: Grove}\n"
	inB = "code: B\nmakes: material\nmaterial: infusion\nmade: 2026-11-02\nweighed:\n  - {material: olive, weight: 10 g, lot: \"#4411\"}\n  - {batch: A, weight: 20 g}\n"
)

// What the index keeps of a record.
func TestIndexed(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, recordFile, sound+"  - {date: 2027-01-20, what: complaint, who: x}\nparents: [A, B, A]\nby: x\n")
	put(t, dir, "batches/2026/B.yaml", inB)
	put(t, dir, "batches/2026/G.yaml", "code: G\nformula: f\nmade: 2026-11-02\nevents:\n  - {date: 2026-11-02, what: reworked}\n")
	put(t, dir, "batches/2026/bad.yaml", "code: good\nformula: f\nmade: 2026-11-26\n")
	put(t, dir, "batches/2026/worse.yaml", "code: [\n")
	put(t, dir, "batches/2026/large.yaml", strings.Repeat("# much too long\n", 1<<17))
	put(t, dir, "batches/2026/.hidden.yaml", inA)
	put(t, dir, "batches/2026/readme.txt", "no record")
	put(t, dir, "batches/2026/deeper/A.yaml", inA)
	want := []register.Indexed{
		{File: recordFile, Code: "26330-01-S", Formula: "clover-oat", Lots: []register.Use{{Material: "olive", Lot: "A1"}}, From: []string{"A", "B", "A1"}, OnHand: 15, Sold: 2, Complaints: true,
			Progress: register.Progress{Made: on(t, "2026-11-26"), Cut: on(t, "2026-11-27"), Weighed: on(t, "2026-12-04"), Bars: 17, Packed: 10, Lots: true}},
		{File: "batches/2026/B.yaml", Code: "B", Material: "infusion", Lots: []register.Use{{Material: "olive", Lot: "#4411"}}, From: []string{"#4411", "A"}, Progress: register.Progress{Made: on(t, "2026-11-02"), Lots: true, Material: true}},
		{File: "batches/2026/G.yaml", Code: "G", Formula: "f", Progress: register.Progress{Made: on(t, "2026-11-02"), Gone: true}},
		{File: "batches/2026/bad.yaml", Fault: "it does not say the code that its name says"},
		{File: "batches/2026/large.yaml", Fault: "it is far too large for a record"},
		{File: "batches/2026/worse.yaml", Fault: "?"},
	}
	cache := t.TempDir()
	for range 2 { // anew, and as it was kept
		x := openIndex(t, dir, cache)
		got := all(t, x)
		if len(got) == len(want) && got[5].Fault != "" {
			got[5].Fault = "?"
		}
		if diff := cmp.Diff(want, got, compareDays); diff != "" {
			t.Error(diff)
		}
		i := 0
		err := x.EachInShort(func(b register.Indexed) bool {
			short := want[i]
			short.Lots, short.From = nil, nil
			if i < 5 && !cmp.Equal(b, short, compareDays) {
				t.Errorf("in short: %s", cmp.Diff(short, b, compareDays))
			}
			i++
			return i < 5
		})
		if err != nil || i != 5 {
			t.Errorf("ended after %d, %v", i, err)
		}
		found, err := x.Faults()
		if err != nil || len(found) != 3 {
			t.Errorf("%v, %v", found, err)
		}
		for _, f := range found {
			if f.Rule != register.RuleNoRecord || f.At.File == "" || f.Remedy == "" {
				t.Errorf("%+v", f)
			}
		}
		for words, has := range map[string]bool{"": true, "26330": true, "2633001s": true, "CLOVER": true, "olive a1": true, "2026-11-26": true, "grove": false, "olive x9": false} {
			if got := want[0].Has(strings.Fields(words)); got != has {
				t.Errorf("it has %q: %t", words, got)
			}
		}
		closing(t, x)
	}
}

// The time by the clock does not matter to the answers. A file that was written within one
// tick of it is read again, even where its size and its time are the same.
func TestIndexAndTheClock(t *testing.T) {
	written := time.Date(2026, 11, 26, 10, 0, 0, 123456789, time.UTC)
	whole := written.Truncate(time.Second) // as file systems of sticks have it
	for _, tt := range []struct {
		name          string
		file, now     time.Time
		seesTheChange bool
	}{
		{"an hour later", written, written.Add(time.Hour), false}, // nothing tells the one from the other
		{"at once", written, written.Add(time.Millisecond), true},
		{"at the same time", written, written, true},
		{"a second later, of whole seconds", whole, whole.Add(time.Second), true},
		{"a file of the future", written, written.Add(-time.Hour), true},
	} {
		dir, cache := t.TempDir(), t.TempDir()
		for i, text := range []string{inA, strings.Replace(inA, "4411", "1144", 1)} {
			put(t, dir, "batches/2026/A.yaml", text)
			if err := os.Chtimes(filepath.Join(dir, "batches/2026/A.yaml"), tt.file, tt.file); err != nil {
				t.Fatal(err)
			}
			x, err := register.OpenIndex(dir, register.Options{Cache: cache, Now: tt.now})
			if err != nil {
				t.Fatal(err)
			}
			got, err := x.WithLot([]string{"#4411", "#1144"}[i])
			if sees := len(got) == 1; err != nil || sees != (i == 0 || tt.seesTheChange) {
				t.Errorf("%s: %d, %v, %v", tt.name, i, got, err)
			}
			closing(t, x)
		}
	}
}

// Nothing of the index lies in the shop folder.
func TestIndexLiesOutside(t *testing.T) {
	dir, home := t.TempDir(), t.TempDir()
	put(t, dir, "batches/2026/A.yaml", inA)
	for _, variable := range []string{"HOME", "XDG_CACHE_HOME", "LocalAppData"} {
		t.Setenv(variable, home)
	}
	for _, cache := range []string{"", filepath.Join(home, "chosen", "deep")} {
		closing(t, openIndex(t, dir, cache))
	}
	if got := names(t, dir); !slices.Equal(got, []string{"batches/2026/A.yaml"}) {
		t.Errorf("there are %q", got)
	}
	if len(names(t, filepath.Join(home, "chosen", "deep"))) == 0 || len(names(t, filepath.Join(home, "saponym"))) == 0 {
		t.Errorf("the indexes are %q", names(t, home))
	}
	other := t.TempDir()
	put(t, other, "batches/2026/B.yaml", inB)
	one, two := openIndex(t, dir, home), openIndex(t, other, home)
	defer one.Close()
	defer two.Close()
	if got := files(all(t, two)); !slices.Equal(got, []string{"batches/2026/B.yaml"}) || !slices.Equal(files(all(t, one)), []string{"batches/2026/A.yaml"}) {
		t.Errorf("another folder has %q", got)
	}
}

// A folder of shops that has no batches yet has an index without any.
func TestIndexOfNothing(t *testing.T) {
	x := openIndex(t, t.TempDir(), t.TempDir())
	defer x.Close()
	found, err := x.Faults()
	lots, err2 := x.Lots()
	if len(all(t, x)) > 0 || len(found) > 0 || len(lots) > 0 || err != nil || err2 != nil {
		t.Error(found, lots, err, err2)
	}
}

// An index that is damaged in whatever way is built anew or done without, and the answers
// are right.
func TestDamagedIndex(t *testing.T) {
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(11, 26))
	var pool []string
	for i := range 60 {
		pool = append(pool, fmt.Sprintf("26%03d-%02d", 1+i%365, 1+i/365))
	}
	for _, code := range pool {
		put(t, dir, "batches/2026/"+code+".yaml", someRecord(r, code, pool))
	}
	right := openIndex(t, dir, t.TempDir())
	checkAgainstNaive(t, right, readNaively(t, dir))
	want := answers(t, right)
	closing(t, right)
	noise := func(size int) []byte {
		b := make([]byte, size)
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		return b
	}
	// index is the file of the index, among others that stand beside it the largest.
	type damage struct {
		name string
		do   func(cache, index string) error
	}
	overwrite := func(bytes func(old []byte) []byte) func(string, string) error {
		return func(_, index string) error {
			old, err := os.ReadFile(index)
			later := time.Now().Add(time.Minute)
			return errors.Join(err, os.WriteFile(index, bytes(old), 0o600), os.Chtimes(index, later, later))
		}
	}
	all := []damage{
		{"of garbage", overwrite(func(old []byte) []byte { return noise(len(old)) })},
		{"of a few letters", overwrite(func([]byte) []byte { return []byte("no index") })},
		{"empty", overwrite(func([]byte) []byte { return nil })},
		{"of noughts", overwrite(func(old []byte) []byte { return make([]byte, len(old)) })},
		{"taken away", func(_, index string) error { return os.Remove(index) }},
		{"a folder", func(_, index string) error { return errors.Join(os.Remove(index), os.Mkdir(index, 0o700)) }},
		{"a folder with a file", func(_, index string) error {
			return errors.Join(os.Remove(index), os.Mkdir(index, 0o700), os.WriteFile(filepath.Join(index, "x"), nil, 0o600))
		}},
		{"where a file is the cache", func(cache, _ string) error {
			return errors.Join(os.RemoveAll(cache), os.WriteFile(cache, nil, 0o600))
		}},
		{"in a folder that is read only", func(_, index string) error {
			return errors.Join(os.Remove(index), os.Chmod(filepath.Dir(index), 0o500))
		}},
		{"that is read only", func(_, index string) error { return os.Chmod(index, 0o400) }},
		{"with garbage beside it", func(cache, index string) error {
			return filepath.WalkDir(cache, func(name string, e fs.DirEntry, err error) error {
				if err != nil || e.IsDir() || name == index {
					return err
				}
				return os.WriteFile(name, noise(100), 0o600)
			})
		}},
	}
	for part := 0; part < 16; part += 5 {
		all = append(all, damage{fmt.Sprintf("cut off after %d of 16", part), overwrite(func(old []byte) []byte { return old[:len(old)*part/16] })})
		all = append(all, damage{fmt.Sprintf("of noise in part %d of 16", part), overwrite(func(old []byte) []byte {
			copy(old[len(old)*part/16:], noise(len(old)/16))
			return old
		})})
		all = append(all, damage{fmt.Sprintf("of noughts in part %d of 16", part), overwrite(func(old []byte) []byte {
			clear(old[len(old)*part/16 : len(old)*(part+1)/16])
			return old
		})})
	}
	for _, d := range all {
		t.Run(d.name, func(t *testing.T) {
			cache := filepath.Join(t.TempDir(), "cache")
			closing(t, openIndex(t, dir, cache))
			index, size := "", int64(-1)
			err := filepath.WalkDir(cache, func(name string, e fs.DirEntry, err error) error {
				if err != nil || e.IsDir() {
					return err
				}
				info, err := e.Info()
				if err == nil && info.Size() > size {
					index, size = name, info.Size()
				}
				return err
			})
			if err := errors.Join(err, d.do(cache, index)); err != nil {
				t.Fatal(err)
			}
			defer os.Chmod(filepath.Dir(index), 0o700) // so that it can be taken away
			for range 2 {
				x := openIndex(t, dir, cache)
				if diff := cmp.Diff(want, answers(t, x), compareDays); diff != "" {
					t.Error(diff)
				}
				closing(t, x)
			}
		})
	}
}

// answers gives all that an index answers.
func answers(t fataler, x *register.Index) map[string][]register.Indexed {
	t.Helper()
	got := map[string][]register.Indexed{"": all(t, x)}
	lots, err := x.Lots()
	if err != nil {
		t.Fatal(err)
	}
	for _, lot := range lots {
		with, err := x.WithLot(lot)
		if err != nil {
			t.Fatal(err)
		}
		got["lot "+lot] = with
	}
	for _, b := range got[""] {
		with, err := x.WithBatch(b.Code)
		if err != nil {
			t.Fatal(err)
		}
		got["batch "+b.Code] = with
	}
	return got
}

// The memory that building an index takes hangs on how many files are read at once, and not
// on how many there are.
func TestMemoryOfIndex(t *testing.T) {
	const records = 4_100
	dir := manyBatches(t, records)
	runtime.GC()
	var before, now runtime.MemStats
	runtime.ReadMemStats(&before)
	most := uint64(0)
	x, err := register.OpenIndex(dir, register.Options{Cache: t.TempDir(), Now: time.Now(), Progress: func(done, total int) {
		runtime.ReadMemStats(&now)
		most = max(most, now.HeapAlloc)
		if total != records || done > total {
			t.Errorf("%d of %d", done, total)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	t.Logf("at most %d MB more than before", (most-before.HeapAlloc)>>20)
	if most > before.HeapAlloc+100<<20 {
		t.Errorf("%d MB for %d records", (most-before.HeapAlloc)>>20, records)
	}
}
