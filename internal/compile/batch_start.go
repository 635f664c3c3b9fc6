package compile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saponym/inci"
	"saponym/internal/bar"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/register"
	"saponym/internal/shop"
)

// A StartOrder says what batch is begun.
type StartOrder struct {
	Formula  string // id; none for a material
	Material string // the id of a material that is made: a premix, a master lye, an infusion
	Made     day.Day
	On       day.Day // today
	Code     string  // "" for the next one
	By       string
	Place    string
	Parents  []string
	Rework   string // the code of a batch of the same formula that is worked again whole
}

// A Started is the answer of batch start. Its JSON form is a contract.
type Started struct {
	Code     string            `json:"code"`
	Formula  string            `json:"formula"`
	Material string            `json:"material,omitempty"`
	Made     day.Day           `json:"made"`
	File     string            `json:"file"`
	Frozen   string            `json:"frozen"`
	Findings []finding.Finding `json:"findings"`
}

// StartBatch begins the record of a batch, and gives its code. A formula that a finding
// stops is not made, so it gets no code. The error may be a [*register.Refused], a
// [*register.FormError], an [*OptionError] or an [*UnknownError].
func StartBatch(folder *shop.Folder, o StartOrder) (Started, error) {
	start := register.Start{Made: o.Made, Code: o.Code, By: o.By, Place: o.Place, Rework: o.Rework}
	s := Started{Made: o.Made}
	if o.On.Before(o.Made) {
		return s, &OptionError{fmt.Sprintf("the batch is made on %s, and today is %s", o.Made, o.On), "begin its record on the day on which it is made, or later"}
	}
	for _, p := range o.Parents {
		b, err := Batch(folder, p)
		if err != nil {
			return s, err
		}
		start.Parents = append(start.Parents, b.Code.V)
	}
	if _, err := folder.Formula(o.Code); err == nil && o.Code != "" {
		return s, &OptionError{fmt.Sprintf("%q is the id of a formula", o.Code), "choose another code"}
	}
	var found []finding.Finding
	if o.Material != "" {
		m, ok := folder.Library.Find(o.Material)
		if !ok {
			return s, &UnknownError{What: "material", Name: o.Material, Nearest: folder.Library.Nearest(o.Material)}
		}
		start.Material, s.Material = m.ID, m.ID
		start.Documents = folder.MaterialDocuments(formula.Text{V: m.ID, At: finding.Pos{Line: 1}})
		if sub, ok := inci.ByID(m.ID); ok {
			start.Figures = []inci.Substance{sub}
		}
	} else {
		doc, err := folder.Formula(o.Formula)
		if err != nil {
			return s, err
		}
		if o.Rework != "" {
			old, err := Batch(folder, o.Rework)
			if err != nil {
				return s, err
			}
			if formula.ID(old.Formula.V) != doc.ID {
				return s, &OptionError{fmt.Sprintf("the batch %s is one of %s, not of %s", old.Code.V, old.Formula.V, doc.ID), "a batch that is worked again stays one of its formula; name that"}
			}
			if gone := old.Gone(); gone > 0 {
				return s, &OptionError{fmt.Sprintf("%d bars of the batch %s are gone, so not all of it can be worked again", gone, old.Code.V), "get them back first; a part of a batch cannot be worked again"}
			}
			for _, e := range old.Events {
				if e.What.V == "reworked" && !e.Count.Given() {
					return s, &OptionError{fmt.Sprintf("the batch %s was worked again already (%s)", old.Code.V, cmp.Or(e.Note.V, e.ID)), "a whole batch goes into one other only"}
				}
			}
			start.Rework = old.Code.V
		}
		start.Formula, s.Formula = doc.ID, doc.ID
		start.Documents, start.Figures = folder.Documents(doc), folder.Library.Builtins(doc)
		found = folder.Findings(doc)
		if finding.Worst(found) < finding.Stop {
			_, more := bar.Pour(doc, folder.Library)
			found = append(found, more...)
		}
	}
	s.Findings = tidy(folder, slices.DeleteFunc(found, func(f finding.Finding) bool { return f.Level < finding.Stop }))
	if len(s.Findings) > 0 {
		return s, nil
	}
	begun, err := register.Begin(folder.Dir, folder.Shop.Codes, start)
	s.Code, s.File, s.Frozen = begun.Code, begun.File, begun.Frozen
	if err == nil && start.Rework != "" {
		err = Add(folder, start.Rework, o.On, Happening{Date: o.Made.String(), What: "reworked", Note: "in " + s.Code})
	}
	return s, err
}

// An UnknownCode says that a shop has no batch with a code. Fits says that the code has the
// check character of the shop's form, so that it was hardly mistyped.
type UnknownCode struct {
	Code   string
	Fits   bool
	Likely []string // codes that were probably meant, with what they are of
}

func (e *UnknownCode) Error() string {
	message := fmt.Sprintf("there is no batch %q", e.Code)
	if e.Fits {
		message += ": its check character fits, so it may be one of another shop, or its record is not here"
	} else {
		message += ": its check character does not fit, so it was misread or mistyped"
	}
	if len(e.Likely) > 0 {
		message += "; most likely " + strings.Join(e.Likely, ", or ")
	}
	return message
}

// Batch finds a batch by its code. The error is an [*UnknownCode] with the codes that were
// probably meant, a [*NoDocument] for a file that holds no record, or one of the file
// system.
func Batch(folder *shop.Folder, code string) (formula.Batch, error) {
	b, ok, err := findBatch(folder, code)
	if ok || err != nil {
		return b, err
	}
	unknown := &UnknownCode{Code: code}
	if form, err := register.NewForm(folder.Shop.Codes); err == nil {
		unknown.Fits = form.Fits(code)
	}
	for _, likely := range register.Likely(code, folder.Codes()) {
		if b, ok := folder.Batch(likely); ok {
			unknown.Likely = append(unknown.Likely, fmt.Sprintf("%s (%s, made %s)", likely, whatOf(b), b.Made.V))
		}
	}
	return b, unknown
}

// whatOf says what a batch is of.
func whatOf(b formula.Batch) string {
	if b.MakesMaterial() && b.Material.Given() {
		return b.Material.V
	}
	return b.Formula.V
}
