package marks

import (
	"fmt"
	"regexp"
	"strings"

	"telltale/reference"
)

// tradeItem is a trade-item number with the place it was read in.
type tradeItem struct {
	digits   string
	evidence Evidence
}

// barcodes notes what the digits of trade-item numbers say: whether the check digit
// holds, who gave the number out, and whether bars and print agree. None of it
// speaks for or against the product: numbers are mistyped, and a number is issued
// where its owner joined.
func barcodes(r *reporter) {
	const clears = "a reading of the bars themselves"
	known := reference.TradeItemNumbers()
	printed, coded := r.it.printedItems(), codedItems(r.it.m.Codes)
	for _, x := range append(coded, printed...) {
		if !checkDigitHolds(x.digits) {
			r.add("barcode-check-digit", reference.Note, known.CheckDigit, x.digits+" is no trade-item number: its length or its check digit does not hold; it may be mistyped", clears, []Evidence{x.evidence})
			continue
		}
		for _, p := range known.Prefixes {
			if prefix := prefixOf(x.digits); prefix >= p.From && prefix <= p.To {
				r.add("barcode-prefix", reference.Note, known.Source, fmt.Sprintf("the number is %s, which says nothing of where the product was made", p.Says), clears, []Evidence{x.evidence})
			}
		}
	}
	for _, x := range printed {
		if len(coded) > 0 && checkDigitHolds(x.digits) && !shares(coded, x.digits) {
			r.add("barcode-differs-from-print", reference.Note, own, "the trade-item number in words is in none of the codes that were read; box and unit often bear two", "a reading of every code on it", []Evidence{x.evidence, coded[0].evidence})
		}
	}
}

// printedItems are the numbers that stand in words.
func (it *item) printedItems() (out []tradeItem) {
	if common := it.book.common(); common >= 0 {
		for _, w := range it.find(common, "barcode") {
			out = append(out, tradeItem{strings.ReplaceAll(w.text, " ", ""), w.evidence()})
		}
	}
	return out
}

// A code that is a trade-item number alone, or holds one behind the application
// identifier 01, as text with brackets or as a scanner gives it (GS1 General
// Specifications, application identifiers, from memory).
var (
	bareItem = regexp.MustCompile(`^\s*(\d[\d ]{6,16}\d)\s*$`)
	itemIn   = regexp.MustCompile(`^(?:\]d2|\]Q3|\]C1|\x1d)?(?:\(01\)|01)(\d{14})(?:\D|\d{2})`)
)

// codedItems are the numbers in codes that were read.
func codedItems(codes []string) (out []tradeItem) {
	for _, c := range codes {
		m := itemIn.FindStringSubmatch(c)
		if m == nil {
			m = bareItem.FindStringSubmatch(c)
		}
		if m != nil {
			out = append(out, tradeItem{strings.ReplaceAll(m[1], " ", ""), Evidence{"codes", c}})
		}
	}
	return out
}

// shares says whether one of the items has this number, in whichever length.
func shares(all []tradeItem, digits string) bool {
	for _, x := range all {
		if strings.TrimLeft(x.digits, "0") == strings.TrimLeft(digits, "0") {
			return true
		}
	}
	return false
}

// checkDigitHolds is the modulo-10 rule for numbers of 8, 12, 13 and 14 digits: from
// the right, weights 1 and 3 in turn, and a sum that ten divides (GS1 General
// Specifications, check digit, from memory).
func checkDigitHolds(digits string) bool {
	switch len(digits) {
	case 8, 12, 13, 14:
	default:
		return false
	}
	sum := 0
	for i := range len(digits) {
		weight := 1 + 2*(i%2)
		sum += weight * int(digits[len(digits)-1-i]-'0')
	}
	return sum%10 == 0
}

// prefixOf gives the first three digits of the 13-digit form; -1 for numbers of 8
// digits, whose prefix is another.
func prefixOf(digits string) int {
	switch len(digits) {
	case 12:
		digits = "0" + digits
	case 14:
		digits = digits[1:]
	case 8:
		return -1
	}
	return int(digits[0]-'0')*100 + int(digits[1]-'0')*10 + int(digits[2]-'0')
}
