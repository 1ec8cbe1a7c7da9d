package aerosol

import (
	"math"

	"telltale/quantity"
	"telltale/reference"
)

// Slip is one published set of slip constants together with the viscosity and the
// mean free path it was fitted with. The three belong together: constants of one
// set with the mean free path of another are off by several per cent, so no
// function takes them apart.
type Slip int

// The sets of slip constants.
const (
	Davies     Slip = iota // Davies 1945: 1.257, 0.400, 1.10
	AllenRaabe             // Allen and Raabe as textbooks print it: 2.34, 1.05, 0.39 per free path
	ISO15900               // Kim et al. 2005 as ISO 15900 has it: 1.165, 0.483, 0.997
)

// convention is what a set of constants brings with it. Cc = 1 + Kn (a + b
// exp(-c/Kn)), Kn = 2 lambda / d.
type convention struct {
	name      string
	a, b, c   float64
	kelvin    float64 // the state at which viscosity and path are printed
	viscosity float64 // Pa s
	path      float64 // m, at standard pressure
	source    reference.Source
}

var conventions = [...]convention{
	Davies: {"Davies", 1.257, 0.400, 1.10, 293.15, 1.81e-5, 66e-9,
		reference.Source{Title: "Davies 1945, Definitive equations for the fluid resistance of spheres", Section: "constants as an encyclopaedia page on the Cunningham factor prints them", State: reference.Read}},
	AllenRaabe: {"Allen-Raabe", 1.17, 0.525, 0.78, 293.15, 1.81e-5, 66e-9,
		reference.Source{Title: "Allen and Raabe 1982/1985, slip correction measurements", Section: "as a standard aerosol textbook quotes them: 2.34, 1.05, 0.39", State: reference.FromMemory}},
	ISO15900: {"ISO 15900", 1.165, 0.483, 0.997, 296.15, 1.83245e-5, 67.30e-9,
		reference.Source{Title: "ISO 15900 model (Kim et al. 2005)", Section: "constants as a university's mobility code prints them", State: reference.Read}},
}

// String names the set.
func (s Slip) String() string { return conventions[s].name }

// Source is where the constants stand.
func (s Slip) Source() reference.Source { return conventions[s].source }

// FreePath is a mean free path of the gas molecules in nanometres.
type FreePath float64

// Viscosity is a dynamic viscosity in pascal seconds.
type Viscosity float64

// Gas is air at a temperature and pressure, described by one slip convention.
type Gas struct {
	slip      Slip
	kelvin    float64
	viscosity float64 // Pa s
	path      float64 // m
}

// NewGas makes air at a temperature (233.15 to 333.15 K) and pressure (30 to 120
// kPa) in the convention of the slip set. Viscosity follows Sutherland's form with
// 110.4 K (ISO 15900; read in a university's code with its constants); the free
// path of ISO 15900 follows that standard's own form, the other two the kinetic
// form lambda ~ mu sqrt(T) / P from their printed state.
func NewGas(slip Slip, t quantity.Temperature, p quantity.Pressure) (Gas, error) {
	if slip < Davies || slip > ISO15900 {
		panic("aerosol: unknown set of slip constants")
	}
	if !within(float64(t), 233.15, 333.15) {
		return Gas{}, outOfRange("E701", "air temperature", t.Celsius(), -40, 60, "C")
	}
	if !within(float64(p), 30e3, 120e3) {
		return Gas{}, outOfRange("E702", "air pressure", float64(p)/1000, 30, 120, "kPa")
	}
	const sutherland = 110.4 // K
	c, kelvin := conventions[slip], float64(t)
	mu := c.viscosity * (c.kelvin + sutherland) / (kelvin + sutherland) * math.Pow(kelvin/c.kelvin, 1.5)
	ratio := mu / c.viscosity * math.Sqrt(kelvin/c.kelvin)
	// ISO 15900 writes (T/T0)^2 (T0+S)/(T+S), which is the same product.
	return Gas{slip, kelvin, mu, c.path * ratio * standardPressure / float64(p)}, nil
}

// RoomAir is the air of the worked examples of textbooks: 20 C, 101.325 kPa,
// viscosity 1.81e-5 Pa s, free path 66 nm, Allen-Raabe slip.
func RoomAir() Gas {
	g, err := NewGas(AllenRaabe, quantity.Celsius(20), standardPressure)
	if err != nil {
		panic("aerosol: room air is outside its own range: " + err.Error())
	}
	return g
}

// Slip is the convention the gas is described in.
func (g Gas) Slip() Slip { return g.slip }

// Viscosity of the gas.
func (g Gas) Viscosity() Viscosity { return Viscosity(g.viscosity) }

// FreePath of the gas molecules.
func (g Gas) FreePath() FreePath { return FreePath(g.path * 1e9) }

// Temperature of the gas.
func (g Gas) Temperature() quantity.Temperature { return quantity.Temperature(g.kelvin) }

// Cunningham is the slip correction Cc of a sphere, a number above 1. It holds for
// all sizes; below about 3 nm mass and mobility diameters differ by 0.3 nm, which
// it leaves out.
func (g Gas) Cunningham(d quantity.Diameter) float64 {
	c := conventions[g.slip]
	kn := 2 * g.path / d.Metres()
	return 1 + kn*(c.a+c.b*math.Exp(-c.c/kn))
}
