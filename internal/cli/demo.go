package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"saponym/internal/atomicfile"
	"saponym/internal/compile"
	"saponym/internal/finding"
	"saponym/internal/shop"
)

// demoBatch is the batch code on the labels of the demo.
const demoBatch = "26330-01"

func (a *app) demo() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [DIR]",
		Short: "an invented soap shop, compiled",
		Long: `demo makes the folder of an invented soap shop (saponym-demo unless you name
another), and compiles it: label sheets to print, ingredient lists and findings.
Running it again is safe: files that are there are kept.`,
		Example: "  saponym demo",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := "saponym-demo"
			if len(args) > 0 {
				dir = args[0]
			}
			return a.runDemo(dir)
		},
	}
}

func (a *app) runDemo(dir string) error {
	// Wrong usage leaves no folder behind, so the flags are looked at first.
	if _, err := dayOr(a.on, "--on"); err != nil {
		return err
	}
	if err := a.knownMarkets(); err != nil {
		return err
	}
	written, err := shop.WriteDemo(dir)
	if err != nil {
		return err
	}
	a.shop = dir
	t, err := a.begin()
	if err != nil {
		return err
	}
	what := fmt.Sprintf("The shop folder %s was made: %s that you can read and change.", dir, plural(len(written), "file"))
	if len(written) == 0 {
		what = fmt.Sprintf("The shop folder %s was there already; its files were kept.", dir)
	}
	fmt.Fprintf(a.stdout, "%s\n\n", what)
	var found []finding.Finding
	for _, id := range t.folder.IDs() {
		of, err := a.demoFormula(t, id)
		if err != nil {
			return err
		}
		found = append(found, of...)
	}
	if err := a.demoBatches(t); err != nil {
		return err
	}
	fmt.Fprintf(a.stdout, `Print a sheet at 100 %% (no "fit to page"), cut along the marks, fold, wrap, glue.

Go on:
  saponym check hemp-field --shop %[1]s         a formula with warnings on purpose
  saponym declare hay-meadow --shop %[1]s --market eu
  saponym label hay-meadow --shop %[1]s --market us-soap --count 20
  saponym weight 26300-01-H --shop %[1]s        what its bars will weigh, and how long the net weight holds
  saponym batch show 26300-01-H --shop %[1]s    the record of a batch, from the pot to the last bar
  saponym lot PB-1182 --shop %[1]s              where a lot of oil went

In a clone of the source, say "go run ./cmd/saponym" for saponym.
saponym is no legal advice: it says what it found, and names whom to ask.
`, dir)
	return stopped(found)
}

// demoBatches draws how the bars of each batch dry, if some were weighed.
func (a *app) demoBatches(t task) error {
	for _, code := range t.folder.Codes() {
		order := compile.Order{Formula: code, Market: t.markets[0], On: t.on, Style: "as-cured"}
		w, err := compile.Weigh(t.folder, compile.WeightOrder{Order: order})
		if err != nil {
			return err
		}
		file, err := drawWeight(t, w, "pdf", "")
		if err != nil {
			return err
		}
		if file != "" {
			fmt.Fprintf(a.stdout, "batch %s\n  %-10s %s: how its bars dry, and how long the net weight holds\n\n", code, "weight", file)
		}
	}
	return nil
}

// demoFormula compiles one formula for all markets: it writes the sheets, and one
// text with the lists, the proof and the findings. On the terminal it says in a
// few lines what was made.
func (a *app) demoFormula(t task, id string) ([]finding.Finding, error) {
	out := filepath.Join(t.folder.Dir, "out")
	var lists, proofs, files strings.Builder
	var found []finding.Finding
	first := ""
	for _, m := range t.markets {
		r := run{out: out, format: "pdf", Order: compile.Order{Formula: id, Market: m, On: t.on, Style: "as-cured", Made: t.on, Batch: demoBatch}}
		d, err := compile.Declare(t.folder, r.Order)
		if err != nil {
			return nil, err
		}
		l, proof, err := a.makeLabel(t.folder, r)
		if err != nil {
			return nil, err
		}
		lists.WriteString(d.Report())
		proofs.WriteString(proof)
		found = gather(found, l.Findings)
		if first == "" {
			first = d.Text
		}
		if l.File == "" {
			fmt.Fprintf(&files, "  %-10s no label: a finding stops it\n", m)
			continue
		}
		fmt.Fprintf(&files, "  %-10s %s: %s on %s\n", m, l.File, plural(l.Labels, "band"), plural(l.Sheets, "sheet"))
	}
	b, err := compile.MakeBench(t.folder, compile.BenchOrder{Formula: id})
	if err != nil {
		return nil, err
	}
	if b.Batter != nil {
		file, err := a.writeBench(t, &b, benchRun{out: out})
		if err != nil {
			return nil, err
		}
		if file != "" {
			fmt.Fprintf(&files, "  %-10s %s: the sheet to work from\n", "bench", file)
		}
	}
	found = gather(found, b.Findings)
	text := lists.String() + proofs.String() + "\n"
	for _, f := range found {
		text += f.Text()
	}
	file := filepath.Join(out, id+".txt")
	if err := os.MkdirAll(out, 0o755); err != nil {
		return nil, err
	}
	if err := atomicfile.Write(file, []byte(text)); err != nil {
		return nil, err
	}
	fmt.Fprintf(a.stdout, "%s\n  %s\n%s  %-10s %s: lists, proof and findings (%s)\n\n", id, wrap(first, 76, "  "), files.String(), "working", file, tally(found))
	return found, nil
}

// tally counts findings by level: "2 warnings, 3 notes".
func tally(found []finding.Finding) string {
	count := map[finding.Level]int{}
	for _, f := range found {
		count[f.Level]++
	}
	var parts []string
	for _, of := range []struct {
		level finding.Level
		word  string
	}{{finding.Stop, "stop"}, {finding.Warn, "warning"}, {finding.Note, "note"}} {
		if n := count[of.level]; n > 0 {
			parts = append(parts, plural(n, of.word))
		}
	}
	if len(parts) == 0 {
		return "nothing found"
	}
	return strings.Join(parts, ", ")
}

// plural counts things: "1 sheet", "2 sheets".
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// wrap breaks a text at its spaces, so that no line is longer than width where
// that can be helped.
func wrap(text string, width int, indent string) string {
	var b strings.Builder
	length := 0
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
		case length+1+len(word) > width:
			b.WriteString("\n" + indent)
			length = 0
		default:
			b.WriteByte(' ')
			length++
		}
		b.WriteString(word)
		length += len(word)
	}
	return b.String()
}
