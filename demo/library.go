package demo

import (
	"fmt"
	"time"

	"telltale/quantity"
	"telltale/record"
	"telltale/simulate"
)

// Library is the demo study: five donated respirators and a known good one, two
// wearers, three Saturdays of which the second is a bad one for a counter.
func Library() simulate.Scenario {
	sc := simulate.Scenario{
		Name:     "library",
		About:    "a lending library's donated masks: a ladder of repairs, a weak filter under a label at odds with itself, an honest cheap one, ear loops that leak, one with nothing to count, and a bad day",
		Title:    "Lending library: donated masks before the smoke season",
		People:   people(),
		Counters: counters(),
		Sessions: sessions(),
		Models:   models(),
	}
	firstDay(&sc)
	badDay(&sc)
	thirdDay(&sc)
	checks(&sc)
	return sc
}

func people() []simulate.Person {
	one, two := simulate.Tester("w1"), simulate.Tester("w2")
	two.FaceLength, two.FaceWidth, two.Seal = 106, 128, 1.3
	return []simulate.Person{one, two}
}

// counters are two condensation counters of one kind, the second of which sees a
// little less, and a small optical one with a switched line.
func counters() []simulate.Instrument {
	room, mask, optical := simulate.Bench(), simulate.Bench(), simulate.Optics()
	mask.Efficiency = 0.96
	optical.Flow, optical.Background = 5, 0
	return []simulate.Instrument{{ID: "c1", Counter: room}, {ID: "c2", Counter: mask}, {ID: "o1", Counter: optical}}
}

func sessions() []simulate.Session {
	zone := time.FixedZone("", 2*60*60)
	room := func(level, perHour float64) simulate.Room {
		return simulate.Room{PerCM3: level, PerHour: perHour, WanderGSD: 1.06, WanderS: 200}
	}
	optical := room(32, -0.05)
	optical.Sizes = simulate.OpticalSizes()
	off := counters()[1]
	off.Background = 70 // a wet wick: it counts its own droplets
	return []simulate.Session{
		{ID: "d1", At: time.Date(2026, time.May, 9, 10, 0, 0, 0, zone), Room: room(5200, -0.08)},
		{ID: "d2", At: time.Date(2026, time.May, 16, 10, 0, 0, 0, zone), Room: room(4600, -0.1), Off: []simulate.Instrument{off}},
		{ID: "d3", At: time.Date(2026, time.May, 23, 9, 0, 0, 0, zone), Room: room(6100, -0.06), Optical: optical},
	}
}

// The respirators. Filters are penetrations at 85 L/min as a condensation counter
// would see them.
func models() []simulate.Model {
	test := func(id, name, claim, paper string, m simulate.Mask) simulate.Model {
		return simulate.Model{Respirator: record.Respirator{ID: id, Name: name, Claim: claim, Role: record.Test, Obtained: "donated"}, Paper: paper, Mask: m}
	}
	return []simulate.Model{
		test("fold", "Cobblemere Fold", "FFP2", foldPaper,
			simulate.Mask{Filter: 0.012, FlowExponent: 0.35, Leak: simulate.Zones{Nose: 0.022, Cheeks: 0.004, Chin: 0.002}, DeadSpaceL: 0.08}),
		test("wren", "Pelquist Wren", "FFP2", wrenPaper,
			simulate.Mask{Filter: 0.42, FlowExponent: 0.25, Leak: simulate.Zones{Nose: 0.006, Cheeks: 0.003, Chin: 0.002}, DeadSpaceL: 0.08}),
		test("plain", "Yarnfold Plain", "FFP2", plainPaper,
			simulate.Mask{Filter: 0.008, FlowExponent: 0.4, Leak: simulate.Zones{Nose: 0.0015, Cheeks: 0.0007, Chin: 0.0004}, DeadSpaceL: 0.12}),
		test("loop", "Brindlewick Loop", "KN95", loopPaper,
			simulate.Mask{Filter: 0.01, FlowExponent: 0.35, Leak: simulate.Zones{Nose: 0.05, Cheeks: 0.07, Chin: 0.03}, DeadSpaceL: 0.1}),
		test("dome", "Halmerith Dome", "FFP3", domePaper,
			simulate.Mask{Filter: 1e-7, Leak: simulate.Zones{Nose: 3e-7, Cheeks: 2e-7, Chin: 1e-7}, DeadSpaceL: 0.2}),
		{Respirator: record.Respirator{ID: "ref", Name: "Sorrelby half mask with particle filters", Claim: "P3", Role: record.Reference,
			Obtained: "the library's own", Expected: record.Range{Low: 180, High: 700}},
			Mask: simulate.Mask{Filter: 0.0004, FlowExponent: 0.35, Leak: simulate.Zones{Nose: 0.0012, Cheeks: 0.0005, Chin: 0.0003}}},
	}
}

// ladder is climbed without taking the mask off.
var ladder = [][]simulate.Repair{
	nil,
	{simulate.NoseStrip},
	{simulate.NoseStrip, simulate.TapeNose},
	{simulate.NoseStrip, simulate.TapeAll},
	{simulate.NoseStrip, simulate.TapeAll, simulate.Brace},
}

// add appends a wearing with the two condensation counters and the eight
// exercises; what is filled in already stays.
func add(sc *simulate.Scenario, day, respirator, wearer string, w simulate.Wearing) {
	n := 1
	for _, have := range sc.Wearings {
		if have.Respirator == respirator {
			n++
		}
	}
	w.ID, w.Session, w.Respirator, w.Wearer = fmt.Sprintf("%s-%d", respirator, n), day, respirator, wearer
	if w.Specimen == "" {
		w.Specimen = "a"
	}
	if w.Ambient == "" {
		w.Ambient, w.Inside = "c1", "c2"
	}
	if w.Protocol == "" {
		w.Protocol = "us-8"
	}
	sc.Wearings = append(sc.Wearings, w)
}

// times appends wearings that are alike, each a donning of its own.
func times(n int, sc *simulate.Scenario, day, respirator, wearer string, w simulate.Wearing) {
	for range n {
		add(sc, day, respirator, wearer, w)
	}
}

func climb(sc *simulate.Scenario, day, donning string) {
	for i, repairs := range ladder {
		w := simulate.Wearing{Donning: donning, Repairs: repairs}
		if i == 0 {
			w.Observed = []string{"felt_leak:nose"}
		}
		add(sc, day, "fold", "w1", w)
	}
}

func firstDay(sc *simulate.Scenario) {
	add(sc, "d1", "ref", "w1", simulate.Wearing{})
	climb(sc, "d1", "fold-d1")
	climb(sc, "d1", "fold-d2")
	times(2, sc, "d1", "wren", "w1", simulate.Wearing{})
	times(2, sc, "d1", "plain", "w1", simulate.Wearing{Observed: []string{"collapse_on_inhalation"}})
}

func badDay(sc *simulate.Scenario) {
	add(sc, "d2", "ref", "w1", simulate.Wearing{})
	times(2, sc, "d2", "plain", "w2", simulate.Wearing{Protocol: "us-short-filtering", Instants: true})
	times(2, sc, "d2", "loop", "w1", simulate.Wearing{Protocol: "us-short-filtering"})
}

func thirdDay(sc *simulate.Scenario) {
	short := simulate.Wearing{Protocol: "us-short-filtering"}
	optical := simulate.Wearing{Protocol: "us-short-filtering", Ambient: "o1", Inside: "o1", PurgeS: 8}
	add(sc, "d3", "ref", "w1", simulate.Wearing{})
	climb(sc, "d3", "fold-d3")
	add(sc, "d3", "wren", "w1", simulate.Wearing{})
	taped := simulate.Wearing{Repairs: []simulate.Repair{simulate.TapeAll}}
	times(2, sc, "d3", "wren", "w1", taped)
	add(sc, "d3", "plain", "w1", simulate.Wearing{Specimen: "b", Raw: true})
	times(2, sc, "d3", "plain", "w2", short)
	times(2, sc, "d3", "loop", "w1", short)
	slipped := short
	slipped.Excluded = "a loop slipped off the ear while bending over, and the wearer put a hand to the mask"
	add(sc, "d3", "loop", "w1", slipped)
	clip := short
	clip.Repairs = []simulate.Repair{simulate.StrapClip}
	times(2, sc, "d3", "loop", "w1", clip)
	taped.Ambient, taped.Inside, taped.PurgeS, taped.Protocol = optical.Ambient, optical.Inside, optical.PurgeS, optical.Protocol
	times(2, sc, "d3", "wren", "w1", taped)
	times(3, sc, "d3", "dome", "w1", optical)
}

// checks are done before each session; the filter of the Wren is clamped after
// the third.
func checks(sc *simulate.Scenario) {
	for i, day := range []string{"d1", "d2", "d3"} {
		sc.Checks = append(sc.Checks,
			simulate.Check{Kind: record.SideBySide, Session: day, Counters: []string{"c1", "c2"}, Seconds: 180},
			simulate.Check{Kind: record.Room, Session: day, Counters: []string{"c1"}},
			simulate.Check{Kind: record.Zero, Session: day, Counters: []string{"c2"}},
			simulate.Check{Kind: record.Zero, Session: day, Counters: []string{"c1"}},
			simulate.Check{Kind: record.ReferenceRun, Wearing: fmt.Sprintf("ref-%d", i+1)})
	}
	sc.Checks = append(sc.Checks, simulate.Check{Kind: record.Zero, Session: "d3", Counters: []string{"o1"}})
	sc.Holders = []simulate.HolderRun{
		{ID: "wren-h1", Session: "d3", Respirator: "wren", Specimen: "b", Counter: "c1", Area: 100, Flow: quantity.LitresPerMinute(20)},
		{ID: "wren-h2", Session: "d3", Respirator: "wren", Specimen: "b", Counter: "c1", Area: 100, Flow: quantity.LitresPerMinute(50)},
	}
}
