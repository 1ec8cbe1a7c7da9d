package tracefile

import (
	"math"
	"strings"
	"testing"
	"time"

	"telltale/record"
)

func layoutOf(t *testing.T, text string) *Layout {
	t.Helper()
	l, err := ReadLayout("l.yaml", strings.NewReader("format: telltale-layout/1\n"+text))
	if err != nil {
		t.Fatalf("refused: %v", err)
	}
	return l
}

func with(t *testing.T, layout, text string) *record.Trace {
	t.Helper()
	tr, err := Read("t.csv", strings.NewReader(text), layoutOf(t, layout))
	if err != nil {
		t.Fatalf("refused: %v", err)
	}
	return tr
}

func TestALayoutReadsForeignColumnsAndUnits(t *testing.T) {
	for _, c := range []struct {
		name, layout, text string
		want               float64 // first ambient reading per cm3, by hand
	}{
		{"per litre", `columns: {t: {to: time_s, unit: s}, "C [#/L]": {to: ambient_per_cm3, unit: per_l}}`, "t,C [#/L]\n0,2500\n", 2.5},
		{"per cubic foot", `columns: {t: {to: time_s, unit: ms}, C: {to: ambient_per_cm3, unit: per_ft3}}`, "T,c\n0,28316.846592\n", 1},
		{"per cubic metre", `columns: {t: {to: time_s, unit: us}, C: {to: ambient_per_cm3, unit: per_m3}}`, "t,C\n0,5e6\n", 5},
		{"per tenth of a litre", `columns: {t: {to: time_s, unit: min}, C: {to: ambient_per_cm3, unit: per_0.1l}}`, "t,C\n0,150\n", 1.5},
		{"our name with another unit", `columns: {ambient_per_l: {to: ambient_per_cm3, unit: per_l}}`, "time_s,ambient_per_l\n0,1000\n", 1},
		{"no heading", `names: [time_s, ambient_per_cm3]`, "0,7\n1,8\n", 7},
		{"lines to skip", "skip_lines: 2", "made on,a day\n\ntime_s,ambient_per_cm3\n0,7\n", 7},
		{"bars", `separator: "|"`, "time_s|ambient_per_cm3\n0|7\n", 7},
		{"decimal comma that only the layout can tell", "separator: \";\"\ndecimal: \",\"", "time_s;ambient_per_cm3\n0;1,234\n", 1.234},
		{"ignored columns", "ignore: [lunch]", "time_s,lunch,ambient_per_cm3\n0,=soup,7\n", 7},
		{"windows-1252", "encoding: windows-1252", "# at 21 \xB0C\ntime_s,ambient_per_cm3\n0,7\n", 7},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := with(t, c.layout, c.text).Ambient[0]; got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func TestALayoutConvertsVolumeFlowAndPressure(t *testing.T) {
	tr := with(t, "columns: {V: {to: volume_cm3, unit: l}, Q: {to: flow_l_min, unit: l_s}, P: {to: pressure_pa, unit: hpa}, N: {to: inside_count, unit: counts}}",
		"time_s,V,Q,P,N\n0,0.025,-0.5,1.25,7\n")
	if tr.VolumeCM3[0] != 25 || tr.FlowLMin[0] != -30 || tr.PressurePa[0] != 125 || tr.Inside[0] != 7 {
		t.Errorf("got %v %v %v %v", tr.VolumeCM3, tr.FlowLMin, tr.PressurePa, tr.Inside)
	}
}

func TestALayoutConfirmsTimesThatAreNotSeconds(t *testing.T) {
	for _, c := range []struct {
		name, layout, cells string // two cells of one column
		start               string
		step                float64
	}{
		{"epoch milliseconds", `{t: {to: time_s, unit: ms}}`, "1786723500250,1786723500500", "2026-08-14T16:05:00.25Z", 0.25},
		{"epoch microseconds", `{t: {to: time_s, unit: us}}`, "1786723500250000,1786723500250100", "2026-08-14T16:05:00.25Z", 0.0001},
		// Day 45992 of spreadsheets is 2025-12-01 (day 45658 is 2025-01-01).
		{"spreadsheet days", `{t: {to: time_s, unit: excel_days}}`, "45992.5,45992.5000115740741", "", 1},
		{"spreadsheet days with a zone", `{t: {to: time_s, unit: excel_days, tz: "+02:00"}}`, "45992.5,45992.5000115740741", "2025-12-01T12:00:00+02:00", 1},
		{"seconds of the day", `{t: {to: time_s, unit: s}}`, "45992.5,45992.51", "", 0.01},
		{"local times", `{t: {to: time, format: "DD.MM.YYYY hh:mm:ssf", tz: "+01:00"}}`, "03.04.2026 10:00:00,03.04.2026 10:00:01.5", "2026-04-03T10:00:00+01:00", 1.5},
		{"half days", `{t: {to: time, format: "MM/DD/YYYY hh:mm:ss AP Z"}}`, "03/04/2026 12:00:00 AM +00:00,03/04/2026 12:00:00 PM +00:00", "2026-03-04T00:00:00Z", 43200},
		{"times of day", `{t: {to: time, format: "hh:mm:ss"}}`, "10:00:00,10:01:00", "", 60},
		{"rfc 3339 without zone", `{t: {to: time, unit: rfc3339, tz: "-03:30"}}`, "2026-08-14T10:00:00,2026-08-14T10:00:02", "2026-08-14T10:00:00-03:30", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			first, second, _ := strings.Cut(c.cells, ",")
			tr := with(t, "columns: "+c.layout, "t,ambient_per_cm3\n"+first+",1\n"+second+",2\n")
			start := ""
			if !tr.Start.IsZero() {
				start = tr.Start.Format(time.RFC3339Nano)
			}
			if start != c.start || math.Abs(tr.TimeS[1]-c.step) > 1e-9 {
				t.Errorf("got start %q and step %v, want %q and %v", start, tr.TimeS[1], c.start, c.step)
			}
		})
	}
}

func TestALayoutNamesWords(t *testing.T) {
	tr := with(t, `
missing: ["----", n/a]
overload: [SAT]
sampling: {room: ambient, Mask: inside, rinse: purge}
columns: {C: {to: concentration_per_cm3, unit: per_cm3, full_scale: 5e5}}
notes: {place: hall}`, "# who: me\ntime_s,C,sampling\n0,----,room\n1,sat,Room\n2,500000,mask\n3,N/A,rinse\n4,12,ambient\n")
	if len(tr.Overload) != 2 || tr.Overload[0] != (record.Overload{Row: 1, Air: record.Ambient, Word: "OVER (sat)"}) ||
		tr.Overload[1] != (record.Overload{Row: 2, Air: record.Inside, Word: ">=500000"}) {
		t.Errorf("got %+v", tr.Overload)
	}
	if !math.IsNaN(tr.Ambient[0]) || tr.Sampling[3] != record.Purge || tr.Ambient[4] != 12 {
		t.Errorf("got %+v", tr)
	}
	if len(tr.Notes) != 2 || tr.Notes[1] != (record.Note{Key: "place", Value: "hall"}) {
		t.Errorf("got %+v", tr.Notes)
	}
}

func TestWhatALayoutChangesIsRemarked(t *testing.T) {
	tr := with(t, "columns: {C: {to: ambient_per_cm3, unit: per_l, full_scale: 9000}}\nignore: [lunch]", "time_s,C,lunch\n0,2500,x\n1,9000,x\n")
	tr.Remarks = append(tr.Remarks, with(t, "columns: {D: {to: inside_per_cm3, unit: per_l}}", heading+"0,1,2\n").Remarks...)
	got := ""
	for _, r := range tr.Remarks {
		got += r.Code + " " + r.Text + "\n"
	}
	for _, want := range []string{"R110 column C: readings were divided by 1000", `R113 ignored, as the layout says: "lunch"`, "R114 1 readings", `R115 the layout maps columns that the file does not have: "D"`} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in %q", want, got)
		}
	}
}

func TestABadLayoutIsRefusedWithLineAndNearestWord(t *testing.T) {
	for _, c := range []struct {
		name, text string
		line       int
		says       string
	}{
		{"empty", "", 1, "format: telltale-layout/1"},
		{"not yaml", "format: telltale-layout/1\ncolumns: {a: [}\n", 1, "not YAML"}, // the line is that of the YAML reader
		{"no format", "separator: \",\"\n", 1, "format"},
		{"other format", "format: telltale-layout/9\n", 1, "telltale-layout/1"},
		{"unknown key", "format: telltale-layout/1\nseperator: \",\"\n", 2, `"separator"`},
		{"key twice", "format: telltale-layout/1\nignore: [a]\nignore: [b]\n", 3, "twice"},
		{"unknown key of a column", "format: telltale-layout/1\ncolumns:\n  a:\n    to: note\n    units: s\n", 5, `"unit"`},
		{"unknown column", "format: telltale-layout/1\ncolumns:\n  a: {to: ambient_per_cm, unit: per_l}\n", 3, `"ambient_per_cm3"`},
		{"no unit", "format: telltale-layout/1\ncolumns:\n  a: {to: ambient_per_cm3}\n", 3, "needs a unit"},
		{"unknown unit", "format: telltale-layout/1\ncolumns:\n  a: {to: ambient_per_cm3, unit: per_1}\n", 3, `"per_l"`},
		{"mass", "format: telltale-layout/1\ncolumns:\n  a: {to: ambient_per_cm3, unit: ug_m3}\n", 3, "never mixed"},
		{"unit of something else", "format: telltale-layout/1\ncolumns:\n  a: {to: ambient_per_cm3, unit: ms}\n", 3, "no unit of"},
		{"counts as concentration", "format: telltale-layout/1\ncolumns:\n  a: {to: ambient_per_cm3, unit: counts}\n", 3, "no unit of"},
		{"bad separator", "format: telltale-layout/1\nseparator: x\n", 2, "no value of separator"},
		{"same signs", "format: telltale-layout/1\nseparator: \",\"\ndecimal: \",\"\n", 1, "same sign"},
		{"unknown encoding", "format: telltale-layout/1\nencoding: windows-1251\n", 2, `"windows-1252"`},
		{"bad offset", "format: telltale-layout/1\ncolumns:\n  a: {to: time, unit: rfc3339, tz: CET}\n", 3, "+02:00"},
		{"bad pattern", "format: telltale-layout/1\ncolumns:\n  a: {to: time, format: \"DD.MM. hh:mm\"}\n", 3, "YYYY"},
		{"pattern without zone", "format: telltale-layout/1\ncolumns:\n  a: {to: time, format: \"YYYY-MM-DD hh:mm\"}\n", 3, "tz"},
		{"two to one", "format: telltale-layout/1\ncolumns:\n  a: {to: note}\n  b: {to: note}\n", 1, "both mapped"},
		{"mapped and ignored", "format: telltale-layout/1\nignore: [A]\ncolumns:\n  a: {to: note}\n", 1, "ignored"},
		{"full scale of a text", "format: telltale-layout/1\ncolumns:\n  a: {to: note, full_scale: 5}\n", 3, "full scale"},
		{"bad number", "format: telltale-layout/1\nskip_lines: -1\n", 2, "skip_lines"},
		{"list for a word", "format: telltale-layout/1\nencoding: [utf-8]\n", 2, "single word"},
		{"unknown air", "format: telltale-layout/1\nsampling: {room: ambiant}\n", 2, `"ambient"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := ReadLayout("l.yaml", strings.NewReader(c.text))
			got := faultsOf(err)
			if l != nil || len(got) == 0 {
				t.Fatalf("got %v, %v", l, err)
			}
			if f := got[0]; f.Code != "E125" || f.Line != c.line || f.File != "l.yaml" || f.Do == "" || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got line %d: %v, want line %d and %q", f.Line, err, c.line, c.says)
			}
		})
	}
}

func TestALayoutDoesNotOpenWhatIsRefusedOtherwise(t *testing.T) {
	for _, c := range []struct{ layout, text, code string }{
		{`decimal: "."`, "time_s;ambient_per_cm3\n0;12,5\n", "E106"},
		{"separator: \";\"\ndecimal: \",\"", "time_s;ambient_per_cm3\n0;12.5\n", "E106"},
		{"ignore: [x]", "time_s,ambient_per_cm3,y\n0,1,2\n", "E112"},
		{"missing: [nix]", "time_s,ambient_per_cm3\nnix,1\n", "E111"},
		{"names: [time_s, ambient_per_cm3]", "0,1,2\n", "E114"},
		{"encoding: utf-8", "# \xB0\ntime_s,ambient_per_cm3\n0,1\n", "E104"},
	} {
		_, err := Read("t.csv", strings.NewReader(c.text), layoutOf(t, c.layout))
		if f := faultsOf(err); len(f) != 1 || f[0].Code != c.code {
			t.Errorf("%q with %q: got %v, want %s", c.text, c.layout, err, c.code)
		}
	}
}
