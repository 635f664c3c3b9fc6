package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/register"
	"saponym/internal/shop"
)

func (a *app) batch() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "batch",
		Short: "the register: begin a batch, weigh, cut, pack, and what happened to the bars",
		Long: `batch keeps the record of each batch, in the order of the working day. "start" gives a
code at once; all else can follow, line by line. A record only grows: what was wrong
stays, and a new entry with --corrects stands in its place.`,
		Example: `  saponym batch start millpond --shop saponym-demo
  saponym batch show 26300-01-H --shop saponym-demo`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("batch has no verb %q", args[0])}
			}
			return cmd.Help()
		},
		Args: cobra.ArbitraryArgs,
	}
	cmd.AddCommand(
		a.batchStart(), a.batchPut(), a.batchCut(), a.batchWeigh(), a.batchPack(), a.batchRun(), a.batchEvent(),
		a.batchShow(), a.batchList(), a.batchDue(), a.batchTrace(), a.batchRelabel(),
	)
	return cmd
}

// opened reads the day and opens the shop folder, for verbs that hang on no market.
func (a *app) opened() (*shop.Folder, day.Day, error) {
	on, err := dayOr(a.on, "--on")
	if err != nil {
		return nil, day.Day{}, err
	}
	folder, err := a.open()
	return folder, on, err
}

// index opens the index of the batches. The first time, with many of them, it says how far
// it has come.
func (a *app) index() (*register.Index, error) {
	told, last := false, ""
	progress := func(done, total int) {
		if total < 1000 {
			return
		}
		line := fmt.Sprintf("reading the records of %d batches: %d %%", total, 100*done/total)
		if line == last {
			return
		}
		last = line
		switch {
		case isTerminal(a.stderr):
			fmt.Fprintf(a.stderr, "\r%s", line)
			if done == total {
				fmt.Fprintln(a.stderr)
			}
		case !told || done == total:
			fmt.Fprintln(a.stderr, line)
		}
		told = true
	}
	return register.OpenIndex(a.shop, register.Options{Now: time.Now(), Progress: progress})
}

// isTerminal reports whether what is written goes to a person's screen.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// withIndex runs a verb that looks at all batches.
func (a *app) withIndex(do func(folder *shop.Folder, index *register.Index, on day.Day) error) (err error) {
	folder, on, err := a.opened()
	if err != nil {
		return err
	}
	index, err := a.index()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, index.Close()) }()
	return do(folder, index, on)
}

// told ends a verb: the answer as JSON or for a person, then the findings.
func (a *app) told(answer any, report string, found []finding.Finding) error {
	if a.json {
		if err := a.answer([]any{answer}, true); err != nil {
			return err
		}
		return stopped(found)
	}
	fmt.Fprint(a.stdout, report)
	a.show(found)
	return stopped(found)
}

// toldAll is told for an answer that is a list, which has no place for findings.
func (a *app) toldAll(all []any, report string, found []finding.Finding) error {
	if a.json {
		if err := a.answer(all, false); err != nil {
			return err
		}
	} else {
		fmt.Fprint(a.stdout, report)
	}
	a.show(found)
	return stopped(found)
}

func anyOf[T any](list []T) []any {
	all := []any{}
	for _, v := range list {
		all = append(all, v)
	}
	return all
}

func (a *app) batchStart() *cobra.Command {
	var o compile.StartOrder
	var made string
	cmd := &cobra.Command{
		Use:   "start [FORMULA]",
		Short: "begin a batch: gives its code at once",
		Long: `start begins the record of a batch and prints its code. Beside the record it keeps the
formula and the materials word for word as they are, and the built-in figures that are
used: what is changed later does not change what this batch is.

A batch can make a material (a premix, a master lye, an infusion): give --material in
place of a formula, and write its code as the lot where the material goes in. A batch
that came out wrong is worked again whole with --rework and its code.`,
		Example: `  saponym batch start millpond --made 2026-11-26 --shop saponym-demo
  saponym batch start --material coast-blend --shop saponym-demo`,
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: a.formulas,
		RunE: func(_ *cobra.Command, args []string) error {
			if (len(args) == 1) == (o.Material != "") {
				return usageError{errors.New("name a formula, or a material with --material")}
			}
			if len(args) == 1 {
				o.Formula = args[0]
			}
			folder, on, err := a.opened()
			if err != nil {
				return err
			}
			if o.On, o.Made = on, on; made != "" {
				if o.Made, err = dayOr(made, "--made"); err != nil {
					return err
				}
			}
			s, err := compile.StartBatch(folder, o)
			if err != nil {
				return a.refused(err)
			}
			report := s.Code + "\n"
			if s.Code == "" {
				report = "No batch was begun; see the findings.\n"
			}
			return a.told(s, report, s.Findings)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&made, "made", "", "the `day` it is made (default: today)")
	flags.StringVar(&o.Material, "material", "", "the `material` of the shop that is made, in place of bars")
	flags.StringVar(&o.Rework, "rework", "", "the `code` of a batch that is worked again whole in this one")
	flags.StringSliceVar(&o.Parents, "parent", nil, "the `code` of a batch that this one comes of")
	flags.StringVar(&o.Code, "code", "", "a `code` of your own (default: the next one)")
	flags.StringVar(&o.By, "by", "", "`who` makes it")
	flags.StringVar(&o.Place, "place", "", "`where` it is made")
	return cmd
}

// refused makes of an error that a record would have been wrong what is wrong with it.
func (a *app) refused(err error) error {
	var refused *register.Refused
	var form *register.FormError
	switch {
	case errors.As(err, &refused):
		return a.nothingWritten(refused.Findings)
	case errors.As(err, &form):
		return a.nothingWritten([]finding.Finding{form.Finding})
	}
	return err
}

// nothingWritten tells why a record was not changed.
func (a *app) nothingWritten(found []finding.Finding) error {
	if a.json {
		if err := a.answer([]any{map[string]any{"written": false, "findings": found}}, true); err != nil {
			return err
		}
		return errStop
	}
	a.show(found)
	fmt.Fprintln(a.stderr, "Nothing was written.")
	return errStop
}

func (a *app) batchShow() *cobra.Command {
	return &cobra.Command{
		Use:   "show CODE",
		Short: "the record of a batch, and what it comes to",
		Long: `show gives the record of a batch, with what is open in it, the superfat by the weights
of the scale, and the counts of bars and labels. A batch with more alkali than its oils
bind is a stop until it is worked again, or tested and released.`,
		Example:           `  saponym batch show 26300-01-H --shop saponym-demo`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.codes,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.withIndex(func(folder *shop.Folder, index *register.Index, on day.Day) error {
				return a.showBatch(folder, index, args[0], on)
			})
		},
	}
}

func (a *app) showBatch(folder *shop.Folder, index *register.Index, code string, on day.Day) error {
	b, err := compile.ShowBatch(folder, code, on)
	if err != nil {
		return err
	}
	children, err := index.WithBatch(b.Code)
	if err != nil {
		return err
	}
	for _, c := range children {
		b.Children = append(b.Children, c.Code)
	}
	return a.told(b, b.Report(), b.Findings)
}

func (a *app) batchList() *cobra.Command {
	return &cobra.Command{
		Use:   "list [WORD…]",
		Short: "the batches, the youngest first, by code, formula, day, lot, material or supplier",
		Example: `  saponym batch list --shop saponym-demo
  saponym batch list PB-1182 --shop saponym-demo`,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.withIndex(func(_ *shop.Folder, index *register.Index, on day.Day) error {
				all, found, err := compile.ListBatches(index, args, on)
				if err != nil {
					return err
				}
				return a.toldAll(anyOf(all), compile.ListReport(all), found)
			})
		},
	}
}

func (a *app) batchDue() *cobra.Command {
	return &cobra.Command{
		Use:   "due",
		Short: "what wants recording, cutting, weighing or packing today",
		Long: `due lists what batches want, the longest overdue first: a loaf is cut the day after it
was made, bars are weighed every week until they are packed, and packed after four
weeks. "record" means that a weight or a lot is open.`,
		Example: `  saponym batch due --shop saponym-demo --on 2026-11-26`,
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return a.withIndex(func(_ *shop.Folder, index *register.Index, on day.Day) error {
				all, found, err := compile.DueBatches(index, on)
				if err != nil {
					return err
				}
				return a.toldAll(anyOf(all), compile.DueReport(all), found)
			})
		},
	}
}

func (a *app) batchTrace() *cobra.Command {
	return &cobra.Command{
		Use:   "trace CODE",
		Short: "from a code that somebody reads out to lots, tests, labels, complaints and deadlines",
		Long: `trace gives what has to be at hand when somebody calls about a bar: the formula, the
lots with their suppliers and statements, tests and release, the labels, complaints of
the same batch and of others of the same lots, where the bars went, until when an
authority has to be told, and how long records are kept. It is no legal advice: the
authority of the place says what is due.`,
		Example:           `  saponym batch trace 26300-01-H --shop saponym-demo`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.codes,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.withIndex(func(folder *shop.Folder, index *register.Index, on day.Day) error {
				t, err := compile.TraceBatch(folder, index, args[0], on)
				if err != nil {
					return err
				}
				return a.told(t, t.Report(), t.Findings)
			})
		},
	}
}

func (a *app) batchRelabel() *cobra.Command {
	return &cobra.Command{
		Use:               "relabel FORMULA|CODE",
		Short:             "what a new label means: bars on hand, bars sold, label runs to void",
		Example:           `  saponym batch relabel millpond --shop saponym-demo`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.formulas,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.withIndex(func(folder *shop.Folder, index *register.Index, _ day.Day) error {
				all, err := compile.Relabel(folder, index, args[0])
				if err != nil {
					return err
				}
				return a.toldAll(anyOf(all), compile.RelabelReport(all), nil)
			})
		},
	}
}

// codes completes the codes of batches in a shell.
func (a *app) codes(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	folder, err := shop.Open(a.shop)
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	return folder.Codes(), cobra.ShellCompDirectiveNoFileComp
}

// fields splits the values of a flag such as --detail bought="the market".
func fields(flag string, typed []string) (map[string]string, error) {
	all := map[string]string{}
	for _, t := range typed {
		key, value, ok := strings.Cut(t, "=")
		if !ok || key == "" || value == "" {
			return nil, usageError{fmt.Errorf("%s is written as key=value, not %q", flag, t)}
		}
		all[key] = value
	}
	return all, nil
}
