package compile_test

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/outside"
	"saponym/internal/render/pdf"
	"saponym/internal/scene"
	"saponym/internal/shop"
)

func today(t testing.TB) day.Day {
	t.Helper()
	d, err := day.Parse("2026-11-26")
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func demo(t testing.TB) *shop.Folder {
	t.Helper()
	dir := t.TempDir()
	if _, err := shop.WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	folder, err := shop.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return folder
}

func order(t testing.TB, formula, marketID string) compile.Order {
	return compile.Order{Formula: formula, Market: marketID, On: today(t), Made: today(t), Style: market.AsCured, Batch: "26330-01"}
}

// printed makes a label of the demo shop and its sheets.
func printed(t testing.TB, folder *shop.Folder, o compile.Order, p compile.Print) (compile.Label, scene.Document) {
	t.Helper()
	l, err := compile.Band(folder, o)
	if err != nil {
		t.Fatal(err)
	}
	if l.Band == nil {
		t.Fatalf("%s for %s is stopped: %v", o.Formula, o.Market, l.Findings)
	}
	d, found, err := compile.Sheet(l, "Larch & Lather", p)
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(found, err)
	}
	return l, d
}

func write(t testing.TB, d scene.Document) []byte {
	t.Helper()
	file, err := pdf.Write(d)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// everyLabel calls f for each formula of the demo shop in each of its markets.
func everyLabel(t *testing.T, f func(t *testing.T, l compile.Label, d scene.Document)) {
	folder := demo(t)
	for _, id := range folder.IDs() {
		for _, marketID := range []string{"us-soap", "eu"} {
			t.Run(id+" "+marketID, func(t *testing.T) {
				l, d := printed(t, folder, order(t, id, marketID), compile.Print{Count: 1})
				f(t, l, d)
			})
		}
	}
}

// Another program reads back every word of the label, in reading order, from a
// sound file with its fonts in it.
func TestLabelsAreReadBack(t *testing.T) {
	everyLabel(t, func(t *testing.T, l compile.Label, d scene.Document) {
		file := write(t, d)
		outside.Run(t, file, "qpdf", "--check", "FILE")
		fonts := strings.Split(strings.TrimSpace(outside.Run(t, file, "pdffonts", "FILE")), "\n")[2:]
		if len(fonts) < 3 {
			t.Errorf("only %d fonts:\n%s", len(fonts), strings.Join(fonts, "\n"))
		}
		for _, line := range fonts {
			if fields := strings.Fields(line); fields[len(fields)-5] != "yes" {
				t.Errorf("not embedded: %s", line)
			}
		}
		text := squeeze(outside.Run(t, file, "pdftotext", "-raw", "FILE", "-"))
		rest := text
		for _, s := range inOrder(l) {
			_, after, found := strings.Cut(rest, squeeze(s.Words()))
			if !found {
				t.Errorf("the words of %s are not read back in their order: %q in\n%s", s.Duty, s.Words(), text)
				continue
			}
			rest = after
		}
		if info := outside.Run(t, file, "pdfinfo", "FILE"); !strings.Contains(info, "Title:           "+d.Title) {
			t.Errorf("the file has another title:\n%s", info)
		}
	})
}

// inOrder gives the statements of a label in the order in which they are drawn,
// which is the order in which a reader meets them.
func inOrder(l compile.Label) []label.Statement {
	first := map[string]int{}
	for i, item := range l.Band.Scene.Items {
		if _, seen := first[item.Mark.Duty]; !seen && item.Text != nil {
			first[item.Mark.Duty] = i
		}
	}
	statements := slices.Clone(l.Content.Statements)
	slices.SortStableFunc(statements, func(a, b label.Statement) int {
		return cmp.Compare(first[string(a.Duty)], first[string(b.Duty)])
	})
	return statements
}

func squeeze(text string) string { return strings.Join(strings.Fields(text), "") }

// Letters are as high on paper as the proof says, and at least as high as the law
// asks: measured on a picture of the page at 1200 dots an inch, letter by letter.
func TestLetterHeightsOnPaper(t *testing.T) {
	const dpi = 1200
	const pixel = 25.4 / dpi
	everyLabel(t, func(t *testing.T, l compile.Label, d scene.Document) {
		file := write(t, d)
		shift := placeOf(t, d)
		measured := map[string]bool{}
		for _, p := range l.Proof {
			// Letters that reach just the height that is measured; the round tops
			// of the n and the m stand out over it by a few per cent.
			letters, over := "nm", 1.045
			if p.Required > 0 && l.Law.Market == "eu" {
				letters, over = "14", 1.0
			} else if p.Required > 0 {
				letters, over = "z", 1.0
			}
			text, letter, ok := find(l.Band.Scene, string(p.Duty), letters)
			if !ok {
				continue
			}
			at := text.At.X + shift.X
			for _, a := range text.Advance[:letter] {
				at += a
			}
			x, y := at.Millimetres(), (text.At.Y + shift.Y).Millimetres()
			wide := text.Advance[letter].Millimetres()
			x, wide = x+wide/6, wide*4/6 // clear of the letters beside it
			picture := outside.Run(t, file, "pdftoppm", "-r", strconv.Itoa(dpi), "-f", "1", "-l", "1", "-gray",
				"-x", pixels(x, pixel), "-y", pixels(y-1.2*p.Letter, pixel), "-W", pixels(wide, pixel), "-H", pixels(1.3*p.Letter, pixel), "FILE")
			high := float64(inkHeight(t, []byte(picture))) * pixel
			measured[string(p.Duty)] = true
			if high < p.Letter-1.5*pixel || high > over*p.Letter+1.5*pixel {
				t.Errorf("%s: %c is %.3f mm high on paper, and the proof says %.3f", p.Duty, []rune(text.Runes)[letter], high, p.Letter)
			}
			if high < p.Required-1.5*pixel {
				t.Errorf("%s: %c is %.3f mm high on paper, and the law asks for %.3f", p.Duty, []rune(text.Runes)[letter], high, p.Required)
			}
		}
		for _, duty := range []string{"net-quantity", "ingredients", "caution"} {
			if !measured[duty] {
				t.Errorf("no letter of %s was measured", duty)
			}
		}
	})
}

func pixels(mm, pixel float64) string { return strconv.Itoa(int(mm/pixel + 0.5)) }

// placeOf gives where the first band stands on the first page.
func placeOf(t *testing.T, d scene.Document) scene.Point {
	t.Helper()
	for _, p := range d.Sheets[0].Places {
		if p.Scene == 0 {
			return scene.Point{X: p.At.E, Y: p.At.F}
		}
	}
	t.Fatal("no band on the sheet")
	return scene.Point{}
}

// find gives the first upright text of a duty with one of the letters, and where
// the letter is in it.
func find(s scene.Scene, duty, letters string) (*scene.Text, int, bool) {
	for _, item := range s.Items {
		if item.Text == nil || item.Mark.Duty != duty || item.Text.Turn != 0 {
			continue
		}
		for i, r := range []rune(item.Text.Runes) {
			if strings.ContainsRune(letters, r) {
				return item.Text, i, true
			}
		}
	}
	return nil, 0, false
}

// inkHeight counts the rows from the first to the last that have ink, in a grey
// picture of the PGM format.
func inkHeight(t *testing.T, picture []byte) int {
	t.Helper()
	head := regexp.MustCompile(`^P5\s+(\d+)\s+(\d+)\s+255\s`).FindSubmatch(picture)
	if head == nil {
		t.Fatalf("no picture: %.40q", picture)
	}
	width, _ := strconv.Atoi(string(head[1]))
	rows := picture[len(head[0]):]
	first, last := -1, -1
	for y := 0; (y+1)*width <= len(rows); y++ {
		dark := 0
		for _, p := range rows[y*width : (y+1)*width] {
			if p < 160 {
				dark++
			}
		}
		if dark > 1 {
			if first < 0 {
				first = y
			}
			last = y
		}
	}
	if first < 0 {
		t.Fatal("no ink where the letter should be")
	}
	return last - first + 1
}

// A maker's folder can hold anything: whatever stands in a formula and in a
// material, there is an answer, its figures are figures, and there is a label only
// without a stop.
func FuzzFolder(f *testing.F) {
	const oil = "name: Thing\nkind: oil\ninci: Olea Europaea (Olive) Fruit Oil\n"
	const thing = "name: T\nidentity: soap\npot: [{material: thing, weight: 900 g}]\nlye: {alkali: sodium hydroxide, purity: 98%, superfat: 5%, water: {per_lye: 2}}\nadd: [{material: thing, share: 3%, at: top}]\ncuts: {bar: {count: 8, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}\nkeep: {durability: 12 months}\n"
	folder := demo(f)
	for _, id := range folder.IDs() {
		text, err := os.ReadFile(filepath.Join(folder.Dir, "formulas", id+".yaml"))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text), oil)
	}
	for _, text := range []string{
		"", "\x00\x01", "- a", "name: x", "name: \"\\u202e\"\nidentity: soap", "a: &a [*a]",
		"name: 🧼\nidentity: soap\npot: [{material: olive-oil, weight: 1 mg}]\nlye: {alkali: sodium hydroxide, superfat: 0%, water: {per_lye: 0}}\ncuts: {bar: {length: 1 mm, width: 1 mm, height: 1 mm, claim: 0.01 oz}}",
		"name: " + strings.Repeat("long ", 400) + "\nidentity: soap\npot: [{material: olive-oil, weight: 9000 kg}]\nlye: {alkali: sodium hydroxide, superfat: 100%, water: {strength: 99%}}\ncuts: {bar: {length: 9 m, width: 9 m, height: 9 m, claim: 9000 kg}}",
	} {
		f.Add(text, oil)
	}
	for _, figures := range []string{
		"sap: 0 mg KOH/g", "sap: 9999 mg KOH/g", "sap: 190 mg KOH/g\nacid_value: 300 mg KOH/g", "unsaponifiable: 99%", "fatty_acids: {lauric: 60%}",
		"sap: 150-250 mg KOH/g", "contains: [{inci: Olea Europaea (Olive) Fruit Oil, share: 10%}, {inci: Cocos Nucifera (Coconut) Oil}]", "kind: fragrance", "kind: colourant", "inci: Citric Acid",
	} {
		f.Add(thing, oil+figures+"\n")
		f.Add(thing, figures+"\nname: Thing\n")
	}
	dir := f.TempDir()
	if _, err := shop.WriteDemo(dir); err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text, material string) {
		for name, data := range map[string]string{"formulas/fuzzed.yaml": text, "materials/thing.yaml": material} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		folder, err := shop.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, marketID := range []string{"us-soap", "eu"} {
			l, err := compile.Band(folder, order(t, "fuzzed", marketID))
			if err != nil {
				continue // no document, or no formula of that name
			}
			if stopped := finding.Worst(l.Findings) == finding.Stop; stopped == (l.Band != nil) {
				t.Fatalf("stopped: %v, and a band: %v", stopped, l.Band != nil)
			}
			if _, err := json.Marshal(l.Declaration); err != nil {
				t.Fatal(err) // a figure is none
			}
			for _, in := range l.Declaration.Ingredients {
				if in.Share.Nominal < 0 || in.Share.Low > in.Share.High {
					t.Fatalf("%s has the share %+v", in.Name, in.Share)
				}
			}
			for _, x := range l.Findings {
				if x.At.File == "formulas/fuzzed.yaml" && x.At.Line > strings.Count(text, "\n")+1 {
					t.Fatalf("%s is outside the file", x.At)
				}
			}
			if l.Band == nil {
				continue
			}
			if _, err := pdf.Write(scene.Document{Title: "t", Language: "en", Date: today(t), Sheets: []scene.Sheet{{
				Size: l.Band.Scene.Size, Scenes: []scene.Scene{l.Band.Scene}, Places: []scene.Place{{At: scene.Shift(scene.Point{})}},
			}}}); err != nil {
				t.Fatal(err)
			}
		}
	})
}

func BenchmarkBand(b *testing.B) {
	folder := demo(b)
	for b.Loop() {
		printed(b, folder, order(b, "hay-meadow", "us-soap"), compile.Print{Count: 1})
	}
}

func BenchmarkSheets(b *testing.B) {
	folder := demo(b)
	for _, count := range []int{1, 3000, 30000} {
		b.Run(fmt.Sprint(count), func(b *testing.B) {
			for b.Loop() {
				_, d := printed(b, folder, order(b, "hay-meadow", "us-soap"), compile.Print{Count: count})
				b.ReportMetric(float64(len(write(b, d))), "bytes/file")
			}
		})
	}
}
