package compile

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/market"
	"saponym/internal/source"
)

// The rule ids of what is written under a place, a language or a key of its own.
const (
	RulePlace    = "COMPILE-PLACE"    // no place that a rule set is about
	RuleEvidence = "COMPILE-EVIDENCE" // evidence that no rule asks for
	RuleSaid     = "COMPILE-SAID"     // words in a language, or under a key, that no label takes them from
	RuleLotRule  = "COMPILE-LOT-RULE" // a rule for lots that the place does not have
)

// said are the keys of words that labels take.
var said = []string{"identity", "tagline", "listing"}

// places reports what the documents say of places that no rule set is about, evidence
// that none asks for, and words that no label takes: a maker could else believe that
// they count.
func (s subject) places(shop formula.Shop) []finding.Finding {
	known := market.Places()
	var found []finding.Finding
	slip := func(rule, message, word string, at finding.Pos, words []string) {
		remedy := "choose from: " + strings.Join(words, ", ")
		if near := source.Nearest(word, words); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		found = append(found, finding.Finding{Level: finding.Warn, Rule: rule, At: at, Message: message, Remedy: remedy})
	}
	place := func(key, word string, at finding.Pos) bool {
		ok := slices.Contains(known, word)
		if !ok {
			slip(RulePlace, fmt.Sprintf("no rule set is about the place %q under %q, so nothing goes by it", word, key), word, at, known)
		}
		return ok
	}
	for _, word := range slices.Sorted(maps.Keys(shop.Responsible)) {
		place("responsible_person", word, shop.Responsible[word].Name.At)
	}
	for _, word := range slices.Sorted(maps.Keys(shop.LotRules)) {
		chosen := shop.LotRules[word]
		if !place("lot_rules", word, chosen.At) {
			continue
		}
		rules, err := market.NetRules(word)
		if err != nil {
			panic(err) // the data is part of the program
		}
		var ids []string
		for _, r := range rules {
			ids = append(ids, r.ID)
		}
		if !slices.Contains(ids, chosen.V) {
			slip(RuleLotRule, fmt.Sprintf("%q has no rule %q for lots, so they are judged by the usual one", word, chosen.V), chosen.V, chosen.At, ids)
		}
	}
	for _, word := range slices.Sorted(maps.Keys(s.doc.OnSale)) {
		place("on_sale", word, s.doc.OnSale[word].At)
	}
	for _, word := range slices.Sorted(maps.Keys(s.doc.Evidence)) {
		given := s.doc.Evidence[word]
		asked := market.Evidence(word)
		keys := slices.SortedFunc(maps.Keys(given), func(a, b string) int {
			return cmp.Or(cmp.Compare(given[a].At.Line, given[b].At.Line), cmp.Compare(given[a].At.Col, given[b].At.Col))
		})
		for i, key := range keys {
			switch {
			case i == 0 && !place("evidence", word, given[key].At), len(asked) == 0:
			case !slices.Contains(asked, key):
				slip(RuleEvidence, fmt.Sprintf("no rule of the place %q asks for the evidence %q", word, key), key, given[key].At, asked)
			}
		}
	}
	for _, language := range slices.Sorted(maps.Keys(s.doc.Words)) {
		given := s.doc.Words[language]
		for _, key := range slices.Sorted(maps.Keys(given)) {
			if !slices.Contains(market.Languages(), language) {
				slip(RuleSaid, fmt.Sprintf("no label of this version takes words in %q", language), language, given[key].At, market.Languages())
			} else if !slices.Contains(said, key) {
				slip(RuleSaid, fmt.Sprintf("no label takes words from %q", key), key, given[key].At, said)
			}
		}
	}
	if s.batch != nil {
		for _, word := range slices.Sorted(maps.Keys(s.batch.Placed)) {
			place("placed", word, s.batch.Placed[word].At)
		}
	}
	return found
}
