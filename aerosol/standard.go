package aerosol

import (
	"fmt"
	"math"

	"telltale/fault"
	"telltale/quantity"
	"telltale/reference"
)

// Reading is one way to read the size rule of a standard's test aerosol.
type Reading struct {
	Words string // what was read into the rule
	Size  Lognormal
}

// MassMedian is the mass median diameter of the reading.
func (r Reading) MassMedian() quantity.Diameter { return r.Size.At(MassMedian) }

// Spreads taken where a standard gives a median only (own rule; within the bands
// of EN 13274-7, from memory: salt 2.0-3.0, oil 1.6-2.2).
var assumedSpread = map[bool][]float64{true: {2.2, 2.5}, false: {1.82}}

// Readings are the size distributions that a class's test aerosol may have. A rule
// that gives a count median and a spread has one reading. A mass median without a
// spread is read with each assumed spread. An oil whose median is 0.3 um or more is
// read both as a count and as a mass median, since the words of the European test
// ("median Stokes diameter") leave that open. A single size (spread 1) has no
// distribution and is refused.
func Readings(a reference.Agent) ([]Reading, error) {
	salt := a.Name == "NaCl"
	switch {
	case a.GSD != 0 && !(a.GSD > 1):
		_, err := NewLognormal(quantity.Diameter(a.CMDum), a.GSD)
		return nil, err
	case a.CMDum > 0 && a.MMDum > a.CMDum:
		gsd := math.Exp(math.Sqrt(math.Log(a.MMDum/a.CMDum) / 3)) // Hatch-Choate turned round
		return read(nil, "count and mass median", a.CMDum, 0, gsd)
	case a.CMDum > 0 && (salt || a.CMDum < 0.3):
		return eachSpread(a.GSD, salt, func(out []Reading, gsd float64) ([]Reading, error) {
			return read(out, "count median", a.CMDum, 0, gsd)
		})
	case a.CMDum > 0:
		return eachSpread(a.GSD, salt, func(out []Reading, gsd float64) ([]Reading, error) {
			out, err := read(out, "median taken by count", a.CMDum, 0, gsd)
			if err != nil {
				return nil, err
			}
			return read(out, "median taken by mass", 0, a.CMDum, gsd)
		})
	case a.MMDum > 0:
		return eachSpread(a.GSD, salt, func(out []Reading, gsd float64) ([]Reading, error) {
			return read(out, "mass median", 0, a.MMDum, gsd)
		})
	}
	return nil, &fault.Fault{Code: "E716", What: fmt.Sprintf("the test aerosol %q has no size", a.Name), Do: "Add a count or mass median diameter to the class's agent."}
}

// eachSpread applies make to the stated spread, or to each assumed one.
func eachSpread(gsd float64, salt bool, make func([]Reading, float64) ([]Reading, error)) ([]Reading, error) {
	spreads := []float64{gsd}
	if gsd == 0 {
		spreads = assumedSpread[salt]
	}
	var out []Reading
	for _, s := range spreads {
		var err error
		if out, err = make(out, s); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// read appends the reading with a count median, or else a mass median.
func read(out []Reading, words string, cmd, mmd, gsd float64) ([]Reading, error) {
	l, err := NewLognormal(quantity.Diameter(cmd), gsd)
	median := cmd
	if cmd == 0 {
		l, err = FromMassMedian(quantity.Diameter(mmd), gsd)
		median = mmd
	}
	if err != nil {
		return nil, err
	}
	return append(out, Reading{fmt.Sprintf("%s %.3g um, spread %.3g", words, median, gsd), l}), nil
}
