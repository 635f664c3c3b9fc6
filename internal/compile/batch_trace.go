package compile

import (
	"cmp"
	"slices"
	"strings"

	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/register"
	"saponym/internal/shop"
)

// A Traced is all that has to be at hand when somebody reads a code over the phone. Its
// JSON form is a contract.
type Traced struct {
	Code       string            `json:"code"`
	Formula    string            `json:"formula"`
	Name       string            `json:"name"`
	Made       *day.Day          `json:"made"`
	By         string            `json:"by"`
	CureDays   *int              `json:"cure_days"` // from the cutting to the packing, or to today
	Superfat   *float64          `json:"superfat_percent"`
	Lots       []TracedLot       `json:"lots"`
	Tests      []BatchEvent      `json:"tests"`
	Released   *BatchEvent       `json:"released"`
	Runs       []BatchRun        `json:"runs"`
	Complaints []Complaint       `json:"complaints"` // of the same batch
	Rate       *float64          `json:"complaints_per_1000_bars"`
	OfSameLots []Complaint       `json:"complaints_of_same_lots"` // of other batches that share a lot
	Movements  []BatchEvent      `json:"movements"`
	Stock      map[string]int    `json:"stock"`
	WentInto   []string          `json:"went_into"` // codes of batches that it is part of
	Keep       []Kept            `json:"keep"`
	Serious    []string          `json:"serious_outcomes"` // what makes an event serious
	Notice     string            `json:"notice"`
	Findings   []finding.Finding `json:"findings"`
}

// A TracedLot is a lot that is in the bars, with what its supplier stated.
type TracedLot struct {
	Material  string   `json:"material"`
	Name      string   `json:"name"`
	Lot       *string  `json:"lot"`
	Grams     *float64 `json:"weight_g"`
	Supplier  string   `json:"supplier,omitempty"`
	Received  *day.Day `json:"received,omitempty"`
	Statement string   `json:"statement,omitempty"` // its reference and its day
	Batch     string   `json:"batch"`               // in whose record the line stands
	Via       []string `json:"via"`                 // codes of the batches in between
}

// A Complaint is a complaint or an adverse event, with what it asks for.
type Complaint struct {
	Batch string `json:"batch"`
	BatchEvent
	Deadlines []Until `json:"deadlines"`
}

// An Until is a day on which something has to be done at the latest.
type Until struct {
	Place     string  `json:"place"`
	What      string  `json:"what"`
	Until     day.Day `json:"until"`
	To        string  `json:"to"`
	With      string  `json:"with,omitempty"`
	Note      string  `json:"note,omitempty"`
	Cite      string  `json:"cite"`
	Confirmed bool    `json:"confirmed"`
}

// A Kept is a record, and until when it is kept.
type Kept struct {
	Record string   `json:"record"`
	Place  string   `json:"place"` // "" for the practice of the trade
	Until  *day.Day `json:"until"` // null while what it counts from has not come
	After  string   `json:"after"`
	Cite   string   `json:"cite"`
	Known  string   `json:"known"`
}

// movements are the events in which bars go from one place to another.
var movements = []string{"sold", "given", "sampled", "withheld", "released", "returned", "recalled", "destroyed", "reworked", "lost"}

// TraceBatch gives the way back from a code. The error is that of [Batch].
func TraceBatch(folder *shop.Folder, index *register.Index, code string, on day.Day) (Traced, error) {
	a, err := ShowBatch(folder, code, on)
	if err != nil {
		return Traced{}, err
	}
	b := a.batch
	t := Traced{
		Code: a.Code, Formula: a.Formula, Name: a.name, Made: a.Made, By: a.By, Superfat: a.Superfat, Runs: a.Runs, Stock: a.Stock,
		Lots: []TracedLot{}, Tests: []BatchEvent{}, Complaints: []Complaint{}, OfSameLots: []Complaint{}, Movements: []BatchEvent{}, WentInto: []string{},
		Keep: []Kept{}, Serious: []string{}, Findings: a.Findings,
	}
	t.CureDays = cureDays(b, on)
	for _, s := range register.Back(b, folder.Batch) {
		t.Lots = append(t.Lots, lotOf(folder, b, s))
	}
	for _, e := range a.Events {
		switch {
		case e.What == "tested":
			t.Tests = append(t.Tests, e)
		case e.What == "released" && e.Count == nil:
			t.Released = &e
		}
		if slices.Contains(movements, e.What) {
			t.Movements = append(t.Movements, e)
		}
	}
	places := placesOf(folder.Shop, b)
	if t.Complaints, err = complaintsOf(b, places); err != nil {
		return t, err
	}
	if bars := register.Bars(a.cuts); bars.Made > 0 {
		rate := 1000 * float64(len(t.Complaints)) / float64(bars.Made)
		t.Rate = &rate
	}
	if err := t.shared(folder, index, b, places); err != nil {
		return t, err
	}
	if t.Keep, err = keptOf(b, a, folder, places); err != nil {
		return t, err
	}
	if t.Notice, err = shopNotice(folder.Shop, on); err != nil {
		return t, err
	}
	outcomes, err := market.SeriousOutcomes()
	for _, o := range outcomes {
		t.Serious = append(t.Serious, o.Name)
	}
	return t, err
}

// shopNotice says that nothing here is legal advice, and whom to ask in the markets of a
// shop.
func shopNotice(s formula.Shop, on day.Day) (string, error) {
	var markets []string
	for _, m := range s.Markets {
		if KnownMarket(m.V) == nil {
			markets = append(markets, m.V)
		}
	}
	if len(markets) == 0 {
		return "This is no legal advice: ask the authority of the place.", nil
	}
	return Notice(markets, on)
}

// cureDays counts the days from the first cutting to the first packing, or to today.
func cureDays(b formula.Batch, on day.Day) *int {
	p := register.ProgressOf(b)
	if p.Cut.IsZero() {
		return nil
	}
	end := on
	for _, packed := range b.Packed {
		if packed.Date.Given() && packed.Date.V.Before(end) {
			end = packed.Date.V
		}
	}
	days := p.Cut.DaysUntil(end)
	return &days
}

// lotOf gives a line on the way back, with what the supplier stated when the batch in whose
// record it stands was made.
func lotOf(folder *shop.Folder, b formula.Batch, s register.Source) TracedLot {
	lot := TracedLot{
		Material: cmp.Or(s.Material.V, s.Weighed.Batch.V), Supplier: s.Supplier.V, Received: dayOf(s.Received), Batch: s.Batch, Via: append([]string{}, s.Via...),
	}
	if s.Weight.Given() {
		grams := s.Weight.V.Grams()
		lot.Grams = &grams
	}
	if s.Lot.Given() {
		lot.Lot = &s.Lot.V
	}
	library := folder.Library
	if inside, ok := folder.Batch(s.Batch); ok {
		b = inside
	}
	if making, ok := folder.Library.Making(b, nil); ok {
		library = making.Library
	}
	m, ok := library.Find(s.Material.V)
	if ok && s.Material.Given() {
		lot.Name = cmp.Or(m.Name.V, m.ID)
	}
	if _, own := folder.Batch(s.Lot.V); own {
		lot.Supplier = "own"
	} else if ok && s.Material.Given() {
		lot.Supplier = cmp.Or(lot.Supplier, m.Statement.Supplier.V)
		if m.Statement.Dated.Given() {
			lot.Statement = strings.TrimSpace(m.Statement.Ref.V + " of " + m.Statement.Dated.V.String())
		}
	}
	return lot
}

// placesOf gives the places in which bars of a batch may be: those of the shop's markets,
// and those on which it was placed.
func placesOf(s formula.Shop, b formula.Batch) []string {
	var places []string
	add := func(place string) {
		if slices.Contains(market.Places(), place) && !slices.Contains(places, place) {
			places = append(places, place)
		}
	}
	for _, m := range s.Markets {
		if place, err := market.Place(m.V); err == nil {
			add(place)
		}
	}
	for place := range b.Placed {
		add(place)
	}
	slices.Sort(places)
	return places
}

// complaintsOf gives the complaints and the adverse events of a batch, with their
// deadlines.
func complaintsOf(b formula.Batch, places []string) ([]Complaint, error) {
	all := []Complaint{}
	for _, e := range b.Events {
		if e.What.V != "complaint" && e.What.V != "adverse event" {
			continue
		}
		c := Complaint{Batch: b.Code.V, BatchEvent: eventOf(e), Deadlines: []Until{}}
		for _, place := range places {
			deadlines, err := market.Deadlines(place)
			if err != nil {
				return nil, err
			}
			for _, d := range deadlines {
				if d.What != market.SeriousEvent || !e.Serious.V {
					continue
				}
				c.Deadlines = append(c.Deadlines, Until{place, d.What, d.Until(e.Date.V), d.To, d.With, d.Note, d.Cite, d.Confirmed})
			}
		}
		all = append(all, c)
	}
	return all, nil
}

// shared looks at the other batches of the same lots, and at those that this one went into.
func (t *Traced) shared(folder *shop.Folder, index *register.Index, b formula.Batch, places []string) error {
	seen := map[string]bool{b.Code.V: true}
	for _, lot := range t.Lots {
		if lot.Lot == nil {
			continue
		}
		others, err := index.WithLot(*lot.Lot)
		if err != nil {
			return err
		}
		for _, x := range others {
			if seen[x.Code] || !x.Complaints {
				continue
			}
			seen[x.Code] = true
			other, ok := folder.Batch(x.Code)
			if !ok {
				continue
			}
			more, err := complaintsOf(other, places)
			if err != nil {
				return err
			}
			t.OfSameLots = append(t.OfSameLots, more...)
		}
	}
	hits, err := index.Forward(b.Code.V)
	for _, h := range hits {
		t.WentInto = append(t.WentInto, h.Code)
	}
	return err
}

// keptOf gives the records that a batch makes, and until when each is kept.
func keptOf(b formula.Batch, a BatchAnswer, folder *shop.Folder, places []string) ([]Kept, error) {
	keepings, err := market.Keepings("")
	if err != nil {
		return nil, err
	}
	from := map[string]day.Day{}
	later := func(after string, d day.Day) {
		if from[after].Before(d) {
			from[after] = d
		}
	}
	for _, d := range b.Placed {
		later(market.LastPlacing, d.V)
		later(market.Supply, d.V)
	}
	for _, e := range b.Events {
		switch e.What.V {
		case "sold", "given":
			later(market.LastPlacing, e.Date.V)
			later(market.Supply, e.Date.V)
		case "complaint", "adverse event":
			later(market.Report, e.Date.V)
		}
	}
	if doc, err := folder.Formula(b.Formula.V); err == nil && doc.Keep.Durability.Given() && b.Made.Given() {
		later(market.ShelfLifeEnd, b.Made.V.AddMonths(doc.Keep.Durability.V))
	}
	all := []Kept{}
	for _, k := range keepings {
		if k.Place != "" && !slices.Contains(places, k.Place) {
			continue
		}
		kept := Kept{Record: k.Record, Place: k.Place, After: k.After, Cite: k.Cite, Known: string(k.Known)}
		if start, ok := from[k.After]; ok {
			until := start.AddMonths(12 * k.Default)
			kept.Until = &until
		}
		all = append(all, kept)
	}
	return all, nil
}

// A LotAnswer is where a lot went. Its JSON form is a contract.
type LotAnswer struct {
	Lot      string            `json:"lot"`
	Batches  []LotBatch        `json:"batches"`
	Bars     int               `json:"bars"`
	Findings []finding.Finding `json:"findings"`

	hits []LotHit
}

// A LotBatch is a batch that a lot went into.
type LotBatch struct {
	Code     string        `json:"code"`
	Formula  string        `json:"formula"`
	Made     day.Day       `json:"made"`
	Material string        `json:"material"` // what of the lot went in
	Via      []string      `json:"via"`
	Bars     int           `json:"bars"` // made
	OnHand   int           `json:"on_hand"`
	Sold     int           `json:"sold"`
	Runs     []LotBatchRun `json:"runs"`
}

// A LotBatchRun is a printing of labels for such a batch.
type LotBatchRun struct {
	Date   day.Day `json:"date"`
	Market string  `json:"market"`
	Count  int     `json:"count"`
}

// A LotHit is the record of such a batch.
type LotHit struct {
	Record  formula.Batch
	Product string
	What    string
	Via     []string
}

// TraceLot gives each batch that a lot went into, and by way of others. A lot may be the
// code of a batch. The error is an [*UnknownError] with the lot that was probably meant.
func TraceLot(folder *shop.Folder, index *register.Index, lot string, on day.Day) (LotAnswer, error) {
	a := LotAnswer{Lot: strings.TrimSpace(lot), Batches: []LotBatch{}, Findings: []finding.Finding{}}
	if own, ok, _ := findBatch(folder, lot); ok {
		a.Lot = own.Code.V
		a.add(folder, own, "", nil)
	}
	hits, err := index.Forward(a.Lot)
	if err != nil {
		return a, err
	}
	for _, h := range hits {
		if b, ok := folder.Batch(h.Code); ok {
			a.add(folder, b, h.What, h.Via)
		}
	}
	if len(a.Batches) == 0 {
		lots, err := index.Lots()
		if err != nil {
			return a, err
		}
		return a, &UnknownError{What: "lot", Name: lot, Nearest: nearestLot(lot, append(lots, folder.Codes()...))}
	}
	found, err := index.Faults()
	a.Findings = tidy(folder, found)
	return a, err
}

// nearestLot gives the lot that was probably meant.
func nearestLot(lot string, lots []string) string {
	if likely := register.Likely(lot, lots); len(likely) > 0 {
		return likely[0]
	}
	return ""
}

func (a *LotAnswer) add(folder *shop.Folder, b formula.Batch, what string, via []string) {
	bars := register.Bars(register.StockOf(b))
	one := LotBatch{
		Code: b.Code.V, Formula: formula.ID(b.Formula.V), Made: b.Made.V, Material: what, Via: append([]string{}, via...),
		Bars: bars.Made, OnHand: bars.OnHand, Sold: bars.Sold, Runs: []LotBatchRun{},
	}
	for _, r := range b.Runs {
		one.Runs = append(one.Runs, LotBatchRun{r.Date.V, r.Market.V, r.Printed.V})
	}
	a.Bars += bars.Made
	a.Batches = append(a.Batches, one)
	product := whatOf(b)
	if doc, err := folder.Formula(b.Formula.V); err == nil {
		product = doc.Name.V
	}
	a.hits = append(a.hits, LotHit{b, product, what, via})
}

// A BatchListed is one line of the list of batches. Its JSON form is a contract.
type BatchListed struct {
	Code    string         `json:"code"`
	Formula string         `json:"formula"`
	Makes   string         `json:"makes"`
	Made    day.Day        `json:"made"`
	OnHand  int            `json:"on_hand"`
	Sold    int            `json:"sold"`
	Due     []register.Due `json:"due"`
}

// ListBatches gives the batches in which all words are found, the youngest first: in the
// code, the formula, the day, a lot, its material or its supplier. With no words it gives
// all of them.
func ListBatches(index *register.Index, words []string, on day.Day) ([]BatchListed, []finding.Finding, error) {
	all := []BatchListed{}
	each := index.Each
	if len(words) == 0 {
		each = index.EachInShort
	}
	found := index.Alone()
	err := each(func(b register.Indexed) bool {
		if b.Fault != "" {
			found = append(found, b.Finding())
		} else if b.Has(words) {
			makes := "bars"
			if b.Progress.Material {
				makes = "material"
			}
			due := b.Progress.Dues(b.Code, on)
			if due == nil {
				due = []register.Due{}
			}
			all = append(all, BatchListed{b.Code, cmp.Or(b.Formula, b.Material), makes, b.Progress.Made, b.OnHand, b.Sold, due})
		}
		return true
	})
	if err != nil {
		return nil, nil, err
	}
	slices.SortStableFunc(all, func(a, b BatchListed) int {
		return cmp.Or(b.Made.Compare(a.Made), strings.Compare(b.Code, a.Code))
	})
	return all, found, nil
}

// DueBatches gives what batches want done on a day, the oldest first.
func DueBatches(index *register.Index, on day.Day) ([]register.Due, []finding.Finding, error) {
	all := []register.Due{}
	found := index.Alone()
	err := index.EachInShort(func(b register.Indexed) bool {
		if b.Fault != "" {
			found = append(found, b.Finding())
		}
		all = append(all, b.Progress.Dues(b.Code, on)...)
		return true
	})
	if err != nil {
		return nil, nil, err
	}
	slices.SortStableFunc(all, func(a, b register.Due) int {
		return cmp.Or(a.Since.Compare(b.Since), strings.Compare(a.Code, b.Code))
	})
	return all, found, nil
}

// A Relabelled is what a change of the label means for one batch. Its JSON form is a
// contract.
type Relabelled struct {
	Code   string        `json:"code"`
	Made   day.Day       `json:"made"`
	OnHand int           `json:"on_hand"` // to be labelled again
	Held   int           `json:"withheld"`
	Packed int           `json:"packed"`
	Sold   int           `json:"sold"` // with the old label
	Void   []RelabelVoid `json:"void"` // runs with labels that are left
}

// A RelabelVoid is a run of labels of which some are left.
type RelabelVoid struct {
	Run    string `json:"run"`
	Market string `json:"market"`
	Left   int    `json:"left"`
}

// Relabel tells what is on hand, what is sold, and which runs to void, when the label of a
// product changes. What is a formula, or the code of one batch.
func Relabel(folder *shop.Folder, index *register.Index, what string) ([]Relabelled, error) {
	var codes []string
	if doc, err := folder.Formula(what); err == nil {
		err := index.EachInShort(func(b register.Indexed) bool {
			if b.Formula == doc.ID {
				codes = append(codes, b.Code)
			}
			return true
		})
		if err != nil {
			return nil, err
		}
	} else {
		b, err := Batch(folder, what)
		if err != nil {
			return nil, err
		}
		codes = append(codes, b.Code.V)
	}
	all := []Relabelled{}
	for _, code := range codes {
		b, ok := folder.Batch(code)
		if !ok {
			continue
		}
		bars := register.Bars(register.StockOf(b))
		one := Relabelled{Code: code, Made: b.Made.V, OnHand: bars.OnHand, Held: bars.Withheld, Packed: bars.Packed, Sold: bars.Sold, Void: []RelabelVoid{}}
		for _, r := range b.Runs {
			if left := register.Left(r); left > 0 {
				one.Void = append(one.Void, RelabelVoid{r.ID, r.Market.V, left})
			}
		}
		if one.OnHand+one.Held+one.Sold > 0 || len(one.Void) > 0 {
			all = append(all, one)
		}
	}
	return all, nil
}
