package compile

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/market"
)

// Drying tells a person what was weighed and what will become of it, which is the same in
// all markets.
func (a WeightAnswer) Drying() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, batch %s, cut %s\n\n", a.title, a.Batch, a.Cut)
	a.reportWeighings(&b)
	line := liner(&b)
	if p := a.Predicted; p != nil {
		b.WriteByte('\n')
		line("on "+a.On.String(), "%.1f g on average, by 95 %% between %.1f and %.1f g, and by 95 %% more than %.1f g%s", p.Mean, tenthDown(p.Low), tenthUp(p.High), tenthDown(p.OneSided), map[bool]string{true: ", the last day of sale"}[a.On == a.LastSale])
		line("at rest", "%.1f g, between %.1f and %.1f g; the dry mass is %.1f g", a.AtRest.Mean, tenthDown(a.AtRest.Low), tenthUp(a.AtRest.High), *a.Dry)
		line("water left", "%.1f to %.1f %% of the bar on that day", a.Water.Low, a.Water.High)
		learnt := "by what is usual; from three batches of this formula on, by these"
		if a.Learnt {
			learnt = "by the batches of this formula that were made before"
		}
		line("believed", "%s", learnt)
	} else if r := a.Bounds; r != nil {
		b.WriteByte('\n')
		line("at rest", "between %.1f and %.1f g, which is all that is known; see the findings for when to weigh again", tenthDown(r.Low), tenthUp(r.High))
	} else if len(a.Weighings) > 0 {
		b.WriteString("\n  nothing can be foretold of them: see the findings\n")
	}
	return b.String()
}

// liner gives a function that writes a line behind a word.
func liner(b *strings.Builder) func(what, format string, args ...any) {
	return func(what, format string, args ...any) {
		fmt.Fprintf(b, "  %-14s %s\n", what, wrapped(fmt.Sprintf(format, args...), 17))
	}
}

// Claims tells a person what can be claimed in the market.
func (a WeightAnswer) Claims() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", a.Market)
	line := liner(&b)
	if p := a.Product; p != nil {
		line("claimed", "%s takes %s g on average: %s", p.Text, gramsUp(p.Needs), stands(p.Holds, p.ForGood, p.Until, a.LastSale))
		switch {
		case p.Holds || !p.Average:
		case p.Lacking > 0:
			line("", "the average is sure to reach it, but of the bars that were weighed %d will lack more than one may", p.Lacking)
		default:
			line("", "the average is sure to reach it, but of single bars %.2g %% are to be expected to lack more than one may", p.Beyond)
		}
	}
	if a.Claim != nil {
		line("largest", "%s holds on %s", a.Claim.Text, a.On)
	}
	if a.Product == nil && a.stands != nil {
		line("", "%s holds %s", a.printed, until(a.stands.ForGood(), a.Until))
	}
	if g := a.Given; g != nil {
		line("given away", "%.1f g a bar on the last day of sale, which is %.1f %%; %.0f g of %s", g.Grams, g.Percent, g.Total, plural(g.Bars, "bar"))
	}
	switch n := a.Now; {
	case n == nil:
	case len(a.Weighings) == 0:
		line("cut at least", "%s g on average, and no bar under %s g, for %s to be sure until %s", gramsUp(n.Average), gramsUp(n.Each), a.printed, a.LastSale)
	case a.Predicted == nil:
		line("to be sure", "the bars had to weigh %s g on average on %s, and none under %s g, for %s to last; weighed again they may turn out to keep more", gramsUp(n.Average), n.Date, gramsUp(n.Each), a.printed)
	default:
		line("would take", "%s g on average on %s, and no bar under %s g", gramsUp(n.Average), n.Date, gramsUp(n.Each))
	}
	if n := a.Again; n != nil && len(a.Ways) == 0 {
		line("once more", "weigh %s on %s: if they dry as expected, %s will be sure", n.what, n.Date, n.Claim.Text)
	}
	for i, way := range a.Ways {
		line(map[bool]string{true: "ways out"}[i == 0], "%s", way)
	}
	if t := a.Lot; t != nil {
		line("lot test", "%s", t.says())
	}
	for _, d := range a.LawDays {
		line("the law", "%s", d.says())
	}
	if a.Pack != nil {
		line("pack", "%s", a.Pack.Text)
	}
	return b.String()
}

// reportWeighings tells what was weighed, a line a day.
func (a WeightAnswer) reportWeighings(b *strings.Builder) {
	if len(a.Weighings) == 0 {
		fmt.Fprintf(b, "  no bar was weighed: weigh marked bars on %d days, the last at least %d days after the first\n  (saponym batch weigh %s a=131.2 b=129.8 c=130.5)\n", cure.FewestDays, cure.LeastSpan, a.Batch)
		return
	}
	const most = 6 // bars to a line
	for _, w := range a.Weighings {
		var bars []string
		for _, mark := range slices.Sorted(maps.Keys(w.Bars)) {
			if len(bars) == most {
				bars = append(bars, fmt.Sprintf("… %d bars", len(w.Bars)))
				break
			}
			bars = append(bars, fmt.Sprintf("%s %.5g", legible(mark), w.Bars[mark]))
		}
		more := ""
		if w.Humidity != nil {
			more = fmt.Sprintf(", in air of %.0f %%", *w.Humidity)
		}
		if w.Trimmed {
			more += ", trimmed before"
		}
		fmt.Fprintf(b, "  %-14s %s g   (%s%s)\n", w.Date, gramsDown(w.Mean), strings.Join(bars, ", "), more)
	}
	if a.SD != nil {
		fmt.Fprintf(b, "  %-14s the last time %.2f g, standard deviation of %s", "between bars", *a.SD, plural(a.Weighed, "bar"))
		if a.Scale != nil {
			fmt.Fprintf(b, "; the scale goes in steps of %.3g g", *a.Scale)
		}
		b.WriteByte('\n')
	}
}

// legible gives a mark as it can be shown: in quotes where it is blank, or has characters
// that do not show.
func legible(mark string) string {
	if strings.TrimSpace(mark) == "" || strings.ContainsFunc(mark, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return strconv.Quote(mark)
	}
	return mark
}

// stands says whether a claim lasts.
func stands(holds, forGood bool, end *day.Day, last day.Day) string {
	switch {
	case holds && forGood:
		return "it holds as long as there are bars"
	case holds:
		return fmt.Sprintf("it holds until %s, and the bars are sold until %s", end, last)
	case end != nil:
		return fmt.Sprintf("it FAILS after %s, and the bars are sold until %s", end, last)
	}
	return "it FAILS: the bars never were sure to weigh as much"
}

func until(forGood bool, end *day.Day) string {
	if forGood || end == nil {
		return "as long as there are bars"
	}
	return "until " + end.String()
}

// says tells the test of a lot in a sentence.
func (t LotTested) says() string {
	how := ""
	switch {
	case t.Verdict == cure.TooFew:
		how = fmt.Sprintf("; weigh %d more, drawn at random, for a verdict", t.Wanted-t.Weighed)
		if t.Wanted == t.Lot {
			how = fmt.Sprintf("; weigh the other %d for a verdict", t.Lot-t.Weighed)
		}
	case t.Verdict == cure.Pass && t.Own == cure.Fail:
		how = "; by the law alone, which forgives a sample: the average is below the claim, so the rule of the house fails it"
	}
	lack := func(bars int, limit float64) string {
		verb := "lack"
		if bars <= 1 {
			verb = "lacks"
		}
		return fmt.Sprintf("%s %s more than %.4g g", noneOr(bars), verb, limit)
	}
	single := lack(t.Beyond, t.Limit) + ", and " + noneOr(t.Accept) + " may"
	if t.Second != nil && t.Beyond2 > 0 {
		single += "; " + lack(t.Beyond2, *t.Second)
	}
	weighed := fmt.Sprintf("%d of %s were", t.Weighed, plural(t.Lot, "bar"))
	switch {
	case t.Lot == 1:
		weighed = "the only bar was"
	case t.Weighed == t.Lot:
		weighed = "all " + plural(t.Lot, "bar") + " were"
	case t.Weighed == 1:
		weighed = fmt.Sprintf("1 of %d bars was", t.Lot)
	}
	return fmt.Sprintf("%s for %s: %s weighed last, mean %s g; %s%s", map[cure.Verdict]string{cure.Pass: "passes", cure.Fail: "FAILS", cure.TooFew: "too few"}[t.Verdict], t.Claim, weighed, gramsDown(t.Mean), single, how)
}

func noneOr(n int) string {
	if n == 0 {
		return "none"
	}
	return strconv.Itoa(n)
}

// says tells on which day a law looks at the weight.
func (d LawDay) says() string {
	of := "looks at the weight when a bar is handed to the buyer"
	if d.Of == market.Packing {
		of = "looks at the weight when a bar is packed; a buyer weighs it later"
	}
	known := ""
	if !d.Known.Confirmed() {
		known = "; unconfirmed"
	}
	return fmt.Sprintf("of %s %s (%s%s)", d.Market, of, d.Cite, known)
}

// gramsUp writes grams rounded up to a hundredth, without zeros at the end.
func gramsUp(g float64) string {
	text := fmt.Sprintf("%.2f", math.Ceil(g*100-1e-6)/100)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// gramsDown writes a mean in grams rounded down to a hundredth, so that none reaches a claim
// by being written.
func gramsDown(g float64) string { return fmt.Sprintf("%.2f", math.Floor(g*100+1e-6)/100) }

// tenthDown and tenthUp round bounds outwards, so that none is printed that is not kept.
func tenthDown(g float64) float64 { return math.Floor(g*10+1e-9) / 10 }

func tenthUp(g float64) float64 { return math.Ceil(g*10-1e-9) / 10 }

// wrapped breaks a text for lines that begin after an indent.
func wrapped(text string, indent int) string {
	const width = 96
	var b strings.Builder
	at := indent
	for i, word := range strings.Fields(text) {
		n := len([]rune(word))
		switch {
		case i == 0:
		case at+1+n > width:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			at = indent
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String()
}

// Report tells the answer for a person.
func (a CutAnswer) Report() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, cut %s, %s\n\n", a.title, a.Cut, a.Market)
	line := liner(&b)
	if a.Claim != nil {
		line("claimed", "%s takes %s g on average, as long as the bars are sold: %s", a.Claim.Text, gramsUp(a.Claim.Needs), a.last)
	}
	if a.AtLeast != nil {
		learnt := "what is usual (from three batches of this formula on, these are taken)"
		if a.Learnt {
			learnt = "earlier batches of this formula"
		}
		line("cut at least", "%s g on average on the day after the making, and no bar under %s g", gramsUp(*a.AtLeast), gramsUp(*a.Each))
		line("because", "by %s a bar keeps %.1f %% of that weight, and by 95 %% no less than %.1f %%", learnt, a.Kept.Mean, a.Kept.Sure)
	}
	if a.Batter != nil {
		line("the batter", "gives %.4g g a bar, when nothing is lost", *a.Batter)
	}
	for _, d := range a.LawDays {
		line("the law", "%s", d.says())
	}
	if a.Pack != nil {
		line("pack", "%s", a.Pack.Text)
	}
	if len(a.Batches) == 0 {
		return b.String()
	}
	b.WriteString("\n  batches\n")
	var t table
	rest := 0
	for _, s := range a.Batches {
		if s.OnHand == 0 && s.Verdict != "fails" {
			rest++
			continue
		}
		mean := ""
		if s.Mean != nil {
			mean = fmt.Sprintf("%.4g g on %s", *s.Mean, s.Weighed)
		}
		t.row(s.Code, s.Made.String(), fmt.Sprintf("%d on hand", s.OnHand), mean, s.says())
	}
	t.write(&b)
	if rest > 0 {
		fmt.Fprintf(&b, "  and %s without bars on hand\n", map[bool]string{true: "1 batch", false: fmt.Sprintf("%d batches", rest)}[rest == 1])
	}
	return b.String()
}

// says tells how a batch stands to the claim.
func (s BatchStands) says() string {
	switch s.Verdict {
	case "holds":
		return "holds " + until(s.ForGood, s.Until)
	case "fails":
		if s.Until != nil {
			return "FAILS after " + s.Until.String()
		}
		return "FAILS"
	case "too-few":
		return "too few weighings"
	case "unclear":
		return "stopped: see batch show"
	}
	return s.Verdict
}
