package control

import (
	"math"
	"strings"
	"testing"

	"telltale/fitfactor"
	"telltale/record"
	"telltale/uncertainty"
)

func figure(v float64) uncertainty.Estimate {
	return uncertainty.New(v, v*0.9, v*1.1, 0.95, "")
}

// The usual range 180 to 360 is this test's own.
func TestTheReferenceGate(t *testing.T) {
	usual := record.Range{Low: 180, High: 360}
	for _, c := range []struct {
		name  string
		worn  []uncertainty.Estimate
		usual record.Range
		want  State
	}{
		{"within", []uncertainty.Estimate{figure(250)}, usual, InOrder},
		{"at the edge", []uncertainty.Estimate{figure(180)}, usual, InOrder},
		{"below", []uncertainty.Estimate{figure(41)}, usual, Open},
		{"above", []uncertainty.Estimate{figure(900)}, usual, Open},
		{"one of two below", []uncertainty.Estimate{figure(250), figure(41)}, usual, Open},
		{"at least, within reach", []uncertainty.Estimate{uncertainty.NewAtLeast(200, 0.95, "")}, usual, InOrder},
		{"at least, beyond", []uncertainty.Estimate{uncertainty.NewAtLeast(500, 0.95, "")}, usual, Open},
		{"at most, below", []uncertainty.Estimate{uncertainty.NewAtMost(100, 0.95, "")}, usual, Open},
		{"unknown", []uncertainty.Estimate{uncertainty.NewUnknown(0.95, "")}, usual, Open},
		{"not worn", nil, usual, NotExamined},
		{"no range", []uncertainty.Estimate{figure(250)}, record.Range{}, NotExamined},
	} {
		g := Reference(c.worn, c.usual)
		if g.State != c.want {
			t.Errorf("%s: %s (%s)", c.name, g.State, g.Text)
		}
		if blocks := g.Blocks == Decision; blocks != (c.want != InOrder) {
			t.Errorf("%s: blocks %s", c.name, g.Blocks)
		}
	}
}

// A room of 3000 per cm3 and a limit of 100: a mask at the limit lets in 30 per
// cm3, a tenth of that is 3 (by hand).
func TestTheZeroGateAllowsATenthOfWhatTheLimitLetsIn(t *testing.T) {
	for _, c := range []struct {
		upper float64
		want  State
	}{{0.1, InOrder}, {2.9, InOrder}, {3.1, Open}, {70, Open}} {
		g := Zero("c1", &fitfactor.Background{PerCM3: c.upper / 2, Upper: c.upper}, 3000, 100)
		if g.State != c.want {
			t.Errorf("upper %v: %s", c.upper, g.State)
		}
	}
	g := Zero("c1", nil, 3000, 100)
	if g.State != NotExamined || g.Blocks != Failing {
		t.Errorf("without a check: %+v", g)
	}
	if _, held := Holding([]Gate{g}, false); held {
		t.Error("a missing zero check keeps a pass back")
	}
	if _, held := Holding([]Gate{g}, true); !held {
		t.Error("a missing zero check lets a fail through")
	}
}

func TestEachSignOfAWearingHasItsGate(t *testing.T) {
	good := fitfactor.Signs{Counters: 2, Coverage: 1, AmbientMean: 4000}
	result := func(change func(*fitfactor.Signs)) *fitfactor.Result {
		s := good
		change(&s)
		return &fitfactor.Result{Signs: s, InsideCounts: math.NaN()}
	}
	for _, c := range []struct {
		gate   string
		change func(*fitfactor.Signs)
		blocks Blocks
	}{
		{"coverage", func(s *fitfactor.Signs) { s.Coverage = 0.94 }, Decision},
		{"gaps", func(s *fitfactor.Signs) { s.Gaps, s.LongestGapS = 1, 8 }, Decision},
		{"saturation", func(s *fitfactor.Signs) { s.AmbientCapped = 3 }, Nothing},
		{"stuck readings", func(s *fitfactor.Signs) { s.StuckS, s.StuckAir = 31, record.Inside }, Decision},
		{"room drift", func(s *fitfactor.Signs) { s.Counters, s.LargestDrift = 1, 0.6 }, Decision},
		{"direction", func(s *fitfactor.Signs) { s.InsideAboveAmbient = true }, Decision},
	} {
		for _, g := range Wearing(result(c.change), 100) {
			if want := g.Name == c.gate; (g.State == Open) != want {
				t.Errorf("%s: gate %s is %s (%s)", c.gate, g.Name, g.State, g.Text)
			} else if want && g.Blocks != c.blocks {
				t.Errorf("%s blocks %s", c.gate, g.Blocks)
			}
		}
	}
	for _, g := range Wearing(result(func(s *fitfactor.Signs) { s.LargestDrift = 0.6 }), 100) {
		if g.State != InOrder {
			t.Errorf("a room measured all along: %s is %s", g.Name, g.State)
		}
	}
}

// 4000 in the room at the limit 1000 lets in 4 per cm3: in 60 s at 1.67 cm3/s 401
// counts; in a room a hundred times cleaner 4, which are too few (by hand).
func TestACleanRoomOpensTheRoomLevel(t *testing.T) {
	for room, want := range map[float64]State{4000: InOrder, 40: Open} {
		inside := room / 500
		r := &fitfactor.Result{InsideCounts: inside * 100.2, Signs: fitfactor.Signs{Coverage: 1, AmbientMean: room},
			Exercises: []fitfactor.Exercise{{Counted: true, Ambient: room, Inside: inside, InsideCounts: inside * 100.2}}}
		for _, g := range Wearing(r, 1000) {
			if g.Name == "room level" && g.State != want {
				t.Errorf("room %v: %s (%s)", room, g.State, g.Text)
			}
		}
	}
}

func TestCountersNeverComparedAreSaidToBe(t *testing.T) {
	if g := Paired(nil); g.State != NotExamined || g.Blocks != Nothing || !strings.Contains(g.Text, "10 %") {
		t.Errorf("%+v", g)
	}
	if g := Paired(&fitfactor.Pairing{Factor: 2.5}); g.State != Open || !g.Distrust {
		t.Errorf("%+v", g)
	}
}
