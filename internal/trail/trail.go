// Package trail leads from a word of a declaration back to what was weighed: the line of
// the formula, the grams, the share in it and the supplier's statement, with the
// arithmetic of each step.
package trail

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"saponym/internal/bar"
	"saponym/internal/declare"
	"saponym/internal/finding"
	"saponym/internal/formula"
)

// A Trail is where a word of a declaration comes from. Its JSON form is a contract.
type Trail struct {
	Word  string          `json:"word"`
	Share declare.Percent `json:"share_percent"`    // of the bar
	Grams float64         `json:"grams"`            // in the whole batch
	Bar   float64         `json:"bar_g"`            // what the whole batch weighs
	NoLye string          `json:"no_lye,omitempty"` // why no weight of lye is given; "" where it is
	Steps []Step          `json:"steps"`
}

// A Step is what one part of one weighed thing gives to the word.
type Step struct {
	From      string          `json:"from"`  // the line of the formula: "pot[0] pantry-base"
	Name      string          `json:"name"`  // what is weighed
	Grams     *float64        `json:"grams"` // of it; nil for what goes into a lye of which no weight is given
	Part      string          `json:"part"`  // the part of it that is meant
	Share     declare.Percent `json:"share"` // of the part in it, in per cent
	Becomes   string          `json:"becomes"`
	Working   string          `json:"working"` // the arithmetic
	Gives     float64         `json:"gives_g"`
	Statement string          `json:"statement"` // of the supplier, with its date, or "published in" and the document; "" where there is neither
	Lot       string          `json:"lot"`       // several are set apart by commas; "" where no batch is asked for, or its record has none
	At        string          `json:"at"`        // file:line:col
}

// Of gives the trail of a word, in whatever capitals, for a declaration in the style as
// cured. It is false where the declaration has no such word.
func Of(d declare.Declaration, word string) (Trail, bool) {
	i := slices.IndexFunc(d.Ingredients, func(in declare.Ingredient) bool { return strings.EqualFold(in.Name, strings.TrimSpace(word)) })
	if i < 0 || d.Bar == nil {
		return Trail{}, false
	}
	in := d.Ingredients[i]
	masses := d.Bar.Masses()
	t := Trail{Word: in.Name, Share: in.Share, Bar: d.Bar.Total(masses), NoLye: noLye(d), Steps: []Step{}}
	t.Grams = in.Share.Nominal / 100 * t.Bar
	for _, l := range in.Lines {
		for _, term := range d.Bar.Lines[l].Terms {
			t.Steps = append(t.Steps, steps(d.Bar, term, t.NoLye != "")...)
		}
	}
	t.Steps = append(t.Steps, within(d, in)...)
	return t, true
}

// noLye says why no weight of lye is given, or "". Whatever stops the pot is a reason, as it
// is on the sheet to work from; what stops the lye itself is said before all else.
func noLye(d declare.Declaration) string {
	why := ""
	for _, f := range d.Findings {
		switch {
		case f.Level != finding.Stop || !strings.HasPrefix(f.Rule, "BAR-"):
		case f.Rule == bar.RuleLyeHeavy, f.Rule == bar.RuleLyeAmount:
			return strings.TrimSuffix(f.Message, ", so no weight of lye is given")
		case why == "":
			why = f.Message
		}
	}
	return why
}

// ofLye reports whether a source is the lye: an alkali, its solution, or its water.
func ofLye(s bar.Source) bool { return s.Ref == "lye.water" || strings.HasPrefix(s.Ref, "lye ") }

// steps gives the steps of one term: one, or for the water left one for each thing that
// brought water. Of a lye that is withheld they tell no grams. A reckoning that has no
// figure, such as of what share of nothing has reacted, is no step.
func steps(b *bar.Bar, t bar.Term, withheld bool) []Step {
	a := b.Account(t)
	if sum := a.Share.Low + a.Share.High + a.Part + a.Binds + a.Moles + a.Extent + a.MolarMass + a.Grams; math.IsNaN(sum) || math.IsInf(sum, 0) {
		return nil
	}
	if t.Product != bar.Moisture {
		return []Step{step(b, t, a, withheld)}
	}
	at, masses := b.Shown()
	var all []Step
	for i, s := range b.Sources {
		for j, part := range s.Parts {
			grams := s.Mass * at.Shares[i][j]
			if part.Role != bar.Water || part.Names.ID == "" || s.Bought != nil || grams == 0 {
				continue
			}
			share := b.Account(bar.Term{Source: i, Part: j, Product: bar.AsAdded}).Share
			left := fmt.Sprintf("%.1f %% of the bar of %.1f g is taken to be left of all water = %.1f g", 100*at.Water/b.Total(masses), b.Total(masses), at.Water)
			if !withheld || !ofLye(s) {
				left = fmt.Sprintf("%.1f g of water went in with it; ", grams) + left
			}
			all = append(all, Step{
				From: s.Ref, Name: s.Work.Name, Grams: told(s, withheld), Part: "water", At: s.At.String(), Statement: paper(s),
				Share:   declare.Percent{Low: 100 * share.Low, Nominal: 100 * at.Shares[i][j], High: 100 * share.High},
				Becomes: "in part the water left", Gives: a.Grams, Working: left,
			})
		}
	}
	return all
}

// noWeight stands in the place of the grams of a lye that is withheld.
const noWeight = "no weight is given"

// told gives the grams of a source, or nil where they are withheld.
func told(s bar.Source, withheld bool) *float64 {
	if withheld && ofLye(s) {
		return nil
	}
	return &s.Mass
}

// step gives the step of a term that is of one part.
func step(b *bar.Bar, t bar.Term, a bar.Account, withheld bool) Step {
	s := b.Sources[t.Source]
	st := Step{From: s.Ref, Name: s.Work.Name, Grams: told(s, withheld), Gives: a.Grams, Statement: paper(s), At: s.At.String()}
	st.Share = declare.Percent{Low: 100 * a.Share.Low, Nominal: 100 * a.Part / s.Mass, High: 100 * a.Share.High}
	if s.Mass == 0 {
		st.Share.Nominal = 0
	}
	if t.Product == bar.Whole {
		st.Part, st.Becomes = s.Work.Name, "is declared as it was bought, by what was added"
		st.Working = fmt.Sprintf("%.1f g", s.Mass)
		return st
	}
	if st.Part = s.Parts[t.Part].Names.EU; st.Part == "" {
		st.Part = s.Work.Name
	}
	if st.Grams == nil {
		st.Becomes, st.Working = "is in the bar", noWeight
		return st
	}
	part := fmt.Sprintf("%.1f g × %.4g %% = %.1f g", s.Mass, st.Share.Nominal, a.Part)
	switch t.Product {
	case bar.SodiumSoap, bar.PotassiumSoap:
		st.Becomes = "soap"
		st.Working = part
		if a.Moles > 0 {
			st.Working += fmt.Sprintf("; × %.4f mmol/g × %.4f reacted = %.1f mmol; × %.2f g/mol = %.1f g", 1000*a.Binds, a.Extent, 1000*a.Moles, a.MolarMass, a.Grams)
		} else {
			st.Becomes, st.Working = "its salt", part+fmt.Sprintf("; with the lye %.1f g", a.Grams)
		}
	case bar.Glycerol:
		st.Becomes = "glycerin"
		st.Working = part + fmt.Sprintf("; × %.4f mmol/g × %.4f reacted = %.1f mmol; × %.2f g/mol = %.2f g", 1000*a.Binds, a.Extent, 1000*a.Moles, a.MolarMass, a.Grams)
	case bar.Fatty, bar.Unreacted:
		st.Becomes = "is left over, with what cannot saponify"
		st.Working = part + fmt.Sprintf("; %.4f of it has reacted, %.2f g has not", a.Extent, a.Grams)
	default:
		st.Becomes, st.Working = "stays as it is", part
		if a.Part-a.Grams > 1e-6 {
			st.Becomes, st.Working = "stays in part", part+fmt.Sprintf("; %.1f g is left", a.Grams)
		}
	}
	return st
}

// paper tells which statement of the supplier a source rests on.
func paper(s bar.Source) string {
	if s.Material == nil {
		return ""
	}
	var words []string
	statement := s.Material.Statement
	if statement.Supplier.Given() {
		words = append(words, statement.Supplier.V)
	}
	if statement.Ref.Given() {
		words = append(words, statement.Ref.V)
	}
	if statement.Dated.Given() {
		words = append(words, statement.Dated.V.String())
	}
	return strings.Join(words, ", ")
}

// Lots fills in from which lots the weighed things were taken, as far as the record of a
// batch tells.
func (t *Trail) Lots(weighed []formula.Weighed) {
	for i := range t.Steps {
		_, name, ok := strings.Cut(t.Steps[i].From, " ")
		if !ok { // the water of the lye
			continue
		}
		var lots []string
		for _, w := range weighed {
			if formula.ID(w.Material.V) == formula.ID(name) && w.Lot.V != "" && !slices.Contains(lots, w.Lot.V) {
				lots = append(lots, w.Lot.V)
			}
		}
		t.Steps[i].Lot = strings.Join(lots, ", ")
	}
}

// Report gives the trail for a person, as a tree.
func (t Trail) Report() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %.3f %% of the bar (%.3f to %.3f), %.1f g of %.1f g\n", t.Word, t.Share.Nominal, t.Share.Low, t.Share.High, t.Grams, t.Bar)
	if t.NoLye != "" {
		fmt.Fprintf(&b, "no weight of lye is given: %s\n", t.NoLye)
	}
	for i, s := range t.Steps {
		branch, trunk := "├─ ", "│  "
		if i == len(t.Steps)-1 {
			branch, trunk = "└─ ", "   "
		}
		weighed := noWeight
		if s.Grams != nil {
			weighed = fmt.Sprintf("%.1f g of %s", *s.Grams, s.Name)
		}
		if s.Lot != "" {
			weighed += ", lot " + s.Lot
		}
		fmt.Fprintf(&b, "%s%s, %s  (%s)\n", branch, s.From, weighed, s.At)
		share := fmt.Sprintf("%.4g %%", s.Share.Nominal)
		if s.Share.High-s.Share.Low > 1e-6 {
			share += fmt.Sprintf(" (%.4g to %.4g)", s.Share.Low, s.Share.High)
		}
		fmt.Fprintf(&b, "%s%s of it is %s", trunk, share, s.Part)
		switch {
		case strings.HasPrefix(s.Statement, published):
			b.WriteString(", as " + s.Statement)
		case s.Statement != "":
			b.WriteString(", as stated by " + s.Statement)
		}
		fmt.Fprintf(&b, "\n%s%s: %s\n", trunk, s.Becomes, s.Working)
	}
	b.WriteByte('\n')
	return b.String()
}
