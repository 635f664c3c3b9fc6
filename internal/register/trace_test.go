package register_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"saponym/internal/formula"
	"saponym/internal/register"
)

// A shop in which a lot of oil goes into an infusion, a premix and a soap; the infusion into
// the premix and a soap; one soap as crumbs into another; one is worked again; and two are,
// by a slip, each made of the other.
var shopOfLots = map[string]string{
	"INF": "makes: material\nmaterial: infusion\nmade: 2026-11-01\nweighed:\n  - {material: olive, weight: 500 g, lot: \"#4411\", supplier: Grove}\n  - {material: calendula, weight: 20 g, lot: C7}\n",
	"PRE": "makes: material\nmaterial: premix\nmade: 2026-11-02\nweighed:\n  - {material: infusion, weight: 100 g, lot: INF}\n  - {material: coconut, weight: 200 g, lot: \"0127\"}\n",
	"S1":  "formula: f\nmade: 2026-11-03\nweighed:\n  - {material: premix, weight: 100 g, lot: PRE}\n  - {material: olive, weight: 50 g, lot: \"# 4411\"}\n",
	"S2":  "formula: f\nmade: 2026-11-04\nweighed:\n  - {batch: S1, weight: 30 g}\n  - {material: infusion, weight: 10 g, lot: INF}\n",
	"S3":  "formula: f\nmade: 2026-11-05\nparents: [S2]\nweighed:\n  - {batch: S2}\n",
	"S4":  "formula: f\nmade: 2026-11-06\nweighed:\n  - {material: olive, weight: 10 g, lot: \"#44112\"}\n",
	"X":   "formula: f\nmade: 2026-11-07\nweighed:\n  - {batch: Y, weight: 10 g}\n  - {material: olive, weight: 1 g, lot: L9}\n",
	"Y":   "formula: f\nmade: 2026-11-07\nweighed:\n  - {batch: X, weight: 10 g}\n",
	"Z":   "formula: f\nmade: 2026-11-08\nparents: [Z]\nweighed:\n  - {batch: Z, weight: 10 g}\n",
}

func TestForward(t *testing.T) {
	dir := t.TempDir()
	for code, text := range shopOfLots {
		put(t, dir, "batches/2026/"+code+".yaml", "code: "+code+"\n"+text)
	}
	x := openIndex(t, dir, t.TempDir())
	defer x.Close()
	for lot, want := range map[string]string{
		"#4411":   "INF olive; PRE infusion over INF; S2 infusion over INF; S1 premix over INF PRE; S3 own batch over INF S2",
		" #4411 ": "INF olive; PRE infusion over INF; S2 infusion over INF; S1 premix over INF PRE; S3 own batch over INF S2",
		"# 4411":  "S1 olive; S2 own batch over S1; S3 own batch over S1 S2",
		"c7":      "INF calendula; PRE infusion over INF; S2 infusion over INF; S1 premix over INF PRE; S3 own batch over INF S2",
		"0127":    "PRE coconut; S1 premix over PRE; S2 own batch over PRE S1; S3 own batch over PRE S1 S2",
		"127":     "",
		"INF":     "PRE infusion; S2 infusion; S1 premix over PRE; S3 own batch over S2",
		"S1":      "S2 own batch; S3 own batch over S2",
		"S3":      "",
		"L9":      "X olive; Y own batch over X",
		"X":       "Y own batch; X own batch over Y",
		"Z":       "Z own batch",
		"":        "",
		"no lot":  "",
		"#44112":  "S4 olive",
		"#441":    "",
	} {
		hits, err := x.Forward(lot)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, h := range hits {
			one := h.Code + " " + h.What
			if len(h.Via) > 0 {
				one += " over " + strings.Join(h.Via, " ")
			}
			got = append(got, one)
		}
		if all := strings.Join(got, "; "); all != want {
			t.Errorf("%q leads to\n%s, want\n%s", lot, all, want)
		}
	}
}

func TestBack(t *testing.T) {
	find := func(code string) (formula.Batch, bool) {
		text, ok := shopOfLots[code]
		if !ok {
			return formula.Batch{}, false
		}
		return asBatch(t, "batches/2026/"+code+".yaml", "code: "+code+"\n"+text), true
	}
	for code, want := range map[string]string{
		"S4":  "S4: olive #44112",
		"INF": "INF: olive #4411; INF: calendula C7",
		"S1":  "S1: premix PRE; PRE over S1: infusion INF; INF over S1 PRE: olive #4411; INF over S1 PRE: calendula C7; PRE over S1: coconut 0127; S1: olive # 4411",
		"S3": "S3: S2 ; S2 over S3: S1 ; S1 over S3 S2: premix PRE; PRE over S3 S2 S1: infusion INF; INF over S3 S2 S1 PRE: olive #4411; INF over S3 S2 S1 PRE: calendula C7; " +
			"PRE over S3 S2 S1: coconut 0127; S1 over S3 S2: olive # 4411; S2 over S3: infusion INF",
		"X": "X: Y ; Y over X: X ; X: olive L9",
		"Z": "Z: Z ",
	} {
		b, _ := find(code)
		var got []string
		for _, s := range register.Back(b, find) {
			where := s.Batch
			if len(s.Via) > 0 {
				where += " over " + strings.Join(s.Via, " ")
			}
			got = append(got, fmt.Sprintf("%s: %s%s %s", where, s.Material.V, s.Weighed.Batch.V, s.Lot.V))
		}
		if all := strings.Join(got, "; "); all != want {
			t.Errorf("back from %s:\n%s, want\n%s", code, all, want)
		}
	}
	// Parents count too, where the lines do not name them.
	child := asBatch(t, recordFile, head+"parents: [S4, none]\n")
	if got := register.Back(child, find); len(got) != 1 || got[0].Lot.V != "#44112" || !slices.Equal(got[0].Via, []string{"26330-01-S"}) {
		t.Errorf("%+v", got)
	}
}

// Ways that part after a while are kept apart, in both directions.
func TestWaysThatPart(t *testing.T) {
	made := map[string][]string{ // by what of it
		"A": {"L1"}, "B": {"A"}, "C": {"B"}, "D1": {"C"}, "D2": {"C"}, "E1": {"D1"}, "E2": {"D2"},
		"F": {"G"}, "G": {"H"}, "H": {"I1", "I2"}, "I1": {"J1"}, "I2": {"J2"}, "J1": {"L2"}, "J2": {"L3"},
	}
	dir := t.TempDir()
	batches := map[string]formula.Batch{}
	for code, of := range made {
		text := "code: " + code + "\nmakes: material\nmaterial: premix\nmade: 2026-11-01\nweighed:\n"
		for _, lot := range of {
			text += "  - {material: premix, weight: 1 g, lot: " + lot + "}\n"
		}
		file := "batches/2026/" + code + ".yaml"
		put(t, dir, file, text)
		batches[code] = asBatch(t, file, text)
	}
	x := openIndex(t, dir, t.TempDir())
	defer x.Close()
	hits, err := x.Forward("L1")
	if err != nil {
		t.Fatal(err)
	}
	ways := map[string]string{}
	for _, h := range hits {
		ways[h.Code] = strings.Join(h.Via, " ")
	}
	if want := map[string]string{"A": "", "B": "A", "C": "A B", "D1": "A B C", "D2": "A B C", "E1": "A B C D1", "E2": "A B C D2"}; !maps.Equal(ways, want) {
		t.Errorf("got %q, want %q", ways, want)
	}
	clear(ways)
	for _, s := range register.Back(batches["F"], func(code string) (formula.Batch, bool) { b, ok := batches[code]; return b, ok }) {
		ways[s.Lot.V] = strings.TrimSpace(strings.Join(s.Via, " ") + " " + s.Batch)
	}
	if want := map[string]string{"G": "F", "H": "F G", "I1": "F G H", "I2": "F G H", "J1": "F G H I1", "J2": "F G H I2", "L2": "F G H I1 J1", "L3": "F G H I2 J2"}; !maps.Equal(ways, want) {
		t.Errorf("got %q, want %q", ways, want)
	}
}

// What a lot leads to leads back to the lot.
func TestForwardAndBackAgree(t *testing.T) {
	dir := t.TempDir()
	batches := map[string]formula.Batch{}
	for code, text := range shopOfLots {
		put(t, dir, "batches/2026/"+code+".yaml", "code: "+code+"\n"+text)
		batches[code] = asBatch(t, "batches/2026/"+code+".yaml", "code: "+code+"\n"+text)
	}
	find := func(code string) (formula.Batch, bool) { b, ok := batches[code]; return b, ok }
	x := openIndex(t, dir, t.TempDir())
	defer x.Close()
	lots, err := x.Lots()
	if err != nil {
		t.Fatal(err)
	}
	for _, lot := range lots {
		hits, err := x.Forward(lot)
		if err != nil {
			t.Fatal(err)
		}
		forward := map[string]bool{}
		for _, h := range hits {
			forward[h.Code] = true
		}
		back := map[string]bool{}
		for code, b := range batches {
			if slices.ContainsFunc(register.Back(b, find), func(s register.Source) bool { return register.FoldLot(s.Lot.V) == register.FoldLot(lot) }) {
				back[code] = true
			}
		}
		if !maps.Equal(forward, back) {
			t.Errorf("%q leads to %v, and back to it lead %v", lot, forward, back)
		}
	}
}
