package recall_test

import (
	"fmt"
	"strings"

	"saponym/internal/day"
	"saponym/internal/formula"
	"saponym/internal/paper/recall"
	"saponym/internal/register"
	"saponym/internal/scene"
	"saponym/internal/sheet"
)

// A fataler is a test or a property.
type fataler interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}

func paper(t fataler, id string) scene.Size {
	t.Helper()
	p, ok := sheet.PaperNamed(id)
	if !ok {
		t.Fatalf("there is no paper %s", id)
	}
	return p.Size
}

func on(t fataler, s string) day.Day {
	t.Helper()
	d, err := day.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func given(s string) formula.Text {
	v := formula.Text{V: s}
	v.At.Line = 1
	return v
}

// read gives a batch as its file says it, with its counts.
func read(t fataler, code, product, what string, via []string, lines string) recall.Batch {
	t.Helper()
	b, found, err := formula.ReadBatch("batches/2026/"+code+".yaml", []byte("code: "+code+"\n"+lines))
	if err != nil || len(found) > 0 {
		t.Fatal(found, err)
	}
	return recall.Batch{Record: b, Product: product, What: what, Via: via, Stock: register.StockOf(b)}
}

func maker() formula.Maker {
	m := formula.Maker{Address: formula.Address{Name: given("Larch & Lather"), Lines: []formula.Text{given("3 Mill Lane"), given("Ashcombe")}}}
	m.Contact = formula.Contact{Email: given("hello@larch-lather.example"), Phone: given("+1 555 0100")}
	return m
}

// hearth is a batch of two cuts that went many ways.
const hearth = `formula: hearth-husk
made: 2026-10-06
by: M. Larch
place: the shed
weighed: [{material: pantry-base, weight: 1800 g, lot: PB-1182, supplier: Fennel & Fern, received: 2026-10-02}]
cut:
  - {date: 2026-10-08, bar: 14, guest: 12, ends: 2, seconds: 1}
runs:
  - {date: 2026-11-10, cut: bar, market: us-soap, claim: 4 oz, printed: 20, used: 12, spoiled: 1, hash: 9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08}
  - {date: 2026-11-10, cut: guest, market: us-soap, claim: 1.4 oz, printed: 12}
events:
  - {date: 2026-11-10, what: sampled, cut: bar, count: 2, who: M. Larch, note: shelf in the store room}
  - {date: 2026-11-14, what: sold, cut: bar, count: 4, who: "Fennel & Fern, Ashcombe", ref: DN-0031}
  - {date: 2026-11-15, what: sold, cut: guest, count: 5, who: "market stall, Ashcombe", assumed: yes}
  - {date: 2026-11-18, what: sold, cut: bar, count: 2, ref: web order 118, note: pays on collection}
  - {date: 2026-11-19, what: given, cut: guest, count: 1, who: T. Rowan}
  - {date: 2026-11-21, what: returned, cut: bar, count: 1, who: "Fennel & Fern, Ashcombe", ref: CN-0004, note: spots on the side}
  - {date: 2026-11-22, what: lost, cut: guest, count: 1, note: fell into the sink}
  - {date: 2026-11-24, what: withheld, cut: bar, count: 3, who: M. Larch, note: crate 4 under the stairs}
`

// millpond is a batch of one cut that another one was worked into.
const millpond = `formula: millpond
made: 2026-10-27
by: M. Larch
parents: [26279-01-H]
cut: {date: 2026-10-29, bar: 10}
runs:
  - {date: 2026-11-24, cut: bar, market: eu, claim: 113 g, printed: 10, used: 10}
events:
  - {date: 2026-11-25, what: sold, cut: bar, count: 3, who: "Quillwort Hotel", ref: INV-77}
`

// small is the sheet of a lot that went into two batches, a premix, and one that is not
// cut yet.
func small(t fataler) recall.Sheet {
	t.Helper()
	return recall.Sheet{
		Maker: maker(), Of: "lot PB-1182", Lot: "PB-1182", On: on(t, "2026-11-26"),
		Batches: []recall.Batch{
			read(t, "26279-01-H", "Hearth & Husk", "pantry-base", nil, hearth),
			read(t, "26300-01-H", "Millpond", "own batch", []string{"26279-01-H"}, millpond),
			read(t, "26310-01-K", "calendula infusion", "pantry-base", nil, "makes: material\nmaterial: calendula-infusion\nmade: 2026-11-06\n"),
			read(t, "26329-01-9", "Plain Olive", "calendula-infusion", []string{"26310-01-K"}, "formula: plain-olive\nmade: 2026-11-25\n"),
		},
		Authorities: []string{"the office for product safety of the place, report line +1 555 0199"},
		Reports:     []string{"a serious event that was heard of on 2026-11-20: report it until 2026-12-11"},
	}
}

// many is the sheet of a lot that went into many batches, some with long lists of buyers.
func many(t fataler, batches int) recall.Sheet {
	t.Helper()
	s := small(t)
	s.Batches = nil
	for i := range batches {
		var lines strings.Builder
		fmt.Fprintf(&lines, "formula: hearth-husk\nmade: 2026-10-06\ncut: {date: 2026-10-08, bar: 100}\nruns: [{date: 2026-11-01, market: uk, claim: 100 g, printed: 100, used: 90}]\nevents:\n  - {date: 2026-11-01, what: sampled, count: 1, note: shelf %d}\n", i)
		for k := range 1 + i%60 {
			fmt.Fprintf(&lines, "  - {date: 2026-11-02, what: sold, count: 1, who: Buyer %d-%d, ref: DN-%d}\n", i, k, i*100+k)
		}
		s.Batches = append(s.Batches, read(t, fmt.Sprintf("26279-%03d-H", i), "Hearth & Husk", "pantry-base", nil, lines.String()))
	}
	return s
}
