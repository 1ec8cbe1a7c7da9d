package aerosol

import (
	"math"

	"telltale/quantity"
)

// Diffusivity is a diffusion coefficient in square metres per second.
type Diffusivity float64

// Mobility is a mechanical mobility in metres per second per newton.
type Mobility float64

// ElectricalMobility is in square centimetres per volt second.
type ElectricalMobility float64

// Density is a mass density in kilograms per cubic metre.
type Density float64

// Densities of particles met here.
const (
	UnitDensity Density = 1000
	SaltDensity Density = 2165 // sodium chloride (handbook value, from memory)
)

// Mobility of a sphere, B = Cc / (3 pi mu d) (Stokes-Cunningham; aerosol
// textbooks, from memory). It holds while the Reynolds number is below 1.
func (g Gas) Mobility(d quantity.Diameter) Mobility {
	return Mobility(g.Cunningham(d) / (3 * math.Pi * g.viscosity * d.Metres()))
}

// Diffusion coefficient of a sphere, D = kT B (Stokes-Einstein).
func (g Gas) Diffusion(d quantity.Diameter) Diffusivity {
	return Diffusivity(g.ThermalEnergy() * float64(g.Mobility(d)))
}

// ElectricalMobility of a sphere with n elementary charges, Z = n e B.
func (g Gas) ElectricalMobility(d quantity.Diameter, n int) ElectricalMobility {
	return ElectricalMobility(float64(n) * elementaryCharge * float64(g.Mobility(d)) * 1e4)
}

// Settling velocity of a sphere in still air, v = rho d^2 g Cc / (18 mu); it holds
// below a Reynolds number of 1, that is to about 70 um at unit density.
func (g Gas) Settling(d quantity.Diameter, rho Density) (quantity.Velocity, error) {
	if !within(float64(d), 0.001, 70) {
		return 0, outOfRange("E703", "particle diameter", float64(d), 0.001, 70, "um")
	}
	m := d.Metres()
	v := float64(rho) * m * m * standardGravity * g.Cunningham(d) / (18 * g.viscosity)
	return quantity.Velocity(v * 100), nil
}
