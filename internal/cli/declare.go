package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/finding"
)

func (a *app) declare() *cobra.Command {
	var o compile.Order
	cmd := &cobra.Command{
		Use:   "declare FORMULA|BATCH",
		Short: "the ingredient list, and how certain its order is",
		Long: `declare gives the ingredient list of a formula for each market, with the
allergens, and says of each step of the order whether it is certain. Two markets with
a plus between them get one list that serves both, where there is one. The code of a
batch stands for its formula, by the law of the day on which it is placed on the market.`,
		Example:           "  saponym declare hay-meadow --shop saponym-demo --market eu",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.formulas,
		RunE: func(_ *cobra.Command, args []string) error {
			o.Formula = args[0]
			return a.runDeclare(o)
		},
	}
	styleFlag(cmd, &o)
	return cmd
}

// styleFlag adds the flag for the style of the list.
func styleFlag(cmd *cobra.Command, o *compile.Order) {
	styles := compile.Styles()
	cmd.Flags().StringVar((*string)(&o.Style), "style", styles[0],
		"the `style` of the list: "+strings.Join(styles, " or ")+" (soap salts, water, glycerin; or oils, water, alkali)")
	complete(cmd, "style", styles)
}

func (a *app) runDeclare(o compile.Order) error {
	t, err := a.begin()
	if err != nil {
		return err
	}
	o.On = t.on
	var all []any
	var reports strings.Builder
	var found []finding.Finding
	for _, o.Market = range t.markets {
		d, err := compile.Declare(t.folder, o)
		if err != nil {
			return err
		}
		all = append(all, d)
		reports.WriteString(d.Report())
		found = gather(found, d.Findings)
	}
	if a.json {
		if err := a.answer(all, a.one(t)); err != nil {
			return err
		}
		return stopped(found)
	}
	fmt.Fprint(a.stdout, reports.String())
	if err := a.notice(t.markets, t.on); err != nil {
		return err
	}
	a.show(found)
	return stopped(found)
}
