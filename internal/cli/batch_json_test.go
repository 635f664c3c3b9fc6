package cli_test

import (
	"strings"
	"testing"
)

// The contracts of the register; see json_test.go.
var (
	date  = matching(`[0-9]{4}-[0-9]{2}-[0-9]{2}`)
	code  = matching(`[0-9]{5}-[0-9]{2}-[0-9A-Z]`)
	count = func(v any) error { return whole(v) }
	dues  = list(0, object(map[string]shape{"code": code, "what": matching("record|cut|weigh|pack"), "since": date}))
	runs  = list(0, object(map[string]shape{
		"id": matching("r[0-9]+"), "date": date, "cut?": text, "market": text, "template?": text, "claim?": text, "printed": count, "used": count, "spoiled": count,
		"voided": count, "left": count, "hash?": text,
	}))
	event = map[string]shape{
		"id": matching("e[0-9]+"), "date": date, "time?": text, "what": text, "cut?": text, "count?": count, "who?": text, "method?": text, "value?": text, "limit?": text,
		"failed?": boolean, "weights?": matching("[0-9a-f]{8}"), "ref?": text, "serious?": boolean, "assumed?": boolean, "erase?": date, "note?": text, "details?": anyTexts, "corrects?": text,
	}
	stock = map[string]shape{
		"cut": text, "made": count, "on_hand": count, "withheld": count, "sold": count, "given": count, "sampled": count, "destroyed": count, "reworked": count,
		"lost": count, "returned": count, "recalled": count, "packed": count,
	}
	shown = object(map[string]shape{
		"code": code, "formula": text, "makes": matching("bars|material"), "material?": text, "made": date, "by": text, "checked_by": text, "place": text,
		"parents": list(0, text),
		"weighed": list(0, object(map[string]shape{
			"id": matching("w[0-9]+"), "material?": text, "batch?": text, "weight": orNull(matching(".+ g")), "weight_g": orNull(number), "asked_g": orNull(number),
			"lot": orNull(text), "supplier?": text, "received?": date, "expires?": date, "scale?": text, "note?": text,
		})),
		"cut":       orNull(object(map[string]shape{"date": date, "bar": count, "ends?": count, "seconds?": count})),
		"weighings": list(0, object(map[string]shape{"id": matching("g[0-9]+"), "date": date, "cut": text, "scale?": text, "bars_g": object(map[string]shape{"a": number, "b": number, "c?": number}), "trimmed": boolean})),
		"packed":    list(0, object(map[string]shape{"id": matching("p[0-9]+"), "date": date, "cut": text, "count": count})),
		"placed":    object(map[string]shape{}), "runs": runs, "events": list(0, object(event)), "corrected": list(0, text),
		"file": matching("batches/.+"), "frozen": orNull(matching("batches/.+.made.yaml")), "saponified_share": orNull(computed), "superfat_percent": orNull(number),
		"assumed": list(0, text), "open": list(0, object(map[string]shape{"name": text, "wants": matching("weight|lot|weight and lot"), "asked_g": orNull(number)})),
		"stock": object(map[string]shape{"bar?": count}), "withheld": object(map[string]shape{"bar?": count}), "balance": object(map[string]shape{"bar?": object(stock)}),
		"due": dues, "children": list(0, code), "findings": list(0, finding),
	})
	started = object(map[string]shape{
		"code": matching(`|[0-9]{5}-[0-9]{2}-[0-9A-Z]`), "formula": text, "material?": text, "made": date, "file": matching("|batches/2026/.+.yaml"),
		"frozen": matching("|batches/2026/.+.made.yaml"), "findings": list(0, finding),
	})
	batchListed = object(map[string]shape{"code": code, "formula": text, "makes": matching("bars|material"), "made": date, "on_hand": count, "sold": count, "due": dues})
	lotted      = object(map[string]shape{
		"lot": text, "bars": count, "findings": list(0, finding),
		"batches": list(1, object(map[string]shape{
			"code": code, "formula": text, "made": date, "material": text, "via": list(0, code), "bars": count, "on_hand": count, "sold": count,
			"runs": list(0, object(map[string]shape{"date": date, "market": text, "count": count})),
		})),
	})
	traced = object(map[string]shape{
		"code": code, "formula": text, "name": text, "made": date, "by": text, "cure_days": orNull(count), "superfat_percent": orNull(number),
		"lots": list(1, object(map[string]shape{
			"material": text, "name": text, "lot": orNull(text), "weight_g": orNull(number), "supplier?": text, "received?": date, "statement?": text, "batch": code, "via": list(0, code),
		})),
		"tests": list(0, object(event)), "released": orNull(object(event)), "runs": runs,
		"complaints": list(0, complaint), "complaints_per_1000_bars": orNull(number), "complaints_of_same_lots": list(0, complaint),
		"movements": list(0, object(event)), "stock": object(map[string]shape{"bar?": count}), "went_into": list(0, code),
		"keep":             list(4, object(map[string]shape{"record": text, "place": text, "until": orNull(date), "after": text, "cite": matching(".+"), "known": matching("retrieved|retrieved-secondary|memory")})),
		"serious_outcomes": list(8, text), "notice": notice, "findings": list(0, finding),
	})
	relabelled = object(map[string]shape{
		"code": code, "made": date, "on_hand": count, "withheld": count, "packed": count, "sold": count,
		"void": list(0, object(map[string]shape{"run": text, "market": text, "left": count})),
	})
	soldOf = object(map[string]shape{"formula": text, "sold": list(1, object(map[string]shape{"code": code, "cut": text, "count": count}))})
)

// complaint is an event with the days until which it has to be told.
func complaint(v any) error {
	keys := map[string]shape{"batch": code, "deadlines": list(0, object(map[string]shape{
		"place": text, "what": text, "until": date, "to": text, "with?": text, "note?": text, "cite": text, "confirmed": boolean,
	}))}
	for key, s := range event {
		keys[key] = s
	}
	return object(keys)(v)
}

// anyTexts is an object of texts under any keys.
func anyTexts(v any) error {
	m, _ := v.(map[string]any)
	for _, value := range m {
		if err := text(value); err != nil {
			return err
		}
	}
	return nil
}

// The verbs of the register, one after the other in one shop, as in a working day.
func TestJSONOfTheRegister(t *testing.T) {
	t.Parallel()
	dir := demoShop(t)
	for _, tt := range []struct {
		args []string
		code int
		want shape
	}{
		{[]string{"batch", "start", "millpond", "--made", "2026-11-26"}, 0, started},
		{[]string{"batch", "start", "heavy"}, 1, started},
		{[]string{"batch", "start", "--material", "coast-blend", "--made", "2026-11-26"}, 0, started},
		{[]string{"batch", "show", "26300-01-H"}, 0, shown},
		{[]string{"batch", "show", "26329-01-9"}, 0, shown},
		{[]string{"batch", "show", "26330-02-Q"}, 0, shown},
		{[]string{"batch", "put", "26330-01-S", "pantry-base", "900", "--lot", "0127"}, 0, shown},
		{[]string{"batch", "put", "26330-01-S", "--as-asked"}, 0, shown},
		{[]string{"batch", "put", "26330-01-S", "sodium hydroxide", "160", "--corrects", "w3"}, 1, shown},
		{[]string{"batch", "cut", "26330-01-S", "bar=10", "--ends", "2"}, 1, shown},
		{[]string{"batch", "weigh", "26300-01-H", "a=120.1", "b=119.2", "--date", "2026-11-26"}, 0, shown},
		{[]string{"batch", "run", "26300-01-H", "--printed", "4", "--market", "eu"}, 0, shown},
		{[]string{"batch", "event", "26300-01-H", "complaint", "--who", "a customer", "--detail", "onset=the same day"}, 0, shown},
		{[]string{"batch", "event", "26300-01-H", "adverse-event", "--serious"}, 0, shown},
		{[]string{"batch", "event", "millpond", "sold", "2"}, 0, soldOf},
		{[]string{"batch", "list"}, 0, list(4, batchListed)},
		{[]string{"batch", "list", "pb-1182", "millpond"}, 0, list(1, batchListed)},
		{[]string{"batch", "list", "nothing"}, 0, list(0, batchListed)},
		{[]string{"batch", "due"}, 0, dues},
		{[]string{"batch", "trace", "26300-01-H"}, 0, traced},
		{[]string{"batch", "relabel", "millpond"}, 0, list(1, relabelled)},
		{[]string{"lot", "PB-1182"}, 0, lotted},
		{[]string{"lot", "26300-01-H"}, 0, lotted},
	} {
		t.Run(strings.Join(tt.args, " "), func(t *testing.T) {
			status, stdout, stderr := run(append(tt.args, "--shop", dir, "--json")...)
			if status != tt.code || stderr != "" {
				t.Errorf("status %d, want %d; on stderr: %s", status, tt.code, stderr)
			}
			if err := tt.want(parse(t, stdout)); err != nil {
				t.Errorf("%v in %s", err, stdout)
			}
		})
	}
}
