package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"saponym/internal/check"
	"saponym/internal/compile"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/shop"
)

// A checked is the answer of check for one formula. Its JSON form is a contract.
type checked struct {
	Formula  string                   `json:"formula"`
	Markets  map[string]marketVerdict `json:"markets"`
	Findings []finding.Finding        `json:"findings"`
}

type marketVerdict struct {
	Class   string        `json:"class"`
	Verdict check.Verdict `json:"verdict"`
}

func (a *app) check() *cobra.Command {
	return &cobra.Command{
		Use:   "check [FORMULA…]",
		Short: "all findings for all chosen markets",
		Long: `check compiles each formula for each market, up to the finished band of each of
its cuts, and gives all that was found. A formula that nothing was found about is
not thereby lawful: ask the authority, or your safety assessor.`,
		Example:           "  saponym check hemp-field --shop saponym-demo",
		ValidArgsFunction: a.formulas,
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runCheck(args)
		},
	}
}

func (a *app) runCheck(ids []string) error {
	on, err := a.day()
	if err != nil {
		return err
	}
	folder, err := a.open()
	if err != nil {
		return err
	}
	markets, err := a.chosen(folder)
	if err != nil {
		return err
	}
	one := len(ids) == 1
	if len(ids) == 0 {
		if broken := folder.Broken(); len(broken) > 0 {
			return broken[0]
		}
		ids = folder.IDs()
	}
	var all []checked
	var found []finding.Finding
	for _, id := range ids {
		c := checked{Markets: map[string]marketVerdict{}, Findings: []finding.Finding{}}
		for _, m := range markets {
			o := compile.Order{Formula: id, Market: m, On: on, Style: market.AsCured, Made: on, Batch: "(batch)"}
			labels, err := everyCut(folder, o)
			if err != nil {
				return err
			}
			var here []finding.Finding
			for _, l := range labels {
				here = gather(here, l.Findings)
			}
			c.Formula = labels[0].Declaration.Formula
			c.Markets[m] = marketVerdict{labels[0].Law.Class, check.Judge(here)}
			c.Findings = gather(c.Findings, here)
		}
		all = append(all, c)
		found = append(found, c.Findings...)
	}
	if a.json {
		if err := answer(a, all, one); err != nil {
			return err
		}
		return stopped(found)
	}
	for _, c := range all {
		for _, m := range markets {
			v := c.Markets[m]
			fmt.Fprintf(a.stdout, "%-20s %-12s %-10s %s\n", c.Formula, m, v.Class, v.Verdict)
		}
	}
	a.show(found)
	return stopped(found)
}

// everyCut makes the label of each cut of a formula.
func everyCut(folder *shop.Folder, o compile.Order) ([]compile.Label, error) {
	doc, err := folder.Formula(o.Formula)
	if err != nil {
		return nil, err
	}
	names := []string{""}
	for i, c := range doc.Cuts {
		if i == 0 {
			names = nil
		}
		names = append(names, c.Name.V)
	}
	var labels []compile.Label
	for _, name := range names {
		o.Cut = name
		l, err := compile.Band(folder, o)
		if err != nil {
			return nil, err
		}
		labels = append(labels, l)
	}
	return labels, nil
}
