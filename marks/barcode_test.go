package marks

import (
	"slices"
	"strings"
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

// The Data Matrix text is a trade-item number with an expiry (17), as scanners give
// it: with its sign, with brackets, or bare.
func TestRecordedCodesAreNotesOnly(t *testing.T) {
	for _, c := range []struct {
		code, rule, holds string
	}{
		{"4006381333931", "barcode-prefix", "given out in Germany"},
		{"036000291452", "barcode-prefix", "the United States or Canada"},
		{"9771234567003", "barcode-prefix", "that of a periodical"}, // weights 1, 3 from the left: 9+21+7+3+2+9+4+15+6+21+0+0 = 97, so 3
		{"2012345678903", "barcode-prefix", "made up by a shop"},    // 2+0+1+6+3+12+5+18+7+24+9+0 = 87, so 3
		{"010400638133393117270331", "barcode-prefix", "given out in Germany"},
		{"]d20104006381333931172703311024A17", "barcode-prefix", "given out in Germany"},
		{"(01)04006381333931(17)270331", "barcode-prefix", "given out in Germany"},
		{"4006381333932", "barcode-check-digit", "4006381333932"},
		{"(01)04006381333932(17)270331", "barcode-check-digit", "04006381333932"},
		{"https://example.org/4006381333932", "", ""},
		{"LOT 24A17", "", ""},
	} {
		found := Examine(record.Marks{Box: "N95", Codes: []string{c.code}})
		var got []string
		for _, f := range found.Findings {
			if strings.HasPrefix(f.Rule, "barcode") {
				got = append(got, f.Rule)
				if f.Severity != reference.Note || !strings.Contains(f.Text, c.holds) || f.Evidence[0] != (Evidence{"codes", c.code}) {
					t.Errorf("%q: %+v", c.code, f)
				}
			}
		}
		if want := c.rule; (want == "") != (len(got) == 0) || want != "" && !slices.Equal(got, []string{want}) {
			t.Errorf("%q: %v, want %q", c.code, got, want)
		}
	}
}

func TestBarsAndPrintAreCompared(t *testing.T) {
	const rule = "barcode-differs-from-print"
	for _, c := range []struct {
		codes []string
		want  reference.Severity
	}{
		{[]string{"96385074"}, reference.Note}, {[]string{"96385074", "04006381333931"}, ""}, {nil, ""}, {[]string{"https://example.org"}, ""},
	} {
		if got := severityOf(Examine(record.Marks{Box: "N95 EAN 4006381333931", Codes: c.codes}), rule); got != c.want {
			t.Errorf("%v: %q, want %q", c.codes, got, c.want)
		}
	}
}
