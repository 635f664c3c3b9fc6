package band_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/band"
	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The panels of a bar of 80 x 55 x 25 mm with an ease of 0.25 mm and a tab of 12
// mm: half a face is (55 + 0.25) / 2, a side 25 + 0.25, and all of it the girth
// of 160 mm, four times the ease and the tab.
func TestPanels(t *testing.T) {
	laid := mustLay(t, orangeOlive(), band.Options{})
	want := []float64{27.625, 25.25, 55.25, 25.25, 27.625, 12}
	for i, p := range laid.Blank.Panels {
		if got := p.Width.Millimetres(); got != want[i] {
			t.Errorf("%s is %g mm wide, want %g", p.Name, got, want[i])
		}
	}
	if got := laid.Scene.Size; got != (scene.Size{W: mm(173), H: mm(52)}) {
		t.Errorf("the band is %v, want 173 x 52 mm", got)
	}
	folds := []measure.Length{mm(27.625), mm(52.875), mm(108.125), mm(133.375)}
	if !slices.Equal(laid.Blank.Folds, folds) || laid.Blank.Seam != mm(161) {
		t.Errorf("folds at %v and the seam at %v, want %v and 161 mm", laid.Blank.Folds, laid.Blank.Seam, folds)
	}
}

// A rounded edge of radius r saves 2r - πr/2 of the way round it: 1.2876 mm for
// 3 mm, once for each panel.
func TestBevelShortensTheRun(t *testing.T) {
	template, look := builtin(t)
	template.Paper.Bevel = mm(3)
	laid, found, err := band.Lay(orangeOlive(), template, look, band.Options{})
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(err, found)
	}
	if got, want := laid.Blank.Size.W.Millimetres(), 173-4*1.28761; got < want-0.0001 || got > want+0.0001 {
		t.Errorf("the band is %.4f mm long, want %.4f", got, want)
	}
}

func mustLay(t testing.TB, c label.Content, o band.Options) band.Laid {
	t.Helper()
	template, look := builtin(t)
	laid, found, err := band.Lay(c, template, look, o)
	if err != nil {
		t.Fatal(err)
	}
	if finding.Worst(found) == finding.Stop {
		t.Fatalf("Lay stopped: %v", found)
	}
	return laid
}

func TestGolden(t *testing.T) {
	const file = "testdata/orange-olive.scene"
	got := mustLay(t, orangeOlive(), band.Options{}).Scene.String()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the scene differs from %s; look at it, then run with -update", file)
	}
	if again := mustLay(t, orangeOlive(), band.Options{}).Scene.String(); again != got {
		t.Error("two layouts of the same content differ")
	}
}

var layTests = []struct {
	name    string
	content label.Content
	rules   []string // of the findings, in order
}{
	{"mock-up", orangeOlive(), nil},
	{"larger bar", content(bar(85, 60, 25), "Hearth & Husk", "Oat soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(fourteen...), caution, maker, batch, contact), nil},
	{"square bar", content(bar(75, 75, 30), "Lavender & Oatmeal", "Handmade soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(fourteen...), caution, maker, batch), []string{band.RuleWider}},
	{"guest bar", content(bar(60, 40, 20), "Salt", "Sea soap", netWeight("Net Wt 1.5 oz (42 g)"), ingredients(six...), maker, batch), nil},
	{"free space beyond the fold", content(bar(70, 50, 25), "Nettle & Mint", "Garden soap", netWeight("Net Wt 4 oz (113 g)"), ingredients(six...), maker, batch), []string{band.RuleWider}},
	{"long list", content(bar(80, 55, 25), "Midnight in the Garden", "Handmade soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(twentyFour...), caution, maker, batch), []string{band.RulePitch, band.RuleWider}},
	{"long name", content(bar(80, 55, 25), "Grandmother’s Lavender, Oatmeal and Wildflower Honey", "Handmade soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(six...), maker, batch), nil},
	{"tagline", content(bar(90, 60, 28), "Charcoal & Clove", "Handmade soap", netWeight("Net Wt 5 oz (141 g)"), tagline, ingredients(fourteen...), maker, batch), nil},
	{"accents", content(bar(80, 55, 25), "Żółć & Gęś", "", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(six...), maker), nil},
	{"eu", european(bar(80, 55, 25)), []string{band.RulePitch, band.RuleWider}},

	{"name of one endless word", content(bar(80, 55, 25), strings.Repeat("Soap", 20), "Soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(six...), maker), []string{band.RuleRoom}},
	{"list that no band holds", content(bar(80, 55, 25), "Salt", "Soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(slices.Concat(twentyFour, twentyFour, twentyFour)...), maker), []string{band.RuleRoom}},
	{"net weight wider than the bar", content(bar(80, 45, 25), "Salt", "Soap", netWeight("Net Wt 4.2 oz (119 g) or so, when it was packed"), ingredients(six...), maker), []string{band.RuleRoom}},
	{"letters without a glyph", content(bar(80, 55, 25), "石鹸", "Soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(six...), maker), []string{band.RuleCharacter}},
	{"bar too small", content(bar(30, 20, 8), "Salt", "Soap", netWeight("Net Wt 1 oz (28 g)"), ingredients(six...), maker), []string{band.RuleBar}},
	{"no net weight", content(bar(80, 55, 25), "Salt", "Soap", ingredients(six...), maker), []string{band.RuleMissing}},
}

func TestLay(t *testing.T) {
	template, look := builtin(t)
	for _, tt := range layTests {
		for _, way := range look.Colourways {
			t.Run(tt.name+" "+way.ID, func(t *testing.T) {
				laid, found, err := band.Lay(tt.content, template, look, band.Options{Colourway: way.ID})
				if err != nil {
					t.Fatal(err)
				}
				var rules []string
				for _, f := range found {
					rules = append(rules, f.Rule)
				}
				if !slices.Equal(rules, tt.rules) {
					t.Errorf("findings %v, want the rules %v", found, tt.rules)
				}
				if finding.Worst(found) == finding.Stop {
					if len(laid.Scene.Items) > 0 {
						t.Error("there is a scene beside a stop")
					}
					return
				}
				for _, f := range band.Inspect(laid, tt.content) {
					t.Error(f.Text())
				}
			})
		}
	}
}

// The band of the mock-up keeps the figures of its drawing: the net weight at
// 16.8 pt, which is a small x of 1/8 inch, and the list at 8.4 pt, 1/16 inch.
func TestLetterSizes(t *testing.T) {
	laid := mustLay(t, orangeOlive(), band.Options{})
	for _, item := range laid.Scene.Items {
		want := measure.Length(0)
		switch item.Mark.Duty {
		case string(label.DutyNetQuantity):
			want = font.Tenths(168)
		case string(label.DutyIngredients), string(label.DutyCaution), string(label.DutyBatch):
			want = font.Tenths(84)
		}
		if item.Text != nil && want > 0 && item.Text.Size != want {
			t.Errorf("%q is set at %.1f pt, want %.1f", item.Text.Runes, font.Points(item.Text.Size), font.Points(want))
		}
	}
}

func TestOneInk(t *testing.T) {
	laid := mustLay(t, orangeOlive(), band.Options{Colourway: "black"})
	for _, item := range laid.Scene.Items {
		if item.Text != nil && item.Text.Ink != scene.Black {
			t.Errorf("%q is %s", item.Text.Runes, item.Text.Ink.Hex())
		}
		if item.Path != nil {
			for _, ink := range []scene.Ink{item.Path.Fill, item.Path.Stroke} {
				if ink.On && ink != scene.Black && ink != scene.RGB(0xffffff) {
					t.Errorf("a path is %s; one ink is black on paper", ink.Hex())
				}
			}
		}
	}
}

func TestUnknownColourway(t *testing.T) {
	template, look := builtin(t)
	_, found, err := band.Lay(orangeOlive(), template, look, band.Options{Colourway: "mauve"})
	if err != nil || len(found) != 1 || found[0].Rule != band.RuleColourway || !strings.Contains(found[0].Remedy, "white, black") {
		t.Errorf("Lay gives %v, %v; want one %s that names the colourways", found, err, band.RuleColourway)
	}
}

// A breadth that was asked for is kept, and the remedy names the one that is
// needed; with that one the band can be laid out.
func TestBreadthAsked(t *testing.T) {
	template, look := builtin(t)
	c := content(bar(80, 55, 25), "Salt", "Soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(twentyFour...), caution, maker, batch)
	_, found, err := band.Lay(c, template, look, band.Options{Breadth: mm(46)})
	if err != nil || finding.Worst(found) != finding.Stop {
		t.Fatalf("Lay gives %v, %v; want a stop", found, err)
	}
	var needed float64
	if _, err := fmt.Sscanf(found[0].Remedy, "make the band %g mm wide", &needed); err != nil {
		t.Fatalf("the remedy %q names no breadth", found[0].Remedy)
	}
	laid, found, err := band.Lay(c, template, look, band.Options{Breadth: mm(needed)})
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatalf("at %g mm Lay gives %v, %v", needed, found, err)
	}
	if laid.Scene.Size.H != mm(needed) {
		t.Errorf("the band is %v wide, want %g mm", laid.Scene.Size.H, needed)
	}
}

// The more free space is asked for round the net weight, the higher it stands above
// the edge, and the farther the ornament keeps away.
func TestFreeSpaceAround(t *testing.T) {
	for _, free := range []float64{2, 3, 4, 6} {
		c := around(mm(free))
		// So wide that the free space passes the folds of the front.
		c.Bar.Width = mm(50)
		c.Statements[2].Lines = []string{"119 g and all of it soap, as it is"}
		laid := mustLay(t, c, band.Options{})
		for _, f := range band.Inspect(laid, c) {
			t.Errorf("%g mm: %s", free, f.Text())
		}
		if edge := (laid.Scene.Size.H - textOf(laid, label.DutyNetQuantity).At.Y).Millimetres(); edge < free {
			t.Errorf("the net weight stands %.2f mm above the edge, want %g mm at least", edge, free)
		}
	}
}

// A list that finds no room says where the law lets it stand instead, with the
// condition and the paragraph. What may not move says nothing.
func TestNoRoomNamesTheWaysOut(t *testing.T) {
	template, look := builtin(t)
	long := ingredients(slices.Concat(twentyFour, twentyFour, twentyFour)...)
	free := long
	free.Required = false
	moves := long
	moves.Exempt = []label.Exemption{
		{When: "the label is too small", Instead: "a tag", Cite: "s. 21.5", Confirmed: true},
		{When: "it is sold by post", Instead: "a leaflet", Cite: "s. 21.6"},
	}
	warning, encore := caution, caution
	warning.Exempt = []label.Exemption{{When: "it cannot stand there", Instead: "a card", Cite: "s. 24", Confirmed: true}}
	encore.Field, encore.Exempt = "phrase.caution.fr", warning.Exempt
	for _, tt := range []struct {
		name       string
		statements []label.Statement
		want       string
	}{
		{"may move", []label.Statement{moves}, ", or go by a way that the law leaves for the ingredient list: where the label is too small, a tag (s. 21.5); where it is sold by post, a leaflet (s. 21.6, unconfirmed)"},
		{"may not move", []label.Statement{long}, ""},
		{"nobody asks for it", []label.Statement{free}, ", or print a tag or a leaflet"},
		{"a caution in two languages beside it", []label.Statement{long, warning, encore}, ", or go by a way that the law leaves for the caution: where it cannot stand there, a card (s. 24)"},
	} {
		c := content(bar(80, 55, 25), "Salt", "Soap", append(tt.statements, quantity("119 g"), maker)...)
		_, found, err := band.Lay(c, template, look, band.Options{})
		if err != nil || len(found) != 1 || found[0].Rule != band.RuleRoom || !strings.HasSuffix(found[0].Remedy, "shorten it"+tt.want) {
			t.Errorf("%s: Lay gives %v, %v; want a remedy that ends with %q", tt.name, found, err, tt.want)
		}
	}
}

// What is said in two languages stands there in both. A line ends at the
// slash between them, and two cautions keep each their heading.
func TestTwoLanguages(t *testing.T) {
	other := statement(label.DutyCaution, "Mise en garde\u00a0:", "Pour usage externe seulement. En cas de contact du savon avec les yeux, rincer à l’eau.")
	other.Field = "phrase.caution.fr"
	for identity, want := range map[string][]string{
		"Wild lavender and honey / Savon lavande miel": {"Wild lavender and honey /", "Savon lavande miel"},
		"Handmade olive oil soap / Savon":              {"Handmade olive oil soap /", "Savon"},
	} {
		c := content(bar(80, 55, 25), "Salt", identity, quantity("119 g"), ingredients(six...), maker, caution, other)
		laid := mustLay(t, c, band.Options{})
		for _, f := range band.Inspect(laid, c) {
			t.Error(f.Text())
		}
		var lines []string
		for _, item := range laid.Scene.Items {
			if item.Text != nil && item.Mark.Duty == string(label.DutyIdentity) {
				lines = append(lines, item.Text.Runes)
			}
		}
		if !slices.Equal(lines, want) {
			t.Errorf("the identity stands there as %q, want %q", lines, want)
		}
	}
}

// On a bar of 80 mm a band leaves 5 mm at either end.
func TestBreadthWiderThanTheBar(t *testing.T) {
	template, look := builtin(t)
	_, found, err := band.Lay(orangeOlive(), template, look, band.Options{Breadth: mm(71)})
	if err != nil || len(found) != 1 || found[0].Rule != band.RuleBar || !strings.Contains(found[0].Remedy, "at most 70 mm") {
		t.Errorf("Lay gives %v, %v; want one %s that allows 70 mm", found, err, band.RuleBar)
	}
}

func TestOptionalTextYields(t *testing.T) {
	template, look := builtin(t)
	c := content(bar(60, 40, 20), "Seaweed & Salt", "Sea soap", netWeight("Net Wt 1.5 oz (42 g)"), ingredients(six...), maker, batch, durability, contact)
	laid, found, err := band.Lay(c, template, look, band.Options{})
	if err != nil || finding.Worst(found) == finding.Stop {
		t.Fatal(err, found)
	}
	if !slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == band.RuleLeftOut }) {
		t.Errorf("findings %v, want a %s", found, band.RuleLeftOut)
	}
	for _, item := range laid.Scene.Items {
		if item.Mark.Duty == string(label.DutyContact) {
			t.Error("the contact is on the band although it was reported as left out")
		}
	}
}

// Whatever the bar and the words are, there is a stop, or a band in which
// nothing stands where it must not.
func TestAnyContent(t *testing.T) {
	template, look := builtin(t)
	words := []string{"Salt", "Oat", "Lavender", "Wildflower", "Husk", "&", "with", "Charcoal", "Gęś", "Grandmother’s", "Jojoba", "of", "glyph"}
	stops, bands := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		text := func(most int, what string) string {
			return strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 1, most).Draw(r, what), " ")
		}
		side := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(r, what) }
		width := side(30, 80, "width")
		b := bar(side(width, 110, "length"), width, side(12, min(width, 45), "height"))
		net := rapid.SampledFrom([]label.Statement{netWeight("Net Wt 4.2 oz (119 g)"), netWeight("Net Wt 1 oz (28 g)"), quantity("119 g"), quantity("95 g ℮")}).Draw(r, "net")
		net.Bold = rapid.Bool().Draw(r, "bold")
		names := rapid.SliceOfN(rapid.SampledFrom(twentyFour), 1, 40).Draw(r, "names")
		c := content(b, text(6, "name"), text(5, "identity"), net, ingredients(names...))
		for _, s := range []label.Statement{caution, maker, batch, contact, durability, responsible, optional(label.DutyTagline, text(6, "tagline")), statement(label.DutyOrigin, "", "Made in Ashcombe")} {
			if rapid.Bool().Draw(r, string(s.Duty)) {
				c.Statements = append(c.Statements, s)
			}
		}
		o := band.Options{Colourway: rapid.SampledFrom([]string{"", "white", "black"}).Draw(r, "colourway")}
		laid, found, err := band.Lay(c, template, look, o)
		if err != nil {
			r.Fatalf("Lay: %v", err)
		}
		if finding.Worst(found) == finding.Stop {
			stops++
			return
		}
		bands++
		for _, f := range band.Inspect(laid, c) {
			r.Errorf("%s", f.Text())
		}
	})
	t.Logf("%d bands, %d stops", bands, stops)
	if bands == 0 || stops == 0 {
		t.Errorf("%d bands and %d stops were drawn; both are needed to try the promise", bands, stops)
	}
}

func BenchmarkLay(b *testing.B) {
	template, look := builtin(b)
	for _, c := range []struct {
		name    string
		content label.Content
	}{{"mock-up", orangeOlive()}, {"long list", european(bar(80, 55, 25))}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, _, err := band.Lay(c.content, template, look, band.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
