package marks

import (
	"testing"

	"telltale/record"
	"telltale/reference"
)

// 4006381333931 and 036000291452 are the worked examples of encyclopedias for the
// 13- and the 12-digit number, 96385074 the one for 8 digits (from memory); the
// others differ from them in one digit.
func TestTheCheckDigitOfATradeItemNumber(t *testing.T) {
	for digits, want := range map[string]bool{
		"4006381333931": true, "4006381333932": false, "036000291452": true, "036000291453": false, "96385074": true, "96385075": false,
		"04006381333931": true, "40063813339": false, "": false,
	} {
		if got := checkDigitHolds(digits); got != want {
			t.Errorf("%s: %v, want %v", digits, got, want)
		}
	}
}

func TestATradeItemNumberIsNeverMoreThanANote(t *testing.T) {
	for text, rule := range map[string]string{
		"EAN 4 006381 333931": "barcode-prefix", "GTIN: 4006381333932": "barcode-check-digit", "UPC 036000291452": "barcode-prefix", "EAN-13: 4006381333931": "barcode-prefix",
	} {
		if got := severityOf(Examine(record.Marks{Box: "N95 " + text}), rule); got != reference.Note {
			t.Errorf("%q: %s is %q, want a note", text, rule, got)
		}
	}
}
