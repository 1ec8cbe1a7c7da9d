package aerosol

import (
	"math"

	"telltale/quantity"
)

// LungDeposition is the share of inhaled particles of unit density that an adult's
// whole respiratory tract keeps, 0 to 1: a textbook's fit to the ICRP 66 model
// averaged over activities (the equation's existence was read in a course on
// respiratory deposition; the coefficients are from memory). It was fitted from
// 0.001 to 100 um and says nothing of growth in moist air, which lowers the
// submicron dose by about a quarter (Man et al. 2022, read).
func LungDeposition(d quantity.Diameter) float64 {
	l := math.Log(float64(d))
	inhaled := 1 - 0.5*(1-1/(1+0.00076*math.Pow(float64(d), 2.8)))
	return inhaled * (0.0587 + 0.911/(1+math.Exp(4.77+1.485*l)) + 0.943/(1+math.Exp(0.508-2.58*l)))
}

// Breath says how an in-mask sample mixes inhaled and exhaled air.
type Breath struct {
	Exhaled   float64 // share of the sampling time that is exhalation, 0 to 1
	DeadSpace float64 // share of the exhaled air that never reached the lung, 0 to 1
}

// WholeBreath samples all the time: half of it exhalation, three tenths of which is
// unmixed air of the dead space (assumptions; dead space from memory).
func WholeBreath() Breath { return Breath{0.5, 0.3} }

// Seen is the concentration averaged over the sample as a share of the inhaled one
// at a lung deposition: 1 for a sample taken on inhalation only.
func (b Breath) Seen(deposition float64) float64 {
	return 1 - b.Exhaled*deposition*(1-b.DeadSpace)
}

// Inflation is the factor by which the fit factor of such a sample is too high.
func (b Breath) Inflation(deposition float64) float64 { return 1 / b.Seen(deposition) }

// MeanDeposition is the lung deposition averaged over the particles that a counter
// sees in air of this spectrum.
func MeanDeposition(s Spectrum, c Counter) float64 {
	g := NewGrid(0.003, 10, 160)
	w, _ := g.Weights(s, c)
	sum := 0.0
	for i, d := range g.mid {
		sum += w[i] * LungDeposition(d)
	}
	return sum
}
