package cli_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saponym/internal/cli"
	"saponym/internal/shop"
)

// A shape says what a JSON value must be.
type shape func(v any) error

func text(v any) error {
	if _, ok := v.(string); !ok {
		return fmt.Errorf("%v is no text", v)
	}
	return nil
}

func boolean(v any) error {
	if _, ok := v.(bool); !ok {
		return fmt.Errorf("%v is neither true nor false", v)
	}
	return nil
}

func number(v any) error {
	if _, ok := v.(json.Number); !ok {
		return fmt.Errorf("%v is no number", v)
	}
	return nil
}

func whole(v any) error {
	if n, ok := v.(json.Number); !ok || strings.ContainsAny(n.String(), ".eE") {
		return fmt.Errorf("%v is no whole number", v)
	}
	return nil
}

// computed is a number that was not rounded: one with nine digits or more.
func computed(v any) error {
	n, ok := v.(json.Number)
	if !ok {
		return fmt.Errorf("%v is no number", v)
	}
	mantissa, _, _ := strings.Cut(n.String(), "e")
	if digits := strings.TrimLeft(strings.ReplaceAll(mantissa, ".", ""), "0"); len(digits) < 9 {
		return fmt.Errorf("%v has %d digits", v, len(digits))
	}
	return nil
}

// assumed is a computed number, or a round one that an assumption gives.
func assumed(v any) error {
	if n, ok := v.(json.Number); ok && slices.Contains([]string{"2", "10", "20"}, n.String()) {
		return nil
	}
	return computed(v)
}

func matching(pattern string) shape {
	re := regexp.MustCompile("^(" + pattern + ")$")
	return func(v any) error {
		if s, ok := v.(string); !ok || !re.MatchString(s) {
			return fmt.Errorf("%v is not of the form %s", v, pattern)
		}
		return nil
	}
}

func orNull(s shape) shape {
	return func(v any) error {
		if v == nil {
			return nil
		}
		return s(v)
	}
}

// list is a list, of which at least so many are there; never null.
func list(least int, of shape) shape {
	return func(v any) error {
		all, ok := v.([]any)
		if !ok || len(all) < least {
			return fmt.Errorf("%v is no list of at least %d", v, least)
		}
		for i, v := range all {
			if err := of(v); err != nil {
				return fmt.Errorf("[%d]: %w", i, err)
			}
		}
		return nil
	}
}

// object has these keys and no others; a key that ends in "?" may be missing.
func object(keys map[string]shape) shape {
	return func(v any) error {
		m, ok := v.(map[string]any)
		if !ok {
			return fmt.Errorf("%v is no object", v)
		}
		known := map[string]bool{}
		for _, key := range slices.Sorted(maps.Keys(keys)) {
			name, optional := strings.CutSuffix(key, "?")
			known[name] = true
			value, there := m[name]
			if !there && !optional {
				return fmt.Errorf("the key %q is missing", name)
			}
			if there {
				if err := keys[key](value); err != nil {
					return fmt.Errorf("%s: %w", name, err)
				}
			}
		}
		for key := range m {
			if !known[key] {
				return fmt.Errorf("the key %q is no part of the contract", key)
			}
		}
		return nil
	}
}

// rule is the id of a rule set.
const rule = "(us-soap|us-cosmetic|eu|uk|ca|au|nz)"

// The contracts. A key that is added to an answer is added here too, and none is
// ever taken away.
var (
	markets = matching(rule + `(\+` + rule + ")*")
	finding = object(map[string]shape{
		"level": matching("stop|warn|note"), "rule": matching("[A-Z]+(-[A-Z]+)*(-[0-9]{2})?"), "message": matching("(?s).+"),
		"at": matching(`|[^:]+(:\d+(:\d+)?)?`), "cite": text, "remedy": text, "market": matching("|" + rule + `(\+` + rule + ")*"),
	})
	notice   = matching("(?s)This is no legal advice.* 2026-11-26 .*ask .+")
	percent  = map[string]shape{"low": computed, "nominal": computed, "high": computed}
	declared = object(map[string]shape{
		"formula": text, "market": markets, "on": matching("2026-11-26"), "placed?": matching("2026-07-31"), "style": matching("as-cured|as-made"), "text": text,
		"ingredients": list(0, ingredient),
		"allergens":   list(0, object(map[string]shape{"name": text, "percent": computed, "printed": boolean})),
		"soap_share?": object(map[string]shape{"soap_g": computed, "non_volatile_g": computed, "scent_g": number, "low_percent": computed, "high_percent": computed}),
		"notice":      notice,
		"findings":    list(0, finding),
	})
	benched = object(map[string]shape{
		"formula": text, "oils_g": orNull(number), "water_g": orNull(computed), "superfat_percent": orNull(number), "superfat_range_percent": orNull(object(map[string]shape{"low": number, "high": number})), "saponified_share": orNull(number),
		"lye_strength_percent": orNull(number), "pdf": text,
		"alkali":   list(0, object(map[string]shape{"name": matching("sodium hydroxide|potassium hydroxide"), "pure_g": orNull(computed), "weigh_g": orNull(computed), "solution?": text})),
		"weights":  list(0, object(map[string]shape{"ref": text, "name": text, "weigh_g": number, "when": matching("pot|lye|oils|trace|after|top"), "portion?": text})),
		"portions": list(0, object(map[string]shape{"name": text, "share": number, "batter_g": number})),
		"bar": orNull(object(map[string]shape{
			"soap_g": computed, "glycerol_g": computed, "water_g": computed, "leftover_oil_g": number, "unsaponifiable_g": number,
			"salts_g": number, "other_g": number, "total_g": number,
		})),
		"findings": list(0, finding),
	})
	trailed = object(map[string]shape{
		"word": text, "market": markets, "share_percent": object(percent), "grams": computed, "bar_g": computed,
		"steps": list(1, object(map[string]shape{
			"from": matching("(pot|add|lye|base).*"), "name": text, "grams": number, "part": text,
			"share":   object(map[string]shape{"low": number, "nominal": number, "high": number}),
			"becomes": text, "working": matching(".*=.*g"), "gives_g": computed, "statement": text, "lot": text, "at": matching("[a-z/-]+.yaml:[0-9]+:[0-9]+"),
		})),
		"notice":   notice,
		"findings": list(0, finding),
	})
	labelled = object(map[string]shape{
		"formula": text, "market": markets, "pdf": text, "sheets": whole, "labels": whole,
		"duties": list(0, object(map[string]shape{
			"id": matching("[a-z]+(-[a-z]+)*"), "text": text, "letter_mm": number, "required_mm": number, "x_mm": number, "y_mm": number, "cite": text,
		})),
		"notice":   notice,
		"findings": list(0, finding),
	})
	inMarket = object(map[string]shape{
		"class": matching("soap|cosmetic"), "class_because": text, "verdict": matching("stop|warn|nothing-found"), "rules_of": matching("2026-11-26"), "ask": matching(".+"),
	})
	checked = object(map[string]shape{
		"formula": text, "batch?": matching(".+"), "notice": notice, "findings": list(0, finding),
		"markets": object(map[string]shape{"us-soap?": inMarket, "us-cosmetic?": inMarket, "eu?": inMarket, "uk?": inMarket, "ca?": inMarket, "au?": inMarket, "nz?": inMarket}),
	})
	ruled = object(map[string]shape{
		"id": matching("[A-Z]+(-[A-Z]+)+-[0-9]{2}"), "market": matching("|" + rule), "kind": matching("[a-z]+(-[a-z]+)*"), "level": matching("stop|warn|note"),
		"since": orNull(matching(`[0-9]{4}-[0-9]{2}-[0-9]{2}`)), "until": orNull(matching(`[0-9]{4}-[0-9]{2}-[0-9]{2}`)), "by": matching("placed|made available|product first sold"),
		"condition": text, "message": matching("(?s).+"), "remedy": text, "cite": matching(".+"), "known": matching("retrieved|retrieved-secondary|memory"), "entries": list(0, text),
	})
)

// ingredient is one of a declaration. The water left is the one share that is
// assumed and not computed.
func ingredient(v any) error {
	share := object(percent)
	if m, ok := v.(map[string]any); ok && slices.Contains([]any{"Water", "Aqua", "Aqua/Water/Eau"}, m["name"]) {
		share = object(map[string]shape{"low": assumed, "nominal": assumed, "high": assumed})
	}
	return object(map[string]shape{
		"name": text, "share_percent": share,
		"rank": object(map[string]shape{"earliest": whole, "latest": whole}),
		"zone": matching("ordered|any-order|colourant"), "against_line?": matching("above|below|undecided"), "order_with_next": orNull(matching("certain|could-swap|unproved|free")),
		"witness?": text, "settled_by?": text, "assumes?": text, "from": list(1, text),
	})(v)
}

// demoShop makes the demo's folder with a formula that a stop holds back.
func demoShop(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if _, err := shop.WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	heavy := `name: Heavy
identity: soap
pot: [{material: olive-oil, weight: 1000 g}]
lye: {alkali: sodium hydroxide, purity: 98%, weight: 150 g, water: {per_lye: 2}}
cuts: {bar: {count: 8, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}
keep: {durability: 24 months}
`
	if err := os.WriteFile(filepath.Join(dir, "formulas", "heavy.yaml"), []byte(heavy), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// run runs the program within this process, on a fixed day.
func run(args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = cli.Main(append(args, "--on", "2026-11-26"), strings.NewReader(""), &out, &errs)
	return code, out.String(), errs.String()
}

// parse reads one JSON value with nothing after it, and keeps numbers as typed.
func parse(t *testing.T, text string) any {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	if _, err := d.Token(); err != io.EOF {
		t.Fatalf("something follows the answer: %s", text)
	}
	return v
}

// One market that is named gives an object; several, all or none give a list.
func TestJSONContracts(t *testing.T) {
	t.Parallel()
	dir := demoShop(t)
	for _, tt := range []struct {
		args string
		code int
		want shape
	}{
		{"declare hay-meadow --market eu", 0, declared},
		{"declare hay-meadow --market us-soap --style as-made", 0, declared},
		{"declare hay-meadow --market us-soap,eu", 0, list(2, declared)},
		{"declare hay-meadow --market eu --market us-soap", 0, list(2, declared)},
		{"declare hay-meadow --market all", 0, list(7, declared)},
		{"declare hay-meadow --market eu+us-cosmetic", 0, declared},
		{"declare 26300-01-H --market eu", 0, declared},
		{"declare hay-meadow", 0, list(2, declared)},
		{"declare clay-cliff --market eu", 0, declared},
		{"declare heavy --market eu", 1, declared},
		{"label hay-meadow --market us-soap", 0, labelled},
		{"label hay-meadow --market eu --batch 26330-01", 0, labelled},
		{"label hay-meadow --market us-soap --format svg", 0, labelled},
		{"label hay-meadow --market eu", 1, labelled}, // no batch
		{"label hay-meadow --market all --batch 26330-01", 0, list(7, labelled)},
		{"label hay-meadow --batch 26330-01", 0, list(2, labelled)},
		{"label heavy --market us-soap", 1, labelled},
		{"trail hay-meadow Glycerin --market eu", 0, trailed},
		{"trail hay-meadow linalool --market eu", 0, trailed},
		{"trail driftwood Glycerin", 0, list(2, trailed)},
		{"bench hay-meadow", 0, benched},
		{"bench two-tides --mould slab --format text", 0, benched},
		{"bench patchwork --stock a4", 0, benched},
		{"bench heavy", 1, benched},
		{"check hay-meadow", 0, checked},
		{"check hay-meadow --market eu", 0, checked},
		{"check hay-meadow hemp-field", 0, list(2, checked)},
		{"check heavy", 1, checked},
		{"check", 1, list(8, checked)},
		{"check 26300-01-H --market all", 1, checked}, // no identity in French
		{"rules", 0, list(120, ruled)},
		{"rules --market uk", 0, list(15, ruled)},
	} {
		t.Run(tt.args, func(t *testing.T) {
			code, stdout, stderr := run(append(strings.Fields(tt.args), "--shop", dir, "--json")...)
			if code != tt.code || stderr != "" {
				t.Errorf("status %d, want %d; on stderr: %s", code, tt.code, stderr)
			}
			if err := tt.want(parse(t, stdout)); err != nil {
				t.Error(err)
			}
		})
	}
}

// A shop without formulas has an answer too: a list of none.
func TestJSONOfNothing(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "shop.yaml"), []byte("maker: {name: Tern}\nmarkets: [eu]\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, stdout, stderr := run("check", "--json", "--shop", dir); code != 0 || stdout != "[]\n" {
		t.Errorf("status %d, %q, %q", code, stdout, stderr)
	}
}

// A list stays a list where the shop has one market or one formula only: who
// reads it need not know how many there are.
func TestJSONOfOne(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "formulas"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"shop.yaml": "maker: {name: Tern, address: [\"12 Ropewalk, Sallow Bay, ME 04999, USA\"]}\nmarkets: [us-soap]\n",
		"formulas/plain.yaml": `name: Plain
identity: soap
pot: [{material: olive-oil, weight: 1000 g}]
lye: {alkali: sodium hydroxide, purity: 98%, superfat: 6%, water: {per_lye: 2}}
cuts: {bar: {count: 8, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}
`,
	} {
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, tt := range []struct {
		args string
		want shape
	}{
		{"declare plain", list(1, declared)},
		{"declare plain --market us-soap", declared},
		{"label plain", list(1, labelled)},
		{"label plain --market us-soap", labelled},
		{"check", list(1, checked)},
		{"check plain", checked},
	} {
		if code, stdout, stderr := run(append(strings.Fields(tt.args), "--shop", dir, "--json")...); code != 0 || tt.want(parse(t, stdout)) != nil {
			t.Errorf("%s: status %d, %v in %s%s", tt.args, code, tt.want(parse(t, stdout)), stdout, stderr)
		}
	}
}

// What the findings of an answer are, for comparing.
type said struct{ Level, Rule, Message, At, Cite, Remedy, Market string }

var findingLine = regexp.MustCompile(`(?m)^(\S.*: )?(stop|warn|note) \[[A-Z0-9-]+\] `)

// agree compares the findings of a JSON answer with those on stderr in text.
func agree(t *testing.T, findings []said, stderr string) {
	t.Helper()
	lines := map[string]bool{}
	for _, f := range findings {
		line := fmt.Sprintf("%s [%s] %s\n", f.Level, f.Rule, f.Message)
		if f.At != "" {
			line = f.At + ": " + line
		}
		lines[line] = true
		for _, more := range []string{line, "    do: " + f.Remedy + "\n", "    see: " + f.Cite + "\n"} {
			if !strings.Contains(stderr, more) && !strings.HasSuffix(more, ": \n") {
				t.Errorf("the text lacks %q", more)
			}
		}
	}
	if got := len(findingLine.FindAllString(stderr, -1)); got != len(lines) {
		t.Errorf("the text has %d findings, and JSON %d", got, len(lines))
	}
}

// alike compares the findings of a JSON answer with those of check in text, where what
// is said alike of several markets or places is said once.
func alike(t *testing.T, findings []said, stderr string) {
	t.Helper()
	type telling struct{ level, rule, message string }
	told := map[telling]bool{}
	for _, f := range findings {
		told[telling{f.Level, f.Rule, f.Message}] = true
		line := regexp.MustCompile(`(?m)^(\S+: )?` + regexp.QuoteMeta(fmt.Sprintf("%s [%s] %s", f.Level, f.Rule, f.Message)) + `( \(.*\b` + regexp.QuoteMeta(f.Market) + `\b.*\))?$`)
		for _, more := range []string{f.At, f.Cite, "    do: " + f.Remedy + "\n"} {
			if !line.MatchString(stderr) || !strings.Contains(stderr, more) && more != "    do: \n" {
				t.Errorf("the text lacks %s, or its %q", line, more)
			}
		}
	}
	if got := len(findingLine.FindAllString(stderr, -1)); got != len(told) {
		t.Errorf("the text tells %d findings, and JSON has %d", got, len(told))
	}
	if last := strings.LastIndex(stderr, ": note ["); last >= 0 && strings.Contains(stderr[last:], "stop [") {
		t.Error("a stop follows a note")
	}
}

// rows gives the rows of the table of check, without their gaps.
func rows(stdout string) [][]string {
	var table [][]string
	for line := range strings.Lines(stdout) {
		if line == "\n" {
			break
		}
		table = append(table, regexp.MustCompile(`  +`).Split(strings.TrimSpace(line), -1))
	}
	return table
}

// both runs a command once for each form of answer.
func both(t *testing.T, answer any, args ...string) (stdout, stderr string) {
	t.Helper()
	codeText, stdout, stderr := run(args...)
	codeJSON, encoded, _ := run(append(args, "--json")...)
	if codeText != codeJSON {
		t.Errorf("status %d in text, %d in JSON", codeText, codeJSON)
	}
	if err := json.Unmarshal([]byte(encoded), answer); err != nil {
		t.Fatal(err)
	}
	return stdout, stderr
}

// Text and JSON say the same.
func TestTextAndJSONAgree(t *testing.T) {
	t.Parallel()
	dir := demoShop(t)
	entries, err := os.ReadDir(filepath.Join(dir, "formulas"))
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		id := strings.TrimSuffix(entry.Name(), ".yaml")
		for _, market := range []string{"us-soap", "eu"} {
			t.Run("declare "+id+" "+market, func(t *testing.T) {
				var d struct {
					Text        string
					Ingredients []struct {
						Name  string
						Share struct{ Low, Nominal, High float64 } `json:"share_percent"`
					}
					Allergens []struct {
						Name    string
						Percent float64
						Printed bool
					}
					Findings []said
				}
				stdout, stderr := both(t, &d, "declare", id, "--shop", dir, "--market", market)
				agree(t, d.Findings, stderr)
				if d.Text != "" && !strings.Contains(stdout, "\n  "+d.Text+"\n") {
					t.Errorf("the text lacks the list %q", d.Text)
				}
				var names []string
				for _, in := range d.Ingredients {
					names = append(names, in.Name)
					line := regexp.QuoteMeta(in.Name) + fmt.Sprintf(` +%.3f %% \(%.3f to %.3f\)`, in.Share.Nominal, in.Share.Low, in.Share.High)
					if !regexp.MustCompile(line).MatchString(stdout) {
						t.Errorf("the text lacks %s", line)
					}
				}
				if joined := strings.Join(names, ", "); joined != d.Text {
					t.Errorf("the list is %q, and its names are %q", d.Text, joined)
				}
				for _, a := range d.Allergens {
					line := regexp.QuoteMeta(a.Name) + fmt.Sprintf(` +%.4f %%  (not above the threshold: not )?named`, a.Percent)
					found := regexp.MustCompile(line).FindString(stdout)
					if found == "" || strings.Contains(found, "not named") == a.Printed {
						t.Errorf("the text says %q of %+v", found, a)
					}
				}
			})
			t.Run("label "+id+" "+market, func(t *testing.T) {
				var l struct {
					PDF            string
					Sheets, Labels int
					Duties         []struct {
						ID       string
						Letter   float64 `json:"letter_mm"`
						Required float64 `json:"required_mm"`
						Cite     string
					}
					Findings []said
				}
				stdout, stderr := both(t, &l, "label", id, "--shop", dir, "--market", market, "--batch", "26330-01")
				agree(t, l.Findings, stderr)
				_, err := os.Stat(filepath.Join(dir, "out", id+"-bar-"+market+".pdf"))
				if made := l.PDF != ""; made != (err == nil) || made != (len(l.Duties) > 0) || made != (l.Labels > 0) || made == strings.Contains(stdout, "no label was made") {
					t.Errorf("file %q, %d duties, %d labels, %v, and the text says %s", l.PDF, len(l.Duties), l.Labels, err, stdout)
				}
				if l.PDF != "" && !strings.HasPrefix(stdout, l.PDF+": "+strconv.Itoa(l.Labels)+" bands on "+strconv.Itoa(l.Sheets)+" sheet") {
					t.Errorf("the text begins otherwise than %+v: %s", l, stdout)
				}
				proof, notice, _ := strings.Cut(stdout, "This is no legal advice.")
				if !strings.Contains(notice, "\nFor "+market+", ask ") {
					t.Errorf("the text does not say whom to ask: %s", stdout)
				}
				lines := strings.Split(strings.TrimSpace(proof), "\n")[1:]
				if len(lines) != len(l.Duties) {
					t.Fatalf("%d lines of proof, and %d duties", len(lines), len(l.Duties))
				}
				for i, d := range l.Duties {
					asked := "no height asked"
					if d.Required > 0 {
						asked = fmt.Sprintf("at least %.2f", d.Required)
					}
					if !strings.HasPrefix(strings.TrimSpace(lines[i]), d.ID+" ") || !strings.Contains(lines[i], fmt.Sprintf("%.2f mm (%s)", d.Letter, asked)) || !strings.HasSuffix(lines[i], d.Cite) {
						t.Errorf("line %q, want %+v", lines[i], d)
					}
				}
			})
		}
		t.Run("check "+id, func(t *testing.T) {
			var c struct {
				Markets map[string]struct {
					Class, Verdict string
					Because        string `json:"class_because"`
				}
				Findings []said
			}
			stdout, stderr := both(t, &c, "check", id, "--shop", dir)
			alike(t, c.Findings, stderr)
			table := rows(stdout)
			for market, m := range c.Markets {
				var worst string
				for _, level := range []string{"stop", "warn"} {
					if worst == "" && slices.ContainsFunc(c.Findings, func(f said) bool { return f.Level == level && (f.Market == "" || f.Market == market) }) {
						worst = level
					}
				}
				if worst == "" {
					worst = "nothing-found"
				}
				if m.Verdict != worst {
					t.Errorf("%s: the verdict is %s, and the findings say %s", market, m.Verdict, worst)
				}
				if since := fmt.Sprintf("\n  %s: %s, since %s.\n", market, m.Class, m.Because); m.Because != "" && !strings.Contains(stdout, since) {
					t.Errorf("the text lacks %q", since)
				}
				at := slices.Index(table[0], market)
				if at < 0 || table[1][at] != "("+m.Class+")" || table[2][at+1] != strings.ReplaceAll(m.Verdict, "-", " ") {
					t.Errorf("%s: the table says otherwise than %+v: %q", market, m, table)
				}
			}
			if table[2][0] != id || len(table[0]) != len(c.Markets) {
				t.Errorf("the table is %q", table)
			}
		})
	}
}
