package formula_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

// What could hide alkali: a solution of another alkali than its document says, a part that
// nobody knows, water alone, and a correction that makes the alkali disappear.
func TestAlkaliThatWouldBeHidden(t *testing.T) {
	lye, _, err := formula.ReadMaterial("materials/my-lye.yaml", []byte("name: My lye\nkind: lye solution\ninci: Potassium Hydroxide\nstrength: 50%\n"))
	if err != nil {
		t.Fatal(err)
	}
	f, _, err := formula.ReadFormula("formulas/x.yaml", []byte("name: X\nidentity: soap\npot: [{material: olive-oil, weight: 1 kg}]\nlye: {solution: my-lye, superfat: 5%}\n"))
	if err != nil {
		t.Fatal(err)
	}
	for lines, want := range map[string]string{
		"[{material: sodium hydroxide, weight: 500 g}, {material: water, weight: 500 g}]":            formula.RuleOwnLot,
		"[{material: potassium hydroxide, weight: 500 g}, {material: water, weight: 500 g}]":         "",
		"[{material: unknown-lye, weight: 500 g}, {material: water, weight: 500 g}]":                 formula.RuleOwnUnsure,
		"[{material: sodium hydroxide, weight: 500 g, stays: 0%}, {material: water, weight: 500 g}]": formula.RuleOwnLot,
		"[{material: water, weight: 500 g}]":                                                         formula.RuleOwnLot,
		"[]":                                                                                         formula.RuleOwnUnsure,
	} {
		made, _, err := formula.ReadBatch("batches/L1.yaml", []byte("code: L1\nmakes: material\nmaterial: my-lye\nmade: 2026-11-26\nweighed: "+lines+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		b, _, err := formula.ReadBatch("batches/B1.yaml", []byte("code: B1\nformula: x\nmade: 2026-11-27\nweighed: [{material: olive-oil, weight: 1 kg}, {material: my-lye, weight: 360 g, lot: L1}]\n"))
		if err != nil {
			t.Fatal(err)
		}
		library := formula.NewLibrary([]formula.Material{lye}).WithBatches([]formula.Batch{made, b}, func(string) (formula.Formula, bool) { return f, true })
		m, ok := library.Making(b, nil)
		stops := slices.DeleteFunc(m.Findings, func(x formula.Finding) bool { return x.Level != finding.Stop })
		if got := len(stops); !ok || (got > 0) != (want != "") || got > 0 && stops[0].Rule != want {
			t.Errorf("%s: %v, want %q", lines, stops, want)
		}
	}
	for name, text := range map[string]string{
		"a line of another thing":     "weighed: [{material: sodium hydroxide, weight: 160 g}, {material: castor-oil, weight: 1 g, corrects: w1}]\n",
		"an event that is no removal": "weighed: [{material: sodium hydroxide, weight: 160 g}]\nevents: [{date: 2026-11-27, what: note, corrects: w1}]\n",
	} {
		_, found, err := formula.ReadBatch("batches/b-1.yaml", []byte("code: b-1\nformula: x\nmade: 2026-11-26\n"+text))
		if err != nil || len(found) != 1 || found[0].Rule != formula.RuleCorrects || found[0].Level != finding.Stop {
			t.Errorf("%s: %v, %v", name, found, err)
		}
	}
}

// A batch of which bars are gone cannot be worked again whole; a release is about the weights
// of its day; and a test that gave more than it had to is none.
func TestWaysOutThatAreNone(t *testing.T) {
	read := func(text string) formula.Batch {
		b, _, err := formula.ReadBatch("batches/b-1.yaml", []byte("code: b-1\nformula: x\nmade: 2026-11-26\nweighed: [{material: sodium hydroxide, weight: 160 g}]\n"+text))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	const tested = "{date: 2026-12-01, what: tested, method: pH, who: Ada, value: "
	sum := read("").WeightsSum()
	for text, want := range map[string]bool{
		tested + "9.8, limit: 10.5}": true, tested + "pH 13.9, limit: \"10.5\"}": false, tested + "13.9}": true,
		tested + "\"0,02 %\", limit: \"0,05 %\"}": true, tested + "6, limit: \"at least 7\"}": false, tested + "8, limit: \">7\"}": true,
	} {
		b := read("events: [" + text + ", {date: 2026-12-02, what: released, who: Ben, weights: " + sum + "}]\n")
		if release, missing := b.TestedRelease(); release.Date.Given() != want {
			t.Errorf("%s: released %t, %s", text, release.Date.Given(), missing)
		}
	}
	later, _, err := formula.ReadBatch("batches/b-1.yaml", []byte("code: b-1\nformula: x\nmade: 2026-11-26\nweighed: [{material: sodium hydroxide, weight: 160 g, lot: A}]\n"))
	if err != nil || later.WeightsSum() != sum {
		t.Errorf("a lot that was found later makes another sum: %v", err)
	}
	b := read("events: [" + tested + "9}, {date: 2026-12-02, what: released, who: Ben, weights: 00000000}]\n")
	if release, missing := b.TestedRelease(); release.Date.Given() || !strings.Contains(missing, "others than when it was released") {
		t.Errorf("a release of other weights counts: %s", missing)
	}
}
