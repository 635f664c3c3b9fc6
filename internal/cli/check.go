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
		Use:   "check [FORMULA|BATCH…]",
		Short: "all findings for all chosen markets",
		Long: `check compiles each formula for each market, up to the finished band of each of
its cuts, and gives all that was found: a table of products and markets, then the
findings, the worst first, those with one remedy together. A batch is judged by the
day on which it is first placed on a market, a formula by that of --on; what the law
will ask while the bars are sold is told, too. A formula that nothing was found about
is not thereby lawful: ask the authority, or your safety assessor.`,
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
	var rows []compile.Checked
	var found []finding.Finding
	for _, id := range ids {
		c, err := compile.Check(t.folder, compile.Order{Formula: id, On: t.on}, t.markets)
		if err != nil {
			return err
		}
		all, rows = append(all, c), append(rows, c)
		found = append(found, c.Findings...)
	}
	if a.json {
		if err := a.answer(all, one); err != nil {
			return err
		}
		return cmp.Or(broken, stopped(found))
	}
	fmt.Fprint(a.stdout, compile.Matrix(rows, t.markets))
	fmt.Fprint(a.stderr, compile.ByRemedy(found))
	if len(rows) > 0 {
		if err := a.notice(t.markets, t.on); err != nil {
			return err
		}
	}
	return cmp.Or(broken, stopped(found))
}
