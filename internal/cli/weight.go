package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/finding"
)

// A weightRun is what the flags of weight ask for.
type weightRun struct {
	compile.WeightOrder
	at, out, format string
}

func (a *app) weight() *cobra.Command {
	var r weightRun
	cmd := &cobra.Command{
		Use:   "weight BATCH|FORMULA",
		Short: "what bars will weigh, and how long a net weight holds",
		Long: `weight follows the drying of a batch by the weighings in its record: what its bars will
weigh on a day, with what is sure of it; whether the net weight that the product claims
holds until the last of them is sold, and if not, what can be done; the largest net
weight that can be claimed; and the test of a lot by the law of each market. Of a
formula it tells how heavy its bars must be cut for a claim to hold, and how its batches
stand to it.

It asks for at least three days of weighing over a week or more. Weigh the same marked
bars each time: saponym batch weigh CODE a=131.2 b=129.8 c=130.5`,
		Example: `  saponym weight 26300-01-H --shop saponym-demo --market us-soap
  saponym weight 26300-01-H --shop saponym-demo --market eu --format pdf
  saponym weight millpond --shop saponym-demo --market us-soap --claim "4 1/2 oz"`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.formulas,
		RunE: func(_ *cobra.Command, args []string) error {
			r.Formula = args[0]
			return a.runWeight(r)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&r.Cut, "cut", "", "the `cut` of the formula (default: its first)")
	flags.StringVar(&r.at, "at", "", "the `day` for which the weight is asked (default: the last day of sale)")
	flags.StringVar(&r.Claim, "claim", "", "a net `weight` in the place of that of the formula, such as \"4 oz\"")
	flags.StringVar(&r.Ounces, "ounces", "", "how finely an ounce is divided: "+strings.Join(compile.OunceWords(), ", ")+" (default: as the claim was typed)")
	flags.StringVar(&r.Pack, "pack", "", "the bars of a `pack`, for its net weight: 3, or bar=2,guest=1 of several cuts or formulas")
	flags.StringVar(&r.format, "format", "text", "text alone, or pdf or svg for a picture beside it")
	flags.StringVar(&r.out, "out", "", "the `folder` to write to (default: out in the shop folder)")
	complete(cmd, "format", pictureFormats)
	complete(cmd, "ounces", compile.OunceWords())
	return cmd
}

func (a *app) runWeight(r weightRun) error {
	if err := knownPicture(r.format); err != nil {
		return err
	}
	t, err := a.begin()
	if err != nil {
		return err
	}
	r.On, r.Style = t.on, "as-cured"
	if r.at != "" {
		if r.At, err = dayOr(r.at, "--at"); err != nil {
			return err
		}
	}
	if _, err := t.folder.Formula(r.Formula); err == nil {
		return a.weighFormula(t, r)
	}
	return a.weighBatch(t, r)
}

// weighBatch answers for a batch, market by market.
func (a *app) weighBatch(t task, r weightRun) error {
	var all []any
	var found []finding.Finding
	var text, drying, picture string
	for i, m := range t.markets {
		r.Market = m
		answer, err := compile.Weigh(t.folder, r.WeightOrder)
		if err != nil {
			return err
		}
		all, found = append(all, answer), gather(found, answer.Findings)
		file, err := drawWeight(t, answer, r.format, r.out)
		if err != nil {
			return err
		}
		if said := answer.Drying(); said != drying {
			drying = said
			text += said + "\n"
		}
		text += answer.Claims()
		if file != "" {
			text += fmt.Sprintf("  %s: the picture\n", file)
		}
		text += "\n"
		if i == 0 {
			picture = answer.Plain()
		}
	}
	if a.json {
		if err := a.answer(all, a.one(t)); err != nil {
			return err
		}
		return stopped(found)
	}
	if picture != "" {
		text += picture + "\n"
	}
	fmt.Fprint(a.stdout, text)
	return a.endWeight(t, found)
}

// weighFormula answers for a formula, market by market.
func (a *app) weighFormula(t task, r weightRun) error {
	if r.format != "text" {
		return usageError{fmt.Errorf("--format %s draws the bars of a batch: name its code", r.format)}
	}
	if r.at != "" {
		return usageError{fmt.Errorf("--at asks for the weight of a batch: name its code")}
	}
	batches := compile.BatchesOf(t.folder, r.Formula, r.Cut, t.on)
	var all []any
	var found []finding.Finding
	for _, m := range t.markets {
		r.Market = m
		answer, err := compile.WeighFormula(t.folder, r.WeightOrder, batches)
		if err != nil {
			return err
		}
		all, found = append(all, answer), gather(found, answer.Findings)
		if !a.json {
			fmt.Fprintln(a.stdout, answer.Report())
		}
	}
	if a.json {
		if err := a.answer(all, a.one(t)); err != nil {
			return err
		}
		return stopped(found)
	}
	return a.endWeight(t, found)
}

// endWeight ends an answer for a person.
func (a *app) endWeight(t task, found []finding.Finding) error {
	if err := a.notice(t.markets, t.on); err != nil {
		return err
	}
	a.show(found)
	return stopped(found)
}

// drawWeight writes the picture of a drying, if one is asked for and bars were weighed.
func drawWeight(t task, answer compile.WeightAnswer, format, folder string) (string, error) {
	if !answer.HasPicture() {
		return "", nil
	}
	return t.draw(answer, format, folder, strings.Join([]string{answer.Batch, "weight", slug(answer.Cut), answer.Market}, "-"), answer.Batch)
}
