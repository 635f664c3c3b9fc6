package cli_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The contracts of weight; see json_test.go.
var (
	claimed      = map[string]shape{"text": text, "grams": number, "ounces?": number, "needs_g": number}
	predictedOn  = map[string]shape{"date": date, "mean_g": computed, "low95_g": computed, "high95_g": computed, "one_sided5_g": computed}
	predictedEnd = map[string]shape{"mean_g": computed, "low95_g": computed, "high95_g": computed, "one_sided5_g": computed}
	between      = object(map[string]shape{"low": computed, "high": computed})
	lawDays      = list(1, object(map[string]shape{"market": matching(rule), "of": matching("packing|handover"), "cite": matching(".+"), "known": matching("retrieved|retrieved-secondary|memory")}))
	lotVerdict   = matching("pass|fail|too-few")
	lotJudged    = object(map[string]shape{
		"verdict": lotVerdict, "own_verdict": lotVerdict, "market": matching(rule), "claim": text, "lot": whole, "weighed": whole, "wanted": whole,
		"mean_g": number, "sd_g": number, "factor": number, "limit_g": number, "beyond_limit": whole, "may_be_beyond": whole, "second_limit_g": orNull(number), "beyond_second_limit": whole,
	})
	weighed = map[string]shape{
		"batch": matching(".+"), "formula": text, "cut": text, "market": markets, "on": date, "last_sale": date,
		"mean_g": orNull(number), "sd_g": orNull(number), "bars_weighed": whole,
		"weighings":    list(0, object(map[string]shape{"date": date, "mean_g": number, "grams": gramsOfBars, "humidity_percent?": number, "trimmed?": boolean})),
		"scale_step_g": orNull(number), "learnt_from_own_batches": boolean,
		"predicted": orNull(object(predictedOn)), "at_rest": orNull(object(predictedEnd)), "dry_g": orNull(computed),
		"bounds_g": orNull(between), "water_left_percent": orNull(between),
		"claim": orNull(object(claimed)),
		"product_claim": orNull(object(with(claimed, map[string]shape{
			"holds": boolean, "holds_on": boolean, "holds_until": orNull(date), "for_good": boolean, "average_holds": boolean, "single_holds": boolean, "short_bars": whole, "short_percent": number,
		}))),
		"holds_until": orNull(date),
		"given_away":  orNull(object(map[string]shape{"g": computed, "percent": computed, "bars": whole, "total_g": computed})),
		"law_days":    lawDays, "lot_test": orNull(lotJudged),
		"now_at_least":      orNull(object(map[string]shape{"date": orNull(date), "average_g": number, "each_g": number})),
		"set_aside":         list(0, text),
		"one_more_weighing": orNull(object(map[string]shape{"date": date, "bars": whole, "claim": object(claimed)})),
		"ways_out":          list(0, text),
		"pack":              orNull(object(map[string]shape{"text": text, "grams": number})),
		"notice":            notice, "findings": list(0, finding),
	}
	stand = map[string]shape{
		"batch": text, "made": date, "on_hand": whole, "weighed_on": orNull(date), "mean_g": orNull(number),
		"verdict": matching("holds|fails|too-few|unweighed|unclear"), "holds_until": orNull(date), "for_good": boolean,
	}
	cutAtLeast = map[string]shape{
		"formula": text, "cut": text, "market": markets, "claim": orNull(object(claimed)), "cut_at_least_g": orNull(number), "each_at_least_g": orNull(number), "sold_for_days": whole,
		"kept_percent":            orNull(object(map[string]shape{"mean": computed, "sure": computed})),
		"learnt_from_own_batches": boolean, "batter_gives_g": orNull(computed), "law_days": lawDays,
		"batches": list(0, object(stand)),
		"pack":    orNull(object(map[string]shape{"text": text, "grams": number})), "notice": notice, "findings": list(0, finding),
	}
)

// gramsOfBars is an object of numbers under the marks of the bars.
func gramsOfBars(v any) error {
	m, _ := v.(map[string]any)
	for _, value := range m {
		if err := number(value); err != nil {
			return err
		}
	}
	return nil
}

// with gives the keys of a contract, some of them of another shape or added.
func with(keys, more map[string]shape) map[string]shape {
	all := maps.Clone(keys)
	maps.Copy(all, more)
	return all
}

// null is what is not known.
var null = that(nil)

// that is this value and no other.
func that(want any) shape {
	return func(v any) error {
		if v != want {
			return fmt.Errorf("%v is not %v", v, want)
		}
		return nil
	}
}

// weightShop is the demo's folder with batches of which more and less is known.
func weightShop(t *testing.T) string {
	t.Helper()
	dir := demoShop(t)
	for code, rest := range map[string]string{
		"26274-01": "",
		"26274-02": "weighings: [{date: 2026-10-02, cut: bar, bars: {a: 131.7 g, b: 130.2 g}}, {date: 2026-10-05, cut: bar, bars: {a: 129.3 g, b: 128.0 g}, humidity: 60%}]\n",
		"26274-03": `weighings:
  - {date: 2026-10-02, cut: bar, bars: {a: 121.7 g, b: 120.2 g, c: 121.0 g}}
  - {date: 2026-10-12, cut: bar, bars: {a: 115.3 g, b: 114.0 g, c: 114.6 g}}
  - {date: 2026-10-29, cut: bar, bars: {a: 112.2 g, b: 111.0 g, c: 111.5 g}, trimmed: yes}
`,
		"26274-04": "weighings: [{date: 2026-10-02, cut: bar, bars: {a: 131.7 g}}, {date: 2026-10-12, cut: bar, bars: {a: 213 g}}]\n",
	} {
		batch := "code: " + code + "\nformula: millpond\nmakes: bars\nmade: 2026-10-01\ncut: {date: 2026-10-02, bar: 10}\n" + rest
		if err := os.WriteFile(filepath.Join(dir, "batches", code+".yaml"), []byte(batch), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "formulas", "bare.yaml"), []byte(`name: Bare
identity: soap
pot: [{material: olive-oil, weight: 1000 g}]
lye: {alkali: sodium hydroxide, purity: 98%, superfat: 6%, water: {per_lye: 2}}
cuts: {bar: {length: 80 mm, width: 55 mm, height: 25 mm}}
`), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// What is not known is null, and a list of nothing is empty: not one key is missing.
func TestJSONOfWeights(t *testing.T) {
	t.Parallel()
	dir := weightShop(t)
	known := with(weighed, map[string]shape{
		"mean_g": computed, "sd_g": computed, "scale_step_g": that(json.Number("0.1")), "predicted": object(predictedOn), "at_rest": object(predictedEnd), "dry_g": computed,
		"bounds_g": null, "water_left_percent": between, "claim": object(claimed), "lot_test": lotJudged, "pack": null,
	})
	holds := object(with(known, map[string]shape{
		"batch": that("26300-01-H"), "formula": that("millpond"), "cut": that("bar"), "last_sale": that("2027-11-24"), "bars_weighed": that(json.Number("3")), "holds_until": null,
		"given_away": object(map[string]shape{"g": computed, "percent": computed, "bars": that(json.Number("5")), "total_g": computed}),
		"product_claim": object(with(claimed, map[string]shape{
			"holds": that(true), "holds_on": that(true), "holds_until": null, "for_good": that(true), "average_holds": that(true), "single_holds": that(true), "short_bars": whole, "short_percent": number,
		})),
		"now_at_least": null, "ways_out": list(0, null),
	}))
	packed := object(with(known, map[string]shape{"pack": object(map[string]shape{"text": that("3 × 113 g (339 g)"), "grams": that(json.Number("339"))})}))
	fails := object(with(known, map[string]shape{
		"product_claim": object(with(claimed, map[string]shape{
			"holds": that(false), "holds_on": that(false), "holds_until": date, "for_good": that(false), "average_holds": that(false), "single_holds": boolean, "short_bars": whole, "short_percent": computed,
		})),
		"holds_until": date, "given_away": null, "now_at_least": object(map[string]shape{"date": that("2026-11-26"), "average_g": number, "each_g": number}), "ways_out": list(2, text),
		"one_more_weighing": orNull(object(map[string]shape{"date": date, "bars": whole, "claim": object(claimed)})),
	}))
	nothing := map[string]shape{
		"scale_step_g": null, "predicted": null, "at_rest": null, "dry_g": null, "bounds_g": null, "water_left_percent": null, "claim": null, "product_claim": null,
		"holds_until": null, "given_away": null, "set_aside": list(0, null), "one_more_weighing": null, "ways_out": list(0, null), "pack": null, "learnt_from_own_batches": that(false),
	}
	unweighed := object(with(weighed, with(nothing, map[string]shape{
		"mean_g": null, "sd_g": null, "bars_weighed": that(json.Number("0")), "weighings": list(0, null), "lot_test": null,
		"now_at_least": object(map[string]shape{"date": null, "average_g": number, "each_g": number}),
	})))
	tooFew := object(with(weighed, with(nothing, map[string]shape{
		"mean_g": number, "sd_g": number, "bounds_g": between, "scale_step_g": number, "lot_test": lotJudged,
		"now_at_least": object(map[string]shape{"date": that("2026-10-02"), "average_g": number, "each_g": number}),
	})))
	slip := object(with(weighed, with(nothing, map[string]shape{"mean_g": number, "sd_g": null, "lot_test": null, "now_at_least": null})))
	ofFormula := object(with(cutAtLeast, map[string]shape{
		"formula": that("millpond"), "claim": object(claimed), "cut_at_least_g": number, "each_at_least_g": number,
		"kept_percent": object(map[string]shape{"mean": computed, "sure": computed}), "batter_gives_g": computed, "batches": list(5, object(stand)), "pack": null,
	}))
	bare := object(with(cutAtLeast, map[string]shape{
		"claim": null, "cut_at_least_g": null, "each_at_least_g": null, "kept_percent": null, "batter_gives_g": null, "batches": list(0, null), "pack": null,
	}))
	for _, tt := range []struct {
		args string
		code int
		want shape
	}{
		{"26300-01-H --market us-soap", 0, holds},
		{"26300-01-H --market eu --pack 3", 0, packed},
		{"26300-01-H --market us-soap --at 2026-12-24", 0, holds},
		{"26300-01-H", 0, list(2, holds)},
		{"26300-01-H --market all", 0, list(7, object(weighed))},
		{"26300-01-H --market eu+ca", 0, object(weighed)},
		{"26300-01-H --market us-soap --claim 4.6oz", 1, fails},
		{"26274-01 --market eu", 0, unweighed},
		{"26274-02 --market eu", 0, tooFew},
		{"26274-03 --market us-soap", 0, object(weighed)},
		{"26274-04 --market us-soap", 1, slip},
		{"millpond --market us-soap", 0, ofFormula},
		{"millpond", 0, list(2, ofFormula)},
		{"millpond --market all", 0, list(7, object(cutAtLeast))},
		{"millpond --market us-soap --pack 2", 0, object(with(cutAtLeast, map[string]shape{"pack": object(map[string]shape{"text": text, "grams": that(json.Number("226"))})}))},
		{"bare --market us-soap", 0, bare},
		{"heavy --market us-soap", 1, object(with(cutAtLeast, map[string]shape{"claim": object(claimed), "cut_at_least_g": null, "kept_percent": null, "batter_gives_g": null}))},
	} {
		t.Run(tt.args, func(t *testing.T) {
			code, stdout, stderr := run(append([]string{"weight"}, append(strings.Fields(tt.args), "--shop", dir, "--json")...)...)
			if code != tt.code || stderr != "" {
				t.Errorf("status %d, want %d; on stderr: %s", code, tt.code, stderr)
			}
			if err := tt.want(parse(t, stdout)); err != nil {
				t.Errorf("%v in %s", err, stdout)
			}
		})
	}
}

// What is asked wrongly is refused without an answer.
func TestNoJSONOfWrongQuestions(t *testing.T) {
	t.Parallel()
	dir := weightShop(t)
	for _, args := range []string{"26300-01-H --at 2026-10-26", "26300-01-H --cut loaf", "millpond --at 2027-01-01", "millpond --format svg", "millpond --pack 1", "nobody"} {
		if code, stdout, stderr := run(append([]string{"weight"}, append(strings.Fields(args), "--shop", dir, "--json")...)...); code != 2 || stdout != "" || stderr == "" {
			t.Errorf("%s: status %d, stdout %q, stderr %q", args, code, stdout, stderr)
		}
	}
}

// The findings of the answer for a program are those that a person reads.
func TestWeightFindingsAgree(t *testing.T) {
	t.Parallel()
	dir := weightShop(t)
	for _, args := range []string{"26274-02", "26274-03", "26274-04", "26300-01-H --claim 9oz", "millpond --claim 6oz"} {
		t.Run(args, func(t *testing.T) {
			all := append([]string{"weight"}, append(strings.Fields(args), "--shop", dir, "--market", "us-soap")...)
			_, stdout, _ := run(append(all, "--json")...)
			_, _, stderr := run(all...)
			var answer struct{ Findings []said }
			if err := json.Unmarshal([]byte(stdout), &answer); err != nil || len(answer.Findings) == 0 {
				t.Fatal(err, stdout)
			}
			agree(t, answer.Findings, stderr)
		})
	}
}
