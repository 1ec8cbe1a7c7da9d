package aerosol

import (
	"math"

	"telltale/quantity"
)

// Charges is the Boltzmann distribution of charges at equilibrium: the share of
// particles of size d that bear n = 0, 1, ... charges of either sign together. It
// understates the charged share under 0.05 um, where the bipolar diffusion theory
// of Fuchs holds (aerosol textbooks, from memory). Shares are given up to the
// number of charges beyond which less than 1e-6 remains, or most.
func (g Gas) Charges(d quantity.Diameter, most int) []float64 {
	k := elementaryCharge * elementaryCharge / (4 * math.Pi * ElectricConstant * d.Metres() * g.ThermalEnergy())
	p, sum := []float64{1}, 1.0
	for n := 1; n <= most; n++ {
		v := 2 * math.Exp(-k*float64(n*n))
		if v < 1e-6 {
			break
		}
		p = append(p, v)
		sum += v
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}
