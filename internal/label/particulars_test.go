package label_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// A particular is one that a label can lack.
type particular struct {
	rule string
	take func(t *testing.T, b *bar)
	at   string
	also string // the rule that cannot be met then either
}

// missing has, for each rule that asks for a statement, what has to be taken from a
// whole label so that the rule is not met, and where the finding points to.
var missing = []particular{
	{"US-SOAP-IDENTITY-01", takeIdentity, "formulas/sunday.yaml:1:7", ""},
	{"US-SOAP-NET-01", takeClaim, "formulas/sunday.yaml:6:3", ""},
	{"US-SOAP-MAKER-01", takeAddress, "shop.yaml", ""},
	{"US-SOAP-ORIGIN-01", importFromNowhere, "shop.yaml", ""},
	{"US-COSMETIC-IDENTITY-01", takeIdentity, "formulas/sunday.yaml:1:7", ""},
	{"US-COSMETIC-NET-01", takeClaim, "formulas/sunday.yaml:6:3", ""},
	{"US-COSMETIC-MAKER-01", takeAddress, "shop.yaml", ""},
	{"US-COSMETIC-CONTACT-01", takeContactAndAddress, "shop.yaml", "US-COSMETIC-MAKER-01"},
	{"US-COSMETIC-INGREDIENTS-01", takeList, "formulas/sunday.yaml:1:7", ""},
	{"US-COSMETIC-ORIGIN-01", importFromNowhere, "shop.yaml", ""},
	{"EU-PERSON-01", takePersons, "shop.yaml", ""},
	{"EU-ORIGIN-01", takeOrigin, "shop.yaml", ""},
	{"EU-NET-01", takeClaim, "formulas/sunday.yaml:6:3", ""},
	{"EU-DURABILITY-01", takeDurability, "formulas/sunday.yaml:1:7", ""},
	{"EU-BATCH-01", takeBatch, "formulas/sunday.yaml:1:7", ""},
	{"EU-FUNCTION-01", takeIdentity, "formulas/sunday.yaml:1:7", ""},
	{"EU-INGREDIENTS-01", takeList, "formulas/sunday.yaml:1:7", ""},
	{"UK-PERSON-01", takePersons, "shop.yaml", ""},
	{"UK-ORIGIN-01", takeOrigin, "shop.yaml", ""},
	{"UK-NET-01", takeClaim, "formulas/sunday.yaml:6:3", ""},
	{"UK-DURABILITY-01", takeDurability, "formulas/sunday.yaml:1:7", ""},
	{"UK-BATCH-01", takeBatch, "formulas/sunday.yaml:1:7", ""},
	{"UK-FUNCTION-01", takeIdentity, "formulas/sunday.yaml:1:7", ""},
	{"UK-INGREDIENTS-01", takeList, "formulas/sunday.yaml:1:7", ""},
	{"CA-IDENTITY-01", takeIdentity, "formulas/sunday.yaml:1:7", ""},
	{"CA-NET-01", takeClaim, "formulas/sunday.yaml:6:3", ""},
	{"CA-DEALER-01", takeAddress, "shop.yaml", ""},
	{"CA-CONTACT-01", takeContactAndAddress, "shop.yaml", "CA-DEALER-01"},
	{"CA-INGREDIENTS-01", takeList, "formulas/sunday.yaml:1:7", ""},
	{"AU-NET-01", takeClaim, "formulas/sunday.yaml:6:3", ""},
	{"AU-PACKER-01", takeAddress, "shop.yaml", ""},
	{"AU-INGREDIENTS-01", takeList, "formulas/sunday.yaml:1:7", ""},
	{"NZ-NET-01", takeClaim, "formulas/sunday.yaml:6:3", ""},
	{"NZ-INGREDIENTS-01", takeList, "formulas/sunday.yaml:1:7", ""},
	{"NZ-BATCH-01", takeBatch, "formulas/sunday.yaml:1:7", ""},
	{"NZ-CONTACT-01", takeContact, "shop.yaml", ""},
}

func takeIdentity(t *testing.T, b *bar) {
	b.formula = swap(t, b.formula, "identity: Scented soap\n", "")
	b.formula = swap(t, b.formula, ", fr: {identity: Savon parfumé}", "")
}

func takeClaim(t *testing.T, b *bar) { b.formula = swap(t, b.formula, ", claim: 4.2 oz", "") }

func takeDurability(t *testing.T, b *bar) {
	b.formula = swap(t, b.formula, "keep: {durability: 24 months}\n", "")
}

func takeBatch(_ *testing.T, b *bar) { b.batch = "" }

func takeList(_ *testing.T, b *bar) { b.declared = nil }

func takePersons(_ *testing.T, b *bar) { b.shop, _, _ = strings.Cut(b.shop, "responsible_person:") }

func takeOrigin(t *testing.T, b *bar) { b.shop = swap(t, b.shop, "  made_in: USA\n", "") }

const (
	addressLine = "  address: [\"12 Ropewalk\", \"Sallow Bay, ME 04999, USA\"]\n"
	contactLine = "  contact: {email: hello@tern.example, web: \"https://tern.example/\"}\n"
)

func takeAddress(t *testing.T, b *bar) { b.shop = swap(t, b.shop, addressLine, "") }

func takeContact(t *testing.T, b *bar) { b.shop = swap(t, b.shop, contactLine, "") }

func takeContactAndAddress(t *testing.T, b *bar) {
	takeContact(t, b)
	takeAddress(t, b)
}

// importFromNowhere puts somebody else at home before the soap, which shows that it
// is imported, and takes the country away.
func importFromNowhere(t *testing.T, b *bar) {
	takeOrigin(t, b)
	b.shop += "  us: {name: Dory Imports, address: [\"3 Wharf\", \"Elver, ME 04998, USA\"]}\n"
}

// rulesOf gives the rules of statements of a market, by their ids.
func rulesOf(t *testing.T, marketID string) map[string]market.Statement {
	t.Helper()
	all := map[string]market.Statement{}
	for _, s := range lawOf(t, marketID).Statements {
		all[s.ID] = s
	}
	return all
}

// A particular that is missing is found by its own rule and by no other, in its
// own market and in no other, and its duty is not on the label.
func TestMissingParticulars(t *testing.T) {
	for _, tt := range missing {
		t.Run(tt.rule, func(t *testing.T) {
			whole, b := wholeBar(), wholeBar()
			tt.take(t, &b)
			tried := false
			for _, id := range market.IDs() {
				rules := rulesOf(t, id)
				lacking := func(b bar) (content label.Content, ids []string, found []finding.Finding) {
					content, all := b.compileFor(t, id)
					for _, f := range all {
						if _, ok := rules[f.Rule]; ok {
							ids, found = append(ids, f.Rule), append(found, f)
						}
					}
					return content, ids, found
				}
				if _, ids, _ := lacking(whole); ids != nil {
					t.Errorf("%s: nothing is missing, and yet %q are found", id, ids)
				}
				content, ids, found := lacking(b)
				rule, ours := rules[tt.rule]
				if !ours {
					if slices.Contains(ids, tt.rule) {
						t.Errorf("it is found for %s as well", id)
					}
					continue
				}
				tried = true
				want := []string{tt.rule}
				if tt.also != "" {
					want = []string{tt.also, tt.rule}
				}
				if !slices.Equal(ids, want) {
					t.Fatalf("found %q, want %q", ids, want)
				}
				f := found[len(found)-1]
				if f.At.String() != tt.at || f.Remedy == "" || f != rule.Finding(f.At, "") {
					t.Errorf("finding %+v, want it at %s with the words of its rule", f, tt.at)
				}
				if said, ok := content.Find(label.Duty(rule.Duty)); ok {
					t.Errorf("it is missing, and yet the label says %q", said.Words())
				}
			}
			if !tried {
				t.Error("no market has this rule")
			}
		})
	}
}

// Whatever the law of a market asks for stands on a whole label, and a table above
// shows what is found where it is missing. A mark that nobody asks for is not served.
func TestEveryDutyIsServed(t *testing.T) {
	unserved := []string{"e-mark"}
	for _, id := range market.IDs() {
		content, _ := wholeBar().compileFor(t, id)
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		inForce := rulesOf(t, id)
		for _, r := range rules {
			if r.Kind != "statement" {
				continue
			}
			s, ok := inForce[r.ID]
			if !ok {
				t.Errorf("%s is not in force on the day of these tests", r.ID)
			}
			tried := slices.ContainsFunc(missing, func(p particular) bool { return p.rule == r.ID })
			if tried != s.Required {
				t.Errorf("%s is required: %t, and a case shows what it finds: %t", r.ID, s.Required, tried)
			}
			said, served := content.Find(label.Duty(s.Duty))
			asked := s.AskedOf("USA")
			if want := asked && !slices.Contains(unserved, s.Duty); served != want || served && said.Required != s.Required && s.Duty != string(label.DutyContact) {
				t.Errorf("%s: %s is on the label: %t as %+v, want %t", r.ID, s.Duty, served, said, want)
			}
		}
	}
}

// Nothing that a law asks of the place and the letters of a statement is lost.
func TestWhatTheLawAsks(t *testing.T) {
	for _, id := range market.IDs() {
		content, _ := wholeBar().compileFor(t, id)
		for _, rule := range lawOf(t, id).Statements {
			for _, s := range content.Statements {
				if string(s.Duty) != rule.Duty {
					continue
				}
				letters := rule.Letters
				if asks := len(letters.ByArea)+len(letters.ByQuantity)+len(letters.ByDimension) > 0; asks != (s.Letters.Least(0) > 0) || string(s.Letters.Measured) != letters.Measured {
					t.Errorf("%s: letters %+v, want those of %+v", rule.ID, s.Letters, letters)
				}
				want := label.Placement{LowestPart: rule.LowestPart, UnlessFaceTo: rule.UnlessPanelTo, ClearHeights: rule.ClearHeights, ClearWidthsN: rule.ClearWidthsN, ClearAround: rule.ClearAround}
				if s.Place != want || string(s.Panel) != rule.Panel || s.Bold != rule.Bold || len(s.Exempt) != len(rule.Exemptions) {
					t.Errorf("%s: %+v, want what %+v asks", rule.ID, s, rule)
				}
			}
		}
	}
}

// A name alone is no address, and an address without a name is none either.
func TestAddresses(t *testing.T) {
	person := `{name: Gull Imports, address: ["1 Quay", "Port Ellery, Ireland"]}`
	for _, tt := range []struct {
		name, person string
		stop         bool
	}{
		{"whole", person, false},
		{"one line", `{name: Gull Imports, address: ["1 Quay, Port Ellery, Ireland"]}`, false},
		{"no lines", `{name: Gull Imports}`, true},
		{"an empty list", `{name: Gull Imports, address: []}`, true},
		{"no name", `{address: ["1 Quay", "Port Ellery, Ireland"]}`, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := wholeBar()
			b.shop = swap(t, b.shop, person, tt.person)
			if _, found := b.compileFor(t, "eu"); slices.Contains(stops(found), "EU-PERSON-01") != tt.stop {
				t.Errorf("stopped by %q, want EU-PERSON-01: %t", stops(found), tt.stop)
			}
		})
	}
}

// A maker within the Union can answer for the soap in person: nothing is imported
// then, and the name stands on the label once.
func TestMakerIsResponsible(t *testing.T) {
	b := wholeBar()
	b.shop = swap(t, b.shop, "Gull Imports", "TERN & Thimble")
	b.shop = swap(t, b.shop, "  made_in: USA\n", "")
	if _, found := b.compileFor(t, "eu"); !slices.Equal(stops(found), []string{"EU-ORIGIN-01"}) {
		t.Errorf("with an address elsewhere: stopped by %q, want EU-ORIGIN-01", stops(found))
	}
	b.shop = swap(t, b.shop, `["1 Quay", "Port Ellery, Ireland"]`, `["12 Ropewalk", "Sallow Bay, ME 04999, USA"]`)
	content, found := b.compileFor(t, "eu")
	if got := stops(found); got != nil {
		t.Errorf("stopped by %q", got)
	}
	if s, said := content.Find(label.DutyMaker); said {
		t.Errorf("the maker is named beside the responsible person: %q", s.Words())
	}
}

// The person of the Union serves in Great Britain until the end of 2027, and no
// longer, and the other way round never: OPSS statutory guidance for Great Britain,
// May 2023; the last day is reckoned.
func TestPersonOfAnotherPlace(t *testing.T) {
	const (
		eu = `  eu: {name: Gull Imports, address: ["1 Quay", "Port Ellery, Ireland"]}` + "\n"
		uk = `  uk: {name: Kelp Trading, address: ["9 Strand", "Saltby SB1 1AA"]}` + "\n"
	)
	for _, tt := range []struct {
		name, market, on, without string
		want                      string // the field of the person on the label
		note                      bool
		stop                      string
	}{
		{"their own", "uk", "2026-11-26", "", "responsible_person.uk", false, ""},
		{"that of the Union", "uk", "2026-11-26", uk, "responsible_person.eu", true, ""},
		{"that of the Union, on the last day", "uk", "2027-12-31", uk, "responsible_person.eu", true, ""},
		{"that of the Union, a day later", "uk", "2028-01-01", uk, "", false, "UK-PERSON-01"},
		{"their own, later", "uk", "2028-01-01", "", "responsible_person.uk", false, ""},
		{"that of Britain in the Union", "eu", "2026-11-26", eu, "", false, "EU-PERSON-01"},
		{"nobody", "uk", "2026-11-26", "responsible_person:\n" + eu + uk, "", false, "UK-PERSON-01"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := wholeBar()
			if tt.without != "" {
				b.shop = swap(t, b.shop, tt.without, "")
			}
			content, found := b.compileBy(t, lawOn(t, tt.market, tt.on))
			s, _ := content.Find(label.DutyResponsible)
			if s.Field != tt.want || s.Heading != "" {
				t.Errorf("the label has %q as the person, want %q", s.Field, tt.want)
			}
			if got := strings.Join(stops(found), " "); got != tt.stop {
				t.Errorf("stopped by %q, want %q", got, tt.stop)
			}
			noted := false
			for _, f := range found {
				if f.Rule == label.RulePerson {
					noted = true
					if f.Level != finding.Note || f.At.String() != "shop.yaml:7:14" || !strings.Contains(f.Message, "before 2028-01-01") || !strings.Contains(f.Remedy, "uk: {name") || f.Market != "uk" {
						t.Errorf("%+v", f)
					}
				}
			}
			if noted != tt.note {
				t.Errorf("noted: %t, want %t", noted, tt.note)
			}
		})
	}
}

// joined gives the law of several markets for one label.
func joined(t *testing.T, laws ...*market.Law) *market.Law {
	t.Helper()
	law, conflicts := market.Together(laws...)
	if len(conflicts) > 0 {
		t.Fatalf("conflicts %+v", conflicts)
	}
	return law
}

// A label for two markets says all that a label for either says, in letters that are
// as high and with as much free space. Nothing is found that neither would find.
func TestTwoMarkets(t *testing.T) {
	pairs := 0
	for _, one := range market.IDs() {
		for _, other := range market.IDs() {
			laws := []*market.Law{lawOf(t, one), lawOf(t, other)}
			law, conflicts := market.Together(laws...)
			if one == other || len(conflicts) > 0 {
				continue
			}
			pairs++
			content, found := wholeBar().compileBy(t, law)
			if got := stops(found); got != nil {
				t.Errorf("%s: stopped by %q", law.Market, got)
			}
			for _, single := range laws {
				alone, _ := wholeBar().compileBy(t, single)
				for _, want := range alone.Statements {
					i := slices.IndexFunc(content.Statements, func(s label.Statement) bool {
						return s.Duty == want.Duty && (s.Field == want.Field || want.Duty == label.DutyMaker)
					})
					if i < 0 {
						t.Errorf("%s: %s of %s is not there", law.Market, want.Duty, single.Market)
						continue
					}
					got := content.Statements[i]
					for _, face := range []measure.Area{0, 5*measure.SquareInch + 1, 40 * measure.SquareInch, 1000 * measure.SquareInch} {
						if got.Letters.Least(face) < want.Letters.Least(face) {
							t.Errorf("%s: %s in letters of %+v, and %s asks %+v", law.Market, got.Duty, got.Letters, single.Market, want.Letters)
						}
					}
					if got.Place.ClearAround < want.Place.ClearAround || got.Place.ClearHeights < want.Place.ClearHeights || want.Bold && !got.Bold || want.Required && !got.Required {
						t.Errorf("%s: %+v, and %s asks %+v", law.Market, got, single.Market, want)
					}
				}
			}
		}
	}
	if pairs < 30 {
		t.Errorf("only %d pairs were tried", pairs)
	}
}

// A label for two places names the person of each, and finds by its own rule the one
// that is missing; where one serves both it stands there once.
func TestPersonsOfTwoPlaces(t *testing.T) {
	persons := func(b bar, on string) (words, found []string) {
		content, all := b.compileBy(t, joined(t, lawOn(t, "eu", on), lawOn(t, "uk", on)))
		for _, s := range content.Statements {
			if s.Duty == label.DutyResponsible {
				words = append(words, s.Words())
			}
		}
		return words, stops(all)
	}
	b := wholeBar()
	words, found := persons(b, "2026-11-26")
	if !slices.Equal(words, []string{"EU: Gull Imports 1 Quay Port Ellery, Ireland", "UK: Kelp Trading 9 Strand Saltby SB1 1AA"}) || found != nil {
		t.Errorf("both: %q, stopped by %q", words, found)
	}
	b.shop, _, _ = strings.Cut(b.shop, "  uk:")
	words, found = persons(b, "2026-11-26")
	if !slices.Equal(words, []string{"Gull Imports 1 Quay Port Ellery, Ireland"}) || found != nil {
		t.Errorf("one for both: %q, stopped by %q", words, found)
	}
	words, found = persons(b, "2028-01-01")
	if !slices.Equal(words, []string{"Gull Imports 1 Quay Port Ellery, Ireland"}) || !slices.Equal(found, []string{"UK-PERSON-01"}) {
		t.Errorf("one, of two that are needed: %q, stopped by %q", words, found)
	}
}

// Origin is asked of what comes from elsewhere: 19 USC 1304(a); Reg. 1223/2009 Art.
// 19(1)(a); for Great Britain from memory. Where it is not asked, it is not said: a
// claim on home goods is at the maker's own risk (16 CFR 323.2).
func TestOrigin(t *testing.T) {
	for _, tt := range []struct{ market, country, want string }{
		{"us-soap", "USA", ""}, {"us-soap", "France", "Made in France"}, {"us-cosmetic", "Ireland", "Made in Ireland"},
		{"eu", "USA", "Made in USA"}, {"eu", "Ireland", ""}, {"uk", "Ireland", "Made in Ireland"}, {"uk", "Scotland", ""},
		{"ca", "USA", ""}, {"au", "USA", ""}, {"nz", "USA", ""}, // no such rule is known
	} {
		b := wholeBar()
		b.shop = swap(t, b.shop, "made_in: USA", "made_in: "+tt.country)
		content, found := b.compileFor(t, tt.market)
		if s, said := content.Find(label.DutyOrigin); s.Words() != tt.want || said != (tt.want != "") {
			t.Errorf("%s, of %s: says %q, want %q", tt.market, tt.country, s.Words(), tt.want)
		}
		if got := stops(found); got != nil {
			t.Errorf("%s, of %s: stopped by %q", tt.market, tt.country, got)
		}
	}
}

// The contact is the web address without what a browser adds by itself, and
// otherwise the e-mail address. A telephone number is printed only where a law asks
// for a contact. An address that the label bears serves in the United States (21 USC
// 364e(a)) and in Canada (Cosmetic Regulations s. 20(a)); in New Zealand, from memory,
// it does not.
func TestContact(t *testing.T) {
	const phone = `{phone: "+1 555 0100"}`
	for _, tt := range []struct {
		market, contact, want string
		required, found       bool
	}{
		{"us-soap", `{email: hello@tern.example, web: "https://tern.example/"}`, "tern.example", false, false},
		{"us-soap", `{web: "http://tern.example/soap/"}`, "tern.example/soap", false, false},
		{"us-soap", `{email: hello@tern.example}`, "hello@tern.example", false, false},
		{"us-soap", phone, "", false, false},
		{"eu", phone, "", false, false},
		{"us-cosmetic", phone, "+1 555 0100", false, false},
		{"us-cosmetic", `{}`, "", false, false},
		{"ca", phone, "+1 555 0100", false, false},
		{"ca", `{}`, "", false, false},
		{"nz", phone, "+1 555 0100", true, false},
		{"nz", `{email: hello@tern.example, phone: "+1 555 0100"}`, "hello@tern.example", true, false},
		{"nz", `{}`, "", false, true},
	} {
		t.Run(tt.market+" "+tt.contact, func(t *testing.T) {
			b := wholeBar()
			b.shop = swap(t, b.shop, `{email: hello@tern.example, web: "https://tern.example/"}`, tt.contact)
			content, found := b.compileFor(t, tt.market)
			if s, said := content.Find(label.DutyContact); s.Words() != tt.want || said != (tt.want != "") || s.Required != tt.required {
				t.Errorf("contact %q (%t, required %t), want %q, required %t", s.Words(), said, s.Required, tt.want, tt.required)
			}
			rule, _ := lawOf(t, tt.market).Statement("contact")
			if got := slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == rule.ID && rule.ID != "" }); got != tt.found {
				t.Errorf("found %v, want one of the contact: %t", found, tt.found)
			}
		})
	}
}

// An address serves only where the law says so, though another law may ask for it.
func TestAddressOfAnotherLaw(t *testing.T) {
	b := wholeBar()
	takeContact(t, &b)
	_, found := b.compileBy(t, joined(t, lawOf(t, "nz"), lawOf(t, "au")))
	if !slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == "NZ-CONTACT-01" }) {
		t.Errorf("found %v, want NZ-CONTACT-01", found)
	}
}

// The name of the maker, printed unasked, is no address that serves.
func TestNameIsNoAddress(t *testing.T) {
	law := *lawOf(t, "us-cosmetic")
	law.Statements = slices.DeleteFunc(slices.Clone(law.Statements), func(s market.Statement) bool { return s.Duty == "name-and-place" })
	b := wholeBar()
	takeContact(t, &b)
	content, found := b.compileBy(t, &law)
	if s, _ := content.Find(label.DutyMaker); s.Words() != "Tern & Thimble" || !slices.Contains(stops(found), "US-COSMETIC-CONTACT-01") {
		t.Errorf("beside %q, stopped by %q; want US-COSMETIC-CONTACT-01", s.Words(), stops(found))
	}
}

// Without the address of the maker the contact must be there.
func TestContactWithoutAddress(t *testing.T) {
	for _, id := range []string{"us-cosmetic", "ca"} {
		b := wholeBar()
		takeAddress(t, &b)
		content, _ := b.compileFor(t, id)
		if s, _ := content.Find(label.DutyContact); s.Words() != "tern.example" || !s.Required {
			t.Errorf("%s: contact %q, required %t", id, s.Words(), s.Required)
		}
	}
}

// The ways of the law go with the statement, with their paragraph and how they are
// known: Cosmetic Regulations s. 21.5 (Canada), 21 CFR 701.3(b) and, from memory, (q)-(r).
func TestExempt(t *testing.T) {
	for _, tt := range []struct {
		market, instead, cite string
		confirmed             bool
	}{
		{"ca", "a tag, tape or card that is fixed to it", "Cosmetic Regulations s. 21.5", true},
		{"us-cosmetic", "a tag, tape or card that is firmly attached", "21 CFR 701.3(b)", true},
		{"us-cosmetic", "a list apart from the pack, in the ways that the regulation gives", "21 CFR 701.3(q)-(r)", false},
	} {
		content, _ := wholeBar().compileFor(t, tt.market)
		s, _ := content.Find(label.DutyIngredients)
		if !slices.ContainsFunc(s.Exempt, func(e label.Exemption) bool {
			return e.When != "" && e.Instead == tt.instead && e.Cite == tt.cite && e.Confirmed == tt.confirmed
		}) {
			t.Errorf("%s: %+v has no %q", tt.market, s.Exempt, tt.instead)
		}
	}
	content, _ := wholeBar().compileFor(t, "us-soap")
	if s, _ := content.Find(label.DutyIngredients); len(s.Exempt) > 0 || s.Required {
		t.Errorf("no federal law asks true soap for a list (15 USC 1454(c)(3)), and yet: %+v", s)
	}
}
