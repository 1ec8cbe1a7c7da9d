package tracefile

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"telltale/record"
)

func written(t *testing.T, tr *record.Trace) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, tr); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWhatIsWrittenReadsTheSame(t *testing.T) {
	for name, text := range map[string]string{
		"two counters":      "# a: b\n# free words\n# : a: b\n" + heading + "3,1000.25,1e-7\n3.1,,0\n3.3,OVER,>12\n",
		"one air, empty":    "time_s,inside_per_cm3\n0,\n",
		"both, one empty":   heading + "0,1,\n",
		"both, all empty":   heading + "0,,\n",
		"line":              "time_s,sampling,concentration_per_cm3\n0,purge,1\n1,inside,>5\n2,ambient,7\n",
		"counts":            "time_s,ambient_count,inside_count,volume_cm3\n0,5,6,16.7\n1,5,6,\n",
		"counts on a line":  "time_s,count,sampling,volume_cm3\n0,5,ambient,1\n",
		"channels":          "time_s,inside_gt0.3um_per_cm3,ambient_0.3_0.5um_per_cm3,ambient_gt0.3um_per_cm3\n0,1,OVER,\n",
		"air and channels":  "time_s,inside_gt0.3um_per_cm3,ambient_per_cm3\n0,>,1\n",
		"all channel empty": "time_s,ambient_gt0.3um_per_cm3,inside_per_cm3\n0,,1\n",
		"instants":          "time,ambient_per_cm3\n2026-08-14T18:05:00.123456789+05:45,1\n2026-08-14T18:05:00.223456788+05:45,2\n2027-08-14T18:05:00Z,2\n",
		"epoch":             heading + "1786723500.25,1,2\n1786723500.35,1,2\n",
		"texts": "time_s,ambient_per_cm3,exercise,note,flow_l_min,pressure_pa\n0,1,\" a \",\"x, \"\"y\"\"\nz\",1,-2\n1,1,,=1+1,,\n" +
			"2,1,''=a,'b,0,0\n3,1,\" a \",\"\t@\",0,0\n",
		"start note":     "# start: 2026-08-14T18:05:00+02:00\n# start: again\n" + heading + "0,1,2\n",
		"start unusable": "# start: after lunch\n" + heading + "0,1,2\n",
		"instant & note": "# start: 2020-01-01T00:00:00Z\ntime,ambient_per_cm3\n2026-08-14T18:05:00Z,1\n",
		"overload order": "time_s,inside_per_cm3,ambient_per_cm3\n0,OVER,>\n",
		"finished":       heading + "0,1,2\n# finished: yes\n",
	} {
		t.Run(name, func(t *testing.T) {
			tr := read(t, text)
			once := written(t, tr)
			back := read(t, once)
			equalTraces(t, back, tr)
			if again := written(t, back); again != once {
				t.Errorf("written twice differs:\n%s\n%s", once, again)
			}
		})
	}
}

func TestTheCanonicalFormIsPlain(t *testing.T) {
	tr := &record.Trace{Start: time.Date(2026, 8, 14, 18, 5, 0, 0, time.FixedZone("", 7200)), Notes: []record.Note{{Key: "room", Value: "small"}},
		TimeS: []float64{0, 0.5}, Sampling: []record.Air{record.Both, record.Both}, Ambient: []float64{8123.4, math.NaN()}, Inside: []float64{0, 1e-7},
		Labels: []string{"talking", "-1"}, Exercise: []int32{0, 1}, Overload: []record.Overload{{Row: 1, Air: record.Ambient, Word: "OVER"}}}
	want := "# start: 2026-08-14T18:05:00+02:00\n# room: small\ntime_s,ambient_per_cm3,inside_per_cm3,exercise\n0,8123.4,0,talking\n0.5,OVER,1e-07,'-1\n"
	if got := written(t, tr); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestATraceThatNoFileCanHoldIsNotWritten(t *testing.T) {
	good := func() *record.Trace {
		return &record.Trace{TimeS: []float64{0}, Sampling: []record.Air{record.Ambient}, Ambient: []float64{1}, Inside: []float64{math.NaN()}}
	}
	for name, spoil := range map[string]func(*record.Trace){
		"no rows":        func(t *record.Trace) { *t = record.Trace{} },
		"unequal length": func(t *record.Trace) { t.Ambient = nil },
		"infinite":       func(t *record.Trace) { t.Ambient[0] = math.Inf(1) },
		"note of lines":  func(t *record.Trace) { t.Notes = []record.Note{{Key: "a", Value: "b\nc"}} },
		"broken text":    func(t *record.Trace) { t.Labels = []string{"\xff"} },
		"no air":         func(t *record.Trace) { t.Sampling = nil },
	} {
		tr := good()
		spoil(tr)
		if err := Write(&bytes.Buffer{}, tr); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	if err := Write(&bytes.Buffer{}, good()); err != nil {
		t.Error(err)
	}
}

func TestRoomLogsSurviveWriting(t *testing.T) {
	tr := roomLog(t, "salt_rise_saturate_clean")
	equalTraces(t, read(t, written(t, tr)), tr)
}

func FuzzRead(f *testing.F) {
	for _, name := range []string{"two_counters", "line", "channels"} {
		seed, err := os.ReadFile("testdata/fuzz/seeds/" + name + ".csv")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(seed)
	}
	for _, s := range []string{heading + "0,1,2\n", "\xFF\xFEt\x00", "time_s;ambient_per_cm3\n0;12,5\n", "time,inside_per_cm3\r2026-08-14T18:05:00Z,>5\r", heading + "0,\"1", "# start: 2026-08-14T18:05:00+02:00\n" + heading + "1e9,1e12,-0"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		tr, err := Read("t.csv", bytes.NewReader(data), nil)
		if err != nil {
			for _, f := range faultsOf(err) {
				if f.Code == "" || f.File == "" || f.Do == "" || f.What == "" {
					t.Fatalf("fault without code, place or help: %v", f)
				}
			}
			if len(faultsOf(err)) == 0 || tr != nil {
				t.Fatalf("got %v with %v", tr, err)
			}
			return
		}
		for _, col := range [][]float64{tr.TimeS, tr.Ambient, tr.Inside} {
			for _, v := range col {
				if math.IsInf(v, 0) || len(col) != tr.Rows() {
					t.Fatalf("column %v", col)
				}
			}
		}
		once := written(t, tr)
		back, err := Read("t.csv", strings.NewReader(once), nil)
		if err != nil {
			t.Fatalf("%q was written as %q, which is refused: %v", data, once, err)
		}
		equalTraces(t, back, tr)
		Inspect(tr)
	})
}

func FuzzLayout(f *testing.F) {
	seed, err := os.ReadFile("testdata/room_log.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(seed, []byte("time,>0.3,pm10\n0,65535,1\n"))
	f.Add([]byte("format: telltale-layout/1\nnames: [time, x]\ncolumns: {x: {to: ambient_per_cm3, unit: per_l}, time: {to: time, format: hh:mm, tz: \"+02:00\"}}\n"), []byte("10:00,5\n"))
	f.Add([]byte("format: telltale-layout/1\nsampling: {a: inside}\nmissing: [x]\noverload: [y]\nskip_lines: 1\nencoding: windows-1252\n"), []byte("q\ntime_s,count,sampling,volume_cm3\n1,y,a,x\n"))
	f.Fuzz(func(t *testing.T, yaml, data []byte) {
		layout, err := ReadLayout("l.yaml", bytes.NewReader(yaml))
		if err != nil {
			for _, f := range faultsOf(err) {
				if f.Code == "" || f.File == "" || f.Do == "" || f.Line == 0 && f.Code == "E125" {
					t.Fatalf("fault without code, place or help: %#v", f)
				}
			}
			return
		}
		tr, err := Read("t.csv", bytes.NewReader(data), layout)
		if err != nil {
			return
		}
		back, err := Read("t.csv", strings.NewReader(written(t, tr)), nil)
		if err != nil {
			t.Fatalf("%q was written as %q, which is refused: %v", data, written(t, tr), err)
		}
		equalTraces(t, back, tr)
	})
}
