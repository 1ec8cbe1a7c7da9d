// Package medium answers: what would a filter let through?
//
// It knows clean fibrous media: penetration by particle size and face velocity
// (single-fibre theory, with and without charge), pressure drop, the most
// penetrating size; what a breath of changing flow averages to; and the band of
// fit factors that a filter which only just meets a printed class would show on a
// particle counter if it sealed perfectly. It assumes clean, undamaged media and
// spheres; what it says of a class is an expectation with its assumptions listed,
// never a verdict (package claim gives that). It refuses sizes, flows and
// ventilations outside the range of its formulas, and classes that are not set by
// a particle test of the filter.
package medium

import (
	"fmt"
	"math"

	"telltale/aerosol"
	"telltale/fault"
	"telltale/quantity"
)

// Velocity convention: with air speed inside the medium U/(1-alpha) or outside it U.
type Velocity int

// The conventions; they differ by 1-12 % in ln P at a packing of 0.01-0.12.
const (
	Interstitial Velocity = iota // air speed between the fibres; the house's own
	Superficial                  // air speed before the medium, as textbooks' worked cases have it
)

// Medium is a layer of equal round fibres.
type Medium struct {
	Fibre     quantity.Diameter // fibre diameter
	Packing   float64           // volume share of the fibres, 0.006 to 0.3
	Thickness float64           // millimetres
	// Charge is the surface charge density in microcoulombs per square metre that
	// makes the formulas fit. Prefactors differ between authors, so it is a fit
	// constant, not a measurement of charge.
	Charge   float64
	Velocity Velocity
}

// New checks a medium: fibre 0.1 to 50 um, packing 0.006 to 0.3 (the range of
// Davies' pressure drop), thickness above 0, charge 0 to 3000.
func New(m Medium) (Medium, error) {
	for _, c := range []struct {
		what         string
		v, low, high float64
		unit         string
	}{
		{"fibre diameter", float64(m.Fibre), 0.1, 50, "um"},
		{"packing density", m.Packing, 0.006, 0.3, ""},
		{"thickness", m.Thickness, 0.001, 100, "mm"},
		{"charge", m.Charge, 0, 3000, "uC/m2"},
	} {
		if err := inRange("E720", c.what, c.v, c.low, c.high, c.unit); err != nil {
			return Medium{}, err
		}
	}
	return m, nil
}

// inRange refuses a value outside low to high, and says the range.
func inRange(code, what string, v, low, high float64, unit string) error {
	if v >= low && v <= high {
		return nil
	}
	return &fault.Fault{Code: code,
		What: fmt.Sprintf("%s %.4g %s is outside the range of the formula", what, v, unit),
		Do:   fmt.Sprintf("Give a value from %.4g to %.4g %s.", low, high, unit)}
}

// Kuwabara is the hydrodynamic factor Ku = -ln(a)/2 - 3/4 + a - a^2/4 of a packing
// (Kuwabara 1959; Lee and Liu 1982 print its first terms, read).
func Kuwabara(packing float64) float64 {
	return -0.5*math.Log(packing) - 0.75 + packing - 0.25*packing*packing
}

// depth is the factor S of P = exp(-S E): 4 a t / (pi df), divided by (1-a) for the
// interstitial velocity.
func (m Medium) depth() float64 {
	s := 4 * m.Packing * m.Thickness * 1e-3 / (math.Pi * m.Fibre.Metres())
	if m.Velocity == Interstitial {
		s /= 1 - m.Packing
	}
	return s
}

// Collected are the single-fibre efficiencies of one particle size at one face
// velocity.
type Collected struct {
	Diffusion, Interception, DiffusionInterception, Impaction, Gravity float64
}

// Sum of the mechanisms.
func (c Collected) Sum() float64 {
	return c.Diffusion + c.Interception + c.DiffusionInterception + c.Impaction + c.Gravity
}

// Air is the gas and the particles' density in which a medium works.
type Air struct {
	Gas     aerosol.Gas
	Density aerosol.Density
}

// Collect gives the single-fibre efficiencies without charge: diffusion 2 Pe^-2/3,
// interception (1-a) R^2 / (Ku (1+R)), their joint term 1.24 R^2/3 / sqrt(Ku Pe),
// impaction Stk J / (2 Ku)^2 and gravity, flow downward, vs/U (1+R) (single-fibre
// theory as aerosol textbooks print it, from memory). It holds for the Reynolds
// number of a fibre below 1 and fibres wider than the particles; face velocities
// outside 0.001 to 300 cm/s and sizes outside 0.001 to 20 um are refused.
func (m Medium) Collect(air Air, d quantity.Diameter, face quantity.Velocity) (Collected, error) {
	if err := inRange("E721", "face velocity", float64(face), 0.001, 300, "cm/s"); err != nil {
		return Collected{}, err
	}
	if err := inRange("E722", "particle diameter", float64(d), 0.001, 20, "um"); err != nil {
		return Collected{}, err
	}
	return m.collect(air, d, float64(face)*0.01), nil
}

// collect is Collect at the face velocity u in m/s, unchecked.
func (m Medium) collect(air Air, d quantity.Diameter, u float64) Collected {
	ku, df := Kuwabara(m.Packing), m.Fibre.Metres()
	r := d.Metres() / df
	pe := df * u / float64(air.Gas.Diffusion(d))
	relaxed := float64(air.Density) * d.Metres() * d.Metres() * air.Gas.Cunningham(d) / (18 * float64(air.Gas.Viscosity()))
	j := 2.0
	if r < 0.4 {
		j = (29.6-28*math.Pow(m.Packing, 0.62))*r*r - 27.5*math.Pow(r, 2.8)
	}
	return Collected{
		Diffusion:             2 * math.Pow(pe, -2.0/3),
		Interception:          (1 - m.Packing) * r * r / (ku * (1 + r)),
		DiffusionInterception: 1.24 * math.Pow(r, 2.0/3) / math.Sqrt(ku*pe),
		Impaction:             relaxed * u / df * j / (4 * ku * ku),
		Gravity:               relaxed * 9.81 / u * (1 + r),
	}
}

// Penetration is the share of particles of one size that passes at a face velocity,
// averaged over their charges when the medium is charged.
func (m Medium) Penetration(air Air, d quantity.Diameter, face quantity.Velocity) (float64, error) {
	if _, err := m.Collect(air, d, face); err != nil {
		return 0, err
	}
	k := newKernel(m, air, []quantity.Diameter{d})
	out := make([]float64, 1)
	k.penetration(out, float64(face)*0.01, m.Charge)
	return out[0], nil
}
