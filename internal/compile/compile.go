// Package compile holds the order of the stages, once, for the command line and
// for the browser: formula, bar, declaration, label, band, sheet. It adds no
// judgement of its own; it passes values down and gathers the findings.
package compile

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/band"
	"saponym/internal/bar"
	"saponym/internal/check"
	"saponym/internal/day"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/label"
	"saponym/internal/market"
	"saponym/internal/shop"
	"saponym/templates"
)

// An Order says what is to be compiled.
type Order struct {
	Formula   string // id
	Market    string // id of a rule set
	On        day.Day
	Style     market.Style // one of [Styles]
	Cut       string       // "" for the first one
	Batch     string       // the code to print; "" for none
	Made      day.Day      // the zero Day if it is not known; On serves in its place
	Template  string
	Look      string
	Colourway string // "" for the first of the look
}

// An UnknownError says that an order names something that is not there.
type UnknownError = shop.UnknownError

// Markets gives the ids of all rule sets.
func Markets() []string { return market.IDs() }

// KnownMarket gives an [*UnknownError] for what is no rule set.
func KnownMarket(id string) error {
	if slices.Contains(market.IDs(), id) {
		return nil
	}
	return &UnknownError{What: "market", Name: id, Nearest: market.Nearest(id)}
}

// Styles gives the styles of a declaration, the usual one first.
func Styles() []string { return []string{string(market.AsCured), string(market.AsMade)} }

// Declare makes the declaration of a formula in a market. Its findings are all
// that was found on the way, from the documents on. Where one of them is a stop,
// there may be no ingredients.
func Declare(folder *shop.Folder, o Order) (declare.Declaration, error) {
	doc, law, err := find(folder, o)
	if err != nil {
		return declare.Declaration{}, err
	}
	d, _, err := declareFormula(folder, doc, law, o)
	return d, err
}

// find gives the formula and the law that an order names.
func find(folder *shop.Folder, o Order) (formula.Formula, *market.Law, error) {
	doc, err := folder.Formula(o.Formula)
	if err != nil {
		return formula.Formula{}, nil, err
	}
	if err := KnownMarket(o.Market); err != nil {
		return formula.Formula{}, nil, err
	}
	if !slices.Contains(Styles(), string(o.Style)) {
		return formula.Formula{}, nil, &UnknownError{What: "style", Name: string(o.Style)}
	}
	law, err := market.On(o.Market, o.On)
	return doc, law, err
}

// declareFormula makes a declaration, and tells the class that the law puts the bar in.
func declareFormula(folder *shop.Folder, doc formula.Formula, law *market.Law, o Order) (declare.Declaration, string, error) {
	class := law.Class
	d := declare.Declaration{
		Formula: doc.ID, Market: law.Market, On: law.On, Style: o.Style,
		Ingredients: []declare.Ingredient{}, Allergens: []declare.Allergen{},
	}
	found := append(slices.Clone(folder.Findings(doc)), unknownMarkets(folder)...)
	if finding.Worst(found) == finding.Stop {
		// Not whole enough to be poured; but slips in names can be told.
		found = append(found, bar.Unknown(doc, folder.Library)...)
	} else {
		batter, more := bar.Pour(doc, folder.Library)
		found = append(found, more...)
		if batter != nil {
			found = append(found, check.Claims(doc, batter.Mass())...)
			declared, err := declare.Compile(batter, law, o.Style)
			switch {
			case err == nil:
				d = declared
				found = append(found, d.Findings...)
				over, err := check.Scents(batter)
				if err != nil {
					return d, class, fmt.Errorf("checking the scents of %s: %w", doc.ID, err)
				}
				found = append(found, over...)
				var other []finding.Finding
				if class, other, err = check.Soap(batter, law); err != nil {
					return d, class, fmt.Errorf("checking the soap in %s: %w", doc.ID, err)
				}
				found = append(found, other...)
			case !errors.Is(err, bar.ErrLyeHeavy) || finding.Worst(more) < finding.Stop:
				return d, class, fmt.Errorf("declaring %s: %w", doc.ID, err)
			}
		}
	}
	d.Findings = tidy(folder, found)
	return d, class, nil
}

// RuleMarket is the finding that the shop names a market without a rule set.
const RuleMarket = "COMPILE-MARKET"

// unknownMarkets reports markets of the shop that no rule set is there for: a
// maker could else believe that they were judged.
func unknownMarkets(folder *shop.Folder) []finding.Finding {
	var found []finding.Finding
	for _, m := range folder.Shop.Markets {
		if slices.Contains(market.IDs(), m.V) {
			continue
		}
		remedy := "take it out, or choose from: " + strings.Join(market.IDs(), ", ")
		if near := market.Nearest(m.V); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		found = append(found, finding.Finding{Level: finding.Warn, Rule: RuleMarket, At: m.At,
			Message: fmt.Sprintf("this version has no rule set %q: nothing is judged for that market", m.V), Remedy: remedy})
	}
	return found
}

// A Label is one compiled label. Where a finding is a stop there is no band.
type Label struct {
	Declaration declare.Declaration
	Content     label.Content
	Cut         formula.Cut
	Law         *market.Law
	Class       string // what the law takes the bar for
	Band        *band.Laid
	Proof       []check.Particular
	Findings    []finding.Finding
}

// RuleCut is the finding that a formula has no bars to label.
const RuleCut = "COMPILE-CUT"

// Band makes the label of one cut of a formula in a market, up to the measured
// drawing.
func Band(folder *shop.Folder, o Order) (Label, error) {
	doc, law, err := find(folder, o)
	if err != nil {
		return Label{}, err
	}
	l := Label{Law: law}
	if l.Declaration, l.Class, err = declareFormula(folder, doc, law, o); err != nil {
		return Label{}, err
	}
	l.Findings = slices.Clone(l.Declaration.Findings)
	if l.Cut, err = cut(doc, o.Cut); err != nil {
		return Label{}, err
	}
	if len(doc.Cuts) == 0 {
		l.Findings = append(l.Findings, finding.Finding{
			Level: finding.Stop, Rule: RuleCut, At: doc.Name.At, Market: law.Market,
			Message: "the formula has no cuts, so there is no bar to put a label on",
			Remedy:  "write cuts: {bar: {count: 10, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}",
		})
	}
	if len(l.Declaration.Ingredients) > 0 && len(doc.Cuts) > 0 {
		making := label.Making{Made: o.Made, Batch: o.Batch}
		if making.Made.IsZero() {
			making.Made, making.Assumed = o.On, true
		}
		content, found, err := label.Compile(doc, folder.Shop, l.Cut, l.Declaration, law, making)
		if err != nil {
			return Label{}, err
		}
		l.Content = content
		l.Findings = append(l.Findings, found...)
		if finding.Worst(l.Findings) < finding.Stop {
			if err := l.draw(o); err != nil {
				return Label{}, err
			}
		}
	}
	// What is wrong on the paper hangs on the cut: its size and its words.
	for i, f := range l.Findings {
		if f.At == (finding.Pos{}) {
			l.Findings[i].At = l.Cut.Name.At
		}
	}
	l.Findings = tidy(folder, l.Findings)
	return l, nil
}

// draw lays the label out and measures the result.
func (l *Label) draw(o Order) error {
	template, look, err := design(o)
	if err != nil {
		return err
	}
	laid, found, err := band.Lay(l.Content, template, look, band.Options{Colourway: o.Colourway})
	if err != nil {
		return fmt.Errorf("laying out %s: %w", l.Content.Formula, err)
	}
	if err := optionFault(found, band.RuleColourway); err != nil {
		return err
	}
	l.Findings = append(l.Findings, found...)
	if finding.Worst(found) == finding.Stop {
		return nil
	}
	l.Findings = append(l.Findings, band.Inspect(laid, l.Content)...)
	proof, found, err := check.Paper(l.Content, laid.Scene)
	if err != nil {
		return err
	}
	l.Findings = append(l.Findings, found...)
	if finding.Worst(l.Findings) < finding.Stop {
		l.Band, l.Proof = &laid, proof
	}
	return nil
}

// cut finds a cut of a formula by its name.
func cut(doc formula.Formula, name string) (formula.Cut, error) {
	if name == "" && len(doc.Cuts) > 0 {
		return doc.Cuts[0], nil
	}
	for _, c := range doc.Cuts {
		if c.Name.V == name {
			return c, nil
		}
	}
	if name == "" {
		return formula.Cut{}, nil
	}
	return formula.Cut{}, &UnknownError{What: "cut", Name: name}
}

// The template and the look that are taken where none is named.
const (
	DefaultTemplate = "wrap-band"
	DefaultLook     = "courtyard"
)

// design reads the template and the look of an order.
func design(o Order) (band.Template, band.Look, error) {
	text, err := builtin("template", o.Template, DefaultTemplate)
	if err != nil {
		return band.Template{}, band.Look{}, err
	}
	template, found, err := band.ReadTemplate("templates/"+o.Template, text)
	if err := fault(found, err); err != nil {
		return band.Template{}, band.Look{}, err
	}
	if text, err = builtin("look", o.Look, DefaultLook); err != nil {
		return band.Template{}, band.Look{}, err
	}
	look, found, err := band.ReadLook("templates/"+o.Look, text)
	return template, look, fault(found, err)
}

// builtin reads a template or a look; the first key of the file says which it is.
func builtin(kind, id, usual string) ([]byte, error) {
	if id == "" {
		id = usual
	}
	text, err := templates.FS.ReadFile(id + ".yaml")
	if err != nil || !bytes.Contains(text, []byte("\n"+kind+": "+id)) {
		return nil, &UnknownError{What: kind, Name: id}
	}
	return text, nil
}

// fault makes an error of what is wrong with built-in data.
func fault(found []finding.Finding, err error) error {
	if i := slices.IndexFunc(found, func(f finding.Finding) bool { return f.Level == finding.Stop }); err == nil && i >= 0 {
		err = errors.New(found[i].Text())
	}
	if err != nil {
		return fmt.Errorf("reading a built-in template: %w", err)
	}
	return nil
}

// An OptionError says that a choice for printing is none that there is.
type OptionError struct{ Message, Remedy string }

func (e *OptionError) Error() string { return e.Message + "; " + e.Remedy }

// optionFault gives an [*OptionError] for a finding that is about a choice and not
// about the soap.
func optionFault(found []finding.Finding, rules ...string) error {
	for _, f := range found {
		if slices.Contains(rules, f.Rule) {
			return &OptionError{f.Message, f.Remedy}
		}
	}
	return nil
}

// tidy puts findings in reading order, drops what was found twice, and gives each
// the line that it points into.
func tidy(folder *shop.Folder, found []finding.Finding) []finding.Finding {
	all := append([]finding.Finding{}, found...)
	folder.Excerpt(all)
	finding.Sort(all)
	return slices.Compact(all)
}
