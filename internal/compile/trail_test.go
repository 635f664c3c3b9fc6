package compile_test

import (
	"errors"
	"slices"
	"testing"

	"saponym/internal/compile"
	"saponym/internal/finding"
)

// A word that one list has and another lacks is followed where it is, and a note says where
// it is not: true soap in the United States names no allergens.
func TestTrailOverSeveralMarkets(t *testing.T) {
	ways, err := compile.MakeTrails(demo(t), order(t, "hay-meadow", ""), []string{"us-soap", "eu"}, "linalool")
	if err != nil || len(ways) != 2 {
		t.Fatal(ways, err)
	}
	for i, market := range []string{"us-soap", "eu"} {
		has := market == "eu"
		noted := slices.ContainsFunc(ways[i].Findings, func(f finding.Finding) bool {
			return f.Rule == compile.RuleWord && f.Level == finding.Note && f.Market == market && f.Message == `"linalool" is not in the list of us-soap`
		})
		if ways[i].Market != market || (ways[i].Trail != nil) != has || noted == has {
			t.Errorf("%s: trail %v, findings %v", market, ways[i].Trail, ways[i].Findings)
		}
	}
	if ways[1].Word != "Linalool" {
		t.Errorf("it is the trail of %q", ways[1].Word)
	}
}

// A word that no list has is an error, with what was meant in any of them: "Aqua" is the
// word of the European list, and "Water" that of the American one.
func TestTrailOfNoWord(t *testing.T) {
	for word, nearest := range map[string]string{"Aqva": "Aqua", "Watr": "Water", "Nowhere": ""} {
		_, err := compile.MakeTrails(demo(t), order(t, "hay-meadow", ""), []string{"us-soap", "eu"}, word)
		var unknown *compile.UnknownError
		if !errors.As(err, &unknown) || unknown.Name != word || unknown.Nearest != nearest {
			t.Errorf("%s: got %v", word, err)
		}
	}
}

// A trail of a batch names its lots; that of the formula alone has none.
func TestTrailOfABatch(t *testing.T) {
	for _, tt := range []struct{ formula, batch, lot string }{{"26300-01-H", "", "CA-077"}, {"millpond", "26300-01-H", "CA-077"}, {"millpond", "", ""}} {
		o := order(t, tt.formula, "")
		o.Batch = tt.batch
		ways, err := compile.MakeTrails(demo(t), o, []string{"eu"}, "Sodium Castorate")
		if err != nil || ways[0].Trail == nil {
			t.Fatal(ways, err)
		}
		if lot := ways[0].Steps[0].Lot; lot != tt.lot {
			t.Errorf("%s %s: lot %q, want %q", tt.formula, tt.batch, lot, tt.lot)
		}
	}
}
