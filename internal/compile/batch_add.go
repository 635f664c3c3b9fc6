package compile

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"saponym/internal/day"
	"saponym/internal/formula"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/register"
	"saponym/internal/shop"
	"saponym/internal/source"
)

// An Addition is what is written into the record of a batch, on a day. Its texts are as
// they were typed; "" is what is not said.
type Addition interface {
	entries(folder *shop.Folder, b formula.Batch) ([]register.Entry, error)
}

// Add writes into the record of a batch. Nothing in it is overwritten. The error may be a
// [*register.Refused], with the findings that the record would have had; an [*OptionError]
// or an [*UnknownError] for what cannot be read; or that of [Batch].
func Add(folder *shop.Folder, code string, today day.Day, what Addition) error {
	b, err := Batch(folder, code)
	if err != nil {
		return err
	}
	entries, err := what.entries(folder, b)
	if err != nil {
		return err
	}
	if filling, ok := what.(filler); ok {
		_, err := register.Change(folder.Dir, b.File, today, func(now formula.Batch) ([]source.Edit, error) {
			edits := filling.fills(now)
			if len(edits) == 0 {
				return nil, errNothingOpen
			}
			return edits, nil
		})
		if !errors.Is(err, errNothingOpen) {
			return err
		}
	}
	_, err = register.Add(folder.Dir, b.File, today, entries...)
	return err
}

// errNothingOpen says that no entry lacks what is to be filled in.
var errNothingOpen = errors.New("nothing is open")

// A filler may fill in what an entry that is there does not say yet, in place of a new
// entry.
type filler interface {
	fills(b formula.Batch) []source.Edit
}

// grams reads a weight. Without a unit it is in grams, as the scale shows it.
func grams(typed string) (string, error) {
	typed = strings.TrimSpace(typed)
	if _, err := strconv.ParseFloat(typed, 64); err == nil {
		typed += " g"
	}
	mass, _, err := measure.ParseMass(typed)
	if err != nil {
		return "", &OptionError{err.Error(), `write a weight such as 131.2, or "4.6 oz"`}
	}
	if mass <= 0 {
		return "", &OptionError{fmt.Sprintf("%q is no weight", typed), "write what the scale said"}
	}
	return typed, nil
}

// A Put is one line of what went into the pot.
type Put struct {
	What     string // a material, or the code of a batch: own bars, or one that is worked again
	Weight   string
	Lot      string
	Supplier string
	Received string
	Expires  string
	Scale    string
	Stays    string
	Note     string
	Corrects string
}

func (p Put) entries(folder *shop.Folder, b formula.Batch) ([]register.Entry, error) {
	for _, old := range b.Weighed {
		if old.ID == p.Corrects {
			p = p.over(old)
		}
	}
	key, name, err := p.thing(folder, b)
	if err != nil {
		return nil, err
	}
	e := register.Entry{List: "weighed"}
	e.Field(key, name)
	if p.Weight != "" {
		weight, err := grams(p.Weight)
		if err != nil {
			return nil, err
		}
		e.Field("weight", weight)
	}
	p.rest(e.Field)
	return []register.Entry{e}, nil
}

// over gives a line that stands in place of another one: what it does not say is as it was.
func (p Put) over(old formula.Weighed) Put {
	if old.Weight.Given() {
		p.Weight = cmp.Or(p.Weight, inGrams(old.Weight.V))
	}
	if formula.ID(p.What) != formula.ID(cmp.Or(old.Material.V, old.Batch.V)) {
		return p // another thing has another lot
	}
	p.Lot, p.Supplier = cmp.Or(p.Lot, old.Lot.V), cmp.Or(p.Supplier, old.Supplier.V)
	p.Received, p.Expires = cmp.Or(p.Received, dayTyped(old.Received)), cmp.Or(p.Expires, dayTyped(old.Expires))
	p.Scale, p.Note, p.Stays = cmp.Or(p.Scale, old.Scale.V), cmp.Or(p.Note, old.Note.V), cmp.Or(p.Stays, stays(old))
	return p
}

// dayTyped gives a day as it is typed, or "".
func dayTyped(d formula.Day) string {
	if !d.Given() {
		return ""
	}
	return d.V.String()
}

// stays gives what stays of a line as it is typed, or "".
func stays(w formula.Weighed) string {
	if !w.Stays.Given() {
		return ""
	}
	return fmt.Sprintf("%g%%", w.Stays.V.Percent())
}

// rest gives the fields behind the weight.
func (p Put) rest(field func(key, value string)) {
	field("lot", strings.TrimSpace(p.Lot))
	field("supplier", p.Supplier)
	field("received", p.Received)
	field("expires", p.Expires)
	field("scale", p.Scale)
	field("stays", p.Stays)
	field("note", p.Note)
	field("corrects", p.Corrects)
}

// thing says whether a name is a material or a batch, and how the formula writes it.
func (p Put) thing(folder *shop.Folder, b formula.Batch) (key, name string, err error) {
	id := formula.ID(p.What)
	if making, ok := folder.Library.Making(b, nil); ok {
		for _, in := range making.Recipe.Names() {
			if formula.ID(in.V) == id {
				if _, own := folder.Batch(in.V); own {
					return "batch", in.V, nil
				}
				return "material", in.V, nil
			}
		}
	}
	if m, ok := folder.Library.Find(p.What); ok {
		return "material", m.ID, nil
	}
	if own, ok, _ := findBatch(folder, p.What); ok {
		return "batch", own.Code.V, nil
	}
	near := folder.Library.Nearest(p.What)
	if likely := register.Likely(p.What, folder.Codes()); near == "" && len(likely) > 0 {
		near = likely[0]
	}
	return "", "", &UnknownError{What: "material or batch", Name: p.What, Nearest: near}
}

// fills gives the changes that fill in the weight or the lot of the one line of a material
// that lacks it. A new lot is a new line.
func (p Put) fills(b formula.Batch) []source.Edit {
	if p.Corrects != "" {
		return nil
	}
	var edits []source.Edit
	for _, w := range b.Weighed {
		if formula.ID(cmp.Or(w.Material.V, w.Batch.V)) != formula.ID(p.What) || p.Weight != "" && w.Weight.Given() || p.Lot != "" && w.Lot.Given() && w.Lot.V != p.Lot {
			continue
		}
		if p.Weight == "" && p.Lot == "" || p.Weight == "" && w.Lot.Given() {
			continue
		}
		path := source.Item("weighed", w.Index)
		insert := func(key, value string) {
			edits = append(edits, source.Insert{Path: path, Key: key, Value: source.NewText(value)})
		}
		if weight, err := grams(p.Weight); p.Weight != "" && err == nil {
			insert("weight", weight)
		}
		now := map[string]string{
			"lot": w.Lot.V, "supplier": w.Supplier.V, "received": dayTyped(w.Received), "expires": dayTyped(w.Expires),
			"scale": w.Scale.V, "stays": stays(w), "note": w.Note.V,
		}
		other := false // it says something else, so it is another line
		p.rest(func(key, value string) {
			switch {
			case value != "" && now[key] == "":
				insert(key, value)
			case value != "" && now[key] != value:
				other = true
			}
		})
		if other {
			edits = nil
			continue
		}
		return edits
	}
	return nil
}

// AsAsked writes all that has no line yet with the weight that the formula asks for: it
// was weighed as asked. Lots can follow.
type AsAsked struct{}

func (AsAsked) entries(folder *shop.Folder, b formula.Batch) ([]register.Entry, error) {
	a, err := ShowBatch(folder, b.Code.V, day.Day{})
	if err != nil {
		return nil, err
	}
	var all []register.Entry
	for _, ask := range a.asked {
		has := func(w formula.Weighed) bool {
			return formula.ID(cmp.Or(w.Material.V, w.Batch.V)) == formula.ID(ask.Name)
		}
		if slices.ContainsFunc(b.Weighed, has) {
			continue
		}
		e := register.Entry{List: "weighed"}
		if ask.Batch {
			e.Field("batch", ask.Name)
		} else {
			e.Field("material", ask.Name)
		}
		weight := strconv.FormatFloat(math.Round(100*ask.Grams)/100, 'f', -1, 64)
		if weight == "0" {
			continue // no scale of a kitchen shows it
		}
		e.Field("weight", weight+" g")
		all = append(all, e)
	}
	if len(all) == 0 {
		return nil, &OptionError{"there is nothing left that was not weighed", "see saponym batch show " + b.Code.V}
	}
	return all, nil
}

// A Cutting is what a loaf was cut into.
type Cutting struct {
	Date          string
	Counts        []string // "bar=8"; "8" where the formula has one cut
	Ends, Seconds string
	Marked        []string // "a=131.2": bars that are marked and weighed
	Scale         string
	Corrects      string
}

func (c Cutting) entries(folder *shop.Folder, b formula.Batch) ([]register.Entry, error) {
	names := cutNames(folder, b)
	e := register.Entry{List: "cut"}
	e.Field("date", c.Date)
	first := ""
	for _, count := range c.Counts {
		name, n, named := strings.Cut(count, "=")
		if !named {
			if len(names) != 1 {
				return nil, &OptionError{fmt.Sprintf("%q does not say of which cut the bars are", count), "write for example bar=8"}
			}
			name, n = names[0], count
		}
		if len(names) > 0 && !slices.Contains(names, name) {
			return nil, &UnknownError{What: "cut", Name: name, Nearest: source.Nearest(name, names), Known: strings.Join(names, ", ")}
		}
		if _, err := measure.ParseCount(n); err != nil {
			return nil, &OptionError{err.Error(), "write for example bar=8"}
		}
		first = cmp.Or(first, name)
		e.Field(name, n)
	}
	e.Field("ends", c.Ends)
	e.Field("seconds", c.Seconds)
	e.Field("corrects", c.Corrects)
	all := []register.Entry{e}
	if len(c.Marked) > 0 {
		w := Weighed{Date: c.Date, Cut: first, Scale: c.Scale, Bars: c.Marked}
		more, err := w.entries(folder, b)
		if err != nil {
			return nil, err
		}
		all = append(all, more...)
	}
	return all, nil
}

// cutNames gives the names of the cuts of a batch's formula.
func cutNames(folder *shop.Folder, b formula.Batch) []string {
	making, ok := folder.Library.Making(b, nil)
	var names []string
	for _, c := range making.Recipe.Cuts {
		names = append(names, c.Name.V)
	}
	if !ok || len(names) == 0 {
		for _, s := range register.StockOf(b) {
			names = append(names, s.Cut)
		}
	}
	return names
}

// A Weighed is a day on which bars were weighed again.
type Weighed struct {
	Date, Cut, Scale string
	Bars             []string // "131.2", or "a=131.2" for a bar that is marked
	Humidity         string
	Trimmed          bool
	Corrects         string
}

func (w Weighed) entries(_ *shop.Folder, b formula.Batch) ([]register.Entry, error) {
	e := register.Entry{List: "weighings"}
	e.Field("date", w.Date)
	e.Field("cut", oneCut(b, w.Cut))
	e.Field("scale", w.Scale)
	bars := source.NewMapping()
	seen := map[string]bool{}
	for i, typed := range w.Bars {
		mark, weight, marked := strings.Cut(typed, "=")
		if !marked {
			mark, weight = letters(i), typed
		}
		if seen[mark] {
			return nil, &OptionError{fmt.Sprintf("the bar %q stands there twice", mark), "give each bar a mark of its own"}
		}
		seen[mark] = true
		weight, err := grams(weight)
		if err != nil {
			return nil, err
		}
		bars.Fields = append(bars.Fields, source.Field{Key: mark, Value: source.NewText(weight)})
	}
	e.Tree("bars", bars)
	e.Field("humidity", w.Humidity)
	if w.Trimmed {
		e.Field("trimmed", "yes")
	}
	e.Field("corrects", w.Corrects)
	return []register.Entry{e}, nil
}

// oneCut gives the name of the only cut of a batch where none is named.
func oneCut(b formula.Batch, named string) string {
	if stock := register.StockOf(b); named == "" && len(stock) == 1 {
		return stock[0].Cut
	}
	return named
}

// letters gives the mark of a bar that has none: a, b, … z, aa, ab, …
func letters(i int) string {
	mark := ""
	for ; i >= 0; i = i/26 - 1 {
		mark = string(rune('a'+i%26)) + mark
	}
	return mark
}

// A Packing is a day on which bars were wrapped.
type Packing struct{ Date, Cut, Count, Corrects string }

func (p Packing) entries(_ *shop.Folder, b formula.Batch) ([]register.Entry, error) {
	e := register.Entry{List: "packed"}
	e.Field("date", p.Date)
	e.Field("cut", oneCut(b, p.Cut))
	e.Field("count", p.Count)
	e.Field("corrects", p.Corrects)
	return []register.Entry{e}, nil
}

// A LabelRun is a printing of labels, or what became of one.
type LabelRun struct {
	ID                             string // of a run whose counts are filled in; "" for a new one
	Date, Cut                      string
	Market, Template, Claim        string
	Printed, Used, Spoiled, Voided string
	Hash                           string
	Corrects                       string
}

func (r LabelRun) entries(_ *shop.Folder, b formula.Batch) ([]register.Entry, error) {
	if r.ID != "" {
		var ids []string
		for _, run := range b.Runs {
			ids = append(ids, run.ID)
			if run.ID != r.ID {
				continue
			}
			for count, now := range map[string]formula.Count{"printed": run.Printed, "used": run.Used, "spoiled": run.Spoiled, "voided": run.Voided} {
				if r.counts()[count] != "" && now.Given() {
					return nil, &OptionError{fmt.Sprintf("the run %s says %d %s already, and nothing is overwritten", r.ID, now.V, count), "write a new run with --corrects " + r.ID}
				}
			}
			if len(r.fills(b)) == 0 {
				return nil, &OptionError{"nothing is said of the run " + r.ID, "give --used, --spoiled or --voided"}
			}
			return nil, nil
		}
		return nil, &UnknownError{What: "run", Name: r.ID, Nearest: source.Nearest(r.ID, ids), Known: strings.Join(ids, ", ")}
	}
	if r.Market != "" {
		if err := KnownMarket(r.Market); err != nil {
			return nil, err
		}
	}
	if r.Printed == "" && r.Corrects == "" {
		return nil, &OptionError{"it is not said how many labels were printed", "give --printed, or --id for a run that is there"}
	}
	e := register.Entry{List: "runs"}
	e.Field("date", r.Date)
	e.Field("cut", oneCut(b, r.Cut))
	e.Field("market", r.Market)
	e.Field("template", r.Template)
	e.Field("claim", r.Claim)
	counts := r.counts()
	for _, count := range []string{"printed", "used", "spoiled", "voided"} {
		e.Field(count, counts[count])
	}
	e.Field("hash", r.Hash)
	e.Field("corrects", r.Corrects)
	return []register.Entry{e}, nil
}

func (r LabelRun) counts() map[string]string {
	return map[string]string{"printed": r.Printed, "used": r.Used, "spoiled": r.Spoiled, "voided": r.Voided}
}

// fills gives the changes that fill in the counts of a run.
func (r LabelRun) fills(b formula.Batch) []source.Edit {
	var edits []source.Edit
	for _, run := range b.Runs {
		if r.ID == "" || run.ID != r.ID {
			continue
		}
		counts := r.counts()
		for _, key := range []string{"printed", "used", "spoiled", "voided"} {
			if counts[key] != "" {
				edits = append(edits, source.Insert{Path: source.Item("runs", run.Index), Key: key, Value: source.NewText(counts[key])})
			}
		}
	}
	return edits
}

// RecordRun writes into the record of a batch that so many labels were printed; file is what
// was written. The error is an [*OptionError] for a label of no batch that the shop knows.
func RecordRun(folder *shop.Folder, l Label, labels int, file []byte, on day.Day) error {
	if l.Recorded == "" {
		return &OptionError{"the label is of no batch that the shop has a record of", `name the code of one in place of the formula, or leave out "record"`}
	}
	claim := ""
	for _, p := range l.Proof {
		if p.Duty == label.DutyNetQuantity {
			claim = p.Text
		}
	}
	return Add(folder, l.Recorded, on, LabelRun{
		Date: on.String(), Cut: l.Cut.Name.V, Market: l.Law.Market, Template: l.Template, Claim: claim,
		Printed: strconv.Itoa(labels), Hash: fmt.Sprintf("%x", sha256.Sum256(file)),
	})
}

// A Happening is anything else that happened to a batch or its bars.
type Happening struct {
	Date, Time, What, Cut, Count, Who, Method, Value, Limit, Ref, Note, Erase, Corrects string
	Serious, Failed, Assumed                                                            bool
	Details                                                                             map[string]string
}

func (h Happening) entries(_ *shop.Folder, b formula.Batch) ([]register.Entry, error) {
	what := strings.ReplaceAll(h.What, "-", " ")
	if !slices.Contains(formula.EventKinds(), what) {
		return nil, &UnknownError{What: "event", Name: h.What, Nearest: source.Nearest(h.What, formula.EventKinds()), Known: strings.Join(formula.EventKinds(), ", ")}
	}
	e := register.Entry{List: "events"}
	e.Field("date", h.Date)
	e.Field("time", h.Time)
	e.Field("what", what)
	if cut := h.Cut; h.Count != "" {
		e.Field("cut", oneCut(b, cut))
	} else {
		e.Field("cut", cut)
	}
	for _, f := range [][2]string{{"count", h.Count}, {"who", h.Who}, {"method", h.Method}, {"value", h.Value}, {"limit", h.Limit}, {"ref", h.Ref}} {
		e.Field(f[0], f[1])
	}
	for _, f := range []struct {
		key   string
		given bool
	}{{"failed", h.Failed}, {"serious", h.Serious}, {"assumed", h.Assumed}} {
		if f.given {
			e.Field(f.key, "yes")
		}
	}
	if what == "released" && h.Count == "" {
		e.Field("weights", b.WeightsSum())
	}
	e.Field("erase", h.Erase)
	e.Field("note", h.Note)
	if len(h.Details) > 0 {
		details := source.NewMapping()
		for _, key := range slices.Sorted(maps.Keys(h.Details)) {
			details.Fields = append(details.Fields, source.Field{Key: key, Value: source.NewText(h.Details[key])})
		}
		e.Tree("details", details)
	}
	e.Field("corrects", h.Corrects)
	return []register.Entry{e}, nil
}

// A Sale is bars of one batch that were sold.
type Sale struct {
	Code  string `json:"code"`
	Cut   string `json:"cut"`
	Count int    `json:"count"`
}

// SellOfProduct writes a sale of bars of which the batch was not seen: those that were made
// first are taken to have been sold first, and it is marked as assumed. It gives what was
// written, batch by batch; with an error, what was written before it.
func SellOfProduct(folder *shop.Folder, index *register.Index, product string, today day.Day, h Happening) ([]Sale, error) {
	doc, err := folder.Formula(product)
	if err != nil {
		return nil, err
	}
	n, err := measure.ParseCount(h.Count)
	if err != nil || n == 0 {
		return nil, &OptionError{fmt.Sprintf("%q is no count of bars", h.Count), "write how many were sold"}
	}
	var batches []register.Indexed
	err = index.EachInShort(func(b register.Indexed) bool {
		if b.Formula == doc.ID && b.OnHand > 0 {
			batches = append(batches, b)
		}
		return true
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(batches, func(a, b register.Indexed) int {
		return cmp.Or(a.Progress.Made.Compare(b.Progress.Made), strings.Compare(a.Code, b.Code))
	})
	var planned []Sale
	left := n
	for _, x := range batches {
		b, ok := folder.Batch(x.Code)
		if !ok {
			continue
		}
		stock := register.StockOf(b)
		if h.Cut == "" && len(stock) > 1 {
			return nil, &OptionError{fmt.Sprintf("%s is cut into several sizes, and this does not say of which the bars were", doc.ID), "give --cut"}
		}
		for _, s := range stock {
			if h.Cut != "" && s.Cut != h.Cut || s.OnHand == 0 || left == 0 {
				continue
			}
			some := min(left, s.OnHand)
			planned, left = append(planned, Sale{x.Code, s.Cut, some}), left-some
		}
	}
	if left > 0 {
		return nil, &OptionError{fmt.Sprintf("%d bars of %s are on hand in all, so %d cannot have been sold", n-left, doc.ID, n), "compare the count with the records, or correct an entry of one"}
	}
	var written []Sale
	for _, sale := range planned {
		one := h
		one.Cut, one.Count, one.Assumed = sale.Cut, strconv.Itoa(sale.Count), true
		if err := Add(folder, sale.Code, today, one); err != nil {
			return written, errors.Join(fmt.Errorf("%d of %d bars were written down before this", n-countOf(planned[len(written):]), n), err)
		}
		written = append(written, sale)
	}
	return written, nil
}

func countOf(sales []Sale) (n int) {
	for _, s := range sales {
		n += s.Count
	}
	return n
}
