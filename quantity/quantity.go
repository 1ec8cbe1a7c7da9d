// Package quantity answers: what unit is this?
//
// Each physical quantity of the trade is one type with one base unit, named in
// the type's comment. Other units exist only where a person or a wire is met,
// as constructors and readers here. The package knows no rule of the trade.
package quantity

import "math"

// Concentration is a particle number concentration in particles per cubic
// centimetre.
type Concentration float64

// Volume is a sampled air volume in cubic centimetres.
type Volume float64

// Flow is a volume flow in cubic centimetres per second.
type Flow float64

// LitresPerMinute makes a Flow from litres per minute.
func LitresPerMinute(v float64) Flow { return Flow(v * 1000 / 60) }

// LitresPerMinute reads the flow in litres per minute.
func (f Flow) LitresPerMinute() float64 { return float64(f) * 60 / 1000 }

// Over is the volume that the flow moves in the time d.
func (f Flow) Over(d Seconds) Volume { return Volume(float64(f) * float64(d)) }

// Seconds is a duration in seconds.
type Seconds float64

// Diameter is a particle or fibre diameter in micrometres.
type Diameter float64

// Metres reads the diameter in metres.
func (d Diameter) Metres() float64 { return float64(d) * 1e-6 }

// Nanometres makes a Diameter from nanometres.
func Nanometres(v float64) Diameter { return Diameter(v / 1000) }

// Length is a length of a face in millimetres.
type Length float64

// Area is an area in square centimetres.
type Area float64

// Velocity is a speed of air in centimetres per second.
type Velocity float64

// Through is the face velocity of the flow f through the area a.
func (a Area) Through(f Flow) Velocity { return Velocity(float64(f) / float64(a)) }

// Pressure is a pressure in pascals.
type Pressure float64

// Temperature is an absolute temperature in kelvins.
type Temperature float64

// Celsius makes a Temperature from degrees Celsius.
func Celsius(v float64) Temperature { return Temperature(v + 273.15) }

// Celsius reads the temperature in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) - 273.15 }

// Finite reports whether v is a number that can be printed: neither NaN nor
// infinite.
func Finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
