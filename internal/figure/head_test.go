package figure_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/scene"
	"saponym/internal/trail"
)

// lines gives what stands on the page outside the columns: each line that is set, without
// its spaces.
func lines(s scene.Scene) []string {
	var all []string
	for _, item := range s.Items {
		if item.Text != nil && item.Mark.Field == "" {
			all = append(all, dense(item.Text.Runes))
		}
	}
	return all
}

// What is within another node is not counted twice, and what no word tells of is said.
func TestHeadsTellTheTruth(t *testing.T) {
	f := pair(sure(300), sure(20))
	f.Words = append(f.Words, trail.Node{Name: "Linalool", Note: "within the scent", Grams: sure(4), Apart: true})
	got := strings.Join(lines(draw(t, f, a4)), " ")
	if strings.Contains(got, "324") || strings.Contains(got, "declared") {
		t.Errorf("with an allergen: %s", got)
	}
	f.Bar = append(f.Bar, trail.Node{Name: "what is no hydroxide", Grams: sure(2.3)})
	got = strings.Join(lines(draw(t, f, a4)), "")
	if !strings.Contains(got, "322.3g") || !strings.Contains(got, "2.3gisnotdeclared") {
		t.Errorf("with something that is not declared: %s", got)
	}
}

// Where no weight of lye is given the picture says why, on one line, and no grams of what
// is bare.
func TestNoLye(t *testing.T) {
	f := pair(sure(300), sure(20))
	f.Weighed = append(f.Weighed, trail.Node{Name: "sodium hydroxide", Note: "no weight is given", Bare: true})
	f.NoLye = "the bar can be lye-heavy: its fats bind less"
	s := draw(t, f, a4)
	if got := named(s)["pot[2]"]; got != "sodiumhydroxidenoweightisgiven" {
		t.Errorf("the alkali reads %q", got)
	}
	if gauge(s, "pot[2]") != 0 {
		t.Error("the alkali has a gauge")
	}
	if got := lines(s); !slices.Contains(got, dense("No weight of lye is given: "+f.NoLye)) || !slices.Contains(got, dense("as weighed, without the lye")) {
		t.Errorf("got %q", got)
	}
	many := strings.Repeat("word ", 60)
	for why, want := range map[string]string{
		"a clause: " + many: "a clause",
		many + ": a clause": "…",
	} {
		f.NoLye = why
		i := slices.IndexFunc(lines(draw(t, f, a4)), func(l string) bool {
			return strings.HasPrefix(l, "Noweightoflyeisgiven:") && strings.HasSuffix(l, dense(want))
		})
		if i < 0 {
			t.Errorf("%.20q is not shortened to %q", why, want)
		}
	}
}

// What was shown of no order has a yoke of its own, which the key explains.
func TestUnprovedYoke(t *testing.T) {
	f := many(4, false)
	for i := range f.Words {
		f.Words[i].Joint = []trail.Joint{trail.Loose, trail.Unproved, trail.Firm, trail.Firm}[i]
	}
	s := draw(t, f, a4)
	dashes := map[string]scene.Length{}
	for _, item := range s.Items {
		if item.Path != nil && strings.HasPrefix(item.Mark.Field, "words") && strings.Contains(item.Mark.Field, " ") {
			dashes[item.Mark.Field] = item.Path.Dash[0]
		}
	}
	if len(dashes) != 2 || dashes["words[0] words[1]"] == dashes["words[1] words[2]"] {
		t.Errorf("yokes: %v", dashes)
	}
	key := strings.Join(lines(s), " ")
	if !strings.Contains(key, dense("not proved either way")) || !strings.Contains(key, dense("could stand the other way round")) {
		t.Errorf("the key says %s", key)
	}
	f.Words[1].Joint = trail.Firm
	if strings.Contains(strings.Join(lines(draw(t, f, a4)), " "), dense("not proved either way")) {
		t.Error("the key tells what is not in the picture")
	}
}
