package formula

import (
	"fmt"
	"net/mail"

	"saponym/internal/measure"
	"saponym/internal/source"
)

// ReadShop reads shop.yaml; see [ReadFormula].
func ReadShop(file string, data []byte) (Shop, []Finding, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Shop{}, nil, err
	}
	m := doc.Root()
	r := shopReader{report: doc.Report}
	s := Shop{
		File:        file,
		Maker:       r.maker(m.Map("maker")),
		Markets:     r.markets(m),
		Responsible: places(m.Map("responsible_person"), r.responsible),
		Moulds:      named(m.Map("moulds"), r.report, r.mould),
		Scales:      named(m.Map("scales"), r.report, r.scale),
		Printers:    named(m.Map("printers"), r.report, r.printer),
		Codes:       codes(m.Map("codes")),
		LotRules:    places(m.Map("lot_rules"), (*source.Map).Text),
	}
	if m.KeyAt("maker").Line == 0 {
		r.report.stop(RuleMissing, m.At(), `"maker" is missing: who makes the soap and answers for it`, `add "maker: {name: …, address: […]}"`)
	}
	return s, doc.Findings(), nil
}

type shopReader struct{ report reporter }

func (r shopReader) address(m *source.Map, what string) Address {
	a := Address{Name: m.Text("name"), Lines: m.Texts("address")}
	required(a.Name, m, "name", what, r.report)
	return a
}

func (r shopReader) maker(m *source.Map) Maker {
	contact := m.Map("contact")
	k := Maker{
		Address: r.address(m, "the maker's name as it is printed"),
		MadeIn:  m.Text("made_in"),
		Contact: Contact{Email: contact.Text("email"), Phone: contact.Text("phone"), Web: webAddress(contact, "web", r.report)},
	}
	if email := k.Contact.Email; email.Given() {
		if parsed, err := mail.ParseAddress(email.V); err != nil || parsed.Address != email.V {
			r.report.stop(RuleLink, email.At, fmt.Sprintf("%q is no e-mail address", email.V), `write it as "hello@larch.example"`)
		}
	}
	return k
}

// markets reads the ids of the rule sets. Which of them there are is not known
// here.
func (r shopReader) markets(m *source.Map) []Text {
	markets := m.Texts("markets")
	first := map[string]bool{}
	for _, market := range markets {
		id := ID(market.V)
		switch {
		case !IsID(id):
			r.report.stop(RuleID, market.At, fmt.Sprintf("%q is no id of a market", market.V), `write for example "eu" or "us-soap"`)
		case first[id]:
			r.report.stop(RuleRepeated, market.At, fmt.Sprintf("the market %q stands in the list twice", market.V), "take one of them out")
		}
		first[id] = true
	}
	return markets
}

func (r shopReader) responsible(m *source.Map, place string) Address {
	return r.address(m.Map(place), "the responsible person's name as it is printed")
}

func (r shopReader) mould(m *source.Map, name string) Mould {
	line := m.Map(name)
	exactlyOne(line, fmt.Sprintf("the mould %q", name), r.report, "holds", "batter", "oils")
	mould := Mould{Holds: line.Volume("holds"), Batter: line.Mass("batter"), Oils: line.Mass("oils"), Fill: line.Share("fill")}
	switch fill := mould.Fill; {
	case !fill.Given():
	case fill.V == 0:
		r.report.stop(source.RulePositive, fill.At, "the mould is filled with nothing", `write how full it is filled, such as "95%"`)
	case fill.V > measure.Whole:
		atMostWhole(fill, "the filling", r.report)
	case line.KeyAt("holds").Line == 0:
		r.report.stop(RuleOneOf, fill.At, `"fill" is of what the mould holds, and that is not given`, `take it out, or write "holds"`)
	}
	return mould
}

func (r shopReader) scale(m *source.Map, name string) Mass {
	line := m.Map(name)
	step := line.Mass("step")
	required(step, line, "step", "the smallest difference that the scale shows", r.report)
	return step
}

func (r shopReader) printer(m *source.Map, name string) map[string]Calibration {
	return named(m.Map(name), r.report, r.tray)
}

func (r shopReader) tray(m *source.Map, name string) Calibration {
	line := m.Map(name)
	c := Calibration{X: line.Offset("x"), Y: line.Offset("y"), ScaleX: line.Share("scale_x"), ScaleY: line.Share("scale_y")}
	for _, scale := range []Share{c.ScaleX, c.ScaleY} {
		if scale.Given() && scale.V == 0 {
			r.report.stop(source.RulePositive, scale.At, "the scale is nought: nothing would be printed", `write what the test page told, such as "100.2%"`)
		}
	}
	return c
}

func codes(m *source.Map) Codes {
	return Codes{Pattern: m.Text("pattern"), Check: m.Text("check")}
}
