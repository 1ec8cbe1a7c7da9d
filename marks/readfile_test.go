package marks

import (
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"telltale/record"
)

func TestAMarksFileIsReadAsWritten(t *testing.T) {
	got, err := ReadFile("papers/r1.yaml", []byte(`facepiece: "FFP2 NR"
pouch: |
  two
  lines
box: 1234
leaflet:
certificate: ["first paper", "second paper"]
attachment: ear_loops
valve: false
made: 2024-03-01
bought: "2024-05"
registers:
  - {register: NANDO, number: "8841", state: matched, holder: "Norrvik", date: 2026-08-01, valid_until: 2027-01-01}
codes: [0096385074, "https://example.org/a"]
machine_read: [pouch]
`))
	if err != nil {
		t.Fatal(err)
	}
	no := false
	day := func(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }
	want := record.Marks{Facepiece: "FFP2 NR", Pouch: "two\nlines\n", Box: "1234", Certificate: "first paper\n\nsecond paper", Attachment: "ear_loops", Valve: &no,
		Made: day(2024, 3, 1), Bought: day(2024, 5, 1), BoughtLast: day(2024, 5, 31), MachineRead: []string{"pouch"},
		Codes:     []string{"0096385074", "https://example.org/a"},
		Registers: []record.RegisterEntry{{Register: "NANDO", Number: "8841", State: record.Matched, Holder: "Norrvik", Date: day(2026, 8, 1), ValidUntil: day(2027, 1, 1)}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestAFaultyMarksFileIsRefusedWithLineAndNearestWord(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"facepiece: a\nfacepeice: b\n", `E320 m.yaml line 2 byte 1: unknown key "facepeice". Did you mean "facepiece"?`},
		{"facepiece: a\nfacepiece: b\n", "line 2"},
		{"attachment: earloops\n", `Did you mean "ear_loops"?`},
		{"valve: perhaps\n", "neither true nor false"},
		{"made: 2024-13-01\n", `"2024-13-01" is no day`},
		{"made: soon\n", "Write the day as 2024-03-01"},
		{"registers: {number: a}\n", "a list is needed"},
		{"registers: [{number: a}]\n", "a look-up needs its state"},
		{"registers: [{state: mached}]\n", `Did you mean "matched"?`},
		{"registers: [{stat: matched}]\n", `unknown key "stat"`},
		{"machine_read: [face]\n", `"face" is not a word known here`},
		{"facepiece: [a, b]\n", "a text is needed"},
		{"facepiece: &a x\nbox: *a\n", "a text is needed"},
		{"- a\n", "keys with values are needed"},
		{"facepiece: a: b\n", "E322"},
		{"facepiece: \"a\n", "E322"},
		{"\tfacepiece: a\n", "E322"},
	} {
		_, err := ReadFile("m.yaml", []byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "m.yaml") {
			t.Errorf("%q: %v, want words like %q", c.text, err, c.want)
		}
	}
	if _, err := ReadFile("m.yaml", make([]byte, MostBytes+1)); err == nil || !strings.Contains(err.Error(), "E324") {
		t.Errorf("a huge file: %v", err)
	}
}

func TestPlainTextIsTheBoxUnlessItsLinesNameAPlace(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       record.Marks
	}{
		{"bag.txt", "N95 mask: NIOSH\nTC-84A-1234\n", record.Marks{Box: "N95 mask: NIOSH\nTC-84A-1234"}},
		{"bag.txt", "KN95\nfacepiece: N95: a\nmore\nStrap: TC-84A-1234\n", record.Marks{Box: "KN95", Facepiece: "N95: a\nmore", Strap: "TC-84A-1234"}},
		{"bag.txt", "facepiece: N95\nvalve: false\n", record.Marks{Facepiece: "N95", Valve: new(bool)}},
		{"-", "\ufeffFFP2\r\nNR\r\n", record.Marks{Box: "FFP2\r\nNR"}},
		{"bag", "", record.Marks{}},
		{"empty.yaml", "", record.Marks{}},
		{"comment.yaml", "# nothing\n", record.Marks{}},
	} {
		got, err := ReadFile(c.name, []byte(c.text))
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s %q: %+v, %v; want %+v", c.name, c.text, got, err, c.want)
		}
	}
}

func TestDaysInPapersAreReadInTheirWays(t *testing.T) {
	for _, c := range []struct{ text, first, last string }{
		{"valid until 2023-06-30", "2023-06-30", "2023-06-30"},
		{"Valid until: 30 June 2023", "2023-06-30", "2023-06-30"},
		{"valid until June 30, 2023", "2023-06-30", "2023-06-30"},
		{"gültig bis 30.06.2023", "2023-06-30", "2023-06-30"},
		{"expires 03/04/2023", "2023-03-04", "2023-04-03"},
		{"EXP 2023-06", "2023-06-01", "2023-06-30"},
		{"Validade 06/2023", "2023-06-01", "2023-06-30"},
		{"有效期至 2023年6月30日", "2023-06-30", "2023-06-30"},
		{"valid until 2023-02-31", "", ""},
		{"valid until further notice", "", ""},
	} {
		got := read(theBook(), record.Marks{Certificate: c.text}).days(validTo, "certificate")
		if c.first == "" {
			if len(got) != 0 {
				t.Errorf("%q: read %v, and no such day exists", c.text, got)
			}
			continue
		}
		if len(got) != 1 || got[0].first.Format(time.DateOnly) != c.first || got[0].last.Format(time.DateOnly) != c.last {
			t.Errorf("%q: %v, want %s to %s", c.text, got, c.first, c.last)
		}
	}
}

func TestTheExampleOfTheManualIsAFaultlessMarksFile(t *testing.T) {
	data, err := os.ReadFile("../docs/formats.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(data), "\n## Marks file\n")
	_, rest, _ := strings.Cut(section, "```yaml\n")
	example, _, _ := strings.Cut(rest, "```")
	m, err := ReadFile("example.yaml", []byte(example))
	if err != nil || len(m.Registers) != 1 || Examine(m).Summary != Inconsistent {
		t.Errorf("%v, read as %+v", err, m)
	}
}
