package compile

import (
	"fmt"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/paper/recall"
	"saponym/internal/register"
	"saponym/internal/scene"
	"saponym/internal/sheet"
	"saponym/internal/shop"
)

// Recall makes the sheet to call bars of a lot back by, for a day.
func (a LotAnswer) Recall(folder *shop.Folder, on day.Day) (recall.Sheet, error) {
	s := recall.Sheet{Maker: folder.Shop.Maker, Of: "lot " + a.Lot, Lot: a.Lot, On: on}
	for _, h := range a.hits {
		if h.What == "" && h.Record.Code.V == a.Lot {
			s.Of = "batch " + a.Lot
		}
		s.Batches = append(s.Batches, recall.Batch{
			Record: h.Record, Product: h.Product, What: h.What, Via: h.Via, Stock: register.StockOf(h.Record),
		})
	}
	var places []string
	for _, m := range folder.Shop.Markets {
		law, err := market.On(m.V, on)
		if err != nil {
			continue // a market that this version does not know, which is told elsewhere
		}
		s.Authorities = append(s.Authorities, fmt.Sprintf("%s: %s", law.Market, law.Authority))
		if place, err := market.Place(m.V); err == nil {
			places = append(places, place)
		}
	}
	var err error
	s.Reports, err = reports(places)
	return s, err
}

// reports gives until when a serious event has to be told, place by place.
func reports(places []string) ([]string, error) {
	var lines []string
	told := map[string]bool{}
	for _, place := range places {
		deadlines, err := market.Deadlines(place)
		if err != nil {
			return nil, err
		}
		for _, d := range deadlines {
			if d.What != market.SeriousEvent || told[d.ID] {
				continue
			}
			told[d.ID] = true
			within := fmt.Sprintf("within %d days", d.Days)
			if d.Business {
				within = fmt.Sprintf("within %d business days", d.Days)
			}
			line := fmt.Sprintf("%s: a %s is told to %s %s of the %s", place, d.What, d.To, within, d.From)
			if d.With != "" {
				line += ", with " + d.With
			}
			lines = append(lines, fmt.Sprintf("%s (%s)%s", line, d.Cite, unconfirmed(d.Confirmed)))
		}
	}
	return lines, nil
}

// RecallPaper lays a recall sheet out on paper: an id of package sheet, or "" for what
// printers in a market hold. The error may be an [*OptionError].
func RecallPaper(s recall.Sheet, paper, in string, on day.Day) (scene.Document, []finding.Finding, error) {
	stock, err := paperFor(paper, in, on)
	if err != nil {
		return scene.Document{}, nil, err
	}
	return s.Document(stock.Size)
}

// paperFor gives the paper with an id, or that which printers in a market hold.
func paperFor(paper, in string, on day.Day) (sheet.Paper, error) {
	if paper == "" {
		first, _, _ := strings.Cut(in, together)
		law, err := market.On(first, on)
		if err != nil {
			return sheet.Paper{}, err
		}
		paper = law.Paper
	}
	stock, ok := sheet.PaperNamed(paper)
	if !ok {
		return stock, &OptionError{fmt.Sprintf("there is no paper %q", paper), "choose letter or a4"}
	}
	return stock, nil
}
