// Package cli is the command line: it reads arguments, calls the compiler, and
// writes text, JSON and files. It decides nothing about soap.
//
// Results go to stdout, findings and progress to stderr. The clock is read here
// and nowhere below: --on overrides it.
package cli

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/shop"
)

// The exit codes. They are a contract.
const (
	exitOK    = 0
	exitStop  = 1 // a finding of level stop: nothing was printed that must not be sold
	exitUsage = 2 // wrong usage, or input that is no document
	exitIO    = 3 // a file could not be read or written
)

// errStop ends a command whose findings were written already.
var errStop = errors.New("stopped by a finding")

// A usageError is a fault of the command line.
type usageError struct{ error }

// Main runs the program with its arguments, without its name, and gives its exit
// code.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := newRoot(stdout, stderr)
	root.SetArgs(args)
	root.SetIn(stdin)
	err := root.Execute()
	code := exitCode(err)
	for _, one := range each(err) {
		var none *shop.NoDocument
		switch {
		case errors.Is(one, errStop):
		case errors.As(one, &none):
			for _, f := range none.Findings {
				fmt.Fprint(stderr, f.Text())
			}
		default:
			fmt.Fprintf(stderr, "saponym: %v\n", one)
			if exitCode(one) == exitUsage {
				fmt.Fprintf(stderr, "See \"saponym --help\".\n")
			}
		}
	}
	return code
}

// each takes joined errors apart.
func each(err error) []error {
	if err == nil {
		return nil
	}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		return joined.Unwrap()
	}
	return []error{err}
}

// exitCode gives the exit code of an error, and of several the highest.
func exitCode(err error) int {
	code := exitOK
	for _, one := range each(err) {
		code = max(code, exitCodeOfOne(one))
	}
	return code
}

func exitCodeOfOne(err error) int {
	var (
		none    *shop.NoDocument
		unknown *compile.UnknownError
		option  *compile.OptionError
		usage   usageError
		code    *compile.UnknownCode
	)
	switch {
	case errors.Is(err, errStop):
		return exitStop
	case errors.As(err, &none), errors.As(err, &unknown), errors.As(err, &option), errors.As(err, &usage), errors.As(err, &code), errors.Is(err, shop.ErrNoShop):
		return exitUsage
	}
	return exitIO
}

// An app is one run of the program.
type app struct {
	stdout, stderr io.Writer

	shop    string
	json    bool
	markets []string
	on      string
}

func newRoot(stdout, stderr io.Writer) *cobra.Command {
	a := &app{stdout: stdout, stderr: stderr}
	root := &cobra.Command{
		Use:   "saponym",
		Short: "saponym compiles a soap formula into a lawful label",
		Long: `saponym compiles a soap formula into the label of its bars: the ingredient list
in the names and the order that the market's law wants, the allergens, the net
weight, the maker, on a paper band that prints at home, with the working shown.

Try it: saponym demo

It is no legal advice. It says "nothing found", which is not "lawful".`,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.SetOut(stdout)
	root.SetErr(stderr)
	flags := root.PersistentFlags()
	flags.StringVar(&a.shop, "shop", ".", "the shop `folder`")
	flags.BoolVar(&a.json, "json", false, "answer in JSON")
	flags.StringSliceVar(&a.markets, "market", nil, "a rule set, such as us-soap or eu; eu+uk for one label that serves both; or all (default: those of the shop)")
	flags.StringVar(&a.on, "on", "", "the `day` whose rules apply, such as 2026-11-26 (default: today)")
	root.AddCommand(a.demo(), a.check(), a.declare(), a.trail(), a.label(), a.weight(), a.bench(), a.batch(), a.lot(), a.rules())
	// A word that is no verb, and arguments that a verb does not take, are wrong
	// usage; the library gives its own errors no type.
	root.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return usageError{fmt.Errorf("there is no verb %q", args[0])}
		}
		return cmd.Help()
	}
	root.Args = cobra.ArbitraryArgs
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.InitDefaultCompletionCmd()
	batch, _, err := root.Find([]string{"batch"})
	if err != nil {
		panic(err) // it was added just before
	}
	for _, cmd := range slices.Concat(root.Commands(), batch.Commands(), shells(root)) {
		fits := cmd.Args
		cmd.Args = func(cmd *cobra.Command, args []string) error {
			if fits == nil || fits(cmd, args) == nil {
				return nil
			}
			return usageError{fmt.Errorf("use it as: %s %s", cmd.Parent().CommandPath(), cmd.Use)}
		}
	}
	complete(root, "market", append(compile.Markets(), allMarkets))
	return root
}

// shells gives the verbs that print a completion script, one a shell.
func shells(root *cobra.Command) []*cobra.Command {
	completion, _, err := root.Find([]string{"completion"})
	if err != nil {
		panic(err) // the library has just made it
	}
	return completion.Commands()
}

// complete offers words for a flag in a shell.
func complete(cmd *cobra.Command, flag string, words []string) {
	offer := cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
	if err := cmd.RegisterFlagCompletionFunc(flag, offer); err != nil {
		panic(err) // the flag was defined just before
	}
}

// dayOr reads the day of a flag; a flag that is not given means today.
func dayOr(text, flag string) (day.Day, error) {
	if text == "" {
		return day.FromTime(time.Now()), nil
	}
	d, err := day.Parse(text)
	if err != nil {
		return day.Day{}, usageError{fmt.Errorf("%s: %w", flag, err)}
	}
	return d, nil
}

// chosen gives the rule sets that the answer is wanted for.
func (a *app) chosen(folder *shop.Folder) ([]string, error) {
	if err := a.knownMarkets(); err != nil {
		return nil, err
	}
	if slices.Contains(a.markets, allMarkets) {
		return compile.Markets(), nil
	}
	var markets []string
	add := func(m string) {
		if !slices.Contains(markets, m) {
			markets = append(markets, m)
		}
	}
	for _, m := range a.markets {
		add(strings.TrimSpace(m))
	}
	if len(a.markets) > 0 {
		return markets, nil
	}
	for _, m := range folder.Shop.Markets {
		if compile.KnownMarket(m.V) == nil {
			add(m.V)
		}
	}
	if len(markets) == 0 {
		return nil, usageError{errors.New("the shop names no market that this version knows: give one with --market, such as us-soap or eu")}
	}
	return markets, nil
}

// allMarkets is the --market that asks for every rule set.
const allMarkets = "all"

// knownMarkets gives the error of a --market that is no rule set.
func (a *app) knownMarkets() error {
	for _, m := range a.markets {
		if m == allMarkets {
			continue
		}
		if err := compile.KnownMarket(strings.TrimSpace(m)); err != nil {
			return err
		}
	}
	return nil
}

// one reports whether the answer is a single object: one market was named.
func (a *app) one(t task) bool {
	return len(a.markets) > 0 && len(t.markets) == 1 && !slices.Contains(a.markets, allMarkets)
}

// formulas completes the ids of the shop's formulas, and the codes of its batches, in a
// shell.
func (a *app) formulas(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	folder, err := shop.Open(a.shop)
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	return append(folder.IDs(), folder.Codes()...), cobra.ShellCompDirectiveNoFileComp
}

// A task is what most verbs begin with: the folder, the day, and the markets that
// the answer is wanted for.
type task struct {
	folder  *shop.Folder
	on      day.Day
	markets []string
}

// begin reads the flags that verbs have in common, and opens the shop folder.
func (a *app) begin() (task, error) {
	on, err := dayOr(a.on, "--on")
	if err != nil {
		return task{}, err
	}
	folder, err := a.open()
	if err != nil {
		return task{}, err
	}
	markets, err := a.chosen(folder)
	return task{folder, on, markets}, err
}

// open opens the shop folder.
func (a *app) open() (*shop.Folder, error) {
	folder, err := shop.Open(a.shop)
	if errors.Is(err, shop.ErrNoShop) {
		return nil, fmt.Errorf("%w; make one with \"saponym demo\", or name your shop folder with --shop", err)
	}
	return folder, err
}
