package cli

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"saponym/internal/atomicfile"
	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/register"
	"saponym/internal/render/pdf"
	"saponym/internal/shop"
)

func (a *app) lot() *cobra.Command {
	format, paper, out := "text", "", ""
	cmd := &cobra.Command{
		Use:   "lot LOT|CODE",
		Short: "each batch, label run and count that a lot went into, and the recall sheet",
		Long: `lot leads from the lot of a supplier to every batch that it went into, straight or by
way of premixes, master lyes, infusions, own bars and batches that were worked again. The
code of a batch leads to that batch and all that it is part of. With --format pdf or csv
it writes the recall sheet: what was made, where each bar is, and what to do. It is no
legal advice: the authority of the place decides.`,
		Example: `  saponym lot PB-1182 --shop saponym-demo
  saponym lot PB-1182 --shop saponym-demo --format pdf`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			switch format {
			case "text", "pdf", "csv":
			default:
				return usageError{fmt.Errorf("--format is text, pdf or csv, not %q", format)}
			}
			return a.withIndex(func(folder *shop.Folder, index *register.Index, on day.Day) error {
				answer, err := compile.TraceLot(folder, index, args[0], on)
				if err != nil {
					return err
				}
				report := answer.Report()
				if format != "text" {
					file, found, err := a.writeRecall(folder, answer, format, paper, out, on)
					if err != nil {
						return err
					}
					answer.Findings = gather(answer.Findings, found)
					if file != "" {
						report += file + ": the recall sheet\n"
					}
				}
				return a.told(answer, report, answer.Findings)
			})
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&format, "format", "text", "text alone, or the recall sheet as pdf or csv beside it")
	flags.StringVar(&paper, "stock", "", "the `paper` in the printer: letter or a4 (default: that of the shop's first market)")
	flags.StringVar(&out, "out", "", "the `folder` to write to (default: out in the shop folder)")
	complete(cmd, "format", []string{"text", "pdf", "csv"})
	complete(cmd, "stock", []string{"letter", "a4"})
	return cmd
}

// writeRecall writes the recall sheet of a lot, unless it cannot be laid out.
func (a *app) writeRecall(folder *shop.Folder, lot compile.LotAnswer, format, paper, out string, on day.Day) (string, []finding.Finding, error) {
	sheet, err := lot.Recall(folder, on)
	if err != nil {
		return "", nil, err
	}
	var data []byte
	found := sheet.Check()
	if format == "csv" {
		if data, err = sheet.CSV(); err != nil {
			return "", nil, err
		}
	} else {
		markets, err := a.chosen(folder)
		if err != nil {
			return "", nil, err
		}
		document, more, err := compile.RecallPaper(sheet, paper, markets[0], on)
		if found = more; err != nil || finding.Worst(found) == finding.Stop {
			return "", found, err
		}
		if data, err = pdf.Write(document); err != nil {
			return "", nil, err
		}
	}
	if out == "" {
		out = filepath.Join(folder.Dir, "out")
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return "", nil, err
	}
	name := slug(lot.Lot)
	if name != strings.ToLower(lot.Lot) { // other lots may come to the same name
		name = strings.Trim(fmt.Sprintf("%s-%x", name, sha256.Sum256([]byte(lot.Lot)))[:len(name)+7], "-")
	}
	file := filepath.Join(out, "recall-"+name+"."+format)
	return file, found, atomicfile.Write(file, data)
}
