package tracefile

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"telltale/record"
)

func roomLog(t *testing.T, name string) *record.Trace {
	t.Helper()
	packed, err := os.ReadFile("testdata/" + name + ".csv.gz")
	if err != nil {
		t.Fatal(err)
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.Open("testdata/room_log.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	layout, err := ReadLayout("room_log.yaml", file)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := Read(name+".csv", bytes.NewReader(text), layout)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// TestRoomLogsShowTheirSaturationRepeatsAndDecay compares with figures made by a
// script in another language from the same files (testdata/SOURCE.md).
func TestRoomLogsShowTheirSaturationRepeatsAndDecay(t *testing.T) {
	for _, c := range []struct {
		name            string
		rows, saturated int
		repeats         int // rows with all six counts those of the row before
		decay           float64
		decayRows       int
	}{
		{"salt_natural_decay", 4344, 516, 2012, 3.4121911682273276, 3581},
		{"salt_rise_saturate_clean", 1190, 84, 617, 77.00120921626372, 325},
		{"salt_clean_no_saturation", 221, 0, 76, 85.67772268305076, 138},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := Inspect(roomLog(t, c.name))
			col := r.Columns[0]
			if r.Rows != c.rows || col.Name != "ambient_gt0.3um_per_cm3" || col.Saturated.Rows != c.saturated {
				t.Errorf("got %d rows, column %s with %d saturated", r.Rows, col.Name, col.Saturated.Rows)
			}
			if r.Repeated.Count != c.repeats {
				t.Errorf("got %d repeated rows, want %d", r.Repeated.Count, c.repeats)
			}
			d := col.DecayAfterPeak
			if d == nil || d.Rows != c.decayRows || math.Abs(d.PerHour/c.decay-1) > 1e-9 {
				t.Errorf("got decay %+v, want %g per hour from %d rows", d, c.decay, c.decayRows)
			}
			for _, other := range r.Columns[1:] {
				if other.Saturated.Rows > 0 {
					t.Errorf("%s is said to be saturated in %d rows", other.Name, other.Saturated.Rows)
				}
			}
		})
	}
}

func TestAPlateauIsFoundWithoutALayoutThatNamesFullScale(t *testing.T) {
	tr := roomLog(t, "salt_natural_decay")
	for _, o := range tr.Overload {
		tr.Channels[o.Channel-1].Ambient[o.Row] = 655.35
	}
	tr.Overload = nil
	col := Inspect(tr).Columns[0]
	if col.Saturated.Rows != 516 || *col.Saturated.Plateau != 655.35 { // 65535 per 0.1 L
		t.Errorf("got %+v", col.Saturated)
	}
	if col.LongestConstant.Rows != 516 || col.LongestConstant.Row != 7 { // by a script in another language
		t.Errorf("got %+v", col.LongestConstant)
	}
}

func TestARoomLogIsReadInTheUnitOfItsLayout(t *testing.T) {
	tr := roomLog(t, "salt_clean_no_saturation")
	// First row of the log: time 0.92..., >0.3 12582, >10 76 per 0.1 L.
	if got := tr.Channels[0].Ambient[0]; got != 125.82 {
		t.Errorf("got %v", got)
	}
	if got := tr.Channels[5]; got.Ambient[0] != 0.76 || got.Low != 10 || got.High != 0 {
		t.Errorf("got %v above %v", got.Ambient[0], got.Low)
	}
	if r := Inspect(tr); len(r.Forms) != 1 || r.Forms[0] != "size channels" {
		t.Errorf("got %v", r.Forms)
	}
}

func TestInspectTellsGapsCoverageStretchesAndColumns(t *testing.T) {
	// One row a second; a step of 5 s after the fourth row. By hand: 8 rows in
	// 11 s, of 12 s (with the last row's step) 4 s are lost.
	r := Inspect(read(t, "time_s,sampling,concentration_per_cm3,exercise\n0,ambient,100,\n1,ambient,100,\n2,purge,50,\n"+
		"3,inside,0,talking\n8,inside,2,talking\n9,inside,OVER,talking\n10,inside,,grimace\n11,ambient,100,\n"))
	if r.SpanS != 11 || *r.MedianStepS != 1 || math.Abs(*r.RatePerS-7./11) > 1e-15 || math.Abs(r.CoveragePercent-100*8./12) > 1e-12 {
		t.Errorf("got span %v, step %v, rate %v, coverage %v", r.SpanS, *r.MedianStepS, *r.RatePerS, r.CoveragePercent)
	}
	if len(r.Gaps) != 1 || r.GapCount != 1 || r.Gaps[0] != (Gap{Row: 4, FromS: 3, LengthS: 5}) {
		t.Errorf("got gaps %+v", r.Gaps)
	}
	if r.Repeated.Count != 1 {
		t.Errorf("got %+v", r.Repeated)
	}
	want := []Stretch{{"talking", 4, 3, 3, 7}, {"grimace", 7, 10, 1, 1}}
	if len(r.Exercises) != 2 || r.Exercises[0] != want[0] || r.Exercises[1] != want[1] {
		t.Errorf("got %+v", r.Exercises)
	}
	if len(r.Sampling) != 4 || r.Sampling[3] != (Stretch{"ambient", 8, 11, 1, 1}) || r.Sampling[1].Label != "purge" {
		t.Errorf("got %+v", r.Sampling)
	}
	inside := r.Columns[1]
	if inside.Name != "inside_per_cm3" || inside.Readings != 2 || inside.Missing != 1 || inside.Zeros != 1 || inside.Saturated.Words != 1 || *inside.Median != 1 {
		t.Errorf("got %+v", inside)
	}
	if r.Forms[0] != "switched line" {
		t.Errorf("got %v", r.Forms)
	}
}

func TestASteadyTraceHasNothingToReport(t *testing.T) {
	var b strings.Builder
	b.WriteString("time_s,ambient_per_cm3,inside_per_cm3\n")
	for i := range 300 {
		inside := []string{"10", "20", "5"}[i/100]
		b.WriteString(string(plain(nil, float64(i))) + ",1000," + inside + "\n")
	}
	r := Inspect(read(t, b.String()))
	for _, c := range r.Columns {
		if c.Saturated.Rows > 0 || c.DecayAfterPeak != nil && c.Name == "ambient_per_cm3" {
			t.Errorf("%s: %+v", c.Name, c)
		}
	}
	if r.GapCount != 0 || r.CoveragePercent != 100 {
		t.Errorf("got %d gaps and %g %%", r.GapCount, r.CoveragePercent)
	}
	if d := r.Columns[0].Drift; d == nil || d.PerHour != 0 || d.Rows != 300 {
		t.Errorf("got %+v", d)
	}
}

func TestTheDriftOfAnExactExponentialIsItsRate(t *testing.T) {
	times, values := make([]float64, 100), make([]float64, 100)
	for i := range times {
		times[i] = float64(i) * 10
		values[i] = 5000 * math.Exp(-2*times[i]/3600) // 2 per hour, by construction
	}
	d, ok := DriftOf(times, values, math.Inf(1))
	if !ok || math.Abs(d.PerHour+2) > 1e-9 || d.Rows != 100 || d.Below != nil {
		t.Errorf("got %+v", d)
	}
	if _, ok := DriftOf(times[:9], values[:9], math.Inf(1)); ok {
		t.Error("nine readings gave a drift")
	}
}

func TestReportsAreJSONWhateverTheTraceHolds(t *testing.T) {
	for _, text := range []string{
		heading + "0,,\n",
		heading + "0,0,0\n0,0,0\n",
		heading + "0,OVER,>\n1,,\n",
		"time_s,concentration_per_cm3,sampling\n0,5,purge\n",
		"time,inside_gt0.3um_per_cm3\n2026-08-14T18:05:00Z,5\n",
	} {
		out, err := json.Marshal(Inspect(read(t, text)))
		if err != nil {
			t.Errorf("%q: %v", text, err)
		}
		if bytes.Contains(out, []byte("NaN")) || bytes.Contains(out, []byte(`"Key"`)) || !bytes.Contains(out, []byte(`"median_step_s":`)) {
			t.Errorf("%q: %s", text, out)
		}
	}
	if _, err := json.Marshal(Inspect(&record.Trace{})); err != nil {
		t.Error(err)
	}
}
