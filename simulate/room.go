package simulate

import (
	"math"

	"telltale/quantity"
)

// Drift is the law by which a room's level goes.
type Drift uint8

// The two laws.
const (
	Exponential Drift = iota // the level is multiplied by exp(rate x hours)
	Linear                   // the level is multiplied by 1 + rate x hours, never below 0
)

// Room is the air around the wearer.
type Room struct {
	PerCM3    float64 // level at the start, all sizes together
	PerHour   float64 // rate of the drift; -0.5 with Exponential loses 39 % in an hour
	Law       Drift
	Steps     []Step  // a door, a stove
	WanderGSD float64 // slow random wander with mean 1; 1 or less = none
	WanderS   float64 // its correlation time in seconds
	Sizes     []Size  // the size mix; nil = all sizes together in one column
}

// Step multiplies the room's level from a time on.
type Step struct{ AtS, Factor float64 }

// Size is one size range of the room's particles.
type Size struct {
	Low, High quantity.Diameter // High 0 = all above Low
	Share     float64           // of the room's level, 0-1; shares need not add up to 1
	Response  float64           // on the filter: ln P of this size over ln P of the whole
	Pass      float64           // through a leak, 0-1
}

// OpticalSizes is the usual mix of an optical counter in a room: an assumption.
// Electret media catch these sizes better than the 30-100 nm that a condensation
// counter mostly sees; a leak passes them nearly equally.
func OpticalSizes() []Size {
	return []Size{
		{Low: 0.3, High: 0.5, Share: 0.78, Response: 1.3, Pass: 1},
		{Low: 0.5, High: 1, Share: 0.17, Response: 1.7, Pass: 0.97},
		{Low: 1, High: 2.5, Share: 0.05, Response: 2.5, Pass: 0.85},
	}
}

// bins gives the sizes, or one that stands for all.
func (r Room) bins() []Size {
	if len(r.Sizes) > 0 {
		return r.Sizes
	}
	return []Size{{Share: 1, Response: 1, Pass: 1}}
}

// level is the room's level at t seconds without its wander.
func (r Room) level(t float64) float64 {
	v := r.PerCM3
	switch r.Law {
	case Exponential:
		v *= math.Exp(r.PerHour * t / 3600)
	case Linear:
		v *= max(0, 1+r.PerHour*t/3600)
	}
	for _, s := range r.Steps {
		if t >= s.AtS {
			v *= s.Factor
		}
	}
	return v
}
