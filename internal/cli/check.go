package cli

import (
	"cmp"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/finding"
)

func (a *app) check() *cobra.Command {
	return &cobra.Command{
		Use:   "check [FORMULA…]",
		Short: "all findings for all chosen markets",
		Long: `check compiles each formula for each market, up to the finished band of each of
its cuts, and gives all that was found. A formula that nothing was found about is
not thereby lawful: ask the authority, or your safety assessor.`,
		Example:           "  saponym check hemp-field --shop saponym-demo",
		ValidArgsFunction: a.formulas,
		RunE:              func(_ *cobra.Command, args []string) error { return a.runCheck(args) },
	}
}

func (a *app) runCheck(ids []string) error {
	t, err := a.begin()
	if err != nil {
		return err
	}
	one := len(ids) == 1
	var broken error
	if len(ids) == 0 {
		ids = t.folder.IDs()
		broken = errors.Join(t.folder.Broken()...)
	}
	var all []any
	var table []string
	ask := map[string]string{} // by market
	var found []finding.Finding
	for _, id := range ids {
		c, err := compile.Check(t.folder, compile.Order{Formula: id, On: t.on}, t.markets)
		if err != nil {
			return err
		}
		all = append(all, c)
		found = append(found, c.Findings...)
		for _, m := range t.markets {
			ask[m] = c.Markets[m].Ask
			table = append(table, fmt.Sprintf("%-24s %-12s %-10s %s", c.Formula, m, c.Markets[m].Class, c.Markets[m].Verdict))
		}
	}
	if a.json {
		if err := a.answer(all, one); err != nil {
			return err
		}
		return cmp.Or(broken, stopped(found))
	}
	for _, line := range table {
		fmt.Fprintln(a.stdout, line)
	}
	a.show(found)
	for _, m := range t.markets {
		if len(all) > 0 {
			fmt.Fprintf(a.stderr, "This is no legal advice. For %s, ask %s.\n", m, ask[m])
		}
	}
	return cmp.Or(broken, stopped(found))
}
