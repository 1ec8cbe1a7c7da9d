package fitfactor

import (
	"math"
	"testing"

	"telltale/quantity"
	"telltale/record"
	"telltale/uncertainty"
)

// A line with a mixing time constant of 2 s after a change from 3000 to 30 per
// cm3: without trimming the first 40 s would read 3000 x 2 s / 40 s = 150 more.
func TestTheWashoutOfASwitchedLineIsTrimmed(t *testing.T) {
	for name, c := range map[string]Counter{"seen in the readings": {Flow: 1.67}, "stated": {Flow: 1.67, Transit: 1, Washout: 2}} {
		tr := build(piece{"", 30, record.Ambient, 3000, 0}, piece{"", 60, record.Inside, 0, 30}, piece{"", 30, record.Ambient, 3000, 0})
		for i := range 60 {
			tr.Inside[30+i] += 2970 * math.Exp(-float64(i)/2)
		}
		for i := range 30 {
			tr.Ambient[90+i] -= 2970 * math.Exp(-float64(i)/2)
		}
		r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: c, Inside: c})
		if err != nil {
			t.Fatal(err)
		}
		if v := r.FitFactor.Value; math.Abs(v-100) > 1 {
			t.Errorf("%s: %v, want 100", name, v)
		}
		if len(r.Trimmed) != 2 || r.Trimmed[0].StartS != 30 || r.Trimmed[1].StartS != 90 || r.Trimmed[0].EndS < 36 {
			t.Errorf("%s: trimmed %v", name, r.Trimmed)
		}
	}
}

func TestASteadyLineLosesNoReading(t *testing.T) {
	tr := build(piece{"", 30, record.Ambient, 3000, 0}, piece{"", 60, record.Inside, 0, 30}, piece{"", 30, record.Ambient, 2800, 0})
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench})
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "counts", r.InsideCounts, 30*1.67*60, 1e-12)
}

func TestPurgeIsNeverUsed(t *testing.T) {
	tr := build(piece{"", 30, record.Ambient, 3000, 0}, piece{"", 10, record.Purge, 0, 0}, piece{"", 60, record.Inside, 0, 30},
		piece{"", 10, record.Purge, 0, 0}, piece{"", 30, record.Ambient, 3000, 0})
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench})
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "fit factor", r.FitFactor.Value, 100, 1e-12)
}

func TestAZeroCheckIsSubtracted(t *testing.T) {
	tr := build(piece{"", 60, record.Both, 3000, 40})
	zero := build(piece{"", 60, record.Inside, 0, 10})
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench, ZeroAmbient: zero, ZeroInside: zero})
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "fit factor", r.FitFactor.Value, 2990.0/30, 1e-12)
	// 40 x 100.2 counts less 10 x 100.2: sd sqrt(4008 + 1002) of 3006 is 2.35 %
	closeTo(t, "width", math.Log(r.FitFactor.High/r.FitFactor.Low), 2*1.96*0.0235, 0.06)
}

func TestAnInsideBelowItsBackgroundIsABoundNotAZero(t *testing.T) {
	tr := build(piece{"", 60, record.Both, 3000, 9})
	zero := build(piece{"", 60, record.Inside, 0, 10})
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench, ZeroAmbient: zero, ZeroInside: zero})
	if err != nil {
		t.Fatal(err)
	}
	if r.FitFactor.Kind != uncertainty.AtLeast || !(r.FitFactor.Low > 100) {
		t.Errorf("%+v", r.FitFactor)
	}
}

func TestTwoCountersArePairedOnTheSameAir(t *testing.T) {
	side := build(piece{"", 120, record.Both, 5000, 4000}) // the inside counter reads 0.8
	p, ok := Pair(side, Settings{Ambient: bench, Inside: bench})
	if !ok {
		t.Fatal("no pairing")
	}
	closeTo(t, "factor", p.Factor, 0.8, 1e-12)
	// counting: 5000 x 200.4 and 4000 x 200.4 particles
	closeTo(t, "uncertainty", p.U, math.Sqrt(1/(5000*200.4)+1/(4000*200.4)), 1e-6)
	tr := build(piece{"", 60, record.Both, 3000, 24})
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench, Pairing: &p})
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "fit factor", r.FitFactor.Value, 100, 1e-12)
	labelled := build(piece{"Side by side", 120, record.Both, 5000, 4000}, piece{"work", 60, record.Both, 3000, 24})
	if r, err = Of(labelled, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench}); err != nil {
		t.Fatal(err)
	}
	closeTo(t, "with a labelled stretch", r.FitFactor.Value, 100, 1e-12)
	if len(r.Exercises) != 1 {
		t.Errorf("%d exercises", len(r.Exercises))
	}
}

func TestAnUncertainPairingWidensTheInterval(t *testing.T) {
	tr := build(piece{"", 600, record.Both, 30000, 3000})
	u := Unpaired()
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench, Pairing: &u})
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "width", math.Log(r.FitFactor.High/r.FitFactor.Low), 2*1.96*0.10, 0.03)
}

func TestWithoutAFlowTheIntervalIsEmpiricalAndSaysSo(t *testing.T) {
	tr := build(piece{"", 60, record.Both, 3000, 30})
	for i := range tr.Inside {
		tr.Inside[i] += 3 * math.Sin(float64(i)*2.1)
	}
	r, err := Of(tr, Settings{Protocol: protocol("free")})
	if err != nil {
		t.Fatal(err)
	}
	if r.FitFactor.Kind != uncertainty.Interval || !math.IsNaN(r.InsideCounts) || len(r.FitFactor.Assumption) < 9 || r.FitFactor.Assumption[:9] != "empirical" {
		t.Errorf("%+v, counts %v", r.FitFactor, r.InsideCounts)
	}
	flat, err := Of(build(piece{"", 60, record.Both, 3000, 30}), Settings{Protocol: protocol("free")})
	if err != nil {
		t.Fatal(err)
	}
	if flat.FitFactor.Kind != uncertainty.Unknown || !math.IsNaN(flat.FitFactor.Low) {
		t.Errorf("readings that do not vary gave %+v", flat.FitFactor)
	}
}

func TestMissingCellsAndGapsAreCounted(t *testing.T) {
	tr := build(piece{"a", 100, record.Both, 3000, 30})
	for i := 40; i < 50; i++ {
		tr.Inside[i] = math.NaN()
	}
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench})
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "coverage", r.Signs.Coverage, 0.9, 1e-9)
	if r.Signs.Gaps != 1 || r.Signs.LongestGapS != 10 {
		t.Errorf("%d gaps, longest %v s", r.Signs.Gaps, r.Signs.LongestGapS)
	}
}

func TestSizeChannelsAreKeptApart(t *testing.T) {
	tr := build(piece{"", 60, record.Both, 0, 0})
	channel := func(lo, hi, a, i float64) record.Channel {
		c := record.Channel{Low: quantity.Diameter(lo), High: quantity.Diameter(hi)}
		for range tr.TimeS {
			c.Ambient, c.Inside = append(c.Ambient, a), append(c.Inside, i)
		}
		return c
	}
	for i := range tr.Ambient {
		tr.Ambient[i], tr.Inside[i] = math.NaN(), math.NaN()
	}
	tr.Channels = []record.Channel{channel(0.3, 0.5, 200, 20), channel(0.5, 1, 100, 1), channel(1, 0, 50, 1)}
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{10, 100, 50} {
		closeTo(t, "channel", r.Channels[i].FitFactor.Value, want, 1e-12)
	}
	closeTo(t, "sum", r.FitFactor.Value, 350.0/22, 1e-12)
}
