package compile

import (
	"fmt"
	"strings"

	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/measure"
	"saponym/internal/source"
)

// mostPacked is more bars than go into one pack.
const mostPacked = 1000

// pack gives the net weight of several bars that are sold together: "3" of the cut,
// "bar=2,guest=1" of several cuts, or "millpond=2,hay-meadow=1" of several formulas, each by
// its claim.
func (w *weigher) pack(typed string) (*PackAnswer, error) {
	var kinds []market.Packed
	bars, seen := 0, map[string]bool{}
	for _, one := range strings.Split(typed, ",") {
		name, count, named := strings.Cut(strings.TrimSpace(one), "=")
		cut, called := w.cut, ""
		if !named {
			name, count = w.cut.Name.V, name
		} else if called = name; name != w.cut.Name.V {
			var err error
			if cut, called, err = w.cutNamed(name); err != nil {
				return nil, err
			}
		}
		n, err := measure.ParseCount(count)
		if err != nil || n < 1 || n > mostPacked {
			return nil, &OptionError{fmt.Sprintf("%q is no number of bars", count), `write for example --pack 3, or --pack bar=2,guest=1`}
		}
		if !cut.Claim.Given() {
			return nil, &OptionError{fmt.Sprintf("the cut %q claims no net weight, so a pack of it has none", cut.Name.V), "give one with --claim, or write claim: 4 oz into the cut"}
		}
		if seen[name] {
			return nil, &OptionError{fmt.Sprintf("the pack %q does not say of each kind once how many bars there are", typed), `write for example --pack 3, or --pack bar=2,guest=1`}
		}
		seen[name] = true
		bars += n
		each, _ := w.form.Typed(cut.Claim.V, w.writing)
		kinds = append(kinds, market.Packed{Count: n, Name: w.called(called, n), Each: each})
	}
	if bars < 2 {
		return nil, &OptionError{"a pack is of two bars or more", "leave --pack out for a single bar"}
	}
	claim, ok := w.form.Pack(kinds, w.writing)
	if !ok {
		return nil, &OptionError{"the claim of a bar in the pack is too small to be printed", "give a larger one"}
	}
	return &PackAnswer{claim.Words, claim.Total.Metric.Grams()}, nil
}

// called gives the name of so many bars of a kind: in a form with words they are called
// bars.
func (w *weigher) called(kind string, bars int) string {
	if kind == "" || w.form != market.USDual {
		return kind
	}
	kind = strings.TrimSuffix(strings.TrimSuffix(kind, "bars"), "bar")
	if kind = strings.TrimSpace(strings.TrimSpace(kind) + " bar"); bars > 1 {
		kind += "s"
	}
	return kind
}

// cutNamed gives a cut of the formula, or the first one of another formula, with its name
// for a buyer.
func (w *weigher) cutNamed(name string) (formula.Cut, string, error) {
	var names []string
	for _, c := range w.doc.Cuts {
		if c.Name.V == name {
			return c, name, nil
		}
		names = append(names, c.Name.V)
	}
	if doc, err := w.folder.Formula(name); err == nil && len(doc.Cuts) > 0 {
		return doc.Cuts[0], doc.Name.V, nil
	}
	names = append(names, w.folder.IDs()...)
	return formula.Cut{}, "", &UnknownError{What: "cut or formula", Name: name, Nearest: source.Nearest(name, names), Known: strings.Join(names, ", ")}
}
