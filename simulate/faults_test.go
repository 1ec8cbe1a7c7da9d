package simulate

import (
	"math"
	"strings"
	"testing"

	"telltale/record"
)

// faulty is two minutes of two counters in a calm room.
func faulty(f Faults, change func(*Setup)) *record.Trace {
	s := Setup{Person: Person{Efforts: Calm()}, Mask: Mask{Leak: Zones{Nose: 0.1}}, Fit: Zones{1, 1, 1}, Room: Room{PerCM3: 3000},
		Ambient: plain(), Inside: plain(), FreeS: 120, Faults: f}
	if change != nil {
		change(&s)
	}
	t, _ := Run(5, s)
	return t
}

func TestAGapTakesRowsAway(t *testing.T) {
	trace := faulty(Faults{Gaps: []Span{{FromS: 30, ToS: 40}}}, nil)
	if trace.Rows() != 110 || trace.TimeS[29] != 29 || trace.TimeS[30] != 40 || len(trace.Inside) != 110 {
		t.Errorf("%d rows, %v", trace.Rows(), trace.TimeS[28:32])
	}
}

func TestMissingCellsStayMissing(t *testing.T) {
	trace := faulty(Faults{Missing: []Span{{30, 40, record.Inside}}}, nil)
	if trace.Rows() != 120 || !math.IsNaN(trace.Inside[30]) || !math.IsNaN(trace.Inside[39]) || math.IsNaN(trace.Inside[40]) || math.IsNaN(trace.Ambient[30]) {
		t.Error("the wrong cells are missing")
	}
	if line := strings.Split(string(Render(trace)), "\n")[31]; !strings.HasPrefix(line, "30,") || !strings.HasSuffix(line, ",") {
		t.Errorf("row %q", line)
	}
}

func TestAStuckReadingStaysAtItsFirstValue(t *testing.T) {
	trace := faulty(Faults{Stuck: []Span{{30, 60, record.Inside}}}, nil)
	for i := 31; i < 60; i++ {
		if trace.Inside[i] != trace.Inside[30] {
			t.Fatalf("row %d moved", i)
		}
	}
	if trace.Inside[60] == trace.Inside[30] && trace.Inside[61] == trace.Inside[30] || trace.Ambient[31] == trace.Ambient[30] && trace.Ambient[32] == trace.Ambient[30] {
		t.Error("stuck outside its stretch")
	}
}

func TestALoggerRepeatsAStretch(t *testing.T) {
	clean := faulty(Faults{}, nil)
	trace := faulty(Faults{Repeated: []Span{{FromS: 20, ToS: 30}}}, nil)
	for i := 20; i < 30; i++ {
		if trace.Inside[i+10] != clean.Inside[i] || trace.Ambient[i+10] != clean.Ambient[i] {
			t.Fatalf("row %d is not that of ten seconds before", i+10)
		}
	}
	if trace.Inside[45] != clean.Inside[45] {
		t.Error("rows after it changed")
	}
}

func TestARowIsWrittenTwice(t *testing.T) {
	trace := faulty(Faults{Twice: []float64{50}}, nil)
	if trace.Rows() != 121 || trace.TimeS[50] != 50 || trace.TimeS[51] != 50 || trace.Inside[50] != trace.Inside[51] {
		t.Errorf("%d rows, %v", trace.Rows(), trace.TimeS[49:53])
	}
}

func TestACounterRestarts(t *testing.T) {
	trace := faulty(Faults{Restarts: []Restart{{AtS: 60, BlankS: 5, WarmS: 3, ClockBack: true}}}, nil)
	if !math.IsNaN(trace.Inside[60]) || !math.IsNaN(trace.Ambient[64]) || trace.Inside[65] != 0 || trace.Inside[67] != 0 || trace.Ambient[68] < 1000 {
		t.Error("not blank, then nothing, then back")
	}
	if trace.TimeS[64] != 64 || trace.TimeS[65] != 0 || trace.TimeS[70] != 5 {
		t.Errorf("clock %v", trace.TimeS[63:68])
	}
}

func TestTheEndOfTheRangeIsClippedOrSaid(t *testing.T) {
	trace := faulty(Faults{}, func(s *Setup) { s.Ambient.Top = 2500 })
	if trace.Ambient[10] != 2500 || len(trace.Overload) != 0 {
		t.Errorf("clips: %g", trace.Ambient[10])
	}
	trace = faulty(Faults{Gaps: []Span{{FromS: 0, ToS: 20}}}, func(s *Setup) { s.Ambient.Top, s.Ambient.Beyond = 2500, Says })
	if len(trace.Overload) != 100 || trace.Overload[0] != (record.Overload{Row: 0, Air: record.Ambient, Word: "OVER"}) || !math.IsNaN(trace.Ambient[0]) {
		t.Errorf("says: %d words", len(trace.Overload))
	}
	if line := strings.Split(string(Render(trace)), "\n")[1]; !strings.HasPrefix(line, "20,OVER,") {
		t.Errorf("row %q", line)
	}
}

func TestASaturatedStretchIsAtTheTop(t *testing.T) {
	trace := faulty(Faults{Saturated: []Span{{10, 20, record.Inside}}}, func(s *Setup) { s.Inside.Top = 100000 })
	if trace.Inside[10] != 100000 || trace.Inside[20] == 100000 || trace.Ambient[10] == 100000 {
		t.Error("not at the top")
	}
}

func TestASwitchedFileHasOneColumnAndItsWord(t *testing.T) {
	s := Setup{Person: Person{Efforts: Calm()}, Mask: Mask{Leak: Zones{Nose: 0.1}}, Fit: Zones{1, 1, 1}, Room: Room{PerCM3: 3000},
		Ambient: plain(), Switched: true, PurgeS: 4, Protocol: protocol(t, "us-short-filtering"), Notes: []record.Note{{Key: "data", Value: "invented"}}}
	s.Ambient.Top, s.Ambient.Beyond, s.Ambient.Resolution = 2000, Says, 0.1
	trace, _ := Run(5, s)
	lines := strings.Split(string(Render(trace)), "\n")
	if lines[0] != "# data: invented" || lines[1] != "time_s,sampling,concentration_per_cm3,exercise" || lines[2] != "0,ambient,OVER," {
		t.Errorf("%q", lines[:3])
	}
	if !strings.HasPrefix(lines[2+20], "20,purge,") || !strings.HasPrefix(lines[2+30], "30,inside,") || !strings.HasSuffix(lines[2+30], ",bending over") {
		t.Errorf("%q", lines[20:34])
	}
	s.Raw, s.Ambient.Top = true, 0
	trace, _ = Run(5, s)
	if lines = strings.Split(string(Render(trace)), "\n"); lines[1] != "time_s,sampling,count,volume_cm3,exercise" || !strings.HasPrefix(lines[2], "0,ambient,") || !strings.HasSuffix(lines[2], ",10,") {
		t.Errorf("%q", lines[:3])
	}
}

func TestSizeChannelsHaveTheirColumns(t *testing.T) {
	trace := faulty(Faults{}, func(s *Setup) { s.Room.Sizes = OpticalSizes(); s.Ambient.Channels = true })
	lines := strings.Split(string(Render(trace)), "\n")
	const want = "time_s,ambient_0.3_0.5um_per_cm3,inside_0.3_0.5um_per_cm3,ambient_0.5_1um_per_cm3,inside_0.5_1um_per_cm3,ambient_1_2.5um_per_cm3,inside_1_2.5um_per_cm3"
	if lines[0] != want {
		t.Errorf("%q", lines[0])
	}
	// 3000 per cm3 x 0.78, by hand
	if m := mean(trace.Channels[0].Ambient); math.Abs(m-2340) > 10 {
		t.Errorf("first channel %g", m)
	}
}

func TestChecksShowWhatTheyLookAt(t *testing.T) {
	c := plain()
	c.Background = 0.5
	if m := mean(Zero(1, c, 2000).Ambient); math.Abs(m-0.5) > 4*math.Sqrt(0.5/10/2000) {
		t.Errorf("zero check %g", m)
	}
	half := plain()
	half.Efficiency = 0.8
	pair := SideBySide(1, Room{PerCM3: 1000}, plain(), half, 200)
	if r := mean(pair.Inside) / mean(pair.Ambient); math.Abs(r-0.8) > 0.004 { // 4 x 0.8 sqrt(2 / 2e6)
		t.Errorf("side by side %g", r)
	}
	clamp := Clamp{Mask: Mask{Filter: 0.1}, Area: 160, Flow: 500}
	held := Holder(1, Room{PerCM3: 1000}, clamp, plain(), plain(), 200)
	if r := mean(held.Inside) / mean(held.Ambient); math.Abs(r-0.1) > 0.002 {
		t.Errorf("holder %g", r)
	}
	clamp.Mask.FlowExponent = 0.5
	clamp.Area = 40
	// 30 L/min through a fourth of the area is 120 L/min through the whole:
	// exp(ln(0.1) sqrt(85/120)) = 0.1440, by hand
	clamp.Flow = 500
	if p := clamp.Penetration(Size{Response: 1, Pass: 1}); math.Abs(p-0.1440) > 0.0002 {
		t.Errorf("clamp %g", p)
	}
}

func TestTheRoomDriftsAndSteps(t *testing.T) {
	r := Room{PerCM3: 1000, PerHour: -1, Steps: []Step{{1800, 2}}}
	for _, c := range []struct {
		law     Drift
		t, want float64
	}{{Exponential, 3600, 2 * 367.879}, {Linear, 900, 750}, {Linear, 1800, 1000}, {Linear, 7200, 0}} { // by hand
		r.Law = c.law
		if got := r.level(c.t); math.Abs(got-c.want) > 0.01 {
			t.Errorf("law %d at %g s: %g, want %g", c.law, c.t, got, c.want)
		}
	}
}

func TestACounterWithoutChannelsShowsTheSum(t *testing.T) {
	trace := faulty(Faults{}, func(s *Setup) { s.Room.Sizes = OpticalSizes() })
	// shares 0.78 + 0.17 + 0.05 = 1, by hand
	if m := mean(trace.Ambient); len(trace.Channels) != 0 || math.Abs(m-3000) > 4*math.Sqrt(3000.0/10/120) {
		t.Errorf("%d channels, mean %g", len(trace.Channels), m)
	}
}

func TestALoggersClockJitters(t *testing.T) {
	trace := faulty(Faults{}, func(s *Setup) { s.Ambient.Jitter = 0.05 })
	sum := 0.0
	for i, v := range trace.TimeS {
		if i > 0 && v <= trace.TimeS[i-1] {
			t.Fatalf("time stands still at row %d", i)
		}
		sum += (v - float64(i)) * (v - float64(i))
	}
	// 119 rows jitter: the standard deviation is known to 1/sqrt(238) = 6.5 %
	if sd := math.Sqrt(sum / 119); math.Abs(sd/0.05-1) > 0.25 {
		t.Errorf("standard deviation %.4f s", sd)
	}
}

func TestOneCountersFailingLeavesTheOtherCounterAlone(t *testing.T) {
	clean := faulty(Faults{}, nil)
	worse := faulty(Faults{}, func(s *Setup) { s.Inside.Background = 5 })
	for i := range clean.Ambient {
		if clean.Ambient[i] != worse.Ambient[i] {
			t.Fatalf("row %d of the room changed with the other counter", i)
		}
	}
}
