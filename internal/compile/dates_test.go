package compile_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saponym/internal/compile"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/market"
	"saponym/internal/shop"
)

// A folder of files, by their paths.
func folderOf(t testing.TB, files map[string]string) *shop.Folder {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	folder, err := shop.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return folder
}

// mintShop is a shop with one scent, of which the list of 2003 names the linalool and
// that of 2023 the menthol too. Its formula is sold for so many months.
func mintShop(t testing.TB, sellWithin, onSale, placed string) *shop.Folder {
	return folderOf(t, map[string]string{
		"shop.yaml": `maker: {name: Larch & Lather, address: ["4 Mill Row", "Ashcombe, VT 05000, USA"], made_in: USA, contact: {email: hello@larch.example}}
markets: [eu]
responsible_person:
  eu: {name: Quayside Imports, address: ["7 Weir Street", "Dunmorrow D99 X000, Ireland"]}
`,
		"materials/mint-scent.yaml": `name: Mint scent
kind: fragrance
allergens: {Linalool: 4%, Menthol: 12%}
max_use: {ifra: 51, category 9: 5%}
statement: {supplier: Fennel & Fern Aromatics, dated: 2026-03-14}
`,
		"formulas/mint.yaml": `name: Mint
identity: soap
size: {oils: 1000 g}
pot:
  - {material: olive-oil, share: 70%}
  - {material: coconut-oil, share: 30%}
lye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}
add:
  - {material: mint-scent, share: 2%}
cuts:
  bar: {count: 8, length: 85 mm, width: 60 mm, height: 25 mm, claim: 100 g}
keep: {durability: 30 months` + sellWithin + `}
evidence:
  eu: {safety_report: SR-1, notified: N-1, product_file: P-1}
words: {fr: {identity: savon}}
` + onSale,
		"batches/26150-01.yaml": `code: 26150-01
formula: mint
makes: bars
made: 2026-05-30
` + placed,
	})
}

func dayOf(t testing.TB, text string) day.Day {
	t.Helper()
	d, err := day.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func declared(t testing.TB, folder *shop.Folder, name, marketID, on string) string {
	t.Helper()
	d, err := compile.Declare(folder, compile.Order{Formula: name, Market: marketID, On: dayOf(t, on), Style: market.AsCured})
	if err != nil {
		t.Fatal(err)
	}
	if d.Text == "" {
		t.Fatalf("there is no list: %v", d.Findings)
	}
	return d.Text
}

// Regulation (EU) 2023/1545: what is placed on the market from 1 August 2026 on names
// the entries of the longer list, and from 1 August 2028 on all that is made available.
// A batch goes by the day on which it was placed, a formula by the day asked for.
func TestListOfTheDayOfPlacing(t *testing.T) {
	for _, tt := range []struct {
		name, placed, on string
		menthol          bool
	}{
		{"26150-01", "placed: {eu: 2026-07-31}", "2026-11-26", false},
		{"26150-01", "placed: {eu: 2026-08-01}", "2026-11-26", true},
		{"26150-01", "placed: {eu: 2026-07-31}", "2028-07-31", false},
		{"26150-01", "placed: {eu: 2026-07-31}", "2028-08-01", true},
		{"26150-01", "placed: {eu: 2026-09-01}", "2026-07-01", true}, // printed before it is placed
		{"26150-01", "placed: {uk: 2026-07-31}", "2026-11-26", true}, // of another place
		{"26150-01", "", "2026-07-31", false},
		{"26150-01", "", "2026-08-01", true},
		{"mint", "placed: {eu: 2026-07-31}", "2026-08-01", true},
		{"mint", "", "2026-07-31", false},
	} {
		text := declared(t, mintShop(t, "", "", tt.placed), tt.name, "eu", tt.on)
		if strings.Contains(text, "Menthol") != tt.menthol || !strings.Contains(text, "Linalool") {
			t.Errorf("%s, %q, on %s: %q, want menthol: %v", tt.name, tt.placed, tt.on, text, tt.menthol)
		}
	}
}

// Cosmetic Regulations, C.R.C. c. 869, s. 21.4(4)-(5): the list of the Union, each name
// from the Union's own day; a product that was on sale before has until the end of July
// 2028. No name at all was asked for before 12 April 2026 (SOR/2024-63).
func TestCanadaGoesByTheProduct(t *testing.T) {
	for _, tt := range []struct {
		onSale, on        string
		linalool, menthol bool
	}{
		{"on_sale: {ca: 2025-03-01}", "2026-04-11", false, false},
		{"on_sale: {ca: 2025-03-01}", "2026-04-12", true, false},
		{"on_sale: {ca: 2025-03-01}", "2026-11-26", true, false},
		{"on_sale: {ca: 2026-08-01}", "2026-11-26", true, true},
		{"on_sale: {ca: 2025-03-01}", "2028-07-31", true, false},
		{"on_sale: {ca: 2025-03-01}", "2028-08-01", true, true},
		{"", "2026-07-31", true, false},
		{"", "2026-11-26", true, true},
	} {
		text := declared(t, mintShop(t, "", tt.onSale, ""), "mint", "ca", tt.on)
		if strings.Contains(text, "Menthol") != tt.menthol || strings.Contains(text, "Linalool") != tt.linalool {
			t.Errorf("%q, on %s: %q, want linalool: %v, menthol: %v", tt.onSale, tt.on, text, tt.linalool, tt.menthol)
		}
	}
}

// What is right today and will not be while the bars are sold is told, with the day.
func TestLookingAhead(t *testing.T) {
	for _, tt := range []struct {
		what, name, sellWithin, placed, market, on string
		want                                       string // rule and day, or ""
	}{
		{"a formula whose bars may be placed later", "mint", ", sell_within: 12 months", "", "eu", "2026-07-20", "COMPILE-LATER 2026-08-01"},
		{"the same, nothing being said of sale", "mint", "", "", "eu", "2026-07-20", "COMPILE-LATER 2026-08-01"},
		{"the day before twelve months before", "mint", ", sell_within: 12 months", "", "eu", "2025-07-31", ""},
		{"twelve months before", "mint", ", sell_within: 12 months", "", "eu", "2025-08-01", "COMPILE-LATER 2026-08-01"},
		{"a formula of today", "mint", ", sell_within: 24 months", "", "eu", "2026-11-26", ""},
		{"a batch placed in time, sold in time", "26150-01", ", sell_within: 24 months", "placed: {eu: 2026-06-01}", "eu", "2026-06-01", ""},
		{"a batch placed in time, sold too long", "26150-01", ", sell_within: 36 months", "placed: {eu: 2026-06-01}", "eu", "2026-06-01", "COMPILE-LATER 2028-08-01"},
		{"sold up to the day of change", "26150-01", ", sell_within: 26 months", "placed: {eu: 2026-06-01}", "eu", "2026-06-01", "COMPILE-LATER 2028-08-01"},
		{"the address of the Union in Great Britain, while it serves", "mint", ", sell_within: 12 months", "", "uk", "2026-11-26", ""},
		{"and when it serves no longer", "mint", ", sell_within: 24 months", "", "uk", "2026-11-26", "UK-PERSON-01 2028-01-01"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			folder := mintShop(t, tt.sellWithin, "", tt.placed)
			checked, err := compile.Check(folder, compile.Order{Formula: tt.name, On: dayOf(t, tt.on)}, []string{tt.market})
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, f := range checked.Findings {
				if rest, ok := strings.CutPrefix(f.Message, "from "); ok && strings.Contains(rest, "while these bars are sold") {
					got = append(got, fmt.Sprintf("%s %s", f.Rule, rest[:len("2026-08-01")]))
					if f.Level != finding.Warn || f.Remedy == "" {
						t.Errorf("%s %q, remedy %q", f.Level, f.Message, f.Remedy)
					}
				}
			}
			var want []string
			if tt.want != "" {
				want = []string{tt.want}
			}
			if !slices.Equal(got, want) {
				t.Errorf("got %q, want %q; all: %v", got, want, checked.Findings)
			}
			said := slices.ContainsFunc(checked.Findings, func(f finding.Finding) bool { return f.Rule == compile.RuleSeller })
			if assumed := tt.want != "" && tt.sellWithin == ""; said != assumed {
				t.Errorf("it is said that the months are taken: %v, want %v", said, assumed)
			}
		})
	}
}
