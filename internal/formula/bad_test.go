package formula_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/source"
)

// A formula that is complete but for its name; tests put lines behind it.
const plain = "name: a\nidentity: soap\npot: [{material: olive-oil, weight: 1000 g}]\nlye: {alkali: sodium hydroxide, superfat: 5%, water: {strength: 33%}}\n"

// badTests are documents with the findings that they have to get.
var badTests = []struct {
	name    string
	file    string
	in      string
	want    string // "line:col RULE", with commas between them
	nothing bool   // no document at all
}{
	{name: "empty", file: "formulas/x.yaml", in: "", want: "0:0 SRC-NOTHING", nothing: true},
	{name: "binary", file: "materials/x.yaml", in: "\x89PNG\r\n\x1a\n\x00", want: "0:0 SRC-ENCODING", nothing: true},
	{name: "a huge file", file: "formulas/x.yaml", in: plain + strings.Repeat("# filler\n", 130_000), want: "0:0 SRC-SIZE", nothing: true},
	{name: "nested deeply", file: "formulas/x.yaml", in: plain + "words: " + strings.Repeat("[", 50) + strings.Repeat("]", 50) + "\n", want: "5:8 SRC-TYPE, 5:39 SRC-DEPTH"},
	{name: "an alias bomb", file: "formulas/x.yaml", in: plain + "steps: &a [{do: &b x}, *b]\nwords: *a\n", want: "5:8 SRC-ALIAS, 6:8 SRC-ALIAS"},
	{name: "emoji and marks that turn the text", file: "formulas/x.yaml", in: "name: 🙂 a\u202eb\n" + strings.TrimPrefix(plain, "name: a\n"), want: "1:10 SRC-CHARACTER"},
	{name: "a long name", file: "formulas/x.yaml", in: "name: " + strings.Repeat("x", 2001) + "\n" + strings.TrimPrefix(plain, "name: a\n"), want: "1:7 SRC-LONG"},

	{name: "the file name", file: "formulas/Hearth & Husk.yaml", in: plain, want: "0:0 FORM-ID"},
	{name: "nothing but a name", file: "formulas/x.yaml", in: "# a\nname: a\n", want: "2:1 FORM-MISSING, 2:1 FORM-NO-LYE"},
	{name: "nothing that is known", file: "formulas/x.yaml", in: "nmae: a\n", want: "1:1 FORM-MISSING, 1:1 FORM-MISSING, 1:1 FORM-NO-LYE, 1:1 SRC-UNKNOWN-KEY"},
	{name: "no lye", file: "formulas/x.yaml", in: "name: a\nidentity: soap\npot: [{material: olive-oil, weight: 1 kg}]\n", want: "3:18 FORM-NO-LYE"},
	{name: "no pot", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nlye: {alkali: sodium hydroxide, water: {strength: 33%}}\n", want: "3:6 FORM-NO-LYE"},
	{name: "a pot that is no list", file: "formulas/x.yaml", in: "name: a\nidentity: soap\npot: olive oil\nlye: {alkali: sodium hydroxide, water: {strength: 33%}}\n", want: "3:6 SRC-TYPE"},
	{name: "base and pot", file: "formulas/x.yaml", in: plain + "base: [{material: clear-base, weight: 1 kg}]\n", want: "3:18 FORM-BASE"},
	{name: "base and lye", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nbase: [{material: clear-base, weight: 1 kg}]\nlye: {alkali: sodium hydroxide, water: {strength: 33%}}\n", want: "4:6 FORM-BASE"},

	{name: "negative and zero weights", file: "formulas/x.yaml", in: "name: a\nidentity: soap\npot: [{material: a, weight: -5 g}, {material: b, weight: 0 g}]\nlye: {alkali: sodium hydroxide, water: {weight: 0 g}}\n",
		want: "3:29 SRC-AMOUNT, 3:58 SRC-POSITIVE, 4:49 SRC-POSITIVE"},
	{name: "a line without an amount", file: "formulas/x.yaml", in: "name: a\nidentity: soap\npot: [{material: a}, {weight: 5 g}]\nlye: {alkali: sodium hydroxide, water: {per_lye: 2}}\n",
		want: "3:7 FORM-ONE-OF, 3:22 FORM-MISSING"},
	{name: "a line with two amounts", file: "formulas/x.yaml", in: plain + "add: [{material: a, weight: 5 g, share: 5%}]\n", want: "5:34 FORM-ONE-OF"},
	{name: "shares that are too little", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nsize: {oils: 1 kg}\npot:\n- {material: a, share: 80%}\n- {material: b, share: 19.9%}\nlye: {alkali: sodium hydroxide, water: {of_oils: 38%}}\n", want: "6:24 FORM-POT-SUM"},
	{name: "shares that are too much", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nsize: {mould: slab-a}\npot:\n- {material: a, share: 80%}\n- {material: b, share: 20.0000001%}\nlye: {alkali: sodium hydroxide, water: {of_oils: 38%}}\n", want: "6:24 FORM-POT-SUM"},
	{name: "shares of nothing", file: "formulas/x.yaml", in: "name: a\nidentity: soap\npot: [{material: a, share: 100%}]\nlye: {alkali: sodium hydroxide, water: {of_oils: 38%}}\n", want: "3:28 FORM-POT-SIZE"},
	{name: "shares and weights", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nsize: {oils: 1 kg}\npot: [{material: a, share: 80%}, {material: b, weight: 200 g}]\nlye: {alkali: sodium hydroxide, water: {of_oils: 38%}}\n", want: "4:56 FORM-POT-MIXED"},
	{name: "a share of nought and one above the whole", file: "formulas/x.yaml", in: plain + "add: [{material: a, share: 0%}, {material: b, share: 101%}]\n", want: "5:28 SRC-POSITIVE, 5:54 FORM-OVER"},
	{name: "one material twice", file: "formulas/x.yaml", in: "name: a\nidentity: soap\npot: [{material: olive-oil, weight: 1 kg}, {material: Olive oil, weight: 1 kg}]\nlye: {alkali: sodium hydroxide, water: {of_oils: 38%}}\n", want: "3:55 FORM-REPEATED"},
	{name: "a material that is no id", file: "formulas/x.yaml", in: plain + "add: [{material: oat/flour, share: 1%}]\n", want: "5:18 FORM-ID"},
	{name: "two sizes", file: "formulas/x.yaml", in: plain + "size: {oils: 1 kg, batter: 1400 g}\n", want: "5:20 FORM-ONE-OF"},

	{name: "superfat over 100 %", file: "formulas/x.yaml", in: strings.Replace(plain, "5%", "101%", 1), want: "4:43 FORM-SUPERFAT"},
	{name: "superfat below nought", file: "formulas/x.yaml", in: strings.Replace(plain, "5%", "-5%", 1), want: "4:43 SRC-AMOUNT"},
	{name: "superfat and weight", file: "formulas/x.yaml", in: strings.Replace(plain, "5%", "5%, weight: 128.4 g", 1), want: "4:47 FORM-ONE-OF"},
	{name: "half a ratio", file: "formulas/x.yaml", in: strings.Replace(plain, "superfat: 5%", "ratio: {alkali: 4.5 oz}", 1), want: "4:40 FORM-MISSING"},
	{name: "no alkali", file: "formulas/x.yaml", in: strings.Replace(plain, "alkali: sodium hydroxide, ", "", 1), want: "4:6 FORM-ALKALI"},
	{name: "an alkali that is misspelled", file: "formulas/x.yaml", in: strings.Replace(plain, "sodium hydroxide", "sodium hydroxid", 1), want: "4:15 SRC-WORD"},
	{name: "no water", file: "formulas/x.yaml", in: strings.Replace(plain, ", water: {strength: 33%}", "", 1), want: "4:6 FORM-MISSING"},
	{name: "no way of water", file: "formulas/x.yaml", in: strings.Replace(plain, "strength: 33%", "", 1), want: "4:54 FORM-ONE-OF"},
	{name: "two ways of water", file: "formulas/x.yaml", in: strings.Replace(plain, "33%", "33%, per_lye: 2", 1), want: "4:70 FORM-ONE-OF"},
	{name: "a strength of 100 %", file: "formulas/x.yaml", in: strings.Replace(plain, "33%", "100%", 1), want: "4:65 FORM-STRENGTH"},
	{name: "purities", file: "formulas/x.yaml", in: strings.Replace(plain, "alkali: sodium hydroxide", "alkali: [{alkali: sodium hydroxide, share: 90%, purity: 0%}, {alkali: potassium hydroxide, share: 9%, purity: 101%}]", 1),
		want: "4:63 FORM-PURITY, 4:105 FORM-LYE-SHARES, 4:117 FORM-PURITY"},
	{name: "a purity without a low bound", file: "formulas/x.yaml", in: strings.Replace(plain, "hydroxide,", "hydroxide, purity: below 98%,", 1), want: "4:41 FORM-PURITY"},
	{name: "purity and carbonate", file: "formulas/x.yaml", in: strings.Replace(plain, "hydroxide,", "hydroxide, purity: 99%, carbonate: 2%,", 1), want: "4:57 FORM-PURITY"},
	{name: "a purity beside a list", file: "formulas/x.yaml", in: strings.Replace(plain, "alkali: sodium hydroxide,", "alkali: [{alkali: sodium hydroxide}], purity: 98%, of: moles,", 1), want: "4:45 FORM-PURITY, 4:62 FORM-ALKALI"},
	{name: "two alkalis without shares", file: "formulas/x.yaml", in: strings.Replace(plain, "alkali: sodium hydroxide", "alkali: [{alkali: sodium hydroxide}, {alkali: sodium hydroxide}]", 1), want: "4:16 FORM-LYE-SHARES, 4:44 FORM-LYE-SHARES, 4:53 FORM-ALKALI"},
	{name: "a solution with a purity", file: "formulas/x.yaml", in: strings.Replace(plain, "alkali: sodium hydroxide", "solution: lye-50, purity: 98%", 1), want: "4:25 FORM-ONE-OF"},
	{name: "where a liquid goes", file: "formulas/x.yaml", in: strings.Replace(plain, "33%}", "33%}, liquids: [{material: goat-milk, share: 50%, into: jug}]", 1), want: "4:121 SRC-WORD"},

	{name: "liquids that are more than the water", file: "formulas/x.yaml", in: strings.Replace(plain, "33%}", "33%}, liquids: [{material: goat-milk, share: 60%}, {material: beer, share: 40.0000001%}, {material: tea, share: 5%}]", 1), want: "4:140 FORM-LIQUIDS"},
	{name: "liquids that are all of the water", file: "formulas/x.yaml", in: strings.Replace(plain, "33%}", "33%}, liquids: [{material: goat-milk, share: 60%}, {material: beer, share: 40%}]", 1), want: ""},
	{name: "a base of shares without a size", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nbase: [{material: clear-base, share: 100%}]\n", want: "3:38 FORM-POT-SIZE"},
	{name: "a base with a size by oils", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nsize: {oils: 1 kg}\nbase: [{material: clear-base, share: 100%}]\n", want: "3:14 FORM-BASE-SIZE"},
	{name: "a base with a size by mould", file: "formulas/x.yaml", in: "name: a\nidentity: soap\nsize: {mould: tin}\nbase: [{material: clear-base, share: 100%}]\n", want: ""},
	{name: "stirred into nothing", file: "formulas/x.yaml", in: plain + "add:\n- {batch: 26200-01-Y, share: 5%, with: [{material: glycerin, weight: 5 g}]}\n- {material: red clay, share: 1%, with: [{material: red-clay, share: 1%}]}\n- {material: red clay, share: 1%, with: [{material: olive oil, weight: 5 g}]}\n",
		want: "6:52 FORM-WITH, 7:53 FORM-WITH"},
	{name: "a portion before there are any", file: "formulas/x.yaml", in: plain + "portions: {white: 40%, blue: 60%}\nadd: [{material: a, share: 1%, in: blue, at: oils}, {material: b, share: 1%, in: blue}]\n", want: "6:36 FORM-PORTION"},
	{name: "portions", file: "formulas/x.yaml", in: plain + "portions: {white: 40%, blue: 50%}\nadd: [{material: a, share: 1%, in: bleu}]\n", want: "5:30 FORM-PORTIONS, 6:36 FORM-PORTION"},
	{name: "a line without a name that goes with own bars", file: "formulas/x.yaml", in: plain + "add: [{batch: 26200-01-Y, share: 5%, with: [{m: glycerin}]}]\n", want: "5:15 FORM-WITH, 5:45 FORM-MISSING, 5:45 FORM-ONE-OF, 5:46 SRC-UNKNOWN-KEY"},
	{name: "material and batch", file: "formulas/x.yaml", in: plain + "add: [{material: a, batch: b, share: 1%}, {share: 1%, at: soon, stays: 101%}]\n", want: "5:21 FORM-ONE-OF, 5:43 FORM-ONE-OF, 5:59 SRC-WORD, 5:72 FORM-OVER"},
	{name: "a step that says nothing", file: "formulas/x.yaml", in: plain + "steps: [{temp: 32 C}]\n", want: "5:9 FORM-MISSING"},
	{name: "cuts", file: "formulas/x.yaml", in: plain + "cuts:\n  ends: {count: 0, length: 0 mm, width: -1 mm, height: 25, claim: 4 mm}\n", want: "6:3 FORM-CUT-NAME, 6:17 FORM-COUNT, 6:28 SRC-POSITIVE, 6:41 SRC-AMOUNT, 6:58 SRC-AMOUNT, 6:69 SRC-AMOUNT"},
	{name: "GTINs", file: "formulas/x.yaml", in: plain + "cuts:\n  a: {gtin: \"9521234543214\"}\n  b: {gtin: \"95212345432\"}\n  c: {gtin: 9521-234543213}\n  d: {gtin: 952123454321X}\n", want: "6:13 FORM-GTIN, 7:13 FORM-GTIN, 8:13 FORM-GTIN, 9:13 FORM-GTIN"},
	{name: "a link without a host", file: "formulas/x.yaml", in: plain + "link: fennel.example/h\n", want: "5:7 FORM-LINK"},
	{name: "a day", file: "formulas/x.yaml", in: plain + "on_sale: {ca: 1 March}\nkeep: {open: 1.5 years}\nprocess: warm\n", want: "5:15 SRC-DAY, 6:14 SRC-AMOUNT, 7:10 SRC-WORD"},
	{name: "a variant may leave out much", file: "formulas/x.yaml", in: "like: house-base\nadd: [{material: a, share: 1%, in: white}]\nlye: {superfat: 8%}\n", want: ""},

	{name: "a material of nothing", file: "materials/x.yaml", in: "name: a\n", want: "1:1 FORM-ONE-OF"},
	{name: "a single and a compound material", file: "materials/x.yaml", in: "inci: a\ncontains: [{inci: b}]\n", want: "2:1 FORM-ONE-OF"},
	{name: "a constituent with two names", file: "materials/x.yaml", in: "contains: [{inci: a, material: olive-oil}, {inci: b}]\n", want: "1:1 FORM-ORDER, 1:22 FORM-ONE-OF"},
	{name: "a constituent without a name", file: "materials/x.yaml", in: "contains: [{share: 4%}, {inci: b}, {material: }]\n", want: "1:12 FORM-ONE-OF, 1:37 SRC-NO-VALUE"},
	{name: "a constituent that is found out with the library at hand", file: "materials/castor-oil.yaml", in: "contains: [{material: castor-oil}, {material: sodium hydroxide}, {material: olvie-oil, share: traces}]\n"},
	{name: "a constituent that is no id", file: "materials/x.yaml", in: "contains: [{material: 'a/b'}, {inci: b}]\n", want: "1:1 FORM-ORDER, 1:23 FORM-ID"},
	{name: "a name split at a comma", file: "materials/x.yaml", in: "contains:\n  - {inci: Sodium Olivate, Aqua, share: 4%}\n  - {inci: b}\n", want: "2:28 SRC-SPLIT"},
	{name: "a kind that is misspelled", file: "materials/x.yaml", in: "inci: a\nkind: oil blent\n", want: "2:7 SRC-WORD"},
	{name: "an implausible saponification value", file: "materials/x.yaml", in: "inci: a\nsap: 0.1397 mg KOH/g\n", want: "2:6 FORM-SAP"},
	{name: "a figure for KOH in NaOH", file: "materials/x.yaml", in: "inci: a\nsap: 190-270 mg NaOH/g\n", want: "2:6 FORM-SAP"},
	{name: "mg that stand in g", file: "materials/x.yaml", in: "inci: a\nsap: 190 g NaOH/g\n", want: "2:6 FORM-SAP"},
	{name: "a figure for NaOH in KOH", file: "materials/x.yaml", in: "inci: a\nsap: 135 mg KOH/g\n", want: "2:6 FORM-SAP"},
	{name: "water in a scent", file: "materials/x.yaml", in: "kind: fragrance\nwater: 10%\nevaporates: 4%\n", want: "3:1 FORM-KIND"},
	{name: "fat in an oil", file: "materials/x.yaml", in: "inci: a\nkind: oil\nfat: 10%\n", want: "3:1 FORM-KIND"},
	{name: "a moist thing with a list", file: "materials/x.yaml", in: "kind: liquid\ncontains: [{inci: a}, {inci: b}]\nwater: 87%\n", want: "2:1 FORM-ORDER, 3:1 FORM-ONE-OF"},
	{name: "an empty list", file: "materials/x.yaml", in: "kind: oil blend\ncontains: []\n", want: "2:1 FORM-CONTAINS"},
	{name: "names alone, of which the order is said to mean nothing", file: "materials/x.yaml", in: "contains: [{inci: a}, {inci: b}]\norder: unknown\n", want: ""},
	{name: "more than all in a moist thing", file: "materials/x.yaml", in: "kind: liquid\ninci: a\nwater: 87-90%\nfat: 10-20%\nfat_of: butter\nevaporates: 3.1%\n", want: "6:13 FORM-MOIST"},
	{name: "a moist thing that may be whole", file: "materials/x.yaml", in: "kind: liquid\ninci: a\nwater: 87-100%\nfat: 10-20%\nevaporates: 3%\n", want: ""},
	{name: "water above the whole", file: "materials/x.yaml", in: "kind: liquid\ninci: a\nwater: 87-101%\nevaporates: 101%\n", want: "3:8 FORM-OVER, 4:13 FORM-OVER"},
	{name: "water without a unit", file: "materials/x.yaml", in: "kind: liquid\ninci: a\nwater: 87\n", want: "3:10 SRC-AMOUNT"},
	{name: "the fat of nothing", file: "materials/x.yaml", in: "kind: liquid\ninci: a\nfat: 4%\nfat_of: buter\n", want: "4:9 FORM-FAT-OF"},
	{name: "the fat of a thing that is no oil", file: "materials/x.yaml", in: "kind: liquid\ninci: a\nfat: 4%\nfat_of: kaolin\n", want: "4:9 FORM-FAT-OF"},
	{name: "of what the fat is, and how much is not said", file: "materials/x.yaml", in: "kind: liquid\ninci: a\nfat_of: butter\n", want: "1:1 FORM-MISSING"},
	{name: "reactivities", file: "materials/x.yaml", in: "kind: colourant\ninci: a\nreactivity: 101%\n", want: "3:1 FORM-KIND, 3:13 FORM-OVER"},
	{name: "a saponification value without its alkali", file: "materials/x.yaml", in: "inci: a\nsap: 196\nacid_value: 1 g NaOH/g\n", want: "2:6 SRC-AMOUNT, 3:15 SRC-AMOUNT"},
	{name: "a saponification value that is not there", file: "materials/x.yaml", in: "inci: a\nsap:\n", want: "2:1 SRC-NO-VALUE"},
	{name: "a saponification value that is a list", file: "materials/x.yaml", in: "inci: a\nsap: [196 mg KOH/g]\n", want: "2:6 SRC-TYPE"},
	{name: "a saponification value in words", file: "materials/x.yaml", in: "inci: a\nsap: high\n", want: "2:6 SRC-AMOUNT"},
	{name: "a saponification value that runs downwards", file: "materials/x.yaml", in: "inci: a\nsap: 196-184 mg KOH/g\n", want: "2:9 SRC-AMOUNT"},
	{name: "fatty acids", file: "materials/x.yaml", in: "inci: a\nfatty_acids: {oleic: 70%, C18:1: 10%, olaic: 10%, lauric: 20%}\n", want: "2:27 FORM-ACID, 2:39 FORM-ACID, 2:59 FORM-PROFILE"},
	{name: "constituents that are too much", file: "materials/x.yaml", in: "contains: [{inci: a, share: 60-70%}, {inci: b, share: 50%}]\n", want: "1:55 FORM-CONTAINS"},
	{name: "constituents that are too little", file: "materials/x.yaml", in: "contains: [{inci: a, share: 40-50%}, {inci: b, share: 40%}]\n", want: "1:55 FORM-CONTAINS"},
	{name: "constituents of which one is open", file: "materials/x.yaml", in: "contains: [{inci: a, share: 40-50%}, {inci: b}]\n", want: ""},
	{name: "a descending order that rises", file: "materials/x.yaml", in: "contains: [{inci: a, share: 40%}, {inci: b}, {inci: c, share: 45-60%}]\norder: descending\n", want: "1:63 FORM-RISING"},
	{name: "a descending order of ranges that may hold", file: "materials/x.yaml", in: "contains: [{inci: a, share: 40-50%}, {inci: c, share: 45-60%}]\norder: descending\n", want: ""},
	{name: "two rests", file: "materials/x.yaml", in: "contains:\n  - {inci: a, share: rest}\n  - {inci: b, share: 5%}\n  - {inci: c, share: q.s.}\n", want: "4:22 FORM-CONTAINS"},
	{name: "shares that are none", file: "materials/x.yaml", in: "contains: [{inci: a, share: ≤120%}, {inci: b, share: above 101%}, {inci: c, share: 30-20%}, {inci: d, share: -1%}, {inci: e, share: belwo 1%}]\n",
		want: "1:29 FORM-OVER, 1:54 FORM-OVER, 1:86 SRC-AMOUNT, 1:110 SRC-AMOUNT, 1:133 SRC-AMOUNT"},
	{name: "a rest that fills up to less", file: "materials/x.yaml", in: "contains: [{inci: a, share: 5%}, {inci: b, share: to 50%}, {inci: c, share: q.s.}]\n", want: "1:54 SRC-AMOUNT"},
	{name: "a rest that fills up, and another", file: "materials/x.yaml", in: "contains: [{inci: a, share: to 100%}, {inci: b, share: 5%}, {inci: c, share: balance}]\n", want: "1:78 FORM-CONTAINS"},
	{name: "allergens that are the rest", file: "materials/x.yaml", in: "kind: fragrance\nallergens: {Linalool: rest, Citral: '>100%'}\n", want: "2:23 SRC-AMOUNT, 2:38 SRC-AMOUNT"},
	{name: "an order of nothing", file: "materials/x.yaml", in: "inci: a\norder: legal\n", want: "2:8 FORM-CONTAINS"},
	{name: "allergens", file: "materials/x.yaml", in: "kind: fragrance\nallergens: {Linalool: 60%, Limonene: 30-50%, Citral: 20%, Eugenol: 101%}\nvanillin: 200%\n", want: "2:54 FORM-ALLERGEN, 2:68 FORM-OVER, 3:11 FORM-OVER"},
	{name: "a strength of something else", file: "materials/x.yaml", in: "inci: a\nkind: oil\nstrength: 50%\n", want: "3:1 FORM-KIND"},
	{name: "a lye solution without its strength", file: "materials/x.yaml", in: "inci: a\nkind: lye solution\n", want: "1:1 FORM-MISSING"},
	{name: "a category twice in a certificate", file: "materials/x.yaml", in: "kind: fragrance\nmax_use: {ifra: 51, category 9: 5%, category-9: 1%}\n", want: "2:37 FORM-ONE-OF"},
	{name: "the supplier's certificate", file: "materials/x.yaml", in: "kind: fragrance\nmax_use: {ifra: 51, category 9: 5, group 9: 5%}\nstatement: {dated: 1.4.2026}\n", want: "2:34 SRC-AMOUNT, 2:36 SRC-UNKNOWN-KEY, 3:20 SRC-DAY"},

	{name: "a shop of nobody", file: "shop.yaml", in: "markets: [eu, EU, u/s]\n", want: "1:1 FORM-MISSING, 1:15 FORM-REPEATED, 1:19 FORM-ID"},
	{name: "a maker without a name", file: "shop.yaml", in: "maker: {address: 4 Mill Row, contact: {email: larch.example, web: larch}}\n", want: "1:8 FORM-MISSING, 1:18 SRC-TYPE, 1:47 FORM-LINK, 1:67 FORM-LINK"},
	{name: "an address split at a comma", file: "shop.yaml", in: "maker: {name: Larch, Lather & Co}\n", want: "1:22 SRC-SPLIT"},
	{name: "moulds", file: "shop.yaml", in: "maker: {name: a}\nmoulds:\n  a: {}\n  b: {holds: 33 oz, fill: 101%}\n  c: {oils: 5 g, batter: 5 g, fill: 5%}\n  C: {oils: 5 g}\n  d: {holds: 1 l, fill: 0%}\n",
		want: "3:6 FORM-ONE-OF, 4:17 SRC-AMOUNT, 4:27 FORM-OVER, 5:18 FORM-ONE-OF, 5:37 FORM-ONE-OF, 6:3 SRC-DUPLICATE-KEY, 7:25 SRC-POSITIVE"},
	{name: "scales and printers", file: "shop.yaml", in: "maker: {name: a}\nscales: {kitchen: {}}\nprinters: {b: {t: {x: 0.3, scale_x: 0%}}}\n", want: "2:19 FORM-MISSING, 3:26 SRC-AMOUNT, 3:37 SRC-POSITIVE"},

	{name: "a batch of nothing", file: "batches/x.yaml", in: "makes: soap\n", want: "1:1 FORM-MISSING, 1:1 FORM-MISSING, 1:1 FORM-MISSING, 1:8 SRC-WORD"},
	{name: "a copied batch", file: "batches/x.yaml", in: "code: y\nformula: f\nmade: 2026-11-26\n", want: "1:7 FORM-CODE"},
	{name: "days before the batch", file: "batches/x.yaml", in: "code: x\nmakes: material\nmade: 2026-11-26\ncut: {date: 2026-11-25, bar: 8}\nweighings: [{date: 2025-11-26, cut: bar, bars: {a: 0 g}}]\npacked: [{cut: bar}]\nplaced: {eu: 2026-11-01}\n",
		want: "4:13 FORM-DAY-ORDER, 5:20 FORM-DAY-ORDER, 5:52 SRC-POSITIVE, 6:10 FORM-MISSING, 7:14 FORM-DAY-ORDER"},
	{name: "events", file: "batches/x.yaml", in: "code: x\nformula: f\nmade: 2026-11-26\nevents:\n- {id: e1, date: 2026-11-27, what: eaten}\n- {id: e1, date: 2026-11-27, what: adverse event, corrects: e2}\n- {}\n",
		want: "5:36 SRC-WORD, 6:8 FORM-REPEATED, 6:61 FORM-CORRECTS, 7:3 FORM-MISSING, 7:3 FORM-MISSING"},
	{name: "weighed", file: "batches/x.yaml", in: "code: x\nformula: f\nmade: 2026-11-26\nweighed:\n- {weight: 5 g}\n- {material: a, batch: b, weight: 5}\n- {material: a, received: 30.10.2026}\n", want: "5:3 FORM-ONE-OF, 6:17 FORM-ONE-OF, 6:36 SRC-AMOUNT, 7:27 SRC-DAY"},
}

func TestBadDocuments(t *testing.T) {
	for _, tt := range badTests {
		t.Run(tt.name, func(t *testing.T) {
			findings, err := read(tt.file, []byte(tt.in))
			var nothing *source.NoDocument
			if errors.As(err, &nothing) {
				findings = nothing.Findings
			}
			if (err != nil) != tt.nothing {
				t.Errorf("error %v; want one: %v", err, tt.nothing)
			}
			var all []string
			for _, f := range findings {
				all = append(all, fmt.Sprintf("%d:%d %s", f.At.Line, f.At.Col, f.Rule))
				if f.Message == "" || f.Remedy == "" {
					t.Errorf("a finding says too little: %#v", f)
				}
			}
			if got := strings.Join(all, ", "); got != tt.want {
				t.Errorf("%s: %.300q\n got %s\nwant %s", tt.file, tt.in, got, tt.want)
				for _, f := range findings {
					t.Log(f.Text())
				}
			}
		})
	}
}

func FuzzRead(f *testing.F) {
	for _, tt := range badTests {
		if len(tt.in) < 1<<14 {
			f.Add([]byte(tt.in))
		}
	}
	for _, tt := range contradictions {
		f.Add([]byte(tt.document()))
	}
	for _, data := range shopFiles(f) {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, file := range []string{"formulas/x.yaml", "materials/castor-oil.yaml", "batches/x.yaml", "shop.yaml"} {
			findings, err := read(file, data)
			var nothing *source.NoDocument
			if errors.As(err, &nothing) {
				findings = nothing.Findings
			} else if err != nil {
				t.Fatal(err)
			}
			checkInside(t, file, data, findings)
		}
		// A material that may name itself.
		m, _, err := formula.ReadMaterial("materials/castor-oil.yaml", data)
		if err != nil {
			return
		}
		for _, f := range formula.NewLibrary([]formula.Material{m}).Nested() {
			if f.At.File != m.File || f.At.Line == 0 || f.Remedy == "" {
				t.Fatalf("%+v", f)
			}
		}
	})
}

// checkInside makes sure that each finding lies in the file and shows its line.
func checkInside(t *testing.T, file string, data []byte, findings []finding.Finding) {
	t.Helper()
	lines := strings.Split(strings.TrimPrefix(string(data), "\ufeff"), "\n")
	for _, f := range findings {
		switch {
		case f.At.File != file:
			t.Fatalf("%+v lies in another file", f)
		case f.At.Line == 0: // of the whole file
		case f.At.Line > len(lines):
			t.Fatalf("%+v lies behind the last line of %q", f, data)
		default:
			line := strings.TrimSuffix(lines[f.At.Line-1], "\r")
			if f.At.Col < 1 || f.At.Col > utf8.RuneCountInString(line)+1 || f.Excerpt != line {
				t.Fatalf("%+v does not lie in its line %q", f, line)
			}
		}
	}
}
