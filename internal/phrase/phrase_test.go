package phrase_test

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
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
			all, err := phrase.In(language)
			if err != nil {
				t.Fatal(err)
			}
			s := all[0]
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
			for name, got := range map[string]string{"batch": all.Batch(word), "best before": all.BestBefore(word), "made in": all.MadeIn(word)} {
				if before, ok := strings.CutSuffix(got, " "+word); !ok || strings.TrimSpace(before) == "" || strings.Contains(before, "%") {
					t.Errorf("%s gives %q", name, got)
				}
			}
		})
	}
}

// The words for durability are those of Regulation (EC) No 1223/2009 Art. 19(1)(c)
// in either language, the French ones from memory; all else is our own.
func TestPhrases(t *testing.T) {
	const (
		english = "For external use only. If soap gets in the eyes, rinse with water. Keep dry between uses."
		french  = "Pour usage externe seulement. En cas de contact du savon avec les yeux, rincer à l’eau. Garder au sec entre les utilisations."
	)
	for _, tt := range []struct {
		languages                              string
		batch, bestBefore, madeIn              string
		heading, caution, lastHeading, lastOne string
	}{
		{"en", "Batch 26330-01", "Best used before the end of 11/2028", "Made in USA", "Caution:", english, "Caution:", english},
		{"fr", "Lot 26330-01", "À utiliser de préférence avant fin 11/2028", "Pays d’origine\u00a0: USA", "Mise en garde\u00a0:", french, "Mise en garde\u00a0:", french},
		{"en fr", "Batch / Lot 26330-01", "Best used before the end of / À utiliser de préférence avant fin 11/2028",
			"Made in / Pays d’origine\u00a0: USA", "Caution:", english, "Mise en garde\u00a0:", french},
	} {
		all, err := phrase.In(strings.Fields(tt.languages)...)
		if err != nil {
			t.Fatal(err)
		}
		first, last := all[0], all[len(all)-1]
		for _, w := range []struct{ got, want string }{
			{all.Batch("26330-01"), tt.batch}, {all.BestBefore("11/2028"), tt.bestBefore}, {all.MadeIn("USA"), tt.madeIn},
			{first.CautionHeading, tt.heading}, {first.Caution, tt.caution}, {last.CautionHeading, tt.lastHeading}, {last.Caution, tt.lastOne},
		} {
			if w.got != w.want {
				t.Errorf("%s: got %q, want %q", tt.languages, w.got, w.want)
			}
		}
	}
}

// A language without phrases is an error that names it, each time it is asked
// for; a name that leads out of the data is no language either.
func TestUnknownLanguage(t *testing.T) {
	for _, language := range []string{"tlh", "", "EN", "en.yaml", "../data/en", "en\x00"} {
		for range 2 {
			for _, languages := range [][]string{{language}, {"en", language}} {
				if s, err := phrase.In(languages...); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("no phrases in the language %q", language)) || s != nil {
					t.Errorf("%q: %+v, error %v", languages, s, err)
				}
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
			if got, err := phrase.In("en"); err != nil || !slices.Equal(got, want) {
				t.Errorf("got %+v, error %v", got, err)
			}
		})
	}
	wait.Wait()
}
