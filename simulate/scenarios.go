package simulate

import (
	"fmt"
	"time"

	"telltale/record"
)

// Scenarios lists the practice scenarios, in the order of a lesson: from clear
// answers to bad days. All makers, models and figures are invented.
func Scenarios() []Scenario {
	return []Scenario{
		leakyNose(), weakFilter(), bothPoor(), bothGood(), repairHarms(), twoWearings(),
		zeroCounts(), cappedCounter(), badDay(), driftingRoom(), gapsAndStuck(), sizeChannels(),
	}
}

// ScenarioByName finds a practice scenario.
func ScenarioByName(name string) (Scenario, bool) {
	for _, s := range Scenarios() {
		if s.Name == name {
			return s, true
		}
	}
	return Scenario{}, false
}

// The media of the scenarios, as penetrations at 85 L/min. In use, at breathing
// flows, they let through less: about a third to a half.
var (
	good  = Mask{Filter: 0.004, FlowExponent: 0.35, Leak: Zones{0.0015, 0.0006, 0.0004}}
	weak  = Mask{Filter: 0.22, FlowExponent: 0.3, Leak: Zones{0.0015, 0.0006, 0.0004}}
	known = Mask{Filter: 0.0004, FlowExponent: 0.35, Leak: Zones{0.0012, 0.0005, 0.0003}}
)

// Bench is the condensation counter of the scenarios: an invented instrument of
// a usual kind.
func Bench() Counter {
	return Counter{Kind: record.Condensation, Flow: 1.67, Smallest: 0.02, DeadTime: 4e-7, Background: 0.002,
		Transit: 1, Washout: 0.5, Top: 100000, Resolution: 0.1, Period: 1}
}

// Optics is the optical counter of the scenarios.
func Optics() Counter {
	return Counter{Kind: record.Optical, Flow: 47, Smallest: 0.3, Background: 0.0005, Transit: 1, Washout: 0.5,
		Top: 2000, Resolution: 0.01, Period: 1}
}

// Tester is the wearer of the scenarios.
func Tester(id string) Person {
	return Person{ID: id, FaceLength: 118, FaceWidth: 139, FacialHair: "none", Efforts: Efforts(), Retention: 0.2, ScatterGSD: 1.35}
}

// rung is one step of a repair ladder.
type rung struct {
	word    string
	times   int
	repairs []Repair
}

var ladder = []rung{{"worn", 3, nil}, {"strip", 3, []Repair{NoseStrip}}, {"nose", 3, []Repair{TapeNose}}, {"all", 3, []Repair{TapeAll}}}

// evening is one session of one respirator: a reference run first, then the
// rungs, with zero, room and side-by-side checks before.
func evening(name, about string, m Mask, rungs []rung) Scenario {
	first, second := Bench(), Bench()
	second.Efficiency = 0.97
	at := time.Date(2026, time.March, 14, 18, 0, 0, 0, time.FixedZone("", 3600))
	sc := Scenario{Name: name, About: about, Title: "Practice: " + name,
		People:   []Person{Tester("w1")},
		Counters: []Instrument{{"c1", first}, {"c2", second}},
		Sessions: []Session{{ID: "s1", At: at, Room: Room{PerCM3: 4200, PerHour: -0.15, WanderGSD: 1.05, WanderS: 200}}},
		Models: []Model{
			{Respirator: record.Respirator{ID: "m1", Name: "Thimbrock Fold", Claim: "FFP2", Role: record.Test, Obtained: "bought"}, Mask: m},
			{Respirator: record.Respirator{ID: "ref", Name: "Sorrelby half mask with class 3 filters", Claim: "P3", Role: record.Reference,
				Obtained: "own", Expected: record.Range{Low: 180, High: 700}}, Mask: known},
		},
		Checks: []Check{
			{Kind: record.Zero, Session: "s1", Counters: []string{"c1"}}, {Kind: record.Zero, Session: "s1", Counters: []string{"c2"}},
			{Kind: record.Room, Session: "s1", Counters: []string{"c1"}},
			{Kind: record.SideBySide, Session: "s1", Counters: []string{"c1", "c2"}, Seconds: 120},
			{Kind: record.ReferenceRun, Wearing: "ref-1"},
		},
	}
	sc.wear("ref", rung{"", 1, nil})
	for _, r := range rungs {
		sc.wear("m1", r)
	}
	return sc
}

// wear adds the wearings of one rung, each a donning of its own.
func (sc *Scenario) wear(respirator string, r rung) {
	for i := range r.times {
		id := fmt.Sprintf("%s-%d", respirator, i+1)
		if r.word != "" {
			id = fmt.Sprintf("%s-%s-%d", respirator, r.word, i+1)
		}
		sc.Wearings = append(sc.Wearings, Wearing{ID: id, Session: "s1", Respirator: respirator, Specimen: "a", Wearer: "w1",
			Ambient: "c1", Inside: "c2", Repairs: r.repairs, Protocol: "us-8"})
	}
}

func leakyNose() Scenario {
	m := good
	m.Leak = Zones{0.03, 0.002, 0.001}
	return evening("leaky-nose-good-filter", "the filter is good, the nose leaks, tape on the nose cures it", m, ladder)
}

func weakFilter() Scenario {
	return evening("good-seal-weak-filter", "the seal is good, the filter is far too weak, no repair helps", weak, ladder)
}

func bothPoor() Scenario {
	m := weak
	m.Leak = Zones{0.04, 0.03, 0.02}
	return evening("both", "leaks all round and a weak filter: tape helps as far as the filter", m, ladder)
}

func bothGood() Scenario {
	m := good
	m.Filter = 0.001
	return evening("neither", "good seal and good filter", m, ladder)
}

func repairHarms() Scenario {
	m := good
	m.Leak = Zones{0.006, 0.002, 0.001}
	stiff := Repair{record.Repair{Word: "nose_strip"}, Zones{4, 1.2, 1}} // lifts the cup off the cheeks
	return evening("repair-that-harms", "the nose strip is too stiff for this face and opens the nose", m,
		[]rung{ladder[0], {"strip", 3, []Repair{stiff}}, ladder[3]})
}

func twoWearings() Scenario {
	m := good
	m.Leak = Zones{0.008, 0.003, 0.002}
	return evening("two-wearings-only", "too few wearings for a statement", m, []rung{{"worn", 2, nil}})
}

func zeroCounts() Scenario {
	m := Mask{Filter: 1e-9, Leak: Zones{1e-9, 1e-9, 1e-9}}
	sc := evening("zero-counts", "nothing is counted inside: only a bound can be given", m, []rung{{"worn", 3, nil}})
	for i := range sc.Counters {
		sc.Counters[i].Background = 0
	}
	sc.Sessions[0].Room.PerCM3 = 900
	return sc
}

func cappedCounter() Scenario {
	m := good
	m.Leak = Zones{0.008, 0.003, 0.002}
	sc := evening("capped-counter", "the room is beyond the counter's range: clipped in some files, the word OVER in others", m, []rung{{"worn", 2, nil}, {"strip", 2, []Repair{NoseStrip}}})
	says := Bench()
	says.Beyond = Says
	sc.Counters = append(sc.Counters, Instrument{"c3", says})
	sc.Sessions[0].Room.PerCM3 = 118000
	for i := range sc.Wearings {
		if i%2 == 1 {
			sc.Wearings[i].Ambient = "c3"
		}
	}
	return sc
}

func badDay() Scenario {
	m := good
	m.Leak = Zones{0.008, 0.003, 0.002}
	sc := evening("bad-day", "the inside counter counts what is not there: zero check high, reference far too low", m, []rung{{"worn", 3, nil}})
	off := sc.Counters[1].Counter
	off.Background = 60
	sc.Sessions[0].Off = []Instrument{{"c2", off}}
	return sc
}

func driftingRoom() Scenario {
	m := good
	m.Leak = Zones{0.008, 0.003, 0.002}
	sc := evening("drifting-room", "one switched counter in a room that falls, wanders and jumps when the door opens", m, []rung{{"worn", 3, nil}, {"nose", 3, []Repair{TapeNose}}})
	sc.Sessions[0].Room = Room{PerCM3: 14000, PerHour: -1.2, WanderGSD: 1.15, WanderS: 240, Steps: []Step{{4800, 1.8}}}
	for i := range sc.Wearings {
		sc.Wearings[i].Inside, sc.Wearings[i].PurgeS = "c1", 10
	}
	return sc
}

func gapsAndStuck() Scenario {
	m := good
	m.Leak = Zones{0.008, 0.003, 0.002}
	sc := evening("gaps-and-stuck", "each file has one fault of recording", m, []rung{{"worn", 7, nil}})
	in := record.Inside
	for i, f := range []Faults{
		{Gaps: []Span{{130, 165, record.NoAir}}},
		{Missing: []Span{{70, 90, in}}},
		{Stuck: []Span{{200, 260, in}}},
		{Saturated: []Span{{310, 318, in}}},
		{Repeated: []Span{{60, 90, record.NoAir}}},
		{Twice: []float64{100}},
		{Restarts: []Restart{{AtS: 150, BlankS: 6, WarmS: 4, Air: in}}},
	} {
		sc.Wearings[i+1].Faults = f
	}
	return sc
}

func sizeChannels() Scenario {
	m := good
	m.Leak = Zones{0.008, 0.003, 0.002}
	sc := evening("size-channels", "two optical counters with size channels", m, []rung{{"worn", 3, nil}, {"all", 3, []Repair{TapeAll}}})
	for i := range sc.Counters {
		sc.Counters[i].Counter = Optics()
		sc.Counters[i].Channels = true
	}
	sc.Sessions[0].Optical = Room{PerCM3: 60, PerHour: -0.1, WanderGSD: 1.05, WanderS: 200, Sizes: OpticalSizes()}
	return sc
}
