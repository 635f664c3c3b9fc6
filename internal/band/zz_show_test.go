package band_test

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"saponym/internal/band"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/render/pdf"
	"saponym/internal/scene"
)

func TestShow(t *testing.T) {
	dir := os.Getenv("BAND_SHOW")
	if dir == "" {
		t.Skip()
	}
	tmpl, look := builtin(t)
	all := map[string]*scene.Sheet{"white": {Size: scene.Size{W: 450 * measure.Millimetre, H: 340 * measure.Millimetre}}, "black": {Size: scene.Size{W: 450 * measure.Millimetre, H: 340 * measure.Millimetre}}}
	n := map[string]int{}
	for _, name := range slices.Sorted(maps.Keys(showCases)) {
		c := showCases[name]
		for _, way := range []string{"white", "black"} {
			start := time.Now()
			laid, found, err := band.Lay(c, tmpl, look, band.Options{Colourway: way})
			if err != nil {
				t.Fatal(err)
			}
			t.Log(name, time.Since(start))
			for _, f := range found {
				t.Log(name, f.Text())
			}
			if finding.Worst(found) == finding.Stop {
				continue
			}
			for _, f := range band.Inspect(laid, c) {
				t.Log("INSPECT", name, f.Text())
			}
			pad := 4 * measure.Millimetre
			folds := scene.Path{Stroke: scene.RGB(0x999999), Width: 90000}
			trim := laid.Blank.Trim
			trim.Fill = scene.RGB(0xffffff)
			back := scene.Path{Fill: scene.RGB(0xe2e1dd)}
			back.Rectangle(scene.Rect{W: laid.Blank.Size.W + 2*pad, H: laid.Blank.Size.H + 2*pad})
			sheet := scene.Sheet{Size: scene.Size{W: laid.Blank.Size.W + 2*pad, H: laid.Blank.Size.H + 2*pad},
				Scenes: []scene.Scene{{Size: scene.Size{W: laid.Blank.Size.W + 2*pad, H: laid.Blank.Size.H + 2*pad}, Items: []scene.Item{{Path: &back}}}, {Size: laid.Blank.Size, Items: []scene.Item{{Path: &trim}}}, laid.Scene, {Items: []scene.Item{{Path: &folds}}}}}
			for _, f := range laid.Blank.Folds {
				folds.Move(f, -pad).Line(f, -pad/2)
				folds.Move(f, laid.Blank.Size.H+pad/2).Line(f, laid.Blank.Size.H+pad)
			}
			{
				a := all[way]
				k := n[way]
				n[way]++
				to := scene.Shift(scene.Point{X: measure.Length(k%2)*225*measure.Millimetre + pad, Y: measure.Length(k/2)*56*measure.Millimetre + pad})
				bg := scene.Path{Fill: scene.RGB(0xd8d7d2)}
				bg.Rectangle(scene.Rect{X: -pad, Y: -pad, W: 224 * measure.Millimetre, H: 55 * measure.Millimetre})
				for _, sc := range []scene.Scene{{Size: laid.Blank.Size, Items: []scene.Item{{Path: &bg}, {Path: &trim}}}, laid.Scene} {
					a.Scenes = append(a.Scenes, sc)
					a.Places = append(a.Places, scene.Place{Scene: len(a.Scenes) - 1, At: to})
				}
			}
			sheet.Places = []scene.Place{{Scene: 0, At: scene.Shift(scene.Point{})}, {Scene: 1, At: scene.Shift(scene.Point{X: pad, Y: pad})}, {Scene: 2, At: scene.Shift(scene.Point{X: pad, Y: pad})}, {Scene: 3, At: scene.Shift(scene.Point{X: pad, Y: pad})}}
			d, _ := day.Of(2026, 11, 26)
			data, err := pdf.Write(scene.Document{Title: name, Author: "x", Language: "en", Date: d, Sheets: []scene.Sheet{sheet}})
			if err != nil {
				t.Fatal(err)
			}
			os.WriteFile(filepath.Join(dir, name+"-"+way+".pdf"), data, 0o644)
		}
	}
	for way, a := range all {
		d, _ := day.Of(2026, 11, 26)
		data, err := pdf.Write(scene.Document{Title: way, Author: "x", Language: "en", Date: d, Sheets: []scene.Sheet{*a}})
		if err != nil {
			t.Fatal(err)
		}
		os.WriteFile(filepath.Join(dir, "all-"+way+".pdf"), data, 0o644)
	}
}

func mm(v float64) measure.Length { return measure.MM(v) }

func usNet(s string) label.Statement {
	return label.Statement{Duty: label.DutyNetQuantity, Field: "cuts.bar.claim", Panel: label.Principal, Required: true, Lines: []string{s},
		Letters: label.Letters{Measured: label.SmallLetter, Steps: []label.HeightStep{{Over: 0, Min: 1_587_500}, {Over: 5 * measure.SquareInch, Min: 3_175_000}, {Over: 25 * measure.SquareInch, Min: 4_762_500}}},
		Place:   label.Placement{LowestPart: 30 * measure.Percent, UnlessFaceTo: 5 * measure.SquareInch, ClearHeights: 1, ClearWidthsN: 2}}
}

func content(bar label.Bar, name, identity string, net label.Statement, more ...label.Statement) label.Content {
	c := label.Content{Formula: "demo", Market: "us-soap", Language: "en", Bar: bar}
	c.Statements = append(c.Statements, label.Statement{Duty: label.DutyName, Field: "name", Lines: []string{name}})
	if identity != "" {
		c.Statements = append(c.Statements, label.Statement{Duty: label.DutyIdentity, Field: "identity", Lines: []string{identity}, Required: true})
	}
	c.Statements = append(append(c.Statements, net), more...)
	return c
}

func ingredients(names ...string) label.Statement {
	return label.Statement{Duty: label.DutyIngredients, Field: "ingredients", Required: true, Heading: "Ingredients:", Names: names}
}

func lines(duty label.Duty, heading string, l ...string) label.Statement {
	return label.Statement{Duty: duty, Field: string(duty), Heading: heading, Lines: l, Required: duty != label.DutyContact && duty != label.DutyTagline}
}

func bar(l, w, h float64) label.Bar { return label.Bar{Length: mm(l), Width: mm(w), Height: mm(h)} }

var (
	six      = []string{"Sodium Olivate", "Water", "Glycerin", "Sodium Cocoate", "Fragrance", "Linalool"}
	fourteen = []string{"Sodium Olivate", "Water", "Glycerin", "Sodium Cocoate", "Olea Europaea (Olive) Fruit Oil", "Citrus Sinensis Peel Oil", "Citrus Aurantium Amara Flower Oil", "Sodium Citrate", "CI 77491", "CI 77492", "Tocopherol", "Limonene", "Linalool", "Citral", "Geraniol", "Farnesol"}
	many     = append(append([]string{}, fourteen...), "Hexyl Cinnamal", "Alpha-Isomethyl Ionone", "Benzyl Salicylate", "Butylphenyl Methylpropional", "Hydroxycitronellal", "Coumarin", "Eugenol", "CI 77007")
	maker    = lines(label.DutyMaker, "", "Tern & Thimble Soapworks", "12 Ropewalk", "Sallow Bay", "ME 00417, USA")
	caution  = lines(label.DutyCaution, "Caution:", "For external use only. If soap gets in the eyes, rinse with water. Keep dry between uses.")
	batch    = lines(label.DutyBatch, "", "Batch 26333-03-T")
	contact  = lines(label.DutyContact, "", "hello@tern.example")
	best     = lines(label.DutyDurability, "", "Best before 11/2028")
	resp     = lines(label.DutyResponsible, "Responsible person:", "Larch & Lather GmbH", "Mühlgasse 4, 10115 Berlin, Germany")
)

var showCases = map[string]label.Content{
	"us-80":     content(bar(80, 55, 25), "Orange & Olive", "Olive oil soap", usNet("Net Wt 4.2 oz (119 g)"), ingredients(fourteen...), caution, maker, batch),
	"us-85":     content(bar(85, 60, 25), "Hearth & Husk", "Oat soap", usNet("Net Wt 4.2 oz (119 g)"), ingredients(fourteen...), caution, maker, batch, contact),
	"us-75":     content(bar(75, 75, 30), "Lavender & Oatmeal", "Handmade soap", usNet("Net Wt 4.2 oz (119 g)"), ingredients(fourteen...), caution, maker, batch, contact),
	"us-guest":  content(bar(60, 40, 20), "Salt", "Sea soap", usNet("Net Wt 1.5 oz (42 g)"), ingredients(six...), maker, batch),
	"us-six":    content(bar(80, 55, 25), "Oatmeal", "Soap", usNet("Net Wt 4.2 oz (119 g)"), ingredients(six...), caution, maker, batch),
	"us-many":   content(bar(80, 55, 25), "Midnight in the Garden", "Handmade soap", usNet("Net Wt 4.2 oz (119 g)"), ingredients(many...), caution, maker, batch),
	"us-70x50":  content(bar(70, 50, 25), "Nettle & Mint", "Garden soap", usNet("Net Wt 4 oz (113 g)"), ingredients(six...), maker, batch),
	"us-long":   content(bar(80, 55, 25), "Grandmother’s Lavender, Oatmeal and Wildflower Honey", "Handmade soap", usNet("Net Wt 4.2 oz (119 g)"), ingredients(fourteen...), maker, batch),
	"us-tag":    content(bar(90, 60, 28), "Charcoal & Clove", "Handmade soap", usNet("Net Wt 5 oz (141 g)"), lines(label.DutyTagline, "", "for hands that work"), ingredients(fourteen...), maker, batch),
	"eu-80":     eu(bar(80, 55, 25)),
	"us-noname": content(bar(80, 55, 25), "Żółć & Gęś", "", usNet("Net Wt 4.2 oz (119 g)"), ingredients(six...), maker),
}

func eu(b label.Bar) label.Content {
	net := label.Statement{Duty: label.DutyNetQuantity, Field: "cuts.bar.claim", Panel: label.Principal, Required: true, Lines: []string{"119 g"},
		Letters: label.Letters{Measured: label.Figures, Steps: []label.HeightStep{{Over: 0, Min: 3 * measure.Millimetre}}}}
	c := content(b, "Orange & Olive", "Olive oil soap", net, ingredients(many...), maker, resp, batch, best, contact)
	c.Market = "eu"
	return c
}
