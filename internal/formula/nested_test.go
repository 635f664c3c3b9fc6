package formula_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/formula"
)

// shelf reads materials by id into a library, with whatever findings they have.
func shelf(t fataler, materials map[string]string) formula.Library {
	t.Helper()
	var own []formula.Material
	for id, in := range materials {
		m, _, err := formula.ReadMaterial("materials/"+id+".yaml", []byte(in))
		if err != nil {
			t.Fatal(err)
		}
		own = append(own, m)
	}
	return formula.NewLibrary(own)
}

type fataler interface {
	Helper()
	Fatal(args ...any)
}

// chain gives so many blends that stand one inside the other; the last is of olive oil.
func chain(links int) map[string]string {
	all := map[string]string{}
	for i := 1; i < links; i++ {
		all[fmt.Sprintf("b%02d", i)] = fmt.Sprintf("kind: oil blend\ncontains:\n  - {material: b%02d}\n", i+1)
	}
	all[fmt.Sprintf("b%02d", links)] = "kind: oil blend\ncontains: [{material: olive-oil}]\n"
	return all
}

func TestNested(t *testing.T) {
	for _, tt := range []struct {
		name      string
		materials map[string]string
		want      string // "file:line:col RULE", with commas between them
		message   string
		remedy    string
	}{
		{name: "blends of blends and of oils", materials: map[string]string{
			"outer": "kind: oil blend\ncontains: [{material: Inner, share: 40%}, {inci: Ricinus Communis (Castor) Seed Oil}]\n",
			"inner": "kind: oil blend\ncontains: [{material: olive oil}, {material: coconut-oil}]\n",
		}},
		{name: "one blend in two places", materials: map[string]string{
			"a": "kind: oil blend\ncontains: [{material: b}, {material: c}]\n",
			"b": "kind: oil blend\ncontains: [{material: c}, {material: castor-oil}]\n",
			"c": "kind: oil blend\ncontains: [{material: olive-oil}]\n",
		}},
		{name: "a name that is no id gets one finding, when it is read", materials: map[string]string{"a": "kind: oil blend\ncontains: [{material: 'b/c'}]\n"}},
		{name: "a slip in a name", materials: map[string]string{"a": "kind: oil blend\ncontains:\n  - {material: castor-oil}\n  - {material: olvie-oil}\n"},
			want: "materials/a.yaml:4:16 FORM-CONSTITUENT", message: `there is no material "olvie-oil"`, remedy: `did you mean "olive-oil"?`},
		{name: "a name of nothing", materials: map[string]string{"a": "kind: oil blend\ncontains: [{material: qqqqqqqqqq}]\n"},
			want: "materials/a.yaml:2:23 FORM-CONSTITUENT", message: `"qqqqqqqqqq"`, remedy: "write materials/qqqqqqqqqq.yaml"},
		{name: "a blend of itself", materials: map[string]string{"a": "kind: oil blend\ncontains: [{material: olive-oil}, {material: A}]\n"},
			want: "materials/a.yaml:2:46 FORM-CIRCLE", message: `"a" contains "a": that goes in a circle`, remedy: "by INCI names"},
		{name: "a circle of three, once, whatever leads to it", materials: map[string]string{
			"a": "kind: oil blend\ncontains: [{material: m}]\n",
			"m": "kind: oil blend\ncontains: [{material: n}]\n",
			"n": "kind: oil blend\ncontains: [{material: o}]\n",
			"o": "kind: oil blend\ncontains: [{material: m}]\n",
			"z": "kind: oil blend\ncontains: [{material: o}]\n",
		}, want: "materials/o.yaml:2:23 FORM-CIRCLE", message: `"m" contains "n", which contains "o", which contains "m": that goes in a circle`},
		{name: "two circles", materials: map[string]string{
			"a": "kind: oil blend\ncontains: [{material: b}, {material: c}]\n",
			"b": "kind: oil blend\ncontains: [{material: a}]\n",
			"c": "kind: oil blend\ncontains: [{material: a}]\n",
		}, want: "materials/b.yaml:2:23 FORM-CIRCLE, materials/c.yaml:2:23 FORM-CIRCLE"},
		{name: "a built-in name with a list of its own", materials: map[string]string{"olive-oil": "contains: [{material: olive-oil}]\n"},
			want: "materials/olive-oil.yaml:1:23 FORM-CIRCLE"},

		{name: "as deep as may be", materials: chain(8)},
		{name: "too deep", materials: chain(9), want: "materials/b01.yaml:3:16 FORM-NESTED", message: `"b01" contains "b02", which contains`, remedy: "by its INCI names"},
		{name: "deeper yet is one finding", materials: chain(12), want: "materials/b04.yaml:3:16 FORM-NESTED", message: `which contains "olive-oil": more than 8`},

		{name: "a lye solution in an oil blend", materials: map[string]string{
			"lye-50": "kind: lye solution\ninci: Sodium Hydroxide\nstrength: 50%\n",
			"a":      "kind: oil blend\ncontains: [{material: olive-oil}, {material: lye-50}]\n",
		}, want: "materials/a.yaml:2:46 FORM-INSIDE", message: `"a" contains "lye-50", and there is no lye among oils`, remedy: `write "kind: soap"`},
		{name: "lye in an oil blend by way of something else", materials: map[string]string{
			"mix": "kind: additive\ncontains: [{material: sodium-hydroxide}]\n",
			"b":   "kind: oil blend\ncontains: [{material: mix}]\n",
			"c":   "kind: oil blend\ncontains: [{material: b}]\n",
		}, want: "materials/b.yaml:2:23 FORM-INSIDE", message: `"b" contains "mix", which contains "sodium-hydroxide"`},
		{name: "lye in what went into a pot, and that among oils", materials: map[string]string{
			"soap":  "kind: soap\ncontains: [{material: olive-oil}, {material: sodium-hydroxide}]\n",
			"blend": "kind: oil blend\ncontains: [{material: olive-oil}, {material: soap}]\n",
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			library := shelf(t, tt.materials)
			found := library.Nested()
			var all []string
			for _, f := range found {
				all = append(all, fmt.Sprintf("%s %s", f.At, f.Rule))
				if f.Level != finding.Stop || !strings.Contains(f.Message, tt.message) || f.Remedy == "" || !strings.Contains(f.Remedy, tt.remedy) {
					t.Errorf("%s; want %q, and %q", f.Text(), tt.message, tt.remedy)
				}
			}
			if got := strings.Join(all, ", "); got != tt.want {
				t.Errorf("got %s\nwant %s", got, tt.want)
			}
		})
	}
}

// Whatever stands in whatever: the lists can be followed to their ends just when
// nothing is reported.
func TestNestedFindsEveryCircle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "materials")
		inside := map[string][]string{}
		materials := map[string]string{}
		for i := range n {
			id := fmt.Sprintf("m%d", i)
			in := "kind: additive\ncontains:\n"
			for _, j := range rapid.SliceOfNDistinct(rapid.IntRange(0, n-1), 0, 2, rapid.ID).Draw(t, id) {
				inside[id] = append(inside[id], fmt.Sprintf("m%d", j))
				in += fmt.Sprintf("  - {material: m%d}\n", j)
			}
			materials[id] = in + "  - {inci: Aqua}\n"
		}
		// What holds nothing that is not crossed out is crossed out, until nothing is.
		for range n {
			for id := range materials {
				open := false
				for _, part := range inside[id] {
					_, still := inside[part]
					open = open || still
				}
				if !open {
					delete(inside, id)
				}
			}
		}
		found := shelf(t, materials).Nested()
		if (len(found) > 0) != (len(inside) > 0) {
			t.Fatalf("in a circle: %v; findings %v", inside, found)
		}
		for _, f := range found {
			if f.Rule != formula.RuleCircle {
				t.Fatal(f.Text())
			}
		}
	})
}
