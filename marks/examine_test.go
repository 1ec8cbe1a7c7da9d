package marks

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"telltale/record"
	"telltale/reference"
)

func on(t *testing.T, day string) time.Time {
	t.Helper()
	d, err := time.Parse(time.DateOnly, day)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// severityOf gives the severity of a rule's finding, or "".
func severityOf(f Findings, rule string) reference.Severity {
	for _, x := range f.Findings {
		if x.Rule == rule {
			return x.Severity
		}
	}
	return ""
}

// The days: GB 2626-2019 published 2019-12-31 and in force 2021-07-01, when the
// 2006 edition ended (notice 29/2020, postponed from 2020-07-01); GB 19083-2023
// published 2023-11-27, in force 2025-12-01; Directive 89/686/EEC until 2019-04-20
// with certificates until 2023-04-21 (Regulation (EU) 2016/425, Article 47(2));
// emergency authorisations revoked with effect of 2021-07-06.
func TestEditionsTurnOnTheirDay(t *testing.T) {
	const eu = "FFP2 NR EN 149:2001+A1:2009 CE 8841 "
	for _, c := range []struct {
		text, made, rule string
		want             reference.Severity
	}{
		{"KN95 GB 2626-2006", "2021-06-30", "edition-withdrawn", ""},
		{"KN95 GB 2626-2006", "2021-07-01", "edition-withdrawn", reference.Contradiction},
		{"KN95 GB 2626-2019", "2019-12-30", "edition-before-publication", reference.Contradiction},
		{"KN95 GB 2626-2019", "2019-12-31", "edition-before-publication", ""},
		{"KN95 GB 2626-2019", "2019-12-31", "edition-not-yet-in-force", reference.Note},
		{"KN95 GB 2626-2019", "2021-06-30", "edition-not-yet-in-force", reference.Note},
		{"KN95 GB 2626-2019", "2021-07-01", "edition-not-yet-in-force", ""},
		{"GB 19083-2010 grade 1", "2025-11-30", "edition-withdrawn", ""},
		{"GB 19083-2010 grade 1", "2025-12-01", "edition-withdrawn", reference.Contradiction},
		{"GB 19083-2023 grade 1", "2023-11-26", "edition-before-publication", reference.Contradiction},
		{"GB 19083-2023 grade 1", "2023-11-27", "edition-before-publication", ""},
		{"GB 19083-2023 grade 1", "2025-11-30", "edition-not-yet-in-force", reference.Note},
		{"GB 19083-2023 grade 1", "2025-12-01", "edition-not-yet-in-force", ""},
		{eu + "89/686/EEC", "2019-04-20", "edition-withdrawn", ""},
		{eu + "89/686/EEC", "2019-04-21", "edition-withdrawn", reference.Note},
		{eu + "89/686/EEC", "2023-04-21", "edition-withdrawn", reference.Note},
		{eu + "89/686/EEC", "2023-04-22", "edition-withdrawn", reference.Contradiction},
		{"FFP2 NR EN 149:2001 CE 8841", "2010-12-31", "edition-withdrawn", ""},
		{"FFP2 NR EN 149:2001 CE 8841", "2011-01-01", "edition-withdrawn", reference.Contradiction},
		{"FFP2 NR EN 149 CE 8841", "2024-01-01", "edition-withdrawn", ""},
		{"KN95 GB 2626-1992", "2024-01-01", "edition-withdrawn", reference.Unusual}, // the row is from memory
		{"KN95 GB 2626-2012", "2024-01-01", "edition-unknown", reference.Unusual},
		{"KN95 GB 2626-2019 EUA", "2021-07-06", "authorisation-ended", ""},
		{"KN95 GB 2626-2019 EUA", "2021-07-07", "authorisation-ended", reference.Contradiction},
		{"KF-AD 의약외품", "2020-05-31", "class-before-its-start", reference.Contradiction},
		{"KF-AD 의약외품", "2020-06-01", "class-before-its-start", ""},
	} {
		got := Examine(record.Marks{Box: c.text, Made: on(t, c.made)})
		if s := severityOf(got, c.rule); s != c.want {
			t.Errorf("%q made %s: %s is %q, want %q", c.text, c.made, c.rule, s, c.want)
		}
	}
}

func TestAPurchaseAloneNeverContradictsAnOldEdition(t *testing.T) {
	got := Examine(record.Marks{Facepiece: "KN95 GB 2626-2006", Bought: on(t, "2024-01-01")})
	if s := severityOf(got, "edition-withdrawn"); s != reference.Unusual || got.Summary == Inconsistent {
		t.Errorf("severity %q, summary %s; old stock is possible", s, got.Summary)
	}
}

func TestLettersReadByAMachineAreNeverMoreThanANote(t *testing.T) {
	for _, text := range []string{"NI0SH N95 TC-84A-1234", "NIOSH N95 TC-84A-12", "KN99 GB 2626-2019", "KN95 GB 2626-2O19", "N9S NIOSH TC-B4A-I234"} {
		got := Examine(record.Marks{Facepiece: text, MachineRead: []string{"facepiece"}})
		for _, f := range got.Findings {
			if f.Severity == reference.Contradiction {
				t.Errorf("%q read by a machine: %s is a contradiction", text, f.Rule)
			}
		}
	}
	got := Examine(record.Marks{Facepiece: "N9S NIOSH TC-B4A-I234", MachineRead: []string{"facepiece"}})
	if len(got.Claims) != 1 || got.Claims[0].Class != "N95" || severityOf(got, "look-at-the-picture") != reference.Note || severityOf(got, "class-without-number") != "" {
		t.Errorf("N9S NIOSH TC-B4A-I234: %+v, want a claim of N95 and a note to look", got)
	}
	if got := Examine(record.Marks{Facepiece: "N9S NIOSH TC-B4A-I234"}); len(got.Claims) != 0 {
		t.Errorf("a person's reading of N9S claims %v; letters are only taken for digits where a machine read", got.Claims)
	}
}

func TestEvidenceQuotesTheRawText(t *testing.T) {
	got := Examine(record.Marks{Facepiece: "Ｎ９５™ with GB\u00a02626—2019"})
	for _, want := range []string{"Ｎ９５", "GB\u00a02626—2019"} {
		if !slices.ContainsFunc(got.Findings, func(f Finding) bool {
			return f.Rule == "class-and-standard-disagree" && slices.Contains(f.Evidence, Evidence{"facepiece", want})
		}) {
			t.Errorf("%q is not quoted in %+v", want, got.Findings)
		}
	}
}

func TestTheSummarySaysHowMuchThereWasToExamine(t *testing.T) {
	for text, want := range map[string]Summary{
		"":                               NotEnoughToExamine,
		"Velmora Air, lot 12":            NotEnoughToExamine,
		"this is not an N95":             NotEnoughToExamine,
		"N95":                            NoInconsistency,
		"FFP2 GB 2626-2019":              Inconsistent,
		"FFP2 NR EN 149:2001+A1:2009 CE": NoInconsistency, // a mark is missing, and nothing contradicts
	} {
		if got := Examine(record.Marks{Facepiece: text}).Summary; got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}

var refused = regexp.MustCompile(`(?i)\b(?:genuine|counterfeit|fake|safe|proves|protects|compliant|certified)\b`)

// The words are refused of a respirator anywhere in the findings; the name of an
// office's list may bear one.
func TestNoFindingCallsARespiratorGenuineOrFake(t *testing.T) {
	for _, s := range readSets(t) {
		for _, f := range s.examine(t).Findings {
			text := strings.ReplaceAll(f.Text, "Certified Equipment List", "") + " " + f.Clears
			if word := refused.FindString(text); word != "" && !slices.ContainsFunc(f.Evidence, func(e Evidence) bool { return strings.Contains(e.Text, word) }) {
				t.Errorf("%s says %q: %s", f.Rule, word, f.Text)
			}
		}
	}
}

// Each rule of every regime file, and each rule of the program, is met by a set or
// a case of this package's tests.
func TestEveryRuleOfTheFilesIsPlantedSomewhere(t *testing.T) {
	planted := map[string]bool{}
	for _, s := range readSets(t) {
		for _, p := range s.Planted {
			planted[p.Rule] = true
		}
	}
	for _, r := range reference.Regimes() {
		for _, d := range r.Complete {
			if !planted[d.Rule] {
				t.Errorf("%s: %s is planted in no set", r.ID, d.Rule)
			}
		}
		for _, c := range r.Conflicts {
			if !planted[c.Rule] {
				t.Errorf("%s: %s is planted in no set", r.ID, c.Rule)
			}
		}
		for _, s := range r.Signs {
			if s.Rule != "" && !planted[s.Rule] && s.Rule != "look-the-number-up" {
				t.Errorf("%s: the sign %q points to %s, which is planted in no set", r.ID, s.Says, s.Rule)
			}
		}
	}
}

func TestANumberOfAPrintedHolderIsAPrivateLabel(t *testing.T) {
	entry := []record.RegisterEntry{{Register: "CEL", Number: "TC-84A-5560", State: record.OtherHolder, Holder: "Ostrander Filter Works"}}
	m := record.Marks{Facepiece: "HB99 NIOSH N99 TC-84A-5560", Registers: entry}
	if got := severityOf(Examine(m), "register-other-holder"); got != reference.Contradiction {
		t.Errorf("another holder, printed nowhere: %q", got)
	}
	m.Box = "Produced by OSTRANDER Filter-Works"
	if got := severityOf(Examine(m), "register-other-name"); got != reference.Note {
		t.Errorf("another holder, printed on the box: %q", got)
	}
}

func TestALeafletThatSpeaksOfOtherClassesClaimsNone(t *testing.T) {
	got := Examine(record.Marks{Facepiece: "FFP2 NR EN 149:2001+A1:2009 CE 8841", Leaflet: "N95 and KN95 are classes of other countries. FFP3 filters more."})
	if len(got.Claims) != 1 {
		t.Errorf("claims %v, want FFP2 alone", got.Claims)
	}
}

// Where only a month is known every day of it may be meant: GB 2626-2019 was
// published on the last day of 2019-12, and the 2006 edition ended on the first of
// 2021-07.
func TestAMonthAloneContradictsOnlyIfEveryDayDoes(t *testing.T) {
	for _, c := range []struct {
		file, rule string
		want       reference.Severity
	}{
		{"facepiece: KN95 GB 2626-2019\nmade: 2019-12\n", "edition-before-publication", ""},
		{"facepiece: KN95 GB 2626-2019\nmade: 2019-11\n", "edition-before-publication", reference.Contradiction},
		{"facepiece: KN95 GB 2626-2019\nmade: \"2019\"\n", "edition-before-publication", ""},
		{"facepiece: KN95 GB 2626-2006\nmade: 2021-06\n", "edition-withdrawn", ""},
		{"facepiece: KN95 GB 2626-2006\nmade: 2021-07\n", "edition-withdrawn", reference.Contradiction},
		{"facepiece: KN95 GB 2626-2006\nmade: \"2021\"\n", "edition-withdrawn", ""},
		{"facepiece: N95\nmade: 2024-05-10\nbought: 2024-05\n", "made-after-purchase", ""},
		{"facepiece: N95\nmade: 2024-06-01\nbought: 2024-05\n", "made-after-purchase", reference.Contradiction},
		{"facepiece: KN95 EUA\nmade: 2021-07\n", "authorisation-ended", ""},
		{"facepiece: KN95 EUA\nmade: 2021-08\n", "authorisation-ended", reference.Contradiction},
	} {
		m, err := ReadFile("m.yaml", []byte(c.file))
		if err != nil {
			t.Fatal(err)
		}
		if got := severityOf(Examine(m), c.rule); got != c.want {
			t.Errorf("%q: %s is %q, want %q", c.file, c.rule, got, c.want)
		}
	}
}

func TestANumberInAListingMarksNoFacepiece(t *testing.T) {
	got := Examine(record.Marks{Facepiece: "Kestrel Oak N95 NIOSH", Listing: "N95 NIOSH TC-84A-1234"})
	if s := severityOf(got, "class-without-number"); s != reference.Missing {
		t.Errorf("class-without-number is %q, want missing", s)
	}
	got = Examine(record.Marks{Facepiece: "Kestrel Oak N95 NIOSH", Box: "N95 NIOSH TC-84A-1234"})
	if severityOf(got, "class-without-number") != "" || severityOf(got, "mark-stands-elsewhere") != reference.Note {
		t.Errorf("a number on the box alone: %+v, want a note", got.Findings)
	}
}

func TestNothingIsMissedWhereNothingWasRead(t *testing.T) {
	for _, m := range []record.Marks{
		{Listing: "N95 respirator"}, {Certificate: "FFP2"}, {Leaflet: "FFP2"}, {Facepiece: "KF94"}, {Strap: "TC-84A-1234"},
	} {
		for _, f := range Examine(m).Findings {
			if f.Severity.Weight() <= reference.Missing.Weight() {
				t.Errorf("%+v: %s %s", m, f.Severity, f.Rule)
			}
		}
	}
}
