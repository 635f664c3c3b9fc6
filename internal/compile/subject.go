package compile

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/shop"
	"saponym/internal/source"
)

// A subject is what an order names: a formula, or one batch of it, in a market on
// a day.
type subject struct {
	doc       formula.Formula
	batch     *formula.Batch // nil for a formula alone, and for a batch that has no file
	law       *market.Law
	conflicts []market.Conflict // where one label cannot serve all the markets that were named
}

// find gives what an order names, and fills in what its batch says of itself.
func find(folder *shop.Folder, o *Order) (subject, error) {
	var s subject
	if err := s.document(folder, o); err != nil {
		return subject{}, err
	}
	if err := KnownMarket(o.Market); err != nil {
		return subject{}, err
	}
	if !slices.Contains(Styles(), string(o.Style)) {
		return subject{}, &UnknownError{What: "style", Name: string(o.Style)}
	}
	var err error
	s.law, s.conflicts, err = s.lawOn(o.Market, func(place string) market.Days { return s.days(place, o.On) })
	return s, err
}

// document finds the formula, and the batch if its code was given in the place of
// the formula or beside it.
func (s *subject) document(folder *shop.Folder, o *Order) error {
	code := o.Batch
	doc, err := folder.Formula(o.Formula)
	if err != nil {
		batch, ok := folder.Batch(o.Formula)
		if !ok {
			return nearer(err, folder)
		}
		code = batch.Code.V
		if doc, err = folder.Formula(batch.Formula.V); err != nil {
			return fmt.Errorf("the batch %s: %w", code, err)
		}
	}
	s.doc = doc
	batch, ok := folder.Batch(code)
	if !ok {
		return nil
	}
	if formula.ID(batch.Formula.V) != doc.ID {
		return &OptionError{fmt.Sprintf("the batch %s is one of %s", code, batch.Formula.V), "name that formula, or another batch"}
	}
	s.batch, o.Batch = &batch, code
	if o.Made.IsZero() {
		o.Made = batch.Made.V
	}
	return nil
}

// nearer looks among the batches, too, for what was meant.
func nearer(err error, folder *shop.Folder) error {
	unknown, ok := err.(*UnknownError)
	if !ok || unknown.Nearest != "" {
		return err
	}
	return &UnknownError{What: "formula or batch", Name: unknown.Name, Nearest: source.Nearest(unknown.Name, folder.Codes())}
}

// documents gives what is wrong with the documents that the subject rests on.
func (s subject) documents(folder *shop.Folder) []finding.Finding {
	if s.batch != nil {
		return folder.BatchFindings(*s.batch, s.doc)
	}
	return folder.Findings(s.doc)
}

// days gives the days of the bars in a place, as they are on one day. What is
// placed on the market later than that is made available then.
func (s subject) days(place string, on day.Day) market.Days {
	days := market.Days{On: on, Product: s.doc.OnSale[place].V}
	if s.batch != nil {
		days.Placed = s.batch.Placed[place].V
		if on.Before(days.Placed) {
			days.On = days.Placed
		}
	}
	return days
}

// lawOn gives the law of a market, or of several that are named together, with the
// days of each place.
func (s subject) lawOn(markets string, days func(place string) market.Days) (*market.Law, []market.Conflict, error) {
	var laws []*market.Law
	for _, id := range strings.Split(markets, together) {
		place, err := market.Place(id)
		if err != nil {
			return nil, nil, err
		}
		law, err := market.For(id, days(place))
		if err != nil {
			return nil, nil, err
		}
		laws = append(laws, law)
	}
	if len(laws) == 1 {
		return laws[0], nil, nil
	}
	law, conflicts := market.Together(laws...)
	return law, conflicts, nil
}

// together stands between the ids of markets that one label is to serve.
const together = "+"

// RuleConflict is the finding that no one label can serve the markets that were
// named together.
const RuleConflict = "COMPILE-CONFLICT"

// conflicting gives the findings of the conflicts between the laws.
func (s subject) conflicting() []finding.Finding {
	var found []finding.Finding
	for _, c := range s.conflicts {
		found = append(found, finding.Finding{
			Level: finding.Stop, Rule: RuleConflict, At: s.doc.Name.At, Market: s.law.Market,
			Message: fmt.Sprintf("one label cannot serve %s: %s", strings.Join(c.Markets, " and "), c.Why),
			Remedy:  "make a label of its own for each of them: name them with a comma, not with a plus",
		})
	}
	return found
}
