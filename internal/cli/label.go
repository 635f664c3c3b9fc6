package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"saponym/internal/atomicfile"
	"saponym/internal/compile"
	"saponym/internal/finding"
	"saponym/internal/render/pdf"
	"saponym/internal/render/svg"
	"saponym/internal/scene"
	"saponym/internal/shop"
)

// A labelled is the answer of label. Its JSON form is a contract.
type labelled struct {
	Formula  string            `json:"formula"`
	Market   string            `json:"market"`
	File     string            `json:"pdf"` // the file that was written; "" where a finding stopped it
	Sheets   int               `json:"sheets"`
	Labels   int               `json:"labels"`
	Duties   any               `json:"duties"`
	Notice   string            `json:"notice"`
	Findings []finding.Finding `json:"findings"`
}

// A run is what the flags of label ask for.
type run struct {
	compile.Order
	compile.Print
	made   string
	out    string
	format string
	record bool
}

func (a *app) label() *cobra.Command {
	var r run
	cmd := &cobra.Command{
		Use:   "label FORMULA|BATCH",
		Short: "bands to print, as PDF sheets, with the proof",
		Long: `label makes the paper bands of a formula for each market and puts them on sheets
to print at 100 %, with marks to cut and fold by. It measures each required word
again in the finished drawing. A formula that a finding stops gets no file.`,
		Example: `  saponym label hay-meadow --shop saponym-demo --market us-soap
  saponym label millpond --shop saponym-demo --market eu --batch 26330-01 --count 20 --stock a4`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.formulas,
		RunE: func(cmd *cobra.Command, args []string) error {
			r.Formula = args[0]
			return a.runLabel(cmd, r)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&r.Cut, "cut", "", "the `cut` of the formula (default: its first)")
	flags.StringVar(&r.Batch, "batch", "", "the batch `code` to print")
	flags.StringVar(&r.made, "made", "", "the `day` the batch was made, from which durability counts (default: the day of --on)")
	flags.StringVar(&r.Template, "template", compile.DefaultTemplate, "the label `template`")
	flags.StringVar(&r.Look, "look", compile.DefaultLook, "the `look` of the label")
	flags.StringVar(&r.Colourway, "colourway", "", "the `colourway` of the look (default: its first)")
	flags.StringVar(&r.Paper, "stock", "", "the `paper` in the printer: letter or a4 (default: letter for the US, a4 elsewhere)")
	flags.IntVar(&r.Start, "start", 0, "the first `place` to use on the first sheet, from 0")
	flags.IntVar(&r.Count, "count", 0, "how `many` bands (default: the bars of the cut)")
	flags.StringVar(&r.out, "out", "", "the `folder` to write to (default: out in the shop folder)")
	flags.StringVar(&r.format, "format", "pdf", "pdf for sheets, or svg for one band")
	flags.BoolVar(&r.record, "record", false, "write the printing into the record of the batch")
	styleFlag(cmd, &r.Order)
	complete(cmd, "template", []string{compile.DefaultTemplate})
	complete(cmd, "look", []string{compile.DefaultLook})
	complete(cmd, "stock", []string{"letter", "a4"})
	complete(cmd, "format", []string{"pdf", "svg"})
	return cmd
}

func (a *app) runLabel(cmd *cobra.Command, r run) error {
	if r.format != "pdf" && r.format != "svg" {
		return usageError{fmt.Errorf("--format is pdf or svg, not %q", r.format)}
	}
	if r.Count < 0 || cmd.Flags().Changed("count") && r.Count == 0 {
		return usageError{fmt.Errorf("--count is a number of bands, not %d", r.Count)}
	}
	if batch := r.Batch; cmd.Flags().Changed("batch") && !isCode(batch) {
		return usageError{fmt.Errorf("--batch is the code of a batch, such as 26330-01, not %q", batch)}
	}
	t, err := a.begin()
	if err != nil {
		return err
	}
	r.On = t.on
	if r.made != "" {
		if r.Made, err = dayOr(r.made, "--made"); err != nil {
			return err
		}
	}
	if r.out == "" {
		r.out = filepath.Join(t.folder.Dir, "out")
	}
	var all []any
	var reports []string
	var found []finding.Finding
	for _, r.Market = range t.markets {
		l, report, err := a.makeLabel(t.folder, r)
		if err != nil {
			return err
		}
		all = append(all, l)
		reports = append(reports, report)
		found = gather(found, l.Findings)
	}
	if a.json {
		if err := a.answer(all, a.one(t)); err != nil {
			return err
		}
		return stopped(found)
	}
	fmt.Fprint(a.stdout, strings.Join(reports, ""))
	if err := a.notice(t.markets, t.on); err != nil {
		return err
	}
	a.show(found)
	return stopped(found)
}

// isCode reports whether a text can stand on a label as the code of a batch: it is
// in one piece, and it is there.
func isCode(batch string) bool {
	return batch != "" && !strings.ContainsFunc(batch, func(r rune) bool { return unicode.IsSpace(r) || !unicode.IsPrint(r) })
}

// makeLabel compiles one label and writes its file, unless a finding stops it.
func (a *app) makeLabel(folder *shop.Folder, r run) (labelled, string, error) {
	l, err := compile.Band(folder, r.Order)
	if err != nil {
		return labelled{}, "", err
	}
	notice, err := compile.Notice([]string{r.Market}, r.On)
	if err != nil {
		return labelled{}, "", err
	}
	answer := labelled{Formula: l.Declaration.Formula, Market: r.Market, Duties: []any{}, Notice: notice, Findings: l.Findings}
	parts := []string{answer.Formula, l.Cut.Name.V, r.Market}
	if r.record && l.Recorded != "" {
		parts = append(parts, l.Recorded) // what went into a record stays beside later printings
	}
	file := filepath.Join(r.out, strings.Join(parts, "-")+"."+r.format)
	if l.Band == nil {
		return answer, stoppedReport(answer, file), nil
	}
	var data []byte
	if r.format == "svg" {
		answer.Labels = 1
		data, err = svg.Write(l.Band.Scene, svg.Options{Title: l.Title()})
	} else {
		var document scene.Document
		var more []finding.Finding
		if document, more, err = compile.Sheet(l, folder.Shop.Maker.Name.V, r.Print); err != nil {
			return labelled{}, "", err
		}
		answer.Findings = gather(answer.Findings, more)
		if finding.Worst(more) == finding.Stop {
			return answer, stoppedReport(answer, file), nil
		}
		answer.Labels, answer.Sheets = compile.Printed(document)
		data, err = pdf.Write(document)
	}
	if err != nil {
		return labelled{}, "", err
	}
	if err := os.MkdirAll(r.out, 0o755); err != nil {
		return labelled{}, "", err
	}
	if err := atomicfile.Write(file, data); err != nil {
		return labelled{}, "", err
	}
	answer.File, answer.Duties = file, l.Proof
	if r.record {
		if err := compile.RecordRun(folder, l, answer.Labels, data, r.On); err != nil {
			return labelled{}, "", a.refused(err)
		}
	}
	made := fmt.Sprintf("%s: %s", file, plural(answer.Labels, "band"))
	if answer.Sheets > 0 {
		made += " on " + plural(answer.Sheets, "sheet")
	}
	return answer, made + "\n" + l.Proven(), nil
}

// stoppedReport says that there is no label, and warns of an older one that a
// finding would stop today.
func stoppedReport(l labelled, file string) string {
	report := fmt.Sprintf("%s, %s: no label was made; see the findings.\n", l.Formula, l.Market)
	if _, err := os.Stat(file); err == nil {
		report += fmt.Sprintf("  %s is older: do not print it.\n", file)
	}
	return report
}
