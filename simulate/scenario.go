package simulate

import (
	"time"

	"telltale/quantity"
	"telltale/record"
)

// Scenario is a whole study with its truth: who wore what, in which order, and
// what the counters were like on each day.
type Scenario struct {
	Name  string // a word for the command line
	About string // what is to be found in it, one sentence
	Title string // of the study

	People   []Person
	Counters []Instrument
	Sessions []Session
	Models   []Model
	Wearings []Wearing // in the order they were done within their sessions
	Checks   []Check
	Holders  []HolderRun
}

// Instrument is a counter with its id.
type Instrument struct {
	ID string
	Counter
}

// Session is one sitting: a day, its room and its counters.
type Session struct {
	ID      string
	At      time.Time    // of the first wearing
	Room    Room         // as a condensation counter sees it, at the start of the session
	Optical Room         // as an optical counter sees it
	Off     []Instrument // counters that were not themselves that day
}

// Model is a respirator with what it truly is.
type Model struct {
	record.Respirator // its Marks path is made from Paper
	Mask              Mask
	Paper             string // text of its marks file; empty = none
}

// Wearing is one run to be recorded.
type Wearing struct {
	ID, Session, Respirator, Specimen, Wearer string

	Ambient, Inside string // counters; the same id twice = one with a switched line
	Donning         string // wearings of one respirator and wearer that share it share their fit; empty = its own
	Repairs         []Repair
	Protocol        string // id of a reference row; empty or "free" = FreeS seconds without exercises
	FreeS           float64
	PurgeS          float64
	Raw             bool
	Instants        bool // the file bears instants instead of seconds
	Observed        []string
	Excluded        string
	Faults          Faults
}

// Check is a look at counters or at the room. Zero and room checks and the two
// counters side by side are done before the first wearing of a session.
type Check struct {
	Kind     record.CheckKind
	Session  string
	Counters []string // one, or two for side_by_side
	Wearing  string   // for a reference run
	Seconds  float64  // 0 = 60
}

// HolderRun is a filter clamped without a face, done after the wearings of its
// session.
type HolderRun struct {
	ID, Session, Respirator, Specimen, Counter string

	Area    quantity.Area
	Flow    quantity.Flow
	Leak    float64 // share of the flow past the clamp
	Seconds float64 // 0 = 120
}

// minutes between what is done in a session.
const (
	perWearing = 14 * time.Minute
	perCheck   = 3 * time.Minute
	perHolder  = 8 * time.Minute
)

// session finds a session with its counters as they were that day.
func (sc Scenario) session(id string) Session {
	for _, s := range sc.Sessions {
		if s.ID == id {
			return s
		}
	}
	panic("simulate: scenario " + sc.Name + " has no session " + id)
}

func (sc Scenario) counter(s Session, id string) Counter {
	for _, all := range [][]Instrument{s.Off, sc.Counters} {
		for _, c := range all {
			if c.ID == id {
				return c.Counter
			}
		}
	}
	panic("simulate: scenario " + sc.Name + " has no counter " + id)
}

func (sc Scenario) model(id string) Model {
	for _, m := range sc.Models {
		if m.ID == id {
			return m
		}
	}
	panic("simulate: scenario " + sc.Name + " has no respirator " + id)
}

func (sc Scenario) person(id string) Person {
	for _, p := range sc.People {
		if p.ID == id {
			return p
		}
	}
	panic("simulate: scenario " + sc.Name + " has no wearer " + id)
}

// room is what a kind of counter sees of the session's room, so long after its
// start. The wander starts anew with each trace.
func (s Session) room(kind record.CounterKind, after time.Duration) Room {
	r := s.Room
	if kind == record.Optical {
		r = s.Optical
	}
	t := after.Seconds()
	var steps []Step
	for _, st := range r.Steps {
		if st.AtS > t {
			steps = append(steps, Step{st.AtS - t, st.Factor})
		}
	}
	level := r.level(t)
	if r.Law == Linear { // the same loss per hour, of a lower start
		if now := 1 + r.PerHour*t/3600; now > 0 {
			r.PerHour /= now
		}
	}
	r.PerCM3, r.Steps = level, steps
	return r
}
