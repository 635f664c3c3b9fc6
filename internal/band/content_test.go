package band_test

import (
	"testing"

	"saponym/internal/band"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/templates"
)

// builtin reads the template and the look that come with the program. Neither
// may have a finding.
func builtin(t testing.TB) (band.Template, band.Look) {
	t.Helper()
	read := func(file string) []byte {
		data, err := templates.FS.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	template, found, err := band.ReadTemplate("wrap-band.yaml", read("wrap-band.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	look, more, err := band.ReadLook("courtyard.yaml", read("courtyard.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(found, more...) {
		t.Errorf("unexpected finding: %s", f.Text())
	}
	return template, look
}

func mm(v float64) measure.Length { return measure.MM(v) }

func bar(length, width, height float64) label.Bar {
	return label.Bar{Length: mm(length), Width: mm(width), Height: mm(height)}
}

// netWeight is a net weight as US law asks for it: letters by the area of the
// principal display panel, within its lowest 30 per cent unless that is at most 5
// square inches, with the height of the letters free above and below and two
// widths of an N at each side (16 CFR 500.17, 500.21; 21 CFR 701.13).
func netWeight(s string) label.Statement {
	return label.Statement{Duty: label.DutyNetQuantity, Field: "cuts.bar.claim", Panel: label.Principal, Required: true, Lines: []string{s},
		Letters: label.Letters{Measured: label.SmallLetter, Steps: []label.HeightStep{
			{Over: 0, Min: measure.Inch / 16}, {Over: 5 * measure.SquareInch, Min: measure.Inch / 8}, {Over: 25 * measure.SquareInch, Min: 3 * measure.Inch / 16}}},
		Place: label.Placement{LowestPart: 30 * measure.Percent, UnlessFaceTo: 5 * measure.SquareInch, ClearHeights: 1, ClearWidthsN: 2}}
}

// quantity is a net weight as EU law asks for it: figures of 3 mm for 50 to
// 200 g (Directive 76/211/EEC, annex I, 3.1).
func quantity(s string) label.Statement {
	return label.Statement{Duty: label.DutyNetQuantity, Field: "cuts.bar.claim", Panel: label.Principal, Required: true, Lines: []string{s},
		Letters: label.Letters{Measured: label.Figures, Steps: []label.HeightStep{{Min: 3 * measure.Millimetre}}}}
}

// around is a band whose net weight has so much free space on every side.
func around(free measure.Length) label.Content {
	net := quantity("119 g")
	net.Place.ClearAround = free
	return content(bar(80, 55, 25), "Salt", "Soap", net, ingredients(six...), maker)
}

func ingredients(names ...string) label.Statement {
	return label.Statement{Duty: label.DutyIngredients, Field: "ingredients", Required: true, Heading: "Ingredients:", Names: names,
		Letters: label.Letters{Measured: label.SmallLetter, Steps: []label.HeightStep{{Min: measure.Inch / 16}}}}
}

func statement(duty label.Duty, heading string, lines ...string) label.Statement {
	return label.Statement{Duty: duty, Field: string(duty), Heading: heading, Lines: lines, Required: true}
}

func optional(duty label.Duty, lines ...string) label.Statement {
	s := statement(duty, "", lines...)
	s.Required = false
	return s
}

func content(b label.Bar, name, identity string, more ...label.Statement) label.Content {
	c := label.Content{Formula: "demo", Market: "us-soap", Language: "en", Bar: b}
	c.Statements = append(c.Statements, optional(label.DutyName, name))
	if identity != "" {
		c.Statements = append(c.Statements, statement(label.DutyIdentity, "", identity))
	}
	c.Statements = append(c.Statements, more...)
	return c
}

var (
	six      = []string{"Sodium Olivate", "Water", "Glycerin", "Sodium Cocoate", "Fragrance", "Linalool"}
	fourteen = []string{"Sodium Olivate", "Water", "Glycerin", "Sodium Cocoate", "Olea Europaea (Olive) Fruit Oil",
		"Citrus Sinensis Peel Oil", "Citrus Aurantium Amara Flower Oil", "Sodium Citrate", "CI 77491", "CI 77492", "Tocopherol",
		"Limonene", "Linalool", "Citral"}
	twentyFour = append(append([]string{}, fourteen...), "Geraniol", "Farnesol", "Hexyl Cinnamal", "Alpha-Isomethyl Ionone",
		"Benzyl Salicylate", "Butylphenyl Methylpropional", "Hydroxycitronellal", "Coumarin", "Eugenol", "CI 77007")

	maker       = statement(label.DutyMaker, "", "Tern & Thimble Soapworks", "12 Ropewalk", "Sallow Bay", "ME 00417, USA")
	caution     = statement(label.DutyCaution, "Caution:", "For external use only. If soap gets in the eyes, rinse with water. Keep dry between uses.")
	batch       = statement(label.DutyBatch, "", "Batch 26333-03-T")
	contact     = optional(label.DutyContact, "hello@tern.example")
	tagline     = optional(label.DutyTagline, "for hands that work")
	durability  = statement(label.DutyDurability, "", "Best before 11/2028")
	responsible = statement(label.DutyResponsible, "Responsible person:", "Larch & Lather GmbH", "Mühlgasse 4, 10115 Berlin, Germany")
)

// orangeOlive is the band of the mock-up.
func orangeOlive() label.Content {
	return content(bar(80, 55, 25), "Orange & Olive", "Olive oil soap", netWeight("Net Wt 4.2 oz (119 g)"), ingredients(fourteen...), caution, maker, batch)
}

func european(b label.Bar) label.Content {
	c := content(b, "Orange & Olive", "Olive oil soap", quantity("119 g"), ingredients(twentyFour...), maker, responsible, batch, durability, contact)
	c.Market = "eu"
	return c
}
