// Package simulate answers: what would a counter show, if the truth were this?
//
// A virtual person breathes through a virtual respirator in a virtual room, and
// virtual counters with their known failings look on. The truth is known and
// handed over apart, so that every estimator can be judged against it. It
// assumes a well-mixed room, a well-mixed space inside the mask, a leak that
// wanders log-normally about its mean, and counts that are Poisson about their
// expectation. It refuses nothing it is asked: a truth that is absurd gives an
// absurd trace.
//
// All is pure: the same seed and set-up give the same trace, byte for byte.
package simulate

import (
	"math"
	"math/rand/v2"
	"slices"

	"telltale/record"
	"telltale/reference"
)

// Setup is everything there is to know about one run on a face.
type Setup struct {
	Person  Person
	Mask    Mask
	Repairs []Repair
	Fit     Zones // multipliers of the leaks in this donning; zero = drawn from the seed by Person.ScatterGSD
	Room    Room

	Ambient Counter // the counter on the room, and the only one of a switched line
	Inside  Counter // the counter on the mask; not looked at with a switched line

	Switched  bool    // one counter, its line switched between room and mask
	PurgeS    float64 // seconds after each switch that the file calls purge
	LabelRoom bool    // ambient and purge rows bear the exercise too
	Raw       bool    // counts and volumes instead of concentrations

	Protocol reference.Protocol
	FreeS    float64 // seconds of a run without exercises (protocol free); 0 = 300

	Faults Faults
	Notes  []record.Note // "# key: value" lines of the file
}

// subStep is about the longest step of the model in seconds; a row is cut into
// equal steps no longer than this.
const subStep = 0.1

// The random streams of a run. Each process has its own, so that another counter
// or a fault leaves the room and the leaks as they were.
const (
	streamFit uint64 = iota + 1
	streamLeak
	streamRoom
	streamAmbient
	streamInside
	streamJitter
	streamBreath
)

func stream(seed, id uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, id)) }

// Run makes the trace that the set-up would leave behind, and the truth of it.
// Purge rows hold no reading, since they belong to no air. It panics when a
// counter has no flow or no period, since no count could be drawn.
func Run(seed uint64, s Setup) (*record.Trace, Truth) {
	t, truth := run(seed, s)
	rinse(t)
	return t, truth
}

// rinse takes the readings out of purge rows, as a reader of the file does.
func rinse(t *record.Trace) {
	for i, a := range t.Sampling {
		if a != record.Purge {
			continue
		}
		t.Ambient[i], t.Inside[i] = math.NaN(), math.NaN()
		for _, c := range t.Channels {
			c.Ambient[i], c.Inside[i] = math.NaN(), math.NaN()
		}
	}
	t.Overload = slices.DeleteFunc(t.Overload, func(o record.Overload) bool { return t.Sampling[o.Row] == record.Purge })
}

// run is Run with what the counter showed during purges.
func run(seed uint64, s Setup) (*record.Trace, Truth) {
	if s.Fit == (Zones{}) {
		s.Fit = Don(seed, s.Person.ScatterGSD)
	}
	leaks := s.leaks()
	steps := plan(s)
	face := newFace(s.Mask, s.Person, s.Room.bins())
	face.phase = stream(seed, streamBreath).Float64()
	wander := wanderer{rng: stream(seed, streamLeak)}
	inside := func(t, dt, room float64, out []float64) {
		e := s.Person.effort(at(steps, t).exercise)
		leak := leaks.Sum() * e.Leak * wander.next(dt, e.LeakGSD, e.LeakS)
		face.step(dt, e, leak, room)
		copy(out, face.air)
	}
	b := bench{seed: seed, room: s.Room, inside: inside, steps: steps, switched: s.Switched, raw: s.Raw,
		labelled: len(s.Protocol.Exercises) > 0, ambientCounter: s.Ambient, insideCounter: s.Inside}
	t := b.run()
	t.Notes = append(t.Notes, s.Notes...)
	s.Faults.apply(t, s.Ambient, s.Inside)
	return t, s.truth(leaks)
}

// leaks are the mean leak shares of this donning with these repairs, before an
// exercise moves them.
func (s Setup) leaks() Zones {
	z := s.Mask.Leak.times(s.Fit)
	for _, r := range s.Repairs {
		z = z.times(r.Leak)
	}
	if s.Person.Seal > 0 {
		z = z.times(Zones{s.Person.Seal, s.Person.Seal, s.Person.Seal})
	}
	return z
}

// Don draws the multipliers of one putting-on: log-normal with median 1 and the
// geometric standard deviation gsd, zone by zone.
func Don(seed uint64, gsd float64) Zones {
	rng := stream(seed, streamFit)
	sigma := math.Log(max(gsd, 1))
	draw := func() float64 { return math.Exp(sigma * rng.NormFloat64()) }
	return Zones{draw(), draw(), draw()}
}

// wanderer is a log-normal first-order autoregression with mean 1.
type wanderer struct {
	rng *rand.Rand
	x   float64 // standard normal state
	on  bool
}

// next moves the wanderer by dt seconds. A gsd of 1 or less stands still at 1.
func (w *wanderer) next(dt, gsd, correlationS float64) float64 {
	if gsd <= 1 {
		return 1
	}
	keep := 0.0
	if w.on && correlationS > 0 {
		keep = math.Exp(-dt / correlationS)
	}
	w.on = true
	w.x = keep*w.x + math.Sqrt(1-keep*keep)*w.rng.NormFloat64()
	sigma := math.Log(gsd)
	return math.Exp(sigma*w.x - sigma*sigma/2)
}
