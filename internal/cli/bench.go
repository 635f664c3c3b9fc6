package cli

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"saponym/internal/atomicfile"
	"saponym/internal/compile"
	"saponym/internal/finding"
	"saponym/internal/render/pdf"
)

// A benchRun is what the flags of bench ask for.
type benchRun struct {
	compile.BenchOrder
	paper, out, format string
}

func (a *app) bench() *cobra.Command {
	var r benchRun
	cmd := &cobra.Command{
		Use:   "bench FORMULA",
		Short: "the sheet to work from at the pot: weights, steps, lye cautions",
		Long: `bench works out what goes on the scale: per jug and per portion, at the size of the
formula or at another one, with the steps and the cautions that lye asks for. It
prints the sheet as text and writes it as a PDF to tick off at the pot. A formula
that a finding stops gets no weights.`,
		Example: `  saponym bench millpond --shop saponym-demo
  saponym bench clay-cliff --shop saponym-demo --mould slab --format text`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.formulas,
		RunE: func(_ *cobra.Command, args []string) error {
			r.Formula = args[0]
			return a.runBench(r)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&r.Oils, "oils", "", `another size, by the weight of the oils: "500 g"`)
	flags.StringVar(&r.Batter, "batter", "", `another size, by the weight of all that is poured: "1400 g"`)
	flags.StringVar(&r.Mould, "mould", "", "another size, by a `mould` of the shop")
	flags.StringVar(&r.paper, "stock", "", "the `paper` in the printer: letter or a4 (default: that of the shop's first market)")
	flags.StringVar(&r.out, "out", "", "the `folder` to write to (default: out in the shop folder)")
	flags.StringVar(&r.format, "format", "pdf", "pdf for the sheet beside the text, or text for the text alone")
	complete(cmd, "stock", []string{"letter", "a4"})
	complete(cmd, "format", []string{"pdf", "text"})
	return cmd
}

func (a *app) runBench(r benchRun) error {
	if r.format != "pdf" && r.format != "text" {
		return usageError{fmt.Errorf("--format is pdf or text, not %q", r.format)}
	}
	t, err := a.begin()
	if err != nil {
		return err
	}
	b, err := compile.MakeBench(t.folder, r.BenchOrder)
	if err != nil {
		return err
	}
	file := ""
	if b.Batter != nil && r.format == "pdf" {
		if file, err = a.writeBench(t, &b, r); err != nil {
			return err
		}
	}
	if a.json {
		if err := a.answer([]any{b.Answer(file)}, true); err != nil {
			return err
		}
		return stopped(b.Findings)
	}
	if b.Batter == nil {
		fmt.Fprintf(a.stdout, "%s: no weights are given; see the findings.\n", b.Formula)
	} else {
		fmt.Fprint(a.stdout, b.Sheet.Text())
	}
	if file != "" {
		fmt.Fprintf(a.stdout, "\n%s: the same to print\n", file)
	}
	a.show(b.Findings)
	return stopped(b.Findings)
}

// writeBench writes the sheet as a PDF, unless it cannot be laid out.
func (a *app) writeBench(t task, b *compile.Bench, r benchRun) (string, error) {
	document, more, err := b.Paper(r.paper, t.markets[0], t.on)
	if err != nil {
		return "", err
	}
	b.Findings = gather(b.Findings, more)
	if finding.Worst(more) == finding.Stop {
		return "", nil
	}
	data, err := pdf.Write(document)
	if err != nil {
		return "", err
	}
	if r.out == "" {
		r.out = filepath.Join(t.folder.Dir, "out")
	}
	if err := os.MkdirAll(r.out, 0o755); err != nil {
		return "", err
	}
	file := filepath.Join(r.out, b.Formula+"-bench.pdf")
	return file, atomicfile.Write(file, data)
}
