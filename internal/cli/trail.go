package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"saponym/internal/compile"
	"saponym/internal/finding"
)

// A trailRun is what the flags of trail ask for.
type trailRun struct {
	compile.Order
	word, out, format string
}

func (a *app) trail() *cobra.Command {
	r := trailRun{Order: compile.Order{}}
	cmd := &cobra.Command{
		Use:   "trail FORMULA|BATCH WORD",
		Short: "where a word of the ingredient list comes from",
		Long: `trail leads from a word of the ingredient list back to the lines of the formula, with
the grams, the share that the supplier states, and the arithmetic of each step. With
--format pdf or svg it draws the whole batch as well, from the pot to the words, as
wide as the masses are, with the trail of the word lit. Markets in which the trail is
the same are told together; of one whose list lacks the word a note says so. Of a batch
it names the lots that its record has.`,
		Example: `  saponym trail hay-meadow Glycerin --shop saponym-demo --market eu
  saponym trail hay-meadow Aqua --shop saponym-demo --market eu --format svg`,
		Args:              cobra.ExactArgs(2),
		ValidArgsFunction: a.formulas,
		RunE: func(_ *cobra.Command, args []string) error {
			r.Formula, r.word = args[0], args[1]
			return a.runTrail(r)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&r.format, "format", "text", "text alone, or pdf or svg for a picture beside it")
	flags.StringVar(&r.out, "out", "", "the `folder` to write to (default: out in the shop folder)")
	complete(cmd, "format", pictureFormats)
	return cmd
}

func (a *app) runTrail(r trailRun) error {
	if err := knownPicture(r.format); err != nil {
		return err
	}
	t, err := a.begin()
	if err != nil {
		return err
	}
	r.On = t.on
	r.Style = "as-cured"
	ways, err := compile.MakeTrails(t.folder, r.Order, t.markets, r.word)
	if err != nil {
		return err
	}
	var all []any
	var found []finding.Finding
	var trees []tree
	for _, way := range ways {
		all = append(all, way)
		found = gather(found, way.Findings)
		if way.Trail == nil {
			continue
		}
		file, err := t.draw(way, r.format, r.out, strings.Join([]string{r.Formula, "trail", slug(way.Word), way.Market}, "-"), way.Word)
		if err != nil {
			return err
		}
		trees = grown(trees, way.Report(), way.Market, file)
	}
	if a.json {
		if err := a.answer(all, a.one(t)); err != nil {
			return err
		}
		return stopped(found)
	}
	for _, one := range trees {
		if len(t.markets) > 1 {
			fmt.Fprintf(a.stdout, "%s\n\n", strings.Join(one.markets, ", "))
		}
		fmt.Fprint(a.stdout, one.report)
		for _, file := range one.files {
			fmt.Fprintf(a.stdout, "%s: the picture\n", file)
		}
	}
	if err := a.notice(t.markets, t.on); err != nil {
		return err
	}
	a.show(found)
	return stopped(found)
}

// A tree is a trail for a person, with the markets in which it is the same and the
// pictures of these.
type tree struct {
	report         string
	markets, files []string
}

// grown adds the trail of a market to those before it.
func grown(trees []tree, report, market, file string) []tree {
	i := slices.IndexFunc(trees, func(t tree) bool { return t.report == report })
	if i < 0 {
		i = len(trees)
		trees = append(trees, tree{report: report})
	}
	trees[i].markets = append(trees[i].markets, market)
	if file != "" {
		trees[i].files = append(trees[i].files, file)
	}
	return trees
}

// slug makes a word part of a file name.
func slug(word string) string {
	return strings.Trim(strings.Map(func(c rune) rune {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			return c
		}
		return '-'
	}, strings.ToLower(word)), "-")
}
