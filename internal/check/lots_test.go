package check_test

import (
	"fmt"
	"testing"

	"saponym/internal/check"
	"saponym/internal/formula"
)

// A statement that is older than the lot is told; one by more than three years warns
// (common practice, no source). Where a day is missing there is nothing to compare.
func TestLots(t *testing.T) {
	const scent = "name: Scent\nkind: fragrance\nallergens: {Linalool: 1%}\n"
	for _, tt := range []struct {
		name, stated, received string
		material               string
		want                   []string
	}{
		{"on one day", "2026-03-14", "2026-03-14", scent, nil},
		{"the statement is newer", "2026-03-15", "2026-03-14", scent, nil},
		{"the statement is a day older", "2026-03-13", "2026-03-14", scent, []string{"CHECK-LOT note"}},
		{"just three years older", "2023-03-14", "2026-03-14", scent, []string{"CHECK-LOT note"}},
		{"more than three years older", "2023-03-13", "2026-03-14", scent, []string{"CHECK-LOT warn"}},
		{"no day of the statement", "", "2026-03-14", scent, nil},
		{"no day of the lot", "2020-03-14", "", scent, nil},
		{"no scent", "2020-03-14", "2026-03-14", "name: Scent\nkind: additive\ninci: Kaolin\n", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if tt.stated != "" {
				tt.material += "statement: {dated: " + tt.stated + "}\n"
			}
			received := ""
			if tt.received != "" {
				received = ", received: " + tt.received
			}
			b, _, err := formula.ReadBatch("batches/b-1.yaml", fmt.Appendf(nil, "code: b-1\nformula: test\nmade: 2026-11-26\nweighed:\n  - {material: olive-oil, weight: 1000 g}\n  - {material: scent, weight: 3 g, lot: S1%s}\n", received))
			if err != nil {
				t.Fatal(err)
			}
			found := check.Lots(b, library(t, "scent", tt.material))
			expect(t, found, nil, tt.want...)
			for _, f := range found {
				if f.At.File != "batches/b-1.yaml" || f.At.Line != 6 {
					t.Errorf("stands at %v", f.At)
				}
			}
		})
	}
}
