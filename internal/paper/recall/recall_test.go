package recall_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/text/width"
	"pgregory.net/rapid"

	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/outside"
	"saponym/internal/paper/recall"
	"saponym/internal/register"
	"saponym/internal/render/pdf"
	"saponym/internal/scene"
)

var update = flag.Bool("update", false, "write the golden files anew")

func document(t fataler, s recall.Sheet, size string) scene.Document {
	t.Helper()
	doc, found, err := s.Document(paper(t, size))
	if err != nil || len(doc.Sheets) != 1 {
		t.Fatalf("the sheet is refused: %v %v", found, err)
	}
	return doc
}

func write(t testing.TB, doc scene.Document) []byte {
	t.Helper()
	file, err := pdf.Write(doc)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// flat gives a text with one space between words.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// runs gives the text of a page in reading order.
func runs(s scene.Scene) string {
	var all []string
	for _, item := range s.Items {
		if item.Text != nil {
			all = append(all, item.Text.Runes)
		}
	}
	return flat(strings.Join(all, " "))
}

// printed gives the text of all pages.
func printed(doc scene.Document) string {
	var all []string
	for _, page := range doc.Sheets[0].Scenes {
		all = append(all, runs(page))
	}
	return strings.Join(all, " ")
}

func TestGolden(t *testing.T) {
	const file = "testdata/lot-pb-1182.txt"
	got := small(t).Text()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the text differs from %s; look at it, then run with -update", file)
	}
}

// All that was written of the batches, and their counts, can be read by another program.
func TestFileIsRead(t *testing.T) {
	for _, size := range []string{"a4", "letter"} {
		s := small(t)
		got := flat(outside.Run(t, write(t, document(t, s, size)), "pdftotext", "-raw", "FILE", "-"))
		for _, want := range contents(s) {
			if !strings.Contains(got, want) {
				t.Errorf("on %s, %q is not read", size, want)
			}
		}
		// The counts of the cut and of the batch, worked out by hand from the record: made, on
		// hand, held back, sold, given, kept, destroyed, worked again, lost, not accounted for,
		// asked back, came back.
		for _, want := range []string{"bar 14 3 4 5 0 2 0 0 0 0 0 1", "guest 12 5 0 5 1 0 0 0 1 0 0 0", "all cuts 26 8 4 10 1 2 0 0 1 0 0 1", "bar 10 7 0 3 0 0 0 0 0 0 0 0",
			"The cutting gave 2 ends and 1 second besides", "what went in: 1800 g of pantry-base from Fennel & Fern, received 2026-10-02", "9f86d081884c", "It makes a material and no bars", "It is not cut yet"} {
			if !strings.Contains(got, want) {
				t.Errorf("on %s, the counts %q are not read", size, want)
			}
		}
	}
}

// contents gives what a sheet has to say on paper and on the screen.
func contents(s recall.Sheet) []string {
	all := append([]string{s.Of, s.Maker.Name.V, s.Maker.Contact.Email.V, s.Maker.Contact.Phone.V, "public notice", "no legal advice"}, s.Authorities...)
	all = append(all, s.Reports...)
	for _, b := range s.Batches {
		all = append(all, b.Record.Code.V, b.Product, b.Record.Made.V.String())
		for _, via := range b.Via {
			all = append(all, "by way of "+via)
		}
		for _, r := range b.Record.Runs {
			all = append(all, r.Date.V.String(), r.Market.V, r.Claim.V)
			if r.Hash.Given() {
				all = append(all, r.Hash.V[:12])
			}
		}
		for _, e := range b.Record.Events {
			all = append(all, e.Date.V.String(), e.Who.V, e.Ref.V, e.Note.V)
		}
	}
	return all
}

func TestTextHoldsAll(t *testing.T) {
	s := small(t)
	got := flat(s.Text())
	for _, want := range contents(s) {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing", want)
		}
	}
}

func TestSameSheetSameBytes(t *testing.T) {
	if !bytes.Equal(write(t, document(t, small(t), "letter")), write(t, document(t, small(t), "letter"))) {
		t.Error("the same sheet gives two files")
	}
}

// The drill of a recall asks these in turn: hold, who decides, the authority, the buyers,
// the notice, how many came back, who closes it. The list of clauses of ISO 22716:2007 was
// read and what clause 14 says was not, so it has to be called unconfirmed.
func TestSteps(t *testing.T) {
	s := small(t)
	for name, got := range map[string]string{"text": flat(s.Text()), "paper": strings.ReplaceAll(printed(document(t, s, "a4")), "\u00a0", " ")} {
		at := 0
		for _, want := range []string{
			"Hold. Set apart what is left of lot PB-1182, and 19 bars in stock, of which 4 are held back already",
			"Stop the sale.", "Look.", "Decide.", "who decides", "Tell the authority.", "Tell the buyers. 3 buyers are named", "7 bars went to buyers whom nobody knows",
			"Publish the notice.", "Void the labels. 19 labels with these codes are left", "Count what comes back. Of 15 bars supplied, 1 came back (6 %)", "Close.",
			"ISO 22716:2007, 14 (list of clauses; what the clause says is recalled: unconfirmed)",
		} {
			i := strings.Index(got[at:], want)
			if i < 0 {
				t.Fatalf("%s: %q does not follow", name, want)
			}
			at += i
		}
		if strings.Count(got, "unconfirmed") != 1 {
			t.Errorf("%s: what was read is called unconfirmed", name)
		}
	}
}

// Where nothing is named, known or left, the sheet says so, and asks for no needless step.
func TestBareSheet(t *testing.T) {
	s := recall.Sheet{Of: "batch 26329-01-9", Lot: "26329-01-9", On: on(t, "2026-11-26"), Batches: []recall.Batch{
		read(t, "26329-01-9", "Plain Olive", "", nil, "formula: plain-olive\nmade: 2026-11-25\ncut: {date: 2026-11-26, bar: 3}\n"),
	}}
	for name, got := range map[string]string{"text": flat(s.Text()), "paper": strings.ReplaceAll(printed(document(t, s, "a4")), "\u00a0", " ")} {
		for _, want := range []string{"None is named here", "3 made = 3 on hand", "0 buyers are named", "0 cannot be accounted for.", "none of it was sold or given away"} {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %q is missing", name, want)
			}
		}
		for _, no := range []string{"supplied", "Void the labels", "Who got them", "what went in:", "went to buyers", "labels with this code"} {
			if strings.Contains(got, no) {
				t.Errorf("%s: there is %q", name, no)
			}
		}
	}
}

func TestNoBatch(t *testing.T) {
	s := small(t)
	s.Batches = nil
	doc := document(t, s, "letter")
	for name, got := range map[string]string{"text": flat(s.Text()), "paper": printed(doc)} {
		if !strings.Contains(got, "No batch in the register holds lot PB-1182.") || !strings.Contains(got, "no legal advice") || strings.Contains(got, "Notice") {
			t.Errorf("%s: %s", name, got)
		}
	}
	if doc.Sheets[0].Pages() != 1 {
		t.Errorf("it has %d pages", doc.Sheets[0].Pages())
	}
	if rows := table(t, s); len(rows) != 0 {
		t.Errorf("the table has the lines %q", rows)
	}
}

// A stall is no buyer, and neither is nobody. Whoever has a name is told, and stands in no
// public notice.
func TestBuyers(t *testing.T) {
	for who, known := range map[string]bool{
		"": false, "  ": false, "market stall, Ashcombe": false, "Market Stall": false, "three stalls on the green": false,
		"Fennel & Fern": true, "Installers' Guild": true, "Forestall Ltd": true,
	} {
		s := recall.Sheet{Of: "lot 1", Maker: maker(), On: on(t, "2026-11-26"), Batches: []recall.Batch{
			read(t, "26329-01-9", "Plain Olive", "", nil, "formula: plain-olive\nmade: 2026-11-20\ncut: {date: 2026-11-21, bar: 3}\nevents: [{date: 2026-11-22, what: sold, count: 2}]\n"),
		}}
		s.Batches[0].Record.Events[0].Who = given(who)
		text, notice, _ := strings.Cut(flat(s.Text()), "NOTICE TO FILL IN")
		if got := !strings.Contains(text, "buyer not known: public notice"); got != known {
			t.Errorf("%q: a buyer is known: %t", who, got)
		}
		if got := strings.Contains(text, "1 buyer is named"); got != known {
			t.Errorf("%q: a buyer is named: %t", who, got)
		}
		if got := strings.Contains(text, "2 bars went to buyers whom nobody knows"); got == known {
			t.Errorf("%q: bars went to nobody knows whom: %t", who, got)
		}
		if flat(who) != "" && strings.Contains(notice, who) == known {
			t.Errorf("%q: the notice is\n%s", who, notice)
		}
	}
}

// Two sales to one buyer are one buyer to tell.
func TestBuyersAreCountedOnce(t *testing.T) {
	s := recall.Sheet{Of: "lot 1", On: on(t, "2026-11-26"), Batches: []recall.Batch{
		read(t, "26329-01-9", "Plain Olive", "", nil, "formula: plain-olive\nmade: 2026-11-20\ncut: {date: 2026-11-21, bar: 9}\nevents:\n  - {date: 2026-11-22, what: sold, count: 2, who: Fennel & Fern}\n  - {date: 2026-11-23, what: given, count: 2, who: fennel  & fern}\n"),
	}}
	if got := flat(s.Text()); !strings.Contains(got, "1 buyer is named") {
		t.Error(got)
	}
}

// A gap is said, warned of, and never hidden by another batch.
func TestGap(t *testing.T) {
	for _, tt := range []struct {
		made int
		says string
	}{{13, "3 cannot be accounted for"}, {10, "0 cannot be accounted for"}, {8, "2 more are accounted for than were made: an entry is wrong"}} {
		s := small(t)
		s.Batches = s.Batches[1:2]
		s.Batches[0].Stock = []register.Stock{{Cut: "bar", Made: tt.made, OnHand: 7, Sold: 3}}
		doc, found, err := s.Document(paper(t, "a4"))
		if err != nil || len(doc.Sheets) != 1 {
			t.Fatal(found, err)
		}
		if !strings.Contains(flat(s.Text()), "bar: "+strconv.Itoa(tt.made)+" made = ") || !strings.Contains(flat(s.Text()), tt.says) {
			t.Errorf("the text does not say %q", tt.says)
		}
		if got := printed(doc); !strings.Contains(got, tt.says) {
			t.Errorf("the paper does not say %q", tt.says)
		}
		warned := len(found) == 1 && found[0].Rule == recall.RuleBalance && found[0].Level == finding.Warn && found[0].Remedy != "" && strings.Contains(found[0].Message, tt.says)
		if tt.made == 10 && len(found) > 0 || tt.made != 10 && !warned {
			t.Errorf("made %d: the findings are %v", tt.made, found)
		}
	}
}

// A record that sells more than there was is not to be relied on, though its counts add
// up: the sale that could not be is not among them.
func TestRecordThatDoesNotAddUp(t *testing.T) {
	s := recall.Sheet{Of: "lot 1", On: on(t, "2026-11-26"), Batches: []recall.Batch{
		read(t, "26329-01-9", "Plain Olive", "", nil, "formula: plain-olive\nmade: 2026-11-20\ncut: {date: 2026-11-21, bar: 9}\nevents:\n  - {date: 2026-11-22, what: sold, count: 20, who: Fennel & Fern}\n"),
	}}
	doc, found, err := s.Document(paper(t, "a4"))
	if err != nil || len(found) != 1 || found[0].Rule != recall.RuleBalance || found[0].Level != finding.Warn || found[0].At.Line != 6 {
		t.Fatal(found, err)
	}
	for name, got := range map[string]string{"text": flat(s.Text()), "paper": printed(doc)} {
		if !strings.Contains(got, "Do not rely on these counts: 20 bars cannot be sold") {
			t.Errorf("%s: no doubt is said", name)
		}
		if !strings.Contains(strings.ReplaceAll(got, "\u00a0", " "), "the records of 1 batch do not add up") {
			t.Errorf("%s: no doubt is said of the sums", name)
		}
	}
}

// Letters that no face has are replaced on paper and warned of, whatever they are and
// wherever they stand; the rest is printed.
func TestLetters(t *testing.T) {
	kinds := map[string]string{"a picture": "Snow ☃ Soap", "letters that join": "صابون", "no text": "Snow \xff", "a control character": "Snow\x1b[2J", "a wide letter": "石鹸"}
	places := map[string]func(*recall.Sheet, string){
		"of":         func(s *recall.Sheet, bad string) { s.Of = bad },
		"maker":      func(s *recall.Sheet, bad string) { s.Maker.Name = given(bad) },
		"address":    func(s *recall.Sheet, bad string) { s.Maker.Lines = []formula.Text{given(bad)} },
		"authority":  func(s *recall.Sheet, bad string) { s.Authorities = []string{bad} },
		"report":     func(s *recall.Sheet, bad string) { s.Reports = []string{bad} },
		"code":       func(s *recall.Sheet, bad string) { s.Batches[0].Record.Code = given(bad) },
		"product":    func(s *recall.Sheet, bad string) { s.Batches[0].Product = bad },
		"what":       func(s *recall.Sheet, bad string) { s.Batches[1].What = bad },
		"via":        func(s *recall.Sheet, bad string) { s.Batches[0].Via = []string{bad} },
		"supplier":   func(s *recall.Sheet, bad string) { s.Batches[0].Record.Weighed[0].Supplier = given(bad) },
		"cut":        func(s *recall.Sheet, bad string) { s.Batches[0].Stock[0].Cut = bad },
		"made by":    func(s *recall.Sheet, bad string) { s.Batches[0].Record.By = given(bad) },
		"place":      func(s *recall.Sheet, bad string) { s.Batches[0].Record.Place = given(bad) },
		"run's cut":  func(s *recall.Sheet, bad string) { s.Batches[0].Record.Runs[0].Cut = given(bad) },
		"market":     func(s *recall.Sheet, bad string) { s.Batches[0].Record.Runs[0].Market = given(bad) },
		"claim":      func(s *recall.Sheet, bad string) { s.Batches[0].Record.Runs[0].Claim = given(bad) },
		"hash":       func(s *recall.Sheet, bad string) { s.Batches[0].Record.Runs[0].Hash = given(bad) },
		"who":        func(s *recall.Sheet, bad string) { s.Batches[0].Record.Events[1].Who = given(bad) },
		"paper":      func(s *recall.Sheet, bad string) { s.Batches[0].Record.Events[1].Ref = given(bad) },
		"note":       func(s *recall.Sheet, bad string) { s.Batches[0].Record.Events[0].Note = given(bad) },
		"event, cut": func(s *recall.Sheet, bad string) { s.Batches[0].Record.Events[6].Cut = given(bad) },
	}
	look := func(kind, bad, where string) {
		s := small(t)
		places[where](&s, bad)
		doc, found, err := s.Document(paper(t, "a4"))
		if err != nil || len(doc.Sheets) != 1 {
			t.Fatalf("%s as %s: %v %v", kind, where, found, err)
		}
		found = slices.DeleteFunc(found, func(f finding.Finding) bool { return f.Rule == recall.RuleBalance })
		if len(found) == 0 || found[0].Rule != recall.RuleLetter || found[0].Level != finding.Warn || found[0].Remedy == "" {
			t.Errorf("%s as %s: the findings are %+v", kind, where, found)
		}
		if got := printed(doc); !strings.Contains(got, "?") || !strings.Contains(got, "Millpond") {
			t.Errorf("%s as %s: it is not printed with a sign in its place", kind, where)
		}
		write(t, doc)
		if strings.ContainsAny(s.Text(), "\x1b") {
			t.Errorf("%s as %s: a control character stands in the text", kind, where)
		}
	}
	for where := range places {
		look("a picture", kinds["a picture"], where)
	}
	for kind, bad := range kinds {
		look(kind, bad, "of")
		look(kind, bad, "who")
	}
}

// Whatever is written in a record, it is printed or refused, and never an error.
func TestAnyWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.OneOf(rapid.String(), rapid.StringMatching(`([a-z\n\t☃]{1,40} ?){1,20}`))
		s := small(t)
		s.Of, s.Maker.Name = words.Draw(t, "of"), given(words.Draw(t, "maker"))
		s.Authorities, s.Reports = []string{words.Draw(t, "authority")}, []string{words.Draw(t, "report")}
		b := &s.Batches[0]
		b.Product, b.What, b.Via = words.Draw(t, "product"), words.Draw(t, "what"), []string{words.Draw(t, "via")}
		b.Stock[0].Cut = words.Draw(t, "cut")
		e := &b.Record.Events[0]
		e.Who, e.Note, e.Ref = given(words.Draw(t, "who")), given(words.Draw(t, "note")), given(words.Draw(t, "ref"))
		doc := document(t, s, "letter")
		if _, err := pdf.Write(doc); err != nil {
			t.Fatal(err)
		}
	})
}

// Letters of Europe are printed as they are, and nothing is said of them.
func TestLettersOfEurope(t *testing.T) {
	s := small(t)
	s.Batches[0].Product, s.Batches[1].Product = "Żółć & Ľaliovka", "Ελαιόλαδο, мыло"
	doc, found, err := s.Document(paper(t, "a4"))
	if err != nil || len(found) > 0 {
		t.Fatal(found, err)
	}
	for _, b := range s.Batches {
		if !strings.Contains(printed(doc), b.Product) {
			t.Errorf("%q is not printed", b.Product)
		}
	}
}

func TestNoRoom(t *testing.T) {
	long := small(t)
	long.Batches[0].Record.Events[1].Note = given(strings.Repeat("call twice ", 2000))
	for name, tt := range map[string]struct {
		sheet recall.Sheet
		size  scene.Size
	}{
		"a card": {small(t), scene.Size{W: measure.MM(105), H: measure.MM(148)}}, "no paper": {small(t), scene.Size{}}, "an endless note": {long, paper(t, "a4")},
	} {
		doc, found, err := tt.sheet.Document(tt.size)
		if err != nil || len(doc.Sheets) != 0 || finding.Worst(found) != finding.Stop {
			t.Fatalf("%s: %v %v", name, found, err)
		}
		if f := found[len(found)-1]; f.Rule != recall.RuleRoom || f.Remedy == "" || !strings.Contains(f.Message, "no room") {
			t.Errorf("%s: the finding is %+v", name, f)
		}
	}
}

var listed = regexp.MustCompile(`H Hearth & Husk 2026-10-06 pantry-base 100 `)

var buyer = regexp.MustCompile(`Buyer (\d+)-(\d+) DN`)

// Many batches and long lists flow over pages: each buyer stands once, on a page that says
// under which heads and of which batch; the pages are numbered.
func TestManyBatches(t *testing.T) {
	const batches = 200
	s := many(t, batches)
	doc := document(t, s, "a4")
	scenes := doc.Sheets[0].Scenes
	seen := map[string]int{}
	lists := 0
	for i, page := range scenes {
		got := runs(page)
		if want := fmt.Sprintf("page %d of %d", i+1, len(scenes)); !strings.HasSuffix(got, want) {
			t.Fatalf("the page ends with %q, want %q", got[max(0, len(got)-40):], want)
		}
		if listed.MatchString(got) {
			lists++
			if !strings.Contains(got, "held batch made on") {
				t.Errorf("page %d has no heads over its batches", i+1)
			}
		}
		for _, m := range buyer.FindAllStringSubmatch(got, -1) {
			seen[m[1]+"-"+m[2]]++
			n, _ := strconv.Atoi(m[1])
			if !strings.Contains(got, fmt.Sprintf("26279-%03d-H", n)) {
				t.Errorf("page %d does not say of which batch %s is", i+1, m[0])
			}
			if head := strings.Index(got, "told on what"); head < 0 || head > strings.Index(got, m[0]) {
				t.Errorf("page %d has no heads over its buyers", i+1)
			}
		}
	}
	for i := range batches {
		for k := range 1 + i%60 {
			if name := fmt.Sprintf("%d-%d", i, k); seen[name] != 1 {
				t.Errorf("the buyer %s stands %d times", name, seen[name])
			}
		}
	}
	if lists < 3 {
		t.Errorf("the list of batches takes %d pages", lists)
	}
	notice := printed(doc)
	notice = notice[strings.LastIndex(notice, "Notice to fill in"):]
	for _, b := range s.Batches {
		if !strings.Contains(notice, b.Record.Code.V) {
			t.Errorf("the notice does not name %s", b.Record.Code.V)
		}
	}
}

// A count is never cut, however large.
func TestLargeCounts(t *testing.T) {
	s := recall.Sheet{Of: "lot 1", On: on(t, "2026-11-26"), Batches: []recall.Batch{
		read(t, "26329-01-9", "Plain Olive", "", nil, "formula: plain-olive\nmade: 2026-11-20\ncut: {date: 2026-11-21, bar: 98765432}\nruns: [{date: 2026-11-22, printed: 87654321, used: 76543210}]\nevents: [{date: 2026-11-22, what: sold, count: 65432109}, {date: 2026-11-22, what: lost, count: 5432109}]\n"),
	}}
	got := printed(document(t, s, "letter"))
	for _, want := range []string{"bar 98765432 27901214 0 65432109 0 0 0 0 5432109 0 0 0", "2026-11-20 – 98765432 27901214 65432109 0", "sold 65432109", "lost 5432109", "87654321 76543210 11111111"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not printed", want)
		}
	}
}

// The notice of a few batches stands on one page.
func TestNoticeIsNotSplit(t *testing.T) {
	for _, n := range []int{1, 2, 3, 5, 8, 13, 21, 34} {
		for _, page := range document(t, many(t, n), "letter").Sheets[0].Scenes {
			got := runs(page)
			if strings.Contains(got, "Notice to fill in") && (!strings.Contains(got, "Codes on the label") || !strings.Contains(got, "hello@larch-lather.example")) {
				t.Errorf("with %d batches the notice is split", n)
			}
		}
	}
}

var madeIs = regexp.MustCompile(`(bar|guest|sliver): (\d+) made = (.*?)\. (\d+) (cannot|more)`)

// Whatever is written in a record: each bar that was made is in one place, on paper, on
// the screen and in the table, or the record is doubted.
func TestBalanceCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBatch(t)
		s := recall.Sheet{Maker: maker(), Of: "lot 1", On: on(t, "2026-12-31"), Batches: []recall.Batch{b}}
		sums := map[string]int{}
		for _, m := range madeIs.FindAllStringSubmatch(flat(s.Text()), -1) {
			sum := 0
			for part := range strings.SplitSeq(m[3], " + ") {
				n, err := strconv.Atoi(strings.Fields(part)[0])
				if err != nil {
					t.Fatal(err)
				}
				sum += n
			}
			if made := b.Record.Bars(m[1]); sum != made || m[2] != strconv.Itoa(made) || m[4] != "0" {
				t.Fatalf("%d bars of the cut %s were made, and the text says %q", made, m[1], m[0])
			}
			sums[m[1]] = sum
		}
		all, events := 0, 0
		for _, row := range table(t, s) {
			switch n, err := strconv.Atoi(row["bars"]); {
			case row["line"] == "movement":
				events++
			case err != nil:
				t.Fatal(err)
			case row["what"] == "made":
				if n != sums[row["cut"]] {
					t.Fatalf("the table says that %d of %s were made, and the text %d", n, row["cut"], sums[row["cut"]])
				}
				all += n
			case row["what"] != "asked back" && row["what"] != "came back":
				all -= n
			}
		}
		if all != 0 {
			t.Fatalf("the table does not close: %d", all)
		}
		if events != len(b.Record.Events) {
			t.Fatalf("the table has %d of %d movements", events, len(b.Record.Events))
		}
		doc, found, err := s.Document(paper(t, rapid.SampledFrom([]string{"a4", "letter"}).Draw(t, "paper")))
		if err != nil || len(doc.Sheets) != 1 {
			t.Fatal(found, err)
		}
		doubted := slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Rule == recall.RuleBalance })
		if fault := finding.Worst(register.Check(b.Record, s.On)) == finding.Stop; fault != doubted {
			t.Fatalf("the record has a fault: %t; it is doubted: %t", fault, doubted)
		}
		for _, page := range doc.Sheets[0].Scenes {
			onPaper(t, page)
		}
	})
}

// anyBatch gives a record whose events may be more than can be.
func anyBatch(t *rapid.T) recall.Batch {
	cuts := []string{"bar", "guest", "sliver"}[:rapid.IntRange(1, 3).Draw(t, "cuts")]
	var lines strings.Builder
	lines.WriteString("formula: plain-olive\nmade: 2026-10-01\ncut: {date: 2026-10-02")
	for _, c := range cuts {
		fmt.Fprintf(&lines, ", %s: %d", c, rapid.SampledFrom([]int{0, 1, 30, 9999}).Draw(t, "made"))
	}
	lines.WriteString("}\nevents:\n")
	for i := range rapid.IntRange(1, 30).Draw(t, "events") {
		what := rapid.SampledFrom([]string{"sold", "given", "sampled", "withheld", "released", "returned", "recalled", "destroyed", "reworked", "lost"}).Draw(t, "what")
		fmt.Fprintf(&lines, "  - {date: 2026-11-%02d, what: %s, cut: %s", 1+i%28, what, rapid.SampledFrom(cuts).Draw(t, "cut"))
		if rapid.IntRange(0, 5).Draw(t, "all") > 0 {
			fmt.Fprintf(&lines, ", count: %d", rapid.IntRange(1, 12).Draw(t, "count"))
		}
		for _, form := range [][2]string{{"who", `([A-Z][a-z]{2,14} ){1,6}`}, {"note", `([a-z]{2,24} ){1,9}`}, {"ref", `[A-Z]{2}-[0-9]{4,30}`}} {
			if rapid.Bool().Draw(t, "has "+form[0]) {
				fmt.Fprintf(&lines, ", %s: %q", form[0], rapid.StringMatching(form[1]).Draw(t, form[0]))
			}
		}
		fmt.Fprintf(&lines, ", assumed: %s}\n", rapid.SampledFrom([]string{"yes", "no"}).Draw(t, "assumed"))
	}
	return read(t, "26274-01-X", "Plain Olive", "olive-oil", nil, lines.String())
}

// onPaper looks at one page: it stands clear of the margins that a home printer needs, no
// two texts overlap, letters have 9 points at least, and there is black and one ink.
func onPaper(t *rapid.T, s scene.Scene) {
	var boxes []scene.Rect
	for _, item := range s.Items {
		if item.Path != nil {
			inked(t, item.Path.Stroke)
			inked(t, item.Path.Fill)
		}
		if item.Text == nil {
			continue
		}
		inked(t, item.Text.Ink)
		if item.Text.Size < 9*measure.Point {
			t.Fatalf("%q is printed in %.1f points", item.Text.Runes, font.Points(item.Text.Size))
		}
		f, err := font.Open(item.Text.Face)
		if err != nil {
			t.Fatal(err)
		}
		above, below := f.Ink(item.Text.Runes, item.Text.Size)
		box := scene.Rect{X: item.Text.At.X, Y: item.Text.At.Y - above, W: item.Text.Width(), H: above + below}
		if box.X < measure.MM(14) || box.Right() > s.Size.W-measure.MM(14) || box.Y < measure.MM(8) || box.Bottom() > s.Size.H-measure.MM(7) {
			t.Fatalf("%q stands in the margin, at %.1f, %.1f mm", item.Text.Runes, box.X.Millimetres(), item.Text.At.Y.Millimetres())
		}
		for _, b := range boxes {
			if box.X < b.Right() && b.X < box.Right() && box.Y < b.Bottom() && b.Y < box.Bottom() {
				t.Fatalf("%q stands over another text at %.1f, %.1f mm", item.Text.Runes, box.X.Millimetres(), item.Text.At.Y.Millimetres())
			}
		}
		boxes = append(boxes, box)
	}
}

// inked takes greys and one red.
func inked(t *rapid.T, i scene.Ink) {
	grey := max(i.R, i.G, i.B)-min(i.R, i.G, i.B) < 8
	if i.On && !grey && i != scene.RGB(0x8E2A25) {
		t.Fatalf("there is an ink %s", i.Hex())
	}
}

// No line of the text form is wider than 88 columns, whatever stands in it, and nothing in
// it moves the cursor.
func TestTextIsNarrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.OneOf(rapid.String(), rapid.StringMatching(`([a-z石鹸☃]{1,40} ?){1,20}|[a-z石]{95,200}`))
		s := small(t)
		s.Of, s.Maker.Name = words.Draw(t, "of"), given(words.Draw(t, "maker"))
		s.Authorities, s.Reports = []string{words.Draw(t, "authority")}, []string{words.Draw(t, "report")}
		b := &s.Batches[0]
		b.Product, b.What, b.Via = words.Draw(t, "product"), words.Draw(t, "what"), []string{words.Draw(t, "via")}
		b.Stock[0].Cut = words.Draw(t, "cut")
		e := &b.Record.Events[0]
		e.Who, e.Note, e.Ref = given(words.Draw(t, "who")), given(words.Draw(t, "note")), given(words.Draw(t, "ref"))
		for line := range strings.Lines(s.Text()) {
			n := 0
			for _, r := range strings.TrimSuffix(line, "\n") {
				n++
				switch kind := width.LookupRune(r).Kind(); {
				case kind == width.EastAsianWide, kind == width.EastAsianFullwidth:
					n++
				case r < ' ', r == '\x7f', r == '\u202e', r == '\u200b':
					t.Fatalf("there is a %U in %q", r, line)
				}
			}
			if n > 88 {
				t.Fatalf("a line takes %d columns: %q", n, line)
			}
		}
	})
}
