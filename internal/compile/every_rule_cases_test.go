package compile_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"saponym/internal/check"
	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// A stall is a shop with one bar. As [stallInOrder] gives it nothing is wrong with it in any
// market; a case takes one thing away, or puts one in.
type stall struct {
	maker    string
	persons  map[string]string // by place
	scent    string            // the material file
	colour   string            // the INCI name of a colourant
	add      []string
	identity string // the line
	words    string
	claim    string
	keep     string
	onSale   string
	evidence map[string][]string // keys by place
	batch    string              // the days of the batch
}

const (
	larch  = `name: Larch & Lather, address: ["4 Mill Row", "Ashcombe, VT 05000, USA"]`
	person = `name: Quayside Imports, address: ["7 Weir Street", "Dunmorrow D99 X000"]`
	email  = `, contact: {email: hello@larch.example}`

	// What a certificate and a statement of a scent say in order.
	certified = "max_use: {ifra: 51, category 9: 5%}\n"
	stated    = "allergens: {Linalool: 4%, Menthol: 12%}\nstatement: {supplier: Fennel & Fern, dated: 2026-03-14}\n"

	addScent = "{material: scent, share: 3%}"
)

func stallInOrder() stall {
	return stall{
		maker:    larch + email + ", made_in: USA",
		persons:  map[string]string{"eu": person, "uk": person},
		scent:    certified + stated,
		colour:   "CI 77491",
		add:      []string{addScent},
		identity: "identity: soap",
		words:    "fr: {identity: savon}",
		claim:    ", claim: 100 g",
		keep:     "durability: 24 months, sell_within: 1 months",
		evidence: map[string][]string{
			"eu": {"safety_report", "notified", "product_file", "good_practice", "public_access"},
			"uk": {"safety_report", "notified", "product_file", "good_practice"},
			"us": {"safety_substantiation", "small_business"},
			"ca": {"notified", "safety_evidence"},
			"au": {"introduction"},
		},
		batch: "made: 2026-11-01",
	}
}

// but gives the stall with a change.
func (s stall) but(change func(*stall)) stall {
	s.persons, s.evidence, s.add = maps.Clone(s.persons), maps.Clone(s.evidence), slices.Clone(s.add)
	change(&s)
	return s
}

func (s stall) files() map[string]string {
	var persons, evidence []string
	for place, text := range s.persons {
		persons = append(persons, place+": {"+text+"}")
	}
	for place, keys := range s.evidence {
		if len(keys) > 0 {
			evidence = append(evidence, place+": {"+strings.Join(keys, ": E-1, ")+": E-1}")
		}
	}
	return map[string]string{
		"shop.yaml":              "maker: {" + s.maker + "}\nresponsible_person: {" + strings.Join(persons, ", ") + "}\n",
		"materials/scent.yaml":   "name: Scent\nkind: fragrance\n" + s.scent,
		"materials/second.yaml":  "name: Second scent\nkind: fragrance\n" + s.scent,
		"materials/pigment.yaml": "name: Pigment\nkind: colourant\ninci: " + s.colour + "\n",
		"batches/26320-07.yaml":  "code: 26320-07\nformula: plain\nmakes: bars\n" + s.batch + "\n",
		"formulas/plain.yaml": `name: Plain
` + s.identity + `
size: {oils: 1000 g}
pot: [{material: olive-oil, share: 70%}, {material: coconut-oil, share: 30%}]
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}
add: [` + strings.Join(s.add, ", ") + `]
cuts: {bar: {count: 8, length: 85 mm, width: 60 mm, height: 25 mm` + s.claim + `}}
keep: {` + s.keep + `}
on_sale: {` + s.onSale + `}
evidence: {` + strings.Join(evidence, ", ") + `}
words: {` + s.words + `}
`,
	}
}

// everyRule gives the rules of all markets, and those of the fragrance industry.
var everyRule = sync.OnceValues(func() ([]compile.RuleAnswer, error) { return compile.Rules(compile.Markets()) })

// rulesOf gives those of a kind, or all of them.
func rulesOf(t testing.TB, kind string) []compile.RuleAnswer {
	t.Helper()
	rules, err := everyRule()
	if err != nil {
		t.Fatal(err)
	}
	return slices.DeleteFunc(slices.Clone(rules), func(r compile.RuleAnswer) bool { return kind != "" && r.Kind != kind })
}

// lawOf gives the law of a market on the day of these tests.
func lawOf(t testing.TB, id string) *market.Law {
	t.Helper()
	law, err := market.On(id, today(t))
	if err != nil {
		t.Fatal(err)
	}
	return law
}

// checkIn gives what is found in a market on the day of these tests.
func (s stall) checkIn(t testing.TB, id string) []finding.Finding {
	t.Helper()
	checked, err := compile.Check(folderOf(t, s.files()), compile.Order{Formula: "plain", On: today(t), Made: today(t)}, []string{id})
	if err != nil {
		t.Fatal(err)
	}
	return sound(t, checked.Findings)
}

// labelIn gives the finished label.
func (s stall) labelIn(t testing.TB, id string) compile.Label {
	t.Helper()
	o := order(t, "plain", id)
	l, err := compile.Band(folderOf(t, s.files()), o)
	if err != nil {
		t.Fatal(err)
	}
	sound(t, l.Findings)
	if l.Band == nil {
		t.Fatalf("%s: there is no band: %v", id, l.Findings)
	}
	return l
}

// sound demands of all findings what none may lack: a stop says what would mend it, and
// by a rule, or an entry of its list, that was not read in its text nothing is stopped. It
// gives them back.
func sound(t testing.TB, found []finding.Finding) []finding.Finding {
	t.Helper()
	rules := rulesOf(t, "")
	for _, f := range found {
		if f.Level == finding.Stop && f.Remedy == "" {
			t.Errorf("%s stops without a remedy: %s", f.Rule, f.Message)
		}
		recalled := slices.ContainsFunc(rules, func(r compile.RuleAnswer) bool { return r.ID == f.Rule && r.Known == market.Memory })
		unconfirmed := strings.Contains(f.Message, "(unconfirmed")
		if unconfirmed && f.Level == finding.Stop || recalled && !unconfirmed {
			t.Errorf("%s is known from memory: %s %s", f.Rule, f.Level, f.Message)
		}
	}
	return found
}

// by gives the findings of one rule.
func by(found []finding.Finding, rule string) []finding.Finding {
	return slices.DeleteFunc(slices.Clone(found), func(f finding.Finding) bool { return f.Rule != rule })
}

// breaks demands that the rule, which the stall in order keeps, is found broken, at its
// level; what is not confirmed warns in the place of a stop.
func breaks(t *testing.T, rule, id, what string, s stall) {
	t.Helper()
	all := s.checkIn(t, id)
	found := by(all, rule)
	if len(found) == 0 {
		t.Errorf("%s: %s is not found: %v", what, rule, all)
		return
	}
	rules := rulesOf(t, "")
	i := slices.IndexFunc(rules, func(r compile.RuleAnswer) bool { return r.ID == rule })
	if i < 0 {
		return // an id of the program
	}
	want := rules[i].Level
	if strings.Contains(found[0].Message, "(unconfirmed") {
		want = min(want, finding.Warn)
	}
	if got := finding.Worst(found); got != want {
		t.Errorf("%s: level %s, want %s: %v", what, got, want, found)
	}
}

// keeps demands that nothing is found by the rule.
func keeps(t *testing.T, rule, id, what string, s stall) {
	t.Helper()
	if found := by(s.checkIn(t, id), rule); len(found) > 0 {
		t.Errorf("%s: %v", what, found)
	}
}

// cases are the tests of the rules of each kind.
var cases = map[string]func(*testing.T, compile.RuleAnswer){
	"ingredient-list":           listCase,
	"any-order":                 anyOrderCase,
	"colourants-last":           colourantsLastCase,
	"allergens":                 allergensCase,
	"substances":                substancesCase,
	"colour-additives":          coloursCase,
	"soap-share":                soapShareCase,
	"statement":                 statementCase,
	"gatekeeper":                gatekeeperCase,
	"reminder":                  reminderCase,
	"net-weight":                netWeightCase,
	market.CertificateMaximum:   maximumCase,
	market.SumOfScents:          sumCase,
	market.CertificateAmendment: amendmentCase,
	market.PublishedLimits:      publishedCase,
}

// Each rule has a case that breaks it and one that keeps it, in the market whose rule it
// is, on documents on disk. What each law asks for, and where it stands, is with the rules;
// figures that are repeated here name their source.
func TestEveryRuleHasItsCases(t *testing.T) {
	for _, rule := range rulesOf(t, "") {
		test, ok := cases[rule.Kind]
		if !ok {
			t.Errorf("%s is of the kind %q, for which there is no case", rule.ID, rule.Kind)
			continue
		}
		t.Run(rule.ID, func(t *testing.T) {
			t.Parallel()
			test(t, rule)
		})
	}
}

// Nothing but what every formula is told is found where all is in order: no rule of law,
// unless it only says that the law is open.
func TestStallInOrder(t *testing.T) {
	for _, id := range compile.Markets() {
		for _, f := range stallInOrder().checkIn(t, id) {
			if slices.ContainsFunc(rulesOf(t, ""), func(r compile.RuleAnswer) bool { return r.ID == f.Rule && r.Kind != "allergens" }) || f.Level == finding.Stop {
				t.Errorf("%s: %s", id, f.Text())
			}
		}
	}
}

// The ids of rules are public, so each is there once; and each rule says where it stands
// and how it is known.
func TestEveryRuleIsWhole(t *testing.T) {
	form := regexp.MustCompile(`^[A-Z]+(-[A-Z]+)+-\d\d$`)
	seen := map[string]bool{}
	for _, r := range rulesOf(t, "") {
		if seen[r.ID] {
			t.Errorf("%s is there twice", r.ID)
		}
		seen[r.ID] = true
		if !form.MatchString(r.ID) || r.Message == "" || r.Condition == "" || r.Cite == "" || !slices.Contains([]market.Known{market.Retrieved, market.RetrievedSecondary, market.Memory}, r.Known) {
			t.Errorf("%+v", r)
		}
		if r.Remedy == "" && r.Level > finding.Note || r.Known == market.Memory && r.Level == finding.Stop {
			t.Errorf("%s: level %s, known %s, remedy %q", r.ID, r.Level, r.Known, r.Remedy)
		}
	}
}

func gatekeeperCase(t *testing.T, rule compile.RuleAnswer) {
	law := lawOf(t, rule.Market)
	i := slices.IndexFunc(law.Gatekeepers, func(g market.Gatekeeper) bool { return g.ID == rule.ID })
	bare := stallInOrder().but(func(s *stall) {
		s.evidence[law.Place] = slices.DeleteFunc(s.evidence[law.Place], func(key string) bool { return slices.Contains(law.Gatekeepers[i].Evidence, key) })
	})
	breaks(t, rule.ID, rule.Market, "without evidence", bare)
	for _, key := range law.Gatekeepers[i].Evidence {
		keeps(t, rule.ID, rule.Market, "with "+key, bare.but(func(s *stall) { s.evidence[law.Place] = append(s.evidence[law.Place], key) }))
	}
}

// What is open cannot be broken: it is said wherever there is a scent.
func allergensCase(t *testing.T, rule compile.RuleAnswer) {
	if lawOf(t, rule.Market).Allergens.Open() {
		found := by(stallInOrder().checkIn(t, rule.Market), rule.ID)
		if len(found) != 1 || found[0].Level != finding.Note {
			t.Errorf("a scent with a statement: %v, want a note", found)
		}
		keeps(t, rule.ID, rule.Market, "without a scent", stallInOrder().but(func(s *stall) { s.add = nil }))
		return
	}
	breaks(t, rule.ID, rule.Market, "a scent without a statement", stallInOrder().but(func(s *stall) { s.scent = certified }))
	keeps(t, rule.ID, rule.Market, "a scent with a statement", stallInOrder())
}

// 1000 g of oils with 140 g of lye weigh as much as or more than 1300 g of salt, so that
// soap is not the bulk of the bar.
func soapShareCase(t *testing.T, rule compile.RuleAnswer) {
	salted := stallInOrder().but(func(s *stall) { s.add = append(s.add, "{material: sea-salt, weight: 1300 g}") })
	breaks(t, rule.ID, rule.Market, "more salt than soap", salted)
	keeps(t, rule.ID, rule.Market, "without salt", stallInOrder())
}

// unlisted are colourants that are not on the lists: carbon black is listed for the eyes,
// the lips and the nails only (21 CFR 74.2052), and alkannin is not in Annex IV.
var unlisted = map[market.Names]string{market.NamesUS: "CI 77266", market.NamesEU: "CI 75530"}

func coloursCase(t *testing.T, rule compile.RuleAnswer) {
	coloured := stallInOrder().but(func(s *stall) { s.add = append(s.add, "{material: pigment, share: 1%}") })
	breaks(t, rule.ID, rule.Market, "not listed", coloured.but(func(s *stall) { s.colour = unlisted[lawOf(t, rule.Market).Colours.Table] }))
	// Red iron oxide: 21 CFR 73.2250; Annex IV, entry 135.
	keeps(t, rule.ID, rule.Market, "listed", coloured)
}

// A reminder is judged by nobody, so no case can break it; it is there to be read.
func reminderCase(t *testing.T, rule compile.RuleAnswer) {
	if rule.Level != finding.Note || rule.Condition != "not judged by this program" {
		t.Errorf("level %s, %q", rule.Level, rule.Condition)
	}
}

// 1000 g of oils take up some 140 g of lye, so that the bar has some 1140 g of dry matter,
// and 30 g more with its scent. With 2 % of water it weighs more than 1180 g (1160 g
// without the scent), and with 20 % less than 1500 g.
const (
	scentGrams, driestGrams, driestBare, heaviestGrams = 30, 1180, 1160, 1500
)

// numbered tells the form of a CAS number.
var numbered = regexp.MustCompile(`^\d+-\d\d-\d$`)

// holding gives the stall with a scent that is so much of a substance.
func holding(name string, most measure.Share, bar float64) stall {
	return stallInOrder().but(func(s *stall) {
		s.scent = fmt.Sprintf("%sallergens: {%q: %s}\nstatement: {supplier: Fennel & Fern, dated: 2026-03-14}\n", certified, name, share(most.Fraction()*bar/scentGrams))
	})
}

// added gives the stall with no scent and so much of a substance by itself.
func added(name string, most measure.Share, bar float64) stall {
	return stallInOrder().but(func(s *stall) {
		s.colour, s.add = fmt.Sprintf("%q", name), []string{"{material: pigment, share: " + share(most.Fraction()*bar/1000) + "}"}
	})
}

func share(fraction float64) string { return fmt.Sprintf("%.7f%%", 100*fraction) }

func substancesCase(t *testing.T, rule compile.RuleAnswer) {
	for _, list := range lawOf(t, rule.Market).Substances {
		if list.ID == rule.ID {
			limitsCase(t, rule.ID, rule.Market, list.Limits)
		}
	}
}

func publishedCase(t *testing.T, rule compile.RuleAnswer) {
	standard, err := market.FragranceStandard()
	if err != nil {
		t.Fatal(err)
	}
	limitsCase(t, rule.ID, "us-cosmetic", standard.Limits)
}

// limitsCase tries every entry of a list by its label and by a CAS number.
func limitsCase(t *testing.T, rule, id string, limits []market.Limit) {
	if len(limits) == 0 {
		t.Error("there is no entry")
	}
	for _, limit := range limits {
		names := []string{limit.Label}
		for _, name := range slices.Concat(limit.Names, limit.May) {
			// A number of two entries is judged by the stricter one of them.
			stricter := func(other market.Limit) bool { return other.Means(name, "") && other.Most < limit.Most }
			if numbered.MatchString(name) && !slices.ContainsFunc(limits, stricter) {
				names = append(names, name)
				break
			}
		}
		if len(names) == 1 {
			t.Errorf("%s: none of its numbers is tried", limit.Label)
		}
		for _, name := range names {
			if limit.Most == 0 {
				breaks(t, rule, id, "a scent with "+name, holding(name, measure.Whole/100, heaviestGrams))
				breaks(t, rule, id, name+" by itself", added(name, measure.Whole/100, heaviestGrams))
				continue
			}
			breaks(t, rule, id, "a scent with much "+name, holding(name, limit.Most, heaviestGrams))
			keeps(t, rule, id, "a scent with "+name, holding(name, limit.Most, driestGrams))
			breaks(t, rule, id, "much "+name, added(name, limit.Most, heaviestGrams))
			keeps(t, rule, id, name, added(name, limit.Most, driestBare))
		}
	}
	keeps(t, rule, id, "a scent without any of them", stallInOrder())
}

// The finding goes by an id of its own, since what is broken is the certificate of one
// supplier; the rule of the standard says why a certificate counts.
func maximumCase(t *testing.T, rule compile.RuleAnswer) {
	small := stallInOrder().but(func(s *stall) { s.scent = "max_use: {ifra: 51, category 9: 2%}\n" + stated })
	breaks(t, check.RuleMaxUse, "eu", "2.5 % of a scent of which 2 % are allowed", small)
	keeps(t, check.RuleMaxUse, "eu", "of which 5 % are allowed", stallInOrder())
	keeps(t, rule.ID, "eu", "no finding goes by it", small)
}

func sumCase(t *testing.T, rule compile.RuleAnswer) {
	both := stallInOrder().but(func(s *stall) { s.add = append(s.add, "{material: second, share: 3%}") })
	keeps(t, rule.ID, "eu", "twice 2.5 % of 6 %", both.but(func(s *stall) { s.scent = "max_use: {ifra: 51, category 9: 6%}\n" + stated }))
	breaks(t, rule.ID, "eu", "twice 2.5 % of 4 %", both.but(func(s *stall) { s.scent = "max_use: {ifra: 51, category 9: 4%}\n" + stated }))
}

// IFRA Standards: what is category 9 today was so named by the 49th Amendment, and the
// 51st binds existing creations from 30 October 2025 (from memory).
func amendmentCase(t *testing.T, rule compile.RuleAnswer) {
	for _, n := range []string{"ifra: 48, ", "ifra: 49, ", "ifra: 50, ", ""} {
		breaks(t, rule.ID, "eu", n, stallInOrder().but(func(s *stall) { s.scent = "max_use: {" + n + "category 9: 5%}\n" + stated }))
	}
	keeps(t, rule.ID, "eu", "51", stallInOrder())
}

// An edge is a day on which a rule, or one entry of its list, comes into force or goes
// out of it.
type edge struct {
	basis market.Basis
	on    day.Day
	ends  bool
	says  string // the line of the rule that it stands in
}

// spans are the words in which a rule says from when to when it holds, by which day.
var spans = regexp.MustCompile(`(?:for what is (placed) on the market|for all that is (made available)|for products (first sold))(?: from (\d{4}-\d\d-\d\d))?(?: before (\d{4}-\d\d-\d\d))?`)

// edgesOf reads the days in the lines of a rule as a maker reads them.
func edgesOf(t *testing.T, rule compile.RuleAnswer) []edge {
	t.Helper()
	var all []edge
	holds := regexp.MustCompile(`(?m)^ *holds (.*)$`).FindString(rule.Text())
	for _, line := range append([]string{rule.Condition, holds}, rule.Entries...) {
		for _, span := range spans.FindAllStringSubmatch(line, -1) {
			basis := map[string]market.Basis{"placed": market.ByPlacing, "made available": market.ByAvailability, "first sold": market.ByProduct}[span[1]+span[2]+span[3]]
			for i, text := range span[4:] {
				if text != "" {
					all = append(all, edge{basis, dayOf(t, text), i == 1, line})
				}
			}
		}
	}
	return all
}

// at gives the stall with the days of its bars such that just one of them is on the day of
// an edge, or on the day before, and the day of the order.
func (e edge) at(t *testing.T, s stall, place string, before bool) (stall, day.Day) {
	old, decides := dayOf(t, "2000-01-01"), e.on
	if before {
		decides = e.on.AddDays(-1)
	}
	on, placed, product := e.on, e.on, e.on
	switch e.basis {
	case market.ByPlacing:
		placed = decides
	case market.ByAvailability:
		on, placed, product = decides, old, old
	case market.ByProduct:
		product = decides
	}
	return s.but(func(s *stall) {
		s.batch = fmt.Sprintf("made: 1999-11-30\nplaced: {%s: %s}", place, placed)
		s.onSale = fmt.Sprintf("%s: %s", place, product)
	}), on
}

// foundAt tells what is found by a rule and what is named in the list, without what the
// law will ask later.
func (s stall) foundAt(t *testing.T, rule compile.RuleAnswer, on day.Day) (found, names string) {
	t.Helper()
	l, err := compile.Band(folderOf(t, s.files()), compile.Order{Formula: "26320-07", Market: rule.Market, On: on, Style: market.AsCured})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range by(sound(t, l.Findings), rule.ID) {
		if !strings.Contains(f.Message, "while these bars are sold") {
			found += fmt.Sprintf("%s %s [%s]\n", f.Level, f.Message, f.Cite)
		}
	}
	return found, l.Declaration.Text
}

// subjectOf gives the stall that shows whether an edge is kept. An entry may ease the rule
// that it belongs to, as long as it holds.
func (e edge) subjectOf(t *testing.T, rule compile.RuleAnswer) (s stall, eases bool) {
	t.Helper()
	within := e.on
	if e.ends {
		within = e.on.AddDays(-1)
	}
	law, err := market.On(rule.Market, within)
	if err != nil {
		t.Fatal(err)
	}
	switch rule.Kind {
	case "substances":
		for _, list := range law.Substances {
			for _, limit := range list.Limits {
				if list.ID == rule.ID && (strings.HasPrefix(e.says, limit.Label+" (") || strings.HasPrefix(e.says, limit.Label+": ")) {
					return holding(limit.Label, max(limit.Most, measure.Whole/1000), heaviestGrams), false
				}
			}
		}
	case "allergens":
		return stallInOrder(), false
	case "statement":
		i := slices.IndexFunc(law.Statements, func(s market.Statement) bool { return s.ID == rule.ID })
		if i < 0 {
			break
		}
		if also := law.Statements[i].AlsoFrom; len(also) > 0 {
			return stallInOrder().but(func(s *stall) { s.persons = map[string]string{also[0]: person} }), true
		}
		if without := takings[label.Duty(law.Statements[i].Duty)].without; without != nil {
			return stallInOrder().but(without), false
		}
	}
	t.Fatalf("there is no case for %q", e.says)
	return stall{}, false
}

// On each day of change the answer is another one than on the day before: by the day of
// placing, of sale, or of the first sale of the product, whichever the rule names, while
// the other days stand still. What only reminds is judged on no day.
func TestEveryDayOfChange(t *testing.T) {
	read := map[string][]day.Day{} // by market
	for _, rule := range rulesOf(t, "") {
		for _, e := range edgesOf(t, rule) {
			read[rule.Market] = append(read[rule.Market], e.on)
			if rule.Kind == "reminder" {
				continue
			}
			t.Run(fmt.Sprintf("%s %s %s", rule.ID, e.basis, e.on), func(t *testing.T) {
				place, err := market.Place(rule.Market)
				if err != nil {
					t.Fatal(err)
				}
				subject, eases := e.subjectOf(t, rule)
				s, on := e.at(t, subject, place, true)
				before, namesBefore := s.foundAt(t, rule, on)
				s, on = e.at(t, subject, place, false)
				after, namesAfter := s.foundAt(t, rule, on)
				asked, free := after, before
				if e.ends != eases {
					asked, free = before, after
				}
				right := before != after && asked != ""
				switch rule.Kind {
				case "allergens":
					right = namesBefore != namesAfter
				case "statement":
					right = asked != "" && free == ""
				}
				if !right {
					t.Errorf("%s\nthe day before: %s%s\nthe day: %s%s", e.says, before, namesBefore, after, namesAfter)
				}
			})
		}
	}
	for _, id := range compile.Markets() {
		changes, err := market.Changes(id, dayOf(t, "1900-01-01"), dayOf(t, "2100-01-01"))
		if err != nil {
			t.Fatal(err)
		}
		slices.SortFunc(read[id], day.Day.Compare)
		if got := slices.Compact(read[id]); !slices.Equal(got, changes) {
			t.Errorf("%s: the rules speak of %v, and the law changes on %v", id, got, changes)
		}
	}
}

// The certificate of a scent that was right is so up to the day before a newer amendment
// binds what exists. IFRA Standards: the 51st Amendment, from memory.
func TestAmendmentBindsFromItsDay(t *testing.T) {
	standard, err := market.FragranceStandard()
	if err != nil {
		t.Fatal(err)
	}
	id := standard.Rule(market.CertificateAmendment).ID
	tried := 0
	for _, a := range standard.Amendments {
		if a.Existing.IsZero() || a.Number <= standard.FirstUsable {
			continue
		}
		tried++
		for on, want := range map[day.Day]bool{a.Existing.AddDays(-1): false, a.Existing: true} {
			s := stallInOrder().but(func(s *stall) {
				s.scent = fmt.Sprintf("max_use: {ifra: %d, category 9: 5%%}\n", a.Number-1) + stated
			})
			d, err := compile.Declare(folderOf(t, s.files()), compile.Order{Formula: "plain", Market: "eu", On: on, Style: market.AsCured})
			if err != nil {
				t.Fatal(err)
			}
			if got := slices.ContainsFunc(d.Findings, func(f finding.Finding) bool { return f.Rule == id }); got != want {
				t.Errorf("amendment %d on %s: found %v, want %v", a.Number-1, on, got, want)
			}
		}
	}
	if tried == 0 {
		t.Error("no amendment was tried")
	}
}
