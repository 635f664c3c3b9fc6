package register_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"saponym/internal/register"
)

// manyBatches makes a folder of so many records, over ten years.
func manyBatches(tb testing.TB, n int) string {
	tb.Helper()
	dir := tb.TempDir()
	for year := range 10 {
		if err := os.MkdirAll(filepath.Join(dir, "batches", fmt.Sprint(2017+year)), 0o777); err != nil {
			tb.Fatal(err)
		}
	}
	for i := range n {
		year := 2017 + i%10
		code := fmt.Sprintf("%02d%03d-%04d-X", year%100, 1+i/10%365, i/3650)
		text := fmt.Sprintf("code: %s\nformula: hay-meadow\nmakes: bars\nmade: %d-%02d-%02d\nweighed:\n  - {material: pantry-base, weight: 900.2 g, lot: \"PB-%d\"}\n  - {material: sodium hydroxide, weight: 133.4 g, lot: \"%04d\"}\ncut: {date: %d-12-30, bar: 10}\nevents:\n  - {date: %d-12-31, what: sold, cut: bar, count: 4}\n",
			code, year, 1+i%12, 1+i%28, i/20, i/40, year, year)
		if err := os.WriteFile(filepath.Join(dir, "batches", fmt.Sprint(year), code+".yaml"), []byte(text), 0o666); err != nil {
			tb.Fatal(err)
		}
	}
	return dir
}

// What a question costs when the index is there: 100,000 records.
func BenchmarkLotAmongManyBatches(b *testing.B) {
	dir, cache := manyBatches(b, 100_000), b.TempDir()
	open := func() *register.Index {
		x, err := register.OpenIndex(dir, register.Options{Cache: cache, Now: time.Now()})
		if err != nil {
			b.Fatal(err)
		}
		return x
	}
	start := time.Now()
	if err := open().Close(); err != nil {
		b.Fatal(err)
	}
	b.Logf("the first time: %.1f s", time.Since(start).Seconds())
	time.Sleep(200 * time.Millisecond)
	if err := open().Close(); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		x := open()
		hits, err := x.Forward("PB-77")
		if err != nil || len(hits) != 20 {
			b.Fatalf("%d batches, %v", len(hits), err)
		}
		if err := x.Close(); err != nil {
			b.Fatal(err)
		}
	}
}

// What a list of all of them costs.
func BenchmarkListOfManyBatches(b *testing.B) {
	dir, cache := manyBatches(b, 100_000), b.TempDir()
	for b.Loop() {
		x, err := register.OpenIndex(dir, register.Options{Cache: cache, Now: time.Now()})
		if err != nil {
			b.Fatal(err)
		}
		n := 0
		if err := x.Each(func(register.Indexed) bool { n++; return true }); err != nil || n != 100_000 {
			b.Fatalf("%d batches, %v", n, err)
		}
		if err := x.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
