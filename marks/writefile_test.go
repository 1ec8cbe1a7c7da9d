package marks

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"telltale/record"
)

// Any words, with line breaks, quotation marks, control letters and signs of YAML.
var anyWords = rapid.OneOf(rapid.String(), rapid.StringMatching(`(?s)[ \n\r\t:#&*!|>'"%@{}\[\],?a-z0-9\x{85}\x{2028}\x{feff}-]{0,40}`))

func TestAWrittenMarksFileIsReadBackAsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m record.Marks
		for _, where := range placeKeys {
			*m.At(where) = anyWords.Draw(t, where)
		}
		m.Codes = rapid.SliceOfN(anyWords, 0, 3).Draw(t, "codes")
		m.MachineRead = rapid.SliceOfN(rapid.SampledFrom(placeKeys), 0, 3).Draw(t, "machine_read")
		m.Registers = []record.RegisterEntry{{Register: anyWords.Draw(t, "register"), Number: anyWords.Draw(t, "number"), State: record.Matched, Date: time.Date(2026, 8, 1, 0, 0, 0, 0, time.UTC)}}
		yes := rapid.Bool().Draw(t, "valve")
		m.Valve = &yes
		m.Made = time.Date(2024, 2, 1, 0, 0, 0, 0, time.UTC)
		m.MadeLast = []time.Time{{}, m.Made.AddDate(0, 1, -1), m.Made.AddDate(1, 0, -1)}[rapid.IntRange(0, 1).Draw(t, "last")]
		if len(m.Codes) == 0 {
			m.Codes = nil
		}
		if len(m.MachineRead) == 0 {
			m.MachineRead = nil
		}
		text := Format(m, anyWords.Draw(t, "head"))
		got, err := ReadFile("marks.yaml", text)
		if err != nil || !reflect.DeepEqual(got, m) {
			t.Fatalf("%v\n%s\ngot  %+v\nwant %+v", err, text, got, m)
		}
	})
}

func TestAWrittenMarksFileShowsWhereToType(t *testing.T) {
	text := string(Format(record.Marks{Box: "FFP2 NR\nEN 149", MachineRead: []string{"box"}}, "first line", "second\nbox: no"))
	for _, want := range []string{"# first line\n# second box: no\n", "\nstrap: \"\"\n", "box: |-\n    FFP2 NR\n    EN 149\n", "machine_read: [\"box\"]\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}

func TestFindingsFromMachineReadWordsNeedConfirmation(t *testing.T) {
	m := record.Marks{Box: "N95 GB 2626-2019", MachineRead: []string{"box"}}
	unconfirmed, looked := 0, Examine(m)
	for _, f := range looked.Findings {
		if f.NeedsConfirmation {
			unconfirmed++
		}
	}
	if unconfirmed == 0 {
		t.Errorf("%+v", looked.Findings)
	}
	m.MachineRead = nil
	for _, f := range Examine(m).Findings {
		if f.NeedsConfirmation {
			t.Errorf("%s needs confirmation though a person read it", f.Rule)
		}
	}
}

func TestLookUpsNameRegisterAndNumbers(t *testing.T) {
	m := record.Marks{Facepiece: "NIOSH N95 TC-84A-0042"}
	got := Examine(m).LookUps
	if len(got) != 1 || got[0].Regime != "us-niosh" || got[0].Register == "" || len(got[0].Numbers) != 1 || !strings.Contains(got[0].Numbers[0], "84A-0042") {
		t.Fatalf("%+v", got)
	}
	m.Registers = []record.RegisterEntry{{Register: got[0].Register, Number: "TC-84A-0042", State: record.Matched}}
	if again := Examine(m).LookUps; len(again) != 0 {
		t.Errorf("looked up already: %+v", again)
	}
}
