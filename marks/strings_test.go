package marks

import (
	"slices"
	"strings"
	"testing"

	"telltale/record"
)

// stringCase is one printed string: the classes it claims, the words (ids) that
// must be found, and the ones that must not.
type stringCase struct{ text, claims, words, not string }

// The strings are invented after the forms that the regimes print, the mistakes
// that printers and readers make, and the words that only look like a class.
var stringCases = []stringCase{
	// United States
	{"N95", "N95", "", ""}, {"NIOSH N95", "N95", "niosh", ""}, {"N-95", "N95", "", ""}, {"N 95 mask", "N95", "", ""},
	{"n95 respirator", "N95", "", ""}, {"N95s in stock", "N95", "", ""}, {"N\n95 TC-84A-1234", "N95", "tc", ""}, {"N99/N100", "N99 N100", "", ""},
	{"N95®", "N95", "", ""}, {"N95™ mask", "N95", "", ""}, {"N95² mask", "N95", "", ""}, {"Ｎ９５ mask", "N95", "", ""}, {"(N95)", "N95", "", ""},
	{"N95,P100 NIOSH", "N95 P100", "", ""}, {"R95 NIOSH respirator", "R95", "", ""}, {"P100 respirator", "P100", "", ""}, {"P-95 NIOSH", "P95", "", ""},
	{"K-N95", "KN95", "", ""}, {"KN-95", "KN95", "", ""}, {"AN95", "", "", ""}, {"N950", "", "", ""}, {"N95A", "", "", ""}, {"N95.5", "", "", ""},
	{"51° N 95° W", "", "", ""}, {"R95 road", "", "", ""}, {"take the R95 road to the respirator works", "", "", ""}, {"price R95.00 respirator", "", "", ""},
	{"the p95 latency", "", "", ""}, {"P95 of 100 samples", "", "", ""}, {"item P100 respirator case", "", "", ""}, {"size R100 respirator", "", "", ""},
	{"N95 % of respirators", "", "", ""}, {"Model N95-8", "N95", "", ""},
	{"TC-84A-1234 NIOSH", "", "tc niosh", ""}, {"TC–84A–1234", "", "tc", ""}, {"TC 84A 1234", "", "tc", ""}, {"tc-84a-1234", "", "tc", ""},
	{"TC-84A-\n1234", "", "tc", ""}, {"TC-84A-12345", "", "", "tc"}, {"TC-84A-123", "", "", "tc"}, {"TC-13F-1234", "", "", "tc"}, {"TC−84A−1234", "", "tc", ""},
	{"TC-21C-345", "", "tc-old", "tc"}, {"30 CFR Part 11", "", "tc-old", ""}, {"42 CFR 84", "", "cfr84", ""}, {"42 CFR Part 84", "", "cfr84", ""},
	{"NIO-\nSH", "", "niosh", ""}, {"Niosh approved", "", "niosh", ""}, {"NIOSHA", "", "", "niosh"}, {"not NIOSH approved", "", "", "niosh"},
	// denials, comparisons, advice
	{"This is not an N95", "", "", ""}, {"not a N95 respirator", "", "", ""}, {"this is not\nan N95", "", "", ""}, {"does not meet N95 requirements", "", "", ""},
	{"does not meet NIOSH N95 standards", "", "", "niosh"}, {"N95-style mask", "", "", ""}, {"N95 style", "", "", ""}, {"compare to N95", "", "", ""},
	{"compared with N95 and KN95 masks", "", "", ""}, {"comparable to FFP2", "", "", ""}, {"better than N95", "", "", ""}, {"similar to N95/KN95", "", "", ""},
	{"equivalent to FFP2", "", "", ""}, {"an alternative to N95 masks", "", "", ""}, {"N95 alternative", "", "", ""}, {"FFP2 equivalent", "", "", ""},
	{"keine FFP2-Maske", "", "", ""}, {"kein FFP2", "", "", ""}, {"nicht FFP2", "", "", ""}, {"pas un FFP2", "", "", ""}, {"no es una N95", "", "", ""},
	{"não é uma PFF2", "", "", ""}, {"N95 ではありません", "", "", ""}, {"KF94 아님", "", "", ""}, {"不是N95", "", "", ""}, {"非KN95", "", "", ""},
	{"use an N95 respirator for smoke", "", "", ""}, {"unlike KN95, this is an FFP3", "FFP3", "", ""}, {"non-N95", "", "", ""}, {"never an N95", "", "", ""},
	{"Non-medical N95 mask", "N95", "", ""}, {"Not for medical use. N95", "N95", "", ""}, {"NOT FOR MEDICAL USE\nN95", "N95", "", ""}, {"Latex free, no valve, N95", "N95", "", ""},
	{"without valve, FFP2 NR", "FFP2", "reuse", ""}, {"ohne Ventil FFP2", "FFP2", "", ""}, {"Model No. N95", "N95", "", ""}, {"do not wash. FFP2", "FFP2", "", ""},
	{"Medical mask, not a respirator", "", "", "respirator-word"}, {"This is not a respirator", "", "", "respirator-word"}, {"surgical respirator", "", "respirator-word", ""},
	{"This N95 respirator is not for children", "N95", "", "child"}, {"NIOSH has not approved this mask", "", "", "niosh"}, {"has not been approved by NIOSH", "", "", "niosh niosh-approved"},
	{"Not NIOSH approved, KN95", "KN95", "", "niosh"}, {"not an N95, KN95 or FFP2", "", "", ""}, {"not easy N95", "N95", "", ""}, {"this is no N95", "", "", ""}, {"mask, no N95", "", "", ""}, {"approved by NIOSH", "", "niosh-approved", ""}, {"FFP2 mask is not reusable", "FFP2", "", ""}, {"N95相当", "", "", ""}, {"soft as silk, N95", "N95", "", ""},
	// Europe and Britain
	{"FFP2", "FFP2", "", ""}, {"FFP 2 NR", "FFP2", "reuse", ""}, {"FFP-3 R D", "FFP3", "reuse", ""}, {"ffp1 nr", "FFP1", "", "reuse"}, {"FFP2NR", "FFP2", "reuse", ""},
	{"FFP2 NR D", "FFP2", "reuse", ""}, {"FFP3 V R D", "FFP3", "reuse", ""}, {"FFP2 (NR)", "FFP2", "reuse", ""}, {"FFP2 respirator", "FFP2", "", "reuse"}, {"FFP2 Reusable", "FFP2", "", "reuse"},
	{"FFP\n2\nNR", "FFP2", "reuse", ""}, {"FFP22", "", "", ""}, {"XFFP2", "", "", ""}, {"FFP20 pieces", "", "", ""}, {"FFP2-Maske", "FFP2", "", ""}, {"ＦＦＰ２", "FFP2", "", ""},
	{"EN 149:2001+A1:2009", "", "en149", ""}, {"EN149:2001 + A1 : 2009", "", "en149", ""}, {"DIN EN 149", "", "en149", ""}, {"EN149-2001", "", "en149", ""},
	{"EN 14683", "", "en14683", "en149"}, {"EN 1496", "", "", "en149"}, {"EN 14683:2019+AC:2019", "", "en14683", "en149"}, {"BS EN 149:2001+A1:2009", "", "en149", ""},
	{"CE 1234", "", "ce4", ""}, {"CE1234", "", "ce4", ""}, {"CE-1234", "", "ce4", ""}, {"CE\n1234", "", "ce4", ""}, {"CE", "", "ce", "ce4"}, {"CE 123", "", "ce", "ce4"},
	{"CE\n2021-03", "", "ce", "ce4"}, {"CE 12345", "", "ce", "ce4"}, {"ICE 1234", "", "", "ce4 ce"}, {"CEN 149", "", "", "ce en149"}, {"UKCA 1234", "", "ukca4", ""},
	{"UKCA AB 1234", "", "ukca4", ""}, {"UKCA", "", "ukca", "ukca4"}, {"UK(NI)", "", "ukni", ""}, {"Category III", "", "category-three", ""}, {"Kategorie III", "", "category-three", ""},
	{"EU-Baumusterprüfung", "", "module-b", ""}, {"EU type-examination", "", "module-b", ""}, {"examen UE de type", "", "module-b", ""}, {"Module C2", "", "module-c2d", ""},
	{"notified body 1234", "", "body", ""}, {"NB 1234", "", "body", ""}, {"by body 8881", "", "body", ""}, {"everybody 1234", "", "", "body"}, {"notified body No. 1234", "", "body", ""}, {"89/686/EEC", "", "directive", ""}, {"89/686/EWG", "", "directive", ""}, {"(EU) 2016/425", "", "regulation", ""},
	// China
	{"KN95", "KN95", "", ""}, {"KN 95", "KN95", "", ""}, {"KN\n95", "KN95", "", ""}, {"KN-\n95", "KN95", "", ""}, {"КN95", "KN95", "", ""}, {"KP100", "KP100", "", ""}, {"kn90 mask", "KN90", "", ""},
	{"KN-9501", "", "", ""}, {"KN9501", "", "", ""}, {"45 kN 90 mm mask", "", "", ""}, {"MKN95", "", "", ""}, {"KN95口罩", "KN95", "", ""},
	{"GB 2626-2019", "", "gb2626", ""}, {"GB2626—2006", "", "gb2626", ""}, {"GB 2626-\n2019", "", "gb2626", ""}, {"GB/T 2626-2019", "", "gb2626 gbt2626", ""}, {"GB 26261", "", "", "gb2626"},
	{"标准GB2626-2019", "", "gb2626", ""}, {"GB 19083-2010 1级", "GB 19083 grade 1", "gb19083", ""}, {"GB 19083-2010 grade 2", "GB 19083 grade 2", "", ""}, {"粤械注准20202140001", "", "device-number", ""}, {"KGB 2626", "", "", "gb2626"},
	// Korea
	{"KF94", "KF94", "", ""}, {"KF-94", "KF94", "", ""}, {"KF 80", "KF80", "", ""}, {"KF94마스크", "KF94", "", ""}, {"KF-AD", "KF-AD", "", ""}, {"KF944", "", "", ""}, {"WKF94", "", "", ""},
	{"의약외품", "", "quasi-drug", ""}, {"의약 외품", "", "quasi-drug", ""}, {"quasi-drug", "", "quasi-drug", ""}, {"방진마스크 1급", "Korea 1st class", "", ""}, {"호텔 1급", "", "", ""},
	// Japan
	{"DS2", "DS2", "", ""}, {"DL-3", "DL3", "", ""}, {"DS2マスク", "DS2", "", ""}, {"防じんマスク RL1", "RL1", "", ""}, {"RS2", "", "", ""}, {"model DS2", "", "", ""}, {"DS22", "", "", ""}, {"ADS2", "", "", ""},
	{"TM第123号", "", "tm", ""}, {"TM 123", "", "tm", ""}, {"国家検定合格", "", "tm", ""}, {"Kisaragi™ 123", "", "", "tm"},
	// Australia, Brazil, India, Canada, ISO
	{"P2 AS/NZS 1716:2012", "P2", "asnzs1716", ""}, {"P2 respirator", "P2", "", ""}, {"P2 size", "", "", ""}, {"see P2", "", "", ""}, {"size P2 AS/NZS 1716", "", "", ""}, {"AS NZS 1716", "", "asnzs1716", ""},
	{"P22 AS/NZS 1716", "", "", ""}, {"P2 filter EN 143", "", "", ""}, {"PFF2", "PFF2", "", ""}, {"PFF-2 (S)", "PFF2", "", ""}, {"PFF 3", "PFF3", "", ""}, {"PFF23", "", "", ""},
	{"CA 12.345", "", "ca", ""}, {"C.A. Nº 12345", "", "ca", ""}, {"CA: 1234", "", "ca", ""}, {"CA 123", "", "", "ca"}, {"CA 1234567", "", "", "ca"}, {"NBR 13698", "", "nbr13698", ""},
	{"FFP2 S IS 9473:2002", "FFP2", "is9473 sub-class", ""}, {"IS:9473", "", "is9473", ""}, {"CM/L-8800112233", "", "cml", ""}, {"CM/L 123", "", "", "cml"},
	{"CN95 CSA Z94.4.1:21", "CN95", "csa", ""}, {"CN95", "CN95", "", ""}, {"HS code CN95", "", "", ""}, {"PC3 ISO 17420", "PC3", "iso17420", ""}, {"PC3", "", "", ""},
	// masks that are no respirators
	{"ASTM F3502-21 level 2", "F3502 level 2", "f3502", ""}, {"level 2", "", "", ""}, {"ASTM F2100 Level 3", "F2100 level 3", "f2100", ""}, {"EN 14683 Type IIR", "EN 14683 type IIR", "", ""}, {"Typ II EN 14683", "EN 14683 type II", "", ""},
	{"N95 NOM-116-STPS-2009", "", "", ""},
	// words of no regime
	{"FDA approved", "", "fda-claim", ""}, {"FDA ISO 13485 certified", "", "fda-claim", ""}, {"FDA emblem", "", "fda-claim", ""}, {"EN 149:2020", "", "en149", ""}, {"YY/T 0969-2013", "", "yy0969", ""}, {"GB/T32610-2016", "", "gbt32610", ""}, {"not FDA approved", "", "", "fda-claim"}, {"FDA registration certificate", "", "fda-certificate", ""}, {"K201234", "", "k510", ""}, {"EUA", "", "eua", ""}, {"EUAN", "", "", "eua"},
	{"N95 for kids", "N95", "child", ""}, {"keep away from children", "", "", "child"}, {"not for children", "", "", "child"}, {"Not intended for children", "", "", "child"}, {"kids' size", "", "child", ""}, {"儿童", "", "child", ""},
	{"99.9 % of viruses", "", "virus-claim", ""}, {"blocks 95 % of particles", "", "", "virus-claim"}, {"Certificate of Conformity", "", "cert-heading", ""}, {"Declaration of Conformity", "", "", "cert-heading"},
}

func TestPrintedStringsAreReadAsTheyAreMeant(t *testing.T) {
	if len(stringCases) < 150 {
		t.Fatalf("%d strings, want 150", len(stringCases))
	}
	for _, c := range stringCases {
		it := read(theBook(), record.Marks{Box: c.text})
		var claims, words []string
		for _, x := range it.claims {
			if !slices.Contains(claims, x.class.Name) {
				claims = append(claims, x.class.Name)
			}
		}
		for _, w := range it.words {
			if !w.mention {
				words = append(words, w.id)
			}
		}
		slices.Sort(claims)
		if got := strings.Join(claims, " "); !sameWords(got, c.claims) {
			t.Errorf("%q claims %q, want %q", c.text, got, c.claims)
		}
		for _, id := range strings.Fields(c.words) {
			if !slices.Contains(words, id) {
				t.Errorf("%q: %s not found among %v", c.text, id, words)
			}
		}
		for _, id := range strings.Fields(c.not) {
			if slices.Contains(words, id) {
				t.Errorf("%q: %s found, and it is not there", c.text, id)
			}
		}
	}
	t.Logf("%d strings", len(stringCases))
}

func sameWords(a, b string) bool {
	x, y := strings.Fields(a), strings.Fields(b)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}
