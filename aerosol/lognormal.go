package aerosol

import (
	"fmt"
	"math"

	"telltale/fault"
	"telltale/quantity"
)

// Spectrum is a distribution of particle sizes by number.
type Spectrum interface {
	// Below is the share of the particles that are smaller than d, 0 to 1.
	Below(d quantity.Diameter) float64
}

// Lognormal is a distribution whose logarithm of diameter is normal.
type Lognormal struct {
	median quantity.Diameter // count median
	gsd    float64
}

// NewLognormal makes a lognormal from its count median diameter (0.001 to 100 um)
// and geometric standard deviation (above 1, to 10).
func NewLognormal(median quantity.Diameter, gsd float64) (Lognormal, error) {
	if !within(float64(median), 0.001, 100) {
		return Lognormal{}, outOfRange("E704", "count median diameter", float64(median), 0.001, 100, "um")
	}
	if !(gsd > 1 && gsd <= 10) {
		return Lognormal{}, &fault.Fault{Code: "E705",
			What: fmt.Sprintf("geometric standard deviation %.4g is not above 1 and at most 10", gsd),
			Do:   "A spread of exactly 1 is a single size; give the spread of the aerosol, such as 1.8."}
	}
	return Lognormal{median, gsd}, nil
}

// lognormal is NewLognormal for the program's own constants.
func lognormal(median quantity.Diameter, gsd float64) Lognormal {
	l, err := NewLognormal(median, gsd)
	if err != nil {
		panic("aerosol: " + err.Error())
	}
	return l
}

// Median is the count median diameter.
func (l Lognormal) Median() quantity.Diameter { return l.median }

// GSD is the geometric standard deviation.
func (l Lognormal) GSD() float64 { return l.gsd }

// Below is the share by number under d.
func (l Lognormal) Below(d quantity.Diameter) float64 {
	if d <= 0 {
		return 0
	}
	z := math.Log(float64(d/l.median)) / math.Log(l.gsd)
	return 0.5 * math.Erfc(-z/math.Sqrt2)
}

// Moment names a mean or median of a lognormal by the factor b of the
// Hatch-Choate equation d = CMD exp(b ln^2 GSD).
type Moment float64

// The moments (Hatch and Choate 1929, as a chemical-engineering handbook's aerosol
// chapter tabulates the factors; read).
const (
	Mode          Moment = -1
	CountMedian   Moment = 0
	CountMean     Moment = 0.5
	MeanArea      Moment = 1   // diameter of the mean area
	MeanMass      Moment = 1.5 // diameter of the mean mass
	SurfaceMedian Moment = 2
	Sauter        Moment = 2.5
	MassMedian    Moment = 3
	MassMean      Moment = 3.5
)

// At is the diameter of a moment.
func (l Lognormal) At(b Moment) quantity.Diameter {
	s := math.Log(l.gsd)
	return l.median * quantity.Diameter(math.Exp(float64(b)*s*s))
}

// ByMass is the distribution of the mass over the sizes: the same spread about the
// mass median diameter.
func (l Lognormal) ByMass() Lognormal { return Lognormal{l.At(MassMedian), l.gsd} }

// FromMassMedian makes the lognormal whose mass median and spread are given.
func FromMassMedian(mmd quantity.Diameter, gsd float64) (Lognormal, error) {
	l, err := NewLognormal(mmd, gsd)
	if err != nil {
		return Lognormal{}, err
	}
	return NewLognormal(l.At(-MassMedian), gsd)
}
