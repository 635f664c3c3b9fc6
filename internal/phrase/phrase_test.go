package phrase_test

import (
	"io/fs"
	"os"
	"path"
	"strings"
	"sync"
	"testing"

	"saponym/internal/phrase"
)

// languages gives those that there is a file for.
func languages(t *testing.T) []string {
	t.Helper()
	files, err := fs.Glob(os.DirFS("data"), "*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("files %q, error %v", files, err)
	}
	for i := range files {
		files[i] = strings.TrimSuffix(path.Base(files[i]), ".yaml")
	}
	return files
}

// A language that is there is there whole, and goes by the name of its file.
func TestEverySetIsComplete(t *testing.T) {
	for _, language := range languages(t) {
		t.Run(language, func(t *testing.T) {
			s, err := phrase.In(language)
			if err != nil {
				t.Fatal(err)
			}
			if s.Language != language {
				t.Errorf("the language is %q", s.Language)
			}
			if !strings.HasSuffix(s.CautionHeading, ":") {
				t.Errorf("the heading of the caution is %q, without a colon", s.CautionHeading)
			}
			if !strings.HasSuffix(s.Caution, ".") {
				t.Errorf("the caution is %q, without a full stop", s.Caution)
			}
			const word = "26330-01 % %s" // a code may hold anything
			for name, got := range map[string]string{"batch": s.Batch(word), "best before": s.BestBefore(word), "made in": s.MadeIn(word)} {
				if before, after, ok := strings.Cut(got, word); !ok || before+after == "" || strings.Contains(before+after, "%") {
					t.Errorf("%s gives %q", name, got)
				}
			}
		})
	}
}

func TestEnglish(t *testing.T) {
	s, err := phrase.In("en")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ got, want string }{
		{s.Batch("26330-01"), "Batch 26330-01"},
		{s.BestBefore("11/2028"), "Best used before the end of 11/2028"}, // the words of Regulation (EC) No 1223/2009 Art. 19(1)(c)
		{s.MadeIn("USA"), "Made in USA"},
		{s.CautionHeading, "Caution:"},
		{s.Caution, "For external use only. If soap gets in the eyes, rinse with water. Keep dry between uses."},
	} {
		if tt.got != tt.want {
			t.Errorf("got %q, want %q", tt.got, tt.want)
		}
	}
}

// A language without phrases is an error that names it, each time it is asked
// for; a name that leads out of the data is no language either.
func TestUnknownLanguage(t *testing.T) {
	for _, language := range []string{"tlh", "", "EN", "en.yaml", "../data/en", "en\x00"} {
		for range 2 {
			if s, err := phrase.In(language); err == nil || !strings.Contains(err.Error(), "no phrases in the language") || s != (phrase.Set{}) {
				t.Errorf("%q: %+v, error %v", language, s, err)
			}
		}
	}
}

// Many may ask at once.
func TestConcurrentUse(t *testing.T) {
	want, err := phrase.In("en")
	if err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			if got, err := phrase.In("en"); err != nil || got != want {
				t.Errorf("got %+v, error %v", got, err)
			}
		})
	}
	wait.Wait()
}
