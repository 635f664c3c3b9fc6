package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/register"
	"saponym/internal/shop"
)

// added writes into a record, and shows the record as it is then.
func (a *app) added(code string, what func(on day.Day) (compile.Addition, error)) error {
	folder, on, err := a.opened()
	if err != nil {
		return err
	}
	addition, err := what(on)
	if err != nil {
		return err
	}
	if err := compile.Add(folder, code, on, addition); err != nil {
		return a.refused(err)
	}
	err = a.withIndex(func(folder *shop.Folder, index *register.Index, on day.Day) error {
		return a.showBatch(folder, index, code, on)
	})
	if errors.Is(err, errStop) && !a.json {
		fmt.Fprintln(a.stderr, "It was written down; what stops is about the batch.")
	}
	return err
}

// adding makes a verb that writes into a record: what gives the addition of the arguments
// behind the code, on a day.
func (a *app) adding(cmd *cobra.Command, what func(args []string, on day.Day) (compile.Addition, error)) *cobra.Command {
	cmd.ValidArgsFunction = a.codes
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		return a.added(args[0], func(on day.Day) (compile.Addition, error) { return what(args[1:], on) })
	}
	return cmd
}

// dayFlag is the flag of the day on which something happened; today where it is not given.
func dayFlag(cmd *cobra.Command, date *string) {
	cmd.Flags().StringVar(date, "date", "", "the `day` (default: today)")
}

func correctsFlag(cmd *cobra.Command, corrects *string) {
	cmd.Flags().StringVar(corrects, "corrects", "", "the `id` of the entry that this one stands in place of, as batch show has it")
}

func cutFlag(cmd *cobra.Command, cut *string) {
	cmd.Flags().StringVar(cut, "cut", "", "the `cut` that the bars are of (default: the only one)")
}

// onDay gives the day of a flag as it is written into a record.
func onDay(typed string, on day.Day) (string, error) {
	if typed == "" {
		return on.String(), nil
	}
	d, err := dayOr(typed, "--date")
	return d.String(), err
}

func (a *app) batchPut() *cobra.Command {
	var p compile.Put
	asked := false
	cmd := a.adding(&cobra.Command{
		Use:   "put CODE [MATERIAL|BATCH [WEIGHT]]",
		Short: "what went into the pot, line by line: weight and lot, each as it comes",
		Long: `put writes a line of what the scale said. The weight, the lot and all else may come
later: the same material named again fills in what its line lacks, and another lot makes
a new line. A weight without a unit is in grams. With --as-asked all that has no line yet
was weighed as the formula asks.`,
		Example: `  saponym batch put 26329-01-9 shea-butter 113.5 --lot SB-12 --shop saponym-demo
  saponym batch put 26329-01-9 coconut-oil --lot CO-31 --shop saponym-demo
  saponym batch put 26329-01-9 --as-asked --shop saponym-demo`,
		Args: cobra.RangeArgs(1, 3),
	}, func(args []string, _ day.Day) (compile.Addition, error) {
		switch {
		case asked != (len(args) == 0):
			return nil, usageError{errors.New("name what went in, or give --as-asked")}
		case asked:
			return compile.AsAsked{}, nil
		}
		p.What = args[0]
		if len(args) == 2 {
			p.Weight = args[1]
		}
		return p, nil
	})
	flags := cmd.Flags()
	flags.BoolVar(&asked, "as-asked", false, "all that has no line yet was weighed as the formula asks")
	flags.StringVar(&p.Lot, "lot", "", "the `lot` of the supplier, or the code of the batch that made it")
	flags.StringVar(&p.Supplier, "supplier", "", "`who` sold it")
	flags.StringVar(&p.Received, "received", "", "the `day` on which the lot came in")
	flags.StringVar(&p.Expires, "expires", "", "the `day` until which the supplier answers for it")
	flags.StringVar(&p.Scale, "scale", "", "the `scale` of the shop")
	flags.StringVar(&p.Stays, "stays", "", "the `share` of it that stays in what is made: 0% of what is strained out")
	flags.StringVar(&p.Note, "note", "", "a `remark`")
	correctsFlag(cmd, &p.Corrects)
	return cmd
}

func (a *app) batchCut() *cobra.Command {
	var c compile.Cutting
	cmd := a.adding(&cobra.Command{
		Use:   "cut CODE CUT=COUNT…",
		Short: "what the loaf was cut into: bars by cut, ends, seconds, and marked bars",
		Example: `  saponym batch cut 26329-01-9 bar=8 --ends 2 --date 2026-11-26 --shop saponym-demo
  saponym batch cut 26300-01-H bar=9 --seconds 1 --date 2026-10-29 --corrects c1 --shop saponym-demo`,
		Args: cobra.MinimumNArgs(2),
	}, func(args []string, on day.Day) (_ compile.Addition, err error) {
		c.Counts = args
		c.Date, err = onDay(c.Date, on)
		return c, err
	})
	flags := cmd.Flags()
	flags.StringVar(&c.Ends, "ends", "", "how `many` ends")
	flags.StringVar(&c.Seconds, "seconds", "", "how `many` bars of second choice")
	flags.StringSliceVar(&c.Marked, "marked", nil, "bars that are marked and weighed, such as `a=131.2`")
	flags.StringVar(&c.Scale, "scale", "", "the `scale` of the shop")
	dayFlag(cmd, &c.Date)
	correctsFlag(cmd, &c.Corrects)
	return cmd
}

func (a *app) batchWeigh() *cobra.Command {
	var w compile.Weighed
	cmd := a.adding(&cobra.Command{
		Use:   "weigh CODE GRAMS…",
		Short: "weigh bars again as they cure",
		Long: `weigh writes down what bars weigh. A marked bar is named with its weight: a=131.2. Weights
without a mark are those of the bars a, b, c … in this order.`,
		Example: `  saponym batch weigh 26300-01-H a=128.1 b=127.0 --date 2026-11-24 --shop saponym-demo`,
		Args:    cobra.MinimumNArgs(2),
	}, func(args []string, on day.Day) (_ compile.Addition, err error) {
		w.Bars = args
		w.Date, err = onDay(w.Date, on)
		return w, err
	})
	flags := cmd.Flags()
	flags.StringVar(&w.Scale, "scale", "", "the `scale` of the shop")
	flags.StringVar(&w.Humidity, "humidity", "", "the relative `humidity` of the air, such as 55%")
	flags.BoolVar(&w.Trimmed, "trimmed", false, "the bars were trimmed since they were last weighed")
	dayFlag(cmd, &w.Date)
	cutFlag(cmd, &w.Cut)
	correctsFlag(cmd, &w.Corrects)
	return cmd
}

func (a *app) batchPack() *cobra.Command {
	var p compile.Packing
	cmd := a.adding(&cobra.Command{
		Use:     "pack CODE COUNT",
		Short:   "bars that were wrapped",
		Example: `  saponym batch pack 26300-01-H 1 --date 2026-11-25 --shop saponym-demo`,
		Args:    cobra.ExactArgs(2),
	}, func(args []string, on day.Day) (_ compile.Addition, err error) {
		p.Count = args[0]
		p.Date, err = onDay(p.Date, on)
		return p, err
	})
	dayFlag(cmd, &p.Date)
	cutFlag(cmd, &p.Cut)
	correctsFlag(cmd, &p.Corrects)
	return cmd
}

func (a *app) batchRun() *cobra.Command {
	var r compile.LabelRun
	cmd := a.adding(&cobra.Command{
		Use:   "run CODE",
		Short: "a printing of labels: printed, used, spoiled, voided",
		Long: `run writes down a printing of labels. What became of them is filled in later with --id
and the counts. "label --record" does it by itself, with the sum of the file.`,
		Example: `  saponym batch run 26300-01-H --printed 10 --market us-soap --shop saponym-demo
  saponym batch run 26300-01-H --id r1 --voided 1 --shop saponym-demo`,
		Args: cobra.ExactArgs(1),
	}, func(_ []string, on day.Day) (_ compile.Addition, err error) {
		if len(a.markets) > 1 {
			return nil, usageError{errors.New("a run of labels is for one market; name labels for several with a plus")}
		}
		r.Market = strings.Join(a.markets, "")
		r.Date, err = onDay(r.Date, on)
		return r, err
	})
	flags := cmd.Flags()
	flags.StringVar(&r.ID, "id", "", "the `run` whose counts are filled in, such as r1")
	flags.StringVar(&r.Printed, "printed", "", "how `many` were printed")
	flags.StringVar(&r.Used, "used", "", "how `many` are on bars")
	flags.StringVar(&r.Spoiled, "spoiled", "", "how `many` were spoiled")
	flags.StringVar(&r.Voided, "voided", "", "how `many` were made void")
	flags.StringVar(&r.Template, "template", "", "the label `template`")
	flags.StringVar(&r.Claim, "claim", "", "the net weight that they `claim`")
	flags.StringVar(&r.Hash, "hash", "", "the SHA-256 `sum` of the PDF")
	dayFlag(cmd, &r.Date)
	cutFlag(cmd, &r.Cut)
	correctsFlag(cmd, &r.Corrects)
	return cmd
}

func (a *app) batchEvent() *cobra.Command {
	var h compile.Happening
	var details []string
	cmd := &cobra.Command{
		Use:   "event CODE|FORMULA WHAT [COUNT]",
		Short: "anything else that happened: sold, withheld, returned, complaint, tested, released …",
		Long: `event writes down what happened to a batch or its bars: sold, given, sampled, withheld,
released, returned, recalled, destroyed, reworked, lost, tested, complaint, adverse-event,
deviation, step or note. Bars that come back are held back until they are released.

A sale of which the batch was not seen is written with the formula in place of the code:
the bars that were made first are taken to be sold first, and it is marked as assumed.

A batch with too much alkali is released by a test (--method, --value and --who) and a
release after it (--who).`,
		Example: `  saponym batch event 26300-01-H sold 2 --who "market stall, Ashcombe" --shop saponym-demo
  saponym batch event 26300-01-H complaint --who "a customer" --detail onset="the same day" --shop saponym-demo`,
		Args:              cobra.RangeArgs(2, 3),
		ValidArgsFunction: a.formulas,
		RunE: func(_ *cobra.Command, args []string) error {
			var err error
			if h.Details, err = fields("--detail", details); err != nil {
				return err
			}
			if h.What = args[1]; len(args) == 3 {
				h.Count = args[2]
			}
			return a.runEvent(args[0], h)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&h.Who, "who", "", "`who` did it, or to whom it went")
	flags.StringVar(&h.Time, "time", "", "the `time` of the day")
	flags.StringVar(&h.Method, "method", "", "the `method` of a test")
	flags.StringVar(&h.Value, "value", "", "what the test `gave`")
	flags.StringVar(&h.Limit, "limit", "", "what it had to `give`")
	flags.BoolVar(&h.Failed, "failed", false, "the test did not give what it had to")
	flags.StringVar(&h.Ref, "ref", "", "the `number` of a paper: delivery note, invoice, order")
	flags.StringVar(&h.Note, "note", "", "a `remark`")
	flags.StringVar(&h.Erase, "erase", "", "the `day` on which what is said of a person is to be taken out")
	flags.BoolVar(&h.Serious, "serious", false, "an event of which the outcome is serious, as batch trace lists them")
	flags.StringArrayVar(&details, "detail", nil, "more of a complaint, as `key=value`: contact, bought, used, onset, outcome …")
	dayFlag(cmd, &h.Date)
	cutFlag(cmd, &h.Cut)
	correctsFlag(cmd, &h.Corrects)
	return cmd
}

// A sold is the answer of a sale by product. Its JSON form is a contract.
type sold struct {
	Formula string         `json:"formula"`
	Sold    []compile.Sale `json:"sold"`
}

func (a *app) runEvent(what string, h compile.Happening) error {
	folder, on, err := a.opened()
	if err != nil {
		return err
	}
	if h.Date, err = onDay(h.Date, on); err != nil {
		return err
	}
	doc, err := folder.Formula(what)
	if err != nil || h.What != "sold" {
		return a.added(what, func(day.Day) (compile.Addition, error) { return h, nil })
	}
	return a.withIndex(func(folder *shop.Folder, index *register.Index, on day.Day) error {
		sales, err := compile.SellOfProduct(folder, index, what, on, h)
		if err != nil {
			return a.refused(err)
		}
		report := ""
		for _, s := range sales {
			report += fmt.Sprintf("%s: %d of %s sold (assumed: the oldest first)\n", s.Code, s.Count, s.Cut)
		}
		return a.told(sold{doc.ID, sales}, report, nil)
	})
}
