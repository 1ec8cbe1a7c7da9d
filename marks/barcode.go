package marks

import (
	"fmt"
	"strings"

	"telltale/reference"
)

// barcodes notes what the digits of a trade-item number say: whether its check
// digit holds, and who gave the number out. Neither speaks for or against the
// product: numbers are mistyped, and a number is issued where its owner joined.
func barcodes(r *reporter) {
	common := r.it.book.common()
	if common < 0 {
		return
	}
	for _, w := range r.it.find(common, "barcode") {
		digits := strings.ReplaceAll(w.text, " ", "")
		source := r.it.book.regimes[common].Marks[w.row].Source
		const clears = "a reading of the bars themselves"
		if !checkDigitHolds(digits) {
			r.add("barcode-check-digit", reference.Note, source, digits+" is no trade-item number: its length or its check digit does not hold; it may be mistyped", clears, quote([]word{w}))
			continue
		}
		for _, p := range r.it.book.regimes[common].Barcodes {
			if prefix := prefixOf(digits); prefix >= p.From && prefix <= p.To {
				r.add("barcode-prefix", reference.Note, p.Source, fmt.Sprintf("the number was given out in %s, which says nothing of where the product was made", p.Who), clears, quote([]word{w}))
			}
		}
	}
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
