package check_test

import (
	"testing"

	"saponym/internal/check"
	"saponym/internal/finding"
	"saponym/internal/market"
)

// Regulation (EU) 2023/1545 was published on 2023-07-27 (Official Journal L 188) and
// holds for what is placed on the market from 2026-08-01. Linalool was on the list
// before (Directive 2003/15/EC); Vanillin and Menthol came with it.
func TestStatementsAndTheList(t *testing.T) {
	for _, tt := range []struct {
		name, on, allergens, dated string
		want                       []string
		line                       int
	}{
		{"before the list, with old names", "2026-08-01", "Linalool: 1%", "2023-07-26", []string{"CHECK-STATEMENT stop"}, 4},
		{"before the list, with a new name", "2026-08-01", "Linalool: 1%, Menthol: 1%", "2023-07-26", []string{"CHECK-STATEMENT warn"}, 4},
		{"before the list, with the number of a new name", "2026-08-01", "121-33-5: 1%", "2023-07-26", []string{"CHECK-STATEMENT warn"}, 4},
		{"on the day of the list", "2026-08-01", "Linalool: 1%", "2023-07-27", nil, 0},
		{"without a day", "2026-08-01", "Linalool: 1%", "", []string{"CHECK-STATEMENT warn"}, 3},
		{"the old list is in force", "2026-07-31", "Linalool: 1%", "2023-07-26", nil, 0},
		{"the old list is in force, and no day", "2026-07-31", "Linalool: 1%", "", nil, 0},
		{"no statement at all", "2026-08-01", "", "", nil, 0}, // the declaration says so
	} {
		t.Run(tt.name, func(t *testing.T) {
			scent := "name: Scent\nkind: fragrance\nallergens: {" + tt.allergens + "}\n"
			if tt.dated != "" {
				scent += "statement: {dated: " + tt.dated + "}\n"
			}
			batter := pour(t, olive+"add: [{material: scent, weight: 3 g}, {material: scent, weight: 3 g, at: top}]\n", "scent", scent)
			found, err := check.Statements(batter, lawOn(t, "eu", tt.on))
			expect(t, found, err, tt.want...)
			for _, f := range found {
				if f.At.File != "materials/scent.yaml" || f.At.Line != tt.line || f.Market != "eu" || f.Cite == "" || f.Remedy == "" {
					t.Errorf("finding %+v", f)
				}
			}
		})
	}
}

// A list that is recalled, or that the program has not read in its text, does not stop.
func TestStatementsOfAnUnconfirmedRule(t *testing.T) {
	l := law(t, "eu")
	recalled := *l.Allergens
	recalled.Known = market.Memory
	l.Allergens = &recalled
	batter := pour(t, olive+"add: [{material: scent, weight: 3 g}]\n", "scent", "name: Scent\nkind: fragrance\nallergens: {Linalool: 1%}\nstatement: {dated: 2019-01-01}\n")
	found, err := check.Statements(batter, l)
	expect(t, found, err, "CHECK-STATEMENT warn")
}

// Where it is open whether allergens are named, that is said once, and of a bar
// without scent not at all.
func TestStatementsOfAnOpenList(t *testing.T) {
	const scent = "name: Scent\nkind: fragrance\nallergens: {Linalool: 1%}\n"
	open := &market.Law{Market: "zz", Allergens: &market.Allergens{Rule: market.Rule{ID: "ZZ-ALLERGEN-01", Level: finding.Warn, Known: market.Retrieved, Message: "open"}}}
	found, err := check.Statements(pour(t, olive+"add: [{material: scent, weight: 3 g}, {material: lavender-oil, weight: 3 g}]\n", "scent", scent), open)
	expect(t, found, err, "ZZ-ALLERGEN-01 note")
	found, err = check.Statements(pour(t, olive), open)
	expect(t, found, err)
	found, err = check.Statements(pour(t, olive+"add: [{material: scent, weight: 3 g}]\n", "scent", scent), &market.Law{Market: "zz"})
	expect(t, found, err)
}

// A statement of a day that lies ahead is a slip, whatever it names.
func TestStatementOfTheFuture(t *testing.T) {
	for dated, want := range map[string][]string{"2026-11-26": nil, "2026-11-27": {"CHECK-STATEMENT warn"}, "2099-01-01": {"CHECK-STATEMENT warn"}} {
		scent := "name: Scent\nkind: fragrance\nallergens: {Linalool: 1%, Menthol: 2%}\nstatement: {dated: " + dated + "}\n"
		found, err := check.Statements(pour(t, olive+"add: [{material: scent, weight: 3 g}]\n", "scent", scent), law(t, "eu"))
		expect(t, found, err, want...)
	}
}
