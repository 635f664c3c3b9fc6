package cli

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
)

func (a *app) rules() *cobra.Command {
	return &cobra.Command{
		Use:   "rules",
		Short: "the law as this version holds it",
		Long: `rules prints every rule of the chosen markets, or of all where none is chosen: what
it asks, when it holds, what to do, where it stands in the law, and whether its text
was read ("retrieved"), read in a restatement ("retrieved-secondary") or is recalled
("memory"). After them stand the rules of each place on the weight of lots. It needs no shop folder. Two versions of it can be compared line by line.`,
		Example: "  saponym rules --market eu",
		Args:    cobra.NoArgs,
		RunE:    func(*cobra.Command, []string) error { return a.runRules() },
	}
}

func (a *app) runRules() error {
	on, err := dayOr(a.on, "--on")
	if err != nil {
		return err
	}
	if err := a.knownMarkets(); err != nil {
		return err
	}
	markets := a.markets
	if len(markets) == 0 || slices.Contains(markets, allMarkets) {
		markets = compile.Markets()
	}
	rules, err := compile.Rules(markets)
	if err != nil {
		return err
	}
	if a.json {
		var all []any
		for _, r := range rules {
			all = append(all, r)
		}
		return a.answer(all, false)
	}
	for _, r := range rules {
		fmt.Fprintln(a.stdout, r.Text())
	}
	return a.notice(markets, on)
}
