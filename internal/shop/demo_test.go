package shop_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"saponym/internal/formula"
	"saponym/internal/shop"
)

// contents reads all files below a folder.
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		all[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// The demo has what the folder of the sources has; run again it writes nothing,
// and it keeps what was changed and puts back what was taken away.
func TestWriteDemo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "shop")
	written, err := shop.WriteDemo(dir)
	if err != nil {
		t.Fatal(err)
	}
	want := contents(t, "demo")
	got := contents(t, dir)
	for name, text := range want {
		if got[name] != text || !slices.Contains(written, name) {
			t.Errorf("%s was not written as it is", name)
		}
	}
	if len(got) != len(want) || len(written) != len(want) {
		t.Errorf("wrote %q, want %d files", written, len(want))
	}

	if again, err := shop.WriteDemo(dir); err != nil || len(again) != 0 {
		t.Errorf("again: wrote %q, error %v", again, err)
	}

	changed, own, gone := filepath.Join(dir, "formulas", "snowdrift.yaml"), filepath.Join(dir, "formulas", "own.yaml"), filepath.Join(dir, "materials", "pantry-base.yaml")
	for _, file := range []string{changed, own} {
		if err := os.WriteFile(file, []byte("name: My own\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Remove(gone); err != nil {
		t.Fatal(err)
	}
	if again, err := shop.WriteDemo(dir); err != nil || !slices.Equal(again, []string{"materials/pantry-base.yaml"}) {
		t.Errorf("after changes: wrote %q, error %v", again, err)
	}
	want["formulas/snowdrift.yaml"], want["formulas/own.yaml"] = "name: My own\n", "name: My own\n"
	got = contents(t, dir)
	for name, text := range want {
		if got[name] != text {
			t.Errorf("%s is %q, want %q", name, got[name], text)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
}

// A file stands where the folder should: an error, and the file is kept.
func TestWriteDemoWhereAFileIs(t *testing.T) {
	file := filepath.Join(t.TempDir(), "taken")
	if err := os.WriteFile(file, []byte("kept"), 0o644); err != nil {
		t.Fatal(err)
	}
	if written, err := shop.WriteDemo(file); err == nil || len(written) != 0 {
		t.Errorf("wrote %q, error %v", written, err)
	}
	if text, err := os.ReadFile(file); err != nil || string(text) != "kept" {
		t.Errorf("the file is %q, error %v", text, err)
	}
}

// Every document of the demo reads without findings, and all materials and batches
// that its formulas name are known.
func TestDemoReads(t *testing.T) {
	dir := t.TempDir()
	if _, err := shop.WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	f, err := shop.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Broken(); got != nil {
		t.Errorf("broken: %v", got)
	}
	if len(f.IDs()) < 5 {
		t.Errorf("formulas %q", f.IDs())
	}
	for _, id := range f.IDs() {
		doc := get(t, f, id)
		if found := f.Findings(doc); len(found) != 0 {
			t.Errorf("%s: %v", id, found)
		}
		var names []formula.Text
		for _, in := range slices.Concat(doc.Pot, doc.Base) {
			names = append(names, in.Material)
		}
		for _, a := range doc.Add {
			names = append(names, a.Material)
			if a.Batch.Given() {
				if _, ok := f.Library.Batch(a.Batch.V); !ok {
					t.Errorf("%s: nobody knows the batch %q", a.Batch.At, a.Batch.V)
				}
			}
		}
		for _, name := range names {
			if !name.Given() {
				continue
			}
			if _, ok := f.Library.Find(name.V); !ok {
				t.Errorf("%s: nobody knows %q", name.At, name.V)
			}
		}
	}
	files, err := filepath.Glob(filepath.Join(dir, "materials", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("materials %q, error %v", files, err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, found, err := formula.ReadMaterial("materials/"+filepath.Base(file), text); err != nil || len(found) != 0 {
			t.Errorf("%s: %v, error %v", file, found, err)
		}
	}
}
