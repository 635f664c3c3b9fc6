package label_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/phrase"
)

// What must stand in a language can stand in it: the language is one of the label,
// and there are phrases in it.
func TestLanguagesOfTheLaw(t *testing.T) {
	for _, id := range market.IDs() {
		law := lawOf(t, id)
		if _, err := phrase.In(law.Languages...); err != nil || len(law.Languages) == 0 {
			t.Errorf("%s: languages %q, error %v", id, law.Languages, err)
		}
		for _, s := range law.Statements {
			for _, language := range s.Languages {
				if !slices.Contains(law.Languages, language) {
					t.Errorf("%s must stand in %q, and the label does not", s.ID, language)
				}
			}
		}
	}
}

// The identity stands in both languages of Canada (Cosmetic Regulations s. 18(a),
// 20(b); CPLR s. 6(2)), and one that is lacking is found. The tagline is in those in
// which it is written: no federal law asks for it.
func TestTwoLanguages(t *testing.T) {
	for _, tt := range []struct {
		name, identity, words string
		want, field           string
		lacking               string // the language of the finding
		tagline, taglineFrom  string
		note                  string // the language of the note
	}{
		{"both", "Soap", "{fr: {identity: Savon}}", "Soap / Savon", "identity", "", "", "", ""},
		{"both under words", "Bar", "{en: {identity: Soap}, fr: {identity: Savon}}", "Soap / Savon", "words.en.identity", "", "", "", ""},
		{"one word for both", "Beldi", "{fr: {identity: Beldi}}", "Beldi", "identity", "", "", "", ""},
		{"English alone", "Soap", "{de: {identity: Seife}}", "Soap", "identity", "fr", "", "", ""},
		{"French alone", "", "{fr: {identity: Savon}}", "Savon", "words.fr.identity", "en", "", "", ""},
		{"an English tagline", "Soap", "{en: {tagline: For Sundays}, fr: {identity: Savon}}", "Soap / Savon", "identity", "", "For Sundays", "words.en.tagline", "fr"},
		{"a French tagline", "Soap", "{fr: {identity: Savon, tagline: Pour le dimanche}}", "Soap / Savon", "identity", "", "Pour le dimanche", "words.fr.tagline", "en"},
		{"taglines", "Soap", "{en: {tagline: For Sundays}, fr: {identity: Savon, tagline: Pour le dimanche}}", "Soap / Savon", "identity", "", "For Sundays / Pour le dimanche", "words.en.tagline", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := wholeBar()
			b.formula = swap(t, b.formula, "words: {en: {tagline: A bar for Sundays}, fr: {identity: Savon parfumé}}", "words: "+tt.words)
			if tt.identity == "" {
				b.formula = swap(t, b.formula, "identity: Scented soap\n", "")
			} else {
				b.formula = swap(t, b.formula, "identity: Scented soap", "identity: "+tt.identity)
			}
			content, found := b.compileFor(t, "ca")
			if s, _ := content.Find(label.DutyIdentity); s.Words() != tt.want || s.Field != tt.field {
				t.Errorf("identity %q from %q, want %q from %q", s.Words(), s.Field, tt.want, tt.field)
			}
			if s, _ := content.Find(label.DutyTagline); s.Words() != tt.tagline || s.Field != tt.taglineFrom {
				t.Errorf("tagline %q from %q, want %q from %q", s.Words(), s.Field, tt.tagline, tt.taglineFrom)
			}
			var lacking, noted []string
			for _, f := range found {
				switch f.Rule {
				case "CA-IDENTITY-01":
					lacking = append(lacking, f.Remedy)
					if f.Level != finding.Stop || !strings.Contains(f.Message, `not written in "`+tt.lacking+`"`) || f.Cite == "" {
						t.Errorf("%+v", f)
					}
				case label.RuleLanguage:
					noted = append(noted, f.Remedy)
					if f.Level != finding.Note || !strings.Contains(f.Message, `"`+tt.note+`"`) {
						t.Errorf("%+v", f)
					}
				}
			}
			for _, w := range []struct {
				got            []string
				language, what string
			}{{lacking, tt.lacking, "identity"}, {noted, tt.note, "tagline"}} {
				if (len(w.got) == 1) != (w.language != "") || len(w.got) > 1 || w.language != "" && !strings.Contains(w.got[0], "words: {"+w.language+": {"+w.what+": …}}") {
					t.Errorf("the %s: remedies %q, want one for %q", w.what, w.got, w.language)
				}
			}
		})
	}
}

// A law of one language wants no other, whatever is written, and notes nothing.
func TestOneLanguage(t *testing.T) {
	for _, id := range market.IDs() {
		if law := lawOf(t, id); len(law.Languages) > 1 {
			continue
		}
		content, found := wholeBar().compileFor(t, id)
		for _, s := range content.Statements {
			if strings.Contains(s.Words(), " / ") || strings.Contains(s.Words(), "Savon") {
				t.Errorf("%s: %q", id, s.Words())
			}
		}
		if slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == label.RuleLanguage }) {
			t.Errorf("%s: found %v", id, found)
		}
	}
}

// Where laws of one and of two languages share a label, the fixed phrases stand in
// both, and what is no word stands once.
func TestPhrasesInTwoLanguages(t *testing.T) {
	law := joined(t, lawOf(t, "eu"), lawOf(t, "ca"))
	content, found := wholeBar().compileBy(t, law)
	for duty, want := range map[label.Duty]string{
		label.DutyIdentity:   "Scented soap / Savon parfumé",
		label.DutyBatch:      "Batch / Lot 26330-01",
		label.DutyDurability: "Best used before the end of / À utiliser de préférence avant fin 10/2028",
		label.DutyOrigin:     "Made in / Pays d’origine\u00a0: USA",
	} {
		if s, _ := content.Find(duty); s.Words() != want {
			t.Errorf("%s says %q, want %q", duty, s.Words(), want)
		}
	}
	if got := stops(found); got != nil {
		t.Errorf("stopped by %q", got)
	}
}

// Where the rule for the identity names no language, the first is enough.
func TestLanguageThatNobodyAsks(t *testing.T) {
	law := *lawOf(t, "eu")
	law.Languages = []string{"en", "fr"}
	b := wholeBar()
	b.formula = swap(t, b.formula, ", fr: {identity: Savon parfumé}", "")
	if _, found := b.compileBy(t, &law); stops(found) != nil {
		t.Errorf("stopped by %q for want of a language that is not asked for", stops(found))
	}
}
