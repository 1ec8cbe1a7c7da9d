package tracefile

import (
	"bytes"
	"errors"
	"io"
	"math"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"telltale/fault"
	"telltale/record"
)

const heading = "time_s,ambient_per_cm3,inside_per_cm3\n"

func read(t *testing.T, text string) *record.Trace {
	t.Helper()
	tr, err := Read("t.csv", strings.NewReader(text), nil)
	if err != nil {
		t.Fatalf("refused: %v", err)
	}
	return tr
}

func faultsOf(err error) []*fault.Fault {
	var l fault.List
	if errors.As(err, &l) {
		return l
	}
	var f *fault.Fault
	if errors.As(err, &f) {
		return []*fault.Fault{f}
	}
	return nil
}

func utf16(text string, bom, big bool) string {
	var b []byte
	if bom {
		text = "\uFEFF" + text
	}
	for _, r := range text {
		if big {
			b = append(b, byte(r>>8), byte(r))
		} else {
			b = append(b, byte(r), byte(r>>8))
		}
	}
	return string(b)
}

// TestBadInputIsRefusedWithCodePlaceAndWhatToDo goes through the table of bad
// input of docs/formats.md.
func TestBadInputIsRefusedWithCodePlaceAndWhatToDo(t *testing.T) {
	long := strings.Repeat("x", MaxLine+10)
	for _, c := range []struct {
		name, text string
		code       string
		line       int
		says       string // in the whole message
	}{
		{"empty file", "", "E101", 0, "0 bytes"},
		{"header only", heading, "E102", 0, "only a heading"},
		{"header only without line end", "time_s,ambient_per_cm3", "E102", 0, "only a heading"},
		{"notes only", "# a: b\n", "E102", 0, "no heading"},
		{"only row is cut off", heading + "0,1,2", "E102", 0, "cut off"},
		{"utf-16 without mark, little end", utf16(heading+"0,1,2\n", false, false), "E103", 0, "Save it as UTF-8"},
		{"utf-16 without mark, big end", utf16(heading+"0,1,2\n", false, true), "E103", 0, "Save it as UTF-8"},
		{"windows-1252 degree sign", "# room: 21 \xB0C\n" + heading + "0,1,2\n", "E104", 1, "byte offset 11"},
		{"windows-1252 further down", "time_s,ambient_per_cm3,note\n0,1,caf\xE9\n", "E104", 2, "windows-1252"},
		{"thousand or decimal, quoted", heading + "0,\"1,234\",2\n", "E105", 2, "1234"},
		{"thousand or decimal, semicolons", strings.ReplaceAll(heading, ",", ";") + "0;1,234;2,345\n", "E105", 2, "1.234"},
		{"mixed decimal signs", strings.ReplaceAll(heading, ",", ";") + "0;12,5;2\n1;12.5;2\n", "E106", 3, "line 2"},
		{"apostrophe between digits", heading + "0,1'234,2\n", "E107", 2, "U+0027"},
		{"thin space between digits", heading + "0,1\u2009234,2\n", "E107", 2, "U+2009"},
		{"arabic-indic digits", heading + "0,١٢٣,2\n", "E107", 2, "another script"},
		{"full-width digits", heading + "0,１２,2\n", "E107", 2, "another script"},
		{"digits with a unit", heading + "0,12 %,2\n", "E107", 2, "plain digits"},
		{"two thousands signs", heading + "0,\"1,234,567\",2\n", "E107", 2, "thousands"},
		{"thousands and decimals", heading + "0,\"1.234,5\",2\n", "E107", 2, "thousands"},
		{"NaN", heading + "0,NaN,2\n", "E108", 2, "empty"},
		{"infinity", heading + "0,-Inf,2\n", "E108", 2, "empty"},
		{"1e999", heading + "0,1e999,2\n", "E108", 2, "beyond"},
		{"1e-999", heading + "0,1e-999,2\n", "E108", 2, "beyond"},
		{"minus zero", heading + "0,-0,2\n", "E108", 2, "minus"},
		{"hexadecimal", heading + "0,0x10,2\n", "E108", 2, "plain decimal"},
		{"hexadecimal float", heading + "0,0x1p-2,2\n", "E108", 2, "plain decimal"},
		{"underscore", heading + "0,1_000,2\n", "E108", 2, "plain decimal"},
		{"negative concentration", heading + "0,100,-1\n", "E109", 2, "zero check"},
		{"volume of nothing", "time_s,ambient_count,volume_cm3\n0,5,0\n", "E109", 2, "volume"},
		{"dashes", heading + "0,----,2\n", "E111", 2, "layout"},
		{"spreadsheet error", heading + "0,#REF!,2\n", "E111", 2, "layout"},
		{"formula in a number column", heading + "0,=1+1,2\n", "E111", 2, "layout"},
		{"text", heading + "0,abc,2\n", "E111", 2, "layout"},
		{"over in the time", heading + "OVER,1,2\n", "E111", 2, "number"},
		{"empty sampling", "time_s,concentration_per_cm3,sampling\n0,5,ambient\n1,6,\n", "E111", 3, "every row"},
		{"misspelt sampling", "time_s,concentration_per_cm3,sampling\n0,5,ambeint\n", "E111", 2, `"ambient"`},
		{"missing time", heading + ",5,6\n", "E111", 2, "time is missing"},
		{"column renamed", "time_s,ambiant_per_cm3,inside_per_cm3\n0,1,2\n", "E112", 1, `"ambient_per_cm3"`},
		{"column twice", "time_s,inside_per_cm3,Inside_per_cm3 \n0,1,2\n", "E112", 1, "mean the same"},
		{"channel twice", "time_s,inside_0.3_0.5um_per_cm3,inside_0.30_0.50um_per_cm3\n0,1,2\n", "E112", 1, "mean the same"},
		{"no time", "ambient_per_cm3,inside_per_cm3\n1,2\n", "E112", 1, "time_s"},
		{"two times", "time_s,time,ambient_per_cm3\n1,2,3\n", "E112", 1, "two columns of times"},
		{"no air", "time_s,note\n1,2\n", "E112", 1, "no column of particles"},
		{"line without sampling", "time_s,concentration_per_cm3\n1,2\n", "E112", 1, "sampling"},
		{"sampling without line", "time_s,sampling\n1,ambient\n", "E112", 1, "particles"},
		{"counts without volume", "time_s,ambient_count,inside_count\n1,2,3\n", "E112", 1, "volume_cm3"},
		{"counts and concentrations", "time_s,ambient_count,inside_per_cm3,volume_cm3\n1,2,3,4\n", "E112", 1, "stand together"},
		{"two counters and a line", "time_s,ambient_per_cm3,count,sampling,volume_cm3\n1,2,3,ambient,4\n", "E112", 1, "stand together"},
		{"unit left out", "time_s,Ambient\n0,1\n", "E112", 1, "Did you mean ambient_per_cm3 or ambient_count"},
		{"nameless column", "time_s,ambient_per_cm3,\n1,2,\n", "E112", 1, "column 3"},
		{"found columns are listed", "time_s,ambient_per_cm3,lunch\n1,2,3\n", "E112", 1, `found: "time_s", "ambient_per_cm3", "lunch"`},
		{"per litre", "time_s,ambient_per_l,inside_per_cm3\n1,2,3\n", "E113", 1, "unit"},
		{"per cubic foot", "time_s,ambient_per_ft3\n1,2\n", "E113", 1, "layout"},
		{"per cm3 in other letters", "time_s,ambient (#/cm3)\n1,2\n", "E113", 1, "ambient_per_cm3"},
		{"mass", "time_s,ambient_mg_m3\n1,2\n", "E113", 1, "never mixed"},
		{"mass under another name", "time_s,PM2.5 (µg/m3)\n1,2\n", "E113", 1, "never mixed"},
		{"a time out of all bounds", heading + "0,1,2\n1e300,1,2\n", "E124", 3, "same recording"},
		{"channel per litre", "time_s,inside_0.3_0.5um_per_l\n1,2\n", "E113", 1, "inside_0.3_0.5um_per_cm3"},
		{"time in milliseconds", "time_ms,ambient_per_cm3\n1,2\n", "E113", 1, "time_s"},
		{"too many cells", heading + "0,1,2\n1,2,3,4\n", "E114", 3, "4 cells"},
		{"too few cells", heading + "0,1,2\n1,2\n", "E114", 3, "2 cells"},
		{"quote never closed", "time_s,ambient_per_cm3,note\n0,1,a\n1,2,\"b\n2,3,c\n3,4,d\n", "E115", 3, "line 3"},
		{"text behind a quote", "time_s,ambient_per_cm3,note\n0,1,\"a\"b\n", "E115", 2, "double"},
		{"time goes back", heading + "0,1,2\n2,1,2\n1,1,2\n0.5,1,2\n", "E116", 4, "by 1 s"},
		{"local time", "time,ambient_per_cm3\n2026-10-25T02:30:00,1\n", "E117", 2, "comes twice"},
		{"local time with a blank", "time,ambient_per_cm3\n2026-10-25 02:30:00.5,1\n", "E117", 2, "tz"},
		{"day or month", "time,ambient_per_cm3\n03/04/2026 10:00:00,1\n", "E118", 2, "day or month"},
		{"no such day", "time,ambient_per_cm3\n2026-02-29T10:00:00Z,1\n", "E111", 2, "not a time"},
		{"long line", heading + "0,1,2\n" + long + "\n", "E120", 3, "64 KiB"},
		{"long last line", heading + "0,1,2\n" + long, "E120", 3, "64 KiB"},
		{"zip", "PK\x03\x04rest", "E121", 0, "zip"},
		{"pdf", "%PDF-1.7\n", "E121", 0, "PDF"},
		{"gzip", "\x1F\x8B\x08\x00", "E121", 0, "gzip"},
		{"png", "\x89PNG\r\n\x1A\n", "E121", 0, "PNG"},
		{"jpeg", "\xFF\xD8\xFF\xE0", "E121", 0, "JPEG"},
		{"elf", "\x7FELF\x02", "E121", 0, "program"},
		{"nul", heading + "0,1,2\n1,\x00,2\n", "E122", 3, "byte offset 46"},
		{"days of a spreadsheet", heading + "45992.5,1,2\n45992.500011574,1,2\n45992.500023148,1,2\n", "E124", 2, "unit: excel_days"},
		{"epoch milliseconds", heading + "1786723500000,1,2\n", "E124", 2, "unit: ms"},
		{"epoch microseconds", heading + "1786723500000000,1,2\n", "E124", 2, "unit: us"},
		{"plain seconds under time", "time,ambient_per_cm3\n0.9,1\n", "E124", 2, "time_s"},
		{"spreadsheet day under time", "time,ambient_per_cm3\n45992.5,1\n", "E124", 2, "excel_days"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tr, err := Read("t.csv", strings.NewReader(c.text), nil)
			got := faultsOf(err)
			if tr != nil || len(got) != 1 {
				t.Fatalf("got trace %v and faults %v, want one fault", tr != nil, err)
			}
			f := got[0]
			if f.Code != c.code || f.Line != c.line {
				t.Errorf("got %s in line %d, want %s in line %d: %v", f.Code, f.Line, c.code, c.line, f)
			}
			if !strings.Contains(f.Error(), c.says) {
				t.Errorf("the message %q does not say %q", f, c.says)
			}
			if f.Do == "" || f.File != "t.csv" {
				t.Errorf("the message %q does not say what to do and in which file", f)
			}
		})
	}
}

func TestManyFaultsAreListedToAHundredAndCounted(t *testing.T) {
	_, err := Read("t.csv", strings.NewReader(heading+strings.Repeat("0,x,1\n", 250)), nil)
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 101 || lines[100] != "... and 150 more" {
		t.Errorf("got %d lines, the last is %q", len(lines), lines[len(lines)-1])
	}
}

func TestAFileOverTheLimitIsRefused(t *testing.T) {
	row := strings.Repeat(" ", 1000) + "1,1,1\n"
	_, err := Read("t.csv", io.MultiReader(strings.NewReader(heading), strings.NewReader(strings.Repeat(row, MaxBytes/len(row)+1))), nil)
	if f := faultsOf(err); len(f) != 1 || f[0].Code != "E120" || f[0].Do == "" {
		t.Errorf("got %v", err)
	}
}

func TestMoreRowsThanTheLimitAreRefused(t *testing.T) {
	_, err := Read("t.csv", strings.NewReader("time_s,ambient_per_cm3\n"+strings.Repeat("0,\n", MaxRows+1)), nil)
	if f := faultsOf(err); len(f) != 1 || f[0].Code != "E120" || f[0].Line != MaxRows+2 {
		t.Errorf("got %v", err)
	}
}

func TestAFileOfFaultsAloneEndsAndIsCounted(t *testing.T) {
	_, err := Read("t.csv", strings.NewReader("time_s,ambient_per_cm3\n"+strings.Repeat("0,x\n", 1_100_000)), nil)
	if got := err.Error(); !strings.HasSuffix(got, "... and 999901 more") { // the 1000001st fault ends the reading
		t.Errorf("got %q", got[len(got)-60:])
	}
}

func TestAReaderThatFailsIsAFaultAndNotAShortTrace(t *testing.T) {
	broken := errors.New("cable")
	_, err := Read("t.csv", io.MultiReader(strings.NewReader(heading+"0,1,2\n"), iotest.ErrReader(broken)), nil)
	if !errors.Is(err, broken) || faultsOf(err)[0].Code != "E100" {
		t.Errorf("got %v", err)
	}
}

func TestWhatIsToleratedIsRemarked(t *testing.T) {
	for _, c := range []struct {
		name, text, code string
		line             int
		says             string
	}{
		{"byte order mark", "\uFEFF" + heading + "0,1,2\n", "R101", 1, "removed"},
		{"utf-16", utf16(heading+"0,1,2\n", true, true), "R103", 0, "UTF-16"},
		{"carriage returns", "time_s,ambient_per_cm3\r\n0,1\r1,2\n", "R102", 0, "1 LF, 1 CRLF, 1 CR"},
		{"cut last line", heading + "0,1,2\n1,2,3", "R106", 3, "not used"},
		{"semicolons", "time_s;ambient_per_cm3\n0;1\n", "R105", 1, "semicolons"},
		{"tabs", "time_s\tambient_per_cm3\n0\t1\n", "R105", 1, "tabs"},
		{"decimal comma", "time_s;ambient_per_cm3\n0;1,234\n1;12,5\n", "R105", 3, "12,5 is read as 12.5"},
		{"absurd value", heading + "0,1e12,2\n1,5e13,2\n", "E110", 2, "2 readings"},
		{"equal times", heading + "0,1,2\n0,1,2\n", "R107", 3, "1 rows"},
		{"epoch seconds", heading + "1786723500,1,2\n", "R108", 2, "2026-08-14T16:05:00Z"}, // by hand: 1786723500 = 20679 days + 57900 s
		{"counts that are not whole", "time_s,ambient_count,volume_cm3\n0,5.5,1\n", "R111", 2, "whole"},
		{"blank lines", heading + "\n0,1,2\n\n1,1,2\n", "R112", 0, "2 blank"},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, r := range read(t, c.text).Remarks {
				if r.Code == c.code && r.Line == c.line && strings.Contains(r.Text, c.says) {
					return
				}
			}
			t.Errorf("no remark %s in line %d that says %q: %+v", c.code, c.line, c.says, read(t, c.text).Remarks)
		})
	}
}

func TestACleanFileHasNoRemarks(t *testing.T) {
	if r := read(t, heading+"0,1,2\n1,1,2\n").Remarks; len(r) > 0 {
		t.Errorf("got %v", r)
	}
}

// bare takes away what belongs to the file and not to its data.
func bare(t *record.Trace) *record.Trace {
	c := *t
	c.Name, c.SHA256, c.Bytes, c.Remarks = "", "", 0, nil
	return &c
}

// equalTraces compares two traces, NaN equal to NaN.
func equalTraces(t *testing.T, got, want *record.Trace) {
	t.Helper()
	g, w := bare(got), bare(want)
	if !g.Start.Equal(w.Start) || g.Start.Format(time.RFC3339Nano) != w.Start.Format(time.RFC3339Nano) {
		t.Errorf("start %v, want %v", g.Start, w.Start)
	}
	g.Start, w.Start = time.Time{}, time.Time{}
	if a, b := bitsOf(reflect.ValueOf(*g)), bitsOf(reflect.ValueOf(*w)); !reflect.DeepEqual(a, b) {
		t.Errorf("traces differ:\n got %+v\nwant %+v", g, w)
	}
}

// bitsOf turns float slices into their bits, so that NaN equals NaN.
func bitsOf(v reflect.Value) any {
	if v.Type() == reflect.TypeFor[[]float64]() {
		if v.IsNil() {
			return nil
		}
		out := make([]uint64, v.Len())
		for i := range out {
			if f := v.Index(i).Float(); !math.IsNaN(f) {
				out[i] = math.Float64bits(f)
			}
			if math.IsNaN(v.Index(i).Float()) {
				out[i] = math.MaxUint64
			}
		}
		return out
	}
	switch v.Kind() {
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return v.Interface()
		}
		out := map[string]any{}
		for i := range v.NumField() {
			out[v.Type().Field(i).Name] = bitsOf(v.Field(i))
		}
		return out
	case reflect.Slice:
		if v.IsNil() {
			return nil
		}
		out := []any{}
		for i := range v.Len() {
			out = append(out, bitsOf(v.Index(i)))
		}
		return out
	}
	return v.Interface()
}

func TestLineEndsMarksAndSeparatorsGiveTheSameTrace(t *testing.T) {
	text := "# room: bath, small\n# finished: yes\ntime_s,ambient_per_cm3,inside_per_cm3,exercise,note\n" +
		"0,1000.5,10.25,talking,\n1.5,,9.5,talking,\"two\nlines\"\n2.5,999.5,>500,grimace,\"x, \"\"y\"\"\"\n"
	want := read(t, text)
	semicolons := strings.NewReplacer("bath, small", "bath, small", "x, ", "x, ", ",", ";", ".", ",").Replace(text)
	semicolons = strings.NewReplacer("1;5", "1,5").Replace(semicolons)
	for name, other := range map[string]string{
		"CRLF":            strings.ReplaceAll(text, "\n", "\r\n"),
		"CR":              strings.ReplaceAll(text, "\n", "\r"),
		"no last end":     strings.TrimSuffix(text, "\n"),
		"mark":            "\uFEFF" + text,
		"UTF-16":          utf16(text, true, false),
		"UTF-16 big":      utf16(text, true, true),
		"decimal commas":  semicolons,
		"headings shout":  strings.Replace(text, "time_s,ambient_per_cm3", " TIME_S ,Ambient_Per_cm3", 1),
		"padded":          strings.ReplaceAll(text, ",10.25,", ", 10.25 ,"),
		"blank lines":     text + "\n\n",
		"note at the end": strings.Replace(text, "# finished: yes\n", "", 1) + "# finished: yes",
	} {
		t.Run(name, func(t *testing.T) { equalTraces(t, read(t, other), want) })
	}
	slow, err := Read("t.csv", iotest.OneByteReader(strings.NewReader(strings.ReplaceAll(text, "\n", "\r\n"))), nil)
	if err != nil {
		t.Fatal(err)
	}
	equalTraces(t, slow, want)
}

func TestColumnsMayStandInAnyOrder(t *testing.T) {
	a := read(t, "time_s,sampling,concentration_per_cm3,exercise\n0,ambient,100,\n1,purge,50,\n2,inside,5,talking\n")
	b := read(t, "exercise,concentration_per_cm3,time_s,sampling\n,100,0,ambient\n,50,1,purge\ntalking,5,2,inside\n")
	equalTraces(t, b, a)
	if !a.Switched || !reflect.DeepEqual(a.Sampling, []record.Air{record.Ambient, record.Purge, record.Inside}) {
		t.Errorf("got switched %v, sampling %v", a.Switched, a.Sampling)
	}
	if a.Ambient[0] != 100 || !math.IsNaN(a.Ambient[1]) || !math.IsNaN(a.Inside[1]) || a.Inside[2] != 5 || !math.IsNaN(a.Inside[0]) {
		t.Errorf("got ambient %v, inside %v", a.Ambient, a.Inside)
	}
}

func TestEachFormIsReadAsWhatItIs(t *testing.T) {
	counts := read(t, "time_s,count,sampling,volume_cm3,flow_l_min,pressure_pa\n5,120,Ambient,16.7,-30.5,-12\n6,3,inside,16.7,30,\n")
	if counts.Reading != record.RawCounts || counts.VolumeCM3[1] != 16.7 || counts.Ambient[0] != 120 || counts.Inside[1] != 3 {
		t.Errorf("got %+v", counts)
	}
	if counts.TimeS[0] != 0 || counts.TimeS[1] != 1 || counts.FlowLMin[0] != -30.5 || !math.IsNaN(counts.PressurePa[1]) {
		t.Errorf("got %+v", counts)
	}
	sizes := read(t, "time_s,ambient_0.3_0.5um_per_cm3,inside_gt0.3um_per_cm3,inside_0.3_0.5um_per_cm3\n0,1,2,3\n")
	if len(sizes.Channels) != 2 || sizes.Channels[0].Low != 0.3 || sizes.Channels[0].High != 0.5 || sizes.Channels[1].High != 0 {
		t.Fatalf("got %+v", sizes.Channels)
	}
	if sizes.Channels[0].Inside[0] != 3 || sizes.Channels[1].Inside[0] != 2 || sizes.Channels[1].Ambient != nil || !math.IsNaN(sizes.Ambient[0]) {
		t.Errorf("got %+v", sizes.Channels)
	}
	one := read(t, "time_s,inside_per_cm3\n0,0\n")
	if one.Sampling[0] != record.Inside || one.Inside[0] != 0 || !math.IsNaN(one.Ambient[0]) {
		t.Errorf("got %+v", one)
	}
}

func TestAnInstantKeepsItsZoneAndGivesSeconds(t *testing.T) {
	tr := read(t, "time,ambient_per_cm3\n2026-08-14T18:05:00.25+02:00,1\n2026-08-14 16:05:01.5z,2\n2026-08-14T18:05:02+02:00,2\n")
	if got := tr.Start.Format(time.RFC3339Nano); got != "2026-08-14T18:05:00.25+02:00" {
		t.Errorf("start %s", got)
	}
	if !reflect.DeepEqual(tr.TimeS, []float64{0, 1.25, 1.75}) { // by hand
		t.Errorf("times %v", tr.TimeS)
	}
}

func TestInstantsAgreeWithTheStandardLibrary(t *testing.T) {
	for _, text := range []string{"1969-12-31T23:59:59Z", "2000-02-29T12:00:00+05:30", "2100-03-01T00:00:00-03:30", "0000-01-01T00:00:00Z",
		"1900-03-01T00:00:00Z", "2026-12-31T23:59:59.999999999+14:00", "9999-12-31T00:00:00Z"} {
		want, err := time.Parse(time.RFC3339Nano, text)
		if err != nil {
			t.Fatal(err)
		}
		got, _, ok := rfc3339.read([]byte(text))
		if !ok || !got.time().Equal(want) {
			t.Errorf("%s: got %v, want %v", text, got.time(), want)
		}
	}
}

func TestOverloadWordsBecomeBoundsAndNotNumbers(t *testing.T) {
	tr := read(t, heading+"0,OVER,>\n1,> 500000,overload\n2,>=1e5,Over\n")
	want := []record.Overload{
		{Row: 0, Air: record.Ambient, Word: "OVER"}, {Row: 0, Air: record.Inside, Word: ">"},
		{Row: 1, Air: record.Ambient, Word: "> 500000"}, {Row: 1, Air: record.Inside, Word: "overload"},
		{Row: 2, Air: record.Ambient, Word: ">=1e5"}, {Row: 2, Air: record.Inside, Word: "Over"},
	}
	if !reflect.DeepEqual(tr.Overload, want) || !math.IsNaN(tr.Ambient[0]) || !math.IsNaN(tr.Inside[1]) {
		t.Errorf("got %+v", tr.Overload)
	}
}

func TestFormulasAndMarkupAreTextAndNothingElse(t *testing.T) {
	tr := read(t, "time_s,ambient_per_cm3,exercise,note\n0,1,=cmd|' /C calc'!A0,@x\n1,1,+1,<script>alert(1)</script>\n")
	if tr.Labels[0] != "=cmd|' /C calc'!A0" || tr.RowNotes[0].Text != "@x" || tr.RowNotes[1].Text != "<script>alert(1)</script>" {
		t.Errorf("got %q %+v", tr.Labels, tr.RowNotes)
	}
	var b bytes.Buffer
	if err := Write(&b, tr); err != nil {
		t.Fatal(err)
	}
	for _, cell := range []string{",'=cmd|' /C calc'!A0,'@x\n", ",'+1,<script>"} {
		if !strings.Contains(b.String(), cell) {
			t.Errorf("%q is not in %q", cell, b.String())
		}
	}
}

func TestTheSumIsThatOfTheRawBytes(t *testing.T) {
	// printf '\357\273\277time_s,ambient_per_cm3\r\n0,1\r\n' | sha256sum
	const want = "e9e68edac7e4f011cf32b5260069c2ab94ca692040af6f8d262353938ff4fa6c"
	text := "\uFEFFtime_s,ambient_per_cm3\r\n0,1\r\n"
	tr := read(t, text)
	if tr.SHA256 != want || tr.Bytes != int64(len(text)) {
		t.Errorf("got %s and %d bytes", tr.SHA256, tr.Bytes)
	}
}
