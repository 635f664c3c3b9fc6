package compile

import (
	"fmt"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/register"
	"saponym/internal/shop"
)

// A subject is what an order names: a formula, or one batch of it, in a market on
// a day.
type subject struct {
	doc       formula.Formula
	library   formula.Library
	batch     *formula.Batch // nil for a formula alone, and for a batch that has no file
	making    formula.Making // of the batch
	law       *market.Law
	conflicts []market.Conflict // where one label cannot serve all the markets that were named

	read map[string]cure.Dried // the weighings of the batch that were read already, by cut
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
// the formula or beside it. A batch has the formula that it was made by, with the weights
// of the scale.
func (s *subject) document(folder *shop.Folder, o *Order) error {
	code := o.Batch
	doc, err := folder.Formula(o.Formula)
	if err != nil {
		batch, ok, broken := findBatch(folder, o.Formula)
		switch {
		case broken != nil:
			return broken
		case !ok:
			return nearer(err, folder)
		}
		code = batch.Code.V
		if doc, err = folder.Formula(batch.Formula.V); err != nil && !batch.Formula.Given() {
			return &OptionError{fmt.Sprintf("the batch %s makes a material, and no bars", code), "name a batch of bars, or a formula"}
		}
	}
	s.doc, s.library = doc, folder.Library
	batch, ok, broken := findBatch(folder, code)
	if broken != nil {
		return broken
	}
	if !ok {
		return err
	}
	if err == nil && formula.ID(batch.Formula.V) != doc.ID {
		return &OptionError{fmt.Sprintf("the batch %s is one of %s", code, batch.Formula.V), "name that formula, or another batch"}
	}
	making, ok := folder.Library.Making(batch, askedFor)
	if !ok {
		return fmt.Errorf("the batch %s: %w", code, err)
	}
	s.doc, s.library, s.making = making.Formula, making.Library, making
	s.batch, o.Batch = &batch, batch.Code.V
	s.read = map[string]cure.Dried{}
	if o.Made.IsZero() {
		o.Made = batch.Made.V
	}
	return nil
}

// findBatch finds a batch by its code, whatever hyphens, spaces and capitals it was typed
// with. The error is that of a file that holds no record.
func findBatch(folder *shop.Folder, code string) (formula.Batch, bool, error) {
	if code == "" {
		return formula.Batch{}, false, nil
	}
	if batch, ok := folder.Batch(code); ok {
		return batch, true, nil
	}
	if err := folder.BrokenBatch(code); err != nil {
		return formula.Batch{}, false, err
	}
	if found, ok := register.Find(code, folder.Codes()); ok {
		batch, ok := folder.Batch(found)
		return batch, ok, folder.BrokenBatch(found)
	}
	return formula.Batch{}, false, nil
}

// nearer looks among the batches, too, for what was meant.
func nearer(err error, folder *shop.Folder) error {
	unknown, ok := err.(*UnknownError)
	if !ok || unknown.Nearest != "" {
		return err
	}
	nearest := ""
	if likely := register.Likely(unknown.Name, folder.Codes()); len(likely) > 0 {
		nearest = likely[0]
	}
	return &UnknownError{What: "formula or batch", Name: unknown.Name, Nearest: nearest}
}

// pour works out the weights of what was ordered: of a batch as it was made.
func (s subject) pour() (*bar.Batter, []finding.Finding) {
	if s.batch == nil {
		return bar.Pour(s.doc, s.library)
	}
	batter, found := bar.PourMade(s.making)
	for i, f := range found {
		if f.Rule != bar.RuleLyeHeavy || f.Level != finding.Stop {
			continue
		}
		if at := s.doc.Lye.Weight.At; at.Line > 0 {
			found[i].At = at
		}
		found[i].Message = fmt.Sprintf("by the weights of the batch %s %s", s.batch.Code.V, f.Message)
		found[i].Remedy = fmt.Sprintf("do not sell it. Work the whole batch again with more oil (saponym batch start %s --rework %s), or have it tested and released (saponym batch event %s tested, then released)", s.doc.ID, s.batch.Code.V, s.batch.Code.V)
	}
	return batter, found
}

// documents gives what is wrong with the documents that the subject rests on.
func (s subject) documents(folder *shop.Folder) []finding.Finding {
	if s.batch != nil {
		return slices.Concat(folder.BatchFindings(*s.batch, s.doc), s.making.Findings, s.taken(), strangers(folder, *s.batch, s.making.Recipe))
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

// RuleHeld is the finding that the bars of a batch are held back or called back.
const RuleHeld = "COMPILE-HELD"

// held reports that bars of a batch are held back or called back: labels for them are not
// for selling them.
func (s subject) held() []finding.Finding {
	if s.batch == nil {
		return nil
	}
	var found []finding.Finding
	report := func(e formula.Event, message string) {
		found = append(found, finding.Finding{
			Level: finding.Warn, Rule: RuleHeld, At: e.What.At, Message: fmt.Sprintf("the batch %s %s", s.batch.Code.V, message),
			Remedy: "do not sell its bars before somebody who answers for them has released them, with a note in the record",
		})
	}
	bars := register.Bars(register.StockOf(*s.batch))
	for _, e := range s.batch.Events {
		switch {
		case e.What.V == "recalled":
			report(e, fmt.Sprintf("is called back since %s", e.Date.V))
		case e.What.V == "withheld" && bars.Withheld > 0 && bars.OnHand == 0:
			report(e, fmt.Sprintf("is held back since %s", e.Date.V))
		}
	}
	return found
}
