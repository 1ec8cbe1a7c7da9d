package marks

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"telltale/reference"
)

const (
	dayPattern = `(\d{4})\s?[-./年]\s?(\d{1,2})\s?[-./月]\s?(\d{1,2})日?|(\d{1,2})[./-](\d{1,2})[./-](\d{4})|` +
		`(\d{1,2})(?:st|nd|rd|th)?[ .]{1,2}([A-Za-zäéû]{3,9})\.?,? (\d{4})|([A-Za-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})|` +
		`(\d{4})\s?[-./年]\s?(\d{1,2})月?|(\d{1,2})[./-](\d{4})`
	issuedPattern = `(?i)(?:date of issue|issue date|issued(?: on)?|ausgestellt am|date d'émission|délivré le|fecha de emisión|data de emissão|签发日期|发证日期|発行日|발급일)[\s:]{0,4}`
	endPattern    = `(?i)(?:valid (?:un)?til+|valid to|expiry(?: date)?|exp(?:ires|iration)?(?: date| on)?|date of expiry|use by|best before|gültig bis|haltbar bis|verwendbar bis|` +
		`valable jusqu'au|date de péremption|válido hasta|caducidad|válido até|validade|有效期至|使用期限|사용기한)[\s:.]{0,4}`
)

var (
	issuedOn  = regexp.MustCompile(issuedPattern + `(?:` + dayPattern + `)`)
	validTo   = regexp.MustCompile(endPattern + `(?:` + dayPattern + `)`)
	validFor  = regexp.MustCompile(`(?i)\bvalid(?:ity)?(?: for| period)?(?: of)?[\s:'“]{1,3}(\d{1,2}|six|seven|eight|nine|ten) years`)
	years     = map[string]int{"six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10}
	fiveYears = reference.Source{Title: "DGUV Test, questions and answers on Regulation (EU) 2016/425", Section: "certificates run five years at most", State: reference.Read}
)

// printedDay is a day read from a text. Where day and month may be swapped, the
// two readings differ and a rule must hold for both.
type printedDay struct {
	first, last time.Time
	words       Evidence
}

// days finds the days that stand after a label in the texts of these places.
func (it *item) days(label *regexp.Regexp, places ...string) []printedDay {
	var out []printedDay
	for _, p := range it.places {
		if !slices.Contains(places, p.Where) {
			continue
		}
		n := it.texts[p.Where]
		head := n.text[:min(len(n.text), headBytes/4)]
		for _, loc := range label.FindAllStringSubmatchIndex(head, mostEvidence) {
			groups := make([]string, len(loc)/2)
			for g := range groups {
				if loc[2*g] >= 0 {
					groups[g] = head[loc[2*g]:loc[2*g+1]]
				}
			}
			if first, last, ok := readDay(groups); ok {
				out = append(out, printedDay{first, last, Evidence{p.Where, n.source(loc[0], loc[1])}})
			}
		}
	}
	return out
}

// readDay reads the groups of dayPattern: the earliest and the latest day meant.
func readDay(g []string) (first, last time.Time, ok bool) {
	switch {
	case g[1] != "":
		first, ok = day(g[1], g[2], g[3])
		return first, first, ok
	case g[4] != "":
		a, okA := day(g[6], g[5], g[4])
		b, okB := day(g[6], g[4], g[5])
		if !okA {
			a = b
		}
		if !okB {
			b = a
		}
		if b.Before(a) {
			a, b = b, a
		}
		return a, b, okA || okB
	case g[7] != "":
		first, ok = day(g[9], month(g[8]), g[7])
		return first, first, ok
	case g[10] != "":
		first, ok = day(g[12], month(g[10]), g[11])
		return first, first, ok
	case g[13] != "":
		return wholeMonth(g[13], g[14])
	}
	return wholeMonth(g[16], g[15])
}

func day(year, month, dayOfMonth string) (time.Time, bool) {
	y, _ := strconv.Atoi(year)
	m, _ := strconv.Atoi(month)
	d, _ := strconv.Atoi(dayOfMonth)
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	return t, y >= 1970 && y < 2200 && m >= 1 && m <= 12 && t.Day() == d && d > 0
}

func wholeMonth(year, month string) (first, last time.Time, ok bool) {
	first, ok = day(year, month, "1")
	return first, first.AddDate(0, 1, -1), ok
}

// month gives the number of a month's name by its first three letters, in English
// and the neighbours that begin alike.
func month(name string) string {
	name = strings.ToLower(name)
	for i, m := range []string{"jan", "feb|fév", "mar|mär", "apr|avr", "may|mai", "jun|juin", "jul|juil", "aug|aoû", "sep", "oct|okt", "nov", "dec|dez|déc"} {
		for _, begin := range strings.Split(m, "|") {
			if strings.HasPrefix(name, begin) {
				return strconv.Itoa(i + 1)
			}
		}
	}
	return ""
}

// certificateDates compares the days of a certificate with those of the item.
func certificateDates(r *reporter) {
	made, sold, bought := r.it.made(), r.it.sold(), r.it.bought()
	issued, ends := r.it.days(issuedOn, "certificate"), r.it.days(validTo, "certificate")
	for _, e := range ends {
		switch {
		case made.known() && e.last.Before(made.first):
			r.add("certificate-expired", reference.Contradiction, fiveYears, "the certificate ended before the item was made", "a renewed certificate", []Evidence{e.words, made.evidence()})
		case !made.known() && bought.known() && e.last.Before(bought.first):
			r.add("certificate-expired", reference.Unusual, fiveYears, "the certificate ended before the item was bought; older stock is possible", "the date of manufacture, or a renewed certificate", []Evidence{e.words, bought.evidence()})
		}
	}
	for _, i := range issued {
		switch {
		case sold.known() && i.first.After(sold.last):
			r.add("certificate-later-than-sale", reference.Contradiction, own, "the certificate was issued after the item was first sold", "the certificate that was in force at the first sale", []Evidence{i.words, sold.evidence()})
		case made.known() && i.first.After(made.last):
			r.add("certificate-later-than-sale", reference.Unusual, own, "the certificate was issued after the item was made", "the day of the first sale, or an earlier certificate", []Evidence{i.words, made.evidence()})
		}
	}
	r.tooLong(issued, ends)
}

// tooLong reports a European certificate that claims more than five years.
func (r *reporter) tooLong(issued, ends []printedDay) {
	eu := r.it.book.index("eu-ppe")
	if _, ok := r.it.texts["certificate"]; !ok || eu < 0 || len(r.it.condition(eu, "class|module-b@certificate|regulation@certificate|directive@certificate|en149@certificate")) == 0 {
		return
	}
	const text, clears = "the certificate claims to run for more than five years, the most that a European type examination may", "the certificate as the body itself shows it"
	if len(issued) == 1 && len(ends) == 1 && ends[0].first.After(issued[0].last.AddDate(5, 1, 0)) {
		r.add("certificate-runs-too-long", reference.Contradiction, fiveYears, text, clears, []Evidence{issued[0].words, ends[0].words})
	}
	n := r.it.texts["certificate"]
	if loc := validFor.FindStringSubmatchIndex(n.text[:min(len(n.text), headBytes/4)]); loc != nil {
		span := n.text[loc[2]:loc[3]]
		count, err := strconv.Atoi(span)
		if err != nil {
			count = years[strings.ToLower(span)]
		}
		if count > 5 {
			r.add("certificate-runs-too-long", reference.Contradiction, fiveYears, text, clears, []Evidence{{"certificate", n.source(loc[0], loc[1])}})
		}
	}
}

// dates compares the days of the item with each other.
func dates(r *reporter) {
	made, bought := r.it.made(), r.it.bought()
	if made.known() && bought.known() && made.first.After(bought.last) {
		r.add("made-after-purchase", reference.Contradiction, own, "the item was bought before it was made", "the dates as printed and on the receipt",
			[]Evidence{made.evidence(), bought.evidence()})
	}
	for _, e := range r.it.days(validTo, "facepiece", "pouch", "box") {
		switch {
		case made.known() && e.last.Before(made.first):
			r.add("expiry-before-manufacture", reference.Contradiction, own, "the printed expiry lies before the day of manufacture", "the dates as printed", []Evidence{e.words, made.evidence()})
		case bought.known() && e.last.Before(bought.first):
			r.add("bought-after-expiry", reference.Unusual, own, "the item was bought after its printed expiry", "the date on the receipt", []Evidence{e.words, bought.evidence()})
		}
	}
}

// bodies compares the body on the certificate with the one after CE, which may be
// another if it does the module C2 or D.
func bodies(r *reporter) {
	eu := r.it.book.index("eu-ppe")
	if eu < 0 {
		return
	}
	onPaper := r.it.condition(eu, "body@certificate")
	var onItem []word
	for _, w := range r.it.find(eu, "ce4") {
		if groupOf(w.where) == printed {
			onItem = append(onItem, w)
		}
	}
	if len(onPaper) == 0 || len(onItem) == 0 || r.it.any(eu, []string{"module-c2d@certificate"}) {
		return
	}
	for _, w := range onItem {
		for _, e := range onPaper {
			if strings.HasSuffix(plain(w.text), plain(e.Text)) {
				return
			}
		}
	}
	r.add("body-differs-from-certificate", reference.Unusual, own, fmt.Sprintf("the certificate names body %s and the mark bears %s; that is in order only if the other body does the module C2 or D", onPaper[0].Text, onItem[0].raw),
		"the module C2 or D document of the body behind the mark", append(quote(onItem), onPaper...))
}
