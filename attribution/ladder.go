package attribution

import (
	"telltale/quantity"
	"telltale/record"
)

// Ladder is what was done on one wearer with one model of respirator: rungs of
// repairs, each worn once or more, and the filter alone if it was measured.
type Ladder struct {
	Rungs   []Rung
	Holders []Holder
	// Breathing is the mean inspiratory flow of the wearings and Area the filter
	// area of the respirator. They are needed only to carry a holder's result to
	// breathing: 0 when not known; the result's caveats say what was taken then.
	Breathing quantity.Flow
	Area      quantity.Area
}

// Rung is one configuration. No repairs is "as worn".
type Rung struct {
	Repairs  []record.Repair
	Wearings []Wearing
}

// AsWorn reports whether nothing was repaired.
func (r Rung) AsWorn() bool { return len(r.Repairs) == 0 }

// Wearing is one recorded run on the face.
type Wearing struct {
	ID       string
	Donning  string // wearings that share it were not taken off in between; empty = its own
	Specimen string
	Wearer   string
	// Exercises are the counted exercises of the run, or one entry that is the
	// whole run.
	Exercises []Exercise
	Bound     Bound
}

// Bound says that a counter ran out of range, and which way that bounds.
type Bound uint8

const (
	Measured Bound = iota
	// PenetrationAtMost: the room's counter was capped, so the true ambient count
	// is at least the one given (the fit factor is "at least").
	PenetrationAtMost
	// PenetrationAtLeast: the inside counter was capped.
	PenetrationAtLeast
)

// Exercise holds counts. They are effective counts: where a series scatters more
// than Poisson, both are divided by its variance inflation, so they need not be
// whole numbers.
type Exercise struct {
	Name    string
	Ambient float64 // counts of the room
	Inside  float64 // counts of the space inside
	// Exposure is the ratio of the volumes counted, inside / ambient, with the
	// corrections (pairing, efficiency, background) folded in; 0 means 1.
	Exposure float64
	// FlowFactor is this exercise's recorded breathing flow relative to the
	// ladder's mean. 0 means not known: what is believed of it then comes from Name
	// (the only exercise of a run stands for its mean).
	FlowFactor float64
	// Coarse holds the counts of a second, coarser size channel of the same
	// exercise, if there is one.
	Coarse *Channel
}

// Channel is a pair of effective counts in one size channel.
type Channel struct {
	Ambient, Inside, Exposure float64
}

// Holder is a run of the filter alone: clamped, so nothing can go round it.
type Holder struct {
	ID         string
	Specimen   string
	Upstream   float64 // effective counts
	Downstream float64 // effective counts
	Exposure   float64 // volume downstream / volume upstream; 0 means 1
	Flow       quantity.Flow
	Area       quantity.Area
}
