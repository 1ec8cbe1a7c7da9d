package medium

import (
	"fmt"
	"math"

	"telltale/aerosol"
	"telltale/fault"
	"telltale/quantity"
)

// CounterKind is the principle by which the counter sees particles; the words are
// those of record.CounterKind.
type CounterKind string

// The two kinds of counters.
const (
	Condensation CounterKind = "condensation"
	Optical      CounterKind = "optical"
)

// Sampling says from which part of the breath the in-mask sample came.
type Sampling string

// The ways of sampling. Inhaled is also what a band speaks of when nothing is said.
const (
	Inhaled     Sampling = "inhaled"      // inhalation only, or lung retention already taken out
	WholeBreath Sampling = "whole_breath" // inhalation and exhalation; lungs make the fit factor read high
)

// Conditions are what is known of a measurement. The zero value knows nothing: a
// condensation counter, any room, calm breathing.
type Conditions struct {
	// Ventilation is the minute ventilation in L/min; 0 = not known, then calm
	// breathing of 15-30 L/min is assumed and 10-40 shown beside it.
	Ventilation float64
	// Breathing is a recorded breath; it replaces Ventilation.
	Breathing *Breathing
	Counter   CounterKind
	// Smallest is the size of which the counter sees half; 0 = 0.02 um for a
	// condensation counter, 0.3 um for an optical one.
	Smallest quantity.Diameter
	// Rooms are the airs that the room may have had; none = not known.
	Rooms    []aerosol.Room
	Sampling Sampling
}

// Ventilations assumed when none was measured, L/min (own rule, within rest at about
// 10 and moderate work at about 36; ICRP 89: sitting 9, light exercise 25, read).
const (
	CalmLow   = 15
	CalmUsual = 20
	CalmHigh  = 30
	AnyLow    = 10
	AnyHigh   = 40
)

// setting is Conditions made ready: breathings from slow to fast, rooms, counter.
type setting struct {
	slow, usual, fast Breathing
	calmest, hardest  Breathing // the outer ventilations
	mean, peak        Breathing // constant flows at mean and peak of the usual inhalation
	ventilation       float64   // of the usual breath, L/min
	known             bool      // the ventilation
	rooms             []aerosol.Room
	roomKnown         bool
	kind              CounterKind
	counter           aerosol.Logistic
	smallestKnown     bool
	sampling          Sampling
}

// prepare checks the conditions.
func (c Conditions) prepare() (setting, error) {
	s := setting{kind: c.Counter, sampling: c.Sampling, rooms: c.Rooms, roomKnown: len(c.Rooms) > 0, smallestKnown: c.Smallest > 0}
	if s.kind == "" {
		s.kind = Condensation
	}
	if s.sampling == "" {
		s.sampling = Inhaled
	}
	if s.sampling != Inhaled && s.sampling != WholeBreath {
		return s, unknownWord("sampling", string(s.sampling), string(Inhaled), string(WholeBreath))
	}
	if !s.roomKnown {
		s.rooms = aerosol.Rooms()
	}
	if err := s.setCounter(c.Smallest); err != nil {
		return s, err
	}
	return s, s.setBreath(c)
}

func unknownWord(what, word string, known ...string) error {
	return &fault.Fault{Code: "E729", What: fmt.Sprintf("unknown %s %q", what, word), Do: fault.DidYouMean(word, known)}
}

func (s *setting) setCounter(smallest quantity.Diameter) (err error) {
	switch s.kind {
	case Condensation:
		if smallest == 0 {
			smallest = 0.02
		}
		s.counter, err = aerosol.NewCondensation(smallest)
	case Optical:
		if smallest == 0 {
			smallest = 0.3
		}
		s.counter, err = aerosol.NewOptical(smallest)
	default:
		err = unknownWord("counter", string(s.kind), string(Condensation), string(Optical))
	}
	return err
}

func (s *setting) setBreath(c Conditions) error {
	v := [5]float64{AnyLow, CalmLow, CalmUsual, CalmHigh, AnyHigh}
	if c.Ventilation != 0 {
		s.known = true
		for i := range v {
			v[i] = c.Ventilation
		}
	}
	s.ventilation = v[2]
	if c.Breathing != nil {
		s.known, s.ventilation = true, c.Breathing.ventilation()
	}
	for i, to := range []*Breathing{&s.calmest, &s.slow, &s.usual, &s.fast, &s.hardest} {
		if c.Breathing != nil {
			*to = *c.Breathing
			continue
		}
		b, err := Sinusoid(v[i])
		if err != nil {
			return err
		}
		*to = b
	}
	s.mean, s.peak = constant(2*s.ventilation), constant(math.Pi*s.ventilation)
	return nil
}

// ventilation is the minute ventilation in L/min of a breath whose inhalation takes
// half of the time: half the mean inhalation flow.
func (b Breathing) ventilation() float64 {
	inverse := 0.0 // mean of 1/q over the volume is one over the mean over time
	for i, q := range b.flow {
		inverse += b.share[i] / q
	}
	return 1 / inverse / 2
}
