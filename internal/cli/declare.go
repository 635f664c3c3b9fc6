package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/market"
)

func (a *app) declare() *cobra.Command {
	var style string
	cmd := &cobra.Command{
		Use:   "declare FORMULA",
		Short: "the ingredient list, and how certain its order is",
		Long: `declare gives the ingredient list of a formula for each market, with the
allergens, and says of each step of the order whether it is certain.`,
		Example:           "  saponym declare hay-meadow --shop saponym-demo --market eu",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.formulas,
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runDeclare(cmd, args[0], style)
		},
	}
	styleFlag(cmd, &style)
	return cmd
}

// styleFlag adds the flag for the style of the list.
func styleFlag(cmd *cobra.Command, style *string) {
	cmd.Flags().StringVar(style, "style", string(market.AsCured), "as-cured: soap salts, water, glycerin; as-made: oils, water, alkali")
}

// styleOf reads the flag.
func styleOf(style string) (market.Style, error) {
	if s := market.Style(style); s == market.AsCured || s == market.AsMade {
		return s, nil
	}
	return "", usageError{fmt.Errorf("--style is as-cured or as-made, not %q", style)}
}

func (a *app) runDeclare(cmd *cobra.Command, id, styleText string) error {
	style, err := styleOf(styleText)
	if err != nil {
		return err
	}
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
	var all []declare.Declaration
	var found []finding.Finding
	for _, m := range markets {
		d, err := compile.Declare(folder, compile.Order{Formula: id, Market: m, On: on, Style: style})
		if err != nil {
			return err
		}
		all = append(all, d)
		found = gather(found, d.Findings)
	}
	if a.json {
		if err := answer(a, all, a.one(cmd)); err != nil {
			return err
		}
		return stopped(found)
	}
	for _, d := range all {
		a.printDeclaration(d)
	}
	a.show(found)
	return stopped(found)
}

// printDeclaration writes a declaration for a person: the list as it is printed,
// then each ingredient with its share and what is known of its place.
func (a *app) printDeclaration(d declare.Declaration) {
	fmt.Fprintf(a.stdout, "%s, %s, %s, on %s\n\n", d.Formula, d.Market, d.Style, d.On)
	if len(d.Ingredients) == 0 {
		fmt.Fprint(a.stdout, "  No list: see the findings.\n\n")
		return
	}
	fmt.Fprintf(a.stdout, "  %s\n\n", d.Text)
	width := 0
	for _, in := range d.Ingredients {
		width = max(width, len([]rune(in.Name)))
	}
	for _, in := range d.Ingredients {
		fmt.Fprintf(a.stdout, "  %-*s %s  %s\n", width, in.Name, percent(in.Share), place(in))
	}
	if len(d.Allergens) > 0 {
		fmt.Fprint(a.stdout, "\n  Fragrance allergens, of the driest bar:\n")
		for _, allergen := range d.Allergens {
			note := "at most the threshold: not named"
			if allergen.Printed {
				note = "named"
			}
			fmt.Fprintf(a.stdout, "  %-*s %8.4f %%  %s\n", width, allergen.Name, allergen.Percent, note)
		}
	}
	fmt.Fprintln(a.stdout)
}

func percent(p declare.Percent) string {
	return fmt.Sprintf("%7.3f %% (%.3f to %.3f)", p.Nominal, p.Low, p.High)
}

// place says in words what is known of an ingredient and the next one.
func place(in declare.Ingredient) string {
	if in.Next == nil {
		return ""
	}
	switch *in.Next {
	case declare.Certain:
		return "certainly before the next"
	case declare.CouldSwap:
		return "could swap with the next: " + in.Witness
	case declare.Unproved:
		return "order unproved"
	}
	return "in any order"
}
