// Package compile holds the order of the stages, once, for the command line and
// for the browser: formula, bar, declaration, label, band, sheet. It adds no
// judgement of its own; it passes values down and gathers the findings.
package compile

import (
	"bytes"
	"cmp"
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
	"saponym/internal/source"
	"saponym/templates"
)

// An Order says what is to be compiled.
type Order struct {
	Formula   string // id, or the code of a batch
	Market    string // id of a rule set, or several with a plus between them for a label that serves them all
	On        day.Day
	Style     market.Style // one of [Styles]
	Cut       string       // "" for the first one
	Batch     string       // the code to print; "" for none. One that the shop has a file of brings its days
	Made      day.Day      // the zero Day if it is not known: that of the batch, or else On, serves in its place
	Template  string
	Look      string
	Colourway string // "" for the first of the look
}

// An UnknownError says that an order names something that is not there.
type UnknownError = shop.UnknownError

// Markets gives the ids of all rule sets.
func Markets() []string { return market.IDs() }

// KnownMarket gives an [*UnknownError] for what is no rule set, nor several with a
// plus between them.
func KnownMarket(markets string) error {
	var named []string
	for _, id := range strings.Split(markets, together) {
		if !slices.Contains(market.IDs(), id) {
			return &UnknownError{What: "market", Name: id, Nearest: market.Nearest(id), Known: strings.Join(market.IDs(), ", ")}
		}
		if slices.Contains(named, id) {
			return &OptionError{fmt.Sprintf("the market %q is named twice in %q", id, markets), "name it once"}
		}
		named = append(named, id)
	}
	return nil
}

// Styles gives the styles of a declaration, the usual one first.
func Styles() []string { return []string{string(market.AsCured), string(market.AsMade)} }

// A Declared is a declaration with whom to ask. Its JSON form is a contract.
type Declared struct {
	declare.Declaration
	Notice string `json:"notice"`
}

// Declare makes the declaration of a formula in a market. Its findings are all
// that was found on the way, from the documents on. Where one of them is a stop,
// there may be no ingredients.
func Declare(folder *shop.Folder, o Order) (Declared, error) {
	s, err := find(folder, &o)
	if err != nil {
		return Declared{}, err
	}
	d, _, err := s.declare(folder, o)
	return Declared{d, notice(s.law)}, err
}

// declare makes a declaration, and tells the class that the law puts the bar in.
func (s subject) declare(folder *shop.Folder, o Order) (declare.Declaration, check.Class, error) {
	doc, law := s.doc, s.law
	class := check.Class{Name: law.Class}
	d := declare.Declaration{
		Formula: doc.ID, Market: law.Market, On: law.On, Style: o.Style,
		Ingredients: []declare.Ingredient{}, Allergens: []declare.Allergen{},
	}
	found := slices.Concat(s.documents(folder), unknownMarkets(folder), s.places(folder.Shop), s.conflicting())
	if finding.Worst(found) == finding.Stop {
		// Not whole enough to be poured; but slips in names can be told.
		found = append(found, bar.Unknown(doc, s.library)...)
	} else {
		batter, more := s.pour()
		found = append(found, more...)
		if batter != nil {
			found = append(found, check.Claims(doc, batter.Mass())...)
			if cut, err := cut(doc, o.Cut); err == nil {
				found = append(found, s.weigh(folder, batter, cut)...)
			}
			declared, err := declare.Compile(batter, law, o.Style)
			switch {
			case err == nil:
				d = declared
				found = append(found, d.Findings...)
				if class, more, err = s.gate(batter, s.library); err != nil {
					return d, class, fmt.Errorf("checking %s: %w", doc.ID, err)
				}
				found = append(found, more...)
			case !errors.Is(err, bar.ErrLyeHeavy) || finding.Worst(more) < finding.Stop:
				return d, class, fmt.Errorf("declaring %s: %w", doc.ID, err)
			}
		}
	}
	if placed := law.Days.Placed; !placed.IsZero() {
		d.Placed = &placed
	}
	d.Findings = tidy(folder, found)
	return d, class, nil
}

// gate is the gate of the formula: what is in the bar against what the law says of
// it.
func (s subject) gate(batter *bar.Batter, library formula.Library) (check.Class, []finding.Finding, error) {
	class := check.Class{Name: s.law.Class}
	var found []finding.Finding
	for _, law := range s.law.Each() {
		one, more, err := check.Soap(batter, law)
		if err != nil {
			return class, nil, err
		}
		class = class.With(one)
		found = append(found, more...)
		for _, judge := range []func(*bar.Batter, *market.Law) ([]finding.Finding, error){
			check.Substances, check.Colours, check.Fragrances, check.Statements,
		} {
			if more, err = judge(batter, law); err != nil {
				return class, nil, err
			}
			found = append(found, more...)
		}
	}
	if s.batch != nil {
		found = append(found, check.Lots(*s.batch, library)...)
	}
	return class, found, nil
}

// RuleMarket is the finding that the shop names a market without a rule set.
const RuleMarket = "COMPILE-MARKET"

// unknownMarkets reports markets of the shop that no rule set is there for: a
// maker could else believe that they were judged.
func unknownMarkets(folder *shop.Folder) []finding.Finding {
	var found []finding.Finding
	for _, m := range folder.Shop.Markets {
		if KnownMarket(m.V) == nil {
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
	Class       check.Class // what the law takes the bar for
	Recorded    string      // the code of the batch whose record the shop has, or ""
	Template    string      // its id
	Band        *band.Laid
	Proof       []check.Particular
	Findings    []finding.Finding
}

// RuleCut is the finding that a formula has no bars to label.
const RuleCut = "COMPILE-CUT"

// Band makes the label of one cut of a formula in a market, up to the measured
// drawing.
func Band(folder *shop.Folder, o Order) (Label, error) {
	s, err := find(folder, &o)
	if err != nil {
		return Label{}, err
	}
	l, err := s.label(folder, o)
	if err != nil {
		return Label{}, err
	}
	if len(l.Content.Statements) > 0 {
		later, err := s.ahead(folder, o, l.Declaration, l.Findings)
		if err != nil {
			return Label{}, err
		}
		l.Findings = append(l.Findings, later...)
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

// label makes the words of a label, with all that is found before it is drawn.
func (s subject) label(folder *shop.Folder, o Order) (Label, error) {
	l := Label{Law: s.law, Template: cmp.Or(o.Template, DefaultTemplate)}
	if s.batch != nil {
		l.Recorded = s.batch.Code.V
	}
	var err error
	if l.Declaration, l.Class, err = s.declare(folder, o); err != nil {
		return Label{}, err
	}
	l.Findings = append(slices.Clone(l.Declaration.Findings), slices.Concat(check.Gatekeepers(s.doc, s.law), s.held())...)
	if l.Cut, err = cut(s.doc, o.Cut); err != nil {
		return Label{}, err
	}
	if len(s.doc.Cuts) == 0 {
		l.Findings = append(l.Findings, noCuts(s))
	}
	if len(l.Declaration.Ingredients) == 0 || len(s.doc.Cuts) == 0 {
		return l, nil
	}
	last, _ := s.lastSale()
	making := label.Making{Made: o.Made, Batch: o.Batch, On: s.law.On, Last: last, Dried: s.dried(folder, l.Declaration.Batter, l.Cut)}
	if making.Made.IsZero() {
		making.Made, making.Assumed = o.On, true
	}
	content, found, err := label.Compile(s.doc, folder.Shop, l.Cut, l.Declaration, s.law, making)
	if err != nil {
		return Label{}, err
	}
	l.Content = content
	l.Findings = append(l.Findings, found...)
	return l, nil
}

// noCuts is the finding that a formula has no bars.
func noCuts(s subject) finding.Finding {
	return finding.Finding{
		Level: finding.Stop, Rule: RuleCut, At: s.doc.Name.At, Market: s.law.Market,
		Message: "the formula has no cuts, so there is no bar to put a label on",
		Remedy:  "write cuts: {bar: {count: 10, length: 80 mm, width: 55 mm, height: 25 mm, claim: 4 oz}}",
	}
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
	var names []string
	for _, c := range doc.Cuts {
		if c.Name.V == name {
			return c, nil
		}
		names = append(names, c.Name.V)
	}
	if name == "" {
		return formula.Cut{}, nil
	}
	return formula.Cut{}, &UnknownError{What: "cut", Name: name, Nearest: source.Nearest(name, names), Known: strings.Join(names, ", ")}
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
