package compile

import (
	"errors"

	"saponym/internal/finding"
	"saponym/internal/label"
	"saponym/internal/scene"
	"saponym/internal/sheet"
)

// A Print says on what and how often a label is printed.
type Print struct {
	Paper string // an id of package sheet; "" for what printers in the market hold
	Start int    // the first place used on the first sheet, from 0
	Count int    // 0 for as many as the formula says the cut gives
}

// Title gives the title of what is printed of a label.
func (l Label) Title() string {
	name, _ := l.Content.Find(label.DutyName)
	return name.Words() + ": labels for " + l.Law.Name
}

// errNoBand says that a label was to be printed that was stopped.
var errNoBand = errors.New("printing a label that has no band")

// Sheet puts a label on sheets of paper. Where a finding is a stop there is no
// document. The error may be an [*OptionError].
func Sheet(l Label, maker string, p Print) (scene.Document, []finding.Finding, error) {
	if l.Band == nil {
		return scene.Document{}, nil, errNoBand
	}
	if p.Paper == "" {
		p.Paper = l.Law.Paper
	}
	if p.Count == 0 {
		p.Count = max(1, l.Cut.Count.V)
	}
	name, _ := l.Content.Find(label.DutyName)
	claim, _ := l.Content.Find(label.DutyNetQuantity)
	piece := sheet.Piece{Scene: l.Band.Scene, Count: p.Count, Folds: l.Band.Blank.Folds, Trim: l.Band.Blank.Trim}
	options := sheet.Options{Paper: p.Paper, Start: p.Start, Footer: sheet.Footer{
		Product: name.Words(), Market: l.Law.Market, Claim: claim.Words(),
	}}
	imposed, found, err := sheet.Impose([]sheet.Piece{piece}, options)
	if fault := optionFault(found, sheet.RulePaper, sheet.RuleStart, sheet.RuleCount); fault != nil {
		return scene.Document{}, nil, fault
	}
	for i := range found {
		found[i].At, found[i].Market = l.Cut.Name.At, l.Law.Market
	}
	if err != nil || finding.Worst(found) == finding.Stop {
		return scene.Document{}, found, err
	}
	return scene.Document{
		Title:  l.Title(),
		Author: maker, Language: l.Content.Language, Date: l.Law.On,
		Sheets: []scene.Sheet{imposed},
	}, found, nil
}
