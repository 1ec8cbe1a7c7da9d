package aerosol

import (
	"fmt"
	"math"

	"telltale/fault"
	"telltale/quantity"
)

// Counter is what a particle counter sees of each size.
type Counter interface {
	// Seen is the share of the particles between two neighbouring sizes that is
	// counted, 0 to 1.
	Seen(lo, hi quantity.Diameter) float64
}

// Logistic is a counting efficiency that rises as 1/(1+exp(-ln(d/D50)/width)). A
// condensation counter has a D50 of 0.0025 to 0.02 um, which depends on the
// particles' material; the width of 0.25 in ln d is an assumption (own rule).
type Logistic struct {
	D50   quantity.Diameter // the size of which half is seen
	Width float64           // in ln d
}

// CondensationWidth is the assumed width of a condensation counter's cut-off.
const CondensationWidth = 0.25

// OpticalWidth is the assumed width of an optical counter's first edge, a spread of 9 %
// in size: half is seen at the stated size and nearly all at 1.5 times it, inside the
// 50 +- 20 % and 100 +- 10 % and the resolution of 15 % that ISO 21501-4 asks for
// (from memory).
const OpticalWidth = 0.05

// NewCondensation makes the counting efficiency of a condensation counter whose
// cut-off is from 0.001 to 0.1 um.
func NewCondensation(d50 quantity.Diameter) (Logistic, error) {
	if !within(float64(d50), 0.001, 0.1) {
		return Logistic{}, outOfRange("E710", "cut-off of a condensation counter", float64(d50), 0.001, 0.1, "um")
	}
	return Logistic{d50, CondensationWidth}, nil
}

// NewOptical makes the counting efficiency of an optical counter that reports all
// particles from its smallest size (0.1 to 5 um) upward.
func NewOptical(smallest quantity.Diameter) (Logistic, error) {
	if !within(float64(smallest), 0.1, 5) {
		return Logistic{}, outOfRange("E711", "smallest size of an optical counter", float64(smallest), 0.1, 5, "um")
	}
	return Logistic{smallest, OpticalWidth}, nil
}

// At is the efficiency at one size.
func (l Logistic) At(d quantity.Diameter) float64 {
	return 1 / (1 + math.Exp(-math.Log(float64(d/l.D50))/l.Width))
}

// Seen is the efficiency in the middle (in log size) of the two sizes.
func (l Logistic) Seen(lo, hi quantity.Diameter) float64 {
	return l.At(quantity.Diameter(math.Sqrt(float64(lo * hi))))
}

// Channel is a size channel with sharp edges: the difference of two neighbouring
// cumulative bins of an optical counter.
type Channel struct{ Low, High quantity.Diameter }

// NewChannel makes a channel; 0 < low < high.
func NewChannel(low, high quantity.Diameter) (Channel, error) {
	if !(low > 0) || !(high > low) {
		return Channel{}, &fault.Fault{Code: "E712", What: fmt.Sprintf("a size channel from %.4g to %.4g um", float64(low), float64(high)), Do: "Give a lower edge above 0 and a larger upper edge."}
	}
	return Channel{low, high}, nil
}

// Seen is the part of the cell, in log size, that lies in the channel.
func (c Channel) Seen(lo, hi quantity.Diameter) float64 {
	a, b := max(lo, c.Low), min(hi, c.High)
	if b <= a {
		return 0
	}
	return math.Log(float64(b/a)) / math.Log(float64(hi/lo))
}
