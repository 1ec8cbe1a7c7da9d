// Package aerosol answers: how do particles behave?
//
// It knows the gas (viscosity, mean free path), how a sphere slips, diffuses,
// settles and moves in a field; lognormal size distributions; the test aerosols of
// the filter standards and the air of a room; what lungs keep, what a sampling line
// loses and which sizes a counter sees. It assumes compact spheres in air at rest
// or in laminar flow. It refuses temperatures, pressures and sizes outside the
// range in which its formulas hold, and says the range. Dead time is not here but
// with the counts (package fitfactor).
package aerosol

import (
	"fmt"

	"telltale/fault"
)

// Constants of physics (SI Brochure, 9th edition, exact since 2019; the electric
// constant to four figures, CODATA).
const (
	boltzmann        = 1.380649e-23    // J/K
	elementaryCharge = 1.602176634e-19 // C
	standardGravity  = 9.81            // m/s2
	standardPressure = 101325          // Pa
	celsiusZero      = 273.15          // K
)

// ElectricConstant is the permittivity of vacuum in farads per metre.
const ElectricConstant = 8.854e-12

// ElementaryCharge is the charge of one electron in coulombs.
const ElementaryCharge = elementaryCharge

// ThermalEnergy is kT in joules at the gas's temperature.
func (g Gas) ThermalEnergy() float64 { return boltzmann * g.kelvin }

// outOfRange words a value that the formulas do not cover.
func outOfRange(code, what string, value, low, high float64, unit string) error {
	return &fault.Fault{
		Code: code,
		What: fmt.Sprintf("%s %.4g %s is outside the range of the formula", what, value, unit),
		Do:   fmt.Sprintf("Give a value from %.4g to %.4g %s.", low, high, unit),
	}
}

// within reports whether v is a number from low to high.
func within(v, low, high float64) bool { return v >= low && v <= high }
