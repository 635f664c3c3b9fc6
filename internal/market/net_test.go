package market_test

import (
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/measure"
)

// net gives the rule with an id, by the law of a day that all of them cover.
func net(t testing.TB, id string) market.NetRule {
	t.Helper()
	for _, m := range market.IDs() {
		for _, n := range on(t, m, "2026-11-28").Nets() {
			if n.ID == id {
				return n
			}
		}
	}
	t.Fatalf("there is no rule %s", id)
	return market.NetRule{}
}

func everyNet(t testing.TB) []market.NetRule {
	t.Helper()
	var all []market.NetRule
	for _, m := range market.IDs() {
		for _, n := range on(t, m, "2026-11-28").Nets() {
			if !slices.ContainsFunc(all, func(other market.NetRule) bool { return other.ID == n.ID }) {
				all = append(all, n)
			}
		}
	}
	return all
}

func mass(t testing.TB, text string) measure.Mass {
	t.Helper()
	return quantity(t, text).Mass()
}

// Every market judges net weights, and each part of a rule says where it stands, where
// it was read and how it is known. Ids are shared with no other rule.
func TestNetRules(t *testing.T) {
	seen := map[string]bool{}
	for _, id := range market.IDs() {
		rules, err := market.Rules(id)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rules {
			seen[r.ID] = true
		}
		nets := on(t, id, "2026-11-28").Nets()
		if len(nets) == 0 || nets[0].Instead || nets[0].Market != id {
			t.Errorf("%s: its first rule is %+v", id, nets)
		}
	}
	form := regexp.MustCompile(`^[A-Z]{2}-LOT-[0-9]{2}$`)
	for _, n := range everyNet(t) {
		if !form.MatchString(n.ID) || seen[n.ID] || !strings.HasPrefix(n.ID, strings.ToUpper(n.Place)) {
			t.Errorf("the id %q is not well formed, there twice or of another place than %q", n.ID, n.Place)
		}
		seen[n.ID] = true
		if n.Level != finding.Stop || n.Remedy == "" || n.Message == "" || !n.Known.Confirmed() {
			t.Errorf("%s: level %s, remedy %q, message %q, known %s", n.ID, n.Level, n.Remedy, n.Message, n.Known)
		}
		parts := []market.Backing{{Cite: n.Cite, Source: n.Source, Known: n.Known}, n.Day.Backing, n.Limits, n.Plans}
		if n.Weighing.Part > 0 {
			parts = append(parts, n.Weighing.Backing)
		}
		for i, b := range parts {
			if b.Cite == "" || b.Source == "" || b.Known == "" {
				t.Errorf("%s: part %d lacks a citation, a source or its standing: %+v", n.ID, i, b)
			}
		}
	}
}

// One label for several places is judged by each of them; two laws of one place have the
// same rule.
func TestNetsTogether(t *testing.T) {
	for ids, want := range map[string]string{
		"eu+uk": "EU-LOT-01 UK-LOT-01", "us-soap+us-cosmetic": "US-LOT-01", "au+nz": "AU-LOT-01 AU-LOT-02 NZ-LOT-01",
	} {
		law, _ := together(t, ids)
		var got []string
		for _, n := range law.Nets() {
			got = append(got, n.ID)
		}
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s: %s, want %s", ids, s, want)
		}
	}
}

// The day by which each law goes. Read: 16 CFR 500.25(b) with the state model text
// (American Samoa Administrative Code 27.0686(b)), Regulation (EC) No 1223/2009 Art.
// 19(1)(b), guidance of Trading Standards. Of the others no text was seen, so they go
// by the later day and say that they are not confirmed.
func TestNetDays(t *testing.T) {
	for id, want := range map[string]struct {
		of        string
		confirmed bool
	}{
		"US-LOT-01": {market.Handover, true}, "EU-LOT-01": {market.Packing, true}, "UK-LOT-01": {market.Packing, true},
		"CA-LOT-01": {market.Handover, false}, "AU-LOT-01": {market.Handover, false}, "NZ-LOT-01": {market.Handover, false},
	} {
		if d := net(t, id).Day; d.Of != want.of || d.Known.Confirmed() != want.confirmed {
			t.Errorf("%s: %s, known: %s", id, d.Of, d.Known)
		}
	}
}

// Limits of single bars. US: NIST Handbook 133 Table 2-5, of which the row of 113 g was
// read (chapter 2) and the others are from memory; a claim at a bound has the smaller
// limit. EU: Directive 76/211/EEC Annex I 2.4, with its rounding up to 0.1 g, and the
// German example of 105 g, whose double limit is rounded by itself (FPackV s. 9(3),(4)).
// Canada: CPLR Schedule I Part III, which does not round. Australia: NTMR 2009 reg. 4.36
// with note a, and a published example of 500 g (15 g, between 485 and 470 g); 5 % by the
// plain rule (page of the NMI). New Zealand: Regulations 1999 Schedule 7A Table 2.
func TestNetLimits(t *testing.T) {
	for _, tt := range []struct{ id, claim, limit, second string }{
		{"US-LOT-01", "1 oz", "2.834952312 g", ""},
		{"US-LOT-01", "36 g", "3.6 g", ""},
		{"US-LOT-01", "37 g", "3.6 g", ""},
		{"US-LOT-01", "0.12 lb", "3.6 g", ""},
		{"US-LOT-01", "2 oz", "5.4 g", ""},
		{"US-LOT-01", "113 g", "7.2 g", ""},
		{"US-LOT-01", "4 oz", "7.2 g", ""},
		{"US-LOT-01", "0.26 lb", "7.2 g", ""},
		{"US-LOT-01", "4.2 oz", "9 g", ""},
		{"US-LOT-01", "6 oz", "10.8 g", ""},
		{"US-LOT-01", "8 oz", "12.7 g", ""},
		{"US-LOT-01", "1 lb", "19.9 g", ""},
		{"US-LOT-01", "3.2 lb", "42.6 g", ""},
		{"US-LOT-01", "3.3 lb", "", ""},
		{"EU-LOT-01", "4.9 g", "", ""},
		{"EU-LOT-01", "5 g", "0.5 g", "0.9 g"},
		{"EU-LOT-01", "25 g", "2.3 g", "4.5 g"},
		{"EU-LOT-01", "50 g", "4.5 g", "9 g"},
		{"EU-LOT-01", "85 g", "4.5 g", "9 g"},
		{"EU-LOT-01", "105 g", "4.8 g", "9.5 g"},
		{"EU-LOT-01", "110 g", "5 g", "9.9 g"},
		{"EU-LOT-01", "113 g", "5.1 g", "10.2 g"},
		{"EU-LOT-01", "200 g", "9 g", "18 g"},
		{"EU-LOT-01", "250 g", "9 g", "18 g"},
		{"EU-LOT-01", "400 g", "12 g", "24 g"},
		{"EU-LOT-01", "600 g", "15 g", "30 g"},
		{"EU-LOT-01", "10 kg", "150 g", "300 g"},
		{"EU-LOT-01", "10.1 kg", "", ""},
		{"UK-LOT-01", "25 g", "2.3 g", "4.6 g"},
		{"UK-LOT-01", "50 g", "4.5 g", "9 g"},
		{"UK-LOT-01", "85 g", "4.5 g", "9 g"},
		{"UK-LOT-01", "110 g", "5 g", "10 g"},
		{"UK-LOT-01", "125 g", "5.7 g", "11.4 g"},
		{"UK-LOT-01", "25 kg", "250 g", "500 g"},
		{"UK-LOT-01", "25.1 kg", "", ""},
		{"CA-LOT-01", "113 g", "5.085 g", "10.17 g"},
		{"CA-LOT-01", "25 g", "2.25 g", "4.5 g"},
		{"CA-LOT-01", "20 kg", "200 g", "400 g"},
		{"AU-LOT-01", "113 g", "5.65 g", ""},
		{"AU-LOT-02", "113 g", "5.1 g", "10.2 g"},
		{"AU-LOT-02", "500 g", "15 g", "30 g"},
		{"AU-LOT-02", "1.1 kg", "17 g", "34 g"},
		{"NZ-LOT-01", "113 g", "5.085 g", "10.17 g"},
		{"NZ-LOT-01", "4 g", "0.36 g", "0.72 g"},
	} {
		n, claim := net(t, tt.id), mass(t, tt.claim)
		want := func(text string) measure.Mass {
			if text == "" {
				return 0
			}
			return mass(t, text)
		}
		limit, known := n.Limit(claim)
		if limit != want(tt.limit) || known == "" || tt.limit == "" && known.Confirmed() {
			t.Errorf("%s, %s: the limit is %d ng (%s), want %s", tt.id, tt.claim, limit, known, tt.limit)
		}
		if second, has := n.Second(claim); second.Limit != want(tt.second) || tt.second != "" && !has {
			t.Errorf("%s, %s: the second limit is %d ng (%t), want %s", tt.id, tt.claim, second.Limit, has, tt.second)
		}
	}
}

// All rows of NIST Handbook 133 Table 2-5 as they are recalled in pounds: above so many
// hundredths of a pound so many thousandths may be lacking. In grams they are cut off at
// a tenth.
func TestUSTable(t *testing.T) {
	n := net(t, "US-LOT-01")
	for _, row := range []struct{ over, lacks int }{
		{8, 8}, {12, 12}, {18, 16}, {26, 20}, {34, 24}, {46, 28}, {58, 32}, {70, 36}, {84, 40}, {94, 44}, {108, 48}, {126, 52}, {140, 56},
		{154, 60}, {170, 64}, {188, 70}, {214, 78}, {248, 86}, {276, 94},
	} {
		over := measure.Mass(row.over) * measure.Pound / 100
		tenth := measure.Gram / 10
		want := measure.Mass(row.lacks) * measure.Pound / 1000 / tenth * tenth
		if got, _ := n.Limit(over + 1); got != want {
			t.Errorf("above 0.%02d lb: %g g, want %g", row.over, got.Grams(), want.Grams())
		}
		if got, _ := n.Limit(over); row.over > 8 && got >= want {
			t.Errorf("at 0.%02d lb: %g g, which is that of the next row", row.over, got.Grams())
		}
	}
}

// The one table of Europe, Canada, Australia and New Zealand, each with its rounding:
// Directive 76/211/EEC Annex I 2.4, CPLR Schedule I Part III, NTMR 2009 reg. 4.36(4),
// Regulations 1999 Schedule 7A Table 2.
func TestMetricTable(t *testing.T) {
	milligrams := func(g int64) int64 {
		switch {
		case g <= 50:
			return 90 * g
		case g <= 100:
			return 4500
		case g <= 200:
			return 45 * g
		case g <= 300:
			return 9000
		case g <= 500:
			return 30 * g
		case g <= 1000:
			return 15000
		case g <= 10000:
			return 15 * g
		case g <= 15000:
			return 150000
		}
		return 10 * g
	}
	up := func(v, place int64) measure.Mass {
		return measure.Mass((v+place-1)/place*place) * measure.Milligram
	}
	rules := map[string]market.NetRule{}
	for _, n := range everyNet(t) {
		rules[n.ID] = n
	}
	for g := int64(5); g <= 20000; g++ {
		claim := measure.Mass(g) * measure.Gram
		exact, place := milligrams(g), int64(100)
		if g > 1000 {
			place = 1000
		}
		for id, want := range map[string]measure.Mass{
			"EU-LOT-01": up(exact, 100), "UK-LOT-01": up(exact, 100), "CA-LOT-01": up(exact, 1), "NZ-LOT-01": up(exact, 1), "AU-LOT-02": up(exact, place),
		} {
			if id == "EU-LOT-01" && g > 10000 {
				want = 0
			}
			if got, _ := rules[id].Limit(claim); got != want {
				t.Fatalf("%s, %d g: %d ng, want %d", id, g, got, want)
			}
		}
	}
}

// Of the rows of the US table only that of 113 g was read.
func TestNetLimitsRecalled(t *testing.T) {
	for claim, confirmed := range map[string]bool{"113 g": true, "4 oz": true, "3.5 oz": true, "80 g": false, "5 oz": false, "1 lb": false} {
		if _, known := net(t, "US-LOT-01").Limit(mass(t, claim)); known.Confirmed() != confirmed {
			t.Errorf("%s: known by %s", claim, known)
		}
	}
}

// More may be lacking of a heavier bar, but never more than a tenth and what it is rounded
// by; and a second limit is above the first, and at most twice as much.
func TestNetLimitsRise(t *testing.T) {
	nets := map[string]market.NetRule{}
	for _, n := range everyNet(t) {
		nets[n.ID] = n
	}
	rapid.Check(t, func(t *rapid.T) {
		n := nets[rapid.SampledFrom(slices.Sorted(maps.Keys(nets))).Draw(t, "rule")]
		light := measure.Mass(rapid.Int64Range(int64(5*measure.Gram), int64(1451*measure.Gram)).Draw(t, "light"))
		heavy := light + measure.Mass(rapid.Int64Range(0, int64(20*measure.Gram)).Draw(t, "more"))
		if heavy > 1451*measure.Gram {
			return
		}
		a, _ := n.Limit(light)
		b, _ := n.Limit(heavy)
		if a <= 0 || b < a || a > light/10+measure.Gram/10 {
			t.Fatalf("%s: of %d ng %d may be lacking, and of %d ng %d", n.ID, light, a, heavy, b)
		}
		if second, has := n.Second(light); has && (second.Limit <= a || second.Limit > 2*a) {
			t.Fatalf("%s: of %d ng %d may be lacking, and at the very most %d", n.ID, light, a, second.Limit)
		}
	})
}

// How lots are sampled. US: NIST Handbook 133 Table 2-1, from memory. EU: Directive
// 76/211/EEC Annex II in French and Spanish law; below 100 bars the German 2 %. UK: SI
// 2006/659 Sch. 2 para. 3-4. Canada: CPLR Schedule II Parts I-IV. Australia: NTMR 2009
// reg. 4.34, from memory. New Zealand: Regulations 1999 Schedule 7A Table 1, of which
// the rows for 13 to 39, 150 to 399 bars and for one were not seen.
func TestPlans(t *testing.T) {
	for _, tt := range []struct {
		id                                        string
		lot, sample, accept, again, of, factorFor int
		factor                                    float64
		confirmed                                 bool
	}{
		{"US-LOT-01", 1, 1, 0, 0, 0, 1, 0, false},
		{"US-LOT-01", 2, 2, 0, 0, 0, 2, 8.984, false},
		{"US-LOT-01", 11, 11, 0, 0, 0, 11, 0.672, false},
		{"US-LOT-01", 12, 12, 0, 0, 0, 12, 0.635, false},
		{"US-LOT-01", 250, 12, 0, 0, 0, 12, 0.635, false},
		{"US-LOT-01", 251, 24, 0, 0, 0, 24, 0.422, false},
		{"US-LOT-01", 3201, 48, 1, 0, 0, 48, 0.290, false},
		{"EU-LOT-01", 49, 49, 0, 0, 0, 49, 0, true},
		{"EU-LOT-01", 99, 99, 1, 0, 0, 99, 0, true},
		{"EU-LOT-01", 100, 30, 1, 60, 4, 30, 0.503, true},
		{"EU-LOT-01", 501, 50, 2, 100, 6, 50, 0.379, true},
		{"EU-LOT-01", 3201, 80, 3, 160, 8, 50, 0.379, true},
		{"UK-LOT-01", 19, 19, 0, 0, 0, 19, 0, true},
		{"UK-LOT-01", 20, 20, 1, 0, 0, 20, 0, true},
		{"UK-LOT-01", 500, 50, 3, 0, 0, 30, 0.503, true},
		{"UK-LOT-01", 3200, 80, 5, 0, 0, 50, 0.379, true},
		{"UK-LOT-01", 3201, 125, 7, 0, 0, 50, 0.379, true},
		{"CA-LOT-01", 8, 8, 0, 0, 0, 8, 0, true},
		{"CA-LOT-01", 10, 10, 1, 0, 0, 10, 0, true},
		{"CA-LOT-01", 11, 10, 1, 0, 0, 10, 1.03, true},
		{"CA-LOT-01", 41, 11, 1, 0, 0, 11, 0.955, true},
		{"CA-LOT-01", 120, 30, 2, 0, 0, 30, 0.503, true},
		{"CA-LOT-01", 128, 32, 2, 0, 0, 32, 0.485, true},
		{"CA-LOT-01", 4001, 64, 4, 0, 0, 64, 0.332, true},
		{"CA-LOT-01", 8001, 96, 6, 0, 0, 96, 0.268, true},
		{"CA-LOT-01", 12001, 125, 7, 0, 0, 125, 0.234, true},
		{"AU-LOT-01", 40, 12, 0, 0, 0, 12, 0, false},
		{"AU-LOT-02", 500, 50, 3, 0, 0, 50, 0.379, false},
		{"AU-LOT-02", 3200, 80, 5, 0, 0, 80, 0.295, false},
		{"AU-LOT-02", 3500, 125, 7, 0, 0, 125, 0.234, false},
		{"AU-LOT-02", 501, 80, 5, 0, 0, 80, 0.295, false},
		{"NZ-LOT-01", 1, 1, 0, 0, 0, 1, 0, false},
		{"NZ-LOT-01", 2, 2, 0, 0, 0, 2, 0, true},
		{"NZ-LOT-01", 12, 12, 0, 0, 0, 12, 0, true},
		{"NZ-LOT-01", 30, 30, 0, 0, 0, 30, 0, false},
		{"NZ-LOT-01", 40, 12, 1, 0, 0, 12, 0.826, true},
		{"NZ-LOT-01", 80, 12, 2, 0, 0, 12, 0.860, true},
		{"NZ-LOT-01", 4000, 32, 4, 0, 0, 32, 0.483, true},
		{"NZ-LOT-01", 4001, 80, 6, 0, 0, 80, 0.295, true},
	} {
		p := net(t, tt.id).Plan(tt.lot)
		if p.Sample != tt.sample || p.Accept != tt.accept || p.Again != tt.again || p.AcceptAgain != tt.of ||
			p.Factor != tt.factor || p.FactorFor != tt.factorFor || p.Known.Confirmed() != tt.confirmed {
			t.Errorf("%s, a lot of %d: %+v", tt.id, tt.lot, p)
		}
	}
}

// The Canadian sample of 11 to 128 bars is a quarter, rounded up, of at least 10, and so
// many of 2 to 8, 20, 32 … bars fail a lot (CPLR Schedule II Parts I and IV).
func TestCanadianQuarter(t *testing.T) {
	n := net(t, "CA-LOT-01")
	for lot := 11; lot <= 128; lot++ {
		sample := max(10, (lot+3)/4)
		accept := 1
		if sample > 20 {
			accept = 2
		}
		if p := n.Plan(lot); p.Sample != sample || p.Accept != accept {
			t.Errorf("%d bars: %d are weighed and %d may be short, want %d and %d", lot, p.Sample, p.Accept, sample, accept)
		}
	}
}

// The factors of samples follow a formula, t(0.975)/√n in the United States and
// t(0.995)/√n elsewhere, with the t of n-1 by the expansion of Abramowitz & Stegun 26.7.5,
// which is good to some ten-thousandths from 11 bars on. New Zealand corrects for small lots.
func TestFactorsFollowTheFormula(t *testing.T) {
	quantile := func(z, v float64) float64 {
		p := func(n int) float64 { return math.Pow(z, float64(n)) }
		return z + (p(3)+z)/4/v + (5*p(5)+16*p(3)+3*z)/96/v/v + (3*p(7)+19*p(5)+17*p(3)-15*z)/384/v/v/v +
			(79*p(9)+776*p(7)+1482*p(5)-1920*p(3)-945*z)/92160/v/v/v/v
	}
	for _, n := range everyNet(t) {
		z := 2.575829
		if n.Place == "us" {
			z = 1.959964
		}
		for lot := 2; lot < 13000; lot++ {
			p := n.Plan(lot)
			if p.Sample > lot || p.Accept >= p.Sample {
				t.Fatalf("%s, a lot of %d: %+v", n.ID, lot, p)
			}
			size := float64(p.FactorFor)
			if p.Factor == 0 || size <= 10 || n.Place == "nz" && lot <= 4000 {
				continue
			}
			if want := quantile(z, size-1) / math.Sqrt(size); p.Factor < want-0.0012 || p.Factor > want+0.0005 {
				t.Fatalf("%s, a lot of %d: the factor is %g, want %.4f", n.ID, lot, p.Factor, want)
			}
		}
	}
	// t(0.975)/√n, computed, for the samples that the expansion is too coarse for.
	for i, want := range []float64{8.9846, 2.4841, 1.5912, 1.2417, 1.0494, 0.9248, 0.836, 0.7687} {
		if p := net(t, "US-LOT-01").Plan(i + 2); math.Abs(p.Factor-want) > 0.001 || p.Accept != 0 {
			t.Errorf("US, a lot of %d: %+v, want the factor %g", i+2, p, want)
		}
	}
}

// The credit is that of the plan for its sample, shrinks for more bars and is none for
// a whole lot, but where the plan is for one (US, up to 11 bars and so 12 of 12).
func TestCredit(t *testing.T) {
	for _, tt := range []struct {
		id           string
		lot, weighed int
		want         float64
	}{
		{"US-LOT-01", 30, 12, 0.635}, {"US-LOT-01", 60, 48, 0.3175}, {"US-LOT-01", 30, 30, 0}, {"US-LOT-01", 10, 10, 0.715},
		{"EU-LOT-01", 90, 90, 0}, {"EU-LOT-01", 400, 30, 0.503}, {"EU-LOT-01", 400, 120, 0.2515}, {"EU-LOT-01", 400, 400, 0},
		{"CA-LOT-01", 9, 9, 0}, {"NZ-LOT-01", 60, 12, 0.826},
	} {
		if got := net(t, tt.id).Credit(tt.lot, tt.weighed); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%s, %d of %d: %g, want %g", tt.id, tt.weighed, tt.lot, got, tt.want)
		}
	}
}

// Two stages: of 30 bars of a lot of 400 one may be short and three are too many; with two
// 60 are weighed, of which four may be (Directive 76/211/EEC Annex II 2.2.1). Of a whole
// lot 2 % may be in Germany (FPackV Annex 3), 5 % of less than 100 in the UK (SI 2006/659
// Sch. 2 para. 3.6).
func TestAccepted(t *testing.T) {
	for _, tt := range []struct {
		id                   string
		lot, weighed, beyond int
		accept               int
		decided              bool
	}{
		{"EU-LOT-01", 400, 29, 0, 4, false}, {"EU-LOT-01", 400, 29, 5, 4, true},
		{"EU-LOT-01", 400, 30, 1, 1, true}, {"EU-LOT-01", 400, 30, 2, 4, false}, {"EU-LOT-01", 400, 30, 3, 1, true},
		{"EU-LOT-01", 400, 59, 2, 4, false}, {"EU-LOT-01", 400, 60, 2, 4, true}, {"EU-LOT-01", 400, 60, 5, 4, true},
		{"EU-LOT-01", 400, 400, 8, 8, true}, {"EU-LOT-01", 99, 99, 1, 1, true},
		{"UK-LOT-01", 60, 60, 3, 3, true}, {"UK-LOT-01", 1000, 1000, 25, 25, true}, {"UK-LOT-01", 400, 50, 3, 3, true},
		{"US-LOT-01", 40, 12, 0, 0, true}, {"US-LOT-01", 40, 11, 0, 0, false}, {"US-LOT-01", 40, 11, 1, 0, true},
	} {
		if accept, decided := net(t, tt.id).Accepted(tt.lot, tt.weighed, tt.beyond); accept != tt.accept || decided != tt.decided {
			t.Errorf("%s, %d of %d with %d short: %d may be, decided: %t", tt.id, tt.weighed, tt.lot, tt.beyond, accept, decided)
		}
	}
}

// NIST Handbook 133, chapter 2: for 113 g the limit is 7.2 g, so a step of the scale of
// 1.2 g is the largest. An error of a fifth of the limit: French order of 20 October 1978
// art. 9; Germany wants finer steps, FPackV Annex 7 no. 1(b)(aa): 0.5 g from 25 g on, 1 g
// from 150 g, 2 g from 350 g. Of Canada nothing is known.
func TestScaleStep(t *testing.T) {
	for _, tt := range []struct {
		id    string
		claim string
		want  string
	}{
		{"US-LOT-01", "113 g", "1.2 g"},
		{"UK-LOT-01", "113 g", "1.02 g"},
		{"EU-LOT-01", "8 g", "0.1 g"},
		{"EU-LOT-01", "10 g", "0.18 g"}, // a fifth of the 0.9 g that may be lacking
		{"EU-LOT-01", "113 g", "0.5 g"}, // and not 1.02 g
		{"EU-LOT-01", "149 g", "0.5 g"},
		{"EU-LOT-01", "150 g", "1 g"},
		{"EU-LOT-01", "350 g", "2 g"},
		{"CA-LOT-01", "113 g", ""},
	} {
		want := measure.Mass(0)
		if tt.want != "" {
			want = mass(t, tt.want)
		}
		got, backing := net(t, tt.id).ScaleStep(mass(t, tt.claim))
		if got != want || (got > 0) != (backing.Cite != "") {
			t.Errorf("%s, %s: %d ng by %q, want %d", tt.id, tt.claim, got, backing.Cite, want)
		}
	}
}

func TestWeaker(t *testing.T) {
	order := []market.Known{market.Retrieved, market.RetrievedSecondary, market.Memory}
	for i, a := range order {
		for j, b := range order {
			if got := market.Weaker(a, b); got != order[max(i, j)] {
				t.Errorf("%s and %s: %s", a, b, got)
			}
		}
	}
}
